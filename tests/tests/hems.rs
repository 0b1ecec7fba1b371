//! Hems folded on the machine, and buttonholes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::Proven;
use latchwork::design::{EdgeKind, Holes, Spread};
use latchwork::notice::Span;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Leaves, Way};
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
    let of = |count, ends| Holes { span: Span::default(), spread: Spread::Count(count), after: 4, ends, wide: 1 };
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

/// A wide hole is cast off with a length of its own and wound on again with the rest of it, on the same needles: as many stitches
/// before as after. 81 stitches, 7 holes of 2, 3 and 4 stitches at the ends: gaps of 10 (facts on garments, section 6, worked there);
/// with equal ends one gap is 11.
#[test]
fn wide_buttonholes_are_cast_off_and_on() {
    let of = |count, ends, wide| Holes { span: Span::default(), spread: Spread::Count(count), after: 4, ends, wide };
    let places = of(7, 3, 2).places(81).unwrap();
    let gaps: Vec<u32> = places.windows(2).map(|w| w[1] - w[0] - 2).collect();
    assert_eq!((places[0], places[6] + 2, gaps.iter().sum::<u32>()), (3, 78, 61));
    assert!(gaps.iter().all(|g| (10..=11).contains(g)), "{gaps:?}");
    assert_eq!(of(1, 3, 2).places(12), Some(vec![5]));
    assert_eq!(of(1, 3, 3).places(11), Some(vec![4]));
    // A stitch between two holes, and no less.
    assert_eq!((of(3, 1, 2).places(10), of(3, 1, 2).places(9)), (Some(vec![1, 4, 7]), None));
    let band = "stretch \"band\" { fabric \"plain\"; rows 6; buttonholes 2 after=3 ends=4 wide=3; }";
    let p = proven(&piece(21, &format!("{BODY}; {band}")));
    let all: Vec<&Action> = steps_of(&p).collect();
    let mut wound = 0;
    for (k, action) in all.iter().enumerate() {
        let Action::Wrap { needles, cut_length: true, .. } = action else { continue };
        let Action::Secure { needles: off, way: Way::Chain, cut_length: Some(_), onto: None } = all[k - 1] else {
            panic!("{:?}", all[k - 1])
        };
        assert!(off.len() == 3 && off.iter().rev().eq(needles.iter()), "{off:?} {needles:?}");
        wound += needles.len();
    }
    assert_eq!(wound, 6);
    let steps = &p.sizes()[0].plans.pieces[0].plan.steps;
    let in_row = |r: &latchwork_machine::rehearsal::Reading| r.stitches.0;
    let readings = &p.sizes()[0].pieces[0].run.readings;
    let holes = steps.iter().position(|s| matches!(s.action, Action::Wrap { cut_length: true, .. })).unwrap();
    assert_eq!((in_row(&readings[holes - 2]), in_row(&readings[holes - 1]), in_row(&readings[holes])), (21, 18, 21));
    let words = text(&p);
    for told in [
        "from L6 to L4, with a separate length of the yarn.",
        "E-wrap main bed L4 to L6, in this order, with the rest of that length of the yarn. Lift the chain off the gate pegs.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // The yarn that knits waited where it was: no row is lost or gained.
    assert_eq!(p.sizes()[0].stretch(0, 1).rows, 6);
}

/// Eyelets for a cord: at every 4th stitch, as many at one end as at the other but for one.
#[test]
fn eyelets_go_all_along() {
    let of = |every, ends| Holes { span: Span::default(), spread: Spread::Every(every), after: 2, ends, wide: 1 };
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
            piece(41, "stretch \"band\" { fabric \"1x1 rib\"; rows 10; buttonholes 3 after=4 wide=2; }"),
            "Buttonholes of 2 stitches cannot be knitted in 1x1 rib.",
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

/// More buttonholes than the band has room for: the most that it has is told, and has room.
#[test]
fn the_most_buttonholes_are_told() {
    let band = |count: u32| {
        piece(21, &format!("{BODY}; stretch \"band\" {{ fabric \"plain\"; rows 6; buttonholes {count} after=2; }}"))
    };
    let told = refused(&band(30));
    let most: u32 = told.split("Give it at most ").nth(1).unwrap().split(',').next().unwrap().parse().unwrap();
    assert!(most > 3 && !refused(&band(most)).contains("no room"), "{told}");
    assert!(refused(&band(most + 1)).contains(&format!("{} buttonholes have no room", most + 1)));
}
