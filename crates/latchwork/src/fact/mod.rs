//! What the rooms find, as facts: what is so, with its figures. No sentence stands here; `wording` has them.
#![allow(missing_docs, reason = "the names say what was found, and the catalogue says it in a sentence")]

mod check;
mod design;
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

pub use check::{CheckFact, Craft, Detail, EdgeSize, RUNS_OUT, Rehearsed, StepPlace};
pub use design::{DesignFact, NoGauge, Unlike};
pub use draft::DraftFact;
pub use fabric::{FabricFact, FacingWayOut, Stands};
pub use notes::NotesFact;
pub use part::{PartName, PieceName};
pub use reader::{Listed, ReaderFact, Subject, WordPlace};
pub use rules::{Rule, Source};
pub use shelf::ShelfFact;
pub use stitches::{ClashingWish, StitchesFact};
pub use swatch::{Compared, LoopLimit, OffFigure, OffWidth, SwatchFact};
pub use text::TextFact;

/// Something found.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// In the writing of a document.
    Text(TextFact),
    /// In its words and values.
    Reader(ReaderFact),
    /// In the document of a fabric.
    Fabric(FabricFact),
    /// In a swatch.
    Swatch(SwatchFact),
    /// In a design.
    Design(DesignFact),
    /// In the millimetres of a size.
    Draft(DraftFact),
    /// Where needles and rows are settled.
    Stitches(StitchesFact),
    /// In pass notes.
    Notes(NotesFact),
    /// When a piece is rehearsed, measured and weighed.
    Check(CheckFact),
    /// Beside a design.
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

families!(Text of TextFact, Reader of ReaderFact, Fabric of FabricFact, Swatch of SwatchFact, Design of DesignFact, Draft of DraftFact, Stitches of StitchesFact, Notes of NotesFact, Check of CheckFact, Shelf of ShelfFact);

/// What a change of the document does.
#[derive(Debug, Clone, PartialEq)]
pub enum Rewrite {
    /// One word becomes another.
    Becomes { from: String, to: String },
    /// A character that cannot be seen is deleted.
    UnseenDeleted,
    /// A line is put in before another.
    PutBefore { before: String, line: String },
    /// A line is put in after another.
    PutAfter { after: String, line: String },
    /// A line is put in at the end.
    PutAtEnd { line: String },
    /// The last row is knitted at a stitch size.
    LastRowAt { dial: u8 },
}
