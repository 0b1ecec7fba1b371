//! Machine, yarns, swatches and sizes of a design.

use std::sync::Arc;

use latchwork_machine::profile::{Limit, Source};

use super::Size;
use crate::fabric::Fabric;
use crate::fact::{DesignFact, DraftFact, Subject};
use crate::measure::{BUILT_IN, Machine, OWN_WORDS, Pace, TABLES, Yarn, find_machine, find_table, on_nobody};
use crate::notice::{Notice, nearest};
use crate::reader::{Nodes, Reader, of, property};
use crate::text::{Node, Value, Written};
use crate::units::{COUNT_UNITS, Grams, Mm, dial_from, tex_of};

pub(super) fn machine(r: &mut Reader<'_>, top: &Nodes<'_>) -> Option<Machine> {
    let Some(node) = top.one("machine") else {
        r.missing(DesignFact::NoMachine);
        return None;
    };
    let inside = r.shape(
        node,
        1,
        &[],
        &[
            "name",
            "pitch",
            "needles",
            "stitch-sizes",
            "most-tucks",
            "longest-float",
            "most-gathered",
            "most-held",
            "weight-band",
            "weight-aim",
            "pattern-device",
            "say",
        ],
        &["say"],
    );
    let words: Vec<(&str, &str)> = BUILT_IN.iter().map(|m| (m.name, m.name)).collect();
    let class = r.one_of(node, &words).and_then(find_machine)?;
    let mut m = Machine::of(class);
    m.name = inside.one("name").and_then(|n| {
        r.leaf(n);
        r.text(n)
    });
    if let Some(pitch) = inside.one("pitch").and_then(|n| {
        r.leaf(n);
        r.length(n, 2.0..=15.0)
    }) {
        m.pitch = pitch;
    }
    let owner = |value| Limit { value, source: Source::Owner };
    if let Some(n) = inside.one("needles") {
        r.shape(n, 0, &["main", "ribber"], &[], &[]);
        let bed =
            |r: &mut Reader<'_>, name, least| r.whole_property(n, name, least, 400).and_then(|v| u16::try_from(v).ok());
        m.profile.main_needles = bed(r, "main", 10).unwrap_or(m.profile.main_needles);
        m.profile.ribber_needles = bed(r, "ribber", 0).unwrap_or(m.profile.ribber_needles);
    }
    m.dial = stitch_sizes(r, &inside).unwrap_or(m.dial);
    if let Some(n) = inside.one("most-tucks").and_then(|n| {
        r.leaf(n);
        r.whole(n, 1, 20)
    }) {
        m.profile.tucks = owner(n);
    }
    if let Some(n) = inside.one("longest-float").and_then(|n| {
        r.leaf(n);
        r.whole(n, 1, 40)
    }) {
        m.profile.float = owner(n);
    }
    m.most_held = inside.one("most-held").and_then(|n| {
        r.leaf(n);
        r.whole(n, 2, 400)
    });
    if let Some(n) = inside.one("most-gathered").and_then(|n| {
        r.leaf(n);
        r.whole(n, 2, 400)
    }) {
        m.gathered = n;
    }
    if let Some(n) = inside.one("pattern-device") {
        r.shape(n, 0, &["needles"], &[], &[]);
        m.device = r.whole_property(n, "needles", 2, 400);
    }
    weights(r, &inside, &mut m);
    own_words(r, &inside, &mut m);
    Some(m)
}

/// The smallest and largest stitch sizes of the machine.
fn stitch_sizes(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<(u8, u8)> {
    let n = inside.one("stitch-sizes")?;
    r.shape(n, 2, &[], &[], &[]);
    let [a, b] = n.arguments.as_slice() else {
        r.error(Notice::error(n.span, DesignFact::WantsTwoStitchSizes));
        return None;
    };
    let (a, b) = (dial(r, a), dial(r, b));
    let (a, b) = a.zip(b)?;
    if a >= b {
        r.error(Notice::error(n.span, DesignFact::StitchSizesReversed));
        return None;
    }
    Some((a, b))
}

/// The owner's words for the trade's terms.
fn own_words(r: &mut Reader<'_>, inside: &Nodes<'_>, m: &mut Machine) {
    for n in inside.all("say") {
        r.shape(n, 2, &[], &[], &[]);
        let words: Vec<(&str, &str)> = OWN_WORDS.iter().map(|w| (*w, *w)).collect();
        match n.arguments.as_slice() {
            [neutral, own] => {
                let neutral = r.word(neutral, Subject::word("say"), &words);
                if let Written::Text(text) = &own.written
                    && text.contains('\u{201d}')
                {
                    r.error(Notice::error(own.span, DesignFact::OwnWordsEnd));
                }
                if let (Some(neutral), Written::Text(own)) = (neutral, &own.written) {
                    m.own_words.push((neutral.to_string(), own.clone()));
                }
            }
            _ => r.error(Notice::error(n.span, DesignFact::WantsOwnWords)),
        }
    }
}

/// Grams per loop: the limits, and what the plan hangs.
fn weights(r: &mut Reader<'_>, inside: &Nodes<'_>, m: &mut Machine) {
    let two = |r: &mut Reader<'_>, n: &Node, example: &str| -> Option<(u32, u32)> {
        r.shape(n, 2, &[], &[], &[]);
        let [a, b] = n.arguments.as_slice() else {
            r.error(Notice::error(
                n.span,
                DesignFact::WantsTwoWeights { word: n.name.clone(), example: example.to_string() },
            ));
            return None;
        };
        let grams = |r: &mut Reader<'_>, v: &Value| {
            let g = r.weight_value(v, of(n))?.round();
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000")]
            let whole = g.clamp(0.0, 1000.0) as u32;
            Some(whole)
        };
        let both = (grams(r, a), grams(r, b));
        both.0.zip(both.1)
    };
    let owner = |value| Limit { value, source: Source::Owner };
    if let Some(n) = inside.one("weight-band")
        && let Some((least, most)) = two(r, n, "weight-band (g)2 (g)12")
    {
        if (1..=100).contains(&least) && least < most && most <= 200 {
            m.profile.least_grams = owner(least);
            m.profile.most_grams = owner(most);
            m.aim = m.aim.clamp(least, most);
            m.aim_one_bed = m.aim_one_bed.clamp(least, most);
        } else {
            r.error(Notice::error(n.span, DesignFact::WeightBand));
        }
    }
    if let Some(n) = inside.one("weight-aim")
        && let Some((two_beds, one_bed)) = two(r, n, "weight-aim (g)5 (g)3")
    {
        let band = m.profile.least_grams.value..=m.profile.most_grams.value;
        if band.contains(&two_beds) && band.contains(&one_bed) {
            (m.aim, m.aim_one_bed) = (two_beds, one_bed);
        } else {
            r.error(Notice::error(n.span, DesignFact::AimOutsideBand { least: *band.start(), most: *band.end() }));
        }
    }
}

/// A stitch size in thirds.
pub(super) fn dial(r: &mut Reader<'_>, value: &Value) -> Option<u8> {
    let thirds = match &value.written {
        Written::Number(n) if value.unit.is_none() => dial_from(&n.to_string()),
        Written::Text(t) => dial_from(t),
        Written::Number(_) | Written::Flag(_) | Written::Nothing => None,
    };
    if thirds.is_none() {
        r.error(Notice::error(value.span, DesignFact::NoStitchSize));
    }
    thirds
}

/// The knitter's pace; figures not given stay as usual.
pub(super) fn pace(r: &mut Reader<'_>, top: &Nodes<'_>) -> Pace {
    let mut pace = Pace::USUAL;
    let Some(node) = top.one("pace") else { return pace };
    let words: Vec<&str> = Pace::WORDS.iter().map(|w| w.0).collect();
    r.shape(node, 0, &words, &[], &[]);
    for (word, of) in Pace::WORDS {
        if let Some(v) = property(node, word)
            && let Some(seconds) = r.number(v, Subject::property(word), 0.1, 7200.0)
        {
            *of(&mut pace) = seconds;
            pace.own = true;
        }
    }
    pace
}

pub(super) type NamedYarn = (String, Option<Yarn>);

pub(super) fn yarns(r: &mut Reader<'_>, top: &Nodes<'_>) -> Vec<NamedYarn> {
    let mut all: Vec<NamedYarn> = Vec::new();
    for node in top.all("yarn") {
        let inside = r.shape(node, 1, &[], &["count", "fibre", "ball", "in-hand", "colour", "shade"], &["fibre"]);
        let taken: Vec<String> = all.iter().map(|y| y.0.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let yarn = yarn(r, node, &inside, &name);
        all.push((name, yarn));
    }
    if all.is_empty() && top.one("yarn").is_none() {
        r.missing(DesignFact::NoYarn);
    }
    all
}

fn yarn(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, name: &str) -> Option<Yarn> {
    let Some(count) = inside.one("count") else {
        r.error(Notice::error(node.span, DesignFact::NoCount { name: name.to_string() }));
        return None;
    };
    r.shape(count, 1, &["plies"], &[], &[]);
    let plies = f64::from(r.whole_property(count, "plies", 1, 20).unwrap_or(1));
    let value = r.first(count, "(tex)238")?;
    let tex = match (&value.written, &value.unit) {
        (Written::Number(n), Some(unit)) => tex_of(*n, unit).map(|t| crate::units::Tex(t.0 * plies)),
        _ => None,
    };
    let Some(tex) = tex.filter(|t| t.0.is_finite() && (5.0..=20_000.0).contains(&t.0)) else {
        let unit = value.unit.as_deref();
        let near = unit.and_then(|u| nearest(u, COUNT_UNITS)).filter(|n| Some(*n) != unit).map(str::to_string);
        let known = COUNT_UNITS.iter().map(ToString::to_string).collect();
        r.error(Notice::error(value.span, DesignFact::NotACount { known, near }));
        return None;
    };
    let mut fibres = Vec::new();
    for n in inside.all("fibre") {
        r.shape(n, 2, &[], &[], &[]);
        let fibre = r.text(n);
        let share = n.arguments.get(1).map_or(Some(100.0), |v| r.percent(v, Subject::ShareOfFibre, 0.1..=100.0));
        if let (Some(fibre), Some(share)) = (fibre, share) {
            fibres.push((fibre, share));
        }
    }
    let total: f64 = fibres.iter().map(|f| f.1).sum();
    if !fibres.is_empty() && (total - 100.0).abs() > 0.5 {
        r.error(Notice::error(node.span, DesignFact::FibresDoNotAddUp { name: name.to_string(), total }));
    }
    let colour = inside.one("colour").and_then(|n| {
        r.leaf(n);
        r.text(n)
    });
    if let Some(c) = &colour
        && !(c.len() == 7 && c.starts_with('#') && c[1..].bytes().all(|b| b.is_ascii_hexdigit()))
    {
        r.error(Notice::error(node.span, DesignFact::NoColour));
    }
    Some(Yarn {
        name: name.to_string(),
        span: node.span,
        tex,
        fibres,
        ball: inside
            .one("ball")
            .and_then(|n| {
                r.leaf(n);
                r.weight(n)
            })
            .map(Grams),
        in_hand: inside
            .one("in-hand")
            .and_then(|n| {
                r.leaf(n);
                r.weight(n)
            })
            .map(Grams),
        colour,
        shade: inside
            .one("shade")
            .and_then(|n| {
                r.leaf(n);
                r.text(n)
            })
            .unwrap_or_default(),
    })
}

/// The fabric that a value names, among those known.
pub(super) fn fabric(r: &mut Reader<'_>, value: &Value, all: &[Arc<Fabric>]) -> Option<Arc<Fabric>> {
    let words: Vec<(&str, usize)> = all
        .iter()
        .enumerate()
        .flat_map(|(i, f)| std::iter::once(&f.name).chain(&f.also).map(move |n| (n.as_str(), i)))
        .collect();
    let found = r.word(value, Subject::Fabric, &words)?;
    all.get(found).map(Arc::clone)
}

pub(super) fn stitch_size(r: &mut Reader<'_>, node: &Node, machine: Option<&Machine>) -> Option<(u8, u8)> {
    r.shape(node, 2, &[], &[], &[]);
    let pair = match node.arguments.as_slice() {
        [one] => dial(r, one).map(|d| (d, d)),
        [a, b] => {
            let (a, b) = (dial(r, a), dial(r, b));
            a.zip(b)
        }
        _ => {
            r.error(Notice::error(node.span, DesignFact::WantsStitchSize));
            None
        }
    }?;
    if let Some(m) = machine
        && (pair.0.min(pair.1) < m.dial.0 || pair.0.max(pair.1) > m.dial.1)
    {
        let range = (crate::units::dial(m.dial.0), crate::units::dial(m.dial.1));
        r.error(Notice::error(node.span, DesignFact::StitchSizeNotOnDial { least: range.0, most: range.1 }));
    }
    Some(pair)
}

pub(super) fn sizes(r: &mut Reader<'_>, top: &Nodes<'_>) -> (Vec<Size>, String) {
    let mut all: Vec<Size> = Vec::new();
    let Some(node) = top.one("sizes") else {
        r.missing(DesignFact::NoSizes);
        return (all, String::new());
    };
    let inside = r.shape(node, 0, &[], &["table", "size", "source"], &["size"]);
    let mut source = inside
        .one("source")
        .and_then(|n| {
            r.leaf(n);
            r.text(n)
        })
        .unwrap_or_default();
    if let Some(n) = inside.one("table") {
        r.shape(n, 40, &[], &[], &[]);
        let words: Vec<(&str, &str)> = TABLES.iter().map(|t| (t.name, t.name)).collect();
        if let (Some(own), true) = (inside.one("source"), inside.one("size").is_none()) {
            r.error(Notice::error(own.span, DesignFact::TableHasSource));
        }
        if let Some(table) = r.one_of(n, &words).and_then(find_table) {
            let own = if source.is_empty() { String::new() } else { format!("; {source}") };
            source = format!("{}{own}", table.source);
            let wanted = n.arguments.get(1..).unwrap_or_default();
            let mut names: Vec<&str> = Vec::new();
            let rows: Vec<(&str, &str)> = table.rows.iter().map(|row| (row.0, row.0)).collect();
            for v in wanted {
                let as_text = match &v.written {
                    Written::Number(x) => Value { written: Written::Text(x.to_string()), ..v.clone() },
                    Written::Text(_) | Written::Flag(_) | Written::Nothing => v.clone(),
                };
                names.extend(r.word(&as_text, Subject::SizeOfTable(table.name.to_string()), &rows));
            }
            for (name, values) in table.rows.iter().filter(|row| wanted.is_empty() || names.contains(&row.0)) {
                let measures = table.measures.iter().zip(*values).map(|(m, v)| ((*m).to_string(), Mm(*v))).collect();
                all.push(Size { name: (*name).to_string(), span: n.span, measures, made: Vec::new() });
            }
        }
    }
    for n in inside.all("size") {
        let taken: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let Some(name) = r.own_name(n, &taken) else { continue };
        r.shape(n, 1, &[], &n.children.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(), &[]);
        if name.contains(',') || name != name.trim() {
            r.error(Notice::error(n.span, DesignFact::SizeName));
        }
        let mut measures: Vec<(String, Mm)> = Vec::new();
        for m in &n.children {
            if measures.iter().any(|(known, _)| *known == m.name) {
                continue;
            }
            r.shape(m, 1, &[], &[], &[]);
            if let Some(v) = r.length(m, 5.0..=3000.0) {
                measures.push((m.name.clone(), v));
            }
        }
        let of = |name: &str| measures.iter().find(|m| m.0 == name).map(|m| m.1.0);
        if let Some((part, whole)) = on_nobody(of) {
            let at = n.children.iter().find(|c| c.name == part).map_or(n.span, |c| c.span);
            let told = |name: &str| (name.to_string(), of(name).unwrap_or_default() / 10.0);
            let (part, whole) = (told(part), told(whole));
            r.error(Notice::error(at, DraftFact::NoBody { size: name.clone(), part, whole }));
        }
        all.push(Size { name, span: n.span, measures, made: Vec::new() });
    }
    if all.is_empty() {
        r.missing(DesignFact::NoSizes);
    }
    if all.len() > 24 {
        r.error(Notice::error(node.span, DesignFact::TooManySizes));
    }
    (all, source)
}
