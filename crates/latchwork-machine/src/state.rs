//! Where everything is: positions, stacks, carriages, counter, yarns, weights.

use std::collections::BTreeMap;

use crate::loops::LoopId;
use crate::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use crate::profile::Profile;
use crate::steps::{Holder, Yarn};

pub(crate) use crate::needle::Position;

/// The loops on a needle, oldest first. A few need no memory of their own.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stack {
    len: u8,
    tucks: u8,
    few: [u32; FEW],
    /// All of them, when they are more than a few.
    many: Option<Box<Many>>,
}

/// Loops past a few; they are rare, so a needle holds only a pointer to them.
#[derive(Debug, Clone, Default)]
struct Many(Vec<u32>);

const FEW: usize = 4;

impl Stack {
    #[inline]
    pub(crate) fn is_empty(&self) -> bool {
        self.len == 0
    }

    pub(crate) fn len(&self) -> usize {
        self.ids().len()
    }

    /// How many of them are tucks.
    pub(crate) fn tucks(&self) -> u32 {
        u32::from(self.tucks)
    }

    #[inline]
    pub(crate) fn ids(&self) -> &[u32] {
        let n = usize::from(self.len);
        if n <= FEW { &self.few[..n] } else { self.many.as_ref().map_or(&[], |m| &m.0) }
    }

    /// A stack of one loop becomes this one; gives the old loop. A stack of any other size stays as it is.
    #[inline]
    pub(crate) fn replace_only(&mut self, new: LoopId) -> Option<u32> {
        let only = (self.len == 1).then_some(self.few[0])?;
        self.few[0] = new.0;
        self.tucks = 0;
        Some(only)
    }

    /// The stack becomes one loop.
    #[inline]
    pub(crate) fn set(&mut self, only: LoopId) {
        self.few[0] = only.0;
        self.len = 1;
        self.tucks = 0;
    }

    #[inline]
    pub(crate) fn push(&mut self, id: LoopId, tuck: bool) {
        let n = usize::from(self.len);
        if n < FEW {
            self.few[n] = id.0;
        } else {
            let many = &mut self.many.get_or_insert_default().0;
            if n == FEW {
                many.clear();
                many.extend(self.few);
            }
            many.push(id.0);
        }
        // Past a few only the fact that there are more matters, not how many.
        self.len = self.len.saturating_add(1);
        self.tucks = self.tucks.saturating_add(u8::from(tuck));
    }

    pub(crate) fn top(&self) -> Option<LoopId> {
        self.ids().last().copied().map(LoopId)
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = LoopId> + '_ {
        self.ids().iter().copied().map(LoopId)
    }

    /// Another stack laid on top, in order.
    pub(crate) fn append(&mut self, other: &Stack) {
        let tucks = self.tucks.saturating_add(other.tucks);
        other.iter().for_each(|id| self.push(id, false));
        self.tucks = tucks;
    }
}

#[derive(Debug, Clone)]
pub(crate) struct Spot {
    pub(crate) position: Position,
    /// A step said that the next loop on this empty needle is meant.
    pub(crate) declared: bool,
    pub(crate) stack: Stack,
}

#[derive(Debug, Clone)]
pub(crate) struct BedState {
    pub(crate) first: Slot,
    pub(crate) spots: Vec<Spot>,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct YarnState {
    pub(crate) side: Side,
    pub(crate) used_at: u32,
}

/// A needle in work, as a pass meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Met {
    pub(crate) place: Place,
    pub(crate) bed: Bed,
    pub(crate) index: u16,
}

/// How the needles in work will meet a pass of one yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stand {
    /// All are working and carry loops.
    Full,
    /// All are working, and some carry no loop yet.
    SomeEmpty,
    /// Some are forward or holding.
    Mixed,
}

/// The loops that a pass makes when every needle is working.
#[derive(Debug, Clone)]
pub(crate) struct Pattern {
    /// Where the list of its needles stands among the loops.
    pub(crate) list: u32,
    /// The needles on which loops form, from left to right.
    pub(crate) needles: Vec<Met>,
    /// How many on each bed.
    pub(crate) formed: [u32; 2],
    /// Floats past the limit: from, to and their span, from left to right.
    pub(crate) floats: Vec<(Needle, Needle, u32)>,
}

#[derive(Debug, Clone)]
pub(crate) struct State {
    pub(crate) beds: [BedState; 2],
    pub(crate) pitch: Pitch,
    pub(crate) racking: Racking,
    pub(crate) carriage: Side,
    pub(crate) counter: u32,
    pub(crate) passes: u32,
    pub(crate) yarns: BTreeMap<Yarn, YarnState>,
    pub(crate) last_yarn: Option<Yarn>,
    pub(crate) holders: BTreeMap<Holder, Vec<Stack>>,
    pub(crate) comb: u32,
    pub(crate) weights: u32,
    /// A two-bed cast-on was knitted and nothing hangs yet.
    pub(crate) cast_on_bare: bool,
    pub(crate) ribber_down: bool,
    pub(crate) carrying: [u32; 2],
    /// Needles in work in order of place; rebuilt when the set or the places change.
    pub(crate) order: Vec<Met>,
    pub(crate) order_stale: bool,
    /// Every needle in work is working and carries loops, so that a pass meets them all alike.
    pub(crate) calm: bool,
    /// What passes over the needles in work make, by the settings of both beds.
    pub(crate) patterns: [Option<Pattern>; 9],
    pub(crate) facing: Option<(Needle, Needle)>,
}

impl State {
    pub(crate) fn new(profile: &Profile) -> State {
        let bed = |bed| match profile.reach(bed) {
            Some((first, last)) => {
                let n = usize::try_from(i32::from(last.0) - i32::from(first.0) + 1).unwrap_or(0);
                let spot = Spot { position: Position::Out, declared: false, stack: Stack::default() };
                BedState { first, spots: vec![spot; n] }
            }
            None => BedState { first: Slot(0), spots: Vec::new() },
        };
        State {
            beds: [bed(Bed::Main), bed(Bed::Ribber)],
            pitch: Pitch::Full,
            racking: Racking(0),
            carriage: Side::Right,
            counter: 0,
            passes: 0,
            yarns: BTreeMap::new(),
            last_yarn: None,
            holders: BTreeMap::new(),
            comb: 0,
            weights: 0,
            cast_on_bare: false,
            ribber_down: false,
            carrying: [0, 0],
            order: Vec::new(),
            order_stale: true,
            calm: false,
            patterns: [const { None }; 9],
            facing: None,
        }
    }

    pub(crate) fn spot(&self, needle: Needle) -> Option<&Spot> {
        let bed = &self.beds[needle.bed.index()];
        let i = i32::from(needle.slot.0) - i32::from(bed.first.0);
        usize::try_from(i).ok().and_then(|i| bed.spots.get(i))
    }

    pub(crate) fn spot_mut(&mut self, needle: Needle) -> Option<&mut Spot> {
        let bed = &mut self.beds[needle.bed.index()];
        let i = i32::from(needle.slot.0) - i32::from(bed.first.0);
        usize::try_from(i).ok().and_then(|i| bed.spots.get_mut(i))
    }

    /// Makes a bed wide enough for a needle, within what any machine has.
    pub(crate) fn widen(&mut self, needle: Needle) {
        const FARTHEST: i16 = 2_000;
        const MORE: i16 = 24;
        if self.spot(needle).is_some() || !(-FARTHEST..FARTHEST).contains(&needle.slot.0) {
            return;
        }
        let bed = &mut self.beds[needle.bed.index()];
        let none = || Spot { position: Position::Out, declared: false, stack: Stack::default() };
        if bed.spots.is_empty() {
            bed.first = needle.slot;
        }
        if needle.slot < bed.first {
            let more = (bed.first.0 - needle.slot.0 + MORE) as usize;
            bed.spots.splice(0..0, core::iter::repeat_with(none).take(more));
            bed.first = Slot(needle.slot.0 - MORE);
            self.order_stale = true;
        }
        let upto = (needle.slot.0 - bed.first.0 + MORE) as usize;
        if bed.spots.len() < upto {
            bed.spots.resize_with(upto, none);
        }
    }

    pub(crate) fn place(&self, needle: Needle) -> Place {
        Place::of(needle, self.pitch, self.racking)
    }

    pub(crate) fn needle(&self, met: Met) -> Needle {
        needle_at(&self.beds, met)
    }

    /// A needle came into work: it takes its place among the others.
    pub(crate) fn enters(&mut self, needle: Needle) {
        if self.order_stale {
            return;
        }
        let place = self.place(needle);
        let at = self.order.partition_point(|m| m.place < place);
        let index = i32::from(needle.slot.0) - i32::from(self.beds[needle.bed.index()].first.0);
        match u16::try_from(index) {
            Ok(index) if self.order.get(at).is_none_or(|m| m.place != place) => {
                self.order.insert(at, Met { place, bed: needle.bed, index });
                self.patterns = [const { None }; 9];
            }
            // Facing needles have to be looked for among all of them.
            _ => self.order_stale = true,
        }
    }

    /// A needle went out of work.
    pub(crate) fn leaves(&mut self, needle: Needle) {
        if self.order_stale {
            return;
        }
        let place = self.place(needle);
        let first = self.order.partition_point(|m| m.place < place);
        let here = |k: &usize| self.order.get(*k).is_some_and(|m| m.place == place && m.bed == needle.bed);
        if let Some(at) = [first, first + 1].into_iter().find(here) {
            self.order.remove(at);
            self.patterns = [const { None }; 9];
        }
        if self.facing.is_some_and(|(main, ribber)| [main, ribber].contains(&needle)) {
            self.find_facing();
        }
    }

    /// The first two needles from the left that stand at one place.
    fn find_facing(&mut self) {
        let pair = self.order.array_windows::<2>().find(|[a, b]| a.place == b.place).copied();
        self.facing = pair.map(|[a, b]| {
            let (main, ribber) = if a.bed == Bed::Main { (a, b) } else { (b, a) };
            (self.needle(main), self.needle(ribber))
        });
    }

    /// Puts the needles in work in order, and notes a facing pair.
    pub(crate) fn refresh_order(&mut self) {
        if !self.order_stale {
            return;
        }
        self.order_stale = false;
        self.patterns = [const { None }; 9];
        self.order.clear();
        for bed in Bed::BOTH {
            let state = &self.beds[bed.index()];
            for (i, _) in state.spots.iter().enumerate().filter(|(_, s)| s.position != Position::Out) {
                let index = u16::try_from(i).unwrap_or(u16::MAX);
                let met = Met { place: Place(0), bed, index };
                let place = Place::of(needle_at(&self.beds, met), self.pitch, self.racking);
                self.order.push(Met { place, ..met });
            }
        }
        self.order.sort_by_key(|m| m.place);
        self.find_facing();
    }
}

impl State {
    /// How the needles in work stand before a pass.
    pub(crate) fn look(&mut self) -> Stand {
        if self.calm {
            return Stand::Full;
        }
        let spot = |m: &Met| &self.beds[m.bed.index()].spots[usize::from(m.index)];
        if self.order.iter().any(|m| spot(m).position != Position::Working) {
            return Stand::Mixed;
        }
        self.calm = self.order.iter().all(|m| !spot(m).stack.is_empty());
        if self.calm { Stand::Full } else { Stand::SomeEmpty }
    }
}

pub(crate) fn needle_at(beds: &[BedState; 2], met: Met) -> Needle {
    let first = beds[met.bed.index()].first.0;
    Needle { bed: met.bed, slot: Slot(first + i16::try_from(met.index).unwrap_or(i16::MAX)) }
}
