//! One piece of one size: the best needles and the best rows within bounds, each exactly.
//!
//! Needles: the count at the cast-on and the number of times of each spread shaping are whole numbers with few values,
//! and the cost of a stretch depends only on the needles that it begins with. For each count the least cost of all later
//! stretches is computed once and kept, and no count is left out. Rows: cost grows on both sides of the target, and the
//! nearest multiple within the bounds is the best.

use std::rc::Rc;

use super::precheck::{changed, even, moved, spreads, suits, width};
use super::shaped::outer;
use crate::design::{At, Ending, Middle, Piece, Stretch};
use crate::draft::{PieceDraft, Target};
use crate::fabric::Ends;

/// Cost of each needle by which an exact target is missed; far above any misfit in width.
pub(super) const EXACT: f64 = 1e6;

/// Values of a needle count, from 0.
const MOST: usize = 1001;

/// Bounds of the numbers of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bounds {
    pub(super) start: (u32, u32),
    pub(super) end: (u32, u32),
    pub(super) rows: (u32, u32),
}

impl Bounds {
    pub(super) const FREE: Bounds = Bounds { start: (0, u32::MAX), end: (0, u32::MAX), rows: (1, 20_000) };
}

/// Needles of a stretch, and its number of shapings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Counts {
    pub(super) start: u32,
    pub(super) end: u32,
    pub(super) times: u32,
}

/// The best needles of a piece.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chain {
    pub(super) cost: f64,
    pub(super) places: u32,
    pub(super) counts: Vec<Counts>,
}

/// The best rows of a piece.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RowChoice {
    pub(super) cost: f64,
    pub(super) rows: Vec<u32>,
}

/// A piece to be settled in one size.
#[derive(Debug, Clone)]
pub(super) struct PieceProblem<'a> {
    pub(super) piece: &'a Piece,
    pub(super) drafted: &'a PieceDraft,
    /// The rows nearest to the target of each stretch, and the unit of its shaping.
    pub(super) nearest: Vec<(u32, u32)>,
    pub(super) available: u32,
    pub(super) ends: Ends,
    /// Weight of the width of each stretch: stretches with the same target in the same fabric count as one.
    pub(super) weights: Vec<f64>,
    /// The best needles without bounds.
    pub(super) free: Option<Rc<Chain>>,
    /// The most needles that the owner holds at a time.
    pub(super) most_held: Option<u32>,
    /// Of needle counts that suit the targets equally well, the one nearest to this width is taken: that of the edges hung on it.
    pub(super) prefers: Option<f64>,
    /// Stretches whose rows are fitted to the edge that they are sewn to.
    pub(super) fitted: Vec<usize>,
    /// Whether targets only hold or fail: no cost within what is allowed, [`EXACT`] beyond.
    pub(super) hard: bool,
}

impl<'a> PieceProblem<'a> {
    pub(super) fn new(
        piece: &'a Piece,
        drafted: &'a PieceDraft,
        nearest: Vec<(u32, u32)>,
        available: u32,
        hard: bool,
    ) -> PieceProblem<'a> {
        let weights = piece.stretches.iter().zip(&drafted.stretches).map(|(s, d)| {
            let Some(target) = &d.width else { return 1.0 };
            let alike = piece.stretches.iter().zip(&drafted.stretches).filter(|(other, o)| {
                other.fabric == s.fabric && o.width.as_ref().is_some_and(|t| t.flat == target.flat)
            });
            target.weight / alike.fold(0.0_f64, |n, _| n + 1.0).max(1.0)
        });
        let weights = weights.collect();
        PieceProblem {
            piece,
            drafted,
            nearest,
            available,
            ends: Ends::BothMain,
            weights,
            free: None,
            most_held: None,
            prefers: None,
            fitted: Vec::new(),
            hard,
        }
    }

    /// The width of its neck in millimetres, as it is wished or as its steps make it; 0 where it has none.
    pub(super) fn neck_wide(&self) -> f64 {
        let (Some(s), Some(d)) = (self.piece.stretches.last(), self.drafted.stretches.last()) else { return 0.0 };
        let Some(neck) = &s.neck else { return 0.0 };
        let ends = neck.shaping.at.ends();
        let steps = match (neck.shaping.times(), neck.middle) {
            (Some(times), Middle::Stitches(n)) => Some(n + ends * neck.shaping.at_each_end(times)),
            (Some(times), Middle::Fewest | Middle::Share(_)) => Some(ends * neck.shaping.at_each_end(times)),
            _ => d.neck.as_ref().and_then(|t| t.needles),
        };
        let flat = d.neck.as_ref().and_then(|t| t.flat);
        steps.map_or(flat.map_or(0.0, |f| f.0), |n| f64::from(n) * s.gauge.needle.value)
    }

    /// The step in which the rows of a stretch may change; 0 where they are fixed.
    pub(super) fn row_step(&self, i: usize) -> u32 {
        let s = &self.piece.stretches[i];
        match self.drafted.stretches[i].length {
            None => 0,
            Some(_) => even(if spreads(self.piece, i) { self.nearest[i].1 } else { s.row_multiple() }),
        }
    }

    /// Fewest and most rows that a stretch may have for the sake of its seams or shaping: a tenth or one step from its
    /// target, or half of it where it is fitted to another edge (common practice, no source).
    fn row_reach(&self, i: usize) -> (u32, u32) {
        let (nearest, step) = (self.nearest[i].0, self.row_step(i));
        if step == 0 {
            return (nearest, nearest);
        }
        let part = if self.fitted.contains(&i) { 2 } else { 10 };
        let most = (nearest / part).max(step) / step * step;
        (nearest.saturating_sub(most).max(step), nearest + most)
    }

    /// The best rows within bounds.
    pub(super) fn rows(&self, bounds: &[Bounds]) -> Option<RowChoice> {
        let mut best = RowChoice { cost: 0.0, rows: Vec::with_capacity(bounds.len()) };
        for (i, b) in bounds.iter().enumerate() {
            let (nearest, step) = (self.nearest[i].0, self.row_step(i));
            let Some(length) = self.drafted.stretches[i].length.filter(|_| step > 0) else {
                if !(b.rows.0..=b.rows.1).contains(&nearest) {
                    return None;
                }
                best.rows.push(nearest);
                continue;
            };
            let (least, most) = self.row_reach(i);
            let (least, most) = (b.rows.0.max(least).div_ceil(step) * step, b.rows.1.min(most) / step * step);
            if least > most {
                return None;
            }
            let rows = nearest.clamp(least, most);
            let s = &self.piece.stretches[i];
            if !self.hard {
                let off = f64::from(rows) * s.gauge.pass.value / length.0 - 1.0;
                best.cost += s.length_weight * off * off;
            }
            best.rows.push(rows);
        }
        Some(best)
    }

    /// The best needles within bounds, shared where there are none.
    pub(super) fn best_chain(&self, bounds: &[Bounds]) -> Option<Rc<Chain>> {
        let unbound = bounds.iter().all(|b| *b == Bounds::FREE);
        self.free.clone().filter(|_| unbound).or_else(|| self.chain(bounds).map(Rc::new))
    }

    /// The best needles within bounds, with shapings that fit in the most rows allowed.
    pub(super) fn chain(&self, bounds: &[Bounds]) -> Option<Chain> {
        let layout = self.piece.stretches.first()?.fabric.layout;
        let count = self.piece.stretches.len();
        let mut search =
            Search { problem: self, bounds, memory: vec![f64::NAN; count * MOST], chosen: vec![0; count * MOST] };
        // Nearest to the first target first: a count whose first stretch costs more than the best total can be skipped.
        let wish = self.drafted.stretches.first()?.width.as_ref();
        let mut counts: Vec<(f64, u32)> = (1..=self.available)
            .filter(|places| suits(layout, *places, self.ends))
            .map(|places| {
                let (main, ribber) = layout.needle_count(places);
                (wish.map_or(0.0, |t| self.misfit(0, t, main + ribber, self.weights[0], EXACT)), places)
            })
            .collect();
        let needle = self.piece.stretches.first()?.gauge.needle.value;
        let off = |places: u32| {
            let (main, ribber) = layout.needle_count(places);
            self.prefers.map_or(0.0, |wide| (f64::from(main + ribber) * needle - wide).abs())
        };
        counts.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| off(a.1).total_cmp(&off(b.1))));
        let mut best: Option<(f64, f64, u32)> = None;
        for (own, places) in counts {
            if best.is_some_and(|b| own > b.0) {
                break;
            }
            let (main, ribber) = layout.needle_count(places);
            let cost = search.cost(0, main + ribber);
            let this = (cost, off(places), places);
            if cost.is_finite() && best.is_none_or(|b| this < b) {
                best = Some(this);
            }
        }
        let (cost, _, places) = best?;
        let (main, ribber) = layout.needle_count(places);
        let mut needles = main + ribber;
        let mut counts = Vec::with_capacity(count);
        for (i, s) in self.piece.stretches.iter().enumerate() {
            let times = match &s.shaping {
                None => 0,
                Some(sh) => sh.times().unwrap_or_else(|| search.chosen[i * MOST + needles as usize]),
            };
            let end = self.end(i, needles, times)?;
            counts.push(Counts { start: needles, end, times });
            let next = self.piece.stretches.get(i + 1);
            needles = next.map_or(end, |n| moved(s.fabric.layout, n.fabric.layout, end));
        }
        Some(Chain { cost, places, counts })
    }

    /// Needles after a number of shapings.
    fn end(&self, i: usize, needles: u32, times: u32) -> Option<u32> {
        match &self.piece.stretches[i].shaping {
            None => Some(needles),
            Some(sh) => changed(needles, sh.change, sh.at_each_end(times).saturating_mul(sh.at.ends())),
        }
    }

    /// Whether the needles of stretch `i` can take this number of loops.
    fn stands(&self, i: usize, needles: u32) -> bool {
        let layout = self.piece.stretches[i].fabric.layout;
        let moved = i > 0 && self.piece.stretches[i - 1].fabric.layout != layout;
        if let Some((every, plus)) = self.piece.whole_repeats(&self.piece.stretches[i])
            && !needles.checked_sub(plus).is_some_and(|n| n.is_multiple_of(every))
        {
            return false;
        }
        if layout.all_of_both() {
            needles.is_multiple_of(2)
        } else if layout.two_beds() && layout.one_per_place() && (moved || layout.repeat() == 1) {
            layout.allows(needles, self.ends)
        } else {
            true
        }
    }

    /// Squared misfit as a share of the target, times its weight; missing an exact target costs more than any misfit.
    fn misfit(&self, i: usize, target: &Target, needles: u32, weight: f64, exact: f64) -> f64 {
        let s = &self.piece.stretches[i];
        match (target.needles, target.flat) {
            (Some(n), _) => exact * f64::from(n.abs_diff(needles)),
            (None, Some(flat)) => {
                let off = width(self.piece, s, needles, self.ends).0 - flat.0;
                if self.hard {
                    if near_enough(off, flat.0, s) { 0.0 } else { exact }
                } else {
                    weight * (off / flat.0).powi(2)
                }
            }
            (None, None) => 0.0,
        }
    }
}

/// Whether a width is near enough to its target: within a fifth (common practice, no source), four needles, or a stitch of every wedge
/// of a crown, which goes by whole rounds of them.
pub(super) fn near_enough(off: f64, flat: f64, s: &Stretch) -> bool {
    let wedges = s.shaping.as_ref().filter(|sh| sh.at == At::Across).map_or(0, |sh| sh.stitches);
    off.abs() <= 0.2 * flat || off.abs() <= s.gauge.needle.value * f64::from(wedges.max(4)) + 1e-6
}

/// The least costs already computed.
struct Search<'a> {
    problem: &'a PieceProblem<'a>,
    bounds: &'a [Bounds],
    /// Costs by stretch and needles; NaN: not yet known.
    memory: Vec<f64>,
    /// The number of spread shapings that gives it.
    chosen: Vec<u32>,
}

impl Search<'_> {
    fn cost(&mut self, i: usize, needles: u32) -> f64 {
        let p = self.problem;
        let Some(s) = p.piece.stretches.get(i) else { return 0.0 };
        let at = i * MOST + needles as usize;
        if needles as usize >= MOST {
            return f64::INFINITY;
        }
        if !self.memory[at].is_nan() {
            return self.memory[at];
        }
        let b = self.bounds[i];
        let mut best = f64::INFINITY;
        if p.stands(i, needles) && (b.start.0..=b.start.1).contains(&needles) {
            let drafted = &p.drafted.stretches[i];
            let own = drafted.width.as_ref().map_or(0.0, |t| p.misfit(i, t, needles, p.weights[i], EXACT));
            let least = if i + 1 == p.piece.stretches.len() && p.piece.ending == Ending::Point { 1 } else { 2 };
            let fits = |n: &u32| *n >= least && (b.end.0..=b.end.1).contains(n);
            match &s.shaping {
                None if (b.end.0..=b.end.1).contains(&needles) => best = own + self.onward(i, needles),
                None => {}
                Some(sh) => match sh.times() {
                    Some(times) => {
                        if let Some(end) = p.end(i, needles, times).filter(fits) {
                            best = own + self.onward(i, end);
                        }
                    }
                    None => {
                        let unit = p.nearest[i].1;
                        let most = b.rows.1.min(p.row_reach(i).1);
                        for times in 0..=outer(p.piece, i).map_or(0, |e| e.room(most, unit)) {
                            let Some(end) = p.end(i, needles, times).filter(|n| *n >= least && *n <= 1000) else {
                                break;
                            };
                            if !fits(&end) {
                                continue;
                            }
                            // Of two exact counts that cannot both hold, the one that the shaping leads to gives way.
                            let reached =
                                drafted.end.as_ref().map_or(0.0, |t| p.misfit(i, t, end, t.weight, 0.9 * EXACT));
                            if own + reached >= best {
                                continue;
                            }
                            let cost = own + reached + self.onward(i, end);
                            if cost < best {
                                best = cost;
                                self.chosen[at] = times;
                            }
                        }
                    }
                },
            }
        }
        self.memory[at] = best;
        best
    }

    /// The cost from the next stretch on, once the loops are on its needles.
    fn onward(&mut self, i: usize, needles: u32) -> f64 {
        let next = self.problem.piece.stretches.get(i + 1);
        let from = self.problem.piece.stretches[i].fabric.layout;
        self.cost(i + 1, next.map_or(needles, |n| moved(from, n.fabric.layout, needles)))
    }
}

/// Whether the shapings of a stretch fit in a number of rows.
pub(super) fn has_room(piece: &Piece, i: usize, times: u32, rows: u32, unit: u32) -> bool {
    outer(piece, i).is_none_or(|e| e.shaping.times().is_some() || times <= e.room(rows, unit))
}
