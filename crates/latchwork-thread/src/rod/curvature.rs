//! How the forces change with the state, for steps that look ahead.

use super::{Rods, SOFT, STRETCH, TOUCH, V, dot, nearest_points};

/// Second derivatives: of points, and of the growth of the two periods.
#[derive(Debug, Default)]
pub(crate) struct Hessian {
    /// Blocks below and on the diagonal: row and column of points, and three by three numbers.
    pub(crate) blocks: Vec<(u32, u32, [[f64; 3]; 3])>,
    /// For growth across and up: how the slope of every point changes.
    pub(crate) columns: [Vec<f64>; 2],
    pub(crate) corner: [[f64; 2]; 2],
}

impl Hessian {
    fn clear(&mut self, points: usize) {
        self.blocks.clear();
        for c in &mut self.columns {
            c.clear();
            c.resize(3 * points, 0.0);
        }
        self.corner = [[0.0; 2]; 2];
    }

    /// Adds what two differences of points do together: each is a sum of points by weights, and grows with the periods
    /// as its own length does.
    fn add(&mut self, a: &[(usize, f64)], ra: V, b: &[(usize, f64)], rb: V, m: &[[f64; 3]; 3]) {
        for (i, wi) in a {
            for (j, wj) in b.iter().filter(|(j, _)| i >= j) {
                let by = wi * wj;
                self.blocks.push((*i as u32, *j as u32, m.map(|row| row.map(|v| v * by))));
            }
            for k in 0..2 {
                for (c, row) in m.iter().enumerate() {
                    self.columns[k][3 * i + c] += wi * row[k] * rb[k];
                }
            }
        }
        for k in 0..2 {
            for l in 0..2 {
                self.corner[k][l] += ra[k] * m[k][l] * rb[l];
            }
        }
    }
}

fn transposed(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    core::array::from_fn(|i| core::array::from_fn(|j| m[j][i]))
}

impl Rods {
    /// How the slope changes with the state: blocks of three for pairs of points (first not after second), in no order,
    /// some of them several times; and for the two periods, as growth: their columns and their own corner.
    pub(crate) fn bend_of_cost(&self, x: &[f64], p: &[V], hessian: &mut Hessian) {
        let [w, h] = self.periods(x);
        hessian.clear(p.len());
        self.bend_of_rods(p, w, hessian);
        for pair in &self.pairs {
            let (i, j) = (pair.a as usize, pair.b as usize);
            let start = [p[j][0] + pair.moved[0] * w, p[j][1] + pair.moved[1] * h, p[j][2]];
            let (s, t, apart) = nearest_points(p[i], self.edge(p, i, w), start, self.edge(p, j, w));
            let distance = dot(apart, apart).sqrt().max(1e-9);
            if distance >= self.thick {
                continue;
            }
            let stiff = match self.matter.squeeze {
                None => TOUCH,
                Some(k) => {
                    let u = distance / self.thick;
                    k * self.rest[i] * self.rest[j] * (2.0 + 6.0 / u.powi(4)) / self.thick.powi(2)
                }
            };
            let n = [apart[0] / distance, apart[1] / distance, apart[2] / distance];
            let m = core::array::from_fn(|c| core::array::from_fn(|d| stiff * n[c] * n[d]));
            let ends = [(i, 1.0 - s), (self.next[i] as usize, s), (j, t - 1.0), (self.next[j] as usize, -t)];
            hessian.add(&ends, apart, &ends, apart, &m);
        }
        for g in &self.grips {
            let (i, j) = (g.pair.a as usize, g.pair.b as usize);
            let (apart, slid) = self.slid(g, p, [w, h]);
            let y = dot(slid, slid).sqrt();
            let k = self.matter.friction * g.force / y.max(SOFT);
            let m = core::array::from_fn(|c| {
                core::array::from_fn(|d| k * (f64::from(u8::from(c == d)) - g.normal[c] * g.normal[d]))
            });
            let ends = [(i, 1.0 - g.s), (self.next[i] as usize, g.s), (j, g.t - 1.0), (self.next[j] as usize, -g.t)];
            hessian.add(&ends, apart, &ends, apart, &m);
        }
        hessian.corner[0][0] -= self.pull[0] * w;
        hessian.corner[1][1] -= self.pull[1] * h;
    }

    /// The same of stretching, bending and pressing alone.
    fn bend_of_rods(&self, p: &[V], w: f64, hessian: &mut Hessian) {
        for rod in &self.rods {
            let r = rod.rest;
            let mut before = self.edge(p, rod.first + rod.count - 1, w);
            for k in 0..rod.count {
                let i = rod.first + k;
                let (last, next) = (if k == 0 { rod.first + rod.count - 1 } else { i - 1 }, self.next[i] as usize);
                let e = self.edge(p, i, w);
                let len = dot(e, e).sqrt().max(1e-12);
                let unit = [e[0] / len, e[1] / len, e[2] / len];
                let (along, across) = (STRETCH / r, STRETCH * (len / r - 1.0) / len);
                let m = core::array::from_fn(|c| {
                    core::array::from_fn(|d| (along - across) * unit[c] * unit[d] + if c == d { across } else { 0.0 })
                });
                hessian.add(&[(i, -1.0), (next, 1.0)], e, &[(i, -1.0), (next, 1.0)], e, &m);
                let (a, b) = (before, e);
                let (la, lb) = (dot(a, a).sqrt().max(1e-12), len);
                let (u, c) = (la * lb, dot(a, b));
                let s = (u + c).max(1e-6 * u);
                let (fu, fc) = (4.0 * c / (s * s) / r, -4.0 * u / (s * s) / r);
                let (fuu, fcc) = (-8.0 * c / (s * s * s) / r, 8.0 * u / (s * s * s) / r);
                let fuc = 4.0 * (u - c) / (s * s * s) / r;
                let (ah, bh) = ([a[0] / la, a[1] / la, a[2] / la], unit);
                // Slopes of u and c for the segment before and this one.
                let (ua, ub) = ([ah[0] * lb, ah[1] * lb, ah[2] * lb], [bh[0] * la, bh[1] * la, bh[2] * la]);
                let (ca, cb) = (b, a);
                let block = |us: V, cs: V, vs: V, ds: V, second: &dyn Fn(usize, usize) -> f64| {
                    core::array::from_fn(|i| {
                        core::array::from_fn(|j| {
                            fuu * us[i] * vs[j]
                                + fuc * (us[i] * ds[j] + cs[i] * vs[j])
                                + fcc * cs[i] * ds[j]
                                + second(i, j)
                        })
                    })
                };
                let eye = |i: usize, j: usize| f64::from(u8::from(i == j));
                let aa = block(ua, ca, ua, ca, &|i, j| fu * lb / la * (eye(i, j) - ah[i] * ah[j]));
                let bb = block(ub, cb, ub, cb, &|i, j| fu * la / lb * (eye(i, j) - bh[i] * bh[j]));
                let ab = block(ua, ca, ub, cb, &|i, j| fu * ah[i] * bh[j] + fc * eye(i, j));
                let (ea, eb) = ([(last, -1.0), (i, 1.0)], [(i, -1.0), (next, 1.0)]);
                hessian.add(&ea, a, &ea, a, &aa);
                hessian.add(&eb, b, &eb, b, &bb);
                hessian.add(&ea, a, &eb, b, &ab);
                hessian.add(&eb, b, &ea, a, &transposed(&ab));
                before = e;
                if self.matter.pressing > 0.0 {
                    let mut m = [[0.0; 3]; 3];
                    m[2][2] = self.matter.pressing * r;
                    hessian.add(&[(i, 1.0)], [0.0; 3], &[(i, 1.0)], [0.0; 3], &m);
                }
            }
        }
    }
}
