//! Files served as they are: style, scripts, fonts, icons, and the empty film that keeps a screen on.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";
const WOFF2: &str = "font/woff2";
const PNG: &str = "image/png";

fn file(name: &str) -> Option<(&'static str, &'static [u8])> {
    Some(match name {
        "look.css" => (CSS, include_bytes!("../assets/look.css")),
        "cue.css" => (CSS, include_bytes!("../assets/cue.css")),
        "begin.css" => (CSS, include_bytes!("../assets/begin.css")),
        "pattern.css" => (CSS, include_bytes!("../assets/pattern.css")),
        "counting.js" => (JS, include_bytes!("../assets/counting.js")),
        "sw.js" => (JS, include_bytes!("../assets/sw.js")),
        "aids.js" => (JS, include_bytes!("../assets/aids.js")),
        "awake.js" => (JS, include_bytes!("../assets/awake.js")),
        "voice.js" => (JS, include_bytes!("../assets/voice.js")),
        "page.js" => (JS, include_bytes!("../assets/page.js")),
        "work.js" => (JS, include_bytes!("../assets/work.js")),
        "pattern.js" => (JS, include_bytes!("../assets/pattern.js")),
        "rehearse.js" => (JS, include_bytes!("../assets/rehearse.js")),
        "machine.js" => (JS, include_bytes!("../assets/machine.js")),
        "cloth.js" => (JS, include_bytes!("../assets/cloth.js")),
        "needles.js" => (JS, include_bytes!("../assets/needles.js")),
        "serif-regular.woff2" => (WOFF2, include_bytes!("../assets/serif-regular.woff2")),
        "serif-italic.woff2" => (WOFF2, include_bytes!("../assets/serif-italic.woff2")),
        "serif-semibold.woff2" => (WOFF2, include_bytes!("../assets/serif-semibold.woff2")),
        "awake.mp4" => ("video/mp4", include_bytes!("../assets/awake.mp4")),
        "awake.webm" => ("video/webm", include_bytes!("../assets/awake.webm")),
        "app.webmanifest" => ("application/manifest+json", include_bytes!("../assets/app.webmanifest")),
        "icon.svg" => ("image/svg+xml", include_bytes!("../assets/icon.svg")),
        "icon-192.png" => (PNG, include_bytes!("../assets/icon-192.png")),
        "icon-512.png" => (PNG, include_bytes!("../assets/icon-512.png")),
        _ => return None,
    })
}

pub(crate) async fn asset(Path(name): Path<String>) -> Response {
    match file(&name) {
        Some((kind, bytes)) => {
            // A page and its script belong to one program: an old script is worse than a moment's wait.
            let age = if kind == WOFF2 { "max-age=31536000" } else { "no-cache" };
            ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, age)], bytes).into_response()
        }
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
