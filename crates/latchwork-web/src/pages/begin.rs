//! Begin: what to make, for whom, on which machine and in which yarn; one question a screen.

use maud::{Markup, html};

use latchwork::design::Design;
use latchwork::revise::Starter;

use super::{enc, page};
use crate::said::{t, tf};

/// What was answered so far.
#[derive(Debug, Default, Clone)]
pub(crate) struct Answered {
    /// What is chosen of what the starter leaves open, and was asked for otherwise than it is written.
    pub(crate) chosen: Vec<(String, String)>,
    /// The sizes that are wanted; none for all.
    pub(crate) sizes: Vec<String>,
    /// Whether it is for one person.
    pub(crate) one: bool,
    /// The person's measures as they were typed, by name.
    pub(crate) person: Vec<(String, String)>,
    /// The machine class.
    pub(crate) machine: String,
    /// The count of the yarn as it was typed.
    pub(crate) tex: String,
    /// What the design is called; what the starter is called where nothing was typed.
    pub(crate) title: String,
}

/// Names of fields that are no choice of a starter.
pub(crate) const SIZE: &str = "size";
pub(crate) const ONE: &str = "one";
pub(crate) const MACHINE: &str = "machine";
pub(crate) const TEX: &str = "tex";
pub(crate) const STARTER: &str = "starter";
pub(crate) const TITLE: &str = "title";
/// Sent along with the sizes, so that none of them ticked is seen.
pub(crate) const TABLE: &str = "table";
/// Before the name of a choice, and of a measure.
pub(crate) const CHOICE: &str = "choose.";
pub(crate) const MEASURE: &str = "measure.";

impl Answered {
    /// As fields of a form.
    fn fields(&self) -> Vec<(String, String)> {
        let mut all: Vec<(String, String)> =
            self.chosen.iter().map(|(k, v)| (format!("{CHOICE}{k}"), v.clone())).collect();
        all.extend(self.sizes.iter().map(|s| (SIZE.to_string(), s.clone())));
        all.extend(self.one.then(|| (ONE.to_string(), "yes".to_string())));
        all.extend(self.person.iter().map(|(k, v)| (format!("{MEASURE}{k}"), v.clone())));
        all.extend((!self.machine.is_empty()).then(|| (MACHINE.to_string(), self.machine.clone())));
        all.extend((!self.tex.is_empty()).then(|| (TEX.to_string(), self.tex.clone())));
        all.extend((!self.title.is_empty()).then(|| (TITLE.to_string(), self.title.clone())));
        all
    }

    /// The address at which a starter is asked on.
    fn at(&self, starter: &Starter, step: &str) -> String {
        let query: Vec<String> = self.fields().iter().map(|(k, v)| format!("{}={}", enc(k), enc(v))).collect();
        let query = if query.is_empty() { String::new() } else { format!("?{}", query.join("&")) };
        format!("/begin/{}{step}{query}", enc(starter.name))
    }

    /// The address of the drawing of what is chosen.
    fn drawing(&self, starter: &Starter) -> String {
        let query = self.at(starter, "");
        format!("/starter/{}/drawing.svg{}", enc(starter.name), query.find('?').map_or("", |at| &query[at..]))
    }

    /// With one thing chosen otherwise. Sizes are those of the people that they were for.
    fn choosing(&self, name: &str, value: &str) -> Answered {
        let mut other = Answered { sizes: Vec::new(), ..self.clone() };
        other.chosen.retain(|(k, _)| k != name);
        other.chosen.push((name.to_string(), value.to_string()));
        other
    }
}

/// Which of the three steps.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd)]
enum Step {
    What,
    Whom,
    Yarn,
}

const STEPS: [(Step, &str); 3] = [(Step::What, "step-what"), (Step::Whom, "step-whom"), (Step::Yarn, "step-yarn")];

/// The page of a step.
fn room(starter: Option<&Starter>, answered: &Answered, here: Step, body: &Markup) -> Markup {
    page(
        &t("starters"),
        None,
        &[],
        &html! {
            link rel="stylesheet" href="/begin.css";
            nav aria-label=(t("steps")) {
                ol.steps {
                    @for (n, (step, words)) in (1..).zip(STEPS) {
                        li data-been[step <= here] {
                            @let way = match (step, starter) {
                                (Step::What, _) => Some("/starters".to_string()),
                                (Step::Whom, Some(s)) => Some(answered.at(s, "")),
                                (Step::Yarn, Some(s)) => Some(answered.at(s, "/yarn")),
                                _ => None,
                            };
                            @if step == here { span.s aria-current="step" { span.num { (n) } (t(words)) } }
                            @else if let Some(way) = way { a href=(way) { span.num { (n) } (t(words)) @if let (Step::What, Some(s)) = (step, starter) { span.label { (s.head("title")) } } } }
                            @else { span.s { span.num { (n) } (t(words)) } }
                        }
                    }
                }
            }
            (body)
        },
    )
}

/// Designs to begin from, as drawings.
pub(crate) fn starters(starters: &[Starter]) -> Markup {
    let body = html! {
        h1.gap { (t("starters")) }
        p.gap { (t("starters-how")) }
        div.multiples {
            @for s in starters {
                @let title = s.head("title");
                figure.paper {
                    img src={ "/starter/" (s.name) "/drawing.svg" } alt="" loading="lazy" width="190" height="140";
                    figcaption { strong { (title) } " " span.small.label { (s.head("summary")) } }
                    a.button href={ "/begin/" (s.name) } { (t("begin-starter")) span.vh { ": " (title) } }
                }
            }
        }
    };
    room(None, &Answered::default(), Step::What, &body)
}

fn hidden(answered: &Answered, but: &[&str]) -> Markup {
    html! {
        @for (k, v) in answered.fields() {
            @if !but.iter().any(|b| k.starts_with(b)) { input type="hidden" name=(k) value=(v); }
        }
    }
}

/// A measure's name in words.
fn words(measure: &str) -> String {
    measure.replace('-', " ")
}

/// For whom: what the starter leaves open, and the sizes or the measures of one person.
pub(crate) fn whom(starter: &Starter, design: &Design, answered: &Answered, told: Option<&str>) -> Markup {
    let measures: Vec<&str> = design
        .sizes
        .first()
        .map_or(Vec::new(), |s| s.measures.iter().map(|m| m.0.as_str()).filter(|m| design.asks_for(m)).collect());
    let whose = |one: bool| Answered { one, ..answered.clone() }.at(starter, "");
    let body = html! {
        div.asked {
            div {
                h1 { (t("step-whom-question")) }
                p.gap { (t("step-whom-how")) }
                @if let Some(told) = told { p.told role="alert" { strong { (told) } } }
                div.choices {
                    @for c in &design.choices {
                        @if !c.among.is_empty() {
                            div.group role="group" aria-label=(c.name) {
                                span.label { (c.name) }
                                div.sizes {
                                    @for value in &c.among {
                                        a href=(answered.choosing(&c.name, value).at(starter, "")) aria-current=[(*value == c.chosen).then_some("true")] { (value) }
                                    }
                                }
                            }
                        }
                    }
                }
                div.group role="group" aria-label=(t("step-sizes")) {
                    span.label { (t("step-sizes")) }
                    div.sizes {
                        a href=(whose(false)) aria-current=[(!answered.one).then_some("true")] { (t("step-table")) }
                        a href=(whose(true)) aria-current=[answered.one.then_some("true")] { (t("step-one")) }
                    }
                }
                form method="get" action={ "/begin/" (starter.name) "/yarn" } {
                    (hidden(answered, &[SIZE, MEASURE]))
                    @if answered.one { (of_one(&measures, answered)) } @else { (of_table(design, &measures, answered)) }
                    div.acts { button.main { (t("step-on")) } a.button href="/starters" { (t("back")) } }
                }
            }
            figure.paper { img src=(answered.drawing(starter)) alt=(tf("step-drawn", &[("title", &starter.head("title"))])); figcaption.small.label { (t("step-to-scale")) } }
        }
    };
    room(Some(starter), answered, Step::Whom, &body)
}

fn of_table(design: &Design, measures: &[&str], answered: &Answered) -> Markup {
    let show = design.show;
    html! {
        input type="hidden" name=(TABLE) value="yes";
        div.scroll {
            table {
                thead { tr { th scope="col" { (t("size")) ", " (show.unit()) } @for m in measures { th.n scope="col" { (words(m)) } } } }
                tbody {
                    @for s in &design.sizes {
                        tr {
                            th scope="row" { label { input type="checkbox" name=(SIZE) value=(s.name) checked[answered.sizes.is_empty() || answered.sizes.contains(&s.name)]; (s.name) } }
                            @for m in measures { td.n { (s.measure(m).map_or("–".to_string(), |v| show.number(v))) } }
                        }
                    }
                }
            }
        }
    }
}

fn of_one(measures: &[&str], answered: &Answered) -> Markup {
    let typed = |m: &str| answered.person.iter().find(|p| p.0 == m).map_or("", |p| p.1.as_str());
    html! {
        p.small.gap { (t("step-one-how")) }
        div.measures {
            @for m in measures {
                div {
                    @let id = format!("{MEASURE}{m}");
                    label for=(id) { (words(m)) ", cm" }
                    input id=(id) name=(id) inputmode="decimal" value=(typed(m));
                }
            }
        }
    }
}

/// On which machine and in which yarn; `told` is why nothing was begun.
pub(crate) fn yarn(
    starter: &Starter,
    machines: &[(&str, f64, u32)],
    answered: &Answered,
    told: Option<&str>,
) -> Markup {
    let chosen = if answered.machine.is_empty() { "standard" } else { &answered.machine };
    let body = html! {
        div.asked {
            form method="post" action="/starter" {
                h1 { (t("step-yarn-question")) }
                p.gap { (t("step-yarn-how")) }
                @if let Some(told) = told { p.told role="alert" { strong { (t("nothing-begun")) } " " (told) } }
                input type="hidden" name=(STARTER) value=(starter.name);
                (hidden(answered, &[MACHINE, TEX, TITLE]))
                @let named = if answered.title.is_empty() { starter.head("title") } else { answered.title.clone() };
                p.gap { label for="title" { (t("new-title")) } " " input.wide id="title" name=(TITLE) value=(named); }
                p.gap { label for="machine" { (t("machine")) } " "
                    select id="machine" name=(MACHINE) { @for (m, pitch, _) in machines { option value=(m) selected[*m == chosen] { (m) " (" (pitch) " mm)" } } } }
                p.gap { label for="tex" { (t("step-count")) } " " input id="tex" name=(TEX) inputmode="decimal" value=(answered.tex) aria-describedby="tex-how"; }
                @let usual: Vec<String> = machines.iter().map(|(m, _, tex)| format!("{m} {tex}")).collect();
                p.small.label id="tex-how" { (tf("step-count-how", &[("usual", &usual.join(", "))])) }
                div.acts { button.main { (t("begin-starter")) } a.button href=(answered.at(starter, "")) { (t("back")) } }
            }
            figure.paper { img src=(answered.drawing(starter)) alt=""; }
        }
    };
    room(Some(starter), answered, Step::Yarn, &body)
}

/// A design that was begun without some of the sizes.
pub(crate) fn left_out(name: &str, sizes: &str, why: &str) -> Markup {
    page(
        &t("sizes-left-out"),
        None,
        &[],
        &html! {
            h1 { (t("sizes-left-out")) }
            p.gap { (tf("sizes-left-out-how", &[("sizes", sizes)])) " " (why) }
            p.gap { a.button.main href={ "/d/" (enc(name)) } { (t("to-the-design")) } }
        },
    )
}
