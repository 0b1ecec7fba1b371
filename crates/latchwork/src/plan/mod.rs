//! From needles and rows to steps: passes, and the acts of the hands between them.

mod build;
mod charts;
mod cast_on;
mod colours;
mod hands;
mod joining;
mod parting;
mod ending;
mod tails;

use std::collections::BTreeMap;

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Action, Plan, Step};

use crate::design::{Design, Make};
use crate::fact::{Chart, HungEdge, PartName, PieceName};
use crate::notice::Span;
use crate::stitches::Stitches;
use crate::units::Mm;

pub(crate) use build::Builder;
pub use build::{WASTE, WORKING};
pub use tails::{sewn_with, yarn_along};

/// The plans of one size: one for each piece, two for a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Plans {
    /// The plans in knitting order.
    pub pieces: Vec<PiecePlan>,
}

/// The plan of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PiecePlan {
    /// Its name.
    pub name: PieceName,
    /// The piece of the design, by index.
    pub piece: usize,
    /// How many alike to make.
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
    /// Edges of other pieces hung on the needles, by step.
    pub hung: Vec<HungEdge>,
    /// The charts of its rows.
    pub charts: Vec<Chart>,
}

impl PiecePlan {
    /// Whether the pattern device brings the needles of a part forward, by origin number.
    #[must_use]
    pub fn by_device(&self, part: u32) -> bool {
        self.charts.iter().any(|c| c.by_device && c.parts.iter().any(|p| p.0 == part))
    }

    /// The lengths of yarn left hanging, by step.
    #[must_use]
    pub fn tail_lengths(&self) -> BTreeMap<usize, Mm> {
        self.tails.iter().map(|t| (t.step, t.length)).collect()
    }
}

/// A part of a piece, to which the origins of steps refer.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its name.
    pub name: PartName,
    /// Its kind.
    pub kind: PartKind,
    /// Its place in the document.
    pub span: Span,
}

/// The kind of a part of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartKind {
    /// The beginning, before the counter is set to zero.
    CastOn,
    /// A stretch of fabric.
    Stretch {
        /// The stretch of the piece, by index.
        index: usize,
        /// Its fabric's name.
        fabric: String,
    },
    /// Acts of the hands between two stretches.
    Between {
        /// The stretch that follows, by index.
        before: usize,
    },
    /// The ending.
    Ending,
}

impl Part {
    /// The same part of the mirror image.
    fn mirror(&self) -> Part {
        let name = match &self.name {
            PartName::SideOf(name, side) => PartName::SideOf(name.clone(), side.other()),
            other => other.clone(),
        };
        Part { name, ..self.clone() }
    }

    /// The name of its fabric, if it is a stretch.
    #[must_use]
    pub fn fabric(&self) -> Option<&str> {
        match &self.kind {
            PartKind::Stretch { fabric, .. } => Some(fabric),
            PartKind::CastOn | PartKind::Between { .. } | PartKind::Ending => None,
        }
    }

    /// The stretch that it is, or leads to, by index.
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
    /// The step after which it is left.
    pub step: usize,
    /// Its length.
    pub length: Mm,
}

/// Weight of the comb in grams: common practice, no source.
pub const COMB: u32 = 50;
/// Passes of waste yarn after an ending on waste yarn (common practice: 6 to 10).
pub const WASTE_END: u32 = 8;

/// Plans one size of a design.
#[must_use]
pub fn plans(design: &Design, stitches: &Stitches) -> Plans {
    let mut pieces = Vec::new();
    for (i, (piece, worked)) in design.pieces.iter().zip(&stitches.pieces).enumerate() {
        let plan = build::piece(design, i, (piece, worked), &stitches.pieces);
        match piece.make {
            Make::Alike(n) => pieces.push(PiecePlan { make: n, ..plan }),
            Make::Pair => {
                let mut mirrored = plan.plan.mirror();
                let tails = mirrored_tails(&plan, &mirrored);
                let hung = mirrored_hung(&plan, &mut mirrored);
                let name = |side| PieceName { of_pair: Some(side), ..plan.name.clone() };
                let charts = plan.charts.iter().map(Chart::mirror).collect();
                let origins = plan.origins.iter().map(Part::mirror).collect();
                let name_of = name(Side::Right);
                let mirror = PiecePlan {
                    name: name_of,
                    mirrored: true,
                    plan: mirrored,
                    origins,
                    tails,
                    hung,
                    charts,
                    ..plan.clone()
                };
                pieces.push(PiecePlan { name: name(Side::Left), ..plan });
                pieces.push(mirror);
            }
        }
    }
    charts::lettered(&mut pieces);
    Plans { pieces }
}

/// The edges that the mirror image hangs, in their order. Places along a row are counted from its left end there too.
fn mirrored_hung(plan: &PiecePlan, mirrored: &mut Plan) -> Vec<HungEdge> {
    let steps = mirrored.steps.iter_mut().enumerate();
    let hung = steps.filter_map(|(i, s)| match &mut s.action {
        Action::HangEdge { places, .. } => Some((i, places)),
        _ => None,
    });
    let of = |(h, (step, places)): (&HungEdge, (usize, &mut Vec<u32>))| {
        let other = h.mirror(step);
        if other.falls != h.falls {
            places.reverse();
        }
        other
    };
    plan.hung.iter().zip(hung).map(of).collect()
}

/// The tails of a mirror image. It may have one more racking where the pitch changes: steps are matched by the order of
/// joins and cuts, the only steps that leave yarn.
fn mirrored_tails(plan: &PiecePlan, mirrored: &Plan) -> Vec<Tail> {
    let ends = |p: &Plan| -> Vec<usize> {
        let of = |(i, s): (usize, &Step)| matches!(s.action, Action::Join { .. } | Action::Cut(_)).then_some(i);
        p.steps.iter().enumerate().filter_map(of).collect()
    };
    let (here, there) = (ends(&plan.plan), ends(mirrored));
    let moved = |t: &Tail| here.iter().position(|i| *i == t.step).and_then(|k| there.get(k).copied());
    plan.tails.iter().filter_map(|t| moved(t).map(|step| Tail { step, ..*t })).collect()
}
