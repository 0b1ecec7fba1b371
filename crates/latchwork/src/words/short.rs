//! Short rows in one line: what is held or returns before each, how often, and the rows.

use latchwork_machine::needle::{Bed, Needle, Position, Side};
use latchwork_machine::steps::{Action, Mark, Pass, Setting};

use super::Sentence;
use super::list::sorted;
use super::say::Speaker;

/// What is done each time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Act {
    /// The end needles of this bed, or of all, are held: so many, at the end where the carriage is or at the other.
    Hold { needles: usize, here: bool, bed: Option<Bed> },
    /// The held needles next to the working ones return.
    Return { needles: usize, here: bool, bed: Option<Bed> },
    /// Rows are knitted.
    Knit(usize),
    /// The held needle next to the carriage is wrapped: each time, or as long as one is held there.
    Wrap { always: bool },
}

/// Acts with the steps that they cover.
type Done = (Act, usize);

impl<'a> Speaker<'a> {
    /// Says the short rows that the next steps knit; whether they are any.
    pub(super) fn short_rows(&mut self, s: &mut Sentence, part: u32) -> bool {
        if self.fabric(part).is_none() {
            return false;
        }
        let acts = self.acts_ahead(part);
        let Some((length, times)) = rounds(&acts) else { return false };
        let end = self.at + acts[..length * times].iter().map(|a| a.1).sum::<usize>();
        let steps = self.plan.steps.get(self.at..end).unwrap_or_default();
        let passes: Vec<&'a Pass> =
            steps.iter().filter_map(|s| if let Action::Pass(p) = &s.action { Some(p) } else { None }).collect();
        let Some(first) = passes.first() else { return false };
        let (begin, side) = (self.at, self.side);
        self.settings(s, first);
        self.named_part(s, part);
        s.strong("Knit ").value(passes.len());
        s.strong(if passes.len() == 1 { " short row" } else { " short rows" });
        self.in_fabric(s, part);
        self.as_set(s, &passes);
        s.text(" ");
        if times == 1 {
            s.text("Once");
        } else {
            s.value(times).text(" times");
        }
        for (i, (act, _)) in acts[..length].iter().enumerate() {
            s.text(if i == 0 { ": " } else { ", " });
            act.say(s);
        }
        s.text(".");
        let mut moved_up = Vec::new();
        while self.at < end {
            match self.action() {
                Some(Action::Pass(p)) => self.moved(p),
                Some(Action::MoveUp(_)) => {
                    moved_up.push(self.counter);
                    self.done();
                }
                _ => self.done(),
            }
        }
        self.remind(part, begin, side, &moved_up);
        true
    }

    /// The bed that knits in the next row, where both have needles in work and the other slips.
    fn bed_ahead(&self) -> Option<Bed> {
        let passes = self.plan.steps.get(self.at..).unwrap_or_default().iter();
        let p = passes.map(|s| &s.action).find_map(|a| if let Action::Pass(p) = a { Some(p) } else { None })?;
        Bed::BOTH.into_iter().find(|bed| {
            let other = if *bed == Bed::Main { p.ribber } else { p.main };
            other.setting == Setting::Slip && self.stand.any(Bed::Main) && self.stand.any(Bed::Ribber)
        })
    }

    /// The acts of the steps from here on, as far as they are those of short rows that are alike.
    fn acts_ahead(&self, part: u32) -> Vec<Done> {
        let bed = self.bed_ahead();
        let mut row = Row(self.stand.positions(bed));
        let mut side = self.side;
        let mut all: Vec<Done> = Vec::new();
        let mut first: Option<&Pass> = None;
        // Steps beside the acts, counted with the act before them.
        let mut beside = 0;
        for step in self.plan.steps.get(self.at..).unwrap_or_default() {
            if step.origin.0 != part {
                break;
            }
            let act = match &step.action {
                // All that are held return in a sentence of their own.
                Action::BackToWorking(n) if all.is_empty() && n.len() > 1 && row.holds(n.len()) => None,
                Action::Hold(n) => row.put((side, bed), n, false),
                Action::BackToWorking(n) => row.put((side, bed), n, true),
                Action::TurnWrap { needle, .. } => {
                    let always = !matches!(turned(&all), Some(Act::Return { .. }));
                    (row.next_held(side) == Some(*needle)).then_some(Act::Wrap { always })
                }
                Action::Pass(p) => {
                    let alike = p.mark == Mark::Plain
                        && p.yarn.is_some()
                        && first.is_none_or(|f| Self::alike(f, p))
                        && row.passed_by(p);
                    first = first.or(Some(p));
                    alike.then_some(Act::Knit(1))
                }
                Action::MoveUp(_) if !all.is_empty() => {
                    beside += 1;
                    continue;
                }
                _ => None,
            };
            let Some(act) = act else { break };
            if let Some(last) = all.last_mut() {
                last.1 += std::mem::take(&mut beside);
            }
            match &step.action {
                Action::Pass(p) => side = p.direction,
                Action::Hold(n) => row.set(n, Position::Holding),
                Action::BackToWorking(n) => row.set(n, Position::Working),
                _ => {}
            }
            match (all.last_mut(), act) {
                (Some((Act::Knit(rows), steps)), Act::Knit(_)) => {
                    *rows += 1;
                    *steps += 1;
                }
                _ => all.push((act, 1)),
            }
            // Where no needle is left to wrap, the round is like the others.
            let none = Act::Wrap { always: false };
            let wrapped = all.iter().any(|a| a.0 == none);
            let next = self.plan.steps.get(self.at + all.iter().map(|a| a.1).sum::<usize>() + beside);
            if matches!(act, Act::Knit(_))
                && wrapped
                && matches!(turned(&all), Some(Act::Return { .. }))
                && row.next_held(side).is_none()
                && !matches!(next.map(|s| &s.action), Some(Action::Pass(_)))
            {
                all.push((none, 0));
            }
        }
        all
    }
}

/// The last act that held needles or let them return.
fn turned(acts: &[Done]) -> Option<Act> {
    acts.iter().rev().map(|a| a.0).find(|a| matches!(a, Act::Hold { .. } | Act::Return { .. }))
}

impl Act {
    fn say(self, s: &mut Sentence) {
        let bed_of = |bed: Option<Bed>, one: bool| match (bed, one) {
            (None, true) => "needle",
            (None, false) => "needles",
            (Some(Bed::Main), true) => "main-bed needle",
            (Some(Bed::Main), false) => "main-bed needles",
            (Some(Bed::Ribber), true) => "ribber needle",
            (Some(Bed::Ribber), false) => "ribber needles",
        };
        let at = |here: bool| if here { " next to the carriage" } else { " away from the carriage" };
        match self {
            Act::Hold { needles, here, bed } => {
                s.text("bring the ");
                if needles > 1 {
                    s.value(needles).text(" ");
                }
                s.text("end ").text(bed_of(bed, needles == 1)).text(at(here)).text(" to holding position");
            }
            Act::Return { needles, here, bed } => {
                s.text("return the ");
                if needles > 1 {
                    s.value(needles).text(" ");
                }
                s.text("innermost held ").text(bed_of(bed, needles == 1)).text(at(here));
                s.text(" to working position");
            }
            Act::Knit(rows) => {
                s.text("knit ").value(rows).text(if rows == 1 { " row" } else { " rows" });
            }
            Act::Wrap { always } => {
                s.text("wrap the innermost held needle next to the carriage");
                s.text(if always { "" } else { ", if there is one" });
            }
        }
    }
}

/// The shortest group of acts at the beginning that holds or returns needles and knits, and how often it comes.
fn rounds(acts: &[Done]) -> Option<(usize, usize)> {
    let starts = |a: &Done| matches!(a.0, Act::Hold { .. } | Act::Return { .. });
    if !acts.first().is_some_and(starts) {
        return None;
    }
    let ends: Vec<usize> = (1..=acts.len()).filter(|i| *i == acts.len() || starts(&acts[*i])).collect();
    let knits = |upto: usize| acts[..upto].iter().any(|a| matches!(a.0, Act::Knit(_)));
    let times = |length: usize| {
        let same = |k: usize| {
            let from = k * length;
            acts.len() >= from + length && (0..length).all(|i| acts[from + i].0 == acts[i].0)
        };
        (1..).take_while(|k| same(*k)).count() + 1
    };
    let tried = ends.iter().copied().filter(|e| knits(*e)).take(2);
    let best =
        tried.map(|length| (length, times(length))).max_by_key(|(length, times)| (*times, std::cmp::Reverse(*length)));
    best.filter(|b| b.0 > 0)
}

/// Needles of the beds that knit, from left to right, with their positions.
struct Row(Vec<(Needle, Position)>);

impl Row {
    fn set(&mut self, needles: &[Needle], to: Position) {
        for (needle, position) in &mut self.0 {
            if needles.contains(needle) {
                *position = to;
            }
        }
    }

    /// Whether so many needles are held.
    fn holds(&self, count: usize) -> bool {
        self.0.iter().filter(|n| n.1 == Position::Holding).count() == count
    }

    fn from(&self, side: Side) -> Vec<(Needle, Position)> {
        let mut row = self.0.clone();
        if side == Side::Right {
            row.reverse();
        }
        row
    }

    /// Whether held needles are passed over in a pass, and none is forward.
    fn passed_by(&self, p: &Pass) -> bool {
        let hold = |n: &Needle| if n.bed == Bed::Main { p.main.hold } else { p.ribber.hold };
        self.0.iter().all(|(n, position)| match position {
            Position::Holding => hold(n),
            Position::Forward => false,
            Position::Working | Position::Out => true,
        })
    }

    /// Needles that are held or return, as an end and a number; none where they are others.
    fn put(&self, (carriage, bed): (Side, Option<Bed>), needles: &[Needle], back: bool) -> Option<Act> {
        let (wanted, count) = (sorted(needles), needles.len());
        [false, true].into_iter().find_map(|here| {
            let row = self.from(if here { carriage } else { carriage.other() });
            let outside = row.iter().take_while(|n| n.1 == Position::Holding).count();
            let these =
                if back { outside.saturating_sub(count)..outside } else { outside..row.len().min(outside + count) };
            let these: Vec<Needle> = row[these].iter().map(|n| n.0).collect();
            let act =
                if back { Act::Return { needles: count, here, bed } } else { Act::Hold { needles: count, here, bed } };
            (sorted(&these) == wanted).then_some(act)
        })
    }

    /// The held needle next to the carriage.
    fn next_held(&self, carriage: Side) -> Option<Needle> {
        let row = self.from(carriage);
        let outside = row.iter().take_while(|n| n.1 == Position::Holding).count();
        outside.checked_sub(1).map(|i| row[i].0)
    }
}
