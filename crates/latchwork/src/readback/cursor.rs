//! A place in the text, and readers for the words of the forms.

use latchwork_machine::needle::{Bed, Needle, Side, Slot};

/// The text still to be read, and the size wanted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cursor<'a> {
    pub(super) rest: &'a str,
    /// Which of the figures in brackets to take, how many there are, and how many must be dashes: those of sizes without
    /// the step.
    pub(super) pick: usize,
    pub(super) of: usize,
    pub(super) dashes: usize,
}

/// The highest needle number read.
const FARTHEST: i16 = 9_999;

/// The text with every run of white space reduced to one space.
pub(super) fn flowed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl<'a> Cursor<'a> {
    pub(super) fn new(rest: &'a str) -> Cursor<'a> {
        Cursor { rest, pick: 0, of: 1, dashes: 0 }
    }

    /// The words at this place, for a message.
    pub(super) fn here(&self) -> String {
        self.rest.split(' ').take(8).collect::<Vec<_>>().join(" ")
    }

    /// Takes these exact words.
    pub(super) fn lit(&mut self, words: &str) -> Option<()> {
        self.rest = self.rest.strip_prefix(words)?;
        Some(())
    }

    /// Whether these words come next; takes them if so.
    pub(super) fn opt(&mut self, words: &str) -> bool {
        self.lit(words).is_some()
    }

    /// Takes the space between sentences.
    pub(super) fn space(&mut self) {
        self.rest = self.rest.trim_start();
    }

    /// The value of the first of these words that comes next.
    pub(super) fn word<T: Copy>(&mut self, known: &[(&str, T)]) -> Option<T> {
        known.iter().find(|(w, _)| self.opt(w)).map(|(_, t)| *t)
    }

    /// The place of the longest of these names that comes next.
    pub(super) fn name(&mut self, known: &[String]) -> Option<usize> {
        let of = |n: &String| flowed(n);
        let (i, n) = known
            .iter()
            .map(of)
            .enumerate()
            .filter(|(_, n)| self.rest.starts_with(n.as_str()))
            .max_by_key(|(i, n)| (n.len(), usize::MAX - i))?;
        self.rest = &self.rest[n.len()..];
        Some(i)
    }

    /// The wanted figure of one alone or of several in brackets.
    fn picked<T>(&mut self, one: impl Fn(&mut Cursor<'a>) -> Option<T>) -> Option<T> {
        let dash = |c: &mut Cursor<'a>| c.dashes > 0 && c.opt("–");
        let first = if dash(self) { None } else { Some(one(self)?) };
        let bracket = self.rest.strip_prefix(" (").and_then(|r| r.split_once(')')).filter(|_| self.of > 1);
        let Some((inner, after)) = bracket else { return first };
        // With two sizes the brackets hold one figure, and a list of needles has commas of its own.
        let parts: Vec<&str> = match (self.of, inner.contains("; ")) {
            (2, _) => vec![inner],
            (_, true) => inner.split("; ").collect(),
            (_, false) => inner.split(", ").collect(),
        };
        let mut all = vec![first];
        for part in parts {
            let mut c = Cursor { rest: part, ..*self };
            let value = if dash(&mut c) { None } else { Some(one(&mut c)?) };
            c.rest.is_empty().then_some(())?;
            all.push(value);
        }
        let dashes = all.iter().filter(|v| v.is_none()).count();
        (all.len() == self.of && dashes == self.dashes).then_some(())?;
        self.rest = after;
        all.into_iter().nth(self.pick)?
    }

    fn digits(&mut self) -> Option<&'a str> {
        let n = self.rest.len() - self.rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let (digits, rest) = self.rest.split_at(n);
        self.rest = rest;
        (!digits.is_empty()).then_some(digits)
    }

    /// A whole number common to all sizes.
    pub(super) fn plain_number(&mut self) -> Option<u32> {
        let digits = self.digits()?;
        (digits.len() < 3 || !digits.starts_with('0')).then_some(())?;
        digits.parse().ok()
    }

    /// Numbers in order: 0 to 6, 9, 12 to 10.
    pub(super) fn numbers(&mut self) -> Option<Vec<u32>> {
        self.picked(|c| {
            let mut all = Vec::new();
            loop {
                let first: u32 = c.digits()?.parse().ok()?;
                let mut last = first;
                if c.opt(" to ") {
                    last = c.digits()?.parse().ok()?;
                }
                (first.abs_diff(last) <= 100_000).then_some(())?;
                let run = first.min(last)..=first.max(last);
                if first <= last {
                    all.extend(run);
                } else {
                    all.extend(run.rev());
                }
                let mut ahead = *c;
                if !(ahead.opt(", ") && ahead.rest.starts_with(|d: char| d.is_ascii_digit())) {
                    return Some(all);
                }
                *c = ahead;
            }
        })
    }

    /// A whole number.
    pub(super) fn number(&mut self) -> Option<u32> {
        self.picked(Cursor::plain_number)
    }

    pub(super) fn plain_counter(&mut self) -> Option<u32> {
        let digits = self.digits()?;
        (digits.len() == 3 || (digits.len() > 3 && !digits.starts_with('0'))).then_some(())?;
        digits.parse().ok()
    }

    /// A reading of the counter.
    pub(super) fn counter(&mut self) -> Option<u32> {
        self.picked(Cursor::plain_counter)
    }

    /// Readings of the counter, in a list.
    pub(super) fn counters(&mut self) -> Option<Vec<u32>> {
        self.picked(|c| {
            let mut all = vec![c.plain_counter()?];
            let mut ahead = *c;
            while ahead.opt(", ")
                && let Some(next) = ahead.plain_counter()
            {
                all.push(next);
                *c = ahead;
            }
            Some(all)
        })
    }

    /// The manual's own words, which ask for nothing.
    pub(super) fn manual(&mut self) -> Option<()> {
        self.lit("In the manual: \u{201c}")?;
        let end = self.rest.find("\u{201d}.")?;
        self.rest = &self.rest[end + "\u{201d}.".len()..];
        Some(())
    }

    /// A number in a sequence: 4th.
    fn ordinal(&mut self) -> Option<u32> {
        let n = self.plain_number()?;
        let end = match (n % 10, n % 100) {
            (1, h) if h != 11 => "st",
            (2, h) if h != 12 => "nd",
            (3, h) if h != 13 => "rd",
            _ => "th",
        };
        self.lit(end)?;
        Some(n)
    }

    /// Numbers in a sequence: 4th, or 4th or 6th.
    pub(super) fn ordinals(&mut self) -> Option<Vec<u32>> {
        self.picked(|c| {
            let mut all = Vec::new();
            loop {
                all.push(c.ordinal()?);
                if !c.opt(" or ") {
                    return Some(all);
                }
            }
        })
    }

    /// A length as printed, in any unit.
    pub(super) fn length(&mut self) -> Option<String> {
        let figure = self.picked(|c| {
            let figure = |x: char| x.is_ascii_digit() || "⅛¼⅜½⅝¾⅞".contains(x);
            let n = c.rest.len() - c.rest.trim_start_matches(figure).len();
            let (figure, rest) = c.rest.split_at(n);
            c.rest = rest;
            (!figure.is_empty()).then_some(figure)
        })?;
        let unit = self.word(&[(" cm", "cm"), (" in", "in")])?;
        Some(format!("{figure} {unit}"))
    }

    /// A stitch size: 3, 3⅓, 3⅔.
    pub(super) fn dial(&mut self) -> Option<u8> {
        let whole: u8 = self.digits()?.parse().ok()?;
        let thirds = self.word(&[("⅓", 1), ("⅔", 2)]).unwrap_or(0);
        whole.checked_mul(3)?.checked_add(thirds)
    }

    fn plain_slot(&mut self) -> Option<Slot> {
        let left = self.word(&[("L", true), ("R", false)])?;
        let n: i16 = self.digits()?.parse().ok().filter(|n| (1..=FARTHEST).contains(n))?;
        Some(Slot(if left { -n } else { n - 1 }))
    }

    /// A needle's number.
    pub(super) fn slot(&mut self) -> Option<Slot> {
        self.picked(Cursor::plain_slot)
    }

    /// How far apart needles are: every other from, every 4th from; none where each is named.
    fn spacing(&mut self) -> Option<i16> {
        if self.opt("every other from ") {
            return Some(2);
        }
        let mut ahead = *self;
        let nth = ahead.opt("every ").then(|| ahead.ordinal())??;
        ahead.lit(" from ")?;
        *self = ahead;
        i16::try_from(nth).ok().filter(|n| *n > 2)
    }

    /// Several needle numbers, in order: L5 to L1, R3, every other from R7 to R15, every 4th from R18 to R30.
    fn plain_slots(&mut self) -> Option<Vec<Slot>> {
        let mut all = Vec::new();
        loop {
            let spaced = self.spacing();
            let step = spaced.unwrap_or(1);
            let first = self.plain_slot()?;
            let mut ahead = *self;
            if ahead.opt(" to ")
                && let Some(last) = ahead.plain_slot()
            {
                *self = ahead;
                let way = if last < first { -step } else { step };
                let n = (last.0 - first.0) / way;
                (first.0 + n * way == last.0).then_some(())?;
                all.extend((0..=n).map(|i| Slot(first.0 + i * way)));
            } else if spaced.is_some() {
                return None;
            } else {
                all.push(first);
            }
            let mut ahead = *self;
            if !(ahead.opt(", ") && (ahead.spacing().is_some() || ahead.plain_slot().is_some())) {
                return Some(all);
            }
            self.lit(", ")?;
        }
    }

    pub(super) fn slots(&mut self) -> Option<Vec<Slot>> {
        self.picked(Cursor::plain_slots)
    }

    pub(super) fn bed(&mut self) -> Option<Bed> {
        self.word(&[("main bed", Bed::Main), ("ribber", Bed::Ribber)])
    }

    /// Needles named bed by bed.
    pub(super) fn needles(&mut self) -> Option<Vec<Needle>> {
        let mut all = Vec::new();
        loop {
            let bed = self.bed()?;
            self.lit(" ")?;
            all.extend(self.slots()?.into_iter().map(|slot| Needle { bed, slot }));
            if !(self.opt(" and ") || self.opt(" then ")) {
                return Some(all);
            }
        }
    }

    pub(super) fn side(&mut self) -> Option<Side> {
        self.word(&[("left", Side::Left), ("right", Side::Right)])
    }
}
