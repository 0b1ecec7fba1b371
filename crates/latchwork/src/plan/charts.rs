//! Rows that are told as a chart: which, and by which needles.

use latchwork_machine::needle::{Bed, Slot};

use super::PiecePlan;
use super::build::Builder;
use crate::design::{Selected, Told};
use crate::fabric::Cells;
use crate::fact::Chart;

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
        let first =
            (self.stitches.left.0 + worked.column + columns / 2).rem_euclid(columns) - columns / 2 - columns % 2;
        let part = (self.origin.0, s.fabric.first(worked.carriage));
        let selects = |bed: &Bed| s.fabric.repeat.iter().any(|t| !t.forward[bed.index()].none());
        for bed in Bed::BOTH.into_iter().filter(selects) {
            let column = |c: i16| if s.mirrored { columns - 1 - c } else { c };
            let row = |cells: Cells| (0..columns).map(|c| cells.has(column(c))).collect();
            let chart = Chart {
                letter: String::new(),
                parts: vec![part],
                bed,
                first: Slot(first),
                ends: s.fabric.ends_knit,
                by_device: s.selected == Selected::Device,
                public_near: s.fabric.public_near,
                rows: s.fabric.repeat.iter().map(|t| row(t.forward[bed.index()])).collect(),
            };
            match self.charts.iter_mut().find(|c| Chart { parts: chart.parts.clone(), ..(*c).clone() } == chart) {
                Some(same) => same.parts.push(part),
                None => self.charts.push(chart),
            }
        }
    }
}

/// Letters for the charts of all pieces: A to Z, then AA.
pub(super) fn lettered(pieces: &mut [PiecePlan]) {
    for (n, chart) in pieces.iter_mut().flat_map(|p| &mut p.charts).enumerate() {
        let letter = char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
        chart.letter = letter.to_string().repeat(n / 26 + 1);
    }
}
