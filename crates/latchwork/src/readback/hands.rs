//! The forms for the hands: transfers, needles, endings.

use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::steps::{Action, Holder, Leaves, Move, Way};

use super::deeds::{Deed, sorted};
use super::reader::Reader;

/// What becomes of emptied needles: one, or several.
const EMPTIED: [(&str, bool, Leaves); 6] = [
    (" Put the emptied needle out of work.", false, Leaves::Out),
    (" Put the emptied needles out of work.", true, Leaves::Out),
    (" Leave the emptied needle in work for an eyelet.", false, Leaves::Eyelet),
    (" Leave the emptied needles in work for eyelets.", true, Leaves::Eyelet),
    (" Leave the emptied needle in work, to be filled.", false, Leaves::Refill),
    (" Leave the emptied needles in work, to be filled.", true, Leaves::Refill),
];

/// How to make a chain round the gate pegs.
const CHAIN: &str = " Start at the yarn. Hook the first stitch and pull the yarn through it. Pass the yarn round the next gate peg. Pull it through the next stitch and the one on the tool together. Work each stitch off its needle. Repeat to the end.";

/// A bed as an adjective: ribber stitches, main-bed needles.
const OF_BED: [(&str, Bed); 2] = [("main-bed", Bed::Main), ("ribber", Bed::Ribber)];

impl Reader<'_> {
    /// A count of stitches, at the end of a sentence.
    fn stitches(&mut self) -> Option<u32> {
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " stitch." } else { " stitches." }).or_else(|| self.c.lit(" stitches."))?;
        Some(n)
    }

    fn emptied(&mut self, many: bool) -> Option<Leaves> {
        EMPTIED.iter().find(|e| e.1 == many && self.c.opt(e.0)).map(|e| e.2)
    }

    pub(super) fn bed_across(&mut self) -> Option<()> {
        let named = [
            ("Transfer the stitches of ", (false, true)),
            ("Transfer the stitch of ", (false, false)),
            ("Transfer the ", (true, true)),
        ];
        let (whole, mut many) = self.c.word(&named)?;
        let (bed, from): (Bed, Vec<Needle>) = if whole {
            let bed = self.c.word(&OF_BED)?;
            many = self.c.word(&[(" stitches to the ", true), (" stitch to the ", false)])?;
            (bed, self.s.in_work.iter().copied().filter(|x| x.bed == bed).collect())
        } else {
            let bed = self.c.bed()?;
            self.c.lit(" ")?;
            let slots = self.c.slots()?;
            self.c.lit(" across to the ")?;
            (bed, slots.into_iter().map(|slot| Needle { bed, slot }).collect())
        };
        (self.c.word(&OF_BED)? == bed.other()).then_some(())?;
        (many == (from.len() > 1)).then_some(())?;
        self.c.lit(if many { " needles of the same numbers" } else { " needle of the same number" })?;
        let taken = self.c.opt(if many { ", onto the stitches there" } else { ", onto the stitch there" });
        if whole && many {
            self.c.lit(": ")?;
            (self.stitches()? as usize == from.len()).then_some(())?;
        } else {
            self.c.lit(".")?;
        }
        self.c.lit(" Put the emptied ")?;
        (self.c.word(&OF_BED)? == bed).then_some(())?;
        self.c.lit(if many { " needles out of work." } else { " needle out of work." })?;
        let to = |n: &Needle| Needle { bed: bed.other(), slot: n.slot };
        // Needles brought in for it are empty, and were named just before.
        let brought = match self.s.heard.deeds.last() {
            Some(Deed::Step(Action::IntoWork(new))) if new.iter().all(|n| from.iter().any(|f| to(f) == *n)) => {
                new.len()
            }
            _ => 0,
        };
        (from.iter().all(|n| self.s.in_work.contains(&to(n))) && taken == (brought < from.len())).then_some(())?;
        for n in from {
            self.s.transfer(Move { from: n, to: to(&n), leaves: Leaves::Out });
        }
        Some(())
    }

    /// The stitches left: a count to check.
    pub(super) fn carry(&mut self) -> Option<()> {
        self.c.lit("Stitches: ")?;
        let n = self.c.number()?;
        let main = self.c.opt(", main bed");
        self.c.lit(".")?;
        let on_main = self.s.in_work.iter().all(|n| n.bed == Bed::Main);
        (self.s.in_work.len() == n as usize && main == on_main).then_some(())
    }

    pub(super) fn pairs(&mut self) -> Option<()> {
        let way: i16 = self.c.word(&[
            ("Transfer the left stitch of each ribber pair onto the right one: ", 1),
            ("Transfer the right stitch of each ribber pair onto the left one: ", -1),
        ])?;
        let n = self.stitches()?;
        (self.emptied(true)? == Leaves::Out).then_some(())?;
        let row: Vec<Slot> = self.s.in_work.iter().filter(|n| n.bed == Bed::Ribber).map(|n| n.slot).collect();
        let neighbour = |s: Slot, d: i16| row.contains(&Slot(s.0 + d));
        let from: Vec<Slot> = row.iter().copied().filter(|s| neighbour(*s, way) && !neighbour(*s, -way)).collect();
        (from.len() * 2 == row.len() && from.len() == n as usize).then_some(())?;
        for slot in from {
            let ribber = |slot| Needle { bed: Bed::Ribber, slot };
            self.s.transfer(Move { from: ribber(slot), to: ribber(Slot(slot.0 + way)), leaves: Leaves::Out });
        }
        Some(())
    }

    pub(super) fn neighbours(&mut self) -> Option<()> {
        let bed = self.c.word(&[
            ("Transfer each ribber stitch onto the main-bed needle at its left: ", Bed::Ribber),
            (
                "Transfer every other stitch onto the needle at its left, starting with the 2nd from the left: ",
                Bed::Main,
            ),
        ])?;
        let n = self.stitches()?;
        self.c.lit(match bed {
            Bed::Ribber => " Put the emptied ribber needles out of work.",
            Bed::Main => " Put the emptied needles out of work.",
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
        self.c.lit("Transfer the last ")?;
        let n = self.c.number()?;
        self.c.lit(" stitches onto one needle, main bed ")?;
        let to = Needle { bed: Bed::Main, slot: self.c.slot()? };
        self.c.lit(". Start at the ")?;
        let side = self.c.side()?;
        self.c.lit(".")?;
        (self.emptied(true)? == Leaves::Out).then_some(())?;
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
        let many = self.c.word(&[("Transfer the stitches of ", true), ("Transfer the stitch of ", false)])?;
        let from = self.c.needles()?;
        let bed = from.first()?.bed;
        (from.iter().all(|n| n.bed == bed) && (from.len() > 1) == many).then_some(())?;
        let same = if many { " needles of the same numbers." } else { " needle of the same number." };
        let (mut to_bed, mut way) = (bed, 0);
        if self.c.opt(" across to the ") {
            let here = self.c;
            to_bed = bed.other();
            if self.c.word(&OF_BED) != Some(to_bed) || !self.c.opt(same) {
                self.c = here;
                (self.c.bed()? == to_bed).then_some(())?;
                self.c.lit(", ")?;
                way = self.distance()?;
            }
        } else {
            self.c.lit(" ")?;
            way = self.distance()?;
        }
        let leaves = self.emptied(many)?;
        for n in from {
            let to = Needle { bed: to_bed, slot: Slot(n.slot.0.checked_add(way)?) };
            self.s.transfer(Move { from: n, to, leaves });
        }
        Some(())
    }

    /// A distance such as 2 needles to the left, up to the end of the sentence.
    fn distance(&mut self) -> Option<i16> {
        let n = i16::try_from(self.c.plain_number()?).ok().filter(|n| *n > 0)?;
        self.c.lit(if n == 1 { " needle to the " } else { " needles to the " })?;
        let side = self.c.side()?;
        self.c.lit(".")?;
        Some(if side == Side::Left { -n } else { n })
    }

    pub(super) fn positions(&mut self) -> Option<()> {
        if self.c.opt("Put all needles out of work.") {
            let all: Vec<Needle> = self.s.in_work.iter().copied().collect();
            all.iter().for_each(|n| self.s.gone(n));
            self.s.step(Action::OutOfWork(all));
            return Some(());
        }
        if self.c.opt("Return all held needles to working position.") {
            let all = std::mem::take(&mut self.s.held).into_iter().collect();
            self.s.step(Action::BackToWorking(all));
            return Some(());
        }
        let verb = self.c.word(&[("Put ", 0), ("Bring ", 1), ("Return ", 2)])?;
        let needles = self.c.needles()?;
        let what = self.c.word(&[
            (" out of work.", (0, 0)),
            (" to holding position.", (1, 1)),
            (" to forward position.", (1, 2)),
            (" to working position.", (2, 3)),
        ])?;
        let what = (what.0 == verb).then_some(what.1)?;
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
            self.c.lit(if n == 1 { " needle: lift" } else { " needles: lift" })?;
            carry = Some(n);
        } else {
            self.c.lit("Lift")?;
        }
        self.c.lit(" the stitches of ")?;
        let lifted = self.c.needles()?;
        self.c.lit(" together. Hang them in this order: ")?;
        let mut moves = Vec::new();
        loop {
            let from = self.needle()?;
            self.c.lit(" onto ")?;
            let to = self.needle()?;
            let known = [
                (" and the needle out of work", Leaves::Out),
                (" and the needle left empty for an eyelet", Leaves::Eyelet),
            ];
            let leaves = self.c.word(&known).unwrap_or(Leaves::Refill);
            moves.push(Move { from, to, leaves });
            if !self.c.opt(", ") {
                break;
            }
        }
        self.c.lit(". The stitches hung last are nearest to you.")?;
        let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        (sorted(&from) == sorted(&lifted)).then_some(())?;
        for m in moves.iter().filter(|m| m.leaves == Leaves::Out) {
            self.s.gone(&m.from);
        }
        self.s.step(Action::MoveTogether { moves, carry });
        Some(())
    }

    pub(super) fn wraps(&mut self) -> Option<()> {
        if self.c.opt("E-wrap ") {
            let needles = self.c.needles()?;
            self.c.lit(", in this order, ")?;
            if self.c.opt("with the rest of that length of ") {
                let yarn = self.yarn()?;
                self.c.lit(". Lift the chain off the gate pegs.")?;
                self.s.numbered(&needles, yarn.0 == 0);
                self.s.step(Action::Wrap { needles, yarn, cut_length: true });
                return Some(());
            }
            self.c.lit(if self.names.american { "toward" } else { "towards" })?;
            self.c.lit(" the carriage.")?;
            let yarn = self.s.yarn?;
            self.s.numbered(&needles, yarn.0 == 0);
            self.s.step(Action::Wrap { needles, yarn, cut_length: false });
            return Some(());
        }
        self.c.lit("Wrap ")?;
        let needle = self.needle()?;
        self.c.lit(", in holding position.")?;
        let yarn = self.s.yarn?;
        self.s.loops += 1;
        self.s.step(Action::TurnWrap { needle, yarn });
        Some(())
    }

    /// Needles in order, or all of both beds between two.
    fn in_a_row(&mut self) -> Option<Vec<Needle>> {
        if !self.c.opt("both beds, all needles in work from ") {
            return self.c.needles();
        }
        let first = self.needle()?;
        self.c.lit(" to ")?;
        let last = self.needle()?;
        let row = self.row_from(Side::Left, None);
        let at = |n: Needle| row.iter().position(|r| *r == n);
        Some(row.get(at(first)?..=at(last)?)?.to_vec())
    }

    pub(super) fn holders(&mut self) -> Option<()> {
        let holder =
            |r: &mut Reader<'_>| r.c.plain_number()?.checked_sub(1).and_then(|n| u8::try_from(n).ok()).map(Holder);
        if self.c.opt("Take all stitches off onto holder ") {
            let holder = holder(self)?;
            self.c.lit(", in order from the left.")?;
            let needles = self.row_from(Side::Left, None);
            self.s.step(Action::TakeOff { needles, holder });
            return Some(());
        }
        if self.c.opt("Take the stitches of ") {
            let needles = self.in_a_row()?;
            self.c.lit(" off onto holder ")?;
            let holder = holder(self)?;
            self.c.lit(", in this order.")?;
            self.s.step(Action::TakeOff { needles, holder });
            return Some(());
        }
        self.c.lit("Put the stitches of holder ")?;
        let holder = holder(self)?;
        self.c.lit(" back onto ")?;
        let needles = self.in_a_row()?;
        self.c.lit(", in the order taken off.")?;
        self.s.step(Action::PutBack { holder, needles });
        Some(())
    }

    pub(super) fn pick_up(&mut self) -> Option<()> {
        if self.c.opt("Hang, on ") {
            return self.edge_hung();
        }
        if self.c.opt("Hang the stitches of ") {
            let row = if self.c.opt("the first row in ") {
                (self.yarn()? == latchwork_machine::steps::Yarn(0)).then(|| self.s.first_row.clone())?
            } else {
                self.c.lit("row ")?;
                let reading = self.c.plain_counter()?;
                self.s.rows.get(&reading)?.clone()
            };
            self.c.lit(" on the needles that made them: ")?;
            let needles = self.c.needles()?;
            self.c.lit(".")?;
            for needle in needles {
                let (loop_number, needle) = *row.iter().find(|r| r.1 == needle)?;
                self.s.step(Action::PickUp { loop_number, needle });
            }
            return Some(());
        }
        if self.c.opt("Hang the edge of the other piece on ") {
            let needles = self.c.needles()?;
            self.c.lit(", in this order: its places ")?;
            let places = self.c.numbers()?;
            self.c.lit(".")?;
            (needles.len() == places.len()).then_some(())?;
            self.s.numbered(&needles, false);
            self.s.step(Action::HangEdge { needles, places });
            return Some(());
        }
        self.c.lit("Hang loop ")?;
        let loop_number = self.c.plain_number()?;
        self.c.lit(", in the order made, onto ")?;
        let needle = self.needle()?;
        self.c.lit(".")?;
        self.s.step(Action::PickUp { loop_number, needle });
        Some(())
    }

    pub(super) fn cut(&mut self) -> Option<()> {
        self.c.lit("Cut ")?;
        let yarn = self.yarn()?;
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
        self.c.lit(".")?;
        if matches!(secured, Some(Way::LoopThroughLoop | Way::Chain)) {
            self.c.lit(" Pull the tail through the last stitch.")?;
        }
        if self.s.yarn == Some(yarn) {
            self.s.yarn = None;
        }
        self.s.heard.tails.extend(tail);
        self.s.step(Action::Cut(yarn));
        Some(())
    }

    /// The tail, or a separate length, pulled through the last stitch.
    fn last_stitch(&mut self) -> Option<()> {
        let mut cut_length = None;
        if !self.c.opt("the tail") {
            self.c.lit("a separate length of ")?;
            cut_length = Some(self.yarn()?);
        }
        self.c.lit(" through the last stitch. Take it off its needle, ")?;
        let bed = self.c.bed()?;
        self.c.lit(" ")?;
        let needles = vec![Needle { bed, slot: self.c.slot()? }];
        self.c.lit(".")?;
        self.s.step(Action::Secure { needles, way: Way::LoopThroughLoop, cut_length, onto: None });
        Some(())
    }

    /// The needles emptied by a chain inside a piece go out of work.
    fn left_empty(&mut self, needles: Vec<Needle>) {
        let said = match needles.len() {
            1 => " Put the emptied needle out of work. Lift the chain off the gate pegs.",
            _ => " Put the emptied needles out of work. Lift the chain off the gate pegs.",
        };
        if self.c.opt(said) {
            for n in &needles {
                self.s.held.remove(n);
                self.s.forward.remove(n);
                self.s.gone(n);
            }
            self.s.step(Action::OutOfWork(needles));
        }
    }

    pub(super) fn bind_off(&mut self) -> Option<()> {
        let mut cut_length = None;
        if self.c.opt("Pull ") {
            return self.last_stitch();
        }
        let cast = if self.names.american { "Bind off" } else { "Cast off" };
        let back = if self.names.american { "backstitch" } else { "back stitch" };
        let way = self.c.word(&[
            (format!("{cast} loop through loop").as_str(), Way::LoopThroughLoop),
            (format!("{cast} with the latch tool").as_str(), Way::Chain),
            ("Thread the tail through every stitch", Way::Gathered),
            (format!("Sew off the stitches with {back}").as_str(), Way::Sewn),
            ("Keep the stitches on waste yarn", Way::Waste),
        ])?;
        let needles = if self.c.opt(", from ") {
            let ribber = self.s.in_work.iter().any(|n| n.bed == Bed::Ribber);
            (self.c.opt("main bed ") == ribber).then_some(())?;
            let from = self.c.slot()?;
            self.c.lit(" to ")?;
            let to = self.c.slot()?;
            let needles = self.s.span(from, to);
            (needles.first()?.slot == from && needles.last()?.slot == to).then_some(needles)?
        } else {
            self.c.lit(", in this order: ")?;
            self.c.needles()?
        };
        if self.c.opt(", with a separate length of ") {
            cut_length = Some(self.yarn()?);
        }
        self.c.lit(".")?;
        let mut onto = None;
        let (a, b) = (needles.first()?.slot, needles.last()?.slot);
        let at_yarn = if a > b { Side::Right } else { Side::Left } == self.s.side;
        match way {
            Way::LoopThroughLoop => {
                if cut_length.is_none() && !at_yarn {
                    self.c.lit(" Start at the end away from the yarn.")?;
                }
                self.c.lit(" Pull each stitch through the one before it.")?;
            }
            Way::Chain => {
                if self.s.chained {
                    self.c.lit(" Work it like the chain before.")?;
                } else {
                    self.c.lit(CHAIN)?;
                }
                if cut_length.is_some() {
                    self.c.lit(" Pull the end of that length through the last stitch.")?;
                } else if self.c.opt(" Hang the last stitch on the next needle.") {
                    (needles.len() < self.s.knitting()).then_some(())?;
                } else if self.c.opt(" Hang the last stitch on ") {
                    let bed = self.c.bed()?;
                    self.c.lit(" ")?;
                    onto = Some(Needle { bed, slot: self.c.slot()? });
                    self.c.lit(".")?;
                } else {
                    (needles.len() >= self.s.knitting()).then_some(())?;
                }
            }
            Way::Gathered => {
                self.c.lit(
                    " Start at the yarn. Take the work off the needles. Draw it up loosely. The tail is now at the ",
                )?;
                (self.c.side()? == if a > b { Side::Left } else { Side::Right }).then_some(())?;
                self.c.lit(". Do not fasten yet.")?;
            }
            Way::Sewn | Way::Waste => {}
        }
        self.s.chained |= way == Way::Chain;
        let out = sorted(&needles);
        self.s.step(Action::Secure { needles, way, cut_length, onto });
        if way == Way::Chain && (onto.is_some() || cut_length.is_some()) {
            self.left_empty(out);
        }
        Some(())
    }

    pub(super) fn let_off(&mut self) -> Option<()> {
        if self.c.opt("Drop the waste yarn off the needles.") {
            let needles = self.s.in_work.iter().copied().collect();
            self.s.step(Action::Secure { needles, way: Way::Waste, cut_length: None, onto: None });
            return Some(());
        }
        let needles = if self.c.opt("Drop all stitches on purpose.") {
            self.s.in_work.iter().copied().collect()
        } else {
            self.c.lit("Drop the stitches of ")?;
            let needles = self.c.needles()?;
            self.c.lit(" on purpose.")?;
            sorted(&needles)
        };
        self.s.step(Action::Release(needles));
        Some(())
    }

    /// Sentences that help but ask for nothing.
    pub(super) fn noise(&mut self) -> Option<()> {
        if self.c.opt("Keep hold off.") {
            return (self.s.hold == [false, false]).then_some(());
        }
        if self.c.opt("Lift the chain off the gate pegs.") {
            return (self.s.chained && self.s.grams == 0).then_some(());
        }
        if self.c.opt("Move the claw weights up.") {
            self.s.heard.deeds.push(Deed::MoveUp);
            return Some(());
        }
        self.c.manual()
    }
}
