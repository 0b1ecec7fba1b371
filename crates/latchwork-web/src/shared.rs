//! What all requests share: the folder, the journal, what was worked out, and who listens.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};
use std::time::{SystemTime, UNIX_EPOCH};

use tokio::sync::{Semaphore, broadcast};

use crate::books::Books;
use crate::cloths::Drawn;
use crate::folder::{Folder, NotKept};
use crate::guard::Guard;
use crate::journal::Journal;
use crate::made::MadeThings;
use crate::work::WorkedOut;

/// The workshop, as requests hold it.
pub(crate) type Workshop = Arc<Shared>;

/// Things kept under a name, the newest use last; each is made once, however many ask for it meanwhile.
pub(crate) type Kept<T> = Mutex<Vec<(String, Arc<OnceLock<Arc<T>>>)>>;

/// What all requests share.
#[derive(Debug)]
pub(crate) struct Shared {
    pub(crate) folder: Folder,
    pub(crate) journal: Journal,
    pub(crate) guard: Guard,
    /// Says a line where the workshop runs.
    pub(crate) say: fn(&str),
    /// Held from before a document is read until it is changed: changes are made one after the other.
    pub(crate) changing: Mutex<()>,
    /// Documents worked out, newest use last.
    worked: Kept<WorkedOut>,
    /// Pieces drawn, newest use last.
    pub(crate) drawn: Kept<Option<Drawn>>,
    /// Pictures, prints and files.
    pub(crate) made: MadeThings,
    /// Who is told what happens at the machine, by work.
    told: Mutex<BTreeMap<String, broadcast::Sender<i64>>>,
    /// Most listeners at once.
    pub(crate) listeners: Arc<Semaphore>,
}

/// Documents kept worked out, pieces kept drawn, and listeners at once: bounds on memory.
const WORKED: usize = 6;
pub(crate) const DRAWN: usize = 3;
const LISTENERS: usize = 64;
/// How many earlier versions are searched for one that can be drawn.
const EARLIER: i64 = 4;

pub(crate) fn unpoisoned<T>(m: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    m.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Milliseconds since 1970.
pub(crate) fn now() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| i64::try_from(d.as_millis()).unwrap_or(i64::MAX))
}

/// Finds a thing kept under a key or makes it; the newest use stands last, and at most `most` are kept.
pub(crate) fn kept<T>(all: &Kept<T>, key: &str, most: usize, make: impl FnOnce() -> T) -> Arc<T> {
    let place = {
        let mut all = unpoisoned(all);
        let found = all.iter().position(|k| k.0 == key).map(|i| all.remove(i));
        let place = found.unwrap_or_else(|| (key.to_string(), Arc::default()));
        all.push(place.clone());
        let more = all.len().saturating_sub(most);
        all.drain(..more);
        place.1
    };
    place.get_or_init(|| Arc::new(make())).clone()
}

impl Shared {
    pub(crate) fn new(folder: Folder, journal: Journal, guard: Guard, say: fn(&str)) -> Workshop {
        Arc::new(Shared {
            folder,
            journal,
            guard,
            say,
            changing: Mutex::default(),
            worked: Mutex::default(),
            drawn: Mutex::default(),
            made: MadeThings::new(),
            told: Mutex::default(),
            listeners: Arc::new(Semaphore::new(LISTENERS)),
        })
    }

    /// A document as it now stands on the disk, worked out.
    pub(crate) fn document(&self, name: &str) -> Result<Arc<WorkedOut>, NotKept> {
        let text = self.folder.read(name)?;
        Ok(self.worked_out(text, &self.folder.books()))
    }

    /// A text of a document, worked out with the shared books.
    pub(crate) fn worked_out(&self, text: String, books: &Books) -> Arc<WorkedOut> {
        let key = WorkedOut::key(&text, books);
        kept(&self.worked, &key, WORKED, || WorkedOut::new(text, books))
    }

    /// The newest earlier version of a document that could be drawn, where the present one cannot be.
    pub(crate) fn last_drawn(&self, name: &str, now: &WorkedOut) -> Option<Arc<WorkedOut>> {
        if now.design.is_none() || now.drawn() {
            return None;
        }
        let books = self.folder.books();
        let texts = self.journal.earlier(name, EARLIER).unwrap_or_default();
        let mut earlier = texts.into_iter().filter(|t| *t != now.text).map(|t| self.worked_out(t, &books));
        earlier.find(|w| w.drawn())
    }

    /// Notes what a document is before and after a change made here, and writes it.
    pub(crate) fn save(&self, name: &str, before: &str, text: &str, what: &str) -> Result<(), NotKept> {
        let known = self.journal.head(name)?;
        if known.as_ref().is_none_or(|k| k.1 != before) {
            // It was changed elsewhere, or is met for the first time.
            self.journal.keep(name, before, "as it was found", now())?;
        }
        self.folder.write(name, before, text)?;
        let kept = self.journal.keep(name, text, what, now());
        if kept.is_err() {
            // The page will say that nothing was changed.
            self.folder.write(name, text, before)?;
        }
        Ok(kept?)
    }

    /// Tells everyone who listens that something happened in a work.
    pub(crate) fn tell(&self, work: &str, seq: i64) {
        if let Some(sender) = unpoisoned(&self.told).get(work) {
            let _ = sender.send(seq);
        }
    }

    /// Tells everyone who listens that things are not as they were, whatever they listen to.
    pub(crate) fn tell_all(&self) {
        for sender in unpoisoned(&self.told).values() {
            let _ = sender.send(i64::MAX);
        }
    }

    /// Listens to a work. Works that nobody listens to any more are forgotten.
    pub(crate) fn listen(&self, work: &str) -> broadcast::Receiver<i64> {
        let mut told = unpoisoned(&self.told);
        told.retain(|_, s| s.receiver_count() > 0);
        told.entry(work.to_string()).or_insert_with(|| broadcast::channel(16).0).subscribe()
    }
}
