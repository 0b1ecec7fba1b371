//! Changes of how a stretch is patterned: its yarns and stripes, where the repeat lies, panels beside it.

use axum::extract::{Form, Path, State};
use axum::http::HeaderMap;
use axum::response::Response;

use latchwork::revise::{NewLasts, NewPanel, Revision, revised};

use super::changes::{Made, base_and_size, change, swatch_typed};
use crate::pages::{Told, whole};
use crate::said::{t, tf};
use crate::shared::Workshop;

/// Changes the yarns or the stripes of a stretch, or adds a colour.
pub(super) async fn colours(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Vec<(String, String)>>,
) -> Response {
    let (base, size) = base_and_size(&f);
    change(w, headers, name, base, size, move |_, worked| {
        let get = |name: &str| swatch_typed(&f, name);
        let each = |name: &str| f.iter().filter(|x| x.0 == name).map(|x| x.1.clone()).collect::<Vec<String>>();
        let of = (get("piece"), get("stretch"));
        let stretch = of.1.clone();
        let (revision, what) = match get("what").as_str() {
            "yarns" => (Revision::Yarns { of, yarns: each("yarn") }, tf("did-yarns", &[("name", &stretch)])),
            "stripes" => {
                let mut stripes = Vec::new();
                let lines = each("yarn").into_iter().zip(each("many").into_iter().zip(each("by")));
                for (k, (yarn, (many, by))) in lines.enumerate() {
                    if yarn.is_empty() || (many.trim().is_empty() && by != "rest") {
                        continue;
                    }
                    let (at, n) = (format!("{}-{k}", get("id")), (k + 1).to_string());
                    let read = |most| whole(&at, &tf("stripe-many", &[("n", &n)]), &many, (1, most), "4");
                    let lasts = match by.as_str() {
                        "grams" => NewLasts::Grams(read(10_000)?),
                        "rest" => NewLasts::Rest,
                        _ => NewLasts::Rows(read(1000)?),
                    };
                    stripes.push((yarn, lasts));
                }
                let fetches = get("free-pass") == "yes";
                (Revision::Stripes { of, stripes, fetches }, tf("did-stripes", &[("name", &stretch)]))
            }
            _ => {
                let name = get("name").split_whitespace().collect::<Vec<_>>().join(" ");
                if name.is_empty() {
                    return Err(Told::from(tf("wrong-words", &[("field", &t("colour-name"))])));
                }
                let what = tf("did-colour", &[("name", &name)]);
                (Revision::AddColour { like: get("like"), name, colour: get("colour") }, what)
            }
        };
        let text = revised(&worked.text, &revision).map_err(|e| Told::from(e.to_string()))?;
        Ok(Made::new(text, what))
    })
    .await
}

/// Changes how a stretch's fabric lies, or its panels.
pub(super) async fn laid(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Vec<(String, String)>>,
) -> Response {
    let (base, size) = base_and_size(&f);
    change(w, headers, name, base, size, move |_, worked| {
        let get = |name: &str| swatch_typed(&f, name);
        let of = (get("piece"), get("stretch"));
        let stretch = of.1.clone();
        let (revision, what) = match get("what").as_str() {
            "panel" => {
                let needles = get("needles");
                let needles = whole(&format!("{}-n", get("id")), &t("panel-needles"), &needles, (2, 200), "8")?;
                let inside = Some(get("in")).filter(|v| !v.trim().is_empty());
                let inside =
                    inside.map_or(Ok(0), |v| whole(&format!("{}-i", get("id")), &t("panel-in"), &v, (0, 200), "4"))?;
                let (fabric, at) = (get("fabric"), get("at"));
                let panel = NewPanel { fabric, needles, at, inside, mirrored: get("mirrored") == "yes" };
                (Revision::AddPanel { of, panel }, tf("did-panel", &[("name", &stretch)]))
            }
            "panel-out" => {
                let number = get("number").parse().unwrap_or(usize::MAX);
                (Revision::RemovePanel { of, number }, tf("did-panel-out", &[("name", &stretch)]))
            }
            _ => {
                let kept = |word: &'static str, usual: &str| {
                    let value = get(word);
                    (word, (!value.is_empty() && value != usual).then_some(value))
                };
                let mirrored = ("mirrored", (get("mirrored") == "yes").then(|| "yes".to_string()));
                // What is named in words is brought forward by hand.
                let hand = if get("printed") == "words" { "device" } else { "" };
                let words = vec![kept("placed", "left"), mirrored, kept("printed", "chart"), kept("selected", hand)];
                (Revision::Laid { of, words }, tf("did-laid", &[("name", &stretch)]))
            }
        };
        let text = revised(&worked.text, &revision).map_err(|e| Told::from(e.to_string()))?;
        Ok(Made::new(text, what))
    })
    .await
}
