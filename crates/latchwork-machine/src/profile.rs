//! A machine: its beds and its limits, each limit with its source.

use crate::needle::{Bed, Slot};

/// Where a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// A textbook figure.
    Textbook,
    /// Common practice, no source.
    Practice,
    /// The owner of the machine said so.
    Owner,
}

/// A limit and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limit {
    /// The figure, in the unit that the field names.
    pub value: u32,
    /// Where it comes from.
    pub source: Source,
}

/// What the rehearsal must know of a machine. Everything is a whole number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    /// Needles of the main bed, half of them (rounded up) on the left of the centre.
    pub main_needles: u16,
    /// Needles of the ribber; 0 for a one-bed machine.
    pub ribber_needles: u16,
    /// Most tucks on one needle: a warning at the limit, an error past it.
    pub tucks: Limit,
    /// Longest float, in whole needle pitches.
    pub float: Limit,
    /// Least grams hung for each needle that carries loops.
    pub least_grams: Limit,
    /// Most grams hung for each needle that carries loops.
    pub most_grams: Limit,
}

impl Profile {
    /// The first and last slot of a bed, or `None` where the bed has no needles.
    #[must_use]
    pub fn reach(&self, bed: Bed) -> Option<(Slot, Slot)> {
        let needles = match bed {
            Bed::Main => self.main_needles,
            Bed::Ribber => self.ribber_needles,
        };
        let needles = i16::try_from(needles.min(4000)).unwrap_or(4000);
        if needles == 0 {
            return None;
        }
        let left = (needles + 1) / 2;
        Some((Slot(-left), Slot(needles - left - 1)))
    }
}
