//! Rehearses every plan, compares drafted with knitted, and alone decides what may be printed.

mod accounts;
mod findings;
mod fabric;
mod mend;
mod rules;

use std::sync::{Arc, OnceLock};

use latchwork_machine::rehearsal::{Ended, Finding, Run, rehearse};

use crate::cloth::{self, Amount, Each, Loops, in_turn};
use crate::design::{Design, Size, Stretch};
use crate::draft::{Draft, draft};
use crate::fabric::{Fabric, find};
use crate::fit::{FitLine, Measure, SewingMap, measures, sewing, sheet};
use crate::notes::Noted;
use crate::notice::{Level, Notice, Notices};
use crate::plan::{PiecePlan, Plans, plans};
use crate::stitches::{Stitches, WorkedStretch, settle, with_stitch_sizes};
use crate::units::{Grams, Show};
use crate::words::{Given, Label};

pub use fabric::{Asks, Tried, tried};
use findings::explain_cause;
pub use findings::{explain, one_of_each, rules, source};
pub use mend::{mend_design, mend_notes};

/// A piece of one size, rehearsed.
#[derive(Debug, Clone)]
pub struct PieceProof {
    /// Its run; shared, since it is the bulk of a proof.
    pub run: Arc<Run>,
    /// Its loops by part.
    pub loops: Vec<Loops>,
    /// The amount of its own yarn, for one.
    pub yarn: Amount,
    /// Other yarns of the design that it takes, by index, for one.
    pub others: Vec<(usize, Amount)>,
    /// Seconds for one.
    pub seconds: u32,
}

/// One size, planned and rehearsed, whether or not it passed.
#[derive(Debug, Clone)]
pub struct SizeProof {
    /// The size, by index.
    pub size: usize,
    /// The target measures.
    pub draft: Draft,
    /// Needles and rows.
    pub stitches: Stitches,
    /// Steps; shared, as the runs are.
    pub plans: Arc<Plans>,
    /// The proof of each piece plan.
    pub pieces: Vec<PieceProof>,
    /// How it fits.
    pub fit: Vec<Measure>,
    /// The fit sheet.
    pub sheet: Vec<FitLine>,
    /// The sewing map.
    pub sewing: SewingMap,
    /// The amount of each yarn for all pieces.
    pub yarn: Vec<Amount>,
    /// Seconds for all pieces.
    pub seconds: u32,
    /// The findings.
    pub notices: Notices,
}

impl SizeProof {
    /// A stretch of a piece, settled.
    #[must_use]
    pub fn stretch(&self, piece: usize, stretch: usize) -> &WorkedStretch {
        &self.stitches.pieces[piece].stretches[stretch]
    }

    /// The proof of a piece of the design, by index.
    #[must_use]
    pub fn piece_proof(&self, piece: usize) -> Option<&PieceProof> {
        let index = self.plans.pieces.iter().position(|p| p.piece == piece)?;
        self.pieces.get(index)
    }

    /// A piece, by its place among the plans, if it was rehearsed to its end without an error.
    #[must_use]
    pub fn proven(&self, piece: usize) -> Option<ProvenPiece<'_>> {
        let (plan, proof) = (self.plans.pieces.get(piece)?, self.pieces.get(piece)?);
        let fine = proof.run.ended == Ended::Finished && proof.run.error().is_none();
        fine.then_some(ProvenPiece { plan, proof })
    }

    /// Weight and half its 95 % range for the yarn of this index.
    #[must_use]
    pub fn grams(&self, design: &Design, yarn: usize) -> (Grams, Grams) {
        let tex = design.yarns[yarn].tex;
        (self.yarn[yarn].grams(tex), self.yarn[yarn].grams_range(tex))
    }
}

/// A piece rehearsed to its end without an error, fit to be counted at the machine. Only this room makes one.
#[derive(Debug, Clone, Copy)]
pub struct ProvenPiece<'a> {
    plan: &'a PiecePlan,
    proof: &'a PieceProof,
}

impl<'a> ProvenPiece<'a> {
    /// Its steps.
    #[must_use]
    pub fn plan(self) -> &'a PiecePlan {
        self.plan
    }

    /// Its run.
    #[must_use]
    pub fn run(self) -> &'a Run {
        &self.proof.run
    }
}

/// The result of working out a design.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Every size that could be worked out.
    pub sizes: Arc<Vec<SizeProof>>,
    /// All findings, each with its size.
    pub notices: Vec<(Option<usize>, Notice)>,
    /// What may be printed: all sizes asked for, none with an error.
    pub proven: Option<Proven>,
    /// What may be printed while other sizes have errors: the sizes without one.
    pub apart: Option<Proven>,
}

impl Outcome {
    /// What may be printed now: every size asked for, or those of them without an error.
    #[must_use]
    pub fn printable(&self) -> Option<&Proven> {
        self.proven.as_ref().or(self.apart.as_ref())
    }
}

/// A design whose sizes were all rehearsed without an error. Only this room makes one.
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

    /// Whether every fabric was swatched: without swatches there are no measures or yarn to print.
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

/// What the words need besides the steps of a plan.
#[must_use]
pub fn given(plan: &PiecePlan, show: Show) -> Given<'_> {
    let labels = plan.origins.iter().map(|p| Label { name: p.name.clone(), fabric: p.fabric() });
    Given {
        labels: labels.collect(),
        yarns: &plan.yarns,
        charts: &plan.charts,
        tails: plan.tail_lengths(),
        hung: &plan.hung,
        show,
    }
}

/// The design with the stitch sizes that fit best, where its swatches leave a choice.
#[must_use]
pub fn with_best_stitch_sizes(design: Design) -> Design {
    let (drafts, found) = drafts(&design);
    with_stitch_sizes(&design, &possible(&design, &drafts, &found)).unwrap_or(design)
}

/// The draft of every size, and its findings.
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

/// Plans and rehearses sizes of a design, by index.
#[must_use]
pub fn prove(design: &Design, sizes: &[usize]) -> Outcome {
    prove_with(design, sizes, &in_turn)
}

/// As [`prove`]; `each` decides whether sizes and pieces are done in turn or in parallel.
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

/// Findings on the author's own fabrics that the pieces use, tried before anything is made of them.
fn own_fabrics(design: &Design) -> Vec<Notice> {
    let mut tried: Vec<&Arc<Fabric>> = Vec::new();
    let mut notices = Vec::new();
    for f in design.pieces.iter().flat_map(|p| &p.stretches).flat_map(Stretch::gauges).map(|g| &g.fabric) {
        let known = find(&f.name).is_some_and(|b| Arc::ptr_eq(b, f)) || tried.iter().any(|t| Arc::ptr_eq(t, f));
        if !known {
            tried.push(f);
            notices.extend(fabric::tried(f).notices);
        }
    }
    notices
}

/// Plans and rehearses sizes.
fn worked_out(design: &Design, sizes: &[usize], each: Each<'_>) -> Outcome {
    let asked = sizes;
    let (drafts, mut found) = drafts(design);
    let wished = possible(design, &drafts, &found);
    let chosen = with_stitch_sizes(design, &wished);
    let design = chosen.as_ref().unwrap_or(design);
    // All sizes are settled together, including those not asked for.
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

/// Findings grouped by rule and part: the first of each group with the total number of times, and on how many needles.
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

/// Draft, needles and rows, findings.
type Ready = (Draft, Option<Stitches>, Notices);

/// Proves a size from its runs; amounts of yarn are computed if asked for.
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
            notices.push(explain_cause(design, (plan, &run), &finding, needles));
        }
        rules::knitted_as_drafted(plan, &stitches, &run, notices);
        rules::loose_enough(plan, notices);
        rules::look(design, plan, &run, notices);
        let loops = cloth::count(&plan.plan, &run, plan.origins.len());
        let yarn = if with_yarn { accounts::own_yarn(design, plan, &stitches, &loops, notices) } else { Amount::NONE };
        let others = if with_yarn { accounts::other_yarns(design, plan, &run) } else { Vec::new() };
        pieces.push(PieceProof {
            run: Arc::new(run),
            loops,
            yarn,
            others,
            seconds: cloth::seconds(&plan.plan, &|part| plan.by_device(part), &design.pace),
        });
    }
    rules::seams_meet(design, (&draft, &stitches), size, notices);
    let (yarn, seconds) = accounts::of_size(design, &stitches, &plans, &pieces);
    rules::yarn_in_hand(design, &yarn, size, notices);
    let fit = measures(design, &draft, &stitches);
    let sheet = sheet(design, index, &draft, &stitches);
    let sewing = sewing(design, &stitches, like, &fit);
    rules::stretches_enough(design, size, &sheet, notices);
    let notices = std::mem::take(notices);
    SizeProof { size: index, draft, stitches, plans, pieces, fit, sheet, sewing, yarn, seconds, notices }
}
