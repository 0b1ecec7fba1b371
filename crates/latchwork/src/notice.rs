//! What a stage has found: where, how bad it is, and a change that would mend it.

use crate::fact::{Fact, Rewrite};

/// A stretch of the source text, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// Where it begins.
    pub start: usize,
    /// How long it is.
    pub len: usize,
}

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Good to know.
    Note,
    /// It works, but look at it.
    Warning,
    /// Nothing is printed while it stands.
    Error,
}

/// One thing to tell the knitter.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    /// How bad it is.
    pub level: Level,
    /// Where in the source text, if anywhere.
    pub span: Option<Span>,
    /// What is so.
    pub fact: Fact,
    /// A change of the document that would mend it by itself.
    pub change: Option<Mend>,
}

/// A change of the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replace {
    /// What is replaced; nothing, where something is put in.
    pub span: Span,
    /// By what.
    pub text: String,
}

/// A change of the document that mends something.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// The change.
    pub put: Replace,
    /// What it does.
    pub does: Rewrite,
}

impl Notice {
    /// An error at a place in the text.
    #[must_use]
    pub fn error(span: Span, fact: impl Into<Fact>) -> Notice {
        Notice { level: Level::Error, span: Some(span), fact: fact.into(), change: None }
    }

    /// A warning at a place in the text.
    #[must_use]
    pub fn warning(span: Span, fact: impl Into<Fact>) -> Notice {
        Notice { level: Level::Warning, ..Notice::error(span, fact) }
    }

    /// Something good to know of a place in the text.
    #[must_use]
    pub fn note(span: Span, fact: impl Into<Fact>) -> Notice {
        Notice { level: Level::Note, ..Notice::error(span, fact) }
    }

    /// The rule that found it, if it is one of the rule book.
    #[must_use]
    pub fn rule(&self) -> Option<&'static str> {
        self.fact.rule()
    }

    /// Offers a change that mends it: `text` in place of `span`.
    #[must_use]
    pub fn mend(mut self, span: Span, text: impl Into<String>, does: Rewrite) -> Notice {
        self.change = Some(Mend { put: Replace { span, text: text.into() }, does });
        self
    }
}

/// The sink that stages write to.
#[derive(Debug, Clone, Default)]
pub struct Notices(pub Vec<Notice>);

impl Notices {
    /// Adds one.
    pub fn push(&mut self, notice: Notice) {
        self.0.push(notice);
    }

    /// Whether any of them is an error.
    #[must_use]
    pub fn has_error(&self) -> bool {
        self.0.iter().any(|n| n.level == Level::Error)
    }
}

/// The document with every change made that does not touch another; later ones wait for the next reading.
#[must_use]
pub fn mended(source: &str, changes: &[Replace]) -> String {
    let mut sorted: Vec<&Replace> = changes.iter().collect();
    sorted.sort_by_key(|c| (c.span.start, c.span.len));
    let mut text = String::new();
    let mut at = 0;
    let mut last: Option<&Replace> = None;
    for c in sorted {
        let end = c.span.start + c.span.len;
        let fits = c.span.start >= at && source.is_char_boundary(c.span.start) && source.is_char_boundary(end);
        if !fits || end > source.len() || last.is_some_and(|l| l.span == c.span) {
            continue;
        }
        text.push_str(&source[at..c.span.start]);
        text.push_str(&c.text);
        at = end;
        last = Some(c);
    }
    text.push_str(&source[at..]);
    text
}

/// The word of `known` nearest to `word`, if one is near enough to be meant.
#[must_use]
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let fold = |w: &str| w.to_lowercase().replace(['-', '_', ' '], "");
    let word = fold(word);
    known
        .into_iter()
        .map(|k| (distance(&word, &fold(k)), k))
        .filter(|(d, k)| *d <= 1 + k.len() / 3)
        .min_by_key(|(d, _)| *d)
        .map(|(_, k)| k)
}

/// Edit distance in characters; words are cut at 40 so that a hostile document costs little.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().take(40).collect(), b.chars().take(40).collect());
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.iter().enumerate() {
        let mut left_up = i;
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let up = row[j + 1];
            row[j + 1] = (left_up + usize::from(ca != cb)).min(up + 1).min(row[j] + 1);
            left_up = up;
        }
    }
    row[b.len()]
}
