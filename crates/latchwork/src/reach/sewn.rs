//! The finished article in space: its pieces sewn along their seams, at rest by themselves and over a body form.

use core::f64::consts::TAU;

use latchwork_thread::form::Form;
use latchwork_thread::scene::Surface;
use latchwork_thread::space::{Space, SpaceEnd, Tie};

use crate::check::SizeProof;
use crate::cloth::{Mesh, PieceAtRest, piece_at_rest};
use crate::design::{Design, Edge, EdgeKind, Ending, Seam};
use crate::fit::Measure;
use crate::plan::PiecePlan;
use crate::reach::looks::stuff;

/// Distance between points of fabric in space, in millimetres.
const APART: f64 = 12.0;
/// How much thinner than the fabric over it the form is drawn, in millimetres.
const THINNER: f64 = 5.0;

/// The body that an article is tried on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Body {
    /// A head.
    Head,
    /// A hand block.
    Hand,
    /// A foot.
    Foot,
    /// A cylinder of the girth that the design was drafted for.
    Cylinder,
}

impl Body {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Body::Head => "a head form",
            Body::Hand => "a hand block",
            Body::Foot => "a foot form",
            Body::Cylinder => "a cylinder",
        }
    }
}

/// A stretch of the finished article, round the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// Its name.
    pub name: String,
    /// Least and greatest girth at rest, in millimetres, of this piece's share of the round.
    pub rest: (f64, f64),
    /// The same on the form.
    pub worn: (f64, f64),
    /// Its greatest stretch across on the form, as a share, leaving out one triangle in fifty.
    pub stretched: f64,
    /// The stretch that its fabric allows, as a share.
    pub allowed: f64,
}

/// A finished article.
#[derive(Debug, Clone, PartialEq)]
pub struct Finished {
    /// The body that it is tried on.
    pub body: Body,
    /// The form.
    pub form: Form,
    /// The article by itself, and how it came to rest.
    pub rest: (Space, SpaceEnd),
    /// The same on the form.
    pub worn: (Space, SpaceEnd),
    /// The stretch across that the fabric of each triangle allows, as a share.
    pub allowed: Vec<f64>,
    /// Its stretches.
    pub rounds: Vec<Round>,
}

/// Why there is no finished article to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotRound {
    /// No seam closes pieces into a round.
    NoRound,
    /// The size of the body is not known.
    NoBody,
}

impl std::fmt::Display for NotRound {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NotRound::NoRound => f.write_str("no seam closes its pieces into a round"),
            NotRound::NoBody => f.write_str("no measure tells how large the body is"),
        }
    }
}

/// A piece of the article: its sheet, and where its points begin among all.
struct Part<'a> {
    plan: &'a PiecePlan,
    sheet: PieceAtRest,
    first: u32,
    allowed: Vec<f64>,
}

impl Part<'_> {
    /// Length of the piece up to each line, at its middle.
    fn heights(&self) -> Vec<f64> {
        let middle = |l: &[(f64, u32)]| self.sheet.sheet.points[l[l.len() / 2].1 as usize];
        let mut sum = 0.0;
        let lines = &self.sheet.lines;
        (0..lines.len())
            .map(|k| {
                if k > 0 {
                    let (a, b) = (middle(&lines[k - 1].1), middle(&lines[k].1));
                    sum += (b[0] - a[0]).hypot(b[1] - a[1]);
                }
                sum
            })
            .collect()
    }

    fn widest(&self) -> f64 {
        self.sheet.parts.iter().map(|p| p.width.1).fold(1.0, f64::max)
    }

    /// The stretch of the design that begins above each line, by index.
    fn stretches(&self) -> Vec<Option<usize>> {
        let of = |step: usize| {
            let origin = self.plan.plan.steps.get(step)?.origin.0;
            self.plan.origins.get(origin as usize)?.stretch()
        };
        self.sheet.lines.iter().map(|l| of(l.0)).collect()
    }

    /// Points along an edge, in the order of the seam.
    fn edge(&self, edge: &Edge) -> Vec<u32> {
        let lines = &self.sheet.lines;
        let end = |l: &[(f64, u32)]| if edge.kind == EdgeKind::Left { l[0].1 } else { l[l.len() - 1].1 };
        match edge.kind {
            EdgeKind::CastOn => lines[0].1.iter().map(|p| self.first + p.1).collect(),
            EdgeKind::Ending => lines[lines.len() - 1].1.iter().map(|p| self.first + p.1).collect(),
            EdgeKind::Left | EdgeKind::Right => {
                let of = self.stretches();
                let sewn = |k: usize| of.get(k).copied().flatten().is_some_and(|s| edge.stretches.contains(&s));
                // The upper line of a strip is part of its edge too; the last line begins no strip.
                let last = lines.len() - 1;
                let taken = (0..lines.len()).filter(|k| (*k < last && sewn(*k)) || (*k > 0 && sewn(*k - 1)));
                taken.map(|k| self.first + end(&lines[k].1)).collect()
            }
            EdgeKind::Neck | EdgeKind::Slit => Vec::new(),
        }
    }
}

/// A size sewn together and tried on.
///
/// # Errors
/// When it is not sewn into a round, or the size of the body is not known.
pub fn finished(design: &Design, size: &SizeProof) -> Result<Finished, NotRound> {
    let around = ring(design).ok_or(NotRound::NoRound)?;
    let mut parts: Vec<Part<'_>> = Vec::new();
    let mut count = 0;
    let mut add = |piece: usize| -> Option<Part<'_>> {
        let k = size.plans.pieces.iter().position(|p| p.piece == piece)?;
        let (plan, proof) = (&size.plans.pieces[k], &size.pieces[k]);
        let stuff = stuff(design, plan);
        let stitches = size.stitches.pieces.get(piece)?;
        let wide = stitches.stretches.iter().map(|s| s.width.0.0.max(s.width.1.0)).fold(1.0, f64::max);
        let mesh = Mesh::apart(APART.min(wide / 16.0), wide, stitches.measured().0);
        let sheet = piece_at_rest(&plan.plan, &proof.run, &stuff, mesh)?;
        let allowed = sheet.of.iter().map(|o| stuff[*o].map_or(0.3, |s| s.stretch)).collect();
        let first = count;
        count += sheet.sheet.points.len() as u32;
        Some(Part { plan, sheet, first, allowed })
    };
    for piece in &around {
        parts.push(add(*piece).ok_or(NotRound::NoRound)?);
    }
    let rounds = parts.len();
    // Pieces sewn by one end to a round piece: one for each place.
    let mut hung: Vec<(usize, &Seam, usize, f64)> = Vec::new();
    for seam in &design.seams {
        let Some([a, b]) = seam.one_to_one() else { continue };
        for (short, long) in [(a, b), (b, a)] {
            let Some(at) = around.iter().position(|p| *p == long.piece) else { continue };
            let row = |e: &Edge| matches!(e.kind, EdgeKind::CastOn | EdgeKind::Ending);
            if around.contains(&short.piece) || !row(short) || !row(long) {
                continue;
            }
            let middles = if long.middles.is_empty() { &[0.5][..] } else { &long.middles };
            for m in middles {
                parts.push(add(short.piece).ok_or(NotRound::NoRound)?);
                hung.push((parts.len() - 1, seam, at, *m));
            }
        }
    }
    let heights: Vec<f64> = parts[..rounds].iter().map(|p| p.heights().last().copied().unwrap_or(0.0)).collect();
    let tall = heights.iter().copied().fold(0.0, f64::max);
    let (body, form, start) = dressed(design, size, &parts[..rounds], tall).ok_or(NotRound::NoBody)?;
    let girth: f64 = parts[..rounds].iter().map(Part::widest).sum();
    let alone = Form::upright(&[(0.0, girth), (tall.max(1.0), girth)], 0.9);
    let mut worn = lay(&parts, rounds, &hung, &form, start);
    worn.form = Some(form.clone());
    let mut rest = lay(&parts, rounds, &hung, &alone, 0.0);
    let mut ties = Vec::new();
    for seam in &design.seams {
        let Some([a, b]) = seam.one_to_one() else { continue };
        if a.kind.is_side() && b.kind.is_side() {
            let of = |e: &Edge| around.iter().position(|p| *p == e.piece).map(|k| parts[k].edge(e));
            if let (Some(a), Some(b)) = (of(a), of(b)) {
                ties.extend(sew(&a, &b, &rest.points));
            }
        }
    }
    for (k, seam, at, m) in &hung {
        let Some([a, b]) = seam.one_to_one() else { continue };
        let (short, long) = if a.piece == around[*at] { (b, a) } else { (a, b) };
        ties.extend(sew_at(&parts[*k].edge(short), &parts[*at].edge(long), *m, &rest.points));
    }
    for space in [&mut rest, &mut worn] {
        space.ties.clone_from(&ties);
        for part in &parts {
            if design.pieces[part.plan.piece].ending == Ending::Gather {
                gather(part, space);
            }
        }
    }
    let ends = (rest.settle(), worn.settle());
    let rounds = told(design, &parts[..rounds], &rest, &worn);
    let allowed = parts.iter().flat_map(|p| p.allowed.iter().copied()).collect();
    Ok(Finished { body, form, rest: (rest, ends.0), worn: (worn, ends.1), allowed, rounds })
}

/// Pieces sewn side to side until they close, by index.
fn ring(design: &Design) -> Option<Vec<usize>> {
    let next = |piece: usize| {
        design.seams.iter().find_map(|s| {
            let [a, b] = s.one_to_one()?;
            [(a, b), (b, a)].into_iter().find_map(|(from, to)| {
                let on = from.piece == piece && from.kind == EdgeKind::Right && to.kind == EdgeKind::Left;
                on.then_some(to.piece)
            })
        })
    };
    (0..design.pieces.len()).find_map(|start| {
        let mut all = vec![start];
        loop {
            let on = next(*all.last()?)?;
            if on == start {
                return Some(all);
            }
            if all.contains(&on) {
                return None;
            }
            all.push(on);
        }
    })
}

/// The form that a design is for, and where along it the article begins.
fn dressed(design: &Design, size: &SizeProof, parts: &[Part<'_>], tall: f64) -> Option<(Body, Form, f64)> {
    let known = |name: &str| design.sizes[size.size].measure(name).map(|m| m.0);
    let body = |m: &Measure| m.body.as_ref().map(|(name, value)| (name.clone(), value.0));
    let own = size.fit.iter().filter(|m| parts.iter().any(|p| p.plan.piece == m.piece));
    let asked: Vec<(usize, String, f64)> = own.filter_map(|m| body(m).map(|(n, v)| (m.stretch, n, v))).collect();
    let named = |measure: &str| asked.iter().find(|a| a.1 == measure);
    // Up to the first stretch that goes round a measure.
    let up_to = |stretch: usize| {
        let of = parts[0].stretches();
        let heights = parts[0].heights();
        of.iter().position(|s| *s == Some(stretch)).map_or(0.0, |k| heights[k])
    };
    if let Some((_, _, girth)) = named("head-girth") {
        let form = Form::head(*girth);
        let gathered = parts.iter().any(|p| design.pieces[p.plan.piece].ending == Ending::Gather);
        let start = if gathered { form.profile() - tall } else { form.profile_to(0.0) - 0.5 * tall };
        return Some((Body::Head, form, start.max(0.0)));
    }
    if let Some(first) = named("hand-girth").or_else(|| named("wrist-girth")) {
        let palm = known("hand-girth").or_else(|| named("hand-girth").map(|a| a.2)).unwrap_or(first.2 * 1.2);
        // Wrist girth is 0.83 of hand girth (ANSUR II: 175.9 of 212.3 mm, men's means).
        let wrist = known("wrist-girth").unwrap_or(0.83 * palm);
        let form = Form::hand(wrist, palm, known("hand-length").unwrap_or(0.9 * palm));
        let hand = named("hand-girth").map_or(0.6 * tall, |a| up_to(a.0));
        let start = form.profile_to(0.0) - hand;
        return Some((Body::Hand, form, start.max(0.0)));
    }
    if let Some(first) = named("foot-girth").or_else(|| named("ankle-girth")) {
        let ball = known("foot-girth").or_else(|| named("foot-girth").map(|a| a.2)).unwrap_or(first.2);
        let form = Form::foot(known("ankle-girth").unwrap_or(0.9 * ball), ball, known("foot-length").unwrap_or(ball));
        let start = form.profile() - tall;
        return Some((Body::Foot, form, start.max(0.0)));
    }
    let (_, _, girth) = asked.first()?;
    Some((Body::Cylinder, Form::upright(&[(0.0, *girth), (tall.max(1.0), *girth)], 1.0), 0.0))
}

/// All points laid on the surface of a form, the round from `start` up its profile.
fn lay(parts: &[Part<'_>], rounds: usize, hung: &[(usize, &Seam, usize, f64)], form: &Form, start: f64) -> Space {
    let all: f64 = parts[..rounds].iter().map(Part::widest).sum();
    let mut space = Space::default();
    // The first seam is at the back.
    let mut from = -0.25 * TAU;
    let mut begins = Vec::new();
    for part in &parts[..rounds] {
        let sector = TAU * part.widest() / all;
        begins.push((from, sector));
        let mut points = vec![[0.0; 3]; part.sheet.sheet.points.len()];
        for ((_, line), height) in part.sheet.lines.iter().zip(part.heights()) {
            let (left, right) = (line[0].0, line[line.len() - 1].0);
            for (u, p) in line {
                let share = (u - left) / (right - left).max(1e-9);
                points[*p as usize] = form.skin(start + height, from + sector * share);
            }
        }
        space.points.extend(points);
        from += sector;
    }
    for (k, seam, at, m) in hung {
        let part = &parts[*k];
        let Some([a, b]) = seam.one_to_one() else { continue };
        let (short, long) = if a.piece == parts[*at].plan.piece { (b, a) } else { (a, b) };
        let (begin, sector) = begins[*at];
        let target = parts[*at].heights();
        // Away from the row that it is sewn to, with its sewn end nearest.
        let (row, way) = match long.kind {
            EdgeKind::Ending => (start + target.last().copied().unwrap_or(0.0), 1.0),
            _ => (start, -1.0),
        };
        let heights = part.heights();
        let tall = heights.last().copied().unwrap_or(0.0);
        let mut points = vec![[0.0; 3]; part.sheet.sheet.points.len()];
        for ((_, line), height) in part.sheet.lines.iter().zip(heights) {
            let off = if short.kind == EdgeKind::Ending { tall - height } else { height };
            let (left, right) = (line[0].0, line[line.len() - 1].0);
            for (_, p) in line {
                let x = part.sheet.sheet.points[*p as usize][0] - part.sheet.place(f64::midpoint(left, right), 0.0)[0];
                let angle = begin + sector * (m + x / parts[*at].widest());
                points[*p as usize] = form.skin((row + way * off).max(0.0), angle);
                if row + way * off < 0.0 {
                    points[*p as usize][2] += row + way * off;
                }
            }
        }
        space.points.extend(points);
    }
    for part in parts {
        let moved = |t: &latchwork_thread::sheet::Triangle| {
            let mut t = *t;
            t.corners = t.corners.map(|c| c + part.first);
            t
        };
        space.triangles.extend(part.sheet.sheet.triangles.iter().map(moved));
    }
    space
}

/// Shares of the way along a row of points.
fn shares(edge: &[u32], points: &[[f64; 3]]) -> Vec<f64> {
    let apart = |a: u32, b: u32| {
        let (a, b) = (points[a as usize], points[b as usize]);
        (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
    };
    let mut sums = vec![0.0];
    sums.extend(edge.windows(2).scan(0.0, |sum, w| {
        *sum += apart(w[0], w[1]);
        Some(*sum)
    }));
    let all = sums.last().copied().unwrap_or(0.0).max(1e-9);
    sums.iter().map(|s| s / all).collect()
}

fn place_on(edge: &[u32], at: &[f64], share: f64) -> [(u32, f64); 2] {
    let k = at.partition_point(|s| *s < share).clamp(1, edge.len() - 1);
    let t = ((share - at[k - 1]) / (at[k] - at[k - 1]).max(1e-9)).clamp(0.0, 1.0);
    [(edge[k - 1], 1.0 - t), (edge[k], t)]
}

/// Sews two edges from end to end.
fn sew(a: &[u32], b: &[u32], points: &[[f64; 3]]) -> Vec<Tie> {
    if a.len() < 2 || b.len() < 2 {
        return Vec::new();
    }
    let (at, on) = (shares(a, points), shares(b, points));
    a.iter().zip(&at).map(|(p, s)| Tie { point: *p, to: place_on(b, &on, *s) }).collect()
}

/// Sews a short edge to a place along a longer one.
fn sew_at(short: &[u32], long: &[u32], middle: f64, points: &[[f64; 3]]) -> Vec<Tie> {
    if short.len() < 2 || long.len() < 2 {
        return Vec::new();
    }
    let (at, on) = (shares(short, points), shares(long, points));
    let length = |edge: &[u32]| {
        edge.windows(2)
            .map(|w| {
                let (a, b) = (points[w[0] as usize], points[w[1] as usize]);
                (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
            })
            .sum::<f64>()
    };
    let part = length(short) / length(long).max(1e-9);
    let tie = |(p, s): (&u32, &f64)| Tie { point: *p, to: place_on(long, &on, middle + part * (s - 0.5)) };
    short.iter().zip(&at).map(tie).collect()
}

/// Gathers the last row.
fn gather(part: &Part<'_>, space: &mut Space) {
    let Some((_, line)) = part.sheet.lines.last() else { return };
    let mut middle = [0.0; 3];
    for (_, p) in line {
        (0..3).for_each(|c| middle[c] += space.points[(part.first + p) as usize][c] / line.len() as f64);
    }
    let knot = space.points.len() as u32;
    space.points.push(middle);
    space.ties.extend(line.iter().map(|(_, p)| Tie { point: part.first + p, to: [(knot, 1.0), (knot, 0.0)] }));
}

fn told(design: &Design, parts: &[Part<'_>], rest: &Space, worn: &Space) -> Vec<Round> {
    let mut all = Vec::new();
    let mut triangle = 0;
    for part in parts {
        let girth = |space: &Space, line: &[(f64, u32)]| {
            let at = |k: usize| space.points[(part.first + line[k].1) as usize];
            (1..line.len()).map(|k| (0..3).map(|c| (at(k)[c] - at(k - 1)[c]).powi(2)).sum::<f64>().sqrt()).sum::<f64>()
        };
        let of = part.stretches();
        let mine = &worn.triangles[triangle..triangle + part.sheet.of.len()];
        triangle += part.sheet.of.len();
        for p in &part.sheet.parts {
            let Some(stretch) = part.plan.origins.get(p.part).and_then(crate::plan::Part::stretch) else { continue };
            let lines: Vec<&[(f64, u32)]> =
                (0..of.len()).filter(|k| of[*k] == Some(stretch)).map(|k| part.sheet.lines[k].1.as_slice()).collect();
            let ends = |space: &Space| {
                let girths = lines.iter().map(|l| girth(space, l));
                girths.fold((f64::INFINITY, 0.0_f64), |(a, b), g| (a.min(g), b.max(g)))
            };
            let mut drawn: Vec<(f64, f64)> = mine
                .iter()
                .zip(&part.sheet.of)
                .zip(&part.allowed)
                .filter(|((_, o), _)| **o == p.part)
                .map(|((t, _), a)| (t.stretch_in_space(&worn.points)[0], *a))
                .collect();
            drawn.sort_by(|a, b| a.0.total_cmp(&b.0));
            let most = drawn.get(drawn.len().saturating_sub(1 + drawn.len() / 50)).copied().unwrap_or_default();
            all.push(Round {
                name: design.pieces[part.plan.piece].stretches[stretch].name.clone(),
                rest: ends(rest),
                worn: ends(worn),
                stretched: most.0,
                allowed: most.1,
            });
        }
    }
    all
}

impl Finished {
    /// The article by itself, in one colour.
    #[must_use]
    pub fn at_rest(&self, colour: [u8; 3]) -> Surface {
        let triangles: Vec<[u32; 3]> = self.rest.0.triangles.iter().map(|t| t.corners).collect();
        let colours = vec![colour; triangles.len()];
        Surface { points: self.rest.0.points.clone(), triangles, colours }
    }

    /// The article on the form: pale where loose, darker towards the limit of its fabric, black beyond.
    #[must_use]
    pub fn worn(&self) -> Surface {
        let space = &self.worn.0;
        let colour = |(t, allowed): (&latchwork_thread::sheet::Triangle, &f64)| {
            let share = t.stretch_in_space(&space.points)[0] / allowed.max(1e-9);
            let mix = |pale: f64, deep: f64| (pale + (deep - pale) * share.clamp(0.0, 1.0)).round() as u8;
            if share > 1.0 { [34, 33, 29] } else { [mix(222.0, 38.0), mix(228.0, 88.0), mix(230.0, 100.0)] }
        };
        let cloth = Surface {
            points: space.points.clone(),
            triangles: space.triangles.iter().map(|t| t.corners).collect(),
            colours: space.triangles.iter().zip(&self.allowed).map(colour).collect(),
        };
        cloth.and(Surface::of(&self.form.thinner(THINNER), [236, 226, 212]))
    }
}
