//! Findings of a stage: place, level, and a change that would fix it.

use crate::fact::{Fact, Rewrite};

/// A range of the source text, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// Where it begins.
    pub start: usize,
    /// Its length.
    pub len: usize,
}

/// How serious a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Good to know.
    Note,
    /// It knits and prints, but needs a look.
    Warning,
    /// Nothing is printed until it is fixed.
    Error,
}

/// One finding for the knitter.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    /// How serious a finding is.
    pub level: Level,
    /// Its place in the source text, if it has one.
    pub span: Option<Span>,
    /// The fact.
    pub fact: Fact,
    /// A change to the document that alone would fix it.
    pub change: Option<Mend>,
}

/// A replacement in the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replace {
    /// The text replaced; empty for an insertion.
    pub span: Span,
    /// The new text.
    pub text: String,
}

/// A change to the document that fixes a finding.
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

    /// A note on a place in the text.
    #[must_use]
    pub fn note(span: Span, fact: impl Into<Fact>) -> Notice {
        Notice { level: Level::Note, ..Notice::error(span, fact) }
    }

    /// The rule of the rule book that found it, if any.
    #[must_use]
    pub fn rule(&self) -> Option<&'static str> {
        self.fact.rule()
    }

    /// Offers a change that fixes it: `text` in place of `span`.
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
    /// Adds a finding.
    pub fn push(&mut self, notice: Notice) {
        self.0.push(notice);
    }

    /// Whether any of them is an error.
    #[must_use]
    pub fn has_error(&self) -> bool {
        self.0.iter().any(|n| n.level == Level::Error)
    }
}

/// The document with every change that does not touch another; the others wait for the next reading.
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

/// The word of `known` nearest to `word`, if near enough to be meant.
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

/// Edit distance in characters; words are cut at 40, which keeps a hostile document cheap.
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
