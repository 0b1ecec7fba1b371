//! The numbers of loops, counted from the steps alone: which loop each needle made in a row.

use crate::beds::Beds;
use crate::needle::Needle;
use crate::steps::{Action, Step, Yarn};

/// Loops made one after the other, with the needles that made them.
struct Row {
    /// The counter after it; none where needles were wrapped by hand.
    reading: Option<u32>,
    yarn: Option<Yarn>,
    loops: Vec<(u32, Needle)>,
}

/// Loops (by number) and needles of the last row after which the counter had this reading; without a reading, of the
/// first row in the working yarn.
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
    let mut beds = Beds::of(steps);
    for step in steps {
        beds.step(&step.action);
        let (reading, yarn) = match &step.action {
            Action::Pass(p) => (Some(beds.counter()), p.yarn),
            Action::Wrap { yarn, .. } => (None, Some(*yarn)),
            _ => continue,
        };
        each(Row { reading, yarn, loops: beds.made().collect() });
    }
}
