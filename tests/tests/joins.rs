//! Joins on the machine: edges of finished pieces hung on the needles of another.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::Proven;
use latchwork::design::EdgeKind;
use latchwork::fact::HungKind;
use latchwork::fit::SewnMeasure;
use latchwork::handout::proofread;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::{Action, Way};
use latchwork_tests::garments::{piece, proven, refused};

fn garment(rest: &str) -> String {
    let one = piece(10, "stretch \"body\" { fabric \"plain\"; rows 2; }");
    format!("{}\n{rest}", &one[..one.find("piece \"back\"").unwrap()])
}

/// What each hung edge puts on which needles, of one piece.
fn hung(p: &Proven, piece: usize) -> Vec<(Vec<Needle>, Vec<u32>)> {
    let steps = &p.sizes()[0].plans.pieces[piece].plan.steps;
    let of = |a: &Action| match a {
        Action::HangEdge { needles, places } => Some((needles.clone(), places.clone())),
        _ => None,
    };
    steps.iter().filter_map(|s| of(&s.action)).collect()
}

fn words(p: &Proven, piece: usize) -> String {
    proofread(p, &[0]).unwrap_or_else(|e| panic!("{e:?}"))[piece].lines()
}

fn slots(needles: &[Needle]) -> (i16, i16) {
    (needles[0].slot.0, needles[needles.len() - 1].slot.0)
}

/// A hundred rows at 28 by 40 take 70 stitches, 7 of every 10 (facts on garments, section 6: the shares of publications 23 and
/// 24; spread worked there). Place k of n on R rows is row floor((2k - 1) R / 2n) + 1.
#[test]
fn a_band_along_the_rows() {
    let p = proven(&garment(
        "piece \"front\" { needles 40; seam-allowance 0; stretch \"body\" { fabric \"plain\"; rows 100; }; ending \"chain\" }
         piece \"band\" { cast-on \"hung\" { edge \"front\" \"right\" }; stretch \"band\" { fabric \"plain\"; rows 10; }; ending \"chain\" }",
    ));
    let all = hung(&p, 1);
    let [(needles, places)] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!(needles.len(), 70);
    // The last row comes first at the left.
    let rising: Vec<u32> = places.iter().rev().copied().collect();
    assert_eq!(rising[..10], [1, 3, 4, 6, 7, 8, 10, 11, 13, 14]);
    assert!(rising.windows(2).all(|w| w[0] < w[1]) && rising[69] == 100);
    assert!(rising.iter().zip(rising.iter().skip(35)).all(|(a, b)| a + 50 == *b), "halves alike");
    let told = words(&p, 1);
    for sentence in [
        "Hang, on main bed L35 to R35, the right edge of the front: 70 stitches over its 100 rows, spread evenly. Begin with its last row.",
        "The piece hangs as it was knitted, the same side towards you.",
    ] {
        assert!(told.contains(sentence), "{sentence}\n{told}");
    }
    // Each of the band's first loops goes through a hung one.
    let run = &p.sizes()[0].pieces[1].run;
    let through = (1..=run.loops.len() as u32).map(LoopId).filter(|l| run.loops.kind(*l) == Kind::Hung).count();
    assert_eq!(through, 70);
}

/// Two shoulders cast off together with those of the back, public sides together: the outer stitch of one meets that of the other.
#[test]
fn shoulders_cast_off_together() {
    let yoke = |rows: u32, neck: &str| {
        format!(
            "needles 60; stretch \"body\" {{ fabric \"plain\"; rows 10; }}; stretch \"yoke\" {{ fabric \"plain\"; rows {rows}; {neck}; }};"
        )
    };
    let p = proven(&garment(&format!(
        "piece \"back\" {{ {} ending \"waste yarn\" }}
         piece \"front\" {{ {} ending \"chain\" {{ edge \"back\" \"ending\" }} }}",
        yoke(10, "neck 1 { middle 16; then every=2 times=2; }"),
        yoke(20, "neck 1 { middle 8; then every=2 times=6; }"),
    )));
    let all = hung(&p, 1);
    let [right, left] = all.as_slice() else { panic!("{all:?}") };
    // The right side is knitted first.
    assert_eq!((slots(&right.0), right.0.len()), ((10, 29), 20));
    assert_eq!((slots(&left.0), left.0.len()), ((-30, -11), 20));
    for side in [right, left] {
        assert_eq!(side.1, (1..=20).rev().collect::<Vec<u32>>());
    }
    let told = words(&p, 1);
    for sentence in [
        "Hang, on main bed R11 to R30, the left shoulder of the back: 20 stitches over its 20 stitches, spread evenly. Begin with its right end. Remove its waste yarn once it hangs. Turn the piece over: public sides together.",
        "Hang, on main bed L30 to L11, the right shoulder of the back: 20 stitches over its 20 stitches, spread evenly. Begin with its right end.",
    ] {
        assert!(told.contains(sentence), "{sentence}\n{told}");
    }
    // The loose row goes through both, and all is cast off in one chain.
    let size = &p.sizes()[0];
    let chains = size.plans.pieces[1].plan.steps.iter().filter(|s| {
        matches!(&s.action, Action::Secure { needles, way: Way::Chain, cut_length: None, .. } if needles.len() == 20)
    });
    assert_eq!(chains.count(), 2);
    assert!(size.sewing.openings.iter().all(|o| o.kind != EdgeKind::Ending || o.piece != 0));
}

/// The fronts of a cardigan, a pair, cast off each with one shoulder of the back: the mirrored front with the other.
#[test]
fn a_front_is_cast_off_with_one_shoulder() {
    let back = "piece \"back\" { needles 60; stretch \"body\" { fabric \"plain\"; rows 10; }; stretch \"yoke\" { fabric \"plain\"; rows 10; neck 1 { middle 16; then every=2 times=2; }; }; ending \"waste yarn\" }\n";
    let front = |edge: &str| {
        format!(
            "piece \"front\" {{ make \"pair\"; needles 30; stretch \"body\" {{ fabric \"plain\"; rows 10; }}; stretch \"yoke\" {{ fabric \"plain\"; rows 20; neck 1 {{ at \"right\"; middle 4; then every=2 times=6; }}; }}; ending \"chain\" {{ edge \"back\" \"{edge}\" }} }}\n"
        )
    };
    let p = proven(&garment(&format!("{back}{}", front("right-shoulder"))));
    let sides: Vec<HungKind> =
        p.sizes()[0].plans.pieces[1..].iter().flat_map(|piece| piece.hung.iter().map(|h| h.edge)).collect();
    assert_eq!(sides, [HungKind::Shoulder(Side::Right), HungKind::Shoulder(Side::Left)]);
    for k in [1, 2] {
        let all = hung(&p, k);
        assert_eq!((all.len(), all[0].0.len()), (1, 20), "20 stitches on 20 stitches");
    }
    let told = words(&p, 1);
    assert!(told.contains("the right shoulder of the back: 20 stitches over its 20 stitches"), "{told}");
    // The back's last row is open nowhere.
    let open = |kind: EdgeKind| p.sizes()[0].sewing.openings.iter().any(|o| o.piece == 0 && o.kind == kind);
    let shoulders = [Side::Left, Side::Right].map(EdgeKind::Shoulder);
    assert!(!open(EdgeKind::Ending) && !open(shoulders[1]), "{:?}", p.sizes()[0].sewing.openings);
    // Sewn, too, one by one; what is not sewn is told.
    let plain = front("right-shoulder").replace("\"pair\"", "1").replace("{ edge \"back\" \"right-shoulder\" }", "");
    let sewn =
        format!("{back}{plain}seam \"shoulder\" {{ edge \"front\" \"ending\"; edge \"back\" \"left-shoulder\" }}");
    let p = proven(&garment(&sewn));
    let told = latchwork::handout::handout(&p, &[0], false).unwrap().making_up.join("\n");
    assert!(told.contains("Mattress stitch, just inside both edges. Stitch to stitch, 20 stitches."), "{told}");
    let s = &p.sizes()[0].sewing;
    assert_eq!(s.seams[0].count, [20, 20]);
    assert!(
        s.openings.iter().any(|o| o.piece == 0 && o.kind == shoulders[1] && (o.length.0 - 71.4).abs() < 0.2),
        "{:?}",
        s.openings
    );
    for (text, told) in [
        (sewn.replace("left-shoulder", "middle-shoulder"), "left-shoulder"),
        (
            format!("{back}{}", front("right-shoulder")).replace(" neck 1 { middle 16; then every=2 times=2; };", ""),
            "\"back\" has no two shoulders.",
        ),
        (
            format!("{sewn}\n{}", front("left-shoulder").replace("\"front\"", "\"other\"").replace("\"pair\"", "1")),
            "This edge is already joined in \"shoulder\".",
        ),
    ] {
        let said = refused(&garment(&text));
        assert!(said.contains(told), "{told}:\n{said}");
    }
}

/// A ribbed neckband on a front and a back: each part of the neck has its stitches, as many as its length; every second goes to
/// the ribber. Round neck N1 in plain takes 126 (facts on garments, section 6): 16 and twice 31, and 48 at the back.
#[test]
fn a_neckband_on_two_necks() {
    let neck = |middle: u32, rest: &str, rows: u32| {
        format!(
            "needles 112; seam-allowance 0; stretch \"body\" {{ fabric \"plain\"; rows 10; }}; stretch \"yoke\" {{ fabric \"plain\"; rows {rows}; neck 1 {{ middle {middle}; {rest} }}; }}; ending \"chain\""
        )
    };
    let groups = "then every=1 cast-off=4; then every=2 cast-off=3; then every=2 cast-off=2 times=2; then every=3 times=1; then every=2 times=4;";
    let band = |fabric: &str, twice: &str, more: &str| {
        format!(
            "piece \"band\" {{ cast-on \"hung\" twice=\"{twice}\" {{ edge \"front\" \"neck\"; edge \"back\" \"neck\"; {more} }}; stretch \"band\" {{ fabric \"{fabric}\"; rows 8; }}; ending \"chain\" }}"
        )
    };
    let body = format!(
        "piece \"front\" {{ {} }}\npiece \"back\" {{ {} }}\n",
        neck(16, groups, 32),
        neck(46, "then every=1 times=1;", 2)
    );
    let p = proven(&garment(&format!("{body}{}", band("plain", "no", "note \"Sew one shoulder first.\""))));
    let counts: Vec<usize> = hung(&p, 2).iter().map(|h| h.0.len()).collect();
    assert_eq!(counts.len(), 6);
    // Front: one side, the middle, the other side; then the back. Its two rows of depth take a stitch at each side.
    assert!(counts[0].abs_diff(31) <= 1 && counts[2].abs_diff(31) <= 1 && counts[1].abs_diff(16) <= 1, "{counts:?}");
    assert!(counts[3..].iter().sum::<usize>().abs_diff(48) <= 2, "{counts:?}");
    // No place is hung twice, and each part runs as it lies.
    for (i, (_, places)) in hung(&p, 2).iter().enumerate() {
        let mut sorted = places.clone();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(sorted.len(), places.len());
        assert_eq!(places.windows(2).all(|w| w[0] > w[1]), places.len() > 1 && [0, 3].contains(&i), "{i}: {places:?}");
    }
    let rib = proven(&garment(&format!("{body}{}", band("1x1 rib", "yes", "fullness (percent)-25 (percent)-15"))));
    let told = words(&rib, 2);
    assert!(
        told.contains("the left side of the neck of the front:") && told.contains("across to the ribber"),
        "{told}"
    );
}

/// A left and a right sleeve, knitted down from their armholes: the mirror image hangs the other edges, in the same order of rows.
#[test]
fn sleeves_from_the_armholes() {
    let body = |name: &str| {
        format!(
            "piece \"{name}\" {{ needles 60; seam-allowance 0; stretch \"body\" {{ fabric \"plain\"; rows 10; }}; stretch \"yoke\" {{ fabric \"plain\"; rows 40; }}; ending \"chain\" }}\n"
        )
    };
    let p = proven(&garment(&format!(
        "{}{}piece \"sleeve\" {{ make \"pair\"; seam-allowance 0; cast-on \"hung\" {{ edge \"back\" \"left\" \"yoke\"; edge \"front\" \"right\" \"yoke\"; }};
           stretch \"arm\" {{ fabric \"plain\"; rows 20; decrease 1 every=4 times=4; }}; ending \"chain\" }}",
        body("back"),
        body("front")
    )));
    let (one, other) = (hung(&p, 2), hung(&p, 3));
    assert_eq!(one.len(), 2);
    assert_eq!(one[0].1, other[0].1);
    assert_eq!(one[0].1[0], 1, "from the underarm up the back");
    assert_eq!(*one[1].1.last().unwrap(), 1, "and down the front");
    let (left, right) = (words(&p, 2), words(&p, 3));
    assert!(
        left.contains("the left edge of the back along yoke:")
            && left.contains("the right edge of the front along yoke:"),
        "{left}"
    );
    assert!(
        right.contains("the right edge of the back along yoke:")
            && right.contains("the left edge of the front along yoke:"),
        "{right}"
    );
}

/// A front with its neck at one edge, and the back that goes between two of them.
const FRONT: &str = "piece \"front\" { make \"pair\"; needles 30; seam-allowance 0; stretch \"body\" { fabric \"plain\"; rows 10; }; stretch \"yoke\" { fabric \"plain\"; rows 20; neck 1 { at \"right\"; middle 6; then every=2 times=4; }; }; ending \"chain\" }\n";
const BACK: &str = "piece \"back\" { needles 40; seam-allowance 0; stretch \"body\" { fabric \"plain\"; rows 10; }; ending \"chain\" }\n";
const MIRROR: &str = " mirrored=\"yes\"";

fn neckband(first: &str, last: &str) -> String {
    format!(
        "piece \"band\" {{ cast-on \"hung\" {{ edge \"front\" \"right\" \"yoke\"{first}; edge \"back\" \"ending\"; edge \"front\" \"right\" \"yoke\"{last}; fullness (percent)-15 (percent)10 }}; stretch \"band\" {{ fabric \"plain\"; rows 8; }}; ending \"chain\" }}\n"
    )
}

/// The neckband of a cardigan: the fronts are a pair, each with its own neck; what was cast off hangs stitch for stitch, what was
/// shaped row for row, and all from the left on in the order in which it lies.
#[test]
fn a_neckband_on_a_pair_of_fronts() {
    let p = proven(&garment(&format!("{FRONT}{BACK}{}", neckband("", MIRROR))));
    let edges: Vec<(HungKind, Option<Side>)> =
        p.sizes()[0].plans.pieces[3].hung.iter().map(|h| (h.edge, h.piece.of_pair)).collect();
    let (left, right) = (Side::Left, Side::Right);
    assert_eq!(
        edges,
        [
            (HungKind::Side(right), Some(left)),
            (HungKind::CastOff(right), Some(left)),
            (HungKind::Ending, None),
            (HungKind::CastOff(left), Some(right)),
            (HungKind::Side(left), Some(right)),
        ]
    );
    let all = hung(&p, 3);
    let rising = |k: usize| all[k].1.windows(2).all(|w| w[0] < w[1]);
    assert_eq!([0, 1, 3, 4].map(rising), [false, true, true, true], "{all:?}");
    // The two fronts have as many stitches on as many places, counted from the neck's middle outwards.
    assert_eq!(all[0].1.iter().rev().collect::<Vec<_>>(), all[4].1.iter().collect::<Vec<_>>());
    assert!(all[1].0.len().abs_diff(6) <= 1 && all[3].0.len() == all[1].0.len(), "{all:?}");
    assert!(all[1].1.iter().all(|place| (1..=6).contains(place)), "{all:?}");
    let told = words(&p, 3);
    for part in [
        "the right edge of the left front along yoke:",
        "the stitches cast off at the right edge of the left front along yoke:",
        "the left edge of the right front along yoke:",
    ] {
        assert!(told.contains(part), "{part}\n{told}");
    }
}

/// Seams of a pair: the second is that of the mirror image, whether it says so or not.
#[test]
fn seams_of_a_pair() {
    let sides = |second: &str| {
        let seams = format!(
            "seam \"one\" {{ edge \"front\" \"left\" \"body\"; edge \"back\" \"right\" }}; seam \"two\" {{ edge \"front\" \"left\" \"body\"{second}; edge \"back\" \"left\" }}"
        );
        let p = proven(&garment(&format!("{FRONT}{BACK}{seams}")));
        latchwork::handout::handout(&p, &[0], false).unwrap().making_up.join("\n")
    };
    let said = sides("");
    assert!(
        said.contains("sew the left edge of the left front along body")
            && said.contains("sew the right edge of the right front along body"),
        "{said}"
    );
    assert_eq!(said, sides(MIRROR));
    let both = "seam \"one\" { edge \"front\" \"right\" \"body\"; edge \"front\" \"right\" \"body\" }";
    let p = proven(&garment(&format!("{FRONT}{both}")));
    let said = latchwork::handout::handout(&p, &[0], false).unwrap().making_up.join("\n");
    assert!(
        said.contains(
            "sew the right edge of the left front along body to the left edge of the right front along body."
        ),
        "{said}"
    );
    // Two pieces side by side close into nothing.
    let measures = &p.sizes()[0].sewing.measures;
    assert!(measures.iter().all(|m| matches!(m.0, SewnMeasure::Long { .. })), "{measures:?}");
    let seam = |which: &str, name: &str| {
        format!("seam \"{name}\" {{ edge \"front\" \"left\" \"body\"{which}; edge \"back\" \"{name}\" }}\n")
    };
    let within = "seam \"round\" { edge \"front\" \"left\" \"body\"; edge \"front\" \"right\" \"body\" }\n";
    for (text, told) in [
        (format!("{}{BACK}{}", FRONT.replace("\"pair\"", "2"), neckband("", MIRROR)), "\"front\" has no mirror image."),
        (format!("{FRONT}{BACK}{}", neckband(MIRROR, MIRROR)), "This edge is already joined in \"band\"."),
        (
            format!(
                "{FRONT}{BACK}{}{}",
                neckband("", MIRROR),
                "seam \"s\" { edge \"front\" \"right\"; edge \"back\" \"left\" }"
            ),
            "This edge is already joined in \"s\".",
        ),
        (
            format!(
                "{FRONT}{BACK}{}{}{}",
                seam(MIRROR, "left"),
                seam("", "right"),
                seam("", "cast-on").replace("\"left\" \"body\"", "\"left\"")
            ),
            "This edge is already sewn in the seam",
        ),
        (format!("{FRONT}{BACK}{within}{}", seam(MIRROR, "left")), "This edge is already sewn in the seam \"round\"."),
    ] {
        let said = refused(&garment(&text));
        assert!(said.contains(told), "{told}:\n{said}");
    }
}

/// A strip joined as it grows: an edge stitch of the finished strip hung at every second row on the end needle where the carriage
/// is, rows 2, 4, 6 if it comes there after odd rows and 1, 3, 5 if it begins there (facts on garments, section 13: publication 46).
#[test]
fn strips_joined_as_they_grow() {
    let strips = |carriage: &str, rows: u32| {
        garment(&format!(
            "piece \"one\" {{ needles 21; seam-allowance 0; stretch \"strip\" {{ fabric \"plain\"; rows 28; }}; ending \"chain\" }}
             piece \"two\" {{ carriage \"{carriage}\"; needles 21; seam-allowance 0;
               stretch \"strip\" {{ fabric \"plain\"; rows {rows}; joined \"left\" {{ edge \"one\" \"right\"; }}; }}; ending \"chain\" }}"
        ))
    };
    for (carriage, first) in [("right", 2), ("left", 1)] {
        let p = proven(&strips(carriage, 28));
        let all = hung(&p, 1);
        let rows: Vec<u32> = all.iter().map(|h| h.1[0]).collect();
        assert_eq!(rows, (first..=28).step_by(2).collect::<Vec<u32>>());
        assert!(all.iter().all(|h| h.0 == [Needle::main(-10)]));
        let told = words(&p, 1);
        for sentence in [
            format!("Hang, on main bed L10, the right edge of the one, its row {first}."),
            "Hang, on main bed L10, the right edge of the one, 2 rows on from the last.".to_string(),
            "12 more times.".to_string(),
        ] {
            assert!(told.contains(&sentence), "{sentence}\n{told}");
        }
    }
    let told = refused(&strips("right", 30));
    assert!(
        told.contains("\"two\", size one: what is joined as it grows has 30 rows, and the other edge 28."),
        "{told}"
    );
}

/// A strip joined in two sections to two of another: each counts its own rows, and says along which they are.
#[test]
fn strips_joined_section_by_section() {
    let sections = |joined: &dyn Fn(&str) -> String| {
        let of = |name: &str| format!("stretch \"{name}\" {{ fabric \"plain\"; rows 8; {} }}; ", joined(name));
        format!("needles 21; seam-allowance 0; {}{}ending \"chain\"", of("low"), of("high"))
    };
    let p = proven(&garment(&format!(
        "piece \"one\" {{ {} }}\npiece \"two\" {{ {} }}",
        sections(&|_| String::new()),
        sections(&|name| format!("joined \"right\" {{ edge \"one\" \"left\" \"{name}\"; }};")),
    )));
    let rows: Vec<u32> = hung(&p, 1).iter().map(|h| h.1[0]).collect();
    assert_eq!(rows, [1, 3, 5, 7, 1, 3, 5, 7]);
    let told = words(&p, 1);
    for name in ["low", "high"] {
        let first = format!("the left edge of the one along {name}, its row 1.");
        assert!(told.contains(&first), "{first}\n{told}");
    }
}

/// Of a pair cast off together with another, each meets the same stitches: the mirror image hangs them from the other end. Not turned,
/// they hang as they were knitted.
#[test]
fn pairs_cast_off_together() {
    let of = |turned: &str| {
        proven(&garment(&format!(
            "piece \"one\" {{ make \"pair\"; needles 20; stretch \"body\" {{ fabric \"plain\"; rows 6; }}; ending \"chain\" }}
             piece \"two\" {{ make \"pair\"; needles 20; stretch \"body\" {{ fabric \"plain\"; rows 6; }}; ending \"chain\"{turned} {{ edge \"one\" \"ending\" }} }}"
        )))
    };
    // Each stitch by the slot of its needle.
    let at = |p: &Proven, piece: usize| {
        let all = hung(p, piece);
        let mut at: Vec<(i16, u32)> = all[0].0.iter().map(|n| n.slot.0).zip(all[0].1.iter().copied()).collect();
        at.sort_unstable();
        at.into_iter().map(|a| a.1).collect::<Vec<u32>>()
    };
    let (turned, not) = (of(""), of(" turned=\"no\""));
    let (falling, rising): (Vec<u32>, Vec<u32>) = ((1..=20).rev().collect(), (1..=20).collect());
    assert_eq!([at(&turned, 2), at(&turned, 3)], [falling.clone(), falling]);
    assert_eq!([at(&not, 2), at(&not, 3)], [rising.clone(), rising]);
    assert!(words(&turned, 2).contains("Begin with its right end. Turn the piece over: public sides together."));
    assert!(words(&turned, 3).contains("Begin with its left end."));
    assert!(words(&not, 2).contains("Begin with its left end. The piece hangs as it was knitted"));
}

/// Ten centimetres cast off and ten of rows, 28 and 40 places. Hung twice, a rib has half its stitches on either; else what the
/// closer edge cannot take goes to the other.
#[test]
fn places_are_hung_twice_where_it_is_allowed() {
    let counts = |twice: &str| -> Vec<usize> {
        let p = proven(&garment(&format!(
            "piece \"front\" {{ needles 28; seam-allowance 0; stretch \"body\" {{ fabric \"plain\"; rows 40; }}; ending \"chain\" }}
             piece \"band\" {{ seam-allowance 0; cast-on \"hung\" twice=\"{twice}\" {{ edge \"front\" \"ending\"; edge \"front\" \"left\"; fullness (percent)-25 (percent)10 }};
               stretch \"band\" {{ fabric \"1x1 rib\"; needles 66; rows 8; }}; ending \"chain\" }}"
        )));
        hung(&p, 1).iter().map(|h| h.0.len()).collect()
    };
    assert_eq!(counts("yes"), [33, 33]);
    assert_eq!(counts("no"), [28, 38]);
}

#[test]
fn faults_of_joins() {
    let front = "piece \"front\" { needles 40; seam-allowance 0; stretch \"body\" { fabric \"plain\"; rows 100; }; ending \"chain\" }\n";
    let band = |cast_on: &str| {
        format!(
            "piece \"band\" {{ cast-on {cast_on}; stretch \"band\" {{ fabric \"plain\"; rows 10; }}; ending \"chain\" }}\n"
        )
    };
    let hangs = band("\"hung\" { edge \"front\" \"right\" }");
    // Of two made alike each is hung once, and no third.
    let twins = front.replace("piece \"front\" {", "piece \"front\" { make 2;");
    let again = |name: &str| hangs.replace("\"band\" { cast", &format!("\"{name}\" {{ cast"));
    let both = garment(&format!("{twins}{hangs}{}", again("second")));
    assert!(!refused(&both).contains("already joined"), "{}", refused(&both));
    let third = refused(&garment(&format!("{twins}{hangs}{}{}", again("second"), again("third"))));
    assert!(third.contains("This edge is already joined in \"second\"."), "{third}");
    let shoulders = |name: &str, ending: &str| {
        let edge = if name == "two" { "{ edge \"one\" \"ending\" }" } else { "" };
        format!(
            "piece \"{name}\" {{ needles 60; stretch \"body\" {{ fabric \"plain\"; rows 4; }}; stretch \"yoke\" {{ fabric \"plain\"; rows 20; neck 1 {{ middle 16; then every=2 times=2; }}; shoulder 3; }}; ending \"{ending}\" {edge} }}\n"
        )
    };
    for (text, told) in [
        (garment(&format!("{front}{}", band("\"hung\""))), "This does not say which edges hang on the needles."),
        (
            garment(&format!("{front}{}", band("\"e-wrap\" { edge \"front\" \"right\" }"))),
            "Only a cast-on \"hung\" takes edges",
        ),
        (garment(&format!("{hangs}{front}")), "\"band\" hangs an edge of \"front\", which is knitted after it."),
        (garment(&band("\"hung\" { edge \"band\" \"right\" }")), "\"band\" cannot hang an edge of its own."),
        (
            garment(&format!("{front}{hangs}{}", hangs.replace("\"band\" { cast", "\"second\" { cast"))),
            "This edge is already joined in \"band\".",
        ),
        (
            garment(&format!(
                "{front}{hangs}piece \"x\" {{ needles 70; stretch \"x\" {{ fabric \"plain\"; rows 100; }}; ending \"chain\" }}\nseam \"s\" {{ edge \"front\" \"right\"; edge \"x\" \"left\" }}"
            )),
            "This edge is already joined in \"s\".",
        ),
        (
            garment(&format!("{front}{}", hangs.replace("cast-on", "make 2; cast-on"))),
            "\"band\" is made 2 times, each with an edge of \"front\"",
        ),
        (
            garment(&format!("{front}{}", hangs.replace("fabric \"plain\"", "fabric \"full needle rib\""))),
            "full needle rib",
        ),
        (
            garment(&format!(
                "{front}{}",
                hangs.replace("ending \"chain\"", "ending \"gather\" { edge \"front\" \"left\" }")
            )),
            "Edges hung at the end of a piece are cast off with it.",
        ),
        (
            garment(&format!(
                "{front}{}",
                band("\"e-wrap\"")
                    .replace("rows 10", "rows 100; needles 20; joined \"left\" { edge \"front\" \"ending\" }")
            )),
            "A side is joined, row by row, to one side edge of another piece.",
        ),
        (
            garment(&format!(
                "{front}{}",
                band("\"e-wrap\"").replace("rows 10", "rows 100; needles 20; joined \"left\"")
            )),
            "This does not say which edges hang on the needles.",
        ),
        (
            garment(&format!("{front}{}", hangs.replace("rows 10", "rows 10; needles 120"))),
            "\"band\", size one: 120 needles for 100 places of the edge that hangs on them.",
        ),
        (
            garment(&format!("{}{}", shoulders("one", "waste yarn"), shoulders("two", "chain"))),
            "A sloped shoulder is cast off in groups: nothing can be cast off with it.",
        ),
    ] {
        let said = refused(&text);
        assert!(said.contains(told), "{told}:\n{said}");
    }
}

/// A tube of 40 that stays open, and a rib hung on it (swatches invented).
fn tube_with_a_rib(rib: &str) -> String {
    let swatches = "swatch \"tubular\" { yarn \"sea\"; stitch-size 5 5; counted needles=60 passes=84; flat (cm)10 (cm)10; weighed (g)12 needles=80 passes=80; state \"washed\"; }
        swatch \"1x1 rib\" { yarn \"sea\"; stitch-size 4 4; counted needles=40 passes=60; flat (cm)8.4 (cm)13.7; weighed (g)14 needles=60 passes=90; state \"washed\"; }";
    garment(&format!(
        "{swatches}
         piece \"leg\" {{ needles 40; stretch \"leg\" {{ fabric \"tubular\"; rows 20; }}; ending \"waste yarn\"; }}
         piece \"top\" {{ {rib} }}"
    ))
}

const RIB: &str = "ends \"main and ribber\"; cast-on \"hung\" { edge \"leg\" \"ending\" }; stretch \"rib\" { fabric \"1x1 rib\"; rows 10; }; ending \"chain\";";

/// A tube taken off on waste yarn stays a tube, and a rib is knitted flat on all its stitches, once round: so the foot gets into a
/// sock (common practice, no source).
#[test]
fn a_rib_on_the_open_end_of_a_tube() {
    let p = proven(&tube_with_a_rib(RIB));
    let all = hung(&p, 1);
    let [(needles, places)] = all.as_slice() else { panic!("{all:?}") };
    // A needle for every stitch, though the rib is narrower: not one is left to run.
    assert_eq!((needles.len(), slots(needles)), (40, (-20, 19)));
    assert_eq!(*places, (1..=40).collect::<Vec<u32>>());
    let leg = &p.sizes()[0].plans.pieces[0];
    let taken_off = leg.plan.steps.iter().find_map(|s| match &s.action {
        Action::Secure { needles, way: Way::Waste, .. } => Some(needles.clone()),
        _ => None,
    });
    let beds = [latchwork_machine::needle::Bed::Main, latchwork_machine::needle::Bed::Ribber];
    let off = taken_off.unwrap();
    assert_eq!(beds.map(|b| off.iter().filter(|n| n.bed == b).count()), [20, 20], "both its layers");
    let told = [words(&p, 0), words(&p, 1)];
    assert!(
        told[0].contains("Knit 8 tubular rows: main bed only right to left, ribber only left to right."),
        "{}",
        told[0]
    );
    assert!(!told[0].contains("Transfer"), "{}", told[0]);
    let hang = "the open end of the leg: 40 stitches over its 40 stitches, spread evenly. Begin with its left end. Go once round: first the half that was on the main bed, then the half that was on the ribber, from its right end. Remove its waste yarn once it hangs.";
    assert!(told[1].contains(hang), "{}", told[1]);
    let cues = latchwork::cues::cues(p.sizes()[0].proven(1).unwrap(), p.design().show);
    assert!(
        format!("{cues:?}").contains("a stitch on each needle: from its left end the half of the main bed"),
        "{cues:?}"
    );
}

/// With an end needle on the main bed at both sides a rib has an odd number, and one stitch of the tube would run.
#[test]
fn no_stitch_of_a_tube_is_left_out() {
    let odd = refused(&tube_with_a_rib(&RIB.replace("ends \"main and ribber\"; ", "")));
    assert!(odd.contains("the edges do not meet"), "{odd}");
    let full =
        refused(&tube_with_a_rib(&RIB.replace("\"ending\" }", "\"ending\"; fullness (percent)-5 (percent)0; }")));
    assert!(full.contains("a needle for each of its stitches"), "{full}");
}

/// A rib, a closed cast-on and a cast-off join both beds: between them a tube is a bag.
#[test]
fn a_tube_closed_at_both_ends_is_told() {
    let warned = |text: &str| {
        let (_, notices) = latchwork::design::from_text(text);
        notices.0.iter().any(|n| format!("{:?}", n.fact).contains("ClosedTube"))
    };
    let open = tube_with_a_rib(RIB);
    assert!(!warned(&open));
    assert!(warned(&open.replace("ending \"waste yarn\"", "ending \"chain\"")));
    let slit = "stretch \"leg\" { fabric \"tubular\"; rows 20; slit; }; ending \"chain\"";
    assert!(!warned(&open.replace("stretch \"leg\" { fabric \"tubular\"; rows 20; }; ending \"waste yarn\"", slit)));
}
