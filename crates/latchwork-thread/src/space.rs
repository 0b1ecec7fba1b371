//! Cloth in space: triangles as in a flat sheet, sewn together, at rest by themselves or over a body form.
//!
//! A triangle resists stretch and shear as in `sheet`, but gives way when pressed, as loose cloth folds. A form pushes
//! points out of it, and friction keeps them from sliding far along it.

use faer::sparse::Triplet;

use std::collections::BTreeMap;

use crate::form::{Form, Point, dot, minus};
use crate::sheet::{Fixed, SMALL, Triangle};
use crate::sparse::{NoStep, Solver};

/// A point sewn to a place between two others, by their shares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tie {
    /// The point.
    pub point: u32,
    /// The two others.
    pub to: [(u32, f64); 2],
}

/// Cloth in space.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Space {
    /// Points, in millimetres.
    pub points: Vec<Point>,
    /// Triangles, with where their corners would lie at rest.
    pub triangles: Vec<Triangle>,
    /// Seams.
    pub ties: Vec<Tie>,
    /// What it is drawn over.
    pub form: Option<Form>,
}

/// How it ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpaceEnd {
    /// How far some point would still move, in millimetres.
    pub left: f64,
    /// Steps taken.
    pub steps: u32,
    /// Energy.
    pub energy: f64,
}

impl SpaceEnd {
    /// Whether it came to rest: within half a millimetre.
    #[must_use]
    pub fn settled(&self) -> bool {
        self.left.is_finite() && self.left < RESTED
    }
}

/// Pressed cloth resists this share of what stretched cloth does: it folds (a guess, no source).
const PRESSED: f64 = 0.15;
/// Cloth stretched less than this does not yet fully feel its stretch the other way (a guess, no source).
const SLACK: f64 = 0.02;
/// Stiffness of a seam, a form and friction, against the stiffest cloth, for each millimetre of slip.
const SEAM: f64 = 4.0;
const PUSH: f64 = 0.05;
const CLING: f64 = 2e-5;
/// Bending, against the stiffest cloth, in square millimetres: cloth a few millimetres thick (a guess, no source).
const BEND: f64 = 0.4;
/// Most steps, and the force at which it rests, against the stiffest cloth.
const STEPS: u32 = 480;
const REST: f64 = 2e-3;
/// How far a point may still be moved by its force, in millimetres.
const RESTED: f64 = 0.5;
/// The least that a step must gain, as a share of the energy, to go on.
const WORTH: f64 = 1e-9;

impl Triangle {
    fn in_space(&self, f: &Fixed, points: &[Point]) -> [Point; 2] {
        f.weights.map(|w| [0, 1, 2].map(|c| (0..3).map(|k| w[k] * points[self.corners[k] as usize][c]).sum::<f64>()))
    }

    /// How far it is stretched across and along, as shares, in space.
    #[must_use]
    pub fn stretch_in_space(&self, points: &[Point]) -> [f64; 2] {
        self.in_space(&self.fixed(), points).map(|d| dot(d, d).sqrt() - 1.0)
    }
}

/// An edge between two triangles: its ends, the corners across, and how they weigh in its bend. For cloth that keeps
/// its lengths, half the square of the weighed sum is the bend's energy (Bergou et al. 2006, A quadratic bending model
/// for inextensible surfaces).
struct Hinge {
    points: [u32; 4],
    weights: [f64; 4],
    stiff: f64,
}

/// The cotangent of the angle at a triangle's corner, at rest.
fn cotangent(t: &Triangle, corner: usize) -> f64 {
    let at = |k: usize| t.rest[(corner + k) % 3];
    let (a, b, c) = (at(0), at(1), at(2));
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
    let area = (u[0] * v[1] - u[1] * v[0]).abs().max(SMALL);
    ((u[0] * v[0] + u[1] * v[1]) / area).clamp(-8.0, 8.0)
}

fn hinges(triangles: &[Triangle], fixed: &[Fixed], stiffest: f64) -> Vec<Hinge> {
    let mut sides: BTreeMap<(u32, u32), Vec<(usize, usize)>> = BTreeMap::new();
    for (n, t) in triangles.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (t.corners[(k + 1) % 3], t.corners[(k + 2) % 3]);
            sides.entry((a.min(b), a.max(b))).or_default().push((n, k));
        }
    }
    let both = sides.into_iter().filter_map(|((a, b), of)| {
        let [(m, j), (n, k)] = of[..] else { return None };
        let of = |t: usize, far: usize, end: u32| {
            let corner = triangles[t].corners.iter().position(|c| *c == end).unwrap_or(far);
            cotangent(&triangles[t], corner)
        };
        let (ma, mb, na, nb) = (of(m, j, a), of(m, j, b), of(n, k, a), of(n, k, b));
        let weights = [mb + nb, ma + na, -(ma + mb), -(na + nb)];
        let stiff = BEND * stiffest * 3.0 / (fixed[m].area + fixed[n].area).max(1.0);
        Some(Hinge { points: [a, b, triangles[m].corners[j], triangles[n].corners[k]], weights, stiff })
    });
    both.collect()
}

impl Hinge {
    fn bend(&self, points: &[Point]) -> Point {
        [0, 1, 2].map(|d| (0..4).map(|k| self.weights[k] * points[self.points[k] as usize][d]).sum())
    }
}

/// What it takes to stretch a triangle: energy for its area, pulls and stiffnesses across and along.
struct Pull {
    energy: f64,
    pull: [f64; 2],
    stiff: [f64; 2],
    both: f64,
}

fn pull(t: &Triangle, e: [f64; 2]) -> Pull {
    let k = t.stiffness;
    let give = |stiff: f64, e: f64| if e < 0.0 { PRESSED * stiff } else { stiff };
    let stiff = [give(k.across, e[0]), give(k.along, e[1])];
    let [x, y] = e.map(stretched);
    Pull {
        energy: 0.5 * stiff[0] * e[0] * e[0] + 0.5 * stiff[1] * e[1] * e[1] + k.both * x[0] * y[0],
        pull: [stiff[0] * e[0] + k.both * x[1] * y[0], stiff[1] * e[1] + k.both * y[1] * x[0]],
        stiff: [stiff[0] + k.both * x[2] * y[0], stiff[1] + k.both * y[2] * x[0]],
        both: k.both * x[1] * y[1],
    }
}

/// How far it is stretched, with the first and second derivatives: nothing while pressed, and no sudden pull where one
/// passes into the other, on which the search for rest would hang.
fn stretched(e: f64) -> [f64; 3] {
    match e {
        e if e <= 0.0 => [0.0; 3],
        e if e < SLACK => [e * e / (2.0 * SLACK), e / SLACK, 1.0 / SLACK],
        e => [e - SLACK / 2.0, 1.0, 0.0],
    }
}

impl Space {
    /// Brings it to rest from where it lies.
    pub fn settle(&mut self) -> SpaceEnd {
        let fixed: Vec<Fixed> = self.triangles.iter().map(Triangle::fixed).collect();
        let n = self.points.len();
        let stiffest = self.triangles.iter().map(|t| t.stiffness.across.max(t.stiffness.along)).fold(1e-9, f64::max);
        let from = self.points.clone();
        let mut area = vec![0.0; n];
        for (t, f) in self.triangles.iter().zip(&fixed) {
            t.corners.iter().for_each(|c| area[*c as usize] += f.area / 3.0);
        }
        let hinges = hinges(&self.triangles, &fixed, stiffest);
        let load = Load { stiffest, from, area, hinges };
        let mut slope = vec![[0.0; 3]; n];
        let mut energy = self.cost(&fixed, &load, &self.points, Some(&mut slope));
        let largest = |s: &[Point]| s.iter().flatten().map(|c| c.abs()).fold(0.0, f64::max);
        let mut solver = Solver::default();
        let (mut steps, mut shift) = (0, 1e-5);
        while steps < STEPS && largest(&slope) > REST * stiffest {
            steps += 1;
            let triplets = self.second(&fixed, &load, shift);
            let right: Vec<f64> = slope.iter().flatten().copied().collect();
            let way = match solver.solve(&triplets, &right) {
                Ok(way) => way,
                Err(NoStep::Broken) => break,
                Err(NoStep::NotRound) => {
                    shift *= 10.0;
                    continue;
                }
            };
            let down: f64 = way.iter().zip(&right).map(|(w, r)| w * r).sum();
            // No point leaps farther than a few loops at once.
            let far = way.iter().map(|w| w.abs()).fold(1e-12, f64::max);
            let mut size = (20.0 / far).min(1.0);
            let mut taken = false;
            for _ in 0..20 {
                let trial: Vec<Point> =
                    (0..n).map(|i| [0, 1, 2].map(|d| self.points[i][d] - size * way[3 * i + d])).collect();
                let there = self.cost(&fixed, &load, &trial, None);
                if there <= energy - 1e-4 * size * down {
                    self.points = trial;
                    taken = true;
                    break;
                }
                size *= 0.5;
            }
            if !taken {
                shift *= 10.0;
                if shift > 1.0 {
                    break;
                }
                continue;
            }
            shift = (shift * 0.5).max(1e-6);
            let before = energy;
            energy = self.cost(&fixed, &load, &self.points, Some(&mut slope));
            // A step that gains next to nothing is the last, unless some point has yet to come to rest.
            if before - energy < WORTH * before.abs() && self.unrest(&fixed, &load, shift, &slope) < RESTED {
                break;
            }
        }
        SpaceEnd { left: self.unrest(&fixed, &load, shift, &slope), steps, energy }
    }

    /// How far the largest force would still move its point by itself, in millimetres.
    fn unrest(&self, fixed: &[Fixed], load: &Load, shift: f64, slope: &[Point]) -> f64 {
        let mut own = vec![0.0; 3 * self.points.len()];
        for t in self.second(fixed, load, shift).iter().filter(|t| t.row == t.col) {
            own[t.row] += t.val;
        }
        let left = slope.iter().flatten().zip(&own).map(|(s, k)| s.abs() / k.max(1e-12));
        left.fold(0.0, f64::max)
    }

    fn cost(&self, fixed: &[Fixed], load: &Load, points: &[Point], mut slope: Option<&mut Vec<Point>>) -> f64 {
        let mut energy = 0.0;
        if let Some(s) = slope.as_deref_mut() {
            s.iter_mut().for_each(|v| *v = [0.0; 3]);
        }
        for (t, f) in self.triangles.iter().zip(fixed) {
            let [u, v] = t.in_space(f, points);
            let (su, sv) = (dot(u, u).sqrt().max(SMALL), dot(v, v).sqrt().max(SMALL));
            let p = pull(t, [su - 1.0, sv - 1.0]);
            let (c, shear) = (dot(u, v), t.stiffness.shear);
            energy += f.area * (p.energy + 0.5 * shear * c * c);
            if let Some(s) = slope.as_deref_mut() {
                for (n, corner) in t.corners.iter().enumerate() {
                    for d in 0..3 {
                        let gu = p.pull[0] * u[d] / su + shear * c * v[d];
                        let gv = p.pull[1] * v[d] / sv + shear * c * u[d];
                        s[*corner as usize][d] += f.area * (gu * f.weights[0][n] + gv * f.weights[1][n]);
                    }
                }
            }
        }
        for h in &load.hinges {
            let bend = h.bend(points);
            energy += 0.5 * h.stiff * dot(bend, bend);
            if let Some(s) = slope.as_deref_mut() {
                for (p, w) in h.points.iter().zip(h.weights) {
                    (0..3).for_each(|d| s[*p as usize][d] += h.stiff * w * bend[d]);
                }
            }
        }
        for tie in &self.ties {
            let off = tie.gap(points);
            energy += 0.5 * SEAM * load.stiffest * dot(off, off);
            if let Some(s) = slope.as_deref_mut() {
                for (point, share) in tie.parts() {
                    (0..3).for_each(|d| s[point][d] += SEAM * load.stiffest * share * off[d]);
                }
            }
        }
        let Some(form) = &self.form else { return energy };
        for (i, p) in points.iter().enumerate() {
            let cling = CLING * load.stiffest * load.area[i];
            let off = minus(*p, load.from[i]);
            energy += 0.5 * cling * dot(off, off);
            let push = PUSH * load.stiffest * load.area[i];
            let Some(s) = slope.as_deref_mut() else {
                energy += 0.5 * push * form.depth(*p).powi(2);
                continue;
            };
            (0..3).for_each(|d| s[i][d] += cling * off[d]);
            if let Some((deep, grows)) = form.depth_and_slope(*p) {
                energy += 0.5 * push * deep * deep;
                (0..3).for_each(|d| s[i][d] += push * deep * grows[d]);
            }
        }
        energy
    }

    /// Second derivatives, lower half, kept positive definite.
    fn second(&self, fixed: &[Fixed], load: &Load, shift: f64) -> Vec<Triplet<usize, usize, f64>> {
        let mut all = Vec::with_capacity(45 * self.triangles.len() + 24 * self.ties.len() + 6 * self.points.len());
        for (t, f) in self.triangles.iter().zip(fixed) {
            let [u, v] = t.in_space(f, &self.points);
            let (su, sv) = (dot(u, u).sqrt().max(SMALL), dot(v, v).sqrt().max(SMALL));
            let (nu, nv) = (u.map(|c| c / su), v.map(|c| c / sv));
            let p = pull(t, [su - 1.0, sv - 1.0]);
            let (tu, tv) = ((p.pull[0] / su).max(0.0), (p.pull[1] / sv).max(0.0));
            let k = t.stiffness.shear;
            let eye = |i: usize, j: usize| f64::from(u8::from(i == j));
            let uu = |i: usize, j: usize| (p.stiff[0] - tu) * nu[i] * nu[j] + tu * eye(i, j) + k * v[i] * v[j];
            let vv = |i: usize, j: usize| (p.stiff[1] - tv) * nv[i] * nv[j] + tv * eye(i, j) + k * u[i] * u[j];
            let uv = |i: usize, j: usize| p.both * nu[i] * nv[j] + k * v[i] * u[j];
            for a in 0..3 {
                for b in 0..3 {
                    let (wa, wb) = ([f.weights[0][a], f.weights[1][a]], [f.weights[0][b], f.weights[1][b]]);
                    for i in 0..3 {
                        for j in 0..3 {
                            let (r, s) = (3 * t.corners[a] as usize + i, 3 * t.corners[b] as usize + j);
                            if r >= s {
                                let value = wa[0] * wb[0] * uu(i, j)
                                    + wa[1] * wb[1] * vv(i, j)
                                    + wa[0] * wb[1] * uv(i, j)
                                    + wa[1] * wb[0] * uv(j, i);
                                all.push(Triplet::new(r, s, f.area * value));
                            }
                        }
                    }
                }
            }
        }
        for h in &load.hinges {
            for (p, wp) in h.points.iter().zip(h.weights) {
                for (q, wq) in h.points.iter().zip(h.weights) {
                    let (p, q) = (3 * *p as usize, 3 * *q as usize);
                    if p >= q {
                        all.extend((0..3).map(|d| Triplet::new(p + d, q + d, h.stiff * wp * wq)));
                    }
                }
            }
        }
        for tie in &self.ties {
            for (p, wp) in tie.parts() {
                for (q, wq) in tie.parts() {
                    if p >= q {
                        all.extend((0..3).map(|d| Triplet::new(3 * p + d, 3 * q + d, SEAM * load.stiffest * wp * wq)));
                    }
                }
            }
        }
        for (i, p) in self.points.iter().enumerate() {
            let inside = self.form.as_ref().and_then(|f| f.depth_and_slope(*p));
            let own =
                shift * load.stiffest + if self.form.is_some() { CLING * load.stiffest * load.area[i] } else { 0.0 };
            let push = PUSH * load.stiffest * load.area[i];
            for r in 0..3 {
                for s in 0..=r {
                    let out = inside.map_or(0.0, |(_, n)| push * n[r] * n[s]);
                    all.push(Triplet::new(3 * i + r, 3 * i + s, out + if r == s { own } else { 0.0 }));
                }
            }
        }
        all
    }
}

/// What does not change while it settles.
struct Load {
    stiffest: f64,
    from: Vec<Point>,
    area: Vec<f64>,
    hinges: Vec<Hinge>,
}

impl Tie {
    fn parts(&self) -> [(usize, f64); 3] {
        let [(a, wa), (b, wb)] = self.to;
        [(self.point as usize, 1.0), (a as usize, -wa), (b as usize, -wb)]
    }

    fn gap(&self, points: &[Point]) -> Point {
        let mut off = [0.0; 3];
        for (p, w) in self.parts() {
            (0..3).for_each(|d| off[d] += w * points[p][d]);
        }
        off
    }
}
