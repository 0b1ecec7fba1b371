//! Measures of a design's own, made of others and worked out for each size.

use super::Size;
use super::wish::{measure, share};
use crate::fact::{DesignFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::Node;
use crate::units::Mm;

/// A measure made of others.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeMeasure {
    /// Its name.
    pub name: String,
    /// Its place in the document.
    pub span: Span,
    /// What it is made of.
    pub made: Made,
}

/// What a measure is made of.
#[derive(Debug, Clone, PartialEq)]
pub enum Made {
    /// Shares of other measures and lengths, added or taken away.
    Sum(Vec<Term>),
    /// The larger of some.
    Larger(Vec<String>),
    /// The smaller of some.
    Smaller(Vec<String>),
}

/// A share of a measure, or a length; negative where it is taken away.
#[derive(Debug, Clone, PartialEq)]
pub enum Term {
    /// Of a measure, as a share of 1.
    Share(f64, String),
    /// A length.
    Of(Mm),
}

impl MadeMeasure {
    /// Whether it is made of this measure.
    #[must_use]
    pub fn takes(&self, name: &str) -> bool {
        match &self.made {
            Made::Larger(names) | Made::Smaller(names) => names.iter().any(|n| n == name),
            Made::Sum(terms) => terms.iter().any(|t| matches!(t, Term::Share(_, of) if of == name)),
        }
    }

    /// Its value in a size; none where the size lacks one of the others.
    #[must_use]
    pub fn value(&self, size: &Size) -> Option<Mm> {
        let each = |names: &[String]| names.iter().map(|n| size.measure(n).map(|m| m.0)).collect::<Option<Vec<f64>>>();
        Some(Mm(match &self.made {
            Made::Larger(names) => each(names)?.into_iter().fold(f64::NEG_INFINITY, f64::max),
            Made::Smaller(names) => each(names)?.into_iter().fold(f64::INFINITY, f64::min),
            Made::Sum(terms) => {
                let term = |t: &Term| match t {
                    Term::Share(share, of) => size.measure(of).map(|m| share * m.0),
                    Term::Of(length) => Some(length.0),
                };
                terms.iter().map(term).sum::<Option<f64>>()?
            }
        }))
    }
}

impl Size {
    /// The size with the measures that a design makes of its others.
    #[must_use]
    pub fn with_made(mut self, all: &[MadeMeasure]) -> Size {
        for m in all {
            if let Some(value) = m.value(&self) {
                self.made.push((m.name.clone(), value));
            }
        }
        self
    }
}

/// Reads the measures of a design's own, and gives each size its values.
pub(super) fn measures(
    r: &mut Reader<'_>,
    top: &Nodes<'_>,
    sizes: &mut Vec<Size>,
    size_faults: bool,
) -> Vec<MadeMeasure> {
    let mut all: Vec<MadeMeasure> = Vec::new();
    for n in top.all("measure") {
        let mut taken: Vec<String> = sizes.iter().flat_map(|s| &s.measures).map(|m| m.0.clone()).collect();
        taken.extend(all.iter().map(|m| m.name.clone()));
        let Some(name) = r.own_name(n, &taken) else { continue };
        let Some(made) = made(r, n, (sizes, size_faults)) else { continue };
        let one = MadeMeasure { name, span: n.span, made };
        for size in sizes.iter() {
            if let Some(value) = one.value(size).filter(|v| !(5.0..=3000.0).contains(&v.0)) {
                let (name, size) = (one.name.clone(), size.name.clone());
                r.error(Notice::error(
                    n.span,
                    DesignFact::MadeMeasureOutside { name, size, cm: (value.0 / 10.0).round() },
                ));
                break;
            }
        }
        *sizes = std::mem::take(sizes).into_iter().map(|s| s.with_made(std::slice::from_ref(&one))).collect();
        all.push(one);
    }
    all
}

fn made(r: &mut Reader<'_>, n: &Node, known: (&[Size], bool)) -> Option<Made> {
    let words = ["plus", "minus", "larger", "smaller"];
    let inside = r.shape(n, 1, &[], &words, &["plus", "minus"]);
    let sums = n.children.iter().filter(|c| matches!(c.name.as_str(), "plus" | "minus"));
    let terms: Vec<Option<Term>> = sums.map(|c| term(r, c, known)).collect();
    let choice = inside.one("larger").or(inside.one("smaller"));
    match (terms.is_empty(), choice) {
        (false, None) => terms.into_iter().collect::<Option<_>>().map(Made::Sum),
        (true, Some(c)) if inside.one("larger").is_none() || inside.one("smaller").is_none() => {
            r.shape(c, 8, &[], &[], &[]);
            let names: Vec<Option<String>> = c.arguments.iter().map(|v| measure(r, v, known)).collect();
            let names: Vec<String> = names.into_iter().collect::<Option<_>>()?;
            if names.len() < 2 {
                r.error(Notice::error(c.span, DesignFact::ChoiceOfOne { word: c.name.clone() }));
                return None;
            }
            Some(if c.name == "larger" { Made::Larger(names) } else { Made::Smaller(names) })
        }
        _ => {
            r.error(Notice::error(n.span, DesignFact::MadeOfWhat));
            None
        }
    }
}

fn term(r: &mut Reader<'_>, c: &Node, known: (&[Size], bool)) -> Option<Term> {
    r.shape(c, 1, &["of"], &[], &[]);
    let sign = if c.name == "minus" { -1.0 } else { 1.0 };
    let value = r.first(c, "(percent)50")?;
    if value.unit.as_deref() == Some("percent") {
        let (percent, of) = share(r, c, value, known)?;
        return Some(Term::Share(sign * percent / 100.0, of));
    }
    if let Some(of) = property(c, "of") {
        r.error(Notice::error(of.span, DesignFact::OfWithoutShare));
    }
    r.length_value(value, Subject::Length, 1.0..=3000.0).map(|l| Term::Of(Mm(sign * l.0)))
}
