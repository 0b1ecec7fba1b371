//! Findings in a design.

use super::{Apart, Stands};

/// Why there is no gauge.
#[derive(Debug, Clone, PartialEq)]
pub enum NoGauge {
    /// The fabric was never swatched in this yarn.
    NoSwatch,
    /// The stitch size is outside those swatched.
    Outside {
        /// Least and most, as mean of both beds, in thirds.
        reach: (f64, f64),
    },
    /// Too few swatches have this difference in stitch size between the beds.
    OtherBalance,
}

/// How swatches differ from the design's yarn or machine.
#[derive(Debug, Clone, PartialEq)]
pub enum Unlike {
    /// In tex.
    Yarn { there: f64, here: f64 },
    /// In mm between needles.
    Machine { there: f64, here: f64 },
}

/// A finding in a design.
#[derive(Debug, Clone, PartialEq)]
pub enum DesignFact {
    NoMachine,
    StitchSizesReversed,
    WantsTwoStitchSizes,
    OwnWordsEnd,
    WantsOwnWords,
    WantsTwoWeights {
        word: String,
        example: String,
    },
    WeightBand,
    AimOutsideBand {
        least: u32,
        most: u32,
    },
    NoStitchSize,
    NoYarn,
    NoCount {
        name: String,
    },
    FibresDoNotAddUp {
        name: String,
        total: f64,
    },
    NoColour,
    WantsStitchSize,
    StitchSizeNotOnDial {
        least: String,
        most: String,
    },
    NoSizes,
    TableHasSource,
    SizeName,
    TooManySizes,
    TitleEmpty,
    PhotoName,
    WantsAbbreviation,
    PhotoNotRead {
        file: String,
        why: String,
    },
    PhotoTooLarge {
        file: String,
        megabytes: u64,
        most: u64,
    },
    PhotoTooWide {
        file: String,
        megapixels: u64,
        most: u64,
    },
    PhotoIsNone {
        file: String,
    },
    NoTitle,
    NotesNameNoMachine,
    NoPerson,
    OnePersonOnly,
    NothingMeasured {
        name: String,
    },
    TooManyPieces,
    NoPieces,
    PieceWithoutYarn {
        yarn: String,
    },
    YarnsAndStripes,
    /// A fabric of several yarns, and as many of the design's.
    FabricWithoutYarns {
        fabric: String,
        takes: usize,
        named: Vec<String>,
    },
    YarnTwice {
        name: String,
    },
    StripesOfTwoYarns {
        fabric: String,
        takes: usize,
    },
    FreePassOneWay {
        fabric: String,
    },
    FreePassAndCarriage {
        stretch: String,
    },
    StripeWithoutRows,
    StripesCount {
        most: usize,
    },
    TooManyStretches {
        name: String,
    },
    NoStretches {
        name: String,
    },
    NoWidth {
        name: String,
    },
    NoEnding {
        name: String,
    },
    TubularOfClosedOnly,
    PointTooWide {
        name: String,
    },
    ShapedBeforeMainBed {
        fabric: String,
    },
    NoFabric {
        name: String,
    },
    ShapedBothWays,
    LastFollows,
    CurveToWhere,
    CarriageDecided {
        word: String,
    },
    StepWithoutWhen,
    CurveMost {
        fabric: String,
        most: u32,
    },
    CannotCastOffThere {
        fabric: String,
        narrower: bool,
    },
    ShapingWithoutWhen {
        word: String,
    },
    OnlyNarrowedByOne {
        fabric: String,
    },
    TwoAtAnEnd {
        fabric: String,
    },
    EmptyNeighbours,
    TakesOnly {
        fabric: String,
        only: u32,
        asked: u32,
    },
    SeamOfEdges {
        name: String,
        edges: usize,
    },
    SeamToItself {
        name: String,
    },
    SideOfNoEdge,
    FullnessBackwards,
    MiddleOfSeveral,
    /// `word`: neck or slit.
    NoShoulder {
        piece: String,
    },
    /// An edge of an opening that a piece does not have, or has several of.
    NoSuchOpening {
        piece: String,
        word: String,
    },
    WhichEdge,
    NotASideEdge,
    /// Sections beside the author's name of an edge, which has its own.
    SectionsOfNamedEdge,
    /// A named edge of one kind and of several edges.
    EdgeOfBoth,
    StretchTwice,
    MiddleWhere,
    MiddleOfSide,
    ClosedEnd,
    GraftedClosed,
    SewnAlready {
        seam: String,
    },
    BothHaveMiddles {
        name: String,
    },
    MiddlesForEach {
        make: usize,
        piece: String,
        places: usize,
    },
    NotOfThisMachine {
        needle: f64,
        pass: f64,
        pitch: f64,
    },
    NotOfSuchLoops {
        length: f64,
        pitch: f64,
    },
    NoTucks {
        fabric: String,
    },
    NotOfSuchWeight {
        length: f64,
        pitch: f64,
    },
    NoYarnYet,
    SwatchWithoutYarn {
        yarn: String,
    },
    SwatchWithoutStitchSize,
    HowMany {
        word: String,
        what: String,
    },
    NothingCounted,
    WantsWidthAndLength,
    NotMeasured,
    NoState,
    NarrowerStretched,
    LoopsOfUnravelled,
    WidthTwice,
    EaseTwice,
    MeasureUnquoted,
    MeasureMissing {
        name: String,
        sizes: Vec<String>,
        near: Option<String>,
    },
    LengthTwice,
    ShareOfWhat,
    OfWithoutShare,
    OneLength,
    NoLength {
        name: String,
    },
    NotACount {
        known: Vec<String>,
        near: Option<String>,
    },
    CastOnUnsuited {
        two_beds: bool,
    },
    /// Each fabric with its needles.
    CannotFollow {
        fabric: (String, Stands),
        before: (String, Stands),
    },
    NoSwatch {
        fabric: String,
        why: NoGauge,
    },
    /// Stitch sizes of the main bed and, if different, of the ribber.
    PanelApart {
        fabric: String,
        panel: String,
        why: Apart,
    },
    PanelWidth,
    PanelShaped {
        panel: String,
    },
    PanelLength {
        fabric: String,
        panel: String,
        /// How much longer the panel is over the same rows, as a share.
        longer: f64,
        refused: bool,
    },
    NotByDevice {
        fabric: String,
        why: NoDevice,
    },
    NotPlaced {
        fabric: String,
    },
    NotSwatchedAt {
        fabric: String,
        size: (u8, Option<u8>),
        why: NoGauge,
    },
    CannotBeShaped {
        fabric: String,
        why: Option<String>,
        open: bool,
    },
    OneWayOnly {
        fabric: String,
        narrower: bool,
    },
    EveryDoesNotFit {
        fabric: String,
        rows: u32,
        repeat: u32,
    },
    SwatchesLeftOut {
        yarn: String,
        file: String,
        unlike: Unlike,
    },
    InFile {
        file: String,
        fact: Box<super::Fact>,
    },
    /// A measure made of others is too small or too large in a size.
    MadeMeasureOutside {
        name: String,
        size: String,
        cm: f64,
    },
    /// The larger or smaller of fewer than two measures.
    ChoiceOfOne {
        word: String,
    },
    /// Nothing, or too much, says what a measure is made of.
    MadeOfWhat,
    NoSuchMeasure {
        name: String,
        near: Option<String>,
    },
}

/// Why a pattern device cannot bring the needles forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoDevice {
    /// The machine has none.
    None,
    /// Its rows are told in words, or have panels.
    NoChart,
    /// It is more than needles of the main bed selected row by row.
    NotDrawn,
    /// Its repeat does not divide the width of the device.
    Divides { repeat: u32, width: u32 },
}
