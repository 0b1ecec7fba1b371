//! A repeat as it will look: its public side, in true proportion, several times over.

use super::Picture;
use super::ink::Ink;
use crate::motif::Motif;
use crate::units::Language;
use crate::wording::say;

/// Points across.
const WIDE: f64 = 420.0;

/// The colours of a repeat whose yarns have none of their own.
pub const PLAIN: [&str; 2] = ["#f2f0ea", "#2f4858"];

/// Draws a repeat so many times across and up; `shape` is the height of a row over the width of a stitch.
#[must_use]
pub fn motif(motif: &Motif, shape: f64, times: (usize, usize), t: Language) -> Picture {
    let rows: Vec<Vec<usize>> = motif.rows.iter().map(|r| r.iter().map(|c| usize::from(*c)).collect()).collect();
    tiles(&rows, &PLAIN, false, shape, times, t)
}

/// Draws rows of cells, the first lowest, so many times across and up, from the public side: the one that faces the knitter
/// (`near`) or the one that faces away. A cell is its colour's number.
#[must_use]
pub fn tiles(
    rows: &[Vec<usize>],
    colours: &[&str],
    near: bool,
    shape: f64,
    (across, up): (usize, usize),
    t: Language,
) -> Picture {
    let wide = rows.first().map_or(1, Vec::len).max(1);
    let (columns, high) = (wide * across, rows.len() * up);
    let cell = WIDE / columns as f64;
    let height = cell * shape * high as f64;
    let mut ink = Ink::new();
    let colour = |n: usize| colours.get(n).unwrap_or(&PLAIN[1]);
    ink.raw(&format!("<rect width=\"{WIDE}\" height=\"{height:.2}\" fill=\"{}\"/>", colour(0)));
    for r in 0..high {
        let row = &rows[r % rows.len()];
        let y = height - (r + 1) as f64 * cell * shape;
        // Where it faces away from the knitter its left is the needles' right.
        let at = |c: usize| row[if near { c % wide } else { wide - 1 - c % wide }];
        let mut c = 0;
        while c < columns {
            let run = (c..columns).take_while(|k| at(*k) == at(c)).count();
            if at(c) > 0 {
                let (x, wide, fill) = (c as f64 * cell, run as f64 * cell, colour(at(c)));
                ink.raw(&format!(
                    "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{wide:.2}\" height=\"{:.2}\" fill=\"{fill}\"/>",
                    cell * shape
                ));
            }
            c += run;
        }
    }
    let alt = say!(
        t,
        "The public side: {columns} stitches by {rows} rows, {across} times across and {up} times up.",
        columns = wide,
        rows = rows.len(),
        across,
        up
    );
    ink.finish(WIDE, height, alt)
}
