//! Pictures, prints and files that were made: each is made once, kept by what it is made of, and bounded in bytes.

use std::sync::Arc;

use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tokio::sync::Semaphore;

use crate::folder::NotKept;
use crate::routes::{faulty, off};
use crate::shared::{Kept, Shared, Workshop, kept, unpoisoned};
use crate::work::hash;

/// Most bytes of them that are kept, and most of them.
const MOST_BYTES: usize = 48_000_000;
const MOST: usize = 400;
/// Most that are made at once: a handout takes some ninety megabytes while it is set.
const MAKERS: usize = 2;

/// Something made.
#[derive(Debug)]
pub(crate) struct Made {
    bytes: Vec<u8>,
    /// A short name of the bytes.
    tag: String,
}

/// What was made.
#[derive(Debug)]
pub(crate) struct MadeThings {
    all: Kept<Option<Made>>,
    makers: Arc<Semaphore>,
}

impl MadeThings {
    pub(crate) fn new() -> MadeThings {
        MadeThings { all: Kept::default(), makers: Arc::new(Semaphore::new(MAKERS)) }
    }

    /// What was made under this key; makes it if need be. None where it cannot be made.
    fn get(&self, key: &str, make: impl FnOnce() -> Option<Vec<u8>>) -> Arc<Option<Made>> {
        let made =
            kept(&self.all, key, MOST, || make().map(|bytes| Made { tag: format!("\"{}\"", hash(&bytes)), bytes }));
        let size = |made: &Arc<Option<Made>>| made.as_ref().as_ref().map_or(0, |m| m.bytes.len());
        let mut all = unpoisoned(&self.all);
        if made.is_none() {
            // What failed once may succeed the next time.
            all.retain(|k| k.0 != key);
        }
        let mut sum: usize = all.iter().filter_map(|k| k.1.get()).map(size).sum();
        // The newest stands last.
        while sum > MOST_BYTES && all.len() > 1 {
            sum -= all.remove(0).1.get().map_or(0, size);
        }
        made
    }

    /// What has already been made under this key.
    fn ready(&self, key: &str) -> Option<Arc<Option<Made>>> {
        let mut all = unpoisoned(&self.all);
        let found = all.iter().position(|k| k.0 == key)?;
        let made = all[found].1.get().cloned()?;
        let used = all.remove(found);
        all.push(used);
        Some(made)
    }

    /// The bytes of what was made under this key; makes it if need be.
    pub(crate) fn bytes(&self, key: &str, make: impl FnOnce() -> Option<Vec<u8>>) -> Option<Vec<u8>> {
        self.get(key, make).as_ref().as_ref().map(|m| m.bytes.clone())
    }
}

/// Does a job that takes a lot of memory when its turn comes. The turn lasts as long as the job, whether or not anybody
/// still waits for it.
pub(crate) async fn in_turn<T: Send + 'static>(
    w: &Workshop,
    job: impl FnOnce(&Shared) -> T + Send + 'static,
) -> Option<T> {
    let turn = w.made.makers.clone().acquire_owned().await.ok()?;
    let w = w.clone();
    off(move || {
        let _turn = turn;
        job(&w)
    })
    .await
}

/// Answers with a thing. `find` gives its key and what it is made of; `make` makes it, where it is not kept.
pub(crate) async fn answer_made<P: Send + 'static>(
    w: Workshop,
    headers: HeaderMap,
    kind: &'static str,
    find: impl FnOnce(&Shared) -> Result<(String, P), NotKept> + Send + 'static,
    make: impl FnOnce(&Shared, &P) -> Option<Vec<u8>> + Send + 'static,
) -> Response {
    let looked = w.clone();
    let (key, of) = match off(move || find(&looked)).await {
        Some(Ok(found)) => found,
        Some(Err(fault)) => return faulty(&fault),
        None => return StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    };
    let made = match w.made.ready(&key) {
        Some(made) => Some(made),
        None => in_turn(&w, move |w| w.made.get(&key, || make(w, &of))).await,
    };
    match made.as_deref() {
        Some(Some(made)) => sent(made, &headers, kind),
        Some(None) => faulty(&NotKept::Missing),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// The thing, or word that it is still the one that the browser has.
fn sent(made: &Made, headers: &HeaderMap, kind: &'static str) -> Response {
    let asked = headers.get(header::IF_NONE_MATCH).and_then(|t| t.to_str().ok()).unwrap_or_default();
    let known = asked.split(',').any(|t| t.trim().trim_start_matches("W/") == made.tag);
    let head = [(header::CACHE_CONTROL, "no-cache"), (header::ETAG, made.tag.as_str())];
    if known {
        return (StatusCode::NOT_MODIFIED, head).into_response();
    }
    (head, [(header::CONTENT_TYPE, kind)], made.bytes.clone()).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn a_thing_is_made_once_however_many_ask() {
        let (things, times) = (MadeThings::new(), AtomicUsize::new(0));
        std::thread::scope(|s| {
            for _ in 0..12 {
                s.spawn(|| {
                    let made = things.bytes("hat", || {
                        times.fetch_add(1, Ordering::Relaxed);
                        std::thread::sleep(std::time::Duration::from_millis(20));
                        Some(vec![7])
                    });
                    assert_eq!(made, Some(vec![7]));
                });
            }
        });
        assert_eq!(times.load(Ordering::Relaxed), 1);
    }

    #[test]
    fn the_oldest_are_dropped_beyond_the_bound() {
        let things = MadeThings::new();
        let tenth = || Some(vec![0; MOST_BYTES / 10]);
        for k in 0..14 {
            things.bytes(&k.to_string(), tenth);
            // Used again and again, the first stays.
            things.bytes("0", || None);
        }
        let held: Vec<String> = unpoisoned(&things.all).iter().map(|k| k.0.clone()).collect();
        assert_eq!(held.len(), 10, "{held:?}");
        assert!(held.contains(&"0".to_string()) && held.contains(&"13".to_string()), "{held:?}");
    }
}
