//! The gallery of starters: each in one size, flat and on its form, with what it takes.

use std::fmt::Write as _;
use std::path::Path;

use latchwork::check::{Outcome, SizeProof, prove};
use latchwork::design::{Design, from_text};
use latchwork::measure::BUILT_IN;
use latchwork::reach::{Finished, Looks, finished, public_face};
use latchwork::revise::{Asked, Starter};
use latchwork::units::Grams;
use latchwork_files::save;
use latchwork_print::png;
use latchwork_thread::look::{Pixels, pixels};
use latchwork_web::{Rests, Store};

use crate::Done;
use crate::progress::Progress;
use crate::report::say;

/// Widest and tallest picture of flat pieces, in pixels.
const FLAT: (f64, f64) = (520.0, 240.0);
/// Widest and tallest picture of the finished thing on its form, in pixels.
const WORN: usize = 240;
/// The angle from which it is seen: from in front and a little from the left.
const FROM: f64 = 0.5 + core::f64::consts::PI;
/// Room between pieces, in millimetres.
const APART: f64 = 15.0;
/// Pieces lower than this share of the tallest, as bands are, are left out of the picture.
const LOW: f64 = 0.2;
/// The machine class that they are shown on.
const CLASS: &str = "standard";

const HEAD: &str = "# Gallery

Every starter in one size, worked out for a machine of standard gauge with the textbook's yarn: the pieces as they lie flat after washing,
and the finished thing on a form, pale where it is loose and darker towards the limit of its fabric. They are drawn by the computer from
the yarn, not photographed, and their gauges are reckoned: knit your swatch. Bodies are those of the built-in tables.

`latchwork starters --gallery docs` makes this page and its pictures anew. [starters.md](starters.md) tells how to begin one.
";

/// Writes the gallery into a folder: `gallery.md`, and pictures in `gallery`.
pub(crate) fn write(starters: &[&Starter], folder: &Path) -> Done {
    let pictures = folder.join("gallery");
    if let Err(e) = std::fs::create_dir_all(&pictures) {
        return Done::Usage(format!("The folder {} could not be made: {e}.", pictures.display()));
    }
    let mut page = HEAD.to_string();
    for s in starters {
        let progress = Progress::start(&format!("Drawing {}", s.name));
        let shown = shown(s, &pictures);
        drop(progress);
        match shown {
            Ok(entry) => page.push_str(&entry),
            Err(done) => return done,
        }
        say(s.name);
    }
    let path = folder.join("gallery.md");
    match save(&path, page.as_bytes()) {
        Ok(()) => Done::Fine,
        Err(e) => Done::Usage(format!("{} could not be written: {e}.", path.display())),
    }
}

/// One starter in the middle one of its sizes: its pictures written, and its part of the page.
fn shown(s: &Starter, pictures: &Path) -> Result<String, Done> {
    let faulty = |why: &str| Done::Usage(format!("{} could not be shown: {why}.", s.name));
    let class = BUILT_IN.iter().find(|m| m.name == CLASS).ok_or_else(|| faulty("its machine is not known"))?;
    let begun = s.begun(&Asked::of(class));
    let begun = begun.map_err(|_| faulty("no size of it knits"))?;
    let (design, _) = from_text(&begun.text);
    let design = design.ok_or_else(|| faulty("it is no design"))?;
    let middle = design.sizes.len() / 2;
    let Outcome { proven, sizes, .. } = prove(&design, &[middle]);
    let size = proven.and(sizes.first()).ok_or_else(|| faulty("this size does not knit"))?;
    let written = |file: &str, picture: &Pixels| {
        let path = pictures.join(file);
        save(&path, &png(picture)).map_err(|e| Done::Usage(format!("{} could not be written: {e}.", path.display())))
    };
    let flat = format!("{}-flat.png", s.name);
    written(&flat, &laid_flat(&design, size).ok_or_else(|| faulty("its pieces have no picture"))?)?;
    let name = &design.sizes[middle].name;
    let mut entry = format!(
        "\n## {}\n\n{} `latchwork new {}`\n\n![{}, size {name}, flat](gallery/{flat})",
        s.head("title"),
        s.head("summary"),
        s.name,
        s.head("title")
    );
    match finished(&design, size) {
        Ok(thing) => {
            let file = format!("{}-worn.png", s.name);
            written(&file, &worn(&thing))?;
            let _ = write!(entry, " ![{}, on {}](gallery/{file})", s.head("title"), thing.body.words());
            if !thing.worn.1.settled() {
                entry.push_str("\n\nOn the form it has not come wholly to rest.");
            }
        }
        Err(_) => entry.push_str("\n\nThere is no form that it would be worn on: it is shown flat."),
    }
    entry.push_str("\n\n");
    entry.push_str(&facts(&design, size));
    Ok(entry)
}

/// Needles, rows, yarn and time, as a table.
fn facts(design: &Design, size: &SizeProof) -> String {
    let needles = size.stitches.pieces.iter().flat_map(|p| &p.stretches).map(|s| s.needles.max(s.needles_end)).max();
    let rows: u32 = size.stitches.pieces.iter().zip(&design.pieces).map(|(w, p)| w.rows() * p.make.count()).sum();
    let mut yarn = Vec::new();
    for i in 0..design.yarns.len() {
        let (g, range) = size.grams(design, i);
        let show = design.show;
        yarn.push(format!(
            "{} ± {} {}, {} {}",
            show.weight(g),
            show.weight(Grams(range.0.max(1.0))),
            show.weight_unit(),
            show.yarn(size.yarn[i].metres),
            show.yarn_unit()
        ));
    }
    format!(
        "| size | most needles | rows, all pieces | yarn | at the machine |\n|---|---|---|---|---|\n| {} | {} | {rows} | {} | {} h {} min |\n",
        design.sizes[size.size].name,
        needles.unwrap_or(0),
        yarn.join("; "),
        size.seconds / 3600,
        size.seconds / 60 % 60
    )
}

/// The pieces side by side on one scale, public side up, bands left out where there is anything wider.
fn laid_flat(design: &Design, size: &SizeProof) -> Option<Pixels> {
    let rests = Rests::of(&Store::of_platform(), &Looks::asked(design));
    let looks = Looks::of(design, &|a| rests.known(a));
    let all: Vec<_> = size
        .plans
        .pieces
        .iter()
        .zip(&size.pieces)
        .filter_map(|(plan, proof)| {
            let look = looks.piece(design, plan, &proof.run)?;
            Some((public_face(design, plan.piece), look.yarn.ok()?))
        })
        .collect();
    let tallest = all.iter().map(|(_, y)| y.window[3]).fold(0.0, f64::max);
    let shown: Vec<_> = all.iter().filter(|(_, y)| y.window[3] > LOW * tallest).collect();
    let wide = shown.iter().map(|(_, y)| y.window[2] + APART).sum::<f64>() - APART;
    let scale = (FLAT.0 / wide).min(FLAT.1 / tallest);
    // Drawn at twice the size and halved, which is smoother.
    let drawn = shown.iter().map(|(face, y)| {
        let across = (2.0 * scale * y.window[2]).round().max(8.0) as usize;
        pixels(&y.strands, y.window, *face, across, 1).halved()
    });
    Some(in_a_row(&drawn.collect::<Vec<_>>(), (APART * scale) as usize))
}

/// Pictures beside each other, standing on one line.
fn in_a_row(all: &[Pixels], apart: usize) -> Pixels {
    let width = all.iter().map(|p| p.width + apart).sum::<usize>().saturating_sub(apart);
    let height = all.iter().map(|p| p.height).max().unwrap_or(0);
    let mut rgba = vec![0; 4 * width * height];
    let mut left = 0;
    for p in all {
        for (y, row) in p.rgba.chunks_exact(4 * p.width).enumerate() {
            let at = 4 * ((y + height - p.height) * width + left);
            rgba[at..at + row.len()].copy_from_slice(row);
        }
        left += p.width + apart;
    }
    Pixels { width, height, rgba }
}

fn worn(thing: &Finished) -> Pixels {
    let surface = thing.worn();
    let wide = surface.pixels(FROM, 2 * WORN);
    let across = 2 * WORN * 2 * WORN / wide.height.max(2 * WORN);
    surface.pixels(FROM, across).halved()
}
