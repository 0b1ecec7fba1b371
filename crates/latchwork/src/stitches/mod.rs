//! From millimetres to needles and rows: the count that fits the stretches of a piece best, and shaping that comes out
//! exactly.

mod spread;
mod curve;
mod edge;
mod shaped;
mod parts;
mod short;
pub(crate) mod stripes;
mod precheck;
mod chain;
mod joint;
mod placing;
mod worked;
mod settle;
mod clash;
mod rows;

use std::sync::Arc;

use latchwork_machine::needle::{Side, Slot};

use crate::design::{At, CastOn, Change, EdgeKind};
use crate::fabric::{Ends, Fabric};
use crate::units::Mm;

pub use clash::{Clashing, clash};
pub use curve::CurvedEdge;
pub use edge::{EdgePart, EdgeRun, HungPart, edge_parts, edge_run, hung_parts, side_run};
pub use joint::EASED;
pub use parts::{HalfNeck, Parts, Slope};
pub use rows::{Begins, Feed, Item, Repeat, Rows, Section, Shape, sections};
pub use settle::{Settled, misfit, settle, with_stitch_sizes};
pub use shaped::{By, Shaped};
pub use short::{Go, ShortRow};
pub use spread::{Infeasible, Spread, spread, spread_plain_end, spread_row_after};

/// The needles and rows of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Stitches {
    /// One for each piece of the design.
    pub pieces: Vec<PieceStitches>,
}

/// The needles and rows of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceStitches {
    /// The beds of the end needles.
    pub ends: Ends,
    /// The leftmost place at the cast-on, from which needle patterns are counted.
    pub left: Slot,
    /// Places at the cast-on.
    pub places: u32,
    /// One for each stretch.
    pub stretches: Vec<WorkedStretch>,
    /// Rows between the stretches that no swatch measures: in pass notes, rows in no fabric or over some of the needles.
    pub unmeasured: u32,
}

/// A settled stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkedStretch {
    /// The fabric of its rows: the stretch's own, or its own and its panels laid out over the places of the piece.
    pub fabric: Arc<Fabric>,
    /// The place of the first column of the stretch's own fabric, from the left end of the cast-on.
    pub column: i16,
    /// The place of the first column of each of its panels, likewise.
    pub panels: Vec<i16>,
    /// Needles on both beds together at its start.
    pub needles: u32,
    /// Needles on both beds together at its end.
    pub needles_end: u32,
    /// Passes.
    pub rows: u32,
    /// Rows of each of its stripes; none where it has no stripes.
    pub stripes: Vec<u32>,
    /// Rows of it after which a free pass takes the carriage to the next stripe's yarn.
    pub fetches: Vec<u32>,
    /// Whether one more pass, both beds knit, clears open tucks before loops are transferred.
    pub clearing: bool,
    /// Its shapings, in order of rows.
    pub shapings: Vec<Shaped>,
    /// Its short rows, in order; none where every needle knits in every row.
    pub short: Vec<ShortRow>,
    /// Its sides, where a neck divides it.
    pub parts: Option<Parts>,
    /// Its neck, where that lies at one edge; its shapings are then those of both edges.
    pub half: Option<HalfNeck>,
    /// The width of a stitch.
    pub stitch: Mm,
    /// The needles at the left of its slit, if it has one.
    pub slit: Option<u32>,
    /// Its row of holes: buttonholes, eyelets, or the points of a hem.
    pub holes: Option<HoleRow>,
    /// Whether it is folded in half and hung on its first row: it has twice the rows of its length.
    pub folded: bool,
    /// Whether its edges are straight from its start to its end: neither curved nor in steps of their own.
    pub straight: bool,
    /// Where the carriage is before its first pass.
    pub carriage: Side,
    /// Flat width at its start and end, without seam allowance.
    pub width: (Mm, Mm),
    /// Flat length where it is longest.
    pub length: Mm,
    /// Length of its left and right edge, from change to change.
    pub edges: [Mm; 2],
}

/// A row of holes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HoleRow {
    /// The rows of the stretch before it.
    pub after: u32,
    /// The first stitch of each, counted from 0 at the left.
    pub places: Vec<u32>,
    /// Stitches of each: one is moved aside, several are cast off and wound on again.
    pub wide: u32,
}

impl WorkedStretch {
    /// Needles at its end without those of a neck: both shoulders together.
    #[must_use]
    pub fn ending_needles(&self) -> u32 {
        let sloped = self.half.as_ref().map_or(0, |h| h.sloped);
        (self.needles_end + sloped).saturating_sub(self.parts.as_ref().map_or(0, |p| p.neck))
    }

    /// Flat width of its neck at its widest; 0 where it has none.
    #[must_use]
    pub fn neck_width(&self) -> Mm {
        Mm(self.parts.as_ref().map_or(0.0, |p| p.wide.0) + self.half.as_ref().map_or(0.0, |h| h.wide.0))
    }

    /// Flat width at its end without the neck.
    #[must_use]
    pub fn ending_width(&self) -> Mm {
        Mm(self.width.1.0 - self.neck_width().0)
    }

    /// Rows along an edge.
    #[must_use]
    pub fn edge_rows(&self, kind: EdgeKind) -> u32 {
        match kind.side() {
            Some(side) if !self.short.is_empty() => short::at_end(&self.short, side),
            Some(side) => {
                let rows = if self.folded { self.rows / 2 } else { self.rows };
                self.slope(side).map_or(rows, |s| s.outer_rows)
            }
            None => self.rows,
        }
    }

    /// The slope of the shoulder at an edge, where it has one.
    #[must_use]
    pub fn slope(&self, side: Side) -> Option<&Slope> {
        let outer = self.half.as_ref().filter(|h| h.side != side).and_then(|h| h.slope.as_ref());
        self.parts.as_ref().and_then(|p| p.slope.as_ref()).or(outer)
    }

    /// Flat length along an edge.
    #[must_use]
    pub fn edge(&self, kind: EdgeKind) -> Mm {
        match kind.side() {
            Some(side) => self.edges[side as usize],
            None => self.length,
        }
    }

    /// Its left or right edge from the bottom up: how far in from where it begins, and the height; up the slope of a shoulder.
    #[must_use]
    pub fn line(&self, side: Side) -> Vec<(Mm, Mm)> {
        let mut all = self.below_slope(side);
        // What a neck at an edge has cast off is among its shapings.
        let Some(slope) = self.slope(side).filter(|s| self.parts.is_some() || s.held.is_some()) else { return all };
        let Some((out, _)) = all.pop() else { return all };
        let height = |row: u32| Mm(self.length.0 * f64::from(row) / f64::from(self.rows.max(1)));
        let mut gone = out.0;
        all.push((out, height(slope.outer_rows)));
        let over_all = self.rows.saturating_sub(slope.back());
        for (row, stitches) in &slope.groups {
            // What is cast off lies along the row.
            all.extend(slope.held.is_none().then(|| (Mm(gone), height(*row))));
            gone += f64::from(*stitches) * self.stitch.0;
            let up = if slope.held.is_some() { row + 2 + over_all } else { *row };
            all.push((Mm(gone), height(up)));
        }
        all.push((Mm(gone), self.length));
        all
    }

    /// The edge as if no shoulder sloped.
    fn below_slope(&self, side: Side) -> Vec<(Mm, Mm)> {
        let mut all = vec![(Mm(0.0), Mm(0.0))];
        if self.straight {
            let whole = self.width.0.0 - self.width.1.0;
            let share = match self.shapings.first().map(|s| s.at) {
                None | Some(At::Both | At::Across) => 0.5,
                Some(At::Only(only)) => f64::from(u8::from(only == side)),
            };
            all.push((Mm(whole * share), self.length));
            return all;
        }
        let mut gone = 0.0;
        for s in self.shapings.iter().filter(|s| s.at == At::Both || s.at == At::Only(side)) {
            let height = Mm(self.length.0 * f64::from(s.row) / f64::from(self.rows.max(1)));
            // What is cast off lies along the row.
            if s.by == By::Group {
                all.push((Mm(gone), height));
            }
            let by = f64::from(s.stitches) * self.stitch.0;
            gone += if s.change == Change::Decrease { by } else { -by };
            all.push((Mm(gone), height));
        }
        all.push((Mm(gone), self.length));
        all
    }

    /// How far to the right the middle of its end lies from the middle of its start.
    #[must_use]
    pub fn drift(&self) -> Mm {
        let [left, right] = [Side::Left, Side::Right].map(|s| self.line(s).last().map_or(0.0, |p| p.0.0));
        Mm((left - right) / 2.0)
    }

    /// Its outline all round, about the line in the middle of its start: from the bottom of its left edge up, round a neck, and
    /// down the right edge. Across and up.
    #[must_use]
    pub fn contour(&self) -> Vec<(Mm, Mm)> {
        let half = self.width.0.0 / 2.0;
        let mut all: Vec<(Mm, Mm)> = self.line(Side::Left).iter().map(|(x, up)| (Mm(x.0 - half), *up)).collect();
        if let Some(parts) = &self.parts {
            let neck = parts.opening(self.rows);
            let edge = |sign: f64| {
                move |(up, half): &(f64, f64)| (Mm(sign * half * parts.wide.0 / 2.0), Mm(up * self.length.0))
            };
            all.extend(neck.iter().rev().map(edge(-1.0)));
            all.extend(neck.iter().map(edge(1.0)));
        }
        all.extend(self.line(Side::Right).iter().rev().map(|(x, up)| (Mm(half - x.0), *up)));
        all
    }

    /// How far in an edge lies at a share of the height, from where it begins.
    #[must_use]
    pub fn edge_at(&self, side: Side, share: f64) -> f64 {
        let (at, line) = (self.length.0 * share, self.line(side));
        let upper = line.iter().position(|p| p.1.0 >= at).unwrap_or(line.len() - 1).max(1);
        let ((a, low), (b, high)) = (line[upper - 1], line[upper]);
        let within = if high.0 > low.0 { ((at - low.0) / (high.0 - low.0)).clamp(0.0, 1.0) } else { 1.0 };
        a.0 + (b.0 - a.0) * within
    }
}

impl PieceStitches {
    /// How far to the right of the middle of the cast-on the middle of each stretch begins.
    #[must_use]
    pub fn middles(&self) -> Vec<Mm> {
        let mut at = 0.0;
        let begins = self.stretches.iter().map(|w| {
            let here = at;
            at += w.drift().0;
            Mm(here)
        });
        begins.collect()
    }

    /// Flat length of the whole piece; none if some of its rows are unmeasured.
    #[must_use]
    pub fn length(&self) -> Option<Mm> {
        (self.unmeasured == 0).then(|| self.measured())
    }

    /// Total flat length of the stretches.
    #[must_use]
    pub fn measured(&self) -> Mm {
        Mm(self.stretches.iter().map(|s| s.length.0).sum())
    }

    /// All passes on the counter before the ending.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.stretches.iter().map(|s| s.rows + u32::from(s.clearing)).sum()
    }
}

/// Passes of a cast-on before the counter is set to zero.
#[must_use]
pub fn cast_on_passes(cast_on: CastOn) -> u32 {
    match cast_on {
        CastOn::Closed(tubular) => 1 + tubular,
        CastOn::EWrap | CastOn::Hung => 0,
        CastOn::Waste => WASTE_PASSES + 1,
    }
}

/// Passes of waste yarn before the ravel cord (common practice: 6 to 10).
pub const WASTE_PASSES: u32 = 9;
