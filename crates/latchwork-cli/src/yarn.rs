//! `yarn`: what a design takes, what the yarn in hand makes, and which other yarns would do.

use latchwork::wording;
use std::path::Path;

use latchwork::check::SizeProof;
use latchwork::design::{Design, book_from_text};
use latchwork::measure::{Yarn, dial_words};
use latchwork::reach::{Confidence, Remnant, Verdict, longest, stop_weights, stripes, suits, what_fits};
use latchwork::units::{Grams, Units, weight_from};

use crate::Done;
use crate::args;
use crate::make::{read, read_text, work_out, work_out_silently};
use crate::report::{language, say, tell};
use crate::table::aligned;

pub(crate) fn yarn(a: &args::YarnOf) -> Done {
    match answered(a) {
        Ok(()) => Done::Fine,
        Err(done) => done,
    }
}

fn answered(a: &args::YarnOf) -> Result<(), Done> {
    if !(50.0..=99.9).contains(&a.sure) {
        return Err(Done::Usage("--sure is from 50 to 99.9 percent.".to_string()));
    }
    let sure = Confidence(a.sure / 100.0);
    let r = read(&a.which)?;
    let design = r.design();
    let yarn = match &a.yarn {
        None => 0,
        Some(name) => design.yarns.iter().position(|y| y.name.eq_ignore_ascii_case(name)).ok_or_else(|| {
            let known: Vec<&str> = design.yarns.iter().map(|y| y.name.as_str()).collect();
            Done::Usage(format!("There is no yarn {name}. This design has: {}.", known.join(", ")))
        })?,
    };
    let have = match &a.in_hand {
        None => design.yarns[yarn].in_hand,
        Some(text) => {
            Some(weight_from(text).ok_or_else(|| Done::Usage(format!("{text} is not a weight; write 43g or 1.5oz.")))?)
        }
    };
    if let Some(list) = &a.instead {
        return instead(design, yarn, list);
    }
    let remnants = a.remnant.iter().map(|t| remnant(t)).collect::<Result<Vec<_>, _>>()?;
    let outcome = work_out_silently(&r);
    let proofs = outcome.sizes;
    if proofs.is_empty() {
        work_out(&r);
        return Err(Done::Refused);
    }
    say(&design.title);
    takes(design, &proofs);
    if let Some(have) = have {
        in_hand(design, &proofs, yarn, have, sure);
    }
    if !remnants.is_empty() {
        striped(design, &proofs, yarn, &remnants, sure);
    }
    Ok(())
}

/// `red=12g`.
fn remnant(text: &str) -> Result<Remnant, Done> {
    let parsed = text.split_once('=').and_then(|(name, grams)| Some((name.trim(), weight_from(grams)?)));
    match parsed {
        Some((name, grams)) if !name.is_empty() => Ok(Remnant { name: name.to_string(), grams }),
        _ => Err(Done::Usage(format!("{text} is not a remnant; write --remnant \"red=12g\"."))),
    }
}

/// What every size takes.
fn takes(design: &Design, proofs: &[SizeProof]) {
    let mut rows = vec![
        [
            "size",
            "yarn",
            if design.show.units == Units::Inches { "yards" } else { "metres" },
            if design.show.units == Units::Inches { "ounces" } else { "grams" },
            "of which tails",
            "balls",
        ]
        .map(String::from)
        .to_vec(),
    ];
    let show = design.show;
    for p in proofs {
        for (i, y) in design.yarns.iter().enumerate() {
            let amount = &p.yarn[i];
            if amount.metres <= 0.0 {
                continue;
            }
            let (g, range) = p.grams(design, i);
            rows.push(vec![
                design.sizes[p.size].name.clone(),
                y.name.clone(),
                format!("{} ± {}", show.yarn(amount.metres), show.yarn((2.0 * amount.deviation()).max(1.0))),
                format!("{} ± {}", show.weighed(g), show.weighed(range)),
                format!("{} {}", show.yarn(amount.tails), show.yarn_unit()),
                y.ball.map_or("–".to_string(), |b| format!("{:.0}", ((g.0 + range.0) / b.0).ceil())),
            ]);
        }
    }
    say(aligned(&rows).trim_end());
    let mut told: Vec<&str> = Vec::new();
    for s in design.pieces.iter().flat_map(|p| &p.stretches) {
        let Some(l) = s.gauge.loops.filter(|_| !told.contains(&s.fabric.name.as_str())) else { continue };
        told.push(&s.fabric.name);
        let size = dial_words(&s.fabric, s.gauge.dial);
        let tuck = if s.fabric.tuck_share() > 0.0 { format!(", {:.1} mm in a tuck", l.tuck) } else { String::new() };
        say(&format!(
            "{} at stitch size {size}: {:.1} mm in a knitted loop{tuck}; {}.",
            s.fabric.name,
            l.knit,
            from(l.basis)
        ));
    }
    say("± is the 95% range. Cast-on, cast-off and the tails for sewing are counted; swatches are extra.");
}

fn from(basis: latchwork::measure::Basis) -> String {
    wording::basis(basis, language())
}

fn in_hand(design: &Design, proofs: &[SizeProof], yarn: usize, have: Grams, sure: Confidence) {
    let percent = sure.0 * 100.0;
    let name = &design.yarns[yarn].name;
    let weighed = |g: f64| design.show.weighed(Grams(g));
    say(&format!("\nWith {} of {name} in hand, {percent:.0}% sure of not running out:", weighed(have.0)));
    let fits = what_fits(design, proofs, yarn, have, sure);
    match fits.largest {
        Some(i) => say(&format!("the largest size is {}.", design.sizes[i].name)),
        None => {
            let least = fits.sizes.iter().map(|s| s.1.0 + sure.score() * s.2.0 / 2.0).fold(f64::INFINITY, f64::min);
            say(&format!(
                "no size can be made as designed: the smallest needs {}, {} more.",
                weighed(least),
                weighed(least - have.0)
            ));
        }
    }
    let chosen = fits.largest.or_else(|| proofs.first().map(|p| p.size));
    let Some(proof) = proofs.iter().find(|p| Some(p.size) == chosen) else { return };
    let size = &design.sizes[proof.size].name;
    for l in longest(design, proof, yarn, have, sure) {
        let s = &design.pieces[l.piece].stretches[l.stretch];
        say(&format!(
            "In size {size} the longest \"{}\" is {} rows, {}, with all else as designed. The design has {} rows there. The longest takes {} ± {}.",
            s.name,
            l.rows,
            design.show.length(l.length),
            l.designed,
            weighed(l.grams.0),
            weighed(l.range.0)
        ));
    }
    if fits.largest.is_none() {
        return;
    }
    for stop in stop_weights(design, proof, yarn, sure) {
        let piece = wording::piece(&stop.piece, language());
        for (n, left) in stop.left.iter().enumerate() {
            say(&format!(
                "In size {size}, when {} {} of {} is done, {} must be left.",
                piece,
                n + 1,
                stop.make,
                weighed(left.0)
            ));
        }
        if !stop.may_run_on {
            continue;
        }
        let half = have.0 / f64::from(stop.make);
        let all = f64::from(stop.make - 1) * half;
        say(&format!(
            "To use it all on \"{}\": stop the first {} when {} is left, cast off, which takes {} with its tail, and knit the others to the same row.",
            stop.stretch,
            piece,
            weighed(all + stop.ending.0),
            weighed(stop.ending.0)
        ));
    }
}

fn striped(design: &Design, proofs: &[SizeProof], yarn: usize, remnants: &[Remnant], sure: Confidence) {
    say("\nStripes, each an even number of rows, with the cast-on in the first and the ending in the last:");
    for p in proofs {
        let size = &design.sizes[p.size].name;
        for (i, piece) in design.pieces.iter().enumerate().filter(|(_, p)| p.yarn == yarn) {
            match stripes(design, p, i, remnants, sure) {
                Some(found) => {
                    let said: Vec<String> = found
                        .iter()
                        .map(|s| format!("{} rows {} to {}", remnants[s.remnant].name, s.rows.0 + 1, s.rows.1))
                        .collect();
                    say(&format!("size {size}, {}: {}", piece.name, said.join("; ")));
                }
                None => {
                    let (needs, _) = p.grams(design, yarn);
                    let have: f64 = remnants.iter().map(|r| r.grams.0).sum();
                    say(&format!(
                        "size {size}, {}: not enough yarn. It needs about {:.1} g and the ends of each stripe; there is {have:.1} g.",
                        piece.name, needs.0
                    ));
                }
            }
        }
    }
    say(
        "A piece made several times has the same stripes each time. Each other piece is worked out as if all the yarn were for it.",
    );
}

fn instead(design: &Design, yarn: usize, path: &Path) -> Result<(), Done> {
    let (name, text) = read_text(path)?;
    let (book, notices) = book_from_text(&text);
    tell(&name, &text, &notices.0);
    let list: Vec<Yarn> = book.ok_or(Done::Refused)?.yarns;
    say(&format!("In place of {}, {:.0} tex:", design.yarns[yarn].name, design.yarns[yarn].tex.0));
    let mut rows = vec![["yarn", "tex", "mm", "cover", "verdict", "why"].map(String::from).to_vec()];
    for s in suits(design, yarn, &list) {
        let verdict = match s.verdict {
            Verdict::Suits => "suits",
            Verdict::Near => "perhaps",
            Verdict::No => "no",
        };
        rows.push(vec![
            s.name,
            format!("{:.0}", s.tex.0),
            format!("{:.2}", s.tex.thickness().0),
            s.tightness.map_or("–".to_string(), |k| format!("{k:.2}")),
            verdict.to_string(),
            s.why,
        ]);
    }
    for r in &rows {
        say(&format!("{:<24} {:>5}  {:>5}  {:>5}  {:<8} {}", r[0], r[1], r[2], r[3], r[4], r[5]));
    }
    let mut fabrics: Vec<&str> =
        design.pieces.iter().flat_map(|p| &p.stretches).map(|s| s.fabric.name.as_str()).collect();
    fabrics.sort_unstable();
    fabrics.dedup();
    say(&format!("Knit new swatches in whichever you choose: {}.", fabrics.join(", ")));
    say(&format!(
        "Needles are {} mm apart; mm is the thickness of the loose yarn, after Peirce.",
        design.machine.pitch.0
    ));
    say("Cover is the square root of tex over the millimetres of yarn in a loop, with this design's loops.");
    Ok(())
}
