//! A fabric drawn on the page: looked at while it is drawn, and kept in the document.

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use latchwork::revise::{NotRevised, Revision, revised};

use super::{answer, faulty, off};
use crate::folder::NotKept;
use crate::pages::{self, Drawing, Told};
use crate::said::{t, tf};
use crate::shared::{Workshop, unpoisoned};
use crate::work::WorkedOut;

#[derive(Debug, Deserialize)]
pub(super) struct Which {
    fabric: Option<String>,
}

/// A document in which fabrics can be drawn: a design, not pass notes.
fn drawable(w: &Workshop, name: &str) -> Result<std::sync::Arc<WorkedOut>, NotKept> {
    let worked = w.document(name)?;
    if worked.notes { Err(NotKept::Missing) } else { Ok(worked) }
}

pub(super) async fn show(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Which>) -> Response {
    let page = off(move || {
        let worked = drawable(&w, &name)?;
        let wanted = q.fabric.unwrap_or_default();
        let drawn = worked.design.as_ref().and_then(|d| pages::rows_of(d, &wanted));
        let own = latchwork::fabric::find(&wanted).is_none() && drawn.is_some();
        let named = if own {
            wanted.clone()
        } else if drawn.is_some() {
            tf("own-of", &[("fabric", &wanted)])
        } else {
            t("own-pattern")
        };
        let rows = drawn.unwrap_or_else(pages::blank);
        Ok::<_, NotKept>(pages::pattern(&Drawing {
            name: &name,
            worked: &worked,
            fabric: &named,
            rows: &rows,
            told: None,
        }))
    });
    answer(page.await)
}

#[derive(Debug, Deserialize)]
pub(super) struct Drawn {
    #[serde(default)]
    base: String,
    #[serde(default)]
    fabric: String,
    rows: String,
}

/// What is likely to go wrong in a drawing that is not kept yet.
pub(super) async fn look(State(w): State<Workshop>, Path(name): Path<String>, Form(f): Form<Drawn>) -> Response {
    let found = off(move || {
        let worked = drawable(&w, &name)?;
        let rows = pages::rows_from(&f.rows);
        let d = worked.design.as_ref().ok_or(NotKept::Missing)?;
        Ok::<_, NotKept>(pages::drawing_found(d, &f.fabric, &rows))
    });
    answer(found.await)
}

/// Keeps a drawing as a fabric of the document.
pub(super) async fn keep(State(w): State<Workshop>, Path(name): Path<String>, Form(f): Form<Drawn>) -> Response {
    let done = off(move || {
        let _changing = unpoisoned(&w.changing);
        let worked = drawable(&w, &name)?;
        let rows = pages::rows_from(&f.rows);
        let fabric = f.fabric.split_whitespace().collect::<Vec<_>>().join(" ");
        let told = if worked.base != f.base {
            t("changed-elsewhere")
        } else if fabric.is_empty() {
            tf("wrong-words", &[("field", &t("pattern-name"))])
        } else {
            let new = revised(&worked.text, &Revision::Drawn { name: fabric.clone(), rows: rows.clone() });
            match new {
                Err(NotRevised::NotFound(_)) => t("pattern-not-drawn"),
                Err(e) => e.to_string(),
                Ok(text) => match super::changes::unreadable(&w, &worked, &text) {
                    Some(why) => tf("not-understood-after", &[("why", &why)]),
                    None => {
                        if text != worked.text {
                            w.save(&name, &worked.text, &text, &tf("did-draw", &[("fabric", &fabric)]))?;
                        }
                        t("pattern-kept")
                    }
                },
            }
        };
        let worked = drawable(&w, &name)?;
        let told = Told::from(told);
        let seen = Drawing { name: &name, worked: &worked, fabric: &fabric, rows: &rows, told: Some(&told) };
        Ok::<_, NotKept>(pages::pattern(&seen))
    });
    match done.await {
        Some(Ok(page)) => page.into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => axum::http::StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
