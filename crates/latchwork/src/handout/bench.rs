//! One size in few words, to hang at the machine and read from a metre and a half: acts, settings, counter. It shortens the
//! sentences of the handout, which were read back; the short ones are not. A sentence without a short form stays whole.

use latchwork_machine::needle::Side;

use super::{ChartText, Handout, StepText};
use crate::words::{ShapingRow, Token, capital};

/// The bench sheet of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench {
    /// Title of the design.
    pub title: String,
    /// The size.
    pub size: String,
    /// Each piece: its title and its steps.
    pub pieces: Vec<BenchPiece>,
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchPiece {
    /// Its name, and how many to make.
    pub title: String,
    /// How many alike to make, with a box to tick for each.
    pub make: u32,
    /// The charts that its steps name.
    pub charts: Vec<ChartText>,
    /// Its steps, in order.
    pub steps: Vec<BenchStep>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchStep {
    /// Its number in the handout, which repeats refer to.
    pub number: usize,
    /// The counter after it; empty where it does not matter.
    pub counter: String,
    /// Where the carriage is after it.
    pub side: Option<Side>,
    /// The act.
    pub act: String,
    /// Settings and other facts, one a line.
    pub lines: Vec<String>,
    /// Readings to tick, and the act at them.
    pub ticks: Vec<(Vec<String>, String)>,
}

/// Beginnings of sentences left out: a knitter who has read the handout knows them.
const KNOWN: &[&str] = &[
    "Ribber up",
    "Ribber down",
    "Two-bed arm",
    "Take off the two-bed arm",
    "Single-bed arm",
    "Start at the",
    "Hook the first stitch",
    "Pass the yarn round",
    "Pull it through the next",
    "Pull each stitch",
    "Work each stitch",
    "Repeat to the end",
    "Take the work off",
    "Draw it up",
    "The tail is now",
    "Transfer the end stitch",
    "Put the emptied",
    "Bring the next",
    "Where the table",
    "Work it like the chain",
    "Lift the chain off",
    "Pull the end of that length",
    "Where it ",
    "Where the 4th",
    "When the comb nears",
    "Hang a small claw weight",
    "Hang claw weights of the same",
    "Stitches: ",
    "In the manual",
    "First row",
    "Take it off its needle",
    "Carriage at the",
];

/// Beginnings of sentences, and their short forms.
const SHORT: &[(&str, &str)] = &[
    ("Stitch size: main bed ", "size "),
    ("Stitch size: ", "size "),
    ("Set the counter to ", "counter to "),
    ("Cast off with the latch tool, from ", "cast off "),
    ("Hang the last stitch on main bed ", "last stitch on "),
    ("Transfer the stitch of main bed ", "transfer "),
    ("Take the stitches of main bed ", ""),
    ("Put main bed ", ""),
    ("Add weights: ", "weights: "),
    ("Remove weights: ", "weights: "),
    ("Hang weights: ", "weights: "),
    ("Hang the comb and weights: about ", "comb, "),
    ("Thread ", "thread "),
    ("Full pitch", "full pitch"),
    ("Half pitch", "half pitch"),
    ("Bring ", ""),
    ("Hold the work down by hand", "hold by hand"),
    ("Fit the single-bed arm, with the yarn in its feeder", "single-bed arm"),
    ("Lower the ribber", "ribber down"),
    (
        "Transfer each ribber stitch onto the main-bed needle at its left: ",
        "each ribber stitch to the main-bed needle at its left: ",
    ),
    (
        "Transfer the ribber stitches to the main-bed needles of the same numbers: ",
        "ribber stitches across to the main bed: ",
    ),
    ("Transfer the ribber stitch to the main-bed needle of the same number", "ribber stitch across to the main bed"),
];

/// Words that say more than a glance needs, and their short forms.
const WORDS: &[(&str, &str)] = &[
    (", with a claw weight at each edge", ""),
    (" stitches at each end, 1 on each bed, every", " at each end every"),
    (" stitches at each end, every", " at each end every"),
    (", at the counter readings in the table", ""),
    (" off onto holder ", " onto holder "),
    (", in this order", ""),
    (" back onto main bed ", " back onto "),
    (", with a separate length of the yarn", ", with another length of yarn"),
    (", every other needle from ", ", every other, "),
    (", every needle from ", ", "),
    (", leaving a tail of ", ", tail "),
    ("Thread the tail through every stitch, from ", "thread the tail through, "),
    ("Remove all weights and any comb", "weights and any comb off"),
    ("Remove all weights", "weights off"),
    ("stitches onto one needle, main bed ", "stitches onto "),
    ("Transfer the last ", "last "),
    ("Pull the tail through the last stitch", "tail through the last stitch"),
    (" needles into work. Main bed: ", " needles. Main bed: "),
    (" into work. Main bed: ", ". Main bed: "),
    (" at the left.", "."),
    (" at the right.", "."),
    (", starting with the 2nd from the left", ""),
    ("Mark both edge stitches with contrast yarn: ", "mark both edges: "),
    (
        "Count the needles in work on both beds together, from the end: transfer the 2nd onto the 4th, then the 1st onto the 3rd",
        "2nd onto 4th, then 1st onto 3rd",
    ),
];

/// Characters in a line.
const ONE_LINE: usize = 32;

/// The bench sheet of a handout of one size, its steps numbered as in the handout of all sizes; none for several sizes.
#[must_use]
pub fn bench(h: &Handout, whole: &Handout) -> Option<Bench> {
    let [size] = h.sizes.as_slice() else { return None };
    let place = whole.sizes.iter().position(|s| s == size)?;
    let pieces = h.pieces.iter().zip(&whole.pieces).map(|(p, all)| {
        let has = |s: &StepText| s.sizes.is_empty() || s.sizes.contains(&place);
        let numbers = all.steps.iter().zip(1..).filter(|(s, _)| has(s)).map(|(_, number)| number);
        let mut steps: Vec<Told> = Vec::new();
        let mut ahead: Vec<(Vec<String>, String)> = Vec::new();
        // Which beds knit is said where it changes.
        let mut beds = String::new();
        for (s, number) in p.steps.iter().zip(numbers) {
            match reminder(s) {
                Some(ticks) => ahead.push(ticks),
                None => steps.push(short(number, s, std::mem::take(&mut ahead), &mut beds)),
            }
        }
        BenchPiece { title: p.title.clone(), make: p.make, charts: p.charts.clone(), steps: folded(steps) }
    });
    Some(Bench { title: h.title.clone(), size: size.clone(), pieces: pieces.collect() })
}

/// The readings that a step gives for the next one, and the act at them.
fn reminder(s: &StepText) -> Option<(Vec<String>, String)> {
    let text: String = s.tokens.iter().map(Token::text).collect();
    let rest = text.strip_prefix("In the next step, ")?;
    let (when, what) = rest.split_once(": ")?;
    let near_the_floor = what.contains("When the comb nears the floor");
    let mut what = what.split('.').next()?.replace("move the ", "");
    if near_the_floor {
        what.push_str("; comb at the floor: claw weights in its place");
    }
    match when.strip_prefix("at counter ") {
        Some(readings) => Some((readings.split(", ").map(str::to_string).collect(), what)),
        None => Some((Vec::new(), format!("{when}: {what}"))),
    }
}

/// A step in short, and what it is to its neighbours.
struct Told {
    step: BenchStep,
    kind: Kind,
}

/// What a step is to its neighbours.
enum Kind {
    /// Rows of a section of this name.
    Rows(String, u32),
    /// Stitches cast off, or moved by a transfer.
    Hands,
    Other,
}

/// Steps, rows that stitches are cast off between told as one: the readings to tick say what is done at each.
fn folded(steps: Vec<Told>) -> Vec<BenchStep> {
    let mut all: Vec<Told> = Vec::new();
    for Told { step, kind } in steps {
        // The section that is being knitted and, after it, the hands' work between its rows.
        let open = all
            .iter()
            .rposition(|t| matches!(t.kind, Kind::Rows(..)))
            .filter(|at| all[at + 1..].iter().all(|t| matches!(t.kind, Kind::Hands)) && at + 1 < all.len());
        let joins = open.filter(|at| match (&kind, &all[*at].kind) {
            (Kind::Rows(name, _), Kind::Rows(before, _)) => {
                name == before && step.lines.is_empty() && step.ticks.is_empty()
            }
            _ => false,
        });
        let Some(at) = joins else {
            all.push(Told { step, kind });
            continue;
        };
        let hands: Vec<Told> = all.drain(at + 1..).collect();
        if let (Kind::Rows(name, rows), Kind::Rows(_, more)) = (&mut all[at].kind, &kind) {
            *rows += more;
            all[at].step.act = rows_of(name, *rows);
        }
        all[at].step.ticks.extend(hands.into_iter().map(at_its_reading));
        all[at].step.counter = step.counter;
        all[at].step.side = step.side;
    }
    all.into_iter().map(|t| t.step).collect()
}

/// The hands' work of a step, at the reading at which it is done.
fn at_its_reading(t: Told) -> (Vec<String>, String) {
    let mut what = lowered(t.step.act);
    for line in t.step.lines {
        what.push_str(&format!(", {line}"));
    }
    (vec![t.step.counter], what)
}

fn rows_of(name: &str, rows: u32) -> String {
    format!("{name}, {rows} {}", if rows == 1 { "row" } else { "rows" })
}

/// One step in short, after steps in which these beds knitted.
fn short(number: usize, s: &StepText, mut ticks: Vec<(Vec<String>, String)>, beds: &mut String) -> Told {
    let text: String = s.tokens.iter().map(Token::text).collect();
    // The note on a tally's weights has several sentences, one of which is an act elsewhere.
    let text = text.replace("pull out the comb wire. Remove the comb. ", "");
    let kept = text.split(". ").filter(|sentence| !KNOWN.iter().any(|k| sentence.starts_with(k)));
    let text = kept.map(|sentence| without_intervals(sentence, s)).collect::<Vec<String>>().join(". ");
    let text = WORDS.iter().fold(text, |t, (long, short)| t.replace(long, short));
    let mut act = String::new();
    let mut lines: Vec<String> = Vec::new();
    // A section's name is a sentence of its own and belongs to the one after it.
    let mut name: Option<&str> = None;
    let mut kind = Kind::Other;
    for sentence in text.split(". ").map(|s| s.trim_end_matches('.')) {
        let (what, so) = sentence.split_once(": ").unwrap_or((sentence, ""));
        let bed = [("Main bed: ", "main "), ("Ribber: ", "ribber ")].into_iter().find(|b| sentence.starts_with(b.0));
        if let Some((begin, bed)) = bed {
            // The number of needles on each bed follows from where they begin and end.
            let named = sentence[begin.len()..].trim_start_matches(|c: char| c.is_ascii_digit());
            lines.push(format!("{bed}{}", named.strip_prefix(", ").unwrap_or(&sentence[begin.len()..])));
        } else if let Some((begin, say)) = SHORT.iter().find(|(begin, _)| sentence.starts_with(begin)) {
            let said = format!("{say}{}", &sentence[begin.len()..]).replace(", ribber ", ", ");
            if act.is_empty() && is_act(s, sentence) { act = capital(&said) } else { lines.push(said) }
        } else if sentence.starts_with("weights") && act.is_empty() {
            // Off before the stitches are cast off.
            act = capital(sentence);
        } else if let Some(rows) = what.strip_prefix("For ").filter(|w| w.contains(" of chart")) {
            let rows = rows.replace("each of ", "");
            let said = name.take().map_or_else(|| capital(&rows), |n| format!("{n}, {rows}"));
            if act.is_empty() {
                act = said;
            } else {
                lines.push(said);
            }
            lines.push(by_chart(so));
        } else if let Some(rows) = what.strip_prefix("Knit ") {
            let rows = rows.split(" in ").next().unwrap_or(rows);
            let count = rows.split_once(' ').and_then(|(n, word)| word.starts_with("row").then(|| n.parse().ok())?);
            if let (true, Some(name), Some(count)) = (act.is_empty(), name, count) {
                kind = Kind::Rows(name.to_string(), count);
            }
            let said = name.take().map_or_else(|| capital(rows), |n| format!("{n}, {rows}"));
            if act.is_empty() {
                act = said;
            } else {
                lines.push(said);
            }
            if !so.is_empty() && so != beds.as_str() {
                so.clone_into(beds);
                lines.push(so.to_string());
            }
        } else if is_name(s, sentence) {
            name = Some(sentence);
        } else if act.is_empty() && is_act(s, sentence) {
            act = sentence.to_string();
        } else {
            lines.push(sentence.to_string());
        }
    }
    lines.extend(name.map(str::to_string));
    ticks.extend(s.tallies.iter().map(|t| (t.rows.iter().map(reading).collect(), String::new())));
    if act.is_empty() && !lines.is_empty() {
        act = lines.remove(0);
    }
    let mut ticks = by_counter(ticks);
    let lines = lines_of(&mut act, lines, &mut ticks);
    let side = s.sides.first().copied().flatten();
    if ["Cast off ", "Transfer "].iter().any(|hands| act.starts_with(hands)) && ticks.is_empty() {
        kind = Kind::Hands;
    }
    Told { step: BenchStep { number, counter: s.counter.clone(), side, act, lines, ticks }, kind }
}

/// A reading to tick, and what hangs from it on.
fn reading(r: &ShapingRow) -> String {
    match r.hangs {
        Some((grams, comb)) => {
            let comb = if comb { "" } else { ", no comb" };
            format!("{}\u{a0}{grams}\u{a0}g{comb}", crate::units::counter(r.counter))
        }
        None => crate::units::counter(r.counter),
    }
}

/// The lines below an act: short settings share one, and the pitch goes with the needles.
fn lines_of(act: &mut String, mut lines: Vec<String>, ticks: &mut Vec<(Vec<String>, String)>) -> Vec<String> {
    // What is marked after the last row comes after the readings.
    if let Some(at) = lines.iter().position(|l| l.starts_with("mark both edges")).filter(|_| !ticks.is_empty()) {
        ticks.push((Vec::new(), lines.remove(at)));
    }
    let mut rows: Vec<String> = Vec::new();
    for line in lines {
        match rows.last_mut().filter(|last| last.chars().count() + line.chars().count() < ONE_LINE) {
            Some(last) => last.push_str(&format!("; {line}")),
            None => rows.push(line),
        }
    }
    if rows.first().is_some_and(|r| r.ends_with(" pitch")) && !act.is_empty() {
        act.push_str(&format!(", {}", rows.remove(0)));
    }
    if rows.first().is_some_and(|r| r.starts_with("main ") && act.ends_with("empty needle")) {
        act.push_str(&format!(", {}", rows.remove(0)));
    }
    rows.into_iter().map(lowered).collect()
}

/// A sentence on shaping at intervals that differ, without them: the readings to tick say them.
fn without_intervals(sentence: &str, s: &StepText) -> String {
    let uneven = sentence.find(", every ").filter(|_| !s.tallies.is_empty()).and_then(|at| {
        let end = at + sentence[at..].rfind(", ")?;
        (end > at && sentence[at..end].contains(" or ")).then_some((at, end))
    });
    uneven.map_or_else(|| sentence.to_string(), |(at, end)| format!("{}{}", &sentence[..at], &sentence[end..]))
}

/// A line after the act, which begins small unless it begins with a needle's name.
fn lowered(line: String) -> String {
    let mut letters = line.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(line.chars().skip(1)).collect()
        }
        _ => line,
    }
}

/// Readings in the order in which they come, neighbours with the same act together.
fn by_counter(ticks: Vec<(Vec<String>, String)>) -> Vec<(Vec<String>, String)> {
    let (some, none): (Vec<_>, Vec<_>) = ticks.into_iter().partition(|t| !t.0.is_empty());
    let each = some.into_iter().flat_map(|(readings, what)| readings.into_iter().map(move |r| (r, what.clone())));
    let mut each: Vec<(String, String)> = each.collect();
    let counter = |r: &str| r.chars().take_while(char::is_ascii_digit).collect::<String>().parse::<u32>().unwrap_or(0);
    each.sort_by_key(|(r, _)| counter(r));
    let mut all: Vec<(Vec<String>, String)> = Vec::new();
    for (reading, what) in each {
        match all.last_mut().filter(|last| last.1 == what) {
            Some(last) => last.0.push(reading),
            None => all.push((vec![reading], what)),
        }
    }
    all.extend(none);
    all
}

/// Whether a sentence is nothing but strong words, as a section's name is.
fn is_name(s: &StepText, sentence: &str) -> bool {
    s.tokens.iter().any(|t| matches!(t, Token::Strong(w) if w.trim() == sentence))
        && !["Remove", "Cut", "Add weights", "Remove weights"].contains(&sentence)
}

/// Whether a sentence begins with strong words.
fn is_act(s: &StepText, sentence: &str) -> bool {
    s.tokens.iter().any(|t| matches!(t, Token::Strong(w) if sentence.starts_with(w.trim()) && !w.trim().is_empty()))
}

/// What is done for each row that is knitted by a chart.
fn by_chart(so: &str) -> String {
    let ends = if so.contains("with both end needles") { "both end needles forward; " } else { "" };
    let moved = ["transfer its stitches", "cross its stitches"].into_iter().find(|m| so.contains(m));
    let moved = moved.map(|m| format!("{m}; ")).unwrap_or_default();
    format!("{moved}{ends}{}", so.rsplit(": ").next().unwrap_or_default())
}
