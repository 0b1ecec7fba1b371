//! The state of the machine at each place in the text.

use std::collections::{BTreeMap, BTreeSet};

use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use latchwork_machine::steps::{Action, BedSetting, Dial, Leaves, Mark, Move, Pass, Setting, Yarn};

use super::Heard;
use super::deeds::{Deed, effective, sorted};

#[derive(Debug, Clone)]
pub(super) struct Listener {
    pub(super) heard: Heard,
    pub(super) started: bool,
    pub(super) side: Side,
    pub(super) counter: u32,
    pub(super) dial: [u8; 2],
    pub(super) hold: [bool; 2],
    pub(super) yarn: Option<Yarn>,
    pub(super) second: Option<Yarn>,
    pub(super) laid: Option<Yarn>,
    pub(super) counted: bool,
    pub(super) joined: BTreeSet<Yarn>,
    pub(super) pitch: Pitch,
    pub(super) racking: Racking,
    pub(super) in_work: BTreeSet<Needle>,
    pub(super) grams: u32,
    pub(super) comb: bool,
    pub(super) passes: usize,
    pub(super) chained: bool,
    /// Whether the tail just left is where the yarn is; a cast-on wrapped towards the carriage begins at the far end.
    pub(super) tail: Option<bool>,
    /// The last row of another piece's edge that was hung.
    pub(super) hung_row: Option<u32>,
    /// Whether a tail was put at the wrong side.
    pub(super) misplaced: bool,
    /// Readings at which the claw weights are moved up in the next step.
    pub(super) claws: Vec<u32>,
    /// Whether steps are being read again.
    pub(super) again: bool,
    /// Readings at which the claw weights are moved up meanwhile.
    pub(super) due: Vec<u32>,
    /// Needles passed over while hold is on, and needles that knit whatever the setting.
    pub(super) held: BTreeSet<Needle>,
    pub(super) forward: BTreeSet<Needle>,
    /// Loops made so far, those of the first row in the first yarn, and those of the last row at each reading.
    pub(super) loops: u32,
    pub(super) first_row: Vec<(u32, Needle)>,
    pub(super) rows: BTreeMap<u32, Vec<(u32, Needle)>>,
}

impl Listener {
    pub(super) fn new() -> Listener {
        Listener {
            heard: Heard::default(),
            started: false,
            side: Side::Right,
            counter: 0,
            dial: [0, 0],
            hold: [false, false],
            yarn: None,
            second: None,
            laid: None,
            counted: true,
            joined: BTreeSet::new(),
            pitch: Pitch::Full,
            racking: Racking(0),
            in_work: BTreeSet::new(),
            grams: 0,
            comb: false,
            passes: 0,
            chained: false,
            tail: None,
            hung_row: None,
            misplaced: false,
            claws: Vec::new(),
            again: false,
            due: Vec::new(),
            held: BTreeSet::new(),
            forward: BTreeSet::new(),
            loops: 0,
            first_row: Vec::new(),
            rows: BTreeMap::new(),
        }
    }

    pub(super) fn step(&mut self, action: Action) {
        if !matches!(action, Action::Join { .. } | Action::Hold(_) | Action::IntoWork(_) | Action::RibberDown)
            && let Some(at_yarn) = self.tail.take()
        {
            self.misplaced |= at_yarn == matches!(action, Action::Wrap { .. });
        }
        self.heard.deeds.push(Deed::Step(action));
    }

    pub(super) fn pass(&mut self, (main, ribber): (Setting, Setting), mark: Mark) {
        let of = |b: usize, setting| BedSetting { setting, hold: self.hold[b], dial: Dial(self.dial[b]) };
        let pass = Pass {
            direction: self.side.other(),
            main: of(0, main),
            ribber: of(1, ribber),
            yarn: self.yarn,
            second: self.second,
            laid: self.laid,
            counted: self.counted,
            mark,
        };
        let pass = effective(&pass, &self.in_work);
        self.side = pass.direction;
        self.counter += u32::from(self.counted);
        self.passes += 1;
        let mut met: Vec<(i32, Needle)> =
            self.in_work.iter().map(|n| (Place::of(*n, self.pitch, self.racking).0, *n)).collect();
        met.sort_unstable();
        if pass.direction == Side::Left {
            met.reverse();
        }
        let takes = |n: &Needle| {
            let bed = if n.bed == Bed::Main { pass.main } else { pass.ribber };
            let held = self.held.contains(n);
            !(held && bed.hold) && (held || self.forward.contains(n) || bed.setting != Setting::Slip)
        };
        let made: Vec<Needle> = met.into_iter().map(|m| m.1).filter(|n| pass.yarn.is_some() && takes(n)).collect();
        let row = self.numbered(&made, pass.yarn == Some(Yarn(0)));
        self.rows.insert(self.counter, row);
        self.forward.clear();
        self.held.retain(|n| if n.bed == Bed::Main { pass.main.hold } else { pass.ribber.hold });
        self.step(Action::Pass(pass));
        if self.due.first() == Some(&self.counter) {
            self.due.remove(0);
            self.heard.deeds.push(Deed::MoveUp);
        }
    }

    /// Numbers the loops that these needles make, in this order.
    pub(super) fn numbered(&mut self, needles: &[Needle], first_yarn: bool) -> Vec<(u32, Needle)> {
        let mut row: Vec<(u32, Needle)> = Vec::with_capacity(needles.len());
        for n in needles {
            self.loops += 1;
            row.push((self.loops, *n));
        }
        row.sort_unstable_by_key(|r| r.1);
        if self.first_row.is_empty() && first_yarn {
            self.first_row.clone_from(&row);
        }
        row
    }

    pub(super) fn bring_in(&mut self, needles: &[Needle]) {
        needles.iter().for_each(|n| self.gone(n));
        self.in_work.extend(needles);
        self.step(Action::IntoWork(sorted(needles)));
    }

    pub(super) fn transfer(&mut self, m: Move) {
        if m.leaves == Leaves::Out {
            self.gone(&m.from);
        }
        self.step(Action::Transfer(m));
    }

    /// Puts a needle out of work; it is no longer held or forward.
    pub(super) fn gone(&mut self, n: &Needle) {
        self.in_work.remove(n);
        self.held.remove(n);
        self.forward.remove(n);
    }

    pub(super) fn hangs(&mut self, grams: u32, comb: bool) {
        (self.grams, self.comb) = (grams, comb);
        if let Some(Deed::Hangs { .. }) = self.heard.deeds.last() {
            self.heard.deeds.pop();
        }
        self.heard.deeds.push(Deed::Hangs { grams, comb });
    }

    /// Needles of the main bed from one slot to another, in that direction.
    pub(super) fn span(&self, from: Slot, to: Slot) -> Vec<Needle> {
        let (low, high) = if from < to { (from, to) } else { (to, from) };
        let on = self.in_work.iter().filter(|n| n.bed == Bed::Main && n.slot >= low && n.slot <= high);
        if from <= to { on.copied().collect() } else { on.rev().copied().collect() }
    }

    /// How many needles are not held; all where all are.
    pub(super) fn knitting(&self) -> usize {
        match self.in_work.len() - self.held.len() {
            0 => self.in_work.len(),
            some => some,
        }
    }

    /// The k-th needle from an end, in order of place, of those that are not held.
    pub(super) fn nth(&self, side: Side, k: usize) -> Option<Needle> {
        let all_held = self.held.len() == self.in_work.len();
        let knitting = self.in_work.iter().filter(|n| all_held || !self.held.contains(n));
        let mut row: Vec<(i32, Needle)> = knitting.map(|n| (Place::of(*n, self.pitch, self.racking).0, *n)).collect();
        row.sort_unstable();
        let i = if side == Side::Left { k } else { row.len().checked_sub(k + 1)? };
        row.get(i).map(|n| n.1)
    }

    /// Decreases at an end as the sentence says: the first onto its neighbour; or the second onto the fourth, then the first
    /// onto the third.
    pub(super) fn narrow(&mut self, side: Side, stitches: u32, short: bool) -> Option<()> {
        let e = |k| self.nth(side, k);
        let moves = if stitches == 1 {
            vec![(e(0)?, e(1)?)]
        } else {
            let (first, second, third) = (e(0)?, e(1)?, e(2)?);
            let fourth = e(3).filter(|n| n.bed == second.bed);
            (fourth.is_some() || short).then_some(())?;
            vec![(second, fourth.unwrap_or(third)), (first, third)]
        };
        for (from, to) in moves {
            self.transfer(Move { from, to, leaves: Leaves::Out });
        }
        Some(())
    }

    /// The next needles of the alternation beyond an end.
    pub(super) fn wider(&self, side: Side, stitches: u32) -> Option<Vec<Needle>> {
        let (end, inner) = (self.nth(side, 0)?, self.nth(side, 1)?);
        let x = |n: Needle| Place::of(n, self.pitch, self.racking).0;
        let gap = x(end) - x(inner);
        let mut new = Vec::new();
        let (mut place, mut bed) = (x(end), end.bed);
        for _ in 0..stitches {
            place += gap;
            if end.bed != inner.bed {
                bed = bed.other();
            }
            let zero = x(Needle { bed, slot: Slot(0) });
            new.push(Needle { bed, slot: Slot(i16::try_from((place - zero).div_euclid(2)).ok()?) });
        }
        Some(new)
    }
}
