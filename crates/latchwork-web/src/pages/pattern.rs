//! The pattern room: a fabric drawn cell by cell, how it looks from both sides, and what in it is likely to go wrong.

use maud::{Markup, html};

use latchwork::check::tried;
use latchwork::design::Design;
use latchwork::fabric::{AtCell, Fabric, Risk, risks};
use latchwork::notice::Level;

use super::form::Told;
use super::{Room, enc, flag, page};
use crate::said::{language, t, tf};
use crate::work::WorkedOut;

/// A row over a needle where no swatch tells: plain at rest, by published constants.
const PROPORTION: f64 = 0.76;

/// The signs that a press can put into a cell, with their words.
const SIGNS: [(char, &str); 7] = [
    ('k', "cell-knit"),
    ('2', "cell-second"),
    ('t', "cell-tuck"),
    ('-', "cell-slip"),
    ('w', "cell-over"),
    ('<', "cell-left"),
    ('>', "cell-right"),
];

/// A drawing as it is looked at.
pub(crate) struct Drawing<'a> {
    /// The document's file.
    pub(crate) name: &'a str,
    /// What came of it.
    pub(crate) worked: &'a WorkedOut,
    /// The fabric's name.
    pub(crate) fabric: &'a str,
    /// Its rows of signs, the first knitted first.
    pub(crate) rows: &'a [String],
    /// What was said of the last change.
    pub(crate) told: Option<&'a Told>,
}

fn colours(d: &Design) -> [String; 2] {
    let of = |i: usize, usual: &str| d.yarns.get(i).and_then(|y| y.colour.clone()).unwrap_or_else(|| usual.to_string());
    [of(0, "#8B9499"), of(1, "#E4DCCB")]
}

fn proportion(d: &Design, fabric: &str) -> f64 {
    let known = d.fabrics.iter().find(|f| f.name == fabric).and_then(|f| d.gauge(f, 0));
    known.map_or(PROPORTION, |g| g.pass.value / g.needle.value)
}

/// The whole page.
pub(crate) fn pattern(of: &Drawing<'_>) -> Markup {
    let Some(d) = &of.worked.design else { return super::message(&t("sorry"), &t("cannot-read"), "/") };
    let wide = of.rows.first().map_or(0, |r| r.chars().count());
    let [first, second] = colours(d);
    let signs: Vec<&str> = of.rows.iter().rev().map(String::as_str).collect();
    page(
        of.fabric,
        Some((of.name, Room::Design)),
        &["pattern.js"],
        &html! {
            link rel="stylesheet" href="/pattern.css";
            div.top {
                div { h1 id="title" { (of.fabric) } p.label id="count" { (tf("pattern-count", &[("needles", &wide.to_string()), ("rows", &of.rows.len().to_string())])) } }
                fieldset.choice.drawing hidden {
                    legend.label { (t("draw-from")) }
                    button type="button" data-side="machine" aria-pressed="true" { (t("from-machine")) }
                    button type="button" data-side="public" aria-pressed="false" { (t("from-public")) }
                }
            }
            @if let Some(told) = of.told { p.told role="alert" { (told.text) } }
            div.pattern id="pattern" data-first=(first) data-second=(second) data-rise=(format!("{:.3}", proportion(d, of.fabric)))
                data-cell=(t("cell-label")) data-count=(t("pattern-count-plain")) data-row=(t("pattern-row"))
                data-look={ "/d/" (enc(of.name)) "/pattern/look" } {
                div.tools.drawing hidden {
                    div.signs role="radiogroup" aria-label=(t("a-press")) {
                        span.label { (t("a-press")) }
                        @for (k, (sign, word)) in SIGNS.iter().enumerate() {
                            button type="button" role="radio" aria-checked=(if k == 1 { "true" } else { "false" }) tabindex=(if k == 1 { "0" } else { "-1" }) data-sign=(sign) {
                                span.sample data-sign=(sign) aria-hidden="true" {} span { (t(word)) } " " kbd { (k + 1) }
                            }
                        }
                    }
                    div.changes {
                        @for (what, word) in [("mirror", "turn-over"), ("swap", "swap-yarns"), ("wider", "wider"), ("narrower", "narrower"), ("taller", "taller"), ("shorter", "shorter"), ("undo", "undo"), ("redo", "redo")] {
                            button type="button" data-do=(what) { (t(word)) }
                        }
                    }
                }
                div.gridwrap.drawing hidden { table.chart role="grid" aria-label=(t("pattern-grid")) { tbody {} } }
                p.say.drawing id="row-said" hidden {}
                p.small.label.drawing hidden { (t("pattern-keys")) }
                div.faces.drawing hidden {
                    figure { figcaption { b { (t("face-public")) } } canvas data-face="public" width="640" height="330" role="img" aria-label=(t("public-face")) {} }
                    figure { figcaption { b { (t("face-machine")) } } canvas data-face="machine" width="640" height="330" role="img" aria-label=(t("machine-face")) {} }
                }
                section id="found" aria-live="polite" aria-label=(t("findings")) { (found(d, of.fabric, of.rows)) }
            }
            form.stack.gap method="post" action={ "/d/" (enc(of.name)) "/pattern" } {
                input type="hidden" name="base" value=(of.worked.base);
                label for="pattern-name" { (t("pattern-name")) }
                input id="pattern-name" name="fabric" value=(of.fabric) style="width:20em;max-width:100%;text-align:left" maxlength="60" required;
                details { summary { (t("as-signs")) }
                    p.small.label { (t("as-signs-how")) }
                    label for="signs" { (t("as-signs-label")) }
                    textarea id="signs" name="rows" rows=(of.rows.len() + 1) cols=(wide.max(20)) spellcheck="false" { "\n" (signs.join("\n")) }
                }
                div.acts { button.main { (t("keep-pattern")) } a.button href={ "/d/" (enc(of.name)) } { (t("back-to-design")) } }
            }
        },
    )
}

/// What is likely to go wrong in a drawing, each with a press that would mend it.
pub(crate) fn found(d: &Design, fabric: &str, rows: &[String]) -> Markup {
    let tucks = d.machine.profile.tucks.value;
    let all = risks(rows, d.machine.profile.float.value, tucks);
    let wide = rows.first().map_or(1, |r| r.chars().count()).max(1);
    let known = d.fabrics.iter().find(|f| f.name == fabric && f.signs().is_some_and(|s| s == rows));
    let wrong = known.and_then(|f| tried(f).notices.into_iter().find(|n| n.level == Level::Error));
    html! {
        h2 { @if all.is_empty() && wrong.is_none() { (t("pattern-good")) } @else { (t("pattern-found")) } }
        @if let Some(n) = &wrong {
            @let told = n.told(language());
            div.finding { (flag(Level::Error)) div { p { b { (told.message) } " " (told.why) } } }
        }
        @for a in all.iter().take(12) { (one(a, rows, wide, tucks)) }
        @if known.is_some() && wrong.is_none() { p.label { (t("pattern-tried")) } }
    }
}

fn one(a: &AtCell, rows: &[String], wide: usize, tucks: u32) -> Markup {
    let last = (a.cell + a.many - 1) % wide;
    let figures = [
        ("many", a.many.to_string()),
        ("row", (a.row + 1).to_string()),
        ("from", (a.cell + 1).to_string()),
        ("to", (last + 1).to_string()),
        ("limit", tucks.to_string()),
    ];
    let figures: Vec<(&str, &str)> = figures.iter().map(|(k, v)| (*k, v.as_str())).collect();
    let has = |sign: char| rows.get(a.row).is_some_and(|r| r.contains(sign));
    let second = has('2');
    let (word, level) = match a.risk {
        Risk::Float => ("risk-float", Level::Warning),
        Risk::Beside if a.many > 2 => ("risk-beside", Level::Error),
        Risk::Beside => ("risk-beside", Level::Warning),
        Risk::Stacked => ("risk-stacked", Level::Error),
        Risk::Emptied => ("risk-emptied", Level::Error),
        Risk::Waits if second => ("risk-waits-first", Level::Warning),
        Risk::Waits => ("risk-waits", Level::Warning),
    };
    let middle = if matches!(a.risk, Risk::Stacked | Risk::Waits) { a.cell } else { (a.cell + a.many / 2) % wide };
    let row = if a.risk == Risk::Stacked { (a.row + a.many / 2) % rows.len().max(1) } else { a.row };
    let now = rows.get(a.row).and_then(|r| r.chars().nth(a.cell));
    let (sign, mend) = match (a.risk, now) {
        (Risk::Float, Some('k')) if second && has('k') => ('2', "mend-second"),
        (Risk::Waits, _) if !second => ('2', "mend-second"),
        _ => ('k', "mend-knit"),
    };
    let cell = [("needle", (middle + 1).to_string()), ("row", (row + 1).to_string())];
    let cell: Vec<(&str, &str)> = cell.iter().map(|(k, v)| (*k, v.as_str())).collect();
    html! {
        div.finding { (flag(level)) div {
            p { (tf(word, &figures)) }
            button.remedy.drawing type="button" data-at-row=(row) data-at-cell=(middle) data-put=(sign) { (tf(mend, &cell)) }
        } }
    }
}

/// Rows of signs as typed, the top one first, to rows with the first knitted first.
pub(crate) fn rows_from(text: &str) -> Vec<String> {
    let mut rows: Vec<String> = text.lines().map(|l| l.trim().to_string()).filter(|l| !l.is_empty()).collect();
    rows.reverse();
    rows
}

/// A drawing to begin with.
pub(crate) fn blank() -> Vec<String> {
    vec!["k".repeat(12); 8]
}

/// The rows of a fabric, if it can be drawn.
pub(crate) fn rows_of(d: &Design, fabric: &str) -> Option<Vec<String>> {
    let f: &std::sync::Arc<Fabric> = d.fabrics.iter().find(|f| f.name == fabric)?;
    f.signs().map(|rows| {
        // A small repeat is easier to draw on when it stands a few times.
        let wide = rows.first().map_or(1, String::len).max(1);
        let times = if wide < 4 { 8 / wide } else { 1 };
        rows.iter().map(|r| r.repeat(times)).collect()
    })
}
