//! The rule book, as data: its rules, and where the limits of the judge come from.

use latchwork_machine::fault::{Fault, Level as FaultLevel};

use super::Craft;

/// A rule of the rule book.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// Of the judge, by one of its faults.
    Judge(Fault),
    /// Of the craft.
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

    /// Whether nothing is printed while it is broken.
    #[must_use]
    pub fn is_error(&self) -> bool {
        matches!(self, Rule::Judge(fault) if fault.level() == FaultLevel::Error)
    }
}

/// Where the limit of a rule of the judge comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// How the machine works.
    Machine,
    /// What the document itself says.
    Document,
    /// Common practice.
    Practice,
    /// A textbook's most tucks.
    Tucks,
    /// A textbook on tucks at an edge.
    EdgeTucks,
    /// Usual floats.
    Floats,
    /// How far a loop is carried.
    Reach,
    /// Loops knitted through at once.
    Through,
    /// Grams a needle.
    Grams,
    /// Passes that a yarn is carried up.
    Carried,
}
