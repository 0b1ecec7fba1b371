//! The card for a pattern device, at its true size: every measure is the owner's.

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::units::Language;
use crate::wording::say;

/// A card as its owner measured it, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardMeasures {
    /// From hole to hole in a row, and from row to row.
    pub apart: (f64, f64),
    /// Across a hole.
    pub hole: f64,
    /// From the left edge to the middle of the first hole, and from the last to the right edge.
    pub sides: (f64, f64),
    /// From the upper edge to the middle of the last row, and from the first to the lower edge.
    pub ends: (f64, f64),
    /// Rows from the one that is read to the line that shows at the edge of the reader.
    pub ahead: u32,
}

/// Pixels of a millimetre, as browsers print them.
const MM: f64 = 96.0 / 25.4;

/// Draws a card; `rows` are its holes, the first row knitted first, left to right as the knitter sits.
#[must_use]
pub fn card(rows: &[Vec<bool>], m: &CardMeasures, t: Language) -> Picture {
    let columns = rows.first().map_or(0, Vec::len);
    let across = |n: usize| n.saturating_sub(1) as f64;
    let wide = m.sides.0 + across(columns) * m.apart.0 + m.sides.1;
    let card = m.ends.0 + across(rows.len()) * m.apart.1 + m.ends.1;
    let (beside, below) = (12.0, 16.0);
    let (w, h) = ((wide + 2.0 * beside) * MM, (card + below) * MM);
    let mut ink = Ink::new();
    let at = |mm: f64| mm * MM;
    let (left, right) = (at(beside), at(beside + wide));
    let outline = [(left, at(1.0)), (right, at(1.0)), (right, at(1.0 + card)), (left, at(1.0 + card)), (left, at(1.0))];
    ink.line(0.6, &outline);
    let y = |row: f64| at(1.0 + card - m.ends.1 - row * m.apart.1);
    for (r, row) in rows.iter().enumerate() {
        if r == 0 || (r + 1) % 5 == 0 || r + 1 == rows.len() {
            ink.text(left - 9.0, y(r as f64) + 2.5, 7.0, Anchor::Middle, false, &(r + 1).to_string());
        }
        for (c, punched) in row.iter().enumerate() {
            let x = at(beside + m.sides.0 + c as f64 * m.apart.0);
            let (fill, ring) = if *punched { ("#22211D", "#22211D") } else { ("none", "#CFCABD") };
            ink.raw(&format!(
                "<circle cx=\"{x:.2}\" cy=\"{:.2}\" r=\"{:.2}\" fill=\"{fill}\" stroke=\"{ring}\" stroke-width=\"0.4\"/>",
                y(r as f64),
                at(m.hole / 2.0)
            ));
        }
    }
    let start = y(f64::from(m.ahead));
    ink.line(1.0, &[(right, start), (right + at(6.0), start)]);
    ink.text(right + at(6.5), start + 2.5, 7.0, Anchor::Start, false, &say!(t, "start"));
    let foot = at(card + 6.0);
    ink.line(1.0, &[(left, foot), (left + at(50.0), foot)]);
    ink.text(
        left,
        foot + 11.0,
        8.0,
        Anchor::Start,
        false,
        &say!(t, "This line is 50 mm long if the print is true to size."),
    );
    ink.text(
        left,
        foot + 21.0,
        8.0,
        Anchor::Start,
        false,
        &say!(t, "Begin with the mark \u{201c}start\u{201d} at the edge of the reader: row 1 is then read."),
    );
    let alt = say!(
        t,
        "A card of {columns} holes by {rows} rows at true size. The first row is at the bottom.",
        columns,
        rows = rows.len()
    );
    ink.finish(w.max(at(50.0 + 2.0 * beside + 40.0)), h, alt)
}
