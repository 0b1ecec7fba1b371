//! The machine's room of a design: what can be knitted, how far each piece is, and how the tablet speaks.

use maud::{Markup, html};

use latchwork::cues::Cue;
use latchwork::units::counter;

use super::{Room, enc, page};
use crate::journal::{Deed, Event};
use crate::said::{t, tf};
use crate::work::WorkedOut;

/// Where a knitter is in a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Counting {
    /// Number of the last event.
    pub(crate) seq: i64,
    /// The cue that is next.
    pub(crate) position: usize,
    /// Whether it was paused.
    pub(crate) paused: bool,
    /// Milliseconds for a pass, as knitted so far.
    pub(crate) pace: Option<i64>,
}

impl Counting {
    /// Read off what happened.
    pub(crate) fn of(events: &[Event]) -> Counting {
        let last = events.last();
        let paused =
            events.iter().rev().find(|e| matches!(e.kind, Deed::Pause | Deed::Resume | Deed::Made | Deed::Begin));
        // The times between two counts of one pass each, pauses left out: the middle one is the pace.
        let mut gaps: Vec<i64> = events
            .windows(2)
            .filter(|w| w[1].kind == Deed::Made && w[1].position == w[0].position + 1)
            .map(|w| w[1].at - w[0].at)
            .filter(|g| (300..120_000).contains(g))
            .collect();
        gaps.sort_unstable();
        Counting {
            seq: last.map_or(0, |e| e.seq),
            position: last.map_or(0, |e| usize::try_from(e.position).unwrap_or(0)),
            paused: paused.is_some_and(|e| e.kind == Deed::Pause),
            pace: gaps.get(gaps.len() / 2).copied().filter(|_| gaps.len() >= 5),
        }
    }
}

/// A piece of a size, and what was counted of it.
pub(crate) struct Knitted<'a> {
    /// The size's name.
    pub(crate) size: &'a str,
    /// Its place among the pieces, and its name.
    pub(crate) piece: (usize, String),
    /// What there is to do; none where the size is not proven.
    pub(crate) cues: Option<Vec<Cue>>,
    /// What happened.
    pub(crate) events: Vec<Event>,
}

/// The page.
pub(crate) fn machine(name: &str, worked: &WorkedOut, all: &[Knitted<'_>], lost: Option<&str>) -> Markup {
    let title = worked.design.as_ref().map_or(name, |d| d.title.as_str());
    let sizes = worked.design.as_ref().map_or(1, |d| d.sizes.len());
    // What is on the machine stands first.
    let begun = |k: &&Knitted<'_>| {
        let (at, of) = (Counting::of(&k.events).position, k.cues.as_ref().map_or(0, Vec::len));
        at > 0 && at < of
    };
    let (begun, others): (Vec<_>, Vec<_>) = all.iter().partition(begun);
    page(
        title,
        Some((name, Room::Machine)),
        &["voice.js"],
        &html! {
            h1 { (title) ", " (t("room-machine-in")) }
            p.gap { (t("machine-how")) }
            @if let Some(lost) = lost { p.told role="alert" { (lost) " " a href="/journal.db" download { (t("journal-copy")) } } }
            ul.shelf {
                @for k in begun.iter().chain(&others) {
                    @let called = if sizes > 1 { format!("{}, {}", k.piece.1, k.size) } else { k.piece.1.to_string() };
                    li {
                        @match &k.cues {
                            None => span { (called) br; span.small.label { (t("not-to-be-knitted-short")) " " a href={ "/d/" (enc(name)) "?size=" (enc(k.size)) } { (t("see-what-is-wrong")) } } },
                            Some(cues) => {
                                span { a href={ "/d/" (enc(name)) "/machine?size=" (enc(k.size)) "&piece=" (k.piece.0) } { (called) } br; (so_far(cues, &k.events)) }
                                @if !k.events.is_empty() { span.keeping { a href={ "#log-" (enc(k.size)) "-" (k.piece.0) } { (t("log")) } } }
                            }
                        }
                    }
                }
            }
            section.gap aria-labelledby="speaks" {
                h2 id="speaks" { (t("voice")) }
                label.choice { input type="checkbox" id="speak"; " " (t("speak")) }
                label { (t("wording")) " " select id="wording" { option value="say" { (t("wording-full")) } option value="short" { (t("wording-short")) } } }
                label { (t("pace")) " " input id="rate" type="range" min="0.5" max="1.6" step="0.1" value="1"; }
                label.choice { input type="checkbox" id="clicks" checked; " " (t("clicks")) }
                p { button id="sound-check" data-says=(t("sound-check-says")) { (t("sound-check")) } }
                label { (t("card-wide")) " " input id="card" type="range" min="150" max="700" step="1" value="450"; }
                div.bank aria-hidden="true" id="bank" {}
                p.small.label { (t("pedal")) }
            }
            @for k in all.iter().filter(|k| !k.events.is_empty()) {
                @let cues = k.cues.as_deref().unwrap_or_default();
                section.gap id={ "log-" (enc(k.size)) "-" (k.piece.0) } {
                    h2 { (t("log")) ": " (k.piece.1) @if sizes > 1 { ", " (k.size) } }
                    ol.log { (log_lines(cues, &k.events)) }
                    @if !worked.notes && k.cues.is_some() {
                        form.gap method="post" action={ "/d/" (enc(name)) "/attach/" (enc(k.size)) "/" (k.piece.0) } { input type="hidden" name="base" value=(worked.base); button { (t("attach-log")) } }
                    }
                    @if k.cues.is_some() {
                        form.gap method="post" action={ "/d/" (enc(name)) "/begin/" (enc(k.size)) "/" (k.piece.0) } { button { (t("again")) } " " span.small.label { (t("again-how")) } }
                    }
                }
            }
        },
    )
}

/// How far a piece is, in words.
fn so_far(cues: &[Cue], events: &[Event]) -> String {
    let standing = Counting::of(events);
    let at = standing.position.min(cues.len());
    let last = counter(cues.last().map_or(0, |c| c.counter));
    match at {
        0 => t("not-begun"),
        _ if at == cues.len() => t("all-done"),
        _ => tf("so-far", &[("counter", &counter(cues[at - 1].counter)), ("last", &last), ("part", &cues[at].part)]),
    }
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
        Deed::Settled => "kind-settled",
    }
}
