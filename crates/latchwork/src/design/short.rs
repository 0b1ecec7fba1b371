//! Short rows: rows over some of the needles, while others are held.

use latchwork_machine::needle::{Bed, Side};

use crate::fabric::Fabric;
use crate::fact::{EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};
use crate::vocabulary::{BEDS, SIDES};

/// The short rows of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct ShortRows {
    /// Its place in the document.
    pub span: Span,
    /// The bed that knits, where the fabric is a tube.
    pub on: Option<Bed>,
    /// How a turn is closed.
    pub turn: Closing,
    /// What is done, in order.
    pub steps: Vec<ShortStep>,
    /// How often.
    pub repeat: u32,
}

/// How the gap at the turn of a short row is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closing {
    /// The yarn is laid round the next held needle by hand.
    Wrap,
    /// The last needle is held only after it has knitted, so that the yarn lies round it by itself.
    Automatic,
    /// It is left open.
    Open,
}

impl Closing {
    /// The words of documents.
    pub const WORDS: [(&str, Closing); 3] =
        [("wrap", Closing::Wrap), ("automatic", Closing::Automatic), ("open", Closing::Open)];
}

/// A step of short rows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShortStep {
    /// Needles at an end are held, then rows are knitted; so many times.
    Hold {
        /// Its place in the document.
        span: Span,
        /// Needles each time.
        needles: Held,
        /// At which end: away from the carriage, where none is named.
        at: Option<Side>,
        /// Rows after each.
        rows: u32,
        /// How often.
        times: Times,
    },
    /// Held needles nearest to those that knit return, then rows are knitted; so many times, or until none is held.
    Return {
        /// Its place in the document.
        span: Span,
        /// Needles each time; none: all that are held, and no rows.
        needles: Option<u32>,
        /// At which end: away from the carriage, where none is named.
        at: Option<Side>,
        /// Rows after each.
        rows: u32,
        /// How often; until none is held, where it is not said.
        times: Option<Times>,
    },
    /// Rows over the needles that are not held.
    Knit(u32),
}

/// How many needles are held at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// So many.
    Of(u32),
    /// About this share of all, in percent.
    Share(f64),
}

impl Held {
    /// Of so many needles.
    #[must_use]
    pub fn of(self, all: u32) -> u32 {
        match self {
            Held::Of(n) => n,
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a share of the needles of a bed"
            )]
            Held::Share(percent) => (f64::from(all) * percent / 100.0).round().max(1.0) as u32,
        }
    }
}

/// How often needles are held, or return.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Times {
    /// So many times.
    Of(u32),
    /// Until about this share of the needles is left, in percent.
    Leaving(f64),
}

impl ShortRows {
    /// Rows of all its steps, where no size decides them; those that a size decides are an even number.
    #[must_use]
    pub fn rows(&self) -> Option<u32> {
        let mut held = Some(0_u32);
        let mut rows = Some(0_u32);
        for step in &self.steps {
            let more = match *step {
                ShortStep::Hold { needles, rows, times, .. } => {
                    let times = match times {
                        Times::Of(times) => Some(times),
                        Times::Leaving(_) => None,
                    };
                    held = match (held, needles, times) {
                        (Some(h), Held::Of(n), Some(times)) => Some(h.saturating_add(n * times)),
                        _ => None,
                    };
                    times.map(|times| rows * times)
                }
                ShortStep::Return { needles: None, .. } => {
                    held = Some(0);
                    Some(0)
                }
                ShortStep::Return { needles: Some(n), rows, times, .. } => {
                    let times = match times {
                        None => held.map(|h| h / n),
                        Some(Times::Of(times)) => Some(times),
                        Some(Times::Leaving(_)) => None,
                    };
                    held = held.zip(times).map(|(h, t)| h.saturating_sub(n * t));
                    times.map(|t| t * rows)
                }
                ShortStep::Knit(rows) => Some(rows),
            };
            rows = rows.zip(more).map(|(a, b)| a.saturating_add(b));
        }
        rows.map(|r| r.saturating_mul(self.repeat))
    }

    /// Rows in which nothing is held.
    #[must_use]
    pub fn whole_rows(&self) -> u32 {
        let mut held = false;
        let mut rows = 0_u32;
        for step in &self.steps {
            match step {
                ShortStep::Hold { .. } => held = true,
                ShortStep::Return { .. } => held = false,
                ShortStep::Knit(n) if !held => rows = rows.saturating_add(*n),
                ShortStep::Knit(_) => {}
            }
        }
        rows.saturating_mul(self.repeat)
    }
}

/// The short rows of a stretch, if it has any.
pub(super) fn short_rows(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Option<ShortRows>> {
    let Some(node) = inside.one("short-rows") else { return Some(None) };
    let known = ["hold", "return", "knit"];
    r.shape(node, 0, &["on", "turn", "repeat"], &known, &known);
    let on = match property(node, "on") {
        Some(v) => Some(r.word(v, Subject::property("on"), &BEDS)?),
        None => None,
    };
    let turn = match property(node, "turn") {
        Some(v) => r.word(v, Subject::property("turn"), &Closing::WORDS)?,
        None => Closing::Wrap,
    };
    let repeat = if property(node, "repeat").is_some() { r.whole_property(node, "repeat", 1, 500)? } else { 1 };
    for word in ["length", "rows", "decrease", "increase", "neck", "panel", "stripes"] {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::ShortRowsAlone { word: word.to_string() }));
            return None;
        }
    }
    let steps: Vec<ShortStep> = (node.children.iter())
        .filter(|n| known.contains(&n.name.as_str()))
        .map(|n| step(r, n, turn))
        .collect::<Option<_>>()?;
    if steps.is_empty() {
        r.error(Notice::error(node.span, EdgeFact::ShortRowsEmpty));
        return None;
    }
    Some(Some(ShortRows { span: node.span, on, turn, steps, repeat }))
}

fn step(r: &mut Reader<'_>, n: &Node, turn: Closing) -> Option<ShortStep> {
    let span = n.span;
    if n.name == "knit" {
        r.leaf(n);
        return r.whole(n, 1, 2000).map(ShortStep::Knit);
    }
    let holds = n.name == "hold";
    r.shape(n, 1, &["at", "every", "times", "leaves"], &[], &[]);
    if !holds && n.arguments.first().is_some_and(|v| matches!(&v.written, Written::Text(t) if t == "all")) {
        if let Some(p) = n.properties.first() {
            r.error(Notice::error(p.value.span, EdgeFact::AllReturnAtOnce));
            return None;
        }
        return Some(ShortStep::Return { span, needles: None, at: None, rows: 0, times: None });
    }
    let needles = match n.arguments.first() {
        Some(v) if holds && v.unit.is_some() => Held::Share(r.percent(v, Subject::word("hold"), 1.0..=90.0)?),
        _ => Held::Of(r.whole(n, 1, 400)?),
    };
    let at = match property(n, "at") {
        Some(v) => Some(r.word(v, Subject::property("at"), &SIDES)?),
        None => None,
    };
    let rows = match property(n, "every") {
        Some(_) => r.whole_property(n, "every", 1, 200)?,
        // An end that is named has its turn in every second row.
        None => 1 + u32::from(at.is_some()),
    };
    let times = match property(n, "times") {
        Some(_) => Some(r.whole_property(n, "times", 1, 2000)?),
        None => None,
    };
    if at.is_some() && !rows.is_multiple_of(2) && times != Some(1) {
        r.error(Notice::error(span, EdgeFact::HoldsEverySecond { every: rows }));
        return None;
    }
    if holds && turn == Closing::Automatic && rows == 1 && needles != Held::Of(1) {
        r.error(Notice::error(span, EdgeFact::AutomaticByOne));
        return None;
    }
    let leaves = match property(n, "leaves") {
        Some(v) => Some(r.percent(v, Subject::property("leaves"), 1.0..=99.0)?),
        None => None,
    };
    let times = match (times, leaves) {
        (Some(times), None) => Times::Of(times),
        (None, Some(share)) => Times::Leaving(share),
        (None, None) if !holds => {
            return Some(ShortStep::Return { span, needles: Some(needles.of(1)), at, rows, times: None });
        }
        _ => {
            r.error(Notice::error(span, EdgeFact::HoldWithoutEnd));
            return None;
        }
    };
    Some(match holds {
        true => ShortStep::Hold { span, needles, at, rows, times },
        false => ShortStep::Return { span, needles: Some(needles.of(1)), at, rows, times: Some(times) },
    })
}

/// Refuses short rows in a fabric that cannot have them.
pub(super) fn check_short_rows(r: &mut Reader<'_>, (span, on): (Span, Option<Bed>), fabric: &Fabric) {
    let tube = fabric.tubular();
    let name = fabric.name.clone();
    if !(tube && !fabric.by_hand() || fabric.holds()) {
        r.error(Notice::error(span, EdgeFact::NoShortRowsIn { fabric: name }));
    } else if tube != on.is_some() {
        r.error(Notice::error(span, EdgeFact::ShortRowsBed { fabric: name, tube }));
    }
}
