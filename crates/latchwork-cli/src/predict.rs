//! `swatch predict`: the gauge of a fabric that was not swatched, from those that were.

use std::sync::Arc;

use latchwork::cloth::{Bulk, Measured, Prediction, asked_of, predict};
use latchwork::design::Design;
use latchwork::design::NewSwatch;
use latchwork::fabric::Fabric;
use latchwork::measure::{BUILT_IN, TUCK, Yarn, dials, gauge};
use latchwork::units::length_from;
use latchwork_web::{Rests, Store};

use crate::Done;
use crate::args;
use crate::report::{say, tell_line};
use crate::swatch::{append, books, fabric_named, stitch_sizes};

pub(crate) fn predicted(a: &args::Predict) -> Result<(), Done> {
    let fabric = &fabric_named(&a.fabric, &a.book)?;
    let books = books(&a.book)?;
    let wanted = |y: &Yarn| a.yarn.as_ref().is_none_or(|n| n.eq_ignore_ascii_case(&y.name));
    let all: Vec<(&Design, usize)> = books
        .iter()
        .flat_map(|(_, b)| b.yarns.iter().enumerate().filter(|y| wanted(y.1)).map(move |(i, _)| (b, i)))
        .collect();
    let (book, index) = match all.as_slice() {
        [one] => *one,
        [] => return Err(Done::Usage("The book has no swatch of that yarn.".to_string())),
        several => {
            let names: Vec<&str> = several.iter().map(|(b, i)| b.yarns[*i].name.as_str()).collect();
            return Err(Done::Usage(format!("Which yarn? Name one with --yarn: {}.", names.join(", "))));
        }
    };
    let yarn = &book.yarns[index];
    let swatched = measured(book, index);
    if swatched.is_empty() {
        return Err(Done::Usage(format!(
            "No swatch of {} shows how much yarn is in its loops. Weigh one, or unravel some loops and measure.",
            yarn.name
        )));
    }
    let mean = |f: fn(&Measured) -> f64| swatched.iter().map(f).sum::<f64>() / swatched.len() as f64;
    let knit = match &a.loop_length {
        Some(text) => {
            length_from(text).ok_or_else(|| Done::Usage(format!("{text} is not a length; write 11.5mm or 0.45in.")))?.0
        }
        None => mean(|m| m.knit),
    };
    let tuck = a.tuck.unwrap_or_else(|| mean(|m| m.tuck));
    if !(0.4..=1.5).contains(&tuck) || !(1.0..=200.0).contains(&knit) {
        return Err(Done::Usage("A loop takes 1 to 200 mm, a tuck 0.4 to 1.5 of it.".to_string()));
    }
    let usual = Bulk::of(&yarn.fibres).diameter(yarn.tex).0;
    let rests = Rests::of(&Store::of_platform(), &asked_of(&swatched, fabric, (knit, tuck), usual));
    let p = predict(&swatched, fabric, (knit, tuck), usual, &|a| rests.known(a)).map_err(|why| {
        tell_line(&format!("{} cannot be predicted: {why}.", fabric.name));
        Done::Refused
    })?;
    say(&told(fabric, yarn, &swatched, (knit, tuck), &p));
    if a.add && !p.of_use() {
        return Err(Done::Usage("This figure is too uncertain for the book. Knit a swatch of the fabric.".to_string()));
    }
    if a.add {
        let dial = stitch_sizes(a.stitch_size.as_deref().unwrap_or_default())?;
        let names = names(&swatched);
        let doubt = 100.0 * p.needle_spread.max(p.pass_spread);
        let whole = |v: f64| v.round().max(1.0);
        // Large counts, so that rounding to tenths of a millimetre is no error.
        let swatch = NewSwatch {
            fabric: &fabric.name,
            yarn: Some(&yarn.name),
            dial,
            counted: (100, 100),
            flat: (format!("{:.1}", 100.0 * p.needle), format!("{:.1}", 100.0 * p.pass)),
            unit: "mm",
            unravelled: vec![(100.0 * knit, "loops", 100)],
            state: &state(book, index),
            reckoned_from: Some((
                &format!("{names} in the same yarn; swatch this before you rely on it"),
                Some(whole(doubt)),
            )),
            ..NewSwatch::default()
        };
        let node = format!("{}\n", swatch.node());
        let count = format!("{:.3}tex", yarn.tex.0);
        let class = BUILT_IN.iter().find(|m| (m.pitch - book.machine.pitch.0).abs() < 0.05).map(|m| m.name);
        append(&a.book, &yarn.name, Some(&count), class, &node)?;
    }
    Ok(())
}

/// The most finished state of the yarn's swatches.
fn state(book: &Design, yarn: usize) -> String {
    book.swatches.iter().filter(|s| s.yarn == yarn).map(|s| s.state).max().map_or(String::new(), |s| s.to_string())
}

/// Every fabric and stitch size swatched in the yarn of which the loop is known.
fn measured(book: &Design, yarn: usize) -> Vec<Measured> {
    let knitted: Vec<_> = book.swatches.iter().filter(|s| !s.reckoned).cloned().collect();
    let mut fabrics: Vec<&Arc<Fabric>> = Vec::new();
    for s in knitted.iter().filter(|s| s.yarn == yarn) {
        if !fabrics.contains(&&s.fabric) {
            fabrics.push(&s.fabric);
        }
    }
    let mut all = Vec::new();
    for fabric in fabrics {
        for dial in dials(&knitted, fabric, yarn) {
            if let Ok(g) = gauge(&knitted, fabric, yarn, book.yarns[yarn].tex, Some(dial))
                && let Some(l) = g.loops
            {
                let tuck = if fabric.tuck_share() > 0.0 { l.tuck / l.knit } else { TUCK };
                all.push(Measured {
                    fabric: Arc::clone(fabric),
                    knit: l.knit,
                    tuck,
                    needle: g.needle.value,
                    pass: g.pass.value,
                });
            }
        }
    }
    all
}

fn names(swatched: &[Measured]) -> String {
    let mut names: Vec<&str> = swatched.iter().map(|m| m.fabric.name.as_str()).collect();
    names.dedup();
    names.join(", ")
}

fn told(fabric: &Fabric, yarn: &Yarn, swatched: &[Measured], (knit, tuck): (f64, f64), p: &Prediction) -> String {
    let range = |spread: f64| 200.0 * spread;
    let mut text = format!(
        "{} in {}, predicted from {}\n    loop {knit:.1} mm{}\n    needles in 10 cm {:.1} ± {:.0}%\n    rows in 10 cm    {:.1} ± {:.0}%\n    the yarn acts as if it were {:.2} mm thick\n",
        fabric.name,
        yarn.name,
        names(swatched),
        if fabric.tuck_share() > 0.0 { format!(", a tuck {tuck:.2} of it") } else { String::new() },
        100.0 / p.needle,
        range(p.needle_spread),
        100.0 / p.pass,
        range(p.pass_spread),
        p.diameter,
    );
    if p.left_out.is_empty() {
        text += "Only one fabric was swatched, so the prediction is untested and the range is a guess. Swatch a second fabric.\n";
    } else {
        text += "Each swatched fabric was predicted from the others. Its swatch was:\n";
        for l in &p.left_out {
            let side = |e: f64, more: &str, less: &str| {
                format!("{:.0}% {}", 100.0 * e.abs(), if e >= 0.0 { more } else { less })
            };
            text += &format!(
                "    {}: {} and {}\n",
                l.fabric.name,
                side(l.needle, "wider", "narrower"),
                side(l.pass, "longer", "shorter")
            );
        }
        text += "The ranges come from this and from a usual error; 95 of 100 fall within them.\n";
    }
    if !p.of_use() {
        text += "These swatches and the model do not agree: the prediction is worth little.\n";
    }
    text + "Knit a swatch before you rely on it."
}
