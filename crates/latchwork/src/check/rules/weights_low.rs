//! Weights not moved up for too many rows.

use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};

/// Rows after which weights should have been moved up.
const ROWS_HELD: u32 = 40;

/// Rows since weights were last hung or moved up, and whether any hang.
#[derive(Default)]
pub(super) struct WeightsLow {
    rows: u32,
    hangs: bool,
}

impl Watch for WeightsLow {
    fn rule(&self) -> Craft {
        Craft::WeightsNotMoved
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        match at.action {
            Action::Hang { .. } | Action::MoveUp(_) | Action::Unhang { .. } => {
                self.rows = 0;
                self.hangs = at.run.readings[at.step].grams > 0;
            }
            Action::Pass(_) => {
                self.rows += 1;
                if self.hangs && self.rows > ROWS_HELD {
                    tell(at.step, Detail::Nothing);
                    self.rows = 0;
                }
            }
            _ => {}
        }
    }
}
