//! The thread's diagram judged by a general knot library: knitting ravels, secured work does not.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::notes::from_text;
use latchwork_machine::profile::Profile;
use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::Plan;
use latchwork_tests::garments::{piece, proven};
use latchwork_tests::outside::python;
use latchwork_thread::code::code;
use latchwork_thread::demand::faults;
use latchwork_thread::path::diagram;

/// Shapes of garments, small: the sides of a neck, a heel of short rows with the turn closed in each way, an end in groups.
const SHAPES: [(&str, &str); 9] = [
    (
        "a slit",
        "stretch \"cuff\" { fabric \"plain\"; rows 2; }; stretch \"thumb\" { fabric \"plain\"; rows 2; slit 3 at=\"right\"; }; stretch \"fingers\" { fabric \"plain\"; rows 1; }",
    ),
    (
        "a crown",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"crown\" { fabric \"plain\"; crown 2 { then every=1 times=2; }; }",
    ),
    (
        "a divided neck",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"yoke\" { fabric \"plain\"; rows 4; neck 1 { middle 2; then every=2 times=1; }; }",
    ),
    (
        "a V neck",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"yoke\" { fabric \"plain\"; rows 4; neck 1 every=2 times=2; }",
    ),
    (
        "a heel, its turns wrapped",
        "stretch \"leg\" { fabric \"plain\"; rows 2; }; stretch \"heel\" { fabric \"plain\"; short-rows { hold 1 times=4; return 1; }; }; stretch \"foot\" { fabric \"plain\"; rows 1; }",
    ),
    (
        "a heel, its turns closing by themselves",
        "stretch \"leg\" { fabric \"plain\"; rows 2; }; stretch \"heel\" { fabric \"plain\"; short-rows turn=\"automatic\" { hold 1 times=4; return 1; }; }; stretch \"foot\" { fabric \"plain\"; rows 1; }",
    ),
    (
        "a wide buttonhole",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"band\" { fabric \"plain\"; rows 3; buttonholes 1 after=1 ends=2 wide=2; }",
    ),
    (
        "shoulders by short rows",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"yoke\" { fabric \"plain\"; rows 4; neck 1 { middle 2; then every=1 times=1; }; shoulder 2 by=\"short-rows\"; }",
    ),
    (
        "a shoulder in groups",
        "stretch \"body\" { fabric \"plain\"; rows 2; }; stretch \"shoulder\" { fabric \"plain\"; decrease 1 { at \"right\"; cast-off 2; then every=2 cast-off=2 times=2; }; rows 5; }",
    ),
];

#[test]
fn knitting_ravels_and_secured_work_does_not() {
    let mut all: Vec<(String, Plan, Profile)> = Vec::new();
    for case in include_str!("../suite/notes/knots.notes").split("=== ").filter(|c| !c.trim().is_empty()) {
        let (name, document) = case.split_once('\n').unwrap();
        let (noted, notices) = from_text(document);
        let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
        all.push((name.to_string(), noted.plans.pieces[0].plan.clone(), noted.design.machine.profile.clone()));
    }
    for (name, stretches) in SHAPES {
        let p = proven(&piece(8, stretches));
        all.push((name.to_string(), p.sizes()[0].plans.pieces[0].plan.clone(), p.design().machine.profile.clone()));
    }
    // Shoulders cast off together: the edge of the other piece hangs on their needles.
    let shoulders = format!(
        "{}\npiece \"other\" {{ needles 8; stretch \"body\" {{ fabric \"plain\"; rows 4; }}; ending \"chain\" {{ edge \"back\" \"ending\"; }}; }}\n
         piece \"band\" {{ cast-on \"hung\" twice=\"yes\" {{ edge \"other\" \"right\"; }}; stretch \"band\" {{ fabric \"plain\"; needles 3; rows 2; }}; ending \"chain\"; }}",
        piece(8, "stretch \"body\" { fabric \"plain\"; rows 2; }")
    );
    let p = proven(&shoulders);
    for (k, name) in [(1, "shoulders cast off together"), (2, "a band knitted on to an edge")] {
        all.push((name.to_string(), p.sizes()[0].plans.pieces[k].plan.clone(), p.design().machine.profile.clone()));
    }
    let mut cases = Vec::new();
    for (name, plan, profile) in &all {
        let run = rehearse(plan, profile);
        assert!(run.error().is_none(), "{name}: {:?}", run.error());
        let loose = diagram(plan, &run, false).unwrap_or_else(|e| panic!("{name}: {e:?}"));
        let fast = diagram(plan, &run, true).unwrap_or_else(|e| panic!("{name}: {e:?}"));
        assert_eq!(faults(&loose, &run), [], "{name}: every crossing is as the stitch rules demand");
        assert_eq!(faults(&fast, &run), [], "{name}, secured");
        // Every crossing turned over is caught by the rules.
        for i in 0..loose.crossings.len() {
            assert!(!faults(&loose.flipped(i), &run).is_empty(), "{name}: crossing {i} turned over goes unnoticed");
        }
        let flips: Vec<_> = (0..loose.crossings.len()).map(|i| code(&loose.flipped(i)).crossings).collect();
        let of = |c: &latchwork_thread::code::Code| serde_json::json!({ "pd": c.crossings, "components": c.components, "bare": c.bare });
        cases.push(serde_json::json!({
            "name": name, "loose": of(&code(&loose)), "fast": of(&code(&fast)), "flips": flips,
        }));
    }
    let said = python("knots.py", serde_json::to_vec(&cases).unwrap());
    assert_eq!(said.lines().filter(|l| l.ends_with("as it should be")).count(), cases.len(), "{said}");
}
