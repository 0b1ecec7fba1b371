//! A curved edge as stitches taken away or added after rows: the list of them that lies nearest to the curve, exactly.

/// An edge between two counts of stitches.
#[derive(Clone, Copy)]
pub struct CurvedEdge<'f> {
    /// Stitches by which it goes in or out, in units of shaping.
    pub stitches: u32,
    /// Rows.
    pub rows: u32,
    /// Width of a unit of shaping and length of a row, in one unit of length.
    pub size: (f64, f64),
    /// The most that are changed by the tool after a row.
    pub most: u32,
    /// The rows after which more may be bound off, as the carriage stands at this end: those of this remainder by two.
    pub bound_off: Option<u32>,
    /// A change may come after multiples of so many rows.
    pub every: u32,
    /// Whether one may come before the first row.
    pub first: bool,
    /// Whether one may come after the last row.
    pub last: bool,
    /// How far in the edge lies at a height, never less than below it.
    pub at: &'f dyn Fn(f64) -> f64,
}

impl core::fmt::Debug for CurvedEdge<'_> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("CurvedEdge")
            .field("stitches", &self.stitches)
            .field("rows", &self.rows)
            .field("size", &self.size)
            .finish_non_exhaustive()
    }
}

/// Sums of squares that lie no further apart are equal.
const EQUAL: f64 = 1e-9;

/// What the rows from one on cost at best: the sum of squared distances in stitches, the changes, the sum of their squares;
/// and the first change.
#[derive(Debug, Clone, Copy)]
struct Rest {
    off: f64,
    changes: u32,
    squares: u32,
    first: u32,
}

impl Rest {
    const NONE: Rest = Rest { off: f64::INFINITY, changes: 0, squares: 0, first: 0 };

    fn betters(&self, other: &Rest) -> bool {
        if self.off.is_finite() && (self.off - other.off).abs() <= EQUAL {
            (self.changes, self.squares) < (other.changes, other.squares)
        } else {
            self.off < other.off
        }
    }
}

impl CurvedEdge<'_> {
    fn may(&self, row: u32, change: u32) -> bool {
        change == 0
            || (row.is_multiple_of(self.every)
                && (row > 0 || self.first)
                && (row < self.rows || self.last)
                && (change <= self.most || self.bound_off == Some(row % 2)))
    }

    /// The most that may be changed after a row.
    fn most_after(&self, row: u32) -> u32 {
        if self.may(row, self.stitches) {
            self.stitches
        } else if self.may(row, 1) {
            self.most
        } else {
            0
        }
    }

    /// The stitches changed after each row, the first before the first row; none if no list reaches the other end. Least are,
    /// in this order: the sum over the rows of the squared distance from the curve in the middle of the row, in stitches; the
    /// number of changes; the sum of their squares; the list itself.
    #[must_use]
    pub fn changes(&self) -> Option<Vec<u32>> {
        let wide = self.stitches as usize + 1;
        let mut rest = vec![Rest::NONE; wide * (self.rows as usize + 1)];
        for row in (0..=self.rows).rev() {
            let curve = (self.at)((f64::from(row) + 0.5) * self.size.1) / self.size.0;
            for from in 0..=self.stitches {
                let mut best = Rest::NONE;
                for change in 0..=self.most_after(row).min(self.stitches - from) {
                    if !self.may(row, change) {
                        continue;
                    }
                    let to = from + change;
                    let after = if row < self.rows {
                        let after = rest[(row as usize + 1) * wide + to as usize];
                        Rest { off: after.off + (f64::from(to) - curve).powi(2), ..after }
                    } else if to == self.stitches {
                        Rest { off: 0.0, ..Rest::NONE }
                    } else {
                        continue;
                    };
                    let (changes, squares) = (after.changes + u32::from(change > 0), after.squares + change * change);
                    let this = Rest { off: after.off, changes, squares, first: change };
                    if this.betters(&best) {
                        best = this;
                    }
                }
                rest[row as usize * wide + from as usize] = best;
            }
        }
        rest[0].off.is_finite().then_some(())?;
        let mut at = 0;
        let list = (0..=self.rows as usize).map(|row| {
            let change = rest[row * wide + at].first;
            at += change as usize;
            change
        });
        Some(list.collect())
    }

    /// Whether any list reaches the other end.
    #[must_use]
    pub fn is_possible(&self) -> bool {
        let room = |all: u64, row: u32| all + u64::from(self.most_after(row));
        (0..=self.rows).fold(0, room) >= u64::from(self.stitches)
    }
}
