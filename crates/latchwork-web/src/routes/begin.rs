//! Begin: a design from a starter, asked for in three steps. What was answered stands in the address, so that leaving keeps it.

use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use latchwork::check::prove;
use latchwork::measure::BUILT_IN;
use latchwork::picture::outlines;
use latchwork::revise::{Asked, Begun, COUNTS, NotBegun, STARTERS, Starter};
use latchwork::units::{Mm, Tex, length_from};

use super::off;
use super::shelf::to_design;
use crate::pages::begin::{Answered, CHOICE, MACHINE, MEASURE, ONE, SIZE, STARTER, TABLE, TEX, TITLE};
use crate::pages::{self, begin};
use crate::said::{language, t, tf};
use crate::shared::Workshop;

/// Lengths of a body that are taken, in millimetres.
const LENGTHS: std::ops::RangeInclusive<f64> = 5.0..=3000.0;

type Fields = Vec<(String, String)>;

/// What was answered, but for what the starter does not know.
fn answered(starter: &Starter, fields: &Fields) -> Answered {
    let choices = starter.choices();
    let mut a = Answered::default();
    for (k, v) in fields {
        let v = v.trim().to_string();
        match k.as_str() {
            SIZE => a.sizes.push(v),
            ONE => a.one = !v.is_empty(),
            MACHINE => a.machine = v,
            TEX => a.tex = v,
            TITLE => a.title = v,
            _ => {
                if let Some(name) = k.strip_prefix(CHOICE) {
                    let known = choices.iter().any(|(n, among)| n == name && among.contains(&v));
                    a.chosen.extend(known.then(|| (name.to_string(), v)));
                } else if let Some(name) = k.strip_prefix(MEASURE).filter(|_| !v.is_empty()) {
                    a.person.push((name.to_string(), v));
                }
            }
        }
    }
    a
}

/// The starters.
pub(super) async fn starters() -> Response {
    begin::starters(STARTERS).into_response()
}

/// For whom a design is.
pub(super) async fn whom(Path(name): Path<String>, Query(fields): Query<Fields>) -> Response {
    let page = off(move || {
        let starter = Starter::find(&name)?;
        let a = answered(starter, &fields);
        let design = starter.drafted_with(&BUILT_IN[1], &a.chosen)?;
        Some(begin::whom(starter, &design, &a, None))
    });
    shown(page.await)
}

fn machines() -> Vec<(&'static str, f64, u32)> {
    BUILT_IN.iter().map(|m| (m.name, m.pitch, m.tex)).collect()
}

/// On which machine, in which yarn.
pub(super) async fn yarn(Path(name): Path<String>, Query(fields): Query<Fields>) -> Response {
    let page = off(move || {
        let starter = Starter::find(&name)?;
        let a = answered(starter, &fields);
        let asked = fields.iter().any(|f| f.0 == TABLE);
        if asked && !a.one && a.sizes.is_empty() {
            let design = starter.drafted_with(&BUILT_IN[1], &a.chosen)?;
            return Some(begin::whom(starter, &design, &a, Some(&t("no-size-ticked"))));
        }
        Some(begin::yarn(starter, &machines(), &a, None))
    });
    shown(page.await)
}

fn shown(page: Option<Option<maud::Markup>>) -> Response {
    match page {
        Some(Some(page)) => page.into_response(),
        Some(None) => {
            (StatusCode::NOT_FOUND, pages::message(&t("sorry"), &t("no-such-starter"), "/starters")).into_response()
        }
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// A length as it was typed: in centimetres, unless a unit stands after it.
fn length(text: &str) -> Option<Mm> {
    let plain = text.replace(',', ".").parse::<f64>().ok().map(|cm| Mm(10.0 * cm));
    plain.or_else(|| length_from(text)).filter(|mm| LENGTHS.contains(&mm.0))
}

/// A design from what was answered, or why there is none.
fn begun(starter: &Starter, a: &Answered) -> Result<Begun, String> {
    let class = BUILT_IN.iter().find(|m| m.name == a.machine).unwrap_or(&BUILT_IN[1]);
    let count = |text: &str| text.replace(',', ".").parse::<f64>().ok().filter(|v| COUNTS.contains(v));
    let tex = match a.tex.as_str() {
        "" => None,
        text => Some(Tex(count(text).ok_or_else(|| tf("wrong-count", &[("typed", text)]))?)),
    };
    let mut person = Vec::new();
    for (name, typed) in a.person.iter().filter(|_| a.one) {
        let said = || tf("wrong-measure", &[("measure", &name.replace('-', " ")), ("typed", typed)]);
        person.push((name.clone(), length(typed).ok_or_else(said)?));
    }
    if a.one && person.is_empty() {
        return Err(t("no-measure"));
    }
    let sizes = if a.one { &[][..] } else { &a.sizes };
    let title = Some(a.title.clone()).filter(|title| !title.is_empty());
    let begun = starter.begun(&Asked { title, chosen: &a.chosen, person: &person, sizes, tex, class });
    let in_words = |notice: &latchwork::notice::Notice| {
        let told = notice.told(language());
        format!("{} {}", told.message, told.why)
    };
    match begun {
        Ok(begun) => Ok(begun),
        Err(NotBegun::NoSize(why)) => Err(format!("{} {}", t("no-size-knits"), in_words(&why))),
        Err(NotBegun::NotASize { name, known }) => {
            Err(tf("no-such-size", &[("name", &name), ("known", &known.join(", "))]))
        }
        Err(NotBegun::NoMeasure { name, .. }) => Err(tf("not-asked", &[("measure", &name)])),
        Err(NotBegun::NoChoice { name, .. }) => Err(tf("not-asked", &[("measure", &name)])),
        Err(NotBegun::Faulty(notices)) => Err(notices.first().map_or(t("cannot-read"), in_words)),
    }
}

/// Begins a design from a starter.
pub(super) async fn starter(State(w): State<Workshop>, Form(fields): Form<Fields>) -> Response {
    let done = off(move || {
        let named = fields.iter().find(|f| f.0 == STARTER);
        let Some(starter) = named.and_then(|f| Starter::find(&f.1)) else { return shown(Some(None)) };
        let a = answered(starter, &fields);
        match begun(starter, &a) {
            Ok(Begun { text, left_out }) => {
                let title = if a.title.is_empty() { starter.head("title") } else { a.title.clone() };
                let name = w.folder.begin(&title, "kdl", &text);
                match (name, left_out) {
                    (Ok(name), Some(left)) => {
                        let told = left.why.told(language());
                        let why = format!("{} {}", told.message, told.hints.join(" "));
                        begin::left_out(&name, &left.sizes.join(", "), &why).into_response()
                    }
                    (name, _) => to_design(name),
                }
            }
            Err(why) => {
                let page = begin::yarn(starter, &machines(), &a, Some(&why));
                (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
            }
        }
    });
    done.await.unwrap_or_else(|| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// What a starter makes, drawn to scale: its middle size, as it was chosen.
pub(super) async fn drawing(Path(name): Path<String>, Query(fields): Query<Fields>) -> Response {
    let drawn = off(move || {
        let starter = Starter::find(&name)?;
        let design = starter.drafted_with(&BUILT_IN[1], &answered(starter, &fields).chosen)?;
        let middle = design.sizes.len().saturating_sub(1) / 2;
        // The middle size, or the largest below it that knits.
        (0..=middle).rev().find_map(|size| {
            let outcome = prove(&design, &[size]);
            Some(outlines(&design, &outcome.sizes.first()?.stitches).svg)
        })
    });
    match drawn.await {
        Some(Some(svg)) => {
            let kept = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "max-age=3600")];
            (kept, svg).into_response()
        }
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}
