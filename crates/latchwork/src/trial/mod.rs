//! Made-up designs, planned, printed and read back: any law broken is a fault of the program.

mod made_up;
mod taper;

use std::collections::BTreeMap;

pub use made_up::{ELDEST, ENDINGS, FABRICS, SHAPINGS, Seed, combinations, document, possible};

use crate::check::prove;
use crate::design::from_text;
use crate::handout::{Misprint, proofread};
use crate::notice::Level;

/// The result of a trial of one made-up design.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tried {
    /// Cannot be knitted, and was refused with a reason.
    Refused,
    /// Proven, printed in words and read back the same.
    Same,
    /// Read back, the words differ from the plan.
    Differs(Misprint),
    /// Refused without a reason, or stopped by a later error.
    Broken(String),
}

/// The results of many trials.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    /// Designs that were refused.
    pub refused: u64,
    /// Designs read back the same.
    pub same: u64,
    /// Numbers of the designs that went wrong, with the fault.
    pub wrong: Vec<(u64, String)>,
    /// Designs read back the same, by fabric and shaping of the last stretch, and ending.
    pub occurred: BTreeMap<(usize, u8, usize), u64>,
}

impl Tally {
    /// Tries the design of this number among [`combinations`].
    pub fn try_one(&mut self, number: u64, combinations: &[(usize, u8, usize)]) {
        let seed = Seed::from_number(number, combinations);
        match tried(&seed) {
            Tried::Refused => self.refused += 1,
            Tried::Same => {
                self.same += 1;
                let last = seed.fabrics.last().copied().unwrap_or(0);
                *self.occurred.entry((last, seed.shaping, seed.ending)).or_default() += 1;
            }
            Tried::Differs(misprint) => self.wrong.push((number, misprint.to_string())),
            Tried::Broken(why) => self.wrong.push((number, why)),
        }
    }

    /// Adds another's counts.
    pub fn add(&mut self, other: Tally) {
        self.refused += other.refused;
        self.same += other.same;
        self.wrong.extend(other.wrong);
        for (key, n) in other.occurred {
            *self.occurred.entry(key).or_default() += n;
        }
    }
}

/// Plans one made-up design in all its sizes, writes its instructions and reads them back.
#[must_use]
pub fn tried(seed: &Seed) -> Tried {
    let (design, notices) = from_text(&document(seed));
    let Some(design) = design.filter(|_| !notices.has_error()) else {
        let told = notices.0.iter().any(|n| n.level == Level::Error && n.span.is_some());
        return if told { Tried::Refused } else { Tried::Broken("Refused without a place in the text.".to_string()) };
    };
    let sizes: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &sizes);
    let Some(proven) = &outcome.proven else {
        let told = outcome.notices.iter().any(|(_, n)| n.level == Level::Error);
        return if told { Tried::Refused } else { Tried::Broken("Refused without a reason.".to_string()) };
    };
    match proofread(proven, &sizes) {
        Ok(_) => Tried::Same,
        Err(misprint) => Tried::Differs(misprint),
    }
}
