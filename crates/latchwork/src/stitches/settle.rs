//! Needles, rows and stitch sizes of a whole design.

use std::rc::Rc;

use latchwork_machine::needle::Bed;

use super::chain::{Chain, EXACT, PieceProblem};
use super::clash::clash;
use super::joint::{Equal, SizeProblem, SizeSolution, sizes_together};
use super::precheck::{ends_suit, fits_bed, rows};
use super::worked::{near_the_wish, point, widest, worked};
use super::{PieceStitches, Stitches};
use crate::design::{Design, Piece, Size};
use crate::draft::{Draft, PieceDraft};
use crate::fabric::{Ends, left_end};
use crate::measure::Gauge;
use crate::notice::{Notice, Notices};

/// A size with what was found of it.
pub type Settled = (Option<Stitches>, Notices);

/// Settles needles and rows of all pieces of all sizes together. What cannot be is told, with the nearest that can;
/// the other sizes are settled without it.
#[must_use]
pub fn settle(design: &Design, sizes: &[(&Size, &Draft)]) -> Vec<Settled> {
    let mut found: Vec<Notices> = sizes.iter().map(|_| Notices::default()).collect();
    let problems: Vec<Option<SizeProblem<'_>>> = sizes
        .iter()
        .zip(&mut found)
        .map(|((size, draft), notices)| problem(design, size, draft, false, notices))
        .collect();
    let solutions = solutions(sizes, &problems);
    let worked = sizes.iter().zip(problems).zip(solutions).zip(found);
    worked
        .map(|((((size, draft), problem), solution), mut notices)| {
            let stitches = problem.and_then(|p| {
                let Some((solution, settled)) = solution else {
                    notices.push(unsuited(&p.pieces[0], size));
                    return None;
                };
                if !settled {
                    notices.push(
                        Notice::warning(design.pieces[0].span, "Some larger size is smaller somewhere.")
                            .because("No needles and rows keep every size at least as large as those below it."),
                    );
                }
                stitches(&p, &solution, size, &mut notices)
            });
            if stitches.is_none() {
                clashing(design, size, draft, &mut notices);
            }
            (stitches, notices)
        })
        .collect()
}

/// Names the smallest group of wishes that clash, where no single one is to blame.
fn clashing(design: &Design, size: &Size, draft: &Draft, notices: &mut Notices) {
    let group = clash(design, size, draft);
    let Some(last) = notices.0.iter_mut().rev().find(|n| n.level == crate::notice::Level::Error) else { return };
    if group.len() > 1 {
        let names: Vec<&str> = group.iter().map(|g| g.text.as_str()).collect();
        let why = format!("The smallest group of wishes that clash: {}.", names.join("; "));
        last.why = if last.why.is_empty() { why } else { format!("{} {why}", last.why) };
    }
}

/// Solutions of every size that has one, and whether all sizes are in order.
type Solution = Option<(Rc<SizeSolution>, bool)>;

fn solutions(sizes: &[(&Size, &Draft)], problems: &[Option<SizeProblem<'_>>]) -> Vec<Solution> {
    let mut levels = vec![Equal::Free; problems.len()];
    let mut alone: Vec<Option<SizeSolution>> = Vec::new();
    for (i, p) in problems.iter().enumerate() {
        let found = p.as_ref().and_then(|p| {
            for equal in [Equal::Step, Equal::Eased] {
                levels[i] = equal;
                if let Some(s) = p.solve(&p.free(), equal).filter(|s| s.cost < EXACT / 2.0) {
                    return Some(s);
                }
            }
            levels[i] = Equal::Free;
            p.solve(&p.free(), Equal::Free)
        });
        alone.push(found);
    }
    let good: Vec<usize> =
        (0..alone.len()).filter(|i| alone[*i].as_ref().is_some_and(|s| s.cost < EXACT / 2.0)).collect();
    let loosest = good.iter().map(|i| levels[*i]).fold(Equal::Step, |a, b| if b as u8 > a as u8 { b } else { a });
    let mut together = None;
    for equal in [Equal::Step, Equal::Eased, Equal::Free].into_iter().filter(|e| *e as u8 >= loosest as u8) {
        let chosen: Vec<(&SizeProblem<'_>, &Size)> =
            good.iter().filter_map(|i| Some((problems[*i].as_ref()?, sizes[*i].0))).collect();
        let each: Option<Vec<SizeSolution>> = good
            .iter()
            .map(|i| if levels[*i] == equal { alone[*i].clone() } else { chosen_alone(&problems[*i], equal) })
            .collect();
        let Some(each) = each else { continue };
        together = sizes_together(&chosen, each, equal);
        if together.is_some() {
            break;
        }
    }
    let mut all: Vec<Solution> = alone.into_iter().map(|s| Some((Rc::new(s?), together.is_some()))).collect();
    for (i, s) in good.iter().zip(together.into_iter().flatten()) {
        all[*i] = Some((s, true));
    }
    // A size that misses a wish is told by itself; order among the others is no matter of it.
    for (i, s) in all.iter_mut().enumerate() {
        if let (false, Some(s)) = (good.contains(&i), s) {
            s.1 = true;
        }
    }
    all
}

fn chosen_alone(problem: &Option<SizeProblem<'_>>, equal: Equal) -> Option<SizeSolution> {
    let p = problem.as_ref()?;
    p.solve(&p.free(), equal).filter(|s| s.cost < EXACT / 2.0)
}

/// One size as a problem; none when it is plain already that it cannot be.
pub(super) fn problem<'a>(
    design: &'a Design,
    size: &Size,
    draft: &'a Draft,
    hard: bool,
    notices: &mut Notices,
) -> Option<SizeProblem<'a>> {
    let pieces: Vec<Option<PieceProblem<'_>>> = design
        .pieces
        .iter()
        .zip(&draft.pieces)
        .map(|(piece, drafted)| piece_problem(design, piece, drafted, size, hard, notices))
        .collect();
    Some(SizeProblem { pieces: pieces.into_iter().collect::<Option<Vec<_>>>()?, seams: &design.seams })
}

fn piece_problem<'a>(
    design: &Design,
    piece: &'a Piece,
    drafted: &'a PieceDraft,
    size: &Size,
    hard: bool,
    notices: &mut Notices,
) -> Option<PieceProblem<'a>> {
    let nearest = rows(piece, drafted, size, notices)?;
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
    let mut problem = PieceProblem::new(piece, drafted, nearest, available, hard);
    match ends(&problem) {
        Ok((ends, chain)) => {
            problem.ends = ends;
            problem.free = Some(Rc::new(chain));
            Some(problem)
        }
        Err(unsuited) => {
            notices.push(if unsuited {
                self::unsuited(&problem, size)
            } else {
                let names: Vec<&str> = piece.stretches.iter().map(|s| s.fabric.name).collect();
                Notice::error(
                    piece.span,
                    format!("The ends of \"{}\" cannot stand on one bed for all its fabrics.", piece.name),
                )
                .because(format!("They are {}; each asks for its own end needles.", names.join(", ")))
                .hint("Take ends out, or choose fabrics whose ends agree; `latchwork fabrics` lists them.")
            });
            None
        }
    }
}

fn unsuited(p: &PieceProblem<'_>, size: &Size) -> Notice {
    Notice::error(
        p.piece.span,
        format!("No number of needles suits the piece \"{}\" in size {}.", p.piece.name, size.name),
    )
    .because("Its shaping takes away more needles than it has, or its fabrics ask for counts that never agree.")
    .hint("Shape it fewer times, or begin with more needles.")
}

/// The usual ends, both on the main bed, unless an exact count asks for others.
///
/// # Errors
/// True when no count suits; false when the fabrics agree on no ends at all.
fn ends(problem: &PieceProblem<'_>) -> Result<(Ends, Chain), bool> {
    let asked = match problem.piece.ends {
        Some(e) => vec![e],
        None => vec![Ends::BothMain, Ends::MainRibber],
    };
    let possible: Vec<Ends> = asked.into_iter().filter(|e| ends_suit(problem.piece, *e)).collect();
    if possible.is_empty() {
        return Err(false);
    }
    let free = vec![super::chain::Bounds::FREE; problem.piece.stretches.len()];
    let mut best: Option<(Ends, Chain)> = None;
    for ends in possible {
        let Some(found) = (PieceProblem { ends, ..problem.clone() }).chain(&free) else { continue };
        let enough = found.cost < EXACT / 2.0;
        if best.as_ref().is_none_or(|b| found.cost < b.1.cost - 1e-12) {
            best = Some((ends, found));
        }
        if enough {
            break;
        }
    }
    best.ok_or(true)
}

/// The solution as the plan needs it, with what is wrong with it.
fn stitches(
    problem: &SizeProblem<'_>,
    solution: &SizeSolution,
    size: &Size,
    notices: &mut Notices,
) -> Option<Stitches> {
    let pieces: Vec<Option<PieceStitches>> = problem
        .pieces
        .iter()
        .zip(&solution.chains)
        .zip(&solution.rows)
        .map(|((p, chain), rows)| {
            let stretches = worked(p, chain, &rows.rows, size, notices)?;
            let widest = widest(p.piece, chain.places, &stretches);
            if widest > p.available {
                notices.push(
                    Notice::error(
                        p.piece.span,
                        format!("The piece \"{}\" runs out of needles in size {}.", p.piece.name, size.name),
                    )
                    .because(format!("It grows to {widest} places, and the machine has {}.", p.available))
                    .hint("Widen it less, or knit it in two pieces."),
                );
                return None;
            }
            let settled = PieceStitches { ends: p.ends, left: left_end(chain.places), places: chain.places, stretches };
            let near = near_the_wish(p.piece, p.drafted, &settled, size, notices);
            (point(p.piece, &settled, size, notices) && near).then_some(settled)
        })
        .collect();
    Some(Stitches { pieces: pieces.into_iter().collect::<Option<Vec<_>>>()? })
}

/// The design with its stitch sizes chosen, where swatches leave a choice: for each fabric the one, the same in all
/// sizes, with which the sum of misfits is least. Every choice is tried.
#[must_use]
pub fn with_stitch_sizes(design: &Design, sizes: &[(&Size, &Draft)]) -> Option<Design> {
    let mut open: Vec<(&'static str, usize, Vec<Gauge>)> = Vec::new();
    for s in design.pieces.iter().flat_map(|p| &p.stretches).filter(|s| s.choices.len() > 1) {
        if !open.iter().any(|o| o.0 == s.fabric.name && o.1 == s.gauge.yarn) {
            open.push((s.fabric.name, s.gauge.yarn, s.choices.clone()));
        }
    }
    if open.is_empty() {
        return None;
    }
    let mut best: Option<(f64, Design)> = None;
    let count = open.iter().map(|o| o.2.len()).product::<usize>();
    for number in 0..count {
        let mut chosen = design.clone();
        let mut rest = number;
        for (fabric, yarn, gauges) in &open {
            let gauge = &gauges[rest % gauges.len()];
            rest /= gauges.len();
            let of = |s: &&mut crate::design::Stretch| {
                s.fabric.name == *fabric && s.gauge.yarn == *yarn && s.choices.len() > 1
            };
            for s in chosen.pieces.iter_mut().flat_map(|p| &mut p.stretches).filter(of) {
                s.gauge = gauge.clone();
            }
        }
        let cost = misfit(&chosen, sizes);
        if best.as_ref().is_none_or(|b| cost < b.0 - 1e-12) {
            best = Some((cost, chosen));
        }
    }
    let mut design = best?.1;
    for s in design.pieces.iter_mut().flat_map(|p| &mut p.stretches) {
        s.choices.clear();
    }
    Some(design)
}

/// The sum of misfits of all sizes; a size that cannot be counts as a wish missed.
#[must_use]
pub fn misfit(design: &Design, sizes: &[(&Size, &Draft)]) -> f64 {
    let problems: Vec<Option<SizeProblem<'_>>> =
        sizes.iter().map(|(s, d)| problem(design, s, d, false, &mut Notices::default())).collect();
    solutions(sizes, &problems).iter().map(|s| s.as_ref().map_or(EXACT, |s| s.0.cost)).sum()
}
