//! A line as words with their places.

use std::sync::Arc;

use latchwork_machine::needle::{Side, Slot};

use crate::fabric::{Fabric, find_in};
use crate::notice::Span;
use crate::text::{closing, unquoted};
use crate::vocabulary::SIDES;

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    /// In lower case; a quoted text as written.
    pub(super) text: String,
    pub(super) quoted: bool,
    pub(super) span: Span,
}

/// A line, and how far it has been read.
#[derive(Debug, Clone)]
pub(super) struct NoteLine {
    pub(super) words: Vec<Word>,
    pub(super) at: usize,
    pub(super) span: Span,
    /// Yarns of the head, whose names need no quotation marks.
    pub(super) yarns: Vec<String>,
    /// The fabrics that can be named.
    pub(super) fabrics: Arc<[Arc<Fabric>]>,
}

/// Knitters' abbreviations.
const SHORT: [(&str, &str); 18] = [
    ("sts", "stitches"),
    ("st", "stitch"),
    ("ndls", "needles"),
    ("dec", "decrease"),
    ("inc", "increase"),
    ("k", "knit"),
    ("rc", "counter reads"),
    ("cor", "carriage at the right"),
    ("col", "carriage at the left"),
    ("tension", "stitch size"),
    ("t", "stitch size"),
    ("ss", "stitch size"),
    ("mb", "main bed"),
    ("rb", "ribber"),
    ("3rd", "third"),
    ("4th", "fourth"),
    ("5th", "fifth"),
    ("6th", "sixth"),
];

const NUMBERS: [&str; 13] =
    ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/// The text between quotation marks; the closing one may be missing.
pub(super) fn inner_of(raw: &str) -> String {
    let end = closing(raw.as_bytes(), 1, 0).min(raw.len());
    unquoted(raw.get(1..end).unwrap_or_default())
}

impl NoteLine {
    /// The words of a line that begins at `start`, without a comment after //.
    pub(super) fn new(text: &str, start: usize) -> NoteLine {
        let mut words = Vec::new();
        let mut push = |from: usize, to: usize, quoted: bool| {
            let raw = &text[from..to];
            let inner = if quoted { inner_of(raw) } else { raw.to_lowercase() };
            let span = Span { start: start + from, len: to - from };
            let long = SHORT.iter().find(|s| !quoted && s.0 == inner).map(|s| s.1);
            // T7 is stitch size 7.
            let dialled = inner.strip_prefix('t').filter(|d| !quoted && d.starts_with(|c: char| c.is_ascii_digit()));
            let word = |text: &str| Word { text: text.to_string(), quoted, span };
            match (long, dialled) {
                (Some(long), _) => words.extend(long.split(' ').map(word)),
                (None, Some(d)) => words.extend(["stitch", "size", d].map(word)),
                (None, None) if !raw.is_empty() => words.push(word(&inner)),
                (None, None) => {}
            }
        };
        let mut chars = text.char_indices().peekable();
        let mut begun: Option<usize> = None;
        while let Some((i, c)) = chars.next() {
            let comment = c == '/' && chars.peek().is_some_and(|n| n.1 == '/');
            let alone = matches!(c, ',' | ';' | ':' | '/' | '=');
            if c.is_whitespace() || alone || c == '"' {
                if let Some(b) = begun.take() {
                    push(b, i, false);
                }
            } else if begun.is_none() {
                begun = Some(i);
            }
            if comment {
                break;
            }
            if c == '"' {
                let end = (closing(text.as_bytes(), i + 1, 0) + 1).min(text.len());
                while chars.next_if(|n| n.0 < end).is_some() {}
                push(i, end, true);
            } else if alone {
                push(i, i + c.len_utf8(), false);
            }
        }
        if let Some(b) = begun {
            push(b, text.len(), false);
        }
        if let Some(last) = words.last_mut()
            && !last.quoted
            && last.text.len() > 1
            && last.text.ends_with('.')
            && last.text.chars().rev().nth(1).is_none_or(|c| c != '.')
        {
            last.text.pop();
        }
        let span = match (words.first(), words.last()) {
            (Some(a), Some(b)) => Span { start: a.span.start, len: b.span.start + b.span.len - a.span.start },
            _ => Span { start, len: 0 },
        };
        NoteLine { words, at: 0, span, yarns: Vec::new(), fabrics: Arc::new([]) }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.words.is_empty()
    }

    pub(super) fn done(&self) -> bool {
        self.at >= self.words.len()
    }

    pub(super) fn peek(&self) -> Option<&str> {
        self.words.get(self.at).filter(|w| !w.quoted).map(|w| w.text.as_str())
    }

    /// The place of the current word; at the end of the line, of the whole line.
    pub(super) fn here(&self) -> Span {
        self.words.get(self.at).map_or(self.span, |w| w.span)
    }

    /// Takes these words if they come next.
    pub(super) fn eat(&mut self, words: &str) -> bool {
        let wanted: Vec<&str> = words.split(' ').collect();
        let stands = wanted
            .iter()
            .enumerate()
            .all(|(i, w)| self.words.get(self.at + i).is_some_and(|x| !x.quoted && x.text == *w));
        if stands {
            self.at += wanted.len();
        }
        stands
    }

    /// Takes the first of these that comes next.
    pub(super) fn any(&mut self, words: &[&str]) -> bool {
        words.iter().any(|w| self.eat(w))
    }

    /// A whole number, in figures or, if small, as a word.
    pub(super) fn number(&mut self) -> Option<u32> {
        let word = self.peek()?;
        let n = match word.parse() {
            Ok(n) => n,
            Err(_) => u32::try_from(NUMBERS.iter().position(|w| *w == word).filter(|n| *n > 0)?).ok()?,
        };
        self.at += 1;
        Some(n)
    }

    /// An ordinal, as in every second, third or fourth row.
    pub(super) fn ordinal(&mut self) -> Option<u32> {
        let known = ["second", "third", "fourth", "fifth", "sixth"];
        let word = self.peek()?;
        let n = match known.iter().position(|w| *w == word) {
            Some(i) => u32::try_from(i + 2).ok()?,
            None => word.strip_suffix("th").or_else(|| word.strip_suffix("nd"))?.parse().ok()?,
        };
        self.at += 1;
        Some(n)
    }

    /// A number of grams: 250 g, 250g.
    pub(super) fn grams(&mut self) -> Option<u32> {
        let word = self.peek()?;
        let joined = word.strip_suffix('g').and_then(|n| n.parse().ok());
        if let Some(n) = joined {
            self.at += 1;
            return Some(n);
        }
        let before = self.at;
        let n = self.number()?;
        if self.eat("g") || self.eat("grams") {
            return Some(n);
        }
        self.at = before;
        None
    }

    /// A stitch size in thirds: 4, 3 1/3, 3⅓, 3.33.
    pub(super) fn dial(&mut self) -> Option<u8> {
        let word = self.peek()?.to_string();
        let (figure, part) = match word.chars().next_back()? {
            '⅓' => (word.trim_end_matches('⅓'), 1),
            '⅔' => (word.trim_end_matches('⅔'), 2),
            _ => match word.split_once('.') {
                Some((w, "3" | "33")) => (w, 1),
                Some((w, "6" | "66" | "67")) => (w, 2),
                Some(_) => return None,
                None => (word.as_str(), 0),
            },
        };
        let whole: u8 = figure.parse().ok().filter(|n| *n <= 10)?;
        if self.words.get(self.at + 1).is_some_and(|w| w.text == "1")
            && self.words.get(self.at + 3).is_some_and(|w| w.text == "2")
        {
            return None;
        }
        self.at += 1;
        let part = match part {
            0 if self.eat("1 / 3") => 1,
            0 if self.eat("2 / 3") => 2,
            p => p,
        };
        Some(whole * 3 + part)
    }

    pub(super) fn side(&mut self) -> Option<Side> {
        let word = self.peek()?;
        let side = SIDES.iter().find(|s| s.0 == word)?.1;
        self.at += 1;
        Some(side)
    }

    pub(super) fn slot(&mut self) -> Option<Slot> {
        let slot = slot(self.peek()?)?;
        self.at += 1;
        Some(slot)
    }

    /// The fabric whose name comes next, the longest that fits.
    pub(super) fn fabric(&mut self) -> Option<Arc<Fabric>> {
        for n in (1..=5).rev() {
            let Some(words) = self.words.get(self.at..self.at + n) else { continue };
            if words.iter().any(|w| w.quoted) {
                continue;
            }
            let name = words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
            if let Some(f) = find_in(&self.fabrics, &name).map(Arc::clone) {
                self.at += n;
                return Some(f);
            }
        }
        None
    }

    /// A yarn of the head, by its name there.
    pub(super) fn known_yarn(&mut self) -> Option<String> {
        let found = self.yarns.iter().find(|name| {
            let words: Vec<String> = name.to_lowercase().split_whitespace().map(str::to_string).collect();
            words.iter().enumerate().all(|(i, w)| self.words.get(self.at + i).is_some_and(|x| x.text == *w))
        })?;
        self.at += found.split_whitespace().count();
        Some(found.clone())
    }

    /// A yarn: a quoted text, or one plain word.
    pub(super) fn yarn(&mut self) -> Option<String> {
        if let Some(known) = self.known_yarn() {
            return Some(known);
        }
        if self.eat("waste yarn") {
            return Some("waste yarn".to_string());
        }
        let word = self.words.get(self.at)?;
        if !word.quoted && !word.text.chars().all(|c| c.is_alphanumeric() || c == '-') {
            return None;
        }
        self.at += 1;
        Some(word.text.clone())
    }
}

/// A needle's number: L3, R12.
pub(super) fn slot(word: &str) -> Option<Slot> {
    let n = |d: &str| d.parse::<i16>().ok().filter(|n| *n > 0 && *n < 1000);
    match word.split_at_checked(1)? {
        ("l", d) => n(d).map(|n| Slot(-n)),
        ("r", d) => n(d).map(|n| Slot(n - 1)),
        _ => None,
    }
}
