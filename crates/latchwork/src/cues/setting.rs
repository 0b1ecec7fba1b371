//! Settings of the carriages: once for all passes that need no change between them.

use latchwork_machine::needle::Side;
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, BedSetting, Dial, Pass, Setting, Yarn};

use super::Changed;
use crate::plan::PiecePlan;
use crate::units::{Language, dial};
use crate::wording::{self, say};
use crate::words::yarn_name;

/// What a bed does in one direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Does {
    /// Knit, tuck or slip.
    pub setting: Setting,
    /// Whether needles in holding position are passed over.
    pub hold: bool,
}

/// The settings of one bed's carriage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BedSet {
    /// What it does to the left.
    pub left: Does,
    /// What it does to the right.
    pub right: Does,
    /// Its stitch size.
    pub dial: Dial,
}

/// The settings of both carriages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Set {
    /// The main bed.
    pub main: BedSet,
    /// The ribber, where it knits.
    pub ribber: Option<BedSet>,
    /// The yarn in the feeder.
    pub yarn: Option<String>,
    /// The yarn in the second feeder.
    pub second: Option<String>,
    /// The yarn laid in.
    pub laid: Option<String>,
}

impl BedSet {
    /// Knit, tuck or slip, in each direction where they differ.
    #[must_use]
    pub fn words(&self, t: Language) -> String {
        if self.left.setting == self.right.setting {
            wording::sets(self.left.setting, true, t)
        } else {
            say!(
                t,
                "{left} to the left, {right} to the right",
                left = wording::sets(self.left.setting, true, t),
                right = wording::sets(self.right.setting, true, t)
            )
        }
    }

    fn holding(&self) -> bool {
        self.left.hold || self.right.hold
    }

    fn holds(&self, t: Language) -> String {
        match (self.left.hold, self.right.hold) {
            (false, false) => say!(t, "off"),
            (true, true) => say!(t, "on"),
            (true, false) => say!(t, "on to the left"),
            (false, true) => say!(t, "on to the right"),
        }
    }
}

/// Passes that share one setting of the carriages: what each bed does in each direction, as far as known.
#[derive(Clone, Copy)]
struct Stretch {
    /// The settings of one of its passes, main bed and ribber.
    first: [BedSetting; 2],
    /// The settings to the left and to the right.
    ways: [[Option<BedSetting>; 2]; 2],
    yarns: [Option<Yarn>; 3],
    origin: u32,
}

fn side(s: Side) -> usize {
    usize::from(s == Side::Right)
}

impl Stretch {
    fn of(p: &Pass, origin: u32) -> Stretch {
        let mut ways = [[None; 2]; 2];
        ways[side(p.direction)] = [Some(p.main), Some(p.ribber)];
        Stretch { first: [p.main, p.ribber], ways, yarns: [p.yarn, p.second, p.laid], origin }
    }

    /// This run with one more pass, if that pass needs no other setting.
    fn with(mut self, p: &Pass, origin: u32) -> Option<Stretch> {
        let dials = self.first.map(|b| b.dial) == [p.main.dial, p.ribber.dial];
        let way = &mut self.ways[side(p.direction)];
        let fits = [p.main, p.ribber].iter().zip(way).all(|(now, way)| way.get_or_insert(*now) == now);
        (dials && fits && (self.yarns, self.origin) == ([p.yarn, p.second, p.laid], origin)).then_some(self)
    }

    /// The settings of a bed. A direction without a pass gets the settings of the other.
    fn bed(&self, bed: usize) -> BedSet {
        let does = |way: usize| {
            let of = self.ways[way][bed].unwrap_or(self.first[bed]);
            Does { setting: of.setting, hold: of.hold }
        };
        BedSet { left: does(0), right: does(1), dial: self.first[bed].dial }
    }
}

/// The settings of the carriages for each step that is a pass. Within a part they change as seldom as possible, and as
/// late.
pub(super) fn sets(piece: &PiecePlan, run: &Run, t: Language) -> Vec<Option<Set>> {
    let done = run.readings.len();
    let steps = &piece.plan.steps[..done];
    // From the end: the run that a part continues with stays whole, and its first passes stand alone.
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut of_step = vec![None; done];
    for (i, s) in steps.iter().enumerate().rev() {
        let Action::Pass(p) = &s.action else { continue };
        match stretches.last_mut().and_then(|last| last.with(p, s.origin.0).map(|more| *last = more)) {
            Some(()) => {}
            None => stretches.push(Stretch::of(p, s.origin.0)),
        }
        of_step[i] = Some(stretches.len() - 1);
    }
    let named = |y: Yarn| yarn_name(&piece.yarns, y, t);
    let mut ribbed = false;
    let mut sets = Vec::with_capacity(done);
    for (i, k) in of_step.into_iter().enumerate() {
        let Some(stretch) = k.map(|k| &stretches[k]) else {
            ribbed &= !matches!(steps[i].action, Action::RibberDown);
            sets.push(None);
            continue;
        };
        let [main, ribber] = [0, 1].map(|b| stretch.bed(b));
        let slips = [ribber.left, ribber.right].iter().all(|d| d.setting == Setting::Slip);
        // A ribber that begins to slip must still be set to slip.
        let two = run.readings[i].stitches.1 > 0 || !slips || ribbed;
        ribbed = !slips;
        let [yarn, second, laid] = stretch.yarns.map(|y| y.map(named));
        sets.push(Some(Set { main, ribber: two.then_some(ribber), yarn, second, laid }));
    }
    sets
}

/// The settings that change.
pub(super) fn changed(before: Option<&Set>, now: &Set, t: Language) -> Vec<Changed> {
    let mut all = Vec::new();
    let mut note = |what: String, from: Option<String>, to: String| {
        if from.as_ref() != Some(&to) {
            all.push(Changed { what, from: from.unwrap_or_default(), to });
        }
    };
    let none = || say!(t, "none");
    note(say!(t, "Yarn"), before.map(|b| b.yarn.clone().unwrap_or_else(none)), now.yarn.clone().unwrap_or_else(none));
    if now.second.is_some() || before.is_some_and(|b| b.second.is_some()) {
        let was = before.map(|b| b.second.clone().unwrap_or_else(none));
        note(say!(t, "Second yarn"), was, now.second.clone().unwrap_or_else(none));
    }
    if now.laid.is_some() || before.is_some_and(|b| b.laid.is_some()) {
        let was = before.map(|b| b.laid.clone().unwrap_or_else(none));
        note(say!(t, "Laid-in yarn"), was, now.laid.clone().unwrap_or_else(none));
    }
    for (name, was, is) in [
        (say!(t, "Main bed"), before.map(|b| b.main), Some(now.main)),
        (say!(t, "Ribber"), before.and_then(|b| b.ribber), now.ribber),
    ] {
        let Some(is) = is else { continue };
        note(name.clone(), was.map(|b| b.words(t)), is.words(t));
        note(say!(t, "{name} size", name), was.map(|b| dial(b.dial.0)), dial(is.dial.0));
        if is.holding() || was.is_some_and(|b| b.holding()) {
            note(say!(t, "{name} hold", name), was.map(|b| b.holds(t)), is.holds(t));
        }
    }
    all
}
