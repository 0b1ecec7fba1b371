//! Tucks on two or three neighbouring needles of a bed in the same pass.

use latchwork_machine::loops::Kind;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Setting};

use super::{At, Watch};
use crate::fact::{Craft, Detail};

pub(super) struct SideBySide {
    /// How many side by side are at fault.
    many: usize,
    /// The last passes alike without a fault.
    fine: Option<(u32, u32)>,
}

impl SideBySide {
    /// Watches for so many side by side: two, or three.
    pub(super) fn of(many: usize) -> SideBySide {
        SideBySide { many, fine: None }
    }
}

impl Watch for SideBySide {
    fn rule(&self) -> Craft {
        if self.many > 2 { Craft::ThreeTucks } else { Craft::TucksSideBySide }
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
        let mut run: Vec<Needle> = Vec::new();
        for (_, needle, kind) in at.run.loops.each(made) {
            let beside = |a: &Needle| a.bed == needle.bed && at.beds.place(*a).to(at.beds.place(needle)) <= 2;
            if kind != Kind::Tuck || !run.last().is_none_or(beside) {
                run.clear();
            }
            if kind == Kind::Tuck {
                run.push(needle);
            }
            if let (Some(first), true) = (run.first(), run.len() == self.many) {
                self.fine = None;
                tell(at.step, Detail::Both(*first, needle));
            }
        }
    }
}
