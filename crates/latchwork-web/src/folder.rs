//! The folder of documents: designs, pass notes, and the swatches that they share.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use latchwork_files::Writing;

use crate::books::Books;
use crate::journal::Unkept;

/// The folder.
#[derive(Debug, Clone)]
pub(crate) struct Folder {
    pub(crate) root: PathBuf,
    /// The shared books as they were last read.
    pub(crate) books: Arc<Mutex<Option<Arc<Books>>>>,
}

/// Why a document could not be read or written.
#[derive(Debug)]
pub(crate) enum NotKept {
    /// There is none of this name, or it is not a document's name.
    Missing,
    /// It is not text, or too long.
    Unreadable,
    /// It could not be written; in the system's words.
    Unwritten(String),
    /// Somebody else changed it meanwhile.
    Changed,
    /// Another program holds the journal.
    Held,
}

impl From<Unkept> for NotKept {
    fn from(e: Unkept) -> NotKept {
        match e {
            Unkept::Held => NotKept::Held,
            Unkept::Failed(why) => NotKept::Unwritten(why),
        }
    }
}

impl Folder {
    pub(crate) fn new(root: PathBuf) -> Folder {
        Folder { root, books: Arc::default() }
    }

    /// A name is letters, figures, spaces, `-` and `_`, and one ending of ours: no path leads out of the folder.
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
    pub(crate) fn read(&self, name: &str) -> Result<String, NotKept> {
        text_of(&self.path(name).ok_or(NotKept::Missing)?)
    }

    /// Writes a document that must not be there yet.
    pub(crate) fn create(&self, name: &str, text: &str) -> Result<bool, NotKept> {
        self.path(name).ok_or(NotKept::Missing)?;
        fresh(&self.root, name, text.as_bytes())
    }

    /// Writes a document that is still `before`; another writer may have been quicker.
    pub(crate) fn write(&self, name: &str, before: &str, text: &str) -> Result<(), NotKept> {
        let told = |e: std::io::Error| NotKept::Unwritten(e.to_string());
        self.path(name).ok_or(NotKept::Missing)?;
        let writing = Writing::begin(&self.root).map_err(told)?;
        if self.read(name)? != before {
            return Err(NotKept::Changed);
        }
        writing.replace(name, text.as_bytes()).map_err(told)
    }

    /// Whether there is a document of this name.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.path(name).is_some_and(|p| p.exists())
    }
}

/// Writes a file that must not be there yet; false if it is.
pub(crate) fn fresh(folder: &Path, name: &str, bytes: &[u8]) -> Result<bool, NotKept> {
    match Writing::begin(folder).and_then(|w| w.create(name, bytes)) {
        Ok(()) => Ok(true),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Ok(false),
        Err(e) => Err(NotKept::Unwritten(e.to_string())),
    }
}

/// The text of a file, if it is one of ours.
pub(crate) fn text_of(path: &Path) -> Result<String, NotKept> {
    let meta = std::fs::metadata(path).map_err(|_| NotKept::Missing)?;
    if !meta.is_file() || meta.len() > latchwork::text::LARGEST as u64 {
        return Err(NotKept::Unreadable);
    }
    let bytes = std::fs::read(path).map_err(|_| NotKept::Unreadable)?;
    String::from_utf8(bytes).map_err(|_| NotKept::Unreadable)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests")]
mod tests {
    use super::*;

    /// Between reading a document and writing it another program may have been quicker.
    #[test]
    fn a_document_changed_meanwhile_is_not_written_over() {
        let root = tempfile::tempdir().unwrap();
        let folder = Folder::new(root.path().to_path_buf());
        assert!(folder.create("hat.kdl", "first").unwrap());
        assert!(!folder.create("hat.kdl", "second").unwrap(), "there is one of that name");
        std::fs::write(root.path().join("hat.kdl"), "theirs").unwrap();
        assert!(matches!(folder.write("hat.kdl", "first", "ours"), Err(NotKept::Changed)));
        assert_eq!(folder.read("hat.kdl").unwrap(), "theirs");
        folder.write("hat.kdl", "theirs", "ours").unwrap();
        assert_eq!(folder.read("hat.kdl").unwrap(), "ours");
        // Somebody else who writes in the folder is waited for.
        let writing = Writing::begin(root.path()).unwrap();
        std::thread::scope(|scope| {
            let page = scope.spawn(|| folder.write("hat.kdl", "ours", "later"));
            std::thread::sleep(std::time::Duration::from_millis(100));
            writing.replace("hat.kdl", b"theirs again").unwrap();
            drop(writing);
            assert!(matches!(page.join().unwrap(), Err(NotKept::Changed)));
        });
    }
}
