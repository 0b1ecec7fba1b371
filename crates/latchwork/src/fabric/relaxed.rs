//! How fabrics lie at rest: published and derived constants of loop length against gauge.

/// The shape that a fabric's loops come to when it lies flat and unstretched. A loop is one on one needle in one pass,
/// tucks counted as one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relaxed {
    /// Yarn of a loop over the width of one needle of both beds.
    pub width: f64,
    /// Yarn of a loop over the length of one pass.
    pub length: f64,
    /// How unsure either is, as a share.
    pub doubt: f64,
    /// Least and most of the square of a loop's yarn over the area of a needle and a pass: what is measured lies between.
    pub area: (f64, f64),
    /// Usual tightness on a home machine: the root of tex over millimetres of yarn in a loop.
    pub tightness: f64,
    /// Washed against rested: needles and passes in a length, where it is told.
    pub washed: Option<(f64, f64)>,
    /// Where the constants come from.
    pub source: &'static str,
}

/// Wet relaxed: Munden 1959 as Spencer quotes it. Washing: Knapton et al. 1968, fully relaxed.
pub(super) const PLAIN: Relaxed = Relaxed {
    width: 4.1,
    length: 5.3,
    doubt: 0.05,
    area: (17.0, 25.0),
    tightness: 1.19,
    washed: Some((1.024, 1.038)),
    source: "published constants of plain",
};

/// The finished-cotton trade constant 27.8 for the product, washed; rested from a published ribbed hat.
pub(super) const RIB: Relaxed = Relaxed {
    width: 5.2,
    length: 4.8,
    doubt: 0.08,
    area: (22.0, 30.0),
    tightness: 1.42,
    washed: Some((1.063, 1.045)),
    source: "a trade constant of 1x1 rib, and its share across and along worked out",
};

/// The same structure, its needles nearer together: the yarn is finer for its pitch.
pub(super) const FULL_NEEDLE: Relaxed = Relaxed { doubt: 0.12, tightness: 1.34, washed: None, ..RIB };

/// Between the trade constants of 2x1 rib and a published 3x3.
pub(super) const TWO_TWO: Relaxed = Relaxed {
    width: 6.4,
    length: 5.2,
    doubt: 0.15,
    area: (25.0, 41.0),
    washed: None,
    source: "worked out between 2x1 and 3x3 rib",
    ..RIB
};

/// Trade constant 32.2 for the product.
pub(super) const TWO_ONE: Relaxed = Relaxed {
    width: 6.1,
    length: 5.2,
    doubt: 0.12,
    area: (26.0, 38.0),
    washed: None,
    source: "a trade constant of 2x1 rib, and its share across and along worked out",
    ..RIB
};

/// Plain, of which each pass knits half the needles.
pub(super) const TUBE: Relaxed = Relaxed {
    width: 8.2,
    length: 10.6,
    area: (68.0, 100.0),
    source: "published constants of plain, each pass one layer",
    ..PLAIN
};

/// From hand-knit gauges with their yarn, and a model of the yarn.
pub(super) const HALF_CARDIGAN: Relaxed = Relaxed {
    width: 4.4,
    length: 8.4,
    doubt: 0.10,
    area: (30.0, 44.0),
    tightness: 1.27,
    washed: None,
    source: "worked out from published hand-knit gauges and their yarn",
};

/// The same.
pub(super) const FULL_CARDIGAN: Relaxed = Relaxed { width: 3.9, length: 9.2, doubt: 0.12, ..HALF_CARDIGAN };
