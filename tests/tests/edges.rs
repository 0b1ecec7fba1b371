//! Edges that are not straight: the author's own steps, and curves.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::Proven;
use latchwork::cloth::{Mesh, Stuff, piece_at_rest};
use latchwork::design::{At, from_text, person_from_text};
use latchwork::fit::{known, own_size};
use latchwork::handout::proofread;
use latchwork::stitches::{By, Shaped};
use latchwork_machine::needle::Side;
use latchwork_machine::steps::Action;
use latchwork_tests::garments::{piece, proven, refused, text};

fn shapings(p: &Proven, stretch: usize) -> Vec<Shaped> {
    p.sizes()[0].stitches.pieces[0].stretches[stretch].shapings.clone()
}

/// The rows after which an end is changed, with the stitches.
fn at(side: Side, shapings: &[Shaped]) -> Vec<(u32, u32)> {
    shapings.iter().filter(|s| s.at == At::Both || s.at == At::Only(side)).map(|s| (s.row, s.stitches)).collect()
}

const ARMHOLE: &str = "stretch \"body\" { fabric \"plain\"; rows 40; }; stretch \"armhole\" { fabric \"plain\"; rows 76; decrease 1 { cast-off 7; then every=2 times=7; } }";

/// A set-in armhole of 140 stitches and 76 rows as garment makers work it: 7 cast off at each side, then 1 after every second
/// row 7 times, 62 rows straight, 112 across the back (worked case at 28 by 40; common practice, no source). The left side
/// is cast off one row later, where the carriage then is.
#[test]
fn a_set_in_armhole() {
    let p = proven(&piece(140, ARMHOLE));
    let all = shapings(&p, 1);
    let cast_off: Vec<(u32, At, u32)> =
        all.iter().filter(|s| s.by == By::Group).map(|s| (s.row, s.at, s.stitches)).collect();
    assert_eq!(cast_off, [(0, At::Only(Side::Right), 7), (1, At::Only(Side::Left), 7)]);
    let by_tool: Vec<u32> = all.iter().filter(|s| s.by == By::Tool).map(|s| s.row).collect();
    assert_eq!(by_tool, [2, 4, 6, 8, 10, 12, 14]);
    assert_eq!(p.sizes()[0].stitches.pieces[0].stretches[1].needles_end, 112);
    let text = proofread(&p, &[0]).unwrap()[0].lines();
    assert!(text.contains("Cast off with the latch tool, from R70 to R64."), "{text}");
    assert!(text.contains("Hang the last stitch on main bed R63. Put the emptied needles out of work. Lift the chain off the gate pegs."), "{text}");
    assert!(text.contains("Cast off with the latch tool, from L70 to L64."), "{text}");
    assert!(text.contains("Decrease 1 stitch at each end, every 2nd row, 7 times"), "{text}");
    // The vest's deeper armhole: 8, then every second row 8 times, every fourth twice: 18 at each side, 104 across.
    let vest = ARMHOLE
        .replace("rows 76", "rows 84")
        .replace("7; then every=2 times=7", "8; then every=2 times=8; then every=4 times=2");
    let p = proven(&piece(140, &vest));
    assert_eq!(p.sizes()[0].stitches.pieces[0].stretches[1].needles_end, 104);
    assert_eq!(at(Side::Left, &shapings(&p, 1)).last(), Some(&(24, 1)));
}

/// With the carriage at the left the left side comes first, and one side alone is cast off where the carriage comes to it.
#[test]
fn casting_off_follows_the_carriage() {
    let odd = ARMHOLE.replace("rows 40", "rows 41");
    let all = shapings(&proven(&piece(140, &odd)), 1);
    assert_eq!((all[0].row, all[0].at, all[1].row), (0, At::Only(Side::Left), 1));
    for (end, row) in [("right", 0), ("left", 1)] {
        let one = ARMHOLE.replace("cast-off 7", &format!("at \"{end}\"; cast-off 7"));
        let all = shapings(&proven(&piece(140, &one)), 1);
        assert_eq!((all[0].row, all.len()), (row, 8), "{end}");
    }
    // A pair's right piece is cast off at the other side first.
    let pair = piece(140, ARMHOLE).replace("piece \"back\" {", "piece \"back\" { make \"pair\";");
    let pieces = proofread(&proven(&pair), &[0]).unwrap();
    assert!(pieces[1].lines().contains("Cast off with the latch tool, from L70 to L64. Start at the yarn."));
    let first = |k: usize| pieces[k].lines().find("Cast off with the latch tool, from R").unwrap();
    let other = |k: usize| pieces[k].lines().find("Cast off with the latch tool, from L").unwrap();
    assert!(first(0) < other(0) && first(1) > other(1));
}

/// A quarter ellipse of 12 stitches over 18 rows: at the carriage's end the list worked by hand, at the other its own.
#[test]
fn a_hollow_curve() {
    let curve = "stretch \"body\" { fabric \"plain\"; rows 40; }; stretch \"curve\" { fabric \"plain\"; rows 18; decrease 1 { needles 76; curve \"hollow\" most=2 cast-off=\"yes\"; } }; stretch \"yoke\" { fabric \"plain\"; rows 20; }";
    let text = piece(100, curve).replace("flat (cm)14.286 (cm)15", "flat (cm)13.6 (cm)14.4");
    let all = shapings(&proven(&text), 1);
    let right = at(Side::Right, &all);
    assert_eq!(right, [(0, 3), (1, 2), (2, 1), (3, 1), (4, 1), (5, 1), (7, 1), (9, 1), (13, 1)]);
    let left = at(Side::Left, &all);
    assert!(left[0].1 <= 2 && left[1].1 > 2, "only where the carriage is: {left:?}");
    assert_eq!(left.iter().map(|c| c.1).sum::<u32>(), 12);
    assert!(all.iter().all(|s| (s.by == By::Group) == (s.stitches > 2)));
    // Without casting off both ends are alike, and the other bend is its mirror image from the other end.
    let even = text.replace(" cast-off=\"yes\"", "");
    let all = shapings(&proven(&even), 1);
    assert!(all.iter().all(|s| s.at == At::Both && s.by == By::Tool && s.stitches <= 2), "{all:?}");
    let round = shapings(&proven(&even.replace("hollow", "round")), 1);
    let turned: Vec<(u32, u32)> = round.iter().rev().map(|s| (18 - s.row, s.stitches)).collect();
    assert_eq!(turned, all.iter().map(|s| (s.row, s.stitches)).collect::<Vec<_>>());
}

/// What is left for the ending belongs to it: the last row before it is not followed by a change.
#[test]
fn no_change_after_the_last_row_before_an_ending() {
    let round = "stretch \"top\" { fabric \"plain\"; rows 18; decrease 1 { needles 52; curve \"round\" most=2; } }";
    let last = |text: &str| shapings(&proven(&piece(80, text)), 0).last().unwrap().row;
    assert_eq!(last(round), 17);
    assert_eq!(last(&format!("{round}; stretch \"more\" {{ fabric \"plain\"; rows 6; }}")), 18);
}

/// A piece is cast on at the width that it has: nothing is taken before its first row.
#[test]
fn no_change_before_the_first_row_of_a_piece() {
    let hollow = "stretch \"one\" { fabric \"plain\"; rows 18; decrease 1 { needles 76; curve \"hollow\" most=2 cast-off=\"yes\"; } }";
    let first = |text: &str, stretch: usize| shapings(&proven(&piece(100, text)), stretch)[0].row;
    assert_eq!(first(hollow, 0), 1);
    assert_eq!(first(&format!("stretch \"hem\" {{ fabric \"plain\"; rows 4; }}; {hollow}"), 1), 0);
}

/// An increase along a curve leaves its new needles a row for their first loops.
#[test]
fn widening_along_a_curve() {
    let wider = "stretch \"hem\" { fabric \"plain\"; rows 24; increase 1 { needles 80; curve \"hollow\"; } }; stretch \"more\" { fabric \"plain\"; rows 6; }";
    let p = proven(&piece(60, wider));
    assert_eq!(at(Side::Left, &shapings(&p, 0)).len(), 10);
    assert_eq!(p.sizes()[0].stitches.pieces[0].stretches[0].needles_end, 80);
}

/// Each fault is told with what would work.
/// Where the beds take turns a group goes over both: its ribber stitches onto the main bed first. In a fabric of two-row repeats both
/// ends are cast off after the same row, the far one with a length of its own.
#[test]
fn groups_where_the_beds_take_turns() {
    let rib = piece(
        41,
        "stretch \"body\" { fabric \"1x1 rib\"; rows 10; }; stretch \"arm\" { fabric \"1x1 rib\"; rows 10; decrease 2 { cast-off 6; then every=4 times=2; }; }",
    );
    let p = proven(&rib);
    let w = p.sizes()[0].stretch(0, 1);
    let groups: Vec<(u32, u32)> =
        w.shapings.iter().filter(|s| s.by == By::Group).map(|s| (s.row, s.stitches)).collect();
    assert_eq!(groups, [(0, 6), (1, 6)]);
    assert_eq!(w.needles_end, 41 - 12 - 8);
    let words = text(&p);
    assert!(words.contains("across to the main-bed needles of the same numbers"), "{words}");
    assert!(!words.contains("separate length"), "{words}");
    let cardigan = rib
        .replace("swatch \"1x1 rib\"", "swatch \"half cardigan\"")
        .replace("fabric \"1x1 rib\"", "fabric \"half cardigan\"");
    let p = proven(&cardigan);
    let w = p.sizes()[0].stretch(0, 1);
    let groups: Vec<u32> = w.shapings.iter().filter(|s| s.by == By::Group).map(|s| s.row).collect();
    assert_eq!(groups, [0, 0]);
    let words = text(&p);
    assert_eq!(words.matches("with a separate length of the yarn").count(), 1, "{words}");
}

#[test]
fn faults_of_edges() {
    let with = |shaping: &str| piece(100, &format!("stretch \"one\" {{ fabric \"plain\"; rows 20; {shaping}; }}"));
    let rib = |shaping: &str| piece(100, &format!("stretch \"one\" {{ fabric \"1x1 rib\"; rows 20; {shaping}; }}"));
    for (text, told) in [
        (with("decrease 1 { curve \"hollow\"; then every=2 times=3; }"), "A curve leads to a width"),
        (with("decrease 1 { needles 80; curve \"bent\"; }"), "one of: straight, hollow, round, bell"),
        (with("decrease 1 { needles 80; curve \"round\" most=3; }"), "from 1 to 2"),
        (with("decrease 1 { needles 80; curve \"round\"; finish \"plain\"; }"), "already say how the shaping ends"),
        (with("decrease 1 { needles 80; curve \"round\"; carriage \"left\"; }"), "carriage cannot stand beside curve"),
        (with("decrease 1 { cast-off 4; carriage \"left\"; }"), "carriage cannot stand beside cast-off"),
        (with("decrease 1 { then every=2; }"), "after how many rows, and how often"),
        (with("decrease 1 every=2 times=3 { cast-off 4; }"), "does not say when to shape"),
        (with("decrease 1 { cast-off 4; then every=4 times=6; }"), "The steps take 24 rows; it has 20."),
        (
            with("increase 1 { cast-off 4; then every=4 times=2; }"),
            "is not a word of \"increase\".  Did you mean cast-on?",
        ),
        (rib("decrease 2 { cast-off 3; then every=4 times=2; }"), "3 stitches cannot be cast off where 2 are shaped"),
        (
            rib("decrease 2 { needles 60; curve \"hollow\" cast-off=\"yes\"; }"),
            "cannot be cast off at an end between rows",
        ),
        (with("decrease 1 { needles 80; curve { handle (percent)20 (percent)30; }; }"), "a name, or two handles"),
        (
            with(
                "decrease 1 { needles 80; curve { handle (percent)120 (percent)30; handle (percent)50 (percent)90; }; }",
            ),
            "between 0 and 100 percent",
        ),
        (with("shoulder 3"), "A shoulder slopes beside a neck"),
        (rib("decrease 2 { needles 60; curve \"hollow\" most=2; }"), "cannot be shaped 2 times at an end"),
        (with("decrease 1 { needles 40; curve \"hollow\"; }"), "nearest count that works: needles 62"),
        (with("decrease 1 { cast-off 52; }"), "needles"),
        (with(&format!("decrease 1 {{\n{} }}", "then every=2000 times=2000\n".repeat(1_100))), "The steps take"),
    ] {
        let said = refused(&text);
        assert!(said.contains(told), "{told}:\n{said}");
    }
}

/// Nothing is knitted above what was cast off: the cloth below an armhole lies flat, and its corners are not drawn inwards.
#[test]
fn the_cloth_below_an_armhole_lies_flat() {
    let p = proven(&piece(140, ARMHOLE));
    let size = &p.sizes()[0];
    let plan = &size.plans.pieces[0];
    let stuff = Stuff { needle: 3.571, pass: 2.5, stretch: 0.3 };
    let of = |part: &latchwork::plan::Part| part.fabric().map(|_| stuff);
    let parts: Vec<Option<Stuff>> = plan.origins.iter().map(of).collect();
    let rest = piece_at_rest(&plan.plan, &size.pieces[0].run, &parts, Mesh::FLAT).unwrap();
    let body = rest.parts[0];
    assert!(body.strain.0 > -0.01 && body.strain.1 < 0.01, "{body:?}");
    assert!(body.width.0 > 0.99 * 140.0 * 3.571, "{body:?}");
}

/// A measure is made of others once and used wherever it is needed: here an armhole a fifth of the chest deep and 2 cm more.
fn with_measures(measures: &str, length: &str) -> String {
    piece(140, &format!("stretch \"armhole\" {{ fabric \"plain\"; length {length}; }}"))
        .replacen("piece \"back\"", &format!("{measures}\n piece \"back\""), 1)
        .replace("chest (cm)96;", "chest (cm)96; hip (cm)104; neck (cm)36;")
}

#[test]
fn measures_made_of_others() {
    let length = |measures: &str| {
        let p = proven(&with_measures(measures, "(percent)100 of=\"deep\""));
        p.sizes()[0].draft.pieces[0].stretches[0].length.unwrap().0
    };
    for (measures, mm) in [
        ("measure \"deep\" { plus (percent)20 of=\"chest\"; plus (cm)2; }", 212.0),
        ("measure \"deep\" { plus (percent)50 of=\"chest\"; minus (percent)100 of=\"neck\"; minus (in)1; }", 94.6),
        ("measure \"wide\" { larger \"chest\" \"hip\"; }; measure \"deep\" { plus (percent)10 of=\"wide\"; }", 104.0),
        (
            "measure \"wide\" { smaller \"chest\" \"hip\" \"neck\"; }; measure \"deep\" { plus (percent)50 of=\"wide\"; }",
            180.0,
        ),
    ] {
        assert!((length(measures) - mm).abs() < 1e-9, "{measures}: {}", length(measures));
    }
}

/// A person's own size has them too, and is asked for what they are made of.
#[test]
fn made_measures_of_a_person() {
    let text =
        with_measures("measure \"deep\" { plus (percent)20 of=\"chest\"; plus (cm)2; }", "(percent)100 of=\"deep\"");
    let design = from_text(&text).0.unwrap();
    let person = person_from_text("person \"Mate\" { chest (cm)101; }").0.unwrap();
    let (found, missing) = known(&design, &person);
    assert!(missing.is_empty() && found.len() == 1, "{missing:?}");
    let deep = own_size(&design, &person, &found).measure("deep").unwrap();
    assert!((deep.0 - 222.0).abs() < 1e-9);
}

#[test]
fn faults_of_measures() {
    for (measures, told) in [
        ("measure \"deep\" { plus (percent)20 of=\"chets\"; }", "Did you mean \"chest\"?"),
        ("measure \"deep\" { plus (percent)20; }", "of="),
        ("measure \"deep\" { larger \"chest\"; }", "two measures or more"),
        ("measure \"deep\" { plus (cm)20; larger \"chest\" \"hip\"; }", "What this measure is made of is not clear"),
        ("measure \"deep\"", "What this measure is made of is not clear"),
        ("measure \"deep\" { plus (cm)20; minus (percent)100 of=\"hip\"; }", "\"deep\" comes to -84 cm in size one"),
        ("measure \"chest\" { plus (cm)20; }", "chest"),
        ("measure \"deep\" { plus (percent)20 of=\"deep\"; }", "No size has a measure called \"deep\""),
    ] {
        let said = refused(&with_measures(measures, "(cm)20"));
        assert!(said.contains(told), "{told}:\n{said}");
    }
}

/// Groups cast on at an end, as for a kimono sleeve: where the carriage is, and at the other end a row later; each new stitch is wound
/// on its needle and knits in the next row. A curve takes more than its tool can only so.
#[test]
fn groups_are_cast_on() {
    let p = proven(&piece(
        60,
        "stretch \"body\" { fabric \"plain\"; rows 10; };
         stretch \"wing\" { fabric \"plain\"; rows 20; increase 1 { cast-on 6; then every=2 cast-on=4 times=2; then every=2 times=2; }; };
         stretch \"curve\" { fabric \"plain\"; rows 20; increase 1 { needles 120; curve \"hollow\" cast-on=\"yes\"; }; };
         stretch \"top\" { fabric \"plain\"; rows 4; increase 1 { needles 126; cast-on 4; at \"left\"; }; }",
    ));
    let wing = p.sizes()[0].stretch(0, 1);
    let groups: Vec<(u32, At, u32)> =
        wing.shapings.iter().filter(|s| s.by == By::Group).map(|s| (s.row, s.at, s.stitches)).collect();
    let (right, left) = (At::Only(Side::Right), At::Only(Side::Left));
    assert_eq!(groups, [(0, right, 6), (1, left, 6), (2, right, 4), (3, left, 4), (4, right, 4), (5, left, 4)]);
    assert_eq!(wing.needles_end, 60 + 2 * 14 + 4);
    // Wound from the work outwards, where the yarn is.
    let wound: Vec<(i16, i16)> = p.sizes()[0].plans.pieces[0]
        .plan
        .steps
        .iter()
        .filter_map(|s| match &s.action {
            Action::Wrap { needles, .. } => Some((needles[0].slot.0, needles[needles.len() - 1].slot.0)),
            _ => None,
        })
        .collect();
    assert_eq!(wound[1..4], [(30, 35), (-31, -36), (36, 39)]);
    let curve = p.sizes()[0].stretch(0, 2);
    assert!(curve.shapings.iter().any(|s| s.by == By::Group && s.stitches > 1));
    assert_eq!((curve.needles_end, p.sizes()[0].stretch(0, 3).needles_end), (120, 126));
    let words = text(&p);
    for told in [
        "Bring main bed R31 to R36 into work, empty.",
        "E-wrap main bed R31 to R36, in this order, towards the carriage.",
        "E-wrap main bed L31 to L36, in this order, towards the carriage.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    let said = refused(&piece(
        40,
        "stretch \"body\" { fabric \"1x1 rib\"; rows 10; }; stretch \"wing\" { fabric \"1x1 rib\"; rows 20; increase 2 { cast-on 6; then every=2 times=2; }; }",
    ));
    assert!(said.contains("Stitches of 1x1 rib cannot be cast on at an end between rows."), "{said}");
}
