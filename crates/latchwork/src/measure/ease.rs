//! Conventional ease by garment part. Ease is always a number; these are starting points.

/// The usual ease of a garment part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Convention {
    /// The part.
    pub part: &'static str,
    /// Percent of the body measure; none where it is a length.
    pub percent: Option<f64>,
    /// Millimetres, where it is a length.
    pub millimetres: f64,
    /// The range that sources give.
    pub range: &'static str,
    /// The kind of source; addresses are beside the tests, in `tests/suite/world/ease-sources.txt`.
    pub source: &'static str,
}

const fn share(part: &'static str, percent: f64, range: &'static str, source: &'static str) -> Convention {
    Convention { part, percent: Some(percent), millimetres: 0.0, range, source }
}

const fn length(part: &'static str, millimetres: f64, range: &'static str, source: &'static str) -> Convention {
    Convention { part, percent: None, millimetres, range, source }
}

/// The conventions. Published charts of two generations differ by a whole step: the number counts, not the word.
pub const CONVENTIONS: [Convention; 12] = [
    share("hat", -12.5, "5 to 10 cm under the head, most often 5", "a craft page on hats"),
    share(
        "sock",
        -10.0,
        "−10 % of foot or ankle; −9 to −12.5 % in a sock book",
        "a yarn shop's sock page; the introduction of a sock book",
    ),
    share("lace sock", -15.0, "−10 to −20 %", "a knitter's own page on socks"),
    length("sock foot", -10.0, "1 cm shorter than the foot", "a yarn shop's sock page; a knitter's own page"),
    share("mitten", 0.0, "none at the knuckles", "a published mitten pattern"),
    share("mitten cuff", -10.0, "−10 % of the hand's stitches", "a published mitten pattern"),
    length("close sweater", 0.0, "none", "a page that quotes the yarn trade's size chart"),
    length("sweater", 62.5, "5 to 7.5 cm", "a page that quotes the yarn trade's size chart"),
    length("loose sweater", 100.0, "10 cm and more", "a page that quotes the yarn trade's size chart"),
    length("baby sweater", 20.0, "1.3 to 2.5 cm", "a crafters' forum"),
    share("sweater rib", -10.0, "90 % of the body", "a page on the percentage system"),
    length("scarf", 0.0, "none", "common practice, no source"),
];

/// The convention for a part.
#[must_use]
pub fn convention(part: &str) -> Option<&'static Convention> {
    CONVENTIONS.iter().find(|c| c.part == part)
}
