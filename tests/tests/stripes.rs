//! Stripes by the weight of their yarn: rows in every size that the yarn makes for sure.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::units::Language;

/// Cowls in two sizes with these stripes.
fn cowls(stripes: &str) -> String {
    format!(
        "title \"Cowl\"\nmachine \"standard\"\nyarn \"sea\" {{ count (tex)238; ball (g)50; }}\nyarn \"foam\" {{ count (tex)238; ball (g)50; }}
         swatch \"plain\" {{ yarn \"sea\"; stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }}
         sizes {{ size \"small\" {{ girth (cm)30; }}; size \"large\" {{ girth (cm)45; }} }}
         piece \"cowl\" {{ yarn \"sea\"; make 2; stretch \"tube\" {{ fabric \"plain\"; around \"girth\" (percent)0; rows 80; stripes {{ {stripes} }}; }}; ending \"chain\"; }}"
    )
}

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{text}\n{:?}", notices.0));
    let outcome = prove(&design, &[0, 1]);
    outcome.proven.unwrap_or_else(|| panic!("{text}\n{:?}", outcome.notices))
}

/// What is found wrong, in reading or in settling.
fn wrong(text: &str) -> String {
    let (design, notices) = from_text(text);
    let mut all: Vec<_> = notices.0;
    all.extend(design.iter().flat_map(|d| prove(d, &[0, 1]).notices).map(|n| n.1));
    let told = all.iter().map(|n| {
        let t = n.told(Language::English);
        format!("{} {} {} ", t.message, t.why, t.hints.join(" "))
    });
    told.collect()
}

#[test]
fn stripes_by_weight_are_graded() {
    let p = proven(&cowls("yarn \"sea\" grams=14; yarn \"foam\" grams=9; yarn \"sea\""));
    let rows: Vec<&[u32]> = p.sizes().iter().map(|s| s.stretch(0, 0).stripes.as_slice()).collect();
    for (size, rows) in p.sizes().iter().zip(&rows) {
        assert_eq!(rows.iter().sum::<u32>(), 80);
        // Pairs of rows, which bring the carriage back to where the next yarn waits.
        assert!(rows[0].is_multiple_of(2) && rows[1].is_multiple_of(2) && rows[0] > rows[1], "{rows:?}");
        // Both cowls take no more foam than there is, and two rows more of each would take too much or nearly.
        let (grams, _) = size.grams(p.design(), 1);
        assert!(grams.0 <= 9.0, "{} g in {rows:?}", grams.0);
        let more = grams.0 * f64::from(rows[1] + 2) / f64::from(rows[1]);
        assert!(more > 9.0 * 0.8, "{more} g would do in {rows:?}");
    }
    // The larger size makes fewer rows of the same weight.
    assert!(rows[1][0] < rows[0][0] && rows[1][1] < rows[0][1], "{rows:?}");
    // By rows they are the same in every size, over and over.
    let p = proven(&cowls("yarn \"sea\" rows=4; yarn \"foam\" rows=2"));
    assert!(p.sizes().iter().all(|s| s.stretch(0, 0).stripes == [4, 2]));
}

#[test]
fn stripes_by_weight_that_cannot_be() {
    let said = wrong(&cowls("yarn \"sea\" grams=14; yarn \"foam\" grams=9"));
    assert!(said.contains("does not last to its end in size small") && said.contains("rows are left"), "{said}");
    let said = wrong(&cowls("yarn \"sea\" grams=60; yarn \"foam\" grams=1; yarn \"sea\""));
    assert!(said.contains("The yarn of stripe 2 of tube does not make 2 rows"), "{said}");
    let said = wrong(&cowls("yarn \"sea\"; yarn \"foam\" grams=9"));
    assert!(said.contains("How long this stripe lasts is not clear"), "{said}");
    let said = wrong(&cowls("yarn \"sea\" rows=2 grams=3; yarn \"foam\" grams=9"));
    assert!(said.contains("How long this stripe lasts is not clear"), "{said}");
    // Without a weighed swatch the yarn of a loop is estimated, and a stripe is shorter for the doubt.
    let text = cowls("yarn \"sea\" grams=14; yarn \"foam\"");
    let unweighed = proven(&text.replace("weighed (g)16.7 needles=60 passes=90; ", ""));
    let rows = |p: &Proven| p.sizes()[0].stretch(0, 0).stripes[0];
    assert!(rows(&unweighed) < rows(&proven(&text)));
}

/// Two-bed colour in three yarns: a design row is three passes, in which each needle of the main bed knits once; each yarn comes
/// back to the side where it is next needed, and is cut at the end alone. After "n passes raise the front by one stitch row"
/// (facts of two-bed colour, handbooks).
#[test]
fn three_yarns_on_two_beds() {
    use latchwork_machine::needle::Bed;
    use latchwork_machine::steps::{Action, Setting};
    for (back, grams) in [("specked-back steps", 14), ("striped-back steps", 20)] {
        let fabric = latchwork::fabric::find(back).unwrap();
        assert_eq!((fabric.yarns(), fabric.repeat.len()), (3, 18));
        for row in fabric.repeat.chunks(3) {
            let knits = |place: i16| row.iter().filter(|t| t.does(Bed::Main, place) == Setting::Knit).count();
            assert!((0..6).all(|place| knits(place) == 1));
            let yarns: Vec<u8> = row.iter().map(|t| t.feeds.first).collect();
            assert_eq!(yarns, [0, 1, 2]);
        }
        let text = format!(
            "title \"T\"\nmachine \"standard\"\nyarn \"sea\" {{ count (tex)120; ball (g)50; }}\nyarn \"foam\" {{ count (tex)120; ball (g)50; }}\nyarn \"rust\" {{ count (tex)120; ball (g)50; }}
             swatch \"{back}\" {{ yarn \"sea\"; stitch-size 5; counted needles=80 passes=60; flat (cm)14.7 (cm)10.6; weighed (g){grams} needles=80 passes=120; state \"washed\"; }}
             sizes {{ size \"small\" {{ girth (cm)56; }}; size \"large\" {{ girth (cm)60; }} }}
             piece \"p\" {{ yarn \"sea\"; stretch \"field\" {{ fabric \"{back}\"; yarns \"sea\" \"foam\" \"rust\"; needles 120; rows 72; }}; ending \"chain\"; }}"
        );
        let p = proven(&text);
        let steps = &p.sizes()[0].plans.pieces[0].plan.steps;
        let last = steps.iter().rposition(|s| matches!(&s.action, Action::Pass(p) if p.yarn.is_some())).unwrap();
        let early = steps[..last].iter().filter(|s| matches!(s.action, Action::Cut(_))).count();
        // The last rows of two yarns come before that of the third.
        assert!(early <= 2, "{early} cuts");
    }
}

/// In a section that widens, the yarn of a stripe is counted over its widest row.
#[test]
fn stripes_of_a_section_that_widens_last() {
    let text = cowls("yarn \"sea\" rows=60; yarn \"foam\" grams=12; yarn \"sea\"")
        .replace("around \"girth\" (percent)0; rows 80;", "needles 40; rows 80; increase 1 every=2 times=39;");
    let p = proven(&text);
    assert!(p.sizes()[0].stretch(0, 0).stripes[1] >= 2);
    let (grams, _) = p.sizes()[0].grams(p.design(), 1);
    assert!(grams.0 <= 12.0, "{} g", grams.0);
}

/// The picture beside a chart: a needle that is passed over shows the stitch below it until it knits again. Of 18 passes a column knits
/// at 0 and 3 in the first yarn, at 8 and 11 in the third, at 13 and 16 in the second: they show for 8, 5 and 5.
#[test]
fn passed_over_needles_show_the_stitch_below() {
    let text = "title \"T\"\nmachine \"standard\"\nyarn \"sea\" { count (tex)120; ball (g)50; colour \"#112233\"; }\nyarn \"foam\" { count (tex)120; ball (g)50; colour \"#eeddcc\"; }\nyarn \"rust\" { count (tex)120; ball (g)50; colour \"#aa5533\"; }
         swatch \"specked-back steps\" { yarn \"sea\"; stitch-size 5; counted needles=80 passes=60; flat (cm)14.7 (cm)10.6; weighed (g)14 needles=80 passes=120; state \"washed\"; }
         sizes { size \"small\" { girth (cm)56; }; size \"large\" { girth (cm)60; } }
         piece \"p\" { yarn \"sea\"; stretch \"field\" { fabric \"specked-back steps\"; yarns \"sea\" \"foam\" \"rust\"; needles 120; rows 72; }; ending \"chain\"; }";
    let pieces = latchwork::handout::proofread(&proven(text), &[0]).unwrap();
    let [front, back] = pieces[0].charts.as_slice() else { panic!("a chart for each bed") };
    assert_eq!((front.letter.as_str(), back.letter.as_str()), ("A", "B"));
    assert!(back.caption.starts_with("The ribber side"), "{}", back.caption);
    let figure = |rect: &str, name: &str| -> f64 {
        rect.split(&format!(" {name}=\"")).nth(1).and_then(|r| r.split('"').next()).unwrap().parse().unwrap()
    };
    let area = |fill: &str| -> f64 {
        let rects = front.public.svg.split("<rect").skip(1).filter(|r| r.contains(&format!("fill=\"{fill}\"")));
        rects.map(|r| figure(r, "width") * figure(r, "height")).sum()
    };
    let whole = area("#112233");
    for fill in ["#eeddcc", "#aa5533"] {
        assert!((area(fill) / whole - 5.0 / 18.0).abs() < 0.001, "{} of {whole}", area(fill));
    }
}
