//! Two tucks on neighbouring needles of a bed, with nothing knitted between.

use latchwork_machine::loops::Kind;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Setting};

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct SideBySide;

impl Watch for SideBySide {
    fn rule(&self) -> Craft {
        Craft::TucksSideBySide
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let Action::Pass(p) = at.action else { return };
        if p.main.setting != Setting::Tuck && p.ribber.setting != Setting::Tuck {
            return;
        }
        let mut before: Option<Needle> = None;
        for (_, needle, kind) in at.run.loops.each(at.run.made_in(at.step)) {
            let tucked = (kind == Kind::Tuck).then_some(needle);
            if let (Some(a), Some(b)) = (before, tucked)
                && a.bed == b.bed
                && at.beds.place(a).to(at.beds.place(b)) <= 2
            {
                tell(at.step, Detail::Both(a, b));
            }
            before = tucked;
        }
    }
}
