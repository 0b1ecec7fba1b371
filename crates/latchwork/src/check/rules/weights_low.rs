//! Weights left where they were for too many rows.

use latchwork_machine::steps::Action;

use super::{At, CraftRule, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "weights-not-moved",
    level: Level::Warning,
    says: "More than 40 rows are knitted without moving the weights up.",
    why: "Far below the needles they no longer hold the edges down.",
    remedy: "Move the claws up every 20 to 40 rows.",
    source: "Common practice, no source: every 20 to 40 rows",
};

/// Rows after which weights should have been moved up.
const ROWS_HELD: u32 = 40;

/// Rows since something was hung or moved up, and whether anything hangs.
#[derive(Default)]
pub(super) struct WeightsLow {
    rows: u32,
    hangs: bool,
}

impl Watch for WeightsLow {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        match at.action {
            Action::Hang { .. } | Action::MoveUp(_) | Action::Unhang { .. } => {
                self.rows = 0;
                self.hangs = at.run.readings[at.step].grams > 0;
            }
            Action::Pass(_) => {
                self.rows += 1;
                if self.hangs && self.rows > ROWS_HELD {
                    tell(at.step, String::new());
                    self.rows = 0;
                }
            }
            _ => {}
        }
    }
}
