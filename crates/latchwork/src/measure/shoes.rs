//! Shoe scales. A shoe size is only a starting point: what counts is the length of the foot.

use crate::units::{INCH, Mm};

/// A last is longer than its foot: 15 mm here; two reference pages say 10 to 20.
const ALLOWANCE: f64 = 15.0;

/// Mondopoint (ISO 9407): foot length in millimetres, in steps of 5.
#[must_use]
pub fn mondopoint(foot: Mm) -> f64 {
    (foot.0 / 5.0).round() * 5.0
}

/// The European size: Paris points of two thirds of a centimetre along the last (a scale in ISO 19407).
#[must_use]
pub fn paris_point(foot: Mm) -> f64 {
    (foot.0 + ALLOWANCE) / 10.0 * 1.5
}

/// The British adult size: three barleycorns to an inch of the last, less 25 (from memory).
#[must_use]
pub fn barleycorn_adult(foot: Mm) -> f64 {
    3.0 * (foot.0 + ALLOWANCE) / INCH - 25.0
}

/// The British child's size: three barleycorns to an inch of the last, less 12 (from memory).
#[must_use]
pub fn barleycorn_child(foot: Mm) -> f64 {
    barleycorn_adult(foot) + 13.0
}

/// The foot that a European size is made for.
#[must_use]
pub fn foot_of(paris_points: f64) -> Mm {
    Mm(paris_points / 1.5 * 10.0 - ALLOWANCE)
}
