//! The journal under attack: deleted, replaced, overwritten, held or damaged, nothing that was counted is lost.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use latchwork_tests::workshop::{Workshop, program};
use rusqlite::{Connection, OpenFlags};
use serde_json::Value;

const COUNT: &str = "/d/deck-hat.kdl/count/54/0";

fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    assert_eq!(w.post("/examples", &[]).unwrap().status, 303);
    (folder, w)
}

/// Counts one more than what was seen last.
fn count(w: &Workshop, seq: i64) -> (u16, Value) {
    let (key, seq) = (format!("touch {seq}"), seq.to_string());
    let a = w.post(COUNT, &[("key", &key), ("seq", &seq), ("kind", "made"), ("n", "1")]).unwrap();
    (a.status, serde_json::from_slice(&a.body).unwrap_or_default())
}

fn state(w: &Workshop) -> Value {
    serde_json::from_slice(&w.get(COUNT).body).unwrap()
}

/// How many events a journal holds, read as a stranger would.
fn events(path: &Path) -> i64 {
    let c = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    c.query_row("SELECT COUNT(*) FROM event", [], |r| r.get(0)).unwrap()
}

fn counted(w: &Workshop, n: i64) {
    for seq in 0..n {
        assert_eq!(count(w, seq).0, 200);
    }
}

/// Opens a workshop that is expected to end by itself.
fn open_again(folder: &Path) -> Output {
    let mut c = Command::new(program());
    let mut c =
        c.arg("open").arg(folder).arg("--no-browser").stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let begun = Instant::now();
    while c.try_wait().unwrap().is_none() && begun.elapsed() < Duration::from_secs(30) {
        std::thread::sleep(Duration::from_millis(20));
    }
    let _ = c.kill();
    c.wait_with_output().unwrap()
}

/// Whatever another program does to the file, the next count is kept with all before it, and the page says so.
#[test]
fn a_journal_taken_away_is_noticed_before_the_next_answer() {
    type Attack = fn(&Path);
    let attacks: [(&str, Attack, &str, &str); 6] = [
        ("deleted", |p| fs::remove_file(p).unwrap(), ".latchwork.db", "was deleted"),
        ("moved away", |p| fs::rename(p, p.with_file_name("elsewhere.db")).unwrap(), ".latchwork.db", "was deleted"),
        (
            "replaced by another database",
            |p| {
                let other = p.with_file_name("other.db");
                Connection::open(&other)
                    .unwrap()
                    .execute_batch("CREATE TABLE a (b); INSERT INTO a VALUES (1)")
                    .unwrap();
                fs::rename(other, p).unwrap();
            },
            ".latchwork-2.db",
            "overwrote",
        ),
        (
            "put back as it was three counts ago",
            |p| fs::write(p, fs::read(p.with_file_name("old.db")).unwrap()).unwrap(),
            ".latchwork-2.db",
            "overwrote",
        ),
        ("overwritten", |p| fs::write(p, "no database at all".repeat(400)).unwrap(), ".latchwork-2.db", "overwrote"),
        ("emptied", |p| fs::write(p, "").unwrap(), ".latchwork-2.db", "overwrote"),
    ];
    for (what, attack, new, told) in attacks {
        let (folder, mut w) = opened();
        let journal = folder.path().join(".latchwork.db");
        counted(&w, 5);
        fs::copy(&journal, folder.path().join("old.db")).unwrap();
        for seq in 5..8 {
            count(&w, seq);
        }
        attack(&journal);
        let (status, at) = count(&w, 8);
        assert_eq!((status, at["position"].as_i64()), (200, Some(9)), "{what}");
        let said = at["journal"].as_str().unwrap_or_default();
        assert!(said.contains(told) && said.contains(new), "{what}: {said}");
        assert_eq!(events(&folder.path().join(new)), 9, "{what}: all of it is on the disk");
        w.kill();
        let w = Workshop::open(folder.path(), &[]);
        assert_eq!(state(&w)["position"], 9, "{what}: and found when it is opened again");
        assert_eq!(count(&w, 9).1["seq"], 10, "{what}");
    }
}

/// Nobody counts any more after the file is lost: it is written again all the same.
#[test]
fn a_lost_journal_is_written_anew_while_nobody_counts() {
    let (folder, w) = opened();
    let journal = folder.path().join(".latchwork.db");
    counted(&w, 4);
    fs::remove_file(&journal).unwrap();
    let begun = Instant::now();
    while !journal.exists() {
        assert!(begun.elapsed() < Duration::from_secs(30), "it is never written anew");
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(events(&journal), 4);
}

/// Versions of documents are kept with the counts: undo still works.
#[test]
fn undo_outlives_the_loss_of_the_journal() {
    let (folder, w) = opened();
    let hat = "/d/deck-hat.kdl";
    let path = folder.path().join("deck-hat.kdl");
    let before = fs::read_to_string(&path).unwrap();
    let base = || {
        let page = w.get(hat).text();
        let at = page.find("name=\"base\" value=\"").unwrap() + 19;
        page[at..at + 16].to_string()
    };
    let fields = [("piece", "hat"), ("stretch", "brim"), ("what", "rows"), ("value", "30"), ("size", "54")];
    let asked: Vec<(&str, &str)> = fields.to_vec();
    let now = base();
    assert_eq!(w.post(&format!("{hat}/revise"), &[asked, vec![("base", now.as_str())]].concat()).unwrap().status, 200);
    assert_ne!(fs::read_to_string(&path).unwrap(), before);
    fs::write(folder.path().join(".latchwork.db"), "gone").unwrap();
    assert_eq!(w.post(&format!("{hat}/undo"), &[("base", &base())]).unwrap().status, 200);
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
}

/// The journal was damaged while the workshop was closed: it opens with what can be read, and leaves the file alone.
#[test]
fn a_damaged_journal_opens_with_a_way_out() {
    let (folder, mut w) = opened();
    let journal = folder.path().join(".latchwork.db");
    counted(&w, 60);
    w.kill();
    let whole = fs::read(&journal).unwrap();
    // No database at all.
    fs::write(&journal, "no database at all".repeat(400)).unwrap();
    let mut w = Workshop::open(folder.path(), &[]);
    let at = state(&w);
    assert_eq!(at["position"], 0);
    let said = at["journal"].as_str().unwrap();
    assert!(said.contains("could not be read") && said.contains("no counts"), "{said}");
    assert_eq!(count(&w, 0).0, 200);
    assert_eq!(fs::read(&journal).unwrap(), "no database at all".repeat(400).into_bytes(), "it was left as it was");
    w.kill();
    let mut w = Workshop::open(folder.path(), &[]);
    assert_eq!(state(&w)["position"], 1, "what is kept beside is found again");
    w.kill();
    // One page of it is spoiled, not that of the counts.
    fs::remove_file(folder.path().join(".latchwork-2.db")).unwrap();
    fs::write(folder.path().join("whole.db"), &whole).unwrap();
    let c = Connection::open(folder.path().join("whole.db")).unwrap();
    let page: usize = c.query_row("SELECT rootpage FROM sqlite_master WHERE name = 'work'", [], |r| r.get(0)).unwrap();
    let size: usize = c.query_row("PRAGMA page_size", [], |r| r.get(0)).unwrap();
    drop(c);
    let mut spoiled = whole;
    spoiled[(page - 1) * size..page * size].fill(0xa5);
    fs::write(&journal, &spoiled).unwrap();
    let w = Workshop::open(folder.path(), &[]);
    let at = state(&w);
    assert_eq!(at["position"], 60, "{at}");
    assert!(at["journal"].as_str().unwrap().contains("60 counts were read out of it"), "{at}");
    assert_eq!(count(&w, 60).0, 200);
}

/// Another database of that name is not ours to write into.
#[test]
fn a_stranger_of_that_name_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join(".latchwork.db");
    Connection::open(&journal).unwrap().execute_batch("CREATE TABLE a (b); INSERT INTO a VALUES (1)").unwrap();
    let before = fs::read(&journal).unwrap();
    let w = Workshop::open(folder.path(), &[]);
    w.post("/examples", &[]).unwrap();
    assert_eq!(count(&w, 0).0, 200);
    assert_eq!(fs::read(&journal).unwrap(), before);
}

/// Another program holds the journal: the page is answered while it still waits, and counts once when it is free.
#[test]
fn a_held_journal_is_told_within_what_the_page_waits() {
    let (folder, mut w) = opened();
    counted(&w, 3);
    let other = Connection::open(folder.path().join(".latchwork.db")).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    // The page waits four seconds; several at once must not wait one behind the other.
    std::thread::scope(|s| {
        for _ in 0..4 {
            s.spawn(|| {
                let begun = Instant::now();
                let body = "key=touch 3&seq=3&kind=made&n=1".replace(' ', "%20");
                let a = w.raw(format!("POST {COUNT} HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {1}\r\n\r\n{body}", w.port, body.len()).as_bytes()).unwrap();
                assert_eq!(a.status, 503);
                assert!(a.text().contains("another program holds the journal"));
                assert!(begun.elapsed() < Duration::from_secs(4), "the page has given up");
            });
        }
    });
    assert_eq!(state(&w)["position"], 3, "how things stand is told all the same");
    drop(other);
    assert_eq!(count(&w, 3).1["position"], 4);
    assert_eq!(count(&w, 3).1["position"], 4, "it counts once");
    assert!(state(&w)["journal"].is_null(), "nothing was lost");
    w.kill();
    let other = Connection::open(folder.path().join(".latchwork.db")).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let out = open_again(folder.path());
    let said = String::from_utf8_lossy(&out.stderr).to_string();
    assert!(out.status.code() == Some(2) && said.contains("another program holds the journal"), "{said}");
    assert!(!folder.path().join(".latchwork-2.db").exists(), "a held journal is no damaged one");
}

/// A change that the journal cannot keep is not made: the document stays as it was, and the page says so.
#[test]
fn a_change_that_the_journal_cannot_keep_is_not_made() {
    let (folder, w) = opened();
    let design = folder.path().join("deck-hat.kdl");
    let base = w.get("/d/deck-hat.kdl").base();
    let brim =
        [("base", &*base), ("size", "54"), ("piece", "hat"), ("stretch", "brim"), ("what", "rows"), ("value", "30")];
    let other = Connection::open(folder.path().join(".latchwork.db")).unwrap();
    let before = fs::read_to_string(&design).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let a = w.post("/d/deck-hat.kdl/revise", &brim).unwrap();
    assert!(a.status == 503 && a.text().contains("another program holds the journal"), "{} {}", a.status, a.text());
    assert_eq!(fs::read_to_string(&design).unwrap(), before);
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(w.post("/d/deck-hat.kdl/revise", &brim).unwrap().status, 200);
    let after = fs::read_to_string(&design).unwrap();
    assert_ne!(after, before);
    // Neither is a step back.
    let base = w.get("/d/deck-hat.kdl").base();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    assert_eq!(w.post("/d/deck-hat.kdl/undo", &[("base", &*base)]).unwrap().status, 503);
    assert_eq!(fs::read_to_string(&design).unwrap(), after);
}

/// A folder that can no longer be written: counts are refused, and what was counted can be saved.
#[test]
fn what_can_be_saved_is_offered() {
    let (folder, w) = opened();
    counted(&w, 6);
    // Neither the journal nor a new one beside it can be written: folders are in the way.
    fs::remove_file(folder.path().join(".latchwork.db")).unwrap();
    fs::create_dir(folder.path().join(".latchwork.db.part")).unwrap();
    let (status, _) = count(&w, 6);
    assert_eq!(status, 507);
    let said = state(&w)["journal"].as_str().unwrap().to_string();
    assert!(said.contains("Save a copy"), "{said}");
    let page = w.get("/d/deck-hat.kdl/machine").text();
    assert!(page.contains("href=\"/journal.db\""));
    let saved = folder.path().join("saved.db");
    fs::write(&saved, w.get("/journal.db").body).unwrap();
    assert_eq!(events(&saved), 6);
    // There is room again.
    fs::remove_dir(folder.path().join(".latchwork.db.part")).unwrap();
    assert_eq!(count(&w, 6).1["position"], 7);
    assert_eq!(events(&folder.path().join(".latchwork.db")), 7);
}

/// The clock was set back by a day between two counts: no time is negative.
#[test]
fn a_clock_set_back_gives_no_negative_times() {
    let (folder, mut w) = opened();
    counted(&w, 12);
    w.kill();
    let c = Connection::open(folder.path().join(".latchwork.db")).unwrap();
    c.execute_batch("UPDATE event SET at = 1700000000000 + 60000 * seq - CASE WHEN seq > 6 THEN 86400000 ELSE 0 END")
        .unwrap();
    drop(c);
    let w = Workshop::open(folder.path(), &[]);
    let page = w.get("/d/deck-hat.kdl").text();
    let at = page.find("name=\"base\" value=\"").unwrap() + 19;
    assert_eq!(w.post("/d/deck-hat.kdl/attach/54/0", &[("base", &page[at..at + 16])]).unwrap().status, 303);
    let text = fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    assert!(text.contains("12 counts, 10 minutes."), "{}", text.lines().last().unwrap());
}

/// A second workshop of the same folder is told where the first is; when that ends, however it ends, the folder is free.
#[test]
fn the_second_workshop_of_a_folder_is_told_where_the_first_is() {
    let (folder, mut w) = opened();
    let out = open_again(folder.path());
    let said = String::from_utf8_lossy(&out.stderr).to_string();
    assert_eq!(out.status.code(), Some(2), "{said}");
    assert!(said.contains("open already") && said.contains(&format!("http://127.0.0.1:{}/", w.port)), "{said}");
    assert_eq!(count(&w, 0).0, 200, "the first goes on");
    w.kill();
    let w = Workshop::open(folder.path(), &[]);
    assert_eq!(state(&w)["position"], 1);
}
