//! Hems folded on the machine, and buttonholes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::Proven;
use latchwork::design::{EdgeKind, Holes, Spread};
use latchwork::notice::Span;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Leaves};
use latchwork_tests::garments::{piece, proven, refused, text};

const BODY: &str = "stretch \"body\" { fabric \"plain\"; rows 10; }";

fn steps_of(p: &Proven) -> impl Iterator<Item = &Action> {
    p.sizes()[0].plans.pieces[0].plan.steps.iter().map(|s| &s.action)
}

fn hem(kind: &str) -> String {
    let one = piece(21, &format!("stretch \"hem\" {{ fabric \"plain\"; rows 8; hem \"{kind}\"; }}; {BODY}"));
    one.replace("needles 21", "cast-on \"waste yarn\"; needles 21")
}

/// A hem is knitted twice as long as it is deep, and each stitch of its first row hangs on the needle that made it: every needle
/// then carries two.
#[test]
fn a_hem_hangs_on_its_first_row() {
    let p = proven(&hem("plain"));
    let size = &p.sizes()[0];
    let w = size.stretch(0, 0);
    assert_eq!((w.rows, w.edge_rows(EdgeKind::Left)), (16, 8));
    assert!((w.length.0 - 20.0).abs() < 0.01 && (w.edge(EdgeKind::Left).0 - 20.0).abs() < 0.01);
    let steps = &size.plans.pieces[0].plan.steps;
    let picked: Vec<(u32, Needle)> = steps
        .iter()
        .filter_map(|s| match s.action {
            Action::PickUp { loop_number, needle } => Some((loop_number, needle)),
            _ => None,
        })
        .collect();
    assert_eq!(picked.len(), 21);
    let run = &size.pieces[0].run;
    // The loops of the first row in the piece's own yarn, each on its needle.
    let first = picked.iter().map(|p| p.0).min().unwrap();
    assert!(
        picked
            .iter()
            .all(|(l, n)| (first..first + 21).contains(l)
                && run.loops.needle(latchwork_machine::loops::LoopId(*l)) == *n)
    );
    let words = text(&p);
    for told in [
        "Hem. Knit 16 rows in plain: main bed only.",
        "Hang the stitches of the first row in sea on the needles that made them: main bed L10 to R11.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // Its counter goes on: the body ends at 26.
    assert!(words.contains("026"), "{words}");
}

/// The points of a picot hem: in the row of the fold every second stitch goes onto its neighbour, and the edge stitches stay.
#[test]
fn a_picot_hem_has_points() {
    let p = proven(&hem("picot"));
    let moved: Vec<i16> = p.sizes()[0].plans.pieces[0]
        .plan
        .steps
        .iter()
        .filter_map(|s| match s.action {
            Action::Transfer(m) if m.leaves == Leaves::Eyelet => {
                assert_eq!(m.to.slot.0, m.from.slot.0 - 1);
                Some(m.from.slot.0)
            }
            _ => None,
        })
        .collect();
    assert_eq!(moved, (-9..=9).step_by(2).collect::<Vec<i16>>());
    let words = text(&p);
    let (fold, hung) = (words.find("for eyelets").unwrap(), words.find("Hang the stitches").unwrap());
    assert!(words.find("Hem. Knit 8 rows").unwrap() < fold && fold < hung, "{words}");
}

/// The spaces between are as equal as they can be: a band of 120, the first after 6 and the last after 114, has spaces of 21 and 22
/// (facts on garments, section 6, worked there: 108 in five).
#[test]
fn buttonholes_are_spread_evenly() {
    let of = |count, ends| Holes { span: Span::default(), spread: Spread::Count(count), after: 4, ends };
    let places = of(6, 6).places(121).unwrap();
    assert_eq!((places[0], places[5]), (6, 114));
    let mut spaces: Vec<u32> = places.windows(2).map(|w| w[1] - w[0]).collect();
    spaces.sort_unstable();
    assert_eq!(spaces, [21, 21, 22, 22, 22]);
    assert_eq!(of(1, 3).places(11), Some(vec![5]));
    assert_eq!(of(5, 3).places(14), None);
    // Mirror symmetry.
    let places = of(7, 3).places(81).unwrap();
    assert!(places.iter().zip(places.iter().rev()).all(|(a, b)| (a + b).abs_diff(80) <= 1), "{places:?}");
    let p = proven(&piece(
        21,
        &format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes 3 after=2 ends=2; }}"),
    ));
    let words = text(&p);
    let told = "Transfer the stitches of main bed L8, R1, R9 1 needle to the left. Leave the emptied needles in work for eyelets.";
    assert!(words.contains(told), "{words}");
}

/// Eyelets for a cord: at every 4th stitch, as many at one end as at the other but for one.
#[test]
fn eyelets_go_all_along() {
    let of = |every, ends| Holes { span: Span::default(), spread: Spread::Every(every), after: 2, ends };
    assert_eq!(of(4, 2).places(21), Some(vec![2, 6, 10, 14, 18]));
    assert_eq!(of(4, 3).places(21), Some(vec![4, 8, 12, 16]));
    assert_eq!(of(2, 1).places(3), Some(vec![1]));
    assert_eq!(of(2, 3).places(6), None);
    let p = proven(&piece(
        21,
        &format!("{BODY}; stretch \"cord\" {{ fabric \"plain\"; rows 6; eyelets every=4 after=2 ends=2; }}"),
    ));
    let words = text(&p);
    assert!(words.contains("Leave the emptied needles in work for eyelets."), "{words}");
    let moved = steps_of(&p).filter(|a| matches!(a, Action::Transfer(m) if m.leaves == Leaves::Eyelet)).count();
    assert_eq!(moved, 5);
}

/// In a rib a stitch goes across onto its neighbour on the other bed.
#[test]
fn buttonholes_in_a_rib() {
    let p = proven(&piece(41, "stretch \"band\" { fabric \"1x1 rib\"; rows 10; buttonholes 3 after=4; }"));
    let beds: Vec<bool> = steps_of(&p)
        .filter_map(|a| match a {
            Action::Transfer(m) if m.leaves == Leaves::Eyelet => Some(m.from.bed == m.to.bed),
            _ => None,
        })
        .collect();
    assert_eq!(beds, [false, false, false]);
    let words = text(&p);
    assert!(words.contains("1 needle to the left. Leave the emptied needle"), "{words}");
}

#[test]
fn faults_of_hems() {
    let waste = |stretches: &str| piece(21, stretches).replace("needles 21", "cast-on \"waste yarn\"; needles 21");
    for (text, told) in [
        (
            waste(&format!(
                "stretch \"hem\" {{ fabric \"plain\"; rows 8; hem \"plain\"; decrease 1 every=2 times=2; }}; {BODY}"
            )),
            "A section that is folded into a hem takes no decrease.",
        ),
        (
            waste(&format!("{BODY}; stretch \"hem\" {{ fabric \"plain\"; rows 8; hem \"plain\"; }}")),
            "\"hem\" cannot be folded into a hem here.",
        ),
        (
            piece(21, "stretch \"hem\" { fabric \"1x1 rib\"; rows 8; hem \"plain\"; }"),
            "Hems cannot be knitted in 1x1 rib.",
        ),
        (
            waste(&format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes 3; }}")),
            "after how many rows",
        ),
        (
            waste(&format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; eyelets after=3; }}")),
            "how far apart the eyelets are",
        ),
        (
            waste(&format!(
                "{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; eyelets every=2 after=2 ends=11; }}"
            )),
            "eyelets have no room in \"band\".",
        ),
        (
            waste(&format!(
                "{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; eyelets every=2 after=2; buttonholes 2 after=2; }}"
            )),
            "A section with buttonholes takes no eyelets.",
        ),
        (
            piece(41, "stretch \"band\" { fabric \"half cardigan\"; rows 10; buttonholes 3 after=4; }")
                .replace("swatch \"1x1 rib\"", "swatch \"half cardigan\""),
            "Holes cannot be knitted in half cardigan.",
        ),
        (
            waste(&format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes 12 after=2; }}")),
            "12 buttonholes have no room in \"band\".",
        ),
        (
            waste(&format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes 2 after=6; }}")),
            "2 buttonholes have no room in \"band\".",
        ),
        (
            waste(&format!(
                "{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes 2 after=2; decrease 1 every=2 times=1; }}"
            )),
            "A section with buttonholes takes no decrease.",
        ),
    ] {
        let said = refused(&text);
        assert!(said.contains(told), "{told}:\n{said}");
    }
}
