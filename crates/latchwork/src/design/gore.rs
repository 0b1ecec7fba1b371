//! Gores: wedges of short rows that make one edge longer than the other, as in a hat or a skirt knitted sideways.

use latchwork_machine::needle::Side;

use super::piece::Context;
use super::short::{Closing, Held, ShortRows, ShortStep, Times};
use super::wish::length_or_share;
use super::{Length, Size};
use crate::fact::{EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};

use crate::vocabulary::SIDES;

/// Wedges, alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Gores {
    /// Its place in the document.
    pub span: Span,
    /// How many.
    pub count: u32,
    /// The end at which needles are held: the shorter edge.
    pub at: Side,
    /// How a turn is closed.
    pub turn: Closing,
    /// The length of the longer edge.
    pub longest: Length,
    /// That of the shorter; none for as short as can be.
    pub shortest: Option<Length>,
    /// How far the wedges reach across from the shorter edge.
    pub over: Length,
}

/// The nearest even number of rows, two at least.
fn even(rows: f64) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rows of a piece, and clamped")]
    let pairs = (rows / 2.0).round().clamp(1.0, 10_000.0) as u32;
    2 * pairs
}

impl Gores {
    /// The lengths that it is drafted by.
    pub(super) fn lengths(&self) -> impl Iterator<Item = &Length> {
        [&self.longest, &self.over].into_iter().chain(&self.shortest)
    }

    /// Its short rows in a size, for a stitch and a row of this many millimetres. Both edges have whole pairs of rows in every wedge. Pair
    /// j of m, from 1, leaves out S (2j - 1) / 2m of the S stitches that the wedge reaches over: the best a straight wedge can be.
    #[must_use]
    pub fn short_rows(&self, size: &Size, (stitch, row): (f64, f64)) -> Option<ShortRows> {
        let each = |length: f64| even(length / f64::from(self.count) / row);
        let long = each(self.longest.in_size(size)?.0);
        let short = self.shortest.as_ref().map_or(Some(2), |s| Some(each(s.in_size(size)?.0)))?;
        let pairs = long.saturating_sub(short) / 2;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "stitches of a bed, and not negative"
        )]
        let across = (self.over.in_size(size)?.0 / stitch).round().clamp(0.0, 2000.0) as u32;
        let left_out = |j: u32| (across * (2 * j - 1) + pairs) / (2 * pairs);
        let mut steps = vec![ShortStep::Knit(short.min(long))];
        let mut before = 0;
        for j in 1..=pairs {
            let needles = left_out(j) - before;
            before = left_out(j);
            let (span, at) = (self.span, Some(self.at));
            match (needles, steps.last_mut()) {
                // Fewer stitches than pairs: some pairs end at the same stitch.
                (0, Some(ShortStep::Knit(rows) | ShortStep::Hold { rows, .. })) => *rows += 2,
                _ => steps.push(ShortStep::Hold { span, needles: Held::Of(needles), at, rows: 2, times: Times::Of(1) }),
            }
        }
        Some(ShortRows { span: self.span, on: None, turn: self.turn, steps, repeat: self.count })
    }
}

/// The gores of a stretch, if it has any.
pub(super) fn gores(r: &mut Reader<'_>, inside: &Nodes<'_>, context: &Context<'_>) -> Option<Option<Gores>> {
    let Some(node) = inside.one("gores") else { return Some(None) };
    let within = r.shape(node, 1, &["at", "turn"], &["longest", "shortest", "over"], &[]);
    for word in ["length", "rows", "decrease", "increase", "neck", "panel", "stripes", "short-rows", "crown", "slit"] {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::ShortRowsAlone { word: word.to_string() }));
            return None;
        }
    }
    let count = r.whole(node, 1, 500)?;
    let at = match property(node, "at") {
        Some(v) => r.word(v, Subject::property("at"), &SIDES)?,
        None => Side::Left,
    };
    let turn = match property(node, "turn") {
        Some(v) => r.word(v, Subject::property("turn"), &Closing::WORDS)?,
        None => Closing::Wrap,
    };
    let mut wished = |word: &str| match within.one(word) {
        Some(n) => length_or_share(r, n, context).map(Some),
        None => Some(None),
    };
    let (longest, shortest, over) = (wished("longest")?, wished("shortest")?, wished("over")?);
    let (Some(longest), Some(over)) = (longest, over) else {
        r.error(Notice::error(node.span, EdgeFact::GoresHowLong));
        return None;
    };
    Some(Some(Gores { span: node.span, count, at, turn, longest, shortest, over }))
}
