//! Hems and buttonholes: a section folded in half and hung on its own first row; stitches moved aside, or cast off and on, for holes.

use super::{CastOn, Stretch, Yarns};
use crate::fact::EdgeFact;
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};

/// A section folded in half: the stitches of its first row are hung on the needles after its last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hem {
    /// Its place in the document.
    pub span: Span,
    /// Whether every second stitch is moved aside in the row of the fold, for points along it.
    pub picot: bool,
}

/// Holes spread over a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Holes {
    /// Its place in the document.
    pub span: Span,
    /// How many, or how far apart.
    pub spread: Spread,
    /// The rows of the section before them.
    pub after: u32,
    /// Stitches beyond the first and the last.
    pub ends: u32,
    /// Stitches of each: one is moved aside, several are cast off and wound on again.
    pub wide: u32,
}

/// How holes are spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// So many, for buttons.
    Count(u32),
    /// At every n-th stitch, as many as there is room for: a row of eyelets for a cord.
    Every(u32),
}

impl Holes {
    /// The most holes that have room in a row of so many stitches: each with a stitch beside it, which takes the one moved aside.
    #[must_use]
    pub fn most(&self, stitches: u32) -> Option<u32> {
        Some(stitches.checked_sub(2 * self.ends + self.wide)? / (self.wide + 1) + 1)
    }

    /// The first stitches of them in a row of so many, counted from 0 at the left: the gaps between as equal as they can be. None if
    /// they have no room.
    #[must_use]
    pub fn places(&self, stitches: u32) -> Option<Vec<u32>> {
        let between = stitches.checked_sub(2 * self.ends + self.wide)?;
        let count = match self.spread {
            Spread::Count(count) => count,
            Spread::Every(n) => {
                let gaps = between / n;
                let first = self.ends + between % n / 2;
                return (self.ends > 0).then(|| (0..=gaps).map(|k| first + k * n).collect());
            }
        };
        let gaps = count.saturating_sub(1);
        self.most(stitches).filter(|most| count <= *most && self.ends > 0)?;
        let place = |k: u32| match gaps {
            0 => (stitches + 1 - self.wide) / 2,
            _ => self.ends + (2 * k * between + gaps) / (2 * gaps),
        };
        Some((0..count).map(place).collect())
    }
}

/// The hem of a stretch, if it is one.
pub(super) fn hem(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Option<Hem>> {
    let Some(n) = inside.one("hem") else { return Some(None) };
    r.leaf(n);
    for word in
        ["decrease", "increase", "crown", "neck", "short-rows", "panel", "slit", "stripes", "buttonholes", "eyelets"]
    {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::HemAlone { word: word.to_string() }));
            return None;
        }
    }
    let picot = r.one_of(n, &[("plain", false), ("picot", true)])?;
    Some(Some(Hem { span: n.span, picot }))
}

/// The buttonholes or eyelets of a stretch, if it has any.
pub(super) fn holes(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Option<Holes>> {
    let (buttons, eyelets) = (inside.one("buttonholes"), inside.one("eyelets"));
    let Some(n) = buttons.or(eyelets) else { return Some(None) };
    let own = n.name.clone();
    r.shape(
        n,
        usize::from(buttons.is_some()),
        if buttons.is_some() { &["after", "ends", "wide"] } else { &["every", "after", "ends"] },
        &[],
        &[],
    );
    let alone = ["decrease", "increase", "crown", "neck", "short-rows", "panel", "slit", "eyelets"];
    if let Some(other) = alone.iter().filter(|w| **w != own).find_map(|w| inside.one(w)) {
        r.error(Notice::error(other.span, EdgeFact::HolesAlone { holes: own, word: other.name.clone() }));
        return None;
    }
    let spread = match buttons {
        Some(n) => r.whole(n, 1, 40).map(Spread::Count),
        None => r.whole_property(n, "every", 2, 200).map(Spread::Every),
    };
    let after = r.whole_property(n, "after", 1, 2000);
    let whens: &[&str] = if buttons.is_some() { &["after"] } else { &["after", "every"] };
    if whens.iter().any(|w| property(n, w).is_none()) {
        r.error(Notice::error(n.span, EdgeFact::HolesWhen { eyelets: buttons.is_none() }));
    }
    let ends = if property(n, "ends").is_some() { r.whole_property(n, "ends", 1, 200)? } else { 3 };
    let wide = if property(n, "wide").is_some() { r.whole_property(n, "wide", 1, 40)? } else { 1 };
    Some(Some(Holes { span: n.span, spread: spread?, after: after?, ends, wide }))
}

/// Refuses hems that do not begin a piece, and hems and holes in fabrics that cannot have them.
pub(super) fn check_hems(r: &mut Reader<'_>, stretches: &[Stretch], cast_on: Option<CastOn>) {
    for (i, s) in stretches.iter().enumerate() {
        let by_hand = s.fabric.repeat.iter().any(|t| t.selects() || !t.hands.is_empty());
        let plain = s.fabric.layout.main_alone() && s.fabric.layout.fills_main() && s.fabric.row_multiple() == 1;
        // In a rib a stitch goes across to its neighbour.
        let rib = s.fabric.layout.by_turns() && s.fabric.holds();
        if let Some(h) = s.hem.filter(|_| by_hand || !plain) {
            r.error(Notice::error(h.span, EdgeFact::NoHemIn { fabric: s.fabric.name.clone(), holes: false }));
        } else if let Some(h) = s.holes.filter(|_| !rib && (by_hand || !plain)) {
            r.error(Notice::error(h.span, EdgeFact::NoHemIn { fabric: s.fabric.name.clone(), holes: true }));
        } else if let Some(h) = s.holes.filter(|h| rib && h.wide > 1) {
            r.error(Notice::error(h.span, EdgeFact::WideHolesIn { fabric: s.fabric.name.clone(), wide: h.wide }));
        }
        let Some(hem) = s.hem else { continue };
        if i > 0 || !matches!(cast_on, Some(CastOn::EWrap | CastOn::Waste)) {
            r.error(Notice::error(hem.span, EdgeFact::HemNotFirst { stretch: s.name.clone() }));
        } else if s.yarns != Yarns::OfPiece {
            r.error(Notice::error(hem.span, EdgeFact::HemAlone { word: "yarns".to_string() }));
        }
    }
}
