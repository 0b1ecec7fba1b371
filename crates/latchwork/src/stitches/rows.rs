//! Rows: the form of a piece between needles and steps. Every row is one pass with its acts of the hands; rows that are
//! alike are kept as one run, which keeps a long plain piece small. The stretches of a piece become rows; the plan adds
//! cast-on and ending.

use std::sync::Arc;

use super::{By, Go, PieceStitches, Shaped, Slope, WorkedStretch};
use crate::design::{At, CastOn, Change, Closing, Ending, Piece, Waits, Yarns};
use crate::fabric::{Course, Fabric, Layout, Turn};
use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::steps::{Setting, Yarn};

/// A connected part of a piece, from empty needles to secured loops.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// How it begins.
    pub begins: Begins,
    /// Its rows, and the acts of the hands between runs of them.
    pub items: Vec<Item>,
    /// How it ends.
    pub ending: Ending,
}

/// How a section begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Begins {
    /// From empty needles.
    CastOn(CastOn, Layout),
    /// From stitches that waited while the other side of the neck of a stretch was knitted.
    Waiting {
        /// The stretch, by index.
        before: usize,
        /// Which side they are.
        side: Side,
    },
}

/// An item of a section, in order.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Rows of a stretch begin, of one side of it where it is divided.
    Begin(usize, Option<Side>),
    /// The work parts for a neck: its middle is cast off, and the other side waits.
    Part {
        /// The stretch, by index.
        before: usize,
        /// Stitches of the middle.
        middle: u32,
        /// The side that is knitted on.
        side: Side,
    },
    /// Loops go to the needles of this stretch.
    Move {
        /// The stretch, by index.
        before: usize,
        /// Its needles.
        layout: Layout,
    },
    /// Rows.
    Rows(Rows),
    /// A decrease or increase.
    Shape(Shape),
    /// The work parts at a slit: needles are held, so many from the far end.
    Slit {
        /// The stretch, by index.
        before: usize,
        /// How many are held.
        held: u32,
    },
    /// The held side of a slit is taken up, and the other held; so many from the end where it begins.
    OtherSide {
        /// The stretch, by index.
        before: usize,
        /// The side taken up.
        side: Side,
        /// The reading at which the work parted is that many rows back.
        back: u32,
    },
    /// Stitches, counted from 0 at the left, go onto their left-hand neighbours, and their needles stay in work, empty.
    Eyelets(Vec<u32>),
    /// So many stitches from each of these on, counted from 0 at the left, are cast off and as many wound on.
    Buttonholes {
        /// The first of each.
        places: Vec<u32>,
        /// Stitches of each.
        wide: u32,
    },
    /// A row of the edge of another piece, joined to this stretch, is hung on its end needle at this side.
    HangRow {
        /// The stretch, by index.
        stretch: usize,
        /// The side.
        side: Side,
        /// The row, from 1.
        row: u32,
    },
    /// The stitches of the first row are hung on the needles that made them.
    HangFirst,
    /// Needles are held, or return.
    Go {
        /// Which.
        go: Go,
        /// The bed of them; none: every bed in work.
        on: Option<Bed>,
    },
    /// The held needle next to the carriage is wrapped.
    Wrap {
        /// The bed of the held needles; none: every bed in work.
        on: Option<Bed>,
    },
    /// Counter, stitch count and carriage side are stated, to be proven.
    Claim,
}

/// Rows that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    /// What the passes do, in order.
    pub repeat: Repeat,
    /// How many.
    pub count: u32,
    /// Stitch sizes in thirds: main bed, ribber.
    pub dial: (u8, u8),
    /// The yarn in the feeders.
    pub feed: Feed,
    /// Whether the counter counts them.
    pub counted: bool,
    /// Rows of the stretch still to come after these.
    pub left: u32,
}

/// The yarn in the feeders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Feed {
    /// No yarn: a free pass.
    Free,
    /// The current yarn.
    Yarn {
        /// A yarn that needles in forward position take.
        second: Option<Yarn>,
        /// A yarn laid over the needles in forward position.
        laid: Option<Yarn>,
    },
    /// For each yarn of the fabric, one of the design's by index.
    Each(Arc<[usize]>),
}

impl Feed {
    /// The current yarn alone.
    pub const ONE: Feed = Feed::Yarn { second: None, laid: None };
}

/// Passes in order: a fabric's, from a pass of its repeat on, or one pass over and over.
#[derive(Debug, Clone, PartialEq)]
pub enum Repeat {
    /// A fabric's.
    Of {
        /// The fabric.
        fabric: Arc<Fabric>,
        /// The pass of its repeat that comes first.
        from: usize,
    },
    /// The same pass each time.
    Same(Turn),
}

impl Repeat {
    /// The pass of this number, from 0.
    #[must_use]
    pub fn turn(&self, pass: u32) -> &Turn {
        match self {
            Repeat::Of { fabric, from } => &fabric.repeat[(from + pass as usize) % fabric.repeat.len()],
            Repeat::Same(turn) => turn,
        }
    }

    /// Whether the outermost needles knit where needles are brought forward.
    #[must_use]
    pub fn ends_knit(&self) -> bool {
        match self {
            Repeat::Of { fabric, .. } => fabric.ends_knit,
            Repeat::Same(_) => true,
        }
    }
}

/// A decrease or increase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Which of the two.
    pub change: Change,
    /// Stitches at each end.
    pub stitches: u32,
    /// At which ends.
    pub at: At,
    /// How.
    pub by: By,
    /// The layout that new needles follow.
    pub layout: Layout,
}

/// The sections of a piece: one, or one and the second side of its neck.
#[must_use]
pub fn sections(piece: &Piece, stitches: &PieceStitches) -> Vec<Section> {
    let (mut items, mut second) = (Vec::new(), Vec::new());
    let last = stitches.stretches.len().checked_sub(1);
    let mut before: Option<Layout> = None;
    for (i, worked) in stitches.stretches.iter().enumerate() {
        let layout = worked.fabric.layout;
        if before.is_some_and(|b| b != layout) {
            items.push(Item::Move { before: i, layout });
        }
        before = Some(layout);
        let both = (worked.shapings.as_slice(), worked.carriage);
        match &worked.parts {
            None if worked.slit.is_some() => slit(piece, i, worked, &mut items),
            None if worked.short.is_empty() => {
                items.push(Item::Begin(i, None));
                stretch(piece, i, worked, both, &mut items);
            }
            None => {
                items.push(Item::Begin(i, None));
                short_rows(piece, i, worked, &mut items);
            }
            Some(parts) => {
                let (first, middle) = (parts.first, parts.middle);
                items.push(Item::Part { before: i, middle, side: first });
                for side in [first, first.other()] {
                    let items = if side == first { &mut items } else { &mut second };
                    items.push(Item::Begin(i, Some(side)));
                    stretch(piece, i, worked, (parts.of(side), side), items);
                }
            }
        }
    }
    let layout = stitches.stretches.first().map_or(Layout::MAIN, |w| w.fabric.layout);
    let mut all = vec![Section { begins: Begins::CastOn(piece.cast_on, layout), items, ending: piece.ending }];
    if let (Some(before), Some(parts)) = (last, stitches.stretches.last().and_then(|w| w.parts.as_ref())) {
        let begins = Begins::Waiting { before, side: parts.first.other() };
        all.push(Section { begins, items: second, ending: piece.ending });
    }
    all
}

/// The yarns of each run of rows of a stretch: how many rows, or all, and the yarns. None where the piece has one yarn only.
fn feeds(piece: &Piece, i: usize, worked: &WorkedStretch) -> Vec<(Option<u32>, Feed)> {
    let one = |yarn: usize| Feed::Each(Arc::from([yarn]));
    match &piece.stretches[i].yarns {
        Yarns::OfPiece if piece.stretches.iter().all(|s| s.yarns == Yarns::OfPiece) => vec![(None, Feed::ONE)],
        Yarns::OfPiece => vec![(None, one(piece.yarn))],
        Yarns::Each(yarns) => vec![(None, Feed::Each(Arc::clone(yarns)))],
        Yarns::Stripes(all) => {
            let rows = all.iter().zip(&worked.stripes).filter(|(_, rows)| **rows > 0);
            rows.map(|(s, rows)| (Some(*rows), one(s.yarn))).collect()
        }
    }
}

/// The rows of a stretch with a slit: first the side where the carriage is, then the other, then both are together again.
fn slit(piece: &Piece, i: usize, worked: &WorkedStretch, items: &mut Vec<Item>) {
    let left = worked.slit.unwrap_or(0);
    let first = worked.carriage;
    let held = if first == Side::Left { worked.needles - left } else { left };
    items.push(Item::Slit { before: i, held });
    items.push(Item::Begin(i, Some(first)));
    stretch(piece, i, worked, (&[], first), items);
    let back = worked.rows + u32::from(worked.clearing);
    items.push(Item::OtherSide { before: i, side: first.other(), back });
    items.push(Item::Begin(i, Some(first.other())));
    stretch(piece, i, worked, (&[], first.other()), items);
    items.push(Item::Go { go: Go::ReturnAll, on: None });
}

/// The rows of a stretch of short rows.
fn short_rows(piece: &Piece, i: usize, worked: &WorkedStretch, items: &mut Vec<Item>) {
    let s = &piece.stretches[i];
    let on = s.short.as_ref().and_then(|s| s.on);
    let fabric = &worked.fabric;
    let feed = feeds(piece, i, worked).swap_remove(0).1;
    let mut pass = fabric.first(worked.carriage);
    let mut left = worked.rows;
    for row in &worked.short {
        if row.go != Go::Straight {
            items.push(Item::Go { go: row.go, on });
        }
        left -= row.rows;
        if row.rows > 0 {
            let repeat = match on {
                None => Repeat::Of { fabric: Arc::clone(fabric), from: pass % fabric.repeat.len() },
                Some(bed) => Repeat::Same(Turn::whole(Course::on(bed))),
            };
            let (dial, feed) = (s.gauge.dial, feed.clone());
            items.push(Item::Rows(Rows { repeat, count: row.rows, dial, feed, counted: true, left }));
            pass += row.rows as usize;
        }
        if row.wrap {
            items.push(Item::Wrap { on });
        }
    }
    items.push(Item::Claim);
}

/// What is done between rows of a stretch, and the rows before it: holes, shapings, rows of another piece hung.
fn between(
    s: &crate::design::Stretch,
    stretch: usize,
    worked: &WorkedStretch,
    (shapings, carriage): (&[Shaped], Side),
) -> Vec<(u32, Item)> {
    let holes = worked.holes.iter().map(|h| match h.wide {
        1 => (h.after, Item::Eyelets(h.places.clone())),
        wide => (h.after, Item::Buttonholes { places: h.places.clone(), wide }),
    });
    let layout = worked.fabric.layout;
    let shapes = shapings.iter().map(|shaped| {
        let Shaped { row, change, stitches, at, by } = *shaped;
        (row, Item::Shape(Shape { change, stitches, at, by, layout }))
    });
    // Where the carriage is at the joined side, before every second row.
    let hung = s.joined.into_iter().flat_map(|joined| {
        let from = u32::from(carriage != joined.side);
        let item = move |row: u32| (row, Item::HangRow { stretch, side: joined.side, row: row + 1 });
        (from..worked.rows).step_by(2).map(item)
    });
    let side = match &worked.half {
        Some(half) => half.side.other(),
        None => carriage,
    };
    let others = worked.parts.as_ref().is_some_and(|p| p.waits == Waits::Needles && p.first == side);
    let slope = worked.slope(side).into_iter().flat_map(|slope| held_slope(slope, side, others));
    let mut all: Vec<(u32, Item)> = holes.chain(shapes).chain(hung).chain(slope).collect();
    all.sort_by_key(|a| a.0);
    all
}

/// The needles of a sloped shoulder held at this side, with their turns; they return before the last rows. `others`: needles that are
/// held at the other side go on waiting.
fn held_slope(slope: &Slope, side: Side, others: bool) -> Vec<(u32, Item)> {
    let Some(turn) = slope.held else { return Vec::new() };
    let go = |go: Go| Item::Go { go, on: None };
    let mut all = Vec::new();
    for (row, needles) in &slope.groups {
        if turn != Closing::Automatic {
            all.push((*row, go(Go::Hold(side, *needles))));
        } else {
            // The last needle is held after it has knitted: the yarn lies round it.
            all.extend((*needles > 1).then(|| (*row, go(Go::Hold(side, needles - 1)))));
            all.push((row + 1, go(Go::Hold(side, 1))));
        }
        if turn == Closing::Wrap {
            all.push((row + 1, Item::Wrap { on: None }));
        }
    }
    let back = if others { Go::Return(side, slope.most_held()) } else { Go::ReturnAll };
    all.push((slope.back(), go(back)));
    all
}

/// The rows of one stretch with these shapings, the carriage at this side before the first: a run up to each shaping and
/// each change of yarn, and the rows after the last.
fn stretch(
    piece: &Piece,
    i: usize,
    worked: &WorkedStretch,
    (shapings, carriage): (&[Shaped], Side),
    items: &mut Vec<Item>,
) {
    let s = &piece.stretches[i];
    let dial = s.gauge.dial;
    let fabric = &worked.fabric;
    let first = fabric.first(carriage);
    let feeds = feeds(piece, i, worked);
    // The yarns now, and the rows until the next.
    let mut turn = 0;
    let mut until = feeds[0].0;
    let mut last = feeds[0].1.clone();
    let mut done = 0;
    let mut begun = false;
    let mut run = |upto: u32, items: &mut Vec<Item>| {
        while upto > done {
            if !std::mem::replace(&mut begun, true) && worked.fetches.contains(&done) {
                items.push(Item::Rows(Rows {
                    repeat: Repeat::Same(Turn::whole(Course::NONE)),
                    count: 1,
                    dial,
                    feed: Feed::Free,
                    counted: false,
                    left: worked.rows - done,
                }));
            }
            let rows = until.map_or(upto - done, |n| n.min(upto - done));
            let from = (first + done as usize) % fabric.repeat.len();
            let repeat = Repeat::Of { fabric: Arc::clone(fabric), from };
            done += rows;
            let feed = feeds[turn].1.clone();
            last.clone_from(&feed);
            items.push(Item::Rows(Rows { repeat, count: rows, dial, feed, counted: true, left: worked.rows - done }));
            until = until.map(|n| n - rows);
            if until == Some(0) {
                turn = (turn + 1) % feeds.len();
                until = feeds[turn].0;
                begun = false;
            }
        }
    };
    for (row, item) in between(s, i, worked, (shapings, carriage)) {
        run(row, items);
        items.push(item);
    }
    run(worked.rows, items);
    if worked.folded {
        items.push(Item::HangFirst);
    }
    if worked.clearing {
        let both = Course { main: Setting::Knit, ribber: Setting::Knit, going: None };
        let repeat = Repeat::Same(Turn::whole(both));
        items.push(Item::Rows(Rows { repeat, count: 1, dial, feed: last, counted: true, left: 0 }));
    }
    if shapings.last().is_none_or(|s| s.row != worked.rows) {
        items.push(Item::Claim);
    }
}
