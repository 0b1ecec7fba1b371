//! The stitch size of the zigzag against that of the first stretch.

use latchwork_machine::steps::{Action, Dial, Setting};

use super::{At, Watch};
use crate::fact::{Craft, Detail};
use crate::plan::PartKind;

/// The step and stitch size of the zigzag, until the first stretch is reached.
#[derive(Default)]
pub(super) struct LooseCastOn {
    zigzag: Option<(usize, Dial)>,
    done: bool,
}

impl Watch for LooseCastOn {
    fn rule(&self) -> Craft {
        Craft::LooseCastOn
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let (Action::Pass(p), Some(part), false) = (at.action, at.part(), self.done) else { return };
        let both = p.main.setting == Setting::Knit && p.ribber.setting == Setting::Knit;
        match (&part.kind, self.zigzag) {
            (PartKind::CastOn, None) if both => self.zigzag = Some((at.step, p.main.dial)),
            (PartKind::Stretch { .. }, zigzag) => {
                self.done = true;
                if let Some((step, dial)) = zigzag
                    && dial >= p.main.dial
                    && p.main.dial.0 > 0
                {
                    tell(step, Detail::Nothing);
                }
            }
            _ => {}
        }
    }
}
