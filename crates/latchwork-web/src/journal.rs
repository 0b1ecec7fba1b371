//! What must never be lost: versions of documents, and what was counted at the machine. One SQLite file; a write is on
//! the disk before it is answered.

use std::path::Path;
use std::sync::{Mutex, MutexGuard};

use rusqlite::{Connection, OptionalExtension, params};

mod store;

use store::Store;
pub(crate) use store::{Fate, Loss, Unkept};

use crate::guard::token;
use crate::shared::unpoisoned;

/// The journal of a folder.
#[derive(Debug)]
pub(crate) struct Journal {
    store: Mutex<Store>,
}

/// What can happen at the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Deed {
    /// Something was done: a pass, or what the hands do.
    Made,
    /// One step back.
    Back,
    /// Rows were ripped out.
    Ripped,
    /// The counter says something else.
    Counter,
    /// A pause.
    Pause,
    /// The end of it.
    Resume,
    /// Words.
    Note,
    /// The piece from its first step, such as the second of a pair.
    Begin,
    /// Two devices had counted apart, and the knitter said how far it is.
    Settled,
}

impl Deed {
    const ALL: [(Deed, &'static str); 9] = [
        (Deed::Made, "made"),
        (Deed::Back, "back"),
        (Deed::Ripped, "ripped"),
        (Deed::Counter, "counter"),
        (Deed::Pause, "pause"),
        (Deed::Resume, "resume"),
        (Deed::Note, "note"),
        (Deed::Begin, "begin"),
        (Deed::Settled, "settled"),
    ];

    fn word(self) -> &'static str {
        Deed::ALL.iter().find(|d| d.0 == self).map_or("note", |d| d.1)
    }

    fn of(word: &str) -> Deed {
        Deed::ALL.iter().find(|d| d.1 == word).map_or(Deed::Note, |d| d.0)
    }
}

/// Something that happened at the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Event {
    /// Its number in its work, from 1.
    pub(crate) seq: i64,
    /// Milliseconds since 1970.
    pub(crate) at: i64,
    /// What.
    pub(crate) kind: Deed,
    /// The cue that is next after it.
    pub(crate) position: i64,
    /// Words.
    pub(crate) note: String,
}

/// What came of writing an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Written {
    /// It is kept.
    Kept,
    /// It had been kept before: the same key.
    Known,
    /// Something else happened first.
    Late,
}

/// The name under which the folder's own name is kept among the works; no document is called this.
const FOLDER: &str = "/folder";

type Answer<T> = Result<T, Unkept>;

impl Journal {
    /// Opens or begins the journal of a folder.
    ///
    /// # Errors
    /// When the folder cannot be written, or another program holds the journal.
    pub(crate) fn open(folder: &Path) -> std::io::Result<Journal> {
        let mark =
            token().ok_or_else(|| std::io::Error::other("the journal cannot be kept: there is no randomness"))?;
        Ok(Journal { store: Mutex::new(Store::open(folder, &mark)?) })
    }

    /// What became of the journal's file, if it was lost; a new one is begun then.
    pub(crate) fn look(&self) -> Option<Loss> {
        self.store().look().cloned()
    }

    /// A random name of the folder, made when it is first asked for: with it, what a device keeps of one folder is not
    /// taken for another's.
    pub(crate) fn folder(&self) -> Answer<String> {
        let name =
            |b: &Connection| b.query_row("SELECT plan FROM work WHERE work = ?1", [FOLDER], |r| r.get(0)).optional();
        if let Some(known) = self.store().read(|b| name(b))? {
            return Ok(known);
        }
        let new = token().ok_or_else(|| Unkept::Failed("there is no randomness".to_string()))?;
        self.store().write(|b| {
            b.execute("INSERT OR IGNORE INTO work (work, plan) VALUES (?1, ?2)", params![FOLDER, new])?;
            Ok(name(b)?.unwrap_or_else(|| new.clone()))
        })
    }

    /// A copy of the whole journal, as a file.
    pub(crate) fn copy(&self) -> Answer<Vec<u8>> {
        self.store().copy()
    }

    fn store(&self) -> MutexGuard<'_, Store> {
        unpoisoned(&self.store)
    }

    /// The newest version of a document that is known, and its number.
    pub(crate) fn head(&self, document: &str) -> Answer<Option<(i64, String)>> {
        self.store().read(|b| {
            b.query_row(
                "SELECT v.n, v.text FROM head h JOIN version v ON v.document = h.document AND v.n = h.n WHERE h.document = ?1",
                [document],
                |r| Ok((r.get(0)?, r.get(1)?)),
            )
            .optional()
        })
    }

    /// Keeps a version after the present one; what was undone is forgotten.
    pub(crate) fn keep(&self, document: &str, text: &str, what: &str, at: i64) -> Answer<()> {
        self.store().write(|b| {
            let n = 1 + head_of(b, document)?.unwrap_or(0);
            b.execute("DELETE FROM version WHERE document = ?1 AND n >= ?2", params![document, n])?;
            b.execute(
                "INSERT INTO version (document, n, text, what, at) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![document, n, text, what, at],
            )?;
            b.execute(
                "INSERT INTO head (document, n) VALUES (?1, ?2) ON CONFLICT (document) DO UPDATE SET n = ?2",
                params![document, n],
            )?;
            Ok(())
        })
    }

    /// The present version of a document and those before it, newest first.
    pub(crate) fn earlier(&self, document: &str, most: i64) -> Answer<Vec<String>> {
        self.store().read(|b| {
            let mut q = b.prepare_cached(
                "SELECT v.text FROM version v JOIN head h ON h.document = v.document AND v.n <= h.n WHERE v.document = ?1 ORDER BY v.n DESC LIMIT ?2",
            )?;
            let rows = q.query_map(params![document, most], |r| r.get(0))?;
            rows.collect()
        })
    }

    /// What undo and redo would undo and redo, in words.
    pub(crate) fn around(&self, document: &str) -> Answer<(Option<String>, Option<String>)> {
        self.store().read(|b| {
            let n = head_of(b, document)?.unwrap_or(0);
            let what = |n: i64| {
                b.query_row("SELECT what FROM version WHERE document = ?1 AND n = ?2", params![document, n], |r| {
                    r.get(0)
                })
                .optional()
            };
            let undo = if n > 1 { what(n)? } else { None };
            Ok((undo, what(n + 1)?))
        })
    }

    /// The version one back or one on; it becomes the present one.
    pub(crate) fn step(&self, document: &str, by: i64) -> Answer<Option<String>> {
        self.store().write(|b| {
            let Some(n) = head_of(b, document)? else { return Ok(None) };
            let text: Option<String> = b
                .query_row("SELECT text FROM version WHERE document = ?1 AND n = ?2", params![document, n + by], |r| {
                    r.get(0)
                })
                .optional()?;
            if text.is_some() {
                b.execute("UPDATE head SET n = ?2 WHERE document = ?1", params![document, n + by])?;
            }
            Ok(text)
        })
    }

    /// Everything that happened in a work, in order.
    pub(crate) fn events(&self, work: &str) -> Answer<Vec<Event>> {
        self.store().read(|b| {
            let mut q =
                b.prepare_cached("SELECT seq, at, kind, position, note FROM event WHERE work = ?1 ORDER BY seq")?;
            let rows = q.query_map([work], |r| {
                let kind: String = r.get(2)?;
                Ok(Event { seq: r.get(0)?, at: r.get(1)?, kind: Deed::of(&kind), position: r.get(3)?, note: r.get(4)? })
            })?;
            rows.collect()
        })
    }

    /// Whether an event of this key is kept.
    pub(crate) fn knows(&self, work: &str, key: &str) -> Answer<bool> {
        self.store().read(|b| known(b, work, key))
    }

    /// Writes an event, once: the same key again changes nothing, and one that does not follow the last event kept is
    /// late. `plan` is the plan that it belongs to; that of the first is remembered.
    pub(crate) fn write(&self, work: &str, key: &str, plan: &str, event: &Event) -> Answer<Written> {
        self.store().write(|b| {
            if known(b, work, key)? {
                return Ok(Written::Known);
            }
            let last: i64 =
                b.query_row("SELECT COALESCE(MAX(seq), 0) FROM event WHERE work = ?1", [work], |r| r.get(0))?;
            if event.seq != last + 1 {
                return Ok(Written::Late);
            }
            b.execute(
                "INSERT INTO event (work, seq, key, at, kind, position, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![work, event.seq, key, event.at, event.kind.word(), event.position, event.note],
            )?;
            b.execute("INSERT OR IGNORE INTO work (work, plan) VALUES (?1, ?2)", params![work, plan])?;
            Ok(Written::Kept)
        })
    }

    /// The plan that a work was begun with, if it was begun.
    pub(crate) fn plan_of(&self, work: &str) -> Answer<Option<String>> {
        self.store().read(|b| b.query_row("SELECT plan FROM work WHERE work = ?1", [work], |r| r.get(0)).optional())
    }

    /// Goes on with another plan.
    pub(crate) fn replan(&self, work: &str, plan: &str) -> Answer<()> {
        self.store().write(|b| b.execute("UPDATE work SET plan = ?2 WHERE work = ?1", params![work, plan]).map(|_| ()))
    }
}

/// The number of the present version of a document.
fn head_of(b: &Connection, document: &str) -> rusqlite::Result<Option<i64>> {
    b.query_row("SELECT n FROM head WHERE document = ?1", [document], |r| r.get(0)).optional()
}

fn known(b: &Connection, work: &str, key: &str) -> rusqlite::Result<bool> {
    b.query_row("SELECT EXISTS (SELECT 1 FROM event WHERE work = ?1 AND key = ?2)", [work, key], |r| r.get(0))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn event(seq: i64, position: i64) -> Event {
        Event { seq, at: 0, kind: Deed::Made, position, note: String::new() }
    }

    #[test]
    fn an_event_is_kept_once_and_only_in_its_turn() {
        let folder = tempfile::tempdir().unwrap();
        let j = Journal::open(folder.path()).unwrap();
        assert_eq!(j.write("w", "a", "p", &event(1, 1)).unwrap(), Written::Kept);
        assert_eq!(j.write("w", "a", "p", &event(1, 1)).unwrap(), Written::Known);
        assert_eq!(j.write("w", "b", "p", &event(1, 1)).unwrap(), Written::Late);
        assert_eq!(j.write("w", "b", "p", &event(2, 2)).unwrap(), Written::Kept);
        drop(j);
        let again = Journal::open(folder.path()).unwrap();
        assert_eq!(again.events("w").unwrap().len(), 2);
    }

    #[test]
    fn undo_and_redo_outlive_a_restart_and_a_change_forgets_what_was_undone() {
        let folder = tempfile::tempdir().unwrap();
        let j = Journal::open(folder.path()).unwrap();
        for text in ["one", "two", "three"] {
            j.keep("d", text, text, 0).unwrap();
        }
        assert_eq!(j.step("d", -1).unwrap().as_deref(), Some("two"));
        drop(j);
        let j = Journal::open(folder.path()).unwrap();
        assert_eq!(j.around("d").unwrap(), (Some("two".to_string()), Some("three".to_string())));
        assert_eq!(j.step("d", 1).unwrap().as_deref(), Some("three"));
        assert_eq!(j.step("d", 1).unwrap(), None);
        j.step("d", -1).unwrap();
        j.keep("d", "other", "other", 0).unwrap();
        assert_eq!(j.around("d").unwrap(), (Some("other".to_string()), None));
    }
}
