//! The work parted, for a neck or at a slit: one side is knitted while the other waits.

use latchwork_machine::needle::{Bed, Needle, Position, Side};
use latchwork_machine::steps::{Action, BedSetting, Dial, Holder, Load, Mark, Pass, Setting, Way};

use super::PartKind;
use super::build::{Builder, WORKING};
use crate::design;
use crate::fact::PartName;
use crate::stitches::Go;
use crate::units::Mm;

/// The holder, or length of waste yarn, on which a side waits.
const HOLDER: Holder = Holder(0);

/// Yarn left hanging where the second side begins: common practice, no source.
const TAIL: Mm = Mm(150.0);

/// The stitches that wait, and where the work parted.
pub(super) struct Waits {
    needles: Vec<Needle>,
    on_needles: bool,
    reading: u32,
    ribber: bool,
}

impl Builder<'_> {
    /// Casts off the middle with a length of its own, and takes the other side off its needles.
    pub(super) fn parted(&mut self, before: usize, middle: u32, side: Side) {
        self.part_at(PartName::Parting, PartKind::Between { before }, self.piece.stretches[before].span);
        self.leave_behind();
        let row = self.needles();
        let each = (row.len() - middle as usize) / 2;
        let (left, rest) = row.split_at(each);
        let (middle, right) = rest.split_at(middle as usize);
        let waiting = if side == Side::Left { right } else { left };
        let (waiting, middle) = (waiting.to_vec(), middle.to_vec());
        let on_needles = self.piece.stretches[before].neck.as_ref().is_some_and(|n| n.waits == design::Waits::Needles);
        if on_needles {
            self.hold = true;
            self.step(Action::Hold(waiting.clone()));
        } else {
            self.step(Action::TakeOff { needles: waiting.clone(), holder: HOLDER });
            self.step(Action::OutOfWork(waiting.clone()));
        }
        self.middle_cast_off(&middle);
        let ribber = waiting.iter().any(|n| n.bed == Bed::Ribber);
        self.waits = Some(Waits { needles: waiting, on_needles, reading: self.counter(), ribber });
        self.claim();
        if on_needles {
            self.reweigh();
        } else {
            self.rehang();
        }
    }

    /// Whether the other side waits on its needles.
    pub(super) fn waits_on_needles(&self) -> bool {
        self.waits.as_ref().is_some_and(|w| w.on_needles)
    }

    fn middle_cast_off(&mut self, middle: &[Needle]) {
        if middle.is_empty() {
            return;
        }
        let needles = self.across_to_main(middle, Side::Left);
        self.step(Action::Secure {
            needles: needles.clone(),
            way: Way::Chain,
            cut_length: Some(self.yarn),
            onto: None,
        });
        self.step(Action::OutOfWork(needles));
    }

    /// Weights for what is knitted on; the comb, which spans the whole row, comes off.
    fn rehang(&mut self) {
        let aim = self.whole_claws(self.grams_now());
        if self.beds.hangs(Load::Comb) > 0 {
            self.weights_alone(aim);
        } else {
            self.hang_to(aim, 0);
        }
    }

    /// Holds the side of a slit that waits.
    pub(super) fn slit(&mut self, before: usize, held: u32) {
        self.part_at(PartName::Parting, PartKind::Between { before }, self.piece.stretches[before].span);
        self.go(Go::Hold(self.side().other(), held), None);
        self.claim();
    }

    /// Cuts the yarn of the side just knitted and holds it; takes up the other from the reading at which the work parted.
    pub(super) fn other_side(&mut self, before: usize, side: Side, back: u32) {
        self.part_at(PartName::SecondSide, PartKind::Between { before }, self.piece.stretches[before].span);
        self.step(Action::Cut(self.yarn));
        self.tail(TAIL);
        let held = |p| p == Position::Holding;
        let (waits, knitted): (Vec<(Needle, Position)>, Vec<_>) = self.beds.in_work().partition(|n| held(n.1));
        self.hold = true;
        self.free_pass_to(side, before);
        self.set_counter(self.counter().saturating_sub(back));
        self.step(Action::Hold(knitted.into_iter().map(|n| n.0).collect()));
        self.step(Action::BackToWorking(waits.into_iter().map(|n| n.0).collect()));
        self.step(Action::Join { yarn: WORKING, side });
        self.tail(TAIL);
        self.claim();
    }

    /// A free pass, not counted, where the carriage is not at this side.
    fn free_pass_to(&mut self, side: Side, before: usize) {
        if self.side() == side {
            return;
        }
        let dial = self.piece.stretches[before].gauge.dial;
        let bed = |dial| BedSetting { setting: Setting::Slip, hold: self.hold, dial: Dial(dial) };
        self.step(Action::Pass(Pass {
            direction: side,
            main: bed(dial.0),
            ribber: bed(dial.1),
            yarn: None,
            second: None,
            laid: None,
            counted: false,
            mark: Mark::Plain,
        }));
    }

    /// Takes up the side that waited: the counter set back, the carriage at its outer edge, the yarn joined there; of `several` each
    /// where a row first takes it.
    pub(super) fn second_side(&mut self, before: usize, side: Side, several: bool) {
        let emptied = self.needles();
        let Some(waits) = self.waits.take() else { return };
        if !emptied.is_empty() {
            self.step(Action::OutOfWork(emptied));
        }
        self.part_at(PartName::SecondSide, PartKind::Between { before }, self.piece.stretches[before].span);
        if waits.ribber && self.beds.ribber_is_down() {
            self.step(Action::RibberUp);
        }
        self.hold = waits.on_needles;
        self.free_pass_to(side, before);
        self.set_counter(waits.reading);
        if waits.on_needles {
            self.step(Action::BackToWorking(waits.needles));
            self.hold = false;
        } else {
            self.step(Action::IntoWork(waits.needles.clone()));
            self.step(Action::PutBack { holder: HOLDER, needles: waits.needles });
        }
        if !several {
            self.step(Action::Join { yarn: WORKING, side });
            self.tail(TAIL);
            self.yarn = WORKING;
        }
        self.claim();
        self.rehang();
    }
}
