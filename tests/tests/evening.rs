//! An evening at the machine and what can happen to it: a workshop that is away for minutes or hours while two devices
//! count, clocks that are wrong, browsers that keep nothing, screens that would go dark, and power cuts under the
//! tablet.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "tests")]

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use fantoccini::key::Key;
use fantoccini::{Client, Locator};
use latchwork_tests::browser::{Driver, answer, at, opened, pedal, press, scene, text, there, tools, turn, until};
use latchwork_tests::sample;
use latchwork_tests::workshop::Workshop;
use serde_json::{Value, json};

const HAT: &str = "/d/deck-hat.kdl/machine?size=54&piece=0";
const COUNT: &str = "/d/deck-hat.kdl/count/54/0";
/// A clock that can be moved: `later` is in milliseconds.
const CLOCK: &str = "const real = Date.now; window.later = 0; Date.now = () => real() + window.later";

async fn with(c: &Client, script: &str) {
    tools(c, "Page.addScriptToEvaluateOnNewDocument", &json!({ "source": script })).await;
}

fn state(w: &Workshop) -> Value {
    serde_json::from_slice(&w.get(COUNT).body).unwrap()
}

fn now() -> i64 {
    i64::try_from(SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis()).unwrap()
}

/// When each event was, in their order.
fn times(folder: &std::path::Path) -> Vec<i64> {
    let journal = rusqlite::Connection::open(folder.join(".latchwork.db")).unwrap();
    let mut all = journal.prepare("SELECT at FROM event ORDER BY work, seq").unwrap();
    all.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect()
}

/// The times of events are in order, and none lies in the future.
fn in_order(folder: &std::path::Path) {
    let times = times(folder);
    assert!(times.is_sorted() && times.last().is_some_and(|t| *t <= now()), "{times:?}");
}

async fn later(c: &Client, milliseconds: i64) {
    c.execute(&format!("window.later += {milliseconds}"), vec![]).await.unwrap();
}

/// The workshop is away for five minutes, then for an evening; two devices count apart meanwhile. What one sends is kept,
/// the other is shown both counts, and what the knitter says is true on both.
#[test]
fn away_for_five_minutes_and_for_an_evening() {
    let (folder, mut w) = opened();
    let path = folder.path().to_path_buf();
    let _turn = turn();
    let driver = Driver::start();
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let (a, b) = (driver.client(one.path(), 1024).await, driver.client(two.path(), 1024).await);
        for c in [&a, &b] {
            with(c, CLOCK).await;
            there(c, &w, "machine", HAT).await;
        }
        let port = w.port.to_string();
        let mut stood = 0;
        for minutes in [5, 240] {
            let seq = state(&w)["seq"].as_i64().unwrap();
            w.kill();
            for (c, touches) in [(&a, 4), (&b, 2)] {
                for k in 1..=touches {
                    later(c, minutes * 60_000 / touches).await;
                    pedal(c).await;
                    assert_eq!(at(c).await, stood + k, "a touch counts though nobody answers");
                }
            }
            w = Workshop::open(&path, &["--port", &port]);
            // Whoever comes first is taken; the other is shown both.
            let asked = "!document.getElementById('apart').hidden";
            let mut first = None;
            for _ in 0..400 {
                for (name, c) in [("a", &a), ("b", &b)] {
                    if c.execute(&format!("return {asked}"), vec![]).await.unwrap() == true {
                        first = Some(if name == "a" { (&a, stood + 4, &b) } else { (&b, stood + 2, &a) });
                    }
                }
                if first.is_some() {
                    break;
                }
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
            let (late, counted, other) = first.expect("one of them is asked");
            assert_eq!(late.find_all(Locator::Css("#apart .hull")).await.unwrap().len(), 2, "both are drawn");
            late.find(Locator::Css("[data-true=ours]")).await.unwrap().click().await.unwrap();
            until(late, "settled", &format!("document.getElementById('cue').dataset.seq > {seq} && document.getElementById('alone').textContent === ''")).await;
            let there = format!("document.getElementById('cue').dataset.position === '{counted}'");
            until(other, "the other is told", &there).await;
            until(other, "and has all to tick", "document.querySelectorAll('.list li').length === 7").await;
            for c in [&a, &b] {
                if c.execute("return document.getElementById('cue').dataset.ticked", vec![]).await.unwrap() != "" {
                    press(c, "many").await;
                }
            }
            assert_eq!(state(&w)["position"], counted);
            in_order(&path);
            stood = counted;
        }
        a.close().await.unwrap();
        b.close().await.unwrap();
    });
}

/// The tablet's clock is set back a day, then a day on, while the workshop is away: each touch counts once, at a
/// possible time.
#[test]
fn a_clock_that_is_wrong_loses_nothing() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
        let mut w = w;
        let port = w.port.to_string();
        with(&c, CLOCK).await;
        there(&c, &w, "machine", HAT).await;
        let mut made = 0;
        for day in [-86_400_000, 172_800_000] {
            pedal(&c).await;
            w.kill();
            pedal(&c).await;
            later(&c, day).await;
            pedal(&c).await;
            made += 3;
            w = Workshop::open(&path, &["--port", &port]);
            until(&c, "sent", &format!("document.getElementById('cue').dataset.seq === '{made}'")).await;
            assert_eq!(state(&w)["position"], made);
            in_order(&path);
        }
    });
}

/// A tablet at one size and a tablet at another do not hear each other.
#[test]
fn two_tablets_knit_two_sizes() {
    let (_folder, w) = opened();
    let _turn = turn();
    let driver = Driver::start();
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let (a, b) = (driver.client(one.path(), 1024).await, driver.client(two.path(), 1024).await);
        there(&a, &w, "machine", HAT).await;
        there(&b, &w, "machine", "/d/deck-hat.kdl/machine?size=60&piece=0").await;
        for _ in 0..5 {
            pedal(&a).await;
        }
        for _ in 0..3 {
            pedal(&b).await;
        }
        for (c, n) in [(&a, 5), (&b, 3)] {
            until(c, "kept", &format!("document.getElementById('cue').dataset.seq === '{n}'")).await;
            assert_eq!(at(c).await, n);
        }
        assert_eq!(state(&w)["position"], 5);
        let other: Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/60/0").body).unwrap();
        assert_eq!(other["position"], 3);
        // The same tablet at the other size sees that size's count, and has everything to tick.
        there(&a, &w, "machine", "/d/deck-hat.kdl/machine?size=60&piece=0").await;
        assert_eq!(at(&a).await, 3);
        assert_eq!(a.find_all(Locator::Css(".list li")).await.unwrap().len(), 7);
        a.close().await.unwrap();
        b.close().await.unwrap();
    });
}

/// A browser that keeps nothing, as a private window may: the page says so, and counts.
#[test]
fn a_browser_that_keeps_nothing_is_told() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
        let mut w = w;
        let port = w.port.to_string();
        with(&c, "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } })").await;
        there(&c, &w, "machine", HAT).await;
        pedal(&c).await;
        until(&c, "told", "document.getElementById('lost').textContent.startsWith('This browser keeps nothing')").await;
        w.kill();
        for k in 2..=4 {
            pedal(&c).await;
            assert_eq!(at(&c).await, k);
        }
        w = Workshop::open(&path, &["--port", &port]);
        until(&c, "sent", "document.getElementById('cue').dataset.seq === '4'").await;
        assert_eq!(state(&w)["position"], 4);
    });
}

/// On a plain address there is no wake lock: an empty film with a silent sound track plays from the first touch, as
/// large as the glass, and is wound back before its end. Until it plays, the page says what to do.
#[test]
fn on_a_plain_address_a_silent_picture_keeps_the_screen_on() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &["--share"]);
    w.post("/examples", &[]).unwrap();
    let (address, code) = w.shared.clone().unwrap();
    if address.starts_with("127.") {
        println!("left out: a machine without a network has no plain address");
        return;
    }
    scene(1024, |c| async move {
        c.goto(&format!("http://{address}/")).await.unwrap();
        let field = c.find(Locator::Css("#code")).await.unwrap();
        field.send_keys(&format!("{code}{}", char::from(Key::Enter))).await.unwrap();
        until(&c, "paired", "document.body.textContent.includes('Deck hat')").await;
        c.goto(&format!("http://{address}{HAT}")).await.unwrap();
        until(
            &c,
            "ready",
            "document.getElementById('cue')?.dataset.ready === '1' && document.querySelector('video') !== null",
        )
        .await;
        assert_eq!(text(&c, "#alone").await, "set this tablet never to sleep");
        assert_eq!(c.execute("return isSecureContext || 'wakeLock' in navigator", vec![]).await.unwrap(), false);
        pedal(&c).await;
        let plays = "(() => { const v = document.querySelector('video'), r = v.getBoundingClientRect(); return !v.paused && !v.muted && v.volume === 1 && r.width === innerWidth && r.height === innerHeight && v.webkitAudioDecodedByteCount > 0; })()";
        until(&c, "it plays, with its silence", plays).await;
        until(&c, "told no more", "document.getElementById('alone').textContent === ''").await;
        c.execute("document.querySelector('video').currentTime = 12.5", vec![]).await.unwrap();
        until(
            &c,
            "sought back",
            "document.querySelector('video').currentTime < 12 && !document.querySelector('video').paused",
        )
        .await;
        // Stopped by other sound, it goes on at the next touch; stopped again and again, it leaves the sound to the
        // other.
        for stop in 1..=3 {
            c.execute("document.querySelector('video').pause()", vec![]).await.unwrap();
            until(&c, "told", "document.getElementById('alone').textContent.includes('never to sleep')").await;
            tokio::time::sleep(Duration::from_millis(250)).await;
            pedal(&c).await;
            if stop < 3 {
                until(&c, "it goes on", "!document.querySelector('video').paused").await;
                until(&c, "told no more", "document.getElementById('alone').textContent === ''").await;
            }
        }
        assert_eq!(c.execute("return document.querySelector('video').paused", vec![]).await.unwrap(), true);
        assert_eq!(at(&c).await, 4);
    });
}

/// What lets a page stand by itself on a tablet is there, and is what it says it is.
#[test]
fn the_page_can_be_put_among_the_apps() {
    let (_folder, w) = opened();
    let page = w.get(HAT).text();
    assert!(page.contains("rel=\"manifest\" href=\"/app.webmanifest\""));
    let manifest: Value = serde_json::from_slice(&w.get("/app.webmanifest").body).unwrap();
    assert_eq!((&manifest["display"], &manifest["start_url"]), (&json!("standalone"), &json!("/")));
    for icon in manifest["icons"].as_array().unwrap() {
        let got = w.get(icon["src"].as_str().unwrap());
        assert_eq!(got.status, 200);
        assert!(got.head.contains(icon["type"].as_str().unwrap()), "{}", got.head);
        if let Some((wide, _)) = icon["sizes"].as_str().unwrap().split_once('x') {
            // Width and height of a PNG stand at its bytes 16 to 24.
            let side = u32::from_be_bytes(got.body[16..20].try_into().unwrap());
            assert_eq!(side.to_string(), wide);
        }
    }
}

/// A reading that lies beyond a decrease is asked about, and so is one with a decrease on it: loops on needles are not
/// guessed at.
#[test]
fn what_the_hands_do_is_not_passed_over_unasked() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", "/d/deck-hat.kdl/machine?size=54&piece=1").await;
        let act = |act: &'static str| format!("document.querySelector('#now h2').textContent === '{act}'");
        while c.execute(&format!("return {}", act("decrease")), vec![]).await.unwrap() != true {
            pedal(&c).await;
        }
        let decrease = at(&c).await;
        let choose = |c: Client, which: usize| async move {
            until(&c, "asked", "document.querySelectorAll('#ask[open] #choices button').length === 2").await;
            c.find_all(Locator::Css("#choices button")).await.unwrap()[which].click().await.unwrap();
        };
        // Knitted past it, and not done.
        press(&c, "counter").await;
        answer(&c, "22").await;
        // As before the second decrease: then the first was passed over.
        choose(c.clone(), 0).await;
        choose(c.clone(), 1).await;
        until(&c, "to tick", "document.querySelectorAll('.list li').length === 7").await;
        // It stands until all is ticked, whatever the workshop answers meanwhile.
        until(&c, "sent", "document.getElementById('cue').dataset.seq > 0").await;
        tokio::time::sleep(Duration::from_millis(300)).await;
        assert!(text(&c, "#now").await.contains("Rip back to 018, then tick the list."));
        assert_eq!(at(&c).await, decrease, "it stands where it is to be done");
        // A pedal answers no question.
        press(&c, "many").await;
        press(&c, "counter").await;
        answer(&c, "22").await;
        until(&c, "asked", "document.getElementById('ask').open").await;
        c.active_element().await.unwrap().send_keys(" ").await.unwrap();
        assert_eq!(c.execute("return document.getElementById('ask').open", vec![]).await.unwrap(), true);
        c.active_element().await.unwrap().send_keys(&char::from(Key::Escape).to_string()).await.unwrap();
        assert_eq!(at(&c).await, decrease);
        // Done, after all.
        press(&c, "counter").await;
        answer(&c, "22").await;
        choose(c.clone(), 0).await;
        choose(c.clone(), 0).await;
        until(&c, "taken", "document.querySelectorAll('.list li').length === 7").await;
        press(&c, "many").await;
        assert_eq!(text(&c, "#now h2").await, "decrease");
        assert!(at(&c).await > decrease);
        // Ripped back to the first one: undone, or not.
        for (which, next) in [(0, decrease), (1, decrease + 1)] {
            pedal(&c).await;
            press(&c, "ripped").await;
            answer(&c, "18").await;
            choose(c.clone(), which).await;
            until(&c, "taken", &format!("document.getElementById('cue').dataset.position === '{next}'")).await;
            press(&c, "many").await;
            for _ in 0..3 {
                pedal(&c).await;
            }
        }
    });
}

/// A piece made twice says which of them is done, begins the second when that is asked for, and ends there.
#[test]
fn a_piece_made_twice_is_made_twice() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", "/d/deck-hat.kdl/machine?size=54&piece=1").await;
        for (said, again) in [("1 of 2 made. Touch to start the next one.", true), ("2 of 2 made.", false)] {
            let to_end = "const at = () => document.getElementById('cue').dataset.position; for (let was = ''; was !== at() && !document.getElementById('ask').open;) { was = at(); document.getElementById('touch').click(); } return document.getElementById('ask').open";
            let asked = c.execute(to_end, vec![]).await.unwrap();
            assert_eq!(asked, again, "the touch at the end asks where one is left to make");
            assert!(text(&c, "#now").await.contains(said), "{}", text(&c, "#now").await);
            if again {
                c.find(Locator::Css("#choices button")).await.unwrap().click().await.unwrap();
                until(&c, "begun", "document.getElementById('cue').dataset.position === '0'").await;
                until(&c, "sent", "document.getElementById('alone').textContent === ''").await;
                if c.execute("return document.getElementById('cue').dataset.ticked", vec![]).await.unwrap() != "" {
                    press(&c, "many").await;
                }
            }
        }
        until(&c, "sent", "document.getElementById('alone').textContent === ''").await;
        there(&c, &w, "machine", "/d/deck-hat.kdl/machine?size=54&piece=1").await;
        assert!(text(&c, "#now").await.contains("2 of 2 made."));
    });
}

/// The workshop is killed again and again while the tablet counts by itself: no pass is lost, and none counts twice.
#[test]
fn power_cuts_under_a_tablet_on_its_own() {
    let cuts = sample::of(60, 200);
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
        let mut w = w;
        let port = w.port.to_string();
        there(&c, &w, "machine", HAT).await;
        let (mut made, mut stands) = (0_i64, 0_i64);
        for cut in 0..cuts {
            w.kill();
            // Forwards, and sometimes back; near the end mostly back.
            for touch in 0..1 + cut % 3 {
                if stands > 130 || (cut % 7 == 3 && touch == 1) {
                    press(&c, "back").await;
                    stands -= 1;
                } else {
                    pedal(&c).await;
                    stands += 1;
                }
                made += 1;
            }
            assert_eq!(at(&c).await, stands, "cut {cut}: on the glass");
            w = Workshop::open(&path, &["--port", &port]);
            until(&c, "all sent", &format!("document.getElementById('cue').dataset.seq === '{made}'")).await;
            let kept = state(&w);
            assert_eq!((kept["seq"].as_i64(), kept["position"].as_i64()), (Some(made), Some(stands)), "cut {cut}");
        }
        println!("{cuts} power cuts, {made} touches");
    });
}
