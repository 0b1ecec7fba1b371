//! The handout: seen before it is kept, in every paper and size.

use maud::{Markup, html};

use super::{Room, enc, page};
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
                div.acts { a.button href={ "/d/" (enc(name)) "/handout.pdf?" (query) } download { (t("save-pdf")) } a.button href={ "/d/" (enc(name)) "/files.zip" } download { (t("save-zip")) } a.button href={ "/d/" (enc(name)) "/cues.txt?" (query) } download { (t("save-cues")) } }
                iframe.sheet title=(t("preview")) src={ "/d/" (enc(name)) "/handout.pdf?" (query) } {}
            } @else {
                p.gap { (t("not-printable")) } p.gap { a.button href={ "/d/" (enc(name)) } { (t("back-to-design")) } }
            }
        },
    )
}
