//! Seams: which edges are sewn together.

use std::sync::Arc;

use super::laid::yes;
use super::piece::NamedPiece;
use super::wish::measure;
use super::{Edge, EdgeKind, Ending, Fullness, Make, Method, Opening, Piece, Seam, Size, Stretch};
use crate::fact::{DesignFact, EdgeFact, Listed, Subject};
use crate::notice::Notice;
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Value};

/// By how much one side of a seam may be longer or shorter, in percent: a rib is stretched by a quarter, and hardly more than a
/// tenth of plain is taken up (common practice, no source).
const FULLNESS: std::ops::RangeInclusive<f64> = -25.0..=15.0;

pub(super) fn seams(r: &mut Reader<'_>, top: &Nodes<'_>, pieces: &[NamedPiece]) -> Vec<Seam> {
    let mut all: Vec<Seam> = Vec::new();
    for node in top.all("seam") {
        let words = ["edge", "side", "fullness", "method", "note"];
        let inside = r.shape(node, 1, &[], &words, &["edge", "side"]);
        let taken: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let methods: Vec<(&str, Method)> = Method::SEWN.iter().map(|(m, w)| (*w, *m)).collect();
        let method = inside.one("method").map_or(Some(Method::Mattress), |n| {
            r.leaf(n);
            r.one_of(n, &methods)
        });
        let nodes: Vec<&Node> = node.children.iter().filter(|n| n.name == "edge" || n.name == "side").collect();
        if nodes.len() != 2 {
            r.error(Notice::error(node.span, DesignFact::SeamOfEdges { name: name.clone(), edges: nodes.len() }));
        }
        let sides: Vec<Option<Vec<Edge>>> = nodes.into_iter().map(|n| side(r, n, pieces)).collect();
        let fullness = inside.one("fullness").map_or(Some(None), |n| fullness(r, n).map(Some));
        let mut sides = sides.into_iter();
        if let (Some(method), Some(fullness), Some(Some(a)), Some(Some(b)), None) =
            (method, fullness, sides.next(), sides.next(), sides.next())
        {
            let note = inside
                .one("note")
                .and_then(|n| {
                    r.leaf(n);
                    r.text(n)
                })
                .unwrap_or_default();
            let mut seam = Seam { name, span: node.span, method, sides: [a, b], fullness, by_stitches: false, note };
            second_of_pair(&mut seam, pieces, &all);
            check(r, &seam, pieces, &all);
            all.push(seam);
        }
    }
    all
}

/// Openings that a part of the body passes through.
pub(super) fn openings(
    r: &mut Reader<'_>,
    top: &Nodes<'_>,
    pieces: &[NamedPiece],
    known: (&[Size], bool),
) -> Vec<Opening> {
    let mut all: Vec<Opening> = Vec::new();
    for node in top.all("opening") {
        let inside = r.shape(node, 1, &["over"], &["edge"], &["edge"]);
        let taken: Vec<String> = all.iter().map(|o| o.name.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let Some(over) = property(node, "over") else {
            r.error(Notice::error(node.span, EdgeFact::OpeningOverNothing { name }));
            continue;
        };
        let nodes: Vec<&Node> = inside.all("edge").collect();
        if nodes.is_empty() {
            r.error(Notice::error(node.span, EdgeFact::OpeningOfNoEdge { name: name.clone() }));
        }
        let over = measure(r, over, known);
        let edges = side_edges(r, &nodes, pieces).filter(|e| !e.is_empty());
        if let (Some(over), Some(edges)) = (over, edges) {
            all.push(Opening { name, over, edges, span: node.span });
        }
    }
    all
}

fn is_pair(of: &NamedPiece) -> bool {
    of.piece.as_ref().is_some_and(|p| p.make == Make::Pair)
}

/// An edge of a pair that is sewn before is now that of the mirror image.
fn second_of_pair(seam: &mut Seam, pieces: &[NamedPiece], earlier: &[Seam]) {
    let one = seam.within_one();
    let mut before: Vec<Edge> = if one { Vec::new() } else { earlier.iter().flat_map(Seam::edges).cloned().collect() };
    for e in seam.sides.iter_mut().flatten() {
        e.mirrored |= is_pair(&pieces[e.piece]) && before.iter().any(|o| o.meets(e) || o.same(e));
        before.push(e.clone());
    }
}

/// One side of a seam: an edge, or several on end.
fn side(r: &mut Reader<'_>, node: &Node, pieces: &[NamedPiece]) -> Option<Vec<Edge>> {
    if node.name == "edge" {
        return edge(r, node, pieces);
    }
    let inside = r.shape(node, 0, &[], &["edge"], &["edge"]);
    let nodes: Vec<&Node> = inside.all("edge").collect();
    if nodes.is_empty() {
        r.error(Notice::error(node.span, DesignFact::SideOfNoEdge));
        return None;
    }
    side_edges(r, &nodes, pieces)
}

/// Edges on end.
pub(super) fn side_edges(r: &mut Reader<'_>, nodes: &[&Node], pieces: &[NamedPiece]) -> Option<Vec<Edge>> {
    let edges: Vec<Option<Vec<Edge>>> = nodes.iter().map(|n| edge(r, n, pieces)).collect();
    Some(edges.into_iter().collect::<Option<Vec<_>>>()?.concat())
}

/// By how much the first side is longer.
pub(super) fn fullness(r: &mut Reader<'_>, node: &Node) -> Option<Fullness> {
    r.shape(node, 2, &["in"], &[], &[]);
    let percent = |r: &mut Reader<'_>, v: &Value| r.percent(v, Subject::word("fullness"), FULLNESS);
    let least = r.first(node, "(percent)1 (percent)3").and_then(|v| percent(r, v))?;
    // One figure is met within a percent.
    let (least, most) = match node.arguments.get(1) {
        Some(v) => (least, percent(r, v)?),
        None => (least - 1.0, least + 1.0),
    };
    let in_middle = match property(node, "in") {
        Some(v) => r.word(v, Subject::property("in"), &[("middle", true), ("all", false)])?,
        None => false,
    };
    if most < least {
        r.error(Notice::error(node.span, DesignFact::FullnessBackwards));
        return None;
    }
    Some(Fullness { percent: (least, most), in_middle })
}

/// The edges of a piece that its author names, each one or several on end.
pub(super) fn own_edges(r: &mut Reader<'_>, piece: &Node, of: &NamedPiece, index: usize) -> Vec<(String, Vec<Edge>)> {
    let mut all: Vec<(String, Vec<Edge>)> = Vec::new();
    for node in piece.children.iter().filter(|n| n.name == "edge") {
        r.shape(node, 30, &[], &["edge"], &["edge"]);
        let mut taken: Vec<String> = EdgeKind::ALL.iter().map(|(_, word)| (*word).to_string()).collect();
        taken.extend(all.iter().map(|e| e.0.clone()));
        let Some(name) = r.own_name(node, &taken) else { continue };
        let rest = node.arguments.get(1..).unwrap_or_default();
        let inside: Vec<&Node> = node.children.iter().filter(|n| n.name == "edge").collect();
        let parts: Option<Vec<Edge>> = match (inside.as_slice(), rest) {
            ([], _) => stretched(r, node, (of, index), rest).map(|e| vec![e]),
            (_, [v, ..]) => {
                r.error(Notice::error(v.span, DesignFact::EdgeOfBoth));
                None
            }
            (parts, []) => {
                let part = |n: &&Node| {
                    r.shape(n, 30, &[], &[], &[]);
                    stretched(r, n, (of, index), &n.arguments)
                };
                parts.iter().map(part).collect()
            }
        };
        let named: Arc<str> = Arc::from(name.as_str());
        let parts = parts.unwrap_or_default().into_iter().map(|e| Edge { named: Some(Arc::clone(&named)), ..e });
        all.push((name, parts.collect()));
    }
    all
}

/// An edge of a piece by its kind and its sections.
fn stretched(r: &mut Reader<'_>, node: &Node, (of, piece): (&NamedPiece, usize), words: &[Value]) -> Option<Edge> {
    let kinds: Vec<(&str, EdgeKind)> = EdgeKind::ALL.iter().map(|(k, w)| (*w, *k)).collect();
    let Some((first, rest)) = words.split_first() else {
        r.error(Notice::error(node.span, DesignFact::WhichEdge));
        return None;
    };
    let kind = r.word(first, Subject::Edge, &kinds)?;
    let stretches = sections(r, node, (of, kind), rest)?;
    Some(Edge { piece, mirrored: false, kind, stretches, named: None, middles: Vec::new(), span: node.span })
}

/// The sections of an edge: those that are named, or all.
fn sections(
    r: &mut Reader<'_>,
    node: &Node,
    (of, kind): (&NamedPiece, EdgeKind),
    rest: &[Value],
) -> Option<Vec<usize>> {
    if kind == EdgeKind::Slit || kind == EdgeKind::Neck {
        return opened(r, node, of, kind, rest);
    }
    if !kind.is_side() {
        let parted = |p: &Piece| p.stretches.last().is_some_and(divided);
        if matches!(kind, EdgeKind::Shoulder(_)) && of.piece.as_ref().is_some_and(|p| !parted(p)) {
            r.error(Notice::error(node.span, DesignFact::NoShoulder { piece: of.name.clone() }));
            return None;
        }
        for v in rest {
            r.error(Notice::error(v.span, DesignFact::NotASideEdge));
        }
        return Some(Vec::new());
    }
    if rest.is_empty() {
        return Some((0..of.stretches.len()).collect());
    }
    let mut chosen: Vec<usize> = Vec::new();
    for v in rest {
        let Some(i) = r.refer(v, Listed::Stretch, &of.stretches) else { continue };
        if chosen.contains(&i) {
            r.error(Notice::error(v.span, DesignFact::StretchTwice));
        } else {
            chosen.push(i);
        }
    }
    chosen.sort_unstable();
    Some(chosen)
}

/// An edge by its kind, or one or several on end by the author's name.
fn edge(r: &mut Reader<'_>, node: &Node, pieces: &[NamedPiece]) -> Option<Vec<Edge>> {
    r.shape(node, 30, &["mirrored"], &["middle"], &[]);
    let names: Vec<String> = pieces.iter().map(|p| p.name.clone()).collect();
    let piece = r.first(node, "\"hat\" \"left\"").and_then(|v| r.refer(v, Listed::Piece, &names));
    let Some(second) = node.arguments.get(1) else {
        r.error(Notice::error(node.span, DesignFact::WhichEdge));
        return None;
    };
    let piece = piece?;
    let of = pieces.get(piece)?;
    let mirrored = yes(r, node, "mirrored")?;
    if mirrored && of.piece.is_some() && !is_pair(of) {
        r.error(Notice::error(node.span, EdgeFact::NoMirrorImage { piece: of.name.clone() }));
        return None;
    }
    // The edges that have names of their own, then the kinds.
    let own = of.edges.iter().enumerate().map(|(i, e)| (e.0.as_str(), Err(i)));
    let kinds = EdgeKind::ALL.iter().map(|(kind, word)| (*word, Ok(*kind)));
    let words: Vec<(&str, Result<EdgeKind, usize>)> = own.chain(kinds).collect();
    let rest = node.arguments.get(2..).unwrap_or_default();
    let (kind, stretches, named) = match r.word(second, Subject::Edge, &words)? {
        Ok(kind) => (kind, sections(r, node, (of, kind), rest)?, None),
        Err(i) => {
            for v in rest {
                r.error(Notice::error(v.span, DesignFact::SectionsOfNamedEdge));
            }
            match of.edges[i].1.as_slice() {
                [one] => (one.kind, one.stretches.clone(), one.named.clone()),
                several => {
                    if let Some(n) = node.children.iter().find(|n| n.name == "middle") {
                        r.error(Notice::error(n.span, DesignFact::MiddleOfSide));
                    }
                    return Some(several.iter().map(|e| Edge { mirrored, span: node.span, ..e.clone() }).collect());
                }
            }
        }
    };
    let middle = node.children.iter().find(|n| n.name == "middle");
    let mut middles = Vec::new();
    if let Some(n) = middle {
        r.shape(n, 20, &[], &[], &[]);
        if n.arguments.is_empty() {
            r.error(Notice::error(n.span, DesignFact::MiddleWhere));
        }
    }
    for v in middle.iter().flat_map(|n| &n.arguments) {
        middles.extend(r.percent(v, Subject::word("middle"), 0.0..=100.0).map(|p| p / 100.0));
    }
    if let (Some(n), true) = (middle, !matches!(kind, EdgeKind::CastOn | EdgeKind::Ending)) {
        r.error(Notice::error(n.span, DesignFact::MiddleOfSide));
    }
    Some(vec![Edge { piece, mirrored, kind, stretches, named, middles, span: node.span }])
}

/// Whether a neck divides a stretch; one at an edge is part of that edge.
fn divided(s: &Stretch) -> bool {
    s.neck.as_ref().is_some_and(|n| n.edge().is_none())
}

/// The stretch of a neck or a slit; the author names the slit's where there are several.
fn opened(r: &mut Reader<'_>, node: &Node, of: &NamedPiece, kind: EdgeKind, named: &[Value]) -> Option<Vec<usize>> {
    let piece = of.piece.as_ref()?;
    let has = |s: &Stretch| if kind == EdgeKind::Slit { s.slit.is_some() } else { divided(s) };
    let all: Vec<usize> = (0..piece.stretches.len()).filter(|i| has(&piece.stretches[*i])).collect();
    let chosen: Vec<usize> = match named {
        [] => all,
        [v] => vec![r.refer(v, Listed::Stretch, &of.stretches)?],
        [_, second, ..] => {
            r.error(Notice::error(second.span, DesignFact::StretchTwice));
            return None;
        }
    };
    match chosen.as_slice() {
        [i] if has(&piece.stretches[*i]) => Some(chosen),
        _ => {
            let word = kind.word().to_string();
            r.error(Notice::error(node.span, DesignFact::NoSuchOpening { piece: of.name.clone(), word }));
            None
        }
    }
}

/// Checks that a seam is possible.
fn check(r: &mut Reader<'_>, seam: &Seam, pieces: &[NamedPiece], earlier: &[Seam]) {
    for e in seam.edges() {
        let Some(piece) = pieces.get(e.piece).and_then(|p| p.piece.as_ref()) else { continue };
        if e.kind == EdgeKind::Ending && matches!(piece.ending, Ending::Gather | Ending::Point) {
            r.error(Notice::error(e.span, DesignFact::ClosedEnd));
        }
        let live = match e.kind {
            EdgeKind::CastOn => piece.begins_live(),
            EdgeKind::Ending | EdgeKind::Shoulder(_) => piece.ending == Ending::Waste,
            EdgeKind::Left | EdgeKind::Right | EdgeKind::Neck | EdgeKind::Slit => false,
        };
        if seam.method == Method::Grafted && !live {
            r.error(Notice::error(e.span, DesignFact::GraftedClosed));
        }
        // Of several made alike, each may be sewn elsewhere; a seam within the piece is sewn on each of them.
        let made = alike(piece);
        let takes = |s: &Seam| if s.within_one() { made } else { 1 };
        let meets = |s: &Seam, o: &Edge| match s.within_one() || seam.within_one() {
            true => o.of_either().meets(&e.of_either()),
            false => o.meets(e),
        };
        let taken = || earlier.iter().filter(|s| s.edges().any(|o| meets(s, o)));
        if let Some(last) = taken().next_back().filter(|_| taken().map(takes).sum::<u32>() + takes(seam) > made) {
            r.error(Notice::error(e.span, DesignFact::SewnAlready { seam: last.name.clone() }));
        }
    }
    let made = |e: &Edge| pieces[e.piece].piece.as_ref().map_or(1, |p| alike(p) as usize);
    if seam.edges().any(|e| seam.edges().filter(|o| o.meets(e)).count() > made(e)) {
        r.error(Notice::error(seam.span, DesignFact::SeamToItself { name: seam.name.clone() }));
    }
    middles(r, seam, pieces);
}

/// How many of a piece share its edges: each of a pair has edges of its own.
fn alike(piece: &Piece) -> u32 {
    if piece.make == Make::Pair { 1 } else { piece.make.count() }
}

/// Checks the places of parts along a row.
fn middles(r: &mut Reader<'_>, seam: &Seam, pieces: &[NamedPiece]) {
    let Some([a, b]) = seam.one_to_one() else {
        for e in seam.edges().filter(|e| !e.middles.is_empty()) {
            r.error(Notice::error(e.span, DesignFact::MiddleOfSeveral));
        }
        return;
    };
    for (e, other) in [(a, b), (b, a)] {
        if !e.middles.is_empty() && !other.middles.is_empty() {
            r.error(Notice::error(seam.span, DesignFact::BothHaveMiddles { name: seam.name.clone() }));
        }
        let make = pieces.get(other.piece).and_then(|p| p.piece.as_ref()).map(|p| p.make.count() as usize);
        if let Some(make) = make.filter(|m| !e.middles.is_empty() && e.middles.len() != *m) {
            r.error(Notice::error(
                e.span,
                DesignFact::MiddlesForEach { make, piece: pieces[other.piece].name.clone(), places: e.middles.len() },
            ));
        }
    }
}

/// Sets seam allowances that the author did not give: a sewn side edge loses one stitch, or half a stitch of a rib that
/// continues across the seam.
pub(super) fn allowances(pieces: &mut [NamedPiece], seams: &[Seam]) {
    for (i, p) in pieces.iter_mut().enumerate() {
        let sewn = seams
            .iter()
            .filter(|s| s.method == Method::Mattress)
            .flat_map(Seam::edges)
            .any(|e| e.piece == i && e.kind.is_side());
        if let (Some(piece), false, true) = (&mut p.piece, p.allowance_given, sewn) {
            piece.allowance = 1;
            piece.half_in_rib = true;
        }
    }
}
