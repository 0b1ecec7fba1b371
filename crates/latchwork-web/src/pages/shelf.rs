//! The first page: what there is, and how to begin.

use maud::{Markup, html};

use super::{enc, page};
use crate::said::{t, tf};

/// What is told of a document on the shelf: file name, title, summary.
pub(crate) type Listed = (String, String, String);

/// What a guided first design can be, and its words.
pub(crate) const KINDS: [(&str, &str); 4] =
    [("hat", "kind-hat"), ("mitts", "kind-mitts"), ("cuff", "kind-cuff"), ("scarf", "kind-scarf")];

/// The shelf.
pub(crate) fn shelf(all: &[Listed], machines: &[(&str, f64)]) -> Markup {
    page(
        &t("shelf"),
        None,
        &[],
        &html! {
            h1 { (t("shelf")) }
            @if all.is_empty() {
                p.gap { (t("empty")) }
                form.gap method="post" action="/examples" { button.main { (t("take-examples")) } }
            } @else {
                ul.shelf {
                    @for (name, title, summary) in all {
                        li { a href={ "/d/" (enc(name)) } { (title) } " " span.label { (summary) } span.small.label { " " (name) } }
                    }
                }
            }
            section.gap aria-labelledby="new" {
                h2 id="new" { (t("new-design")) }
                p.gap { (t("new-how")) }
                form.guide method="post" action="/new" {
                    div { label for="title" { (t("new-title")) } input.wide id="title" name="title" required maxlength="60" value=(t("new-name")); }
                    fieldset {
                        legend { (t("what-to-make")) }
                        @for (k, (kind, words)) in KINDS.iter().enumerate() {
                            label.choice { input type="radio" name="kind" value=(kind) checked[k == 0]; " " (t(words)) }
                        }
                    }
                    fieldset {
                        legend { (t("whom-for")) }
                        @for (who, words) in [("adults", "for-adults"), ("children", "for-children"), ("one", "for-one")] {
                            label.choice { input type="radio" name="who" value=(who) checked[who == "adults"]; " " (t(words)) }
                        }
                        label for="girth" { (t("girth")) } " " input id="girth" name="girth" inputmode="decimal" pattern="[0-9.,]{1,6}";
                    }
                    div { label for="machine" { (t("machine")) } select id="machine" name="machine" { @for (m, pitch) in machines { option value=(m) selected[*m == "standard"] { (m) " (" (pitch) " mm)" } } } }
                    fieldset {
                        legend { (t("yarn")) }
                        label for="yarn" { (t("yarn-name")) } input.wide id="yarn" name="yarn" required maxlength="60" value=(t("yarn-my"));
                        label for="count" { (t("yarn-count")) } input id="count" name="count" inputmode="decimal" required value="420";
                    }
                    @for (fabric, id) in [("1x1 rib", "a"), ("half cardigan", "b")] {
                        fieldset {
                            legend { (tf("swatch-of", &[("fabric", fabric)])) }
                            p.small.label { (t("swatch-how")) }
                            @for (field, words, value) in [("needles", "swatch-needles", "40"), ("passes", "swatch-passes", "60"), ("wide", "swatch-wide", if id == "a" { "8.3" } else { "11.1" }), ("long", "swatch-long", if id == "a" { "13.6" } else { "8.8" }), ("grams", "swatch-grams", if id == "a" { "14.0" } else { "15.6" })] {
                                label for={ (field) (id) } { (t(words)) } input id={ (field) (id) } name={ (field) "_" (id) } inputmode="decimal" required value=(value);
                            }
                        }
                    }
                    figure.paper { (maud::PreEscaped(latchwork::picture::where_to_measure(1).svg)) figcaption.small.label { (t("where-to-measure")) } }
                    button.main { (t("begin")) }
                }
            }
        },
    )
}
