//! Short rows written out: what is held or returns before which rows.

use latchwork_machine::needle::{Bed, Side};

use crate::design::{Closing, ShortRows, ShortStep, Times};
use crate::notice::Span;

/// Rows over needles that stay the same, and what comes before them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShortRow {
    /// What is held or returns first.
    pub go: Go,
    /// The rows.
    pub rows: u32,
    /// Whether the next held needle is wrapped after them.
    pub wrap: bool,
}

/// What is held or returns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// Nothing.
    Straight,
    /// So many of the working needles at an end are held.
    Hold(Side, u32),
    /// So many held needles at an end, nearest to the working ones, return.
    Return(Side, u32),
    /// All that are held return.
    ReturnAll,
}

/// Why short rows cannot be written out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoShortRows {
    /// More needles would be held than knit.
    TooMany { working: u32, asked: u32 },
    /// Fewer needles are held at an end than would return.
    TooFew { side: Side, there: u32, asked: u32 },
    /// The carriage stands at the end at which needles would be held or return.
    AtCarriage(Side),
}

/// Fewest needles that a row is knitted over.
const FEWEST: u32 = 2;

/// The state while short rows are written out.
struct Written {
    all: Vec<ShortRow>,
    carriage: Side,
    /// Needles of the beds that knit.
    needles: u32,
    /// Held at the left and at the right.
    held: [u32; 2],
    closing: Closing,
}

/// Short rows over so many needles of the beds that knit, the carriage at this side before them; where they cannot be: the
/// step, and why.
pub(super) fn written(short: &ShortRows, needles: u32, carriage: Side) -> Result<Vec<ShortRow>, (Span, NoShortRows)> {
    let mut w = Written { all: Vec::new(), carriage, needles, held: [0, 0], closing: short.turn };
    for round in 0..short.repeat {
        for step in &short.steps {
            match *step {
                ShortStep::Knit(rows) => w.knit(Go::Straight, rows),
                ShortStep::Return { needles: None, .. } => w.return_all(),
                ShortStep::Hold { span, needles, at, rows, times } => {
                    let needles = needles.of(w.needles);
                    let times = match times {
                        Times::Of(times) => times,
                        Times::Leaving(share) => w.leaving(share, needles, at),
                    };
                    for _ in 0..times {
                        let side = w.side(at).ok_or((span, NoShortRows::AtCarriage(w.carriage)))?;
                        if w.working() < needles + FEWEST {
                            return Err((span, NoShortRows::TooMany { working: w.working(), asked: needles }));
                        }
                        w.hold(side, needles, rows);
                    }
                }
                ShortStep::Return { span, needles: Some(needles), at, rows, times } => {
                    let mut left = times.map(|times| match times {
                        Times::Of(times) => times,
                        Times::Leaving(share) => w.returning(share, needles),
                    });
                    while left.map_or(w.holds(at), |l| l > 0) {
                        let side = w.side(at).ok_or((span, NoShortRows::AtCarriage(w.carriage)))?;
                        let there = w.held[side as usize];
                        if there < needles {
                            return Err((span, NoShortRows::TooFew { side, there, asked: needles }));
                        }
                        w.held[side as usize] -= needles;
                        w.knit(Go::Return(side, needles), rows);
                        left = left.map(|l| l - 1);
                    }
                }
            }
        }
        if round + 1 < short.repeat {
            w.return_all();
        }
    }
    w.return_all();
    Ok(w.all)
}

impl Written {
    fn working(&self) -> u32 {
        self.needles.saturating_sub(self.held[0] + self.held[1])
    }

    /// Whether any needle is held, at this end or at any.
    fn holds(&self, at: Option<Side>) -> bool {
        at.map_or(self.held != [0, 0], |side| self.held[side as usize] > 0)
    }

    /// The end away from the carriage, if it is the one that is asked for.
    fn side(&self, at: Option<Side>) -> Option<Side> {
        Some(self.carriage.other()).filter(|away| at.is_none_or(|at| at == *away))
    }

    /// How often needles are held until about this share of all is left: alike at both ends where both have their turn.
    fn leaving(&self, percent: f64, needles: u32, at: Option<Side>) -> u32 {
        let each = f64::from(needles * if at.is_some() { 1 } else { 2 });
        let go = f64::from(self.working()) - f64::from(self.needles) * percent / 100.0;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "fewer than the needles of a bed")]
        let times = (go / each).round().max(1.0) as u32;
        if at.is_some() { times } else { times * 2 }
    }

    /// How often needles return until about this share of all knits: as often at either end.
    fn returning(&self, percent: f64, needles: u32) -> u32 {
        let go = f64::from(self.needles) * percent / 100.0 - f64::from(self.working());
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "fewer than the needles of a bed")]
        let pairs = (go / f64::from(2 * needles)).round().max(1.0) as u32;
        2 * pairs
    }

    fn hold(&mut self, side: Side, needles: u32, rows: u32) {
        self.held[side as usize] += needles;
        match (self.closing, rows) {
            (Closing::Automatic, 1) => {
                // The needle that has just knitted, at the carriage, is held: the yarn lies round it.
                self.held[side as usize] -= needles;
                self.held[side.other() as usize] += needles;
                self.knit(Go::Hold(side.other(), needles), 1);
            }
            (Closing::Automatic, rows) => {
                let first = if needles > 1 { Go::Hold(side, needles - 1) } else { Go::Straight };
                self.knit(first, 1);
                self.knit(Go::Hold(side, 1), rows - 1);
            }
            _ => self.knit(Go::Hold(side, needles), rows),
        }
    }

    /// Rows, with the wrap that closes the turn after them.
    fn knit(&mut self, go: Go, rows: u32) {
        let wraps = |carriage: Side| self.closing == Closing::Wrap && self.held[carriage as usize] > 0;
        // A row that goes to held needles and returns is closed where it turns.
        let turns = go != Go::Straight && rows > 1 && wraps(self.carriage.other());
        if turns {
            self.all.push(ShortRow { go, rows: 1, wrap: true });
            self.carriage = self.carriage.other();
            self.knit(Go::Straight, rows - 1);
            return;
        }
        self.carriage = self.carriage.after(rows);
        let wrap =
            rows > 0 && go != Go::Straight && self.closing == Closing::Wrap && self.held[self.carriage as usize] > 0;
        self.all.push(ShortRow { go, rows, wrap });
    }

    fn return_all(&mut self) {
        if self.held != [0, 0] {
            self.held = [0, 0];
            self.all.push(ShortRow { go: Go::ReturnAll, rows: 0, wrap: false });
        }
    }
}

/// Needles held at the left and at the right during each of these.
fn held(all: &[ShortRow]) -> impl Iterator<Item = (&ShortRow, [u32; 2])> {
    all.iter().scan([0_u32; 2], |held, row| {
        match row.go {
            Go::Straight => {}
            Go::Hold(at, n) => held[at as usize] += n,
            Go::Return(at, n) => held[at as usize] -= n,
            Go::ReturnAll => *held = [0, 0],
        }
        Some((row, *held))
    })
}

/// Rows that the needle at an end knits.
#[must_use]
pub(super) fn at_end(all: &[ShortRow], side: Side) -> u32 {
    held(all).filter(|(_, held)| held[side as usize] == 0).map(|(row, _)| row.rows).sum()
}

/// The most needles that are held at a time.
pub(super) fn most_held(all: &[ShortRow]) -> u32 {
    held(all).map(|(_, held)| held[0] + held[1]).max().unwrap_or(0)
}

/// The needles of one bed among these, where a tube knits on one bed.
pub(super) fn on_bed(needles: u32, on: Option<Bed>) -> u32 {
    if on.is_some() { needles / 2 } else { needles }
}
