//! Edges of finished pieces hung on the needles.

use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::Action;

use super::build::Builder;
use crate::design::{Edge, Ending, Join, JoinAt, Make};
use crate::fact::{HungEdge, HungKind, HungRow, PieceName};
use crate::stitches::{EdgePart, EdgeRun, HungPart, edge_run, hung_parts};

/// A part of an edge as it is hung.
struct Run {
    piece: PieceName,
    live: bool,
    part: EdgePart,
    along: Vec<String>,
    falls: bool,
}

/// The place of needle `k` of `needles` on an edge of so many rows or stitches, both from 1: spread evenly.
fn place(k: u32, needles: u32, of: u32) -> u32 {
    let (k, n, r) = (u64::from(k), u64::from(needles), u64::from(of));
    u32::try_from((2 * k - 1) * r / (2 * n) + 1).unwrap_or(u32::MAX)
}

/// Needles for each part, of so many: by its length, and no more than it has rows or stitches, so many times.
fn allotted(runs: &[Run], needles: u32, times: u32) -> Vec<u32> {
    let total: f64 = runs.iter().map(|r| r.part.run.length.0).sum::<f64>().max(0.01);
    let (mut length, mut given) = (0.0, 0);
    let share = |r: &Run| {
        length += r.part.run.length.0;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the needles")]
        let upto = (f64::from(needles) * length / total).round() as u32;
        let own = upto.saturating_sub(given);
        given = upto.max(given);
        own
    };
    let mut counts: Vec<u32> = runs.iter().map(share).collect();
    let most = |i: usize| times * runs[i].part.run.count;
    let room = |counts: &[u32], i: usize| most(i).saturating_sub(counts[i]);
    while let Some(over) = (0..runs.len()).find(|i| counts[*i] > most(*i)) {
        let Some(into) = (0..runs.len()).max_by_key(|i| room(&counts, *i)).filter(|i| room(&counts, *i) > 0) else {
            break;
        };
        counts[over] -= 1;
        counts[into] += 1;
    }
    counts
}

impl Builder<'_> {
    /// Hangs the edges of a join on these needles, spread by their lengths. They are those from this number on, of so many.
    pub(super) fn hang_edges(&mut self, join: &Join, needles: &[Needle], (from, of): (u32, u32)) {
        let runs = self.runs(join);
        let counts = allotted(&runs, of, if join.twice { 2 } else { 1 });
        let mut a = 0;
        for (run, n) in runs.iter().zip(counts) {
            let b = a + n;
            // Each side of a divided piece hangs the parts that fall on its needles.
            let count = u32::try_from(needles.len()).unwrap_or(u32::MAX);
            if a < b && a >= from && b <= from + count {
                self.hang_run(run, &needles[(a - from) as usize..(b - from) as usize], join.turned);
            }
            a = b;
        }
    }

    /// The parts of the edges in the order of the needles they hang on, from the left.
    fn runs(&self, join: &Join) -> Vec<Run> {
        let mut all = Vec::new();
        for e in &join.seam.sides[1] {
            let mut parts = hung_parts(&self.design.pieces[e.piece], &self.all[e.piece], e);
            let whole = parts.len() == 1;
            if e.mirrored {
                parts.iter_mut().for_each(|p| p.part.kind = p.part.kind.mirror());
            }
            // Hung as it was knitted: of a left edge the first row, of a right one the last comes at the left.
            let falls = |kind: HungKind| match kind {
                HungKind::Side(side) => side == Side::Right,
                HungKind::NeckSide(side) => side == Side::Left,
                HungKind::CastOn => true,
                HungKind::Ending
                | HungKind::Round
                | HungKind::Shoulder(_)
                | HungKind::NeckMiddle
                | HungKind::CastOff(_) => false,
            };
            let from_the_end = match e.as_hung().side() {
                Some(side) => side == Side::Right,
                None => e.mirrored,
            };
            if from_the_end != join.turned {
                parts.reverse();
            }
            all.extend(parts.into_iter().map(|HungPart { part, along }| Run {
                piece: self.name_of(e),
                live: self.is_live(e.piece, part.kind),
                falls: falls(part.kind) != join.turned,
                along: self.along(e.piece, &along, whole),
                part,
            }));
        }
        all
    }

    /// The piece of an edge: which of a pair, where this piece does not hang both alike.
    fn name_of(&self, e: &Edge) -> PieceName {
        let other = &self.design.pieces[e.piece];
        let which = other.make == Make::Pair && matches!(self.piece.make, Make::Pair | Make::Alike(1));
        let side = if e.mirrored { Side::Right } else { Side::Left };
        PieceName { own: other.name.clone(), of_pair: which.then_some(side) }
    }

    /// Whether the stitches of an edge are live on waste yarn.
    fn is_live(&self, piece: usize, kind: HungKind) -> bool {
        let other = &self.design.pieces[piece];
        match kind {
            HungKind::Ending | HungKind::Round | HungKind::Shoulder(_) => other.ending == Ending::Waste,
            HungKind::CastOn => other.begins_live(),
            HungKind::Side(_) | HungKind::CastOff(_) | HungKind::NeckSide(_) | HungKind::NeckMiddle => false,
        }
    }

    /// The sections along which a part of a side edge lies, by name, unless it is the whole edge.
    fn along(&self, piece: usize, stretches: &[usize], whole: bool) -> Vec<String> {
        let all = &self.design.pieces[piece].stretches;
        let part = !whole || stretches.len() < all.len();
        stretches.iter().filter(|_| part).map(|i| all[*i].name.clone()).collect()
    }

    /// Hangs a row of the edge that is joined to a stretch on the end needle at its side.
    pub(super) fn hang_row(&mut self, stretch: usize, side: Side, row: u32) {
        let join = self.design.join(self.index, JoinAt::Side { stretch, side });
        let edge = join.and_then(|j| Some((j, j.seam.sides[1].first()?)));
        let (Some((join, edge)), Some(needle)) = (edge, self.nth_from_end(side, 0)) else { return };
        let step = self.steps.len();
        self.step(Action::HangEdge { needles: vec![needle], places: vec![row] });
        let run = edge_run(&self.design.pieces[edge.piece], &self.all[edge.piece], edge);
        let piece = self.name_of(edge);
        let along = self.along(edge.piece, &edge.stretches, true);
        let edge = HungKind::Side(edge.as_hung().side().unwrap_or(side));
        let (of, counted, turned) = (run.count, run.counted, join.turned);
        let same = |h: &HungEdge| h.piece == piece && h.edge == edge && h.along == along;
        let before = self.hung.last().filter(|h| same(h)).and_then(|h| h.row);
        let row = Some(HungRow { row, on: before.and_then(|b| row.checked_sub(b.row)) });
        self.hung.push(HungEdge { step, live: false, piece, edge, along, of, counted, falls: false, turned, row });
    }

    fn hang_run(&mut self, run: &Run, needles: &[Needle], turned: bool) {
        let EdgeRun { count: of, counted, .. } = run.part.run;
        let count = u32::try_from(needles.len()).unwrap_or(u32::MAX);
        let mut places: Vec<u32> = (1..=count).map(|k| place(k, count, of)).collect();
        if run.falls {
            places.reverse();
        }
        let step = self.steps.len();
        self.step(Action::HangEdge { needles: needles.to_vec(), places });
        self.hung.push(HungEdge {
            row: None,
            step,
            live: run.live,
            piece: run.piece.clone(),
            edge: run.part.kind,
            along: run.along.clone(),
            of,
            counted,
            falls: run.falls,
            turned,
        });
    }
}
