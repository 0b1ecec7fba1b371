//! Yarns of a list that suit a design: thickness against the machine's pitch, and cover against the swatch.

use crate::design::Design;
use crate::measure::Yarn;
use crate::units::Tex;

/// How well a yarn suits.
#[derive(Debug, Clone, PartialEq)]
pub struct Suits {
    /// Its name.
    pub name: String,
    /// Its thickness.
    pub tex: Tex,
    /// The verdict.
    pub verdict: Verdict,
    /// Why, in words.
    pub why: String,
    /// Loop length over the design's that would give the same cover.
    pub loop_factor: f64,
    /// Its tightness at the design's loop length: the square root of tex over millimetres of yarn in a loop.
    pub tightness: Option<f64>,
}

/// A verdict on a yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The same thickness; every fabric must still be swatched again.
    Suits,
    /// Possible with another stitch size.
    Near,
    /// Too thin or too thick.
    No,
}

/// The cover of plain knitting, the square root of tex over millimetres of yarn in a loop, between slack and stiff: hobby
/// fabric is at 1.0 to 1.1, commercial worsted at 1.4 to 1.5 (derived from ball bands; Knapton 1968, from memory).
const COVER: (f64, f64) = (0.8, 1.6);

/// Thickness that needles of a pitch take, as a share of the machine's own: common practice, no source.
const TAKES: (f64, f64) = (0.3, 1.6);

/// Judges each yarn of a list as a substitute for one of the design's.
#[must_use]
pub fn suits(design: &Design, yarn: usize, list: &[Yarn]) -> Vec<Suits> {
    let now = design.yarns[yarn].tex;
    // The textbook yarn for a pitch, tex = 12.36 pitch², which is NeK = G²/9 (Spencer, ch. 18).
    let machine = 12.36 * design.machine.pitch.0.powi(2);
    let used = design.pieces.iter().filter(|p| p.yarn == yarn).flat_map(|p| &p.stretches);
    let lengths: Vec<f64> = used.filter_map(|s| s.gauge.loops).map(|l| l.knit).collect();
    let length = (!lengths.is_empty()).then(|| lengths.iter().sum::<f64>() / lengths.len() as f64);
    let mut all: Vec<Suits> = list
        .iter()
        .map(|y| {
            let share = y.tex.0 / now.0;
            let loop_factor = share.sqrt();
            let tightness = length.map(|l| y.tex.0.sqrt() / l);
            let off = (loop_factor - 1.0).abs();
            let beyond = y.tex.0 / machine;
            let (verdict, why) = if !(TAKES.0..=TAKES.1).contains(&beyond) {
                let what = if beyond < TAKES.0 { "thin" } else { "thick" };
                (Verdict::No, format!("too {what} for needles {} mm apart", design.machine.pitch.0))
            } else if tightness.is_some_and(|k| !(COVER.0..=COVER.1).contains(&k)) && off > 0.12 {
                let what = if loop_factor < 1.0 { "slack" } else { "tight" };
                (Verdict::No, format!("too {what} at these loops: it wants loops {loop_factor:.2} times as long"))
            } else if off <= 0.05 {
                (Verdict::Suits, "as thick as the design's yarn; swatch every fabric again".to_string())
            } else if off <= 0.12 {
                let way = if loop_factor > 1.0 { "larger" } else { "smaller" };
                (Verdict::Near, format!("try a {way} stitch size; swatch every fabric again"))
            } else {
                let way = if loop_factor > 1.0 { "thicker" } else { "thinner" };
                (Verdict::No, format!("{way} by so much that needles and rows change: `latchwork restate` the design"))
            };
            Suits { name: y.name.clone(), tex: y.tex, verdict, why, loop_factor, tightness }
        })
        .collect();
    all.sort_by(|a, b| (a.loop_factor - 1.0).abs().total_cmp(&(b.loop_factor - 1.0).abs()));
    all
}
