//! Sentences for doubts about a swatch.

use crate::fact::{Compared, LoopLimit, OffFigure, OffWidth, SwatchFact as F};
use crate::wording::{Language, Told, say};

fn count_and_rest(t: Language) -> String {
    say!(
        t,
        "Leave it flat for a day without stretching it, then measure again. Count the needles of both beds together, each once."
    )
}

fn scales(t: Language) -> String {
    say!(t, "Check the scales and the yarn count. needles= and passes= are those of the whole swatch.")
}

fn width(w: &OffWidth, t: Language) -> String {
    let OffWidth { fabric, needles, pinned, draws_in, usual } = w;
    match (pinned, draws_in) {
        (true, true) => say!(
            t,
            "At {needles:.0} needles in 10 cm it looks pinned out: {fabric} in this yarn draws in to about {usual:.0}.",
            needles,
            fabric,
            usual
        ),
        (true, false) => say!(
            t,
            "At {needles:.0} needles in 10 cm it looks pinned out: {fabric} in this yarn measures about {usual:.0}.",
            needles,
            fabric,
            usual
        ),
        (false, true) => say!(
            t,
            "{needles:.0} needles in 10 cm look too many: {fabric} in this yarn draws in to about {usual:.0}.",
            needles,
            fabric,
            usual
        ),
        (false, false) => say!(
            t,
            "{needles:.0} needles in 10 cm look too many: {fabric} in this yarn measures about {usual:.0}.",
            needles,
            fabric,
            usual
        ),
    }
}

fn off_figure(off: &OffFigure, fabric: &str, t: Language) -> Told {
    match off {
        OffFigure::Weight { grams, little: true, needles, passes, takes } => Told::new(say!(
            t,
            "{grams:.1} g looks too little for {needles:.0} needles by {passes:.0} rows: {fabric} at this gauge takes about {takes:.1} g.",
            grams,
            needles,
            passes,
            fabric,
            takes
        ))
        .hint(scales(t)),
        OffFigure::Weight { grams, little: false, needles, passes, takes } => Told::new(say!(
            t,
            "{grams:.1} g looks too much for {needles:.0} needles by {passes:.0} rows: {fabric} at this gauge takes about {takes:.1} g.",
            grams,
            needles,
            passes,
            fabric,
            takes
        ))
        .hint(scales(t)),
        OffFigure::Unravelled { takes } => Told::new(say!(
            t,
            "The unravelled yarn does not match the gauge: {fabric} at this gauge takes about {takes:.1} mm a loop.",
            fabric,
            takes
        ))
        .hint(say!(t, "Measure it again, pulled just straight. Count again the loops it came from.")),
        OffFigure::Width(w) => Told::new(width(w, t)).hint(count_and_rest(t)),
        OffFigure::Passes { passes, few, usual, faces } => {
            let message = if *few {
                say!(
                    t,
                    "{passes:.0} rows in 10 cm look too few: {fabric} in this yarn has about {usual:.0}.",
                    passes,
                    fabric,
                    usual
                )
            } else {
                say!(
                    t,
                    "{passes:.0} rows in 10 cm look too many: {fabric} in this yarn has about {usual:.0}.",
                    passes,
                    fabric,
                    usual
                )
            };
            Told::new(message).hint(if *few && *faces {
                say!(
                    t,
                    "Count trips of the carriage between the contrast rows. A face of this fabric shows fewer rows than were knitted."
                )
            } else {
                say!(
                    t,
                    "Count trips of the carriage between the contrast rows. Measure the swatch flat, neither hanging nor pushed together."
                )
            })
        }
    }
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::DrawnOut { fabric, needle, bed } => {
            Told::new(say!(t, "This swatch is wider than it was on the needles: it looks stretched."))
                .because(say!(
                    t,
                    "It measures {needle:.1} mm a needle. The needles are {bed:.1} mm apart, and {fabric} draws in off the machine.",
                    needle,
                    bed,
                    fabric
                ))
                .hint(count_and_rest(t))
        }
        F::NotPlainShape { needles, passes, shape, least, most } => Told::new(say!(
            t,
            "{needles:.0} needles and {passes:.0} rows in 10 cm do not look like plain.",
            needles,
            passes
        ))
        .because(say!(
            t,
            "Plain has {least} to {most} rows for each needle in the same length; this swatch has {shape:.2}.",
            least,
            most,
            shape
        ))
        .hint(say!(
            t,
            "Measure width and length again, flat. Width belongs to the needles, length to the rows."
        )),
        F::LoopOff { weighed, much, length, limit, least, most } => {
            let message = match (weighed, much) {
                (Some(grams), true) => {
                    say!(t, "{grams:.1} g is too much: each loop would take {length:.1} mm of yarn.", grams, length)
                }
                (Some(grams), false) => {
                    say!(t, "{grams:.1} g is too little: each loop would take {length:.1} mm of yarn.", grams, length)
                }
                (None, true) => say!(
                    t,
                    "Too much yarn was unravelled for the loops counted: each loop would take {length:.1} mm of yarn.",
                    length
                ),
                (None, false) => say!(
                    t,
                    "Too little yarn was unravelled for the loops counted: each loop would take {length:.1} mm of yarn.",
                    length
                ),
            };
            Told::new(message)
                .because(match limit {
                    LoopLimit::Yarn { tex } => say!(
                        t,
                        "A yarn of {tex:.0} tex takes {least:.0} to {most:.0} mm a loop.",
                        tex,
                        least,
                        most
                    ),
                    LoopLimit::Needles { pitch } => say!(
                        t,
                        "Needles {pitch} mm apart make loops of about {least:.0} to {most:.0} mm.",
                        pitch,
                        least,
                        most
                    ),
                })
                .hint(scales(t))
        }
        F::Area { fabric, weighed, loop_length, needles, passes, percent, source, off } => {
            let why = if *weighed {
                say!(
                    t,
                    "By its weight, each loop takes {loop_length:.1} mm of yarn. At that, {fabric} has about {needles:.0} needles and {passes:.0} rows in 10 cm, ± {percent:.0}%, {source}.",
                    loop_length,
                    fabric,
                    needles,
                    passes,
                    percent,
                    source
                )
            } else {
                say!(
                    t,
                    "By the yarn unravelled, each loop takes {loop_length:.1} mm of yarn. At that, {fabric} has about {needles:.0} needles and {passes:.0} rows in 10 cm, ± {percent:.0}%, {source}.",
                    loop_length,
                    fabric,
                    needles,
                    passes,
                    percent,
                    source
                )
            };
            off_figure(off, fabric, t).because(why)
        }
        F::WidthOff { width: w, least, most, gives: (from, to), source } => Told::new(width(w, t))
            .because(say!(
                t,
                "Loops of {least:.0} to {most:.0} mm give {from:.0} to {to:.0} needles in 10 cm, {source}.",
                least,
                most,
                from,
                to,
                source
            ))
            .hint(count_and_rest(t)),
        F::PassesOff { fabric, passes, usual, least, most, gives: (from, to), source } => Told::new(say!(
            t,
            "{passes:.0} rows in 10 cm look wrong: {fabric} in this yarn has about {usual:.0}.",
            passes,
            fabric,
            usual
        ))
        .because(say!(
            t,
            "Loops of {least:.0} to {most:.0} mm give {from:.0} to {to:.0} rows in 10 cm, {source}.",
            least,
            most,
            from,
            to,
            source
        ))
        .hint(say!(t, "Count trips of the carriage between the contrast rows.")),
        F::Between { fabric, no, here, there } => {
            let (message, why) = match no {
                Compared::NarrowerThanPlain => (
                    say!(t, "This {fabric} is no narrower than plain in the same yarn.", fabric),
                    say!(t, "{here:.0} needles in 10 cm against {there:.0}, but rib draws in.", here, there),
                ),
                Compared::WiderThanRib => (
                    say!(t, "This {fabric} is no wider than 1x1 rib in the same yarn.", fabric),
                    say!(
                        t,
                        "{here:.0} needles in 10 cm against {there:.0}, but tucks make fabric wider and shorter.",
                        here,
                        there
                    ),
                ),
                Compared::ShorterThanRib => (
                    say!(t, "This {fabric} is no shorter than 1x1 rib in the same yarn.", fabric),
                    say!(
                        t,
                        "{here:.0} rows in 10 cm against {there:.0}, but tucks make fabric wider and shorter.",
                        here,
                        there
                    ),
                ),
            };
            Told::new(message).because(why).hint(say!(
                t,
                "One of the two was probably measured or counted wrong. Rest both flat, then measure again."
            ))
        }
    }
}
