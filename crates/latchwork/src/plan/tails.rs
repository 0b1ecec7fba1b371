//! Lengths of yarn left hanging, long enough for the seams that they sew.

use super::build::Builder;
use crate::design::{Design, Edge, EdgeKind, Method, Seam};
use crate::stitches::PieceStitches;
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
    let [a, b] = &seam.edges;
    let last = |piece: usize| design.pieces.get(piece).map_or(0, |p| p.stretches.len() - 1);
    if !a.kind.is_side() || !b.kind.is_side() {
        // A row sewn to a place along a longer one uses its own tail.
        let row = if a.middles.is_empty() && !a.kind.is_side() || b.kind.is_side() { a } else { b };
        return vec![(row.piece, row.kind == EdgeKind::Ending)];
    }
    let of = |e: &Edge| {
        let end = e.stretches.contains(&last(e.piece)).then_some((e.piece, true));
        let start = e.stretches.contains(&0).then_some((e.piece, false));
        end.into_iter().chain(start)
    };
    of(a).chain(of(b)).collect()
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

    /// Length of this piece's edge in a seam.
    fn edge(&self, seam: &Seam, stitches: &PieceStitches) -> f64 {
        let Some(e) = seam.edges.iter().find(|e| e.piece == self.index) else { return 0.0 };
        let stretches = &stitches.stretches;
        match e.kind {
            EdgeKind::Left | EdgeKind::Right => e.stretches.iter().map(|i| stretches[*i].edge(e.kind).0).sum(),
            EdgeKind::CastOn => stretches.first().map_or(0.0, |w| w.width.0.0),
            EdgeKind::Ending => stretches.last().map_or(0.0, |w| w.ending_width().0),
        }
    }
}
