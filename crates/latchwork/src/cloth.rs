//! What was knitted: loops by part, yarn and time, from the run alone and the measured loop lengths.

use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Pass, Plan, Way, Yarn};

use crate::measure::{Basis, Figure};
use crate::units::{Grams, Mm, Tex};

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
}

impl Loops {
    /// All of them.
    #[must_use]
    pub fn all(self) -> u32 {
        self.knit + self.tuck + self.wrap + self.chained
    }
}

/// Counts the loops of each part (by origin number) that are of the working yarn, number 0.
#[must_use]
pub fn count(plan: &Plan, run: &Run, parts: usize) -> Vec<Loops> {
    count_of(plan, run, parts, Yarn(0))
}

/// Counts the loops of each part that are of one yarn.
#[must_use]
pub fn count_of(plan: &Plan, run: &Run, parts: usize, of: Yarn) -> Vec<Loops> {
    let mut all = vec![Loops::default(); parts];
    let mut feeder = None;
    for (i, step) in plan.steps.iter().enumerate().take(run.readings.len()) {
        let Some(part) = all.get_mut(step.origin.0 as usize) else { continue };
        let working = match &step.action {
            Action::Pass(Pass { second: Some(second), yarn, .. }) => {
                feeder = *yarn;
                // Two yarns in one pass: each loop says whose it is.
                for id in run.made_in(i) {
                    let id = latchwork_machine::loops::LoopId(id);
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
            Action::Secure { needles, way: Way::Chain, cut_length } if cut_length.or(feeder) == Some(of) => {
                part.chained += u32::try_from(needles.len()).unwrap_or(u32::MAX);
                false
            }
            _ => false,
        };
        if !working {
            continue;
        }
        let [knit, tuck, wrap] = run.loops.kinds(run.made_in(i));
        part.knit += knit;
        part.tuck += tuck;
        part.wrap += wrap;
    }
    all
}

/// An amount of yarn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Metres.
    pub metres: f64,
    /// One standard deviation of the metres.
    pub spread: f64,
    /// Of these, metres of tails.
    pub tails: f64,
    /// The least sure figure that it rests on.
    pub basis: Basis,
}

impl Amount {
    /// No yarn at all.
    pub const NONE: Amount = Amount { metres: 0.0, spread: 0.0, tails: 0.0, basis: Basis::Swatches(0) };

    /// Weight.
    #[must_use]
    pub fn grams(&self, tex: Tex) -> Grams {
        Grams(self.metres * tex.0 / 1000.0)
    }

    /// Half the width of the 95 % range of the weight: two standard deviations.
    #[must_use]
    pub fn grams_range(&self, tex: Tex) -> Grams {
        Grams(2.0 * self.spread * tex.0 / 1000.0)
    }

    /// So many times as much. The doubt of a loop length is the same in each, so it grows alike.
    #[must_use]
    pub fn times(&self, n: u32) -> Amount {
        let n = f64::from(n);
        Amount { metres: self.metres * n, spread: self.spread * n, tails: self.tails * n, basis: self.basis }
    }

    /// Two amounts together; their doubts come from the same swatches and add up.
    #[must_use]
    pub fn and(&self, other: &Amount) -> Amount {
        Amount {
            metres: self.metres + other.metres,
            spread: self.spread + other.spread,
            tails: self.tails + other.tails,
            basis: self.basis.max(other.basis),
        }
    }
}

/// Yarn of a piece: loops of each part times the loop length of its fabric, and the tails.
#[must_use]
pub fn yarn(parts: &[(Loops, Figure)], tails: &[Mm]) -> Amount {
    let tails = tails.iter().map(|t| t.0 / 1000.0).sum::<f64>();
    let knitted = parts.iter().filter(|(l, _)| l.all() > 0).fold(Amount::NONE, |sum, (loops, length)| {
        let metres = f64::from(loops.all()) * length.value / 1000.0;
        sum.and(&Amount { metres, spread: metres * length.spread, tails: 0.0, basis: length.basis })
    });
    Amount { metres: knitted.metres + tails, tails, ..knitted }
}

/// Seconds at the machine at a stated pace: common practice, no source. A pass 4 s, a loop moved by hand 6 s, a
/// loop bound off 4 s, ten minutes to set up and cast on.
#[must_use]
pub fn seconds(plan: &Plan) -> u32 {
    let each = |needles: usize, seconds: usize| u32::try_from(needles * seconds).unwrap_or(u32::MAX);
    600 + plan
        .steps
        .iter()
        .map(|s| match &s.action {
            Action::Pass(_) => 4,
            Action::Transfer(_) => 6,
            Action::MoveTogether(moves) => each(moves.len(), 6),
            Action::Wrap { needles, .. } => each(needles.len(), 3),
            Action::Secure { needles, .. } => each(needles.len(), 4),
            Action::Hang { .. } | Action::Unhang { .. } => 20,
            _ => 0,
        })
        .sum::<u32>()
}
