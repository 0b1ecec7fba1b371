//! Lines that end a piece, or some of its stitches.

use latchwork_machine::needle::{Needle, Side, Slot};
use latchwork_machine::steps::{Action, Leaves, Move, Way, Yarn};

use super::scribe::{Scribe, own_or};
use super::yarns::LOOSE_END;
use super::{LineFault, Note, Pick, fault};
use crate::design::Ending;
use crate::fabric::Course;
use crate::fact::{NotesFact, PartName};
use crate::plan::PartKind;
use crate::stitches::Feed;

impl Scribe<'_> {
    pub(super) fn ending(&mut self, note: &Note, ending: Ending) {
        self.b.part_at(own_or(note, PartName::Ending), PartKind::Ending, note.span);
        self.kept.ending = Some(ending);
        self.ended = self.waiting.is_empty();
        // Yarns waiting at a side are cut before the end.
        let waiting: Vec<Yarn> = self.joined.iter().copied().filter(|y| *y != self.b.yarn).collect();
        for yarn in waiting.into_iter().filter(|_| self.ended) {
            self.joined.remove(&yarn);
            self.b.step(Action::Cut(yarn));
            self.b.tail(LOOSE_END);
        }
    }

    pub(super) fn bind_off(
        &mut self,
        note: &Note,
        pick: Option<&Pick>,
        way: Way,
        dial: Option<u8>,
    ) -> Result<(), LineFault> {
        let last = self.last_dial();
        let Some(pick) = pick else {
            // On one bed the loose row makes their loops.
            if self.layout.two_beds() || way == Way::Gathered {
                self.first_loops(note)?;
            }
            let ending = match way {
                Way::Chain => Ending::Chain,
                Way::Gathered | Way::Sewn => Ending::Gather,
                Way::LoopThroughLoop | Way::Waste => Ending::LoopThroughLoop,
            };
            self.ending(note, ending);
            let loose = dial.map_or(self.b.looser(last).0, |d| d.min(self.b.design.machine.dial.1));
            let yarn = self.b.yarn;
            self.b.bind_off(way, (loose, last.1));
            self.joined.remove(&yarn);
            if !self.ended {
                let all = self.b.needles();
                self.b.step(Action::OutOfWork(all.clone()));
                self.gone(&all);
            }
            return Ok(());
        };
        let mut needles = self.picked(note.span, pick)?;
        self.part(note, PartName::BindOff);
        if let Some(d) = dial {
            self.knit(Course::MAIN, (d, last.1), Feed::ONE, true);
        }
        needles.sort_by_key(|n| n.slot);
        // At the side of the carriage the yarn chains them off; at the other end each is pulled through the one before it,
        // inwards, and the last is hung on its neighbour.
        let all = self.b.needles();
        let at_left = needles.first() == all.first();
        let whole = needles.len() == all.len();
        let at_yarn = at_left == (self.b.side() == Side::Left);
        let way = if whole {
            way
        } else if at_yarn {
            Way::Chain
        } else {
            Way::LoopThroughLoop
        };
        let from_left = if whole { (self.b.side() == Side::Left) == (way == Way::Chain) } else { at_left };
        if !from_left {
            needles.reverse();
        }
        let mut moved = None;
        if !whole && way == Way::LoopThroughLoop {
            let outer = needles.last().copied();
            let step = if at_left { 1 } else { -1 };
            let inner = outer.map(|n| Needle { slot: Slot(n.slot.0 + step), ..n }).filter(|n| all.contains(n));
            let Some((from, to)) = outer.zip(inner) else {
                return Err(fault(note.span, NotesFact::NoNeighbour));
            };
            moved = Some(Move { from, to, leaves: Leaves::Out });
            needles.pop();
        }
        if !needles.is_empty() {
            // A chain inside the piece ends on the next needle of the bed.
            let next = |n: &Needle| {
                let slot = Slot(n.slot.0 + if from_left { 1 } else { -1 });
                Some(Needle { slot, ..*n }).filter(|n| all.contains(n) && !self.b.empty().contains(n))
            };
            let onto = needles.last().and_then(next).filter(|_| !whole && way == Way::Chain);
            self.b.step(Action::Secure { needles: needles.clone(), way, cut_length: None, onto });
            self.b.step(Action::OutOfWork(needles.clone()));
        }
        if let Some(m) = moved {
            self.b.step(Action::Transfer(m));
            needles.push(m.from);
        }
        self.gone(&needles);
        if self.b.beds.count() == 0 {
            self.b.unhang();
            self.b.step(Action::Cut(self.b.yarn));
            self.joined.remove(&self.b.yarn);
            self.ended = self.waiting.is_empty();
        } else {
            self.b.claim();
            self.b.reweigh();
        }
        Ok(())
    }

    /// Forgets that these needles, now out of work, were held or forward.
    pub(super) fn gone(&mut self, needles: &[Needle]) {
        for n in needles {
            self.held.remove(n);
            self.forward.remove(n);
        }
    }
}
