//! A design begun: from a starter, from pass notes, or a small one with every line explained.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use clap::Args;
use latchwork::measure::BUILT_IN;
use latchwork::notice::{Notice, nearest};
use latchwork::revise::{Asked, COUNTS, LeftOut, NotBegun, STARTERS, Starter};
use latchwork::text::quoted;
use latchwork::units::{Language, Mm, Tex};
use latchwork_files::{Writing, place_of};

use crate::Done;
use crate::make::readable;
use crate::report::{say, word};

const BLANK: &str = include_str!("starter.kdl");

#[derive(Debug, Args)]
pub(crate) struct New {
    /// A starter, or a name of your own; the file is NAME.kdl in this folder.
    name: String,
    /// What the file and the design are called instead.
    #[arg(long = "name", value_name = "NAME")]
    called: Option<String>,
    /// Start from pass notes: their swatches turn rows and needles into lengths and widths.
    #[arg(long, value_name = "NOTES")]
    from: Option<PathBuf>,
    /// The machine of a starter: fine, standard, mid or bulky.
    #[arg(long, value_name = "CLASS", conflicts_with = "from")]
    machine: Option<String>,
    /// A measure of one person, such as head-girth=57cm or head-girth=22.5in; repeatable. The design then has that one size.
    #[arg(long, value_name = "MEASURE=LENGTH", conflicts_with = "from", value_parser = measure)]
    measure: Vec<(String, Mm)>,
    /// What is chosen of what the starter leaves open, such as neck=V; repeatable.
    #[arg(long, value_name = "CHOICE=WHAT", conflicts_with = "from", value_parser = choice)]
    choose: Vec<(String, String)>,
    /// Only these sizes, by name, with commas between.
    #[arg(long, value_name = "NAME", value_delimiter = ',', conflicts_with_all = ["from", "measure"])]
    size: Vec<String>,
    /// The count of your yarn, in tex: grams of a kilometre. Default: the textbook's for the machine.
    #[arg(long, value_name = "TEX", conflicts_with = "from", value_parser = count)]
    tex: Option<f64>,
}

impl New {
    /// Whether something was asked for that only a starter has.
    fn for_a_starter(&self) -> bool {
        self.machine.is_some()
            || self.tex.is_some()
            || !(self.measure.is_empty() && self.choose.is_empty() && self.size.is_empty())
    }
}

/// The count of a yarn.
fn count(text: &str) -> Result<f64, String> {
    let tex = text.trim().replace(',', ".").parse::<f64>().ok().filter(|v| COUNTS.contains(v));
    tex.ok_or_else(|| "a count in tex, from 20 to 3000, such as 250: grams of a kilometre of the yarn".to_string())
}

/// A measure by its name.
fn measure(text: &str) -> Result<(String, Mm), String> {
    let wrong = || "a measure and its length, such as head-girth=57cm or head-girth=22.5in".to_string();
    let (name, length) = text.split_once('=').ok_or_else(wrong)?;
    let length = length.trim();
    let (number, factor) = [("cm", 10.0), ("mm", 1.0), ("in", 25.4), ("", 10.0)]
        .iter()
        .find_map(|(end, factor)| Some((length.strip_suffix(end)?.trim().replace(',', "."), *factor)))
        .ok_or_else(wrong)?;
    let mm = number.parse::<f64>().ok().map(|v| v * factor).filter(|v| (5.0..=3000.0).contains(v)).ok_or_else(wrong)?;
    Ok((name.trim().to_string(), Mm(mm)))
}

fn choice(text: &str) -> Result<(String, String), String> {
    let (name, value) = text.split_once('=').ok_or("a choice and what is chosen, such as neck=V")?;
    Ok((name.trim().to_string(), value.trim().to_string()))
}

/// What of the starters is listed.
#[derive(Debug, Args)]
pub(crate) struct List {
    /// Only these; otherwise all.
    starters: Vec<String>,
    /// Only their names, one a line.
    #[arg(long)]
    names: bool,
    /// Draw each in one size, flat and on its form, and write gallery.md and the pictures into this folder.
    #[arg(long, value_name = "DIR")]
    gallery: Option<PathBuf>,
}

/// The starters, with what they are.
pub(crate) fn list(a: &List) -> Done {
    let mut all: Vec<&Starter> = STARTERS.iter().collect();
    if !a.starters.is_empty() {
        match a.starters.iter().map(|name| Starter::find(name).ok_or(name)).collect() {
            Ok(asked) => all = asked,
            Err(name) => return Done::Usage(unknown(name)),
        }
    }
    if let Some(folder) = &a.gallery {
        return crate::gallery::write(&all, folder);
    }
    for s in all {
        if a.names {
            say(s.name);
        } else {
            say(&format!("{}\n    {}", s.name, s.head("summary")));
            for (name, among) in s.choices() {
                say(&format!("    {name}: {}", among.join(", ")));
            }
        }
    }
    if !a.names {
        say("\nlatchwork new cowl begins one: a design document in this folder, yours to change.");
    }
    Done::Fine
}

fn unknown(name: &str) -> String {
    let near = nearest(name, STARTERS.iter().map(|s| s.name));
    let near = near.map_or(String::new(), |n| format!(" Did you mean {n}?"));
    format!("There is no starter {name}.{near} `latchwork starters` lists them.")
}

/// A title made of a name.
fn title_of(name: &str) -> String {
    let mut chars = name.replace(['-', '_'], " ").chars().collect::<Vec<_>>();
    if let Some(first) = chars.first_mut() {
        *first = first.to_uppercase().next().unwrap_or(*first);
    }
    let title: String = chars.into_iter().filter(|c| latchwork_print::printable(*c)).collect();
    if title.trim().is_empty() { "A new design".to_string() } else { title }
}

/// A finding in one paragraph.
fn in_words(notice: &Notice) -> String {
    let told = notice.told(Language::English);
    [told.message, told.why].into_iter().chain(told.hints).filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" ")
}

fn not_begun(starter: &Starter, no: &NotBegun) -> String {
    match no {
        NotBegun::NoChoice { name, known } if known.is_empty() => {
            format!("{} leaves nothing open to choose: there is no \"{name}\".", starter.name)
        }
        NotBegun::NoChoice { name, known } => {
            format!("There is no \"{name}\" to choose. There are: {}.", known.join(", "))
        }
        NotBegun::NoMeasure { name, near: Some(near), .. } => {
            format!("{} is not drafted from {name}. Did you mean {near}?", starter.name)
        }
        NotBegun::NoMeasure { name, known, .. } => {
            format!("{} is not drafted from {name}, but from: {}.", starter.name, known.join(", "))
        }
        NotBegun::NotASize { name, known } => {
            format!("There is no size {name}. {} has: {}.", starter.name, known.join(", "))
        }
        NotBegun::NoSize(why) => format!("No size of it knits on this machine. {}", in_words(why)),
        NotBegun::Faulty(notices) => notices.iter().map(in_words).collect::<Vec<_>>().join("\n"),
    }
}

pub(crate) fn write(a: &New) -> Done {
    let name = a.called.as_deref().unwrap_or(&a.name);
    let stem = name.strip_suffix(".kdl").unwrap_or(name);
    let base = Path::new(stem).file_name().and_then(|n| n.to_str()).unwrap_or_default();
    if base.is_empty() {
        return Done::Usage("Give the design a name: latchwork new mittens".to_string());
    }
    let path = format!("{stem}.kdl");
    let (text, next) = match (&a.from, Starter::find(&a.name)) {
        (Some(from), _) => match restated(from) {
            Ok(text) => (text, "Give it your sizes"),
            Err(done) => return done,
        },
        (None, Some(starter)) => {
            let class = a.machine.as_deref().unwrap_or("standard");
            let Some(class) = BUILT_IN.iter().find(|m| m.name == class) else {
                return Done::Usage(format!("There is no machine {class}. `latchwork machines` lists them."));
            };
            let title = a.called.as_ref().map(|_| title_of(base));
            match starter.begun(&Asked {
                title,
                class,
                chosen: &a.choose,
                person: &a.measure,
                sizes: &a.size,
                tex: a.tex.map(Tex),
            }) {
                Ok(begun) => {
                    if let Some(LeftOut { sizes, why }) = &begun.left_out {
                        say(&format!("Left out for this machine: {}. {}", sizes.join(", "), in_words(why)));
                    }
                    (begun.text, "Put your swatches in")
                }
                Err(no) => return Done::Usage(not_begun(starter, &no)),
            }
        }
        (None, None) if a.for_a_starter() => {
            return Done::Usage(unknown(&a.name));
        }
        (None, None) => {
            if let Some(near) = nearest(&a.name, STARTERS.iter().map(|s| s.name)) {
                say(&format!(
                    "{} is no starter; {near} is one. This is a small design with every line explained.",
                    a.name
                ));
            }
            (BLANK.replace("\"A new design\"", &quoted(&title_of(base))), "Put your swatch and sizes in")
        }
    };
    let place = Path::new(&path);
    if let Err(done) = readable(place, &text) {
        return done;
    }
    let written = place_of(place).and_then(|(folder, name)| Writing::begin(folder)?.create(name, text.as_bytes()));
    match written {
        Ok(()) => {
            say(&format!("Wrote {path}. {next}, then: latchwork make {}", word(&path)));
            Done::Fine
        }
        Err(e) if e.kind() == ErrorKind::AlreadyExists => {
            Done::Usage(format!("{path} already exists; nothing was changed. Choose another name."))
        }
        Err(e) => Done::Usage(format!("{path} could not be written: {e}.")),
    }
}

/// The design that pass notes amount to.
fn restated(from: &Path) -> Result<String, Done> {
    let read = crate::make::read_notes(from)?;
    let left = latchwork::notes::not_carried(&read.0, &read.1);
    if !left.is_empty() {
        crate::report::tell_line(&format!(
            "A design has no words for these lines; they are kept as comments: {}.",
            left.join("; ")
        ));
    }
    Ok(latchwork::notes::restated(&read.0, &read.1))
}
