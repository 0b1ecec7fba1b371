//! Lines for the hands: needles, transfers, weights, short rows.

use latchwork_machine::needle::{Bed, Needle, Racking, Side, Slot};
use latchwork_machine::numbers::loops_of;
use latchwork_machine::steps::{Action, Holder, Leaves, Move};

use super::scribe::Scribe;
use super::{Asked, LineFault, Note, Pick, fault};
use crate::fabric::{Course, Layout};
use crate::fact::{NotesFact, PartName};
use crate::notice::Span;
use crate::plan::COMB;

impl Scribe<'_> {
    /// The needles that a line names, from left to right by place.
    pub(super) fn picked(&self, span: Span, pick: &Pick) -> Result<Vec<Needle>, LineFault> {
        let all = &self.b.needles();
        let found: Vec<Needle> = match pick {
            Pick::All => all.clone(),
            Pick::Half(side) => {
                let half = all.len() / 2;
                let left = &all[..half];
                if *side == Side::Left { left.to_vec() } else { all[half..].to_vec() }
            }
            Pick::AtEnd(n, side) => {
                let n = (*n).min(all.len());
                if *side == Side::Left { all[..n].to_vec() } else { all[all.len() - n..].to_vec() }
            }
            Pick::These(n) => n.clone(),
        };
        if found.is_empty() {
            return Err(fault(span, NotesFact::NoSuchNeedle));
        }
        Ok(found)
    }

    #[expect(clippy::too_many_lines, reason = "an arm a kind of line")]
    pub(super) fn hand(&mut self, note: &Note) -> Result<(), LineFault> {
        let span = note.span;
        let mut set_up = matches!(note.asked, Asked::IntoWork(_) | Asked::Stand(..) | Asked::RibberDown);
        set_up &= !self.begun_piece;
        if !set_up && !matches!(note.asked, Asked::UseYarn(_)) {
            self.started(span)?;
        }
        match &note.asked {
            Asked::Stand(pitch, racking) => {
                let (stood, at) = if self.begun_piece { (self.b.pitch(), self.b.racking()) } else { self.stands };
                let pitch = pitch.unwrap_or(stood);
                let racking = racking.map_or(at, Racking);
                if !self.begun_piece {
                    self.stands = (pitch, racking);
                    return Ok(());
                }
                self.part(note, PartName::Rack);
                self.b.rack(racking, pitch);
            }
            Asked::IntoWork(needles) => {
                self.two_beds(span, needles.iter().any(|n| n.bed == Bed::Ribber))?;
                self.part(note, PartName::IntoWork);
                if !self.begun_piece {
                    let (pitch, racking) = self.stands;
                    self.b.step(Action::Start { carriage: self.b.side(), pitch, racking });
                    if needles.iter().all(|n| n.bed == Bed::Main) && self.b.design.machine.profile.ribber_needles > 0 {
                        self.b.step(Action::RibberDown);
                    }
                }
                self.b.step(Action::IntoWork(needles.clone()));
                if !self.begun_piece {
                    self.b.step(Action::Join { yarn: self.b.yarn, side: self.b.side() });
                    self.begun_piece = true;
                    self.b.hang_next = true;
                    if needles.iter().any(|n| n.bed == Bed::Ribber) {
                        self.layout = Layout::alternate();
                    }
                }
                self.placed_anew(needles);
            }
            Asked::OutOfWork(needles) => {
                self.part(note, PartName::OutOfWork);
                self.b.step(Action::OutOfWork(needles.clone()));
                self.gone(needles);
            }
            Asked::Hold(pick) => {
                let needles = self.picked(span, pick)?;
                self.part(note, PartName::Hold);
                self.placed_anew(&needles);
                self.held.extend(&needles);
                self.b.hold = true;
                self.b.step(Action::Hold(needles));
            }
            Asked::Forward(pick) => {
                let needles = self.picked(span, pick)?;
                self.part(note, PartName::Forward);
                self.placed_anew(&needles);
                self.forward.extend(&needles);
                self.b.step(Action::Forward(needles));
            }
            Asked::BackToWork(pick) => {
                let needles = self.picked(span, pick)?;
                self.part(note, PartName::BackToWork);
                self.placed_anew(&needles);
                self.b.hold = !self.held.is_empty();
                self.b.step(Action::BackToWorking(needles));
            }
            Asked::HoldSwitch(on) => self.b.hold = *on,
            Asked::ShortRows { n, times, wrapped, back } => self.short_rows(note, *n, *times, *wrapped, *back)?,
            Asked::Move { from, to, leaves } => self.moves(note, from, to, *leaves),
            Asked::RibberToMain => {
                self.first_loops(note)?;
                self.part(note, PartName::ToMainBed);
                self.b.all_on_main_bed();
                self.layout = Layout::MAIN;
            }
            Asked::Cross(a, b) => {
                self.part(note, PartName::Cross);
                let one = |from: &Needle, to: &Needle| Move { from: *from, to: *to, leaves: Leaves::Refill };
                let moves = a.iter().zip(b).map(|(a, b)| one(a, b));
                let moves: Vec<Move> = moves.chain(b.iter().zip(a).map(|(b, a)| one(b, a))).collect();
                let along = moves.iter().filter(|m| m.from.bed == m.to.bed);
                let far = along.map(|m| m.from.slot.0.abs_diff(m.to.slot.0)).max();
                let carry = far.map(|n| u8::try_from(n).unwrap_or(u8::MAX));
                self.b.step(Action::MoveTogether { moves, carry });
            }
            Asked::Drop { needles, stay } => {
                self.part(note, PartName::Drop);
                self.b.step(Action::Release(needles.clone()));
                if *stay {
                    self.b.step(Action::IntoWork(needles.clone()));
                } else {
                    self.b.step(Action::OutOfWork(needles.clone()));
                    self.gone(needles);
                }
            }
            Asked::TakeOff(pick, holder) => {
                let needles = self.picked(span, pick)?;
                self.part(note, PartName::TakeOff);
                self.b.step(Action::TakeOff { needles: needles.clone(), holder: Holder(*holder) });
                self.b.step(Action::OutOfWork(needles.clone()));
                self.gone(&needles);
                self.waiting.insert(*holder);
                self.b.reweigh();
            }
            Asked::PutBack(holder, needles) => {
                self.part(note, PartName::PutBack);
                self.placed_anew(needles);
                self.b.step(Action::IntoWork(needles.clone()));
                self.b.step(Action::PutBack { holder: Holder(*holder), needles: needles.clone() });
                self.waiting.remove(holder);
                if self.b.hangs() == 0 {
                    self.b.hang();
                }
                self.b.reweigh();
            }
            Asked::HangRow(row) => self.hang_row(note, *row)?,
            Asked::HangEdge { places, on } => {
                self.part(note, PartName::HangEdge);
                self.b.step(Action::HangEdge { needles: on.clone(), places: places.clone() });
            }
            Asked::WrapNeedle(n) => {
                self.part(note, PartName::Wrap);
                self.b.step(Action::TurnWrap { needle: *n, yarn: self.b.yarn });
            }
            Asked::WrapNew(needles) => {
                self.part(note, PartName::WrapOn);
                self.b.step(Action::IntoWork(needles.clone()));
                let mut order = needles.clone();
                order.sort_by_key(|n| n.slot);
                if self.b.side() == Side::Left {
                    order.reverse();
                }
                self.b.step(Action::Wrap { needles: order, yarn: self.b.yarn, cut_length: false });
                self.b.claim();
                self.b.reweigh();
            }
            Asked::Buttonhole(needles) => {
                self.first_loops(note)?;
                self.part(note, PartName::Buttonhole);
                self.b.buttonhole(needles.clone());
                self.b.claim();
            }
            Asked::UseYarn(name) if self.begun_piece => self.use_yarn(note, name)?,
            Asked::UseYarn(name) => self.b.yarn = self.yarn_number(span, name)?,
            Asked::CutYarn(name) => self.cut_yarn(note, name.as_deref())?,
            Asked::Weights(grams) => {
                self.part(note, PartName::Weights);
                self.b.hang_to(*grams, COMB);
            }
            Asked::NoWeights => {
                self.part(note, PartName::Weights);
                self.b.unhang();
            }
            Asked::RibberDown if self.b.beds.ribber_is_down() => {}
            Asked::RibberDown if self.begun_piece => {
                self.part(note, PartName::Ribber);
                self.b.step(Action::RibberDown);
            }
            Asked::RibberUp => {
                self.part(note, PartName::Ribber);
                self.b.step(Action::RibberUp);
            }
            // Before the cast-on the ribber is where the fabric needs it; the other lines are not for the hands.
            Asked::RibberDown
            | Asked::Carriage(_)
            | Asked::StitchSize(..)
            | Asked::CastOn { .. }
            | Asked::Rows { .. }
            | Asked::RowsTo(_)
            | Asked::Shape { .. }
            | Asked::BindOff { .. }
            | Asked::WasteOff(_)
            | Asked::Point
            | Asked::Counter(_)
            | Asked::Reads(_)
            | Asked::Stitches(_)
            | Asked::Total(_)
            | Asked::Select(_) => {}
        }
        Ok(())
    }

    /// Forgets the previous position of these needles: a needle has only one.
    fn placed_anew(&mut self, needles: &[Needle]) {
        for n in needles {
            self.held.remove(n);
            self.forward.remove(n);
        }
    }

    fn moves(&mut self, note: &Note, from: &[Needle], to: &[Needle], leaves: Leaves) {
        self.part(note, PartName::Move);
        // A facing needle that takes a loop from the other bed comes into work first.
        let new: Vec<Needle> =
            from.iter().zip(to).filter(|(f, t)| f.bed != t.bed && !self.b.has(**t)).map(|(_, t)| *t).collect();
        if !new.is_empty() {
            self.b.step(Action::IntoWork(new));
        }
        for (f, t) in from.iter().zip(to) {
            self.b.step(Action::Transfer(Move { from: *f, to: *t, leaves }));
            if leaves == Leaves::Out {
                self.gone(&[*f]);
            }
        }
        self.b.claim();
    }

    /// Hangs the loops of an earlier row on the needles that made them: a hem, a joined cuff.
    fn hang_row(&mut self, note: &Note, row: Option<u32>) -> Result<(), LineFault> {
        let made = loops_of(&self.b.steps, row);
        self.looked_back();
        let picked: Vec<(u32, Needle)> = made.into_iter().filter(|(_, n)| self.b.has(*n)).collect();
        if picked.is_empty() {
            return Err(fault(note.span, NotesFact::NoLoopOfRow));
        }
        self.part(note, PartName::HangRow);
        for (loop_number, needle) in picked {
            self.b.step(Action::PickUp { loop_number, needle });
        }
        Ok(())
    }

    /// Short rows: needles at the end that the carriage goes to are held, or brought back, before each row.
    fn short_rows(&mut self, note: &Note, n: usize, times: u32, wrapped: bool, back: bool) -> Result<(), LineFault> {
        self.part(note, PartName::ShortRows);
        let dial = self.dial_now(note.span)?;
        self.b.hold = true;
        for _ in 0..times {
            let far = self.b.side().other();
            let active: Vec<Needle> = self.b.needles().into_iter().filter(|x| !self.held.contains(x)).collect();
            let mut row = if back {
                let edge = if far == Side::Left { active.first() } else { active.last() };
                let beyond = |x: &&Needle| match (far, edge) {
                    (Side::Left, Some(e)) => x.slot < e.slot,
                    (Side::Right, Some(e)) => x.slot > e.slot,
                    (_, None) => true,
                };
                self.held.iter().copied().filter(|x| beyond(&x)).collect::<Vec<_>>()
            } else {
                active.clone()
            };
            row.sort_by_key(|x| x.slot);
            // Held: the outermost working needles. Back: the innermost held needles.
            if (far == Side::Right) != back {
                row.reverse();
            }
            let chosen: Vec<Needle> = row.into_iter().take(n).collect();
            if chosen.is_empty() || (!back && chosen.len() >= active.len()) {
                return Err(fault(note.span, NotesFact::ShortRowsRunOut { row: self.b.counter() }));
            }
            if back {
                for x in &chosen {
                    self.held.remove(x);
                }
                self.b.step(Action::BackToWorking(chosen.clone()));
            } else {
                self.held.extend(&chosen);
                self.b.step(Action::Hold(chosen.clone()));
            }
            self.knit_on(Course::MAIN, dial);
            if wrapped {
                // The held needle nearest to the carriage: of those just held, or of those still held.
                let edge = chosen.iter().map(|x| x.slot).max().zip(chosen.iter().map(|x| x.slot).min());
                let held: Vec<Needle> = match (back, edge) {
                    (false, _) => chosen.clone(),
                    (true, Some((most, least))) => {
                        let beyond = |x: &Slot| if far == Side::Left { *x < least } else { *x > most };
                        self.held.iter().copied().filter(|x| beyond(&x.slot)).collect()
                    }
                    (true, None) => Vec::new(),
                };
                let nearest = if far == Side::Left {
                    held.iter().max_by_key(|x| x.slot)
                } else {
                    held.iter().min_by_key(|x| x.slot)
                };
                if let Some(needle) = nearest {
                    self.b.step(Action::TurnWrap { needle: *needle, yarn: self.b.yarn });
                }
            }
        }
        if self.held.is_empty() {
            self.b.hold = false;
        }
        self.b.claim();
        Ok(())
    }
}
