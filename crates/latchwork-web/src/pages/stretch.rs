//! One stretch of a piece: what it is, and what in it is changed by hand.

use maud::{Markup, html};

use latchwork::check::SizeProof;
use latchwork::design::{Design, Ease, Length, Piece, Stretch, When, Wish};
use std::sync::Arc;

use latchwork::fabric::{Fabric, built_in};
use latchwork::fit::Measure;
use latchwork::revise::end_wish;
use latchwork::stitches::WorkedStretch;
use latchwork::units::counter;

use super::enc;
use super::findings::{as_ease, missed};
use super::form::{Entry, Told, entry, of, wrong};
use crate::cloths::has_picture;
use crate::said::{t, tf};
use crate::work::WorkedOut;

/// A stretch where it stands: in which document and text, in which size as shown, which piece and stretch.
pub(super) struct At<'a> {
    pub(super) name: &'a str,
    pub(super) base: &'a str,
    pub(super) d: &'a Design,
    pub(super) size: Option<&'a str>,
    pub(super) place: (usize, usize),
    pub(super) told: Option<&'a Told>,
}

/// Where a stretch ends with a width, and the words and letters of its field: of a neck, and of its sides.
const ENDS: [(bool, &str, char); 2] = [(false, "end-needles", 'g'), (true, "neck-needles", 'k')];

/// The needles that the sides, or the neck, of a stretch end with, where a width is wished for there.
pub(crate) fn ends_with(stretch: &Stretch, shown: Option<&WorkedStretch>, neck: bool) -> Option<u32> {
    let wished = end_wish(stretch, neck)?;
    match (&wished.wish, shown) {
        (_, Some(w)) if neck => {
            let middle = w.parts.as_ref().map(|p| p.neck);
            middle.or_else(|| w.half.as_ref().map(|h| h.neck))
        }
        (_, Some(w)) => Some(w.needles_end),
        (Wish::Needles(n), None) => Some(*n),
        (Wish::Width(_) | Wish::Share { .. } | Wish::Around { .. }, None) => None,
    }
}

impl At<'_> {
    pub(super) fn stretch(&self) -> &Stretch {
        &self.d.pieces[self.place.0].stretches[self.place.1]
    }

    fn post(&self) -> String {
        format!("/d/{}/revise", enc(self.name))
    }

    pub(super) fn hidden(&self, what: &str) -> Markup {
        html! {
            input type="hidden" name="base" value=(self.base);
            @if let Some(size) = self.size { input type="hidden" name="size" value=(size); }
            input type="hidden" name="piece" value=(self.d.pieces[self.place.0].name);
            input type="hidden" name="stretch" value=(self.stretch().name);
            input type="hidden" name="what" value=(what);
        }
    }

    pub(super) fn piece(&self) -> &Piece {
        &self.d.pieces[self.place.0]
    }

    /// Whose a field is, for those who do not see where it stands.
    pub(super) fn whose(&self) -> String {
        format!("{}, {}", self.stretch().name, self.piece().name)
    }

    fn label(&self, id: &str, word: &str) -> Markup {
        html! { label for=(id) { (of(word, &self.whose())) } }
    }

    fn number(&self, id: &str, name: &str, value: u32, pattern: &str) -> Markup {
        let value = value.to_string();
        let e = Entry { id, name, mode: Some("numeric"), value: &value, pattern: Some(pattern), ..Entry::default() };
        entry(e, self.told)
    }

    pub(super) fn set(&self, word: &str) -> Markup {
        html! { button.go { (t("set")) span.vh { ": " (of(word, &self.whose())) } } }
    }

    /// The fabrics that can be chosen, and those that need a swatch first.
    fn fabrics(&self, id: &str) -> Markup {
        let now = &self.stretch().fabric.name;
        let (have, want): (Vec<&Arc<Fabric>>, Vec<&Arc<Fabric>>) =
            self.d.fabrics.iter().partition(|f| swatched(self.d, self.piece(), f));
        let bad = self.told.is_some_and(|t| t.at.as_deref() == Some(id));
        html! {
            (self.label(id, &t("fabric")))
            select id=(id) name="value" aria-invalid=[bad.then_some("true")] aria-describedby=[bad.then_some("wrong")] {
                @for (words, group) in [("swatched", have), ("no-swatch", want)] {
                    @if !group.is_empty() { optgroup label=(t(words)) { @for f in group { option value=(f.name) selected[f.name == *now] { (f.name) } } } }
                }
            }
            (self.set(&t("fabric")))
            (wrong(id, self.told))
            @if bad && self.told.is_some_and(|t| t.swatch.is_some()) { a.button href="#sw" data-to="s-sizes" { (t("enter-swatch")) } }
        }
    }

    /// What is typed or chosen; `shown` is the stretch as it came out, where it did.
    pub(super) fn fields(&self, shown: Option<&WorkedStretch>) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (self.post(), format!("{}-{}", self.place.0, self.place.1));
        let rows = match (&stretch.length, shown.map(|w| w.rows)) {
            (Length::AsShaped, _) => None,
            (Length::Rows(n), None) => Some(*n),
            (_, rows) => rows,
        };
        let ease = match stretch.wished.as_ref().map(|w| &w.wish) {
            Some(Wish::Around { ease: Ease::Percent(v), measure, .. }) => Some((*v, measure.clone())),
            _ => None,
        };
        let taper = match stretch.shaping.as_ref().map(|s| &s.when) {
            Some(When::Every { rows, times }) => Some((*rows, *times)),
            _ => None,
        };
        let form = |what: &str, fields: Markup| {
            html! { form method="post" action=(post) data-work="" { (self.hidden(what)) (fields) } }
        };
        let rows_word = t("rows-word");
        html! {
            div.fields {
                (form("fabric", self.fabrics(&format!("f{id}"))))
                @if let Some(rows) = rows {
                    @let r = format!("r{id}");
                    (form("rows", html! { (self.label(&r, &rows_word)) (self.number(&r, "value", rows, "[0-9]{1,4}")) (self.set(&rows_word)) }))
                }
                @for (neck, what, letter) in ENDS {
                    @if let Some(needles) = ends_with(stretch, shown, neck) {
                        @let (g, word) = (format!("{letter}{id}"), t(what));
                        (form(what, html! { (self.label(&g, &word)) (self.number(&g, "value", needles, "[0-9]{1,3}")) (self.set(&word)) }))
                    }
                }
                @if let Some((every, times)) = taper {
                    @let (v, u) = (format!("v{id}"), format!("t{id}"));
                    (form("taper", html! {
                        (self.label(&v, &t("taper-every"))) (self.number(&v, "value", every, "[0-9]{1,4}"))
                        (self.label(&u, &t("taper-times"))) (self.number(&u, "times", times, "[0-9]{1,4}"))
                        (self.set(&t("taper-every")))
                    }))
                }
                @if let Some((percent, body)) = &ease {
                    // A width far below the measure is a share of it, not ease.
                    @let share = *percent < -50.0;
                    @let word = if share { tf("share-word", &[("body", &body.replace('-', " "))]) } else { t("ease-word") };
                    @let (e, value) = (format!("e{id}"), format!("{}", if share { percent + 100.0 } else { *percent }));
                    (form(if share { "share" } else { "ease" }, html! {
                        (self.label(&e, &word))
                        (entry(Entry { id: &e, name: "value", mode: Some("decimal"), value: &value, ..Entry::default() }, self.told))
                        (self.set(&word))
                    }))
                }
            }
        }
    }

    /// What is done less often.
    pub(super) fn more(&self) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (self.post(), format!("{}-{}", self.place.0, self.place.1));
        let whose = self.whose();
        let n = format!("n{id}");
        let name = Entry { id: &n, name: "value", wide: true, placeholder: Some(&t("add-name")), ..Entry::default() };
        let asked = self.told.is_some_and(|t| t.at.as_deref() == Some(&n));
        html! {
            details open[asked] {
                summary { (of(&t("more"), &whose)) }
                form method="post" action=(post) data-work="" {
                    (self.hidden("fabric"))
                    p.label { (t("by-its-cloth")) }
                    @for (kind, fabrics) in kinds(self.d) {
                    h4 { (kind) }
                    div.swatches {
                        @for fabric in fabrics {
                            button name="value" value=(fabric.name) aria-current=[(fabric.name == stretch.fabric.name).then_some("true")] {
                                @if let Some(k) = built_in().iter().position(|f| Arc::ptr_eq(f, fabric)).filter(|k| has_picture(*k)) {
                                    img src={ "/fabrics/" (k) } alt="" width="96" height="96" loading="lazy";
                                }
                                span { (of(&fabric.name, &whose)) @if !swatched(self.d, self.piece(), fabric) { br; em { (t("no-swatch")) } } }
                            }
                        }
                    }
                    }
                }
                p.acts {
                    a.button href={ "/d/" (enc(self.name)) "/pattern" } { (t("draw-pattern")) }
                    @if stretch.fabric.signs().is_some() {
                        a.button href={ "/d/" (enc(self.name)) "/pattern?fabric=" (enc(&stretch.fabric.name)) } { (tf("draw-this", &[("fabric", &stretch.fabric.name)])) }
                    }
                }

                form.stack method="post" action=(post) data-work="" {
                    (self.hidden("add"))
                    label for=(n) { (of(&t("add-after"), &whose)) }
                    (entry(name, self.told))
                    button { (t("add")) span.vh { ": " (of(&t("add-after"), &whose)) } }
                }
                form.stack method="post" action=(post) data-work="" {
                    (self.hidden("remove"))
                    input type="hidden" name="value" value="-";
                    button { (tf("remove", &[("name", &stretch.name)])) span.vh { " " (tf("of-whose", &[("whose", &self.piece().name)])) } }
                }
            }
        }
    }
}

/// The fabrics of a design by their kinds, in listed order.
fn kinds(d: &Design) -> Vec<(&str, Vec<&Arc<Fabric>>)> {
    let mut all: Vec<(&str, Vec<&Arc<Fabric>>)> = Vec::new();
    for f in d.fabrics.iter() {
        match all.iter_mut().find(|k| k.0 == f.kind) {
            Some(kind) => kind.1.push(f),
            None => all.push((&f.kind, vec![f])),
        }
    }
    all
}

/// Whether a fabric has a swatch in a piece's yarn.
pub(crate) fn swatched(d: &Design, piece: &Piece, fabric: &Arc<Fabric>) -> bool {
    d.gauge(fabric, piece.yarn).is_some()
}

/// A stretch with its figures in the size shown.
pub(super) fn one_stretch(at: &At<'_>, worked: &WorkedOut, shown: &SizeProof, counters: Option<(u32, u32)>) -> Markup {
    let (d, (p, s)) = (at.d, at.place);
    let stretch = at.stretch();
    let w = &shown.stitches.pieces[p].stretches[s];
    let measured: Option<&Measure> = shown.fit.iter().find(|m| m.piece == p && m.stretch == s && !m.at_end);
    html! {
        h3 { (stretch.name) }
        @if worked.notes {
            p { (stretch.fabric.name) ", " (tf("rows", &[("n", &w.rows.to_string())])) }
        } @else {
            (at.fields(Some(w)))
        }
        p.small {
            (d.show.length(w.length)) " " (t("long")) ", " (d.show.length(w.width.0)) " " (t("wide"))
            @if (w.width.0.0 - w.width.1.0).abs() > 1.0 { " " (tf("to-wide", &[("wide", &d.show.length(w.width.1))])) }
            ", " (tf("needles", &[("n", &w.needles.to_string())]))
            @if let Some(m) = measured { @if let (Some((body, _)), Some(e)) = (&m.body, m.ease_percent().filter(|e| *e > -50.0)) { ", " (tf("ease-is", &[("ease", &format!("{e:+.0}")), ("body", &body.replace('-', " "))])) } }
            @if let Some(m) = measured.filter(|m| missed(m)) { strong { ", " (tf("was-wished", &[("wished", &as_ease(d, m, m.wished))])) } }
            @if let Some((a, b)) = counters { span.label { " · " (tf("counter-span", &[("from", &counter(a)), ("to", &counter(b))])) } }
        }
        @if !worked.notes { (at.shapes()) (at.more()) (at.laid()) (at.colours()) }
    }
}
