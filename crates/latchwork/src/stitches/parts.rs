//! A stretch divided by a neck: each side with the shapings of its outer and of its inner edge.

use latchwork_machine::needle::{Bed, Place, Racking, Side, Slot};

use super::edge::edge_length;
use super::placing::Extent;
use super::precheck::even;
use super::shaped::{By, Edge, Shaped, inner, outer};
use super::spread::Infeasible;
use crate::design::{At, Change, Closing, Middle, Neck, Piece, Shoulder, Stretch, Waits};
use crate::draft::Target;
use crate::fabric::{Ends, Fabric};
use crate::units::Mm;

/// A divided stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Parts {
    /// Stitches of the neck at its widest.
    pub neck: u32,
    /// The flat width of the neck at its widest.
    pub wide: Mm,
    /// The length of the neck's edge, from shoulder to shoulder.
    pub round: Mm,
    /// Its stitches in the middle, cast off where the work parts.
    pub middle: u32,
    /// The side that is knitted first.
    pub first: Side,
    /// Where the other waits.
    pub waits: Waits,
    /// Stitches of the shoulders that are cast off before the ending, both sides together.
    pub sloped: u32,
    /// The slope of the shoulders, both alike, where they slope.
    pub slope: Option<Slope>,
    /// The shapings of the left and of the right side.
    pub shapings: [Vec<Shaped>; 2],
}

/// The slope of a shoulder, at its outer edge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slope {
    /// The groups that are cast off or held, all but the last: the rows before each, and its stitches.
    pub groups: Vec<(u32, u32)>,
    /// How the turns are closed, where the groups are held.
    pub held: Option<Closing>,
    /// Rows that the outermost needle knits: the edge below ends there.
    pub outer_rows: u32,
}

impl Slope {
    /// The row after which all that were held return.
    #[must_use]
    pub fn back(&self) -> u32 {
        self.groups.last().map_or(0, |g| g.0 + 2)
    }

    /// The most needles held at a time.
    #[must_use]
    pub fn most_held(&self) -> u32 {
        if self.held.is_some() { self.groups.iter().map(|g| g.1).sum() } else { 0 }
    }
}

/// A neck at one edge of a stretch, which does not divide it.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfNeck {
    /// The edge.
    pub side: Side,
    /// Its stitches.
    pub neck: u32,
    /// Its width.
    pub wide: Mm,
    /// Stitches of the shoulder that are cast off before the ending.
    pub sloped: u32,
    /// The slope of the shoulder, where it slopes.
    pub slope: Option<Slope>,
}

/// Why a stretch cannot be divided so. `fewer`, `more`: middles that can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoParts {
    /// The sides beside the middle are not alike, or end on needles on which the fabric cannot end.
    Uneven { middle: u32, of: u32, fewer: Option<u32>, more: Option<u32> },
    /// The neck is wider than what it is cut from.
    TooWide { neck: u32, of: u32 },
    /// The shapings of the outer edges have no room.
    Outer(Infeasible),
    /// Those of the neck have none.
    Inner(Infeasible),
    /// The steps of an edge take more rows than there are.
    TooShort { takes: u32 },
    /// A shoulder has fewer stitches than groups.
    Narrow { groups: u32, stitches: u32 },
    /// Fewer than two stitches of a side are left after this row.
    Meet { side: Side, row: u32 },
}

/// Fewest stitches of a side.
const FEWEST: u32 = 2;

impl Parts {
    /// The shapings of a side.
    #[must_use]
    pub fn of(&self, side: Side) -> &[Shaped] {
        &self.shapings[side as usize]
    }

    /// Needles of a side at its end, of so many before the work parts.
    #[must_use]
    pub fn needles_end(&self, side: Side, before: u32) -> u32 {
        self.of(side).iter().fold((before - self.middle) / 2, |left, s| s.after(left))
    }

    /// Needles held while a side is knitted, of so many before the work parts.
    #[must_use]
    pub fn held_beside(&self, side: Side, before: u32) -> u32 {
        if self.waits == Waits::Needles && side == self.first { (before - self.middle) / 2 } else { 0 }
    }

    /// The opening from where the work parts: shares of the rows, and of the width at the top.
    #[must_use]
    pub fn opening(&self, rows: u32) -> Vec<(f64, f64)> {
        let whole = f64::from(self.neck.max(1));
        let mut gone = f64::from(self.middle);
        let mut all = vec![(0.0, gone / whole)];
        // Both sides alike, but for the row after which the other is cast off.
        let inner = self.of(self.first).iter().filter(|s| s.at != At::Only(self.first));
        for s in inner {
            let up = f64::from(s.row) / f64::from(rows.max(1));
            if s.by == By::Group {
                all.push((up, gone / whole));
            }
            gone += f64::from(2 * s.stitches);
            all.push((up, gone / whole));
        }
        all.push((1.0, gone / whole));
        all
    }
}

/// The needles that a neck divides.
struct Row<'a> {
    fabric: &'a Fabric,
    /// The bed of each needle, from left to right.
    beds: Vec<Bed>,
}

impl Row<'_> {
    fn of(fabric: &Fabric, (left, right): Extent, needles: u32) -> Row<'_> {
        let layout = fabric.layout;
        let mut all = layout.needles(Slot(left), u32::from(right.abs_diff(left)), Slot(0));
        all.sort_by_key(|n| Place::of(*n, layout.pitch(), Racking(0)));
        debug_assert!(all.len() == needles as usize || layout.shifts(), "the needles of the stretch");
        Row { fabric, beds: all.into_iter().map(|n| n.bed).collect() }
    }

    fn needles(&self) -> u32 {
        u32::try_from(self.beds.len()).unwrap_or(u32::MAX)
    }

    /// Whether both sides can be knitted in the fabric with this middle: they are alike, and end as it can end.
    fn takes(&self, middle: u32) -> bool {
        let all = self.beds.len();
        let Some(rest) = all.checked_sub(middle as usize).filter(|r| *r >= 2 && r.is_multiple_of(2)) else {
            return false;
        };
        let ends = |from: usize, to: usize| match (self.beds[from], self.beds[to]) {
            (Bed::Main, Bed::Main) => self.fabric.ends.contains(&Ends::BothMain) || self.fabric.layout.main_alone(),
            (Bed::Main, Bed::Ribber) => self.fabric.ends.contains(&Ends::MainRibber),
            (Bed::Ribber, _) => false,
        };
        ends(0, rest / 2 - 1) && ends(all - rest / 2, all - 1)
    }

    /// The middles nearest to one that cannot be: below and above.
    fn beside(&self, middle: u32) -> (Option<u32>, Option<u32>) {
        let fits = |n: &u32| self.takes(*n);
        ((0..middle).rev().find(fits), (middle..=self.needles()).find(fits))
    }
}

/// The neck in stitches and those of its middle: the nearest to what is wished that leave both sides alike.
fn widths(neck: &Neck, target: Option<&Target>, needle: f64, row: &Row<'_>) -> Result<(u32, u32), NoParts> {
    let each = neck.shaping.stitches;
    let stitches = match neck.middle {
        Middle::Stitches(n) => Some(n),
        Middle::Fewest => row.beside(0).1,
        Middle::Share(_) => None,
    };
    if let Some(middle) = stitches
        && !row.takes(middle)
    {
        let (fewer, more) = row.beside(middle);
        return Err(NoParts::Uneven { middle, of: row.needles(), fewer, more });
    }
    if let (Some(times), Some(middle)) = (neck.shaping.times(), stitches) {
        return Ok((middle + 2 * neck.shaping.at_each_end(times), middle));
    }
    let wished = target.map_or(0.0, |t| t.needles.map_or(t.flat.map_or(0.0, |f| f.0 / needle), f64::from));
    let near = |to: f64, fits: &dyn Fn(u32) -> bool| {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let about = to.round().clamp(0.0, 1000.0) as u32;
        let off = |n: &u32| (f64::from(*n) - to).abs();
        (about.saturating_sub(8)..=about + 8).filter(|n| fits(*n)).min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let middle_of = |whole: u32| match neck.middle {
        Middle::Stitches(_) | Middle::Fewest => stitches,
        Middle::Share(percent) => {
            let share = f64::from(whole) * percent / 100.0;
            near(share, &|n| n <= whole && (whole - n).is_multiple_of(2 * each) && row.takes(n))
        }
    };
    let fits = |n: u32| middle_of(n).is_some_and(|m| m <= n && (n - m).is_multiple_of(2 * each));
    let whole = near(wished, &fits).ok_or(NoParts::TooWide { neck: 0, of: row.needles() })?;
    Ok((whole, middle_of(whole).unwrap_or(0)))
}

/// The sides of stretch `i` of a piece, which has a neck: `settled` are times of the outer shaping, rows and the unit of
/// shaping, `ends` the needles at its start and at its end as if it had none.
pub(super) fn parts(
    (piece, i): (&Piece, usize),
    neck: &Neck,
    target: Option<&Target>,
    settled: (u32, u32, u32),
    (ends, extent): ((u32, u32), Extent),
    carriage: Side,
) -> Result<Parts, NoParts> {
    let s = &piece.stretches[i];
    let (whole, middle) = widths(neck, target, s.gauge.needle.value, &Row::of(&s.fabric, extent, ends.0))?;
    if whole + 2 * FEWEST > ends.1 {
        return Err(NoParts::TooWide { neck: whole, of: ends.1 });
    }
    let (_, rows, unit) = settled;
    let times = (whole - middle) / 2 / neck.shaping.stitches;
    let side = |side: Side| -> Result<(Vec<Shaped>, Option<Slope>), NoParts> {
        let mut all = Vec::new();
        if let Some(edge) = outer(piece, i).filter(|e| e.shaping.at != At::Only(side.other())) {
            all = edge.shapings(At::Only(side), settled, side).map_err(NoParts::Outer)?;
        }
        let edge = inner(s, &neck.shaping);
        all.extend(edge.shapings(At::Only(side.other()), (times, rows, unit), side).map_err(NoParts::Inner)?);
        all.sort_by_key(|s| (s.row, s.by == By::Tool));
        if let Some(takes) = all.last().map(|s| s.row).filter(|row| *row > rows) {
            return Err(NoParts::TooShort { takes });
        }
        let mut all = together(all);
        let mut left = (ends.0 - middle) / 2;
        for s in &all {
            if s.change == Change::Decrease && left < s.stitches * s.at.ends() + FEWEST {
                return Err(NoParts::Meet { side, row: s.row });
            }
            left = s.after(left);
        }
        let slope = match neck.shoulder {
            Some(shoulder) => Some(slope(&mut all, shoulder, left, (s, rows, false), side)?),
            None => None,
        };
        Ok((all, slope))
    };
    let ((left, slope), (right, _)) = (side(Side::Left)?, side(Side::Right)?);
    let shapings = [left, right];
    let left = |all: &Vec<Shaped>| all.iter().fold((ends.0 - middle) / 2, |left, s| s.after(left));
    let sloped = (ends.1 - whole).saturating_sub(shapings.iter().map(left).sum());
    let size = (s.gauge.needle.value, s.gauge.pass.value);
    let edges = [Side::Left, Side::Right].map(|e| edge_length(&shapings[e as usize], e.other(), rows, size));
    let (wide, round) = (Mm(f64::from(whole) * size.0), Mm(f64::from(middle) * size.0 + edges[0] + edges[1]));
    Ok(Parts { neck: whole, wide, round, sloped, slope, middle, first: carriage, waits: neck.waits, shapings })
}

/// The rows after which groups of a sloped shoulder are cast off, where the carriage is at the outer edge, or held, where it is at the
/// inner one: all but the last. `odd`: it is at the outer edge after odd rows. Too few rows give a smaller number of groups.
fn group_rows(s: &Stretch, shoulder: Shoulder, rows: u32, odd: bool) -> Vec<u32> {
    let every = even(s.row_multiple());
    let last = match shoulder.held {
        None => {
            let from = u32::from(odd && s.row_multiple() == 1);
            Some(rows.saturating_sub(1 + from) / every * every + from)
        }
        // Two rows follow the last hold, then at least one over all.
        Some(_) => {
            let at_inner = rows.saturating_sub(1 + u32::from(rows.is_multiple_of(2) == odd));
            at_inner.checked_sub(2)
        }
    };
    let all = (0..shoulder.groups(every, s.gauge.pass.value) - 1).filter_map(|k| last?.checked_sub(every * k));
    let mut all: Vec<u32> = all.collect();
    all.reverse();
    all
}

/// Rows that the outermost needle of a shoulder knits, its groups after these.
fn outer_rows(shoulder: Shoulder, groups: &[u32], rows: u32) -> u32 {
    let first = groups.first().copied().unwrap_or(0);
    let over_all = |last: &u32| rows.saturating_sub(last + 2);
    first + shoulder.held.and(groups.last()).map_or(0, over_all)
}

/// The rows up to the slope of the shoulders of a stretch, where they slope; `odd`: the carriage is at the outer edge after odd rows.
pub(super) fn slope_begins(s: &Stretch, rows: u32, odd: bool) -> Option<u32> {
    let shoulder = s.neck.as_ref()?.shoulder?;
    Some(outer_rows(shoulder, &group_rows(s, shoulder, rows, odd), rows))
}

/// A neck at one edge of stretch `i`: the shapings of both its edges. Arguments as of [`parts`].
pub(super) fn half(
    (piece, i): (&Piece, usize),
    neck: &Neck,
    side: Side,
    target: Option<&Target>,
    settled: (u32, u32, u32),
    ends: (u32, u32),
    carriage: Side,
) -> Result<(Vec<Shaped>, HalfNeck), NoParts> {
    let s = &piece.stretches[i];
    let (_, rows, unit) = settled;
    let (whole, middle) = half_widths(neck, target, s, ends.1)?;
    let times = (whole - middle) / neck.shaping.stitches;
    // Right after the middle is cast off nothing is decreased beside it.
    let edge = inner(s, &neck.shaping);
    let edge = Edge { open: (middle == 0, edge.open.1), ..edge };
    let mut all = edge.shapings(At::Only(side), (times, rows, unit), carriage).map_err(NoParts::Inner)?;
    if middle > 0 {
        edge.group(0, middle, At::Only(side), carriage, &mut all);
    }
    if let Some(outer) = outer(piece, i) {
        all.extend(outer.shapings(At::Only(side.other()), settled, carriage).map_err(NoParts::Outer)?);
    }
    all.sort_by_key(|s| (s.row, s.by == By::Tool));
    if let Some(takes) = all.last().map(|s| s.row).filter(|row| *row > rows) {
        return Err(NoParts::TooShort { takes });
    }
    let mut all = together(all);
    let mut left = ends.0;
    for s in &all {
        if s.change == Change::Decrease && left < s.stitches * s.at.ends() + FEWEST {
            return Err(NoParts::Meet { side, row: s.row });
        }
        left = s.after(left);
    }
    let odd = carriage == side;
    let slope = match neck.shoulder {
        Some(shoulder) => Some(slope(&mut all, shoulder, left, (s, rows, odd), side.other())?),
        None => None,
    };
    let sloped = left - all.iter().fold(ends.0, |left, s| s.after(left));
    let wide = Mm(f64::from(whole) * s.gauge.needle.value);
    Ok((all, HalfNeck { side, neck: whole, wide, sloped, slope }))
}

/// The stitches of a neck at one edge, and those of it that are cast off first.
fn half_widths(neck: &Neck, target: Option<&Target>, s: &Stretch, of: u32) -> Result<(u32, u32), NoParts> {
    let each = neck.shaping.stitches;
    let unit = if s.fabric.layout.two_beds() { each } else { 1 };
    let near = |to: f64| {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let units = (to / f64::from(unit)).round().clamp(0.0, 1000.0) as u32;
        units * unit
    };
    let middle_of = |whole: f64| match neck.middle {
        Middle::Stitches(n) => n,
        Middle::Fewest => 0,
        Middle::Share(percent) => near(whole * percent / 100.0),
    };
    if let Middle::Stitches(middle) = neck.middle
        && !middle.is_multiple_of(unit)
    {
        let fewer = middle / unit * unit;
        return Err(NoParts::Uneven { middle, of, fewer: Some(fewer), more: Some(fewer + unit) });
    }
    let whole = match neck.shaping.times() {
        Some(times) => middle_of(0.0) + neck.shaping.at_each_end(times),
        None => {
            let wished =
                target.map_or(0.0, |t| t.needles.map_or(t.flat.map_or(0.0, |f| f.0 / s.gauge.needle.value), f64::from));
            let middle = middle_of(wished);
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let times = ((wished - f64::from(middle)) / f64::from(each)).round().clamp(0.0, 1000.0) as u32;
            middle + times * each
        }
    };
    if whole + FEWEST > of {
        return Err(NoParts::TooWide { neck: whole, of });
    }
    Ok((whole, middle_of(f64::from(whole)).min(whole)))
}

/// The slope of a shoulder: its groups as equal as they can be, every second row. Those that are cast off are added to the
/// shapings, all but the last, which is cast off by the ending.
fn slope(
    all: &mut Vec<Shaped>,
    shoulder: Shoulder,
    stitches: u32,
    (s, rows, odd): (&Stretch, u32, bool),
    side: Side,
) -> Result<Slope, NoParts> {
    let unit = if s.fabric.layout.two_beds() { 2 } else { 1 };
    let every = even(s.row_multiple());
    let (units, groups) = (stitches / unit, shoulder.groups(every, s.gauge.pass.value));
    if units < groups {
        return Err(NoParts::Narrow { groups, stitches });
    }
    let shaped = all.iter().filter(|s| s.at != At::Only(side.other())).map(|s| s.row).max().unwrap_or(0);
    let at = group_rows(s, shoulder, rows, odd);
    // What is held is not shaped any more.
    let after = if shoulder.held.is_some() { shaped } else { shaped + 1 };
    if at.len() + 1 < groups as usize || at.first().is_some_and(|first| *first < after) {
        let takes = every * (groups - 1);
        return Err(NoParts::TooShort { takes: shaped + takes + 1 + u32::from(shoulder.held.is_some()) });
    }
    let upto = |k: u32| k * units / groups * unit;
    let sizes = (0..groups - 1).map(|k| upto(k + 1) - upto(k));
    let slope = Slope {
        outer_rows: outer_rows(shoulder, &at, rows),
        groups: at.into_iter().zip(sizes).collect(),
        held: shoulder.held,
    };
    if shoulder.held.is_none() {
        let cast_off = |(row, stitches): &(u32, u32)| Shaped {
            row: *row,
            change: Change::Decrease,
            stitches: *stitches,
            at: At::Only(side),
            by: By::Group,
        };
        all.extend(slope.groups.iter().map(cast_off));
        all.sort_by_key(|s| (s.row, s.by == By::Tool));
    }
    Ok(slope)
}

/// What both edges of a side do with the tool after one row is one shaping.
fn together(all: Vec<Shaped>) -> Vec<Shaped> {
    let mut joined: Vec<Shaped> = Vec::with_capacity(all.len());
    for s in all {
        match joined.last_mut() {
            Some(last) if (Shaped { at: s.at, ..*last }) == s && last.at != s.at && s.by == By::Tool => {
                last.at = At::Both;
            }
            _ => joined.push(s),
        }
    }
    joined
}
