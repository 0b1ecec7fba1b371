//! Joins on the machine: edges of finished pieces hung on the needles of another.

use latchwork_machine::needle::Side;

use super::laid::yes;
use super::piece::NamedPiece;
use super::seam::{fullness, side_edges};
use super::{CastOn, Edge, EdgeKind, Ending, Make, Method, Seam};
use crate::fact::{EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};
use crate::vocabulary::SIDES;

/// Where edges of other pieces are hung.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JoinAt {
    /// On the needles before the first row, which is knitted on to them.
    FirstRow,
    /// On the stitches of the last row, with which they are cast off together.
    LastRow,
    /// On the end needle at a side of a stretch, row by row as it grows.
    Side {
        /// The stretch, by index.
        stretch: usize,
        /// The side.
        side: Side,
    },
}

/// Edges of other pieces hung on the needles of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The piece that they are hung on, by index.
    pub piece: usize,
    /// Where.
    pub at: JoinAt,
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
        // Extra white space is not part of a name.
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let Some(index) = pieces.iter().position(|p| p.name == name) else { continue };
        let of = |word: &'static str| node.children.iter().filter(move |n| n.name == word);
        let mut places: Vec<(&Node, JoinAt)> = Vec::new();
        places.extend(of("cast-on").map(|n| (n, JoinAt::FirstRow)));
        for (stretch, n) in of("stretch").enumerate() {
            let sides = pieces[index].piece.as_ref().and_then(|p| p.stretches.get(stretch)?.joined);
            let joined = n.children.iter().find(|n| n.name == "joined");
            places.extend(joined.zip(sides).map(|(n, joined)| (n, JoinAt::Side { stretch, side: joined.side })));
        }
        places.extend(of("ending").map(|n| (n, JoinAt::LastRow)));
        for (inside, at) in places {
            if let Some(join) = join(r, inside, (index, at), pieces) {
                check(r, &join, pieces, (seams, &all));
                all.push(join);
            }
        }
    }
    all
}

fn join(r: &mut Reader<'_>, node: &Node, (piece, at): (usize, JoinAt), pieces: &[NamedPiece]) -> Option<Join> {
    let own = pieces.get(piece)?;
    let hung = own.piece.as_ref().is_some_and(|p| p.cast_on == CastOn::Hung) && at == JoinAt::FirstRow;
    let edges: Vec<&Node> = node.children.iter().filter(|n| n.name == "edge").collect();
    if edges.is_empty() {
        if hung {
            r.error(Notice::error(node.span, EdgeFact::HungWithoutEdge));
        }
        return None;
    }
    if at == JoinAt::FirstRow && !hung && own.piece.is_some() {
        r.error(Notice::error(node.span, EdgeFact::EdgeOfPlainCastOn));
        return None;
    }
    let turned = match property(node, "turned") {
        Some(v) => r.word(v, Subject::property("turned"), &[("yes", true), ("no", false)])?,
        None => at == JoinAt::LastRow,
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
    let (kind, stretches) = match at {
        JoinAt::FirstRow => (EdgeKind::CastOn, Vec::new()),
        JoinAt::LastRow => (EdgeKind::Ending, Vec::new()),
        JoinAt::Side { stretch, side: Side::Left } => (EdgeKind::Left, vec![stretch]),
        JoinAt::Side { stretch, side: Side::Right } => (EdgeKind::Right, vec![stretch]),
    };
    let own_edge = Edge { piece, mirrored: false, kind, stretches, named: None, middles: Vec::new(), span: node.span };
    let seam = Seam {
        name: own.name.clone(),
        span: node.span,
        method: Method::Hung,
        by_stitches: at == JoinAt::FirstRow && open_tube(&edges, pieces),
        sides: [vec![own_edge], edges],
        fullness,
        note: String::new(),
    };
    Some(Join { piece, at, turned, twice, seam, note: note.unwrap_or_default() })
}

/// Whether what is hung is the open end of a tube, whose stitches are live all round.
fn open_tube(edges: &[Edge], pieces: &[NamedPiece]) -> bool {
    edges
        .iter()
        .any(|e| e.kind == EdgeKind::Ending && pieces[e.piece].piece.as_ref().is_some_and(super::Piece::ends_open))
}

/// The edges that are hung where a piece hangs one: by each of a pair another.
fn both(own: usize, e: &Edge, pieces: &[NamedPiece]) -> Vec<Edge> {
    let pair = |piece: usize| pieces[piece].piece.as_ref().is_some_and(|p| p.make == Make::Pair);
    let mut all = vec![e.clone()];
    if pair(own) {
        all.extend(Some(e.for_second(pair(e.piece))).filter(|second| second != e));
    }
    all
}

/// Checks that the edges can be hung: of pieces knitted before, closed or live, and not taken elsewhere.
fn check(r: &mut Reader<'_>, join: &Join, pieces: &[NamedPiece], (seams, earlier): (&[Seam], &[Join])) {
    let own = &pieces[join.piece];
    let made = |of: &NamedPiece| of.piece.as_ref().map_or(1, |p| p.make.count());
    for (k, e) in join.seam.sides[1].iter().enumerate() {
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
        let mine = both(join.piece, e, pieces);
        let meets = |s: &Seam, o: &Edge| match s.within_one() {
            true => o.of_either().meets(&e.of_either()),
            false => mine.iter().any(|e| o.meets(e)),
        };
        let sewn = seams.iter().find(|s| s.edges().any(|o| meets(s, o))).map(|s| s.name.clone());
        let taken = |j: &&Join| {
            let theirs = || j.seam.sides[1].iter().flat_map(|o| both(j.piece, o, pieces));
            theirs().any(|o| mine.iter().any(|e| o.meets(e) || o.same(e)))
        };
        let again = join.seam.sides[1][..k].iter().any(|o| o.meets(e) || o.same(e));
        // Of pieces made alike each can be hung once.
        let several = other.piece.as_ref().is_some_and(|p| matches!(p.make, Make::Alike(_)));
        let mut left = if several { made(other).saturating_sub(made(own)) } else { 0 };
        let mut full = |j: &&Join| match left.checked_sub(made(&pieces[j.piece])) {
            Some(rest) => {
                left = rest;
                false
            }
            None => true,
        };
        let hung = earlier.iter().filter(taken).find(&mut full).or(Some(join).filter(|_| again));
        if let Some(seam) = sewn.or_else(|| hung.map(|j| j.seam.name.clone())) {
            r.error(Notice::error(e.span, EdgeFact::HungTwice { seam }));
        }
    }
    let own_edges =
        || seams.iter().filter(|s| join.seam.sides[0].iter().any(|e| s.edges().any(|o| o.meets(e) || o.same(e))));
    if let Some(seam) = own_edges().next() {
        r.error(Notice::error(join.seam.span, EdgeFact::HungTwice { seam: seam.name.clone() }));
    }
    if join.seam.by_stitches && (join.seam.sides[1].len() > 1 || join.seam.fullness.is_some()) {
        r.error(Notice::error(join.seam.span, EdgeFact::TubeAlone));
    }
    let Some(piece) = &own.piece else { return };
    let rows = |e: &Edge| e.kind.is_side();
    if matches!(join.at, JoinAt::Side { .. }) && !(join.seam.sides[1].len() == 1 && join.seam.edges().all(rows)) {
        r.error(Notice::error(join.seam.span, EdgeFact::JoinedToRows));
    }
    let at_ending = join.at == JoinAt::LastRow;
    if at_ending && !matches!(piece.ending, Ending::Chain | Ending::LoopThroughLoop) {
        r.error(Notice::error(join.seam.span, EdgeFact::JoinedNotCastOff));
    }
    let divided =
        |p: &super::Piece| p.stretches.last().is_some_and(|s| s.neck.as_ref().is_some_and(|n| n.edge().is_none()));
    let shoulders = |e: &Edge| e.kind == EdgeKind::Ending && pieces[e.piece].piece.as_ref().is_none_or(divided);
    if at_ending && divided(piece) && !join.seam.sides[1].iter().all(shoulders) {
        r.error(Notice::error(join.seam.span, EdgeFact::ShouldersToShoulders));
    }
    let sloped =
        piece.stretches.iter().any(|s| s.neck.as_ref().is_some_and(|n| n.shoulder.is_some_and(|s| s.held.is_none())));
    if at_ending && sloped {
        r.error(Notice::error(join.seam.span, EdgeFact::JoinedInGroups));
    }
}

/// A stretch to whose side an edge of another piece is joined as it grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Joined {
    /// Its place in the document.
    pub span: Span,
    /// The side.
    pub side: Side,
}

/// The side of a stretch that is joined, if one is.
pub(super) fn joined(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Option<Joined>> {
    let Some(n) = inside.one("joined") else { return Some(None) };
    r.shape(n, 1, &[], &["edge", "note"], &["edge"]);
    for word in ["crown", "neck", "short-rows", "slit", "hem"] {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::JoinedAlone { word: word.to_string() }));
            return None;
        }
    }
    if !n.children.iter().any(|n| n.name == "edge") {
        r.error(Notice::error(n.span, EdgeFact::HungWithoutEdge));
        return None;
    }
    let side = r.one_of(n, &SIDES)?;
    Some(Some(Joined { span: n.span, side }))
}
