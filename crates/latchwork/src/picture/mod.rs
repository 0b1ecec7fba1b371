//! Drawings as SVG, black on white: the schematic to scale, needles and beds at their pitch, charts and yarn paths, the
//! sewing map, the fit of the sizes, where to measure a swatch.

mod ink;
mod schematic;
mod needles;
mod beds;
mod chart;
mod card;
mod motif;
mod sewing;
mod fit_plot;
mod swatch;

pub use beds::{beds, beds_in_text};
pub use card::{CardMeasures, card};
pub use chart::{Chart, Path, Square, chart, paths};
pub use fit_plot::fit_plot;
pub use motif::{PLAIN, motif, tiles};
pub use needles::{diagram, in_text};
pub use schematic::{outlines, schematic};
pub use sewing::{edge_words, notch_lines, sewing_map, side_words};
pub use swatch::where_to_measure;

/// A drawing, with its content in words for those who cannot see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// SVG.
    pub svg: String,
    /// Its content in words.
    pub alt: String,
    /// Width in points.
    pub width: f64,
    /// Height in points.
    pub height: f64,
}
