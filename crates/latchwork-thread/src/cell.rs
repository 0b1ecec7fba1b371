//! The smallest repeat of a cloth, taken from a run, and its yarn laid out as threads in space.
//!
//! What is laid out is the diagram of crossings itself: every crossing stands at its spot in the drawing, and heights
//! are found that keep the nearer strand nearer. A repeat closes on itself across and up: what leaves it on the right
//! comes in on the left, a period further on.

use std::collections::BTreeMap;

use latchwork_machine::beds::Beds;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Plan, Yarn};

use crate::crossings::{Crossings, Seen};
use crate::path::{Diagram, NoDiagram, diagram};

/// A loop of a repeat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stitch {
    /// Its place along the beds, in half pitches, counted within the run.
    pub place: i32,
    /// The bed it was made on.
    pub bed: Bed,
    /// How.
    pub kind: Kind,
}

/// A point of a thread as laid: pitches across, rows up, and height towards the knitter in yarn diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knot {
    /// Where.
    pub at: [f64; 3],
    /// The crossing there and whether this strand is the nearer one.
    pub crossing: Option<(usize, bool)>,
}

/// The yarn of one pass over one repeat, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct CellCourse {
    /// The yarn.
    pub yarn: Yarn,
    /// Its points; the last goes on to the first, a period to the right.
    pub knots: Vec<Knot>,
    /// Its loops, from left to right.
    pub stitches: Vec<Stitch>,
    /// Needles floated past, in pitches beyond the nearest neighbours.
    pub floated: f64,
    /// What each loop is, and where its head lies along the knots, a period before them if below nought.
    pub(crate) heads: Vec<(Like, f64)>,
    /// Which pass of the repeat it is.
    pub(crate) row: usize,
}

/// The smallest repeat of a cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Period across, in pitches.
    pub across: f64,
    /// Period up, in rows of the drawing.
    pub up: f64,
    /// Needles that make or carry loops in it, both beds.
    pub needles: u32,
    /// Passes in it.
    pub passes: u32,
    /// Its threads, one for each pass and yarn.
    pub courses: Vec<CellCourse>,
    /// How many crossings it has.
    pub(crate) crossings: usize,
    /// Its left end within the run, in half pitches.
    pub(crate) begin: i32,
}

/// Why no repeat was laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoCell {
    /// There is no diagram of the run.
    NoDiagram(NoDiagram),
    /// Nothing repeats at least twice, across and up.
    NoRepeat,
    /// The diagram of one repeat is not that of the next.
    Uneven,
    /// No heights were found that keep every strand on its side.
    Tangled,
    /// More loops than are brought to rest: how many, and the most.
    TooLarge(u32, u32),
}

impl std::fmt::Display for NoCell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoCell::NoDiagram(why) => write!(f, "the yarn's path is not known: {why}"),
            NoCell::NoRepeat => f.write_str("nothing repeats in it twice, both across and up"),
            NoCell::TooLarge(loops, most) => {
                write!(f, "its repeat has {loops} loops, and at most {most} are brought to rest")
            }
            NoCell::Uneven => f.write_str("its yarn does not cross itself in the same way from one repeat to the next"),
            NoCell::Tangled => f.write_str("its yarn could not be laid out without tangling"),
        }
    }
}

/// A pass that made loops.
pub(crate) struct Row {
    pub(crate) step: usize,
    direction: Side,
    yarns: (Option<Yarn>, Option<Yarn>),
    /// Loops by place and bed.
    pub(crate) loops: BTreeMap<(i32, Bed), u32>,
}

/// What a loop is, by what lies around it: the loops that it is drawn through, with their distances in rows and half
/// pitches.
type Mark = (Kind, bool, Vec<(usize, i32, Bed)>);

/// What a loop is: its bed, its mark, and the loop drawn through it, given likewise, with how many loops that one goes
/// through.
pub(crate) type Like = (Bed, Mark, Option<(usize, i32, Bed, usize)>);

pub(crate) struct Reading<'a> {
    run: &'a Run,
    pub(crate) rows: Vec<Row>,
    /// Row and place of each loop, by its number less one.
    pub(crate) at: Vec<Option<(usize, i32)>>,
    /// The loop drawn through each.
    into: Vec<Option<u32>>,
}

impl<'a> Reading<'a> {
    pub(crate) fn new(plan: &Plan, run: &'a Run) -> Reading<'a> {
        let mut rows: Vec<Row> = Vec::new();
        let mut at = vec![None; run.loops.len()];
        let mut beds = Beds::outline(Side::Right);
        for (step, s) in plan.steps.iter().enumerate() {
            if let Action::Pass(p) = &s.action {
                let mut loops = BTreeMap::new();
                for id in run.made_in(step) {
                    let needle = run.loops.needle(LoopId(id));
                    let place = beds.place(needle).0;
                    loops.insert((place, needle.bed), id);
                    at[id as usize - 1] = Some((rows.len(), place));
                }
                if !loops.is_empty() {
                    rows.push(Row { step, direction: p.direction, yarns: (p.yarn, p.second), loops });
                }
            }
            beds.step(&s.action);
        }
        let mut into = vec![None; run.loops.len()];
        for row in &rows {
            for id in row.loops.values() {
                run.loops.through(LoopId(*id)).iter().for_each(|old| into[*old as usize - 1] = Some(*id));
            }
        }
        Reading { run, rows, at, into }
    }

    /// What a loop is.
    pub(crate) fn like(&self, id: u32) -> Option<Like> {
        let (row, place) = self.at[id as usize - 1]?;
        let loops = &self.run.loops;
        let into = self.into[id as usize - 1].and_then(|new| {
            let (r, p) = self.at[new as usize - 1]?;
            Some((r - row, p - place, loops.needle(LoopId(new)).bed, loops.through(LoopId(new)).len()))
        });
        Some((loops.needle(LoopId(id)).bed, self.mark(row, place, id), into))
    }

    fn mark(&self, row: usize, place: i32, id: u32) -> Mark {
        let loops = &self.run.loops;
        let through = loops.through(LoopId(id)).iter();
        let through = through.map(|old| {
            let bed = loops.needle(LoopId(*old)).bed;
            self.at[*old as usize - 1].map_or((usize::MAX, 0, bed), |(r, p)| (row - r, p - place, bed))
        });
        (loops.kind(LoopId(id)), loops.second_yarn(LoopId(id)), through.collect())
    }

    /// Whether row `a` is row `b` again, moved by `shift` half pitches, over places well inside.
    fn alike(&self, a: usize, b: usize, shift: i32, within: (i32, i32)) -> bool {
        let inside = |p: i32| p >= within.0 && p <= within.1;
        let marks = |row: usize, shift: i32| -> Vec<(i32, Bed, Mark)> {
            let loops = &self.rows[row].loops;
            let some = loops.iter().filter(|((p, _), _)| inside(*p) && inside(p + shift));
            some.map(|((p, bed), id)| (p + shift, *bed, self.mark(row, *p, *id))).collect()
        };
        let back = |row: usize| -> Vec<(i32, Bed, Mark)> {
            let loops = &self.rows[row].loops;
            let some = loops.iter().filter(|((p, _), _)| inside(*p) && inside(p - shift));
            some.map(|((p, bed), id)| (*p, *bed, self.mark(row, *p, *id))).collect()
        };
        let one = marks(a, shift);
        !one.is_empty() && self.rows[a].yarns == self.rows[b].yarns && one == back(b)
    }
}

/// Takes the smallest repeat of what is knitted in these steps and lays its yarn out.
///
/// # Errors
/// When the run has no diagram, nothing repeats, or the yarn cannot be laid.
pub fn cell(plan: &Plan, run: &Run, steps: core::ops::Range<usize>) -> Result<Cell, NoCell> {
    let drawn = diagram(plan, run, false).map_err(NoCell::NoDiagram)?;
    let reading = Reading::new(plan, run);
    let among: Vec<usize> = (0..reading.rows.len()).filter(|r| steps.contains(&reading.rows[*r].step)).collect();
    let (Some(first), Some(last)) = (among.first().copied(), among.last().copied()) else {
        return Err(NoCell::NoRepeat);
    };
    // Rows whose loops are all knitted through within the same steps.
    let mut hold = 1;
    for row in first..=last {
        for id in reading.rows[row].loops.values() {
            for old in run.loops.through(LoopId(*id)) {
                if let Some((r, _)) = reading.at[*old as usize - 1].filter(|a| a.0 >= first) {
                    hold = hold.max(row - r);
                }
            }
        }
    }
    let end = (last + 1).saturating_sub(hold);
    let rows = &reading.rows;
    let ends = |r: &Row| Some((r.loops.keys().next()?.0, r.loops.keys().next_back()?.0));
    let low = rows[first..=last].iter().filter_map(ends).map(|e| e.0).max().ok_or(NoCell::NoRepeat)?;
    let high = rows[first..=last].iter().filter_map(ends).map(|e| e.1).min().ok_or(NoCell::NoRepeat)?;
    let within = (low + 3, high - 3);
    // The first rows may still settle into the repeat.
    let begun = first + end.saturating_sub(first) / 3;
    let up = (1..=end.saturating_sub(first) / 2)
        .find(|p| (begun.min(end - 2 * p)..end - p).all(|r| reading.alike(r, r + p, 0, within)))
        .ok_or(NoCell::NoRepeat)?;
    let window = end - up..end;
    let across = (1..=(within.1 - within.0) / 2)
        .map(|p| 2 * p)
        .take_while(|p| within.1 - within.0 >= 2 * p)
        .find(|p| window.clone().all(|r| reading.alike(r, r, *p, within)))
        .ok_or(NoCell::NoRepeat)?;
    let begin = within.0 + (within.1 - within.0 - across) / 2;
    lay(&drawn, &reading, window, (begin, across))
}

fn lay(
    drawn: &Diagram,
    reading: &Reading<'_>,
    window: core::ops::Range<usize>,
    (begin, across): (i32, i32),
) -> Result<Cell, NoCell> {
    let rows = &reading.rows;
    let height = |r: usize| drawn.rows[rows[r].step];
    let up = height(window.end) - height(window.start);
    let width = f64::from(across) / 2.0;
    let mut courses = Vec::new();
    let mut needles = std::collections::BTreeSet::new();
    let mut spots: BTreeMap<(i64, i64), Vec<(usize, usize)>> = BTreeMap::new();
    for r in window.clone() {
        let row = &rows[r];
        for second in [false, true] {
            let own = |id: &u32| reading.run.loops.second_yarn(LoopId(*id)) == second;
            let inside: Vec<(i32, Bed, u32)> = row
                .loops
                .iter()
                .filter(|((p, _), id)| *p >= begin && *p < begin + across && own(id))
                .map(|((p, bed), id)| (*p, *bed, *id))
                .collect();
            let Some(&(place, bed, here)) = inside.first() else { continue };
            let there = *row.loops.get(&(place + across, bed)).ok_or(NoCell::Uneven)?;
            let ids = thread(drawn, row.direction, here, there).ok_or(NoCell::Uneven)?;
            let mut knots: Vec<Knot> = ids.iter().map(|n| drawn.knot(*n)).collect();
            let mut heads = Vec::new();
            for (i, w) in ids.windows(2).enumerate() {
                let Some(id) = drawn.heads.get(&(w[0].min(w[1]), w[0].max(w[1]))) else { continue };
                let (id, before) = if *id == there { (here, ids.len() as f64) } else { (*id, 0.0) };
                heads.push((reading.like(id).ok_or(NoCell::Uneven)?, i as f64 + 0.5 - before));
            }
            heads.sort_by(|a, b| a.1.total_cmp(&b.1));
            if heads.len() != inside.len() {
                return Err(NoCell::Uneven);
            }
            // The drawing of this row moved to the first period up.
            let base = height(window.start);
            let left = f64::from(begin) / 2.0;
            for k in &mut knots {
                // Rounded to shares of a period, so that equal cloths have one layout, whatever the pitch.
                let round = |v: f64, period: f64| (v / period * 1e6).round() / 1e6 * period;
                k.at = [round(k.at[0] - left, width), round(k.at[1] - base, up), 0.0];
            }
            for (i, k) in knots.iter().enumerate().filter(|k| k.1.crossing.is_some()) {
                let key = |v: f64, period: f64| ((v.rem_euclid(period) + 1e-7).rem_euclid(period) * 1e5).round() as i64;
                spots.entry((key(k.at[0], width), key(k.at[1], up))).or_default().push((courses.len(), i));
            }
            needles.extend(inside.iter().map(|(p, bed, _)| (*p, *bed)));
            let places: Vec<i32> = inside.iter().map(|s| s.0).chain(core::iter::once(place + across)).collect();
            let floated = places.windows(2).map(|w| (f64::from(w[1] - w[0]) / 2.0 - 1.0).max(0.0)).sum();
            let kind = |id: u32| reading.run.loops.kind(LoopId(id));
            let stitches = inside.iter().map(|(p, bed, id)| Stitch { place: *p, bed: *bed, kind: kind(*id) });
            let yarn = if second { row.yarns.1 } else { row.yarns.0 };
            let (yarn, stitches) = (yarn.unwrap_or(Yarn(0)), stitches.collect());
            courses.push(CellCourse { yarn, knots, stitches, floated, heads, row: r - window.start });
        }
    }
    let crossings = spots.len();
    for (number, pair) in spots.into_values().enumerate() {
        let [a, b] = pair[..] else { return Err(NoCell::Uneven) };
        let mut seen = [false; 2];
        for (course, i) in [a, b] {
            if let Some((n, over)) = &mut courses[course].knots[i].crossing {
                *n = number;
                seen[usize::from(*over)] = true;
            }
        }
        if seen != [true; 2] {
            return Err(NoCell::Uneven);
        }
    }
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let mut cell = Cell {
        across: width,
        up,
        needles: count(needles.len()),
        passes: count(window.len()),
        courses,
        crossings,
        begin,
    };
    heights(&mut cell)?;
    Ok(cell)
}

/// The points of the yarn from the beginning of one loop to that of its counterpart a period on, from left to right.
fn thread(drawn: &Diagram, direction: Side, here: u32, there: u32) -> Option<Vec<u32>> {
    let begin = |id: u32| drawn.begins[id as usize - 1];
    let (from, to) = match direction {
        Side::Right => (begin(here)?, begin(there)?),
        Side::Left => (begin(there)?, begin(here)?),
    };
    let points = &drawn.weave.points;
    let mut knots = Vec::new();
    let (mut before, mut now) = (from, points[from as usize].links[1]?);
    knots.push(from);
    while now != to {
        knots.push(now);
        let [a, b] = points[now as usize].links;
        let next = if a == Some(before) { b } else { a }?;
        (before, now) = (now, next);
        if knots.len() > points.len() {
            return None;
        }
    }
    if direction == Side::Left {
        // The point where it ends is the first of the period on the right.
        knots.remove(0);
        knots.push(to);
        knots.reverse();
    }
    Some(knots)
}

impl Diagram {
    /// A point of the drawing, without height.
    pub(crate) fn knot(&self, number: u32) -> Knot {
        let p = &self.weave.points[number as usize];
        Knot { at: [p.at[0], p.at[1], 0.0], crossing: p.crossing.map(|c| (c.0 as usize, c.1)) }
    }
}

impl Cell {
    /// The crossings that the rehearsal demands.
    #[must_use]
    pub fn demands(&self) -> Crossings {
        let mut first: Vec<Option<[f64; 2]>> = vec![None; self.crossings];
        // Where each strand comes from and goes on to, by crossing, the lower strand first.
        let mut ways = vec![[[0.0; 2]; 2]; self.crossings];
        for course in &self.courses {
            let n = course.knots.len();
            for (i, k) in course.knots.iter().enumerate() {
                let Some((crossing, over)) = k.crossing else { continue };
                let angle = |j: usize, wrap: f64| {
                    let to = course.knots[j].at;
                    (to[1] - k.at[1]).atan2(to[0] + wrap * self.across - k.at[0])
                };
                let before = if i == 0 { angle(n - 1, -1.0) } else { angle(i - 1, 0.0) };
                let after = if i + 1 == n { angle(0, 1.0) } else { angle(i + 1, 0.0) };
                ways[crossing][usize::from(over)] = [before, after];
            }
        }
        let from_right = |c: usize| {
            let [[below, _], [back, ahead]] = ways[c];
            // Turning clockwise from where the upper strand goes, the lower one's beginning comes before the upper's.
            let turn = |a: f64| (ahead - a).rem_euclid(core::f64::consts::TAU);
            turn(below) < turn(back)
        };
        let seen = self.courses.iter().map(|course| {
            let crossed = course.knots.iter().enumerate().filter_map(|(i, k)| Some((i, k, k.crossing?)));
            let list = crossed.map(|(i, k, (crossing, over))| {
                let at = *first[crossing].get_or_insert([k.at[0], k.at[1]]);
                let moved = |c: usize, period: f64| ((at[c] - k.at[c]) / period).round() as i32;
                Seen {
                    along: i as f64,
                    over,
                    crossing,
                    moved: (moved(0, self.across), moved(1, self.up)),
                    from_right: from_right(crossing),
                }
            });
            list.collect()
        });
        Crossings { seen: seen.collect(), count: self.crossings }
    }
}

/// How far apart in height two strands are laid where they cross, in diameters.
const GAP: f64 = 0.9;

/// Finds heights: each point midway between its neighbours, pushed apart where strands cross.
fn heights(cell: &mut Cell) -> Result<(), NoCell> {
    let mut pairs = vec![[(0, 0); 2]; cell.crossings];
    for (c, course) in cell.courses.iter().enumerate() {
        for (i, k) in course.knots.iter().enumerate() {
            if let Some((n, over)) = k.crossing {
                pairs[n][usize::from(over)] = (c, i);
            }
        }
    }
    for round in 0..2000 {
        let mut least = f64::INFINITY;
        for course in &mut cell.courses {
            let n = course.knots.len();
            for i in 0..n {
                let mean = f64::midpoint(course.knots[(i + n - 1) % n].at[2], course.knots[(i + 1) % n].at[2]);
                let z = &mut course.knots[i].at[2];
                *z += 0.3 * (mean - *z);
            }
        }
        for [under, over] in &pairs {
            let gap = cell.courses[over.0].knots[over.1].at[2] - cell.courses[under.0].knots[under.1].at[2];
            least = least.min(gap);
            if gap < GAP {
                let push = (GAP - gap) / 2.0;
                cell.courses[over.0].knots[over.1].at[2] += push;
                cell.courses[under.0].knots[under.1].at[2] -= push;
            }
        }
        if least > 0.8 * GAP || round > 200 && least > 0.5 * GAP {
            break;
        }
    }
    let apart = |[under, over]: &[(usize, usize); 2]| {
        cell.courses[over.0].knots[over.1].at[2] - cell.courses[under.0].knots[under.1].at[2] > 0.4 * GAP
    };
    if !pairs.iter().all(apart) {
        return Err(NoCell::Tangled);
    }
    // Heights are counted from the middle.
    let all = || cell.courses.iter().flat_map(|c| &c.knots).map(|k| k.at[2]);
    let middle = all().sum::<f64>() / all().count().max(1) as f64;
    cell.courses.iter_mut().flat_map(|c| &mut c.knots).for_each(|k| k.at[2] -= middle);
    Ok(())
}
