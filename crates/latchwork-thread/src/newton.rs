//! Downhill to rest by Newton's steps: the full second derivatives, factored sparsely, held back by a shift where the
//! valley is not yet convex.

use faer::prelude::Solve;
use faer::sparse::linalg::solvers::{Llt, SymbolicLlt};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Mat, Side};

use crate::descent::{Descent, LONGEST, SHARE, largest};
use crate::rod::{Hessian, PERIOD, Parts, Rods};

/// Goes downhill for at most `most` steps, or until no point feels more than `force`.
pub(crate) fn newton(rods: &mut Rods, x: &mut [f64], most: u32, force: f64) -> Descent {
    let n = x.len() - 2;
    let mut p = Vec::new();
    rods.points(x, &mut p);
    rods.list(&p, rods.periods(x));
    let (mut g, mut slope, mut q) = (vec![0.0; n + 2], vec![0.0; n + 2], Vec::new());
    let mut parts = rods.cost(x, &p, &mut g);
    let mut hessian = Hessian::default();
    let mut shift = 1.0_f64;
    let mut steps = 0;
    let mut trial = x.to_vec();
    while steps < most && largest(&g) > force {
        rods.bend_of_cost(x, &p, &mut hessian);
        let periods = rods.periods(x);
        let scale = [periods[0] / rods.base[0], periods[1] / rods.base[1], 1.0];
        // Slopes of the points themselves, and of growth.
        let on_points: Vec<f64> = g[..n].iter().enumerate().map(|(i, g)| g / scale[i % 3]).collect();
        let on_growth = [g[n] * PERIOD, g[n + 1] * PERIOD];
        let mut taken = false;
        for _ in 0..30 {
            let Some((way, growth)) = solve(&hessian, &on_points, on_growth, shift) else {
                shift *= 4.0;
                continue;
            };
            // Growth moves points too, but what counts for passing through is how they move against each other.
            let longest = way
                .chunks_exact(3)
                .map(|c| c[0].hypot(c[1]).hypot(c[2]))
                .fold(growth[0].abs().max(growth[1].abs()), f64::max);
            let cap = LONGEST.min(SHARE * parts.nearest);
            let size = if longest > cap { cap / longest } else { 1.0 };
            for (i, t) in trial.iter_mut().enumerate() {
                *t = match i.checked_sub(n) {
                    None => x[i] - size * way[i] / scale[i % 3],
                    Some(k) => x[i] - size * growth[k] * PERIOD,
                };
            }
            rods.points(&trial, &mut q);
            if rods.stale(&q) {
                rods.list(&q, rods.periods(&trial));
            }
            let there: Parts = rods.cost(&trial, &q, &mut slope);
            let down = on_points.iter().zip(&way).map(|(g, w)| g * w).sum::<f64>()
                + on_growth.iter().zip(&growth).map(|(g, w)| g * w).sum::<f64>();
            if there.sum() <= parts.sum() - 1e-4 * size * down {
                let better = (parts.sum() - there.sum()) / (size * (1.0 - 0.5 * size) * down).max(1e-300);
                if size == 1.0 && better > 0.7 {
                    shift = (shift / 4.0).max(1e-6);
                } else if better < 0.3 {
                    shift *= 2.0;
                }
                x.copy_from_slice(&trial);
                g.copy_from_slice(&slope);
                core::mem::swap(&mut p, &mut q);
                parts = there;
                taken = true;
                break;
            }
            shift *= 4.0;
        }
        steps += 1;
        if !taken {
            break;
        }
    }
    Descent { steps, force: largest(&g), parts }
}

/// The step for these slopes: points and growth; none where the shifted valley is not convex.
fn solve(hessian: &Hessian, on_points: &[f64], on_growth: [f64; 2], shift: f64) -> Option<(Vec<f64>, [f64; 2])> {
    let n = on_points.len();
    let mut triplets = Vec::with_capacity(9 * hessian.blocks.len() + n);
    for (i, j, m) in &hessian.blocks {
        for (c, row) in m.iter().enumerate() {
            for (d, v) in row.iter().enumerate() {
                let (r, s) = (3 * *i as usize + c, 3 * *j as usize + d);
                if r >= s {
                    triplets.push(Triplet::new(r, s, *v));
                }
            }
        }
    }
    triplets.extend((0..n).map(|i| Triplet::new(i, i, shift)));
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).ok()?;
    let symbolic = SymbolicLlt::try_new(matrix.symbolic(), Side::Lower).ok()?;
    let factor = Llt::try_new_with_symbolic(symbolic, matrix.as_ref(), Side::Lower).ok()?;
    let mut right = Mat::<f64>::zeros(n, 3);
    for i in 0..n {
        right[(i, 0)] = on_points[i];
        right[(i, 1)] = hessian.columns[0][i];
        right[(i, 2)] = hessian.columns[1][i];
    }
    let z = factor.solve(&right);
    let dot = |k: usize, c: usize| (0..n).map(|i| hessian.columns[k][i] * z[(i, c)]).sum::<f64>();
    // What is left for growth once points follow.
    let weight = shift * n as f64 * 0.1;
    let a = [
        [hessian.corner[0][0] - dot(0, 1) + weight, hessian.corner[0][1] - dot(0, 2)],
        [hessian.corner[1][0] - dot(1, 1), hessian.corner[1][1] - dot(1, 2) + weight],
    ];
    let det = a[0][0] * a[1][1] - a[0][1] * a[1][0];
    if a[0][0] <= 0.0 || det <= 0.0 {
        return None;
    }
    let r = [on_growth[0] - dot(0, 0), on_growth[1] - dot(1, 0)];
    let growth = [(r[0] * a[1][1] - r[1] * a[0][1]) / det, (r[1] * a[0][0] - r[0] * a[1][0]) / det];
    let way: Vec<f64> = (0..n).map(|i| z[(i, 0)] - growth[0] * z[(i, 1)] - growth[1] * z[(i, 2)]).collect();
    let finite = way.iter().chain(&growth).all(|v| v.is_finite());
    finite.then_some((way, growth))
}
