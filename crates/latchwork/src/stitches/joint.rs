//! All pieces of a size, and all sizes, settled together.
//!
//! Branch and bound, best first. A node is the best solution of every piece by itself within bounds; its cost is a lower
//! bound for all nodes under it, since joining the pieces can only cost more. Where a condition between them is broken
//! (shapings without room in their rows, sewn edges of different length, a larger size smaller somewhere), the node is
//! divided into parts that together contain every way to fix it, but not the broken solution. The first node with nothing
//! broken is therefore the best there is.

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::chain::{Bounds, Chain, EXACT, PieceProblem, RowChoice, has_room};
use super::precheck::clears;
use crate::design::{Edge, EdgeKind, Seam, ShortRows, Size};

/// How strictly sewn edges must be equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Equal {
    /// As equal as the repeats allow: within half a step of either edge.
    Step,
    /// Within the tenth that easing takes up.
    Eased,
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
    pub(super) seams: &'a [Seam],
}

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
        let [a, b] = &seam.edges;
        let same = a.piece == b.piece && a.kind.is_side() && b.kind.is_side() && a.stretches == b.stretches;
        if same || !a.middles.is_empty() || !b.middles.is_empty() {
            return None;
        }
        let (la, lb) = (self.length(node, a), self.length(node, b));
        let allowed = match equal {
            Equal::Step => self.step(a).max(self.step(b)) / 2.0 + 1e-6,
            Equal::Eased | Equal::Free => EASED * la.max(lb) + 1e-6,
        };
        if (la - lb).abs() <= allowed {
            return None;
        }
        let (longer, shorter) = if la > lb { (a, b) } else { (b, a) };
        // Either a number of the longer edge falls or one of the shorter grows; each way keeps the numbers before it unchanged
        // or worse, and no solution appears twice.
        let numbers = |e: &Edge, falls: bool| -> Vec<(Limit, Limit)> {
            let l = |stretch, which, value: u32| {
                let base = Limit { piece: e.piece, stretch, which, at_least: !falls, value };
                let changed = Limit { value: if falls { value.saturating_sub(1) } else { value + 1 }, ..base };
                (changed, Limit { at_least: falls, ..base })
            };
            match e.kind {
                EdgeKind::CastOn => vec![l(0, Which::Start, node.chains[e.piece].counts[0].start)],
                EdgeKind::Ending => {
                    let last = node.chains[e.piece].counts.len() - 1;
                    vec![l(last, Which::End, node.chains[e.piece].counts[last].end)]
                }
                EdgeKind::Left | EdgeKind::Right => {
                    e.stretches.iter().map(|i| l(*i, Which::RowChoice, node.rows[e.piece].rows[*i])).collect()
                }
            }
        };
        let all: Vec<(Limit, Limit)> = numbers(longer, true).into_iter().chain(numbers(shorter, false)).collect();
        let ways = (0..all.len()).map(|k| all[..k].iter().map(|n| n.1).chain([all[k].0]).collect());
        Some(ways.collect())
    }

    /// Length of an edge, in millimetres.
    fn length(&self, node: &Node, e: &Edge) -> f64 {
        let piece = self.pieces[e.piece].piece;
        match e.kind {
            EdgeKind::CastOn => f64::from(node.chains[e.piece].counts[0].start) * piece.stretches[0].gauge.needle.value,
            EdgeKind::Ending => {
                let last = piece.stretches.len() - 1;
                let neck = self.pieces[e.piece].neck_wide();
                f64::from(node.chains[e.piece].counts[last].end) * piece.stretches[last].gauge.needle.value - neck
            }
            EdgeKind::Left | EdgeKind::Right => e
                .stretches
                .iter()
                .map(|i| {
                    let short = piece.stretches[*i].short.as_ref().map(ShortRows::whole_rows);
                    let rows = short.unwrap_or(node.rows[e.piece].rows[*i]) + u32::from(clears(piece, *i));
                    f64::from(rows) * piece.stretches[*i].gauge.pass.value
                })
                .sum(),
        }
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
            EdgeKind::Left | EdgeKind::Right => e
                .stretches
                .iter()
                .map(|i| f64::from(problem.row_step(*i).max(1)) * problem.piece.stretches[*i].gauge.pass.value)
                .fold(0.0, f64::max),
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
