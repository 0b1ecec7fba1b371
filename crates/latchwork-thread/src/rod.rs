//! The yarn as an elastic rod that repeats: what bending, stretch, touching and pressing cost, and the forces.
//!
//! Lengths are in yarn diameters, energies in bending stiffness over diameter. The model is that of Kaldor, James and
//! Marschner 2008 without twist; bending is the discrete elastic rod's.

mod curvature;

pub(crate) use curvature::Hessian;

/// How the yarn behaves where it touches, and how the cloth was treated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matter {
    /// Stiffness of a yarn that can be squeezed, in Kaldor's form; none: hard.
    pub squeeze: Option<f64>,
    /// Friction: a number for this model's slow release, not a Coulomb coefficient.
    pub friction: f64,
    /// How hard the cloth is pressed flat.
    pub pressing: f64,
}

impl Matter {
    /// Hard thread without friction: nothing chosen.
    pub const HARD: Matter = Matter { squeeze: None, friction: 0.0, pressing: 0.0 };
    /// Soft yarn lying flat: chosen for what plain knit should give, so a fit.
    pub const SOFT: Matter = Matter { squeeze: Some(0.5), friction: 0.05, pressing: 0.01 };
}

/// One thread: its first point and how many, and the length at rest of each segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rod {
    /// Its first point.
    pub first: usize,
    /// How many points.
    pub count: usize,
    /// Length of a segment at rest.
    pub rest: f64,
}

/// Two segments that may touch, the second moved by a number of periods.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pair {
    a: u32,
    b: u32,
    moved: [f64; 2],
}

/// A touch as it stood when friction was last looked at.
#[derive(Debug, Clone, Copy)]
struct Grip {
    pair: Pair,
    s: f64,
    t: f64,
    apart: [f64; 3],
    normal: [f64; 3],
    force: f64,
}

/// Threads, their periods and what holds them.
#[derive(Debug, Clone)]
pub(crate) struct Rods {
    pub(crate) rods: Vec<Rod>,
    pub(crate) matter: Matter,
    /// Diameter now; it grows to 1.
    pub(crate) thick: f64,
    /// Periods for which the points' own coordinates hold.
    pub(crate) base: [f64; 2],
    /// Pull across the cloth and up it.
    pub(crate) pull: [f64; 2],
    next: Vec<u32>,
    rest: Vec<f64>,
    pairs: Vec<Pair>,
    listed: Vec<[f64; 3]>,
    grips: Vec<Grip>,
}

pub(crate) const STRETCH: f64 = 1000.0;
const TOUCH: f64 = 200.0;
/// Pairs that come nearer than a diameter and this are listed.
const SKIN: f64 = 0.3;
/// Segments of one thread nearer than this along it never touch.
const NEAR: f64 = 1.8;
/// How the logarithms of the periods are scaled against points.
pub(crate) const PERIOD: f64 = 10.0;

/// Sliding over which friction sets in.
const SOFT: f64 = 0.01;

type V = [f64; 3];

#[inline]
fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[inline]
fn sub(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

#[inline]
fn along(a: V, by: f64, b: V) -> V {
    [a[0] + by * b[0], a[1] + by * b[1], a[2] + by * b[2]]
}

/// What an evaluation gives besides the forces.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Parts {
    pub(crate) stretch: f64,
    pub(crate) bend: f64,
    pub(crate) touch: f64,
    pub(crate) press: f64,
    /// What friction and pull add: they depend on the path taken.
    pub(crate) held: f64,
    /// Nearest that two listed segments come.
    pub(crate) nearest: f64,
}

impl Parts {
    /// What follows from the shape alone, however it was reached.
    pub(crate) fn shape(&self) -> f64 {
        self.stretch + self.bend + self.touch + self.press
    }

    pub(crate) fn sum(&self) -> f64 {
        self.shape() + self.held
    }
}

impl Rods {
    pub(crate) fn new(rods: Vec<Rod>, matter: Matter, base: [f64; 2]) -> Rods {
        let n = rods.iter().map(|r| r.first + r.count).max().unwrap_or(0);
        let (mut next, mut rest) = (vec![0; n], vec![0.0; n]);
        for r in &rods {
            for i in 0..r.count {
                next[r.first + i] = (r.first + (i + 1) % r.count) as u32;
                rest[r.first + i] = r.rest;
            }
        }
        Rods {
            rods,
            matter,
            thick: 1.0,
            base,
            pull: [0.0; 2],
            next,
            rest,
            pairs: Vec::new(),
            listed: Vec::new(),
            grips: Vec::new(),
        }
    }

    /// Gives each thread a length at rest.
    pub(crate) fn set_lengths(&mut self, lengths: &[f64]) {
        for (r, length) in self.rods.iter_mut().zip(lengths) {
            r.rest = length / r.count as f64;
            self.rest[r.first..r.first + r.count].fill(r.rest);
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.next.len()
    }

    /// The periods of a state, whose last two numbers are the scaled logarithms of their growth.
    pub(crate) fn periods(&self, x: &[f64]) -> [f64; 2] {
        let n = 3 * self.len();
        [self.base[0] * (x[n] / PERIOD).exp(), self.base[1] * (x[n + 1] / PERIOD).exp()]
    }

    /// Points in space.
    pub(crate) fn points(&self, x: &[f64], out: &mut Vec<V>) {
        let p = self.periods(x);
        let (sx, sy) = (p[0] / self.base[0], p[1] / self.base[1]);
        out.clear();
        out.extend(x[..3 * self.len()].chunks_exact(3).map(|c| [c[0] * sx, c[1] * sy, c[2]]));
    }

    /// The segment from a point to the next one; over the seam it ends a period further right.
    #[inline]
    fn edge(&self, p: &[V], i: usize, width: f64) -> V {
        let j = self.next[i] as usize;
        let mut e = sub(p[j], p[i]);
        if j <= i {
            e[0] += width;
        }
        e
    }

    /// Whether points have moved so far since pairs were listed that the list must be made again.
    pub(crate) fn stale(&self, p: &[V]) -> bool {
        self.listed.len() != p.len()
            || p.iter().zip(&self.listed).any(|(a, b)| {
                let d = sub(*a, *b);
                dot(d, d) > (SKIN / 3.0).powi(2)
            })
    }

    /// Lists all pairs of segments that are near each other.
    pub(crate) fn list(&mut self, p: &[V], periods: [f64; 2]) {
        self.listed.clear();
        self.listed.extend_from_slice(p);
        self.pairs.clear();
        let n = p.len();
        let mids: Vec<V> = (0..n).map(|i| along(p[i], 0.5, self.edge(p, i, periods[0]))).collect();
        let rod_of: Vec<usize> =
            self.rods.iter().enumerate().flat_map(|(k, r)| core::iter::repeat_n(k, r.count)).collect();
        let [w, h] = periods;
        let longest = self.rods.iter().map(|r| r.rest).fold(0.0, f64::max);
        let reach = self.thick + SKIN + 1.1 * longest;
        // Middles brought into one period, each by its number of turns, and sorted up the cloth, so that each meets a
        // band only.
        let turned: Vec<f64> = mids.iter().map(|m| (m[1] / h).floor()).collect();
        let mut order: Vec<(f64, usize)> =
            mids.iter().zip(&turned).enumerate().map(|(i, (m, t))| (m[1] - t * h, i)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (k, (_, i)) in order.iter().enumerate() {
            // Every unordered pair of images once: partners at or above, up to the reach.
            let mut step = 0_usize;
            loop {
                let (turns, at) =
                    if k + step < n { (0.0, k + step) } else { (((k + step) / n) as f64, (k + step) % n) };
                let j = order[at].1;
                let rise = (order[at].0 + turns * h) - order[k].0;
                if rise > reach || step > 64 * n {
                    break;
                }
                let d = sub(mids[j], mids[*i]);
                if rise * rise + d[2] * d[2] > reach * reach {
                    step += 1;
                    continue;
                }
                let (x0, x1) = (((-reach - d[0]) / w).ceil() as i32, ((reach - d[0]) / w).floor() as i32);
                let ky = turns + turned[*i] - turned[j];
                for kx in x0..=x1 {
                    if (step == 0 && (kx <= 0)) || (*i == j && ky == 0.0 && kx == 0) {
                        continue;
                    }
                    let dx = d[0] + f64::from(kx) * w;
                    let dy = d[1] + ky * h;
                    let far = dx * dx + dy * dy + d[2] * d[2];
                    if far > reach * reach {
                        continue;
                    }
                    if rod_of[*i] == rod_of[j] && ky == 0.0 {
                        let r = self.rods[rod_of[*i]];
                        let apart = (j as f64 - *i as f64 + f64::from(kx) * r.count as f64).abs() * r.rest;
                        if apart < NEAR {
                            continue;
                        }
                    }
                    let start = [p[j][0] + f64::from(kx) * w, p[j][1] + ky * h, p[j][2]];
                    let apart = nearest_points(p[*i], self.edge(p, *i, w), start, self.edge(p, j, w)).2;
                    if dot(apart, apart) < (self.thick + SKIN).powi(2) {
                        self.pairs.push(Pair { a: *i as u32, b: j as u32, moved: [f64::from(kx), ky] });
                    }
                }
                step += 1;
            }
        }
    }

    /// Energy and its slope at a state.
    pub(crate) fn cost(&self, x: &[f64], p: &[V], slope: &mut [f64]) -> Parts {
        let n = p.len();
        let [w, h] = self.periods(x);
        let mut parts = Parts { nearest: f64::INFINITY, ..Parts::default() };
        slope.fill(0.0);
        let mut virial = [0.0; 2];
        self.lengths_and_bends(p, w, &mut parts, slope, &mut virial);
        self.pressed(p, [w, h], &mut parts, slope, &mut virial);
        self.held(p, [w, h], &mut parts, slope, &mut virial);
        for (k, period) in [w, h].into_iter().enumerate() {
            parts.held -= self.pull[k] * period;
            virial[k] -= self.pull[k] * period;
        }
        let (sx, sy) = (w / self.base[0], h / self.base[1]);
        for c in slope[..3 * n].chunks_exact_mut(3) {
            c[0] *= sx;
            c[1] *= sy;
        }
        slope[3 * n] = virial[0] / PERIOD;
        slope[3 * n + 1] = virial[1] / PERIOD;
        parts
    }

    /// What stretching, bending and pressing add; `virial` is the pull on the two periods.
    fn lengths_and_bends(&self, p: &[V], w: f64, parts: &mut Parts, slope: &mut [f64], virial: &mut [f64; 2]) {
        let add = |slope: &mut [f64], i: usize, f: V| {
            slope[3 * i] += f[0];
            slope[3 * i + 1] += f[1];
            slope[3 * i + 2] += f[2];
        };
        for rod in &self.rods {
            let r = rod.rest;
            let mut before = self.edge(p, rod.first + rod.count - 1, w);
            let mut before_len = dot(before, before).sqrt();
            for k in 0..rod.count {
                let i = rod.first + k;
                let e = self.edge(p, i, w);
                let len = dot(e, e).sqrt().max(1e-12);
                let strain = len / r - 1.0;
                parts.stretch += 0.5 * STRETCH * strain * strain * r;
                let f = STRETCH * strain / len;
                let g = [f * e[0], f * e[1], f * e[2]];
                virial[0] += g[0] * e[0];
                virial[1] += g[1] * e[1];
                add(slope, self.next[i] as usize, g);
                add(slope, i, [-g[0], -g[1], -g[2]]);
                // Bending between the segment before and this one.
                let (a, b) = (before, e);
                let (u, c) = (before_len * len, dot(a, b));
                let sum = (u + c).max(1e-6 * u);
                parts.bend += 2.0 * (u - c) / sum / r;
                let (du, dc) = (4.0 * c / (sum * sum) / r, -4.0 * u / (sum * sum) / r);
                let (ka, kb) = (du * len / before_len.max(1e-12), du * before_len / len);
                let ga = [ka * a[0] + dc * b[0], ka * a[1] + dc * b[1], ka * a[2] + dc * b[2]];
                let gb = [kb * b[0] + dc * a[0], kb * b[1] + dc * a[1], kb * b[2] + dc * a[2]];
                virial[0] += ga[0] * a[0] + gb[0] * b[0];
                virial[1] += ga[1] * a[1] + gb[1] * b[1];
                let last = if k == 0 { rod.first + rod.count - 1 } else { i - 1 };
                add(slope, last, [-ga[0], -ga[1], -ga[2]]);
                add(slope, i, sub(ga, gb));
                add(slope, self.next[i] as usize, gb);
                before = e;
                before_len = len;
                if self.matter.pressing > 0.0 {
                    parts.press += 0.5 * self.matter.pressing * r * p[i][2] * p[i][2];
                    slope[3 * i + 2] += self.matter.pressing * r * p[i][2];
                }
            }
        }
    }

    /// What threads that touch add.
    fn pressed(&self, p: &[V], [w, h]: [f64; 2], parts: &mut Parts, slope: &mut [f64], virial: &mut [f64; 2]) {
        let d = self.thick;
        let (nearest, far) = (d + SKIN, d * d);
        let mut closest = nearest * nearest;
        for pair in &self.pairs {
            let (i, j) = (pair.a as usize, pair.b as usize);
            let (ea, eb) = (self.edge(p, i, w), self.edge(p, j, w));
            let start = [p[j][0] + pair.moved[0] * w, p[j][1] + pair.moved[1] * h, p[j][2]];
            let (s, t, apart) = nearest_points(p[i], ea, start, eb);
            let square = dot(apart, apart);
            closest = closest.min(square);
            if square >= far {
                continue;
            }
            let distance = square.sqrt().max(1e-9);
            let (e, slope_of) = self.touch(distance, self.rest[i] * self.rest[j]);
            parts.touch += e;
            let k = slope_of / distance;
            let f = [k * apart[0], k * apart[1], k * apart[2]];
            virial[0] += f[0] * apart[0];
            virial[1] += f[1] * apart[1];
            self.push(slope, (i, s), (j, t), f);
        }
        parts.nearest = closest.sqrt();
    }

    /// How far apart two threads that hold each other stand, and how far they slid along each other.
    fn slid(&self, g: &Grip, p: &[V], [w, h]: [f64; 2]) -> (V, V) {
        let (i, j) = (g.pair.a as usize, g.pair.b as usize);
        let (ea, eb) = (self.edge(p, i, w), self.edge(p, j, w));
        let start = [p[j][0] + g.pair.moved[0] * w, p[j][1] + g.pair.moved[1] * h, p[j][2]];
        let apart = sub(along(p[i], g.s, ea), along(start, g.t, eb));
        let slid = sub(apart, g.apart);
        (apart, along(slid, -dot(slid, g.normal), g.normal))
    }

    /// What friction adds where threads hold each other.
    fn held(&self, p: &[V], [w, h]: [f64; 2], parts: &mut Parts, slope: &mut [f64], virial: &mut [f64; 2]) {
        for g in &self.grips {
            let (i, j) = (g.pair.a as usize, g.pair.b as usize);
            let (apart, slid) = self.slid(g, p, [w, h]);
            let y = dot(slid, slid).sqrt();
            let k = self.matter.friction * g.force * if y < SOFT { 1.0 / SOFT } else { 1.0 / y };
            parts.held += self.matter.friction * g.force * if y < SOFT { y * y / (2.0 * SOFT) } else { y - SOFT / 2.0 };
            let f = [k * slid[0], k * slid[1], k * slid[2]];
            virial[0] += f[0] * apart[0];
            virial[1] += f[1] * apart[1];
            self.push(slope, (i, g.s), (j, g.t), f);
        }
    }

    /// Energy of a touch at this distance, and its slope.
    #[inline]
    fn touch(&self, distance: f64, lengths: f64) -> (f64, f64) {
        match self.matter.squeeze {
            None => {
                let q = self.thick - distance;
                (0.5 * TOUCH * q * q, -TOUCH * q)
            }
            Some(k) => {
                let u = distance / self.thick;
                let k = k * lengths;
                (k * (1.0 / (u * u) + u * u - 2.0), k * (2.0 * u - 2.0 / (u * u * u)) / self.thick)
            }
        }
    }

    #[inline]
    fn push(&self, slope: &mut [f64], (i, s): (usize, f64), (j, t): (usize, f64), f: V) {
        let (i1, j1) = (self.next[i] as usize, self.next[j] as usize);
        for (node, by) in [(i, 1.0 - s), (i1, s), (j, t - 1.0), (j1, -t)] {
            slope[3 * node] += by * f[0];
            slope[3 * node + 1] += by * f[1];
            slope[3 * node + 2] += by * f[2];
        }
    }

    /// Notes where threads touch now, so that friction can resist their sliding from here.
    pub(crate) fn take_hold(&mut self, x: &[f64], p: &[V]) {
        let [w, h] = self.periods(x);
        self.grips.clear();
        if self.matter.friction == 0.0 {
            return;
        }
        for pair in &self.pairs {
            let (i, j) = (pair.a as usize, pair.b as usize);
            let start = [p[j][0] + pair.moved[0] * w, p[j][1] + pair.moved[1] * h, p[j][2]];
            let (s, t, apart) = nearest_points(p[i], self.edge(p, i, w), start, self.edge(p, j, w));
            let distance = dot(apart, apart).sqrt().max(1e-9);
            if distance < self.thick {
                let force = -self.touch(distance, self.rest[i] * self.rest[j]).1;
                let normal = [apart[0] / distance, apart[1] / distance, apart[2] / distance];
                self.grips.push(Grip { pair: *pair, s, t, apart, normal, force });
            }
        }
    }

    /// Points where threads touch: where, how deep one presses into the other as a share of the diameter, and which
    /// threads.
    pub(crate) fn touches(&self, x: &[f64], p: &[V]) -> Vec<(V, f64, (usize, usize))> {
        let [w, h] = self.periods(x);
        let rod_of: Vec<usize> =
            self.rods.iter().enumerate().flat_map(|(k, r)| core::iter::repeat_n(k, r.count)).collect();
        let mut all = Vec::new();
        for pair in &self.pairs {
            let (i, j) = (pair.a as usize, pair.b as usize);
            let e = self.edge(p, i, w);
            let start = [p[j][0] + pair.moved[0] * w, p[j][1] + pair.moved[1] * h, p[j][2]];
            let (s, _, apart) = nearest_points(p[i], e, start, self.edge(p, j, w));
            let deep = 1.0 - dot(apart, apart).sqrt() / self.thick;
            if deep > 0.0 {
                all.push((along(along(p[i], s, e), -0.5, apart), deep, (rod_of[i], rod_of[j])));
            }
        }
        all
    }
}

/// Where two segments come nearest: how far along each, and the first point less the second.
#[inline]
fn nearest_points(p: V, a: V, q: V, b: V) -> (f64, f64, V) {
    let r = sub(p, q);
    let (aa, bb, ab) = (dot(a, a), dot(b, b), dot(a, b));
    let (ar, br) = (dot(a, r), dot(b, r));
    let det = aa * bb - ab * ab;
    let mut s = if det > 1e-12 * aa * bb { ((ab * br - bb * ar) / det).clamp(0.0, 1.0) } else { 0.5 };
    let mut t = (ab * s + br) / bb.max(1e-300);
    if t < 0.0 {
        t = 0.0;
        s = (-ar / aa.max(1e-300)).clamp(0.0, 1.0);
    } else if t > 1.0 {
        t = 1.0;
        s = ((ab - ar) / aa.max(1e-300)).clamp(0.0, 1.0);
    }
    (s, t, sub(along(p, s, a), along(q, t, b)))
}
