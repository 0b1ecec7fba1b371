//! Fabrics as data: which needles stand in work, what each pass of the repeat does, where the ends stand.

mod relaxed;
mod sample;

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side, Slot};
use latchwork_machine::steps::Setting;

pub use relaxed::Relaxed;
pub use sample::{SAMPLE, bench};

/// How needles stand on the two beds. A place is one needle position along the beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layout {
    /// Every needle of the main bed; the ribber empty.
    MainOnly,
    /// Main and ribber by turns, full pitch.
    Alternate,
    /// Two in, two out on each bed, opposite empties, full pitch.
    TwoTwo,
    /// Two of every three on both beds, half pitch.
    TwoThree,
    /// Two of every three on the main bed, one of three on the ribber, half pitch.
    TwoOne,
    /// Every needle of both beds, half pitch.
    Every,
}

/// On which bed the outermost needles stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ends {
    /// Both on the main bed.
    BothMain,
    /// The left one on the main bed, the right one on the ribber.
    MainRibber,
}

/// One pass of a repeat.
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
    pub const MAIN: Course = Course { main: Knit, ribber: Slip, going: None };
}

/// A fabric.
#[derive(Debug, PartialEq)]
pub struct Fabric {
    /// The name printed.
    pub name: &'static str,
    /// Other names that knitters use for it.
    pub also: &'static [&'static str],
    /// Needles.
    pub layout: Layout,
    /// The passes of one repeat.
    pub repeat: &'static [Course],
    /// Whether a stretch may stop, and be shaped, only after whole repeats.
    pub whole_repeats: bool,
    /// Whether some stack ends in a tuck after every pass.
    pub always_open: bool,
    /// Where the ends may stand, the usual one first.
    pub ends: &'static [Ends],
    /// Habit, not a rule: thirds of a stitch size against stocking stitch of the same yarn.
    pub habit_thirds: i8,
    /// How it lies at rest, where that is known.
    pub relaxed: Option<Relaxed>,
    /// One sentence about the cloth.
    pub cloth: &'static str,
}

const fn course(main: Setting, ribber: Setting) -> Course {
    Course { main, ribber, going: None }
}

use Setting::{Knit, Slip, Tuck};

const BOTH_KNIT: &[Course] = &[course(Knit, Knit)];

/// The built-in fabrics. Sources of the repeats: textbook notation and common practice; the offsets are habits.
pub const FABRICS: [Fabric; 11] = [
    Fabric {
        name: "plain",
        also: &["stocking stitch", "stockinette", "jersey"],
        layout: Layout::MainOnly,
        repeat: &[course(Knit, Slip)],
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::BothMain],
        habit_thirds: 0,
        relaxed: Some(relaxed::PLAIN),
        cloth: "Smooth on the public side; curls at its edges.",
    },
    Fabric {
        name: "1x1 rib",
        also: &["single rib", "one by one rib"],
        layout: Layout::Alternate,
        repeat: BOTH_KNIT,
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::BothMain, Ends::MainRibber],
        habit_thirds: -6,
        relaxed: Some(relaxed::RIB),
        cloth: "Springy, lies flat, both faces alike.",
    },
    Fabric {
        name: "2x2 rib",
        also: &["two of three rib", "industrial 2x2"],
        layout: Layout::TwoThree,
        repeat: BOTH_KNIT,
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -6,
        relaxed: Some(relaxed::TWO_TWO),
        cloth: "Deep and springy; good for welts and cuffs.",
    },
    Fabric {
        name: "2x2 wide rib",
        also: &["two in two out rib"],
        layout: Layout::TwoTwo,
        repeat: BOTH_KNIT,
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -4,
        relaxed: Some(relaxed::TWO_TWO),
        cloth: "Flatter and less springy than the two-of-three form.",
    },
    Fabric {
        name: "2x1 rib",
        also: &["two by one rib"],
        layout: Layout::TwoOne,
        repeat: BOTH_KNIT,
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -6,
        relaxed: Some(relaxed::TWO_ONE),
        cloth: "Unequal faces: two knit columns to one recessed.",
    },
    Fabric {
        name: "full needle rib",
        also: &["every needle rib"],
        layout: Layout::Every,
        repeat: BOTH_KNIT,
        whole_repeats: false,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -4,
        relaxed: Some(relaxed::FULL_NEEDLE),
        cloth: "Thick, firm and wide; wants a finer yarn.",
    },
    Fabric {
        name: "tubular",
        also: &["circular", "tube"],
        layout: Layout::Every,
        repeat: &[course(Knit, Slip), course(Slip, Knit)],
        whole_repeats: true,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: 0,
        relaxed: Some(relaxed::TUBE),
        cloth: "A tube of plain; two passes make one round.",
    },
    Fabric {
        name: "half cardigan",
        also: &["english rib", "half fisherman rib", "royal rib"],
        layout: Layout::Alternate,
        repeat: &[course(Knit, Tuck), course(Knit, Knit)],
        whole_repeats: true,
        always_open: false,
        ends: &[Ends::BothMain],
        habit_thirds: -5,
        relaxed: Some(relaxed::HALF_CARDIGAN),
        cloth: "Wide, thick and soft; the knitting bed's side is the public side.",
    },
    Fabric {
        name: "full cardigan",
        also: &["fisherman rib", "polka rib"],
        layout: Layout::Alternate,
        repeat: &[
            Course { main: Tuck, ribber: Knit, going: Some(Side::Right) },
            Course { main: Knit, ribber: Tuck, going: Some(Side::Left) },
        ],
        whole_repeats: true,
        always_open: true,
        ends: &[Ends::MainRibber],
        habit_thirds: -5,
        relaxed: Some(relaxed::FULL_CARDIGAN),
        cloth: "The thickest and widest; both faces alike.",
    },
    Fabric {
        name: "half milano",
        also: &["long stitch"],
        layout: Layout::Every,
        repeat: &[course(Knit, Knit), course(Knit, Slip)],
        whole_repeats: true,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -3,
        relaxed: None,
        cloth: "Firm, ridged on one side, little stretch across.",
    },
    Fabric {
        name: "milano",
        also: &["milano rib"],
        layout: Layout::Every,
        repeat: &[course(Knit, Knit), course(Knit, Slip), course(Slip, Knit)],
        whole_repeats: true,
        always_open: false,
        ends: &[Ends::MainRibber],
        habit_thirds: -3,
        relaxed: None,
        cloth: "Firm and balanced, ridges on both sides.",
    },
];

/// The fabric of this name or synonym.
#[must_use]
pub fn find(name: &str) -> Option<&'static Fabric> {
    let fold = |n: &str| n.to_lowercase().replace('×', "x");
    let name = fold(name);
    FABRICS.iter().find(|f| f.name == name || f.also.contains(&name.as_str()))
}

impl Fabric {
    /// How many passes a stretch must be a multiple of.
    #[must_use]
    pub fn row_multiple(&self) -> u32 {
        if self.whole_repeats { u32::try_from(self.repeat.len()).unwrap_or(1) } else { 1 }
    }

    /// The course knitted in pass `pass` (from 0) of a stretch begun with the carriage at `side`.
    #[must_use]
    pub fn course(&self, side: Side, pass: u32) -> Course {
        let n = self.repeat.len();
        let first = self.repeat.iter().position(|c| c.going.is_none_or(|g| g != side)).unwrap_or(0);
        self.repeat[(first + pass as usize) % n]
    }

    /// Whether loops are open tucks after `passes` passes.
    #[must_use]
    pub fn open_after(&self, side: Side, passes: u32) -> bool {
        passes > 0 && {
            let c = self.course(side, passes - 1);
            c.main == Tuck || c.ribber == Tuck
        }
    }

    /// Loops made by `needles` needles on both beds in one whole repeat, and how many of them are tucks.
    #[must_use]
    pub fn loops_in_repeat(&self, places: u32) -> (u32, u32) {
        let (main, ribber) = self.layout.needle_count(places);
        let mut loops = 0;
        let mut tucks = 0;
        for c in self.repeat {
            for (setting, n) in [(c.main, main), (c.ribber, ribber)] {
                loops += if setting == Slip { 0 } else { n };
                tucks += if setting == Tuck { n } else { 0 };
            }
        }
        (loops, tucks)
    }

    /// How far it stretches in width without harm, as a share of its width at rest. Ribs: published factors 1.96 (1x1)
    /// and 2.23 (2x2) of pages that name no survey; the others common practice, no source, of which only plain's
    /// recovery from 40 % is told in a textbook (Spencer, Knitting Technology, ch. 7, from memory). A stretched swatch
    /// replaces it.
    #[must_use]
    pub fn usual_stretch(&self) -> f64 {
        match (self.layout, self.repeat.len()) {
            (Layout::MainOnly, _) => 0.30,
            (Layout::Alternate | Layout::TwoOne, 1) => 0.96,
            (Layout::Alternate | Layout::TwoOne, _) => 0.40,
            (Layout::TwoTwo | Layout::TwoThree, _) => 1.23,
            (Layout::Every, 1) => 0.30,
            (Layout::Every, _) => 0.20,
        }
    }

    /// The share of tucks among its loops.
    #[must_use]
    pub fn tuck_share(&self) -> f64 {
        let (loops, tucks) = self.loops_in_repeat(12);
        f64::from(tucks) / f64::from(loops)
    }

    /// Loops for each needle in work and pass, over a long stretch: 1 for ribs, 1/2 for tubular, 2/3 for Milano.
    #[must_use]
    pub fn loops_per_needle_pass(&self) -> f64 {
        let places = 12;
        let (loops, _) = self.loops_in_repeat(places);
        let (main, ribber) = self.layout.needle_count(places);
        f64::from(loops) / f64::from(main + ribber) / f64::from(u32::try_from(self.repeat.len()).unwrap_or(1))
    }
}

impl Layout {
    /// The pitch at which it is knitted.
    #[must_use]
    pub fn pitch(self) -> Pitch {
        match self {
            Layout::MainOnly | Layout::Alternate | Layout::TwoTwo => Pitch::Full,
            Layout::TwoThree | Layout::TwoOne | Layout::Every => Pitch::Half,
        }
    }

    /// The pitch and racking at which its loops alternate bed by bed, for the cast-on.
    #[must_use]
    pub fn cast_on_at(self) -> (Pitch, Racking) {
        match self {
            Layout::MainOnly | Layout::Alternate => (Pitch::Full, Racking(0)),
            Layout::Every => (Pitch::Half, Racking(0)),
            // Two in two out alternate at one and a half places, two of three at one.
            Layout::TwoTwo => (Pitch::Half, Racking(-2)),
            Layout::TwoThree | Layout::TwoOne => (Pitch::Half, Racking(-1)),
        }
    }

    /// Whether both beds are in work.
    #[must_use]
    pub fn two_beds(self) -> bool {
        self != Layout::MainOnly
    }

    /// In words, with the pitch.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Layout::MainOnly => "every needle of the main bed",
            Layout::Alternate => "every second needle of each bed, by turns, full pitch",
            Layout::TwoTwo => "two in, two out on each bed, full pitch",
            Layout::TwoThree => "two of every three needles on both beds, half pitch",
            Layout::TwoOne => "two of every three on the main bed, one of three on the ribber, half pitch",
            Layout::Every => "every needle of both beds, half pitch",
        }
    }

    /// Places of which the width must be a multiple.
    #[must_use]
    pub fn repeat(self) -> u32 {
        match self {
            Layout::MainOnly | Layout::Alternate | Layout::Every => 1,
            Layout::TwoTwo => 4,
            Layout::TwoThree | Layout::TwoOne => 3,
        }
    }

    /// Fewest places that make sense.
    #[must_use]
    pub fn fewest(self) -> u32 {
        match self {
            Layout::MainOnly => 1,
            Layout::Alternate | Layout::Every => 2,
            Layout::TwoTwo => 4,
            Layout::TwoThree | Layout::TwoOne => 3,
        }
    }

    /// Whether `places` places can be laid out with these ends.
    #[must_use]
    pub fn allows(self, places: u32, ends: Ends) -> bool {
        places >= self.fewest()
            && places.is_multiple_of(self.repeat())
            && match (self, ends) {
                (Layout::Alternate, Ends::BothMain) => places % 2 == 1,
                (Layout::Alternate, Ends::MainRibber) => places.is_multiple_of(2),
                (Layout::MainOnly, Ends::BothMain) => true,
                (Layout::MainOnly, Ends::MainRibber) => false,
                (Layout::TwoTwo | Layout::TwoThree | Layout::TwoOne | Layout::Every, e) => e == Ends::MainRibber,
            }
    }

    /// Needles in work over `places` places: main bed, ribber.
    #[must_use]
    pub fn needle_count(self, places: u32) -> (u32, u32) {
        match self {
            Layout::MainOnly => (places, 0),
            Layout::Alternate => (places.div_ceil(2), places / 2),
            Layout::TwoTwo => (places / 2, places / 2),
            Layout::TwoThree => (places / 3 * 2, places / 3 * 2),
            Layout::TwoOne => (places / 3 * 2, places / 3),
            Layout::Every => (places, places),
        }
    }

    /// Whether a needle of `bed` at `place` places from the left end is in work.
    #[must_use]
    pub fn in_work(self, bed: Bed, place: i16) -> bool {
        let (two, three, four) = (place.rem_euclid(2), place.rem_euclid(3), place.rem_euclid(4));
        match (self, bed) {
            (Layout::MainOnly, Bed::Main) | (Layout::Every, _) => true,
            (Layout::MainOnly, Bed::Ribber) => false,
            (Layout::Alternate, Bed::Main) => two == 0,
            (Layout::Alternate, Bed::Ribber) => two == 1,
            (Layout::TwoTwo, Bed::Main) => four < 2,
            (Layout::TwoTwo, Bed::Ribber) => four >= 2,
            (Layout::TwoThree | Layout::TwoOne, Bed::Main) => three < 2,
            (Layout::TwoThree, Bed::Ribber) => three >= 1,
            (Layout::TwoOne, Bed::Ribber) => three == 2,
        }
    }

    /// The needles in work over `places` places from `left`, main bed first, each from left to right. `origin`
    /// is the slot from which the pattern is counted.
    #[must_use]
    pub fn needles(self, left: Slot, places: u32, origin: Slot) -> Vec<Needle> {
        let places = i16::try_from(places).unwrap_or(i16::MAX);
        Bed::BOTH
            .into_iter()
            .flat_map(|bed| {
                (left.0..left.0.saturating_add(places))
                    .filter(move |s| self.in_work(bed, s - origin.0))
                    .map(move |s| Needle { bed, slot: Slot(s) })
            })
            .collect()
    }

    /// Whether there is exactly one loop for each place, so that loops can change beds needle to needle.
    #[must_use]
    pub fn one_per_place(self) -> bool {
        matches!(self, Layout::MainOnly | Layout::Alternate | Layout::TwoTwo)
    }
}

/// The left end of a piece of `places` places set about the centre: 51 places run from L25 to R26.
#[must_use]
pub fn left_end(places: u32) -> Slot {
    Slot(-i16::try_from(places / 2).unwrap_or(i16::MAX))
}
