//! Needles as the knitter sees them: main bed above, pointing down; ribber below, pointing up.

use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking};
use latchwork_machine::steps::{Action, Plan};

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::units::Language;
use crate::wording::{pitch, say};

/// Places drawn at each end and about the centre where a set-up is too wide to draw whole.
const SHOWN: usize = 6;
/// Distance between needles, in points.
const STEP: f64 = 13.0;

struct SetUp {
    pitch: Pitch,
    racking: Racking,
    needles: Vec<Needle>,
}

fn set_up(plan: &Plan) -> Option<SetUp> {
    let mut stands = None;
    for step in &plan.steps {
        match &step.action {
            Action::Start { pitch, racking, .. } => stands = Some((*pitch, *racking)),
            Action::IntoWork(needles) => {
                let (pitch, racking) = stands?;
                return Some(SetUp { pitch, racking, needles: needles.clone() });
            }
            _ => {}
        }
    }
    None
}

impl SetUp {
    fn has(&self, bed: Bed, slot: i16) -> bool {
        self.needles.contains(&Needle { bed, slot: latchwork_machine::needle::Slot(slot) })
    }

    fn slots(&self) -> (i16, i16) {
        let slots = self.needles.iter().map(|n| n.slot.0);
        (slots.clone().min().unwrap_or(0), slots.max().unwrap_or(0))
    }

    fn stands(&self, t: Language) -> String {
        let pitch = pitch(self.pitch, t);
        match self.racking.0 {
            0 => pitch,
            r => say!(t, "{pitch}, rack {r}", pitch, r),
        }
    }
}

/// The needles of a plan's cast-on, drawn at their pitch; a wide set-up shows both ends and the centre.
#[must_use]
pub fn diagram(plan: &Plan, t: Language) -> Option<Picture> {
    let set_up = set_up(plan)?;
    let (left, right) = set_up.slots();
    let two = set_up.needles.iter().any(|n| n.bed == Bed::Ribber);
    let all: Vec<i16> = (left - 1..=right + 1).collect();
    // A needle pattern is most easily lost at the centre.
    let groups: Vec<Vec<i16>> = if all.len() <= 3 * SHOWN + 6 {
        vec![all]
    } else {
        vec![all[..=SHOWN].to_vec(), (-4..4).collect(), all[all.len() - SHOWN - 1..].to_vec()]
    };
    let mut ink = Ink::new();
    let (top, bottom) = (16.0, 66.0);
    let mut x = 52.0;
    ink.text(0.0, top + 3.0, 9.0, Anchor::Start, true, &say!(t, "main bed"));
    if two {
        ink.text(0.0, bottom + 3.0, 9.0, Anchor::Start, true, &say!(t, "ribber"));
    }
    for (g, slots) in groups.iter().enumerate() {
        if g > 0 {
            ink.text(x + 8.0, (top + bottom) / 2.0, 12.0, Anchor::Middle, false, "…");
            x += 24.0;
        }
        let first = f64::from(Place::of(Needle::main(slots[0]), set_up.pitch, set_up.racking).0);
        let end = x + STEP * f64::from(u32::try_from(slots.len()).unwrap_or(1));
        let at = |n: Needle| x + 6.0 + (f64::from(Place::of(n, set_up.pitch, set_up.racking).0) - first) / 2.0 * STEP;
        ink.line(3.2, &[(x, top), (end, top)]);
        if two {
            ink.line(0.9, &[(x, bottom - 1.5), (end, bottom - 1.5)]);
            ink.line(0.9, &[(x, bottom + 1.5), (end, bottom + 1.5)]);
        }
        for &s in slots {
            for (bed, y, d) in [(Bed::Main, top, 1.0), (Bed::Ribber, bottom, -1.0)] {
                let needle = Needle { bed, slot: latchwork_machine::needle::Slot(s) };
                let nx = at(needle);
                if (bed == Bed::Main || two) && nx > x && nx < end {
                    stem(&mut ink, nx, y, d, set_up.has(bed, s));
                }
            }
            let fifth = if s < 0 { s % 5 == 0 } else { (s + 1) % 5 == 0 };
            let named = s == left || s == right || s == -1 || s == 0;
            let crowded = [left, right].iter().any(|e| *e != s && e.abs_diff(s) < 3);
            if s >= left && s <= right && (named || (fifth && !crowded)) {
                let name = latchwork_machine::needle::Slot(s).to_string();
                ink.text(at(Needle::main(s)), top - 9.0, 9.5, Anchor::Middle, false, &name);
            }
        }
        x = end;
    }
    ink.text(x + 6.0, (top + bottom) / 2.0 + 3.0, 9.0, Anchor::Start, true, &set_up.stands(t));
    let alt = in_text(plan, t).unwrap_or_default();
    Some(ink.finish(x + 84.0, if two { 80.0 } else { 52.0 }, alt))
}

/// A needle in work is a stem with a hook; a needle out of work is a short mark behind the bed.
fn stem(ink: &mut Ink, x: f64, y: f64, d: f64, in_work: bool) {
    if !in_work {
        ink.line(1.1, &[(x, y - d * 6.5), (x, y - d * 4.0)]);
        return;
    }
    let t = y + d * 15.0;
    ink.line(1.2, &[(x, y - d * 6.5), (x, t)]);
    ink.raw(&format!(
        "<path d=\"M{x:.2} {t:.2}q0 {:.2} 2.6 {:.2}q2 {:.2} 1.3 {:.2}\" fill=\"none\" stroke=\"#000\" stroke-width=\"1.2\"/>",
        d * 3.3,
        d * 2.6,
        d * -0.7,
        d * -3.0
    ));
}

/// The needles of a plan's cast-on in text: `j` in work, `.` out; a column is half a needle pitch.
#[must_use]
pub fn in_text(plan: &Plan, t: Language) -> Option<String> {
    let set_up = set_up(plan)?;
    let (left, right) = set_up.slots();
    let origin = Place::of(Needle::main(left), set_up.pitch, set_up.racking).0;
    let mut lines = Vec::new();
    for bed in Bed::BOTH {
        if bed == Bed::Ribber && !set_up.needles.iter().any(|n| n.bed == bed) {
            continue;
        }
        let mut row = String::new();
        for s in left - 2..=right + 2 {
            let needle = Needle { bed, slot: latchwork_machine::needle::Slot(s) };
            let column = Place::of(needle, set_up.pitch, set_up.racking).0 - origin;
            let Ok(column) = usize::try_from(column) else { continue };
            if s < left || s > right {
                continue;
            }
            while row.len() < column {
                row.push(' ');
            }
            row.push(if set_up.has(bed, s) { 'j' } else { '.' });
        }
        let name = if bed == Bed::Main { say!(t, "main") } else { say!(t, "ribber") };
        lines.push(format!("{name:<7}{row}"));
    }
    let name = latchwork_machine::needle::Slot;
    lines.push(say!(
        t,
        "from {left} to {right}, {stands}",
        left = name(left),
        right = name(right),
        stands = set_up.stands(t)
    ));
    Some(lines.join("\n"))
}
