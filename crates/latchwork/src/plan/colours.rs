//! Several yarns in one piece: each is joined where it is first needed, carried up the side while it is soon used again from
//! the side where it waits, and cut otherwise.

use std::collections::VecDeque;

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Action, Yarn};

use super::build::{Builder, WORKING};
use crate::fabric::Turn;
use crate::stitches::stripes::{CARRY, END};
use crate::stitches::{Begins, Feed, Item, Rows, Section};

/// Yarns of a plan besides those of the design's colours: working yarn, waste yarn, ravel cord.
const FIRST: usize = 3;

/// The yarns of a section in rows of several colours.
#[derive(Debug, Default)]
pub(crate) struct Colours {
    /// For each yarn of the design, the rows that still use it, from 0.
    uses: Vec<VecDeque<u32>>,
    /// Where each waits, once it is joined.
    waits: Vec<Option<Side>>,
    /// Yarns to be cut before the next row.
    finished: Vec<usize>,
    /// The next row; free passes count as rows.
    row: u32,
    /// How many rows there are.
    rows: u32,
}

/// The design's yarns that a row takes: in the feeder, for needles in forward position, laid in.
fn taken(turn: &Turn, yarns: &[usize]) -> [Option<usize>; 3] {
    let of = |number: u8| yarns.get(usize::from(number)).or(yarns.first()).copied();
    [of(turn.feeds.first), turn.feeds.second.and_then(of), turn.feeds.laid.and_then(of)]
}

/// The runs of rows of a section.
fn runs(section: &Section) -> impl Iterator<Item = &Rows> {
    section.items.iter().filter_map(|i| match i {
        Item::Rows(rows) => Some(rows),
        Item::Begin(..)
        | Item::Part { .. }
        | Item::Slit { .. }
        | Item::OtherSide { .. }
        | Item::Move { .. }
        | Item::Shape(_)
        | Item::Eyelets(_)
        | Item::Buttonholes { .. }
        | Item::HangFirst
        | Item::HangRow { .. }
        | Item::Go { .. }
        | Item::Wrap { .. }
        | Item::Claim => None,
    })
}

/// Whether a section is knitted in several yarns.
pub(crate) fn several(section: &Section) -> bool {
    runs(section).any(|r| matches!(r.feed, Feed::Each(_)))
}

impl Builder<'_> {
    /// Looks ahead in a section of several yarns, so that each is cut where it is no longer needed.
    pub(crate) fn look_ahead(&mut self, section: &Section) {
        let rows = runs(section);
        let mut colours = Colours { waits: vec![None; self.design.yarns.len()], ..Colours::default() };
        colours.uses.resize(self.design.yarns.len(), VecDeque::new());
        for run in rows {
            let Feed::Each(yarns) = &run.feed else {
                colours.rows += if run.feed == Feed::Free { run.count } else { 0 };
                continue;
            };
            for pass in 0..run.count {
                for yarn in taken(run.repeat.turn(pass), yarns).into_iter().flatten() {
                    colours.uses[yarn].push_back(colours.rows);
                }
                colours.rows += 1;
            }
        }
        self.colours = (colours.rows > 0).then_some(colours);
        let own = self.piece.yarn;
        let side = self.side();
        // A side that waited has none of its yarns yet.
        let begun = matches!(section.begins, Begins::CastOn(..));
        if let Some(c) = self.colours.as_mut().filter(|_| begun) {
            c.waits[own] = Some(side);
            if !c.uses[own].front().is_some_and(|n| *n <= CARRY && n.is_multiple_of(2)) {
                c.finished.push(own);
            }
        }
    }

    /// The yarns of a row of the design's, joined at the carriage's side where they do not wait there.
    pub(crate) fn take_yarns(&mut self, rows: &Rows, turn: &Turn) -> [Option<Yarn>; 3] {
        let Feed::Each(yarns) = &rows.feed else { return [None; 3] };
        self.cut_finished();
        taken(turn, yarns).map(|yarn| yarn.map(|y| self.take(y)))
    }

    fn take(&mut self, yarn: usize) -> Yarn {
        let (number, side) = (self.number(yarn), self.side());
        let waits = self.colours.as_ref().and_then(|c| c.waits.get(yarn).copied().flatten());
        if waits != Some(side) {
            if waits.is_some() {
                self.cut(number);
            }
            self.step(Action::Join { yarn: number, side });
            self.tail(END);
        }
        number
    }

    /// After a row: which of its yarns are carried, and which have done their work.
    pub(crate) fn leave_yarns(&mut self, rows: &Rows, turn: &Turn) {
        let Feed::Each(yarns) = &rows.feed else {
            if let (Feed::Free, Some(c)) = (&rows.feed, &mut self.colours) {
                c.row += 1;
            }
            return;
        };
        let side = self.side();
        let Some(c) = &mut self.colours else { return };
        let row = c.row;
        c.row += 1;
        let all = taken(turn, yarns);
        for yarn in all.into_iter().flatten() {
            c.waits[yarn] = Some(side);
            c.uses[yarn].pop_front();
            // The last row's yarn also ends the piece.
            let ends = c.row == c.rows && all[0] == Some(yarn);
            let past = c.uses[yarn].front().map(|next| next - row - 1);
            if !ends && !past.is_some_and(|n| n <= CARRY && n.is_multiple_of(2)) {
                c.finished.push(yarn);
            }
        }
    }

    /// Where the work parts: cuts the yarns that wait at the side that is not knitted first.
    pub(crate) fn leave_behind(&mut self) {
        let side = self.side();
        if let Some(c) = &mut self.colours {
            let there = (0..c.waits.len()).filter(|y| c.waits[*y] == Some(side.other()));
            let there: Vec<usize> = there.filter(|y| !c.finished.contains(y)).collect();
            c.finished.extend(there);
        }
        self.cut_finished();
    }

    /// Cuts the yarns that are not used again from where they wait.
    pub(crate) fn cut_finished(&mut self) {
        let finished = self.colours.as_mut().map(|c| std::mem::take(&mut c.finished)).unwrap_or_default();
        for yarn in finished {
            let number = self.number(yarn);
            self.cut(number);
            if let Some(c) = &mut self.colours {
                c.waits[yarn] = None;
            }
        }
    }

    fn cut(&mut self, yarn: Yarn) {
        self.step(Action::Cut(yarn));
        self.tail(END);
    }

    /// The number of one of the design's yarns in the plan.
    fn number(&self, yarn: usize) -> Yarn {
        if yarn == self.piece.yarn {
            return WORKING;
        }
        let at = self.further.iter().position(|y| *y == yarn).unwrap_or(usize::MAX - FIRST);
        Yarn(u8::try_from(FIRST + at).unwrap_or(u8::MAX))
    }
}
