//! Which needles are in work: a repeat along the beds, the pitch, and the cast-on.

use crate::fact::Stands;
use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Slot};

/// The beds of the outermost needles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ends {
    /// Both on the main bed.
    BothMain,
    /// The left one on the main bed, the right one on the ribber.
    MainRibber,
}

impl Ends {
    /// All, with that of plain first.
    pub const ALL: [Ends; 2] = [Ends::BothMain, Ends::MainRibber];
    /// The words of documents.
    pub const WORDS: [(&str, Ends); 2] = [("main", Ends::BothMain), ("main and ribber", Ends::MainRibber)];
}

/// Cells of a repeat along the beds, from the left: at most 256.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cells {
    bits: [u64; WORDS],
    period: u16,
}

/// Words of 64 bits that hold the cells.
const WORDS: usize = 4;

impl Default for Cells {
    fn default() -> Cells {
        Cells::NONE
    }
}

impl Cells {
    /// No needle at all.
    pub const NONE: Cells = Cells::short(0, 1);
    /// Every needle.
    pub const ALL: Cells = Cells::short(1, 1);
    /// Most cells of a repeat that an author writes: as many as a bed has needles.
    pub const MOST: usize = 200;
    /// Most cells: the whole of any bed, a place each.
    pub(crate) const WIDEST: i16 = 64 * WORDS as i16;

    const fn short(bits: u64, period: u16) -> Cells {
        Cells { bits: [bits, 0, 0, 0], period }
    }

    /// The cells that are marked; none where there are too many or none.
    #[must_use]
    pub fn of(marks: &[bool]) -> Option<Cells> {
        let period = u16::try_from(marks.len()).ok().filter(|p| (1..=64 * WORDS).contains(&usize::from(*p)))?;
        let mut bits = [0; WORDS];
        for (i, _) in marks.iter().enumerate().filter(|m| *m.1) {
            bits[i / 64] |= 1 << (i % 64);
        }
        Some(Cells { bits, period })
    }

    /// Places after which it begins again.
    #[must_use]
    pub fn period(self) -> u32 {
        u32::from(self.period.max(1))
    }

    /// How many cells are marked.
    #[must_use]
    pub fn count(self) -> u32 {
        self.bits.iter().map(|b| b.count_ones()).sum()
    }

    /// Whether the cell at this place from the left end is marked.
    #[must_use]
    pub fn has(self, place: i16) -> bool {
        let at = i32::from(place).rem_euclid(i32::from(self.period.max(1))) as usize;
        self.bits[at / 64] >> (at % 64) & 1 == 1
    }

    /// How many of the first `places` are marked.
    #[must_use]
    pub fn among(self, places: u32) -> u32 {
        let (whole, rest) = (places / self.period(), places % self.period());
        let (words, odd) = ((rest / 64) as usize, rest % 64);
        let part: u32 = self.bits[..words].iter().map(|b| b.count_ones()).sum();
        let last = if odd == 0 { 0 } else { self.bits[words] & (u64::MAX >> (64 - odd)) };
        whole * self.count() + part + last.count_ones()
    }

    /// Whether no cell is marked.
    #[must_use]
    pub fn none(self) -> bool {
        self.bits == [0; WORDS]
    }
}

/// How the first row is cast on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Begun {
    /// Both beds in one row, the ribber placed for loops that alternate bed by bed.
    BothBeds {
        /// The pitch.
        pitch: Pitch,
        /// The racking.
        racking: Racking,
        /// The needles cast on, main bed and ribber: the fabric's, and any whose loop then goes to a neighbour.
        over: [Cells; 2],
    },
    /// The main bed alone; ribber needles come into work empty after it.
    MainBed,
}

/// The arrangement of needles on the two beds. A place is one needle position along the beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Layout {
    /// Needles in work, main bed and ribber.
    cells: [Cells; 2],
    pitch: Pitch,
    begun: Begun,
    /// A width in places is a multiple of this, plus a remainder.
    every: u8,
    plus: u8,
    fewest: u8,
}

impl Layout {
    /// Every needle of the main bed; the ribber empty.
    pub const MAIN: Layout = Layout {
        cells: [Cells::ALL, Cells::NONE],
        pitch: Pitch::Full,
        begun: Begun::MainBed,
        every: 1,
        plus: 0,
        fewest: 1,
    };

    /// Main bed and ribber alternating, full pitch.
    #[must_use]
    pub fn alternate() -> Layout {
        let cells = [Cells::short(0b01, 2), Cells::short(0b10, 2)];
        let begun = Begun::BothBeds { pitch: Pitch::Full, racking: Racking(0), over: cells };
        Layout { cells, pitch: Pitch::Full, begun, every: 1, plus: 0, fewest: 2 }
    }

    /// A layout from its needles in work, main bed and ribber, its pitch, cast-on and widths.
    #[must_use]
    pub fn new(cells: [Cells; 2], pitch: Pitch, begun: Begun, (every, plus, fewest): (u8, u8, u8)) -> Layout {
        Layout { cells, pitch, begun, every: every.max(1), plus, fewest: fewest.max(1) }
    }

    /// Needles in work, main bed and ribber.
    #[must_use]
    pub fn cells(self) -> [Cells; 2] {
        self.cells
    }

    /// Widths in places: the multiple, the remainder, and the fewest.
    pub(crate) fn widths(self) -> (u8, u8, u8) {
        (self.every, self.plus, self.fewest)
    }

    /// The same needles with another cast-on.
    pub(crate) fn beginning(self, begun: Begun) -> Layout {
        Layout { begun, ..self }
    }

    /// The pitch in knitting.
    #[must_use]
    pub fn pitch(self) -> Pitch {
        self.pitch
    }

    /// How it is cast on.
    #[must_use]
    pub fn begun(self) -> Begun {
        self.begun
    }

    /// Whether both beds are in work.
    #[must_use]
    pub fn two_beds(self) -> bool {
        !self.cells[1].none()
    }

    /// Whether every needle of the main bed is in work and none of the ribber.
    #[must_use]
    pub fn main_alone(self) -> bool {
        !self.two_beds() && self.cells[0].count() == self.cells[0].period()
    }

    /// Whether repeats can be shifted on its needles: all of them are in work.
    #[must_use]
    pub fn shifts(self) -> bool {
        self.main_alone() || self.all_of_both()
    }

    /// Whether every needle of both beds is in work.
    #[must_use]
    pub fn all_of_both(self) -> bool {
        self.cells.iter().all(|c| c.count() == c.period())
    }

    /// Places after which its needles begin again.
    #[must_use]
    pub fn period(self) -> u32 {
        let (a, b) = (self.cells[0].period(), self.cells[1].period());
        let mut n = a;
        while !n.is_multiple_of(b) {
            n += a;
        }
        n
    }

    /// Places of which a width is a multiple, plus [`Layout::plus`].
    #[must_use]
    pub fn repeat(self) -> u32 {
        u32::from(self.every)
    }

    /// Places besides whole repeats.
    #[must_use]
    pub fn plus(self) -> u32 {
        u32::from(self.plus)
    }

    /// Fewest places that make sense.
    #[must_use]
    pub fn fewest(self) -> u32 {
        u32::from(self.fewest)
    }

    /// The beds of the end needles over `places` places; none where the first or last place has no needle, or the first has
    /// none on the main bed.
    #[must_use]
    pub fn ends(self, places: u32) -> Option<Ends> {
        let last = i16::try_from(places).ok()? - 1;
        let at = |bed: Bed, place| self.in_work(bed, place);
        let left = at(Bed::Main, 0) && places > 0;
        // At half pitch a ribber needle is to the right of the main-bed needle of its slot.
        match (left, at(Bed::Ribber, last), at(Bed::Main, last)) {
            (true, true, _) => Some(Ends::MainRibber),
            (true, false, true) => Some(Ends::BothMain),
            _ => None,
        }
    }

    /// Whether `places` places can be laid out with these ends.
    #[must_use]
    pub fn allows(self, places: u32, ends: Ends) -> bool {
        places >= self.fewest()
            && places >= self.plus()
            && (places - self.plus()).is_multiple_of(self.repeat())
            && self.ends(places) == Some(ends)
    }

    /// Needles in work over `places` places: main bed, ribber.
    #[must_use]
    pub fn needle_count(self, places: u32) -> (u32, u32) {
        (self.cells[0].among(places), self.cells[1].among(places))
    }

    /// A number of places that is a whole number of repeats in every count asked of it.
    #[must_use]
    pub fn many(self) -> u32 {
        12 * self.period()
    }

    /// Needles in work on both beds per place.
    #[must_use]
    pub fn needles_per_place(self) -> f64 {
        let (main, ribber) = self.needle_count(self.many());
        f64::from(main + ribber) / f64::from(self.many())
    }

    /// Whether a needle of `bed` at `place` places from the left end is in work.
    #[must_use]
    pub fn in_work(self, bed: Bed, place: i16) -> bool {
        self.cells[bed.index()].has(place)
    }

    /// The needles in work over `places` places from `left`, main bed first, each bed from left to right. The pattern is
    /// counted from the slot `origin`.
    #[must_use]
    pub fn needles(self, left: Slot, places: u32, origin: Slot) -> Vec<Needle> {
        needles(self.cells, left, places, origin)
    }

    /// The needles cast on over `places` places from `left`.
    #[must_use]
    pub fn cast_on(self, left: Slot, places: u32) -> Vec<Needle> {
        match self.begun {
            Begun::BothBeds { over, .. } => needles(over, left, places, left),
            Begun::MainBed => needles([self.cells[0], Cells::NONE], left, places, left),
        }
    }

    /// Whether there is exactly one loop per place: loops can then change beds needle to needle.
    #[must_use]
    pub fn one_per_place(self) -> bool {
        let count = self.needle_count(self.period());
        self.pitch == Pitch::Full && count.0 + count.1 == self.period() && self.places_taken() == self.period()
    }

    /// Whether main bed and ribber alternate needle by needle, one in each place.
    #[must_use]
    pub fn by_turns(self) -> bool {
        let [main, ribber] = self.cells;
        self.pitch == Pitch::Full && main.period() == 2 && ribber.period() == 2 && main.bits[0] ^ ribber.bits[0] == 0b11
    }

    /// Places of a period with a needle in work.
    fn places_taken(self) -> u32 {
        let places = 0..i16::try_from(self.period()).unwrap_or(1);
        u32::try_from(places.filter(|p| Bed::BOTH.iter().any(|b| self.in_work(*b, *p))).count()).unwrap_or(0)
    }

    /// Whether, with all loops on the main bed, every needle there carries one.
    #[must_use]
    pub fn fills_main(self) -> bool {
        self.places_taken() == self.period()
    }

    /// Main-bed needles that carry the loops of a number of needles once all are there.
    #[must_use]
    pub fn on_main(self, needles: u32) -> u32 {
        let (main, ribber) = self.needle_count(self.period());
        needles * self.places_taken() / (main + ribber).max(1)
    }

    /// Whether a place can carry two loops: those of a decreased piece then need not fall evenly on the main bed.
    #[must_use]
    pub fn grouped(self) -> bool {
        let (main, ribber) = self.needle_count(self.period());
        self.period() > 1 && main + ribber != self.places_taken()
    }

    /// The place of two needles, one of each bed, that face each other at a racking; none if there is none.
    #[must_use]
    pub fn facing(self, racking: Racking) -> Option<i16> {
        meet(self.cells, self.period(), self.pitch, racking)
    }

    /// The same in the cast-on row.
    pub(crate) fn facing_at_cast_on(self) -> Option<i16> {
        let Begun::BothBeds { pitch, racking, over } = self.begun else { return None };
        meet(over, self.period(), pitch, racking)
    }

    /// The first needle of the cast-on row with a needle of the same bed directly after it; none if there is none.
    #[must_use]
    pub fn not_held_apart(self) -> Option<Needle> {
        let Begun::BothBeds { pitch, racking, over } = self.begun else { return None };
        let places = (4 * self.period()..400).find(|p| Ends::ALL.iter().any(|e| self.allows(*p, *e)));
        let mut all = needles(over, Slot(0), places.unwrap_or(4 * self.period()), Slot(0));
        all.sort_by_key(|n| Place::of(*n, pitch, racking));
        all.windows(2).find(|w| w[0].bed == w[1].bed).map(|w| w[0])
    }

    /// Which needles are in work, in figures.
    #[must_use]
    pub fn stands(self) -> Stands {
        let share = |c: Cells| (c.count(), c.period());
        Stands {
            main: share(self.cells[0]),
            ribber: self.two_beds().then(|| share(self.cells[1])),
            by_turns: self.one_per_place(),
            pitch: self.pitch,
        }
    }
}

/// A place of the main bed with a needle of each bed.
fn meet(cells: [Cells; 2], period: u32, pitch: Pitch, racking: Racking) -> Option<i16> {
    let period = i16::try_from(period).unwrap_or(1);
    // At half pitch no needles face each other.
    (0..period).find(|p| pitch == Pitch::Full && cells[0].has(*p) && cells[1].has(p - i16::from(racking.0)))
}

fn needles(cells: [Cells; 2], left: Slot, places: u32, origin: Slot) -> Vec<Needle> {
    let places = i16::try_from(places).unwrap_or(i16::MAX);
    Bed::BOTH
        .into_iter()
        .flat_map(|bed| {
            (left.0..left.0.saturating_add(places))
                .filter(move |s| cells[bed.index()].has(s - origin.0))
                .map(move |s| Needle { bed, slot: Slot(s) })
        })
        .collect()
}

/// The left end of a piece of `places` places about the centre: 51 places run from L25 to R26.
#[must_use]
pub fn left_end(places: u32) -> Slot {
    Slot(-i16::try_from(places / 2).unwrap_or(i16::MAX))
}
