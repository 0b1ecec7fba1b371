//! Rows of needles as a chart.

use latchwork_machine::needle::{Bed, Needle, Slot};

/// The rows of a fabric's repeat on one bed: which needles are brought forward before each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Its letter in print.
    pub letter: String,
    /// The parts knitted by it, by origin number, each with the row of its first pass, from 0.
    pub parts: Vec<(u32, usize)>,
    /// The bed.
    pub bed: Bed,
    /// The needle of its first column. The columns repeat to both sides.
    pub first: Slot,
    /// Whether the outermost needles come forward too, in each row that brings any.
    pub ends: bool,
    /// Whether the pattern device brings them forward.
    pub by_device: bool,
    /// Whether its public side faces the knitter.
    pub public_near: bool,
    /// Whether each column comes forward, row by row, the first row first.
    pub rows: Vec<Vec<bool>>,
}

impl Chart {
    /// Columns of its repeat.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.rows.first().map_or(1, Vec::len).max(1)
    }

    /// The needles that a row, from 0, brings forward among those in work on its bed, which go from left to right.
    pub fn brings<'n>(&'n self, row: usize, in_work: &'n [Needle]) -> impl Iterator<Item = Needle> + 'n {
        let marks = &self.rows[row];
        let columns = self.columns();
        let any = self.ends && marks.contains(&true);
        let ends = [in_work.first(), in_work.last()];
        in_work
            .iter()
            .filter(move |n| (any && ends.contains(&Some(*n))) || marks[self.column(n.slot, columns)])
            .copied()
    }

    fn column(&self, slot: Slot, columns: usize) -> usize {
        let columns = i32::try_from(columns).unwrap_or(1);
        usize::try_from((i32::from(slot.0) - i32::from(self.first.0)).rem_euclid(columns)).unwrap_or(0)
    }

    /// The chart with left and right changed.
    #[must_use]
    pub fn mirror(&self) -> Chart {
        let last = Slot(self.first.0.saturating_add(i16::try_from(self.columns()).unwrap_or(1) - 1));
        let rows = self.rows.iter().map(|row| row.iter().rev().copied().collect()).collect();
        Chart { first: last.mirror(), rows, ..self.clone() }
    }
}
