//! Findings in rehearsal, measures and yarn.

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::Needle;

use super::{ClashingWish, PartName, PieceName};

/// The place of a finding in a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct StepPlace {
    pub piece: PieceName,
    pub part: PartName,
    pub counter: u32,
    /// The step, counted from 0.
    pub step: usize,
}

/// A fault that the judge found in a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Rehearsed {
    pub fault: Fault,
    /// Most tucks that the machine takes.
    pub tucks: u32,
    /// Whether only the racking causes the fault.
    pub racked: bool,
    /// The name of the yarn, if the fault is about one.
    pub yarn: Option<String>,
    pub place: StepPlace,
    pub needles: usize,
    pub times: u32,
}

/// The craft rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Craft {
    TucksSideBySide,
    ThreeTucks,
    NearBedEnd,
    RackedFar,
    WeightsNotMoved,
    LooseCastOn,
    LongTurn,
    WrappedAwayFromYarn,
    TightBindOff,
    TwoBedsUnweighted,
    BoundOffHolding,
    OtherPitch,
}

impl Craft {
    /// The rule's name in the rule book.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Craft::TucksSideBySide => "tucks-side-by-side",
            Craft::ThreeTucks => "three-tucks",
            Craft::NearBedEnd => "near-bed-end",
            Craft::RackedFar => "racked-far",
            Craft::WeightsNotMoved => "weights-not-moved",
            Craft::LooseCastOn => "loose-cast-on",
            Craft::LongTurn => "long-turn",
            Craft::WrappedAwayFromYarn => "wrapped-away-from-yarn",
            Craft::TightBindOff => "tight-bind-off",
            Craft::TwoBedsUnweighted => "two-beds-unweighted",
            Craft::BoundOffHolding => "bound-off-holding",
            Craft::OtherPitch => "other-pitch",
        }
    }
}

impl Craft {
    /// Whether a piece that breaks it is not printed.
    #[must_use]
    pub fn is_error(self) -> bool {
        self == Craft::ThreeTucks
    }
}

/// Details for a rule's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    Nothing,
    Needle(Needle),
    First(Needle),
    Both(Needle, Needle),
    FromTo(Needle, Needle),
    By { needles: u32 },
}

/// What an edge is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// Rows: it runs along the ends of rows.
    Rows,
    /// Stitches: it runs along a row.
    Stitches,
    /// Both, one after the other.
    Mixed,
}

/// The size of a side of a seam: rows, stitches or both, and its length.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeSize {
    pub count: u32,
    pub counted: Counted,
    pub length: String,
}

/// A finding on a rehearsed piece, a seam or a size.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckFact {
    Rehearsed(Box<Rehearsed>),
    Craft {
        rule: Craft,
        place: StepPlace,
        detail: Detail,
    },
    /// Rows, and the needles at their end.
    NotAsDrafted {
        part: PartName,
        drafted: (u32, u32),
        knitted: (u32, u32),
    },
    BindsOffTight {
        piece: PieceName,
        last: u8,
        stretch: u8,
    },
    /// `surely`: even with the least that it may take.
    RunsOut {
        size: String,
        yarn: String,
        surely: bool,
        takes: String,
        range: String,
        have: String,
    },
    YarnNotKnown {
        fabric: String,
    },
    SizesAlike {
        first: String,
        second: String,
    },
    EdgesDoNotMeet {
        seam: String,
        size: String,
        edges: [EdgeSize; 2],
        wishes: Vec<ClashingWish>,
    },
    /// `asked`: the least and the most, in percent.
    FullnessMissed {
        seam: String,
        size: String,
        edges: [EdgeSize; 2],
        percent: f64,
        asked: (f64, f64),
    },
    /// Sides joined row by row that have different rows.
    JoinedRowsDiffer {
        piece: String,
        size: String,
        rows: [u32; 2],
    },
    /// More needles than places of the edges hung on them.
    PlacesTwice {
        piece: String,
        size: String,
        needles: u32,
        places: u32,
    },
    EdgesDiffer {
        seam: String,
        size: String,
        edges: [EdgeSize; 2],
        more: u32,
        every: u32,
    },
    /// `over`: past the end of the row, rather than overlapping.
    PartsMisplaced {
        seam: String,
        size: String,
        over: bool,
        part: f64,
        whole: f64,
    },
    /// `at_end`: where its shaping ends. `past`: the measure that it must pass over. Stretch in percent.
    TooTight {
        stretch: String,
        at_end: bool,
        size: String,
        past: Option<String>,
        measured: bool,
        fabric: String,
        needed: f64,
        allowed: f64,
    },
}

impl CheckFact {
    /// The rule of the rule book that found it.
    #[must_use]
    pub fn rule(&self) -> Option<&'static str> {
        match self {
            CheckFact::Rehearsed(r) => Some(r.fault.rule().0),
            CheckFact::Craft { rule, .. } => Some(rule.id()),
            CheckFact::BindsOffTight { .. } => Some(Craft::TightBindOff.id()),
            CheckFact::RunsOut { .. } => Some(RUNS_OUT),
            CheckFact::NotAsDrafted { .. }
            | CheckFact::YarnNotKnown { .. }
            | CheckFact::SizesAlike { .. }
            | CheckFact::EdgesDoNotMeet { .. }
            | CheckFact::EdgesDiffer { .. }
            | CheckFact::FullnessMissed { .. }
            | CheckFact::PlacesTwice { .. }
            | CheckFact::JoinedRowsDiffer { .. }
            | CheckFact::PartsMisplaced { .. }
            | CheckFact::TooTight { .. } => None,
        }
    }
}

/// The rule that the yarn must be enough. It depends on the yarn in hand, not on the piece.
pub const RUNS_OUT: &str = "runs-out";
