//! The first page: what there is, what can be put here, and how to begin.

use maud::{Markup, PreEscaped, html};

use super::form::{Entry, Told, entry, told_above, typed, wrong};
use super::{enc, page};
use crate::kept::{AWAY, Listed};
use crate::said::{language, t, tf};

/// What a guided first design can be, and its words.
pub(crate) const KINDS: [(&str, &str); 4] =
    [("hat", "kind-hat"), ("mitts", "kind-mitts"), ("cuff", "kind-cuff"), ("scarf", "kind-scarf")];

/// Who it is for, and its words.
pub(crate) const WHOM: [(&str, &str); 3] = [("adults", "for-adults"), ("children", "for-children"), ("one", "for-one")];

/// The two swatches that are asked for: fabric, the ending of its fields' ids, and invented figures to begin with.
pub(crate) const SWATCHES: [(&str, &str, [&str; 5]); 2] = [
    ("1x1 rib", "a", ["40", "60", "8.3", "13.6", "14.0"]),
    ("half cardigan", "b", ["40", "60", "11.1", "8.8", "15.6"]),
];

/// What is measured on a swatch: the beginning of the field's id, and its words.
pub(crate) const MEASURED: [(&str, &str); 5] = [
    ("needles", "swatch-needles"),
    ("passes", "swatch-passes"),
    ("wide", "swatch-wide"),
    ("long", "swatch-long"),
    ("grams", "swatch-grams"),
];

/// All that stands on the shelf.
#[derive(Debug, Default)]
pub(crate) struct OnShelf {
    /// The documents.
    pub(crate) documents: Vec<Listed>,
    /// Examples that are not among them.
    pub(crate) examples: Vec<Listed>,
    /// Documents put away.
    pub(crate) away: Vec<Listed>,
    /// Machines, and their millimetres between needles.
    pub(crate) machines: Vec<(&'static str, f64)>,
}

/// The shelf.
pub(crate) fn shelf(all: &OnShelf, told: Option<&Told>) -> Markup {
    let empty = all.documents.is_empty();
    page(
        &t("shelf"),
        None,
        &[],
        &html! {
            h1 { (t("shelf")) }
            @if empty { p.gap { (t("empty")) } }
            @if empty { (examples(all)) }
            @else {
                ul.shelf {
                    @for d in &all.documents {
                        li {
                            span { a href={ "/d/" (enc(&d.file)) } { (d.title) } " " span.label { (d.summary) } span.small.label { " " (d.file) } }
                            a.keeping href={ "/d/" (enc(&d.file)) "/keeping" } { (t("keeping")) span.vh { ": " (d.title) } }
                        }
                    }
                }
            }
            section.gap aria-labelledby="new" {
                h2 id="new" { (t("new-design")) }
                p.gap { a href="/starters" { (t("starters")) } ". " (t("new-how")) }
                (guide(&all.machines, told))
            }
            @if !empty { (examples(all)) }
            (away(&all.away))
        },
    )
}

fn examples(all: &OnShelf) -> Markup {
    html! {
        @if !all.examples.is_empty() {
            section.all aria-labelledby="examples" {
                h2 id="examples" { (t("examples")) }
                ul.shelf {
                    @for e in &all.examples {
                        li {
                            span { (e.title) " " span.label { (e.summary) } }
                            form method="post" action="/examples" { input type="hidden" name="file" value=(e.file); button { (t("take-example")) span.vh { ": " (e.title) } } }
                        }
                    }
                }
                @if all.examples.len() > 1 { form.gap method="post" action="/examples" { button.main[all.documents.is_empty()] { (t("take-examples")) } } }
            }
        }
    }
}

fn away(away: &[Listed]) -> Markup {
    html! {
        @if !away.is_empty() {
            section.all aria-labelledby="away" {
                h2 id="away" { (t("away")) }
                p.gap { (tf("away-how", &[("folder", AWAY)])) }
                ul.shelf {
                    @for d in away {
                        li {
                            span { (d.title) " " span.label { (d.summary) } span.small.label { " " (d.file) } }
                            form method="post" action="/take-back" { input type="hidden" name="file" value=(d.file); button { (t("take-back")) span.vh { ": " (d.title) } } }
                        }
                    }
                }
            }
        }
    }
}

/// A first design by questions; what was typed stays where an answer could not be used.
fn guide(machines: &[(&'static str, f64)], told: Option<&Told>) -> Markup {
    let chosen = |id: &str, usual: &str, value: &str| typed(told, id).unwrap_or(usual) == value;
    let words = |id: &'static str, usual: String| {
        entry(Entry { id, name: id, value: &usual, wide: true, ..Entry::default() }, told)
    };
    let decimal = |id: &str, usual: &str| {
        entry(Entry { id, name: id, mode: Some("decimal"), value: usual, ..Entry::default() }, told)
    };
    let form = html! {
        form.guide method="post" action="/new" {
            div { label for="title" { (t("new-title")) } (words("title", t("new-name"))) }
            fieldset {
                legend { (t("what-to-make")) }
                @for (kind, words) in KINDS {
                    label.choice { input type="radio" name="kind" value=(kind) checked[chosen("kind", "hat", kind)]; " " (t(words)) }
                }
            }
            fieldset {
                legend { (t("whom-for")) }
                @for (who, words) in WHOM {
                    label.choice { input type="radio" name="who" value=(who) checked[chosen("who", "adults", who)]; " " (t(words)) }
                }
                label for="girth" { (t("girth")) } " " (entry(Entry { id: "girth", name: "girth", mode: Some("decimal"), optional: true, ..Entry::default() }, told))
            }
            div {
                label for="machine" { (t("machine")) }
                select id="machine" name="machine" { @for (m, pitch) in machines { option value=(m) selected[chosen("machine", "standard", m)] { (m) " (" (pitch) " mm)" } } }
                (wrong("machine", told))
            }
            fieldset {
                legend { (t("yarn")) }
                label for="yarn" { (t("yarn-name")) } (words("yarn", t("yarn-my")))
                label for="count" { (t("yarn-count")) } (decimal("count", "420"))
            }
            @for (fabric, end, usual) in SWATCHES {
                fieldset {
                    legend { (tf("swatch-of", &[("fabric", fabric)])) }
                    p.small.label { (t("swatch-how")) }
                    @for ((field, words), usual) in MEASURED.iter().zip(usual) {
                        @let id = format!("{field}-{end}");
                        label for=(id) { (t(words)) span.vh { " " (tf("of-whose", &[("whose", fabric)])) } } (decimal(&id, usual))
                    }
                }
            }
            figure.paper { (PreEscaped(latchwork::picture::where_to_measure(1, language()).svg)) figcaption.small.label { (t("where-to-measure")) } }
            button.main { (t("begin")) }
        }
    };
    html! { (told_above(&form, told)) (form) }
}

/// One document to be renamed, copied or put away.
pub(crate) fn keeping(d: &Listed, base: &str, told: Option<&Told>) -> Markup {
    let at = |what: &str| format!("/d/{}/{what}", enc(&d.file));
    let copy = tf("copy-of", &[("title", &d.title)]);
    let title = |id: &'static str, usual: &str| {
        entry(Entry { id, name: "title", value: usual, wide: true, ..Entry::default() }, told)
    };
    page(
        &d.title,
        Some((&d.file, super::Room::Design)),
        &[],
        &html! {
            h1 { (d.title) }
            p.label { (d.file) }
            section.all aria-labelledby="rename" {
                h2 id="rename" { (t("rename")) }
                p.gap { (tf("rename-how", &[("file", &d.file)])) }
                form.stack.gap method="post" action=(at("rename")) {
                    input type="hidden" name="base" value=(base);
                    label for="named" { (t("new-title")) } (title("named", &d.title)) button { (t("rename-do")) }
                }
            }
            section.all aria-labelledby="copy" {
                h2 id="copy" { (t("copy")) }
                p.gap { (t("copy-how")) }
                form.stack.gap method="post" action=(at("copy")) {
                    label for="copied" { (t("copy-title")) } (title("copied", &copy)) button { (t("copy-do")) }
                }
            }
            section.all aria-labelledby="put-away" {
                h2 id="put-away" { (t("put-away")) }
                p.gap { (tf("put-away-how", &[("folder", AWAY)])) }
                form.gap method="post" action=(at("put-away")) { button { (tf("put-away-do", &[("title", &d.title)])) } }
            }
            p.gap { a.button href={ "/d/" (enc(&d.file)) } { (t("back-to-design")) } }
        },
    )
}
