//! The neck of a piece: an opening in the middle of its last stretch, each side of which is knitted for itself.

use latchwork_machine::needle::Side;

use super::piece::Context;
use super::shaping::{Shaping, edge};
use super::{At, Change, Closing, Ending, Stretch, Yarns};
use crate::fabric::Fabric;
use crate::fact::{EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::Node;
use crate::units::Mm;

/// A neck.
#[derive(Debug, Clone, PartialEq)]
pub struct Neck {
    /// Its place in the document.
    pub span: Span,
    /// The stitches in the middle that are cast off where the work parts.
    pub middle: Middle,
    /// How each edge is shaped from there: the width that it reaches is the neck's.
    pub shaping: Shaping,
    /// The shoulders beside it, where they slope.
    pub shoulder: Option<Shoulder>,
    /// Where the second side waits while the first is knitted.
    pub waits: Waits,
}

/// Where the stitches of a side wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Waits {
    /// On a holder or waste yarn.
    #[default]
    Holder,
    /// On their needles, held.
    Needles,
}

impl Neck {
    /// The edge at which it lies, as in the front of a cardigan; none for a neck in the middle, which divides the piece.
    #[must_use]
    pub fn edge(&self) -> Option<Side> {
        match self.shaping.at {
            At::Only(side) => Some(side),
            At::Both | At::Across => None,
        }
    }
}

/// A sloped shoulder: its stitches are cast off in groups at its outer edge every second row, the last by the ending; or they are held
/// in groups in short rows, and end together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shoulder {
    /// Its place in the document.
    pub span: Span,
    /// How many groups, or how high.
    pub rise: Rise,
    /// How the turns are closed, where the groups are held.
    pub held: Option<Closing>,
}

/// How far a shoulder rises from its tip to the neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rise {
    /// In so many groups.
    Groups(u32),
    /// By about this length, in as many groups as that takes.
    High(Mm),
}

impl Shoulder {
    /// Its groups, one every so many rows of this length in millimetres.
    #[must_use]
    pub fn groups(&self, every: u32, row: f64) -> u32 {
        match self.rise {
            Rise::Groups(n) => n,
            // The last group lies at the top.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            Rise::High(high) => 1 + (high.0 / (f64::from(every) * row)).round().clamp(1.0, MOST_GROUPS) as u32,
        }
    }
}

/// Most groups of a shoulder beside the last.
const MOST_GROUPS: f64 = 40.0;

/// The stitches in the middle of a neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Middle {
    /// None, or the fewest that leave both sides alike: one in the middle of an odd number.
    Fewest,
    /// So many.
    Stitches(u32),
    /// About this share of the neck's, in percent.
    Share(f64),
}

/// The neck of a stretch, if it has one.
pub(super) fn neck(
    r: &mut Reader<'_>,
    inside: &Nodes<'_>,
    fabric: Option<&Fabric>,
    context: &Context<'_>,
) -> Option<Option<Neck>> {
    let shoulder = match inside.one("shoulder") {
        None => None,
        Some(n) => Some(sloped(r, n)?),
    };
    let Some(node) = inside.one("neck") else {
        if let Some(s) = shoulder {
            r.error(Notice::error(s.span, EdgeFact::ShoulderWithoutNeck));
        }
        return Some(None);
    };
    let (within, shaping) = edge(r, node, Change::Decrease, fabric, &["middle", "at", "waits"], context);
    let middle = match within.one("middle") {
        None => Middle::Fewest,
        Some(n) => {
            r.leaf(n);
            match n.arguments.first() {
                Some(v) if v.unit.is_some() => Middle::Share(r.percent(v, Subject::word("middle"), 1.0..=100.0)?),
                _ => Middle::Stitches(r.whole(n, 1, 400)?),
            }
        }
    };
    let shaping = shaping?;
    if let (Middle::Share(_), Some(_), Some(n)) = (middle, shaping.times(), within.one("middle")) {
        r.error(Notice::error(n.span, EdgeFact::ShareOfListedNeck));
        return None;
    }
    let waits = match within.one("waits") {
        None => Waits::Holder,
        Some(n) => {
            r.leaf(n);
            r.one_of(n, &[("holder", Waits::Holder), ("needles", Waits::Needles)])?
        }
    };
    if let (true, Some(n)) = (shaping.at != At::Both, within.one("waits")) {
        r.error(Notice::error(n.span, EdgeFact::NothingWaits));
        return None;
    }
    Some(Some(Neck { span: node.span, middle, shaping, shoulder, waits }))
}

/// A sloped shoulder, cast off in groups or by short rows.
fn sloped(r: &mut Reader<'_>, n: &Node) -> Option<Shoulder> {
    r.shape(n, 1, &["by", "turn"], &[], &[]);
    let by_short_rows = match property(n, "by") {
        Some(v) => r.word(v, Subject::property("by"), &[("casting-off", false), ("short-rows", true)])?,
        None => false,
    };
    let turn = match property(n, "turn") {
        Some(v) if !by_short_rows => {
            r.error(Notice::error(v.span, EdgeFact::TurnOfNoShortRow));
            return None;
        }
        Some(v) => r.word(v, Subject::property("turn"), &Closing::WORDS)?,
        None => Closing::Wrap,
    };
    let rise = match n.arguments.first() {
        Some(v) if v.unit.is_some() => Rise::High(r.length(n, 2.0..=200.0)?),
        _ => Rise::Groups(r.whole(n, 2, 12)?),
    };
    Some(Shoulder { span: n.span, rise, held: by_short_rows.then_some(turn) })
}

/// Whether a piece is knitted in its own yarn alone.
pub(super) fn own_yarn(stretches: &[Stretch]) -> bool {
    stretches.iter().all(|s| s.yarns == Yarns::OfPiece)
}

/// Refuses a neck that does not end its piece, or in a piece that it cannot divide.
pub(super) fn check_necks(r: &mut Reader<'_>, stretches: &[Stretch], ending: Ending) {
    for (i, s) in stretches.iter().enumerate() {
        let Some(neck) = &s.neck else { continue };
        let told = |fact| Notice::error(neck.span, fact);
        if i + 1 < stretches.len() {
            r.error(told(EdgeFact::NeckBelow {
                stretch: s.name.clone(),
                last: stretches[stretches.len() - 1].name.clone(),
            }));
        } else if i == 0 {
            r.error(told(EdgeFact::NeckFirst { stretch: s.name.clone() }));
        } else if matches!(ending, Ending::Point | Ending::Gather) {
            r.error(told(EdgeFact::NeckDrawnTogether));
        } else if let (Some(side), Some(outer)) = (neck.edge(), &s.shaping)
            && outer.at != At::Only(side.other())
        {
            r.error(Notice::error(outer.span, EdgeFact::NeckEdgeShaped { side }));
        } else if neck.edge().is_none() && !s.panels.is_empty() {
            r.error(told(EdgeFact::NeckBesidePanel));
        } else if neck.edge().is_none() && s.fetches {
            r.error(told(EdgeFact::NeckFetched));
        }
        if neck.waits == Waits::Needles && !(s.fabric.layout.main_alone() && s.fabric.parts_anywhere()) {
            r.error(told(EdgeFact::NoWaitingIn { fabric: s.fabric.name.clone() }));
        }
        let groups = s.fabric.layout.main_alone() && s.fabric.row_multiple() == 1 || s.fabric.casts_off_groups();
        let short_rows = s.fabric.holds() && s.fabric.row_multiple() <= 2;
        if let Some(shoulder) = neck.shoulder.filter(|n| n.held.is_some() && !s.panels.is_empty()) {
            r.error(Notice::error(shoulder.span, EdgeFact::HeldShoulderBesidePanel));
        }
        if let Some(shoulder) = neck.shoulder.filter(|s| if s.held.is_some() { !short_rows } else { !groups }) {
            let by_short_rows = shoulder.held.is_some();
            let fabric = s.fabric.name.clone();
            r.error(Notice::error(shoulder.span, EdgeFact::NoSlopedShoulderIn { fabric, by_short_rows }));
        }
    }
}
