//! Rows of a fabric at a pitch other than its own.

use latchwork_machine::needle::Pitch;
use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};
use crate::plan::PartKind;

pub(super) struct OtherPitch;

impl Watch for OtherPitch {
    fn rule(&self) -> Craft {
        Craft::OtherPitch
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        if matches!(at.action, Action::Pass(_)) && wanted(at).is_some_and(|p| p != at.beds.pitch()) {
            tell(at.step, Detail::Nothing);
        }
    }
}

/// The pitch that the current fabric needs, if it uses both beds.
fn wanted(at: &At<'_>) -> Option<Pitch> {
    let PartKind::Stretch { index, .. } = at.part()?.kind else { return None };
    let layout = at.design.pieces.get(at.plan.piece)?.stretches.get(index)?.fabric.layout;
    layout.two_beds().then(|| layout.pitch())
}
