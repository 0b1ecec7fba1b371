//! The loops of a run, in the order made.

use crate::needle::{Bed, Needle, Slot};
use crate::steps::Way;

/// A loop, by its number in the order made, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LoopId(pub u32);

/// How a loop was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Drawn through the loops that were on the needle, or laid over an empty one.
    Knit,
    /// Laid on top of the loops that were on the needle.
    Tuck,
    /// Wound round an empty needle by hand.
    Wrap,
}

/// How a loop ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fate {
    /// Still on a needle or a holder.
    Live,
    /// Knitted through by this loop.
    Knitted(LoopId),
    /// Made fast at an ending; for loop through loop, with the loop that holds it (none: the yarn's end).
    Secured(Way, Option<LoopId>),
    /// Let off on purpose.
    Released,
}

const LIVE: u32 = 0;
const SECURED: u32 = 0xFFFF_FFF0;
const RELEASED: u32 = 0xFFFF_FFFF;

/// All loops of a run. Sixteen bytes a loop where each is drawn through one other.
#[derive(Debug, Clone, Default)]
pub struct Loops {
    /// Slot in the low 16 bits, then bed, kind (2 bits), second yarn.
    made: Vec<u32>,
    fate: Vec<u32>,
    through_end: Vec<u32>,
    through: Vec<u32>,
    held_by: Vec<(u32, u32)>,
}

const BED: u32 = 1 << 16;
const TUCK: u32 = 1 << 17;
const WRAP: u32 = 1 << 18;
const SECOND: u32 = 1 << 19;

impl Loops {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.made.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.made.is_empty()
    }

    /// All numbers, in the order made.
    pub fn ids(&self) -> impl Iterator<Item = LoopId> + use<> {
        (1..=self.next_number() - 1).map(LoopId)
    }

    fn next_number(&self) -> u32 {
        u32::try_from(self.made.len() + 1).unwrap_or(SECURED)
    }

    /// The needle it was made on.
    #[must_use]
    pub fn needle(&self, id: LoopId) -> Needle {
        let made = self.made[at(id)];
        let bed = if made & BED == 0 { Bed::Main } else { Bed::Ribber };
        Needle { bed, slot: Slot((made & 0xFFFF) as u16 as i16) }
    }

    /// How it was made.
    #[must_use]
    pub fn kind(&self, id: LoopId) -> Kind {
        let made = self.made[at(id)];
        match (made & TUCK != 0, made & WRAP != 0) {
            (true, _) => Kind::Tuck,
            (false, true) => Kind::Wrap,
            (false, false) => Kind::Knit,
        }
    }

    /// Whether it is of the pass's second yarn.
    #[must_use]
    pub fn second_yarn(&self, id: LoopId) -> bool {
        self.made[at(id)] & SECOND != 0
    }

    /// The loops it was drawn through, in stack order (oldest on the needle first).
    #[must_use]
    pub fn through(&self, id: LoopId) -> &[u32] {
        let i = at(id);
        let start = if i == 0 { 0 } else { self.through_end[i - 1] as usize };
        &self.through[start..self.through_end[i] as usize]
    }

    /// How it ended.
    #[must_use]
    pub fn fate(&self, id: LoopId) -> Fate {
        match self.fate[at(id)] {
            LIVE => Fate::Live,
            RELEASED => Fate::Released,
            f if f >= SECURED => {
                let way = match f - SECURED {
                    0 => Way::LoopThroughLoop,
                    1 => Way::Chain,
                    2 => Way::Sewn,
                    3 => Way::Gathered,
                    _ => Way::Waste,
                };
                let holder = self.held_by.binary_search_by_key(&id.0, |h| h.0).ok().map(|i| LoopId(self.held_by[i].1));
                Fate::Secured(way, holder)
            }
            f => Fate::Knitted(LoopId(f)),
        }
    }

    pub(crate) fn reserve(&mut self, loops: usize) {
        self.made.reserve(loops);
        self.fate.reserve(loops);
        self.through_end.reserve(loops);
        self.through.reserve(loops);
    }

    #[inline]
    pub(crate) fn add(&mut self, needle: Needle, kind: Kind, second: bool) -> LoopId {
        let bed = if needle.bed == Bed::Main { 0 } else { BED };
        let kind = match kind {
            Kind::Knit => 0,
            Kind::Tuck => TUCK,
            Kind::Wrap => WRAP,
        };
        let made = u32::from(needle.slot.0 as u16) | bed | kind | if second { SECOND } else { 0 };
        self.made.push(made);
        self.fate.push(LIVE);
        self.through_end.push(self.through.len() as u32);
        LoopId(self.made.len() as u32)
    }

    /// Draws the newest loop through `old`.
    #[inline]
    pub(crate) fn draw(&mut self, new: LoopId, old: LoopId) {
        self.through.push(old.0);
        self.through_end[at(new)] += 1;
        self.fate[at(old)] = new.0;
    }

    pub(crate) fn secure(&mut self, id: LoopId, way: Way, holder: Option<LoopId>) {
        self.fate[at(id)] = SECURED
            + match way {
                Way::LoopThroughLoop => 0,
                Way::Chain => 1,
                Way::Sewn => 2,
                Way::Gathered => 3,
                Way::Waste => 4,
            };
        if let Some(holder) = holder {
            let i = self.held_by.partition_point(|h| h.0 < id.0);
            self.held_by.insert(i, (id.0, holder.0));
        }
    }

    pub(crate) fn release(&mut self, id: LoopId) {
        self.fate[at(id)] = RELEASED;
    }

    pub(crate) fn exists(&self, number: u32) -> bool {
        number >= 1 && (number as usize) <= self.made.len()
    }
}

#[inline]
fn at(id: LoopId) -> usize {
    id.0 as usize - 1
}
