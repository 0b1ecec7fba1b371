//! English.

mod american;
mod check;
mod counted;
mod design;
mod edges;
mod draft;
mod fabric;
mod fault;
mod measured;
mod notes;
mod part;
mod printed;
mod reader;
mod shelf;
mod source;
mod stitches;
mod swatch;
mod text;

use super::{Language, Told, say};
use crate::fact::{Fact, Rewrite};

pub(super) use american::american;
pub(super) use check::craft;
pub(super) use counted::ordinal;
pub(super) use design::no_gauge;
pub(super) use fabric::{bed, pitch, sets, stands};
pub(super) use fault::{side, told as fault};
pub(super) use measured::{basis, fit_line, measure, sewn, sex, state, worth};
pub(super) use part::{part, piece};
pub(super) use printed::{hanging, printed};
pub(super) use source::{of_craft, of_judge};
pub(super) use stitches::wish;

pub(super) fn told(fact: &Fact, t: Language) -> Told {
    match fact {
        Fact::Text(f) => text::told(f, t),
        Fact::Reader(f) => reader::told(f, t),
        Fact::Fabric(f) => fabric::told(f, t),
        Fact::Swatch(f) => swatch::told(f, t),
        Fact::Design(f) => design::told(f, t),
        Fact::Edges(f) => edges::told(f, t),
        Fact::Draft(f) => draft::told(f, t),
        Fact::Stitches(f) => stitches::told(f, t),
        Fact::Notes(f) => notes::told(f, t),
        Fact::Check(f) => check::told(f, t),
        Fact::Shelf(f) => shelf::told(f, t),
    }
}

pub(super) fn done(change: &Rewrite, t: Language) -> String {
    match change {
        Rewrite::Becomes { from, to } => say!(t, "{from} becomes {to}", from, to),
        Rewrite::UnseenDeleted => say!(t, "a character that cannot be seen is deleted"),
        Rewrite::PutBefore { before, line } => say!(t, "put in before \"{before}\": {line}", before, line),
        Rewrite::PutAfter { after, line } => say!(t, "put in after \"{after}\": {line}", after, line),
        Rewrite::PutAtEnd { line } => say!(t, "put in at the end: {line}", line),
        Rewrite::LastRowAt { dial } => {
            let dial = crate::units::dial(*dial);
            say!(t, "the last row is knitted at {dial}", dial)
        }
    }
}

/// Words in a list.
fn listed(words: &[String]) -> String {
    words.join(", ")
}
