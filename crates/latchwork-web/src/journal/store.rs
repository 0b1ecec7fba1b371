//! Where the journal is kept: in a file, and all of it in memory too. The file can be deleted, replaced or overwritten
//! by another program at any time; then everything goes into a new file beside it.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::types::Value;
use rusqlite::{Connection, Error, ErrorCode, MAIN_DB, OpenFlags, TransactionBehavior, ffi, params_from_iter};

/// How long a write waits for another program that holds the file: less than half of what the page waits.
const PATIENCE: Duration = Duration::from_millis(1500);

const SCHEMA: &str = "
CREATE TABLE IF NOT EXISTS version (document TEXT, n INTEGER, text TEXT, what TEXT, at INTEGER, PRIMARY KEY (document, n));
CREATE TABLE IF NOT EXISTS head (document TEXT PRIMARY KEY, n INTEGER);
CREATE TABLE IF NOT EXISTS event (work TEXT, seq INTEGER, key TEXT, at INTEGER, kind TEXT, position INTEGER, note TEXT, PRIMARY KEY (work, seq), UNIQUE (work, key));
CREATE TABLE IF NOT EXISTS work (work TEXT PRIMARY KEY, plan TEXT);
CREATE TABLE IF NOT EXISTS mark (opening TEXT, writes INTEGER);
";

/// The tables, their columns, and which of these are whole numbers (the others are text).
const TABLES: [(&str, &str, &[bool]); 4] = [
    ("event", "work, seq, key, at, kind, position, note", &[false, true, false, true, false, true, false]),
    ("work", "work, plan", &[false, false]),
    ("version", "document, n, text, what, at", &[false, true, false, false, true]),
    ("head", "document, n", &[false, true]),
];

/// What happened to a file of the journal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fate {
    /// It was deleted while the workshop was open.
    Deleted,
    /// It is not what was written last: another program wrote over it or put another file in its place.
    Replaced,
    /// It could not be read when the workshop was opened; this many counts could be read out of it.
    Unreadable(usize),
}

/// A lost file, and what is done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Loss {
    pub(crate) fate: Fate,
    /// The name of the lost file.
    pub(crate) old: String,
    /// The name of the file that is written now, or why none can be.
    pub(crate) new: Result<String, String>,
}

/// Why something was not kept.
#[derive(Debug)]
pub(crate) enum Unkept {
    /// Another program holds the file.
    Held,
    /// In the system's words.
    Failed(String),
}

impl From<Error> for Unkept {
    fn from(e: Error) -> Unkept {
        match e.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Unkept::Held,
            _ => Unkept::Failed(e.to_string()),
        }
    }
}

/// What stands in the way of a write.
enum Trouble {
    Lost(Fate),
    Other(Error),
}

impl From<Error> for Trouble {
    fn from(e: Error) -> Trouble {
        let code = match &e {
            Error::SqliteFailure(code, _) => (code.code, code.extended_code),
            _ => return Trouble::Other(e),
        };
        match code {
            (_, ffi::SQLITE_READONLY_DBMOVED) => Trouble::Lost(Fate::Deleted),
            (ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase, _) => Trouble::Lost(Fate::Replaced),
            _ => Trouble::Other(e),
        }
    }
}

/// The journal of a folder, in its file and in memory.
#[derive(Debug)]
pub(super) struct Store {
    folder: PathBuf,
    /// All that the file holds. It answers, and it fills a new file when the old one is lost.
    memory: Connection,
    /// Which file is written: the first, or one begun beside it.
    number: u32,
    /// Whether another program held the file at the last write.
    held: bool,
    loss: Option<Loss>,
}

fn name_of(number: u32) -> String {
    if number < 2 { ".latchwork.db".to_string() } else { format!(".latchwork-{number}.db") }
}

/// The newest journal of a folder, by its number.
fn newest(folder: &Path) -> u32 {
    let number = |name: &str| {
        let n = name.strip_prefix(".latchwork-")?.strip_suffix(".db")?.parse::<u32>().ok()?;
        (n > 1 && name_of(n) == name).then_some(n)
    };
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    entries.filter_map(|e| number(e.file_name().to_str()?)).max().unwrap_or(1)
}

/// A file with something added to its name.
fn with(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

/// Makes a file ready: everything in order, and marked as this opening's. False where it is not a journal, or a damaged
/// one.
fn prepared(path: &Path, mark: &str) -> Result<bool, Error> {
    let file = Connection::open(path)?;
    file.busy_timeout(PATIENCE)?;
    let tables = "SELECT COUNT(*), COALESCE(SUM(name = 'event'), 0) FROM sqlite_master WHERE type = 'table'";
    let (all, ours): (i64, i64) = file.query_row(tables, [], |r| Ok((r.get(0)?, r.get(1)?)))?;
    if all > 0 && ours == 0 {
        return Ok(false);
    }
    settle(&file)?;
    if file.query_row("PRAGMA quick_check(1)", [], |r| r.get::<_, String>(0))? != "ok" {
        return Ok(false);
    }
    file.execute_batch(SCHEMA)?;
    file.execute_batch("DELETE FROM mark")?;
    file.execute("INSERT INTO mark (opening, writes) VALUES (?1, 0)", [mark])?;
    Ok(true)
}

/// What is written is on the disk when it is done, and all of it in the one file.
fn settle(file: &Connection) -> Result<(), Error> {
    file.pragma_update(None, "journal_mode", "TRUNCATE")?;
    file.pragma_update(None, "synchronous", "FULL")
}

/// Takes what can be read out of a damaged file; gives the number of counts. Rows are read from both ends, past the damage.
fn rescued(path: &Path, into: &Connection) -> Result<usize, Error> {
    let file = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    for (table, columns, whole) in TABLES {
        let places = vec!["?"; whole.len()].join(", ");
        let mut put = into.prepare(&format!("INSERT OR IGNORE INTO {table} ({columns}) VALUES ({places})"))?;
        for way in ["ASC", "DESC"] {
            let Ok(mut all) = file.prepare(&format!("SELECT {columns} FROM {table} ORDER BY rowid {way}")) else {
                continue;
            };
            let Ok(mut rows) = all.query([]) else { continue };
            while let Ok(Some(row)) = rows.next() {
                let values: Option<Vec<Value>> = whole
                    .iter()
                    .enumerate()
                    .map(|(k, whole)| {
                        let value = row.get::<_, Value>(k).ok()?;
                        matches!((&value, whole), (Value::Integer(_), true) | (Value::Text(_), false)).then_some(value)
                    })
                    .collect();
                if let Some(values) = values {
                    put.execute(params_from_iter(values))?;
                }
            }
        }
    }
    into.query_row("SELECT COUNT(*) FROM event", [], |r| r.get::<_, i64>(0)).map(|n| usize::try_from(n).unwrap_or(0))
}

impl Store {
    /// Opens or begins the journal of a folder. `mark` is this opening's own: nobody else writes it.
    ///
    /// # Errors
    /// When the folder cannot be written, or another program holds the journal.
    pub(super) fn open(folder: &Path, mark: &str) -> std::io::Result<Store> {
        let failed = |name: &str, e: Error| match Unkept::from(e) {
            Unkept::Held => std::io::Error::other(format!("another program holds the journal {name}; close it there")),
            Unkept::Failed(why) => std::io::Error::other(format!("the journal {name} cannot be kept: {why}")),
        };
        std::fs::create_dir_all(folder)?;
        let number = newest(folder);
        let name = name_of(number);
        let path = folder.join(&name);
        let memory = Connection::open_in_memory().map_err(|e| failed(&name, e))?;
        let mut store = Store { folder: folder.to_path_buf(), memory, number, held: false, loss: None };
        let whole = match prepared(&path, mark) {
            Err(e) if matches!(e.sqlite_error_code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)) => {
                return Err(failed(&name, e));
            }
            Ok(true) => store.memory.restore(MAIN_DB, &path, None::<fn(_)>).is_ok(),
            _ => false,
        };
        if !whole {
            let begun = store
                .memory
                .execute_batch(SCHEMA)
                .and_then(|()| store.memory.execute("INSERT INTO mark (opening, writes) VALUES (?1, 0)", [mark]));
            begun.map_err(|e| failed(&name, e))?;
            let counts = rescued(&path, &store.memory).unwrap_or(0);
            store
                .go_on(Fate::Unreadable(counts))
                .map_err(|why| std::io::Error::other(format!("no journal can be kept: {why}")))?;
        }
        Ok(store)
    }

    /// Answers from what is kept.
    pub(super) fn read<T>(&self, job: impl FnOnce(&Connection) -> Result<T, Error>) -> Result<T, Unkept> {
        Ok(job(&self.memory)?)
    }

    /// Keeps something: in the file, on the disk, and then in memory.
    pub(super) fn write<T>(&mut self, job: impl Fn(&Connection) -> Result<T, Error>) -> Result<T, Unkept> {
        let patience = if self.held { Duration::ZERO } else { PATIENCE };
        let put = match self.put(&job, patience) {
            Err(Trouble::Lost(fate)) => {
                self.go_on(fate).map_err(Unkept::Failed)?;
                self.put(&job, patience)
            }
            other => other,
        };
        let put = put.map_err(|trouble| match trouble {
            Trouble::Lost(_) => Unkept::Failed("another program takes the journal away".to_string()),
            Trouble::Other(e) => e.into(),
        });
        // Whoever waits behind one that waited in vain is answered at once.
        self.held = matches!(put, Err(Unkept::Held));
        put?;
        let memory = self.memory.transaction()?;
        let done = job(&memory)?;
        memory.execute("UPDATE mark SET writes = writes + 1", [])?;
        memory.commit()?;
        Ok(done)
    }

    /// Finds out whether the file is still what was written last; if it is lost, a new one is begun.
    pub(super) fn look(&mut self) -> Option<&Loss> {
        let found = self.file(Duration::ZERO).and_then(|file| self.ours(&file));
        if let Err(Trouble::Lost(fate)) = found {
            // Why it cannot be done is reported with the loss.
            let _ = self.go_on(fate);
        }
        self.loss.as_ref()
    }

    /// A copy of the whole journal, as a file.
    pub(super) fn copy(&self) -> Result<Vec<u8>, Unkept> {
        Ok(self.memory.serialize(MAIN_DB)?.to_vec())
    }

    fn path(&self) -> PathBuf {
        self.folder.join(name_of(self.number))
    }

    /// Opens the file where it stands now, as one who comes later would.
    fn file(&self, patience: Duration) -> Result<Connection, Trouble> {
        let path = self.path();
        match std::fs::metadata(&path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Err(Trouble::Lost(Fate::Deleted)),
            Ok(found) if !found.is_file() => return Err(Trouble::Lost(Fate::Replaced)),
            _ => {}
        }
        let file =
            Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
        file.busy_timeout(patience)?;
        Ok(file)
    }

    /// Whether a file is what was written last.
    fn ours(&self, file: &Connection) -> Result<(), Trouble> {
        let mark = |c: &Connection| {
            c.query_row("SELECT opening, writes FROM mark", [], |r| Ok((r.get::<_, String>(0)?, r.get::<_, i64>(1)?)))
        };
        let found = match mark(file) {
            // Another database has no such table, or none of our rows in it.
            Err(Error::SqliteFailure(code, _)) if code.extended_code == ffi::SQLITE_ERROR => None,
            Err(Error::QueryReturnedNoRows | Error::InvalidColumnType(..)) => None,
            other => Some(other?),
        };
        if found == Some(mark(&self.memory)?) { Ok(()) } else { Err(Trouble::Lost(Fate::Replaced)) }
    }

    fn put<T>(&self, job: &impl Fn(&Connection) -> Result<T, Error>, patience: Duration) -> Result<(), Trouble> {
        let mut file = self.file(patience)?;
        settle(&file)?;
        let turn = file.transaction_with_behavior(TransactionBehavior::Immediate)?;
        self.ours(&turn)?;
        job(&turn)?;
        turn.execute("UPDATE mark SET writes = writes + 1", [])?;
        Ok(turn.commit()?)
    }

    /// Goes on in a new file filled from memory. The lost one is left as it is.
    fn go_on(&mut self, fate: Fate) -> Result<(), String> {
        let old = name_of(self.number);
        let free = |n: &u32| std::fs::symlink_metadata(self.folder.join(name_of(*n))).is_err();
        let begin = if fate == Fate::Deleted { self.number } else { self.number + 1 };
        let number = (begin..=u32::MAX).find(free).unwrap_or(begin);
        let new = self.filled(&self.folder.join(name_of(number))).map(|()| name_of(number));
        if new.is_ok() {
            self.number = number;
        }
        let told = new.clone().map(|_| ());
        self.loss = Some(Loss { fate, old, new });
        told
    }

    /// Writes all that is in memory as a new file, whole or not at all.
    fn filled(&self, path: &Path) -> Result<(), String> {
        let part = with(path, ".part");
        // What an earlier file of this name left beside it would be taken for this one's.
        for end in ["-journal", "-wal", "-shm", ".part", ".part-journal"] {
            let _ = std::fs::remove_file(with(path, end));
        }
        self.memory.backup(MAIN_DB, &part, None).map_err(|e| e.to_string())?;
        std::fs::File::open(&part)
            .and_then(|file| file.sync_all())
            .and_then(|()| std::fs::rename(&part, path))
            .map_err(|e| e.to_string())?;
        if let Ok(folder) = std::fs::File::open(&self.folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}
