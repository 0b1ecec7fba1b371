//! What was settled, as the plan needs it; and what is told when it cannot be.

use latchwork_machine::needle::Side;

use super::chain::{Chain, Counts, PieceProblem, near_enough};
use super::precheck::{clears, spread_as, width};
use super::spread::{Infeasible, spread};
use super::{PieceStitches, WorkedStretch, cast_on_passes};
use crate::design::{Ending, Piece, Shaping, Size, Stretch, When};
use crate::draft::{PieceDraft, Target};
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
    let mut all = Vec::new();
    for (i, ((s, d), rows)) in piece.stretches.iter().zip(&problem.drafted.stretches).zip(rows).enumerate() {
        let Counts { start: needles, end: settled, times } = chain.counts[i];
        let unit = problem.nearest[i].1;
        let (mut end, mut shapings) = (needles, Vec::new());
        if let Some(sh) = &s.shaping {
            let spread = match &sh.when {
                When::Every { rows, times } => spread(*times, rows * times, *rows),
                When::To { .. } => spread_as(piece, i, times, *rows, unit),
            };
            match spread {
                Ok(spread) => {
                    shapings = spread.rows();
                    if shapings.is_empty() {
                        notices.push(
                            Notice::warning(sh.span, format!("\"{}\" needs no shaping in size {}.", s.name, size.name))
                                .because("It is already as near to the wished width as a shaping could bring it."),
                        );
                    }
                    end = settled;
                }
                Err(e) => {
                    notices.push(refused(sh, s, size, e, *rows));
                    return None;
                }
            }
            if let (When::Every { rows: every, .. }, Some(asked)) = (&sh.when, sh.carriage)
                && every % 2 == 1
            {
                notices.push(
                    Notice::error(sh.span, format!("Every {every} rows the carriage is not always at the {asked}."))
                        .because("It changes sides with every row.")
                        .hint("Give an even number to every=, or take the carriage's side out."),
                );
                return None;
            }
        }
        for (target, is) in [(&d.width, needles), (&d.end, end)] {
            let Some(Target { needles: Some(wished), span, .. }) = target else { continue };
            if is != *wished {
                let why = format!(
                    "{} stands on {}; the counts of one piece hang together through its shaping and its other stretches.",
                    s.fabric.name,
                    s.fabric.layout.words()
                );
                notices.push(
                    Notice::error(*span, format!("\"{}\" cannot have {wished} needles in size {}.", s.name, size.name))
                        .because(why)
                        .hint(format!("The nearest count that works with the rest as it stands: needles {is}"))
                        .mend(*span, format!("needles {is}"), format!("needles {wished} becomes needles {is}")),
                );
                return None;
            }
        }
        let clearing = clears(piece, i);
        let passes = f64::from(*rows + u32::from(clearing));
        all.push(WorkedStretch {
            needles,
            needles_end: end,
            rows: *rows,
            clearing,
            shapings,
            carriage: side,
            width: (width(piece, s, needles, problem.ends), width(piece, s, end, problem.ends)),
            length: Mm(passes * s.gauge.pass.value),
        });
        side = side.after(rows + u32::from(clearing));
    }
    Some(all)
}

fn refused(sh: &Shaping, s: &Stretch, size: &Size, e: Infeasible, rows: u32) -> Notice {
    let n = Notice::error(sh.span, format!("The shaping of \"{}\" does not run out in size {}.", s.name, size.name));
    match e {
        Infeasible::TooMany { most, rows: needed } => n
            .because(format!("{rows} rows have room for {most} shapings."))
            .hint(format!("Make it at least {needed} rows long, or shape two stitches at a time.")),
        Infeasible::Uneven { below, above } => {
            let near = if below == 0 { format!("rows {above}") } else { format!("rows {below} or rows {above}") };
            n.because(format!("{rows} rows cannot be divided so that every shaping falls on its row."))
                .hint(format!("Write {near}"))
        }
    }
}

/// Most places the piece takes.
pub(super) fn widest(piece: &Piece, places: u32, stretches: &[WorkedStretch]) -> u32 {
    let grown = |s: &Stretch, w: &WorkedStretch| {
        let more = w.needles_end.saturating_sub(w.needles);
        if s.fabric.layout.all_of_both() { more.div_ceil(2) } else { more }
    };
    let ends = |s: &Stretch| s.shaping.as_ref().map_or(2, |sh| sh.at.ends());
    // Growth at one end alone reaches as far as growth of twice as much about the centre.
    places + piece.stretches.iter().zip(stretches).map(|(s, w)| grown(s, w) * 2 / ends(s)).sum::<u32>()
}

/// How far a width may be off before it is told: a twentieth, the range of the swatch, or half a step of the fabric's
/// needles or of the shaping, whichever is most.
fn missed(s: &Stretch, flat: Mm) -> f64 {
    let (main, ribber) = s.fabric.layout.needle_count(s.fabric.layout.repeat() * 2);
    let shaped = s.shaping.as_ref().map_or(0, |sh| sh.stitches * sh.at.ends());
    let step = f64::from((main + ribber).max(shaped)) / 2.0 * s.gauge.needle.value;
    (0.05 * flat.0).max(2.0 * s.gauge.needle.spread * flat.0).max(step)
}

/// Stretches of a piece that wish a width of their own beside this one.
fn others<'p>(piece: &'p Piece, s: &Stretch) -> Vec<&'p str> {
    piece.stretches.iter().filter(|o| o.name != s.name && o.wished.is_some()).map(|o| o.name.as_str()).collect()
}

fn sharing(piece: &Piece, s: &Stretch) -> String {
    match others(piece, s).as_slice() {
        [] => format!("{} stands on {}, so not every count can be.", s.fabric.name, s.fabric.layout.words()),
        [one] => format!("It shares its needles with \"{one}\", whose width is wished too."),
        several => {
            format!("It shares its needles with \"{}\", whose widths are wished too.", several.join("\", \""))
        }
    }
}

fn give_up(piece: &Piece, s: &Stretch) -> String {
    match others(piece, s).first() {
        None => "Wish a width that its fabric can have, or choose another fabric.".to_string(),
        Some(other) => format!(
            "Give up one: write weight=10 beside the width that matters more, wish another width of \"{other}\", or knit them as two pieces."
        ),
    }
}

/// Refuses a count that suits everything but the wish, and tells a wish that is missed by more than a little.
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
            if !near_enough(is.0 - flat.0, flat.0, s.gauge.needle.value) {
                near = false;
                notices.push(
                    Notice::error(span, format!("\"{}\" cannot be as wide as wished in size {}.", s.name, size.name))
                        .because(format!(
                            "{} is wished, and the nearest that suits the rest of the piece is {}.",
                            show.length(flat),
                            show.length(is)
                        ))
                        .hint("Change the shaping, or the wishes of the stretches that share its needles."),
                );
            } else if off > missed(s, flat) {
                notices.push(
                    Notice::warning(
                        span,
                        format!(
                            "\"{}\" comes out {} wide in size {}, not {}.",
                            s.name,
                            show.length(is),
                            size.name,
                            show.length(flat)
                        ),
                    )
                    .because(sharing(piece, s))
                    .hint(give_up(piece, s)),
                );
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
    let mut e =
        Notice::error(piece.ending_span, format!("{left} stitches are too many for a point in size {}.", size.name))
            .because("At most five loops can be gathered on one needle and knitted off.");
    e = e.hint("Narrow the last stretch further: more shapings over more rows, or decrease 2 { needles 3; }");
    notices.push(e);
    false
}
