//! Shapings spread over rows: whole numbers, at most two intervals, and an exact total.

/// Shapings at two intervals, and the plain rows after the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spread {
    /// Rows of the first interval, and its number of times.
    pub first: (u32, u32),
    /// Rows of the second interval, one unit longer, and its number of times.
    pub then: (u32, u32),
    /// Plain rows after the last shaping.
    pub after: u32,
}

/// Why shapings cannot be spread, and the nearest possible figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Infeasible {
    /// More shapings than places for them.
    TooMany {
        /// The most that fit.
        most: u32,
        /// The fewest rows that would fit all.
        rows: u32,
    },
    /// The rows are not a multiple of the shaping unit.
    Uneven {
        /// The nearest number of rows below (0: none).
        below: u32,
        /// The nearest above.
        above: u32,
    },
}

impl Spread {
    /// The rows that a shaping follows.
    #[must_use]
    pub fn rows(&self) -> Vec<u32> {
        let mut at = 0;
        let intervals = std::iter::repeat_n(self.first.0, self.first.1 as usize)
            .chain(std::iter::repeat_n(self.then.0, self.then.1 as usize));
        intervals
            .map(|n| {
                at += n;
                at
            })
            .collect()
    }

    /// The number of shapings.
    #[must_use]
    pub fn times(&self) -> u32 {
        self.first.1 + self.then.1
    }
}

/// Spreads `times` shapings over `rows` rows, the last on the last row. A shaping may come only at multiples of `unit`
/// rows. With q = R div N and r = R mod N (in units): every q rows N - r times, then every q + 1 rows r times.
///
/// # Errors
/// When there are more shapings than places, or the rows are not a multiple of the unit.
pub fn spread(times: u32, rows: u32, unit: u32) -> Result<Spread, Infeasible> {
    let unit = unit.max(1);
    if times == 0 {
        return Ok(Spread { first: (rows, 0), then: (rows, 0), after: rows });
    }
    let slots = rows / unit;
    if times > slots {
        return Err(Infeasible::TooMany { most: slots, rows: times * unit });
    }
    if !rows.is_multiple_of(unit) {
        return Err(Infeasible::Uneven { below: slots * unit, above: (slots + 1) * unit });
    }
    let (q, r) = (slots / times, slots % times);
    Ok(Spread { first: (q * unit, times - r), then: ((q + 1) * unit, r), after: 0 })
}

/// Spreads `times` shapings over `rows` rows with the fewest plain rows after the last: one unit, and any rows short of a
/// whole unit. An increase needs them where nothing is knitted after it.
///
/// # Errors
/// When there are more shapings than places.
pub fn spread_row_after(times: u32, rows: u32, unit: u32) -> Result<Spread, Infeasible> {
    let unit = unit.max(1);
    let slots = (rows / unit).saturating_sub(1);
    if times > slots {
        return Err(Infeasible::TooMany { most: slots, rows: (times + 1) * unit });
    }
    let spread = spread(times, slots * unit, unit)?;
    Ok(Spread { after: if times == 0 { rows } else { rows - slots * unit }, ..spread })
}

/// Spreads `times` shapings with a plain run after the last: every R div (N + 1) rows, with the remaining rows after the
/// last.
///
/// # Errors
/// When there are more shapings than places.
pub fn spread_plain_end(times: u32, rows: u32, unit: u32) -> Result<Spread, Infeasible> {
    let unit = unit.max(1);
    if times == 0 {
        return spread(0, rows, unit);
    }
    let every = rows / unit / (times + 1) * unit;
    if every == 0 {
        return Err(Infeasible::TooMany { most: (rows / unit).saturating_sub(1), rows: (times + 1) * unit });
    }
    Ok(Spread { first: (every, times), then: (every + unit, 0), after: rows - every * times })
}
