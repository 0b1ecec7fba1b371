//! What to do next at the machine: one cue for every pass, and one for what the hands do between two passes.
//!
//! Each says all that is needed standing at the machine: which way, what changes before it, what the counter reads
//! after it, and what to look at first. Where the knitter is now is not known here.

mod hands;

use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, BedSetting, Mark, Pass, Plan, Setting, Yarn};

use crate::plan::PiecePlan;
use crate::units::dial;

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
    /// What the beds do, in words.
    pub does: String,
    /// What changes before it.
    pub changed: Vec<Changed>,
    /// What to do by hand, a sentence each.
    pub hands: Vec<String>,
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
    /// Whether it is a pass before which nothing changes.
    #[must_use]
    pub fn plain(&self) -> bool {
        self.kind == Kind::Pass && self.changed.is_empty() && self.check.is_empty()
    }
}

/// Everything to do for one rehearsed piece, in order.
#[must_use]
pub fn cues(piece: &PiecePlan, run: &Run) -> Vec<Cue> {
    let plan = &piece.plan;
    let done = run.readings.len();
    let mut cues = Vec::new();
    let mut before: Option<Pass> = None;
    let mut hands_from = None;
    let rows = rows(plan, done);
    for (i, step) in plan.steps.iter().enumerate().take(done) {
        let reading = run.readings[i];
        let part = piece.origins.get(step.origin.0 as usize).map_or(String::new(), |p| p.label.clone());
        let after = Cue {
            kind: Kind::Hands,
            steps: i..i + 1,
            part,
            row: None,
            way: None,
            does: String::new(),
            changed: Vec::new(),
            hands: Vec::new(),
            needles: Vec::new(),
            check: Vec::new(),
            counter: reading.counter,
            stands: reading.carriage,
            stitches: reading.stitches,
        };
        match &step.action {
            Action::Pass(pass) => {
                if let Some(from) = hands_from.take() {
                    push_hands(&mut cues, piece, run, from..i);
                }
                let yarn = |y: Yarn| piece.yarns.get(usize::from(y.0)).map_or("the yarn", String::as_str);
                let two = reading.stitches.1 > 0 || before.is_some_and(|b| b.ribber.setting != Setting::Slip);
                cues.push(Cue {
                    kind: Kind::Pass,
                    row: rows[i],
                    way: Some(pass.direction),
                    does: does(pass, two),
                    changed: changed(before.as_ref(), pass, two, &yarn),
                    ..after
                });
                before = Some(*pass);
            }
            _ => {
                hands_from.get_or_insert(i);
            }
        }
    }
    if let Some(from) = hands_from {
        push_hands(&mut cues, piece, run, from..done);
    }
    check(&mut cues);
    cues
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

fn push_hands(cues: &mut Vec<Cue>, piece: &PiecePlan, run: &Run, steps: core::ops::Range<usize>) {
    let (said, needles) = hands::said(piece, steps.clone());
    if said.is_empty() {
        return;
    }
    let last = steps.end - 1;
    let reading = run.readings[last];
    let origin = piece.plan.steps[last].origin.0 as usize;
    cues.push(Cue {
        kind: Kind::Hands,
        part: piece.origins.get(origin).map_or(String::new(), |p| p.label.clone()),
        steps,
        row: None,
        way: None,
        does: String::new(),
        changed: Vec::new(),
        hands: said,
        needles,
        check: Vec::new(),
        counter: reading.counter,
        stands: reading.carriage,
        stitches: reading.stitches,
    });
}

fn setting(s: BedSetting) -> &'static str {
    match s.setting {
        Setting::Knit => "knit",
        Setting::Tuck => "tuck",
        Setting::Slip => "slip",
    }
}

fn does(p: &Pass, two: bool) -> String {
    let hold = |s: BedSetting| if s.hold { ", holding" } else { "" };
    let third = |s: BedSetting| match s.setting {
        Setting::Knit => "knits",
        Setting::Tuck => "tucks",
        Setting::Slip => "slips",
    };
    let what = if p.yarn.is_none() {
        match p.mark {
            Mark::Release => "No yarn: loops are let off".to_string(),
            Mark::Plain | Mark::OpenStart => "No yarn: the carriage moves across".to_string(),
        }
    } else if !two {
        format!("The main bed {}{}", third(p.main), hold(p.main))
    } else if p.main.setting == p.ribber.setting && p.main.hold == p.ribber.hold {
        format!("Both beds {}{}", setting(p.main), hold(p.main))
    } else {
        format!("The main bed {}{}, the ribber {}{}", third(p.main), hold(p.main), third(p.ribber), hold(p.ribber))
    };
    if p.counted { what } else { format!("{what}; not counted") }
}

fn changed<'a>(before: Option<&Pass>, p: &Pass, two: bool, yarn: &impl Fn(Yarn) -> &'a str) -> Vec<Changed> {
    let mut all = Vec::new();
    let mut note = |what: String, from: Option<String>, to: String| {
        if from.as_ref() != Some(&to) {
            all.push(Changed { what, from: from.unwrap_or_default(), to });
        }
    };
    let named = |y: Option<Yarn>| y.map_or("none".to_string(), |y| yarn(y).to_string());
    note("Yarn".to_string(), before.map(|b| named(b.yarn)), named(p.yarn));
    if p.second.is_some() || before.is_some_and(|b| b.second.is_some()) {
        note("Second yarn".to_string(), before.map(|b| named(b.second)), named(p.second));
    }
    for (bed, name, of) in [
        (Bed::Main, "Main bed", (before.map(|b| b.main), p.main)),
        (Bed::Ribber, "Ribber", (before.map(|b| b.ribber), p.ribber)),
    ] {
        if bed == Bed::Ribber && !two && of.0.is_none_or(|b| b.setting == of.1.setting) {
            continue;
        }
        note(name.to_string(), of.0.map(|b| setting(b).to_string()), setting(of.1).to_string());
        note(format!("{name} size"), of.0.map(|b| dial(b.dial.0)), dial(of.1.dial.0));
        let hold = |s: BedSetting| if s.hold { "on" } else { "off" }.to_string();
        if of.1.hold || of.0.is_some_and(|b| b.hold) {
            note(format!("{name} holding"), of.0.map(hold), hold(of.1));
        }
    }
    all
}

/// Before the first pass of a part the knitter looks at the counter and how many loops there are.
fn check(cues: &mut [Cue]) {
    for k in 0..cues.len() {
        let first = cues[k].row.is_some_and(|r| r.0 == 1);
        if !first {
            continue;
        }
        let before = k.checked_sub(1).and_then(|b| cues.get(b)).map(|b| (b.counter, b.stitches));
        if let Some((counter, (main, ribber))) = before {
            let loops = main + ribber;
            if loops > 0 {
                let of =
                    if ribber > 0 { format!("{loops} loops, {main} and {ribber}") } else { format!("{loops} loops") };
                cues[k].check.push(format!("The counter reads {}; {of}.", crate::units::counter(counter)));
            }
        }
    }
}
