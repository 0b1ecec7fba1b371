//! Pages and parts of pages, as HTML.

pub(crate) mod begin;
mod cue_room;
mod design;
mod document;
mod findings;
mod form;
mod handout;
mod laid;
mod machine;
mod pattern;
mod piece;
mod rehearse;
mod shape;
mod shelf;
mod stretch;

use latchwork::wording::done;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use latchwork::notice::{Level, Notice};
use latchwork::text::isolated;

use crate::remembered::Device;
use crate::said::{language, t, tf};

#[cfg(test)]
pub(crate) use cue_room::aid_names;
pub(crate) use cue_room::{CueRoom, cue_room, stand};
pub(crate) use design::{Seen, design, length_of_rows, work_area};
pub(crate) use document::{conflict, document};
pub(crate) use form::{Told, Wanted, centimetres, figure, whole};
pub(crate) use handout::{cue_card, handout, printable};
pub(crate) use machine::{Counting, Knitted, machine};
pub(crate) use pattern::{Drawing, blank, found as drawing_found, pattern, rows_from, rows_of};
pub(crate) use rehearse::{rehearse, steps_json};
pub(crate) use shape::{shape_called, shape_words};
pub(crate) use shelf::{MEASURED, OnShelf, SWATCHES, keeping, shelf};
pub(crate) use stretch::{ends_with, swatched};

/// The rooms of a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Room {
    Design,
    Rehearse,
    Machine,
    Handout,
}

/// A name in an address.
pub(crate) fn enc(name: &str) -> String {
    name.bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-_.".contains(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

const SYMBOLS: &str = r##"<svg width="0" height="0" style="position:absolute" aria-hidden="true"><defs>
<pattern id="hatch" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V4" stroke="var(--tar)" stroke-width="2.2"/></pattern>
<symbol id="f-error" viewBox="0 0 30 34" class="flag"><path d="M4 2V33"/><path class="full" d="M4 3H27V20H4Z"/></symbol>
<symbol id="f-warning" viewBox="0 0 30 34" class="flag"><path d="M4 2V33"/><path class="half" d="M4 3H28L21 11.5 28 20H4Z"/></symbol>
<symbol id="f-note" viewBox="0 0 30 34" class="flag"><path d="M4 2V33"/><path d="M4 5L26 11.5 4 18Z"/></symbol>
<symbol id="mark" viewBox="0 0 18 36"><path class="ink" stroke-width="2.4" d="M6 35V8C6 1 15 1 15 7.5M6 17L13 12"/><ellipse cx="6" cy="25" rx="6.6" ry="3.6" fill="var(--oilskin)" stroke="var(--tar)" stroke-width="1.7"/></symbol>
<symbol id="stitch" viewBox="0 0 64 28"><path d="M0 1H64V9H0Z" fill="var(--fleece)"/><path class="yc" stroke-width="6" stroke-linecap="butt" d="M0 5C24 5 43 5 43 16C43 25 21 25 21 16C21 5 40 5 64 5"/><path class="yf" stroke-width="3" stroke-linecap="butt" d="M0 5C24 5 43 5 43 16C43 25 21 25 21 16C21 5 40 5 64 5"/></symbol>
</defs></svg>"##;

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width,initial-scale=1";
            title { (title) " · Latchwork" }
            link rel="icon" href="/icon.svg" type="image/svg+xml";
            link rel="apple-touch-icon" href="/icon-192.png";
            link rel="manifest" href="/app.webmanifest" crossorigin="use-credentials";
            meta name="theme-color" media="(prefers-color-scheme: light)" content="#F4F1E9";
            meta name="theme-color" media="(prefers-color-scheme: dark)" content="#1A1916";
            link rel="stylesheet" href="/look.css";
        }
    }
}

/// A page with the masthead. `at` is the document and the room, if it is of one.
pub(crate) fn page(title: &str, at: Option<(&str, Room)>, scripts: &[&str], body: &Markup) -> Markup {
    let rooms = [
        (Room::Design, "room-design", ""),
        (Room::Rehearse, "room-rehearse", "/rehearse"),
        (Room::Machine, "room-machine", "/machine"),
        (Room::Handout, "room-handout", "/handout"),
    ];
    let page = html! {
        (DOCTYPE)
        html lang="en" {
        (head(title))
        body {
            (PreEscaped(SYMBOLS))
            a.skip href="#main" { (t("skip")) }
            header.mast {
                a.mark href="/" { svg aria-hidden="true" { use href="#mark" {} } "Latchwork" }
                @if let Some((name, here)) = at {
                    nav aria-label=(t("rooms")) {
                        @for (room, words, path) in rooms {
                            a href={ "/d/" (enc(name)) (path) } aria-current=[(room == here).then_some("page")] {
                                (t(words))
                                @if room == here { svg aria-hidden="true" { use href="#stitch" {} } }
                            }
                        }
                    }
                }
            }
            div.thread aria-hidden="true" {}
            main.page id="main" { (body) }
            footer.page.foot-note {
                p.small.label { (t("invented")) }
                p.small.theme hidden { span.label { (t("theme")) } @for (v, w) in [("", "theme-system"), ("light", "theme-light"), ("dark", "theme-dark"), ("contrast", "theme-contrast")] { button.quiet data-theme-is=(v) { (t(w)) } } " " a href="/share" { (t("share")) } }
            }
            script src="/page.js" {}
            @for s in scripts { script type="module" src={ "/" (s) } {} }
        }
        }
    };
    PreEscaped(isolated_html(&page.0))
}

/// A page in which letters written from right to left are isolated: in its texts, not in its tags, fields or scripts.
fn isolated_html(page: &str) -> String {
    let mut out = String::with_capacity(page.len());
    let mut within = "";
    for part in page.split_inclusive('>') {
        let (text, tag) = part.split_at(part.find('<').unwrap_or(part.len()));
        match within {
            "" => out.push_str(&isolated(text)),
            _ => out.push_str(text),
        }
        out.push_str(tag);
        let begins = |name: &str| tag.strip_prefix('<').is_some_and(|t| t.starts_with(name));
        let ends = tag.strip_prefix("</").is_some_and(|t| !within.is_empty() && t.starts_with(within));
        if ends {
            within = "";
        } else if within.is_empty() {
            within = ["script", "style", "textarea", "option", "title"].into_iter().find(|n| begins(n)).unwrap_or("");
        }
    }
    out
}

/// A page that only says something.
pub(crate) fn message(title: &str, text: &str, back: &str) -> Markup {
    page(
        title,
        None,
        &[],
        &html! {
            h1 { (title) }
            p.gap { (text) }
            p.gap { a.button href=(back) { (t("back")) } }
        },
    )
}

/// The page for a device that is not paired; `told` is what came of an attempt.
pub(crate) fn pair(told: Option<&str>) -> Markup {
    page(
        &t("pair-title"),
        None,
        &[],
        &html! {
            h1 { (t("pair-title")) }
            p.gap { (t("pair-how")) }
            @if let Some(told) = told { p.gap role="alert" { strong { (told) } } }
            form.gap method="post" action="/pair" {
                label for="code" { (t("pair-code")) " " }
                input.wide id="code" name="code" inputmode="numeric" autocomplete="off" required;
                " "
                button.main { (t("pair-do")) }
            }
        },
    )
}

/// How other devices come in.
pub(crate) fn share(code: Option<&str>, devices: &[Device], address: &str, encrypted: bool) -> Markup {
    page(
        &t("share"),
        None,
        &[],
        &html! {
            h1 { (t("share")) }
            @match code {
                None => p.gap { (t("share-off")) },
                Some(code) => {
                    p.gap { (t("share-how")) }
                    p.big { (address) }
                    @if let Ok(qr) = qrcode::QrCode::new(address) {
                        figure.paper.qr { (PreEscaped(qr.render::<qrcode::render::svg::Color<'_>>().build())) figcaption.vh { (address) } }
                    }
                    p { (t("pair-code")) " " strong.num { (code) } " " (t("code-lives")) }
                    @if encrypted {
                        h2.gap { (t("trust-title")) }
                        p.gap { (t("trust-how")) " " a href="/authority.crt" { (t("trust-file")) } }
                        ul { li { (t("trust-ipad")) } li { (t("trust-android")) } li { (t("trust-windows")) } li { (t("trust-mac")) } li { (t("trust-firefox")) } }
                        p.small.label { (t("trust-tried")) }
                    } @else { p.gap.small.label { (t("trust-off")) } }
                }
            }
            @if !devices.is_empty() {
                h2.gap { (t("paired-devices")) }
                ul.shelf {
                    @for d in devices {
                        li {
                            span { (d.name) ", " span.label { (t("paired-since")) " " span data-at=(d.since) { (crate::said::day(d.since)) } } }
                            form method="post" action="/share/take-back" { input type="hidden" name="mark" value=(d.mark); button { (t("take-pairing-back")) } }
                        }
                    }
                }
            }
        },
    )
}

fn level(l: Level) -> (&'static str, String) {
    match l {
        Level::Error => ("#f-error", t("level-error")),
        Level::Warning => ("#f-warning", t("level-warning")),
        Level::Note => ("#f-note", t("level-note")),
    }
}

/// A flag with its word.
pub(crate) fn flag(l: Level) -> Markup {
    let (symbol, word) = level(l);
    html! { svg role="img" aria-label=(word) { use href=(symbol) {} } }
}

/// One finding: what, where, why, and what would work, with a remedy to press where there is one.
/// `sizes` are the sizes that it holds in, in words.
pub(crate) fn finding(n: &Notice, sizes: &[String], name: &str, base: &str) -> Markup {
    html! {
        div.finding {
            (flag(n.level))
            div {
                @let said = n.told(language());
                p { strong { (said.message) } @if !said.why.is_empty() { " " (said.why) } }
                @for words in sizes { p.small.label { (words) } }
                @for hint in &said.hints { p.small { (hint) } }
                @if let Some(change) = &n.change {
                    form method="post" action={ "/d/" (enc(name)) "/mend" } data-work="" {
                        input type="hidden" name="base" value=(base);
                        input type="hidden" name="start" value=(change.put.span.start);
                        input type="hidden" name="len" value=(change.put.span.len);
                        input type="hidden" name="text" value=(change.put.text);
                        input type="hidden" name="what" value=(done(&change.does, language()));
                        button.remedy { (tf("remedy", &[("what", &done(&change.does, language()))])) }
                    }
                }
            }
        }
    }
}
