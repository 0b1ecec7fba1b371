//! One stretch of a piece: what it is, and what of it is changed by hand.

use maud::{Markup, html};

use latchwork::check::SizeProof;
use latchwork::design::{Design, Ease, Length, Stretch, When, Wish};
use latchwork::fabric::{FABRICS, Fabric};
use latchwork::fit::Measure;
use latchwork::units::counter;

use super::enc;
use crate::said::{t, tf};
use crate::work::Worked;

/// A stretch where it stands: in which document and text, in which size as shown, which piece and stretch.
pub(super) struct At<'a> {
    pub(super) name: &'a str,
    pub(super) base: &'a str,
    pub(super) d: &'a Design,
    pub(super) size: Option<&'a str>,
    pub(super) place: (usize, usize),
}

/// The needles wished where a shaped stretch ends.
pub(super) fn end_needles(stretch: &Stretch) -> Option<u32> {
    match stretch.shaping.as_ref().map(|s| &s.when) {
        Some(When::To { wished, .. }) => match wished.wish {
            Wish::Needles(n) => Some(n),
            Wish::Width(_) | Wish::Around { .. } => None,
        },
        Some(When::Every { .. }) | None => None,
    }
}

impl At<'_> {
    fn stretch(&self) -> &Stretch {
        &self.d.pieces[self.place.0].stretches[self.place.1]
    }

    fn post(&self) -> String {
        format!("/d/{}/revise", enc(self.name))
    }

    fn hidden(&self, what: &str) -> Markup {
        html! {
            input type="hidden" name="base" value=(self.base);
            @if let Some(size) = self.size { input type="hidden" name="size" value=(size); }
            input type="hidden" name="piece" value=(self.d.pieces[self.place.0].name);
            input type="hidden" name="stretch" value=(self.stretch().name);
            input type="hidden" name="what" value=(what);
        }
    }

    fn swatched(&self, f: &Fabric) -> bool {
        self.d.swatches.iter().any(|s| s.fabric == f)
    }

    /// What is typed or chosen; `rows` as they came out, where they did.
    pub(super) fn fields(&self, rows: Option<u32>) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (self.post(), format!("{}-{}", self.place.0, self.place.1));
        let rows = match (&stretch.length, rows) {
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
        let ends = end_needles(stretch);
        html! {
            div.fields {
                form method="post" action=(post) data-work="" {
                    (self.hidden("fabric"))
                    label for={ "f" (id) } { (t("fabric")) }
                    select id={ "f" (id) } name="value" {
                        @for fabric in FABRICS.iter() { option value=(fabric.name) selected[fabric.name == stretch.fabric.name] { (fabric.name) @if !self.swatched(fabric) { " – " (t("no-swatch")) } } }
                    }
                    button.go { (t("set")) }
                }
                @if let Some(rows) = rows {
                    form method="post" action=(post) data-work="" {
                        (self.hidden("rows"))
                        label for={ "r" (id) } { (t("rows-word")) }
                        input id={ "r" (id) } name="value" inputmode="numeric" value=(rows) required pattern="[0-9]{1,4}";
                        button.go { (t("set")) }
                    }
                }
                @if let Some(needles) = ends {
                    form method="post" action=(post) data-work="" {
                        (self.hidden("end-needles"))
                        label for={ "g" (id) } { (t("end-needles")) }
                        input id={ "g" (id) } name="value" inputmode="numeric" value=(needles) required pattern="[0-9]{1,3}";
                        button.go { (t("set")) }
                    }
                }
                @if let Some((every, times)) = taper {
                    form method="post" action=(post) data-work="" {
                        (self.hidden("taper"))
                        label for={ "v" (id) } { (t("taper-every")) }
                        input id={ "v" (id) } name="value" inputmode="numeric" value=(every) required pattern="[0-9]{1,4}";
                        label for={ "t" (id) } { (t("taper-times")) }
                        input id={ "t" (id) } name="times" inputmode="numeric" value=(times) required pattern="[0-9]{1,4}";
                        button.go { (t("set")) }
                    }
                }
                @if let Some((percent, body)) = &ease {
                    form method="post" action=(post) data-work="" {
                        // Far narrower than the measure is a share of it, not ease.
                        @let share = *percent < -50.0;
                        (self.hidden(if share { "share" } else { "ease" }))
                        label for={ "e" (id) } { @if share { (tf("share-word", &[("body", &body.replace('-', " "))])) } @else { (t("ease-word")) } }
                        input id={ "e" (id) } name="value" inputmode="decimal" value=(format!("{}", if share { percent + 100.0 } else { *percent })) required;
                        button.go { (t("set")) }
                    }
                }
            }
        }
    }

    /// What is done less often.
    pub(super) fn more(&self) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (self.post(), format!("{}-{}", self.place.0, self.place.1));
        html! {
            details {
                summary { (t("more")) }
                form method="post" action=(post) data-work="" {
                    (self.hidden("fabric"))
                    p.label { (t("by-its-cloth")) }
                    div.swatches {
                        @for (k, fabric) in FABRICS.iter().enumerate() {
                            button name="value" value=(fabric.name) aria-current=[(fabric.name == stretch.fabric.name).then_some("true")] {
                                img src={ "/fabrics/" (k) } alt="" width="96" height="96" loading="lazy"; span { (fabric.name) @if !self.swatched(fabric) { br; em { (t("no-swatch")) } } }
                            }
                        }
                    }
                }
                form.stack method="post" action=(post) data-work="" {
                    (self.hidden("add"))
                    label for={ "n" (id) } { (t("add-after")) }
                    input.wide id={ "n" (id) } name="value" required maxlength="60" placeholder=(t("add-name"));
                    button { (t("add")) }
                }
                form.stack method="post" action=(post) data-work="" {
                    (self.hidden("remove"))
                    input type="hidden" name="value" value="-";
                    button { (tf("remove", &[("name", &stretch.name)])) }
                }
            }
        }
    }
}

/// A stretch with its figures in the size shown.
pub(super) fn one_stretch(at: &At<'_>, worked: &Worked, shown: &SizeProof, counters: Option<(u32, u32)>) -> Markup {
    let (d, (p, s)) = (at.d, at.place);
    let stretch = at.stretch();
    let w = &shown.stitches.pieces[p].stretches[s];
    let measured: Option<&Measure> = shown.fit.iter().find(|m| m.piece == p && m.stretch == s && !m.at_end);
    html! {
        h3 { (stretch.name) }
        @if worked.notes {
            p { (stretch.fabric.name) ", " (tf("rows", &[("n", &w.rows.to_string())])) }
        } @else {
            (at.fields(Some(w.rows)))
        }
        p.small {
            (d.show.length(w.length)) " " (t("long")) ", " (d.show.length(w.width.0)) " " (t("wide"))
            @if (w.width.0.0 - w.width.1.0).abs() > 1.0 { " " (tf("to-wide", &[("wide", &d.show.length(w.width.1))])) }
            ", " (tf("needles", &[("n", &w.needles.to_string())]))
            @if let Some(m) = measured { @if let (Some((body, _)), Some(e)) = (&m.body, m.ease_percent().filter(|e| *e > -50.0)) { ", " (tf("ease-is", &[("ease", &format!("{e:+.0}")), ("body", &body.replace('-', " "))])) } }
            @if let Some((a, b)) = counters { span.label { " · " (tf("counter-span", &[("from", &counter(a)), ("to", &counter(b))])) } }
        }
        @if !worked.notes { (at.more()) }
    }
}
