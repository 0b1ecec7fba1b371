//! How a size fits: body, target and result for each stretch; and how sewn edges meet.

mod sheet;
mod sewing;
mod person;

use crate::design::{Design, Edge, Seam};
use crate::draft::Draft;
use crate::fact::Counted;
use crate::stitches::{Stitches, side_run};
use crate::units::Mm;

pub use person::{Known, Worn, Worth, known, nearest_size, own_size, worn};
pub use sewing::{Easing, Notch, Opening, SewingMap, Sewn, SewnMeasure, Spot, sewing};
pub(crate) use sheet::LENGTHWISE;
pub use sheet::{FitLine, Share, Stretched, What, sheet};

/// One stretch measured against the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// The piece, by index.
    pub piece: usize,
    /// The stretch, by index.
    pub stretch: usize,
    /// Whether it is measured where its shaping ends.
    pub at_end: bool,
    /// The body measure: name and value; none where the width was given directly.
    pub body: Option<(String, Mm)>,
    /// The target, all round.
    pub wished: Mm,
    /// The result, all round.
    pub achieved: Mm,
    /// One standard deviation of the result, as a share.
    pub spread: f64,
}

impl Measure {
    /// Ease over the body, in millimetres.
    #[must_use]
    pub fn ease(&self) -> Option<Mm> {
        self.body.as_ref().map(|(_, b)| Mm(self.achieved.0 - b.0))
    }

    /// Ease over the body, in percent.
    #[must_use]
    pub fn ease_percent(&self) -> Option<f64> {
        self.body.as_ref().map(|(_, b)| (self.achieved.0 / b.0 - 1.0) * 100.0)
    }
}

/// Every stretch of a size with a target.
#[must_use]
pub fn measures(design: &Design, draft: &Draft, stitches: &Stitches) -> Vec<Measure> {
    let mut all = Vec::new();
    for (p, (piece, worked)) in design.pieces.iter().zip(&stitches.pieces).enumerate() {
        for (s, (stretch, w)) in piece.stretches.iter().zip(&worked.stretches).enumerate() {
            let Some(d) = draft.pieces.get(p).and_then(|d| d.stretches.get(s)) else { continue };
            for (target, reached, at_end) in [(&d.width, w.width.0, false), (&d.end, w.width.1, true)] {
                let Some((target, wished)) = target.as_ref().and_then(|t| Some((t, t.flat?))) else { continue };
                let shared = target.body.as_ref().map_or(1.0, |(_, _, shared)| f64::from(*shared));
                all.push(Measure {
                    piece: p,
                    stretch: s,
                    at_end,
                    body: target.body.as_ref().map(|(name, body, _)| (name.clone(), *body)),
                    wished: Mm(wished.0 * shared),
                    achieved: Mm(reached.0 * shared),
                    spread: stretch.gauge.needle.spread,
                });
            }
        }
    }
    all
}

/// The two sides of a seam, in rows or stitches and in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// Rows or stitches of each side.
    pub count: [u32; 2],
    /// Length of each side.
    pub length: [Mm; 2],
    /// What each side is counted in.
    pub counted: [Counted; 2],
}

/// How the sides of a seam meet in one size.
#[must_use]
pub fn meeting(design: &Design, seam: &Seam, stitches: &Stitches) -> Meeting {
    let [mut a, mut b] = [0, 1].map(|k: usize| side_run(design, stitches, &seam.sides[k]));
    // A short edge sewn to a place along a longer row meets as many stitches as it has.
    if let Some([one, other]) = seam.one_to_one()
        && a.counted == Counted::Stitches
        && b.counted == Counted::Stitches
    {
        if !one.middles.is_empty() {
            a = b;
        } else if !other.middles.is_empty() {
            b = a;
        }
    }
    Meeting { count: [a.count, b.count], length: [a.length, b.length], counted: [a.counted, b.counted] }
}

/// Stitches of a part sewn to a place along a longer row, and of that row.
#[must_use]
pub fn part_and_whole(design: &Design, short: &Edge, long: &Edge, stitches: &Stitches) -> (f64, f64) {
    let count = |e: &Edge| f64::from(side_run(design, stitches, std::slice::from_ref(e)).count);
    (count(short), count(long))
}
