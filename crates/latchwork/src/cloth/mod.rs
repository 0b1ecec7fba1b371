//! The knitting: loops by part, yarn and time, from the run and measured loop lengths; repeats and whole pieces at rest;
//! gauges predicted from other fabrics.

mod piece;
mod portrait;
mod predict;
mod rest;

use latchwork_machine::loops::LoopId;
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Pass, Plan, Way, Yarn};

use crate::measure::{Basis, LoopLengths, Pace};
use crate::units::{Grams, Mm, Tex};

pub use piece::{Mesh, PartAtRest, PieceAtRest, Stuff, ThreadPath, piece_at_rest};
pub use portrait::{Ink, Portrayed, portray};
pub use predict::{LeftOut, Measured, Prediction, asked_of, predict};
pub use rest::{
    Asked, AtRest, Bulk, Each, FIBRES, Found, LookUp, NoCloth, Sample, at_rest, bring_to_rest, in_turn, nothing,
    repeat, rest, rests_quickly,
};

/// Loops of one part of a piece, in the working yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Loops {
    /// Knitted.
    pub knit: u32,
    /// Tucked.
    pub tuck: u32,
    /// Wrapped.
    pub wrap: u32,
    /// Chained by hand at the ending; these have no number.
    pub chained: u32,
    /// Needles that the yarn floats past within a row.
    pub floats: u32,
}

impl Loops {
    /// All of them.
    #[must_use]
    pub fn all(self) -> u32 {
        self.knit + self.tuck + self.wrap + self.chained
    }
}

/// The loops of each part, by origin number, in the working yarn, number 0.
#[must_use]
pub fn count(plan: &Plan, run: &Run, parts: usize) -> Vec<Loops> {
    count_of(plan, run, parts, Yarn(0))
}

/// The loops of each part in one yarn.
#[must_use]
pub fn count_of(plan: &Plan, run: &Run, parts: usize, of: Yarn) -> Vec<Loops> {
    let mut all = vec![Loops::default(); parts];
    let (mut feeder, mut near) = (None, 0);
    for (i, step) in plan.steps.iter().enumerate().take(run.readings.len()) {
        let Some(part) = all.get_mut(step.origin.0 as usize) else { continue };
        if matches!(&step.action, Action::Pass(p) if p.laid == Some(of)) {
            // A laid-in yarn runs along the row and takes its width.
            part.floats += run.readings[i].stitches.0;
        }
        let working = match &step.action {
            Action::Pass(Pass { second: Some(second), yarn, .. }) => {
                feeder = *yarn;
                // With two yarns in one pass, each loop records its yarn.
                for id in run.made_in(i) {
                    let id = LoopId(id);
                    let own = if run.loops.second_yarn(id) { Some(*second) } else { *yarn };
                    part.knit += u32::from(own == Some(of));
                }
                false
            }
            Action::Pass(p) => {
                feeder = p.yarn.or(feeder);
                p.yarn == Some(of)
            }
            Action::Wrap { yarn, .. } | Action::TurnWrap { yarn, .. } => *yarn == of,
            Action::Secure { needles, way: Way::Chain, cut_length, .. } if cut_length.or(feeder) == Some(of) => {
                part.chained += u32::try_from(needles.len()).unwrap_or(u32::MAX);
                false
            }
            _ => false,
        };
        if !working {
            continue;
        }
        if matches!(step.action, Action::Pass(_)) {
            part.floats += floats(run, i);
        }
        let [knit, tuck, wrap, _] = run.loops.kinds(run.made_in(i), &mut near);
        part.knit += knit;
        part.tuck += tuck;
        part.wrap += wrap;
    }
    all
}

/// Needles floated past in a pass that some needles took and others not: on each bed, the excess of the spans between
/// neighbouring loops over the shortest.
fn floats(run: &Run, step: usize) -> u32 {
    let reading = run.readings[step];
    let made = run.made_in(step);
    if made.end - made.start == reading.stitches.0 + reading.stitches.1 {
        return 0;
    }
    let mut all = 0;
    let mut of_beds: [Vec<i16>; 2] = Default::default();
    run.loops.each(made).for_each(|(_, n, _)| of_beds[n.bed.index()].push(n.slot.0));
    for (mut slots, stitches) in of_beds.into_iter().zip([reading.stitches.0, reading.stitches.1]) {
        if u32::try_from(slots.len()).unwrap_or(u32::MAX) >= stitches {
            continue;
        }
        slots.sort_unstable();
        let spans: Vec<u32> = slots.windows(2).map(|w| u32::from(w[1].abs_diff(w[0]))).collect();
        let shortest = spans.iter().copied().min().unwrap_or(0);
        all += spans.iter().map(|s| s - shortest).sum::<u32>();
    }
    all
}

/// An amount of yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// Metres.
    pub metres: f64,
    /// Metres of tails among them.
    pub tails: f64,
    /// Standard deviation of the metres for each fabric whose swatches they depend on.
    pub doubts: Vec<(String, f64)>,
    /// The basis of the least sure figure in it.
    pub basis: Basis,
}

impl Amount {
    /// No yarn at all.
    pub const NONE: Amount = Amount { metres: 0.0, tails: 0.0, doubts: Vec::new(), basis: Basis::Swatches(0) };

    /// Yarn that is in no loop.
    #[must_use]
    pub fn of_tails(length: Mm) -> Amount {
        let metres = length.0 / 1000.0;
        Amount { metres, tails: metres, ..Amount::NONE }
    }

    /// One standard deviation of the metres: doubts of one fabric add up, since they come from the same swatches; those of
    /// different fabrics are independent.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        self.doubts.iter().map(|d| d.1 * d.1).sum::<f64>().sqrt()
    }

    /// Weight.
    #[must_use]
    pub fn grams(&self, tex: Tex) -> Grams {
        Grams(self.metres * tex.0 / 1000.0)
    }

    /// Half the width of the 95 % range of the weight: two standard deviations.
    #[must_use]
    pub fn grams_range(&self, tex: Tex) -> Grams {
        Grams(2.0 * self.deviation() * tex.0 / 1000.0)
    }

    /// A multiple. The doubt of a loop length is common to all and grows in proportion.
    #[must_use]
    pub fn times(&self, n: u32) -> Amount {
        let n = f64::from(n);
        let doubts = self.doubts.iter().map(|(f, d)| (f.clone(), d * n)).collect();
        Amount { metres: self.metres * n, tails: self.tails * n, doubts, basis: self.basis }
    }

    /// The sum of two amounts.
    #[must_use]
    pub fn and(&self, other: &Amount) -> Amount {
        let mut doubts = self.doubts.clone();
        for (fabric, doubt) in &other.doubts {
            match doubts.iter_mut().find(|d| d.0 == *fabric) {
                Some(d) => d.1 += doubt,
                None => doubts.push((fabric.clone(), *doubt)),
            }
        }
        Amount {
            metres: self.metres + other.metres,
            tails: self.tails + other.tails,
            doubts,
            basis: self.basis.max(other.basis),
        }
    }
}

/// Loops of a part of a piece, the fabric whose swatches give their length, and that length.
pub type Knitted<'a> = (Loops, &'a str, LoopLengths);

/// Yarn of a piece: loops of each part times the length of their kind, floats at `pitch` per needle, and the tails.
#[must_use]
pub fn yarn(parts: &[Knitted<'_>], pitch: Mm, tails: &[Mm]) -> Amount {
    let tails = tails.iter().map(|t| t.0 / 1000.0).sum::<f64>();
    let mut fabrics: Vec<(&str, LoopLengths, f64, f64)> = Vec::new();
    let mut floats = 0.0;
    for (loops, fabric, lengths) in parts.iter().filter(|p| p.0.all() > 0) {
        let (knit, tuck) = (f64::from(loops.knit + loops.wrap + loops.chained), f64::from(loops.tuck));
        floats += f64::from(loops.floats) * pitch.0 / 1000.0;
        match fabrics.iter_mut().find(|f| f.0 == *fabric) {
            Some(f) => {
                f.2 += knit;
                f.3 += tuck;
            }
            None => fabrics.push((fabric, *lengths, knit, tuck)),
        }
    }
    let knitted = fabrics.into_iter().fold(Amount::NONE, |sum, (fabric, lengths, knit, tuck)| {
        let (length, deviation) = lengths.of(knit, tuck);
        let doubts = vec![(fabric.to_string(), deviation / 1000.0)];
        sum.and(&Amount { metres: length / 1000.0, tails: 0.0, doubts, basis: lengths.basis })
    });
    Amount { metres: knitted.metres + floats + tails, tails, ..knitted }
}

/// Passes and acts of the hands in a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Work {
    /// Passes of the carriage.
    pub passes: u32,
    /// Transfers by hand.
    pub moved: u32,
    /// Needles brought forward by hand.
    pub forward: u32,
    /// Needles wrapped.
    pub wrapped: u32,
    /// Stitches cast off.
    pub bound: u32,
    /// Times that weights or comb are hung or removed.
    pub weights: u32,
}

impl Work {
    /// The work in a plan; `by_device`: whether a device brings the needles of a part forward, by origin number.
    #[must_use]
    pub fn of(plan: &Plan, by_device: &dyn Fn(u32) -> bool) -> Work {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let mut w = Work::default();
        for step in &plan.steps {
            match &step.action {
                Action::Pass(_) => w.passes += 1,
                Action::Transfer(_) => w.moved += 1,
                Action::MoveTogether { moves, .. } => w.moved += count(moves.len()),
                Action::Forward(needles) if !by_device(step.origin.0) => w.forward += count(needles.len()),
                Action::Wrap { needles, .. } => w.wrapped += count(needles.len()),
                Action::Secure { needles, .. } => w.bound += count(needles.len()),
                Action::Hang { .. } | Action::Unhang { .. } => w.weights += 1,
                _ => {}
            }
        }
        w
    }

    /// Seconds at the machine at a pace, setting up included.
    #[must_use]
    pub fn seconds(&self, pace: &Pace) -> f64 {
        pace.set_up
            + f64::from(self.passes) * pace.pass
            + f64::from(self.moved) * pace.moved
            + f64::from(self.forward) * pace.forward
            + f64::from(self.wrapped) * pace.wrap
            + f64::from(self.bound) * pace.bind
            + f64::from(self.weights) * pace.weights
    }
}

/// Whole seconds at the machine; `by_device` as in [`Work::of`].
#[must_use]
pub fn seconds(plan: &Plan, by_device: &dyn Fn(u32) -> bool, pace: &Pace) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hours, never negative")]
    let whole = Work::of(plan, by_device).seconds(pace).round() as u32;
    whole
}
