//! Timings at the machine, as docs/performance.md has them: `cd tests && cargo run --release -q --example machine`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "prints a table")]

use std::io::Write;
use std::net::TcpStream;
use std::time::{Duration, Instant};

use latchwork_tests::browser::{Driver, there};
use latchwork_tests::workshop::Workshop;

const HAT: &str = "/d/deck-hat.kdl/machine?size=54&piece=0";
const COUNT: &str = "/d/deck-hat.kdl/count/54/0";

fn told(what: &str, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    let (n, at) = (times.len(), |share: usize| times[(times.len() * share / 100).min(times.len() - 1)]);
    println!(
        "{what:<44} {:>6.1} ms at the median of {n}, {:.1} at the 95th percentile, {:.1} at worst",
        at(50),
        at(95),
        at(100)
    );
}

/// Pass notes of two thousand cues: two rows, then loops moved for holes, no two rows alike.
fn long() -> String {
    let ladder = include_str!("../../designs/ladder-cuff.notes");
    let head = ladder[..ladder.find("cast on").unwrap()].replace("ladder cuff", "long piece");
    let mut all = format!("{head}cast on 150 needles plain\nweights 600 g\n");
    for k in 0..660 {
        let [a, b, c] = [1 + (k * 7) % 70, 2 + (k * 11) % 30, 36 + (k * 5) % 34];
        all.push_str(&format!("Part{}: 2 rows plain at 5\neyelets at L{a}, R{b}, R{c} to the right\n", k / 40));
    }
    all + "2 rows plain at 5\nbind off\n"
}

/// How long a touch takes until it is in the journal and the answer is read.
fn touches(w: &Workshop, from: i64, many: i64) -> Vec<f64> {
    let one = |seq: i64| {
        let (key, n) = (format!("{}-{seq}", w.port), seq.to_string());
        // Forwards and back, so that the piece never ends.
        let kind = if seq % 2 == 0 { "made" } else { "back" };
        let begun = Instant::now();
        let answer = w.post(COUNT, &[("key", &key), ("seq", &n), ("kind", kind), ("n", "1")]).unwrap();
        assert_eq!(answer.status, 200, "{}", answer.text());
        begun.elapsed().as_secs_f64() * 1e3
    };
    (from..from + many).map(one).collect()
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let mut w = Workshop::open(folder.path(), &[]);
    let _ = w.post("/examples", &[]);
    let starts = (0..9).map(|_| {
        w.kill();
        let begun = Instant::now();
        w = Workshop::open(folder.path(), &[]);
        assert_eq!(w.get(HAT).status, 200);
        begun.elapsed().as_secs_f64() * 1e3
    });
    told("start to first cue", starts.collect());
    std::fs::write(folder.path().join("long.notes"), long()).unwrap();
    let list = w.get("/d/long.notes/machine").text();
    let at = list.find("/d/long.notes/machine?").unwrap_or_else(|| panic!("{list}"));
    let path = list[at..].split('"').next().unwrap().replace("&amp;", "&");
    let begun = Instant::now();
    let page = w.get(&path).text();
    let took = begun.elapsed().as_secs_f64() * 1e3;
    let piece = page.split("id=\"piece\">").nth(1).unwrap().split("</script>").next().unwrap();
    let cues = serde_json::from_str::<serde_json::Value>(piece).unwrap()["cues"].as_array().unwrap().len();
    println!(
        "a piece of {cues} cues, its page in {took:.1} ms     {:>6.1} KB of it the piece, {:.1} KB in all",
        piece.len() as f64 / 1e3,
        page.len() as f64 / 1e3
    );
    told("a touch in the journal", touches(&w, 0, 300));
    // Ten thousand pages that listen: as many as it lets in are answered, the rest are refused or closed.
    let ask = format!("GET {COUNT}/stream HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", w.port);
    let mut streams = Vec::new();
    for _ in 0..10_000 {
        if let Ok(mut s) = TcpStream::connect(("127.0.0.1", w.port)) {
            let _ = s.write_all(ask.as_bytes());
            streams.push(s);
        }
    }
    std::thread::sleep(Duration::from_millis(500));
    let answered = streams.iter_mut().filter(|s| {
        let _ = s.set_nonblocking(true);
        let mut head = [0; 16];
        s.peek(&mut head).is_ok_and(|n| n > 0 && head.starts_with(b"HTTP/1.1 200"))
    });
    println!("{} of 10000 streams answered, the rest told", answered.count());
    told("a touch with 10000 streams", touches(&w, 300, 300));
    drop(streams);
    let profile = tempfile::tempdir().unwrap();
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    let driver = Driver::start();
    runtime.block_on(async {
        let c = driver.client(profile.path(), 1024).await;
        let glass = "const times = [], touch = document.getElementById('touch'), now = document.getElementById('now');
            const at = () => document.getElementById('cue').dataset.position;
            document.querySelector('[data-do=many]').click();
            for (let k = 0, was = ''; k < 300 && was !== at(); k++) { was = at(); const begun = performance.now(); touch.click(); now.getBoundingClientRect(); times.push(performance.now() - begun); }
            return times";
        for (what, path) in [("a touch on the glass, the hat", HAT), ("a touch on the glass, the long piece", path.as_str())] {
            there(&c, &w, "machine", path).await;
            let times = c.execute(glass, vec![]).await.unwrap();
            told(what, times.as_array().unwrap().iter().filter_map(serde_json::Value::as_f64).collect());
        }
        c.close().await.unwrap();
    });
}
