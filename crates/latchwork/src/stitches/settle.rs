//! Needles, rows and stitch sizes of a whole design.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use latchwork_machine::needle::{Bed, Slot};

use super::chain::{Chain, EXACT, PieceProblem};
use super::clash::clash;
use super::joint::{Equal, Searched, SizeProblem, SizeSolution, one_after_the_other, sizes_together};
use super::precheck::{ends_suit, fits_bed, rows};
use super::worked::{grown, near_the_wish, point, widest, worked};
use super::{PieceStitches, Stitches};
use crate::design::{Design, JoinAt, Piece, Size};
use crate::draft::{Draft, PieceDraft};
use crate::fabric::{Ends, Fabric, left_end};
use crate::fact::StitchesFact;
use crate::measure::Gauge;
use crate::notice::{Level, Notice, Notices};
use crate::units::Show;

/// A settled size with its findings.
pub type Settled = (Option<Stitches>, Notices);

/// Settles needles and rows of all pieces of all sizes together. A size that is not possible is reported, with the
/// nearest that is; the others are settled without it.
#[must_use]
pub fn settle(design: &Design, sizes: &[(&Size, &Draft)]) -> Vec<Settled> {
    let mut found: Vec<Notices> = sizes.iter().map(|_| Notices::default()).collect();
    let problems: Vec<Option<SizeProblem<'_>>> = sizes
        .iter()
        .zip(&mut found)
        .map(|((size, draft), notices)| problem(design, size, draft, false, notices))
        .collect();
    let solutions = solutions(sizes, &problems);
    let mut told = false;
    let worked = sizes.iter().zip(problems).zip(solutions).zip(found);
    worked
        .map(|((((size, draft), problem), solution), mut notices)| {
            let stitches = problem.and_then(|p| {
                let Some((solution, how)) = solution else {
                    notices.push(unsuited(&p.pieces[0], size));
                    return None;
                };
                notices.0.extend(how.told(design, size));
                stitches(design.show, &p, &solution, size, &mut notices)
            });
            // Reported for the first size that fails: the others usually fail in the same way.
            if stitches.is_none() && !std::mem::replace(&mut told, true) {
                clashing(design, size, draft, &mut notices);
            }
            (stitches, notices)
        })
        .collect()
}

/// Names the smallest group of conflicting targets, where no single one is at fault.
fn clashing(design: &Design, size: &Size, draft: &Draft, notices: &mut Notices) {
    let group = clash(design, size, draft);
    let Some(last) = notices.0.iter_mut().rev().find(|n| n.level == Level::Error) else { return };
    if group.len() > 1 {
        let fact = Box::new(last.fact.clone());
        last.fact = StitchesFact::Clash { fact, wishes: group.into_iter().map(|g| g.wish).collect() }.into();
    }
}

/// How sure a solution is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    /// The best there is.
    Best,
    /// Every size at least as large as those below it, and the best under that condition; not proven the best together.
    OneAfterTheOther,
    /// The best of this size alone; a larger size is smaller somewhere.
    OutOfOrder,
    /// Sewn edges left unequal: there were too many ways to make them equal.
    GaveUp,
}

impl How {
    fn told(self, design: &Design, size: &Size) -> Option<Notice> {
        let span = design.seams.first().map_or(design.pieces[0].span, |s| s.span);
        match self {
            How::Best => None,
            How::OneAfterTheOther => {
                let n = Notice::warning(span, StitchesFact::SettledOneByOne);
                Some(Notice { level: Level::Note, ..n })
            }
            How::OutOfOrder => Some(Notice::warning(design.pieces[0].span, StitchesFact::LargerIsSmaller)),
            How::GaveUp => Some(Notice::warning(span, StitchesFact::EdgesUnequal { size: size.name.clone() })),
        }
    }
}

type Solution = Option<(Rc<SizeSolution>, How)>;

/// Where the fullness asked for cannot be had, the nearest that can is looked for.
const WIDER: [Equal; 5] = [Equal::Wider(1), Equal::Wider(2), Equal::Wider(4), Equal::Wider(8), Equal::Wider(16)];

/// Solutions of every size that has one.
fn solutions(sizes: &[(&Size, &Draft)], problems: &[Option<SizeProblem<'_>>]) -> Vec<Solution> {
    let mut levels = vec![Equal::Free; problems.len()];
    let mut all: Vec<Solution> = Vec::new();
    for (i, p) in problems.iter().enumerate() {
        let Some(p) = p else {
            all.push(None);
            continue;
        };
        let mut how = How::Best;
        let mut found = None;
        let full = p.seams.iter().any(|s| s.fullness.is_some());
        let wider: &[Equal] = if full { &WIDER } else { &[] };
        for equal in [Equal::Step, Equal::Eased].iter().chain(wider).copied() {
            levels[i] = equal;
            match p.search(&p.free(), equal) {
                Searched::Best(s) if s.cost < EXACT / 2.0 => {
                    found = Some(s);
                    break;
                }
                Searched::Best(_) | Searched::Nothing => {}
                Searched::GaveUp => how = How::GaveUp,
            }
        }
        if found.is_none() {
            levels[i] = Equal::Free;
            found = p.solve(&p.free(), Equal::Free);
        }
        all.push(found.map(|s| (Rc::new(s), how)));
    }
    // A size that misses a target is reported by itself and does not affect the order of the others.
    let good: Vec<usize> =
        (0..all.len()).filter(|i| all[*i].as_ref().is_some_and(|s| s.0.cost < EXACT / 2.0)).collect();
    let chosen: Vec<(&SizeProblem<'_>, &Size, Equal)> =
        good.iter().filter_map(|i| Some((problems[*i].as_ref()?, sizes[*i].0, levels[*i]))).collect();
    let alone: Vec<Rc<SizeSolution>> = good.iter().filter_map(|i| Some(Rc::clone(&all[*i].as_ref()?.0))).collect();
    let (together, order) = match sizes_together(&chosen, alone) {
        Some(t) => (Some(t), How::Best),
        None => match one_after_the_other(&chosen) {
            Some(t) => (Some(t), How::OneAfterTheOther),
            None => (None, How::OutOfOrder),
        },
    };
    for (k, i) in good.iter().enumerate() {
        if let Some((solution, how)) = &mut all[*i] {
            if let Some(t) = &together {
                *solution = Rc::clone(&t[k]);
            }
            if *how == How::Best {
                *how = order;
            }
        }
    }
    all
}

/// One size as a problem; none if it is already known to be impossible.
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
        .enumerate()
        .map(|(p, (piece, drafted))| piece_problem(design, (p, piece), drafted, size, hard, notices))
        .collect();
    let mut problem = SizeProblem {
        pieces: pieces.into_iter().collect::<Option<Vec<_>>>()?,
        seams: design.meetings().collect(),
        lengths: RefCell::default(),
    };
    // A piece that is knitted on to edges begins about as wide as they are.
    let hung = design.joins.iter().filter(|j| j.at == JoinAt::FirstRow);
    let widths: Vec<(usize, f64)> = hung.filter_map(|j| Some((j.piece, problem.hung(&j.seam)?))).collect();
    for (piece, width) in widths {
        let own = &mut problem.pieces[piece];
        own.prefers = Some(width);
        own.free = own.chain(&vec![super::chain::Bounds::FREE; own.piece.stretches.len()]).map(Rc::new);
    }
    Some(problem)
}

/// Stretches of a piece at the side of a seam that is fitted to the other.
fn fitted(design: &Design, piece: usize) -> Vec<usize> {
    let seams = design.meetings().filter(|s| s.fullness.is_some());
    seams.flat_map(|s| &s.sides[0]).filter(|e| e.piece == piece).flat_map(|e| e.stretches.iter().copied()).collect()
}

fn piece_problem<'a>(
    design: &Design,
    (index, piece): (usize, &'a Piece),
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
        notices.push(Notice::error(piece.span, StitchesFact::NeedsRibber { piece: piece.name.clone() }));
        return None;
    }
    if !fits_bed(design, piece, drafted, size, available, notices) {
        return None;
    }
    let mut problem = PieceProblem::new(piece, drafted, nearest, available, hard);
    problem.fitted = fitted(design, index);
    problem.most_held = design.machine.most_held;
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
                let fabrics = piece.stretches.iter().map(|s| s.fabric.name.clone()).collect();
                Notice::error(piece.span, StitchesFact::EndsOnOneBed { piece: piece.name.clone(), fabrics })
            });
            None
        }
    }
}

fn unsuited(p: &PieceProblem<'_>, size: &Size) -> Notice {
    Notice::error(p.piece.span, StitchesFact::NoNumberSuits { piece: p.piece.name.clone(), size: size.name.clone() })
}

/// The usual ends, both on the main bed, unless an exact count needs others.
///
/// # Errors
/// True when no count suits; false when the fabrics agree on no ends.
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

/// The solution as the plan needs it, its findings reported.
fn stitches(
    show: Show,
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
            let mut left = left_end(chain.places);
            let mut widest = widest(p.piece, chain.places, &stretches);
            if widest > p.available {
                // What grows at one end begins off the centre of the beds.
                let (at_left, at_right) = grown(p.piece, &stretches);
                widest = chain.places + at_left + at_right;
                left = Slot(left_end(widest).0 + i16::try_from(at_left).unwrap_or(0));
            }
            if widest > p.available {
                notices.push(Notice::error(
                    p.piece.span,
                    StitchesFact::RunsOutOfNeedles {
                        piece: p.piece.name.clone(),
                        size: size.name.clone(),
                        widest,
                        available: p.available,
                    },
                ));
                return None;
            }
            let settled = PieceStitches { ends: p.ends, left, places: chain.places, stretches, unmeasured: 0 };
            let near = near_the_wish(show, p.piece, p.drafted, &settled, size, notices);
            (point(p.piece, &settled, size, notices) && near).then_some(settled)
        })
        .collect();
    Some(Stitches { pieces: pieces.into_iter().collect::<Option<Vec<_>>>()? })
}

/// The design with its stitch sizes chosen where swatches leave a choice: for each fabric the one, common to all sizes,
/// with the least sum of misfits. Every choice is tried.
#[must_use]
pub fn with_stitch_sizes(design: &Design, sizes: &[(&Size, &Draft)]) -> Option<Design> {
    let mut open: Vec<(Arc<Fabric>, usize, Vec<Gauge>)> = Vec::new();
    for s in design.pieces.iter().flat_map(|p| &p.stretches).filter(|s| s.choices.len() > 1) {
        if !open.iter().any(|o| Arc::ptr_eq(&o.0, &s.fabric) && o.1 == s.gauge.yarn) {
            open.push((Arc::clone(&s.fabric), s.gauge.yarn, s.choices.clone()));
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
                Arc::ptr_eq(&s.fabric, fabric) && s.gauge.yarn == *yarn && s.choices.len() > 1
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

/// The sum of misfits of all sizes; an impossible size counts as a missed exact target.
#[must_use]
pub fn misfit(design: &Design, sizes: &[(&Size, &Draft)]) -> f64 {
    let problems: Vec<Option<SizeProblem<'_>>> =
        sizes.iter().map(|(s, d)| problem(design, s, d, false, &mut Notices::default())).collect();
    solutions(sizes, &problems).iter().map(|s| s.as_ref().map_or(EXACT, |s| s.0.cost)).sum()
}
