//! Joins on the machine: edges of finished pieces hung on the needles of another.

use super::laid::yes;
use super::piece::NamedPiece;
use super::seam::{fullness, side_edges};
use super::{CastOn, Edge, EdgeKind, Ending, Make, Method, Seam};
use crate::fact::{EdgeFact, Subject};
use crate::notice::Notice;
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};

/// Edges of other pieces hung on the needles of a piece, at its first row or at its last.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The piece that they are hung on, by index.
    pub piece: usize,
    /// At its last row, with which they are cast off together; else its first row is knitted on to them.
    pub at_ending: bool,
    /// Whether they are turned over: public sides together. Else they hang as they were knitted, the same side towards the knitter.
    pub turned: bool,
    /// Whether a place may be hung twice, where stitches are narrower than what they hang on.
    pub twice: bool,
    /// The edges that meet: the piece's own, and those hung on it from its first needle at the left on.
    pub seam: Seam,
    /// A note for hanging them; may be empty.
    pub note: String,
}

/// What may stand inside a cast-on or an ending.
pub(super) const INSIDE: [&str; 3] = ["edge", "fullness", "note"];

/// The joins of all pieces.
pub(super) fn joins(r: &mut Reader<'_>, top: &Nodes<'_>, pieces: &[NamedPiece], seams: &[Seam]) -> Vec<Join> {
    let mut all: Vec<Join> = Vec::new();
    for node in top.all("piece") {
        let Some(Written::Text(name)) = node.arguments.first().map(|v| &v.written) else { continue };
        let Some(index) = pieces.iter().position(|p| p.name == *name) else { continue };
        for (word, at_ending) in [("cast-on", false), ("ending", true)] {
            let Some(inside) = node.children.iter().find(|n| n.name == word) else { continue };
            if let Some(join) = join(r, inside, (index, at_ending), pieces) {
                check(r, &join, pieces, (seams, &all));
                all.push(join);
            }
        }
    }
    all
}

fn join(r: &mut Reader<'_>, node: &Node, (piece, at_ending): (usize, bool), pieces: &[NamedPiece]) -> Option<Join> {
    let own = pieces.get(piece)?;
    let hung = own.piece.as_ref().is_some_and(|p| p.cast_on == CastOn::Hung) && !at_ending;
    let edges: Vec<&Node> = node.children.iter().filter(|n| n.name == "edge").collect();
    if edges.is_empty() {
        if hung {
            r.error(Notice::error(node.span, EdgeFact::HungWithoutEdge));
        }
        return None;
    }
    if !at_ending && !hung && own.piece.is_some() {
        r.error(Notice::error(node.span, EdgeFact::EdgeOfPlainCastOn));
        return None;
    }
    let turned = match property(node, "turned") {
        Some(v) => r.word(v, Subject::property("turned"), &[("yes", true), ("no", false)])?,
        None => at_ending,
    };
    let twice = yes(r, node, "twice")?;
    let edges = side_edges(r, &edges, pieces)?;
    let note = node.children.iter().find(|n| n.name == "note").and_then(|n| {
        r.leaf(n);
        r.text(n)
    });
    let fullness = match node.children.iter().find(|n| n.name == "fullness") {
        Some(n) => Some(fullness(r, n)?),
        None => None,
    };
    let kind = if at_ending { EdgeKind::Ending } else { EdgeKind::CastOn };
    let own_edge = Edge { piece, kind, stretches: Vec::new(), middles: Vec::new(), span: node.span };
    let seam = Seam {
        name: own.name.clone(),
        span: node.span,
        method: Method::Hung,
        sides: [vec![own_edge], edges],
        fullness,
        note: String::new(),
    };
    Some(Join { piece, at_ending, turned, twice, seam, note: note.unwrap_or_default() })
}

/// Checks that the edges can be hung: of pieces knitted before, closed or live, and not taken elsewhere.
fn check(r: &mut Reader<'_>, join: &Join, pieces: &[NamedPiece], (seams, earlier): (&[Seam], &[Join])) {
    let own = &pieces[join.piece];
    let made = |of: &NamedPiece| of.piece.as_ref().map_or(1, |p| p.make.count());
    for e in &join.seam.sides[1] {
        let other = &pieces[e.piece];
        if e.piece >= join.piece {
            r.error(Notice::error(
                e.span,
                EdgeFact::HungTooEarly { piece: own.name.clone(), other: other.name.clone() },
            ));
            continue;
        }
        if e.kind == EdgeKind::Slit || !e.middles.is_empty() {
            r.error(Notice::error(e.span, EdgeFact::CannotHang));
        }
        if let Some(p) = &other.piece
            && e.kind == EdgeKind::Ending
            && matches!(p.ending, Ending::Gather | Ending::Point)
        {
            r.error(Notice::error(e.span, EdgeFact::CannotHang));
        }
        let alike = own.piece.as_ref().is_some_and(|p| matches!(p.make, Make::Alike(_)));
        if alike && made(own) > made(other) {
            let (piece, other) = (own.name.clone(), other.name.clone());
            r.error(Notice::error(e.span, EdgeFact::HungTooOften { piece, other, made: made(own) }));
        }
        let sewn = seams.iter().find(|s| s.edges().any(|o| o.meets(e))).map(|s| s.name.clone());
        let hung = earlier.iter().find(|j| j.seam.sides[1].iter().any(|o| o.meets(e) || o.same(e)));
        if let Some(seam) = sewn.or_else(|| hung.map(|j| j.seam.name.clone())) {
            r.error(Notice::error(e.span, EdgeFact::HungTwice { seam }));
        }
    }
    let Some(piece) = &own.piece else { return };
    if join.at_ending && !matches!(piece.ending, Ending::Chain | Ending::LoopThroughLoop) {
        r.error(Notice::error(join.seam.span, EdgeFact::JoinedNotCastOff));
    }
    let divided = |p: &super::Piece| p.stretches.last().is_some_and(|s| s.neck.is_some());
    let shoulders = |e: &Edge| e.kind == EdgeKind::Ending && pieces[e.piece].piece.as_ref().is_none_or(divided);
    if join.at_ending && divided(piece) && !join.seam.sides[1].iter().all(shoulders) {
        r.error(Notice::error(join.seam.span, EdgeFact::ShouldersToShoulders));
    }
    let sloped = piece.stretches.iter().any(|s| s.neck.as_ref().is_some_and(|n| n.shoulder.is_some()));
    if join.at_ending && sloped {
        r.error(Notice::error(join.seam.span, EdgeFact::JoinedInGroups));
    }
}
