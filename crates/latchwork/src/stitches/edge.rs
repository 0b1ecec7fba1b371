//! Edges as they are sewn: their rows or stitches, and their lengths from change to change.

use latchwork_machine::needle::Side;

use super::shaped::Shaped;
use super::{PieceStitches, Stitches, WorkedStretch};
use crate::design::{At, Design, Edge, EdgeKind, Piece};
use crate::fact::Counted;
use crate::units::Mm;

/// An edge, or several on end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeRun {
    /// Its rows, stitches, or rows and stitches.
    pub count: u32,
    /// What they are.
    pub counted: Counted,
    /// Its length as knitted.
    pub length: Mm,
}

/// Length of the edge at a side over so many rows, from change to change: sqrt((rows between × h)² + (stitches × s)²). What is
/// cast off before the first row lies along it. `size`: width of a stitch and length of a row.
pub(super) fn edge_length(shapings: &[Shaped], side: Side, rows: u32, size: (f64, f64)) -> f64 {
    let (mut at, mut sum) = (0, 0.0);
    for s in shapings.iter().filter(|s| s.at == At::Both || s.at == At::Only(side)) {
        sum += (f64::from(s.row.saturating_sub(at)) * size.1).hypot(f64::from(s.stitches) * size.0);
        at = s.row;
    }
    sum + f64::from(rows.saturating_sub(at)) * size.1
}

/// An edge of a piece.
#[must_use]
pub fn edge_run(piece: &Piece, worked: &PieceStitches, edge: &Edge) -> EdgeRun {
    let chosen = || edge.stretches.iter().filter_map(|i| worked.stretches.get(*i));
    let along = |needles: fn(&WorkedStretch) -> u32, i: usize| {
        let count = worked.stretches.get(i).map_or(0, needles);
        let needle = piece.stretches.get(i).map_or(0.0, |s| s.gauge.needle.value);
        EdgeRun { count, counted: Counted::Stitches, length: Mm(f64::from(count) * needle) }
    };
    match edge.kind {
        EdgeKind::Left | EdgeKind::Right => EdgeRun {
            count: chosen().map(|w| w.edge_rows(edge.kind) + u32::from(w.clearing)).sum(),
            counted: Counted::Rows,
            length: Mm(chosen().map(|w| w.edge(edge.kind).0).sum()),
        },
        EdgeKind::CastOn => along(|w| w.needles, 0),
        EdgeKind::Ending => along(WorkedStretch::ending_needles, worked.stretches.len().saturating_sub(1)),
        EdgeKind::Neck => {
            let necks = || chosen().filter_map(|w| Some((w, w.parts.as_ref()?)));
            EdgeRun {
                count: necks().map(|(w, p)| p.middle + 2 * w.rows).sum(),
                counted: Counted::Mixed,
                length: Mm(necks().map(|(_, p)| p.round.0).sum()),
            }
        }
        EdgeKind::Slit => EdgeRun {
            count: chosen().map(|w| 2 * w.rows).sum(),
            counted: Counted::Rows,
            length: Mm(chosen().map(|w| 2.0 * w.length.0).sum()),
        },
    }
}

/// A side of a seam: its edges on end.
#[must_use]
pub fn side_run(design: &Design, stitches: &Stitches, edges: &[Edge]) -> EdgeRun {
    let runs =
        edges.iter().filter_map(|e| Some(edge_run(design.pieces.get(e.piece)?, stitches.pieces.get(e.piece)?, e)));
    runs.reduce(|a, b| EdgeRun {
        count: a.count + b.count,
        counted: if a.counted == b.counted { a.counted } else { Counted::Mixed },
        length: Mm(a.length.0 + b.length.0),
    })
    .unwrap_or(EdgeRun { count: 0, counted: Counted::Rows, length: Mm(0.0) })
}
