//! What an author leaves open: choices at the top of a document, and the parts of it that hold with one of them.

use crate::fact::{Listed, ReaderFact, Subject};
use crate::notice::{Notice, Notices, Span, nearest};
use crate::reader::Reader;
use crate::text::{Node, Tree, Value, Written};

/// A choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Its name.
    pub name: String,
    /// What is chosen.
    pub chosen: String,
    /// The place of what is chosen.
    pub span: Span,
    /// What it is chosen among; empty where any text will do.
    pub among: Vec<String>,
}

/// The unit of a text that stands for what is chosen.
const CHOSEN: &str = "chosen";

fn text(v: &Value) -> Option<String> {
    match &v.written {
        Written::Text(t) => Some(t.clone()),
        _ => None,
    }
}

/// One of those known by name, else the fault.
fn one_of(r: &mut Reader<'_>, written: &str, span: Span, known: &[String], word: &str) -> bool {
    if known.iter().any(|k| k == written) {
        return true;
    }
    let near = nearest(written, known.iter().map(String::as_str)).map(str::to_string);
    let (of, written) = (Subject::word(word), written.to_string());
    r.error(Notice::error(span, ReaderFact::NotOneOf { of, written, known: known.to_vec(), near }));
    false
}

fn choice(r: &mut Reader<'_>, n: &Node, all: &[Choice]) -> Option<Choice> {
    let inside = r.shape(n, 2, &[], &["among"], &[]);
    let taken: Vec<String> = all.iter().map(|c| c.name.clone()).collect();
    let name = r.own_name(n, &taken)?;
    let Some((value, chosen)) = n.arguments.get(1).and_then(|v| Some((v, text(v)?))) else {
        r.error(Notice::error(
            n.span,
            ReaderFact::NoValue { word: n.name.clone(), example: "\"neck\" \"round\"".into() },
        ));
        return None;
    };
    let among: Vec<String> = match inside.one("among") {
        None => Vec::new(),
        Some(a) => {
            r.shape(a, 24, &[], &[], &[]);
            a.arguments.iter().filter_map(text).collect()
        }
    };
    if !among.is_empty() && !one_of(r, &chosen, value.span, &among, "choose") {
        return None;
    }
    Some(Choice { name, chosen, span: value.span, among })
}

/// The choice that a value names, else the fault.
fn find<'a>(r: &mut Reader<'_>, v: &Value, all: &'a [Choice]) -> Option<&'a Choice> {
    let known: Vec<String> = all.iter().map(|c| c.name.clone()).collect();
    r.refer(v, Listed::Choice, &known).map(|i| &all[i])
}

/// Whether what stands inside a `when` holds.
fn holds(r: &mut Reader<'_>, n: &Node, all: &[Choice]) -> bool {
    let example = || "\"neck\" \"round\"".to_string();
    let Some(choice) = r.first(n, &example()).and_then(|v| find(r, v, all)) else { return false };
    let mut holds = false;
    for v in &n.arguments[1..] {
        let Some(value) = text(v) else { continue };
        if choice.among.is_empty() || one_of(r, &value, v.span, &choice.among, "when") {
            holds |= value == choice.chosen;
        }
    }
    if n.arguments.len() < 2 {
        r.error(Notice::error(n.span, ReaderFact::NoValue { word: n.name.clone(), example: example() }));
    }
    holds
}

fn spliced(r: &mut Reader<'_>, nodes: Vec<Node>, all: &[Choice]) -> Vec<Node> {
    let mut out = Vec::with_capacity(nodes.len());
    for mut n in nodes {
        if n.name == "when" {
            let kept = holds(r, &n, all);
            // What does not hold is looked at all the same: its choices must be known.
            let inside = spliced(r, n.children, all);
            if kept {
                out.extend(inside);
            }
            continue;
        }
        for v in n.arguments.iter_mut().chain(n.properties.iter_mut().map(|p| &mut p.value)) {
            if v.unit.as_deref() == Some(CHOSEN) {
                v.unit = None;
                if let Some(c) = find(r, v, all) {
                    v.written = Written::Text(c.chosen.clone());
                }
            }
        }
        n.children = spliced(r, n.children, all);
        out.push(n);
    }
    out
}

/// The document as chosen: what stands inside each `when` that holds in its place, and what is chosen for each text that stands for it.
pub(super) fn chosen(tree: Tree, notices: &mut Notices) -> (Tree, Vec<Choice>) {
    let mut r = Reader { notices, has_holes: tree.has_holes, notes: false };
    let mut all: Vec<Choice> = Vec::new();
    for n in tree.nodes.iter().filter(|n| n.name == "choose") {
        let one = choice(&mut r, n, &all);
        all.extend(one);
    }
    let nodes = tree.nodes.into_iter().filter(|n| n.name != "choose").collect();
    let nodes = spliced(&mut r, nodes, &all);
    (Tree { nodes, ..tree }, all)
}

/// The document as chosen, for whoever changes it and leaves its faults to its reader.
#[must_use]
pub fn as_chosen(tree: Tree) -> Tree {
    chosen(tree, &mut Notices::default()).0
}
