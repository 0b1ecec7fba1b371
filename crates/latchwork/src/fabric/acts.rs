//! Acts of the hands before a pass of a fabric, on the needles in work.

use latchwork_machine::needle::{Bed, Needle, Racking, Slot};
use latchwork_machine::steps::{Action, Leaves, Move, Setting};

use super::{Cells, Hand, Turn};

impl Turn {
    /// The acts before this pass: the ribber racked, loops moved or dropped, needles brought forward. `needles` are those in
    /// work, each bed's from left to right; the pattern is counted from `origin`.
    #[must_use]
    pub fn acts(&self, needles: &[Needle], origin: Slot, racking: Racking, ends_knit: bool) -> Vec<Action> {
        let mut all = Vec::new();
        all.extend(self.racking.filter(|r| *r != racking).map(Action::Rack));
        for hand in &self.hands {
            hand.acts(needles, origin, &mut all);
        }
        let forward: Vec<Needle> = Bed::BOTH
            .into_iter()
            .flat_map(|bed| {
                let cells = self.forward[bed.index()];
                let of: Vec<Needle> = needles.iter().copied().filter(|n| n.bed == bed).collect();
                let ends = [of.first().copied(), of.last().copied()];
                let end = move |n: &Needle| ends_knit && !cells.none() && ends.contains(&Some(*n));
                of.into_iter().filter(move |n| cells.has(n.slot.0 - origin.0) || end(n))
            })
            .collect();
        if !forward.is_empty() {
            all.push(Action::Forward(forward));
        }
        all
    }

    /// What a needle does in this pass; `end`: whether it is an outermost needle of its bed.
    #[must_use]
    pub fn action(&self, needle: Needle, origin: Slot, end: bool, ends_knit: bool) -> Setting {
        let cells = self.forward[needle.bed.index()];
        if end && ends_knit && !cells.none() { Setting::Knit } else { self.does(needle.bed, needle.slot.0 - origin.0) }
    }
}

impl Hand {
    fn acts(self, needles: &[Needle], origin: Slot, all: &mut Vec<Action>) {
        let row = |bed: Bed| -> Vec<Needle> { needles.iter().copied().filter(|n| n.bed == bed).collect() };
        let marked = |n: &Needle, cells: Cells| cells.has(n.slot.0 - origin.0);
        match self {
            Hand::LetOff { bed, cells } => {
                let off: Vec<Needle> = row(bed).into_iter().filter(|n| marked(n, cells)).collect();
                if !off.is_empty() {
                    all.push(Action::Release(off.clone()));
                    all.push(Action::IntoWork(off));
                }
            }
            Hand::Eyelet { bed, cells, by } => {
                let row = row(bed);
                for from in inner(&row).iter().filter(|n| marked(n, cells)) {
                    let to = Needle { bed, slot: Slot(from.slot.0 + i16::from(by)) };
                    if inner(&row).contains(&to) {
                        all.push(Action::Transfer(Move { from: *from, to, leaves: Leaves::Eyelet }));
                    }
                }
            }
            Hand::Cross { bed, cells, group, right_over } => {
                let row = row(bed);
                let g = i16::from(group);
                for first in inner(&row).iter().filter(|n| marked(n, cells)) {
                    let at = |k: i16| Needle { bed, slot: Slot(first.slot.0 + k) };
                    if !(0..2 * g).all(|k| inner(&row).contains(&at(k))) {
                        continue;
                    }
                    let step = |from: i16, by: i16| Move { from: at(from), to: at(from + by), leaves: Leaves::Refill };
                    let left = (0..g).map(|k| step(k, g));
                    let right = (g..2 * g).map(|k| step(k, -g));
                    // Stitches hung later lie on top.
                    let moves = if right_over { left.chain(right).collect() } else { right.chain(left).collect() };
                    all.push(Action::MoveTogether { moves, carry: Some(group) });
                }
            }
        }
    }
}

/// The needles of a bed between its outermost two.
fn inner(row: &[Needle]) -> &[Needle] {
    row.get(1..row.len().saturating_sub(1)).unwrap_or_default()
}
