//! Stripes from several remnants: the rows of a piece that each makes.

use crate::check::SizeProof;
use crate::design::Design;
use crate::reach::in_hand::Confidence;
use crate::units::Grams;

/// What is left of a yarn of the design's thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct Remnant {
    /// Its name.
    pub name: String,
    /// Its weight.
    pub grams: Grams,
}

/// A stripe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stripe {
    /// The remnant, by index.
    pub remnant: usize,
    /// The counter before its first row and after its last.
    pub rows: (u32, u32),
}

/// Yarn for the ends of each stripe, to be sewn in, in metres: common practice, no source.
const ENDS: f64 = 0.30;

/// Shares the rows of a piece among remnants in order and by weight: one stripe each, of an even number of rows, which
/// brings the carriage back to the side of the yarn change. The cast-on belongs to the first and the ending to the last.
/// None if they are not enough with this confidence.
#[must_use]
pub fn stripes(
    design: &Design,
    proof: &SizeProof,
    piece: usize,
    remnants: &[Remnant],
    sure: Confidence,
) -> Option<Vec<Stripe>> {
    let of = &design.pieces[piece];
    let index = proof.plans.pieces.iter().position(|p| p.piece == piece)?;
    let plan = &proof.plans.pieces[index];
    let loops = &proof.pieces[index].loops;
    let gram = |metres: f64| metres * design.yarns[of.yarn].tex.0 / 1000.0;
    // Grams of each row with the doubt of its fabric; cast-on and ending apart.
    let mut rows: Vec<(f64, f64)> = Vec::new();
    let (mut first, mut last) = (0.0, 0.0);
    for (part, l) in plan.origins.iter().zip(loops) {
        let stretch = part.stretch().unwrap_or(if rows.is_empty() { 0 } else { of.stretches.len() - 1 });
        let lengths = of.stretches[stretch].gauge.loops?;
        let (mm, deviation) = lengths.of(f64::from(l.knit + l.wrap + l.chained), f64::from(l.tuck));
        let worked = part.fabric().map(|_| &proof.stitches.pieces[piece].stretches[stretch]);
        match worked {
            Some(w) => {
                let count = w.rows + u32::from(w.clearing);
                let each = f64::from(count.max(1));
                rows.extend((0..count).map(|_| (gram(mm / 1000.0) / each, gram(deviation / 1000.0) / each)));
            }
            None if rows.is_empty() => first += gram(mm / 1000.0),
            None => last += gram(mm / 1000.0),
        }
    }
    let make = f64::from(proof.plans.pieces.iter().filter(|p| p.piece == piece).map(|p| p.make).sum::<u32>());
    let score = sure.score();
    let total = rows.len();
    // With more than enough, each gives in proportion; where rounding makes that fall short, more, up to all.
    let have: f64 = remnants.iter().map(|r| r.grams.0).sum();
    let wanted: f64 = (rows.iter().map(|r| r.0 + score * r.1).sum::<f64>() + first + last) * make;
    let ends = gram(ENDS) * make * remnants.len() as f64;
    let share = (wanted + ends) / have;
    for share in [1.0, 1.05, 1.1, 1.2, 1.4, f64::INFINITY].map(|more| (share * more).min(1.0)) {
        let stripes =
            striped(&rows, (first, last), remnants, &|r| (r.grams.0 * share / make - gram(ENDS)).max(0.0), score);
        if stripes.last().is_some_and(|s| s.rows.1 as usize == total) {
            return Some(stripes);
        }
    }
    None
}

/// Stripes in the order of the remnants, each as long as its yarn lasts.
fn striped(
    rows: &[(f64, f64)],
    (first, last): (f64, f64),
    remnants: &[Remnant],
    gives: &dyn Fn(&Remnant) -> f64,
    score: f64,
) -> Vec<Stripe> {
    let (mut stripes, mut from) = (Vec::new(), 0);
    let total = rows.len();
    for (k, remnant) in remnants.iter().enumerate() {
        let mut left = gives(remnant) - if from == 0 { first } else { 0.0 };
        let mut to = from;
        while to < total {
            let pair = (to + 2).min(total);
            let needed: f64 = rows[to..pair].iter().map(|r| r.0 + score * r.1).sum();
            let ending = if pair == total { last } else { 0.0 };
            if needed + ending > left {
                break;
            }
            left -= needed;
            to = pair;
        }
        if to > from {
            let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
            stripes.push(Stripe { remnant: k, rows: (count(from), count(to)) });
            from = to;
        }
    }
    stripes
}
