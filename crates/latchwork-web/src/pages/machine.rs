//! At the machine: what to do next, large, and every way back when something went otherwise.

use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};

use latchwork::check::SizeProof;
use latchwork::cues::{Cue, Kind};
use latchwork::units::counter;
use latchwork_machine::needle::{Bed, Needle, Side};

use super::rehearse::choose;
use super::{Room, enc, page};
use crate::journal::{Deed, Event};
use crate::said::{t, tf};
use crate::work::Worked;

/// Where a knitter is in a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Standing {
    /// Number of the last event.
    pub(crate) seq: i64,
    /// The cue that is next.
    pub(crate) position: usize,
    /// Whether it was paused.
    pub(crate) paused: bool,
    /// Milliseconds for a pass, as knitted so far.
    pub(crate) pace: Option<i64>,
}

impl Standing {
    /// Read off what happened.
    pub(crate) fn of(events: &[Event]) -> Standing {
        let last = events.last();
        let paused =
            events.iter().rev().find(|e| matches!(e.kind, Deed::Pause | Deed::Resume | Deed::Made | Deed::Begin));
        // Between two counts of one pass each, pauses left out: the middle one.
        let mut gaps: Vec<i64> = events
            .windows(2)
            .filter(|w| w[1].kind == Deed::Made && w[1].position == w[0].position + 1)
            .map(|w| w[1].at - w[0].at)
            .filter(|g| (300..120_000).contains(g))
            .collect();
        gaps.sort_unstable();
        Standing {
            seq: last.map_or(0, |e| e.seq),
            position: last.map_or(0, |e| usize::try_from(e.position).unwrap_or(0)),
            paused: paused.is_some_and(|e| e.kind == Deed::Pause),
            pace: gaps.get(gaps.len() / 2).copied().filter(|_| gaps.len() >= 5),
        }
    }
}

fn side(s: Side) -> String {
    match s {
        Side::Left => t("left"),
        Side::Right => t("right"),
    }
}

fn hull(way: Side, reading: u32) -> Markup {
    let (path, x) = match way {
        Side::Left => ("M2 125L74 4H590V246H74Z", 322),
        Side::Right => ("M590 125L518 4H2V246H518Z", 270),
    };
    html! { svg.hull viewBox="0 0 592 250" aria-hidden="true" { path d=(path) {} text x=(x) y="203" { (counter(reading)) } } }
}

/// The needles concerned, drawn to the pitch.
fn needles(touched: &[Needle]) -> Markup {
    let (Some(a), Some(b)) = (touched.iter().map(|n| n.slot.0).min(), touched.iter().map(|n| n.slot.0).max()) else {
        return html! {};
    };
    let count = b - a + 1;
    if count > 24 {
        return html! {};
    }
    let mut out = String::new();
    let wide = 44 * i32::from(count + 2);
    for bed in [Bed::Main, Bed::Ribber] {
        if !touched.iter().any(|n| n.bed == bed) {
            continue;
        }
        let (y, d) = if bed == Bed::Main { (16, 1) } else { (132, -1) };
        out += &format!("<path class=\"ink\" stroke-width=\"4\" d=\"M0 {y}H{wide}\"/>");
        for s in a - 1..=b + 1 {
            let x = 22 + 44 * i32::from(s - a + 1);
            let on = touched.iter().any(|n| n.bed == bed && n.slot.0 == s);
            let long = if on { 46 } else { 14 };
            let weight = if on { 4 } else { 2 };
            out +=
                &format!("<path class=\"ink\" stroke-width=\"{weight}\" d=\"M{x} {}V{}\"/>", y - d * 10, y + d * long);
            if on {
                out += &format!(
                    "<ellipse cx=\"{x}\" cy=\"{}\" rx=\"9\" ry=\"5\" fill=\"var(--sheet)\" stroke=\"var(--tar)\" stroke-width=\"2\"/>",
                    y + d * 12
                );
            }
        }
    }
    for s in [a, b] {
        let x = 22 + 44 * i32::from(s - a + 1);
        out += &format!(
            "<text x=\"{x}\" y=\"170\" font-size=\"22\" text-anchor=\"middle\">{}</text>",
            latchwork_machine::needle::Slot(s)
        );
    }
    let named: Vec<String> = touched.iter().map(|n| format!("{} {}", n.bed, n.slot)).collect();
    html! { svg.bed viewBox={ "0 0 " (wide) " 176" } role="img" aria-label=(named.join(", ")) { (PreEscaped(out)) } }
}

fn after_this(next: Option<&Cue>) -> String {
    match next {
        None => t("then-done"),
        Some(c) if c.kind == Kind::Hands => tf("then-hands", &[("what", c.hands.first().map_or("", String::as_str))]),
        Some(c) => tf("then-pass", &[("way", &c.way.map_or(String::new(), side)), ("does", &c.does)]),
    }
}

/// Hours and minutes of what is left.
fn left(cues: &[Cue], standing: &Standing, pace: i64) -> String {
    let passes = cues.iter().skip(standing.position).filter(|c| c.kind == Kind::Pass).count();
    let hands: usize = cues.iter().skip(standing.position).map(|c| 8 * c.hands.len() + 3 * c.needles.len()).sum();
    let minutes = (i64::try_from(passes).unwrap_or(0) * pace / 1000 + i64::try_from(hands).unwrap_or(0)) / 60;
    tf("time-left", &[("h", &(minutes / 60).to_string()), ("m", &format!("{:02}", minutes % 60))])
}

/// How many plain passes follow one another from here.
fn plain_run(cues: &[Cue], at: usize) -> usize {
    cues.iter().skip(at).take_while(|c| c.plain()).count()
}

/// What is shown now, as the script puts it on the page.
pub(crate) fn stand(cues: &[Cue], standing: &Standing, pace: i64, changed: bool, log: &[Event]) -> Value {
    let now = cues.get(standing.position);
    let reads = standing.position.checked_sub(1).and_then(|k| cues.get(k)).map_or(0, |c| c.counter);
    let next = cues.get(standing.position + 1);
    let plain = now.is_some_and(Cue::plain);
    let run = plain_run(cues, standing.position);
    let body = html! {
        @if standing.paused { p.big { (tf("paused-at", &[("counter", &counter(reads))])) } p.next { (t("paused-how")) } }
        @match now.filter(|_| !standing.paused) {
            None if standing.paused => {}
            None => { p.big { (t("all-done")) } }
            Some(c) if c.kind == Kind::Hands => {
                p.label { (c.part) }
                div.chg {
                    div.many[c.hands.iter().map(String::len).sum::<usize>() > 110] { @for h in &c.hands { p.big { (h) } } }
                    (needles(&c.needles))
                }
            }
            Some(c) => {
                @if let Some(way) = c.way {
                    div.go {
                        (hull(way, c.counter))
                        div { p.way { @match way { Side::Left => (t("to-the-left")), Side::Right => (t("to-the-right")) } } p { (c.part) @if let Some((n, of)) = c.row { ", " (tf("row-of", &[("n", &n.to_string()), ("of", &of.to_string())])) } } p.label { (tf("counter-then", &[("now", &counter(reads)), ("then", &counter(c.counter))])) } }
                    }
                }
                @if !c.changed.is_empty() {
                    dl aria-label=(t("change-first")) { @for x in &c.changed { div { dt { (x.what) } dd { @if !x.from.is_empty() { s { (x.from) } } b { (x.to) } } } } }
                }
                p.big { (c.does) "." }
                @for look in &c.check { p.next { b { (t("check")) } " " (look) } }
            }
        }
        @if now.is_some() && !standing.paused {
            p.next { em { (t("after-this")) } " " (after_this(next)) }
            p.next { b { (t("touch")) } " " @match now.and_then(|c| c.way) { Some(w) => (tf("when-at", &[("side", &side(w))])), None => (t("when-done")) } }
        }
    };
    let say = match now {
        None => t("all-done"),
        Some(c) if c.kind == Kind::Hands => c.hands.join(" "),
        Some(c) => {
            let changes: Vec<String> = c.changed.iter().map(|x| format!("{} {}.", x.what, x.to)).collect();
            let way = c.way.map_or(String::new(), |w| match w {
                Side::Left => t("to-the-left"),
                Side::Right => t("to-the-right"),
            });
            format!("{} {way}. {}.", changes.join(" "), c.does)
        }
    };
    // What a practised knitter wants to hear: only what is not as it was.
    let short = match now {
        Some(c) if c.plain() => c.way.map_or(String::new(), side),
        _ => say.trim().to_string(),
    };
    json!({
        "seq": standing.seq,
        "position": standing.position,
        "total": cues.len(),
        "paused": standing.paused,
        "plain": plain,
        "run": run,
        "runWords": tf("count-many", &[("n", &run.to_string())]),
        "html": body.into_string(),
        "say": say.trim(),
        "short": short,
        "left": left(cues, standing, standing.pace.unwrap_or(pace)),
        "counter": reads,
        "log": log_lines(cues, log).into_string(),
        "span": tf("counter-runs", &[("from", &counter(cues.iter().map(|c| c.counter).min().unwrap_or(0))), ("to", &counter(cues.iter().map(|c| c.counter).max().unwrap_or(0)))]),
        "replanned": changed,
    })
}

/// The page.
pub(crate) fn machine(name: &str, worked: &Worked, shown: &SizeProof, piece: usize, state: &Value) -> Markup {
    let d = worked.design.as_ref();
    let size = d.map_or("", |d| d.sizes[shown.size].name.as_str());
    let title = d.map_or(name, |d| d.title.as_str());
    let work = format!("/d/{}/count/{}/{piece}", enc(name), enc(size));
    page(
        title,
        Some((name, Room::Machine)),
        &["machine.js"],
        &html! {
            h1.vh { (tf("at-machine", &[("title", title), ("size", size)])) }
            div.cue id="cue" data-work=(work) data-state=(state.to_string()) data-lost=(t("lost")) data-late=(t("late")) data-ask-counter=(t("ask-counter")) data-ask-ripped=(t("ask-ripped")) data-ask-note=(t("ask-note")) data-no-counter=(t("no-counter")) data-ask-many=(t("ask-many")) {
                div.bar { span { (title) @if !size.is_empty() { ", " (size) } } span id="left" {} button id="full" { (t("whole-screen")) } }
                progress id="progress" max="1" value="0" aria-label=(t("progress")) {}
                p.told id="lost" role="alert" hidden {}
                p.told id="journal" role="alert" hidden { span id="journal-words" {} " " a href="/journal.db" download { (t("journal-copy")) } }
                p.told id="replanned" hidden { (t("replanned")) " " button id="carry-on" { (t("carry-on")) } }
                div.pass { button.touch id="touch" aria-describedby="now" { span.vh { (t("pass-made")) } } div id="now" aria-live="polite" {} }
                dialog id="ask" { form method="dialog" { label { span id="asked" {} input id="answer" autocomplete="off"; } div.acts { button.main value="yes" { (t("do-it")) } button value="no" formnovalidate { (t("leave-it")) } } } }
                div.foot {
                    button data-do="back" { (t("step-back")) } button data-do="counter" { (t("counter-says")) } button data-do="ripped" { (t("ripped")) } button data-do="note" { (t("note")) }
                    button data-do="again" data-ask=(t("ask-again")) { (t("again")) } button data-do="many" id="many" {} button data-do="pause" id="pause" data-on=(t("go-on")) data-off=(t("pause")) { (t("pause")) }
                }
                details.voice { summary { (t("voice")) }
                    label.choice { input type="checkbox" id="speak"; " " (t("speak")) }
                    label { (t("wording")) " " select id="wording" { option value="say" { (t("wording-full")) } option value="short" { (t("wording-short")) } } }
                    label { (t("pace")) " " input id="rate" type="range" min="0.5" max="1.6" step="0.1" value="1"; }
                    label.choice { input type="checkbox" id="clicks" checked; " " (t("clicks")) }
                    p.small.label { (t("pedal")) }
                }
            }
            div.gap.noprint { (choose(name, worked, shown, piece, "machine")) }
        section.gap aria-labelledby="log" { h2 id="log" { (t("log")) }
                ol.log id="lines" {}
            @if !worked.notes {
                form.gap method="post" action={ "/d/" (enc(name)) "/attach/" (enc(size)) "/" (piece) } { input type="hidden" name="base" value=(worked.base); button { (t("attach-log")) } }
            }
            }
        },
    )
}

/// What happened, as a knitter counts it: the newest first.
fn log_lines(cues: &[Cue], log: &[Event]) -> Markup {
    let reads = |position: i64| {
        let at = usize::try_from(position).ok().and_then(|p| p.checked_sub(1)).and_then(|k| cues.get(k));
        counter(at.map_or(0, |c| c.counter))
    };
    html! {
        @for (k, e) in log.iter().enumerate().rev().take(30) {
            @let before = k.checked_sub(1).map_or(0, |b| log[b].position);
            @let many = (e.position - before).max(1);
            li {
                span.label data-at=(e.at) {} " "
                (tf(kind_words(e.kind), &[("n", &many.to_string()), ("counter", &reads(e.position))]))
                @if !e.note.is_empty() { ": " (e.note) }
            }
        }
    }
}

fn kind_words(kind: Deed) -> &'static str {
    match kind {
        Deed::Made => "kind-made",
        Deed::Back => "kind-back",
        Deed::Ripped => "kind-ripped",
        Deed::Counter => "kind-counter",
        Deed::Pause => "kind-pause",
        Deed::Resume => "kind-resume",
        Deed::Note => "kind-note",
        Deed::Begin => "kind-begin",
    }
}
