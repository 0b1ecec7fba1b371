//! Who comes into the workshop: strangers kept out, devices paired, more asked than can be answered.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::io::{Read, Write};
use std::net::TcpStream;

use latchwork_tests::browser::opened;
use latchwork_tests::workshop::{Workshop, exchange};

const HAT: &str = "/d/deck-hat.kdl";

#[test]
fn strangers_are_kept_out() {
    let (_folder, w) = opened();
    let host = |host: &str| {
        w.raw(format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes()).unwrap().status
    };
    assert_eq!(host("evil.example"), 421, "another name could be another site's");
    assert_eq!(host(&format!("evil.example:{}", w.port)), 421);
    assert_eq!(host(&format!("localhost:{}", w.port)), 200);
    let fields = [("base", "x")];
    let from = |lines: &str| w.post_from(&format!("{HAT}/undo"), &fields, lines).unwrap().status;
    assert_eq!(from("Origin: http://evil.example\r\n"), 403);
    assert_eq!(from("Origin: null\r\n"), 403);
    assert_eq!(from("Sec-Fetch-Site: cross-site\r\n"), 403);
    assert_eq!(from(""), 403, "nobody says where it comes from");
    assert_eq!(from(&format!("Origin: {}\r\n", w.address())), 200);
    assert_eq!(from("Sec-Fetch-Site: same-origin\r\n"), 200);
    for path in [
        "/d/..%2F..%2Fetc%2Fpasswd",
        "/d/%2Fetc%2Fpasswd",
        "/d/.latchwork.db",
        "/d/..",
        "/..%2Fetc%2Fpasswd",
        "/d/a%00.kdl",
    ] {
        assert_eq!(w.get(path).status, 404, "{path}");
    }
}

/// Another device in the house sees nothing before it is paired; a code is tried only so often.
#[test]
fn only_paired_devices_come_in() {
    let folder = tempfile::tempdir().unwrap();
    let mut w = Workshop::open(folder.path(), &["--share"]);
    w.post("/examples", &[]).unwrap();
    let (address, code) = w.shared.clone().unwrap();
    assert!(code.len() == 8 && code.chars().all(|c| c.is_ascii_digit()));
    if address.starts_with("127.") {
        // A machine without a network has no other address to come from.
        return;
    }
    let get = |path: &str, cookie: &str| {
        exchange(
            &address,
            format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n{cookie}\r\n").as_bytes(),
        )
        .unwrap()
    };
    let pair = |code: &str| {
        let body = format!("code={code}");
        exchange(&address, format!("POST /pair HTTP/1.1\r\nHost: {address}\r\nOrigin: http://{address}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}", body.len()).as_bytes()).unwrap()
    };
    for path in
        ["/", HAT, "/d/deck-hat.kdl/machine", "/d/deck-hat.kdl/cues", "/d/deck-hat.kdl/count/54/0/stream", "/share"]
    {
        let page = get(path, "");
        assert_eq!(page.status, 401, "{path}");
        assert!(!page.text().contains("Deck hat"), "{path}");
    }
    let wrong = if code == "00000000" { "00000001" } else { "00000000" };
    let moment = || std::thread::sleep(std::time::Duration::from_millis(1100));
    assert_eq!(pair(wrong).status, 401);
    for _ in 0..25 {
        let told = pair(&code);
        assert_eq!(told.status, 429, "one try a second, even with the right code");
        assert!(told.text().contains("one try a second") && told.head.contains("retry-after: 1"));
    }
    moment();
    let paired = pair(&code);
    assert_eq!(paired.status, 303, "and nobody is locked out");
    let cookie = paired.head.lines().find_map(|l| l.strip_prefix("set-cookie: ")).unwrap().to_string();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    let cookie = format!("Cookie: {}\r\n", cookie.split(';').next().unwrap());
    assert!(get(HAT, &cookie).text().contains("Deck hat"));
    assert_eq!(w.get("/").status, 200, "this machine needs no code");
    // It comes in after a restart, but not to another folder at the same address, nor once the pairing is taken back.
    let port = w.port.to_string();
    let key = cookie.split('=').nth(1).unwrap().trim();
    assert!(key.len() == 64, "256 bits: {key}");
    for kept in std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_file()) {
        let bytes = std::fs::read(&kept).unwrap();
        assert!(!bytes.windows(key.len()).any(|w| w == key.as_bytes()), "no key in {}", kept.display());
    }
    w.kill();
    let other = tempfile::tempdir().unwrap();
    let mut elsewhere = Workshop::open(other.path(), &["--share", "--port", &port]);
    assert_eq!(get("/", &cookie).status, 401, "another folder");
    elsewhere.kill();
    let w = Workshop::open(folder.path(), &["--share", "--port", &port]);
    assert!(get(HAT, &cookie).text().contains("Deck hat"), "after a restart");
    let page = w.get("/share").text();
    let mark = page.split("name=\"mark\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(w.post("/share/take-back", &[("mark", mark)]).unwrap().status, 303);
    assert_eq!(get(HAT, &cookie).status, 401, "taken back");
}

/// A folder is open on the same port every time, and two folders on two.
#[test]
fn a_folder_keeps_its_port() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut first = Workshop::open(one.path(), &["--own-port"]);
    let port = first.port;
    let second = Workshop::open(two.path(), &["--own-port"]);
    assert_ne!(second.port, port, "the next that is free");
    first.kill();
    assert_eq!(Workshop::open(one.path(), &["--own-port"]).port, port);
    // If another program has it meanwhile, the next is taken, and its own again later.
    let taken = std::net::TcpListener::bind(("127.0.0.1", port)).unwrap();
    let mut third = Workshop::open(one.path(), &["--own-port"]);
    assert_ne!(third.port, port);
    third.kill();
    drop(taken);
    assert_eq!(Workshop::open(one.path(), &["--own-port"]).port, port);
}

#[test]
fn huge_requests_are_refused() {
    let (_folder, w) = opened();
    let head = format!(
        "POST {HAT}/document HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\nOrigin: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000000000\r\n\r\n",
        w.port,
        w.address()
    );
    let mut s = TcpStream::connect(("127.0.0.1", w.port)).unwrap();
    s.write_all(head.as_bytes()).unwrap();
    let mut sent = 0_usize;
    while sent < 1_000_000_000 && s.write_all(&[b'a'; 65_536]).is_ok() {
        sent += 65_536;
        if sent > 8_000_000 {
            break;
        }
    }
    let mut said = String::new();
    let _ = s.set_read_timeout(Some(std::time::Duration::from_secs(5)));
    let _ = s.take(300).read_to_string(&mut said);
    assert!(said.is_empty() || said.contains(" 413 "), "{said}");
    assert_eq!(w.get("/").status, 200, "and it still answers");
}

#[test]
fn many_listeners_do_not_bring_it_down() {
    let (_folder, w) = opened();
    let path = format!("{HAT}/count/54/0/stream");
    let mut open = Vec::new();
    let mut refused = 0;
    for _ in 0..10_000 {
        let mut s = TcpStream::connect(("127.0.0.1", w.port)).unwrap();
        s.set_read_timeout(Some(std::time::Duration::from_secs(5))).unwrap();
        s.write_all(format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", w.port).as_bytes()).unwrap();
        let mut said = [0_u8; 12];
        s.read_exact(&mut said).unwrap();
        if said.ends_with(b"503") {
            refused += 1;
        } else {
            open.push(s);
        }
    }
    assert!(open.len() <= 64 && refused >= 9_936, "{} and {refused}", open.len());
    assert_eq!(w.get("/").status, 200);
}
