//! Edges as they are sewn: their rows or stitches, and their lengths from change to change.

use latchwork_machine::needle::Side;

use super::shaped::{By, Shaped};
use super::{PieceStitches, Stitches, WorkedStretch};
use crate::design::{At, Change, Design, Edge, EdgeKind, Piece};
use crate::fact::{Counted, HungKind};
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
        EdgeKind::Ending => {
            let run = along(WorkedStretch::ending_needles, worked.stretches.len().saturating_sub(1));
            // Once round a tube that is left open: it lies double.
            EdgeRun { length: Mm(run.length.0 * if piece.ends_open() { 2.0 } else { 1.0 }), ..run }
        }
        EdgeKind::Shoulder(_) => along(|w| w.ending_needles() / 2, worked.stretches.len().saturating_sub(1)),
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

/// A part of an edge, in the order in which the edge runs from its beginning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePart {
    /// Which part of the edge.
    pub kind: HungKind,
    /// Its rows or stitches, and its length.
    pub run: EdgeRun,
}

/// The parts of an edge: of a neck its first side, its middle and its other side; of a side edge its stretches from the bottom up.
#[must_use]
pub fn edge_parts(piece: &Piece, worked: &PieceStitches, e: &Edge) -> Vec<EdgePart> {
    let whole = edge_run(piece, worked, e);
    let rows = |count: u32, length: f64| EdgeRun { count, counted: Counted::Rows, length: Mm(length) };
    match e.kind {
        EdgeKind::Left | EdgeKind::Right => {
            let kind = HungKind::Side(e.kind.side().unwrap_or(Side::Left));
            let part = |i: &usize| {
                let w = worked.stretches.get(*i)?;
                let run = rows(w.edge_rows(e.kind) + u32::from(w.clearing), w.edge(e.kind).0);
                Some(EdgePart { kind, run })
            };
            e.stretches.iter().filter_map(part).collect()
        }
        EdgeKind::CastOn => vec![EdgePart { kind: HungKind::CastOn, run: whole }],
        EdgeKind::Ending if worked.stretches.last().is_some_and(|w| w.parts.is_some()) => {
            let half = EdgeRun { count: whole.count / 2, length: Mm(whole.length.0 / 2.0), ..whole };
            [Side::Left, Side::Right].map(|s| EdgePart { kind: HungKind::Shoulder(s), run: half }).to_vec()
        }
        EdgeKind::Ending if piece.ends_open() => vec![EdgePart { kind: HungKind::Round, run: whole }],
        EdgeKind::Ending => vec![EdgePart { kind: HungKind::Ending, run: whole }],
        EdgeKind::Shoulder(side) => vec![EdgePart { kind: HungKind::Shoulder(side), run: whole }],
        EdgeKind::Slit => {
            let half = rows(whole.count / 2, whole.length.0 / 2.0);
            [Side::Left, Side::Right].map(|s| EdgePart { kind: HungKind::Side(s), run: half }).to_vec()
        }
        EdgeKind::Neck => {
            let of = e.stretches.first().and_then(|i| Some((*i, worked.stretches.get(*i)?.parts.as_ref()?)));
            let Some((i, neck)) = of else { return Vec::new() };
            let middle = f64::from(neck.middle) * piece.stretches[i].gauge.needle.value;
            let side = rows(worked.stretches[i].rows, (neck.round.0 - middle) / 2.0);
            let [left, right] = [Side::Left, Side::Right].map(|s| EdgePart { kind: HungKind::NeckSide(s), run: side });
            let across = EdgeRun { count: neck.middle, counted: Counted::Stitches, length: Mm(middle) };
            let middle = EdgePart { kind: HungKind::NeckMiddle, run: across };
            if neck.middle == 0 { vec![left, right] } else { vec![left, middle, right] }
        }
    }
}

/// A part of an edge as it is hung on needles.
#[derive(Debug, Clone, PartialEq)]
pub struct HungPart {
    /// Which part, with its places.
    pub part: EdgePart,
    /// Of a side edge: the stretches along which it lies.
    pub along: Vec<usize>,
}

/// The parts of an edge as it is hung, in the order in which the edge runs: the rows of a side edge counted through, but for stitches
/// cast off where a stretch of it begins.
#[must_use]
pub fn hung_parts(piece: &Piece, worked: &PieceStitches, e: &Edge) -> Vec<HungPart> {
    let parts = edge_parts(piece, worked, e);
    let Some(side) = e.kind.side() else {
        return parts.into_iter().map(|part| HungPart { part, along: Vec::new() }).collect();
    };
    let mut all: Vec<HungPart> = Vec::new();
    for (i, mut part) in e.stretches.iter().copied().zip(parts) {
        let group = worked.stretches.get(i).map_or((0, 0.0), |w| (cast_off(w, side), w.stitch.0));
        let length = f64::from(group.0) * group.1;
        if group.0 > 1 {
            let run = EdgeRun { count: group.0, counted: Counted::Stitches, length: Mm(length) };
            all.push(HungPart { part: EdgePart { kind: HungKind::CastOff(side), run }, along: vec![i] });
            part.run.length.0 -= length;
        }
        match all.last_mut().filter(|before| before.part.kind == part.kind) {
            Some(before) => {
                before.part.run.count += part.run.count;
                before.part.run.length.0 += part.run.length.0;
                before.along.push(i);
            }
            None => all.push(HungPart { part, along: vec![i] }),
        }
    }
    all
}

/// Stitches cast off at a side before the first row of a stretch, or after it, at the end where the carriage is then.
fn cast_off(w: &WorkedStretch, side: Side) -> u32 {
    let here = |s: &&Shaped| s.row <= 1 && s.by == By::Group && s.change == Change::Decrease;
    let at = |s: &&Shaped| s.at == At::Both || s.at == At::Only(side);
    w.shapings.iter().filter(here).find(at).map_or(0, |s| s.stitches)
}
