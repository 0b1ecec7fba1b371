//! Both beds knit with no weight hung.

use latchwork_machine::needle::Bed;
use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct Bare;

impl Watch for Bare {
    fn rule(&self) -> Craft {
        Craft::TwoBedsUnweighted
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        if !matches!(at.action, Action::Pass(_)) {
            return;
        }
        let reading = at.run.readings[at.step];
        let both = reading.stitches.0 > 0 && reading.stitches.1 > 0;
        if both && !at.run.made_in(at.step).is_empty() && at.beds.stitches(Bed::Ribber) > 0 && reading.grams == 0 {
            tell(at.step, Detail::Nothing);
        }
    }
}
