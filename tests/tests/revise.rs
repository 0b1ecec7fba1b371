//! Changes of a document keep the rest of it, and cues say what the plan does.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::cues::{Cue, Kind, cues, standings};
use latchwork::design::from_text;
use latchwork::plan::PiecePlan;
use latchwork::revise::{Answers, Measurement, NewLasts, NewPanel, Revision, Thing, Whom, begun, revised};
use latchwork::units::Show;
use latchwork::units::dial;
use latchwork::wording::Language;
use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::Action;

const HAT: &str = include_str!("../../designs/deck-hat.kdl");

fn of(piece: &str, stretch: &str) -> (String, String) {
    (piece.to_string(), stretch.to_string())
}

fn changed(before: &str, after: &str) -> Vec<String> {
    after.lines().filter(|l| !before.lines().any(|b| b == *l)).map(|l| l.trim().to_string()).collect()
}

#[test]
fn one_line_changes_and_no_other() {
    let cases = [
        (Revision::Length { of: of("hat", "brim"), value: "(cm)7".to_string(), rows: false }, "length (cm)7"),
        (Revision::Length { of: of("hat", "brim"), value: "30".to_string(), rows: true }, "rows 30"),
        (
            Revision::Length { of: of("hat", "body"), value: "(percent)30".to_string(), rows: false },
            "length (percent)30 of=\"head-girth\"",
        ),
        (Revision::Fabric { of: of("hat", "body"), name: "full cardigan".to_string() }, "fabric \"full cardigan\""),
        (Revision::Ease { of: of("hat", "body"), percent: -12.5 }, "around \"head-girth\" (percent)-12.5"),
        (Revision::InHand { yarn: "harbour sock".to_string(), grams: Some(43.0) }, "in-hand (g)43"),
        (Revision::Title("Night \"hat\"".to_string()), "title \"Night \\\"hat\\\"\""),
        (
            Revision::EndWidth { of: of("ear flap", "point"), neck: false, value: "5".to_string() },
            "decrease 2 { needles 5; finish \"plain\"; }",
        ),
        (Revision::Inches(true), "units \"in\""),
    ];
    for (revision, line) in cases {
        let after = revised(HAT, &revision).unwrap();
        assert_eq!(changed(HAT, &after), [line], "{revision:?}");
        assert!(HAT.matches("//").count() == after.matches("//").count(), "comments stay");
        assert!(
            from_text(&after).1.0.iter().all(|n| !n.told(Language::English).message.contains("not understood")),
            "{revision:?}"
        );
    }
}

#[test]
fn a_stretch_put_in_and_taken_out_leaves_the_document_as_it_was() {
    let added = Revision::AddStretch {
        after: of("hat", "brim"),
        name: "band".to_string(),
        fabric: "1x1 rib".to_string(),
        length: 30.0,
    };
    let with = revised(HAT, &added).unwrap();
    let names: Vec<String> = from_text(&with).0.unwrap().pieces[0].stretches.iter().map(|s| s.name.clone()).collect();
    assert_eq!(names, ["brim", "band", "body"]);
    assert_eq!(revised(&with, &Revision::RemoveStretch { of: of("hat", "band") }).unwrap(), HAT);
    assert!(revised(&with, &added).is_err(), "two of one name");
}

/// Yarns, stripes, colours and drawings are put in, changed and taken out again, and leave the rest as it was.
#[test]
fn yarns_stripes_and_drawings_are_changed() {
    let scarf = include_str!("../../designs/scarf.kdl");
    let of = of("scarf", "scarf");
    let two = revised(
        scarf,
        &Revision::AddColour { like: "pier wool".into(), name: "gull".into(), colour: "#FFFFFF".into() },
    )
    .unwrap();
    assert!(two.contains("yarn \"pier wool\"\n    stitch-size"), "the swatch names its yarn: {two}");
    assert!(two.contains("yarn \"pier wool\"\n    public-side"), "and the piece: {two}");
    let (design, notices) = from_text(&two);
    assert!(!notices.has_error(), "{:?}", notices.0);
    assert_eq!(design.unwrap().yarns[1].colour.as_deref(), Some("#FFFFFF"));
    let stripes = |all: &[(&str, u32)]| Revision::Stripes {
        of: of.clone(),
        stripes: all.iter().map(|(y, n)| ((*y).to_string(), NewLasts::Rows(*n))).collect(),
        fetches: false,
    };
    let striped = revised(&two, &stripes(&[("gull", 2), ("pier wool", 4)])).unwrap();
    assert!(from_text(&striped).0.is_some(), "{striped}");
    let other = revised(&striped, &stripes(&[("gull", 6)])).unwrap();
    assert!(other.contains("rows=6") && !other.contains("rows=4"), "{other}");
    assert_eq!(revised(&other, &stripes(&[])).unwrap(), two);
    assert!(
        revised(&two, &Revision::AddColour { like: "pier wool".into(), name: "gull".into(), colour: "#000".into() })
            .is_err()
    );
    let drawn =
        |rows: &[&str]| Revision::Drawn { name: "dots".into(), rows: rows.iter().map(ToString::to_string).collect() };
    let first = revised(&two, &drawn(&["k2kk", "kkk2"])).unwrap();
    let again = revised(&first, &drawn(&["k2kk", "kkkk", "2222"])).unwrap();
    let (design, notices) = from_text(&again);
    assert!(!notices.has_error(), "{again} {:?}", notices.0);
    let dots = latchwork::fabric::find_in(&design.unwrap().fabrics, "dots").unwrap().signs();
    assert_eq!(dots.unwrap(), ["k2kk", "kkkk", "2222"], "the first row knitted comes first");
    assert_eq!(again.matches("fabric \"dots\"").count(), 1);
}

#[test]
fn a_taper_is_changed_where_it_is_counted() {
    let text = HAT.replace("decrease 2 { needles 3; finish \"plain\"; }", "decrease 2 every=6 times=6");
    let after = revised(&text, &Revision::Taper { of: of("ear flap", "point"), every: 4, times: 5 }).unwrap();
    assert_eq!(changed(&text, &after), ["decrease 2 every=4 times=5"]);
    assert!(revised(HAT, &Revision::Taper { of: of("ear flap", "point"), every: 4, times: 5 }).is_err());
}

#[test]
fn what_is_not_there_is_told() {
    for revision in [
        Revision::RemoveStretch { of: of("hat", "sleeve") },
        Revision::Fabric { of: of("coat", "brim"), name: "plain".to_string() },
        Revision::InHand { yarn: "silk".to_string(), grams: Some(1.0) },
    ] {
        assert!(revised(HAT, &revision).unwrap_err().to_string().contains("has no"), "{revision:?}");
    }
    assert!(revised("", &Revision::Inches(true)).is_err());
}

/// Documents written on one line, and old-fashioned ones, are changed as well.
#[test]
fn short_documents_are_changed_too() {
    let text = "title \"T\"; piece \"p\" { stretch \"a\" { fabric \"plain\"; length (cm)3; }; ending \"chain\"; }";
    let after = revised(text, &Revision::Length { of: of("p", "a"), value: "12".to_string(), rows: true }).unwrap();
    assert!(after.contains("fabric \"plain\"; rows 12; }"), "{after}");
    let names = |text: &str| -> Vec<String> {
        let mut notices = latchwork::notice::Notices::default();
        let tree = latchwork::text::read(text, &mut notices);
        assert!(!notices.has_error(), "{text}: {notices:?}");
        let piece = tree.nodes.iter().find(|n| n.name == "piece").unwrap();
        piece.children.iter().map(|c| c.name.clone()).collect()
    };
    let add =
        Revision::AddStretch { after: of("p", "a"), name: "b".to_string(), fabric: "plain".to_string(), length: 30.0 };
    let with = revised(text, &add).unwrap();
    assert_eq!(names(&with), ["stretch", "stretch", "ending"], "{with}");
    let without = revised(&with, &Revision::RemoveStretch { of: of("p", "a") }).unwrap();
    assert_eq!(names(&without), ["stretch", "ending"], "{without}");
    // A comment stays a comment, and what follows it stays what it is.
    let commented = "piece \"p\" {\n    // the flap\n    stretch \"a\" { fabric \"plain\"; rows 3; }; stretch \"x\" {\n        rows 3\n    }\n}\n";
    assert_eq!(names(&revised(commented, &Revision::RemoveStretch { of: of("p", "a") }).unwrap()), ["stretch"]);
    let yarn = "yarn \"w\" { count (tex)200; fibre \"wool\"; }\n";
    assert_eq!(
        revised(yarn, &Revision::InHand { yarn: "w".to_string(), grams: Some(43.0) }).unwrap(),
        "yarn \"w\" { count (tex)200; fibre \"wool\"; in-hand (g)43; }\n"
    );
    let windows = HAT.replace('\n', "\r\n");
    let with = revised(
        &windows,
        &Revision::AddStretch {
            after: of("hat", "brim"),
            name: "b".to_string(),
            fabric: "plain".to_string(),
            length: 30.0,
        },
    )
    .unwrap();
    assert_eq!(with.matches('\n').count(), with.matches("\r\n").count(), "its own line ends");
    assert_eq!(revised(&with, &Revision::RemoveStretch { of: of("hat", "b") }).unwrap(), windows);
    let units = "title \"t\"\nunits \"cm\" /* why */ // so\n";
    assert_eq!(revised(units, &Revision::Inches(true)).unwrap(), units.replace("cm", "in"));
}

#[test]
fn first_designs_are_proven_for_everyone() {
    let swatches = [
        Measurement { needles: 40, passes: 60, wide: 8.3, long: 13.6, grams: 14.0 },
        Measurement { needles: 40, passes: 60, wide: 11.1, long: 8.8, grams: 15.6 },
    ];
    for thing in [Thing::Hat, Thing::Mitts, Thing::Cuff, Thing::Scarf] {
        for whom in [
            Whom::Adults,
            Whom::Children,
            Whom::One(if thing == Thing::Scarf {
                150.0
            } else if thing == Thing::Hat {
                56.0
            } else {
                20.0
            }),
        ] {
            let answers = Answers {
                title: "A \"first\" one".to_string(),
                thing,
                whom,
                machine: "standard".to_string(),
                yarn: "my yarn".to_string(),
                count: 420.0,
                swatches,
            };
            let (design, notices) = from_text(&begun(&answers));
            let design = design.unwrap_or_else(|| panic!("{thing:?} {whom:?}: {:?}", notices.0));
            let all: Vec<usize> = (0..design.sizes.len()).collect();
            let outcome = prove(&design, &all);
            assert!(outcome.proven.is_some(), "{thing:?} {whom:?}: {:?}", outcome.notices);
        }
    }
}

/// Every pass of every example has its cue, in order; what a cue says of counter, side and loops is what the rehearsal
/// read; what has changed is said, and nothing else.
#[test]
fn cues_are_the_plan() {
    for text in [HAT, include_str!("../../designs/wrist-warmers.kdl"), include_str!("../../designs/scarf.kdl")] {
        let design = from_text(text).0.unwrap();
        let proven = prove(&design, &[0]).proven.unwrap();
        let size = &proven.sizes()[0];
        for (k, (piece, proof)) in size.plans.pieces.iter().zip(&size.pieces).enumerate() {
            let all = cues(size.proven(k).unwrap(), Show::METRIC);
            let passes: Vec<usize> = piece
                .plan
                .steps
                .iter()
                .enumerate()
                .filter(|(_, s)| matches!(s.action, Action::Pass(_)))
                .map(|(i, _)| i)
                .collect();
            let told: Vec<usize> = all.iter().filter(|c| c.kind == Kind::Pass).map(|c| c.steps.start).collect();
            assert_eq!(passes, told);
            assert!(all.windows(2).all(|w| w[0].steps.end <= w[1].steps.start), "in order, and none twice");
            let mut now: std::collections::BTreeMap<String, String> = std::collections::BTreeMap::new();
            for c in &all {
                let reading = proof.run.readings[c.steps.end - 1];
                assert_eq!((c.counter, c.stands, c.stitches), (reading.counter, reading.carriage, reading.stitches));
                // A ribber that is lowered is set for nothing.
                if c.set.as_ref().is_some_and(|s| s.ribber.is_none()) {
                    now.retain(|what, _| !what.starts_with("Ribber"));
                }
                for x in &c.changed {
                    assert_ne!(x.from, x.to);
                    if let Some(before) = now.get(&x.what) {
                        assert_eq!(*before, x.from, "{}", x.what);
                    }
                    now.insert(x.what.clone(), x.to.clone());
                }
                if let Action::Pass(p) = &piece.plan.steps[c.steps.start].action {
                    // What was said last is what each bed does on its way there.
                    let way = if p.direction == Side::Left { " to the left" } else { " to the right" };
                    let told = |bed: &str| {
                        let said = now.get(bed)?;
                        let on_its_way = said.split(", ").find_map(|s| s.strip_suffix(way));
                        Some(on_its_way.unwrap_or(said).to_string())
                    };
                    assert_eq!(told("Main bed"), Some(format!("{:?}", p.main.setting).to_lowercase()));
                    if let Some(ribber) = told("Ribber") {
                        assert_eq!(ribber, format!("{:?}", p.ribber.setting).to_lowercase());
                    }
                    assert_eq!(told("Main bed size"), Some(dial(p.main.dial.0)));
                }
            }
            every_act_is_said(piece, &all);
        }
    }
}

/// Every act of the hands except promises has its cue, with the grams that hang, the counter and the needles that are
/// touched. That the sentences say all of it is heard in heard.rs.
fn every_act_is_said(piece: &PiecePlan, all: &[Cue]) {
    let act = |i: usize| &piece.plan.steps[i].action;
    let is_act = |i: &usize| !matches!(act(*i), Action::Pass(_) | Action::Claim(_));
    let in_cues: Vec<usize> =
        all.iter().filter(|c| c.kind == Kind::Hands).flat_map(|c| c.steps.clone()).filter(is_act).collect();
    assert_eq!(in_cues, (0..piece.plan.steps.len()).filter(is_act).collect::<Vec<_>>(), "none left out, none twice");
    for c in all.iter().filter(|c| c.kind == Kind::Hands) {
        for i in c.steps.clone() {
            let said = |words: &str| assert!(c.hands.iter().any(|h| h.contains(words)), "{words}: {:?}", c.hands);
            let touched =
                |needles: &[Needle]| assert!(needles.iter().all(|n| c.needles.contains(n)), "{:?}", c.needles);
            match act(i) {
                Action::Hang { grams, .. } | Action::Unhang { grams, .. } => said(&format!("{grams} g")),
                Action::Counter(n) => said(&format!("{n:03}")),
                Action::Transfer(m) => touched(&[m.from, m.to]),
                Action::IntoWork(n) | Action::OutOfWork(n) | Action::Release(n) => touched(n),
                Action::Wrap { needles, .. } | Action::Secure { needles, .. } => touched(needles),
                _ => {}
            }
        }
    }
}

proptest::proptest! {
    /// A document broken anywhere, or with anything put in, is changed or reported, and no reader panics.
    #[test]
    fn broken_documents_are_changed_or_told(at in 0..2600_usize, cut in 0..40_usize, put in ".{0,12}", rows in 1..99_u32) {
        let start = (0..=at.min(HAT.len())).rev().find(|i| HAT.is_char_boundary(*i)).unwrap_or(0);
        let end = (start + cut..HAT.len()).find(|i| HAT.is_char_boundary(*i)).unwrap_or(HAT.len());
        let text = format!("{}{put}{}", &HAT[..start], &HAT[end.max(start)..]);
        for revision in [
            Revision::Length { of: of("hat", "brim"), value: rows.to_string(), rows: true },
            Revision::Fabric { of: of("hat", "body"), name: put.clone() },
            Revision::Ease { of: of("hat", "brim"), percent: f64::from(rows) },
            Revision::AddStretch { after: of("hat", "brim"), name: put.clone(), fabric: put.clone(), length: 30.0 },
            Revision::RemoveStretch { of: of("hat", "body") },
            Revision::InHand { yarn: "harbour sock".to_string(), grams: Some(40.0) },
            Revision::Inches(true),
        ] {
            if let Ok(after) = revised(&text, &revision) {
                let _ = from_text(&after);
            }
        }
    }
}

/// Half cardigan is set once, and knitted without a hand at the carriages.
#[test]
fn a_fabric_is_set_once() {
    let design = from_text(HAT).0.unwrap();
    let proven = prove(&design, &[2]).proven.unwrap();
    let size = &proven.sizes()[0];
    let all = cues(size.proven(0).unwrap(), Show::METRIC);
    let cardigan = |c: &&Cue| {
        c.kind == Kind::Pass
            && c.set.as_ref().is_some_and(|s| s.ribber.is_some_and(|r| r.words(Language::English).contains("tuck")))
    };
    let body: Vec<&Cue> = all.iter().filter(cardigan).collect();
    assert!(body.len() > 40, "{}", body.len());
    let set: Vec<_> = body.iter().filter(|c| !c.changed.is_empty()).collect();
    assert_eq!(set.len(), 1, "the carriages knit half cardigan by themselves");
    assert!(set[0].changed.iter().any(|x| x.what == "Ribber" && x.to == "tuck to the left, knit to the right"
        || x.to == "knit to the left, tuck to the right"));
}

/// How everything stands before a cue is what the rehearsal has there.
#[test]
fn how_it_stands_is_what_was_rehearsed() {
    for text in [HAT, include_str!("../../designs/wrist-warmers.kdl")] {
        let design = from_text(text).0.unwrap();
        let proven = prove(&design, &[0]).proven.unwrap();
        let size = &proven.sizes()[0];
        for (k, proof) in size.pieces.iter().enumerate() {
            let all = cues(size.proven(k).unwrap(), Show::METRIC);
            let stand = standings(size.proven(k).unwrap(), &design.machine.profile, &all, Language::English);
            assert_eq!(stand.len(), all.len() + 1);
            let mut before: Option<&Cue> = None;
            for (s, c) in stand.iter().skip(1).zip(&all) {
                let reading = proof.run.readings[c.steps.end - 1];
                assert_eq!((s.carriage, s.counter), (reading.carriage, reading.counter));
                let grams =
                    if reading.grams == 0 { "no weight".to_string() } else { format!("{} g in total", reading.grams) };
                assert_eq!(s.weights, grams);
                // Settings are those of the last pass.
                if let Some(set) = c.set.as_ref().or_else(|| before.and_then(|b| b.set.as_ref())) {
                    assert!(
                        s.settings.contains(&set.main.words(Language::English))
                            && s.sizes.contains(&dial(set.main.dial.0)),
                        "{s:?}"
                    );
                }
                before = Some(c);
            }
            assert_eq!(stand[0].needles, "none in work");
            assert_eq!(stand.last().unwrap().yarn, "none threaded");
        }
    }
}

/// Words after a fabric's name are put, changed and taken out, and panels added and taken out; the rest stays as it was.
#[test]
fn patterns_are_laid_out() {
    let scarf = include_str!("../../designs/mist-scarf.kdl");
    let mist = of("scarf", "mist");
    let laid = |text: &str, words: &[(&'static str, Option<&str>)]| {
        let words = words.iter().map(|(w, v)| (*w, v.map(str::to_string))).collect();
        revised(text, &Revision::Laid { of: mist.clone(), words }).unwrap()
    };
    let once = laid(scarf, &[("placed", Some("centred")), ("mirrored", Some("yes"))]);
    assert!(once.contains("fabric \"plain\" placed=\"centred\" mirrored=\"yes\""), "{once}");
    let again = laid(&once, &[("placed", Some("right")), ("mirrored", None)]);
    assert!(again.contains("fabric \"plain\" placed=\"right\"\n"), "{again}");
    assert_eq!(laid(&again, &[("placed", None)]), scarf);
    let panel = NewPanel { fabric: "mesh".into(), needles: 6, at: "left".into(), inside: 16, mirrored: true };
    let more = revised(scarf, &Revision::AddPanel { of: mist.clone(), panel }).unwrap();
    assert!(more.contains("panel \"mesh\" needles=6 at=left in=16 mirrored=yes"), "{more}");
    assert_eq!(revised(&more, &Revision::RemovePanel { of: mist.clone(), number: 3 }).unwrap(), scarf);
    assert!(revised(scarf, &Revision::RemovePanel { of: mist.clone(), number: 3 }).is_err());
}
