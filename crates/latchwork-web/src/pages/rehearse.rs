//! The rehearsal on the page: the beds after every step, run, stepped and scrubbed.

use latchwork::wording::{self, Told};
use maud::{Markup, html};
use serde_json::{Value, json};

use latchwork::check::SizeProof;
use latchwork::cues::Kind;
use latchwork::units::counter;
use latchwork_machine::fault;
use latchwork_machine::needle::{Bed, Pitch, Position, Side};
use latchwork_machine::rehearsal::views;

use super::{Room, enc, page};
use crate::said::{language, named, t, tf};
use crate::work::WorkedOut;

/// Links to the pieces of every size.
pub(crate) fn choose(name: &str, worked: &WorkedOut, shown: &SizeProof, piece: usize, path: &str) -> Markup {
    let Some(d) = &worked.design else { return html! {} };
    let link = |size: &str, piece: usize| format!("/d/{}/{path}?size={}&piece={piece}", enc(name), enc(size));
    html! {
        @if d.sizes.len() > 1 {
            nav.sizes aria-label=(t("sizes")) {
                span.label { (t("size")) }
                @for s in &d.sizes { a href=(link(&s.name, piece)) aria-current=[(d.sizes[shown.size].name == s.name).then_some("true")] { (s.name) } }
            }
        }
        @if shown.plans.pieces.len() > 1 {
            nav.sizes aria-label=(t("pieces")) {
                span.label { (t("piece")) }
                @for (k, p) in shown.plans.pieces.iter().enumerate() { a href=(link(&d.sizes[shown.size].name, k)) aria-current=[(k == piece).then_some("true")] { (named(p)) } }
            }
        }
    }
}

/// The room.
pub(crate) fn rehearse(name: &str, worked: &WorkedOut, shown: &SizeProof, piece: usize, at: Option<usize>) -> Markup {
    let size = worked.design.as_ref().map_or("", |d| d.sizes[shown.size].name.as_str());
    let title = worked.design.as_ref().map_or(name, |d| d.title.as_str());
    let data = format!("/d/{}/steps/{}/{piece}", enc(name), enc(size));
    let cloth = format!("/d/{}/cloth/{}/{piece}/back.png?across=1200&v={}", enc(name), enc(size), worked.base);
    page(
        title,
        Some((name, Room::Rehearse)),
        &["rehearse.js"],
        &html! {
            div.top { div { (choose(name, worked, shown, piece, "rehearse")) } }
            div id="rehearsal" data-steps=(data) data-at=[at] {
                div.say { div { p.label id="where" { (t("loading")) } h1 id="does" aria-live="polite" {} } p.counter { span.label { (t("counter-word")) } b id="count" { "000" } } }
                div.wide tabindex="0" role="region" aria-label=(t("beds")) { canvas id="beds" width="1336" height="250" role="img" aria-label=(t("beds")) {} }
                p.small id="text-beds" {}
                section.time aria-label=(t("time-line")) {
                    div id="flags" {}
                    input id="scrub" type="range" min="0" max="0" value="0" aria-label=(t("step-word"));
                }
                div.ctl {
                    button id="back" { (t("back-one")) } button.main id="run" data-stop=(t("stop")) data-run=(t("run")) { (t("run")) } button id="on" { (t("on-one")) }
                    button.quiet id="next-finding" { (t("next-finding")) }
                    span.sp {}
                    span.label id="nth" {}
                    label.label for="go" { (t("go-to-counter")) } input id="go" inputmode="numeric";
                }
                div.grown { img id="grown" src=(cloth) alt=(t("grown-alt")) loading="lazy"; }
                section.fs id="found" aria-label=(t("findings")) {}
            }
            section.key aria-labelledby="key" { h2 id="key" { (t("how-to-read")) } p { (t("key-text")) } }
        },
    )
}

fn signs(position: Position) -> char {
    match position {
        Position::Out => '.',
        Position::Working => 'j',
        Position::Forward => 'v',
        Position::Holding => 't',
    }
}

/// Every step of a piece as the script reads it. Beds are sent only where they change: a character for each needle from
/// `first` on, and one for its loops, a letter where one of them was made in this step.
pub(crate) fn steps_json(worked: &WorkedOut, shown: &SizeProof, piece: usize, heights: &[f64]) -> Option<String> {
    let design = worked.design.as_ref()?;
    let (plan, proof) = (shown.plans.pieces.get(piece)?, shown.pieces.get(piece)?);
    let cues = worked.cues(shown, piece)?;
    let needles = plan.plan.steps.iter().flat_map(|s| match &s.action {
        latchwork_machine::steps::Action::IntoWork(n) => n.clone(),
        _ => Vec::new(),
    });
    let slots: Vec<i16> = needles.map(|n| n.slot.0).collect();
    let first = slots.iter().copied().min().unwrap_or(-2) - 1;
    let last = slots.iter().copied().max().unwrap_or(1) + 1;
    let wide = usize::try_from(last - first + 1).ok()?;
    let mut steps: Vec<Value> = Vec::new();
    let mut before: [[String; 2]; 2] = Default::default();
    views(&plan.plan, &design.machine.profile, |i, view| {
        let mut beds = [(); 2].map(|()| [vec!['.'; wide], vec!['0'; wide]]);
        for n in &view.needles {
            let Ok(at) = usize::try_from(n.needle.slot.0 - first) else { continue };
            let bed = usize::from(n.needle.bed == Bed::Ribber);
            if at < wide {
                let loops = n.loops.len().min(9) as u8;
                let new = n.loops.iter().any(|l| view.made.contains(&l.0));
                beds[bed][0][at] = signs(n.position);
                beds[bed][1][at] = char::from(if new { b'a' + loops } else { b'0' + loops });
            }
        }
        let beds = beds.map(|b| b.map(|c| c.into_iter().collect::<String>()));
        let changed = beds != before;
        let mut step = json!({
            "c": view.counter,
            "s": u8::from(view.carriage == Side::Right),
            "h": u8::from(view.pitch == Pitch::Half),
            "r": view.racking.0,
            "g": view.grams,
            "y": heights.get(i).copied().unwrap_or(0.0),
        });
        if changed {
            step["b"] = json!(beds);
            before = beds;
        }
        steps.push(step);
    });
    let told: Vec<Value> = cues
        .iter()
        .map(|c| {
            let text = if c.kind == Kind::Pass { c.does.clone() } else { c.hands.join(" ") };
            let way = c.way.map(|w| if w == Side::Left { t("to-the-left") } else { t("to-the-right") });
            let row = c.row.map(|(n, of)| tf("row-of", &[("n", &n.to_string()), ("of", &of.to_string())]));
            json!({ "from": c.steps.start, "to": c.steps.end, "text": text, "way": way, "part": c.part, "row": row })
        })
        .collect();
    let limit = design.machine.profile.tucks.value;
    let found: Vec<Value> = proof
        .run
        .findings
        .iter()
        .map(|f| {
            let Told { message: what, why, hints } = wording::fault(&f.fault, limit, language());
            let hint = hints.join(" ");
            let level = if f.fault.level() == fault::Level::Error { "error" } else { "warning" };
            let at = proof.run.readings.get(f.step).map_or(String::new(), |r| counter(r.counter));
            json!({ "step": f.step, "level": level, "what": what, "why": why, "hint": hint, "counter": at })
        })
        .collect();
    Some(json!({ "first": first, "steps": steps, "cues": told, "found": found,
        "words": { "step": t("step-word"), "of": t("of"), "left": t("at-left"), "right": t("at-right"), "half": t("half-pitch"), "full": t("full-pitch"), "rack": t("rack"), "main": t("main-bed"), "ribber": t("ribber"), "hang": t("hang"), "to": t("to-needle"), "none": t("no-counter") } }).to_string())
}
