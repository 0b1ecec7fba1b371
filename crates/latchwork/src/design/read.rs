//! Reading a design, a book of swatches or the head of pass notes.

use super::{Design, Piece, Shelf, choice, head, join, measures, piece, publication, seam, swatches};
use crate::fabric::{Fabric, built_in};
use crate::fact::{DesignFact, Fact, WordPlace};
use crate::measure::{BUILT_IN, Machine, Yarn};
use crate::notice::{Level, Notice, Notices, Span};
use crate::reader::{Nodes, Reader};
use crate::text::{Node, Tree};
use crate::units::{Language, Show, Units};
use std::sync::Arc;

/// Reads one file of the shared book.
pub fn book_from_text(source: &str) -> (Option<Design>, Notices) {
    book_from_text_with(source, &[])
}

/// As [`book_from_text`], for swatches that may be of the author's own fabrics.
pub fn book_from_text_with(source: &str, own: &[Arc<Fabric>]) -> (Option<Design>, Notices) {
    let mut notices = Notices::default();
    let shelf = Shelf { fabrics: own.to_vec(), ..Shelf::default() };
    let book = head_from_text(source, &shelf, &mut notices);
    notices.0.retain(|n| n.level != Level::Note);
    (book.filter(|_| !notices.has_error()), notices)
}

/// Reads a design. All faults are reported; there is a design only without an error.
pub fn read(tree: Tree, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    let (tree, choices) = choice::chosen(tree, notices);
    let design = read_as(&tree, false, shelf, notices)?;
    Some(Design { choices, ..design })
}

/// Words at the top of a document that may come once.
const ONCE: [&str; 19] = [
    "title",
    "author",
    "summary",
    "scenario",
    "version",
    "date",
    "errata",
    "units",
    "english",
    "machine",
    "pace",
    "sizes",
    "photo",
    "level",
    "sample",
    "construction",
    "copyright",
    "licence",
    "contact",
];

/// Words at the top of a document that may come several times.
const SEVERAL: [&str; 12] = [
    "yarn",
    "swatch",
    "measure",
    "piece",
    "seam",
    "opening",
    "note",
    "care",
    "blocking",
    "tester",
    "abbreviation",
    "fabric",
];

fn top<'a>(r: &mut Reader<'_>, nodes: &'a [Node], notes: bool) -> Nodes<'a> {
    let all = ONCE.into_iter().chain(SEVERAL);
    if notes {
        let known: Vec<&str> = all.filter(|w| !matches!(*w, "measure" | "piece" | "seam" | "opening")).collect();
        r.check_children(nodes, &known, &ONCE, &WordPlace::HeadOfNotes);
    } else {
        r.check_children(nodes, &all.collect::<Vec<&str>>(), &ONCE, &WordPlace::Design);
    }
    Nodes(nodes)
}

/// The text of a node with nothing else.
fn leaf_text(r: &mut Reader<'_>, n: &Node) -> Option<String> {
    r.leaf(n);
    r.text(n)
}

fn title(r: &mut Reader<'_>, top: &Nodes<'_>, notes: bool) -> String {
    match top.one("title") {
        Some(n) => {
            let title = leaf_text(r, n).unwrap_or_default();
            if title.trim().is_empty() {
                r.error(Notice::error(n.span, DesignFact::TitleEmpty));
            }
            title
        }
        None if notes => "Pass notes".to_string(),
        None => {
            r.missing(DesignFact::NoTitle);
            String::new()
        }
    }
}

/// Units and English of a document: inches read American, centimetres British, unless the document says which.
fn show(r: &mut Reader<'_>, top: &Nodes<'_>, language: Language) -> Show {
    let units = top.one("units").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("cm", Units::Metric), ("in", Units::Inches)])
    });
    let american = top.one("english").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("us", true), ("uk", false)])
    });
    let units = units.unwrap_or_default();
    let language = match language {
        Language::English if american.unwrap_or(units == Units::Inches) => Language::American,
        other => other,
    };
    Show { units, language }
}

fn version(r: &mut Reader<'_>, top: &Nodes<'_>) -> u32 {
    let node = top.one("version");
    node.and_then(|n| {
        r.leaf(n);
        r.whole(n, 1, 9999)
    })
    .unwrap_or(1)
}

/// Reads a design or, with `notes`, the head of pass notes: no pieces or seams, and nothing required.
fn read_as(tree: &Tree, notes: bool, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    let mut r = Reader { notices, has_holes: tree.has_holes, notes };
    let top = top(&mut r, &tree.nodes, notes);
    let texts =
        |r: &mut Reader<'_>, name: &str| -> Vec<String> { top.all(name).filter_map(|n| leaf_text(r, n)).collect() };
    let text = |r: &mut Reader<'_>, name: &str| top.one(name).and_then(|n| leaf_text(r, n)).unwrap_or_default();
    let title = title(&mut r, &top, notes);
    let author = text(&mut r, "author");
    let summary = text(&mut r, "summary");
    let scenario = text(&mut r, "scenario");
    let date = text(&mut r, "date");
    let errata = text(&mut r, "errata");
    let version = version(&mut r, &top);
    let show = show(&mut r, &top, shelf.language);
    let machine = head::machine(&mut r, &top);
    let machine = machine.or_else(|| (notes && top.one("machine").is_none()).then(|| Machine::of(&BUILT_IN[1])));
    let yarns = head::yarns(&mut r, &top);
    let shared: Vec<Arc<Fabric>> = built_in().iter().chain(&shelf.fabrics).cloned().collect();
    let own = crate::fabric::fabrics(&mut r, &top, &shared, "");
    let fabrics: Arc<[Arc<Fabric>]> = shared.into_iter().chain(own).collect();
    let mut swatches = swatches::swatches(&mut r, &top, &yarns, &machine, &fabrics);
    let own = swatches.len();
    let shared = swatches::shared(&mut r, shelf, &yarns, machine.as_ref(), &swatches);
    swatches.extend(shared);
    let pace = head::pace(&mut r, &top);
    let before = r.notices.0.len();
    let none = notes && top.one("sizes").is_none();
    let (mut sizes, sizes_source) = if none { Default::default() } else { head::sizes(&mut r, &top) };
    let size_faults = r.notices.0.len() > before;
    let measures = measures::measures(&mut r, &top, &mut sizes, size_faults);
    let context = piece::Context {
        fabrics: &fabrics,
        yarns: &yarns,
        swatches: &swatches,
        swatch_faults: top.all("swatch").count() > own,
        size_faults,
        sizes: &sizes,
        machine: &machine,
    };
    let mut pieces = if notes { Vec::new() } else { piece::pieces(&mut r, &top, &context) };
    let seams = seam::seams(&mut r, &top, &pieces);
    let joins = join::joins(&mut r, &top, &pieces, &seams);
    let openings = seam::openings(&mut r, &top, &pieces, context.known());
    seam::allowances(&mut pieces, &seams);
    let notes = texts(&mut r, "note");
    let care = texts(&mut r, "care");
    let publication = publication::publication(&mut r, &top, &sizes);
    if notices.has_error() {
        return None;
    }
    let pieces: Option<Vec<Piece>> = pieces.into_iter().map(|p| p.piece).collect();
    Some(Design {
        title,
        author,
        summary,
        scenario,
        version,
        date,
        errata,
        show,
        machine: machine?,
        fabrics,
        yarns: yarns.into_iter().map(|y| y.1).collect::<Option<Vec<Yarn>>>()?,
        swatches,
        pace,
        sizes,
        measures,
        sizes_source,
        choices: Vec::new(),
        pieces: pieces?,
        seams,
        joins,
        openings,
        notes,
        care,
        publication,
    })
}

/// Reads the head of pass notes: machine (a standard one if none is named), yarns, swatches, title and the like.
pub fn head_from_text(source: &str, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    let tree = crate::text::read(source, notices);
    let named = tree.nodes.iter().any(|n| n.name == "machine");
    let head = read_as(&tree, true, shelf, notices)?;
    if !named {
        let told = Notice::warning(Span::default(), DesignFact::NotesNameNoMachine);
        notices.push(Notice { level: Level::Note, ..told });
    }
    Some(head)
}

/// Reads a design from its text, without shared swatches.
pub fn from_text(source: &str) -> (Option<Design>, Notices) {
    from_text_with(source, &Shelf::default())
}

/// Reads a design from its text, with the swatches of the shared book.
pub fn from_text_with(source: &str, shelf: &Shelf) -> (Option<Design>, Notices) {
    let mut notices = Notices::default();
    let tree = crate::text::read(source, &mut notices);
    let design = read(tree, shelf, &mut notices);
    notices.0.sort_by_key(|n| n.span.map(|s| s.start));
    let mut seen: Vec<(Option<Span>, Fact)> = Vec::new();
    notices.0.retain(|n: &Notice| {
        let key = (n.span, n.fact.clone());
        let new = !seen.contains(&key);
        seen.push(key);
        new
    });
    (design.filter(|_| !notices.has_error()), notices)
}
