//! What was worked out before, on the disk: found by its content, bounded, safe to delete, made again when damaged.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use latchwork_files::save;

/// A folder of things kept by what they follow from. Nothing in it is needed: what is not found is made again, and
/// where the folder cannot be used, nothing is kept.
#[derive(Debug, Clone)]
pub struct Store {
    folder: Option<PathBuf>,
    /// This very program: what another one made is not trusted.
    program: String,
    most: u64,
}

/// Most bytes kept.
const MOST: u64 = 96 << 20;
/// What every file kept begins with.
const MARK: &[u8; 8] = b"latchw1\n";

impl Store {
    /// The folder that the platform has for such things, by the variables `XDG_CACHE_HOME`, `LOCALAPPDATA` or `HOME`.
    #[must_use]
    pub fn of_platform() -> Store {
        let var = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
        let home = |below: &str| var("HOME").map(|h| h.join(below));
        let usual = if cfg!(target_os = "macos") { home("Library/Caches") } else { home(".cache") };
        let folder = var("XDG_CACHE_HOME").or_else(|| var("LOCALAPPDATA")).or(usual);
        Store { folder: folder.map(|f| f.join("latchwork")), program: program(), most: MOST }
    }

    /// A folder of the caller's own, with at most this many bytes.
    #[must_use]
    pub fn at(folder: &Path, most: u64) -> Store {
        Store { folder: Some(folder.to_path_buf()), program: program(), most }
    }

    fn path(&self, name: &[u8]) -> Option<PathBuf> {
        Some(self.folder.as_ref()?.join(format!("{:032x}", digest([self.program.as_bytes(), name]))))
    }

    /// What is kept under a name; none where there is nothing, or it is damaged.
    #[must_use]
    pub fn find(&self, name: impl AsRef<[u8]>) -> Option<Vec<u8>> {
        let path = self.path(name.as_ref())?;
        let bytes = std::fs::read(&path).ok()?;
        let (head, kept) = bytes.split_at_checked(MARK.len() + 16)?;
        let whole = head.starts_with(MARK) && head.ends_with(&digest([kept]).to_le_bytes());
        if whole {
            // Marked as used now: what has gone unused longest goes first.
            let used = std::fs::File::options().append(true).open(&path);
            let _ = used.and_then(|f| f.set_modified(SystemTime::now()));
        }
        whole.then(|| kept.to_vec())
    }

    /// Keeps something under a name, if the folder can be used; what has gone unused longest makes room.
    pub fn keep(&self, name: impl AsRef<[u8]>, bytes: &[u8]) {
        let (Some(folder), Some(path)) = (&self.folder, self.path(name.as_ref())) else { return };
        if bytes.len() as u64 > self.most / 4 || std::fs::create_dir_all(folder).is_err() {
            return;
        }
        let whole = [MARK.as_slice(), &digest([bytes]).to_le_bytes(), bytes].concat();
        // What cannot be kept is made again.
        let _ = save(&path, &whole);
        self.make_room(folder);
    }

    fn make_room(&self, folder: &Path) {
        let Ok(entries) = std::fs::read_dir(folder) else { return };
        let ours = |e: &std::fs::DirEntry| {
            let name = e.file_name();
            let stem = name.to_str().and_then(|n| n.get(..32));
            stem.is_some_and(|s| s.bytes().all(|b| b.is_ascii_hexdigit()))
        };
        let entries = entries.flatten().filter(ours);
        let mut files: Vec<(SystemTime, u64, PathBuf)> = entries
            .filter_map(|e| {
                let about = e.metadata().ok().filter(std::fs::Metadata::is_file)?;
                Some((about.modified().ok()?, about.len(), e.path()))
            })
            .collect();
        let mut all: u64 = files.iter().map(|f| f.1).sum();
        if all <= self.most {
            return;
        }
        files.sort();
        for (_, bytes, path) in files {
            if all <= self.most / 4 * 3 {
                break;
            }
            if std::fs::remove_file(path).is_ok() {
                all -= bytes;
            }
        }
    }
}

/// The version, and what tells one build of it from another.
fn program() -> String {
    let built = std::env::current_exe().and_then(std::fs::metadata);
    let built = built.and_then(|about| Ok((about.len(), about.modified()?)));
    format!("{} {built:?}\n", env!("CARGO_PKG_VERSION"))
}

/// FNV-1a of 128 bits: for telling contents apart and for damage, not against an attacker.
fn digest<const N: usize>(parts: [&[u8]; N]) -> u128 {
    let bytes = parts.into_iter().flatten();
    bytes.fold(0x6c62_272e_07bb_0142_62b8_2175_6295_c58d, |h: u128, b| {
        (h ^ u128::from(*b)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]

    use super::{MOST, Store};

    fn files(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
        std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect()
    }

    #[test]
    fn what_is_kept_is_found_until_it_is_damaged() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::at(folder.path(), MOST);
        store.keep("a", b"first");
        store.keep("b", b"second");
        store.keep("a", b"third");
        assert_eq!(store.find("a").as_deref(), Some(&b"third"[..]));
        assert_eq!(store.find("c"), None);
        assert_eq!(files(folder.path()).len(), 2, "nothing is left beside");
        for path in files(folder.path()) {
            let whole = std::fs::read(&path).unwrap();
            for at in 0..whole.len() {
                let mut bad = whole.clone();
                bad[at] ^= 1;
                std::fs::write(&path, &bad).unwrap();
                let found = [store.find("a"), store.find("b")];
                assert_eq!(found.iter().flatten().count(), 1, "one bit at {at} is noticed");
                std::fs::write(&path, &whole[..at]).unwrap();
                assert_eq!([store.find("a"), store.find("b")].iter().flatten().count(), 1, "cut at {at}");
            }
            std::fs::write(&path, &whole).unwrap();
        }
    }

    #[test]
    fn it_stays_under_its_bound_and_leaves_other_files_alone() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("notes.txt"), [0; 4000]).unwrap();
        let store = Store::at(folder.path(), 10_000);
        store.keep("used", &[7; 1000]);
        for n in 0..60 {
            store.keep(n.to_string(), &[1; 1000]);
            std::thread::sleep(std::time::Duration::from_millis(5));
            assert!(store.find("used").is_some(), "what is used stays");
            let kept = files(folder.path()).into_iter().filter(|p| !p.ends_with("notes.txt"));
            assert!(kept.map(|p| p.metadata().unwrap().len()).sum::<u64>() <= 10_000);
        }
        assert!(store.find("0").is_none() && store.find("59").is_some(), "the oldest makes room");
        store.keep("large", &[1; 5000]);
        assert!(store.find("large").is_none(), "nothing takes most of the room");
        assert!(folder.path().join("notes.txt").exists());
    }
}
