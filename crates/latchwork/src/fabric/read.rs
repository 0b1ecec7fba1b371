//! Reading fabrics from a document. Each fabric is checked here for needles and signs; that it knits is proven by
//! rehearsal.

use std::sync::Arc;

use latchwork_machine::needle::{Bed, Pitch, Racking};

use super::layout::{Begun, Cells, Ends, Layout};
use super::passes::{legend, turns};
use super::{Fabric, Relaxed, Turn, find_in};
use crate::fact::{FabricFact, FacingWayOut, Subject, WordPlace};
use crate::notice::{Level, Notice, Notices, Span, nearest};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};
use crate::vocabulary::{BEDS, PITCHES, word_of};

const WORDS: [&str; 18] = [
    "like",
    "also",
    "cloth",
    "public-side",
    "needles",
    "widths",
    "ends",
    "cast-on",
    "edges",
    "shaping",
    "habit",
    "stretch",
    "at-rest",
    "legend",
    "pass",
    "grid",
    "note",
    "source",
];

/// Reads a file of fabrics, which may build on those known. All faults are reported; a faulty fabric is left out.
#[must_use]
pub fn from_text(text: &str, known: &[Arc<Fabric>], from: &str, notices: &mut Notices) -> Vec<Arc<Fabric>> {
    let tree = crate::text::read(text, notices);
    let mut r = Reader { notices, has_holes: tree.has_holes, notes: false };
    r.check_children(&tree.nodes, &["fabric"], &[], &WordPlace::FileOfFabrics);
    fabrics(&mut r, &Nodes(&tree.nodes), known, from)
}

/// The fabrics of a document, in order. A fabric may be based on another before or after it.
pub(crate) fn fabrics(r: &mut Reader<'_>, top: &Nodes<'_>, known: &[Arc<Fabric>], from: &str) -> Vec<Arc<Fabric>> {
    let mut found: Vec<Arc<Fabric>> = Vec::new();
    let mut waiting: Vec<&Node> = Vec::new();
    let mut taken: Vec<String> = Vec::new();
    for node in top.all("fabric") {
        let Some(name) = r.own_name(node, &taken) else { continue };
        taken.push(name.clone());
        let names = std::iter::once(name.as_str()).chain(also_of(node));
        if let Some((reserved, of)) = names.filter_map(|n| Some((n, find_in(known, n)?))).next() {
            r.error(Notice::error(
                node.span,
                FabricFact::NameTaken { reserved: reserved.to_string(), name: of.name.clone() },
            ));
            continue;
        }
        waiting.push(node);
    }
    // A fabric based on another waits for it.
    while !waiting.is_empty() {
        let before = waiting.len();
        let mut later = Vec::new();
        for node in waiting {
            let all: Vec<Arc<Fabric>> = known.iter().chain(&found).cloned().collect();
            match base(node, &all, &taken) {
                Base::None => found.extend(fabric(r, node, None, from).map(Arc::new)),
                Base::Of(base) => found.extend(fabric(r, node, Some(&base), from).map(Arc::new)),
                Base::ToCome => later.push(node),
                Base::Unknown(name, span) => {
                    let near = nearest(&name, all.iter().map(|f| f.name.as_str())).map(str::to_string);
                    r.error(Notice::error(span, FabricFact::NothingToBeLike { name, near }));
                }
            }
        }
        waiting = later;
        if waiting.len() == before {
            for node in &waiting {
                let like = node.children.iter().find(|c| c.name == "like").map_or(node.span, |n| n.span);
                r.error(Notice::error(like, FabricFact::LikeItself));
            }
            break;
        }
    }
    // Back into the order written.
    found.sort_by_key(|f| f.span.start);
    found
}

fn also_of(node: &Node) -> impl Iterator<Item = &str> {
    let also = node.children.iter().filter(|c| c.name == "also").flat_map(|c| &c.arguments);
    also.filter_map(|v| match &v.written {
        Written::Text(t) => Some(t.as_str()),
        Written::Number(_) | Written::Flag(_) | Written::Nothing => None,
    })
}

enum Base {
    None,
    Of(Arc<Fabric>),
    ToCome,
    Unknown(String, Span),
}

fn base(node: &Node, all: &[Arc<Fabric>], named: &[String]) -> Base {
    let Some(value) = node.children.iter().find(|c| c.name == "like").and_then(|n| n.arguments.first()) else {
        return Base::None;
    };
    let Written::Text(name) = &value.written else { return Base::Unknown("…".to_string(), value.span) };
    match find_in(all, name) {
        Some(f) => Base::Of(Arc::clone(f)),
        None if named.iter().any(|n| n == name) => Base::ToCome,
        None => Base::Unknown(name.clone(), value.span),
    }
}

/// A fabric from its node; what it does not state comes from the fabric that it is based on.
fn fabric(r: &mut Reader<'_>, node: &Node, base: Option<&Fabric>, from: &str) -> Option<Fabric> {
    let before = r.notices.0.iter().filter(|n| n.level == Level::Error).count();
    let inside = r.shape(node, 1, &["kind"], &WORDS, &["pass", "grid", "note", "also"]);
    let name = r.text(node)?.split_whitespace().collect::<Vec<_>>().join(" ");
    let kind = property(node, "kind").and_then(|v| match &v.written {
        Written::Text(t) => Some(t.clone()),
        _ => None,
    });
    let text = |r: &mut Reader<'_>, word: &str| {
        inside.one(word).and_then(|n| {
            r.leaf(n);
            r.text(n)
        })
    };
    let cloth = text(r, "cloth").or_else(|| base.map(|b| b.cloth.clone())).unwrap_or_default();
    let public_near = inside.one("public-side").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("far", false), ("near", true)])
    });
    let legend = legend(r, &inside);
    let (cells, pitch) = match inside.one("needles") {
        Some(n) => needles(r, n)?,
        None => match base {
            Some(b) => (b.layout.cells(), b.layout.pitch()),
            None => {
                r.error(Notice::error(node.span, FabricFact::NoNeedles { name }));
                return None;
            }
        },
    };
    let begun = begun(r, node, &inside, base, cells, pitch);
    let widths = widths(r, &inside, base, cells);
    let layout = Layout::new(cells, pitch, begun?, widths?);
    let turns = turns(r, &inside, base, &legend, layout);
    faces(r, node, layout, turns.as_deref().unwrap_or_default());
    held_apart(r, node, &inside, layout);
    let ends = ends(r, node, &inside, base, layout);
    let (narrow, widen, unshaped) = shaping(r, &inside, base);
    let habit = inside.one("habit").and_then(|n| thirds(r, n)).or(base.map(|b| b.habit_thirds)).unwrap_or(0);
    let usual = if layout.two_beds() { 0.4 } else { 0.3 };
    let stretch = inside.one("stretch").and_then(|n| {
        r.leaf(n);
        let v = r.first(n, "0.4")?;
        r.number(v, Subject::word("stretch"), 0.0, 4.0)
    });
    let ends_knit = inside.one("edges").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("knit", true), ("drawn", false)])
    });
    let relaxed = match inside.one("at-rest") {
        Some(n) => relaxed(r, n),
        // Constants hold for a fabric as knitted: other needles or passes make another fabric.
        None => base
            .filter(|_| ["needles", "pass", "grid"].iter().all(|w| inside.one(w).is_none()))
            .and_then(|b| b.relaxed.clone()),
    };
    let (turns, ends) = (turns?, ends?);
    if r.notices.0.iter().filter(|n| n.level == Level::Error).count() > before {
        return None;
    }
    Some(Fabric {
        also: also_of(node).map(str::to_string).collect(),
        kind: kind.or_else(|| base.map(|b| b.kind.clone())).unwrap_or_else(|| "own".to_string()),
        name,
        span: node.span,
        from: from.to_string(),
        layout,
        repeat: turns,
        ends_knit: ends_knit.or(base.map(|b| b.ends_knit)).unwrap_or(true),
        ends,
        narrow,
        widen,
        unshaped,
        habit_thirds: habit,
        stretch: stretch.or(base.map(|b| b.stretch)).unwrap_or(usual),
        relaxed,
        public_near: public_near.or(base.map(|b| b.public_near)).unwrap_or(false),
        cloth,
    })
}

/// The marks of one bed in a node.
fn of_bed<'n>(inside: &Nodes<'n>, bed: Bed) -> Option<&'n Node> {
    inside.one(word_of(&BEDS, bed))
}

/// A row of x and . as cells.
fn marks(r: &mut Reader<'_>, node: &Node) -> Option<Cells> {
    r.leaf(node);
    let text = r.text(node)?;
    let value = node.arguments.first()?;
    if let Some(c) = text.chars().find(|c| !matches!(c, 'x' | '.')) {
        r.error(Notice::error(value.span, FabricFact::NoNeedleSign { sign: c }));
        return None;
    }
    let cells = Cells::of(&text.chars().map(|c| c == 'x').collect::<Vec<_>>());
    if cells.is_none() {
        r.error(Notice::error(value.span, FabricFact::NeedleRowLength { most: Cells::MOST }));
    }
    cells
}

fn pair(r: &mut Reader<'_>, node: &Node) -> Option<[Cells; 2]> {
    let inside = Nodes(&node.children);
    r.check_children(&node.children, &["main", "ribber"], &["main", "ribber"], &WordPlace::Inside(node.name.clone()));
    let of = |r: &mut Reader<'_>, bed| match of_bed(&inside, bed) {
        Some(n) => marks(r, n),
        None => Some(Cells::NONE),
    };
    let (main, ribber) = (of(r, Bed::Main), of(r, Bed::Ribber));
    Some([main?, ribber?])
}

fn pitch_of(r: &mut Reader<'_>, node: &Node) -> Option<Pitch> {
    match property(node, "pitch") {
        Some(v) => r.word(v, Subject::property("pitch"), &PITCHES),
        None => Some(Pitch::Full),
    }
}

pub(super) fn racking_of(r: &mut Reader<'_>, node: &Node) -> Option<Racking> {
    let Some(v) = property(node, "racking") else { return Some(Racking(0)) };
    let n = r.number(v, Subject::property("racking"), -10.0, 10.0)?;
    if n.fract() != 0.0 {
        r.error(Notice::error(v.span, FabricFact::RackedByHalf));
        return None;
    }
    #[allow(clippy::cast_possible_truncation, reason = "whole, and within ten of nought")]
    let n = n as i8;
    Some(Racking(n))
}

fn needles(r: &mut Reader<'_>, node: &Node) -> Option<([Cells; 2], Pitch)> {
    r.shape(node, 0, &["pitch"], &["main", "ribber"], &[]);
    let pitch = pitch_of(r, node);
    let cells = pair(r, node)?;
    if !cells[0].has(0) {
        r.error(Notice::error(node.span, FabricFact::FirstNotMain));
        return None;
    }
    let periods = cells.map(Cells::period);
    let (long, short) = (periods[0].max(periods[1]), periods[0].min(periods[1]));
    if !cells[1].none() && !long.is_multiple_of(short) {
        r.error(Notice::error(node.span, FabricFact::RowsOfTwoLengths { main: periods[0], ribber: periods[1], long }));
        return None;
    }
    Some((cells, pitch?))
}

fn begun(
    r: &mut Reader<'_>,
    node: &Node,
    inside: &Nodes<'_>,
    base: Option<&Fabric>,
    cells: [Cells; 2],
    pitch: Pitch,
) -> Option<Begun> {
    let Some(n) = inside.one("cast-on") else {
        if cells[1].none() {
            return Some(Begun::MainBed);
        }
        if let Some(b) = base.filter(|b| b.layout.cells() == cells && b.layout.pitch() == pitch) {
            return Some(b.layout.begun());
        }
        r.error(Notice::error(node.span, FabricFact::NoCastOn));
        return None;
    };
    r.shape(n, 1, &["pitch", "racking"], &["main", "ribber"], &[]);
    if !n.arguments.is_empty() {
        return r.one_of(n, &[("main", Begun::MainBed)]);
    }
    let (pitch, racking) = (pitch_of(r, n)?, racking_of(r, n)?);
    let over = if n.children.is_empty() { cells } else { pair(r, n)? };
    let period = i16::try_from(cells[0].period().max(cells[1].period())).unwrap_or(1);
    let missing =
        Bed::BOTH.into_iter().find(|b| (0..period).any(|p| cells[b.index()].has(p) && !over[b.index()].has(p)));
    if let Some(bed) = missing {
        r.error(Notice::error(n.span, FabricFact::NotCastOn { on: bed }));
        return None;
    }
    Some(Begun::BothBeds { pitch, racking, over })
}

fn widths(r: &mut Reader<'_>, inside: &Nodes<'_>, base: Option<&Fabric>, cells: [Cells; 2]) -> Option<(u8, u8, u8)> {
    let two_beds = !cells[1].none();
    let usual = if two_beds { 2 } else { 1 };
    let Some(n) = inside.one("widths") else {
        let same = base.filter(|b| b.layout.cells() == cells).map(|b| b.layout.widths());
        return Some(same.unwrap_or((1, 0, usual)));
    };
    r.shape(n, 0, &["every", "plus", "at-least"], &[], &[]);
    let part =
        |r: &mut Reader<'_>, name, least| r.whole_property(n, name, least, 200).and_then(|v| u8::try_from(v).ok());
    let (every, plus) = (part(r, "every", 1).unwrap_or(1), part(r, "plus", 0).unwrap_or(0));
    let fewest = part(r, "at-least", 1).unwrap_or_else(|| every.saturating_add(plus).max(usual));
    Some((every, plus, fewest))
}

fn ends(
    r: &mut Reader<'_>,
    node: &Node,
    inside: &Nodes<'_>,
    base: Option<&Fabric>,
    layout: Layout,
) -> Option<Vec<Ends>> {
    let stated = match inside.one("ends") {
        Some(n) => {
            r.shape(n, 2, &[], &[], &[]);
            let found: Option<Vec<Ends>> =
                n.arguments.iter().map(|v| r.word(v, Subject::word("ends"), &Ends::WORDS)).collect();
            (n.span, found.filter(|f| !f.is_empty())?)
        }
        None => match base.filter(|b| b.layout == layout) {
            Some(b) => return Some(b.ends.clone()),
            None => (node.span, Ends::ALL.into_iter().filter(|e| (1..=400).any(|p| layout.allows(p, *e))).collect()),
        },
    };
    let at = inside.one("widths").map_or(stated.0, |n| n.span);
    let allowed: Vec<u32> = (layout.fewest()..=layout.fewest() + 4 * layout.period() * layout.repeat())
        .filter(|p| *p >= layout.plus() && (p - layout.plus()).is_multiple_of(layout.repeat()))
        .collect();
    if let Some(places) = allowed.iter().find(|p| layout.ends(**p).is_none()) {
        let fits = (1..=400).find(|p| p > places && layout.ends(*p).is_some());
        r.error(Notice::error(
            at,
            FabricFact::NoNeedleAtEnd {
                places: *places,
                period: layout.period(),
                plus: fits.unwrap_or(0) % layout.period(),
            },
        ));
        return None;
    }
    if let Some(end) = stated.1.iter().find(|e| !allowed.iter().any(|p| layout.allows(*p, **e))) {
        let word = word_of(&Ends::WORDS, *end);
        r.error(Notice::error(stated.0, FabricFact::EndsNeverThere { word: word.to_string() }));
        return None;
    }
    Some(stated.1)
}

fn shaping(r: &mut Reader<'_>, inside: &Nodes<'_>, base: Option<&Fabric>) -> (Vec<u32>, Vec<u32>, Option<String>) {
    let Some(n) = inside.one("shaping") else {
        return match base {
            Some(b) => (b.narrow.clone(), b.widen.clone(), b.unshaped.clone()),
            None => (Vec::new(), Vec::new(), None),
        };
    };
    let within = r.shape(n, 0, &["because"], &["narrow", "widen"], &[]);
    let list = |r: &mut Reader<'_>, word: &str| -> Vec<u32> {
        let Some(n) = within.one(word) else { return Vec::new() };
        r.shape(n, 2, &[], &[], &[]);
        n.arguments.iter().filter_map(|v| r.whole_value(v, Subject::word(word), 1, 2)).collect()
    };
    let (narrow, widen) = (list(r, "narrow"), list(r, "widen"));
    let because = property(n, "because").and_then(|v| match &v.written {
        Written::Text(t) => Some(t.clone()),
        _ => None,
    });
    (narrow, widen, because)
}

fn thirds(r: &mut Reader<'_>, n: &Node) -> Option<i8> {
    r.leaf(n);
    let v = r.first(n, "-6")?;
    let x = r.number(v, Subject::word("habit"), -30.0, 30.0)?;
    #[allow(clippy::cast_possible_truncation, reason = "within thirty of nought")]
    let x = x.round() as i8;
    Some(x)
}

fn relaxed(r: &mut Reader<'_>, n: &Node) -> Option<Relaxed> {
    let inside = r.shape(n, 0, &["width", "length", "doubt", "least", "most", "tightness"], &["washed", "source"], &[]);
    let of = |r: &mut Reader<'_>, node: &Node, name: &str, most: f64| match property(node, name) {
        Some(v) => r.number(v, Subject::property(name), 0.001, most),
        None => {
            r.error(Notice::error(node.span, FabricFact::Lacks { word: node.name.clone(), name: name.to_string() }));
            None
        }
    };
    let width = of(r, n, "width", 50.0);
    let length = of(r, n, "length", 50.0);
    let doubt = of(r, n, "doubt", 1.0);
    let least = of(r, n, "least", 1000.0);
    let most = of(r, n, "most", 1000.0);
    let tightness = of(r, n, "tightness", 5.0);
    let washed = inside.one("washed").and_then(|w| {
        r.shape(w, 0, &["needles", "passes"], &[], &[]);
        of(r, w, "needles", 3.0).zip(of(r, w, "passes", 3.0))
    });
    let source = inside.one("source").and_then(|s| {
        r.leaf(s);
        r.text(s)
    });
    Some(Relaxed {
        width: width?,
        length: length?,
        doubt: doubt?,
        area: (least?, most?),
        tightness: tightness?,
        washed,
        source: source.unwrap_or_else(|| "its author".to_string()),
    })
}

/// Reports needles that would face each other in any pass.
fn faces(r: &mut Reader<'_>, node: &Node, layout: Layout, turns: &[Turn]) {
    let racked = turns.iter().map(|t| t.racking.unwrap_or(Racking(0)));
    let facing = racked.clone().find_map(|r| Some((r, layout.facing(r)?)));
    let Some((racking, place)) = facing else { return };
    let free = (0..=4).flat_map(|n| [n, -n]).find(|n| layout.facing(Racking(*n)).is_none());
    let span = node.children.iter().find(|c| c.name == "needles").map_or(node.span, |n| n.span);
    let way_out = match free {
        Some(n) if layout.pitch() == Pitch::Full && racking.0 == 0 && n != 0 => FacingWayOut::HalfPitchOrRack(n),
        _ if layout.pitch() == Pitch::Full => FacingWayOut::HalfPitch,
        _ => FacingWayOut::OtherRacking,
    };
    r.error(Notice::error(span, FabricFact::Facing { racked: racking.0, place: place + 1, way_out }));
}

/// Reports loops that would lie side by side on one bed in the first row.
fn held_apart(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, layout: Layout) {
    let Some(needle) = layout.not_held_apart() else { return };
    let span = inside.one("cast-on").map_or(node.span, |n| n.span);
    let near = (0..=4).flat_map(|n| [n, -n]).flat_map(|n| [(Pitch::Half, n), (Pitch::Full, n)]);
    let works = near.into_iter().find(|(pitch, n)| {
        let Begun::BothBeds { over, .. } = layout.begun() else { return false };
        let begun = Begun::BothBeds { pitch: *pitch, racking: Racking(*n), over };
        layout.beginning(begun).not_held_apart().is_none() && layout.beginning(begun).facing_at_cast_on().is_none()
    });
    let cast_on = works.map(|(pitch, racking)| (pitch == Pitch::Full, racking));
    r.error(Notice::error(span, FabricFact::BesideItsOwn { needle: needle.slot.0 + 1, on: needle.bed, cast_on }));
}
