//! Changes of a stretch's shape.

use axum::extract::{Form, Path, State};
use axum::http::HeaderMap;
use axum::response::Response;

use latchwork::revise::{Revision, revised, shaped};

use super::changes::{Made, base_and_size, change, swatch_typed};
use crate::pages::{Told, shape_called, shape_words};
use crate::said::{t, tf};
use crate::shared::Workshop;

/// Gives a stretch another shape.
pub(super) async fn shape(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Vec<(String, String)>>,
) -> Response {
    let (base, size) = base_and_size(&f);
    change(w, headers, name, base, size.clone(), move |_, worked| {
        let get = |name: &str| swatch_typed(&f, name);
        let (of, id) = ((get("piece"), get("stretch")), get("id"));
        let told = |text: String| Told::from(text).at(id.clone());
        let d = worked.design.as_ref().ok_or_else(|| told(t("missing")))?;
        let place = d.pieces.iter().position(|p| p.name == of.0).and_then(|p| {
            let s = d.pieces[p].stretches.iter().position(|s| s.name == of.1)?;
            Some((p, s))
        });
        let (place, shape) = place.zip(shape_called(&get("value"))).ok_or_else(|| told(t("missing")))?;
        let shown = worked.size(size.as_deref()).ok_or_else(|| told(t("no-size-works")))?;
        let stretch = &shown.stitches.pieces[place.0].stretches[place.1];
        let lines = shaped(d, place, (stretch.width.0, stretch.length), shape);
        let what = tf("did-shape", &[("name", &of.1), ("shape", &shape_words(shape))]);
        let text = revised(&worked.text, &Revision::Shape { of, shape: lines }).map_err(|e| told(e.to_string()))?;
        Ok(Made::at(text, what, id))
    })
    .await
}
