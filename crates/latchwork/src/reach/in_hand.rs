//! The largest size, and the longest stretches, that the yarn in hand makes, with a stated confidence.

use crate::check::{SizeProof, prove};
use crate::cloth::Amount;
use crate::design::{Design, Ending, Length};
use crate::fact::PieceName;
use crate::notice::Level;
use crate::units::{Grams, Mm};

/// The confidence of not running out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence(pub f64);

impl Confidence {
    /// Nineteen times in twenty.
    pub const USUAL: Confidence = Confidence(0.95);

    /// Standard deviations that an amount must stay below the yarn in hand: the quantile of the normal distribution (Acklam's
    /// rational approximation, from memory, to 1e-9; tests compare it with known quantiles).
    #[must_use]
    pub fn score(self) -> f64 {
        let p = self.0.clamp(1e-6, 1.0 - 1e-6);
        let poly = |c: &[f64], x: f64| c.iter().fold(0.0, |sum, c| sum * x + c);
        let tail = |p: f64| {
            let q = (-2.0 * p.ln()).sqrt();
            poly(&C, q) / poly(&[D[0], D[1], D[2], D[3], 1.0], q)
        };
        if p < 0.024_25 {
            return tail(p);
        }
        if p > 1.0 - 0.024_25 {
            return -tail(1.0 - p);
        }
        let q = p - 0.5;
        poly(&A, q * q) * q / poly(&[B[0], B[1], B[2], B[3], B[4], 1.0], q * q)
    }
}

const A: [f64; 6] = [
    -3.969_683_028_665_376e1,
    2.209_460_984_245_205e2,
    -2.759_285_104_469_687e2,
    1.383_577_518_672_69e2,
    -3.066_479_806_614_716e1,
    2.506_628_277_459_239,
];
const B: [f64; 5] = [
    -5.447_609_879_822_406e1,
    1.615_858_368_580_409e2,
    -1.556_989_798_598_866e2,
    6.680_131_188_771_972e1,
    -1.328_068_155_288_572e1,
];
const C: [f64; 6] = [
    -7.784_894_002_430_293e-3,
    -3.223_964_580_411_365e-1,
    -2.400_758_277_161_838,
    -2.549_732_539_343_734,
    4.374_664_141_464_968,
    2.938_163_982_698_783,
];
const D: [f64; 4] = [7.784_695_709_041_462e-3, 3.224_671_290_700_398e-1, 2.445_134_137_142_996, 3.754_408_661_907_416];

/// Whether the yarn in hand covers an amount with this confidence.
#[must_use]
pub fn fits_with(amount: &Amount, tex: crate::units::Tex, have: Grams, sure: Confidence) -> bool {
    amount.grams(tex).0 + sure.score() * amount.grams_range(tex).0 / 2.0 <= have.0
}

/// The sizes that the yarn in hand makes.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatFits {
    /// Sizes, by index, with their grams and half the 95 % range, and whether the yarn is enough.
    pub sizes: Vec<(usize, Grams, Grams, bool)>,
    /// The largest size that it makes.
    pub largest: Option<usize>,
}

/// Which sizes an amount of one yarn makes; `proofs` are of all sizes.
#[must_use]
pub fn what_fits(design: &Design, proofs: &[SizeProof], yarn: usize, have: Grams, sure: Confidence) -> WhatFits {
    let tex = design.yarns[yarn].tex;
    let sizes: Vec<(usize, Grams, Grams, bool)> = proofs
        .iter()
        .map(|p| {
            let (g, range) = p.grams(design, yarn);
            (p.size, g, range, fits_with(&p.yarn[yarn], tex, have, sure))
        })
        .collect();
    let largest = sizes.iter().filter(|s| s.3).max_by(|a, b| a.1.0.total_cmp(&b.1.0)).map(|s| s.0);
    WhatFits { sizes, largest }
}

/// The greatest length of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Longest {
    /// The piece, by index.
    pub piece: usize,
    /// The stretch, by index.
    pub stretch: usize,
    /// Its rows.
    pub rows: u32,
    /// Its length.
    pub length: Mm,
    /// Rows as designed.
    pub designed: u32,
    /// The weight of yarn that the size then takes.
    pub grams: Grams,
    /// Half the 95 % range of the weight.
    pub range: Grams,
}

/// The greatest length of each stretch of a size, all else as designed: of unshaped stretches with a target length. Each
/// answer was planned and rehearsed; a stretch is left out where even the least does not fit.
#[must_use]
pub fn longest(design: &Design, proof: &SizeProof, yarn: usize, have: Grams, sure: Confidence) -> Vec<Longest> {
    let mut all = Vec::new();
    for (p, piece) in design.pieces.iter().enumerate().filter(|(_, p)| p.yarn == yarn) {
        for (i, s) in piece.stretches.iter().enumerate() {
            if s.shaping.is_some() || matches!(s.length, Length::Rows(_) | Length::AsShaped) {
                continue;
            }
            all.extend(longest_of(design, proof, (p, i), yarn, have, sure));
        }
    }
    all
}

fn longest_of(
    design: &Design,
    proof: &SizeProof,
    (p, i): (usize, usize),
    yarn: usize,
    have: Grams,
    sure: Confidence,
) -> Option<Longest> {
    let step = 2 * design.pieces[p].stretches[i].row_multiple();
    let step = if step.is_multiple_of(4) { step / 2 } else { step };
    let designed = proof.stitches.pieces[p].stretches[i].rows;
    let mut small = design.clone();
    small.sizes = vec![design.sizes.get(proof.size)?.clone()];
    for y in &mut small.yarns {
        y.in_hand = None;
    }
    // Seams are left out: a longer stretch is sewn to an equally long one, and only the yarn matters here.
    small.seams.clear();
    let tex = design.yarns[yarn].tex;
    let try_rows = |rows: u32| -> Option<SizeProof> {
        let mut d = small.clone();
        d.pieces[p].stretches[i].length = Length::Rows(rows);
        let outcome = prove(&d, &[0]);
        let fine = outcome.notices.iter().all(|(_, n)| n.level != Level::Error);
        let size = outcome.sizes.last().filter(|_| fine)?;
        fits_with(&size.yarn[yarn], tex, have, sure).then(|| size.clone())
    };
    // Yarn grows with rows: the most rows that fit are found by bisection.
    let mut fits = (step, try_rows(step)?);
    let mut beyond = (designed.max(step) / step + 1) * step * 2;
    while beyond <= 20_000 {
        match try_rows(beyond) {
            Some(found) => fits = (beyond, found),
            None => break,
        }
        beyond *= 2;
    }
    let mut beyond = beyond.min(20_000 / step * step + step);
    while beyond - fits.0 > step {
        let middle = (fits.0 + beyond) / 2 / step * step;
        match try_rows(middle) {
            Some(found) => fits = (middle, found),
            None => beyond = middle,
        }
    }
    let (rows, proof) = fits;
    let (grams, range) = (proof.yarn[yarn].grams(tex), proof.yarn[yarn].grams_range(tex));
    let length = proof.stitches.pieces[p].stretches[i].length;
    Some(Longest { piece: p, stretch: i, rows, length, designed, grams, range })
}

/// Where to stop by weight.
#[derive(Debug, Clone, PartialEq)]
pub struct StopAt {
    /// The piece.
    pub piece: PieceName,
    /// How many to make.
    pub make: u32,
    /// Yarn that must be left after each one, for those that follow, from the first on.
    pub left: Vec<Grams>,
    /// The name of the last stretch, which is knitted until the scales show the figure.
    pub stretch: String,
    /// Yarn that the ending and its tail of each still take.
    pub ending: Grams,
    /// Whether that stretch may run on until the yarn is shared out: it is not shaped, and no other piece needs yarn.
    pub may_run_on: bool,
}

/// For pieces made more than once in one yarn: the weight that must be left after each, and during the last stretch of
/// the first, for the rest to come out alike. Weights hold with the confidence given.
#[must_use]
pub fn stop_weights(design: &Design, proof: &SizeProof, yarn: usize, sure: Confidence) -> Vec<StopAt> {
    let tex = design.yarns[yarn].tex;
    let mut all = Vec::new();
    for (plan, piece) in proof.plans.pieces.iter().zip(&proof.pieces) {
        let of = &design.pieces[plan.piece];
        if of.yarn != yarn || plan.make < 2 {
            continue;
        }
        let each = piece.yarn.grams(tex).0 + sure.score() * piece.yarn.grams_range(tex).0 / 2.0;
        let left = (1..plan.make).rev().map(|n| Grams(each * f64::from(n))).collect();
        let loops = piece.loops.last().map_or(0, |l| l.all());
        let lengths = of.stretches.last().and_then(|s| s.gauge.loops);
        let knitted = lengths.map_or(0.0, |l| l.of(f64::from(loops), 0.0).0 / 1000.0);
        // The tail of the cast-on is off the ball by then; that of the ending is not.
        let tail = plan.tails.last().map_or(0.0, |t| t.length.0 / 1000.0);
        let ending = Grams((knitted + tail) * tex.0 / 1000.0);
        let stretch = of.stretches.last().map_or(String::new(), |s| s.name.clone());
        let others = design.pieces.iter().filter(|p| p.yarn == yarn).count() > 1;
        let free = of.stretches.last().is_some_and(|s| s.shaping.is_none() && of.ending != Ending::Point);
        let may_run_on = free && !others;
        all.push(StopAt { may_run_on, piece: plan.name.clone(), make: plan.make, left, stretch, ending });
    }
    all
}
