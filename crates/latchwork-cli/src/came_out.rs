//! `came-out`: the test knit against its prediction, and back into the book. `restate`: another machine or yarn.

use std::path::{Path, PathBuf};

use latchwork::check::SizeProof;
use latchwork::design::{Design, book_from_text};
use latchwork::measure::{State, Yarn, find_machine};
use latchwork::reach::{CameOut, as_swatch, drift, restate};
use latchwork::text::typed;
use latchwork::units::{length_from, weight_from};

use crate::Done;
use crate::args;
use crate::make::{Read, created, read, read_text, readable, swatch_folder, work_out, work_out_silently};
use crate::report::{say, tell, tell_line, word};
use crate::swatch::{append, count_from, plain};
use crate::table::aligned;

pub(crate) fn came_out(a: &args::CameOut) -> Done {
    match told(a) {
        Ok(done) | Err(done) => done,
    }
}

fn told(a: &args::CameOut) -> Result<Done, Done> {
    let which = args::Which { design: a.design.clone(), size: vec![a.size.clone()] };
    let r = read(&which)?;
    let design = r.design();
    let outcome = work_out_silently(&r);
    let Some(proof) = outcome.sizes.first() else {
        work_out(&r);
        return Err(Done::Refused);
    };
    let piece = named(design.pieces.iter().map(|p| p.name.as_str()), a.piece.as_deref(), "piece")?;
    let stretches = &design.pieces[piece].stretches;
    let stretch = named(stretches.iter().map(|s| s.name.as_str()), a.stretch.as_deref(), "stretch")?;
    let knitted = measured(a, (piece, stretch), proof)?;
    let state = knitted.state;
    say(&format!("{}, size {}, {}", design.title, a.size, stretches[stretch].name));
    let mut rows = vec![["", "predicted", "came out", "drift"].map(String::from).to_vec()];
    for d in drift(design, proof, &knitted) {
        let (scale, unit) = if d.what == "weight" { (1.0, "g") } else { (10.0, "cm") };
        let within = if d.within() { "within its range" } else { "beyond its range" };
        rows.push(vec![
            d.what.to_string(),
            format!("{:.1} ± {:.1} {unit}", d.predicted / scale, d.range / scale),
            format!("{:.1} {unit}", d.is / scale),
            format!("{:+.1}%, {within}", d.percent()),
        ]);
    }
    say(aligned(&rows).trim_end());
    if state != stretches[stretch].gauge.state {
        say(&format!(
            "It was measured {state}, but predicted {}. Part of the drift comes from that.",
            stretches[stretch].gauge.state
        ));
    }
    let node = as_swatch(design, proof, &knitted);
    let far = drift(design, proof, &knitted).iter().any(|d| d.percent().abs() > 40.0);
    if far && !a.even_so {
        say("This is so far off that something was measured or counted wrong. Nothing was written.");
        return Ok(Done::Refused);
    }
    let worked = proof.stretch(piece, stretch);
    let small = knitted.rows < 40 || worked.needles < 30;
    if small && !a.even_so && !a.only_tell {
        say(&format!(
            "{} needles by {} rows is a small swatch: 1 mm more or less is {:.1}% of its length. It was not added to the book. --even-so adds it.",
            worked.needles,
            knitted.rows,
            100.0 / knitted.length.0
        ));
        return Ok(Done::Fine);
    }
    if a.only_tell {
        say(&format!("As a swatch:\n\n{node}"));
        return Ok(Done::Fine);
    }
    let folder = swatch_folder(a.design.as_deref());
    let yarn = &design.yarns[design.pieces[piece].yarn];
    let count = format!("{}tex", yarn.tex.0);
    append(&folder, &yarn.name, Some(&count), Some(design.machine.class.name), &node)?;
    let Some(path) = &a.design else {
        say("The built-in example has no folder of its own. A design beside the folder uses the swatch.");
        return Ok(Done::Fine);
    };
    say("\nWorked out again with it:");
    let all = |size: Vec<String>| read(&args::Which { design: Some(path.clone()), size });
    let again = all(Vec::new())?;
    let before = Read { text: r.text.clone(), name: r.name.clone(), what: every_size(&r) };
    changes(again.design(), &work_out_silently(&before).sizes, &work_out_silently(&again).sizes);
    Ok(Done::Fine)
}

/// What was measured, as it was typed.
fn measured(a: &args::CameOut, (piece, stretch): (usize, usize), proof: &SizeProof) -> Result<CameOut, Done> {
    let length = |what: &str, text: &str| {
        length_from(text).ok_or_else(|| Done::Usage(format!("{text} is not a {what}; write 24.1cm or 9.5in.")))
    };
    let weight = a
        .weight
        .as_deref()
        .map(|t| weight_from(t).ok_or_else(|| Done::Usage(format!("{t} is not a weight; write 26g."))))
        .transpose()?;
    let state = State::ALL.iter().find(|(_, w)| *w == a.state).map(|s| s.0);
    let state = state
        .ok_or_else(|| Done::Usage(format!("{} is not a state; write \"as knitted\", rested or washed.", a.state)))?;
    let worked = proof.stretch(piece, stretch);
    Ok(CameOut {
        piece,
        stretch,
        rows: a.rows.unwrap_or(worked.rows + u32::from(worked.clearing)),
        width: length("width", &a.width)?,
        length: length("length", &a.length)?,
        weight,
        state,
        date: a.date.as_deref().map(|d| plain("date", d)).transpose()?.unwrap_or_default(),
    })
}

/// The same design with all its sizes.
fn every_size(r: &Read) -> crate::make::What {
    let design = r.design().clone();
    let all = (0..design.sizes.len()).collect();
    crate::make::What::Design(Box::new(design), all)
}

fn changes(design: &Design, before: &[SizeProof], after: &[SizeProof]) {
    let mut any = false;
    for b in after {
        let Some(a) = before.iter().find(|x| x.size == b.size) else { continue };
        for (p, piece) in design.pieces.iter().enumerate() {
            let (x, y) = (&a.stitches.pieces[p], &b.stitches.pieces[p]);
            let first = |s: &latchwork::stitches::PieceStitches| s.stretches.first().map_or(0, |w| w.needles);
            let mut said: Vec<String> = Vec::new();
            for (is, was, what) in [(first(y), first(x), "needles"), (y.rows(), x.rows(), "rows")] {
                if is != was {
                    said.push(format!("{is} {what} instead of {was}"));
                }
            }
            if !said.is_empty() {
                any = true;
                say(&format!("size {}, {}: {}", design.sizes[b.size].name, piece.name, said.join(", ")));
            }
        }
    }
    if !any {
        say("Needles and rows stay as they were.");
    }
}

fn named<'a>(names: impl Iterator<Item = &'a str>, asked: Option<&str>, what: &str) -> Result<usize, Done> {
    let names: Vec<&str> = names.collect();
    let typed_all: Vec<String> = names.iter().map(|n| typed(n)).collect();
    match asked {
        None if names.len() == 1 => Ok(0),
        None => Err(Done::Usage(format!("Which {what}? Name one: --{what} {}.", typed_all.join(", ")))),
        Some(name) => names
            .iter()
            .position(|n| n.eq_ignore_ascii_case(name))
            .ok_or_else(|| Done::Usage(format!("There is no {what} {name}. There are: {}.", names.join(", ")))),
    }
}

pub(crate) fn restated(a: &args::Restate) -> Done {
    match restating(a) {
        Ok(done) | Err(done) => done,
    }
}

fn restating(a: &args::Restate) -> Result<Done, Done> {
    if a.machine.is_none() && a.yarn.is_none() {
        return Err(Done::Usage(
            "Name a machine, a yarn or both: --machine mid, --yarn \"pier wool=210m/100g\".".to_string(),
        ));
    }
    let which = args::Which { design: a.design.clone(), size: Vec::new() };
    let r = read(&which)?;
    if matches!(r.what, crate::make::What::Notes(_)) {
        return Err(Done::Usage(
            "Notes have exact counts. Start a design from them: latchwork new NAME --from NOTES.".to_string(),
        ));
    }
    let machine = match &a.machine {
        None => None,
        Some(name) => Some(
            find_machine(name)
                .ok_or_else(|| Done::Usage(format!("There is no machine {name}; `latchwork machines` lists them.")))?,
        ),
    };
    let yarn = a.yarn.as_deref().map(yarn_named).transpose()?;
    let restated = restate(&r.text, r.design(), machine, yarn.as_ref());
    let stem = Path::new(&r.name).file_stem().and_then(|s| s.to_str()).unwrap_or("design");
    let path = written(a, stem, &restated.text)?;
    say(&format!(
        "Wrote {}: loops {:.2} times as long, and gauge to match. Body measures and ease are unchanged.",
        path.display(),
        restated.factor
    ));
    if yarn.is_none() {
        say(
            "In the same yarn the fabric is more open or closer, by the needle spacing. To keep the cover, name a yarn.",
        );
    }
    say(&format!("Knit swatches before you rely on it: {}.", restated.swatch.join(", ")));
    tell_line(&format!("See it with: latchwork fit {}", word(&path.display().to_string())));
    let again = read(&args::Which { design: Some(path), size: Vec::new() })?;
    let outcome = work_out(&again);
    say(&crate::table::sizes(again.design(), &outcome.sizes, true));
    Ok(if outcome.proven.is_some() { Done::Fine } else { Done::Refused })
}

/// Writes the restated design into a new file, once it has been read back.
fn written(a: &args::Restate, stem: &str, text: &str) -> Result<PathBuf, Done> {
    let beside = a.design.as_deref().and_then(Path::parent).unwrap_or_else(|| Path::new(""));
    let numbered = (2..).map(|n| format!("{stem}-restated-{n}.kdl"));
    let usual = std::iter::once(format!("{stem}-restated.kdl")).chain(numbered).map(|n| beside.join(n));
    let places: Box<dyn Iterator<Item = PathBuf>> = match &a.out {
        Some(out) => Box::new(std::iter::once(out.clone())),
        None => Box::new(usual),
    };
    readable(a.out.as_deref().unwrap_or(&beside.join(format!("{stem}-restated.kdl"))), text)?;
    created(places, text)
}

/// `pier wool=210m/100g`, or a file, for its first yarn.
fn yarn_named(text: &str) -> Result<Yarn, Done> {
    if let Some((name, count)) = text.rsplit_once('=')
        && let Some(tex) = count_from(count)
    {
        return Ok(Yarn { name: plain("yarn's name", name)?, tex, ..Yarn::unnamed() });
    }
    let (name, source) = read_text(Path::new(text)).map_err(|_| {
        Done::Usage(format!("{text} is neither a yarn such as \"pier wool=210m/100g\" nor a file with one."))
    })?;
    let (book, notices) = book_from_text(&source);
    tell(&name, &source, &notices.0);
    book.and_then(|b| b.yarns.into_iter().next()).ok_or(Done::Refused)
}
