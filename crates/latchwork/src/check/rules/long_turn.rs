//! A turn where the yarn floats past too many needles.

use latchwork_machine::needle::Needle;
use latchwork_machine::steps::{Action, Yarn};

use super::{At, Watch};
use crate::fact::{Craft, Detail};

/// The last needle that the yarn was knitted on, and the yarn.
#[derive(Default)]
pub(super) struct LongTurn {
    turn: Option<Needle>,
    /// Its place on a holder, while its loop is there.
    taken: Option<usize>,
    yarn: Option<Yarn>,
}

impl Watch for LongTurn {
    fn rule(&self) -> Craft {
        Craft::LongTurn
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
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
            // The yarn goes where its last loop is moved.
            Action::Transfer(m) if self.turn == Some(m.from) => {
                self.turn = Some(m.to);
                return;
            }
            Action::TakeOff { needles, .. } => {
                self.taken = needles.iter().position(|n| Some(*n) == self.turn);
                return;
            }
            Action::PutBack { needles, .. } => {
                self.turn = self.taken.take().and_then(|at| needles.get(at).copied()).or(self.turn);
                return;
            }
            _ => return,
        };
        let Some((first, end)) = at.run.loops.ends(&at.run.made_in(at.step)) else { return };
        if p.yarn.is_some()
            && p.yarn == self.yarn
            && p.second.is_none()
            && let Some(last) = self.turn
            && at.beds.place(last).to(at.beds.place(first)) > at.design.machine.profile.float.value * 2
        {
            tell(at.step, Detail::FromTo(last, first));
        }
        self.turn = Some(end);
        self.yarn = p.yarn;
    }
}
