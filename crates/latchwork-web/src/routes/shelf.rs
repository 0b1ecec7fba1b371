//! The shelf: a first design, the examples, and documents renamed, copied, put away and taken back.

use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use latchwork::measure::BUILT_IN;
use latchwork::notice::Notice;
use latchwork::revise::{Answers, Measurement, Revision, Thing, Whom, begun, revised};

use super::changes::{Made, change};
use super::{answer, faulty, off};
use crate::folder::NotKept;
use crate::kept::Listed;
use crate::pages::{self, MEASURED, OnShelf, SWATCHES, Told, centimetres, figure, whole};
use crate::said::{language, t, tf};
use crate::shared::{Workshop, unpoisoned};

fn on_shelf(w: &Workshop) -> OnShelf {
    OnShelf {
        documents: w.folder.listed(),
        examples: w.folder.offered(),
        away: w.folder.away(),
        machines: BUILT_IN.iter().map(|m| (m.name, m.pitch)).collect(),
    }
}

pub(super) async fn shelf(State(w): State<Workshop>) -> Response {
    answer(off(move || Ok(pages::shelf(&on_shelf(&w), None))).await)
}

#[derive(Debug, Deserialize)]
pub(super) struct Which {
    file: Option<String>,
}

pub(super) async fn examples(State(w): State<Workshop>, Form(f): Form<Which>) -> Response {
    let done = off(move || w.folder.put_examples(f.file.as_deref())).await;
    to("/", done)
}

/// Goes to a page when something was done.
fn to(path: &str, done: Option<Result<(), NotKept>>) -> Response {
    match done {
        Some(Ok(())) => Redirect::to(path).into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// What was typed into the first form, by the fields' ids.
struct Typed(Vec<(String, String)>);

impl Typed {
    fn get(&self, id: &str) -> &str {
        self.0.iter().find(|f| f.0 == id).map_or("", |f| f.1.as_str())
    }

    fn words(&self, id: &str, label: &str) -> Result<String, Told> {
        let text = self.get(id).trim();
        let none =
            || Told::from(format!("{} {}", tf("wrong-words", &[("field", &t(label))]), t("nothing-begun"))).at(id);
        if text.is_empty() { Err(none()) } else { Ok(text.to_string()) }
    }
}

/// A swatch by its figures; `end` is the ending of the fields' ids.
pub(super) fn measured(get: &dyn Fn(&str) -> String, end: &str, of: &str) -> Result<Measurement, Told> {
    let at = |field: &str| {
        let words = MEASURED.iter().find(|m| m.0 == field).map_or("", |m| m.1);
        (if end.is_empty() { format!("s-{field}") } else { format!("{field}-{end}") }, format!("{}{of}", t(words)))
    };
    let count = |field: &str, such: &str| {
        let (id, label) = at(field);
        whole(&id, &label, &get(&id), (1, 2000), such)
    };
    let length = |field: &str| {
        let (id, label) = at(field);
        centimetres(&id, &label, &get(&id), "8.3")
    };
    let (id, label) = at("grams");
    Ok(Measurement {
        needles: count("needles", "40")?,
        passes: count("passes", "60")?,
        wide: length("wide")?,
        long: length("long")?,
        grams: figure(&id, &label, &get(&id), (0.1, 5000.0), "14.0")?,
    })
}

fn answers(f: &Typed) -> Result<Answers, Told> {
    let title = f.words("title", "new-title")?;
    let thing = match f.get("kind") {
        "mitts" => Thing::Mitts,
        "cuff" => Thing::Cuff,
        "scarf" => Thing::Scarf,
        _ => Thing::Hat,
    };
    let whom = match f.get("who") {
        "children" => Whom::Children,
        "one" => Whom::One(figure("girth", &t("girth"), f.get("girth"), (5.0, 400.0), "56")?),
        _ => Whom::Adults,
    };
    let yarn = f.words("yarn", "yarn-name")?;
    let count = figure("count", &t("yarn-count"), f.get("count"), (1.0, 100_000.0), "420")?;
    let swatch = |k: usize| {
        let (fabric, end, _) = SWATCHES[k];
        measured(&|id| f.get(id).to_string(), end, &format!(", {fabric}"))
    };
    let swatches = [swatch(0)?, swatch(1)?];
    Ok(Answers { title, thing, whom, machine: f.get("machine").to_string(), yarn, count, swatches })
}

/// The field whose answer a document's fault comes from, by the line that the answer went into.
fn field_of(text: &str, wrong: &Notice) -> Option<String> {
    let start = wrong.span?.start;
    let before = text.get(..start)?;
    let rest = text.get(start..)?.lines().next()?;
    let upto = format!("{before}{rest}");
    let line = upto.lines().next_back()?.trim();
    let end = || {
        let fabric = upto.rsplit("swatch \"").next()?;
        SWATCHES.iter().find(|s| fabric.starts_with(s.0)).map(|s| s.1)
    };
    let field = match line.split(' ').next()? {
        "title" => "title",
        "machine" => "machine",
        "yarn" => "yarn",
        "count" => "count",
        "size" | "sizes" => "girth",
        "swatch" | "counted" => return Some(format!("needles-{}", end()?)),
        "flat" => return Some(format!("wide-{}", end()?)),
        "weighed" => return Some(format!("grams-{}", end()?)),
        _ => return None,
    };
    Some(field.to_string())
}

pub(super) async fn new(State(w): State<Workshop>, Form(f): Form<Vec<(String, String)>>) -> Response {
    let done = off(move || {
        let typed = Typed(f);
        let text = answers(&typed).and_then(|a| {
            let text = begun(&a);
            let worked = w.worked_out(text, &w.folder.books());
            let text = worked.text.clone();
            let Some(wrong) = worked.unreadable() else { return Ok((a.title, text)) };
            let told = wrong.told(language());
            let said = format!("{} {} {}", told.message, told.why, t("nothing-begun"));
            Err(Told { at: field_of(&text, &wrong), ..Told::from(said) })
        });
        match text {
            Ok((title, text)) => Ok(w.folder.begin(&title, "kdl", &text)),
            Err(told) => Err(pages::shelf(&on_shelf(&w), Some(&told.typed(typed.0)))),
        }
    });
    match done.await {
        Some(Ok(name)) => to_design(name),
        Some(Err(page)) => (StatusCode::UNPROCESSABLE_ENTITY, page).into_response(),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

pub(super) fn to_design(name: Result<String, NotKept>) -> Response {
    match name {
        Ok(name) => Redirect::to(&format!("/d/{}", pages::enc(&name))).into_response(),
        Err(fault) => faulty(&fault),
    }
}

pub(super) async fn keeping(State(w): State<Workshop>, Path(name): Path<String>) -> Response {
    let page = off(move || {
        let text = w.folder.read(&name)?;
        Ok::<_, NotKept>(pages::keeping(&Listed::of(&name, &text), &crate::work::base_of(&text), None))
    });
    answer(page.await)
}

#[derive(Debug, Deserialize)]
pub(super) struct Named {
    #[serde(default)]
    base: String,
    #[serde(default)]
    title: String,
}

/// The title typed, or the page again with what is wrong with it.
fn title(w: &Workshop, name: &str, f: &Named, id: &str) -> Result<String, Box<Response>> {
    let title = f.title.trim();
    if !title.is_empty() {
        return Ok(title.to_string());
    }
    let text = w.folder.read(name).map_err(|fault| Box::new(faulty(&fault)))?;
    let said = format!("{} {}", tf("wrong-words", &[("field", &t("new-title"))]), t("nothing-changed"));
    let page = pages::keeping(&Listed::of(name, &text), &f.base, Some(&Told::from(said).at(id)));
    Err(Box::new((StatusCode::UNPROCESSABLE_ENTITY, page).into_response()))
}

pub(super) async fn rename(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Named>,
) -> Response {
    let title = match title(&w, &name, &f, "named") {
        Ok(title) => title,
        Err(page) => return *page,
    };
    change(w, headers, name, f.base, None, move |_, worked| {
        let text = revised(&worked.text, &Revision::Title(title.clone())).map_err(|e| e.to_string())?;
        Ok(Made::new(text, tf("did-rename", &[("title", &title)])))
    })
    .await
}

pub(super) async fn copy(State(w): State<Workshop>, Path(name): Path<String>, Form(f): Form<Named>) -> Response {
    let title = match title(&w, &name, &f, "copied") {
        Ok(title) => title,
        Err(page) => return *page,
    };
    let done = off(move || {
        let text = w.folder.read(&name)?;
        let text = revised(&text, &Revision::Title(title.clone())).unwrap_or(text);
        w.folder.begin(&title, name.rsplit_once('.').map_or("kdl", |n| n.1), &text)
    });
    match done.await {
        Some(name) => to_design(name),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

pub(super) async fn put_away(State(w): State<Workshop>, Path(name): Path<String>) -> Response {
    let done = off(move || {
        let _changing = unpoisoned(&w.changing);
        w.folder.put_away(&name).map(|_| ())
    });
    to("/#away", done.await)
}

pub(super) async fn take_back(State(w): State<Workshop>, Form(f): Form<Which>) -> Response {
    let done = off(move || {
        let _changing = unpoisoned(&w.changing);
        w.folder.take_back(f.file.as_deref().unwrap_or_default()).map(|_| ())
    });
    to("/", done.await)
}
