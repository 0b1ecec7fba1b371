//! Rows of a fabric at another pitch than its own.

use latchwork_machine::needle::Pitch;
use latchwork_machine::steps::Action;

use super::{At, CraftRule, Watch};
use crate::notice::Level;
use crate::plan::PartKind;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "other-pitch",
    level: Level::Warning,
    says: "The ribber does not stand at the pitch of this fabric.",
    why: "Its needles are not midway between their neighbours, so the stitches come out uneven.",
    remedy: "Set the pitch back before these rows.",
    source: "Common practice, no source: alternate needles at full pitch, every needle at half pitch",
};

pub(super) struct OtherPitch;

impl Watch for OtherPitch {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        if matches!(at.action, Action::Pass(_)) && wanted(at).is_some_and(|p| p != at.beds.pitch()) {
            tell(at.step, String::new());
        }
    }
}

/// The pitch that the fabric in hand wants, where it stands on both beds.
fn wanted(at: &At<'_>) -> Option<Pitch> {
    let PartKind::Stretch { index, .. } = at.part()?.kind else { return None };
    let layout = at.design.pieces.get(at.plan.piece)?.stretches.get(index)?.fabric.layout;
    layout.two_beds().then(|| layout.pitch())
}
