//! Pass notes restated as a design to be graded: the swatches turn rows and needles into lengths and widths.

use std::fmt::Write;

use super::sections::{Section, sections};
use super::{Noted, read};
use crate::design::{CastOn, Ending, Stretch};
use crate::fact::PartName;
use crate::measure::Basis;
use crate::notice::{Notices, Span};
use crate::plan::PartKind;
use crate::text::{self, NewNode, quoted};
use crate::vocabulary::{SIDES, word_of};

/// Lines that a design has no words for yet: hand operations and rows by their settings.
#[must_use]
pub fn not_carried(source: &str, noted: &Noted) -> Vec<String> {
    let told = [PartName::Counter, PartName::Weights, PartName::Yarn, PartName::Ribber];
    let of_pieces = noted.design.pieces.iter().zip(&noted.plans.pieces);
    let carried: Vec<Span> = of_pieces.flat_map(|(piece, plan)| sections(piece, plan).1).collect();
    let parts = noted.plans.pieces.iter().flat_map(|p| &p.origins);
    let left = parts.filter(|p| {
        let moved =
            noted.plans.pieces.iter().flat_map(|p| &p.origins).any(|o| o.fabric().is_some() && o.span == p.span);
        matches!(p.kind, PartKind::Between { .. }) && !told.contains(&p.name) && !moved && !carried.contains(&p.span)
    });
    left.filter_map(|p| source.get(p.span.start..p.span.start + p.span.len)).map(str::to_string).collect()
}

/// Pass notes as a design document: their head unchanged, and a piece for each body.
#[must_use]
pub fn restated(source: &str, noted: &Noted) -> String {
    let first = read::bodies(source).next().map_or(source.len(), |b| b.0);
    let head = source.get(..first).unwrap_or_default().trim_end();
    let mut t = String::new();
    let tree = text::read(head, &mut Notices::default());
    let has = |word: &str| tree.nodes.iter().any(|n| n.name == word);
    if !has("title") {
        let _ = writeln!(t, "{}", NewNode::new("title").text(&noted.design.title));
    }
    if !has("machine") {
        let _ = writeln!(t, "{}", NewNode::new("machine").text(noted.design.machine.class.name));
    }
    let _ = writeln!(t, "{head}\n");
    if has("sizes") {
        t.push_str(
            "// Begun from pass notes. Put around \"measure\" (percent)ease in place of a width, to grade it.\n\n",
        );
    } else {
        let _ = writeln!(
            t,
            "// Begun from pass notes. Give each size its measures, and put around \"measure\" (percent)ease in place of a width.\n\
         sizes {{\n    size \"as noted\" {{ }}\n}}\n"
        );
    }
    for line in not_carried(source, noted) {
        let _ = writeln!(t, "// Not carried over from the notes: {line}");
    }
    let mut pieces: Vec<String> = Vec::new();
    for ((piece, worked), plan) in noted.design.pieces.iter().zip(&noted.stitches.pieces).zip(&noted.plans.pieces) {
        let found = sections(piece, plan).0;
        if found.is_empty() || worked.stretches.iter().all(|w| w.rows == 0) {
            let _ = writeln!(
                t,
                "// Nothing of {} was carried over: its rows are told by their settings.",
                quoted(&piece.name)
            );
            continue;
        }
        let several = noted.design.yarns.len() > 1;
        let mut names: Vec<String> = Vec::new();
        let stretches: Vec<NewNode> = (found.into_iter())
            .map(|section| {
                let s = &piece.stretches[section.stretch];
                stretch_node(s, section, &own_name(&mut names, &s.name))
            })
            .collect();
        let node = NewNode::new("piece")
            .text(&own_name(&mut pieces, &piece.name))
            .with_all(several.then(|| NewNode::new("yarn").text(&noted.design.yarns[piece.yarn].name)))
            .with(NewNode::new("carriage").text(word_of(&SIDES, piece.carriage)))
            .with(match piece.cast_on {
                CastOn::Closed(n) => NewNode::new("cast-on").text("closed").pair("tubular", n),
                CastOn::EWrap => NewNode::new("cast-on").text("e-wrap"),
                CastOn::Waste => NewNode::new("cast-on").text("waste yarn"),
                CastOn::Hung => NewNode::new("cast-on").text("hung"),
            })
            .with_all(stretches)
            .with(NewNode::new("ending").text(word_of(&Ending::WORDS, piece.ending)));
        let _ = writeln!(t, "{node}\n");
    }
    t
}

/// A section as a node of a design.
fn stretch_node(s: &Stretch, section: Section, name: &str) -> NewNode {
    let Section { rows, needles, lines, told, .. } = section;
    let known = s.gauge.needle.basis != Basis::Unknown;
    let cm = |word: &str, mm: f64| NewNode::new(word).unit("cm", format!("{:.1}", mm / 10.0));
    let counted = !lines.is_empty();
    let length = (!told).then(|| match known && !counted {
        true => cm("length", f64::from(rows) * s.gauge.pass.value).remark(format_args!("{rows} rows")),
        false => NewNode::new("rows").number(rows),
    });
    let width = (!told).then(|| match known {
        true => cm("width", f64::from(needles) * s.gauge.needle.value).remark(format_args!("{needles} needles")),
        false => NewNode::new("needles").number(needles),
    });
    let stretch = NewNode::new("stretch").text(name).with(NewNode::new("fabric").text(&s.fabric.name));
    let stretch = stretch.with_all(length).with_all(width).with_all(lines);
    stretch.with(NewNode::new("stitch-size").dial(s.gauge.dial.0).dial(s.gauge.dial.1))
}

/// A name not taken yet, no longer than a design allows.
fn own_name(taken: &mut Vec<String>, name: &str) -> String {
    let words = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let short = |most: usize| words.chars().take(most).collect::<String>().trim_end().to_string();
    let mut own = short(60);
    let mut n = 2;
    while taken.contains(&own) {
        own = format!("{} {n}", short(50));
        n += 1;
    }
    taken.push(own.clone());
    own
}
