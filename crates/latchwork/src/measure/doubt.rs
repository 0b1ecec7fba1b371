//! Doubts about a swatch: figures that no yarn could give, and which of them is probably wrong.
//!
//! Thresholds are common practice, no source; the constants are in the fabric documents.

use super::expect::{Expected, bed_of_needle, expectations, expected, loops_of_pitch, loops_of_yarn, mean_loop};
use super::swatch::Swatch;
use crate::fabric::{Fabric, Relaxed};
use crate::fact::{Compared, LoopLimit, OffFigure, OffWidth, SwatchFact};
use crate::notice::Notice;
use crate::units::{Mm, Tex};

/// Least and most passes to a needle in the same length of plain.
const PLAIN_SHAPE: (f64, f64) = (1.1, 1.75);

/// Needles and passes both off, one by at least this share of the other, point to the weight.
const TOGETHER: f64 = 0.5;

/// The doubt about one swatch by itself: one finding, on the figure most likely wrong.
#[must_use]
pub fn doubt(s: &Swatch, tex: Tex, pitch: Mm) -> Option<Notice> {
    if s.reckoned {
        return None;
    }
    let (needles, passes) = (100.0 / s.needle(), 100.0 / s.pass());
    if let Some(length) = mean_loop(s, tex) {
        let loops = of_loop(s, length, tex, pitch);
        if loops.is_some() {
            return loops;
        }
        if let (Some(r), Some(e)) = (s.fabric.relaxed.clone(), expected(&s.fabric, Mm(length)))
            && !(r.area.0..=r.area.1).contains(&(length * length / (s.needle() * s.pass())))
        {
            return Some(of_area(s, &r, &e, tex, pitch));
        }
    } else if let Some(n) = unweighed(s, tex, pitch) {
        return Some(n);
    }
    let bed = bed_of_needle(&s.fabric, pitch);
    if s.needle() > bed * 1.001 {
        let fact = SwatchFact::DrawnOut { fabric: s.fabric.name.clone(), needle: s.needle(), bed };
        return Some(Notice::warning(s.span, fact));
    }
    let shape = passes / needles;
    (is_plain(&s.fabric) && !(PLAIN_SHAPE.0..=PLAIN_SHAPE.1).contains(&shape)).then(|| {
        let (least, most) = PLAIN_SHAPE;
        Notice::warning(s.span, SwatchFact::NotPlainShape { needles, passes, shape, least, most })
    })
}

/// A loop length that the yarn or the needles cannot give.
fn of_loop(s: &Swatch, length: f64, tex: Tex, pitch: Mm) -> Option<Notice> {
    let (yarn, needles) = (loops_of_yarn(tex), loops_of_pitch(&s.fabric, pitch));
    let (limit, range) = if !(yarn.0..=yarn.1).contains(&length) {
        (LoopLimit::Yarn { tex: tex.0 }, yarn)
    } else if !(needles.0..=needles.1).contains(&length) {
        (LoopLimit::Needles { pitch: pitch.0 }, needles)
    } else {
        return None;
    };
    let (weighed, much) = (s.weighed.map(|w| w.grams.0), length > range.1);
    Some(Notice::warning(s.span, SwatchFact::LoopOff { weighed, much, length, limit, least: range.0, most: range.1 }))
}

/// Loop and gauge that do not fit together: the figure farthest off, or the weight if both are equally off.
fn of_area(s: &Swatch, r: &Relaxed, e: &Expected, tex: Tex, pitch: Mm) -> Notice {
    let (needles, passes) = (100.0 / s.needle(), 100.0 / s.pass());
    let (wide, long) = ((needles / e.needles).ln(), (passes / e.passes).ln());
    let of_gauge = (r.width * r.length * s.needle() * s.pass()).sqrt();
    let (yarn, reach) = (loops_of_yarn(tex), loops_of_pitch(&s.fabric, pitch));
    let knittable = (yarn.0.max(reach.0)..=yarn.1.min(reach.1)).contains(&of_gauge);
    let together = wide * long > 0.0 && wide.abs().min(long.abs()) > TOGETHER * wide.abs().max(long.abs());
    if together && knittable {
        let off = match s.weighed {
            Some(w) => OffFigure::Weight {
                grams: w.grams.0,
                little: of_gauge > e.loop_length.0,
                needles: w.needles,
                passes: w.passes,
                takes: w.needles * w.passes * s.fabric.loops_per_needle_pass() * of_gauge * tex.0 * 1e-6,
            },
            None => OffFigure::Unravelled { takes: of_gauge },
        };
        return Notice::warning(s.span, area(s, r, e, off));
    }
    let off = if wide.abs() >= long.abs() {
        OffFigure::Width(of_width(&s.fabric, needles, e))
    } else {
        OffFigure::Passes { passes, few: long < 0.0, usual: e.passes, faces: s.fabric.repeat.len() > 1 }
    };
    Notice::warning(s.span, area(s, r, e, off))
}

fn area(s: &Swatch, r: &Relaxed, e: &Expected, off: OffFigure) -> SwatchFact {
    SwatchFact::Area {
        fabric: s.fabric.name.clone(),
        weighed: s.weighed.is_some(),
        loop_length: e.loop_length.0,
        needles: e.needles,
        passes: e.passes,
        percent: e.doubt * 100.0,
        source: r.source.to_string(),
        off,
    }
}

fn of_width(f: &Fabric, needles: f64, e: &Expected) -> OffWidth {
    let pinned = needles < e.needles;
    OffWidth { fabric: f.name.clone(), needles, pinned, draws_in: f.layout.two_beds(), usual: e.needles }
}

/// Without a weight: a gauge that no loop of this yarn on these needles gives.
fn unweighed(s: &Swatch, tex: Tex, pitch: Mm) -> Option<Notice> {
    let r = s.fabric.relaxed.as_ref()?;
    let usual = expectations(&s.fabric, tex, pitch)?[1];
    let (yarn, reach) = (loops_of_yarn(tex), loops_of_pitch(&s.fabric, pitch));
    let (least, most) = (yarn.0.max(reach.0), yarn.1.min(reach.1));
    let range = |constant: f64| (100.0 * constant / most * (1.0 - r.doubt), 100.0 * constant / least * (1.0 + r.doubt));
    if least > most {
        return None;
    }
    let (needles, passes) = (100.0 / s.needle(), 100.0 / s.pass());
    let (wide, long) = (range(r.width), range(r.length));
    let source = r.source.to_string();
    if !(wide.0..=wide.1).contains(&needles) {
        let width = of_width(&s.fabric, needles, &usual);
        return Some(Notice::warning(s.span, SwatchFact::WidthOff { width, least, most, gives: wide, source }));
    }
    (!(long.0..=long.1).contains(&passes)).then(|| {
        let (fabric, usual) = (s.fabric.name.clone(), usual.passes);
        Notice::warning(s.span, SwatchFact::PassesOff { fabric, passes, usual, least, most, gives: long, source })
    })
}

/// Doubts from comparing swatches of one yarn in one state: rib is narrower than plain, a cardigan wider and shorter than
/// 1x1 rib.
#[must_use]
pub fn doubts_between(swatches: &[Swatch]) -> Vec<Notice> {
    let mut all = Vec::new();
    let mut told: Vec<(&Fabric, Compared)> = Vec::new();
    for s in swatches.iter().filter(|s| !s.reckoned) {
        let of = |wanted: fn(&Fabric) -> bool| {
            swatches.iter().filter(move |o| wanted(&o.fabric) && o.yarn == s.yarn && o.state == s.state && !o.reckoned)
        };
        let most = |wanted, value: fn(&Swatch) -> f64| of(wanted).map(value).reduce(f64::max);
        let least = |wanted, value: fn(&Swatch) -> f64| of(wanted).map(value).reduce(f64::min);
        let mut say = |no: Compared, here: f64, there: f64| {
            if !told.contains(&(&s.fabric, no)) {
                told.push((&s.fabric, no));
                let (fabric, here, there) = (s.fabric.name.clone(), 100.0 / here, 100.0 / there);
                all.push(Notice::warning(s.span, SwatchFact::Between { fabric, no, here, there }));
            }
        };
        if is_rib(&s.fabric)
            && let Some(plain) = most(is_plain, Swatch::needle)
            && s.needle() >= plain
        {
            say(Compared::NarrowerThanPlain, s.needle(), plain);
        }
        if is_cardigan(&s.fabric) {
            if let Some(rib) = least(is_single_rib, Swatch::needle)
                && s.needle() <= rib
            {
                say(Compared::WiderThanRib, s.needle(), rib);
            }
            if let Some(rib) = most(is_single_rib, Swatch::pass)
                && s.pass() >= rib
            {
                say(Compared::ShorterThanRib, s.pass(), rib);
            }
        }
    }
    all
}

fn is_plain(f: &Fabric) -> bool {
    f.layout.main_alone() && f.knits_all()
}

fn is_rib(f: &Fabric) -> bool {
    f.layout.two_beds() && f.knits_all()
}

fn is_single_rib(f: &Fabric) -> bool {
    f.layout.by_turns() && f.knits_all()
}

fn is_cardigan(f: &Fabric) -> bool {
    f.tuck_share() > 0.0
}
