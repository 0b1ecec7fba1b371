//! Drafts against worked and published cases: the percentage system, a baby's chart, shawls, gussets, a heel's passage, strings of sizes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::measure::BUILT_IN;
use latchwork::revise::{Asked, Starter};
use latchwork_tests::garments::{piece, proven};

/// A starter for a standard machine, its plain swatched at 28 stitches and 40 rows to 10 cm.
fn started(name: &str) -> Proven {
    let asked = Asked::of(&BUILT_IN[1]);
    let text = Starter::find(name).unwrap().begun(&asked).unwrap().text;
    let at = text.find("swatch \"plain\"").unwrap();
    let swatch = "swatch \"plain\" { stitch-size 6; counted needles=40 passes=60; flat (cm)14.286 (cm)15; weighed (g)18 needles=60 passes=90; state \"washed\"; }\n";
    // The swatch that the starter was given ends at its closing brace.
    let end = at + text[at..].find("\n}").unwrap() + 2;
    let text = format!("{}{swatch}{}", &text[..at], &text[end..]);
    let design = from_text(&text).0.unwrap_or_else(|| panic!("{text}"));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices))
}

fn size<'a>(p: &'a Proven, name: &str) -> &'a latchwork::check::SizeProof {
    p.sizes().iter().find(|s| p.design().sizes[s.size].name == name).unwrap()
}

/// Needles at the beginning and at the end, and rows, of a stretch.
fn of(p: &Proven, name: &str, piece: usize, stretch: usize) -> (u32, u32, u32) {
    let w = &size(p, name).stitches.pieces[piece].stretches[stretch];
    (w.needles, w.needles_end, w.rows)
}

/// A cardigan for twelve months at 28 by 40: back 71 stitches, armhole of 42 rows, sleeve from 59 to 41 (facts on garments, section 8,
/// worked there), each with the two stitches of its seams; and the chart's chests and lengths from the shoulder in inches (a public
/// chart, smart-knit-crocheting.com/baby-sweater-size-chart.html): at 3 to 6 months 16 to 18 and 10 to 11, then an inch more each step.
#[test]
fn a_babys_cardigan() {
    let p = started("baby-cardigan");
    let back = of(&p, "12-months", 0, 1);
    assert!((71 + 2 - 1..=71 + 2 + 1).contains(&back.0), "{back:?}");
    let armhole = of(&p, "12-months", 0, 2).2 + of(&p, "12-months", 0, 3).2;
    assert!((40..=44).contains(&armhole), "{armhole}");
    let front = of(&p, "12-months", 1, 1);
    assert!((32..=34).contains(&front.0), "32 and the stitch of its side seam: {front:?}");
    let sleeve = of(&p, "12-months", 2, 0);
    assert!((60..=62).contains(&sleeve.0) && (42..=44).contains(&sleeve.1), "{sleeve:?}");
    let chart = [
        ("3-months", 16.0, 10.0),
        ("6-months", 18.0, 11.0),
        ("12-months", 19.0, 12.0),
        ("18-months", 20.0, 13.0),
        ("24-months", 21.0, 14.0),
    ];
    for (name, chest, length) in chart {
        let s = size(&p, name);
        let round = s.fit.iter().find(|m| m.piece == 0 && m.body.is_some()).unwrap().achieved.0 / 25.4;
        // To the inch above the first size's two.
        let above = if name == "3-months" { 2.0 } else { 1.0 };
        assert!((chest - 0.3..=chest + above + 0.3).contains(&round), "{name}: {round:.1} in round");
        let long = s.stitches.pieces[0].measured().0 / 25.4;
        assert!((length - 0.5..=length + 1.5).contains(&long), "{name}: {long:.1} in long");
    }
}

/// The percentage system (E. Zimmermann; facts on sizes, section 5.3): of 42 inches at 5 stitches to the inch, K = 210, the wrist takes 20%,
/// the upper arm 33%, an underarm 8%; a sleeve of 18 inches at 7 rows to the inch has 126. Within a stitch and two rows.
#[test]
fn a_sweater_by_percentages() {
    let text = "title \"By percentages\"\nmachine \"standard\"\nyarn \"sea\" { count (tex)330; ball (g)50; }
        swatch \"plain\" { stitch-size 8; counted needles=50 passes=70; flat (cm)25.4 (cm)25.4; weighed (g)40 needles=50 passes=70; state \"washed\"; }
        sizes { size \"42\" { chest-girth (cm)106.68; sleeve (cm)45.72; }; }
        measure \"wrist\" { plus (percent)20 of=\"chest-girth\"; }
        measure \"upper arm\" { plus (percent)33 of=\"chest-girth\"; }
        measure \"across\" { plus (percent)42 of=\"chest-girth\"; }
        piece \"body\" {
            make 2
            seam-allowance 0
            stretch \"body\" { fabric \"plain\"; length (cm)40; around \"chest-girth\" (cm)0 shared=2; }
            stretch \"underarm\" { fabric \"plain\"; length (cm)3; decrease { width (percent)100 of=\"across\"; cast-off (cm)4.2672; }; }
            ending \"chain\"
        }
        piece \"sleeve\" {
            make 2
            seam-allowance 0
            stretch \"arm\" { fabric \"plain\"; width (percent)100 of=\"wrist\"; length (percent)100 of=\"sleeve\"; increase { width (percent)100 of=\"upper arm\"; }; }
            ending \"chain\"
        }\n";
    let p = proven(text);
    let near = |got: u32, wanted: f64, by: f64| (f64::from(got) - wanted).abs() <= by;
    let body = of(&p, "42", 0, 0);
    assert!(near(body.0, 210.0 / 2.0, 1.0), "{body:?}");
    let arm = of(&p, "42", 1, 0);
    assert!(near(arm.0, 42.0, 1.0) && near(arm.1, 0.33 * 210.0, 1.0) && near(arm.2, 126.0, 2.0), "{arm:?}");
    let underarm = &p.sizes()[0].stitches.pieces[0].stretches[1];
    let off: u32 = underarm.shapings.iter().filter(|s| s.row <= 1).map(|s| s.stitches).max().unwrap();
    assert!(near(off, 0.08 * 210.0 / 2.0, 1.0), "half an underarm at each end: {off}");
}

/// The slanted edge of half a triangle rises by as many millimetres as it widens: at 28 by 40 seven stitches in ten rows, spread evenly
/// (facts on garments, section 12, worked there).
#[test]
fn a_half_triangle_slants_by_half_a_right_angle() {
    let text = piece(
        7,
        "stretch \"triangle\" { fabric \"plain\"; length (cm)48; increase { width (cm)50.5; at \"left\"; curve \"straight\"; }; }",
    );
    let p = proven(&text);
    let w = &p.sizes()[0].stitches.pieces[0].stretches[0];
    assert_eq!((w.rows, w.needles, w.needles_end.abs_diff(7 + 134) <= 1), (192, 7, true));
    let mut sum = 0;
    for s in &w.shapings {
        sum += s.stitches;
        assert!((f64::from(sum) - 0.7 * f64::from(s.row)).abs() <= 1.5, "{sum} at row {}", s.row);
    }
    // From change to change it is a little longer than the hypotenuse, as the intervals are whole rows.
    let edge = w.edge(latchwork::design::EdgeKind::Left).0;
    assert!((edge / 480.0_f64.hypot(134.0 / 2.8 * 10.0) - 1.0).abs() < 0.02, "{edge}");
}

/// A gusset takes 30 to 43% of the hand's stitches in published mittens (14 of 40, 15 of 42, 18 of 42, 18 of 60: facts on garments, section
/// 11); here in every size, the two stitches of its seam not counted.
#[test]
fn a_gusset_has_its_share_of_the_hand() {
    let p = started("mitten");
    for s in p.sizes() {
        let [hand, thumb] = [0, 1].map(|k| &s.stitches.pieces[k]);
        let (hand, thumb) = (hand.stretches[1].needles - 2, thumb.stretches[0].needles_end - 2);
        let share = f64::from(thumb) / f64::from(hand);
        assert!((0.30..=0.43).contains(&share), "{}: {thumb} of {hand}", p.design().sizes[s.size].name);
    }
}

/// The heel passes a tube of 0.9 of the ball where it stretches by half: 1.363 of 22.8 cm through 20.0 cm needs 55% (facts on garments,
/// section 10, worked there). It is told in every size.
#[test]
fn the_heel_passes_and_is_told() {
    let asked = Asked::of(&BUILT_IN[1]);
    let text = Starter::find("tube-sock").unwrap().begun(&asked).unwrap().text;
    let design = from_text(&text).0.unwrap();
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    for s in prove(&design, &all).sizes.iter() {
        let (over, opens) = s.sheet.iter().find_map(|l| l.passes_over.clone()).unwrap();
        assert!(over == "heel-girth" && (0.45..0.58).contains(&opens.needed), "{opens:?}");
        assert!(!s.notices.0.is_empty(), "past the usual stretch of its fabric it is told");
    }
}

/// A published string of sizes: shoulders of 12 (16, 18, 20, 22, 26, 28, 30) stitches beside a neck of 41 are cast off as 4 (6, 6, 6, 8, 8, 10,
/// 10) once and 4 (5, 6, 7, 7, 9, 9, 10) twice (blog.berroco.com/2016/10/19). The same groups, whichever comes first.
#[test]
fn shoulders_of_a_published_string() {
    let once = [4, 6, 6, 6, 8, 8, 10, 10];
    let twice = [4, 5, 6, 7, 7, 9, 9, 10];
    for (n, (a, b)) in [12, 16, 18, 20, 22, 26, 28, 30].into_iter().zip(once.into_iter().zip(twice)) {
        let text = piece(
            2 * n + 41,
            "stretch \"body\" { fabric \"plain\"; rows 20; }; stretch \"yoke\" { fabric \"plain\"; rows 12; neck 1 { middle (percent)100; width (cm)14.643; }; shoulder 3; }",
        );
        let p = proven(&text);
        let slope = p.sizes()[0].stitches.pieces[0].stretches[1].parts.as_ref().unwrap().slope.clone().unwrap();
        let mut groups: Vec<u32> = slope.groups.iter().map(|g| g.1).collect();
        groups.push(n - groups.iter().sum::<u32>());
        let mut published = vec![a, b, b];
        groups.sort_unstable();
        published.sort_unstable();
        assert_eq!(groups, published, "{n} stitches");
    }
}
