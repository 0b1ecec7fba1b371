//! Sections of a design from the steps of pass notes: rows of one fabric, with the shapings, short rows and holes among them.

use latchwork_machine::beds::Beds;
use latchwork_machine::needle::{Needle, Position, Side};
use latchwork_machine::steps::{Action, Leaves};

use super::parted;
use crate::design::{Change, Holes, Piece, Spread};
use crate::fact::PartName;
use crate::notice::Span;
use crate::plan::{PartKind, PiecePlan};
use crate::text::NewNode;
use crate::vocabulary::{SIDES, word_of};

/// A section.
pub(super) struct Section {
    /// The stretch of the notes that its name, fabric and stitch sizes are from.
    pub(super) stretch: usize,
    /// Its rows.
    pub(super) rows: u32,
    /// Needles at its start.
    pub(super) needles: u32,
    /// Its shapings, short rows or holes, as lines of a design.
    pub(super) lines: Vec<NewNode>,
    /// Whether they say its rows.
    pub(super) told: bool,
}

/// What was lost or gained at an end of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Event {
    /// The rows of its section before it.
    pub(super) row: u32,
    pub(super) side: Side,
    pub(super) change: Change,
    pub(super) stitches: u32,
    /// Cast off or on together.
    pub(super) group: bool,
}

/// A row of the notes and what the hands did before it.
#[derive(Debug, Default)]
struct Row {
    of: Of,
    needles: u32,
    events: Vec<Event>,
    /// The first stitches of holes, and how wide they are.
    holes: Option<(Vec<u32>, u32)>,
    /// Needles held at the left and at the right.
    held: [u32; 2],
    /// Where the carriage is before it.
    right: bool,
    /// Whether a needle is wrapped after it.
    wrapped: bool,
    /// The parts that are told by it.
    parts: Vec<usize>,
}

/// What a row belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Of {
    Stretch(usize),
    /// Some needles are held.
    Short,
    /// A row told by its settings, or after the work was divided.
    #[default]
    Other,
}

/// The sections of a piece, and the places of the lines that they carry over.
pub(super) fn sections(piece: &Piece, plan: &PiecePlan) -> (Vec<Section>, Vec<Span>) {
    let (rows, last) = rows(plan);
    let mut found = Folding { piece, all: Vec::new(), carried: Vec::new(), open: None, stretch: None };
    let busy = |k: usize| {
        // Whether shaping goes on in the stretch that begins with this row, or right after it.
        let of = rows[k].of;
        let within = rows[k + 1..].iter().take_while(|r| r.of == of).any(|r| !r.events.is_empty());
        let after = rows[k + 1..].iter().find(|r| r.of != of).map_or(&last.events, |r| &r.events);
        within || !after.is_empty()
    };
    for (k, row) in rows.iter().enumerate() {
        found.row(row, || busy(k));
    }
    found.shape_open(&last);
    found.close();
    if let Some((section, parts)) = parted::neck(piece, plan) {
        found.all.push(section);
        found.carried.extend(parts);
    }
    let spans = found.carried.iter().filter_map(|p| Some(plan.origins.get(*p)?.span)).collect();
    (found.all, spans)
}

/// Whether two stretches of the notes are of one fabric at one stitch size.
pub(super) fn alike(piece: &Piece, a: usize, b: usize) -> bool {
    let of = |k: usize| piece.stretches.get(k).map(|s| (&s.fabric.name, s.gauge.dial));
    of(a) == of(b)
}

/// What happened at the ends of the work between two rows.
pub(super) fn at_the_ends(was: &[Needle], now: &[Needle], beds: &Beds, (off, on): (&[Needle], bool)) -> Vec<Event> {
    let place = |n: &Needle| beds.place(*n);
    let mut all = Vec::new();
    for side in [Side::Left, Side::Right] {
        let beyond = |n: &&Needle, than: &[Needle]| match side {
            Side::Left => than.first().is_some_and(|f| place(n) < place(f)),
            Side::Right => than.last().is_some_and(|l| place(n) > place(l)),
        };
        let count = |of: &[Needle], than: &[Needle]| of.iter().filter(|n| beyond(n, than)).count();
        let (lost, gained) = (count(was, now), count(now, was));
        let group = if lost > 0 { was.iter().any(|n| beyond(&n, now) && off.contains(n)) } else { on };
        let change = if lost > 0 { Change::Decrease } else { Change::Increase };
        let stitches = u32::try_from(lost.max(gained)).unwrap_or(u32::MAX);
        if stitches > 0 {
            all.push(Event { row: 0, side, change, stitches, group });
        }
    }
    all
}

/// The rows of a plan, and what was done after the last.
fn rows(plan: &PiecePlan) -> (Vec<Row>, Row) {
    let mut beds = Beds::of(&plan.plan.steps);
    let mut all: Vec<Row> = Vec::new();
    let mut next = Row::default();
    let (mut was, mut off, mut on): (Vec<Needle>, Vec<Needle>, bool) = (Vec::new(), Vec::new(), false);
    let (mut stretch, mut divided, mut ended) = (None, false, false);
    for step in &plan.plan.steps {
        let origin = step.origin.0 as usize;
        let part = plan.origins.get(origin);
        let kind = part.map(|p| &p.kind);
        if matches!(kind, Some(PartKind::Ending)) && !ended {
            ended = true;
            let now: Vec<Needle> = beds.in_work().map(|n| n.0).collect();
            next.events = at_the_ends(&was, &now, &beds, (&off, on));
        }
        if ended {
            continue;
        }
        if matches!(kind, Some(PartKind::Between { .. })) && !next.parts.contains(&origin) {
            next.parts.push(origin);
        }
        match &step.action {
            Action::Pass(p) if !matches!(kind, None | Some(PartKind::CastOn)) => {
                let now: Vec<(Needle, Position)> = beds.in_work().collect();
                // Without hold, needles in holding position knit.
                let held = |n: &&(Needle, Position)| p.main.hold && n.1 == Position::Holding;
                let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
                next.held =
                    [count(now.iter().take_while(held).count()), count(now.iter().rev().take_while(held).count())];
                let named = |name: PartName| part.is_some_and(|p| p.name == name);
                let filled = named(PartName::RowForNew);
                if let Some(PartKind::Stretch { index, .. }) = kind {
                    stretch = Some(*index);
                }
                next.of = match (kind, stretch) {
                    _ if divided => Of::Other,
                    // The last to return knits with all.
                    (_, Some(_)) if next.held != [0, 0] || named(PartName::ShortRows) => Of::Short,
                    (Some(PartKind::Stretch { index, .. }), _) => Of::Stretch(*index),
                    (_, Some(index)) if filled => Of::Stretch(index),
                    _ => Of::Other,
                };
                let now: Vec<Needle> = now.into_iter().map(|n| n.0).collect();
                if !was.is_empty() {
                    next.events = at_the_ends(&was, &now, &beds, (&off, on));
                }
                next.needles = count(now.len());
                next.right = beds.carriage() == Side::Right;
                was = now;
                (off, on) = (Vec::new(), false);
                all.push(std::mem::take(&mut next));
            }
            Action::Secure { needles, .. } => off.extend(needles),
            Action::Wrap { needles, cut_length: true, .. } => {
                off.retain(|n| !needles.contains(n));
                hole(&mut next, &was, needles);
            }
            Action::Wrap { .. } => on = true,
            Action::Transfer(m) if m.leaves == Leaves::Eyelet => hole(&mut next, &was, &[m.from]),
            Action::TurnWrap { .. } => {
                if let Some(row) = all.last_mut() {
                    row.wrapped = true;
                }
            }
            Action::TakeOff { .. } => divided = true,
            _ => {}
        }
        beds.step(&step.action);
    }
    (all, next)
}

/// A hole over these needles of a row.
fn hole(row: &mut Row, was: &[Needle], needles: &[Needle]) {
    let first = needles.iter().filter_map(|n| was.iter().position(|w| w == n)).min();
    let wide = u32::try_from(needles.len()).unwrap_or(u32::MAX);
    if let Some(first) = first.and_then(|f| u32::try_from(f).ok()) {
        let holes = row.holes.get_or_insert((Vec::new(), wide));
        // Holes of several widths are no row of them.
        holes.1 = if holes.1 == wide { wide } else { 0 };
        holes.0.push(first);
    }
}

/// A section that is still growing.
struct Open {
    stretch: usize,
    rows: u32,
    needles: u32,
    events: Vec<Event>,
    holes: Option<(u32, Vec<u32>, u32)>,
    /// Its rows, where needles are held.
    short: Vec<([u32; 2], bool, bool)>,
    /// Parts that its line will carry.
    parts: Vec<usize>,
}

struct Folding<'a> {
    piece: &'a Piece,
    all: Vec<Section>,
    carried: Vec<usize>,
    open: Option<Open>,
    /// The stretch knitted last.
    stretch: Option<usize>,
}

impl Folding<'_> {
    fn row(&mut self, row: &Row, busy: impl Fn() -> bool) {
        match row.of {
            Of::Other => self.close(),
            Of::Short => {
                if self.open.as_ref().is_none_or(|o| o.short.is_empty()) {
                    self.begin(self.stretch.unwrap_or(0), row.needles);
                }
                if let Some(open) = &mut self.open {
                    open.short.push((row.held, row.right, row.wrapped));
                    open.parts.extend(&row.parts);
                    open.rows += 1;
                }
            }
            Of::Stretch(index) => {
                let goes_on = self.stretch == Some(index) && self.open.as_ref().is_some_and(|o| o.short.is_empty());
                if !goes_on {
                    self.next_stretch(index, row, busy);
                } else if !row.events.is_empty() {
                    self.shape_open(row);
                }
                self.stretch = Some(index);
                if let Some(open) = &mut self.open {
                    open.rows += 1;
                }
            }
        }
    }

    /// The next stretch of the notes: the section goes on, or another begins.
    fn next_stretch(&mut self, index: usize, row: &Row, busy: impl Fn() -> bool) {
        let s = &self.piece.stretches;
        let unnamed = s[index].name == s[index].fabric.name;
        let same =
            unnamed && self.open.as_ref().is_some_and(|o| o.short.is_empty() && alike(self.piece, o.stretch, index));
        let shaped = self.open.as_ref().is_some_and(|o| !o.events.is_empty());
        let group = row.events.iter().any(|e| e.group);
        let before = row.events.iter().filter(|e| e.change == Change::Decrease);
        let lost: u32 = before.map(|e| e.stitches).sum();
        if same && !shaped && row.holes.is_some() && row.events.is_empty() {
            self.part_from_holes();
        }
        if let (Some(open), Some((places, wide)), true) = (&mut self.open, &row.holes, same && !shaped)
            && row.events.is_empty()
            && open.holes.is_none()
        {
            open.holes = Some((open.rows, places.clone(), *wide));
            open.parts.extend(&row.parts);
        } else if same && shaped && group {
            self.shape_open(row);
        } else if !group && !row.events.is_empty() {
            let goes_on = same && busy();
            self.shape_open(row);
            if !goes_on {
                self.begin(index, row.needles);
            }
        } else {
            self.begin(index, row.needles + lost);
            self.shape_open(row);
        }
    }

    /// What happened at the ends is of the section that is open.
    fn shape_open(&mut self, row: &Row) {
        if !row.events.is_empty() {
            self.part_from_holes();
        }
        if let Some(open) =
            self.open.as_mut().filter(|o| o.short.is_empty() && o.holes.is_none() && !row.events.is_empty())
        {
            let rows = open.rows;
            open.events.extend(row.events.iter().map(|e| Event { row: rows, ..*e }));
            open.parts.extend(&row.parts);
        }
    }

    /// A section with holes takes neither shaping nor other holes: it ends with their row, and another begins.
    fn part_from_holes(&mut self) {
        let Some(open) = self.open.as_mut() else { return };
        let Some((after, ..)) = open.holes.as_ref().filter(|h| open.rows > h.0 + 1) else { return };
        let (rest, stretch, needles) = (open.rows - after - 1, open.stretch, open.needles);
        open.rows -= rest;
        self.begin(stretch, needles);
        if let Some(open) = &mut self.open {
            open.rows = rest;
        }
    }

    fn begin(&mut self, stretch: usize, needles: u32) {
        self.close();
        let (events, short, parts) = (Vec::new(), Vec::new(), Vec::new());
        self.open = Some(Open { stretch, rows: 0, needles, events, holes: None, short, parts });
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let line = match &open.holes {
            _ if !open.short.is_empty() => short_rows(&open.short),
            Some((after, places, wide)) if open.events.is_empty() => holes(*after, places, *wide, open.needles),
            _ => shaping(&open.events),
        };
        if line.is_some() {
            self.carried.extend(&open.parts);
        }
        let told = !open.short.is_empty();
        if told && line.is_none() {
            return;
        }
        let Open { stretch, rows, needles, .. } = open;
        self.all.push(Section { stretch, rows, needles, lines: line.into_iter().collect(), told });
    }
}

/// Holes as a line; none where they are not spread as buttonholes or eyelets are.
fn holes(after: u32, places: &[u32], wide: u32, needles: u32) -> Option<NewNode> {
    let mut places = places.to_vec();
    places.sort_unstable();
    let (count, ends) = (u32::try_from(places.len()).ok()?, *places.first()?);
    let of = |spread| Holes { span: Span::default(), spread, after, ends, wide };
    let near = |spread| {
        let spread: Vec<u32> = of(spread).places(needles)?;
        let all = spread.len() == places.len() && spread.iter().zip(&places).all(|(a, b)| a.abs_diff(*b) <= 1);
        all.then_some(())
    };
    let node = if near(Spread::Count(count)).is_some() {
        NewNode::new("buttonholes").number(count).pair("after", after)
    } else {
        let every = places.get(1)? - ends;
        (wide == 1 && every > 1).then(|| near(Spread::Every(every)))??;
        NewNode::new("eyelets").pair("every", every).pair("after", after)
    };
    let node = node.pair("ends", ends);
    (wide > 0).then(|| if wide > 1 { node.pair("wide", wide) } else { node })
}

/// Shapings as a line; none where the two ends differ, or the tool shapes by several numbers of stitches.
pub(super) fn shaping(events: &[Event]) -> Option<NewNode> {
    let at = |side: Side| events.iter().filter(move |e| e.side == side).collect::<Vec<&Event>>();
    let (left, right) = (at(Side::Left), at(Side::Right));
    let change = events.first()?.change;
    let alike = |(a, b): (&&Event, &&Event)| {
        // A group at the other end is cast off a row later.
        let near = a.row.abs_diff(b.row) <= u32::from(a.group);
        near && (a.stitches, a.group) == (b.stitches, b.group)
    };
    let (steps, side) = match (left.is_empty(), right.is_empty()) {
        (false, true) => (left, Some(Side::Left)),
        (true, _) => (right, Some(Side::Right)),
        _ if left.len() == right.len() && left.iter().zip(&right).all(alike) => {
            let earlier = left.iter().zip(&right).map(|(a, b)| if a.row <= b.row { *a } else { *b });
            (earlier.collect(), None)
        }
        _ => return None,
    };
    let (by, runs) = runs(&steps, change)?;
    let node = NewNode::new(word_of(&Change::WORDS, change)).number(by);
    let end = side.map(|side| NewNode::new("at").text(word_of(&SIDES, side)));
    if let [(every, None, times)] = runs[..] {
        return Some(node.pair("every", every).pair("times", times).with_all(end).on_one_line());
    }
    Some(node.with_all(steps_of(runs, change)).with_all(end).on_one_line())
}

/// Rows before a shaping, the group that it casts off or on, and how often so.
type Run = (u32, Option<u32>, u32);

/// The stitches shaped at a time at an end, and its shapings in runs; none where the tool shapes by several numbers of stitches, or they
/// go both ways.
pub(super) fn runs(steps: &[&Event], change: Change) -> Option<(u32, Vec<Run>)> {
    let by = steps.iter().find(|e| !e.group).map_or(1, |e| e.stitches);
    if steps.iter().any(|e| e.change != change || (!e.group && (e.stitches != by || e.row == 0))) {
        return None;
    }
    let mut row = 0;
    let mut runs: Vec<Run> = Vec::new();
    for e in steps {
        let every = e.row - std::mem::replace(&mut row, e.row);
        let group = e.group.then_some(e.stitches);
        match runs.last_mut() {
            Some(last) if (last.0, last.1) == (every, group) && every > 0 => last.2 += 1,
            Some(_) if every == 0 => return None,
            _ => runs.push((every, group, 1)),
        }
    }
    Some((by, runs))
}

/// Runs of shapings as lines.
pub(super) fn steps_of(runs: Vec<Run>, change: Change) -> impl Iterator<Item = NewNode> {
    runs.into_iter().map(move |(every, group, times)| match group {
        Some(n) if every == 0 => NewNode::new(change.groups()).number(n),
        _ => {
            let then = NewNode::new("then").pair("every", every);
            let then = if let Some(n) = group { then.pair(change.groups(), n) } else { then };
            then.pair("times", times)
        }
    })
}

/// What is done before rows of which some needles are held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Going {
    /// Needles held, or returned.
    back: bool,
    needles: u32,
    side: Side,
    rows: u32,
}

/// Short rows as a line; none where needles of both ends go at once, or some that the carriage has just knitted are held.
fn short_rows(rows: &[([u32; 2], bool, bool)]) -> Option<NewNode> {
    let mut all: Vec<Going> = Vec::new();
    let mut held = [0; 2];
    for (now, right, _) in rows {
        let differ = [0, 1].map(|k: usize| now[k] != held[k]);
        match differ {
            [true, true] => return None,
            [false, false] => all.last_mut()?.rows += 1,
            _ => {
                let k = usize::from(differ[1]);
                let side = if k == 0 { Side::Left } else { Side::Right };
                let away = (side == Side::Left) == *right;
                let back = now[k] < held[k];
                if !away {
                    return None;
                }
                all.push(Going { back, needles: now[k].abs_diff(held[k]), side, rows: 1 });
            }
        }
        held = *now;
    }
    let mut lines: Vec<(Going, u32)> = Vec::new();
    for going in all {
        let alternate = |a: &Going| a.rows == 1 && going.rows == 1;
        let same = |a: &Going| (a.back, a.needles) == (going.back, going.needles);
        match lines.last_mut() {
            // One end after the other, a row each.
            Some((last, times))
                if same(last) && alternate(last) && (last.side == going.side) == times.is_multiple_of(2) =>
            {
                *times += 1;
            }
            Some((last, times)) if *last == going => *times += 1,
            _ => lines.push((going, 1)),
        }
    }
    let turn = if rows.iter().any(|r| r.2) { None } else { Some("open") };
    let node = NewNode::new("short-rows");
    let node = if let Some(turn) = turn { node.text_pair("turn", turn) } else { node };
    Some(node.with_all(lines.into_iter().map(|(going, times)| {
        let line = NewNode::new(if going.back { "return" } else { "hold" }).number(going.needles);
        let line = match going.rows {
            1 => line,
            rows => line.text_pair("at", word_of(&SIDES, going.side)).pair("every", rows),
        };
        line.pair("times", times)
    })))
}
