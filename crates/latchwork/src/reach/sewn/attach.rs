//! What is sewn or hung to the pieces that go round a body: sleeves, bands, collars, thumbs.

use core::f64::consts::TAU;

use latchwork_thread::form::{Form, Point, cross, dot, minus, unit};
use latchwork_thread::space::{Space, Tie};

use super::lay::place_on;
use super::part::Part;
use crate::design::{Design, Edge, EdgeKind, Fullness, Make, Piece};

/// One of the pieces made alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Copy {
    pub(super) piece: usize,
    pub(super) copy: u32,
}

/// A seam or join, and which of those made alike each of its edges is.
pub(super) struct Met {
    sides: [Vec<(Edge, u32)>; 2],
    /// Within one piece: sewn on each of them.
    each: bool,
    /// Made of a single edge a side: both rows run from the left, and meet from opposite ends where both begin or both end.
    against: bool,
    fullness: Option<Fullness>,
}

/// The seams and joins of a design but those of parts placed along a row, with the copies that they take: where a piece is made twice,
/// the second seam of an edge is that of the second.
pub(super) fn meetings(design: &Design) -> Vec<Met> {
    let mut before: Vec<&Edge> = Vec::new();
    // The fold at which a tube is opened.
    let tubes = design.pieces.iter().enumerate().filter(|p| super::is_tube(p.1));
    let mut all: Vec<Met> = tubes.map(|(piece, p)| fold(piece, p)).collect();
    let pair = |piece: usize| design.pieces[piece].make == Make::Pair;
    let joined = design.joins.iter().map(|j| (&j.seam, pair(j.piece)));
    let seams = design.seams.iter().map(|s| (s, false)).chain(joined);
    for (seam, by_both) in seams.filter(|s| s.0.edges().all(|e| e.middles.is_empty())) {
        let copy = |e: &Edge| {
            if pair(e.piece) {
                return u32::from(e.mirrored);
            }
            let shares = |o: &&&Edge| o.piece == e.piece && (o.meets(e) || o.same(e));
            let made = design.pieces[e.piece].make.count();
            u32::try_from(before.iter().filter(shares).count()).unwrap_or(0).min(made.saturating_sub(1))
        };
        let each = seam.within_one();
        let met = |of: &dyn Fn(&Edge) -> Edge| {
            let one = |e: &Edge| (of(e), if each { 0 } else { copy(&of(e)) });
            let sides = [0, 1].map(|k: usize| seam.sides[k].iter().map(one).collect());
            Met { sides, each, against: seam.head_to_head(), fullness: seam.fullness }
        };
        all.push(met(&Edge::clone));
        if by_both && !each {
            all.push(met(&|e| e.for_second(pair(e.piece))));
        }
        if !each {
            before.extend(seam.edges());
        }
    }
    all
}

/// The left fold of a tube, whose edges are one.
fn fold(piece: usize, of: &Piece) -> Met {
    let edge = |kind| {
        let stretches = (0..of.stretches.len()).collect();
        let edge = Edge { piece, mirrored: false, kind, stretches, named: None, middles: Vec::new(), span: of.span };
        vec![(edge, 0)]
    };
    Met { sides: [edge(EdgeKind::Left), edge(EdgeKind::Right)], each: true, against: false, fullness: None }
}

/// What pieces are placed by: first those that both sides of a piece are sewn by, as a raglan sleeve, both at once; then the others.
pub(super) fn placing(met: Vec<Met>) -> Vec<Met> {
    let sides: Vec<(&Met, usize, EdgeKind)> = met
        .iter()
        .filter(|m| !m.each)
        .flat_map(|m| [0, 1].map(|own| (m, own)))
        .filter_map(|(m, own)| match m.sides[own].as_slice() {
            [(e, _)] if e.kind.is_side() && m.sides[1 - own].len() == 1 => Some((m, own, e.kind)),
            _ => None,
        })
        .collect();
    let mut both: Vec<Met> = Vec::new();
    for (m, own, _) in sides.iter().filter(|s| s.2 == EdgeKind::Left) {
        let (left, copy) = &m.sides[*own][0];
        let right = sides.iter().find(|(o, k, kind)| {
            let (e, c) = &o.sides[*k][0];
            *kind == EdgeKind::Right && e.piece == left.piece && e.stretches == left.stretches && c == copy
        });
        let Some((o, k, _)) = right else { continue };
        let [mine, theirs] =
            [(*own, *k), (1 - own, 1 - k)].map(|(i, j)| vec![m.sides[i][0].clone(), o.sides[j][0].clone()]);
        both.push(Met { sides: [mine, theirs], each: false, against: false, fullness: None });
    }
    both.extend(met);
    both
}

fn placed(parts: &[Part<'_>], piece: usize, copy: u32) -> Option<usize> {
    parts.iter().position(|p| p.plan.piece == piece && p.copy == copy)
}

/// A meeting by which a piece is attached, and which of its sides that piece is.
pub(super) type At<'a> = (&'a Met, usize);

/// The next piece that is not placed, and where it is attached to pieces that are.
pub(super) fn next<'a>(met: &'a [Met], parts: &[Part<'_>]) -> Option<(Copy, At<'a>)> {
    met.iter().filter(|m| !m.each).find_map(|m| {
        [0, 1].into_iter().find_map(|own| {
            let (first, copy) = m.sides[own][0].clone();
            let one = m.sides[own].iter().all(|(e, c)| e.piece == first.piece && *c == copy);
            let new = placed(parts, first.piece, copy).is_none();
            let there = m.sides[1 - own].iter().all(|(e, c)| placed(parts, e.piece, *c).is_some());
            (one && new && there).then_some((Copy { piece: first.piece, copy }, (m, own)))
        })
    })
}

/// Whether an edge after the first is sewn from its end.
fn turned(edges: &[(Edge, u32)], k: usize) -> bool {
    Edge::turned(&edges.iter().map(|e| &e.0).collect::<Vec<_>>(), k)
}

/// A side of a seam: its points with shares of the way, and its length at rest.
struct Chain {
    points: Vec<(u32, f64)>,
    long: f64,
}

/// Points of a side of a seam from its beginning, with shares of the way; of edges within one piece, those of one of its copies.
fn chain(side: &[(Edge, u32)], copy: Option<u32>, parts: &[Part<'_>]) -> Option<Chain> {
    let mut all: Vec<(u32, f64)> = Vec::new();
    let mut long = 0.0;
    for (k, (edge, own)) in side.iter().enumerate() {
        let part = &parts[placed(parts, edge.piece, copy.unwrap_or(*own))?];
        let mut points = part.edge(edge);
        if turned(side, k) {
            points.reverse();
        }
        let mut last: Option<u32> = None;
        for p in points {
            long += last.map_or(0.0, |l| part.apart(l, p));
            all.push((p, long));
            last = Some(p);
        }
    }
    all.iter_mut().for_each(|p| p.1 /= long.max(1e-9));
    (all.len() > 1).then_some(Chain { points: all, long })
}

/// Two sides sewn from end to end, the fullness of the first taken up where it lies.
fn sewn(a: &Chain, b: &Chain, (against, fullness): (bool, Option<Fullness>)) -> Vec<Tie> {
    let mut other = b.points.clone();
    if against {
        other.reverse();
        other.iter_mut().for_each(|p| p.1 = 1.0 - p.1);
    }
    let same = b.long / a.long.max(1e-9);
    let meets = |share: f64| fullness.map_or(share, |f| f.meets(share, same));
    let met = |share: f64| fullness.map_or(share, |f| f.met(share, same));
    let (edge, at): (Vec<u32>, Vec<f64>) = other.into_iter().unzip();
    let (own, shares): (Vec<u32>, Vec<f64>) = a.points.iter().copied().unzip();
    let to = a.points.iter().map(|(p, share)| Tie { point: *p, to: place_on(&edge, &at, meets(*share)) });
    // Points of both, so that neither gapes between those of the other.
    let back = edge.iter().zip(&at).map(|(p, share)| Tie { point: *p, to: place_on(&own, &shares, met(*share)) });
    to.chain(back).collect()
}

/// All that is sewn.
pub(super) fn ties(met: &[Met], parts: &[Part<'_>]) -> Vec<Tie> {
    let mut all = Vec::new();
    for m in met {
        let copies: Vec<Option<u32>> = match m.each {
            true => {
                let piece = m.sides[0][0].0.piece;
                parts.iter().filter(|p| p.plan.piece == piece).map(|p| Some(p.copy)).collect()
            }
            false => vec![None],
        };
        for copy in copies {
            let [a, b] = [0, 1].map(|k: usize| chain(&m.sides[k], copy, parts));
            if let (Some(a), Some(b)) = (a, b) {
                all.extend(sewn(&a, &b, (m.against, m.fullness)));
            }
        }
    }
    all
}

/// Whether a piece is closed into a tube by a seam of its own.
pub(super) fn is_closed(met: &[Met], piece: usize) -> bool {
    let own = |(e, _): &(Edge, u32)| e.piece == piece && e.kind.is_side();
    met.iter().any(|m| m.each && m.sides.iter().flatten().all(own))
}

/// Lays a piece at the place to which it is sewn: a tube about its axis, a flat one along it.
pub(super) fn attach(
    (part, closed): (&Part<'_>, bool),
    (met, own): At<'_>,
    parts: &[Part<'_>],
    space: &Space,
    form: &Form,
) -> Vec<Point> {
    let sheet = &part.sheet.sheet.points;
    let mut laid = vec![[0.0; 3]; sheet.len()];
    let Some(Chain { points: target, .. }) = chain(&met.sides[1 - own], None, parts) else { return laid };
    let at = |share: f64| {
        let share = if met.against { 1.0 - share } else { share };
        let (edge, on): (Vec<u32>, Vec<f64>) = target.iter().copied().unzip();
        let [(a, s), (b, t)] = place_on(&edge, &on, share);
        let (a, b) = (space.points[a as usize], space.points[b as usize]);
        [0, 1, 2].map(|c| s * a[c] + t * b[c])
    };
    let mean = |all: &mut dyn Iterator<Item = Point>| {
        let (sum, n) = all.fold(([0.0; 3], 0.0_f64), |(s, n), p| ([0, 1, 2].map(|c| s[c] + p[c]), n + 1.0));
        sum.map(|c| c / n.max(1.0))
    };
    let centre = mean(&mut target.iter().map(|t| space.points[t.0 as usize]));
    let body = mean(&mut space.points.iter().copied());
    let outwards = axis(&target, centre, body, space);
    // The limb that leaves the body on the same side.
    let level = |p: Point| [p[0], p[1], 0.0];
    let limb = form.limbs.iter().filter_map(|l| l.first()).find(|r| dot(level(r.along), outwards) > 0.3);
    // Which way the piece runs away from its edge: a row it begins with, else downwards from its end.
    let begins = met.sides[own][0].0.kind == EdgeKind::CastOn;
    let (low, high) = sheet.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, p| (m.0.min(p[1]), m.1.max(p[1])));
    let away = |y: f64| if begins { y - low } else { high - y };
    let [first, last] = [0, part.sheet.lines.len() - 1].map(|k| &part.sheet.lines[k].1);
    let middle = |line: &[(f64, u32)]| {
        let ends = [line[0].1, line[line.len() - 1].1].map(|p| sheet[p as usize]);
        (f64::midpoint(ends[0][0], ends[1][0]), (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]))
    };
    // Its own edge a quarter along: at the left or at the right of its middle.
    let quarter = match met.sides[own][0].0.kind {
        EdgeKind::Right => 1.0,
        _ => -1.0,
    };
    let along = limb.map_or(outwards, |r| r.along);
    let across = |p: Point| {
        let off = minus(p, centre);
        let up = dot(off, along);
        [0, 1, 2].map(|c| off[c] - up * along[c])
    };
    let top = unit(across(at(0.5)));
    let side = cross(along, top);
    let sign = quarter * if dot(side, across(at(0.25))) < 0.0 { -1.0 } else { 1.0 };
    let widest = part.sheet.lines.iter().map(|l| middle(&l.1).1).fold(1.0, f64::max);
    // The depth of what is set into the edge, as the top of a sleeve.
    let set_in = match begins || met.sides[own].len() == 1 {
        true => 0.0,
        false => high - sheet[deepest(part, met, own) as usize][1],
    };
    let from = match limb {
        // What begins at an edge begins where the limb passes it.
        Some(r) => {
            let far = if begins { dot(minus(centre, r.middle), along).max(0.0) } else { -0.4 * set_in };
            [0, 1, 2].map(|c| r.middle[c] + far * along[c])
        }
        None => centre,
    };
    let tube = closed
        || met.sides[own].len() > 1
        || middle(if begins { first } else { last }).1 > 0.6 * length(&target, space);
    // As wide as what it is sewn to.
    let target_round = length(&target, space) / TAU;
    for (_, line) in &part.sheet.lines {
        let (x, wide) = middle(line);
        for (_, p) in line {
            let [px, py] = sheet[*p as usize];
            let far = away(py);
            laid[*p as usize] = if tube {
                let round = if far < set_in { widest } else { wide.max(1.0) } / TAU;
                // Outside what it goes round, however far it is stretched there.
                let round = limb.map_or(round, |r| round.max(r.half[0].max(r.half[1]) + 1.0));
                let (sin, cos) = ((px - x) / round).sin_cos();
                // Nor does it begin inside the body that it goes round.
                let skin = [0, 1, 2].map(|c| from[c] + far * along[c] + round * top[c]);
                let inside = form.limbs.is_empty() && form.depth(skin) > 0.0;
                let round = if inside { round.max(target_round) } else { round };
                [0, 1, 2].map(|c| from[c] + far * along[c] + round * (cos * top[c] + sign * sin * side[c]))
            } else {
                let on = at((px - x) / wide.max(1.0) + 0.5);
                [0, 1, 2].map(|c| on[c] + far * along[c])
            };
        }
    }
    laid
}

/// The lowest point of the edge by which a piece is attached.
fn deepest(part: &Part<'_>, met: &Met, own: usize) -> u32 {
    let points = met.sides[own].iter().flat_map(|(e, _)| part.edge(e)).map(|p| p - part.first);
    let y = |p: &u32| part.sheet.sheet.points[*p as usize][1];
    points.min_by(|a, b| y(a).total_cmp(&y(b))).unwrap_or(0)
}

fn length(chain: &[(u32, f64)], space: &Space) -> f64 {
    let apart = |w: &[(u32, f64)]| {
        let off = minus(space.points[w[0].0 as usize], space.points[w[1].0 as usize]);
        dot(off, off).sqrt()
    };
    chain.windows(2).map(apart).sum()
}

/// The direction in which something sewn along these points leaves the body: square to the ring that they make, else away from the
/// body's upright axis.
fn axis(target: &[(u32, f64)], centre: Point, body: Point, space: &Space) -> Point {
    let at = |k: usize| minus(space.points[target[k % target.len()].0 as usize], centre);
    let area = (0..target.len()).fold([0.0; 3], |sum, k| {
        let c = cross(at(k), at(k + 1));
        [0, 1, 2].map(|d| sum[d] + c[d])
    });
    let long = length(target, space);
    let off = minus(centre, body);
    if dot(area, area).sqrt() < 0.02 * long * long {
        return unit([off[0], off[1], 0.0]);
    }
    let out = if dot(area, off) < 0.0 { area.map(|c| -c) } else { area };
    unit(out)
}
