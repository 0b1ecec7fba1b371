//! Documents put away, taken back, copied, and the examples: nothing here overwrites a file or throws one away.

use std::path::Path;

use latchwork::notice::Notices;
use latchwork::record::tidy;
use latchwork::text::{self, Tree, Written};
use latchwork_files::Writing;

use crate::folder::{Folder, NotKept, fresh, text_of};

/// Where documents that are put away go.
pub(crate) const AWAY: &str = "put-away";

/// What a document says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Listed {
    /// Its file.
    pub(crate) file: String,
    /// Its title; the file's name where it has none.
    pub(crate) title: String,
    /// One line about it; may be empty.
    pub(crate) summary: String,
}

impl Listed {
    pub(crate) fn of(file: &str, source: &str) -> Listed {
        let tree = text::read(source, &mut Notices::default());
        let said =
            |tree: &Tree, word: &str| match &tree.nodes.iter().find(|n| n.name == word)?.arguments.first()?.written {
                Written::Text(t) if !t.trim().is_empty() => Some(t.clone()),
                _ => None,
            };
        Listed {
            file: file.to_string(),
            title: said(&tree, "title").unwrap_or_else(|| file.to_string()),
            summary: said(&tree, "summary").unwrap_or_default(),
        }
    }
}

/// An example, and the shared swatches that it needs.
struct Example {
    file: &'static str,
    text: &'static str,
    swatches: Option<(&'static str, &'static str)>,
}

const EXAMPLES: [Example; 12] = [
    Example { file: "deck-hat.kdl", text: include_str!("../../../designs/deck-hat.kdl"), swatches: None },
    Example { file: "wrist-warmers.kdl", text: include_str!("../../../designs/wrist-warmers.kdl"), swatches: None },
    Example {
        file: "tiller-mitts.kdl",
        text: include_str!("../../../designs/tiller-mitts.kdl"),
        swatches: Some(("pilot-sock.kdl", include_str!("../../../designs/swatches/pilot-sock.kdl"))),
    },
    Example { file: "scarf.kdl", text: include_str!("../../../designs/scarf.kdl"), swatches: None },
    Example { file: "tide-cowl.kdl", text: include_str!("../../../designs/tide-cowl.kdl"), swatches: None },
    Example { file: "mist-scarf.kdl", text: include_str!("../../../designs/mist-scarf.kdl"), swatches: None },
    Example { file: "berth-cushion.kdl", text: include_str!("../../../designs/berth-cushion.kdl"), swatches: None },
    Example { file: "beacon-cap.kdl", text: include_str!("../../../designs/beacon-cap.kdl"), swatches: None },
    Example { file: "sea-boot-socks.kdl", text: include_str!("../../../designs/sea-boot-socks.kdl"), swatches: None },
    Example { file: "deck-sweater.kdl", text: include_str!("../../../designs/deck-sweater.kdl"), swatches: None },
    Example { file: "lookout-cap.kdl", text: include_str!("../../../designs/lookout-cap.kdl"), swatches: None },
    Example { file: "ladder-cuff.notes", text: include_str!("../../../designs/ladder-cuff.notes"), swatches: None },
];

fn unwritten(e: &std::io::Error) -> NotKept {
    NotKept::Unwritten(e.to_string())
}

/// Names like one, until one is free; `put` says whether it took the name.
fn first_free(stem: &str, end: &str, mut put: impl FnMut(&str) -> Result<bool, NotKept>) -> Result<String, NotKept> {
    for n in 1..1000 {
        let name = if n == 1 { format!("{stem}.{end}") } else { format!("{stem}-{n}.{end}") };
        if put(&name)? {
            return Ok(name);
        }
    }
    Err(NotKept::Missing)
}

impl Folder {
    /// Every document with what it says of itself.
    pub(crate) fn listed(&self) -> Vec<Listed> {
        self.names().iter().map(|n| Listed::of(n, &self.read(n).unwrap_or_default())).collect()
    }

    /// The examples that are neither here nor put away.
    fn absent(&self) -> impl Iterator<Item = &'static Example> {
        EXAMPLES.iter().filter(|e| !self.has(e.file) && !self.is_away(e.file))
    }

    /// The examples that can be put here.
    pub(crate) fn offered(&self) -> Vec<Listed> {
        self.absent().map(|e| Listed::of(e.file, e.text)).collect()
    }

    /// Puts examples here, one or all, with the swatches that they need; what is here already stays as it is.
    pub(crate) fn put_examples(&self, one: Option<&str>) -> Result<(), NotKept> {
        for e in self.absent().filter(|e| one.is_none_or(|one| one == e.file)) {
            self.create(e.file, e.text)?;
            if let Some((name, text)) = e.swatches {
                let swatches = self.root.join("swatches");
                std::fs::create_dir_all(&swatches).map_err(|e| unwritten(&e))?;
                fresh(&swatches, name, text.as_bytes())?;
            }
        }
        Ok(())
    }

    /// Writes a new document under a name made from its title, and gives the name.
    pub(crate) fn begin(&self, title: &str, end: &str, text: &str) -> Result<String, NotKept> {
        let stem = tidy(title);
        // A name has a limit in bytes, whatever its letters.
        let mut most = stem.len().min(80);
        while !stem.is_char_boundary(most) {
            most -= 1;
        }
        // What was counted at the machine goes by the name: one that was put away keeps its own.
        first_free(&stem[..most], end, |name| Ok(!self.is_away(name) && self.create(name, text)?))
    }

    fn is_away(&self, name: &str) -> bool {
        self.root.join(AWAY).join(name).exists()
    }

    /// Puts a document away; it is kept, and can be taken back.
    pub(crate) fn put_away(&self, name: &str) -> Result<String, NotKept> {
        let (from, away) = (self.path(name).ok_or(NotKept::Missing)?, self.root.join(AWAY));
        std::fs::create_dir_all(&away).map_err(|e| unwritten(&e))?;
        moved(&from, &away, name)
    }

    /// The documents that were put away.
    pub(crate) fn away(&self) -> Vec<Listed> {
        let Ok(entries) = std::fs::read_dir(self.root.join(AWAY)) else { return Vec::new() };
        let mut names: Vec<String> =
            entries.filter_map(|e| e.ok()?.file_name().into_string().ok()).filter(|n| self.path(n).is_some()).collect();
        names.sort();
        let text = |n: &String| text_of(&self.root.join(AWAY).join(n)).unwrap_or_default();
        names.iter().map(|n| Listed::of(n, &text(n))).collect()
    }

    /// Takes a document back; under another name where its own is taken.
    pub(crate) fn take_back(&self, name: &str) -> Result<String, NotKept> {
        // The name is checked as every other is.
        self.path(name).ok_or(NotKept::Missing)?;
        moved(&self.root.join(AWAY).join(name), &self.root, name)
    }
}

/// Moves a file into a folder, under a name like its own that is free there: written there first, then taken from here.
fn moved(from: &Path, to: &Path, name: &str) -> Result<String, NotKept> {
    // Nobody writes here between the reading and the taking.
    let _here = from.parent().map(Writing::begin).transpose().map_err(|e| unwritten(&e))?;
    let bytes = std::fs::read(from).map_err(|_| NotKept::Missing)?;
    let (stem, end) = name.rsplit_once('.').ok_or(NotKept::Missing)?;
    let name = first_free(stem, end, |name| fresh(to, name, &bytes))?;
    std::fs::remove_file(from).map_err(|e| unwritten(&e))?;
    Ok(name)
}
