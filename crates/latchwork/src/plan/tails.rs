//! Lengths of yarn left hanging, long enough for the seams that they sew.

use super::build::Builder;
use crate::design::{Design, Edge, EdgeKind, Method, Seam};
use crate::stitches::{PieceStitches, edge_run};
use crate::units::Mm;

/// Yarn left beyond what sewing takes: common practice, no source.
const SPARE: f64 = 200.0;

/// Yarn per length of seam: common practice, no source.
#[must_use]
pub fn yarn_along(method: Method) -> f64 {
    match method {
        Method::Mattress => 2.0,
        Method::Oversewn => 2.5,
        Method::Grafted => 3.5,
        Method::Hung => 0.0,
    }
}

/// A tail: its piece, and whether it is the tail of the ending.
type TailOf = (usize, bool);

/// The tail that sews a seam: the first of those at its ends that no earlier seam takes.
#[must_use]
pub fn sewn_with(design: &Design, seam: &Seam) -> Option<TailOf> {
    let mut taken: Vec<TailOf> = Vec::new();
    for s in &design.seams {
        let own = reaching(design, s).into_iter().find(|t| !taken.contains(t));
        if s == seam {
            return own;
        }
        taken.extend(own);
    }
    None
}

/// The tails at the ends of a seam, likeliest first.
fn reaching(design: &Design, seam: &Seam) -> Vec<TailOf> {
    let [a, b] = [0, 1].map(|k: usize| &seam.sides[k]);
    let last = |piece: usize| design.pieces.get(piece).map_or(0, |p| p.stretches.len() - 1);
    let all: Vec<&Edge> = seam.edges().collect();
    // A row sewn to something else uses its own tail, where it is the whole of a side.
    let row = |side: &[Edge]| match side {
        [e] if matches!(e.kind, EdgeKind::CastOn | EdgeKind::Ending) => Some((e.piece, e.kind == EdgeKind::Ending)),
        _ => None,
    };
    if !all.iter().all(|e| e.kind.is_side()) {
        let (one, other) = if a.iter().any(|e| !e.middles.is_empty()) { (b, a) } else { (a, b) };
        return row(one).or_else(|| row(other)).into_iter().collect();
    }
    let of = |e: &&Edge| {
        let end = e.stretches.contains(&last(e.piece)).then_some((e.piece, true));
        let start = e.stretches.contains(&0).then_some((e.piece, false));
        end.into_iter().chain(start)
    };
    all.iter().flat_map(of).collect()
}

impl Builder<'_> {
    /// Yarn left at the cast-on.
    pub(crate) fn start_tail(&self) -> Mm {
        self.tail_for(false)
    }

    /// Yarn left at the ending.
    pub(crate) fn end_tail(&self) -> Mm {
        self.tail_for(true)
    }

    /// What the seams sewn with a tail take, with some to spare, rounded up to 5 cm.
    fn tail_for(&self, end: bool) -> Mm {
        let seams = self.design.seams.iter().filter(|s| sewn_with(self.design, s) == Some((self.index, end)));
        let sewn: f64 = seams.map(|s| yarn_along(s.method) * self.edge(s, self.stitches)).sum();
        Mm(((SPARE + sewn) / 50.0).ceil() * 50.0)
    }

    /// Length of the side of a seam that this piece is part of.
    fn edge(&self, seam: &Seam, stitches: &PieceStitches) -> f64 {
        let own = |side: &Vec<Edge>| {
            side.iter()
                .filter(|e| e.piece == self.index)
                .map(|e| edge_run(self.piece, stitches, e).length.0)
                .sum::<f64>()
        };
        seam.sides.iter().map(own).fold(0.0, f64::max)
    }
}
