//! What is knitted sideways: its last row is sewn to its first, and its rows run up the body.

use core::f64::consts::TAU;

use latchwork_thread::form::{Form, Point};
use latchwork_thread::space::Space;

use super::attach::{Copy, meetings, ties};
use super::part::Part;
use super::{Body, Finished, NotRound, Round, add, lay};
use crate::check::SizeProof;
use crate::design::{Design, Seam};
use crate::fit::LENGTHWISE;

/// From the hip line up to the waist, in millimetres, and the waist as a share of the hips: from memory.
const HIPS: (f64, f64) = (200.0, 0.78);

/// The piece whose last row is sewn to its first from end to end.
pub(super) fn rolled(design: &Design) -> Option<usize> {
    design.seams.iter().filter_map(Seam::one_to_one).find_map(|[a, b]| {
        let rows = a.kind.is_row() && b.kind.is_row() && a.kind.ends() != b.kind.ends();
        let whole = a.middles.is_empty() && b.middles.is_empty();
        (rows && whole && a.piece == b.piece).then_some(a.piece)
    })
}

/// Its form, and where along it the right edge is.
fn dressed(design: &Design, size: &SizeProof, (wide, round): (f64, f64)) -> Option<(Body, Form, f64)> {
    let asked = |name: &str| design.sizes[size.size].measure(name).map(|m| m.0).filter(|_| design.asks_for(name));
    if let Some(girth) = asked("head-girth") {
        let form = Form::head(girth);
        let shaped = size.stitches.pieces.iter().flat_map(|p| &p.stretches).any(|s| !s.short.is_empty());
        let start = match shaped {
            // A hat, up to the crown.
            true => form.profile() - wide,
            // A band about the forehead; what is wider than the head lies round the neck.
            false if round < girth => form.profile_to(0.0) - 0.5 * wide,
            false => 0.0,
        };
        return Some((Body::Head, form, start.max(0.0)));
    }
    let hips = asked("hip-girth")?;
    let (up, waist) = HIPS;
    let line = (wide - up).max(1.0);
    let form = Form::upright(&[(0.0, hips), (line, hips), (line + up, waist * hips)], 0.75);
    Some((Body::Hips, form, 0.0))
}

/// Such a piece sewn together and tried on.
///
/// # Errors
/// When it is of no shape to be shown, or the size of the body is not known.
pub(super) fn finished(design: &Design, size: &SizeProof, piece: usize) -> Result<Finished, NotRound> {
    let mut parts: Vec<Part<'_>> = Vec::new();
    add(&mut parts, (design, size), Copy { piece, copy: 0 }).ok_or(NotRound::NoRound)?;
    let part = &parts[0];
    let wide = part.widest();
    let columns = part.columns();
    let round = columns.last().map_or(0.0, |c| c.iter().copied().fold(0.0, f64::max));
    let (body, form, start) = dressed(design, size, (wide, round)).ok_or(NotRound::NoBody)?;
    let alone = Form::upright(&[(0.0, round), (wide, round)], 0.9);
    let ties = ties(&meetings(design), &parts);
    let space = |form: &Form, start: f64| {
        let mut space = Space { points: laid(part, form, start), ties: ties.clone(), ..Space::default() };
        space.triangles.extend(lay::triangles(part));
        space
    };
    let (mut rest, mut worn) = (space(&alone, 0.0), space(&form, start));
    worn.form = Some(form.clone());
    let ends = (rest.settle(), worn.settle());
    let allowed: Vec<f64> = part.allowed.iter().map(|a| LENGTHWISE * a).collect();
    let rounds = rounds(design, part, (&rest, &worn), &allowed);
    Ok(Finished { body, form, rest: (rest, ends.0), worn: (worn, ends.1), allowed, sideways: true, rounds })
}

/// Its points on the skin of a form: the right edge lowest, the rows one after another round it.
fn laid(part: &Part<'_>, form: &Form, start: f64) -> Vec<Point> {
    let lines = &part.sheet.lines;
    let ends = |(low, high): (f64, f64), u: f64| (low.min(u), high.max(u));
    let (low, high) = lines.iter().flat_map(|l| &l.1).map(|p| p.0).fold((f64::INFINITY, f64::NEG_INFINITY), ends);
    let wide = part.widest();
    let last = (lines.len() - 1).max(1) as f64;
    let mut points = vec![[0.0; 3]; part.sheet.sheet.points.len()];
    for (k, (_, line)) in lines.iter().enumerate() {
        let angle = TAU * (k as f64 / last - 0.25);
        for (u, p) in line {
            points[*p as usize] = form.skin(start + wide * (high - u) / (high - low).max(1e-9), angle);
        }
    }
    points
}

/// Its stretches, measured along their columns.
fn rounds(design: &Design, part: &Part<'_>, (rest, worn): (&Space, &Space), allowed: &[f64]) -> Vec<Round> {
    let of = part.stretches();
    let girths = |space: &Space| {
        let whole = part.sheet.lines.iter().max_by_key(|l| l.1.len()).map_or(&[][..], |l| &l.1);
        let column = |u: f64| {
            let near = |line: &[(f64, u32)]| {
                line.iter().map(|p| ((p.0 - u).abs(), p.1)).min_by(|a, b| a.0.total_cmp(&b.0)).filter(|p| p.0 < 1.0)
            };
            let points: Vec<Point> =
                part.sheet.lines.iter().filter_map(|l| near(&l.1)).map(|(_, p)| space.points[p as usize]).collect();
            let apart = |w: &[Point]| (0..3).map(|c| (w[1][c] - w[0][c]).powi(2)).sum::<f64>().sqrt();
            points.windows(2).map(apart).sum::<f64>()
        };
        let all = whole.iter().map(|p| column(p.0));
        all.fold((f64::INFINITY, 0.0_f64), |(a, b), g| (a.min(g), b.max(g)))
    };
    let mut drawn: Vec<(f64, f64)> =
        worn.triangles.iter().zip(allowed).map(|(t, a)| (t.stretch_in_space(&worn.points)[1], *a)).collect();
    drawn.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (stretched, allowed) = drawn.get(drawn.len().saturating_sub(1 + drawn.len() / 50)).copied().unwrap_or_default();
    let Some(first) = of.iter().flatten().next() else { return Vec::new() };
    let name = design.pieces[part.plan.piece].stretches[*first].name.clone();
    vec![Round { name, rest: girths(rest), worn: girths(worn), stretched, allowed }]
}
