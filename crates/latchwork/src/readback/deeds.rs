//! A plan as deeds: what is done, without claims, and in one form where a difference does not matter.

use std::collections::{BTreeMap, BTreeSet};

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking};
use latchwork_machine::steps::{Action, BedSetting, Dial, Leaves, Load, Pass, Plan, Setting};

/// One thing done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Deed {
    /// A step as the machine knows it; needles whose order does not matter are sorted.
    Step(Action),
    /// The ribber set to a pitch and racking.
    Stands(Pitch, Racking),
    /// The weight from here on.
    Hangs {
        /// Total grams.
        grams: u32,
        /// Whether the comb still hangs.
        comb: bool,
    },
    /// Comb or claw weights moved up.
    MoveUp,
}

/// Needles sorted, each once.
pub(super) fn sorted(needles: &[Needle]) -> Vec<Needle> {
    needles.iter().copied().collect::<BTreeSet<_>>().into_iter().collect()
}

/// A pass reduced to what has an effect: a bed with no needle in work has no setting.
pub(super) fn effective(p: &Pass, in_work: &BTreeSet<Needle>) -> Pass {
    let idle = BedSetting { setting: Setting::Slip, hold: false, dial: Dial(0) };
    let of = |bed, setting| if in_work.iter().any(|n| n.bed == bed) { setting } else { idle };
    Pass { main: of(Bed::Main, p.main), ribber: of(Bed::Ribber, p.ribber), ..*p }
}

/// Moves the claw weights up as soon as the counter stands at its reading; a free pass that is not counted leaves it there.
fn with_the_counter(deeds: Vec<Deed>) -> Vec<Deed> {
    let mut all: Vec<Deed> = Vec::with_capacity(deeds.len());
    let mut at = 0;
    for deed in deeds {
        match &deed {
            Deed::MoveUp => {
                all.insert(at, deed);
                continue;
            }
            Deed::Step(Action::Pass(p)) if p.counted || p.yarn.is_some() => at = all.len() + 1,
            _ => {}
        }
        all.push(deed);
    }
    all
}

/// Consecutive transfers in one order of all that do the same: each as early as those allow with which it has a needle in common, and
/// those that may then come at once by their needles (the normal form of Cartier and Foata).
pub(super) fn settled(all: Vec<Deed>) -> Vec<Deed> {
    let mut begun = None;
    let mut last: BTreeMap<Needle, u32> = BTreeMap::new();
    let placed = |(i, deed): (usize, Deed)| {
        let Deed::Step(Action::Transfer(m)) = &deed else {
            begun = None;
            last.clear();
            return ((i, 0, None), deed);
        };
        let of = |n: &Needle| last.get(n).copied().unwrap_or(0);
        let (turn, from) = (1 + of(&m.from).max(of(&m.to)), m.from);
        last.extend([(m.from, turn), (m.to, turn)]);
        ((*begun.get_or_insert(i), turn, Some(from)), deed)
    };
    let mut all: Vec<_> = with_the_counter(all).into_iter().enumerate().map(placed).collect();
    all.sort_by_key(|a| a.0);
    all.into_iter().map(|a| a.1).collect()
}

/// What a plan does.
#[must_use]
pub fn deeds(plan: &Plan) -> Vec<Deed> {
    let mut all: Vec<Deed> = Vec::new();
    let mut in_work: BTreeSet<Needle> = BTreeSet::new();
    let mut stands = (Pitch::Full, Racking(0));
    let (mut comb, mut weights) = (0_u32, 0_u32);
    for step in &plan.steps {
        let deed = match &step.action {
            Action::Claim(_) => continue,
            Action::Rack(_) | Action::Pitch(_) => {
                match step.action {
                    Action::Rack(r) => stands.1 = r,
                    Action::Pitch(p) => stands.0 = p,
                    _ => {}
                }
                if let Some(Deed::Stands(..)) = all.last() {
                    all.pop();
                }
                Deed::Stands(stands.0, stands.1)
            }
            Action::Hang { load, grams } | Action::Unhang { load, grams } => {
                let of = if *load == Load::Comb { &mut comb } else { &mut weights };
                let hung = matches!(step.action, Action::Hang { .. });
                *of = if hung { *of + grams } else { of.saturating_sub(*grams) };
                if let Some(Deed::Hangs { .. }) = all.last() {
                    all.pop();
                }
                Deed::Hangs { grams: comb + weights, comb: comb > 0 }
            }
            Action::MoveUp(_) => Deed::MoveUp,
            Action::IntoWork(n) => Deed::Step(Action::IntoWork(sorted(n))),
            Action::OutOfWork(n) => Deed::Step(Action::OutOfWork(sorted(n))),
            Action::Hold(n) => Deed::Step(Action::Hold(sorted(n))),
            Action::Forward(n) => Deed::Step(Action::Forward(sorted(n))),
            Action::BackToWorking(n) => Deed::Step(Action::BackToWorking(sorted(n))),
            Action::Release(n) => Deed::Step(Action::Release(sorted(n))),
            Action::Pass(p) => Deed::Step(Action::Pass(effective(p, &in_work))),
            other => Deed::Step(other.clone()),
        };
        match &step.action {
            Action::Start { pitch, racking, .. } => stands = (*pitch, *racking),
            Action::IntoWork(n) => in_work.extend(n),
            Action::OutOfWork(n) => in_work.retain(|x| !n.contains(x)),
            Action::Transfer(m) if m.leaves == Leaves::Out => drop(in_work.remove(&m.from)),
            Action::MoveTogether { moves, .. } => {
                for m in moves.iter().filter(|m| m.leaves == Leaves::Out) {
                    in_work.remove(&m.from);
                }
            }
            _ => {}
        }
        all.push(deed);
    }
    settled(all)
}
