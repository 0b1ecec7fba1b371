//! The shapings of a stretch: how many stitches at which end after which row, and how.

use latchwork_machine::needle::Side;

use super::curve::CurvedEdge;
use super::precheck::{Finish, finish};
use super::spread::{Infeasible, spread, spread_plain_end, spread_row_after};
use crate::design::{Along, At, Change, Curve, Group, Piece, Shaping, Steps, Stretch, When};

/// A shaping.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shaped {
    /// The rows of its stretch before it.
    pub row: u32,
    /// Decrease or increase.
    pub change: Change,
    /// Stitches at each end.
    pub stitches: u32,
    /// At which ends.
    pub at: At,
    /// How.
    pub by: By,
}

impl Shaped {
    /// Needles after it.
    #[must_use]
    pub fn after(&self, needles: u32) -> u32 {
        let by = self.stitches * self.at.ends();
        match self.change {
            Change::Increase => needles + by,
            Change::Decrease => needles.saturating_sub(by),
        }
    }
}

/// How a shaping is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// With the transfer tool, or by needles brought into work.
    Tool,
    /// A group cast off, or on, at the end where the carriage is.
    Group,
}

/// An edge to be shaped.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge<'a> {
    /// Its stretch.
    pub stretch: &'a Stretch,
    /// Its shaping.
    pub shaping: &'a Shaping,
    /// How it ends.
    pub finish: Finish,
    /// Whether a curve may change before the first row, and after the last.
    pub open: (bool, bool),
}

/// The outer edges of stretch `i` of a piece, if they are shaped.
pub(super) fn outer(piece: &Piece, i: usize) -> Option<Edge<'_>> {
    let stretch = &piece.stretches[i];
    let shaping = stretch.shaping.as_ref()?;
    // A piece is cast on at its width.
    Some(Edge { stretch, shaping, finish: finish(piece, i), open: (i > 0, on_last_row(piece, i)) })
}

/// The edges of the neck of a stretch.
pub(super) fn inner<'a>(stretch: &'a Stretch, shaping: &'a Shaping) -> Edge<'a> {
    let plain = matches!(shaping.when, When::To { spread: Along::PlainEnd, .. });
    // What is left for the ending belongs to the ending.
    let finish = if plain { Finish::PlainRun } else { Finish::LastRow };
    Edge { stretch, shaping, finish, open: (true, false) }
}

impl Edge<'_> {
    /// Its shapings at these ends over so many rows, the carriage at this side before the first.
    ///
    /// # Errors
    /// When they have no room.
    pub(super) fn shapings(
        self,
        at: At,
        (times, rows, unit): (u32, u32, u32),
        carriage: Side,
    ) -> Result<Vec<Shaped>, Infeasible> {
        let sh = self.shaping;
        let (change, stitches) = (sh.change, sh.stitches);
        let tool = |row: u32| Shaped { row, change, stitches, at, by: By::Tool };
        match &sh.when {
            When::Every { rows, times } => Ok((1..=*times).map(|k| tool(k * rows)).collect()),
            When::Listed(steps) => Ok(self.listed(steps, at, carriage)),
            When::To { spread: along, first, .. } => {
                let group = first.map_or(0, |g| self.units(g)).min(times);
                let mut all = Vec::new();
                if group > 0 {
                    self.group(0, group * stitches, at, carriage, &mut all);
                }
                let (rest, edge) = (times - group, Edge { open: (self.open.0 && group == 0, self.open.1), ..self });
                if let Along::Curve(curve) = along {
                    all.extend(edge.curved(*curve, at, (rest, rows, unit), carriage)?);
                } else {
                    let spread = match self.finish {
                        Finish::LastRow => spread(rest, rows, unit),
                        Finish::RowAfter => spread_row_after(rest, rows, unit),
                        Finish::PlainRun => spread_plain_end(rest, rows, unit),
                    };
                    all.extend(spread?.rows().into_iter().map(tool));
                }
                all.sort_by_key(|s| (s.row, s.by == By::Tool));
                Ok(all)
            }
        }
    }

    /// A group in units of shaping: as many as asked for, or those nearest to a width.
    fn units(self, group: Group) -> u32 {
        let stitches = self.shaping.stitches.max(1);
        match group {
            Group::Stitches(n) => n / stitches,
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most half a metre")]
            Group::Wide(w) => (w.0 / (self.stretch.gauge.needle.value * f64::from(stitches))).round() as u32,
        }
    }

    /// Casts a group off, or on, after a row: at the end where the carriage is, and at the other one row later, or there too where rows
    /// come in repeats.
    pub(super) fn group(self, row: u32, stitches: u32, at: At, carriage: Side, all: &mut Vec<Shaped>) {
        let here = carriage.after(row);
        let later = u32::from(self.stretch.fabric.row_multiple() == 1);
        let ends = [here, here.other()].into_iter().filter(|side| at == At::Both || at == At::Only(*side));
        all.extend(ends.map(|side| Shaped {
            row: row + if side == here { 0 } else { later },
            change: self.shaping.change,
            stitches,
            at: At::Only(side),
            by: By::Group,
        }));
    }

    /// The author's own steps.
    fn listed(self, steps: &Steps, at: At, carriage: Side) -> Vec<Shaped> {
        let sh = self.shaping;
        let mut all = Vec::new();
        let mut row = 0;
        let each = steps.0.iter().flat_map(|s| std::iter::repeat_n(s, s.times as usize));
        for step in each {
            row += step.every;
            match step.group {
                Some(stitches) => self.group(row, stitches, at, carriage, &mut all),
                None => all.push(Shaped { row, change: sh.change, stitches: sh.stitches, at, by: By::Tool }),
            }
        }
        all.sort_by_key(|s| s.row);
        all
    }

    /// The most shapings at each end that a spread over so many rows has room for.
    pub(super) fn room(self, rows: u32, unit: u32) -> u32 {
        let group = match self.shaping.when {
            When::To { first: Some(group), .. } => self.units(group),
            When::Every { .. } | When::Listed(_) | When::To { .. } => 0,
        };
        group.saturating_add(self.room_after(rows, unit, group > 0))
    }

    fn room_after(self, rows: u32, unit: u32, begun: bool) -> u32 {
        let first = u32::from(self.open.0 && !begun);
        match self.shaping.curve() {
            None => (rows / unit).saturating_sub(u32::from(self.finish != Finish::LastRow)),
            // Each end has its turn.
            Some(Curve { groups: true, .. }) if rows + first > 2 => u32::MAX,
            Some(curve) => {
                let last = self.open.1 && rows.is_multiple_of(unit);
                curve.most * (rows.saturating_sub(1) / unit + first + u32::from(last))
            }
        }
    }

    /// The changes nearest to a curve, at each end for itself: where stitches may be cast off, the carriage's side decides.
    fn curved(
        self,
        curve: Curve,
        ends: At,
        (times, rows, unit): (u32, u32, u32),
        carriage: Side,
    ) -> Result<Vec<Shaped>, Infeasible> {
        let (sh, gauge) = (self.shaping, &self.stretch.gauge);
        let end = |side: Side| {
            let size = (gauge.needle.value * f64::from(sh.stitches), gauge.pass.value);
            let (wide, long) = (size.0 * f64::from(times), size.1 * f64::from(rows));
            let at = move |y: f64| wide * curve.bend.at(y / long);
            let edge = CurvedEdge {
                stitches: times,
                rows,
                size,
                most: curve.most,
                bound_off: curve.groups.then_some(u32::from(side != carriage)),
                every: unit,
                first: self.open.0,
                last: self.open.1,
                at: &at,
            };
            edge.changes()
        };
        let too_many =
            || Infeasible::TooMany { most: self.room(rows, unit), rows: times.div_ceil(curve.most) * unit + 1 };
        let lists: Vec<(Side, Vec<u32>)> = [Side::Left, Side::Right]
            .into_iter()
            .filter(|side| ends == At::Both || ends == At::Only(*side))
            .map(|side| end(side).map(|list| (side, list)))
            .collect::<Option<_>>()
            .ok_or_else(too_many)?;
        Ok(merged(sh, curve.most, &lists))
    }
}

/// Whether the last change of a curve may follow the last row: what is left for an ending belongs to the ending.
fn on_last_row(piece: &Piece, i: usize) -> bool {
    finish(piece, i) == Finish::LastRow && i + 1 < piece.stretches.len()
}

/// The lists of both ends in order of rows; what both do with the tool after one row is one shaping.
fn merged(sh: &Shaping, most: u32, lists: &[(Side, Vec<u32>)]) -> Vec<Shaped> {
    let mut all = Vec::new();
    let rows = lists.first().map_or(0, |l| l.1.len());
    let of = |change: u32| if change > most { By::Group } else { By::Tool };
    for row in 0..rows {
        let here: Vec<(Side, u32)> = lists.iter().map(|(side, l)| (*side, l[row])).filter(|c| c.1 > 0).collect();
        let number = u32::try_from(row).unwrap_or(u32::MAX);
        let shaped = |at: At, change: u32| Shaped {
            row: number,
            change: sh.change,
            stitches: change * sh.stitches,
            at,
            by: of(change),
        };
        match here.as_slice() {
            [(_, a), (_, b)] if a == b && of(*a) == By::Tool => all.push(shaped(At::Both, *a)),
            each => {
                let mut each = each.to_vec();
                // What is cast off comes first.
                each.sort_by_key(|c| of(c.1) == By::Tool);
                all.extend(each.into_iter().map(|(side, change)| shaped(At::Only(side), change)));
            }
        }
    }
    all
}
