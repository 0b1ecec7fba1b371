//! What each address answers.

use std::convert::Infallible;
use std::time::Instant;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::sse::{Event as Sent, KeepAlive, Sse};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::Markup;
use serde::Deserialize;
use tokio_stream::StreamExt;
use tokio_stream::wrappers::BroadcastStream;

use crate::assets::asset;
use crate::folder::NotKept;
use crate::guard::{Tried, ask_for_code};
use crate::pages::{self, Seen};
use crate::said::{t, tf};
use crate::shared::Workshop;
use crate::work::WorkedOut;

mod begin;
mod changes;
mod choose;
mod count;
mod laid;
mod pattern;
mod pictures;
mod shape;
mod shelf;

pub(crate) fn routes(workshop: Workshop) -> Router {
    Router::new()
        .route("/", get(shelf::shelf))
        .route("/new", post(shelf::new))
        .route("/examples", post(shelf::examples))
        .route("/starters", get(begin::starters))
        .route("/begin/{name}", get(begin::whom))
        .route("/begin/{name}/yarn", get(begin::yarn))
        .route("/starter", post(begin::starter))
        .route("/starter/{name}/drawing.svg", get(begin::drawing))
        .route("/take-back", post(shelf::take_back))
        .route("/pair", get(pairing).post(pair))
        .route("/authority.crt", get(authority))
        .route("/share", get(share))
        .route("/share/take-back", post(take_device_back))
        .route("/d/{name}", get(design))
        .route("/d/{name}/revise", post(changes::revise))
        .route("/d/{name}/mend", post(changes::mend))
        .route("/d/{name}/undo", post(changes::undo))
        .route("/d/{name}/redo", post(changes::redo))
        .route("/d/{name}/keeping", get(shelf::keeping))
        .route("/d/{name}/rename", post(shelf::rename))
        .route("/d/{name}/copy", post(shelf::copy))
        .route("/d/{name}/put-away", post(shelf::put_away))
        .route("/d/{name}/document", get(document).post(changes::keep))
        .route("/d/{name}/rehearse", get(rehearse))
        .route("/d/{name}/machine", get(count::machine))
        .route("/d/{name}/count/{size}/{piece}", get(count::state).post(count::happened))
        .route("/d/{name}/count/{size}/{piece}/carry-on", post(count::carry_on))
        .route("/d/{name}/count/{size}/{piece}/stream", get(count::stream))
        .route("/d/{name}/attach/{size}/{piece}", post(count::attach))
        .route("/d/{name}/begin/{size}/{piece}", post(count::begin))
        .route("/d/{name}/swatch", post(changes::add_swatch))
        .route("/d/{name}/units", post(changes::units))
        .route("/d/{name}/choose", post(choose::choose))
        .route("/d/{name}/colours", post(laid::colours))
        .route("/d/{name}/laid", post(laid::laid))
        .route("/d/{name}/shape", post(shape::shape))
        .route("/d/{name}/pattern", get(pattern::show).post(pattern::keep))
        .route("/d/{name}/pattern/look", post(pattern::look))
        .route("/d/{name}/worn/{size}/{how}", get(pictures::worn))
        .route("/fabrics/{which}", get(pictures::any_fabric))
        .route("/d/{name}/handout", get(pictures::handout))
        .route("/d/{name}/handout.pdf", get(pictures::pdf))
        .route("/d/{name}/files.zip", get(pictures::files))
        .route("/d/{name}/cues.txt", get(pictures::cue_list))
        .route("/d/{name}/cues", get(pictures::cue_card))
        .route("/d/{name}/steps/{size}/{piece}", get(pictures::steps))
        .route("/d/{name}/cloth/{size}/{piece}/{face}", get(pictures::cloth))
        .route("/d/{name}/loop/{size}/{piece}/{face}", get(pictures::loop_at))
        .route("/journal.db", get(journal))
        .route("/{file}", get(asset))
        .layer(from_fn_with_state(workshop.clone(), crate::guard::stand))
        .with_state(workshop)
}

/// A fault as a page.
pub(crate) fn faulty(fault: &NotKept) -> Response {
    let (status, text) = match fault {
        NotKept::Missing => (StatusCode::NOT_FOUND, t("missing")),
        NotKept::Unreadable => (StatusCode::UNPROCESSABLE_ENTITY, t("unreadable")),
        NotKept::Changed => (StatusCode::CONFLICT, t("changed-elsewhere")),
        NotKept::Unwritten(why) => (StatusCode::INSUFFICIENT_STORAGE, tf("unwritten", &[("why", why)])),
        NotKept::Held => (StatusCode::SERVICE_UNAVAILABLE, t("journal-held")),
    };
    (status, pages::message(&t("sorry"), &text, "/")).into_response()
}

/// Does a slow job on a thread other than those that answer.
pub(crate) async fn off<T: Send + 'static>(job: impl FnOnce() -> T + Send + 'static) -> Option<T> {
    tokio::task::spawn_blocking(job).await.ok()
}

async fn pairing(State(w): State<Workshop>) -> Response {
    ask_for_code(&w, StatusCode::OK, None)
}

#[derive(Debug, Deserialize)]
struct Code {
    code: String,
}

/// What kind of device a browser says that it runs on.
fn device(headers: &HeaderMap) -> String {
    let said = headers.get(header::USER_AGENT).and_then(|a| a.to_str().ok()).unwrap_or_default();
    let known = ["iPad", "iPhone", "Android", "Windows", "Macintosh", "CrOS", "Linux"];
    known.iter().find(|k| said.contains(**k)).map_or_else(|| t("a-device"), ToString::to_string)
}

async fn pair(State(w): State<Workshop>, headers: HeaderMap, Form(f): Form<Code>) -> Response {
    match w.guard.pair(&f.code, &device(&headers), Instant::now()) {
        Tried::Paired(cookie) => ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response(),
        Tried::Wrong => ask_for_code(&w, StatusCode::UNAUTHORIZED, Some(&t("pair-wrong"))),
        Tried::TooSoon => {
            let page = ask_for_code(&w, StatusCode::TOO_MANY_REQUESTS, Some(&t("pair-too-soon")));
            ([(header::RETRY_AFTER, "1")], page).into_response()
        }
    }
}

async fn share(State(w): State<Workshop>, headers: HeaderMap) -> Response {
    let port = headers.get(header::HOST).and_then(|h| h.to_str().ok()?.rsplit_once(':').map(|s| s.1.to_string()));
    w.guard.renewed(Instant::now());
    let encrypted = w.guard.certificate().is_some();
    let scheme = if encrypted { "https" } else { "http" };
    pages::share(
        w.guard.code().as_deref(),
        &w.guard.devices(),
        &format!("{scheme}://{}:{}/", crate::guard::own_address(), port.unwrap_or_default()),
        encrypted,
    )
    .into_response()
}

#[derive(Debug, Deserialize)]
struct Mark {
    mark: String,
}

/// Takes the pairing of a device back.
async fn take_device_back(State(w): State<Workshop>, Form(f): Form<Mark>) -> Response {
    w.guard.take_back(&f.mark);
    Redirect::to("/share").into_response()
}

/// The certificate that a device is to trust.
async fn authority(State(w): State<Workshop>) -> Response {
    match w.guard.certificate() {
        Some(pem) => ([(header::CONTENT_TYPE, "application/x-x509-ca-cert")], pem.to_string()).into_response(),
        None => faulty(&NotKept::Missing),
    }
}

/// A copy of the journal, for whoever wants what was counted.
async fn journal(State(w): State<Workshop>) -> Response {
    match off(move || w.journal.copy()).await {
        Some(Ok(bytes)) => {
            let head = [
                (header::CONTENT_TYPE, "application/vnd.sqlite3"),
                (header::CONTENT_DISPOSITION, "attachment; filename=\"latchwork.db\""),
                (header::CACHE_CONTROL, "no-store"),
            ];
            (head, bytes).into_response()
        }
        Some(Err(unkept)) => faulty(&unkept.into()),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// Which size and piece are looked at.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    pub(crate) size: Option<String>,
    pub(crate) piece: Option<usize>,
    pub(crate) at: Option<usize>,
}

/// The undo and redo that stand ready.
fn around(w: &Workshop, name: &str, worked: &WorkedOut) -> (Option<String>, Option<String>) {
    // What has since been changed elsewhere is not undone by us.
    match w.journal.head(name) {
        Ok(Some((_, text))) if text == worked.text => w.journal.around(name).unwrap_or_default(),
        _ => (None, None),
    }
}

async fn design(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Asked>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        let (around, before) = (around(&w, &name, &worked), w.last_drawn(&name, &worked));
        let size = q.size.as_deref();
        let seen = Seen { name: &name, worked: &worked, size, around: &around, told: None, before: before.as_deref() };
        Ok::<_, NotKept>(pages::design(&seen))
    });
    answer(page.await)
}

fn answer(page: Option<Result<Markup, NotKept>>) -> Response {
    match page {
        Some(Ok(page)) => page.into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

async fn document(State(w): State<Workshop>, Path(name): Path<String>) -> Response {
    let page = off(move || Ok::<_, NotKept>(pages::document(&name, &*w.document(&name)?, None)));
    answer(page.await)
}

async fn rehearse(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Asked>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        let Some(shown) = worked.size(q.size.as_deref()) else {
            let around = (None, None);
            let seen = Seen { name: &name, worked: &worked, size: None, around: &around, told: None, before: None };
            return Ok(pages::design(&seen));
        };
        let piece = q.piece.unwrap_or(0).min(shown.plans.pieces.len().saturating_sub(1));
        Ok::<_, NotKept>(pages::rehearse(&name, &worked, shown, piece, q.at))
    });
    answer(page.await)
}

/// A stream of what happens at the machine, each event by its number.
pub(crate) fn told(w: &Workshop, work: &str) -> Response {
    let Ok(seat) = w.listeners.clone().try_acquire_owned() else {
        let page = pages::message(&t("sorry"), &t("too-many-listen"), "/");
        return (StatusCode::SERVICE_UNAVAILABLE, page).into_response();
    };
    let stream = BroadcastStream::new(w.listen(work)).filter_map(move |seq| {
        // The seat is given back when the stream ends.
        let _held = &seat;
        seq.ok().map(|s| Ok::<_, Infallible>(Sent::default().data(s.to_string())))
    });
    Sse::new(stream).keep_alive(KeepAlive::default()).into_response()
}
