//! The document itself, with what is wrong with it beside the line; and what happens when two change it.

use maud::{Markup, html};

use latchwork::notice::Notice;

use super::findings::{Said, heading, misses, said, sizes_of};
use super::{Room, enc, flag, page};
use crate::said::{t, tf};
use crate::work::WorkedOut;

fn line_of(text: &str, at: usize) -> usize {
    text.get(..at).map_or(1, |t| t.matches('\n').count() + 1)
}

/// The document room.
pub(crate) fn document(name: &str, worked: &WorkedOut, told: Option<&str>) -> Markup {
    let all = said(worked);
    let line = |n: &Notice| n.span.map(|s| line_of(&worked.text, s.start));
    let mut found: Vec<(Option<usize>, &Said<'_>)> = all.iter().map(|s| (line(s.notice), s)).collect();
    found.sort_by_key(|f| f.0);
    page(
        name,
        Some((name, Room::Design)),
        &["work.js"],
        &html! {
            h1 { (name) }
            @if let Some(told) = told { p.told role="alert" { (told) } }
            form.gap method="post" action={ "/d/" (enc(name)) "/document" } {
                input type="hidden" name="base" value=(worked.base);
                label for="text" { (t("the-document")) }
                div.paper-text {
                    ol.lines aria-hidden="true" { @for (k, _) in worked.text.lines().enumerate() { li.bad[found.iter().any(|f| f.0 == Some(k + 1))] {} } }
                    textarea id="text" name="text" spellcheck="false" wrap="off" rows=(worked.text.lines().count() + 2) { "\n" (worked.text) }
                }
                div.acts { button.main { (t("keep-it")) } a.button href={ "/d/" (enc(name)) } { (t("back-to-design")) } }
            }
            section.gap aria-labelledby="fi" {
                (heading(worked, &all))
                @for (line, said) in found.iter().take(60) {
                    @let n = said.notice;
                    @let told = &said.told;
                    div.finding { (flag(n.level)) div {
                        p { @if let Some(line) = line { a href={ "#text" } data-line=(line) { (tf("line", &[("n", &line.to_string())])) } " " } strong { (told.message) } " " (told.why) }
                        @if let Some(d) = &worked.design { @for words in sizes_of(d, said) { p.small.label { (words) } } }
                        @for h in &told.hints { p.small { (h) } }
                    } }
                }
                (misses(worked, !all.is_empty()))
            }
        },
    )
}

/// Someone else changed the document: both are shown, nothing is overwritten.
pub(crate) fn conflict(name: &str, mine: &str, theirs: &WorkedOut) -> Markup {
    page(
        name,
        Some((name, Room::Design)),
        &[],
        &html! {
            h1 { (t("conflict")) }
            p.gap { (t("conflict-how")) }
            div.two.gap {
                form method="post" action={ "/d/" (enc(name)) "/document" } {
                    h2 { (t("yours")) }
                    input type="hidden" name="base" value=(theirs.base);
                    label.vh for="mine" { (t("yours")) }
                    textarea id="mine" name="text" rows="24" spellcheck="false" wrap="off" { "\n" (mine) }
                    button { (t("keep-mine")) }
                }
                div {
                    h2 { (t("theirs")) }
                    pre tabindex="0" { "\n" (theirs.text) }
                    a.button href={ "/d/" (enc(name)) } { (t("keep-theirs")) }
                }
            }
        },
    )
}
