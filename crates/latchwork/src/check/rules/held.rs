//! Stitches cast off while their needles are in holding position.

use latchwork_machine::needle::Position;
use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct Held;

impl Watch for Held {
    fn rule(&self) -> Craft {
        Craft::BoundOffHolding
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let Action::Secure { needles, .. } = at.action else { return };
        let holding = |n| at.beds.in_work().any(|(m, position)| m == n && position == Position::Holding);
        if let Some(n) = needles.iter().find(|n| holding(**n)) {
            tell(at.step, Detail::First(*n));
        }
    }
}
