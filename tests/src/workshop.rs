//! The workshop as a process of its own, and plain requests to it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A workshop that is open; it is killed when it is dropped.
#[derive(Debug)]
pub struct Workshop {
    child: Child,
    /// Its port.
    pub port: u16,
    /// Its address for other devices, and the code that pairs them, when it is shared.
    pub shared: Option<(String, String)>,
}

/// An answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Its status.
    pub status: u16,
    /// Its head, as sent.
    pub head: String,
    /// What it says.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).to_string()
    }

    /// The name of the document's text as the page's forms carry it.
    ///
    /// # Panics
    /// When the page has no forms.
    #[must_use]
    pub fn base(&self) -> String {
        let text = self.text();
        let at = text.find("name=\"base\" value=\"").expect("the page has forms") + 19;
        text[at..at + 16].to_string()
    }
}

/// The program under test.
#[must_use]
pub fn program() -> PathBuf {
    let built = || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../target/release/latchwork"));
    std::env::var("LATCHWORK_PROGRAM").map_or_else(|_| built(), PathBuf::from)
}

/// Where workshops under test remember what is theirs.
#[must_use]
pub fn state() -> PathBuf {
    std::env::temp_dir().join("latchwork-tests")
}

impl Workshop {
    /// Opens the workshop of a folder.
    ///
    /// # Panics
    /// When the program is not built (`./check` builds it) or does not open.
    #[must_use]
    pub fn open(folder: &Path, more: &[&str]) -> Workshop {
        // A port that no other test has, unless the test is about that; and nothing that this machine remembers.
        let port: &[&str] =
            if more.contains(&"--port") || more.contains(&"--own-port") { &[] } else { &["--port", "0"] };
        let more: Vec<&str> = more.iter().copied().filter(|m| *m != "--own-port").collect();
        let mut child = Command::new(program())
            .arg("open")
            .arg(folder)
            .arg("--no-browser")
            .args(&more)
            .args(port)
            .env("XDG_STATE_HOME", state())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program is built: run ./check");
        let mut lines = BufReader::new(child.stdout.take().expect("its output is a pipe")).lines();
        let port = loop {
            let line = lines.next().expect("it says where it is open").expect("it is text");
            if let Some(at) = line.split("http://127.0.0.1:").nth(1) {
                break at.trim_end_matches('/').parse().expect("a port");
            }
        };
        let shared = more.contains(&"--share").then(|| {
            let line = lines.next().expect("it says how to pair").expect("it is text");
            let (address, code) = line.split_once(" with the code ").expect("it tells the code");
            let address = address.rsplit("://").next().expect("it tells the address");
            (address.trim_end_matches('/').to_string(), code.to_string())
        });
        // The rest is read and dropped, so that its pipe never fills.
        std::thread::spawn(move || lines.for_each(drop));
        Workshop { child, port, shared }
    }

    /// Its process number.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Its address.
    #[must_use]
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Kills it as a power cut would.
    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Sends a request as it is given; none where nothing came back.
    #[must_use]
    pub fn raw(&self, request: &[u8]) -> Option<Answer> {
        exchange(&format!("127.0.0.1:{}", self.port), request)
    }

    /// Gets a page.
    ///
    /// # Panics
    /// When nothing answers.
    #[must_use]
    pub fn get(&self, path: &str) -> Answer {
        let request = format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n", self.port);
        self.raw(request.as_bytes()).expect("it answers")
    }

    /// Posts a form as the workshop's own pages do; none where nothing came back.
    #[must_use]
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Option<Answer> {
        self.post_from(path, fields, &format!("Origin: {}\r\n", self.address()))
    }

    /// Posts a form with other lines in its head.
    #[must_use]
    pub fn post_from(&self, path: &str, fields: &[(&str, &str)], lines: &str) -> Option<Answer> {
        let body: Vec<String> = fields.iter().map(|(k, v)| format!("{}={}", coded(k), coded(v))).collect();
        let body = body.join("&");
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n{lines}\r\n{body}",
            self.port,
            body.len()
        );
        self.raw(request.as_bytes())
    }
}

impl Drop for Workshop {
    fn drop(&mut self) {
        self.kill();
    }
}

fn coded(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}

fn unchunked(mut body: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = body.windows(2).position(|w| w == b"\r\n") {
        let Ok(size) = usize::from_str_radix(String::from_utf8_lossy(&body[..end]).trim(), 16) else { break };
        if size == 0 || body.len() < end + 2 + size {
            break;
        }
        out.extend(&body[end + 2..end + 2 + size]);
        body = &body[(end + 4 + size).min(body.len())..];
    }
    out
}

/// Sends a request to an address and reads the answer to its end; none where nothing came back.
#[must_use]
pub fn exchange(address: &str, request: &[u8]) -> Option<Answer> {
    let mut s = TcpStream::connect(address).ok()?;
    s.set_read_timeout(Some(Duration::from_secs(30))).ok()?;
    let _ = s.write_all(request);
    let mut all = Vec::new();
    let _ = s.read_to_end(&mut all);
    let split = all.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&all[..split]).to_string();
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let mut body = all[split + 4..].to_vec();
    if head.to_lowercase().contains("transfer-encoding: chunked") {
        body = unchunked(&body);
    }
    Some(Answer { status, head, body })
}
