//! A whole piece thread by thread, for pictures: its diagram of crossings, in which yarn that lies as in a repeat at
//! rest takes that repeat's shape.
//!
//! Between the heads of two neighbours the yarn is regular if both loops are like two loops of the repeat and the same
//! crossings follow. Elsewhere (edges, eyelets, moved and dropped loops) it follows the diagram, and heights are found
//! that keep the nearer strand nearer.

use std::collections::BTreeMap;

use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Plan, Yarn};

use crate::cell::{Cell, Like, Reading};
use crate::path::{Diagram, NoDiagram, diagram};
use crate::relax::{Lengths, Rested};

/// A fabric's repeat and how it lies at rest.
#[derive(Debug, Clone, Copy)]
pub struct Pattern<'a> {
    /// The repeat.
    pub cell: &'a Cell,
    /// At rest.
    pub rested: &'a Rested,
    /// The lengths that it was brought to rest with.
    pub lengths: Lengths,
}

/// A length of yarn: pitches along the beds, rows up the work, and diameters towards the knitter.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Which yarn.
    pub yarn: Yarn,
    /// Its points, and the loop that each belongs to.
    pub points: Vec<([f64; 3], u32)>,
}

/// A piece drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Portrait {
    /// Its yarns.
    pub lines: Vec<Line>,
    /// The step of each row: every pass that makes loops is one, counted from nought.
    pub rows: Vec<usize>,
    /// Spans of yarn from loop to loop that lie as in a repeat, and all such spans.
    pub regular: (usize, usize),
    /// Crossings drawn with the wrong strand nearer: nought, or the picture is not to be trusted.
    pub wrong: usize,
}

/// The yarn of a repeat from one loop's head to the next's, with places counted from the left loop's needle and row.
struct Span {
    ends: [Like; 2],
    /// Half pitches from loop to loop.
    apart: i32,
    course: usize,
    /// Crossings on the way: their number in the repeat, whether this strand is nearer, and where.
    crossed: Vec<(usize, bool, [f64; 3])>,
    points: Vec<[f64; 3]>,
}

impl Pattern<'_> {
    fn spans(&self) -> Vec<Span> {
        let (cell, threads) = (self.cell, &self.rested.threads);
        let laid = cell.laid(self.lengths);
        let scale = [cell.across / threads.width, f64::from(cell.passes) / threads.height];
        let up = f64::from(cell.passes) / cell.up;
        let mut spans = Vec::new();
        // Knots of each course, by share of its yarn; and how far the repeat has drifted from where it was laid.
        let mut drift = [0.0; 3];
        let mut count = 0.0;
        let shares: Vec<Vec<f64>> = laid.points.iter().map(|p| shares(p, laid.width)).collect();
        let at = |course: usize, share: f64| {
            let p = &threads.points[course];
            let n = p.len() as f64;
            let t = share * n;
            let point = |i: f64| {
                let mut q = p[i.rem_euclid(n) as usize];
                q[0] += (i / n).floor() * threads.width;
                q
            };
            let (a, b) = (point(t.floor()), point(t.floor() + 1.0));
            let f = t - t.floor();
            let q = [0, 1, 2].map(|c| a[c] + f * (b[c] - a[c]));
            [q[0] * scale[0], q[1] * scale[1], q[2]]
        };
        for (c, course) in cell.courses.iter().enumerate() {
            for (k, knot) in course.knots.iter().enumerate() {
                let q = at(c, shares[c][k]);
                count += 1.0;
                drift[0] += q[0] - knot.at[0];
                drift[1] += q[1] - up * knot.at[1];
                drift[2] += q[2];
            }
        }
        let drift = drift.map(|d| d / f64::max(count, 1.0));
        for (c, course) in cell.courses.iter().enumerate() {
            let n = course.knots.len();
            let share = |knot: f64| {
                let (period, k) = ((knot / n as f64).floor(), knot.rem_euclid(n as f64));
                let i = k as usize;
                period + shares[c][i] + (k - i as f64) * (shares[c][i + 1] - shares[c][i])
            };
            for (s, (left, from)) in course.heads.iter().enumerate() {
                let last = s + 1 == course.heads.len();
                let (right, to) = course.heads.get(s + 1).unwrap_or(&course.heads[0]);
                let to = if last { to + n as f64 } else { *to };
                let place = course.stitches[s].place;
                let next = if last {
                    course.stitches[0].place + (2.0 * cell.across) as i32
                } else {
                    course.stitches[s + 1].place
                };
                let home = [f64::from(place - cell.begin) / 2.0, course.row as f64, 0.0];
                let seen = |share: f64| {
                    let q = at(c, share);
                    [0, 1, 2].map(|d| q[d] - drift[d] - home[d])
                };
                let knots = (from.ceil() as i64)..=(to.floor() as i64);
                let crossed = knots.filter_map(|k| {
                    let (number, over) = course.knots[k.rem_euclid(n as i64) as usize].crossing?;
                    Some((number, over, seen(share(k as f64))))
                });
                let crossed = crossed.collect();
                let (a, b) = (share(*from), share(to));
                let pieces = ((b - a) * threads.points[c].len() as f64).ceil().max(2.0) as u32;
                let points = (0..=pieces).map(|i| seen(a + (b - a) * f64::from(i) / f64::from(pieces))).collect();
                spans.push(Span {
                    ends: [left.clone(), right.clone()],
                    apart: next - place,
                    course: c,
                    crossed,
                    points,
                });
            }
        }
        spans
    }
}

/// The share of the yarn that lies before each point, and 1.
fn shares(points: &[[f64; 3]], width: f64) -> Vec<f64> {
    let n = points.len();
    let mut sums = vec![0.0];
    for i in 0..n {
        let (a, mut b) = (points[i], points[(i + 1) % n]);
        if i + 1 == n {
            b[0] += width;
        }
        sums.push(sums[i] + (b[0] - a[0]).hypot(b[1] - a[1]).hypot(b[2] - a[2]));
    }
    let all = sums[n];
    sums.iter().map(|s| s / all).collect()
}

/// A walk along a yarn: its points, and where heads lie: after which point, and whose.
struct Walk {
    yarn: Yarn,
    points: Vec<u32>,
    heads: Vec<(usize, u32)>,
}

fn walks(d: &Diagram) -> Vec<Walk> {
    let points = &d.weave.points;
    let walk = |(yarn, begin, end): (Yarn, u32, u32), first: u32| {
        let mut w = Walk { yarn, points: vec![begin], heads: Vec::new() };
        let (mut before, mut now) = (begin, first);
        while w.points.len() <= points.len() {
            if let Some(id) = d.heads.get(&(before.min(now), before.max(now))) {
                w.heads.push((w.points.len() - 1, *id));
            }
            w.points.push(now);
            if now == end || now == begin {
                break;
            }
            let [a, b] = points[now as usize].links;
            let Some(next) = (if a == Some(before) { b } else { a }) else { break };
            (before, now) = (now, next);
        }
        w
    };
    let both = d.yarns.iter().filter_map(|y| {
        // One way leads along the yarn, the other back from its other end.
        let ways = points[y.1 as usize].links.into_iter().flatten().map(|first| walk(*y, first));
        ways.filter(|w| !w.heads.is_empty()).min_by_key(|w| w.points.len())
    });
    both.collect()
}

/// What is known of the drawing while yarn takes its shapes.
struct Drawing<'a> {
    d: &'a Diagram,
    reading: &'a Reading<'a>,
    /// The spans of each fabric, and which fabric each row is of.
    lists: &'a [Vec<Span>],
    of_row: Vec<Option<usize>>,
    /// Where each point lies; and which crossing of which repeat it is, where a repeat says so.
    at: Vec<[f64; 3]>,
    /// Where the diagram puts them.
    drawn_at: Vec<[f64; 3]>,
    fixed: Vec<Option<(usize, usize)>>,
    /// The course of the repeat last taken in each row.
    course: BTreeMap<usize, usize>,
}

/// A span that yarn takes, and whether it runs from left to right.
type Taken<'a> = Option<(&'a Span, bool)>;

impl<'a> Drawing<'a> {
    /// The place of a loop: row and half pitches.
    fn place(&self, id: u32) -> Option<(usize, i32)> {
        self.reading.at[id as usize - 1]
    }

    fn home(row: usize, place: i32) -> [f64; 3] {
        [f64::from(place) / 2.0, row as f64, 0.0]
    }

    /// The span that fits the yarn between two heads of a walk, if one does; its crossings take their places.
    fn take(&mut self, w: &Walk, from: (usize, u32), to: (usize, u32)) -> Taken<'a> {
        let (a, b) = (self.place(from.1)?, self.place(to.1)?);
        if a.0 != b.0 {
            return None;
        }
        let fabric = self.of_row[a.0]?;
        let list: &'a [Span] = &self.lists[fabric];
        let rightwards = a.1 < b.1;
        let (left, right) = if rightwards { (from.1, to.1) } else { (to.1, from.1) };
        let ends = [self.reading.like(left)?, self.reading.like(right)?];
        let points = &self.d.weave.points;
        let crossed = w.points[from.0 + 1..=to.0].iter().filter_map(|p| Some((*p, points[*p as usize].crossing?.1)));
        let mut crossed: Vec<(u32, bool)> = crossed.collect();
        if !rightwards {
            crossed.reverse();
        }
        let apart = (a.1 - b.1).abs();
        let fits = |s: &&Span| {
            s.apart == apart
                && s.ends == ends
                && s.crossed.len() == crossed.len()
                && s.crossed.iter().zip(&crossed).all(|(x, y)| x.1 == y.1)
        };
        // Where several fit, neighbours in a row are of one course.
        let before = self.course.get(&a.0).copied();
        let same = list.iter().filter(fits).find(|s| before == Some(s.course));
        let span = same.or_else(|| list.iter().find(fits))?;
        self.course.insert(a.0, span.course);
        let home = Self::home(a.0, a.1.min(b.1));
        for ((p, _), (number, _, q)) in crossed.iter().zip(&span.crossed) {
            self.at[*p as usize] = [0, 1, 2].map(|c| q[c] + home[c]);
            self.fixed[*p as usize] = Some((fabric, *number));
        }
        Some((span, rightwards))
    }

    /// Lets spans follow the diagram again that met at a crossing as two crossings of the repeat: they are like it each for
    /// themselves, and not together.
    fn release(&mut self, walks: &[Walk], taken: &mut [Vec<Taken<'_>>]) {
        let points = &self.d.weave.points;
        let mut met: Vec<Option<(usize, usize)>> = vec![None; self.d.crossings.len()];
        let mut apart = vec![false; self.d.crossings.len()];
        for (p, fixed) in points.iter().zip(&self.fixed) {
            if let (Some((crossing, _)), Some(here)) = (p.crossing, fixed) {
                let c = crossing as usize;
                apart[c] |= met[c].is_some_and(|m| m != *here);
                met[c] = Some(*here);
            }
        }
        for (w, taken) in walks.iter().zip(taken) {
            for (h, span) in w.heads.windows(2).zip(taken).filter(|s| s.1.is_some()) {
                let inside = &w.points[h[0].0 + 1..=h[1].0];
                let crossing = |p: &u32| points[*p as usize].crossing.map(|c| c.0 as usize);
                if inside.iter().filter_map(crossing).any(|c| apart[c]) {
                    *span = None;
                    for p in inside {
                        self.fixed[*p as usize] = None;
                        self.at[*p as usize] = self.drawn_at[*p as usize];
                    }
                }
            }
        }
    }

    /// A walk with its shapes.
    fn line(&self, w: &Walk, taken: &[Taken<'_>]) -> Line {
        let at = |k: usize| self.at[w.points[k] as usize];
        let mut points: Vec<([f64; 3], u32)> = Vec::with_capacity(4 * w.points.len());
        let (first, last) = (w.heads[0], w.heads[w.heads.len() - 1]);
        points.extend((0..=first.0).map(|k| (at(k), first.1)));
        for (h, span) in w.heads.windows(2).zip(taken) {
            let laid: Vec<[f64; 3]> = match span {
                Some((span, rightwards)) => {
                    let left = if *rightwards { h[0].1 } else { h[1].1 };
                    let Some((row, place)) = self.place(left) else { continue };
                    let home = Self::home(row, place);
                    let mut laid: Vec<[f64; 3]> =
                        span.points.iter().map(|q| [0, 1, 2].map(|c| q[c] + home[c])).collect();
                    if !rightwards {
                        laid.reverse();
                    }
                    laid
                }
                None => (h[0].0 + 1..=h[1].0).map(at).collect(),
            };
            let half = laid.len() / 2;
            points.extend(laid.into_iter().enumerate().map(|(k, p)| (p, h[usize::from(k > half)].1)));
        }
        points.extend((last.0 + 1..w.points.len()).map(|k| (at(k), last.1)));
        // The ends that hang from it are cut short.
        let near = |p: [f64; 3], to: (usize, u32)| {
            let to = at(to.0);
            (p[0] - to[0]).abs() < END && (p[1] - to[1]).abs() < 2.0 * END
        };
        let begin = points.iter().position(|p| p.1 != first.1 || near(p.0, first)).unwrap_or(0);
        points.drain(..begin);
        let end = points.iter().rposition(|p| p.1 != last.1 || near(p.0, last)).map_or(0, |i| i + 1);
        points.truncate(end);
        points.dedup_by(|b, a| (0..3).all(|c| (a.0[c] - b.0[c]).abs() < 1e-9));
        Line { yarn: w.yarn, points }
    }
}

/// Draws a rehearsed piece. `patterns` gives the repeat of each origin number of the plan; `shown` tells which yarns
/// are drawn.
///
/// # Errors
/// When there is no diagram of it.
pub fn portrait(
    plan: &Plan,
    run: &Run,
    patterns: &[Option<Pattern<'_>>],
    shown: impl Fn(Yarn) -> bool,
) -> Result<Portrait, NoDiagram> {
    let d = diagram(plan, run, true)?;
    let reading = Reading::new(plan, run);
    let walks: Vec<Walk> = walks(&d).into_iter().filter(|w| shown(w.yarn)).collect();
    // One list of spans for all origin numbers of one fabric.
    let mut cells: Vec<&Cell> = Vec::new();
    let mut lists: Vec<Vec<Span>> = Vec::new();
    let of_part: Vec<Option<usize>> = patterns
        .iter()
        .map(|p| {
            let p = p.as_ref()?;
            Some(cells.iter().position(|c| core::ptr::eq(*c, p.cell)).unwrap_or_else(|| {
                cells.push(p.cell);
                lists.push(p.spans());
                lists.len() - 1
            }))
        })
        .collect();
    let part = |step: usize| of_part.get(plan.steps[step].origin.0 as usize).copied().flatten();
    // Hands may take some room between two rows of the drawing; in the cloth they take none.
    let heights_of: Vec<f64> = reading.rows.iter().map(|r| d.rows[r.step]).collect();
    let row = |v: f64| {
        let above = heights_of.partition_point(|h| *h <= v);
        match (above.checked_sub(1).map(|k| heights_of[k]), heights_of.get(above)) {
            (Some(a), Some(b)) => above as f64 - 1.0 + (v - a) / (b - a),
            (Some(a), None) => above as f64 - 1.0 + v - a,
            (None, b) => v - b.copied().unwrap_or(0.0),
        }
    };
    let drawn_at: Vec<[f64; 3]> = d.weave.points.iter().map(|p| [p.at[0], row(p.at[1]), 0.0]).collect();
    let mut drawing = Drawing {
        d: &d,
        reading: &reading,
        lists: &lists,
        of_row: reading.rows.iter().map(|r| part(r.step)).collect(),
        at: drawn_at.clone(),
        drawn_at,
        fixed: vec![None; d.weave.points.len()],
        course: BTreeMap::new(),
    };
    let mut taken: Vec<Vec<Taken<'_>>> =
        walks.iter().map(|w| w.heads.windows(2).map(|h| drawing.take(w, h[0], h[1])).collect()).collect();
    drawing.release(&walks, &mut taken);
    ease(&d, &walks, &mut drawing.at, &drawing.fixed);
    let wrong = heights(&d, &walks, &mut drawing.at, &drawing.fixed);
    let lines = walks.iter().zip(&taken).map(|(w, taken)| drawing.line(w, taken)).collect();
    let spans = || taken.iter().flatten();
    let regular = (spans().filter(|s| s.is_some()).count(), spans().count());
    let rows = reading.rows.iter().map(|r| r.step).collect();
    Ok(Portrait { lines, rows, regular, wrong })
}

/// How far an end of yarn is drawn from its first or last loop, in pitches.
const END: f64 = 2.0;

/// Rounds in which yarn that follows the diagram is drawn straighter, and how far in each.
const ROUNDS: u32 = 12;
const FARTHER: f64 = 0.5;

/// Draws yarn that follows the diagram straighter: every crossing towards the middle of where its four strands come
/// from, which keeps a drawing plane (Tutte 1963: one with all inner points in the middle of their neighbours has no
/// other crossings).
fn ease(d: &Diagram, walks: &[Walk], at: &mut [[f64; 3]], fixed: &[Option<(usize, usize)>]) {
    // Both strands of a crossing are one spot.
    let mut spot: Vec<u32> = (0..at.len() as u32).collect();
    let mut first = vec![u32::MAX; d.crossings.len()];
    for (n, p) in d.weave.points.iter().enumerate() {
        if let Some((crossing, _)) = p.crossing {
            let f = &mut first[crossing as usize];
            if *f == u32::MAX {
                *f = n as u32;
            }
            spot[n] = *f;
        }
    }
    let mut still = vec![false; at.len()];
    for (n, _) in fixed.iter().enumerate().filter(|f| f.1.is_some()) {
        still[spot[n] as usize] = true;
        at[spot[n] as usize] = [at[n][0], at[n][1], at[spot[n] as usize][2]];
    }
    let steps = walks.iter().flat_map(|w| w.points.windows(2));
    let steps = steps.map(|p| (spot[p[0] as usize], spot[p[1] as usize])).filter(|(a, b)| a != b);
    let mut beside: Vec<(u32, u32)> = steps.flat_map(|(a, b)| [(a, b), (b, a)]).collect();
    beside.retain(|(n, _)| !still[*n as usize]);
    beside.sort_by_key(|b| b.0);
    let beside: Vec<&[(u32, u32)]> = beside.chunk_by(|a, b| a.0 == b.0).filter(|list| list.len() > 1).collect();
    for _ in 0..ROUNDS {
        for list in &beside {
            let count = list.len() as f64;
            let middle = [0, 1].map(|c| list.iter().map(|(_, m)| at[*m as usize][c]).sum::<f64>() / count);
            let here = &mut at[list[0].0 as usize];
            *here = [here[0] + FARTHER * (middle[0] - here[0]), here[1] + FARTHER * (middle[1] - here[1]), here[2]];
        }
    }
    for n in 0..at.len() {
        if fixed[n].is_none() {
            let s = at[spot[n] as usize];
            at[n] = [s[0], s[1], at[n][2]];
        }
    }
}

/// How far apart two strands are laid where they cross, in diameters, and how near they may be left.
const GAP: f64 = 0.95;
const LEAST: f64 = 0.5;
/// Most rounds in which heights are found; they end sooner when, over `LOOK` of them, none moved by `STILL`.
const MOST_ROUNDS: u32 = 400;
const LOOK: u32 = 20;
const STILL: f64 = 0.02;

/// Finds heights of the points that are not fixed: each midway between its neighbours, pushed apart where strands
/// cross. Gives the number of crossings left the wrong way round.
fn heights(d: &Diagram, walks: &[Walk], at: &mut [[f64; 3]], fixed: &[Option<(usize, usize)>]) -> usize {
    let still = |n: u32| fixed[n as usize].is_some();
    let mut drawn = vec![false; at.len()];
    walks.iter().flat_map(|w| &w.points).for_each(|p| drawn[*p as usize] = true);
    let mut pairs = vec![[u32::MAX; 2]; d.crossings.len()];
    for (n, p) in d.weave.points.iter().enumerate().filter(|(n, _)| drawn[*n]) {
        if let Some((crossing, over)) = p.crossing {
            pairs[crossing as usize][usize::from(over)] = n as u32;
        }
    }
    pairs.retain(|p| p.iter().all(|n| *n != u32::MAX));
    let settled: Vec<[u32; 2]> = pairs.extract_if(.., |p| p.iter().all(|n| still(*n))).collect();
    let inner = walks.iter().flat_map(|w| w.points.windows(3));
    let free: Vec<[u32; 3]> = inner.filter(|p| !still(p[1])).map(|p| [p[0], p[1], p[2]]).collect();
    // How much of the missing distance each strand of a crossing gives.
    let gives = |p: &[u32; 2]| match p.map(still) {
        [false, false] => [0.5, 0.5],
        held => held.map(|h| if h { 0.0 } else { 1.0 }),
    };
    let gives: Vec<[f64; 2]> = pairs.iter().map(gives).collect();
    let mut high: Vec<f64> = at.iter().map(|p| p[2]).collect();
    let gap = |high: &[f64], [under, over]: [u32; 2]| high[over as usize] - high[under as usize];
    let mut before = high.clone();
    for round in 1..=MOST_ROUNDS {
        for [a, b, c] in &free {
            let mean = f64::midpoint(high[*a as usize], high[*c as usize]);
            let here = &mut high[*b as usize];
            *here += 0.3 * (mean - *here);
        }
        let mut least = GAP;
        for (p, gives) in pairs.iter().zip(&gives) {
            let short = GAP - gap(&high, *p);
            least = least.min(GAP - short);
            if short > 0.0 {
                high[p[0] as usize] -= gives[0] * short;
                high[p[1] as usize] += gives[1] * short;
            }
        }
        let look = round % LOOK == 0;
        let still = || high.iter().zip(&before).all(|(a, b)| (a - b).abs() < STILL);
        if least > 0.9 * GAP || (look && still()) {
            break;
        }
        if look {
            before.copy_from_slice(&high);
        }
    }
    at.iter_mut().zip(&high).for_each(|(p, z)| p[2] = *z);
    let wrong = pairs.iter().filter(|p| gap(&high, **p) < LEAST).count();
    // Where both strands take a shape at rest, it must be that of one crossing of the repeat.
    wrong + settled.iter().filter(|[a, b]| fixed[*a as usize] != fixed[*b as usize]).count()
}
