//! Charts of needles brought forward and stitches moved, and rows that are knitted by them.

use std::ops::Range;

use latchwork_machine::needle::{Bed, Needle, Slot};
use latchwork_machine::steps::{Action, Leaves, Mark, Move, Setting};

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
    /// Where its columns stand.
    stands: Stands,
    /// Row by row from below, the sign of each column.
    rows: Vec<Vec<char>>,
}

/// Where the columns of a chart stand.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Stands {
    Repeating,
    Once,
    /// Not over the slots of these charts.
    Beside(Vec<Range<i16>>),
}

/// Signs with their meaning as printed, in this order, those that are used.
const LEGEND: [(&str, &[char]); 3] = [
    (
        " <, >: transfer to the next needle at the left, at the right; leave the emptied needle in work for an eyelet. Not from or onto the end needles.",
        &['<', '>'],
    ),
    (
        " «, »: cross to the left, to the right, over the others. (, ): the same, under the others. Not with the end needles.",
        &['«', '»', '(', ')'],
    ),
    (" v: comes forward.", &['v']),
];

/// A cell where nothing is done.
const STAYS: char = '∙';

/// The charts before the steps, as the sizes of the glossary read them.
pub(super) fn charts(c: &mut Cursor<'_>, names: &Glossary) -> Result<Vec<Vec<Chart>>, (&'static str, String)> {
    let mut all: Vec<Vec<Chart>> = vec![Vec::new(); names.sizes.len()];
    while c.rest.starts_with("Chart ") {
        let here = *c;
        let fault = |why: &'static str| (why, here.here());
        let mut end: Option<&str> = None;
        for (size, charts) in all.iter_mut().enumerate() {
            let mut ahead = Cursor { pick: size, of: names.sizes.len(), ..here };
            let read = chart(&mut ahead, charts);
            charts.push(read.ok_or(fault("The chart cannot be followed."))?);
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

/// Letters of charts, one or several, among those read so far.
fn lettered<'a>(c: &mut Cursor<'_>, known: &'a [Chart]) -> Option<Vec<&'a Chart>> {
    c.lit("chart")?;
    let several = c.opt("s");
    c.lit(" ")?;
    let mut all = vec![letter(c)?];
    while several && c.opt(", ") {
        all.push(letter(c)?);
    }
    if several {
        c.lit(" and ")?;
        all.push(letter(c)?);
    }
    all.iter().map(|l| known.iter().find(|c| c.letter == *l)).collect()
}

fn stands(c: &mut Cursor<'_>, known: &[Chart]) -> Option<Stands> {
    if c.opt("The columns do not repeat.") {
        return Some(Stands::Once);
    }
    c.lit("The columns repeat to both sides")?;
    if c.opt(".") {
        return Some(Stands::Repeating);
    }
    c.lit(" of ")?;
    let panels = lettered(c, known)?;
    c.lit(if panels.len() > 1 { " and between them." } else { "." })?;
    let span = |p: &Chart| Some(p.first..p.first.checked_add(i16::try_from(p.rows.first()?.len()).ok()?)?);
    Some(Stands::Beside(panels.into_iter().map(span).collect::<Option<_>>()?))
}

/// A chart, after those before it.
fn chart(c: &mut Cursor<'_>, known: &[Chart]) -> Option<Chart> {
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
    c.lit(". ")?;
    let stands = stands(c, known)?;
    let known: Vec<char> = LEGEND.iter().filter(|l| c.opt(l.0)).flat_map(|l| l.1).copied().collect();
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
                let sign = c.rest.chars().next().filter(|s| *s == STAYS || known.contains(s))?;
                c.rest = &c.rest[sign.len_utf8()..];
                row.push(sign);
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
    c.lit(if stands == Stands::Once { " of the same rows." } else { " of the same rows, as they repeat." })?;
    Some(Chart { letter, bed, first, stands, rows })
}

impl Chart {
    /// Whether any column of any row has one of these signs.
    fn has(&self, signs: &[char]) -> bool {
        self.rows.iter().flatten().any(|s| signs.contains(s))
    }

    fn mine(&self, in_work: &[Needle]) -> Vec<Needle> {
        in_work.iter().copied().filter(|n| n.bed == self.bed).collect()
    }

    /// The sign of a slot in a row, by its number from 1.
    fn sign(&self, number: usize, slot: i16) -> char {
        let row = number.checked_sub(1).and_then(|n| self.rows.get(n)).map_or(&[][..], Vec::as_slice);
        let away = i32::from(slot) - i32::from(self.first);
        let mine = |w: &i32| match &self.stands {
            Stands::Repeating => *w > 0,
            Stands::Once => (0..*w).contains(&away),
            Stands::Beside(panels) => *w > 0 && !panels.iter().any(|p| p.contains(&slot)),
        };
        let at = i32::try_from(row.len()).ok().filter(mine).map(|w| away.rem_euclid(w));
        at.and_then(|at| row.get(usize::try_from(at).ok()?)).copied().unwrap_or(STAYS)
    }

    /// The needles in work that a row brings forward, by its number from 1.
    fn brings(&self, number: usize, ends: bool, in_work: &[Needle]) -> Option<Vec<Needle>> {
        let row = self.rows.get(number.checked_sub(1)?)?;
        let mine = self.mine(in_work);
        let mut all: Vec<Needle> = mine.iter().copied().filter(|n| self.sign(number, n.slot.0) == 'v').collect();
        if ends && row.contains(&'v') {
            all.extend(mine.first());
            all.extend(mine.last());
        }
        Some(sorted(&all))
    }

    /// The stitches that a row moves before it is knitted: those for eyelets one by one, those that cross together.
    fn moves(&self, number: usize, in_work: &[Needle]) -> Vec<Action> {
        let mine = self.mine(in_work);
        // They are in order along the bed.
        let at = |slot: i16| mine.binary_search_by_key(&slot, |n| n.slot.0);
        let inside = |slot: i16| at(slot).is_ok_and(|i| i > 0 && i + 1 < mine.len());
        let step = |from: i16, by: i16, leaves| {
            let at = |slot| Needle { bed: self.bed, slot: Slot(slot) };
            Move { from: at(from), to: at(from + by), leaves }
        };
        let mut all = Vec::new();
        for slot in mine.iter().map(|n| n.slot.0) {
            let by = match self.sign(number, slot) {
                '<' => -1,
                '>' => 1,
                _ => continue,
            };
            if inside(slot) && inside(slot + by) {
                all.push(Action::Transfer(step(slot, by, Leaves::Eyelet)));
            }
        }
        for slot in mine.iter().map(|n| n.slot.0) {
            let (first, before) = (self.sign(number, slot), self.sign(number, slot - 1));
            if !matches!(first, ')' | '»') || before == first {
                continue;
            }
            let many = (1..=4).take_while(|k| self.sign(number, slot + k - 1) == first).count();
            let Ok(many) = i16::try_from(many) else { continue };
            if (slot..slot + 2 * many).all(inside) {
                let mut halves = [(slot, many), (slot + many, -many)];
                if first == '»' {
                    halves.reverse();
                }
                let of = |(from, by): (i16, i16)| (from..from + many).map(move |s| step(s, by, Leaves::Refill));
                let moves = halves.into_iter().flat_map(of).collect();
                all.push(Action::MoveTogether { moves, carry: u8::try_from(many).ok() });
            }
        }
        all
    }
}

impl Reader<'_> {
    /// What is asked before each row: just what the signs of the charts are for.
    fn acts_asked(&mut self, charts: &[Chart]) -> Option<()> {
        let asked = [
            (&["transfer its stitches"][..], &['<', '>'][..]),
            (&["cross its stitches"], &['«', '»', '(', ')']),
            (
                &[
                    "bring its needles to forward position",
                    "let the pattern device bring its needles to forward position",
                ],
                &['v'],
            ),
        ];
        let mut between = ": ";
        for (words, signs) in asked {
            if charts.iter().any(|c| c.has(signs)) {
                self.c.lit(between)?;
                words.iter().any(|w| self.c.opt(w)).then_some(())?;
                between = ", ";
            }
        }
        Some(())
    }

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
        self.c.lit(" of ")?;
        let charts: Vec<Chart> = lettered(&mut self.c, self.charts)?.into_iter().cloned().collect();
        let rows = u32::try_from(charts.first()?.rows.len()).ok()?;
        if over {
            self.c.lit(" on and again from row 1 after row ")?;
            (self.c.plain_number()? == rows && first + count > rows + 1).then_some(())?;
        } else {
            (first > 0 && first + count <= rows + 1).then_some(())?;
        }
        (first <= rows && count <= 100_000).then_some(())?;
        self.acts_asked(&charts)?;
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
                for act in chart.moves(number as usize, &in_work) {
                    self.s.step(act);
                }
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
