//! The workshop page without a browser: documents kept, counts kept.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::io::{Read, Write};
use std::net::TcpStream;

use latchwork_tests::workshop::{Answer, Workshop};

fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    assert_eq!(w.post("/examples", &[]).unwrap().status, 303);
    (folder, w)
}

fn base(page: &Answer) -> String {
    page.base()
}

const HAT: &str = "/d/deck-hat.kdl";

fn rows(w: &Workshop, base: &str, stretch: &str, rows: &str) -> Answer {
    let fields =
        [("base", base), ("size", "54"), ("piece", "hat"), ("stretch", stretch), ("what", "rows"), ("value", rows)];
    w.post(&format!("{HAT}/revise"), &fields).unwrap()
}

#[test]
fn an_empty_folder_offers_the_examples_and_a_first_design() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    let first = w.get("/");
    assert!(first.text().contains("Add all examples") && first.text().contains("What to make"));
    let weight: usize =
        ["/", "/look.css", "/page.js", "/serif-regular.woff2", "/serif-italic.woff2", "/serif-semibold.woff2"]
            .iter()
            .map(|p| w.get(p).body.len())
            .sum();
    assert!(weight < 100_000, "the first page weighs {weight} bytes, type and all");
    assert!(first.body.len() < 20_000);
}

#[test]
fn every_guided_design_is_proven_and_printed() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    for kind in ["hat", "mitts", "cuff", "scarf"] {
        for who in ["adults", "children", "one"] {
            let title = format!("{kind} for {who}");
            let girth = if kind == "scarf" {
                "150"
            } else if kind == "hat" {
                "56"
            } else {
                "20"
            };
            let fields = [
                ("title", title.as_str()),
                ("kind", kind),
                ("who", who),
                ("girth", girth),
                ("machine", "standard"),
                ("yarn", "my yarn"),
                ("count", "420"),
                ("needles-a", "40"),
                ("passes-a", "60"),
                ("wide-a", "8.3"),
                ("long-a", "13.6"),
                ("grams-a", "14.0"),
                ("needles-b", "40"),
                ("passes-b", "60"),
                ("wide-b", "11.1"),
                ("long-b", "8.8"),
                ("grams-b", "15.6"),
            ];
            let made = w.post("/new", &fields).unwrap();
            assert_eq!(made.status, 303, "{title}: {}", made.text());
            let at = made.head.lines().find_map(|l| l.strip_prefix("location: ")).unwrap().to_string();
            let pdf = w.get(&format!("{at}/handout.pdf"));
            assert!(pdf.status == 200 && pdf.body.starts_with(b"%PDF"), "{title}: {}", pdf.status);
        }
    }
}

#[test]
fn a_change_keeps_comments_and_is_undone_after_a_restart() {
    let (folder, mut w) = opened();
    let path = folder.path().join("deck-hat.kdl");
    let before = std::fs::read_to_string(&path).unwrap();
    let page = rows(&w, &base(&w.get(HAT)), "brim", "30");
    assert_eq!(page.status, 200);
    let after = std::fs::read_to_string(&path).unwrap();
    assert_ne!(before, after);
    assert!(after.contains("// Two swatches of each fabric: their mean is the gauge"));
    let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
    assert_eq!((changed, before.lines().count()), (1, after.lines().count()));
    w.kill();
    let w = Workshop::open(folder.path(), &[]);
    let page = w.get(HAT);
    assert!(page.text().contains("brim: 30 rows"), "undo says what it undoes");
    assert_eq!(w.post(&format!("{HAT}/undo"), &[("base", &base(&page))]).unwrap().status, 200);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    assert_eq!(w.post(&format!("{HAT}/redo"), &[("base", &base(&w.get(HAT)))]).unwrap().status, 200);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), after);
}

/// Whatever is changed by hand and eye stays a design that is read, and gives what was asked.
#[test]
fn every_kind_of_change_does_what_it_says() {
    let (folder, w) = opened();
    let read = || std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    let change = |what: &str, stretch: &str, value: &str| {
        let piece = if what == "in-hand" { "harbour sock" } else { "hat" };
        let fields = [
            ("base", &*base(&w.get(HAT))),
            ("size", "54"),
            ("piece", piece),
            ("stretch", stretch),
            ("what", what),
            ("value", value),
        ];
        let page = w.post(&format!("{HAT}/revise"), &fields).unwrap();
        assert_eq!(page.status, 200, "{what}");
        page.text()
    };
    assert!(change("rows", "body", "70").contains("value=\"70\""));
    change("ease", "brim", "-15");
    assert!(read().contains("around \"head-girth\" (percent)-15"));
    change("add", "brim", "band");
    assert!(read().contains("stretch \"band\""));
    assert!(change("fabric", "band", "half cardigan").contains("band"));
    change("remove", "band", "-");
    assert!(!read().contains("\"band\""));
    change("in-hand", "", "40");
    assert!(read().contains("in-hand (g)40"));
    let swatch = [
        ("base", &*base(&w.get(HAT))),
        ("fabric", "plain"),
        ("sizes", "6"),
        ("needles", "40"),
        ("passes", "60"),
        ("wide", "14.1"),
        ("long", "14.7"),
        ("grams", "14.1"),
    ];
    assert_eq!(w.post(&format!("{HAT}/swatch"), &swatch).unwrap().status, 200);
    assert!(read().contains("swatch \"plain\""));
    let inches = [("base", &*base(&w.get(HAT))), ("inches", "true")];
    assert!(w.post(&format!("{HAT}/units"), &inches).unwrap().text().contains(" in long"));
}

#[test]
fn two_who_change_one_design_lose_nothing() {
    let (folder, w) = opened();
    let path = folder.path().join("deck-hat.kdl");
    let old = base(&w.get(HAT));
    let first = rows(&w, &old, "brim", "30");
    assert_eq!(first.status, 200);
    let now = std::fs::read_to_string(&path).unwrap();
    assert!(rows(&w, &old, "brim", "40").text().contains("changed elsewhere"));
    let both = w.post(&format!("{HAT}/document"), &[("base", &old), ("text", "title \"Mine\"")]).unwrap();
    assert_eq!(both.status, 409);
    assert!(both.text().contains("title &quot;Mine&quot;") && both.text().contains("Deck hat"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), now, "nothing was overwritten");
    // Changed on the disk meanwhile.
    std::fs::write(&path, now.replace("Deck hat", "Other hat")).unwrap();
    assert!(rows(&w, &base(&first), "brim", "50").text().contains("changed elsewhere"));
    assert!(w.get(HAT).text().contains("Other hat"));
}

#[test]
fn scripts_in_every_field_stay_text() {
    let (folder, w) = opened();
    let bad = "<script>alert(1)</script>";
    let text = std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    let text = text
        .replace("Deck hat", bad)
        .replace("harbour sock", "<img src=x onerror=alert(1)>")
        .replace("\"brim\"", "\"<b onclick='alert(1)'>\"")
        .replace("The crew of", bad)
        .replace("back\"", "<svg onload=alert(1)>\"");
    std::fs::write(folder.path().join("bad.kdl"), text).unwrap();
    for path in [
        "/",
        "/d/bad.kdl",
        "/d/bad.kdl/document",
        "/d/bad.kdl/rehearse",
        "/d/bad.kdl/machine",
        "/d/bad.kdl/machine?size=54&piece=0",
        "/d/bad.kdl/handout",
    ] {
        let page = w.get(path).text();
        for raw in ["<script>alert", "<img src=x", "<b onclick", "<svg onload"] {
            assert!(!page.contains(raw), "{path} has {raw}");
        }
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_told_and_nothing_changes() {
    let (folder, w) = opened();
    let before = std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    // Another writer has the folder, and keeps it for longer than the page waits.
    let held = std::fs::File::open(folder.path()).unwrap();
    held.lock().unwrap();
    let page = rows(&w, &base(&w.get(HAT)), "brim", "31");
    assert_eq!(page.status, 507);
    assert!(page.text().contains("Not saved"));
    assert_eq!(std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap(), before);
    drop(held);
    assert_eq!(rows(&w, &base(&w.get(HAT)), "brim", "31").status, 200);
}

fn count(w: &Workshop, fields: &[(&str, &str)]) -> Option<(u16, serde_json::Value)> {
    let a = w.post(&format!("{HAT}/count/54/0"), fields)?;
    Some((a.status, serde_json::from_slice(&a.body).ok()?))
}

#[test]
fn every_recovery_leads_to_where_the_knitter_is() {
    let (_folder, w) = opened();
    let mut seq = 0;
    let mut n = 0;
    let mut happened = |kind: &str, value: &str| {
        n += 1;
        let (status, state) =
            count(&w, &[("key", &n.to_string()), ("seq", &seq.to_string()), ("kind", kind), ("n", value)]).unwrap();
        if status == 200 {
            seq = state["seq"].as_i64().unwrap();
        }
        (status, state)
    };
    for k in 1..=12 {
        assert_eq!(happened("made", "1").1["position"], k);
    }
    let (_, at) = happened("counter", "20");
    assert_eq!(at["counter"], 20);
    let (_, at) = happened("ripped", "12");
    assert_eq!(at["counter"], 12);
    let (_, back) = happened("back", "");
    assert_eq!(back["position"].as_u64().unwrap() + 1, at["position"].as_u64().unwrap());
    assert_eq!(happened("counter", "999").0, 422, "no pass leaves the counter so");
    let (_, paused) = happened("pause", "");
    assert_eq!(paused["paused"], true);
    assert_eq!(happened("resume", "").1["paused"], false);
    // The second of a pair is begun from the start, and what was knitted stays in the log.
    let (_, begun) = happened("begin", "");
    assert_eq!(begun["position"], 0);
    let (_, back) = happened("counter", "2");
    assert_eq!(back["counter"], 2);
    for _ in 0..6 {
        happened("made", "1");
    }
    let back: serde_json::Value = serde_json::from_slice(&w.get(&format!("{HAT}/count/54/0")).body).unwrap();
    // Several plain passes at one touch, but none across a change.
    let run = back["run"].as_u64().unwrap();
    assert!(run >= 2);
    assert_eq!(happened("made", &(run + 1).to_string()).0, 422);
    assert_eq!(happened("made", &run.to_string()).0, 200);
}

/// The design is changed while a piece of it is on the machine: it is reported, and carried on when the knitter says
/// so.
#[test]
fn a_design_changed_meanwhile_is_told_at_the_machine() {
    let (_folder, w) = opened();
    count(&w, &[("key", "a"), ("seq", "0"), ("kind", "made"), ("n", "1")]).unwrap();
    rows(&w, &base(&w.get(HAT)), "brim", "40");
    let state: serde_json::Value = serde_json::from_slice(&w.get(&format!("{HAT}/count/54/0")).body).unwrap();
    assert_eq!(state["replanned"], true);
    assert_eq!(w.post(&format!("{HAT}/count/54/0/carry-on"), &[]).unwrap().status, 200);
    let state: serde_json::Value = serde_json::from_slice(&w.get(&format!("{HAT}/count/54/0")).body).unwrap();
    assert_eq!((state["replanned"].as_bool(), state["position"].as_i64()), (Some(false), Some(1)));
}

/// The server is killed at random moments while a device counts and sends again what was not answered: no pass is lost
/// or counted twice.
#[test]
fn no_kill_loses_a_pass_or_counts_it_twice() {
    let kills = latchwork_tests::sample::of(300_u32, 1000);
    let (folder, mut w) = opened();
    let mut made = 0_i64;
    let mut seed = 7_u64;
    let mut random = move |below: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % below
    };
    for kill in 0..kills {
        let port = w.port;
        let delay = std::time::Duration::from_micros(random(9_000));
        let pid = w.id().to_string();
        let killer = std::thread::spawn(move || {
            std::thread::sleep(delay);
            let _ = std::process::Command::new("kill").args(["-9", &pid]).status();
        });
        // Counts until the server is gone, then again with the same key at the next.
        let mut key = format!("{kill}-0");
        let mut n = 0;
        loop {
            let seq = made.to_string();
            let kind = if made >= 90 { "back" } else { "made" };
            let body = format!("key={key}&seq={seq}&kind={kind}&n=1");
            let request = format!(
                "POST {HAT}/count/54/0 HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nOrigin: http://127.0.0.1:{port}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
                body.len()
            );
            let answered = (|| {
                let mut s = TcpStream::connect(("127.0.0.1", port)).ok()?;
                s.write_all(request.as_bytes()).ok()?;
                let mut all = String::new();
                s.read_to_string(&mut all).ok()?;
                all.starts_with("HTTP/1.1 200").then(|| all.ends_with('}'))?.then_some(())
            })();
            if answered.is_none() {
                break;
            }
            made += 1;
            n += 1;
            key = format!("{kill}-{n}");
        }
        killer.join().unwrap();
        w.kill();
        w = Workshop::open(folder.path(), &[]);
        let (status, state) = count(
            &w,
            &[
                ("key", &key),
                ("seq", &made.to_string()),
                ("kind", if made >= 90 { "back" } else { "made" }),
                ("n", "1"),
            ],
        )
        .unwrap();
        assert_eq!(status, 200, "kill {kill}: {state}");
        made += 1;
        assert_eq!(state["seq"], made, "kill {kill}: each touch counts once");
        let wanted = if made <= 90 { made } else { 180 - made };
        assert_eq!(state["position"], wanted.max(0), "kill {kill}");
        if made >= 165 {
            // Begin again with another folder's journal, so that the piece never ends.
            w.kill();
            std::fs::remove_file(folder.path().join(".latchwork.db")).unwrap();
            let _ = std::fs::remove_file(folder.path().join(".latchwork.db-wal"));
            let _ = std::fs::remove_file(folder.path().join(".latchwork.db-shm"));
            w = Workshop::open(folder.path(), &[]);
            made = 0;
        }
    }
}

/// Posts that arrive together are done one after the other: one changes the document, the others are told that it was changed.
#[test]
fn posts_at_one_moment_are_done_one_after_the_other() {
    let (folder, w) = opened();
    let path = folder.path().join("deck-hat.kdl");
    for round in 0..12 {
        let base = base(&w.get(HAT));
        let told: Vec<(u16, bool)> = std::thread::scope(|s| {
            let posts: Vec<_> = (0..3)
                .map(|k| {
                    let (w, base) = (&w, base.as_str());
                    s.spawn(move || {
                        let page = rows(w, base, "brim", &(30 + 3 * round + k).to_string());
                        (page.status, page.text().contains("changed elsewhere"))
                    })
                })
                .collect();
            posts.into_iter().map(|p| p.join().unwrap()).collect()
        });
        assert!(told.iter().all(|t| t.0 == 200), "{told:?}");
        assert_eq!(told.iter().filter(|t| t.1).count(), 2, "one is done, two are told: {told:?}");
        assert!(std::fs::read_to_string(&path).unwrap().ends_with("out.\"\n"));
    }
}

/// Whatever a press would leave that cannot be understood is refused, and the document stays.
#[test]
fn a_press_never_leaves_a_document_that_cannot_be_understood() {
    let (folder, w) = opened();
    let path = folder.path().join("deck-hat.kdl");
    let before = std::fs::read_to_string(&path).unwrap();
    for (what, value) in [("fabric", "nonsense"), ("ease", "-150"), ("add", " "), ("add", "brim"), ("taper", "5")] {
        let fields = [
            ("base", &*base(&w.get(HAT))),
            ("size", "54"),
            ("piece", "hat"),
            ("stretch", "brim"),
            ("what", what),
            ("value", value),
            ("times", "3"),
        ];
        let page = w.post(&format!("{HAT}/revise"), &fields).unwrap();
        assert!(page.text().contains("role=\"alert\""), "{what} {value}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), before, "{what} {value}");
    }
}

#[test]
fn what_is_kept_is_answered_and_strange_counts_are_refused() {
    let (_folder, w) = opened();
    let send = |key: &str, seq: &str, kind: &str, n: &str| {
        count(&w, &[("key", key), ("seq", seq), ("kind", kind), ("n", n)]).unwrap()
    };
    assert_eq!(send("a", "0", "made", "1").0, 200);
    assert_eq!(send("a", "0", "made", "1").1["position"], 1, "sent again, it counts once");
    for n in ["abc", "-7", "0"] {
        assert_eq!(send("b", "1", "made", n).0, 422, "{n}");
    }
    assert_eq!(send("c", &i64::MAX.to_string(), "made", "1").0, 422);
    assert_eq!(send("d", "0", "made", "1").0, 409, "it follows something older");
    assert_eq!(
        w.post(&format!("{HAT}/count/none/0"), &[("key", "e"), ("seq", "0"), ("kind", "made")]).unwrap().status,
        404
    );
    assert_eq!(w.get(&format!("{HAT}/count/none/0/stream")).status, 404);
    let far = "編".repeat(480);
    let noted =
        w.post(&format!("{HAT}/count/54/0"), &[("key", "f"), ("seq", "1"), ("kind", "note"), ("note", &far)]).unwrap();
    assert_eq!(noted.status, 200);
    // The log becomes comments of the design, and nothing else.
    let page = w.post(&format!("{HAT}/attach/54/0"), &[("base", &base(&w.get(HAT)))]).unwrap();
    assert_eq!(page.status, 303, "back to the design");
    assert!(w.get(&format!("{HAT}/document")).text().contains("// Knitted, size 54"));
}

/// What does not rehearse to its end is not cued: nobody is told that it is done.
#[test]
fn what_was_not_rehearsed_to_its_end_is_not_knitted() {
    let (folder, w) = opened();
    let notes = include_str!("../../designs/ladder-cuff.notes").replace("bind off\n", "");
    std::fs::write(folder.path().join("cuff.notes"), notes).unwrap();
    let page = w.get("/d/cuff.notes/machine").text();
    assert!(page.contains("not ready: its rehearsal failed") && !page.contains("piece=0"), "{page}");
}

/// A size whose yarn runs out says so before the cast-on, and is knitted by a knitter who knows better; one that a rule
/// refuses is not, though its rehearsal comes to its end.
#[test]
fn only_what_is_proven_is_cued() {
    let (folder, w) = opened();
    let hat = include_str!("../../designs/deck-hat.kdl");
    std::fs::write(folder.path().join("short.kdl"), hat.replacen("ball (g)50", "ball (g)50; in-hand (g)70", 1))
        .unwrap();
    let page = |size: &str| w.get(&format!("/d/short.kdl/machine?size={size}&piece=0")).text();
    assert!(page("60").contains("Size 60 runs out of") && page("60").contains("Go on anyway"));
    assert!(page("48").contains("id=\"touch\"") && !page("48").contains("runs out"));
    let refused = hat.replacen("around \"head-girth\" (percent)-34", "around \"head-girth\" (percent)-70", 1);
    assert_ne!(refused, hat);
    std::fs::write(folder.path().join("refused.kdl"), refused).unwrap();
    let all = w.get("/d/refused.kdl/machine").text();
    assert!(!all.contains("piece=0"), "{all}");
    let one = w.get("/d/refused.kdl/machine?size=54&piece=0").text();
    assert!(one.contains("not cued at the machine") && !one.contains("id=\"touch\""), "{one}");
    assert_eq!(w.get("/d/refused.kdl/cues.txt?size=54").status, 404, "no cards either");
}

/// Where a pattern lies, panels, stripes by grams and free passes: each press changes its words of the document and no others,
/// and undo takes it back.
#[test]
fn patterns_are_laid_out_on_the_page() {
    let (folder, w) = opened();
    let scarf = "/d/mist-scarf.kdl";
    let text = || std::fs::read_to_string(folder.path().join("mist-scarf.kdl")).unwrap();
    let before = text();
    let asked = |path: &str, of: (&str, &str), fields: &[(&str, &str)]| {
        let base = base(&w.get(path.rsplit_once('/').unwrap().0));
        let mut all = vec![("base", base.as_str()), ("piece", of.0), ("stretch", of.1), ("id", "x")];
        all.extend(fields);
        w.post(path, &all).unwrap().text()
    };
    let mist = ("scarf", "mist");
    let laid = format!("{scarf}/laid");
    let page = asked(&laid, mist, &[("what", "panel-out"), ("number", "0")]);
    assert!(!text().contains("needles=20") && page.contains("8 needles, 4 needles from the left edge"), "{}", text());
    asked(
        &laid,
        mist,
        &[("what", "panel"), ("fabric", "mesh"), ("needles", "12"), ("at", "centre"), ("in", ""), ("mirrored", "yes")],
    );
    assert!(text().contains("panel \"mesh\" needles=12 at=centre mirrored=yes"), "{}", text());
    // What cannot be is said, and nothing is written.
    let kept = text();
    let page =
        asked(&laid, mist, &[("what", "panel"), ("fabric", "mesh"), ("needles", "1"), ("at", "left"), ("in", "")]);
    assert!(page.contains("Nothing was changed") && text() == kept, "{page}");
    for _ in 0..2 {
        w.post(&format!("{scarf}/undo"), &[("base", &base(&w.get(scarf)))]).unwrap();
    }
    assert_eq!(text(), before);
    // The repeat, in a fabric that selects needles.
    let cushion = "/d/berth-cushion.kdl";
    let cloth = || std::fs::read_to_string(folder.path().join("berth-cushion.kdl")).unwrap();
    let was = cloth();
    let page = w.get(cushion).text();
    assert!(page.contains("The repeat begins") && page.contains("The rows are printed"));
    let begins = was.find("fabric \"honeycomb tuck\"").unwrap();
    let name = was[..begins].rfind("stretch \"").map(|i| was[i + 9..].split('"').next().unwrap().to_string()).unwrap();
    let piece = was[..begins].rfind("piece \"").map(|i| was[i + 7..].split('"').next().unwrap().to_string()).unwrap();
    let of = (piece.as_str(), name.as_str());
    let how =
        [("what", "laid"), ("placed", "centred"), ("mirrored", "yes"), ("printed", "words"), ("selected", "device")];
    asked(&format!("{cushion}/laid"), of, &how);
    let words = ["placed=\"centred\"", "mirrored=\"yes\"", "printed=\"words\""];
    assert!(words.iter().all(|w| cloth().contains(w)) && !cloth().contains("selected"), "{}", cloth());
    asked(&format!("{cushion}/laid"), of, &[("what", "laid"), ("placed", "left"), ("printed", "chart")]);
    assert!(!words.iter().any(|w| cloth().contains(w)), "{}", cloth());
    // Stripes by grams, the rest, and free passes.
    let cowl = "/d/tide-cowl.kdl";
    let stripes = || std::fs::read_to_string(folder.path().join("tide-cowl.kdl")).unwrap();
    let now = stripes();
    let first = now.find("stripes {").and_then(|at| now[..at].rfind("stretch \"")).unwrap();
    let (name, piece) = (now[first + 9..].split('"').next().unwrap(), now[..first].rfind("piece \"").unwrap());
    let piece = now[piece + 7..].split('"').next().unwrap();
    let lines =
        [("yarn", "slack water"), ("many", "7"), ("by", "grams"), ("yarn", "flood"), ("many", ""), ("by", "rest")];
    let page = asked(
        &format!("{cowl}/colours"),
        (piece, name),
        &[&[("what", "stripes"), ("free-pass", "yes")], &lines[..]].concat(),
    );
    let written = stripes().replace('"', "");
    assert!(written.contains("stripes free-pass=yes") && written.contains("yarn slack water grams=7"), "{written}");
    assert!(written.contains("yarn flood\n") && page.contains("value=\"7\""), "{written}");
}
