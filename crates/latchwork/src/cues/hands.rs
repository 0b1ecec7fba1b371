//! What the hands do between two passes, in short sentences.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::numbers::{loops_of, reading_of};
use latchwork_machine::rehearsal::{Reading, Run};
use latchwork_machine::steps::{Action, Leaves, Load, Move, Plan, Way};

use super::loops;
use crate::plan::PiecePlan;
use crate::units::{Show, counter};
use crate::words::{in_order, needles};

/// Where one act ends and another begins, so that each has a screen to itself.
pub(super) fn acts(plan: &Plan, steps: core::ops::Range<usize>) -> Vec<core::ops::Range<usize>> {
    let mut all: Vec<core::ops::Range<usize>> = Vec::new();
    let mut last = "";
    for i in steps {
        let word = act(core::iter::once(&plan.steps[i].action));
        match all.last_mut() {
            Some(of) if word.is_empty() || last.is_empty() || word == last => of.end = i + 1,
            _ => all.push(i..i + 1),
        }
        if !word.is_empty() {
            last = word;
        }
    }
    all.into_iter().flat_map(|of| near(plan, of)).collect()
}

/// So many loops at an end of a bed are moved at one screen; their arrows would cross otherwise.
const AT_AN_END: usize = 3;
/// More moves than that are a row, and are not drawn one by one.
const A_ROW: usize = 16;

/// Moves along a bed, in parts that can be drawn.
fn near(plan: &Plan, steps: core::ops::Range<usize>) -> Vec<core::ops::Range<usize>> {
    let along = |i: usize| match &plan.steps[i].action {
        Action::Transfer(m) if m.from.bed == m.to.bed => Some(m),
        _ => None,
    };
    let slots = || steps.clone().filter_map(along).map(|m| m.from.slot.0);
    let (Some(first), Some(last)) = (slots().min(), slots().max()) else { return vec![steps] };
    if slots().count() > A_ROW {
        return vec![steps];
    }
    let mid = i16::midpoint(first, last);
    let mut parts = Vec::new();
    let (mut from, mut counts) = (steps.start, [[0; 2]; 2]);
    for i in steps.clone() {
        let Some(m) = along(i) else { continue };
        let end = &mut counts[usize::from(m.from.bed == Bed::Ribber)][usize::from(m.from.slot.0 > mid)];
        if *end == AT_AN_END {
            parts.push(from..i);
            (from, counts) = (i, [[0; 2]; 2]);
            counts[usize::from(m.from.bed == Bed::Ribber)][usize::from(m.from.slot.0 > mid)] = 1;
        } else {
            *end += 1;
        }
    }
    parts.push(from..steps.end);
    parts
}

/// Sentences, and the needles that they touch.
pub(super) fn said(
    piece: &PiecePlan,
    run: &Run,
    show: Show,
    steps: core::ops::Range<usize>,
) -> (Vec<String>, Vec<Needle>) {
    let mut said: Vec<String> = Vec::new();
    let mut touched = Vec::new();
    let begins = steps.start;
    let actions: Vec<&Action> = piece.plan.steps[steps].iter().map(|s| &s.action).collect();
    let mut i = 0;
    while let Some(action) = actions.get(i) {
        // Single moves of one kind are one sentence, and so are loops picked up from one row.
        let mut moves: Vec<Move> = actions[i..]
            .iter()
            .map_while(|a| match a {
                Action::Transfer(m) => Some(*m),
                _ => None,
            })
            .collect();
        let alike = moves.iter().take_while(|m| m.leaves == moves[0].leaves).count();
        moves.truncate(alike);
        let picked: Vec<(u32, Needle)> = actions[i..]
            .iter()
            .map_while(|a| match a {
                Action::PickUp { loop_number, needle } => Some((*loop_number, *needle)),
                _ => None,
            })
            .collect();
        if !moves.is_empty() {
            said.extend(moved(&moves, &mut touched));
        } else if !picked.is_empty() {
            touched.extend(picked.iter().map(|p| p.1));
            said.extend(picked_up(piece, &picked));
        } else if let Some(s) = sentence(piece, action, &run.readings[begins + i], &mut touched) {
            let before = (begins + i).checked_sub(1).map(|b| &piece.plan.steps[b].action);
            said.push(match (action, before) {
                // The last loop is held by nothing else.
                (Action::Cut(_), Some(Action::Secure { needles, way: Way::LoopThroughLoop, cut_length: None, .. }))
                    if needles.len() > 1 =>
                {
                    s.replace('.', ", and draw its end through the last loop.")
                }
                _ => s,
            });
            let tail = piece.tails.iter().find(|t| t.step == begins + i);
            said.extend(tail.map(|t| format!("Leave a tail of {} {}.", show.round(t.length), show.unit())));
        }
        i += (moves.len() + picked.len()).max(1);
    }
    touched.sort_unstable();
    touched.dedup();
    (said, touched)
}

/// What several acts come to, in a word or two: that of them that takes most care.
pub(super) fn act<'a>(actions: impl Iterator<Item = &'a Action>) -> &'static str {
    // From the one that names the moment most surely to the least.
    let ranked = |a: &Action| match a {
        Action::Start { .. } => Some((0, "set up")),
        Action::Secure { way: Way::Gathered, .. } => Some((1, "gather")),
        Action::Secure { way: Way::Waste, .. } => Some((1, "take off")),
        Action::Secure { needles, .. } if needles.len() == 1 => Some((1, "fasten off")),
        Action::Secure { .. } => Some((1, "bind off")),
        Action::TakeOff { .. } => Some((2, "take off")),
        Action::PutBack { .. } => Some((2, "put back")),
        Action::PickUp { .. } => Some((2, "pick up")),
        Action::HangEdge { .. } => Some((2, "hang the edge")),
        Action::MoveTogether { .. } => Some((3, "cross")),
        Action::Transfer(m) if m.from.bed != m.to.bed => Some((3, "move across")),
        Action::Transfer(m) => match m.leaves {
            Leaves::Out => Some((4, "decrease")),
            Leaves::Eyelet => Some((4, "eyelets")),
            Leaves::Refill => Some((4, "move loops")),
        },
        Action::Release(_) => Some((4, "let off")),
        Action::TurnWrap { .. } | Action::Wrap { .. } => Some((5, "wrap")),
        Action::Hold(_) => Some((6, "hold")),
        Action::IntoWork(_) => Some((7, "needles in")),
        Action::OutOfWork(_) => Some((7, "needles out")),
        Action::Forward(_) | Action::BackToWorking(_) => Some((8, "needles")),
        Action::Rack(_) | Action::Pitch(_) => Some((9, "rack")),
        Action::RibberDown | Action::RibberUp => Some((9, "ribber")),
        Action::Join { .. } => Some((10, "thread")),
        Action::Cut(_) => Some((10, "cut")),
        Action::Hang { .. } | Action::Unhang { .. } | Action::MoveUp(_) => Some((11, "weights")),
        Action::Counter(_) => Some((12, "counter")),
        Action::Pass(_) | Action::Claim(_) => None,
    };
    actions.filter_map(ranked).min_by_key(|r| r.0).map_or("", |r| r.1)
}

/// Loops picked up, told by the rows that they are of.
fn picked_up(piece: &PiecePlan, mut picked: &[(u32, Needle)]) -> Vec<String> {
    let mut said = Vec::new();
    while let Some((first, _)) = picked.first() {
        let reading = reading_of(&piece.plan.steps, *first);
        let row = reading.map(|r| loops_of(&piece.plan.steps, Some(r))).unwrap_or_default();
        let of_row = picked.iter().take_while(|p| row.iter().any(|r| r.0 == p.0)).count().max(1);
        let (these, others) = picked.split_at(of_row);
        let on: Vec<Needle> = these.iter().map(|p| p.1).collect();
        let row = reading.map_or("of the cast-on".to_string(), |r| {
            format!("of the row after which the counter read {}", counter(r))
        });
        said.push(match on.as_slice() {
            [one] => format!("Pick up the loop {row} and hang it on {}.", needles(&[*one])),
            all => format!("Pick up {} loops {row} and hang one on each of {}.", all.len(), in_order(all)),
        });
        picked = others;
    }
    said
}

/// So many moves are told one by one, from where to where.
const PAIRS: usize = 8;

/// Moves whose emptied needles all become the same.
fn moved(moves: &[Move], touched: &mut Vec<Needle>) -> Vec<String> {
    let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
    let to: Vec<Needle> = moves.iter().map(|m| m.to).collect();
    touched.extend(from.iter().chain(&to));
    let leaves = match moves[0].leaves {
        Leaves::Out => "; the emptied needles go out of work",
        Leaves::Eyelet => "; the emptied needles stay in work, for holes",
        Leaves::Refill => "; the emptied needles stay in work, to be filled",
    };
    if let [m] = moves {
        return vec![format!("Move the loop of {} to {}{leaves}.", needles(&[m.from]), needles(&[m.to]))];
    }
    if let Some(told) = across(moves, leaves).filter(|_| moves.len() > AT_AN_END) {
        return told;
    }
    let bed = moves[0].from.bed;
    if moves.len() <= PAIRS && moves.iter().all(|m| m.from.bed == bed && m.to.bed == bed) {
        let pairs: Vec<String> = moves.iter().map(|m| format!("{} to {}", m.from.slot, m.to.slot)).collect();
        let on = if bed == Bed::Main { "main bed" } else { "ribber" };
        return vec![format!("Move these loops on the {on}: {}{leaves}.", pairs.join("; "))];
    }
    if moves.len() <= PAIRS {
        let pair = |m: &Move| format!("{} to {}", needles(&[m.from]), needles(&[m.to]));
        let pairs: Vec<String> = moves.iter().map(pair).collect();
        return vec![format!("Move these loops: {}{leaves}.", pairs.join("; "))];
    }
    vec![format!("Move the loops of {}, in this order, to {}{leaves}.", in_order(&from), in_order(&to))]
}

/// Loops that all go across the gap as far to a side: each bed's by themselves, for over there they go to the same place.
fn across(moves: &[Move], leaves: &str) -> Option<Vec<String>> {
    let far = |m: &Move| m.to.slot.0 - m.from.slot.0;
    // Where a loop goes on from where another came, their order matters.
    if moves.iter().any(|m| moves.iter().any(|other| other.from == m.to)) {
        return None;
    }
    let mut said = Vec::new();
    for bed in [Bed::Ribber, Bed::Main] {
        let of: Vec<&Move> = moves.iter().filter(|m| m.from.bed == bed).collect();
        let Some(first) = of.first() else { continue };
        if of.iter().any(|m| m.to.bed == bed || far(m) != far(first)) {
            return None;
        }
        let [from, to] = [|m: &Move| m.from, |m: &Move| m.to].map(|end| of.iter().map(|m| end(m)).collect::<Vec<_>>());
        let (this, other) = (bed_word(bed), bed_word(bed.other()));
        let place = match far(first) {
            0 => "of the same number".to_string(),
            n => {
                let (many, way) = (n.unsigned_abs(), if n < 0 { "left" } else { "right" });
                format!("{many} {} to the {way}", if many == 1 { "place" } else { "places" })
            }
        };
        let loops = loops(u32::try_from(of.len()).unwrap_or(u32::MAX), 0);
        said.push(format!(
            "Move each {this} loop to the {other} needle {place}: {loops}, {} to {}{leaves}.",
            in_order(&from),
            in_order(&to)
        ));
    }
    Some(said)
}

fn bed_word(bed: Bed) -> &'static str {
    match bed {
        Bed::Main => "main",
        Bed::Ribber => "ribber",
    }
}

fn side(s: Side) -> &'static str {
    match s {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// How the ribber stands to the main bed: not racked, or so many needles to a side.
pub(super) fn racked(r: Racking) -> String {
    match (r.0.unsigned_abs(), r.0 < 0) {
        (0, _) => "not racked".to_string(),
        (n, left) => format!(
            "racked {n} {} to the {}",
            if n == 1 { "needle" } else { "needles" },
            if left { "left" } else { "right" }
        ),
    }
}

fn load(l: Load) -> &'static str {
    match l {
        Load::Comb => "the comb",
        Load::Weights => "weights",
    }
}

/// One act; `after` is how things stand when it is done.
fn sentence(piece: &PiecePlan, action: &Action, after: &Reading, touched: &mut Vec<Needle>) -> Option<String> {
    let (hang, none_left) = (after.grams, after.stitches == (0, 0));
    let yarn =
        |y: &latchwork_machine::steps::Yarn| piece.yarns.get(usize::from(y.0)).map_or("the yarn", String::as_str);
    let mut on = |n: &[Needle]| {
        touched.extend(n);
        needles(n)
    };
    Some(match action {
        Action::Pass(_) | Action::Transfer(_) | Action::PickUp { .. } | Action::Claim(_) => return None,
        Action::Start { carriage, pitch, racking } => {
            let pitch = if *pitch == Pitch::Full { "full pitch" } else { "half pitch" };
            format!("Put the carriage at the {}, the counter at 000; {pitch}, {}.", side(*carriage), racked(*racking))
        }
        Action::IntoWork(n) => format!("Bring into work {}.", on(n)),
        Action::OutOfWork(n) => format!("Put out of work {}.", on(n)),
        Action::Hold(n) => format!("Put into holding {}.", on(n)),
        Action::Forward(n) => format!("Bring forward {}.", on(n)),
        Action::BackToWorking(n) => format!("Put back to work {}.", on(n)),
        Action::MoveTogether { moves, .. } => {
            let (from, to): (Vec<Needle>, Vec<Needle>) = moves.iter().map(|m| (m.from, m.to)).unzip();
            touched.extend(from.iter().chain(&to));
            format!(
                "Lift the loops of {} together and hang them, in this order, on {}.",
                in_order(&from),
                in_order(&to)
            )
        }
        Action::Wrap { needles: n, yarn: y } => format!("Wind {} round {}, towards the carriage.", yarn(y), on(n)),
        Action::TurnWrap { needle, yarn: y } => format!("Lay {} round {}.", yarn(y), on(&[*needle])),
        Action::TakeOff { needles: n, holder } => {
            format!("Take the loops of {} off on to holder {}.", on(n), holder.0 + 1)
        }
        Action::PutBack { needles: n, holder } => format!("Hang the loops of holder {} on {}.", holder.0 + 1, on(n)),
        Action::HangEdge { needles: n, places } => format!(
            "Hang the other piece's edge, in this order, on {}: places {}.",
            in_order(n),
            crate::words::numbers(places)
        ),
        Action::Rack(r) if r.0 == 0 => "Rack the ribber back to where it is not racked.".to_string(),
        Action::Rack(r) => format!("Rack the ribber: {}.", racked(*r)),
        Action::Pitch(Pitch::Full) => "Set full pitch.".to_string(),
        Action::Pitch(Pitch::Half) => "Set half pitch.".to_string(),
        Action::Join { yarn: y, side: s } => format!("Thread {}; it waits at the {}.", yarn(y), side(*s)),
        Action::Cut(y) => format!("Cut {}.", yarn(y)),
        Action::Hang { load: l, grams } => format!("Hang {}: {grams} g.", load(*l)),
        Action::MoveUp(l) => format!("Move {} up.", load(*l)),
        Action::Unhang { load: l, grams } if hang == 0 => format!("Take {} off: {grams} g; nothing hangs.", load(*l)),
        Action::Unhang { load: l, grams } => format!("Take {} off: {grams} g; {hang} g stay.", load(*l)),
        Action::Counter(n) => format!("Set the counter to {}.", counter(*n)),
        Action::RibberDown => "Lower the ribber, and set the carriage for the main bed alone.".to_string(),
        Action::RibberUp => "Raise the ribber.".to_string(),
        Action::Secure { needles: n, way, cut_length, onto } => {
            let with = cut_length.as_ref().map_or(String::new(), |y| format!(" with a length of {}", yarn(y)));
            let how = match way {
                Way::LoopThroughLoop if n.len() == 1 && none_left => "Pull the yarn through the last loop",
                Way::LoopThroughLoop if n.len() == 1 => "Pull the yarn through the loop",
                Way::LoopThroughLoop => "With the latch tool pull each loop through the one before it",
                Way::Chain => "Chain the loops off with the latch tool",
                Way::Sewn => "Sew the loops off",
                Way::Gathered => "Draw the end through every loop with a blunt needle, each off its needle as you go",
                Way::Waste => "Let the work off; the waste yarn keeps the loops",
            };
            touched.extend(n);
            let last = onto.map_or(String::new(), |o| format!("; hang the last loop on {}", in_order(&[o])));
            touched.extend(onto);
            format!("{how}{with}: {}{last}.", in_order(n))
        }
        Action::Release(n) => format!("Let off {}.", on(n)),
    })
}
