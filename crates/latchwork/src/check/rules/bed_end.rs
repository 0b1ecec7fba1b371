//! Work so wide that the carriage cannot clear it.

use latchwork_machine::steps::Action;

use super::{At, CraftRule, PRACTICE, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "near-bed-end",
    level: Level::Warning,
    says: "The work reaches the end of the bed.",
    why: "The carriage needs two to five free needles at each side to clear the work.",
    remedy: "Use fewer needles, or knit it in two pieces.",
    source: PRACTICE,
};

pub(super) struct BedEnd;

impl Watch for BedEnd {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        let Action::IntoWork(needles) = at.action else { return };
        for n in needles {
            if let Some((first, last)) = at.design.machine.profile.reach(n.bed)
                && (n.slot.0 - first.0 < 2 || last.0 - n.slot.0 < 2)
            {
                tell(at.step, format!(", {n}"));
            }
        }
    }
}
