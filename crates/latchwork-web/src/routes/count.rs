//! What is counted at the machine: kept in the journal before it is answered.

use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::Value;

use latchwork::check::SizeProof;
use latchwork::cues::{Cue, Kind};

use super::{Asked, at, faulty, off, told};
use crate::folder::Fault;
use crate::journal::{Event, Written};
use crate::pages::{self, Standing};
use crate::said::t;
use crate::shared::Workshop;
use crate::work::{Worked, base_of};

/// The name under which a piece of a size is counted.
fn work_of(name: &str, size: &str, piece: usize) -> String {
    format!("{name}/{size}/{piece}")
}

fn unwritten(e: &rusqlite::Error) -> Fault {
    Fault::Unwritten(e.to_string())
}

/// A piece being knitted.
struct Counted<'a> {
    cues: Vec<Cue>,
    shown: &'a SizeProof,
    piece: usize,
    events: Vec<Event>,
    standing: Standing,
    /// Whether the plan is another than that it was begun with.
    replanned: bool,
    pace: i64,
}

fn counted<'a>(
    w: &Workshop,
    worked: &'a Worked,
    name: &str,
    size: Option<&str>,
    piece: usize,
) -> Result<Counted<'a>, Fault> {
    let shown = worked.size(size).ok_or(Fault::Missing)?;
    let design = worked.design.as_ref().ok_or(Fault::Missing)?;
    let piece = piece.min(shown.plans.pieces.len().saturating_sub(1));
    let cues = worked.cues(shown, piece).ok_or(Fault::Missing)?;
    let work = work_of(name, &design.sizes[shown.size].name, piece);
    let events = w.journal.events(&work).map_err(|e| unwritten(&e))?;
    let plan = base_of(&format!("{:?}", shown.plans.pieces[piece].plan));
    let replanned = !events.is_empty() && w.journal.plan_of(&work, &plan).map_err(|e| unwritten(&e))? != plan;
    let mut standing = Standing::of(&events);
    standing.position = standing.position.min(cues.len());
    let pace = (1000.0 * design.pace.pass) as i64;
    Ok(Counted { cues, shown, piece, events, standing, replanned, pace })
}

impl Counted<'_> {
    fn state(&self) -> Value {
        pages::stand(&self.cues, &self.standing, self.pace, self.replanned)
    }
}

pub(super) async fn machine(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Asked>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        if worked.size(q.size.as_deref()).is_none() {
            return Ok(pages::design(&name, &worked, None, &(None, None), None));
        }
        let c = counted(&w, &worked, &name, q.size.as_deref(), q.piece.unwrap_or(0))?;
        Ok::<_, Fault>(pages::machine(&name, &worked, c.shown, c.piece, &c.state(), &c.events))
    });
    super::answer(page.await)
}

fn json(status: StatusCode, value: &Value) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")], value.to_string())
        .into_response()
}

pub(super) async fn state(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let found = off(move || {
        let worked = w.document(&name)?;
        counted(&w, &worked, &name, Some(&size), piece).map(|c| c.state())
    });
    match found.await {
        Some(Ok(state)) => json(StatusCode::OK, &state),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

pub(super) async fn stream(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    told(&w, &work_of(&name, &size, piece))
}

#[derive(Debug, Deserialize)]
pub(super) struct Attached {
    base: String,
}

/// Puts what was noted and when the piece was knitted into its design, as comments.
pub(super) async fn attach(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
    headers: axum::http::HeaderMap,
    Form(f): Form<Attached>,
) -> Response {
    let shown = size.clone();
    super::change(w, headers, name.clone(), f.base, Some(shown), move |w, worked| {
        let events = w.journal.events(&work_of(&name, &size, piece)).map_err(|e| e.to_string())?;
        let (Some(first), Some(last)) = (events.first(), events.last()) else {
            return Ok((worked.text.clone(), String::new()));
        };
        let minutes = (last.at - first.at) / 60_000;
        let made = events.iter().filter(|e| e.kind == "made").count();
        let mut text = worked.text.trim_end().to_string();
        text += &format!(
            "\n\n// Knitted, size {size}, piece {}: begun {}, {made} counts, {minutes} minutes.\n",
            piece + 1,
            day(first.at)
        );
        for e in events.iter().filter(|e| !e.note.is_empty()) {
            let note: String = e.note.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            text += &format!("// {}, at {}: {note}\n", day(e.at), e.position);
        }
        Ok((text, t("did-attach")))
    })
    .await
}

/// The day of a moment, in the calendar (Hinnant 2013, civil_from_days).
fn day(at: i64) -> String {
    let z = at.div_euclid(86_400_000) + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let (d, m) = (doy - (153 * mp + 2) / 5 + 1, if mp < 10 { mp + 3 } else { mp - 9 });
    format!("{}-{m:02}-{d:02}", yoe + era * 400 + i64::from(m <= 2))
}

/// Something that happened. `key` is the device's own name for it: sent again, it counts once. `seq` is the number of
/// the last event that the device had seen.
#[derive(Debug, Deserialize)]
pub(super) struct Happened {
    key: String,
    seq: i64,
    kind: String,
    #[serde(default)]
    n: String,
    #[serde(default)]
    note: String,
}

/// The cue that is next when the counter reads so: the first after the last pass that leaves it so.
fn after_counter(cues: &[Cue], reading: u32) -> Option<usize> {
    if reading == 0 {
        return Some(0);
    }
    cues.iter().rposition(|c| c.kind == Kind::Pass && c.counter == reading).map(|k| k + 1)
}

fn next_position(c: &Counted<'_>, h: &Happened) -> Option<usize> {
    let (now, end) = (c.standing.position, c.cues.len());
    let n: usize = h.n.trim().parse().unwrap_or(1);
    match h.kind.as_str() {
        "made" if now < end && n == 1 => Some(now + 1),
        // Several at once only where nothing changes between them.
        "made" if n > 1 => {
            let plain = c.cues.iter().skip(now).take_while(|c| c.plain()).count();
            (n <= plain).then_some(now + n)
        }
        "back" => now.checked_sub(1),
        "ripped" | "counter" => after_counter(&c.cues, h.n.trim().parse().ok()?),
        "pause" | "resume" | "note" => Some(now),
        _ => None,
    }
}

pub(super) async fn happened(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
    Form(h): Form<Happened>,
) -> Response {
    let done = off(move || {
        let worked = w.document(&name)?;
        let c = counted(&w, &worked, &name, Some(&size), piece)?;
        let work = work_of(&name, &size, c.piece);
        let plan = base_of(&format!("{:?}", c.shown.plans.pieces[c.piece].plan));
        if h.kind == "carry-on" {
            w.journal.replan(&work, &plan).map_err(|e| unwritten(&e))?;
        }
        w.journal.plan_of(&work, &plan).map_err(|e| unwritten(&e))?;
        let mut status = StatusCode::OK;
        if h.kind != "carry-on" {
            if h.key.is_empty() || h.key.len() > 80 || h.note.len() > 500 {
                return Ok((StatusCode::UNPROCESSABLE_ENTITY, c.state()));
            }
            let known = h.seq < c.standing.seq;
            match next_position(&c, &h) {
                Some(position) => {
                    let event = Event {
                        seq: h.seq + 1,
                        at: at(),
                        kind: h.kind.clone(),
                        position: i64::try_from(position).unwrap_or(0),
                        note: h.note.clone(),
                    };
                    match w.journal.write(&work, &h.key, &event).map_err(|e| unwritten(&e))? {
                        Written::Kept => w.tell(&work, event.seq),
                        Written::Known => {}
                        Written::Late => status = StatusCode::CONFLICT,
                    }
                }
                None if known => status = StatusCode::CONFLICT,
                None => status = StatusCode::UNPROCESSABLE_ENTITY,
            }
        }
        let c = counted(&w, &worked, &name, Some(&size), piece)?;
        Ok::<_, Fault>((status, c.state()))
    });
    match done.await {
        Some(Ok((status, state))) => json(status, &state),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
