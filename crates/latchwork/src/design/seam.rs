//! Seams: which edge stretch is sewn to which.

use super::piece::NamedPiece;
use super::read::{Nodes, Reader};
use super::{Edge, EdgeKind, Method, Seam};
use crate::notice::Notice;
use crate::text::Node;

pub(super) fn seams(r: &mut Reader<'_>, top: &Nodes<'_>, pieces: &[NamedPiece]) -> Vec<Seam> {
    let mut all: Vec<Seam> = Vec::new();
    for node in top.all("seam") {
        let inside = r.shape(node, 1, &[], &["edge", "method", "note"], &["edge"]);
        let taken: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let methods: Vec<(&str, Method)> = Method::ALL.iter().map(|(m, w)| (*w, *m)).collect();
        let method = inside.one("method").map_or(Some(Method::Mattress), |n| r.one_of(n, &methods));
        let nodes: Vec<&Node> = inside.all("edge").collect();
        if nodes.len() != 2 {
            r.error(
                Notice::error(node.span, format!("The seam \"{name}\" joins {} edges.", nodes.len()))
                    .because("A seam joins two.")
                    .hint("Write two lines such as edge \"hat\" \"left\""),
            );
        }
        let edges: Vec<Option<Edge>> = nodes.into_iter().map(|n| edge(r, n, pieces)).collect();
        let mut edges = edges.into_iter();
        if let (Some(method), Some(Some(a)), Some(Some(b)), None) = (method, edges.next(), edges.next(), edges.next()) {
            if a == b {
                r.error(Notice::error(node.span, format!("The seam \"{name}\" sews an edge to itself.")));
            }
            let note = inside.one("note").and_then(|n| r.text(n)).unwrap_or_default();
            all.push(Seam { name, span: node.span, method, edges: [a, b], note });
        }
    }
    all
}

fn edge(r: &mut Reader<'_>, node: &Node, pieces: &[NamedPiece]) -> Option<Edge> {
    r.shape(node, 30, &[], &["middle"], &[]);
    let names: Vec<String> = pieces.iter().map(|p| p.name.clone()).collect();
    let piece = r.first(node, "\"hat\" \"left\"").and_then(|v| r.refer(v, "piece", &names));
    let words: Vec<(&str, EdgeKind)> = EdgeKind::ALL.iter().map(|(k, w)| (*w, *k)).collect();
    let kind = match node.arguments.get(1) {
        Some(v) => r.word(v, "an edge", &words),
        None => {
            r.error(
                Notice::error(node.span, "This does not say which edge.")
                    .hint("Write edge \"hat\" \"left\", \"right\", \"cast-on\" or \"ending\""),
            );
            None
        }
    };
    let (piece, kind) = piece.zip(kind)?;
    let of = pieces.get(piece)?;
    let rest = node.arguments.get(2..).unwrap_or_default();
    let stretches = if !kind.is_side() {
        for v in rest {
            r.error(Notice::error(v.span, "Only a side edge is divided into stretches.").hint("Take it out."));
        }
        Vec::new()
    } else if rest.is_empty() {
        (0..of.stretches.len()).collect()
    } else {
        rest.iter().filter_map(|v| r.refer(v, "stretch", &of.stretches)).collect()
    };
    let middle = node.children.iter().find(|n| n.name == "middle");
    let mut middles = Vec::new();
    for v in middle.iter().flat_map(|n| &n.arguments) {
        middles.extend(r.percent(v, "\"middle\"", 0.0..=100.0).map(|p| p / 100.0));
    }
    if let (Some(n), true) = (middle, kind.is_side()) {
        r.error(
            Notice::error(n.span, "A place along the row belongs to a first or last row.")
                .hint("Take it out, or name the stretches that are sewn."),
        );
    }
    Some(Edge { piece, kind, stretches, middles, span: node.span })
}

/// A side edge that is sewn loses one stitch in the seam, where the author gave no other figure.
pub(super) fn allowances(pieces: &mut [NamedPiece], seams: &[Seam]) {
    for (i, p) in pieces.iter_mut().enumerate() {
        let sewn = seams
            .iter()
            .filter(|s| s.method == Method::Mattress)
            .flat_map(|s| &s.edges)
            .any(|e| e.piece == i && e.kind.is_side());
        if let (Some(piece), false, true) = (&mut p.piece, p.allowance_given, sewn) {
            piece.allowance = 1;
        }
    }
}
