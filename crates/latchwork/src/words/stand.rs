//! Which needles are in work, and their positions, up to the last sentence printed.

use latchwork_machine::beds::Beds;
use latchwork_machine::needle::{Bed, Needle, Pitch, Position, Racking, Side, Slot};
use latchwork_machine::steps::{Action, Leaves, Move, Pass, Setting, Step};

pub(super) struct Stand {
    beds: Beds,
}

/// The setting of a bed in a pass, and whether hold is on.
fn of_bed(p: &Pass, bed: Bed) -> (Setting, bool) {
    let bed = if bed == Bed::Main { p.main } else { p.ribber };
    (bed.setting, bed.hold)
}

impl Stand {
    pub(super) fn of(steps: &[Step]) -> Stand {
        Stand { beds: Beds::of(steps) }
    }

    pub(super) fn does(&mut self, action: &Action) {
        self.beds.step(action);
    }

    pub(super) fn pitch(&self) -> Pitch {
        self.beds.pitch()
    }

    pub(super) fn racking(&self) -> Racking {
        self.beds.racking()
    }

    /// Needles in work, main bed first, each bed from left to right.
    pub(super) fn needles(&self) -> Vec<Needle> {
        let mut all: Vec<Needle> = self.beds.in_work().map(|(n, _)| n).collect();
        all.sort_unstable();
        all
    }

    /// Whether needles in forward position, and needles in holding position, knit in a pass whose setting for their bed is
    /// not knit.
    pub(super) fn pushed_out(&self, p: &Pass) -> (bool, bool) {
        let odd = |n: Needle| of_bed(p, n.bed).0 != Setting::Knit;
        let any = |at: Position, also: &dyn Fn(Needle) -> bool| {
            self.beds.in_work().any(|(n, now)| now == at && odd(n) && also(n))
        };
        (any(Position::Forward, &|_| true), any(Position::Holding, &|n| !of_bed(p, n.bed).1))
    }

    /// Whether no needle carries a stitch that is not made fast.
    pub(super) fn fast(&self) -> bool {
        self.beds.carrying().next().is_none()
    }

    /// Needles in holding position.
    pub(super) fn held(&self) -> Vec<Needle> {
        let held = self.beds.in_work().filter(|n| n.1 == Position::Holding);
        let mut all: Vec<Needle> = held.map(|n| n.0).collect();
        all.sort_unstable();
        all
    }

    pub(super) fn any(&self, bed: Bed) -> bool {
        self.beds.in_work().any(|(n, _)| n.bed == bed)
    }

    pub(super) fn count(&self) -> usize {
        self.beds.in_work().count()
    }

    /// Needles of a bed from one slot to another, in that direction.
    pub(super) fn between(&self, bed: Bed, from: Slot, to: Slot) -> Vec<Needle> {
        let range = from.min(to)..=from.max(to);
        let mut all: Vec<Needle> =
            self.needles().into_iter().filter(|n| n.bed == bed && range.contains(&n.slot)).collect();
        if from > to {
            all.reverse();
        }
        all
    }

    /// The needles of one bed, or of both, from left to right, with their positions.
    pub(super) fn positions(&self, bed: Option<Bed>) -> Vec<(Needle, Position)> {
        self.beds.in_work().filter(|n| bed.is_none_or(|b| n.0.bed == b)).collect()
    }

    /// The needles in order of place, from one end.
    pub(super) fn row_from(&self, side: Side) -> Vec<Needle> {
        let all = self.beds.in_work().map(|(n, _)| n);
        if side == Side::Right { all.rev().collect() } else { all.collect() }
    }

    /// The needles that are not held, in order of place, from one end; all where all are.
    pub(super) fn knitting_from(&self, side: Side) -> Vec<Needle> {
        let mut all: Vec<(Needle, Position)> = self.beds.in_work().collect();
        if all.iter().any(|n| n.1 != Position::Holding) {
            all.retain(|n| n.1 != Position::Holding);
        }
        let all = all.into_iter().map(|n| n.0);
        if side == Side::Right { all.rev().collect() } else { all.collect() }
    }

    /// How many needles are not held; all where all are.
    pub(super) fn knitting(&self) -> usize {
        match self.beds.in_work().filter(|n| n.1 != Position::Holding).count() {
            0 => self.count(),
            some => some,
        }
    }

    /// The moves of a decrease of one or two stitches at these ends, and whether the second stitch of any end had to go onto
    /// the third.
    pub(super) fn decrease(&self, stitches: usize, sides: &[Side]) -> (Vec<Move>, bool) {
        let (mut all, mut short): (Vec<Move>, bool) = (Vec::new(), false);
        for side in sides {
            let mut e = self.knitting_from(*side);
            e.retain(|n| all.iter().all(|m| m.from != *n));
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
        }
        (all, short)
    }

    /// The needles of an increase: the next ones of the alternation at these ends.
    pub(super) fn increase(&self, stitches: usize, sides: &[Side]) -> Vec<Needle> {
        let mut new = Vec::new();
        for side in sides {
            let e = self.knitting_from(*side);
            let (Some(first), Some(second)) = (e.first(), e.get(1)) else { continue };
            let place = |n: Needle| self.beds.place(n).0;
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
