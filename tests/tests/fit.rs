//! Swatches, fit, yarn and sewing: against published figures, general libraries, and themselves mirrored.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::float_cmp, reason = "tests")]

use latchwork::check::{SizeProof, prove};
use latchwork::design::{Design, Shelf, book_from_text, from_text, from_text_with, person_from_text};
use latchwork::fabric::find;
use latchwork::fit::{What, known, nearest_size};
use latchwork::measure::{Basis, Curve, Figure, LoopLengths, State, find_machine, gauge, state_change};
use latchwork::notice::Level;
use latchwork::reach::{
    CameOut, Confidence, Remnant, Verdict, as_swatch, drift, longest, restate, stop_weights, stripes, suits, what_fits,
};
use latchwork::units::{Grams, Mm, Tex};
use latchwork::wording::Language;
use latchwork_tests::outside::{close, python};
use serde_json::{Value, json};

fn read(text: &str) -> Design {
    let (design, notices) = from_text(text);
    design.unwrap_or_else(|| panic!("{:#?}", notices.0))
}

fn all(design: &Design) -> Vec<SizeProof> {
    let sizes: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(design, &sizes);
    assert!(outcome.proven.is_some(), "{:#?}", outcome.notices);
    outcome.sizes.to_vec()
}

const HAT: &str = include_str!("../../designs/deck-hat.kdl");
const WARMERS: &str = include_str!("../../designs/wrist-warmers.kdl");
const SCARF: &str = include_str!("../../designs/scarf.kdl");

/// The covariance of two loop lengths, from what they say of sums.
fn variance(l: &LoopLengths) -> [f64; 3] {
    let (a, b, both) = (l.of(1.0, 0.0).1.powi(2), l.of(0.0, 1.0).1.powi(2), l.of(1.0, 1.0).1.powi(2));
    [a, b, (both - a - b) / 2.0]
}

/// Loops of each fabric of a piece, and their lengths.
fn fabrics<'d>(design: &'d Design, proof: &SizeProof, k: usize) -> Vec<(&'d str, LoopLengths, [f64; 2])> {
    let plan = &proof.plans.pieces[k];
    let piece = &design.pieces[plan.piece];
    let last = piece.stretches.len() - 1;
    let mut found: Vec<(&'d str, LoopLengths, [f64; 2])> = Vec::new();
    for (i, (part, l)) in plan.origins.iter().zip(&proof.pieces[k].loops).enumerate() {
        let s = &piece.stretches[part.stretch().unwrap_or(if i == 0 { 0 } else { last })];
        let (knit, tuck) = (f64::from(l.knit + l.wrap + l.chained), f64::from(l.tuck));
        match found.iter_mut().find(|f| f.0 == s.fabric.name) {
            Some(f) => f.2 = [f.2[0] + knit, f.2[1] + tuck],
            None => found.push((&s.fabric.name, s.gauge.loops.unwrap(), [knit, tuck])),
        }
    }
    found
}

/// What a general library says of the same cases (PyPI `uncertainties`, numpy).
fn outside(cases: &[Value]) -> Vec<Vec<f64>> {
    serde_json::from_str(&python("doubts.py", serde_json::to_vec(cases).unwrap())).unwrap()
}

/// Doubts carried forward agree with PyPI `uncertainties`, fits with numpy.
#[test]
fn doubts_agree_with_a_general_library() {
    let mut cases = Vec::new();
    let mut ours: Vec<Vec<f64>> = Vec::new();
    for text in [HAT, WARMERS, SCARF] {
        let design = read(text);
        for proof in all(&design) {
            for (k, piece) in proof.pieces.iter().enumerate() {
                let parts: Vec<Value> = fabrics(&design, &proof, k)
                    .iter()
                    .map(|(_, l, n)| json!({ "knit": l.knit, "tuck": l.tuck, "variance": variance(l), "loops": n }))
                    .collect();
                cases.push(json!({ "kind": "yarn", "tails": piece.yarn.tails, "fabrics": parts }));
                ours.push(vec![piece.yarn.metres, piece.yarn.deviation()]);
            }
        }
    }
    for (mean, share, knit, tuck) in
        [(11.0, 0.25, None, None), (12.0, 0.25, Some(12.8), Some(9.1)), (10.0, 0.5, Some(10.9), None)]
    {
        let f = |value: f64, spread: f64| Figure { value, spread, basis: Basis::OneSwatch };
        let l =
            LoopLengths::fit(Some(f(mean, 0.04)), share, knit.map(|k| f(k, 0.03)), tuck.map(|t| f(t, 0.03))).unwrap();
        let mut rows = vec![[-0.75, 1.0, 0.0, 0.1 * mean], [1.0 - share, share, mean, 0.04 * mean]];
        rows.extend(knit.map(|k| [1.0, 0.0, k, 0.03 * k]));
        rows.extend(tuck.map(|t| [0.0, 1.0, t, 0.03 * t]));
        cases.push(json!({ "kind": "fit", "rows": rows }));
        let v = variance(&l);
        ours.push(vec![l.knit, l.tuck, v[0].sqrt(), v[1].sqrt()]);
    }
    for (x, y, at) in [
        (vec![6.0, 9.0], vec![3.85, 4.17], 7.0),
        (vec![6.0, 9.0, 9.0, 12.0], vec![3.85, 4.17, 4.21, 4.52], 10.0),
        (vec![6.0, 8.0, 9.0, 11.0, 12.0], vec![3.85, 4.02, 4.17, 4.40, 4.61], 10.0),
    ] {
        let points: Vec<(f64, f64)> = x.iter().copied().zip(y.iter().copied()).collect();
        let c = Curve::fit(&points, 0.02).unwrap().at(at).unwrap();
        cases.push(json!({ "kind": "curve", "x": x, "y": y, "at": at, "assumed": 0.02 }));
        ours.push(vec![c.value, c.spread]);
    }
    let theirs = outside(&cases);
    assert_eq!(theirs.len(), ours.len());
    for ((case, a), b) in cases.iter().zip(&ours).zip(&theirs) {
        for (x, y) in a.iter().zip(b) {
            assert!((x - y).abs() <= 1e-6 * y.abs(), "{case}: {a:?} here, {b:?} there");
        }
    }
    assert!(ours.len() > 20);
}

/// Doubts carried forward agree with a Monte-Carlo run: loop lengths drawn again and again, the yarn added up each time.
#[test]
fn doubts_agree_with_a_monte_carlo_run() {
    let design = read(HAT);
    let proof = &all(&design)[3];
    let parts = fabrics(&design, proof, 0);
    let mut state = 1_u64;
    let mut uniform = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut normal = || (0..12).map(|_| uniform()).sum::<f64>() - 6.0;
    let runs = 100_000;
    let (mut sum, mut squares) = (0.0, 0.0);
    let printed = proof.pieces[0].yarn.grams_range(Tex(1000.0)).0;
    let mut within = 0_u32;
    for _ in 0..runs {
        let mut metres = proof.pieces[0].yarn.tails;
        for (_, l, n) in &parts {
            let v = variance(l);
            let (a, b) = (normal(), normal());
            let knit = l.knit + v[0].sqrt() * a;
            let along = v[2] / v[0].sqrt();
            let tuck = l.tuck + along * a + (v[1] - along * along).max(0.0).sqrt() * b;
            metres += (n[0] * knit + n[1] * tuck) / 1000.0;
        }
        sum += metres;
        squares += metres * metres;
        within += u32::from((metres - proof.pieces[0].yarn.metres).abs() <= printed);
    }
    let mean = sum / f64::from(runs);
    let deviation = (squares / f64::from(runs) - mean * mean).sqrt();
    close(proof.pieces[0].yarn.metres, mean, 1e-3);
    close(proof.pieces[0].yarn.deviation(), deviation, 0.01);
    // What is printed as the 95 % range holds 95 of a hundred: two deviations, 95.4 %.
    close(f64::from(within) / f64::from(runs), 0.954, 0.003);
}

fn swatches(list: &str) -> Design {
    read(&format!(
        "title \"S\"\nmachine \"standard\"\nyarn \"y\" {{ count (tex)250; }}\n{list}
        sizes {{ size \"one\" {{ wide (cm)30; }}; }}
        piece \"p\" {{ stretch \"s\" {{ fabric \"1x1 rib\"; length (cm)10; around \"wide\"; }}; ending \"loop through loop\"; }}"
    ))
}

fn swatch(size: &str, wide: f64, long: f64, more: &str) -> String {
    format!(
        "swatch \"1x1 rib\" {{ stitch-size {size}; counted needles=40 passes=60; flat (cm){wide} (cm){long}; {more}; }}\n"
    )
}

/// One swatch leaves a wide range and says so; each further one that agrees narrows it.
#[test]
fn swatches_narrow_the_range() {
    let mut last = f64::INFINITY;
    for n in 1..=6 {
        let text: String =
            (0..n).map(|_| swatch("3", 8.4, 13.6, "weighed (g)14 needles=60 passes=90; state \"washed\"")).collect();
        let d = swatches(&text);
        let g = &d.pieces[0].stretches[0].gauge;
        assert!(g.needle.spread < last, "{n} swatches: {}", g.needle.spread);
        last = g.needle.spread;
        assert_eq!(g.needle.basis, if n == 1 { Basis::OneSwatch } else { Basis::Swatches(n) });
        if n == 1 {
            close(g.needle.spread, 0.02 * 2.0_f64.sqrt(), 1e-9);
            assert!(latchwork::wording::basis(g.needle.basis, Language::English).contains("range is wide"));
        }
    }
}

/// A stitch size between two that were swatched is worked out; one outside them, or of another balance, is refused.
#[test]
fn stitch_sizes_between_swatches() {
    let washed = "weighed (g)14 needles=60 passes=90; state \"washed\"";
    let text = [swatch("2", 8.0, 13.2, washed), swatch("4", 8.8, 14.6, washed)].concat();
    let d = swatches(&text);
    let rib = find("1x1 rib").unwrap();
    let at = |d: &Design, size| gauge(&d.swatches, rib, 0, Tex(250.0), Some(size));
    let g = at(&d, (9, 9)).unwrap();
    close(g.needle.value, (8.0 + 8.8) / 2.0 / 4.0, 1e-9);
    close(g.pass.value, (13.2 + 14.6) / 2.0 / 6.0, 1e-9);
    assert_eq!(g.needle.basis, Basis::Curve(2));
    // Halfway it is surer than a swatch alone; at the swatched sizes themselves the swatch speaks.
    assert_eq!(at(&d, (6, 6)).unwrap().needle.basis, Basis::OneSwatch);
    assert!(
        latchwork::wording::no_gauge(&at(&d, (15, 15)).unwrap_err(), Language::English)
            .contains("sizes outside cannot")
    );
    assert!(
        latchwork::wording::no_gauge(&at(&d, (10, 8)).unwrap_err(), Language::English)
            .contains("have another difference in stitch size between main bed and ribber")
    );
    // Of several stitch sizes the one that meets the wish best is chosen, the same in every size.
    let proof = all(&d);
    let best = proof[0].stitches.pieces[0].stretches[0].width.0.0;
    assert!((best - 300.0).abs() <= 2.0 * 8.0 / 4.0);
}

/// A change seen at one stitch size carries over to another: as knitted, rested, washed.
#[test]
fn states_follow_one_another() {
    let text = [
        swatch("3", 9.0, 14.2, "state \"as knitted\""),
        swatch("3", 8.5, 13.8, "weighed (g)14 needles=60 passes=90; state \"washed\""),
        swatch("4", 9.6, 15.0, "state \"as knitted\""),
    ]
    .concat();
    let d = swatches(&text);
    let rib = find("1x1 rib").unwrap();
    let change = state_change(&d.swatches, rib, 0, State::AsKnitted, State::Washed).unwrap();
    close(change.needle.value, 8.5 / 9.0, 1e-9);
    let g = gauge(&d.swatches, rib, 0, Tex(250.0), Some((12, 12))).unwrap();
    close(g.needle.value, 9.6 / 4.0 * 8.5 / 9.0, 1e-9);
    assert_eq!((g.needle.basis, g.state), (Basis::OtherState(1), State::Washed));
    let own = gauge(&d.swatches, rib, 0, Tex(250.0), Some((9, 9))).unwrap();
    assert!(g.needle.spread > own.needle.spread, "a change brings its own doubt");
}

/// Unravelled yarn tells knitted loops from tucks (the method of EN 14970).
#[test]
fn unravelled_yarn_tells_kinds_apart() {
    let d = read(
        "title \"S\"\nmachine \"standard\"\nyarn \"y\" { count (tex)250; }
        swatch \"half cardigan\" { stitch-size 4 3; counted needles=40 passes=60; flat (cm)10 (cm)8; unravelled (cm)60 loops=50; unravelled (cm)60 loops=50; unravelled (cm)40 tucks=50; state \"washed\"; }
        sizes { size \"one\" { wide (cm)30; }; }
        piece \"p\" { needles 151; stretch \"s\" { fabric \"half cardigan\"; rows 200; }; ending \"loop through loop\"; }",
    );
    let l = d.pieces[0].stretches[0].gauge.loops.unwrap();
    close(l.knit, 12.0, 0.01);
    close(l.tuck, 8.0, 0.05);
    let proof = &all(&d)[0];
    let stretch = proof.pieces[0].loops[1];
    assert_eq!((stretch.knit, stretch.tuck), (22_700, 7_500));
}

/// Left and right exchanged give the same needles, rows, yarn and fit; the seams the same marks.
#[test]
fn a_mirrored_design_gives_mirrored_results() {
    for text in [WARMERS, HAT] {
        let mirrored = text.replace("\"left\"", "\"L\"").replace("\"right\"", "\"left\"").replace("\"L\"", "\"right\"");
        let (a, b) = (read(text), read(&mirrored));
        for (x, y) in all(&a).iter().zip(&all(&b)) {
            assert_eq!(x.stitches, y.stitches);
            assert_eq!(x.sheet, y.sheet);
            assert_eq!(x.yarn, y.yarn);
            assert_eq!(x.sewing.seams, y.sewing.seams);
            assert_eq!(x.sewing.measures, y.sewing.measures);
        }
    }
}

/// The same lengths in inches give the same needles and rows.
#[test]
fn inches_and_centimetres_give_the_same_needles() {
    for text in [HAT, WARMERS, SCARF] {
        let mut inches = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once("(cm)") {
            let end = after.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(after.len());
            let number: f64 = after[..end].parse().unwrap();
            inches.push_str(before);
            inches.push_str(&format!("(in){}", number / 2.54));
            rest = &after[end..];
        }
        inches.push_str(rest);
        assert_ne!(inches, text);
        let (a, b) = (read(text), read(&inches));
        for (x, y) in all(&a).iter().zip(&all(&b)) {
            for (p, q) in x.stitches.pieces.iter().zip(&y.stitches.pieces) {
                for (s, t) in p.stretches.iter().zip(&q.stretches) {
                    assert_eq!(
                        (s.needles, s.needles_end, s.rows, &s.shapings),
                        (t.needles, t.needles_end, t.rows, &t.shapings)
                    );
                }
            }
        }
    }
}

/// The fit sheet's own sums: ease, stretch and the bodies that a round fits.
#[test]
fn the_fit_sheet_adds_up() {
    let design = read(HAT);
    for proof in all(&design) {
        let body = design.sizes[proof.size].measure("head-girth").unwrap();
        for l in proof.sheet.iter().filter(|l| l.what == What::Start && l.ease().is_some()) {
            close(l.ease().unwrap().0, l.achieved.0 - body.0, 1e-9);
            let s = l.stretch_worn.unwrap();
            close(l.achieved.0 * (1.0 + s.needed), body.0, 1e-9);
            let (from, to) = l.fits.unwrap();
            close(to.0, l.achieved.0 * (1.0 + s.allowed), 1e-9);
            assert!(from.0 <= body.0 && body.0 <= to.0);
            for share in &l.shares {
                assert!((0.0..=1.0).contains(&share.of_all));
            }
        }
    }
    // A person tries them on: the nearest size by the head measured.
    let (ada, _) = person_from_text("person \"Ada\" { survey \"women\"; head-girth (cm)55; }");
    let (measures, missing) = known(&design, &ada.unwrap());
    assert!(missing.is_empty());
    assert_eq!(design.sizes[nearest_size(&design, &measures).unwrap()].name, "54");
}

/// Edges of different fabrics meet by length: marks lie at equal shares, and what is eased is given per centimetre.
#[test]
fn seams_meet_by_length() {
    let text = "title \"S\"\nmachine \"standard\"\nyarn \"y\" { count (tex)250; }
        swatch \"plain\" { stitch-size 6; counted needles=40 passes=60; flat (cm)13 (cm)14.4; weighed (g)17.2 needles=60 passes=90; state \"washed\"; }
        swatch \"1x1 rib\" { stitch-size 3; counted needles=40 passes=60; flat (cm)8.4 (cm)13.5; weighed (g)14.5 needles=60 passes=90; state \"washed\"; }
        sizes { size \"one\" { wide (cm)30; }; }
        piece \"front\" { stretch \"a\" { fabric \"1x1 rib\"; rows 60; around \"wide\"; }; stretch \"b\" { fabric \"1x1 rib\"; rows 60; }; ending \"loop through loop\"; }
        piece \"band\" { stretch \"c\" { fabric \"plain\"; rows 108; around \"wide\" (percent)-80; }; ending \"loop through loop\"; }
        seam \"edge\" { edge \"front\" \"left\"; edge \"band\" \"right\"; }";
    let design = read(text);
    let proof = &all(&design)[0];
    let seam = &proof.sewing.seams[0];
    assert_eq!(seam.count, [120, 108]);
    close(seam.length[0].0, 270.0, 1e-9);
    close(seam.length[1].0, 259.2, 1e-9);
    let e = seam.easing.unwrap();
    // 10.8 mm of rib, 2.25 mm a row: 5 rows over 25.92 cm.
    assert_eq!((e.longer, e.count), (0, 5));
    close(e.each_cm, 5.0 / 25.92, 1e-9);
    for n in &seam.notches {
        let (a, b) = (f64::from(n.at[0]) / 120.0, f64::from(n.at[1]) / 108.0);
        assert!((a - b).abs() < 0.011, "mark {}: {a} and {b}", n.letter);
    }
    // A mark where the stretches meet, and none farther from the next than eight centimetres.
    assert!(seam.notches.iter().any(|n| n.at == [60, 54]));
    let rows: Vec<u32> = std::iter::once(0).chain(seam.notches.iter().map(|n| n.at[0])).chain([120]).collect();
    assert!(rows.windows(2).all(|w| w[1] > w[0] && f64::from(w[1] - w[0]) * 2.25 <= 80.0 + 2.25), "{rows:?}");
    // What no seam takes is open: both ends of both, and the other edge of each.
    assert_eq!(proof.sewing.openings.len(), 6);
}

/// Yarn in hand: the largest size, the longest stretch (one step more does not fit), where to stop, stripes.
#[test]
fn yarn_in_hand() {
    close(Confidence(0.975).score(), 1.959_964, 1e-6);
    close(Confidence(0.95).score(), 1.644_854, 1e-6);
    close(Confidence(0.999).score(), 3.090_232, 1e-6);
    assert!(Confidence(0.5).score().abs() < 1e-9);
    let design = read(WARMERS);
    let proofs = all(&design);
    let sure = Confidence::USUAL;
    for have in [5.0, 18.0, 24.0, 60.0] {
        let fits = what_fits(&design, &proofs, 0, Grams(have), sure);
        for (size, g, range, yes) in &fits.sizes {
            let needed = g.0 + sure.score() * range.0 / 2.0;
            assert_eq!(*yes, needed <= have, "size {size}");
        }
        let largest = fits.sizes.iter().filter(|s| s.3).map(|s| s.0).max();
        assert_eq!(fits.largest, largest);
    }
    let proof = &proofs[2];
    for l in longest(&design, proof, 0, Grams(30.0), sure) {
        let with = |rows: u32| {
            let mut d = read(WARMERS);
            d.sizes = vec![d.sizes[proof.size].clone()];
            d.seams.clear();
            d.pieces[l.piece].stretches[l.stretch].length = latchwork::design::Length::Rows(rows);
            let amount = prove(&d, &[0]).sizes[0].yarn[0].clone();
            amount.grams(design.yarns[0].tex).0 + sure.score() * amount.grams_range(design.yarns[0].tex).0 / 2.0
        };
        assert!(with(l.rows) <= 30.0 && with(l.rows + 2) > 30.0, "{l:?}");
    }
    let stop = &stop_weights(&design, proof, 0, sure)[0];
    assert_eq!((stop.make, stop.left.len()), (2, 1));
    let each = proof.pieces[0].yarn.grams(design.yarns[0].tex).0;
    assert!(stop.left[0].0 > each && stop.left[0].0 < each * 1.1);
    let scarf = read(SCARF);
    let proof = &all(&scarf)[0];
    let left = |name: &str, g: f64| Remnant { name: name.to_string(), grams: Grams(g) };
    let found = stripes(&scarf, proof, 0, &[left("red", 60.0), left("grey", 80.0), left("blue", 110.0)], sure).unwrap();
    assert_eq!(found[0].rows.0, 0);
    assert!(found.windows(2).all(|w| w[0].rows.1 == w[1].rows.0 && w[0].rows.1 % 2 == 0));
    assert_eq!(found.last().unwrap().rows.1, proof.stitches.pieces[0].rows());
    assert_eq!(stripes(&scarf, proof, 0, &[left("red", 60.0), left("grey", 80.0)], sure), None);
}

/// Substitutes by thickness; a design restated for its own machine and yarn is the same design.
#[test]
fn substitutes_and_other_machines() {
    let design = read(HAT);
    let (book, _) = book_from_text(
        "machine \"standard\"\nyarn \"same\" { count (\"m/100g\")420; }\nyarn \"near\" { count (\"m/100g\")360; }\nyarn \"rope\" { count (tex)2000; }\nyarn \"thread\" { count (tex)40; }",
    );
    let found = suits(&design, 0, &book.unwrap().yarns);
    let verdict = |name: &str| found.iter().find(|s| s.name == name).unwrap().verdict;
    assert_eq!(
        [verdict("same"), verdict("near"), verdict("rope"), verdict("thread")],
        [Verdict::Suits, Verdict::Near, Verdict::No, Verdict::No]
    );
    assert_eq!(found[0].name, "same");
    let same = restate(HAT, &design, find_machine("standard"), None);
    close(same.factor, 1.0, 1e-12);
    let again = read(&same.text);
    for (a, b) in all(&design).iter().zip(&all(&again)) {
        for (p, q) in a.stitches.pieces.iter().zip(&b.stitches.pieces) {
            assert_eq!((p.places, p.rows()), (q.places, q.rows()));
        }
        close(b.yarn[0].metres, a.yarn[0].metres, 2e-3);
        assert!(b.yarn[0].deviation() > a.yarn[0].deviation(), "what was never swatched is less sure");
    }
    assert!(again.pieces[0].stretches[0].gauge.needle.basis == Basis::Reckoned);
    // On a coarser machine with a thicker yarn of the same cover there are fewer needles, for the same bodies.
    let (mid, _) = book_from_text("machine \"mid\"\nyarn \"pier wool\" { count (\"m/100g\")210; }");
    let mid = restate(HAT, &design, find_machine("mid"), mid.unwrap().yarns.first());
    close(mid.factor, 2.0_f64.sqrt(), 1e-9);
    let mid = read(&mid.text);
    let (before, after) = (&all(&design)[2], &all(&mid)[2]);
    let (n, m) = (before.stitches.pieces[0].places, after.stitches.pieces[0].places);
    close(f64::from(m), f64::from(n) / 2.0_f64.sqrt(), 0.03);
    close(after.fit[0].achieved.0, before.fit[0].achieved.0, 0.03);
}

/// The test knit comes back as a swatch that the design takes up.
#[test]
fn a_test_knit_comes_back() {
    let design = read(HAT);
    let proof = &all(&design)[3];
    let worked = proof.stretch(0, 1);
    let g = &design.pieces[0].stretches[1].gauge;
    let wide = f64::from(worked.needles) * g.needle.value;
    let knitted = CameOut {
        piece: 0,
        stretch: 1,
        rows: worked.rows,
        width: Mm(wide * 1.02),
        length: Mm(f64::from(worked.rows) * g.pass.value * 0.9),
        weight: Some(proof.pieces[0].yarn.grams(design.yarns[0].tex)),
        state: State::Washed,
        date: "2026-11-25".to_string(),
    };
    let found = drift(&design, proof, &knitted);
    close(found[0].percent(), 2.0, 1e-6);
    assert!(found[0].within() && !found[1].within());
    close(found[1].percent(), -10.0, 1e-6);
    close(found[2].percent(), 0.0, 1e-6);
    let book = format!(
        "machine \"standard\"\nyarn \"harbour sock\" {{ count (\"m/100g\")420; }}\n{}",
        as_swatch(&design, proof, &knitted)
    );
    let (book, notices) = book_from_text(&book);
    let shelf = Shelf {
        books: vec![("swatches/harbour-sock.kdl".to_string(), book.unwrap_or_else(|| panic!("{:?}", notices.0)))],
        ..Shelf::default()
    };
    let again = from_text_with(HAT, &shelf).0.unwrap();
    let now = &again.pieces[0].stretches[1].gauge;
    assert_eq!(now.swatches, g.swatches + 1);
    assert!(now.needle.value > g.needle.value && now.pass.value < g.pass.value);
    // Its weight, shared out, gives back the loop length that it was predicted from.
    let s = again.swatches.iter().find(|s| !s.from.is_empty()).unwrap();
    let w = s.weighed.unwrap();
    let mean = w.grams.0 / design.yarns[0].tex.0 * 1e6 / (w.needles * w.passes);
    let (knit, tuck) = (g.loops.unwrap().knit, g.loops.unwrap().tuck);
    close(mean, 0.75 * knit + 0.25 * tuck, 0.06);
}

fn told(text: &str, shelf: &Shelf, level: Level) -> Vec<String> {
    let (design, notices) = from_text_with(text, shelf);
    let mut all = notices.0;
    if let Some(d) = design {
        let sizes: Vec<usize> = (0..d.sizes.len()).collect();
        all.extend(prove(&d, &sizes).notices.into_iter().map(|n| n.1));
    }
    all.into_iter()
        .filter(|n| n.level == level)
        .map(|n| format!("{} {}", n.told(Language::English).message, n.told(Language::English).why))
        .collect()
}

/// What cannot be is reported: a swatch in another yarn, sizes alike, too tight for the fabric, an ease that leaves
/// nothing.
#[test]
fn bad_input_is_told() {
    let none = Shelf::default();
    let has =
        |list: &[String], part: &str| assert!(list.iter().any(|m| m.contains(part)), "no \"{part}\" in {list:#?}");
    let book = |count: &str, machine: &str| {
        let text = format!(
            "machine \"{machine}\"\nyarn \"harbour sock\" {{ count (\"m/100g\"){count}; }}\nswatch \"1x1 rib\" {{ stitch-size 3; counted needles=40 passes=60; flat (cm)8.3 (cm)13.6; state \"washed\"; }}"
        );
        Shelf { books: vec![("book.kdl".to_string(), book_from_text(&text).0.unwrap())], ..Shelf::default() }
    };
    has(&told(HAT, &book("300", "standard"), Level::Warning), "are of another yarn, and are left out");
    has(&told(HAT, &book("420", "mid"), Level::Warning), "are from another machine, and are left out");
    assert!(told(HAT, &book("420", "standard"), Level::Warning).is_empty());
    has(
        &told(&HAT.replace("head-girth (cm)54", "head-girth (cm)51.02"), &none, Level::Warning),
        "are the same, to the needle",
    );
    let measured = HAT.replace("weighed (g)14.0", "stretches (cm)10; weighed (g)14.0");
    has(&told(&measured, &none, Level::Error), "too tight for its fabric");
    has(
        &told(
            &HAT.replace("(percent)-13", "(percent)-38").replace("(percent)-34", "(percent)-45"),
            &none,
            Level::Warning,
        ),
        "may be too tight",
    );
    let cuff = WARMERS.replace("\"wrist-girth\" (percent)-13", "\"wrist-girth\" (percent)-13 over=\"hand-length\"");
    assert!(told(&cuff, &none, Level::Warning).is_empty(), "a hand's length is hardly more than its cuff");
    let cuff = cuff.replace(
        "counted needles=40 passes=60\n    flat (cm)8.3",
        "stretches (cm)8.5\n    counted needles=40 passes=60\n    flat (cm)8.3",
    );
    has(&told(&cuff, &none, Level::Error), "too tight to pass over the hand length");
    has(&told(&HAT.replace("(percent)-34", "(cm)-57"), &none, Level::Error), "The ease leaves nothing");
    has(
        &told(&HAT.replace("size \"54\" { head-girth (cm)54; }", "size \"54\" { neck (cm)40; }"), &none, Level::Error),
        "missing in 54",
    );
    has(
        &told(&HAT.replace("fabric \"half cardigan\"", "fabric \"milano\""), &none, Level::Error),
        "no swatch of milano",
    );
}
