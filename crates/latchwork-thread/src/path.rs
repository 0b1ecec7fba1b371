//! From a plan and its run to the yarn's path: what every step does to the strands.

use std::collections::{BTreeMap, BTreeSet};

use latchwork_machine::beds::Beds;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Needle, Place, Position, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Mark, Pass, Plan, Setting, Yarn};

pub use crate::weave::{Crossing, Plane, Who, Why};
use crate::weave::{Spot, Strand, Weave};

/// The diagram of a piece, its yarn's ends joined.
#[derive(Debug, Clone)]
pub struct Diagram {
    /// All crossings, in the order made.
    pub crossings: Vec<Crossing>,
    /// Loops that the diagram holds.
    pub drawn: BTreeSet<u32>,
    /// Crossings whose way round only the step itself decides: index, whether the active strand is over.
    pub(crate) stated: BTreeMap<usize, bool>,
    /// The loop that is being made at a crossing of its foot.
    pub(crate) feet: BTreeMap<usize, u32>,
    pub(crate) weave: Weave,
    pub(crate) closed: usize,
    /// For each loop, by its number less one: the point where the yarn begins to make it.
    pub(crate) begins: Vec<Option<u32>>,
    /// The row drawn in each step: up the work.
    pub(crate) rows: Vec<f64>,
    /// The two points between which a loop's head lies, the lesser first, and the loop.
    pub(crate) heads: BTreeMap<(u32, u32), u32>,
    /// Each length of yarn: its number, and the points where it begins and ends.
    pub(crate) yarns: Vec<(Yarn, u32, u32)>,
}

impl Diagram {
    /// The loop whose foot this crossing is.
    #[must_use]
    pub fn making(&self, crossing: usize) -> Option<u32> {
        self.feet.get(&crossing).copied()
    }

    /// The same diagram with one crossing the other way round.
    #[must_use]
    pub fn flipped(&self, crossing: usize) -> Diagram {
        let mut other = self.clone();
        if let Some(c) = other.crossings.get_mut(crossing) {
            c.over = !c.over;
            c.rising_is_under = !c.rising_is_under;
        }
        other
    }

    /// Components without a crossing.
    #[must_use]
    pub fn bare(&self) -> usize {
        let mut used: BTreeSet<u32> = BTreeSet::new();
        for c in &self.crossings {
            used.extend(c.arcs.iter().map(|a| self.weave.root(*a)));
        }
        let roots: BTreeSet<u32> = (0..self.weave.arcs()).map(|a| self.weave.root(a as u32)).collect();
        roots.difference(&used).count().min(self.closed)
    }
}

/// Why no diagram was drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoDiagram {
    /// The run stopped at an error.
    Stopped,
    /// More loops than are drawn.
    TooLarge(usize),
    /// A step whose effect on the thread is not known.
    Unclear(usize),
}

impl std::fmt::Display for NoDiagram {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoDiagram::Stopped => f.write_str("it stops at an error"),
            NoDiagram::TooLarge(loops) => write!(f, "it has {loops} loops, and at most {MOST_LOOPS} are drawn"),
            NoDiagram::Unclear(step) => write!(f, "what step {} does to the yarn is not known", step + 1),
        }
    }
}

/// Most loops drawn: a bound on memory, more than the beds of a home machine make for a garment's piece.
pub const MOST_LOOPS: usize = 200_000;

/// Live loops that stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Group {
    Needle(Needle),
    /// On a holder, where it was taken off.
    Held(u32),
    /// Knitted through, but brought up in front, to be hung again later.
    Front(u32),
    /// In the hand, while several are moved together.
    Hand(usize),
}

pub(crate) struct Weaver<'a> {
    pub(crate) run: &'a Run,
    pub(crate) d: Diagram,
    pub(crate) group_of: BTreeMap<u32, Group>,
    /// Loops of a group, in stack order.
    pub(crate) stacks: BTreeMap<Group, Vec<u32>>,
    /// Place of groups that are on no needle.
    pub(crate) places: BTreeMap<Group, (i32, usize)>,
    pub(crate) beds: BTreeMap<Group, Bed>,
    pub(crate) holders: BTreeMap<u8, Vec<Group>>,
    /// Loops that a later step picks up.
    pub(crate) picked: BTreeSet<u32>,
    /// The beds, as they stand before the step that is drawn.
    pub(crate) tracked: Beds,
    /// A yarn that is joined again becomes a new component.
    pub(crate) names: BTreeMap<Yarn, Yarn>,
    /// The strand cut last.
    pub(crate) cut: Option<Yarn>,
    pub(crate) next_name: u8,
    pub(crate) last_yarn: Option<Yarn>,
    /// Whether the yarn is on its way along the beds.
    pub(crate) passing: bool,
    /// The row being drawn, and how far up the work hands have come since.
    pub(crate) row: f64,
    pub(crate) tick: f64,
    /// Least distance of needles that make loops in one pass, in pitches.
    pub(crate) spacing: f64,
    /// Strands were asked for where none stand: what was drawn is not the yarn's path.
    pub(crate) lost: bool,
}

/// Least distance of needles that make loops in one pass, in pitches: a half where both beds knit at half pitch.
fn spacing(plan: &Plan, run: &Run) -> f64 {
    let mut beds = Beds::outline(Side::Right);
    let mut least = 2;
    for (i, step) in plan.steps.iter().enumerate() {
        if matches!(step.action, Action::Pass(_)) {
            let places: Vec<Place> = run.made_in(i).map(|id| beds.place(run.loops.needle(LoopId(id)))).collect();
            least = places.windows(2).map(|w| w[0].to(w[1])).filter(|d| *d > 0).fold(least, u32::min);
        }
        beds.step(&step.action);
    }
    f64::from(least) / 2.0
}

/// Draws the yarn's path. With `secured` false, what makes loops fast is left undone: they are taken off as they are.
///
/// # Errors
/// A run that stopped, a piece too large, or a step whose effect is not known.
pub fn diagram(plan: &Plan, run: &Run, secured: bool) -> Result<Diagram, NoDiagram> {
    if run.error().is_some_and(|e| !matches!(e.fault, latchwork_machine::fault::Fault::LiveAtEnd { .. })) {
        return Err(NoDiagram::Stopped);
    }
    if run.loops.len() > MOST_LOOPS {
        return Err(NoDiagram::TooLarge(run.loops.len()));
    }
    let picked = plan.steps.iter().filter_map(|s| match s.action {
        Action::PickUp { loop_number, .. } => Some(loop_number),
        _ => None,
    });
    let d = Diagram {
        crossings: Vec::new(),
        drawn: BTreeSet::new(),
        stated: BTreeMap::new(),
        feet: BTreeMap::new(),
        weave: Weave::default(),
        closed: 0,
        begins: vec![None; run.loops.len()],
        rows: Vec::new(),
        heads: BTreeMap::new(),
        yarns: Vec::new(),
    };
    let mut w = Weaver {
        run,
        d,
        group_of: BTreeMap::new(),
        stacks: BTreeMap::new(),
        places: BTreeMap::new(),
        beds: BTreeMap::new(),
        holders: BTreeMap::new(),
        picked: picked.collect(),
        tracked: Beds::outline(Side::Right),
        names: BTreeMap::new(),
        cut: None,
        next_name: 0,
        last_yarn: None,
        passing: false,
        row: 0.0,
        tick: 0.0,
        spacing: spacing(plan, run),
        lost: false,
    };
    for (i, step) in plan.steps.iter().enumerate() {
        // How the beds stand to each other is drawn as it is after the step; everything else as it was before.
        let stands = matches!(step.action, Action::Start { .. } | Action::Rack(_) | Action::Pitch(_));
        if stands {
            w.tracked.step(&step.action);
        }
        w.step(i, &step.action, secured).filter(|()| !w.lost).ok_or(NoDiagram::Unclear(i))?;
        if !stands {
            w.tracked.step(&step.action);
        }
        w.d.rows.push(w.row);
    }
    let still: Vec<Yarn> = w.names.keys().copied().collect();
    still.into_iter().for_each(|y| w.yarn_ends(y));
    w.join_ends().filter(|()| !w.lost).ok_or(NoDiagram::Unclear(plan.steps.len()))?;
    w.d.crossings.clone_from(&w.d.weave.crossings);
    Ok(w.d)
}

impl Weaver<'_> {
    pub(crate) fn step(&mut self, i: usize, action: &Action, secured: bool) -> Option<()> {
        match action {
            Action::Pass(p) => self.pass(i, p)?,
            Action::Join { yarn, side } => self.join(*yarn, *side),
            Action::Cut(yarn) => {
                self.yarn_ends(*yarn);
                let name = self.names.remove(yarn)?;
                let at = self.d.weave.at(Who::Yarn(name))?;
                self.d.weave.list[at].who = Who::End(name);
                self.cut = Some(name);
            }
            Action::Rack(_) | Action::Pitch(_) => self.sort(Why::Rack, &[])?,
            Action::Transfer(m) => self.move_together(core::slice::from_ref(m))?,
            Action::MoveTogether { moves, .. } => self.move_together(moves)?,
            Action::Wrap { needles, yarn, cut_length } => self.wrap(i, needles, *yarn, *cut_length)?,
            Action::TurnWrap { needle, yarn } => self.turn_wrap(i, *needle, *yarn)?,
            Action::TakeOff { needles, holder } => {
                for n in needles {
                    let key = Group::Held(*self.stacks.get(&Group::Needle(*n))?.first()?);
                    let place = self.place(Group::Needle(*n));
                    self.rename(Group::Needle(*n), key, n.bed, place);
                    self.holders.entry(holder.0).or_default().push(key);
                }
            }
            Action::PutBack { holder, needles } => {
                let groups = self.holders.remove(&holder.0)?;
                for (g, n) in groups.into_iter().zip(needles) {
                    self.hang(g, *n, Why::Carry)?;
                }
            }
            Action::PickUp { loop_number, needle } => {
                let front = Group::Front(*loop_number);
                if !self.stacks.contains_key(&front) {
                    return None;
                }
                self.picked.remove(loop_number);
                self.hang(front, *needle, Why::Bight)?;
            }
            Action::Release(needles) => needles.iter().for_each(|n| self.let_off(Group::Needle(*n))),
            Action::HangEdge { needles, .. } => self.hang_edge(i, needles)?,
            Action::Secure { needles, way, cut_length, onto } => {
                if secured {
                    self.secure(needles, *way, *cut_length, *onto)?;
                } else {
                    needles.iter().for_each(|n| self.let_off(Group::Needle(*n)));
                }
            }
            Action::Start { .. }
            | Action::Hold(_)
            | Action::Forward(_)
            | Action::BackToWorking(_)
            | Action::IntoWork(_)
            | Action::OutOfWork(_)
            | Action::Hang { .. }
            | Action::MoveUp(_)
            | Action::Unhang { .. }
            | Action::Counter(_)
            | Action::RibberDown
            | Action::RibberUp
            | Action::Claim(_) => {}
        }
        Some(())
    }

    /// Place of a group: along the beds, then main before ribber.
    pub(crate) fn place(&self, g: Group) -> (i32, usize) {
        match g {
            Group::Needle(n) => (self.tracked.place(n).0, n.bed.index()),
            other => self.places.get(&other).copied().unwrap_or((0, 0)),
        }
    }

    pub(crate) fn bed(&self, g: Group) -> Bed {
        match g {
            Group::Needle(n) => n.bed,
            other => self.beds.get(&other).copied().unwrap_or(Bed::Main),
        }
    }

    pub(crate) fn plane(&self, g: Group) -> Plane {
        match g {
            Group::Front(_) => Plane::Front,
            other => Plane::Bed(self.bed(other)),
        }
    }

    pub(crate) fn group_at(&self, i: usize) -> Option<Group> {
        match self.d.weave.list.get(i)?.who {
            Who::Loop(id) => self.group_of.get(&id).copied(),
            Who::Yarn(_) | Who::End(_) => None,
        }
    }

    pub(crate) fn rename(&mut self, from: Group, to: Group, bed: Bed, place: (i32, usize)) {
        let stack = self.stacks.remove(&from).unwrap_or_default();
        for id in &stack {
            self.group_of.insert(*id, to);
        }
        self.stacks.insert(to, stack);
        self.beds.insert(to, bed);
        self.places.insert(to, place);
    }

    pub(crate) fn join(&mut self, yarn: Yarn, side: Side) {
        let at = if side == Side::Left { 0 } else { self.d.weave.list.len() };
        let x = |s: &Strand| s.x;
        let list = &self.d.weave.list;
        let x = if side == Side::Left {
            list.first().map(x).unwrap_or(0.0) - 1.0
        } else {
            list.last().map(x).unwrap_or(0.0) + 1.0
        };
        self.join_at(yarn, side, at, x);
    }

    /// A yarn that begins at a place among the strands, its working end towards the loops from this side.
    pub(crate) fn join_at(&mut self, yarn: Yarn, side: Side, at: usize, x: f64) {
        let name = Yarn(self.next_name);
        self.next_name += 1;
        self.names.insert(yarn, name);
        let (left, right) =
            if side == Side::Left { (Who::End(name), Who::Yarn(name)) } else { (Who::Yarn(name), Who::End(name)) };
        self.d.weave.open(at, left, right, [x, self.row]);
        let begin = self.d.weave.points.len() as u32 - 1;
        self.d.yarns.push((yarn, begin, begin));
    }

    pub(crate) fn yarn_ends(&mut self, yarn: Yarn) {
        let strand = self.names.get(&yarn).and_then(|name| self.d.weave.at(Who::Yarn(*name)));
        let end = strand.map(|i| self.d.weave.list[i].end);
        if let (Some(end), Some(y)) = (end, self.d.yarns.iter_mut().rev().find(|y| y.0 == yarn && y.1 == y.2)) {
            y.2 = end;
        }
    }

    /// Where a needle's loops stand along the beds, in pitches.
    pub(crate) fn column(&self, g: Group) -> f64 {
        f64::from(self.place(g).0) / 2.0
    }

    /// Where a crossing of the strands at `i` and `i + 1` is drawn. Legs stand by their order in the stack, the
    /// oldest outermost; what hands do rises between two rows.
    fn spot(&mut self, i: usize, left_moves: bool, why: Why) -> Spot {
        let (left, right) = (self.d.weave.list[i], self.d.weave.list[i + 1]);
        let (passive, at) = if left_moves { (right, i + 1) } else { (left, i) };
        let sign = if passive.left { -1.0 } else { 1.0 };
        let group = self.group_at(at);
        match (why, group, passive.who) {
            (Why::Foot | Why::Stack | Why::Float, Some(g), Who::Loop(id)) if self.passing => {
                let stack = self.stacks.get(&g).map_or(&[][..], Vec::as_slice);
                let deep = stack.iter().position(|s| *s == id).unwrap_or(0) as f64 / stack.len().max(1) as f64;
                [self.column(g) + sign * self.spacing * (0.44 - 0.2 * deep), self.row]
            }
            _ => {
                // Above the point that either strand has reached, so that like is drawn alike wherever it stands.
                let weave = &self.d.weave;
                let come = |s: Strand| weave.points[s.end as usize].at[1];
                let y = come(left).max(come(right)).max(self.row + 0.62) + 0.02;
                self.tick = self.tick.max(y);
                [f64::midpoint(left.x, right.x), y]
            }
        }
    }

    pub(crate) fn cross(&mut self, i: usize, left_moves: bool, over: bool, why: Why, plane: Plane, bed: Bed) {
        if i + 1 >= self.d.weave.list.len() {
            self.lost = true;
            return;
        }
        if matches!(why, Why::Side | Why::Turn | Why::Fasten | Why::Laid) {
            self.d.stated.insert(self.d.weave.crossings.len(), over);
        }
        let spot = self.spot(i, left_moves, why);
        self.d.weave.cross(i, left_moves, over, why, plane, bed, spot);
    }

    /// Moves a strand by one place; gives its new place.
    pub(crate) fn pass_one(&mut self, i: usize, way: Side, over: bool, why: Why, plane: Plane, bed: Bed) -> usize {
        match way {
            Side::Left => {
                let Some(left) = i.checked_sub(1) else {
                    self.lost = true;
                    return i;
                };
                self.cross(left, false, over, why, plane, bed);
                left
            }
            Side::Right => {
                self.cross(i, true, over, why, plane, bed);
                i + 1
            }
        }
    }

    pub(crate) fn beside(&self, i: usize, way: Side) -> Option<usize> {
        let j = if way == Side::Left { i.checked_sub(1)? } else { i + 1 };
        (j < self.d.weave.list.len()).then_some(j)
    }

    /// Brings a yarn from among those waiting at a side to the first loop, in front of the others.
    pub(crate) fn come_in(&mut self, mut i: usize, way: Side) -> usize {
        while let Some(j) = self.beside(i, way)
            && self.group_at(j).is_none()
            && self.d.weave.list.iter().any(|s| matches!(s.who, Who::Loop(_)))
        {
            let beyond = |k: usize| if way == Side::Left { k < i } else { k > i };
            if !(0..self.d.weave.list.len()).any(|k| beyond(k) && self.group_at(k).is_some()) {
                break;
            }
            i = self.pass_one(i, way, true, Why::Side, Plane::Side, Bed::Main);
        }
        i
    }

    /// A new row begins above what is drawn.
    pub(crate) fn next_row(&mut self) {
        self.row = (self.tick.max(self.row) + 0.3).ceil().max(self.row + 1.0);
        self.tick = self.row;
    }

    pub(crate) fn pass(&mut self, step: usize, p: &Pass) -> Option<()> {
        let way = p.direction;
        self.next_row();
        if p.yarn.is_none() {
            if p.mark == Mark::Release {
                let knits = |n: &Needle| {
                    let bed = if n.bed == Bed::Main { p.main } else { p.ribber };
                    match self.tracked.position(*n) {
                        Some(Position::Forward) => true,
                        Some(Position::Holding) => !bed.hold,
                        _ => bed.setting == Setting::Knit,
                    }
                };
                let off: Vec<Group> =
                    self.stacks.keys().copied().filter(|g| matches!(g, Group::Needle(n) if knits(n))).collect();
                off.into_iter().for_each(|g| self.let_off(g));
            }
        } else {
            if let Some(laid) = p.laid {
                self.lay(laid, way)?;
            }
            let made: Vec<u32> = self.run.made_in(step).collect();
            let (first, second): (Vec<u32>, Vec<u32>) =
                made.iter().partition(|id| !self.run.loops.second_yarn(LoopId(**id)));
            for (yarn, loops) in [(p.second, second), (p.yarn, first)] {
                if let Some(yarn) = yarn {
                    self.travel(yarn, way, &loops)?;
                    self.last_yarn = Some(yarn);
                }
            }
        }
        Some(())
    }

    /// A yarn goes across the work and makes these loops, in this order.
    pub(crate) fn travel(&mut self, yarn: Yarn, way: Side, made: &[u32]) -> Option<()> {
        self.passing = true;
        let done = self.cross_the_work(yarn, way, made);
        self.passing = false;
        done
    }

    fn cross_the_work(&mut self, yarn: Yarn, way: Side, made: &[u32]) -> Option<()> {
        let who = Who::Yarn(*self.names.get(&yarn)?);
        let mut i = self.d.weave.at(who)?;
        let mut next = made.iter().copied().peekable();
        loop {
            i = self.come_in(i, way);
            let beside = self.beside(i, way).and_then(|j| self.group_at(j));
            if let Some(id) = next.peek().copied() {
                let needle = self.run.loops.needle(LoopId(id));
                let here = self.place(Group::Needle(needle));
                // An empty needle before the next loops, or the needle that carries them.
                let meets = beside == Some(Group::Needle(needle));
                let before = beside.is_none_or(|g| {
                    let there = self.place(g);
                    if way == Side::Left { there < here } else { there > here }
                });
                if meets || (before && !self.stacks.contains_key(&Group::Needle(needle))) {
                    next.next();
                    i = self.form(i, way, who, id, needle)?;
                    continue;
                }
            }
            let Some(g) = beside else { break };
            if next.peek().is_none() && self.only_held_beyond(i, way) {
                break;
            }
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                let plane = self.plane(g);
                let over = plane == Plane::Bed(Bed::Main);
                i = self.pass_one(i, way, over, Why::Float, plane, self.bed(g));
            }
        }
        next.peek().is_none().then_some(())
    }

    /// Whether all loops beyond a strand are on holders: the yarn turns before them.
    fn only_held_beyond(&self, i: usize, way: Side) -> bool {
        let beyond = if way == Side::Left { 0..i } else { i + 1..self.d.weave.list.len() };
        beyond.filter_map(|k| self.group_at(k)).all(|g| matches!(g, Group::Held(_)))
    }

    /// Makes one loop where the yarn stands, beside the needle's own loops; gives the yarn's new place.
    pub(crate) fn form(&mut self, mut i: usize, way: Side, who: Who, id: u32, needle: Needle) -> Option<usize> {
        let group = Group::Needle(needle);
        let stack = self.stacks.get(&group).cloned().unwrap_or_default();
        let bed = needle.bed;
        let main = bed == Bed::Main;
        let knit = self.run.loops.kind(LoopId(id)) == Kind::Knit;
        let why = if knit { Why::Foot } else { Why::Stack };
        let note = |w: &mut Self, knit: bool| {
            if knit {
                w.d.feet.insert(w.d.weave.crossings.len(), id);
            }
        };
        let back = if way == Side::Left { 0.5 } else { -0.5 };
        let begins = [self.column(group) + back * self.spacing, self.row];
        if let Some(b) = self.d.begins.get_mut(id as usize - 1) {
            *b = Some(self.d.weave.go(i, begins, None));
        }
        for _ in &stack {
            note(self, knit);
            i = self.pass_one(i, way, main, why, Plane::Bed(bed), bed);
        }
        if self.lost {
            return None;
        }
        // The yarn turns up as the near leg; the far leg and the yarn's way on are one arc.
        let (near, far) = self.feet(group, way);
        i = self.d.weave.turn_up(i, way, Who::Loop(id), near, far);
        for _ in &stack {
            note(self, knit);
            i = self.pass_one(i, way, main, why, Plane::Bed(bed), bed);
        }
        self.d.drawn.insert(id);
        if knit && !stack.is_empty() {
            self.heads(&stack, id, bed, i)?;
            self.stacks.insert(group, vec![id]);
        } else {
            self.stacks.entry(group).or_default().push(id);
        }
        self.group_of.insert(id, group);
        self.d.weave.near(i, |_, s| s.who == who)
    }

    /// Where a loop's two feet turn up on its needle: the near one, and the far one.
    pub(crate) fn feet(&self, g: Group, way: Side) -> (Spot, Spot) {
        let (x, off) = (self.column(g), 0.15 * self.spacing);
        let off = if way == Side::Left { off } else { -off };
        ([x + off, self.row], [x - off, self.row])
    }

    /// The old loops leave the needle over the new one, innermost first: each is closed above it, or stays as a bight
    /// in front if a later step picks it up. They stand about the place `at`.
    pub(crate) fn heads(&mut self, stack: &[u32], new: u32, bed: Bed, at: usize) -> Option<()> {
        for (k, old) in stack.iter().rev().enumerate() {
            let weave = &self.d.weave;
            let one = weave.near(at, |_, s| s.who == Who::Loop(*old))?;
            let other = weave.near(at, |k, s| s.who == Who::Loop(*old) && k != one)?;
            let (l, mut r) = (one.min(other), one.max(other));
            while r > l + 1 {
                let plane = Plane::Bed(bed);
                debug_assert_eq!(self.d.weave.list[r - 1].who, Who::Loop(new), "only the new loop lies within the old");
                let column = self.column(Group::Needle(self.run.loops.needle(LoopId(new))));
                let off = 0.15 * self.spacing * if self.d.weave.list[r - 1].left { -1.0 } else { 1.0 };
                let rise = 0.28 + 0.3 * (k + 1) as f64 / stack.len() as f64;
                let spot = [column + off, self.row + rise];
                self.d.weave.cross(r - 1, false, bed == Bed::Main, Why::Head, plane, bed, spot);
                r -= 1;
            }
            self.group_of.remove(old);
            if self.picked.contains(old) {
                let place = self.place(Group::Needle(self.run.loops.needle(LoopId(new))));
                let front = Group::Front(*old);
                self.group_of.insert(*old, front);
                self.stacks.insert(front, vec![*old]);
                self.beds.insert(front, bed);
                self.places.insert(front, place);
            } else {
                self.close(l);
            }
        }
        Some(())
    }
}
