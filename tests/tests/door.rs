//! The workshop's door: silent, slow and strange requests do not stop it, and what costs work is done once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use latchwork_tests::workshop::{Answer, Workshop};

const HAT: &str = "/d/deck-hat.kdl";

fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    assert_eq!(w.post("/examples", &[]).unwrap().status, 303);
    (folder, w)
}

fn connected(w: &Workshop) -> TcpStream {
    let s = TcpStream::connect(("127.0.0.1", w.port)).unwrap();
    s.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    s
}

/// Sockets that say nothing, or half a request, are closed from the oldest on, long before there are too many.
#[test]
fn silent_sockets_do_not_stop_it() {
    let (_folder, w) = opened();
    let silent: Vec<TcpStream> = (0..600)
        .map(|k| {
            let mut s = connected(&w);
            if k % 2 == 1 {
                s.write_all(b"GET / HTTP/1.1\r\nHost: 127").unwrap();
            }
            s
        })
        .collect();
    assert_eq!(w.get("/").status, 200);
    if cfg!(target_os = "linux") {
        let open = std::fs::read_dir(format!("/proc/{}/fd", w.id())).unwrap().count();
        assert!(open < 150, "{open} files are open");
    }
    drop(silent);
    assert_eq!(w.get("/").status, 200);
}

/// A head, a body or a next request that never comes ends the wait, and a page that listens goes on.
#[test]
fn nobody_is_waited_for_without_end() {
    let (_folder, w) = opened();
    let host = format!("Host: 127.0.0.1:{}\r\n", w.port);
    let listen = format!("GET {HAT}/count/54/0/stream HTTP/1.1\r\n{host}\r\n");
    let mut listening = connected(&w);
    listening.write_all(listen.as_bytes()).unwrap();
    let rest = |request: String| {
        let mut s = connected(&w);
        s.write_all(request.as_bytes()).unwrap();
        let mut all = Vec::new();
        let ended = s.read_to_end(&mut all).err().map(|e| e.kind());
        let waits = [ErrorKind::WouldBlock, ErrorKind::TimedOut];
        assert!(
            !ended.is_some_and(|e| waits.contains(&e)),
            "it is still waited for: {}",
            String::from_utf8_lossy(&all)
        );
        String::from_utf8_lossy(&all).to_string()
    };
    std::thread::scope(|scope| {
        scope.spawn(|| rest(String::new()));
        scope.spawn(|| rest("GET / HTTP/1.1\r\nHost: ".to_string()));
        scope.spawn(|| {
            let said = rest(format!("GET /look.css HTTP/1.1\r\n{host}\r\n"));
            assert!(said.starts_with("HTTP/1.1 200"), "{said}");
        });
        scope.spawn(|| {
            let said = rest(format!(
                "POST {HAT}/undo HTTP/1.1\r\n{host}Origin: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\nbase=",
                w.address()
            ));
            assert!(said.starts_with("HTTP/1.1 408") && said.contains("took too long"), "{said}");
        });
    });
    // More than any of these waits has passed: a touch is reported to the page that listens.
    w.post(&format!("{HAT}/count/54/0"), &[("key", "a"), ("seq", "0"), ("kind", "made"), ("n", "1")]).unwrap();
    let mut said = String::new();
    let mut some = [0_u8; 1000];
    while !said.contains("data: 1") {
        let n = listening.read(&mut some).unwrap();
        assert!(n > 0, "{said}");
        said += &String::from_utf8_lossy(&some[..n]);
    }
}

/// Whatever is asked, the answer is a page in plain words.
#[test]
fn every_refusal_is_worded() {
    let (_folder, w) = opened();
    let raw = |method: &str, path: &str, lines: &str, body: &str| {
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\nOrigin: {}\r\nContent-Length: {}\r\n{lines}\r\n{body}",
            w.port,
            w.address(),
            body.len()
        );
        w.raw(request.as_bytes()).unwrap()
    };
    let form = "Content-Type: application/x-www-form-urlencoded\r\n";
    let undo = format!("{HAT}/undo");
    let count = format!("{HAT}/count/54/0");
    let all: Vec<(&str, Answer, u16)> = vec![
        ("a method that is none", raw("DELETE", "/", "", ""), 405),
        ("a post to a page", raw("POST", HAT, form, ""), 405),
        ("no such page", raw("GET", "/nothing", "", ""), 404),
        ("no such page within", raw("GET", "/d/deck-hat.kdl/nothing/at/all", "", ""), 404),
        ("no such document", raw("GET", "/d/none.kdl", "", ""), 404),
        ("a piece that is no number", raw("GET", &format!("{HAT}/count/54/first"), "", ""), 400),
        ("a fabric that is no number", raw("GET", "/fabrics/rib", "", ""), 400),
        ("a view that is none", raw("GET", &format!("{HAT}/cloth/54/0/public.png?across=wide"), "", ""), 400),
        ("a name that is no text", raw("GET", "/d/%ff.kdl", "", ""), 400),
        ("no form", raw("POST", &undo, "Content-Type: text/plain\r\n", "hello"), 415),
        ("a form without what is asked", raw("POST", &undo, form, "hello=1"), 422),
        ("a deed that is none", raw("POST", &count, form, "key=a&seq=0&kind=dance"), 422),
        ("too large", raw("POST", &undo, form, &"a".repeat(1_600_000)), 413),
        ("from nowhere", w.post_from(&undo, &[("base", "x")], "").unwrap(), 403),
    ];
    for (what, answer, status) in all {
        assert_eq!(answer.status, status, "{what}: {}", answer.text());
        assert!(answer.head.contains("content-type: text/html"), "{what}: {}", answer.head);
        let text = answer.text();
        assert!(text.contains("<h1>That did not work</h1>"), "{what}: {text}");
        for word in ["deserialize", "Failed", "Invalid URL", "Content-Type", "Cannot parse"] {
            assert!(!text.contains(word), "{what}: {text}");
        }
    }
}

fn tag(answer: &Answer) -> String {
    answer.head.lines().find_map(|l| l.strip_prefix("etag: ")).expect("it has a tag").to_string()
}

/// What a browser already has is not sent again; what changed is.
#[test]
fn prints_and_pictures_are_sent_once() {
    let (folder, w) = opened();
    let again = |path: &str, tag: &str| {
        let request = format!(
            "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\nIf-None-Match: {tag}\r\n\r\n",
            w.port
        );
        w.raw(request.as_bytes()).unwrap()
    };
    let path = folder.path().join("scarf.kdl");
    for (thing, changes) in [
        ("/d/scarf.kdl/handout.pdf", true),
        ("/d/scarf.kdl/files.zip", true),
        ("/d/scarf.kdl/cloth/short/0/public.png?across=200", true),
        ("/fabrics/0", false),
    ] {
        let first = w.get(thing);
        assert_eq!(first.status, 200, "{thing}");
        let had = tag(&first);
        let still = again(thing, &had);
        assert_eq!((still.status, still.body.len()), (304, 0), "{thing}");
        assert_eq!(again(thing, "\"other\"").status, 200, "{thing}");
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, text.replace("(cm)20", "(cm)24")).unwrap();
        let changed = again(thing, &had);
        assert_eq!(changed.status, if changes { 200 } else { 304 }, "{thing}");
        std::fs::write(&path, text).unwrap();
    }
}

/// A dozen handouts at once are set a few at a time: memory stays bounded.
#[test]
fn many_handouts_at_once_take_turns() {
    let (_folder, w) = opened();
    let most = |w: &Workshop| {
        if cfg!(not(target_os = "linux")) {
            return 0;
        }
        let status = std::fs::read_to_string(format!("/proc/{}/status", w.id())).unwrap();
        let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:")).unwrap();
        line.trim().trim_end_matches(" kB").parse::<usize>().unwrap() / 1000
    };
    let sizes = ["", "48", "51", "54", "57", "60"];
    let path = |k: usize| {
        let (paper, kind) = (["a4", "letter"][k % 2], ["normal", "large"][k / 2 % 2]);
        format!("{HAT}/handout.pdf?paper={paper}&type={kind}&size={}", sizes[k / 4])
    };
    let asked: Vec<TcpStream> = (0..12)
        .map(|k| {
            let mut s = connected(&w);
            let host = format!("Host: 127.0.0.1:{}\r\nConnection: close", w.port);
            s.write_all(format!("GET {} HTTP/1.1\r\n{host}\r\n\r\n", path(k)).as_bytes()).unwrap();
            s
        })
        .collect();
    for mut s in asked {
        // On a busy machine the last in line waits long.
        s.set_read_timeout(Some(Duration::from_secs(300))).unwrap();
        let mut all = Vec::new();
        s.read_to_end(&mut all).unwrap();
        assert!(
            all.windows(8).any(|w| w == b"\r\n\r\n%PDF"),
            "{}",
            String::from_utf8_lossy(&all[..200.min(all.len())])
        );
    }
    let megabytes = most(&w);
    assert!(megabytes < 650, "{megabytes} MB");
}

/// With `--tls` other devices are spoken to encrypted: whoever trusts this machine's authority comes to the page that
/// asks for the code, whoever does not is warned, and nothing is sent unencrypted. OpenSSL is the judge, by Python.
#[test]
fn devices_are_spoken_to_encrypted() {
    const ASKS: &str = "import http.client, ssl, sys, urllib.error, urllib.request
address, authority = sys.argv[1:]
def answer(url, trust):
    try:
        return urllib.request.urlopen(url, context=trust, timeout=10).status
    except urllib.error.HTTPError as e:
        return e.code
    except (urllib.error.URLError, http.client.HTTPException, OSError) as e:
        return type(getattr(e, 'reason', e)).__name__
print(answer(f'https://{address}/', ssl.create_default_context(cafile=authority)),
    answer(f'https://{address}/', ssl.create_default_context()),
    answer(f'http://{address}/', None))
";
    let folder = tempfile::tempdir().unwrap();
    let mut w = Workshop::open(folder.path(), &["--share", "--tls"]);
    let (address, _) = w.shared.clone().unwrap();
    if address.starts_with("127.") {
        // A machine without a network has no other address to come from.
        return;
    }
    let pem = w.get("/authority.crt").text();
    assert!(pem.starts_with("-----BEGIN CERTIFICATE-----"), "{pem}");
    let trusted = folder.path().join("trusted.pem");
    std::fs::write(&trusted, &pem).unwrap();
    let out = std::process::Command::new("python3").args(["-c", ASKS, &address]).arg(&trusted).output().unwrap();
    let said = String::from_utf8_lossy(&out.stdout).trim().to_string();
    let (trusts, others) = said.split_once(' ').unwrap();
    assert_eq!(trusts, "401", "it is asked for the code: {said} {}", String::from_utf8_lossy(&out.stderr));
    assert!(others.starts_with("SSLCertVerificationError ") && !others.ends_with("401"), "{said}");
    assert_eq!(w.get("/").status, 200, "this machine speaks to itself in the open");
    // The authority lasts, and its key is not among the designs.
    w.kill();
    let again = Workshop::open(folder.path(), &["--share", "--tls"]);
    assert_eq!(again.get("/authority.crt").text(), pem);
    for kept in std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_file()) {
        let bytes = std::fs::read(&kept).unwrap();
        assert!(!bytes.windows(11).any(|w| w == b"PRIVATE KEY"), "{}", kept.display());
    }
    let kept = latchwork_tests::workshop::state().join("latchwork");
    let keys = || std::fs::read_dir(&kept).unwrap().filter_map(|e| e.unwrap().file_name().into_string().ok());
    assert!(keys().any(|n| n.starts_with("authority") && n.ends_with(".key")));
    #[cfg(unix)]
    assert_eq!(std::os::unix::fs::PermissionsExt::mode(&kept.metadata().unwrap().permissions()) & 0o077, 0);
}
