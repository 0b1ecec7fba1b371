//! The rule book as data: its rules, and where the judge's limits come from.

use latchwork_machine::fault::{Fault, Level as FaultLevel};

use super::Craft;

/// A rule of the rule book.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// A rule of the judge, by an example fault.
    Judge(Fault),
    /// A craft rule.
    Craft(Craft),
}

impl Rule {
    /// Its name.
    #[must_use]
    pub fn id(&self) -> &'static str {
        match self {
            Rule::Judge(fault) => fault.rule().0,
            Rule::Craft(craft) => craft.id(),
        }
    }

    /// Whether breaking it prevents printing.
    #[must_use]
    pub fn is_error(&self) -> bool {
        matches!(self, Rule::Judge(fault) if fault.level() == FaultLevel::Error)
    }
}

/// Where the limit of a judge's rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// How the machine works.
    Machine,
    /// What the document itself says.
    Document,
    /// Common practice.
    Practice,
    /// The most tucks, from a textbook.
    Tucks,
    /// Tucks at an edge, from a textbook.
    EdgeTucks,
    /// Usual floats.
    Floats,
    /// How far a loop is carried.
    Reach,
    /// Loops knitted through at once.
    Through,
    /// Grams per needle.
    Grams,
    /// Passes that a yarn is carried up.
    Carried,
}
