//! Acts of the hands between two passes, in short sentences.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::numbers::{loops_of, reading_of};
use latchwork_machine::rehearsal::{Reading, Run};
use latchwork_machine::steps::{Action, Leaves, Load, Move, Plan, Way};

use super::loops;
use crate::fact::{Counted, HungEdge, HungKind, HungRow};
use crate::plan::PiecePlan;
use crate::units::{Language, Show, counter};
use crate::wording::{self, say, side};
use crate::words::yarn_name;
use crate::words::{in_order, needles};

/// The steps of each act, one screen each.
pub(super) fn acts(plan: &Plan, steps: core::ops::Range<usize>) -> Vec<core::ops::Range<usize>> {
    let mut all: Vec<core::ops::Range<usize>> = Vec::new();
    let mut last = None;
    for i in steps {
        let word = act(core::iter::once(&plan.steps[i].action));
        match all.last_mut() {
            Some(of) if word.is_none() || last.is_none() || word == last => of.end = i + 1,
            _ => all.push(i..i + 1),
        }
        if word.is_some() {
            last = word;
        }
    }
    all.into_iter().flat_map(|of| near(plan, of)).collect()
}

/// Most moves at one end of a bed on one screen; with more, their arrows would cross.
const AT_AN_END: usize = 3;
/// More moves than this are a row and are not drawn one by one.
const A_ROW: usize = 16;

/// Moves along a bed, in groups that can be drawn.
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

/// Sentences for these steps, and the needles that the hands touch.
pub(super) fn said(
    piece: &PiecePlan,
    run: &Run,
    show: Show,
    steps: core::ops::Range<usize>,
) -> (Vec<String>, Vec<Needle>) {
    let t = show.language;
    let mut said: Vec<String> = Vec::new();
    let mut touched = Vec::new();
    let begins = steps.start;
    let actions: Vec<&Action> = piece.plan.steps[steps].iter().map(|s| &s.action).collect();
    let mut i = 0;
    while let Some(action) = actions.get(i) {
        // Consecutive moves of one kind share a sentence, as do loops picked up from one row.
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
            said.extend(moved(&moves, &mut touched, t));
        } else if !picked.is_empty() {
            touched.extend(picked.iter().map(|p| p.1));
            said.extend(picked_up(piece, &picked, t));
        } else if let (Action::HangEdge { needles: n, .. }, Some(h)) = (action, HungEdge::at(&piece.hung, begins + i)) {
            touched.extend(n);
            said.push(hung(h, n, t));
        } else if let (Action::Forward(n), true) = (action, piece.by_device(piece.plan.steps[begins + i].origin.0)) {
            touched.extend(n);
            said.push(say!(
                t,
                "The pattern device brings {needles} to forward position. Look whether it did.",
                needles = needles(n, t)
            ));
        } else if let Some(s) = sentence(piece, action, &run.readings[begins + i], &mut touched, t) {
            let before = (begins + i).checked_sub(1).map(|b| &piece.plan.steps[b].action);
            said.push(match (action, before) {
                // Nothing else holds the last loop.
                (Action::Cut(y), Some(Action::Secure { needles, way: Way::LoopThroughLoop, cut_length: None, .. }))
                    if needles.len() > 1 =>
                {
                    say!(t, "Cut {yarn}. Pull the tail through the last stitch.", yarn = yarn_name(&piece.yarns, *y, t))
                }
                _ => s,
            });
            let tail = piece.tails.iter().find(|t| t.step == begins + i);
            said.extend(tail.map(|y| {
                say!(t, "Leave a tail of {length} {unit}.", length = show.round(y.length), unit = show.unit())
            }));
        }
        i += (moves.len() + picked.len()).max(1);
    }
    touched.sort_unstable();
    touched.dedup();
    (said, touched)
}

/// An act of the hands, in a word or two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Set up.
    SetUp,
    /// Gather.
    Gather,
    /// Take off.
    TakeOff,
    /// Fasten off.
    FastenOff,
    /// Bind off.
    BindOff,
    /// Put back.
    PutBack,
    /// Pick up.
    PickUp,
    /// Hang the edge.
    HangTheEdge,
    /// Cross.
    Cross,
    /// Move across.
    MoveAcross,
    /// Decrease.
    Decrease,
    /// Eyelets.
    Eyelets,
    /// Move loops.
    MoveLoops,
    /// Let off.
    LetOff,
    /// Wrap.
    Wrap,
    /// Hold.
    Hold,
    /// Needles in.
    NeedlesIn,
    /// Needles out.
    NeedlesOut,
    /// Needles.
    Needles,
    /// Rack.
    Rack,
    /// Ribber.
    Ribber,
    /// Thread.
    Thread,
    /// Cut.
    Cut,
    /// Weights.
    Weights,
    /// Counter.
    Counter,
}

impl Act {
    /// The act in a word or two.
    #[must_use]
    pub fn words(self, t: Language) -> String {
        match self {
            Act::SetUp => say!(t, "set up"),
            Act::Gather => say!(t, "gather"),
            Act::TakeOff => say!(t, "take off"),
            Act::FastenOff => say!(t, "fasten off"),
            Act::BindOff => say!(t, "cast off"),
            Act::PutBack => say!(t, "put back"),
            Act::PickUp => say!(t, "hang stitches"),
            Act::HangTheEdge => say!(t, "hang the edge"),
            Act::Cross => say!(t, "cross"),
            Act::MoveAcross => say!(t, "transfer across"),
            Act::Decrease => say!(t, "decrease"),
            Act::Eyelets => say!(t, "eyelets"),
            Act::MoveLoops => say!(t, "transfer"),
            Act::LetOff => say!(t, "drop"),
            Act::Wrap => say!(t, "wrap"),
            Act::Hold => say!(t, "hold"),
            Act::NeedlesIn => say!(t, "needles in"),
            Act::NeedlesOut => say!(t, "needles out"),
            Act::Needles => say!(t, "needles"),
            Act::Rack => say!(t, "rack"),
            Act::Ribber => say!(t, "ribber"),
            Act::Thread => say!(t, "thread"),
            Act::Cut => say!(t, "cut"),
            Act::Weights => say!(t, "weights"),
            Act::Counter => say!(t, "counter"),
        }
    }
}

/// Several acts as one: the one that takes the most care.
pub(super) fn act<'a>(actions: impl Iterator<Item = &'a Action>) -> Option<Act> {
    // Ranked by how surely each names the moment.
    let ranked = |a: &Action| match a {
        Action::Start { .. } => Some((0, Act::SetUp)),
        Action::Secure { way: Way::Gathered, .. } => Some((1, Act::Gather)),
        Action::Secure { way: Way::Waste, .. } => Some((1, Act::TakeOff)),
        Action::Secure { needles, .. } if needles.len() == 1 => Some((1, Act::FastenOff)),
        Action::Secure { .. } => Some((1, Act::BindOff)),
        Action::TakeOff { .. } => Some((2, Act::TakeOff)),
        Action::PutBack { .. } => Some((2, Act::PutBack)),
        Action::PickUp { .. } => Some((2, Act::PickUp)),
        Action::HangEdge { .. } => Some((2, Act::HangTheEdge)),
        Action::MoveTogether { .. } => Some((3, Act::Cross)),
        Action::Transfer(m) if m.from.bed != m.to.bed => Some((3, Act::MoveAcross)),
        Action::Transfer(m) => match m.leaves {
            Leaves::Out => Some((4, Act::Decrease)),
            Leaves::Eyelet => Some((4, Act::Eyelets)),
            Leaves::Refill => Some((4, Act::MoveLoops)),
        },
        Action::Release(_) => Some((4, Act::LetOff)),
        Action::TurnWrap { .. } | Action::Wrap { .. } => Some((5, Act::Wrap)),
        Action::Hold(_) => Some((6, Act::Hold)),
        Action::IntoWork(_) => Some((7, Act::NeedlesIn)),
        Action::OutOfWork(_) => Some((7, Act::NeedlesOut)),
        Action::Forward(_) | Action::BackToWorking(_) => Some((8, Act::Needles)),
        Action::Rack(_) | Action::Pitch(_) => Some((9, Act::Rack)),
        Action::RibberDown | Action::RibberUp => Some((9, Act::Ribber)),
        Action::Join { .. } => Some((10, Act::Thread)),
        Action::Cut(_) => Some((10, Act::Cut)),
        Action::Hang { .. } | Action::Unhang { .. } | Action::MoveUp(_) => Some((11, Act::Weights)),
        Action::Counter(_) => Some((12, Act::Counter)),
        Action::Pass(_) | Action::Claim(_) => None,
    };
    actions.filter_map(ranked).min_by_key(|r| r.0).map(|r| r.1)
}

/// Loops picked up, named by their rows.
fn picked_up(piece: &PiecePlan, mut picked: &[(u32, Needle)], t: Language) -> Vec<String> {
    let mut said = Vec::new();
    while let Some((first, _)) = picked.first() {
        let reading = reading_of(&piece.plan.steps, *first);
        let row = reading.map(|r| loops_of(&piece.plan.steps, Some(r))).unwrap_or_default();
        let of_row = picked.iter().take_while(|p| row.iter().any(|r| r.0 == p.0)).count().max(1);
        let (these, others) = picked.split_at(of_row);
        let on: Vec<Needle> = these.iter().map(|p| p.1).collect();
        let row = reading.map_or(say!(t, "of the cast-on"), |r| say!(t, "of row {counter}", counter = counter(r)));
        said.push(match on.as_slice() {
            [one] => say!(t, "Hang the stitch {row} on {needles}.", row, needles = needles(&[*one], t)),
            all => say!(
                t,
                "Hang {all} stitches {row}, 1 each on {in_order}.",
                all = all.len(),
                row,
                in_order = in_order(all, t)
            ),
        });
        picked = others;
    }
    said
}

/// Most moves named one by one.
const PAIRS: usize = 8;

/// Sentences for moves that leave their emptied needles alike.
fn moved(moves: &[Move], touched: &mut Vec<Needle>, t: Language) -> Vec<String> {
    let from: Vec<Needle> = moves.iter().map(|m| m.from).collect();
    let to: Vec<Needle> = moves.iter().map(|m| m.to).collect();
    touched.extend(from.iter().chain(&to));
    let leaves = match (moves[0].leaves, moves.len()) {
        (Leaves::Out, 1) => say!(t, "Put the emptied needle out of work."),
        (Leaves::Out, _) => say!(t, "Put the emptied needles out of work."),
        (Leaves::Eyelet, 1) => say!(t, "Leave the emptied needle in work for an eyelet."),
        (Leaves::Eyelet, _) => say!(t, "Leave the emptied needles in work for eyelets."),
        (Leaves::Refill, 1) => say!(t, "Leave the emptied needle in work, to be filled."),
        (Leaves::Refill, _) => say!(t, "Leave the emptied needles in work, to be filled."),
    };
    if let [m] = moves {
        return vec![say!(
            t,
            "Transfer the stitch of {from} to {to}. {leaves}",
            from = needles(&[m.from], t),
            to = needles(&[m.to], t),
            leaves
        )];
    }
    if let Some(told) = across(moves, &leaves, t).filter(|_| moves.len() > AT_AN_END) {
        return told;
    }
    let bed = moves[0].from.bed;
    if moves.len() <= PAIRS && moves.iter().all(|m| m.from.bed == bed && m.to.bed == bed) {
        let pairs: Vec<String> =
            moves.iter().map(|m| say!(t, "{from} onto {to}", from = m.from.slot, to = m.to.slot)).collect();
        let on = if bed == Bed::Main { say!(t, "main bed") } else { say!(t, "ribber") };
        return vec![say!(t, "Transfer on the {on}: {pairs}. {leaves}", on, pairs = pairs.join(", "), leaves)];
    }
    if moves.len() <= PAIRS {
        let pair = |m: &Move| say!(t, "{from} onto {to}", from = needles(&[m.from], t), to = needles(&[m.to], t));
        let pairs: Vec<String> = moves.iter().map(pair).collect();
        return vec![say!(t, "Transfer: {pairs}. {leaves}", pairs = pairs.join(", "), leaves)];
    }
    vec![say!(
        t,
        "Transfer the stitches of {from}, in this order, to {to}. {leaves}",
        from = in_order(&from, t),
        to = in_order(&to, t),
        leaves
    )]
}

/// Loops that all go across to the other bed by the same distance: a sentence for each bed.
fn across(moves: &[Move], leaves: &str, t: Language) -> Option<Vec<String>> {
    let far = |m: &Move| m.to.slot.0 - m.from.slot.0;
    // Where a loop goes to a needle that another leaves, the order matters.
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
        let (this, other) = (bed_word(bed, t), bed_word(bed.other(), t));
        let place = match far(first) {
            0 => say!(t, "of the same number"),
            n => {
                let (many, way) = (n.unsigned_abs(), side(if n < 0 { Side::Left } else { Side::Right }, t));
                say!(
                    t,
                    "{many} {needles} to the {way}",
                    many,
                    needles = if many == 1 { say!(t, "needle") } else { say!(t, "needles") },
                    way
                )
            }
        };
        let loops = loops(u32::try_from(of.len()).unwrap_or(u32::MAX), 0, t);
        said.push(say!(
            t,
            "Transfer each {this} stitch to the {other} needle {place}: {loops}, {from} to {to}. {leaves}",
            this,
            other,
            place,
            loops,
            from = in_order(&from, t),
            to = in_order(&to, t),
            leaves
        ));
    }
    Some(said)
}

/// An edge of another piece hung on needles.
fn hung(h: &HungEdge, needles: &[Needle], t: Language) -> String {
    if let Some(HungRow { row, .. }) = h.row {
        let (edge, on) = (wording::hung_edge(h, t), in_order(needles, t));
        return say!(t, "Hang row {row} of {edge} on {on}.", row, edge, on);
    }
    let first = match (h.counted, h.falls) {
        (Counted::Rows, false) => say!(t, "its first row"),
        (Counted::Rows, true) => say!(t, "its last row"),
        (_, false) => say!(t, "its left end"),
        (_, true) => say!(t, "its right end"),
    };
    if h.edge == HungKind::Round {
        return say!(
            t,
            "Hang {edge} on {on}, a stitch on each needle: from its left end the half of the main bed, then from its right end the half of the ribber.",
            edge = wording::hung_edge(h, t),
            on = in_order(needles, t)
        );
    }
    let of = h.of;
    let of = if h.counted == Counted::Rows { say!(t, "{of} rows", of) } else { say!(t, "{of} stitches", of) };
    say!(
        t,
        "Hang {edge} on {on}: {count} stitches over {of}, spread evenly, {first} first.",
        edge = wording::hung_edge(h, t),
        on = in_order(needles, t),
        count = needles.len(),
        of,
        first
    )
}

fn bed_word(bed: Bed, t: Language) -> String {
    match bed {
        Bed::Main => say!(t, "main-bed"),
        Bed::Ribber => say!(t, "ribber"),
    }
}

/// The racking: none, or a number of needles to a side.
pub(super) fn racked(r: Racking, t: Language) -> String {
    match (r.0.unsigned_abs(), r.0 < 0) {
        (0, _) => say!(t, "not racked"),
        (n, left) => {
            say!(t, "racked {n} to the {side}", n, side = side(if left { Side::Left } else { Side::Right }, t))
        }
    }
}

fn load(l: Load, t: Language) -> String {
    match l {
        Load::Comb => say!(t, "the comb"),
        Load::Weights => say!(t, "weights"),
    }
}

/// The sentence of one act; `after` is the reading once it is done.
#[expect(clippy::too_many_lines, reason = "an arm an act")]
fn sentence(
    piece: &PiecePlan,
    action: &Action,
    after: &Reading,
    touched: &mut Vec<Needle>,
    t: Language,
) -> Option<String> {
    let (hang, none_left) = (after.grams, after.stitches == (0, 0));
    let yarn = |y: &latchwork_machine::steps::Yarn| yarn_name(&piece.yarns, *y, t);
    let mut on = |n: &[Needle]| {
        touched.extend(n);
        needles(n, t)
    };
    Some(match action {
        Action::Pass(_) | Action::Transfer(_) | Action::PickUp { .. } | Action::Claim(_) => return None,
        Action::Start { carriage, pitch, racking } => {
            let pitch = wording::pitch(*pitch, t);
            say!(
                t,
                "Set up: carriage at the {side}, counter 000, {pitch}, {racked}.",
                side = side(*carriage, t),
                pitch,
                racked = racked(*racking, t)
            )
        }
        Action::IntoWork(n) => say!(t, "Bring {on} into work.", on = on(n)),
        Action::OutOfWork(n) => say!(t, "Put {on} out of work.", on = on(n)),
        Action::Hold(n) => say!(t, "Bring {on} to holding position.", on = on(n)),
        Action::Forward(n) => say!(t, "Bring {on} to forward position.", on = on(n)),
        Action::BackToWorking(n) => say!(t, "Return {on} to working position.", on = on(n)),
        Action::MoveTogether { moves, .. } => {
            let (from, to): (Vec<Needle>, Vec<Needle>) = moves.iter().map(|m| (m.from, m.to)).unzip();
            touched.extend(from.iter().chain(&to));
            say!(
                t,
                "Lift the stitches of {from} together. Hang them, in this order, on {to}.",
                from = in_order(&from, t),
                to = in_order(&to, t)
            )
        }
        Action::Wrap { needles: n, yarn: y, cut_length: true } => {
            say!(
                t,
                "E-wrap {on}, in this order, with the rest of that length of {yarn}.",
                on = in_order(n, t),
                yarn = yarn(y)
            )
        }
        Action::Wrap { needles: n, yarn: y, .. } => {
            say!(t, "E-wrap {on}, towards the carriage, with {yarn}.", on = on(n), yarn = yarn(y))
        }
        Action::TurnWrap { needle, yarn: y } => say!(t, "Wrap {on} with {yarn}.", on = on(&[*needle]), yarn = yarn(y)),
        Action::TakeOff { needles: n, holder } => {
            say!(t, "Take the stitches of {on} off onto holder {holder}.", on = on(n), holder = holder.0 + 1)
        }
        Action::PutBack { needles: n, holder } => {
            say!(t, "Hang the stitches of holder {holder} on {on}.", holder = holder.0 + 1, on = on(n))
        }
        Action::HangEdge { needles: n, places } => say!(
            t,
            "Hang the edge of the other piece on {in_order}, in this order: places {numbers}.",
            in_order = in_order(n, t),
            numbers = crate::words::numbers(places, t)
        ),
        Action::Rack(r) if r.0 == 0 => say!(t, "Rack the ribber back."),
        Action::Rack(r) => say!(t, "Rack the ribber. Now {racked}.", racked = racked(*r, t)),
        Action::Pitch(Pitch::Full) => say!(t, "Change to full pitch."),
        Action::Pitch(Pitch::Half) => say!(t, "Change to half pitch."),
        Action::Join { yarn: y, side: s } => {
            say!(t, "Thread {yarn} at the {side}.", yarn = yarn(y), side = side(*s, t))
        }
        Action::Cut(y) => say!(t, "Cut {yarn}.", yarn = yarn(y)),
        Action::Hang { load: l, grams } => say!(t, "Hang {load}: {grams} g.", load = load(*l, t), grams),
        Action::MoveUp(Load::Comb) => say!(t, "Move the comb up."),
        Action::MoveUp(Load::Weights) => say!(t, "Move the claw weights up."),
        Action::Unhang { load: l, grams } if hang == 0 => {
            say!(t, "Remove {load}: {grams} g. No weight is left.", load = load(*l, t), grams)
        }
        Action::Unhang { load: l, grams } => {
            say!(t, "Remove {load}: {grams} g. {hang} g left in total.", load = load(*l, t), grams, hang)
        }
        Action::Counter(n) => say!(t, "Set the counter to {counter}.", counter = counter(*n)),
        Action::RibberDown => say!(t, "Lower the ribber. Fit the single-bed arm."),
        Action::RibberUp => say!(t, "Raise the ribber. Fit the two-bed arm."),
        Action::Secure { needles: n, way, cut_length, onto } => {
            let with = cut_length
                .as_ref()
                .map_or(String::new(), |y| say!(t, ", with a separate length of {yarn}", yarn = yarn(y)));
            let how = match way {
                Way::LoopThroughLoop if n.len() == 1 && none_left => say!(t, "Pull the tail through the last stitch"),
                Way::LoopThroughLoop if n.len() == 1 => say!(t, "Pull the tail through the stitch"),
                Way::LoopThroughLoop => say!(t, "Cast off loop through loop"),
                Way::Chain => say!(t, "Cast off with the latch tool"),
                Way::Sewn => say!(t, "Sew off the stitches with back stitch"),
                Way::Gathered => {
                    say!(t, "Thread the tail through every stitch and take it off its needle")
                }
                Way::Waste => say!(t, "Drop the waste yarn off the needles"),
            };
            touched.extend(n);
            let last = onto.map_or(String::new(), |o| {
                say!(t, ". Hang the last stitch on {in_order}", in_order = in_order(&[o], t))
            });
            touched.extend(onto);
            format!("{how}{with}: {}{last}.", in_order(n, t))
        }
        Action::Release(n) => say!(t, "Drop the stitches of {on} on purpose.", on = on(n)),
    })
}
