//! A turn at which the yarn lies past too many needles.

use latchwork_machine::loops::LoopId;
use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Yarn};

use super::{At, CraftRule, Watch};
use crate::notice::Level;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "long-turn",
    level: Level::Warning,
    says: "At a turn the yarn lies past more needles than a float may.",
    why: "The strand hangs loose at the edge, or draws it in.",
    remedy: "Hold needles at the side that the carriage goes to, or cut the yarn and join it where it is needed.",
    source: "Teaching pages: at the carriage's side only one needle is held; the limit is that of a float",
};

/// The last needle that the yarn was knitted on, and the yarn.
#[derive(Default)]
pub(super) struct LongTurn {
    turn: Option<Needle>,
    yarn: Option<Yarn>,
}

impl Watch for LongTurn {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        let p = match at.action {
            Action::Pass(p) => p,
            Action::Wrap { .. }
            | Action::Secure { .. }
            | Action::TurnWrap { .. }
            | Action::Cut(_)
            | Action::Join { .. } => {
                self.turn = None;
                return;
            }
            _ => return,
        };
        let made = at.run.made_in(at.step);
        if made.is_empty() {
            return;
        }
        if p.yarn.is_some() && p.yarn == self.yarn && p.second.is_none() {
            let first = at.run.loops.needle(LoopId(made.start));
            if let Some(last) = self.turn
                && at.beds.place(last).to(at.beds.place(first)) > at.design.machine.profile.float.value * 2
            {
                tell(at.step, format!(", from {last} to {first}"));
            }
        }
        self.turn = Some(at.run.loops.needle(LoopId(made.end - 1)));
        self.yarn = p.yarn;
    }
}
