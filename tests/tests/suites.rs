//! Case files by stage: a small design, one change to it, and what the stage must then say. The whole small design in
//! print, at the machine and as JSON.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, given, prove};
use latchwork::cues::{Cue, Kind, cues};
use latchwork::design::from_text;
use latchwork::handout::{Handout, handout};
use latchwork::record::{Stage, plan, rehearsal, show};
use latchwork::units::Show;
use latchwork::words::say;

const BASE: &str = include_str!("../suite/stages/base.kdl");

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{:#?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    outcome.proven.unwrap_or_else(|| panic!("{:#?}", outcome.notices))
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Every case of a file: its changes made to the base, and every expected line found in what is said, in order.
fn cases(file: &str, said: impl Fn(&Proven) -> String) {
    let file = std::fs::read_to_string(format!("suite/stages/{file}.cases")).unwrap();
    let mut count = 0;
    for case in file.split("\n--- ").skip(1) {
        let (name, body) = case.split_once(" ---\n").unwrap();
        let mut text = BASE.to_string();
        let mut expected = Vec::new();
        for line in body.lines().filter(|l| !l.trim().is_empty() && !l.starts_with('#')) {
            if let Some(line) = line.strip_prefix("> ") {
                expected.push(one_line(line));
            } else {
                let (old, new) = line.split_once(" => ").unwrap_or_else(|| panic!("{name}: {line}"));
                assert_eq!(text.matches(old).count(), 1, "{name}: the base has one {old}");
                text = text.replace(old, new);
            }
        }
        let whole = said(&proven(&text));
        let mut lines = whole.lines().map(one_line);
        for line in &expected {
            assert!(lines.any(|l| l == *line), "{name}: no line {line:?}, or not in its turn, in\n{whole}");
        }
        assert!(!expected.is_empty(), "{name} expects something");
        count += 1;
    }
    assert!(count > 4, "{count} cases");
}

fn stage(stage: Stage) -> impl Fn(&Proven) -> String {
    move |p| show(p.design(), p.sizes().first(), stage)
}

#[test]
fn designs_are_understood() {
    cases("design", stage(Stage::Design));
}

#[test]
fn drafts_are_in_millimetres() {
    cases("draft", stage(Stage::Draft));
}

#[test]
fn stitches_are_counted() {
    cases("stitches", stage(Stage::Stitches));
}

#[test]
fn plans_are_steps() {
    cases("plan", stage(Stage::Plan));
}

/// The sentences of every step of the first size, one a line.
fn sentences(p: &Proven) -> String {
    let size = &p.sizes()[0];
    let lines = size.plans.pieces.iter().flat_map(|piece| say(&piece.plan, &given(piece, p.design().show)));
    lines.map(|l| l.text().replace(". ", ".\n") + "\n").collect()
}

#[test]
fn words_are_said() {
    cases("words", sentences);
}

fn cue(c: &Cue) -> String {
    let mut lines: Vec<String> = c.check.iter().map(|s| format!("look: {s}")).collect();
    lines.extend(c.changed.iter().map(|x| format!("set: {} from \"{}\" to \"{}\"", x.what, x.from, x.to)));
    match c.kind {
        Kind::Hands => lines.extend(c.hands.iter().map(|s| format!("hands: {s}"))),
        Kind::Pass => {
            let row = c.row.map_or(String::new(), |(n, of)| format!("row {n} of {of}, "));
            lines.push(format!("pass: {row}{:?}, {}", c.way.unwrap(), c.does));
        }
    }
    let (main, ribber) = c.stitches;
    lines.push(format!("{}: {:03}, {:?}, {main} + {ribber} loops", c.part, c.counter, c.stands));
    lines.join("\n") + "\n"
}

fn all_cues(p: &Proven) -> String {
    let size = &p.sizes()[0];
    let pieces = (0..size.pieces.len()).filter_map(|k| size.proven(k));
    pieces.flat_map(|piece| cues(piece, Show::METRIC)).map(|c| cue(&c)).collect()
}

#[test]
fn cues_are_given() {
    cases("cues", all_cues);
}

/// What the handout says, without its drawings.
fn printed(h: &Handout) -> String {
    let mut t = vec![h.title.clone(), h.summary.clone(), h.folio.clone(), h.rehearsed.clone(), h.order.clone()];
    let pair = |(a, b): &(String, String)| format!("{a}: {b}");
    t.extend(h.facts.iter().map(pair));
    t.push(h.schematic.alt.clone());
    for grid in [&h.finished, &h.yarn, &h.gauge, &h.ladder, &h.fit] {
        t.push(grid.head.join(" | "));
        t.extend(grid.rows.iter().map(|r| r.join(" | ")));
    }
    t.extend([h.about_yarn.clone(), h.measuring.clone(), h.about_fit.clone()]);
    t.extend(h.about_gauge.iter().chain(&h.closing).map(pair));
    t.extend(h.cover.iter().map(|(what, lines)| format!("{what}: {}", lines.join(" / "))));
    t.extend(h.needles.iter().map(|(caption, picture)| format!("{caption}: {}", picture.alt)));
    t.extend(h.before.clone());
    for p in &h.pieces {
        t.push(format!("{} ({}) {}", p.title, p.make, p.intro));
        t.push(p.lines());
    }
    t.extend(h.making_up.clone());
    t.extend(h.reading.clone());
    t.extend(h.trouble.iter().map(pair));
    t.extend([h.care.clone(), h.cautions.clone(), h.notes.clone(), vec![h.errata.clone()]].concat());
    t.join("\n") + "\n"
}

/// The whole small design: in print, at the machine, and as JSON.
#[test]
fn the_small_design_in_full() {
    let p = proven(BASE);
    let all = [
        ("tide-band-handout", printed(&handout(&p, &[0], false).unwrap())),
        ("tide-band-cues", all_cues(&p)),
        ("tide-band-plan-json", plan(p.design(), p.sizes())),
        ("tide-band-rehearsal-json", rehearsal(p.design(), p.sizes())),
    ];
    for (name, text) in all {
        insta::with_settings!({ snapshot_path => "../ref", prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(name, text);
        });
    }
}
