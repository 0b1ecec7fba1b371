//! The judge against the machine model: worked cases, silent pieces, rules and near misses, counts that follow.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeSet;

use latchwork_machine::beds::Beds;
use latchwork_machine::fault::{Fault, Level};
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use latchwork_machine::numbers::{loops_of, reading_of};
use latchwork_machine::rehearsal::{Ended, rehearse};
use latchwork_machine::steps::{Action, BedSetting, Counted, Dial, Load, Mark, Pass, Plan, Setting, Yarn};
use latchwork_tests::passes::{read, run, standard};
use proptest::prelude::*;

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
    all(include_str!("../suite/rehearsal/pairs.cases"));
    all(include_str!("../suite/rehearsal/edges.cases"));
}

#[test]
fn what_the_model_settled() {
    all(include_str!("../suite/rehearsal/settled.cases"));
}

/// The first fault of a pass list, with its numbers.
fn first_fault(steps: &str) -> Option<Fault> {
    let case = read(&format!("--- faults ---\nstart right full\n{steps}")).remove(0);
    rehearse(&case.plan, &standard()).findings.first().map(|f| f.fault)
}

/// Every fault that counts something says the right number of the right needle.
#[test]
#[expect(clippy::too_many_lines, reason = "a line a fault")]
fn faults_say_their_numbers() {
    let (main, ribber) = (Needle::main, Needle::ribber);
    let rib = "work main R1 R3 ribber R2\npass left knit/knit\n";
    let three = "work main R1 R2 R3\nwrap main R1..R3\n";
    let stacked = "move main R1 -> main R2 out\nmove main R2 -> main R3 out\n";
    let cases: Vec<(String, Fault)> = vec![
        (format!("{three}move main R1 -> main R2 out\nout main R2"), Fault::OutWithLoops { needle: main(1), loops: 2 }),
        (format!("{three}wrap main R2"), Fault::NotEmpty { needle: main(1), loops: 1 }),
        (
            format!("{three}{stacked}wrap main R3"),
            Fault::NotEmpty { needle: main(2), loops: 3 },
        ),
        (
            "work main R1 ribber R2 R3\npitch half\npass left knit/knit\nribber-down".to_string(),
            Fault::TwoEmpties { first: ribber(2), second: ribber(1) },
        ),
        (
            "work main R1 R3 ribber R2 R4\npass left knit/knit\nribber-down".to_string(),
            Fault::DownWithLoops { needle: ribber(1), needles: 2 },
        ),
        (format!("{three}take-off main R1..R3\nput-back main R1 R2"), Fault::HolderCount { stacks: 3, needles: 2 }),
        (format!("{three}pick-up 4 main R1"), Fault::NoSuchLoop { number: 4 }),
        (format!("{three}pick-up 0 main R1"), Fault::NoSuchLoop { number: 0 }),
        (
            "hang comb 10\nunhang comb 11".to_string(),
            Fault::NotHanging { load: Load::Comb, hangs: 10, asked: 11 },
        ),
        (
            "hang comb 10\nunhang weights 1".to_string(),
            Fault::NotHanging { load: Load::Weights, hangs: 0, asked: 1 },
        ),
        (format!("{three}{stacked}"), Fault::LiveAtEnd { loops: 3, first: Some(main(2)), held: 0 }),
        (format!("{three}take-off main R1 R2"), Fault::LiveAtEnd { loops: 3, first: Some(main(2)), held: 2 }),
        (format!("{three}counter 5\nclaim 6 - -"), Fault::ClaimCounter { said: 6, is: 5 }),
        (format!("{rib}claim - 1+2 -"), Fault::ClaimStitches { of: Counted::On(Bed::Main), said: 1, is: 2 }),
        (format!("{rib}claim - - right"), Fault::ClaimCarriage { said: Side::Right, is: Side::Left }),
        (
            format!("{rib}hang comb 37\npass right knit/knit"),
            Fault::Weight { grams: 37, needles: 3, least: 2, most: 12 },
        ),
        (
            "work main R1 R8\npass left knit/slip open-start".to_string(),
            Fault::LongFloat { from: main(7), to: main(0), halves: 14, limit: 6 },
        ),
        (
            "work main R1 R8\nwrap main R1 R8\npass left knit/slip".to_string(),
            Fault::LongFloat { from: main(7), to: main(0), halves: 14, limit: 6 },
        ),
        (
            "work main R1 R4\nwrap main R1 R4\nmove main R1 -> main R4 out".to_string(),
            Fault::CarriedFar { from: main(0), to: main(3), halves: 6, level: Level::Warning },
        ),
        (
            "work main R1 R5\nwrap main R1 R5\nmove main R1 -> main R5 out".to_string(),
            Fault::CarriedFar { from: main(0), to: main(4), halves: 8, level: Level::Error },
        ),
        (
            "work main R1 ribber R2\npitch half\npass left knit/knit\nmove ribber R2 -> main R1 out".to_string(),
            Fault::CarriedFar { from: ribber(1), to: main(0), halves: 3, level: Level::Error },
        ),
        (
            "join 1 left\nwork main R1\npasses 7 left knit/slip\npass right knit/slip yarn1".to_string(),
            Fault::CarriedYarn { yarn: Yarn(1), passes: 7 },
        ),
        (format!("{three}{stacked}pass left knit/slip no-yarn"), Fault::FellOff { needle: main(2), loops: 3 }),
        (
            "work main R1..R4\nwrap main R1..R4\ntogether main R1 -> main R2 out, main R4 -> main R2 out, main R3 -> main R2 out\npass left knit/slip".to_string(),
            Fault::ManyThrough { needle: main(1), loops: 4 },
        ),
        (
            format!("{three}hold main R1\nturn-wrap main R1\nturn-wrap main R1\nturn-wrap main R1\nchain main R3 R2 R1"),
            Fault::OpenTuck { needle: main(0) },
        ),
        (format!("{rib}rack 1\npass right knit/knit"), Fault::Facing { main: main(2), ribber: ribber(1) }),
        (
            format!("{rib}rack -1\npass right knit/knit"),
            Fault::Facing { main: main(0), ribber: ribber(1) },
        ),
        (format!("{three}chain main R3 R2 R1\nchain main R1"), Fault::NoLoop { needle: main(0) }),
    ];
    for (steps, fault) in cases {
        assert_eq!(first_fault(&steps), Some(fault), "{steps}");
    }
}

/// Loops are counted by kind over any range of numbers as they are one by one, and take the memory stated: eight
/// bytes a loop where needles are met for the first time, four where a pass is as one before it.
#[test]
fn loops_are_counted_and_kept_small() {
    let mixed = "--- mixed ---\nstart right full\nwork main R1 R3 R5 ribber R2 R4\nwrap main R1 R3 R5\npass left knit/tuck\nhang comb 25\npass right knit/knit\nforward ribber R2\npasses 4 left knit/tuck knit/knit\nwork main R6\nwrap main R6";
    let loops = rehearse(&read(mixed).remove(0).plan, &standard()).loops;
    let last = u32::try_from(loops.len()).unwrap();
    let mut known = std::collections::BTreeMap::new();
    assert!(!loops.is_empty() && rehearse(&Plan::default(), &standard()).loops.is_empty());
    for from in 1..=last {
        for to in from..=last + 1 {
            let mut one_by_one = [0; 4];
            for n in from..to {
                one_by_one[match loops.kind(LoopId(n)) {
                    Kind::Knit => 0,
                    Kind::Tuck => 1,
                    Kind::Wrap => 2,
                    Kind::Hung => 3,
                }] += 1;
            }
            for mut near in [0, 1, 2, 5, 1000, usize::try_from(from).unwrap()] {
                assert_eq!(loops.kinds(from..to, &mut near), one_by_one, "{from}..{to} of {last}");
                assert_eq!(loops.kinds(from..to, &mut near), one_by_one, "{from}..{to} of {last}, found before");
            }
            let asked: Vec<_> =
                (from..to).map(|n| (LoopId(n), loops.needle(LoopId(n)), loops.kind(LoopId(n)))).collect();
            assert!(loops.each(from..to).eq(asked.iter().copied()), "{from}..{to} of {last}");
            let ends = asked.first().zip(asked.last()).map(|(a, b)| (a.1, b.1));
            assert_eq!(loops.ends(&(from..to)), ends, "{from}..{to} of {last}");
            // Loops of one sign are on the same needles and of the same kinds.
            if let Some(sign) = loops.alike(&(from..to)) {
                let mut of: Vec<_> = asked.iter().map(|l| (l.1, l.2)).collect();
                of.sort();
                assert_eq!(*known.entry(sign).or_insert_with(|| of.clone()), of, "{from}..{to} of {last}");
            }
        }
    }
    assert!(known.len() >= 2 && known.len() < 9, "passes alike share a sign: {known:?}");
    let bytes = |passes: u32| {
        let text = format!(
            "--- many ---\nstart right full\nwork main L50..R50\nwrap main L50..R50\npasses {passes} left knit/slip"
        );
        rehearse(&read(&text).remove(0).plan, &standard()).loops.bytes()
    };
    let batch = 12;
    assert_eq!(bytes(0), 100 * 8 + batch);
    assert_eq!(bytes(40) - bytes(20), 20 * (100 * 4 + batch));
}

/// Numbers of loops counted from the steps alone are those that the run gives, row by row, in every case that knits:
/// a hem is hung on the loops that it names.
#[test]
fn loops_are_numbered_from_the_steps_alone() {
    let files = [
        include_str!("../suite/rehearsal/worked.cases"),
        include_str!("../suite/rehearsal/silent.cases"),
        include_str!("../suite/rehearsal/operations.cases"),
        include_str!("../suite/rehearsal/rules.cases"),
        include_str!("../suite/rehearsal/pairs.cases"),
        include_str!("../suite/rehearsal/edges.cases"),
    ];
    let (mut rows, mut wrong) = (0, Vec::new());
    for case in files.into_iter().flat_map(read) {
        let run = rehearse(&case.plan, &standard());
        if run.error().is_some_and(|f| f.step + 1 < case.plan.steps.len()) {
            continue;
        }
        let steps = &case.plan.steps[..run.readings.len()];
        for (i, step) in steps.iter().enumerate() {
            let Action::Pass(_) = step.action else { continue };
            let reading = run.readings[i].counter;
            let later = |j: usize| matches!(steps[j].action, Action::Pass(_)) && run.readings[j].counter == reading;
            if (i + 1..steps.len()).any(later) {
                continue;
            }
            let mut made: Vec<(u32, Needle)> = run.made_in(i).map(|n| (n, run.loops.needle(LoopId(n)))).collect();
            made.sort_by_key(|(_, n)| (n.bed, n.slot));
            let same = loops_of(steps, Some(reading)) == made
                && made.iter().all(|(n, _)| reading_of(steps, *n) == Some(reading));
            if !same {
                wrong.push(format!("{}: the row at {reading}", case.name));
            }
            rows += 1;
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(rows > 200, "{rows} rows");
}

/// Without a reading the row is the first of the working yarn, after whatever waste went before it.
#[test]
fn the_first_row_is_that_of_the_working_yarn() {
    let steps = "--- waste ---\nstart right full\njoin 1 right\nwork main R1 R2\npass left knit/slip yarn1 open-start\npass right knit/slip yarn1\npasses 3 left knit/slip";
    let plan = read(steps).remove(0).plan;
    assert_eq!(loops_of(&plan.steps, None), [(6, Needle::main(0)), (5, Needle::main(1))]);
}

/// Comb and weights are moved up only where they hang, each by itself.
#[test]
fn what_does_not_hang_is_not_moved_up() {
    for (steps, stops) in [
        ("hang comb 10\nmove-up comb", false),
        ("hang weights 10\nmove-up weights", false),
        ("move-up comb", true),
        ("hang comb 10\nmove-up weights", true),
        ("hang weights 10\nmove-up comb", true),
        ("hang comb 10\nunhang comb 10\nmove-up comb", true),
    ] {
        let case = read(&format!("--- up ---\nstart right full\n{steps}")).remove(0);
        let last = case.plan.steps.len() - 1;
        let ended = rehearse(&case.plan, &standard()).ended;
        assert_eq!(ended, if stops { Ended::Stopped { step: last } } else { Ended::Finished }, "{steps}");
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
                    Kind::Wrap | Kind::Hung => panic!("nothing is wrapped or hung"),
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

/// What hands do to empty needles: bring some in, put some out, rack, change the pitch.
fn hands() -> impl Strategy<Value = Action> {
    let needles = || {
        let needle = (prop::bool::ANY, -30_i16..30)
            .prop_map(|(main, slot)| Needle { bed: if main { Bed::Main } else { Bed::Ribber }, slot: Slot(slot) });
        prop::collection::btree_set(needle, 1..12).prop_map(|n| n.into_iter().collect::<Vec<_>>())
    };
    prop_oneof![
        4 => needles().prop_map(Action::IntoWork),
        3 => needles().prop_map(Action::OutOfWork),
        1 => (-2_i8..3).prop_map(|r| Action::Rack(Racking(r))),
        1 => prop_oneof![Just(Pitch::Full), Just(Pitch::Half)].prop_map(Action::Pitch),
    ]
}

proptest! {
    /// However they came and went, needles in work stand from left to right, and a row is knitted on all of them, or on
    /// none while two face each other.
    #[test]
    fn needles_in_work_stand_in_order(work in prop::collection::vec(hands(), 1..25)) {
        let mut beds = Beds::outline(Side::Right);
        let (mut pitch, mut racking, mut stand) = (Pitch::Full, Racking(0), BTreeSet::new());
        beds.step(&Action::Start { carriage: Side::Right, pitch, racking });
        beds.step(&Action::Join { yarn: Yarn(0), side: Side::Right });
        for mut action in work {
            match &mut action {
                Action::IntoWork(n) => stand.extend(n.iter().copied()),
                Action::OutOfWork(n) => {
                    n.retain(|n| stand.remove(n));
                }
                Action::Rack(r) => racking = *r,
                Action::Pitch(p) => pitch = *p,
                _ => {}
            }
            beds.step(&action);
            let mut order: Vec<Needle> = stand.iter().copied().collect();
            order.sort_by_key(|n| (Place::of(*n, pitch, racking), n.bed));
            prop_assert_eq!(beds.in_work().map(|(n, _)| n).collect::<Vec<_>>(), order);
        }
        let places: BTreeSet<Place> = stand.iter().map(|n| Place::of(*n, pitch, racking)).collect();
        let knit = BedSetting { setting: Setting::Knit, hold: false, dial: Dial(15) };
        beds.step(&Action::Pass(Pass {
            direction: Side::Left,
            main: knit,
            ribber: knit,
            yarn: Some(Yarn(0)),
            second: None,
            laid: None,
            counted: true,
            mark: Mark::Plain,
        }));
        let facing = places.len() < stand.len();
        prop_assert_eq!(beds.carrying().count(), if facing { 0 } else { stand.len() });
    }
}
