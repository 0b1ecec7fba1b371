//! What is counted at the machine: kept in the journal before it is answered.

use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::Value;

use latchwork::check::SizeProof;
use latchwork::cues::{Cue, Kind};

use super::changes::Made;
use super::{Asked, faulty, off, told};
use crate::folder::NotKept;
use crate::journal::{Deed, Event, Loss, Written};
use crate::pages::{self, Counting, Seen, Told};
use crate::said::{day, named, t, told_loss};
use crate::shared::{Workshop, now};
use crate::work::{WorkedOut, base_of};

/// A piece being knitted.
struct Counted<'a> {
    /// The name under which it is counted.
    work: String,
    size: &'a str,
    cues: Vec<Cue>,
    shown: &'a SizeProof,
    piece: usize,
    events: Vec<Event>,
    standing: Counting,
    /// A short name of its plan as it is now.
    plan: String,
    /// Whether that differs from the plan it was begun with.
    replanned: bool,
    pace: i64,
    /// What became of the journal's file, if it was lost.
    loss: Option<Loss>,
}

/// A piece of a size and no other; it must have been rehearsed to its end.
fn counted<'a>(
    w: &Workshop,
    worked: &'a WorkedOut,
    name: &str,
    shown: &'a SizeProof,
    piece: usize,
) -> Result<Counted<'a>, NotKept> {
    let design = worked.design.as_ref().ok_or(NotKept::Missing)?;
    let size = design.sizes[shown.size].name.as_str();
    let cues = worked.cues(shown, piece).ok_or(NotKept::Missing)?;
    let work = format!("{name}/{size}/{piece}");
    // Nothing is answered before the file is looked at.
    let loss = w.journal.look();
    let events = w.journal.events(&work)?;
    let plan = base_of(&format!("{:?}", cues));
    let begun = w.journal.plan_of(&work)?;
    let mut standing = Counting::of(&events);
    standing.position = standing.position.min(cues.len());
    let pace = (1000.0 * design.pace.pass) as i64;
    let replanned = begun.is_some_and(|b| b != plan);
    Ok(Counted { work, size, cues, shown, piece, events, standing, plan, replanned, pace, loss })
}

impl Counted<'_> {
    fn state(&self) -> Value {
        let mut state = pages::stand(&self.cues, &self.standing, &self.plan, self.pace, self.replanned);
        state["journal"] = self.loss.as_ref().map(told_loss).into();
        state["done"] = self.done().into();
        state
    }

    /// How often the piece was knitted to its end: each time but the last it was begun again from there.
    fn done(&self) -> usize {
        let at_end = |e: &Event| usize::try_from(e.position).is_ok_and(|p| p >= self.cues.len());
        let again = self.events.windows(2).filter(|w| at_end(&w[0]) && w[1].kind == Deed::Begin).count();
        again + usize::from(self.events.last().is_some_and(at_end))
    }
}

pub(super) async fn machine(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Asked>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        let Some(size) = &q.size else { return pieces(&w, &worked, &name) };
        let piece = q.piece.unwrap_or(0);
        let Some(shown) = worked.named(size).filter(|s| worked.cues(s, piece).is_some()) else {
            // What was not rehearsed to its end is not knitted: the design says what is wrong.
            let told = t("not-to-be-knitted");
            let (around, told) = ((None, None), Told::from(told));
            let size = q.size.as_deref();
            let seen = Seen { name: &name, worked: &worked, size, around: &around, told: Some(&told), before: None };
            return Ok(pages::design(&seen));
        };
        let c = counted(&w, &worked, &name, shown, piece)?;
        let (cues, state, folder) = (&c.cues, c.state(), w.journal.folder()?);
        let short = worked.short_of_yarn(c.shown).filter(|_| c.standing.position == 0);
        let (name, worked, shown, piece) = (name.as_str(), &*worked, c.shown, c.piece);
        let room = pages::CueRoom { name, worked, shown, piece, cues, state: &state, folder: &folder, short };
        pages::cue_room(&room).ok_or(NotKept::Missing)
    });
    super::answer(page.await)
}

/// Every piece of every size, and how far it is.
fn pieces(w: &Workshop, worked: &WorkedOut, name: &str) -> Result<maud::Markup, NotKept> {
    let lost = w.journal.look().as_ref().map(told_loss);
    let (design, outcome) = match (&worked.design, &worked.outcome) {
        (Some(d), Some(o)) if !o.sizes.is_empty() => (d, o),
        _ => {
            let around = (None, None);
            let seen = Seen { name, worked, size: None, around: &around, told: None, before: None };
            return Ok(pages::design(&seen));
        }
    };
    let mut all = Vec::new();
    for shown in outcome.sizes.iter() {
        let size = design.sizes[shown.size].name.as_str();
        for (piece, plan) in shown.plans.pieces.iter().enumerate() {
            let events = w.journal.events(&format!("{name}/{size}/{piece}"))?;
            let cues = worked.cues(shown, piece);
            all.push(pages::Knitted { size, piece: (piece, named(plan)), cues, events });
        }
    }
    Ok(pages::machine(name, worked, &all, lost.as_deref()))
}

/// How things stand, as the script reads it.
fn answered(found: Option<Result<(StatusCode, Value), NotKept>>) -> Response {
    match found {
        Some(Ok((status, state))) => {
            let head = [(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")];
            (status, head, state.to_string()).into_response()
        }
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

pub(super) async fn state(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let found = off(move || {
        let worked = w.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        counted(&w, &worked, &name, shown, piece).map(|c| (StatusCode::OK, c.state()))
    });
    answered(found.await)
}

pub(super) async fn stream(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let asked = w.clone();
    let work = off(move || {
        let worked = asked.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        counted(&asked, &worked, &name, shown, piece).map(|c| c.work)
    });
    match work.await {
        Some(Ok(work)) => told(&w, &work),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
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
    let (shown, to) = (size.clone(), format!("/d/{}", pages::enc(&name)));
    let done = super::changes::change(w, headers, name.clone(), f.base, Some(shown), move |w, worked| {
        let shown = worked.named(&size).ok_or_else(|| t("missing"))?;
        let c = counted(w, worked, &name, shown, piece).map_err(|_| t("missing"))?;
        let (events, size) = (&c.events, plain(c.size));
        let Some(first) = events.first() else {
            return Ok(Made::new(worked.text.clone(), String::new()));
        };
        // The time between counts; a gap longer than a pause for tea, or below zero, does not count.
        let gaps = events.windows(2).map(|w| w[1].at.saturating_sub(w[0].at));
        let minutes = gaps.filter(|g| (0..900_000).contains(g)).sum::<i64>() / 60_000;
        let made = events.iter().filter(|e| e.kind == Deed::Made).count();
        let mut text = worked.text.trim_end().to_string();
        text += &format!(
            "\n\n// Knitted, size {size}, piece {}: begun {}, {made} counts, {minutes} minutes.\n",
            piece + 1,
            day(first.at)
        );
        for e in events.iter().filter(|e| !e.note.is_empty()) {
            text += &format!("// {}, at {}: {}\n", day(e.at), e.position, plain(&e.note));
        }
        Ok(Made::new(text, t("did-attach")))
    })
    .await;
    if done.status() == StatusCode::OK { axum::response::Redirect::to(&to).into_response() } else { done }
}

/// Words that stay on one line of a comment.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || ['\u{2028}', '\u{2029}'].contains(&c) { ' ' } else { c }).collect()
}

/// Something that happened. `key` is the device's own name for it: sent again, it counts once. `seq` is the number of
/// the last event that the device had seen.
#[derive(Debug, Deserialize)]
pub(super) struct Happened {
    key: String,
    seq: i64,
    kind: Deed,
    #[serde(default)]
    n: String,
    #[serde(default)]
    note: String,
    /// The cue that is next after it, as the device reckons it.
    to: Option<usize>,
    /// What the device holds: cues of which plan, in which folder.
    #[serde(default)]
    plan: String,
    #[serde(default)]
    folder: String,
    /// Milliseconds since it happened: a device may have been on its own for a long time.
    #[serde(default)]
    ago: i64,
}

/// Longest note, in characters.
const LONGEST: usize = 480;

/// The cues from the last time that the counter was set to nought, or from the beginning, up to the next time; in them
/// a reading is met once. `now` is the cue that is next.
fn same_count(cues: &[Cue], now: usize) -> core::ops::Range<usize> {
    let falls = |k: &usize| *k > 0 && cues[*k].counter < cues[*k - 1].counter;
    let begin = (0..now.min(cues.len())).rev().find(falls).unwrap_or(0);
    // Set back just now: what follows is what the knitter counts.
    let begin = if cues.get(now).is_some() && falls(&now) { now } else { begin };
    let end = (begin + 1..cues.len()).find(falls).unwrap_or(cues.len());
    begin..end
}

/// The cue that is next when the counter has this reading.
fn after_counter(cues: &[Cue], now: usize, reading: u32) -> Option<usize> {
    let count = same_count(cues, now);
    let pass = count.clone().rev().find(|k| cues[*k].kind == Kind::Pass && cues[*k].counter == reading);
    pass.map(|k| k + 1).or_else(|| {
        let first = count.clone().find(|k| cues[*k].kind == Kind::Pass && cues[*k].counter > reading);
        (reading == 0).then_some(first.unwrap_or(count.start))
    })
}

fn next_position(c: &Counted<'_>, h: &Happened) -> Option<usize> {
    let (now, end) = (c.standing.position, c.cues.len());
    let n: usize = if h.n.trim().is_empty() { 1 } else { h.n.trim().parse().ok()? };
    match h.kind {
        Deed::Made if n == 1 => (now < end).then_some(now + 1),
        // Several at once only where nothing changes between them.
        Deed::Made => {
            let plain = c.cues.iter().skip(now).take_while(|c| c.plain()).count();
            (n > 1 && n <= plain).then_some(now + n)
        }
        Deed::Back => now.checked_sub(1),
        Deed::Ripped | Deed::Counter => {
            let reading = h.n.trim().parse().ok()?;
            let to = h.to.map_or_else(|| after_counter(&c.cues, now, reading), Some)?;
            let reads = to.checked_sub(1).map_or(Some(0), |k| c.cues.get(k).map(|c| c.counter));
            (reads == Some(reading) && (h.kind == Deed::Counter || to <= now)).then_some(to)
        }
        Deed::Settled => h.to.filter(|to| *to <= end),
        Deed::Pause | Deed::Resume | Deed::Note => Some(now),
        Deed::Begin => Some(0),
    }
}

pub(super) async fn happened(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
    Form(h): Form<Happened>,
) -> Response {
    let done = off(move || {
        let worked = w.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        let c = counted(&w, &worked, &name, shown, piece)?;
        if h.key.is_empty() || h.key.len() > 80 || h.note.chars().count() > LONGEST {
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, c.state()));
        }
        if !h.folder.is_empty() && h.folder != w.journal.folder()? {
            return Ok((StatusCode::MISDIRECTED_REQUEST, c.state()));
        }
        // What has already been kept is answered first: where it leads now is not where it led then.
        if w.journal.knows(&c.work, &h.key)? {
            return Ok((StatusCode::OK, c.state()));
        }
        if !h.plan.is_empty() && h.plan != c.plan {
            return Ok((StatusCode::PRECONDITION_FAILED, c.state()));
        }
        // No event is before the one that it follows, whatever a device's clock says.
        let at = (now() - h.ago.max(0)).max(c.events.last().map_or(0, |e| e.at)).min(now());
        let status = match (next_position(&c, &h), h.seq.checked_add(1)) {
            _ if h.seq < c.standing.seq => StatusCode::CONFLICT,
            // The device reckons from a place where the piece is not.
            (Some(position), _) if h.to.is_some_and(|to| to != position) => StatusCode::CONFLICT,
            (Some(position), Some(seq)) => {
                let position = i64::try_from(position).unwrap_or(0);
                let event = Event { seq, at, kind: h.kind, position, note: h.note.clone() };
                match w.journal.write(&c.work, &h.key, &c.plan, &event)? {
                    Written::Kept => {
                        w.tell(&c.work, seq);
                        StatusCode::OK
                    }
                    Written::Known => StatusCode::OK,
                    Written::Late => StatusCode::CONFLICT,
                }
            }
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        let c = counted(&w, &worked, &name, shown, piece)?;
        Ok::<_, NotKept>((status, c.state()))
    });
    answered(done.await)
}

/// Begins a piece from its first step, such as the second of a pair.
pub(super) async fn begin(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let to = format!("/d/{}/machine?size={}&piece={piece}", pages::enc(&name), pages::enc(&size));
    let done = off(move || {
        let worked = w.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        let c = counted(&w, &worked, &name, shown, piece)?;
        let seq = c.standing.seq + 1;
        let event = Event { seq, at: now(), kind: Deed::Begin, position: 0, note: String::new() };
        w.journal.write(&c.work, &format!("begin {seq}"), &c.plan, &event)?;
        w.journal.replan(&c.work, &c.plan)?;
        w.tell(&c.work, seq);
        Ok::<_, NotKept>(())
    });
    match done.await {
        Some(Ok(())) => axum::response::Redirect::to(&to).into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// Goes on with the plan as it is now.
pub(super) async fn carry_on(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let done = off(move || {
        let worked = w.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        let c = counted(&w, &worked, &name, shown, piece)?;
        w.journal.replan(&c.work, &c.plan)?;
        counted(&w, &worked, &name, shown, piece).map(|c| (StatusCode::OK, c.state()))
    });
    answered(done.await)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use latchwork::check::prove;
    use latchwork::cues::cues;
    use latchwork::design::from_text;

    /// The hat is cast on with four passes, the counter is set to nought, and the brim begins.
    #[test]
    fn a_reading_is_meant_as_the_knitter_counts_now() {
        let design = from_text(include_str!("../../../../designs/deck-hat.kdl")).0.unwrap();
        let proven = prove(&design, &[2]).proven.unwrap();
        let size = &proven.sizes()[0];
        let all = cues(size.proven(0).unwrap(), design.show);
        let pass = |from: usize, reading: u32| {
            (from..all.len()).find(|k| all[*k].kind == Kind::Pass && all[*k].counter == reading).unwrap()
        };
        let brim = (1..all.len()).find(|k| all[*k].counter < all[*k - 1].counter).unwrap();
        let cast_on = pass(0, 3);
        assert_eq!(after_counter(&all, cast_on + 1, 2), Some(pass(0, 2) + 1), "of the cast-on, while casting on");
        let body = pass(brim, 40);
        assert_eq!(after_counter(&all, body + 1, 2), Some(pass(brim, 2) + 1), "of the brim, once it is begun");
        assert_eq!(after_counter(&all, body + 1, 50), Some(pass(brim, 50) + 1));
        let back_to_none = after_counter(&all, body + 1, 0).unwrap();
        assert!(back_to_none >= brim && all[back_to_none].counter <= 1, "not before the cast-on");
        assert_eq!(after_counter(&all, cast_on, 60), None, "no pass of the cast-on leaves it so");
    }
}
