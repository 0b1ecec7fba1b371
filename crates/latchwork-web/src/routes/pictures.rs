//! Pictures, prints and files of a document.

use std::io::Write;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;

use latchwork::cues::Kind;
use latchwork::handout::{bench, for_author, handout as contents};
use latchwork::record;
use latchwork::units::counter;
use latchwork_machine::needle::Side;
use latchwork_print::{Paper, Type, bench_pdf, forget, pages as pages_of};

use super::{faulty, off};
use crate::cloths::{Drawn, Part, any_fabric_png, worn_png};
use crate::folder::NotKept;
use crate::made::{answer_made, in_turn};
use crate::pages;
use crate::photograph::{photograph, taken};
use crate::rested::{pictures as cloth_pages, set};
use crate::said::{named, t};
use crate::shared::{DRAWN, Shared, Workshop, kept};
use crate::store::Store;
use crate::work::WorkedOut;

#[derive(Debug, Deserialize)]
pub(super) struct View {
    left: Option<f64>,
    top: Option<f64>,
    wide: Option<f64>,
    across: Option<usize>,
    x: Option<f64>,
    y: Option<f64>,
}

impl View {
    fn part(&self) -> Part {
        let fine = |v: Option<f64>, usual: f64| v.filter(|v| v.is_finite()).unwrap_or(usual);
        Part {
            left: fine(self.left, Part::WHOLE.left),
            top: fine(self.top, Part::WHOLE.top),
            wide: fine(self.wide, Part::WHOLE.wide),
        }
    }
}

/// A piece as it was drawn, kept for every part of it that is looked at.
fn drawn(w: &Shared, worked: &WorkedOut, size: &str, piece: usize) -> Result<Seen, NotKept> {
    let shown = worked.named(size).ok_or(NotKept::Missing)?;
    let key = format!("{} {size} {piece}", worked.key);
    let made = kept(&w.drawn, &key, DRAWN, || Drawn::new(worked, shown, piece));
    if made.is_some() { Ok(Seen(made)) } else { Err(NotKept::Missing) }
}

/// A piece that could be drawn.
struct Seen(Arc<Option<Drawn>>);

impl Seen {
    fn with<T>(&self, job: impl FnOnce(&Drawn) -> T) -> Result<T, NotKept> {
        self.0.as_ref().as_ref().map(job).ok_or(NotKept::Missing)
    }
}

fn bytes(kind: &'static str, found: Option<Result<Vec<u8>, NotKept>>) -> Response {
    match found {
        Some(Ok(bytes)) => ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "no-cache")], bytes).into_response(),
        Some(Err(fault)) => faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

pub(super) async fn cloth(
    State(w): State<Workshop>,
    Path((name, size, piece, face)): Path<(String, String, usize, String)>,
    headers: HeaderMap,
    Query(q): Query<View>,
) -> Response {
    let (part, across) = (q.part(), q.across.unwrap_or(900).clamp(60, 2400));
    let find = move |w: &Shared| {
        let worked = w.document(&name)?;
        let key = format!("cloth {} {size} {piece} {face} {part:?} {across}", worked.key);
        Ok((key, (worked, size, face)))
    };
    let make = move |w: &Shared, (worked, size, face): &(Arc<WorkedOut>, String, String)| {
        drawn(w, worked, size, piece).and_then(|d| d.with(|d| d.png(part, face != "back.png", across))).ok()
    };
    answer_made(w, headers, "image/png", find, make).await
}

pub(super) async fn loop_at(
    State(w): State<Workshop>,
    Path((name, size, piece, face)): Path<(String, String, usize, String)>,
    Query(q): Query<View>,
) -> Response {
    let found = in_turn(&w, move |w| {
        let drawn = drawn(w, &*w.document(&name)?, &size, piece)?;
        let at = [q.x.unwrap_or(0.5), q.y.unwrap_or(0.5)];
        let step = drawn.with(|d| d.step_at(q.part(), face != "back", at))?;
        Ok(json!({ "step": step }).to_string().into_bytes())
    });
    bytes("application/json", found.await)
}

/// Any built-in fabric in an undyed yarn of our own, with loops of medium length.
pub(super) async fn any_fabric(State(w): State<Workshop>, Path(which): Path<usize>, headers: HeaderMap) -> Response {
    let find = move |_: &Shared| Ok((format!("fabric {which}"), ()));
    answer_made(w, headers, "image/png", find, move |_, ()| any_fabric_png(which)).await
}

pub(super) async fn worn(
    State(w): State<Workshop>,
    Path((name, size, how)): Path<(String, String, String)>,
    headers: HeaderMap,
) -> Response {
    let find = move |w: &Shared| {
        let worked = w.document(&name)?;
        Ok((format!("finished {} {size} {how}", worked.key), (worked, size, how)))
    };
    let make = |_: &Shared, (worked, size, how): &(Arc<WorkedOut>, String, String)| {
        worn_png(worked, worked.named(size)?, how == "worn.png")
    };
    answer_made(w, headers, "image/png", find, make).await
}

pub(super) async fn steps(
    State(w): State<Workshop>,
    Path((name, size, piece)): Path<(String, String, usize)>,
) -> Response {
    let told = in_turn(&w, move |w| {
        let worked = w.document(&name)?;
        let shown = worked.named(&size).ok_or(NotKept::Missing)?;
        let heights = drawn(w, &worked, &size, piece).and_then(|d| d.with(Drawn::heights)).unwrap_or_default();
        pages::steps_json(&worked, shown, piece, &heights).map(String::into_bytes).ok_or(NotKept::Missing)
    });
    bytes("application/json", told.await)
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Print {
    #[serde(default)]
    paper: String,
    #[serde(default, rename = "type")]
    kind: String,
    #[serde(default)]
    size: String,
    #[serde(default)]
    words: String,
    /// The author's copy, or the knitter's.
    #[serde(default)]
    copy: String,
}

impl Print {
    fn query(&self) -> String {
        let e = pages::enc;
        let (paper, kind, size) = (e(&self.paper), e(&self.kind), e(&self.size));
        format!("paper={paper}&type={kind}&size={size}&words={}&copy={}", e(&self.words), e(&self.copy))
    }
}

pub(super) async fn handout(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Print>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        let photo = worked.design.as_ref().and_then(|d| photograph(d, &w.folder.root).err());
        let chosen = [&q.paper, &q.kind, &q.size, &q.words, &q.copy].map(String::as_str);
        Ok::<_, NotKept>(pages::handout(&name, &worked, &q.query(), chosen, photo.as_deref()))
    });
    super::answer(page.await)
}

fn printed(folder: &std::path::Path, worked: &WorkedOut, q: &Print) -> Option<Vec<u8>> {
    let proven = pages::printable(worked)?;
    let one = proven.design().size(&q.size);
    let sizes: Vec<usize> =
        (0..proven.sizes().len()).filter(|i| one.is_none_or(|o| proven.sizes()[*i].size == o)).collect();
    if sizes.is_empty() {
        return None;
    }
    let paper = if q.paper == "letter" { Paper::Letter } else { Paper::A4 };
    if q.kind == "bench" {
        // Of one size: the one asked for, or the middle one.
        let size = *sizes.get(sizes.len() / 2)?;
        let all: Vec<usize> = (0..proven.sizes().len()).collect();
        let whole = contents(proven, &all, false).ok()?;
        let sheet = bench(&contents(proven, &[size], false).ok()?, &whole)?;
        let pdf = bench_pdf(&sheet, proven.design().show.language, paper).ok();
        forget();
        return pdf;
    }
    let mut sheet = contents(proven, &sizes, q.words == "own").ok()?;
    if q.copy == "author" {
        sheet = for_author(sheet, proven, &sizes, &worked.outcome.as_ref()?.notices);
    }
    // What is wrong with it stands on the page of the handout, which is printed without.
    sheet.photo = photograph(proven.design(), folder).ok().flatten();
    let store = Store::of_platform();
    sheet.cloth = cloth_pages(&store, proven, &[sizes]).0.pop()?;
    let kind = if q.kind == "large" { Type::Large } else { Type::Normal };
    let pdf = set(&store, pages_of(&sheet, paper, kind)).ok();
    forget();
    pdf
}

/// What a print is called among the things made.
fn print_key(w: &Shared, worked: &WorkedOut, q: &Print) -> String {
    let (paper, kind, own) = (q.paper == "letter", q.kind.as_str(), q.words == "own");
    let size = worked.design.as_ref().and_then(|d| d.size(&q.size));
    let photo = worked.design.as_ref().and_then(|d| taken(d, &w.folder.root));
    format!("print {} {paper} {kind} {own} {size:?} {} {photo:?}", worked.key, q.copy == "author")
}

pub(super) async fn pdf(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Query(q): Query<Print>,
) -> Response {
    let find = move |w: &Shared| {
        let worked = w.document(&name)?;
        Ok((print_key(w, &worked, &q), (worked, q)))
    };
    let make = |w: &Shared, (worked, q): &(Arc<WorkedOut>, Print)| printed(&w.folder.root, worked, q);
    answer_made(w, headers, "application/pdf", find, make).await
}

/// Everything of a design in one file: its document, the shared swatches that it uses, handout, plan and rehearsal,
/// drawings.
fn zipped(w: &Shared, name: &str, worked: &WorkedOut) -> Option<Vec<u8>> {
    let mut files: Vec<(String, Vec<u8>)> = vec![(name.to_string(), worked.text.clone().into_bytes())];
    let outcome = worked.outcome.as_ref()?;
    let mut books: Vec<&str> = worked.design.iter().flat_map(|d| &d.swatches).map(|s| s.from.as_str()).collect();
    books.sort_unstable();
    books.dedup();
    for book in books {
        // Swatches of the design's own come from no file.
        if let Some(text) = w.folder.book_text(book) {
            files.push((book.to_string(), text.into_bytes()));
        }
    }
    let usual = Print::default();
    if let Some(pdf) = w.made.bytes(&print_key(w, worked, &usual), || printed(&w.folder.root, worked, &usual)) {
        files.push(("handout-a4.pdf".to_string(), pdf));
    }
    if let Some(proven) = outcome.printable() {
        files.extend(record::files(proven).into_iter().map(|(name, text)| (name, text.into_bytes())));
    }
    for size in outcome.sizes.iter() {
        if let Some(text) = cue_text(worked, Some(size)) {
            files.push((format!("cues-{}.txt", size.size + 1), text.into_bytes()));
        }
    }
    let mut all = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in files {
        all.start_file(name, zip::write::SimpleFileOptions::default()).ok()?;
        all.write_all(&bytes).ok()?;
    }
    Some(all.finish().ok()?.into_inner())
}

pub(super) async fn files(State(w): State<Workshop>, Path(name): Path<String>, headers: HeaderMap) -> Response {
    let find = move |w: &Shared| {
        let worked = w.document(&name)?;
        Ok((format!("files {name} {}", worked.key), (name, worked)))
    };
    let make = |w: &Shared, (name, worked): &(String, Arc<WorkedOut>)| zipped(w, name, worked);
    answer_made(w, headers, "application/zip", find, make).await
}

/// The cues of a size as a list to take along.
fn cue_text(worked: &WorkedOut, size: Option<&latchwork::check::SizeProof>) -> Option<String> {
    let (design, shown) = (worked.design.as_ref()?, size?);
    let mut text = format!("{}, {}\n", design.title, design.sizes[shown.size].name);
    for (k, p) in shown.plans.pieces.iter().enumerate() {
        text += &format!("\n{}\n", named(p));
        for c in worked.cues(shown, k)? {
            let line = match (c.kind, c.way) {
                (Kind::Pass, Some(way)) => {
                    let way = if way == Side::Left { t("to-the-left") } else { t("to-the-right") };
                    let changed: Vec<String> = c.changed.iter().map(|x| format!("{} {}", x.what, x.to)).collect();
                    let changed = if changed.is_empty() { String::new() } else { format!(" [{}]", changed.join(", ")) };
                    format!("{} {way}.{changed} {}", counter(c.counter), c.does)
                }
                _ => c.hands.join(" "),
            };
            text += &format!("[ ] {line}\n");
        }
    }
    Some(text)
}

pub(super) async fn cue_list(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Print>) -> Response {
    let made = off(move || {
        let worked = w.document(&name)?;
        let all = worked.outcome.as_ref().map_or(&[][..], |o| o.sizes.as_slice());
        let text: Option<String> = if q.size.is_empty() {
            // A size that was not rehearsed to its end has no cues; the others have.
            let texts: Vec<String> = all.iter().filter_map(|s| cue_text(&worked, Some(s))).collect();
            (!texts.is_empty()).then(|| texts.join("\n"))
        } else {
            cue_text(&worked, worked.named(&q.size))
        };
        text.map(String::into_bytes).ok_or(NotKept::Missing)
    });
    bytes("text/plain; charset=utf-8", made.await)
}

pub(super) async fn cue_card(State(w): State<Workshop>, Path(name): Path<String>, Query(q): Query<Print>) -> Response {
    let page = off(move || {
        let worked = w.document(&name)?;
        let shown = if q.size.is_empty() { worked.size(None) } else { worked.named(&q.size) };
        Ok::<_, NotKept>(pages::cue_card(&name, &worked, shown.ok_or(NotKept::Missing)?))
    });
    super::answer(page.await)
}
