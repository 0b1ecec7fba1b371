//! Needles wrapped on at the side where the yarn is not.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::Action;

use super::{At, CraftRule, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "wrapped-away-from-yarn",
    level: Level::Warning,
    says: "Needles are wrapped at the side where the yarn is not.",
    why: "The yarn would lie across the whole work.",
    remedy: "Wrap new needles at the carriage's side.",
    source: "Teaching pages: several stitches are added at the carriage's side only",
};

pub(super) struct FarIncrease;

impl Watch for FarIncrease {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        let Action::Wrap { needles, .. } = at.action else { return };
        let right = at.beds.carriage() == Side::Right;
        let far = needles.iter().all(|n| if right { n.slot.0 < 0 } else { n.slot.0 >= 0 });
        if at.stitches_before() > 0 && far {
            tell(at.step, String::new());
        }
    }
}
