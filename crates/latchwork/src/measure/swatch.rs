//! Swatches, and the gauge that several of one fabric give together.

use std::fmt;

use crate::fabric::{Fabric, Layout};
use crate::measure::figure::{Basis, Figure};
use crate::notice::Span;
use crate::units::{Grams, Mm, Tex};

/// What was done to a swatch before it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Off the machine.
    AsKnitted,
    /// Left a day.
    Rested,
    /// Washed and dried as the garment will be.
    Washed,
}

impl State {
    /// All states with their words.
    pub const ALL: [(State, &'static str); 3] =
        [(State::AsKnitted, "as knitted"), (State::Rested, "rested"), (State::Washed, "washed")];

    /// Plain-knit constants kc and kw of loop length over course and wale spacing. Munden 1959 (dry, wet
    /// relaxed) and Knapton et al. 1968 (fully relaxed), as quoted by Spencer, Knitting Technology, 3rd ed.
    #[must_use]
    pub fn plain_constants(self) -> (f64, f64) {
        match self {
            State::AsKnitted => (5.0, 3.8),
            State::Rested => (5.3, 4.1),
            State::Washed => (5.5, 4.2),
        }
    }
}

impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(State::ALL[*self as usize].1)
    }
}

/// A whole swatch weighed, with all its needles and passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// Its weight.
    pub grams: Grams,
    /// Needles in work on both beds together.
    pub needles: f64,
    /// Counter passes.
    pub passes: f64,
}

/// One swatch as counted and measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Swatch {
    /// Of which fabric.
    pub fabric: &'static Fabric,
    /// Where it stands in the document.
    pub span: Span,
    /// Of which yarn, by its index in the design.
    pub yarn: usize,
    /// Stitch size in thirds: main bed, ribber.
    pub dial: (u8, u8),
    /// Needles in work on both beds together between the marks.
    pub needles: f64,
    /// Counter passes between the contrast rows.
    pub passes: f64,
    /// Flat width between the marks.
    pub width: Mm,
    /// Flat length between the contrast rows.
    pub length: Mm,
    /// The whole swatch on the scales.
    pub weighed: Option<Weighed>,
    /// What was done to it first.
    pub state: State,
}

/// What the swatches of one fabric in one yarn say.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauge {
    /// The fabric.
    pub fabric: &'static Fabric,
    /// The yarn, by its index in the design.
    pub yarn: usize,
    /// Stitch size in thirds: main bed, ribber.
    pub dial: (u8, u8),
    /// Millimetres of width for each needle in work on both beds.
    pub needle: Figure,
    /// Millimetres of length for each counter pass.
    pub pass: Figure,
    /// Millimetres of yarn for each loop.
    pub loop_length: Option<Figure>,
    /// The least treated state among the swatches.
    pub state: State,
    /// How many swatches.
    pub swatches: u32,
}

/// Assumed spread of one swatch's gauge: common practice, no source.
const ONE_GAUGE: f64 = 0.03;
/// Assumed spread of one swatch's loop length: common practice, no source.
const ONE_LOOP: f64 = 0.05;

/// The gauge of a fabric in a yarn: the mean of its swatches.
#[must_use]
pub fn gauge(swatches: &[Swatch], fabric: &'static Fabric, yarn: usize, tex: Tex) -> Option<Gauge> {
    let of: Vec<&Swatch> = swatches.iter().filter(|s| s.fabric == fabric && s.yarn == yarn).collect();
    let first = of.first()?;
    let all = |f: &dyn Fn(&Swatch) -> f64| of.iter().map(|s| f(s)).collect::<Vec<_>>();
    let needle = Figure::of(&all(&|s| s.width.0 / s.needles), ONE_GAUGE)?;
    let pass = Figure::of(&all(&|s| s.length.0 / s.passes), ONE_GAUGE)?;
    let state = of.iter().map(|s| s.state).min()?;
    let weighed: Vec<f64> = of
        .iter()
        .filter_map(|s| s.weighed)
        .map(|w| w.grams.0 / tex.0 * 1e6 / (w.needles * w.passes * fabric.loops_per_needle_pass()))
        .collect();
    let loop_length = Figure::of(&weighed, ONE_LOOP).or_else(|| {
        // Loop length squared is kc kw times the area of a loop; the doubt of the constants is 3 % (Knapton).
        let (kc, kw) = state.plain_constants();
        (fabric.layout == Layout::MainOnly).then(|| Figure {
            value: (kc * kw * needle.value * pass.value).sqrt(),
            spread: (0.03_f64.powi(2) + needle.spread.powi(2) / 2.0 + pass.spread.powi(2) / 2.0).sqrt(),
            basis: Basis::Formula,
        })
    });
    let swatches = u32::try_from(of.len()).ok()?;
    Some(Gauge { fabric, yarn, dial: first.dial, needle, pass, loop_length, state, swatches })
}
