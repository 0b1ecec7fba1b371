//! At the machine, in real browsers: every accident of an evening, time without the workshop, and two devices.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::process::Command;
use std::time::Duration;

use fantoccini::key::Key;
use fantoccini::{Client, Locator};
use latchwork_tests::browser::{
    Driver, PAGES, answer, at, at_the_beginning, axe, in_each_browser, opened, pedal, picture, press, scene, text,
    there, turn, until,
};
use latchwork_tests::workshop::Workshop;

/// Two devices show one count; the server is killed under a touch, and the touch counts once when it is back.
#[test]
fn two_devices_count_as_one_and_a_kill_loses_nothing() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    let _turn = turn();
    let driver = Driver::start();
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let (a, b) = (driver.client(one.path(), 1024).await, driver.client(two.path(), 420).await);
        for c in [&a, &b] {
            there(c, &w, "machine", PAGES[4].1).await;
        }
        let touch = |c: Client| async move { c.find(Locator::Css("#touch")).await.unwrap().click().await.unwrap() };
        let shows = |c: Client, n: i64| async move {
            until(&c, "shows", &format!("document.getElementById('cue').dataset.position === '{n}'")).await;
        };
        touch(a.clone()).await;
        shows(a.clone(), 1).await;
        shows(b.clone(), 1).await;
        touch(b.clone()).await;
        shows(a.clone(), 2).await;
        picture(&b, "machine-phone").await;
        let port = w.port.to_string();
        let mut w = w;
        w.kill();
        touch(a.clone()).await;
        // The tablet goes on by itself, and says so.
        shows(a.clone(), 3).await;
        until(&a, "told", "document.getElementById('alone').textContent.includes('1 kept here')").await;
        let w = Workshop::open(&path, &["--port", &port]);
        shows(a.clone(), 3).await;
        shows(b.clone(), 3).await;
        until(&a, "told no more", "document.getElementById('alone').textContent === ''").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!(state["seq"], 3, "the touch counts once");
        a.close().await.unwrap();
        b.close().await.unwrap();
    });
}

/// Whatever was pressed before, the pedal means "this is done"; in a pause it means nothing.
#[test]
fn a_count_always_counts() {
    in_each_browser(|c, _, w| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        let focus = |c: Client| async move {
            until(&c, "the field has the focus", "document.activeElement.id === 'touch'").await;
        };
        pedal(&c).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, 2);
        press(&c, "back").await;
        focus(c.clone()).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, 2, "the pedal counts, and does not step back once more");
        // Questions that are left unanswered.
        for act in ["counter", "ripped"] {
            press(&c, act).await;
            c.active_element().await.unwrap().send_keys(&char::from(Key::Escape).to_string()).await.unwrap();
            focus(c.clone()).await;
            pedal(&c).await;
        }
        assert_eq!(at(&c).await, 4);
        press(&c, "pause").await;
        focus(c.clone()).await;
        for _ in 0..3 {
            pedal(&c).await;
        }
        c.find(Locator::Css("#touch")).await.unwrap().click().await.unwrap();
        c.active_element().await.unwrap().send_keys(&char::from(Key::Backspace).to_string()).await.unwrap();
        assert_eq!(at(&c).await, 4, "a pause counts nothing");
        let looks = c.execute("return document.getElementById('cue').className", vec![]).await.unwrap();
        assert!(looks.as_str().unwrap().contains("still") && !looks.as_str().unwrap().contains("hands"), "{looks}");
        axe(&c, "a pause").await;
        picture(&c, "machine-pause").await;
        press(&c, "pause").await;
        focus(c.clone()).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, 5);
        press(&c, "wrong").await;
        axe(&c, "help").await;
        picture(&c, "machine-help").await;
        c.find(Locator::Css("[data-aid=dropped]")).await.unwrap().click().await.unwrap();
        focus(c.clone()).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, 5, "it is mended, and nothing was counted");
        pedal(&c).await;
        assert_eq!(at(&c).await, 6);
        until(&c, "all sent", "document.getElementById('cue').dataset.seq === '10'").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!(state["position"], 6);
    });
}

/// Ripped back from the body to the brim: everything that differs there is said, and ticked before counting goes on.
#[test]
fn after_a_jump_all_is_put_right_first() {
    in_each_browser(|c, _, w| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        // The body, in which the main bed knits at 4.
        press(&c, "counter").await;
        answer(&c, "40").await;
        until(&c, "told", "document.querySelectorAll('.list li').length === 7").await;
        press(&c, "many").await;
        assert!(text(&c, "#now").await.contains("main"), "the body");
        let said = |c: Client| async move { text(&c, "#now").await };
        assert!(said(c.clone()).await.contains("tuck\nknit"), "{}", said(c.clone()).await);
        press(&c, "ripped").await;
        answer(&c, "12").await;
        let here = at(&c).await;
        let list = said(c.clone()).await;
        for words in [
            "ripped back",
            "counter 012",
            "both beds knit",
            "main 3, ribber 3",
            "full pitch, not racked",
            "L85",
            "g in total",
            "harbour sock at the",
        ] {
            assert!(list.contains(words), "{words}: {list}");
        }
        picture(&c, "machine-jump").await;
        axe(&c, "a jump").await;
        for ticked in 1..=7 {
            assert_eq!(at(&c).await, here, "nothing is counted before all is ticked");
            pedal(&c).await;
            if ticked < 7 {
                until(&c, "ticked", &format!("document.querySelectorAll('.list .done').length === {ticked}")).await;
            }
        }
        assert!(said(c.clone()).await.contains("size"), "the plain screen comes by itself");
        pedal(&c).await;
        assert_eq!(at(&c).await, here + 1);
        // What is still ahead cannot be ripped out.
        press(&c, "ripped").await;
        answer(&c, "60").await;
        until(&c, "told", "document.getElementById('lost').textContent.startsWith('060 is still ahead')").await;
        assert_eq!(at(&c).await, here + 1);
        // A page that is opened midway asks for the same.
        there(&c, &w, "machine", PAGES[4].1).await;
        assert!(said(c.clone()).await.contains("The counter reads 013, in the brim."), "{}", said(c.clone()).await);
        // From the cast-on, too.
        press(&c, "many").await;
        at_the_beginning(&c).await;
        press(&c, "many").await;
        press(&c, "counter").await;
        answer(&c, "90").await;
        until(&c, "midway", "document.querySelector('.hull text').textContent === '090'").await;
    });
}

/// When the page heard each touch, in milliseconds.
async fn heard_at(c: &Client) -> Vec<f64> {
    let heard = c.execute("return window.heard", vec![]).await.unwrap();
    heard.as_array().unwrap().iter().filter_map(serde_json::Value::as_f64).collect()
}

/// A finger that trembles counts once.
#[test]
fn two_touches_at_one_moment_are_one() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        let field = c.find(Locator::Css("#touch")).await.unwrap();
        let tap = |wait: u64| {
            use fantoccini::actions::{InputSource, MouseActions, PointerAction};
            MouseActions::new("finger".to_string())
                .then(PointerAction::MoveToElement { element: field.clone(), duration: None, x: 0.0, y: 0.0 })
                .then(PointerAction::Down { button: 0 })
                .then(PointerAction::Up { button: 0 })
                .then(PointerAction::Pause { duration: Duration::from_millis(wait) })
                .then(PointerAction::Down { button: 0 })
                .then(PointerAction::Up { button: 0 })
        };
        let heard = "window.heard = []; touch.addEventListener('click', (e) => window.heard.push(e.timeStamp));";
        c.execute(heard, vec![]).await.unwrap();
        // On a busy computer two touches may reach the page farther apart than they were made: then once more.
        let mut counted = 0;
        loop {
            c.perform_actions(tap(80)).await.unwrap();
            let [.., a, b] = heard_at(&c).await[..] else { panic!("two touches are heard") };
            counted += 1;
            if b - a < 200.0 {
                break;
            }
            counted += 1;
            assert!(counted < 20, "two touches at one moment reach the page");
            tokio::time::sleep(Duration::from_millis(300)).await;
        }
        assert_eq!(at(&c).await, counted);
        tokio::time::sleep(Duration::from_millis(300)).await;
        c.perform_actions(tap(400)).await.unwrap();
        assert_eq!(at(&c).await, counted + 2);
    });
}

/// The design is changed while a piece is on the machine: nothing is counted by the new plan before the knitter says so, and
/// where the piece is.
#[test]
fn another_plan_counts_nothing_unasked() {
    in_each_browser(|c, path, w| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        for _ in 0..12 {
            pedal(&c).await;
        }
        until(&c, "kept", "document.getElementById('cue').dataset.seq === '12'").await;
        let hat = path.join("deck-hat.kdl");
        let text = std::fs::read_to_string(&hat).unwrap();
        let other = text.replacen("length (cm)6", "length (cm)5", 1);
        assert_ne!(text, other);
        std::fs::write(&hat, other).unwrap();
        // The page that is open holds old cues, and no longer counts by them.
        pedal(&c).await;
        until(&c, "told", "document.getElementById('now').textContent.includes('these cues are old')").await;
        let was = at(&c).await;
        press(&c, "back").await;
        assert_eq!(at(&c).await, was);
        // The next touch reloads the page.
        c.execute("window.old = true", vec![]).await.unwrap();
        pedal(&c).await;
        until(&c, "there again", "!window.old && document.getElementById('cue')?.dataset.ready === '1'").await;
        there(&c, &w, "machine", PAGES[4].1).await;
        until(&c, "told", "!document.getElementById('replanned').hidden || !document.getElementById('apart').hidden")
            .await;
        picture(&c, "machine-replanned").await;
        if c.execute("return !document.getElementById('apart').hidden", vec![]).await.unwrap() == true {
            c.find(Locator::Css("[data-true=theirs]")).await.unwrap().click().await.unwrap();
            c.active_element().await.unwrap().send_keys(&char::from(Key::Escape).to_string()).await.unwrap();
        }
        let was = at(&c).await;
        for _ in 0..9 {
            pedal(&c).await;
        }
        assert_eq!(at(&c).await, was, "nothing is counted by a plan that nobody chose");
        c.find(Locator::Css("#carry-on")).await.unwrap().click().await.unwrap();
        until(&c, "asked", "document.getElementById('ask').open").await;
        answer(&c, "6").await;
        let several = c.find_all(Locator::Css("#ask[open] #choices button")).await.unwrap();
        if let Some(last) = several.last() {
            last.click().await.unwrap();
        }
        until(&c, "told", "document.getElementById('now').textContent.includes('The counter reads 006, in the brim.')")
            .await;
        press(&c, "many").await;
        let was = at(&c).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, was + 1);
    });
}

/// The workshop is away: the tablet counts, shows what comes next and steps back; then all comes together.
#[test]
fn the_tablet_goes_on_by_itself() {
    in_each_browser(|c, path, w| async move {
        let mut w = w;
        there(&c, &w, "machine", PAGES[4].1).await;
        let port = w.port.to_string();
        // Seen twice, the page is kept on the device too.
        until(&c, "a worker", "document.getElementById('cue').dataset.served === '1'").await;
        until(&c, "a worker", "navigator.serviceWorker.controller !== null").await;
        there(&c, &w, "machine", PAGES[4].1).await;
        w.kill();
        for k in 1..=11 {
            pedal(&c).await;
            assert_eq!(at(&c).await, k, "a touch is the next cue at once");
        }
        // From the cast-on into the brim: the change was announced, not crossed blindly.
        let seen = text(&c, "#now").await;
        assert!(seen.contains("Brim, row 3"), "{seen}");
        press(&c, "back").await;
        assert_eq!(at(&c).await, 10);
        assert!(text(&c, "#alone").await.contains("12 kept here"));
        picture(&c, "machine-alone").await;
        axe(&c, "on its own").await;
        // Reopened while nobody answers, it is where it was, asks for the list, and goes on.
        // As a hand at the page does it; a driver's own reload passes the worker by in Firefox.
        c.execute("window.old = true; location.reload()", vec![]).await.unwrap();
        until(&c, "there again", "!window.old && document.getElementById('cue')?.dataset.ready === '1'").await;
        assert_eq!(at(&c).await, 10);
        assert!(text(&c, "#now").await.contains("The counter reads 001, in the brim."), "{}", text(&c, "#now").await);
        press(&c, "many").await;
        let w = Workshop::open(&path, &["--port", &port]);
        until(&c, "all sent", "document.getElementById('alone').textContent.length < 9 && document.getElementById('cue').dataset.seq === '12'").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!((state["seq"].as_i64(), state["position"].as_i64()), (Some(12), Some(10)));
    });
}

/// A tablet that trusts this machine's authority keeps its screen on and opens the page without the workshop. No warning is
/// passed over: the certificate is in the list of those that its browser trusts.
#[test]
fn a_tablet_that_trusts_this_machine_stays_awake() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &["--share", "--tls"]);
    w.post("/examples", &[]).unwrap();
    let (address, code) = w.shared.clone().unwrap();
    if address.starts_with("127.") {
        // A machine without a network has no other address to come from.
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let list = home.path().join(".pki/nssdb");
    std::fs::create_dir_all(&list).unwrap();
    let trusted = home.path().join("authority.crt");
    std::fs::write(&trusted, w.get("/authority.crt").body).unwrap();
    let list = format!("sql:{}", list.display());
    let certutil = |more: &[&str]| {
        let done = Command::new("certutil").args(["-d", &list]).args(more).status().expect("certutil: run ./check");
        assert!(done.success(), "{more:?}");
    };
    certutil(&["-N", "--empty-password"]);
    certutil(&["-A", "-t", "C,,", "-n", "latchwork", "-i", trusted.to_str().unwrap()]);
    let _turn = turn();
    let driver = Driver::at_home(home.path());
    let profile = tempfile::tempdir().unwrap();
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let c = driver.client(profile.path(), 1024).await;
        c.goto(&format!("https://{address}/")).await.unwrap();
        c.find(Locator::Css("#code"))
            .await
            .unwrap()
            .send_keys(&format!("{code}{}", char::from(Key::Enter)))
            .await
            .unwrap();
        until(&c, "paired", "document.body.textContent.includes('Deck hat')").await;
        c.goto(&format!("https://{address}{}", PAGES[4].1)).await.unwrap();
        until(&c, "ready", "document.getElementById('cue')?.dataset.ready === '1'").await;
        until(&c, "a worker", "document.getElementById('cue').dataset.served === '1'").await;
        until(
            &c,
            "awake",
            "isSecureContext && 'wakeLock' in navigator && document.getElementById('alone').textContent === ''",
        )
        .await;
        for k in 1..=3 {
            pedal(&c).await;
            assert_eq!(at(&c).await, k);
        }
        until(&c, "kept", "document.getElementById('cue').dataset.seq === '3'").await;
        c.close().await.unwrap();
    });
}

/// Two devices count apart: both counts are shown, and the knitter says which is true.
#[test]
fn two_counts_are_shown_and_one_is_true() {
    in_each_browser(|c, path, w| async move {
        let mut w = w;
        there(&c, &w, "machine", PAGES[4].1).await;
        let port = w.port.to_string();
        w.kill();
        for _ in 0..4 {
            pedal(&c).await;
        }
        let w = Workshop::open(&path, &["--port", &port]);
        // Another device was first.
        for seq in 0..2 {
            let key = format!("other {seq}");
            let kept = [("key", &*key), ("seq", &*seq.to_string()), ("kind", "made"), ("n", "1")];
            w.post("/d/deck-hat.kdl/count/54/0", &kept).unwrap();
        }
        until(&c, "both are shown", "!document.getElementById('apart').hidden").await;
        axe(&c, "two counts").await;
        picture(&c, "machine-apart").await;
        pedal(&c).await;
        assert_eq!(text(&c, "#apart h2").await, "Two counts");
        c.find(Locator::Css("[data-true=ours]")).await.unwrap().click().await.unwrap();
        until(&c, "settled", "document.getElementById('cue').dataset.seq === '3' && document.getElementById('cue').dataset.position === '4'").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!(state["position"], 4);
    });
}

/// Of the places at which a reading stands, the one meant, if it is asked for.
async fn pick(c: &Client, place: usize) {
    for choice in c.find_all(Locator::Css("#ask[open] #choices button")).await.unwrap() {
        if choice.attr("value").await.unwrap().unwrap() == place.to_string() {
            choice.click().await.unwrap();
            return;
        }
    }
}

/// A whole hat by the pedal, with thirty accidents on the way: what the page says is where the piece is, each time.
#[test]
#[expect(clippy::too_many_lines, reason = "one story from cast-on to bind-off")]
fn a_whole_hat_by_pedal_with_thirty_accidents() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    let design = latchwork::design::from_text(include_str!("../../designs/deck-hat.kdl")).0.unwrap();
    let proven = latchwork::check::prove(&design, &[2]).proven.unwrap();
    let size = &proven.sizes()[0];
    let cues = latchwork::cues::cues(size.proven(0).unwrap(), design.show);
    scene(1024, |c| async move {
        let reads = |at: usize| at.checked_sub(1).map_or(0, |k| cues[k].counter);
        let mut w = w;
        let port = w.port.to_string();
        there(&c, &w, "machine", PAGES[4].1).await;
        // Where the piece really is. Accidents come at every fourth cue, each kind in its turn.
        let (mut really, mut accidents, mut away) = (0, 0, false);
        let ticked = |c: Client| async move {
            for _ in 0..7 {
                pedal(&c).await;
            }
        };
        while really < cues.len() {
            pedal(&c).await;
            really += 1;
            assert_eq!(at(&c).await, i64::try_from(really).unwrap(), "after {accidents} accidents");
            if really % 4 != 0 || accidents == 30 || really == cues.len() {
                continue;
            }
            match accidents % 10 {
                // A step too many.
                0 => {
                    press(&c, "back").await;
                    really -= 1;
                }
                // The kettle.
                1 => {
                    press(&c, "pause").await;
                    pedal(&c).await;
                    press(&c, "pause").await;
                }
                // A question that is left.
                2 => {
                    press(&c, "ripped").await;
                    c.active_element().await.unwrap().send_keys(&char::from(Key::Escape).to_string()).await.unwrap();
                }
                // The workshop is away for a while.
                3 => {
                    w.kill();
                    away = true;
                }
                // Three rows ripped out, or as many as there are.
                4 | 8 => {
                    let reading = reads(really).saturating_sub(3);
                    // The last place at which the counter has this reading.
                    let mut to = (0..=really).rev().find(|k| reads(*k) == reading).unwrap();
                    while to > 0 && reads(to - 1) == reading {
                        to -= 1;
                    }
                    if reads(really) == reading {
                        to = really;
                    }
                    press(&c, "ripped").await;
                    answer(&c, &reading.to_string()).await;
                    pick(&c, to).await;
                    really = to;
                    ticked(c.clone()).await;
                }
                // Help, and back.
                5 => {
                    press(&c, "wrong").await;
                    c.find(Locator::Css("[data-aid=missed]")).await.unwrap().click().await.unwrap();
                    pedal(&c).await;
                }
                // The page is reopened.
                6 if !away => {
                    there(&c, &w, "machine", PAGES[4].1).await;
                    ticked(c.clone()).await;
                }
                // Several at once, where nothing changes.
                7 => {
                    let run = cues.iter().skip(really).take_while(|c| c.plain()).count().min(3);
                    if run > 1 {
                        press(&c, "many").await;
                        answer(&c, &run.to_string()).await;
                        really += run;
                    }
                }
                // Somebody asks what the counter says, and it says so.
                9 => {
                    press(&c, "counter").await;
                    answer(&c, &reads(really).to_string()).await;
                    pick(&c, really).await;
                    ticked(c.clone()).await;
                }
                _ => {}
            }
            accidents += 1;
            if away && accidents % 10 == 5 {
                w = Workshop::open(&path, &["--port", &port]);
                away = false;
                until(&c, "all sent", "document.getElementById('alone').textContent.length < 9").await;
            }
            assert_eq!(at(&c).await, i64::try_from(really).unwrap(), "accident {accidents}");
        }
        assert_eq!(accidents, 30);
        assert!(text(&c, "#now").await.contains("The piece is done."));
        until(&c, "all kept", "document.getElementById('alone').textContent === ''").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!(state["position"], cues.len());
    });
}

/// The journal is held by another program, then overwritten: the page at the machine says which, and every touch counts once.
#[test]
fn what_befalls_the_journal_is_told_at_the_machine() {
    let (folder, w) = opened();
    let journal = folder.path().join(".latchwork.db");
    scene(1024, |c| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        let touch = || pedal(&c);
        let at = |n: i64| format!("document.getElementById('cue').dataset.position === '{n}'");
        touch().await;
        until(&c, "counted", &at(1)).await;
        let other = rusqlite::Connection::open(&journal).unwrap();
        other.execute_batch("BEGIN EXCLUSIVE").unwrap();
        touch().await;
        until(&c, "told", "document.getElementById('lost').textContent.includes('another program holds the journal')")
            .await;
        drop(other);
        until(&c, "counted when it is free", &at(2)).await;
        until(
            &c,
            "told no more",
            "document.getElementById('lost').hidden && document.getElementById('journal').hidden",
        )
        .await;
        std::fs::write(&journal, "something else").unwrap();
        // Nobody touches: it is reported all the same.
        until(&c, "told", "!document.getElementById('journal').hidden && document.getElementById('journal').textContent.includes('.latchwork-2.db')").await;
        axe(&c, "a lost journal").await;
        picture(&c, "machine-journal").await;
        touch().await;
        until(&c, "goes on", &at(3)).await;
    });
}
