//! One workshop to a folder: the second is told where the first is.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

use latchwork_files::save;

/// A folder taken. The system gives it back when the program ends, however it ends.
#[derive(Debug)]
pub(crate) struct Only {
    _lock: File,
    address: PathBuf,
}

impl Only {
    /// Takes a folder.
    ///
    /// # Errors
    /// [`ErrorKind::ResourceBusy`] where a workshop of this folder is open, with its address; otherwise when the
    /// folder cannot be written.
    pub(crate) fn take(folder: &Path) -> std::io::Result<Only> {
        std::fs::create_dir_all(folder)?;
        let address = folder.join(".latchwork-open.address");
        let lock =
            OpenOptions::new().write(true).create(true).truncate(false).open(folder.join(".latchwork-open.lock"))?;
        match lock.try_lock() {
            // Some network drives have no locks; there a second workshop cannot be told.
            Ok(()) | Err(TryLockError::Error(_)) => {
                let _ = std::fs::remove_file(&address);
                Ok(Only { _lock: lock, address })
            }
            Err(TryLockError::WouldBlock) => {
                let at = std::fs::read_to_string(&address).unwrap_or_default();
                let at = if at.is_empty() { String::new() } else { format!(", at {}", at.trim()) };
                let told =
                    format!("The workshop of {} is open already{at}. Use that one, or end it first.", folder.display());
                Err(Error::new(ErrorKind::ResourceBusy, told))
            }
        }
    }

    /// Leaves word of the address for those who come later.
    pub(crate) fn at(&self, address: &str) {
        // Without it they are told that it is open, but not where.
        let _ = save(&self.address, address.as_bytes());
    }
}
