//! `repeat`: a picture made into a fabric of two yarns.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use latchwork::motif::{Motif, Technique, Tones, drawn, rows_in_proportion, within};
use latchwork::picture::motif as preview;
use latchwork_files::{Writing, place_of};
use latchwork_print::{NoPhoto, light};

use crate::Done;
use crate::report::{language, say, word};
use crate::swatch::{books, fabric_named, plain};

#[derive(Debug, Args)]
pub(crate) struct Repeat {
    /// The picture: PNG, JPEG, GIF or WebP. Dark parts are the second yarn.
    pub(crate) picture: PathBuf,
    /// Needles across one repeat.
    #[arg(long, value_parser = clap::value_parser!(u32).range(2..=200))]
    pub(crate) needles: u32,
    /// Rows of one repeat. Default: in true proportion.
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=200))]
    pub(crate) rows: Option<u32>,
    /// How often the picture stands in the repeat: across, and up.
    #[arg(long, num_args = 1..=2, value_names = ["ACROSS", "UP"], value_parser = clap::value_parser!(u32).range(1..=50))]
    pub(crate) times: Vec<u32>,
    /// Keep the picture in proportion, in the middle of its needles and rows, with the first yarn round it. Without, it is stretched
    /// over them.
    #[arg(long, requires = "rows")]
    pub(crate) centred: bool,
    /// The fabric whose swatch gives the proportion of a stitch.
    #[arg(long, value_name = "FABRIC")]
    pub(crate) gauge_of: String,
    /// How it is knitted.
    #[arg(long = "as", value_enum)]
    pub(crate) technique: As,
    /// How many colours.
    #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u32).range(2..=2))]
    pub(crate) colours: u32,
    /// The longest float, in needles missed. Longer ones are broken, with as few stitches changed as possible.
    #[arg(long, default_value_t = 5, value_parser = clap::value_parser!(u32).range(1..=40))]
    pub(crate) float: u32,
    /// Draw shades with scattered stitches, instead of two flat tones.
    #[arg(long)]
    pub(crate) shades: bool,
    /// The fabric's name. Default: that of the picture.
    #[arg(long)]
    pub(crate) name: Option<String>,
    /// The yarn of the swatch, if the book has several.
    #[arg(long, value_name = "NAME")]
    pub(crate) yarn: Option<String>,
    /// The folder of the swatch book.
    #[arg(long, value_name = "DIR", default_value = "swatches")]
    pub(crate) book: PathBuf,
    /// The file to write. Default: NAME.kdl in the folder "fabrics".
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
}

/// How a repeat of two yarns is knitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum As {
    /// Two yarns in a row on one bed.
    Stranded,
    /// On both beds, the other yarn at the back.
    TwoBed,
    /// Two rows of each yarn in turn.
    Mosaic,
}

/// The most bytes that a picture's file may have.
const MOST_MEGABYTES: u64 = 50;

pub(crate) fn repeat(a: &Repeat) -> Done {
    match made(a) {
        Ok(()) => Done::Fine,
        Err(done) => done,
    }
}

fn made(a: &Repeat) -> Result<(), Done> {
    let technique = match a.technique {
        As::Stranded => Technique::Stranded,
        As::Mosaic => Technique::Mosaic,
        As::TwoBed => Technique::TwoBed,
    };
    let stem = a.picture.file_stem().and_then(|s| s.to_str()).unwrap_or("motif").replace(['-', '_'], " ");
    let name = plain("fabric's name", a.name.as_deref().unwrap_or(&stem))?;
    let (needle, row) = gauge(a)?;
    let picture = read(&a.picture)?;
    // A mosaic row is knitted twice.
    let row = if technique == Technique::Mosaic { 2.0 * row } else { row };
    let even = technique != Technique::Stranded;
    let across = a.times.first().copied().unwrap_or(1);
    let up = a.times.get(1).copied().unwrap_or(1);
    for (n, times, word) in [(Some(a.needles), across, "needles"), (a.rows, up, "rows")] {
        if let Some(n) = n.filter(|n| !n.is_multiple_of(times)) {
            let (below, above) = ((n / times * times).max(times), n.next_multiple_of(times));
            return Err(Done::Usage(format!(
                "{n} {word} do not part into {times} alike. Write --{word} {below} or {above}."
            )));
        }
    }
    let columns = (a.needles / across) as usize;
    let up = up as usize;
    let rows = match a.rows {
        Some(n) if even && !n.is_multiple_of(2) => {
            return Err(Done::Usage(format!("Its rows come in pairs: write --rows {} or {}.", n + 1, n.max(3) - 1)));
        }
        Some(n) => n as usize / up,
        None => {
            let n = rows_in_proportion((picture.wide, picture.high), columns, needle, row);
            if even { n.next_multiple_of(2) } else { n }
        }
    };
    if rows * up > MOST_ROWS {
        return Err(Done::Usage(format!(
            "In proportion this picture has {} rows, and a repeat has at most {MOST_ROWS}. Use fewer needles, or give --rows.",
            rows * up
        )));
    }
    let tones = if a.shades { Tones::Diffused } else { Tones::Threshold };
    let mut motif = if a.centred {
        let (wide, high) = within((picture.wide, picture.high), (columns, rows), needle, row);
        drawn(&picture, wide, high, tones).centred(columns, rows)
    } else {
        drawn(&picture, columns, rows, tones)
    };
    motif = motif.tiled(across as usize, up);
    if motif.rows.iter().flatten().all(|c| *c == motif.rows[0][0]) {
        return Err(Done::Usage(
            "This picture has one tone only, so there is nothing to draw. Try --shades.".to_string(),
        ));
    }
    let changed = match technique {
        Technique::Stranded => motif.break_floats(a.float as usize),
        Technique::Mosaic => motif.make_mosaic(a.float as usize),
        Technique::TwoBed => 0,
    };
    write(a, &name, &motif, technique, (needle, row))?;
    told(&name, &motif, technique, changed);
    Ok(())
}

/// Why a repeat on two beds is not shaped, in its document.
const UNSHAPED: &str = "The colours at the edge would no longer match.";

/// The most rows of a repeat: that many of two yarns on two beds are as many passes as a fabric has.
const MOST_ROWS: usize = 200;

/// The width of a stitch and the height of a row, of a fabric that was swatched.
fn gauge(a: &Repeat) -> Result<(f64, f64), Done> {
    let fabric = fabric_named(&a.gauge_of, &a.book)?;
    let found = books(&a.book)?.into_iter().find_map(|(_, book)| {
        (0..book.yarns.len())
            .filter(|y| a.yarn.as_ref().is_none_or(|n| n.eq_ignore_ascii_case(&book.yarns[*y].name)))
            .find_map(|y| book.gauge(&fabric, y))
    });
    let gauge = found.ok_or_else(|| {
        Done::Usage(format!(
            "The book has no swatch of {} in that yarn. Knit one, then: latchwork swatch add {}",
            fabric.name,
            word(&fabric.name)
        ))
    })?;
    Ok((gauge.needle.value, gauge.pass.value))
}

fn read(path: &Path) -> Result<latchwork::motif::Light, Done> {
    let shown = path.display();
    let unread = |e: std::io::Error| Done::Usage(format!("{shown} could not be read: {e}."));
    let megabytes = std::fs::metadata(path).map_err(unread)?.len() / 1_000_000;
    if megabytes > MOST_MEGABYTES {
        return Err(Done::Usage(format!(
            "{shown} has {megabytes} MB; a picture has at most {MOST_MEGABYTES}. Save a smaller one."
        )));
    }
    light(&std::fs::read(path).map_err(unread)?).map_err(|why| {
        Done::Usage(match why {
            NoPhoto::NotOne => format!("{shown} is not a picture: it needs PNG, JPEG, GIF or WebP."),
            NoPhoto::TooWide { megapixels, most } => {
                format!("{shown} has {megapixels} megapixels; at most {most} are read. Save a smaller one.")
            }
        })
    })
}

fn write(a: &Repeat, name: &str, motif: &Motif, technique: Technique, (needle, row): (f64, f64)) -> Result<(), Done> {
    let text = format!("{}\n", motif.fabric(name, technique, UNSHAPED));
    let file = a.out.clone().unwrap_or_else(|| Path::new("fabrics").join(format!("{}.kdl", name.replace(' ', "-"))));
    let shown = file.display().to_string();
    let failed = |e: std::io::Error| {
        Done::Usage(match e.kind() {
            std::io::ErrorKind::AlreadyExists => {
                format!("{shown} already exists; nothing was changed. Choose another --out.")
            }
            _ => format!("{shown} could not be written: {e}."),
        })
    };
    if let Some(folder) = file.parent().filter(|p| !p.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(failed)?;
    }
    let picture = preview(motif, row / needle, (2, 2), language());
    let drawing = file.with_extension("svg");
    let (folder, base) = place_of(&file).map_err(failed)?;
    let (_, beside) = place_of(&drawing).map_err(failed)?;
    let writing = Writing::begin(folder).map_err(failed)?;
    writing.create(base, text.as_bytes()).map_err(failed)?;
    writing.replace(beside, picture.svg.as_bytes()).map_err(failed)?;
    say(&format!("Wrote {shown}, and how it will look to {}.", drawing.display()));
    Ok(())
}

fn told(name: &str, motif: &Motif, technique: Technique, changed: usize) {
    let (columns, rows) = (motif.columns, motif.rows.len());
    let second = motif.rows.iter().flatten().filter(|c| **c).count();
    let stitches = |n: usize| if n == 1 { "1 stitch".to_string() } else { format!("{n} stitches") };
    say(&format!(
        "{name}: {columns} needles by {rows} rows, {second} of {} stitches in the second yarn.",
        columns * rows
    ));
    match technique {
        Technique::Stranded => {
            say(&format!(
                "Changed {} to break long floats. Longest float: {} needles.",
                stitches(changed),
                motif.longest_float()
            ));
        }
        Technique::Mosaic => {
            say(&format!("Changed {} to what mosaic can show. Each row is knitted twice.", stitches(changed)));
        }
        Technique::TwoBed => say("Each row takes 2 passes, one in each yarn."),
    }
    say(&format!("Knit a swatch of it before you design with it: latchwork swatch plan {}", word(name)));
}
