//! A piece of a sewn article: its sheet, and the points along its edges in the order in which they are sewn.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::Action;

use crate::cloth::PieceAtRest;
use crate::design::{Edge, EdgeKind};
use crate::fact::PartName;
use crate::plan::PiecePlan;
use crate::stitches::PieceStitches;

/// A piece of the article: its sheet, and where its points begin among all.
pub(super) struct Part<'a> {
    pub(super) plan: &'a PiecePlan,
    /// Which of those made alike.
    pub(super) copy: u32,
    /// Whether it is the mirror image of a pair: what the design calls its left edge is at its right.
    pub(super) mirrored: bool,
    pub(super) worked: &'a PieceStitches,
    pub(super) sheet: PieceAtRest,
    pub(super) first: u32,
    pub(super) allowed: Vec<f64>,
}

/// What lies above a line of points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Above {
    stretch: Option<usize>,
    /// The side of a divided stretch.
    side: Option<Side>,
    /// Rows of it before.
    row: u32,
    /// Whether no row lies above it: the last line of a first side.
    last: bool,
}

/// Points of one row, with their places.
type Line = [(f64, u32)];

/// Where a slit is.
pub(super) struct SlitAt {
    /// How far along its rows from the left, as a share.
    pub(super) share: f64,
    /// The height of its middle, in millimetres.
    pub(super) middle: f64,
    /// The points along its left edge and its right one, from the bottom up, by themselves.
    pub(super) edges: [Vec<u32>; 2],
}

impl Part<'_> {
    /// Length of the piece up to each line, at its middle.
    pub(super) fn heights(&self) -> Vec<f64> {
        let middle = |l: &Line| self.sheet.sheet.points[l[l.len() / 2].1 as usize];
        let mut sum = 0.0;
        let lines = &self.sheet.lines;
        (0..lines.len())
            .map(|k| {
                if k > 0 {
                    let (a, b) = (middle(&lines[k - 1].1), middle(&lines[k].1));
                    sum += (b[0] - a[0]).hypot(b[1] - a[1]);
                }
                sum
            })
            .collect()
    }

    /// For each point of each line the length of its column up to there.
    pub(super) fn columns(&self) -> Vec<Vec<f64>> {
        let lines = &self.sheet.lines;
        (0..lines.len()).map(|k| lines[k].1.iter().map(|(u, _)| self.column(*u, k)).collect()).collect()
    }

    /// The lengths of the columns of a toe of short rows with which it begins, from the left.
    pub(super) fn toe_columns(&self) -> Vec<f64> {
        let toe = self.worked.stretches.iter().position(|w| !w.short.is_empty()).filter(|toe| *toe <= 1);
        let above = toe.and_then(|toe| self.stretches().iter().position(|s| s.is_some_and(|s| s > toe)));
        let last = above.unwrap_or(0);
        self.sheet.lines[last].1.iter().map(|(u, _)| self.column(*u, last)).collect()
    }

    /// The length of a column from the first line to another.
    fn column(&self, place: f64, upto: usize) -> f64 {
        let at = |line: usize| self.sheet.place(place, line as f64);
        (0..upto).map(|k| (at(k), at(k + 1))).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
    }

    pub(super) fn widest(&self) -> f64 {
        self.sheet.parts.iter().map(|p| p.width.1).fold(1.0, f64::max)
    }

    /// The stretch of the design that begins above each line, by index.
    pub(super) fn stretches(&self) -> Vec<Option<usize>> {
        self.above().into_iter().map(|a| a.stretch).collect()
    }

    fn above(&self) -> Vec<Above> {
        let lines = &self.sheet.lines;
        let steps = &self.plan.plan.steps;
        // Rows of its part before each step.
        let mut rows = vec![0_u32; self.plan.origins.len()];
        let mut before = Vec::with_capacity(steps.len());
        for s in steps {
            let own = rows.get_mut(s.origin.0 as usize);
            before.push(own.as_ref().map_or(0, |r| **r));
            if let (Action::Pass(p), Some(own)) = (&s.action, own) {
                *own += u32::from(p.yarn.is_some());
            }
        }
        let of = |k: usize| {
            let step = lines[k].0;
            let origin = steps.get(step).map(|s| s.origin.0 as usize);
            let part = origin.and_then(|o| self.plan.origins.get(o));
            Above {
                stretch: part.and_then(crate::plan::Part::stretch),
                side: part.and_then(|p| if let PartName::SideOf(_, side) = p.name { Some(side) } else { None }),
                row: before.get(step).copied().unwrap_or(0),
                last: k + 1 == lines.len() || lines[k + 1].0 == step,
            }
        };
        (0..lines.len()).map(of).collect()
    }

    /// The lines of some stretches, of one side where they are divided, from the bottom up, with the line above the last.
    fn lines(&self, stretches: &[usize], side: Side) -> Vec<(Above, &Line)> {
        let above = self.above();
        let mut all: Vec<(Above, &Line)> = Vec::new();
        let mut open = false;
        for (k, a) in above.iter().enumerate() {
            let line = self.sheet.lines[k].1.as_slice();
            let own = a.stretch.is_some_and(|s| stretches.contains(&s)) && a.side.is_none_or(|s| s == side);
            if own && !a.last {
                all.push((*a, line));
                open = true;
            } else if open {
                all.push((Above { stretch: None, row: u32::MAX, last: true, ..*a }, line));
                open = false;
            }
        }
        all
    }

    /// Points up an edge of lines: where a line begins farther in than the one below, along that one; farther out, along itself.
    fn climb(&self, lines: &[(Above, &Line)], side: Side) -> Vec<u32> {
        let from = |l: &Line| -> Vec<(f64, u32)> {
            let sign = if side == Side::Left { 1.0 } else { -1.0 };
            let mut all: Vec<(f64, u32)> = l.iter().map(|(u, p)| (sign * u, *p)).collect();
            if side == Side::Right {
                all.reverse();
            }
            all
        };
        let mut points = Vec::new();
        for w in lines.windows(2) {
            let (low, high) = (from(w[0].1), from(w[1].1));
            points.extend(low.iter().take(1).chain(low.iter().skip(1).filter(|p| p.0 < high[0].0 + 0.3)).map(|p| p.1));
            let out = high.iter().skip(1).filter(|p| p.0 < low[0].0 - 0.3).collect::<Vec<_>>();
            points.extend(out.into_iter().rev().map(|p| p.1));
        }
        points.extend(lines.last().and_then(|l| from(l.1).first().copied()).map(|p| p.1));
        points.dedup();
        points
    }

    /// Where the slope of a shoulder begins among the lines of its stretch.
    fn slope_at(&self, lines: &[(Above, &Line)], stretch: usize, side: Side) -> Option<usize> {
        let from = self.worked.stretches.get(stretch)?.slope(side)?.groups.first()?.0;
        lines.iter().position(|(a, _)| a.stretch == Some(stretch) && a.row >= from)
    }

    fn last_stretch(&self) -> usize {
        self.worked.stretches.len().saturating_sub(1)
    }

    /// Points along an edge as it is counted: a side from the bottom up, a row from the left, a neck from its left shoulder.
    pub(super) fn edge(&self, edge: &Edge) -> Vec<u32> {
        let last = self.last_stretch();
        let divided = self.worked.stretches.get(last).is_some_and(|w| w.parts.is_some());
        let kind = if self.mirrored { edge.kind.mirror() } else { edge.kind };
        let mut points: Vec<u32> = match kind {
            EdgeKind::CastOn => self.sheet.lines[0].1.iter().map(|p| p.1).collect(),
            EdgeKind::Left | EdgeKind::Right => {
                let side = kind.side().unwrap_or(Side::Left);
                let lines = self.lines(&edge.stretches, side);
                let upto = if edge.stretches.contains(&last) { self.slope_at(&lines, last, side) } else { None };
                self.climb(&lines[..upto.map_or(lines.len(), |k| k + 1)], side)
            }
            EdgeKind::Ending if divided => [Side::Left, Side::Right].map(|side| self.shoulder(last, side)).concat(),
            EdgeKind::Shoulder(side) => self.shoulder(last, side),
            EdgeKind::Ending => self.sheet.lines[self.sheet.lines.len() - 1].1.iter().map(|p| p.1).collect(),
            EdgeKind::Neck => self.neck(last),
            EdgeKind::Slit => edge.stretches.first().map_or(Vec::new(), |s| self.slit(*s)),
        };
        if self.mirrored && !kind.is_side() {
            points.reverse();
        }
        points.into_iter().map(|p| self.first + p).collect()
    }

    /// Points along a shoulder, from the left.
    fn shoulder(&self, stretch: usize, side: Side) -> Vec<u32> {
        let lines = self.lines(&[stretch], side);
        let at = self.slope_at(&lines, stretch, side).unwrap_or(lines.len().saturating_sub(1));
        let mut points = self.climb(&lines[at..], side);
        let row: Vec<u32> = lines.last().map_or(Vec::new(), |l| l.1.iter().map(|p| p.1).collect());
        match side {
            Side::Left => points.extend(row),
            Side::Right => {
                points.extend(row.into_iter().rev());
                points.reverse();
            }
        }
        points.dedup();
        points
    }

    /// Points round a neck, from its left shoulder down, along its middle, and up to its right shoulder.
    fn neck(&self, stretch: usize) -> Vec<u32> {
        let [left, right] = [Side::Left, Side::Right].map(|s| self.lines(&[stretch], s));
        let (Some(bottom), Some(a), Some(b)) = (left.first().zip(right.first()), left.get(1), right.get(1)) else {
            return Vec::new();
        };
        // The line at which the work parts is that of the side knitted first.
        let whole = if bottom.0.1.len() > bottom.1.1.len() { bottom.0.1 } else { bottom.1.1 };
        let (from, to) = (a.1[a.1.len() - 1].0, b.1[0].0);
        let middle = whole.iter().filter(|p| p.0 > from - 0.3 && p.0 < to + 0.3).map(|p| p.1);
        let mut points = self.climb(&left[1..], Side::Right);
        points.reverse();
        points.extend(middle);
        points.extend(self.climb(&right[1..], Side::Left));
        points.dedup();
        points
    }

    /// Where its slit is, if it has one.
    pub(super) fn slit_at(&self) -> Option<SlitAt> {
        let (i, w, left) = self.worked.stretches.iter().enumerate().find_map(|(i, w)| Some((i, w, w.slit?)))?;
        let heights = self.heights();
        let of = self.stretches();
        let at = |k: usize| of.iter().position(|s| *s == Some(k)).and_then(|line| heights.get(line)).copied();
        let top = at(i + 1).or(heights.last().copied()).unwrap_or(0.0);
        let share = f64::from(left) / f64::from(w.needles.max(1));
        Some(SlitAt { share, middle: f64::midpoint(at(i).unwrap_or(0.0), top), edges: self.slit_edges(i) })
    }

    /// Points round a slit, from its lower end up its left side and down its right.
    fn slit(&self, stretch: usize) -> Vec<u32> {
        let [left, right] = [Side::Left, Side::Right].map(|s| self.lines(&[stretch], s));
        let (Some(a), Some(b), Some(from)) = (left.first(), right.first(), right.get(1).map(|l| l.1[0].0)) else {
            return Vec::new();
        };
        let off = |p: &&(f64, u32)| (p.0 - from).abs();
        let whole = if a.1.len() > b.1.len() { a.1 } else { b.1 };
        let foot = whole.iter().min_by(|p, q| off(p).total_cmp(&off(q))).map(|p| p.1);
        let [up, mut down] = self.slit_edges(stretch);
        down.reverse();
        let mut points: Vec<u32> = foot.into_iter().chain(up).chain(down).chain(foot).collect();
        points.dedup();
        points
    }

    /// The points along the left edge of a slit and the right one, from the bottom up, without its lower end.
    fn slit_edges(&self, stretch: usize) -> [Vec<u32>; 2] {
        [(Side::Left, Side::Right), (Side::Right, Side::Left)]
            .map(|(of, edge)| self.climb(self.lines(&[stretch], of).get(1..).unwrap_or_default(), edge))
    }

    /// Whether each line is a whole row: not of a side alone, nor the last of one, above which the rows are whole again.
    pub(super) fn whole_rows(&self) -> Vec<bool> {
        let above = self.above();
        (0..above.len()).map(|k| above[k].side.is_none() && (k == 0 || above[k - 1].side.is_none())).collect()
    }

    /// The left and right end of the row that each line is part of: a row of a divided stretch is as wide as both its sides.
    pub(super) fn bounds(&self) -> Vec<(f64, f64)> {
        let above = self.above();
        let ends = |k: usize| {
            let line = &self.sheet.lines[k].1;
            (line[0].0, line[line.len() - 1].0)
        };
        let beside = |k: usize, side: Side| {
            let other = |a: &Above| a.stretch == above[k].stretch && a.side == Some(side.other());
            // The first line of a side is still whole.
            above.iter().rposition(other).map(ends)
        };
        let of = |k: usize| match above[k].side {
            Some(side) => beside(k, side).map_or(ends(k), |o| (ends(k).0.min(o.0), ends(k).1.max(o.1))),
            None => ends(k),
        };
        (0..above.len()).map(of).collect()
    }

    /// Length on the sheet from one of its points to another.
    pub(super) fn apart(&self, a: u32, b: u32) -> f64 {
        let at = |p: u32| self.sheet.sheet.points[(p - self.first) as usize];
        let (a, b) = (at(a), at(b));
        (a[0] - b[0]).hypot(a[1] - b[1])
    }
}
