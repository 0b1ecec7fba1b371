//! Pixels and pages: a handout in, a PDF out. No knitting is decided here.

mod data;
mod world;

pub use data::{jpeg, png};

use std::collections::BTreeMap;

use latchwork::handout::{Card, Handout};
use typst::diag::Warned;
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
}

/// Makes a handout ready to be set.
#[must_use]
pub fn pages(handout: &Handout, paper: Paper, type_size: Type) -> Pages {
    Pages { files: data::files(handout, paper, type_size) }
}

impl Pages {
    /// All that the PDF follows from, in one: where it is the same, so is the PDF.
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
        set(self.files)
    }
}

/// Sets a swatch card in the same way.
///
/// # Errors
/// As [`pdf`].
pub fn card_pdf(card: &Card, paper: Paper, type_size: Type) -> Result<Vec<u8>, PrintError> {
    set(data::card_files(card, paper, type_size))
}

fn set(files: BTreeMap<String, Vec<u8>>) -> Result<Vec<u8>, PrintError> {
    let said = |errors: Vec<String>| PrintError(errors.join("; "));
    let world = world::Pages::new(files).ok_or_else(|| PrintError("its template has no name".to_string()))?;
    let Warned { output, .. } = typst::compile::<PagedDocument>(&world);
    let document = output.map_err(|e| said(e.iter().map(|d| d.message.to_string()).collect()))?;
    let standards = PdfStandards::new(&[PdfStandard::Ua_1]).map_err(|e| PrintError(e.message().to_string()))?;
    let options = PdfOptions { standards, ..Default::default() };
    typst_pdf::pdf(&document, &options).map_err(|e| said(e.iter().map(|d| d.message.to_string()).collect()))
}

/// Forgets what the typesetter remembers for its next run; a program that runs for days would keep it all.
pub fn forget() {
    typst::comemo::evict(0);
}
