//! What can go wrong: facts with their numbers, never sentences.

use crate::needle::{Needle, Side};
use crate::steps::{Counted, Load, Yarn};

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// It knits, but look at it.
    Warning,
    /// The run of this piece ends here.
    Error,
}

/// A fault, with the needles and numbers that make it one. Distances are in half needle pitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the fields are named by what they hold")]
pub enum Fault {
    /// The first step is not a start, or a start comes later.
    Start,
    /// A needle that the machine does not have.
    OutsideBed { needle: Needle },
    /// Two needles at one place, both in work at a pass.
    Facing { main: Needle, ribber: Needle },
    /// A pass from the side where the carriage is not.
    WrongSide { stands: Side },
    /// A pass with a yarn that waits at the other side.
    YarnElsewhere { yarn: Yarn, waits: Side },
    /// A yarn that was not joined, or was cut.
    NoYarn { yarn: Yarn },
    /// A needle that carries no loop where one is needed.
    NoLoop { needle: Needle },
    /// A needle that is out of work where one in work is needed.
    NotInWork { needle: Needle },
    /// A needle that is not in holding where one is needed.
    NotHolding { needle: Needle },
    /// A needle that must be empty and is not.
    NotEmpty { needle: Needle, loops: u32 },
    /// A needle put out of work with loops on it.
    OutWithLoops { needle: Needle, loops: u32 },
    /// The ribber lowered with loops on its needles.
    DownWithLoops { needle: Needle, needles: u32 },
    /// The ribber's needles in work at a pass while it is down.
    RibberIsDown { needle: Needle },
    /// A holder with fewer or more stacks than needles to take them.
    HolderCount { stacks: u32, needles: u32 },
    /// A loop number that was never made.
    NoSuchLoop { number: u32 },
    /// More grams taken away than hang.
    NotHanging { load: Load, hangs: u32, asked: u32 },
    /// Comb or weights moved up where none hang.
    NothingToMoveUp { load: Load },
    /// Loops that end on nothing: still live at the end of the piece, on a needle or else on a holder.
    LiveAtEnd { loops: u32, first: Option<Needle>, held: u32 },
    /// A claimed counter reading that is wrong.
    ClaimCounter { said: u32, is: u32 },
    /// A claimed stitch count that is wrong.
    ClaimStitches { of: Counted, said: u32, is: u32 },
    /// A claimed carriage side that is wrong.
    ClaimCarriage { said: Side, is: Side },
    /// Two neighbouring empty needles of one bed take one strand.
    TwoEmpties { first: Needle, second: Needle },
    /// The last loop formed in a pass is a tuck.
    LastTuck { needle: Needle },
    /// The first loop formed in a pass is a tuck.
    FirstTuck { needle: Needle },
    /// The outermost needle of a bed is slipped while others of that bed form loops.
    EndMissed { needle: Needle },
    /// As many tucks on a needle as the machine's limit.
    TucksAtLimit { needle: Needle, tucks: u32 },
    /// More tucks on a needle than the machine's limit.
    TooManyTucks { needle: Needle, tucks: u32, limit: u32 },
    /// More than three knit or wrap loops knitted through in one action.
    ManyThrough { needle: Needle, loops: u32 },
    /// A needle moved or bound off whose stack ends in a tuck.
    OpenTuck { needle: Needle },
    /// An empty needle met by a knit that no step declared.
    Undeclared { needle: Needle },
    /// A second pass over a two-bed cast-on before anything hangs.
    NothingHangs,
    /// A float longer than the limit.
    LongFloat { from: Needle, to: Needle, halves: u32, limit: u32 },
    /// A loop carried far.
    CarriedFar { from: Needle, to: Needle, halves: u32, level: Level },
    /// A loop of a crossing carried farther than the crossing states.
    PastStatedCarry { from: Needle, to: Needle, halves: u32, stated: u8 },
    /// Grams for each needle outside the band.
    Weight { grams: u32, needles: u32, least: u32, most: u32 },
    /// A yarn carried up the side for many passes.
    CarriedYarn { yarn: Yarn, passes: u32 },
    /// Loop through loop begun at the yarn's end with no cut yarn named.
    WrongEnd { yarn_at: Side },
    /// An edge hung with fewer or more places than needles.
    HungCount { places: u32, needles: u32 },
    /// A yarn laid in where the main bed does not knit, or with no yarn or a second one in the feeder.
    LaidWithout,
    /// Loops let off by a pass without yarn that was not meant to.
    FellOff { needle: Needle, loops: u32 },
}

impl Fault {
    /// How bad it is.
    #[must_use]
    pub fn level(&self) -> Level {
        match self {
            Fault::FirstTuck { .. }
            | Fault::EndMissed { .. }
            | Fault::TucksAtLimit { .. }
            | Fault::ManyThrough { .. }
            | Fault::OpenTuck { .. }
            | Fault::Undeclared { .. }
            | Fault::LongFloat { .. }
            | Fault::Weight { .. }
            | Fault::CarriedYarn { .. } => Level::Warning,
            Fault::CarriedFar { level, .. } => *level,
            Fault::Start
            | Fault::OutsideBed { .. }
            | Fault::Facing { .. }
            | Fault::WrongSide { .. }
            | Fault::YarnElsewhere { .. }
            | Fault::NoYarn { .. }
            | Fault::NoLoop { .. }
            | Fault::NotInWork { .. }
            | Fault::NotHolding { .. }
            | Fault::NotEmpty { .. }
            | Fault::OutWithLoops { .. }
            | Fault::DownWithLoops { .. }
            | Fault::RibberIsDown { .. }
            | Fault::HolderCount { .. }
            | Fault::NoSuchLoop { .. }
            | Fault::NotHanging { .. }
            | Fault::NothingToMoveUp { .. }
            | Fault::PastStatedCarry { .. }
            | Fault::LiveAtEnd { .. }
            | Fault::ClaimCounter { .. }
            | Fault::ClaimStitches { .. }
            | Fault::ClaimCarriage { .. }
            | Fault::TwoEmpties { .. }
            | Fault::LastTuck { .. }
            | Fault::TooManyTucks { .. }
            | Fault::NothingHangs
            | Fault::WrongEnd { .. }
            | Fault::HungCount { .. }
            | Fault::LaidWithout
            | Fault::FellOff { .. } => Level::Error,
        }
    }

    /// The rule's short name, and the needle that tells two findings of one rule apart.
    #[must_use]
    pub fn rule(&self) -> (&'static str, Option<Needle>) {
        match *self {
            Fault::Start => ("start", None),
            Fault::OutsideBed { needle } => ("outside-bed", Some(needle)),
            Fault::Facing { main, .. } => ("facing-needles", Some(main)),
            Fault::WrongSide { .. } => ("carriage-side", None),
            Fault::YarnElsewhere { .. } => ("yarn-side", None),
            Fault::NoYarn { .. } => ("no-yarn", None),
            Fault::NoLoop { needle } => ("no-loop", Some(needle)),
            Fault::NotInWork { needle } => ("not-in-work", Some(needle)),
            Fault::NotHolding { needle } => ("not-holding", Some(needle)),
            Fault::NotEmpty { needle, .. } => ("not-empty", Some(needle)),
            Fault::OutWithLoops { needle, .. } => ("out-with-loops", Some(needle)),
            Fault::DownWithLoops { .. } => ("ribber-down-with-loops", None),
            Fault::RibberIsDown { .. } => ("ribber-is-down", None),
            Fault::HolderCount { .. } => ("holder-count", None),
            Fault::NoSuchLoop { .. } => ("no-such-loop", None),
            Fault::NotHanging { .. } => ("not-hanging", None),
            Fault::NothingToMoveUp { .. } => ("nothing-to-move-up", None),
            Fault::LiveAtEnd { .. } => ("live-at-end", None),
            Fault::ClaimCounter { .. } => ("claim-counter", None),
            Fault::ClaimStitches { .. } => ("claim-stitches", None),
            Fault::ClaimCarriage { .. } => ("claim-carriage", None),
            Fault::TwoEmpties { first, .. } => ("two-empties", Some(first)),
            Fault::LastTuck { needle } => ("last-loop-tuck", Some(needle)),
            Fault::FirstTuck { .. } => ("first-loop-tuck", None),
            Fault::EndMissed { needle } => ("end-needle-missed", Some(needle)),
            Fault::TucksAtLimit { needle, .. } => ("tucks-at-limit", Some(needle)),
            Fault::TooManyTucks { needle, .. } => ("too-many-tucks", Some(needle)),
            Fault::ManyThrough { needle, .. } => ("many-loops-on-needle", Some(needle)),
            Fault::OpenTuck { needle } => ("shaping-on-open-tuck", Some(needle)),
            Fault::Undeclared { needle } => ("undeclared-empty", Some(needle)),
            Fault::NothingHangs => ("nothing-hangs", None),
            Fault::LongFloat { from, .. } => ("long-float", Some(from)),
            Fault::CarriedFar { from, .. } => ("carried-far", Some(from)),
            Fault::PastStatedCarry { from, .. } => ("past-stated-carry", Some(from)),
            Fault::Weight { .. } => ("weight", None),
            Fault::CarriedYarn { .. } => ("carried-yarn", None),
            Fault::WrongEnd { .. } => ("bind-off-from-yarn-end", None),
            Fault::HungCount { .. } => ("hung-count", None),
            Fault::LaidWithout => ("laid-without-knit", None),
            Fault::FellOff { needle, .. } => ("fell-off", Some(needle)),
        }
    }
}
