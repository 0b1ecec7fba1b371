//! A real browser at the workshop's pages: how it is started, what is waited for, and what a hand at the machine does.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::missing_panics_doc,
    clippy::must_use_candidate,
    clippy::print_stdout,
    reason = "for tests"
)]

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use std::time::Duration;

use fantoccini::key::Key;
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder, Locator};

use crate::workshop::Workshop;

/// Browsers that pages are tried in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Browser {
    /// Chromium, by chromedriver.
    Chromium,
    /// Firefox, by geckodriver.
    Firefox,
}

/// A driver of browsers.
#[derive(Debug)]
pub struct Driver {
    child: Child,
    port: u16,
    browser: Browser,
}

impl Driver {
    /// Starts a driver of Chromium.
    pub fn start() -> Driver {
        Driver::of(Browser::Chromium, None)
    }

    /// The same, for a user whose home is this folder: what the browser trusts is kept there.
    pub fn at_home(home: &Path) -> Driver {
        Driver::of(Browser::Chromium, Some(home))
    }

    /// Starts a driver; one that finds no port is started again.
    pub fn of(browser: Browser, home: Option<&Path>) -> Driver {
        let (program, says) = match browser {
            Browser::Chromium => ("chromedriver".to_string(), "started successfully on port "),
            Browser::Firefox => {
                let built = std::env::var("LATCHWORK_GECKODRIVER");
                (built.unwrap_or_else(|_| "../target/gecko/bin/geckodriver".to_string()), "Listening on 127.0.0.1:")
            }
        };
        for _ in 0..5 {
            let mut command = Command::new(&program);
            if let Some(home) = home {
                command.env("HOME", home);
            }
            let mut child = command
                .arg("--port=0")
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .unwrap_or_else(|e| panic!("{program}: {e}: run ./check"));
            let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
            let said = lines.find_map(|l| l.split(says).nth(1).map(str::to_string));
            if let Some(port) = said.and_then(|p| p.trim_end_matches('.').parse().ok()) {
                std::thread::spawn(move || lines.for_each(drop));
                return Driver { child, port, browser };
            }
            let _ = child.kill();
            let _ = child.wait();
        }
        panic!("no {program} starts");
    }

    /// A browser of this width.
    pub async fn client(&self, folder: &Path, width: u32) -> Client {
        // A window cannot be made as narrow as a phone, but a phone can be emulated.
        self.glass(folder, width, (width < 500).then_some(800)).await
    }

    /// A browser of this width; with a height, one that emulates a device with just that glass.
    pub async fn glass(&self, folder: &Path, width: u32, height: Option<u32>) -> Client {
        if self.browser == Browser::Firefox {
            let options = serde_json::json!({ "moz:firefoxOptions": {
                "args": ["-headless", "--width", width.to_string(), "--height", height.unwrap_or(900).to_string()],
                "prefs": { "intl.accept_languages": "en-GB" },
            } });
            return self.connected(&options).await;
        }
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
        self.connected(&serde_json::json!({ "goog:chromeOptions": options })).await
    }

    async fn connected(&self, caps: &serde_json::Value) -> Client {
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

/// Waits for the turn.
pub fn turn() -> std::sync::MutexGuard<'static, ()> {
    TURN.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Runs a scene in a browser; the browser is closed whatever comes of it.
pub fn scene<F: Future<Output = ()>>(width: u32, act: impl FnOnce(Client) -> F) {
    on_glass(width, None, act);
}

/// The same, on glass of this width and height.
pub fn on_glass<F: Future<Output = ()>>(width: u32, height: Option<u32>, act: impl FnOnce(Client) -> F) {
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

/// A command of Chromium's own tools.
#[derive(Debug)]
struct Tools(serde_json::Value);

impl WebDriverCompatibleCommand for Tools {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("/session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.0.to_string()))
    }
}

/// Asks something of Chromium's own tools, such as to emulate a device.
pub async fn tools(c: &Client, command: &str, with: &serde_json::Value) {
    c.issue_cmd(Tools(serde_json::json!({ "cmd": command, "params": with }))).await.unwrap();
}

/// Runs a scene in each browser, each time with a workshop of its own.
pub fn in_each_browser<F: Future<Output = ()>>(act: impl Fn(Client, std::path::PathBuf, Workshop) -> F) {
    for browser in [Browser::Chromium, Browser::Firefox] {
        println!("in {browser:?}");
        let (folder, w) = opened();
        let _turn = turn();
        let driver = Driver::of(browser, None);
        let profile = tempfile::tempdir().unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let c = driver.glass(profile.path(), 1024, None).await;
            act(c.clone(), folder.path().to_path_buf(), w).await;
            c.close().await.unwrap();
        });
    }
}

/// The text of what a selector names.
pub async fn text(c: &Client, css: &str) -> String {
    c.wait().at_most(Duration::from_secs(20)).for_element(Locator::Css(css)).await.unwrap().text().await.unwrap()
}

/// Waits until a script returns true.
pub async fn until(c: &Client, what: &str, script: &str) {
    for _ in 0..800 {
        if c.execute(&format!("return {script}"), vec![]).await.unwrap().as_bool() == Some(true) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("{what}: it never came to {script}");
}

/// Leaves a picture of the page in target/screens.
pub async fn picture(c: &Client, name: &str) {
    std::fs::create_dir_all("../target/screens").unwrap();
    // A page that is just being put in place of another cannot be taken.
    let mut taken = c.screenshot().await;
    for _ in 0..3 {
        if taken.is_ok() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(500)).await;
        taken = c.screenshot().await;
    }
    std::fs::write(format!("../target/screens/{name}.png"), taken.unwrap()).unwrap();
}

/// No rule of accessibility is broken.
pub async fn axe(c: &Client, page: &str) {
    let path = std::env::var("LATCHWORK_AXE").unwrap_or_else(|_| "../target/axe.min.js".to_string());
    let script = std::fs::read_to_string(path).expect("axe-core: run ./check");
    c.execute(&script, vec![]).await.unwrap();
    let run = "const done=arguments[arguments.length-1];axe.run(document,{runOnly:{type:'tag',values:['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']}}).then(r=>done(r.violations.map(v=>v.id+': '+v.nodes.map(n=>n.html.slice(0,160)+' '+(n.any[0]?n.any[0].message:'')).slice(0,3).join(' | '))),e=>done([String(e)]))";
    let found = c.execute_async(run, vec![]).await.unwrap();
    assert_eq!(found.as_array().map_or(1, Vec::len), 0, "{page}: {found:#}");
}

/// A workshop with the examples.
pub fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    w.post("/examples", &[]).unwrap();
    (folder, w)
}

/// Pages, by name and address.
pub const PAGES: [(&str, &str); 15] = [
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
    ("pattern", "/d/deck-hat.kdl/pattern?fabric=pips"),
    ("starters", "/starters"),
    ("whom", "/begin/set-in-sweater?choose.neck=V"),
    ("one person", "/begin/watch-cap?one=yes&measure.head-girth=57"),
    ("machine and yarn", "/begin/vest/yarn?size=M"),
];

/// Goes to a page, and waits until it is ready.
pub async fn there(c: &Client, w: &Workshop, page: &str, path: &str) {
    c.goto(&format!("{}{path}", w.address())).await.unwrap();
    match page {
        "rehearse" => until(c, page, "document.getElementById('nth').textContent.length > 3").await,
        "machine" => until(c, page, "document.getElementById('cue').dataset.ready === '1'").await,
        _ => {}
    }
}

/// The position of the cue room in a browser.
pub async fn at(c: &Client) -> i64 {
    let position = c.execute("return Number(document.getElementById('cue').dataset.position)", vec![]).await.unwrap();
    position.as_i64().unwrap()
}

/// A press of the pedal, which is a Space to the page: whatever was pressed before it.
pub async fn pedal(c: &Client) {
    c.active_element().await.unwrap().send_keys(" ").await.unwrap();
}

/// Presses one of the six buttons.
pub async fn press(c: &Client, act: &str) {
    c.find(Locator::Css(&format!("[data-do={act}]"))).await.unwrap().click().await.unwrap();
}

/// Says that the piece is at its very beginning: the counter at 000, before anything was done.
pub async fn at_the_beginning(c: &Client) {
    press(c, "counter").await;
    answer(c, "0").await;
    for _ in 0..2 {
        // The farther of two places; then the loops as before the needles came in.
        let choices = c.find_all(Locator::Css("#ask[open] #choices button[value='0']")).await.unwrap();
        let Some(choice) = choices.first() else { break };
        choice.click().await.unwrap();
        tokio::time::sleep(Duration::from_millis(60)).await;
    }
    until(c, "at the beginning", "document.getElementById('cue').dataset.position === '0'").await;
}

/// Answers the question that is asked.
pub async fn answer(c: &Client, figures: &str) {
    let field = c.find(Locator::Css("#answer")).await.unwrap();
    field.clear().await.unwrap();
    field.send_keys(&format!("{figures}{}", char::from(Key::Enter))).await.unwrap();
    tokio::time::sleep(Duration::from_millis(60)).await;
}
