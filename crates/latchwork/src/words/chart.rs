//! Rows told by a chart: which needles come forward and which stitches move is printed beside the steps, and the words name its
//! rows.

use latchwork_machine::needle::{Bed, Needle};
use latchwork_machine::steps::{Action, Mark, Move, Pass, Setting};

use super::Sentence;
use super::list::sorted;
use super::passes::{phrase, pushed};
use super::say::Speaker;
use crate::fact::{Chart, Sign};
use crate::wording::{Language, say};

/// What the charts ask for before a row.
#[derive(PartialEq)]
struct Before {
    eyelets: Vec<Move>,
    crossings: Vec<Action>,
    forward: Vec<Needle>,
}

/// The charts of a part, the row that comes next, and the needles in work.
struct Charts<'a> {
    all: Vec<&'a Chart>,
    next: usize,
    in_work: [Vec<Needle>; 2],
}

impl Charts<'_> {
    /// What is asked for before the k-th row from here.
    fn before(&self, k: usize) -> Before {
        let row = (self.next + k) % self.all[0].rows.len();
        let each = || self.all.iter().map(|c| (c, &self.in_work[c.bed.index()]));
        let mut eyelets: Vec<Move> = each().flat_map(|(c, on)| c.eyelets(row, on)).collect();
        eyelets.sort_unstable_by_key(|m| m.from);
        Before {
            eyelets,
            crossings: each().flat_map(|(c, on)| c.crossings(row, on)).collect(),
            forward: sorted(&each().flat_map(|(c, on)| c.brings(row, on)).collect::<Vec<_>>()),
        }
    }
}

impl<'a> Speaker<'a> {
    fn charts(&self) -> Option<Charts<'a>> {
        let part = self.peek()?.origin.0;
        let of = |c: &Chart| c.parts.iter().find(|p| p.0 == part).map(|p| p.1);
        let all: Vec<&'a Chart> = self.given.charts.iter().filter(|c| of(c).is_some()).collect();
        let chart = all.first()?;
        let knitted = if self.rows_of.0 == part { self.rows_of.1 } else { 0 };
        let next = (of(chart)? + knitted) % chart.rows.len();
        let in_work = Bed::BOTH.map(|b| self.stand.needles().into_iter().filter(|n| n.bed == b).collect());
        Some(Charts { all, next, in_work })
    }

    /// Whether the next row is knitted by a chart.
    pub(super) fn is_by_chart(&self) -> bool {
        self.charts().is_some_and(|c| self.row_at(self.at, &c.before(0)).is_some())
    }

    /// Whether the next rows, before which nothing is done, lead on to one before which something is, all by a chart.
    pub(super) fn leads_to_chart(&self) -> bool {
        let Some(charts) = self.charts() else { return false };
        let mut first: Option<&Pass> = None;
        for k in 0..charts.all[0].rows.len() {
            let Some((p, acts)) = self.row_at(self.at + k, &charts.before(k)) else { return false };
            if !Self::one_step(first.get_or_insert(p), p) {
                return false;
            }
            if acts > 0 {
                return true;
            }
        }
        false
    }

    /// Whether two rows can stand in one step.
    fn one_step(a: &Pass, b: &Pass) -> bool {
        Self::alike(a, b) && (a.main.setting, a.ribber.setting) == (b.main.setting, b.ribber.setting)
    }

    /// Rows from here on before which just what the chart says is done; returns whether there are any.
    pub(super) fn by_chart(&mut self, s: &mut Sentence) -> bool {
        let (Some(charts), Some(part)) = (self.charts(), self.peek().map(|s| s.origin.0)) else { return false };
        let Some((pass, _)) = self.row_at(self.at, &charts.before(0)) else { return false };
        let (begin, side) = (self.at, self.side);
        self.settings(s, pass);
        let (mut count, mut moved_up, mut odd) = (0, Vec::new(), false);
        while let Some((p, acts)) = self.row_at(self.at, &charts.before(count)) {
            if !Self::one_step(p, pass) {
                break;
            }
            let set = |n: &Needle| if n.bed == Bed::Main { p.main.setting } else { p.ribber.setting };
            odd |= charts.before(count).forward.iter().any(|n| set(n) != Setting::Knit);
            (0..acts).for_each(|_| self.done());
            self.moved(p);
            count += 1;
            while let Some(action @ (Action::MoveUp(_) | Action::Claim(_))) = self.action() {
                if let Action::MoveUp(_) = action {
                    moved_up.push(self.counter);
                }
                self.done();
            }
        }
        self.remind(part, begin, side, &moved_up);
        self.tell(s, part, &charts.all, (charts.next, count), (pass, odd));
        true
    }

    /// The pass of the row at a step, and how many acts come before it, if these are just what the charts ask for.
    fn row_at(&self, at: usize, asked: &Before) -> Option<(&'a Pass, usize)> {
        let part = self.peek()?.origin;
        let mut found = Before { eyelets: Vec::new(), crossings: Vec::new(), forward: Vec::new() };
        for (acts, step) in self.plan.steps.get(at..)?.iter().take_while(|s| s.origin == part).enumerate() {
            match &step.action {
                Action::Transfer(m) => found.eyelets.push(*m),
                act @ Action::MoveTogether { .. } => found.crossings.push(act.clone()),
                Action::Forward(n) => found.forward = sorted(n),
                Action::Pass(p) if p.mark == Mark::Plain && p.yarn.is_some() => {
                    found.eyelets.sort_unstable_by_key(|m| m.from);
                    return (found == *asked).then_some((p, acts));
                }
                _ => return None,
            }
        }
        None
    }

    fn tell(
        &self,
        s: &mut Sentence,
        part: u32,
        charts: &[&Chart],
        (first, count): (usize, usize),
        (pass, odd): (&Pass, bool),
    ) {
        let t = self.language();
        let rows = charts[0].rows.len();
        self.named_part(s, part);
        let of = |s: &mut Sentence| {
            s.text(if charts.len() == 1 { " of chart " } else { " of charts " });
            s.name(letters(charts, t));
        };
        if count == 1 {
            s.text("For row ").value(first + 1);
            of(s);
        } else if first + count <= rows {
            s.text("For each of rows ").value(first + 1).text(" to ").value(first + count);
            of(s);
        } else {
            s.text("For each of ").value(count).text(" rows, from row ").value(first + 1);
            of(s);
            s.text(" on and again from row 1 after row ").name(rows.to_string());
        }
        s.text(": ");
        let mut acts: Vec<&str> = Vec::new();
        let any = |marked: fn(Sign) -> bool| charts.iter().any(|c| c.has(marked));
        if any(|m| matches!(m, Sign::Eyelet(_))) {
            acts.push("transfer its stitches");
        }
        if any(|m| matches!(m, Sign::Cross { .. })) {
            acts.push("cross its stitches");
        }
        if any(|m| m == Sign::Forward) {
            acts.push(match charts[0].by_device {
                true => "let the pattern device bring its needles to forward position",
                false => "bring its needles to forward position",
            });
        }
        for (k, act) in acts.iter().enumerate() {
            s.text(if k == 0 { "" } else { ", " }).strong(act);
        }
        if charts[0].ends {
            s.text(", with both end needles");
        }
        s.text(", and ").strong("knit 1 row");
        self.in_fabric(s, part);
        let beds = [self.stand.any(Bed::Main), self.stand.any(Bed::Ribber)];
        let set = if odd { pushed(pass, (true, false), beds, t) } else { phrase(&[pass], t).1 };
        s.text(": ").name(set).text(".");
    }
}

/// The letters of charts: A, B and C.
pub(crate) fn letters(charts: &[&Chart], t: Language) -> String {
    let letters: Vec<&str> = charts.iter().map(|c| c.letter.as_str()).collect();
    match letters.split_last() {
        Some((last, before)) if !before.is_empty() => {
            say!(t, "{before} and {last}", before = before.join(", "), last = *last)
        }
        _ => letters.concat(),
    }
}
