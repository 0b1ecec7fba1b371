//! A handout as the files that the template reads. Text goes in as data and never becomes markup.

use std::collections::BTreeMap;

use latchwork::handout::{Bench, BenchStep, Block, Card, ChartText, Grid, Handout, PieceText, Shape, StepText};
use latchwork::text::isolated;
use latchwork::wording::{Language, hanging, printed};
use latchwork::words::{ShapingRow, Token};
use latchwork_machine::needle::Side;
use latchwork_thread::look::Pixels;
use serde_json::{Value, json};

use crate::{Paper, Type};

pub(crate) const MAIN: &str = "main.typ";

/// Where the carriage ends: a hull seen from above, its bow the way it went.
const HULL_LEFT: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60" height="38" viewBox="0 0 60 38"><path d="M2 19L18 3H58V35H18Z" fill="#000"/></svg>"##;
const HULL_RIGHT: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60" height="38" viewBox="0 0 60 38"><path d="M58 19L42 3H2V35H42Z" fill="#000"/></svg>"##;

/// The tail of a cast-on: it leaves the cloth at the right, makes one stitch, and becomes the line that a title stands on.
const TAIL: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="210" height="30" viewBox="0 0 210 30"><g fill="none" stroke-linejoin="round"><path d="M190 -2C191 8 196 19 189 23C184 25.8 174 25.5 150 25.5H49C39 25.5 40 29.2 45 29.2C50 29.2 51 25.5 41 25.5H0" stroke="#000" stroke-width="1.5"/><path d="M190 -2C191 8 196 19 189 23C184 25.8 174 25.5 150 25.5H49C39 25.5 40 29.2 45 29.2C50 29.2 51 25.5 41 25.5H0" stroke="#fff" stroke-width=".8"/></g></svg>"##;

/// The files that every template needs.
fn common(main: &str) -> BTreeMap<String, Vec<u8>> {
    let files = [
        (MAIN, main),
        ("common.typ", include_str!("common.typ")),
        ("hull-left.svg", HULL_LEFT),
        ("hull-right.svg", HULL_RIGHT),
        ("tail.svg", TAIL),
    ];
    files.map(|(name, text)| (name.to_string(), text.as_bytes().to_vec())).into()
}

/// A swatch card as files.
pub(crate) fn card_files(c: &Card, paper: Paper, type_size: Type) -> BTreeMap<String, Vec<u8>> {
    let mut files = common(include_str!("card.typ"));
    let mut file = |name: &str, text: &str| files.insert(name.to_string(), text.as_bytes().to_vec());
    file("measure.svg", &c.measure.svg);
    if let Some(n) = &c.needles {
        file("needles.svg", &n.svg);
    }
    let data = json!({
        "paper": paper_name(paper),
        "size": type_points(type_size),
        "large": type_size == Type::Large,
        "title": c.title,
        "author": "",
        "folio": c.title,
        "rehearsed": words(c.language)["rehearsed"],
        "w": words(c.language),
        "facts": pairs(&c.facts),
        "measure": { "alt": c.measure.alt, "width": c.measure.width },
        "needles": c.needles.as_ref().map(|n| json!({ "alt": n.alt, "width": n.width })),
        "pieces": c.pieces.iter().map(|p| piece(p, c.language)).collect::<Vec<_>>(),
        "after": c.after,
        "expected": c.expected.as_ref().map(|(rows, sure)| json!({ "grid": grid(rows), "sure": sure })),
        "form": grid(&c.form),
        "then": c.then,
    });
    file("handout.json", &isolated_in(data).to_string());
    with_charts(&mut files, c.pieces.iter().flat_map(|p| &p.charts));
    files
}

/// A bench sheet as files, its words at this size in points, to read from a metre and a half or, near, at arm's length.
pub(crate) fn bench_files(
    b: &Bench,
    language: Language,
    paper: Paper,
    points: f64,
    near: bool,
) -> BTreeMap<String, Vec<u8>> {
    let mut files = common(include_str!("bench.typ"));
    let step = |s: &BenchStep| {
        json!({
            "number": s.number,
            "counter": s.counter,
            "side": s.side.map_or("none", side),
            "act": s.act,
            "lines": s.lines,
            "ticks": s.ticks.iter().map(|(readings, what)| json!([readings, what])).collect::<Vec<_>>(),
        })
    };
    let pieces: Vec<Value> = b
        .pieces
        .iter()
        .map(|p| {
            let (steps, charts): (Vec<Value>, Vec<Value>) =
                (p.steps.iter().map(step).collect(), p.charts.iter().map(chart).collect());
            json!({ "title": p.title, "make": p.make, "charts": charts, "steps": steps })
        })
        .collect();
    let data = json!({
        "paper": paper_name(paper),
        "size": type_points(Type::Normal),
        "of": b.size,
        "words": points,
        "near": near,
        "large": false,
        "title": b.title,
        "author": "",
        "folio": format!("{}, {}", b.title, b.size),
        "rehearsed": "",
        "w": words(language),
        "pieces": pieces,
    });
    files.insert(TOLD.to_string(), isolated_in(data).to_string().into_bytes());
    with_charts(&mut files, b.pieces.iter().flat_map(|p| &p.charts));
    files
}

/// What stands on every sheet, by name.
fn words(language: Language) -> Value {
    printed(language).into_iter().map(|(name, words)| (name.to_string(), Value::from(words))).collect()
}

/// The data, with letters written from right to left isolated in every text.
fn isolated_in(data: Value) -> Value {
    match data {
        Value::String(text) => Value::String(isolated(&text).into_owned()),
        Value::Array(all) => all.into_iter().map(isolated_in).collect(),
        Value::Object(all) => all.into_iter().map(|(name, value)| (name, isolated_in(value))).collect(),
        Value::Null | Value::Bool(_) | Value::Number(_) => data,
    }
}

fn paper_name(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "a4",
        Paper::Letter => "us-letter",
    }
}

fn type_points(type_size: Type) -> f64 {
    match type_size {
        Type::Normal => 10.5,
        Type::Large => 15.0,
    }
}

/// What a pattern says of itself.
fn publication(h: &Handout) -> Value {
    json!({
        "summary": h.summary,
        "order": h.order,
        "cover": h.cover.iter().map(|(label, lines)| json!([label, lines])).collect::<Vec<_>>(),
        "foot": h.cloth.iter().find(|c| !c.cover.is_empty()).map(|c| &c.alt),
        "photo": h.photo.as_ref().map(|p| &p.shows),
        "closing": pairs(&h.closing),
        "abbreviations": pairs(&h.abbreviations),
        "for-author": h.for_author.as_deref().map(pairs),
        "version": h.version,
    })
}

/// The file that holds all that the handout says.
pub(crate) const TOLD: &str = "handout.json";

/// A handout as files, and what it says where it is set closer.
pub(crate) fn files(h: &Handout, paper: Paper, type_size: Type) -> (BTreeMap<String, Vec<u8>>, Vec<u8>) {
    let mut files = common(include_str!("handout.typ"));
    let mut file = |name: &str, text: &str| files.insert(name.to_string(), text.as_bytes().to_vec());
    file("schematic.svg", &h.schematic.svg);
    if let Some((map, _)) = &h.sewing {
        file("sewing.svg", &map.svg);
    }
    if let Some(plot) = &h.fit_plot {
        file("fit.svg", &plot.svg);
    }
    let mut needles = Vec::new();
    for (i, (caption, picture)) in h.needles.iter().enumerate() {
        let name = format!("needles-{i}.svg");
        files.insert(name.clone(), picture.svg.clone().into_bytes());
        needles.push(json!({ "file": name, "caption": caption, "alt": picture.alt, "width": picture.width }));
    }
    with_charts(&mut files, h.pieces.iter().flat_map(|p| &p.charts));
    if let Some(photo) = &h.photo {
        files.insert("photo.jpg".to_string(), photo.jpeg.clone());
    }
    let mut cloth = Vec::new();
    for (i, c) in h.cloth.iter().enumerate() {
        let name = format!("cloth-{i}.jpg");
        files.insert(name.clone(), c.jpeg.clone());
        if !c.cover.is_empty() {
            files.insert("cover.jpg".to_string(), c.cover.clone());
        }
        cloth.push(json!({ "file": name, "caption": c.caption, "alt": c.alt, "shape": shape(c.shape) }));
    }
    let mut data = json!({
        "w": words(h.language),
        "cloth": cloth,
        "paper": paper_name(paper),
        "size": type_points(type_size),
        "large": type_size == Type::Large,
        "close": false,
        "title": h.title,
        "author": h.author,
        "folio": h.folio,
        "rehearsed": h.rehearsed,
        "p": publication(h),
        "facts": pairs(&h.facts),
        "schematic": { "alt": h.schematic.alt, "width": h.schematic.width },
        "finished": grid(&h.finished),
        "about-finished": h.about_finished,
        "about-yarn": h.about_yarn,
        "yarn": grid(&h.yarn),
        "gauge": grid(&h.gauge),
        "about-gauge": pairs(&h.about_gauge),
        "measuring": h.measuring,
        "needles": needles,
        "ladder": grid(&h.ladder),
        "own_words": pairs(&h.own_words),
        "before": h.before,
        "pieces": h.pieces.iter().map(|p| piece(p, h.language)).collect::<Vec<_>>(),
        "making_up": h.making_up,
        "sewing": h.sewing.as_ref().map(|(p, lines)| json!({ "alt": p.alt, "width": p.width, "lines": lines })),
        "fit": grid(&h.fit),
        "about-fit": h.about_fit,
        "fit-plot": h.fit_plot.as_ref().map(|p| json!({ "alt": p.alt, "width": p.width })),
        "reading": h.reading,
        "trouble": pairs(&h.trouble),
        "care": h.care,
        "cautions": h.cautions,
        "notes": h.notes,
        "errata": h.errata,
    });
    data = isolated_in(data);
    files.insert(TOLD.to_string(), data.to_string().into_bytes());
    data["close"] = Value::Bool(true);
    (files, data.to_string().into_bytes())
}

/// A picture as PNG (ISO/IEC 15948). Nothing when it has no pixels.
#[must_use]
pub fn png(p: &Pixels) -> Vec<u8> {
    let mut bytes = Vec::new();
    let size = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let mut encoder = png::Encoder::new(&mut bytes, size(p.width), size(p.height));
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_compression(png::Compression::Balanced);
    let written = encoder.write_header().and_then(|mut w| w.write_image_data(&p.rgba).and_then(|()| w.finish()));
    if written.is_err() {
        bytes.clear();
    }
    bytes
}

/// The JPEG quality of pictures of cloth in print, out of a hundred: at this, yarn shows no blocks.
const QUALITY: u8 = 90;

/// A picture as JPEG (ISO/IEC 10918), for paper: what is not cloth is white. A PDF takes it as it is. Nothing when it
/// has no pixels.
#[must_use]
pub fn jpeg(p: &Pixels) -> Vec<u8> {
    jpeg_of(p, QUALITY)
}

/// The same, at this quality out of a hundred.
pub(crate) fn jpeg_of(p: &Pixels, quality: u8) -> Vec<u8> {
    let on_white = |c: &[u8]| {
        let cloth = u32::from(c[3]);
        [0, 1, 2].map(|k| ((u32::from(c[k]) * cloth + 255 * (255 - cloth)) / 255) as u8)
    };
    let rgb: Vec<u8> = p.rgba.chunks_exact(4).flat_map(on_white).collect();
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    let size = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    if encoder.encode(&rgb, size(p.width), size(p.height), jpeg_encoder::ColorType::Rgb).is_err() {
        bytes.clear();
    }
    bytes
}

fn shape(s: Shape) -> &'static str {
    match s {
        Shape::Near => "near",
        Shape::Wide => "wide",
        Shape::Narrow => "narrow",
    }
}

fn pairs(list: &[(String, String)]) -> Value {
    list.iter().map(|(a, b)| json!([a, b])).collect()
}

fn grid(g: &Grid) -> Value {
    json!({ "head": g.head, "rows": g.rows, "second": g.second, "sample": g.sample })
}

fn side(s: Side) -> &'static str {
    match s {
        Side::Left => "left",
        Side::Right => "right",
    }
}

fn piece(p: &PieceText, language: Language) -> Value {
    let steps: Vec<Value> = p.steps.iter().map(|s| step(s, language)).collect();
    let charts: Vec<Value> = p.charts.iter().map(chart).collect();
    json!({ "title": p.title, "make": p.make, "intro": p.intro, "charts": charts, "steps": steps })
}

/// The name of the file with the public side of a chart.
fn public_side(c: &ChartText) -> String {
    format!("public-{}.svg", c.letter)
}

/// Adds the pictures of the charts.
fn with_charts<'a>(files: &mut BTreeMap<String, Vec<u8>>, charts: impl Iterator<Item = &'a ChartText>) {
    files.extend(charts.map(|c| (public_side(c), c.public.svg.clone().into_bytes())));
}

fn chart(c: &ChartText) -> Value {
    let block = |b: &Block| json!({ "head": b.head, "rows": b.rows, "columns": b.columns, "first": b.first });
    json!({
        "about": tokens(&c.about),
        "blocks": c.blocks.iter().map(block).collect::<Vec<_>>(),
        "shape": c.shape,
        "caption": c.caption,
        "public": public_side(c),
        "alt": c.public.alt,
    })
}

fn tokens(all: &[Token]) -> Vec<Value> {
    let token = |t: &Token| match t {
        Token::Strong(text) => json!({ "strong": true, "text": text }),
        Token::Text(text) | Token::Value(text) | Token::Step(_, text) => json!({ "strong": false, "text": text }),
    };
    all.iter().map(token).collect()
}

fn step(s: &StepText, language: Language) -> Value {
    let tallies: Vec<Value> = s
        .tallies
        .iter()
        .map(|t| {
            let rows: Vec<Value> = t.rows.iter().map(|r| shaping(r, language)).collect();
            json!({ "head": t.head, "rows": rows })
        })
        .collect();
    json!({
        "only": s.only,
        "counter": s.counter,
        "sides": s.sides.iter().map(|s| s.map_or("none", side)).collect::<Vec<_>>(),
        "tokens": tokens(&s.tokens),
        "tallies": tallies,
    })
}

fn shaping(r: &ShapingRow, language: Language) -> Value {
    let hangs = r.hangs.map_or(String::new(), |(grams, comb)| hanging(grams, comb, language));
    json!({
        "counter": latchwork::units::counter(r.counter),
        "side": side(r.side),
        "stitches": r.stitches.to_string(),
        "hangs": hangs,
    })
}
