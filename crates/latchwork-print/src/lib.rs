//! Pixels and pages: a handout in, a PDF out. No knitting is decided here.

mod data;
mod light;
mod photo;
mod world;

pub use data::{jpeg, png};
pub use light::light;
pub use photo::{MOST_MEGABYTES, NoPhoto, photo};

use std::collections::BTreeMap;

use latchwork::handout::{Bench, Card, Handout};
use latchwork::wording::Language;
use typst::diag::Warned;
use typst::foundations::Bytes;
use typst::layout::{Abs, Frame, FrameItem};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

/// Paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// ISO A4.
    A4,
    /// US Letter.
    Letter,
}

/// Type size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Type {
    /// To read at a table.
    Normal,
    /// To read at the bench, at arm's length.
    Large,
}

/// Why no PDF was made: the typesetting engine's own words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintError(pub String);

impl std::fmt::Display for PrintError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the handout could not be set: {}", self.0)
    }
}

impl std::error::Error for PrintError {}

/// Whether a character can be printed: some typeface of the handout has it.
#[must_use]
pub fn printable(c: char) -> bool {
    !c.is_control() && c != '\u{feff}' && world::has(c)
}

/// Sets a handout as a tagged PDF (PDF/UA-1) with embedded fonts. The same handout gives the same bytes.
///
/// # Errors
/// When the typesetting engine refuses the template; that is a fault of this program, not of the design.
pub fn pdf(handout: &Handout, paper: Paper, type_size: Type) -> Result<Vec<u8>, PrintError> {
    pages(handout, paper, type_size).pdf()
}

/// A handout on paper of a size, not set yet: all that its PDF follows from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pages {
    files: BTreeMap<String, Vec<u8>>,
    /// What it says where it is set closer, because a page would be almost empty.
    close: Vec<u8>,
}

/// Makes a handout ready to be set.
#[must_use]
pub fn pages(handout: &Handout, paper: Paper, type_size: Type) -> Pages {
    let (files, close) = data::files(handout, paper, type_size);
    Pages { files, close }
}

impl Pages {
    /// All that the PDF follows from, as one run of bytes: where it is the same, so is the PDF.
    #[must_use]
    pub fn content(&self) -> Vec<u8> {
        let file = |(name, bytes): (&String, &Vec<u8>)| {
            let lengths = [name.len() as u64, bytes.len() as u64].map(u64::to_le_bytes);
            [lengths.as_flattened(), name.as_bytes(), bytes].concat()
        };
        self.files.iter().flat_map(file).collect()
    }

    /// Sets it.
    ///
    /// # Errors
    /// As [`pdf`].
    pub fn pdf(self) -> Result<Vec<u8>, PrintError> {
        let mut files = shared(self.files);
        let loose = typeset(files.clone())?;
        if emptiest(&loose) >= FULL_ENOUGH {
            return written(&loose);
        }
        files.insert(data::TOLD.to_string(), Bytes::new(self.close));
        let close = typeset(files)?;
        let better = close.pages().len() < loose.pages().len() || emptiest(&close) > emptiest(&loose);
        written(if better { &close } else { &loose })
    }
}

/// A handout with a page less full than this is set closer.
const FULL_ENOUGH: f64 = 1.0 / 3.0;

/// How far down the emptiest page its text goes, as a share of the page's height.
fn emptiest(document: &PagedDocument) -> f64 {
    let filled = document.pages().iter().map(|page| {
        let high = page.frame.height();
        // The folio is below this.
        let foot = high * 0.9;
        let lowest = lowest(&page.frame, Abs::zero()).into_iter().filter(|y| *y < foot).fold(Abs::zero(), Abs::max);
        lowest / high
    });
    filled.fold(1.0, f64::min)
}

/// Where texts and pictures of a frame end, down from the head of the page.
fn lowest(frame: &Frame, down: Abs) -> Vec<Abs> {
    let mut all = Vec::new();
    for (at, item) in frame.items() {
        match item {
            FrameItem::Group(g) => all.extend(lowest(&g.frame, down + at.y)),
            FrameItem::Text(_) => all.push(down + at.y),
            FrameItem::Image(_, size, _) => all.push(down + at.y + size.y),
            _ => {}
        }
    }
    all
}

/// Sets a swatch card in the same way.
///
/// # Errors
/// As [`pdf`].
pub fn card_pdf(card: &Card, paper: Paper, type_size: Type) -> Result<Vec<u8>, PrintError> {
    set(data::card_files(card, paper, type_size))
}

/// Sets a bench sheet on two pages, or on a page for each piece: in words that are read from a metre and a half if they fit
/// there, otherwise in two columns of the largest words for arm's length that do. What fits in neither takes more pages.
///
/// # Errors
/// As [`pdf`].
pub fn bench_pdf(bench: &Bench, language: Language, paper: Paper) -> Result<Vec<u8>, PrintError> {
    let set = |points: f64, near: bool| typeset(shared(data::bench_files(bench, language, paper, points, near)));
    let [.., least] = FAR_WORDS;
    if set(least, false)?.pages().len() <= bench.pieces.len().max(2) {
        return written(&largest(&FAR_WORDS, bench.pieces.len().max(2), |points| set(points, false))?);
    }
    written(&largest(&NEAR_WORDS, 2, |points| set(points, true))?)
}

/// Words of a bench sheet, in points: 33 are x-heights of 5 mm, 11 minutes of arc at 1.5 m; 21 are the least.
const FAR_WORDS: [f64; 7] = [33.0, 30.0, 28.0, 26.0, 24.0, 22.0, 21.0];

/// The same at arm's length, 0.6 m: 13 are 11 minutes of arc; 9 are those of the small print of a handout.
const NEAR_WORDS: [f64; 11] = [16.0, 15.0, 14.0, 13.0, 12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0];

/// The sheet in the largest of these words that fits so many pages, otherwise in the smallest.
fn largest(
    words: &[f64],
    most: usize,
    set: impl Fn(f64) -> Result<PagedDocument, PrintError>,
) -> Result<PagedDocument, PrintError> {
    let mut sheet = set(words[0])?;
    for points in &words[1..] {
        if sheet.pages().len() <= most {
            break;
        }
        sheet = set(*points)?;
    }
    Ok(sheet)
}

fn said(errors: Vec<String>) -> PrintError {
    PrintError(errors.join("; "))
}

fn set(files: BTreeMap<String, Vec<u8>>) -> Result<Vec<u8>, PrintError> {
    written(&typeset(shared(files))?)
}

/// Files that can be handed on without copying them.
fn shared(files: BTreeMap<String, Vec<u8>>) -> BTreeMap<String, Bytes> {
    files.into_iter().map(|(name, bytes)| (name, Bytes::new(bytes))).collect()
}

fn typeset(files: BTreeMap<String, Bytes>) -> Result<PagedDocument, PrintError> {
    let world = world::Pages::new(files).ok_or_else(|| PrintError("its template has no name".to_string()))?;
    let Warned { output, .. } = typst::compile::<PagedDocument>(&world);
    output.map_err(|e| said(e.iter().map(|d| d.message.to_string()).collect()))
}

fn written(document: &PagedDocument) -> Result<Vec<u8>, PrintError> {
    let standards = PdfStandards::new(&[PdfStandard::Ua_1]).map_err(|e| PrintError(e.message().to_string()))?;
    let options = PdfOptions { standards, ..Default::default() };
    typst_pdf::pdf(document, &options).map_err(|e| said(e.iter().map(|d| d.message.to_string()).collect()))
}

/// Forgets what the typesetter remembers for its next run; a program that runs for days would keep it all.
pub fn forget() {
    typst::comemo::evict(0);
}
