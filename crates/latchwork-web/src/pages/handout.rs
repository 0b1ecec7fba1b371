//! The handout: seen before it is kept, in every paper and size.

use maud::{Markup, html};

use super::{Room, enc, page};
use latchwork::check::SizeProof;
use latchwork::cues::Kind;
use latchwork::units::counter;
use latchwork_machine::needle::Side;

use crate::said::t;
use crate::work::Worked;

/// The room.
pub(crate) fn handout(name: &str, worked: &Worked, query: &str, chosen: [&str; 4]) -> Markup {
    let d = worked.design.as_ref();
    let title = d.map_or(name, |d| d.title.as_str());
    let ready = worked.outcome.as_ref().and_then(|o| o.proven.as_ref()).is_some_and(latchwork::check::Proven::swatched);
    let [paper, kind, size, words] = chosen;
    page(
        title,
        Some((name, Room::Handout)),
        &[],
        &html! {
            h1 { (t("room-handout")) }
            @if ready {
                form.row.gap method="get" action={ "/d/" (enc(name)) "/handout" } {
                    div { label for="paper" { (t("paper")) } select id="paper" name="paper" { @for (v, w) in [("a4", "A4"), ("letter", "Letter")] { option value=(v) selected[v == paper] { (w) } } } }
                    div { label for="type" { (t("type")) } select id="type" name="type" { @for (v, w) in [("normal", "type-normal"), ("large", "type-large")] { option value=(v) selected[v == kind] { (t(w)) } } } }
                    @if let Some(d) = d { div { label for="size" { (t("size")) } select id="size" name="size" { option value="" { (t("all-sizes")) } @for s in &d.sizes { option value=(s.name) selected[s.name == size] { (s.name) } } } } }
                    div { label for="words" { (t("words")) } select id="words" name="words" { @for (v, w) in [("", "words-neutral"), ("own", "words-own")] { option value=(v) selected[v == words] { (t(w)) } } } }
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

/// The cues of a size as a card to print and tick: a box, the counter after it, and what to do.
pub(crate) fn cue_card(name: &str, worked: &Worked, shown: &SizeProof) -> Markup {
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
                h2.gap { (p.name) }
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
