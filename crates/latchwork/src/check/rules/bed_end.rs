//! Knitting too wide for the carriage to clear.

use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct BedEnd;

impl Watch for BedEnd {
    fn rule(&self) -> Craft {
        Craft::NearBedEnd
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let Action::IntoWork(needles) = at.action else { return };
        for n in needles {
            if let Some((first, last)) = at.design.machine.profile.reach(n.bed)
                && (n.slot.0 - first.0 < 2 || last.0 - n.slot.0 < 2)
            {
                tell(at.step, Detail::Needle(*n));
            }
        }
    }
}
