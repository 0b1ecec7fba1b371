//! Where the points of an article lie before it comes to rest.

use core::f64::consts::TAU;

use latchwork_thread::form::{Form, Point, Ring, dot, minus};
use latchwork_thread::sheet::Triangle;
use latchwork_thread::space::{Space, Tie};

use super::Along;
use super::part::{Part, SlitAt};
use crate::design::EdgeKind;

/// Room between a torso and what is laid round it, in millimetres.
const ROOM: f64 = 6.0;

/// Where an article goes on a form.
#[derive(Clone, Copy)]
pub(super) struct Laid<'a> {
    pub(super) form: &'a Form,
    /// Where its first row is, along the profile.
    pub(super) start: f64,
    /// Whether its rows go down the profile, as of a sock from the toe up.
    pub(super) toe_up: bool,
    /// Whether it is a tube, whose main-bed half lies at the heel.
    pub(super) tube: bool,
}

/// All points laid on the surface of a form, the round along its profile.
pub(super) fn lay(parts: &[Part<'_>], rounds: usize, along: &[(usize, Along<'_>)], on: &Laid<'_>) -> Space {
    let Laid { form, start, toe_up, tube } = *on;
    let all: f64 = parts[..rounds].iter().map(Part::widest).sum();
    let mut space = Space::default();
    // The first seam is at the back; but a slit for a thumb is where the thumb is.
    let mut from = if tube { 0.0 } else { -0.25 * TAU };
    let mut before = 0.0;
    for part in parts[..rounds].iter().filter(|_| !form.limbs.is_empty()) {
        let sector = TAU * part.widest() / all;
        if let Some(slit) = part.slit_at() {
            from = -(before + sector * slit.share);
            break;
        }
        before += sector;
    }
    let mut begins = Vec::new();
    for part in &parts[..rounds] {
        let sector = TAU * part.widest() / all;
        begins.push((from, sector));
        let mut points = vec![[0.0; 3]; part.sheet.sheet.points.len()];
        if toe_up {
            from_the_toe(part, form, (start, from, sector), &mut points);
        } else {
            for (((_, line), height), (left, right)) in part.sheet.lines.iter().zip(part.heights()).zip(part.bounds()) {
                for (u, p) in line {
                    let share = (u - left) / (right - left).max(1e-9);
                    points[*p as usize] = form.skin(start + height, from + sector * share);
                }
            }
        }
        if let (Some(slit), Some(thumb)) = (part.slit_at(), form.limbs.first()) {
            open(&slit, thumb, &mut points);
        }
        space.points.extend(points);
        from += sector;
    }
    for (k, Along { short, long, at, middle }) in along {
        let part = &parts[*k];
        let (begin, sector) = begins[*at];
        let target = parts[*at].heights();
        // Away from the row that it is sewn to, with its sewn end nearest.
        let (row, way) = match long.kind {
            EdgeKind::Ending => (start + target.last().copied().unwrap_or(0.0), 1.0),
            _ => (start, -1.0),
        };
        let heights = part.heights();
        let tall = heights.last().copied().unwrap_or(0.0);
        let mut points = vec![[0.0; 3]; part.sheet.sheet.points.len()];
        for ((_, line), height) in part.sheet.lines.iter().zip(heights) {
            let off = if short.kind == EdgeKind::Ending { tall - height } else { height };
            let (left, right) = (line[0].0, line[line.len() - 1].0);
            for (_, p) in line {
                let x = part.sheet.sheet.points[*p as usize][0] - part.sheet.place(f64::midpoint(left, right), 0.0)[0];
                let angle = begin + sector * (middle + x / parts[*at].widest());
                points[*p as usize] = form.skin((row + way * off).max(0.0), angle);
                if row + way * off < 0.0 {
                    points[*p as usize][2] += row + way * off;
                }
            }
        }
        space.points.extend(points);
    }
    space.triangles.extend(parts.iter().flat_map(triangles));
    space
}

/// A sock from the toe up, laid column by column along the skin: its cast-on across the top of the foot, the columns of its toe out to
/// the tip and back along the sole, those of its heel round the heel. `start` is the tip.
fn from_the_toe(part: &Part<'_>, form: &Form, (tip, from, sector): (f64, f64, f64), points: &mut [Point]) {
    let columns = part.columns();
    let toe = part.toe_columns();
    let out = toe.iter().fold(0.0, |most: f64, t| most.max(*t)) / 2.0;
    for (((_, line), (left, right)), lengths) in part.sheet.lines.iter().zip(part.bounds()).zip(&columns) {
        for ((u, p), length) in line.iter().zip(lengths) {
            let share = (u - left) / (right - left).max(1e-9);
            let angle = from + sector * share;
            let over = toe[((share * (toe.len() - 1) as f64).round() as usize).min(toe.len() - 1)] / 2.0;
            points[*p as usize] = match length - over {
                back if back >= 0.0 => down_the_skin(form, angle, tip - out + over, back),
                before => form.skin(tip - out + over + before, -angle),
            };
        }
    }
}

/// A point so far from a place on the profile towards its beginning, measured along the skin at an angle.
fn down_the_skin(form: &Form, angle: f64, from: f64, length: f64) -> Point {
    const STEP: f64 = 2.0;
    let (mut at, mut here, mut gone) = (from, form.skin(from, angle), 0.0);
    while gone < length {
        at -= STEP;
        let next = form.skin(at, angle);
        let off = minus(next, here);
        gone += dot(off, off).sqrt().max(0.1 * STEP);
        here = next;
    }
    here
}

/// A slit opened round the limb that goes through it.
fn open(slit: &SlitAt, limb: &[Ring], points: &mut [Point]) {
    let round = limb.iter().map(|r| r.half[1]).fold(0.0, f64::max);
    for (edge, sign) in slit.edges.iter().zip([-1.0, 1.0]) {
        for (k, p) in edge.iter().enumerate() {
            let share = (k as f64 + 1.0) / (edge.len() as f64 + 1.0);
            points[*p as usize][1] += sign * round * (share * 0.5 * TAU).sin();
        }
    }
}

/// The triangles of a part among all points.
pub(super) fn triangles(part: &Part<'_>) -> impl Iterator<Item = Triangle> {
    part.sheet.sheet.triangles.iter().map(|t| Triangle { corners: t.corners.map(|c| c + part.first), ..*t })
}

/// Pieces that go round a torso, laid about it with room between: each by its sheet, with its top at the neck; the one with the
/// deepest neck in front.
pub(super) fn round_a_torso(parts: &[Part<'_>], form: &Form, girth: f64) -> Space {
    let all: f64 = parts.iter().map(Part::widest).sum();
    let chest = form.widest();
    let roomy = form.thinner((chest - girth.max(chest)) / TAU - ROOM);
    let sheet = |p: &Part<'_>| p.sheet.sheet.points.iter().map(|q| q[1]).fold(0.0, f64::max);
    let tall = parts.iter().map(sheet).fold(0.0, f64::max);
    // Up to the chest about the body; from there upright, drawing together towards the shoulders.
    let (chest, neck) = (form.chest(), form.neck());
    let below = roomy.profile_to(chest);
    let start = below + (neck - chest) - tall;
    let skin = |up: f64, angle: f64| {
        let over = (up - below).max(0.0);
        let [x, y, z] = roomy.skin(up.min(below), angle);
        [x, y * (1.0 - 0.6 * (over / (neck - chest).max(1.0)).min(1.0)), z + over]
    };
    let sector = |p: &Part<'_>| TAU * p.widest() / all;
    let depth = |p: &Part<'_>| {
        let last = p.worked.stretches.last();
        last.filter(|w| w.parts.is_some() || w.half.is_some()).map_or(0.0, |w| w.length.0)
    };
    let front = (0..parts.len()).max_by(|a, b| depth(&parts[*a]).total_cmp(&depth(&parts[*b]))).unwrap_or(0);
    let before: f64 = parts[..front].iter().map(sector).sum();
    let half = |p: &Part<'_>| p.worked.stretches.last().is_some_and(|w| w.half.is_some());
    let mut from = match parts {
        // Open in front.
        [first, .., last] if half(first) && half(last) => 0.25 * TAU,
        [_, _, ..] => 0.25 * TAU - before - 0.5 * sector(&parts[front]),
        _ => -0.25 * TAU,
    };
    let mut space = Space::default();
    for part in parts {
        let (sector, widest) = (sector(part), part.widest());
        let points = &part.sheet.sheet.points;
        let foot = &part.sheet.lines[0].1;
        let middle = f64::midpoint(points[foot[0].1 as usize][0], points[foot[foot.len() - 1].1 as usize][0]);
        let at = |p: &[f64; 2]| skin(start + p[1], from + sector * (0.5 + (p[0] - middle) / widest));
        space.points.extend(points.iter().map(at));
        space.triangles.extend(triangles(part));
        from += sector;
    }
    space
}

/// Shares of the way along a row of points.
fn shares(edge: &[u32], points: &[[f64; 3]]) -> Vec<f64> {
    let apart = |a: u32, b: u32| {
        let (a, b) = (points[a as usize], points[b as usize]);
        (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
    };
    let mut sums = vec![0.0];
    sums.extend(edge.windows(2).scan(0.0, |sum, w| {
        *sum += apart(w[0], w[1]);
        Some(*sum)
    }));
    let all = sums.last().copied().unwrap_or(0.0).max(1e-9);
    sums.iter().map(|s| s / all).collect()
}

pub(super) fn place_on(edge: &[u32], at: &[f64], share: f64) -> [(u32, f64); 2] {
    let k = at.partition_point(|s| *s < share).clamp(1, edge.len() - 1);
    let t = ((share - at[k - 1]) / (at[k] - at[k - 1]).max(1e-9)).clamp(0.0, 1.0);
    [(edge[k - 1], 1.0 - t), (edge[k], t)]
}

/// Sews a short edge to a place along a longer one.
pub(super) fn sew_at(short: &[u32], long: &[u32], middle: f64, points: &[[f64; 3]]) -> Vec<Tie> {
    if short.len() < 2 || long.len() < 2 {
        return Vec::new();
    }
    let (at, on) = (shares(short, points), shares(long, points));
    let length = |edge: &[u32]| {
        edge.windows(2)
            .map(|w| {
                let (a, b) = (points[w[0] as usize], points[w[1] as usize]);
                (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
            })
            .sum::<f64>()
    };
    let part = length(short) / length(long).max(1e-9);
    let tie = |(p, s): (&u32, &f64)| Tie { point: *p, to: place_on(long, &on, middle + part * (s - 0.5)) };
    short.iter().zip(&at).map(tie).collect()
}

/// Closes a tube at its first row, its last, or both: the half of the main bed on that of the ribber.
pub(super) fn close(part: &Part<'_>, (begun, ended): (bool, bool), space: &mut Space) {
    let lines = &part.sheet.lines;
    let rows = [(begun, lines.first()), (ended, lines.last())];
    for (_, line) in rows.into_iter().filter_map(|(closed, line)| line.filter(|_| closed)) {
        let (left, right) = (line[0].0, line[line.len() - 1].0);
        let (edge, at): (Vec<u32>, Vec<f64>) =
            line.iter().map(|(u, p)| (part.first + p, (u - left) / (right - left).max(1e-9))).unzip();
        let half = edge.iter().zip(&at).filter(|e| *e.1 < 0.5);
        space.ties.extend(half.map(|(p, share)| Tie { point: *p, to: place_on(&edge, &at, 1.0 - share) }));
    }
}

/// Gathers the last row.
pub(super) fn gather(part: &Part<'_>, space: &mut Space) {
    let Some((_, line)) = part.sheet.lines.last() else { return };
    let mut middle = [0.0; 3];
    for (_, p) in line {
        (0..3).for_each(|c| middle[c] += space.points[(part.first + p) as usize][c] / line.len() as f64);
    }
    let knot = space.points.len() as u32;
    space.points.push(middle);
    space.ties.extend(line.iter().map(|(_, p)| Tie { point: part.first + p, to: [(knot, 1.0), (knot, 0.0)] }));
}
