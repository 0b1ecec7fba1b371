//! Found when a piece is rehearsed, measured and weighed.

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::Needle;

use super::{ClashingWish, PartName, PieceName};

/// Where in a piece something was found.
#[derive(Debug, Clone, PartialEq)]
pub struct StepPlace {
    pub piece: PieceName,
    pub part: PartName,
    pub counter: u32,
    /// Counted from nought.
    pub step: usize,
}

/// A fault of the judge, met in a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Rehearsed {
    pub fault: Fault,
    /// Most tucks that the machine takes.
    pub tucks: u32,
    /// Whether needles stand in each other's way by the racking alone.
    pub racked: bool,
    /// The yarn's name, where the fault is of one.
    pub yarn: Option<String>,
    pub place: StepPlace,
    pub needles: usize,
    pub times: u32,
}

/// The rules of the craft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Craft {
    TucksSideBySide,
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

/// What is added to a rule's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    Nothing,
    Needle(Needle),
    First(Needle),
    Both(Needle, Needle),
    FromTo(Needle, Needle),
    By { needles: u32 },
}

/// An edge of a seam: how long, in rows or stitches and as a length.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeSize {
    pub count: u32,
    pub rows: bool,
    pub length: String,
}

/// What a rehearsed piece, a seam or a size has against it.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckFact {
    Rehearsed(Box<Rehearsed>),
    Craft {
        rule: Craft,
        place: StepPlace,
        detail: Detail,
    },
    /// Rows, and the needles that they end on.
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
    /// `surely`: even by the least that it may take.
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
    EdgesDiffer {
        seam: String,
        size: String,
        edges: [EdgeSize; 2],
        more: u32,
        every: u32,
    },
    /// `over`: over the end of the row, and not one on another.
    PartsMisplaced {
        seam: String,
        size: String,
        over: bool,
        part: f64,
        whole: f64,
    },
    /// `at_end`: where its shaping ends. `past`: the measure that it must pass over. Stretches in percent.
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
            | CheckFact::PartsMisplaced { .. }
            | CheckFact::TooTight { .. } => None,
        }
    }
}

/// The rule that yarn must suffice. It is broken by what the knitter has, not by the piece.
pub const RUNS_OUT: &str = "runs-out";
