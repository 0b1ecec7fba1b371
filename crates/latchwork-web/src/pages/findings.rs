//! What was found, each thing once with the sizes that it holds in; and measures that missed their wish.

use maud::{Markup, html};

use latchwork::design::Design;
use latchwork::fit::Measure;
use latchwork::notice::{Level, Notice};

use super::finding;
use crate::said::{t, tf};
use crate::work::Worked;

/// A finding with the sizes that it was found in, and its reason in the last of them where that is another.
pub(super) struct Said<'a> {
    pub(super) notice: &'a Notice,
    pub(super) sizes: Vec<String>,
    last: Option<(String, &'a str)>,
}

/// Everything found: what is said of several sizes is said once, the worst first.
pub(super) fn said(worked: &Worked) -> Vec<Said<'_>> {
    let mut all: Vec<(String, Said<'_>)> = Vec::new();
    for (size, n) in worked.findings() {
        let size = size.and_then(|s| worked.design.as_ref()?.sizes.get(s)).map(|s| s.name.clone());
        // The same but for the name of its size.
        let key = match &size {
            Some(s) => n.message.replace(&format!("ize {s} "), "ize ").replace(&format!("ize {s}."), "ize."),
            None => n.message.clone(),
        };
        match all.iter_mut().find(|a| a.0 == key && a.1.notice.span == n.span) {
            Some((_, known)) => {
                if let Some(size) = size.filter(|s| !known.sizes.contains(s)) {
                    known.last = (known.notice.why != n.why).then_some((size.clone(), n.why.as_str()));
                    known.sizes.push(size);
                }
            }
            None => all.push((key, Said { notice: n, sizes: size.into_iter().collect(), last: None })),
        }
    }
    all.sort_by_key(|a| std::cmp::Reverse(a.1.notice.level));
    all.into_iter().map(|a| a.1).collect()
}

/// A share of the wish; what misses it by more is told. A needle more or less is about half of it.
const NEAR: f64 = 0.03;

/// A measure that missed its wish, in a size.
struct Missed<'a> {
    of: String,
    size: &'a str,
    wished: String,
    came_out: String,
}

/// Whether a measure missed its wish by more than a needle or the swatch's own doubt explains.
pub(super) fn missed(m: &Measure) -> bool {
    m.wished.0 > 0.0 && (m.achieved.0 / m.wished.0 - 1.0).abs() > NEAR
}

/// A wish and what came of it: as ease where a body is measured, else as a width.
pub(super) fn wish_and_came_out(d: &Design, m: &Measure) -> (String, String) {
    let ease = m.body.as_ref().map(|(_, b)| (m.wished.0 / b.0 - 1.0) * 100.0).zip(m.ease_percent());
    match ease.filter(|e| e.0 > -50.0) {
        Some((wished, is)) => (format!("{wished:+.0} %"), format!("{is:+.0} %")),
        None => (d.show.length(m.wished), d.show.length(m.achieved)),
    }
}

fn all_missed<'a>(d: &'a Design, worked: &Worked) -> Vec<Missed<'a>> {
    let sizes = worked.outcome.iter().flat_map(|o| &o.sizes);
    let of_size = |s: &latchwork::check::SizeProof| {
        let size = d.sizes[s.size].name.as_str();
        let row = move |m: &Measure| {
            let (wished, came_out) = wish_and_came_out(d, m);
            Missed { of: format!("{}, {}", m.name(d), d.pieces[m.piece].name), size, wished, came_out }
        };
        s.fit.iter().filter(|m| missed(m)).map(row).collect::<Vec<_>>()
    };
    sizes.flat_map(of_size).collect()
}

/// The findings with their remedies.
pub(super) fn findings(name: &str, worked: &Worked, d: &Design) -> Markup {
    let all = said(worked);
    let missed = all_missed(d, worked);
    let count = all.len().to_string();
    let errors = all.iter().filter(|a| a.notice.level == Level::Error).count();
    html! {
        section aria-labelledby="fi" {
            h2 id="fi" {
                @if errors > 0 { (tf("errors", &[("n", &errors.to_string())])) }
                @else if !all.is_empty() { (tf("things-to-know", &[("n", &count)])) }
                @else if !missed.is_empty() { (t("not-as-wished")) }
                @else { (t("nothing-found")) }
            }
            @if all.is_empty() { p.gap { (t("rehearsed-all")) } }
            @for a in all.iter().take(12) { (finding(a.notice, &sizes_of(d, a), name, &worked.base)) }
            @if all.len() > 12 { p.small.label { (tf("and-more", &[("n", &(all.len() - 12).to_string())])) } }
            @if !missed.is_empty() { (table(&missed, d.sizes.len() > 1, !all.is_empty())) }
        }
    }
}

fn table(missed: &[Missed<'_>], many: bool, titled: bool) -> Markup {
    html! {
        @if titled { h3.gap { (t("not-as-wished")) } }
        div.wide tabindex="0" role="region" aria-label=(t("not-as-wished")) {
            table.misses {
                thead { tr { th scope="col" { (t("measure")) } @if many { th scope="col" { (t("size")) } } th.n scope="col" { (t("wished")) } th.n scope="col" { (t("came-out")) } } }
                tbody { @for m in missed { tr { th scope="row" { (m.of) } @if many { td { (m.size) } } td.n { (m.wished) } td.n { (m.came_out) } } } }
            }
        }
    }
}

/// The sizes that a finding is told of, in words: none where there is one size, or where it is of no size.
pub(super) fn sizes_of(d: &Design, said: &Said<'_>) -> Vec<String> {
    if d.sizes.len() < 2 {
        return Vec::new();
    }
    let list = |names: &[String]| names.join(", ");
    let mut told = Vec::new();
    match said.sizes.as_slice() {
        [] => {}
        // Its message may name its first size: the others are told after it.
        [first, rest @ ..] if !rest.is_empty() && said.notice.message.contains(&format!("ize {first}")) => {
            told.push(tf("so-in-sizes", &[("sizes", &list(rest))]));
        }
        all => told.push(tf("in-sizes", &[("sizes", &list(all))])),
    }
    if let Some((size, why)) = said.last.as_ref().filter(|l| !l.1.is_empty()) {
        told.push(tf("why-in-size", &[("size", size), ("why", why)]));
    }
    told
}
