//! The finished article in space: its pieces sewn along their seams, at rest by themselves and over a body form.

mod attach;
mod lay;
mod part;
mod sideways;

use latchwork_thread::form::Form;
use latchwork_thread::scene::Surface;
use latchwork_thread::space::{Space, SpaceEnd};

use crate::check::SizeProof;
use crate::cloth::{Mesh, piece_at_rest};
use crate::design::{Design, Edge, EdgeKind, Ending, Make, Piece, Seam};
use crate::fit::Measure;
use crate::reach::looks::stuff;
use attach::{Copy, attach, meetings, ties};
use lay::{Laid, close, gather, lay, sew_at};
use part::Part;

/// Distance between points of fabric in space, in millimetres.
const APART: f64 = 12.0;
/// Most points of an article, about.
const MOST: f64 = 1300.0;
/// What is shorter than this, in millimetres, is a band and no sleeve.
const SLEEVE: f64 = 60.0;
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
    /// A torso with arms.
    Torso,
    /// A torso without arms, for what has no sleeves.
    Bust,
    /// Waist and hips.
    Hips,
    /// A cylinder of the girth that the design was drafted for.
    Cylinder,
}

impl Body {
    fn is_torso(self) -> bool {
        matches!(self, Body::Torso | Body::Bust)
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Body::Head => "a head form",
            Body::Hand => "a hand block",
            Body::Foot => "a foot form",
            Body::Torso => "a torso with arms",
            Body::Bust => "a torso without arms",
            Body::Hips => "waist and hips",
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
    /// The stretch round the body that the fabric of each triangle allows, as a share.
    pub allowed: Vec<f64>,
    /// Whether it is knitted sideways, so that it stretches along its wales.
    pub sideways: bool,
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

/// A size sewn together and tried on.
///
/// # Errors
/// When it is not sewn into a round, or the size of the body is not known.
pub fn finished(design: &Design, size: &SizeProof) -> Result<Finished, NotRound> {
    let Some((around, closes)) = ring(design, size) else {
        let piece = sideways::rolled(design).ok_or(NotRound::NoRound)?;
        return sideways::finished(design, size, piece);
    };
    let mut parts: Vec<Part<'_>> = Vec::new();
    for own in with_mirror_images(design, &around, closes) {
        add(&mut parts, (design, size), own).ok_or(NotRound::NoRound)?;
    }
    let rounds = parts.len();
    let heights: Vec<f64> = parts[..rounds].iter().map(|p| p.heights().last().copied().unwrap_or(0.0)).collect();
    let tall = heights.iter().copied().fold(0.0, f64::max);
    let (body, form, start) = dressed(design, size, &parts[..rounds], tall).ok_or(NotRound::NoBody)?;
    if !closes && !body.is_torso() {
        return Err(NotRound::NoRound);
    }
    let girth: f64 = parts[..rounds].iter().map(Part::widest).sum();
    let mut along = Vec::new();
    let (mut worn, mut rest) = if body.is_torso() {
        let worn = lay::round_a_torso(&parts, &form, girth);
        (worn.clone(), worn)
    } else {
        for (piece, place) in along_rows(design, &around) {
            add(&mut parts, (design, size), Copy { piece, copy: 0 }).ok_or(NotRound::NoRound)?;
            along.push((parts.len() - 1, place));
        }
        let alone = Form::upright(&[(0.0, girth), (tall.max(1.0), girth)], 0.9);
        // A sock from the toe up goes on with its first row at the toe.
        let tube = around.iter().any(|p| is_tube(&design.pieces[*p]));
        let toe_up = body == Body::Foot && around.iter().any(|p| design.pieces[*p].cast_on_closes());
        let laid = |form, start, toe_up| Laid { form, start, toe_up, tube };
        let on = laid(&form, if toe_up { form.profile() } else { start }, toe_up);
        (lay(&parts, rounds, &along, &on), lay(&parts, rounds, &along, &laid(&alone, 0.0, false)))
    };
    let met = meetings(design);
    // What is sewn or hung to these, from piece to piece.
    let placing = attach::placing(meetings(design));
    while let Some((own, at)) = attach::next(&placing, &parts) {
        add(&mut parts, (design, size), own).ok_or(NotRound::NoRound)?;
        let (part, placed) = parts.split_last().ok_or(NotRound::NoRound)?;
        let closed = attach::is_closed(&met, own.piece);
        for space in [&mut rest, &mut worn] {
            let points = attach((part, closed), at, placed, space, &form);
            space.points.extend(points);
            space.triangles.extend(lay::triangles(part));
        }
    }
    worn.form = Some(form.clone());
    let mut sewn = ties(&met, &parts);
    for (k, place) in &along {
        sewn.extend(sew_at(
            &parts[*k].edge(place.short),
            &parts[place.at].edge(place.long),
            place.middle,
            &rest.points,
        ));
    }
    for space in [&mut rest, &mut worn] {
        space.ties.clone_from(&sewn);
        let gathered = parts.iter().filter(|p| design.pieces[p.plan.piece].ending == Ending::Gather);
        gathered.for_each(|part| gather(part, space));
        let tubes = parts.iter().map(|p| (p, &design.pieces[p.plan.piece])).filter(|p| is_tube(p.1));
        for (part, piece) in tubes {
            let begun = piece.cast_on_closes();
            let ended = matches!(piece.ending, Ending::Chain | Ending::LoopThroughLoop);
            close(part, (begun, ended), space);
        }
    }
    let ends = (rest.settle(), worn.settle());
    let round = |piece: usize, stretch: usize| !body.is_torso() || closes_round(design, &around, piece, stretch);
    let rounds = told(design, &parts[..rounds], (&rest, &worn), &round);
    let allowed = parts.iter().flat_map(|p| p.allowed.iter().copied()).collect();
    Ok(Finished { body, form, rest: (rest, ends.0), worn: (worn, ends.1), allowed, sideways: false, rounds })
}

/// Pieces that go round a body, from the left on: at an open end that is sewn to the other of a pair, its mirror image too.
fn with_mirror_images(design: &Design, around: &[usize], closes: bool) -> Vec<Copy> {
    let mut all: Vec<Copy> = around.iter().map(|piece| Copy { piece: *piece, copy: 0 }).collect();
    let image = |piece: usize, kind: EdgeKind| {
        let both = design.seams.iter().flat_map(pairs).flat_map(|(a, b)| [(a, b), (b, a)]);
        let mut on = both.filter(|(a, b)| a.piece == piece && (a.kind, b.kind) == (kind, kind) && a.piece != b.piece);
        let (_, other) = on.find(|(_, b)| design.pieces[b.piece].make == Make::Pair)?;
        Some(Copy { piece: other.piece, copy: 1 })
    };
    if let (false, [first, ..], [.., last]) = (closes, around, around) {
        let (before, after) = (image(*first, EdgeKind::Left), image(*last, EdgeKind::Right));
        all.splice(0..0, before);
        all.extend(after);
    }
    all
}

/// Adds a piece as it lies by itself.
fn add<'a>(parts: &mut Vec<Part<'a>>, (design, size): (&Design, &'a SizeProof), own: Copy) -> Option<()> {
    let alike = || (0..size.plans.pieces.len()).filter(|k| size.plans.pieces[*k].piece == own.piece);
    let k = alike().nth(own.copy as usize).or(alike().next())?;
    let (plan, proof) = (&size.plans.pieces[k], &size.pieces[k]);
    let stuff = stuff(design, plan);
    let worked = size.stitches.pieces.get(own.piece)?;
    let wide = worked.stretches.iter().map(|s| s.width.0.0.max(s.width.1.0)).fold(1.0, f64::max);
    let tube = is_tube(&design.pieces[own.piece]);
    let wide = wide * if tube { 2.0 } else { 1.0 };
    let mesh = Mesh::apart(apart(size).min(wide / 16.0), wide, worked.measured().0);
    let mesh = if tube { mesh.unrolled() } else { mesh };
    let sheet = piece_at_rest(&plan.plan, &proof.run, &stuff, mesh)?;
    let allowed = sheet.of.iter().map(|o| stuff[*o].map_or(0.3, |s| s.stretch)).collect();
    let first = parts.last().map_or(0, |p| p.first + p.sheet.sheet.points.len() as u32);
    let mirrored = design.pieces[own.piece].make == Make::Pair && own.copy == 1;
    parts.push(Part { plan, copy: own.copy, mirrored, worked, sheet, first, allowed });
    Some(())
}

/// A place along a row of a round piece, to which a row of another is sewn.
struct Along<'a> {
    short: &'a Edge,
    long: &'a Edge,
    /// The round piece, by its number.
    at: usize,
    middle: f64,
}

/// Pieces sewn to places along a row of a round piece: one for each place.
fn along_rows<'a>(design: &'a Design, around: &[usize]) -> Vec<(usize, Along<'a>)> {
    let mut all = Vec::new();
    for [a, b] in design.seams.iter().filter_map(Seam::one_to_one) {
        for (short, long) in [(a, b), (b, a)] {
            if let Some(at) = around.iter().position(|p| *p == long.piece) {
                let places = long.middles.iter().map(|m| (short.piece, Along { short, long, at, middle: *m }));
                all.extend(places.filter(|p| !around.contains(&p.0)));
            }
        }
    }
    all
}

/// Distance between points of an article: farther apart in a large one, so that it comes to rest in seconds.
fn apart(size: &SizeProof) -> f64 {
    let area = |p: &crate::stitches::PieceStitches| {
        p.stretches.iter().map(|w| w.length.0 * f64::midpoint(w.width.0.0, w.width.1.0)).sum::<f64>()
    };
    let all: f64 = size.stitches.pieces.iter().map(area).sum();
    APART.max((all / MOST).sqrt())
}

/// The edges of a seam that are sewn to each other, where both sides have as many.
fn pairs(seam: &Seam) -> impl Iterator<Item = (&Edge, &Edge)> {
    let [a, b] = &seam.sides;
    a.iter().zip(b).filter(move |_| a.len() == b.len())
}

/// Whether a stretch is sewn by its sides to the pieces beside it: above an armhole nothing goes round.
fn closes_round(design: &Design, around: &[usize], piece: usize, stretch: usize) -> bool {
    let own = |e: &Edge| e.piece == piece && e.kind.is_side() && e.stretches.contains(&stretch);
    let beside = |e: &Edge| around.contains(&e.piece) && e.kind.is_side();
    design.seams.iter().flat_map(pairs).any(|(a, b)| own(a) && beside(b) || own(b) && beside(a))
}

/// Whether a piece is a tube from end to end: it goes round by itself.
fn is_tube(piece: &Piece) -> bool {
    piece.stretches.iter().all(|s| s.fabric.opens())
}

/// Pieces sewn side to side, by index, until they close or as far as they go, and whether they close: the widest.
fn ring(design: &Design, size: &SizeProof) -> Option<(Vec<usize>, bool)> {
    let next = |piece: usize| {
        if is_tube(&design.pieces[piece]) {
            return Some(piece);
        }
        let both = design.seams.iter().flat_map(pairs).flat_map(|(a, b)| [(a, b), (b, a)]);
        let on = both.filter(|(a, b)| a.piece == piece && a.kind == EdgeKind::Right && b.kind == EdgeKind::Left);
        // The lowest: above an armhole a sleeve may be sewn to the same side.
        on.min_by_key(|(a, _)| a.stretches.first().copied()).map(|(_, to)| to.piece)
    };
    let wide = |all: &[usize]| {
        let widest = |p: &usize| {
            let widths = size.stitches.pieces[*p].stretches.iter().map(|w| w.width.0.0.max(w.width.1.0));
            widths.fold(0.0, f64::max) * if is_tube(&design.pieces[*p]) { 2.0 } else { 1.0 }
        };
        all.iter().map(widest).sum::<f64>()
    };
    let from = |start: usize| {
        let mut all = vec![start];
        loop {
            match next(all[all.len() - 1]) {
                Some(on) if on == start => return (all, true),
                Some(on) if !all.contains(&on) => all.push(on),
                _ => return (all, false),
            }
        }
    };
    let all: Vec<(Vec<usize>, bool)> = (0..design.pieces.len()).map(from).filter(|r| r.1 || r.0.len() > 1).collect();
    // The first of those that are as wide.
    let widest = |closes: bool| {
        let these = all.iter().filter(|r| r.1 == closes);
        these.rev().max_by(|a, b| wide(&a.0).total_cmp(&wide(&b.0))).cloned()
    };
    widest(true).filter(|r| !all.iter().any(|o| !o.1 && wide(&o.0) > wide(&r.0))).or_else(|| widest(false))
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
        let hand = named("hand-girth").map_or(0.6 * tall, |a| up_to(a.0));
        let thumb = parts.iter().find_map(|p| p.slit_at()).map(|s| s.middle - hand);
        let form = Form::hand(wrist, palm, known("hand-length").unwrap_or(0.9 * palm), thumb);
        let start = form.profile_to(0.0) - hand;
        return Some((Body::Hand, form, start.max(0.0)));
    }
    if let Some(first) = named("foot-girth").or_else(|| named("ankle-girth")) {
        let ball = known("foot-girth").or_else(|| named("foot-girth").map(|a| a.2)).unwrap_or(first.2);
        let form = Form::foot(known("ankle-girth").unwrap_or(0.9 * ball), ball, known("foot-length").unwrap_or(ball));
        let start = form.profile() - tall;
        return Some((Body::Foot, form, start.max(0.0)));
    }
    if let Some((_, _, chest)) = named("chest-girth") {
        let arm = known("arm-girth").unwrap_or(0.32 * chest);
        let long = known("sleeve-length").unwrap_or(0.48 * chest) * 1.2;
        let limb = (arm, known("wrist-girth").unwrap_or(0.55 * arm), long);
        let mut form = Form::torso(*chest, known("back-length").unwrap_or(0.45 * chest), limb);
        let own = |piece: &usize| parts.iter().any(|p| p.plan.piece == *piece);
        let beside = (0..design.pieces.len()).filter(|k| !own(k));
        let long = beside.map(|k| size.stitches.pieces[k].measured().0).fold(0.0, f64::max);
        if long < SLEEVE {
            form.limbs.clear();
            return Some((Body::Bust, form, 0.0));
        }
        return Some((Body::Torso, form, 0.0));
    }
    let (_, _, girth) = asked.first()?;
    Some((Body::Cylinder, Form::upright(&[(0.0, *girth), (tall.max(1.0), *girth)], 1.0), 0.0))
}

fn told(
    design: &Design,
    parts: &[Part<'_>],
    (rest, worn): (&Space, &Space),
    round: &dyn Fn(usize, usize) -> bool,
) -> Vec<Round> {
    let mut all = Vec::new();
    let mut triangle = 0;
    for part in parts {
        let girth = |space: &Space, line: &[(f64, u32)]| {
            let at = |k: usize| space.points[(part.first + line[k].1) as usize];
            (1..line.len()).map(|k| (0..3).map(|c| (at(k)[c] - at(k - 1)[c]).powi(2)).sum::<f64>().sqrt()).sum::<f64>()
        };
        let (of, whole_rows) = (part.stretches(), part.whole_rows());
        let mine = &worn.triangles[triangle..triangle + part.sheet.of.len()];
        triangle += part.sheet.of.len();
        for p in &part.sheet.parts {
            let stretch = part.plan.origins.get(p.part).and_then(crate::plan::Part::stretch);
            // A row that a slit divides goes round nothing.
            let whole = |s: &usize| part.worked.stretches.get(*s).is_some_and(|w| w.slit.is_none());
            let Some(stretch) = stretch.filter(|s| whole(s) && round(part.plan.piece, *s)) else { continue };
            let own = |k: &usize| of[*k] == Some(stretch) && whole_rows[*k];
            let lines: Vec<&[(f64, u32)]> =
                (0..of.len()).filter(own).map(|k| part.sheet.lines[k].1.as_slice()).collect();
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
            let share = t.stretch_in_space(&space.points)[usize::from(self.sideways)] / allowed.max(1e-9);
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
