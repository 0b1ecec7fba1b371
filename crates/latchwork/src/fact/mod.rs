//! Findings of the rooms as facts with figures. The sentences are in `wording`.
#![allow(missing_docs, reason = "the names say what was found, and the catalogue says it in a sentence")]

mod chart;
mod check;
mod design;
mod edges;
mod draft;
mod fabric;
mod notes;
mod part;
mod reader;
mod rules;
mod shelf;
mod stitches;
mod swatch;
mod text;

pub use chart::{Chart, Columns, Sign, mirrored};
pub use check::{CheckFact, Counted, Craft, Detail, EdgeSize, RUNS_OUT, Rehearsed, StepPlace};
pub use design::{DesignFact, NoDevice, NoGauge, Unlike};
pub use draft::DraftFact;
pub use edges::EdgeFact;
pub use fabric::{Apart, FabricFact, FacingWayOut, Stands};
pub use notes::NotesFact;
pub use part::{HungEdge, HungKind, HungRow, PartName, PieceName};
pub use reader::{Listed, ReaderFact, Subject, WordPlace};
pub use rules::{Rule, Source};
pub use shelf::ShelfFact;
pub use stitches::{ClashingWish, StitchesFact};
pub use swatch::{Compared, LoopLimit, OffFigure, OffWidth, SwatchFact};
pub use text::TextFact;

/// A finding.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// In the syntax of a document.
    Text(TextFact),
    /// In its words and values.
    Reader(ReaderFact),
    /// In a fabric document.
    Fabric(FabricFact),
    /// In a swatch.
    Swatch(SwatchFact),
    /// In a design.
    Design(DesignFact),
    /// In its necks and short rows.
    Edges(EdgeFact),
    /// In the draft of a size.
    Draft(DraftFact),
    /// When needles and rows are settled.
    Stitches(StitchesFact),
    /// In pass notes.
    Notes(NotesFact),
    /// In rehearsal, measures and yarn.
    Check(CheckFact),
    /// In the files beside a design.
    Shelf(ShelfFact),
}

impl Fact {
    /// The rule of the rule book that found it.
    #[must_use]
    pub fn rule(&self) -> Option<&'static str> {
        match self {
            Fact::Check(f) => f.rule(),
            Fact::Fabric(FabricFact::NotKnitted { fact, .. }) => fact.rule(),
            _ => None,
        }
    }
}

macro_rules! families {
    ($($family:ident of $fact:ident),+ $(,)?) => {
        $(impl From<$fact> for Fact {
            fn from(found: $fact) -> Fact {
                Fact::$family(found)
            }
        })+
    };
}

families!(Text of TextFact, Reader of ReaderFact, Fabric of FabricFact, Swatch of SwatchFact, Design of DesignFact, Edges of EdgeFact, Draft of DraftFact, Stitches of StitchesFact, Notes of NotesFact, Check of CheckFact, Shelf of ShelfFact);

/// What a change to the document does.
#[derive(Debug, Clone, PartialEq)]
pub enum Rewrite {
    /// One word becomes another.
    Becomes { from: String, to: String },
    /// A character that cannot be seen is deleted.
    UnseenDeleted,
    /// A line is inserted before another.
    PutBefore { before: String, line: String },
    /// A line is inserted after another.
    PutAfter { after: String, line: String },
    /// A line is added at the end.
    PutAtEnd { line: String },
    /// The last row is knitted at a stitch size.
    LastRowAt { dial: u8 },
}
