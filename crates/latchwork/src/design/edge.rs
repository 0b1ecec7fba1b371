//! Edges, and the sides of seams made of them.

use std::sync::Arc;

use latchwork_machine::needle::Side;

use crate::notice::Span;

/// An edge of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// The left side edge, as the piece hangs from the machine.
    Left,
    /// The right side edge.
    Right,
    /// The first row.
    CastOn,
    /// The last row.
    Ending,
    /// Round a neck, from shoulder to shoulder.
    Neck,
    /// Round a slit: up one side and down the other.
    Slit,
    /// The last row of the shoulder at this side of a neck.
    Shoulder(Side),
}

impl EdgeKind {
    /// All kinds, with their words in documents.
    pub const ALL: [(EdgeKind, &'static str); 8] = [
        (EdgeKind::Left, "left"),
        (EdgeKind::Right, "right"),
        (EdgeKind::CastOn, "cast-on"),
        (EdgeKind::Ending, "ending"),
        (EdgeKind::Neck, "neck"),
        (EdgeKind::Slit, "slit"),
        (EdgeKind::Shoulder(Side::Left), "left-shoulder"),
        (EdgeKind::Shoulder(Side::Right), "right-shoulder"),
    ];

    /// Its word in documents.
    #[must_use]
    pub fn word(self) -> &'static str {
        EdgeKind::ALL.iter().find(|(k, _)| *k == self).map_or("", |(_, w)| w)
    }

    /// Whether it runs along the ends of rows.
    #[must_use]
    pub fn is_side(self) -> bool {
        self.side().is_some()
    }

    /// The side of a side edge.
    #[must_use]
    pub fn side(self) -> Option<Side> {
        match self {
            EdgeKind::Left => Some(Side::Left),
            EdgeKind::Right => Some(Side::Right),
            EdgeKind::CastOn | EdgeKind::Ending | EdgeKind::Neck | EdgeKind::Slit | EdgeKind::Shoulder(_) => None,
        }
    }

    /// The same edge of the mirror image.
    #[must_use]
    pub fn mirror(self) -> EdgeKind {
        match self {
            EdgeKind::Left => EdgeKind::Right,
            EdgeKind::Right => EdgeKind::Left,
            EdgeKind::Shoulder(side) => EdgeKind::Shoulder(side.other()),
            EdgeKind::CastOn | EdgeKind::Ending | EdgeKind::Neck | EdgeKind::Slit => self,
        }
    }

    /// Whether it is a last row, or a shoulder's part of one.
    #[must_use]
    pub fn ends(self) -> bool {
        matches!(self, EdgeKind::Ending | EdgeKind::Shoulder(_))
    }

    /// Whether it runs along a row.
    #[must_use]
    pub fn is_row(self) -> bool {
        self == EdgeKind::CastOn || self.ends()
    }
}

/// Part of an edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The piece, by index.
    pub piece: usize,
    /// Of a pair: whether it is that of the mirror image. Its kind is that of the edge mirrored.
    pub mirrored: bool,
    /// Which edge.
    pub kind: EdgeKind,
    /// For a side edge: the stretches sewn, by index, from the bottom up. For a slit: its stretch.
    pub stretches: Vec<usize>,
    /// What the author calls it, alone or with the edges beside it on its side of a seam.
    pub named: Option<Arc<str>>,
    /// For a first or last row: the middle of each sewn part, as a share of the row from the left.
    pub middles: Vec<f64>,
    /// Its place in the document.
    pub span: Span,
}

impl Edge {
    /// Whether two edges share a part that can be sewn once only.
    #[must_use]
    pub fn meets(&self, other: &Edge) -> bool {
        let one = self.of_one(other) && self.kind == other.kind;
        let opening = self.kind.is_side() || self.kind == EdgeKind::Slit || self.kind == EdgeKind::Neck;
        let shoulder = |e: &Edge| matches!(e.kind, EdgeKind::Shoulder(_));
        one && opening && self.stretches.iter().any(|i| other.stretches.contains(i))
            || self.same(other) && (shoulder(self) || shoulder(other))
    }

    /// Whether two edges are the same row of a piece, or one is part of the other.
    #[must_use]
    pub fn same(&self, other: &Edge) -> bool {
        let part = |a: &Edge, b: &Edge| a.kind == EdgeKind::Ending && b.kind.ends();
        let one = self.kind == other.kind && self.kind.is_row() || part(self, other) || part(other, self);
        self.of_one(other) && one
    }

    fn of_one(&self, other: &Edge) -> bool {
        (self.piece, self.mirrored) == (other.piece, other.mirrored)
    }

    /// This edge of either of a pair.
    #[must_use]
    pub fn of_either(&self) -> Edge {
        Edge { mirrored: false, ..self.clone() }
    }

    /// The edge that the second of a pair hangs where the first hangs this one: that of the other of a pair, or the other side of
    /// the one piece.
    #[must_use]
    pub fn for_second(&self, of_pair: bool) -> Edge {
        if of_pair {
            Edge { mirrored: !self.mirrored, ..self.clone() }
        } else {
            Edge { kind: self.kind.mirror(), ..self.clone() }
        }
    }

    /// Which edge it is as its piece hangs from the machine: of a mirror image, the other side.
    #[must_use]
    pub fn as_hung(&self) -> EdgeKind {
        if self.mirrored { self.kind.mirror() } else { self.kind }
    }

    /// Whether an edge of a side of a seam is sewn against the order in which its rows or stitches are counted: side edges after the
    /// first are sewn from the top down, and a row from where the edge before it ends.
    #[must_use]
    pub fn turned(edges: &[&Edge], k: usize) -> bool {
        k > 0 && (edges[k].kind.is_side() || edges[k - 1].kind == EdgeKind::Right)
    }
}

/// How a seam is sewn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Row to row or stitch to stitch, one stitch in.
    Mattress,
    /// Oversewn, through both edges.
    Oversewn,
    /// Stitch to stitch, live.
    Grafted,
    /// On the machine, hung on the needles.
    Hung,
}

impl Method {
    /// What is sewn, with the words of documents.
    pub const SEWN: [(Method, &'static str); 3] =
        [(Method::Mattress, "mattress"), (Method::Oversewn, "oversewn"), (Method::Grafted, "grafted")];
}

/// An opening of a garment through which a part of the body passes.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Its name.
    pub name: String,
    /// The body measure that passes.
    pub over: String,
    /// The edges round it, one after another.
    pub edges: Vec<Edge>,
    /// Where it is written.
    pub span: Span,
}

/// Two sides sewn together.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    /// Its name.
    pub name: String,
    /// Its place in the document.
    pub span: Span,
    /// How it is sewn.
    pub method: Method,
    /// Its sides: one edge each, or several on end. Of several, the first is sewn from its beginning and the others from
    /// where the one before it ends: side edges from the top down.
    pub sides: [Vec<Edge>; 2],
    /// By how much the first side is longer.
    pub fullness: Option<Fullness>,
    /// Whether every stitch of the second side is hung on a needle of its own, as of a tube that is left open.
    pub by_stitches: bool,
    /// A note for sewing it; may be empty.
    pub note: String,
}

impl Seam {
    /// Whether it is of two whole rows that both begin or both end their pieces: they meet with one of them turned round.
    #[must_use]
    pub fn head_to_head(&self) -> bool {
        let both = self.one_to_one().filter(|[a, b]| a.middles.is_empty() && b.middles.is_empty());
        both.is_some_and(|[a, b]| a.kind.is_row() && b.kind.is_row() && a.kind.ends() == b.kind.ends())
    }

    /// The edges of both sides.
    pub fn edges(&self) -> impl Iterator<Item = &Edge> {
        self.sides.iter().flatten()
    }

    /// Whether all its edges are of one piece as it is made: sewn on each of those made alike.
    #[must_use]
    pub fn within_one(&self) -> bool {
        let first = &self.sides[0][0];
        self.edges().all(|e| e.of_one(first))
    }

    /// Its edges, where each side is one.
    #[must_use]
    pub fn one_to_one(&self) -> Option<[&Edge; 2]> {
        match [self.sides[0].as_slice(), self.sides[1].as_slice()] {
            [[a], [b]] => Some([a, b]),
            _ => None,
        }
    }

    /// Whether both sides are side edges of one piece, and this stretch among them: it closes into a round.
    #[must_use]
    pub fn closes(&self, piece: usize, stretch: usize) -> bool {
        self.within_one()
            && self
                .sides
                .iter()
                .all(|side| side.iter().any(|e| e.piece == piece && e.kind.is_side() && e.stretches.contains(&stretch)))
    }
}

/// By how much the first side of a seam is longer than the second, to be eased in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fullness {
    /// The least and the most, in percent.
    pub percent: (f64, f64),
    /// Whether it is taken up in the middle half of the seam alone, as at the top of a sleeve.
    pub in_middle: bool,
}

impl Fullness {
    /// The share of the first side that meets a share of the second, which is `same` times as long.
    #[must_use]
    pub fn met(self, share: f64, same: f64) -> f64 {
        match share {
            _ if !self.in_middle => share,
            s if s < 0.25 => s * same,
            s if s > 0.75 => 1.0 - (1.0 - s) * same,
            s => 0.25 * same + (s - 0.25) * 2.0 * (1.0 - 0.5 * same),
        }
    }

    /// The share of the second side that meets a share of the first.
    #[must_use]
    pub fn meets(self, share: f64, same: f64) -> f64 {
        match share {
            _ if !self.in_middle => share,
            s if s < 0.25 * same => s / same,
            s if s > 1.0 - 0.25 * same => 1.0 - (1.0 - s) / same,
            s => 0.25 + (s - 0.25 * same) / (2.0 * (1.0 - 0.5 * same)),
        }
    }
}
