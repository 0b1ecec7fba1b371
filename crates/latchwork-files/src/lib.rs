//! Edge: the one way to write files. Whoever writes into a folder holds its lock. A file is the old one or the new one,
//! never half of either, and so is a set of files that belong together.

use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// How long a writer waits for another to finish, and how often it looks.
const PATIENCE: Duration = Duration::from_secs(30);
const GLANCE: Duration = Duration::from_millis(5);

/// Stands in for the lock of a folder that cannot itself be locked.
const LOCK: &str = ".latchwork-lock";
/// Names the files of a set that wait to be put into their places.
const SET: &str = ".latchwork-set";
/// What the names of files that are not in their places yet begin and end with.
const BEGINS: &str = ".latchwork-";
const ENDS: &str = ".part";

/// A folder that no other writer of ours writes into until this is dropped.
#[derive(Debug)]
pub struct Writing {
    folder: PathBuf,
    /// Held for its lock; none where the file system knows no locks.
    _lock: Option<File>,
}

impl Writing {
    /// Takes the folder's lock, and finishes or clears away what an interrupted writer left.
    ///
    /// # Errors
    /// When there is no such folder, or another writer keeps it for half a minute.
    pub fn begin(folder: &Path) -> io::Result<Writing> {
        let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_path_buf() };
        let writing = Writing { _lock: lock(&folder)?, folder };
        writing.finish_set()?;
        writing.clear();
        Ok(writing)
    }

    /// Writes a file in place of the one of its name, if there is one.
    ///
    /// # Errors
    /// When the system refuses; then the place is as it was.
    pub fn replace(&self, name: impl AsRef<OsStr>, bytes: &[u8]) -> io::Result<()> {
        let place = self.folder.join(name.as_ref());
        let beside = self.beside(bytes, &place)?;
        fs::rename(&beside, place).inspect_err(|_| drop(fs::remove_file(&beside)))?;
        self.settle();
        Ok(())
    }

    /// Writes a file under a name that must be free.
    ///
    /// # Errors
    /// [`ErrorKind::AlreadyExists`] when there is one, or when the system refuses; then the place is as it was.
    pub fn create(&self, name: impl AsRef<OsStr>, bytes: &[u8]) -> io::Result<()> {
        let place = self.folder.join(name.as_ref());
        if place.symlink_metadata().is_ok() {
            return Err(ErrorKind::AlreadyExists.into());
        }
        let beside = self.beside(bytes, &place)?;
        // A second name for it never takes another's place, but not every file system has second names.
        let done = match fs::hard_link(&beside, &place) {
            Err(e) if e.kind() != ErrorKind::AlreadyExists && place.symlink_metadata().is_err() => {
                fs::rename(&beside, &place)
            }
            linked => linked,
        };
        let _ = fs::remove_file(&beside);
        done?;
        self.settle();
        Ok(())
    }

    /// Writes files that belong together, each in place of the one of its name. All are on the disk before the first is
    /// put into its place; the next writer finishes a set that is interrupted then.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn replace_all(&self, files: &[(String, Vec<u8>)]) -> io::Result<()> {
        let mut waiting: Vec<PathBuf> = Vec::new();
        let ready = files.iter().try_for_each(|(name, bytes)| {
            let place = self.folder.join(name);
            if !plain(name) {
                return Err(io::Error::new(ErrorKind::InvalidInput, format!("{name} is no name of a file")));
            }
            if place.is_dir() {
                return Err(io::Error::new(ErrorKind::IsADirectory, format!("{name} is a folder")));
            }
            waiting.push(self.beside(bytes, &place)?);
            Ok(())
        });
        let names = waiting.iter().map(|w| w.file_name().and_then(OsStr::to_str).unwrap_or_default());
        let list: String = names.zip(files).map(|(w, (name, _))| format!("{w} {name}\n")).collect();
        let listed = ready.and_then(|()| self.replace(SET, list.as_bytes()));
        if listed.is_err() {
            waiting.iter().for_each(|w| drop(fs::remove_file(w)));
            return listed;
        }
        self.finish_set()
    }

    /// Puts the files of a set into their places, if one was listed.
    fn finish_set(&self) -> io::Result<()> {
        let list = self.folder.join(SET);
        if !is_own_file(&list) {
            return Ok(());
        }
        for (waiting, name) in fs::read_to_string(&list)?.lines().filter_map(|l| l.split_once(' ')) {
            let beside = self.folder.join(waiting);
            if is_unplaced(waiting) && plain(name) && is_own_file(&beside) {
                fs::rename(beside, self.folder.join(name)).map_err(|e| {
                    io::Error::new(
                        e.kind(),
                        format!("{name} of a set that waits in {SET} cannot be put into place: {e}"),
                    )
                })?;
            }
        }
        self.settle();
        fs::remove_file(list)
    }

    /// Takes away what interrupted writers left: while the lock is held, nobody else uses it.
    fn clear(&self) {
        let left = |e: &fs::DirEntry| e.file_name().to_str().is_some_and(is_unplaced) && is_own_file(&e.path());
        for entry in fs::read_dir(&self.folder).into_iter().flatten().filter_map(Result::ok).filter(left) {
            let _ = fs::remove_file(entry.path());
        }
    }

    /// Writes a file beside its place, through to the disk, under a name that nothing has, with the rights of the file
    /// whose place it will take.
    fn beside(&self, bytes: &[u8], place: &Path) -> io::Result<PathBuf> {
        let (mut file, path) = self.unplaced()?;
        let rights = place.symlink_metadata().ok().filter(fs::Metadata::is_file).map(|m| m.permissions());
        let done = file
            .write_all(bytes)
            .and_then(|()| rights.map_or(Ok(()), |r| file.set_permissions(r)))
            .and_then(|()| file.sync_all());
        done.inspect_err(|_| drop(fs::remove_file(&path)))?;
        Ok(path)
    }

    fn unplaced(&self) -> io::Result<(File, PathBuf)> {
        let own = std::process::id();
        for n in 0..10_000 {
            let path = self.folder.join(format!("{BEGINS}{own}-{n}{ENDS}"));
            // Whatever has this name already, a link included, is left alone.
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
                opened => return opened.map(|f| (f, path)),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    }

    /// Writes the folder's own entries to the disk, where the system lets a folder be opened.
    fn settle(&self) {
        if let Ok(folder) = File::open(&self.folder) {
            let _ = folder.sync_all();
        }
    }
}

/// Writes one file in place of the one of its name.
///
/// # Errors
/// When the system refuses, or there is no such folder; then the place is as it was.
pub fn save(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let (folder, name) = place_of(path)?;
    Writing::begin(folder)?.replace(name, bytes)
}

/// The folder of a path, and the name in it.
///
/// # Errors
/// When the path names no file.
pub fn place_of(path: &Path) -> io::Result<(&Path, &OsStr)> {
    let name = path.file_name().ok_or_else(|| io::Error::new(ErrorKind::InvalidInput, "it names no file"))?;
    Ok((path.parent().unwrap_or_else(|| Path::new("")), name))
}

fn lock(folder: &Path) -> io::Result<Option<File>> {
    match File::open(folder).and_then(waited) {
        Err(e) if !matches!(e.kind(), ErrorKind::TimedOut | ErrorKind::NotFound) => {}
        held => return held.map(Some),
    }
    let path = folder.join(LOCK);
    let file = match OpenOptions::new().write(true).create_new(true).open(&path) {
        Err(e) if e.kind() == ErrorKind::AlreadyExists && is_own_file(&path) => {
            OpenOptions::new().write(true).open(&path)
        }
        opened => opened,
    };
    match waited(file?) {
        Err(e) if e.kind() == ErrorKind::Unsupported => Ok(None),
        held => held.map(Some),
    }
}

fn waited(file: File) -> io::Result<File> {
    let since = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::WouldBlock) if since.elapsed() < PATIENCE => std::thread::sleep(GLANCE),
            Err(TryLockError::WouldBlock) => {
                let why = "another program is writing in this folder and does not end";
                return Err(io::Error::new(ErrorKind::TimedOut, why));
            }
            Err(TryLockError::Error(e)) => return Err(e),
        }
    }
}

/// Whether it is a file itself, not a link to one.
fn is_own_file(path: &Path) -> bool {
    path.symlink_metadata().is_ok_and(|m| m.is_file())
}

/// Whether a file of this name is one of ours that is not in its place yet.
fn is_unplaced(name: &str) -> bool {
    let numbers = name.strip_prefix(BEGINS).and_then(|n| n.strip_suffix(ENDS));
    numbers.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit() || b == b'-'))
}

/// Whether a name stays in its folder and on its line.
fn plain(name: &str) -> bool {
    Path::new(name).file_name() == Some(OsStr::new(name)) && !name.contains(['\n', '\r'])
}
