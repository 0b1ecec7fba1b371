//! Needles e-wrapped at the side away from the yarn.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct FarIncrease;

impl Watch for FarIncrease {
    fn rule(&self) -> Craft {
        Craft::WrappedAwayFromYarn
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let Action::Wrap { needles, cut_length: false, .. } = at.action else { return };
        let right = at.beds.carriage() == Side::Right;
        let far = needles.iter().all(|n| if right { n.slot.0 < 0 } else { n.slot.0 >= 0 });
        if at.stitches_before() > 0 && far {
            tell(at.step, Detail::Nothing);
        }
    }
}
