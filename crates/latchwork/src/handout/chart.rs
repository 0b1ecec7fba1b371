//! The charts of a piece in print: rows of signs that are read back, and the public side beside them.

use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::steps::Setting;

use super::sheet::Sheet;
use crate::design::{Stretch, Yarns};
use crate::fact::{Chart, Columns, Sign};
use crate::picture::{PLAIN, Picture, tiles};
use crate::plan::PiecePlan;
use crate::wording::{Language, say};
use crate::words::{Token, letters};

/// Columns that stand side by side.
const ACROSS: usize = 60;
/// Stitches and rows of the picture of the public side, about.
const SHOWN: usize = 32;

/// A chart in print.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartText {
    /// Its letter.
    pub letter: String,
    /// What it is and where it lies, in one line.
    pub about: Vec<Token>,
    /// Its columns, in as many blocks as they take.
    pub blocks: Vec<Block>,
    /// The height of a row over the width of a stitch.
    pub shape: f64,
    /// What the picture shows.
    pub caption: String,
    /// The public side.
    pub public: Picture,
}

/// Columns of a chart that stand side by side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// Which they are; empty where there is one block.
    pub head: String,
    /// The number of each row and its signs, the last row first.
    pub rows: Vec<(usize, String)>,
    /// The numbers of some columns, beneath them.
    pub columns: Vec<usize>,
    /// The number of its first column.
    pub first: usize,
}

impl ChartText {
    /// Its text, line by line.
    pub(super) fn lines(&self) -> Vec<String> {
        let mut all = vec![self.about.iter().map(Token::text).collect()];
        for b in &self.blocks {
            all.extend((!b.head.is_empty()).then(|| b.head.clone()));
            all.extend(b.rows.iter().map(|(n, signs)| format!("{n} {signs}")));
            all.push(b.columns.iter().map(usize::to_string).collect::<Vec<_>>().join(" "));
        }
        all.push(self.caption.clone());
        all
    }
}

impl Sheet<'_> {
    /// The charts of a piece, by its place among the plans.
    pub(super) fn charts(&self, k: usize) -> Vec<ChartText> {
        let Some(size) = self.sizes.first() else { return Vec::new() };
        let plan = &size.plans.pieces[k];
        let of = |i: usize| self.each(|s| s.plans.pieces[k].charts[i].first.to_string());
        plan.charts.iter().enumerate().map(|(i, chart)| self.chart(chart, of(i), plan)).collect()
    }

    fn chart(&self, chart: &Chart, first: String, plan: &PiecePlan) -> ChartText {
        let t = self.design.show.language;
        let (columns, rows) = (chart.columns(), chart.rows.len());
        let stretch = chart.parts.first().and_then(|p| plan.origins.get(p.0 as usize)).and_then(|p| p.stretch());
        let stretch = stretch.map(|i| &self.design.pieces[plan.piece].stretches[i]);
        let shape = stretch.map_or(1.0, |s| s.gauge.pass.value / s.gauge.needle.value);
        let bed = if chart.bed == Bed::Main { say!(t, "Main bed") } else { say!(t, "Ribber") };
        let across = if columns == 1 { say!(t, "1 column") } else { say!(t, "{columns} columns", columns) };
        let up = if rows == 1 { say!(t, "1 row") } else { say!(t, "{rows} rows", rows) };
        let about = vec![
            Token::Strong(say!(t, "Chart {letter}.", letter = chart.letter)),
            Token::Text(say!(t, " {bed}: {across}, {up}. Column 1 is needle ", bed, across, up)),
            Token::Value(first),
            Token::Text(say!(t, ". {stands}{signs}", stands = stands(chart, plan, t), signs = self.signs(chart))),
        ];
        let blocks = (0..columns).step_by(ACROSS).map(|from| {
            let upto = (from + ACROSS).min(columns);
            let (first, last) = (from + 1, upto);
            let head =
                if columns > ACROSS { say!(t, "Columns {first} to {last}:", first, last) } else { String::new() };
            let row = |(n, marks): (usize, &Vec<Sign>)| (n + 1, marks[from..upto].iter().map(sign).collect());
            let rows = chart.rows.iter().enumerate().rev().map(row).collect();
            let columns = (first..=last).filter(|n| *n == first || n.is_multiple_of(5)).collect();
            Block { head, rows, columns, first }
        });
        let up = SHOWN.div_ceil(rows).min(9);
        let (repeats, as_they) = match chart.stands {
            Columns::Once => ((1, up), String::new()),
            Columns::Repeating | Columns::Beside(_) => ((SHOWN.div_ceil(columns), up), say!(t, ", as they repeat")),
        };
        let near = chart.public_near || chart.bed == Bed::Ribber;
        let (cells, colours) = self.cells(chart, stretch);
        ChartText {
            letter: chart.letter.clone(),
            about,
            blocks: blocks.collect(),
            shape,
            caption: match near == chart.public_near {
                true => say!(t, "The public side of the same rows{as_they}.", as_they),
                false => say!(t, "The ribber side of the same rows{as_they}.", as_they),
            },
            public: tiles(&cells, &colours, near, shape, repeats, t),
        }
    }

    /// What the signs of a chart mean.
    fn signs(&self, chart: &Chart) -> String {
        let t = self.design.show.language;
        let mut all = String::new();
        if chart.has(|m| matches!(m, Sign::Eyelet(_))) {
            all += say!(
                t,
                " <, >: transfer to the next needle at the left, at the right; leave the emptied needle in work for an eyelet. Not from or onto the end needles."
            )
            .as_str();
        }
        if chart.has(|m| matches!(m, Sign::Cross { .. })) {
            all += say!(t, " «, »: cross to the left, to the right, over the others. (, ): the same, under the others. Not with the end needles.")
                .as_str();
        }
        if chart.has(|m| m == Sign::Forward) {
            all += say!(t, " v: comes forward.").as_str();
        }
        all
    }

    /// The cells of a chart by the yarn that each takes, and their colours; where there is one yarn, by whether they come
    /// forward.
    fn cells<'a>(&'a self, chart: &Chart, stretch: Option<&'a Stretch>) -> (Vec<Vec<usize>>, Vec<&'a str>) {
        let of_yarns = stretch.and_then(|s| match &s.yarns {
            Yarns::Each(yarns) if s.fabric.yarns() > 1 => Some((&s.fabric.repeat, yarns)),
            _ => None,
        });
        let Some((repeat, yarns)) = of_yarns else {
            let seen = |m: &Sign| !matches!(m, Sign::Stays | Sign::Cross { over: false, .. });
            let rows = chart.rows.iter().map(|row| row.iter().map(|m| usize::from(seen(m))).collect());
            return (rows.collect(), PLAIN.to_vec());
        };
        let mut cells: Vec<Vec<usize>> = vec![vec![0; chart.columns()]; chart.rows.len()];
        // Twice round: a needle that is passed over shows the stitch below, which may be of the repeat below.
        for round in 0..2 * cells.len() {
            let (at, below) = (round % cells.len(), (round + cells.len() - 1) % cells.len());
            let turn = &repeat[at];
            let knits = turn.course.of(chart.bed) == Setting::Knit;
            let cell = |(mark, below): (&Sign, &usize)| match *mark == Sign::Forward {
                true => usize::from(turn.feeds.second.unwrap_or(turn.feeds.first)),
                false if knits => usize::from(turn.feeds.first),
                false => *below,
            };
            cells[at] = chart.rows[at].iter().zip(&cells[below]).map(cell).collect();
        }
        let colour = |(n, yarn): (usize, &usize)| self.design.yarns[*yarn].colour.as_deref().unwrap_or(PLAIN[n.min(1)]);
        (cells, yarns.iter().enumerate().map(colour).collect())
    }
}

/// Where the columns of a chart stand.
fn stands(chart: &Chart, plan: &PiecePlan, t: Language) -> String {
    match &chart.stands {
        Columns::Repeating => say!(t, "The columns repeat to both sides."),
        Columns::Once => say!(t, "The columns do not repeat."),
        Columns::Beside(_) => {
            let with = |c: &&Chart| {
                c.stands == Columns::Once && c.bed == chart.bed && c.parts.iter().any(|p| chart.parts.contains(p))
            };
            let panels: Vec<&Chart> = plan.charts.iter().filter(with).collect();
            let letters = letters(&panels, t);
            match panels.len() {
                1 => say!(t, "The columns repeat to both sides of chart {letters}.", letters),
                _ => say!(t, "The columns repeat to both sides of charts {letters} and between them.", letters),
            }
        }
    }
}

/// The sign of a cell in print.
fn sign(of: &Sign) -> char {
    match of {
        Sign::Stays => '∙',
        Sign::Forward => 'v',
        Sign::Eyelet(Side::Left) => '<',
        Sign::Eyelet(Side::Right) => '>',
        Sign::Cross { to: Side::Left, over: true } => '«',
        Sign::Cross { to: Side::Right, over: true } => '»',
        Sign::Cross { to: Side::Left, over: false } => '(',
        Sign::Cross { to: Side::Right, over: false } => ')',
    }
}
