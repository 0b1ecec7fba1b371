//! The run: a plan done step by step, with everything recorded.

use std::collections::BTreeMap;

use crate::act::Bench;
use crate::fault::{Fault, Level};
use crate::loops::{Fate, LoopId, Loops};
use crate::needle::{Needle, Pitch, Position, Racking, Side};
use crate::profile::Profile;
use crate::state::State;
use crate::steps::{Action, Origin, Plan, Yarn};

/// A fault met in a run. A warning of the same rule on the same needle in the same stretch is reported once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Finding {
    /// What.
    pub fault: Fault,
    /// The index of the (first) step.
    pub step: usize,
    /// Where that step came from.
    pub origin: Origin,
    /// How often.
    pub times: u32,
}

/// What stands on the machine after a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// The row counter.
    pub counter: u32,
    /// Where the carriages stand.
    pub carriage: Side,
    /// Needles that carry a loop: main bed, ribber.
    pub stitches: (u32, u32),
    /// Loops made so far.
    pub loops: u32,
    /// Grams that hang.
    pub grams: u32,
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Every step was done and no loop is left live.
    Finished,
    /// An error at this step; nothing after it was done.
    Stopped {
        /// The step's index.
        step: usize,
    },
}

/// A rehearsed plan.
#[derive(Debug, Clone)]
pub struct Run {
    /// Every loop, in the order made.
    pub loops: Loops,
    /// What was met.
    pub findings: Vec<Finding>,
    /// One reading for each step done.
    pub readings: Vec<Reading>,
    /// Yarns laid in: the step, and the needles over which the yarn lies, in the order met.
    pub laid: Vec<(usize, Vec<Needle>)>,
    /// How it ended.
    pub ended: Ended,
}

impl Run {
    /// The error that stopped the run, if one did.
    #[must_use]
    pub fn error(&self) -> Option<&Finding> {
        self.findings.iter().find(|f| f.fault.level() == Level::Error)
    }

    /// The loops made in a step; in the one that stopped the run, those made up to then.
    #[must_use]
    pub fn made_in(&self, step: usize) -> core::ops::Range<u32> {
        let before = step.checked_sub(1).and_then(|s| self.readings.get(s)).map_or(0, |r| r.loops);
        let after = match self.readings.get(step) {
            Some(r) => r.loops,
            None if step == self.readings.len() => u32::try_from(self.loops.len()).unwrap_or(u32::MAX),
            None => before,
        };
        before + 1..after + 1
    }
}

/// The most loops for which memory is set aside at once.
const MOST_RESERVED: usize = 1 << 27;

/// Runs a plan on a machine. Linear in loops; never fails: an error ends the run and is its last finding.
#[must_use]
pub fn rehearse(plan: &Plan, profile: &Profile) -> Run {
    let mut bench = Bench::new(profile, State::new(profile));
    let mut findings: Vec<Finding> = Vec::new();
    let mut told: BTreeMap<(&'static str, Option<Needle>, Origin), usize> = BTreeMap::new();
    let mut readings = Vec::with_capacity(plan.steps.len());
    let mut ended = Ended::Finished;
    let mut laid = Vec::new();
    let mut passes = plan.steps.iter().filter(|s| matches!(s.action, Action::Pass(_))).count();
    for (step, s) in plan.steps.iter().enumerate() {
        if matches!(s.action, Action::Pass(_)) && passes > 0 {
            // Most pieces keep about as many needles as they begin with.
            bench.state.refresh_order();
            bench.loops.reserve((passes * bench.state.order.len()).min(MOST_RESERVED));
            passes = 0;
        }
        let done = bench.begin_or_act(step, &s.action);
        if !bench.laid.is_empty() {
            laid.push((step, core::mem::take(&mut bench.laid)));
        }
        for fault in bench.warnings.drain(..) {
            let (rule, needle) = fault.rule();
            match told.get(&(rule, needle, s.origin)).and_then(|i| findings.get_mut(*i)) {
                Some(finding) => finding.times += 1,
                None => {
                    told.insert((rule, needle, s.origin), findings.len());
                    findings.push(Finding { fault, step, origin: s.origin, times: 1 });
                }
            }
        }
        if let Err(fault) = done {
            findings.push(Finding { fault, step, origin: s.origin, times: 1 });
            ended = Ended::Stopped { step };
            break;
        }
        readings.push(bench.reading());
    }
    if let (Ended::Finished, Some(last)) = (ended, plan.steps.last())
        && let Some(fault) = left_live(&bench.state)
    {
        let step = plan.steps.len() - 1;
        findings.push(Finding { fault, step, origin: last.origin, times: 1 });
        ended = Ended::Stopped { step };
    }
    Run { loops: bench.loops, findings, readings, laid, ended }
}

/// A needle in work at some moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NeedleAt {
    /// Which.
    pub needle: Needle,
    /// How far it is pushed out.
    pub position: Position,
    /// The loops on it, oldest first.
    pub loops: Vec<LoopId>,
}

/// The beds after a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct View {
    /// Needles in work, main bed first, each from left to right.
    pub needles: Vec<NeedleAt>,
    /// How the beds stand to each other.
    pub pitch: Pitch,
    /// How far the ribber is racked.
    pub racking: Racking,
    /// Where the carriages stand.
    pub carriage: Side,
    /// The row counter.
    pub counter: u32,
    /// Grams that hang.
    pub grams: u32,
    /// Yarns and the side at which each waits.
    pub yarns: Vec<(Yarn, Side)>,
    /// Loops made by the step (numbers from, up to but not including).
    pub made: core::ops::Range<u32>,
}

/// The beds as they stand after the step of this index, or as the run left them if it stopped earlier.
#[must_use]
pub fn view_after(plan: &Plan, profile: &Profile, step: usize) -> View {
    let upto = Plan { steps: plan.steps.iter().take(step + 1).cloned().collect() };
    let (bench, readings) = run(&upto, profile);
    let before = readings.len().checked_sub(2).and_then(|i| readings.get(i)).map_or(0, |r| r.loops);
    view(&bench, before)
}

/// Shows the beds after every step in turn, up to where the run stops.
pub fn views(plan: &Plan, profile: &Profile, mut shown: impl FnMut(usize, View)) {
    let mut bench = Bench::new(profile, State::new(profile));
    for (i, s) in plan.steps.iter().enumerate() {
        let before = bench.reading().loops;
        if bench.begin_or_act(i, &s.action).is_err() {
            break;
        }
        bench.warnings.clear();
        shown(i, view(&bench, before));
    }
}

/// The beds as they stand; `before` loops had been made before the last step.
fn view(bench: &Bench<'_>, before: u32) -> View {
    let state = &bench.state;
    let mut needles = Vec::new();
    for bed in crate::needle::Bed::BOTH {
        let b = &state.beds[bed.index()];
        for (i, spot) in b.spots.iter().enumerate().filter(|(_, s)| s.position != Position::Out) {
            let slot = crate::needle::Slot(b.first.0 + i16::try_from(i).unwrap_or(i16::MAX));
            needles.push(NeedleAt {
                needle: Needle { bed, slot },
                position: spot.position,
                loops: spot.stack.iter().collect(),
            });
        }
    }
    View {
        needles,
        pitch: state.pitch,
        racking: state.racking,
        carriage: state.carriage,
        counter: state.counter,
        grams: state.comb + state.weights,
        yarns: state.yarns.iter().map(|(y, s)| (*y, s.side)).collect(),
        made: before + 1..u32::try_from(bench.loops.len()).unwrap_or(u32::MAX) + 1,
    }
}

/// Does the steps one by one until an error; gives the bench as it then stands and a reading for each step done.
fn run<'p>(plan: &Plan, profile: &'p Profile) -> (Bench<'p>, Vec<Reading>) {
    let mut bench = Bench::new(profile, State::new(profile));
    let mut readings = Vec::new();
    for (i, s) in plan.steps.iter().enumerate() {
        if bench.begin_or_act(i, &s.action).is_err() {
            break;
        }
        bench.warnings.clear();
        readings.push(bench.reading());
    }
    (bench, readings)
}

fn left_live(state: &State) -> Option<Fault> {
    let on_needles = state.beds.iter().flat_map(|b| &b.spots).map(|s| s.stack.len()).sum::<usize>();
    let held = state.holders.values().flatten().map(|s| s.len()).sum::<usize>();
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let loops = count(on_needles + held);
    if loops == 0 {
        return None;
    }
    let first = crate::needle::Bed::BOTH.into_iter().find_map(|bed| {
        let b = &state.beds[bed.index()];
        let i = b.spots.iter().position(|s| !s.stack.is_empty())?;
        let slot = crate::needle::Slot(b.first.0 + i16::try_from(i).unwrap_or(i16::MAX));
        Some(Needle { bed, slot })
    });
    Some(Fault::LiveAtEnd { loops, first, held: count(held) })
}

/// How many loops ended in each way: knitted through, secured, released, live.
#[must_use]
pub fn fates(loops: &Loops) -> [u32; 4] {
    let mut count = [0; 4];
    for id in loops.ids() {
        count[fate_index(loops, id)] += 1;
    }
    count
}

fn fate_index(loops: &Loops, id: LoopId) -> usize {
    match loops.fate(id) {
        Fate::Knitted(_) => 0,
        Fate::Secured(..) => 1,
        Fate::Released => 2,
        Fate::Live => 3,
    }
}
