//! The yarn in a knitted loop and in a tuck, fitted from weighed swatches and unravelled lengths.

use super::figure::{Basis, Figure};

/// Yarn of a tuck over that of a knitted loop. No published ratio was found: 0.75 is a guess in a working range of 0.6
/// to 0.95, replaced by unravelling tucks.
pub const TUCK: f64 = 0.75;
const TUCK_DOUBT: f64 = 0.10;

/// Yarn in each kind of loop, in millimetres, with their joint doubt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopLengths {
    /// A knitted loop.
    pub knit: f64,
    /// A tuck.
    pub tuck: f64,
    /// Variance of the first, of the second, and their covariance.
    variance: [f64; 3],
    /// Where the lengths come from.
    pub basis: Basis,
}

impl LoopLengths {
    /// The same length for both kinds, with one relative spread.
    #[must_use]
    pub fn alike(length: Figure) -> LoopLengths {
        let v = (length.value * length.spread).powi(2);
        LoopLengths { knit: length.value, tuck: length.value, variance: [v, v, v], basis: length.basis }
    }

    /// Fits both lengths to the mean loop of weighed swatches with their share of tucks, and to unravelled loops of each
    /// kind. Least squares, each figure weighted by its own spread.
    #[must_use]
    pub fn fit(
        mean: Option<Figure>,
        tuck_share: f64,
        knit: Option<Figure>,
        tuck: Option<Figure>,
    ) -> Option<LoopLengths> {
        let seen = [mean, knit, tuck];
        let basis = seen.iter().flatten().map(|f| f.basis).max()?;
        let typical = mean.or(knit).map_or_else(|| tuck.map(|t| t.value / TUCK), |f| Some(f.value))?;
        let (mut a, mut b) = ([0.0; 3], [0.0; 2]);
        let mut told = |row: [f64; 2], value: f64, deviation: f64| {
            let w = deviation.max(1e-9).powi(-2);
            a[0] += w * row[0] * row[0];
            a[1] += w * row[1] * row[1];
            a[2] += w * row[0] * row[1];
            b[0] += w * row[0] * value;
            b[1] += w * row[1] * value;
        };
        told([-TUCK, 1.0], 0.0, TUCK_DOUBT * typical);
        for (figure, row) in seen.iter().zip([[1.0 - tuck_share, tuck_share], [1.0, 0.0], [0.0, 1.0]]) {
            if let Some(f) = figure {
                told(row, f.value, f.value * f.spread);
            }
        }
        let determinant = a[0] * a[1] - a[2] * a[2];
        let variance = [a[1] / determinant, a[0] / determinant, -a[2] / determinant];
        let knit = variance[0] * b[0] + variance[2] * b[1];
        let tuck = variance[2] * b[0] + variance[1] * b[1];
        (knit > 0.0 && tuck > 0.0 && determinant > 0.0).then_some(LoopLengths { knit, tuck, variance, basis })
    }

    /// The mean loop of fabrics side by side, each with its share of the loops; their doubts are taken to go together.
    #[must_use]
    pub fn mean(shares: &[(f64, LoopLengths)]) -> Option<LoopLengths> {
        let whole: f64 = shares.iter().map(|s| s.0).sum();
        let mean = |of: fn(&LoopLengths) -> f64| shares.iter().map(|(share, l)| share * of(l)).sum::<f64>() / whole;
        let variance = [mean(|l| l.variance[0]), mean(|l| l.variance[1]), mean(|l| l.variance[2])];
        let basis = shares.iter().map(|s| s.1.basis).max()?;
        (whole > 0.0).then(|| LoopLengths { knit: mean(|l| l.knit), tuck: mean(|l| l.tuck), variance, basis })
    }

    /// Millimetres of yarn in a number of loops of each kind, and the standard deviation.
    #[must_use]
    pub fn of(&self, knit: f64, tuck: f64) -> (f64, f64) {
        let v = &self.variance;
        let variance = knit * knit * v[0] + tuck * tuck * v[1] + 2.0 * knit * tuck * v[2];
        (knit * self.knit + tuck * self.tuck, variance.max(0.0).sqrt())
    }
}
