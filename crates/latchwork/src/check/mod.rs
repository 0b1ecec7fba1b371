//! Runs the judge on every plan, compares drafted with knitted, and alone makes what may be printed.

mod wording;
mod craft;
mod fabric;
mod mend;
mod rules;

use std::sync::{Arc, OnceLock};

use latchwork_machine::rehearsal::{Finding, Run, rehearse};
use latchwork_machine::steps::{Action, Yarn};

use crate::cloth::{self, Amount, Each, Knitted, Loops, in_turn};
use crate::design::{Design, Size};
use crate::draft::{Draft, draft};
use crate::fabric::{Fabric, find};
use crate::fit::{Line, Measure, SewingMap, measures, meeting, sewing, sheet};
use crate::notes::Noted;
use crate::notice::{Level, Notice, Notices};
use crate::plan::{PiecePlan, Plans, plans, sewn_with, yarn_along};
use crate::stitches::{Stitches, Worked, settle, with_stitch_sizes};
use crate::units::{Grams, Mm, Show};
use crate::words::{Given, Label};

pub use fabric::{Asks, Tried, tried};
pub use mend::{mend_design, mend_notes};
pub use rules::RUNS_OUT;
use wording::explain_cause;
pub use wording::{Rule, explain, explain_fault, one_of_each, rules};

/// A piece of one size, rehearsed.
#[derive(Debug, Clone)]
pub struct PieceProof {
    /// Its run; shared, for it is the bulk of a proof.
    pub run: Arc<Run>,
    /// Its loops by part.
    pub loops: Vec<Loops>,
    /// Yarn for one, of its own yarn.
    pub yarn: Amount,
    /// Other yarns of the design that it takes, by index, for one.
    pub others: Vec<(usize, Amount)>,
    /// Seconds for one.
    pub seconds: u32,
}

/// One size worked out and rehearsed, whether or not it passed.
#[derive(Debug, Clone)]
pub struct SizeProof {
    /// The size, by index.
    pub size: usize,
    /// What was wished.
    pub draft: Draft,
    /// Needles and rows.
    pub stitches: Stitches,
    /// Steps; shared, as the runs are.
    pub plans: Arc<Plans>,
    /// What came of them; one for each piece plan.
    pub pieces: Vec<PieceProof>,
    /// How it fits.
    pub fit: Vec<Measure>,
    /// The fit sheet.
    pub sheet: Vec<Line>,
    /// How it is sewn.
    pub sewing: SewingMap,
    /// Yarn for all pieces, by yarn.
    pub yarn: Vec<Amount>,
    /// Seconds for all pieces.
    pub seconds: u32,
    /// What was found.
    pub notices: Notices,
}

impl SizeProof {
    /// A stretch of a piece, worked out.
    #[must_use]
    pub fn stretch(&self, piece: usize, stretch: usize) -> &Worked {
        &self.stitches.pieces[piece].stretches[stretch]
    }

    /// What came of a piece of the design, by index.
    #[must_use]
    pub fn piece_proof(&self, piece: usize) -> Option<&PieceProof> {
        let index = self.plans.pieces.iter().position(|p| p.piece == piece)?;
        self.pieces.get(index)
    }

    /// Weight and its 95 % range for the yarn of this index.
    #[must_use]
    pub fn grams(&self, design: &Design, yarn: usize) -> (Grams, Grams) {
        let tex = design.yarns[yarn].tex;
        (self.yarn[yarn].grams(tex), self.yarn[yarn].grams_range(tex))
    }
}

/// What came of working out a design.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Every size that could be worked out.
    pub sizes: Arc<Vec<SizeProof>>,
    /// Everything found, with the size it was found in.
    pub notices: Vec<(Option<usize>, Notice)>,
    /// What may be printed: all asked sizes, none with an error.
    pub proven: Option<Proven>,
    /// What may be printed while other sizes have errors: the sizes that have none.
    pub apart: Option<Proven>,
}

impl Outcome {
    /// What may be printed now: every asked size, or those of them that have no error.
    #[must_use]
    pub fn printable(&self) -> Option<&Proven> {
        self.proven.as_ref().or(self.apart.as_ref())
    }
}

/// A design with sizes that were all rehearsed without an error. Only this room makes one.
#[derive(Debug, Clone)]
pub struct Proven {
    design: Design,
    sizes: Arc<Vec<SizeProof>>,
    swatched: bool,
}

impl Proven {
    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// Whether every fabric was swatched, so that there are measures and yarn to print.
    #[must_use]
    pub fn swatched(&self) -> bool {
        self.swatched
    }

    /// The sizes, in the design's order.
    #[must_use]
    pub fn sizes(&self) -> &[SizeProof] {
        &self.sizes
    }
}

/// What the words need to say a plan.
#[must_use]
pub fn given(plan: &PiecePlan, show: Show) -> Given<'_> {
    let labels = plan.origins.iter().map(|p| Label { text: p.label.clone(), fabric: p.fabric() });
    Given { labels: labels.collect(), yarns: &plan.yarns, tails: plan.tail_lengths(), show }
}

/// A design with the stitch sizes chosen that fit best, where its swatches leave a choice.
#[must_use]
pub fn with_best_stitch_sizes(design: Design) -> Design {
    let (drafts, found) = drafts(&design);
    with_stitch_sizes(&design, &possible(&design, &drafts, &found)).unwrap_or(design)
}

/// Every size drafted, and what was found.
fn drafts(design: &Design) -> (Vec<Draft>, Vec<Notices>) {
    let drafted = |s: &Size| {
        let mut found = Notices::default();
        (draft(design, s, &mut found), found)
    };
    design.sizes.iter().map(drafted).unzip()
}

/// The sizes whose draft has no error.
fn possible<'a>(design: &'a Design, drafts: &'a [Draft], found: &[Notices]) -> Vec<(&'a Size, &'a Draft)> {
    let all = design.sizes.iter().zip(drafts).zip(found);
    all.filter(|(_, found)| !found.has_error()).map(|(of, _)| of).collect()
}

/// Works out and rehearses sizes of a design, by index.
#[must_use]
pub fn prove(design: &Design, sizes: &[usize]) -> Outcome {
    prove_with(design, sizes, &in_turn)
}

/// As [`prove`]; `each` decides whether sizes and pieces are done one after the other or side by side.
#[must_use]
pub fn prove_with(design: &Design, sizes: &[usize], each: Each<'_>) -> Outcome {
    let own = own_fabrics(design);
    if own.iter().any(|n| n.level == Level::Error) {
        let notices = own.into_iter().map(|n| (None, n)).collect();
        return Outcome { sizes: Arc::default(), notices, proven: None, apart: None };
    }
    let mut outcome = worked_out(design, sizes, each);
    outcome.notices.extend(own.into_iter().map(|n| (None, n)));
    outcome
}

/// The author's own fabrics that the pieces are knitted in, tried before anything is made of them.
fn own_fabrics(design: &Design) -> Vec<Notice> {
    let mut tried: Vec<&Arc<Fabric>> = Vec::new();
    let mut notices = Vec::new();
    for f in design.pieces.iter().flat_map(|p| &p.stretches).map(|s| &s.fabric) {
        let known = find(&f.name).is_some_and(|b| Arc::ptr_eq(b, f)) || tried.iter().any(|t| Arc::ptr_eq(t, f));
        if !known {
            tried.push(f);
            notices.extend(fabric::tried(f).notices);
        }
    }
    notices
}

/// Works out and rehearses sizes.
fn worked_out(design: &Design, sizes: &[usize], each: Each<'_>) -> Outcome {
    let asked = sizes;
    let (drafts, mut found) = drafts(design);
    let wished = possible(design, &drafts, &found);
    let chosen = with_stitch_sizes(design, &wished);
    let design = chosen.as_ref().unwrap_or(design);
    // All sizes are settled together, also those that are not asked for.
    let mut settled: Vec<Option<Stitches>> = vec![None; drafts.len()];
    let settled_of: Vec<usize> = (0..drafts.len()).filter(|i| !found[*i].has_error()).collect();
    for (i, (stitches, notices)) in settled_of.into_iter().zip(settle(design, &wished)) {
        settled[i] = stitches;
        found[i].0.extend(notices.0);
    }
    rules::told_apart(design, &settled, &mut found);
    let like = settled.iter().flatten().next_back().cloned().unwrap_or_else(|| Stitches { pieces: Vec::new() });
    let mut of_sizes: Vec<Option<Ready>> =
        drafts.into_iter().zip(settled).zip(found).map(|((d, s), n)| Some((d, s, n))).collect();
    let sizes: Vec<(usize, &Size)> = asked.iter().filter_map(|i| Some((*i, design.sizes.get(*i)?))).collect();
    let ready: Vec<Option<Ready>> = sizes.iter().map(|(i, _)| of_sizes[*i].take()).collect();
    let planned: Vec<OnceLock<(Option<Planned>, Notices)>> = sizes.iter().map(|_| OnceLock::new()).collect();
    each(sizes.len(), &|i| {
        planned[i].get_or_init(|| {
            let Some((draft, stitches, found)) = ready[i].clone() else { return (None, Notices::default()) };
            let whole = stitches.map(|s| {
                let plans = Arc::new(plans(design, &s));
                (draft, s, plans)
            });
            (whole, found)
        });
    });
    let planned: Vec<(Option<Planned>, Notices)> = planned.into_iter().filter_map(OnceLock::into_inner).collect();
    let jobs: Vec<&PiecePlan> = planned.iter().filter_map(|p| p.0.as_ref()).flat_map(|p| &p.2.pieces).collect();
    let runs: Vec<OnceLock<Run>> = jobs.iter().map(|_| OnceLock::new()).collect();
    each(jobs.len(), &|i| {
        runs[i].get_or_init(|| rehearse(&jobs[i].plan, &design.machine.profile));
    });
    let mut runs = runs.into_iter().filter_map(OnceLock::into_inner);
    let mut proofs = Vec::new();
    let mut notices = Vec::new();
    for ((index, size), (worked, mut found)) in sizes.iter().zip(planned) {
        let Some(worked) = worked else {
            notices.extend(found.0.into_iter().map(|n| (Some(*index), n)));
            continue;
        };
        let own: Vec<Run> = runs.by_ref().take(worked.2.pieces.len()).collect();
        let proof = rehearsed(design, (*index, size), worked, own, (&like, true), &mut found);
        notices.extend(proof.notices.0.iter().map(|n| (Some(*index), n.clone())));
        proofs.push(proof);
    }
    let clean =
        proofs.len() == sizes.len() && !sizes.is_empty() && notices.iter().all(|(_, n)| n.level != Level::Error);
    let proofs = Arc::new(proofs);
    let proven = clean.then(|| Proven { design: design.clone(), sizes: Arc::clone(&proofs), swatched: true });
    let good: Vec<SizeProof> = if clean { &[] } else { proofs.as_slice() }
        .iter()
        .filter(|s| notices.iter().all(|(of, n)| n.level != Level::Error || of.is_some_and(|of| of != s.size)))
        .cloned()
        .collect();
    let apart = (!good.is_empty()).then(|| Proven { design: design.clone(), sizes: Arc::new(good), swatched: true });
    Outcome { sizes: proofs, notices, proven, apart }
}

/// Rehearses notes: a design of one size whose plan is given.
#[must_use]
pub fn prove_notes(noted: &Noted) -> Outcome {
    let mut found = Notices::default();
    let design = &noted.design;
    let Some(size) = design.sizes.first() else {
        return Outcome { sizes: Arc::default(), notices: Vec::new(), proven: None, apart: None };
    };
    let worked = (noted.draft.clone(), noted.stitches.clone(), Arc::new(noted.plans.clone()));
    let runs = noted.plans.pieces.iter().map(|p| rehearse(&p.plan, &design.machine.profile)).collect();
    let proof = rehearsed(design, (0, size), worked, runs, (&noted.stitches, noted.swatched), &mut found);
    let notices: Vec<_> = proof.notices.0.iter().map(|n| (Some(0), n.clone())).collect();
    let clean = !notices.iter().any(|(_, n)| n.level == Level::Error) && !noted.plans.pieces.is_empty();
    let sizes = Arc::new(vec![proof]);
    let proven = clean.then(|| Proven { design: design.clone(), sizes: Arc::clone(&sizes), swatched: noted.swatched });
    Outcome { sizes, notices, proven, apart: None }
}

/// Draft, needles and rows, steps.
type Planned = (Draft, Stitches, Arc<Plans>);

/// Yarn left at each side where one ball follows another: common practice, no source.
const JOIN: Mm = Mm(150.0);

/// Findings of one rule from one line, the first of them with how often it was met in all, and on how many needles.
fn by_cause(findings: &[Finding]) -> Vec<(Finding, usize)> {
    let mut causes: Vec<(Finding, usize)> = Vec::new();
    for f in findings {
        let same = |c: &&mut (Finding, usize)| c.0.fault.rule().0 == f.fault.rule().0 && c.0.origin == f.origin;
        match causes.iter_mut().find(same) {
            Some((first, needles)) => {
                first.times += f.times;
                *needles += 1;
            }
            None => causes.push((*f, 1)),
        }
    }
    causes
}

/// What was wished, needles and rows, and what was found.
type Ready = (Draft, Option<Stitches>, Notices);

/// Looks at the runs of a size; yarn is told where it is wanted.
fn rehearsed(
    design: &Design,
    (index, size): (usize, &Size),
    (draft, stitches, plans): Planned,
    runs: Vec<Run>,
    (like, with_yarn): (&Stitches, bool),
    notices: &mut Notices,
) -> SizeProof {
    let mut pieces = Vec::new();
    for (plan, run) in plans.pieces.iter().zip(runs) {
        for (finding, needles) in by_cause(&run.findings) {
            notices.push(explain_cause(design, plan, &finding, needles));
        }
        rules::knitted_as_drafted(plan, &stitches, &run, notices);
        rules::loose_enough(plan, notices);
        craft::look(design, plan, &run, notices);
        let loops = cloth::count(&plan.plan, &run, plan.origins.len());
        let yarn = if with_yarn { piece_yarn(design, plan, &loops, notices) } else { Amount::NONE };
        let others = if with_yarn { other_yarns(design, plan, &run) } else { Vec::new() };
        pieces.push(PieceProof {
            run: Arc::new(run),
            loops,
            yarn,
            others,
            seconds: cloth::seconds(&plan.plan, &design.pace),
        });
    }
    rules::seams_meet(design, (&draft, &stitches), size, notices);
    let mut yarn = vec![Amount::NONE; design.yarns.len()];
    let mut seconds = 0;
    for (plan, proof) in plans.pieces.iter().zip(&pieces) {
        let of = design.pieces[plan.piece].yarn;
        yarn[of] = yarn[of].and(&proof.yarn.times(plan.make));
        for (other, amount) in &proof.others {
            yarn[*other] = yarn[*other].and(&amount.times(plan.make));
        }
        seconds += proof.seconds * plan.make;
    }
    for seam in &design.seams {
        if let (None, Some(piece)) = (sewn_with(design, seam), design.pieces.get(seam.edges[0].piece)) {
            // No tail sews it: a new length, with some at either end to run in.
            let length = yarn_along(seam.method) * meeting(design, seam, &stitches).length[0].0 + 2.0 * JOIN.0;
            yarn[piece.yarn] = yarn[piece.yarn].and(&Amount::of_tails(Mm(length)));
        }
    }
    for (y, amount) in design.yarns.iter().zip(&mut yarn) {
        let balls = y.ball.map_or(1.0, |b| (amount.grams(y.tex).0 / b.0).ceil());
        *amount = amount.and(&Amount::of_tails(Mm(2.0 * JOIN.0 * (balls - 1.0).max(0.0))));
    }
    rules::yarn_in_hand(design, &yarn, size, notices);
    let fit = measures(design, &draft, &stitches);
    let sheet = sheet(design, index, &draft, &stitches);
    let sewing = sewing(design, &stitches, like, &fit);
    rules::stretches_enough(design, size, &sheet, notices);
    let notices = std::mem::take(notices);
    SizeProof { size: index, draft, stitches, plans, pieces, fit, sheet, sewing, yarn, seconds, notices }
}

/// What a piece takes of the design's other yarns, told by their names: stripes and second yarns.
fn other_yarns(design: &Design, plan: &PiecePlan, run: &Run) -> Vec<(usize, Amount)> {
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

/// Yarn of one piece. Cast-on and ending are reckoned with the loops of the stretch beside them.
fn piece_yarn(design: &Design, plan: &PiecePlan, loops: &[Loops], notices: &mut Notices) -> Amount {
    let piece = &design.pieces[plan.piece];
    let Some(last) = piece.stretches.len().checked_sub(1) else { return Amount::NONE };
    let mut parts: Vec<Knitted<'_>> = Vec::new();
    let mut unknown: Vec<&str> = Vec::new();
    for (i, (part, loops)) in plan.origins.iter().zip(loops).enumerate() {
        let stretch = part.stretch().unwrap_or(if i == 0 { 0 } else { last });
        let s = &piece.stretches[stretch];
        match s.gauge.loops {
            Some(length) => parts.push((*loops, &s.fabric.name, length)),
            None if !unknown.contains(&s.fabric.name.as_str()) => {
                unknown.push(&s.fabric.name);
                let n = Notice::error(s.span, format!("How much yarn {} takes is not known.", s.fabric.name))
                    .because(
                        "Its swatch was not weighed, and only plain knitting has published constants to reckon with.",
                    )
                    .hint("Weigh the whole swatch and write weighed (g)… needles=… passes=…");
                notices.push(n);
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
