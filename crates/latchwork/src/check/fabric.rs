//! A fabric document proven by rehearsal: small pieces with each of its ends, from each side, decreased, increased and
//! cast off, and what they ask of the machine and the hands.

use std::sync::Arc;

use latchwork_machine::beds::Beds;
use latchwork_machine::fault::Fault;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::Side;
use latchwork_machine::rehearsal::{Finding, Run};
use latchwork_machine::steps::{Action, Plan};

use super::findings::explain_cause;
use super::{by_cause, worked_out};
use crate::cloth::in_turn;
use crate::design::{Change, Design, Ending, NewSwatch, Shelf, from_text_with};
use crate::fabric::{Begun, Ends, Fabric, built_in};
use crate::fact::FabricFact;
use crate::notice::{Level, Notice};
use crate::plan::{PartKind, PiecePlan};
use crate::text::NewNode;
use crate::vocabulary::{SIDES, word_of};

/// What the rows of a fabric ask of the machine and the hands.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Asks {
    /// The longest float, in half pitches.
    pub float: u32,
    /// Most tucks on a needle.
    pub tucks: u32,
    /// Acts of the hands per row.
    pub hands: f64,
    /// Needles brought forward per row and hundred needles.
    pub forward: f64,
    /// The range of racking, from the leftmost position to the rightmost.
    pub racked: u32,
}

/// The findings on a tried fabric, and what it asks.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// What is wrong with it.
    pub notices: Vec<Notice>,
    /// What it asks.
    pub asks: Asks,
}

/// Fewest places of a trial piece.
const PLACES: u32 = 13;

/// Tries a fabric on a machine with the usual limits.
#[must_use]
pub fn tried(fabric: &Arc<Fabric>) -> Tried {
    let mut notices: Vec<Notice> = Vec::new();
    let mut asks = Asks::default();
    for (ends, side) in fabric.ends.iter().flat_map(|e| [Side::Left, Side::Right].map(|s| (*e, s))) {
        let Some(places) = (PLACES..400).find(|p| fabric.layout.allows(*p, ends)) else { continue };
        let shape = |change: Change, n: &u32| {
            let node = NewNode::new(word_of(&Change::WORDS, change)).number(n);
            Some(node.pair("every", every(fabric)).pair("times", 2))
        };
        let shapes = std::iter::once(None)
            .chain(fabric.narrow.iter().map(|n| shape(Change::Decrease, n)))
            .chain(fabric.widen.iter().map(|n| shape(Change::Increase, n)));
        for shape in shapes {
            let text = document(fabric, places, ends, side, shape);
            let shelf = Shelf { fabrics: own(fabric), ..Shelf::default() };
            let (design, found) = from_text_with(&text, &shelf);
            let Some(design) = design else {
                let errors = found.0.iter().filter(|n| n.level == Level::Error);
                notices.extend(errors.map(|n| at(fabric, n.clone())));
                continue;
            };
            look(fabric, &design, &mut notices, &mut asks);
        }
    }
    let mut once: Vec<Notice> = Vec::new();
    for n in notices {
        if !once.iter().any(|o| o.rule() == n.rule() && (n.rule().is_some() || o.fact == n.fact)) {
            once.push(n);
        }
    }
    Tried { notices: once, asks }
}

/// Rows between two shapings: whole repeats that bring the carriage back.
fn every(fabric: &Fabric) -> u32 {
    let m = fabric.row_multiple();
    if m.is_multiple_of(2) { m } else { 2 * m }
}

fn own(fabric: &Arc<Fabric>) -> Vec<Arc<Fabric>> {
    if built_in().iter().any(|f| Arc::ptr_eq(f, fabric)) { Vec::new() } else { vec![Arc::clone(fabric)] }
}

/// A document with one piece of a fabric. Its swatch is invented: only needles and rows matter.
fn document(fabric: &Fabric, places: u32, ends: Ends, side: Side, shape: Option<NewNode>) -> String {
    let node = NewNode::new;
    let (main, ribber) = fabric.layout.needle_count(places);
    let cast_on = match fabric.layout.begun() {
        Begun::BothBeds { .. } => "closed",
        Begun::MainBed => "e-wrap",
    };
    let rows = shape.is_none().then(|| node("rows").number(2 * every(fabric)));
    let swatch = NewSwatch {
        fabric: &fabric.name,
        yarn: Some("y"),
        dial: (15, 15),
        counted: (30, 40),
        flat: ("10".to_string(), "10".to_string()),
        unit: "cm",
        weighed: Some(("10".to_string(), "60".to_string(), 90)),
        state: "as knitted",
        ..NewSwatch::default()
    };
    let side = word_of(&SIDES, side);
    let names: Vec<String> =
        (1..=fabric.yarns()).map(|n| if n == 1 { "y".to_string() } else { format!("y{n}") }).collect();
    let yarns = (names.len() > 1).then(|| names.iter().fold(node("yarns"), |n, name| n.text(name)));
    let stretch = node("stretch")
        .text("tried")
        .with(node("fabric").text(&fabric.name))
        .with_all(yarns)
        .with_all(rows)
        .with_all(shape);
    let piece = node("piece")
        .text(side)
        .with(node("carriage").text(side))
        .with(node("yarn").text("y"))
        .with(node("cast-on").text(cast_on))
        .with(node("ends").text(word_of(&Ends::WORDS, ends)))
        .with(node("needles").number(main + ribber))
        .with(stretch)
        .with(node("ending").text(word_of(&Ending::WORDS, Ending::LoopThroughLoop)));
    let head = [node("title").text("A fabric tried"), node("machine").text("standard")];
    let yarns = names.iter().map(|name| node("yarn").text(name).with(node("count").unit("tex", 240)));
    let rest = [swatch.node(), node("sizes").with(node("size").text("one").with(node("girth").unit("cm", 50))), piece];
    let all = head.into_iter().chain(yarns).chain(rest);
    all.map(|n| format!("{n}\n")).collect()
}

/// A finding placed at the fabric.
fn at(fabric: &Fabric, n: Notice) -> Notice {
    let fact = FabricFact::NotKnitted { fabric: fabric.name.clone(), fact: Box::new(n.fact) };
    Notice { level: n.level, ..Notice::error(fabric.span, fact) }
}

/// Rehearses one piece and reads its run.
fn look(fabric: &Fabric, design: &Design, notices: &mut Vec<Notice>, asks: &mut Asks) {
    let outcome = worked_out(design, &[0], &in_turn);
    let Some(size) = outcome.sizes.first() else {
        let errors = outcome.notices.into_iter().map(|n| n.1).filter(|n| n.level == Level::Error);
        notices.extend(errors.map(|n| at(fabric, n)));
        return;
    };
    for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
        let ending = |f: &Finding| plan.origins.get(f.origin.0 as usize).is_some_and(|p| p.kind == PartKind::Ending);
        let pile = |f: &Finding| matches!(f.fault, Fault::ManyThrough { .. }) && ending(f);
        let telling: Vec<Finding> =
            proof.run.findings.iter().copied().filter(|f| !usual(&f.fault) && !pile(f)).collect();
        for (finding, needles) in by_cause(&telling) {
            notices.push(at(fabric, explain_cause(design, (plan, &proof.run), &finding, needles)));
        }
        measure(plan, &proof.run, asks);
    }
}

/// Faults of a sound fabric: a tuck as the first loop of a pass, which full cardigan cannot avoid, and weights, which a
/// small piece says nothing about. Stacked loops at the ending are left out by the caller.
fn usual(fault: &Fault) -> bool {
    matches!(fault, Fault::FirstTuck { .. } | Fault::Weight { .. })
}

/// What the rows of the fabric ask.
fn measure(plan: &PiecePlan, run: &Run, asks: &mut Asks) {
    let Plan { steps } = &plan.plan;
    let stretch =
        |origin: u32| plan.origins.get(origin as usize).is_some_and(|p| matches!(p.kind, PartKind::Stretch { .. }));
    let mut beds = Beds::outline(Side::Right);
    let (mut least, mut most) = (0_i8, 0_i8);
    let (mut rows, mut hands, mut forward, mut stitches) = (0_u32, 0_u32, 0_u32, 0_u32);
    for (i, step) in steps.iter().enumerate().take(run.readings.len()) {
        if let Some(before) = i.checked_sub(1) {
            beds.step(&steps[before].action);
        }
        if !stretch(step.origin.0) {
            continue;
        }
        match &step.action {
            Action::Rack(r) => {
                (least, most) = (least.min(r.0), most.max(r.0));
                hands += 1;
            }
            Action::Forward(n) => {
                forward += u32::try_from(n.len()).unwrap_or(0);
                hands += 1;
            }
            Action::Release(_) | Action::MoveTogether { .. } => hands += 1,
            Action::Transfer(m) if m.leaves == latchwork_machine::steps::Leaves::Eyelet => hands += 1,
            Action::Pass(_) => {
                rows += 1;
                stitches += run.readings[i].stitches.0 + run.readings[i].stitches.1;
                let made: Vec<u32> = run.made_in(i).collect();
                let place = |id: u32| beds.place(run.loops.needle(LoopId(id)));
                let floats = made.windows(2).map(|w| place(w[0]).to(place(w[1])));
                asks.float = asks.float.max(floats.max().unwrap_or(0));
                for id in &made {
                    let through = run.loops.through(LoopId(*id)).iter();
                    let tucks = through.filter(|l| run.loops.kind(LoopId(**l)) == Kind::Tuck).count();
                    asks.tucks = asks.tucks.max(u32::try_from(tucks).unwrap_or(u32::MAX));
                }
            }
            _ => {}
        }
    }
    let share = |n: u32, of: u32| f64::from(n) / f64::from(of.max(1));
    asks.hands = asks.hands.max(share(hands, rows));
    asks.forward = asks.forward.max(100.0 * share(forward, stitches));
    asks.racked = asks.racked.max(u32::from(most.abs_diff(least)));
}
