//! Findings in a fabric document.

use latchwork_machine::needle::{Bed, Pitch};

/// Which needles are in work, as a number out of a number on each bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stands {
    pub main: (u32, u32),
    /// Those of the ribber, if it has any.
    pub ribber: Option<(u32, u32)>,
    /// Whether every place has at most one needle.
    pub by_turns: bool,
    pub pitch: Pitch,
}

/// A way out where needles face each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FacingWayOut {
    HalfPitchOrRack(i8),
    HalfPitch,
    OtherRacking,
}

/// A finding in a fabric document.
#[derive(Debug, Clone, PartialEq)]
pub enum FabricFact {
    NameTaken { reserved: String, name: String },
    LikeItself,
    NoNeedles { name: String },
    NoNeedleSign { sign: char },
    NeedleRowLength { most: usize },
    RackedByHalf,
    FirstNotMain,
    RowsOfTwoLengths { main: u32, ribber: u32, long: u32 },
    NoCastOn,
    NotCastOn { on: Bed },
    NoNeedleAtEnd { places: u32, period: u32, plus: u32 },
    EndsNeverThere { word: String },
    SignNotOneLetter { word: String },
    SignsAlike,
    NoGridSign { sign: char, signs: [char; 5] },
    TuckAndSlip,
    TwoFurtherYarns,
    SecondAmongTucks,
    SameYarnTwice,
    GridRowLength { most: usize },
    NoPasses,
    TooManyPasses { most: usize },
    WantsSetting { word: String },
    NoRibberNeedles,
    NeedlesOfOneBed { word: String },
    NoNeedlesHere,
    RaggedGrid { count: usize, below: usize },
    EmptyGrid,
    Lacks { word: String, name: String },
    Facing { racked: i8, place: i16, way_out: FacingWayOut },
    BesideItsOwn { needle: i16, on: Bed, cast_on: Option<(bool, i8)> },
    NothingToBeLike { name: String, near: Option<String> },
    NotKnitted { fabric: String, fact: Box<super::Fact> },
}
