//! Drafted against knitted.

use std::collections::BTreeSet;

use latchwork_machine::loops::LoopId;
use latchwork_machine::needle::Needle;
use latchwork_machine::rehearsal::{Ended, Run};
use latchwork_machine::steps::Action;

use crate::fact::{CheckFact, PartName};
use crate::notice::{Notice, Notices};
use crate::plan::PiecePlan;
use crate::stitches::Stitches;

/// Every stretch must have the needles and passes settled for it.
pub(in crate::check) fn knitted_as_drafted(plan: &PiecePlan, stitches: &Stitches, run: &Run, notices: &mut Notices) {
    if run.ended != Ended::Finished {
        return;
    }
    for (origin, part) in plan.origins.iter().enumerate() {
        let drafted = part.stretch().filter(|_| part.fabric().is_some());
        let Some(worked) = drafted.and_then(|i| stitches.pieces[plan.piece].stretches.get(i)) else { continue };
        let mut steps = plan.plan.steps.iter().enumerate().filter(|(_, s)| s.origin.0 as usize == origin);
        let passes = steps.clone().filter(|(_, s)| matches!(s.action, Action::Pass(p) if p.yarn.is_some())).count();
        // Needles brought in after the last row take their first loops in a later row.
        let mut empty: BTreeSet<Needle> = BTreeSet::new();
        for (i, s) in steps.clone() {
            match &s.action {
                Action::IntoWork(n) => empty.extend(n),
                Action::PutBack { needles, .. } | Action::OutOfWork(needles) => empty.retain(|n| !needles.contains(n)),
                Action::Transfer(m) => {
                    empty.remove(&m.to);
                }
                Action::Pass(_) if !empty.is_empty() => {
                    run.made_in(i).for_each(|l| {
                        empty.remove(&run.loops.needle(LoopId(l)));
                    });
                }
                _ => {}
            }
        }
        let brought = u32::try_from(empty.len()).unwrap_or(u32::MAX);
        let after = steps.next_back().and_then(|(i, _)| run.readings.get(i)).map_or((0, 0), |r| r.stitches);
        let needles = match (&part.name, &worked.parts) {
            (PartName::SideOf(_, side), Some(parts)) => {
                let side = if plan.mirrored { side.other() } else { *side };
                parts.needles_end(side, worked.needles) + parts.held_beside(side, worked.needles)
            }
            _ => worked.needles_end,
        };
        let wanted = (worked.rows + u32::from(worked.clearing), needles);
        let is = (u32::try_from(passes).unwrap_or(u32::MAX), after.0 + after.1 + brought);
        if wanted != is {
            notices.push(Notice::error(
                part.span,
                CheckFact::NotAsDrafted { part: part.name.clone(), drafted: wanted, knitted: is },
            ));
        }
    }
}
