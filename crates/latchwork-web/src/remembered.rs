//! What this machine remembers of a folder, outside the folder: on which port it is open, and which devices were
//! paired. Whoever copies the folder, or gives its files away, gives away no key to it.

use std::path::{Path, PathBuf};
use std::sync::Mutex;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use latchwork_files::save;

use crate::shared::unpoisoned;

/// A device that was paired. Of its key only the mark is kept, from which it cannot be found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Device {
    /// What it said of itself.
    pub(crate) name: String,
    /// When it was paired: milliseconds since 1970.
    pub(crate) since: i64,
    /// SHA-256 of its key (FIPS 180-4), in hexadecimal.
    pub(crate) mark: String,
}

#[derive(Debug, Default, Serialize, Deserialize)]
struct Kept {
    port: Option<u16>,
    #[serde(default)]
    devices: Vec<Device>,
}

/// What is remembered of one folder.
#[derive(Debug)]
pub(crate) struct Remembered {
    /// None where the platform has no place for it: then all is forgotten with the program.
    place: Option<PathBuf>,
    kept: Mutex<Kept>,
}

/// The folder that the platform has for what programs remember, by `XDG_STATE_HOME`, `LOCALAPPDATA` or `HOME`.
fn of_platform() -> Option<PathBuf> {
    let var = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let below = if cfg!(target_os = "macos") { "Library/Application Support" } else { ".local/state" };
    let usual = var("HOME").map(|h| h.join(below));
    var("XDG_STATE_HOME").or_else(|| var("LOCALAPPDATA")).or(usual).map(|f| f.join("latchwork"))
}

/// Makes a folder that only its owner may look into.
fn private(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn mark(key: &str) -> String {
    Sha256::digest(key.as_bytes()).iter().map(|b| format!("{b:02x}")).collect()
}

impl Remembered {
    /// What is remembered of the folder of this name.
    pub(crate) fn of(folder: &str) -> Remembered {
        Remembered::at(of_platform().filter(|p| private(p).is_ok()), folder)
    }

    /// For a folder of which nothing is kept.
    #[cfg(test)]
    pub(crate) fn nowhere() -> Remembered {
        Remembered::at(None, "")
    }

    fn at(place: Option<PathBuf>, folder: &str) -> Remembered {
        let place = place.map(|p| p.join(format!("{folder}.json")));
        let read = place.as_ref().and_then(|p| serde_json::from_slice(&std::fs::read(p).ok()?).ok());
        Remembered { place, kept: Mutex::new(read.unwrap_or_default()) }
    }

    fn change(&self, change: impl FnOnce(&mut Kept)) {
        let mut kept = unpoisoned(&self.kept);
        change(&mut kept);
        if let (Some(place), Ok(text)) = (&self.place, serde_json::to_vec_pretty(&*kept)) {
            // Where it cannot be written, devices are paired again after a restart.
            let _ = save(place, &text);
        }
    }

    /// The folder that all of it is kept in.
    pub(crate) fn place(&self) -> Option<&Path> {
        self.place.as_deref()?.parent()
    }

    /// The port on which the folder was first open.
    pub(crate) fn port(&self) -> Option<u16> {
        unpoisoned(&self.kept).port
    }

    /// Remembers the port, unless another is remembered.
    pub(crate) fn at_port(&self, port: u16) {
        if self.port().is_none() {
            self.change(|k| k.port = Some(port));
        }
    }

    /// The devices that were paired, in order.
    pub(crate) fn devices(&self) -> Vec<Device> {
        unpoisoned(&self.kept).devices.clone()
    }

    /// Remembers a device by its key.
    pub(crate) fn pair(&self, key: &str, name: &str, since: i64) {
        self.change(|k| k.devices.push(Device { name: name.to_string(), since, mark: mark(key) }));
    }

    /// Whether a key is that of a paired device.
    pub(crate) fn knows(&self, key: &str) -> bool {
        let mark = mark(key);
        unpoisoned(&self.kept).devices.iter().any(|d| d.mark == mark)
    }

    /// Takes a pairing back, by its mark.
    pub(crate) fn take_back(&self, mark: &str) {
        self.change(|k| k.devices.retain(|d| d.mark != mark));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// "abc" is the first example of FIPS 180-4.
    #[test]
    fn a_mark_is_the_standards_digest() {
        assert_eq!(mark("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn pairings_outlive_a_restart_hashed_and_are_taken_back_one_by_one() {
        let place = tempfile::tempdir().unwrap();
        let at = || Remembered::at(Some(place.path().to_path_buf()), "folder");
        let first = at();
        first.at_port(4000);
        first.at_port(4001);
        first.pair("key of one", "tablet", 1);
        first.pair("key of two", "phone", 2);
        let again = at();
        assert_eq!(again.port(), Some(4000), "the first one stays");
        assert!(again.knows("key of one") && again.knows("key of two") && !again.knows("key of three"));
        let text = std::fs::read_to_string(place.path().join("folder.json")).unwrap();
        assert!(!text.contains("key of"), "{text}");
        again.take_back(&again.devices()[0].mark);
        let last = at();
        assert!(!last.knows("key of one") && last.knows("key of two"));
        assert!(!Remembered::at(Some(place.path().to_path_buf()), "other").knows("key of two"), "of one folder only");
    }
}
