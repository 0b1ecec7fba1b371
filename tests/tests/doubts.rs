//! A reader's doubts of swatches, and what a swatch can be expected to measure. Each doubt has a trigger and a near
//! miss; the figures are those of the constants named with the fabrics.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::design::{Shelf, book_from_text, from_text, from_text_with};
use latchwork::fabric::{built_in, find};
use latchwork::handout::{SwatchPlan, card, expected_swatch, rehearsed_swatch};
use latchwork::measure::{Machine, Yarn, expectations, expected, find_machine};
use latchwork::notice::{Level, Notice};
use latchwork::units::{Mm, Tex};
use latchwork::wording::Language;
use latchwork_machine::steps::{Action, Way};

/// Warnings of a book on a machine, in one line each.
fn told_on(machine: &str, count: &str, swatches: &str) -> Vec<String> {
    let (book, notices) =
        book_from_text(&format!("machine \"{machine}\"\nyarn \"harbour sock\" {{ count {count}; }}\n{swatches}"));
    assert!(book.is_some(), "a doubt is no error: {:?}", notices.0);
    let line = |n: &Notice| {
        format!(
            "{} {} {}",
            n.told(Language::English).message,
            n.told(Language::English).why,
            n.told(Language::English).hints.join(" ")
        )
    };
    notices.0.iter().inspect(|n| assert_eq!(n.level, Level::Warning)).map(line).collect()
}

fn told(swatches: &str) -> Vec<String> {
    told_on("standard", "(\"m/100g\")420", swatches)
}

/// A washed swatch by needles and passes in 10 cm, and more.
fn swatch(fabric: &str, needles: f64, passes: f64, more: &str) -> String {
    format!(
        "swatch \"{fabric}\" {{ stitch-size 3; counted needles={needles} passes={passes}; flat (cm)10 (cm)10; {more} state \"washed\"; }}\n"
    )
}

fn weighed(grams: f64) -> String {
    format!("weighed (g){grams} needles=60 passes=90;")
}

#[track_caller]
fn one(found: &[String], parts: &[&str]) {
    let [only] = found else { panic!("one finding: {found:#?}") };
    for part in parts {
        assert!(only.contains(part), "no \"{part}\" in {only}");
    }
}

#[track_caller]
fn none(found: &[String]) {
    assert!(found.is_empty(), "{found:#?}");
}

/// The facts' own case: the yarn says rib, the needles say pinned out. The corrected set is believed.
#[test]
fn what_the_examples_once_said() {
    one(
        &told(&swatch("1x1 rib", 24.0, 36.0, &weighed(14.0))),
        &[
            "24 needles in 10 cm it looks pinned out",
            "1x1 rib in this yarn draws in to about 48",
            "10.9 mm",
            "both beds together",
        ],
    );
    one(
        &told(&swatch("half cardigan", 22.0, 44.0, &weighed(14.0))),
        &["22 needles in 10 cm it looks pinned out", "half cardigan in this yarn draws in to about 40"],
    );
    let corrected = [
        ("1x1 rib", 48.0, 44.0, 14.0),
        ("half cardigan", 36.0, 68.0, 15.6),
        ("full cardigan", 32.0, 74.0, 15.6),
        ("plain", 31.5, 41.0, 16.7),
    ];
    none(&told(&corrected.map(|(f, n, p, g)| swatch(f, n, p, &weighed(g))).concat()));
    // A twentieth more or less is still such a cloth.
    for off in [0.95, 1.05] {
        none(&told(&corrected.map(|(f, n, p, g)| swatch(f, n * off, p * off, &weighed(g))).concat()));
    }
}

/// The square of the loop over its area: 22 to 30 for 1x1 rib, 17 to 25 for plain, 30 to 44 for cardigans.
#[test]
fn loop_against_gauge() {
    // 14 g of 238 tex: loops of 10.89 mm, and L² is 118.6.
    let rib = |needles: f64| told(&swatch("1x1 rib", needles, 44.0, &weighed(14.0)));
    one(&rib(41.0), &["41 needles in 10 cm it looks pinned out"]); // 21.4
    none(&rib(43.0)); // 22.4
    none(&rib(57.0)); // 29.7
    one(&rib(58.0), &["58 needles in 10 cm look too many", "each once"]); // 30.3
    let plain = |passes: f64| told(&swatch("plain", 30.0, passes, &weighed(16.7)));
    one(&plain(31.0), &["31 rows in 10 cm look too few: plain in this yarn has about 41"]);
    none(&plain(34.0));
    none(&plain(49.0)); // 24.8
    one(&plain(50.0), &["50 rows in 10 cm look too many"]);
    let cardigan = |passes: f64| told(&swatch("half cardigan", 36.0, passes, &weighed(15.6)));
    // Rows of the tucking face: half of the passes.
    one(
        &cardigan(34.0),
        &["34 rows in 10 cm look too few", "A face of this fabric shows fewer rows than were knitted"],
    );
    one(&cardigan(56.0), &["look too few"]); // 29.7
    none(&cardigan(58.0)); // 30.7
    none(&cardigan(82.0)); // 43.5
    one(&cardigan(84.0), &["84 rows in 10 cm look too many"]); // 44.5
}

/// Gauge and needles in keeping, and the weight not: a slip of the scales, or of what was weighed.
#[test]
fn weight_against_gauge() {
    one(
        &told(&swatch("1x1 rib", 48.0, 44.0, &weighed(17.0))),
        &["17.0 g looks too much for 60 needles by 90 rows", "takes about 14.0 g", "Check the scales"],
    );
    one(&told(&swatch("1x1 rib", 48.0, 44.0, &weighed(12.9))), &["12.9 g looks too little"]);
    none(&told(&swatch("1x1 rib", 48.0, 44.0, &weighed(13.2))));
    none(&told(&swatch("1x1 rib", 48.0, 44.0, &weighed(15.0))));
    let pulled = |loops: f64, tucks: f64| {
        told(&swatch(
            "half cardigan",
            36.0,
            68.0,
            &format!("unravelled (cm){loops} loops=50; unravelled (cm){tucks} tucks=50;"),
        ))
    };
    one(&pulled(82.0, 62.0), &["The unravelled yarn does not match the gauge"]);
    none(&pulled(64.7, 48.5));
}

/// The root of tex over the loop, 0.8 to 1.6, and loop over pitch, 2.2 to 4.3: a loop that yarn or needles cannot give.
#[test]
fn loops_that_cannot_be() {
    // √238 is 15.43: 9.6 to 19.3 mm.
    let rib = |grams: f64, needles: f64, passes: f64| told(&swatch("1x1 rib", needles, passes, &weighed(grams)));
    one(&rib(12.2, 54.0, 50.0), &["12.2 g is too little: each loop would take 9.5 mm", "238 tex", "10 to 19 mm"]);
    none(&rib(12.9, 54.0, 48.0)); // 10.0 mm
    one(&rib(25.1, 27.0, 25.0), &["25.1 g is too much: each loop would take 19.5 mm"]);
    none(&rib(24.5, 27.0, 25.5)); // 19.1 mm
    // 2.2 times 4.5 is 9.9: a thin yarn that 4.5 mm cannot hold so tightly.
    let thin = |grams: f64| told_on("standard", "(tex)180", &swatch("1x1 rib", 53.0, 49.0, &weighed(grams)));
    one(
        &thin(9.5),
        &["9.5 g is too little: each loop would take 9.8 mm", "Needles 4.5 mm apart make loops of about 10 to 19 mm"],
    );
    none(&thin(9.7)); // 10.0 mm
    // 4.3 times 4.5 is 19.35: a thick one.
    let thick = |grams: f64| told_on("standard", "(tex)420", &swatch("plain", 23.0, 27.5, &weighed(grams)));
    one(&thick(44.4), &["44.4 g is too much: each loop would take 19.6 mm", "Needles 4.5 mm apart"]);
    none(&thick(43.6)); // 19.2 mm
    // Every needle of both beds: shorter loops, from 1.6 times.
    let full = |needles: f64| {
        told_on(
            "standard",
            "(tex)130",
            &swatch("full needle rib", needles, 56.0, "weighed (g)5.97 needles=60 passes=90;"),
        )
    };
    none(&full(61.0)); // 8.5 mm
}

/// Without a weight the gauge alone can be one that no loop gives.
#[test]
fn gauge_alone() {
    let rib = |needles: f64, passes: f64| told(&swatch("1x1 rib", needles, passes, ""));
    one(&rib(24.0, 36.0), &["24 needles in 10 cm it looks pinned out: 1x1 rib in this yarn draws in to about 48"]);
    none(&rib(26.0, 36.0));
    one(&rib(58.0, 48.0), &["58 needles in 10 cm look too many"]);
    none(&rib(56.0, 48.0));
    one(&rib(40.0, 22.0), &["22 rows in 10 cm look wrong: 1x1 rib in this yarn has about 44"]);
    none(&rib(40.0, 24.0));
    // Nothing is known of Milano except that it draws in.
    one(&told(&swatch("milano", 44.0, 60.0, "")), &["wider than it was on the needles", "2.2 mm"]);
    none(&told(&swatch("milano", 45.0, 60.0, "")));
}

/// The bed is wider than the cloth at rest; plain has 1.1 to 1.75 passes to a needle.
#[test]
fn width_on_the_bed_and_shape_of_plain() {
    // 22.2 needles of 4.5 mm lie in 10 cm.
    let bulky = |needles: f64| told_on("bulky", "(tex)1000", &swatch("plain", needles, 15.0, ""));
    one(&bulky(11.0), &["wider than it was on the needles", "9.1 mm"]);
    none(&bulky(11.2));
    let plain = |passes: f64| told(&swatch("plain", 30.0, passes, ""));
    one(&plain(32.7), &["do not look like plain", "1.09"]);
    none(&plain(33.1));
    none(&plain(52.4));
    one(&plain(52.6), &["do not look like plain"]);
}

/// Fabrics of one yarn beside each other: rib narrower than plain, cardigans wider and shorter than rib.
#[test]
fn fabrics_beside_each_other() {
    let pair = |a: (&str, f64, f64), b: (&str, f64, f64)| told(&[a, b].map(|(f, n, p)| swatch(f, n, p, "")).concat());
    one(
        &pair(("plain", 36.0, 46.0), ("1x1 rib", 36.0, 33.0)),
        &["This 1x1 rib is no narrower than plain", "36 needles in 10 cm against 36"],
    );
    none(&pair(("plain", 36.0, 46.0), ("1x1 rib", 37.0, 33.0)));
    one(
        &pair(("1x1 rib", 44.0, 44.0), ("half cardigan", 44.0, 68.0)),
        &["This half cardigan is no wider than 1x1 rib", "tucks"],
    );
    none(&pair(("1x1 rib", 44.0, 44.0), ("half cardigan", 43.0, 68.0)));
    one(
        &pair(("1x1 rib", 48.0, 48.0), ("full cardigan", 30.0, 48.0)),
        &["This full cardigan is no shorter than 1x1 rib"],
    );
    none(&pair(("1x1 rib", 48.0, 48.0), ("full cardigan", 30.0, 49.0)));
    // Another state is another cloth.
    let rested = swatch("1x1 rib", 36.0, 33.0, "").replace("washed", "rested");
    none(&told(&(swatch("plain", 36.0, 46.0, "") + &rested)));
}

/// What was never knitted is not doubted, and what cannot be is refused, not doubted.
#[test]
fn no_doubt_of_what_was_reckoned_or_refused() {
    none(&told(&swatch("1x1 rib", 24.0, 36.0, "reckoned-from \"mid\";")));
    let (book, notices) = book_from_text(
        "machine \"standard\"\nyarn \"y\" { count (tex)238; }\nswatch \"1x1 rib\" { stitch-size 3; counted needles=40 passes=60; flat (m)3 (m)3; state \"washed\"; }",
    );
    assert!(book.is_none() && notices.0.len() == 1, "{:?}", notices.0);
}

/// The page of facts, section 4: 238 tex at 4.5 mm; section 5: other pitches.
#[test]
fn what_to_expect() {
    let within = |is: f64, low: f64, high: f64| assert!((low..=high).contains(&is), "{is} is not {low} to {high}");
    let rib = find("1x1 rib").unwrap();
    let e = expected(rib, Mm(10.889)).unwrap();
    within(e.needles, 47.5, 48.5);
    within(e.passes, 43.5, 44.5);
    within(e.grams(rib, Tex(238.095), 60.0, 90.0), 13.99, 14.01);
    let band = |fabric: &str, tex: f64, pitch: f64| expectations(find(fabric).unwrap(), Tex(tex), Mm(pitch)).unwrap();
    // Firm to soft lies in the plausible band: 44 to 53 needles, 40 to 48 passes.
    let [firm, usual, soft] = band("1x1 rib", 238.1, 4.5);
    within(soft.needles, 43.5, usual.needles);
    within(firm.needles, usual.needles, 53.0);
    within(usual.needles, 47.0, 49.0);
    let half = band("half cardigan", 238.1, 4.5)[1];
    within(half.needles, 35.0, 37.0);
    within(half.passes, 66.0, 70.0);
    within(half.grams(find("half cardigan").unwrap(), Tex(238.1), 60.0, 90.0), 15.4, 15.8);
    within(band("full cardigan", 238.1, 4.5)[1].needles, 31.0, 33.0);
    within(band("plain", 238.1, 4.5)[1].needles, 31.0, 32.5);
    // Section 5, soft to usual.
    for (fabric, pitch, tex, needles, passes) in [
        ("1x1 rib", 3.6, 125.0, 62.7, 57.8),
        ("1x1 rib", 4.5, 333.0, 41.6, 38.4),
        ("1x1 rib", 6.5, 435.0, 33.5, 31.0),
        ("half cardigan", 6.5, 435.0, 26.1, 49.8),
        ("full cardigan", 6.5, 435.0, 24.8, 58.4),
        ("half cardigan", 9.0, 909.0, 17.4, 33.2),
    ] {
        let [firm, _, soft] = band(fabric, tex, pitch);
        within(needles, soft.needles * 0.95, firm.needles * 1.05);
        within(passes, soft.passes * 0.95, firm.passes * 1.05);
    }
    // A tube's flat width holds twice the needles of plain.
    let (tube, plain) = (band("tubular", 238.1, 4.5)[1], band("plain", 238.1, 4.5)[1]);
    within(tube.needles / plain.needles, 1.999, 2.001);
    // What is expected is not doubted.
    for f in built_in().iter().filter(|f| f.relaxed.is_some()) {
        for e in expectations(f, Tex(238.095), Mm(4.5)).unwrap() {
            let grams = e.grams(f, Tex(238.095), 60.0, 90.0);
            none(&told(&swatch(&f.name, e.needles, e.passes, &weighed(grams))));
            none(&told(&swatch(&f.name, e.needles, e.passes, "")));
        }
    }
    assert!(expectations(find("milano").unwrap(), Tex(238.0), Mm(4.5)).is_none(), "nothing was found");
}

const TUBE: &str = "title \"T\"\nmachine \"standard\" { MACHINE }\nyarn \"y\" { count (tex)238; }
    swatch \"plain\" { stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }
    swatch \"1x1 rib\" { stitch-size 3; counted needles=40 passes=60; flat (cm)8.3 (cm)13.6; weighed (g)14 needles=60 passes=90; state \"washed\"; }
    sizes { size \"one\" { x (cm)20; }; }
    piece \"p\" { needles COUNT; stretch \"s\" { fabric \"FABRIC\"; rows 40; }; ending \"gather\"; }";

fn gathered(machine: &str, fabric: &str, count: u32) -> (Vec<Action>, u32) {
    let text = TUBE.replace("MACHINE", machine).replace("FABRIC", fabric).replace("COUNT", &count.to_string());
    let (design, notices) = from_text(&text);
    let outcome = prove(&design.unwrap_or_else(|| panic!("{:?}", notices.0)), &[0]);
    let proven = outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices));
    let steps: Vec<Action> = proven.sizes()[0].plans.pieces[0].plan.steps.iter().map(|s| s.action.clone()).collect();
    let secured = steps.iter().find_map(|a| match a {
        Action::Secure { needles, way: Way::Gathered, .. } => u32::try_from(needles.len()).ok(),
        _ => None,
    });
    (steps, secured.unwrap())
}

fn moved(steps: &[Action]) -> usize {
    steps.iter().filter(|a| matches!(a, Action::Transfer(_))).count()
}

/// Many loops are halved before they are gathered; how many is the owner's to say. A ribber's loops are laid straight on
/// their neighbours, and moved once.
#[test]
fn many_loops_are_halved_before_they_are_gathered() {
    let of = |machine, fabric, count| {
        let (steps, loops) = gathered(machine, fabric, count);
        (moved(&steps), loops)
    };
    assert_eq!(of("", "plain", 60), (0, 60));
    assert_eq!(of("", "plain", 61), (30, 31));
    assert_eq!(of("", "plain", 72), (36, 36));
    assert_eq!(of("", "1x1 rib", 59), (29, 59));
    assert_eq!(of("", "1x1 rib", 111), (55, 56));
    assert_eq!(of("most-gathered 120;", "1x1 rib", 111), (55, 111));
    assert_eq!(of("most-gathered 40;", "plain", 60), (30, 30));
}

fn hung(steps: &[Action]) -> u32 {
    let each = |a: &Action| match a {
        Action::Hang { grams, .. } => *grams,
        _ => 0,
    };
    steps.iter().map(each).sum()
}

/// One bed alone needs less weight than two; both are the owner's to say.
#[test]
fn weights_for_one_bed_and_for_two() {
    let of = |machine: &str, fabric: &str| hung(&gathered(machine, fabric, if fabric == "plain" { 72 } else { 71 }).0);
    assert_eq!(of("", "plain"), 200);
    assert_eq!(of("", "1x1 rib"), 350);
    assert_eq!(of("weight-aim (g)6 (g)2;", "plain"), 144);
    assert_eq!(of("weight-aim (g)6 (g)2;", "1x1 rib"), 450);
    let outside = TUBE.replace("MACHINE", "weight-aim (g)20 (g)2;").replace("FABRIC", "plain").replace("COUNT", "60");
    let notices = from_text(&outside).1;
    assert!(
        notices.0.iter().any(|n| n.told(Language::English).message.contains("outside the weight band")),
        "{:?}",
        notices.0
    );
}

/// Weights for one bed lie near the least that the bed needs: a piece that grows is given more in time, and what ends
/// on waste yarn has its claws moved up for those rows too.
#[test]
fn a_growing_piece_keeps_its_weights() {
    let text = include_str!("../../benches/benches/jersey.kdl");
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    assert!(outcome.notices.is_empty(), "{:#?}", outcome.notices);
}

/// Every fabric's own limits, a hundredth and a half to either side.
#[test]
fn each_fabric_by_its_own_limits() {
    let tex = Tex(238.0952);
    let mut tried = 0;
    for f in built_in() {
        let Some(r) = &f.relaxed else { continue };
        let [firm, e, soft] = expectations(f, tex, Mm(4.5)).unwrap();
        assert!((firm.loop_length.0 / e.loop_length.0 - 0.92).abs() < 0.08 && soft.loop_length.0 >= e.loop_length.0);
        let grams = weighed(e.grams(f, tex, 60.0, 90.0));
        let area = r.width * r.length;
        let with = |share: f64| match f.name.as_str() {
            "plain" | "purl side of plain" => told(&swatch(&f.name, e.needles * share, e.passes, &grams)),
            _ => told(&swatch(&f.name, e.needles, e.passes * share, &grams)),
        };
        for (limit, out) in [(r.area.0, 0.985), (r.area.1, 1.015)] {
            assert_eq!(with(limit * out / area).len(), 1, "{} past {limit}", f.name);
            none(&with(limit / out / area));
        }
        tried += 1;
    }
    assert_eq!(tried, 10);
}

/// The table on the card and of `swatch expect`.
#[test]
fn the_card_says_what_to_expect() {
    let plan = |fabric: &str, dials: Vec<(u8, u8)>| SwatchPlan {
        fabric: find(fabric).unwrap().clone(),
        yarn: Yarn { name: "harbour sock".to_string(), tex: Tex(238.095), ..Yarn::unnamed() },
        machine: Machine::of(find_machine("standard").unwrap()),
        dials,
    };
    let one = plan("1x1 rib", vec![(9, 9)]);
    let (grid, sure) = expected_swatch(&one, Language::English).unwrap();
    assert_eq!(grid.rows[1], ["usual", "10.9 mm", "48", "44", "8.4 cm", "13.6 cm", "13.4 g"]);
    assert!(sure.contains("8%") && sure.contains("Washed, there are about 6%"), "{sure}");
    let proven = rehearsed_swatch(&one).unwrap();
    assert_eq!(card(&one, &proven).unwrap().expected, Some((grid, sure)));
    // A ladder cannot be weighed in parts.
    let (ladder, _) = expected_swatch(&plan("half cardigan", vec![(9, 9), (12, 9)]), Language::English).unwrap();
    assert_eq!(ladder.rows[1], ["usual", "12.1 mm", "36", "69", "11.0 cm", "6.9 cm"]);
    assert_eq!(expected_swatch(&plan("milano", vec![(9, 9)]), Language::English), None);
}

/// From two beds to one in the middle of a piece, what is too much for one bed comes off.
#[test]
fn going_on_on_one_bed_takes_weights_off() {
    let text = TUBE.replace("MACHINE", "").replace("COUNT", "71").replace(
        "stretch \"s\" { fabric \"FABRIC\"; rows 40; }",
        "stretch \"welt\" { fabric \"1x1 rib\"; rows 20; }; stretch \"s\" { fabric \"plain\"; rows 40; }",
    );
    let (design, notices) = from_text(&text);
    let outcome = prove(&design.unwrap_or_else(|| panic!("{:?}", notices.0)), &[0]);
    let proven = outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices));
    let steps = &proven.sizes()[0].plans.pieces[0].plan.steps;
    let off = steps.iter().find_map(|s| match &s.action {
        Action::Unhang { grams, .. } => Some(*grams),
        _ => None,
    });
    // 5 g for each of 71 loops, then 3 g.
    assert_eq!(off, Some(150));
}

/// A swatch of the shared book is doubted in the design that uses it, with the file that it stands in.
#[test]
fn swatches_of_the_shared_book_are_doubted_too() {
    let hat = include_str!("../../designs/deck-hat.kdl");
    let of = |needles: f64| {
        let text = format!(
            "machine \"standard\"\nyarn \"harbour sock\" {{ count (\"m/100g\")420; }}\n{}",
            swatch("1x1 rib", needles, 44.0, &weighed(14.0))
        );
        let shelf =
            Shelf { books: vec![("book.kdl".to_string(), book_from_text(&text).0.unwrap())], ..Shelf::default() };
        let notices = from_text_with(hat, &shelf).1;
        notices.0.iter().map(|n| n.told(Language::English).message.clone()).collect::<Vec<String>>()
    };
    one(&of(24.0), &["book.kdl: At 24 needles in 10 cm it looks pinned out"]);
    none(&of(47.0));
}
