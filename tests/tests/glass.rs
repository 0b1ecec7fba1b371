//! At the machine, in a real browser: every screen on glass of four sizes, in every theme, and what is heard of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::wording::Language;
use std::time::Duration;

use fantoccini::{Client, Locator};
use latchwork::cues::{Kind, cues};
use latchwork_tests::browser::{
    answer, at, at_the_beginning, axe, on_glass, opened, pedal, picture, press, scene, text, there, tools, until,
};

const HAT: &str = "/d/deck-hat.kdl/machine?size=54&piece=0";
const AIDS: [&str; 8] = ["dropped", "dropped-ribber", "missed", "too-many", "jammed", "ran-out", "by-mistake", "rows"];

/// Pieces that are gone through whole: a hat, its ear flap, a mitt with a slit, a band knitted on to a neck.
const WHOLE: [(&str, &str, usize); 4] = [
    ("deck-hat.kdl", "60", 0),
    ("deck-hat.kdl", "60", 1),
    ("tiller-mitts.kdl", "7", 0),
    ("deck-sweater.kdl", "women-middle", 3),
];

/// What stands outside its place, if anything does.
const OUTSIDE: &str = "const f = document.querySelector('.field').getBoundingClientRect(), out = [];
    for (const e of document.querySelectorAll('#now *:not(svg *)')) { const r = e.getBoundingClientRect();
      if (r.width && (r.bottom > f.bottom + 1 || r.right > innerWidth + 1 || r.top < f.top - 1)) out.push(e.tagName + ' ' + e.textContent.slice(0, 40)); }
    for (const b of document.querySelectorAll('.foot button')) { const r = b.getBoundingClientRect(); if (r.bottom > innerHeight + 1 || b.scrollWidth > b.clientWidth + 1) out.push('button ' + b.textContent); }
    return out.join('; ')";
const HULL: &str = "const r = document.querySelector('.hull').getBoundingClientRect(); return [r.left, r.top, r.width, r.height].map(Math.round).join()";

/// Opens the help of an accident.
async fn aid(c: &Client, which: &str) {
    press(c, "wrong").await;
    c.find(Locator::Css(&format!("[data-aid={which}]"))).await.unwrap().click().await.unwrap();
}

/// Every screen of a piece stands whole between its bar and its six buttons, on four sizes of glass; figures are 25 mm
/// high and words 12 mm on a tablet of ten inches (264 pixels to the inch, two to one of the page).
#[test]
fn every_screen_stands_whole_and_is_read_at_two_metres() {
    let (_folder, w) = opened();
    for (wide, high) in [(1024, 768), (768, 1024), (390, 844), (1280, 720)] {
        on_glass(wide, Some(high), |c| async {
            let c = c;
            for (document, size, piece) in WHOLE {
                there(&c, &w, "machine", &format!("/d/{document}/machine?size={size}&piece={piece}")).await;
                let inner = c
                    .execute("return [innerWidth, innerHeight, document.documentElement.scrollHeight]", vec![])
                    .await
                    .unwrap();
                assert_eq!(inner[1], inner[2], "{wide} x {high}: nothing to scroll");
                // Only the first of several alike is looked at.
                let mut hull = None;
                loop {
                    let out = c.execute(OUTSIDE, vec![]).await.unwrap();
                    let here = at(&c).await;
                    assert_eq!(out, "", "{wide} x {high}, {document} {piece}, cue {here}");
                    let now = c.execute(HULL, vec![]).await.unwrap();
                    assert_eq!(*hull.get_or_insert(now.clone()), now, "the hull never moves: cue {here}");
                    if [12, 60].contains(&here) {
                        for which in AIDS {
                            aid(&c, which).await;
                            assert_eq!(
                                c.execute(OUTSIDE, vec![]).await.unwrap(),
                                "",
                                "{wide} x {high}: {which} at {here}"
                            );
                            assert_eq!(c.execute(HULL, vec![]).await.unwrap(), now, "{wide} x {high}: {which}");
                            press(&c, "wrong").await;
                            c.find(Locator::Css("#leave")).await.unwrap().click().await.unwrap();
                        }
                    }
                    let more = c.execute("const many = document.querySelector('[data-do=many]'); if (!many.disabled) { many.click(); document.getElementById('answer').value = document.getElementById('asked').textContent.match(/\\d+/g).pop(); document.getElementById('answer').form.requestSubmit(document.querySelector('#ask .main')); } else document.getElementById('touch').click(); return document.getElementById('now').textContent.includes('The piece is done')", vec![]).await.unwrap();
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
            for (document, size, piece) in WHOLE {
                w.post(&format!("/d/{document}/begin/{size}/{piece}"), &[]).unwrap();
            }
        });
    }
}

/// Help leads back to where counting was; where only the knitter can know what the counter reads, the page asks.
#[test]
fn help_leads_back_to_counting() {
    let (_folder, w) = opened();
    scene(1024, |c| async move {
        there(&c, &w, "machine", HAT).await;
        for _ in 0..14 {
            pedal(&c).await;
        }
        for which in AIDS {
            let was = at(&c).await;
            aid(&c, which).await;
            let drawings = c.find_all(Locator::Css("#now svg.draw")).await.unwrap().len();
            assert_eq!(drawings, if which == "rows" { 1 } else { 3 }, "{which}");
            axe(&c, which).await;
            pedal(&c).await;
            if ["too-many", "by-mistake"].contains(&which) {
                until(&c, "asked", "document.getElementById('ask').open").await;
                answer(&c, "4").await;
                // It stands at two places: the nearer one is meant.
                let either = "document.querySelector('#ask[open] #choices button') !== null || document.querySelectorAll('.list li').length === 7";
                until(&c, "asked which, or told", either).await;
                if let Some(nearer) = c.find_all(Locator::Css("#ask[open] #choices button")).await.unwrap().first() {
                    nearer.click().await.unwrap();
                }
                until(&c, "told", "document.querySelectorAll('.list li').length === 7").await;
                press(&c, "many").await;
                assert!(at(&c).await != was || which == "by-mistake", "{which}");
            } else {
                assert_eq!(at(&c).await, was, "{which} counts nothing");
                if ["jammed", "ran-out"].contains(&which) {
                    until(&c, "to tick", "document.querySelectorAll('.list li').length === 7").await;
                    press(&c, "many").await;
                }
            }
            let was = at(&c).await;
            pedal(&c).await;
            assert_eq!(at(&c).await, was + 1, "and counting goes on");
        }
        // In the brim both beds knit every row; in the body the ribber's loops are two rows high.
        aid(&c, "rows").await;
        assert!(text(&c, "#now").await.contains("Ribber: each loop is a row."));
        pedal(&c).await;
        press(&c, "counter").await;
        answer(&c, "60").await;
        // A change of setting lies on the way: it was made.
        until(&c, "asked", "document.querySelectorAll('#ask[open] #choices button').length === 2").await;
        c.find(Locator::Css("#choices button")).await.unwrap().click().await.unwrap();
        until(&c, "told", "document.querySelectorAll('.list li').length === 7").await;
        press(&c, "many").await;
        aid(&c, "rows").await;
        let said = text(&c, "#now").await;
        assert!(
            said.contains("Main: each loop is a row.") && said.contains("Ribber: a loop is 2 rows high."),
            "{said}"
        );
        assert!(said.contains("060\n059\n058"), "{said}");
    });
}

/// No rule of accessibility is broken in any state of the page, in any theme.
#[test]
fn every_state_is_told_to_everyone_in_every_theme() {
    let (folder, w) = opened();
    let path = folder.path().to_path_buf();
    scene(1024, |c| async move {
        let mut w = w;
        let port = w.port.to_string();
        for theme in ["light", "dark", "contrast", "forced"] {
            there(&c, &w, "machine", HAT).await;
            let forced = serde_json::json!({ "features": [{ "name": "forced-colors", "value": if theme == "forced" { "active" } else { "none" } }] });
            tools(&c, "Emulation.setEmulatedMedia", &forced).await;
            c.execute(&format!("localStorage.setItem('latchwork:theme', '{theme}'); document.documentElement.dataset.theme = '{theme}'"), vec![]).await.unwrap();
            let seen = |what: &'static str, c: Client| async move {
                axe(&c, &format!("{what}, {theme}")).await;
                picture(&c, &format!("machine-{what}-{theme}")).await;
            };
            let ticked = c.execute("return document.getElementById('cue').dataset.ticked", vec![]).await.unwrap();
            if ticked != "" {
                seen("jump", c.clone()).await;
                press(&c, "many").await;
            }
            // From the cast-on, by hand, into plain passes.
            at_the_beginning(&c).await;
            press(&c, "many").await;
            seen("hands", c.clone()).await;
            for _ in 0..12 {
                pedal(&c).await;
            }
            seen("plain", c.clone()).await;
            press(&c, "pause").await;
            seen("still", c.clone()).await;
            press(&c, "pause").await;
            press(&c, "wrong").await;
            seen("list", c.clone()).await;
            c.find(Locator::Css("[data-aid=dropped]")).await.unwrap().click().await.unwrap();
            seen("dropped", c.clone()).await;
            pedal(&c).await;
            w.kill();
            pedal(&c).await;
            until(&c, "alone", "document.getElementById('alone').textContent.includes('kept here')").await;
            seen("alone", c.clone()).await;
            w = latchwork_tests::workshop::Workshop::open(&path, &["--port", &port]);
            until(&c, "all sent", "document.getElementById('alone').textContent.length < 9").await;
        }
    });
}

/// What is heard is what the cue says, whole: by hand every sentence, before a pass what is set, then which way, and when
/// the next change comes. The short wording says what changes, and the side.
#[test]
fn what_is_heard_is_what_the_cue_says() {
    let (_folder, w) = opened();
    let design = latchwork::design::from_text(include_str!("../../designs/deck-hat.kdl")).0.unwrap();
    let proven = latchwork::check::prove(&design, &[2]).proven.unwrap();
    let size = &proven.sizes()[0];
    for (wording, piece) in [("say", 1), ("short", 1), ("say", 0)] {
        let all = cues(size.proven(piece).unwrap(), design.show);
        let w = &w;
        w.post(&format!("/d/deck-hat.kdl/begin/54/{piece}"), &[]).unwrap();
        scene(1024, |c| async move {
            // A page that is heard by a test, and not by its neighbours.
            let hears =
                "window.heard = []; SpeechSynthesis.prototype.speak = (u) => heard.push([u.text, u.lang, u.rate]);";
            tools(&c, "Page.addScriptToEvaluateOnNewDocument", &serde_json::json!({ "source": hears })).await;
            c.goto(&format!("{}/d/deck-hat.kdl/machine", w.address())).await.unwrap();
            let choose = format!(
                "localStorage.setItem('latchwork:speak', 'true'); localStorage.setItem('latchwork:wording', '{wording}'); localStorage.setItem('latchwork:rate', '0.8')"
            );
            c.execute(&choose, vec![]).await.unwrap();
            there(&c, w, "machine", &format!("/d/deck-hat.kdl/machine?size=54&piece={piece}")).await;
            for (k, cue) in all.iter().enumerate() {
                if k > 0 {
                    until(&c, "it speaks", "heard.length > 0").await;
                    let heard = c.execute("return heard.splice(0)", vec![]).await.unwrap();
                    let heard = heard.as_array().unwrap();
                    assert_eq!(heard.len(), 1, "each screen speaks once: {heard:?}");
                    assert_eq!(
                        (&heard[0][1], heard[0][2].as_f64().map(|r| (r * 10.0).round())),
                        (&"en".into(), Some(8.0))
                    );
                    let said = heard[0][0].as_str().unwrap();
                    let way = if cue.way == Some(latchwork_machine::needle::Side::Left) { "left" } else { "right" };
                    let set: String = cue.changed.iter().map(|x| format!("{}: {}. ", x.what, x.to)).collect();
                    if cue.kind == Kind::Hands {
                        assert_eq!(said, cue.hands.join(" "));
                    } else if wording == "short" {
                        assert_eq!(
                            said,
                            if set.is_empty() { way.to_string() } else { format!("{}to the {way}.", set) }
                        );
                    } else {
                        let look: String = cue.check.iter().map(|x| format!("{x} ")).collect();
                        let does = if set.is_empty() { String::new() } else { format!(" {}.", cue.does) };
                        let begins = format!("{set}{look}To the {way}.{does}");
                        let next = all.iter().skip(k + 1).position(latchwork::cues::Cue::by_hand).map(|n| k + 1 + n);
                        let rest = said.strip_prefix(&begins).unwrap_or_else(|| panic!("{said}: {begins}"));
                        match next {
                            Some(n) => {
                                let rows = all[k..n].iter().filter(|c| c.kind == Kind::Pass).count();
                                let rows = if rows == 1 { "1 row".to_string() } else { format!("{rows} rows") };
                                let what = if all[n].kind == Kind::Hands {
                                    all[n].act.unwrap().words(Language::English)
                                } else {
                                    "settings".to_string()
                                };
                                assert_eq!(rest, format!(" Next {what} at {:03}, {rows} to knit.", all[n - 1].counter));
                            }
                            None => assert_eq!(rest, ""),
                        }
                    }
                }
                c.execute("document.getElementById('touch').click()", vec![]).await.unwrap();
            }
            until(&c, "it speaks", "heard.length > 0").await;
            let heard = c.execute("return heard.splice(0).map(h => h[0])", vec![]).await.unwrap();
            assert!(heard[0].as_str().unwrap().starts_with("The piece is done."), "{heard}");
            press(&c, "wrong").await;
            c.find(Locator::Css("#sound-check")).await.unwrap().click().await.unwrap();
            let heard = c.execute("return heard.splice(0).map(h => h[0])", vec![]).await.unwrap();
            assert!(heard[0].as_str().unwrap().starts_with("You hear me."), "{heard}");
        });
    }
}

/// The piece of a page at the machine, as the tablet is given it.
fn given(w: &latchwork_tests::workshop::Workshop, path: &str) -> serde_json::Value {
    let page = w.get(path).text();
    let piece = page.split("id=\"piece\">").nth(1).unwrap().split("</script>").next().unwrap();
    serde_json::from_str(piece).unwrap()
}

/// What stands under a drawing says how far, with which tool, and what becomes of the needles; edges are marked where a
/// seam begins and ends.
#[test]
fn moves_and_marks_are_told_with_the_piece() {
    let (folder, w) = opened();
    let under = |path: &str, act: &str| -> Vec<String> {
        let piece = given(&w, path);
        let text = |n: &serde_json::Value| piece["texts"][n.as_u64().unwrap() as usize].as_str().unwrap().to_string();
        let cues = piece["cues"].as_array().unwrap();
        let cue = cues.iter().find(|c| c["v"].is_u64() && text(&c["v"]) == act).unwrap();
        cue["e"].as_array().unwrap().iter().map(|end| text(&end[6])).collect()
    };
    let in_one = "to the next working needle of the bed, 1-prong transfer tool; then out of work";
    assert_eq!(under("/d/deck-hat.kdl/machine?size=57&piece=1", "decrease"), [in_one, in_one]);
    let across = "across to the main, double-eyed tool; then out of work";
    assert_eq!(under("/d/deck-hat.kdl/machine?size=57&piece=0", "transfer across"), [across, across]);
    // Holes keep their needles in work.
    let notes = std::fs::read_to_string("../designs/ladder-cuff.notes").unwrap();
    let head = &notes[..notes.find("cast on").unwrap()];
    let lace = format!(
        "{head}cast on 40 needles plain\nweights 200 g\nA: 4 rows plain at 5\neyelets at R5 to the right\nB: 4 rows plain at 5\nbind off\n"
    );
    std::fs::write(folder.path().join("lace.notes"), lace).unwrap();
    let holes = under("/d/lace.notes/machine?size=one%20size&piece=0", "eyelets");
    assert_eq!(holes.len(), 1);
    assert!(holes[0].ends_with("1-prong transfer tool; emptied needles stay in work, for holes"), "{holes:?}");
    let mitt = given(&w, "/d/wrist-warmers.kdl/machine?size=8&piece=0");
    let marked = mitt["cues"].as_array().unwrap().iter().filter(|c| !c["k"].is_null());
    let parts: Vec<&str> = marked.map(|c| mitt["texts"][c["p"].as_u64().unwrap() as usize].as_str().unwrap()).collect();
    assert_eq!(parts, ["thumb gap", "knuckles"]);
    let hat = given(&w, "/d/deck-hat.kdl/machine?size=57&piece=0");
    assert!(hat["cues"].as_array().unwrap().iter().all(|c| c["k"].is_null()), "a hat is sewn from end to end");
}
