//! The stitch size of the row before casting off.

use latchwork_machine::steps::{Action, Pass, Setting, Way, Yarn};

use crate::fact::CheckFact;
use crate::notice::{Notice, Notices};
use crate::plan::{PartKind, PiecePlan};

/// The row before casting off must be at least two numbers looser than the stretch that it ends.
pub(in crate::check) fn loose_enough(plan: &PiecePlan, notices: &mut Notices) {
    let steps = &plan.plan.steps;
    for (i, step) in steps.iter().enumerate() {
        let Action::Secure { needles, way: Way::LoopThroughLoop | Way::Chain, .. } = &step.action else { continue };
        let ending = plan.origins.get(step.origin.0 as usize).is_some_and(|p| p.kind == PartKind::Ending);
        if needles.len() < 2 || !ending {
            continue;
        }
        let working = |s: &&latchwork_machine::steps::Step| match &s.action {
            // Waste yarn and ravel cord are 1 and 2.
            Action::Pass(p @ Pass { yarn: Some(Yarn(0 | 3..)), .. }) if p.main.setting != Setting::Slip => {
                Some(p.main.dial.0)
            }
            _ => None,
        };
        let last = steps[..i].iter().rev().find_map(|s| working(&s).map(|d| (d, s.origin)));
        let stretch = steps[..i]
            .iter()
            .rev()
            .filter(|s| plan.origins[s.origin.0 as usize].fabric().is_some())
            .find_map(|s| working(&s));
        if let (Some((last, _)), Some(stretch)) = (last, stretch)
            && last < stretch + 6
        {
            let part = &plan.origins[step.origin.0 as usize];
            notices
                .push(Notice::warning(part.span, CheckFact::BindsOffTight { piece: plan.name.clone(), last, stretch }));
        }
    }
}
