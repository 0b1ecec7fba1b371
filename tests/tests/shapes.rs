//! Shapes chosen from drawings on the page: each press is a design that knits, in every size, and undo takes it back.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::design::{Design, from_text};
use latchwork::revise::{Revision, Shape, revised, shaped, width_as_wished};
use latchwork::stitches::WorkedStretch;
use latchwork::units::Mm;
use latchwork_tests::workshop::Workshop;

/// A back and a sock's foot, in two sizes (figures invented).
const BLANK: &str = r#"title "Blank"
machine "standard"
yarn "pier wool" { count (tex)238; ball (g)50; }
swatch "plain" { stitch-size 5; counted needles=40 passes=60; flat (cm)14.3 (cm)15; weighed (g)20 needles=60 passes=90; state "washed"; }
swatch "tubular" { stitch-size 4 4; counted needles=40 passes=60; flat (cm)6.7 (cm)7.1; weighed (g)10 needles=60 passes=90; state "washed"; }
sizes { size "a" { chest (cm)60; foot (cm)20; }; size "b" { chest (cm)70; foot (cm)23; } }
piece "back" {
    stretch "body" { fabric "plain"; length (cm)20; around "chest" (percent)5 shared=2; }
    stretch "yoke" {
        fabric "plain"
        // How high the yoke is.
        length (cm)16
    }
    ending "chain"
}
piece "sock" {
    stretch "leg" { fabric "tubular"; length (cm)10; around "foot" (percent)-10; }
    stretch "heel" { fabric "tubular"; length (cm)5; }
    stretch "foot" { fabric "tubular"; length (cm)8; }
    ending "chain"
}
"#;

fn understood(text: &str) -> Design {
    let (design, notices) = from_text(text);
    design.unwrap_or_else(|| panic!("{notices:?}\n{text}"))
}

/// The stretch as it comes out in every size.
fn worked(text: &str, (p, s): (usize, usize)) -> Vec<WorkedStretch> {
    let outcome = prove(&understood(text), &[0, 1]);
    assert!(outcome.proven.is_some(), "{:?}\n{text}", outcome.sizes.iter().map(|s| &s.notices).collect::<Vec<_>>());
    outcome.sizes.iter().map(|size| size.stitches.pieces[p].stretches[s].clone()).collect()
}

/// The document after a press.
fn pressed(text: &str, at: (usize, usize), shape: Shape) -> String {
    let d = understood(text);
    let now = &worked(text, at)[0];
    let of = (d.pieces[at.0].name.clone(), d.pieces[at.0].stretches[at.1].name.clone());
    let shape = shaped(&d, at, (now.width.0, now.length), shape);
    revised(text, &Revision::Shape { of, shape }).unwrap()
}

const YOKE: (usize, usize) = (0, 1);

#[test]
fn every_press_knits_in_every_size_and_is_known_again() {
    for shape in Shape::SIDES.into_iter().chain(Shape::MIDDLE).filter(|s| *s != Shape::Heel) {
        let text = pressed(BLANK, YOKE, shape);
        assert!(text.contains("// How high the yoke is."), "{text}");
        let stretch = understood(&text).pieces[0].stretches[1].clone();
        let [sides, middle] = [Shape::of_sides(&stretch), Shape::of_middle(&stretch)];
        let expected = if Shape::SIDES.contains(&shape) { (shape, Shape::Undivided) } else { (Shape::Straight, shape) };
        assert_eq!((sides, middle), expected, "{text}");
        assert_eq!(worked(&text, YOKE).len(), 2);
    }
    let heel = pressed(BLANK, (1, 1), Shape::Heel);
    assert!(heel.contains("short-rows on=\"main\" {"), "{heel}");
    let stretch = &worked(&heel, (1, 1))[0];
    assert!(!stretch.short.is_empty());
    // Back to a whole stretch: it has a length again.
    let whole = pressed(&heel, (1, 1), Shape::Undivided);
    assert!((worked(&whole, (1, 1))[0].length.0 - stretch.length.0).abs() < 4.0, "{whole}");
}

#[test]
fn a_neck_takes_a_third_and_armholes_stay_beside_it() {
    let text = pressed(&pressed(BLANK, YOKE, Shape::Armhole), YOKE, Shape::RoundNeck);
    for w in worked(&text, YOKE) {
        // 34 % of the width, and four fifths of it left beside the armholes, to a stitch a side.
        let (needles, neck) = (f64::from(w.needles), f64::from(w.parts.as_ref().unwrap().neck));
        assert!((neck - 0.34 * needles).abs() <= 2.0, "{neck} of {needles}");
        assert!((f64::from(w.needles_end) - 0.8 * needles).abs() <= 2.0, "{} of {needles}", w.needles_end);
    }
    // Shoulders three ways, each in place of the other.
    let held = pressed(&pressed(&text, YOKE, Shape::CastOff), YOKE, Shape::Held);
    assert_eq!(held.matches("shoulder 3").count(), 1, "{held}");
    assert!(worked(&held, YOKE)[0].parts.as_ref().unwrap().slope.as_ref().unwrap().held.is_some());
    assert_eq!(pressed(&held, YOKE, Shape::Level), text, "and back");
    // Without the neck there are no shoulders; the armholes stay.
    let undivided = pressed(&held, YOKE, Shape::Undivided);
    assert!(!undivided.contains("shoulder") && undivided.contains("decrease"), "{undivided}");
    // A crown has neither.
    let crown = pressed(&held, YOKE, Shape::Crown);
    assert!(["shoulder", "neck", "decrease"].iter().all(|w| !crown.contains(w)), "{crown}");
}

/// A width dragged keeps the words by which it is graded: needles, a length, or ease round a measure.
#[test]
fn a_width_that_is_dragged_keeps_its_kind() {
    let text = pressed(BLANK, YOKE, Shape::RoundNeck);
    let d = understood(&text);
    // 10 cm of 60 round, half of it in one piece: 20 / 60.
    assert_eq!(width_as_wished(&d, YOKE, true, 0, Mm(100.0)).unwrap(), "(percent)-66.67");
    let of = || ("back".to_string(), "yoke".to_string());
    let wide = Revision::EndWidth { of: of(), neck: true, value: "(percent)-66.67".into() };
    let text = revised(&text, &wide).unwrap();
    let neck = worked(&text, YOKE)[0].neck_width().0;
    assert!((neck - 100.0).abs() < 3.6, "{neck}");
    let lengths = [("neck 1 { width (cm)12; }", true), ("decrease 1 { width (cm)20; }", false)];
    for (line, neck) in lengths {
        let text = BLANK.replace("length (cm)16", &format!("length (cm)16\n        {line}"));
        let value = width_as_wished(&understood(&text), YOKE, neck, 0, Mm(110.0)).unwrap();
        assert_eq!(value, "(cm)11");
        let text = revised(&text, &Revision::EndWidth { of: of(), neck, value }).unwrap();
        assert!(text.contains("width (cm)11; }"), "{text}");
    }
    let eased =
        BLANK.replace("length (cm)16", "length (cm)16\n        decrease 1 { around \"chest\" (cm)-10 shared=2; }");
    assert_eq!(width_as_wished(&understood(&eased), YOKE, false, 1, Mm(250.0)).unwrap(), "(cm)-20");
    let counted = BLANK.replace("length (cm)16", "length (cm)16\n        decrease 1 { needles 40; }");
    assert_eq!(width_as_wished(&understood(&counted), YOKE, false, 1, Mm(250.0)), None, "needles are needles");
}

#[test]
fn shapes_are_chosen_on_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("blank.kdl");
    std::fs::write(&file, BLANK).unwrap();
    let w = Workshop::open(folder.path(), &[]);
    let text = || std::fs::read_to_string(&file).unwrap();
    let press = |piece: &str, stretch: &str, value: &str| {
        let base = w.get("/d/blank.kdl").base();
        let fields = [
            ("base", base.as_str()),
            ("piece", piece),
            ("stretch", stretch),
            ("id", "z0-1"),
            ("what", "shape"),
            ("value", value),
        ];
        w.post("/d/blank.kdl/shape", &fields).unwrap().text()
    };
    let page = press("back", "yoke", "round-neck");
    assert!(text().contains("curve \"hollow\""), "{}", text());
    assert!(
        page.contains("value=\"held\"") && page.contains("data-what=\"neck-needles\""),
        "shoulders, and a neck to drag"
    );
    // The neck in needles, said in the document as a share of the chest.
    let base = w.get("/d/blank.kdl").base();
    let fields = [
        ("base", base.as_str()),
        ("piece", "back"),
        ("stretch", "yoke"),
        ("size", "a"),
        ("what", "neck-needles"),
        ("value", "20"),
    ];
    w.post("/d/blank.kdl/revise", &fields).unwrap();
    let d = understood(&text());
    assert_eq!(worked(&text(), YOKE)[0].parts.as_ref().unwrap().neck, 20, "{}", text());
    assert_eq!(d.pieces[0].stretches.len(), 2);
    // What cannot be is told with its reason, and nothing is written.
    let kept = text();
    let page = press("sock", "heel", "crown");
    assert!(page.contains("Not changed") && text() == kept, "{page}");
    assert!(!w.get("/d/blank.kdl").text().contains("id=\"z0-0-round-neck\""), "a neck ends its piece");
    for _ in 0..2 {
        w.post("/d/blank.kdl/undo", &[("base", &w.get("/d/blank.kdl").base())]).unwrap();
    }
    assert_eq!(text(), BLANK);
}
