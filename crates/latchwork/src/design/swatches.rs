//! Swatches: the design's own and those of the shared book.

use std::sync::Arc;

use super::Shelf;
use super::head::{NamedYarn, fabric, stitch_size};
use crate::fabric::Fabric;
use crate::fact::{DesignFact, Listed, Subject, Unlike};
use crate::measure::{Machine, RECKONED, State, Swatch, Unravelled, Weighed, doubt, doubts_between};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, quoted};
use crate::units::{Grams, Mm};

const WORDS: [&str; 11] = [
    "yarn",
    "stitch-size",
    "counted",
    "flat",
    "stretches",
    "weighed",
    "unravelled",
    "state",
    "date",
    "reckoned-from",
    "note",
];

pub(super) fn swatches(
    r: &mut Reader<'_>,
    top: &Nodes<'_>,
    yarns: &[NamedYarn],
    machine: &Option<Machine>,
    fabrics: &[Arc<Fabric>],
) -> Vec<Swatch> {
    let names: Vec<String> = yarns.iter().map(|y| y.0.clone()).collect();
    let nodes: Vec<&Node> = top.all("swatch").collect();
    let all: Vec<Swatch> = nodes.into_iter().filter_map(|n| swatch(r, n, &names, machine.as_ref(), fabrics)).collect();
    let before = r.notices.0.len();
    for s in &all {
        plausible(r, s, yarns, machine.as_ref());
    }
    if r.notices.0.len() == before {
        doubted(r, &all, yarns, machine.as_ref());
    }
    all
}

/// Reports doubts about swatches, each as a warning.
fn doubted(r: &mut Reader<'_>, all: &[Swatch], yarns: &[NamedYarn], machine: Option<&Machine>) {
    let Some(machine) = machine else { return };
    let mut found: Vec<Notice> =
        all.iter().filter_map(|s| doubt(s, yarns.get(s.yarn)?.1.as_ref()?.tex, machine.pitch)).collect();
    // A swatch already doubted by itself need not be compared.
    if found.is_empty() {
        found = doubts_between(all);
    }
    found.into_iter().for_each(|n| r.notices.push(n));
}

/// Reports a swatch whose figures cannot be from this machine: usually a slip in writing or weighing.
fn plausible(r: &mut Reader<'_>, s: &Swatch, yarns: &[NamedYarn], machine: Option<&Machine>) {
    let Some(machine) = machine else { return };
    let (pitch, needle, pass) = (machine.pitch.0, s.width.0 / s.needles, s.length.0 / s.passes);
    if !(0.15..=4.0).contains(&(needle / pitch)) || !(0.05..=4.0).contains(&(pass / pitch)) {
        r.error(Notice::error(s.span, DesignFact::NotOfThisMachine { needle, pass, pitch }));
    }
    for u in &s.unravelled {
        if !(0.5..=9.0).contains(&(u.each() / pitch)) {
            r.error(Notice::error(s.span, DesignFact::NotOfSuchLoops { length: u.each(), pitch }));
        }
        if u.tucks && s.fabric.tuck_share() == 0.0 {
            r.error(Notice::error(s.span, DesignFact::NoTucks { fabric: s.fabric.name.clone() }));
        }
    }
    let tex = yarns.get(s.yarn).and_then(|y| y.1.as_ref()).map(|y| y.tex.0);
    if let (Some(w), Some(tex)) = (s.weighed, tex) {
        let length = w.grams.0 / tex * 1e6 / (w.needles * w.passes * s.fabric.loops_per_needle_pass());
        if !(0.7..=9.0).contains(&(length / pitch)) {
            r.error(Notice::error(s.span, DesignFact::NotOfSuchWeight { length, pitch }));
        }
    }
}

/// The yarn of a swatch; if the design has only one, it need not be named.
fn yarn_of(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, yarns: &[String]) -> Option<usize> {
    match (inside.one("yarn"), yarns.len()) {
        (Some(n), _) => r.first(n, "\"the yarn's name\"").and_then(|v| r.refer(v, Listed::Yarn, yarns)),
        (None, 1) => Some(0),
        (None, 0) if r.notes && !r.has_holes && !r.notices.has_error() => {
            r.error(Notice::error(node.span, DesignFact::NoYarnYet));
            None
        }
        (None, _) => {
            if !r.has_holes {
                r.error(Notice::error(
                    node.span,
                    DesignFact::SwatchWithoutYarn { yarn: quoted(yarns.first().map_or("name", String::as_str)) },
                ));
            }
            None
        }
    }
}

/// Needles and passes, by their names.
fn counts(r: &mut Reader<'_>, n: &Node) -> Option<(f64, f64)> {
    let number = |r: &mut Reader<'_>, name: &str| match property(n, name) {
        Some(v) => r.number(v, Subject::property(name), 1.0, 2000.0),
        None => {
            r.error(Notice::error(n.span, DesignFact::HowMany { word: n.name.clone(), what: name.to_string() }));
            None
        }
    };
    let needles = number(r, "needles");
    let passes = number(r, "passes");
    needles.zip(passes)
}

/// Needles and passes counted between the marks.
fn counted(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>) -> Option<(f64, f64)> {
    match inside.one("counted") {
        Some(n) => {
            r.shape(n, 0, &["needles", "passes"], &[], &[]);
            counts(r, n)
        }
        None => {
            r.error(Notice::error(node.span, DesignFact::NothingCounted));
            None
        }
    }
}

/// Its width and length, lying flat.
fn flat(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>) -> Option<(Mm, Mm)> {
    match inside.one("flat") {
        Some(n) => {
            r.shape(n, 2, &[], &[], &[]);
            if let [w, l] = n.arguments.as_slice() {
                let width = r.length_value(w, Subject::SwatchWidth, 5.0..=3000.0);
                let length = r.length_value(l, Subject::SwatchLength, 5.0..=3000.0);
                width.zip(length)
            } else {
                r.error(Notice::error(n.span, DesignFact::WantsWidthAndLength));
                None
            }
        }
        None => {
            r.error(Notice::error(node.span, DesignFact::NotMeasured));
            None
        }
    }
}

fn swatch(
    r: &mut Reader<'_>,
    node: &Node,
    yarns: &[String],
    machine: Option<&Machine>,
    fabrics: &[Arc<Fabric>],
) -> Option<Swatch> {
    let inside = r.shape(node, 1, &[], &WORDS, &["note", "unravelled"]);
    let fabric = r.first(node, "\"1x1 rib\"").and_then(|v| fabric(r, v, fabrics));
    let yarn = yarn_of(r, node, &inside, yarns);
    let dials = inside.one("stitch-size").and_then(|n| stitch_size(r, n, machine));
    if inside.one("stitch-size").is_none() {
        r.error(Notice::error(node.span, DesignFact::SwatchWithoutStitchSize));
    }
    let counted = counted(r, node, &inside);
    let flat = flat(r, node, &inside);
    let weighed = inside.one("weighed").and_then(|n| {
        r.shape(n, 1, &["needles", "passes"], &[], &[]);
        let grams = r.weight(n);
        let counts = counts(r, n);
        let ((needles, passes), grams) = counts.zip(grams)?;
        Some(Weighed { grams: Grams(grams), needles, passes })
    });
    let words: Vec<(&str, State)> = State::ALL.iter().map(|(s, w)| (*w, *s)).collect();
    let state = match inside.one("state") {
        Some(n) => r.one_of(n, &words),
        None => {
            r.error(Notice::error(node.span, DesignFact::NoState));
            None
        }
    };
    let stretched = inside.one("stretches").and_then(|n| {
        r.leaf(n);
        r.length(n, 5.0..=5000.0)
    });
    if let (Some(s), Some((width, _)), Some(n)) = (stretched, flat, inside.one("stretches"))
        && s.0 < width.0
    {
        r.error(Notice::error(n.span, DesignFact::NarrowerStretched));
    }
    let unravelled = inside.all("unravelled").filter_map(|n| unravelled(r, n)).collect();
    let date = inside
        .one("date")
        .and_then(|n| {
            r.leaf(n);
            r.text(n)
        })
        .unwrap_or_default();
    let notes = inside
        .all("note")
        .filter_map(|n| {
            r.leaf(n);
            r.text(n)
        })
        .collect();
    let mut doubt = RECKONED;
    let reckoned = inside.one("reckoned-from").is_some_and(|n| {
        r.shape(n, 1, &["doubt"], &[], &[]);
        if let Some(percent) = property(n, "doubt").and_then(|v| r.number(v, Subject::property("doubt"), 1.0, 60.0)) {
            doubt = percent / 100.0;
        }
        r.text(n).is_some()
    });
    let (needles, passes) = counted?;
    let (width, length) = flat?;
    Some(Swatch {
        fabric: fabric?,
        span: node.span,
        yarn: yarn?,
        dial: dials?,
        needles,
        passes,
        width,
        length,
        stretched,
        weighed,
        unravelled,
        state: state?,
        date,
        notes,
        reckoned,
        doubt,
        from: String::new(),
    })
}

fn unravelled(r: &mut Reader<'_>, node: &Node) -> Option<Unravelled> {
    r.shape(node, 1, &["loops", "tucks"], &[], &[]);
    let length = r.length(node, 10.0..=100_000.0)?;
    let (tucks, count) = match (property(node, "loops"), property(node, "tucks")) {
        (Some(v), None) => (false, v),
        (None, Some(v)) => (true, v),
        _ => {
            r.error(Notice::error(node.span, DesignFact::LoopsOfUnravelled));
            return None;
        }
    };
    let loops = r.number(count, Subject::property(if tucks { "tucks" } else { "loops" }), 5.0, 10_000.0)?;
    Some(Unravelled { tucks, loops, length })
}

/// Swatches of the shared book in this design's yarns and for its machine.
pub(super) fn shared(
    r: &mut Reader<'_>,
    shelf: &Shelf,
    yarns: &[NamedYarn],
    machine: Option<&Machine>,
    own: &[Swatch],
) -> Vec<Swatch> {
    let mut all = Vec::new();
    let Some(machine) = machine else { return all };
    for (file, book) in &shelf.books {
        let same_machine = (book.machine.pitch.0 - machine.pitch.0).abs() < 0.05;
        for s in &book.swatches {
            let Some(theirs) = book.yarns.get(s.yarn) else { continue };
            let ours = yarns.iter().position(|(name, _)| name.eq_ignore_ascii_case(&theirs.name));
            let Some((index, yarn)) = ours.and_then(|i| Some((i, yarns[i].1.as_ref()?))) else { continue };
            // A design's own swatches determine its stitch sizes.
            let mut same = own.iter().filter(|o| o.fabric == s.fabric && o.yarn == index).peekable();
            if same.peek().is_some() && !same.any(|o| o.dial == s.dial) {
                continue;
            }
            let apart = (theirs.tex.0 / yarn.tex.0 - 1.0).abs();
            if apart > 0.02 || !same_machine {
                if own.iter().any(|o| o.reckoned && o.fabric == s.fabric && o.yarn == index) {
                    continue;
                }
                let unlike = if same_machine {
                    Unlike::Yarn { there: theirs.tex.0, here: yarn.tex.0 }
                } else {
                    Unlike::Machine { there: book.machine.pitch.0, here: machine.pitch.0 }
                };
                let fact = DesignFact::SwatchesLeftOut { yarn: theirs.name.clone(), file: file.clone(), unlike };
                let told = Notice::warning(yarn.span, fact);
                if !r.notices.0.contains(&told) {
                    r.notices.push(told);
                }
                continue;
            }
            all.push(Swatch { yarn: index, span: Span::default(), from: file.clone(), ..s.clone() });
        }
    }
    for s in &all {
        let Some(yarn) = yarns.get(s.yarn).and_then(|y| y.1.as_ref()) else { continue };
        if let Some(n) = doubt(s, yarn.tex, machine.pitch) {
            let fact = DesignFact::InFile { file: s.from.clone(), fact: Box::new(n.fact) }.into();
            r.notices.push(Notice { fact, span: Some(yarn.span), ..n });
        }
    }
    all
}
