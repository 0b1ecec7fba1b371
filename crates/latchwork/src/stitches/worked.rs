//! The solution as the plan needs it, and the findings where there is none.

use latchwork_machine::needle::{Bed, Side};

use super::chain::{Chain, Counts, PieceProblem, near_enough};
use super::edge::edge_length;
use super::parts::NoParts;
use super::precheck::{clears, width};
use super::short::NoShortRows;
use super::spread::Infeasible;
use super::stripes::{Waiting, striped};
use super::{
    HalfNeck, HoleRow, Parts, PieceStitches, Shaped, ShortRow, Slope, WorkedStretch, cast_on_passes, placing, shaped,
};
use crate::design::{
    Along, At, Ending, Neck, Piece, Shaping, ShortRows, ShortStep, Size, Spread, Stretch, When, Within,
};
use crate::draft::{PieceDraft, StretchDraft, Target};
use crate::fabric::Fabric;
use crate::fact::{Rewrite, StitchesFact};
use crate::notice::{Notice, Notices};
use crate::units::{Mm, Show};

pub(super) fn worked(
    problem: &PieceProblem<'_>,
    chain: &Chain,
    rows: &[u32],
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<WorkedStretch>> {
    let piece = problem.piece;
    let mut side: Side = piece.carriage.after(cast_on_passes(piece.cast_on));
    let mut waiting = Waiting::new(piece.yarn, side);
    let mut extent = (0, i16::try_from(chain.places).unwrap_or(i16::MAX));
    let mut left_out_before = 0;
    let mut all: Vec<WorkedStretch> = Vec::new();
    for (i, ((s, d), settled_rows)) in piece.stretches.iter().zip(&problem.drafted.stretches).zip(rows).enumerate() {
        let Counts { start: needles, end: settled, times } = chain.counts[i];
        let unit = problem.nearest[i].1;
        let short = short_rows(s, d.short.as_ref(), (i == 0, needles), side, size, notices)?;
        let rows = if short.is_empty() { *settled_rows } else { short.iter().map(|r| r.rows).sum() };
        let mut shapings = shaped_edges((piece, i), needles, (times, rows, unit), side, size, notices)?;
        let end = if s.shaping.is_some() { settled } else { needles };
        let parts = divided(problem, i, (times, rows, unit), ((needles, end), extent, side), size, notices)?;
        let half = half_neck(problem, i, (times, rows, unit), ((needles, end), side), size, notices)?;
        let half = half.map(|(all, half)| {
            shapings = all;
            half
        });
        let gone = half.as_ref().map_or(0, |h| h.neck + h.sloped);
        exact(s, d, (needles, end), size, notices)?;
        let slit = slit(s, needles, size, notices)?;
        let holes = holes(s, end, rows, size, notices)?;
        let waits = slit.map_or(0, |left| left.max(needles - left));
        let slope = parts.as_ref().and_then(|p| p.slope.as_ref()).or(half.as_ref().and_then(|h| h.slope.as_ref()));
        let beside = parts.as_ref().map_or(0, |p| p.held_beside(p.first, needles));
        let sloped = slope.map_or(0, Slope::most_held) + beside;
        few_held(s, problem.most_held, super::short::most_held(&short).max(waits).max(sloped), size, notices)?;
        let before = all.last().map(|w| (w, left_out_before));
        let ((fabric, column, panels), left_out) = laid(piece, i, (extent, side), before, size, notices)?;
        left_out_before = left_out;
        let grown = placing::grows(s, needles, end);
        extent = (extent.0 - grown.0, extent.1 + grown.1);
        too_wide(s, extent, size, notices);
        let clearing = clears(piece, i);
        let stripes = striped(piece, s, rows, needles.max(end), size, notices)?;
        let fetches = waiting.through(piece, i, rows * s.layers() + u32::from(clearing), &stripes);
        // On one bed of a tube every pass is a row of it, as otherwise every second.
        let each = if s.short.as_ref().is_some_and(|s| s.on.is_some()) { 2.0 } else { 1.0 };
        let long = |rows: u32| Mm(f64::from(rows + u32::from(clearing)) * each * s.gauge.pass.value);
        all.push(WorkedStretch {
            fabric,
            column,
            panels,
            needles: needles.saturating_sub(left_out),
            needles_end: end.saturating_sub(left_out + gone),
            rows: rows * s.layers(),
            stripes,
            fetches,
            clearing,
            straight: s.shaping.as_ref().is_none_or(straight) && half.is_none(),
            stitch: Mm(s.gauge.needle.value),
            carriage: side,
            width: (width(piece, s, needles, problem.ends), width(piece, s, end, problem.ends)),
            length: long(rows),
            edges: match short.is_empty() {
                true => edges(s, (&shapings, parts.as_ref(), half.as_ref()), rows).map(|edge| Mm(edge + long(0).0)),
                false => [Side::Left, Side::Right].map(|e| long(super::short::at_end(&short, e))),
            },
            half,
            shapings,
            short,
            parts,
            slit,
            holes: match s.hem {
                Some(hem) => hem.picot.then(|| {
                    let places = (1..end.saturating_sub(1)).step_by(2).collect();
                    HoleRow { after: rows, places, wide: 1 }
                }),
                None => holes,
            },
            folded: s.hem.is_some(),
        });
        if slit.is_some() {
            // The second side begins and ends where the first did not.
            waiting.side = waiting.side.other();
        }
        side = waiting.side;
    }
    Some(all)
}

/// Refuses to hold more needles than the owner's machine takes.
fn few_held(s: &Stretch, most: Option<u32>, held: u32, size: &Size, notices: &mut Notices) -> Option<()> {
    let Some(most) = most.filter(|most| held > *most) else { return Some(()) };
    let shoulder = s.neck.as_ref().and_then(|n| n.shoulder).map(|s| s.span);
    let span = s
        .slit
        .as_ref()
        .map(|s| s.span)
        .or(s.short.as_ref().map(|s| s.span))
        .or(shoulder)
        .or(s.neck.as_ref().map(|n| n.span))
        .unwrap_or(s.span);
    let (stretch, size) = (s.name.clone(), size.name.clone());
    notices.push(Notice::error(span, StitchesFact::HeldBeyond { stretch, size, held, most }));
    None
}

/// Lengths of the left and the right edge of a stretch from change to change, in millimetres. A sloped shoulder is no part of the
/// edge below it.
fn edges(s: &Stretch, (shapings, parts, half): (&[Shaped], Option<&Parts>, Option<&HalfNeck>), rows: u32) -> [f64; 2] {
    [Side::Left, Side::Right].map(|e| {
        let own = parts.map_or(shapings, |p| p.of(e));
        let outer = half.filter(|h| h.side != e).and_then(|h| h.slope.as_ref());
        let slope = parts.and_then(|p| p.slope.as_ref()).or(outer);
        let upto = slope.map_or(rows, |s| s.outer_rows);
        let own = &own[..own.iter().position(|s| s.row >= upto).filter(|_| upto < rows).unwrap_or(own.len())];
        edge_length(own, e, upto, (s.gauge.needle.value, s.gauge.pass.value))
    })
}

/// The shapings of the outer edges of stretch `i`; a shaping that does not fit is told.
fn shaped_edges(
    (piece, i): (&Piece, usize),
    needles: u32,
    settled: (u32, u32, u32),
    carriage: Side,
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<Shaped>> {
    let s = &piece.stretches[i];
    let Some(edge) = shaped::outer(piece, i) else { return Some(Vec::new()) };
    let sh = edge.shaping;
    let shapings = match edge.shapings(sh.at, settled, carriage) {
        Ok(all) => all,
        Err(e) => {
            notices.push(refused(sh, s, size, e, settled.1));
            return None;
        }
    };
    if sh.at == At::Across {
        // A wedge keeps a stitch.
        let short =
            shapings.iter().try_fold(needles, |left, s| (left >= 2 * s.stitches).then(|| s.after(left)).ok_or(left));
        if let Err(left) = short {
            let (stretch, size) = (s.name.clone(), size.name.clone());
            notices
                .push(Notice::error(sh.span, StitchesFact::CrownRunsOut { stretch, size, left, wedges: sh.stitches }));
            return None;
        }
    }
    if shapings.is_empty() {
        let (stretch, size) = (s.name.clone(), size.name.clone());
        notices.push(Notice::warning(sh.span, StitchesFact::NeedsNoShaping { stretch, size }));
    }
    if let (When::Every { rows: every, .. }, Some(asked)) = (&sh.when, sh.carriage)
        && every % 2 == 1
    {
        notices.push(Notice::error(sh.span, StitchesFact::CarriageAlternates { every: *every, asked }));
        return None;
    }
    Some(shapings)
}

/// The sides of stretch `i`, if a neck divides it.
fn divided(
    problem: &PieceProblem<'_>,
    i: usize,
    settled: (u32, u32, u32),
    (ends, extent, carriage): ((u32, u32), placing::Extent, Side),
    size: &Size,
    notices: &mut Notices,
) -> Option<Option<Parts>> {
    let s = &problem.piece.stretches[i];
    let Some(neck) = s.neck.as_ref().filter(|n| n.edge().is_none()) else { return Some(None) };
    let target = problem.drafted.stretches[i].neck.as_ref();
    match super::parts::parts((problem.piece, i), neck, target, settled, (ends, extent), carriage) {
        Ok(parts) => Some(Some(parts)),
        Err(why) => {
            notices.push(undivided(s, neck, size, why, settled.1));
            None
        }
    }
}

/// The neck at one edge of stretch `i`, if it has one, and the shapings of both edges.
fn half_neck(
    problem: &PieceProblem<'_>,
    i: usize,
    settled: (u32, u32, u32),
    (ends, carriage): ((u32, u32), Side),
    size: &Size,
    notices: &mut Notices,
) -> Option<Option<(Vec<Shaped>, HalfNeck)>> {
    let s = &problem.piece.stretches[i];
    let Some((neck, side)) = s.neck.as_ref().and_then(|n| Some((n, n.edge()?))) else { return Some(None) };
    let target = problem.drafted.stretches[i].neck.as_ref();
    match super::parts::half((problem.piece, i), neck, side, target, settled, ends, carriage) {
        Ok(half) => Some(Some(half)),
        Err(why) => {
            notices.push(undivided(s, neck, size, why, settled.1));
            None
        }
    }
}

/// Refuses needles at the start and end of a stretch that are not those asked for.
fn exact(s: &Stretch, d: &StretchDraft, (needles, end): (u32, u32), size: &Size, notices: &mut Notices) -> Option<()> {
    for (target, is) in [(&d.width, needles), (&d.end, end)] {
        let Some(Target { needles: Some(wished), span, .. }) = target else { continue };
        if is != *wished {
            let fact = StitchesFact::NotSoManyNeedles {
                stretch: s.name.clone(),
                size: size.name.clone(),
                wished: *wished,
                nearest: is,
                fabric: (s.fabric.name.clone(), s.fabric.layout.stands()),
            };
            let (from, to) = (format!("needles {wished}"), format!("needles {is}"));
            let told = Notice::error(*span, fact);
            notices.push(told.mend(*span, to.clone(), Rewrite::Becomes { from, to }));
            return None;
        }
    }
    Some(())
}

/// The needles at the left of a slit.
fn slit(s: &Stretch, needles: u32, size: &Size, notices: &mut Notices) -> Option<Option<u32>> {
    let Some(slit) = &s.slit else { return Some(None) };
    let within = match slit.within {
        Within::Stitches(n) => n,
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of the needles")]
        Within::Share(percent) => (f64::from(needles) * percent / 100.0).round() as u32,
    };
    // Each side is knitted over at least 2 needles.
    if within < 2 || within + 2 > needles {
        let (stretch, size) = (s.name.clone(), size.name.clone());
        notices.push(Notice::error(slit.span, StitchesFact::SlitAtTheEdge { stretch, size, within, of: needles }));
        return None;
    }
    Some(Some(if slit.side == Side::Left { within } else { needles - within }))
}

/// The row of buttonholes or eyelets, if there is one.
fn holes(s: &Stretch, needles: u32, rows: u32, size: &Size, notices: &mut Notices) -> Option<Option<HoleRow>> {
    let Some(holes) = s.holes else { return Some(None) };
    let places = holes.places(needles).filter(|_| holes.after < rows);
    if places.is_none() {
        let (stretch, size) = (s.name.clone(), size.name.clone());
        let count = if let Spread::Count(n) = holes.spread { Some(n) } else { None };
        let most = holes.most(needles).filter(|_| holes.after < rows && count.is_some());
        let fact = StitchesFact::NoRoomForHoles { stretch, size, holes: count, stitches: needles, rows, most };
        notices.push(Notice::error(holes.span, fact));
    }
    places.map(|places| Some(HoleRow { after: holes.after, places, wide: holes.wide }))
}

/// The short rows of a stretch, written out.
fn short_rows(
    s: &Stretch,
    short: Option<&ShortRows>,
    (first, needles): (bool, u32),
    carriage: Side,
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<ShortRow>> {
    let Some(short) = short else { return Some(Vec::new()) };
    let begins = matches!(short.steps.first(), Some(ShortStep::Knit(_)));
    if first && !begins {
        notices.push(Notice::error(short.span, StitchesFact::HoldsFirst { stretch: s.name.clone() }));
        return None;
    }
    let needles = super::short::on_bed(needles, short.on);
    let (stretch, size) = (s.name.clone(), size.name.clone());
    match super::short::written(short, needles, carriage) {
        Ok(all) => {
            // As many as any section may have.
            let rows = all.iter().fold(0_u32, |n, r| n.saturating_add(r.rows));
            if rows > 20_000 {
                notices.push(Notice::error(short.span, StitchesFact::RowsOutOfRange { stretch, rows, size }));
                return None;
            }
            Some(all)
        }
        Err((span, why)) => {
            let fact = match why {
                NoShortRows::TooMany { working, asked } => StitchesFact::HeldTooMany { stretch, size, working, asked },
                NoShortRows::TooFew { side, there, asked } => {
                    StitchesFact::HeldTooFew { stretch, size, side, there, asked }
                }
                NoShortRows::AtCarriage(side) => StitchesFact::HoldsAtCarriage { stretch, size, side },
            };
            notices.push(Notice::error(span, fact));
            None
        }
    }
}

/// Whether a shaped edge is straight from its start to its end.
fn straight(sh: &Shaping) -> bool {
    match sh.when {
        When::Every { .. } | When::To { spread: Along::Even | Along::PlainEnd, first: None, .. } => true,
        When::Listed(_) | When::To { .. } => false,
    }
}

/// Warns of a pattern of which not one repeat fits on the needles.
fn too_wide(s: &Stretch, (left, right): placing::Extent, size: &Size, notices: &mut Notices) {
    let places = u32::from(right.abs_diff(left));
    let patterned = s.fabric.repeat.iter().any(|t| t.selects() || !t.hands.is_empty());
    if patterned && s.fabric.period() > places {
        let (fabric, stretch, size) = (s.fabric.name.clone(), s.name.clone(), size.name.clone());
        let fact = StitchesFact::RepeatTooWide { fabric, stretch, size, repeat: s.fabric.period(), places };
        notices.push(Notice::warning(s.span, fact));
    }
}

/// The fabric of the rows of a stretch as it is placed, and the needles that its panels leave out of work. `before`: the
/// stretch before it, and the needles left out there.
fn laid(
    piece: &Piece,
    i: usize,
    (extent, side): (placing::Extent, Side),
    before: Option<(&WorkedStretch, u32)>,
    size: &Size,
    notices: &mut Notices,
) -> Option<(placing::Laid, u32)> {
    let s = &piece.stretches[i];
    let placed = placing::fabric(piece, s, extent, side, size, notices)?;
    let fabric = &placed.0;
    let left_out = left_out(fabric, s, extent);
    if let Some((before, then)) = before
        && before.fabric.layout != fabric.layout
        && (left_out > 0 || then > 0)
    {
        let fact = StitchesFact::PanelNeedles { stretch: s.name.clone(), before: piece.stretches[i - 1].name.clone() };
        notices.push(Notice::error(s.panels.first().map_or(s.span, |p| p.span), fact));
        return None;
    }
    Some((placed, left_out))
}

/// Needles that the panels of a stretch leave out of work.
fn left_out(laid: &Fabric, s: &Stretch, (left, right): placing::Extent) -> u32 {
    if laid.layout == s.fabric.layout {
        return 0;
    }
    let in_work = |f: &Fabric| (left..right).filter(|p| f.layout.in_work(Bed::Main, *p)).count();
    u32::try_from(in_work(&s.fabric).saturating_sub(in_work(laid))).unwrap_or(0)
}

/// Why a neck cannot be.
fn undivided(s: &Stretch, neck: &Neck, size: &Size, why: NoParts, rows: u32) -> Notice {
    let (stretch, size_name) = (s.name.clone(), size.name.clone());
    let fact = match why {
        NoParts::Outer(e) => return refused(s.shaping.as_ref().unwrap_or(&neck.shaping), s, size, e, rows),
        NoParts::Inner(e) => return refused(&neck.shaping, s, size, e, rows),
        NoParts::Uneven { middle, of, fewer, more } => {
            StitchesFact::NeckUneven { stretch, size: size_name, middle, of, near: [fewer, more] }
        }
        NoParts::TooShort { takes } => StitchesFact::TooShortForSteps { stretch, size: size_name, takes, rows },
        NoParts::Narrow { groups, stitches } => {
            StitchesFact::ShoulderNarrow { stretch, size: size_name, groups, stitches }
        }
        NoParts::TooWide { neck, of } => StitchesFact::NeckTooWide { stretch, size: size_name, neck, of },
        NoParts::Meet { side, row } => StitchesFact::EdgesMeet { stretch, size: size_name, side, row },
    };
    Notice::error(neck.span, fact)
}

fn refused(sh: &Shaping, s: &Stretch, size: &Size, e: Infeasible, rows: u32) -> Notice {
    let (stretch, size) = (s.name.clone(), size.name.clone());
    Notice::error(
        sh.span,
        match e {
            Infeasible::TooMany { most, rows: needed } => {
                StitchesFact::TooManyShapings { stretch, size, rows, most, needed }
            }
            Infeasible::Uneven { below, above } => StitchesFact::UnevenShapings { stretch, size, rows, below, above },
        },
    )
}

/// Most places that the piece covers.
pub(super) fn widest(piece: &Piece, places: u32, stretches: &[WorkedStretch]) -> u32 {
    let grown = |s: &Stretch, w: &WorkedStretch| {
        let more = w.needles_end.saturating_sub(w.needles);
        if s.fabric.layout.all_of_both() { more.div_ceil(2) } else { more }
    };
    let ends = |s: &Stretch| s.shaping.as_ref().map_or(2, |sh| sh.at.ends());
    // Growth at one end only reaches as far as twice the growth about the centre.
    places + piece.stretches.iter().zip(stretches).map(|(s, w)| grown(s, w) * 2 / ends(s)).sum::<u32>()
}

/// The most places by which the piece grows beyond its first row, at the left end and the right.
pub(super) fn grown(piece: &Piece, stretches: &[WorkedStretch]) -> (u32, u32) {
    let (mut now, mut most) = ((0_i32, 0_i32), (0, 0));
    for (s, w) in piece.stretches.iter().zip(stretches) {
        let more = placing::grows(s, w.needles, w.needles_end);
        now = (now.0 + i32::from(more.0), now.1 + i32::from(more.1));
        most = (most.0.max(now.0), most.1.max(now.1));
    }
    (most.0.unsigned_abs(), most.1.unsigned_abs())
}

/// How far a width may be off before it is reported: a twentieth, the range of the swatch, or half a step of the
/// fabric's needles or of the shaping, whichever is most.
fn missed(s: &Stretch, flat: Mm) -> f64 {
    let (main, ribber) = s.fabric.layout.needle_count(s.fabric.layout.repeat() * 2);
    let shaped = s.shaping.as_ref().map_or(0, |sh| sh.stitches * sh.at.ends());
    let step = f64::from((main + ribber).max(shaped)) / 2.0 * s.gauge.needle.value;
    (0.05 * flat.0).max(2.0 * s.gauge.needle.spread * flat.0).max(step)
}

/// Other stretches of a piece with a target width.
fn others(piece: &Piece, s: &Stretch) -> Vec<String> {
    piece.stretches.iter().filter(|o| o.name != s.name && o.wished.is_some()).map(|o| o.name.clone()).collect()
}

/// Refuses a count that suits everything but the target, and reports a target missed by more than a little.
pub(super) fn near_the_wish(
    show: Show,
    piece: &Piece,
    drafted: &PieceDraft,
    settled: &PieceStitches,
    size: &Size,
    notices: &mut Notices,
) -> bool {
    let mut near = true;
    for ((s, d), w) in piece.stretches.iter().zip(&drafted.stretches).zip(&settled.stretches) {
        for (target, is) in [(&d.width, w.width.0), (&d.end, w.width.1)] {
            let Some((flat, span)) = target.as_ref().and_then(|t| Some((t.flat?, t.span))) else { continue };
            let off = (is.0 - flat.0).abs();
            if !near_enough(is.0 - flat.0, flat.0, s) {
                near = false;
                notices.push(Notice::error(
                    span,
                    StitchesFact::NotAsWide {
                        stretch: s.name.clone(),
                        size: size.name.clone(),
                        wished: show.length(flat),
                        nearest: show.length(is),
                    },
                ));
            } else if off > missed(s, flat) {
                notices.push(Notice::warning(
                    span,
                    StitchesFact::ComesOut {
                        stretch: s.name.clone(),
                        size: size.name.clone(),
                        is: show.length(is),
                        wished: show.length(flat),
                        fabric: (s.fabric.name.clone(), s.fabric.layout.stands()),
                        others: others(piece, s),
                    },
                ));
            }
        }
    }
    near
}

pub(super) fn point(piece: &Piece, settled: &PieceStitches, size: &Size, notices: &mut Notices) -> bool {
    let left = settled.stretches.last().map_or(0, |w| w.needles_end);
    if piece.ending != Ending::Point || (1..=5).contains(&left) {
        return true;
    }
    notices.push(Notice::error(piece.ending_span, StitchesFact::TooManyForPoint { left, size: size.name.clone() }));
    false
}
