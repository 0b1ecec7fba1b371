//! Failures of the craft that a run shows and a machine does not mind: strands over two hooks, long turns, weights
//! left too low, a cast-on or a bind-off that will not lie right.

use std::collections::BTreeSet;

use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Leaves, Setting};

use crate::design::Design;
use crate::notice::{Level, Notice, Notices};
use crate::plan::{Part, PartKind, PiecePlan};

/// A rule of the craft.
#[derive(Debug)]
pub(super) struct CraftRule {
    pub(super) id: &'static str,
    pub(super) level: Level,
    pub(super) says: &'static str,
    pub(super) why: &'static str,
    pub(super) remedy: &'static str,
    pub(super) source: &'static str,
}

const PRACTICE: &str = "Common practice, no source";

pub(super) const SIDE_BY_SIDE: CraftRule = CraftRule {
    id: "tucks-side-by-side",
    level: Level::Warning,
    says: "Two neighbouring needles tuck, with nothing knitted between them.",
    why: "The strand lies across both hooks and can slip off one.",
    remedy: "Let every tuck stand between needles that knit.",
    source: "Textbook: two side by side are the limit (Spencer, Knitting Technology, 3rd ed.); club pages: never on a home machine",
};
pub(super) const BED_END: CraftRule = CraftRule {
    id: "near-bed-end",
    level: Level::Warning,
    says: "The work reaches the end of the bed.",
    why: "The carriage needs two to five free needles at each side to clear the work.",
    remedy: "Use fewer needles, or knit it in two pieces.",
    source: PRACTICE,
};
pub(super) const RACKED_FAR: CraftRule = CraftRule {
    id: "racked-far",
    level: Level::Warning,
    says: "The ribber is racked by two needles or more at once, with loops on it.",
    why: "The yarn between the beds does not stretch so far.",
    remedy: "Rack one needle, knit a row, and rack the next.",
    source: "Teaching pages: not more than about one and a half needles at once",
};
pub(super) const WEIGHTS_LOW: CraftRule = CraftRule {
    id: "weights-not-moved",
    level: Level::Warning,
    says: "More than 40 rows are knitted without moving the weights up.",
    why: "Far below the needles they no longer hold the edges down.",
    remedy: "Move the claws up every 20 to 40 rows.",
    source: "Common practice, no source: every 20 to 40 rows",
};
pub(super) const LOOSE_CAST_ON: CraftRule = CraftRule {
    id: "loose-cast-on",
    level: Level::Warning,
    says: "The zigzag row of the cast-on is not tighter than the fabric after it.",
    why: "The edge flares.",
    remedy: "Knit the zigzag at the tightest size.",
    source: "Teaching pages: the zigzag at the tightest size",
};
pub(super) const LONG_TURN: CraftRule = CraftRule {
    id: "long-turn",
    level: Level::Warning,
    says: "At a turn the yarn lies past more needles than a float may.",
    why: "The strand hangs loose at the edge, or draws it in.",
    remedy: "Hold needles at the side that the carriage goes to, or cut the yarn and join it where it is needed.",
    source: "Teaching pages: at the carriage's side only one needle is held; the limit is that of a float",
};
pub(super) const FAR_INCREASE: CraftRule = CraftRule {
    id: "wrapped-away-from-yarn",
    level: Level::Warning,
    says: "Needles are wrapped at the side where the yarn is not.",
    why: "The yarn would lie across the whole work.",
    remedy: "Wrap new needles at the carriage's side.",
    source: "Teaching pages: several stitches are added at the carriage's side only",
};
pub(super) const TIGHT: CraftRule = CraftRule {
    id: "tight-bind-off",
    level: Level::Warning,
    says: "The last row is less than two numbers looser than the stretch that it ends.",
    why: "A chain is only as wide as the row under it.",
    remedy: "Knit the last row two to five numbers looser.",
    source: "Teaching pages: the loosest row, or 2 to 5 numbers up",
};

pub(super) const BARE: CraftRule = CraftRule {
    id: "two-beds-unweighted",
    level: Level::Warning,
    says: "Both beds knit with nothing hanging from the work.",
    why: "The loops ride up between the beds and jump off.",
    remedy: "Hang weights, or move the work to the main bed first.",
    source: PRACTICE,
};
pub(super) const HELD: CraftRule = CraftRule {
    id: "bound-off-holding",
    level: Level::Warning,
    says: "Stitches are made fast on needles that are still in holding position.",
    why: "They did not knit in the row before, so the edge is tight and the rows under it are short.",
    remedy: "Write back to work all, and knit a row over them first.",
    source: PRACTICE,
};
pub(super) const OTHER_PITCH: CraftRule = CraftRule {
    id: "other-pitch",
    level: Level::Warning,
    says: "The ribber does not stand at the pitch of this fabric.",
    why: "Its needles are not midway between their neighbours, so the stitches come out uneven.",
    remedy: "Set the pitch back before these rows.",
    source: "Common practice, no source: alternate needles at full pitch, every needle at half pitch",
};

/// The rules of the craft.
pub(super) const RULES: [&CraftRule; 11] = [
    &SIDE_BY_SIDE,
    &BED_END,
    &RACKED_FAR,
    &WEIGHTS_LOW,
    &LOOSE_CAST_ON,
    &LONG_TURN,
    &FAR_INCREASE,
    &TIGHT,
    &BARE,
    &HELD,
    &OTHER_PITCH,
];

/// Rows after which weights should have been moved up.
const ROWS_HELD: u32 = 40;

/// Looks at a run as a knitter would; each rule is told once for a part.
pub(super) fn look(design: &Design, plan: &PiecePlan, run: &Run, notices: &mut Notices) {
    let mut told: Vec<(&str, u32)> = Vec::new();
    let mut tell = |rule: &CraftRule, step: usize, detail: String| {
        let origin = plan.plan.steps[step].origin.0;
        if told.contains(&(rule.id, origin)) {
            return;
        }
        told.push((rule.id, origin));
        let Some(part) = plan.origins.get(origin as usize) else { return };
        let mut n = Notice::warning(
            part.span,
            format!(
                "{} ({}, {}, counter {}, step {}{detail}.)",
                rule.says,
                plan.name,
                part.label,
                crate::units::counter(super::wording::counter_before(plan, step)),
                step + 1
            ),
        )
        .because(rule.why)
        .hint(rule.remedy)
        .by(rule.id);
        n.level = rule.level;
        notices.push(n);
    };
    let profile = &design.machine.profile;
    let stretches = design.pieces.get(plan.piece).map_or(&[][..], |p| &p.stretches);
    // The pitch that the fabric of each part wants, where it stands on both beds.
    let wants = |p: &Part| match p.kind {
        PartKind::Stretch { index, .. } => {
            stretches.get(index).map(|s| s.fabric.layout).filter(|l| l.two_beds()).map(|l| l.pitch())
        }
        _ => None,
    };
    let pitches: Vec<Option<Pitch>> = plan.origins.iter().map(wants).collect();
    let (mut pitch, mut racking) = (Pitch::Full, Racking(0));
    // Where the ribber stood before it was racked, in half pitches, and the step that racks it.
    let mut racked_from: Option<(i32, usize)> = None;
    let mut holding: BTreeSet<Needle> = BTreeSet::new();
    let mut since_moved = 0;
    let mut hangs = false;
    let mut turn: Option<Needle> = None;
    let mut yarn = None;
    let mut carriage = Side::Right;
    for (i, step) in plan.plan.steps.iter().enumerate().take(run.readings.len()) {
        let stands = Place::of(Needle::ribber(0), pitch, racking).0;
        if matches!(step.action, Action::Rack(_) | Action::Pitch(_)) {
            racked_from.get_or_insert((stands, i));
        } else if let Some((from, at)) = racked_from.take() {
            let origin = plan.origins.get(plan.plan.steps[at].origin.0 as usize);
            // The cast-on of some ribs racks by itself, before the loops are drawn tight.
            let loops = run.readings[at].stitches.1 > 0 && origin.is_none_or(|p| p.kind != PartKind::CastOn);
            if loops && stands.abs_diff(from) >= 4 {
                tell(&RACKED_FAR, at, format!(", by {} needles", stands.abs_diff(from) / 2));
            }
        }
        match &step.action {
            Action::Start { pitch: p, racking: r, carriage: c } => (pitch, racking, carriage) = (*p, *r, *c),
            Action::Pitch(p) => pitch = *p,
            Action::Rack(r) => racking = *r,
            Action::Hold(n) => holding.extend(n),
            Action::Forward(n) | Action::BackToWorking(n) | Action::OutOfWork(n) => {
                holding.retain(|h| !n.contains(h));
            }
            Action::IntoWork(needles) => {
                holding.retain(|h| !needles.contains(h));
                for n in needles {
                    if let Some((first, last)) = profile.reach(n.bed)
                        && (n.slot.0 - first.0 < 2 || last.0 - n.slot.0 < 2)
                    {
                        tell(&BED_END, i, format!(", {n}"));
                    }
                }
            }
            Action::Hang { .. } | Action::MoveUp(_) | Action::Unhang { .. } => {
                since_moved = 0;
                hangs = run.readings[i].grams > 0;
            }
            Action::Wrap { needles, .. } => {
                let before = i.checked_sub(1).and_then(|j| run.readings.get(j)).map_or((0, 0), |r| r.stitches);
                let far = needles.iter().all(|n| if carriage == Side::Right { n.slot.0 < 0 } else { n.slot.0 >= 0 });
                if before.0 + before.1 > 0 && far {
                    tell(&FAR_INCREASE, i, String::new());
                }
                turn = None;
            }
            Action::Secure { needles, .. } => {
                turn = None;
                if let Some(n) = needles.iter().find(|n| holding.contains(n)) {
                    tell(&HELD, i, format!(", {n} first"));
                }
            }
            Action::TurnWrap { .. } | Action::Cut(_) | Action::Join { .. } => turn = None,
            Action::Pass(p) => {
                carriage = p.direction;
                let made = run.made_in(i);
                holding.retain(|n| if n.bed == Bed::Main { p.main.hold } else { p.ribber.hold });
                let before = i.checked_sub(1).and_then(|j| run.readings.get(j)).map_or((0, 0), |r| r.stitches);
                if pitches.get(step.origin.0 as usize).copied().flatten().is_some_and(|p| p != pitch) {
                    tell(&OTHER_PITCH, i, String::new());
                }
                let both = run.readings[i].stitches.0 > 0 && run.readings[i].stitches.1 > 0;
                if both && !made.is_empty() && before.1 > 0 && run.readings[i].grams == 0 {
                    tell(&BARE, i, String::new());
                }
                since_moved += 1;
                if hangs && since_moved > ROWS_HELD {
                    tell(&WEIGHTS_LOW, i, String::new());
                    since_moved = 0;
                }
                let place = |n: Needle| Place::of(n, pitch, racking);
                if p.main.setting == Setting::Tuck || p.ribber.setting == Setting::Tuck {
                    let ids: Vec<u32> = made.clone().collect();
                    for pair in ids.windows(2) {
                        let (a, b) = (run.loops.needle(LoopId(pair[0])), run.loops.needle(LoopId(pair[1])));
                        let tuck = |k: usize| run.loops.kind(LoopId(pair[k])) == Kind::Tuck;
                        if a.bed == b.bed && tuck(0) && tuck(1) && place(a).to(place(b)) <= 2 {
                            tell(&SIDE_BY_SIDE, i, format!(", {a} and {b}"));
                        }
                    }
                }
                if p.yarn.is_some() && p.yarn == yarn && p.second.is_none() && !made.is_empty() {
                    let first = run.loops.needle(LoopId(made.start));
                    if let Some(last) = turn
                        && place(last).to(place(first)) > profile.float.value * 2
                    {
                        tell(&LONG_TURN, i, format!(", from {last} to {first}"));
                    }
                }
                if !made.is_empty() {
                    turn = Some(run.loops.needle(LoopId(made.end - 1)));
                    yarn = p.yarn;
                }
            }
            Action::Transfer(m) if m.leaves == Leaves::Out => {
                holding.remove(&m.from);
            }
            _ => {}
        }
    }
    loose_cast_on(plan, &mut tell);
}

/// The zigzag against the first stretch.
fn loose_cast_on(plan: &PiecePlan, tell: &mut impl FnMut(&CraftRule, usize, String)) {
    let kind = |s: &latchwork_machine::steps::Step| plan.origins.get(s.origin.0 as usize).map(|p| p.kind.clone());
    let both =
        |p: &latchwork_machine::steps::Pass| p.main.setting == Setting::Knit && p.ribber.setting == Setting::Knit;
    let passes = plan.plan.steps.iter().enumerate().filter_map(|(i, s)| match &s.action {
        Action::Pass(p) => Some((i, kind(s), p)),
        _ => None,
    });
    let Some((i, _, zigzag)) = passes.clone().find(|(_, k, p)| *k == Some(PartKind::CastOn) && both(p)) else { return };
    let fabric = passes.clone().find(|(_, k, _)| matches!(k, Some(PartKind::Stretch { .. })));
    if let Some((_, _, first)) = fabric
        && zigzag.main.dial >= first.main.dial
        && first.main.dial.0 > 0
    {
        tell(&LOOSE_CAST_ON, i, String::new());
    }
}
