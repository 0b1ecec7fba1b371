//! The workshop page in a real browser: a newcomer's way from nothing to a handout, keyboard alone, two devices at one
//! machine, accessibility (axe-core 4.12, WCAG 2.2 AA), three widths. Pictures of every page are left in target/screens.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "tests, one of which tells a time"
)]

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use std::time::Duration;

use fantoccini::key::Key;
use fantoccini::{Client, ClientBuilder, Locator};
use latchwork_tests::workshop::Workshop;

struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts a driver; one that finds no port is started again.
    fn start() -> Driver {
        Driver::at_home(None)
    }

    /// The same, of somebody whose home is a folder: what it trusts is kept there.
    fn at_home(home: Option<&Path>) -> Driver {
        for _ in 0..5 {
            let mut command = Command::new("chromedriver");
            if let Some(home) = home {
                command.env("HOME", home);
            }
            let mut child = command
                .arg("--port=0")
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .expect("chromedriver: run ./check");
            let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
            let said = lines.find_map(|l| l.split("started successfully on port ").nth(1).map(str::to_string));
            if let Some(port) = said.and_then(|p| p.trim_end_matches('.').parse().ok()) {
                std::thread::spawn(move || lines.for_each(drop));
                return Driver { child, port };
            }
            let _ = child.kill();
            let _ = child.wait();
        }
        panic!("no chromedriver starts");
    }

    async fn client(&self, folder: &Path, width: u32) -> Client {
        // A window may not be made as narrow as a phone; a phone may be played.
        self.glass(folder, width, (width < 500).then_some(800)).await
    }

    /// A browser of a width; with a height, one that plays a device of just that glass.
    async fn glass(&self, folder: &Path, width: u32, height: Option<u32>) -> Client {
        let args = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--force-device-scale-factor=1",
            "--lang=en-GB",
        ];
        let mut args: Vec<String> = args.map(String::from).to_vec();
        args.push(format!("--window-size={width},900"));
        let mut options = serde_json::json!({});
        if let Some(height) = height {
            let metrics = serde_json::json!({ "width": width, "height": height, "pixelRatio": 1.0, "touch": true });
            options["mobileEmulation"] = serde_json::json!({ "deviceMetrics": metrics });
        }
        args.push(format!("--user-data-dir={}", folder.display()));
        options["args"] = serde_json::json!(args);
        let caps = serde_json::json!({ "goog:chromeOptions": options });
        ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new())
            .capabilities(caps.as_object().unwrap().clone())
            .connect(&format!("http://127.0.0.1:{}", self.port))
            .await
            .unwrap()
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// One browser at a time: two at once starve each other on a small machine.
static TURN: Mutex<()> = Mutex::new(());

fn turn() -> std::sync::MutexGuard<'static, ()> {
    TURN.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Runs a scene in a browser; the browser is closed whatever comes of it.
fn scene<F: Future<Output = ()>>(width: u32, act: impl FnOnce(Client) -> F) {
    on_glass(width, None, act);
}

/// The same, on a glass so wide and high.
fn on_glass<F: Future<Output = ()>>(width: u32, height: Option<u32>, act: impl FnOnce(Client) -> F) {
    let _turn = turn();
    let driver = Driver::start();
    let profile = tempfile::tempdir().unwrap();
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let c = match height {
            Some(_) => driver.glass(profile.path(), width, height).await,
            None => driver.client(profile.path(), width).await,
        };
        act(c.clone()).await;
        c.close().await.unwrap();
    });
}

async fn text(c: &Client, css: &str) -> String {
    c.wait().at_most(Duration::from_secs(20)).for_element(Locator::Css(css)).await.unwrap().text().await.unwrap()
}

/// Waits until a script says so.
async fn until(c: &Client, what: &str, script: &str) {
    for _ in 0..800 {
        if c.execute(&format!("return {script}"), vec![]).await.unwrap().as_bool() == Some(true) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("{what}: it never came to {script}");
}

async fn picture(c: &Client, name: &str) {
    std::fs::create_dir_all("../target/screens").unwrap();
    std::fs::write(format!("../target/screens/{name}.png"), c.screenshot().await.unwrap()).unwrap();
}

async fn axe(c: &Client, page: &str) {
    let path = std::env::var("LATCHWORK_AXE").unwrap_or_else(|_| "../target/axe.min.js".to_string());
    let script = std::fs::read_to_string(path).expect("axe-core: run ./check");
    c.execute(&script, vec![]).await.unwrap();
    let run = "const done=arguments[arguments.length-1];axe.run(document,{runOnly:{type:'tag',values:['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']}}).then(r=>done(r.violations.map(v=>v.id+': '+v.nodes.map(n=>n.html.slice(0,160)+' '+(n.any[0]?n.any[0].message:'')).slice(0,3).join(' | '))),e=>done([String(e)]))";
    let found = c.execute_async(run, vec![]).await.unwrap();
    assert_eq!(found.as_array().map_or(1, Vec::len), 0, "{page}: {found:#}");
}

fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    w.post("/examples", &[]).unwrap();
    (folder, w)
}

const PAGES: [(&str, &str); 10] = [
    ("shelf", "/"),
    ("design", "/d/deck-hat.kdl"),
    ("document", "/d/deck-hat.kdl/document"),
    ("rehearse", "/d/deck-hat.kdl/rehearse?at=60"),
    ("machine", "/d/deck-hat.kdl/machine?size=54&piece=0"),
    ("handout", "/d/deck-hat.kdl/handout"),
    ("share", "/share"),
    ("cues", "/d/deck-hat.kdl/cues"),
    ("keeping", "/d/deck-hat.kdl/keeping"),
    ("pieces", "/d/deck-hat.kdl/machine"),
];

async fn there(c: &Client, w: &Workshop, page: &str, path: &str) {
    c.goto(&format!("{}{path}", w.address())).await.unwrap();
    match page {
        "rehearse" => until(c, page, "document.getElementById('nth').textContent.length > 3").await,
        "machine" => until(c, page, "document.getElementById('cue').dataset.ready === '1'").await,
        _ => {}
    }
}

#[test]
fn a_newcomer_gets_from_nothing_to_a_handout() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    scene(1280, |c| async move {
        c.goto(&w.address()).await.unwrap();
        assert!(text(&c, "main").await.contains("Nothing here yet"));
        let title = c.find(Locator::Css("#title")).await.unwrap();
        title.clear().await.unwrap();
        title.send_keys("Watch hat").await.unwrap();
        c.find(Locator::Css("form.guide button.main")).await.unwrap().click().await.unwrap();
        picture(&c, "newcomer").await;
        assert_eq!(text(&c, "#work h1").await, "Watch hat");
        // A number typed is answered in place.
        let rows = c.find(Locator::Css("#r0-0")).await.unwrap();
        rows.clear().await.unwrap();
        rows.send_keys(&format!("20{}", char::from(Key::Tab))).await.unwrap();
        until(
            &c,
            "rows",
            "document.querySelector('.acts form button .label')?.textContent.includes('brim: 20 rows') === true",
        )
        .await;
        assert!(std::fs::read_to_string(folder.path().join("watch-hat.kdl")).unwrap().contains("length (cm)4.53"));
        c.find(Locator::LinkText("Handout")).await.unwrap().click().await.unwrap();
        text(&c, "iframe.sheet").await;
        let pdf = c.execute_async("const done=arguments[0];fetch(document.querySelector('.acts a').href).then(r=>r.arrayBuffer()).then(b=>done(new TextDecoder().decode(b.slice(0,4))))", vec![]).await.unwrap();
        assert_eq!(pdf, "%PDF");
    });
}

#[test]
fn every_page_is_accessible_in_every_light() {
    let (_folder, w) = opened();
    scene(1280, |c| async move {
        for theme in ["light", "dark", "contrast"] {
            for (page, path) in PAGES {
                there(&c, &w, page, path).await;
                c.execute(&format!("localStorage.setItem('latchwork:theme','{theme}');document.documentElement.dataset.theme='{theme}'"), vec![]).await.unwrap();
                c.execute("document.querySelectorAll('details').forEach(d=>d.open=true)", vec![]).await.unwrap();
                // Colours change in a moment of their own.
                tokio::time::sleep(Duration::from_millis(300)).await;
                axe(&c, &format!("{page}, {theme}")).await;
            }
        }
    });
}

#[test]
fn pages_fit_phones_tablets_and_desks() {
    let (_folder, w) = opened();
    for width in [320, 768, 1440] {
        scene(width, |c| async {
            let c = c;
            for (page, path) in PAGES {
                there(&c, &w, page, path).await;
                picture(&c, &format!("{page}-{width}")).await;
                let wide =
                    c.execute("return [innerWidth, document.documentElement.scrollWidth]", vec![]).await.unwrap();
                let wide = wide.as_array().unwrap();
                // What is wider scrolls by itself: a table, the beds, the text of a design.
                assert!(wide[1].as_f64().unwrap() <= wide[0].as_f64().unwrap(), "{page} at {width}: {wide:?}");
                assert!(wide[0].as_f64().unwrap() <= f64::from(width), "{page} at {width}: {wide:?}");
            }
        });
    }
    scene(1440, |c| async move {
        c.set_window_size(1440, 3600).await.unwrap();
        there(&c, &w, "design", PAGES[1].1).await;
        until(&c, "cloth", "[...document.images].every(i => i.complete || i.closest('details:not([open])'))").await;
        picture(&c, "design-whole").await;
    });
}

#[test]
fn everything_is_done_by_keyboard_alone() {
    let (folder, w) = opened();
    scene(1280, |c| async move {
        there(&c, &w, "design", PAGES[1].1).await;
        let before = std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
        // Tab until the handle of a stretch has the focus.
        for _ in 0..60 {
            let at = c.execute("return document.activeElement.classList.contains('grip')", vec![]).await.unwrap();
            if at == true {
                break;
            }
            c.active_element().await.unwrap().send_keys(&char::from(Key::Tab).to_string()).await.unwrap();
        }
        let was = c
            .execute("return Number(document.activeElement.getAttribute('aria-valuenow'))", vec![])
            .await
            .unwrap()
            .as_i64()
            .unwrap();
        c.active_element().await.unwrap().send_keys(&char::from(Key::PageUp).to_string()).await.unwrap();
        until(&c, "taller", &format!("Number(document.activeElement.getAttribute('aria-valuenow')) > {was}")).await;
        assert_ne!(std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap(), before);
        there(&c, &w, "machine", PAGES[4].1).await;
        for k in 1..=3 {
            c.find(Locator::Css("body")).await.unwrap().send_keys(" ").await.unwrap();
            until(&c, "counted", &format!("document.getElementById('cue').dataset.position === '{k}'")).await;
        }
        c.find(Locator::Css("body")).await.unwrap().send_keys(&char::from(Key::Backspace).to_string()).await.unwrap();
        until(&c, "stepped back", "document.getElementById('cue').dataset.position === '2'").await;
        there(&c, &w, "rehearse", PAGES[3].1).await;
        let scrub = c.find(Locator::Css("#scrub")).await.unwrap();
        scrub.send_keys(&char::from(Key::Right).to_string()).await.unwrap();
        until(&c, "one on", "document.getElementById('nth').textContent.startsWith('Step 62 ')").await;
    });
}

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

/// How the cue room stands in a browser.
async fn at(c: &Client) -> i64 {
    let position = c.execute("return Number(document.getElementById('cue').dataset.position)", vec![]).await.unwrap();
    position.as_i64().unwrap()
}

/// A press of the pedal, which is a Space to the page: whatever was pressed before it.
async fn pedal(c: &Client) {
    c.active_element().await.unwrap().send_keys(" ").await.unwrap();
}

/// Presses one of the six buttons.
async fn press(c: &Client, act: &str) {
    c.find(Locator::Css(&format!("[data-do={act}]"))).await.unwrap().click().await.unwrap();
}

/// Answers the question that is asked, and picks the first place where a reading stands at several.
async fn answer(c: &Client, figures: &str) {
    let field = c.find(Locator::Css("#answer")).await.unwrap();
    field.clear().await.unwrap();
    field.send_keys(&format!("{figures}{}", char::from(Key::Enter))).await.unwrap();
    tokio::time::sleep(Duration::from_millis(60)).await;
}

/// Whatever was pressed before, the pedal means "this is done"; in a pause it means nothing.
#[test]
fn a_count_always_counts() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
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
        // Questions that are left as they are.
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
        c.find(Locator::Css("#mended")).await.unwrap().click().await.unwrap();
        focus(c.clone()).await;
        pedal(&c).await;
        assert_eq!(at(&c).await, 6);
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!(state["position"], 6);
    });
}

/// Ripped back from the body to the brim: everything that is otherwise there is told, and ticked before counting goes on.
#[test]
fn after_a_jump_all_is_put_right_first() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        // The body, in which the main bed knits at 4.
        press(&c, "counter").await;
        answer(&c, "40").await;
        until(&c, "told", "document.querySelectorAll('.list li').length === 7").await;
        press(&c, "many").await;
        assert!(text(&c, "#now").await.contains("main"), "the body");
        let said = |c: Client| async move { text(&c, "#now").await };
        assert!(said(c.clone()).await.contains("tuck, knit"), "{}", said(c.clone()).await);
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
            "g in all",
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
        press(&c, "counter").await;
        answer(&c, "0").await;
        c.find(Locator::Css("#choices button")).await.unwrap().click().await.unwrap();
        until(&c, "at the beginning", "document.getElementById('cue').dataset.position === '0'").await;
        press(&c, "many").await;
        press(&c, "counter").await;
        answer(&c, "90").await;
        until(&c, "midway", "document.querySelector('.hull text').textContent === '090'").await;
    });
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
        c.perform_actions(tap(80)).await.unwrap();
        assert_eq!(at(&c).await, 1);
        tokio::time::sleep(Duration::from_millis(300)).await;
        c.perform_actions(tap(400)).await.unwrap();
        assert_eq!(at(&c).await, 3);
    });
}

/// The design is changed while a piece is on the machine: nothing is counted by the new plan before the knitter says so, and
/// where the piece is.
#[test]
fn another_plan_counts_nothing_unasked() {
    let (folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", PAGES[4].1).await;
        for _ in 0..12 {
            pedal(&c).await;
        }
        until(&c, "kept", "document.getElementById('cue').dataset.seq === '12'").await;
        let hat = folder.path().join("deck-hat.kdl");
        let text = std::fs::read_to_string(&hat).unwrap();
        let other = text.replacen("length (cm)6", "length (cm)5", 1);
        assert_ne!(text, other);
        std::fs::write(&hat, other).unwrap();
        // The page that is open holds old cues, and counts by them no more.
        pedal(&c).await;
        until(&c, "told", "document.getElementById('lost').textContent.includes('these cues are old')").await;
        let was = at(&c).await;
        pedal(&c).await;
        press(&c, "back").await;
        assert_eq!(at(&c).await, was);
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
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
        let mut w = w;
        there(&c, &w, "machine", PAGES[4].1).await;
        let port = w.port.to_string();
        // Seen twice, the page is kept on the device too.
        until(&c, "a worker", "document.getElementById('cue').dataset.served === '1'").await;
        until(&c, "a worker", "navigator.serviceWorker.controller !== null").await;
        there(&c, &w, "machine", PAGES[4].1).await;
        w.kill();
        for k in 1..=9 {
            pedal(&c).await;
            assert_eq!(at(&c).await, k, "a touch is the next cue at once");
        }
        // From the cast-on into the brim: the change was told, not crossed blindly.
        let seen = text(&c, "#now").await;
        assert!(seen.contains("Brim, row 3"), "{seen}");
        press(&c, "back").await;
        assert_eq!(at(&c).await, 8);
        assert!(text(&c, "#alone").await.contains("10 kept here"));
        picture(&c, "machine-alone").await;
        axe(&c, "on its own").await;
        // Opened anew while nobody answers, it is where it was, asks for the list, and goes on.
        c.refresh().await.unwrap();
        until(&c, "there again", "document.getElementById('cue')?.dataset.ready === '1'").await;
        assert_eq!(at(&c).await, 8);
        assert!(text(&c, "#now").await.contains("The counter reads 001, in the brim."), "{}", text(&c, "#now").await);
        press(&c, "many").await;
        let w = Workshop::open(&path, &["--port", &port]);
        until(&c, "all sent", "document.getElementById('alone').textContent.length < 9 && document.getElementById('cue').dataset.seq === '10'").await;
        let state: serde_json::Value = serde_json::from_slice(&w.get("/d/deck-hat.kdl/count/54/0").body).unwrap();
        assert_eq!((state["seq"].as_i64(), state["position"].as_i64()), (Some(10), Some(8)));
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
    let driver = Driver::at_home(Some(home.path()));
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
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
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

/// Every screen of a piece stands whole between its bar and its six buttons, on four sizes of glass; figures are 25 mm
/// high and words 12 mm on a tablet of ten inches (264 pixels to the inch, two to one of the page).
#[test]
fn every_screen_stands_whole_and_is_read_at_two_metres() {
    let (_folder, w) = opened();
    for (wide, high) in [(1024, 768), (768, 1024), (390, 844), (1280, 720)] {
        on_glass(wide, Some(high), |c| async {
            let c = c;
            for piece in [0, 1] {
                there(&c, &w, "machine", &format!("/d/deck-hat.kdl/machine?size=60&piece={piece}")).await;
                let inner = c
                    .execute("return [innerWidth, innerHeight, document.documentElement.scrollHeight]", vec![])
                    .await
                    .unwrap();
                assert_eq!(inner[1], inner[2], "{wide} x {high}: nothing to scroll");
                let outside = "const f = document.querySelector('.field').getBoundingClientRect(), out = [];
                    for (const e of document.querySelectorAll('#now *:not(svg *)')) { const r = e.getBoundingClientRect();
                      if (r.width && (r.bottom > f.bottom + 1 || r.right > innerWidth + 1 || r.top < f.top - 1)) out.push(e.tagName + ' ' + e.textContent.slice(0, 40)); }
                    for (const b of document.querySelectorAll('.foot button')) { const r = b.getBoundingClientRect(); if (r.bottom > innerHeight + 1 || b.scrollWidth > b.clientWidth + 1) out.push('button ' + b.textContent); }
                    return out.join('; ')";
                // Only the first of many alike is looked at.
                let mut hull = None;
                loop {
                    let out = c.execute(outside, vec![]).await.unwrap();
                    let here = at(&c).await;
                    assert_eq!(out, "", "{wide} x {high}, piece {piece}, cue {here}");
                    let now = c.execute("const r = document.querySelector('.hull').getBoundingClientRect(); return [r.left, r.top, r.width, r.height].map(Math.round).join()", vec![]).await.unwrap();
                    assert_eq!(*hull.get_or_insert(now.clone()), now, "the hull never moves: cue {here}");
                    let more = c.execute("const many = document.querySelector('[data-do=many]'); if (!many.disabled) { many.click(); document.getElementById('answer').form.requestSubmit(document.querySelector('#ask .main')); } else document.getElementById('touch').click(); return document.getElementById('now').textContent.includes('The piece is done')", vec![]).await.unwrap();
                    tokio::time::sleep(Duration::from_millis(15)).await;
                    if more == true {
                        break;
                    }
                }
                assert_eq!([&inner[0], &inner[1]], [wide, high], "the glass that is asked for");
            }
            if wide == 1024 {
                let high = c.execute("const mm = 132 / 25.4, h = document.querySelector('.hull'), scale = h.getBoundingClientRect().height / 168; return [203 * .64 * scale / mm, parseFloat(getComputedStyle(document.querySelector('.go h2')).fontSize) * .7 / mm]", vec![]).await.unwrap();
                assert!(high[0].as_f64().unwrap() > 24.0 && high[1].as_f64().unwrap() > 11.9, "{high}");
            }
            // The next glass begins at the beginning.
            for piece in [0, 1] {
                w.post(&format!("/d/deck-hat.kdl/begin/60/{piece}"), &[]).unwrap();
            }
        });
    }
}

/// A whole hat by the pedal, with thirty accidents on the way: what the page says is where the piece is, each time.
#[test]
fn a_whole_hat_by_pedal_with_thirty_accidents() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    let design = latchwork::design::from_text(include_str!("../../designs/deck-hat.kdl")).0.unwrap();
    let proven = latchwork::check::prove(&design, &[2]).proven.unwrap();
    let size = &proven.sizes()[0];
    let cues = latchwork::cues::cues(&size.plans.pieces[0], &size.pieces[0].run);
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
                    // The last place at which the counter reads so.
                    let mut to = (0..=really).rev().find(|k| reads(*k) == reading).unwrap();
                    while to > 0 && reads(to - 1) == reading {
                        to -= 1;
                    }
                    if reads(really) == reading {
                        to = really;
                    }
                    press(&c, "ripped").await;
                    answer(&c, &reading.to_string()).await;
                    let several = c.find_all(Locator::Css("#ask[open] #choices button")).await.unwrap();
                    if let Some(last) = several.last() {
                        last.click().await.unwrap();
                    }
                    really = to;
                    ticked(c.clone()).await;
                }
                // Help, and back.
                5 => {
                    press(&c, "wrong").await;
                    c.find(Locator::Css("#mended")).await.unwrap().click().await.unwrap();
                }
                // The page is opened anew.
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
                    let several = c.find_all(Locator::Css("#ask[open] #choices button")).await.unwrap();
                    for place in several {
                        let value = place.attr("value").await.unwrap().unwrap();
                        if value == really.to_string() {
                            place.click().await.unwrap();
                            break;
                        }
                    }
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
        until(&c, "told", "document.getElementById('lost').textContent.includes('Another program holds the journal')")
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
        // Nobody touches: it is told all the same.
        until(&c, "told", "!document.getElementById('journal').hidden && document.getElementById('journal').textContent.includes('.latchwork-2.db')").await;
        axe(&c, "a lost journal").await;
        picture(&c, "machine-journal").await;
        touch().await;
        until(&c, "goes on", &at(3)).await;
    });
}

/// A loop touched in the cloth leads to the pass that made it.
#[test]
fn the_cloth_leads_to_the_pass() {
    let (_folder, w) = opened();
    scene(1280, |c| async move {
        there(&c, &w, "design", PAGES[1].1).await;
        let img = c.find(Locator::Css("figure.cloth img")).await.unwrap();
        c.execute("arguments[0].scrollIntoView({block:'center'})", vec![serde_json::to_value(&img).unwrap()])
            .await
            .unwrap();
        until(&c, "drawn", "(i => i.complete && i.naturalWidth > 100)(document.querySelector('figure.cloth img'))")
            .await;
        img.click().await.unwrap();
        until(&c, "nearer", "document.querySelector('figure.cloth').classList.contains('near') && document.querySelector('figure.cloth img').complete").await;
        tokio::time::sleep(Duration::from_millis(800)).await;
        picture(&c, "cloth-near").await;
        // Both sides, and down to a single loop, by buttons too.
        c.find(Locator::Css("[data-cloth-do=turn]")).await.unwrap().click().await.unwrap();
        c.find(Locator::Css("[data-cloth-do=in]")).await.unwrap().click().await.unwrap();
        until(&c, "the other side", "(i => i.src.includes('/back.png') && i.complete && i.naturalWidth > 100)(document.querySelector('figure.cloth img'))").await;
        picture(&c, "cloth-back").await;
        c.find(Locator::Css("figure.cloth img")).await.unwrap().click().await.unwrap();
        until(&c, "the pass", "location.pathname.endsWith('/rehearse') && location.search.includes('at=')").await;
    });
}

/// Heights and tapers are dragged with a pointer.
#[test]
fn stretches_are_dragged() {
    use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
    let (folder, w) = opened();
    scene(1280, |c| async move {
        there(&c, &w, "design", PAGES[1].1).await;
        for (what, x, y) in [("rows", 0.0, -40.0), ("end-needles", 60.0, 0.0)] {
            let css = format!(".grip[data-what='{what}'] ellipse");
            let all = c.find_all(Locator::Css(&css)).await.unwrap();
            let grip = all.last().unwrap().clone();
            c.execute("arguments[0].scrollIntoView({block:'center'})", vec![serde_json::to_value(&grip).unwrap()])
                .await
                .unwrap();
            let before = std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
            let moment = Some(Duration::from_millis(60));
            let drag = MouseActions::new("mouse".to_string())
                .then(PointerAction::MoveToElement { element: grip, duration: moment, x: 0.0, y: 0.0 })
                .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
                .then(PointerAction::MoveBy { duration: moment, x: x / 2.0, y: y / 2.0 })
                .then(PointerAction::MoveBy { duration: moment, x: x / 2.0, y: y / 2.0 })
                .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
            c.perform_actions(drag).await.unwrap();
            let undo = if what == "rows" { " rows" } else { "left at its end" };
            until(
                &c,
                what,
                &format!("document.querySelector('.acts form button .label')?.textContent.includes('{undo}') === true"),
            )
            .await;
            assert_ne!(std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap(), before, "{what}");
        }
        picture(&c, "dragged").await;
    });
}

/// Scrubbing a rehearsal draws every frame that the screen asks for; the figure itself is printed for
/// docs/performance.md (`--nocapture`) and not judged, for a test machine may be busy.
#[test]
fn scrubbing_draws_every_step_asked_for() {
    let (folder, w) = opened();
    let scarf = std::fs::read_to_string(folder.path().join("scarf.kdl")).unwrap();
    std::fs::write(folder.path().join("wide.kdl"), scarf.replace("width (cm)20", "width (cm)60")).unwrap();
    scene(1440, |c| async move {
        there(&c, &w, "rehearse", "/d/wide.kdl/rehearse?size=long").await;
        let run = "const done=arguments[0],s=document.getElementById('scrub'),n=document.getElementById('nth');let k=0,last=performance.now(),seen=new Set();const t=[];\
            function f(now){seen.add(n.textContent);s.value=(k*7)%Number(s.max);s.dispatchEvent(new Event('input'));t.push(now-last);last=now;\
            if(++k<240)requestAnimationFrame(f);else{t.sort((a,b)=>a-b);done([Number(s.max)+1,seen.size,t[120],t[228],t[239]])}}requestAnimationFrame(f)";
        let told = c.execute_async(run, vec![]).await.unwrap();
        let of = |k: usize| told[k].as_f64().unwrap();
        println!(
            "{} steps: {:.1} ms a frame at the median, {:.1} at the 95th percentile, {:.1} at worst",
            of(0),
            of(2),
            of(3),
            of(4)
        );
        // Of 240 frames each showed another step, but for the few that repeat or come before the first.
        assert!(of(1) > 200.0, "{told:?}");
    });
}

/// A command of the browser's own protocol.
#[derive(Debug)]
struct Own(&'static str, serde_json::Value);

impl fantoccini::wd::WebDriverCompatibleCommand for Own {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        let body = serde_json::json!({ "cmd": self.0, "params": self.1 });
        (http::Method::POST, Some(body.to_string()))
    }
}

async fn media(c: &Client, media: &str, features: &[(&str, &str)]) {
    let features: Vec<_> = features.iter().map(|(k, v)| serde_json::json!({ "name": k, "value": v })).collect();
    let params = serde_json::json!({ "media": media, "features": features });
    c.issue_cmd(Own("Emulation.setEmulatedMedia", params)).await.unwrap();
}

/// Contrast of every word in a drawing with the paper or the cloth that it stands on, and of all text with the page:
/// the least of them, and where. Colours are read back from a canvas, as they are shown.
const CONTRAST: &str = "const cv=document.createElement('canvas').getContext('2d',{willReadFrequently:true});\
    const rgb=c=>{cv.clearRect(0,0,1,1);cv.fillStyle=c;cv.fillRect(0,0,1,1);return [...cv.getImageData(0,0,1,1).data]};\
    const lum=c=>{const l=rgb(c).slice(0,3).map(v=>{v/=255;return v<=.03928?v/12.92:((v+.055)/1.055)**2.4});return .2126*l[0]+.7152*l[1]+.0722*l[2]};\
    const ratio=(a,b)=>{const x=lum(a),y=lum(b);return (Math.max(x,y)+.05)/(Math.min(x,y)+.05)};\
    const st=(e,p)=>getComputedStyle(e)[p];\
    const behind=e=>{for(;e;e=e.parentElement){const b=st(e,'backgroundColor');if(rgb(b)[3]===255)return b}return st(document.documentElement,'backgroundColor')};\
    let worst=[99,''];const see=(a,b,what)=>{const r=ratio(a,b);if(r<worst[0])worst=[r,what+' '+a+' on '+b]};\
    for(const t of document.querySelectorAll('.paper svg text'))see(st(t,'fill'),behind(t),'chart: '+t.textContent);\
    for(const p of document.querySelectorAll('.paper svg path[stroke=\"#000\"]'))see(st(p,'stroke'),behind(p),'line');\
    for(const t of document.querySelectorAll('.lay .draw > text'))for(const b of t.parentElement.querySelectorAll('.band'))see(st(t,'fill'),st(b,'fill'),'band: '+t.textContent);\
    for(const e of document.querySelectorAll('main h1,main h2,main p,main label,main td'))see(st(e,'color'),behind(e),e.tagName+' '+e.textContent.slice(0,30));\
    return worst";

/// Words and charts hold on what they stand on, in every light, in high contrast, in the system's own colours, and
/// printed from any of them: on paper all is dark on white.
#[test]
fn words_and_charts_hold_in_every_light_and_on_paper() {
    let (_folder, w) = opened();
    scene(1280, |c| async move {
        there(&c, &w, "design", PAGES[1].1).await;
        let dark = ("prefers-color-scheme", "dark");
        type Case<'a> = (&'a str, &'a str, &'a [(&'a str, &'a str)]);
        let cases: [Case<'_>; 10] = [
            ("light", "light", &[]),
            ("dark", "dark", &[]),
            ("contrast", "contrast", &[]),
            ("system-dark", "", &[dark]),
            ("system-contrast", "", &[("prefers-contrast", "more")]),
            ("system-dark-contrast", "", &[dark, ("prefers-contrast", "more")]),
            ("forced-light", "", &[("forced-colors", "active"), ("prefers-color-scheme", "light")]),
            ("forced-dark", "", &[("forced-colors", "active"), dark]),
            ("forced-over-dark", "dark", &[("forced-colors", "active"), dark]),
            ("forced-over-contrast", "contrast", &[("forced-colors", "active"), ("prefers-color-scheme", "light")]),
        ];
        for (name, theme, features) in cases {
            let set = if theme.is_empty() {
                "delete document.documentElement.dataset.theme".to_string()
            } else {
                format!("document.documentElement.dataset.theme='{theme}'")
            };
            c.execute(&set, vec![]).await.unwrap();
            for on in ["screen", "print"] {
                // The system's own colours are for the screen.
                if on == "print" && name.starts_with("forced") {
                    continue;
                }
                media(&c, on, features).await;
                tokio::time::sleep(Duration::from_millis(200)).await;
                let worst = c.execute(CONTRAST, vec![]).await.unwrap();
                if name.starts_with("forced") {
                    // Words on the highlight: the system would put the page's ground behind them, and hide them.
                    let own =
                        "return getComputedStyle(document.querySelector('.sizes [aria-current]')).forcedColorAdjust";
                    assert_eq!(c.execute(own, vec![]).await.unwrap(), "none", "{name}");
                }
                assert!(worst[0].as_f64().unwrap() >= 4.5, "{name}, {on}: {worst}");
                let ground = c
                    .execute("return getComputedStyle(document.documentElement).backgroundColor", vec![])
                    .await
                    .unwrap();
                assert!(on == "screen" || ground == "rgb(255, 255, 255)", "{name}: paper is {ground}");
                picture(&c, &format!("light-{name}-{on}")).await;
            }
        }
    });
}

/// Every control has a name of its own, so that one who does not see where it stands knows what it is of.
#[test]
fn no_two_controls_have_one_name() {
    let (_folder, w) = opened();
    scene(1280, |c| async move {
        for path in ["/", PAGES[1].1, "/d/wrist-warmers.kdl", "/d/deck-hat.kdl/keeping"] {
            c.goto(&format!("{}{path}", w.address())).await.unwrap();
            c.execute("document.querySelectorAll('details').forEach(d=>d.open=true)", vec![]).await.unwrap();
            let tree = c.issue_cmd(Own("Accessibility.getFullAXTree", serde_json::json!({}))).await.unwrap();
            let mut names: Vec<String> = Vec::new();
            for n in tree["nodes"].as_array().unwrap() {
                let role = n["role"]["value"].as_str().unwrap_or_default();
                let control =
                    ["combobox", "textbox", "spinbutton", "button", "slider", "DisclosureTriangle"].contains(&role);
                if control && n["ignored"] == false {
                    names.push(format!("{role}: {}", n["name"]["value"].as_str().unwrap_or_default()));
                }
            }
            assert!(names.len() > 4, "{path}: {names:?}");
            names.sort();
            for two in names.windows(2) {
                assert_ne!(two[0], two[1], "{path}");
            }
        }
    });
}

/// A fault is said at its field, where the focus goes; a fabric without a swatch leads to the form of its swatch.
#[test]
fn a_fault_is_said_where_it_is_and_a_wanted_swatch_is_one_press_away() {
    let (_folder, w) = opened();
    scene(1280, |c| async move {
        there(&c, &w, "design", PAGES[1].1).await;
        let ease = c.find(Locator::Css("#e0-0")).await.unwrap();
        ease.clear().await.unwrap();
        ease.send_keys(&format!("tight{}", char::from(Key::Tab))).await.unwrap();
        until(&c, "at the field", "document.activeElement.id === 'e0-0' && document.activeElement.value === 'tight' && document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent.includes('Ease, % of brim, hat')").await;
        axe(&c, "a fault at a field").await;
        picture(&c, "fault-at-field").await;
        c.execute("const s=document.getElementById('f0-0');s.value='full cardigan';s.dispatchEvent(new Event('change',{bubbles:true}))", vec![]).await.unwrap();
        until(&c, "wanted", "!!document.querySelector('a[data-to]')").await;
        assert!(text(&c, "#wrong").await.contains("full cardigan has no swatch in harbour sock yet"));
        picture(&c, "swatch-wanted").await;
        c.find(Locator::Css("a[data-to]")).await.unwrap().click().await.unwrap();
        until(
            &c,
            "at the swatch",
            "document.activeElement.id === 's-sizes' && document.getElementById('s-fabric').value === 'full cardigan'",
        )
        .await;
        axe(&c, "the swatch wanted").await;
        picture(&c, "swatch-form").await;
        for (id, value) in [
            ("sizes", "3 3"),
            ("needles", "40"),
            ("passes", "60"),
            ("wide", "20.5"),
            ("long", "12.7"),
            ("grams", "14.4"),
        ] {
            c.find(Locator::Css(&format!("#s-{id}"))).await.unwrap().send_keys(value).await.unwrap();
        }
        c.execute("document.getElementById('s-grams').form.requestSubmit()", vec![]).await.unwrap();
        until(&c, "knitted in it", "document.getElementById('f0-0').value === 'full cardigan'").await;
    });
}
