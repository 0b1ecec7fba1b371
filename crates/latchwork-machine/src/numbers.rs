//! The numbers of loops, counted from the steps alone: which loop each needle made in a row.

use std::collections::BTreeMap;

use crate::needle::{Bed, Needle, Pitch, Place, Position, Racking, Side};
use crate::steps::{Action, Leaves, Move, Setting, Step, Yarn};

/// Loops made one after the other, with the needles that made them.
struct Row {
    /// The counter after it; none where needles were wrapped by hand.
    reading: Option<u32>,
    yarn: Option<Yarn>,
    loops: Vec<(u32, Needle)>,
}

/// Loops (by number) and needles of the row after which the counter read so, the last such row; or of the first row
/// in the working yarn.
#[must_use]
pub fn loops_of(steps: &[Step], reading: Option<u32>) -> Vec<(u32, Needle)> {
    let mut found: Vec<(u32, Needle)> = Vec::new();
    rows(steps, |row| {
        let wanted = match reading {
            Some(_) => row.reading == reading,
            None => found.is_empty() && row.yarn == Some(Yarn(0)),
        };
        if wanted {
            found = row.loops;
        }
    });
    found.sort_by_key(|(_, n)| (n.bed, n.slot));
    found
}

/// What the counter read after the row in which this loop was made.
#[must_use]
pub fn reading_of(steps: &[Step], loop_number: u32) -> Option<u32> {
    let mut found = None;
    rows(steps, |row| {
        if row.loops.iter().any(|l| l.0 == loop_number) {
            found = row.reading;
        }
    });
    found
}

fn rows(steps: &[Step], mut each: impl FnMut(Row)) {
    // Needles in work, each in the one position that it was put into last.
    let mut in_work: BTreeMap<Needle, Position> = BTreeMap::new();
    let (mut pitch, mut racking) = (Pitch::Full, Racking(0));
    let (mut counter, mut next) = (0, 1);
    for step in steps {
        match &step.action {
            Action::Start { pitch: p, racking: r, .. } => (pitch, racking) = (*p, *r),
            Action::Rack(r) => racking = *r,
            Action::Pitch(p) => pitch = *p,
            Action::Counter(n) => counter = *n,
            Action::IntoWork(n) => in_work.extend(n.iter().map(|n| (*n, Position::Working))),
            Action::OutOfWork(n) => in_work.retain(|x, _| !n.contains(x)),
            Action::Transfer(m) => moved_away(&mut in_work, core::slice::from_ref(m)),
            Action::MoveTogether { moves, .. } => moved_away(&mut in_work, moves),
            Action::Hold(n) => placed(&mut in_work, n, Position::Holding),
            Action::Forward(n) => placed(&mut in_work, n, Position::Forward),
            Action::BackToWorking(n) => placed(&mut in_work, n, Position::Working),
            Action::Wrap { needles, yarn } => {
                let loops: Vec<(u32, Needle)> = (next..).zip(needles.iter().copied()).collect();
                next += u32::try_from(loops.len()).unwrap_or(0);
                each(Row { reading: None, yarn: Some(*yarn), loops });
            }
            Action::TurnWrap { .. } => next += 1,
            Action::Pass(p) => {
                let mut order: Vec<(Needle, Position)> = in_work.iter().map(|(n, at)| (*n, *at)).collect();
                order.sort_by_key(|(n, _)| Place::of(*n, pitch, racking));
                if p.direction == Side::Left {
                    order.reverse();
                }
                let forms = |(n, at): &(Needle, Position)| {
                    let bed = if n.bed == Bed::Main { p.main } else { p.ribber };
                    let yarn = if *at == Position::Forward { p.second.or(p.yarn) } else { p.yarn };
                    yarn.is_some()
                        && match at {
                            Position::Out => false,
                            Position::Working => bed.setting != Setting::Slip,
                            Position::Forward => true,
                            Position::Holding => !bed.hold,
                        }
                };
                let loops: Vec<(u32, Needle)> = (next..).zip(order.into_iter().filter(forms).map(|(n, _)| n)).collect();
                next += u32::try_from(loops.len()).unwrap_or(0);
                for (n, at) in &mut in_work {
                    let hold = if n.bed == Bed::Main { p.main.hold } else { p.ribber.hold };
                    if *at == Position::Forward || (*at == Position::Holding && !hold) {
                        *at = Position::Working;
                    }
                }
                counter += u32::from(p.counted);
                each(Row { reading: Some(counter), yarn: p.yarn, loops });
            }
            Action::TakeOff { .. }
            | Action::PutBack { .. }
            | Action::PickUp { .. }
            | Action::Join { .. }
            | Action::Cut(_)
            | Action::Hang { .. }
            | Action::MoveUp(_)
            | Action::Unhang { .. }
            | Action::RibberDown
            | Action::RibberUp
            | Action::Secure { .. }
            | Action::Release(_)
            | Action::Claim(_) => {}
        }
    }
}

fn placed(in_work: &mut BTreeMap<Needle, Position>, needles: &[Needle], at: Position) {
    for n in needles {
        if let Some(position) = in_work.get_mut(n) {
            *position = at;
        }
    }
}

fn moved_away(in_work: &mut BTreeMap<Needle, Position>, moves: &[Move]) {
    for m in moves.iter().filter(|m| m.leaves == Leaves::Out) {
        in_work.remove(&m.from);
    }
}
