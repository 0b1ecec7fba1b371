//! The cues of a piece as the tablet keeps them: all of its steps in some tens of kilobytes.

use latchwork::wording;
use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use latchwork::check::SizeProof;
use latchwork::cues::{Act, BedSet, Cue, Does, Kind, StandsBefore, standings};
use latchwork::design::Design;
use latchwork::fabric::built_in;
use latchwork::units::dial;
use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::steps::{Leaves, Move, Setting};

use crate::cloths::has_picture;
use crate::said::{language, t, tf};
use crate::work::WorkedOut;

/// Texts sent once and named by their number.
#[derive(Default)]
struct Texts {
    all: Vec<String>,
    known: BTreeMap<String, usize>,
}

impl Texts {
    fn of(&mut self, text: &str) -> usize {
        if let Some(n) = self.known.get(text) {
            return *n;
        }
        self.all.push(text.to_string());
        self.known.insert(text.to_string(), self.all.len() - 1);
        self.all.len() - 1
    }
}

/// What the cue before has sent.
struct Last {
    counter: u32,
    stood: Side,
    part: Option<usize>,
    set: Option<usize>,
    row: (u32, u32),
}

/// A bed's carriage: what it does to the left and to the right, whether it holds, and its stitch size.
fn bed(b: &BedSet) -> Value {
    let does = |d: Does| match d.setting {
        Setting::Knit => "knit",
        Setting::Tuck => "tuck",
        Setting::Slip => "slip",
    };
    json!([does(b.left), does(b.right), b.left.hold || b.right.hold, dial(b.dial.0)])
}

/// Needles that are only put in or out of work are drawn one by one up to this many; of more, the ends and the middle.
const MOST_NAMED: usize = 12;
/// Slots of an end of the work that help draws.
const EDGE: i16 = 6;
/// Slots that one drawing of an end of the work shows.
const SHOWN: i16 = 8;

/// How loops at an end are moved, with which tool, and what becomes of their needles, in a few words; nothing where
/// there is no one way. `middle` is the middle of all that are moved.
fn how_moved(moves: &[&Move], middle: i16, stands: &StandsBefore) -> String {
    let Some(first) = moves.first() else { return String::new() };
    let far = |m: &Move| m.to.slot.0 - m.from.slot.0;
    let alike = |m: &&&Move| {
        (m.to.bed == m.from.bed, m.leaves, far(m)) == (first.to.bed == first.from.bed, first.leaves, far(first))
    };
    if moves.iter().filter(alike).count() < moves.len() {
        return String::new();
    }
    let then = match first.leaves {
        Leaves::Out => t("leaves-out"),
        Leaves::Eyelet => t("leaves-holes"),
        Leaves::Refill => t("leaves-refill"),
    };
    if first.to.bed != first.from.bed {
        let to = if first.to.bed == Bed::Main { t("main-word") } else { t("ribber-word") };
        let one_way = moves.iter().all(|m| m.to.bed == first.to.bed);
        return if one_way { tf("end-across", &[("bed", &to), ("then", &then)]) } else { String::new() };
    }
    // One tool lifts loops of neighbours on a bed.
    let mut prongs = 0;
    for bed in Bed::BOTH {
        let places: Vec<usize> = moves
            .iter()
            .map(|m| m.from)
            .filter(|n| n.bed == bed)
            .filter_map(|n| stands.in_work.binary_search(&n).ok())
            .collect();
        let (least, most) = (places.iter().min().copied().unwrap_or(0), places.iter().max().copied().unwrap_or(0));
        if !places.is_empty() && most - least + 1 != places.len() {
            return String::new();
        }
        prongs = prongs.max(places.len());
    }
    let side = |m: &&&Move| m.from.slot.0 <= middle;
    let left = moves.iter().filter(side).count();
    if prongs > 3 || (left > 0 && left < moves.len()) {
        return String::new();
    }
    let words = if (far(first) > 0) == (left > 0) { "end-in" } else { "end-out" };
    // Given in working needles of the bed, which are what is counted there.
    let of_bed = |n: Needle| stands.in_work.iter().filter(|o| o.bed == n.bed).position(|o| *o == n);
    let n = of_bed(first.from).zip(of_bed(first.to)).map_or(far(first).unsigned_abs().into(), |(a, b)| a.abs_diff(b));
    let n = n.to_string();
    tf(words, &[("n", &n), ("prongs", &prongs.to_string()), ("then", &then)])
}

/// One bed's slots, a character for each.
fn signs(slots: core::ops::Range<i16>, bed: Bed, sign: impl Fn(Needle) -> char) -> String {
    slots.map(|slot| sign(Needle { bed, slot: Slot(slot) })).collect()
}

/// The ends of the work where the hands are busy, each close up: which needles are in work and which are touched, by
/// bed, and where loops move from and to. Two where they lie apart; where many needles come in, the middle as well.
fn ends(cue: &Cue, stands: &StandsBefore, texts: &mut Texts) -> Vec<Value> {
    let slots = || cue.needles.iter().map(|n| n.slot.0);
    let (Some(first), Some(last)) = (slots().min(), slots().max()) else { return Vec::new() };
    let many = cue.moves.is_empty() && cue.needles.len() > MOST_NAMED;
    if many && cue.act != Some(Act::NeedlesIn) {
        return Vec::new();
    }
    let near = last - first < SHOWN - 1;
    let wide = if near { SHOWN.max(last - first + 3) } else { SHOWN };
    let begins = match (near, many) {
        (true, _) => vec![first - 1],
        (false, true) => vec![first - 1, -SHOWN / 2, last + 2 - SHOWN],
        (false, false) => vec![first - 1, last + 2 - SHOWN],
    };
    let mut end = |begin: i16| {
        let window = begin..begin + wide;
        let within = |n: Needle| window.contains(&n.slot.0);
        let here: Vec<&Move> = cue.moves.iter().filter(|m| within(m.from) && within(m.to)).collect();
        let touched = |n: Needle| {
            if cue.moves.is_empty() { cue.needles.contains(&n) } else { here.iter().any(|m| m.from == n || m.to == n) }
        };
        let sign = |n: Needle| match (touched(n), stands.in_work.binary_search(&n).is_ok()) {
            (true, true) => 'x',
            (true, false) => 'o',
            (false, true) => '|',
            (false, false) => '.',
        };
        let at = |n: Needle| json!([u8::from(n.bed == Bed::Ribber), n.slot.0 - window.start]);
        let moves: Vec<Value> = here.iter().map(|m| json!([at(m.from), at(m.to)])).collect();
        let from: Vec<Needle> = cue.moves.iter().map(|m| m.from).collect();
        let named = if from.is_empty() { &cue.needles } else { &from };
        let mut named: Vec<Slot> = named.iter().filter(|n| within(**n)).map(|n| n.slot).collect();
        named.sort_unstable();
        named.dedup();
        let named: Vec<String> = named.iter().map(Slot::to_string).collect();
        let how = texts.of(&how_moved(&here, i16::midpoint(first, last), stands));
        let [main, ribber] = Bed::BOTH.map(|bed| signs(window.clone(), bed, sign));
        json!([window.start, main, ribber, moves, named, stands.half, how])
    };
    begins.into_iter().map(&mut end).collect()
}

/// The needles at the two ends of the work, as help draws them: from which slot, which needles of each bed are in work,
/// and whether at half pitch. None where nothing is in work.
fn edges(stands: &StandsBefore) -> Value {
    let slots = || stands.in_work.iter().map(|n| n.slot.0);
    let (Some(first), Some(last)) = (slots().min(), slots().max()) else { return Value::Null };
    let sign = |n: Needle| if stands.in_work.binary_search(&n).is_ok() { '|' } else { '.' };
    let window = |begin: i16| {
        let [main, ribber] = Bed::BOTH.map(|bed| signs(begin..begin + EDGE, bed, sign));
        json!([begin, main, ribber])
    };
    json!([window(first - 1), window(last + 2 - EDGE), stands.half])
}

/// Names of stretches of a piece at whose beginning a seam begins or ends: their edges are marked for the sewing.
fn marked(design: &Design, piece: usize) -> Vec<&str> {
    let edges = design.seams.iter().flat_map(latchwork::design::Seam::edges).filter(|e| e.piece == piece);
    let mut at: Vec<usize> = Vec::new();
    for edge in edges {
        if let (Some(first), Some(last)) = (edge.stretches.iter().min(), edge.stretches.iter().max()) {
            at.extend([*first, *last + 1]);
        }
    }
    let stretches = design.pieces.get(piece).map_or(&[][..], |p| &p.stretches);
    at.iter().filter(|k| **k > 0).filter_map(|k| stretches.get(*k)).map(|s| s.name.as_str()).collect()
}

/// What a pass adds to what follows from the cue before it.
fn pass_json(c: &mut Map<String, Value>, cue: &Cue, way: Side, last: &mut Last, texts: &mut Texts) {
    if way == last.stood {
        c.insert("w".into(), u8::from(way == Side::Right).into());
    }
    last.stood = way;
    let row = cue.row.unwrap_or_default();
    if row != (last.row.0 + 1, last.row.1) {
        c.insert("r".into(), json!(row));
    }
    last.row = row;
    if cue.unusual || !cue.changed.is_empty() {
        c.insert("d".into(), texts.of(&cue.does).into());
    }
    if cue.unusual {
        // Without yarn no row is made.
        let bare = cue.set.as_ref().is_some_and(|s| s.yarn.is_none());
        c.insert("t".into(), if bare { 2 } else { 1 }.into());
    }
    if !cue.changed.is_empty() {
        let changed: Vec<_> = cue.changed.iter().map(|x| [&x.what, &x.from, &x.to].map(|x| texts.of(x))).collect();
        c.insert("x".into(), json!(changed));
    }
    if !cue.check.is_empty() {
        c.insert("q".into(), json!(cue.check.iter().map(|x| texts.of(x)).collect::<Vec<_>>()));
    }
}

/// What the hands do, and how many stitches there were before and are after it.
fn hands_json(
    c: &mut Map<String, Value>,
    (cue, stand): (&Cue, &StandsBefore),
    before: (u32, u32),
    last: &mut Last,
    texts: &mut Texts,
) {
    c.insert("h".into(), json!(cue.hands.iter().map(|x| texts.of(x)).collect::<Vec<_>>()));
    c.insert("v".into(), texts.of(&cue.act.map_or_else(String::new, |a| a.words(language()))).into());
    if cue.stands != last.stood {
        c.insert("a".into(), u8::from(cue.stands == Side::Right).into());
    }
    last.stood = cue.stands;
    c.insert("l".into(), json!([before.0 + before.1, cue.stitches.0 + cue.stitches.1]));
    c.insert("n".into(), cue.needles.len().into());
    let ends = ends(cue, stand, texts);
    let drawn: usize = ends.iter().map(|e| e[3].as_array().map_or(0, Vec::len)).sum();
    // More is moved than is drawn: then the number is sent as well.
    if drawn < cue.moves.len() {
        c.insert("m".into(), cue.moves.len().into());
    }
    if !ends.is_empty() {
        c.insert("e".into(), ends.into());
    }
}

/// The cues of a piece as the tablet keeps them, each fact named by a letter.
pub(crate) fn piece_json(worked: &WorkedOut, shown: &SizeProof, piece: usize, cues: &[Cue]) -> Option<Value> {
    let design = worked.design.as_ref()?;
    let proven = shown.proven(piece)?;
    let plan = proven.plan();
    let stands = standings(proven, &design.machine.profile, cues, language());
    let mut texts = Texts::default();
    let mut sets: Vec<Value> = Vec::new();
    let mut told: Option<[usize; 6]> = None;
    let mut edge = Value::Null;
    let marked = marked(design, plan.piece);
    let mut all = Vec::with_capacity(cues.len());
    // Only what differs from what follows from the cue before is sent; counting.js unfolds it.
    let stood = stands.first().map_or(Side::Left, |s| s.carriage);
    let mut last = Last { counter: 0, stood, part: None, set: None, row: (0, 0) };
    let mut list = |texts: &mut Texts, s: &StandsBefore| {
        let now = [&s.settings, &s.sizes, &s.beds, &s.needles, &s.weights, &s.yarn].map(|x| texts.of(x));
        (told.replace(now) != Some(now)).then_some(now)
    };
    for (k, (cue, stand)) in cues.iter().zip(&stands).enumerate() {
        let mut c = Map::new();
        if let Some(set) = &cue.set {
            let set = json!([bed(&set.main), set.ribber.as_ref().map(bed)]);
            let number = sets.iter().rposition(|s| *s == set).unwrap_or_else(|| {
                sets.push(set);
                sets.len() - 1
            });
            if last.set.replace(number) != Some(number) {
                c.insert("s".into(), number.into());
            }
        }
        if cue.counter != last.counter + u32::from(cue.kind == Kind::Pass) {
            c.insert("c".into(), cue.counter.into());
        }
        last.counter = cue.counter;
        let part = texts.of(&cue.part);
        if last.part.replace(part) != Some(part) {
            c.insert("p".into(), part.into());
        }
        if let Some(now) = list(&mut texts, stand) {
            c.insert("u".into(), json!(now));
        }
        let now = edges(stand);
        if now != edge {
            c.insert("z".into(), now.clone());
            edge = now;
        }
        if let (Kind::Pass, Some(way)) = (cue.kind, cue.way) {
            pass_json(&mut c, cue, way, &mut last, &mut texts);
            if cue.row.is_some_and(|r| r.0 == 1) && marked.contains(&cue.part.as_str()) {
                // That is for the hands, even where nothing is set.
                c.insert("k".into(), texts.of(&t("mark-edges")).into());
                c.entry("x").or_insert_with(|| json!([]));
                c.insert("d".into(), texts.of(&cue.does).into());
            }
        } else {
            let before = k.checked_sub(1).map_or((0, 0), |b| cues[b].stitches);
            hands_json(&mut c, (cue, stand), before, &mut last, &mut texts);
        }
        all.push(Value::Object(c));
    }
    // What each part is knitted in, for its picture.
    let fabrics: Map<String, Value> = plan
        .origins
        .iter()
        .filter_map(|part| {
            let name = part.fabric()?;
            let k = built_in().iter().position(|f| f.name == name).filter(|k| has_picture(*k));
            Some((texts.of(&wording::part(&part.name, language())).to_string(), json!([k, name])))
        })
        .collect();
    let end = stands.last().and_then(|s| list(&mut texts, s));
    let begins = u8::from(stands.first().is_some_and(|s| s.carriage == Side::Right));
    Some(
        json!({ "cues": all, "sets": sets, "end": end, "begins": begins, "fabrics": fabrics, "texts": texts.all, "make": plan.make }),
    )
}
