//! A repeat as it will look: its public side, in true proportion, several times over.

use super::Picture;
use super::ink::Ink;
use crate::motif::Motif;
use crate::units::Language;
use crate::wording::say;

/// Points across.
const WIDE: f64 = 420.0;

/// Draws a repeat so many times across and up; `shape` is the height of a row over the width of a stitch.
#[must_use]
pub fn motif(motif: &Motif, shape: f64, (across, up): (usize, usize), t: Language) -> Picture {
    let (columns, rows) = (motif.columns * across, motif.rows.len() * up);
    let cell = WIDE / columns as f64;
    let high = cell * shape * rows as f64;
    let mut ink = Ink::new();
    ink.raw(&format!("<rect width=\"{WIDE}\" height=\"{high:.2}\" fill=\"#f2f0ea\"/><g fill=\"#2f4858\">"));
    for r in 0..rows {
        let row = &motif.rows[r % motif.rows.len()];
        let y = high - (r + 1) as f64 * cell * shape;
        // The public side faces away from the knitter: its left is the needles' right.
        let at = |c: usize| row[motif.columns - 1 - c % motif.columns];
        let mut c = 0;
        while c < columns {
            let run = (c..columns).take_while(|k| at(*k)).count();
            if run > 0 {
                let (x, wide) = (c as f64 * cell, run as f64 * cell);
                ink.raw(&format!(
                    "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{wide:.2}\" height=\"{:.2}\"/>",
                    cell * shape
                ));
            }
            c += run.max(1);
        }
    }
    ink.raw("</g>");
    let alt = say!(
        t,
        "The public side: {columns} stitches by {rows} rows, {across} times across and {up} times up.",
        columns = motif.columns,
        rows = motif.rows.len(),
        across,
        up
    );
    ink.finish(WIDE, high, alt)
}
