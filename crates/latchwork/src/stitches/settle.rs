//! One piece of one size settled.
//!
//! The count at the cast-on and the number of spread shapings are whole numbers with few values, and the cost of
//! a stretch depends only on the needles it begins with. So the best is found exactly: for each count, the least
//! cost of all later stretches is worked out once and remembered.

use std::collections::BTreeMap;

use latchwork_machine::needle::{Bed, Side};

use super::spread::{Infeasible, Spread, spread, spread_plain_end};
use super::{PieceStitches, Worked, cast_on_passes};
use crate::design::{Change, Design, Ending, Length, Piece, Shaping, Size, Stretch, When};
use crate::draft::{PieceDraft, Target};
use crate::fabric::{Ends, Layout, left_end};
use crate::notice::{Notice, Notices};
use crate::units::Mm;

/// Cost of each needle by which an exact wish is missed; far above any misfit in width.
const EXACT: f64 = 1e6;

pub(super) fn piece(
    design: &Design,
    piece: &Piece,
    drafted: &PieceDraft,
    size: &Size,
    notices: &mut Notices,
) -> Option<PieceStitches> {
    let rows = rows(piece, drafted, size, notices)?;
    let reach = |bed| design.machine.profile.reach(bed).map_or(0, |(a, b)| u32::from(b.0.abs_diff(a.0)) + 1);
    let two_beds = piece.stretches.iter().any(|s| s.fabric.layout.two_beds());
    let available = if two_beds { reach(Bed::Main).min(reach(Bed::Ribber)) } else { reach(Bed::Main) };
    if two_beds && available == 0 {
        notices.push(
            Notice::error(
                piece.span,
                format!("The piece \"{}\" needs a ribber, and this machine has none.", piece.name),
            )
            .hint("Knit it in plain, or choose a machine with two beds."),
        );
        return None;
    }
    if !fits_bed(design, piece, drafted, size, available, notices) {
        return None;
    }
    let ends: Vec<Ends> = match piece.ends {
        Some(e) => vec![e],
        None => vec![Ends::BothMain, Ends::MainRibber],
    };
    let ends: Vec<Ends> = ends.into_iter().filter(|e| ends_suit(piece, *e)).collect();
    if ends.is_empty() {
        let names: Vec<&str> = piece.stretches.iter().map(|s| s.fabric.name).collect();
        notices.push(
            Notice::error(
                piece.span,
                format!("The ends of \"{}\" cannot stand on one bed for all its fabrics.", piece.name),
            )
            .because(format!("They are {}; each asks for its own end needles.", names.join(", ")))
            .hint("Take ends out, or choose fabrics whose ends agree; `latchwork fabrics` lists them."),
        );
        return None;
    }
    let layout = piece.stretches.first()?.fabric.layout;
    let mut best: Option<(f64, u32, Ends, Shapings)> = None;
    for ends in ends {
        let mut settler =
            Settler { piece, drafted, rows: &rows, ends, memory: BTreeMap::new(), chosen: BTreeMap::new() };
        let found = (1..=available)
            .filter(|places| suits(layout, *places, ends))
            .map(|places| {
                let (main, ribber) = layout.needle_count(places);
                (settler.cost(0, main + ribber), places)
            })
            .filter(|(cost, _)| cost.is_finite())
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((cost, places)) = found
            && best.as_ref().is_none_or(|b| cost < b.0 - 1e-12)
        {
            best = Some((cost, places, ends, settler.chosen));
            // The usual ends, both on the main bed, unless an exact count asks for others.
            if cost < EXACT / 2.0 {
                break;
            }
        }
    }
    let Some((_, places, ends, chosen)) = best else {
        notices.push(
            Notice::error(
                piece.span,
                format!("No number of needles suits the piece \"{}\" in size {}.", piece.name, size.name),
            )
            .because("Its shaping takes away more needles than it has, or its fabrics ask for counts that never agree.")
            .hint("Shape it fewer times, or begin with more needles."),
        );
        return None;
    };
    let (main, ribber) = layout.needle_count(places);
    let stretches = worked(piece, drafted, &rows, main + ribber, &chosen, size, notices)?;
    let widest = widest(piece, places, &stretches);
    if widest > available {
        notices.push(
            Notice::error(
                piece.span,
                format!("The piece \"{}\" runs out of needles in size {}.", piece.name, size.name),
            )
            .because(format!("It grows to {widest} places, and the machine has {available}."))
            .hint("Widen it less, or knit it in two pieces."),
        );
        return None;
    }
    let settled = PieceStitches { ends, left: left_end(places), places, stretches };
    let near = near_the_wish(piece, drafted, &settled, size, notices);
    (point(piece, &settled, size, notices) && near).then_some(settled)
}

/// The number of spread shapings chosen for a stretch begun with so many needles.
type Shapings = BTreeMap<(usize, u32), u32>;

/// Whether so many places can be cast on; a piece on the main bed alone takes its ends from its other fabrics.
fn suits(layout: Layout, places: u32, ends: Ends) -> bool {
    layout.allows(places, if layout == Layout::MainOnly { Ends::BothMain } else { ends })
}

fn ends_suit(piece: &Piece, ends: Ends) -> bool {
    piece.stretches.iter().all(|s| s.fabric.layout == Layout::MainOnly || s.fabric.ends.contains(&ends))
        && (ends == Ends::BothMain || piece.stretches.iter().any(|s| s.fabric.layout != Layout::MainOnly))
}

/// Needles wanted against needles there are, before anything is tried.
fn fits_bed(
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
                (None, Some(flat)) => flat.0 / s.gauge.needle.value + 2.0 * f64::from(piece.allowance),
                (None, None) => continue,
            };
            let (main, ribber) = s.fabric.layout.needle_count(12);
            let places = wanted * 12.0 / f64::from(main + ribber);
            if places > f64::from(available) + 0.5 {
                notices.push(
                    Notice::error(t.span, format!("\"{}\" is too wide for the machine in size {}.", s.name, size.name))
                        .because(format!(
                            "It wants {wanted:.0} needles of {}, which is {places:.0} places; {} has {available}.",
                            s.fabric.name,
                            design.machine.name.as_deref().unwrap_or("this machine")
                        ))
                        .hint("Knit it in two pieces (around … shared=2), or on a machine with more needles."),
                );
                fits = false;
            }
        }
    }
    fits
}

/// Passes of each stretch, and the shaping unit it keeps to.
fn rows(piece: &Piece, drafted: &PieceDraft, size: &Size, notices: &mut Notices) -> Option<Vec<(u32, u32)>> {
    let mut side = piece.carriage.after(cast_on_passes(piece.cast_on));
    let mut all = Vec::new();
    let mut whole_piece = true;
    for (i, (s, d)) in piece.stretches.iter().zip(&drafted.stretches).enumerate() {
        let m = s.fabric.row_multiple();
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
                notices.push(
                    Notice::error(sh.span, format!("The carriage is not at the {asked} when \"{}\" is shaped.", s.name))
                        .because(format!(
                            "The stretch begins with the carriage at the {side}, so after every even number of rows it stands there again."
                        ))
                        .hint(format!("Write carriage \"{side}\", or let the piece begin with the carriage at the other side.")),
                );
                whole_piece = false;
                m
            }
        };
        let rows = match (&s.length, d.length) {
            (Length::Rows(n), _) => {
                if !n.is_multiple_of(m) {
                    let below = n / m * m;
                    let near =
                        if below == 0 { format!("rows {m}") } else { format!("rows {below} or rows {}", below + m) };
                    notices.push(
                        Notice::error(
                            s.length_span,
                            format!("{} is knitted in whole repeats of {m} passes.", s.fabric.name),
                        )
                        .because(format!("{n} passes stop in the middle of one."))
                        .hint(format!("Write {near}"))
                        .mend(
                            s.length_span,
                            format!("rows {}", below + m),
                            format!("rows {n} becomes rows {}", below + m),
                        ),
                    );
                    whole_piece = false;
                }
                *n
            }
            (Length::AsShaped, _) => match &s.shaping {
                Some(sh @ Shaping { when: When::Every { rows, times }, .. }) => {
                    rows * times + if plain_end(sh) { even(m) } else { 0 }
                }
                Some(Shaping { when: When::To { .. }, .. }) | None => 0,
            },
            (Length::Of(_) | Length::Share { .. }, Some(l)) => whole(l, s, even(if spreads(s) { unit } else { m })),
            (Length::Of(_) | Length::Share { .. }, None) => return None,
        };
        if rows == 0 || rows > 20_000 {
            notices.push(
                Notice::error(s.length_span, format!("\"{}\" would have {rows} rows in size {}.", s.name, size.name))
                    .because("A stretch has from 1 to 20,000.")
                    .hint("Check the length and the swatch."),
            );
            whole_piece = false;
        } else if let Some(sh @ Shaping { when: When::Every { rows: every, times }, span, .. }) = &s.shaping
            && every * times + u32::from(plain_end(sh)) > rows
        {
            let fit = (rows - u32::from(plain_end(sh))) / every;
            notices.push(
                Notice::error(*span, format!("\"{}\" is too short for its shaping in size {}.", s.name, size.name))
                    .because(format!(
                        "{times} times every {every} rows take {} rows{}, and it has {rows}.",
                        every * times,
                        if plain_end(sh) { " and one after the last" } else { "" }
                    ))
                    .hint(if fit == 0 {
                        "Make it longer.".to_string()
                    } else {
                        format!("Write times={fit}, or make it longer.")
                    }),
            );
            whole_piece = false;
        }
        all.push((rows, unit));
        let clearing = u32::from(clears(piece, i));
        side = side.after(rows + clearing);
    }
    whole_piece.then_some(all)
}

fn spreads(s: &Stretch) -> bool {
    s.shaping.as_ref().is_some_and(|sh| matches!(sh.when, When::To { .. }) && !plain_end(sh))
}

/// Whether a plain run follows the last shaping. After an increase one must: the new needles need a row to take
/// their first loops.
fn plain_end(sh: &Shaping) -> bool {
    sh.change == Change::Increase || matches!(sh.when, When::To { plain_end: true, .. })
}

fn spread_as(sh: &Shaping, times: u32, rows: u32, unit: u32) -> Result<Spread, Infeasible> {
    if plain_end(sh) { spread_plain_end(times, rows, unit) } else { spread(times, rows, unit) }
}

/// A length is made up of an even number of passes, so that the carriages come to the same side in every size.
fn even(multiple: u32) -> u32 {
    if multiple.is_multiple_of(2) { multiple } else { 2 * multiple }
}

/// A length in passes, to the nearest multiple.
fn whole(length: Mm, s: &Stretch, multiple: u32) -> u32 {
    let repeats = (length.0 / s.gauge.pass.value / f64::from(multiple)).round().clamp(1.0, 1e6);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let repeats = repeats as u32;
    repeats * multiple
}

/// Whether a stretch of open tucks needs a clearing pass: before loops change beds, or before the ending.
fn clears(piece: &Piece, i: usize) -> bool {
    piece.stretches[i].fabric.always_open
        && piece.stretches.get(i + 1).is_none_or(|next| next.fabric.layout != piece.stretches[i].fabric.layout)
}

struct Settler<'a> {
    piece: &'a Piece,
    drafted: &'a PieceDraft,
    rows: &'a [(u32, u32)],
    ends: Ends,
    /// Least cost from a stretch on, begun with so many needles.
    memory: BTreeMap<(usize, u32), f64>,
    /// The number of spread shapings that gives it.
    chosen: Shapings,
}

impl Settler<'_> {
    fn cost(&mut self, i: usize, needles: u32) -> f64 {
        let Some(s) = self.piece.stretches.get(i) else { return 0.0 };
        if let Some(known) = self.memory.get(&(i, needles)) {
            return *known;
        }
        if !self.stands(i, needles) {
            return f64::INFINITY;
        }
        let drafted = &self.drafted.stretches[i];
        let own = drafted.width.as_ref().map_or(0.0, |t| self.misfit(i, t, needles, EXACT));
        let least = if i + 1 == self.piece.stretches.len() && self.piece.ending == Ending::Point { 1 } else { 2 };
        let mut best = f64::INFINITY;
        match &s.shaping {
            None => {
                best = own + self.onward(i, needles);
            }
            Some(sh) => {
                let step = sh.stitches * sh.at.ends();
                match &sh.when {
                    When::Every { times, .. } => {
                        if let Some(end) = changed(needles, sh.change, step * times).filter(|n| *n >= least) {
                            best = own + self.onward(i, end);
                        }
                    }
                    When::To { .. } => {
                        let (rows, unit) = self.rows[i];
                        for times in 0..=rows / unit {
                            let Some(end) =
                                changed(needles, sh.change, step * times).filter(|n| *n >= least && *n <= 1000)
                            else {
                                break;
                            };
                            let fits = spread_as(sh, times, rows, unit);
                            if matches!(fits, Err(Infeasible::TooMany { .. })) {
                                break;
                            }
                            // Of two exact counts that cannot both be, the one that shaping leads to gives way.
                            let reached = drafted.end.as_ref().map_or(0.0, |t| self.misfit(i, t, end, 0.9 * EXACT));
                            let cost = own + reached + self.onward(i, end);
                            if cost < best - 1e-12 {
                                best = cost;
                                self.chosen.insert((i, needles), times);
                            }
                        }
                    }
                }
            }
        }
        self.memory.insert((i, needles), best);
        best
    }

    /// Whether loops that come from other needles can stand on those of stretch `i`.
    fn stands(&self, i: usize, needles: u32) -> bool {
        let layout = self.piece.stretches[i].fabric.layout;
        let moved = i > 0 && self.piece.stretches[i - 1].fabric.layout != layout;
        match layout {
            Layout::MainOnly | Layout::TwoThree | Layout::TwoOne => true,
            Layout::Alternate => layout.allows(needles, self.ends),
            Layout::TwoTwo => !moved || layout.allows(needles, self.ends),
            Layout::Every => needles.is_multiple_of(2),
        }
    }

    /// The cost of the next stretch, after loops have moved to its needles.
    fn onward(&mut self, i: usize, needles: u32) -> f64 {
        let next = self.piece.stretches.get(i + 1);
        let from = self.piece.stretches[i].fabric.layout;
        self.cost(i + 1, next.map_or(needles, |n| moved(from, n.fabric.layout, needles)))
    }

    /// Squared misfit as a share of the wish; an exact wish missed costs more than any misfit. Stretches that
    /// wish the same of the same fabric count as one.
    fn misfit(&self, i: usize, target: &Target, needles: u32, exact: f64) -> f64 {
        let s = &self.piece.stretches[i];
        match (target.needles, target.flat) {
            (Some(n), _) => exact * f64::from(n.abs_diff(needles)),
            (None, Some(flat)) => {
                let width = width(s, needles, self.piece.allowance).0;
                let alike = self.piece.stretches.iter().zip(&self.drafted.stretches).filter(|(other, d)| {
                    other.fabric == s.fabric && d.width.as_ref().is_some_and(|t| t.flat == target.flat)
                });
                ((width - flat.0) / flat.0).powi(2) / alike.fold(0.0_f64, |n, _| n + 1.0).max(1.0)
            }
            (None, None) => 0.0,
        }
    }
}

fn changed(needles: u32, change: Change, by: u32) -> Option<u32> {
    match change {
        Change::Decrease => needles.checked_sub(by),
        Change::Increase => needles.checked_add(by),
    }
}

/// Needles that carry the loops after they moved from one layout to another.
fn moved(from: Layout, to: Layout, needles: u32) -> u32 {
    match (from, to) {
        (Layout::Every, Layout::MainOnly) => needles / 2,
        (Layout::TwoThree, Layout::MainOnly) => needles * 3 / 4,
        _ => needles,
    }
}

fn width(s: &Stretch, needles: u32, allowance: u32) -> Mm {
    Mm((f64::from(needles) - 2.0 * f64::from(allowance)).max(0.0) * s.gauge.needle.value)
}

#[allow(clippy::too_many_arguments, reason = "the pieces of one sum, used once")]
fn worked(
    piece: &Piece,
    drafted: &PieceDraft,
    rows: &[(u32, u32)],
    needles: u32,
    chosen: &Shapings,
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<Worked>> {
    let mut side: Side = piece.carriage.after(cast_on_passes(piece.cast_on));
    let mut needles = needles;
    let mut all = Vec::new();
    for (i, ((s, d), (rows, unit))) in piece.stretches.iter().zip(&drafted.stretches).zip(rows).enumerate() {
        let (mut end, mut shapings) = (needles, Vec::new());
        if let Some(sh) = &s.shaping {
            let spread = match &sh.when {
                When::Every { rows, times } => spread(*times, rows * times, *rows),
                When::To { .. } => {
                    let times = chosen.get(&(i, needles)).copied().unwrap_or(0);
                    spread_as(sh, times, *rows, *unit)
                }
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
                    end = changed(needles, sh.change, sh.stitches * sh.at.ends() * spread.times())?;
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
        needles = piece.stretches.get(i + 1).map_or(end, |n| moved(s.fabric.layout, n.fabric.layout, end));
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
fn widest(piece: &Piece, places: u32, stretches: &[Worked]) -> u32 {
    let grown = |s: &Stretch, w: &Worked| {
        let more = w.needles_end.saturating_sub(w.needles);
        if s.fabric.layout == Layout::Every { more.div_ceil(2) } else { more }
    };
    let ends = |s: &Stretch| s.shaping.as_ref().map_or(2, |sh| sh.at.ends());
    // Growth at one end alone reaches as far as growth of twice as much about the centre.
    places + piece.stretches.iter().zip(stretches).map(|(s, w)| grown(s, w) * 2 / ends(s)).sum::<u32>()
}

/// Farthest from its wish that a width may come out: a fifth (common practice, no source), or a step of its repeat.
const FARTHEST: f64 = 0.2;

/// Refuses a count that suits everything but the wish.
fn near_the_wish(
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
            let step = s.gauge.needle.value * 4.0;
            let off = (is.0 - flat.0).abs();
            if off > FARTHEST * flat.0 && off > step {
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

fn point(piece: &Piece, settled: &PieceStitches, size: &Size, notices: &mut Notices) -> bool {
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
