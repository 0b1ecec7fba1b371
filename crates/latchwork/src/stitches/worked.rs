//! What was settled, as the plan needs it; and what is told when it cannot be.

use latchwork_machine::needle::Side;

use super::chain::{Chain, Counts, PieceProblem, near_enough};
use super::precheck::{clears, spread_as, width};
use super::spread::{Infeasible, spread};
use super::{PieceStitches, Worked, cast_on_passes};
use crate::design::{Ending, Piece, Shaping, Size, Stretch, When};
use crate::draft::{PieceDraft, Target};
use crate::fabric::Layout;
use crate::notice::{Notice, Notices};
use crate::units::Mm;

pub(super) fn worked(
    problem: &PieceProblem<'_>,
    chain: &Chain,
    rows: &[u32],
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<Worked>> {
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
                When::To { .. } => spread_as(sh, times, *rows, unit),
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
        all.push(Worked {
            needles,
            needles_end: end,
            rows: *rows,
            clearing,
            shapings,
            carriage: side,
            width: (width(s, needles, piece.allowance), width(s, end, piece.allowance)),
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
pub(super) fn widest(piece: &Piece, places: u32, stretches: &[Worked]) -> u32 {
    let grown = |s: &Stretch, w: &Worked| {
        let more = w.needles_end.saturating_sub(w.needles);
        if s.fabric.layout == Layout::Every { more.div_ceil(2) } else { more }
    };
    let ends = |s: &Stretch| s.shaping.as_ref().map_or(2, |sh| sh.at.ends());
    // Growth at one end alone reaches as far as growth of twice as much about the centre.
    places + piece.stretches.iter().zip(stretches).map(|(s, w)| grown(s, w) * 2 / ends(s)).sum::<u32>()
}

/// Refuses a count that suits everything but the wish.
pub(super) fn near_the_wish(
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
            if !near_enough(is.0 - flat.0, flat.0, s.gauge.needle.value) {
                near = false;
                notices.push(
                    Notice::error(span, format!("\"{}\" cannot be as wide as wished in size {}.", s.name, size.name))
                        .because(format!("{flat} is wished, and the nearest that suits the rest of the piece is {is}."))
                        .hint("Change the shaping, or the wishes of the stretches that share its needles."),
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
