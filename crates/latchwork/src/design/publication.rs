//! What a pattern says of itself for publication: photograph, level, copyright, terms of use and the like.

use super::Size;
use crate::fact::DesignFact;
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::Written;

/// The author's texts for publication; empty where not given.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Publication {
    /// The photograph.
    pub photo: Option<Photo>,
    /// The skills that it assumes.
    pub level: String,
    /// The size that pictures show, by index.
    pub sample: Option<usize>,
    /// How it is made, in a sentence or two.
    pub construction: String,
    /// The copyright notice.
    pub copyright: String,
    /// The terms of use.
    pub licence: String,
    /// How to reach the author.
    pub contact: String,
    /// Test knitters, and their results.
    pub testers: Vec<String>,
    /// How to block it.
    pub blocking: Vec<String>,
    /// Abbreviations in the author's texts, and their meanings.
    pub abbreviations: Vec<(String, String)>,
}

/// A photograph beside the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// The name of its file.
    pub file: String,
    /// What it shows; may be empty.
    pub shows: String,
    /// Its place in the document.
    pub span: Span,
}

/// Reads the texts for publication.
pub(super) fn publication(r: &mut Reader<'_>, top: &Nodes<'_>, sizes: &[Size]) -> Publication {
    let text = |r: &mut Reader<'_>, name: &str| {
        let node = top.one(name)?;
        r.leaf(node);
        r.text(node)
    };
    let texts = |r: &mut Reader<'_>, name: &str| -> Vec<String> {
        let read = |n| {
            r.leaf(n);
            r.text(n)
        };
        top.all(name).filter_map(read).collect()
    };
    Publication {
        photo: photo(r, top),
        level: text(r, "level").unwrap_or_default(),
        sample: top.one("sample").and_then(|n| {
            r.leaf(n);
            let names: Vec<(&str, usize)> = sizes.iter().enumerate().map(|(i, s)| (s.name.as_str(), i)).collect();
            if names.is_empty() { None } else { r.one_of(n, &names) }
        }),
        construction: text(r, "construction").unwrap_or_default(),
        copyright: text(r, "copyright").unwrap_or_default(),
        licence: text(r, "licence").unwrap_or_default(),
        contact: text(r, "contact").unwrap_or_default(),
        testers: texts(r, "tester"),
        blocking: texts(r, "blocking"),
        abbreviations: abbreviations(r, top),
    }
}

/// Reads the photograph, a file in the document's own folder.
fn photo(r: &mut Reader<'_>, top: &Nodes<'_>) -> Option<Photo> {
    let node = top.one("photo")?;
    r.shape(node, 1, &["shows"], &[], &[]);
    let file = r.text(node)?;
    if file.trim().is_empty() || file.starts_with('.') || file.contains(['/', '\\', ':']) {
        r.error(Notice::error(node.arguments.first().map_or(node.span, |v| v.span), DesignFact::PhotoName));
        return None;
    }
    let shows = match property(node, "shows").map(|v| &v.written) {
        Some(Written::Text(shows)) => shows.clone(),
        _ => String::new(),
    };
    Some(Photo { file, shows, span: node.span })
}

fn abbreviations(r: &mut Reader<'_>, top: &Nodes<'_>) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for node in top.all("abbreviation") {
        r.shape(node, 2, &[], &[], &[]);
        match node.arguments.as_slice() {
            [short, long] => {
                if let (Written::Text(short), Written::Text(long)) = (&short.written, &long.written) {
                    all.push((short.clone(), long.clone()));
                } else {
                    r.error(Notice::error(node.span, DesignFact::WantsAbbreviation));
                }
            }
            _ => r.error(Notice::error(node.span, DesignFact::WantsAbbreviation)),
        }
    }
    all
}
