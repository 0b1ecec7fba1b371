//! An author's targets for a stretch: width, length, and the weight of each.

use super::piece::Context;
use super::{Ease, Length, Size, Wish, Wished};
use crate::fact::{DesignFact, Rewrite, Subject};
use crate::measure::{CONVENTIONS, convention};
use crate::notice::{Notice, Span, nearest};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Value, Written, quoted};
use crate::units::Mm;

pub(super) const WISHES: [&str; 3] = ["needles", "width", "around"];

/// The span of a word with the number after it: both are shown, and changed, together.
fn counted_span(node: &Node) -> Span {
    match node.arguments.first() {
        Some(v) if node.arguments.len() == 1 && v.unit.is_none() => {
            Span { start: node.span.start, len: v.span.start + v.span.len - node.span.start }
        }
        _ => node.span,
    }
}

pub(super) fn wish(r: &mut Reader<'_>, inside: &Nodes<'_>, context: &Context<'_>) -> Option<Wished> {
    let found: Vec<&Node> = WISHES.iter().filter_map(|w| inside.one(w)).collect();
    if let [_, second, ..] = found.as_slice() {
        r.error(Notice::error(second.span, DesignFact::WidthTwice));
    }
    let node = *found.first()?;
    let wish = match node.name.as_str() {
        "needles" => {
            r.shape(node, 1, &[], &[], &[]);
            r.whole(node, 1, 1000).map(Wish::Needles)
        }
        "width" => {
            r.shape(node, 2, &["of", "weight"], &[], &[]);
            let value = r.first(node, "(cm)12")?;
            match shared(r, node, value, context)? {
                Some((measure, percent, plus)) => Some(Wish::Share { measure, percent, plus }),
                None => r.length_value(value, Subject::word("width"), 5.0..=5000.0).map(Wish::Width),
            }
        }
        _ => {
            r.shape(node, 2, &["shared", "as", "over", "weight"], &[], &[]);
            let measure = r.first(node, "\"head-girth\" (percent)-10").and_then(|v| measure(r, v, context.known()));
            let ease = match node.arguments.get(1) {
                None => usual_ease(r, node),
                Some(v) if property(node, "as").is_some() => {
                    r.error(Notice::error(v.span, DesignFact::EaseTwice));
                    None
                }
                Some(v) if v.unit.as_deref() == Some("percent") => {
                    r.percent(v, Subject::Ease, -95.0..=200.0).map(Ease::Percent)
                }
                Some(v) => r.length_value(v, Subject::Ease, -1000.0..=2000.0).map(Ease::Of),
            };
            let shared = r.whole_property(node, "shared", 1, 20).unwrap_or(1);
            let over = match property(node, "over") {
                Some(v) => Some(self::measure(r, v, context.known())?),
                None => None,
            };
            measure.zip(ease).map(|(measure, ease)| Wish::Around { measure, ease, shared, over })
        }
    }?;
    let weight = weight(r, node).unwrap_or(1.0);
    Some(Wished { wish, weight, span: counted_span(node) })
}

/// The weight of a target against the others.
fn weight(r: &mut Reader<'_>, node: &Node) -> Option<f64> {
    property(node, "weight").and_then(|v| r.number(v, Subject::property("weight"), 0.01, 100.0))
}

/// The conventional ease of a garment part; none where no part is named.
fn usual_ease(r: &mut Reader<'_>, node: &Node) -> Option<Ease> {
    let Some(v) = property(node, "as") else { return Some(Ease::Percent(0.0)) };
    let words: Vec<(&str, &str)> = CONVENTIONS.iter().map(|c| (c.part, c.part)).collect();
    let c = r.word(v, Subject::property("as"), &words).and_then(convention)?;
    Some(c.percent.map_or(Ease::Of(Mm(c.millimetres)), Ease::Percent))
}

/// A share of a measure, in percent, and the measure.
pub(super) fn share(r: &mut Reader<'_>, n: &Node, value: &Value, known: (&[Size], bool)) -> Option<(f64, String)> {
    let percent = r.percent(value, Subject::Share, 0.1..=1000.0)?;
    let Some(of) = property(n, "of") else {
        r.error(Notice::error(n.span, DesignFact::ShareOfWhat));
        return None;
    };
    Some((percent, measure(r, of, known)?))
}

/// The share of a measure that a width or a length is, and what is added to it: the measure, percent and length; none inside where it is a
/// length of its own.
fn shared(r: &mut Reader<'_>, n: &Node, value: &Value, context: &Context<'_>) -> Option<Option<(String, f64, Mm)>> {
    if value.unit.as_deref() == Some("percent") {
        let (percent, measure) = share(r, n, value, context.known())?;
        let plus = match n.arguments.get(1) {
            Some(v) => r.length_value(v, Subject::AddedToShare, -2000.0..=2000.0)?,
            None => Mm(0.0),
        };
        return Some(Some((measure, percent, plus)));
    }
    if let Some(of) = property(n, "of") {
        r.error(Notice::error(of.span, DesignFact::OfWithoutShare));
    }
    if let Some(extra) = n.arguments.get(1) {
        r.error(Notice::error(extra.span, DesignFact::OneLength));
    }
    Some(None)
}

/// A length of its own, or a share of a measure.
pub(super) fn length_or_share(r: &mut Reader<'_>, n: &Node, context: &Context<'_>) -> Option<Length> {
    r.shape(n, 2, &["of"], &[], &[]);
    let value = r.first(n, "(cm)12")?;
    match shared(r, n, value, context)? {
        Some((measure, percent, plus)) => Some(Length::Share { measure, percent, plus }),
        None => r.length_value(value, Subject::word(&n.name), 1.0..=20_000.0).map(Length::Of),
    }
}

/// A measure that every size has.
pub(super) fn measure(r: &mut Reader<'_>, value: &Value, (sizes, size_faults): (&[Size], bool)) -> Option<String> {
    let Written::Text(name) = &value.written else {
        r.error(Notice::error(value.span, DesignFact::MeasureUnquoted));
        return None;
    };
    let lacking: Vec<&str> = sizes.iter().filter(|s| s.measure(name).is_none()).map(|s| s.name.as_str()).collect();
    if lacking.is_empty() || r.has_holes || size_faults {
        return Some(name.clone());
    }
    let known: Vec<&str> =
        sizes.iter().flat_map(|s| s.measures.iter().chain(&s.made).map(|(n, _)| n.as_str())).collect();
    let near = nearest(name, known.iter().copied()).filter(|n| n != name).map(str::to_string);
    let from = quoted(name);
    let fact = if lacking.len() == sizes.len() {
        DesignFact::NoSuchMeasure { name: name.clone(), near: near.clone() }
    } else {
        let sizes = lacking.iter().map(ToString::to_string).collect();
        DesignFact::MeasureMissing { name: name.clone(), sizes, near: near.clone() }
    };
    let e = Notice::error(value.span, fact);
    let e = match near.as_deref().map(quoted) {
        Some(to) => e.mend(value.span, to.clone(), Rewrite::Becomes { from, to }),
        None => e,
    };
    r.error(e);
    None
}

pub(super) fn length(
    r: &mut Reader<'_>,
    node: &Node,
    inside: &Nodes<'_>,
    name: &str,
    context: &Context<'_>,
    every: bool,
) -> Option<(Length, Span, f64)> {
    let weight = inside.one("length").and_then(|n| weight(r, n)).unwrap_or(1.0);
    let (length, span) = match (inside.one("rows"), inside.one("length")) {
        (Some(_), Some(n)) => {
            r.error(Notice::error(n.span, DesignFact::LengthTwice));
            None
        }
        (Some(n), None) => {
            r.shape(n, 1, &[], &[], &[]);
            r.whole(n, 1, 20_000).map(|rows| (Length::Rows(rows), counted_span(n)))
        }
        (None, Some(n)) => {
            r.shape(n, 2, &["of", "weight"], &[], &[]);
            let value = r.first(n, "(cm)12")?;
            if let Some((measure, percent, plus)) = shared(r, n, value, context)? {
                return Some((Length::Share { measure, percent, plus }, n.span, weight));
            }
            r.length_value(value, Subject::Length, 1.0..=20_000.0).map(|l| (Length::Of(l), n.span))
        }
        (None, None) if every => Some((Length::AsShaped, node.span)),
        (None, None) => {
            r.error(Notice::error(node.span, DesignFact::NoLength { name: name.to_string() }));
            None
        }
    }?;
    Some((length, span, weight))
}
