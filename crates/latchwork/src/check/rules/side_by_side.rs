//! Tucks on two neighbouring needles of a bed in the same pass.

use latchwork_machine::loops::Kind;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Setting};

use super::{At, Watch};
use crate::fact::{Craft, Detail};

#[derive(Default)]
pub(super) struct SideBySide {
    /// The last passes alike without a fault.
    fine: Option<(u32, u32)>,
}

impl Watch for SideBySide {
    fn rule(&self) -> Craft {
        Craft::TucksSideBySide
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let Action::Pass(p) = at.action else { return };
        if p.main.setting != Setting::Tuck && p.ribber.setting != Setting::Tuck {
            return;
        }
        let made = at.run.made_in(at.step);
        let alike = at.run.loops.alike(&made);
        if alike.is_some() && alike == self.fine {
            return;
        }
        self.fine = alike;
        let mut before: Option<Needle> = None;
        for (_, needle, kind) in at.run.loops.each(made) {
            let tucked = (kind == Kind::Tuck).then_some(needle);
            if let (Some(a), Some(b)) = (before, tucked)
                && a.bed == b.bed
                && at.beds.place(a).to(at.beds.place(b)) <= 2
            {
                self.fine = None;
                tell(at.step, Detail::Both(a, b));
            }
            before = tucked;
        }
    }
}
