//! Fields of forms, and what is said in place at the one that is at fault.

use maud::{Markup, html};

use crate::said::{t, tf};

/// What a form was answered with, where it was not done as asked.
#[derive(Debug, Clone, Default)]
pub(crate) struct Told {
    /// The words.
    pub(crate) text: String,
    /// The field that they are about, by its id.
    pub(crate) at: Option<String>,
    /// What was typed in its form, by the fields' ids, so that nothing need be typed again.
    pub(crate) typed: Vec<(String, String)>,
    /// A swatch that is wanted first.
    pub(crate) swatch: Option<Box<Wanted>>,
}

/// A swatch wanted for a stretch.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    /// Of this fabric.
    pub(crate) fabric: String,
    /// In this yarn.
    pub(crate) yarn: String,
    /// For this piece and stretch.
    pub(crate) of: (String, String),
}

impl From<String> for Told {
    fn from(text: String) -> Told {
        Told { text, ..Told::default() }
    }
}

impl Told {
    /// The same, said of a field.
    pub(crate) fn at(self, id: impl Into<String>) -> Told {
        Told { at: Some(id.into()), ..self }
    }

    /// The same, with what was typed.
    pub(crate) fn typed(self, typed: Vec<(String, String)>) -> Told {
        Told { typed, ..self }
    }
}

/// What was typed in a field, if its form came back.
pub(super) fn typed<'a>(told: Option<&'a Told>, id: &str) -> Option<&'a str> {
    told?.typed.iter().find(|x| x.0 == id).map(|x| x.1.as_str())
}

/// A field for a figure or a few words.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Entry<'a> {
    pub(super) id: &'a str,
    pub(super) name: &'a str,
    /// What keys a touch screen shows.
    pub(super) mode: Option<&'a str>,
    pub(super) value: &'a str,
    pub(super) pattern: Option<&'a str>,
    pub(super) placeholder: Option<&'a str>,
    pub(super) wide: bool,
    /// Whether it may be left empty.
    pub(super) optional: bool,
}

/// What is said of no field in a part of a page is said above that part.
pub(super) fn told_above(part: &Markup, told: Option<&Told>) -> Markup {
    let in_place = part.0.contains(" id=\"wrong\"");
    html! { @if let Some(told) = told.filter(|_| !in_place) { p.told role="alert" { (told.text) } } }
}

/// The words said of a field, where it is the one at fault.
pub(super) fn wrong(id: &str, told: Option<&Told>) -> Markup {
    html! { @if let Some(told) = said_of(id, told) { p.wrong id="wrong" role="alert" { (told.text) } } }
}

fn said_of<'a>(id: &str, told: Option<&'a Told>) -> Option<&'a Told> {
    told.filter(|t| t.at.as_deref() == Some(id))
}

/// A field, with what is said of it.
pub(super) fn entry(e: Entry<'_>, told: Option<&Told>) -> Markup {
    let bad = said_of(e.id, told).is_some();
    let value = typed(told, e.id).unwrap_or(e.value);
    html! {
        input.wide[e.wide] id=(e.id) name=(e.name) inputmode=[e.mode] value=[(!value.is_empty()).then_some(value)] required[!e.optional] pattern=[e.pattern] placeholder=[e.placeholder] maxlength=[e.wide.then_some("60")]
            autofocus[bad] aria-invalid=[bad.then_some("true")] aria-describedby=[bad.then_some("wrong")];
        (wrong(e.id, told))
    }
}

/// A word with what it belongs to: its place shows this, and those who do not see hear it.
pub(super) fn of(word: &str, whose: &str) -> Markup {
    html! { (word) span.vh { " " (tf("of-whose", &[("whose", whose)])) } }
}

/// A figure between two limits, as typed into the field of this id and label.
pub(crate) fn figure(id: &str, label: &str, text: &str, (least, most): (f64, f64), such: &str) -> Result<f64, Told> {
    let read = text.trim().replace(',', ".").parse::<f64>().ok();
    read.filter(|v| v.is_finite() && (least..=most).contains(v))
        .ok_or_else(|| refused("wrong-figure", id, label, text, (&least.to_string(), &most.to_string()), such))
}

/// A whole number between two limits.
pub(crate) fn whole(id: &str, label: &str, text: &str, (least, most): (u32, u32), such: &str) -> Result<u32, Told> {
    let read = text.trim().parse::<u32>().ok().filter(|v| (least..=most).contains(v));
    read.ok_or_else(|| refused("wrong-whole", id, label, text, (&least.to_string(), &most.to_string()), such))
}

/// A length in centimetres, or with its unit: `6.5in`.
pub(crate) fn centimetres(id: &str, label: &str, text: &str, such: &str) -> Result<f64, Told> {
    let plain = text.trim().replace(',', ".").parse::<f64>().ok();
    let read = plain.or_else(|| latchwork::units::length_from(text.trim()).map(|l| l.0 / 10.0));
    read.filter(|v| v.is_finite() && (0.5..=300.0).contains(v))
        .ok_or_else(|| refused("wrong-length", id, label, text, ("0.5", "300"), such))
}

fn refused(words: &str, id: &str, label: &str, text: &str, (least, most): (&str, &str), such: &str) -> Told {
    let field = [("field", label), ("such", such)];
    let text = text.trim();
    let said = if text.is_empty() {
        tf("wrong-empty", &field)
    } else {
        let quoted = format!("\u{201c}{}\u{201d}", short(text));
        tf(words, &[field[0], field[1], ("typed", &quoted), ("least", least), ("most", most)])
    };
    Told::from(format!("{said} {}", t("nothing-changed"))).at(id)
}

/// The first letters of what was typed.
fn short(text: &str) -> String {
    let mut short: String = text.chars().take(24).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
