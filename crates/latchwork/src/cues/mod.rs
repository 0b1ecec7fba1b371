//! What to do next at the machine: one cue for every pass, and one for every act of the hands.
//!
//! Each says all that is needed standing at the machine: which way, what changes before it, what the counter reads
//! after it, and what to look at first. Where the knitter is now is not known here.

mod hands;
mod setting;
mod standing;

use latchwork_machine::beds::moves;
use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, BedSetting, Mark, Move, Pass, Plan};

use crate::check::ProvenPiece;
use crate::plan::PiecePlan;
use crate::units::{Language, Show, counter};
use crate::wording::{part, say, sets};

pub use hands::Act;
pub use setting::{BedSet, Does, Set};
pub use standing::{StandsBefore, standings};

/// What a cue asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// One trip of the carriages.
    Pass,
    /// Something for the hands.
    Hands,
}

/// A setting that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// What.
    pub what: String,
    /// What it was; empty where nothing was set before.
    pub from: String,
    /// What it is from now on.
    pub to: String,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cue {
    /// A pass, or hands.
    pub kind: Kind,
    /// The steps of the plan.
    pub steps: core::ops::Range<usize>,
    /// What the part of the piece is called.
    pub part: String,
    /// Which pass of the part it is, of how many; none for hands.
    pub row: Option<(u32, u32)>,
    /// Which way the carriages go.
    pub way: Option<Side>,
    /// How the carriages are set: for it, or, where the hands are at work, as they were set last.
    pub set: Option<Set>,
    /// What the beds do, in words.
    pub does: String,
    /// Whether it is a pass without yarn, or one that is not counted: told each time.
    pub unusual: bool,
    /// What changes before it.
    pub changed: Vec<Changed>,
    /// What to do by hand; none for a pass.
    pub act: Option<Act>,
    /// What to do by hand, a sentence each.
    pub hands: Vec<String>,
    /// Loops that are moved from needle to needle, in their order.
    pub moves: Vec<Move>,
    /// Needles that the hands touch.
    pub needles: Vec<Needle>,
    /// What to look at before it.
    pub check: Vec<String>,
    /// The counter after it.
    pub counter: u32,
    /// Where the carriages stand after it.
    pub stands: Side,
    /// Loops on the main bed and the ribber after it.
    pub stitches: (u32, u32),
}

impl Cue {
    /// Whether it is a pass before which nothing is to be done or looked at. Several of them may be counted at once.
    #[must_use]
    pub fn plain(&self) -> bool {
        self.kind == Kind::Pass && self.changed.is_empty() && self.check.is_empty()
    }

    /// Whether the hands have something to do before it or as it.
    #[must_use]
    pub fn by_hand(&self) -> bool {
        self.kind == Kind::Hands || !self.changed.is_empty()
    }
}

/// Everything to do for one rehearsed piece, in order; lengths to leave in the units of `show`.
#[must_use]
pub fn cues(proven: ProvenPiece<'_>, show: Show) -> Vec<Cue> {
    let (piece, run) = (proven.plan(), proven.run());
    let t = show.language;
    let plan = &piece.plan;
    let done = run.readings.len();
    let sets = setting::sets(piece, run, t);
    let mut cues: Vec<Cue> = Vec::new();
    let mut before: Option<&Set> = None;
    let mut hands_from = None;
    let rows = rows(plan, done);
    for (i, step) in plan.steps.iter().enumerate().take(done) {
        let Action::Pass(pass) = &step.action else {
            hands_from.get_or_insert(i);
            continue;
        };
        if let Some(from) = hands_from.take() {
            by_hand(&mut cues, piece, run, show, from..i, before);
        }
        let set = sets[i].as_ref();
        cues.push(Cue {
            row: rows[i],
            way: Some(pass.direction),
            set: set.cloned(),
            does: does(pass, set.is_some_and(|s| s.ribber.is_some()), t),
            unusual: pass.yarn.is_none() || !pass.counted,
            changed: set.map(|s| setting::changed(before, s, t)).unwrap_or_default(),
            ..blank(piece, run, i..i + 1, Kind::Pass, t)
        });
        before = set;
    }
    if let Some(from) = hands_from {
        by_hand(&mut cues, piece, run, show, from..done, before);
    }
    check(&mut cues, t);
    cues
}

/// A cue of some steps that says nothing yet.
fn blank(piece: &PiecePlan, run: &Run, steps: core::ops::Range<usize>, kind: Kind, t: Language) -> Cue {
    let last = steps.end - 1;
    let reading = run.readings[last];
    let origin = piece.plan.steps[last].origin.0 as usize;
    Cue {
        kind,
        part: piece.origins.get(origin).map_or(String::new(), |p| part(&p.name, t)),
        steps,
        row: None,
        way: None,
        set: None,
        does: String::new(),
        unusual: false,
        changed: Vec::new(),
        act: None,
        hands: Vec::new(),
        moves: Vec::new(),
        needles: Vec::new(),
        check: Vec::new(),
        counter: reading.counter,
        stands: reading.carriage,
        stitches: reading.stitches,
    }
}

/// What the hands do in some steps: a cue for each act.
fn by_hand(
    cues: &mut Vec<Cue>,
    piece: &PiecePlan,
    run: &Run,
    show: Show,
    steps: core::ops::Range<usize>,
    set: Option<&Set>,
) {
    // A ribber that is lowered is set for nothing.
    let mut set = set.cloned();
    for steps in hands::acts(&piece.plan, steps) {
        let actions = || piece.plan.steps[steps.clone()].iter().map(|s| &s.action);
        if let (Some(set), true) = (&mut set, actions().any(|a| matches!(a, Action::RibberDown))) {
            set.ribber = None;
        }
        let (hands, needles) = hands::said(piece, run, show, steps.clone());
        if hands.is_empty() {
            continue;
        }
        let (act, moves) = (hands::act(actions()), actions().flat_map(moves).copied().collect());
        let cue = blank(piece, run, steps.clone(), Kind::Hands, show.language);
        cues.push(Cue { act, hands, moves, needles, set: set.clone(), ..cue });
    }
}

/// Which pass of its part each step is.
fn rows(plan: &Plan, done: usize) -> Vec<Option<(u32, u32)>> {
    let mut counts: Vec<u32> = Vec::new();
    let mut nth = vec![None; done];
    for (i, s) in plan.steps.iter().enumerate().take(done) {
        if matches!(s.action, Action::Pass(_)) {
            let part = s.origin.0 as usize;
            counts.resize(counts.len().max(part + 1), 0);
            counts[part] += 1;
            nth[i] = Some((counts[part], 0));
        }
    }
    for (i, s) in plan.steps.iter().enumerate().take(done) {
        if let Some((_, of)) = &mut nth[i] {
            *of = counts[s.origin.0 as usize];
        }
    }
    nth
}

fn does(p: &Pass, two: bool, t: Language) -> String {
    let hold = |s: BedSetting| if s.hold { say!(t, ", hold on") } else { String::new() };
    let what = if p.yarn.is_none() {
        match p.mark {
            Mark::Release => say!(t, "No yarn: stitches drop"),
            Mark::Plain | Mark::OpenStart => say!(t, "No yarn: free pass"),
        }
    } else if !two {
        say!(t, "The main bed {third}{hold}", third = sets(p.main.setting, false, t), hold = hold(p.main))
    } else if p.main.setting == p.ribber.setting && p.main.hold == p.ribber.hold {
        say!(t, "Both beds {word}{hold}", word = sets(p.main.setting, true, t), hold = hold(p.main))
    } else {
        say!(
            t,
            "The main bed {main}{holding}, the ribber {ribber}{ribber_holding}",
            main = sets(p.main.setting, false, t),
            holding = hold(p.main),
            ribber = sets(p.ribber.setting, false, t),
            ribber_holding = hold(p.ribber)
        )
    };
    if p.counted { what } else { say!(t, "{what}; counter off", what) }
}

/// So many loops, and how many of them on each bed where both have some.
fn loops(main: u32, ribber: u32, t: Language) -> String {
    let all = if main + ribber == 1 { say!(t, "1 stitch") } else { say!(t, "{count} stitches", count = main + ribber) };
    if ribber > 0 { say!(t, "{all}, {main} and {ribber}", all, main, ribber) } else { all }
}

/// Before the first pass of a part the knitter looks at the counter and how many loops there are.
fn check(cues: &mut [Cue], t: Language) {
    for k in 0..cues.len() {
        let first = cues[k].row.is_some_and(|r| r.0 == 1);
        if !first {
            continue;
        }
        let before = k.checked_sub(1).and_then(|b| cues.get(b)).map(|b| (b.counter, b.stitches));
        if let Some((reads, (main, ribber))) = before
            && main + ribber > 0
        {
            cues[k].check.push(say!(
                t,
                "Counter {counter}: {loops}.",
                counter = counter(reads),
                loops = loops(main, ribber, t)
            ));
        }
    }
}
