//! A starter design.

use std::io::ErrorKind;
use std::path::Path;

use latchwork::text::quoted;
use latchwork_files::{Writing, place_of};

use crate::Done;
use crate::make::readable;
use crate::report::{say, word};

const STARTER: &str = include_str!("starter.kdl");

pub(crate) fn write(name: &str, from: Option<&Path>) -> Done {
    let stem = name.strip_suffix(".kdl").unwrap_or(name);
    let base = Path::new(stem).file_name().and_then(|n| n.to_str()).unwrap_or_default();
    if base.is_empty() {
        return Done::Usage("Give the design a name: latchwork new mittens".to_string());
    }
    let path = format!("{stem}.kdl");
    let title: String = {
        let mut chars = base.replace(['-', '_'], " ").chars().collect::<Vec<_>>();
        if let Some(first) = chars.first_mut() {
            *first = first.to_uppercase().next().unwrap_or(*first);
        }
        chars.into_iter().filter(|c| latchwork_print::printable(*c)).collect()
    };
    let title = if title.trim().is_empty() { "A new design" } else { &title };
    let text = match from.map(restated) {
        None => STARTER.replace("\"A new design\"", &quoted(title)),
        Some(Ok(text)) => text,
        Some(Err(done)) => return done,
    };
    let place = Path::new(&path);
    if let Err(done) = readable(place, &text) {
        return done;
    }
    let written = place_of(place).and_then(|(folder, name)| Writing::begin(folder)?.create(name, text.as_bytes()));
    match written {
        Ok(()) => {
            let next = if from.is_some() { "Give it your sizes" } else { "Put your swatch and sizes in" };
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
