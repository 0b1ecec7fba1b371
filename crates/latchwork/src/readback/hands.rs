//! The forms of what the hands do: loops moved, needles set, endings.

use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::steps::{Action, Holder, Leaves, Move, Way};

use super::deeds::{Deed, sorted};
use super::reader::Reader;

/// How many of the needles that take loops from the other bed are brought in for it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Bring {
    All,
    Some,
    None,
}

const HAND_SAFE: &str = "Then lift the chain off the pegs.";

impl Reader<'_> {
    pub(super) fn bed_across(&mut self) -> Option<()> {
        let whole = self.c.word(&[("Move the ", true), ("Move these ", false)])?;
        let bed = self.c.bed()?;
        self.c.lit(" loops across: ")?;
        let from: Vec<Needle> = if whole {
            let n = self.c.number()?;
            let all: Vec<Needle> = self.s.in_work.iter().copied().filter(|x| x.bed == bed).collect();
            (all.len() == n as usize).then_some(all)?
        } else {
            self.c.slots()?.into_iter().map(|slot| Needle { bed, slot }).collect()
        };
        self.c.lit(", each to the ")?;
        (self.c.bed()? == bed.other()).then_some(())?;
        self.c.lit(" needle of its own number")?;
        let bring = self.c.word(&[
            (", which is brought into work first", Bring::All),
            (", which carries a stitch already", Bring::None),
            ("; bring it into work first where it is out. The other needles then carry two stitches", Bring::Some),
        ])?;
        self.c.lit(". Put the emptied ")?;
        (self.c.bed()? == bed).then_some(())?;
        self.c.lit(" needles out of work.")?;
        let to = |n: &Needle| Needle { bed: bed.other(), slot: n.slot };
        let new: Vec<Needle> = from.iter().map(to).filter(|n| !self.s.in_work.contains(n)).collect();
        let told = match new.len() {
            0 => Bring::None,
            n if n == from.len() => Bring::All,
            _ => Bring::Some,
        };
        (told == bring).then_some(())?;
        if !new.is_empty() {
            self.s.bring_in(&new);
        }
        for n in from {
            self.s.transfer(Move { from: n, to: to(&n), leaves: Leaves::Out });
        }
        Some(())
    }

    /// How many needles carry loops: a count to check.
    pub(super) fn carry(&mut self) -> Option<()> {
        self.c.lit("Loops now lie on ")?;
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " needle." } else { " needles." }).or_else(|| self.c.lit(" needles."))?;
        (self.s.in_work.len() == n as usize).then_some(())
    }

    pub(super) fn pairs(&mut self) -> Option<()> {
        let way: i16 = self.c.word(&[
            ("Lay the left loop of each ribber pair on to its right-hand neighbour on the ribber; the emptied needles go out of work.", 1),
            ("Lay the right loop of each ribber pair on to its left-hand neighbour on the ribber; the emptied needles go out of work.", -1),
        ])?;
        let row: Vec<Slot> = self.s.in_work.iter().filter(|n| n.bed == Bed::Ribber).map(|n| n.slot).collect();
        let neighbour = |s: Slot, d: i16| row.contains(&Slot(s.0 + d));
        let from: Vec<Slot> = row.iter().copied().filter(|s| neighbour(*s, way) && !neighbour(*s, -way)).collect();
        (from.len() * 2 == row.len()).then_some(())?;
        for slot in from {
            let ribber = |slot| Needle { bed: Bed::Ribber, slot };
            self.s.transfer(Move { from: ribber(slot), to: ribber(Slot(slot.0 + way)), leaves: Leaves::Out });
        }
        Some(())
    }

    pub(super) fn neighbours(&mut self) -> Option<()> {
        let bed = self.c.word(&[
            ("Lay each ribber loop on to the main bed needle at its left: ", Bed::Ribber),
            (
                "Lay every second loop on to its left-hand neighbour, beginning with the second from the left: ",
                Bed::Main,
            ),
        ])?;
        let n = self.c.number()?;
        self.c.lit(match bed {
            Bed::Ribber => ". Put the emptied ribber needles out of work.",
            Bed::Main => ". Put the emptied needles out of work.",
        })?;
        let mut row: Vec<Needle> = self.s.in_work.iter().copied().collect();
        row.sort_by_key(|n| (n.slot, n.bed));
        let fits = row.iter().enumerate().all(|(i, n)| n.bed == if i % 2 == 1 { bed } else { Bed::Main });
        (fits && row.len() / 2 == n as usize).then_some(())?;
        for pair in row.chunks_exact(2) {
            self.s.transfer(Move { from: pair[1], to: pair[0], leaves: Leaves::Out });
        }
        Some(())
    }

    pub(super) fn point(&mut self) -> Option<()> {
        self.c.lit("Move the last ")?;
        let n = self.c.number()?;
        self.c.lit(" loops on to one needle, ")?;
        let to = Needle { bed: Bed::Main, slot: self.c.slot()? };
        self.c.lit(" of the main bed, beginning at the ")?;
        let side = self.c.side()?;
        self.c.lit("; the others go out of work.")?;
        (self.s.in_work.len() == n as usize && self.s.in_work.contains(&to)).then_some(())?;
        let mut others: Vec<Needle> = self.s.in_work.iter().copied().filter(|x| *x != to).collect();
        if side == Side::Right {
            others.reverse();
        }
        for from in others {
            self.s.transfer(Move { from, to, leaves: Leaves::Out });
        }
        Some(())
    }

    pub(super) fn moves(&mut self) -> Option<()> {
        let many = self.c.word(&[("Move the stitches of ", true), ("Move the stitch of ", false)])?;
        let from = self.c.needles()?;
        let bed = from.first()?.bed;
        (from.iter().all(|n| n.bed == bed) && (from.len() > 1) == many).then_some(())?;
        let mut to_bed = bed;
        if self.c.opt(" across to the ") {
            to_bed = self.c.bed()?;
            (to_bed != bed).then_some(())?;
        }
        if many {
            self.c.lit(", each")?;
        }
        let way = if self.c.opt(" to the needle of its own number") {
            (to_bed != bed).then_some(0)?
        } else {
            self.c.lit(" ")?;
            let n = if self.c.opt("one needle to the ") {
                1
            } else {
                let n = i16::try_from(self.c.plain_number()?).ok()?;
                self.c.lit(" needles to the ")?;
                n
            };
            if self.c.side()? == Side::Left { -n } else { n }
        };
        self.c.lit("; the emptied needle")?;
        let leaves = if many {
            self.c.word(&[
                ("s go out of work.", Leaves::Out),
                ("s stay in work, for holes.", Leaves::Eyelet),
                ("s stay in work, to be filled.", Leaves::Refill),
            ])?
        } else {
            self.c.word(&[
                (" goes out of work.", Leaves::Out),
                (" stays in work, for a hole.", Leaves::Eyelet),
                (" stays in work, to be filled.", Leaves::Refill),
            ])?
        };
        for n in from {
            let to = Needle { bed: to_bed, slot: Slot(n.slot.0.checked_add(way)?) };
            self.s.transfer(Move { from: n, to, leaves });
        }
        Some(())
    }

    pub(super) fn positions(&mut self) -> Option<()> {
        let what = self.c.word(&[
            ("Put out of work ", 0),
            ("Put into holding ", 1),
            ("Bring forward ", 2),
            ("Put back to working ", 3),
        ])?;
        let many = self.c.word(&[("these needles: ", true), ("this needle: ", false)])?;
        let needles = self.c.needles()?;
        ((needles.len() > 1) == many).then_some(())?;
        self.c.lit(".")?;
        let needles = sorted(&needles);
        for n in &needles {
            self.s.held.remove(n);
            self.s.forward.remove(n);
        }
        match what {
            0 => needles.iter().for_each(|n| self.s.gone(n)),
            1 => self.s.held.extend(&needles),
            2 => self.s.forward.extend(&needles),
            _ => {}
        }
        self.s.step(match what {
            0 => Action::OutOfWork(needles),
            1 => Action::Hold(needles),
            2 => Action::Forward(needles),
            _ => Action::BackToWorking(needles),
        });
        Some(())
    }

    pub(super) fn needle(&mut self) -> Option<Needle> {
        match self.c.needles()?.as_slice() {
            [one] => Some(*one),
            _ => None,
        }
    }

    pub(super) fn together(&mut self) -> Option<()> {
        let mut carry = None;
        if self.c.opt("Cross, carrying no stitch past ") {
            let n = u8::try_from(self.c.plain_number()?).ok()?;
            self.c.lit(if n == 1 { " needle" } else { " needles" })?;
            self.c.lit(": lift off together and hang in this order: ")?;
            carry = Some(n);
        } else {
            self.c.lit("Lift off together and hang in this order: ")?;
        }
        let mut moves = Vec::new();
        loop {
            let from = self.needle()?;
            self.c.lit(" on to ")?;
            let to = self.needle()?;
            let leaves = self
                .c
                .word(&[(", then out of work", Leaves::Out), (", left empty for a hole", Leaves::Eyelet)])
                .unwrap_or(Leaves::Refill);
            moves.push(Move { from, to, leaves });
            if !self.c.opt("; ") {
                break;
            }
        }
        self.c.lit(". What is hung later lies nearer to you.")?;
        for m in moves.iter().filter(|m| m.leaves == Leaves::Out) {
            self.s.gone(&m.from);
        }
        self.s.step(Action::MoveTogether { moves, carry });
        Some(())
    }

    pub(super) fn wraps(&mut self) -> Option<()> {
        if self.c.opt("Wrap each needle with the yarn, in this order, towards the carriage: ") {
            let needles = self.c.needles()?;
            self.c.lit(".")?;
            let yarn = self.s.yarn?;
            self.s.numbered(&needles, yarn.0 == 0);
            self.s.step(Action::Wrap { needles, yarn });
            return Some(());
        }
        self.c.lit("Lay the yarn round the holding needle ")?;
        let needle = self.needle()?;
        self.c.lit(", for the turn.")?;
        let yarn = self.s.yarn?;
        self.s.loops += 1;
        self.s.step(Action::TurnWrap { needle, yarn });
        Some(())
    }

    pub(super) fn holders(&mut self) -> Option<()> {
        let off = self.c.word(&[("Take off on to holder ", true), ("Put back the stitches of holder ", false)])?;
        let holder = Holder(u8::try_from(self.c.plain_number()?.checked_sub(1)?).ok()?);
        self.c.lit(if off { ", in this order, the stitches of " } else { ", in the order taken off, on to " })?;
        let needles = self.c.needles()?;
        self.c.lit(".")?;
        self.s.step(if off { Action::TakeOff { needles, holder } } else { Action::PutBack { holder, needles } });
        Some(())
    }

    pub(super) fn pick_up(&mut self) -> Option<()> {
        if self.c.opt("Hang again the loops of ") {
            let row = if self.c.opt("the first row in ") {
                (self.yarn_words()? == latchwork_machine::steps::Yarn(0)).then(|| self.s.first_row.clone())?
            } else {
                self.c.lit("row ")?;
                let reading = self.c.plain_counter()?;
                self.s.rows.get(&reading)?.clone()
            };
            self.c.lit(", each on the needle that made it: ")?;
            let needles = self.c.needles()?;
            self.c.lit(".")?;
            for needle in needles {
                let (loop_number, needle) = *row.iter().find(|r| r.1 == needle)?;
                self.s.step(Action::PickUp { loop_number, needle });
            }
            return Some(());
        }
        if self.c.opt("Hang the edge of the other piece, in this order, on ") {
            let needles = self.c.needles()?;
            self.c.lit(": its places ")?;
            let places = self.c.numbers()?;
            self.c.lit(".")?;
            (needles.len() == places.len()).then_some(())?;
            self.s.numbered(&needles, false);
            self.s.step(Action::HangEdge { needles, places });
            return Some(());
        }
        self.c.lit("Hang loop ")?;
        let loop_number = self.c.plain_number()?;
        self.c.lit(" (in the order made) on to ")?;
        let needle = self.needle()?;
        self.c.lit(".")?;
        self.s.step(Action::PickUp { loop_number, needle });
        Some(())
    }

    pub(super) fn cut(&mut self) -> Option<()> {
        self.c.lit("Cut the yarn")?;
        let mut yarn = self.s.yarn;
        if self.c.opt(" (") {
            yarn = Some(self.yarn()?);
            self.c.lit(")")?;
        }
        let yarn = yarn?;
        let mut tail = None;
        let secured = match self.s.heard.deeds.iter().rev().find(|d| !matches!(d, Deed::Hangs { .. })) {
            Some(Deed::Step(Action::Secure { way, onto: None, .. })) => Some(*way),
            _ => None,
        };
        if self.c.opt(", leaving a tail of ") {
            tail = Some(self.c.length()?);
            self.c.lit(" at the ")?;
            let side = if secured == Some(Way::Chain) { self.s.side.other() } else { self.s.side };
            (self.c.side()? == side).then_some(())?;
        }
        let drawn = self.c.opt(", and draw it through the last loop");
        self.c.lit(".")?;
        (drawn == matches!(secured, Some(Way::LoopThroughLoop | Way::Chain))).then_some(())?;
        if self.s.yarn == Some(yarn) {
            self.s.yarn = None;
        }
        self.s.heard.tails.extend(tail);
        self.s.step(Action::Cut(yarn));
        Some(())
    }

    pub(super) fn bind_off(&mut self) -> Option<()> {
        let mut cut_length = None;
        if self.c.opt("With a cut length of ") {
            cut_length = Some(self.yarn_words()?);
            self.c.lit(": ")?;
        }
        if self.c.opt("Draw the tail through the last loop and take it off its needle, ") {
            let slot = self.c.slot()?;
            let bed = self.c.word(&[(".", Bed::Main), (" of the ribber.", Bed::Ribber)])?;
            let needles = vec![Needle { bed, slot }];
            self.s.step(Action::Secure { needles, way: Way::LoopThroughLoop, cut_length, onto: None });
            return Some(());
        }
        let way = self.c.word(&[
            ("Bind off loop through loop", Way::LoopThroughLoop),
            ("Bind off with the latch tool", Way::Chain),
            ("Thread the tail through every loop", Way::Gathered),
            ("Sew off the loops", Way::Sewn),
            ("Keep the loops on waste yarn", Way::Waste),
        ])?;
        let needles = if self.c.opt(" from ") {
            let from = self.c.slot()?;
            self.c.lit(" to ")?;
            let to = self.c.slot()?;
            let needles = self.s.span(from, to);
            (needles.first()?.slot == from && needles.last()?.slot == to).then_some(needles)?
        } else {
            self.c.lit(", in this order, ")?;
            self.c.needles()?
        };
        let mut onto = None;
        let (a, b) = (needles.first()?.slot, needles.last()?.slot);
        let at_yarn = if a > b { Side::Right } else { Side::Left } == self.s.side;
        match way {
            Way::LoopThroughLoop if cut_length.is_none() && !at_yarn => {
                self.c.lit(": begin at the end away from the yarn and draw each loop through the one before it.")?;
            }
            Way::LoopThroughLoop => self.c.lit(": draw each loop through the one before it.")?,
            Way::Chain => {
                self.c.lit(". Begin at the yarn: hook the first loop with the tool, draw the yarn through it, and pass the yarn once round the next gate peg; then draw it through the next loop and the one on the tool together, and so on, each loop off its needle.")?;
                if self.c.opt(" Hang the last loop on main bed ") {
                    onto = Some(Needle { bed: Bed::Main, slot: self.c.slot()? });
                    self.c.lit(".")?;
                } else if self.c.opt(" Hang the last loop on ribber ") {
                    onto = Some(Needle { bed: Bed::Ribber, slot: self.c.slot()? });
                    self.c.lit(".")?;
                } else if needles.len() < self.s.in_work.len() {
                    self.c.lit(" Hang the last loop on the next needle.")?;
                }
            }
            Way::Gathered => {
                self.c.lit(", beginning at the yarn, take the work off and draw it up a little; the tail comes out at the other end. Do not fasten it yet.")?;
            }
            Way::Sewn => self.c.lit(", with back stitch, drawing the tail through each loop twice.")?,
            Way::Waste => self.c.lit(".")?,
        }
        self.s.chained |= way == Way::Chain;
        self.s.step(Action::Secure { needles, way, cut_length, onto });
        Some(())
    }

    pub(super) fn let_off(&mut self) -> Option<()> {
        if self.c.opt("Let the work off all needles; the waste yarn keeps the loops.") {
            let needles = self.s.in_work.iter().copied().collect();
            self.s.step(Action::Secure { needles, way: Way::Waste, cut_length: None, onto: None });
            return Some(());
        }
        let needles = if self.c.opt("Let the work off all needles.") {
            self.s.in_work.iter().copied().collect()
        } else {
            self.c.lit("Let off the loops of ")?;
            let needles = self.c.needles()?;
            self.c.lit(".")?;
            sorted(&needles)
        };
        self.s.step(Action::Release(needles));
        Some(())
    }

    /// Sentences that help and ask for nothing of their own.
    pub(super) fn noise(&mut self) -> Option<()> {
        if self.c.opt("Hold is off, so that the first row knits them back.") {
            return (self.s.hold == [false, false]).then_some(());
        }
        if self.c.opt(HAND_SAFE) {
            return (self.s.chained && self.s.grams == 0).then_some(());
        }
        if self.c.opt("Move the claws up.") {
            self.s.heard.deeds.push(Deed::MoveUp);
            return Some(());
        }
        self.c.lit("(In the manual: ")?;
        let end = self.c.rest.find(".)")?;
        self.c.rest = &self.c.rest[end + 2..];
        Some(())
    }
}
