//! Names with quotation marks, backslashes, braces and letters of every script: whatever the program writes with them
//! can be read again and says the same.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::Path;
use std::process::{Command, Output};

use latchwork::check::prove;
use latchwork::design::{Design, book_from_text, from_text};
use latchwork::fabric::find;
use latchwork::handout::SwatchPlan;
use latchwork::measure::{BUILT_IN, Machine, State, Yarn, find_machine};
use latchwork::notes;
use latchwork::notice::Notices;
use latchwork::reach::{CameOut, as_swatch, restate};
use latchwork::revise::{Answers, Measurement, Revision, Thing, Whom, begun, revised};
use latchwork::text::{Written, quoted, read, typed, unquoted};
use latchwork::units::{Mm, Tex};
use latchwork_tests::sample;
use proptest::prelude::*;

const SCARF: &str = include_str!("../../designs/scarf.kdl");
const SEA: &str = "blue \"sea\" \\ wool";

/// Names such as nobody gives, and somebody does.
fn names() -> impl Strategy<Value = String> {
    let marks = prop::sample::select(vec![
        "\"", "\\", "{", "}", "(", ")", "/", "//", "/*", "*/", "#", "=", ";", ":", ",", " ", "'", "$", "`", "!", "-",
        "\\\"", "\\n", "r#", "notes", "3", "a", "é", "ß", "漢", "عربى", "½", "…",
    ]);
    prop::collection::vec(marks, 1..12)
        .prop_map(|v| v.concat().split_whitespace().collect::<Vec<_>>().join(" "))
        .prop_filter("a name has letters", |n| !n.is_empty())
}

fn good(text: &str) -> Design {
    let (design, notices) = from_text(text);
    design.unwrap_or_else(|| panic!("{:?}\n{text}", notices.0))
}

fn notes_of(yarn: &str, label: &str, title: &str) -> String {
    let (name, label, title) = (quoted(yarn), quoted(label), quoted(title));
    format!(
        "machine \"standard\"; yarn {name} {{ count (tex)238; }}\nyarn \"red\" {{ count (tex)238; }}\n\
         swatch \"plain\" {{ yarn {name}; stitch-size 6; counted needles=40 passes=60; flat (cm)16.4 (cm)16.2; weighed (g)14 needles=60 passes=90; state \"washed\"; }}\n\
         notes {title}\ncarriage at the right\ncast on 40 needles plain\nweights 200 g\n{label}: 10 rows plain at 6\n\
         change to \"red\"\n4 rows plain at 6\nchange to {name}\n{label}: 20 rows plain at 6\nbind off\n"
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: sample::of(150, 5000), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn quoted_text_is_read_as_it_was(name in names()) {
        let written = quoted(&name);
        let mut notices = Notices::default();
        let tree = read(&format!("yarn {written} of={written} {{ fibre {written}; }}\n"), &mut notices);
        prop_assert!(!notices.has_error(), "{:?}", notices.0);
        let node = &tree.nodes[0];
        let all = [&node.arguments[0], &node.properties[0].value, &node.children[0].arguments[0]];
        prop_assert!(all.iter().all(|v| v.written == Written::Text(name.clone())), "{written}");
        prop_assert_eq!(unquoted(&written[1..written.len() - 1]), name);
    }

    #[test]
    fn notes_become_a_design_whatever_they_are_called(yarn in names(), label in names(), title in names()) {
        let yarn = format!("{yarn} wool");
        let text = notes_of(&yarn, &label, &title);
        let (noted, notices) = notes::from_text(&text);
        let noted = noted.unwrap_or_else(|| panic!("{:?}\n{text}", notices.0));
        prop_assert_eq!(&noted.design.pieces[0].name, &title);
        let design = good(&notes::restated(&text, &noted));
        prop_assert_eq!(&design.yarns[design.pieces[0].yarn].name, &yarn);
        prop_assert_eq!(&design.pieces[0].name, &title);
        prop_assert_eq!(&design.pieces[0].stretches[0].name, &noted.design.pieces[0].stretches[0].name);
    }

    #[test]
    fn designs_are_begun_restated_and_revised_with_any_name(yarn in names(), title in names(), other in names()) {
        let measured = Measurement { needles: 40, passes: 60, wide: 16.6, long: 16.7, grams: 14.0 };
        let answers = Answers {
            title: title.clone(),
            thing: Thing::Cuff,
            whom: Whom::Adults,
            machine: "standard".to_string(),
            yarn: yarn.clone(),
            count: 420.0,
            swatches: [measured; 2],
        };
        let text = begun(&answers);
        let design = good(&text);
        prop_assert_eq!((&design.title, &design.yarns[0].name), (&title, &yarn));
        let in_hand = revised(&text, &Revision::InHand { yarn: yarn.clone(), grams: Some(40.0) }).unwrap();
        prop_assert_eq!(good(&in_hand).yarns[0].in_hand.map(|g| g.0), Some(40.0));
        let named = Yarn { name: other.clone(), tex: Tex(300.0), ..Yarn::unnamed() };
        let bulky = find_machine("bulky");
        let again = good(&restate(&text, &design, bulky, Some(&named)).text);
        prop_assert_eq!(&again.yarns[0].name, &other);
        let kept = good(&restate(&text, &design, bulky, None).text);
        prop_assert_eq!(&kept.yarns[0].name, &yarn);
    }

    #[test]
    fn a_card_is_knitted_in_any_yarn(yarn in names()) {
        for name in [yarn.as_str(), "contrast", "Contrast"] {
            let own = Yarn { name: name.to_string(), tex: Tex(238.0), ..Yarn::unnamed() };
            let plan = SwatchPlan {
                fabric: find("1x1 rib").unwrap().clone(),
                yarn: own,
                machine: Machine::of(&BUILT_IN[1]),
                dials: vec![(9, 9)],
            };
            let text = plan.notes();
            let (noted, notices) = notes::from_text(&text);
            prop_assert!(noted.is_some_and(|n| n.design.yarns[0].name == name), "{:?}\n{text}", notices.0);
        }
    }
}

/// A piece that came out goes into the book under its own names.
#[test]
fn what_came_out_is_a_swatch_whatever_it_is_called() {
    let text = SCARF
        .replace("yarn \"pier wool\"", &format!("yarn {}", quoted(SEA)))
        .replacen("title \"", "title \"A \\\"long\\\" ", 1)
        .replace("stretch \"scarf\"", "stretch \"the \\\\ \\\"long\\\" way\"")
        .replace("size \"long\"", "size \"\\\"long\\\"\"");
    let design = good(&text);
    let last = design.sizes.len() - 1;
    let proof = prove(&design, &[last]).sizes[0].clone();
    let came = CameOut {
        piece: 0,
        stretch: 0,
        rows: 100,
        width: Mm(200.0),
        length: Mm(220.0),
        weight: None,
        state: State::Washed,
        date: "the \"3rd\"".to_string(),
    };
    let node = as_swatch(&design, &proof, &came);
    let book = format!("machine \"mid\"\nyarn {} {{ count (tex)500; }}\n{node}", quoted(&design.yarns[0].name));
    let (book, notices) = book_from_text(&book);
    let book = book.unwrap_or_else(|| panic!("{:?}\n{node}", notices.0));
    assert_eq!(book.swatches[0].date, came.date);
    let note =
        format!("{} of {}, size {}, as it came out", design.pieces[0].stretches[0].name, design.title, "\"long\"");
    assert_eq!(book.swatches[0].notes, [note]);
}

#[test]
fn a_word_of_a_command_line_is_one_word() {
    for name in ["wool", "sock wool", SEA, "it's $5 `now`!", "'"] {
        let out = Command::new("sh").args(["-c", &format!("printf %s {}", typed(name))]).output().unwrap();
        assert_eq!(String::from_utf8_lossy(&out.stdout), name);
    }
}

fn run(folder: &Path, line: &[&str]) -> Output {
    let program = latchwork_tests::workshop::program().canonicalize().expect("the program is built: run ./check");
    Command::new(program).args(line).current_dir(folder).output().unwrap()
}

fn fine(folder: &Path, line: &[&str]) -> String {
    let out = run(folder, line);
    assert_eq!(out.status.code(), Some(0), "{line:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// Every command that writes a document, with a yarn that has marks in its name.
#[test]
fn the_program_writes_what_it_can_read() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let card = ["swatch", "plan", "1x1 rib", "--yarn", SEA, "--count", "420m/100g", "--out", "cards", "--paper", "a4"];
    fine(at, &card);
    fine(at, &["rehearse", "cards/swatch-1x1-rib.notes"]);
    let swatches = [("1x1 rib", "8.3cm", "13.6cm", "14g"), ("half cardigan", "11.1cm", "8.8cm", "15.6g")];
    for (fabric, width, length, weight) in swatches {
        let add = ["swatch", "add", fabric, "--yarn", SEA, "--count", "420m/100g", "--stitch-size", "3 1/3"];
        let measured = ["--needles", "40", "--passes", "60", "--width", width, "--length", length];
        let more = ["--weight", weight, "--whole", "60x90", "--state", "washed"];
        let said = ["--note", "the \"blue\" one", "--date", "a \\ day"];
        fine(at, &[&add[..], &measured, &more, &said].concat());
        if fabric == "1x1 rib" {
            fine(at, &["swatch", "predict", "full cardigan", "--yarn", SEA, "--stitch-size", "4", "--add"]);
        }
    }
    assert!(fine(at, &["swatch", "show"]).contains(SEA));
    let shown = fine(at, &["swatch", "show", "full cardigan"]);
    assert!(shown.contains("never knitted"), "{shown}");
    assert_eq!(std::fs::read_dir(at.join("swatches")).unwrap().count(), 1, "one yarn, one file");

    // Of another machine and count, and so another yarn.
    let deep = "deep \"sea\" \\ wool";
    std::fs::write(at.join("scarf.kdl"), SCARF.replace("\"pier wool\"", &quoted(deep))).unwrap();
    fine(at, &["restate", "scarf.kdl", "--yarn", &format!("{deep}=210m/100g"), "--out", "to sea.kdl"]);
    assert_eq!(good(&std::fs::read_to_string(at.join("to sea.kdl")).unwrap()).yarns[0].name, deep);
    let came =
        ["came-out", "to sea.kdl", "--size", "long", "--width", "20cm", "--length", "160cm", "--state", "washed"];
    let said = fine(at, &[&came[..], &["--even-so"]].concat());
    assert!(said.contains("Wrote "), "{said}");

    std::fs::write(at.join("cuff.notes"), notes_of(SEA, "the \\ \"first\" part", "a \"cuff\"")).unwrap();
    let said = fine(at, &["new", "my \"cuff\"", "--from", "cuff.notes"]);
    assert!(said.ends_with("latchwork make 'my \"cuff\".kdl'\n"), "{said}");
    fine(at, &["show", "my \"cuff\".kdl", "--stage", "design"]);
    fine(at, &["new", "say \"hello\""]);
    fine(at, &["show", "say \"hello\".kdl", "--stage", "design"]);
}

/// What cannot be a name is refused before anything is written.
#[test]
fn names_with_line_ends_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let rest = [
        "--count",
        "420m/100g",
        "--stitch-size",
        "3",
        "--needles",
        "40",
        "--passes",
        "60",
        "--width",
        "16cm",
        "--length",
        "16cm",
        "--state",
        "washed",
    ];
    let long = "w".repeat(61);
    for name in ["a\nb", "a\tb", "a\u{1b}[2Jb", "", "  ", &long] {
        let out = run(folder.path(), &[&["swatch", "add", "1x1 rib", "--yarn", name][..], &rest].concat());
        assert_eq!(out.status.code(), Some(2), "{name:?}");
        assert!(String::from_utf8_lossy(&out.stderr).contains("cannot be a yarn's name"), "{name:?}");
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// Notes that no design amounts to are not begun from.
#[test]
fn nothing_is_written_that_is_no_design() {
    let folder = tempfile::tempdir().unwrap();
    let notes = "notes \"a\"\ncarriage at the right\ncast on 40 needles plain\n10 rows main knit at 6\nbind off\n";
    std::fs::write(folder.path().join("a.notes"), notes).unwrap();
    let out = run(folder.path(), &["new", "a", "--from", "a.notes"]);
    assert_eq!(out.status.code(), Some(1), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(String::from_utf8_lossy(&out.stderr).contains("Nothing was written"));
    assert!(!folder.path().join("a.kdl").exists());
}
