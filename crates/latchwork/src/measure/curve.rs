//! A figure against stitch size: a line through two or three stitch sizes, a parabola through four or more.
//!
//! Loop length follows the depth of the stitch cam (Spencer, Knitting Technology, 3rd ed., ch. 18), and width and length
//! follow loop length: a smooth curve is a fair estimate between swatches, and none at all outside them.

use super::figure::{Basis, Figure, pooled};

/// A least-squares curve, with what its doubt is computed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    centre: f64,
    /// Coefficients of 1, x, x² about the centre.
    coefficients: Vec<f64>,
    /// The inverse of the normal matrix.
    inverse: Vec<Vec<f64>>,
    /// Spread of one measurement, in the unit of the figure.
    deviation: f64,
    /// Least and most x.
    reach: (f64, f64),
    points: u32,
}

impl Curve {
    /// Fits points of at least two different x; `assumed` is the spread of one measurement as a share.
    #[must_use]
    pub fn fit(points: &[(f64, f64)], assumed: f64) -> Option<Curve> {
        let mut different: Vec<f64> = points.iter().map(|p| p.0).collect();
        different.sort_by(f64::total_cmp);
        different.dedup();
        let reach = (*different.first()?, *different.last()?);
        let order = match different.len() {
            0 | 1 => return None,
            2 | 3 => 2,
            _ => 3,
        };
        let count = points.len() as f64;
        let centre = points.iter().map(|p| p.0).sum::<f64>() / count;
        let row = |x: f64| powers(x - centre, order);
        let mut normal = vec![vec![0.0; order]; order];
        let mut right = vec![0.0; order];
        for (x, y) in points {
            let r = row(*x);
            for i in 0..order {
                right[i] += r[i] * y;
                for j in 0..order {
                    normal[i][j] += r[i] * r[j];
                }
            }
        }
        let inverse = inverted(normal)?;
        let coefficients: Vec<f64> = inverse.iter().map(|r| dot(r, &right)).collect();
        let mean = points.iter().map(|p| p.1).sum::<f64>() / count;
        let sum = points.iter().map(|(x, y)| (y - dot(&row(*x), &coefficients)).powi(2)).sum::<f64>();
        let deviation = pooled(sum, count - order as f64, assumed * mean);
        Some(Curve { centre, coefficients, inverse, deviation, reach, points: u32::try_from(points.len()).ok()? })
    }

    /// The figure at `x`; none outside the points.
    #[must_use]
    pub fn at(&self, x: f64) -> Option<Figure> {
        if !(self.reach.0..=self.reach.1).contains(&x) {
            return None;
        }
        let row = powers(x - self.centre, self.coefficients.len());
        let value = dot(&row, &self.coefficients);
        let lever: f64 = self.inverse.iter().zip(&row).map(|(r, x)| dot(r, &row) * x).sum();
        let spread = self.deviation * (1.0 + lever).sqrt() / value;
        (value > 0.0).then_some(Figure { value, spread, basis: Basis::Curve(self.points) })
    }
}

fn powers(x: f64, order: usize) -> Vec<f64> {
    std::iter::successors(Some(1.0), |p| Some(p * x)).take(order).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// A small symmetric positive matrix inverted by elimination.
fn inverted(mut m: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = m.len();
    let mut inverse: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    for i in 0..n {
        let pivot = m[i][i];
        if pivot.abs() < 1e-12 {
            return None;
        }
        for j in 0..n {
            m[i][j] /= pivot;
            inverse[i][j] /= pivot;
        }
        for k in (0..n).filter(|k| *k != i) {
            let factor = m[k][i];
            for j in 0..n {
                m[k][j] -= factor * m[i][j];
                inverse[k][j] -= factor * inverse[i][j];
            }
        }
    }
    Some(inverse)
}
