//! The passes of a fabric: rows of signs, grids, and acts of the hands before them.

use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::steps::Setting;

use super::layout::{Cells, Layout};
use super::read::racking_of;
use super::{Course, Fabric, Feeds, Hand, Turn};
use crate::fact::{FabricFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written};
use crate::vocabulary::{BEDS, SETTINGS, SIDES};

/// Most passes of one repeat.
const MOST_PASSES: usize = 400;

/// The signs of a grid: knit, tuck, slip, knit in the second yarn, knit under the laid yarn.
pub(super) struct Legend([char; 5]);

/// The signs where no legend says otherwise.
pub(super) const USUAL: [char; 5] = ['k', 't', '-', '2', 'w'];

/// The words of a legend, in the same order.
const SIGNS: [&str; 5] = ["knit", "tuck", "slip", "second", "over"];

pub(super) fn legend(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Legend {
    let mut signs = Legend(USUAL);
    let Some(n) = inside.one("legend") else { return signs };
    r.shape(n, 0, &SIGNS, &[], &[]);
    for (i, word) in SIGNS.into_iter().enumerate() {
        let Some(v) = property(n, word) else { continue };
        match &v.written {
            Written::Text(t) if t.chars().count() == 1 => signs.0[i] = t.chars().next().unwrap_or('k'),
            _ => r.error(Notice::error(v.span, FabricFact::SignNotOneLetter { word: word.to_string() })),
        }
    }
    if (1..SIGNS.len()).any(|i| signs.0[..i].contains(&signs.0[i])) {
        r.error(Notice::error(n.span, FabricFact::SignsAlike));
    }
    signs
}

/// What one bed does in a pass.
#[derive(Clone, Copy)]
struct Does {
    setting: Setting,
    /// The needles brought forward.
    forward: Cells,
    /// What they do with a further yarn.
    takes: Takes,
}

/// What needles in forward position do with a further yarn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Takes {
    /// There is none.
    No,
    /// They knit it.
    Second,
    /// It lies over them.
    Laid,
    /// They knit it, and it is the only one.
    Alone,
}

impl Does {
    fn whole(setting: Setting) -> Does {
        Does { setting, forward: Cells::NONE, takes: Takes::No }
    }
}

/// A bed's setting or row of signs.
fn does(r: &mut Reader<'_>, text: &str, span: Span, legend: &Legend) -> Option<Does> {
    if let Some((_, s)) = SETTINGS.iter().find(|w| w.0 == text) {
        return Some(Does::whole(*s));
    }
    let Legend(signs) = legend;
    let mut cells = Vec::new();
    for c in text.chars() {
        let Some(i) = signs.iter().position(|s| *s == c) else {
            r.error(Notice::error(span, FabricFact::NoGridSign { sign: c, signs: *signs }));
            return None;
        };
        cells.push(i);
    }
    let has = |sign: usize| cells.contains(&sign);
    let [knit, tuck, slip, second, over] = [0, 1, 2, 3, 4].map(has);
    if tuck && slip {
        r.error(Notice::error(span, FabricFact::TuckAndSlip));
        return None;
    }
    let takes = match (second, over) {
        (false, false) => Takes::No,
        (true, false) => Takes::Second,
        (false, true) => Takes::Laid,
        (true, true) => {
            r.error(Notice::error(span, FabricFact::TwoFurtherYarns));
            return None;
        }
    };
    let takes = if second && !knit && (tuck || slip) { Takes::Alone } else { takes };
    if matches!(takes, Takes::Second | Takes::Laid) && (tuck || slip) {
        r.error(Notice::error(span, FabricFact::SecondAmongTucks));
        return None;
    }
    let setting = match (tuck, slip) {
        (true, _) => Setting::Tuck,
        (_, true) => Setting::Slip,
        (false, false) => Setting::Knit,
    };
    if setting == Setting::Knit && takes == Takes::No {
        return Some(Does::whole(Setting::Knit));
    }
    let brought = match takes {
        Takes::No => 0,
        Takes::Second | Takes::Alone => 3,
        Takes::Laid => 4,
    };
    let marks: Vec<bool> = cells.iter().map(|i| *i == brought).collect();
    let Some(forward) = Cells::of(&marks).filter(|_| marks.len() <= Cells::MOST) else {
        r.error(Notice::error(span, FabricFact::GridRowLength { most: Cells::MOST }));
        return None;
    };
    let forward = if knit || takes != Takes::No { forward } else { Cells::NONE };
    Some(Does { setting, forward, takes })
}

/// The yarns of a pass: those that its node names, the second and the laid one only where a bed takes them. A row all in the
/// second yarn is a row of that yarn alone.
fn feeds(r: &mut Reader<'_>, n: &Node, main: &mut Does, ribber: Does) -> Option<Feeds> {
    let beds = [main.takes, ribber.takes];
    let number = |r: &mut Reader<'_>, word: &str| match property(n, word) {
        Some(_) => r.whole_property(n, word, 1, 6).and_then(|y| u8::try_from(y - 1).ok()).map(Some),
        None => Some(None),
    };
    let (first, second, laid) = (number(r, "yarn")?, number(r, "second")?, number(r, "laid")?);
    let first = first.unwrap_or(0);
    let further = u8::from(first == 0);
    if beds.contains(&Takes::Alone) {
        return Some(Feeds { first: second.unwrap_or(further), second: None, laid: None });
    }
    let taken = |takes: Takes, named: Option<u8>| beds.contains(&takes).then(|| named.unwrap_or(further));
    let (second, laid) = (taken(Takes::Second, second), taken(Takes::Laid, laid));
    if second == Some(first) || laid == Some(first) {
        r.error(Notice::error(n.span, FabricFact::SameYarnTwice));
        return None;
    }
    if let Some(only) = second
        && main.forward.count() == main.forward.period()
        && ribber.setting == Setting::Slip
    {
        *main = Does::whole(Setting::Knit);
        return Some(Feeds { first: only, second: None, laid: None });
    }
    Some(Feeds { first, second, laid })
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
        &["main", "ribber", "going", "racking", "times", "yarn", "second", "laid"],
        &["let-off", "eyelet", "cross"],
        &["let-off", "eyelet", "cross"],
    );
    let bed = |r: &mut Reader<'_>, word: &str| match property(n, word) {
        None => Some(Does::whole(Setting::Slip)),
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
    let (mut main, ribber) = (main?, ribber?);
    let feeds = feeds(r, n, &mut main, ribber)?;
    if ribber.setting != Setting::Slip && !layout.two_beds() {
        r.error(Notice::error(n.span, FabricFact::NoRibberNeedles));
        return None;
    }
    let course = Course { main: main.setting, ribber: ribber.setting, going };
    let turn = Turn { course, forward: [main.forward, ribber.forward], feeds, racking, hands };
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

/// The stitches that signs of a row move for eyelets before it is knitted, and the row with these needles knitting.
fn eyelets(row: &str, bed: Bed, Legend(signs): &Legend) -> (String, Vec<Hand>) {
    let moves = |c: char| MOVES.iter().find(|m| m.0 == c && !signs.contains(&c));
    let text = row.chars().map(|c| if moves(c).is_some() { signs[0] } else { c }).collect();
    let hand = |(_, by): &(char, i8)| {
        let marks: Vec<bool> = row.chars().map(|c| moves(c).is_some_and(|m| m.1 == *by)).collect();
        let cells = Cells::of(&marks).filter(|c| !c.none())?;
        Some(Hand::Eyelet { bed, cells, by: *by })
    };
    (text, MOVES.iter().filter_map(hand).collect())
}

/// The signs of stitches that go to the next needle and leave theirs empty: which way.
pub(super) const MOVES: [(char, i8); 2] = [('<', -1), ('>', 1)];

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
        r.shape(row, 1, &["yarn", "second", "laid"], &[], &[]);
        let written = r.text(row)?;
        let (text, hands) = eyelets(&written, bed, legend);
        let count = text.chars().count();
        if *wide.get_or_insert(count) != count {
            r.error(Notice::error(row.span, FabricFact::RaggedGrid { count, below: wide.unwrap_or(0) }));
            return None;
        }
        let mut here = does(r, &text, row.span, legend)?;
        let feeds = feeds(r, row, &mut here, Does::whole(other))?;
        let Does { setting, forward, .. } = here;
        let (course, forward) = match bed {
            Bed::Main => (Course { main: setting, ribber: other, going: None }, [forward, Cells::NONE]),
            Bed::Ribber => (Course { main: other, ribber: setting, going: None }, [Cells::NONE, forward]),
        };
        all.push(Turn { course, forward, feeds, racking: None, hands });
    }
    if all.is_empty() {
        r.error(Notice::error(n.span, FabricFact::EmptyGrid));
        return None;
    }
    Some(all)
}
