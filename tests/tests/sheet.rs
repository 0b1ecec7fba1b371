//! The sheet of cloth against answers known by hand and against a finite-element library.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork_tests::outside;
use latchwork_thread::sheet::{Sheet, Stiffness, Triangle};

const KNIT: Stiffness = Stiffness { across: 1.0, along: 2.0, both: 0.4, shear: 0.5 };

/// A rectangle of so many squares, each cut in two; `rest` tells each square's size at rest.
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
