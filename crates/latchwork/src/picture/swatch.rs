//! A swatch, and where to measure it.

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::units::Language;
use crate::wording::say;

/// A swatch of `parts` stitch sizes: contrast rows, the two marks, width and length.
#[must_use]
pub fn where_to_measure(parts: usize, t: Language) -> Picture {
    let mut ink = Ink::new();
    let parts = parts.max(1) as f64;
    let part = if parts > 1.0 { 62.0 } else { 120.0 };
    let (left, right, top, border) = (20.0, 200.0, 24.0, 16.0);
    let height = 2.0 * border + parts * part;
    let bottom = top + height;
    ink.filled("#f4f4f4", 0.9, &[(left, top), (right, top), (right, bottom), (left, bottom)]);
    let contrast: Vec<f64> =
        (0..).map(f64::from).take_while(|k| *k <= parts).map(|k| bottom - border - k * part).collect();
    for y in &contrast {
        ink.line(3.4, &[(left, *y), (right, *y)]);
    }
    let (a, b) = (left + 42.0, right - 42.0);
    for pair in contrast.windows(2) {
        let middle = (pair[0] + pair[1]) / 2.0;
        for x in [a, b] {
            ink.line(1.4, &[(x, middle - 7.0), (x, middle + 7.0)]);
        }
        ink.span((a, middle), (b, middle));
        ink.text((a + b) / 2.0, middle - 5.0, 9.0, Anchor::Middle, true, &say!(t, "width, 40 needles"));
        ink.span((right + 12.0, pair[0] - 1.7), (right + 12.0, pair[1] + 1.7));
        ink.text(right + 20.0, middle + 3.0, 9.0, Anchor::Start, true, &say!(t, "length"));
    }
    ink.text((left + right) / 2.0, bottom + 14.0, 9.0, Anchor::Middle, true, &say!(t, "cast-on"));
    let alt = say!(
        t,
        "A swatch with contrast rows. Width is measured between two marks 40 needles apart in the middle, never \
               from an edge; length from one contrast row to the next."
    );
    ink.finish(260.0, bottom + 22.0, alt)
}
