//! Findings in sentences: the one room that words facts. English has a folder; a fact without a sentence does not compile.
//! Rooms above word their own sentences with `say!`, which marks each for a second language.

mod english;

use std::fmt::{Display, Formatter, UpperHex};

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::{Bed, Pitch, Side};
use latchwork_machine::steps::Setting;

use crate::design::Design;
use crate::fact::{
    ClashingWish, Craft, Fact, HungEdge, HungKind, NoGauge, PartName, PieceName, Rewrite, Source, Stands,
};
use crate::fit::{FitLine, Measure, SewnMeasure, Worth};
use crate::measure::{Basis, Sex, State};
use crate::notice::Notice;

pub use crate::units::Language;

/// The marks of [`Language::Marked`].
pub const MARKS: [char; 2] = ['⟦', '⟧'];

/// A finding in sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What is wrong.
    pub message: String,
    /// Why it matters; may be empty.
    pub why: String,
    /// What would work.
    pub hints: Vec<String>,
}

impl Told {
    fn new(message: String) -> Told {
        Told { message, why: String::new(), hints: Vec::new() }
    }

    fn because(mut self, why: String) -> Told {
        self.why = why;
        self
    }

    fn hint(mut self, hint: String) -> Told {
        self.hints.push(hint);
        self
    }
}

impl Notice {
    /// The finding in sentences.
    #[must_use]
    pub fn told(&self, language: Language) -> Told {
        told(&self.fact, language)
    }
}

/// The text with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + chars.as_str())
}

/// A fact in sentences.
#[must_use]
pub fn told(fact: &Fact, language: Language) -> Told {
    english::told(fact, language)
}

/// What a change to the document does, in words.
#[must_use]
pub fn done(change: &Rewrite, language: Language) -> String {
    english::done(change, language)
}

/// A fault found by the judge in sentences, without a design; `tucks`: the most tucks that the machine takes.
#[must_use]
pub fn fault(fault: &Fault, tucks: u32, language: Language) -> Told {
    english::fault(fault, tucks, language)
}

/// The sentence of a craft rule.
#[must_use]
pub fn craft(rule: Craft, language: Language) -> Told {
    english::craft(rule, language)
}

/// Where the limit of a judge's rule comes from.
#[must_use]
pub fn source(source: Source, language: Language) -> String {
    english::of_judge(source, language)
}

/// Where a craft rule comes from.
#[must_use]
pub fn craft_source(rule: Craft, language: Language) -> String {
    english::of_craft(rule, language)
}

/// A side of the machine.
#[must_use]
pub fn side(side: Side, language: Language) -> String {
    english::side(side, language)
}

/// A bed.
#[must_use]
pub fn bed(bed: Bed, language: Language) -> String {
    english::bed(bed, language)
}

/// The pitch between the beds.
#[must_use]
pub fn pitch(pitch: Pitch, language: Language) -> String {
    english::pitch(pitch, language)
}

/// What a bed does in a pass ("the main bed knits"), or both ("both beds knit"): also the name of the setting.
#[must_use]
pub fn sets(setting: Setting, both: bool, language: Language) -> String {
    english::sets(setting, both, language)
}

/// Which needles are in work, with the pitch.
#[must_use]
pub fn stands(stands: Stands, language: Language) -> String {
    english::stands(stands, language)
}

/// The name of a piece.
#[must_use]
pub fn piece(name: &PieceName, language: Language) -> String {
    english::piece(name, language)
}

/// The name of a part of a piece.
#[must_use]
pub fn part(name: &PartName, language: Language) -> String {
    english::part(name, language)
}

/// An author's target, within a sentence.
#[must_use]
pub fn wish(wish: &ClashingWish, language: Language) -> String {
    english::wish(wish, language)
}

/// Why there is no gauge.
#[must_use]
pub fn no_gauge(why: &NoGauge, language: Language) -> String {
    english::no_gauge(why, language)
}

/// The weight from a row of a shaping on.
#[must_use]
pub fn hanging(grams: u32, comb: bool, language: Language) -> String {
    english::hanging(grams, comb, language)
}

/// The number of a row in a sequence: 1st, 2nd, 3rd, 4th.
#[must_use]
pub fn ordinal(n: u32, language: Language) -> String {
    english::ordinal(n, language)
}

/// Texts on every printed sheet, by name: titles, column heads, and how to read them.
#[must_use]
pub fn printed(language: Language) -> Vec<(&'static str, String)> {
    english::printed(language)
}

/// Where a figure comes from.
#[must_use]
pub fn basis(basis: Basis, language: Language) -> String {
    english::basis(basis, language)
}

/// How a size fits a person.
#[must_use]
pub fn worth(worth: Worth, language: Language) -> String {
    english::worth(worth, language)
}

/// Women or men.
#[must_use]
pub fn sex(sex: Sex, language: Language) -> String {
    english::sex(sex, language)
}

/// The state that a swatch was measured in.
#[must_use]
pub fn state(state: State, language: Language) -> String {
    english::state(state, language)
}

/// The name of a measure: its stretch.
#[must_use]
pub fn measure(measure: &Measure, design: &Design, language: Language) -> String {
    english::measure(measure, design, language)
}

/// The name of a line of the fit sheet.
#[must_use]
pub fn fit_line(line: &FitLine, design: &Design, language: Language) -> String {
    english::fit_line(line, design, language)
}

/// The name of a measure of the sewn article.
#[must_use]
pub fn sewn(measure: &SewnMeasure, language: Language) -> String {
    english::sewn(measure, language)
}

/// A figure or a name within a sentence, outside the marks.
pub(crate) struct Unmarked<T>(pub(crate) T);

impl<T: UpperHex> UpperHex for Unmarked<T> {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str("⟧")?;
        self.0.fmt(f)?;
        f.write_str("⟦")
    }
}

impl<T: Display> Display for Unmarked<T> {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str("⟧")?;
        self.0.fmt(f)?;
        f.write_str("⟦")
    }
}

/// A figure or a name within a sentence to be put into American: it stays as it is.
pub(crate) struct Named<T>(pub(crate) T);

impl<T: UpperHex> UpperHex for Named<T> {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str("\u{3}")?;
        self.0.fmt(f)?;
        f.write_str("\u{2}")
    }
}

impl<T: Display> Display for Named<T> {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str("\u{3}")?;
        self.0.fmt(f)?;
        f.write_str("\u{2}")
    }
}

/// A sentence in American. Text that is not of the catalogue lies between U+0003 and U+0002; sentences within it are
/// already American.
pub(crate) fn american(sentence: &str) -> String {
    let mut all = String::with_capacity(sentence.len());
    for part in sentence.split('\u{2}') {
        let (words, named) = part.split_once('\u{3}').unwrap_or((part, ""));
        all.push_str(&english::american(words));
        all.push_str(named);
    }
    all
}

/// A figure of a sentence: the variable of its name, or the value given.
macro_rules! figure {
    ($figure:ident) => {
        $figure
    };
    ($figure:ident, $value:expr) => {
        $value
    };
}
pub(crate) use figure;

/// A sentence of the catalogue: a template and the figures that it names.
macro_rules! say {
    ($language:expr, $template:literal $(, $figure:ident $(= $value:expr)?)* $(,)?) => {
        match $language {
            $crate::units::Language::English => {
                format!($template $(, $figure = $crate::wording::figure!($figure $(, $value)?))*)
            }
            $crate::units::Language::American => $crate::wording::american(&format!(
                concat!("\u{2}", $template, "\u{3}")
                $(, $figure = $crate::wording::Named(&$crate::wording::figure!($figure $(, $value)?)))*
            )),
            $crate::units::Language::Marked => format!(
                concat!("⟦", $template, "⟧")
                $(, $figure = $crate::wording::Unmarked(&$crate::wording::figure!($figure $(, $value)?)))*
            ),
        }
    };
}
pub(crate) use say;

/// An edge of another piece, as it is hung on the needles.
#[must_use]
pub fn hung_edge(h: &HungEdge, t: Language) -> String {
    let name = &hung_piece(h, t);
    match h.edge {
        HungKind::Side(Side::Left) => say!(t, "the left edge of the {name}", name),
        HungKind::Side(Side::Right) => say!(t, "the right edge of the {name}", name),
        HungKind::CastOff(Side::Left) => say!(t, "the stitches cast off at the left edge of the {name}", name),
        HungKind::CastOff(Side::Right) => say!(t, "the stitches cast off at the right edge of the {name}", name),
        HungKind::CastOn => say!(t, "the cast-on edge of the {name}", name),
        HungKind::Round => say!(t, "the open end of the {name}", name),
        HungKind::Ending => say!(t, "the last row of the {name}", name),
        HungKind::Shoulder(Side::Left) => say!(t, "the left shoulder of the {name}", name),
        HungKind::Shoulder(Side::Right) => say!(t, "the right shoulder of the {name}", name),
        HungKind::NeckSide(Side::Left) => say!(t, "the left side of the neck of the {name}", name),
        HungKind::NeckSide(Side::Right) => say!(t, "the right side of the neck of the {name}", name),
        HungKind::NeckMiddle => say!(t, "the middle of the neck of the {name}", name),
    }
}

/// The piece whose edge is hung, and the sections of it if it is not hung whole.
#[must_use]
pub fn hung_piece(h: &HungEdge, t: Language) -> String {
    let (own, names) = (&h.piece.own, h.along.join(&say!(t, " and ")));
    let name = match h.piece.of_pair {
        None => own.clone(),
        Some(Side::Left) => say!(t, "left {own}", own),
        Some(Side::Right) => say!(t, "right {own}", own),
    };
    if names.is_empty() { name } else { say!(t, "{name} along {names}", name, names) }
}
