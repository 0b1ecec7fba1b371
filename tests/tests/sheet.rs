//! The sheet of cloth against answers known by hand and against a finite-element library.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork_tests::outside;
use latchwork_thread::sheet::{Sheet, Stiffness, Triangle};

const KNIT: Stiffness = Stiffness { across: 1.0, along: 2.0, both: 0.4, shear: 0.5 };

/// A rectangle of this many squares, each cut in two; `rest` gives each square's size at rest.
fn rectangle(across: u32, along: u32, rest: impl Fn(u32, u32) -> ([f64; 2], Stiffness)) -> Sheet {
    let mut sheet = Sheet::default();
    for j in 0..=along {
        for i in 0..=across {
            sheet.points.push([f64::from(i), f64::from(j)]);
        }
    }
    for j in 0..along {
        for i in 0..across {
            let ([w, h], stiffness) = rest(i, j);
            let at = |i: u32, j: u32| j * (across + 1) + i;
            let corner = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
            let number = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            for k in [[0, 1, 2], [0, 2, 3]] {
                sheet.triangles.push(Triangle { corners: k.map(|c| number[c]), rest: k.map(|c| corner[c]), stiffness });
            }
        }
    }
    sheet
}

/// A strip pulled along by a force F for each millimetre: strain F k_across / (k_across k_along - k_both²) along, and
/// -F k_both / (same) across. Plane-stress elasticity, exact here for any load.
#[test]
fn a_strip_pulled_grows_long_and_narrow() {
    let mut s = rectangle(4, 10, |_, _| ([1.0, 1.0], KNIT));
    let force = 0.2;
    for i in 0..=4_u32 {
        let share = if i == 0 || i == 4 { 0.5 } else { 1.0 };
        s.loads.push((50 + i, [0.0, force * share]));
        s.held.push((i, [i == 2, true]));
    }
    let end = s.settle();
    assert!(end.settled(), "{end:?}");
    let det = KNIT.across * KNIT.along - KNIT.both * KNIT.both;
    for t in &s.triangles {
        let [across, along, shear] = t.strain(&s.points);
        assert!((along - force * KNIT.across / det).abs() < 1e-8, "{along}");
        assert!((across + force * KNIT.both / det).abs() < 1e-8, "{across}");
        assert!(shear.abs() < 1e-8);
    }
}

/// A narrow fabric between two wide ones, all bonded: a long way across they agree on a common width, the mean of
/// their widths at rest weighed by stiffness over rest width (springs side by side).
#[test]
fn a_cuff_draws_in_what_it_is_knitted_to() {
    let strong = Stiffness { across: 3.0, both: 0.0, ..KNIT };
    let soft = Stiffness { across: 1.0, both: 0.0, ..KNIT };
    let mut s = rectangle(60, 2, |_, j| if j == 0 { ([0.8, 1.0], strong) } else { ([1.0, 1.0], soft) });
    // Kept from bending towards its short side.
    s.held.extend((0..183).map(|p| (p, [p == 0, true])));
    let end = s.settle();
    assert!(end.settled(), "{end:?}");
    // 3 (w / 0.8 - 1) + 1 (w - 1) = 0.
    for row in [0, 61, 122] {
        let width = s.points[row + 31][0] - s.points[row + 30][0];
        assert!((width - 4.0 / 4.75).abs() < 1e-6, "{width}");
    }
}

#[test]
fn at_rest_size_it_stays() {
    let mut s = rectangle(5, 5, |_, _| ([1.0, 1.0], KNIT));
    let before = s.points.clone();
    let end = s.settle();
    assert!(end.settled() && end.energy < 1e-18);
    assert_eq!(before, s.points);
}

/// A small load on a square clamped at its foot, against scikit-fem (PyPI): orthotropic plane stress, linear triangles.
#[test]
fn a_small_load_is_as_in_a_finite_element_library() {
    let mut s = rectangle(6, 6, |_, _| ([1.0, 1.0], KNIT));
    for i in 0..=6 {
        s.held.push((i, [true, true]));
    }
    let load = 1e-5;
    s.loads.push((48, [load, 0.5 * load]));
    let end = s.settle();
    assert!(end.residual < 1e-9, "{end:?}");
    let moved: Vec<[f64; 2]> =
        s.points.iter().enumerate().map(|(n, p)| [p[0] - (n % 7) as f64, p[1] - (n / 7) as f64]).collect();
    let theirs: Vec<[f64; 2]> =
        serde_json::from_str(&outside::python("membrane.py", load.to_string().into_bytes())).unwrap();
    let most = theirs.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs()));
    for (a, b) in moved.iter().zip(&theirs) {
        for d in 0..2 {
            assert!((a[d] - b[d]).abs() < 1e-3 * most, "{a:?} and {b:?}");
        }
    }
}

mod pieces {
    use latchwork::cloth::{PieceAtRest, Stuff, piece_at_rest};
    use latchwork::fabric::bench;
    use latchwork_machine::needle::{Needle, Pitch};
    use latchwork_machine::rehearsal::rehearse;
    use latchwork_machine::steps::{Action, Origin, Plan};
    use latchwork_tests::cloths::Knit;

    const PLAIN: Stuff = Stuff { needle: 3.0, pass: 2.2, stretch: 0.3 };
    const TIGHT: Stuff = Stuff { needle: 2.2, pass: 2.2, stretch: 0.5 };

    fn rest(plan: &Plan, parts: &[Option<Stuff>]) -> PieceAtRest {
        let run = rehearse(plan, &bench());
        let piece = piece_at_rest(plan, &run, parts, latchwork::cloth::Mesh::FLAT).expect("it has rows");
        assert!(piece.end.settled(), "{:?}", piece.end);
        piece
    }

    fn near(got: f64, wanted: f64, share: f64) {
        assert!((got / wanted - 1.0).abs() < share, "{got:.2} is not {wanted:.2}");
    }

    #[test]
    fn one_fabric_alone_has_the_size_of_its_gauge() {
        let bed: Vec<i16> = (-20..20).collect();
        let mut k = Knit::on(&bed, &[], Pitch::Full);
        (0..60).for_each(|_| k.row());
        let p = rest(&k.off(), &[Some(PLAIN)]).parts[0];
        near(p.width.1, 120.0, 1e-6);
        near(p.length.1, 61.0 * 2.2, 1e-6);
    }

    /// A cuff under a wider palm: where they meet both give, the stiffer less (common practice: a rib draws in).
    #[test]
    fn a_cuff_draws_the_palm_in() {
        let bed: Vec<i16> = (-20..20).collect();
        let mut k = Knit::on(&bed, &[], Pitch::Full);
        (0..60).for_each(|_| k.row());
        let mut plan = k.off();
        let passes: Vec<usize> =
            (0..plan.steps.len()).filter(|i| matches!(plan.steps[*i].action, Action::Pass(_))).collect();
        passes[30..].iter().for_each(|i| plan.steps[*i].origin = Origin(1));
        let p = rest(&plan, &[Some(TIGHT), Some(PLAIN)]);
        let [cuff, palm] = p.parts[..] else { panic!("two parts") };
        assert!(cuff.width.1 > 40.0 * 2.2 && palm.width.0 < 40.0 * 3.0, "both give where they meet");
        assert!(palm.width.1 > 40.0 * 3.0 * 0.97, "far from the cuff the palm has its own width: {palm:?}");
        assert!(cuff.strain.1 > 0.05 && palm.strain.0 < -0.05, "drawn out below, squeezed above");
    }

    /// Short rows over the middle needles make the middle longer than the sides.
    #[test]
    fn short_rows_make_the_middle_longer() {
        let bed: Vec<i16> = (-20..20).collect();
        let mut k = Knit::on(&bed, &[], Pitch::Full);
        (0..20).for_each(|_| k.row());
        let sides = |n: i16| (-20..20).filter(move |s: &i16| *s < -20 + n || *s >= 20 - n).map(Needle::main).collect();
        for n in 1..6 {
            k.act(Action::Hold(sides(n)));
            k.held_rows(2);
        }
        k.act(Action::BackToWorking(sides(5)));
        (0..20).for_each(|_| k.row());
        let p = rest(&k.off(), &[Some(PLAIN)]);
        let of = |x: f64| {
            let near: Vec<f64> = p.sheet.points.iter().filter(|q| (q[0] - x).abs() < 4.0).map(|q| q[1]).collect();
            near.iter().copied().fold(0.0, f64::max) - near.iter().copied().fold(f64::INFINITY, f64::min)
        };
        let edge = p.sheet.points.iter().map(|q| q[0]).fold(0.0, f64::max);
        assert!(of(0.0) > of(0.9 * edge) + 8.0, "middle {:.0}, side {:.0}", of(0.0), of(0.9 * edge));
    }
}
