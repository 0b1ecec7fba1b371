//! Expected measures of a swatch before it is knitted.

use super::swatch::Swatch;
use crate::fabric::Fabric;
use crate::units::{Mm, Tex};

/// A fabric at rest with a given loop length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Yarn in a loop, tucks counted as loops.
    pub loop_length: Mm,
    /// Needles of both beds in 10 cm.
    pub needles: f64,
    /// Passes in 10 cm.
    pub passes: f64,
    /// The doubt of needles and passes, as a share.
    pub doubt: f64,
}

/// How far the loops of a firm and a soft swatch are from the usual one, as a share: common practice, no source.
const FIRM: f64 = 0.08;

/// Least and most of the root of tex over millimetres of a loop: common practice, no source.
const TIGHTNESS: (f64, f64) = (0.8, 1.6);

/// The fabric with loops of this length; none for a fabric without known constants.
#[must_use]
pub fn expected(fabric: &Fabric, loop_length: Mm) -> Option<Expected> {
    let r = fabric.relaxed.as_ref()?;
    let per = |constant: f64| 100.0 * constant / loop_length.0;
    Some(Expected { loop_length, needles: per(r.width), passes: per(r.length), doubt: r.doubt })
}

/// Firm, usual and soft, in a yarn at a needle pitch.
#[must_use]
pub fn expectations(fabric: &Fabric, tex: Tex, pitch: Mm) -> Option<[Expected; 3]> {
    let r = fabric.relaxed.as_ref()?;
    let usual = tex.0.sqrt() / r.tightness;
    let (least, most) = loops_of_pitch(fabric, pitch);
    // At rest no fabric is wider than on the needles.
    let most = most.min(r.width * bed_of_needle(fabric, pitch)).max(least);
    let at = |share: f64| expected(fabric, Mm((usual * share).clamp(least, most)));
    Some([at(1.0 - FIRM)?, at(1.0)?, at(1.0 + FIRM)?])
}

impl Expected {
    /// Weight of a number of needles and passes.
    #[must_use]
    pub fn grams(&self, fabric: &Fabric, tex: Tex, needles: f64, passes: f64) -> f64 {
        needles * passes * fabric.loops_per_needle_pass() * self.loop_length.0 * tex.0 * 1e-6
    }
}

/// Least and most millimetres of yarn in a loop at a needle pitch: 2.2 to 4.3 times the pitch, and from 1.6 times where
/// every needle of both beds knits in one pass. Common practice, no source.
#[must_use]
pub fn loops_of_pitch(fabric: &Fabric, pitch: Mm) -> (f64, f64) {
    let close = fabric.layout.all_of_both() && fabric.loops_per_needle_pass() > 0.6;
    (if close { 1.6 } else { 2.2 } * pitch.0, 4.3 * pitch.0)
}

/// Least and most millimetres of yarn in a loop for a yarn.
pub(super) fn loops_of_yarn(tex: Tex) -> (f64, f64) {
    (tex.0.sqrt() / TIGHTNESS.1, tex.0.sqrt() / TIGHTNESS.0)
}

/// Millimetres along the bed per needle in work on both beds.
pub(super) fn bed_of_needle(fabric: &Fabric, pitch: Mm) -> f64 {
    let places = 12;
    let (main, ribber) = fabric.layout.needle_count(places);
    pitch.0 * f64::from(places) / f64::from(main + ribber)
}

/// The mean loop of one swatch, as weighed or else as unravelled.
pub(super) fn mean_loop(s: &Swatch, tex: Tex) -> Option<f64> {
    let weighed =
        s.weighed.map(|w| w.grams.0 / tex.0 * 1e6 / (w.needles * w.passes * s.fabric.loops_per_needle_pass()));
    weighed.or_else(|| {
        let mean = |tucks: bool| {
            let all: Vec<f64> = s.unravelled.iter().filter(|u| u.tucks == tucks).map(super::Unravelled::each).collect();
            (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
        };
        let share = s.fabric.tuck_share();
        let knit = mean(false)?;
        let tuck = if share > 0.0 { mean(true)? } else { 0.0 };
        Some(knit * (1.0 - share) + tuck * share)
    })
}
