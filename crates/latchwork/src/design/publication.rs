//! What a pattern says of itself when it is handed on: its photograph, its level, whose it is and what may be done with it.

use super::Size;
use crate::fact::DesignFact;
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::Written;

/// The words for it, all as the author gave them; what was not given is empty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Publication {
    /// The photograph.
    pub photo: Option<Photo>,
    /// What one must have done before.
    pub level: String,
    /// The size that pictures show, by its place among the sizes.
    pub sample: Option<usize>,
    /// How the thing is made, in a sentence or two.
    pub construction: String,
    /// Whose it is.
    pub copyright: String,
    /// What may be done with it.
    pub licence: String,
    /// Where the author can be reached.
    pub contact: String,
    /// Who knitted it before, and how it came out.
    pub testers: Vec<String>,
    /// How it is dried to its measures.
    pub blocking: Vec<String>,
    /// Abbreviations of the author's own notes, and what they stand for.
    pub abbreviations: Vec<(String, String)>,
}

/// A photograph beside the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// The name of its file.
    pub file: String,
    /// What it shows; may be empty.
    pub shows: String,
    /// Where it is named.
    pub span: Span,
}

/// Reads it.
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

/// A photograph lies beside its document, so that both go together.
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
