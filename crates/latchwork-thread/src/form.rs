//! Body forms that knitted things are tried on: elliptic rings strung along a line, and balls.

/// A vector in space, in millimetres.
pub type Point = [f64; 3];

/// A ring of a form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Its middle.
    pub middle: Point,
    /// The direction in which the form continues, of length 1.
    pub along: Point,
    /// To the wearer's side, of length 1 and square to it.
    pub side: Point,
    /// Half its width to the side, and half its depth.
    pub half: [f64; 2],
}

/// A body form.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Form {
    /// Its rings, in order; between two of them it changes evenly.
    pub rings: Vec<Ring>,
    /// Rings of its limbs, each in order from the body outwards.
    pub limbs: Vec<Vec<Ring>>,
    /// Balls: middle and radius.
    pub balls: Vec<(Point, f64)>,
}

/// The difference of two points.
#[must_use]
pub fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// The dot product.
#[must_use]
pub fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The cross product.
#[must_use]
pub fn cross(a: Point, b: Point) -> Point {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The same direction, of length 1.
#[must_use]
pub fn unit(v: Point) -> Point {
    let l = dot(v, v).sqrt().max(1e-12);
    v.map(|c| c / l)
}

/// Half axes of an ellipse of this girth, its depth this many times its width (Ramanujan's first formula, 1914).
#[must_use]
pub fn half_axes(girth: f64, depth: f64) -> [f64; 2] {
    let around = core::f64::consts::PI * (3.0 * (1.0 + depth) - ((3.0 + depth) * (1.0 + 3.0 * depth)).sqrt());
    let a = girth / around;
    [a, a * depth]
}

impl Form {
    /// Upright rings: height and girth of each, from the bottom up, and their depth as a share of their width.
    #[must_use]
    pub fn upright(rings: &[(f64, f64)], depth: f64) -> Form {
        let ring = |(height, girth): &(f64, f64)| Ring {
            middle: [0.0, 0.0, *height],
            along: [0.0, 0.0, 1.0],
            side: [1.0, 0.0, 0.0],
            half: half_axes(*girth, depth),
        };
        Form { rings: rings.iter().map(ring).collect(), ..Form::default() }.smooth()
    }

    /// Rings between the rings, so that the skin has no edges (Catmull-Rom).
    fn smooth(self) -> Form {
        const BETWEEN: u32 = 5;
        let n = self.rings.len();
        let mut rings = Vec::new();
        for k in 1..n {
            let at = |i: isize| self.rings[(k as isize - 1 + i).clamp(0, n as isize - 1) as usize];
            let four = [at(-1), at(0), at(1), at(2)];
            let between = |t: f64, of: &dyn Fn(&Ring) -> f64| {
                let [a, b, c, d] = [0, 1, 2, 3].map(|i| of(&four[i]));
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            rings.extend((0..BETWEEN).map(|i| {
                let t = f64::from(i) / f64::from(BETWEEN);
                Ring {
                    middle: [0, 1, 2].map(|c| between(t, &|r| r.middle[c])),
                    along: unit([0, 1, 2].map(|c| between(t, &|r| r.along[c]))),
                    side: four[1].side,
                    half: [0, 1].map(|c| between(t, &|r| r.half[c]).max(1.0)),
                }
            }));
        }
        rings.extend(self.rings.last().copied());
        Form { rings, ..self }
    }

    /// A head of this girth: from a neck up, the girth about its widest, and a round crown. Depth to breadth is as the
    /// means of head length and breadth, 199.5 and 154.3 mm (ANSUR II, men).
    #[must_use]
    pub fn head(girth: f64) -> Form {
        let [wide, _] = half_axes(girth, 1.29);
        // The crown stands 1.25 half widths of the head above the girth's line.
        let crown = 1.25 * wide;
        let mut rings = vec![(-1.9 * wide, 0.62 * girth), (-1.2 * wide, 0.72 * girth), (-0.5 * wide, 0.95 * girth)];
        rings.extend((0..=12).map(|k| {
            let t = f64::from(k) / 12.0;
            let angle = t * core::f64::consts::FRAC_PI_2;
            (crown * angle.sin(), girth * angle.cos().max(0.03))
        }));
        Form::upright(&rings, 1.29)
    }

    /// A hand block, fingers up: forearm, wrist at nought, palm and fingers together. The thumb, if it has one, leaves the palm to the
    /// side at this height: a third of the palm round and of the hand's length long (from memory), its lean a guess.
    #[must_use]
    pub fn hand(wrist: f64, palm: f64, length: f64, thumb: Option<f64>) -> Form {
        let rings = [
            (-0.8 * length, 1.25 * wrist),
            (-0.3 * length, 1.05 * wrist),
            (0.0, wrist),
            (0.25 * length, 0.96 * palm),
            (0.45 * length, palm),
            (0.7 * length, 0.9 * palm),
            (0.95 * length, 0.65 * palm),
            (length, 0.3 * palm),
        ];
        let (lean, upright) = THUMB_LEANS.sin_cos();
        let [wide, _] = half_axes(palm, 0.5);
        let along = [lean, 0.0, upright];
        let limb = thumb.map(|height| {
            // From within the palm: it leaves the skin at its height.
            let ring = |(far, girth): (f64, f64)| Ring {
                middle: [0, 1, 2].map(|c| [wide, 0.0, height][c] + far * length * along[c]),
                along,
                side: [upright, 0.0, -lean],
                half: half_axes(girth * palm, 0.9),
            };
            let rings = [(-0.15, 0.4), (0.0, 0.36), (0.12, 0.33), (0.24, 0.33), (0.31, 0.25), (0.34, 0.1)];
            Form { rings: rings.map(ring).to_vec(), ..Form::default() }.smooth().rings
        });
        Form { limbs: limb.into_iter().collect(), ..Form::upright(&rings, 0.5) }
    }

    /// A foot, the leg going down to it and the toes forward.
    #[must_use]
    pub fn foot(ankle: f64, ball: f64, length: f64) -> Form {
        let level = |z: f64, y: f64, lean: f64, half: [f64; 2]| Ring {
            middle: [0.0, y, z],
            along: [0.0, lean.sin(), -lean.cos()],
            side: [1.0, 0.0, 0.0],
            half,
        };
        let right = core::f64::consts::FRAC_PI_2;
        let rings = vec![
            level(1.2 * length, 0.0, 0.0, half_axes(1.35 * ankle, 1.1)),
            level(0.55 * length, 0.0, 0.0, half_axes(1.05 * ankle, 1.15)),
            level(0.35 * length, 0.0, 0.0, half_axes(ankle, 1.25)),
            level(0.20 * length, 0.03 * length, 0.35 * right, half_axes(1.08 * ankle, 1.3)),
            level(0.13 * length, 0.18 * length, 0.7 * right, half_axes(1.1 * ball, 0.9)),
            level(0.12 * length, 0.36 * length, 0.95 * right, half_axes(1.02 * ball, 0.75)),
            level(0.10 * length, 0.52 * length, right, half_axes(ball, 0.6)),
            level(0.08 * length, 0.68 * length, right, half_axes(0.85 * ball, 0.5)),
            level(0.07 * length, 0.78 * length, right, half_axes(0.35 * ball, 0.5)),
        ];
        let balls = vec![([0.0, -0.06 * length, 0.13 * length], 0.14 * length)];
        Form { rings, balls, ..Form::default() }.smooth()
    }

    /// A torso from the hip up to the neck, with arms that hang a little away from it: chest, upper arm and wrist by their girths, the
    /// back from neck to waist and the arm by their lengths. Hip 20 cm below the waist and 1.04 of the chest, waist 0.84, half the
    /// breadth of the shoulders 0.2 and neck 0.4 (guesses after the means of ANSUR II, no source for the shape between).
    #[must_use]
    pub fn torso(chest: f64, back: f64, (arm, wrist, long): (f64, f64, f64)) -> Form {
        let level = |z: f64, half: [f64; 2]| Ring {
            middle: [0.0, 0.0, z],
            along: [0.0, 0.0, 1.0],
            side: [1.0, 0.0, 0.0],
            half,
        };
        let neck = 200.0 + back;
        let rings = vec![
            level(0.0, half_axes(1.04 * chest, 0.75)),
            level(200.0, half_axes(0.84 * chest, 0.75)),
            level(neck - 0.5 * back, half_axes(chest, 0.72)),
            level(neck - 0.4 * back, half_axes(0.98 * chest, 0.68)),
            level(neck - 50.0, [0.2 * chest, 0.085 * chest]),
            level(neck - 15.0, [0.12 * chest, 0.08 * chest]),
            level(neck, half_axes(0.4 * chest, 1.0)),
            level(neck + NECK, half_axes(0.38 * chest, 1.0)),
        ];
        let around = arm / core::f64::consts::TAU;
        let limb = |sign: f64| {
            let (lean, upright) = ARM_LEANS.sin_cos();
            let from = [sign * (0.2 * chest - around), 0.0, neck - 50.0 - around];
            let along = [sign * lean, 0.0, -upright];
            let ring = |(far, girth): (f64, f64)| Ring {
                middle: [0, 1, 2].map(|c| from[c] + far * along[c]),
                along,
                side: [upright, 0.0, sign * lean],
                half: half_axes(girth, 1.0),
            };
            let rings = [(0.0, arm), (0.3 * long, arm), (0.6 * long, 0.85 * arm), (long, wrist), (1.1 * long, wrist)];
            Form { rings: rings.map(ring).to_vec(), ..Form::default() }.smooth().rings
        };
        let limbs = vec![limb(-1.0), limb(1.0)];
        Form { rings, limbs, ..Form::default() }.smooth()
    }

    /// The form made thinner by this many millimetres all round.
    #[must_use]
    pub fn thinner(&self, by: f64) -> Form {
        let ring = |r: &Ring| Ring { half: r.half.map(|h| (h - by).max(0.2 * h)), ..*r };
        Form {
            rings: self.rings.iter().map(ring).collect(),
            limbs: self.limbs.iter().map(|l| l.iter().map(ring).collect()).collect(),
            balls: self.balls.iter().map(|(m, r)| (*m, (r - by).max(0.2 * r))).collect(),
        }
    }

    /// A place on the skin: its distance along the profile from the first ring, and the angle round it from the side;
    /// beyond its ends the form continues as it was going.
    #[must_use]
    pub fn skin(&self, along: f64, angle: f64) -> Point {
        let last = self.rings.len().saturating_sub(2);
        let mut left = along;
        for (k, w) in self.rings.windows(2).enumerate() {
            let (a, b) = (w[0], w[1]);
            let rise = apart(a.middle, b.middle).hypot(0.5 * (a.half[0] + a.half[1] - b.half[0] - b.half[1]));
            if left <= rise || k == last {
                let t = left / rise.max(1e-9);
                let mix = |p: f64, q: f64| p + t * (q - p);
                let half = [0, 1].map(|c| mix(a.half[c], b.half[c]).max(0.5));
                let middle = [0, 1, 2].map(|c| mix(a.middle[c], b.middle[c]));
                let way = unit([0, 1, 2].map(|c| mix(a.along[c], b.along[c])));
                let depth = cross(way, a.side);
                let (sin, cos) = angle.sin_cos();
                return [0, 1, 2].map(|c| middle[c] + half[0] * cos * a.side[c] + half[1] * sin * depth[c]);
            }
            left -= rise;
        }
        [0.0; 3]
    }

    /// The greatest girth of its rings, by half their width and depth.
    #[must_use]
    pub fn widest(&self) -> f64 {
        let around = |r: &Ring| {
            let [a, b] = r.half;
            core::f64::consts::PI * (3.0 * (a + b) - ((3.0 * a + b) * (a + 3.0 * b)).sqrt())
        };
        self.rings.iter().map(around).fold(0.0, f64::max)
    }

    /// The height of its widest ring, of those that are upright.
    #[must_use]
    pub fn chest(&self) -> f64 {
        let neck = self.neck();
        // The hip is as wide, and lower.
        let upper = self.rings.iter().filter(|r| r.middle[2] > 0.5 * neck);
        upper.max_by(|a, b| a.half[1].total_cmp(&b.half[1])).map_or(0.0, |r| r.middle[2])
    }

    /// The height of the neck of a torso: where the topmost part of its profile begins.
    #[must_use]
    pub fn neck(&self) -> f64 {
        self.rings.last().map_or(0.0, |r| r.middle[2] - NECK)
    }

    /// Length of the profile from the first ring to the last.
    #[must_use]
    pub fn profile(&self) -> f64 {
        let rise = |w: &[Ring]| {
            let (a, b) = (w[0], w[1]);
            apart(a.middle, b.middle).hypot(0.5 * (a.half[0] + a.half[1] - b.half[0] - b.half[1]))
        };
        self.rings.windows(2).map(rise).sum()
    }

    /// Length of the profile from the first ring up to a height, of an upright form.
    #[must_use]
    pub fn profile_to(&self, height: f64) -> f64 {
        let rings = self.rings.iter().filter(|r| r.middle[2] <= height).copied().collect();
        Form { rings, ..Form::default() }.profile()
    }

    /// Below 1 inside, 1 on the skin; where the body and a limb meet, without an edge between them.
    fn level(&self, p: Point) -> f64 {
        let limbs = self.limbs.iter().map(|l| level(l, p));
        let balls = self.balls.iter().map(|(middle, radius)| apart(p, *middle) / radius);
        let all = || core::iter::once(level(&self.rings, p)).chain(limbs.clone()).chain(balls.clone());
        let least = all().fold(f64::INFINITY, f64::min);
        if !least.is_finite() || self.limbs.is_empty() {
            return least;
        }
        least - all().map(|l| (BLEND * (least - l)).exp()).sum::<f64>().ln() / BLEND
    }

    /// How deep a point lies within the form: the first-order distance to its skin (Taubin 1991). Nought outside.
    #[must_use]
    pub fn depth(&self, p: Point) -> f64 {
        let here = self.level(p);
        if here >= 1.0 {
            return 0.0;
        }
        let slope = steps(p).map(|q| {
            let there = self.level(q);
            if there.is_finite() { (there - here) / STEP } else { 0.0 }
        });
        (1.0 - here) / dot(slope, slope).sqrt().max(1e-3)
    }

    /// How deep a point lies, and how that grows along each axis; none outside.
    #[must_use]
    pub fn depth_and_slope(&self, p: Point) -> Option<(f64, Point)> {
        let here = self.depth(p);
        (here > 0.0).then(|| (here, steps(p).map(|q| (self.depth(q) - here) / STEP)))
    }
}

/// The level of a point in rings: below 1 inside.
fn level(rings: &[Ring], p: Point) -> f64 {
    let mut least = f64::INFINITY;
    for w in rings.windows(2) {
        let (a, b) = (w[0], w[1]);
        // How far it lies between the planes of the two rings.
        let (below, above) = (dot(minus(p, a.middle), a.along), dot(minus(b.middle, p), b.along));
        if below < 0.0 || above < 0.0 {
            continue;
        }
        let t = below / (below + above).max(1e-9);
        let mix = |p: f64, q: f64| p + t * (q - p);
        let middle = [0, 1, 2].map(|c| mix(a.middle[c], b.middle[c]));
        let way = unit([0, 1, 2].map(|c| mix(a.along[c], b.along[c])));
        let depth = cross(way, a.side);
        let off = minus(p, middle);
        let (x, y) = (dot(off, a.side) / mix(a.half[0], b.half[0]), dot(off, depth) / mix(a.half[1], b.half[1]));
        least = least.min(x.hypot(y));
    }
    least
}

/// How sharply a body and its limbs are told apart where they meet: at 20, the skin between them rises by a thirtieth.
const BLEND: f64 = 20.0;
/// How much of its neck a torso has, in millimetres.
const NECK: f64 = 80.0;
/// How far the arms of a torso stand away from the upright, in radians (a guess).
const ARM_LEANS: f64 = 0.5;
/// How far a thumb leans from the hand, in radians (a guess).
const THUMB_LEANS: f64 = 0.6;

/// How far apart slopes are taken, in millimetres.
const STEP: f64 = 0.02;

fn steps(p: Point) -> [Point; 3] {
    [0, 1, 2].map(|c| {
        let mut q = p;
        q[c] += STEP;
        q
    })
}

fn apart(a: Point, b: Point) -> f64 {
    let d = minus(a, b);
    dot(d, d).sqrt()
}
