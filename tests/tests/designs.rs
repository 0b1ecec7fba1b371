//! The example designs, stage by stage and in print.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::{Path, PathBuf};
use std::process::Command;

use latchwork::check::{Proven, SizeProof, prove};
use latchwork::design::from_text;
use latchwork::handout::handout;
use latchwork::record::{Stage, plan, rehearsal, show};
use latchwork::trial::{ENDINGS, FABRICS, Seed, document};
use latchwork_print::{Paper, Type, pdf};

const EXAMPLES: [(&str, &str); 10] = [
    ("deck-hat", include_str!("../../designs/deck-hat.kdl")),
    ("wrist-warmers", include_str!("../../designs/wrist-warmers.kdl")),
    ("scarf", include_str!("../../designs/scarf.kdl")),
    ("tide-cowl", include_str!("../../designs/tide-cowl.kdl")),
    ("berth-cushion", include_str!("../../designs/berth-cushion.kdl")),
    ("mist-scarf", include_str!("../../designs/mist-scarf.kdl")),
    ("beacon-cap", include_str!("../../designs/beacon-cap.kdl")),
    ("sea-boot-socks", include_str!("../../designs/sea-boot-socks.kdl")),
    ("deck-sweater", include_str!("../../designs/deck-sweater.kdl")),
    ("lookout-cap", include_str!("../../designs/lookout-cap.kdl")),
];

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices))
}

#[test]
fn examples_have_no_finding_at_all() {
    for (name, text) in EXAMPLES {
        let (design, notices) = from_text(text);
        assert!(notices.0.is_empty(), "{name}: {:?}", notices.0);
        let design = design.unwrap();
        let all: Vec<usize> = (0..design.sizes.len()).collect();
        let outcome = prove(&design, &all);
        assert!(outcome.notices.is_empty(), "{name}: {:?}", outcome.notices);
        assert!(design.scenario.starts_with("Invented example"), "{name} says that it is invented");
    }
}

#[test]
fn stages_of_the_examples() {
    for (name, text) in EXAMPLES {
        let p = proven(text);
        let middle = &p.sizes()[p.sizes().len() / 2];
        let stages = [
            ("design", Stage::Design),
            ("draft", Stage::Draft),
            ("stitches", Stage::Stitches),
            ("plan", Stage::Plan),
            ("run", Stage::Run),
        ];
        for (stage_name, stage) in stages {
            insta::with_settings!({ snapshot_path => "../ref", prepend_module_to_snapshot => false, omit_expression => true }, {
                insta::assert_snapshot!(format!("{name}-{stage_name}"), show(p.design(), Some(middle), stage));
            });
        }
    }
}

/// A larger size is nowhere smaller.
#[test]
fn sizes_grow() {
    for (name, text) in EXAMPLES {
        let p = proven(text);
        let larger = |pair: &&[SizeProof]| {
            let of = |k: usize| &p.design().sizes[pair[k].size];
            of(0).measures.iter().all(|(name, v)| of(1).measure(name).is_some_and(|w| v.0 <= w.0))
        };
        for pair in p.sizes().windows(2).filter(larger) {
            for (a, b) in pair[0].stitches.pieces.iter().zip(&pair[1].stitches.pieces) {
                assert!(a.places <= b.places && a.rows() <= b.rows(), "{name}");
            }
            assert!(pair[0].yarn[0].metres < pair[1].yarn[0].metres, "{name}");
        }
    }
}

fn tool(name: &str, args: &[&str]) -> String {
    let out = Command::new(name).args(args).output().unwrap_or_else(|e| panic!("{name}: {e}; run ./check"));
    assert!(out.status.success(), "{name} {args:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

fn written(folder: &Path, name: &str, bytes: &[u8]) -> String {
    let path: PathBuf = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path.to_str().unwrap().to_string()
}

/// The text on one line, as the extractor breaks lines where it likes.
fn flowed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn handouts_are_tagged_and_say_every_step() {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in EXAMPLES {
        let p = proven(text);
        let all: Vec<usize> = (0..p.sizes().len()).collect();
        let sheet = handout(&p, &all, false).unwrap();
        for (paper, size, type_size) in
            [(Paper::A4, "A4", Type::Normal), (Paper::Letter, "letter", Type::Normal), (Paper::A4, "A4", Type::Large)]
        {
            let bytes = pdf(&sheet, paper, type_size).unwrap();
            assert_eq!(bytes, pdf(&sheet, paper, type_size).unwrap(), "the same handout gives the same bytes");
            let path = written(folder.path(), &format!("{name}.pdf"), &bytes);
            let info = tool("pdfinfo", &[&path]);
            assert!(
                info.contains("Tagged:") && info.lines().any(|l| l.starts_with("Tagged:") && l.ends_with("yes")),
                "{info}"
            );
            assert!(info.contains(&format!("({size})")), "{info}");
            let fonts = tool("pdffonts", &[&path]);
            assert!(fonts.lines().skip(2).all(|l| l.contains(" yes yes yes ")), "embedded, subset, with text: {fonts}");
            let said = flowed(&tool("pdftotext", &["-layout", &path, "-"]));
            for steps in sheet.pieces.iter().flat_map(|p| &p.steps) {
                // A sentence can be cut by a neighbouring column; its first words stand together.
                let start: String = steps.tokens.iter().map(latchwork::words::Token::text).collect();
                let first: Vec<&str> = start.split_whitespace().take(4).collect();
                assert!(said.contains(&first.join(" ")), "{name}: {} is missing", first.join(" "));
            }
            // They may stand in two columns.
            let raw = flowed(&tool("pdftotext", &["-raw", &path, "-"]));
            assert!(raw.contains("sharp") && raw.contains("local rules"), "cautions are printed");
        }
    }
}

#[test]
fn the_owners_own_words_stand_beside_the_neutral_ones() {
    let text = EXAMPLES[0].1.replace(
        "machine \"standard\"",
        "machine \"standard\" { say \"tuck\" \"left lever down (invented)\"; say \"slip\" \"part (invented)\"; }",
    );
    let p = proven(&text);
    let body = |own: bool| -> String {
        let sheet = handout(&p, &[0], own).unwrap();
        let steps = sheet.pieces.into_iter().flat_map(|p| p.steps);
        steps.flat_map(|s| s.tokens).map(|t| t.text().to_string()).collect()
    };
    assert!(body(true).contains("tuck is left lever down (invented)"));
    assert!(!body(false).contains("lever"));
}

/// A table of shapings longer than a page, and more sizes than a page is wide, lose nothing.
#[test]
fn long_tables_go_on_over_the_page() {
    let sizes: String = (1..=14).map(|n| format!("size \"s{n:02}\" {{ x (cm)54; }}; ")).collect();
    let text = format!(
        "title \"T\"\nmachine \"standard\"\nyarn \"w\" {{ count (tex)238; ball (g)50; }}
        swatch \"plain\" {{ stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }}
        sizes {{ {sizes} }}
        piece \"p\" {{ stretch \"a\" {{ fabric \"plain\"; needles 150; rows 140; decrease 1 every=2 times=70; }}; ending \"chain\"; }}"
    );
    let p = proven(&text);
    let folder = tempfile::tempdir().unwrap();
    for type_size in [Type::Normal, Type::Large] {
        let all: Vec<usize> = (0..p.sizes().len()).collect();
        let bytes = pdf(&handout(&p, &all, false).unwrap(), Paper::A4, type_size).unwrap();
        let said = tool("pdftotext", &["-layout", &written(folder.path(), "t.pdf", &bytes), "-"]);
        let words: Vec<&str> = said.split_whitespace().collect();
        for n in 1..=70 {
            let (counter, left) = (format!("{:03}", 2 * n), (150 - 2 * n).to_string());
            assert!(
                words.contains(&counter.as_str()) && words.contains(&left.as_str()),
                "shaping {n} is on some page: {counter} {left}"
            );
        }
        assert!(said.contains("s14"), "every size is named");
    }
}

#[test]
fn one_size_sheets_have_no_brackets() {
    let p = proven(EXAMPLES[0].1);
    let sheet = handout(&p, &[2], false).unwrap();
    let text: String = sheet
        .pieces
        .iter()
        .flat_map(|p| &p.steps)
        .flat_map(|s| &s.tokens)
        .filter_map(|t| if let latchwork::words::Token::Value(v) = t { Some(v.as_str()) } else { None })
        .collect();
    assert!(!text.contains('('), "{text}");
}

/// Necks at an edge, and pieces joined on the machine.
fn edges_and_joins() -> impl Iterator<Item = String> {
    let all = [(0_usize, 15_u8), (1, 15), (0, 16), (7, 16), (0, 17), (1, 17)];
    all.into_iter().map(|(fabric, shaping)| {
        document(&Seed {
            fabrics: vec![fabric; 2],
            shaping,
            ending: 1,
            width: 120,
            length: 60,
            left: shaping == 16,
            pair: fabric == 0,
            other_cast_on: false,
            inches: false,
            sizes: 2,
            stripes: 0,
            panel: 0,
        })
    })
}

/// A second machine in Python, written from docs/plan.md, gives the same loops and findings, for the examples and
/// for made-up designs over every fabric, shaping and ending; of patterns one ending, plain and decreased.
#[test]
fn an_outside_simulator_agrees() {
    let folder = tempfile::tempdir().unwrap();
    let mut documents: Vec<String> = EXAMPLES.iter().map(|e| e.1.to_string()).collect();
    for fabric in 0..FABRICS.len() {
        // Patterns differ in their rows alone: a shape and an ending of each are enough.
        let whole: (&[u8], usize) = if fabric < 23 { (&[0, 1, 2, 3, 6], ENDINGS.len()) } else { (&[0, 1], 1) };
        for (ending, _) in ENDINGS.iter().enumerate().take(whole.1) {
            for &shaping in whole.0 {
                documents.push(document(&Seed {
                    fabrics: vec![fabric],
                    shaping,
                    ending,
                    width: 120,
                    length: 60,
                    left: ending % 2 == 0,
                    pair: shaping == 2,
                    other_cast_on: shaping == 1,
                    inches: false,
                    sizes: 2,
                    stripes: 0,
                    panel: if shaping == 0 { 31 + u32::try_from(fabric).unwrap() % 25 } else { 0 },
                }));
            }
        }
    }
    documents.extend(edges_and_joins());
    documents.extend([[1_usize, 0], [0, 7], [5, 0], [2, 0], [3, 1], [8, 0], [9, 10]].map(|f| {
        document(&Seed {
            fabrics: f.to_vec(),
            shaping: 0,
            ending: 0,
            width: 120,
            length: 60,
            left: false,
            pair: true,
            other_cast_on: false,
            inches: false,
            sizes: 2,
            // The second section is striped.
            stripes: 3,
            panel: 0,
        })
    }));
    let python = std::env::var("LATCHWORK_PYTHON").unwrap_or_else(|_| "../target/outside/bin/python".to_string());
    let mut run = 0;
    for text in &documents {
        let (Some(design), _) = from_text(text) else { continue };
        // Of a garment of many stitches one size is enough.
        let all: Vec<usize> = (0..if design.pieces.len() > 3 { 1 } else { design.sizes.len() }).collect();
        let outcome = prove(&design, &all);
        if outcome.sizes.len() != all.len() {
            continue;
        }
        let plan = written(folder.path(), &format!("plan-{run}.json"), plan(&design, &outcome.sizes).as_bytes());
        written(folder.path(), &format!("run-{run}.json"), rehearsal(&design, &outcome.sizes).as_bytes());
        assert!(!plan.is_empty());
        run += 1;
    }
    // Notes reach operations that no design makes: holding, racking, cables, eyelets, hems, holders, two yarns.
    for case in include_str!("../suite/notes/sound.notes").split("=== ").filter(|c| !c.trim().is_empty()) {
        let text: String = case.lines().skip(1).filter(|l| !l.starts_with('>')).map(|l| format!("{l}\n")).collect();
        let noted = latchwork::notes::from_text(&text).0.expect("sound notes");
        let sizes = latchwork::check::prove_notes(&noted).sizes;
        written(folder.path(), &format!("plan-{run}.json"), plan(&noted.design, &sizes).as_bytes());
        written(folder.path(), &format!("run-{run}.json"), rehearsal(&noted.design, &sizes).as_bytes());
        run += 1;
    }
    let said = tool(
        &python,
        &["outside/simulate.py", folder.path().to_str().unwrap(), &run.to_string(), "../docs/plan.schema.json"],
    );
    assert!(run > 150, "only {run} designs were compared");
    assert!(said.trim_end().ends_with("agree"), "{said}");
}
