//! The ribber racked far at once, with loops on it.

use latchwork_machine::needle::Needle;
use latchwork_machine::steps::Action;

use super::{At, CraftRule, Watch};
use crate::notice::Level;
use crate::plan::PartKind;

pub(in crate::check) const RULE: CraftRule = CraftRule {
    id: "racked-far",
    level: Level::Warning,
    says: "The ribber is racked by two needles or more at once, with loops on it.",
    why: "The yarn between the beds does not stretch so far.",
    remedy: "Rack one needle, knit a row, and rack the next.",
    source: "Teaching pages: not more than about one and a half needles at once",
};

/// Where the ribber stood before it was racked, in half pitches, and the step that racks it.
#[derive(Default)]
pub(super) struct RackedFar(Option<(i32, usize)>);

impl Watch for RackedFar {
    fn rule(&self) -> &'static CraftRule {
        &RULE
    }

    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, String)) {
        let stands = at.beds.place(Needle::ribber(0)).0;
        if matches!(at.action, Action::Rack(_) | Action::Pitch(_)) {
            self.0.get_or_insert((stands, at.step));
        } else if let Some((from, racked)) = self.0.take() {
            let part = at.plan.origins.get(at.plan.plan.steps[racked].origin.0 as usize);
            // The cast-on of some ribs racks by itself, before the loops are drawn tight.
            let loops = at.run.readings[racked].stitches.1 > 0 && part.is_none_or(|p| p.kind != PartKind::CastOn);
            if loops && stands.abs_diff(from) >= 4 {
                tell(racked, format!(", by {} needles", stands.abs_diff(from) / 2));
            }
        }
    }
}
