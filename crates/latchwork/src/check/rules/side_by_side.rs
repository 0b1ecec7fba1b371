//! Two tucks on neighbouring needles of a bed, with nothing knitted between.

use latchwork_machine::loops::{Kind, LoopId};
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
        let ids: Vec<u32> = at.run.made_in(at.step).collect();
        for pair in ids.windows(2) {
            let (a, b) = (at.run.loops.needle(LoopId(pair[0])), at.run.loops.needle(LoopId(pair[1])));
            let tuck = |k: usize| at.run.loops.kind(LoopId(pair[k])) == Kind::Tuck;
            if a.bed == b.bed && tuck(0) && tuck(1) && at.beds.place(a).to(at.beds.place(b)) <= 2 {
                tell(at.step, Detail::Both(a, b));
            }
        }
    }
}
