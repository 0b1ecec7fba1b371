//! Acts of the hands between passes: decreases, increases, transfers from bed to bed.

use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Position, Racking, Side, Slot};
use latchwork_machine::numbers::loops_of;
use latchwork_machine::steps::{Action, Holder, Leaves, Move, Way};

use super::build::Builder;
use crate::design::At;
use crate::fabric::Layout;
use crate::stitches::Go;

impl Builder<'_> {
    fn sides(at: At) -> impl Iterator<Item = Side> {
        [Side::Left, Side::Right].into_iter().filter(move |s| at == At::Both || at == At::Only(*s))
    }

    /// The needle `k` places in from an end of those that are not held.
    pub(super) fn nth_from_end(&self, side: Side, k: usize) -> Option<Needle> {
        if side == Side::Left { self.knitting().nth(k) } else { self.knitting().nth_back(k) }
    }

    /// Takes one stitch of every wedge across the row, and closes the row up about its middle.
    pub(super) fn close_up(&mut self, wedges: u32) {
        let row = self.needles();
        let (all, wedges) = (row.len(), wedges as usize);
        // The last stitch of each goes onto the one before it. Wedges are alike; what is over stays at both ends.
        let each = all / wedges;
        let over = (all - each * wedges) / 2;
        let last: Vec<usize> = (1..=wedges).map(|k| over + k * each - 1).collect();
        for at in &last {
            let (from, to) = (row[*at], row[at - 1]);
            self.step(Action::Transfer(Move { from, to, leaves: Leaves::Out }));
        }
        let kept = self.needles();
        self.step(Action::TakeOff { needles: kept.clone(), holder: Holder(0) });
        self.step(Action::OutOfWork(kept.clone()));
        let (Some(first), Ok(gone)) = (row.first(), i16::try_from(wedges)) else { return };
        let left = first.slot.0 + gone / 2;
        let closed: Vec<Needle> = (left..).take(kept.len()).map(Needle::main).collect();
        self.step(Action::IntoWork(closed.clone()));
        self.step(Action::PutBack { holder: Holder(0), needles: closed });
    }

    /// Decreases at an end. Two stitches: with e0 e1 e2 e3 outermost, e1 goes to e3 and e0 to e2 along their own beds (where
    /// there is no e3, e1 to e2 across first). One stitch: e0 goes to e1.
    pub(crate) fn decrease(&mut self, stitches: u32, at: At) {
        for side in Self::sides(at) {
            let e = |k| self.nth_from_end(side, k);
            let mut moves: Vec<(Needle, Needle)> = Vec::new();
            if stitches == 1 {
                moves.extend(e(0).zip(e(1)));
            } else {
                let along = e(1).zip(e(3)).filter(|(a, b)| a.bed == b.bed);
                moves.extend(along.or_else(|| e(1).zip(e(2))));
                moves.extend(e(0).zip(e(2)));
            }
            for (from, to) in moves {
                self.step(Action::Transfer(Move { from, to, leaves: Leaves::Out }));
            }
        }
    }

    /// Casts stitches off at an end: where the carriage is the last loop of the chain hangs on the next needle, at the other with a
    /// length of its own.
    pub(super) fn cast_off_at_end(&mut self, stitches: u32, at: At) {
        let side = Self::sides(at).next().unwrap_or(self.side());
        let nth = |k: usize| self.nth_from_end(side, k);
        let needles: Vec<Needle> = (0..stitches as usize).filter_map(nth).collect();
        let onto = nth(stitches as usize).filter(|_| side == self.side());
        let cut_length = if onto.is_none() { Some(self.yarn) } else { None };
        let needles = self.across_to_main(&needles, side);
        self.step(Action::Secure { needles: needles.clone(), way: Way::Chain, cut_length, onto });
        self.step(Action::OutOfWork(needles));
    }

    /// Transfers the ribber stitches among some to the main-bed needles of their slots; all of them in order from a side.
    pub(super) fn across_to_main(&mut self, stitches: &[Needle], side: Side) -> Vec<Needle> {
        let main = |n: &Needle| Needle { bed: Bed::Main, slot: n.slot };
        let across: Vec<Needle> = stitches.iter().filter(|n| n.bed == Bed::Ribber).copied().collect();
        let new: Vec<Needle> = across.iter().map(main).filter(|n| !self.has(*n)).collect();
        if !new.is_empty() {
            self.step(Action::IntoWork(new));
        }
        for from in &across {
            self.step(Action::Transfer(Move { from: *from, to: main(from), leaves: Leaves::Out }));
        }
        let mut needles: Vec<Needle> = stitches.iter().map(main).collect();
        needles.sort_unstable();
        needles.dedup();
        if side == Side::Right {
            needles.reverse();
        }
        needles
    }

    /// Moves stitches onto their left-hand neighbours; their needles stay in work.
    pub(super) fn eyelets(&mut self, places: &[u32]) {
        let row = self.needles();
        let moves = places.iter().filter_map(|p| {
            let at = *p as usize;
            Some(Move { from: *row.get(at)?, to: *row.get(at.checked_sub(1)?)?, leaves: Leaves::Eyelet })
        });
        for m in moves.collect::<Vec<_>>() {
            self.step(Action::Transfer(m));
        }
        self.claim();
    }

    /// Makes a hole of so many stitches from each of these places on.
    pub(super) fn buttonholes(&mut self, places: &[u32], wide: u32) {
        let row = self.needles();
        for place in places {
            self.buttonhole(row.iter().skip(*place as usize).take(wide as usize).copied().collect());
        }
        self.claim();
    }

    /// Casts off these stitches with a length of its own, and winds it round their needles on the way back.
    pub(crate) fn buttonhole(&mut self, needles: Vec<Needle>) {
        let back = needles.iter().rev().copied().collect();
        let yarn = self.yarn;
        self.step(Action::Secure { needles, way: Way::Chain, cut_length: Some(yarn), onto: None });
        self.step(Action::Wrap { needles: back, yarn, cut_length: true });
    }

    /// Hangs the stitches of the first row on the needles that made them.
    pub(super) fn hang_first(&mut self) {
        for (loop_number, needle) in loops_of(&self.steps, None) {
            self.step(Action::PickUp { loop_number, needle });
        }
        self.claim();
        self.reweigh();
    }

    /// Needles in work from left to right, of one bed or of both, and whether each is held.
    fn held_or_not(&self, on: Option<Bed>) -> Vec<(Needle, bool)> {
        let held = |p| p == Position::Holding;
        self.beds.in_work().filter(|n| on.is_none_or(|bed| n.0.bed == bed)).map(|(n, p)| (n, held(p))).collect()
    }

    /// Holds needles, or lets held ones return.
    pub(super) fn go(&mut self, go: Go, on: Option<Bed>) {
        let mut row = self.held_or_not(on);
        let from = |side: Side, row: &mut Vec<(Needle, bool)>| {
            if side == Side::Right {
                row.reverse();
            }
        };
        match go {
            Go::Straight => {}
            Go::Hold(side, count) => {
                from(side, &mut row);
                let going = row.iter().filter(|n| !n.1).take(count as usize).map(|n| n.0).collect();
                (self.hold, self.held_on) = (true, on);
                self.step(Action::Hold(going));
            }
            Go::Return(side, count) => {
                from(side, &mut row);
                let held = row.iter().take_while(|n| n.1).count();
                let back = row[held.saturating_sub(count as usize)..held].iter().map(|n| n.0).collect();
                self.step(Action::BackToWorking(back));
            }
            Go::ReturnAll => {
                self.step(Action::BackToWorking(row.into_iter().filter(|n| n.1).map(|n| n.0).collect()));
            }
        }
    }

    /// Lays the yarn round the held needle next to the carriage.
    pub(super) fn wrap_turn(&mut self, on: Option<Bed>) {
        let mut row = self.held_or_not(on);
        if self.side() == Side::Right {
            row.reverse();
        }
        let outside = row.iter().take_while(|n| n.1).count();
        if let Some((needle, _)) = outside.checked_sub(1).map(|i| row[i]) {
            self.step(Action::TurnWrap { needle, yarn: self.yarn });
        }
    }

    /// Casts stitches on at the end where the carriage is: the yarn is wound round needles beside the last one.
    pub(super) fn cast_on_at_end(&mut self, stitches: u32, at: At, layout: Layout) {
        let needles = self.beside(stitches, at, layout);
        self.step(Action::IntoWork(needles.clone()));
        self.step(Action::Wrap { needles, yarn: self.yarn, cut_length: false });
    }

    /// Brings empty needles into work at an end: one on the main bed, or one on each bed in the alternation.
    pub(crate) fn increase(&mut self, stitches: u32, at: At, layout: Layout) {
        let needles = self.beside(stitches, at, layout);
        self.step(Action::IntoWork(needles));
    }

    /// So many needles beside the last one at each end, from there outwards.
    fn beside(&self, stitches: u32, at: At, layout: Layout) -> Vec<Needle> {
        let mut new = Vec::new();
        for side in Self::sides(at) {
            let Some(mut at) = self.nth_from_end(side, 0) else { continue };
            for _ in 0..stitches {
                at = next_along(at, side, layout, self.stitches.left);
                new.push(at);
            }
        }
        new
    }

    /// Transfers loops to the needles of another layout, each across to the same slot of the other bed.
    pub(crate) fn change_layout(&mut self, to: Layout) {
        if to.main_alone() {
            self.all_on_main_bed();
            self.lighten();
            return;
        }
        if self.beds.ribber_is_down() {
            self.step(Action::RibberUp);
        }
        self.rack(Racking(0), Pitch::Full);
        let wanted = self.laid_out(to);
        let moving: Vec<Needle> = self.needles().into_iter().filter(|n| !wanted.contains(n)).collect();
        let across = |n: &Needle| Needle { bed: n.bed.other(), slot: n.slot };
        self.step(Action::IntoWork(moving.iter().map(across).collect()));
        for from in moving {
            self.step(Action::Transfer(Move { from, to: across(&from), leaves: Leaves::Out }));
        }
        self.rack(Racking(0), to.pitch());
        self.claim();
        self.reweigh();
    }

    /// Halves the stitches when there are too many to gather neatly: every other one goes onto its left-hand neighbour, all
    /// on the main bed. Where the beds alternate, a ribber stitch goes straight to its neighbour in one transfer.
    pub(crate) fn halved_on_main_bed(&mut self) {
        if self.loops() <= self.design.machine.gathered {
            return;
        }
        let by_turns = |b: &Builder<'_>| {
            let bed = |i: usize| if i.is_multiple_of(2) { Bed::Main } else { Bed::Ribber };
            b.beds.in_work().enumerate().all(|(i, n)| n.0.bed == bed(i))
        };
        let one_each = self.piece.stretches.last().is_some_and(|s| s.fabric.layout.one_per_place());
        if by_turns(self) {
            // At half pitch, only the main-bed needle of the same number is near enough to a ribber needle.
            let own = self.needles().chunks_exact(2).all(|p| p[0].slot == p[1].slot);
            self.rack(Racking(0), if own { self.pitch() } else { Pitch::Full });
        } else {
            self.all_on_main_bed();
            if !one_each {
                return;
            }
        }
        let moved: Vec<Needle> = self.needles().into_iter().skip(1).step_by(2).collect();
        let kept: Vec<Needle> = self.needles().into_iter().step_by(2).collect();
        for (from, to) in moved.into_iter().zip(&kept) {
            self.step(Action::Transfer(Move { from, to: *to, leaves: Leaves::Out }));
        }
        if !self.beds.ribber_is_down() {
            self.step(Action::RibberDown);
        }
        self.claim();
        self.reweigh();
    }

    /// Puts the ribber needles whose loops were dropped out of work.
    fn without_empty(&mut self) {
        let off: Vec<Needle> = self.beds.empty().filter(|n| n.bed == Bed::Ribber).collect();
        if off.is_empty() || !self.let_off {
            return;
        }
        self.step(Action::OutOfWork(off));
    }

    /// Transfers every ribber stitch to the main-bed needle of its slot, and lowers the ribber.
    pub(crate) fn all_on_main_bed(&mut self) {
        self.without_empty();
        let ribber: Vec<Needle> = self.needles().into_iter().filter(|n| n.bed == Bed::Ribber).collect();
        if ribber.is_empty() {
            if !self.beds.ribber_is_down() && self.let_off {
                self.step(Action::RibberDown);
            }
            return;
        }
        // With the ribber racked, the needle of the same number is out of reach.
        self.rack(Racking(0), self.pitch());
        let main = |n: &Needle| Needle { bed: Bed::Main, slot: n.slot };
        let new: Vec<Needle> = ribber.iter().map(main).filter(|n| !self.has(*n)).collect();
        if !new.is_empty() {
            self.step(Action::IntoWork(new));
        }
        for from in &ribber {
            self.step(Action::Transfer(Move { from: *from, to: main(from), leaves: Leaves::Out }));
        }
        self.step(Action::RibberDown);
        self.claim();
        self.reweigh();
    }
}

/// The next needle of a layout beyond this one at a side. If this one is not in the layout counted from `origin`, the
/// layout is shifted until it is.
fn next_along(at: Needle, side: Side, layout: Layout, origin: Slot) -> Needle {
    let period = i16::try_from(layout.period()).unwrap_or(1);
    let shift = (0..period).find(|k| layout.in_work(at.bed, at.slot.0 - origin.0 + k)).unwrap_or(0);
    let place = |n: &Needle| Place::of(*n, layout.pitch(), Racking(0));
    let near = (-period - 1..=period + 1)
        .flat_map(|by| Bed::BOTH.map(|bed| Needle { bed, slot: Slot(at.slot.0 + by) }))
        .filter(|n| layout.in_work(n.bed, n.slot.0 - origin.0 + shift));
    let next = match side {
        Side::Left => near.filter(|n| place(n) < place(&at)).max_by_key(place),
        Side::Right => near.filter(|n| place(n) > place(&at)).min_by_key(place),
    };
    next.unwrap_or(at)
}
