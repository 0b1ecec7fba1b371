//! The full state before a cue, for a knitter who arrives at it other than from the cue before.

use latchwork_machine::needle::{Needle, Pitch, Position, Side};
use latchwork_machine::profile::Profile;
use latchwork_machine::rehearsal::{Run, View, views};

use super::hands::racked;
use super::{Cue, Set, loops};
use crate::check::ProvenPiece;
use crate::plan::PiecePlan;
use crate::units::{Language, dial};
use crate::wording::{pitch, say, side};
use crate::words::needles;
use crate::words::yarn_name;

/// The state before a cue, in the order in which the hands restore it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandsBefore {
    /// Where the carriage is.
    pub carriage: Side,
    /// What the counter reads.
    pub counter: u32,
    /// The settings of each carriage.
    pub settings: String,
    /// The stitch size of each carriage.
    pub sizes: String,
    /// Pitch and racking.
    pub beds: String,
    /// Whether the pitch is half pitch.
    pub half: bool,
    /// Needles in work, and needles pushed out.
    pub needles: String,
    /// The same needles, in order.
    pub in_work: Vec<Needle>,
    /// Comb and weights.
    pub weights: String,
    /// Each yarn, and where it is.
    pub yarn: String,
}

/// The state before each cue of a piece, and after the last.
#[must_use]
pub fn standings(proven: ProvenPiece<'_>, profile: &Profile, cues: &[Cue], t: Language) -> Vec<StandsBefore> {
    let (piece, run) = (proven.plan(), proven.run());
    let mut all = Vec::with_capacity(cues.len() + 1);
    let ends: Vec<usize> = cues.iter().map(|c| c.steps.end - 1).collect();
    let mut cue = 0;
    views(&piece.plan, profile, |step, view| {
        if step == 0 {
            // Before the first cue nothing is in work; the cue itself says where the carriage begins.
            all.push(stood(piece, run, step, &view, None, t));
        }
        if ends.get(cue) == Some(&step) {
            all.push(stood(piece, run, step, &view, cues[cue].set.as_ref(), t));
            cue += 1;
        }
    });
    all
}

fn stood(piece: &PiecePlan, run: &Run, step: usize, view: &View, set: Option<&Set>, t: Language) -> StandsBefore {
    let reading = run.readings[step];
    let both = |main: String, ribber: Option<String>| match ribber {
        Some(r) if r == main => say!(t, "both beds {main}", main),
        Some(r) => say!(t, "main bed {main}; ribber {r}", main, r),
        None => say!(t, "main bed {main}", main),
    };
    let hold = |b: &super::BedSet| if b.left.hold || b.right.hold { say!(t, ", hold on") } else { String::new() };
    let settings = set.map_or(say!(t, "nothing set yet"), |s| {
        both(s.main.words(t) + &hold(&s.main), s.ribber.map(|r| r.words(t) + &hold(&r)))
    });
    let sizes = set.map_or(say!(t, "none set yet"), |s| match s.ribber {
        Some(r) => say!(t, "main {main}, ribber {ribber}", main = dial(s.main.dial.0), ribber = dial(r.dial.0)),
        None => say!(t, "main {dial}", dial = dial(s.main.dial.0)),
    });
    let racked = racked(view.racking, t);
    let beds = say!(t, "{pitch}, {racked}", pitch = pitch(view.pitch, t), racked);
    let at = |p: Position| view.needles.iter().filter(|n| n.position == p).map(|n| n.needle).collect::<Vec<Needle>>();
    let in_work: Vec<Needle> = view.needles.iter().map(|n| n.needle).collect();
    let pushed = |p: Position, word: &str| match at(p) {
        some if some.is_empty() => String::new(),
        some => format!("; {} {word}", needles(&some, t)),
    };
    let names = if in_work.is_empty() {
        say!(t, "none in work")
    } else {
        let (main, ribber) = reading.stitches;
        let pushed = pushed(Position::Holding, &say!(t, "held")) + &pushed(Position::Forward, &say!(t, "forward"));
        format!("{}{pushed}; {}", needles(&in_work, t), loops(main, ribber, t))
    };
    let weights =
        if view.grams == 0 { say!(t, "no weight") } else { say!(t, "{grams} g in total", grams = view.grams) };
    let yarns = view.yarns.iter().map(|(y, s)| {
        let name = yarn_name(&piece.yarns, *y, t);
        say!(t, "{name} at the {side}", name, side = side(*s, t))
    });
    let yarn = yarns.collect::<Vec<_>>().join(", ");
    StandsBefore {
        carriage: reading.carriage,
        counter: reading.counter,
        settings,
        sizes,
        beds,
        needles: names,
        half: view.pitch == Pitch::Half,
        in_work,
        weights,
        yarn: if yarn.is_empty() { say!(t, "none threaded") } else { yarn },
    }
}
