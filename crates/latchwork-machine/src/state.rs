//! Where everything is: positions, stacks, carriages, counter, yarns, weights.

use std::collections::BTreeMap;

use crate::loops::LoopId;
use crate::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use crate::profile::Profile;
use crate::steps::{Holder, Yarn};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Position {
    Out,
    Working,
    Forward,
    Holding,
}

/// The loops on a needle, oldest first. One loop needs no memory of its own.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stack {
    first: u32,
    more: Vec<u32>,
}

impl Stack {
    #[inline]
    pub(crate) fn is_empty(&self) -> bool {
        self.first == 0
    }

    pub(crate) fn len(&self) -> usize {
        usize::from(self.first != 0) + self.more.len()
    }

    /// Exactly one loop.
    #[inline]
    pub(crate) fn single(&self) -> Option<LoopId> {
        (self.first != 0 && self.more.is_empty()).then_some(LoopId(self.first))
    }

    #[inline]
    pub(crate) fn set(&mut self, only: LoopId) {
        self.first = only.0;
        self.more.clear();
    }

    pub(crate) fn push(&mut self, id: LoopId) {
        if self.first == 0 {
            self.first = id.0;
        } else {
            self.more.push(id.0);
        }
    }

    pub(crate) fn top(&self) -> Option<LoopId> {
        self.more.last().copied().or((self.first != 0).then_some(self.first)).map(LoopId)
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = LoopId> + '_ {
        (self.first != 0).then_some(self.first).into_iter().chain(self.more.iter().copied()).map(LoopId)
    }

    pub(crate) fn append(&mut self, other: &Stack) {
        for id in other.iter() {
            self.push(id);
        }
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
#[derive(Debug, Clone, Copy)]
pub(crate) struct Met {
    pub(crate) place: Place,
    pub(crate) bed: Bed,
    pub(crate) index: u16,
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

    pub(crate) fn place(&self, needle: Needle) -> Place {
        Place::of(needle, self.pitch, self.racking)
    }

    pub(crate) fn needle(&self, met: Met) -> Needle {
        needle_at(&self.beds, met)
    }

    /// Puts the needles in work in order, and notes a facing pair.
    pub(crate) fn refresh_order(&mut self) {
        if !self.order_stale {
            return;
        }
        self.order_stale = false;
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
        let pair = self.order.array_windows::<2>().find(|[a, b]| a.place == b.place).copied();
        self.facing = pair.map(|[a, b]| {
            let (main, ribber) = if a.bed == Bed::Main { (a, b) } else { (b, a) };
            (self.needle(main), self.needle(ribber))
        });
    }
}

pub(crate) fn needle_at(beds: &[BedState; 2], met: Met) -> Needle {
    let first = beds[met.bed.index()].first.0;
    Needle { bed: met.bed, slot: Slot(first + i16::try_from(met.index).unwrap_or(i16::MAX)) }
}
