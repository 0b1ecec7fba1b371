//! Where the repeats of a stretch stand on the needles: its own fabric and its panels become one fabric.

use std::sync::Arc;

use latchwork_machine::needle::{Bed, Side};

use crate::design::{PanelAt, Piece, Placed, Size, Stretch};
use crate::fabric::{Fabric, Hand, Lies};
use crate::fact::StitchesFact;
use crate::notice::{Notice, Notices};

/// The places that a stretch covers at its start, from the left end of the cast-on: the first, and the one after the last.
pub(super) type Extent = (i16, i16);

/// The fabric of the rows of a stretch, the place of the first column of its own fabric, and those of its panels.
pub(super) type Laid = (Arc<Fabric>, i16, Vec<i16>);

/// How the rows of a stretch are laid out.
pub(super) fn fabric(
    piece: &Piece,
    s: &Stretch,
    (left, right): Extent,
    side: Side,
    size: &Size,
    notices: &mut Notices,
) -> Option<Laid> {
    if s.panels.is_empty() && s.placed == Placed::Left && !s.mirrored {
        return Some((Arc::clone(&s.fabric), 0, Vec::new()));
    }
    let wide = right - left;
    let shift = match s.placed {
        Placed::Left => 0,
        Placed::Right => -wide,
        Placed::Centred => -(wide.rem_euclid(period(&s.fabric)) / 2),
        Placed::Alike => alike(&s.fabric, wide),
        Placed::Seams => -i16::try_from(piece.allowance).unwrap_or(0),
    };
    let origin = if s.placed == Placed::Left { 0 } else { left };
    let field = Lies { fabric: &s.fabric, from: origin, places: wide, shift, mirrored: s.mirrored };
    let mut panels: Vec<Lies<'_>> = Vec::new();
    for p in &s.panels {
        let places = i16::try_from(p.places).unwrap_or(i16::MAX);
        let from = match p.at {
            PanelAt::Centre(by) => left + (wide - places) / 2 + by,
            PanelAt::From(Side::Left, inside) => left.saturating_add(i16::try_from(inside).unwrap_or(i16::MAX)),
            PanelAt::From(Side::Right, inside) => {
                right.saturating_sub(i16::try_from(inside).unwrap_or(i16::MAX)).saturating_sub(places)
            }
        };
        // On needles that are not all in work the panel keeps in step with them.
        let step = if p.fabric.layout.shifts() || p.fabric.layout != s.fabric.layout { 1 } else { period(&p.fabric) };
        let from = from - from.rem_euclid(step);
        let (stretch, panel, size) = (s.name.clone(), p.fabric.name.clone(), size.name.clone());
        if from < left || from.saturating_add(places) > right {
            let wide = u32::try_from(wide).unwrap_or(0);
            let fact = StitchesFact::PanelOutside { panel, stretch, size, places: p.places, wide };
            notices.push(Notice::error(p.span, fact));
            return None;
        }
        if let Some(other) = panels.iter().find(|o| from < o.from + o.places && o.from < from + places) {
            let other = other.fabric.name.clone();
            notices.push(Notice::error(p.span, StitchesFact::PanelsOverlap { panel, other, stretch, size }));
            return None;
        }
        panels.push(p.lies(from));
    }
    let whole = Fabric::laid_out(&field, &panels, u32::try_from(right.max(1)).unwrap_or(1), side);
    Some((Arc::new(whole), origin - shift, panels.iter().map(|p| p.from).collect()))
}

fn period(fabric: &Fabric) -> i16 {
    i16::try_from(fabric.period()).unwrap_or(1).max(1)
}

/// The shift with which the columns at both ends are most alike, counted inwards.
fn alike(fabric: &Fabric, wide: i16) -> i16 {
    let period = period(fabric);
    let same = |a: i16, b: i16| {
        fabric.repeat.iter().all(|t| {
            let hand = |h: &Hand, at: i16| h.cells().has(at);
            Bed::BOTH.iter().all(|bed| t.does(*bed, a) == t.does(*bed, b))
                && t.forward.iter().all(|c| c.has(a) == c.has(b))
                && t.hands.iter().any(|h| hand(h, a)) == t.hands.iter().any(|h| hand(h, b))
        })
    };
    let alike = |shift: i16| (0..wide / 2).take_while(|j| same(shift + j, shift + wide - 1 - j)).count();
    (0..period).rev().max_by_key(|shift| alike(*shift)).unwrap_or(0)
}

/// Places by which a stretch is wider or narrower at its end, at its left end and its right.
pub(super) fn grows(s: &Stretch, needles: u32, end: u32) -> (i16, i16) {
    use crate::design::At;
    let Some(sh) = &s.shaping else { return (0, 0) };
    let more = f64::from(end) - f64::from(needles);
    #[allow(clippy::cast_possible_truncation, reason = "at most the needles of a bed")]
    let at_each = (more / f64::from(sh.at.ends()) / s.fabric.layout.needles_per_place()).round() as i16;
    match sh.at {
        At::Both => (at_each, at_each),
        At::Across => (at_each / 2, at_each - at_each / 2),
        At::Only(Side::Left) => (at_each, 0),
        At::Only(Side::Right) => (0, at_each),
    }
}
