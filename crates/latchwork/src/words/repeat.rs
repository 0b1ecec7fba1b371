//! Repeats: steps printed once, then repeated by their numbers.

use latchwork_machine::steps::{Action, Step, Yarn};

use super::say::Speaker;
use super::stretch::claws;
use super::{Instruction, Sentence};
use crate::fact::HungEdge;

/// Most lines in one repeat; the search looks no farther back.
const LONGEST: usize = 120;

/// Whether a step is printed beside the lines and is not part of what repeats.
fn beside(step: &Step) -> bool {
    matches!(step.action, Action::MoveUp(_) | Action::Claim(_))
}

/// Whether a repeat may include an act. Claw weights moved up within the lines to repeat would be moved up each time.
fn repeats(action: &Action) -> bool {
    matches!(
        action,
        Action::Pass(_)
            | Action::Claim(_)
            | Action::Rack(_)
            | Action::Forward(_)
            | Action::Hold(_)
            | Action::BackToWorking(_)
            | Action::TurnWrap { .. }
            | Action::Release(_)
            | Action::IntoWork(_)
            | Action::Transfer(_)
            | Action::MoveTogether { .. }
            | Action::HangEdge { .. }
            | Action::Cut(_)
            | Action::Join { .. }
    )
}

impl Speaker<'_> {
    /// Adds a repeat of the last lines if the next steps are the same; returns whether it did.
    pub(super) fn repeated(&mut self) -> bool {
        let Some(part) = self.peek().map(|s| s.origin.0) else { return false };
        if self.fabric(part).is_none() {
            return false;
        }
        let last = self.lines.len();
        for first in (0..last).rev().take(LONGEST) {
            let line = &self.lines[first];
            if line.part != part || line.repeat || !line.shapings.is_empty() {
                return false;
            }
            let block = line.steps.start..self.at;
            if block.is_empty() || line.steps.is_empty() {
                continue;
            }
            let steps = &self.plan.steps[block.clone()];
            if !steps.iter().all(|s| repeats(&s.action)) {
                return false;
            }
            let passes = steps.iter().filter(|s| matches!(s.action, Action::Pass(_))).count();
            let hands = steps.iter().any(|s| !beside(s) && !matches!(s.action, Action::Pass(_)));
            let mut yarns = steps.iter().filter_map(|s| match &s.action {
                Action::Pass(p) => Some([p.yarn, p.second, p.laid]),
                _ => None,
            });
            let begins = yarns.next();
            let stripes = begins.is_some_and(|y| yarns.any(|z| z != y));
            let told = begins.is_some_and(|y| self.named(y, first)) && self.counts_alike(&block)
                // A yarn threaded for the first time is told otherwise than one threaded again.
                && steps.iter().all(|s| match &s.action {
                    Action::Join { yarn, .. } => self.joined.get(yarn).is_some_and(|first| *first < block.start),
                    _ => true,
                });
            if !(hands || stripes) || passes == 0 || !told {
                continue;
            }
            let (times, end) = self.copies(block);
            if times > 0 {
                self.say_again((first, last - 1), times, end);
                return true;
            }
        }
        false
    }

    /// Whether the lines from this one on name the yarns that they begin with, or these are threaded now.
    fn named(&self, begins: [Option<Yarn>; 3], line: usize) -> bool {
        let (then, now) = (self.before.get(line).copied().unwrap_or_default(), self.threaded());
        (0..3).all(|i| begins[i] != then[i] || begins[i] == now[i])
    }

    /// Whether the first of these rows finds the counter on or off as the last leaves it, or says how to set it.
    fn counts_alike(&self, block: &std::ops::Range<usize>) -> bool {
        let counted = |s: &Step| match &s.action {
            Action::Pass(p) => Some(p.counted),
            _ => None,
        };
        let (before, these) = (&self.plan.steps[..block.start], &self.plan.steps[block.clone()]);
        let begins = these.iter().find_map(counted);
        begins == these.iter().rev().find_map(counted) || begins != before.iter().rev().find_map(counted)
    }

    /// How many times the next steps do the same as these, and where they end.
    fn copies(&self, block: std::ops::Range<usize>) -> (usize, usize) {
        let origin = self.plan.steps[block.start].origin;
        let (mut times, mut end, mut at) = (0, self.at, self.at);
        loop {
            for (i, want) in block.clone().zip(&self.plan.steps[block.clone()]).filter(|(_, s)| !beside(s)) {
                while self.plan.steps.get(at).is_some_and(|s| s.origin == origin && beside(s)) {
                    at += 1;
                }
                let same = |s: &Step| s.origin == origin && (s.action == want.action || self.row_on(i, at));
                if !self.plan.steps.get(at).is_some_and(same) {
                    return (times, end);
                }
                at += 1;
            }
            times += 1;
            end = at;
        }
    }

    /// Whether two steps hang, on the same needle, a row as many rows on from the last.
    fn row_on(&self, one: usize, other: usize) -> bool {
        let of = |step: usize| HungEdge::at(self.given.hung, step);
        let needle = |step: usize| match &self.plan.steps[step].action {
            Action::HangEdge { needles, .. } => Some(needles),
            _ => None,
        };
        let (Some(a), Some(b)) = (of(one), of(other)) else { return false };
        let on = |h: &HungEdge| h.row.and_then(|r| r.on);
        needle(one) == needle(other)
            && on(a).is_some()
            && on(a) == on(b)
            && (a.edge, &a.piece, &a.along) == (b.edge, &b.piece, &b.along)
    }

    fn say_again(&mut self, (first, last): (usize, usize), times: usize, end: usize) {
        let part = self.plan.steps[self.at].origin.0;
        // Claw weights moved up before its first row are not part of it.
        while let Some(Action::MoveUp(_) | Action::Claim(_)) = self.action() {
            let (at, moves) = (self.at, matches!(self.action(), Some(Action::MoveUp(_))));
            self.done();
            if moves {
                let mut s = Sentence::new(self.language());
                s.strong("Move the claw weights up").text(".");
                let (counter, shapings) = (self.counting.then_some(self.counter), Vec::new());
                let (side, steps) = (self.side, at..self.at);
                self.lines.push(Instruction { part, tokens: s.tokens, counter, side, shapings, steps, repeat: true });
            }
        }
        let (begin, side) = (self.at, self.side);
        let mut moved_up = Vec::new();
        while self.at < end {
            match &self.plan.steps[self.at].action {
                Action::Pass(p) => self.moved(p),
                Action::MoveUp(_) => {
                    moved_up.push(self.counter);
                    self.done();
                }
                _ => self.done(),
            }
        }
        let line = |s: Sentence, counter, side, steps| Instruction {
            part,
            tokens: s.tokens,
            counter,
            side,
            shapings: Vec::new(),
            steps,
            repeat: true,
        };
        if !moved_up.is_empty() {
            let mut reminder = Sentence::new(self.language());
            claws(&mut reminder, &moved_up);
            self.lines.push(line(reminder, None, side, begin..begin));
        }
        let mut s = Sentence::new(self.language());
        s.strong("Repeat steps ").step(first).text(" to ").step(last).text(", ").value(times);
        s.text(if times == 1 { " more time." } else { " more times." });
        let (counter, side) = (self.counting.then_some(self.counter), self.side);
        self.lines.push(line(s, counter, side, begin..end));
    }
}
