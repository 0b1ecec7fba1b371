//! Rows: what a piece is between needles and steps. Every row is one pass with what the hands do about it; rows that go on
//! alike are kept as one run, so that a long plain piece stays small. The stretches of
//! a piece are said in these; the plan puts its cast-on and ending around them.

use std::sync::Arc;

use super::{PieceStitches, WorkedStretch};
use crate::design::{At, CastOn, Change, Ending, Piece};
use crate::fabric::{Course, Fabric, Layout, Turn};
use latchwork_machine::steps::{Setting, Yarn};

/// A connected part of a piece, from needles that were empty to loops made fast.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// How it begins.
    pub cast_on: CastOn,
    /// The needles that it begins on.
    pub layout: Layout,
    /// Its rows, and what the hands do between runs of them.
    pub items: Vec<Item>,
    /// How it ends.
    pub ending: Ending,
}

/// What follows what in a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Rows of this stretch begin.
    Begin(usize),
    /// Loops go to the needles that this stretch stands on.
    Move {
        /// The stretch, by index.
        before: usize,
        /// Its needles.
        layout: Layout,
    },
    /// Rows.
    Rows(Rows),
    /// The carriage stands so, and so many loops hang: to be proven.
    Claim,
}

/// Rows that go on alike, and what is done at the ends after the last of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    /// What the passes do, in turn.
    pub repeat: Repeat,
    /// How many.
    pub count: u32,
    /// Stitch sizes in thirds: main bed, ribber.
    pub dial: (u8, u8),
    /// What is in the feeders.
    pub feed: Feed,
    /// Whether the counter sees them.
    pub counted: bool,
    /// Rows of the stretch still to come after these.
    pub left: u32,
    /// What is done at the ends after the last.
    pub then: Option<Shape>,
}

/// What is in the feeders.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feed {
    /// Nothing: the carriage moves across.
    Free,
    /// The yarn in hand.
    Yarn {
        /// One that needles which are forward take.
        second: Option<Yarn>,
        /// One laid over the forward needles.
        laid: Option<Yarn>,
    },
}

impl Feed {
    /// The yarn in hand and no other.
    pub const ONE: Feed = Feed::Yarn { second: None, laid: None };
}

/// Passes in turn: those of a fabric from one of its repeat on, or one pass over and over.
#[derive(Debug, Clone, PartialEq)]
pub enum Repeat {
    /// A fabric's.
    Of {
        /// The fabric.
        fabric: Arc<Fabric>,
        /// Which pass of its repeat comes first.
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

/// A piece made narrower or wider.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Which of the two.
    pub change: Change,
    /// By how many stitches at an end.
    pub stitches: u32,
    /// At which ends.
    pub at: At,
    /// As which needles new ones come in.
    pub layout: Layout,
}

/// The sections of a piece, of which there is one as long as nothing divides.
#[must_use]
pub fn sections(piece: &Piece, stitches: &PieceStitches) -> Vec<Section> {
    let mut items = Vec::new();
    let mut before: Option<Layout> = None;
    for (i, worked) in stitches.stretches.iter().enumerate() {
        let layout = piece.stretches[i].fabric.layout;
        if before.is_some_and(|b| b != layout) {
            items.push(Item::Move { before: i, layout });
        }
        before = Some(layout);
        items.push(Item::Begin(i));
        stretch(piece, i, worked, &mut items);
    }
    let layout = piece.stretches.first().map_or(Layout::MAIN, |s| s.fabric.layout);
    vec![Section { cast_on: piece.cast_on, layout, items, ending: piece.ending }]
}

/// The rows of one stretch: a run up to each shaping, and what is left.
fn stretch(piece: &Piece, i: usize, worked: &WorkedStretch, items: &mut Vec<Item>) {
    let s = &piece.stretches[i];
    let dial = s.gauge.dial;
    let first = s.fabric.first(worked.carriage);
    let shape = s.shaping.as_ref().map(|sh| Shape {
        change: sh.change,
        stitches: sh.stitches,
        at: sh.at,
        layout: s.fabric.layout,
    });
    let mut done = 0;
    let mut run = |upto: u32, then: Option<Shape>| {
        if upto > done {
            let from = (first + done as usize) % s.fabric.repeat.len();
            let repeat = Repeat::Of { fabric: Arc::clone(&s.fabric), from };
            items.push(Item::Rows(Rows {
                repeat,
                count: upto - done,
                dial,
                feed: Feed::ONE,
                counted: true,
                left: worked.rows - upto,
                then,
            }));
            done = upto;
        }
    };
    worked.shapings.iter().for_each(|row| run(*row, shape));
    run(worked.rows, None);
    if worked.clearing {
        let both = Course { main: Setting::Knit, ribber: Setting::Knit, going: None };
        let repeat = Repeat::Same(Turn::whole(both));
        items.push(Item::Rows(Rows { repeat, count: 1, dial, feed: Feed::ONE, counted: true, left: 0, then: None }));
    }
    if worked.shapings.last() != Some(&worked.rows) {
        items.push(Item::Claim);
    }
}
