//! From needles and rows to steps: what the carriages and the hands do, pass by pass.

mod build;
mod cast_on;
mod hands;
mod ending;
mod tails;

use latchwork_machine::steps::Plan;

use crate::design::{Design, Make};
use crate::notice::Span;
use crate::stitches::Stitches;
use crate::units::Mm;

pub use tails::sewn_with;

/// The plans of one size: one for each piece, two for a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Plans {
    /// In knitting order.
    pub pieces: Vec<PiecePlan>,
}

/// The plan of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PiecePlan {
    /// Its name, with "left" or "right" for one of a pair.
    pub name: String,
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
    /// What each part is called, and its fabric where it is a stretch.
    #[must_use]
    pub fn labels(&self) -> Vec<(String, Option<&'static str>)> {
        self.origins.iter().map(|p| (p.label.clone(), p.fabric)).collect()
    }
}

/// A part of a piece, as origins of steps name it.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is called in print.
    pub label: String,
    /// Its fabric's name, where it is a stretch.
    pub fabric: Option<&'static str>,
    /// The stretch of the piece, by index.
    pub stretch: Option<usize>,
    /// Where it stands in the document.
    pub span: Span,
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
                let mirror = PiecePlan {
                    name: format!("{}, right", plan.name),
                    mirrored: true,
                    plan: plan.plan.mirror(),
                    ..plan.clone()
                };
                pieces.push(PiecePlan { name: format!("{}, left", plan.name), ..plan });
                pieces.push(mirror);
            }
        }
    }
    Plans { pieces }
}
