//! Cloth as a sheet: triangles, each with its own size at rest and its own stiffness across and along, brought to rest
//! together.
//!
//! Energy of a triangle of area A with stretches s and t across and along and the cosine-like shear c of its two
//! directions: A (k_across (s-1)²/2 + k_along (t-1)²/2 + k_both (s-1)(t-1) + k_shear c²/2). For small strains that is
//! orthotropic linear elasticity in plane stress.

use faer::sparse::Triplet;

use crate::sparse::{NoStep, Solver};

/// How a cloth resists, as force for each millimetre of its width and share of stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stiffness {
    /// Against stretch across.
    pub across: f64,
    /// Against stretch along.
    pub along: f64,
    /// What stretch across adds to resistance along, and the other way round.
    pub both: f64,
    /// Against shear.
    pub shear: f64,
}

/// A triangle: its corners, where they would lie at rest (across, along), and how stiff it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangle {
    /// Points, by number.
    pub corners: [u32; 3],
    /// Where each would lie at rest.
    pub rest: [[f64; 2]; 3],
    /// How it resists.
    pub stiffness: Stiffness,
}

/// A flat sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Where the points are.
    pub points: Vec<[f64; 2]>,
    /// Its triangles.
    pub triangles: Vec<Triangle>,
    /// Points that stay where they are, across and along.
    pub held: Vec<(u32, [bool; 2])>,
    /// Forces on points.
    pub loads: Vec<(u32, [f64; 2])>,
}

/// How it ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetEnd {
    /// Largest force left on a point.
    pub residual: f64,
    /// Steps taken.
    pub steps: u32,
    /// Energy.
    pub energy: f64,
}

impl SheetEnd {
    /// Whether it came to rest.
    #[must_use]
    pub fn settled(&self) -> bool {
        self.residual.is_finite() && self.residual < 1e-6
    }
}

/// What does not change in a triangle: area, and how its two directions follow from its corners.
pub(crate) struct Fixed {
    pub(crate) area: f64,
    /// Weights of the corners in the direction across, and along.
    pub(crate) weights: [[f64; 3]; 2],
}

impl Triangle {
    pub(crate) fn fixed(&self) -> Fixed {
        let [a, b, c] = self.rest;
        let (b, c) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
        let det = b[0] * c[1] - b[1] * c[0];
        let across = [c[1] / det, -b[1] / det];
        let along = [-c[0] / det, b[0] / det];
        let all = |w: [f64; 2]| [-w[0] - w[1], w[0], w[1]];
        Fixed { area: det.abs() / 2.0, weights: [all(across), all(along)] }
    }

    fn directions(&self, f: &Fixed, points: &[[f64; 2]]) -> [[f64; 2]; 2] {
        f.weights.map(|w| [0, 1].map(|c| (0..3).map(|k| w[k] * points[self.corners[k] as usize][c]).sum::<f64>()))
    }

    /// How far it is stretched across and along, as shares, and sheared.
    #[must_use]
    pub fn strain(&self, points: &[[f64; 2]]) -> [f64; 3] {
        let [u, v] = self.directions(&self.fixed(), points);
        [u[0].hypot(u[1]) - 1.0, v[0].hypot(v[1]) - 1.0, u[0] * v[0] + u[1] * v[1]]
    }
}

pub(crate) const SMALL: f64 = 1e-9;

impl Sheet {
    fn cost(&self, fixed: &[Fixed], points: &[[f64; 2]], slope: Option<&mut Vec<[f64; 2]>>) -> f64 {
        let mut energy = 0.0;
        let mut slopes = slope;
        if let Some(s) = slopes.as_deref_mut() {
            s.clear();
            s.resize(points.len(), [0.0; 2]);
        }
        for (t, f) in self.triangles.iter().zip(fixed) {
            let [u, v] = t.directions(f, points);
            let k = t.stiffness;
            let (su, sv) = (u[0].hypot(u[1]).max(SMALL), v[0].hypot(v[1]).max(SMALL));
            let (eu, ev, c) = (su - 1.0, sv - 1.0, u[0] * v[0] + u[1] * v[1]);
            energy += f.area
                * (0.5 * k.across * eu * eu + 0.5 * k.along * ev * ev + k.both * eu * ev + 0.5 * k.shear * c * c);
            if let Some(s) = slopes.as_deref_mut() {
                let (pu, pv) = ((k.across * eu + k.both * ev) / su, (k.along * ev + k.both * eu) / sv);
                for (n, corner) in t.corners.iter().enumerate() {
                    for d in 0..2 {
                        let gu = pu * u[d] + k.shear * c * v[d];
                        let gv = pv * v[d] + k.shear * c * u[d];
                        s[*corner as usize][d] += f.area * (gu * f.weights[0][n] + gv * f.weights[1][n]);
                    }
                }
            }
        }
        for (p, load) in &self.loads {
            let at = points[*p as usize];
            energy -= load[0] * at[0] + load[1] * at[1];
            if let Some(s) = slopes.as_deref_mut() {
                s[*p as usize][0] -= load[0];
                s[*p as usize][1] -= load[1];
            }
        }
        energy
    }

    /// Brings it to rest by Newton's steps; linear solves by a sparse factor.
    pub fn settle(&mut self) -> SheetEnd {
        let n = self.points.len();
        let fixed: Vec<Fixed> = self.triangles.iter().map(Triangle::fixed).collect();
        let mut free = vec![[true; 2]; n];
        for (p, held) in &self.held {
            free[*p as usize] = held.map(|h| !h);
        }
        let mut slope = Vec::new();
        let mut energy = self.cost(&fixed, &self.points, Some(&mut slope));
        let mut steps = 0;
        let mut shift = 1e-6;
        let stiffest = self.triangles.iter().map(|t| t.stiffness.across.max(t.stiffness.along)).fold(0.0, f64::max);
        let largest = |slope: &[[f64; 2]]| {
            let on = slope
                .iter()
                .zip(&free)
                .flat_map(|(s, f)| [s[0] * f64::from(u8::from(f[0])), s[1] * f64::from(u8::from(f[1]))]);
            on.map(f64::abs).fold(0.0, f64::max)
        };
        let mut solver = Solver::default();
        while steps < 400 && largest(&slope) > 1e-9 * stiffest.max(1e-3) {
            let triplets = self.second(&fixed, &free, shift * stiffest);
            let loose = slope.iter().zip(&free);
            let right: Vec<f64> = loose.flat_map(|(s, f)| [0, 1].map(|d| if f[d] { s[d] } else { 0.0 })).collect();
            let way = match solver.solve(&triplets, &right) {
                Ok(way) => way,
                Err(NoStep::Broken) => break,
                Err(NoStep::NotRound) => {
                    shift *= 10.0;
                    steps += 1;
                    continue;
                }
            };
            let down: f64 = way.iter().zip(&right).map(|(w, r)| w * r).sum();
            let mut size = 1.0;
            let mut taken = false;
            for _ in 0..25 {
                let trial: Vec<[f64; 2]> =
                    (0..n).map(|i| [0, 1].map(|d| self.points[i][d] - size * way[2 * i + d])).collect();
                let there = self.cost(&fixed, &trial, None);
                if there <= energy - 1e-4 * size * down || (down.abs() < 1e-12 * energy.abs().max(1.0) && size == 1.0) {
                    self.points = trial;
                    taken = true;
                    break;
                }
                size *= 0.5;
            }
            steps += 1;
            if !taken {
                break;
            }
            energy = self.cost(&fixed, &self.points, Some(&mut slope));
        }
        SheetEnd { residual: largest(&slope) / stiffest.max(1e-300), steps, energy }
    }

    /// Second derivatives, lower half, kept positive definite by leaving out what pressed cloth would take away.
    fn second(&self, fixed: &[Fixed], free: &[[bool; 2]], shift: f64) -> Vec<Triplet<usize, usize, f64>> {
        let mut all = Vec::with_capacity(21 * self.triangles.len() + 2 * self.points.len());
        for (t, f) in self.triangles.iter().zip(fixed) {
            let [u, v] = t.directions(f, &self.points);
            let k = t.stiffness;
            let (su, sv) = (u[0].hypot(u[1]).max(SMALL), v[0].hypot(v[1]).max(SMALL));
            let (nu, nv) = (u.map(|c| c / su), v.map(|c| c / sv));
            let (eu, ev) = (su - 1.0, sv - 1.0);
            let (tu, tv) =
                (((k.across * eu + k.both * ev) / su).max(0.0), ((k.along * ev + k.both * eu) / sv).max(0.0));
            let eye = |i: usize, j: usize| f64::from(u8::from(i == j));
            let uu = |i: usize, j: usize| (k.across - tu) * nu[i] * nu[j] + tu * eye(i, j) + k.shear * v[i] * v[j];
            let vv = |i: usize, j: usize| (k.along - tv) * nv[i] * nv[j] + tv * eye(i, j) + k.shear * u[i] * u[j];
            let uv = |i: usize, j: usize| k.both * nu[i] * nv[j] + k.shear * v[i] * u[j];
            for a in 0..3 {
                for b in 0..3 {
                    let (wa, wb) = ([f.weights[0][a], f.weights[1][a]], [f.weights[0][b], f.weights[1][b]]);
                    for i in 0..2 {
                        for j in 0..2 {
                            let (r, s) = (2 * t.corners[a] as usize + i, 2 * t.corners[b] as usize + j);
                            if r < s {
                                continue;
                            }
                            let loose = free[r / 2][i] && free[s / 2][j];
                            let value = f.area
                                * (wa[0] * wb[0] * uu(i, j)
                                    + wa[1] * wb[1] * vv(i, j)
                                    + wa[0] * wb[1] * uv(i, j)
                                    + wa[1] * wb[0] * uv(j, i));
                            all.push(Triplet::new(r, s, if loose { value } else { 0.0 }));
                        }
                    }
                }
            }
        }
        let loose = free.iter().flatten().enumerate();
        all.extend(loose.map(|(i, f)| Triplet::new(i, i, if *f { shift } else { 1.0 })));
        all
    }
}
