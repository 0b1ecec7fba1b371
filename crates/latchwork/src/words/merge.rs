//! Lines of all sizes merged: figures in the trade's bracket convention, 48 (52, 56), a single figure if all are equal.

use latchwork_machine::needle::Side;

use super::{Instruction, ShapingRow, Token};

/// A line for all sizes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// The part of the piece, by origin number.
    pub part: u32,
    /// The sentence, figures bracketed.
    pub tokens: Vec<Token>,
    /// The counter after it, bracketed; empty where it does not matter.
    pub counter: String,
    /// Where the carriage is after it; one for each size if they differ. Empty for a line about the next step.
    pub sides: Vec<Option<Side>>,
    /// The sizes that have this line, by place; empty: all.
    pub only: Vec<usize>,
    /// Shapings.
    pub table: Option<ShapingTable>,
}

/// Shapings of all sizes: one row for each time, one column for each size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShapingTable {
    /// For each time, the row of each size; none where the size has no such time.
    pub rows: Vec<Vec<Option<ShapingRow>>>,
    /// Rows after the last time, for each size.
    pub after: Vec<u32>,
}

/// The figure of a size that does not have the step.
pub(crate) const NONE: &str = "–";

/// Figures of all sizes: a single figure if all are equal, else the others in brackets, a dash for a size without one.
/// Semicolons part the sizes where a figure is itself a list.
fn bracketed(values: &[Option<&str>]) -> String {
    let mut given = values.iter().flatten();
    let Some(one) = given.next() else { return String::new() };
    if given.all(|v| v == one) {
        return (*one).to_string();
    }
    let gap = if values.iter().flatten().any(|v| v.contains(',')) { "; " } else { ", " };
    let all: Vec<&str> = values.iter().map(|v| v.unwrap_or(NONE)).collect();
    format!("{} ({})", all[0], all[1..].join(gap))
}

fn template(line: &Instruction) -> (u32, Vec<&str>) {
    let words = line.tokens.iter().map(|t| match t {
        Token::Text(s) | Token::Strong(s) => s.as_str(),
        Token::Value(_) | Token::Step(..) => "\u{0}",
    });
    (line.part, words.collect())
}

/// Lines of several sizes merged in order. A line that only some sizes have names them.
#[must_use]
pub fn merge(sizes: &[Vec<Instruction>]) -> Vec<Merged> {
    // Rows of the result: the line of each size there, if any.
    let mut rows: Vec<Vec<Option<&Instruction>>> = Vec::new();
    for (k, lines) in sizes.iter().enumerate() {
        let mut from = 0;
        for line in lines {
            let key = template(line);
            let same =
                |row: &Vec<Option<&Instruction>>| row.iter().flatten().next().is_some_and(|l| template(l) == key);
            let found = rows.iter().enumerate().skip(from).find(|(_, row)| same(row)).map(|(i, _)| i);
            let at = found.unwrap_or_else(|| {
                rows.insert(from, vec![None; k]);
                from
            });
            rows[at].resize(k, None);
            rows[at].push(Some(line));
            from = at + 1;
        }
        for row in &mut rows {
            row.resize(k + 1, None);
        }
    }
    parted(sizes, &mut rows);
    // The row of a line of a size.
    let place = |line: &Instruction, number: usize| {
        let mine = sizes.iter().find(|lines| lines.iter().any(|l| std::ptr::eq(l, line)))?.get(number)?;
        rows.iter().position(|row| row.iter().flatten().any(|l| std::ptr::eq(*l, mine)))
    };
    rows.iter().map(|row| merged(row, &place)).collect()
}

/// Splits a repeat shared by several sizes where the steps that it names would include more than one of them repeats:
/// lines of some sizes may come before the first line of another.
fn parted<'l>(sizes: &'l [Vec<Instruction>], rows: &mut Vec<Vec<Option<&'l Instruction>>>) {
    let mut i = 0;
    while i < rows.len() {
        // For each size with the line, the rows of the first and last lines repeated.
        let ranges: Vec<(usize, [usize; 2])> = rows[i]
            .iter()
            .enumerate()
            .filter_map(|(k, line)| {
                let named = (*line)?.tokens.iter().filter_map(|t| match t {
                    Token::Step(number, _) => Some(*number),
                    Token::Text(_) | Token::Strong(_) | Token::Value(_) => None,
                });
                let mut at = named.filter_map(|number| {
                    let mine = sizes[k].get(number)?;
                    rows.iter().position(|row| row[k].is_some_and(|l| std::ptr::eq(l, mine)))
                });
                Some((k, [at.next()?, at.next()?]))
            })
            .collect();
        let first = ranges.iter().map(|r| r.1[0]).min().unwrap_or(0);
        let last = ranges.iter().map(|r| r.1[1]).max().unwrap_or(0);
        let takes_in_more = |(k, [from, to]): &(usize, [usize; 2])| {
            (first..=last).any(|at| !(*from..=*to).contains(&at) && rows[at][*k].is_some())
        };
        if ranges.len() > 1 && ranges.iter().any(takes_in_more) {
            let row = rows.remove(i);
            // Sizes that repeat the same rows share a line.
            let mut told: Vec<[usize; 2]> = Vec::new();
            for (_, range) in &ranges {
                if told.contains(range) {
                    continue;
                }
                let has = |size: usize| ranges.iter().any(|r| r.0 == size && r.1 == *range);
                let only = (0..row.len()).map(|size| row[size].filter(|_| has(size))).collect();
                rows.insert(i + told.len(), only);
                told.push(*range);
            }
        }
        i += 1;
    }
}

/// One value of the lines of all sizes, bracketed.
fn of_all(row: &[Option<&Instruction>], of: impl Fn(&Instruction) -> Option<String>) -> String {
    let values: Vec<Option<String>> = row.iter().map(|l| l.and_then(&of)).collect();
    bracketed(&values.iter().map(Option::as_deref).collect::<Vec<_>>())
}

/// How many rows a line knits after its last shaping.
fn rows_after(line: &Instruction) -> u32 {
    line.shapings.last().zip(line.counter).map_or(0, |(last, end)| end.saturating_sub(last.counter))
}

fn merged(row: &[Option<&Instruction>], place: &dyn Fn(&Instruction, usize) -> Option<usize>) -> Merged {
    let lines: Vec<&Instruction> = row.iter().flatten().copied().collect();
    let first = lines[0];
    let tokens = (0..first.tokens.len()).map(|i| match &first.tokens[i] {
        Token::Value(_) => {
            let of = |l: &Instruction| match l.tokens.get(i) {
                Some(Token::Value(v)) => Some(v.clone()),
                _ => None,
            };
            Token::Value(of_all(row, of))
        }
        Token::Step(line, alone) => {
            // Sizes may have lines of their own in between: the range covers those of all.
            let places = lines.iter().filter_map(|l| match l.tokens.get(i) {
                Some(Token::Step(line, _)) => place(l, *line),
                _ => None,
            });
            let begins = !first.tokens[..i].iter().any(|t| matches!(t, Token::Step(..)));
            let at = if begins { places.min() } else { places.max() };
            Token::Step(*line, at.map_or_else(|| alone.clone(), |at| (at + 1).to_string()))
        }
        fixed => fixed.clone(),
    });
    let counter = of_all(row, |l| l.counter.map(crate::units::counter));
    let sides: Vec<Option<Side>> = if lines.iter().all(|l| l.steps.is_empty()) {
        // A line about the next step is done when that step is.
        Vec::new()
    } else if lines.iter().all(|l| l.side == first.side) {
        vec![Some(first.side)]
    } else {
        row.iter().map(|l| l.map(|l| l.side)).collect()
    };
    let only = if lines.len() == row.len() {
        Vec::new()
    } else {
        row.iter().enumerate().filter(|(_, l)| l.is_some()).map(|(i, _)| i).collect()
    };
    let most = lines.iter().map(|l| l.shapings.len()).max().unwrap_or(0);
    let table = (most > 0).then(|| ShapingTable {
        rows: (0..most).map(|k| row.iter().map(|l| l.and_then(|l| l.shapings.get(k)).copied()).collect()).collect(),
        after: row.iter().map(|l| l.map_or(0, rows_after)).collect(),
    });
    Merged { part: first.part, tokens: tokens.collect(), counter, sides, only, table }
}
