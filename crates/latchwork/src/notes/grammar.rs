//! The lines that can be written, a function for each family.

use latchwork_machine::needle::Pitch;
use latchwork_machine::steps::{Leaves, Way};

use super::line::NoteLine;
use super::needles::{before_to, pick, these};
use super::rows::{rows, second_dial};
use super::{Asked, How, LineFault, fault};
use crate::design::{At, Change};
use crate::fabric::Ends;
use crate::fact::{NotesFact, Rewrite};
use crate::notice::{Span, nearest};

/// The beginnings of all lines, for hints.
const BEGINNINGS: [&str; 35] = [
    "repeat",
    "carriage",
    "half pitch",
    "full pitch",
    "rack",
    "stitch size",
    "cast on",
    "knit",
    "rows",
    "decrease",
    "increase",
    "hold",
    "forward",
    "back to work",
    "into work",
    "out of work",
    "short rows",
    "move",
    "eyelets",
    "cross",
    "drop",
    "let off",
    "take off",
    "put back",
    "hang",
    "wrap",
    "change to",
    "cut",
    "weights",
    "bind off",
    "gather",
    "end",
    "counter",
    "check",
    "select",
];

/// What a line asks for.
pub(super) fn asked(l: &mut NoteLine) -> Result<Asked, LineFault> {
    let span = l.span;
    if l.eat("carriage") {
        l.any(&["at the", "at", "on the"]);
        return l.side().map(Asked::Carriage).ok_or_else(|| fault(l.here(), NotesFact::WhichSide));
    }
    if let Some(stand) = stand(l)? {
        return Ok(stand);
    }
    if l.any(&["stitch sizes", "stitch size", "size", "dial"]) {
        let main = l.dial().ok_or_else(|| fault(l.here(), NotesFact::WantsStitchSize))?;
        return Ok(Asked::StitchSize(main, second_dial(l)));
    }
    if l.any(&["cast on", "e-wrap", "wrap on"]) {
        return cast_on(l);
    }
    if let Some(change) = if l.any(&["decrease", "take off stitches"]) {
        Some(Change::Decrease)
    } else if l.eat("increase") {
        Some(Change::Increase)
    } else {
        None
    } {
        return shape(l, change);
    }
    if let Some(a) = positions(l)? {
        return Ok(a);
    }
    if let Some(a) = moves(l)? {
        return Ok(a);
    }
    if let Some(a) = yarns_and_weights(l)? {
        return Ok(a);
    }
    if let Some(a) = endings(l)? {
        return Ok(a);
    }
    if let Some(a) = checks(l)? {
        return Ok(a);
    }
    if let Some(a) = rows(l)? {
        return Ok(a);
    }
    let word = l.words.first().map_or("", |w| w.text.as_str());
    // Only a word that nearly matches is offered; a far guess would mislead.
    let second = l.words.get(1).filter(|w| !w.quoted).map_or("", |w| w.text.as_str());
    let pair = format!("{word} {second}");
    let twin = BEGINNINGS.into_iter().filter(|b| b.contains(' '));
    if let (Some(near), Some(b)) = (nearest(&pair, twin).filter(|n| n.len().abs_diff(pair.len()) < 2), l.words.get(1)) {
        let both = Span { start: span.start, len: b.span.start + b.span.len - span.start };
        return Err(unread(span, both, &pair, near));
    }
    if let Some(near) = nearest(word, BEGINNINGS).filter(|n| n.len().abs_diff(word.len()) < 2 && word.len() > 3) {
        let first = l.words.first().map_or(span, |w| w.span);
        return Err(unread(span, first, word, near));
    }
    let known = BEGINNINGS.iter().map(ToString::to_string).collect();
    Err(fault(span, NotesFact::NotUnderstood { near: None, known }))
}

/// A line not understood, whose first words, at `at`, are nearly `near`.
fn unread(span: Span, at: Span, written: &str, near: &str) -> LineFault {
    let (from, to) = (written.to_string(), near.to_string());
    let fact = NotesFact::NotUnderstood { near: Some(to.clone()), known: Vec::new() };
    Box::new(fault(span, fact).mend(at, near, Rewrite::Becomes { from, to }))
}

fn stand(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.eat("half pitch") {
        return Ok(Some(Asked::Stand(Some(Pitch::Half), None)));
    }
    if l.eat("full pitch") {
        return Ok(Some(Asked::Stand(Some(Pitch::Full), None)));
    }
    if l.any(&["no racking", "rack back", "rack straight"]) {
        return Ok(Some(Asked::Stand(None, Some(0))));
    }
    if l.eat("rack") {
        let n = l.number().and_then(|n| i8::try_from(n).ok()).filter(|n| *n < 20);
        let n = n.ok_or_else(|| fault(l.here(), NotesFact::RackByHowMany))?;
        l.any(&["needles", "needle"]);
        l.any(&["to the", "to"]);
        let side = l.side().ok_or_else(|| fault(l.here(), NotesFact::RackToWhichSide))?;
        let n = if side == latchwork_machine::needle::Side::Left { -n } else { n };
        return Ok(Some(Asked::Stand(None, Some(n))));
    }
    Ok(None)
}

fn cast_on(l: &mut NoteLine) -> Result<Asked, LineFault> {
    let wrapped = l.words.first().is_some_and(|w| w.text == "e-wrap" || w.text == "wrap");
    let n = l.number().filter(|n| (1..=1000).contains(n));
    let needles = n.ok_or_else(|| fault(l.here(), NotesFact::HowManyNeedles))?;
    l.any(&["needles", "needle", "stitches", "stitch"]);
    let mut how = if wrapped { How::Wrapped } else { How::Usual };
    let (mut fabric, mut ends, mut from, mut tubular) = (None, None, None, 3);
    while !l.done() {
        while l.any(&[",", "in", "with", "for"]) {}
        if l.done() {
            break;
        }
        if l.any(&["ends main and ribber", "ends on main and ribber"]) {
            ends = Some(Ends::MainRibber);
        } else if l.any(&["ends on main", "ends main", "both ends on main"]) {
            ends = Some(Ends::BothMain);
        } else if l.any(&["waste yarn", "waste"]) {
            how = How::Waste;
        } else if l.any(&["e-wrap", "wrapped"]) {
            how = How::Wrapped;
        } else if l.any(&["open", "comb"]) {
            how = How::Open;
        } else if l.any(&["closed edge", "closed"]) {
            how = How::Usual;
        } else if l.eat("from") {
            from = Some(l.slot().ok_or_else(|| fault(l.here(), NotesFact::FromWhichNeedle))?);
        } else if let Some(f) = l.fabric() {
            fabric = Some(f);
        } else if let Some(n) = l.number() {
            l.any(&["tubular rows", "circular rows", "rows", "tubular"]);
            tubular = n;
            if !(2..=3).contains(&n) {
                return Err(fault(l.span, NotesFact::TubularRows));
            }
        } else {
            return Err(fault(l.here(), NotesFact::NotOfCastOn));
        }
    }
    Ok(Asked::CastOn { needles, fabric, ends, how, from, tubular })
}

fn shape(l: &mut NoteLine, change: Change) -> Result<Asked, LineFault> {
    let mut stitches = l.number().unwrap_or(1);
    l.any(&["stitches", "stitch", "needles", "needle"]);
    if l.any(&["on each bed", "of each bed"]) {
        stitches *= 2;
    }
    let across = |w: &super::line::Word| !w.quoted && matches!(w.text.as_str(), "evenly" | "across");
    if l.words.iter().any(across) {
        return Err(match change {
            Change::Increase => fault(l.span, NotesFact::IncreasedAcross),
            Change::Decrease => fault(l.span, NotesFact::DecreasedAcross),
        });
    }
    if !(1..=2).contains(&stitches) {
        return Err(fault(l.span, NotesFact::TwoAtAnEnd { increase: change == Change::Increase }));
    }
    l.any(&["at", "on"]);
    l.eat("the");
    let mut first = false;
    let at = if l.any(&["both ends", "each end", "both sides", "each side"]) {
        At::Both
    } else if let Some(side) = l.side() {
        l.any(&["end", "side"]);
        At::Only(side)
    } else {
        return Err(fault(l.here(), NotesFact::WhichEnd));
    };
    while l.any(&[",", "of", "the", "next", "and", "in"]) {
        first |= l.words[l.at - 1].text == "next";
    }
    l.any(&["row", "rows"]);
    let mut every = None;
    if l.eat("every") {
        let rows = l.number().or_else(|| l.ordinal()).or_else(|| if l.eat("row") { Some(1) } else { None });
        let rows = rows.filter(|n| (1..=1000).contains(n));
        let rows = rows.ok_or_else(|| fault(l.here(), NotesFact::EveryHowMany))?;
        l.any(&["rows", "row", "passes"]);
        l.eat(",");
        let times = l.number().filter(|n| (1..=1000).contains(n));
        let times = times.ok_or_else(|| fault(l.here(), NotesFact::HowManyTimes))?;
        l.any(&["times", "time", "x"]);
        every = Some((rows, times));
    } else {
        l.any(&["now", "once"]);
    }
    if first && every.is_some() {
        return Err(fault(l.span, NotesFact::NextAndEvery));
    }
    Ok(Asked::Shape { change, stitches, at, every })
}

fn positions(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.any(&["hold on", "set hold on"]) {
        return Ok(Some(Asked::HoldSwitch(true)));
    }
    if l.any(&["hold off", "set hold off", "cancel hold"]) {
        return Ok(Some(Asked::HoldSwitch(false)));
    }
    if l.eat("short rows") {
        let back = l.eat("back");
        l.eat(":");
        l.any(&["hold", "back"]);
        let n = l.number().filter(|n| (1..=100).contains(n));
        let n = n.ok_or_else(|| fault(l.here(), NotesFact::ShortRowNeedles))?;
        l.any(&["more", "needles", "needle"]);
        l.any(&["each row", "every row", "a row"]);
        l.eat(",");
        let times = l.number().filter(|n| (1..=1000).contains(n));
        let times = times.ok_or_else(|| fault(l.here(), NotesFact::ShortRowTimes))?;
        l.any(&["times", "time"]);
        l.eat(",");
        let wrapped = l.any(&["wrapped", "with a wrap", "wrapping"]);
        l.any(&["without a wrap", "not wrapped"]);
        return Ok(Some(Asked::ShortRows { n: n as usize, times, wrapped, back }));
    }
    let put = l.clone();
    if l.any(&["put"])
        && let Ok(p) = pick(l)
        && l.any(&["into holding position", "in holding position", "into holding", "in holding"])
    {
        return Ok(Some(Asked::Hold(p)));
    }
    *l = put;
    if l.eat("hold") {
        let picked = pick(l)?;
        if l.any(&["every row", "each row", "every"]) {
            return Err(fault(l.span, NotesFact::HeldRowByRow));
        }
        return Ok(Some(Asked::Hold(picked)));
    }
    if l.any(&["forward", "bring forward"]) {
        return pick(l).map(|p| Some(Asked::Forward(p)));
    }
    if l.any(&["back to working position", "back to working", "back to work"]) {
        return pick(l).map(|p| Some(Asked::BackToWork(p)));
    }
    if l.any(&["into work", "bring into work"]) {
        return these(l).map(|n| Some(Asked::IntoWork(n)));
    }
    if l.any(&["out of work", "put out of work"]) {
        return these(l).map(|n| Some(Asked::OutOfWork(n)));
    }
    if l.any(&["wrap new needles", "wrap new"]) {
        return these(l).map(|n| Some(Asked::WrapNew(n)));
    }
    if l.any(&["buttonhole over", "buttonhole at", "buttonhole"]) {
        return these(l).map(|n| Some(Asked::Buttonhole(n)));
    }
    if l.any(&["wrap needle", "wrap"]) {
        let here = l.here();
        return match these(l)?.as_slice() {
            [one] => Ok(Some(Asked::WrapNeedle(*one))),
            _ => Err(fault(here, NotesFact::OneIsWrapped)),
        };
    }
    if l.any(&["lower the ribber", "ribber down"]) {
        return Ok(Some(Asked::RibberDown));
    }
    if l.any(&["raise the ribber", "ribber up"]) {
        return Ok(Some(Asked::RibberUp));
    }
    Ok(None)
}

fn leaves(l: &mut NoteLine) -> Leaves {
    l.any(&[",", ";"]);
    l.any(&["and", "then"]);
    if l.any(&[
        "leave in work",
        "leave it in work",
        "leave them in work",
        "for a hole",
        "for holes",
        "leave empty",
        "leave it empty",
    ]) {
        Leaves::Eyelet
    } else if l.any(&["to be filled", "fill later"]) {
        Leaves::Refill
    } else {
        l.any(&["put out of work", "out of work", "out"]);
        Leaves::Out
    }
}

#[expect(clippy::too_many_lines, reason = "a form of words after the other")]
fn moves(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.any(&["move the ribber to the main bed", "ribber to main", "all to the main bed", "transfer ribber to main"]) {
        return Ok(Some(Asked::RibberToMain));
    }
    let words: Vec<&str> = l.words[l.at..].iter().map(|w| w.text.as_str()).collect();
    let begins = matches!(words.first(), Some(&("move" | "transfer")));
    let plain =
        words.iter().all(|w| !w.starts_with(['l', 'r']) || !w[1..].chars().all(|c| c.is_ascii_digit()) || w.len() < 2);
    if begins && plain && words.contains(&"main") && (words.contains(&"ribber") || words.contains(&"all")) {
        l.at = l.words.len();
        return Ok(Some(Asked::RibberToMain));
    }
    if l.any(&["move", "transfer"]) {
        let from = before_to(l)?;
        let here = l.here();
        let to = if l.eat("across") {
            from.iter().map(|n| latchwork_machine::needle::Needle { bed: n.bed.other(), slot: n.slot }).collect()
        } else if l.any(&["to", "on to", "onto"]) {
            these(l)?
        } else {
            return Err(fault(here, NotesFact::WhereTo));
        };
        if from.len() != to.len() {
            return Err(fault(here, NotesFact::MovedAndNamed { moved: from.len(), named: to.len() }));
        }
        let leaves = leaves(l);
        return Ok(Some(Asked::Move { from, to, leaves }));
    }
    if l.any(&["eyelets at", "eyelet at"]) {
        let from = these(l)?;
        l.any(&["to the", ","]);
        let way = if l.side() == Some(latchwork_machine::needle::Side::Left) { -1 } else { 1 };
        let beside = |n: &latchwork_machine::needle::Needle| latchwork_machine::needle::Needle {
            slot: latchwork_machine::needle::Slot(n.slot.0 + way),
            ..*n
        };
        let to = from.iter().map(beside).collect();
        return Ok(Some(Asked::Move { from, to, leaves: Leaves::Eyelet }));
    }
    if l.eat("cross") {
        let here = l.here();
        let a = these(l)?;
        if !l.any(&["with", "over"]) {
            return Err(fault(l.here(), NotesFact::CrossWith));
        }
        let b = these(l)?;
        if a.len() != b.len() || a.iter().any(|n| b.contains(n)) {
            return Err(fault(here, NotesFact::CrossAsMany));
        }
        return Ok(Some(Asked::Cross(a, b)));
    }
    if l.any(&["drop the ribber", "drop ribber down"]) {
        return Ok(Some(Asked::RibberDown));
    }
    if l.any(&["drop", "let off"]) {
        let needles = these(l)?;
        let stay = leaves(l) != Leaves::Out;
        return Ok(Some(Asked::Drop { needles, stay }));
    }
    if l.eat("take off") {
        if l.any(&["all weights", "weights", "the weights"]) {
            return Ok(Some(Asked::NoWeights));
        }
        let pick = pick(l)?;
        l.any(&["on to", "onto", "on"]);
        return Ok(Some(Asked::TakeOff(pick, holder(l)?)));
    }
    if l.eat("put back") {
        let holder = holder(l)?;
        l.any(&["on to", "onto", "on"]);
        return Ok(Some(Asked::PutBack(holder, these(l)?)));
    }
    if l.any(&["hang the first row", "hang the cast-on row", "hang the cast-on edge"]) {
        l.any(&["on its needles", "on the needles"]);
        return Ok(Some(Asked::HangRow(None)));
    }
    if l.any(&["hang an edge", "hang the edge", "hang edge"]) {
        l.any(&[",", ":"]);
        l.any(&["places", "place", "its places"]);
        let places = numbers(l)?;
        l.any(&[","]);
        l.any(&["on to", "onto", "on"]);
        let on = these(l)?;
        if places.len() != on.len() {
            return Err(fault(l.span, NotesFact::PlacesAndNeedles { places: places.len(), needles: on.len() }));
        }
        return Ok(Some(Asked::HangEdge { places, on }));
    }
    if l.eat("hang row") {
        let n = l.number().ok_or_else(|| fault(l.here(), NotesFact::HangWhichRow))?;
        l.any(&["on its needles", "on the needles"]);
        return Ok(Some(Asked::HangRow(Some(n))));
    }
    Ok(None)
}

/// Numbers in order: 0 to 6, 9.
fn numbers(l: &mut NoteLine) -> Result<Vec<u32>, LineFault> {
    let mut all = Vec::new();
    let missing = |l: &NoteLine| fault(l.here(), NotesFact::HangWhichPlaces);
    loop {
        let first = l.number().ok_or_else(|| missing(l))?;
        let last = if l.eat("to") { l.number().ok_or_else(|| missing(l))? } else { first };
        if first.abs_diff(last) > 1_000 || all.len() > 1_000 {
            return Err(fault(l.span, NotesFact::MorePlacesThanNeedles));
        }
        let run = first.min(last)..=first.max(last);
        if first <= last {
            all.extend(run);
        } else {
            all.extend(run.rev());
        }
        if !l.eat(",") {
            return Ok(all);
        }
    }
}

fn holder(l: &mut NoteLine) -> Result<u8, LineFault> {
    l.eat("a");
    if l.any(&["waste yarn", "waste"]) {
        return Ok(100);
    }
    l.any(&["holder", "a holder"]);
    let n = l.number().unwrap_or(1);
    u8::try_from(n)
        .ok()
        .filter(|n| (1..=99).contains(n))
        .map(|n| n - 1)
        .ok_or_else(|| fault(l.here(), NotesFact::HolderNumber))
}

fn yarns_and_weights(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.any(&["change to", "use", "thread"]) {
        l.any(&["yarn", "the"]);
        return l.yarn().map(|y| Some(Asked::UseYarn(y))).ok_or_else(|| fault(l.here(), NotesFact::WhichYarn));
    }
    if l.eat("cut") {
        l.any(&["the yarn", "yarn", "the"]);
        return Ok(Some(Asked::CutYarn(l.yarn())));
    }
    if l.any(&["no weights", "take off all weights"]) {
        return Ok(Some(Asked::NoWeights));
    }
    if l.any(&["weights", "comb and weights", "hang comb and weights", "hang comb", "hang weights", "comb"]) {
        return l
            .grams()
            .filter(|g| *g <= 100_000)
            .map(|g| Some(Asked::Weights(g)))
            .ok_or_else(|| fault(l.here(), NotesFact::HowManyGrams));
    }
    Ok(None)
}

fn endings(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    let way = if l.any(&["gather off", "gather"]) {
        Way::Gathered
    } else if l.any(&["sew off", "back-stitch off"]) {
        Way::Sewn
    } else if l.any(&["bind off", "cast off"]) {
        Way::LoopThroughLoop
    } else if l.any(&["end in a point", "end on a point", "point"]) {
        return Ok(Some(Asked::Point));
    } else if l.any(&["waste off", "end on waste yarn", "end in waste yarn"]) {
        let rows = l.number().unwrap_or(8);
        l.any(&["rows", "row"]);
        if !(1..=40).contains(&rows) {
            return Err(fault(l.span, NotesFact::TooMuchWaste));
        }
        return Ok(Some(Asked::WasteOff(rows)));
    } else {
        return Ok(None);
    };
    let (mut way, mut picked, mut dial) = (way, None, None);
    while !l.done() {
        while l.any(&[",", "by", "with", "the", "loosely", "all stitches"]) {}
        if l.any(&["loop through loop"]) {
            way = Way::LoopThroughLoop;
        } else if l.any(&["latch tool", "chain"]) {
            way = Way::Chain;
        } else if l.any(&["at stitch size", "at size", "at"]) {
            dial = Some(l.dial().ok_or_else(|| fault(l.here(), NotesFact::EndsAtWhichSize))?);
        } else if l.done() {
            break;
        } else {
            picked = Some(pick(l)?);
        }
    }
    Ok(Some(Asked::BindOff { pick: picked, way, dial }))
}

fn checks(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.any(&["counter reads", "counter should read", "check counter"]) {
        let n = l.number().ok_or_else(|| fault(l.here(), NotesFact::CounterReadsWhat))?;
        return Ok(Some(Asked::Reads(n)));
    }
    if l.any(&["set counter to", "set the counter to", "counter to", "counter"]) {
        let n = l.number().filter(|n| *n < 1_000_000);
        let n = n.ok_or_else(|| fault(l.here(), NotesFact::CounterToWhat))?;
        return Ok(Some(Asked::Counter(n)));
    }
    if l.any(&["total", "in all", "altogether"]) {
        let n = l.number().ok_or_else(|| fault(l.here(), NotesFact::HowManyInAll))?;
        l.any(&["rows", "row"]);
        return Ok(Some(Asked::Total(n)));
    }
    let before = l.at;
    if l.any(&["check", "="]) || l.words.get(1).is_some_and(|w| w.text == "stitches" || w.text == "needles") {
        if let Some(n) = l.number()
            && l.any(&["stitches", "stitch", "needles", "needle"])
        {
            l.any(&["left", "remain", "in work"]);
            return Ok(Some(Asked::Stitches(n)));
        }
        l.at = before;
    }
    Ok(None)
}
