//! Step by step through the text of one piece.

use super::chart::{Chart, charts};
use super::cursor::{Cursor, flowed};
use super::deeds::settled;
use super::standing::Listener;
use super::{Glossary, Heard, Misread};

pub(super) struct Reader<'a> {
    pub(super) c: Cursor<'a>,
    pub(super) names: &'a Glossary,
    pub(super) size: usize,
    pub(super) s: Listener,
    /// The furthest that any form got in the current sentence.
    furthest: &'a str,
    /// The words of each step read so far, without number and readings.
    steps: Vec<Cursor<'a>>,
    /// The charts in this size.
    pub(super) charts: &'a [Chart],
}

/// What the steps of one piece, numbered from 1, say for each size of the glossary.
///
/// # Errors
/// The first place that fits no form, or contradicts what was read before.
pub fn read_back(text: &str, names: &Glossary) -> Result<Vec<Heard>, Misread> {
    let text = flowed(text);
    let mut c = Cursor::new(&text);
    let none = names.sizes.first().cloned().unwrap_or_default();
    let charts =
        charts(&mut c, names).map_err(|(why, at)| Misread { step: 0, size: none, at, why: why.to_string() })?;
    let mut standing = vec![Listener::new(); names.sizes.len()];
    let mut number = 1;
    let mut steps: Vec<Cursor<'_>> = Vec::new();
    while !c.rest.is_empty() {
        let misread = |size: usize, (why, at): (&str, Cursor<'_>)| Misread {
            step: number,
            size: names.sizes.get(size).cloned().unwrap_or_default(),
            at: at.here(),
            why: why.to_string(),
        };
        c.lit(&format!("{number} ")).ok_or_else(|| misread(0, ("The number of the step was expected.", c)))?;
        let readings = readings(&mut c);
        steps.push(c);
        let only = only(&mut c, names).map_err(|e| misread(0, e))?;
        let mut end: Option<&str> = None;
        for size in &only {
            let s = std::mem::replace(&mut standing[*size], Listener::new());
            let c = Cursor { pick: *size, of: names.sizes.len(), dashes: names.sizes.len() - only.len(), ..c };
            let mut r = Reader { c, names, size: *size, s, furthest: c.rest, steps, charts: &charts[*size] };
            r.step(number + 1, readings.as_deref()).map_err(|e| misread(*size, e))?;
            steps = r.steps;
            if end.is_some_and(|e| e.len() != r.c.rest.len()) {
                return Err(misread(*size, ("It ends at another place than in the sizes before.", r.c)));
            }
            end = Some(r.c.rest);
            standing[*size] = r.s;
        }
        c.rest = end.unwrap_or_default();
        number += 1;
    }
    let heard = |s: Listener| Heard { deeds: settled(s.heard.deeds), ..s.heard };
    Ok(standing.into_iter().map(heard).collect())
}

/// The sizes of a step: those named before its words, or all.
fn only<'a>(c: &mut Cursor<'a>, names: &Glossary) -> Result<Vec<usize>, (&'static str, Cursor<'a>)> {
    let mut ahead = *c;
    let Some(several) = ahead.word(&[("Sizes ", true), ("Size ", false)]) else {
        return Ok((0..names.sizes.len()).collect());
    };
    let mut only = Vec::new();
    loop {
        let size = ahead.name(&names.sizes).ok_or(("An unknown size.", ahead))?;
        if only.last().is_some_and(|last| *last >= size) {
            return Err(("The sizes do not stand in their order.", ahead));
        }
        only.push(size);
        if !ahead.opt(", ") {
            break;
        }
    }
    ahead
        .lit(" only. ")
        .filter(|()| several == (only.len() > 1))
        .ok_or(("The sizes of this step are not clear.", ahead))?;
    *c = ahead;
    Ok(only)
}

impl<'a> Reader<'a> {
    /// Reads one numbered step, up to the number of the next.
    fn step(&mut self, next: u32, readings: Option<&[Option<u32>]>) -> Result<(), (&'static str, Cursor<'a>)> {
        let here = self.c;
        self.sentences(next)?;
        if self.s.misplaced {
            return Err(("The tail hangs at the other end.", here));
        }
        let said = match readings {
            None => return Ok(()),
            Some([one]) => *one,
            Some(many) => {
                let dashes = many.iter().filter(|r| r.is_none()).count();
                let all = many.len() == self.c.of && dashes == self.c.dashes;
                many.get(self.c.pick).copied().flatten().filter(|_| all)
            }
        };
        if said == Some(self.s.counter) {
            return Ok(());
        }
        Err(("The counter beside this step is not what its rows come to.", here))
    }

    fn sentences(&mut self, next: u32) -> Result<(), (&'static str, Cursor<'a>)> {
        let number = format!("{next} ");
        let mut any = false;
        loop {
            self.c.space();
            if self.c.rest.is_empty() || (any && self.c.rest.starts_with(&number)) {
                return if any { Ok(()) } else { Err(("A step without words.", self.c)) };
            }
            any = true;
            self.furthest = self.c.rest;
            self.sentence().ok_or_else(|| {
                let at = Cursor { rest: self.furthest, ..self.c };
                ("No sentence goes on so, or it contradicts what was read before.", at)
            })?;
        }
    }

    /// A repeat: its steps are read again, as many times as it says.
    pub(super) fn again(&mut self) -> Option<()> {
        self.c.lit("Repeat steps ")?;
        let first = self.c.plain_number()?;
        self.c.lit(" to ")?;
        let last = self.c.plain_number()?;
        self.c.lit(", ")?;
        let times = self.c.number()?;
        self.c.lit(if times == 1 { " more time." } else { " more times." })?;
        let (from, to) = (first.checked_sub(1)? as usize, last as usize);
        // The current step is the last of those read.
        (from < to && to < self.steps.len() && !self.s.again && times <= 20_000).then_some(())?;
        let steps = self.steps.get(from..to)?.to_vec();
        self.s.again = true;
        self.s.due = std::mem::take(&mut self.s.claws);
        for _ in 0..times {
            for (step, number) in steps.iter().zip(first..) {
                let mut c = *step;
                let only = only(&mut c, self.names).ok()?;
                if !only.contains(&self.size) {
                    continue;
                }
                let of = self.names.sizes.len();
                let c = Cursor { pick: self.size, of, dashes: of - only.len(), ..c };
                let s = std::mem::replace(&mut self.s, Listener::new());
                let (names, size, charts) = (self.names, self.size, self.charts);
                let mut r = Reader { c, names, size, s, furthest: c.rest, steps: Vec::new(), charts };
                let heard = r.sentences(number + 1);
                self.s = r.s;
                heard.ok()?;
            }
        }
        self.s.again = false;
        self.s.due.is_empty().then_some(())
    }

    /// Tries a form; restores everything if it does not fit.
    pub(super) fn attempt(&mut self, form: fn(&mut Reader<'a>) -> Option<()>) -> Option<()> {
        let c = self.c;
        form(self).or_else(|| {
            if self.c.rest.len() < self.furthest.len() {
                self.furthest = self.c.rest;
            }
            self.c = c;
            None
        })
    }
}

/// The counter readings beside a step: one, or one for each size, none for a dash.
fn readings(c: &mut Cursor<'_>) -> Option<Vec<Option<u32>>> {
    let one = |c: &mut Cursor<'_>| if c.opt("–") { Some(None) } else { c.plain_counter().map(Some) };
    let mut ahead = *c;
    let mut all = vec![one(&mut ahead)?];
    if let Some((inner, after)) = ahead.rest.strip_prefix(" (").and_then(|r| r.split_once(')')) {
        for part in inner.split(", ") {
            let mut c = Cursor::new(part);
            all.push(one(&mut c).filter(|_| c.rest.is_empty())?);
        }
        ahead.rest = after;
    }
    ahead.lit(" ")?;
    *c = ahead;
    Some(all)
}
