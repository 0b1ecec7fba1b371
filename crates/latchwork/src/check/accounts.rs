//! What a size takes: each yarn with its tails, and time.

use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Yarn};

use super::PieceProof;
use crate::cloth::{self, Amount, Knitted, Loops};
use crate::design::Design;
use crate::fact::CheckFact;
use crate::fit::meeting;
use crate::notice::{Notice, Notices};
use crate::plan::{PiecePlan, Plans, sewn_with, yarn_along};
use crate::stitches::Stitches;
use crate::units::Mm;

/// Yarn left on each side of a join between balls: common practice, no source.
const JOIN: Mm = Mm(150.0);

/// The amount of each of the design's yarns that a size takes, seams and joins included, and seconds for all its pieces.
pub(super) fn of_size(
    design: &Design,
    stitches: &Stitches,
    plans: &Plans,
    pieces: &[PieceProof],
) -> (Vec<Amount>, u32) {
    let mut yarn = vec![Amount::NONE; design.yarns.len()];
    let mut seconds = 0;
    for (plan, proof) in plans.pieces.iter().zip(pieces) {
        let of = design.pieces[plan.piece].yarn;
        yarn[of] = yarn[of].and(&proof.yarn.times(plan.make));
        for (other, amount) in &proof.others {
            yarn[*other] = yarn[*other].and(&amount.times(plan.make));
        }
        seconds += proof.seconds * plan.make;
    }
    for seam in &design.seams {
        if let (None, Some(piece)) =
            (sewn_with(design, seam), seam.edges().next().and_then(|e| design.pieces.get(e.piece)))
        {
            // No tail sews it: a new length, with enough at either end to sew in.
            let length = yarn_along(seam.method) * meeting(design, seam, stitches).length[0].0 + 2.0 * JOIN.0;
            yarn[piece.yarn] = yarn[piece.yarn].and(&Amount::of_tails(Mm(length)));
        }
    }
    for (y, amount) in design.yarns.iter().zip(&mut yarn) {
        let balls = y.ball.map_or(1.0, |b| (amount.grams(y.tex).0 / b.0).ceil());
        *amount = amount.and(&Amount::of_tails(Mm(2.0 * JOIN.0 * (balls - 1.0).max(0.0))));
    }
    (yarn, seconds)
}

/// What a piece takes of the design's other yarns, found by name: stripes and second yarns.
pub(super) fn other_yarns(design: &Design, plan: &PiecePlan, run: &Run) -> Vec<(usize, Amount)> {
    let piece = &design.pieces[plan.piece];
    let Some(last) = piece.stretches.len().checked_sub(1) else { return Vec::new() };
    let of = |(number, name): (usize, &String)| {
        let index = design.yarns.iter().position(|y| y.name.eq_ignore_ascii_case(name))?;
        let yarn = Yarn(u8::try_from(number).ok()?);
        let loops = cloth::count_of(&plan.plan, run, plan.origins.len(), yarn);
        let parts: Vec<Knitted<'_>> = plan
            .origins
            .iter()
            .zip(loops)
            .enumerate()
            .filter_map(|(i, (part, loops))| {
                let stretch = part.stretch().unwrap_or(if i == 0 { 0 } else { last }).min(last);
                let gauge = &piece.stretches[stretch].gauge;
                let own = design.gauge(&gauge.fabric, index).and_then(|g| g.loops);
                Some((loops, gauge.fabric.name.as_str(), own.or(gauge.loops)?))
            })
            .collect();
        let amount = cloth::yarn(&parts, design.machine.pitch, &tails_in(plan, yarn));
        (amount.metres > 0.0).then_some((index, amount))
    };
    plan.yarns.iter().enumerate().skip(3).filter_map(of).collect()
}

/// Yarn of one piece. Cast-on and ending count with the loop length of the stretch beside them.
pub(super) fn own_yarn(
    design: &Design,
    plan: &PiecePlan,
    stitches: &Stitches,
    loops: &[Loops],
    notices: &mut Notices,
) -> Amount {
    let piece = &design.pieces[plan.piece];
    let Some(last) = piece.stretches.len().checked_sub(1) else { return Amount::NONE };
    let mut parts: Vec<Knitted<'_>> = Vec::new();
    let mut unknown: Vec<&str> = Vec::new();
    for (i, (part, loops)) in plan.origins.iter().zip(loops).enumerate() {
        let stretch = part.stretch().unwrap_or(if i == 0 { 0 } else { last });
        let s = &piece.stretches[stretch];
        let needles = stitches.pieces[plan.piece].stretches.get(stretch).map_or(0, |w| w.needles);
        match s.loops(needles) {
            Some(length) => parts.push((*loops, &s.fabric.name, length)),
            None if !unknown.contains(&s.fabric.name.as_str()) => {
                unknown.push(&s.fabric.name);
                notices.push(Notice::error(s.span, CheckFact::YarnNotKnown { fabric: s.fabric.name.clone() }));
            }
            None => {}
        }
    }
    cloth::yarn(&parts, design.machine.pitch, &tails_in(plan, Yarn(0)))
}

/// Ends of one yarn left hanging.
fn tails_in(plan: &PiecePlan, yarn: Yarn) -> Vec<Mm> {
    let own = |step: usize| match plan.plan.steps.get(step).map(|s| &s.action) {
        Some(Action::Join { yarn: of, .. } | Action::Cut(of)) => *of == yarn,
        _ => false,
    };
    plan.tails.iter().filter(|t| own(t.step)).map(|t| t.length).collect()
}
