//! A starter design.

use std::io::Write;
use std::path::Path;

use crate::Done;
use crate::report::say;

const STARTER: &str = include_str!("starter.kdl");

pub(crate) fn write(name: &str) -> Done {
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
        chars.into_iter().filter(|c| latchwork_print::printable(*c) && !['"', '\\'].contains(c)).collect()
    };
    let file = std::fs::OpenOptions::new().write(true).create_new(true).open(&path);
    match file.and_then(|mut f| {
        f.write_all(
            STARTER.replace("A new design", if title.trim().is_empty() { "A new design" } else { &title }).as_bytes(),
        )
    }) {
        Ok(()) => {
            say(&format!("Wrote {path}. Put your swatch and sizes in, then: latchwork make {path}"));
            Done::Fine
        }
        Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {
            Done::Usage(format!("There is already a {path}; nothing was changed. Choose another name."))
        }
        Err(e) => Done::Usage(format!("{path} could not be written: {e}")),
    }
}
