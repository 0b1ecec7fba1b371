//! The beds stepped through a plan without judgement: what stands where after each step. The state is the judge's own;
//! its verdict on a step is not asked for.

use crate::act::Bench;
use crate::loops::LoopId;
use crate::needle::{Bed, Needle, Pitch, Place, Position, Racking, Side};
use crate::profile::{Limit, Profile, Source};
use crate::state::State;
use crate::steps::{Action, Load, Move, Step};

/// A limit that nothing reaches.
const NONE: Limit = Limit { value: u32::MAX / 4, source: Source::Practice };
/// Beds without limits, of four thousand needles, as many as a machine may have.
static UNBOUNDED: Profile = Profile {
    main_needles: 4000,
    ribber_needles: 4000,
    tucks: NONE,
    float: NONE,
    least_grams: Limit { value: 0, source: Source::Practice },
    most_grams: Limit { value: u32::MAX / 8192, source: Source::Practice },
};

/// The beds of a machine after some steps.
pub struct Beds {
    bench: Bench<'static>,
    steps: usize,
    /// Loops made before the last step.
    before: u32,
}

impl core::fmt::Debug for Beds {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Beds")
            .field("steps", &self.steps)
            .field("reading", &self.bench.reading())
            .finish_non_exhaustive()
    }
}

impl Beds {
    /// Empty beds, wide enough for these steps: all needles out, no loops, counter 0.
    #[must_use]
    pub fn of(steps: &[Step]) -> Beds {
        let slots = steps.iter().flat_map(|s| match &s.action {
            Action::IntoWork(needles) => needles.as_slice(),
            _ => &[],
        });
        let far = slots.map(|n| if n.slot.0 < 0 { -(n.slot.0 + 1) } else { n.slot.0 }).max().unwrap_or(0);
        let wide = u16::try_from((i32::from(far) + 1) * 2).unwrap_or(u16::MAX);
        let reach = Profile { main_needles: wide, ribber_needles: wide, ..UNBOUNDED.clone() };
        Beds { bench: Bench::new(&UNBOUNDED, State::new(&reach)), steps: 0, before: 0 }
    }

    /// Empty beds that widen as needles are worked, with the carriages at this side. Which loops hang is not kept, only
    /// where: a pass over needles that all carry loops takes no longer for many than for few.
    #[must_use]
    pub fn outline(carriage: Side) -> Beds {
        let none = Profile { main_needles: 0, ribber_needles: 0, ..UNBOUNDED.clone() };
        let mut state = State::new(&none);
        state.carriage = carriage;
        let bench = Bench { unnumbered: true, ..Bench::new(&UNBOUNDED, state) };
        Beds { bench, steps: 0, before: 0 }
    }

    /// Does a step, as far as it can be done. A pass that cannot be done moves the carriage and the counter.
    pub fn step(&mut self, action: &Action) {
        self.before = self.loops();
        if let Action::IntoWork(needles) = action {
            needles.iter().for_each(|n| self.bench.state.widen(*n));
        }
        let undone = match action {
            // Where loops are not numbered, one hung again counts as one more.
            Action::PickUp { needle, .. } if self.bench.unnumbered => {
                let again = Action::HangEdge { needles: vec![*needle], places: vec![0] };
                self.bench.begin_or_act(self.steps, &again)
            }
            action => self.bench.begin_or_act(self.steps, action),
        };
        if let (Err(_), Action::Pass(p)) = (undone, action)
            && self.bench.state.carriage != p.direction
        {
            self.bench.state.carriage = p.direction;
            self.bench.state.counter += u32::from(p.counted);
        }
        self.bench.warnings.clear();
        self.bench.laid.clear();
        self.bench.state.refresh_order();
        self.steps += 1;
    }

    fn loops(&self) -> u32 {
        u32::try_from(self.bench.loops.len()).unwrap_or(u32::MAX)
    }

    /// Loops made by the last step, by number, with the needles that made them.
    pub fn made(&self) -> impl Iterator<Item = (u32, Needle)> {
        (self.before + 1..=self.loops()).map(|id| (id, self.bench.loops.needle(LoopId(id))))
    }

    /// Needles in work, from left to right, and how far each is pushed out.
    pub fn in_work(&self) -> impl DoubleEndedIterator<Item = (Needle, Position)> {
        let state = &self.bench.state;
        state.order.iter().map(|m| (state.needle(*m), state.beds[m.bed.index()].spots[usize::from(m.index)].position))
    }

    /// Needles that carry loops, from left to right.
    pub fn carrying(&self) -> impl DoubleEndedIterator<Item = Needle> {
        let state = &self.bench.state;
        let carries = |m: &&crate::state::Met| !state.beds[m.bed.index()].spots[usize::from(m.index)].stack.is_empty();
        state.order.iter().filter(carries).map(|m| state.needle(*m))
    }

    /// How many needles are in work.
    #[must_use]
    pub fn count(&self) -> usize {
        self.bench.state.order.len()
    }

    /// Needles in work that carry no loop, from left to right.
    pub fn empty(&self) -> impl Iterator<Item = Needle> {
        let state = &self.bench.state;
        let bare = |m: &&crate::state::Met| state.beds[m.bed.index()].spots[usize::from(m.index)].stack.is_empty();
        state.order.iter().filter(bare).map(|m| state.needle(*m))
    }

    /// How many needles of a bed carry loops.
    #[must_use]
    pub fn stitches(&self, bed: Bed) -> u32 {
        self.bench.state.carrying[bed.index()]
    }

    /// Where the carriages stand.
    #[must_use]
    pub fn carriage(&self) -> Side {
        self.bench.state.carriage
    }

    /// Whether the ribber is lowered.
    #[must_use]
    pub fn ribber_is_down(&self) -> bool {
        self.bench.state.ribber_down
    }

    /// Grams of a load that hang.
    #[must_use]
    pub fn hangs(&self, load: Load) -> u32 {
        match load {
            Load::Comb => self.bench.state.comb,
            Load::Weights => self.bench.state.weights,
        }
    }

    /// How far a needle is pushed out; none where the beds have no such needle.
    #[must_use]
    pub fn position(&self, needle: Needle) -> Option<Position> {
        self.bench.state.spot(needle).map(|s| s.position)
    }

    /// Where a needle stands along the beds.
    #[must_use]
    pub fn place(&self, needle: Needle) -> Place {
        self.bench.state.place(needle)
    }

    /// How the beds stand to each other.
    #[must_use]
    pub fn pitch(&self) -> Pitch {
        self.bench.state.pitch
    }

    /// How far the ribber is racked.
    #[must_use]
    pub fn racking(&self) -> Racking {
        self.bench.state.racking
    }

    /// What the row counter reads.
    #[must_use]
    pub fn counter(&self) -> u32 {
        self.bench.state.counter
    }
}

/// The loops that an action moves from needle to needle.
#[must_use]
pub fn moves(action: &Action) -> &[Move] {
    match action {
        Action::Transfer(m) => core::slice::from_ref(m),
        Action::MoveTogether { moves, .. } => moves,
        _ => &[],
    }
}
