//! Seams: which edges are sewn together.

use super::piece::NamedPiece;
use super::{CastOn, Edge, EdgeKind, Ending, Make, Method, Seam};
use crate::fact::{DesignFact, Listed, Subject};
use crate::notice::Notice;
use crate::reader::{Nodes, Reader};
use crate::text::Node;

pub(super) fn seams(r: &mut Reader<'_>, top: &Nodes<'_>, pieces: &[NamedPiece]) -> Vec<Seam> {
    let mut all: Vec<Seam> = Vec::new();
    for node in top.all("seam") {
        let inside = r.shape(node, 1, &[], &["edge", "method", "note"], &["edge"]);
        let taken: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let methods: Vec<(&str, Method)> = Method::ALL.iter().map(|(m, w)| (*w, *m)).collect();
        let method = inside.one("method").map_or(Some(Method::Mattress), |n| {
            r.leaf(n);
            r.one_of(n, &methods)
        });
        let nodes: Vec<&Node> = inside.all("edge").collect();
        if nodes.len() != 2 {
            r.error(Notice::error(node.span, DesignFact::SeamOfEdges { name: name.clone(), edges: nodes.len() }));
        }
        let edges: Vec<Option<Edge>> = nodes.into_iter().map(|n| edge(r, n, pieces)).collect();
        let mut edges = edges.into_iter();
        if let (Some(method), Some(Some(a)), Some(Some(b)), None) = (method, edges.next(), edges.next(), edges.next()) {
            check(r, node, &name, [&a, &b], pieces, method, &all);
            if a == b {
                r.error(Notice::error(node.span, DesignFact::SeamToItself { name: name.clone() }));
            }
            let note = inside
                .one("note")
                .and_then(|n| {
                    r.leaf(n);
                    r.text(n)
                })
                .unwrap_or_default();
            all.push(Seam { name, span: node.span, method, edges: [a, b], note });
        }
    }
    all
}

fn edge(r: &mut Reader<'_>, node: &Node, pieces: &[NamedPiece]) -> Option<Edge> {
    r.shape(node, 30, &[], &["middle"], &[]);
    let names: Vec<String> = pieces.iter().map(|p| p.name.clone()).collect();
    let piece = r.first(node, "\"hat\" \"left\"").and_then(|v| r.refer(v, Listed::Piece, &names));
    let words: Vec<(&str, EdgeKind)> = EdgeKind::ALL.iter().map(|(k, w)| (*w, *k)).collect();
    let kind = match node.arguments.get(1) {
        Some(v) => r.word(v, Subject::Edge, &words),
        None => {
            r.error(Notice::error(node.span, DesignFact::WhichEdge));
            None
        }
    };
    let (piece, kind) = piece.zip(kind)?;
    let of = pieces.get(piece)?;
    let rest = node.arguments.get(2..).unwrap_or_default();
    let stretches = if !kind.is_side() {
        for v in rest {
            r.error(Notice::error(v.span, DesignFact::NotASideEdge));
        }
        Vec::new()
    } else if rest.is_empty() {
        (0..of.stretches.len()).collect()
    } else {
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
        chosen
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
    if let (Some(n), true) = (middle, kind.is_side()) {
        r.error(Notice::error(n.span, DesignFact::MiddleOfSide));
    }
    Some(Edge { piece, kind, stretches, middles, span: node.span })
}

/// Checks that a seam of two edges is possible.
fn check(
    r: &mut Reader<'_>,
    node: &Node,
    name: &str,
    edges: [&Edge; 2],
    pieces: &[NamedPiece],
    method: Method,
    earlier: &[Seam],
) {
    for (e, other) in [(edges[0], edges[1]), (edges[1], edges[0])] {
        let Some(piece) = pieces.get(e.piece).and_then(|p| p.piece.as_ref()) else { continue };
        if e.kind == EdgeKind::Ending && matches!(piece.ending, Ending::Gather | Ending::Point) {
            r.error(Notice::error(e.span, DesignFact::ClosedEnd));
        }
        let live = match e.kind {
            EdgeKind::CastOn => piece.cast_on == CastOn::Waste,
            EdgeKind::Ending => piece.ending == Ending::Waste,
            EdgeKind::Left | EdgeKind::Right => false,
        };
        if method == Method::Grafted && !live {
            r.error(Notice::error(e.span, DesignFact::GraftedClosed));
        }
        let taken = |s: &Seam| {
            s.edges.iter().any(|o| {
                o.piece == e.piece
                    && o.kind == e.kind
                    && o.kind.is_side()
                    && o.stretches.iter().any(|i| e.stretches.contains(i))
            })
        };
        if let Some(first) = earlier.iter().find(|s| taken(s)) {
            r.error(Notice::error(e.span, DesignFact::SewnAlready { seam: first.name.clone() }));
        }
        if !e.middles.is_empty() && !other.middles.is_empty() {
            r.error(Notice::error(node.span, DesignFact::BothHaveMiddles { name: name.to_string() }));
        }
        let make = pieces.get(other.piece).and_then(|p| p.piece.as_ref()).map(|p| match p.make {
            Make::Alike(n) => n as usize,
            Make::Pair => 2,
        });
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
            .flat_map(|s| &s.edges)
            .any(|e| e.piece == i && e.kind.is_side());
        if let (Some(piece), false, true) = (&mut p.piece, p.allowance_given, sewn) {
            piece.allowance = 1;
            piece.half_in_rib = true;
        }
    }
}
