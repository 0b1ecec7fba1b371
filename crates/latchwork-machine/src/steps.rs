//! The closed list of steps: all that a plan can ask of the machine and of the knitter's hands.

use crate::needle::{Bed, Needle, Pitch, Racking, Side};

/// Which part of a design a step came from. The machine does not know what it means; it only groups by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Origin(pub u32);

/// The steps of one piece in one size, in order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Plan {
    /// The steps, the first of which is [`Action::Start`].
    pub steps: Vec<Step>,
}

impl Plan {
    /// The mirror image: left and right change places in every step. A change of pitch moves the mirrored
    /// racking by one, so it is followed by a rack where the plan has none there.
    #[must_use]
    pub fn mirror(&self) -> Plan {
        let (mut pitch, mut racking) = (Pitch::Full, Racking(0));
        let mut steps = Vec::with_capacity(self.steps.len());
        for (i, s) in self.steps.iter().enumerate() {
            match &s.action {
                Action::Start { pitch: p, racking: r, .. } => (pitch, racking) = (*p, *r),
                Action::Rack(r) => racking = *r,
                Action::Pitch(p) => pitch = *p,
                _ => {}
            }
            steps.push(Step { action: s.action.mirror(pitch), origin: s.origin });
            let racked_next = matches!(self.steps.get(i + 1).map(|s| &s.action), Some(Action::Rack(_)));
            if matches!(s.action, Action::Pitch(_)) && !racked_next {
                steps.push(Step { action: Action::Rack(racking.mirror(pitch)), origin: s.origin });
            }
        }
        Plan { steps }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What is done.
    pub action: Action,
    /// Which part of the design asked for it.
    pub origin: Origin,
}

/// A yarn, by its number in the plan's own list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Yarn(pub u8);

/// A holder or a length of waste yarn that carries live loops.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Holder(pub u8);

/// A stitch size in thirds of a number: 3⅓ is 10.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Dial(pub u8);

/// What a bed's carriage does to working needles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Setting {
    /// Draw a new loop through the old.
    Knit,
    /// Lay a loop on top of the old.
    Tuck,
    /// Pass by.
    Slip,
}

/// The setting of one bed for one pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BedSetting {
    /// Knit, tuck or slip.
    pub setting: Setting,
    /// Whether needles in holding are passed over.
    pub hold: bool,
    /// Stitch size.
    pub dial: Dial,
}

/// What a pass is allowed to do beyond the usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Nothing.
    Plain,
    /// One bed, held down by comb or ravel cord: neighbouring empty needles take a loop each.
    OpenStart,
    /// No yarn: the loops of needles that would knit are let off on purpose.
    Release,
}

/// One trip of the carriages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pass {
    /// Where it goes.
    pub direction: Side,
    /// The main bed's setting.
    pub main: BedSetting,
    /// The ribber's setting.
    pub ribber: BedSetting,
    /// The yarn, or none.
    pub yarn: Option<Yarn>,
    /// The second yarn, which forward needles take.
    pub second: Option<Yarn>,
    /// A yarn laid in: over the forward needles and under the others, forming no loop.
    pub laid: Option<Yarn>,
    /// Whether the row counter adds one.
    pub counted: bool,
    /// What it may do beyond the usual.
    pub mark: Mark,
}

/// What becomes of a needle whose loops were moved away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Leaves {
    /// It goes out of work.
    Out,
    /// It stays in work, empty on purpose.
    Eyelet,
    /// It stays in work; a later step fills it.
    Refill,
}

/// One stack of loops moved from needle to needle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Move {
    /// From where.
    pub from: Needle,
    /// To where.
    pub to: Needle,
    /// What the emptied needle becomes.
    pub leaves: Leaves,
}

/// What hangs from the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Load {
    /// The cast-on comb.
    Comb,
    /// Weights.
    Weights,
}

/// How loops are made fast at an ending.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    /// Each loop pulled through the one before it.
    LoopThroughLoop,
    /// A chain round the gate pegs with the latch tool.
    Chain,
    /// Sewn off.
    Sewn,
    /// A thread drawn through every loop.
    Gathered,
    /// Kept on waste yarn.
    Waste,
}

/// A state that the text promises; it must be true when the step is reached, each member by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Claim {
    /// The row counter's reading.
    pub counter: Option<u32>,
    /// Needles of the main bed that carry a loop.
    pub main: Option<u32>,
    /// Needles of the ribber that carry a loop.
    pub ribber: Option<u32>,
    /// Needles of both beds together that carry a loop.
    pub total: Option<u32>,
    /// Where the carriages stand.
    pub carriage: Option<Side>,
}

impl Claim {
    /// The claim with the stitches of each bed, and so of both together.
    #[must_use]
    pub fn stitches(self, main: u32, ribber: u32) -> Claim {
        Claim { main: Some(main), ribber: Some(ribber), total: Some(main + ribber), ..self }
    }
}

/// Which needles a stitch count is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Counted {
    /// Those of one bed.
    On(Bed),
    /// Those of both.
    InAll,
}

/// The closed list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// Begins the piece: all needles out, no loops, counter 0.
    Start {
        /// Where the carriages stand.
        carriage: Side,
        /// The pitch.
        pitch: Pitch,
        /// The racking.
        racking: Racking,
    },
    /// One trip of the carriages.
    Pass(Pass),
    /// Brings needles into work and declares the first loop of each.
    IntoWork(Vec<Needle>),
    /// Puts empty needles out of work.
    OutOfWork(Vec<Needle>),
    /// Puts needles in work into holding.
    Hold(Vec<Needle>),
    /// Brings needles in work forward.
    Forward(Vec<Needle>),
    /// Puts needles in work back to working.
    BackToWorking(Vec<Needle>),
    /// Moves one stack.
    Transfer(Move),
    /// Lifts all stacks, then hangs them in this order.
    MoveTogether {
        /// The moves.
        moves: Vec<Move>,
        /// How far the farthest may be carried along its bed, in pitches: stated for a crossing.
        carry: Option<u8>,
    },
    /// Winds the yarn round empty needles in work, in order towards the carriage.
    Wrap {
        /// The needles.
        needles: Vec<Needle>,
        /// The yarn.
        yarn: Yarn,
        /// Whether it is a cut length of that yarn: then the yarn itself need not be joined, and stays where it waits.
        cut_length: bool,
    },
    /// Lays the yarn round a holding needle at a short-row turn.
    TurnWrap {
        /// The needle.
        needle: Needle,
        /// The yarn.
        yarn: Yarn,
    },
    /// Takes the loops of needles off to a holder or waste yarn.
    TakeOff {
        /// The needles in order.
        needles: Vec<Needle>,
        /// Where the loops go.
        holder: Holder,
    },
    /// Puts stacks from a holder back, one to each needle, in the order taken off.
    PutBack {
        /// Where the loops are.
        holder: Holder,
        /// The needles in order.
        needles: Vec<Needle>,
    },
    /// Hangs an earlier loop on a needle in work.
    PickUp {
        /// The loop's number.
        loop_number: u32,
        /// The needle.
        needle: Needle,
    },
    /// Hangs an edge of another piece on needles in work, a place of it on each: one new loop, drawn through nothing.
    HangEdge {
        /// The needles in order.
        needles: Vec<Needle>,
        /// What hangs on each: a place on that edge, which the machine does not look at.
        places: Vec<u32>,
    },
    /// Shifts the ribber.
    Rack(Racking),
    /// Changes the pitch.
    Pitch(Pitch),
    /// A yarn joined or laid in; it waits at this side.
    Join {
        /// The yarn.
        yarn: Yarn,
        /// Where it waits.
        side: Side,
    },
    /// A yarn cut.
    Cut(Yarn),
    /// Comb or weights hung: grams are added to what hangs.
    Hang {
        /// What.
        load: Load,
        /// How much.
        grams: u32,
    },
    /// Comb or weights moved up.
    MoveUp(Load),
    /// Comb or weights taken away: grams are taken from what hangs.
    Unhang {
        /// What.
        load: Load,
        /// How much.
        grams: u32,
    },
    /// The row counter set by hand.
    Counter(u32),
    /// The ribber lowered; its needles must be empty.
    RibberDown,
    /// The ribber raised.
    RibberUp,
    /// Loops made fast, needle by needle in this order.
    Secure {
        /// The needles in order; each one's whole stack is one stitch.
        needles: Vec<Needle>,
        /// How.
        way: Way,
        /// A cut length of yarn used for it, if not the working yarn.
        cut_length: Option<Yarn>,
        /// For a chain inside a piece: the needle, in work and carrying loops, on which its last loop is hung.
        onto: Option<Needle>,
    },
    /// Loops let off on purpose.
    Release(Vec<Needle>),
    /// A promise that must be true here.
    Claim(Claim),
}

impl Action {
    fn mirror(&self, pitch: Pitch) -> Action {
        let all = |needles: &[Needle]| needles.iter().map(|n| n.mirror()).collect::<Vec<_>>();
        let one = |m: &Move| Move { from: m.from.mirror(), to: m.to.mirror(), leaves: m.leaves };
        match self {
            Action::Start { carriage, pitch: p, racking } => {
                Action::Start { carriage: carriage.other(), pitch: *p, racking: racking.mirror(*p) }
            }
            Action::Pass(p) => Action::Pass(Pass { direction: p.direction.other(), ..*p }),
            Action::IntoWork(n) => Action::IntoWork(all(n)),
            Action::OutOfWork(n) => Action::OutOfWork(all(n)),
            Action::Hold(n) => Action::Hold(all(n)),
            Action::Forward(n) => Action::Forward(all(n)),
            Action::BackToWorking(n) => Action::BackToWorking(all(n)),
            Action::Transfer(m) => Action::Transfer(one(m)),
            Action::MoveTogether { moves, carry } => {
                Action::MoveTogether { moves: moves.iter().map(one).collect(), carry: *carry }
            }
            Action::Wrap { needles, yarn, cut_length } => {
                Action::Wrap { needles: all(needles), yarn: *yarn, cut_length: *cut_length }
            }
            Action::TurnWrap { needle, yarn } => Action::TurnWrap { needle: needle.mirror(), yarn: *yarn },
            Action::TakeOff { needles, holder } => Action::TakeOff { needles: all(needles), holder: *holder },
            Action::PutBack { holder, needles } => Action::PutBack { holder: *holder, needles: all(needles) },
            Action::PickUp { loop_number, needle } => {
                Action::PickUp { loop_number: *loop_number, needle: needle.mirror() }
            }
            Action::HangEdge { needles, places } => Action::HangEdge { needles: all(needles), places: places.clone() },
            Action::Rack(r) => Action::Rack(r.mirror(pitch)),
            Action::Join { yarn, side } => Action::Join { yarn: *yarn, side: side.other() },
            Action::Secure { needles, way, cut_length, onto } => Action::Secure {
                needles: all(needles),
                way: *way,
                cut_length: *cut_length,
                onto: onto.map(Needle::mirror),
            },
            Action::Release(n) => Action::Release(all(n)),
            Action::Claim(c) => Action::Claim(Claim { carriage: c.carriage.map(Side::other), ..*c }),
            Action::Cut(_)
            | Action::Hang { .. }
            | Action::MoveUp(_)
            | Action::Pitch(_)
            | Action::Unhang { .. }
            | Action::Counter(_)
            | Action::RibberDown
            | Action::RibberUp => self.clone(),
        }
    }
}
