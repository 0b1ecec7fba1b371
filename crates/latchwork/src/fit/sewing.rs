//! The sewing map: edges with their lengths as knitted, rows that meet, what is eased in, what stays open, and the
//! measures of the sewn article.

use super::{Measure, meeting};
use crate::design::{Design, EdgeKind, Ending, Seam};
use crate::measure::Pace;
use crate::stitches::{Stitches, WorkedStretch};
use crate::units::Mm;

/// The map of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct SewingMap {
    /// Seams in sewing order.
    pub seams: Vec<Sewn>,
    /// Edges that no seam takes.
    pub openings: Vec<Opening>,
    /// Measures of the sewn article.
    pub measures: Vec<(SewnMeasure, Mm)>,
}

impl SewingMap {
    /// Seconds for sewing all seams at a pace.
    #[must_use]
    pub fn seconds(&self, pace: &Pace) -> u32 {
        let each = |w: &Sewn| w.length[0].0 / 100.0 * pace.seam * f64::from(w.times);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hours, never negative")]
        let whole = self.seams.iter().map(each).sum::<f64>().round() as u32;
        whole
    }
}

/// A measure of the sewn article.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum SewnMeasure {
    /// A stretch sewn to its like into a round.
    SewnToItsLike { piece: String, stretch: String },
    /// A stretch that closes into a round.
    Round { piece: String, stretch: String },
    /// A shaped stretch that closes into a round, at its first row.
    RoundAtBeginning { piece: String, stretch: String },
    /// A shaped stretch that closes into a round, at its last row.
    RoundAtEnd { piece: String, stretch: String },
    /// The length of a piece from end to end.
    Long { piece: String },
}

/// A seam of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Sewn {
    /// The seam, by index.
    pub seam: usize,
    /// Rows or stitches of each edge.
    pub count: [u32; 2],
    /// Length of each edge as knitted.
    pub length: [Mm; 2],
    /// Whether each edge runs along the ends of rows.
    pub side: [bool; 2],
    /// What is eased in.
    pub easing: Option<Easing>,
    /// Marks that meet.
    pub notches: Vec<Notch>,
    /// How many alike to sew.
    pub times: u32,
}

/// How the longer edge is eased in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Easing {
    /// Which edge is longer: 0 or 1.
    pub longer: usize,
    /// Its rows or stitches to take up.
    pub count: u32,
    /// Rows or stitches to take up per centimetre of seam.
    pub each_cm: f64,
}

/// A row or stitch of one edge that meets one of the other, counted from the beginning of the seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Notch {
    /// Its letter.
    pub letter: char,
    /// Rows or stitches from the beginning, on each edge.
    pub at: [u32; 2],
}

/// A part of an edge that stays open.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// The piece, by index.
    pub piece: usize,
    /// Which edge.
    pub kind: EdgeKind,
    /// The stretches, by index; for a side edge only.
    pub stretches: Vec<usize>,
    /// Its length.
    pub length: Mm,
}

/// Greatest distance between marks: common practice, no source.
const APART: f64 = 80.0;

/// Difference that a seam takes up unnoticed: a row or stitch in a hundred (common practice, no source).
const UNSEEN: f64 = 0.01;

/// The sewing map of a size. The marks are those of `like`, one size for all: every size then has the same letters at
/// the same places.
#[must_use]
pub fn sewing(design: &Design, stitches: &Stitches, like: &Stitches, measures: &[Measure]) -> SewingMap {
    let mut letters = ('a'..='z').chain('A'..='Z').cycle();
    let seams =
        design.seams.iter().enumerate().map(|(i, s)| sewn(design, (i, s), stitches, like, &mut letters)).collect();
    SewingMap { seams, openings: openings(design, stitches), measures: sewn_measures(design, stitches, measures) }
}

fn sewn(
    design: &Design,
    (index, seam): (usize, &Seam),
    stitches: &Stitches,
    like: &Stitches,
    letters: &mut impl Iterator<Item = char>,
) -> Sewn {
    let m = meeting(design, seam, stitches);
    let (a, b) = (m.length[0].0, m.length[1].0);
    let longer = usize::from(b > a);
    let off = (a - b).abs();
    let each = m.length[longer].0 / f64::from(m.count[longer].max(1));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the rows of an edge")]
    let count = (off / each.max(0.01)).round() as u32;
    let shorter = a.min(b).max(1.0);
    let easing = (count > 0 && off > UNSEEN * shorter).then(|| Easing {
        longer,
        count,
        each_cm: f64::from(count) / (shorter / 10.0),
    });
    let placed = seam.edges.iter().any(|e| !e.middles.is_empty());
    let notches = if placed { Vec::new() } else { notches(design, seam, stitches, like, letters) };
    let times = seam.edges.iter().filter_map(|e| design.pieces.get(e.piece)).map(|p| p.make.count()).max().unwrap_or(1);
    Sewn { seam: index, times, count: m.count, length: m.length, side: m.side, easing, notches }
}

/// The place of a mark: at the end of a stretch, or at a share of the way from one such place to the next.
type Place = (Option<(usize, usize)>, Option<(usize, usize)>, f64);

/// Marks where a stretch ends on either edge, with more between them where they would be far apart.
fn notches(
    design: &Design,
    seam: &Seam,
    stitches: &Stitches,
    like: &Stitches,
    letters: &mut impl Iterator<Item = char>,
) -> Vec<Notch> {
    let walks = |s: &Stitches| -> Vec<Vec<(f64, u32)>> {
        let m = meeting(design, seam, s);
        seam.edges.iter().zip(m.count).map(|(e, n)| walk(e, n, s)).collect()
    };
    let (here, there) = (walks(stitches), walks(like));
    // Side edges alike row by row need no marks: they are sewn row to row.
    if there[0] == there[1] && seam.edges.iter().all(|e| e.kind.is_side()) {
        return Vec::new();
    }
    let share = |walks: &[Vec<(f64, u32)>], at: Option<(usize, usize)>, else_: f64| {
        at.and_then(|(e, i)| walks[e].get(i)).map_or(else_, |p| p.0)
    };
    // Ends of stretches, in order along the seam; ends that nearly coincide count once.
    let mut ends: Vec<(f64, Option<(usize, usize)>)> = vec![(0.0, None), (1.0, None)];
    for (e, w) in there.iter().enumerate() {
        ends.extend((1..w.len() - 1).map(|i| (w[i].0, Some((e, i)))));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    ends.dedup_by(|a, b| (a.0 - b.0).abs() < 0.02);
    let total = length(&seam.edges[0], like);
    let mut places: Vec<Place> = Vec::new();
    for pair in ends.windows(2) {
        let parts = ((pair[1].0 - pair[0].0) * total / APART).ceil().max(1.0);
        let mut k = 0.0;
        while k < parts {
            places.push((pair[0].1, pair[1].1, k / parts));
            k += 1.0;
        }
    }
    // The first place is the beginning of the seam itself.
    places
        .into_iter()
        .skip(1)
        .filter_map(|(from, to, along)| {
            let (a, b) = (share(&here, from, 0.0), share(&here, to, 1.0));
            let at = a + (b - a) * along;
            let letter = letters.next()?;
            Some(Notch { letter, at: [count_at(&here[0], at), count_at(&here[1], at)] })
        })
        .collect()
}

fn walk(e: &crate::design::Edge, count: u32, stitches: &Stitches) -> Vec<(f64, u32)> {
    if !e.kind.is_side() {
        return vec![(0.0, 0), (1.0, count)];
    }
    let worked = &stitches.pieces[e.piece].stretches;
    let total = length(e, stitches).max(0.01);
    let (mut at, mut rows) = (0.0, 0);
    let mut all = vec![(0.0, 0)];
    for i in &e.stretches {
        at += worked[*i].edge(e.kind).0;
        rows += worked[*i].edge_rows(e.kind) + u32::from(worked[*i].clearing);
        all.push((at / total, rows));
    }
    all
}

fn length(e: &crate::design::Edge, stitches: &Stitches) -> f64 {
    let worked = &stitches.pieces[e.piece].stretches;
    match e.kind {
        EdgeKind::Left | EdgeKind::Right => e.stretches.iter().map(|i| worked[*i].edge(e.kind).0).sum(),
        EdgeKind::CastOn => worked.first().map_or(0.0, |w| w.width.0.0),
        EdgeKind::Ending => worked.last().map_or(0.0, |w| w.ending_width().0),
    }
}

/// Rows or stitches up to a share of an edge's length.
fn count_at(walk: &[(f64, u32)], share: f64) -> u32 {
    let pair = walk.windows(2).find(|w| share <= w[1].0 + 1e-9).unwrap_or(&walk[walk.len() - 2..]);
    let (a, b) = (pair[0], pair[1]);
    let within = ((share - a.0) / (b.0 - a.0).max(1e-9)).clamp(0.0, 1.0);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between two counts")]
    let count = (f64::from(a.1) + within * f64::from(b.1 - a.1)).round() as u32;
    count
}

fn openings(design: &Design, stitches: &Stitches) -> Vec<Opening> {
    let mut all = Vec::new();
    for (p, piece) in design.pieces.iter().enumerate() {
        let worked = &stitches.pieces[p].stretches;
        for (kind, _) in EdgeKind::ALL {
            let sewn = || design.seams.iter().flat_map(|s| &s.edges).filter(move |e| e.piece == p && e.kind == kind);
            if kind.is_side() {
                let open: Vec<usize> = (0..worked.len()).filter(|i| !sewn().any(|e| e.stretches.contains(i))).collect();
                for run in open.chunk_by(|a, b| a + 1 == *b) {
                    let length = Mm(run.iter().map(|i| worked[*i].edge(kind).0).sum());
                    all.push(Opening { piece: p, kind, stretches: run.to_vec(), length });
                }
                continue;
            }
            let closed = kind == EdgeKind::Ending && matches!(piece.ending, Ending::Gather | Ending::Point);
            if sewn().next().is_none() && !closed {
                let width = if kind == EdgeKind::CastOn {
                    worked.first().map(|w| w.width.0)
                } else {
                    worked.last().map(WorkedStretch::ending_width)
                };
                all.push(Opening { piece: p, kind, stretches: Vec::new(), length: width.unwrap_or(Mm(0.0)) });
            }
        }
    }
    all
}

/// Measures of the sewn article: round where it is closed, and the length of each piece.
fn sewn_measures(design: &Design, stitches: &Stitches, measures: &[Measure]) -> Vec<(SewnMeasure, Mm)> {
    let mut all: Vec<(SewnMeasure, Mm)> = Vec::new();
    let closes = |p: usize, i: usize| {
        design
            .seams
            .iter()
            .any(|s| s.edges.iter().all(|e| e.piece == p && e.kind.is_side() && e.stretches.contains(&i)))
    };
    for (p, piece) in design.pieces.iter().enumerate() {
        for (i, (s, w)) in piece.stretches.iter().zip(&stitches.pieces[p].stretches).enumerate() {
            let shared = measures.iter().find(|m| m.piece == p && m.stretch == i && !m.at_end && m.body.is_some());
            let shared = shared.filter(|m| m.achieved.0 > w.width.0.0 * 1.5);
            let names = || (piece.name.clone(), s.name.clone());
            let (of, stretch) = names();
            if let Some(m) = shared {
                all.push((SewnMeasure::SewnToItsLike { piece: of, stretch }, m.achieved));
            } else if closes(p, i) && w.width.0 == w.width.1 {
                all.push((SewnMeasure::Round { piece: of, stretch }, w.width.0));
            } else if closes(p, i) {
                all.push((SewnMeasure::RoundAtBeginning { piece: of, stretch }, w.width.0));
                let (piece, stretch) = names();
                all.push((SewnMeasure::RoundAtEnd { piece, stretch }, w.width.1));
            }
        }
        if let Some(length) = stitches.pieces[p].length() {
            all.push((SewnMeasure::Long { piece: piece.name.clone() }, length));
        }
    }
    all
}
