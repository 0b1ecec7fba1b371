//! A reader's doubts of a swatch: figures that no yarn could give, and which of them is likely wrong.
//!
//! Thresholds are common practice, no source; the constants stand with the fabrics.

use super::expect::{Expected, bed_of_needle, expectations, expected, loops_of_pitch, loops_of_yarn, mean_loop};
use super::swatch::Swatch;
use crate::fabric::{Fabric, Relaxed};
use crate::notice::Notice;
use crate::units::{Mm, Tex};

/// Least and most passes to a needle in the same length of plain.
const PLAIN_SHAPE: (f64, f64) = (1.1, 1.75);

/// Needles and passes both off, the one by at least this part of the other, point to the weight.
const TOGETHER: f64 = 0.5;

/// What to look at again for each figure.
const COUNT_AND_REST: &str = "Let it rest a day, lay it flat without drawing it out, and measure again. Needles are counted on both beds together, each once.";
const SCALES: &str = "Check the scales, the yarn's count, and that needles= and passes= are those of the whole swatch.";

/// The doubt of one swatch by itself: one finding, of the likeliest figure.
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
        return Some(
            Notice::warning(s.span, "This swatch is wider than on the needles: it looks drawn out.")
                .because(format!(
                    "It is {:.1} mm wide for each needle, and in the machine a needle has {bed:.1} mm; off it, {} draws in.",
                    s.needle(),
                    s.fabric.name
                ))
                .hint(COUNT_AND_REST),
        );
    }
    let shape = passes / needles;
    (is_plain(&s.fabric) && !(PLAIN_SHAPE.0..=PLAIN_SHAPE.1).contains(&shape)).then(|| {
        Notice::warning(
            s.span,
            format!("{needles:.0} needles and {passes:.0} passes in 10 cm do not look like one piece of plain."),
        )
        .because(format!(
            "Plain has {} to {} passes for each needle in the same length; here there are {shape:.2}.",
            PLAIN_SHAPE.0, PLAIN_SHAPE.1
        ))
        .hint("Measure width and length again, lying flat, and check which belongs to needles and which to passes.")
    })
}

/// A loop that neither the yarn nor the needles can give.
fn of_loop(s: &Swatch, length: f64, tex: Tex, pitch: Mm) -> Option<Notice> {
    let (yarn, needles) = (loops_of_yarn(tex), loops_of_pitch(&s.fabric, pitch));
    let (because, range) = if !(yarn.0..=yarn.1).contains(&length) {
        (format!("A yarn of {:.0} tex is knitted with {:.0} to {:.0} mm in a loop.", tex.0, yarn.0, yarn.1), yarn)
    } else if !(needles.0..=needles.1).contains(&length) {
        (format!("Needles {} mm apart make loops of about {:.0} to {:.0} mm.", pitch.0, needles.0, needles.1), needles)
    } else {
        return None;
    };
    let much = length > range.1;
    let what = match s.weighed {
        Some(w) => format!("{:.1} g is too {}", w.grams.0, if much { "much" } else { "little" }),
        None => format!("Too {} yarn was unravelled for the loops counted", if much { "much" } else { "little" }),
    };
    Some(
        Notice::warning(s.span, format!("{what}: each loop would take {length:.1} mm of yarn."))
            .because(because)
            .hint(SCALES),
    )
}

/// Loop and gauge that do not belong together: the figure that is farthest off, or the weight where both are off alike.
fn of_area(s: &Swatch, r: &Relaxed, e: &Expected, tex: Tex, pitch: Mm) -> Notice {
    let (needles, passes) = (100.0 / s.needle(), 100.0 / s.pass());
    let (wide, long) = ((needles / e.needles).ln(), (passes / e.passes).ln());
    let by = if s.weighed.is_some() { "By its weight" } else { "By the yarn pulled out" };
    let because = format!(
        "{by} each loop takes {:.1} mm of yarn; {} of such loops lies at about {:.0} needles and {:.0} passes in 10 cm, give or take {:.0} % ({}).",
        e.loop_length.0,
        s.fabric.name,
        e.needles,
        e.passes,
        e.doubt * 100.0,
        r.source
    );
    let of_gauge = (r.width * r.length * s.needle() * s.pass()).sqrt();
    let (yarn, reach) = (loops_of_yarn(tex), loops_of_pitch(&s.fabric, pitch));
    let knittable = (yarn.0.max(reach.0)..=yarn.1.min(reach.1)).contains(&of_gauge);
    let together = wide * long > 0.0 && wide.abs().min(long.abs()) > TOGETHER * wide.abs().max(long.abs());
    if together && knittable {
        let (what, hint) = match s.weighed {
            Some(w) => {
                let grams = w.needles * w.passes * s.fabric.loops_per_needle_pass() * of_gauge * tex.0 * 1e-6;
                (
                    format!(
                        "{:.1} g looks too {} for {:.0} needles by {:.0} passes: {} of this gauge takes about {grams:.1} g.",
                        w.grams.0,
                        if of_gauge > e.loop_length.0 { "little" } else { "much" },
                        w.needles,
                        w.passes,
                        s.fabric.name
                    ),
                    SCALES,
                )
            }
            None => (
                format!(
                    "The unravelled yarn does not suit the gauge: {} of this gauge takes about {of_gauge:.1} mm in a loop.",
                    s.fabric.name
                ),
                "Measure it again, drawn just straight, and count the loops that it was in.",
            ),
        };
        return Notice::warning(s.span, what).because(because).hint(hint);
    }
    let notice = if wide.abs() >= long.abs() {
        Notice::warning(s.span, of_width(&s.fabric, needles, e)).hint(COUNT_AND_REST)
    } else {
        let looks = if long < 0.0 { "too few" } else { "too many" };
        Notice::warning(
            s.span,
            format!(
                "{passes:.0} passes in 10 cm look {looks}: {} of this yarn has about {:.0}.",
                s.fabric.name, e.passes
            ),
        )
        .hint(if long < 0.0 && s.fabric.repeat.len() > 1 {
            "Count trips of the carriage between the contrast rows; a face of this fabric shows fewer rows than were knitted."
        } else {
            "Count trips of the carriage between the contrast rows, and lay it flat, neither hanging nor pushed together."
        })
    };
    notice.because(because)
}

fn of_width(f: &Fabric, needles: f64, e: &Expected) -> String {
    let lies = if f.layout.two_beds() { "draws in to" } else { "lies at" };
    let looks = if needles < e.needles {
        format!("At {needles:.0} needles in 10 cm it looks pinned out")
    } else {
        format!("{needles:.0} needles in 10 cm look too many")
    };
    format!("{looks}: {} of this yarn {lies} about {:.0}.", f.name, e.needles)
}

/// Without a weight: a gauge that no loop of this yarn on these needles lies at.
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
    let because = |what: &str, of: (f64, f64)| {
        format!("Loops of {least:.0} to {most:.0} mm give {:.0} to {:.0} {what} in 10 cm ({}).", of.0, of.1, r.source)
    };
    if !(wide.0..=wide.1).contains(&needles) {
        let n = Notice::warning(s.span, of_width(&s.fabric, needles, &usual));
        return Some(n.because(because("needles", wide)).hint(COUNT_AND_REST));
    }
    (!(long.0..=long.1).contains(&passes)).then(|| {
        Notice::warning(
            s.span,
            format!("{passes:.0} passes in 10 cm: {} of this yarn has about {:.0}.", s.fabric.name, usual.passes),
        )
        .because(because("passes", long))
        .hint("Count trips of the carriage between the contrast rows.")
    })
}

/// Doubts of swatches beside each other, of one yarn in one state: rib is narrower than plain, a cardigan wider and
/// shorter than 1x1 rib.
#[must_use]
pub fn doubts_between(swatches: &[Swatch]) -> Vec<Notice> {
    let mut all = Vec::new();
    let mut told: Vec<(&Fabric, &str)> = Vec::new();
    for s in swatches.iter().filter(|s| !s.reckoned) {
        let of = |wanted: fn(&Fabric) -> bool| {
            swatches.iter().filter(move |o| wanted(&o.fabric) && o.yarn == s.yarn && o.state == s.state && !o.reckoned)
        };
        let most = |wanted, value: fn(&Swatch) -> f64| of(wanted).map(value).reduce(f64::max);
        let least = |wanted, value: fn(&Swatch) -> f64| of(wanted).map(value).reduce(f64::min);
        let mut say = |what: &'static str, other: &str, unit: &str, here: f64, there: f64, why: &str| {
            if !told.contains(&(&s.fabric, what)) {
                told.push((&s.fabric, what));
                all.push(
                    Notice::warning(s.span, format!("Here {} is no {what} than {other} of the same yarn.", s.fabric.name))
                        .because(format!("{:.0} {unit} in 10 cm against {:.0}. {why}", 100.0 / here, 100.0 / there))
                        .hint("One of the two was likely measured or counted wrong: lay both flat, rested, and measure them again."),
                );
            }
        };
        if is_rib(&s.fabric)
            && let Some(plain) = most(is_plain, Swatch::needle)
            && s.needle() >= plain
        {
            say("narrower", "plain", "needles", s.needle(), plain, "A rib draws in.");
        }
        if is_cardigan(&s.fabric) {
            let why = "Tucks make cloth wider and shorter.";
            if let Some(rib) = least(is_single_rib, Swatch::needle)
                && s.needle() <= rib
            {
                say("wider", "1x1 rib", "needles", s.needle(), rib, why);
            }
            if let Some(rib) = most(is_single_rib, Swatch::pass)
                && s.pass() >= rib
            {
                say("shorter", "1x1 rib", "passes", s.pass(), rib, why);
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
