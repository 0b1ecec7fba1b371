//! A plan in sentences, one line for each thing a knitter does between two looks at the counter. The words come from the
//! steps alone; a label names the stretch, and the carriage settings are always spelled out. Sentences have few forms: a
//! reader that knows only those gets the steps back.

mod say;
mod stand;
mod passes;
mod stretch;
mod short;
mod chart;
mod repeat;
mod hands;
mod endings;
mod list;
mod merge;

use latchwork_machine::needle::{Bed, Needle, Side, Slot};

use crate::units::Language;
pub(crate) use crate::wording::capital;
use crate::wording::{MARKS, american};

pub(crate) use chart::letters;
pub(crate) use list::{in_order, needles, numbers};
pub use merge::{Merged, ShapingTable, merge};
pub(crate) use say::yarn_name;
pub use say::{Given, Label, say};

/// A piece of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Token {
    /// Words common to all sizes.
    Text(String),
    /// The same in bold: what to do.
    Strong(String),
    /// A figure that may differ between sizes.
    Value(String),
    /// The printed number of a step: its line in its size, and that number as printed for one size.
    Step(usize, String),
}

impl Token {
    /// Its text, bold or not.
    #[must_use]
    pub fn text(&self) -> &str {
        match self {
            Token::Text(s) | Token::Strong(s) | Token::Value(s) | Token::Step(_, s) => s,
        }
    }
}

/// The counter reading at a shaping, the side of the carriage, and the stitches after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShapingRow {
    /// The counter.
    pub counter: u32,
    /// The carriage.
    pub side: Side,
    /// Stitches on both beds after it.
    pub stitches: u32,
    /// The weight from then on, if it changes: grams, and whether the comb still hangs.
    pub hangs: Option<(u32, bool)>,
}

/// One line of instructions, in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instruction {
    /// The part of the piece, by origin number.
    pub part: u32,
    /// The sentence.
    pub tokens: Vec<Token>,
    /// The counter after it; none where it does not matter.
    pub counter: Option<u32>,
    /// Where the carriage is after it.
    pub side: Side,
    /// Its shapings.
    pub shapings: Vec<ShapingRow>,
    /// The steps of the plan that it covers.
    pub steps: std::ops::Range<usize>,
    /// Whether it repeats earlier lines, or belongs to a line that does.
    pub repeat: bool,
}

impl Instruction {
    /// The sentence as plain text.
    #[must_use]
    pub fn text(&self) -> String {
        self.tokens.iter().map(Token::text).collect()
    }
}

/// A sentence being built: words of the catalogue, with names and figures between them.
#[derive(Debug)]
pub(crate) struct Sentence {
    pub(crate) tokens: Vec<Token>,
    language: Language,
}

impl Sentence {
    pub(crate) fn new(language: Language) -> Sentence {
        Sentence { tokens: Vec::new(), language }
    }

    fn of_catalogue(&self, words: &'static str) -> String {
        if self.language == Language::English || !words.contains(char::is_alphabetic) {
            return words.to_string();
        }
        if self.language == Language::American {
            return american(words);
        }
        // The spaces at either end separate it from its neighbours.
        let core = words.trim();
        let (before, after) = words.split_at(words.len() - words.trim_start().len());
        format!("{before}{}{core}{}{}", MARKS[0], MARKS[1], &after[core.len()..])
    }

    /// Words of the catalogue.
    pub(crate) fn text(&mut self, words: &'static str) -> &mut Self {
        self.tokens.push(Token::Text(self.of_catalogue(words)));
        self
    }

    /// The same in bold.
    pub(crate) fn strong(&mut self, words: &'static str) -> &mut Self {
        self.tokens.push(Token::Strong(self.of_catalogue(words)));
        self
    }

    /// A name, or text already worded.
    pub(crate) fn name(&mut self, name: impl Into<String>) -> &mut Self {
        self.tokens.push(Token::Text(name.into()));
        self
    }

    /// The same in bold.
    pub(crate) fn strong_name(&mut self, name: impl Into<String>) -> &mut Self {
        self.tokens.push(Token::Strong(name.into()));
        self
    }

    /// The number of a line of the same size.
    pub(crate) fn step(&mut self, line: usize) -> &mut Self {
        self.tokens.push(Token::Step(line, (line + 1).to_string()));
        self
    }

    /// Needles bed by bed, each bed in the order given: main bed L3, R1 and ribber R2.
    pub(crate) fn needles(&mut self, all: &[Needle]) -> &mut Self {
        let of = |bed: Bed| all.iter().filter(|n| n.bed == bed).copied().collect::<Vec<Needle>>();
        let both = [of(Bed::Main), of(Bed::Ribber)];
        for (i, run) in both.iter().filter(|run| !run.is_empty()).enumerate() {
            self.text(if i == 0 { "" } else { " and " }).run(run);
        }
        self
    }

    /// Needles in an order that may change beds: runs on one bed, joined by "then".
    pub(crate) fn in_order(&mut self, all: &[Needle]) -> &mut Self {
        for (i, run) in all.chunk_by(|a, b| a.bed == b.bed).enumerate() {
            self.text(if i == 0 { "" } else { " then " }).run(run);
        }
        self
    }

    /// Needles of one bed; their numbers may differ between sizes.
    fn run(&mut self, run: &[Needle]) {
        let slots: Vec<Slot> = run.iter().map(|n| n.slot).collect();
        self.text(if run.first().is_some_and(|n| n.bed == Bed::Ribber) { "ribber " } else { "main bed " });
        let numbers = list::slots(&slots, self.language);
        self.value(numbers);
    }

    pub(crate) fn value(&mut self, v: impl ToString) -> &mut Self {
        self.tokens.push(Token::Value(v.to_string()));
        self
    }
}

/// Leaves one space between sentences, none before the first or after the last.
fn tidy(tokens: &mut Vec<Token>) {
    let (mut open, mut stop) = (true, false);
    for t in tokens.iter_mut() {
        if let Token::Text(text) = t {
            if open {
                *text = text.trim_start().to_string();
            }
            *text = text.replace("  ", " ");
        }
        let (Token::Text(text) | Token::Strong(text) | Token::Value(text) | Token::Step(_, text)) = t;
        if stop && text.starts_with(char::is_alphanumeric) {
            text.insert(0, ' ');
        }
        stop = text.ends_with('.') || (stop && text.is_empty());
        open = text.ends_with(' ') || (open && text.is_empty());
    }
    tokens.retain(|t| !matches!(t, Token::Text(text) if text.is_empty()));
    if let Some(Token::Text(last)) = tokens.last_mut() {
        *last = last.trim_end().to_string();
    }
}
