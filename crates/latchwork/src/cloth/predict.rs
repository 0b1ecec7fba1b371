//! Gauges of fabrics predicted from swatches of others in the same yarn: the yarn's diameter and its behaviour are fitted
//! to the swatches, and the remaining error is carried over in part.

use std::sync::Arc;

use latchwork_thread::relax::{Fineness, Lengths};
use latchwork_thread::rod::Matter;

use super::rest::{Asked, LookUp, NoCloth};
use crate::fabric::Fabric;
use crate::measure::pooled;

/// A swatched fabric: yarn in a knitted loop, a tuck over it, and millimetres per needle and pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// Millimetres of yarn in a knitted loop.
    pub knit: f64,
    /// Yarn of a tuck over that of a knitted loop.
    pub tuck: f64,
    /// Width per needle, both beds counted.
    pub needle: f64,
    /// Length per pass.
    pub pass: f64,
}

/// The error of a swatch predicted from the others: measured over predicted, less one.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The fabric left out.
    pub fabric: Arc<Fabric>,
    /// Error of the width.
    pub needle: f64,
    /// Error of the length.
    pub pass: f64,
}

/// A predicted gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// Millimetres of width per needle.
    pub needle: f64,
    /// Millimetres of length per pass.
    pub pass: f64,
    /// One standard deviation of the width, as a share.
    pub needle_spread: f64,
    /// One standard deviation of the length, as a share.
    pub pass_spread: f64,
    /// The yarn's diameter as fitted, in millimetres.
    pub diameter: f64,
    /// Every swatched fabric left out in turn; empty where there is only one.
    pub left_out: Vec<LeftOut>,
}

/// Spread of the yarn's diameter against its count (packing differs), of the yarn's effect common to all fabrics, and of
/// each fabric's own effect: guesses, no source.
const DIAMETER: f64 = 0.10;
const YARN: f64 = 0.08;
const OWN: f64 = 0.07;
/// Spread of a predicted width and length without a test on swatches left out: guesses, no source; the model missed
/// cotton interlock by a tenth.
const WIDTH: f64 = 0.13;
const LENGTH: f64 = 0.11;

/// How a fabric's wale and course over yarn diameter change with loop over diameter: parabolas in logarithms.
#[derive(Debug, Clone, Copy)]
struct Shape {
    middle: f64,
    /// For width and length: the value at the middle, the slope, half the curvature.
    of: [[f64; 3]; 2],
    /// How far apart the shapes of about equal cost at the middle are, as shares of width and length.
    apart: [f64; 2],
}

/// Step of the logarithm of loop over diameter between the shapes brought to rest.
const STEP: f64 = 0.12;

impl Shape {
    /// Millimetres per needle and per pass, for a loop and a diameter; all in logarithms.
    fn at(&self, knit: f64, diameter: f64) -> [f64; 2] {
        let x = (knit / diameter).ln() - self.middle;
        self.of.map(|[a, b, c]| diameter.ln() + a + b * x + c * x * x)
    }
}

impl Prediction {
    /// Whether it is sure enough for drafting a piece: within a third, 19 times in 20.
    #[must_use]
    pub fn of_use(&self) -> bool {
        self.needle_spread.max(self.pass_spread) < 0.17
    }
}

/// The repeats needed for the shape of a fabric, with loops a little shorter, as given, a little longer; and the logarithm
/// at the middle.
fn three(fabric: &Arc<Fabric>, knit: f64, tuck: f64, diameter: f64) -> ([Asked; 3], f64) {
    // Loops of fewer diameters cannot be knitted; loops of many more make nets.
    let middle = (knit / diameter).clamp(15.0, 24.0).ln();
    // Rounded: the same repeat asked for in different ways must have the same name.
    let round = |v: f64| (v * 1e4).round() / 1e4;
    let asked = [-STEP, 0.0, STEP].map(|by| {
        let lengths = Lengths { knit: round((middle + by).exp()), tuck: round(tuck) };
        Asked { fabric: Arc::clone(fabric), lengths, matter: Matter::SOFT, fineness: Fineness::Coarse }
    });
    (asked, middle)
}

fn shape(fabric: &Arc<Fabric>, knit: f64, tuck: f64, diameter: f64, known: LookUp<'_>) -> Result<Shape, NoCloth> {
    let (asked, middle) = three(fabric, knit, tuck, diameter);
    let at = |a: &Asked| {
        let r = a.found(known)?;
        if r.settled() { Ok(([r.wale.ln(), r.course.ln()], r.apart())) } else { Err(NoCloth::Unsettled) }
    };
    let [short, (here, apart), long] = [at(&asked[0])?, at(&asked[1])?, at(&asked[2])?];
    let of = [0, 1].map(|k| {
        let (short, here, long) = (short.0[k], here[k], long.0[k]);
        let (slope, bow) = ((long - short) / (2.0 * STEP), (long + short - 2.0 * here) / (2.0 * STEP * STEP));
        // A jump between two shapes is not curvature: limited to what plain shows.
        [here, slope.clamp(0.0, 2.5), bow.clamp(-3.0, 3.0)]
    });
    Ok(Shape { middle, of, apart })
}

/// All repeats that [`predict`] asks for, to be looked up or computed beforehand.
#[must_use]
pub fn asked_of(swatched: &[Measured], fabric: &Arc<Fabric>, (knit, tuck): (f64, f64), usual: f64) -> Vec<Asked> {
    let mut all: Vec<Asked> = swatched.iter().flat_map(|m| three(&m.fabric, m.knit, m.tuck, usual).0).collect();
    all.extend(three(fabric, knit, tuck, usual).0);
    all
}

struct Fit {
    diameter: f64,
    more: [f64; 2],
}

/// The likeliest diameter, and the yarn's effect common to all fabrics.
fn fit(seen: &[(&Measured, Shape)], usual: f64) -> Fit {
    let mut best = (f64::INFINITY, Fit { diameter: usual, more: [0.0; 2] });
    for k in -60..=60 {
        let t = f64::from(k) / 200.0;
        let diameter = usual * t.exp();
        let mut cost = (t / DIAMETER).powi(2);
        let mut more = [0.0; 2];
        for (c, m) in more.iter_mut().enumerate() {
            let left = |(s, shape): &(&Measured, Shape)| [s.needle, s.pass][c].ln() - shape.at(s.knit, diameter)[c];
            let sum: f64 = seen.iter().map(left).sum();
            *m = sum / (seen.len() as f64 + (OWN / YARN).powi(2));
            cost += (*m / YARN).powi(2) + seen.iter().map(|s| ((left(s) - *m) / OWN).powi(2)).sum::<f64>();
        }
        if cost < best.0 {
            best = (cost, Fit { diameter, more });
        }
    }
    best.1
}

/// Predicts the gauge of a fabric from swatches of others in the same yarn. `usual` is the diameter by the yarn's count,
/// in millimetres.
///
/// # Errors
/// When a fabric has no shape at rest with such a loop.
pub fn predict(
    swatched: &[Measured],
    fabric: &Arc<Fabric>,
    (knit, tuck): (f64, f64),
    usual: f64,
    known: LookUp<'_>,
) -> Result<Prediction, NoCloth> {
    let mut seen = Vec::new();
    for m in swatched {
        seen.push((m, shape(&m.fabric, m.knit, m.tuck, usual, known)?));
    }
    let of = |f: &Fit, shape: &Shape, knit: f64| {
        let ln = shape.at(knit, f.diameter);
        [(ln[0] + f.more[0]).exp(), (ln[1] + f.more[1]).exp()]
    };
    let mut sizes: Vec<LeftOut> = Vec::new();
    for (m, shape) in &seen {
        // Other stitch sizes of the same fabric would give the answer away.
        let others: Vec<_> = seen.iter().filter(|o| o.0.fabric != m.fabric).copied().collect();
        if !others.is_empty() {
            let [needle, pass] = of(&fit(&others, usual), shape, m.knit);
            let error =
                LeftOut { fabric: m.fabric.clone(), needle: m.needle / needle - 1.0, pass: m.pass / pass - 1.0 };
            sizes.push(error);
        }
    }
    // Stitch sizes of one fabric err together: they count once.
    let mut left_out: Vec<LeftOut> = Vec::new();
    for e in &sizes {
        if left_out.iter().all(|l| l.fabric != e.fabric) {
            let same: Vec<&LeftOut> = sizes.iter().filter(|s| s.fabric == e.fabric).collect();
            let mean = |f: fn(&LeftOut) -> f64| same.iter().map(|s| f(s)).sum::<f64>() / same.len() as f64;
            left_out.push(LeftOut { fabric: e.fabric.clone(), needle: mean(|l| l.needle), pass: mean(|l| l.pass) });
        }
    }
    let found = fit(&seen, usual);
    let wanted = shape(fabric, knit, tuck, usual, known)?;
    let [needle, pass] = of(&found, &wanted, knit);
    let n = left_out.len() as f64;
    // Sizes between those of shapes of about equal cost are equally likely: the prediction is no surer than their range.
    let spread = |assumed: f64, error: fn(&LeftOut) -> f64, apart: f64| {
        pooled(left_out.iter().map(|l| error(l).powi(2)).sum(), n, assumed).max(apart / 12.0_f64.sqrt())
    };
    Ok(Prediction {
        needle,
        pass,
        needle_spread: spread(WIDTH, |l| l.needle, wanted.apart[0]),
        pass_spread: spread(LENGTH, |l| l.pass, wanted.apart[1]),
        diameter: found.diameter,
        left_out,
    })
}
