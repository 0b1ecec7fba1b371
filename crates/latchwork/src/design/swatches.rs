//! Swatches, the design's own and those of the shared book.

use std::sync::Arc;

use super::Shelf;
use super::head::{NamedYarn, fabric, stitch_size};
use crate::fabric::Fabric;
use crate::measure::{Machine, RECKONED, State, Swatch, Unravelled, Weighed, doubt, doubts_between};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, quoted};
use crate::units::Grams;

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

/// Doubts of swatches that could be, each a warning.
fn doubted(r: &mut Reader<'_>, all: &[Swatch], yarns: &[NamedYarn], machine: Option<&Machine>) {
    let Some(machine) = machine else { return };
    let mut found: Vec<Notice> =
        all.iter().filter_map(|s| doubt(s, yarns.get(s.yarn)?.1.as_ref()?.tex, machine.pitch)).collect();
    // What is doubted by itself need not be compared.
    if found.is_empty() {
        found = doubts_between(all);
    }
    found.into_iter().for_each(|n| r.notices.push(n));
}

/// A swatch whose figures cannot be of this machine: most often a slip of the pen or of the scales.
fn plausible(r: &mut Reader<'_>, s: &Swatch, yarns: &[NamedYarn], machine: Option<&Machine>) {
    let Some(machine) = machine else { return };
    let (pitch, needle, pass) = (machine.pitch.0, s.width.0 / s.needles, s.length.0 / s.passes);
    if !(0.15..=4.0).contains(&(needle / pitch)) || !(0.05..=4.0).contains(&(pass / pitch)) {
        r.error(
            Notice::error(s.span, "This swatch cannot be of this machine.")
                .because(format!(
                    "It would be {needle:.2} mm wide for each needle and {pass:.2} mm long for each pass, on a machine with {pitch} mm between needles."
                ))
                .hint("Check what was counted, and that width and length belong to it."),
        );
    }
    for u in &s.unravelled {
        if !(0.5..=9.0).contains(&(u.each() / pitch)) {
            r.error(
                Notice::error(s.span, "This swatch cannot have loops of such a length.")
                    .because(format!(
                        "Each unravelled loop would be {:.1} mm of yarn on a machine with {pitch} mm between needles.",
                        u.each()
                    ))
                    .hint("Check the length, and the number of loops that it was pulled out of."),
            );
        }
        if u.tucks && s.fabric.tuck_share() == 0.0 {
            r.error(Notice::error(s.span, format!("There are no tucks in {}.", s.fabric.name)).hint("Write loops=."));
        }
    }
    let tex = yarns.get(s.yarn).and_then(|y| y.1.as_ref()).map(|y| y.tex.0);
    if let (Some(w), Some(tex)) = (s.weighed, tex) {
        let length = w.grams.0 / tex * 1e6 / (w.needles * w.passes * s.fabric.loops_per_needle_pass());
        if !(0.7..=9.0).contains(&(length / pitch)) {
            r.error(
                Notice::error(s.span, "This swatch cannot weigh so much or so little.")
                    .because(format!(
                        "Each loop would take {length:.1} mm of yarn on a machine with {pitch} mm between needles."
                    ))
                    .hint("Check the weight, and that needles= and passes= are those of the whole swatch."),
            );
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
    let yarn = match (inside.one("yarn"), yarns.len()) {
        (Some(n), _) => r.first(n, "\"the yarn's name\"").and_then(|v| r.refer(v, "yarn", yarns)),
        (None, 1) => Some(0),
        (None, 0) if r.notes && !r.has_holes && !r.notices.has_error() => {
            r.error(
                Notice::error(node.span, "There is no yarn that this swatch is of.")
                    .hint("Write yarn \"sock wool\" { count (\"m/100g\")420; } before it"),
            );
            None
        }
        (None, _) => {
            if !r.has_holes {
                r.error(
                    Notice::error(node.span, "This swatch does not say which yarn it is of.")
                        .hint(format!("Write yarn {}", quoted(yarns.first().map_or("name", String::as_str)))),
                );
            }
            None
        }
    };
    let dials = inside.one("stitch-size").and_then(|n| stitch_size(r, n, machine));
    if inside.one("stitch-size").is_none() {
        r.error(
            Notice::error(node.span, "This swatch has no stitch size.")
                .hint("Write stitch-size 3 3 (main bed, ribber)"),
        );
    }
    let counts = |r: &mut Reader<'_>, n: &Node| {
        let number = |r: &mut Reader<'_>, name: &str| match property(n, name) {
            Some(v) => r.number(v, &format!("{name}="), 1.0, 2000.0),
            None => {
                r.error(Notice::error(n.span, format!("\"{}\" does not say how many {name}.", n.name)).hint(format!(
                    "Write {} needles=40 passes=60: needles in work on both beds together, passes of the carriage",
                    n.name
                )));
                None
            }
        };
        let needles = number(r, "needles");
        let passes = number(r, "passes");
        needles.zip(passes)
    };
    let counted = match inside.one("counted") {
        Some(n) => {
            r.shape(n, 0, &["needles", "passes"], &[], &[]);
            counts(r, n)
        }
        None => {
            r.error(
                Notice::error(node.span, "This swatch does not say what was counted.")
                    .hint("Write counted needles=40 passes=60"),
            );
            None
        }
    };
    let flat = match inside.one("flat") {
        Some(n) => {
            r.shape(n, 2, &[], &[], &[]);
            if let [w, l] = n.arguments.as_slice() {
                let width = r.length_value(w, "the width of a swatch", 5.0..=3000.0);
                let length = r.length_value(l, "the length of a swatch", 5.0..=3000.0);
                width.zip(length)
            } else {
                r.error(
                    Notice::error(n.span, "\"flat\" wants a width and a length.").hint("Write flat (cm)16.7 (cm)16.7"),
                );
                None
            }
        }
        None => {
            r.error(
                Notice::error(node.span, "This swatch was not measured.")
                    .hint("Write flat (cm)16.7 (cm)16.7: width between the marks, length between the contrast rows"),
            );
            None
        }
    };
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
            r.error(
                Notice::error(node.span, "This swatch does not say whether it was washed.")
                    .because("A rib or a tuck fabric changes much in the first wash.")
                    .hint("Write state \"washed\", \"rested\" or \"as knitted\""),
            );
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
        r.error(
            Notice::error(n.span, "Stretched, this swatch is narrower than flat.")
                .hint("Give the width between the marks when it is drawn out as far as it comfortably goes."),
        );
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
        if let Some(percent) = property(n, "doubt").and_then(|v| r.number(v, "doubt=", 1.0, 60.0)) {
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
            r.error(
                Notice::error(node.span, "\"unravelled\" does not say how many loops the yarn was in.")
                    .hint("Write unravelled (cm)61 loops=50, or unravelled (cm)45 tucks=50"),
            );
            return None;
        }
    };
    let loops = r.number(count, if tucks { "tucks=" } else { "loops=" }, 5.0, 10_000.0)?;
    Some(Unravelled { tucks, loops, length })
}

/// Swatches of the shared book that are of this design's yarns and machine.
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
            // A design's own swatches say at which stitch sizes it is knitted.
            let mut same = own.iter().filter(|o| o.fabric == s.fabric && o.yarn == index).peekable();
            if same.peek().is_some() && !same.any(|o| o.dial == s.dial) {
                continue;
            }
            let apart = (theirs.tex.0 / yarn.tex.0 - 1.0).abs();
            if apart > 0.02 || !same_machine {
                if own.iter().any(|o| o.reckoned && o.fabric == s.fabric && o.yarn == index) {
                    continue;
                }
                let why = if same_machine {
                    format!("It is of {:.0} tex there and of {:.0} tex here.", theirs.tex.0, yarn.tex.0)
                } else {
                    format!(
                        "It was knitted with {} mm between needles, and this machine has {} mm.",
                        book.machine.pitch.0, machine.pitch.0
                    )
                };
                let what = if same_machine { "of another yarn" } else { "of another machine" };
                let told = Notice::warning(
                    yarn.span,
                    format!("The swatches of \"{}\" in {file} are {what}, and are left out.", theirs.name),
                );
                if !r.notices.0.iter().any(|n| n.message == told.message) {
                    r.notices.push(
                        told.because(why).hint("Give the yarn another name here, or `latchwork restate` the design."),
                    );
                }
                continue;
            }
            all.push(Swatch { yarn: index, span: Span::default(), from: file.clone(), ..s.clone() });
        }
    }
    for s in &all {
        let Some(yarn) = yarns.get(s.yarn).and_then(|y| y.1.as_ref()) else { continue };
        if let Some(n) = doubt(s, yarn.tex, machine.pitch) {
            r.notices.push(Notice { message: format!("{}: {}", s.from, n.message), span: Some(yarn.span), ..n });
        }
    }
    all
}
