//! `fit`: how every size fits and sews up, and how long it takes; and a person trying the sizes on.

use latchwork::record::fresh;
use latchwork::wording;
use latchwork_files::save;
use std::path::Path;

use latchwork::check::{SizeProof, prove};
use latchwork::design::{Design, Edge, person_from_text};
use latchwork::fit::{FitLine, Known, What, known, nearest_size, own_size, worn};
use latchwork::measure::{Basis, Person, barleycorn_adult, dial_words, mondopoint, paris_point};
use latchwork::notice::Span;
use latchwork::picture::{edge_words, fit_plot, notch_lines, sewing_map};
use latchwork::record;
use latchwork::text::quoted;
use latchwork::units::{Mm, Show};

use crate::Done;
use crate::args;
use crate::make::{What as Document, read, read_text, work_out};
use crate::report::{called, language, print, say, tell, tell_line};
use crate::table::{aligned, in_columns};

pub(crate) fn fit(a: &args::Fit) -> Done {
    let r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    if matches!(r.what, Document::Notes(_)) {
        return Done::Usage("Notes have one size and no body; fit is for designs.".to_string());
    }
    let person = match a.person.as_deref().map(person).transpose() {
        Ok(p) => p,
        Err(done) => return done,
    };
    let outcome = work_out(&r);
    let design = r.design();
    let fine = outcome.proven.is_some();
    if a.json {
        print(&record::fit(design, &outcome.sizes));
        return if fine { Done::Fine } else { Done::Refused };
    }
    say(&design.title);
    say(&format!("Sizes: {}", design.sizes_source));
    for s in outcome.sizes.iter() {
        size(design, s);
    }
    about(design, &outcome.sizes);
    if let Some(p) = person {
        try_on(design, &p, &outcome.sizes);
    }
    if let Some(folder) = &a.svg
        && let Err(done) = pictures(design, &outcome.sizes, folder)
    {
        return done;
    }
    if fine { Done::Fine } else { Done::Refused }
}

fn person(path: &Path) -> Result<Person, Done> {
    let (name, text) = read_text(path)?;
    let (person, notices) = person_from_text(&text);
    tell(&name, &text, &notices.0);
    person.ok_or(Done::Refused)
}

fn size(design: &Design, s: &SizeProof) {
    let show = design.show;
    say(&format!("\nSize {}", design.sizes[s.size].name));
    let head = ["measure", "body", "target", "comes out", "ease", "stretched worn", "women", "men"];
    let mut rows = vec![head.map(String::from).to_vec()];
    for l in &s.sheet {
        let share = |k: usize| {
            l.shares.get(k).map_or("–".to_string(), |s| {
                let own = s.of_size.map_or("–".to_string(), |v| format!("{:.0}%", v * 100.0));
                format!("{own} ({:.0}%)", s.of_all * 100.0)
            })
        };
        let body = l.body.as_ref().filter(|_| l.what == What::Length || l.ease().is_some());
        rows.push(vec![
            wording::fit_line(l, design, language()),
            body.map_or("–".to_string(), |b| format!("{} {}", b.0.replace('-', " "), show.number(b.1))),
            if matches!(l.what, What::Opening(_)) { "–".to_string() } else { show.number(l.wished) },
            format!("{} ± {}", show.number(l.achieved), show.number(Mm(l.range.0.max(0.5)))),
            ease(l, design.show),
            l.stretch_worn.map_or("–".to_string(), |w| {
                format!("{:.0}% of {:.0}%{}", w.needed * 100.0, w.allowed * 100.0, if w.measured { "" } else { "*" })
            }),
            share(0),
            share(1),
        ]);
    }
    say(in_columns(&rows).trim_end());
    for l in &s.sheet {
        if let Some((over, w)) = &l.passes_over {
            say(&format!(
                "To pass over the {}, \"{}\" stretches by {:.0}% of {:.0}%.",
                over.replace('-', " "),
                wording::fit_line(l, design, language()),
                w.needed * 100.0,
                w.allowed * 100.0
            ));
        }
    }
    let sewn: Vec<String> = s
        .sewing
        .measures
        .iter()
        .map(|(n, v)| format!("{} {}", wording::sewn(n, language()), show.length(*v)))
        .collect();
    say(&format!("Sewn: {}.", sewn.join("; ")));
    for line in notch_lines(design, &[&s.sewing], &|v| v.first().cloned().unwrap_or_default()) {
        say(&line);
    }
    let open = left_open(design, s);
    if !open.is_empty() && !s.sewing.seams.is_empty() {
        say(&format!("Left open: {}.", open.join("; ")));
    }
    let minutes: Vec<String> = s
        .plans
        .pieces
        .iter()
        .zip(&s.pieces)
        .map(|(plan, p)| {
            format!(
                "{} {:.0} min{}",
                called(plan),
                f64::from(p.seconds) / 60.0,
                if plan.make > 1 { " each" } else { "" }
            )
        })
        .collect();
    let seams = s.sewing.seconds(&design.pace);
    let sewing = if seams > 0 { format!("; sewing up {:.0} min", f64::from(seams) / 60.0) } else { String::new() };
    say(&format!("Time: {}{sewing}.", minutes.join(", ")));
}

/// Edges that are not sewn, each with its length.
fn left_open(design: &Design, s: &SizeProof) -> Vec<String> {
    s.sewing
        .openings
        .iter()
        .map(|o| {
            let edge = Edge {
                mirrored: false,
                piece: o.piece,
                kind: o.kind,
                stretches: o.stretches.clone(),
                named: None,
                middles: Vec::new(),
                span: Span::default(),
            };
            format!("{} {}", edge_words(design, &edge), design.show.length(o.length))
        })
        .collect()
}

fn ease(l: &FitLine, show: Show) -> String {
    match (l.ease(), l.ease_percent()) {
        (Some(e), Some(p)) => format!("{} {p:+.0}%", show.ease(e)),
        _ => "–".to_string(),
    }
}

/// What the table says, and where its figures come from.
fn about(design: &Design, sizes: &[SizeProof]) {
    let lines = || sizes.iter().flat_map(|s| &s.sheet);
    say(&format!(
        "\nLengths in {}. ± is the 95% range of the next piece. Women and men: the share who can wear it, of those surveyed who take this size by this one measure, and in brackets of all surveyed. A dash: hardly anyone takes it. The survey is ANSUR II, US Army 2012. Each measure is taken alone, since percentiles cannot be combined.",
        design.show.unit()
    ));
    if lines().any(|l| l.stretch_worn.is_some_and(|s| !s.measured)) {
        say(
            "* A usual figure for the fabric, or one from another stitch size. Stretch a swatch and write stretches (cm)… in it.",
        );
    }
    let mut told: Vec<&str> = Vec::new();
    for s in design.pieces.iter().flat_map(|p| &p.stretches) {
        if told.contains(&s.fabric.name.as_str()) {
            continue;
        }
        told.push(&s.fabric.name);
        let g = &s.gauge;
        let doubt = g.needle.spread.max(g.pass.spread) * 200.0;
        let size = dial_words(&g.fabric, g.dial);
        say(&format!(
            "{} at stitch size {size}: {}; ±{doubt:.0}%, {}.",
            s.fabric.name,
            wording::basis(g.needle.basis, language()),
            g.state
        ));
        if g.needle.basis == Basis::OneSwatch {
            say("  A second swatch would narrow every range above.");
        }
    }
    let pace = if design.pace.own { "your own pace" } else { "a usual pace; give your own with pace" };
    say(&format!("Times are at {pace}."));
}

fn try_on(design: &Design, person: &Person, sizes: &[SizeProof]) {
    let show = design.show;
    let (measures, missing) = known(design, person);
    say(&format!("\n{}", person.name));
    for k in &measures {
        let name = k.measure.replace('-', " ");
        match &k.estimate {
            None => {
                let share = person.percentile(&k.measure).zip(person.sex);
                let among = share.map_or(String::new(), |(p, s)| match p {
                    0.0 => format!(", smaller than any of the {} surveyed: check it", wording::sex(s, language())),
                    1.0.. => format!(", larger than any of the {} surveyed: check it", wording::sex(s, language())),
                    _ => format!(", larger than {:.0}% of the {} surveyed", p * 100.0, wording::sex(s, language())),
                });
                let shoe = if k.measure == "foot-length" { shoe_sizes(k.value) } else { String::new() };
                say(&format!("{name} {}, measured{among}{shoe}", show.length(k.value)));
            }
            Some(e) => say(&format!(
                "{name} {} ± {}, estimated from {}",
                show.length(k.value),
                show.number(Mm(2.0 * e.deviation.0)),
                e.from.replace('-', " ")
            )),
        }
    }
    for m in &missing {
        let taken = person.measures.iter().any(|(n, _)| n == m);
        if !taken {
            let from = person.could_come_from(m);
            let or =
                if from.is_empty() { String::new() } else { format!(", or {}", from.join(" or ").replace('-', " ")) };
            say(&format!("{} is not known: measure it{or}.", m.replace('-', " ")));
        }
    }
    let Some(best) = nearest_size(design, &measures).filter(|_| !measures.is_empty()) else {
        say("None of this design's measures is known.");
        return;
    };
    say(&format!("Nearest size: {}", design.sizes[best].name));
    let mut rows = vec![["size", "measure", "ease", "worn"].map(String::from).to_vec()];
    for s in sizes {
        for l in &s.sheet {
            let Some(w) = worn(l, &measures) else { continue };
            rows.push(vec![
                design.sizes[s.size].name.clone(),
                wording::fit_line(l, design, language()),
                format!("{} {:+.0}%", design.show.ease(w.ease), w.ease.0 / w.body.0 * 100.0),
                wording::worth(w.fits, language()),
            ]);
        }
    }
    say(aligned(&rows).trim_end());
    if missing.is_empty() {
        made_for(design, person, &measures);
    }
}

/// Roughly which shoe sizes a foot wears; makers differ.
fn shoe_sizes(foot: Mm) -> String {
    format!(
        "; about Mondopoint {:.0}, EU {:.0}, UK {:.1}",
        mondopoint(foot),
        paris_point(foot),
        (barleycorn_adult(foot) * 2.0).round() / 2.0
    )
}

/// The design worked out for the person alone.
fn made_for(design: &Design, person: &Person, measures: &[Known]) {
    let mut own = design.clone();
    own.sizes = vec![own_size(design, person, measures)];
    let outcome = prove(&own, &[0]);
    let Some(s) = outcome.sizes.first().filter(|_| outcome.proven.is_some()) else {
        say(&format!("Made for {} alone, it cannot be knitted as designed.", person.name));
        return;
    };
    let pieces: Vec<String> = own
        .pieces
        .iter()
        .zip(&s.stitches.pieces)
        .map(|(p, w)| format!("{} {} needles, {} rows", p.name, w.stretches[0].needles, w.rows()))
        .collect();
    let show = design.show;
    let fit: Vec<String> = s
        .sheet
        .iter()
        .filter(|l| l.ease().is_some())
        .map(|l| {
            format!(
                "{} {} {}, ease {}",
                wording::fit_line(l, &own, language()),
                show.number(l.achieved),
                show.unit(),
                ease(l, show)
            )
        })
        .collect();
    say(&format!("Made for {} alone: {}. {}.", person.name, pieces.join("; "), fit.join("; ")));
    let measures: Vec<String> = own.sizes[0].measures.iter().map(|(n, v)| format!("{n} (mm){:.0}", v.0)).collect();
    say(&format!("As a size of the design: size {} {{ {}; }}", quoted(&person.name), measures.join("; ")));
}

fn pictures(design: &Design, sizes: &[SizeProof], folder: &Path) -> Result<(), Done> {
    let failed = |e: std::io::Error| Done::Usage(format!("The folder {} could not be written: {e}.", folder.display()));
    std::fs::create_dir_all(folder).map_err(failed)?;
    let sheets: Vec<(usize, &[FitLine])> = sizes.iter().map(|s| (s.size, s.sheet.as_slice())).collect();
    let (mut names, mut taken) = (Vec::new(), Vec::new());
    if let Some(plot) = fit_plot(design, &sheets) {
        save(&folder.join("fit.svg"), plot.svg.as_bytes()).map_err(failed)?;
        names.push("fit.svg".to_string());
    }
    for s in sizes.iter().filter(|s| !s.sewing.seams.is_empty()) {
        let name = format!("sewing-{}.svg", fresh(&mut taken, &design.sizes[s.size].name));
        save(&folder.join(&name), sewing_map(design, &s.stitches, &s.sewing).svg.as_bytes()).map_err(failed)?;
        names.push(name);
    }
    tell_line(&format!("Wrote to {}: {}.", folder.display(), names.join(", ")));
    Ok(())
}
