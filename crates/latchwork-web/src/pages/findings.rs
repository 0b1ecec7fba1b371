//! What was found, each thing once with the sizes that it holds in; and measures that missed their wish.

use latchwork::wording::{Told, measure};
use maud::{Markup, html};

use latchwork::design::Design;
use latchwork::fit::Measure;
use latchwork::notice::{Level, Notice};
use latchwork::units::Mm;

use super::finding;
use crate::said::{language, t, tf};
use crate::work::WorkedOut;

/// A finding with the sizes that it was found in, and its reason in the last of them where that differs.
pub(super) struct Said<'a> {
    pub(super) notice: &'a Notice,
    pub(super) told: Told,
    pub(super) sizes: Vec<String>,
    last: Option<(String, String)>,
}

/// Everything found: what is said of several sizes is said once, the worst first.
pub(super) fn said(worked: &WorkedOut) -> Vec<Said<'_>> {
    let mut all: Vec<(String, Said<'_>)> = Vec::new();
    for (size, n) in worked.findings() {
        let size = size.and_then(|s| worked.design.as_ref()?.sizes.get(s)).map(|s| s.name.clone());
        // The same except for the name of its size.
        let told = n.told(language());
        let key = match &size {
            Some(s) => told.message.replace(&format!("ize {s} "), "ize ").replace(&format!("ize {s}."), "ize."),
            None => told.message.clone(),
        };
        match all.iter_mut().find(|a| a.0 == key && a.1.notice.span == n.span) {
            Some((_, known)) => {
                if let Some(size) = size.filter(|s| !known.sizes.contains(s)) {
                    known.last = (known.told.why != told.why).then(|| (size.clone(), told.why.clone()));
                    known.sizes.push(size);
                }
            }
            None => all.push((key, Said { notice: n, told, sizes: size.into_iter().collect(), last: None })),
        }
    }
    all.sort_by_key(|a| std::cmp::Reverse(a.1.notice.level));
    all.into_iter().map(|a| a.1).collect()
}

/// A share of the wish; what misses it by more is reported.
const NEAR: f64 = 0.05;

/// Whether a measure missed its wish by more than needles and repeats explain.
pub(super) fn missed(m: &Measure) -> bool {
    m.wished.0 > 0.0 && (m.achieved.0 / m.wished.0 - 1.0).abs() > NEAR
}

/// A wish, or what came of it: as ease where a body is measured, otherwise as a width.
pub(super) fn as_ease(d: &Design, m: &Measure, is: Mm) -> String {
    let ease = |of: Mm| m.body.as_ref().map(|(_, b)| (of.0 / b.0 - 1.0) * 100.0);
    match (ease(m.wished), ease(is)) {
        (Some(wished), Some(is)) if wished > -50.0 => {
            let sign = if is.round() < 0.0 { "−" } else { "+" };
            format!("{sign}{:.0}%", is.abs())
        }
        _ => d.show.length(is),
    }
}

/// A measure that missed its wish, with each size in which it did, what was wished there and what came out.
struct Missed {
    of: String,
    sizes: Vec<[String; 3]>,
}

impl Missed {
    /// What the first and the last size say, once where they say the same.
    fn span(&self, column: usize) -> String {
        match (self.sizes.first(), self.sizes.last()) {
            (Some(a), Some(b)) if a[column] != b[column] => tf("span", &[("from", &a[column]), ("to", &b[column])]),
            (Some(a), _) => a[column].clone(),
            (None, _) => String::new(),
        }
    }
}

fn all_missed(d: &Design, worked: &WorkedOut) -> Vec<Missed> {
    let mut all: Vec<Missed> = Vec::new();
    for s in worked.outcome.iter().flat_map(|o| o.sizes.iter()) {
        for m in s.fit.iter().filter(|m| missed(m)) {
            let of = format!("{}, {}", measure(m, d, language()), d.pieces[m.piece].name);
            let row = [d.sizes[s.size].name.clone(), as_ease(d, m, m.wished), as_ease(d, m, m.achieved)];
            match all.iter_mut().find(|a| a.of == of) {
                Some(known) => known.sizes.push(row),
                None => all.push(Missed { of, sizes: vec![row] }),
            }
        }
    }
    all
}

/// The findings with their remedies.
pub(super) fn findings(name: &str, worked: &WorkedOut, d: &Design) -> Markup {
    let all = said(worked);
    html! {
        section aria-labelledby="fi" {
            (heading(worked, &all))
            @if all.is_empty() { p.gap { (t("rehearsed-all")) } }
            @for a in all.iter().take(12) { (finding(a.notice, &sizes_of(d, a), name, &worked.base)) }
            @if all.len() > 12 { p.small.label { (tf("and-more", &[("n", &(all.len() - 12).to_string())])) } }
            (misses(worked, !all.is_empty()))
        }
    }
}

/// What there is to know, in a few words: that all is well only where nothing was found and no wish was missed.
pub(super) fn heading(worked: &WorkedOut, all: &[Said<'_>]) -> Markup {
    let errors = all.iter().filter(|a| a.notice.level == Level::Error).count();
    let missed = worked.design.as_ref().is_some_and(|d| !all_missed(d, worked).is_empty());
    html! {
        h2 id="fi" {
            @if errors > 0 { (tf("errors", &[("n", &errors.to_string())])) }
            @else if !all.is_empty() { (tf("things-to-know", &[("n", &all.len().to_string())])) }
            @else if missed { (t("not-as-wished")) }
            @else { (t("nothing-found")) }
        }
    }
}

/// The measures that missed their wish, if any did; under a title of their own where other things were found.
pub(super) fn misses(worked: &WorkedOut, titled: bool) -> Markup {
    let Some(d) = &worked.design else { return html! {} };
    let missed = all_missed(d, worked);
    html! { @if !missed.is_empty() { (table(&missed, d.sizes.len() > 1, titled)) } }
}

fn table(missed: &[Missed], many: bool, titled: bool) -> Markup {
    let sizes = |m: &Missed| m.sizes.iter().map(|s| s[0].as_str()).collect::<Vec<_>>().join(", ");
    html! {
        @if titled { h3.gap { (t("not-as-wished")) } }
        table.misses {
            thead { tr { th scope="col" { (t("measure")) } th.n scope="col" { (t("wished")) } th.n scope="col" { (t("came-out")) } } }
            tbody { @for m in missed {
                tr { th scope="row" { (m.of) @if many { br; span.small { (tf("in-sizes", &[("sizes", &sizes(m))])) } } } td.n { (m.span(1)) } td.n { (m.span(2)) } }
            } }
        }
    }
}

/// The sizes that a finding is of, in words: none where there is one size, or where it is of no size.
pub(super) fn sizes_of(d: &Design, said: &Said<'_>) -> Vec<String> {
    if d.sizes.len() < 2 {
        return Vec::new();
    }
    let list = |names: &[String]| names.join(", ");
    let mut told = Vec::new();
    match said.sizes.as_slice() {
        [] => {}
        // Its message may name its first size: the others are given after it.
        [first, rest @ ..] if !rest.is_empty() && said.told.message.contains(&format!("ize {first}")) => {
            told.push(tf("so-in-sizes", &[("sizes", &list(rest))]));
        }
        all => told.push(tf("in-sizes", &[("sizes", &list(all))])),
    }
    if let Some((size, why)) = said.last.as_ref().filter(|l| !l.1.is_empty()) {
        told.push(tf("why-in-size", &[("size", size), ("why", why)]));
    }
    told
}
