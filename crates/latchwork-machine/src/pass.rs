//! One trip of the carriages: every needle in work is met in order of place.

use crate::act::Bench;
use crate::fault::Fault;
use crate::loops::{Drawing, Kind, LoopId};
use crate::needle::{Bed, Needle, Place, Side};
use crate::state::{BedState, Met, Pattern, Position, Stack, Stand, YarnState, needle_at};
use crate::steps::{Mark, Pass, Setting};

impl Bench<'_> {
    pub(crate) fn pass(&mut self, p: &Pass) -> Result<(), Fault> {
        self.state.refresh_order();
        if let Some((main, ribber)) = self.state.facing {
            return Err(Fault::Facing { main, ribber });
        }
        if self.state.carriage == p.direction {
            return Err(Fault::WrongSide { stands: self.state.carriage });
        }
        if p.laid.is_some() && (p.main.setting != Setting::Knit || p.yarn.is_none() || p.second.is_some()) {
            return Err(Fault::LaidWithout);
        }
        for yarn in [p.yarn, p.second, p.laid].into_iter().flatten() {
            match self.state.yarns.get(&yarn) {
                None => return Err(Fault::NoYarn { yarn }),
                Some(y) if y.side == p.direction => return Err(Fault::YarnElsewhere { yarn, waits: y.side }),
                Some(y) => {
                    let passes = self.state.passes - y.used_at;
                    if passes > 6 {
                        self.warnings.push(Fault::CarriedYarn { yarn, passes });
                    }
                }
            }
        }
        if self.state.ribber_down
            && let Some(met) = self.state.order.iter().find(|m| m.bed == Bed::Ribber)
        {
            return Err(Fault::RibberIsDown { needle: self.state.needle(*met) });
        }
        let was_empty = self.state.carrying == [0, 0];
        let bare = self.state.cast_on_bare;
        let formed = self.meet(p)?;
        if let (true, Some(yarn)) = (formed[0] + formed[1] > 0, p.yarn) {
            self.state.last_yarn = Some(yarn);
        }
        self.state.passes += 1;
        self.state.carriage = p.direction;
        if p.counted {
            self.state.counter += 1;
        }
        for yarn in [p.yarn, p.second, p.laid].into_iter().flatten() {
            self.state.yarns.insert(yarn, YarnState { side: p.direction, used_at: self.state.passes });
        }
        if formed[0] + formed[1] > 0 {
            if bare {
                return Err(Fault::NothingHangs);
            }
            self.weigh();
        }
        if was_empty && formed[0] > 0 && formed[1] > 0 && self.state.comb + self.state.weights == 0 {
            self.state.cast_on_bare = true;
        }
        Ok(())
    }

    /// Meets every needle in work in the direction of travel; gives the loops formed on each bed.
    #[expect(clippy::too_many_lines, reason = "what meets a needle, from its position to its loop, in one place")]
    fn meet(&mut self, p: &Pass) -> Result<[u32; 2], Fault> {
        if p.yarn.is_some() && p.second.is_none() && p.laid.is_none() && p.mark == Mark::Plain {
            match self.state.look() {
                Stand::Full if self.unnumbered => return Ok(self.over_all(p)),
                Stand::Full => return self.meet_alike::<false>(p),
                Stand::SomeEmpty => return self.meet_alike::<true>(p),
                Stand::Mixed => {}
            }
        }
        self.state.calm = false;
        let settings = [p.main, p.ribber];
        let tuck_limit = self.profile.tucks.value;
        let float_limit = self.profile.float.value * 2;
        let state = &mut self.state;
        let n = state.order.len();
        self.loops.open_row(n);
        let mut formed = [0_u32; 2];
        let mut edges = [Edges::default(); 2];
        let mut before: [Option<(Place, Needle)>; 2] = [None, None];
        let mut empty_before: Option<Needle> = None;
        let mut last: Option<(Needle, Kind)> = None;
        let mut error: Option<Fault> = None;
        let mut fallen: Vec<(Needle, Stack)> = Vec::new();
        // The needle that the laid yarn last went over.
        let mut over: Option<(Place, Needle)> = None;
        for k in 0..n {
            let met = state.order[if p.direction == Side::Right { k } else { n - 1 - k }];
            let b = met.bed.index();
            let needle = needle_at(&state.beds, met);
            let spot = &mut state.beds[b].spots[usize::from(met.index)];
            let (setting, came_forward) = match spot.position {
                Position::Working => (settings[b].setting, false),
                Position::Forward => (Setting::Knit, true),
                Position::Holding if settings[b].hold => (Setting::Slip, true),
                Position::Holding => (Setting::Knit, true),
                Position::Out => continue,
            };
            let held = spot.position == Position::Holding && settings[b].hold;
            let second = p.second.is_some() && spot.position == Position::Forward;
            if p.laid.is_some() && spot.position == Position::Forward {
                self.warnings.extend(long_float(over.replace((met.place, needle)), (met.place, needle), float_limit));
                self.laid.push(needle);
            }
            let yarn = if second { p.second } else { p.yarn };
            let missed = setting == Setting::Slip && !held;
            let slipped = missed.then_some((met.place, needle));
            edges[b].first.get_or_insert(slipped);
            edges[b].last = slipped;
            if came_forward && !held {
                spot.position = Position::Working;
            }
            let kind = match setting {
                Setting::Slip => continue,
                Setting::Knit if yarn.is_none() => {
                    if !spot.stack.is_empty() {
                        if p.mark != Mark::Release {
                            let loops = u32::try_from(spot.stack.len()).unwrap_or(u32::MAX);
                            error.get_or_insert(Fault::FellOff { needle, loops });
                        }
                        let off = core::mem::take(&mut spot.stack);
                        state.carrying[b] -= 1;
                        fallen.push((needle, off));
                    }
                    continue;
                }
                Setting::Tuck if yarn.is_none() => continue,
                Setting::Knit => Kind::Knit,
                Setting::Tuck => Kind::Tuck,
            };
            let empty = spot.stack.is_empty();
            let through = if kind == Kind::Knit { spot.stack.ids() } else { &[] };
            let new = self.loops.add_in_row(needle, kind, second, through);
            if kind == Kind::Knit {
                if empty && !spot.declared {
                    self.warnings.push(Fault::Undeclared { needle });
                }
                if let Some(loops) = too_many(&spot.stack) {
                    self.warnings.push(Fault::ManyThrough { needle, loops });
                }
                spot.stack.set(new);
            } else {
                spot.stack.push(new, true);
                let tucks = spot.stack.tucks();
                if tucks > tuck_limit {
                    error.get_or_insert(Fault::TooManyTucks { needle, tucks, limit: tuck_limit });
                } else if tucks == tuck_limit {
                    self.warnings.push(Fault::TucksAtLimit { needle, tucks });
                }
                if last.is_none() {
                    self.warnings.push(Fault::FirstTuck { needle });
                }
            }
            spot.declared = false;
            if empty {
                state.carrying[b] += 1;
                if let Some(first) = empty_before
                    && first.bed == needle.bed
                    && p.mark != Mark::OpenStart
                {
                    error.get_or_insert(Fault::TwoEmpties { first, second: needle });
                }
            }
            empty_before = empty.then_some(needle);
            let from = before[usize::from(second)].replace((met.place, needle));
            self.warnings.extend(long_float(from, (met.place, needle), float_limit));
            formed[b] += 1;
            edges[b].reach = Some([edges[b].reach.map_or(met.place, |r| r[0]), met.place]);
            last = Some((needle, kind));
        }
        for (needle, off) in &fallen {
            self.let_go(*needle, off);
        }
        if let Some((needle, Kind::Tuck)) = last {
            error.get_or_insert(Fault::LastTuck { needle });
        }
        self.warnings.extend(ends_missed(p.direction, edges).into_iter().flatten());
        error.map_or(Ok(formed), Err)
    }

    /// Loops that a pass forms on each bed where every needle in work is working and carries loops.
    fn over_all(&self, p: &Pass) -> [u32; 2] {
        let [main, ribber] = self.state.carrying;
        let forms = |setting, n| if setting == Setting::Slip { 0 } else { n };
        [forms(p.main.setting, main), forms(p.ribber.setting, ribber)]
    }

    /// As [`Bench::meet`], when all needles in work are working: none is missed unless its whole bed is, and none is
    /// forward. The caller says whether some may be empty, as looking at each takes time.
    fn meet_alike<const SOME_EMPTY: bool>(&mut self, p: &Pass) -> Result<[u32; 2], Fault> {
        let settings = [p.main.setting, p.ribber.setting];
        let key = settings[0] as usize * 3 + settings[1] as usize;
        let pattern = match self.state.patterns[key].take() {
            Some(known) => known,
            None => self.pattern(settings),
        };
        let back = p.direction == Side::Left;
        for &(a, b, halves) in &pattern.floats {
            let (from, to) = if back { (b, a) } else { (a, b) };
            self.warnings.push(Fault::LongFloat { from, to, halves, limit: self.profile.float.value });
        }
        let (first, through, drawing) = self.loops.add_all(pattern.list, back, pattern.needles.len());
        let row = Row {
            beds: &mut self.state.beds,
            carrying: &mut self.state.carrying,
            warnings: &mut self.warnings,
            tuck_limit: self.profile.tucks.value,
            knits: settings.map(|s| s == Setting::Knit),
            drawing,
        };
        let error = if back {
            row.met::<SOME_EMPTY>(pattern.needles.iter().rev(), first, through)
        } else {
            row.met::<SOME_EMPTY>(pattern.needles.iter(), first, through)
        };
        let formed = pattern.formed;
        self.state.patterns[key] = Some(pattern);
        error.map_or(Ok(formed), Err)
    }

    fn pattern(&mut self, settings: [Setting; 2]) -> Pattern {
        let state = &self.state;
        let forms = |m: &&Met| settings[m.bed.index()] != Setting::Slip;
        let needles: Vec<Met> = state.order.iter().filter(forms).copied().collect();
        let kind = |m: &Met| if settings[m.bed.index()] == Setting::Tuck { Kind::Tuck } else { Kind::Knit };
        let list = self.loops.list(needles.iter().map(|m| (state.needle(*m), kind(m))));
        let count = |bed| u32::try_from(needles.iter().filter(|m| m.bed == bed).count()).unwrap_or(u32::MAX);
        let limit = self.profile.float.value * 2;
        let spans =
            needles.array_windows::<2>().map(|[a, b]| (state.needle(*a), state.needle(*b), a.place.to(b.place)));
        Pattern { list, formed: Bed::BOTH.map(count), floats: spans.filter(|s| s.2 > limit).collect(), needles }
    }

    /// Compares what hangs with the band, while anything hangs.
    fn weigh(&mut self) {
        let grams = self.state.comb + self.state.weights;
        let needles = self.state.carrying[0] + self.state.carrying[1];
        let (least, most) = (self.profile.least_grams.value, self.profile.most_grams.value);
        if grams > 0 && (grams < least * needles || grams > most * needles) {
            self.warnings.push(Fault::Weight { grams, needles, least, most });
        }
    }
}

/// A strand from needle to needle that is longer than the limit, in half pitches.
fn long_float(from: Option<(Place, Needle)>, (to_place, to): (Place, Needle), limit: u32) -> Option<Fault> {
    let (place, from) = from?;
    let halves = place.to(to_place);
    (halves > limit).then_some(Fault::LongFloat { from, to, halves, limit: limit / 2 })
}

/// The ends of a row on one bed.
#[derive(Clone, Copy, Default)]
struct Edges {
    /// The needle met first, where it was missed by a slip setting.
    first: Option<Option<(Place, Needle)>>,
    /// The needle met last, where it was missed so.
    last: Option<(Place, Needle)>,
    /// Where the first and the last loop were formed.
    reach: Option<[Place; 2]>,
}

/// Ends that a bed with loops misses, and that no loop of the other bed holds: one beyond the needle, or within one pitch
/// of it.
fn ends_missed(direction: Side, edges: [Edges; 2]) -> [Option<Fault>; 4] {
    let missed = |b: usize, end: usize| {
        edges[b].reach?;
        let (at, needle) = [edges[b].first.flatten(), edges[b].last][end]?;
        let holds = |loop_at: Place| {
            let outward = if end == usize::from(direction == Side::Right) { loop_at > at } else { loop_at < at };
            outward || loop_at.to(at) <= 2
        };
        let held = edges[1 - b].reach.is_some_and(|r| holds(r[end]));
        (!held).then_some(Fault::EndMissed { needle })
    };
    [missed(0, 0), missed(0, 1), missed(1, 0), missed(1, 1)]
}

/// A row over needles that are all working: what it changes.
struct Row<'a> {
    beds: &'a mut [BedState; 2],
    carrying: &'a mut [u32; 2],
    warnings: &'a mut Vec<Fault>,
    tuck_limit: u32,
    /// Whether a bed knits; if not, it tucks.
    knits: [bool; 2],
    drawing: Drawing<'a>,
}

impl Row<'_> {
    /// Makes a loop on each needle, numbered from the first; notes what it is drawn through, and gives the first error.
    fn met<'m, const SOME_EMPTY: bool>(
        mut self,
        needles: impl Iterator<Item = &'m Met>,
        first: u32,
        through: &mut [u32],
    ) -> Option<Fault> {
        let mut error: Option<Fault> = None;
        let mut empty_before: Option<Met> = None;
        let (mut last_tucked, mut number) = (None, first);
        for (drawn_through, met) in through.iter_mut().zip(needles) {
            let new = LoopId(number);
            number += 1;
            let b = met.bed.index();
            let spot = &mut self.beds[b].spots[usize::from(met.index)];
            if SOME_EMPTY {
                let before = empty_before.take();
                if spot.stack.is_empty() {
                    let undeclared = !core::mem::take(&mut spot.declared) && self.knits[b];
                    self.carrying[b] += 1;
                    empty_before = Some(*met);
                    if let Some(before) = before.filter(|before| before.bed == met.bed) {
                        let (first, second) = (needle_at(self.beds, before), needle_at(self.beds, *met));
                        error.get_or_insert(Fault::TwoEmpties { first, second });
                    }
                    if undeclared {
                        self.warnings.push(Fault::Undeclared { needle: needle_at(self.beds, *met) });
                    }
                }
            }
            let stack = &mut self.beds[b].spots[usize::from(met.index)].stack;
            if self.knits[b] {
                last_tucked = None;
                *drawn_through = match stack.replace_only(new) {
                    Some(one) => one,
                    None if SOME_EMPTY && stack.is_empty() => {
                        stack.set(new);
                        0
                    }
                    None => {
                        let (list, loops) = (self.drawing.through(stack.ids()), too_many(stack));
                        stack.set(new);
                        if let Some(loops) = loops {
                            self.warnings.push(Fault::ManyThrough { needle: needle_at(self.beds, *met), loops });
                        }
                        list
                    }
                };
                continue;
            }
            last_tucked = Some(*met);
            stack.push(new, true);
            let tucks = stack.tucks();
            if tucks >= self.tuck_limit {
                let (needle, limit) = (needle_at(self.beds, *met), self.tuck_limit);
                if tucks > limit {
                    error.get_or_insert(Fault::TooManyTucks { needle, tucks, limit });
                } else {
                    self.warnings.push(Fault::TucksAtLimit { needle, tucks });
                }
            }
            if number == first + 1 {
                self.warnings.push(Fault::FirstTuck { needle: needle_at(self.beds, *met) });
            }
        }
        if let Some(met) = last_tucked {
            error.get_or_insert(Fault::LastTuck { needle: needle_at(self.beds, met) });
        }
        error
    }
}

/// How many loops other than tucks are knitted through at once, if they are more than three.
fn too_many(stack: &Stack) -> Option<u32> {
    let ids = stack.ids();
    if ids.len() <= 3 {
        return None;
    }
    let loops = u32::try_from(ids.len()).unwrap_or(u32::MAX) - stack.tucks();
    (loops > 3).then_some(loops)
}
