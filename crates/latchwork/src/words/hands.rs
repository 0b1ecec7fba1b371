//! What the hands do: loops moved, needles set, endings.

use latchwork_machine::needle::{Bed, Needle, Pitch, Side};
use latchwork_machine::numbers::{loops_of, reading_of};
use latchwork_machine::steps::{Action, Leaves, Move, Way};

use super::Sentence;
use super::list::{self, in_order, needle, needles, needles as needles_text, slots, sorted};
use super::say::{LOWER, Speaker};
use crate::wording::{say, side as side_word};

/// Fewer moves than this are told needle by needle.
const FEW: usize = 5;

fn bed_word(bed: Bed) -> &'static str {
    if bed == Bed::Main { "main bed" } else { "ribber" }
}

fn left(leaves: Leaves, many: bool) -> &'static str {
    match (leaves, many) {
        (Leaves::Out, false) => "the emptied needle goes out of work",
        (Leaves::Out, true) => "the emptied needles go out of work",
        (Leaves::Eyelet, false) => "the emptied needle stays in work, for a hole",
        (Leaves::Eyelet, true) => "the emptied needles stay in work, for holes",
        (Leaves::Refill, false) => "the emptied needle stays in work, to be filled",
        (Leaves::Refill, true) => "the emptied needles stay in work, to be filled",
    }
}

fn the_needles(named: &[Needle]) -> &'static str {
    if sorted(named).len() == 1 { " this needle: " } else { " these needles: " }
}

fn way_word(way: i16) -> &'static str {
    if way > 0 { "right" } else { "left" }
}

impl Speaker<'_> {
    pub(super) fn ribber_stands(&mut self, s: &mut Sentence) {
        while let Some(Action::Rack(_) | Action::Pitch(_)) = self.action() {
            self.done();
        }
        match self.stand.racking().0 {
            0 => s.strong("Rack the ribber back").text(" to where it is not racked. "),
            _ => s.strong("Rack the ribber").text(" so that it stands as follows. "),
        };
        s.text(if self.stand.pitch() == Pitch::Full { "Full pitch" } else { "Half pitch" });
        self.racked(s);
        s.text(".");
    }

    /// Loops moved outside a stretch: all of a bed across, on to one needle, or by name.
    pub(super) fn transfers(&mut self, s: &mut Sentence) {
        loop {
            let said = self.all_across(s) || self.pairs_halved(s) || self.laid_on_neighbours(s) || self.point(s);
            if !said {
                match self.action() {
                    Some(Action::Transfer(_)) => self.moves_by_name(s),
                    Some(Action::IntoWork(n)) => {
                        s.strong("Bring into work")
                            .text(if n.len() == 1 { " this empty needle: " } else { " these empty needles: " })
                            .name(needles(&sorted(n), self.language()))
                            .text(". ");
                        self.done();
                    }
                    Some(Action::RibberDown) => {
                        s.text(LOWER).text(" ");
                        self.done();
                    }
                    Some(Action::Claim(_)) => self.done(),
                    _ => return,
                }
            }
        }
    }

    /// The transfers from here on, as long as `fits`.
    fn run(&self, from: usize, fits: impl Fn(&Move) -> bool) -> Vec<Move> {
        let steps = self.plan.steps.get(from..).unwrap_or_default();
        let moves = steps.iter().map_while(|s| match &s.action {
            Action::Transfer(m) if fits(m) => Some(*m),
            _ => None,
        });
        moves.collect()
    }

    /// Loops of one bed moved to the needles of their own numbers on the other, which are brought in first.
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
        let (here, there) = (bed_word(bed), bed_word(bed.other()));
        if whole {
            s.strong("Move the ").strong(here).strong(" loops across").text(": ").value(moves.len());
            s.text(", each to the ").text(there).text(" needle of its own number");
        } else {
            let from: Vec<_> = from.iter().map(|n| n.slot).collect();
            s.strong("Move these ")
                .strong(here)
                .strong(" loops across")
                .text(": ")
                .value(slots(&from, self.language()));
            s.text(", each to the ").text(there).text(" needle of its own number");
        }
        if new.len() == moves.len() {
            s.text(", which is brought into work first");
        } else if new.is_empty() {
            s.text(", which carries a stitch already");
        } else {
            s.text("; bring it into work first where it is out. The other needles then carry two stitches");
        }
        s.text(". Put the emptied ").text(here).text(" needles out of work. ");
        (0..skip + moves.len()).for_each(|_| self.done());
        if let Some(Action::RibberDown) = self.action() {
            s.text(LOWER).text(" ");
            self.done();
        }
        let point = matches!(self.action(), Some(Action::Transfer(_)))
            || matches!(self.plan.steps.get(self.at + 1).map(|s| &s.action), Some(Action::Transfer(_)));
        if !point {
            let n = self.stand.count();
            s.text("Loops now lie on ").value(n).text(if n == 1 { " needle. " } else { " needles. " });
        }
        true
    }

    /// Each second loop of the ribber's pairs laid on its right-hand or left-hand neighbour.
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
        s.strong(if way > 0 {
            "Lay the left loop of each ribber pair on to its right-hand neighbour"
        } else {
            "Lay the right loop of each ribber pair on to its left-hand neighbour"
        });
        s.text(" on the ribber; the emptied needles go out of work. ");
        (0..moves.len()).for_each(|_| self.done());
        true
    }

    /// Each second loop of the whole row laid on the main bed needle at its left, before many are gathered.
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
            s.strong("Lay each ribber loop").text(" on to the main bed needle at its left: ").value(moves.len());
            s.text(". Put the emptied ribber needles out of work. ");
        } else {
            s.strong("Lay every second loop")
                .text(" on to its left-hand neighbour, beginning with the second from the left: ");
            s.value(moves.len()).text(". Put the emptied needles out of work. ");
        }
        (0..moves.len()).for_each(|_| self.done());
        if let Some(Action::RibberDown) = self.action() {
            s.text(LOWER).text(" ");
            self.done();
        }
        s.text("Loops now lie on ").value(self.stand.count()).text(" needles. ");
        true
    }

    /// The last few loops of the main bed moved on to one needle.
    fn point(&mut self, s: &mut Sentence) -> bool {
        let moves = self.run(self.at, |m| m.from.bed == Bed::Main && m.to.bed == Bed::Main && m.leaves == Leaves::Out);
        let Some(first) = moves.first() else { return false };
        let others: Vec<Needle> = self.stand.needles().into_iter().filter(|n| *n != first.to).collect();
        let from = || moves.iter().map(|m| m.from);
        let side = if from().eq(others.iter().copied()) { Side::Left } else { Side::Right };
        if !from().eq(others.iter().copied()) && !from().rev().eq(others) || moves.iter().any(|m| m.to != first.to) {
            return false;
        }
        s.strong("Move the last ").value(moves.len() + 1).strong(" loops on to one needle").text(", ");
        s.value(first.to.slot).text(" of the main bed, beginning at the ").name(side_word(side, self.language()));
        s.text("; the others go out of work. ");
        (0..moves.len()).for_each(|_| self.done());
        true
    }

    /// Transfers by name: several by the same distance together.
    fn moves_by_name(&mut self, s: &mut Sentence) {
        let Some(Action::Transfer(first)) = self.action() else { return };
        let way = |m: &Move| m.to.slot.0 - m.from.slot.0;
        let moves = self.run(self.at, |m| {
            m.from.bed == first.from.bed && m.to.bed == first.to.bed && way(m) == way(first) && m.leaves == first.leaves
        });
        let many = moves.len() > 1;
        let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
        s.strong("Move")
            .text(if many { " the stitches of " } else { " the stitch of " })
            .name(needles(&from, self.language()));
        if first.from.bed != first.to.bed {
            s.text(" across to the ").text(bed_word(first.to.bed)).text(if many { ", each" } else { "" });
        } else if many {
            s.text(", each");
        }
        let n = way(first);
        match n.unsigned_abs() {
            0 => s.text(" to the needle of its own number"),
            1 => s.text(" one needle to the ").text(way_word(n)),
            k => s.text(" ").name(k.to_string()).text(" needles to the ").text(way_word(n)),
        };
        s.text("; ").text(left(first.leaves, many)).text(". ");
        (0..moves.len()).for_each(|_| self.done());
    }

    /// Steps that stand alone.
    #[expect(clippy::too_many_lines, reason = "an arm an act")]
    pub(super) fn by_hand(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::OutOfWork(n) => {
                    s.strong("Put out of work")
                        .text(the_needles(n))
                        .name(needles(&sorted(n), self.language()))
                        .text(". ");
                }
                Action::Hold(n) => {
                    s.strong("Put into holding")
                        .text(the_needles(n))
                        .name(needles(&sorted(n), self.language()))
                        .text(". ");
                }
                Action::Forward(n) => {
                    s.strong("Bring forward")
                        .text(the_needles(n))
                        .name(needles(&sorted(n), self.language()))
                        .text(". ");
                }
                Action::BackToWorking(n) => {
                    s.strong("Put back to working")
                        .text(the_needles(n))
                        .name(needles(&sorted(n), self.language()))
                        .text(". ");
                }
                Action::MoveTogether { moves, carry } => {
                    match carry {
                        None => s.strong("Lift off together").text(" and hang in this order: "),
                        Some(n) => {
                            s.strong("Cross").text(", carrying no stitch past ").name(n.to_string()).text(if *n == 1 {
                                " needle: lift off together and hang in this order: "
                            } else {
                                " needles: lift off together and hang in this order: "
                            })
                        }
                    };
                    for (i, m) in moves.iter().enumerate() {
                        s.text(if i == 0 { "" } else { "; " });
                        s.name(needle(m.from, self.language())).text(" on to ").name(needle(m.to, self.language()));
                        match m.leaves {
                            Leaves::Out => s.text(", then out of work"),
                            Leaves::Eyelet => s.text(", left empty for a hole"),
                            Leaves::Refill => s,
                        };
                    }
                    s.text(". What is hung later lies nearer to you. ");
                }
                Action::Wrap { needles: n, yarn } => {
                    self.take_up(s, *yarn);
                    s.strong("Wrap each needle").text(" with the yarn, in this order, towards the carriage: ");
                    s.name(in_order(n, self.language())).text(". ");
                    if self.hold == [false, false] {
                        s.text("Hold is off, so that the first row knits them back. ");
                    }
                }
                Action::TurnWrap { needle: n, yarn } => {
                    self.take_up(s, *yarn);
                    s.strong("Lay the yarn round")
                        .text(" the holding needle ")
                        .name(needle(*n, self.language()))
                        .text(", for the turn. ");
                }
                Action::TakeOff { needles: n, holder } => {
                    s.strong("Take off")
                        .text(" on to holder ")
                        .name((holder.0 + 1).to_string())
                        .text(", in this order, the stitches of ");
                    s.name(in_order(n, self.language())).text(". ");
                }
                Action::PutBack { holder, needles: n } => {
                    s.strong("Put back")
                        .text(" the stitches of holder ")
                        .name((holder.0 + 1).to_string())
                        .text(", in the order taken off, on to ");
                    s.name(in_order(n, self.language())).text(". ");
                }
                Action::HangEdge { needles: n, places } => {
                    s.strong("Hang the edge").text(" of the other piece, in this order, on ");
                    s.name(in_order(n, self.language()))
                        .text(": its places ")
                        .value(list::numbers(places, self.language()))
                        .text(". ");
                }
                Action::PickUp { .. } if self.row_hung(s) => continue,
                Action::PickUp { loop_number, needle: n } => {
                    s.strong("Hang").text(" loop ").name(loop_number.to_string()).text(" (in the order made) on to ");
                    s.name(needle(*n, self.language())).text(". ");
                }
                Action::MoveUp(_) => {
                    s.strong("Move the claws up").text(". ");
                }
                Action::RibberDown => {
                    s.text(LOWER).text(" ");
                }
                Action::RibberUp => {
                    s.text("Raise the ribber, and fit the carriage's arm for both beds. ");
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

    /// Loops of one row hung again, each on the needle that made it, told by the row.
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
            s.strong("Hang again")
                .text(" the loops of the first row in ")
                .name(self.yarn_words(latchwork_machine::steps::Yarn(0)));
        } else if let Some(row) = reading_of(before, picked[0].0).filter(|r| whole(loops_of(before, Some(*r)))) {
            s.strong("Hang again").text(" the loops of row ").name(crate::units::counter(row));
        } else {
            return false;
        }
        s.text(", each on the needle that made it: ").name(needles_text(&needles, self.language())).text(". ");
        (0..picked.len()).for_each(|_| self.done());
        true
    }

    pub(super) fn finish(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Hang { .. } | Action::Unhang { .. } => {
                    self.loads(s);
                    s.text(" ");
                    let chained = self.plan.steps[..self.at]
                        .iter()
                        .any(|s| matches!(s.action, Action::Secure { way: Way::Chain, .. }));
                    if chained && self.grams == 0 {
                        s.text("Then lift the chain off the pegs.");
                    }
                    continue;
                }
                Action::Cut(y) => self.cut(s, *y),
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                Action::Secure { needles: n, way, cut_length, onto } => self.secure(s, n, *way, (*cut_length, *onto)),
                Action::Release(n) => {
                    let all: Vec<Needle> = self.stand.needles();
                    if sorted(n) == all {
                        s.text(" ").strong("Let the work off").text(" all needles.");
                    } else {
                        s.text(" ")
                            .strong("Let off")
                            .text(" the loops of ")
                            .name(needles(&sorted(n), self.language()))
                            .text(".");
                    }
                }
                Action::Claim(_) => {}
                _ => return,
            }
            self.done();
        }
    }

    fn cut(&mut self, s: &mut Sentence, yarn: latchwork_machine::steps::Yarn) {
        s.text(" ").strong("Cut the yarn");
        if self.yarn != Some(yarn) || yarn.0 > 0 {
            s.text(" (").name(self.yarn_name(yarn)).text(")");
        }
        let earlier = self.plan.steps[..self.at].iter().rev().map(|s| &s.action);
        let before = earlier.into_iter().find(|a| !matches!(a, Action::Unhang { .. }));
        // A chain begins at the yarn and carries it along to the other end.
        let side = match before {
            Some(Action::Secure { way: Way::Chain, .. }) => self.side.other(),
            _ => self.side,
        };
        let at = side_word(side, self.language());
        let hanging = say!(self.language(), " at the {at}", at);
        self.tail(s, self.at, ", leaving a tail of ", &hanging);
        if matches!(before, Some(Action::Secure { way: Way::LoopThroughLoop | Way::Chain, onto: None, .. })) {
            s.text(", and draw it through the last loop");
        }
        s.text(".");
        if self.yarn == Some(yarn) {
            self.yarn = None;
        }
    }

    fn secure(
        &mut self,
        s: &mut Sentence,
        stitches: &[Needle],
        way: Way,
        (cut_length, onto): (Option<latchwork_machine::steps::Yarn>, Option<Needle>),
    ) {
        let (Some(a), Some(b)) = (stitches.first(), stitches.last()) else { return };
        s.text(" ");
        if let Some(yarn) = cut_length {
            s.text("With a cut length of ").name(self.yarn_words(yarn)).text(": ");
        }
        if let ([one], Way::LoopThroughLoop) = (stitches, way) {
            s.text("Draw the tail through the last loop and ").strong("take it off").text(" its needle, ");
            s.value(one.slot).text(if one.bed == Bed::Main { "." } else { " of the ribber." });
            return;
        }
        let plain = a.bed == Bed::Main && self.stand.between(Bed::Main, a.slot, b.slot) == stitches;
        let span = |s: &mut Sentence| {
            if plain {
                s.text(" from ").value(a.slot).text(" to ").value(b.slot);
            } else {
                s.text(", in this order, ").name(in_order(stitches, self.language()));
            }
        };
        let at_yarn = if a.slot > b.slot { Side::Right } else { Side::Left } == self.side;
        match way {
            Way::LoopThroughLoop => {
                s.strong("Bind off loop through loop");
                span(s);
                if cut_length.is_none() && !at_yarn {
                    s.text(": begin at the end away from the yarn and draw each loop through the one before it.");
                } else {
                    s.text(": draw each loop through the one before it.");
                }
            }
            Way::Chain => {
                s.strong("Bind off with the latch tool");
                span(s);
                s.text(
                    ". Begin at the yarn: hook the first loop with the tool, draw the yarn through it, and pass the yarn once round the \
                     next gate peg; then draw it through the next loop and the one on the tool together, and so on, each \
                     loop off its needle.",
                );
                if let Some(onto) = onto {
                    s.text(" Hang the last loop on ").name(needle(onto, self.language())).text(".");
                } else if stitches.len() < self.stand.count() {
                    s.text(" Hang the last loop on the next needle.");
                }
            }
            Way::Gathered => {
                s.strong("Thread the tail through every loop");
                span(s);
                s.text(", beginning at the yarn, take the work off and draw it up a little; the tail comes out at the other end. Do not fasten it yet.");
            }
            Way::Sewn => {
                s.strong("Sew off the loops");
                span(s);
                s.text(", with back stitch, drawing the tail through each loop twice.");
            }
            Way::Waste if sorted(stitches) == self.stand.needles() && stitches == sorted(stitches) => {
                s.strong("Let the work off").text(" all needles; the waste yarn keeps the loops.");
            }
            Way::Waste => {
                s.strong("Keep the loops on waste yarn");
                span(s);
                s.text(".");
            }
        }
    }
}
