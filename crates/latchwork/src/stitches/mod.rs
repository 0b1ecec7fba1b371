//! From millimetres to needles and rows: the count that fits every stretch of a piece best, and shaping that
//! runs out exactly.

mod spread;
mod precheck;
mod chain;
mod joint;
mod worked;
mod settle;
mod clash;
mod rows;

use latchwork_machine::needle::{Side, Slot};

use crate::design::CastOn;
use crate::fabric::Ends;
use crate::units::Mm;

pub use clash::{Clashing, clash};
pub use joint::EASED;
pub use rows::{Feed, Item, Repeat, Rows, Section, Shape, sections};
pub use settle::{Settled, misfit, settle, with_stitch_sizes};
pub use spread::{Infeasible, Spread, spread, spread_plain_end, spread_row_after};

/// The needles and rows of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Stitches {
    /// One for each piece of the design.
    pub pieces: Vec<PieceStitches>,
}

/// The needles and rows of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceStitches {
    /// Where the end needles stand.
    pub ends: Ends,
    /// The leftmost place at the cast-on, from which needle patterns are counted.
    pub left: Slot,
    /// Places at the cast-on.
    pub places: u32,
    /// One for each stretch.
    pub stretches: Vec<WorkedStretch>,
    /// Rows knitted between the stretches, which no swatch measures: those of pass notes that are in no fabric, or over
    /// a part of the needles.
    pub unmeasured: u32,
}

/// A stretch worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkedStretch {
    /// Needles on both beds together at its start.
    pub needles: u32,
    /// Needles on both beds together at its end.
    pub needles_end: u32,
    /// Passes.
    pub rows: u32,
    /// One more pass, both beds knit, that clears open tucks before loops are moved.
    pub clearing: bool,
    /// Passes of the stretch after which a shaping is made.
    pub shapings: Vec<u32>,
    /// Where the carriages stand before its first pass.
    pub carriage: Side,
    /// Flat width at its start and end, seam allowance taken off.
    pub width: (Mm, Mm),
    /// Flat length.
    pub length: Mm,
}

impl PieceStitches {
    /// Flat length of the whole piece, where every row of it is measured.
    #[must_use]
    pub fn length(&self) -> Option<Mm> {
        (self.unmeasured == 0).then(|| self.measured())
    }

    /// Flat length of the stretches together.
    #[must_use]
    pub fn measured(&self) -> Mm {
        Mm(self.stretches.iter().map(|s| s.length.0).sum())
    }

    /// All passes on the counter before the ending.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.stretches.iter().map(|s| s.rows + u32::from(s.clearing)).sum()
    }
}

/// Passes of a cast-on before the counter is set to zero.
#[must_use]
pub fn cast_on_passes(cast_on: CastOn) -> u32 {
    match cast_on {
        CastOn::Closed(tubular) => 1 + tubular,
        CastOn::EWrap => 0,
        CastOn::Waste => WASTE_PASSES + 1,
    }
}

/// Passes of waste yarn before the ravel cord (common practice: 6 to 10).
pub const WASTE_PASSES: u32 = 9;
