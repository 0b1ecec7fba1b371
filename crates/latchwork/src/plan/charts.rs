//! Rows that are told as a chart: which, and by which needles.

use latchwork_machine::needle::{Bed, Side, Slot};

use super::PiecePlan;
use super::build::Builder;
use crate::design::{Selected, Stretch, Told};
use crate::fabric::{Cells, Fabric, Hand, Layout, Lies, Turn};
use crate::fact::{Chart, Columns, Sign, mirrored};
use crate::stitches::WorkedStretch;

/// Empty places between panels that are looked at alone.
const APART: i16 = 2;

impl Builder<'_> {
    /// Adds the charts of a stretch, or the stretch to those that it is knitted by.
    pub(super) fn charted(&mut self, index: usize) {
        let (s, worked) = (&self.piece.stretches[index], &self.stitches.stretches[index]);
        if s.told == Told::Words {
            return;
        }
        for chart in if s.panels.is_empty() { self.whole(s, worked) } else { self.side_by_side(s, worked) } {
            match self.charts.iter_mut().find(|c| Chart { parts: chart.parts.clone(), ..(*c).clone() } == chart) {
                Some(same) => same.parts.extend(chart.parts),
                None => self.charts.push(chart),
            }
        }
    }

    fn chart(&self, s: &Stretch, first: i16, (bed, rows): (Bed, Vec<Vec<Sign>>), worked: &WorkedStretch) -> Chart {
        Chart {
            letter: String::new(),
            parts: vec![(self.origin.0, s.fabric.first(worked.carriage))],
            bed,
            first: Slot(first),
            stands: Columns::Repeating,
            ends: worked.fabric.ends_knit && rows.iter().flatten().any(|m| *m == Sign::Forward),
            by_device: s.selected == Selected::Device,
            public_near: s.fabric.public_near,
            rows,
        }
    }

    /// The charts of a stretch in one fabric.
    fn whole(&self, s: &Stretch, worked: &WorkedStretch) -> Vec<Chart> {
        let columns = i16::try_from(s.fabric.period()).unwrap_or(1).max(1);
        let first = middle(self.stitches.left.0 + worked.column, columns);
        let mut all = Vec::new();
        for bed in Bed::BOTH {
            let Some(rows) = marks(&s.fabric, bed, (0, columns)) else { return all };
            if marked(&rows) {
                let rows = if s.mirrored { rows.iter().map(|r| mirrored(r)).collect() } else { rows };
                all.push(self.chart(s, first, (bed, rows), worked));
            }
        }
        all
    }

    /// The charts of a stretch with panels: one for each panel, whose columns stand once, and one of the needles beside them.
    /// What the signs are does not depend on the size: it is taken from the same fabrics laid out apart.
    fn side_by_side(&self, s: &Stretch, worked: &WorkedStretch) -> Vec<Chart> {
        let columns = i16::try_from(s.fabric.period()).unwrap_or(1).max(1);
        let step = i16::try_from(s.fabric.layout.period()).unwrap_or(1).max(1);
        let mut panels: Vec<Lies<'_>> = Vec::new();
        let mut end = 0_i16;
        for p in &s.panels {
            let lies = p.lies(end + (-end).rem_euclid(step));
            end = lies.from.saturating_add(lies.places).saturating_add(APART).min(Cells::WIDEST);
            panels.push(lies);
        }
        let one_way = s.fabric.one_way() || s.panels.iter().any(|p| p.fabric.one_way());
        if one_way || columns.saturating_mul(4) > Cells::WIDEST - end {
            return Vec::new();
        }
        let field = Lies { fabric: &s.fabric, from: 0, places: end, shift: 0, mirrored: s.mirrored };
        let apart = Fabric::laid_out(&field, &panels, end.unsigned_abs().into(), Side::Left);
        let left = self.stitches.left.0;
        let firsts = || worked.panels.iter().map(|from| left + from);
        let mut all = Vec::new();
        for bed in Bed::BOTH {
            let of = |lies: &Lies<'_>| marks(&apart, bed, (lies.from, lies.places));
            let beside = marks(&apart, bed, (-2 * columns, columns));
            let (Some(beside), Some(each)) = (beside, panels.iter().map(of).collect::<Option<Vec<_>>>()) else {
                return Vec::new();
            };
            // Stitches that would move from or onto a panel stay, which its signs do not say.
            if beside.iter().flatten().any(|m| !matches!(m, Sign::Stays | Sign::Forward)) {
                return Vec::new();
            }
            let spans = firsts().zip(&panels).map(|(first, lies)| (Slot(first), lies.places.unsigned_abs())).collect();
            let patterned = marked(&beside);
            for (rows, first) in each.into_iter().zip(firsts()).filter(|(rows, _)| patterned || marked(rows)) {
                all.push(Chart { stands: Columns::Once, ..self.chart(s, first, (bed, rows), worked) });
            }
            if patterned {
                let chart = self.chart(s, middle(left + worked.column, columns), (bed, beside), worked);
                all.push(Chart { stands: Columns::Beside(spans), ..chart });
            }
        }
        all
    }
}

/// The slot of the first of repeating columns that lies nearest to the middle of the bed, from the slot of any other first one.
fn middle(first: i16, columns: i16) -> i16 {
    (first + columns / 2).rem_euclid(columns) - columns / 2
}

fn marked(rows: &[Vec<Sign>]) -> bool {
    rows.iter().flatten().any(|m| *m != Sign::Stays)
}

/// What is done at places of a bed, from the first one on, before each pass of a fabric; none if signs cannot tell it.
fn marks(fabric: &Fabric, bed: Bed, places: (i16, i16)) -> Option<Vec<Vec<Sign>>> {
    fabric.repeat.iter().map(|t| row(t, &fabric.layout, bed, places)).collect()
}

/// What is done before a pass; none if signs cannot tell it: stitches let off, the ribber racked, two stitches moved onto one
/// needle. Beyond the last place comes the first again.
fn row(turn: &Turn, layout: &Layout, bed: Bed, (first, columns): (i16, i16)) -> Option<Vec<Sign>> {
    turn.racking.is_none().then_some(())?;
    let column = |c: i16| usize::try_from((c - first).rem_euclid(columns)).unwrap_or(0);
    let mut row = vec![Sign::Stays; usize::try_from(columns).unwrap_or(1)];
    let mut touched = row.clone();
    let mut mark = |c: i16, m: Sign, with: &[i16]| {
        let free = with.iter().all(|w| touched[column(c + w)] == Sign::Stays);
        with.iter().for_each(|w| touched[column(c + w)] = m);
        row[column(c)] = m;
        free.then_some(())
    };
    let places = || first..first + columns;
    for c in places().filter(|c| turn.forward[bed.index()].has(*c) && layout.in_work(bed, *c)) {
        mark(c, Sign::Forward, &[0])?;
    }
    let here = || turn.hands.iter().filter(|h| places().any(|c| h.cells().has(c)));
    for hand in here() {
        match *hand {
            Hand::Eyelet { bed: of, cells, by } if of == bed => {
                let to = if by < 0 { Side::Left } else { Side::Right };
                for c in places().filter(|c| cells.has(*c)) {
                    mark(c, Sign::Eyelet(to), &[0, by.into()])?;
                }
            }
            Hand::Cross { bed: of, cells, group, right_over } if of == bed => {
                (here().count() == 1).then_some(())?;
                let g = i16::from(group);
                for (c, k) in places().filter(|c| cells.has(*c)).flat_map(|c| (0..2 * g).map(move |k| (c, k))) {
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
