//! One function for each kind of step: state and step in, state and loops out. Nothing looks ahead.

use crate::fault::{Fault, Level};
use crate::loops::{Drawing, Kind, LoopId, Loops};
use crate::needle::{Bed, Needle, Side};
use crate::profile::Profile;
use crate::rehearsal::Reading;
use crate::state::{Met, Pattern, Position, Stack, State, YarnState, needle_at};
use crate::steps::{Action, Claim, Holder, Leaves, Load, Mark, Move, Pass, Setting, Way, Yarn};

/// The machine at work on one piece.
pub(crate) struct Bench<'a> {
    pub(crate) profile: &'a Profile,
    pub(crate) state: State,
    pub(crate) loops: Loops,
    /// Warnings of the step in hand.
    pub(crate) warnings: Vec<Fault>,
}

impl Bench<'_> {
    /// The first step begins the piece, and no other does.
    pub(crate) fn begin_or_act(&mut self, step: usize, action: &Action) -> Result<(), Fault> {
        match (action, step) {
            (Action::Start { carriage, pitch, racking }, 0) => {
                self.state.carriage = *carriage;
                self.state.pitch = *pitch;
                self.state.racking = *racking;
                Ok(())
            }
            (_, 0) => Err(Fault::Start),
            (action, _) => self.act(action),
        }
    }

    /// What stands on the machine now.
    pub(crate) fn reading(&self) -> Reading {
        let state = &self.state;
        Reading {
            counter: state.counter,
            carriage: state.carriage,
            stitches: (state.carrying[0], state.carrying[1]),
            loops: u32::try_from(self.loops.len()).unwrap_or(u32::MAX),
            grams: state.comb + state.weights,
        }
    }

    /// Does one step. Warnings change nothing; an error ends the run of the piece.
    pub(crate) fn act(&mut self, action: &Action) -> Result<(), Fault> {
        let hands_off = matches!(
            action,
            Action::Pass(_)
                | Action::Claim(_)
                | Action::Counter(_)
                | Action::Hang { .. }
                | Action::Unhang { .. }
                | Action::MoveUp(_)
        );
        self.state.calm &= hands_off;
        match action {
            Action::Start { .. } => Err(Fault::Start),
            Action::Pass(p) => self.pass(p),
            Action::IntoWork(needles) => needles.iter().try_for_each(|n| self.bring_in(*n)),
            Action::OutOfWork(needles) => needles.iter().try_for_each(|n| self.out_of_work(*n)),
            Action::Hold(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Holding)),
            Action::Forward(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Forward)),
            Action::BackToWorking(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Working)),
            Action::Transfer(m) => self.move_stacks(core::slice::from_ref(m)),
            Action::MoveTogether(moves) => self.move_stacks(moves),
            Action::Wrap { needles, yarn } => self.wrap(needles, *yarn),
            Action::TurnWrap { needle, yarn } => self.turn_wrap(*needle, *yarn),
            Action::TakeOff { needles, holder } => self.take_off(needles, *holder),
            Action::PutBack { holder, needles } => self.put_back(*holder, needles),
            Action::PickUp { loop_number, needle } => self.pick_up(*loop_number, *needle),
            Action::Rack(racking) => {
                self.state.racking = *racking;
                self.state.order_stale = true;
                Ok(())
            }
            Action::Pitch(pitch) => {
                self.state.pitch = *pitch;
                self.state.order_stale = true;
                Ok(())
            }
            Action::Join { yarn, side } => {
                let state = YarnState { side: *side, used_at: self.state.passes };
                self.state.yarns.insert(*yarn, state);
                Ok(())
            }
            Action::Cut(yarn) => self.state.yarns.remove(yarn).map(drop).ok_or(Fault::NoYarn { yarn: *yarn }),
            Action::Hang { load, grams } => {
                *self.load(*load) += grams;
                self.state.cast_on_bare = false;
                Ok(())
            }
            Action::MoveUp(load) => {
                let hangs = *self.load(*load);
                if hangs == 0 { Err(Fault::NotHanging { load: *load, hangs, asked: 1 }) } else { Ok(()) }
            }
            Action::Unhang { load, grams } => {
                let hangs = self.load(*load);
                match hangs.checked_sub(*grams) {
                    Some(rest) => {
                        *hangs = rest;
                        Ok(())
                    }
                    None => Err(Fault::NotHanging { load: *load, hangs: *hangs, asked: *grams }),
                }
            }
            Action::Counter(reading) => {
                self.state.counter = *reading;
                Ok(())
            }
            Action::RibberDown => self.ribber_down(),
            Action::RibberUp => {
                self.state.ribber_down = false;
                Ok(())
            }
            Action::Secure { needles, way, cut_length } => self.secure(needles, *way, *cut_length),
            Action::Release(needles) => needles.iter().try_for_each(|n| self.release(*n)),
            Action::Claim(claim) => self.claim(claim),
        }
    }

    fn load(&mut self, load: Load) -> &mut u32 {
        match load {
            Load::Comb => &mut self.state.comb,
            Load::Weights => &mut self.state.weights,
        }
    }

    fn pass(&mut self, p: &Pass) -> Result<(), Fault> {
        self.state.refresh_order();
        if let Some((main, ribber)) = self.state.facing {
            return Err(Fault::Facing { main, ribber });
        }
        if self.state.carriage == p.direction {
            return Err(Fault::WrongSide { stands: self.state.carriage });
        }
        for yarn in [p.yarn, p.second].into_iter().flatten() {
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
        for yarn in [p.yarn, p.second].into_iter().flatten() {
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
    fn meet(&mut self, p: &Pass) -> Result<[u32; 2], Fault> {
        if p.yarn.is_some() && p.second.is_none() && p.mark == Mark::Plain && self.state.look() {
            return self.meet_alike(p);
        }
        self.state.calm = false;
        let settings = [p.main, p.ribber];
        let tuck_limit = self.profile.tucks.value;
        let float_limit = self.profile.float.value * 2;
        let state = &mut self.state;
        let n = state.order.len();
        let mut formed = [0_u32; 2];
        // Per bed: was the outermost needle met first, and the one met last, missed by a slip setting?
        let mut first_missed: [Option<Option<Needle>>; 2] = [None, None];
        let mut last_missed: [Option<Needle>; 2] = [None, None];
        let mut before: [Option<(crate::needle::Place, Needle)>; 2] = [None, None];
        let mut empty_before: Option<Needle> = None;
        let mut last: Option<(Needle, Kind)> = None;
        let mut error: Option<Fault> = None;
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
            let yarn = if second { p.second } else { p.yarn };
            let missed = setting == Setting::Slip && !held;
            let slipped = missed.then_some(needle);
            first_missed[b].get_or_insert(slipped);
            last_missed[b] = slipped;
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
                        for id in spot.stack.iter() {
                            self.loops.release(id);
                        }
                        spot.stack = Stack::default();
                        state.carrying[b] -= 1;
                    }
                    continue;
                }
                Setting::Tuck if yarn.is_none() => continue,
                Setting::Knit => Kind::Knit,
                Setting::Tuck => Kind::Tuck,
            };
            let empty = spot.stack.is_empty();
            let new = self.loops.add(needle, kind, second);
            if kind == Kind::Knit {
                if empty && !spot.declared {
                    self.warnings.push(Fault::Undeclared { needle });
                }
                spot.stack.iter().for_each(|old| self.loops.draw(new, old));
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
            if let Some((place, from)) = before[usize::from(second)] {
                let halves = place.to(met.place);
                if halves > float_limit {
                    self.warnings.push(Fault::LongFloat { from, to: needle, halves, limit: float_limit / 2 });
                }
            }
            before[usize::from(second)] = Some((met.place, needle));
            formed[b] += 1;
            last = Some((needle, kind));
        }
        if let Some((needle, Kind::Tuck)) = last {
            error.get_or_insert(Fault::LastTuck { needle });
        }
        for b in 0..2 {
            if formed[b] > 0 {
                let ends = [first_missed[b].flatten(), last_missed[b]];
                self.warnings.extend(ends.into_iter().flatten().map(|needle| Fault::EndMissed { needle }));
            }
        }
        error.map_or(Ok(formed), Err)
    }

    /// As [`Bench::meet`], when all needles in work are working and carry loops: none is missed but by the whole bed,
    /// none comes forward, and no empty one takes a strand.
    fn meet_alike(&mut self, p: &Pass) -> Result<[u32; 2], Fault> {
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
        let ends = [pattern.needles.first(), pattern.needles.last()].map(|m| m.copied());
        let [first, last] = if back { [ends[1], ends[0]] } else { ends };
        let tucked = |m: &Met| settings[m.bed.index()] == Setting::Tuck;
        let (first, last) = (first.filter(tucked), last.filter(tucked));
        let mut error: Option<Fault> = None;
        let beds = &mut self.state.beds;
        let warnings = &mut self.warnings;
        let limit = self.profile.tucks.value;
        let firsts = [beds[0].first, beds[1].first];
        let name = |m: &Met| Needle {
            bed: m.bed,
            slot: crate::needle::Slot(firsts[m.bed.index()].0 + i16::try_from(m.index).unwrap_or(i16::MAX)),
        };
        let mut meet = |met: &Met, new: LoopId, drawing: &mut Drawing<'_>| {
            let b = met.bed.index();
            let stack = &mut beds[b].spots[usize::from(met.index)].stack;
            if settings[b] == Setting::Knit {
                let through = drawing.through(new, stack.ids());
                if let Some(loops) = too_many(stack) {
                    warnings.push(Fault::ManyThrough { needle: name(met), loops });
                }
                stack.set(new);
                return through;
            }
            stack.push(new, true);
            let tucks = stack.tucks();
            if tucks > limit {
                error.get_or_insert(Fault::TooManyTucks { needle: name(met), tucks, limit });
            } else if tucks == limit {
                warnings.push(Fault::TucksAtLimit { needle: name(met), tucks });
            }
            if first == Some(*met) {
                warnings.push(Fault::FirstTuck { needle: name(met) });
            }
            0
        };
        if back {
            self.loops.add_all(pattern.list, true, pattern.needles.iter().rev(), &mut meet);
        } else {
            self.loops.add_all(pattern.list, false, pattern.needles.iter(), &mut meet);
        }
        if let Some(met) = last {
            error.get_or_insert(Fault::LastTuck { needle: self.state.needle(met) });
        }
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

    fn known(&self, needle: Needle) -> Result<(), Fault> {
        self.state.spot(needle).map(drop).ok_or(Fault::OutsideBed { needle })
    }

    fn bring_in(&mut self, needle: Needle) -> Result<(), Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        spot.position = Position::Working;
        spot.declared = spot.stack.is_empty();
        self.state.order_stale = true;
        Ok(())
    }

    fn out_of_work(&mut self, needle: Needle) -> Result<(), Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if !spot.stack.is_empty() {
            let loops = u32::try_from(spot.stack.len()).unwrap_or(u32::MAX);
            return Err(Fault::OutWithLoops { needle, loops });
        }
        spot.position = Position::Out;
        spot.declared = false;
        self.state.order_stale = true;
        Ok(())
    }

    fn set_position(&mut self, needle: Needle, position: Position) -> Result<(), Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if spot.position == Position::Out {
            return Err(Fault::NotInWork { needle });
        }
        spot.position = position;
        Ok(())
    }

    fn move_stacks(&mut self, moves: &[Move]) -> Result<(), Fault> {
        let mut lifted = Vec::with_capacity(moves.len());
        for m in moves {
            self.known(m.from)?;
            self.known(m.to)?;
            let open = self.ends_in_tuck(m.from);
            let stack = self.lift(m.from)?;
            if open {
                self.warnings.push(Fault::OpenTuck { needle: m.from });
            }
            lifted.push(stack);
        }
        for m in moves {
            if let Some(spot) = self.state.spot_mut(m.from) {
                match m.leaves {
                    Leaves::Out => spot.position = Position::Out,
                    Leaves::Eyelet | Leaves::Refill => spot.declared = true,
                }
            }
        }
        self.state.order_stale = true;
        for (m, stack) in moves.iter().zip(&lifted) {
            self.carried(m)?;
            self.hang(m.to, stack)?;
        }
        Ok(())
    }

    /// Takes a needle's whole stack off it.
    fn lift(&mut self, needle: Needle) -> Result<Stack, Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if spot.stack.is_empty() {
            return Err(Fault::NoLoop { needle });
        }
        let stack = core::mem::take(&mut spot.stack);
        self.state.carrying[needle.bed.index()] -= 1;
        Ok(stack)
    }

    /// Hangs a stack on top of what a needle in work carries.
    fn hang(&mut self, needle: Needle, stack: &Stack) -> Result<(), Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if spot.position == Position::Out {
            return Err(Fault::NotInWork { needle });
        }
        let was_empty = spot.stack.is_empty();
        spot.stack.append(stack);
        spot.declared = false;
        let tucks = spot.stack.tucks();
        if was_empty {
            self.state.carrying[needle.bed.index()] += 1;
        }
        let limit = self.profile.tucks.value;
        if tucks > limit {
            return Err(Fault::TooManyTucks { needle, tucks, limit });
        }
        Ok(())
    }

    /// How far a stack is carried: along a bed 2 pitches silent, 3 a warning, more an error; across 1 silent.
    fn carried(&mut self, m: &Move) -> Result<(), Fault> {
        let halves = self.state.place(m.from).to(self.state.place(m.to));
        let along = m.from.bed == m.to.bed;
        let level = match (along, halves) {
            (true, 0..=5) | (false, 0..=2) => return Ok(()),
            (true, 6..=7) => Level::Warning,
            (true | false, _) => Level::Error,
        };
        let fault = Fault::CarriedFar { from: m.from, to: m.to, halves, level };
        if level == Level::Error {
            return Err(fault);
        }
        self.warnings.push(fault);
        Ok(())
    }

    fn ends_in_tuck(&self, needle: Needle) -> bool {
        let top = self.state.spot(needle).and_then(|s| s.stack.top());
        top.is_some_and(|id| self.loops.kind(id) == Kind::Tuck)
    }

    fn yarn_exists(&self, yarn: Yarn) -> Result<(), Fault> {
        self.state.yarns.get(&yarn).map(drop).ok_or(Fault::NoYarn { yarn })
    }

    fn wrap(&mut self, needles: &[Needle], yarn: Yarn) -> Result<(), Fault> {
        self.yarn_exists(yarn)?;
        for &needle in needles {
            let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
            if spot.position == Position::Out {
                return Err(Fault::NotInWork { needle });
            }
            if !spot.stack.is_empty() {
                let loops = u32::try_from(spot.stack.len()).unwrap_or(u32::MAX);
                return Err(Fault::NotEmpty { needle, loops });
            }
            let id = self.loops.add(needle, Kind::Wrap, false);
            spot.stack.push(id, false);
            spot.declared = false;
            self.state.carrying[needle.bed.index()] += 1;
        }
        self.lay(yarn);
        Ok(())
    }

    /// The yarn was used by hand and ends at the carriage's side.
    fn lay(&mut self, yarn: Yarn) {
        let state = YarnState { side: self.state.carriage, used_at: self.state.passes };
        self.state.yarns.insert(yarn, state);
        self.state.last_yarn = Some(yarn);
    }

    fn turn_wrap(&mut self, needle: Needle, yarn: Yarn) -> Result<(), Fault> {
        self.yarn_exists(yarn)?;
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if spot.position != Position::Holding {
            return Err(Fault::NotHolding { needle });
        }
        let was_empty = spot.stack.is_empty();
        let id = self.loops.add(needle, Kind::Tuck, false);
        spot.stack.push(id, true);
        if was_empty {
            self.state.carrying[needle.bed.index()] += 1;
        }
        self.lay(yarn);
        Ok(())
    }

    fn take_off(&mut self, needles: &[Needle], holder: Holder) -> Result<(), Fault> {
        for &needle in needles {
            let stack = self.lift(needle)?;
            self.state.holders.entry(holder).or_default().push(stack);
        }
        Ok(())
    }

    fn put_back(&mut self, holder: Holder, needles: &[Needle]) -> Result<(), Fault> {
        let stacks = self.state.holders.remove(&holder).unwrap_or_default();
        if stacks.len() != needles.len() {
            let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
            return Err(Fault::HolderCount { stacks: count(stacks.len()), needles: count(needles.len()) });
        }
        needles.iter().zip(&stacks).try_for_each(|(n, s)| self.hang(*n, s))
    }

    fn pick_up(&mut self, number: u32, needle: Needle) -> Result<(), Fault> {
        if !self.loops.exists(number) {
            return Err(Fault::NoSuchLoop { number });
        }
        let mut stack = Stack::default();
        stack.push(LoopId(number), self.loops.kind(LoopId(number)) == Kind::Tuck);
        self.hang(needle, &stack)
    }

    fn ribber_down(&mut self) -> Result<(), Fault> {
        let bed = &self.state.beds[Bed::Ribber.index()];
        if let Some(i) = bed.spots.iter().position(|s| !s.stack.is_empty()) {
            let slot = bed.first.0 + i16::try_from(i).unwrap_or(i16::MAX);
            return Err(Fault::DownWithLoops { needle: Needle::ribber(slot), needles: self.state.carrying[1] });
        }
        self.state.ribber_down = true;
        Ok(())
    }

    fn secure(&mut self, needles: &[Needle], way: Way, cut_length: Option<Yarn>) -> Result<(), Fault> {
        if way == Way::LoopThroughLoop
            && cut_length.is_none()
            && let (Some(first), Some(last)) = (needles.first(), needles.last())
            && let Some(yarn) = self.state.last_yarn.and_then(|y| self.state.yarns.get(&y))
        {
            let begins_right = self.state.place(*first) > self.state.place(*last);
            let begins = if begins_right { Side::Right } else { Side::Left };
            if first != last && begins == yarn.side {
                return Err(Fault::WrongEnd { yarn_at: yarn.side });
            }
        }
        let mut stacks = Vec::with_capacity(needles.len());
        for &needle in needles {
            let open = self.ends_in_tuck(needle);
            let stack = self.lift(needle)?;
            if open {
                self.warnings.push(Fault::OpenTuck { needle });
            }
            stacks.push(stack);
        }
        for (i, stack) in stacks.iter().enumerate() {
            let holder = match way {
                Way::LoopThroughLoop => stacks.get(i + 1).and_then(Stack::top),
                Way::Chain | Way::Sewn | Way::Gathered | Way::Waste => None,
            };
            for id in stack.iter() {
                self.loops.secure(id, way, holder);
            }
        }
        Ok(())
    }

    fn release(&mut self, needle: Needle) -> Result<(), Fault> {
        let stack = self.lift(needle)?;
        for id in stack.iter() {
            self.loops.release(id);
        }
        Ok(())
    }

    fn claim(&self, claim: &Claim) -> Result<(), Fault> {
        let state = &self.state;
        if let Some(said) = claim.counter.filter(|c| *c != state.counter) {
            return Err(Fault::ClaimCounter { said, is: state.counter });
        }
        let is = (state.carrying[0], state.carrying[1]);
        if let Some(said) = claim.stitches.filter(|s| *s != is) {
            return Err(Fault::ClaimStitches { said, is });
        }
        if let Some(said) = claim.carriage.filter(|s| *s != state.carriage) {
            return Err(Fault::ClaimCarriage { said, is: state.carriage });
        }
        Ok(())
    }
}

/// How many loops but tucks are knitted through at once, if they are more than three.
fn too_many(stack: &Stack) -> Option<u32> {
    let ids = stack.ids();
    if ids.len() <= 3 {
        return None;
    }
    let loops = u32::try_from(ids.len()).unwrap_or(u32::MAX) - stack.tucks();
    (loops > 3).then_some(loops)
}
