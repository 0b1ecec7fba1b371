//! Fabrics as data: which needles are in work, what each pass of the repeat does, the beds of the end needles. The code
//! knows none by name: the built-in fabrics are documents like an author's own.

mod acts;
mod drawn;
mod layout;
mod passes;
mod read;
mod sample;
mod spans;

use std::sync::{Arc, LazyLock};

use latchwork_machine::needle::{Bed, Racking, Side};
use latchwork_machine::steps::Setting;

use crate::notice::{Notices, Span};

pub use drawn::{AtCell, NotPunched, Risk, risks};
pub use layout::{Begun, Cells, Ends, Layout, left_end};
pub(crate) use read::fabrics;
pub use read::from_text;
pub use sample::{SAMPLE, bench};
pub use spans::Lies;

/// The settings of both beds in a pass, each bed as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Course {
    /// What the main bed does.
    pub main: Setting,
    /// What the ribber does.
    pub ribber: Setting,
    /// The only direction in which it may be knitted, if it matters.
    pub going: Option<Side>,
}

impl Course {
    /// The main bed knits and the ribber slips.
    pub const MAIN: Course = Course { main: Setting::Knit, ribber: Setting::Slip, going: None };
    /// Both beds slip.
    pub const NONE: Course = Course { main: Setting::Slip, ribber: Setting::Slip, going: None };

    /// One bed knits and the other slips.
    #[must_use]
    pub fn on(bed: Bed) -> Course {
        match bed {
            Bed::Main => Course::MAIN,
            Bed::Ribber => Course { main: Setting::Slip, ribber: Setting::Knit, going: None },
        }
    }

    /// What a bed does.
    #[must_use]
    pub fn of(self, bed: Bed) -> Setting {
        match bed {
            Bed::Main => self.main,
            Bed::Ribber => self.ribber,
        }
    }
}

/// An act of the hands before a pass of a repeat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// Loops dropped, down to where the needle came into work; the needles then take new ones.
    LetOff {
        /// The bed.
        bed: Bed,
        /// The places.
        cells: Cells,
    },
    /// Stitches transferred along their bed; the emptied needles stay in work for eyelets.
    Eyelet {
        /// The bed.
        bed: Bed,
        /// The places.
        cells: Cells,
        /// The number of needles, positive to the right.
        by: i8,
    },
    /// Pairs of neighbouring groups of stitches that change places.
    Cross {
        /// The bed.
        bed: Bed,
        /// The first needle of each crossing.
        cells: Cells,
        /// Needles in each group.
        group: u8,
        /// Whether the right group lies on top.
        right_over: bool,
    },
}

impl Hand {
    /// Its places.
    #[must_use]
    pub fn cells(self) -> Cells {
        match self {
            Hand::LetOff { cells, .. } | Hand::Eyelet { cells, .. } | Hand::Cross { cells, .. } => cells,
        }
    }
}

/// The yarns of a pass, each by its number among those of the fabric, from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Feeds {
    /// The yarn in the feeder.
    pub first: u8,
    /// The yarn that needles in forward position take.
    pub second: Option<u8>,
    /// The yarn laid over needles in forward position.
    pub laid: Option<u8>,
}

impl Feeds {
    /// The numbers of the yarns.
    pub fn numbers(self) -> impl Iterator<Item = u8> {
        std::iter::once(self.first).chain(self.second).chain(self.laid)
    }
}

/// One pass of a repeat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// The settings of the carriages.
    pub course: Course,
    /// Needles brought forward before it, which knit whatever the setting, main bed and ribber.
    pub forward: [Cells; 2],
    /// Its yarns.
    pub feeds: Feeds,
    /// The racking for it; unchanged where the fabric does not say.
    pub racking: Option<Racking>,
    /// Acts of the hands before it.
    pub hands: Vec<Hand>,
}

impl Turn {
    /// A pass in which each bed does one thing.
    #[must_use]
    pub fn whole(course: Course) -> Turn {
        Turn { course, forward: [Cells::NONE; 2], feeds: Feeds::default(), racking: None, hands: Vec::new() }
    }

    /// What the needle of a bed at this place does.
    #[must_use]
    pub fn does(&self, bed: Bed, place: i16) -> Setting {
        if self.forward[bed.index()].has(place) { Setting::Knit } else { self.course.of(bed) }
    }

    /// Whether needles are brought forward for it.
    #[must_use]
    pub fn selects(&self) -> bool {
        self.forward.iter().any(|c| !c.none())
    }
}

/// A fabric at rest: constants that relate the yarn in a loop to gauge, published and derived. A loop is made by one
/// needle in one pass; tucks count as loops.
#[derive(Debug, Clone, PartialEq)]
pub struct Relaxed {
    /// Yarn of a loop over the width of one needle of both beds.
    pub width: f64,
    /// Yarn of a loop over the length of one pass.
    pub length: f64,
    /// The doubt of both, as a share.
    pub doubt: f64,
    /// Least and most of the square of a loop's yarn over the area of one needle and pass, as measured.
    pub area: (f64, f64),
    /// Usual tightness on a home machine: the root of tex over millimetres of yarn in a loop.
    pub tightness: f64,
    /// Washed over rested: needles and passes in a length, if known.
    pub washed: Option<(f64, f64)>,
    /// Where the constants come from.
    pub source: String,
}

/// A fabric.
#[derive(Debug, Clone, PartialEq)]
pub struct Fabric {
    /// The name printed.
    pub name: String,
    /// Other names that knitters use for it.
    pub also: Vec<String>,
    /// The group that it is listed in.
    pub kind: String,
    /// Its place in its document.
    pub span: Span,
    /// The file of the author's own fabrics that it comes from; empty for built-in fabrics and those of the design.
    pub from: String,
    /// Needles.
    pub layout: Layout,
    /// The passes of one repeat.
    pub repeat: Vec<Turn>,
    /// Whether the outermost needles knit in a pass for which needles are brought forward.
    pub ends_knit: bool,
    /// The beds that its ends may have, usual ones first.
    pub ends: Vec<Ends>,
    /// Stitches that may be decreased at an end at once.
    pub narrow: Vec<u32>,
    /// Stitches that may be increased at an end at once.
    pub widen: Vec<u32>,
    /// Why it is not shaped, if it is not.
    pub unshaped: Option<String>,
    /// The usual difference in stitch size from stocking stitch of the same yarn, in thirds: a habit, not a rule.
    pub habit_thirds: i8,
    /// How far it stretches in width without harm, as a share of its width at rest; a stretched swatch replaces it.
    pub stretch: f64,
    /// Its constants at rest, if known.
    pub relaxed: Option<Relaxed>,
    /// Whether its public side is the one that faces the knitter.
    pub public_near: bool,
    /// One sentence about the fabric.
    pub cloth: String,
}

/// The built-in fabrics in listed order, from the documents inside the program.
static BUILT_IN: LazyLock<Vec<Arc<Fabric>>> = LazyLock::new(|| {
    let mut all = Vec::new();
    for text in [
        include_str!("library/plain.kdl"),
        include_str!("library/ribs.kdl"),
        include_str!("library/more.kdl"),
        include_str!("library/patterns.kdl"),
    ] {
        let found = from_text(text, &all, "", &mut Notices::default());
        all.extend(found);
    }
    all
});

/// The built-in fabrics.
#[must_use]
pub fn built_in() -> &'static [Arc<Fabric>] {
    &BUILT_IN
}

/// The built-in fabric of this name or synonym.
#[must_use]
pub fn find(name: &str) -> Option<&'static Arc<Fabric>> {
    find_in(built_in(), name)
}

/// The fabric of this name or synonym among these.
#[must_use]
pub fn find_in<'f>(all: &'f [Arc<Fabric>], name: &str) -> Option<&'f Arc<Fabric>> {
    let fold = |n: &str| n.to_lowercase().replace('\u{d7}', "x");
    let name = fold(name);
    all.iter().find(|f| fold(&f.name) == name || f.also.iter().any(|a| fold(a) == name))
}

/// After how many two repeats begin again together: the least common multiple.
#[must_use]
pub fn together(a: u32, b: u32) -> u32 {
    (1..=b).map(|k| a * k).find(|n| n.is_multiple_of(b)).unwrap_or(a)
}

impl Fabric {
    /// How many yarns it takes.
    #[must_use]
    pub fn yarns(&self) -> usize {
        let numbers = self.repeat.iter().flat_map(|t| t.feeds.numbers());
        numbers.max().map_or(1, |n| usize::from(n) + 1)
    }

    /// Passes of which a stretch must be a multiple.
    #[must_use]
    pub fn row_multiple(&self) -> u32 {
        u32::try_from(self.repeat.len()).unwrap_or(1).max(1)
    }

    /// Whether any of its passes goes one way only.
    #[must_use]
    pub fn one_way(&self) -> bool {
        self.repeat.iter().any(|t| t.course.going.is_some())
    }

    /// The first pass of the repeat with the carriage at `side`.
    #[must_use]
    pub fn first(&self, side: Side) -> usize {
        self.repeat.iter().position(|t| t.course.going.is_none_or(|g| g != side)).unwrap_or(0)
    }

    /// The turn of pass `pass` (from 0) of a stretch begun with the carriage at `side`.
    #[must_use]
    pub fn turn(&self, side: Side, pass: u32) -> &Turn {
        &self.repeat[(self.first(side) + pass as usize) % self.repeat.len()]
    }

    /// Places after which needles and passes begin again.
    #[must_use]
    pub fn period(&self) -> u32 {
        let hands = self.repeat.iter().flat_map(|t| &t.hands).map(|h| h.cells());
        let all = self.repeat.iter().flat_map(|t| t.forward).chain(hands).map(Cells::period);
        all.fold(self.layout.period(), together).min(4096)
    }

    /// Its needles within one period: bed and place.
    fn needles(&self) -> impl Iterator<Item = (Bed, i16)> {
        let (layout, period) = (self.layout, i16::try_from(self.period()).unwrap_or(1));
        Bed::BOTH
            .into_iter()
            .flat_map(move |b| (0..period).map(move |p| (b, p)))
            .filter(move |(b, p)| layout.in_work(*b, *p))
    }

    /// Whether any needle ends on a tuck after `passes` passes begun with this pass of the repeat.
    fn open(&self, first: usize, passes: u32) -> bool {
        let did = |needle: (Bed, i16)| {
            (0..passes)
                .rev()
                .map(|i| self.repeat[(first + i as usize) % self.repeat.len()].does(needle.0, needle.1))
                .find(|s| *s != Setting::Slip)
        };
        self.needles().any(|n| did(n) == Some(Setting::Tuck))
    }

    /// Whether there are open tucks after `passes` passes.
    #[must_use]
    pub fn open_after(&self, side: Side, passes: u32) -> bool {
        self.open(self.first(side), passes)
    }

    /// Whether some needle ends on a tuck after every pass.
    #[must_use]
    pub fn always_open(&self) -> bool {
        let many = 2 * self.row_multiple();
        (many..many + self.row_multiple()).all(|passes| self.open(0, passes))
    }

    /// Whether every needle knits in every pass.
    #[must_use]
    pub fn knits_all(&self) -> bool {
        let knits = |t: &Turn, (b, p)| t.does(b, p) == Setting::Knit;
        self.repeat.iter().all(|t| self.needles().all(|n| knits(t, n)))
    }

    /// Whether some of its needles can knit while the others are held: none is brought forward or moved, and none tucks, so that a
    /// row may end on any of them.
    #[must_use]
    pub fn parts_anywhere(&self) -> bool {
        let by_hand = |t: &Turn| t.selects() || !t.hands.is_empty();
        let tucks = |t: &Turn| self.needles().any(|(b, p)| t.does(b, p) == Setting::Tuck);
        !self.repeat.iter().any(|t| by_hand(t) || tucks(t))
    }

    /// The fewest stitches by which an end is shaped, if it is.
    #[must_use]
    pub fn shaped_by(&self, narrower: bool) -> Option<u32> {
        if narrower { &self.narrow } else { &self.widen }.iter().min().copied()
    }

    /// Whether a group of its stitches can be cast off at an end: the ribber's go to the empty needles beside them first.
    #[must_use]
    pub fn casts_off_groups(&self) -> bool {
        self.layout.by_turns() && !self.by_hand()
    }

    /// Whether needles are brought forward, stitches moved or the ribber racked in any of its passes.
    #[must_use]
    pub fn by_hand(&self) -> bool {
        self.repeat.iter().any(|t| t.selects() || !t.hands.is_empty() || t.racking.is_some())
    }

    /// Whether some of its needles can be held in any of its rows: all knit in every row, with no work by hand.
    #[must_use]
    pub fn holds(&self) -> bool {
        !self.by_hand() && self.knits_all()
    }

    /// Whether it is a tube: every pass knits one bed and slips the other.
    #[must_use]
    pub fn tubular(&self) -> bool {
        let one_bed_each = self.repeat.iter().all(|t| {
            let of = (t.course.main, t.course.ribber);
            matches!(of, (Setting::Knit, Setting::Slip) | (Setting::Slip, Setting::Knit))
        });
        self.layout.two_beds() && one_bed_each
    }

    /// Whether it is a tube that opens: no needle of one bed is joined to the other in any pass.
    #[must_use]
    pub fn opens(&self) -> bool {
        self.tubular() && !self.by_hand()
    }

    /// Whether any pass slips a bed or some of its needles.
    #[must_use]
    pub fn slips(&self) -> bool {
        self.repeat.iter().any(|t| self.needles().any(|(b, p)| t.does(b, p) == Setting::Slip))
    }

    /// Loops made by `places` places in one whole repeat, and how many of them are tucks.
    #[must_use]
    pub fn loops_in_repeat(&self, places: u32) -> (u32, u32) {
        let mut loops = 0;
        let mut tucks = 0;
        let places = i16::try_from(places).unwrap_or(i16::MAX);
        for turn in &self.repeat {
            for bed in Bed::BOTH {
                for place in (0..places).filter(|p| self.layout.in_work(bed, *p)) {
                    let does = turn.does(bed, place);
                    loops += u32::from(does != Setting::Slip);
                    tucks += u32::from(does == Setting::Tuck);
                }
            }
        }
        (loops, tucks)
    }

    /// The share of tucks among its loops.
    #[must_use]
    pub fn tuck_share(&self) -> f64 {
        let (loops, tucks) = self.loops_in_repeat(self.period());
        f64::from(tucks) / f64::from(loops.max(1))
    }

    /// Loops per needle in work and pass, over a long stretch: 1 for ribs, 1/2 for tubular, 2/3 for Milano.
    #[must_use]
    pub fn loops_per_needle_pass(&self) -> f64 {
        let places = self.period();
        let (loops, _) = self.loops_in_repeat(places);
        let (main, ribber) = self.layout.needle_count(places);
        f64::from(loops) / f64::from((main + ribber).max(1)) / f64::from(self.row_multiple())
    }

    /// A unique name: its own and, for a fabric that is not built in, its content.
    #[must_use]
    pub fn identity(&self) -> String {
        match find(&self.name) {
            Some(f) if **f == *self => self.name.clone(),
            _ => format!("{} {:?} {:?} {}", self.name, self.layout, self.repeat, self.ends_knit),
        }
    }

    /// Its needles, all of them knitting in every pass: what most of the yarn of a pattern lies like.
    #[must_use]
    pub fn ground(&self) -> Fabric {
        let works = |bed| (0..i16::try_from(self.layout.period()).unwrap_or(1)).any(|p| self.layout.in_work(bed, p));
        let knits = |bed| if works(bed) { Setting::Knit } else { Setting::Slip };
        let course = Course { main: knits(Bed::Main), ribber: knits(Bed::Ribber), going: None };
        let name = format!("{}, every needle knitted", self.name);
        Fabric { name, repeat: vec![Turn::whole(course)], relaxed: None, ..self.clone() }
    }

    /// Whether its repeat needs more than settings: needles brought forward, racking or acts of the hands.
    #[must_use]
    pub fn worked_by_hand(&self) -> bool {
        self.repeat.iter().any(|t| t.selects() || !t.hands.is_empty() || t.racking.is_some())
    }
}
