//! A finished test knit: predictions against results, and the piece as a swatch.

use crate::check::SizeProof;
use crate::design::{Design, NewSwatch};
use crate::measure::State;
use crate::units::{Grams, Mm};

/// A stretch of a finished piece, measured flat before it is sewn.
#[derive(Debug, Clone, PartialEq)]
pub struct CameOut {
    /// The piece, by index.
    pub piece: usize,
    /// The stretch, by index.
    pub stretch: usize,
    /// Rows actually knitted.
    pub rows: u32,
    /// Width where the stretch begins.
    pub width: Mm,
    /// Length of the stretch.
    pub length: Mm,
    /// Weight of the whole piece, with its tails.
    pub weight: Option<Grams>,
    /// Its state when it was measured.
    pub state: State,
    /// The date of measuring.
    pub date: String,
}

/// A figure against its prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// Its name.
    pub what: &'static str,
    /// The prediction, in millimetres or grams.
    pub predicted: f64,
    /// Half the 95 % range of the prediction.
    pub range: f64,
    /// The result.
    pub is: f64,
}

impl Drift {
    /// The drift, in percent.
    #[must_use]
    pub fn percent(&self) -> f64 {
        (self.is / self.predicted - 1.0) * 100.0
    }

    /// Whether the result is within the predicted range.
    #[must_use]
    pub fn within(&self) -> bool {
        (self.is - self.predicted).abs() <= self.range
    }
}

/// Results against predictions. The predicted length is that of the rows actually knitted.
#[must_use]
pub fn drift(design: &Design, proof: &SizeProof, c: &CameOut) -> Vec<Drift> {
    let g = &design.pieces[c.piece].stretches[c.stretch].gauge;
    let worked = &proof.stretch(c.piece, c.stretch);
    let wide = f64::from(worked.needles) * g.needle.value;
    let long = f64::from(c.rows) * g.pass.value;
    let mut all = vec![
        Drift { what: "width", predicted: wide, range: 2.0 * g.needle.spread * wide, is: c.width.0 },
        Drift { what: "length", predicted: long, range: 2.0 * g.pass.spread * long, is: c.length.0 },
    ];
    if let (Some(weight), Some(p)) = (c.weight, proof.piece_proof(c.piece)) {
        let tex = design.yarns[design.pieces[c.piece].yarn].tex;
        all.push(Drift {
            what: "weight",
            predicted: p.yarn.grams(tex).0,
            range: p.yarn.grams_range(tex).0,
            is: weight.0,
        });
    }
    all
}

/// The stretch as a swatch for the book. It takes its predicted share of the weight of the whole piece.
#[must_use]
pub fn as_swatch(design: &Design, proof: &SizeProof, c: &CameOut) -> String {
    let piece = &design.pieces[c.piece];
    let s = &piece.stretches[c.stretch];
    let worked = proof.stretch(c.piece, c.stretch);
    // A shaped stretch has fewer or more loops than its first row suggests.
    let mean = f64::from(worked.needles + worked.needles_end) / 2.0;
    let weighed = c.weight.zip(share(proof, c));
    let size_name = &design.sizes[proof.size].name;
    let note = format!("{} of {}, size {size_name}, as it came out", s.name, design.title);
    let swatch = NewSwatch {
        fabric: &s.fabric.name,
        yarn: Some(&design.yarns[piece.yarn].name),
        dial: (s.gauge.dial.0, s.gauge.dial.1),
        counted: (worked.needles, c.rows),
        flat: (format!("{:.1}", c.width.0), format!("{:.1}", c.length.0)),
        unit: "mm",
        weighed: weighed.map(|(w, share)| (format!("{:.2}", w.0 * share), mean.to_string(), c.rows)),
        state: &c.state.to_string(),
        date: (!c.date.is_empty()).then_some(c.date.as_str()),
        note: Some(&note),
        ..NewSwatch::default()
    };
    format!("{}\n", swatch.node())
}

/// The share of a piece's yarn that a stretch was predicted to take.
fn share(proof: &SizeProof, c: &CameOut) -> Option<f64> {
    let index = proof.plans.pieces.iter().position(|p| p.piece == c.piece)?;
    let (plan, piece) = (&proof.plans.pieces[index], &proof.pieces[index]);
    let own =
        plan.origins.iter().zip(&piece.loops).find(|(p, _)| p.stretch() == Some(c.stretch) && p.fabric().is_some());
    let loops: u32 = piece.loops.iter().map(|l| l.all()).sum();
    let knitted = 1.0 - piece.yarn.tails / piece.yarn.metres.max(0.01);
    own.map(|(_, l)| f64::from(l.all()) / f64::from(loops.max(1)) * knitted)
}
