//! Stitches made fast on needles still in holding position.

use latchwork_machine::needle::Position;
use latchwork_machine::steps::Action;

use super::{At, CraftRule, PRACTICE, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "bound-off-holding",
    level: Level::Warning,
    says: "Stitches are made fast on needles that are still in holding position.",
    why: "They did not knit in the row before, so the edge is tight and the rows under it are short.",
    remedy: "Write back to work all, and knit a row over them first.",
    source: PRACTICE,
};

pub(super) struct Held;

impl Watch for Held {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        let Action::Secure { needles, .. } = at.action else { return };
        let holding = |n| at.beds.in_work().any(|(m, position)| m == n && position == Position::Holding);
        if let Some(n) = needles.iter().find(|n| holding(**n)) {
            tell(at.step, format!(", {n} first"));
        }
    }
}
