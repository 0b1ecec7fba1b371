//! Which needles are in work and in which position, as far as the words have told.

use std::collections::BTreeSet;

use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use latchwork_machine::steps::{Action, Leaves, Move, Pass, Setting};

#[derive(Debug, Clone)]
pub(super) struct Stand {
    pub(super) pitch: Pitch,
    pub(super) racking: Racking,
    pub(super) needles: BTreeSet<Needle>,
    forward: BTreeSet<Needle>,
    held: BTreeSet<Needle>,
}

/// What a pass sets for a bed, and whether hold is on.
fn of_bed(p: &Pass, bed: Bed) -> (Setting, bool) {
    let bed = if bed == Bed::Main { p.main } else { p.ribber };
    (bed.setting, bed.hold)
}

impl Stand {
    pub(super) fn new() -> Stand {
        Stand {
            pitch: Pitch::Full,
            racking: Racking(0),
            needles: BTreeSet::new(),
            forward: BTreeSet::new(),
            held: BTreeSet::new(),
        }
    }

    pub(super) fn does(&mut self, action: &Action) {
        match action {
            Action::Start { pitch, racking, .. } => (self.pitch, self.racking) = (*pitch, *racking),
            Action::Pitch(p) => self.pitch = *p,
            Action::Rack(r) => self.racking = *r,
            Action::IntoWork(n) => {
                self.placed(n);
                self.needles.extend(n);
            }
            Action::OutOfWork(n) => {
                self.placed(n);
                self.needles.retain(|x| !n.contains(x));
            }
            Action::Hold(n) => {
                self.placed(n);
                self.held.extend(n);
            }
            Action::Forward(n) => {
                self.placed(n);
                self.forward.extend(n);
            }
            Action::BackToWorking(n) => self.placed(n),
            Action::Pass(p) => {
                self.forward.clear();
                self.held.retain(|n| of_bed(p, n.bed).1);
            }
            Action::Transfer(m) => self.moved(m),
            Action::MoveTogether { moves, .. } => moves.iter().for_each(|m| self.moved(m)),
            _ => {}
        }
    }

    fn moved(&mut self, m: &Move) {
        if m.leaves == Leaves::Out {
            self.placed(&[m.from]);
            self.needles.remove(&m.from);
        }
    }

    /// Each needle has one position; these forget theirs.
    fn placed(&mut self, needles: &[Needle]) {
        for n in needles {
            self.held.remove(n);
            self.forward.remove(n);
        }
    }

    /// Whether needles in forward position, and needles in holding position, knit in a pass that does not set their
    /// bed to knit.
    pub(super) fn pushed_out(&self, p: &Pass) -> (bool, bool) {
        let odd = |n: &&Needle| of_bed(p, n.bed).0 != Setting::Knit;
        (self.forward.iter().any(|n| odd(&n)), self.held.iter().any(|n| odd(&n) && !of_bed(p, n.bed).1))
    }

    pub(super) fn any(&self, bed: Bed) -> bool {
        self.needles.iter().any(|n| n.bed == bed)
    }

    pub(super) fn count(&self) -> usize {
        self.needles.len()
    }

    /// Needles of a bed from one slot to another, in that order.
    pub(super) fn between(&self, bed: Bed, from: Slot, to: Slot) -> Vec<Needle> {
        let range = from.min(to)..=from.max(to);
        let mut all: Vec<Needle> =
            self.needles.iter().copied().filter(|n| n.bed == bed && range.contains(&n.slot)).collect();
        if from > to {
            all.reverse();
        }
        all
    }

    /// The needles in order of place, from an end.
    pub(super) fn row_from(&self, side: Side) -> Vec<Needle> {
        let mut all: Vec<Needle> = self.needles.iter().copied().collect();
        all.sort_by_key(|n| Place::of(*n, self.pitch, self.racking));
        if side == Side::Right {
            all.reverse();
        }
        all
    }

    /// The moves of a decrease of one or two stitches at these ends, and whether the second stitch of some end
    /// had to go on to the third.
    pub(super) fn decrease(&self, stitches: usize, sides: &[Side]) -> (Vec<Move>, bool) {
        let mut after = self.clone();
        let (mut all, mut short) = (Vec::new(), false);
        for side in sides {
            let e = after.row_from(*side);
            let mut pairs: Vec<(Option<&Needle>, Option<&Needle>)> = Vec::new();
            if stitches == 1 {
                pairs.push((e.first(), e.get(1)));
            } else {
                let along = e.get(3).filter(|n| e.get(1).is_some_and(|m| m.bed == n.bed));
                short |= along.is_none();
                pairs.push((e.get(1), along.or(e.get(2))));
                pairs.push((e.first(), e.get(2)));
            }
            for (from, to) in pairs {
                if let (Some(from), Some(to)) = (from, to) {
                    all.push(Move { from: *from, to: *to, leaves: Leaves::Out });
                }
            }
            for m in &all {
                after.moved(m);
            }
        }
        (all, short)
    }

    /// The needles of an increase: the next ones of the alternation at these ends.
    pub(super) fn increase(&self, stitches: usize, sides: &[Side]) -> Vec<Needle> {
        let mut new = Vec::new();
        for side in sides {
            let e = self.row_from(*side);
            let (Some(first), Some(second)) = (e.first(), e.get(1)) else { continue };
            let place = |n: Needle| Place::of(n, self.pitch, self.racking).0;
            let step = place(*first) - place(*second);
            let mut end = *first;
            for _ in 0..stitches {
                let bed = if first.bed == second.bed { end.bed } else { end.bed.other() };
                let x = place(end) + step;
                let origin = place(Needle { bed, slot: Slot(0) });
                let Ok(slot) = i16::try_from((x - origin).div_euclid(2)) else { break };
                end = Needle { bed, slot: Slot(slot) };
                new.push(end);
            }
        }
        new
    }
}
