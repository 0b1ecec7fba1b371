//! The thread's diagram judged by a general knot library: knitting ravels, secured work does not.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::notes::from_text;
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::outside::python;
use latchwork_thread::code::code;
use latchwork_thread::demand::faults;
use latchwork_thread::path::diagram;

#[test]
fn knitting_ravels_and_secured_work_does_not() {
    let mut cases = Vec::new();
    for case in include_str!("../suite/notes/knots.notes").split("=== ").filter(|c| !c.trim().is_empty()) {
        let (name, document) = case.split_once('\n').unwrap();
        let (noted, notices) = from_text(document);
        let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
        let plan = &noted.plans.pieces[0].plan;
        let run = rehearse(plan, &noted.design.machine.profile);
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
