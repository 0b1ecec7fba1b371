//! What changes a document: every change is made of the text that the page showed, one after the other.

use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use latchwork::notice::{Change, Span, mended};
use latchwork::record::tidy;
use latchwork::revise::{Answers, Measurement, Revision, Thing, Whom, begun, revised};

use super::{answer, around, faulty, off};
use crate::folder::Fault;
use crate::pages;
use crate::said::{t, tf};
use crate::shared::{Workshop, unpoisoned};
use crate::work::{Worked, base_of};

#[derive(Debug, Deserialize)]
pub(super) struct New {
    title: String,
    kind: String,
    who: String,
    girth: String,
    machine: String,
    yarn: String,
    count: String,
    needles_a: String,
    passes_a: String,
    wide_a: String,
    long_a: String,
    grams_a: String,
    needles_b: String,
    passes_b: String,
    wide_b: String,
    long_b: String,
    grams_b: String,
}

fn number(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse::<f64>().ok().filter(|v| v.is_finite() && (0.0..100_000.0).contains(v))
}

/// What a stretch came out at, where that is not what was asked for.
fn otherwise(worked: &Worked, f: &Revising) -> Option<String> {
    let asked = whole(&f.value).filter(|_| f.what == What::Rows)?;
    let (d, shown) = (worked.design.as_ref()?, worked.size(f.size.as_deref())?);
    let p = d.pieces.iter().position(|p| p.name == f.piece)?;
    let s = d.pieces[p].stretches.iter().position(|s| s.name == f.stretch)?;
    let rows = shown.stitches.pieces[p].stretches[s].rows;
    (rows != asked).then(|| {
        tf("rows-otherwise", &[("name", &f.stretch), ("rows", &rows.to_string()), ("asked", &asked.to_string())])
    })
}

/// A length in centimetres, or with its unit: `6.5in`.
fn centimetres(text: &str) -> Option<f64> {
    number(text).or_else(|| latchwork::units::length_from(text.trim()).map(|l| l.0 / 10.0))
}

fn whole(text: &str) -> Option<u32> {
    text.trim().parse().ok().filter(|v| *v < 10_000)
}

fn answers(f: &New) -> Option<Answers> {
    let swatch = |n: &str, p: &str, w: &str, l: &str, g: &str| {
        Some(Measurement {
            needles: whole(n)?,
            passes: whole(p)?,
            wide: centimetres(w)?,
            long: centimetres(l)?,
            grams: number(g)?,
        })
    };
    Some(Answers {
        title: f.title.clone(),
        thing: match f.kind.as_str() {
            "hat" => Thing::Hat,
            "mitts" => Thing::Mitts,
            "cuff" => Thing::Cuff,
            "scarf" => Thing::Scarf,
            _ => return None,
        },
        whom: match f.who.as_str() {
            "adults" => Whom::Adults,
            "children" => Whom::Children,
            _ => Whom::One(number(&f.girth)?),
        },
        machine: f.machine.clone(),
        yarn: f.yarn.clone(),
        count: number(&f.count)?,
        swatches: [
            swatch(&f.needles_a, &f.passes_a, &f.wide_a, &f.long_a, &f.grams_a)?,
            swatch(&f.needles_b, &f.passes_b, &f.wide_b, &f.long_b, &f.grams_b)?,
        ],
    })
}

pub(super) async fn new(State(w): State<Workshop>, Form(f): Form<New>) -> Response {
    let Some(a) = answers(&f) else {
        let page = pages::message(&t("sorry"), &t("not-a-number"), "/");
        return (StatusCode::UNPROCESSABLE_ENTITY, page).into_response();
    };
    let text = begun(&a);
    if let Some(wrong) = Worked::unreadable(&text, &w.folder.shelf()) {
        let page = pages::message(&t("sorry"), &tf("not-understood-after", &[("why", &wrong)]), "/");
        return (StatusCode::UNPROCESSABLE_ENTITY, page).into_response();
    }
    let stem = tidy(&a.title);
    // A name has so many bytes, whatever its letters.
    let mut end = stem.len().min(80);
    while !stem.is_char_boundary(end) {
        end -= 1;
    }
    let stem = &stem[..end];
    for n in 1..1000 {
        let name = if n == 1 { format!("{stem}.kdl") } else { format!("{stem}-{n}.kdl") };
        match w.folder.create(&name, &text) {
            Ok(true) => return Redirect::to(&format!("/d/{}", pages::enc(&name))).into_response(),
            Ok(false) => {}
            Err(fault) => return faulty(&fault),
        }
    }
    faulty(&Fault::Missing)
}

/// Whether the script asks, which puts the answer into the page; else the whole page is asked for.
fn scripted(headers: &HeaderMap) -> bool {
    headers.get("x-work").is_some()
}

/// Changes a document if it is still what the page showed, and shows what came of it.
pub(super) async fn change(
    w: Workshop,
    headers: HeaderMap,
    name: String,
    base: String,
    size: Option<String>,
    job: impl FnOnce(&Workshop, &Worked) -> Result<(String, String), String> + Send + 'static,
) -> Response {
    change_and(w, headers, name, base, size, |_| None, job).await
}

/// As [`change`]; `after` may say what came out otherwise than asked.
async fn change_and(
    w: Workshop,
    headers: HeaderMap,
    name: String,
    base: String,
    size: Option<String>,
    after: impl FnOnce(&Worked) -> Option<String> + Send + 'static,
    job: impl FnOnce(&Workshop, &Worked) -> Result<(String, String), String> + Send + 'static,
) -> Response {
    let scripted = scripted(&headers);
    let done = off(move || {
        let changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        let told = if worked.base != base {
            Some(t("changed-elsewhere"))
        } else {
            match job(&w, &worked) {
                Ok((text, _)) if text == worked.text => None,
                Ok((text, what)) => match unreadable(&w, &worked, &text) {
                    // What cannot be understood is never written by a press.
                    Some(why) => Some(tf("not-understood-after", &[("why", &why)])),
                    None => match w.save(&name, &worked.text, &text, &what) {
                        Err(Fault::Changed) => Some(t("changed-elsewhere")),
                        saved => saved.map(|()| None)?,
                    },
                },
                Err(why) => Some(why),
            }
        };
        drop(changing);
        let worked = w.document(&name)?;
        let around = around(&w, &name, &worked);
        let told = told.or_else(|| after(&worked));
        let told = told.as_deref();
        let page = if scripted {
            pages::work_area(&name, &worked, size.as_deref(), &around, told)
        } else {
            pages::design(&name, &worked, size.as_deref(), &around, told)
        };
        Ok::<_, Fault>(page)
    });
    answer(done.await)
}

/// Why a changed text would be no design, where the text before it was one: the first thing wrong with it.
fn unreadable(w: &Workshop, before: &Worked, text: &str) -> Option<String> {
    before.design.as_ref()?;
    Worked::unreadable(text, &w.folder.shelf())
}

/// What of a stretch, or of a yarn, is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum What {
    Rows,
    Fabric,
    Share,
    Ease,
    EndNeedles,
    Taper,
    Add,
    Remove,
    InHand,
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct Revising {
    base: String,
    size: Option<String>,
    piece: String,
    stretch: String,
    what: What,
    value: String,
    #[serde(default)]
    times: String,
}

/// What a form asks for, and what undo will call it.
fn revision(f: &Revising, worked: &Worked) -> Result<(Revision, String), String> {
    let of = (f.piece.clone(), f.stretch.clone());
    let bad = || t("not-a-number");
    Ok(match f.what {
        What::Rows => {
            let rows = whole(&f.value).filter(|n| (1..=2000).contains(n)).ok_or_else(bad)?;
            let (value, as_rows) = worked
                .design
                .as_ref()
                .zip(worked.size(f.size.as_deref()))
                .and_then(|(d, shown)| {
                    let p = d.pieces.iter().position(|p| p.name == f.piece)?;
                    let s = d.pieces[p].stretches.iter().position(|s| s.name == f.stretch)?;
                    pages::length_of_rows(d, shown, (p, s), rows)
                })
                .ok_or_else(|| t("missing"))?;
            let what = tf("did-rows", &[("name", &f.stretch), ("rows", &rows.to_string())]);
            (Revision::Length { of, value, rows: as_rows }, what)
        }
        What::Fabric => {
            let what = tf("did-fabric", &[("name", &f.stretch), ("fabric", &f.value)]);
            (Revision::Fabric { of, name: f.value.clone() }, what)
        }
        What::Share => {
            let share = number(&f.value).filter(|v| (1.0..=100.0).contains(v)).ok_or_else(bad)?;
            (
                Revision::Ease { of, percent: share - 100.0 },
                tf("did-ease", &[("name", &f.stretch), ("ease", &format!("{}", share - 100.0))]),
            )
        }
        What::Ease => {
            let percent = f
                .value
                .trim()
                .replace(',', ".")
                .parse::<f64>()
                .ok()
                .filter(|v| v.is_finite() && v.abs() < 200.0)
                .ok_or_else(bad)?;
            (Revision::Ease { of, percent }, tf("did-ease", &[("name", &f.stretch), ("ease", &format!("{percent}"))]))
        }
        What::EndNeedles => {
            let needles = whole(&f.value).filter(|n| (1..=400).contains(n)).ok_or_else(bad)?;
            let what = tf("did-end-needles", &[("name", &f.stretch), ("needles", &needles.to_string())]);
            (Revision::EndNeedles { of, needles }, what)
        }
        What::Taper => {
            let (every, times) =
                whole(&f.value).zip(whole(&f.times)).filter(|(e, t)| *e > 0 && *t > 0).ok_or_else(bad)?;
            let what =
                tf("did-taper", &[("name", &f.stretch), ("every", &every.to_string()), ("times", &times.to_string())]);
            (Revision::Taper { of, every, times }, what)
        }
        What::Add => {
            let fabric = worked
                .design
                .as_ref()
                .and_then(|d| {
                    d.pieces.iter().find(|p| p.name == f.piece)?.stretches.iter().find(|s| s.name == f.stretch)
                })
                .map_or("1x1 rib", |s| s.fabric.name)
                .to_string();
            let what = tf("did-add", &[("name", &f.value)]);
            (Revision::AddStretch { after: of, name: f.value.trim().to_string(), fabric, length: 30.0 }, what)
        }
        What::Remove => (Revision::RemoveStretch { of }, tf("did-remove", &[("name", &f.stretch)])),
        What::InHand => {
            let grams = number(&f.value).ok_or_else(bad)?;
            (Revision::InHand { yarn: f.piece.clone(), grams }, tf("did-in-hand", &[("grams", &format!("{grams}"))]))
        }
    })
}

pub(super) async fn revise(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Revising>,
) -> Response {
    let (base, size) = (f.base.clone(), f.size.clone());
    let asked = f.clone();
    change_and(
        w,
        headers,
        name,
        base,
        size,
        move |worked| otherwise(worked, &asked),
        move |_, worked| {
            let (revision, what) = revision(&f, worked)?;
            let text = revised(&worked.text, &revision).map_err(|e| e.to_string())?;
            Ok((text, what))
        },
    )
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Swatched {
    base: String,
    size: Option<String>,
    fabric: String,
    sizes: String,
    needles: String,
    passes: String,
    wide: String,
    long: String,
    grams: String,
}

pub(super) async fn add_swatch(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Swatched>,
) -> Response {
    let (base, size) = (f.base.clone(), f.size.clone());
    change(w, headers, name, base, size, move |_, worked| {
        let measured = (|| {
            Some(Measurement {
                needles: whole(&f.needles)?,
                passes: whole(&f.passes)?,
                wide: centimetres(&f.wide)?,
                long: centimetres(&f.long)?,
                grams: number(&f.grams)?,
            })
        })();
        let measured = measured.ok_or_else(|| t("not-a-number"))?;
        let sizes: Vec<&str> =
            f.sizes.split_whitespace().filter(|s| latchwork::units::dial_from(s).is_some()).collect();
        if sizes.is_empty() || sizes.len() > 2 {
            return Err(t("not-a-number"));
        }
        let quote = |s: &&str| if s.parse::<u32>().is_ok() { (*s).to_string() } else { format!("\"{s}\"") };
        let sizes = sizes.iter().map(quote).collect::<Vec<_>>().join(" ");
        let text = revised(&worked.text, &Revision::AddSwatch { fabric: f.fabric.clone(), sizes, measured });
        Ok((text.map_err(|e| e.to_string())?, tf("did-swatch", &[("fabric", &f.fabric)])))
    })
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Units {
    base: String,
    size: Option<String>,
    inches: bool,
}

pub(super) async fn units(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Units>,
) -> Response {
    change(w, headers, name, f.base, f.size.clone(), move |_, worked| {
        let text = revised(&worked.text, &Revision::Inches(f.inches)).map_err(|e| e.to_string())?;
        Ok((text, t("did-units")))
    })
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Mending {
    base: String,
    size: Option<String>,
    start: usize,
    len: usize,
    text: String,
    what: String,
}

pub(super) async fn mend(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Mending>,
) -> Response {
    let (base, size) = (f.base.clone(), f.size.clone());
    change(w, headers, name, base, size, move |_, worked| {
        let span = Span { start: f.start, len: f.len };
        // Only what was offered may be done.
        let offered =
            worked.findings().iter().filter_map(|(_, n)| n.change.as_ref()).any(|c| c.span == span && c.text == f.text);
        if !offered {
            return Err(t("changed-elsewhere"));
        }
        let change = Change { span, text: f.text.clone(), what: f.what.clone() };
        Ok((mended(&worked.text, &[change]), f.what.clone()))
    })
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Base {
    base: String,
    size: Option<String>,
}

pub(super) async fn undo(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Base>,
) -> Response {
    step(w, name, headers, f, -1).await
}

pub(super) async fn redo(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Base>,
) -> Response {
    step(w, name, headers, f, 1).await
}

async fn step(w: Workshop, name: String, headers: HeaderMap, f: Base, by: i64) -> Response {
    let scripted = scripted(&headers);
    let done = off(move || {
        let changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        let mut told = None;
        let ours = matches!(w.journal.head(&name), Ok(Some((_, text))) if text == worked.text);
        if worked.base != f.base || !ours {
            told = Some(t("changed-elsewhere"));
        } else if let Ok(Some(text)) = w.journal.step(&name, by)
            && let Err(fault) = w.folder.write(&name, &worked.text, &text)
        {
            // The journal must not be ahead of the document.
            let _ = w.journal.step(&name, -by);
            return Err(fault);
        }
        drop(changing);
        let worked = w.document(&name)?;
        let around = around(&w, &name, &worked);
        Ok(if scripted {
            pages::work_area(&name, &worked, f.size.as_deref(), &around, told.as_deref())
        } else {
            pages::design(&name, &worked, f.size.as_deref(), &around, told.as_deref())
        })
    });
    answer(done.await)
}

#[derive(Debug, Deserialize)]
pub(super) struct Kept {
    base: String,
    text: String,
}

pub(super) async fn keep(State(w): State<Workshop>, Path(name): Path<String>, Form(f): Form<Kept>) -> Response {
    let done = off(move || {
        let _changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        // Forms send old line ends; a document keeps its own.
        let text = f.text.replace("\r\n", "\n");
        let text = if worked.text.contains("\r\n") { text.replace('\n', "\r\n") } else { text };
        let kept = match worked.base == f.base {
            false => Err(Fault::Changed),
            true if base_of(&text) == worked.base => Ok(()),
            true => w.save(&name, &worked.text, &text, &t("did-edit")),
        };
        let now = w.document(&name)?;
        match kept {
            Err(Fault::Changed) => return Ok((StatusCode::CONFLICT, pages::conflict(&name, &text, &now))),
            kept => kept?,
        }
        let told = if now.design.is_some() { t("kept") } else { t("kept-broken") };
        Ok::<_, Fault>((StatusCode::OK, pages::document(&name, &now, Some(&told))))
    });
    match done.await {
        Some(Ok(page)) => page.into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
