//! A slit: a stretch whose two sides are knitted one after the other and then knitted together again.

use latchwork_machine::needle::Side;

use super::Stretch;
use super::neck::own_yarn;
use crate::fact::{EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::vocabulary::SIDES;

/// A slit, by its place in the row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slit {
    /// Its place in the document.
    pub span: Span,
    /// How much of the row is at one side of it.
    pub within: Within,
    /// That side.
    pub side: Side,
}

/// A part of a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Within {
    /// So many stitches.
    Stitches(u32),
    /// About this share of them, in percent.
    Share(f64),
}

/// The slit of a stretch, if it has one.
pub(super) fn slit(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Option<Slit>> {
    let Some(node) = inside.one("slit") else { return Some(None) };
    r.shape(node, 1, &["at"], &[], &[]);
    for word in ["decrease", "increase", "crown", "neck", "short-rows", "panel"] {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::SlitAlone { word: word.to_string() }));
            return None;
        }
    }
    let side = match property(node, "at") {
        Some(v) => Some(r.word(v, Subject::property("at"), &SIDES)?),
        None => None,
    };
    let within = match node.arguments.first() {
        None => Within::Share(50.0),
        Some(v) if v.unit.is_some() => Within::Share(r.percent(v, Subject::word("slit"), 1.0..=99.0)?),
        Some(_) => Within::Stitches(r.whole(node, 2, 400)?),
    };
    if side.is_none() && !node.arguments.is_empty() {
        r.error(Notice::error(node.span, EdgeFact::SlitWhere));
        return None;
    }
    Some(Some(Slit { span: node.span, within, side: side.unwrap_or(Side::Left) }))
}

/// Refuses a slit where a piece begins, or in a piece of several yarns.
pub(super) fn check_slits(r: &mut Reader<'_>, stretches: &[Stretch]) {
    for (i, s) in stretches.iter().enumerate() {
        let Some(slit) = &s.slit else { continue };
        if !s.fabric.parts_anywhere() {
            r.error(Notice::error(slit.span, EdgeFact::NoSlitIn { fabric: s.fabric.name.clone() }));
        } else if i == 0 {
            r.error(Notice::error(slit.span, EdgeFact::SlitFirst { stretch: s.name.clone() }));
        } else if !own_yarn(stretches) {
            r.error(Notice::error(slit.span, EdgeFact::SlitInColours));
        }
    }
}
