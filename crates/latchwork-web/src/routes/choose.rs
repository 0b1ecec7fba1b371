//! Choices that a design leaves open.

use axum::extract::{Form, Path, State};
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;

use latchwork::revise::{Revision, revised};

use super::changes::{Made, change};
use crate::said::tf;
use crate::shared::Workshop;

#[derive(Debug, Deserialize)]
pub(super) struct Choosing {
    base: String,
    size: Option<String>,
    choice: String,
    value: String,
}

/// Chooses among what the author leaves open.
pub(super) async fn choose(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Choosing>,
) -> Response {
    change(w, headers, name, f.base, f.size.clone(), move |_, worked| {
        let choose = Revision::Choose { name: f.choice.clone(), value: f.value.clone() };
        let text = revised(&worked.text, &choose).map_err(|e| e.to_string())?;
        Ok(Made::new(text, tf("did-choose", &[("choice", &f.choice), ("value", &f.value)])))
    })
    .await
}
