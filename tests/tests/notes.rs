//! Pass notes: sound ones are rehearsed, printed in words and read back; of faulty ones the first cause is reported.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{given, mend_design, mend_notes, one_of_each, prove_notes, rules};
use latchwork::fact::Rule;
use latchwork::handout::{glossary, heard_as_planned, proofread};
use latchwork::notes::from_text;
use latchwork::notice::Level;
use latchwork::readback::read_back;
use latchwork::wording::{self, Language};
use latchwork::words::say;
use latchwork_machine::steps::Action;
use latchwork_tests::notes::cases;
use latchwork_tests::passes;

#[test]
fn sound_notes_are_rehearsed_and_read_back() {
    for (name, document, expected) in cases(include_str!("../suite/notes/sound.notes")) {
        let (noted, notices) = from_text(&document);
        let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
        let outcome = prove_notes(&noted);
        let found: Vec<&str> =
            outcome.sizes[0].pieces.iter().flat_map(|p| &p.run.findings).map(|f| f.fault.rule().0).collect();
        let want: Vec<&str> =
            expected.iter().flat_map(|l| l.rsplit(',').next()).map(str::trim).filter(|w| *w != "none").collect();
        assert_eq!(found, want, "{name}: {:?}", outcome.notices);
        let proven = outcome.proven.unwrap_or_else(|| panic!("{name}: {:?}", outcome.notices));
        let pieces = proofread(&proven, &[0]).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(!pieces.is_empty(), "{name} is printed");
        // Also said and read back step by step, without the handout's table.
        let plan = &noted.plans.pieces[0];
        let lines: Vec<String> = say(&plan.plan, &given(plan, noted.design.show))
            .iter()
            .enumerate()
            .filter(|(_, l)| l.shapings.is_empty())
            .map(|(i, l)| format!("{} {}", i + 1, l.text()))
            .collect();
        if lines.len() == pieces[0].steps.len() {
            let names = glossary(vec!["one size".to_string()], plan, Language::English);
            let heard = read_back(&lines.join("\n"), &names).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert_eq!(heard_as_planned(&heard[0], plan, noted.design.show), None, "{name}");
        }
    }
}

#[test]
fn faulty_notes_are_told_their_first_cause() {
    for (name, document, expected) in cases(include_str!("../suite/notes/faulty.notes")) {
        let (noted, notices) = from_text(&document);
        let mut all: Vec<_> = notices.0.into_iter().filter(|n| n.level == Level::Error).collect();
        if let Some(noted) = &noted {
            let outcome = prove_notes(noted);
            assert!(outcome.proven.is_none(), "{name} cannot be knitted");
            all.extend(outcome.notices.into_iter().map(|n| n.1).filter(|n| n.level == Level::Error));
        }
        let told: Vec<String> = all
            .iter()
            .map(|n| {
                let at = n.span.map_or("", |s| document[s.start..].lines().next().unwrap_or(""));
                format!("{at} | {}", n.told(Language::English).message)
            })
            .collect();
        assert_eq!(told.len(), expected.len(), "{name}: one cause, no echoes: {told:#?}");
        for (is, want) in told.iter().zip(&expected) {
            assert!(want.split(" | ").all(|w| is.contains(w)), "{name}: {is:?} should say {want:?}");
        }
        assert!(
            all.iter()
                .all(|n| !n.told(Language::English).hints.is_empty() || !n.told(Language::English).why.is_empty()),
            "{name}: a way out is told: {all:?}"
        );
    }
}

#[test]
fn every_rule_of_the_craft_and_its_near_miss() {
    let all = cases(include_str!("../suite/notes/craft.notes"));
    let told = |name: &str, document: &str| -> Vec<&'static str> {
        let (noted, notices) = from_text(document);
        let mut noted = noted.unwrap_or_else(|| panic!("{:?}", notices.0));
        if name.trim_start_matches("near ").starts_with("weights-not-moved") {
            // The notes' reader moves weights up by itself; a plan from elsewhere may not.
            noted.plans.pieces[0].plan.steps.retain(|s| !matches!(s.action, Action::MoveUp(_)));
        }
        prove_notes(&noted).notices.into_iter().filter_map(|n| n.1.rule()).collect()
    };
    for (name, document, expected) in &all {
        assert_eq!(&told(name, document), expected, "{name}");
    }
    let judge: Vec<&str> = one_of_each().iter().map(|f| f.rule().0).collect();
    for rule in rules().iter().filter(|r| !judge.contains(&r.id())) {
        let hit = all.iter().any(|c| c.2.contains(&rule.id().to_string()));
        let near = all.iter().any(|c| c.0.starts_with(&format!("near {}", rule.id())));
        assert!(hit && near, "{} has a pair", rule.id());
        let Rule::Craft(craft) = rule else { panic!("{} is of the judge", rule.id()) };
        assert!(!wording::craft(*craft, Language::English).hints.is_empty(), "{} says what would work", rule.id());
    }
}

/// Every rule of the judge has a case that triggers it, and its nearest neighbour that does not.
#[test]
fn every_rule_of_the_judge_has_a_pair() {
    let cases = passes::read(include_str!("../suite/rehearsal/pairs.cases"));
    let all: Vec<&str> = one_of_each().iter().map(|f| f.rule().0).collect();
    for rule in &all {
        assert_eq!(all.iter().filter(|r| *r == rule).count(), 1, "{rule} is one rule");
        let named =
            |name: &str| cases.iter().filter(|c| c.name.split([':', ',']).next() == Some(name)).collect::<Vec<_>>();
        let (hit, near) = (named(rule), named(&format!("near {rule}")));
        assert!(hit.iter().any(|c| c.findings.iter().any(|f| f == rule)), "{rule} has a case that triggers it");
        assert!(!near.is_empty(), "{rule} has a near miss");
        assert!(
            near.iter().all(|c| c.findings.iter().all(|f| f != rule)),
            "the near miss of {rule} is silent about it"
        );
    }
}

/// What can be mended automatically is, and then rehearses without an error.
#[test]
fn mended_documents_knit() {
    for (name, document, expected) in cases(include_str!("../suite/notes/mended.notes")) {
        let (mended, done) = mend_notes(&document);
        let done: Vec<String> = done.iter().map(|d| wording::done(d, Language::English)).collect();
        assert_eq!(done, expected, "{name}: {mended}");
        let (noted, notices) = from_text(&mended);
        let noted = noted.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
        let outcome = prove_notes(&noted);
        assert!(outcome.proven.is_some(), "{name}: {:?}\n{mended}", outcome.notices);
        assert_eq!(mend_notes(&mended).1, [], "{name} is mended once for all");
    }
    let design =
        include_str!("../../designs/scarf.kdl").replacen("fabric \"half cardigan\"", "fabrik \"half cardigan\"", 1);
    let (mended, done) = mend_design(&design);
    assert_eq!(done.iter().map(|d| wording::done(d, Language::English)).collect::<Vec<_>>(), ["fabrik becomes fabric"]);
    assert_eq!(mended, include_str!("../../designs/scarf.kdl"));
}

/// Stripes: every loop, the chained edge and every end left hanging are of the yarn that made them.
#[test]
fn each_yarn_is_reckoned_by_itself() {
    let document = "machine \"standard\"\nyarn \"grey\" { count (tex)238; }\nyarn \"red\" { count (tex)238; }\n\
        swatch \"plain\" { yarn \"grey\"; stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }\n\
        notes \"stripe\"\ncarriage at the right\ncast on 40 needles plain\nweights 200 g\n10 rows plain at 6\n\
        change to \"red\"\n20 rows plain at 6\nbind off with the latch tool\n";
    let (noted, notices) = from_text(document);
    let noted = noted.unwrap_or_else(|| panic!("{:?}", notices.0));
    let outcome = prove_notes(&noted);
    let piece = &outcome.sizes[0].pieces[0];
    let [(1, red)] = piece.others.as_slice() else { panic!("{:?}", piece.others) };
    let ends: f64 = noted.plans.pieces[0].tails.iter().map(|t| t.length.0 / 1000.0).sum();
    assert!(piece.yarn.tails > 0.0 && red.tails > 0.15, "both leave ends: {piece:?}");
    assert!((piece.yarn.tails + red.tails - ends).abs() < 1e-9, "every end is of one yarn");
    // 16.7 g of 238 tex in 60 needles by 90 rows is 13 mm a loop; the swatch is grey, and red takes the same. Red makes 20 rows, the loose one and the chain.
    let a_loop = 16.7 / 238.0 * 1e6 / (60.0 * 90.0) / 1000.0;
    assert!(((red.metres - red.tails) / a_loop - 22.0 * 40.0).abs() < 1e-6, "{red:?}");
    // Grey is wrapped on and makes ten rows.
    assert!(((piece.yarn.metres - piece.yarn.tails) / a_loop - 11.0 * 40.0).abs() < 1e-6, "{:?}", piece.yarn);
}

/// Notes of a piece of 40 needles in plain, and the design that they come to.
fn as_a_design(body: &str) -> (latchwork::notes::Noted, String) {
    let head = "machine \"standard\"\nyarn \"sea\" { count (tex)238; ball (g)50; }\n\
        swatch \"plain\" { stitch-size 6; counted needles=40 passes=60; flat (cm)14.3 (cm)15; weighed (g)14 needles=60 passes=90; state \"washed\"; }\n\
        notes \"piece\"\ncarriage at the right\ncast on 40 needles plain\nweights 200 g\n";
    let notes = format!("{head}{body}\nbind off\n");
    let (noted, notices) = from_text(&notes);
    let noted = noted.unwrap_or_else(|| panic!("{:?}", notices.0));
    let text = latchwork::notes::restated(&notes, &noted);
    (noted, text)
}

/// That design, proven, and its sections.
fn become_a_design(body: &str) -> (String, Vec<latchwork::stitches::WorkedStretch>) {
    let (noted, text) = as_a_design(body);
    let (design, notices) = latchwork::design::from_text(&text);
    let design = design.unwrap_or_else(|| panic!("{:?}\n{text}", notices.0));
    let outcome = latchwork::check::prove(&design, &[0]);
    assert!(outcome.proven.is_some(), "{text}\n{:?}", outcome.sizes[0].notices);
    let stretches = outcome.sizes[0].stitches.pieces[0].stretches.clone();
    // Every row of the notes is in it.
    let plan = &noted.plans.pieces[0];
    let knitted = plan.plan.steps.iter().filter(|s| {
        use latchwork::plan::PartKind::{CastOn, Ending};
        let part = &plan.origins[s.origin.0 as usize].kind;
        matches!(s.action, Action::Pass(_)) && !matches!(part, CastOn | Ending)
    });
    let noted = u32::try_from(knitted.count()).unwrap();
    assert_eq!(stretches.iter().map(|s| s.rows).sum::<u32>(), noted, "{text}");
    (text, stretches)
}

/// Notes become a design with the shapes that they make.
#[test]
fn notes_keep_their_shapes_as_a_design() {
    let armholes = "30 rows plain at 6\nbind off 4 at the right\nbind off 4 at the left\nweights 150 g\n\
        decrease one at both ends every 2 rows, 5 times\n20 rows";
    let (text, s) = become_a_design(armholes);
    assert!(text.contains("decrease 1 { cast-off 4; then every=2 times=5; }"), "{text}");
    assert!(!text.contains("Not carried over"), "{text}");
    assert_eq!(
        s.iter().map(|s| (s.needles, s.needles_end, s.rows)).collect::<Vec<_>>(),
        [(40, 40, 30), (40, 22, 10), (22, 22, 20)]
    );
    let slope = "10 rows plain at 6\nbind off 5 at the right\n2 rows\nbind off 5 at the right\n2 rows";
    let (text, s) = become_a_design(slope);
    assert!(text.contains("decrease 1 { cast-off 5; then every=2 cast-off=5 times=1; at \"right\"; }"), "{text}");
    assert_eq!((s[1].needles, s[1].needles_end), (40, 30));
    let steady = "10 rows plain at 6\ndecrease one at the left\n10 rows\ndecrease one at the left\n4 rows";
    let (text, s) = become_a_design(steady);
    assert!(text.contains("decrease 1 every=10 times=2 { at \"left\"; }"), "{text}");
    assert_eq!((s.len(), s[0].rows, s[1].needles), (2, 20, 38));
    let wider = "4 rows plain at 6\nincrease one at both ends\n4 rows\nincrease one at both ends\n6 rows";
    let (text, s) = become_a_design(wider);
    assert!(text.contains("increase 1 every=4 times=2") && s[1].needles == 44, "{text}");
}

/// Work divided at a neck: both sides alike, it is a neck of the design, with as many rows and stitches.
#[test]
fn notes_keep_their_necks_as_a_design() {
    let neck = |first: &str, second: &str| {
        format!(
            "30 rows plain at 6\ntake off L5 to L20 on to holder 1\nbind off L4 to R4\n{first}\nbind off all\n\
             put back holder 1 on L20 to L5\nfree pass\nchange to \"second ball\"\ncounter 30\n{second}"
        )
    };
    let steps = |end: &str| format!("decrease one at the {end} every 2 rows, 5 times\n10 rows");
    let of = |first: &str, second: &str| {
        let (noted, text) = as_a_design(&neck(first, second));
        let (design, notices) = latchwork::design::from_text(&text);
        let design = design.unwrap_or_else(|| panic!("{:?}\n{text}", notices.0));
        let outcome = latchwork::check::prove(&design, &[0]);
        assert!(outcome.proven.is_some(), "{text}\n{:?}", outcome.sizes[0].notices);
        // Each side makes the rows of the notes.
        let passes = |plan: &latchwork::plan::PiecePlan| {
            let own = |p: &latchwork::plan::Part| matches!(p.kind, latchwork::plan::PartKind::Stretch { .. });
            let counted = |s: &&latchwork_machine::steps::Step| matches!(&s.action, Action::Pass(p) if p.counted);
            plan.plan.steps.iter().filter(counted).filter(|s| own(&plan.origins[s.origin.0 as usize])).count()
        };
        assert_eq!(passes(&noted.plans.pieces[0]), passes(&outcome.sizes[0].plans.pieces[0]), "{text}");
        (text, outcome.sizes[0].stitches.pieces[0].stretches.clone())
    };
    let (text, s) = of(&steps("left"), &steps("right"));
    assert!(text.contains("neck 1 { middle 8; then every=2 times=5; }"), "{text}");
    assert!(!text.contains("Not carried over"), "{text}");
    let parts = s[1].parts.as_ref().unwrap();
    assert_eq!((s.len(), s[0].rows, s[1].rows, s[1].needles), (2, 30, 20, 40));
    assert_eq!((parts.middle, parts.neck, s[1].ending_needles()), (8, 18, 22));
    // Shaped at the outer edges too.
    let both = "decrease one at both ends every 2 rows, 5 times\n10 rows";
    let (text, s) = of(both, both);
    assert!(text.contains("decrease 1 every=2 times=5\n"), "{text}");
    assert_eq!(s[1].ending_needles(), 12);
    // A straight opening is all middle.
    let (text, s) = of("12 rows", "12 rows");
    assert!(text.contains("neck 1 { middle 8; needles 8; }"), "{text}");
    assert_eq!((s[1].rows, s[1].ending_needles()), (12, 32));
    // Sides that differ are no neck: told, and left out.
    for other in [
        steps("left"),
        steps("right").replace("every 2 rows", "every 3 rows"),
        steps("right").replace("10 rows", "8 rows"),
    ] {
        let (_, text) = as_a_design(&neck(&steps("left"), &other));
        assert!(!text.contains("neck 1"), "{text}");
        assert!(text.contains("Not carried over from the notes: take off L5 to L20 on to holder 1"), "{text}");
    }
}

#[test]
fn notes_keep_short_rows_and_holes_as_a_design() {
    let heel = "10 rows plain at 6\nshort rows: hold 1 each row, 16 times, wrapped\n\
        short rows back: 1 each row, 16 times, wrapped\n10 rows";
    let (text, s) = become_a_design(heel);
    assert!(text.contains("short-rows {\n            hold 1 times=16\n            return 1 times=16"), "{text}");
    assert!(!text.contains("Not carried over"), "{text}");
    assert_eq!((s.len(), s[1].rows, s[1].short.len()), (3, 32, 32));
    let open = heel.replace(", wrapped", "");
    assert!(become_a_design(&open).0.contains("short-rows turn=\"open\""));
    let holes = "10 rows plain at 6\neyelets at L18, L13, L8, L3, R3, R8, R13, R18 to the left\n10 rows";
    let (text, s) = become_a_design(holes);
    assert!(text.contains("buttonholes 8 after=10 ends=2"), "{text}");
    assert_eq!((s.len(), s[0].holes.as_ref().unwrap().places.len()), (1, 8));
    let wide = "10 rows plain at 6\nbuttonhole L10 to L8\nbuttonhole R8 to R10\n10 rows";
    assert!(become_a_design(wide).0.contains("buttonholes 2 after=10 ends=10 wide=3"));
    // A section with holes takes no shaping: it is parted, and nothing is lost.
    let both = "10 rows plain at 6\neyelets at L18, L13, L8, L3, R3, R8, R13, R18 to the left\n10 rows\ndecrease one at both ends\n4 rows";
    let (text, s) = become_a_design(both);
    assert!(text.contains("buttonholes 8 after=10 ends=2") && text.contains("decrease 1 every=9 times=1"), "{text}");
    assert_eq!(s.iter().map(|s| (s.rows, s.needles_end)).collect::<Vec<_>>(), [(11, 40), (9, 38), (4, 38)]);
    // Two rows of holes are two sections.
    let two = holes.to_string() + "\neyelets at L13, L8, L3, R3, R8, R13 to the left\n6 rows";
    let (text, s) = become_a_design(&two);
    assert!(text.contains("buttonholes 8 after=10 ends=2") && text.contains("buttonholes 6 after=9 ends=7"), "{text}");
    assert!(!text.contains("Not carried over"), "{text}");
    assert_eq!(s.iter().map(|s| s.rows).collect::<Vec<_>>(), [11, 15]);
    // What no line of a design says is told.
    let other = "10 rows plain at 6\ndecrease one at the left\n3 rows\ndecrease one at the right\n10 rows";
    let (_, text) = as_a_design(other);
    assert!(text.contains("Not carried over from the notes: decrease one at the left"), "{text}");
}
