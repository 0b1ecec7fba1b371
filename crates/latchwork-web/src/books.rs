//! The swatches that designs share: what can be read of them, and what cannot.

use std::path::PathBuf;
use std::sync::Arc;

use latchwork::design::{Shelf, book_from_text_with};
use latchwork::fabric::{built_in, from_text as fabrics_from_text};
use latchwork::fact::{Fact, ShelfFact};
use latchwork::notice::{Level, Notice, Notices, Span};
use latchwork::text::{self, Node, Written};

use crate::folder::{Folder, text_of};
use crate::said::language;
use crate::shared::unpoisoned;
use crate::work::base_of;

/// The shared books of swatches.
#[derive(Debug, Clone, Default)]
pub(crate) struct Books {
    /// Those that can be read, by their path in the folder.
    pub(crate) shelf: Shelf,
    /// Those that cannot.
    pub(crate) broken: Vec<Broken>,
    /// A name of all that was read.
    pub(crate) key: String,
    /// What was read: files by their path in the folder, each with its text if it is one.
    files: Vec<(String, Option<String>)>,
}

/// A book that cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Broken {
    /// Its path in the folder.
    file: String,
    /// The yarns named in it; none where it is not text at all.
    yarns: Vec<String>,
    /// The line of its first fault, and the fault.
    first: Option<(usize, Fact)>,
}

/// The names of the yarns at the top of a text, as far as it can be read.
fn yarns(text: &str) -> Vec<String> {
    let name = |n: &Node| match &n.arguments.first()?.written {
        Written::Text(t) => Some(t.clone()),
        _ => None,
    };
    text::read(text, &mut Notices::default()).nodes.iter().filter(|n| n.name == "yarn").filter_map(name).collect()
}

impl Broken {
    fn new(file: &str, text: Option<&str>, found: &Notices) -> Broken {
        let file = file.to_string();
        let (Some(text), Some(first)) = (text, found.0.iter().find(|n| n.level == Level::Error)) else {
            return Broken { file, yarns: Vec::new(), first: None };
        };
        let line = first.span.and_then(|s| text.get(..s.start)).map_or(1, |t| t.matches('\n').count() + 1);
        Broken { file, yarns: yarns(text), first: Some((line, first.fact.clone())) }
    }

    /// What is to be reported of it where a design uses one of its yarns, or could.
    pub(crate) fn told(&self, design: &str, level: Level) -> Option<Notice> {
        let ours = yarns(design);
        let meant = self.yarns.is_empty() || self.yarns.iter().any(|y| ours.iter().any(|o| o.eq_ignore_ascii_case(y)));
        meant.then(|| {
            let fact = ShelfFact::FileUnread {
                file: self.file.clone(),
                fabrics: self.file.starts_with("fabrics/"),
                first: self.first.clone().map(|(line, fact)| (line, Box::new(fact))),
            };
            Notice { level, span: None, ..Notice::error(Span::default(), fact) }
        })
    }
}

impl Books {
    fn of(files: Vec<(String, Option<String>)>) -> Books {
        let mut books = Books { key: base_of(&format!("{files:?}")), ..Books::default() };
        books.shelf.language = language();
        for (file, text) in &files {
            let mut found = Notices::default();
            let readable = match text {
                Some(text) if file.starts_with("fabrics/") => {
                    let known: Vec<_> = built_in().iter().chain(&books.shelf.fabrics).cloned().collect();
                    books.shelf.fabrics.extend(fabrics_from_text(text, &known, file, &mut found));
                    !found.has_error()
                }
                Some(text) => {
                    let (book, told) = book_from_text_with(text, &books.shelf.fabrics);
                    found = told;
                    book.map(|book| books.shelf.books.push((file.clone(), book))).is_some()
                }
                None => false,
            };
            if !readable {
                books.broken.push(Broken::new(file, text.as_deref(), &found));
            }
        }
        books.files = files;
        books
    }
}

impl Folder {
    /// The files of the shared book, by their path in the folder.
    fn book_files(&self) -> Vec<(String, PathBuf)> {
        self.files_in("swatches")
    }

    /// The documents of a folder in this one, by their path in it.
    fn files_in(&self, inner: &str) -> Vec<(String, PathBuf)> {
        let Ok(entries) = std::fs::read_dir(self.root.join(inner)) else { return Vec::new() };
        let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
        paths.retain(|p| p.extension().is_some_and(|e| e == "kdl"));
        paths.sort();
        let named = |p: PathBuf| Some((format!("{inner}/{}", p.file_name()?.to_str()?), p));
        paths.into_iter().filter_map(named).collect()
    }

    /// The shared book of swatches, with the author's own fabrics. Read again only when one of its files has changed.
    pub(crate) fn books(&self) -> Arc<Books> {
        let files = ["fabrics", "swatches"].into_iter().flat_map(|inner| self.files_in(inner));
        let files: Vec<(String, Option<String>)> = files.map(|(file, path)| (file, text_of(&path).ok())).collect();
        let mut last = unpoisoned(&self.books);
        match last.as_ref().filter(|b| b.files == files) {
            Some(known) => known.clone(),
            None => last.insert(Arc::new(Books::of(files))).clone(),
        }
    }

    /// The text of a file of the shared book.
    pub(crate) fn book_text(&self, file: &str) -> Option<String> {
        self.book_files().into_iter().find(|f| f.0 == file).and_then(|f| text_of(&f.1).ok())
    }
}
