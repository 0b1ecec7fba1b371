//! One swatch, as counted, measured, weighed and unravelled.

use std::fmt;
use std::sync::Arc;

use crate::fabric::Fabric;
use crate::notice::Span;
use crate::units::{Grams, Mm};

/// The state of a swatch when it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Straight off the machine.
    AsKnitted,
    /// Left for a day.
    Rested,
    /// Washed and dried as the garment will be.
    Washed,
}

impl State {
    /// All states, with their words in documents.
    pub const ALL: [(State, &'static str); 3] =
        [(State::AsKnitted, "as knitted"), (State::Rested, "rested"), (State::Washed, "washed")];

    /// Plain-knit constants kc and kw of loop length over course and wale spacing. Munden 1959 (dry, wet
    /// relaxed) and Knapton et al. 1968 (fully relaxed), as quoted by Spencer, Knitting Technology, 3rd ed.
    #[must_use]
    pub fn plain_constants(self) -> (f64, f64) {
        match self {
            State::AsKnitted => (5.0, 3.8),
            State::Rested => (5.3, 4.1),
            State::Washed => (5.5, 4.2),
        }
    }
}

impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(State::ALL[*self as usize].1)
    }
}

/// A whole swatch weighed, with all its needles and passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// Its weight.
    pub grams: Grams,
    /// Needles in work on both beds together.
    pub needles: f64,
    /// Counter passes.
    pub passes: f64,
}

/// Yarn unravelled from a known number of loops and measured straight, by the method of EN 14970.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unravelled {
    /// Whether the loops were tucks.
    pub tucks: bool,
    /// The number of loops.
    pub loops: f64,
    /// The yarn in them.
    pub length: Mm,
}

impl Unravelled {
    /// Millimetres of yarn in one loop.
    #[must_use]
    pub fn each(&self) -> f64 {
        self.length.0 / self.loops
    }
}

/// One swatch as counted and measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Swatch {
    /// Its fabric.
    pub fabric: Arc<Fabric>,
    /// Its place in the document; empty if it comes from the shared book.
    pub span: Span,
    /// The file of the shared book that it comes from; empty for one of the design's own.
    pub from: String,
    /// Its yarn, by index in the design.
    pub yarn: usize,
    /// Stitch size in thirds: main bed, ribber.
    pub dial: (u8, u8),
    /// Needles in work on both beds together between the marks.
    pub needles: f64,
    /// Counter passes between the contrast rows.
    pub passes: f64,
    /// Flat width between the marks.
    pub width: Mm,
    /// Flat length between the contrast rows.
    pub length: Mm,
    /// Width between the marks when stretched as far as is comfortable.
    pub stretched: Option<Mm>,
    /// The whole swatch, weighed.
    pub weighed: Option<Weighed>,
    /// Yarn unravelled from it.
    pub unravelled: Vec<Unravelled>,
    /// Its state when it was measured.
    pub state: State,
    /// The date of measuring, as the knitter wrote it.
    pub date: String,
    /// The knitter's other notes on it.
    pub notes: Vec<String>,
    /// Whether it was never knitted: its figures are scaled from another machine or yarn.
    pub reckoned: bool,
    /// The doubt of scaled figures, one standard deviation as a share.
    pub doubt: f64,
}

impl Swatch {
    /// Millimetres of width per needle.
    #[must_use]
    pub fn needle(&self) -> f64 {
        self.width.0 / self.needles
    }

    /// Millimetres of length per pass.
    #[must_use]
    pub fn pass(&self) -> f64 {
        self.length.0 / self.passes
    }
}
