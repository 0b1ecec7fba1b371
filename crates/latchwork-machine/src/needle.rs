//! Where a needle is: bed, slot, and its place along the beds.

use core::fmt;

/// One of the two needle beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bed {
    /// The back bed, which can work alone.
    Main,
    /// The second bed, facing the main bed from below.
    Ribber,
}

impl Bed {
    /// Both beds, main first.
    pub const BOTH: [Bed; 2] = [Bed::Main, Bed::Ribber];

    /// The bed across the gap.
    #[must_use]
    pub fn other(self) -> Bed {
        match self {
            Bed::Main => Bed::Ribber,
            Bed::Ribber => Bed::Main,
        }
    }

    /// 0 for the main bed, 1 for the ribber.
    #[must_use]
    pub fn index(self) -> usize {
        match self {
            Bed::Main => 0,
            Bed::Ribber => 1,
        }
    }
}

impl fmt::Display for Bed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Bed::Main => "main",
            Bed::Ribber => "ribber",
        })
    }
}

/// A side of the machine, and the direction that leads to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The knitter's left.
    Left,
    /// The knitter's right.
    Right,
}

impl Side {
    /// The other side.
    #[must_use]
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// The side reached after `passes` passes begun here.
    #[must_use]
    pub fn after(self, passes: u32) -> Side {
        if passes.is_multiple_of(2) { self } else { self.other() }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Side::Left => "left",
            Side::Right => "right",
        })
    }
}

/// A slot of a bed, counted from the centre: R1 = 0, R2 = 1, L1 = -1, L2 = -2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Slot(pub i16);

impl Slot {
    /// The mirror image: left and right change places.
    #[must_use]
    pub fn mirror(self) -> Slot {
        Slot(-1 - self.0)
    }
}

impl fmt::Display for Slot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 < 0 { write!(f, "L{}", -i32::from(self.0)) } else { write!(f, "R{}", i32::from(self.0) + 1) }
    }
}

/// A needle: a bed and a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Needle {
    /// The bed it stands in.
    pub bed: Bed,
    /// Its slot.
    pub slot: Slot,
}

impl Needle {
    /// A needle of the main bed.
    #[must_use]
    pub fn main(slot: i16) -> Needle {
        Needle { bed: Bed::Main, slot: Slot(slot) }
    }

    /// A needle of the ribber.
    #[must_use]
    pub fn ribber(slot: i16) -> Needle {
        Needle { bed: Bed::Ribber, slot: Slot(slot) }
    }

    /// The mirror image.
    #[must_use]
    pub fn mirror(self) -> Needle {
        Needle { bed: self.bed, slot: self.slot.mirror() }
    }
}

impl fmt::Display for Needle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.bed, self.slot)
    }
}

/// How far a needle is pushed out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// Out of work.
    Out,
    /// In work.
    Working,
    /// In work, chosen to knit whatever is set.
    Forward,
    /// In work, passed over while hold is on.
    Holding,
}

/// How the needles of the two beds stand to each other at racking 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pitch {
    /// Needles of the beds face each other.
    Full,
    /// Each ribber needle stands between two main needles.
    Half,
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Pitch::Full => "full pitch",
            Pitch::Half => "half pitch",
        })
    }
}

/// How many whole needles the ribber is shifted; positive is to the right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Racking(pub i8);

impl Racking {
    /// The mirror image: -r at full pitch, -r - 1 at half.
    #[must_use]
    pub fn mirror(self, pitch: Pitch) -> Racking {
        match pitch {
            Pitch::Full => Racking(-self.0),
            Pitch::Half => Racking(-self.0 - 1),
        }
    }
}

/// A place along the beds, in half needle pitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place(pub i32);

impl Place {
    /// The place of `needle` at this pitch and racking. Main: x = slot; ribber: x = slot + offset + racking,
    /// the offset being 0 at full pitch and 1/2 at half pitch.
    #[must_use]
    pub fn of(needle: Needle, pitch: Pitch, racking: Racking) -> Place {
        let slot = 2 * i32::from(needle.slot.0);
        match needle.bed {
            Bed::Main => Place(slot),
            Bed::Ribber => Place(slot + 2 * i32::from(racking.0) + i32::from(pitch == Pitch::Half)),
        }
    }

    /// Distance in half pitches.
    #[must_use]
    pub fn to(self, other: Place) -> u32 {
        self.0.abs_diff(other.0)
    }
}
