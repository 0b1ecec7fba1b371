//! The folder of documents: designs, pass notes, and the swatches that they share.

use std::io::Write;
use std::path::{Path, PathBuf};

/// The folder.
#[derive(Debug, Clone)]
pub(crate) struct Folder {
    pub(crate) root: PathBuf,
}

/// Why a document could not be read or written.
#[derive(Debug)]
pub(crate) enum Fault {
    /// There is none of this name, or the name is none.
    Missing,
    /// It is no text, or too long.
    Unreadable,
    /// It could not be written; in the system's words.
    Unwritten(String),
}

impl Folder {
    pub(crate) fn new(root: PathBuf) -> Folder {
        Folder { root }
    }

    /// A name is letters, figures, blanks, `-` and `_`, and one ending of ours: no path leads out of the folder.
    pub(crate) fn path(&self, name: &str) -> Option<PathBuf> {
        let (stem, end) = name.rsplit_once('.')?;
        let fine = |c: char| c.is_alphanumeric() || "-_ ".contains(c);
        let ours = end == "kdl" || end == "notes";
        (ours && !stem.is_empty() && stem.len() < 200 && stem.chars().all(fine) && !stem.starts_with(' '))
            .then(|| self.root.join(name))
    }

    /// The documents, by name.
    pub(crate) fn names(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&self.root) else { return Vec::new() };
        let mut names: Vec<String> =
            entries.filter_map(|e| e.ok()?.file_name().into_string().ok()).filter(|n| self.path(n).is_some()).collect();
        names.sort();
        names
    }

    /// A document's text.
    pub(crate) fn read(&self, name: &str) -> Result<String, Fault> {
        text_of(&self.path(name).ok_or(Fault::Missing)?)
    }

    /// Writes a document that must not be there yet.
    pub(crate) fn create(&self, name: &str, text: &str) -> Result<bool, Fault> {
        let path = self.path(name).ok_or(Fault::Missing)?;
        let made = std::fs::OpenOptions::new().write(true).create_new(true).open(&path);
        match made.and_then(|mut f| f.write_all(text.as_bytes()).and_then(|()| f.sync_all())) {
            Ok(()) => Ok(true),
            Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => Ok(false),
            Err(e) => Err(Fault::Unwritten(e.to_string())),
        }
    }

    /// Writes a document: beside its place first, on the disk, then into it, so that a half-written one is never found.
    pub(crate) fn write(&self, name: &str, text: &str) -> Result<(), Fault> {
        let path = self.path(name).ok_or(Fault::Missing)?;
        save(&path, text.as_bytes()).map_err(|e| Fault::Unwritten(e.to_string()))
    }

    /// Whether there is a document of this name.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.path(name).is_some_and(|p| p.exists())
    }
}

/// The text of a file, if it is one of ours.
pub(crate) fn text_of(path: &Path) -> Result<String, Fault> {
    let meta = std::fs::metadata(path).map_err(|_| Fault::Missing)?;
    if !meta.is_file() || meta.len() > latchwork::text::LARGEST as u64 {
        return Err(Fault::Unreadable);
    }
    let bytes = std::fs::read(path).map_err(|_| Fault::Unreadable)?;
    String::from_utf8(bytes).map_err(|_| Fault::Unreadable)
}

/// Writes a file: beside its place first, on the disk, then into it, so that a half-written one is never found.
///
/// # Errors
/// When the system will not; then the place is as it was.
pub fn save(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(".part");
    let done = std::fs::File::create(&beside)
        .and_then(|mut f| f.write_all(bytes).and_then(|()| f.sync_all()))
        .and_then(|()| std::fs::rename(&beside, path));
    // The folder's own entry is put on the disk too, where the system lets a folder be opened.
    if let Some(folder) = path.parent().filter(|_| done.is_ok())
        && let Ok(folder) = std::fs::File::open(folder)
    {
        let _ = folder.sync_all();
    }
    if done.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
    done
}
