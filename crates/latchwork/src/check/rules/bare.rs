//! Both beds knitted with nothing hanging.

use latchwork_machine::needle::Bed;
use latchwork_machine::steps::Action;

use super::{At, CraftRule, PRACTICE, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "two-beds-unweighted",
    level: Level::Warning,
    says: "Both beds knit with nothing hanging from the work.",
    why: "The loops ride up between the beds and jump off.",
    remedy: "Hang weights, or move the work to the main bed first.",
    source: PRACTICE,
};

pub(super) struct Bare;

impl Watch for Bare {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        if !matches!(at.action, Action::Pass(_)) {
            return;
        }
        let reading = at.run.readings[at.step];
        let both = reading.stitches.0 > 0 && reading.stitches.1 > 0;
        if both && !at.run.made_in(at.step).is_empty() && at.beds.stitches(Bed::Ribber) > 0 && reading.grams == 0 {
            tell(at.step, String::new());
        }
    }
}
