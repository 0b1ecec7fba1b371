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

/// Why two fabrics cannot be knitted side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Apart {
    /// A pass has other yarns.
    Yarns,
    /// The needles or the pitch of two beds differ.
    Needles,
    /// They begin again together only after too many rows.
    Rows { ours: u32, theirs: u32, most: u32 },
    /// The ribber stands differently.
    Racking,
    /// One goes to the left where the other goes to the right.
    Direction,
    /// A bed would tuck here and slip there.
    Settings,
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
