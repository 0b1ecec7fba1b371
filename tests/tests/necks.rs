//! Necks and slits: the work parted, each side knitted for itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, SizeProof};
use latchwork::cloth::{Mesh, Stuff, piece_at_rest};
use latchwork::design::EdgeKind;
use latchwork::stitches::{By, Parts, Shaped};
use latchwork::units::Mm;
use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::{Action, Way};
use latchwork_tests::garments::{piece, proven, refused, text};
use latchwork_tests::outside::python;

const BODY: &str = "stretch \"body\" { fabric \"plain\"; rows 20; }; ";

fn one(p: &Proven) -> &SizeProof {
    &p.sizes()[0]
}

fn yoke(needles: u32, rows: u32, neck: &str) -> Proven {
    proven(&piece(needles, &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows {rows}; {neck}; }}")))
}

fn parts(p: &Proven) -> &Parts {
    one(p).stretch(0, 1).parts.as_ref().unwrap()
}

/// The rows and stitches of the changes of a side, by casting off or with the tool.
fn changes(all: &[Shaped], by: By) -> Vec<(u32, u32)> {
    all.iter().filter(|s| s.by == by).map(|s| (s.row, s.stitches)).collect()
}

fn steps(p: &Proven) -> impl Iterator<Item = &Action> {
    one(p).plans.pieces[0].plan.steps.iter().map(|s| &s.action)
}

/// The front of a cardigan: its armhole at the left and its neck at the right in the same rows, and the shoulder in three groups at
/// the left, where the carriage is after odd rows. The neck takes 12 stitches, 4 of them at once; nothing divides.
#[test]
fn a_neck_at_one_edge() {
    let p = yoke(
        50,
        30,
        "decrease 1 { at \"left\"; then every=2 times=6; }; neck 1 { at \"right\"; middle 4; then every=2 times=8; }; shoulder 3",
    );
    let w = one(&p).stretch(0, 1);
    assert!(w.parts.is_none());
    let half = w.half.as_ref().unwrap();
    assert_eq!((half.side, half.neck, half.sloped), (Side::Right, 12, 21));
    // 50 less 6 at the armhole and 12 at the neck: 32 in groups of 10, 11 and 11.
    assert_eq!((w.ending_needles(), w.needles_end), (32, 11));
    let at = |side: Side| -> Vec<(u32, u32, By)> {
        let own = |s: &&Shaped| s.at == latchwork::design::At::Only(side) || s.at == latchwork::design::At::Both;
        w.shapings.iter().filter(own).map(|s| (s.row, s.stitches, s.by)).collect()
    };
    let tool = |rows: std::ops::RangeInclusive<u32>| rows.step_by(2).map(|row| (row, 1, By::Tool)).collect::<Vec<_>>();
    assert_eq!(at(Side::Right), [vec![(0, 4, By::Group)], tool(2..=16)].concat());
    assert_eq!(at(Side::Left), [tool(2..=12), vec![(27, 10, By::Group), (29, 11, By::Group)]].concat());
    // The outer edge ends where the shoulder begins; the inner goes to the top.
    assert_eq!([EdgeKind::Left, EdgeKind::Right].map(|e| w.edge_rows(e)), [27, 30]);
    let words = text(&p);
    assert!(words.contains("Hang the last stitch on") && !words.contains("separate length"), "{words}");
}

/// A round neck of 48 stitches and 32 rows: 16 cast off; at each side groups of 4, 3, 2, 2 every second row, then 1 every second
/// row 5 times, 14 rows straight (worked case at 28 by 40; common practice, no source). The groups are cast off where the
/// carriage is: at the neck after odd rows.
#[test]
fn a_round_neck_in_groups() {
    let p = yoke(
        112,
        32,
        "neck 1 { middle 16; then every=1 cast-off=4; then every=2 cast-off=3; then every=2 cast-off=2 times=2; then every=3 times=1; then every=2 times=4; }",
    );
    let neck = parts(&p);
    assert_eq!((neck.neck, neck.middle, neck.first), (48, 16, Side::Right));
    for side in [Side::Left, Side::Right] {
        assert_eq!(changes(neck.of(side), By::Group), [(1, 4), (3, 3), (5, 2), (7, 2)]);
        assert_eq!(changes(neck.of(side), By::Tool), [(10, 1), (12, 1), (14, 1), (16, 1), (18, 1)]);
        assert_eq!(neck.needles_end(side, 112), 32);
    }
    let words = text(&p);
    for told in [
        "Take the stitches of main bed L56 to L9 off onto holder 1, in this order.",
        "Cast off with the latch tool, from L8 to R8, with a separate length of the yarn.",
        "Pull the end of that length through the last stitch. Put the emptied needles out of work. Lift the chain off the gate pegs.",
        "Yoke, right side. Knit 1 row in plain",
        "Cast off with the latch tool, from R9 to R12. Work it like the chain before. Hang the last stitch on main bed R13.",
        "Set the counter to 020.",
        "Put the stitches of holder 1 back onto main bed L56 to L9, in the order taken off.",
        "Yoke, left side. Knit 1 row in plain",
        "Cast off with the latch tool, from L9 to L12.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // Both sides end with 32 stitches in a chain.
    let chains: Vec<usize> = steps(&p)
        .filter_map(|a| match a {
            Action::Secure { needles, way: Way::Chain, onto: None, cut_length: None } => Some(needles.len()),
            _ => None,
        })
        .collect();
    assert_eq!(chains, [32, 32]);
}

/// A V neck of 24 stitches a side in 80 rows: every third row 16 times, every fourth 8 times; and with a rounder bottom: every
/// second row 5 times, then every third 6 times and every fourth 13 times (worked cases; common practice, no source).
#[test]
fn v_necks() {
    let v = yoke(112, 80, "neck 1 { then every=3 times=16; then every=4 times=8; }");
    assert_eq!((parts(&v).neck, parts(&v).middle), (48, 0));
    let last = |p: &Proven| changes(parts(p).of(Side::Left), By::Tool).last().copied();
    assert_eq!(last(&v), Some((80, 1)));
    let round = yoke(112, 80, "neck 1 { then every=2 times=5; then every=3 times=6; then every=4 times=13; }");
    assert_eq!((parts(&round).neck, last(&round)), (48, Some((80, 1))));
    // Spread by the program over the same rows, to the same width: two intervals, 3 and 4.
    let spread = yoke(112, 80, "neck 1 { needles 48; }");
    let rows: Vec<u32> = changes(parts(&spread).of(Side::Left), By::Tool).iter().map(|c| c.0).collect();
    assert_eq!((rows.len(), rows.last()), (24, Some(&80)));
    let gaps: Vec<u32> = rows.windows(2).map(|w| w[1] - w[0]).collect();
    assert!(gaps.iter().all(|g| [3, 4].contains(g)), "{gaps:?}");
}

/// The left side is the mirror image of the right one: same rows, settings and acts, the carriage at the other side.
#[test]
fn the_second_side_mirrors_the_first() {
    let p = yoke(
        60,
        12,
        "decrease 1 every=4 times=2; neck 1 { middle (percent)33; width (cm)8; curve \"hollow\" cast-off=\"yes\"; }",
    );
    let neck = parts(&p);
    let mirrored = |all: &[Shaped]| -> Vec<(u32, u32, By)> { all.iter().map(|s| (s.row, s.stitches, s.by)).collect() };
    assert_eq!(mirrored(neck.of(Side::Left)), mirrored(neck.of(Side::Right)));
    let plan = &one(&p).plans.pieces[0];
    let of = |name: &str| -> Vec<&Action> {
        let part = plan
            .origins
            .iter()
            .position(|o| matches!(&o.name, latchwork::fact::PartName::SideOf(_, s) if format!("{s}") == name))
            .unwrap();
        plan.plan.steps.iter().filter(|s| s.origin.0 as usize == part).map(|s| &s.action).collect()
    };
    let (right, left) = (of("right"), of("left"));
    let passes = |all: &[&Action], mirror: bool| -> Vec<_> {
        let passes = all.iter().filter_map(|a| if let Action::Pass(p) = a { Some(p) } else { None });
        passes.map(|p| (if mirror { p.direction.other() } else { p.direction }, p.main, p.yarn)).collect()
    };
    let moves = |all: &[&Action], mirror: bool| -> Vec<_> {
        let of = |n: Needle| if mirror { n.mirror() } else { n };
        let mut moves: Vec<(Needle, Needle)> = (all.iter())
            .filter_map(|a| if let Action::Transfer(m) = a { Some((of(m.from), of(m.to))) } else { None })
            .collect();
        moves.sort_unstable();
        moves
    };
    assert_eq!(passes(&right, true), passes(&left, false));
    assert_eq!(moves(&right, true), moves(&left, false));
    assert!(!passes(&right, true).is_empty() && !moves(&right, true).is_empty());
}

/// Where the carriage stands at the other side after the first, a free pass without yarn, not counted, takes it to the outer edge
/// of the second; the counter goes back to the reading at which the work parted.
#[test]
fn the_second_side_begins_at_its_outer_edge() {
    let p = proven(
        &piece(40, &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 8; neck 1 every=4 times=2; }}"))
            .replace("ending \"chain\"", "ending \"waste yarn\""),
    );
    let all: Vec<&Action> = steps(&p).collect();
    let back = all.iter().position(|a| matches!(a, Action::PutBack { .. })).unwrap();
    let before: Vec<&&Action> = all[..back].iter().rev().take(4).collect();
    assert!(before.iter().any(|a| matches!(a, Action::Counter(20))), "{before:?}");
    assert!(
        before
            .iter()
            .any(|a| matches!(a, Action::Pass(p) if p.yarn.is_none() && !p.counted && p.direction == Side::Left)),
        "{before:?}"
    );
    assert!(matches!(all[back + 1], Action::Join { side: Side::Left, .. }));
    // After a chain's loose row the carriage is at the left already.
    let chained = yoke(40, 8, "neck 1 every=4 times=2");
    assert!(!steps(&chained).any(|a| matches!(a, Action::Pass(p) if p.yarn.is_none())));
}

/// In a fabric whose rows must end on the main bed, the middle is the nearest that leaves such ends; its stitches of the
/// ribber go to the main bed before they are cast off.
#[test]
fn a_neck_in_half_cardigan() {
    let text = piece(59, "stretch \"body\" { fabric \"half cardigan\"; rows 8; }; stretch \"yoke\" { fabric \"half cardigan\"; rows 12; neck 2 { needles 21; middle (percent)40; } }")
        .replacen("piece ", "swatch \"half cardigan\" { yarn \"sea\"; stitch-size 5 5; counted needles=40 passes=60; flat (cm)12 (cm)9; weighed (g)9 needles=60 passes=90; state \"washed\"; }
         piece ", 1);
    let p = proven(&text);
    let neck = parts(&p);
    assert_eq!((neck.neck, neck.middle), (21, 9), "25 stitches a side, from main bed to main bed");
    let middle = steps(&p).find_map(|a| match a {
        Action::Secure { needles, cut_length: Some(_), .. } => Some(needles.clone()),
        _ => None,
    });
    assert!(middle.unwrap().iter().all(|n| n.bed == latchwork_machine::needle::Bed::Main));
    let told = refused(&text.replace("middle (percent)40", "middle 10"));
    assert!(told.contains("Write middle 9") && told.contains("Write middle 13"), "{told}");
}

/// The outline of a piece with a divided yoke against a geometry library (shapely): it does not cross itself, and its length is
/// that worked by hand from step to step. Foot 400 mm, sides 2 times 50 and 80, shoulders 228.57, middle 57.14, and at each side of
/// the neck 124.67: up 2.5, in 14.29, up 5, in 10.71, up 5, in 7.14, up 5, in 7.14, then slanting 8.31 and 4 times 6.14, and 35
/// straight.
#[test]
fn the_outline_is_as_a_geometry_library_measures_it() {
    let p = yoke(
        112,
        32,
        "neck 1 { middle 16; then every=1 cast-off=4; then every=2 cast-off=3; then every=2 cast-off=2 times=2; then every=3 times=1; then every=2 times=4; }",
    );
    // The body below it: 20 rows.
    let below = [(Mm(200.0), Mm(-50.0)), (Mm(-200.0), Mm(-50.0))];
    let outline: Vec<[f64; 2]> =
        one(&p).stretch(0, 1).contour().iter().chain(&below).map(|(x, y)| [x.0, y.0]).collect();
    let found = python("lengths.py", serde_json::to_vec(&outline).unwrap());
    let [area, ring]: [f64; 2] = serde_json::from_str(&found).unwrap();
    let shares = parts(&p).opening(32);
    let opening: f64 = shares.windows(2).map(|w| (w[1].0 - w[0].0) * f64::midpoint(w[0].1, w[1].1)).sum::<f64>()
        * 80.0
        * parts(&p).wide.0;
    assert!((area - (400.0 * 130.0 - opening)).abs() < 1.0, "{area} {opening}");
    assert!((ring - 1195.06).abs() < 0.1, "{ring}");
}

/// A boat neck is all middle: nothing is shaped beside it, and the shoulders slope to its ends.
#[test]
fn a_boat_neck() {
    let p = yoke(100, 8, "neck 1 { needles 60; middle (percent)100; }; shoulder 3");
    let neck = parts(&p);
    assert_eq!((neck.neck, neck.middle), (60, 60));
    for side in [Side::Left, Side::Right] {
        assert_eq!(changes(neck.of(side), By::Tool), []);
        // Twenty in groups of 6, 7 and 7, the last of them the ending; away from the neck after even rows.
        assert_eq!(changes(neck.of(side), By::Group), [(4, 6), (6, 7)]);
    }
}

/// What is wrong is told, with what would work.
#[test]
fn faults_of_necks() {
    let of =
        |neck: &str| refused(&piece(40, &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 20; {neck}; }}")));
    for (neck, told) in [
        ("neck 1 { middle 15; then every=2 times=2; }", "15 stitches are not in the middle of 40."),
        (
            "neck 1 { middle 16; then every=2 times=2; }; shoulder 3 turn=\"wrap\"",
            "Stitches that are cast off turn no row.",
        ),
        (
            "decrease 1 every=2 times=5; neck 1 { middle 4; then every=2 times=2; }; shoulder 6 by=\"short-rows\"",
            "The steps take 22 rows; it has 20.",
        ),
        ("neck 1 { at \"left\"; middle 16; then every=2 times=2; waits \"needles\"; }", "no side waits"),
        ("neck 1 { middle 15; then every=2 times=2; }", "Write middle 14"),
        ("neck 1 { middle 15; then every=2 times=2; }", "Write middle 16"),
        ("neck 1 { needles 38; middle 30; }", "a neck of 38 stitches cannot be cut from 40."),
        ("neck 1 { needles 38; middle 30; }", "at most 36 stitches"),
        ("neck 1 { needles 20; }; decrease 1 every=1 times=10", "cannot be cut from 20"),
        (
            "neck 1 every=1 times=19; increase 1 every=20 times=1",
            "at the left, the neck and the outer edge meet after row 19.",
        ),
        ("neck 1 { middle (percent)33; then every=2 times=2; }", "a share of it cannot be taken first"),
    ] {
        assert!(of(neck).contains(told), "{neck}: {}", of(neck));
    }
    let in_fabric = |fabric: &str, neck: &str| {
        let text = format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 20; {neck}; }}");
        refused(
            &piece(40, &text.replace("\"plain\"", &format!("\"{fabric}\"")))
                .replace("swatch \"1x1 rib\"", &format!("swatch \"{fabric}\"")),
        )
    };
    let waits = in_fabric("1x1 rib", "neck 2 { middle 12; then every=2 times=2; waits \"needles\"; }");
    assert!(waits.contains("In 1x1 rib no side can wait on its needles."), "{waits}");
    let held = in_fabric("half cardigan", "neck 2 { middle 12; then every=2 times=2; }; shoulder 3 by=\"short-rows\"");
    assert!(held.contains("Short rows cannot be knitted in half cardigan."), "{held}");
    let beside = "panel \"mesh\" needles=8 at=\"left\"; neck 1 { at \"right\"; middle 4; then every=2 times=2; }; shoulder 3 by=\"short-rows\"";
    let panel = piece(40, &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 20; {beside}; }}"));
    let rib = "swatch \"1x1 rib\" { yarn \"sea\"; stitch-size 4 4";
    let panel = refused(&panel.replace(rib, "swatch \"mesh\" { yarn \"sea\"; stitch-size 6"));
    assert!(panel.contains("A shoulder by short rows has no room beside a panel."), "{panel}");
    let short = piece(
        40,
        &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 12; neck 1 {{ needles 36; middle 2; }}; }}"),
    );
    assert!(refused(&short).contains("12 rows have room for 12 shapings."), "{}", refused(&short));
    let steps = short.replace("needles 36; middle 2;", "then every=2 times=10;");
    assert!(refused(&steps).contains("take 20 rows"), "{}", refused(&steps));
    let below = "stretch \"yoke\" { fabric \"plain\"; rows 20; neck 1 every=2 times=2; }; stretch \"top\" { fabric \"plain\"; rows 2; }";
    assert!(refused(&piece(40, &format!("{BODY}{below}"))).contains("Put the neck in \"top\"."));
    let first = "stretch \"yoke\" { fabric \"plain\"; rows 20; neck 1 every=2 times=2; }";
    assert!(refused(&piece(40, first)).contains("divided by a neck before the piece has a row"));
    let gathered = piece(40, &format!("{BODY}{first}")).replace("ending \"chain\"", "ending \"gather\"");
    assert!(refused(&gathered).contains("two shoulders to end"), "{}", refused(&gathered));
}

/// Shoulders of 37 stitches by short rows: groups of 9, 9, 9 and 10, of which all but the last are held at the outer edge, where the
/// carriage turns at the neck (odd rows of a side that begins at its outer edge), then one row over all. The neck edge has 6 rows
/// more than the shoulder's tip, and every stitch is there at the end (common practice, no source).
#[test]
fn a_shoulder_by_short_rows() {
    let neck = "neck 1 { middle 20; then every=2 times=3; }; shoulder 4 by=\"short-rows\"";
    let p = yoke(100, 20, neck);
    let w = one(&p).stretch(0, 1);
    let slope = w.slope(Side::Left).unwrap();
    assert_eq!(slope.groups, [(13, 9), (15, 9), (17, 9)]);
    assert_eq!((slope.back(), slope.outer_rows, slope.most_held()), (19, 14, 27));
    assert_eq!(w.ending_needles(), 74);
    assert_eq!([EdgeKind::Left, EdgeKind::Right].map(|e| w.edge_rows(e)), [14, 14]);
    let proof = one(&p).piece_proof(0).unwrap();
    let loops = &proof.run.loops;
    let knitted = |slot: i16| {
        let all = (1..=loops.len()).map(|i| latchwork_machine::loops::LoopId(u32::try_from(i).unwrap()));
        let own = all.filter(|l| loops.needle(*l) == Needle::main(slot));
        own.filter(|l| loops.kind(*l) == latchwork_machine::loops::Kind::Knit).count()
    };
    // The loose row is one more.
    assert_eq!([-50, -42, -41, -33, -32, -24, -23, -14].map(knitted), [35, 35, 37, 37, 39, 39, 41, 41]);
    assert_eq!([49, 41, 40, 32, 31, 23, 22, 13].map(knitted), [35, 35, 37, 37, 39, 39, 41, 41]);
    let words = text(&p);
    for told in [
        "Knit 6 short rows in plain: main bed only. 3 times: bring the 9 end needles away from the carriage to holding position, knit 1 row, wrap the innermost held needle next to the carriage, knit 1 row.",
        "Return all held needles to working position.",
        "Yoke, right side. Knit 1 row in plain",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // The outline climbs the slope: 5 mm with every group, from 14 rows up.
    let line: Vec<(f64, f64)> = w.line(Side::Left).iter().map(|(x, y)| (x.0 * 2.8 / 10.0, y.0)).collect();
    let at = |i: usize| (line[i].0.round(), line[i].1);
    assert_eq!((1..5).map(at).collect::<Vec<_>>(), [(0.0, 35.0), (9.0, 40.0), (18.0, 45.0), (27.0, 50.0)]);
    // An odd number of rows leaves two over all; the other turns are closed otherwise, or not.
    let p = yoke(100, 21, &format!("{neck} turn=\"automatic\""));
    assert_eq!(one(&p).stretch(0, 1).slope(Side::Left).unwrap().back(), 19);
    assert!(text(&p).contains("3 times: bring the 8 end needles away from the carriage to holding position, knit 1 row, bring the end needle next to the carriage to holding position, knit 1 row."));
    assert!(text(&p).contains("Knit 2 rows in plain"));
    let p = yoke(100, 20, &format!("{neck} turn=\"open\""));
    assert!(
        text(&p).contains("3 times: bring the 9 end needles away from the carriage to holding position, knit 2 rows.")
    );
    // At one edge the carriage is at the neck after even rows.
    let p = yoke(50, 30, "neck 1 { at \"right\"; middle 4; then every=2 times=8; }; shoulder 3 by=\"short-rows\"");
    let w = one(&p).stretch(0, 1);
    assert_eq!(w.slope(Side::Left).unwrap().groups, [(24, 12), (26, 13)]);
    assert_eq!((w.slope(Side::Left).unwrap().back(), w.ending_needles()), (28, 38));
    assert_eq!([EdgeKind::Left, EdgeKind::Right].map(|e| w.edge_rows(e)), [26, 30]);
}

/// A slope by its height: 25 mm at 40 rows to 10 cm are 10 rows, that is 5 groups and the last (handbooks give 2.5 cm, the facts on
/// garments, section 2.3); 4 mm are one step at least. Cast off, the tip is cast off 10 rows before the top.
#[test]
fn a_shoulder_by_its_height() {
    let of = |shoulder: &str| {
        let p = yoke(100, 20, &format!("neck 1 {{ middle 20; then every=2 times=3; }}; shoulder {shoulder}"));
        one(&p).stretch(0, 1).slope(Side::Right).unwrap().groups.clone()
    };
    assert_eq!(of("(cm)2.5 by=\"short-rows\""), of("6 by=\"short-rows\""));
    assert_eq!(of("(cm)2.5").iter().map(|g| g.0).collect::<Vec<_>>(), [10, 12, 14, 16, 18]);
    assert_eq!(of("6 by=\"casting-off\""), of("6"));
    assert_eq!(of("(mm)4").len(), 1);
    let said = refused(&piece(
        100,
        &format!(
            "{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 20; neck 1 {{ middle 20; then every=2 times=3; }}; shoulder (cm)8; }}"
        ),
    ));
    assert!(said.contains("The steps take"), "{said}");
}

/// The second side of a neck waits on its needles: they are held, no holder is needed, and the decreases of the first are counted
/// from its own end.
#[test]
fn a_side_that_waits_on_its_needles() {
    let neck = "neck 1 { middle 20; then every=2 times=3; waits \"needles\"; }; shoulder 4 by=\"short-rows\"";
    let p = yoke(100, 20, neck);
    assert!(!steps(&p).any(|a| matches!(a, Action::TakeOff { .. })));
    let words = text(&p);
    for told in [
        "Bring main bed L50 to L11 to holding position.",
        "Decrease 1 stitch at the left end, every 2nd row, 3 times",
        "022 39 024 38 026 37",
        "from R14 to R50. Work it like the chain before. Cut the yarn",
        "return the 27 innermost held needles away from the carriage to working position, knit 1 row.",
        "Put main bed R14 to R50 out of work.",
        "Return all held needles to working position. Thread the yarn again, leaving a tail of 15 cm at the left.",
        "Decrease 1 stitch at the right end, every 2nd row, 3 times",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // Both sides come out alike, as with a holder.
    let other = yoke(100, 20, &neck.replace("needles", "holder"));
    let loops = |p: &Proven| one(p).piece_proof(0).unwrap().run.loops.len();
    assert_eq!(loops(&p), loops(&other));
    // As cloth, too: nothing of the waiting side is drawn into the first.
    let cloth = |p: &Proven| {
        let plan = &one(p).plans.pieces[0];
        let stuff = Stuff { needle: 3.571, pass: 2.5, stretch: 0.3 };
        let parts: Vec<Option<Stuff>> = plan.origins.iter().map(|o| o.fabric().map(|_| stuff)).collect();
        let rest = piece_at_rest(&plan.plan, &one(p).piece_proof(0).unwrap().run, &parts, Mesh::FLAT).unwrap();
        rest.parts.iter().map(|p| [p.width.0, p.width.1, p.length.1].map(f64::round)).collect::<Vec<_>>()
    };
    assert_eq!(cloth(&p), cloth(&other));
    // 40 wait, and 27 of the shoulder are held beside them.
    let few = piece(100, &format!("{BODY}stretch \"yoke\" {{ fabric \"plain\"; rows 20; {neck}; }}"));
    let few = |most: u32| {
        refused(&few.replace("machine \"standard\"", &format!("machine \"standard\" {{ most-held {most}; }}")))
    };
    assert!(few(66).contains("\"yoke\" holds 67 needles at a time. This machine holds 66."), "{}", few(66));
    assert!(!few(67).contains("at a time"));
}

/// A thumb slit of 16 rows, 12 stitches from the right: the side at the carriage first, the other held; then the other from its
/// outer edge and from the same reading, its yarn joined there. Each column has its 16 rows, and the piece goes on with all.
#[test]
fn a_slit() {
    let mitt = "stretch \"palm\" { fabric \"plain\"; rows 10; }; stretch \"thumb\" { fabric \"plain\"; rows 16; slit 12 at=\"right\"; }; stretch \"fingers\" { fabric \"plain\"; rows 10; }";
    let p = proven(&piece(50, mitt));
    let proof = one(&p).piece_proof(0).unwrap();
    let loops = &proof.run.loops;
    let knitted = |slot: i16| {
        let all = (1..=loops.len()).map(|i| latchwork_machine::loops::LoopId(u32::try_from(i).unwrap()));
        all.filter(|l| loops.needle(*l) == Needle::main(slot)).count()
    };
    // With the wrap of the cast-on and the loose row.
    assert!([-25, 12, 13, 24].iter().all(|s| knitted(*s) == 36 + 2), "{:?}", [-25, 12, 13, 24].map(knitted));
    let words = text(&p);
    for told in [
        "Bring main bed L25 to R13 to holding position.",
        "Hold on, main bed. Thumb, right side. Knit 16 rows in plain",
        "Counter off. Make 1 free pass right to left: both beds slip. Set the counter to 010.",
        "Bring main bed R14 to R25 to holding position. Return main bed L25 to R13 to working position. Thread the yarn again, leaving a tail of 15 cm at the left.",
        "Counter on. Thumb, left side. Knit 16 rows in plain",
        "Return all held needles to working position.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // In the middle; at the left; too near the edge.
    let at = |slit: &str| one(&proven(&piece(50, &mitt.replace("slit 12 at=\"right\"", slit)))).stretch(0, 1).slit;
    assert_eq!(
        [at("slit"), at("slit 12 at=\"left\""), at("slit (percent)30 at=\"right\"")],
        [Some(25), Some(12), Some(35)]
    );
    for (slit, told) in [
        ("slit 49 at=\"left\"", "a slit after 49 of 50 stitches leaves no side."),
        ("slit 12", "does not say at which side"),
        ("slit; decrease 1 every=2 times=1", "A section with a slit takes no decrease."),
    ] {
        let found = refused(&piece(50, &mitt.replace("slit 12 at=\"right\"", slit)));
        assert!(found.contains(told), "{found}");
    }
    let first = refused(&piece(50, "stretch \"thumb\" { fabric \"plain\"; rows 16; slit; }"));
    assert!(first.contains("has a slit before the piece has a row"), "{first}");
}
