//! A figure with its doubt and where it comes from.

/// Where a figure comes from, the surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Several swatches, their mean and spread.
    Swatches(u32),
    /// One swatch; the spread is assumed (common practice, no source).
    OneSwatch,
    /// A published formula.
    Formula,
    /// Nothing: it was never swatched, and stands for no length.
    Unknown,
}

/// A value and its relative standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The value, in the unit that its field names.
    pub value: f64,
    /// One standard deviation, as a share of the value.
    pub spread: f64,
    /// Where it comes from.
    pub basis: Basis,
}

impl Figure {
    /// Mean and spread of several measurements; one alone is given the spread `assumed`.
    #[must_use]
    pub fn of(values: &[f64], assumed: f64) -> Option<Figure> {
        let n = values.len();
        let count = f64::from(u32::try_from(n).ok()?);
        let value = values.iter().sum::<f64>() / count;
        if n == 0 || !value.is_finite() || value <= 0.0 {
            return None;
        }
        if n == 1 {
            return Some(Figure { value, spread: assumed, basis: Basis::OneSwatch });
        }
        let variance = values.iter().map(|v| (v - value).powi(2)).sum::<f64>() / (count - 1.0);
        Some(Figure { value, spread: variance.sqrt() / value, basis: Basis::Swatches(u32::try_from(n).ok()?) })
    }

    /// Where it comes from, in words.
    #[must_use]
    pub fn basis_words(&self) -> String {
        match self.basis {
            Basis::Swatches(n) => format!("mean of {n} swatches"),
            Basis::OneSwatch => "one swatch".to_string(),
            Basis::Unknown => "not swatched".to_string(),
            Basis::Formula => "from the gauge by the plain-knit constants".to_string(),
        }
    }
}
