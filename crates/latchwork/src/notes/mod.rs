//! A knitter's pass notes: a head as in a design (machine, yarn, swatches), then `notes "NAME"` and lines in trade terms.
//! What they leave out (settings, sides, weights, first loops) is filled in and reported.

mod line;
mod needles;
mod grammar;
mod rows;
mod parted;
mod read;
mod set_up;
mod scribe;
mod hands;
mod yarns;
mod endings;
mod restate;
mod sections;

use std::sync::Arc;

use latchwork_machine::needle::{Needle, Pitch, Side, Slot};
use latchwork_machine::steps::{Leaves, Setting, Way};

use crate::design::{At, Change, Design, Shelf};
use crate::draft::Draft;
use crate::fabric::{Course, Ends, Fabric};
use crate::fact::NotesFact;
use crate::notice::{Notice, Notices, Span};
use crate::plan::Plans;
use crate::stitches::Stitches;

pub use restate::{not_carried, restated};

/// The name of the only size of pass notes.
pub const ONE_SIZE: &str = "one size";

/// Pass notes worked out: a design of one size, with their plan.
#[derive(Debug, Clone)]
pub struct Noted {
    /// The head, and each piece with its stretches as knitted.
    pub design: Design,
    /// What was knitted, taken as the target.
    pub draft: Draft,
    /// Needles and rows.
    pub stitches: Stitches,
    /// The steps.
    pub plans: Plans,
    /// Whether every fabric knitted has a swatch.
    pub swatched: bool,
}

/// Whether a document is pass notes rather than a design: one of its lines begins with the word `notes`.
#[must_use]
pub fn is_notes(source: &str) -> bool {
    read::bodies(source).next().is_some()
}

/// Reads pass notes. All faults in the head and the first fault in each piece are reported.
#[must_use]
pub fn from_text(source: &str) -> (Option<Noted>, Notices) {
    from_text_with(source, &Shelf::default())
}

/// As [`from_text`], with the swatches of the shared book.
#[must_use]
pub fn from_text_with(source: &str, shelf: &Shelf) -> (Option<Noted>, Notices) {
    let mut notices = Notices::default();
    let noted = read::noted(source, shelf, &mut notices);
    notices.0.sort_by_key(|n| n.span.map(|s| s.start));
    (noted.filter(|_| !notices.has_error()), notices)
}

/// Needles as a line names them.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Pick {
    /// All that carry loops.
    All,
    /// The half left or right of the centre of the work.
    Half(Side),
    /// A number of needles at an end.
    AtEnd(usize, Side),
    /// Needles by name.
    These(Vec<Needle>),
}

/// What a run of rows knits.
#[derive(Debug, Clone, PartialEq)]
enum Knits {
    /// The same as before.
    Same,
    /// A fabric.
    Fabric(Arc<Fabric>),
    /// Settings in order.
    Courses(Vec<Course>),
    /// By the selection: chosen needles come forward before each pass; the others slip or tuck, or there is another yarn.
    Selected(Setting, Option<Other>),
    /// Nothing: a free pass.
    Free,
}

/// Another yarn besides the one in the feeder.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Other {
    /// The chosen needles knit it.
    Second(String),
    /// It is laid over the chosen needles and under the others.
    Laid(String),
}

/// What a line asks for.
#[derive(Debug, Clone, PartialEq)]
enum Asked {
    Carriage(Side),
    Stand(Option<Pitch>, Option<i8>),
    StitchSize(u8, Option<u8>),
    CastOn {
        needles: u32,
        fabric: Option<Arc<Fabric>>,
        ends: Option<Ends>,
        how: How,
        from: Option<Slot>,
        tubular: u32,
    },
    Rows {
        n: u32,
        knits: Knits,
        dial: Option<(u8, Option<u8>)>,
        yarn: Option<String>,
        counted: bool,
    },
    /// Rows up to a counter reading.
    RowsTo(u32),
    Shape {
        change: Change,
        stitches: u32,
        at: At,
        every: Option<(u32, u32)>,
    },
    Hold(Pick),
    Forward(Pick),
    BackToWork(Pick),
    IntoWork(Vec<Needle>),
    OutOfWork(Vec<Needle>),
    HoldSwitch(bool),
    ShortRows {
        n: usize,
        times: u32,
        wrapped: bool,
        back: bool,
    },
    Move {
        from: Vec<Needle>,
        to: Vec<Needle>,
        leaves: Leaves,
    },
    RibberToMain,
    Cross(Vec<Needle>, Vec<Needle>),
    Drop {
        needles: Vec<Needle>,
        stay: bool,
    },
    TakeOff(Pick, u8),
    PutBack(u8, Vec<Needle>),
    HangRow(Option<u32>),
    HangEdge {
        places: Vec<u32>,
        on: Vec<Needle>,
    },
    WrapNeedle(Needle),
    WrapNew(Vec<Needle>),
    Buttonhole(Vec<Needle>),
    UseYarn(String),
    CutYarn(Option<String>),
    Weights(u32),
    NoWeights,
    BindOff {
        pick: Option<Pick>,
        way: Way,
        dial: Option<u8>,
    },
    WasteOff(u32),
    Point,
    Counter(u32),
    Reads(u32),
    Stitches(u32),
    Total(u32),
    Select(Vec<String>),
    RibberDown,
    RibberUp,
}

/// How a piece is cast on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    /// As its fabric needs: closed for two beds, e-wrapped for one.
    Usual,
    /// Waste yarn and ravel cord first.
    Waste,
    /// Each needle e-wrapped.
    Wrapped,
    /// One row laid over the empty needles, held by the comb.
    Open,
}

/// A line understood.
#[derive(Debug, Clone, PartialEq)]
struct Note {
    span: Span,
    /// The knitter's name for it, before a colon.
    label: Option<String>,
    asked: Asked,
}

/// A fault of one line.
type LineFault = Box<Notice>;

fn fault(span: Span, fact: NotesFact) -> LineFault {
    Box::new(Notice::error(span, fact))
}
