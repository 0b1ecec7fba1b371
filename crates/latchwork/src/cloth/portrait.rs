//! The yarn of a whole piece as it lies in the fabric at rest, for pictures.

use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Plan, Yarn};
use latchwork_thread::cell::Cell;
use latchwork_thread::look::{Strand, smooth_from};
use latchwork_thread::path::NoDiagram;
use latchwork_thread::portrait::{Line, Pattern, portrait};
use latchwork_thread::relax::Lengths;

use super::piece::PieceAtRest;
use super::rest::AtRest;
use crate::units::Mm;

/// How a yarn is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ink {
    /// Its diameter.
    pub diameter: Mm,
    /// Red, green, blue.
    pub colour: [u8; 3],
}

/// A piece's yarn in millimetres, on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Portrayed {
    /// Each length of yarn.
    pub strands: Vec<Strand>,
    /// The loop that each point belongs to, for each strand.
    pub loops: Vec<Vec<u32>>,
    /// Left, bottom, width and height of the whole.
    pub window: [f64; 4],
    /// Spans of yarn that lie as in a fabric at rest, and all spans.
    pub regular: (usize, usize),
    /// Crossings drawn the wrong way round.
    pub wrong: usize,
}

impl AtRest {
    /// The repeat as a pattern for whole pieces; `cell` must be the one brought to rest.
    #[must_use]
    pub fn pattern<'a>(&'a self, cell: &'a Cell) -> Pattern<'a> {
        let knit = self.sample.loop_length.0 / self.sample.diameter.0;
        Pattern { cell, rested: &self.rested, lengths: Lengths { knit, tuck: self.sample.tuck } }
    }
}

/// Lays a piece's yarn on its sheet. `patterns` are by origin number, like the material of the sheet; `ink` gives the ink
/// of each visible yarn.
///
/// # Errors
/// When there is no diagram of the piece.
pub fn portray(
    plan: &Plan,
    run: &Run,
    rest: &PieceAtRest,
    patterns: &[Option<Pattern<'_>>],
    ink: impl Fn(Yarn) -> Option<Ink>,
) -> Result<Portrayed, NoDiagram> {
    let drawn = portrait(plan, run, patterns, |y| ink(y).is_some())?;
    // Lines of the sheet by the row that begins there; the last line is one row higher.
    let mut heights: Vec<f64> = rest.lines.iter().map(|l| drawn.rows.partition_point(|s| *s < l.0) as f64).collect();
    if let Some(last) = heights.last_mut() {
        *last += 1.0;
    }
    let line = |v: f64| {
        let above = heights.partition_point(|h| *h <= v).clamp(1, heights.len().max(2) - 1);
        let (a, b) = (heights[above - 1], heights[above.min(heights.len() - 1)]);
        above as f64 - 1.0 + if b > a { (v - a) / (b - a) } else { 0.0 }
    };
    let (mut strands, mut loops) = (Vec::new(), Vec::new());
    for Line { yarn, points } in &drawn.lines {
        let Some(ink) = ink(*yarn) else { continue };
        let d = ink.diameter.0;
        let laid: Vec<[f64; 3]> = points
            .iter()
            .map(|([u, v, z], _)| {
                let [x, y] = rest.place(*u, line(*v));
                [x, y, z * d]
            })
            .collect();
        let smoothed = smooth_from(&laid, 0.5 * d);
        loops.push(smoothed.iter().map(|(_, from)| points[*from].1).collect());
        let points = smoothed.into_iter().map(|p| p.0).collect();
        strands.push(Strand { points, radius: 0.5 * d, colour: ink.colour });
    }
    let ends = |c: usize| {
        let all = strands.iter().flat_map(|s: &Strand| &s.points).map(|p| p[c]);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
    };
    let ((left, right), (bottom, top)) = (ends(0), ends(1));
    let edge = 1.0;
    let window = [left - edge, bottom - edge, right - left + 2.0 * edge, top - bottom + 2.0 * edge];
    Ok(Portrayed { strands, loops, window, regular: drawn.regular, wrong: drawn.wrong })
}
