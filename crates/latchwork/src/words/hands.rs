//! What the hands do: shaping, loops moved from bed to bed, endings.

use latchwork_machine::needle::{Bed, Needle, Pitch};
use latchwork_machine::steps::{Action, Move, Way};

use super::Sentence;
use super::say::{LOWER, Speaker, pattern};

impl Speaker<'_> {
    /// A decrease or increase, in words: what, and how it is done each time.
    pub(super) fn shaping(&mut self) -> (String, &'static str) {
        let mut moves: Vec<Move> = Vec::new();
        let mut new: Vec<Needle> = Vec::new();
        while let Some(action) = self.action() {
            match action {
                Action::Transfer(m) => moves.push(*m),
                Action::IntoWork(n) => new.extend(n),
                _ => break,
            }
            self.at += 1;
        }
        let needles: Vec<Needle> = if new.is_empty() { moves.iter().map(|m| m.from).collect() } else { new.clone() };
        let beds = needles.iter().any(|n| n.bed == Bed::Main) && needles.iter().any(|n| n.bed == Bed::Ribber);
        let lefts = needles.iter().filter(|n| n.slot.0 < self.centre()).count();
        let rights = needles.len() - lefts;
        let (ends, each) = match (lefts, rights) {
            (0, r) => ("the right end", r),
            (l, 0) => ("the left end", l),
            (l, _) => ("each end", l),
        };
        let stitches = if each == 1 { "one stitch" } else { "two stitches" };
        let bed = match (beds && each == 2, lefts > 0 && rights > 0) {
            (true, true) => ", one on each bed (four in all)",
            (true, false) => ", one on each bed",
            (false, _) => "",
        };
        if new.is_empty() {
            let how = if each == 2 {
                "Each time, counting the needles of both beds from the end, move the second stitch on to the fourth and then the first on to the third, and put the emptied needles out of work."
            } else {
                "Each time move the end stitch on to its neighbour, and put the emptied needle out of work."
            };
            (format!("Take {stitches} off {ends}{bed}"), how)
        } else {
            self.loops += u32::try_from(new.len()).unwrap_or(0);
            let needles = if each == 1 { "one empty needle" } else { "two empty needles" };
            (format!("Bring {needles} into work at {ends}{bed}"), "They take their first loops in the next row.")
        }
    }

    fn centre(&self) -> i16 {
        let set_up = self.plan.steps.iter().find_map(|s| match &s.action {
            Action::IntoWork(n) => Some(n),
            _ => None,
        });
        let slots = set_up.into_iter().flatten().map(|n| n.slot.0);
        let (least, most) = (slots.clone().min().unwrap_or(0), slots.max().unwrap_or(0));
        (least + most).div_euclid(2)
    }

    pub(super) fn ribber_stands(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Rack(r) => self.racking = *r,
                Action::Pitch(p) => self.pitch = *p,
                _ => break,
            }
            self.at += 1;
        }
        let pitch = if self.pitch == Pitch::Full { "Full pitch" } else { "Half pitch" };
        match self.racking.0 {
            0 => s.strong("Rack the ribber back").text(" to where it is not racked. "),
            _ => s.strong("Rack the ribber").text(" so that it stands as follows. "),
        };
        s.text(pitch);
        self.racked(s);
        s.text(".");
    }

    /// Loops moved outside a stretch: from bed to bed, or on to one needle.
    pub(super) fn transfers(&mut self, s: &mut Sentence) {
        let mut new: Vec<Needle> = Vec::new();
        let mut moves: Vec<Move> = Vec::new();
        let mut down = false;
        let mut to_point: Vec<Move> = Vec::new();
        while let Some(action) = self.action() {
            match action {
                Action::IntoWork(n) if moves.is_empty() => new.extend(n),
                Action::Transfer(m) if m.from.bed != m.to.bed => moves.push(*m),
                Action::Transfer(m) => to_point.push(*m),
                Action::RibberDown => down = true,
                Action::Claim(c) => self.claimed(c),
                _ => break,
            }
            self.at += 1;
        }
        let across = moves.iter().all(|m| m.from.slot == m.to.slot);
        if let (Some(first), true) = (moves.first(), across) {
            let (here, there) =
                if first.from.bed == Bed::Ribber { ("ribber", "main-bed") } else { ("main-bed", "ribber") };
            let some_stay = first.from.bed == Bed::Main;
            let mut slots: Vec<i16> = moves.iter().map(|m| m.from.slot.0).collect();
            slots.sort_unstable();
            s.strong("Move the ").strong(here).strong(" loops across").text(": ").value(moves.len());
            s.text(", each to the ").text(there).text(" needle of its own number");
            if !new.is_empty() {
                s.text(", which you bring into work first");
            }
            if some_stay {
                s.text(" (").text(pattern(&slots)).text(")");
            }
            s.text(". Put the emptied ").text(here).text(" needles out of work. ");
        }
        if down {
            s.text(LOWER).text(" ");
        }
        match to_point.as_slice() {
            [] => {}
            [first, ..] if to_point.iter().all(|m| m.to == first.to) => {
                s.strong("Move the last ").value(to_point.len() + 1).strong(" loops on to one needle").text(", ");
                s.value(first.to.slot).text(" of the main bed; the others go out of work. ");
            }
            [first, ..] => {
                let right = first.to.slot > first.from.slot;
                let (which, whither) = if right { ("left", "right") } else { ("right", "left") };
                s.strong(&format!("Lay the {which} loop of each ribber pair on to its {whither}-hand neighbour"));
                s.text(" on the ribber; the emptied needles go out of work. ");
            }
        }
        if let ([_, ..], []) = (moves.as_slice(), to_point.as_slice()) {
            s.value(self.loops).text(if self.loops == 1 { " needle carries loops." } else { " needles carry loops." });
        }
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
                Action::Cut(y) => {
                    s.text(" ").strong("Cut the yarn");
                    if y.0 > 0 {
                        s.text(" (").text(self.given.yarns.get(usize::from(y.0)).map_or("", String::as_str)).text(")");
                    }
                    let earlier = self.plan.steps[..self.at].iter().rev().map(|s| &s.action);
                    let before = earlier.into_iter().find(|a| !matches!(a, Action::Unhang { .. }));
                    // A chain begins at the yarn and carries it along to the other end.
                    let side = match before {
                        Some(Action::Secure { way: Way::Chain, .. }) => self.side.other(),
                        _ => self.side,
                    };
                    let hanging = format!(" at the {side}");
                    self.tail(s, self.at, ", leaving a tail of ", &hanging);
                    if matches!(before, Some(Action::Secure { way: Way::LoopThroughLoop | Way::Chain, .. })) {
                        s.text(", and draw it through the last loop");
                    }
                    s.text(".");
                }
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                Action::Secure { needles, way, .. } => self.secure(s, needles, *way),
                Action::Release(_) => {
                    s.text(" ").strong("Let the work off").text(" the needles on its waste yarn.");
                }
                Action::Claim(c) => self.claimed(c),
                _ => return,
            }
            self.at += 1;
        }
    }

    fn secure(&mut self, s: &mut Sentence, needles: &[Needle], way: Way) {
        let (Some(a), Some(b)) = (needles.first(), needles.last()) else { return };
        if needles.len() == 1 {
            s.text(" Draw the tail through the last loop and ").strong("take it off").text(" its needle.");
            return;
        }
        let span = |s: &mut Sentence| {
            s.text(" from ").value(a.slot).text(" to ").value(b.slot);
        };
        match way {
            Way::LoopThroughLoop => {
                s.strong("Bind off loop through loop");
                span(s);
                s.text(": begin at the end away from the yarn and draw each loop through the one before it.");
            }
            Way::Chain => {
                s.strong("Bind off with the latch tool");
                span(s);
                s.text(
                    ". Begin at the yarn: hook the first loop with the tool, draw the yarn through it, and pass the yarn once round the \
                     next gate peg; then draw it through the next loop and the one on the tool together, and so on, each \
                     loop off its needle.",
                );
            }
            Way::Gathered => {
                s.strong("Thread the tail through every loop");
                span(s);
                s.text(", beginning at the yarn, take the work off and draw it up a little; the tail comes out at the other end. Do not fasten it yet.");
            }
            Way::Sewn | Way::Waste => {
                s.strong("Secure the loops");
                span(s);
                s.text(".");
            }
        }
    }
}
