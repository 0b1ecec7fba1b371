//! Checks of a piece before anything is settled: rows that suit repeats and carriage, needles on the beds, ends that its
//! fabrics agree on.

use super::cast_on_passes;
use crate::design::{Along, Change, Design, Ending, Length, Piece, Shaping, ShortRows, Size, Stretch, When};
use crate::draft::PieceDraft;
use crate::fabric::{Ends, Layout};
use crate::fact::{Rewrite, StitchesFact};
use crate::notice::{Notice, Notices};
use crate::units::Mm;

/// Whether a number of places can be cast on. A layout on the main bed alone leaves the ends to the other fabrics.
pub(super) fn suits(layout: Layout, places: u32, ends: Ends) -> bool {
    layout.allows(places, if layout.two_beds() { ends } else { Ends::BothMain })
}

pub(super) fn ends_suit(piece: &Piece, ends: Ends) -> bool {
    piece.stretches.iter().all(|s| !s.fabric.layout.two_beds() || s.fabric.ends.contains(&ends))
        && (ends == Ends::BothMain || piece.stretches.iter().any(|s| s.fabric.layout.two_beds()))
}

/// Needles asked for against needles on the bed.
pub(super) fn fits_bed(
    design: &Design,
    piece: &Piece,
    drafted: &PieceDraft,
    size: &Size,
    available: u32,
    notices: &mut Notices,
) -> bool {
    let mut fits = true;
    for (s, d) in piece.stretches.iter().zip(&drafted.stretches) {
        for t in d.width.iter().chain(&d.end) {
            let wanted = match (t.needles, t.flat) {
                (Some(n), _) => f64::from(n),
                (None, Some(flat)) => {
                    (flat.0 - s.panels_wider().0) / s.gauge.needle.value + piece.lost(s, Ends::BothMain)
                }
                (None, None) => continue,
            };
            let places = wanted / s.fabric.layout.needles_per_place();
            if places > f64::from(available) + 0.5 {
                let shared = t.body.as_ref().map_or(1, |b| b.2);
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pieces")]
                let more = (places / f64::from(available.max(1))).ceil() as u32;
                notices.push(Notice::error(
                    t.span,
                    StitchesFact::TooWide {
                        stretch: s.name.clone(),
                        size: size.name.clone(),
                        wanted,
                        fabric: s.fabric.name.clone(),
                        places,
                        machine: design.machine.name.clone(),
                        available,
                        pieces: shared.saturating_mul(more),
                    },
                ));
                fits = false;
            }
        }
    }
    fits
}

/// Passes of each stretch, and the unit of its shaping.
pub(super) fn rows(piece: &Piece, drafted: &PieceDraft, size: &Size, notices: &mut Notices) -> Option<Vec<(u32, u32)>> {
    let mut side = piece.carriage.after(cast_on_passes(piece.cast_on));
    let mut all = Vec::new();
    let mut whole_piece = true;
    for (i, (s, d)) in piece.stretches.iter().zip(&drafted.stretches).enumerate() {
        let m = s.row_multiple();
        let unit = match s.shaping.as_ref().and_then(|sh| sh.carriage.map(|c| (sh, c))) {
            None => m,
            Some((_, asked)) if asked == side => {
                if m.is_multiple_of(2) {
                    m
                } else {
                    2 * m
                }
            }
            Some((sh, asked)) => {
                notices.push(Notice::error(
                    sh.span,
                    StitchesFact::CarriageElsewhere { asked, stretch: s.name.clone(), side },
                ));
                whole_piece = false;
                m
            }
        };
        let rows = match (&s.length, d.length) {
            (Length::Rows(n), _) => {
                if !n.is_multiple_of(m) {
                    let to = n / m * m + m;
                    notices.push(
                        Notice::error(
                            s.length_span,
                            StitchesFact::StopsInARepeat { fabric: s.fabric.name.clone(), rows: *n, repeat: m },
                        )
                        .mend(
                            s.length_span,
                            format!("rows {to}"),
                            Rewrite::Becomes { from: format!("rows {n}"), to: format!("rows {to}") },
                        ),
                    );
                    whole_piece = false;
                }
                *n
            }
            // Rows that a size decides are an even number.
            (Length::AsShaped, _) if d.short.is_some() => d.short.as_ref().and_then(ShortRows::rows).unwrap_or(2),
            (Length::AsShaped, _) => {
                let after = even(m) * after_last(piece, i);
                s.shaping.as_ref().and_then(|sh| sh.rows(m)).map_or(0, |n| n.saturating_add(after))
            }
            (Length::Of(_) | Length::Share { .. }, Some(l)) => {
                whole(l, s, even(if spreads(piece, i) { unit } else { m }))
            }
            (Length::Of(_) | Length::Share { .. }, None) => return None,
        };
        if rows == 0 || rows > 20_000 {
            notices.push(Notice::error(
                s.length_span,
                StitchesFact::RowsOutOfRange { stretch: s.name.clone(), rows, size: size.name.clone() },
            ));
            whole_piece = false;
        } else if let Some((sh, takes)) = s.shaping.as_ref().and_then(|sh| Some((sh, sh.rows(m)?)))
            && takes.saturating_add(after_last(piece, i)) > rows
        {
            let (stretch, size, after) = (s.name.clone(), size.name.clone(), after_last(piece, i));
            notices.push(Notice::error(
                sh.span,
                match sh.when {
                    When::Every { rows: every, times } => {
                        StitchesFact::TooShortForShaping { stretch, size, times, every, rows, after }
                    }
                    When::Listed(_) | When::To { .. } => {
                        StitchesFact::TooShortForSteps { stretch, size, takes: takes.saturating_add(after), rows }
                    }
                },
            ));
            whole_piece = false;
        }
        all.push((rows, unit));
        let clearing = u32::from(clears(piece, i));
        // The second side of a slit begins and ends where the first did not.
        side = side.after(rows * s.layers() + clearing + u32::from(s.slit.is_some()));
    }
    whole_piece.then_some(all)
}

/// How the shaping of a stretch ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Finish {
    /// The last shaping falls on the last row.
    LastRow,
    /// A row must follow, in which new needles take their first loops.
    RowAfter,
    /// A plain run follows, as long as the others.
    PlainRun,
}

/// How the shaping of stretch `i` ends. The needles of an increase take their first loops in the row after it; where no
/// such row follows, the stretch keeps one for them.
pub(super) fn finish(piece: &Piece, i: usize) -> Finish {
    match &piece.stretches[i].shaping {
        Some(Shaping { when: When::To { spread: Along::PlainEnd, .. }, .. }) => Finish::PlainRun,
        Some(Shaping { change: Change::Increase, .. }) if !row_follows(piece, i) => Finish::RowAfter,
        Some(_) | None => Finish::LastRow,
    }
}

/// Whether a row that knits every needle directly follows stretch `i`.
fn row_follows(piece: &Piece, i: usize) -> bool {
    let layout = piece.stretches[i].fabric.layout;
    match piece.stretches.get(i + 1) {
        _ if clears(piece, i) => true,
        Some(next) if next.shaping.as_ref().is_some_and(Shaping::may_come_first) => false,
        Some(next) => next.fabric.layout == layout && next.gauges().all(|g| g.fabric.knits_all()),
        // The loose row before casting off. Gathering has no sure row: its stitches may be halved before it.
        None => !layout.two_beds() && matches!(piece.ending, Ending::LoopThroughLoop | Ending::Chain),
    }
}

/// Rows that must follow the last shaping, in shaping units.
pub(super) fn after_last(piece: &Piece, i: usize) -> u32 {
    u32::from(finish(piece, i) != Finish::LastRow)
}

/// Whether the rows of a stretch must be a multiple of its shaping unit.
pub(super) fn spreads(piece: &Piece, i: usize) -> bool {
    let even = |sh: &Shaping| matches!(sh.when, When::To { spread: Along::Even | Along::PlainEnd, .. });
    piece.stretches[i].shaping.as_ref().is_some_and(even) && finish(piece, i) == Finish::LastRow
}

/// The smallest even multiple: with even lengths the carriage ends at the same side in every size.
pub(super) fn even(multiple: u32) -> u32 {
    if multiple.is_multiple_of(2) { multiple } else { 2 * multiple }
}

/// A length in passes, to the nearest multiple.
pub(super) fn whole(length: Mm, s: &Stretch, multiple: u32) -> u32 {
    let repeats = (length.0 / s.gauge.pass.value / f64::from(multiple)).round().clamp(1.0, 1e6);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let repeats = repeats as u32;
    repeats * multiple
}

/// Whether a stretch of open tucks needs a clearing pass: before loops change beds, or before the ending.
pub(super) fn clears(piece: &Piece, i: usize) -> bool {
    piece.stretches[i].gauges().any(|g| g.fabric.always_open())
        && piece.stretches.get(i + 1).is_none_or(|next| next.fabric.layout != piece.stretches[i].fabric.layout)
}

pub(super) fn changed(needles: u32, change: Change, by: u32) -> Option<u32> {
    match change {
        Change::Decrease => needles.checked_sub(by),
        Change::Increase => needles.checked_add(by),
    }
}

/// Needles that carry the loops after the change from one layout to another.
pub(super) fn moved(from: Layout, to: Layout, needles: u32) -> u32 {
    if from != to && to.main_alone() { from.on_main(needles) } else { needles }
}

pub(super) fn width(piece: &Piece, s: &Stretch, needles: u32, ends: Ends) -> Mm {
    Mm((f64::from(needles) - piece.lost(s, ends)).max(0.0) * s.gauge.needle.value + s.panels_wider().0)
}
