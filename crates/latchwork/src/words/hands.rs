//! Sentences for the hands: transfers, needles, endings.

use latchwork_machine::needle::{Bed, Needle, Pitch, Side};
use latchwork_machine::numbers::{loops_of, reading_of};
use latchwork_machine::steps::{Action, Leaves, Move, Yarn};

use super::Sentence;
use super::list::{self, bed_word, needle, slots, sorted};
use super::say::{LOWER, Speaker};
use crate::fact::{Counted, HungEdge, HungKind, HungRow};
use crate::wording::{hung_edge, side as side_word};

/// Fewer moves than this are named needle by needle.
const FEW: usize = 5;

/// What becomes of emptied needles.
fn emptied(leaves: Leaves, many: bool) -> &'static str {
    match (leaves, many) {
        (Leaves::Out, false) => "Put the emptied needle out of work. ",
        (Leaves::Out, true) => "Put the emptied needles out of work. ",
        (Leaves::Eyelet, false) => "Leave the emptied needle in work for an eyelet. ",
        (Leaves::Eyelet, true) => "Leave the emptied needles in work for eyelets. ",
        (Leaves::Refill, false) => "Leave the emptied needle in work, to be filled. ",
        (Leaves::Refill, true) => "Leave the emptied needles in work, to be filled. ",
    }
}

fn stitches(n: usize) -> &'static str {
    if n == 1 { " stitch. " } else { " stitches. " }
}

fn to_way(way: i16) -> &'static str {
    if way > 0 { " to the right. " } else { " to the left. " }
}

impl Speaker<'_> {
    pub(super) fn ribber_stands(&mut self, s: &mut Sentence) {
        let before = (self.stand.pitch(), self.stand.racking().0);
        while let Some(Action::Rack(_) | Action::Pitch(_)) = self.action() {
            self.done();
        }
        let (pitch, racking) = (self.stand.pitch(), self.stand.racking().0);
        let words = if pitch == Pitch::Full { "full pitch" } else { "half pitch" };
        if racking == before.1 {
            s.strong(if pitch == before.0 { "Leave the ribber" } else { "Change" });
            s.text(if pitch == before.0 { " at " } else { " to " }).text(words);
            self.racked(s);
        } else if racking == 0 {
            s.strong("Rack the ribber back").text(". Now ").text(words).text(", not racked");
        } else {
            let by = i16::from(racking) - i16::from(before.1);
            s.strong("Rack the ribber ").strong_name(by.unsigned_abs().to_string());
            s.strong(if by < 0 { " to the left" } else { " to the right" }).text(". Now ").text(words);
            self.racked(s);
        }
        s.text(".");
    }

    /// Transfers outside a stretch: a whole bed across, onto one needle, or needle by needle.
    pub(super) fn transfers(&mut self, s: &mut Sentence) {
        loop {
            let said = self.all_across(s) || self.pairs_halved(s) || self.laid_on_neighbours(s) || self.point(s);
            if !said {
                match self.action() {
                    Some(Action::Transfer(_)) if self.is_by_chart() => return,
                    Some(Action::Transfer(_)) => self.moves_by_name(s),
                    Some(Action::IntoWork(n)) => {
                        s.strong("Bring ").needles(&sorted(n));
                        s.strong(" into work").text(", empty. ");
                        self.done();
                    }
                    Some(Action::RibberDown) => {
                        s.text(LOWER);
                        self.done();
                    }
                    Some(Action::Claim(_)) => self.done(),
                    _ => return,
                }
            }
        }
    }

    /// The transfers from `from` on, up to the first that does not fit.
    fn run(&self, from: usize, fits: impl Fn(&Move) -> bool) -> Vec<Move> {
        let steps = self.plan.steps.get(from..).unwrap_or_default();
        let moves = steps.iter().map_while(|s| match &s.action {
            Action::Transfer(m) if fits(m) => Some(*m),
            _ => None,
        });
        moves.collect()
    }

    /// Stitches of one bed transferred to the needles of the same numbers on the other, which come into work first.
    fn all_across(&mut self, s: &mut Sentence) -> bool {
        let new: &[Needle] = match self.action() {
            Some(Action::IntoWork(n)) => n,
            _ => &[],
        };
        let skip = usize::from(!new.is_empty());
        let moves =
            self.run(self.at + skip, |m| m.from.bed != m.to.bed && m.from.slot == m.to.slot && m.leaves == Leaves::Out);
        let Some(first) = moves.first() else { return false };
        let bed = first.from.bed;
        let targets: Vec<Needle> = moves.iter().map(|m| m.to).filter(|n| !self.stand.needles().contains(n)).collect();
        let of_bed: Vec<Needle> = self.stand.needles().into_iter().filter(|n| n.bed == bed).collect();
        let mut from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        from.sort_unstable();
        let whole = from == of_bed;
        if moves.iter().any(|m| m.from.bed != bed) || sorted(new) != sorted(&targets) || new.len() != targets.len() {
            return false;
        }
        let (here, there) = if bed == Bed::Main { ("main-bed", "ribber") } else { ("ribber", "main-bed") };
        if skip > 0 {
            s.strong("Bring ").value(new.len()).strong(if new.len() == 1 {
                " empty needle into work"
            } else {
                " empty needles into work"
            });
            s.text(".");
            self.bring_in(s, new);
            s.text(" ");
        }
        let (taken, one) = (new.len() < moves.len(), moves.len() == 1);
        let same = if one { " needle of the same number" } else { " needles of the same numbers" };
        let onto = match (taken, one) {
            (false, _) => "",
            (true, true) => ", onto the stitch there",
            (true, false) => ", onto the stitches there",
        };
        if whole && one {
            s.strong("Transfer the ")
                .strong(here)
                .strong(" stitch")
                .text(" to the ")
                .text(there)
                .text(same)
                .text(onto)
                .text(". ");
        } else if whole {
            s.strong("Transfer the ").strong(here).strong(" stitches").text(" to the ").text(there);
            s.text(same).text(onto).text(": ").value(moves.len()).text(stitches(moves.len()));
        } else {
            let from: Vec<_> = from.iter().map(|n| n.slot).collect();
            s.strong("Transfer")
                .text(if one { " the stitch of " } else { " the stitches of " })
                .text(bed_word(bed))
                .text(" ");
            s.value(slots(&from, self.language())).text(" across to the ").text(there).text(same).text(onto).text(". ");
        }
        s.text("Put the emptied ").text(here).text(if one {
            " needle out of work. "
        } else {
            " needles out of work. "
        });
        (0..skip + moves.len()).for_each(|_| self.done());
        if let Some(Action::RibberDown) = self.action() {
            s.text(LOWER);
            self.done();
        }
        let point = matches!(self.action(), Some(Action::Transfer(_)))
            || matches!(self.plan.steps.get(self.at + 1).map(|s| &s.action), Some(Action::Transfer(_)));
        if !point {
            self.count_now(s);
        }
        true
    }

    /// One stitch of each pair on the ribber transferred onto the other.
    fn pairs_halved(&mut self, s: &mut Sentence) -> bool {
        let ribber = |m: &Move| m.from.bed == Bed::Ribber && m.to.bed == Bed::Ribber && m.leaves == Leaves::Out;
        let moves = self.run(self.at, ribber);
        let Some(first) = moves.first() else { return false };
        let way = first.to.slot.0 - first.from.slot.0;
        let row: Vec<Needle> = self.stand.needles().into_iter().filter(|n| n.bed == Bed::Ribber).collect();
        let paired = |n: &Needle| {
            row.iter().any(|o| o.slot.0 == n.slot.0 + way) && !row.iter().any(|o| o.slot.0 == n.slot.0 - way)
        };
        let wanted: Vec<Needle> = row.iter().copied().filter(|n| paired(n)).collect();
        let mut from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        from.sort_unstable();
        let stepped = moves.iter().all(|m| m.to.slot.0 - m.from.slot.0 == way);
        if way.abs() != 1 || !stepped || from != wanted || wanted.len() * 2 != row.len() {
            return false;
        }
        s.strong("Transfer").text(if way > 0 {
            " the left stitch of each ribber pair onto the right one: "
        } else {
            " the right stitch of each ribber pair onto the left one: "
        });
        s.value(moves.len()).text(stitches(moves.len())).text(emptied(Leaves::Out, true));
        (0..moves.len()).for_each(|_| self.done());
        true
    }

    /// Every other stitch of the whole row transferred onto the main-bed needle at its left, before gathering.
    fn laid_on_neighbours(&mut self, s: &mut Sentence) -> bool {
        let moves =
            self.run(self.at, |m| m.to.bed == Bed::Main && m.to.slot.0 < m.from.slot.0 && m.leaves == Leaves::Out);
        let Some(bed) = moves.first().map(|m| m.from.bed) else { return false };
        let mut row: Vec<Needle> = self.stand.needles();
        row.sort_by_key(|n| (n.slot, n.bed));
        let pairs = row.chunks_exact(2).map(|p| (p[1], p[0]));
        if moves.len() < FEW
            || !moves.iter().map(|m| (m.from, m.to)).eq(pairs)
            || moves.iter().any(|m| m.from.bed != bed)
        {
            return false;
        }
        if bed == Bed::Ribber {
            s.strong("Transfer").text(" each ribber stitch onto the main-bed needle at its left: ").value(moves.len());
            s.text(" stitches. Put the emptied ribber needles out of work. ");
        } else {
            s.strong("Transfer")
                .text(" every other stitch onto the needle at its left, starting with the 2nd from the left: ");
            s.value(moves.len()).text(" stitches. ").text(emptied(Leaves::Out, true));
        }
        (0..moves.len()).for_each(|_| self.done());
        if let Some(Action::RibberDown) = self.action() {
            s.text(LOWER);
            self.done();
        }
        self.count_now(s);
        true
    }

    /// The count of stitches; the bed is named when only the main bed has any.
    fn count_now(&self, s: &mut Sentence) {
        s.text("Stitches: ").value(self.stand.count());
        s.text(if self.stand.any(Bed::Ribber) { ". " } else { ", main bed. " });
    }

    /// The last stitches of the main bed transferred onto one needle.
    fn point(&mut self, s: &mut Sentence) -> bool {
        let moves = self.run(self.at, |m| m.from.bed == Bed::Main && m.to.bed == Bed::Main && m.leaves == Leaves::Out);
        let Some(first) = moves.first() else { return false };
        let others: Vec<Needle> = self.stand.needles().into_iter().filter(|n| *n != first.to).collect();
        let from = || moves.iter().map(|m| m.from);
        let side = if from().eq(others.iter().copied()) { Side::Left } else { Side::Right };
        if !from().eq(others.iter().copied()) && !from().rev().eq(others) || moves.iter().any(|m| m.to != first.to) {
            return false;
        }
        s.strong("Transfer the last ").value(moves.len() + 1).strong(" stitches onto one needle").text(", main bed ");
        s.value(first.to.slot).text(". Start at the ").name(side_word(side, self.language())).text(". ");
        s.text(emptied(Leaves::Out, true));
        (0..moves.len()).for_each(|_| self.done());
        true
    }

    /// Transfers needle by needle; several over the same distance share a sentence.
    fn moves_by_name(&mut self, s: &mut Sentence) {
        let Some(Action::Transfer(first)) = self.action() else { return };
        let way = |m: &Move| m.to.slot.0 - m.from.slot.0;
        let moves = self.run(self.at, |m| {
            m.from.bed == first.from.bed && m.to.bed == first.to.bed && way(m) == way(first) && m.leaves == first.leaves
        });
        let many = moves.len() > 1;
        let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        s.strong("Transfer").text(if many { " the stitches of " } else { " the stitch of " }).needles(&from);
        let (n, across) = (way(first), first.from.bed != first.to.bed);
        let there = match first.to.bed {
            _ if !across => "",
            Bed::Main => " across to the main bed",
            Bed::Ribber => " across to the ribber",
        };
        match n.unsigned_abs() {
            0 => {
                s.text(if first.to.bed == Bed::Main { " across to the main-bed" } else { " across to the ribber" });
                s.text(if many { " needles of the same numbers. " } else { " needle of the same number. " })
            }
            1 => s.text(there).text(if across { ", 1 needle" } else { " 1 needle" }).text(to_way(n)),
            k => {
                s.text(there).text(if across { ", " } else { " " }).name(k.to_string()).text(" needles").text(to_way(n))
            }
        };
        s.text(emptied(first.leaves, many));
        (0..moves.len()).for_each(|_| self.done());
    }

    fn e_wrap(&mut self, s: &mut Sentence, needles: &[Needle], yarn: Yarn, cut_length: bool) {
        if cut_length {
            s.strong("E-wrap ").in_order(needles).text(", in this order, with the rest of that length of ");
            s.name(self.yarn_name(yarn)).text(". Lift the chain off the gate pegs. ");
            return;
        }
        self.take_up(s, yarn);
        s.strong("E-wrap ").in_order(needles).text(", in this order, towards the carriage. ");
        if self.hold == [false, false] {
            s.text("Keep hold off. ");
        }
    }

    /// Steps with a sentence of their own.
    pub(super) fn by_hand(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::OutOfWork(n) if n.len() > 1 && sorted(n) == self.stand.needles() => {
                    s.strong("Put").text(" all needles out of work. ");
                }
                Action::OutOfWork(n) => self.placed(s, "Put ", n, " out of work. "),
                // Needles for a row that was taken off whole.
                Action::IntoWork(n) if self.stand.count() == 0 && !s.tokens.is_empty() => {
                    s.strong("Bring ").needles(&sorted(n)).strong(" into work").text(", empty. ");
                }
                // Short rows begin a line of their own.
                Action::Hold(_) | Action::BackToWorking(_)
                    if !s.tokens.is_empty() && self.peek().is_some_and(|p| self.fabric(p.origin.0).is_some()) =>
                {
                    return;
                }
                Action::Hold(n) => self.placed(s, "Bring ", n, " to holding position. "),
                Action::Forward(_) if self.by_chart(s) => return,
                Action::Forward(n) => self.placed(s, "Bring ", n, " to forward position. "),
                Action::BackToWorking(n) if n.len() > 1 && sorted(n) == self.stand.held() => {
                    s.strong("Return").text(" all held needles to working position. ");
                }
                Action::BackToWorking(n) => self.placed(s, "Return ", n, " to working position. "),
                Action::MoveTogether { .. } if self.by_chart(s) => return,
                Action::MoveTogether { moves, carry } => self.together(s, moves, *carry),
                Action::Wrap { needles: n, yarn, cut_length } => self.e_wrap(s, n, *yarn, *cut_length),
                Action::TurnWrap { needle: n, yarn } => {
                    self.take_up(s, *yarn);
                    s.strong("Wrap ").name(needle(*n, self.language())).text(", in holding position. ");
                }
                Action::TakeOff { needles: n, holder } => {
                    let all = n.len() > 1 && *n == self.stand.row_from(Side::Left);
                    s.strong("Take");
                    if all {
                        s.text(" all stitches");
                    } else {
                        s.text(" the stitches of ");
                        self.in_a_row(s, n);
                    }
                    s.strong(" off").text(" onto holder ").name((holder.0 + 1).to_string());
                    s.text(if all { ", in order from the left. " } else { ", in this order. " });
                }
                Action::PutBack { holder, needles: n } => {
                    s.strong("Put").text(" the stitches of holder ").name((holder.0 + 1).to_string());
                    s.strong(" back").text(" onto ");
                    self.in_a_row(s, n);
                    s.text(", in the order taken off. ");
                }
                Action::HangEdge { needles: n, .. } if self.edge_hung(s, n) => {}
                Action::HangEdge { needles: n, places } => {
                    s.strong("Hang the edge").text(" of the other piece on ").in_order(n);
                    s.text(", in this order: its places ").value(list::numbers(places, self.language())).text(". ");
                }
                Action::PickUp { .. } if self.row_hung(s) => continue,
                Action::PickUp { loop_number, needle: n } => {
                    s.strong("Hang").text(" loop ").name(loop_number.to_string()).text(", in the order made, onto ");
                    s.name(needle(*n, self.language())).text(". ");
                }
                Action::MoveUp(_) => {
                    s.strong("Move the claw weights up").text(". ");
                }
                Action::RibberDown => {
                    s.text(LOWER);
                }
                Action::RibberUp => {
                    s.strong("Raise the ribber").text(". Fit the two-bed arm. ");
                }
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                _ => return,
            }
            self.done();
        }
    }

    /// Needles in order; those of both beds by their ends, where they are all that are in work between.
    fn in_a_row(&self, s: &mut Sentence, all: &[Needle]) {
        let (Some(first), Some(last)) = (all.first(), all.last()) else { return };
        let row = self.stand.row_from(Side::Left);
        let at = |n: &Needle| row.iter().position(|m| m == n);
        let whole = at(first).zip(at(last)).is_some_and(|(a, b)| a < b && row[a..=b] == *all);
        let changes = all.windows(2).filter(|p| p[0].bed != p[1].bed).count();
        if whole && changes > 1 {
            s.text("both beds, all needles in work from ").needles(&[*first]).text(" to ").needles(&[*last]);
        } else {
            s.in_order(all);
        }
    }

    /// Needles put in a position.
    fn placed(&self, s: &mut Sentence, put: &'static str, n: &[Needle], so: &'static str) {
        s.strong(put).needles(&sorted(n)).text(so);
    }

    /// Stitches lifted together and hung in a new order.
    fn together(&self, s: &mut Sentence, moves: &[Move], carry: Option<u8>) {
        let t = self.language();
        match carry {
            None => s.strong("Lift"),
            Some(n) => {
                s.strong("Cross").text(", carrying no stitch past ").name(n.to_string());
                s.text(if n == 1 { " needle: lift" } else { " needles: lift" })
            }
        };
        let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        s.text(" the stitches of ").needles(&sorted(&from)).text(" together. Hang them in this order: ");
        for (i, m) in moves.iter().enumerate() {
            s.text(if i == 0 { "" } else { ", " });
            s.name(needle(m.from, t)).text(" onto ").name(needle(m.to, t));
            match m.leaves {
                Leaves::Out => s.text(" and the needle out of work"),
                Leaves::Eyelet => s.text(" and the needle left empty for an eyelet"),
                Leaves::Refill => s,
            };
        }
        s.text(". The stitches hung last are nearest to you. ");
    }

    /// An edge of a piece of the same design, spread over needles.
    fn edge_hung(&self, s: &mut Sentence, needles: &[Needle]) -> bool {
        let Some(h) = HungEdge::at(self.given.hung, self.at) else { return false };
        let t = self.language();
        s.strong("Hang").text(", on ").in_order(needles).text(", ").name(hung_edge(h, t));
        if let Some(HungRow { row, on }) = h.row {
            match on {
                Some(rows) => s.text(", ").name(rows.to_string()).text(" rows on from the last. "),
                None => s.text(", its row ").name(row.to_string()).text(". "),
            };
            return true;
        }
        s.text(": ").value(needles.len());
        s.text(if needles.len() == 1 { " stitch over its " } else { " stitches over its " }).value(h.of);
        s.text(if h.counted == Counted::Rows { " rows" } else { " stitches" }).text(", spread evenly. ");
        s.text(match (h.counted, h.falls) {
            (Counted::Rows, false) => "Begin with its first row. ",
            (Counted::Rows, true) => "Begin with its last row. ",
            (_, false) => "Begin with its left end. ",
            (_, true) => "Begin with its right end. ",
        });
        if h.edge == HungKind::Round {
            s.text("Go once round: first the half that was on the main bed, then the half that was on the ribber, from its right end. ");
        }
        if h.live {
            s.text("Remove its waste yarn once it hangs. ");
        }
        let follows = self.at.checked_sub(1).is_some_and(|i| HungEdge::at(self.given.hung, i).is_some());
        if !follows {
            s.text(if h.turned {
                "Turn the piece over: public sides together. "
            } else {
                "The piece hangs as it was knitted, the same side towards you. "
            });
        }
        true
    }

    /// Loops of one row hung again, each on the needle that made it, in one sentence.
    fn row_hung(&mut self, s: &mut Sentence) -> bool {
        let picked: Vec<(u32, Needle)> = self.plan.steps[self.at..]
            .iter()
            .map_while(|s| match &s.action {
                Action::PickUp { loop_number, needle } => Some((*loop_number, *needle)),
                _ => None,
            })
            .collect();
        let before = &self.plan.steps[..self.at];
        let whole = |row: Vec<(u32, Needle)>| picked.iter().all(|p| row.contains(p));
        let needles: Vec<Needle> = picked.iter().map(|p| p.1).collect();
        if picked.len() < 2 || sorted(&needles) != needles {
            return false;
        }
        if whole(loops_of(before, None)) {
            s.strong("Hang").text(" the stitches of the first row in ").name(self.yarn_name(Yarn(0)));
        } else if let Some(row) = reading_of(before, picked[0].0).filter(|r| whole(loops_of(before, Some(*r)))) {
            s.strong("Hang").text(" the stitches of row ").name(crate::units::counter(row));
        } else {
            return false;
        }
        s.text(" on the needles that made them: ").needles(&needles).text(". ");
        (0..picked.len()).for_each(|_| self.done());
        true
    }
}
