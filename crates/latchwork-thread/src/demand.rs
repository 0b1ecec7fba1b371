//! What the rules of stitches demand of every crossing, worked out apart from how the diagram is made.

use std::collections::BTreeMap;

use latchwork_machine::needle::Bed;
use latchwork_machine::rehearsal::Run;

use crate::path::Diagram;
use crate::weave::{Crossing, Plane, Who, Why};

/// A crossing that the rules do not allow, or one too few or too many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrongCrossing {
    /// The crossing of this index has its strands the wrong way round.
    WrongWay(usize),
    /// A loop has fewer or more crossings than it takes to be drawn through another: new loop, old loop, feet and
    /// heads.
    Count(u32, u32, u32, u32),
}

/// Whether the active strand must be nearer to the knitter. A loop of the main bed is drawn away from the knitter
/// through the loop before it, one of the ribber towards her; the yarn lies between the beds; what is laid on a
/// needle later lies nearer to the gap.
fn active_over(c: &Crossing) -> Option<bool> {
    let main = c.bed == Bed::Main;
    Some(match (c.why, c.plane) {
        (Why::Foot, _) | (Why::Stack, Plane::Bed(_)) => main,
        // The head of the old loop passes over the legs of a new main-bed loop, under those of a new ribber loop.
        (Why::Head, _) => main,
        (Why::Float, Plane::Bed(bed)) => bed == Bed::Main,
        (_, Plane::Front) => false,
        (Why::Carry, Plane::Bed(bed)) => match (c.bed, bed) {
            (Bed::Main, Bed::Ribber) => false,
            (Bed::Ribber, Bed::Main) | (Bed::Main, Bed::Main) => true,
            (Bed::Ribber, Bed::Ribber) => false,
        },
        (Why::Rack, _) => c.bed == Bed::Ribber,
        (Why::Bight, _) => true,
        // Which of two yarns at a side lies in front, and how an end is made fast, depends on the crossing's place.
        (Why::Side | Why::Turn | Why::Fasten | Why::Laid, _) | (Why::Float | Why::Stack | Why::Carry, Plane::Side) => {
            return None;
        }
    })
}

/// Compares the diagram with what the run's loops demand.
#[must_use]
pub fn faults(diagram: &Diagram, run: &Run) -> Vec<WrongCrossing> {
    let mut all = Vec::new();
    let mut pairs: BTreeMap<(u32, u32), (u32, u32)> = BTreeMap::new();
    for (i, c) in diagram.crossings.iter().enumerate() {
        let must = active_over(c).or(diagram.stated.get(&i).copied());
        if must.is_some_and(|m| m != c.over) {
            all.push(WrongCrossing::WrongWay(i));
        }
        match (c.why, diagram.making(i), c.passive, c.active) {
            (Why::Foot, Some(new), Who::Loop(old), _) => pairs.entry((new, old)).or_default().0 += 1,
            (Why::Head, _, Who::Loop(new), Who::Loop(old)) => pairs.entry((new, old)).or_default().1 += 1,
            _ => {}
        }
    }
    for id in run.loops.ids().filter(|id| diagram.drawn.contains(&id.0)) {
        for old in run.loops.through(id) {
            let (feet, heads) = pairs.remove(&(id.0, *old)).unwrap_or_default();
            if (feet, heads) != (2, 2) {
                all.push(WrongCrossing::Count(id.0, *old, feet, heads));
            }
        }
    }
    all.extend(
        pairs
            .into_iter()
            // Loops of a bind-off's chain have no number in the run.
            .filter(|((new, old), _)| [new, old].iter().all(|l| (1..=run.loops.len()).contains(&(**l as usize))))
            .map(|((n, o), (f, h))| WrongCrossing::Count(n, o, f, h)),
    );
    all
}
