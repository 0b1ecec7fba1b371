//! The handout: seen before it is kept, in every paper and size.

use maud::{Markup, html};

use super::{Room, enc, page};
use latchwork::check::{Proven, SizeProof};
use latchwork::cues::Kind;
use latchwork::design::Design;
use latchwork::notice::{Level, Notice};
use latchwork::units::counter;
use latchwork_machine::needle::Side;

use crate::said::{language, named, t, tf};
use crate::work::WorkedOut;

/// What may be printed: sizes of fabrics that were all swatched.
pub(crate) fn printable(worked: &WorkedOut) -> Option<&Proven> {
    worked.outcome.as_ref()?.printable().filter(|p| p.swatched())
}

/// The room.
pub(crate) fn handout(
    name: &str,
    worked: &WorkedOut,
    query: &str,
    chosen: [&str; 5],
    photo: Option<&Notice>,
) -> Markup {
    let title = worked.design.as_ref().map_or(name, |d| d.title.as_str());
    let [paper, kind, size, words, copy] = chosen;
    page(
        title,
        Some((name, Room::Handout)),
        &[],
        &html! {
            h1 { (t("room-handout")) }
            @if let Some(proven) = printable(worked) {
                @let d = proven.design();
                @let sizes: Vec<&str> = proven.sizes().iter().map(|s| d.sizes[s.size].name.as_str()).collect();
                (left_out(worked, d, &sizes))
                @if let Some(fault) = photo.map(|n| n.told(language())) {
                    p.gap role="alert" { (fault.message) " " (fault.hints.join(" ")) }
                }
                form.row.gap method="get" action={ "/d/" (enc(name)) "/handout" } {
                    div { label for="paper" { (t("paper")) } select id="paper" name="paper" { @for (v, w) in [("a4", "A4"), ("letter", "Letter")] { option value=(v) selected[v == paper] { (w) } } } }
                    div { label for="type" { (t("type")) } select id="type" name="type" { @for (v, w) in [("normal", "type-normal"), ("large", "type-large"), ("bench", "type-bench")] { option value=(v) selected[v == kind] { (t(w)) } } } }
                    div { label for="size" { (t("size")) } select id="size" name="size" { option value="" { (t("all-sizes")) } @for s in &sizes { option value=(s) selected[*s == size] { (s) } } } }
                    div { label for="words" { (t("words")) } select id="words" name="words" { @for (v, w) in [("", "words-neutral"), ("own", "words-own")] { option value=(v) selected[v == words] { (t(w)) } } } }
                    div { label for="copy" { (t("copy")) } select id="copy" name="copy" { @for (v, w) in [("", "copy-knitter"), ("author", "copy-author")] { option value=(v) selected[v == copy] { (t(w)) } } } }
                    button.main { (t("show")) }
                }
                div.acts { a.button href={ "/d/" (enc(name)) "/handout.pdf?" (query) } download { (t("save-pdf")) } a.button href={ "/d/" (enc(name)) "/files.zip" } download { (t("save-zip")) } a.button href={ "/d/" (enc(name)) "/cues.txt?" (query) } download { (t("save-cues")) } a.button href={ "/d/" (enc(name)) "/cues?" (query) } { (t("cue-card")) } }
                iframe.sheet title=(t("preview")) src={ "/d/" (enc(name)) "/handout.pdf?" (query) } {}
            } @else {
                p.gap { (t("not-printable")) } p.gap { a.button href={ "/d/" (enc(name)) } { (t("back-to-design")) } }
            }
        },
    )
}

/// The sizes that are not printed, each with what stands in its way.
fn left_out(worked: &WorkedOut, d: &Design, printed: &[&str]) -> Markup {
    let found = worked.findings();
    let why = |size: usize| found.iter().find(|(of, n)| *of == Some(size) && n.level == Level::Error).map(|f| f.1);
    let out: Vec<(usize, &str)> =
        d.sizes.iter().enumerate().map(|(i, s)| (i, s.name.as_str())).filter(|s| !printed.contains(&s.1)).collect();
    html! {
        @if !out.is_empty() {
            section.left-out aria-labelledby="left-out" {
                h2 id="left-out" { (tf("printed-are", &[("sizes", &printed.join(", "))])) }
                dl.gap { @for (i, size) in &out { dt { (tf("left-out", &[("size", size)])) } dd { @if let Some(n) = why(*i) { @let said = n.told(language()); (said.message) " " (said.why) } } } }
            }
        }
    }
}

/// The cues of a size as a card to print and tick: a box, the counter after it, and what to do.
pub(crate) fn cue_card(name: &str, worked: &WorkedOut, shown: &SizeProof) -> Markup {
    let d = worked.design.as_ref();
    let size = d.map_or("", |d| d.sizes[shown.size].name.as_str());
    let title = d.map_or(name, |d| d.title.as_str());
    page(
        title,
        Some((name, Room::Handout)),
        &[],
        &html! {
            h1 { (title) ", " (size) }
            p.gap.noprint { (t("card-how")) }
            @for (k, p) in shown.plans.pieces.iter().enumerate() {
                h2.gap { (named(p)) }
                @match worked.cues(shown, k) {
                    None => p { (t("not-to-be-knitted")) },
                    Some(all) => ol.card { @for c in &all { li {
                        span.box {}
                        span.num { @if c.kind == Kind::Pass { (counter(c.counter)) } }
                        span { @if c.kind == Kind::Pass {
                            strong { @match c.way { Some(Side::Left) => (t("to-the-left")), Some(Side::Right) => (t("to-the-right")), None => {} } ". " }
                            @for x in &c.changed { em { (x.what) } " " strong { (x.to) } ". " }
                            (c.does) "."
                        } @else { (c.hands.join(" ")) } }
                    } } },
                }
            }
        },
    )
}
