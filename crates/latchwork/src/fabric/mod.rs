//! Fabrics as data: which needles stand in work, what each pass of the repeat does, where the ends stand. The program
//! has none by name: those it brings are documents like an author's own.

mod acts;
mod layout;
mod passes;
mod read;
mod sample;

use std::sync::{Arc, LazyLock};

use latchwork_machine::needle::{Bed, Racking, Side};
use latchwork_machine::steps::Setting;

use crate::notice::{Notices, Span};

pub use layout::{Begun, Cells, Ends, Layout, left_end};
pub(crate) use read::fabrics;
pub use read::from_text;
pub use sample::{SAMPLE, bench};

/// What the two carriages do in a pass, each bed as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Course {
    /// What the main bed does.
    pub main: Setting,
    /// What the ribber does.
    pub ribber: Setting,
    /// The direction in which alone it may be knitted, if it matters.
    pub going: Option<Side>,
}

impl Course {
    /// The main bed knits and the ribber slips.
    pub const MAIN: Course = Course { main: Setting::Knit, ribber: Setting::Slip, going: None };
    /// Neither bed does anything.
    pub const NONE: Course = Course { main: Setting::Slip, ribber: Setting::Slip, going: None };

    /// What a bed does.
    #[must_use]
    pub fn of(self, bed: Bed) -> Setting {
        match bed {
            Bed::Main => self.main,
            Bed::Ribber => self.ribber,
        }
    }
}

/// What the hands do before a pass of a repeat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// Loops let off, down to where the needle came in; the needles take new ones.
    LetOff {
        /// Of which bed.
        bed: Bed,
        /// At which places.
        cells: Cells,
    },
    /// Stacks moved along their bed to a neighbour; the needles stay in work, empty, for holes.
    Eyelet {
        /// Of which bed.
        bed: Bed,
        /// At which places.
        cells: Cells,
        /// By how many needles, to the right where positive.
        by: i8,
    },
    /// Groups of needles that change places two and two.
    Cross {
        /// Of which bed.
        bed: Bed,
        /// The first needle of each crossing.
        cells: Cells,
        /// How many needles each of the two groups has.
        group: u8,
        /// Whether the right group comes to lie on top.
        right_over: bool,
    },
}

/// One pass of a repeat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// How the carriages are set.
    pub course: Course,
    /// Needles that are brought forward before it and so knit whatever is set, main bed and ribber.
    pub forward: [Cells; 2],
    /// How the ribber is racked for it; as it stands, where the fabric does not say.
    pub racking: Option<Racking>,
    /// What the hands do before it.
    pub hands: Vec<Hand>,
}

impl Turn {
    /// A pass in which each bed does one thing.
    #[must_use]
    pub fn whole(course: Course) -> Turn {
        Turn { course, forward: [Cells::NONE; 2], racking: None, hands: Vec::new() }
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

/// How a fabric lies at rest: yarn of a loop against gauge, published and derived. A loop is one on one needle in one
/// pass, tucks counted as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Relaxed {
    /// Yarn of a loop over the width of one needle of both beds.
    pub width: f64,
    /// Yarn of a loop over the length of one pass.
    pub length: f64,
    /// How unsure either is, as a share.
    pub doubt: f64,
    /// Least and most of the square of a loop's yarn over the area of a needle and a pass: what is measured lies between.
    pub area: (f64, f64),
    /// Usual tightness on a home machine: the root of tex over millimetres of yarn in a loop.
    pub tightness: f64,
    /// Washed against rested: needles and passes in a length, where it is told.
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
    /// Among which it is listed.
    pub kind: String,
    /// Where it stands in its document.
    pub span: Span,
    /// The file of the author's own fabrics that it comes from; empty for those of the program and of the design.
    pub from: String,
    /// Needles.
    pub layout: Layout,
    /// The passes of one repeat.
    pub repeat: Vec<Turn>,
    /// Whether the outermost needles knit in a pass for which needles are brought forward.
    pub ends_knit: bool,
    /// Where the ends may stand, the usual one first.
    pub ends: Vec<Ends>,
    /// By how many stitches an end may be narrowed at once.
    pub narrow: Vec<u32>,
    /// By how many stitches an end may be widened at once.
    pub widen: Vec<u32>,
    /// Why it is not shaped, where it is not.
    pub unshaped: Option<String>,
    /// Habit, not a rule: thirds of a stitch size against stocking stitch of the same yarn.
    pub habit_thirds: i8,
    /// How far it stretches in width without harm, as a share of its width at rest; a stretched swatch replaces it.
    pub stretch: f64,
    /// How it lies at rest, where that is known.
    pub relaxed: Option<Relaxed>,
    /// Whether its public side is the one that faces the knitter.
    pub public_near: bool,
    /// One sentence about the cloth.
    pub cloth: String,
}

/// The fabrics that the program brings, in the order listed, from the documents inside it.
static BUILT_IN: LazyLock<Vec<Arc<Fabric>>> = LazyLock::new(|| {
    let mut all = Vec::new();
    for text in [include_str!("library/plain.kdl"), include_str!("library/ribs.kdl"), include_str!("library/more.kdl")]
    {
        let found = from_text(text, &all, "", &mut Notices::default());
        all.extend(found);
    }
    all
});

/// The fabrics that the program brings.
#[must_use]
pub fn built_in() -> &'static [Arc<Fabric>] {
    &BUILT_IN
}

/// The fabric of this name or synonym among those of the program.
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

impl Fabric {
    /// How many passes a stretch must be a multiple of.
    #[must_use]
    pub fn row_multiple(&self) -> u32 {
        u32::try_from(self.repeat.len()).unwrap_or(1).max(1)
    }

    /// Which pass of the repeat comes first with the carriage at `side`.
    #[must_use]
    pub fn first(&self, side: Side) -> usize {
        self.repeat.iter().position(|t| t.course.going.is_none_or(|g| g != side)).unwrap_or(0)
    }

    /// What is knitted in pass `pass` (from 0) of a stretch begun with the carriage at `side`.
    #[must_use]
    pub fn turn(&self, side: Side, pass: u32) -> &Turn {
        &self.repeat[(self.first(side) + pass as usize) % self.repeat.len()]
    }

    /// Places after which needles and passes begin again.
    #[must_use]
    pub fn period(&self) -> u32 {
        let all = self.repeat.iter().flat_map(|t| t.forward).map(Cells::period);
        let of = |a: u32, b: u32| (1..=b).map(|k| a * k).find(|n| n.is_multiple_of(b)).unwrap_or(a);
        all.fold(self.layout.period(), of).min(4096)
    }

    /// Its needles within one period: bed and place.
    fn needles(&self) -> impl Iterator<Item = (Bed, i16)> {
        let (layout, period) = (self.layout, i16::try_from(self.period()).unwrap_or(1));
        Bed::BOTH
            .into_iter()
            .flat_map(move |b| (0..period).map(move |p| (b, p)))
            .filter(move |(b, p)| layout.in_work(*b, *p))
    }

    /// Whether some stack ends in a tuck after `passes` passes begun with this pass of the repeat.
    fn open(&self, first: usize, passes: u32) -> bool {
        let did = |needle: (Bed, i16)| {
            (0..passes)
                .rev()
                .map(|i| self.repeat[(first + i as usize) % self.repeat.len()].does(needle.0, needle.1))
                .find(|s| *s != Setting::Slip)
        };
        self.needles().any(|n| did(n) == Some(Setting::Tuck))
    }

    /// Whether loops are open tucks after `passes` passes.
    #[must_use]
    pub fn open_after(&self, side: Side, passes: u32) -> bool {
        self.open(self.first(side), passes)
    }

    /// Whether some stack ends in a tuck after every pass.
    #[must_use]
    pub fn always_open(&self) -> bool {
        let many = 2 * self.row_multiple();
        (many..many + self.row_multiple()).all(|passes| self.open(0, passes))
    }

    /// Whether in every pass every needle knits.
    #[must_use]
    pub fn knits_all(&self) -> bool {
        let knits = |t: &Turn, (b, p)| t.does(b, p) == Setting::Knit;
        self.repeat.iter().all(|t| self.needles().all(|n| knits(t, n)))
    }

    /// Whether a pass slips a bed, or needles of it.
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

    /// Loops for each needle in work and pass, over a long stretch: 1 for ribs, 1/2 for tubular, 2/3 for Milano.
    #[must_use]
    pub fn loops_per_needle_pass(&self) -> f64 {
        let places = self.period();
        let (loops, _) = self.loops_in_repeat(places);
        let (main, ribber) = self.layout.needle_count(places);
        f64::from(loops) / f64::from((main + ribber).max(1)) / f64::from(self.row_multiple())
    }

    /// A name that no other fabric has: its own, and for one that the program does not bring what it is made of.
    #[must_use]
    pub fn identity(&self) -> String {
        match find(&self.name) {
            Some(f) if **f == *self => self.name.clone(),
            _ => format!("{} {:?} {:?} {}", self.name, self.layout, self.repeat, self.ends_knit),
        }
    }

    /// Whether it is told in words of its own how it is worked, beside the settings: needles brought forward, racking
    /// or hand work in the repeat.
    #[must_use]
    pub fn worked_by_hand(&self) -> bool {
        self.repeat.iter().any(|t| t.selects() || !t.hands.is_empty() || t.racking.is_some())
    }
}
