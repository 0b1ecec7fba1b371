//! From needles and rows to steps: what the carriages and the hands do, pass by pass.

mod build;
mod cast_on;
mod hands;
mod ending;
mod tails;

use std::collections::BTreeMap;

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Action, Plan, Step};

use crate::design::{Design, Make};
use crate::fact::{PartName, PieceName};
use crate::notice::Span;
use crate::stitches::Stitches;
use crate::units::Mm;

pub(crate) use build::Builder;
pub use build::{WASTE, WORKING};
pub use tails::{sewn_with, yarn_along};

/// The plans of one size: one for each piece, two for a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Plans {
    /// In knitting order.
    pub pieces: Vec<PiecePlan>,
}

/// The plan of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PiecePlan {
    /// What it is called.
    pub name: PieceName,
    /// The piece of the design, by index.
    pub piece: usize,
    /// How many are made alike.
    pub make: u32,
    /// Whether left and right have changed places.
    pub mirrored: bool,
    /// The steps.
    pub plan: Plan,
    /// What each origin number of the plan means.
    pub origins: Vec<Part>,
    /// Yarns by their number in the plan.
    pub yarns: Vec<String>,
    /// Lengths of yarn to leave, by step.
    pub tails: Vec<Tail>,
}

impl PiecePlan {
    /// The lengths of yarn left hanging, by step.
    #[must_use]
    pub fn tail_lengths(&self) -> BTreeMap<usize, Mm> {
        self.tails.iter().map(|t| (t.step, t.length)).collect()
    }
}

/// A part of a piece, as origins of steps name it.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is called.
    pub name: PartName,
    /// What it is.
    pub kind: PartKind,
    /// Where it stands in the document.
    pub span: Span,
}

/// What a part of a piece is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartKind {
    /// The beginning, before the counter is set to zero.
    CastOn,
    /// A stretch of fabric.
    Stretch {
        /// Which of the piece, by index.
        index: usize,
        /// Its fabric's name.
        fabric: String,
    },
    /// What the hands do between two stretches.
    Between {
        /// The stretch that follows, by index.
        before: usize,
    },
    /// How the loops are made fast.
    Ending,
}

impl Part {
    /// Its fabric's name, where it is a stretch.
    #[must_use]
    pub fn fabric(&self) -> Option<&str> {
        match &self.kind {
            PartKind::Stretch { fabric, .. } => Some(fabric),
            PartKind::CastOn | PartKind::Between { .. } | PartKind::Ending => None,
        }
    }

    /// The stretch that it is, or leads to.
    #[must_use]
    pub fn stretch(&self) -> Option<usize> {
        match self.kind {
            PartKind::Stretch { index, .. } | PartKind::Between { before: index } => Some(index),
            PartKind::CastOn | PartKind::Ending => None,
        }
    }
}

/// A length of yarn left hanging.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tail {
    /// After which step.
    pub step: usize,
    /// How long.
    pub length: Mm,
}

/// The comb's weight, grams: common practice, no source.
pub const COMB: u32 = 50;
/// Passes of waste yarn after an ending on waste yarn (common practice: 6 to 10).
pub const WASTE_END: u32 = 8;

/// Plans one size of a design.
#[must_use]
pub fn plans(design: &Design, stitches: &Stitches) -> Plans {
    let mut pieces = Vec::new();
    for (i, (piece, worked)) in design.pieces.iter().zip(&stitches.pieces).enumerate() {
        let plan = build::piece(design, i, piece, worked);
        match piece.make {
            Make::Alike(n) => pieces.push(PiecePlan { make: n, ..plan }),
            Make::Pair => {
                let mirrored = plan.plan.mirror();
                let tails = mirrored_tails(&plan, &mirrored);
                let name = |side| PieceName { of_pair: Some(side), ..plan.name.clone() };
                let mirror =
                    PiecePlan { name: name(Side::Right), mirrored: true, plan: mirrored, tails, ..plan.clone() };
                pieces.push(PiecePlan { name: name(Side::Left), ..plan });
                pieces.push(mirror);
            }
        }
    }
    Plans { pieces }
}

/// The tails of a mirror image: it may have a rack more where the pitch changes, so steps are told by the order of
/// joins and cuts, after which alone yarn is left.
fn mirrored_tails(plan: &PiecePlan, mirrored: &Plan) -> Vec<Tail> {
    let ends = |p: &Plan| -> Vec<usize> {
        let of = |(i, s): (usize, &Step)| matches!(s.action, Action::Join { .. } | Action::Cut(_)).then_some(i);
        p.steps.iter().enumerate().filter_map(of).collect()
    };
    let (here, there) = (ends(&plan.plan), ends(mirrored));
    let moved = |t: &Tail| here.iter().position(|i| *i == t.step).and_then(|k| there.get(k).copied());
    plan.tails.iter().filter_map(|t| moved(t).map(|step| Tail { step, ..*t })).collect()
}
