//! The passes of a fabric: rows of signs, grids, and acts of the hands before them.

use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::steps::Setting;

use super::layout::{Cells, Layout};
use super::read::racking_of;
use super::{Course, Fabric, Hand, Turn};
use crate::fact::{FabricFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};
use crate::vocabulary::{BEDS, SETTINGS, SIDES};

/// Most passes of one repeat.
const MOST_PASSES: usize = 240;

/// The signs of a grid: knit, tuck, slip.
pub(super) struct Legend([char; 3]);

pub(super) fn legend(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Legend {
    let mut signs = Legend(['k', 't', '-']);
    let Some(n) = inside.one("legend") else { return signs };
    let words = SETTINGS.map(|s| s.0);
    r.shape(n, 0, &words, &[], &[]);
    for (i, word) in words.into_iter().enumerate() {
        let Some(v) = property(n, word) else { continue };
        match &v.written {
            Written::Text(t) if t.chars().count() == 1 => signs.0[i] = t.chars().next().unwrap_or('k'),
            _ => r.error(Notice::error(v.span, FabricFact::SignNotOneLetter { word: word.to_string() })),
        }
    }
    if signs.0[0] == signs.0[1] || signs.0[1] == signs.0[2] || signs.0[0] == signs.0[2] {
        r.error(Notice::error(n.span, FabricFact::SignsAlike));
    }
    signs
}

/// What one bed does in a pass: its setting, and the needles brought forward.
type Does = (Setting, Cells);

/// A bed's setting or row of signs.
fn does(r: &mut Reader<'_>, text: &str, span: Span, legend: &Legend) -> Option<Does> {
    if let Some((_, s)) = SETTINGS.iter().find(|w| w.0 == text) {
        return Some((*s, Cells::NONE));
    }
    let Legend(signs) = legend;
    let mut cells = Vec::new();
    for c in text.chars() {
        let Some(i) = signs.iter().position(|s| *s == c) else {
            r.error(Notice::error(
                span,
                FabricFact::NoGridSign { sign: c, knit: signs[0], tuck: signs[1], slip: signs[2] },
            ));
            return None;
        };
        cells.push(SETTINGS[i].1);
    }
    let has = |s: Setting| cells.contains(&s);
    if has(Setting::Tuck) && has(Setting::Slip) {
        r.error(Notice::error(span, FabricFact::TuckAndSlip));
        return None;
    }
    let others = if has(Setting::Tuck) { Setting::Tuck } else { Setting::Slip };
    if !has(Setting::Tuck) && !has(Setting::Slip) {
        return Some((Setting::Knit, Cells::NONE));
    }
    let Some(forward) = Cells::of(&cells.iter().map(|s| *s == Setting::Knit).collect::<Vec<_>>()) else {
        r.error(Notice::error(span, FabricFact::GridRowLength { most: Cells::MOST }));
        return None;
    };
    Some((others, if has(Setting::Knit) { forward } else { Cells::NONE }))
}

pub(super) fn turns(
    r: &mut Reader<'_>,
    inside: &Nodes<'_>,
    base: Option<&Fabric>,
    legend: &Legend,
    layout: Layout,
) -> Option<Vec<Turn>> {
    let mut all: Vec<Turn> = Vec::new();
    let mut whole = true;
    for n in inside.0.iter().filter(|n| matches!(n.name.as_str(), "pass" | "grid")) {
        let found = if n.name == "pass" { pass(r, n, legend, layout) } else { grid(r, n, legend) };
        match found {
            Some(turns) => all.extend(turns),
            None => whole = false,
        }
    }
    if all.is_empty() && whole {
        match base {
            Some(b) => return Some(b.repeat.clone()),
            None => r.error(Notice::error(inside.0.first().map_or(Span::default(), |n| n.span), FabricFact::NoPasses)),
        }
        return None;
    }
    if all.len() > MOST_PASSES {
        r.error(Notice::error(
            inside.0.first().map_or(Span::default(), |n| n.span),
            FabricFact::TooManyPasses { most: MOST_PASSES },
        ));
        return None;
    }
    whole.then_some(all)
}

fn pass(r: &mut Reader<'_>, n: &Node, legend: &Legend, layout: Layout) -> Option<Vec<Turn>> {
    r.shape(
        n,
        0,
        &["main", "ribber", "going", "racking", "times"],
        &["let-off", "eyelet", "cross"],
        &["let-off", "eyelet", "cross"],
    );
    let bed = |r: &mut Reader<'_>, word: &str| match property(n, word) {
        None => Some((Setting::Slip, Cells::NONE)),
        Some(v) => match &v.written {
            Written::Text(t) => does(r, t, v.span, legend),
            _ => {
                r.error(Notice::error(v.span, FabricFact::WantsSetting { word: word.to_string() }));
                None
            }
        },
    };
    let (main, ribber) = (bed(r, "main"), bed(r, "ribber"));
    let going = match property(n, "going") {
        Some(v) => Some(r.word(v, Subject::property("going"), &SIDES)?),
        None => None,
    };
    let racking = if property(n, "racking").is_some() { Some(racking_of(r, n)?) } else { None };
    let times = r.whole_property(n, "times", 1, 200).unwrap_or(1);
    let mut hands = Vec::new();
    for h in &n.children {
        hands.extend(hand(r, h));
    }
    let ((main, a), (ribber, b)) = (main?, ribber?);
    if ribber != Setting::Slip && !layout.two_beds() {
        r.error(Notice::error(n.span, FabricFact::NoRibberNeedles));
        return None;
    }
    let turn = Turn { course: Course { main, ribber, going }, forward: [a, b], racking, hands };
    let plain = Turn { hands: Vec::new(), ..turn.clone() };
    Some(std::iter::once(turn).chain(std::iter::repeat_n(plain, times as usize - 1)).collect())
}

/// An act of the hands before a pass.
fn hand(r: &mut Reader<'_>, n: &Node) -> Option<Hand> {
    let words: &[&str] = match n.name.as_str() {
        "eyelet" => &["main", "ribber", "to"],
        "cross" => &["main", "ribber", "of", "over"],
        "let-off" => &["main", "ribber"],
        _ => return None,
    };
    r.shape(n, 0, words, &[], &[]);
    let (bed, value) = match (property(n, "main"), property(n, "ribber")) {
        (Some(v), None) => (Bed::Main, v),
        (None, Some(v)) => (Bed::Ribber, v),
        _ => {
            r.error(Notice::error(n.span, FabricFact::NeedlesOfOneBed { word: n.name.clone() }));
            return None;
        }
    };
    let text = match &value.written {
        Written::Text(t) if t.chars().all(|c| matches!(c, 'x' | '.')) => t,
        _ => {
            r.error(Notice::error(value.span, FabricFact::NoNeedlesHere));
            return None;
        }
    };
    let cells = Cells::of(&text.chars().map(|c| c == 'x').collect::<Vec<_>>())?;
    Some(match n.name.as_str() {
        "eyelet" => {
            let to = property(n, "to").map_or(Some(Side::Right), |v| r.word(v, Subject::property("to"), &SIDES))?;
            Hand::Eyelet { bed, cells, by: if to == Side::Left { -1 } else { 1 } }
        }
        "cross" => {
            let group = r.whole_property(n, "of", 1, 4).unwrap_or(2);
            let over =
                property(n, "over").map_or(Some(Side::Right), |v| r.word(v, Subject::property("over"), &SIDES))?;
            let right_over = over == Side::Right;
            Hand::Cross { bed, cells, group: u8::try_from(group).unwrap_or(2), right_over }
        }
        _ => Hand::LetOff { bed, cells },
    })
}

/// A drawn grid of one bed, with rows as they lie in the fabric: the last row written is knitted first.
fn grid(r: &mut Reader<'_>, n: &Node, legend: &Legend) -> Option<Vec<Turn>> {
    let inside = r.shape(n, 0, &["bed", "other"], &["row"], &["row"]);
    let bed = match property(n, "bed") {
        Some(v) => r.word(v, Subject::property("bed"), &BEDS)?,
        None => Bed::Main,
    };
    let other = match property(n, "other") {
        Some(v) => r.word(v, Subject::property("other"), &SETTINGS)?,
        None => Setting::Slip,
    };
    let rows: Vec<&Node> = inside.all("row").collect();
    let mut all = Vec::new();
    let mut wide: Option<usize> = None;
    for row in rows.iter().rev() {
        r.leaf(row);
        let text = r.text(row)?;
        let count = text.chars().count();
        if *wide.get_or_insert(count) != count {
            r.error(Notice::error(row.span, FabricFact::RaggedGrid { count, below: wide.unwrap_or(0) }));
            return None;
        }
        let (setting, forward) = does(r, &text, row.span, legend)?;
        let (course, forward) = match bed {
            Bed::Main => (Course { main: setting, ribber: other, going: None }, [forward, Cells::NONE]),
            Bed::Ribber => (Course { main: other, ribber: setting, going: None }, [Cells::NONE, forward]),
        };
        all.push(Turn { course, forward, racking: None, hands: Vec::new() });
    }
    if all.is_empty() {
        r.error(Notice::error(n.span, FabricFact::EmptyGrid));
        return None;
    }
    Some(all)
}
