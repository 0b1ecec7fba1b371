//! A figure with its doubt and where it comes from.

/// Where a figure comes from, surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Several swatches, their mean and spread.
    Swatches(u32),
    /// One swatch; the spread is mostly assumed.
    OneSwatch,
    /// A curve through a number of swatches at other stitch sizes.
    Curve(u32),
    /// Swatches in a less finished state, converted by the change that others showed.
    OtherState(u32),
    /// A published formula.
    Formula,
    /// Scaled from a swatch on another machine or in another yarn, or predicted from other fabrics.
    Reckoned,
    /// Nothing: it was never swatched and gives no length.
    Unknown,
}

/// A value and its relative standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The value, in the unit that its field names.
    pub value: f64,
    /// One standard deviation of the next piece, as a share of the value.
    pub spread: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// Degrees of freedom given to the assumed spread of a measurement: two swatches that happen to agree do not yet prove a
/// sure hand. Common practice, no source.
const ASSUMED_WEIGHT: f64 = 4.0;

/// The spread of one measurement, from what was seen (`sum` of squared deviations with `freedom` degrees) and what is
/// assumed: both variances weighted by their degrees of freedom.
#[must_use]
pub fn pooled(sum: f64, freedom: f64, assumed: f64) -> f64 {
    ((ASSUMED_WEIGHT * assumed.powi(2) + sum) / (ASSUMED_WEIGHT + freedom)).sqrt()
}

impl Figure {
    /// The mean of several measurements, and the spread of the next: that of one measurement (seen and `assumed`, pooled)
    /// with that of the mean itself, sd sqrt(1 + 1/n).
    #[must_use]
    pub fn of(values: &[f64], assumed: f64) -> Option<Figure> {
        let n = u32::try_from(values.len()).ok()?;
        let count = f64::from(n);
        let value = values.iter().sum::<f64>() / count;
        if n == 0 || !value.is_finite() || value <= 0.0 {
            return None;
        }
        let sum = values.iter().map(|v| (v / value - 1.0).powi(2)).sum::<f64>();
        let spread = pooled(sum, count - 1.0, assumed) * (1.0 + 1.0 / count).sqrt();
        Some(Figure { value, spread, basis: if n == 1 { Basis::OneSwatch } else { Basis::Swatches(n) } })
    }
}
