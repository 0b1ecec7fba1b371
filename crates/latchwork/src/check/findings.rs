//! The judge's findings as facts, with the step and the line of the document that caused them; and the rule book.

use latchwork_machine::beds::Beds;
use latchwork_machine::fault::{Fault, Level as FaultLevel};
use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::rehearsal::{Finding, Run};
use latchwork_machine::steps::{Counted, Load, Yarn};

use crate::design::Design;
use crate::fact::{CheckFact, Rehearsed, Rule, Source, StepPlace};
use crate::notice::{Notice, Span};
use crate::plan::{Part, PiecePlan};

/// A finding as a fact, pointing at the step and at the line of the document that caused it.
#[must_use]
pub fn explain(design: &Design, plan: &PiecePlan, run: &Run, finding: &Finding) -> Notice {
    explain_cause(design, (plan, run), finding, 1)
}

/// The racking of the ribber before a step.
pub(super) fn racked_before(plan: &PiecePlan, step: usize) -> i8 {
    let mut beds = Beds::outline(Side::Right);
    plan.plan.steps.iter().take(step).for_each(|s| beds.step(&s.action));
    beds.racking().0
}

/// The place of a step of a part.
pub(super) fn place(plan: &PiecePlan, run: &Run, part: &Part, step: usize) -> StepPlace {
    let before = step.checked_sub(1).and_then(|s| run.readings.get(s));
    let counter = before.map_or(0, |r| r.counter);
    StepPlace { piece: plan.name.clone(), part: part.name.clone(), counter, step }
}

/// As [`explain`], for findings of one rule on several needles, given by the first.
pub(super) fn explain_cause(
    design: &Design,
    (plan, run): (&PiecePlan, &Run),
    finding: &Finding,
    needles: usize,
) -> Notice {
    let unknown = Part {
        name: crate::fact::PartName::Own(String::new()),
        kind: crate::plan::PartKind::Ending,
        span: Span::default(),
    };
    let part = plan.origins.get(finding.origin.0 as usize).unwrap_or(&unknown);
    // Where only the racking causes the fault, racking back fixes it.
    let across = matches!(finding.fault, Fault::CarriedFar { from, to, .. } if from.bed != to.bed);
    let by_racking = across || matches!(finding.fault, Fault::Facing { .. });
    let yarn = match finding.fault {
        Fault::NoYarn { yarn } => Some(plan.yarns.get(usize::from(yarn.0)).cloned().unwrap_or_default()),
        _ => None,
    };
    let fact = CheckFact::Rehearsed(Box::new(Rehearsed {
        fault: finding.fault,
        tucks: design.machine.profile.tucks.value,
        racked: by_racking && racked_before(plan, finding.step) != 0,
        yarn,
        place: place(plan, run, part, finding.step),
        needles,
        times: finding.times,
    }));
    match finding.fault.level() {
        FaultLevel::Warning => Notice::warning(part.span, fact),
        FaultLevel::Error => Notice::error(part.span, fact),
    }
}

const A: Needle = Needle { bed: Bed::Main, slot: Slot(0) };
const B: Needle = Needle { bed: Bed::Main, slot: Slot(1) };
const OPPOSITE: Needle = Needle { bed: Bed::Ribber, slot: Slot(0) };
const YARN: Yarn = Yarn(0);

/// A row for each fault: its pattern, an example for the list of rules, and where its limit comes from. A fault without
/// a row does not compile.
macro_rules! rule_book {
    ($($fault:pat => $one:expr, $source:expr;)+) => {
        /// An example of each fault, for the list of rules.
        #[must_use]
        pub fn one_of_each() -> Vec<Fault> {
            vec![$($one),+]
        }

        /// Where a rule's limit comes from.
        #[must_use]
        pub fn source(fault: &Fault) -> Source {
            match fault {
                $($fault => $source,)+
            }
        }
    };
}

rule_book! {
    Fault::Start => Fault::Start, Source::Machine;
    Fault::OutsideBed { .. } => Fault::OutsideBed { needle: A }, Source::Machine;
    Fault::Facing { .. } => Fault::Facing { main: A, ribber: OPPOSITE }, Source::Machine;
    Fault::WrongSide { .. } => Fault::WrongSide { stands: Side::Left }, Source::Machine;
    Fault::YarnElsewhere { .. } => Fault::YarnElsewhere { yarn: YARN, waits: Side::Left }, Source::Machine;
    Fault::NoYarn { .. } => Fault::NoYarn { yarn: YARN }, Source::Machine;
    Fault::NoLoop { .. } => Fault::NoLoop { needle: A }, Source::Machine;
    Fault::NotInWork { .. } => Fault::NotInWork { needle: A }, Source::Machine;
    Fault::NotHolding { .. } => Fault::NotHolding { needle: A }, Source::Machine;
    Fault::NotEmpty { .. } => Fault::NotEmpty { needle: A, loops: 1 }, Source::Machine;
    Fault::OutWithLoops { .. } => Fault::OutWithLoops { needle: A, loops: 1 }, Source::Machine;
    Fault::DownWithLoops { .. } => Fault::DownWithLoops { needle: A, needles: 1 }, Source::Machine;
    Fault::RibberIsDown { .. } => Fault::RibberIsDown { needle: A }, Source::Machine;
    Fault::HolderCount { .. } => Fault::HolderCount { stacks: 1, needles: 2 }, Source::Machine;
    Fault::NoSuchLoop { .. } => Fault::NoSuchLoop { number: 9 }, Source::Machine;
    Fault::NotHanging { .. } => Fault::NotHanging { load: Load::Comb, hangs: 0, asked: 1 }, Source::Machine;
    Fault::NothingToMoveUp { .. } => Fault::NothingToMoveUp { load: Load::Weights }, Source::Machine;
    Fault::LiveAtEnd { .. } => Fault::LiveAtEnd { loops: 1, first: Some(A), held: 0 }, Source::Machine;
    Fault::ClaimCounter { .. } => Fault::ClaimCounter { said: 1, is: 2 }, Source::Document;
    Fault::ClaimStitches { .. } => Fault::ClaimStitches { of: Counted::InAll, said: 1, is: 2 }, Source::Document;
    Fault::ClaimCarriage { .. } => Fault::ClaimCarriage { said: Side::Left, is: Side::Right }, Source::Document;
    Fault::TwoEmpties { .. } => Fault::TwoEmpties { first: A, second: B }, Source::Machine;
    Fault::LastTuck { .. } => Fault::LastTuck { needle: A }, Source::EdgeTucks;
    Fault::FirstTuck { .. } => Fault::FirstTuck { needle: A }, Source::EdgeTucks;
    Fault::EndMissed { .. } => Fault::EndMissed { needle: A }, Source::Machine;
    Fault::TucksAtLimit { .. } => Fault::TucksAtLimit { needle: A, tucks: 4 }, Source::Tucks;
    Fault::TooManyTucks { .. } => Fault::TooManyTucks { needle: A, tucks: 5, limit: 4 }, Source::Tucks;
    Fault::ManyThrough { .. } => Fault::ManyThrough { needle: A, loops: 4 }, Source::Through;
    Fault::OpenTuck { .. } => Fault::OpenTuck { needle: A }, Source::Practice;
    Fault::Undeclared { .. } => Fault::Undeclared { needle: A }, Source::Machine;
    Fault::NothingHangs => Fault::NothingHangs, Source::Machine;
    Fault::LongFloat { .. } => Fault::LongFloat { from: A, to: B, halves: 14, limit: 6 }, Source::Floats;
    Fault::CarriedFar { .. } => Fault::CarriedFar { from: A, to: B, halves: 6, level: FaultLevel::Warning }, Source::Reach;
    Fault::PastStatedCarry { .. } => Fault::PastStatedCarry { from: A, to: B, halves: 6, stated: 2 }, Source::Document;
    Fault::Weight { .. } => Fault::Weight { grams: 1, needles: 9, least: 2, most: 12 }, Source::Grams;
    Fault::CarriedYarn { .. } => Fault::CarriedYarn { yarn: YARN, passes: 8 }, Source::Carried;
    Fault::WrongEnd { .. } => Fault::WrongEnd { yarn_at: Side::Left }, Source::Machine;
    Fault::HungCount { .. } => Fault::HungCount { places: 1, needles: 2 }, Source::Document;
    Fault::LaidWithout => Fault::LaidWithout, Source::Machine;
    Fault::FellOff { .. } => Fault::FellOff { needle: A, loops: 1 }, Source::Machine;
}

/// Every rule: the judge's, then the craft rules.
#[must_use]
pub fn rules() -> Vec<Rule> {
    let of_judge = one_of_each().into_iter().map(Rule::Judge);
    of_judge.chain(super::rules::CRAFT.map(Rule::Craft)).collect()
}
