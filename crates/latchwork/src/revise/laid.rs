//! How a fabric is laid out, told and selected, and the panels beside it.

use super::{NotRevised, child, put, put_after, take_out};
use crate::notice::{Replace, Span};
use crate::text::{NewNode, Node, quoted};

/// A panel as asked for on a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPanel {
    /// Its fabric.
    pub fabric: String,
    /// How many needles it covers.
    pub needles: u32,
    /// Where it stands, as documents say it: `centre`, `left` or `right`.
    pub at: String,
    /// Needles between it and that end, or from the middle.
    pub inside: u32,
    /// Whether left and right have changed places.
    pub mirrored: bool,
}

/// Words after the name of a stretch's fabric, put, changed or removed where they are none; the others stay as they are.
pub(super) fn laid(
    source: &str,
    stretch: &Node,
    words: &[(&'static str, Option<String>)],
) -> Result<Vec<Replace>, NotRevised> {
    let missing = || NotRevised::NotFound("fabric in that stretch".to_string());
    let node = child(stretch, "fabric").ok_or_else(missing)?;
    let first = node.arguments.first().ok_or_else(missing)?;
    let mut changes = Vec::new();
    let mut added = String::new();
    for (name, value) in words {
        let known = node.properties.iter().find(|p| p.name == *name).map(|p| p.value.span);
        match (known, value) {
            (Some(span), Some(value)) => changes.push(put(span, format!("{name}={}", quoted(value)))),
            (Some(span), None) => {
                let blank = source[..span.start].len() - source[..span.start].trim_end().len();
                changes.push(put(Span { start: span.start - blank, len: span.len + blank }, String::new()));
            }
            (None, Some(value)) => added += &format!(" {name}={}", quoted(value)),
            (None, None) => {}
        }
    }
    if !added.is_empty() {
        changes.push(put(Span { start: first.span.start + first.span.len, len: 0 }, added));
    }
    Ok(changes)
}

/// A panel after those that are there.
pub(super) fn add_panel(source: &str, stretch: &Node, panel: &NewPanel) -> Result<Replace, NotRevised> {
    let before = stretch.children.iter().rev().find(|n| n.name == "panel").or_else(|| child(stretch, "fabric"));
    let before = before.ok_or_else(|| NotRevised::NotFound("fabric in that stretch".to_string()))?;
    let node = NewNode::new("panel").text(&panel.fabric).pair("needles", panel.needles).pair("at", &panel.at);
    let node = if panel.inside > 0 { node.pair("in", panel.inside) } else { node };
    let node = if panel.mirrored { node.pair("mirrored", "yes") } else { node };
    Ok(put_after(source, before, node.to_string().trim_end()))
}

/// Takes out a panel, by its number from 0.
pub(super) fn remove_panel(source: &str, stretch: &Node, number: usize) -> Result<Replace, NotRevised> {
    let panel = stretch.children.iter().filter(|n| n.name == "panel").nth(number);
    panel.map(|n| take_out(source, n)).ok_or_else(|| NotRevised::NotFound("such panel in that stretch".to_string()))
}
