//! The files of a proven design besides its handout, and file names.

use super::{plan, rehearsal};
use crate::check::Proven;
use crate::picture::{diagram, schematic};
use crate::wording::{Language, piece};

/// A name made fit for a file.
#[must_use]
pub fn tidy(name: &str) -> String {
    let kept: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let parts: Vec<&str> = kept.split('-').filter(|p| !p.is_empty()).collect();
    if parts.is_empty() { "design".to_string() } else { parts.join("-").to_lowercase() }
}

/// A name made fit for a file and not taken yet, ignoring case.
pub fn fresh(taken: &mut Vec<String>, name: &str) -> String {
    let base = tidy(name);
    let mut name = base.clone();
    let mut n = 2;
    while taken.contains(&name) {
        name = format!("{base}-{n}");
        n += 1;
    }
    taken.push(name.clone());
    name
}

/// Plan and rehearsal, the schematic, and the needles of each piece in the middle size, by name.
#[must_use]
pub fn files(proven: &Proven) -> Vec<(String, String)> {
    let t = proven.design().show.language;
    let (design, sizes) = (proven.design(), proven.sizes());
    let stitches: Vec<_> = sizes.iter().map(|s| &s.stitches).collect();
    let mut files = vec![
        ("plan.json".to_string(), plan(design, sizes)),
        ("rehearsal.json".to_string(), rehearsal(design, sizes)),
        ("schematic.svg".to_string(), schematic(design, &stitches).svg),
    ];
    let mut taken = Vec::new();
    for p in sizes.get(sizes.len() / 2).iter().flat_map(|s| &s.plans.pieces) {
        if let Some(picture) = diagram(&p.plan, t) {
            files.push((format!("needles-{}.svg", fresh(&mut taken, &piece(&p.name, Language::English))), picture.svg));
        }
    }
    files
}
