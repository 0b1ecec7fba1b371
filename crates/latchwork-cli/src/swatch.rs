//! `swatch`: a card to knit from, the book that holds what was measured, and what it says.

use crate::report::language;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use latchwork::design::NewSwatch;
use latchwork::design::{Design, book_from_text_with};
use latchwork::fabric::{Fabric, find, find_in};
use latchwork::handout::{SwatchPlan, card, expected_swatch, rehearsed_swatch};
use latchwork::measure::{
    Basis, BuiltIn, Dials, Gauge, Machine, State, Yarn, dial_words, dials, find_machine, gauge, state_change,
};
use latchwork::record::tidy;
use latchwork::text::NewNode;
use latchwork::units::{Tex, dial_from, length_from, tex_of, weight_from};
use latchwork::wording;
use latchwork_files::{Writing, place_of, save};
use latchwork_print::{Paper, Type, card_pdf};

use crate::Done;
use crate::args::{self, Swatch};
use crate::make::{own_fabrics, shelf};
use crate::predict::predicted;
use crate::report::{say, tell, tell_line};
use crate::table::aligned;

pub(crate) fn swatch(a: &Swatch) -> Done {
    let done = match a {
        Swatch::Plan(a) => plan(a),
        Swatch::Expect(a) => expect(a),
        Swatch::Add(a) => add(a),
        Swatch::Show { fabric, book } => show(fabric.as_deref(), book),
        Swatch::Predict(a) => predicted(a),
        Swatch::Compare { first, second, yarn, book } => compare(first, second, yarn.as_deref(), book),
    };
    done.err().unwrap_or(Done::Fine)
}

/// The fabric of this name.
pub(crate) fn fabric_named(name: &str, swatches: &Path) -> Result<Arc<Fabric>, Done> {
    let found = find(name).cloned().or_else(|| find_in(&own_fabrics(swatches), name).cloned());
    found.ok_or_else(|| Done::Usage(format!("There is no fabric {name}; `latchwork fabrics` lists them.")))
}

/// A name or remark as a document has it: spaces at its ends, or several in a row, are no part of it.
pub(crate) fn plain(what: &str, text: &str) -> Result<String, Done> {
    let name = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let fine = !name.is_empty() && name.chars().count() <= 60 && !text.contains(char::is_control);
    if fine && name.chars().all(latchwork_print::printable) {
        return Ok(name);
    }
    Err(Done::Usage(format!(
        "{} cannot be a {what}: it needs 1 to 60 letters that the handout can print, on one line.",
        text.escape_debug()
    )))
}

/// A yarn count such as `420m/100g` or `238tex`.
pub(crate) fn count_from(text: &str) -> Option<Tex> {
    let at = text.find(|c: char| c.is_alphabetic())?;
    let number: f64 = text[..at].trim().parse().ok()?;
    tex_of(number, text[at..].trim()).filter(|t| t.0.is_finite() && (5.0..=20_000.0).contains(&t.0))
}

/// Stitch sizes such as `3`, `4 and 3`, `4/3`.
fn dials_from(text: &str) -> Option<Dials> {
    let parts: Vec<&str> =
        if text.contains(" and ") { text.split(" and ").collect() } else { text.split('/').collect() };
    match parts.as_slice() {
        [one] => dial_from(one).map(|d| (d, d)),
        [a, b] => dial_from(a).zip(dial_from(b)),
        _ => None,
    }
}

pub(crate) fn stitch_sizes(text: &str) -> Result<Dials, Done> {
    let text = text.replace(" 1/3", "⅓").replace(" 2/3", "⅔");
    dials_from(&text).ok_or_else(|| {
        Done::Usage(format!("{text} is not a stitch size; write 3, \"3 1/3\", or 4/3 for main bed and ribber."))
    })
}

/// The machine and the yarn asked for, with a word where they hardly suit each other.
fn yarn_on_machine(a: &args::SwatchYarn) -> Result<(&'static BuiltIn, Yarn), Done> {
    let class = find_machine(&a.machine)
        .ok_or_else(|| Done::Usage(format!("There is no machine {}; `latchwork machines` lists them.", a.machine)))?;
    let tex = count_from(&a.count)
        .ok_or_else(|| Done::Usage(format!("{} is not a yarn count; write 420m/100g or 238tex.", a.count)))?;
    let name = plain("yarn's name", &a.yarn)?;
    let usual = 12.36 * class.pitch.powi(2);
    if !(0.3..=1.6).contains(&(tex.0 / usual)) {
        say(&format!(
            "{:.0} tex is far from what needles {} mm apart usually take, about {usual:.0} tex: start with care.",
            tex.0, class.pitch
        ));
    }
    Ok((class, Yarn { name: name.to_string(), tex, ..Yarn::unnamed() }))
}

/// What a swatch can be expected to measure.
fn expect(a: &args::SwatchYarn) -> Result<(), Done> {
    let (class, yarn) = yarn_on_machine(a)?;
    let mut known = false;
    for fabric in &a.fabric {
        let fabric = fabric_named(fabric, Path::new("swatches"))?;
        let planned = SwatchPlan {
            dials: vec![first_try(&fabric)],
            fabric: Arc::clone(&fabric),
            yarn: yarn.clone(),
            machine: Machine::of(class),
        };
        let Some((grid, sure)) = expected_swatch(&planned, language()) else {
            say(&format!("There are no published figures for {}: knit a swatch.", fabric.name));
            continue;
        };
        known = true;
        let (needles, _) = planned.needles();
        say(&format!(
            "{} in {}, {:.0} tex, {} mm between needles; the whole swatch is {needles} needles by {} rows",
            fabric.name,
            yarn.name,
            yarn.tex.0,
            class.pitch,
            planned.all_rows()
        ));
        say(aligned(&[vec![grid.head], grid.rows].concat()).trim_end());
        say(&sure);
    }
    if known { Ok(()) } else { Err(Done::Refused) }
}

fn plan(a: &args::SwatchCard) -> Result<(), Done> {
    let (class, yarn) = yarn_on_machine(&a.of)?;
    let mut fabrics: Vec<&String> = a.of.fabric.iter().collect();
    fabrics.dedup();
    let mut sizes = a.stitch_size.iter().map(|s| stitch_sizes(s)).collect::<Result<Vec<_>, _>>()?;
    sizes.dedup();
    let papers: &[(Paper, &str)] = match a.paper {
        args::Sheets::A4 => &[(Paper::A4, "a4")],
        args::Sheets::Letter => &[(Paper::Letter, "letter")],
        args::Sheets::Both => &[(Paper::A4, "a4"), (Paper::Letter, "letter")],
    };
    let folder = a.out.clone().unwrap_or_else(|| PathBuf::from("out/swatches"));
    let failed = |e: std::io::Error| Done::Usage(format!("The folder {} could not be written: {e}.", folder.display()));
    std::fs::create_dir_all(&folder).map_err(failed)?;
    for fabric in fabrics {
        let fabric = fabric_named(fabric, Path::new("swatches"))?;
        let dials = if sizes.is_empty() { vec![first_try(&fabric)] } else { sizes.clone() };
        let planned =
            SwatchPlan { fabric: Arc::clone(&fabric), yarn: yarn.clone(), machine: Machine::of(class), dials };
        let proven = rehearsed_swatch(&planned).map_err(|(text, notices)| {
            tell("swatch.notes", &text, &notices.0);
            Done::Refused
        })?;
        let card = card(&planned, &proven).map_err(|e| Done::Usage(e.to_string()))?;
        let (needles, _) = planned.needles();
        say(&format!(
            "{}: {needles} needles, {} rows, stitch size {}. Rehearsed needle by needle.",
            fabric.name,
            planned.all_rows(),
            planned.dials.iter().map(|d| dial_words(&fabric, *d)).collect::<Vec<_>>().join(", then ")
        ));
        if sizes.is_empty() {
            say("  The stitch size is a first try, usual for such fabrics. Name your own with --stitch-size.");
        }
        let large = if a.large { Type::Large } else { Type::Normal };
        for (paper, word) in papers {
            let bytes = card_pdf(&card, *paper, large).map_err(|e| Done::Usage(e.to_string()))?;
            let file = folder.join(format!("swatch-{}-{word}.pdf", tidy(&fabric.name)));
            save(&file, &bytes).map_err(failed)?;
            say(&format!("  {}", file.display()));
        }
        let file = folder.join(format!("swatch-{}.notes", tidy(&fabric.name)));
        save(&file, planned.notes().as_bytes()).map_err(failed)?;
        say(&format!("  {}", file.display()));
    }
    Ok(())
}

/// Where to begin when no stitch size is named: plain at 7, others by their habit.
fn first_try(fabric: &Fabric) -> Dials {
    let d = u8::try_from(21 + i16::from(fabric.habit_thirds)).unwrap_or(9);
    (d, d)
}

fn add(a: &args::SwatchAdd) -> Result<(), Done> {
    let fabric = fabric_named(&a.fabric, &a.book)?;
    let yarn = plain("yarn's name", &a.yarn)?;
    let dial = stitch_sizes(&a.stitch_size)?;
    let length = |what: &str, text: &str| {
        length_from(text).ok_or_else(|| Done::Usage(format!("{text} is not a {what}; write 8.3cm or 3.3in.")))
    };
    let (width, long) = (length("width", &a.width)?, length("length", &a.length)?);
    let stretches = a.stretched.as_ref().map(|text| length("width", text)).transpose()?.map(|l| l.0);
    let weighed = match (&a.weight, &a.whole) {
        (Some(text), Some(whole)) => {
            let grams = weight_from(text)
                .ok_or_else(|| Done::Usage(format!("{text} is not the weight of a swatch; write 14.2g.")))?;
            let (n, p) = whole
                .split_once('x')
                .and_then(|(n, p)| Some((n.trim().parse::<u32>().ok()?, p.trim().parse::<u32>().ok()?)))
                .ok_or_else(|| Done::Usage(format!("{whole} is not needles by rows; write --whole 60x90.")))?;
            Some((format!("{:.2}", grams.0), n.to_string(), p))
        }
        (None, None) => None,
        _ => {
            return Err(Done::Usage(
                "A weight needs the needles and rows of the whole swatch: --weight 14.2g --whole 60x90.".to_string(),
            ));
        }
    };
    let mut unravelled = Vec::new();
    for (list, word) in [(&a.unravelled, "loops"), (&a.unravelled_tucks, "tucks")] {
        for text in list {
            let parsed = text.split_once('=').and_then(|(l, n)| Some((length_from(l)?, n.trim().parse::<u32>().ok()?)));
            let (l, n) = parsed.ok_or_else(|| {
                Done::Usage(format!("{text} is not unravelled yarn; write its length and loops, such as 61cm=50."))
            })?;
            unravelled.push((l.0, word, n));
        }
    }
    let said = |word: &str, text: &Option<String>| text.as_ref().map(|t| plain(word, t)).transpose();
    let (date, note) = (said("date", &a.date)?, said("note", &a.note)?);
    let swatch = NewSwatch {
        fabric: &fabric.name,
        yarn: Some(&yarn),
        dial,
        counted: (a.needles, a.passes),
        flat: (format!("{:.1}", width.0), format!("{:.1}", long.0)),
        unit: "mm",
        stretches,
        weighed,
        unravelled,
        state: &a.state,
        date: date.as_deref(),
        reckoned_from: None,
        note: note.as_deref(),
    };
    let node = format!("{}\n", swatch.node());
    append(&a.book, &yarn, a.count.as_deref(), a.machine.as_deref(), &node)
}

/// Puts a swatch into the file of its yarn, begun if need be; nothing is written that could not be read again.
pub(crate) fn append(
    folder: &Path,
    yarn: &str,
    count: Option<&str>,
    machine: Option<&str>,
    node: &str,
) -> Result<(), Done> {
    let class = machine
        .map(|m| {
            find_machine(m)
                .ok_or_else(|| Done::Usage(format!("There is no machine {m}; `latchwork machines` lists them.")))
        })
        .transpose()?;
    let tex = count
        .map(|c| {
            count_from(c).ok_or_else(|| Done::Usage(format!("{c} is not a yarn count; write 420m/100g or 238tex.")))
        })
        .transpose()?;
    let failed =
        |e: std::io::Error| Done::Usage(format!("The book in {} could not be written: {e}.", folder.display()));
    std::fs::create_dir_all(folder).map_err(failed)?;
    // Held from before the book is read until it is written: two swatches added at once are both kept.
    let writing = Writing::begin(folder).map_err(failed)?;
    // Names that differ only in punctuation would share a file; each yarn has its own, and so does each machine.
    let mut n = 1;
    let (path, before) = loop {
        let number = if n == 1 { String::new() } else { format!("-{n}") };
        let path = folder.join(format!("{}{number}.kdl", tidy(yarn)));
        let text = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(e) if e.kind() == ErrorKind::NotFound => break (path, None),
            Err(e) => return Err(Done::Usage(format!("{} could not be read: {e}.", path.display()))),
        };
        let Some(book) = book_from_text_with(&text, &own_fabrics(folder)).0 else {
            return Err(Done::Usage(format!("{} has errors; fix it first.", path.display())));
        };
        if let Some(own) = book.yarns.iter().find(|y| y.name.eq_ignore_ascii_case(yarn)) {
            let same_machine = class.is_none_or(|c| (c.pitch - book.machine.pitch.0).abs() < 0.05);
            if let Some(t) = tex.filter(|t| (t.0 / own.tex.0 - 1.0).abs() > 0.02) {
                return Err(Done::Usage(format!(
                    "The book has {yarn} at {:.0} tex, not {:.0}; another yarn needs another name.",
                    own.tex.0, t.0
                )));
            }
            if same_machine {
                break (path, Some(text));
            }
        }
        n += 1;
    };
    let head = match before {
        Some(text) => text,
        None => {
            let tex = tex.ok_or_else(|| {
                Done::Usage(format!("The book does not have {yarn} yet. Give its count: --count 420m/100g."))
            })?;
            let machine = class.map_or("standard", |c| c.name);
            let count = NewNode::new("count").unit("tex", format!("{:.3}", tex.0));
            let yarn_node = NewNode::new("yarn").text(yarn).with(count).on_one_line();
            format!("// Swatches of {yarn}.\n{}\n{yarn_node}\n", NewNode::new("machine").text(machine))
        }
    };
    let text = format!("{}\n\n{node}", head.trim_end());
    let (book, notices) = book_from_text_with(&text, &own_fabrics(folder));
    if book.is_none() {
        // Of a document that was never written, only what is wrong is reported.
        for n in &notices.0 {
            let said = n.told(language());
            tell_line(&format!("{} {} {}", said.message, said.why, said.hints.join(" ")));
        }
        tell_line("Nothing was written.");
        return Err(Done::Refused);
    }
    let (_, name) = place_of(&path).map_err(failed)?;
    writing.replace(name, text.as_bytes()).map_err(failed)?;
    say(&format!("Wrote {}.", path.display()));
    // Doubts about the swatch itself are reported at once, while it is at hand.
    let from = text.len() - node.len();
    for n in notices.0.iter().filter(|n| n.span.is_some_and(|s| s.start >= from)) {
        let said = n.told(language());
        tell_line(&format!("{} {} {}", said.message, said.why, said.hints.join(" ")));
    }
    Ok(())
}

pub(crate) fn books(folder: &Path) -> Result<Vec<(String, Design)>, Done> {
    let shelf = shelf(folder);
    if shelf.books.is_empty() {
        return Err(Done::Usage(format!(
            "There are no swatches in {}; `latchwork swatch add` writes the first.",
            folder.display()
        )));
    }
    Ok(shelf.books)
}

fn show(only: Option<&str>, folder: &Path) -> Result<(), Done> {
    let only = only.map(|n| fabric_named(n, folder)).transpose()?;
    let mut any = false;
    for (file, book) in books(folder)? {
        say(&file);
        for (y, yarn) in book.yarns.iter().enumerate() {
            let mut fabrics: Vec<&Arc<Fabric>> = Vec::new();
            for s in book.swatches.iter().filter(|s| s.yarn == y && only.as_ref().is_none_or(|o| **o == *s.fabric)) {
                if !fabrics.contains(&&s.fabric) {
                    fabrics.push(&s.fabric);
                }
            }
            for f in fabrics {
                any = true;
                fabric_of(&book, y, yarn, f);
            }
        }
    }
    if !any {
        return Err(Done::Usage(format!("There is no swatch of {}.", only.as_ref().map_or("any fabric", |f| &f.name))));
    }
    Ok(())
}

fn fabric_of(book: &Design, y: usize, yarn: &Yarn, f: &Arc<Fabric>) {
    say(&format!("\n{} in {}, {:.0} tex, {} mm between needles", f.name, yarn.name, yarn.tex.0, book.machine.pitch.0));
    let head = ["stitch size", "needles/10 cm", "rows/10 cm", "range", "loop mm", "stretches", "state", "from"];
    let mut rows = vec![head.map(String::from).to_vec()];
    let known = dials(&book.swatches, f, y);
    for d in &known {
        if let Ok(g) = gauge(&book.swatches, f, y, yarn.tex, Some(*d)) {
            rows.push(gauge_row(&g));
        }
    }
    say(aligned(&rows).trim_end());
    for s in book.swatches.iter().filter(|s| s.fabric == *f && s.yarn == y) {
        let show = book.show;
        let weight = s.weighed.map_or(String::new(), |w| format!(", {:.1} g", w.grams.0));
        let date = if s.date.is_empty() { String::new() } else { format!(", {}", s.date) };
        let notes = s.notes.iter().map(|n| format!("; {n}")).collect::<String>();
        let reckoned = if s.reckoned { ", never knitted" } else { "" };
        say(&format!(
            "  at {}: {} needles by {} rows, {} by {}{weight}, {}{date}{reckoned}{notes}",
            dial_words(f, s.dial),
            s.needles,
            s.passes,
            show.length(s.width),
            show.length(s.length),
            s.state
        ));
    }
    let steps = [(State::AsKnitted, State::Rested), (State::Rested, State::Washed), (State::AsKnitted, State::Washed)];
    for (before, after) in steps {
        if let Some(c) = state_change(&book.swatches, f, y, before, after) {
            say(&format!(
                "{before} to {after}: width {:+.1}%, length {:+.1}%",
                (c.needle.value - 1.0) * 100.0,
                (c.pass.value - 1.0) * 100.0
            ));
        }
    }
    if known.len() > 1 {
        say("Stitch sizes between these are worked out; sizes outside are refused.");
    } else {
        say("Only one stitch size. With another, those between can be used.");
    }
}

fn gauge_row(g: &Gauge) -> Vec<String> {
    let doubt = g.needle.spread.max(g.pass.spread) * 200.0;
    vec![
        dial_words(&g.fabric, g.dial),
        format!("{:.1}", 100.0 / g.needle.value),
        format!("{:.1}", 100.0 / g.pass.value),
        format!("±{doubt:.0}%"),
        g.loops.map_or("–".to_string(), |l| format!("{:.2} ± {:.2}", l.knit, 2.0 * l.of(1.0, 0.0).1)),
        g.stretch.map_or("–".to_string(), |s| {
            let borrowed = if matches!(s.basis, Basis::Curve(_)) { " from another size" } else { "" };
            format!("{:.0}%{borrowed}", s.value * 100.0)
        }),
        g.state.to_string(),
        wording::basis(g.needle.basis, language()),
    ]
}

/// "1x1 rib" or "1x1 rib at 3 1/3".
fn asked(text: &str, folder: &Path) -> Result<(Arc<Fabric>, Option<Dials>), Done> {
    match text.split_once(" at ") {
        Some((fabric, size)) => Ok((fabric_named(fabric.trim(), folder)?, Some(stitch_sizes(size.trim())?))),
        None => Ok((fabric_named(text, folder)?, None)),
    }
}

fn compare(first: &str, second: &str, yarn: Option<&str>, folder: &Path) -> Result<(), Done> {
    let pair = [asked(first, folder)?, asked(second, folder)?];
    let mut said = false;
    for (file, book) in books(folder)? {
        for (y, of) in book.yarns.iter().enumerate() {
            if yarn.is_some_and(|n| !n.eq_ignore_ascii_case(&of.name)) {
                continue;
            }
            let [a, b] = [&pair[0], &pair[1]].map(|(f, d)| gauge(&book.swatches, f, y, of.tex, *d));
            let (Ok(a), Ok(b)) = (&a, &b) else {
                for ((f, _), g) in pair.iter().zip([&a, &b]) {
                    if let Err(why) = g {
                        say(&format!("{file}, {} in {}: {}", f.name, of.name, wording::no_gauge(why, language())));
                    }
                }
                continue;
            };
            said = true;
            say(&format!("{} ({file})", of.name));
            let head = ["", "stitch size", "needles/10 cm", "rows/10 cm", "loop mm", "20 cm wide"].map(String::from);
            let row = |g: &Gauge| {
                vec![
                    g.fabric.name.to_string(),
                    dial_words(&g.fabric, g.dial),
                    format!("{:.1}", 100.0 / g.needle.value),
                    format!("{:.1}", 100.0 / g.pass.value),
                    g.loops.map_or("–".to_string(), |l| format!("{:.2}", l.knit)),
                    format!("{:.0} needles", 200.0 / g.needle.value),
                ]
            };
            say(aligned(&[head.to_vec(), row(a), row(b)]).trim_end());
            let figures = [("width", a.needle, b.needle), ("length", a.pass, b.pass)];
            for (what, x, z) in figures {
                let off = (z.value / x.value - 1.0) * 100.0;
                let doubt = 200.0 * x.spread.hypot(z.spread) * z.value / x.value;
                let sure = if off.abs() > doubt { "a real difference" } else { "no more than chance" };
                say(&format!("the second against the first, {what}: {off:+.1}% ± {doubt:.1}; {sure}"));
            }
        }
    }
    if said { Ok(()) } else { Err(Done::Refused) }
}
