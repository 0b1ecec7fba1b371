//! A design restated for another machine gauge or another yarn: the document with its machine, yarn, swatches and counts
//! converted, to be swatched before it is trusted.

use crate::design::{Design, EdgeStep, Group, Length, Middle, NewSwatch, Shaping, Stretch, When, Wish, as_chosen};
use crate::fabric::Ends;
use crate::measure::{BuiltIn, Dials, Yarn};
use crate::text::{NewNode, Node, Written, quoted};

/// A restated design.
#[derive(Debug, Clone, PartialEq)]
pub struct Restated {
    /// The document.
    pub text: String,
    /// New loop length over old.
    pub factor: f64,
    /// Fabrics that must be swatched.
    pub swatch: Vec<String>,
}

/// Restates a design's document. Loops are scaled to keep the cover, the square root of tex over loop length, and gauge
/// follows loop length; where the yarn is kept on another machine, loops grow with the needle pitch instead. Body
/// measures and ease stay; exact rows and needles become new ones of the same size.
#[must_use]
pub fn restate(source: &str, design: &Design, machine: Option<&BuiltIn>, yarn: Option<&Yarn>) -> Restated {
    let first = design.yarns.first();
    let now = first.map_or(1.0, |y| y.tex.0);
    let pitch = machine.map_or(1.0, |m| m.pitch / design.machine.pitch.0);
    // Another yarn keeps the cover; with the same yarn on a coarser machine, loops grow with the pitch.
    let factor = yarn.map_or(pitch, |y| (y.tex.0 / now).sqrt());
    let tree = as_chosen(crate::text::read(source, &mut crate::notice::Notices::default()));
    let mut edits: Vec<(usize, usize, String)> = Vec::new();
    let mut edit = |start: usize, end: usize, text: String| edits.push((start, end, text));
    let mut seen: Vec<(&str, usize, Dials)> = Vec::new();
    let mut swatches = String::new();
    for g in design.pieces.iter().flat_map(|p| &p.stretches).flat_map(Stretch::gauges) {
        if seen.contains(&(&g.fabric.name, g.yarn, g.dial)) {
            continue;
        }
        seen.push((&g.fabric.name, g.yarn, g.dial));
        swatches.push_str(&swatch(design, g, factor, yarn));
    }
    let mut first_swatch = true;
    for n in &tree.nodes {
        let (start, end) = (n.span.start, end_of(n));
        match n.name.as_str() {
            "machine" => {
                // An owner's changes to one machine do not hold for another.
                if let Some(m) = machine.filter(|m| m.name != design.machine.class.name) {
                    edit(start, end, format!("machine {}", quoted(m.name)));
                }
            }
            "yarn" => {
                let own = name_of(n).is_some_and(|name| name == design.yarns[0].name);
                if let (Some(y), true) = (yarn, own) {
                    edit(start, end, yarn_node(y));
                }
            }
            "swatch" => {
                let text =
                    if std::mem::take(&mut first_swatch) { swatches.trim_end().to_string() } else { String::new() };
                edit(start, end, text);
            }
            "piece" => piece(n, design, factor, yarn, &mut edit),
            _ => {}
        }
    }
    edits.sort_by_key(|e| e.0);
    let mut text = String::new();
    let mut at = 0;
    for (start, end, new) in &edits {
        text.push_str(source.get(at..*start).unwrap_or_default());
        text.push_str(new);
        at = *end;
    }
    text.push_str(source.get(at..).unwrap_or_default());
    if first_swatch {
        // Reached when all its swatches come from the shared book.
        text.push('\n');
        text.push_str(&swatches);
    }
    let mut swatch: Vec<String> = seen.into_iter().map(|s| s.0.to_string()).collect();
    swatch.dedup();
    Restated { text: tidied(&text), factor, swatch }
}

/// Leaves at most one empty line where swatches were removed.
fn tidied(text: &str) -> String {
    let mut out = String::new();
    let mut empty = 0;
    for line in text.lines() {
        empty = if line.trim().is_empty() { empty + 1 } else { 0 };
        if empty < 2 {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

fn yarn_node(y: &Yarn) -> String {
    let fibres = y.fibres.iter().map(|(fibre, share)| NewNode::new("fibre").text(fibre).unit("percent", share));
    NewNode::new("yarn")
        .text(&y.name)
        .with(NewNode::new("count").unit("tex", format!("{:.1}", y.tex.0)))
        .with_all(fibres)
        .with_all(y.ball.map(|b| NewNode::new("ball").unit("g", b.0)))
        .with_all(y.in_hand.map(|h| NewNode::new("in-hand").unit("g", h.0)))
        .to_string()
}

/// A swatch that was never knitted, about 10 by 10 cm, in the design's own counts.
fn swatch(design: &Design, g: &crate::measure::Gauge, factor: f64, yarn: Option<&Yarn>) -> String {
    let own = &design.yarns[g.yarn];
    let other = yarn.filter(|_| g.yarn == 0);
    let (name, tex) = other.map_or((own.name.as_str(), own.tex.0), |y| (y.name.as_str(), y.tex.0));
    let weighed = g.loops.map(|l| {
        let loops = 3600.0 * g.fabric.loops_per_needle_pass();
        let tucks = loops * g.fabric.tuck_share();
        let metres = l.of(loops - tucks, tucks).0 * factor / 1000.0;
        (format!("{:.1}", metres * tex / 1000.0), "60".to_string(), 60)
    });
    let from =
        format!("{} on {} mm between needles; swatch this before you trust it", own.name, design.machine.pitch.0);
    let of_forty = |each: f64| format!("{:.1}", each * factor * 40.0);
    let swatch = NewSwatch {
        fabric: &g.fabric.name,
        yarn: Some(name),
        dial: (g.dial.0, g.dial.1),
        counted: (40, 40),
        flat: (of_forty(g.needle.value), of_forty(g.pass.value)),
        unit: "mm",
        weighed,
        state: &g.state.to_string(),
        reckoned_from: Some((&from, None)),
        note: Some("The stitch size is the old machine's number: find your own."),
        ..NewSwatch::default()
    };
    format!("{}\n", swatch.node())
}

/// Converts exact rows, needles and shapings.
fn piece(n: &Node, design: &Design, factor: f64, yarn: Option<&Yarn>, edit: &mut dyn FnMut(usize, usize, String)) {
    let Some(of) = name_of(n).and_then(|t| design.pieces.iter().find(|p| p.name == t)) else { return };
    if let (Some(y), Some(own)) = (yarn, n.children.iter().find(|c| c.name == "yarn"))
        && of.yarn == 0
    {
        edit(own.span.start, end_of(own), format!("yarn {}", quoted(&y.name)));
    }
    if (factor - 1.0).abs() < 1e-9 {
        return;
    }
    let wide = |s: &Stretch, count: u32| {
        // An odd count on alternate needles ends on one bed.
        let ends = if count.is_multiple_of(2) { Ends::MainRibber } else { Ends::BothMain };
        let flat = s.gauge.needle.value * (f64::from(count) - of.lost(s, ends)).max(1.0);
        format!("width (mm){flat:.1}")
    };
    for c in &n.children {
        if let ("needles", Wish::Needles(count @ 6..)) = (c.name.as_str(), exact(of.stretches.first())) {
            edit(c.span.start, end_of(c), wide(&of.stretches[0], count));
        }
    }
    for node in n.children.iter().filter(|c| c.name == "stretch") {
        let Some(s) = name_of(node).and_then(|t| of.stretches.iter().find(|s| s.name == t)) else { continue };
        for c in &node.children {
            match (c.name.as_str(), &s.length, &s.shaping) {
                ("rows", Length::Rows(rows), _) => {
                    edit(c.span.start, end_of(c), format!("rows {}", scaled(*rows, factor, s.row_multiple())));
                }
                ("needles", _, _) => {
                    if let Wish::Needles(count @ 6..) = exact(Some(s)) {
                        edit(c.span.start, end_of(c), wide(s, count));
                    }
                }
                ("decrease" | "increase" | "crown", _, Some(sh)) => {
                    // A target in needles becomes a width; the last few of a point stay as they are.
                    if let (Some(goal), When::To { wished, .. }) =
                        (c.children.iter().find(|x| x.name == "needles"), &sh.when)
                        && let Wish::Needles(count @ 6..) = wished.wish
                    {
                        edit(goal.span.start, end_of(goal), wide(s, count));
                    }
                    shaping(c, sh, s.row_multiple(), factor, edit);
                }
                ("neck", _, _) => {
                    let Some(neck) = &s.neck else { continue };
                    if let (Some(goal), When::To { wished, .. }) =
                        (c.children.iter().find(|x| x.name == "needles"), &neck.shaping.when)
                        && let Wish::Needles(count) = wished.wish
                    {
                        let flat = f64::from(count) * s.gauge.needle.value;
                        edit(goal.span.start, end_of(goal), format!("width (mm){flat:.1}"));
                    }
                    shaping(c, &neck.shaping, s.row_multiple(), factor, edit);
                    if let (Some(middle), Middle::Stitches(count)) =
                        (c.children.iter().find(|x| x.name == "middle"), neck.middle)
                    {
                        edit(middle.span.start, end_of(middle), format!("middle {}", scaled(count, factor, 2)));
                    }
                }
                ("buttonholes" | "eyelets", _, _) => {
                    for (name, p) in c.properties.iter().map(|p| (p.name.as_str(), &p.value)) {
                        if let Written::Number(n) = p.written {
                            #[allow(
                                clippy::cast_possible_truncation,
                                clippy::cast_sign_loss,
                                reason = "read as a whole number"
                            )]
                            let count = scaled(n as u32, factor, 1);
                            edit(p.span.start, p.span.start + p.span.len, format!("{name}={count}"));
                        }
                    }
                }
                ("short-rows", _, _) => short_rows(c, factor, edit),
                _ => {}
            }
        }
    }
}

/// A count of rows or stitches at the other gauge.
fn scaled(count: u32, factor: f64, multiple: u32) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
    let near = (f64::from(count) / factor / f64::from(multiple)).round().max(1.0) as u32;
    near * multiple
}

/// How often needles are held and return, and the rows between.
fn short_rows(c: &Node, factor: f64, edit: &mut dyn FnMut(usize, usize, String)) {
    for step in &c.children {
        let rows = step.arguments.first().filter(|_| step.name == "knit").map(|v| (v, ""));
        let times = step.properties.iter().find(|p| p.name == "times").map(|p| (&p.value, "times="));
        for (value, word) in rows.into_iter().chain(times) {
            if let Written::Number(n) = value.written {
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "read as a whole number")]
                let count = scaled(n as u32, factor, 1);
                edit(value.span.start, value.span.start + value.span.len, format!("{word}{count}"));
            }
        }
    }
}

/// The steps of an edge.
fn shaping(c: &Node, sh: &Shaping, m: u32, factor: f64, edit: &mut dyn FnMut(usize, usize, String)) {
    let fewer = |rows: u32, times: u32| {
        let fewer = scaled(times, factor, 1);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
        let every = (f64::from(rows * times) / factor / f64::from(fewer)).round().max(1.0) as u32;
        vec![("every", every.div_ceil(m) * m), ("times", fewer)]
    };
    let mut set = |node: &Node, values: Vec<(&str, u32)>| {
        for (name, value) in values {
            if let Some(p) = node.properties.iter().find(|p| p.name == name) {
                let at = p.value.span;
                edit(at.start, at.start + at.len, format!("{name}={value}"));
            }
        }
    };
    let word = sh.change.groups();
    match &sh.when {
        When::Every { rows, times } => set(c, fewer(*rows, *times)),
        When::Listed(steps) => {
            let listed: Vec<&Node> = c.children.iter().filter(|x| x.name == "then").collect();
            let first = c.children.iter().find(|x| x.name == word);
            let own = steps.0.iter().skip(usize::from(first.is_some()));
            for (node, then) in listed.into_iter().zip(own) {
                set(
                    node,
                    match then.group {
                        None => fewer(then.every, then.times),
                        Some(count) => vec![(word, scaled(count, factor, sh.stitches))],
                    },
                );
            }
            if let (Some(first), Some(EdgeStep { group: Some(count), .. })) = (first, steps.0.first()) {
                edit(first.span.start, end_of(first), format!("{word} {}", scaled(*count, factor, sh.stitches)));
            }
        }
        When::To { first: Some(Group::Stitches(count)), .. } => {
            if let Some(first) = c.children.iter().find(|x| x.name == word) {
                edit(first.span.start, end_of(first), format!("{word} {}", scaled(*count, factor, sh.stitches)));
            }
        }
        When::To { .. } => {}
    }
}

fn exact(s: Option<&Stretch>) -> Wish {
    s.and_then(|s| s.wished.as_ref()).map_or(Wish::Needles(0), |w| w.wish.clone())
}

/// The name of a node as the design has it, with its white space normalized.
fn name_of(n: &Node) -> Option<String> {
    match &n.arguments.first()?.written {
        Written::Text(t) => Some(t.split_whitespace().collect::<Vec<_>>().join(" ")),
        _ => None,
    }
}

fn end_of(n: &Node) -> usize {
    n.whole.start + n.whole.len
}
