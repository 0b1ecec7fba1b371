//! Choices of a document, widths as shares, shapings by the fabric's own unit, and bodies that are none.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::design::{Design, from_text};
use latchwork::revise::{Revision, revised};
use latchwork::units::Language;

const BAG: &str = r#"title "Bag"
machine "standard"
yarn "sea" { count (tex)238; ball (g)50; }
swatch "plain" { stitch-size 6; counted needles=40 passes=60; flat (cm)13 (cm)15; weighed (g)18 needles=60 passes=90; state "washed"; }
swatch "half cardigan" { stitch-size 4; counted needles=40 passes=60; flat (cm)11 (cm)9; weighed (g)16 needles=60 passes=90; state "washed"; }
choose "fabric" "plain" { among "plain" "half cardigan"; }
choose "top" "straight" { among "straight" "narrow"; }
choose "along" "wide"
sizes {
    when "top" "straight" { size "a" { wide (cm)30; long (cm)20; }; }
    when "top" "narrow" { size "b" { wide (cm)36; long (cm)24; }; }
}
piece "bag" {
    stretch "body" { fabric (chosen)"fabric"; width (percent)50 (cm)5 of="wide"; length (percent)100 of=(chosen)"along"; }
    when "top" "narrow" {
        stretch "top" { fabric (chosen)"fabric"; length (cm)6; decrease { width (cm)12; }; }
    }
    ending "chain"
}
"#;

fn read(text: &str) -> (Option<Design>, String) {
    let (design, notices) = from_text(text);
    let told = notices.0.iter().map(|n| n.told(Language::English));
    let told = told.map(|t| format!("{} {} {}", t.message, t.why, t.hints.join(" "))).collect::<Vec<_>>().join("\n");
    (design, told)
}

fn understood(text: &str) -> Design {
    let (design, told) = read(text);
    design.unwrap_or_else(|| panic!("{told}"))
}

/// Needles and rows of each stretch, of the one size.
fn worked(text: &str) -> Vec<(u32, u32, u32)> {
    let outcome = prove(&understood(text), &[0]);
    assert!(outcome.proven.is_some(), "{:?}", outcome.sizes[0].notices);
    let all = &outcome.sizes[0].stitches.pieces[0].stretches;
    all.iter().map(|w| (w.needles, w.needles_end, w.rows)).collect()
}

#[test]
fn what_is_chosen_holds_and_nothing_else() {
    let d = understood(BAG);
    assert_eq!(d.sizes.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), ["a"]);
    assert_eq!((d.pieces[0].stretches.len(), d.pieces[0].stretches[0].fabric.name.as_str()), (1, "plain"));
    let choices: Vec<(&str, &str, usize)> =
        d.choices.iter().map(|c| (c.name.as_str(), c.chosen.as_str(), c.among.len())).collect();
    assert_eq!(choices, [("fabric", "plain", 2), ("top", "straight", 2), ("along", "wide", 0)]);
    // Half of 30 cm and 5 cm at 40 needles in 13 cm; 30 cm at 60 rows in 15 cm.
    assert_eq!(worked(BAG), [(62, 62, 120)]);
    let narrow = BAG.replace("\"top\" \"straight\" { among", "\"top\" \"narrow\" { among");
    let d = understood(&narrow);
    assert_eq!((d.sizes[0].name.as_str(), d.pieces[0].stretches.len()), ("b", 2));
}

/// A shaping without a number goes by the fabric: 1 stitch at an end of plain, 2 where the beds take turns.
#[test]
fn a_shaping_goes_by_its_fabric() {
    let narrow = BAG.replace("\"top\" \"straight\" { among", "\"top\" \"narrow\" { among");
    let by = |text: &str| understood(text).pieces[0].stretches[1].shaping.as_ref().unwrap().stitches;
    let half_cardigan = narrow.replace("\"fabric\" \"plain\" { among", "\"fabric\" \"half cardigan\" { among");
    assert_eq!([by(&narrow), by(&half_cardigan)], [1, 2]);
    assert_eq!(worked(&narrow)[1].1, 37);
    assert!(worked(&half_cardigan)[1].1.abs_diff(44) <= 1, "two at either end at a time");
}

#[test]
fn faults_of_choices_are_told_at_their_place() {
    for (from, to, said) in [
        ("\"fabric\" \"plain\" { among", "\"fabric\" \"plane\" { among", "plane"),
        ("(chosen)\"fabric\"; width", "(chosen)\"fabrik\"; width", "fabrik"),
        ("when \"top\" \"narrow\" {\n        stretch", "when \"tops\" \"narrow\" {\n        stretch", "tops"),
        ("when \"top\" \"narrow\" {\n        stretch", "when \"top\" \"narow\" {\n        stretch", "narow"),
        ("when \"top\" \"narrow\" {\n        stretch", "when \"top\" {\n        stretch", "when"),
        ("choose \"along\" \"wide\"", "choose \"along\"", "choose"),
        ("choose \"along\" \"wide\"", "choose \"top\" \"wide\"", "top"),
        ("choose \"along\" \"wide\"", "choose \"along\" \"high\"", "high"),
    ] {
        let text = BAG.replacen(from, to, 1);
        assert_ne!(text, BAG, "{from}");
        let (design, told) = read(&text);
        assert!(design.is_none() && told.contains(said), "{to}\n{told}");
    }
}

/// Changes reach what stands inside a choice that holds, and leave the others as they are.
#[test]
fn changes_reach_into_choices() {
    let narrow = BAG.replace("\"top\" \"straight\" { among", "\"top\" \"narrow\" { among");
    let of = ("bag".to_string(), "top".to_string());
    let longer = Revision::Length { of, value: "(cm)9".to_string(), rows: false };
    let text = revised(&narrow, &longer).unwrap();
    assert_eq!(text, narrow.replace("length (cm)6", "length (cm)9"));
    assert!(revised(BAG, &longer).is_err(), "without it there is no top");
    let chosen = Revision::Choose { name: "top".to_string(), value: "narrow".to_string() };
    assert_eq!(revised(BAG, &chosen).unwrap(), narrow);
    assert!(revised(BAG, &Revision::Choose { name: "tops".to_string(), value: "narrow".to_string() }).is_err());
}

/// Nobody's wrist is as large as the chest, nor the foot larger than round the heel; told where it is written.
#[test]
fn measures_of_no_body_are_told() {
    let sized =
        |measures: &str| BAG.replace("wide (cm)30; long (cm)20;", &format!("wide (cm)30; long (cm)20; {measures}"));
    assert!(understood(&sized("wrist-girth (cm)16; chest-girth (cm)90;")).sizes.len() == 1);
    for (measures, said) in [
        ("wrist-girth (cm)90; chest-girth (cm)16;", "wrist-girth is 90 cm, and chest-girth only 16 cm."),
        ("foot-girth (cm)30; heel-girth (cm)24;", "foot-girth is 30 cm, and heel-girth only 24 cm."),
    ] {
        let (design, told) = read(&sized(measures));
        assert!(design.is_none() && told.contains(said) && told.contains("Measure both again"), "{told}");
    }
}

/// A piece that grows at one end only, to nearly all of the bed, begins off its centre (200 needles here, from L100 to R100).
#[test]
fn what_grows_at_one_end_begins_off_the_centre() {
    for (side, first) in [("left", 85), ("right", -95)] {
        let text = BAG.replace(
            "stretch \"body\" { fabric (chosen)\"fabric\"; width (percent)50 (cm)5 of=\"wide\"; length (percent)100 of=(chosen)\"along\"; }",
            &format!("stretch \"body\" {{ fabric \"plain\"; needles 10; rows 360; increase {{ needles 190; at \"{side}\"; }}; }}"),
        );
        let outcome = prove(&understood(&text), &[0]);
        assert!(outcome.proven.is_some(), "{:?}", outcome.sizes[0].notices);
        assert_eq!(outcome.sizes[0].stitches.pieces[0].left.0, first, "{side}");
        let wider = text.replace("needles 190", "needles 201");
        assert!(prove(&understood(&wider), &[0]).proven.is_none());
    }
}

/// A measure that only gores are drafted by is asked for, too.
#[test]
fn gores_ask_for_their_measures() {
    let body = "stretch \"body\" { fabric (chosen)\"fabric\"; width (percent)50 (cm)5 of=\"wide\"; length (percent)100 of=(chosen)\"along\"; }";
    let gored =
        "stretch \"body\" { fabric \"plain\"; needles 40; gores 4 { longest (percent)100 of=\"long\"; over (cm)5; }; }";
    let d = understood(&BAG.replace(body, gored));
    assert!(d.asks_for("long") && !d.asks_for("wide"));
}

/// What is too wide is told with as many pieces as would fit: two for one, four for two that already share.
#[test]
fn too_wide_is_told_with_the_pieces_that_fit() {
    let body = "width (percent)50 (cm)5 of=\"wide\"; length";
    for (shared, pieces) in [("", 3), (" shared=2", 4)] {
        let text = BAG.replace(body, &format!("around \"wide\" (cm)115{shared}; length"));
        let told = prove(&understood(&text), &[0])
            .notices
            .iter()
            .map(|n| n.1.told(Language::English).hints.join(" "))
            .collect::<Vec<_>>();
        let wanted =
            format!("Knit it in {pieces} pieces, with around … shared={pieces}, or on a machine with more needles.");
        assert!(told.contains(&wanted), "{told:?}");
    }
}

/// Edges round an opening are as long as they are together; across its wales plain gives 30%, along them half as much.
#[test]
fn an_opening_passes_over_the_body() {
    let opening = |edges: &str| understood(&format!("{BAG}opening \"mouth\" over=\"wide\" {{ {edges}; }}\n"));
    let line = |d: &Design| prove(d, &[0]).sizes[0].sheet.last().unwrap().clone();
    // 62 stitches of 13 / 40 cm; the bag is 30 cm long.
    let both = opening("edge \"bag\" \"ending\"; edge \"bag\" \"left\"");
    let l = line(&both);
    let (over, opens) = l.passes_over.clone().unwrap();
    assert_eq!((l.whose(&both).as_str(), over.as_str()), ("mouth", "wide"));
    assert!((l.achieved.0 - (62.0 * 3.25 + 300.0)).abs() < 0.1, "{l:?}");
    assert!((opens.allowed - (201.5 * 0.3 + 300.0 * 0.15) / 501.5).abs() < 1e-6 && opens.needed.abs() < 1e-9, "{l:?}");
    let warned = |d: &Design| {
        let told =
            prove(d, &[0]).sizes[0].notices.0.iter().map(|n| n.told(Language::English).message).collect::<Vec<_>>();
        told.contains(&"\"mouth\" may be too tight to pass over the wide in size a.".to_string())
    };
    let tight = opening("edge \"bag\" \"ending\"");
    assert!((line(&tight).passes_over.unwrap().1.needed - (300.0 / 201.5 - 1.0)).abs() < 1e-6);
    assert!(warned(&tight) && !warned(&both));
    for (written, told) in [
        ("opening \"mouth\" over=\"wide\"", "The opening \"mouth\" has no edge."),
        ("opening \"mouth\" { edge \"bag\" \"ending\"; }", "does not say what passes through it"),
        ("opening \"mouth\" over=\"deep\" { edge \"bag\" \"ending\"; }", "deep"),
        ("opening \"mouth\" over=\"wide\" { edge \"sack\" \"ending\"; }", "sack"),
    ] {
        let (design, said) = read(&format!("{BAG}{written}\n"));
        assert!(design.is_none() && said.contains(told), "{written}: {said}");
    }
}
