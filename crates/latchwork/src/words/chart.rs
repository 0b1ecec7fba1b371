//! Rows told by a chart: which needles come forward is printed beside the steps, and the words name its rows.

use latchwork_machine::needle::{Bed, Needle};
use latchwork_machine::steps::{Action, Mark, Pass, Setting};

use super::Sentence;
use super::list::sorted;
use super::passes::{phrase, pushed};
use super::say::Speaker;
use crate::fact::Chart;
use crate::wording::say;

impl<'a> Speaker<'a> {
    /// Rows from here on whose needles are those of the chart; returns whether there are any.
    pub(super) fn by_chart(&mut self, s: &mut Sentence) -> bool {
        let Some(part) = self.peek().map(|s| s.origin.0) else { return false };
        let charts: Vec<&'a Chart> = self.given.charts.iter().filter(|c| c.parts.iter().any(|p| p.0 == part)).collect();
        let Some(chart) = charts.first() else { return false };
        let start = chart.parts.iter().find(|p| p.0 == part).map_or(0, |p| p.1);
        let in_work = Bed::BOTH.map(|b| self.stand.needles().into_iter().filter(|n| n.bed == b).collect::<Vec<_>>());
        let rows = chart.rows.len();
        let knitted = if self.rows_of.0 == part { self.rows_of.1 } else { 0 };
        let first = (start + knitted) % rows;
        let brings = |row: usize| -> Vec<Needle> {
            charts.iter().flat_map(|c| c.brings(row % rows, &in_work[c.bed.index()])).collect()
        };
        let Some(pass) = self.row_at(self.at, &brings(first)) else { return false };
        let (begin, side) = (self.at, self.side);
        self.settings(s, pass);
        let (mut count, mut moved_up, mut odd) = (0, Vec::new(), false);
        while let Some(p) = self.row_at(self.at, &brings(first + count)) {
            if !Self::alike(p, pass) || (p.main.setting, p.ribber.setting) != (pass.main.setting, pass.ribber.setting) {
                break;
            }
            let set = |n: &Needle| if n.bed == Bed::Main { p.main.setting } else { p.ribber.setting };
            odd |= brings(first + count).iter().any(|n| set(n) != Setting::Knit);
            if let Some(Action::Forward(_)) = self.action() {
                self.done();
            }
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
        self.tell(s, part, &charts, (first, count), (pass, odd));
        true
    }

    /// The pass of the row at a step, if just these needles are brought forward for it.
    fn row_at(&self, at: usize, brings: &[Needle]) -> Option<&'a Pass> {
        let part = self.peek()?.origin;
        let mut steps = self.plan.steps.get(at..)?.iter().take_while(|s| s.origin == part).map(|s| &s.action);
        let pass = match steps.next()? {
            Action::Forward(n) if sorted(n) == sorted(brings) => steps.next()?,
            _ if !brings.is_empty() => return None,
            pass => pass,
        };
        match pass {
            Action::Pass(p) if p.mark == Mark::Plain && p.yarn.is_some() => Some(p),
            _ => None,
        }
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
        let letters = charts.iter().map(|c| c.letter.as_str());
        let of = |s: &mut Sentence| {
            s.text(if charts.len() == 1 { " of chart " } else { " of charts " });
            s.name(letters.clone().collect::<Vec<_>>().join(&say!(t, " and ")));
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
        s.strong(if charts[0].by_device { "let the pattern device bring its needles" } else { "bring its needles" });
        s.strong(" to forward position");
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
