//! The design room: sizes, pieces by their stretches, findings with their remedies, yarn, cloth.

use maud::{Markup, PreEscaped, html};

use latchwork::check::SizeProof;
use latchwork::design::{Design, Length, Piece};
use latchwork::notice::Level;
use latchwork::picture::{fit_plot, schematic, sewing_map};
use latchwork::plan::PartKind;
use latchwork::units::{Grams, Mm};
use latchwork_machine::needle::Side;

use super::findings::findings;
use super::form::{Entry, Told, entry, of, told_above, wrong};
use super::stretch::{At, ends_with, one_stretch};
use super::{Room, enc, finding, flag, page};
use crate::said::{language, t, tf};
use crate::work::WorkedOut;

/// What undo and redo would do, in words.
pub(crate) type Around = (Option<String>, Option<String>);

/// A design as it is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seen<'a> {
    /// Its file.
    pub(crate) name: &'a str,
    /// What came of it.
    pub(crate) worked: &'a WorkedOut,
    /// The size asked for.
    pub(crate) size: Option<&'a str>,
    /// What can be undone and redone.
    pub(crate) around: &'a Around,
    /// What the last form was answered with.
    pub(crate) told: Option<&'a Told>,
    /// The newest version that could be drawn, where this one cannot.
    pub(crate) before: Option<&'a WorkedOut>,
}

/// The whole page.
pub(crate) fn design(seen: &Seen<'_>) -> Markup {
    let title = seen.worked.design.as_ref().map_or(seen.name, |d| d.title.as_str());
    page(
        title,
        Some((seen.name, Room::Design)),
        &["work.js", "cloth.js"],
        &html! {
            div id="work" data-name=(seen.name) data-lost=(t("lost-page")) { (work_area(seen)) }
            p.vh id="told" role="status" aria-live="polite" {}
        },
    )
}

/// All that changes when the document does.
pub(crate) fn work_area(seen: &Seen<'_>) -> Markup {
    let area = area(seen);
    html! { (told_above(&area, seen.told)) (area) }
}

fn area(seen: &Seen<'_>) -> Markup {
    let Seen { name, worked, size, around, told, .. } = *seen;
    let base = &worked.base;
    html! {
        @if let Some(d) = &worked.design {
            @let shown = worked.size(size);
            div.top {
                div { h1 { (d.title) } @if !d.summary.is_empty() { p.label { (d.summary) } } @if !d.scenario.is_empty() { p.small.label { (d.scenario) } } }
                @if d.sizes.len() > 1 {
                    nav.sizes aria-label=(t("sizes")) {
                        span.label { (t("size")) }
                        @for s in &d.sizes {
                            a href={ "/d/" (enc(name)) "?size=" (enc(&s.name)) } aria-current=[shown.is_some_and(|x| d.sizes[x.size].name == s.name).then_some("true")] { (s.name) }
                        }
                    }
                }
            }
            (acts(name, base, around, Some(d).filter(|_| !worked.notes)))
            (choices(seen, d))
            div.work {
                div {
                    @if shown.is_none() { (without_figures(seen, d)) }
                    @if let Some(shown) = shown {
                        @for (p, piece) in d.pieces.iter().enumerate() { (one_piece(seen, d, shown, p, piece)) }
                    }
                    @if !d.seams.is_empty() && let Some(shown) = shown {
                        @let size = &d.sizes[shown.size].name;
                        section.piece aria-labelledby="worn" {
                            h2 id="worn" { (t("finished")) }
                            div.worn {
                                @for (how, words) in [("sewn.png", "by-itself"), ("worn.png", "on-a-form")] {
                                    figure { img src={ "/d/" (enc(name)) "/worn/" (enc(size)) "/" (how) "?v=" (base) } alt=(t(words)) loading="lazy" width="450" height="420"; figcaption.small.label { (t(words)) } }
                                }
                            }
                        }
                    }
                }
                aside { (findings(name, worked, d)) (yarn(d, worked, told)) @if !worked.notes { (new_swatch(seen, d)) } }
            }
            @if worked.outcome.as_ref().is_some_and(|o| !o.sizes.is_empty()) { (all_sizes(d, worked, shown)) }
        } @else {
            h1 { (name) }
            p.gap { (t("cannot-read")) }
            (acts(name, base, around, None))
            section.gap aria-label=(t("findings")) {
                @for n in worked.read.iter().take(40) { (finding(n, &[], name, base)) }
            }
        }
    }
}

fn acts(name: &str, base: &str, around: &Around, d: Option<&Design>) -> Markup {
    html! {
        div.acts {
            @for (word, path, what) in [("undo", "undo", &around.0), ("redo", "redo", &around.1)] {
                form method="post" action={ "/d/" (enc(name)) "/" (path) } data-work="" {
                    input type="hidden" name="base" value=(base);
                    button disabled[what.is_none()] { (t(word)) @if let Some(w) = what { span.label { (w) } } }
                }
            }
            a.button href={ "/d/" (enc(name)) "/document" } { (t("open-document")) }
            a.button href={ "/d/" (enc(name)) "/keeping" } { (t("keeping")) }
            @if let Some(d) = d { (units(name, base, d)) }
        }
    }
}

/// What the author leaves open, a row of presses each.
fn choices(seen: &Seen<'_>, d: &Design) -> Markup {
    html! {
        @for c in d.choices.iter().filter(|c| c.among.len() > 1) {
            form.acts method="post" action={ "/d/" (enc(seen.name)) "/choose" } data-work="" role="group" aria-label=(c.name) {
                input type="hidden" name="base" value=(seen.worked.base);
                @if let Some(size) = seen.size { input type="hidden" name="size" value=(size); }
                input type="hidden" name="choice" value=(c.name);
                span.label { (c.name) }
                @for value in &c.among {
                    button.main[value == &c.chosen] name="value" value=(value) aria-pressed=(value == &c.chosen) { (value) }
                }
            }
        }
    }
}

fn units(name: &str, base: &str, d: &Design) -> Markup {
    let inches = d.show.units == latchwork::units::Units::Inches;
    html! {
        form method="post" action={ "/d/" (enc(name)) "/units" } data-work="" {
            input type="hidden" name="base" value=(base);
            input type="hidden" name="inches" value=(!inches);
            button.quiet { @if inches { (t("in-cm")) } @else { (t("in-inches")) } }
        }
    }
}

/// A swatch entered by its measurements, with a drawing of where to measure. It stands open where it is wanted.
fn new_swatch(seen: &Seen<'_>, d: &Design) -> Markup {
    let Seen { name, told, .. } = *seen;
    let wanted = told.and_then(|t| t.swatch.as_deref());
    let whose = t("the-new-swatch");
    let field = |id: &str, words: &str, usual: &str, mode: &str| {
        let e =
            Entry { id: &format!("s-{id}"), name: id, mode: Some(mode), placeholder: Some(usual), ..Entry::default() };
        html! { div { label for={ "s-" (id) } { (of(&t(words), &whose)) } (entry(e, told)) } }
    };
    let chosen = |w: Option<&str>, value: &str| w == Some(value);
    html! {
        section aria-labelledby="sw" {
            h2 id="sw" { (t("add-swatch")) }
            details open[wanted.is_some()] {
                summary { (t("measured-one")) }
                figure.paper { (PreEscaped(latchwork::picture::where_to_measure(1, language()).svg)) figcaption.small { (t("where-to-measure")) } }
                form.guide.gap method="post" action={ "/d/" (enc(name)) "/swatch" } data-work="" {
                    input type="hidden" name="base" value=(seen.worked.base);
                    @if let Some(w) = wanted.filter(|w| !w.of.1.is_empty()) {
                        input type="hidden" name="piece" value=(w.of.0);
                        input type="hidden" name="stretch" value=(w.of.1);
                        p { (tf("then-knitted-in", &[("name", &w.of.1)])) }
                    }
                    div {
                        label for="s-fabric" { (of(&t("fabric"), &whose)) }
                        select id="s-fabric" name="fabric" { @for f in d.fabrics.iter() { option value=(f.name) selected[chosen(wanted.map(|w| w.fabric.as_str()), &f.name)] { (f.name) } } }
                        (wrong("s-fabric", told))
                    }
                    @if d.yarns.len() > 1 {
                        div {
                            label for="s-yarn" { (of(&t("yarn"), &whose)) }
                            select id="s-yarn" name="yarn" { @for y in &d.yarns { option value=(y.name) selected[chosen(wanted.map(|w| w.yarn.as_str()), &y.name)] { (y.name) } } }
                        }
                    }
                    (field("sizes", "stitch-sizes", "3 3", "text"))
                    (field("needles", "swatch-needles", "40", "numeric")) (field("passes", "swatch-passes", "60", "numeric"))
                    (field("wide", "swatch-wide", "8.3", "decimal")) (field("long", "swatch-long", "13.6", "decimal")) (field("grams", "swatch-grams", "14.0", "decimal"))
                    p.small.label { (t("swatch-how")) }
                    button { (of(&t("add"), &whose)) }
                }
            }
        }
    }
}

/// The stretches where no size could be worked out: the drawing that there was, and what was wished for, to be changed.
fn without_figures(seen: &Seen<'_>, d: &Design) -> Markup {
    let Seen { name, told, before, .. } = *seen;
    html! {
        p.gap { (t("no-size-works")) }
        @if let Some((old, shown)) = before.and_then(|b| b.design.as_ref().zip(b.size(seen.size))) {
            figure.paper.before {
                @let drawing = schematic(old, &[&shown.stitches]);
                (PreEscaped(drawing.svg))
                figcaption.label { (tf("drawn-before", &[("size", &old.sizes[shown.size].name)])) }
            }
        }
        @for (p, piece) in d.pieces.iter().enumerate() {
            section.piece aria-labelledby={ "p" (p) } {
                h2 id={ "p" (p) } { (piece.name) }
                ol.stretches reversed {
                    @for s in (0..piece.stretches.len()).rev() {
                        @let at = At { name, base: &seen.worked.base, d, size: None, place: (p, s), told };
                        li { h3 { (piece.stretches[s].name) } (at.fields(None)) (at.more()) }
                    }
                }
            }
        }
    }
}

/// Scale of the drawing: millimetres to its units.
fn scale(worked: &latchwork::stitches::PieceStitches) -> f64 {
    let widest = worked.stretches.iter().map(|s| s.width.0.0.max(s.width.1.0)).fold(1.0, f64::max);
    (520.0 / widest).min(440.0 / worked.measured().0.max(1.0))
}

/// The outline of a stretch that begins at this height, as a path.
fn outline(of: &latchwork::stitches::PieceStitches, stretch: usize, k: f64, y: f64) -> String {
    let middle = of.middles()[stretch].0;
    let at = |(across, up): &(Mm, Mm)| format!("{} {}", f((across.0 + middle) * k), f(y - up.0 * k));
    let points: Vec<String> = of.stretches[stretch].contour().iter().map(at).collect();
    format!("M{}Z", points.join("L"))
}

/// Where the width of a neck is dragged, from the middle of the piece, and by how much for a needle.
fn neck_grip(w: &latchwork::stitches::WorkedStretch, k: f64) -> (f64, f64) {
    let per = |wide: f64, needles: u32| wide * k / f64::from(needles.max(1));
    let outer = w.width.1.0 * k / 2.0;
    match (&w.parts, &w.half) {
        (Some(p), _) => (p.wide.0 * k / 2.0, per(p.wide.0, p.neck) / 2.0),
        (None, Some(h)) if h.side == Side::Left => (h.wide.0 * k - outer, per(h.wide.0, h.neck)),
        (None, Some(h)) => (outer - h.wide.0 * k, -per(h.wide.0, h.neck)),
        (None, None) => (0.0, 1.0),
    }
}

#[expect(clippy::too_many_lines, reason = "a page's markup as it stands on the page")]
fn one_piece(seen: &Seen<'_>, d: &Design, shown: &SizeProof, p: usize, piece: &Piece) -> Markup {
    let Seen { name, worked, told, .. } = *seen;
    let base = worked.base.as_str();
    let stitches = &shown.stitches.pieces[p];
    let k = scale(stitches);
    let tall = stitches.measured().0 * k;
    let plan = shown.plans.pieces.iter().position(|x| x.piece == p);
    let size = &d.sizes[shown.size].name;
    let counters = |s: usize| counters(shown, plan?, s);
    let mut y = tall + 16.0;
    let mut bands = Vec::new();
    for (s, w) in stitches.stretches.iter().enumerate() {
        let (b, h) = (w.width.1.0 * k / 2.0, w.length.0 * k);
        bands.push((s, y, h, b));
        y -= h;
    }
    let alt: Vec<String> = stitches
        .stretches
        .iter()
        .zip(&piece.stretches)
        .map(|(w, s)| {
            tf(
                "band-alt",
                &[
                    ("name", &s.name),
                    ("wide", &d.show.length(w.width.0)),
                    ("end", &d.show.length(w.width.1)),
                    ("long", &d.show.length(w.length)),
                ],
            )
        })
        .collect();
    html! {
        section.piece aria-labelledby={ "p" (p) } {
            h2 id={ "p" (p) } { (piece.name) @if let Some(plan) = plan { @if shown.plans.pieces[plan].make > 1 { ", " (tf("make", &[("n", &shown.plans.pieces[plan].make.to_string())])) } } }
            div.lay {
                svg.draw viewBox={ "-290 0 580 " (format!("{:.0}", tall + 32.0)) } role="group" aria-label={ (piece.name) ": " (alt.join(" ")) } {
                    @for (s, y, h, _) in &bands {
                        path.band d=(outline(stitches, *s, k, *y)) data-fabric=(piece.stretches[*s].fabric.name) {}
                        text x="0" y=(f(y - h / 2.0 + 5.0)) text-anchor="middle" { (piece.stretches[*s].name) }
                    }
                    // What is dragged lies above all that is drawn.
                    @for (s, y, h, b) in &bands {
                        @let w = &stitches.stretches[*s];
                        @let whose = format!("{}, {}", piece.stretches[*s].name, piece.name);
                        @if !worked.notes && !matches!(piece.stretches[*s].length, Length::AsShaped) {
                            g.grip tabindex="0" role="slider" data-what="rows" data-piece=(piece.name) data-stretch=(piece.stretches[*s].name) data-each=(format!("{:.3}", h / f64::from(w.rows.max(1))))
                                aria-label=(tf("height-of", &[("name", &whose)])) aria-valuemin="1" aria-valuemax="2000" aria-valuenow=(w.rows)
                                aria-valuetext=(tf("rows-long", &[("rows", &w.rows.to_string()), ("long", &d.show.length(w.length))])) transform={ "translate(0 " (f(y - h)) ")" } {
                                path.cased d={ "M" (f(-b)) " 0H" (f(*b)) } {}
                                path.dyed d={ "M" (f(-b)) " 0H" (f(*b)) } {}
                                rect x="-22" y="-22" width="44" height="44" fill="transparent" {}
                                ellipse rx="12" ry="8" {}
                                path.arrow d="M-4 -2L0 -5 4 -2M-4 2L0 5 4 2" {}
                            }
                        }
                        @for (what, neck) in [("end-needles", false), ("neck-needles", true)] {
                            @if let Some(needles) = ends_with(&piece.stretches[*s], Some(w), neck).filter(|_| !worked.notes) {
                                @let (x, each) = if neck { neck_grip(w, k) } else { (b + 30.0, b / f64::from(w.needles_end.max(1))) };
                                g.grip tabindex="0" role="slider" data-what=(what) data-axis="x" data-piece=(piece.name) data-stretch=(piece.stretches[*s].name) data-each=(format!("{each:.3}"))
                                    aria-label=(tf(if neck { "neck-of" } else { "taper-of" }, &[("name", &whose)])) aria-valuemin="1" aria-valuemax="400" aria-valuenow=(needles)
                                    aria-valuetext=(tf("needles", &[("n", &needles.to_string())])) transform={ "translate(" (f(x)) " " (f(y - h + 2.0)) ")" } {
                                    rect x="-22" y="-22" width="44" height="44" fill="transparent" {}
                                    ellipse rx="8" ry="12" {}
                                    path.arrow d="M-2 -4L-5 0 -2 4M2 -4L5 0 2 4" {}
                                }
                            }
                        }
                    }
                }
                ol.stretches reversed {
                    @for s in (0..piece.stretches.len()).rev() {
                        @let at = At { name, base, d, size: Some(size), place: (p, s), told };
                        li { (one_stretch(&at, worked, shown, counters(s))) }
                    }
                }
            }
            @if let Some(plan) = plan {
                figure.cloth data-cloth={ "/d/" (enc(name)) "/cloth/" (enc(size)) "/" (plan) } {
                    img src={ "/d/" (enc(name)) "/cloth/" (enc(size)) "/" (plan) "/public.png?across=900&v=" (base) } loading="lazy" alt=(tf("cloth-alt", &[("piece", &piece.name)])) width="900" height="420";
                    div.acts.noprint hidden {
                        button data-cloth-do="in" { (of(&t("nearer"), &piece.name)) } button data-cloth-do="out" { (of(&t("farther"), &piece.name)) }
                        button data-cloth-do="turn" data-back=(t("public-side")) { (of(&t("other-side"), &piece.name)) }
                        button data-cloth-do="left" aria-label={ (t("go-left")) ", " (piece.name) } { "←" } button data-cloth-do="right" aria-label={ (t("go-right")) ", " (piece.name) } { "→" }
                        button data-cloth-do="up" aria-label={ (t("go-up")) ", " (piece.name) } { "↑" } button data-cloth-do="down" aria-label={ (t("go-down")) ", " (piece.name) } { "↓" }
                        button.quiet data-cloth-do="pass" { (of(&t("pass-in-the-middle"), &piece.name)) }
                    }
                    figcaption.small.label { (t("cloth-how")) }
                }
            }
        }
    }
}

fn f(v: f64) -> String {
    format!("{v:.1}")
}

/// What the counter reads while a stretch is knitted.
fn counters(shown: &SizeProof, plan: usize, stretch: usize) -> Option<(u32, u32)> {
    let (plan, proof) = (shown.plans.pieces.get(plan)?, shown.pieces.get(plan)?);
    let of = |step: &latchwork_machine::steps::Step| {
        matches!(plan.origins.get(step.origin.0 as usize).map(|o| o.kind.clone()), Some(PartKind::Stretch { index, .. }) if index == stretch)
            && matches!(step.action, latchwork_machine::steps::Action::Pass(_))
    };
    let mine = || plan.plan.steps.iter().zip(&proof.run.readings).filter(|(s, _)| of(s)).map(|(_, r)| r.counter);
    Some((mine().next()?, mine().next_back()?))
}

fn yarn(d: &Design, worked: &WorkedOut, told: Option<&Told>) -> Markup {
    let Some(outcome) = &worked.outcome else { return html! {} };
    let weighed = |g: f64| format!("{} {}", d.show.weight(Grams(g)), d.show.weight_unit());
    html! {
        @for (i, y) in d.yarns.iter().enumerate().filter(|_| !outcome.sizes.is_empty()) {
            @let amounts: Vec<(&str, f64, f64)> = outcome.sizes.iter().map(|s| { let (g, r) = s.grams(d, i); (d.sizes[s.size].name.as_str(), g.0, r.0.max(1.0)) }).collect();
            @let most = amounts.iter().map(|a| a.1 + a.2).chain(y.in_hand.map(|g| g.0)).fold(1.0, f64::max) * 1.05;
            @let gutter = 14.0 + 8.2 * amounts.iter().map(|a| a.0.chars().count()).max().unwrap_or(2) as f64;
            @let x = |g: f64| gutter + (290.0 - gutter) * g / most;
            section aria-labelledby={ "ya" (i) } {
                h2 id={ "ya" (i) } { (y.name) }
                svg.draw viewBox={ "0 0 376 " (30 * amounts.len() + 34) } role="img" aria-label=(amounts.iter().map(|(n, g, r)| tf("yarn-alt", &[("size", n), ("weight", &weighed(*g)), ("range", &weighed(*r))])).collect::<Vec<_>>().join(" ")) {
                    @for (k, (n, g, r)) in amounts.iter().enumerate() {
                        @let y0 = 22 + 30 * k;
                        text x="0" y=(y0 + 5) font-size="16" { (n) }
                        path.ink stroke-width="1.5" d={ "M" (f(gutter)) " " (y0) "H" (f(x(g - r))) } {}
                        path.ink stroke-width="1.5" stroke-dasharray="2 4" d={ "M" (f(x(g - r))) " " (y0) "H" (f(x(g + r))) } {}
                        path.ink stroke-width="2" d={ "M" (f(x(*g))) " " (y0 - 6) "v12" } {}
                        text x="376" y=(y0 + 5) font-size="15" text-anchor="end" { (d.show.weight(Grams(*g))) " ± " (weighed(*r)) }
                    }
                    @if let Some(have) = y.in_hand {
                        path.ink stroke-width="1" d={ "M" (f(x(have.0))) " 8V" (30 * amounts.len() + 8) } {}
                        text x=(f(x(have.0))) y=(30 * amounts.len() + 26) font-size="15" text-anchor="middle" { (tf("in-hand", &[("weight", &weighed(have.0))])) }
                    }
                }
                @if !worked.notes { (in_hand(i, y, worked, told)) }
            }
        }
    }
}

/// Grams in hand: a figure, or nothing where it is not known.
fn in_hand(i: usize, y: &latchwork::measure::Yarn, worked: &WorkedOut, told: Option<&Told>) -> Markup {
    let id = format!("h{i}");
    let have = y.in_hand.map_or(String::new(), |g| format!("{:.0}", g.0));
    let e = Entry { id: &id, name: "value", mode: Some("decimal"), value: &have, optional: true, ..Entry::default() };
    html! {
        form.stack method="post" data-work="" data-revise="" {
            input type="hidden" name="base" value=(worked.base);
            input type="hidden" name="piece" value=(y.name);
            input type="hidden" name="stretch" value="";
            input type="hidden" name="what" value="in-hand";
            label for=(id) { (of(&t("you-have"), &y.name)) }
            (entry(e, told))
            button { (t("set")) span.vh { ": " (of(&t("you-have"), &y.name)) } }
            p.small.label { (t("in-hand-how")) }
        }
    }
}

/// Every size: small drawings, a table, how it fits, how it is sewn.
fn all_sizes(d: &Design, worked: &WorkedOut, shown: Option<&SizeProof>) -> Markup {
    let Some(outcome) = &worked.outcome else { return html! {} };
    let fits: Vec<_> = outcome.sizes.iter().map(|s| (s.size, s.sheet.as_slice())).collect();
    let swatched = outcome.proven.as_ref().is_none_or(latchwork::check::Proven::swatched);
    html! {
        section.all aria-labelledby="every" {
            h2 id="every" { (t("every-size")) }
            @if outcome.sizes.len() > 1 {
                div.multiples {
                    @for s in outcome.sizes.iter() {
                        figure.paper { (PreEscaped(schematic(d, &[&s.stitches]).svg)) figcaption { (d.sizes[s.size].name) } }
                    }
                }
            }
            div.wide tabindex="0" role="region" aria-label=(t("table-of-sizes")) {
                table {
                    thead { tr {
                        th scope="col" { (t("size")) }
                        @for p in &d.pieces { th.n scope="col" { (p.name) ", " (t("needles-word")) } th.n scope="col" { (t("rows-word")) } th.n scope="col" { (t("long")) } }
                        th.n scope="col" { (t("yarn")) } th.n scope="col" { (t("time")) } th scope="col" { (t("found")) }
                    } }
                    tbody {
                        @for s in outcome.sizes.iter() {
                            tr.at[shown.is_some_and(|x| x.size == s.size)] {
                                th scope="row" { (d.sizes[s.size].name) }
                                @for w in &s.stitches.pieces {
                                    td.n { (w.stretches.first().map_or(0, |s| s.needles)) } td.n { (w.rows()) } td.n { (w.length().map_or_else(|| t("not-known"), |l| d.show.length(l))) }
                                }
                                td.n { @if swatched { @for i in 0..d.yarns.len() { @let (g, r) = s.grams(d, i); (d.show.weight(g)) " ± " (d.show.weight(Grams(r.0.max(1.0)))) " " (d.show.weight_unit()) " " } } @else { "–" } }
                                td.n { (format!("{} h {:02}", s.seconds / 3600, s.seconds / 60 % 60)) }
                                td { @match s.notices.0.iter().map(|n| n.level).max() { Some(l) => span.flagged { (flag(l)) }, None => (t("none")) } }
                            }
                        }
                    }
                }
            }
            @if let Some(plot) = fit_plot(d, &fits) {
                h3.gap { (t("fits-whom")) }
                figure.paper { (PreEscaped(plot.svg)) figcaption.vh { (plot.alt) } }
            }
            @if let Some(s) = shown.filter(|_| !d.seams.is_empty()) {
                h3.gap { (t("sewn-how")) }
                @let map = sewing_map(d, &s.stitches, &s.sewing);
                figure.paper { (PreEscaped(map.svg)) figcaption.vh { (map.alt) } }
            }
            @if outcome.sizes.iter().any(|s| s.notices.0.iter().any(|n| n.level == Level::Error)) { p.small.label { (t("some-fail")) } }
        }
    }
}

/// The millimetres that this many rows of a stretch take, and how the document would say it.
pub(crate) fn length_of_rows(
    d: &Design,
    shown: &SizeProof,
    (p, s): (usize, usize),
    rows: u32,
) -> Option<(String, bool)> {
    let stretch = d.pieces.get(p)?.stretches.get(s)?;
    let mm = f64::from(rows) * stretch.gauge.pass.value;
    let two = |v: f64| {
        let text = format!("{v:.2}");
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    };
    Some(match &stretch.length {
        Length::Rows(_) => (rows.to_string(), true),
        Length::Of(_) | Length::AsShaped => (format!("(cm){}", two(mm / 10.0)), false),
        Length::Share { measure, plus, .. } => {
            let body = d.sizes[shown.size].measure(measure).unwrap_or(Mm(mm));
            (format!("(percent){}", two(100.0 * (mm - plus.0) / body.0.max(1.0))), false)
        }
    })
}
