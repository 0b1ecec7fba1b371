//! Cast-ons.

use latchwork_machine::needle::{Bed, Needle, Racking, Side, Slot};
use latchwork_machine::steps::{Action, Leaves, Mark, Move, Setting};

use super::build::{Builder, CORD, WASTE, WORKING};
use crate::design::{CastOn, JoinAt};
use crate::fabric::{Begun, Course, Layout};
use crate::stitches::WASTE_PASSES;

const RIBBER: Course = Course { main: Setting::Slip, ribber: Setting::Knit, going: None };
const BOTH: Course = Course { main: Setting::Knit, ribber: Setting::Knit, going: None };

impl Builder<'_> {
    pub(crate) fn cast_on(&mut self, cast_on: CastOn, layout: Layout) {
        match cast_on {
            CastOn::Closed(tubular) => self.closed(layout, tubular),
            CastOn::EWrap => self.e_wrap(layout),
            CastOn::Waste => self.waste(layout),
            CastOn::Hung => self.hung(layout),
        }
        self.bring_in_ribber(layout);
        self.set_counter(0);
        self.claim();
    }

    /// Brings the needles to cast on into work, and sets the beds for the first row.
    pub(crate) fn begin(&mut self, layout: Layout) {
        let (pitch, racking) = match layout.begun() {
            Begun::BothBeds { pitch, racking, .. } => (pitch, racking),
            Begun::MainBed => (layout.pitch(), Racking(0)),
        };
        self.step(Action::Start { carriage: self.side(), pitch, racking });
        if !layout.two_beds() && self.design.machine.profile.ribber_needles > 0 {
            self.step(Action::RibberDown);
        }
        self.step(Action::IntoWork(layout.cast_on(self.stitches.left, self.stitches.places)));
    }

    /// Edges of other pieces hung on the main bed, from which the piece is knitted on; then half of the stitches go to the ribber,
    /// where the beds take turns.
    fn hung(&mut self, layout: Layout) {
        self.begin(Layout::MAIN);
        let needles = self.needles();
        let all = u32::try_from(needles.len()).unwrap_or(u32::MAX);
        if let Some(join) = self.design.join(self.index, JoinAt::FirstRow) {
            self.hang_edges(join, &needles, (0, all));
        }
        self.hang_to(self.whole_claws(self.grams_now()), 0);
        self.step(Action::Join { yarn: WORKING, side: self.side() });
        self.tail(self.start_tail());
        if layout.two_beds() {
            self.change_layout(layout);
        }
    }

    /// Zigzag, comb and weights, tubular passes; then the ribber as the fabric needs it.
    pub(crate) fn closed(&mut self, layout: Layout, tubular: u32) {
        self.begin(layout);
        self.step(Action::Join { yarn: WORKING, side: self.side() });
        self.tail(self.start_tail());
        let tight = self.design.machine.dial.0;
        self.pass(BOTH, (tight, tight), Mark::Plain);
        self.hang();
        let round = tight + 3;
        for i in 0..tubular {
            self.pass(if i % 2 == 0 { Course::MAIN } else { RIBBER }, (round, round), Mark::Plain);
        }
        self.lay_on_neighbours(layout);
        self.rack(Racking(0), layout.pitch());
        self.reweigh();
    }

    /// Transfers the loops of needles that only the cast-on used to a neighbour on the same bed, the right-hand one if it
    /// stays in work.
    fn lay_on_neighbours(&mut self, layout: Layout) {
        let kept = |n: &Needle| layout.in_work(n.bed, n.slot.0 - self.stitches.left.0);
        let beside = |n: &Needle| {
            let at = |by: i16| Needle { slot: Slot(n.slot.0 + by), ..*n };
            [at(1), at(-1)].into_iter().find(|n| kept(n) && self.has(*n))
        };
        let going = self.needles().into_iter().filter(|n| !kept(n));
        let moves: Vec<Move> =
            going.filter_map(|n| Some(Move { from: n, to: beside(&n)?, leaves: Leaves::Out })).collect();
        for m in moves {
            self.step(Action::Transfer(m));
        }
    }

    /// Brings the ribber needles into work, empty, for a fabric cast on the main bed.
    pub(crate) fn bring_in_ribber(&mut self, layout: Layout) {
        if !layout.two_beds() || layout.begun() != Begun::MainBed {
            return;
        }
        let all = layout.needles(self.stitches.left, self.stitches.places, self.stitches.left);
        let new: Vec<Needle> = all.into_iter().filter(|n| n.bed == Bed::Ribber).collect();
        self.step(Action::IntoWork(new));
        self.let_off = true;
    }

    /// E-wraps each needle, in order towards the carriage.
    pub(crate) fn e_wrap(&mut self, layout: Layout) {
        self.begin(layout);
        self.step(Action::Join { yarn: WORKING, side: self.side() });
        self.tail(self.start_tail());
        let mut needles = self.needles();
        self.step(Action::Hold(needles.clone()));
        if self.side() == Side::Left {
            needles.reverse();
        }
        self.step(Action::Wrap { needles, yarn: WORKING, cut_length: false });
        self.hang_next = true;
    }

    /// Waste yarn, then a ravel cord, pulled out later to free the first row.
    pub(crate) fn waste(&mut self, layout: Layout) {
        let dial = self.piece.stretches[0].gauge.dial;
        self.begin(layout);
        self.step(Action::Join { yarn: WASTE, side: self.side() });
        self.yarn = WASTE;
        self.pass(Course::MAIN, dial, Mark::OpenStart);
        self.hang();
        for _ in 1..WASTE_PASSES {
            self.pass(Course::MAIN, dial, Mark::Plain);
        }
        self.step(Action::Cut(WASTE));
        self.step(Action::Join { yarn: CORD, side: self.side() });
        self.yarn = CORD;
        self.pass(Course::MAIN, dial, Mark::Plain);
        self.step(Action::Cut(CORD));
        self.step(Action::Join { yarn: WORKING, side: self.side() });
        self.tail(self.start_tail());
        self.yarn = WORKING;
        debug_assert!(self.count(Bed::Ribber) == 0, "waste is knitted on the main bed");
    }
}
