//! The numbers of loops, counted from the steps alone: which loop each needle made in a row.

use std::collections::BTreeSet;

use crate::needle::{Bed, Needle, Pitch, Place, Racking, Side};
use crate::steps::{Action, Leaves, Setting, Step, Yarn};

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
    let mut in_work: BTreeSet<Needle> = BTreeSet::new();
    let (mut held, mut forward) = (BTreeSet::new(), BTreeSet::new());
    let (mut pitch, mut racking) = (Pitch::Full, Racking(0));
    let (mut counter, mut next) = (0, 1);
    for step in steps {
        match &step.action {
            Action::Start { pitch: p, racking: r, .. } => (pitch, racking) = (*p, *r),
            Action::Rack(r) => racking = *r,
            Action::Pitch(p) => pitch = *p,
            Action::Counter(n) => counter = *n,
            Action::IntoWork(n) => in_work.extend(n),
            Action::OutOfWork(n) => in_work.retain(|x| !n.contains(x)),
            Action::Transfer(m) if m.leaves == Leaves::Out => {
                in_work.remove(&m.from);
            }
            Action::Hold(n) => held.extend(n.iter().copied()),
            Action::Forward(n) => forward.extend(n.iter().copied()),
            Action::BackToWorking(n) => n.iter().for_each(|n| {
                held.remove(n);
            }),
            Action::Wrap { needles, yarn } => {
                let loops: Vec<(u32, Needle)> = (next..).zip(needles.iter().copied()).collect();
                next += u32::try_from(loops.len()).unwrap_or(0);
                each(Row { reading: None, yarn: Some(*yarn), loops });
            }
            Action::TurnWrap { .. } => next += 1,
            Action::Pass(p) => {
                let mut order: Vec<Needle> = in_work.iter().copied().collect();
                order.sort_by_key(|n| Place::of(*n, pitch, racking));
                if p.direction == Side::Left {
                    order.reverse();
                }
                let forms = |n: &Needle| {
                    let bed = if n.bed == Bed::Main { p.main } else { p.ribber };
                    let selected = forward.contains(n) || (held.contains(n) && !bed.hold);
                    let misses = held.contains(n) && bed.hold;
                    p.yarn.is_some() && !misses && (selected || bed.setting != Setting::Slip)
                };
                let loops: Vec<(u32, Needle)> = (next..).zip(order.into_iter().filter(forms)).collect();
                next += u32::try_from(loops.len()).unwrap_or(0);
                forward.clear();
                held.retain(|n| if n.bed == Bed::Main { p.main.hold } else { p.ribber.hold });
                counter += u32::from(p.counted);
                each(Row { reading: Some(counter), yarn: p.yarn, loops });
            }
            _ => {}
        }
    }
}
