//! `card`: the card of a fabric for the owner's pattern device, drawn at the owner's own measures.

use std::path::{Path, PathBuf};

use clap::Args;

use latchwork::fabric::NotPunched;
use latchwork::picture::{CardMeasures, card as drawn};
use latchwork_files::{Writing, place_of};

use crate::Done;
use crate::report::{language, say};
use crate::swatch::fabric_named;

#[derive(Debug, Args)]
pub(crate) struct Card {
    /// The fabric: a built-in one, or one of the folder "fabrics".
    pub(crate) fabric: String,
    /// Needles after which the device selects the same again.
    #[arg(long, value_parser = clap::value_parser!(u32).range(2..=200))]
    pub(crate) width: u32,
    /// Millimetres from hole to hole in a row, measured on your card.
    #[arg(long, value_parser = millimetres)]
    pub(crate) across: f64,
    /// Millimetres from row to row.
    #[arg(long, value_parser = millimetres)]
    pub(crate) up: f64,
    /// Millimetres across a hole.
    #[arg(long, value_parser = millimetres)]
    pub(crate) hole: f64,
    /// Millimetres from the left and the right edge to the middle of the nearest hole.
    #[arg(long, num_args = 2, value_names = ["LEFT", "RIGHT"], value_parser = millimetres)]
    pub(crate) sides: Vec<f64>,
    /// Millimetres from the upper and the lower edge to the middle of the nearest row.
    #[arg(long, num_args = 2, value_names = ["TOP", "BOTTOM"], value_parser = millimetres)]
    pub(crate) ends: Vec<f64>,
    /// Rows from the one that is read to the line that shows at the edge of the reader.
    #[arg(long, value_parser = clap::value_parser!(u32).range(0..=40))]
    pub(crate) ahead: u32,
    /// Fewest rows of the card: the repeat is punched again and again until it has them.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=400))]
    pub(crate) rows: u32,
    /// Punch what would be left blank, and leave blank what would be punched.
    #[arg(long)]
    pub(crate) inverted: bool,
    /// The folder of the swatch book, beside which own fabrics are looked for.
    #[arg(long, default_value = "swatches")]
    pub(crate) book: PathBuf,
    /// The file to write. Default: card-FABRIC.svg.
    #[arg(long)]
    pub(crate) out: Option<PathBuf>,
}

/// A measure of a card.
fn millimetres(text: &str) -> Result<f64, String> {
    let read = text.trim().replace(',', ".").parse::<f64>().ok().filter(|v| (0.5..=200.0).contains(v));
    read.ok_or_else(|| "a measure in millimetres from 0.5 to 200, such as 4.5".to_string())
}

pub(crate) fn card(a: &Card) -> Done {
    match made(a) {
        Ok(()) => Done::Fine,
        Err(done) => done,
    }
}

fn made(a: &Card) -> Result<(), Done> {
    let fabric = fabric_named(&a.fabric, &a.book)?;
    let name = &fabric.name;
    let rows = fabric.punched(a.width, a.rows, a.inverted).map_err(|why| {
        Done::Usage(match why {
            NotPunched::NotDrawn => format!(
                "{name} is not selected needle by needle on the main bed alone, so there is no card for it. Its needles are moved by hand."
            ),
            NotPunched::Divides { repeat, width } => {
                let fits: Vec<String> = (1..=width).filter(|n| width.is_multiple_of(*n)).map(|n| n.to_string()).collect();
                format!(
                    "The repeat of {name} is {repeat} needles, and {width} is not a multiple of it. Draw it {} needles wide.",
                    one_of(&fits)
                )
            }
        })
    })?;
    let measures = CardMeasures {
        apart: (a.across, a.up),
        hole: a.hole,
        sides: (a.sides[0], a.sides[1]),
        ends: (a.ends[0], a.ends[1]),
        ahead: a.ahead,
    };
    if a.hole >= a.across.min(a.up) {
        return Err(Done::Usage(format!(
            "Holes of {} mm run into each other at {} mm by {} mm. Measure again, from middle to middle.",
            a.hole, a.across, a.up
        )));
    }
    let file = a
        .out
        .clone()
        .unwrap_or_else(|| Path::new(&format!("card-{}.svg", name.replace([' ', '\''], "-"))).to_path_buf());
    let failed = |e: std::io::Error| Done::Usage(format!("{} could not be written: {e}.", file.display()));
    let (folder, base) = place_of(&file).map_err(failed)?;
    let picture = drawn(&rows, &measures, language());
    Writing::begin(folder).and_then(|w| w.replace(base, picture.svg.as_bytes())).map_err(failed)?;
    let holes = rows.iter().flatten().filter(|h| **h).count();
    say(&format!(
        "Wrote {}: {} rows of {} places, {holes} to punch. Print it at 100% and check the line of 50 mm before you punch.",
        file.display(),
        rows.len(),
        a.width
    ));
    Ok(())
}

/// Figures as a choice.
fn one_of(figures: &[String]) -> String {
    match figures.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => figures.join(""),
    }
}
