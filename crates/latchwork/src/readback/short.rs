//! Short rows: what is held or returns before each.

use latchwork_machine::needle::{Bed, Needle, Place, Side};
use latchwork_machine::steps::{Action, Mark};

use super::deeds::{Deed, sorted};
use super::reader::Reader;

/// An act of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Act {
    /// Held, or returned: how many, at the carriage's end or the other, of one bed or of both.
    Put {
        back: bool,
        count: usize,
        here: bool,
        bed: Option<Bed>,
    },
    Knit(u32),
    Wrap {
        always: bool,
    },
}

impl Reader<'_> {
    pub(super) fn short_rows(&mut self) -> Option<()> {
        let label = self.label(". Knit ")?;
        self.c.lit(". Knit ")?;
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " short row" } else { " short rows" }).or_else(|| self.c.lit(" short rows"))?;
        let mut fabric = label.clone();
        if self.c.opt(" in ") {
            fabric.clone_from(self.names.fabrics.get(self.c.name(&self.names.fabrics)?)?);
        }
        let rows = self.phrase(n)?;
        self.c.lit(". ")?;
        let times = if self.c.opt("Once: ") {
            1
        } else {
            let times = self.c.number()?;
            self.c.lit(" times: ")?;
            times
        };
        let mut acts = vec![self.act()?];
        while self.c.opt(", ") {
            acts.push(self.act()?);
        }
        self.c.lit(".")?;
        let each: u32 = acts.iter().map(|a| if let Act::Knit(n) = a { *n } else { 0 }).sum();
        (times <= 100_000 && each > 0 && each.checked_mul(times)? == n).then_some(())?;
        matches!(acts[0], Act::Put { .. }).then_some(())?;
        self.s.heard.stretches.push((self.s.passes, label, fabric));
        let claws = std::mem::take(&mut self.s.claws);
        let mut claws = claws.iter().peekable();
        let mut rows = rows.into_iter();
        for _ in 0..times {
            for act in &acts {
                match *act {
                    Act::Put { back, count, here, bed } => self.put(back, count, here, bed)?,
                    Act::Wrap { always } => match self.next_held(self.s.side) {
                        Some(needle) => {
                            let yarn = self.s.yarn?;
                            self.s.loops += 1;
                            self.s.step(Action::TurnWrap { needle, yarn });
                        }
                        None => (!always).then_some(())?,
                    },
                    Act::Knit(n) => {
                        for _ in 0..n {
                            self.s.pass(rows.next()?, Mark::Plain);
                            if claws.next_if(|c| **c == self.s.counter).is_some() {
                                self.s.heard.deeds.push(Deed::MoveUp);
                            }
                        }
                    }
                }
            }
        }
        claws.next().is_none().then_some(())
    }

    /// A number of needles where there are several, and what follows it.
    fn several(&mut self, word: &str) -> Option<(usize, Option<Bed>)> {
        let here = self.c;
        let count = match self.c.number() {
            Some(n) if n > 1 && self.c.opt(" ") => n as usize,
            _ => {
                self.c = here;
                1
            }
        };
        self.c.lit(word)?;
        let bed = self.c.word(&[("main-bed ", Some(Bed::Main)), ("ribber ", Some(Bed::Ribber))]).flatten();
        self.c.lit(if count == 1 { "needle" } else { "needles" })?;
        Some((count, bed))
    }

    fn act(&mut self) -> Option<Act> {
        if self.c.opt("knit ") {
            let n = self.c.number().filter(|n| (1..=100_000).contains(n))?;
            self.c.lit(if n == 1 { " row" } else { " rows" }).or_else(|| self.c.lit(" rows"))?;
            return Some(Act::Knit(n));
        }
        if self.c.opt("wrap the innermost held needle next to the carriage") {
            return Some(Act::Wrap { always: !self.c.opt(", if there is one") });
        }
        let back = self.c.word(&[("bring the ", false), ("return the ", true)])?;
        let (count, bed) = self.several(if back { "innermost held " } else { "end " })?;
        let here = self.c.word(&[(" next to the carriage", true), (" away from the carriage", false)])?;
        self.c.lit(if back { " to working position" } else { " to holding position" })?;
        Some(Act::Put { back, count, here, bed })
    }

    /// Needles in work from an end, in order of place.
    pub(super) fn row_from(&self, side: Side, bed: Option<Bed>) -> Vec<Needle> {
        let s = &self.s;
        let of = s.in_work.iter().filter(|n| bed.is_none_or(|b| n.bed == b));
        let mut row: Vec<(i32, Needle)> = of.map(|n| (Place::of(*n, s.pitch, s.racking).0, *n)).collect();
        row.sort_unstable();
        if side == Side::Right {
            row.reverse();
        }
        row.into_iter().map(|r| r.1).collect()
    }

    fn put(&mut self, back: bool, count: usize, here: bool, bed: Option<Bed>) -> Option<()> {
        let side = if here { self.s.side } else { self.s.side.other() };
        let row = self.row_from(side, bed);
        let outside = row.iter().take_while(|n| self.s.held.contains(n)).count();
        let these =
            if back { row.get(outside.checked_sub(count)?..outside)? } else { row.get(outside..outside + count)? };
        let these = sorted(these);
        for n in &these {
            self.s.forward.remove(n);
            if back {
                self.s.held.remove(n);
            } else if !self.s.held.insert(*n) {
                return None;
            }
        }
        self.s.step(if back { Action::BackToWorking(these) } else { Action::Hold(these) });
        Some(())
    }

    /// The innermost held needle at an end; of a bed alone where only that bed has any.
    fn next_held(&self, side: Side) -> Option<Needle> {
        let beds: Vec<Bed> = Bed::BOTH.into_iter().filter(|b| self.s.held.iter().any(|n| n.bed == *b)).collect();
        let bed = match beds.as_slice() {
            [one] => Some(*one),
            _ => None,
        };
        let row = self.row_from(side, bed);
        let outside = row.iter().take_while(|n| self.s.held.contains(n)).count();
        row.get(outside.checked_sub(1)?).copied()
    }
}
