//! All pieces of a size, and all sizes, settled together.
//!
//! Branch and bound, best first. A node is the best solution of every piece by itself within bounds; its cost is a lower
//! bound for all nodes under it, since joining the pieces can only cost more. Where a condition between them is broken
//! (shapings without room in their rows, sewn edges of different length, a larger size smaller somewhere), the node is
//! divided into parts that together contain every way to fix it, but not the broken solution. The first node with nothing
//! broken is therefore the best there is.

use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BinaryHeap};
use std::rc::Rc;

use latchwork_machine::needle::Side;

use super::chain::{Bounds, Chain, EXACT, PieceProblem, RowChoice, has_room};
use super::edge::edge_length;
use super::parts::{half, parts, slope_begins};
use super::precheck::clears;
use super::shaped::{Edge as ShapingEdge, outer};
use super::{cast_on_passes, placing};
use crate::design::{At, Edge, EdgeKind, Fullness, Neck, Seam, ShortRows, Size};

/// How strictly sewn edges must be equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Equal {
    /// As equal as the repeats allow: within half a step of either edge.
    Step,
    /// Within the tenth that easing takes up.
    Eased,
    /// The same, with fullness by so many percent more or less than is asked for.
    Wider(u32),
    /// Not at all.
    Free,
}

/// Largest difference between two sewn edges that easing can take up: a tenth (common practice, no source).
pub const EASED: f64 = 0.10;

/// Most nodes of a search, more than a hand-written design needs. Past it, sewn edges are settled by the next looser
/// rule, and sizes one after another.
const MOST_NODES: usize = 2_000;
/// The same for all sizes together, where each node settles a size anew.
const MOST_SIZES: usize = 300;
/// The same where only the smallest group of conflicting targets is sought.
const MOST_TRIED: usize = 300;

/// The result of a search.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Searched<T> {
    /// The best there is.
    Best(T),
    /// Nothing is possible.
    Nothing,
    /// Stopped after too many nodes.
    GaveUp,
}

impl<T> Searched<T> {
    /// The best, if found.
    pub(super) fn found(self) -> Option<T> {
        match self {
            Searched::Best(t) => Some(t),
            Searched::Nothing | Searched::GaveUp => None,
        }
    }
}

/// One size to settle.
#[derive(Debug)]
pub(super) struct SizeProblem<'a> {
    pub(super) pieces: Vec<PieceProblem<'a>>,
    pub(super) seams: Vec<&'a Seam>,
    /// Lengths of shaped edges already worked out.
    pub(super) lengths: RefCell<BTreeMap<ShapedEdge, f64>>,
}

/// A shaped side edge: piece, stretch, side, number of shapings, rows, and whether the carriage is there at its first row.
pub(super) type ShapedEdge = (usize, usize, bool, u32, u32, bool);

/// A settled size.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SizeSolution {
    pub(super) cost: f64,
    pub(super) chains: Vec<Rc<Chain>>,
    pub(super) rows: Vec<Rc<RowChoice>>,
}

/// Which number of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    Start,
    End,
    RowChoice,
}

/// An upper or lower limit of a number of a stretch.
#[derive(Debug, Clone, Copy)]
struct Limit {
    piece: usize,
    stretch: usize,
    which: Which,
    at_least: bool,
    value: u32,
}

type PieceBounds = Vec<Bounds>;

fn limit(bounds: &mut [PieceBounds], l: Limit) -> bool {
    let b = &mut bounds[l.piece][l.stretch];
    let range = match l.which {
        Which::Start => &mut b.start,
        Which::End => &mut b.end,
        Which::RowChoice => &mut b.rows,
    };
    if l.at_least {
        range.0 = range.0.max(l.value);
    } else {
        range.1 = range.1.min(l.value);
    }
    range.0 <= range.1
}

/// A node in the heap: least cost first, then the oldest.
struct Open<T> {
    cost: f64,
    number: usize,
    node: T,
}

impl<T> PartialEq for Open<T> {
    fn eq(&self, other: &Open<T>) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<T> Eq for Open<T> {}

impl<T> PartialOrd for Open<T> {
    fn partial_cmp(&self, other: &Open<T>) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T> Ord for Open<T> {
    fn cmp(&self, other: &Open<T>) -> Ordering {
        other.cost.total_cmp(&self.cost).then(other.number.cmp(&self.number))
    }
}

/// The best node with nothing broken, from `root`; `divided` gives the parts of a broken node.
fn best_first<T>(root: (f64, T), most: usize, mut divided: impl FnMut(&T) -> Option<Vec<(f64, T)>>) -> Searched<T> {
    let mut heap = BinaryHeap::from([Open { cost: root.0, number: 0, node: root.1 }]);
    let mut number = 0;
    while let Some(open) = heap.pop() {
        let Some(parts) = divided(&open.node) else { return Searched::Best(open.node) };
        for (cost, node) in parts {
            number += 1;
            heap.push(Open { cost, number, node });
        }
        if number > most {
            return Searched::GaveUp;
        }
    }
    Searched::Nothing
}

struct Node {
    bounds: Vec<PieceBounds>,
    chains: Vec<Rc<Chain>>,
    rows: Vec<Rc<RowChoice>>,
}

impl Node {
    fn cost(&self) -> f64 {
        self.chains.iter().map(|c| c.cost).sum::<f64>() + self.rows.iter().map(|r| r.cost).sum::<f64>()
    }
}

impl SizeProblem<'_> {
    /// No bounds.
    pub(super) fn free(&self) -> Vec<PieceBounds> {
        self.pieces.iter().map(|p| vec![Bounds::FREE; p.piece.stretches.len()]).collect()
    }

    /// The best of this size within bounds.
    pub(super) fn solve(&self, bounds: &[PieceBounds], equal: Equal) -> Option<SizeSolution> {
        self.search(bounds, equal).found()
    }

    /// The best of this size within bounds, or why there is none.
    pub(super) fn search(&self, bounds: &[PieceBounds], equal: Equal) -> Searched<SizeSolution> {
        let Some(root) = self.root(bounds) else { return Searched::Nothing };
        let most = if self.pieces.iter().any(|p| p.hard) { MOST_TRIED } else { MOST_NODES };
        let best = best_first((root.cost(), root), most, |node| {
            let parts = self.broken(node, equal)?;
            Some(parts.iter().filter_map(|limits| self.part(node, limits)).collect())
        });
        match best {
            Searched::Best(b) => Searched::Best(SizeSolution { cost: b.cost(), chains: b.chains, rows: b.rows }),
            Searched::Nothing => Searched::Nothing,
            Searched::GaveUp => Searched::GaveUp,
        }
    }

    /// The best of every piece by itself.
    fn root(&self, bounds: &[PieceBounds]) -> Option<Node> {
        let mut chains = Vec::new();
        let mut rows = Vec::new();
        for (p, b) in self.pieces.iter().zip(bounds) {
            chains.push(p.best_chain(b)?);
            rows.push(Rc::new(p.rows(b)?));
        }
        Some(Node { bounds: bounds.to_vec(), chains, rows })
    }

    /// The width that the first side of a seam should have, every piece settled by itself.
    pub(super) fn hung(&self, seam: &Seam) -> Option<f64> {
        let root = self.root(&self.free())?;
        if let (true, Some(own)) = (seam.by_stitches, seam.sides[0].first()) {
            let needle = self.pieces[own.piece].piece.stretches.first()?.gauge.needle.value;
            return Some(needle * seam.sides[1].iter().map(|e| self.loops(&root, e)).sum::<f64>());
        }
        let length: f64 = seam.sides[1].iter().map(|e| self.length(&root, e, false)).sum();
        let percent = seam.fullness.map_or(0.0, |f| f64::midpoint(f.percent.0, f.percent.1));
        Some(length * (1.0 + percent / 100.0))
    }

    /// A node with more limits, the affected pieces settled again.
    fn part(&self, node: &Node, limits: &[Limit]) -> Option<(f64, Node)> {
        let mut bounds = node.bounds.clone();
        for l in limits {
            if !limit(&mut bounds, *l) {
                return None;
            }
        }
        let (mut chains, mut rows) = (node.chains.clone(), node.rows.clone());
        for (p, problem) in self.pieces.iter().enumerate().filter(|(p, _)| bounds[*p] != node.bounds[*p]) {
            chains[p] = problem.best_chain(&bounds[p])?;
            rows[p] = Rc::new(problem.rows(&bounds[p])?);
        }
        let node = Node { bounds, chains, rows };
        Some((node.cost(), node))
    }

    /// Every way to fix the first thing broken; none if nothing is.
    fn broken(&self, node: &Node, equal: Equal) -> Option<Vec<Vec<Limit>>> {
        for (p, problem) in self.pieces.iter().enumerate() {
            for (i, counts) in node.chains[p].counts.iter().enumerate() {
                let rows = node.rows[p].rows[i];
                if !has_room(problem.piece, i, counts.times, rows, problem.nearest[i].1) {
                    let l = |at_least, value| {
                        vec![Limit { piece: p, stretch: i, which: Which::RowChoice, at_least, value }]
                    };
                    return Some(vec![l(false, rows), l(true, rows + 1)]);
                }
            }
        }
        if equal == Equal::Free {
            return None;
        }
        self.seams.iter().find_map(|s| self.unequal(node, s, equal))
    }

    fn unequal(&self, node: &Node, seam: &Seam, equal: Equal) -> Option<Vec<Vec<Limit>>> {
        let same = |[a, b]: [&Edge; 2]| {
            a.piece == b.piece && a.kind.is_side() && b.kind.is_side() && a.stretches == b.stretches
        };
        if seam.one_to_one().is_some_and(same) || seam.edges().any(|e| !e.middles.is_empty()) {
            return None;
        }
        // Side edges are sewn row to row, however they slant.
        let by_rows = seam.fullness.is_none() && seam.edges().all(|e| e.kind.is_side());
        let length = |k: usize| {
            let of = |e: &Edge| if seam.by_stitches { self.loops(node, e) } else { self.length(node, e, by_rows) };
            seam.sides[k].iter().map(of).sum::<f64>()
        };
        let (la, lb) = (length(0), length(1));
        let step = seam.edges().map(|e| self.step(e)).fold(0.0, f64::max) / 2.0;
        let (least, most) = match (seam.fullness, equal) {
            _ if seam.by_stitches => (0.0, 0.0),
            (Some(Fullness { percent: (least, most), .. }), _) => {
                let more = if let Equal::Wider(more) = equal { f64::from(more) } else { 0.0 };
                ((least - more) / 100.0 * lb, (most + more) / 100.0 * lb)
            }
            (None, Equal::Step) => (-step, step),
            (None, Equal::Eased | Equal::Wider(_) | Equal::Free) => {
                let eased = EASED * la.max(lb);
                (-eased, eased)
            }
        };
        let off = la - lb;
        if (least - 1e-6..=most + 1e-6).contains(&off) {
            return None;
        }
        // Either a number of the longer side falls or one of the shorter grows; each way keeps the numbers before it unchanged
        // or worse, and no solution appears twice. A side with fullness is fitted to the other, which stays.
        let (first, second) = (
            self.numbers(node, &seam.sides[0], off > most),
            match seam.fullness {
                Some(_) => Vec::new(),
                None if seam.by_stitches => Vec::new(),
                None => self.numbers(node, &seam.sides[1], off < least),
            },
        );
        let all: Vec<(Limit, Limit)> = if off > most {
            first.into_iter().chain(second).collect()
        } else {
            second.into_iter().chain(first).collect()
        };
        let ways = (0..all.len()).map(|k| all[..k].iter().map(|n| n.1).chain([all[k].0]).collect());
        Some(ways.collect())
    }

    /// The numbers that lengthen or shorten edges: each changed by one, and as it would stay or go the other way.
    fn numbers(&self, node: &Node, edges: &[Edge], falls: bool) -> Vec<(Limit, Limit)> {
        let mut all = Vec::new();
        for e in edges {
            let chain = &node.chains[e.piece].counts;
            let rows = |i: usize| node.rows[e.piece].rows[i];
            let l = |stretch, which, value: u32, falls: bool| {
                let base = Limit { piece: e.piece, stretch, which, at_least: !falls, value };
                let changed = Limit { value: if falls { value.saturating_sub(1) } else { value + 1 }, ..base };
                (changed, Limit { at_least: falls, ..base })
            };
            let last = chain.len() - 1;
            match e.kind {
                EdgeKind::CastOn => all.push(l(0, Which::Start, chain[0].start, falls)),
                EdgeKind::Ending | EdgeKind::Shoulder(_) => all.push(l(last, Which::End, chain[last].end, falls)),
                EdgeKind::Left | EdgeKind::Right | EdgeKind::Neck | EdgeKind::Slit => {
                    all.extend(e.stretches.iter().map(|i| l(*i, Which::RowChoice, rows(*i), falls)));
                }
            }
        }
        // A number that several edges share counts once.
        let mut once: Vec<(Limit, Limit)> = Vec::new();
        for n in all {
            let same = |o: &(Limit, Limit)| (o.0.piece, o.0.stretch, o.0.which) == (n.0.piece, n.0.stretch, n.0.which);
            if !once.iter().any(same) {
                once.push(n);
            }
        }
        once
    }

    /// Stitches of a first or last row.
    fn loops(&self, node: &Node, e: &Edge) -> f64 {
        let counts = &node.chains[e.piece].counts;
        f64::from(if e.kind == EdgeKind::CastOn { counts[0].start } else { counts[counts.len() - 1].end })
    }

    /// Length of an edge, in millimetres; of a side edge by its rows alone, or from change to change.
    fn length(&self, node: &Node, e: &Edge, by_rows: bool) -> f64 {
        let piece = self.pieces[e.piece].piece;
        let pass = |i: usize| piece.stretches[i].gauge.pass.value;
        match e.kind {
            EdgeKind::CastOn => f64::from(node.chains[e.piece].counts[0].start) * piece.stretches[0].gauge.needle.value,
            EdgeKind::Ending | EdgeKind::Shoulder(_) => {
                let last = piece.stretches.len() - 1;
                let neck = self.pieces[e.piece].neck_wide();
                let all = f64::from(node.chains[e.piece].counts[last].end) * piece.stretches[last].gauge.needle.value;
                if e.kind == EdgeKind::Ending { all - neck } else { (all - neck) / 2.0 }
            }
            EdgeKind::Left | EdgeKind::Right => {
                let side = e.kind.side().unwrap_or(Side::Left);
                e.stretches.iter().map(|i| self.side_edge(node, (e.piece, *i), side, by_rows)).sum()
            }
            EdgeKind::Neck => e.stretches.iter().map(|i| self.neck_edge(node, (e.piece, *i))).sum(),
            EdgeKind::Slit => e.stretches.iter().map(|i| 2.0 * f64::from(node.rows[e.piece].rows[*i]) * pass(*i)).sum(),
        }
    }

    /// The side edge of a stretch.
    fn side_edge(&self, node: &Node, (p, i): (usize, usize), side: Side, by_rows: bool) -> f64 {
        let piece = self.pieces[p].piece;
        let s = &piece.stretches[i];
        let size = (s.gauge.needle.value, s.gauge.pass.value);
        let clearing = f64::from(u32::from(clears(piece, i))) * size.1;
        if let Some(short) = &self.pieces[p].drafted.stretches[i].short {
            return f64::from(short.whole_rows()) * size.1 + clearing;
        }
        let rows = node.rows[p].rows[i];
        // The sides of a neck in the middle each begin at their outer edge.
        let neck = s.neck.as_ref();
        let carriage = if neck.is_some_and(|n| n.edge().is_none()) { side } else { self.carriage_at(node, p, i) };
        let inner = neck.and_then(Neck::edge) == Some(side);
        let upto = slope_begins(s, rows, carriage != side).filter(|_| !inner).unwrap_or(rows);
        if inner {
            return self.half_edge(node, (p, i), carriage) + clearing;
        }
        let shaped = |e: &ShapingEdge<'_>| e.shaping.at == At::Both || e.shaping.at == At::Only(side);
        let Some(edge) = outer(piece, i).filter(|e| shaped(e) && !by_rows) else {
            return f64::from(upto) * size.1 + clearing;
        };
        let times = node.chains[p].counts[i].times;
        let key = (p, i, side == Side::Left, times, rows, carriage == side);
        let mut known = self.lengths.borrow_mut();
        *known.entry(key).or_insert_with(|| {
            let all = edge.shapings(At::Only(side), (times, rows, self.pieces[p].nearest[i].1), carriage);
            edge_length(&all.unwrap_or_default(), side, upto, size)
        }) + clearing
    }

    /// The edge of a neck that lies at one edge of a stretch.
    fn half_edge(&self, node: &Node, (p, i): (usize, usize), carriage: Side) -> f64 {
        let problem = &self.pieces[p];
        let s = &problem.piece.stretches[i];
        let Some((neck, side)) = s.neck.as_ref().and_then(|n| Some((n, n.edge()?))) else { return 0.0 };
        let counts = node.chains[p].counts[i];
        let rows = node.rows[p].rows[i];
        let settled = (counts.times, rows, problem.nearest[i].1);
        let target = problem.drafted.stretches[i].neck.as_ref();
        let found = half((problem.piece, i), neck, side, target, settled, (counts.start, counts.end), carriage);
        let size = (s.gauge.needle.value, s.gauge.pass.value);
        found.map_or(f64::from(rows) * size.1, |(all, _)| edge_length(&all, side, rows, size))
    }

    /// Where the carriage is at the first row of a stretch.
    fn carriage_at(&self, node: &Node, p: usize, i: usize) -> Side {
        let piece = self.pieces[p].piece;
        let passes = |k: usize| {
            let s = &piece.stretches[k];
            let short = self.pieces[p].drafted.stretches[k].short.as_ref();
            let rows = short.and_then(ShortRows::rows).unwrap_or(node.rows[p].rows[k]);
            rows * s.layers() + u32::from(clears(piece, k)) + u32::from(s.slit.is_some())
        };
        piece.carriage.after(cast_on_passes(piece.cast_on) + (0..i).map(passes).sum::<u32>())
    }

    /// The edge of a neck as it is wished, its outer edges left as they are.
    fn neck_edge(&self, node: &Node, (p, i): (usize, usize)) -> f64 {
        let problem = &self.pieces[p];
        let (piece, chain) = (problem.piece, &node.chains[p]);
        let Some(neck) = &piece.stretches[i].neck else { return 0.0 };
        let counts = chain.counts[i];
        let wide = i16::try_from(chain.places).unwrap_or(i16::MAX);
        let grown = (0..i).fold((0, wide), |(left, right), k| {
            let more = placing::grows(&piece.stretches[k], chain.counts[k].start, chain.counts[k].end);
            (left - more.0, right + more.1)
        });
        let settled = (counts.times, node.rows[p].rows[i], problem.nearest[i].1);
        let target = problem.drafted.stretches[i].neck.as_ref();
        let ends = ((counts.start, counts.end), grown);
        parts((piece, i), neck, target, settled, ends, self.carriage_at(node, p, i)).map_or(0.0, |p| p.round.0)
    }

    /// The smallest change in the length of an edge, in millimetres.
    fn step(&self, e: &Edge) -> f64 {
        let problem = &self.pieces[e.piece];
        let needles = |i: usize| {
            let s = &problem.piece.stretches[i];
            let layout = s.fabric.layout;
            let (main, ribber) = layout.needle_count(layout.repeat());
            if let Some((every, _)) = problem.piece.whole_repeats(s) {
                return f64::from(every) * s.gauge.needle.value;
            }
            let step = if layout.two_beds() && layout.one_per_place() { 2.0 } else { f64::from(main + ribber) };
            step * s.gauge.needle.value
        };
        match e.kind {
            EdgeKind::CastOn => needles(0),
            EdgeKind::Ending => needles(problem.piece.stretches.len() - 1),
            EdgeKind::Shoulder(_) => needles(problem.piece.stretches.len() - 1) / 2.0,
            EdgeKind::Left | EdgeKind::Right | EdgeKind::Neck | EdgeKind::Slit => {
                let both = if e.kind.is_side() { 1.0 } else { 2.0 };
                let step = |i: &usize| f64::from(problem.row_step(*i).max(1)) * both;
                let steps = e.stretches.iter().map(|i| step(i) * problem.piece.stretches[*i].gauge.pass.value);
                steps.fold(0.0, f64::max)
            }
        }
    }
}

/// Whether every measure of one size is at most that of another, and at least one is smaller.
pub(super) fn smaller(a: &Size, b: &Size) -> bool {
    let pairs = || a.measures.iter().filter_map(|(n, v)| Some((v.0, b.measure(n)?.0)));
    pairs().all(|(x, y)| x <= y) && pairs().any(|(x, y)| x < y)
}

struct Sizes {
    bounds: Vec<Vec<PieceBounds>>,
    sizes: Vec<Rc<SizeSolution>>,
}

impl Sizes {
    fn cost(&self) -> f64 {
        self.sizes.iter().map(|s| s.cost).sum()
    }
}

/// All sizes together: the least sum with no larger size smaller anywhere. `alone` holds the sizes settled by themselves;
/// sizes that miss an exact target must be left out.
pub(super) fn sizes_together(
    problems: &[(&SizeProblem<'_>, &Size, Equal)],
    alone: Vec<Rc<SizeSolution>>,
) -> Option<Vec<Rc<SizeSolution>>> {
    let pairs: Vec<(usize, usize)> = (0..problems.len())
        .flat_map(|i| (0..problems.len()).map(move |j| (i, j)))
        .filter(|(i, j)| i != j && smaller(problems[*i].1, problems[*j].1))
        .collect();
    let root = Sizes { bounds: problems.iter().map(|(p, ..)| p.free()).collect(), sizes: alone };
    // A branch given up is not ruled out: a solution found without it is not proven the best.
    let mut gave_up = false;
    let best = best_first((root.cost(), root), MOST_SIZES, |node| {
        let (small, large, l) = pairs.iter().find_map(|(i, j)| backwards(&node.sizes, *i, *j))?;
        let mut part = |size: usize, limit_to: Limit| {
            let mut bounds = node.bounds.clone();
            if !limit(&mut bounds[size], limit_to) {
                return None;
            }
            let searched = problems[size].0.search(&bounds[size], problems[size].2);
            gave_up |= searched == Searched::GaveUp;
            let solved = searched.found().filter(|s| s.cost < EXACT / 2.0)?;
            let mut sizes = node.sizes.clone();
            sizes[size] = Rc::new(solved);
            let node = Sizes { bounds, sizes };
            Some((node.cost(), node))
        };
        let grown = Limit { at_least: true, value: l.value + 1, ..l };
        Some([part(small, l), part(large, grown)].into_iter().flatten().collect())
    })
    .found()?;
    (!gave_up).then_some(best.sizes)
}

/// Sizes one after another, each at least as large as those below it: in order, but not proven the best.
pub(super) fn one_after_the_other(problems: &[(&SizeProblem<'_>, &Size, Equal)]) -> Option<Vec<Rc<SizeSolution>>> {
    let mut order: Vec<usize> = (0..problems.len()).collect();
    // In whatever order sizes are listed, each comes after all smaller ones.
    order.sort_by_key(|j| (0..problems.len()).filter(|i| smaller(problems[*i].1, problems[*j].1)).count());
    let mut found: Vec<Option<Rc<SizeSolution>>> = vec![None; problems.len()];
    for j in order {
        let (problem, size, equal) = problems[j];
        let mut bounds = problem.free();
        for (i, below) in found.iter().enumerate() {
            let Some(below) = below.as_ref().filter(|_| smaller(problems[i].1, size)) else { continue };
            for (b, (chain, rows)) in bounds.iter_mut().zip(below.chains.iter().zip(&below.rows)) {
                for ((b, counts), rows) in b.iter_mut().zip(&chain.counts).zip(&rows.rows) {
                    b.start.0 = b.start.0.max(counts.start);
                    b.end.0 = b.end.0.max(counts.end);
                    b.rows.0 = b.rows.0.max(*rows);
                }
            }
        }
        found[j] = Some(Rc::new(problem.solve(&bounds, equal).filter(|s| s.cost < EXACT / 2.0)?));
    }
    found.into_iter().collect()
}

/// The first place where a larger size is smaller, with the larger size's number as the limit of the smaller's.
fn backwards(sizes: &[Rc<SizeSolution>], small: usize, large: usize) -> Option<(usize, usize, Limit)> {
    let (a, b) = (&sizes[small], &sizes[large]);
    for piece in 0..a.chains.len() {
        for stretch in 0..a.chains[piece].counts.len() {
            let (ca, cb) = (a.chains[piece].counts[stretch], b.chains[piece].counts[stretch]);
            let (ra, rb) = (a.rows[piece].rows[stretch], b.rows[piece].rows[stretch]);
            for (which, x, y) in
                [(Which::Start, ca.start, cb.start), (Which::End, ca.end, cb.end), (Which::RowChoice, ra, rb)]
            {
                if x > y {
                    return Some((small, large, Limit { piece, stretch, which, at_least: false, value: y }));
                }
            }
        }
    }
    None
}
