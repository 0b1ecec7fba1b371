//! How a stretch is patterned: where the repeat lies, panels beside it, yarns and stripes.

use maud::{Markup, html};

use latchwork::design::{Lasts, PanelAt, Placed, Selected, Stripe, Told as ToldBy, Yarns};
use latchwork_machine::needle::Side;

use super::enc;
use super::form::{Entry, entry, of};
use super::stretch::{At, swatched};
use crate::said::{t, tf};

impl At<'_> {
    /// Where the repeat of its fabric lies, how print tells it, and the panels beside it.
    pub(super) fn laid(&self) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (format!("/d/{}/laid", enc(self.name)), format!("{}-{}", self.place.0, self.place.1));
        let chosen = stretch.fabric.repeat.iter().any(|t| t.selects() || !t.hands.is_empty());
        let placed = stretch.fabric.layout.main_alone() || stretch.fabric.layout.all_of_both();
        html! {
            details { summary { (of(&t("how-it-lies"), &self.whose())) }
                @if chosen {
                    form.stack method="post" action=(post) data-work="" {
                        (self.hidden_at("laid", &format!("l{id}")))
                        @if placed {
                            label for={ "lp" (id) } { (of(&t("repeat-begins"), &self.whose())) }
                            select id={ "lp" (id) } name="placed" {
                                @for (word, value) in Placed::WORDS { option value=(word) selected[stretch.placed == value] { (t(begins(value))) } }
                            }
                            p { label { input type="checkbox" name="mirrored" value="yes" checked[stretch.mirrored]; " " (t("laid-mirrored")) span.vh { ": " (self.whose()) } } }
                        }
                        label for={ "lt" (id) } { (of(&t("printed-as"), &self.whose())) }
                        select id={ "lt" (id) } name="printed" {
                            @for (word, value) in ToldBy::WORDS { option value=(word) selected[stretch.told == value] { (t(printed(value))) } }
                        }
                        @if self.d.machine.device.is_some() {
                            label for={ "ls" (id) } { (of(&t("selected-by"), &self.whose())) }
                            select id={ "ls" (id) } name="selected" {
                                @for (word, value) in Selected::WORDS { option value=(word) selected[stretch.selected == value] { (t(selected_by(value))) } }
                            }
                        }
                        (self.set(&t("how-it-lies")))
                    }
                }
                (self.panels(&post, &id))
            }
        }
    }

    fn panels(&self, post: &str, id: &str) -> Markup {
        let stretch = self.stretch();
        let own = &stretch.fabric;
        let beside: Vec<&str> = self
            .d
            .fabrics
            .iter()
            .filter(|f| f.name != own.name && own.beside(f).is_ok() && swatched(self.d, self.piece(), f))
            .map(|f| f.name.as_str())
            .collect();
        html! {
            h4 { (t("panels")) }
            @for (k, p) in stretch.panels.iter().enumerate() {
                form.acts method="post" action=(post) data-work="" {
                    (self.hidden_at("panel-out", &format!("p{id}")))
                    input type="hidden" name="number" value=(k);
                    span { (tf("panel-is", &[("fabric", &p.fabric.name), ("needles", &p.places.to_string()), ("where", &panel_at(p.at))])) @if p.mirrored { ", " (t("turned-over")) } }
                    button { (t("panel-out")) span.vh { ": " (p.fabric.name) ", " (self.whose()) } }
                }
            }
            @if beside.is_empty() {
                p.small.label { (t("no-panels")) }
            } @else {
                form.stack method="post" action=(post) data-work="" {
                    (self.hidden_at("panel", &format!("p{id}")))
                    p { label for={ "pf" (id) } { (of(&t("panel-fabric"), &self.whose())) } " "
                        select id={ "pf" (id) } name="fabric" { @for f in &beside { option value=(f) { (f) } } } }
                    p { label for={ "p" (id) "-n" } { (of(&t("panel-needles"), &self.whose())) } " "
                        (entry(Entry { id: &format!("p{id}-n"), name: "needles", mode: Some("numeric"), ..Entry::default() }, self.told)) }
                    p { label for={ "pa" (id) } { (of(&t("panel-where"), &self.whose())) } " "
                        select id={ "pa" (id) } name="at" { @for (at, word) in [("centre", "panel-centre"), ("left", "panel-left"), ("right", "panel-right")] { option value=(at) { (t(word)) } } } }
                    p { label for={ "p" (id) "-i" } { (of(&t("panel-in"), &self.whose())) } " "
                        (entry(Entry { id: &format!("p{id}-i"), name: "in", mode: Some("numeric"), optional: true, ..Entry::default() }, self.told)) }
                    p { label { input type="checkbox" name="mirrored" value="yes"; " " (t("panel-mirrored")) span.vh { ": " (self.whose()) } } }
                    button { (t("panel-add")) span.vh { ": " (self.whose()) } }
                }
            }
        }
    }

    fn hidden_at(&self, what: &str, id: &str) -> Markup {
        html! { (self.hidden(what)) input type="hidden" name="id" value=(id); }
    }

    /// How long a stripe lasts, for its line of the form.
    fn lasting(&self, stripe: Stripe) -> (Option<u32>, &'static str) {
        match stripe.lasts {
            Lasts::Rows(n) => (Some(n), "rows"),
            // Documents give whole grams.
            Lasts::Yarn(length) => {
                let grams = length.0 * self.d.yarns[stripe.yarn].tex.0 / 1e6;
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "grams of a document")]
                let grams = grams.round() as u32;
                (Some(grams), "grams")
            }
            Lasts::Rest => (None, "rest"),
        }
    }

    fn yarn_choice(&self, id: &str, chosen: Option<usize>, none: bool) -> Markup {
        html! {
            select id=(id) name="yarn" {
                @if none { option value="" selected[chosen.is_none()] { (t("no-stripe")) } }
                @for (k, y) in self.d.yarns.iter().enumerate() { option value=(y.name) selected[chosen == Some(k)] { (y.name) } }
            }
        }
    }

    /// The yarns of a fabric of several, the stripes of a fabric of one, and another colour.
    pub(super) fn colours(&self) -> Markup {
        let stretch = self.stretch();
        let (post, id) = (format!("/d/{}/colours", enc(self.name)), format!("{}-{}", self.place.0, self.place.1));
        let own = &self.d.yarns[self.piece().yarn];
        let stripes: &[Stripe] = match &stretch.yarns {
            Yarns::Stripes(all) => all,
            Yarns::OfPiece | Yarns::Each(_) => &[],
        };
        let lines: Vec<Option<Stripe>> = stripes.iter().copied().map(Some).chain([None; 3]).collect();
        html! {
            details { summary { (of(&t("yarns-of-it"), &self.whose())) }
            @if let Yarns::Each(yarns) = &stretch.yarns {
                form method="post" action=(post) data-work="" {
                    (self.hidden_at("yarns", &format!("y{id}")))
                    @for (k, yarn) in yarns.iter().enumerate() {
                        @let field = format!("y{id}-{k}");
                        label for=(field) { (of(&tf("yarn-number", &[("n", &(k + 1).to_string())]), &self.whose())) }
                        (self.yarn_choice(&field, Some(*yarn), false))
                    }
                    (self.set(&t("yarns-of-it")))
                }
            } @else if self.d.yarns.len() > 1 {
                form method="post" action=(post) data-work="" {
                    (self.hidden_at("stripes", &format!("w{id}")))
                    p.small.label { (t("stripes-how")) }
                    div.colours.stripes {
                        @for (k, line) in lines.iter().enumerate() {
                            @let (a, b, c, n) = (format!("q{id}-{k}"), format!("w{id}-{k}"), format!("u{id}-{k}"), (k + 1).to_string());
                            @let (many, by) = line.map_or((None, "rows"), |l| self.lasting(l));
                            span { label.vh for=(a) { (of(&tf("stripe-yarn", &[("n", &n)]), &self.whose())) } (self.yarn_choice(&a, line.map(|l| l.yarn), true)) }
                            span { label.vh for=(b) { (of(&tf("stripe-many", &[("n", &n)]), &self.whose())) }
                                (entry(Entry { id: &b, name: "many", mode: Some("numeric"), optional: true, value: &many.map(|m| m.to_string()).unwrap_or_default(), ..Entry::default() }, self.told)) }
                            span { label.vh for=(c) { (of(&tf("stripe-by", &[("n", &n)]), &self.whose())) }
                                select id=(c) name="by" { @for (value, word) in [("rows", "by-rows"), ("grams", "by-grams"), ("rest", "by-rest")] {
                                    option value=(value) selected[by == value] { (t(word)) }
                                } } }
                        }
                    }
                    p { label { input type="checkbox" name="free-pass" value="yes" checked[stretch.fetches]; " " (t("free-pass")) span.vh { ": " (self.whose()) } } }
                    button.go { (t("set-stripes")) span.vh { ": " (self.whose()) } }
                }
            }
            form.stack method="post" action=(post) data-work="" {
                (self.hidden_at("colour", &format!("c{id}")))
                input type="hidden" name="like" value=(own.name);
                p.label { (of(&tf("another-colour", &[("yarn", &own.name)]), &self.whose())) }
                div.colours {
                    label for={ "cn" (id) } { (of(&t("colour-name"), &self.whose())) }
                    input id={ "cn" (id) } name="name" style="width:12em;max-width:100%;text-align:left" maxlength="60";
                    input type="color" name="colour" value="#2f5d73" aria-label=(format!("{} {}", t("colour-is"), tf("of-whose", &[("whose", &self.whose())])));
                }
                button { (t("add-colour")) span.vh { ": " (self.whose()) } }
            }
            }
        }
    }
}

/// Where a panel stands.
fn panel_at(at: PanelAt) -> String {
    let n = |n: u32| n.to_string();
    match at {
        PanelAt::Centre(0) => t("stands-centre"),
        PanelAt::Centre(by) => tf("stands-off-centre", &[("n", &by.to_string())]),
        PanelAt::From(Side::Left, by) => tf("stands-left", &[("n", &n(by))]),
        PanelAt::From(Side::Right, by) => tf("stands-right", &[("n", &n(by))]),
    }
}

fn begins(placed: Placed) -> &'static str {
    match placed {
        Placed::Left => "placed-left",
        Placed::Right => "placed-right",
        Placed::Centred => "placed-centred",
        Placed::Alike => "placed-alike",
        Placed::Seams => "placed-seams",
    }
}

fn printed(told: ToldBy) -> &'static str {
    match told {
        ToldBy::Chart => "printed-chart",
        ToldBy::Words => "printed-words",
    }
}

fn selected_by(selected: Selected) -> &'static str {
    match selected {
        Selected::Hand => "selected-hand",
        Selected::Device => "selected-device",
    }
}
