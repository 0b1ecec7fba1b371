//! Findings in pass notes.

use latchwork_machine::needle::{Needle, Side};

use super::Stands;

/// A finding in pass notes.
#[derive(Debug, Clone, PartialEq)]
pub enum NotesFact {
    NoNeighbour,
    WhichSide,
    WantsStitchSize,
    RackByHowMany,
    RackToWhichSide,
    HowManyNeedles,
    FromWhichNeedle,
    TubularRows,
    NotOfCastOn,
    IncreasedAcross,
    DecreasedAcross,
    WhichEnd,
    EveryHowMany,
    HowManyTimes,
    NextAndEvery,
    ShortRowNeedles,
    ShortRowTimes,
    HeldRowByRow,
    OneIsWrapped,
    WhereTo,
    MovedAndNamed {
        moved: usize,
        named: usize,
    },
    CrossWith,
    CrossAsMany,
    HangWhichRow,
    HangWhichPlaces,
    MorePlacesThanNeedles,
    HolderNumber,
    WhichYarn,
    HowManyGrams,
    TooMuchWaste,
    EndsAtWhichSize,
    CounterReadsWhat,
    CounterToWhat,
    HowManyInAll,
    NoSuchNeedle,
    NoLoopOfRow,
    ShortRowsRunOut {
        row: u32,
    },
    NamedTwice {
        needle: Needle,
    },
    WhichSideIsMeant,
    NameTwice {
        name: String,
    },
    TooManyLines {
        most: usize,
    },
    NothingKnitted,
    RepeatWhat,
    NotUnderstoodFurther,
    WhichSetting,
    WhatDoBedsDo,
    TooManyRows {
        n: u32,
        most: u32,
    },
    AtWhichSize,
    WhichSecondYarn,
    WhichLaidYarn,
    InWhat,
    SelectionSigns,
    TooMuchKnitting,
    PieceHasEnded,
    CarriageStands {
        side: Side,
        rows: u32,
    },
    CounterPast {
        now: u32,
    },
    LoopsCarried {
        is: usize,
        n: u32,
    },
    RowsInAll {
        rows: u32,
        said: u32,
    },
    NothingCastOn,
    CastOnAlready,
    NoRibber,
    NoStitchSize,
    SameYarn,
    WhichFabric,
    MoreRowsThanAPiece,
    EndChangesBed,
    ShapingRunsOut {
        row: u32,
        have: u32,
        takes: u32,
    },
    MoreNeedlesThanABed,
    OtherLayout {
        stands: Stands,
        fabric: String,
        wants: Stands,
    },
    NothingSelected,
    /// The name as a document writes it, and the nearest name in the head.
    YarnNotInHead {
        name: String,
        quoted: String,
        near: Option<String>,
    },
    CarriageNotSaid {
        notes: String,
    },
    NoWeights {
        notes: String,
    },
    RowFilledIn,
    TooManyYarns,
    NotUnderstood {
        near: Option<String>,
        known: Vec<String>,
    },
    TwoAtAnEnd {
        increase: bool,
    },
    PlacesAndNeedles {
        places: usize,
        needles: usize,
    },
    WantsNeedle,
    TooLong {
        bytes: usize,
        most: usize,
    },
    TooManyPieces {
        pieces: usize,
        lines: usize,
    },
    LinesAbove {
        lines: usize,
    },
    NeitherFabricNorSetting {
        near: Option<String>,
    },
    /// `set`: the last setting of the counter, the rows before it, and the rows since.
    CounterReads {
        is: u32,
        said: u32,
        set: Option<(u32, u32, u32)>,
        rows: u32,
    },
    /// `asked_both_main`: the ends asked for, if no count has them. `odd`: the needles do not make whole groups.
    CannotBeSetUp {
        needles: u32,
        fabric: String,
        stands: Stands,
        can: Vec<String>,
        asked_both_main: Option<bool>,
        odd: bool,
    },
}
