//! A person's measures from their document.

use crate::fact::{DesignFact, Subject};
use crate::measure::{Person, Sex};
use crate::notice::{Notice, Notices, Span};
use crate::reader::{Nodes, Reader};
use crate::units::Mm;

/// Reads a person: `person "Ada" { survey "women"; hand-girth (cm)19; }`. Faults are reported.
pub fn person_from_text(source: &str) -> (Option<Person>, Notices) {
    let mut notices = Notices::default();
    let tree = crate::text::read(source, &mut notices);
    let mut r = Reader { notices: &mut notices, has_holes: tree.has_holes, notes: false };
    let person = person(&mut r, &tree.nodes);
    (person.filter(|_| !notices.has_error()), notices)
}

fn person(r: &mut Reader<'_>, nodes: &[crate::text::Node]) -> Option<Person> {
    let Some(node) = nodes.iter().find(|n| n.name == "person") else {
        r.missing(DesignFact::NoPerson);
        return None;
    };
    for other in nodes.iter().filter(|n| !std::ptr::eq(*n, node)) {
        r.error(Notice::error(other.span, DesignFact::OnePersonOnly));
    }
    let words: Vec<&str> = node.children.iter().map(|c| c.name.as_str()).collect();
    let inside: Nodes<'_> = r.shape(node, 1, &[], &words, &[]);
    let name = r.own_name(node, &[])?;
    let sex = inside.one("survey").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("women", Some(Sex::Woman)), ("men", Some(Sex::Man)), ("children", None)])
    });
    let mut measures: Vec<(String, Mm)> = Vec::new();
    let shoe = inside.one("eu-shoe").and_then(|n| {
        r.leaf(n);
        let v = r.first(n, "39")?;
        r.number(v, Subject::word("eu-shoe"), 10.0, 60.0)
    });
    for m in node.children.iter().filter(|c| !matches!(c.name.as_str(), "survey" | "eu-shoe")) {
        r.leaf(m);
        if let Some(v) = r.length(m, 5.0..=3000.0) {
            measures.push((m.name.clone(), v));
        }
    }
    if measures.is_empty() && shoe.is_none() {
        r.error(Notice::error(Span { ..node.span }, DesignFact::NothingMeasured { name: name.clone() }));
    }
    Some(Person { name, sex: sex.flatten(), measures, shoe })
}
