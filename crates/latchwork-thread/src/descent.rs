//! Downhill to rest: limited-memory quasi-Newton steps, preconditioned by a banded factor along each thread.
//!
//! No step moves a point by more than a share of the least distance between any two threads, so none can pass through
//! another: what is tangled as it should be stays so.

use std::collections::VecDeque;

use crate::rod::{PERIOD, Parts, Rods, STRETCH};

/// Past steps that the method remembers.
const MEMORY: usize = 30;
/// Longest step of a point, in diameters.
pub(crate) const LONGEST: f64 = 0.15;
/// Longest step as a share of the least distance: two points together cover less than the whole.
pub(crate) const SHARE: f64 = 0.45;

/// What a point resists by itself, so that the factor is never singular.
const SHIFT: f64 = 8.0;

/// How a descent ended.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Descent {
    pub(crate) steps: u32,
    /// Largest force left on any point.
    pub(crate) force: f64,
    pub(crate) parts: Parts,
}

/// The factor of what stretch and bending resist along each thread: six-banded blocks of three.
struct Factor {
    /// Lower band, nine numbers a row: the diagonal last.
    band: Vec<[f64; 9]>,
    firsts: Vec<(usize, usize)>,
    periods: f64,
}

impl Factor {
    fn new(rods: &Rods, p: &[[f64; 3]]) -> Factor {
        let mut band = vec![[0.0; 9]; 3 * p.len()];
        let mut firsts = Vec::new();
        for rod in &rods.rods {
            firsts.push((3 * rod.first, 3 * rod.count));
            let r = rod.rest;
            for k in 0..rod.count {
                let i = rod.first + k;
                for c in 0..3 {
                    band[3 * i + c][8] += SHIFT;
                }
                // Bending as if straight: second differences of three neighbours.
                if k + 2 < rod.count {
                    let weights = [1.0, -2.0, 1.0];
                    for (u, wu) in weights.iter().enumerate() {
                        for (v, wv) in weights.iter().enumerate().take(u + 1) {
                            for c in 0..3 {
                                band[3 * (i + u) + c][8 - 3 * (u - v)] += wu * wv / (r * r * r);
                            }
                        }
                    }
                }
                if k + 1 < rod.count {
                    let e = [0, 1, 2].map(|c| p[i + 1][c] - p[i][c]);
                    let len = (e[0] * e[0] + e[1] * e[1] + e[2] * e[2]).max(1e-12);
                    let k = STRETCH / r / len;
                    for c in 0..3 {
                        for d in 0..3 {
                            let v = k * e[c] * e[d];
                            if d <= c {
                                band[3 * i + c][8 - (c - d)] += v;
                                band[3 * i + 3 + c][8 - (c - d)] += v;
                            }
                            band[3 * i + 3 + c][8 - (3 + c - d)] -= v;
                        }
                    }
                }
            }
        }
        // Cholesky within the band.
        for (first, n) in &firsts {
            for i in 0..*n {
                let row = first + i;
                for j in i.saturating_sub(8)..=i {
                    let mut sum = band[row][8 - (i - j)];
                    for k in i.saturating_sub(8).max(j.saturating_sub(8))..j {
                        sum -= band[row][8 - (i - k)] * band[first + j][8 - (j - k)];
                    }
                    band[row][8 - (i - j)] = if i == j { sum.max(1e-6).sqrt() } else { sum / band[first + j][8] };
                }
            }
        }
        let loops: f64 = rods.rods.iter().map(|r| r.rest * r.count as f64).sum();
        Factor { band, firsts, periods: 0.01 * loops }
    }

    fn solve(&self, g: &mut [f64]) {
        for (first, n) in &self.firsts {
            for i in 0..*n {
                let mut sum = g[first + i];
                for k in i.saturating_sub(8)..i {
                    sum -= self.band[first + i][8 - (i - k)] * g[first + k];
                }
                g[first + i] = sum / self.band[first + i][8];
            }
            for i in (0..*n).rev() {
                let x = g[first + i] / self.band[first + i][8];
                g[first + i] = x;
                for k in i.saturating_sub(8)..i {
                    g[first + k] -= self.band[first + i][8 - (i - k)] * x;
                }
            }
        }
        let n = g.len();
        g[n - 2] /= self.periods;
        g[n - 1] /= self.periods;
    }
}

/// The largest force on any point, or on the growth of a period.
pub(crate) fn largest(g: &[f64]) -> f64 {
    let (points, growth) = g.split_at(g.len() - 2);
    points.chunks_exact(3).map(|c| c[0].hypot(c[1]).hypot(c[2])).fold(growth[0].abs().max(growth[1].abs()), f64::max)
}

/// Goes downhill for at most `most` steps, or until no point feels more than `force`.
pub(crate) fn descend(rods: &mut Rods, x: &mut [f64], most: u32, force: f64) -> Descent {
    let n = x.len();
    let mut p = Vec::new();
    rods.points(x, &mut p);
    rods.list(&p, rods.periods(x));
    let (mut g, mut trial, mut slope) = (vec![0.0; n], x.to_vec(), vec![0.0; n]);
    let mut parts = rods.cost(x, &p, &mut g);
    let mut history: VecDeque<(Vec<f64>, Vec<f64>, f64)> = VecDeque::new();
    let mut factor = Factor::new(rods, &p);
    let mut q = Vec::new();
    let mut steps = 0;
    while steps < most && largest(&g) > force {
        if steps % 30 == 29 {
            factor = Factor::new(rods, &p);
            // Old pairs were preconditioned by the old factor; they still describe the curvature.
        }
        let mut way = g.clone();
        let mut weights = Vec::with_capacity(history.len());
        for (s, y, rho) in history.iter().rev() {
            let a = rho * s.iter().zip(&way).map(|(s, w)| s * w).sum::<f64>();
            way.iter_mut().zip(y).for_each(|(w, y)| *w -= a * y);
            weights.push(a);
        }
        factor.solve(&mut way);
        for ((s, y, rho), a) in history.iter().zip(weights.iter().rev()) {
            let b = rho * y.iter().zip(&way).map(|(y, w)| y * w).sum::<f64>();
            way.iter_mut().zip(s).for_each(|(w, s)| *w += (a - b) * s);
        }
        let mut down = g.iter().zip(&way).map(|(g, w)| g * w).sum::<f64>();
        if down.is_nan() || down <= 0.0 {
            history.clear();
            way.clone_from(&g);
            factor.solve(&mut way);
            down = g.iter().zip(&way).map(|(g, w)| g * w).sum::<f64>();
        }
        let growth = way[n - 2].abs().max(way[n - 1].abs()) / PERIOD;
        let longest = way[..n - 2].chunks_exact(3).map(|c| c[0].hypot(c[1]).hypot(c[2])).fold(growth, f64::max);
        // Coordinates are those of the first periods; in space they have grown with them.
        let grown = rods.periods(x).iter().zip(rods.base).map(|(p, b)| p / b).fold(1.0, f64::max);
        let longest = longest * grown;
        let cap = LONGEST.min(SHARE * parts.nearest);
        let mut size = if longest > cap { cap / longest } else { 1.0 };
        let before = parts.sum();
        let mut taken = false;
        for _ in 0..25 {
            for ((t, x), w) in trial.iter_mut().zip(x.iter()).zip(&way) {
                *t = x - size * w;
            }
            rods.points(&trial, &mut q);
            if rods.stale(&q) {
                rods.list(&q, rods.periods(&trial));
            }
            let there = rods.cost(&trial, &q, &mut slope);
            if there.sum() <= before - 1e-4 * size * down {
                let s: Vec<f64> = trial.iter().zip(x.iter()).map(|(t, x)| t - x).collect();
                let y: Vec<f64> = slope.iter().zip(&g).map(|(a, b)| a - b).collect();
                let sy = s.iter().zip(&y).map(|(s, y)| s * y).sum::<f64>();
                if sy > 1e-12 {
                    if history.len() == MEMORY {
                        history.pop_front();
                    }
                    history.push_back((s, y, 1.0 / sy));
                }
                x.copy_from_slice(&trial);
                g.copy_from_slice(&slope);
                core::mem::swap(&mut p, &mut q);
                parts = there;
                taken = true;
                break;
            }
            size *= 0.5;
        }
        steps += 1;
        if !taken {
            if history.is_empty() {
                break;
            }
            history.clear();
        }
    }
    Descent { steps, force: largest(&g), parts }
}
