//! The loops of a run, in the order made.

use std::sync::OnceLock;

use crate::needle::{Bed, Needle, Slot};
use crate::steps::Way;

/// A loop, by its number in the order made, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LoopId(pub u32);

/// How a loop was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Drawn through the loops that were on the needle, or laid over an empty one.
    Knit,
    /// Laid on top of the loops that were on the needle.
    Tuck,
    /// Wound round an empty needle by hand.
    Wrap,
    /// An edge of another piece, hung on the needle.
    Hung,
}

/// How a loop ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fate {
    /// Still on a needle or a holder.
    Live,
    /// Knitted through by this loop.
    Knitted(LoopId),
    /// Made fast at an ending; for loop through loop, with the loop that holds it (none: the yarn's end).
    Secured(Way, Option<LoopId>),
    /// Let off on purpose.
    Released,
}

const LIVE: u32 = 0;
const SECURED: u32 = 0xFFFF_FFF0;
const RELEASED: u32 = 0xFFFF_FFFF;

/// The bit that marks an entry of `through` as the place where several loops are listed.
const SEVERAL: u32 = 1 << 31;

/// Loops made one after the other on needles that are listed one after the other.
#[derive(Debug, Clone, Copy)]
struct Batch {
    first: u32,
    /// Where the first loop's needle is in the list of needles.
    at: u32,
    /// Whether the list is followed backwards.
    back: bool,
}

/// All loops of a run. Four bytes a loop where a pass meets the same needles as one before it and each loop is drawn
/// through one other; eight to sixteen where loops are drawn through several. How each ended takes four more once it is
/// asked for.
#[derive(Debug, Clone, Default)]
pub struct Loops {
    batches: Vec<Batch>,
    /// Slot in the low 16 bits, then bed, kind (2 bits), second yarn. Passes that are alike share one list.
    made: Vec<u32>,
    /// Loops made fast or let off: which, how, and how many loops were made by then.
    ended: Vec<(u32, u32, u32)>,
    /// How every loop ended, worked out from the rest when it is first asked for.
    fates: OnceLock<Vec<u32>>,
    /// None (0), one, or where several are listed.
    through: Vec<u32>,
    /// How many, then which.
    several: Vec<u32>,
    held_by: Vec<(u32, u32)>,
}

const BED: u32 = 1 << 16;
const TUCK: u32 = 1 << 17;
const WRAP: u32 = 1 << 18;
const SECOND: u32 = 1 << 19;

fn bits(needle: Needle, kind: Kind, second: bool) -> u32 {
    let bed = if needle.bed == Bed::Main { 0 } else { BED };
    let kind = match kind {
        Kind::Knit => 0,
        Kind::Tuck => TUCK,
        Kind::Wrap => WRAP,
        Kind::Hung => TUCK | WRAP,
    };
    u32::from(needle.slot.0 as u16) | bed | kind | if second { SECOND } else { 0 }
}

fn needle_of(made: u32) -> Needle {
    let bed = if made & BED == 0 { Bed::Main } else { Bed::Ribber };
    Needle { bed, slot: Slot((made & 0xFFFF) as u16 as i16) }
}

fn kind_of(made: u32) -> Kind {
    match (made & TUCK != 0, made & WRAP != 0) {
        (true, true) => Kind::Hung,
        (true, false) => Kind::Tuck,
        (false, true) => Kind::Wrap,
        (false, false) => Kind::Knit,
    }
}

impl Loops {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.through.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.through.is_empty()
    }

    /// Bytes that they take up.
    #[must_use]
    pub fn bytes(&self) -> usize {
        4 * (self.made.len() + self.fates.get().map_or(0, Vec::len) + self.through.len() + self.several.len())
            + 12 * self.ended.len()
            + size_of::<Batch>() * self.batches.len()
            + 8 * self.held_by.len()
    }

    /// All numbers, in the order made.
    pub fn ids(&self) -> impl Iterator<Item = LoopId> + use<> {
        (1..=self.next_number() - 1).map(LoopId)
    }

    fn next_number(&self) -> u32 {
        u32::try_from(self.through.len() + 1).unwrap_or(SEVERAL)
    }

    fn made(&self, id: LoopId) -> u32 {
        let batch = self.batches[self.batches.partition_point(|b| b.first <= id.0) - 1];
        let k = id.0 - batch.first;
        self.made[if batch.back { batch.at - k } else { batch.at + k } as usize]
    }

    /// The needle it was made on.
    #[must_use]
    pub fn needle(&self, id: LoopId) -> Needle {
        needle_of(self.made(id))
    }

    /// How it was made.
    #[must_use]
    pub fn kind(&self, id: LoopId) -> Kind {
        kind_of(self.made(id))
    }

    /// The batch of these loops, if they were made in one go along a list of needles.
    fn one_go(&self, numbers: &core::ops::Range<u32>) -> Option<Batch> {
        let at = self.batches.partition_point(|b| b.first <= numbers.start).checked_sub(1)?;
        let end = self.batches.get(at + 1).map_or_else(|| self.next_number(), |b| b.first);
        let batch = self.batches[at];
        (batch.first == numbers.start && end == numbers.end && numbers.start < end).then_some(batch)
    }

    /// A key by which passes are compared: passes with the same key made loops in the same ways on the same needles, in
    /// either direction. None where it is not known.
    #[must_use]
    pub fn alike(&self, numbers: &core::ops::Range<u32>) -> Option<(u32, u32)> {
        let batch = self.one_go(numbers)?;
        let count = numbers.end - numbers.start;
        Some((if batch.back { batch.at + 1 - count } else { batch.at }, count))
    }

    /// The needles of the first and the last of these loops.
    #[must_use]
    pub fn ends(&self, numbers: &core::ops::Range<u32>) -> Option<(Needle, Needle)> {
        if numbers.is_empty() {
            return None;
        }
        let Some(batch) = self.one_go(numbers) else {
            return Some((self.needle(LoopId(numbers.start)), self.needle(LoopId(numbers.end - 1))));
        };
        let on = numbers.end - numbers.start - 1;
        let last = if batch.back { batch.at - on } else { batch.at + on };
        Some((needle_of(self.made[batch.at as usize]), needle_of(self.made[last as usize])))
    }

    /// These loops (numbers from, up to but not including), each with its needle and how it was made: faster than
    /// asking for them one by one.
    pub fn each(&self, numbers: core::ops::Range<u32>) -> impl Iterator<Item = (LoopId, Needle, Kind)> {
        let first = self.batches.partition_point(|b| b.first <= numbers.start).saturating_sub(1);
        let end = numbers.end;
        let batches = self.batches.get(first..).unwrap_or_default();
        batches.iter().enumerate().take_while(move |(_, b)| b.first < end).flat_map(move |(i, batch)| {
            let next = batches.get(i + 1).map_or_else(|| self.next_number(), |b| b.first).min(end);
            (numbers.start.max(batch.first)..next).map(move |id| {
                let k = id - batch.first;
                let made = self.made[if batch.back { batch.at - k } else { batch.at + k } as usize];
                (LoopId(id), needle_of(made), kind_of(made))
            })
        })
    }

    /// How many of these loops (numbers from, up to but not including) were knitted, tucked, wrapped and hung. `near`
    /// is where the loops last asked for were found: loops made soon after those are found at once.
    #[must_use]
    pub fn kinds(&self, numbers: core::ops::Range<u32>, near: &mut usize) -> [u32; 4] {
        let mut count = [0; 4];
        let begun = |i: usize| self.batches.get(i).is_some_and(|b| b.first <= numbers.start);
        let mut i = match *near {
            here if begun(here) && !begun(here + 1) => here,
            here if begun(here + 1) && !begun(here + 2) => here + 1,
            _ => self.batches.partition_point(|b| b.first <= numbers.start).saturating_sub(1),
        };
        *near = i;
        while let Some(batch) = self.batches.get(i).filter(|b| b.first < numbers.end) {
            let end = self.batches.get(i + 1).map_or_else(|| self.next_number(), |b| b.first).min(numbers.end);
            let (from, to) = (numbers.start.max(batch.first) - batch.first, end.max(batch.first) - batch.first);
            let (a, b) =
                if batch.back { (batch.at + 1 - to, batch.at + 1 - from) } else { (batch.at + from, batch.at + to) };
            let made = &self.made[a as usize..b as usize];
            // Counted by their bits, without a branch for each loop: this is asked of every pass.
            let (mut tuck, mut wrap, mut hung) = (0, 0, 0);
            for m in made {
                tuck += (m / TUCK) & 1;
                wrap += (m / WRAP) & 1;
                hung += (m / TUCK) & (m / WRAP) & 1;
            }
            let all = to - from;
            for (n, of_kind) in count.iter_mut().zip([all + hung - tuck - wrap, tuck - hung, wrap - hung, hung]) {
                *n += of_kind;
            }
            i += 1;
        }
        count
    }

    /// Whether it is of the pass's second yarn.
    #[must_use]
    pub fn second_yarn(&self, id: LoopId) -> bool {
        self.made(id) & SECOND != 0
    }

    /// The loops it was drawn through, in stack order (oldest on the needle first).
    #[must_use]
    pub fn through(&self, id: LoopId) -> &[u32] {
        let through = &self.through[at(id)];
        match *through {
            0 => &[],
            one if one & SEVERAL == 0 => core::slice::from_ref(through),
            list => {
                let start = (list & !SEVERAL) as usize;
                &self.several[start + 1..=start + self.several[start] as usize]
            }
        }
    }

    /// How it ended.
    #[must_use]
    pub fn fate(&self, id: LoopId) -> Fate {
        match self.fates.get_or_init(|| self.worked_out())[at(id)] {
            LIVE => Fate::Live,
            RELEASED => Fate::Released,
            f if f >= SECURED => {
                let way = match f - SECURED {
                    0 => Way::LoopThroughLoop,
                    1 => Way::Chain,
                    2 => Way::Sewn,
                    3 => Way::Gathered,
                    _ => Way::Waste,
                };
                let holder = self.held_by.binary_search_by_key(&id.0, |h| h.0).ok().map(|i| LoopId(self.held_by[i].1));
                Fate::Secured(way, holder)
            }
            f => Fate::Knitted(LoopId(f)),
        }
    }

    /// Makes room for this many more loops: a guess that saves moving them as they grow.
    pub(crate) fn reserve(&mut self, loops: usize) {
        self.through.reserve(loops);
    }

    pub(crate) fn add(&mut self, needle: Needle, kind: Kind, second: bool) -> LoopId {
        let id = LoopId(self.next_number());
        let place = self.made.len() as u32;
        let goes_on = self.batches.last().is_some_and(|b| !b.back && b.at + (id.0 - b.first) == place);
        if !goes_on {
            self.batches.push(Batch { first: id.0, at: place, back: false });
        }
        self.made.push(bits(needle, kind, second));
        self.through.push(0);
        id
    }

    /// Prepares for at most this many loops made one after the other.
    pub(crate) fn open_row(&mut self, most: usize) {
        self.made.reserve(most);
        self.through.reserve(most);
        let (first, at) = (self.next_number(), self.made.len() as u32);
        let goes_on = self.batches.last().is_some_and(|b| !b.back && b.at + (first - b.first) == at);
        if !goes_on {
            self.batches.push(Batch { first, at, back: false });
        }
    }

    /// The next loop of a prepared row, drawn through these.
    #[inline]
    pub(crate) fn add_in_row(&mut self, needle: Needle, kind: Kind, second: bool, through: &[u32]) -> LoopId {
        let through = match through {
            [] => 0,
            old => Drawing { several: &mut self.several }.through(old),
        };
        self.made.push(bits(needle, kind, second));
        self.through.push(through);
        LoopId(self.through.len() as u32)
    }

    /// Lists needles that passes will meet again and again; gives the place of the list.
    pub(crate) fn list(&mut self, needles: impl Iterator<Item = (Needle, Kind)>) -> u32 {
        let at = self.made.len() as u32;
        self.made.extend(needles.map(|(n, k)| bits(n, k, false)));
        at
    }

    /// Makes this many loops on the needles listed at `list`, forwards or backwards; gives the number of the first, the
    /// entries where each notes what it is drawn through (none yet), and the sink for several.
    pub(crate) fn add_all(&mut self, list: u32, back: bool, count: usize) -> (u32, &mut [u32], Drawing<'_>) {
        let (first, start) = (self.next_number(), self.through.len());
        if let Some(end) = count.checked_sub(1) {
            self.batches.push(Batch { first, at: if back { list + end as u32 } else { list }, back });
        }
        self.through.resize(start + count, 0);
        (first, &mut self.through[start..], Drawing { several: &mut self.several })
    }

    pub(crate) fn secure(&mut self, id: LoopId, way: Way, holder: Option<LoopId>) {
        let code = match way {
            Way::LoopThroughLoop => 0,
            Way::Chain => 1,
            Way::Sewn => 2,
            Way::Gathered => 3,
            Way::Waste => 4,
        };
        self.end(id, SECURED + code);
        if let Some(holder) = holder {
            let i = self.held_by.partition_point(|h| h.0 < id.0);
            self.held_by.insert(i, (id.0, holder.0));
        }
    }

    pub(crate) fn release(&mut self, id: LoopId) {
        self.end(id, RELEASED);
    }

    fn end(&mut self, id: LoopId, how: u32) {
        self.fates.take();
        self.ended.push((id.0, how, self.next_number() - 1));
    }

    /// How every loop ended: knitted through by the last loop drawn through it, unless it was made fast or let off
    /// after that.
    fn worked_out(&self) -> Vec<u32> {
        let mut fates = vec![LIVE; self.len()];
        for new in self.ids() {
            for old in self.through(new) {
                fates[*old as usize - 1] = new.0;
            }
        }
        for (id, how, made) in &self.ended {
            let fate = &mut fates[*id as usize - 1];
            if *fate <= *made || *fate >= SECURED {
                *fate = *how;
            }
        }
        fates
    }

    pub(crate) fn exists(&self, number: u32) -> bool {
        number >= 1 && (number as usize) <= self.through.len()
    }
}

/// Where the loops of a whole pass note what they are drawn through.
pub(crate) struct Drawing<'a> {
    several: &'a mut Vec<u32>,
}

impl Drawing<'_> {
    /// The new loop is drawn through these; gives what stands for them.
    #[inline]
    pub(crate) fn through(&mut self, stack: &[u32]) -> u32 {
        let list = SEVERAL | self.several.len() as u32;
        match stack {
            [one] => return *one,
            // A loop with one tuck on it, by far the most common case.
            [a, b] => self.several.extend_from_slice(&[2, *a, *b]),
            all => {
                self.several.push(all.len() as u32);
                self.several.extend_from_slice(all);
            }
        }
        list
    }
}

#[inline]
fn at(id: LoopId) -> usize {
    id.0 as usize - 1
}
