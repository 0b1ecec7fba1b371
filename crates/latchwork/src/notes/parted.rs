//! A neck from the steps of pass notes: work that is divided, and its two sides shaped alike.

use latchwork_machine::beds::Beds;
use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::{Action, Step};

use super::sections::{Event, Section, alike, at_the_ends, runs, shaping, steps_of};
use crate::design::{Change, Piece};
use crate::plan::{PartKind, PiecePlan};
use crate::text::NewNode;

/// One side of divided work.
struct Worked {
    stretch: usize,
    rows: u32,
    events: Vec<Event>,
}

/// The neck that ends a piece, and the parts that it is told by; none where the work is not divided, or its sides are not alike.
pub(super) fn neck(piece: &Piece, plan: &PiecePlan) -> Option<(Section, Vec<usize>)> {
    let steps = &plan.plan.steps;
    let one = |of: &dyn Fn(&Action) -> bool| {
        let mut all = steps.iter().enumerate().filter(|s| of(&s.1.action)).map(|s| s.0);
        all.next().filter(|_| all.next().is_none())
    };
    let off = one(&|a| matches!(a, Action::TakeOff { .. }))?;
    let back = one(&|a| matches!(a, Action::PutBack { .. })).filter(|b| *b > off)?;
    let Action::TakeOff { needles: waiting, .. } = &steps[off].action else { return None };
    let mut beds = Beds::of(steps);
    steps[..off].iter().for_each(|s| beds.step(&s.action));
    let whole: Vec<Needle> = beds.in_work().map(|n| n.0).collect();
    let first = match [whole.first(), whole.last()].map(|n| n.is_some_and(|n| waiting.contains(n))) {
        [true, false] => Side::Right,
        [false, true] => Side::Left,
        _ => return None,
    };
    let own: Vec<Needle> = whole.iter().filter(|n| !waiting.contains(n)).copied().collect();
    let one = worked((piece, plan), &mut beds, &steps[off..back], own.clone())?;
    beds.step(&steps[back].action);
    let mut returned: Vec<Needle> = beds.in_work().map(|n| n.0).collect();
    returned.retain(|n| waiting.contains(n));
    let other = worked((piece, plan), &mut beds, &steps[back + 1..], returned)?;
    let at = |w: &Worked, side: Side| w.events.iter().filter(|e| e.side == side).copied().collect::<Vec<Event>>();
    let (mut inner, outer) = (at(&one, first.other()), at(&one, first));
    let middle = match inner.first() {
        Some(e) if e.row == 0 && e.group => inner.remove(0).stitches,
        _ => 0,
    };
    let mirror = |all: Vec<Event>| all.into_iter().map(|e| Event { side: e.side.other(), ..e }).collect::<Vec<Event>>();
    let near = |a: &[Event], b: &[Event]| {
        let same =
            |(a, b): (&Event, &Event)| a.row.abs_diff(b.row) <= u32::from(a.group) && Event { row: b.row, ..*a } == *b;
        a.len() == b.len() && a.iter().zip(b).all(same)
    };
    let mirrored = near(&inner, &mirror(at(&other, first))) && near(&outer, &mirror(at(&other, first.other())));
    let even = own.len() == waiting.len() + middle as usize;
    if !mirrored || !even || one.rows != other.rows || !alike(piece, one.stretch, other.stretch) {
        return None;
    }
    let inner: Vec<&Event> = inner.iter().collect();
    let (by, found) = runs(&inner, Change::Decrease)?;
    let node = NewNode::new("neck").number(by);
    let node = node.with_all((middle > 0).then(|| NewNode::new("middle").number(middle)));
    // A neck that is all middle is as wide as that.
    let node = node.with_all((found.is_empty() && middle > 0).then(|| NewNode::new("needles").number(middle)));
    let neck = node.with_all(steps_of(found, Change::Decrease)).on_one_line();
    let both: Vec<Event> = outer.iter().copied().chain(mirror(outer.clone())).collect();
    let sides = if both.is_empty() { None } else { Some(shaping(&both)?) };
    let parts = steps[off..].iter().map(|s| s.origin.0 as usize);
    let told: Vec<usize> =
        parts.filter(|p| plan.origins.get(*p).is_some_and(|p| matches!(p.kind, PartKind::Between { .. }))).collect();
    let needles = u32::try_from(whole.len()).unwrap_or(u32::MAX);
    let lines = sides.into_iter().chain([neck]).collect();
    Some((Section { stretch: one.stretch, rows: one.rows, needles, lines, told: false }, told))
}

/// The rows of a side up to its ending, and what happened at its ends; none where some are not of one fabric, or needles are held.
fn worked(
    (piece, plan): (&Piece, &PiecePlan),
    beds: &mut Beds,
    steps: &[Step],
    mut was: Vec<Needle>,
) -> Option<Worked> {
    let (mut off, mut on) = (Vec::new(), false);
    let (mut stretch, mut rows, mut events, mut ended) = (None, 0, Vec::new(), false);
    for step in steps {
        let kind = plan.origins.get(step.origin.0 as usize).map(|p| &p.kind);
        let ends = matches!(kind, Some(PartKind::Ending));
        let pass = matches!(&step.action, Action::Pass(p) if p.yarn.is_some());
        if !ended && (ends || pass) {
            let now: Vec<Needle> = beds.in_work().map(|n| n.0).collect();
            let new = at_the_ends(&was, &now, beds, (&off, on));
            events.extend(new.into_iter().map(|e| Event { row: rows, ..e }));
            (was, off, on) = (now, Vec::new(), false);
        }
        ended |= ends;
        match (&step.action, kind) {
            _ if ended => {}
            (Action::Pass(p), Some(PartKind::Stretch { index, .. })) if p.yarn.is_some() && !p.main.hold => {
                if !alike(piece, *stretch.get_or_insert(*index), *index) {
                    return None;
                }
                rows += 1;
            }
            (Action::Pass(p), _) if p.yarn.is_some() => return None,
            (Action::Secure { needles, .. }, _) => off.extend(needles),
            (Action::Wrap { .. }, _) => on = true,
            _ => {}
        }
        beds.step(&step.action);
    }
    Some(Worked { stretch: stretch?, rows, events })
}
