//! The contents of the handout: sections, tables and pictures, without page breaks or fonts.

mod author;
mod bench;
mod facts;
mod sheet;
mod making_up;
mod proof;
mod texts;
mod card;
mod chart;
mod cloth;
mod fit_page;

use latchwork_machine::needle::Side;

pub use bench::{Bench, BenchPiece, BenchStep, bench};
pub use card::{Card, SwatchPlan, card, expected as expected_swatch, rehearsed_swatch};
pub use chart::{Block, ChartText};
pub use cloth::{ClothPicture, Shape, Wanted, cloth};
pub use proof::{Misprint, glossary, heard_as_planned};

use crate::check::{Proven, SizeProof};
use crate::design::Design;
use crate::notice::Notice;
use crate::picture::Picture;
use crate::wording::Language;
use crate::words::{ShapingRow, Token};

/// Everything that a handout says.
#[derive(Debug, Clone, PartialEq)]
pub struct Handout {
    /// Its language.
    pub language: Language,
    /// Title.
    pub title: String,
    /// One line under it.
    pub summary: String,
    /// Version and date.
    pub version: String,
    /// Author, version and date for the foot of each page.
    pub folio: String,
    /// The sentence that says it was rehearsed, and in how many sizes.
    pub rehearsed: String,
    /// Author.
    pub author: String,
    /// Date as written.
    pub date: String,
    /// How the figures of the sizes are ordered.
    pub order: String,
    /// What the cover says beneath its title: sizes, level, yarn, tools and time; as label and lines.
    pub cover: Vec<(String, Vec<String>)>,
    /// What it takes to knit it, as label and text.
    pub facts: Vec<(String, String)>,
    /// The author's photograph; none unless the command or page adds it.
    pub photo: Option<Photograph>,
    /// Testers, terms of use and copyright, as label and text.
    pub closing: Vec<(String, String)>,
    /// Abbreviations used, with their meanings.
    pub abbreviations: Vec<(String, String)>,
    /// What only the author sees: how it was proven, and what was found. None in the knitter's copy.
    pub for_author: Option<Vec<(String, String)>>,
    /// The drawing of the pieces.
    pub schematic: Picture,
    /// Finished measures by size, in both systems of units.
    pub finished: Grid,
    /// How to read them.
    pub about_finished: String,
    /// Yarn by size, in both systems of units.
    pub yarn: Grid,
    /// How to read the yarn.
    pub about_yarn: String,
    /// Gauge of each fabric, over 10 cm and 4 in.
    pub gauge: Grid,
    /// Where the gauge of each fabric comes from.
    pub about_gauge: Vec<(String, String)>,
    /// How to measure a swatch.
    pub measuring: String,
    /// Needle set-up of each piece: caption and drawing.
    pub needles: Vec<(String, Picture)>,
    /// Stitch sizes here, and room for the reader's own.
    pub ladder: Grid,
    /// The owner's own words, when asked for.
    pub own_words: Vec<(String, String)>,
    /// Pictures of the fabric; empty unless asked for ([`cloth`]).
    pub cloth: Vec<ClothPicture>,
    /// Checks to tick before the first pass.
    pub before: Vec<String>,
    /// The instructions.
    pub pieces: Vec<PieceText>,
    /// Making up, in order.
    pub making_up: Vec<String>,
    /// The sewing map, and which edges meet; none where nothing is sewn.
    pub sewing: Option<(Picture, Vec<String>)>,
    /// The fit sheet: every measure of every size.
    pub fit: Grid,
    /// What the fit sheet shows, and its limits.
    pub about_fit: String,
    /// The sizes against surveyed bodies.
    pub fit_plot: Option<Picture>,
    /// How to read the handout.
    pub reading: Vec<String>,
    /// What to do when something goes wrong.
    pub trouble: Vec<(String, String)>,
    /// Care of the finished article.
    pub care: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// The author's notes.
    pub notes: Vec<String>,
    /// Errata.
    pub errata: String,
    /// Names of the sizes, in order.
    pub sizes: Vec<String>,
}

/// A photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// The picture as a JPEG.
    pub jpeg: Vec<u8>,
    /// What it shows, in words.
    pub shows: String,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Grid {
    /// Column heads.
    pub head: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
    /// Columns in the second system of units.
    pub second: Vec<usize>,
    /// The row of the sample's size.
    pub sample: Option<usize>,
}

/// One piece in print.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceText {
    /// Its heading.
    pub title: String,
    /// How many alike to make: one box to tick for each.
    pub make: u32,
    /// Public side, and the side of the carriage at even and odd readings.
    pub intro: String,
    /// The charts that its steps name.
    pub charts: Vec<ChartText>,
    /// Its steps.
    pub steps: Vec<StepText>,
}

/// One step in print.
#[derive(Debug, Clone, PartialEq)]
pub struct StepText {
    /// The sizes that have it, in words; empty: all.
    pub only: String,
    /// Those sizes by place among the printed; empty: all.
    pub sizes: Vec<usize>,
    /// The counter after it.
    pub counter: String,
    /// Where the carriage ends; one for each size if they differ.
    pub sides: Vec<Option<Side>>,
    /// The sentence.
    pub tokens: Vec<Token>,
    /// Shapings: a tally for each size; sizes that are alike share one.
    pub tallies: Vec<Tally>,
}

/// Shapings in print: one box to tick for each time.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Its sizes, and how many times.
    pub head: String,
    /// One row for each time.
    pub rows: Vec<ShapingRow>,
}

/// The handout of some of the proven sizes (by place among them), with the owner's own words if asked; every size is read
/// back.
///
/// # Errors
/// The first place where the words, read back, differ from what was rehearsed.
pub fn handout(proven: &Proven, sizes: &[usize], own_words: bool) -> Result<Handout, Misprint> {
    let sheet = sheet::Sheet::new(proven, sizes);
    let handout = sheet.write(own_words);
    proof::read(&sheet, &handout.pieces)?;
    Ok(handout)
}

/// The author's copy of the handout: with how it was proven, what was found, whom the sizes fit, and where each gauge
/// comes from.
#[must_use]
pub fn for_author(
    mut handout: Handout,
    proven: &Proven,
    sizes: &[usize],
    found: &[(Option<usize>, Notice)],
) -> Handout {
    handout.for_author = Some(sheet::Sheet::new(proven, sizes).for_author(found));
    handout
}

/// The size that pictures show: the sample's, or the middle one of those printed.
fn shown<'a>(design: &Design, sizes: &[&'a SizeProof]) -> Option<&'a SizeProof> {
    let sample = sizes.iter().find(|s| Some(s.size) == design.publication.sample);
    sample.or_else(|| sizes.get(sizes.len() / 2)).copied()
}

/// The instructions alone; every size is read back.
///
/// # Errors
/// As [`handout`].
pub fn proofread(proven: &Proven, sizes: &[usize]) -> Result<Vec<PieceText>, Misprint> {
    let sheet = sheet::Sheet::new(proven, sizes);
    let pieces = sheet.pieces(false);
    proof::read(&sheet, &pieces)?;
    Ok(pieces)
}
