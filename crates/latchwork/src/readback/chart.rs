//! Charts of needles brought forward, and rows that are knitted by them.

use latchwork_machine::needle::{Bed, Needle};
use latchwork_machine::steps::{Action, Mark, Setting};

use super::Glossary;
use super::cursor::Cursor;
use super::deeds::{Deed, sorted};
use super::reader::Reader;

/// Columns of a chart that stand side by side.
const ACROSS: usize = 60;

/// A chart as printed, in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chart {
    letter: String,
    bed: Bed,
    /// The slot of its first column.
    first: i16,
    /// Row by row from below, whether each column comes forward.
    rows: Vec<Vec<bool>>,
}

/// The charts before the steps, as the sizes of the glossary read them.
pub(super) fn charts(c: &mut Cursor<'_>, names: &Glossary) -> Result<Vec<Vec<Chart>>, (&'static str, String)> {
    let mut all: Vec<Vec<Chart>> = vec![Vec::new(); names.sizes.len()];
    while c.rest.starts_with("Chart ") {
        let here = *c;
        let fault = |why: &'static str| (why, here.here());
        let mut end: Option<&str> = None;
        for (size, charts) in all.iter_mut().enumerate() {
            let mut ahead = Cursor { pick: size, of: names.sizes.len(), ..here };
            charts.push(chart(&mut ahead).ok_or(fault("The chart cannot be followed."))?);
            if end.is_some_and(|e| e.len() != ahead.rest.len()) {
                return Err(fault("It ends at another place than in the sizes before."));
            }
            end = Some(ahead.rest);
        }
        c.rest = end.unwrap_or_default();
        c.space();
    }
    Ok(all)
}

fn letter(c: &mut Cursor<'_>) -> Option<String> {
    let n = c.rest.len() - c.rest.trim_start_matches(|c: char| c.is_ascii_uppercase()).len();
    let (letter, rest) = c.rest.split_at(n);
    c.rest = rest;
    (n > 0).then(|| letter.to_string())
}

fn chart(c: &mut Cursor<'_>) -> Option<Chart> {
    c.lit("Chart ")?;
    let letter = letter(c)?;
    c.lit(". ")?;
    let bed = c.word(&[("Main bed: ", Bed::Main), ("Ribber: ", Bed::Ribber)])?;
    let columns = c.plain_number()? as usize;
    c.lit(if columns == 1 { " column, " } else { " columns, " })?;
    let count = c.plain_number()? as usize;
    c.lit(if count == 1 { " row. " } else { " rows. " })?;
    ((1..=4096).contains(&columns) && (1..=4096).contains(&count)).then_some(())?;
    c.lit("Column 1 is needle ")?;
    let first = c.slot()?.0;
    c.lit(". The columns repeat to both sides. v: comes forward.")?;
    let mut rows = vec![Vec::with_capacity(columns); count];
    let mut done = 0;
    while done < columns {
        let upto = (done + ACROSS).min(columns);
        c.space();
        if columns > ACROSS {
            c.lit(&format!("Columns {} to {upto}:", done + 1))?;
        }
        for (n, row) in rows.iter_mut().enumerate().rev() {
            c.space();
            (c.plain_number()? as usize == n + 1).then_some(())?;
            for _ in done..upto {
                c.space();
                row.push(c.word(&[("v", true), ("∙", false)])?);
            }
        }
        for n in (done..upto).filter(|n| *n == done || (n + 1) % 5 == 0) {
            c.space();
            (c.plain_number()? as usize == n + 1).then_some(())?;
        }
        done = upto;
    }
    c.space();
    c.word(&[("The public side", ()), ("The ribber side", ())])?;
    c.lit(" of the same rows, as they repeat.")?;
    Some(Chart { letter, bed, first, rows })
}

impl Chart {
    /// The needles in work that a row brings forward, by its number from 1.
    fn brings(&self, number: usize, ends: bool, in_work: &[Needle]) -> Option<Vec<Needle>> {
        let row = self.rows.get(number.checked_sub(1)?)?;
        let mine: Vec<Needle> = in_work.iter().copied().filter(|n| n.bed == self.bed).collect();
        let width = i32::try_from(row.len()).ok()?;
        let marked = |n: &Needle| {
            let at = (i32::from(n.slot.0) - i32::from(self.first)).rem_euclid(width);
            row.get(usize::try_from(at).unwrap_or(0)).copied().unwrap_or(false)
        };
        let mut all: Vec<Needle> = mine.iter().copied().filter(marked).collect();
        if ends && row.iter().any(|m| *m) {
            all.extend(mine.first());
            all.extend(mine.last());
        }
        Some(sorted(&all))
    }
}

impl Reader<'_> {
    /// Rows of a stretch that are knitted by a chart. Rows that do not fit end the reading, and nothing needs undoing.
    pub(super) fn by_chart(&mut self) -> Option<()> {
        let label = self.label(". For ")?;
        self.c.lit(". For ")?;
        let mut over = false;
        let (first, count) = if self.c.opt("row ") {
            (self.c.number()?, 1)
        } else if self.c.opt("each of rows ") {
            let first = self.c.number()?;
            self.c.lit(" to ")?;
            (first, (self.c.number()? + 1).checked_sub(first).filter(|n| *n > 1)?)
        } else {
            self.c.lit("each of ")?;
            let count = self.c.number()?;
            self.c.lit(" rows, from row ")?;
            over = true;
            (self.c.number()?, count)
        };
        self.c.lit(" of chart")?;
        let several = self.c.opt("s");
        self.c.lit(" ")?;
        let mut letters = vec![letter(&mut self.c)?];
        while several && self.c.opt(" and ") {
            letters.push(letter(&mut self.c)?);
        }
        (several == (letters.len() > 1)).then_some(())?;
        let of = |letter: &String| self.charts.iter().find(|c| c.letter == *letter).cloned();
        let charts = letters.iter().map(of).collect::<Option<Vec<Chart>>>()?;
        let rows = u32::try_from(charts.first()?.rows.len()).ok()?;
        if over {
            self.c.lit(" on and again from row 1 after row ")?;
            (self.c.plain_number()? == rows && first + count > rows + 1).then_some(())?;
        } else {
            (first > 0 && first + count <= rows + 1).then_some(())?;
        }
        (first <= rows && count <= 100_000).then_some(())?;
        self.c.word(&[(": bring its needles", ()), (": let the pattern device bring its needles", ())])?;
        self.c.lit(" to forward position")?;
        let ends = self.c.opt(", with both end needles");
        self.c.lit(", and knit 1 row")?;
        let mut fabric = label.clone();
        if self.c.opt(" in ") {
            fabric.clone_from(self.names.fabrics.get(self.c.name(&self.names.fabrics)?)?);
        }
        let pushed = self.c.opt(": needles in forward position knit, ");
        let settings = if pushed { self.the_others()? } else { *self.phrase(1)?.first()? };
        self.c.lit(".")?;
        let in_work: Vec<Needle> = self.s.in_work.iter().copied().collect();
        let mut odd = false;
        self.s.heard.stretches.push((self.s.passes, label, fabric));
        let claws = std::mem::take(&mut self.s.claws);
        let mut claws = claws.iter().peekable();
        for k in 0..count {
            let number = (first - 1 + k) % rows + 1;
            let mut all: Vec<Needle> = Vec::new();
            for chart in &charts {
                all.extend(chart.brings(number as usize, ends, &in_work)?);
            }
            let all = sorted(&all);
            let set = |n: &Needle| if n.bed == Bed::Main { settings.0 } else { settings.1 };
            odd |= all.iter().any(|n| set(n) != Setting::Knit);
            if !all.is_empty() {
                self.s.forward.extend(&all);
                self.s.step(Action::Forward(all));
            }
            self.s.pass(settings, Mark::Plain);
            if claws.next_if(|c| **c == self.s.counter).is_some() {
                self.s.heard.deeds.push(Deed::MoveUp);
            }
        }
        (claws.next().is_none() && odd == pushed).then_some(())
    }
}
