//! Rules beyond what the machine enforces, a file for each. Craft rules watch a run step by step: a finding is a
//! `fact::Craft`, with its words and source in `wording`, and a case with its near miss in
//! `tests/suite/notes/craft.notes`. The other rules compare draft, seams and yarn in hand with the result.

mod bare;
mod bed_end;
mod drafted;
mod far_increase;
mod held;
mod in_hand;
mod long_turn;
mod loose_cast_on;
mod other_pitch;
mod racked_far;
mod seams;
mod side_by_side;
mod stretches;
mod tight_bind_off;
mod told_apart;
mod weights_low;

use latchwork_machine::beds::Beds;
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::Action;

use crate::design::Design;
use crate::fact::{CheckFact, Craft, Detail};
use crate::notice::{Notice, Notices};
use crate::plan::{Part, PiecePlan};

pub(super) use drafted::knitted_as_drafted;
pub(super) use in_hand::yarn_in_hand;
pub(super) use seams::seams_meet;
pub(super) use stretches::stretches_enough;
pub(super) use tight_bind_off::loose_enough;
pub(super) use told_apart::told_apart;

/// The craft rules, as the rule book lists them.
pub(super) const CRAFT: [Craft; 12] = [
    Craft::TucksSideBySide,
    Craft::ThreeTucks,
    Craft::NearBedEnd,
    Craft::RackedFar,
    Craft::WeightsNotMoved,
    Craft::LooseCastOn,
    Craft::LongTurn,
    Craft::WrappedAwayFromYarn,
    Craft::TightBindOff,
    Craft::TwoBedsUnweighted,
    Craft::BoundOffHolding,
    Craft::OtherPitch,
];

/// A step as a rule sees it: the beds before it, and its result.
pub(super) struct At<'a> {
    step: usize,
    action: &'a Action,
    beds: &'a Beds,
    design: &'a Design,
    plan: &'a PiecePlan,
    run: &'a Run,
}

impl At<'_> {
    /// The part of the piece that the step belongs to.
    fn part(&self) -> Option<&Part> {
        self.plan.origins.get(self.plan.plan.steps[self.step].origin.0 as usize)
    }

    /// Needles that carried loops before it.
    fn stitches_before(&self) -> u32 {
        let before = self.step.checked_sub(1).and_then(|j| self.run.readings.get(j));
        before.map_or(0, |r| r.stitches.0 + r.stitches.1)
    }
}

/// A rule that watches a run step by step, as a knitter would.
trait Watch {
    /// Its rule.
    fn rule(&self) -> Craft;

    /// Checks a step; reports the step at fault, with details for the rule's words.
    fn see(&mut self, at: &At<'_>, tell: &mut dyn FnMut(usize, Detail));
}

/// Checks a run; each rule reports once per part.
pub(super) fn look(design: &Design, plan: &PiecePlan, run: &Run, notices: &mut Notices) {
    let mut told: Vec<(Craft, u32)> = Vec::new();
    let mut tell = |rule: Craft, step: usize, detail: Detail| {
        let origin = plan.plan.steps[step].origin.0;
        if told.contains(&(rule, origin)) {
            return;
        }
        told.push((rule, origin));
        let Some(part) = plan.origins.get(origin as usize) else { return };
        let place = super::findings::place(plan, run, part, step);
        let of = if rule.is_error() { Notice::error } else { Notice::warning };
        notices.push(of(part.span, CheckFact::Craft { rule, place, detail }));
    };
    let mut watches: [Box<dyn Watch>; 11] = [
        Box::new(racked_far::RackedFar::default()),
        Box::new(bed_end::BedEnd),
        Box::new(far_increase::FarIncrease),
        Box::new(held::Held),
        Box::new(other_pitch::OtherPitch),
        Box::new(bare::Bare),
        Box::new(weights_low::WeightsLow::default()),
        Box::new(side_by_side::SideBySide::of(2)),
        Box::new(side_by_side::SideBySide::of(3)),
        Box::new(long_turn::LongTurn::default()),
        Box::new(loose_cast_on::LooseCastOn::default()),
    ];
    let side = run.readings.first().map_or(latchwork_machine::needle::Side::Right, |r| r.carriage);
    let mut beds = Beds::outline(side);
    for (step, s) in plan.plan.steps.iter().enumerate().take(run.readings.len()) {
        // A claim changes nothing.
        if matches!(s.action, Action::Claim(_)) {
            continue;
        }
        let at = At { step, action: &s.action, beds: &beds, design, plan, run };
        for watch in &mut watches {
            let rule = watch.rule();
            watch.see(&at, &mut |step, detail| tell(rule, step, detail));
        }
        beds.step(&s.action);
    }
}
