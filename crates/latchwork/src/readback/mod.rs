//! The printed instructions read back: text to passes and hand operations of each size, by the forms of the sentences
//! alone. It knows nothing of how they were written; only the steps are shared.

mod chart;
mod cursor;
mod deeds;
mod reader;
mod sentences;
mod hands;
mod joins;
mod stretch;
mod short;
mod standing;

use std::fmt;

pub use deeds::{Deed, deeds};
pub use reader::read_back;

/// Names in the text that a reader must be given: they may be any words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Glossary {
    /// Sizes in the order printed.
    pub sizes: Vec<String>,
    /// Yarns by their number in the plan.
    pub yarns: Vec<String>,
    /// Names of the stretches.
    pub labels: Vec<String>,
    /// Fabrics.
    pub fabrics: Vec<String>,
    /// Other pieces whose edges are hung.
    pub pieces: Vec<String>,
    /// Whether the words are American rather than British.
    pub american: bool,
}

/// What the text of one size says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Heard {
    /// Passes and hand operations.
    pub deeds: Vec<Deed>,
    /// Stretches: passes before it, label, fabric.
    pub stretches: Vec<(usize, String, String)>,
    /// Lengths of yarn to leave, as printed.
    pub tails: Vec<String>,
}

/// Where the text could not be followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread {
    /// The printed number of the step.
    pub step: u32,
    /// The size that was read.
    pub size: String,
    /// The words at that place.
    pub at: String,
    /// What is wrong.
    pub why: String,
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Misread { step, size, at, why } = self;
        write!(f, "Step {step}, size {size}: {why} It says \u{201c}{at}\u{201d}.")
    }
}

/// The first place where two lists of deeds differ, in words; none if they are the same.
#[must_use]
pub fn difference(heard: &[Deed], planned: &[Deed]) -> Option<String> {
    let i = (0..heard.len().max(planned.len())).find(|i| heard.get(*i) != planned.get(*i))?;
    let show = |d: Option<&Deed>| d.map_or("nothing more".to_string(), |d| format!("{d:?}"));
    Some(format!("deed {} reads {}; the plan has {}", i + 1, show(heard.get(i)), show(planned.get(i))))
}
