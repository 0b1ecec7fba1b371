//! The ribber racked far in one move, with loops on it.

use latchwork_machine::needle::Needle;
use latchwork_machine::steps::Action;

use super::{At, Watch};
use crate::fact::{Craft, Detail};
use crate::plan::PartKind;

/// Where the ribber stood before it was racked, in half pitches, and the step that racks it.
#[derive(Default)]
pub(super) struct RackedFar(Option<(i32, usize)>);

impl Watch for RackedFar {
    fn rule(&self) -> Craft {
        Craft::RackedFar
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail)) {
        let stands = at.beds.place(Needle::ribber(0)).0;
        if matches!(at.action, Action::Rack(_) | Action::Pitch(_)) {
            self.0.get_or_insert((stands, at.step));
        } else if let Some((from, racked)) = self.0.take() {
            let part = at.plan.origins.get(at.plan.plan.steps[racked].origin.0 as usize);
            // The cast-on of some ribs racks too, before its loops are drawn tight.
            let loops = at.run.readings[racked].stitches.1 > 0 && part.is_none_or(|p| p.kind != PartKind::CastOn);
            if loops && stands.abs_diff(from) >= 4 {
                tell(racked, Detail::By { needles: stands.abs_diff(from) / 2 });
            }
        }
    }
}
