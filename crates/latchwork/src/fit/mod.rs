//! How a size fits: body, target and result for each stretch; and how sewn edges meet.

mod sheet;
mod sewing;
mod person;

use crate::design::{Design, Edge, EdgeKind, Piece, Seam};
use crate::draft::Draft;
use crate::stitches::{PieceStitches, Stitches};
use crate::units::Mm;

pub use person::{Known, Worn, Worth, known, nearest_size, own_size, worn};
pub use sewing::{Easing, Notch, Opening, SewingMap, Sewn, SewnMeasure, sewing};
pub use sheet::{FitLine, Share, Stretched, What, sheet};

/// One stretch measured against the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// The piece, by index.
    pub piece: usize,
    /// The stretch, by index.
    pub stretch: usize,
    /// Whether it is measured where its shaping ends.
    pub at_end: bool,
    /// The body measure: name and value; none where the width was given directly.
    pub body: Option<(String, Mm)>,
    /// The target, all round.
    pub wished: Mm,
    /// The result, all round.
    pub achieved: Mm,
    /// One standard deviation of the result, as a share.
    pub spread: f64,
}

impl Measure {
    /// Ease over the body, in millimetres.
    #[must_use]
    pub fn ease(&self) -> Option<Mm> {
        self.body.as_ref().map(|(_, b)| Mm(self.achieved.0 - b.0))
    }

    /// Ease over the body, in percent.
    #[must_use]
    pub fn ease_percent(&self) -> Option<f64> {
        self.body.as_ref().map(|(_, b)| (self.achieved.0 / b.0 - 1.0) * 100.0)
    }
}

/// Every stretch of a size with a target.
#[must_use]
pub fn measures(design: &Design, draft: &Draft, stitches: &Stitches) -> Vec<Measure> {
    let mut all = Vec::new();
    for (p, (piece, worked)) in design.pieces.iter().zip(&stitches.pieces).enumerate() {
        for (s, (stretch, w)) in piece.stretches.iter().zip(&worked.stretches).enumerate() {
            let Some(d) = draft.pieces.get(p).and_then(|d| d.stretches.get(s)) else { continue };
            for (target, reached, at_end) in [(&d.width, w.width.0, false), (&d.end, w.width.1, true)] {
                let Some((target, wished)) = target.as_ref().and_then(|t| Some((t, t.flat?))) else { continue };
                let shared = target.body.as_ref().map_or(1.0, |(_, _, shared)| f64::from(*shared));
                all.push(Measure {
                    piece: p,
                    stretch: s,
                    at_end,
                    body: target.body.as_ref().map(|(name, body, _)| (name.clone(), *body)),
                    wished: Mm(wished.0 * shared),
                    achieved: Mm(reached.0 * shared),
                    spread: stretch.gauge.needle.spread,
                });
            }
        }
    }
    all
}

/// The two edges of a seam, in rows or stitches and in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// Rows or stitches of each edge.
    pub count: [u32; 2],
    /// Length of each edge.
    pub length: [Mm; 2],
    /// Whether each edge runs along the ends of rows.
    pub side: [bool; 2],
}

/// How the edges of a seam meet in one size.
#[must_use]
pub fn meeting(design: &Design, seam: &Seam, stitches: &Stitches) -> Meeting {
    let [a, b] = &seam.edges;
    let (mut a, mut b) = (edge(design, a, stitches), edge(design, b, stitches));
    // A short edge sewn to a place along a longer row meets as many stitches as it has.
    let side = [seam.edges[0].kind.is_side(), seam.edges[1].kind.is_side()];
    if !side[0] && !side[1] {
        if !seam.edges[0].middles.is_empty() {
            a = (b.0, b.1);
        } else if !seam.edges[1].middles.is_empty() {
            b = (a.0, a.1);
        }
    }
    Meeting { count: [a.0, b.0], length: [a.1, b.1], side }
}

/// Stitches of a part sewn to a place along a longer row, and of that row.
#[must_use]
pub fn part_and_whole(design: &Design, seam: &Seam, short: &Edge, long: &Edge, stitches: &Stitches) -> (f64, f64) {
    let plain = |e: &Edge| Edge { middles: Vec::new(), ..e.clone() };
    let both = Seam { edges: [plain(short), plain(long)], ..seam.clone() };
    let m = meeting(design, &both, stitches);
    (f64::from(m.count[0]), f64::from(m.count[1]))
}

fn edge(design: &Design, edge: &Edge, stitches: &Stitches) -> (u32, Mm) {
    let (Some(piece), Some(worked)) = (design.pieces.get(edge.piece), stitches.pieces.get(edge.piece)) else {
        return (0, Mm(0.0));
    };
    match edge.kind {
        EdgeKind::Left | EdgeKind::Right => {
            let chosen = edge.stretches.iter().filter_map(|i| worked.stretches.get(*i));
            let rows = chosen.clone().map(|w| w.edge_rows(edge.kind) + u32::from(w.clearing)).sum();
            (rows, Mm(chosen.map(|w| w.edge(edge.kind).0).sum()))
        }
        EdgeKind::CastOn => row(piece, worked, 0, true),
        EdgeKind::Ending => row(piece, worked, worked.stretches.len().saturating_sub(1), false),
    }
}

fn row(piece: &Piece, worked: &PieceStitches, stretch: usize, start: bool) -> (u32, Mm) {
    let (Some(s), Some(w)) = (piece.stretches.get(stretch), worked.stretches.get(stretch)) else {
        return (0, Mm(0.0));
    };
    let needles = if start { w.needles } else { w.ending_needles() };
    (needles, Mm(f64::from(needles) * s.gauge.needle.value))
}
