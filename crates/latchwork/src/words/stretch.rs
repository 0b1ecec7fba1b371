//! A stretch of fabric in one line, with its shapings and changes of weight.

use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::{Action, Mark, Move, Pass};

use super::list::sorted;
use super::passes::clears;
use super::say::Speaker;
use super::{Instruction, Sentence, ShapingRow, capital};
use crate::fact::PartName;
use crate::units::Language;
use crate::wording::{ordinal, part as part_name, say};

/// The shaping of a stretch: its name, its beds, how it is done, whether any stitch goes onto the third needle for want
/// of the fourth, and which end comes first if it matters.
struct Shaping {
    what: String,
    beds: &'static str,
    how: &'static str,
    short: bool,
    first: Option<Side>,
}

impl Shaping {
    /// This shaping with the next one added, if the same words fit both.
    fn and(self, next: Shaping) -> Result<Shaping, Shaping> {
        let clash = matches!((self.first, next.first), (Some(a), Some(b)) if a != b);
        if self.what != next.what || self.beds != next.beds || clash {
            return Err(self);
        }
        Ok(Shaping { short: self.short || next.short, first: self.first.or(next.first), ..next })
    }
}

const NARROW_TWO: &str = "Count the needles in work on both beds together, from the end: transfer the 2nd onto the 4th, then the 1st onto the 3rd. Put the emptied needles out of work.";
const NARROW_ONE: &str = "Transfer the end stitch onto the next needle. Put the emptied needle out of work.";
const WIDEN_NEXT: &str = "Bring the next needle into work, empty.";
const WIDEN_OTHER: &str = "Bring the next needle of the other bed into work, empty.";
const WIDEN_EACH: &str = "Bring the next needle of each bed into work, empty.";
const WIDEN_TWO: &str = "Bring the next 2 needles into work, empty.";
const SHORT: &str = " Where the 4th is missing or on the other bed, transfer the 2nd onto the 3rd.";

/// Whether the order of two equivalent lists of moves matters, as it does where a needle occurs twice; none if they are
/// not equivalent.
fn same_moves(a: &[Move], b: &[Move]) -> Option<bool> {
    let needles = |m: &[Move]| m.iter().flat_map(|m| [m.from, m.to]).collect::<Vec<Needle>>();
    let key = |m: &Move| (m.from, m.to);
    let (mut x, mut y) = (a.to_vec(), b.to_vec());
    x.sort_by_key(key);
    y.sort_by_key(key);
    let ordered = sorted(&needles(a)).len() < needles(a).len();
    (a == b || (x == y && !ordered)).then_some(ordered)
}

/// The readings at which to move the claw weights up.
pub(super) fn claws(s: &mut Sentence, moved_up: &[u32]) {
    let gap = moved_up.windows(2).map(|w| w[1] - w[0]).next().unwrap_or(0);
    let even = moved_up.len() > 4 && moved_up.windows(2).all(|w| w[1] - w[0] == gap);
    if let ([first, .., last], true) = (moved_up, even) {
        s.text("In the next step, from counter ").value(crate::units::counter(*first));
        s.text(" to ").value(crate::units::counter(*last));
        s.text(", every ").name(gap.to_string()).text(" rows: ").strong("move the claw weights up").text(
            ". When the comb nears the floor: pull out the comb wire. Remove the comb. Hang claw weights of the same total, spread across the width.",
        );
    } else if !moved_up.is_empty() {
        let list: Vec<String> = moved_up.iter().map(|c| crate::units::counter(*c)).collect();
        s.text("In the next step, at counter ").value(list.join(", ")).text(": ");
        s.strong("move the claw weights up").text(".");
    }
}

/// The rows between shapings: 4th, or 4th or 6th where they differ.
fn every(rows: &[ShapingRow], t: Language) -> String {
    let mut gaps: Vec<u32> = rows.windows(2).map(|w| w[1].counter - w[0].counter).collect();
    gaps.sort_unstable();
    gaps.dedup();
    let words: Vec<String> = gaps.iter().map(|n| ordinal(*n, t)).collect();
    words.join(&say!(t, " or "))
}

/// Rows printed in one step.
#[derive(Default)]
struct RowsSaid<'a> {
    passes: Vec<&'a Pass>,
    /// What is hung or removed on the way.
    loads: Vec<Sentence>,
    shaping: Option<Shaping>,
    /// Counter readings at which the claw weights are moved up.
    moved_up: Vec<u32>,
}

impl<'a> Speaker<'a> {
    /// Takes the rows, and the acts between them, that share a line.
    fn rows_said(&mut self, part: u32, shapings: &mut Vec<ShapingRow>) -> RowsSaid<'a> {
        let mut all = RowsSaid::default();
        while let Some(step) = self.peek() {
            if step.origin.0 != part {
                break;
            }
            match &step.action {
                Action::Pass(p) => {
                    let first = all.passes.first().copied().unwrap_or(p);
                    if p.mark != Mark::Plain || !Self::alike(p, first) {
                        break;
                    }
                    all.passes.push(p);
                    self.moved(p);
                }
                Action::Transfer(_) | Action::IntoWork(_) => {
                    let Some((shaping, steps)) = self.shaping() else { break };
                    all.shaping = match all.shaping.map(|before| before.and(shaping)) {
                        None => self.shaping().map(|s| s.0),
                        Some(Ok(both)) => Some(both),
                        Some(Err(before)) => {
                            all.shaping = Some(before);
                            break;
                        }
                    };
                    (0..steps).for_each(|_| self.done());
                    if let Some(Action::Claim(_)) = self.action() {
                        self.done();
                    }
                    let stitches = u32::try_from(self.stand.knitting()).unwrap_or(u32::MAX);
                    let mut row = ShapingRow { counter: self.counter, side: self.side, stitches, hangs: None };
                    if matches!(self.action(), Some(Action::Hang { .. } | Action::Unhang { .. })) {
                        self.loads(&mut Sentence::new(self.language()), false);
                        row.hangs = Some((self.grams, self.comb));
                    }
                    shapings.push(row);
                }
                Action::Hang { .. } | Action::Unhang { .. } => {
                    let mut load = Sentence::new(self.language());
                    load.text(" At counter ").value(crate::units::counter(self.counter)).text(",");
                    self.loads(&mut load, true);
                    all.loads.push(load);
                }
                Action::MoveUp(_) => {
                    all.moved_up.push(self.counter);
                    self.done();
                }
                Action::Claim(_) => self.done(),
                _ => break,
            }
        }
        all
    }

    fn label(&self, part: u32) -> String {
        self.given.labels.get(part as usize).map_or_else(String::new, |l| part_name(&l.name, self.language()))
    }

    /// The name of a part with its first letter large, as a sentence begins.
    fn begins(&self, part: u32) -> String {
        let name = self.given.labels.get(part as usize).map(|l| match &l.name {
            PartName::SideOf(own, side) => PartName::SideOf(capital(own), *side),
            name => name.clone(),
        });
        name.map_or_else(String::new, |n| capital(&part_name(&n, self.language())))
    }

    /// The name of a stretch, before what is knitted of it.
    pub(super) fn named_part(&self, s: &mut Sentence, part: u32) {
        let label = self.label(part);
        // A name that begins with a figure could be read as the number of the next step.
        if label.starts_with(|c: char| c.is_ascii_digit()) {
            s.strong("Section ").strong_name(&label).text(". ");
        } else {
            s.strong_name(self.begins(part)).text(". ");
        }
    }

    /// The fabric of a stretch, unless it is the stretch's name.
    pub(super) fn in_fabric(&self, s: &mut Sentence, part: u32) {
        let fabric = self.fabric(part).unwrap_or_default();
        if !self.label(part).eq_ignore_ascii_case(fabric) {
            s.text(" in ").name(fabric);
        }
    }

    pub(super) fn stretch(&mut self, s: &mut Sentence, part: u32, shapings: &mut Vec<ShapingRow>) {
        let (begin, side) = (self.at, self.side);
        if let Some(Action::Pass(p)) = self.action() {
            self.settings(s, p);
        }
        let RowsSaid { passes, loads, shaping: said, moved_up } = self.rows_said(part, shapings);
        let clearing = clears(&passes);
        let rows = &passes[..passes.len() - usize::from(clearing)];
        self.named_part(s, part);
        self.rows(s, rows.len());
        self.in_fabric(s, part);
        self.as_set(s, rows);
        if clearing {
            s.text(" Knit 1 row to clear the tucks: both beds knit.");
        }
        if let Some(shaping) = said {
            s.text(" ").strong_name(&shaping.what).text(shaping.beds);
            if shapings.len() > 1 {
                if shapings.windows(2).all(|w| w[1].counter - w[0].counter == 1) {
                    s.text(", every row");
                } else {
                    s.text(", every ").value(every(shapings, self.language())).text(" row");
                }
            }
            s.text(", ").value(shapings.len()).text(if shapings.len() == 1 { " time" } else { " times" });
            s.text(", at the counter readings in the table");
            s.text(if shaping.first == Some(Side::Right) { ", right end first. " } else { ". " }).text(shaping.how);
            if shaping.short {
                s.text(SHORT);
            }
        }
        s.tokens.extend(loads.into_iter().flat_map(|l| l.tokens));
        self.remind(part, begin, side, &moved_up);
        if shapings.iter().any(|r| r.hangs.is_some()) {
            s.text(
                " Where the table gives a weight, change the total to about that weight, comb included, before the next row. Where it says no comb: \
                 pull out the comb wire. Remove the comb. Hang a small claw weight or clothes pegs in the middle, close below the stitches. Where it gives only \
                 a weight, leave the comb on, counted as 50 g, and take off claw weights.",
            );
        }
    }

    /// A line before the next, with the readings at which to move the claw weights up: they differ between sizes, and in the
    /// same line they would keep sizes from sharing it.
    pub(super) fn remind(&mut self, part: u32, begin: usize, side: Side, moved_up: &[u32]) {
        if moved_up.is_empty() {
            return;
        }
        let mut reminder = Sentence::new(self.language());
        claws(&mut reminder, moved_up);
        self.lines.push(Instruction {
            part,
            tokens: reminder.tokens,
            counter: None,
            side,
            shapings: Vec::new(),
            steps: begin..begin,
            repeat: false,
        });
    }

    /// The decrease or increase at the ends made by the next steps, and how many steps it takes.
    fn shaping(&self) -> Option<(Shaping, usize)> {
        let t = self.language();
        let mut moves: Vec<Move> = Vec::new();
        let mut new: Vec<Needle> = Vec::new();
        let mut steps = 0;
        for step in self.plan.steps.get(self.at..).unwrap_or_default() {
            match &step.action {
                Action::Transfer(m) => moves.push(*m),
                Action::IntoWork(n) => new.extend(n),
                // Stitches are cast on at the new needles.
                Action::Wrap { .. } if !new.is_empty() => return None,
                _ => break,
            }
            steps += 1;
        }
        let ends: [&[Side]; 4] =
            [&[Side::Left], &[Side::Right], &[Side::Left, Side::Right], &[Side::Right, Side::Left]];
        for (sides, stitches) in ends.into_iter().flat_map(|e| [(e, 1), (e, 2)]) {
            let (narrower, short) = self.stand.decrease(stitches, sides);
            let order = if new.is_empty() {
                same_moves(&narrower, &moves)
            } else {
                let wider = moves.is_empty() && sorted(&self.stand.increase(stitches, sides)) == sorted(&new);
                wider.then_some(false)
            };
            let Some(ordered) = order else { continue };
            let needles: Vec<Needle> = if new.is_empty() { moves.iter().map(|m| m.from).collect() } else { new };
            let two = needles.iter().any(|n| n.bed != needles[0].bed);
            let at = match sides {
                [_, _] => say!(t, "each end"),
                [Side::Left] => say!(t, "the left end"),
                _ => say!(t, "the right end"),
            };
            let beds = match two && stitches == 2 {
                true => ", 1 on each bed",
                false => "",
            };
            let first = sides.first().copied().filter(|_| ordered && sides.len() == 2);
            let count = if stitches == 1 { say!(t, "1 stitch") } else { say!(t, "2 stitches") };
            let shaping = if moves.is_empty() {
                let beside = self.stand.increase(1, &sides[..1]);
                let end = self.stand.knitting_from(sides[0]).first().copied();
                let other = end.zip(beside.first()).is_some_and(|(end, new)| end.bed != new.bed);
                let how = match (stitches, two, other) {
                    (1, _, true) => WIDEN_OTHER,
                    (1, _, false) => WIDEN_NEXT,
                    (_, true, _) => WIDEN_EACH,
                    (_, false, _) => WIDEN_TWO,
                };
                Shaping { what: say!(t, "Increase {count} at {at}", count, at), beds, how, short: false, first }
            } else {
                let how = if stitches == 1 { NARROW_ONE } else { NARROW_TWO };
                Shaping { what: say!(t, "Decrease {count} at {at}", count, at), beds, how, short, first }
            };
            return Some((shaping, steps));
        }
        None
    }
}
