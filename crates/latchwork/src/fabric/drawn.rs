//! A fabric as a drawing of one bed: rows of signs, and what in them is likely to go wrong, cell by cell.

use latchwork_machine::needle::Bed;
use latchwork_machine::steps::Setting;

use super::passes::{MOVES, USUAL};
use super::{Fabric, Hand};

/// What a cell of a drawing is likely to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Risk {
    /// So many needles side by side are passed over by a yarn.
    Float,
    /// So many needles side by side tuck in one row.
    Beside,
    /// So many tucks lie on one needle.
    Stacked,
    /// So many needles side by side lose their stitch.
    Emptied,
    /// A yarn is left out in so many rows, an odd number, and waits at the far side after them.
    Waits,
}

/// A risk at a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtCell {
    /// What.
    pub risk: Risk,
    /// The row, the first knitted being 0.
    pub row: usize,
    /// The leftmost cell of the run, or the cell.
    pub cell: usize,
    /// How many.
    pub many: usize,
}

/// Knitted, tucked, passed over, knitted in the second yarn, under a laid yarn.
const KNIT: char = USUAL[0];
const TUCK: char = USUAL[1];
const SLIP: char = USUAL[2];
const SECOND: char = USUAL[3];
const OVER: char = USUAL[4];

impl Fabric {
    /// Its rows as signs of the main bed, the first knitted first; none where crossings, racking, the ribber or further yarns say more.
    #[must_use]
    pub fn signs(&self) -> Option<Vec<String>> {
        if self.layout.two_beds() || !self.layout.main_alone() {
            return None;
        }
        let wide = i16::try_from(self.period()).ok()?;
        let row = |t: &super::Turn| {
            if t.racking.is_some() || t.course.going.is_some() {
                return None;
            }
            let mut moved: Vec<Option<char>> = vec![None; usize::try_from(wide).unwrap_or(0)];
            for hand in &t.hands {
                let Hand::Eyelet { bed: Bed::Main, cells, by } = *hand else { return None };
                let sign = MOVES.iter().find(|m| m.1 == by)?.0;
                (0..wide).zip(&mut moved).filter(|(place, _)| cells.has(*place)).for_each(|(_, m)| *m = Some(sign));
            }
            // A row of the second yarn alone has it in the feeder.
            let alone = t.feeds.first == 1 && t.feeds.second.is_none() && t.feeds.laid.is_none();
            let usual = t.feeds.first == 0 && t.feeds.second.unwrap_or(1) == 1 && t.feeds.laid.unwrap_or(1) == 1;
            if !(alone || usual) || (alone && !t.hands.is_empty()) {
                return None;
            }
            let own = if alone { SECOND } else { KNIT };
            let sign = |place: i16| match (t.forward[0].has(place), t.course.of(Bed::Main)) {
                (true, _) if t.feeds.second.is_some() => SECOND,
                (true, _) if t.feeds.laid.is_some() => OVER,
                (true, _) | (false, Setting::Knit) => own,
                (false, Setting::Tuck) => TUCK,
                (false, Setting::Slip) => SLIP,
            };
            let cell = |(place, moved): (i16, &Option<char>)| {
                moved.map_or(Some(sign(place)), |m| (sign(place) == KNIT).then_some(m))
            };
            (0..wide).zip(&moved).map(cell).collect()
        };
        self.repeat.iter().map(row).collect()
    }
}

/// Why a fabric has no card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotPunched {
    /// It is more than needles of the main bed selected row by row.
    NotDrawn,
    /// Its repeat does not divide the width of the device.
    Divides {
        /// Needles of the repeat.
        repeat: u32,
        /// Needles of the device.
        width: u32,
    },
}

impl Fabric {
    /// The holes of its card for a device that repeats after `width` needles, in whole repeats of at least `rows` rows, the first knitted
    /// first. A hole brings a needle forward: it knits in tuck and slip, takes the second yarn in two yarns, and carries the laid one.
    ///
    /// # Errors
    ///
    /// Why there is none.
    pub fn punched(&self, width: u32, rows: u32, inverted: bool) -> Result<Vec<Vec<bool>>, NotPunched> {
        let signs = self.signs().ok_or(NotPunched::NotDrawn)?;
        let repeat = self.period();
        if !width.is_multiple_of(repeat) {
            return Err(NotPunched::Divides { repeat, width });
        }
        let further = signs.iter().any(|r| r.contains([SECOND, OVER]));
        if signs.iter().any(|r| r.contains(MOVES.map(|m| m.0))) {
            return Err(NotPunched::NotDrawn);
        }
        let row = |r: &String| -> Vec<bool> {
            let first = !r.contains([SECOND, OVER]) && (!further || r.contains([TUCK, SLIP]));
            let hole = |c: char| (if first { c == KNIT } else { matches!(c, SECOND | OVER) }) != inverted;
            r.chars().cycle().take(width as usize).map(hole).collect()
        };
        let once: Vec<Vec<bool>> = signs.iter().map(row).collect();
        let times = rows.div_ceil(self.row_multiple());
        Ok((0..times.max(1)).flat_map(|_| once.clone()).collect())
    }
}

/// Runs of cells that something is true of, in a row that goes on over its ends: the first cell and how many. A row it is true of
/// throughout has none.
fn runs(row: &[char], is: impl Fn(char) -> bool) -> Vec<(usize, usize)> {
    let wide = row.len();
    let Some(from) = row.iter().position(|c| !is(*c)) else { return Vec::new() };
    let mut all: Vec<(usize, usize)> = Vec::new();
    let mut run = 0;
    for k in 1..=wide {
        let at = (from + k) % wide;
        if is(row[at]) {
            run += 1;
        } else if run > 0 {
            all.push(((at + wide - run) % wide, run));
            run = 0;
        }
    }
    all
}

/// Which needles of a row are empty once its stitches are moved: those to the left first, each time from the left.
fn emptied(signs: &[char]) -> Vec<bool> {
    let wide = signs.len();
    let mut stitches = vec![1_usize; wide];
    for (sign, by) in MOVES {
        for from in (0..wide).filter(|c| signs[*c] == sign) {
            let to = if by < 0 { (from + wide - 1) % wide } else { (from + 1) % wide };
            let moved = std::mem::take(&mut stitches[from]);
            stitches[to] += moved;
        }
    }
    stitches.into_iter().map(|n| n == 0).collect()
}

/// What in rows of signs, the first knitted first, goes past the longest float and the most tucks on a needle, or tucks side by side.
#[must_use]
pub fn risks(rows: &[String], float: u32, tucks: u32) -> Vec<AtCell> {
    let grid: Vec<Vec<char>> = rows.iter().map(|r| r.chars().collect()).collect();
    let [float, tucks] = [float, tucks].map(|n| usize::try_from(n).unwrap_or(usize::MAX));
    let mut all = Vec::new();
    for (row, signs) in grid.iter().enumerate() {
        let mut found = |risk: Risk, most: usize, is: &dyn Fn(char) -> bool| {
            let past = runs(signs, is).into_iter().filter(|r| r.1 > most);
            all.extend(past.map(|(cell, many)| AtCell { risk, row, cell, many }));
        };
        if signs.contains(&SECOND) && signs.contains(&KNIT) {
            found(Risk::Float, float, &|c| c != SECOND);
            found(Risk::Float, float, &|c| c == SECOND);
        } else {
            found(Risk::Float, float, &|c| c == SLIP);
        }
        found(Risk::Beside, 1, &|c| c == TUCK);
        let empty: Vec<char> = emptied(signs).into_iter().map(|e| if e { SLIP } else { KNIT }).collect();
        let past = runs(&empty, |c| c == SLIP).into_iter().filter(|r| r.1 > 1);
        all.extend(past.map(|(cell, many)| AtCell { risk: Risk::Emptied, row, cell, many }));
    }
    // Which rows take each yarn, where there are two.
    let second = |r: &[char]| r.contains(&SECOND) || r.contains(&OVER);
    let first = |r: &[char]| !r.contains(&SECOND) || r.contains(&KNIT);
    if grid.iter().any(|r| second(r)) {
        for takes in [first as fn(&[char]) -> bool, second] {
            let rows: Vec<char> = grid.iter().map(|r| if takes(r) { KNIT } else { SLIP }).collect();
            let odd = runs(&rows, |c| c == SLIP).into_iter().filter(|r| r.1 % 2 == 1);
            all.extend(odd.map(|(row, many)| AtCell { risk: Risk::Waits, row, cell: 0, many }));
        }
    }
    for cell in 0..grid.first().map_or(0, Vec::len) {
        let column: Vec<char> = grid.iter().map(|r| r.get(cell).copied().unwrap_or(KNIT)).collect();
        let past = runs(&column, |c| c == TUCK).into_iter().filter(|r| r.1 > tucks);
        all.extend(past.map(|(row, many)| AtCell { risk: Risk::Stacked, row, cell, many }));
        if column.iter().all(|c| *c == TUCK) {
            all.push(AtCell { risk: Risk::Stacked, row: 0, cell, many: column.len() });
        }
    }
    all
}
