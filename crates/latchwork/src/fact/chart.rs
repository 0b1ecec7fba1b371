//! Rows of needles as a chart.

use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::steps::{Action, Leaves, Move};

/// What is done at a needle before a row is knitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Nothing.
    Stays,
    /// It is brought forward.
    Forward,
    /// Its stitch goes to the next needle at this side and leaves it empty for an eyelet.
    Eyelet(Side),
    /// Its stitch crosses to this side, over the others or under them.
    Cross {
        /// The side.
        to: Side,
        /// Whether it lies over the others.
        over: bool,
    },
}

impl Sign {
    fn mirror(self) -> Sign {
        match self {
            Sign::Eyelet(to) => Sign::Eyelet(to.other()),
            Sign::Cross { to, over } => Sign::Cross { to: to.other(), over },
            Sign::Stays | Sign::Forward => self,
        }
    }
}

/// Marks with left and right changed.
#[must_use]
pub fn mirrored(row: &[Sign]) -> Vec<Sign> {
    row.iter().rev().map(|m| m.mirror()).collect()
}

/// Where the columns of a chart stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Columns {
    /// They repeat to both sides.
    Repeating,
    /// Once: they are those of a panel.
    Once,
    /// They repeat beside panels, which begin at these slots and have so many columns.
    Beside(Vec<(Slot, u16)>),
}

impl Columns {
    /// Whether a slot is not theirs, where the first of so many columns stands at another.
    fn leave_out(&self, slot: Slot, first: Slot, columns: i32) -> bool {
        let within = |first: Slot, n: i32| (0..n).contains(&(i32::from(slot.0) - i32::from(first.0)));
        match self {
            Columns::Repeating => false,
            Columns::Once => !within(first, columns),
            Columns::Beside(panels) => panels.iter().any(|(first, n)| within(*first, i32::from(*n))),
        }
    }
}

/// The rows of a fabric's repeat on one bed: what is done at which needles before each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Its letter in print.
    pub letter: String,
    /// The parts knitted by it, by origin number, each with the row of its first pass, from 0.
    pub parts: Vec<(u32, usize)>,
    /// The bed.
    pub bed: Bed,
    /// The needle of its first column.
    pub first: Slot,
    /// Where its columns stand.
    pub stands: Columns,
    /// Whether the outermost needles come forward too, in each row that brings any.
    pub ends: bool,
    /// Whether the pattern device brings them forward.
    pub by_device: bool,
    /// Whether its public side faces the knitter.
    pub public_near: bool,
    /// What is done at each column, row by row, the first row first.
    pub rows: Vec<Vec<Sign>>,
}

impl Chart {
    /// Columns of its repeat.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.rows.first().map_or(1, Vec::len).max(1)
    }

    /// Whether any of its needles are marked so.
    pub fn has(&self, marked: impl Fn(Sign) -> bool) -> bool {
        self.rows.iter().flatten().any(|m| marked(*m))
    }

    /// The needles that a row, from 0, brings forward among those in work on its bed, which go from left to right.
    pub fn brings<'n>(&'n self, row: usize, in_work: &'n [Needle]) -> impl Iterator<Item = Needle> + 'n {
        let any = self.ends && self.rows[row].contains(&Sign::Forward);
        let ends = [in_work.first(), in_work.last()];
        let forward = move |n: &&Needle| (any && ends.contains(&Some(*n))) || self.at(row, n.slot) == Sign::Forward;
        in_work.iter().filter(forward).copied()
    }

    /// The stitches that a row moves for eyelets, from left to right. The outermost needles keep theirs and get no other.
    #[must_use]
    pub fn eyelets(&self, row: usize, in_work: &[Needle]) -> Vec<Move> {
        let inner = inner(in_work);
        let to = |n: &Needle| match self.at(row, n.slot) {
            Sign::Eyelet(Side::Left) => Some(-1),
            Sign::Eyelet(Side::Right) => Some(1),
            _ => None,
        };
        let moved = inner.iter().filter_map(|n| {
            let onto = Needle { bed: n.bed, slot: Slot(n.slot.0 + to(n)?) };
            inner.binary_search(&onto).is_ok().then_some(Move { from: *n, to: onto, leaves: Leaves::Eyelet })
        });
        moved.collect()
    }

    /// The crossings of a row, from left to right. The outermost needles have no part in one.
    #[must_use]
    pub fn crossings(&self, row: usize, in_work: &[Needle]) -> Vec<Action> {
        let inner = inner(in_work);
        let going = |slot: i16| match self.at(row, Slot(slot)) {
            Sign::Cross { to, over } => Some((to, over)),
            _ => None,
        };
        let right = |slot: i16| going(slot).filter(|c| c.0 == Side::Right);
        let crossing = |n: &Needle| {
            let (_, over) = right(n.slot.0).filter(|_| right(n.slot.0 - 1).is_none())?;
            let group = (1..=4).take_while(|k| right(n.slot.0 + k - 1).is_some()).last()?;
            let at = |k: i16| Needle { bed: n.bed, slot: Slot(n.slot.0 + k) };
            (0..2 * group).all(|k| inner.binary_search(&at(k)).is_ok()).then_some(())?;
            let step = |from: i16, by: i16| Move { from: at(from), to: at(from + by), leaves: Leaves::Refill };
            let (left, right) = ((0..group).map(|k| step(k, group)), (group..2 * group).map(|k| step(k, -group)));
            // Stitches hung later lie on top.
            let moves = if over { right.chain(left).collect() } else { left.chain(right).collect() };
            Some(Action::MoveTogether { moves, carry: u8::try_from(group).ok() })
        };
        inner.iter().filter_map(crossing).collect()
    }

    fn at(&self, row: usize, slot: Slot) -> Sign {
        let columns = i32::try_from(self.columns()).unwrap_or(1);
        if self.stands.leave_out(slot, self.first, columns) {
            return Sign::Stays;
        }
        let column = (i32::from(slot.0) - i32::from(self.first.0)).rem_euclid(columns);
        self.rows[row][usize::try_from(column).unwrap_or(0)]
    }

    /// The chart with left and right changed.
    #[must_use]
    pub fn mirror(&self) -> Chart {
        let turned = |first: Slot, n: usize| Slot(first.0.saturating_add(i16::try_from(n).unwrap_or(1) - 1)).mirror();
        let first = turned(self.first, self.columns());
        let stands = match &self.stands {
            Columns::Beside(panels) => {
                Columns::Beside(panels.iter().map(|(first, n)| (turned(*first, (*n).into()), *n)).collect())
            }
            Columns::Repeating | Columns::Once => self.stands.clone(),
        };
        Chart { first, stands, rows: self.rows.iter().map(|r| mirrored(r)).collect(), ..self.clone() }
    }
}

/// The needles of a bed between its outermost two.
fn inner(in_work: &[Needle]) -> &[Needle] {
    in_work.get(1..in_work.len().saturating_sub(1)).unwrap_or_default()
}
