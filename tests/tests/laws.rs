//! What must hold for every design, document and piece of noise.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::wording::Language;
use std::collections::BTreeMap;

use latchwork::check::prove;
use latchwork::design::from_text;
use latchwork::handout::handout;
use latchwork::notice::Level;
use latchwork::stitches::{Infeasible, spread};
use latchwork::trial::{ENDINGS, FABRICS, SHAPINGS, Seed, document, possible};
use latchwork_machine::fault::Fault;
use latchwork_machine::loops::{Fate, LoopId};
use latchwork_machine::rehearsal::{Ended, rehearse};
use latchwork_tests::sample;
use proptest::prelude::*;

fn seeds() -> impl Strategy<Value = Seed> {
    let fabrics = prop::collection::vec(0..FABRICS.len(), 1..4);
    (fabrics, 0_u8..SHAPINGS, 0..ENDINGS.len(), 40_u32..420, 20_u32..160, any::<[bool; 4]>(), (0_u32..7, 0_u32..60))
        .prop_map(|(fabrics, shaping, ending, width, length, [left, pair, other_cast_on, inches], (stripes, panel))| {
            Seed {
                fabrics,
                shaping,
                ending,
                width,
                length,
                left,
                pair,
                other_cast_on,
                inches,
                sizes: 2,
                stripes,
                panel,
            }
        })
}

/// Works a design out and checks every law; says whether it was proven.
fn laws(text: &str) -> bool {
    let (design, notices) = from_text(text);
    let Some(design) = design else {
        let errors: Vec<_> = notices.0.iter().filter(|n| n.level == Level::Error).collect();
        assert!(!errors.is_empty(), "a design is refused with a reason");
        assert!(errors.iter().all(|n| n.span.is_some()), "every error points at a line");
        return false;
    };
    let outcome = prove(&design, &[0, 1]);
    for s in outcome.sizes.iter() {
        for (plan, piece) in s.plans.pieces.iter().zip(&s.pieces) {
            // A plan that the maker made is one that the judge can run: what cannot be knitted is refused before.
            // Two things are the judge's to find: tucks that go on from one section's last rows into the next section's first,
            // and a piece of so few needles that those set free at its two edges are neighbours.
            let of = &design.pieces[plan.piece];
            let narrowest = s.stitches.pieces[plan.piece].stretches.iter().map(|w| w.needles.min(w.needles_end)).min();
            let found = piece.run.error().map(|f| f.fault);
            if matches!(found, Some(Fault::TooManyTucks { .. })) && of.stretches.len() > 1
                || matches!(found, Some(Fault::TwoEmpties { .. })) && narrowest.is_some_and(|n| n <= 5)
            {
                assert!(outcome.proven.is_none());
                continue;
            }
            assert_eq!(piece.run.ended, Ended::Finished, "{}: {:?}\n{text}", plan.name.own, piece.run.error());
            // Every loop is accounted for: knitted through by a later one, secured or let off.
            for id in piece.run.loops.ids() {
                match piece.run.loops.fate(id) {
                    Fate::Live => panic!("loop {} is live", id.0),
                    Fate::Knitted(by) => {
                        assert!(by.0 > id.0 && piece.run.loops.through(by).contains(&id.0), "loop {}", id.0);
                    }
                    Fate::Secured(..) | Fate::Released => {}
                }
            }
            // The mirror image of a plan makes the mirror image of its loops.
            let mirror = rehearse(&plan.plan.mirror(), &design.machine.profile);
            assert_eq!(mirror.loops.len(), piece.run.loops.len());
            for n in 1..=u32::try_from(mirror.loops.len()).unwrap() {
                let id = LoopId(n);
                assert_eq!(mirror.loops.needle(id), piece.run.loops.needle(id).mirror());
                assert_eq!(mirror.loops.through(id), piece.run.loops.through(id));
            }
            // Tails and loops are all the yarn.
            let tails: f64 = plan.tails.iter().map(|t| t.length.0 / 1000.0).sum();
            let all = piece
                .others
                .iter()
                .fold((piece.yarn.tails, piece.yarn.metres), |(t, m), (_, a)| (t + a.tails, m + a.metres));
            assert!((all.0 - tails).abs() < 1e-9 && all.1 > tails);
        }
        for w in s.stitches.pieces.iter().flat_map(|p| &p.stretches) {
            assert!(
                w.shapings.is_sorted_by_key(|s| s.row) && w.shapings.last().is_none_or(|s| s.row <= w.rows),
                "shaping runs out"
            );
            let changed: u32 = w.shapings.iter().map(|s| s.stitches * s.at.ends()).sum();
            assert_eq!(changed, w.needles.abs_diff(w.needles_end), "every stitch that goes or comes is a shaping's");
        }
    }
    if let Some(proven) = &outcome.proven {
        let sheet = handout(proven, &[0, 1], true).unwrap();
        assert_eq!(sheet.sizes.len(), 2);
        assert!(sheet.pieces.iter().all(|p| p.steps.len() >= 4), "every piece is told from cast-on to ending");
    } else {
        let error = outcome
            .notices
            .iter()
            .any(|(_, n)| n.level == Level::Error && !n.told(Language::English).message.is_empty());
        assert!(error, "an unproven design has an error to tell");
    }
    outcome.proven.is_some()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: sample::of(400, 40_000), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_design_obeys_the_laws(seed in seeds()) {
        laws(&document(&seed));
    }

    #[test]
    fn spread_is_exact(times in 1_u32..300, rows in 1_u32..2000, unit in 1_u32..7) {
        match spread(times, rows, unit) {
            Ok(s) => {
                let at = s.rows();
                prop_assert_eq!(at.len(), times as usize);
                prop_assert_eq!(at.last().copied(), Some(rows));
                prop_assert!(at.iter().all(|r| r.is_multiple_of(unit)));
                prop_assert_eq!(s.then.0 - s.first.0, unit);
            }
            Err(Infeasible::TooMany { most, rows: needed }) => {
                prop_assert!(times > most && spread(times, needed, unit).is_ok());
            }
            Err(Infeasible::Uneven { below, above }) => {
                prop_assert!(below < rows && rows < above && spread(times, above, unit).is_ok());
            }
        }
    }

    #[test]
    fn noise_is_told_and_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        told(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn a_spoiled_design_is_told_and_never_panics(at in 0_usize..4000, with in "[ -~\n]{0,12}", cut in 0_usize..40) {
        let mut text: Vec<char> = include_str!("../../designs/deck-hat.kdl").chars().collect();
        let at = at.min(text.len());
        let end = (at + cut).min(text.len());
        text.splice(at..end, with.chars());
        told(&text.into_iter().collect::<String>());
    }
}

/// A document becomes something proven, or gets an error: a sentence of its own at a place that is in it.
fn told(text: &str) {
    let (design, notices) = from_text(text);
    let mut all = notices.0;
    let read = design.is_some();
    let mut proven = false;
    if let Some(design) = design {
        let sizes: Vec<usize> = (0..design.sizes.len()).collect();
        let outcome = prove(&design, &sizes);
        proven = outcome.proven.is_some();
        all.extend(outcome.notices.into_iter().map(|n| n.1));
    }
    let errors: Vec<_> = all.iter().filter(|n| n.level == Level::Error).collect();
    assert!(proven == errors.is_empty(), "read: {read}, proven: {proven}, and {errors:?}");
    for n in &all {
        assert!(n.told(Language::English).message.split_whitespace().count() > 2, "{n:?}");
        assert!(
            !n.told(Language::English).why.is_empty()
                || !n.told(Language::English).hints.is_empty()
                || n.span.is_some(),
            "nothing to go by: {n:?}"
        );
        if let Some(s) = n.span {
            assert!(text.is_char_boundary(s.start) && text.is_char_boundary(s.start + s.len), "{n:?}");
        }
    }
}

/// Inches and millimetres give the same needles.
#[test]
fn inches_give_the_same_needles() {
    let seed = |inches| Seed {
        sizes: 2,
        stripes: 0,
        panel: 0,
        fabrics: vec![1, 7],
        shaping: 0,
        ending: 0,
        width: 254,
        length: 127,
        left: false,
        pair: false,
        other_cast_on: false,
        inches,
    };
    let needles = |inches| {
        let (design, _) = from_text(&document(&seed(inches)));
        let design = design.unwrap();
        let outcome = prove(&design, &[0, 1]);
        outcome.sizes.iter().map(|s| s.stitches.clone()).collect::<Vec<_>>()
    };
    let rows = |all: &[latchwork::stitches::Stitches]| {
        all.iter()
            .flat_map(|s| &s.pieces)
            .flat_map(|p| p.stretches.iter().map(|w| (w.needles, w.rows)))
            .collect::<Vec<_>>()
    };
    assert_eq!(rows(&needles(true)), rows(&needles(false)));
}

/// Every fabric with every shaping and every ending: which were proven, and none by luck alone.
#[test]
fn every_fabric_shaping_and_ending_is_reached() {
    let mut proven: BTreeMap<(usize, u8, usize), bool> = BTreeMap::new();
    for fabric in 0..FABRICS.len() {
        for shaping in 0..SHAPINGS {
            for ending in 0..ENDINGS.len() {
                let seed = Seed {
                    // Necks and short rows come after another section.
                    fabrics: if shaping < 10 || shaping == 13 { vec![fabric] } else { vec![fabric, fabric] },
                    shaping,
                    ending,
                    width: 150,
                    length: 130,
                    left: shaping % 2 == 1,
                    pair: ending % 2 == 1,
                    other_cast_on: shaping == 3,
                    inches: false,
                    sizes: 2,
                    stripes: 0,
                    panel: 0,
                };
                proven.insert((fabric, shaping, ending), laws(&document(&seed)));
            }
        }
    }
    let mut missing = Vec::new();
    for ((f, s, e), ok) in proven {
        if !possible(f, s, e) {
            assert!(!ok, "{} shaping {s} {} should be refused", FABRICS[f], ENDINGS[e]);
        } else if s != 6 && !ok {
            missing.push((FABRICS[f], s, ENDINGS[e]));
        }
    }
    assert!(missing.is_empty(), "these should knit: {missing:?}");
}
