//! What to do next at the machine: a cue for each pass and for each act of the hands.
//!
//! Each cue has all that a knitter needs at the machine: direction, what changes before it, the counter after it, what to
//! check first. Where the knitter is now is not known here.

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
    /// One trip of the carriage.
    Pass,
    /// An act of the hands.
    Hands,
}

/// A setting that changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// Its name.
    pub what: String,
    /// Its value before; empty where nothing was set.
    pub from: String,
    /// Its value from now on.
    pub to: String,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cue {
    /// A pass, or an act of the hands.
    pub kind: Kind,
    /// Its steps of the plan.
    pub steps: core::ops::Range<usize>,
    /// The name of the part of the piece.
    pub part: String,
    /// Which pass of the part it is, and of how many; none for an act of the hands.
    pub row: Option<(u32, u32)>,
    /// The direction of the carriage.
    pub way: Option<Side>,
    /// The settings of the carriages for it; for an act of the hands, the last settings.
    pub set: Option<Set>,
    /// What the beds do, in words.
    pub does: String,
    /// Whether it is a pass without yarn or one not counted, which is shown each time.
    pub unusual: bool,
    /// What changes before it.
    pub changed: Vec<Changed>,
    /// What to do by hand; none for a pass.
    pub act: Option<Act>,
    /// What to do by hand, in sentences.
    pub hands: Vec<String>,
    /// Loops moved from needle to needle, in order.
    pub moves: Vec<Move>,
    /// Needles that the hands touch.
    pub needles: Vec<Needle>,
    /// What to check before it.
    pub check: Vec<String>,
    /// The counter after it.
    pub counter: u32,
    /// Where the carriage is after it.
    pub stands: Side,
    /// Loops on the main bed and the ribber after it.
    pub stitches: (u32, u32),
}

impl Cue {
    /// Whether it is a pass with nothing to do or check before it. Several such passes may be counted at once.
    #[must_use]
    pub fn plain(&self) -> bool {
        self.kind == Kind::Pass && self.changed.is_empty() && self.check.is_empty()
    }

    /// Whether it needs the hands, before it or as the cue itself.
    #[must_use]
    pub fn by_hand(&self) -> bool {
        self.kind == Kind::Hands || !self.changed.is_empty()
    }
}

/// The cues of one rehearsed piece, in order; lengths of yarn in the units of `show`.
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

/// A cue for some steps, without words yet.
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

/// The acts of the hands in some steps: a cue for each.
fn by_hand(
    cues: &mut Vec<Cue>,
    piece: &PiecePlan,
    run: &Run,
    show: Show,
    steps: core::ops::Range<usize>,
    set: Option<&Set>,
) {
    // A lowered ribber has no settings.
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

/// Which pass of its part each step is, and of how many.
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

/// A count of stitches; where the ribber has some, also the count on each bed.
fn loops(main: u32, ribber: u32, t: Language) -> String {
    let all = if main + ribber == 1 { say!(t, "1 stitch") } else { say!(t, "{count} stitches", count = main + ribber) };
    if ribber > 0 { say!(t, "{all}, {main} and {ribber}", all, main, ribber) } else { all }
}

/// Adds a check of counter and stitches before the first pass of each part.
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
