//! Machine, yarns, swatches and sizes of a design.

use latchwork_machine::profile::{Limit, Source};

use super::Size;
use super::read::{Nodes, Reader, property};
use crate::fabric::{FABRICS, Fabric};
use crate::measure::{BUILT_IN, Machine, OWN_WORDS, State, Swatch, TABLES, Weighed, Yarn, find_machine, find_table};
use crate::notice::{Notice, nearest};
use crate::text::{Node, Value, Written};
use crate::units::{COUNT_UNITS, Grams, Mm, tex_of};

pub(super) fn machine(r: &mut Reader<'_>, top: &Nodes<'_>) -> Option<Machine> {
    let Some(node) = top.one("machine") else {
        r.missing("The design names no machine.", "Write machine \"standard\" (or fine, mid, bulky).");
        return None;
    };
    let inside = r.shape(
        node,
        1,
        &[],
        &["name", "pitch", "needles", "stitch-sizes", "most-tucks", "longest-float", "weight-band", "say"],
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
    if let Some(n) = inside.one("stitch-sizes") {
        r.shape(n, 2, &[], &[], &[]);
        if let [a, b] = n.arguments.as_slice() {
            let (a, b) = (dial(r, a), dial(r, b));
            if let (Some(a), Some(b)) = (a, b) {
                if a < b {
                    m.dial = (a, b);
                } else {
                    r.error(
                        Notice::error(n.span, "The smallest stitch size comes first.").hint("Write stitch-sizes 0 10"),
                    );
                }
            }
        } else {
            r.error(Notice::error(n.span, "\"stitch-sizes\" wants two numbers.").hint("Write stitch-sizes 0 10"));
        }
    }
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
    if let Some(n) = inside.one("weight-band") {
        r.shape(n, 2, &[], &[], &[]);
        let grams = |r: &mut Reader<'_>, v: &Value| r.weight_value(v, "\"weight-band\"").map(f64::round);
        if let [a, b] = n.arguments.as_slice() {
            if let (Some(a), Some(b)) = (grams(r, a), grams(r, b)) {
                if (1.0..=100.0).contains(&a) && a < b && b <= 200.0 {
                    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 200")]
                    let (least, most) = (a as u32, b as u32);
                    m.profile.least_grams = owner(least);
                    m.profile.most_grams = owner(most);
                    m.aim = m.aim.clamp(least, most);
                } else {
                    r.error(
                        Notice::error(
                            n.span,
                            "The weight band runs from its least to its most grams a needle, 1 g to 200 g.",
                        )
                        .hint("Write weight-band (g)2 (g)12"),
                    );
                }
            }
        } else {
            r.error(Notice::error(n.span, "\"weight-band\" wants two weights.").hint("Write weight-band (g)2 (g)12"));
        }
    }
    for n in inside.all("say") {
        r.shape(n, 2, &[], &[], &[]);
        let words: Vec<(&str, &str)> = OWN_WORDS.iter().map(|w| (*w, *w)).collect();
        match n.arguments.as_slice() {
            [neutral, own] => {
                let neutral = r.word(neutral, "\"say\"", &words);
                if let (Written::Text(text), true) = (&own.written, true)
                    && text.contains(".)")
                {
                    r.error(
                        Notice::error(own.span, "The handout ends your own words with \".)\".")
                            .hint("Write them without it."),
                    );
                }
                if let (Some(neutral), Written::Text(own)) = (neutral, &own.written) {
                    m.own_words.push((neutral.to_string(), own.clone()));
                }
            }
            _ => r.error(
                Notice::error(n.span, "\"say\" wants a neutral word and your own.")
                    .hint("Write say \"tuck\" \"the word in your manual\""),
            ),
        }
    }
    Some(m)
}

/// A stitch size in thirds, from 3, 3.33, 3.5 refused, or "3 1/3".
pub(super) fn dial(r: &mut Reader<'_>, value: &Value) -> Option<u8> {
    let thirds = match &value.written {
        Written::Number(n) if value.unit.is_none() && (0.0..=10.0).contains(n) => {
            let t = (n * 3.0).round();
            ((n * 3.0 - t).abs() < 0.11).then_some(t)
        }
        Written::Text(t) => {
            let (whole, part) = t.trim().split_once([' ', '+']).unwrap_or((t.trim(), "0"));
            let part = match part {
                "0" => Some(0.0),
                "1/3" => Some(1.0),
                "2/3" => Some(2.0),
                _ => None,
            };
            let whole = whole.parse::<u8>().ok().filter(|w| *w <= 10).map(f64::from);
            whole.zip(part).map(|(w, p)| w * 3.0 + p).filter(|t| *t <= 30.0)
        }
        Written::Number(_) | Written::Flag(_) | Written::Nothing => None,
    };
    if thirds.is_none() {
        r.error(
            Notice::error(value.span, "This is not a stitch size.")
                .because("A stitch size is a number from 0 to 10, in thirds.")
                .hint("Write 3, \"3 1/3\" or \"3 2/3\""),
        );
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
    thirds.map(|t| t as u8)
}

pub(super) type NamedYarn = (String, Option<Yarn>);

pub(super) fn yarns(r: &mut Reader<'_>, top: &Nodes<'_>) -> Vec<NamedYarn> {
    let mut all: Vec<NamedYarn> = Vec::new();
    for node in top.all("yarn") {
        let inside = r.shape(node, 1, &[], &["count", "fibre", "ball", "in-hand", "colour"], &["fibre"]);
        let taken: Vec<String> = all.iter().map(|y| y.0.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let yarn = yarn(r, node, &inside, &name);
        all.push((name, yarn));
    }
    if all.is_empty() && top.one("yarn").is_none() {
        r.missing("The design has no yarn.", "Write yarn \"sock wool\" { count (\"m/100g\")420; }");
    }
    all
}

fn yarn(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, name: &str) -> Option<Yarn> {
    let Some(count) = inside.one("count") else {
        r.error(
            Notice::error(node.span, format!("The yarn \"{name}\" has no count."))
                .because("Without it no loop length and no yarn amount can be worked out.")
                .hint("Write count (\"m/100g\")420, as the ball band says, or count (tex)238"),
        );
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
        let mut e = Notice::error(value.span, "This is not a yarn count that can be used.")
            .because(format!("It wants a number from 5 to 20,000 tex, in one of: {}.", COUNT_UNITS.join(", ")));
        e = match value
            .unit
            .as_deref()
            .and_then(|u| nearest(u, COUNT_UNITS))
            .filter(|n| Some(*n) != value.unit.as_deref())
        {
            Some(near) => e.hint(format!("Write (\"{near}\")…")),
            None => e.hint("Write count (\"m/100g\")420"),
        };
        r.error(e);
        return None;
    };
    let mut fibres = Vec::new();
    for n in inside.all("fibre") {
        r.shape(n, 2, &[], &[], &[]);
        let fibre = r.text(n);
        let share = n.arguments.get(1).map_or(Some(100.0), |v| r.percent(v, "a share of fibre", 0.1..=100.0));
        if let (Some(fibre), Some(share)) = (fibre, share) {
            fibres.push((fibre, share));
        }
    }
    let total: f64 = fibres.iter().map(|f| f.1).sum();
    if !fibres.is_empty() && (total - 100.0).abs() > 0.5 {
        r.error(
            Notice::error(node.span, format!("The fibres of \"{name}\" add up to {total:.0}%, not 100%."))
                .hint("Give each fibre its share: fibre \"wool\" (percent)75"),
        );
    }
    let colour = inside.one("colour").and_then(|n| {
        r.leaf(n);
        r.text(n)
    });
    if let Some(c) = &colour
        && !(c.len() == 7 && c.starts_with('#') && c[1..].bytes().all(|b| b.is_ascii_hexdigit()))
    {
        r.error(
            Notice::error(node.span, "A colour is written as # and six hexadecimal figures.")
                .hint("Write colour \"#8B9499\""),
        );
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
    })
}

pub(super) fn fabric(r: &mut Reader<'_>, value: &Value) -> Option<&'static Fabric> {
    let words: Vec<(&str, &'static Fabric)> = FABRICS
        .iter()
        .flat_map(|f| std::iter::once(f.name).chain(f.also.iter().copied()).map(move |n| (n, f)))
        .collect();
    r.word(value, "A fabric", &words)
}

pub(super) fn swatches(
    r: &mut Reader<'_>,
    top: &Nodes<'_>,
    yarns: &[NamedYarn],
    machine: &Option<Machine>,
) -> Vec<Swatch> {
    let names: Vec<String> = yarns.iter().map(|y| y.0.clone()).collect();
    let nodes: Vec<&Node> = top.all("swatch").collect();
    let all: Vec<Swatch> = nodes.into_iter().filter_map(|n| swatch(r, n, &names, machine.as_ref())).collect();
    for (i, s) in all.iter().enumerate() {
        let Some(first) = all[..i].iter().find(|f| f.fabric == s.fabric && f.yarn == s.yarn) else { continue };
        let what = match (first.dial == s.dial, first.state == s.state) {
            (true, true) => continue,
            (false, _) => "stitch sizes",
            (true, false) => "states",
        };
        r.error(
            Notice::error(s.span, format!("Two swatches of {} in one yarn are of different {what}.", s.fabric.name))
                .because("Swatches of one fabric are averaged; these are two different fabrics.")
                .hint("Keep those that are knitted and treated as the finished thing will be."),
        );
    }
    for s in &all {
        plausible(r, s, yarns, machine.as_ref());
    }
    all
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

fn swatch(r: &mut Reader<'_>, node: &Node, yarns: &[String], machine: Option<&Machine>) -> Option<Swatch> {
    let inside =
        r.shape(node, 1, &[], &["yarn", "stitch-size", "counted", "flat", "weighed", "state", "note"], &["note"]);
    let fabric = r.first(node, "\"1x1 rib\"").and_then(|v| fabric(r, v));
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
                        .hint(format!("Write yarn \"{}\"", yarns.first().map_or("name", String::as_str))),
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
        weighed,
        state: state?,
    })
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
            r.error(
                Notice::error(node.span, "\"stitch-size\" wants one number, or two: main bed, ribber.")
                    .hint("Write stitch-size 3 3"),
            );
            None
        }
    }?;
    if let Some(m) = machine
        && (pair.0.min(pair.1) < m.dial.0 || pair.0.max(pair.1) > m.dial.1)
    {
        let range = (crate::units::dial(m.dial.0), crate::units::dial(m.dial.1));
        r.error(
            Notice::error(node.span, "This machine has no such stitch size.")
                .because(format!("Its dial runs from {} to {}.", range.0, range.1)),
        );
    }
    Some(pair)
}

pub(super) fn sizes(r: &mut Reader<'_>, top: &Nodes<'_>) -> (Vec<Size>, String) {
    let mut all: Vec<Size> = Vec::new();
    let Some(node) = top.one("sizes") else {
        r.missing("The design has no sizes.", "Write sizes { size \"one size\" { head-girth (cm)56 } }");
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
            r.error(Notice::error(own.span, "A built-in table brings its own source.").hint("Take this line out."));
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
                names.extend(r.word(&as_text, &format!("a size of the table \"{}\"", table.name), &rows));
            }
            for (name, values) in table.rows.iter().filter(|row| wanted.is_empty() || names.contains(&row.0)) {
                let measures = table.measures.iter().zip(*values).map(|(m, v)| ((*m).to_string(), Mm(*v))).collect();
                all.push(Size { name: (*name).to_string(), span: n.span, measures });
            }
        }
    }
    for n in inside.all("size") {
        let taken: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let Some(name) = r.own_name(n, &taken) else { continue };
        r.shape(n, 1, &[], &n.children.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(), &[]);
        if name.contains(',') || name != name.trim() {
            r.error(
                Notice::error(n.span, "A size's name has no comma in it and no space about it.")
                    .hint("Give it a plain name."),
            );
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
        all.push(Size { name, span: n.span, measures });
    }
    if all.is_empty() {
        r.missing("The design has no sizes.", "Write sizes { size \"one size\" { head-girth (cm)56 } }");
    }
    if all.len() > 24 {
        r.error(Notice::error(node.span, "More than 24 sizes do not fit on a handout."));
    }
    (all, source)
}
