//! One function for each kind of step: state and step in, state and loops out. Nothing looks ahead.

use crate::fault::{Fault, Level};
use crate::loops::{Kind, LoopId, Loops};
use crate::needle::{Bed, Needle, Side};
use crate::profile::Profile;
use crate::rehearsal::Reading;
use crate::state::{Position, Stack, State, YarnState};
use crate::steps::{Action, Claim, Counted, Holder, Leaves, Load, Move, Way, Yarn};

/// The machine at work on one piece.
pub(crate) struct Bench<'a> {
    pub(crate) profile: &'a Profile,
    pub(crate) state: State,
    pub(crate) loops: Loops,
    /// Warnings of the step in hand.
    pub(crate) warnings: Vec<Fault>,
    /// Needles over which the step in hand laid a yarn.
    pub(crate) laid: Vec<Needle>,
    /// Passes over needles that all carry loops number no loops: only where loops hang is kept.
    pub(crate) unnumbered: bool,
}

impl<'a> Bench<'a> {
    /// A machine with no loops yet.
    pub(crate) fn new(profile: &'a Profile, state: State) -> Bench<'a> {
        let (loops, warnings, laid) = (Loops::default(), Vec::new(), Vec::new());
        Bench { profile, state, loops, warnings, laid, unnumbered: false }
    }
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
        if let Action::IntoWork(needles) | Action::OutOfWork(needles) = action {
            // Many at once are sorted once, not fitted in one by one.
            self.state.order_stale |= needles.len() > 8;
        }
        match action {
            Action::Start { .. } => Err(Fault::Start),
            Action::Pass(p) => self.pass(p),
            Action::IntoWork(needles) => needles.iter().try_for_each(|n| self.bring_in(*n)),
            Action::OutOfWork(needles) => needles.iter().try_for_each(|n| self.out_of_work(*n)),
            Action::Hold(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Holding)),
            Action::Forward(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Forward)),
            Action::BackToWorking(needles) => needles.iter().try_for_each(|n| self.set_position(*n, Position::Working)),
            Action::Transfer(m) => self.transfer(m),
            Action::MoveTogether { moves, carry } => self.move_stacks(moves, *carry),
            Action::Wrap { needles, yarn, cut_length } => self.wrap(needles, *yarn, *cut_length),
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
                if *self.load(*load) == 0 {
                    Err(Fault::NothingToMoveUp { load: *load })
                } else {
                    Ok(())
                }
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
            Action::HangEdge { needles, places } => self.hang_edge(needles, places),
            Action::Secure { needles, way, cut_length, onto } => self.secure(needles, *way, *cut_length, *onto),
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

    fn known(&self, needle: Needle) -> Result<(), Fault> {
        self.state.spot(needle).map(drop).ok_or(Fault::OutsideBed { needle })
    }

    fn bring_in(&mut self, needle: Needle) -> Result<(), Fault> {
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        let was = core::mem::replace(&mut spot.position, Position::Working);
        spot.declared = spot.stack.is_empty();
        if was == Position::Out {
            self.state.enters(needle);
        }
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
        self.state.leaves(needle);
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

    fn transfer(&mut self, m: &Move) -> Result<(), Fault> {
        let stack = self.lift_for(m)?;
        self.emptied(m);
        self.carried(m, None)?;
        self.hang(m.to, &stack)
    }

    fn move_stacks(&mut self, moves: &[Move], carry: Option<u8>) -> Result<(), Fault> {
        let lifted = moves.iter().map(|m| self.lift_for(m)).collect::<Result<Vec<_>, _>>()?;
        moves.iter().for_each(|m| self.emptied(m));
        for (m, stack) in moves.iter().zip(&lifted) {
            self.carried(m, carry)?;
            self.hang(m.to, stack)?;
        }
        Ok(())
    }

    /// The stack that a move lifts.
    fn lift_for(&mut self, m: &Move) -> Result<Stack, Fault> {
        self.known(m.from)?;
        self.known(m.to)?;
        let open = self.ends_in_tuck(m.from);
        let stack = self.lift(m.from)?;
        if open {
            self.warnings.push(Fault::OpenTuck { needle: m.from });
        }
        Ok(stack)
    }

    /// The needle that a move emptied goes out of work, or waits for a loop.
    fn emptied(&mut self, m: &Move) {
        if let Some(spot) = self.state.spot_mut(m.from) {
            match m.leaves {
                Leaves::Out => {
                    spot.position = Position::Out;
                    self.state.leaves(m.from);
                }
                Leaves::Eyelet | Leaves::Refill => spot.declared = true,
            }
        }
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
        self.tucked(needle, tucks)
    }

    /// Tucks on a needle, however they came there: a warning at the limit, an error past it.
    fn tucked(&mut self, needle: Needle, tucks: u32) -> Result<(), Fault> {
        let limit = self.profile.tucks.value;
        if tucks > limit {
            return Err(Fault::TooManyTucks { needle, tucks, limit });
        }
        if tucks == limit {
            self.warnings.push(Fault::TucksAtLimit { needle, tucks });
        }
        Ok(())
    }

    /// How far a stack is carried. Along a bed up to 2 pitches pass, 3 are a warning, more are an error; across the
    /// beds 1 passes. In a crossing that states its carry, 3 pass, 4 and 5 are a warning, and more than stated are an
    /// error.
    fn carried(&mut self, m: &Move, carry: Option<u8>) -> Result<(), Fault> {
        let halves = self.state.place(m.from).to(self.state.place(m.to));
        let along = m.from.bed == m.to.bed;
        if let Some(stated) = carry.filter(|c| along && halves > 2 * u32::from(*c)) {
            return Err(Fault::PastStatedCarry { from: m.from, to: m.to, halves, stated });
        }
        let level = match (along, carry, halves) {
            (true, None, 0..=5) | (true, Some(_), 0..=7) | (false, _, 0..=2) => return Ok(()),
            (true, None, 6..=7) | (true, Some(_), 8..=11) => Level::Warning,
            (true | false, _, _) => Level::Error,
        };
        let fault = Fault::CarriedFar { from: m.from, to: m.to, halves, level };
        if level == Level::Error {
            return Err(fault);
        }
        self.warnings.push(fault);
        Ok(())
    }

    fn ends_in_tuck(&self, needle: Needle) -> bool {
        let tucked = self.state.spot(needle).filter(|s| s.stack.tucks() > 0);
        tucked.and_then(|s| s.stack.top()).is_some_and(|id| self.loops.kind(id) == Kind::Tuck)
    }

    fn yarn_exists(&self, yarn: Yarn) -> Result<(), Fault> {
        self.state.yarns.get(&yarn).map(drop).ok_or(Fault::NoYarn { yarn })
    }

    fn wrap(&mut self, needles: &[Needle], yarn: Yarn, cut_length: bool) -> Result<(), Fault> {
        if !cut_length {
            self.yarn_exists(yarn)?;
        }
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
        if !cut_length {
            self.lay(yarn);
        }
        Ok(())
    }

    /// The yarn was used by hand and ends at the carriage's side.
    fn lay(&mut self, yarn: Yarn) {
        let state = YarnState { side: self.state.carriage, used_at: self.state.passes };
        self.state.yarns.insert(yarn, state);
        self.state.last_yarn = Some(yarn);
    }

    /// One tuck laid on a holding needle. The yarn still waits where it was.
    fn turn_wrap(&mut self, needle: Needle, yarn: Yarn) -> Result<(), Fault> {
        self.yarn_exists(yarn)?;
        let spot = self.state.spot_mut(needle).ok_or(Fault::OutsideBed { needle })?;
        if spot.position != Position::Holding {
            return Err(Fault::NotHolding { needle });
        }
        let was_empty = spot.stack.is_empty();
        let id = self.loops.add(needle, Kind::Tuck, false);
        spot.stack.push(id, true);
        let tucks = spot.stack.tucks();
        if was_empty {
            self.state.carrying[needle.bed.index()] += 1;
        }
        self.tucked(needle, tucks)
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

    /// One new loop on each needle, drawn through nothing, on top of what it carries.
    fn hang_edge(&mut self, needles: &[Needle], places: &[u32]) -> Result<(), Fault> {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        if needles.len() != places.len() {
            return Err(Fault::HungCount { places: count(places.len()), needles: count(needles.len()) });
        }
        for &needle in needles {
            let spot = self.state.spot(needle).ok_or(Fault::OutsideBed { needle })?;
            if spot.position == Position::Out {
                return Err(Fault::NotInWork { needle });
            }
            let empty = spot.stack.is_empty();
            let new = self.loops.add(needle, Kind::Hung, false);
            if let Some(spot) = self.state.spot_mut(needle) {
                spot.stack.push(new, false);
                spot.declared = false;
            }
            self.state.carrying[needle.bed.index()] += u32::from(empty);
        }
        Ok(())
    }

    fn secure(
        &mut self,
        needles: &[Needle],
        way: Way,
        cut_length: Option<Yarn>,
        onto: Option<Needle>,
    ) -> Result<(), Fault> {
        if let Some(needle) = onto {
            let spot = self.state.spot(needle).ok_or(Fault::OutsideBed { needle })?;
            if spot.position == Position::Out {
                return Err(Fault::NotInWork { needle });
            }
            if spot.stack.is_empty() || needles.contains(&needle) {
                return Err(Fault::NoLoop { needle });
            }
        }
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
        self.let_go(needle, &stack);
        Ok(())
    }

    /// Lets loops off a needle, and below them those that they were drawn through there, down to one drawn through
    /// nothing.
    pub(crate) fn let_go(&mut self, needle: Needle, stack: &Stack) {
        let mut going: Vec<LoopId> = stack.iter().collect();
        while let Some(id) = going.pop() {
            self.loops.release(id);
            if self.loops.needle(id) == needle {
                going.extend(self.loops.through(id).iter().map(|old| LoopId(*old)));
            }
        }
    }

    fn claim(&self, claim: &Claim) -> Result<(), Fault> {
        let state = &self.state;
        if let Some(said) = claim.counter.filter(|c| *c != state.counter) {
            return Err(Fault::ClaimCounter { said, is: state.counter });
        }
        let [main, ribber] = state.carrying;
        let counts = [
            (Counted::On(Bed::Main), claim.main, main),
            (Counted::On(Bed::Ribber), claim.ribber, ribber),
            (Counted::InAll, claim.total, main + ribber),
        ];
        for (of, said, is) in counts {
            if let Some(said) = said.filter(|s| *s != is) {
                return Err(Fault::ClaimStitches { of, said, is });
            }
        }
        if let Some(said) = claim.carriage.filter(|s| *s != state.carriage) {
            return Err(Fault::ClaimCarriage { said, is: state.carriage });
        }
        Ok(())
    }
}
