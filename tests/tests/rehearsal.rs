//! The judge against the machine model: worked cases, silent pieces, rules and near misses, counts that follow.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::one_of_each;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::Bed;
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::passes::{read, run, standard};

fn all(text: &str) {
    let cases = read(text);
    assert!(!cases.is_empty(), "a case file holds cases");
    for case in &cases {
        run(case);
    }
}

#[test]
fn worked_cases_and_their_mirror_images() {
    all(include_str!("../suite/rehearsal/worked.cases"));
}

#[test]
fn silent_pieces_stay_silent() {
    all(include_str!("../suite/rehearsal/silent.cases"));
}

#[test]
fn every_rule_and_its_near_miss() {
    all(include_str!("../suite/rehearsal/rules.cases"));
    let text = include_str!("../suite/rehearsal/pairs.cases");
    all(text);
    let cases = read(text);
    for fault in one_of_each() {
        let rule = fault.rule().0;
        let named =
            |name: &str| cases.iter().filter(|c| c.name.split([':', ',']).next() == Some(name)).collect::<Vec<_>>();
        let (hit, near) = (named(rule), named(&format!("near {rule}")));
        assert!(hit.iter().any(|c| c.findings.iter().any(|f| f == rule)), "{rule} has a case that triggers it");
        assert!(!near.is_empty(), "{rule} has a near miss");
        assert!(
            near.iter().all(|c| c.findings.iter().all(|f| f != rule)),
            "the near miss of {rule} is silent about it"
        );
    }
}

#[test]
fn every_operation_does_what_it_says() {
    all(include_str!("../suite/rehearsal/operations.cases"));
}

/// Courses seen on each bed (knit loops on one needle) and held courses (tucks), after `passes` of a repeat.
fn courses(set_up: &str, passes: u32, repeat: &str) -> [(u32, u32); 2] {
    let text = format!("--- count ---\n{set_up}\ncounter 0\npasses {passes} right {repeat}\n");
    let case = read(&text).remove(0);
    let result = rehearse(&case.plan, &standard());
    let first = case.plan.steps.len() - passes as usize;
    let mut count = [(0, 0); 2];
    for step in first..case.plan.steps.len() {
        for n in result.made_in(step) {
            let needle = result.loops.needle(LoopId(n));
            // One needle of each bed stands for its column.
            if needle.slot.0 == 0 && needle.bed == Bed::Main || needle.slot.0 == 1 && needle.bed == Bed::Ribber {
                match result.loops.kind(LoopId(n)) {
                    Kind::Knit => count[needle.bed.index()].0 += 1,
                    Kind::Tuck => count[needle.bed.index()].1 += 1,
                    Kind::Wrap => panic!("nothing is wrapped"),
                }
            }
        }
    }
    count
}

#[test]
fn courses_of_the_counts_table() {
    let alternate = "start right full\nwork main L2 R1 R3 ribber L1 R2 R4\npass left knit/knit\nhang comb 30\npass right knit/slip\npass left slip/knit";
    let every = "start right half\nwork main L3..R3 ribber L3..R3\npass left knit/knit\nhang comb 60\npass right knit/slip\npass left slip/knit";
    // Machine model, counts that follow: half cardigan, 40 passes: 40 courses on the knitting bed, 20 on the other.
    assert_eq!(
        courses(
            "start right full\nwork main L2 R1 R3 ribber L1 R2\npass left knit/knit\nhang comb 30\npass right knit/slip\npass left slip/knit",
            40,
            "knit/tuck knit/knit"
        ),
        [(40, 0), (20, 20)]
    );
    // Full cardigan, 40: 20 on each.
    assert_eq!(courses(alternate, 40, "tuck/knit knit/tuck"), [(20, 20), (20, 20)]);
    // Half Milano, 40: 40 and 20. Milano, 60: 40 on each.
    assert_eq!(courses(every, 40, "knit/knit knit/slip"), [(40, 0), (20, 0)]);
    assert_eq!(courses(every, 60, "knit/knit knit/slip slip/knit"), [(40, 0), (40, 0)]);
    // Tube of 60 passes: 30 rounds.
    assert_eq!(courses(every, 60, "knit/slip slip/knit"), [(30, 0), (30, 0)]);
}
