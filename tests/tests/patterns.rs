//! Patterns needle by needle: tiny repeats of tuck, slip, mosaic, lace and cables against counts worked out by hand, stripes and
//! two yarns in a row, what each yarn takes, and what cannot be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::sync::Arc;

use latchwork::check::{Proven, prove, tried};
use latchwork::design::from_text;
use latchwork::fabric::{Fabric, Hand, built_in, from_text as fabrics};
use latchwork::handout::handout;
use latchwork::notice::{Level, Notices};
use latchwork::units::Language;
use latchwork::words::Token;
use latchwork_machine::needle::Bed;
use latchwork_machine::steps::{Action, Setting, Yarn};
use latchwork_tests::sample;

/// A fabric of plain's needles, a pass a line, the first at the top; `.` knits, `T` tucks, `S` slips.
fn document(passes: &[&str]) -> String {
    let sign = |c| match c {
        'T' => 't',
        'S' => '-',
        _ => 'k',
    };
    let pass = |p: &&str| format!("pass main=\"{}\"\n", p.chars().map(sign).collect::<String>());
    let passes: String = passes.iter().map(pass).collect();
    format!("fabric \"drawn\" kind=\"t\" {{ like \"plain\"; shaping because=\"drawn\"; {passes} }}")
}

fn drawn(passes: &[&str]) -> Arc<Fabric> {
    let mut notices = Notices::default();
    let found = fabrics(&document(passes), built_in(), "", &mut notices);
    assert!(!notices.has_error(), "{:?}", notices.0);
    found.into_iter().next().unwrap()
}

/// Needles that knit, tuck and slip in one repeat.
fn counts(f: &Fabric) -> [u32; 3] {
    let places = i16::try_from(f.period()).unwrap();
    let mut all = [0; 3];
    for turn in &f.repeat {
        for place in 0..places {
            all[match turn.does(Bed::Main, place) {
                Setting::Knit => 0,
                Setting::Tuck => 1,
                Setting::Slip => 2,
            }] += 1;
        }
    }
    all
}

/// The worst that is found of a piece in a fabric drawn so.
fn verdict(passes: &[&str]) -> &'static str {
    let rows = 4 * passes.len();
    let text = cowl(&format!("stretch \"s\" {{ fabric \"drawn\"; rows {rows}; }}"));
    let (design, notices) = from_text(&format!("{text}\n{}", document(passes)));
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    match prove(&design, &[0]).notices.iter().map(|n| n.1.level).max() {
        Some(Level::Error) => "error",
        Some(Level::Warning) => "warn",
        _ => "good",
    }
}

/// Tiny repeats of tuck and slip: knitted, tucked and slipped needles of a repeat, most tucks on a needle, the longest float, and
/// whether it is good. Counted by hand, cyclically; the rehearsal stops at a fifth tuck; limits of 4 tucks and 5 needles missed are common practice, no source.
#[test]
fn tiny_repeats_of_tuck_and_slip() {
    let table: [(&[&str], [u32; 3], u32, &str); 12] = [
        (&["T.", "T.", ".T", ".T"], [4, 4, 0], 2, "good"),
        (&["T.", ".T"], [2, 2, 0], 1, "good"),
        (&["T...", "T...", "T...", "....", "..T.", "..T.", "..T.", "...."], [26, 6, 0], 3, "good"),
        (&["T...", "T...", "T...", "T...", "...."], [16, 4, 0], 4, "warn"),
        (&["TT..", "TT..", "....", "..TT", "..TT", "...."], [16, 8, 0], 2, "warn"),
        (&["TTT.", "...."], [5, 3, 0], 1, "error"),
        (&["T.", "T.", "T.", "T.", "T.", ".."], [7, 5, 0], 4, "error"),
        (&["S.", ".S"], [2, 0, 2], 0, "good"),
        (&["S...", ".S..", "..S.", "...S"], [12, 0, 4], 0, "good"),
        (&["SSS.", "....", ".SSS", "...."], [10, 0, 6], 0, "good"),
        (&["SSSSS.", "......"], [7, 0, 5], 0, "good"),
        (&["S.", "S.", ".S", ".S"], [4, 0, 4], 0, "good"),
    ];
    for (passes, of, tucks, good) in table {
        let f = drawn(passes);
        assert_eq!(counts(&f), of, "{passes:?}");
        let found = tried(&f);
        assert_eq!(found.asks.tucks, tucks, "{passes:?}");
        assert_eq!(verdict(passes), good, "{passes:?} {:?}", found.notices);
    }
}

/// The same repeats as they ship.
#[test]
fn the_library_has_the_repeats_of_the_handbooks() {
    let of = |name: &str| counts(latchwork::fabric::find(name).unwrap());
    assert_eq!(of("honeycomb tuck"), [4, 4, 0]);
    assert_eq!(of("one-row tuck"), [2, 2, 0]);
    assert_eq!(of("brick tuck"), [26, 6, 0]);
    assert_eq!(of("bird's eye slip"), [2, 0, 2]);
    assert_eq!(of("slip twill"), [12, 0, 4]);
    assert_eq!(of("mosaic"), [12, 0, 4]);
}

/// A cowl of one yarn's swatches in these sections.
fn cowl(sections: &str) -> String {
    let own = if sections.contains("drawn") { "drawn" } else { "net" };
    let swatch = |fabric: &str| {
        format!(
            "swatch \"{fabric}\" {{ yarn \"sea\"; stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }}\n"
        )
    };
    let swatches: String = ["plain", "pips", "stairs", "mosaic", "mesh", own].map(swatch).concat();
    format!(
        "title \"Cowl\"\nmachine \"standard\"\nyarn \"sea\" {{ count (tex)238; ball (g)50; }}\nyarn \"foam\" {{ count (tex)238; ball (g)50; }}\n\
         {swatches}sizes {{ size \"one\" {{ girth (cm)56; }} }}\npiece \"cowl\" {{ yarn \"sea\"; needles 61; {sections}; ending \"chain\"; }}\n"
    )
}

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{text}\n{:?}", notices.0));
    let outcome = prove(&design, &[0]);
    outcome.proven.unwrap_or_else(|| panic!("{text}\n{:?}", outcome.notices))
}

/// What a design is refused for.
fn refused(text: &str) -> String {
    let (design, notices) = from_text(text);
    assert!(design.is_none() || notices.has_error(), "{text}");
    let errors = notices.0.iter().filter(|n| n.level == Level::Error);
    errors
        .map(|n| {
            let told = n.told(Language::English);
            format!("{} {} {}", told.message, told.why, told.hints.join(" "))
        })
        .collect()
}

/// The yarn of each row of the fabric, by its name.
fn rows(p: &Proven) -> Vec<&str> {
    let plan = &p.sizes()[0].plans.pieces[0];
    let stretch = |origin: u32| plan.origins[origin as usize].fabric().is_some();
    let passes = plan.plan.steps.iter().filter_map(|s| match &s.action {
        Action::Pass(q) if stretch(s.origin.0) => q.yarn,
        _ => None,
    });
    passes.map(|y| plan.yarns[usize::from(y.0)].as_str()).collect()
}

fn cuts(p: &Proven) -> usize {
    let steps = &p.sizes()[0].plans.pieces[0].plan.steps;
    steps.iter().filter(|s| matches!(s.action, Action::Cut(_))).count()
}

/// Stripes follow their list over and over; of an even number of rows no yarn is cut before the end, of an odd number each is.
#[test]
fn stripes_by_rows() {
    let p = proven(&cowl(
        "stretch \"s\" { fabric \"plain\"; rows 14; stripes { yarn \"sea\" rows=4; yarn \"foam\" rows=2; }; }",
    ));
    let expected: Vec<&str> = [("sea", 4), ("foam", 2), ("sea", 4), ("foam", 2), ("sea", 2)]
        .into_iter()
        .flat_map(|(y, n)| std::iter::repeat_n(y, n))
        .collect();
    assert_eq!(rows(&p), expected);
    // Foam after its last row, sea at the ending.
    assert_eq!(cuts(&p), 2);
    let odd = proven(&cowl(
        "stretch \"s\" { fabric \"plain\"; rows 12; stripes { yarn \"sea\" rows=3; yarn \"foam\" rows=3; }; }",
    ));
    assert_eq!(cuts(&odd), 4, "3-row stripes end at the far side");
    // A yarn that waits at the wrong side does not hang there until it is needed: it is cut before the next row.
    let mut last = None;
    for step in &odd.sizes()[0].plans.pieces[0].plan.steps {
        match &step.action {
            Action::Pass(p) => last = p.yarn,
            Action::Cut(yarn) => assert_eq!(Some(*yarn), last),
            _ => {}
        }
    }
    // Eight rows are too many to carry a yarn past.
    let broad = proven(&cowl(
        "stretch \"s\" { fabric \"plain\"; rows 20; stripes { yarn \"sea\" rows=8; yarn \"foam\" rows=2; }; }",
    ));
    assert_eq!(cuts(&broad), 3, "foam after its first stripe, sea after its last, foam at the ending");
}

/// Each yarn's loops are its own, with a tail of 15 cm at each end that is joined or cut within the piece.
#[test]
fn each_yarn_takes_what_its_rows_take() {
    let p = proven(&cowl(
        "stretch \"s\" { fabric \"plain\"; rows 18; stripes { yarn \"sea\" rows=2; yarn \"foam\" rows=2; }; }",
    ));
    let metres: Vec<f64> = p.sizes()[0].yarn.iter().map(|a| a.metres - a.tails).collect();
    // Foam knits 8 of 18 rows; sea also casts on and ends the piece.
    let foam = metres[1];
    let loop_length = 16.7 / (238e-6 * 60.0 * 90.0 * 1000.0);
    assert!((foam - 8.0 * 61.0 * loop_length).abs() < 0.01, "{foam} of {loop_length}");
    assert!((p.sizes()[0].yarn[1].tails - 0.30).abs() < 0.2, "{:?}", p.sizes()[0].yarn[1]);
    // Two yarns in a row: half the stitches of each.
    let p = proven(&cowl("stretch \"s\" { fabric \"stairs\"; rows 16; yarns \"sea\" \"foam\"; }"));
    let plan = &p.sizes()[0].plans.pieces[0];
    let two = plan.plan.steps.iter().filter(|s| matches!(&s.action, Action::Pass(q) if q.second == Some(Yarn(3))));
    assert_eq!(two.count(), 16);
    assert!(p.sizes()[0].yarn[1].metres > 8.0 * 61.0 * loop_length, "half the loops, and floats");
}

/// What is printed of stripes is folded, and names the yarn at every change.
#[test]
fn stripes_are_folded_in_print() {
    let p = proven(&cowl(
        "stretch \"s\" { fabric \"plain\"; rows 60; stripes { yarn \"sea\" rows=4; yarn \"foam\" rows=2; }; }",
    ));
    let h = handout(&p, &[0], false).unwrap();
    let said: Vec<String> =
        h.pieces[0].steps.iter().map(|s| s.tokens.iter().map(Token::text).collect::<String>()).collect();
    assert!(said.iter().any(|s| s.starts_with("Repeat steps ") && s.ends_with("7 more times.")), "{said:#?}");
    assert!(said.len() < 16, "{said:#?}");
}

/// What cannot be is refused at its line, with what would work.
#[test]
fn yarns_that_cannot_be_are_refused() {
    let of = |inside: &str| refused(&cowl(&format!("stretch \"s\" {{ rows 12; {inside} }}")));
    assert!(
        of("fabric \"pips\";").contains("pips takes 2 yarns. Write yarns \"sea\" \"foam\"")
            || of("fabric \"pips\";").contains("pips takes 2 yarns.  Write yarns \"sea\" \"foam\""),
        "{}",
        of("fabric \"pips\";")
    );
    assert!(of("fabric \"pips\"; yarns \"sea\" \"sea\";").contains("named twice"));
    assert!(of("fabric \"pips\"; yarns \"sea\";").contains("takes 2 yarns"));
    assert!(of("fabric \"plain\"; yarns \"sea\" \"foam\";").contains("takes 1 value"));
    assert!(of("fabric \"plain\"; stripes { yarn \"tide\" rows=2 };").contains("tide"));
    assert!(of("fabric \"plain\"; stripes { yarn \"sea\" };").contains("How long this stripe lasts"));
    assert!(of("fabric \"plain\"; stripes;").contains("1 to 120"));
    assert!(of("fabric \"pips\"; stripes { yarn \"sea\" rows=2 };").contains("cannot have stripes"));
    assert!(of("fabric \"plain\"; yarns \"sea\"; stripes { yarn \"sea\" rows=2 };").contains("not both"));
    let grid = |row: &str| {
        let mut notices = Notices::default();
        let text = format!("fabric \"drawn\" kind=\"t\" {{ like \"plain\"; {row} }}");
        let _ = fabrics(&text, built_in(), "", &mut notices);
        let told = notices.0.iter().map(|n| n.told(Language::English).message);
        told.collect::<Vec<_>>().join(" ")
    };
    assert!(grid("pass main=\"k2-k\"").contains("cannot tuck or slip"));
    assert!(grid("pass main=\"k2wk\"").contains("cannot both knit a second yarn and lay one in"));
    assert!(grid("pass main=\"k2kk\" second=1").contains("same yarn twice"));
    assert!(grid("pass main=\"kxkk\"").contains("not a sign"));
    assert_eq!(grid("pass main=\"k2kk\" second=3"), "");
}

/// The loops that are moved in a piece: from where, and to where.
fn moves(p: &Proven) -> Vec<(i16, i16)> {
    let steps = &p.sizes()[0].plans.pieces[0].plan.steps;
    let moved = steps.iter().flat_map(|s| match &s.action {
        Action::Transfer(m) => vec![*m],
        Action::MoveTogether { moves, .. } => moves.clone(),
        _ => Vec::new(),
    });
    moved.map(|m| (m.from.slot.0, m.to.slot.0)).collect()
}

/// Fabrics side by side: 61 needles stand from L30 to R31; a mesh of ten in the middle begins at the 26th, and one at the
/// right end is the mirror image of one at the left. No eyelet lies outside its panel, and the words say what the plan does.
#[test]
fn panels_side_by_side() {
    let mesh = |panels: &str| proven(&cowl(&format!("stretch \"s\" {{ fabric \"plain\"; {panels}; rows 8; }}")));
    let middle = mesh("panel \"mesh\" needles=10 at=\"centre\"");
    let all = moves(&middle);
    assert_eq!(all.len(), 4 * 5, "{all:?}");
    assert_eq!(&all[..5], [(-5, -4), (-3, -2), (-1, 0), (1, 2), (3, 4)], "the first row moves to the right");
    assert_eq!(&all[5..10], [(-4, -5), (-2, -3), (0, -1), (2, 1), (4, 3)], "the second back to the left");
    let ends =
        mesh("panel \"mesh\" needles=6 at=\"left\" in=3; panel \"mesh\" needles=6 at=\"right\" in=3 mirrored=\"yes\"");
    let all = moves(&ends);
    for (from, to) in &all {
        assert!(all.contains(&(-from, -to)) || all.contains(&(1 - 1 - from, 1 - 1 - to)), "{from} to {to}: {all:?}");
        assert!((-27..-21).contains(from) || (22..28).contains(from), "{from}");
    }
    let said = handout(&middle, &[0], false);
    assert!(said.is_ok(), "read back from the words");
    let yarn = |p: &Proven| p.sizes()[0].pieces[0].yarn.metres;
    assert!((yarn(&middle) - yarn(&mesh("panel \"mesh\" repeats=5 at=\"centre\""))).abs() < 1e-9);
}

/// A panel of cables leaves the needles of its ladders out of work from the cast-on: 61 places less four ladders; the ropes cross
/// inside it. A section on other needles cannot come before it.
#[test]
fn a_panel_of_cables_has_its_ladders() {
    let with = |sections: &str| cowl(sections).replace("swatch \"net\"", "swatch \"2x2 cable\"");
    let cables = "stretch \"s\" { fabric \"plain\"; panel \"2x2 cable\" repeats=2; rows 8; }";
    let p = proven(&with(cables));
    assert_eq!(p.sizes()[0].stitches.pieces[0].stretches[0].needles, 61 - 4);
    let all = moves(&p);
    // Two ropes cross before rows 1 and 5, four stitches each, and none goes farther than two needles.
    assert_eq!(all.len(), 2 * 2 * 4);
    assert!(all.iter().all(|(from, to)| from.abs_diff(*to) == 2 && (-8..8).contains(from)), "{all:?}");
    assert!(handout(&p, &[0], false).is_ok(), "read back from the words");
    // The rope of a mirrored panel turns the other way: its other half is hung first.
    let turned = proven(&with(&cables.replace("repeats=2", "repeats=2 mirrored=\"yes\"")));
    let first = |p: &Proven| moves(p).first().map(|(from, to)| to > from);
    assert_eq!((first(&p), first(&turned)), (Some(true), Some(false)));
    let (design, _) = from_text(&with(&format!("stretch \"edge\" {{ fabric \"plain\"; rows 6; }}; {cables}")));
    let found = prove(&design.unwrap(), &[0]).notices;
    let told: String = found.iter().map(|n| n.1.told(Language::English).message).collect();
    assert!(told.contains("leaves some out of work"), "{told}");
}

/// Where a repeat begins: at an end, shared between the ends, mirrored, or matched across the seam.
#[test]
fn repeats_are_placed() {
    let of = |fabric: &str| {
        let p = proven(
            &cowl(&format!("stretch \"s\" {{ fabric \"chevron lace\" {fabric}; rows 12; }}"))
                .replace("\"net\"", "\"chevron lace\""),
        );
        moves(&p)
    };
    // 61 is eight repeats of seven and five over: at the left the first repeat's eyelets come from its third and fifth needle.
    assert!(of("").contains(&(-30 + 2, -30 + 1)));
    assert!(of("placed=\"right\"").contains(&(30 - 6 + 2, 30 - 6 + 1)));
    let centred = of("placed=\"centred\"");
    assert!(centred.contains(&(-30 + 2 + 2, -30 + 2 + 1)), "{centred:?}");
    let mirror = of("placed=\"alike\"");
    assert!(mirror.iter().all(|(a, b)| mirror.contains(&(-a, -b))), "{mirror:?}");
    assert!(mirror.len() > 20);
}

/// The width kept to whole repeats, a repeat turned round, and a panel moved out of the middle.
#[test]
fn whole_mirrored_and_moved() {
    let lace = |fabric: &str| {
        let text = cowl(&format!("stretch \"s\" {{ fabric \"mesh\" {fabric}; rows 4; }}"));
        proven(&text.replace("needles 61", "width (cm)19.4"))
    };
    let places = |p: &Proven| p.sizes()[0].stitches.pieces[0].places;
    assert_eq!(
        (places(&lace("")) % 2, places(&lace("whole=\"yes\"")) % 2),
        (1, 0),
        "61 is nearest; whole repeats are even"
    );
    let steps = |p: &Proven| moves(p).first().map(|(from, to)| to - from);
    assert_eq!((steps(&lace("")), steps(&lace("mirrored=\"yes\""))), (Some(1), Some(-1)));
    let moved = |by: u32| {
        let panel = format!("stretch \"s\" {{ fabric \"plain\"; panel \"mesh\" needles=10 in={by}; rows 4; }}");
        moves(&proven(&cowl(&panel))).first().copied()
    };
    assert_eq!((moved(0), moved(3)), (Some((-5, -4)), Some((-2, -1))));
}

/// Matched across a seam: nine whole repeats of seven needles between the stitch that each edge loses in it.
#[test]
fn repeats_meet_across_a_seam() {
    let text = cowl("stretch \"s\" { fabric \"chevron lace\" placed=\"seams\"; rows 12; }")
        .replace("\"net\"", "\"chevron lace\"")
        .replace("needles 61", "seam-allowance 1; width (cm)19");
    let p = proven(&text);
    assert_eq!(p.sizes()[0].stitches.pieces[0].places, 9 * 7 + 2);
    assert!(moves(&p).contains(&(-32 + 1 + 2, -32 + 1 + 1)), "{:?}", moves(&p));
}

/// What cannot lie side by side is refused where it is written, and says what would.
#[test]
fn panels_that_cannot_be_are_refused() {
    let of = |inside: &str| refused(&cowl(&format!("stretch \"s\" {{ rows 12; {inside} }}")));
    assert!(of("fabric \"plain\"; panel \"mesh\" at=\"left\";").contains("How wide is the panel"));
    assert!(of("fabric \"plain\"; panel \"pips\" needles=12;").contains("same yarns"));
    assert!(of("fabric \"plain\"; panel \"1x1 rib\" needles=12;").contains("two beds"));
    let tuck = cowl("stretch \"s\" { rows 12; fabric \"one-row tuck\"; panel \"bird's eye slip\" needles=12; }");
    assert!(refused(&tuck.replace("swatch \"net\"", "swatch \"one-row tuck\"")).contains("cannot do all three"));
    assert!(of("fabric \"plain\"; panel \"mesh\" needles=300;").contains("2 to 200"));
    let tuck = of("fabric \"plain\"; panel \"honeycomb tuck\" needles=12;");
    assert!(tuck.contains("not known"), "{tuck}");
    let size = |inside: &str| {
        let (design, notices) = from_text(&cowl(&format!("stretch \"s\" {{ rows 12; {inside} }}")));
        let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
        let found = prove(&design, &[0]).notices;
        found.iter().map(|n| n.1.told(Language::English).message).collect::<String>()
    };
    assert!(size("fabric \"plain\"; panel \"mesh\" needles=70;").contains("does not fit"));
    assert!(size("fabric \"plain\"; panel \"mesh\" needles=10 at=\"left\" in=52;").contains("does not fit"));
    assert!(
        size("fabric \"plain\"; panel \"mesh\" needles=40; panel \"mesh\" needles=14 at=\"left\";").contains("overlap")
    );
    let long = cowl("stretch \"s\" { fabric \"plain\"; rows 12; panel \"mesh\" needles=10; }");
    let with = |cm: &str| {
        let at = long.find("swatch \"mesh\"").unwrap();
        format!("{}{}", &long[..at], long[at..].replacen("(cm)14.6", cm, 1))
    };
    assert!(refused(&with("(cm)16.5")).contains("13% longer"));
    let (design, notices) = from_text(&with("(cm)15.5"));
    assert!(design.is_some() && notices.0.iter().any(|n| n.told(Language::English).message.contains("6% longer")));
}

/// What a drawing risks, cell by cell: the counts of the textbook's repeats, over the joint of two repeats too.
#[test]
fn drawings_tell_their_risks() {
    use latchwork::fabric::{Risk, risks};
    let of = |rows: &[&str]| {
        let rows: Vec<String> = rows.iter().map(ToString::to_string).collect();
        risks(&rows, 5, 4).iter().map(|a| (a.risk, a.row, a.cell, a.many)).collect::<Vec<_>>()
    };
    assert_eq!(of(&["k2", "kk22"]), []);
    assert_eq!(of(&["kkkkk2"]), [], "five missed is the limit");
    assert_eq!(of(&["2kkkkkkk"]), [(Risk::Float, 0, 1, 7)], "seven is past it: source 11 of the handbook's table");
    assert_eq!(of(&["222k2222"]), [(Risk::Float, 0, 4, 7)], "a float of the other yarn, over the joint");
    assert_eq!(of(&["kk------"]), [(Risk::Float, 0, 2, 6)]);
    assert_eq!(of(&["tkkt", "kkkk"]), [(Risk::Beside, 0, 3, 2)], "two tucks meet at the joint");
    assert_eq!(of(&["tk", "tk", "tk", "tk", "tk", "kk"]), [(Risk::Stacked, 0, 0, 5)]);
    assert_eq!(of(&["-2222222"]), [], "a row of the second yarn alone has no float of the first");
    assert_eq!(of(&["2------2"]), [(Risk::Float, 0, 1, 6)]);
    assert_eq!(of(&["k<k>"]), []);
    assert_eq!(of(&[">kk<"]), [(Risk::Emptied, 0, 3, 2)], "two emptied needles meet at the joint of two repeats");
    assert_eq!(of(&["k<>k"]), [(Risk::Emptied, 0, 1, 2)]);
    assert_eq!(of(&["k><k", "k<<k"]), [], "facing each other, or one after the other: one needle is empty");
    let both = "k2";
    assert_eq!(of(&[both, "kk", "kk", both]), [], "a pair of rows brings the carriage back to where the yarn waits");
    assert_eq!(of(&[both, "kk", both, "kk", "kk"]), [(Risk::Waits, 1, 0, 1)]);
    assert_eq!(of(&["kk", both, both, "kk", "kk"]), [(Risk::Waits, 3, 0, 3)], "over the joint of two repeats");
    assert_eq!(
        of(&["kk", "22", "22", "22"]),
        [(Risk::Waits, 1, 0, 3), (Risk::Waits, 0, 0, 1)],
        "each of the two yarns"
    );
    for f in built_in().iter().filter(|f| ["two yarns in a row", "tuck", "lace", "mosaic"].contains(&f.kind.as_str())) {
        let Some(rows) = f.signs() else { continue };
        assert_eq!(risks(&rows, 6, 4), [], "{}", f.name);
    }
}

/// A fabric whose rows are drawn as signs and read again is the same: tucks, slips, two yarns, rows of the second yarn alone,
/// laid-in yarn, eyelets. Crossings and two beds have no such rows.
#[test]
fn drawings_are_read_as_they_are_drawn() {
    let mut kinds: Vec<&str> = Vec::new();
    for f in built_in().iter() {
        let Some(rows) = f.signs() else { continue };
        let rows: String = rows.iter().rev().map(|r| format!("row \"{r}\"\n")).collect();
        let text =
            format!("fabric \"drawn\" kind=\"t\" {{ like \"plain\"; shaping because=\"drawn\"; grid {{ {rows} }} }}");
        let mut notices = Notices::default();
        let drawn = fabrics(&text, built_in(), "", &mut notices).into_iter().next();
        let drawn = drawn.unwrap_or_else(|| panic!("{text} {:?}", notices.0));
        // Which of two moves comes first makes no difference.
        let in_order = |f: &Fabric| {
            let mut repeat = f.repeat.clone();
            let way = |h: &Hand| if let Hand::Eyelet { by, .. } = h { *by } else { 0 };
            repeat.iter_mut().for_each(|t| t.hands.sort_by_key(way));
            repeat
        };
        assert_eq!(in_order(&drawn), in_order(f), "{}\n{rows}", f.name);
        kinds.push(&f.kind);
    }
    for kind in ["plain", "tuck", "slip", "two yarns in a row", "laid-in yarn", "mosaic", "lace"] {
        assert!(kinds.contains(&kind), "{kind}: {kinds:?}");
    }
    assert!(!kinds.iter().any(|k| ["cable", "rib", "two-bed colour"].contains(k)), "{kinds:?}");
    let signs = |name: &str| latchwork::fabric::find(name).unwrap().signs().unwrap();
    assert_eq!(signs("mesh"), [">k", "kk", "k<", "kk"]);
    assert_eq!(signs("mosaic"), ["kk-k", "kk-k", "-222", "-222"]);
}

/// A pattern of which not one repeat fits is told, with both widths.
#[test]
fn a_grid_wider_than_the_work_is_told() {
    let wide = format!("{}T", ".".repeat(61));
    let told = |row: &str| {
        let text = format!(
            "{}\n{}",
            cowl("stretch \"s\" { fabric \"drawn\"; rows 8; }"),
            document(&[row, &".".repeat(row.len())])
        );
        let (design, _) = from_text(&text);
        let notices = prove(&design.unwrap(), &[0]).notices;
        notices.iter().map(|n| n.1.told(Language::English).message + "\n").collect::<String>()
    };
    let said = "One repeat of drawn is 62 needles wide, and \"s\" has 61 in size one.";
    assert!(told(&wide).contains(said), "{}", told(&wide));
    assert!(!told(&wide[1..]).contains("needles wide"), "{}", told(&wide[1..]));
}

/// Tucks that lie on the hooks where a section ends count with those of the next section's first rows.
#[test]
fn tucks_add_up_from_section_to_section() {
    let later = document(&["T.", "T.", "..", ".."]).replace("drawn", "later");
    let fabrics = format!("{}\n{later}", document(&["..", "T.", "T.", "T."]));
    let told = |sections: &str| {
        let swatched = cowl(sections).replace("swatch \"mesh\"", "swatch \"later\"");
        let (design, notices) = from_text(&format!("{swatched}\n{fabrics}"));
        let outcome = prove(&design.unwrap_or_else(|| panic!("{:?}", notices.0)), &[0]);
        let errors = outcome.notices.iter().filter(|n| n.1.level == Level::Error);
        errors.map(|n| n.1.told(Language::English).message).collect::<Vec<_>>()
    };
    let section = |name: &str| format!("stretch \"{name}\" {{ fabric \"{name}\"; rows 8; }}");
    let rest = "stretch \"rest\" { fabric \"plain\"; rows 2; }";
    let errors = told(&[section("drawn"), section("later")].join("; "));
    assert!(errors.len() == 1 && errors[0].contains("5 tucks; the limit is 4"), "{errors:?}");
    assert_eq!(told(&[section("drawn"), rest.into(), section("later")].join("; ")), [""; 0]);
}

/// Documents of fabrics with signs and words changed at random are read or refused, each fault at its place.
#[test]
fn the_reader_of_grids_survives_noise() {
    let good = include_str!("../../crates/latchwork/src/fabric/library/patterns.kdl");
    let whole: Vec<&str> = good.split("\n\n").filter(|f| f.contains("fabric \"")).collect();
    let mut state = 7_u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let signs = ['k', 't', '-', '2', 'w', 'x', '.', '"', '{', '}', '=', '1', '9', ' ', '\n', 'é'];
    for _ in 0..sample::of(3_000, 300_000) {
        let mut text: Vec<char> = whole[next(whole.len())].chars().collect();
        for _ in 0..1 + next(6) {
            let at = next(text.len());
            text[at] = signs[next(signs.len())];
        }
        let text: String = text.into_iter().collect();
        let mut notices = Notices::default();
        let found = fabrics(&text, built_in(), "", &mut notices);
        assert!(!found.is_empty() || !notices.0.is_empty(), "{text}");
        for n in &notices.0 {
            let span = n.span.unwrap_or_default();
            assert!(span.start + span.len <= text.len() + 1, "{text} {n:?}");
        }
    }
}
