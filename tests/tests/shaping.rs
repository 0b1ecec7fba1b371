//! Every shaping line of docs/notes.md, each way: the needles come out as the words say, and the printed words give the
//! same passes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove_notes;
use latchwork::handout::proofread;
use latchwork::notes::from_text;
use latchwork::wording::Language;
use latchwork_machine::loops::LoopId;
use latchwork_machine::steps::Action;

/// A fabric, the needles cast on, and whether one stitch, or one on each bed, may be shaped at an end.
const FABRICS: [(&str, &str, bool, bool); 4] = [
    ("plain", "30 needles plain", true, false),
    ("1x1 rib", "31 needles 1x1 rib, ends on main", true, true),
    ("full needle rib", "30 needles full needle rib", true, true),
    ("half cardigan", "31 needles half cardigan, ends on main", false, true),
];

fn proven(name: &str, document: &str) {
    let (noted, notices) = from_text(document);
    let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}\n{document}", notices.0));
    let outcome = prove_notes(&noted);
    let proven = outcome.proven.unwrap_or_else(|| panic!("{name}: {:?}\n{document}", outcome.notices));
    proofread(&proven, &[0]).unwrap_or_else(|e| panic!("{name}: {e}\n{document}"));
}

#[test]
fn every_shaping_line_each_way() {
    let mut tried = 0;
    for (fabric, cast_on, one, pair) in FABRICS {
        let amounts = [("one", 1, one), ("one on each bed", 2, pair)];
        for (amount, by, _) in amounts.into_iter().filter(|a| a.2) {
            for (at, ends) in [("at both ends", 2), ("at the left", 1), ("at the right", 1)] {
                for change in ["decrease", "increase"] {
                    for (every, times) in [(" every 4 rows, 3 times", 3), (" every 2 rows, 1 time", 1), ("", 1)] {
                        let needles: i32 = cast_on[..2].parse().unwrap();
                        let change_by = by * ends * times * if change == "increase" { 1 } else { -1 };
                        let check = format!("{} stitches\n", needles + change_by);
                        for after in ["2 rows\n", "move the ribber to the main bed\n2 rows plain at 6\n", ""] {
                            if after.starts_with("move") && fabric == "plain" {
                                continue;
                            }
                            let counted = if after == "2 rows\n" { check.as_str() } else { "" };
                            for ending in ["bind off", "bind off with the latch tool", "gather"] {
                                let document = format!(
                                    "machine \"standard\"\nnotes \"n\"\ncarriage at the right\ncast on {cast_on}\n\
                                     4 rows {fabric} at 4\n{change} {amount} {at}{every}\n{after}{counted}{ending}\n"
                                );
                                proven(&format!("{fabric}, {change} {amount} {at}{every}"), &document);
                                tried += 1;
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(tried > 800, "{tried} ways");
}

/// Where loops are moved or made fast straight after an increase, the row that gives the new needles their loops is
/// filled in, and reported.
#[test]
fn an_increase_is_given_its_row() {
    for (ending, needles) in [("waste off 8 rows", 30), ("end in a point", 3)] {
        let notes = |row: &str| {
            format!(
                "notes \"n\"\ncarriage at the right\ncast on {needles} needles plain\n4 rows plain at 6\n\
                 increase one at both ends\n{row}{ending}\n"
            )
        };
        let filled = |text: &str| {
            from_text(text).1.0.iter().any(|n| n.told(Language::English).message.contains("One row is knitted"))
        };
        proven(ending, &notes("1 row\n"));
        proven(ending, &notes(""));
        assert!(filled(&notes("")) && !filled(&notes("1 row\n")), "{ending}");
    }
}

/// What is hung again by its row is what that row made, on the needle that made it, whatever the hands did between.
#[test]
fn a_row_hung_again_is_the_row_that_was_named() {
    let head = "machine \"standard\"\nnotes \"n\"\ncarriage at the right\ncast on 20 needles plain\nweights 120 g\n";
    let cases = [
        ("forward out of holding", "2 rows plain at 6\nhold R3 to R5\nhold on\nforward R3\n1 row\n1 row\n", 4),
        (
            "back to work after forward",
            "2 rows plain at 6\nforward R3\nback to work R3\n2 rows main slip at 6\n2 rows plain at 6\n",
            5,
        ),
        (
            "a holding needle moved out, and in again",
            "2 rows plain at 6\nhold R3\nmove R3 to R2, out\n2 rows\ninto work R3\nhold on\n2 rows\n2 rows\n",
            7,
        ),
        (
            "holding, a holder, forward",
            "2 rows plain at 6\nhold R3 to R5\n2 rows\nforward R4\n2 rows\ntake off R3 to R5 on to holder 1\n2 rows\n\
             put back holder 1 on R3 to R5\n2 rows\n",
            9,
        ),
    ];
    for (name, lines, row) in cases {
        let document = format!(
            "{head}{lines}hang row {row} on its needles\nback to work all\nhold off\n2 rows plain at 6\nbind off\n"
        );
        let (noted, notices) = from_text(&document);
        let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
        let outcome = prove_notes(&noted);
        let piece = &noted.plans.pieces[0];
        let run = &outcome.sizes[0].pieces[0].run;
        let mut hung = 0;
        for step in &piece.plan.steps {
            let Action::PickUp { loop_number, needle } = step.action else { continue };
            let id = LoopId(loop_number);
            assert_eq!(run.loops.needle(id), needle, "{name}: loop {loop_number}");
            let made = (0..piece.plan.steps.len()).find(|i| run.made_in(*i).contains(&loop_number)).unwrap();
            assert_eq!(run.readings[made].counter, row, "{name}: loop {loop_number} is of that row");
            hung += 1;
        }
        assert!(hung > 5, "{name}: {hung} loops: {:?}", outcome.notices);
        if let Some(proven) = &outcome.proven {
            proofread(proven, &[0]).unwrap_or_else(|e| panic!("{name}: {e}"));
        }
    }
}
