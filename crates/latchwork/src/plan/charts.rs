//! Rows that are told as a chart: which, and by which needles.

use latchwork_machine::needle::{Bed, Side, Slot};

use super::PiecePlan;
use super::build::Builder;
use crate::design::{Selected, Told};
use crate::fabric::{Hand, Turn};
use crate::fact::{Chart, Sign, mirrored};

impl Builder<'_> {
    /// Adds the charts of a stretch, or the stretch to those that it is knitted by.
    pub(super) fn charted(&mut self, index: usize) {
        let (s, worked) = (&self.piece.stretches[index], &self.stitches.stretches[index]);
        // Panels lie otherwise in every size: their needles are named.
        if !s.panels.is_empty() || s.told == Told::Words {
            return;
        }
        let columns = i16::try_from(s.fabric.period()).unwrap_or(1).max(1);
        // The columns in the middle of the bed.
        let first = (self.stitches.left.0 + worked.column + columns / 2).rem_euclid(columns) - columns / 2;
        let part = (self.origin.0, s.fabric.first(worked.carriage));
        for bed in Bed::BOTH {
            let Some(rows) = s.fabric.repeat.iter().map(|t| marks(t, bed, columns)).collect::<Option<Vec<_>>>() else {
                return;
            };
            if rows.iter().flatten().all(|m| *m == Sign::Stays) {
                continue;
            }
            let chart = Chart {
                letter: String::new(),
                parts: vec![part],
                bed,
                first: Slot(first),
                ends: s.fabric.ends_knit && rows.iter().flatten().any(|m| *m == Sign::Forward),
                by_device: s.selected == Selected::Device,
                public_near: s.fabric.public_near,
                rows: if s.mirrored { rows.iter().map(|r| mirrored(r)).collect() } else { rows },
            };
            match self.charts.iter_mut().find(|c| Chart { parts: chart.parts.clone(), ..(*c).clone() } == chart) {
                Some(same) => same.parts.push(part),
                None => self.charts.push(chart),
            }
        }
    }
}

/// What is done at each column of a bed before a pass; none if signs cannot tell it: stitches let off, the ribber racked, two
/// stitches moved onto one needle.
fn marks(turn: &Turn, bed: Bed, columns: i16) -> Option<Vec<Sign>> {
    turn.racking.is_none().then_some(())?;
    let column = |c: i16| usize::try_from(c.rem_euclid(columns)).unwrap_or(0);
    let mut row = vec![Sign::Stays; column(-1) + 1];
    let mut touched = row.clone();
    let mut mark = |c: i16, m: Sign, with: &[i16]| {
        let free = with.iter().all(|w| touched[column(c + w)] == Sign::Stays);
        with.iter().for_each(|w| touched[column(c + w)] = m);
        row[column(c)] = m;
        free.then_some(())
    };
    for c in (0..columns).filter(|c| turn.forward[bed.index()].has(*c)) {
        mark(c, Sign::Forward, &[0])?;
    }
    for hand in &turn.hands {
        match *hand {
            Hand::Eyelet { bed: of, cells, by } if of == bed => {
                let to = if by < 0 { Side::Left } else { Side::Right };
                for c in (0..columns).filter(|c| cells.has(*c)) {
                    mark(c, Sign::Eyelet(to), &[0, by.into()])?;
                }
            }
            Hand::Cross { bed: of, cells, group, right_over } if of == bed => {
                (turn.hands.len() == 1).then_some(())?;
                let g = i16::from(group);
                for (c, k) in (0..columns).filter(|c| cells.has(*c)).flat_map(|c| (0..2 * g).map(move |k| (c, k))) {
                    let (to, over) = if k < g { (Side::Right, !right_over) } else { (Side::Left, right_over) };
                    mark(c + k, Sign::Cross { to, over }, &[0])?;
                }
            }
            Hand::LetOff { .. } => return None,
            Hand::Eyelet { .. } | Hand::Cross { .. } => {}
        }
    }
    Some(row)
}

/// Letters for the charts of all pieces: A to Z, then AA.
pub(super) fn lettered(pieces: &mut [PiecePlan]) {
    for (n, chart) in pieces.iter_mut().flat_map(|p| &mut p.charts).enumerate() {
        let letter = char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
        chart.letter = letter.to_string().repeat(n / 26 + 1);
    }
}
