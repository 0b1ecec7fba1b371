//! How a piece begins.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::steps::{Action, Leaves, Mark, Move, Setting};

use super::build::{Builder, CORD, WASTE, WORKING};
use crate::design::CastOn;
use crate::fabric::{Course, Layout};
use crate::stitches::WASTE_PASSES;

const RIBBER: Course = Course { main: Setting::Slip, ribber: Setting::Knit, going: None };
const BOTH: Course = Course { main: Setting::Knit, ribber: Setting::Knit, going: None };

impl Builder<'_> {
    pub(crate) fn cast_on(&mut self) {
        let layout = self.piece.stretches[0].fabric.layout;
        match self.piece.cast_on {
            CastOn::Closed(tubular) => self.closed(layout, tubular),
            CastOn::EWrap => self.e_wrap(),
            CastOn::Waste => self.waste(),
        }
        self.set_counter(0);
        self.claim();
    }

    pub(crate) fn begin(&mut self, layout: Layout, pitch: Pitch, racking: Racking) {
        (self.pitch, self.racking) = (pitch, racking);
        self.step(Action::Start { carriage: self.side, pitch, racking });
        self.needles = layout.needles(self.stitches.left, self.stitches.places, self.stitches.left);
        if layout == Layout::MainOnly && self.design.machine.profile.ribber_needles > 0 {
            self.ribber_up = false;
            self.step(Action::RibberDown);
        }
        self.step(Action::IntoWork(self.needles.clone()));
        self.reorder();
    }

    /// Zigzag, comb and weights, tubular passes; then the ribber to where the fabric wants it.
    pub(crate) fn closed(&mut self, layout: Layout, tubular: u32) {
        let wide = if layout == Layout::TwoOne { Layout::TwoThree } else { layout };
        let (pitch, racking) = layout.cast_on_at();
        self.begin(wide, pitch, racking);
        self.step(Action::Join { yarn: WORKING, side: self.side });
        self.tail(self.start_tail());
        let tight = self.design.machine.dial.0;
        self.pass(BOTH, (tight, tight), Mark::Plain);
        self.hang();
        let round = tight + 3;
        for i in 0..tubular {
            self.pass(if i % 2 == 0 { Course::MAIN } else { RIBBER }, (round, round), Mark::Plain);
        }
        if layout == Layout::TwoOne {
            let kept = |n: &Needle| layout.in_work(n.bed, n.slot.0 - self.stitches.left.0);
            let moves: Vec<Move> = self
                .needles
                .iter()
                .filter(|n| !kept(n))
                .map(|n| Move { from: *n, to: Needle::ribber(n.slot.0 + 1), leaves: Leaves::Out })
                .collect();
            self.needles.retain(|n| layout.in_work(n.bed, n.slot.0 - self.stitches.left.0));
            for m in moves {
                self.step(Action::Transfer(m));
            }
        }
        self.rack(Racking(0), layout.pitch());
        self.reorder();
        self.reweigh();
    }

    /// The yarn wound round each needle, in order towards the carriage.
    pub(crate) fn e_wrap(&mut self) {
        self.begin(Layout::MainOnly, Pitch::Full, Racking(0));
        self.step(Action::Join { yarn: WORKING, side: self.side });
        self.tail(self.start_tail());
        self.step(Action::Hold(self.needles.clone()));
        let mut needles = self.needles.clone();
        if self.side == Side::Left {
            needles.reverse();
        }
        self.step(Action::Wrap { needles, yarn: WORKING });
        self.hang_next = true;
    }

    /// Waste yarn, then a ravel cord that is drawn out later to free the first row.
    pub(crate) fn waste(&mut self) {
        let dial = self.piece.stretches[0].gauge.dial;
        self.begin(Layout::MainOnly, Pitch::Full, Racking(0));
        self.step(Action::Join { yarn: WASTE, side: self.side });
        self.yarn = WASTE;
        self.pass(Course::MAIN, dial, Mark::OpenStart);
        self.hang();
        for _ in 1..WASTE_PASSES {
            self.pass(Course::MAIN, dial, Mark::Plain);
        }
        self.step(Action::Cut(WASTE));
        self.step(Action::Join { yarn: CORD, side: self.side });
        self.yarn = CORD;
        self.pass(Course::MAIN, dial, Mark::Plain);
        self.step(Action::Cut(CORD));
        self.step(Action::Join { yarn: WORKING, side: self.side });
        self.tail(self.start_tail());
        self.yarn = WORKING;
        debug_assert!(self.count(Bed::Ribber) == 0, "waste is knitted on the main bed");
    }
}
