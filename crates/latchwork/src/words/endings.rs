//! Sentences for stitches made fast, yarns cut and loops dropped.

use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::{Action, Way};

use super::Sentence;
use super::list::{bed_word, sorted};
use super::say::Speaker;
use crate::wording::side as side_word;

impl Speaker<'_> {
    pub(super) fn finish(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Hang { .. } | Action::Unhang { .. } => {
                    self.loads(s, false);
                    s.text(" ");
                    let chained = self.plan.steps[..self.at]
                        .iter()
                        .any(|s| matches!(s.action, Action::Secure { way: Way::Chain, .. }));
                    if chained && self.grams == 0 {
                        s.text("Lift the chain off the gate pegs.");
                    }
                    continue;
                }
                Action::Cut(y) => self.cut(s, *y),
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                Action::Secure { needles: n, way, cut_length, onto } => {
                    self.secure(s, n, *way, (*cut_length, *onto));
                    self.emptied(s, n, *way == Way::Chain && (onto.is_some() || cut_length.is_some()));
                }
                Action::Release(n) => {
                    let all: Vec<Needle> = self.stand.needles();
                    if sorted(n) == all {
                        s.text(" ").strong("Drop all stitches").text(" on purpose.");
                    } else {
                        s.text(" ").strong("Drop").text(" the stitches of ").needles(&sorted(n));
                        s.text(" on purpose.");
                    }
                }
                Action::Claim(_) => {}
                _ => return,
            }
            self.done();
        }
    }

    fn cut(&mut self, s: &mut Sentence, yarn: latchwork_machine::steps::Yarn) {
        s.text(" ").strong("Cut ").name(self.yarn_name(yarn));
        let earlier = self.plan.steps[..self.at].iter().rev().map(|s| &s.action);
        let before = earlier.into_iter().find(|a| !matches!(a, Action::Unhang { .. }));
        // A chain begins at the yarn and takes it along to the other end.
        let side = match before {
            Some(Action::Secure { way: Way::Chain, .. }) => self.side.other(),
            _ => self.side,
        };
        self.tail(s, self.at, Some(side));
        s.text(".");
        if matches!(before, Some(Action::Secure { way: Way::LoopThroughLoop | Way::Chain, onto: None, .. })) {
            s.text(" Pull the tail through the last stitch.");
        }
        if self.yarn == Some(yarn) {
            self.yarn = None;
        }
    }

    /// The needles emptied by a chain inside a piece, where they go out of work next.
    fn emptied(&mut self, s: &mut Sentence, stitches: &[Needle], inside: bool) {
        let next = self.plan.steps.get(self.at + 1).map(|s| &s.action);
        if inside
            && let Some(Action::OutOfWork(out)) = next
            && sorted(out) == sorted(stitches)
        {
            self.done();
            s.text(if out.len() == 1 { " Put the emptied needle" } else { " Put the emptied needles" });
            s.text(" out of work. Lift the chain off the gate pegs.");
        }
    }

    /// How to work a chain, told in full the first time, and where its last stitch goes; `more`: stitches are left.
    fn chain(&mut self, s: &mut Sentence, own_length: bool, onto: Option<Needle>, more: bool) {
        if std::mem::replace(&mut self.chained, true) {
            s.text(" Work it like the chain before.");
        } else {
            s.text(
            " Start at the yarn. Hook the first stitch and pull the yarn through it. Pass the yarn round the next gate \
             peg. Pull it through the next stitch and the one on the tool together. Work each stitch off its needle. \
             Repeat to the end.",
        );
        }
        if own_length {
            s.text(" Pull the end of that length through the last stitch.");
        } else if let Some(onto) = onto {
            s.text(" Hang the last stitch on ").text(bed_word(onto.bed)).text(" ").value(onto.slot).text(".");
        } else if more {
            s.text(" Hang the last stitch on the next needle.");
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
        let t = self.language();
        let separate = |s: &mut Sentence| {
            if let Some(yarn) = cut_length {
                s.text("a separate length of ").name(self.yarn_name(yarn));
            }
        };
        if let ([one], Way::LoopThroughLoop) = (stitches, way) {
            s.strong("Pull ");
            if cut_length.is_none() {
                s.text("the tail");
            }
            separate(s);
            s.text(" through the last stitch. Take it off its needle, ").text(bed_word(one.bed)).text(" ");
            s.value(one.slot).text(".");
            return;
        }
        let plain = a.bed == Bed::Main && self.stand.between(Bed::Main, a.slot, b.slot) == stitches;
        let ribber = self.stand.any(Bed::Ribber);
        let span = |s: &mut Sentence| {
            if plain {
                s.text(if ribber { ", from main bed " } else { ", from " }).value(a.slot).text(" to ").value(b.slot);
            } else {
                s.text(", in this order: ").in_order(stitches);
            }
            if cut_length.is_some() {
                s.text(", with ");
                separate(s);
            }
            s.text(".");
        };
        let at_yarn = if a.slot > b.slot { Side::Right } else { Side::Left } == self.side;
        match way {
            Way::LoopThroughLoop => {
                s.strong("Cast off loop through loop");
                span(s);
                if cut_length.is_none() && !at_yarn {
                    s.text(" Start at the end away from the yarn.");
                }
                s.text(" Pull each stitch through the one before it.");
            }
            Way::Chain => {
                s.strong("Cast off with the latch tool");
                span(s);
                let more = stitches.len() < self.stand.knitting();
                self.chain(s, cut_length.is_some(), onto, more);
            }
            Way::Gathered => {
                s.strong("Thread the tail through every stitch");
                span(s);
                s.text(
                    " Start at the yarn. Take the work off the needles. Draw it up loosely. The tail is now at the ",
                );
                s.name(side_word(if a.slot > b.slot { Side::Left } else { Side::Right }, t))
                    .text(". Do not fasten yet.");
            }
            Way::Sewn => {
                s.strong("Sew off the stitches").text(" with back stitch");
                span(s);
            }
            Way::Waste if sorted(stitches) == self.stand.needles() && stitches == sorted(stitches) => {
                s.strong("Drop the waste yarn").text(" off the needles.");
            }
            Way::Waste => {
                s.strong("Keep the stitches on waste yarn");
                span(s);
            }
        }
    }
}
