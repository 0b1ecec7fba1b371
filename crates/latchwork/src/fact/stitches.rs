//! Findings when needles and rows are settled.

use latchwork_machine::needle::Side;

use super::Stands;

/// An author's target.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClashingWish {
    Width { stretch: String, fabric: String, piece: String },
    End { stretch: String, piece: String },
    Length { stretch: String, piece: String },
    Shaping { stretch: String, piece: String },
    Ends { piece: String },
    Seam { seam: String },
}

/// A finding when needles and rows are settled.
#[derive(Debug, Clone, PartialEq)]
pub enum StitchesFact {
    TooWide {
        stretch: String,
        size: String,
        wanted: f64,
        fabric: String,
        places: f64,
        machine: Option<String>,
        available: u32,
        /// Pieces that would fit the beds, side by side.
        pieces: u32,
    },
    CarriageElsewhere {
        asked: Side,
        stretch: String,
        side: Side,
    },
    RowsOutOfRange {
        stretch: String,
        rows: u32,
        size: String,
    },
    PanelOutside {
        panel: String,
        stretch: String,
        size: String,
        places: u32,
        wide: u32,
    },
    PanelsOverlap {
        panel: String,
        other: String,
        stretch: String,
        size: String,
    },
    PanelNeedles {
        stretch: String,
        before: String,
    },
    SettledOneByOne,
    LargerIsSmaller,
    EdgesUnequal {
        size: String,
    },
    NeedsRibber {
        piece: String,
    },
    EndsOnOneBed {
        piece: String,
        fabrics: Vec<String>,
    },
    NoNumberSuits {
        piece: String,
        size: String,
    },
    RunsOutOfNeedles {
        piece: String,
        size: String,
        widest: u32,
        available: u32,
    },
    /// Wedges of a crown without a second stitch.
    CrownRunsOut {
        stretch: String,
        size: String,
        left: u32,
        wedges: u32,
    },
    SlitAtTheEdge {
        stretch: String,
        size: String,
        within: u32,
        of: u32,
    },
    NeckUneven {
        stretch: String,
        size: String,
        middle: u32,
        of: u32,
        /// The nearest that can be: fewer and more.
        near: [Option<u32>; 2],
    },
    NeckTooWide {
        stretch: String,
        size: String,
        neck: u32,
        of: u32,
    },
    /// Hardly a stitch is left of a side after this row.
    /// Buttonholes without room in their row, or after more rows than there are.
    NoRoomForHoles {
        stretch: String,
        size: String,
        /// So many buttonholes, or a row of eyelets.
        holes: Option<u32>,
        stitches: u32,
        rows: u32,
        /// The most that would have room, if fewer would.
        most: Option<u32>,
    },
    /// More needles held than the owner's machine takes.
    HeldBeyond {
        stretch: String,
        size: String,
        held: u32,
        most: u32,
    },
    ShoulderNarrow {
        stretch: String,
        size: String,
        groups: u32,
        stitches: u32,
    },
    EdgesMeet {
        stretch: String,
        size: String,
        side: Side,
        row: u32,
    },
    /// More needles would be held than knit.
    HeldTooMany {
        stretch: String,
        size: String,
        working: u32,
        asked: u32,
    },
    /// Fewer needles are held at an end than would return.
    HeldTooFew {
        stretch: String,
        size: String,
        side: Side,
        there: u32,
        asked: u32,
    },
    /// The carriage stands at the end at which needles would be held or return.
    HoldsAtCarriage {
        stretch: String,
        size: String,
        side: Side,
    },
    /// Needles would be held before the first row of a piece.
    HoldsFirst {
        stretch: String,
    },
    RepeatTooWide {
        fabric: String,
        stretch: String,
        size: String,
        repeat: u32,
        places: u32,
    },
    NeedsNoShaping {
        stretch: String,
        size: String,
    },
    CarriageAlternates {
        every: u32,
        asked: Side,
    },
    NotAsWide {
        stretch: String,
        size: String,
        wished: String,
        nearest: String,
    },
    TooManyForPoint {
        left: u32,
        size: String,
    },
    StripesRunOut {
        stretch: String,
        size: String,
        rows: u32,
    },
    StripeTooLittle {
        stretch: String,
        size: String,
        stripe: usize,
    },
    StripesUnweighed {
        stretch: String,
    },
    StopsInARepeat {
        fabric: String,
        rows: u32,
        repeat: u32,
    },
    TooShortForShaping {
        stretch: String,
        size: String,
        times: u32,
        every: u32,
        rows: u32,
        after: u32,
    },
    TooShortForSteps {
        stretch: String,
        size: String,
        takes: u32,
        rows: u32,
    },
    NotSoManyNeedles {
        stretch: String,
        size: String,
        wished: u32,
        nearest: u32,
        fabric: (String, Stands),
    },
    TooManyShapings {
        stretch: String,
        size: String,
        rows: u32,
        most: u32,
        needed: u32,
    },
    UnevenShapings {
        stretch: String,
        size: String,
        rows: u32,
        below: u32,
        above: u32,
    },
    ComesOut {
        stretch: String,
        size: String,
        is: String,
        wished: String,
        fabric: (String, Stands),
        others: Vec<String>,
    },
    Clash {
        fact: Box<super::Fact>,
        wishes: Vec<ClashingWish>,
    },
}
