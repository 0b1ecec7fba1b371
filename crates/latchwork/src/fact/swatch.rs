//! Findings in a swatch: figures that no yarn could give.

/// The figure most likely wrong where loop and gauge do not fit together.
#[derive(Debug, Clone, PartialEq)]
pub enum OffFigure {
    Weight { grams: f64, little: bool, needles: f64, passes: f64, takes: f64 },
    Unravelled { takes: f64 },
    Width(OffWidth),
    Passes { passes: f64, few: bool, usual: f64, faces: bool },
}

/// A width that the yarn does not give.
#[derive(Debug, Clone, PartialEq)]
pub struct OffWidth {
    pub fabric: String,
    /// Needles in 10 cm.
    pub needles: f64,
    /// Whether it looks pinned out rather than too narrow.
    pub pinned: bool,
    pub draws_in: bool,
    /// Needles in 10 cm of the fabric in this yarn.
    pub usual: f64,
}

/// The limit of a loop length.
#[derive(Debug, Clone, PartialEq)]
pub enum LoopLimit {
    Yarn { tex: f64 },
    Needles { pitch: f64 },
}

/// What a swatch should be, compared with another in the same yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compared {
    NarrowerThanPlain,
    WiderThanRib,
    ShorterThanRib,
}

/// A doubt about a swatch. Lengths in mm, gauges over 10 cm.
#[derive(Debug, Clone, PartialEq)]
pub enum SwatchFact {
    DrawnOut {
        fabric: String,
        needle: f64,
        bed: f64,
    },
    NotPlainShape {
        needles: f64,
        passes: f64,
        shape: f64,
        least: f64,
        most: f64,
    },
    LoopOff {
        weighed: Option<f64>,
        much: bool,
        length: f64,
        limit: LoopLimit,
        least: f64,
        most: f64,
    },
    Area {
        fabric: String,
        weighed: bool,
        loop_length: f64,
        needles: f64,
        passes: f64,
        percent: f64,
        source: String,
        off: OffFigure,
    },
    WidthOff {
        width: OffWidth,
        least: f64,
        most: f64,
        gives: (f64, f64),
        source: String,
    },
    PassesOff {
        fabric: String,
        passes: f64,
        usual: f64,
        least: f64,
        most: f64,
        gives: (f64, f64),
        source: String,
    },
    Between {
        fabric: String,
        no: Compared,
        here: f64,
        there: f64,
    },
}
