//! What changes a document: every change is made to the text that the page showed, one after the other.

use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::Markup;
use serde::Deserialize;

use latchwork::design::Design;
use latchwork::notice::{Replace, Span, mended};
use latchwork::revise::{NotRevised, Revision, revised, width_as_wished};
use latchwork::units::Mm;

use super::{answer, around, off};
use crate::folder::NotKept;
use crate::pages::{self, Seen, Told, Wanted, figure, whole};
use crate::said::{language, t, tf};
use crate::shared::{Workshop, unpoisoned};
use crate::work::{WorkedOut, base_of};

/// What a stretch came out at, where that is not what was asked for.
fn otherwise(worked: &WorkedOut, f: &Revising) -> Option<String> {
    let asked = f.value.trim().parse::<u32>().ok().filter(|_| f.what == What::Rows)?;
    let (d, shown) = (worked.design.as_ref()?, worked.size(f.size.as_deref())?);
    let p = d.pieces.iter().position(|p| p.name == f.piece)?;
    let s = d.pieces[p].stretches.iter().position(|s| s.name == f.stretch)?;
    let rows = shown.stitches.pieces[p].stretches[s].rows;
    (rows != asked).then(|| {
        tf("rows-otherwise", &[("name", &f.stretch), ("rows", &rows.to_string()), ("asked", &asked.to_string())])
    })
}

/// What a form makes of a document.
#[derive(Debug, Clone)]
pub(crate) struct Made {
    text: String,
    /// What undo will call it.
    what: String,
    /// The form's first field, where what follows from the change is said, and what was typed, by the fields' ids.
    form: (Option<String>, Vec<(String, String)>),
}

impl Made {
    pub(crate) fn new(text: String, what: String) -> Made {
        Made { text, what, form: (None, Vec::new()) }
    }

    /// What a form makes whose answer is said at this place.
    pub(crate) fn at(text: String, what: String, id: String) -> Made {
        Made { text, what, form: (Some(id), Vec::new()) }
    }
}

/// Whether the script asks, which puts the answer into the page; otherwise the whole page is asked for.
fn scripted(headers: &HeaderMap) -> bool {
    headers.get("x-work").is_some()
}

/// Changes a document if it is still what the page showed, and shows what came of it.
pub(super) async fn change(
    w: Workshop,
    headers: HeaderMap,
    name: String,
    base: String,
    size: Option<String>,
    job: impl FnOnce(&Workshop, &WorkedOut) -> Result<Made, Told> + Send + 'static,
) -> Response {
    change_and(w, headers, name, base, size, |_| None, job).await
}

/// As [`change`]; `after` may say what came out differently from what was asked.
async fn change_and(
    w: Workshop,
    headers: HeaderMap,
    name: String,
    base: String,
    size: Option<String>,
    after: impl FnOnce(&WorkedOut) -> Option<String> + Send + 'static,
    job: impl FnOnce(&Workshop, &WorkedOut) -> Result<Made, Told> + Send + 'static,
) -> Response {
    let scripted = scripted(&headers);
    let done = off(move || {
        let changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        let told: Option<Told> = if worked.base != base {
            Some(t("changed-elsewhere").into())
        } else {
            match job(&w, &worked) {
                Ok(made) if made.text == worked.text => None,
                Ok(made) => match unreadable(&w, &worked, &made.text) {
                    // A press never writes what cannot be understood.
                    Some(why) => {
                        let text = tf("not-understood-after", &[("why", &why)]);
                        Some(Told { at: made.form.0, typed: made.form.1, ..Told::from(text) })
                    }
                    None => match w.save(&name, &worked.text, &made.text, &made.what) {
                        Err(NotKept::Changed) => Some(t("changed-elsewhere").into()),
                        saved => saved.map(|()| None)?,
                    },
                },
                Err(told) => Some(told),
            }
        };
        drop(changing);
        let worked = w.document(&name)?;
        let told = told.or_else(|| after(&worked).map(Told::from));
        Ok::<_, NotKept>(shown(&w, &name, &worked, size.as_deref(), told.as_ref(), scripted))
    });
    answer(done.await)
}

/// The design's page, or the part of it that changes.
fn shown(
    w: &Workshop,
    name: &str,
    worked: &WorkedOut,
    size: Option<&str>,
    told: Option<&Told>,
    scripted: bool,
) -> Markup {
    let (around, before) = (around(w, name, worked), w.last_drawn(name, worked));
    let seen = Seen { name, worked, size, around: &around, told, before: before.as_deref() };
    if scripted { pages::work_area(&seen) } else { pages::design(&seen) }
}

/// Why a changed text would not be a design, where the text before it was one: the first thing wrong with it.
pub(super) fn unreadable(w: &Workshop, before: &WorkedOut, text: &str) -> Option<String> {
    before.design.as_ref()?;
    // Kept for the page that is shown next.
    let after = w.worked_out(text.to_string(), &w.folder.books());
    after.unreadable().map(|n| n.told(language()).message)
}

/// What is changed in a stretch or a yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum What {
    Rows,
    Fabric,
    Share,
    Ease,
    EndNeedles,
    NeckNeedles,
    Taper,
    Add,
    Remove,
    InHand,
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct Revising {
    base: String,
    size: Option<String>,
    piece: String,
    stretch: String,
    what: What,
    value: String,
    #[serde(default)]
    times: String,
}

/// A stretch as a form names it: by its place among the pieces, and in words.
struct Place {
    at: (usize, usize),
    words: String,
}

impl Place {
    fn of(f: &Revising, worked: &WorkedOut) -> Result<Place, Told> {
        let found = worked.design.as_ref().and_then(|d| {
            let p = d.pieces.iter().position(|p| p.name == f.piece)?;
            Some((p, d.pieces[p].stretches.iter().position(|s| s.name == f.stretch)?))
        });
        let words = format!("{}, {}", f.stretch, f.piece);
        found.map(|at| Place { at, words }).ok_or_else(|| t("missing").into())
    }

    fn id(&self, letter: char) -> String {
        format!("{letter}{}-{}", self.at.0, self.at.1)
    }

    fn label(&self, word: &str) -> String {
        format!("{} {}", t(word), tf("of-whose", &[("whose", &self.words)]))
    }

    fn whole(&self, letter: char, word: &str, text: &str, most: u32, such: &str) -> Result<u32, Told> {
        whole(&self.id(letter), &self.label(word), text, (1, most), such)
    }
}

/// What a form asks for, and what undo will call it.
fn revision(f: &Revising, worked: &WorkedOut) -> Result<(Revision, String), Told> {
    let of = (f.piece.clone(), f.stretch.clone());
    if f.what == What::InHand {
        return in_hand(f, worked);
    }
    let place = Place::of(f, worked)?;
    Ok(match f.what {
        What::Rows => {
            let rows = place.whole('r', "rows-word", &f.value, 2000, "24")?;
            let (value, as_rows) = worked
                .design
                .as_ref()
                .zip(worked.size(f.size.as_deref()))
                .and_then(|(d, shown)| pages::length_of_rows(d, shown, place.at, rows))
                .ok_or_else(|| t("missing"))?;
            let what = tf("did-rows", &[("name", &f.stretch), ("rows", &rows.to_string())]);
            (Revision::Length { of, value, rows: as_rows }, what)
        }
        What::Fabric => {
            wants_swatch(f, worked, &place)?;
            let what = tf("did-fabric", &[("name", &f.stretch), ("fabric", &f.value)]);
            (Revision::Fabric { of, name: f.value.clone() }, what)
        }
        What::Share => {
            let label = format!("{} {}", t("ease-word"), tf("of-whose", &[("whose", &place.words)]));
            let percent = figure(&place.id('e'), &label, &f.value, (1.0, 100.0), "50")? - 100.0;
            (Revision::Ease { of, percent }, tf("did-ease", &[("name", &f.stretch), ("ease", &format!("{percent}"))]))
        }
        What::Ease => {
            let percent = figure(&place.id('e'), &place.label("ease-word"), &f.value, (-95.0, 200.0), "-10")?;
            (Revision::Ease { of, percent }, tf("did-ease", &[("name", &f.stretch), ("ease", &format!("{percent}"))]))
        }
        What::EndNeedles => ends(f, worked, &place, (["end-needles", "did-end-needles"], 'g', false))?,
        What::NeckNeedles => ends(f, worked, &place, (["neck-needles", "did-neck-needles"], 'k', true))?,
        What::Taper => {
            let every = place.whole('v', "taper-every", &f.value, 2000, "6")?;
            let times = place.whole('t', "taper-times", &f.times, 2000, "4")?;
            let what =
                tf("did-taper", &[("name", &f.stretch), ("every", &every.to_string()), ("times", &times.to_string())]);
            (Revision::Taper { of, every, times }, what)
        }
        What::Add => {
            let name = f.value.trim().to_string();
            if name.is_empty() {
                let said = tf("wrong-words", &[("field", &t("add-after"))]);
                return Err(Told::from(format!("{said} {}", t("nothing-changed"))).at(place.id('n')));
            }
            let fabric =
                worked.design.as_ref().map_or("1x1 rib", |d| &d.pieces[place.at.0].stretches[place.at.1].fabric.name);
            let what = tf("did-add", &[("name", &name)]);
            (Revision::AddStretch { after: of, name, fabric: fabric.to_string(), length: 30.0 }, what)
        }
        What::Remove => (Revision::RemoveStretch { of }, tf("did-remove", &[("name", &f.stretch)])),
        What::InHand => return in_hand(f, worked),
    })
}

/// The needles that the sides, or the neck, of a stretch are to end with, in the words of its document.
fn ends(
    f: &Revising,
    worked: &WorkedOut,
    place: &Place,
    ([word, did], letter, neck): ([&str; 2], char, bool),
) -> Result<(Revision, String), Told> {
    let needles = place.whole(letter, word, &f.value, 400, "12")?;
    let what = tf(did, &[("name", &f.stretch), ("needles", &needles.to_string())]);
    let value = worked.design.as_ref().zip(worked.size(f.size.as_deref())).and_then(|(d, shown)| {
        let (stretch, w) = (
            d.pieces.get(place.at.0)?.stretches.get(place.at.1)?,
            shown.stitches.pieces.get(place.at.0)?.stretches.get(place.at.1)?,
        );
        let now = pages::ends_with(stretch, Some(w), neck)?;
        let wide = if neck { w.neck_width() } else { w.width.1 };
        let flat = Mm(wide.0 + (f64::from(needles) - f64::from(now)) * wide.0 / f64::from(now.max(1)));
        width_as_wished(d, place.at, neck, shown.size, flat)
    });
    let value = value.unwrap_or_else(|| needles.to_string());
    Ok((Revision::EndWidth { of: (f.piece.clone(), f.stretch.clone()), neck, value }, what))
}

/// Grams in hand; none where the field was emptied.
fn in_hand(f: &Revising, worked: &WorkedOut) -> Result<(Revision, String), Told> {
    let yarn = f.piece.clone();
    if f.value.trim().is_empty() {
        return Ok((Revision::InHand { yarn, grams: None }, tf("did-in-hand-not", &[("yarn", &f.piece)])));
    }
    let at = worked.design.as_ref().and_then(|d| d.yarns.iter().position(|y| y.name == f.piece));
    let id = at.map_or(String::new(), |i| format!("h{i}"));
    let label = format!("{} {}", t("you-have"), tf("of-whose", &[("whose", &f.piece)]));
    let grams = figure(&id, &label, &f.value, (0.0, 100_000.0), "43")
        .map_err(|told| told.typed(vec![(id.clone(), f.value.clone())]))?;
    Ok((Revision::InHand { yarn, grams: Some(grams) }, tf("did-in-hand", &[("grams", &format!("{grams}"))])))
}

/// A fabric that has no swatch in the yarn of its piece is not chosen: its swatch comes first.
fn wants_swatch(f: &Revising, worked: &WorkedOut, place: &Place) -> Result<(), Told> {
    let named = |d: &Design| d.fabrics.iter().find(|x| x.name == f.value).cloned();
    let Some((d, fabric)) = worked.design.as_ref().and_then(|d| Some((d, named(d)?))) else {
        return Ok(());
    };
    let piece = &d.pieces[place.at.0];
    if pages::swatched(d, piece, &fabric) {
        return too_few_yarns(d, &fabric.name)
            .map_or(Ok(()), |why| Err(Told::from(format!("{why} {}", t("nothing-changed"))).at(place.id('f'))));
    }
    let yarn = d.yarns.get(piece.yarn).map_or(String::new(), |y| y.name.clone());
    let text = tf("wants-swatch", &[("fabric", &fabric.name), ("yarn", &yarn)]);
    let swatch = Wanted { fabric: fabric.name.to_string(), yarn, of: (f.piece.clone(), f.stretch.clone()) };
    Err(Told { swatch: Some(Box::new(swatch)), ..Told::from(text).at(place.id('f')) })
}

/// Why a design has too few yarns for a fabric, and what to do.
fn too_few_yarns(d: &Design, fabric: &str) -> Option<String> {
    let takes = d.fabrics.iter().find(|f| f.name == fabric)?.yarns();
    let (takes, has) = (takes.to_string(), Some(d.yarns.len()).filter(|has| *has < takes)?.to_string());
    Some(tf("wants-colours", &[("fabric", fabric), ("takes", &takes), ("has", &has)]))
}

/// The field that a refused form is said at.
fn first_field(f: &Revising, worked: &WorkedOut) -> Option<String> {
    let letter = match f.what {
        What::Rows => 'r',
        What::Fabric => 'f',
        What::Share | What::Ease => 'e',
        What::EndNeedles => 'g',
        What::NeckNeedles => 'k',
        What::Taper => 'v',
        What::Add => 'n',
        What::Remove | What::InHand => return None,
    };
    Place::of(f, worked).ok().map(|p| p.id(letter))
}

/// What was typed, by the fields' ids.
fn typed(f: &Revising, worked: &WorkedOut) -> Vec<(String, String)> {
    let first = first_field(f, worked).filter(|_| f.what != What::Fabric).map(|id| (id, f.value.clone()));
    let times = Place::of(f, worked).ok().filter(|_| f.what == What::Taper).map(|p| (p.id('t'), f.times.clone()));
    first.into_iter().chain(times).collect()
}

pub(super) async fn revise(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Revising>,
) -> Response {
    let (base, size) = (f.base.clone(), f.size.clone());
    let asked = f.clone();
    change_and(
        w,
        headers,
        name,
        base,
        size,
        move |worked| otherwise(worked, &asked),
        move |_, worked| {
            let (at, typed) = (first_field(&f, worked), typed(&f, worked));
            let (revision, what) = revision(&f, worked)
                .map_err(|told| if told.typed.is_empty() { told.typed(typed.clone()) } else { told })?;
            let refused = |e: NotRevised| Told { at: at.clone(), typed: typed.clone(), ..Told::from(e.to_string()) };
            let text = revised(&worked.text, &revision).map_err(refused)?;
            let of = (f.piece.as_str(), f.stretch.as_str());
            let fabric = (f.what == What::Fabric).then_some(f.value.as_str());
            let with = fabric.and_then(|fabric| with_its_yarns(worked, of, fabric, &text));
            let text = with.unwrap_or(text);
            Ok(Made { text, what, form: (at, typed) })
        },
    )
    .await
}

/// The text with as many yarns for a stretch as its new fabric takes; none where it takes those that it has.
fn with_its_yarns(worked: &WorkedOut, of: (&str, &str), fabric: &str, text: &str) -> Option<String> {
    let d = worked.design.as_ref()?;
    let piece = d.pieces.iter().find(|p| p.name == of.0)?;
    let stretch = piece.stretches.iter().find(|s| s.name == of.1)?;
    let (now, new) = (stretch.fabric.yarns(), d.fabrics.iter().find(|x| x.name == fabric)?.yarns());
    if now == new {
        return None;
    }
    let others = d.yarns.iter().enumerate().filter(|y| y.0 != piece.yarn).map(|y| y.1);
    let all = std::iter::once(&d.yarns[piece.yarn]).chain(others).map(|y| y.name.clone());
    let yarns = if new == 1 { Vec::new() } else { all.take(new).collect() };
    revised(text, &Revision::Yarns { of: (of.0.to_string(), of.1.to_string()), yarns }).ok()
}

/// What was typed in a field of a swatch's form.
pub(super) fn swatch_typed(f: &[(String, String)], name: &str) -> String {
    f.iter().find(|x| x.0 == name).map_or(String::new(), |x| x.1.clone())
}

/// The text that a form's page showed, and the size.
pub(super) fn base_and_size(f: &[(String, String)]) -> (String, Option<String>) {
    (swatch_typed(f, "base"), Some(swatch_typed(f, "size")).filter(|s| !s.is_empty()))
}

pub(super) async fn add_swatch(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Vec<(String, String)>>,
) -> Response {
    let get = |name: &str| swatch_typed(&f, name);
    let (base, size) = base_and_size(&f);
    let wanted = Wanted { fabric: get("fabric"), yarn: get("yarn"), of: (get("piece"), get("stretch")) };
    let (asked, after) = (wanted.clone(), w.clone());
    let after = move |worked: &WorkedOut| not_knitted_in(&after, worked, &asked);
    change_and(w, headers, name, base, size, after, move |w, worked| {
        let get = |name: &str| swatch_typed(&f, name.trim_start_matches("s-"));
        let typed: Vec<(String, String)> = f.iter().map(|(k, v)| (format!("s-{k}"), v.clone())).collect();
        let again = |told: Told| Told { swatch: Some(Box::new(wanted.clone())), ..told.typed(typed.clone()) };
        let sizes = stitch_sizes(&get("sizes")).map_err(again)?;
        let measured = super::shelf::measured(&get, "", "").map_err(again)?;
        let yarn = Some(wanted.yarn.clone()).filter(|y| !y.is_empty());
        let swatch = Revision::AddSwatch { fabric: wanted.fabric.clone(), yarn, sizes, measured };
        let refused = |e: NotRevised| again(Told::from(e.to_string()).at("s-fabric"));
        let text = revised(&worked.text, &swatch).map_err(refused)?;
        // The stretch that wanted it is knitted in it, where that can be.
        let text = knitted_in(worked, &text, &wanted).filter(|t| unreadable(w, worked, t).is_none()).unwrap_or(text);
        let what = tf("did-swatch", &[("fabric", &wanted.fabric)]);
        Ok(Made { text, what, form: (Some("s-needles".to_string()), typed) })
    })
    .await
}

/// The text with the stretch that wanted a swatch knitted in its fabric; none where no stretch did.
fn knitted_in(worked: &WorkedOut, text: &str, wanted: &Wanted) -> Option<String> {
    let fabric = Revision::Fabric { of: wanted.of.clone(), name: wanted.fabric.clone() };
    let text = revised(text, &fabric).ok().filter(|_| !wanted.of.1.is_empty())?;
    let of = (wanted.of.0.as_str(), wanted.of.1.as_str());
    Some(with_its_yarns(worked, of, &wanted.fabric, &text).unwrap_or(text))
}

/// Why a stretch is not knitted in the fabric that it wanted a swatch of, now that there is one.
fn not_knitted_in(w: &Workshop, worked: &WorkedOut, wanted: &Wanted) -> Option<String> {
    let text = knitted_in(worked, &worked.text, wanted).filter(|t| *t != worked.text)?;
    let few = worked.design.as_ref().and_then(|d| too_few_yarns(d, &wanted.fabric));
    let why = unreadable(w, worked, &text).map(|why| few.unwrap_or(why))?;
    Some(tf("swatch-kept", &[("name", &wanted.of.1), ("why", &why)]))
}

/// Stitch sizes of the main bed and the ribber, in thirds: one for both, or one for each.
fn stitch_sizes(text: &str) -> Result<(u8, u8), Told> {
    let sizes: Option<Vec<u8>> = text.split_whitespace().map(latchwork::units::dial_from).collect();
    match sizes.as_deref() {
        Some([both]) => Ok((*both, *both)),
        Some([main, ribber]) => Ok((*main, *ribber)),
        _ => {
            let said = tf("wrong-sizes", &[("field", &t("stitch-sizes"))]);
            Err(Told::from(format!("{said} {}", t("nothing-changed"))).at("s-sizes"))
        }
    }
}

#[derive(Debug, Deserialize)]
pub(super) struct Units {
    base: String,
    size: Option<String>,
    inches: bool,
}

pub(super) async fn units(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Units>,
) -> Response {
    change(w, headers, name, f.base, f.size.clone(), move |_, worked| {
        let text = revised(&worked.text, &Revision::Inches(f.inches)).map_err(|e| e.to_string())?;
        Ok(Made::new(text, t("did-units")))
    })
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Mending {
    base: String,
    size: Option<String>,
    start: usize,
    len: usize,
    text: String,
    what: String,
}

pub(super) async fn mend(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Mending>,
) -> Response {
    let (base, size) = (f.base.clone(), f.size.clone());
    change(w, headers, name, base, size, move |_, worked| {
        let span = Span { start: f.start, len: f.len };
        // Only what was offered may be done.
        let offered = worked
            .findings()
            .iter()
            .filter_map(|(_, n)| n.change.as_ref())
            .any(|c| c.put.span == span && c.put.text == f.text);
        if !offered {
            return Err(t("changed-elsewhere").into());
        }
        let change = Replace { span, text: f.text.clone() };
        Ok(Made::new(mended(&worked.text, &[change]), f.what.clone()))
    })
    .await
}

#[derive(Debug, Deserialize)]
pub(super) struct Base {
    base: String,
    size: Option<String>,
}

pub(super) async fn undo(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Base>,
) -> Response {
    step(w, name, headers, f, -1).await
}

pub(super) async fn redo(
    State(w): State<Workshop>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(f): Form<Base>,
) -> Response {
    step(w, name, headers, f, 1).await
}

async fn step(w: Workshop, name: String, headers: HeaderMap, f: Base, by: i64) -> Response {
    let scripted = scripted(&headers);
    let done = off(move || {
        let changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        let mut told: Option<Told> = None;
        let ours = w.journal.head(&name)?.is_some_and(|(_, text)| text == worked.text);
        if worked.base != f.base || !ours {
            told = Some(t("changed-elsewhere").into());
        } else if let Some(text) = w.journal.step(&name, by)?
            && let Err(fault) = w.folder.write(&name, &worked.text, &text)
        {
            // The journal must not be ahead of the document.
            w.journal.step(&name, -by)?;
            return Err(fault);
        }
        drop(changing);
        let worked = w.document(&name)?;
        Ok(shown(&w, &name, &worked, f.size.as_deref(), told.as_ref(), scripted))
    });
    answer(done.await)
}

#[derive(Debug, Deserialize)]
pub(super) struct Kept {
    base: String,
    text: String,
}

pub(super) async fn keep(State(w): State<Workshop>, Path(name): Path<String>, Form(f): Form<Kept>) -> Response {
    let done = off(move || {
        let _changing = unpoisoned(&w.changing);
        let worked = w.document(&name)?;
        // Forms send old line ends; a document keeps its own.
        let text = f.text.replace("\r\n", "\n");
        let text = if worked.text.contains("\r\n") { text.replace('\n', "\r\n") } else { text };
        let kept = match worked.base == f.base {
            false => Err(NotKept::Changed),
            true if base_of(&text) == worked.base => Ok(()),
            true => w.save(&name, &worked.text, &text, &t("did-edit")),
        };
        let now = w.document(&name)?;
        match kept {
            Err(NotKept::Changed) => return Ok((StatusCode::CONFLICT, pages::conflict(&name, &text, &now))),
            kept => kept?,
        }
        let told = if now.design.is_some() { t("kept") } else { t("kept-broken") };
        Ok::<_, NotKept>((StatusCode::OK, pages::document(&name, &now, Some(&told))))
    });
    match done.await {
        Some(Ok(page)) => page.into_response(),
        Some(Err(fault)) => super::faulty(&fault),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
