//! The sewing map: edges with their lengths as knitted, rows that meet, what is eased in, what stays open, and the
//! measures of the sewn article.

use super::{Measure, meeting};
use latchwork_machine::needle::Side;

use crate::design::{Design, Edge, EdgeKind, Ending, Fullness, Seam};
use crate::fact::Counted;
use crate::measure::Pace;
use crate::stitches::{EdgePart, Stitches, WorkedStretch, edge_parts, edge_run};
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
    /// Rows or stitches of each side.
    pub count: [u32; 2],
    /// Length of each side as knitted.
    pub length: [Mm; 2],
    /// What each side is counted in.
    pub counted: [Counted; 2],
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
    /// The length to take up.
    pub extra: Mm,
}

/// A row or stitch of one side that meets one of the other, counted from the beginning of the seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Notch {
    /// Its letter.
    pub letter: char,
    /// Rows or stitches from the beginning, on each side.
    pub at: [u32; 2],
    /// Where that is on each side: on the same edges in every size.
    pub on: [Spot; 2],
}

/// A place on a side of a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spot {
    /// Where an edge ends and the next begins.
    Between(usize),
    /// So many rows or stitches from the beginning of an edge as it hung, its first row or its left end.
    On(usize, u32),
    /// So far along an edge that is neither: round a neck or a slit.
    Along(usize, Mm),
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

/// Greatest distance between marks, and between those of edges that are sewn on end: common practice, no source.
const APART: f64 = 80.0;
const FAR_APART: f64 = 150.0;

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
    // As many rows at both edges are sewn row to row.
    let rows = m.counted == [Counted::Rows; 2] && m.count[0] == m.count[1];
    let easing = (count > 1 && !rows && off > UNSEEN * shorter).then(|| Easing {
        longer,
        count,
        each_cm: f64::from(count) / (shorter / 10.0),
        extra: Mm(off),
    });
    let placed = seam.edges().any(|e| !e.middles.is_empty());
    let notches = if placed { Vec::new() } else { notches(design, seam, stitches, like, letters) };
    Sewn {
        seam: index,
        times: times(design, seam),
        count: m.count,
        length: m.length,
        counted: m.counted,
        easing,
        notches,
    }
}

/// How often a seam is sewn: for each of its pieces made alike, unless other seams sew the others.
fn times(design: &Design, seam: &Seam) -> u32 {
    let of = |e: &Edge| {
        let e = e.of_either();
        let same = |o: &Edge| o.of_either().meets(&e) || o.of_either().same(&e);
        let uses = design.seams.iter().filter(|s| s.edges().any(same)).count().max(1);
        design.pieces.get(e.piece).map_or(1, |p| p.make.count()).div_ceil(u32::try_from(uses).unwrap_or(1))
    };
    seam.edges().map(of).max().unwrap_or(1)
}

/// The place of a mark: at the end of a part of a side, or at a share of the way from one such place to the next.
type Place = (Option<(usize, usize)>, Option<(usize, usize)>, f64);

/// How a side runs: shares of its length and the rows or stitches there, at its ends and wherever a part of it ends.
type Walk = Vec<(f64, u32)>;

/// The sides of a seam in one size.
struct Sides {
    walks: [Walk; 2],
    lengths: [f64; 2],
    /// Parts of each side before which an edge of several begins, by index in its walk.
    joints: [Vec<usize>; 2],
    fullness: Option<Fullness>,
}

impl Sides {
    fn of(design: &Design, seam: &Seam, stitches: &Stitches) -> Sides {
        let all = [0, 1].map(|k: usize| side_walk(design, &seam.sides[k], stitches));
        let lengths = [all[0].1, all[1].1];
        let joints = [0, 1].map(|k: usize| {
            let parts = seam.sides[k].iter().enumerate().map(|(i, e)| parts(design, e, stitches, i > 0).len());
            let ends = parts.scan(0, |sum, n| {
                *sum += n;
                Some(*sum)
            });
            ends.collect()
        });
        Sides { walks: all.map(|w| w.0), lengths, joints, fullness: seam.fullness }
    }

    fn same(&self) -> f64 {
        self.lengths[1] / self.lengths[0].max(0.01)
    }

    /// The share of the first side that meets a share of the second: fullness may lie in the middle half alone.
    fn met(&self, share: f64) -> f64 {
        self.fullness.map_or(share, |f| f.met(share, self.same()))
    }

    /// The share of the second side that meets a share of the first.
    fn meets(&self, share: f64) -> f64 {
        self.fullness.map_or(share, |f| f.meets(share, self.same()))
    }

    /// Where a part of a side ends, as a share of the second side.
    fn end(&self, at: Option<(usize, usize)>, or_else: f64) -> f64 {
        match at.and_then(|(k, i)| Some((k, self.walks[k].get(i)?.0))) {
            Some((0, share)) => self.meets(share),
            Some((_, share)) => share,
            None => or_else,
        }
    }
}

/// Marks where a part of either side ends, with more between them where they would be far apart.
fn notches(
    design: &Design,
    seam: &Seam,
    stitches: &Stitches,
    like: &Stitches,
    letters: &mut impl Iterator<Item = char>,
) -> Vec<Notch> {
    let (here, there) = (Sides::of(design, seam, stitches), Sides::of(design, seam, like));
    // Side edges alike row by row need no marks: they are sewn row to row.
    let rows = |w: &Walk| w.iter().map(|p| p.1).collect::<Vec<_>>();
    if rows(&there.walks[0]) == rows(&there.walks[1]) && seam.edges().all(|e| e.kind.is_side()) {
        return Vec::new();
    }
    // Ends of parts, in order along the seam; ends that nearly coincide count once.
    let mut ends: Vec<(f64, Option<(usize, usize)>)> = vec![(0.0, None), (1.0, None)];
    // Those of the second side first: a corner of the first that nearly meets one is taken for it. Of several edges on end, only
    // their corners.
    let single = seam.one_to_one().is_some();
    for k in [1, 0] {
        let inner = (1..there.walks[k].len() - 1).filter(|i| single || there.joints[k].contains(i));
        ends.extend(inner.map(|i| (there.end(Some((k, i)), 0.0), Some((k, i)))));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    ends.dedup_by(|a, b| (a.0 - b.0).abs() < 0.02);
    let total = there.lengths[0];
    let mut places: Vec<Place> = Vec::new();
    for pair in ends.windows(2) {
        let parts = ((pair[1].0 - pair[0].0) * total / if single { APART } else { FAR_APART }).ceil().max(1.0);
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
            let counts = |s: &Sides| {
                let (a, b) = (s.end(from, 0.0), s.end(to, 1.0));
                let at = a + (b - a) * along;
                [count_at(&s.walks[0], s.met(at)), count_at(&s.walks[1], at)]
            };
            let (at, modelled) = (counts(&here), counts(&there));
            let on = [0, 1].map(|k: usize| {
                let model = spot(design, &seam.sides[k], like, modelled[k]);
                spot(design, &seam.sides[k], stitches, at[k]).on_edge_of(model, design, &seam.sides[k], stitches)
            });
            Some(Notch { letter: letters.next()?, at, on })
        })
        .collect()
}

/// The parts of an edge in the order in which it is sewn: their lengths, and their rows or stitches.
fn parts(design: &Design, e: &Edge, stitches: &Stitches, from_top: bool) -> Vec<(f64, u32)> {
    let all = edge_parts(&design.pieces[e.piece], &stitches.pieces[e.piece], e);
    let part = |p: &EdgePart| (p.run.length.0, p.run.count);
    if from_top && e.kind.is_side() { all.iter().rev().map(part).collect() } else { all.iter().map(part).collect() }
}

/// How a side runs, and its length.
fn side_walk(design: &Design, edges: &[Edge], stitches: &Stitches) -> (Walk, f64) {
    let all: Vec<(f64, u32)> = edges.iter().enumerate().flat_map(|(k, e)| parts(design, e, stitches, k > 0)).collect();
    let total: f64 = all.iter().map(|p| p.0).sum::<f64>().max(0.01);
    let (mut at, mut count) = (0.0, 0);
    let mut walk = vec![(0.0, 0)];
    for (length, more) in all {
        at += length;
        count += more;
        walk.push((at / total, count));
    }
    (walk, total)
}

impl Spot {
    /// The edge that it lies on, or the edge before it.
    fn edge(self) -> usize {
        match self {
            Spot::Between(k) | Spot::On(k, _) | Spot::Along(k, _) => k,
        }
    }

    /// This place, or the nearest to it on the edge of another.
    fn on_edge_of(self, other: Spot, design: &Design, edges: &[Edge], stitches: &Stitches) -> Spot {
        let (here, there) = (self.edge(), other.edge());
        match (self, other) {
            (_, Spot::Between(k)) => Spot::Between(k),
            (Spot::On(..) | Spot::Along(..), _) if here == there => self,
            (_, Spot::On(k, _) | Spot::Along(k, _)) => {
                let e = &edges[k];
                let run = edge_run(&design.pieces[e.piece], &stitches.pieces[e.piece], e);
                let beyond = here >= k;
                match other {
                    Spot::Along(..) => Spot::Along(k, if beyond { run.length } else { Mm(0.0) }),
                    Spot::On(..) | Spot::Between(_) => {
                        Spot::On(k, if beyond == turned(edges, k) { 0 } else { run.count })
                    }
                }
            }
        }
    }
}

fn turned(edges: &[Edge], k: usize) -> bool {
    Edge::turned(&edges.iter().collect::<Vec<_>>(), k)
}

/// Where on a side of a seam a mark lies, `at` rows or stitches from its beginning.
fn spot(design: &Design, edges: &[Edge], stitches: &Stitches, at: u32) -> Spot {
    let mut before = 0;
    for (k, e) in edges.iter().enumerate() {
        let (piece, worked) = (&design.pieces[e.piece], &stitches.pieces[e.piece]);
        let run = edge_run(piece, worked, e);
        let last = k + 1 == edges.len();
        if at > before + run.count || (at == before + run.count && !last) {
            if at == before + run.count {
                return Spot::Between(k);
            }
            before += run.count;
            continue;
        }
        let on = at - before;
        if matches!(e.kind, EdgeKind::Neck | EdgeKind::Slit) {
            let (mut length, mut left) = (0.0, on);
            for (long, count) in parts(design, e, stitches, k > 0) {
                let taken = left.min(count);
                length += long * f64::from(taken) / f64::from(count.max(1));
                left -= taken;
            }
            return Spot::Along(k, Mm(length));
        }
        return Spot::On(k, if turned(edges, k) { run.count - on } else { on });
    }
    Spot::Between(edges.len().saturating_sub(1))
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
            let taken = |kind: EdgeKind| {
                design.meetings().flat_map(Seam::edges).filter(move |e| e.piece == p && e.kind == kind)
            };
            let sewn = || taken(kind);
            let shoulders = [Side::Left, Side::Right].map(|side| taken(EdgeKind::Shoulder(side)).next().is_some());
            // Shoulders are told one by one where one of them is sewn, else with the last row.
            let apart = match kind {
                EdgeKind::Shoulder(side) => shoulders[usize::from(side == Side::Right)] || shoulders == [false; 2],
                EdgeKind::Ending => shoulders != [false; 2],
                _ => false,
            };
            if apart {
                continue;
            }
            if kind.is_side() {
                let open: Vec<usize> = (0..worked.len()).filter(|i| !sewn().any(|e| e.stretches.contains(i))).collect();
                for run in open.chunk_by(|a, b| a + 1 == *b) {
                    let length = Mm(run.iter().map(|i| worked[*i].edge(kind).0).sum());
                    all.push(Opening { piece: p, kind, stretches: run.to_vec(), length });
                }
                continue;
            }
            let closed = kind == EdgeKind::Ending && matches!(piece.ending, Ending::Gather | Ending::Point);
            let width = match kind {
                EdgeKind::CastOn => worked.first().map(|w| w.width.0),
                EdgeKind::Ending => worked.last().map(WorkedStretch::ending_width),
                EdgeKind::Shoulder(_) => worked.last().map(|w| Mm(w.ending_width().0 / 2.0)),
                EdgeKind::Neck => worked.iter().find_map(|w| Some(w.parts.as_ref()?.round)),
                EdgeKind::Slit => worked.iter().find(|w| w.slit.is_some()).map(|w| Mm(2.0 * w.length.0)),
                EdgeKind::Left | EdgeKind::Right => None,
            };
            let there = matches!(kind, EdgeKind::CastOn | EdgeKind::Ending) || width.is_some();
            if sewn().next().is_none() && !closed && there {
                all.push(Opening { piece: p, kind, stretches: Vec::new(), length: width.unwrap_or(Mm(0.0)) });
            }
        }
    }
    all
}

/// Measures of the sewn article: round where it is closed, and the length of each piece.
fn sewn_measures(design: &Design, stitches: &Stitches, measures: &[Measure]) -> Vec<(SewnMeasure, Mm)> {
    let mut all: Vec<(SewnMeasure, Mm)> = Vec::new();
    let closes = |p: usize, i: usize| design.seams.iter().any(|s| s.closes(p, i));
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
