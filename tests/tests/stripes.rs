//! Stripes by the weight of their yarn: rows in every size that the yarn makes for sure.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeMap;

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::handout::proofread;
use latchwork::units::Language;
use latchwork_machine::beds::Beds;
use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Action, Yarn};

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

/// Joins, cuts and free passes of the first size, and whether each section begins where settling has its carriage.
fn fetched(p: &Proven) -> (usize, usize, usize, bool) {
    let size = &p.sizes()[0];
    let plan = &size.plans.pieces[0];
    let many = |f: &dyn Fn(&Action) -> bool| plan.plan.steps.iter().filter(|s| f(&s.action)).count();
    let free = many(&|a| matches!(a, Action::Pass(q) if q.yarn.is_none() && !q.counted));
    let (mut beds, mut begun, mut there) = (Beds::outline(Side::Right), vec![false; 9], true);
    for s in &plan.plan.steps {
        if let (Action::Pass(q), Some(i)) = (&s.action, plan.origins[s.origin.0 as usize].stretch())
            && plan.origins[s.origin.0 as usize].fabric().is_some()
            && q.yarn.is_some()
            && !std::mem::replace(&mut begun[i], true)
        {
            let w = size.stretch(0, i);
            let fetch = w.fetches.first() == Some(&0);
            there &= w.carriage == if fetch { beds.carriage().other() } else { beds.carriage() };
        }
        beds.step(&s.action);
    }
    (many(&|a| matches!(a, Action::Join { .. })), many(&|a| matches!(a, Action::Cut(_))), free, there)
}

/// A yarn that waits at the far side is cut and joined, or fetched by a free pass where one is asked for, as far as a yarn is
/// carried at all.
#[test]
fn free_passes_fetch_yarns() {
    let with = |free: &str, stripes: &str| {
        let text = cowls(stripes).replace("stripes {", &format!("stripes{free} {{"));
        let rest = "; }; stretch \"rest\" { fabric \"plain\"; rows 6; }; ending";
        fetched(&proven(&text.replace("; }; ending", rest)))
    };
    let asked = " free-pass=\"yes\"";
    // 80 rows of 1 and 3 in turn: 20 stripes each. The first stripe's yarn, of the cast-on, is at the carriage; foam is joined
    // once; each later stripe of one row lies across the bed, and the yarn after it is at the far side.
    let odd = "yarn \"foam\" rows=1; yarn \"sea\" rows=3";
    assert_eq!(with(asked, odd), (2, 2, 20, true));
    let (joins, cuts, free, there) = with("", odd);
    assert!(joins == cuts && joins > 35 && free == 0 && there, "{joins} {cuts} {free}");
    // Pairs of rows need none, asked or not.
    let even = "yarn \"foam\" rows=2; yarn \"sea\" rows=4";
    assert_eq!((with(asked, even), with("", even)), ((2, 2, 0, true), (2, 2, 0, true)));
    // Past six rows, the free pass among them, a yarn is cut all the same.
    assert_eq!(with(asked, "yarn \"foam\" rows=1; yarn \"sea\" rows=5").0, 2);
    let (joins, _, free, there) = with(asked, "yarn \"foam\" rows=2; yarn \"sea\" rows=7");
    assert!(joins >= 9 && free == 0 && there, "{joins} {free}: foam lies seven rows below, at the far side");
}

/// Free passes are not counted: the rows of the counter are those of the fabric. What asks for a side of the carriage is refused
/// beside them.
#[test]
fn free_passes_are_not_counted() {
    let text = cowls("yarn \"foam\" rows=1; yarn \"sea\" rows=3").replace("stripes {", "stripes free-pass=\"yes\" {");
    let p = proven(&text);
    let last = p.sizes()[0].pieces[0].run.readings.iter().map(|r| r.counter).max();
    assert_eq!(last, Some(81), "80 rows and the loose one");
    let pieces = proofread(&p, &[0, 1]).unwrap_or_else(|m| panic!("{m}"));
    let said = pieces[0].lines();
    assert!(
        said.contains("Take the yarn out of the feeder. Counter off. Make 1 free pass right to left: both beds slip."),
        "{said}"
    );
    let asks = text.replace("rows 80;", "rows 80; decrease 1 every=6 times=3 { carriage \"left\"; };");
    assert!(
        wrong(&asks).contains("With the free passes of \"tube\" the carriage may be at either side here."),
        "{}",
        wrong(&asks)
    );
    let one_way = text.replace("\"plain\"", "\"full cardigan\"");
    assert!(wrong(&one_way).contains("full cardigan needs each pass to go its own way"), "{}", wrong(&one_way));
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
    let pieces = proofread(&proven(text), &[0]).unwrap();
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

/// The rows of each side of a neck by their yarns, and what is wrong: a yarn that waits at the far side where the work parts, one that
/// a side takes without having joined it, a yarn joined more often than it is cut.
fn by_sides(p: &Proven) -> [Vec<u8>; 2] {
    let plan = &p.sizes()[0].plans.pieces[0].plan;
    let mut beds = Beds::outline(Side::Right);
    // Where each yarn waits.
    let mut waits: BTreeMap<Yarn, Side> = BTreeMap::new();
    let mut sides: [Vec<u8>; 2] = [Vec::new(), Vec::new()];
    let mut side = None;
    for s in &plan.steps {
        beds.step(&s.action);
        match &s.action {
            Action::TakeOff { .. } => {
                assert!(waits.values().all(|w| *w == beds.carriage()), "{waits:?}");
                side = Some(0);
            }
            Action::PutBack { .. } => {
                assert!(waits.is_empty(), "all is cut where the second side begins: {waits:?}");
                side = Some(1);
            }
            Action::Join { yarn, side } => assert_eq!(waits.insert(*yarn, *side), None, "{yarn:?} joined twice"),
            Action::Cut(yarn) => assert!(waits.remove(yarn).is_some(), "{yarn:?} is cut and was not joined"),
            Action::Pass(q) => {
                for yarn in [q.yarn, q.second].into_iter().flatten() {
                    let from = waits.insert(yarn, q.direction);
                    assert_eq!(from, Some(q.direction.other()), "{yarn:?} is not where the pass begins");
                }
                if let (Some(k), Some(yarn), true) = (side, q.yarn, q.counted) {
                    sides[k].push(yarn.0);
                }
            }
            _ => {}
        }
    }
    assert!(waits.is_empty(), "{waits:?}");
    sides
}

/// A neck in stripes: where the work parts, no yarn is left at the far side; the second side joins its own, and has the stripes of the
/// first row for row.
#[test]
fn a_neck_in_stripes() {
    let with = |body: u32, stripes: &str, neck: &str| {
        cowls(stripes).replace(
            "stretch \"tube\" { fabric \"plain\"; around \"girth\" (percent)0; rows 80; ",
            &format!("stretch \"body\" {{ fabric \"plain\"; around \"girth\" (percent)0; rows {body}; stripes {{ {stripes} }}; }}; stretch \"tube\" {{ fabric \"plain\"; rows 24; {neck}; "),
        )
    };
    let round = "neck 1 { middle 8; then every=1 cast-off=2; then every=2 times=3; }";
    let three = "yarn \"sea\" rows=2; yarn \"foam\" rows=1; yarn \"sea\" rows=3";
    for (body, stripes, neck) in [
        (20, "yarn \"foam\" rows=2; yarn \"sea\" rows=2", round),
        (21, "yarn \"foam\" rows=2; yarn \"sea\" rows=2", round),
        (23, three, round),
        (22, three, "neck 1 { middle 8; then every=2 times=3; waits \"holder\"; }; shoulder 3"),
        (20, three, "neck 1 { middle 8; then every=2 times=3; }; shoulder 2 by=\"short-rows\""),
    ] {
        let p = proven(&with(body, stripes, neck));
        let [first, second] = by_sides(&p);
        assert!(first.len() >= 24 && first == second, "{body} {stripes}:\n{first:?}\n{second:?}");
        assert!(first.iter().any(|y| *y != first[0]), "{first:?}");
        let pieces = proofread(&p, &[0]).unwrap_or_else(|m| panic!("{m}"));
        assert!(
            pieces[0].lines().contains("Thread foam again, leaving a tail of 15 cm at the "),
            "{}",
            pieces[0].lines()
        );
    }
    // A yarn that would be carried to its next row, but waits at the other side's edge where the work parts.
    let far = with(20, "yarn \"sea\" rows=18; yarn \"foam\" rows=1; yarn \"sea\" rows=1", round);
    let last = far.rfind("rows=18").unwrap();
    let far = format!("{}rows=1{}", &far[..last], &far[last + 7..]);
    let [first, second] = by_sides(&proven(&far));
    assert_eq!(first, second);
    let fetched = with(20, three, round).replace("stripes {", "stripes free-pass=\"yes\" {");
    assert!(
        wrong(&fetched).contains("In a section that is divided by a neck no free pass fetches a yarn."),
        "{}",
        wrong(&fetched)
    );
}
