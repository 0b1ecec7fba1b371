//! What makes loops fast: drawn through one another, chained, gathered on the yarn; and how loops close or are let off.

use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::{Way, Yarn};

use crate::path::{Group, Weaver};
use crate::weave::{Plane, Who, Why};

impl Weaver<'_> {
    /// A strand drawn through loops from the front to the back, from one side of them to the other; then they close.
    pub(crate) fn thread_through(&mut self, mut i: usize, way: Side, g: Group) -> Option<usize> {
        let stack = self.stacks.get(&g)?.clone();
        let (plane, bed) = (self.plane(g), self.bed(g));
        for half in [true, false] {
            for _ in &stack {
                i = self.pass_one(i, way, half, Why::Fasten, plane, bed);
            }
        }
        let who = self.d.weave.list.get(i)?.who;
        self.let_off(g);
        self.d.weave.at(who)
    }

    pub(crate) fn secure(
        &mut self,
        needles: &[Needle],
        way: Way,
        cut_length: Option<Yarn>,
        onto: Option<Needle>,
    ) -> Option<()> {
        if let Some(yarn) = cut_length {
            return self.with_a_length(yarn, needles, way, onto);
        }
        self.secure_with(needles, way, None, onto)
    }

    /// Made fast with a length of its own, which begins and ends there.
    fn with_a_length(&mut self, yarn: Yarn, needles: &[Needle], way: Way, onto: Option<Needle>) -> Option<()> {
        let working = self.names.remove(&yarn);
        let from_left = needles.first()?.slot <= needles.last()?.slot;
        let first = Group::Needle(*needles.first()?);
        let strands = 2 * self.stacks.get(&first)?.len();
        let place = self.group_place(first)?;
        let (at, side) = if from_left { (place, Side::Left) } else { (place + strands, Side::Right) };
        self.join_at(yarn, side, at, self.column(first));
        self.secure_with(needles, way, Some(yarn), onto)?;
        self.length_ends(yarn, working)
    }

    /// A length of yarn ends where it is; the name stands for the working yarn again.
    pub(crate) fn length_ends(&mut self, yarn: Yarn, working: Option<Yarn>) -> Option<()> {
        self.yarn_ends(yarn);
        let name = self.names.remove(&yarn)?;
        if let Some(at) = self.d.weave.at(Who::Yarn(name)) {
            self.d.weave.list[at].who = Who::End(name);
        }
        self.names.extend(working.map(|w| (yarn, w)));
        Some(())
    }

    fn secure_with(
        &mut self,
        needles: &[Needle],
        way: Way,
        cut_length: Option<Yarn>,
        onto: Option<Needle>,
    ) -> Option<()> {
        let yarn = cut_length.or(self.last_yarn)?;
        let who = Who::Yarn(*self.names.get(&yarn).or_else(|| self.names.values().next()).unwrap_or(&Yarn(u8::MAX)));
        match way {
            Way::LoopThroughLoop => {
                for pair in needles.windows(2) {
                    self.through_the_next(Group::Needle(pair[0]), Group::Needle(pair[1]))?;
                }
                let last = Group::Needle(*needles.last()?);
                let i = self.end_strand(who)?;
                let at = self.group_place(last)?;
                let toward = if i > at { Side::Left } else { Side::Right };
                let i = self.come_to(i, toward, last)?;
                self.thread_through(i, toward, last)?;
            }
            Way::Gathered | Way::Sewn => {
                for n in needles {
                    let i = self.end_strand(who)?;
                    let at = self.group_place(Group::Needle(*n))?;
                    let toward = if i > at { Side::Left } else { Side::Right };
                    let i = self.come_to(i, toward, Group::Needle(*n))?;
                    self.thread_through(i, toward, Group::Needle(*n))?;
                }
            }
            Way::Chain => self.chain(needles, who, onto)?,
            Way::Waste => needles.iter().for_each(|n| self.let_off(Group::Needle(*n))),
        }
        Some(())
    }

    /// A strand brought to a group of loops, past those that wait on holders or held needles before it.
    fn come_to(&mut self, i: usize, way: Side, to: Group) -> Option<usize> {
        let mut i = self.come_in(i, way);
        while let Some(g) = self.beside(i, way).and_then(|j| self.group_at(j))
            && g != to
        {
            let plane = self.plane(g);
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                i = self.pass_one(i, way, plane == Plane::Bed(Bed::Main), Why::Float, plane, self.bed(g));
            }
        }
        Some(i)
    }

    /// The working end of a yarn: on its way, or cut.
    pub(crate) fn end_strand(&self, who: Who) -> Option<usize> {
        self.d.weave.at(who).or_else(|| {
            // A yarn just cut hangs next to the loops, at the side where it came out.
            let cut = |who| matches!(who, Who::End(name) if Some(name) == self.cut);
            let ends = (0..self.d.weave.list.len()).filter(|i| cut(self.d.weave.list[*i].who));
            let mut inner = ends.filter(|i| self.is_inner(*i, self.tracked.carriage().other()));
            inner.next()
        })
    }

    /// Whether a strand at a side stands next to the loops.
    pub(crate) fn is_inner(&self, i: usize, way: Side) -> bool {
        self.beside(i, way).is_some_and(|j| self.group_at(j).is_some())
    }

    pub(crate) fn group_place(&self, g: Group) -> Option<usize> {
        (0..self.d.weave.list.len()).find(|i| self.group_at(*i) == Some(g))
    }

    /// The next needle's loops pulled through this one's, which then close round them.
    pub(crate) fn through_the_next(&mut self, this: Group, next: Group) -> Option<()> {
        let stack = self.stacks.get(&this)?.clone();
        let n = 2 * self.stacks.get(&next)?.len();
        let (a, b) = (self.group_place(this)?, self.group_place(next)?);
        let (plane, bed) = (self.plane(this), self.bed(next));
        let right = b > a;
        // In front of the near legs, into the middle.
        if right {
            for s in 0..n {
                let mut i = b + s;
                for _ in &stack {
                    i = self.pass_one(i, Side::Left, true, Why::Fasten, plane, bed);
                }
            }
        } else {
            for s in (0..n).rev() {
                let mut i = b + s;
                for _ in &stack {
                    i = self.pass_one(i, Side::Right, true, Why::Fasten, plane, bed);
                }
            }
        }
        // The heads close over them: the right legs pass in front, or the left ones.
        for old in stack.iter().rev() {
            let legs: Vec<usize> =
                (0..self.d.weave.list.len()).filter(|k| self.d.weave.list[*k].who == Who::Loop(*old)).collect();
            let [mut l, mut r] = legs[..] else { return None };
            if right {
                while r > l + 1 {
                    r = self.pass_one(r, Side::Left, true, Why::Fasten, plane, bed);
                }
            } else {
                while l + 1 < r {
                    l = self.pass_one(l, Side::Right, true, Why::Fasten, plane, bed);
                }
            }
            self.group_of.remove(old);
            self.close(l);
        }
        self.stacks.remove(&this);
        Some(())
    }

    /// A chain: the yarn drawn through each stack and the chain's last loop together; its end drawn through the very
    /// last loop, or that loop hung on a needle.
    pub(crate) fn chain(&mut self, needles: &[Needle], who: Who, onto: Option<Needle>) -> Option<()> {
        let mut i = self.d.weave.at(who)?;
        let first = self.group_place(Group::Needle(*needles.first()?))?;
        let way = if i > first { Side::Left } else { Side::Right };
        i = self.come_to(i, way, Group::Needle(*needles.first()?))?;
        let chain = Group::Hand(usize::MAX);
        for (k, n) in needles.iter().enumerate() {
            let target = Group::Needle(*n);
            if k > 0 {
                // The chain's loop passes the yarn and joins the next stack; the yarn lies behind it.
                for _ in 0..2 {
                    i = self.pass_one(i, way.other(), false, Why::Fasten, Plane::Bed(n.bed), n.bed);
                }
                self.nest(chain, *n, Why::Stack)?;
                i = self.d.weave.at(who)?;
            }
            let stack = self.stacks.get(&target)?.clone();
            for _ in &stack {
                i = self.pass_one(i, way, true, Why::Fasten, Plane::Bed(n.bed), n.bed);
            }
            if self.lost {
                return None;
            }
            let id = u32::MAX - k as u32;
            let (near, far) = self.feet(target, way);
            i = self.d.weave.turn_up(i, way, Who::Loop(id), near, far);
            for _ in &stack {
                i = self.pass_one(i, way, true, Why::Fasten, Plane::Bed(n.bed), n.bed);
            }
            for old in stack.iter().rev() {
                let legs: Vec<usize> =
                    (0..self.d.weave.list.len()).filter(|k| self.d.weave.list[*k].who == Who::Loop(*old)).collect();
                let [l, mut r] = legs[..] else { return None };
                while r > l + 1 {
                    r = self.pass_one(r, Side::Left, true, Why::Fasten, Plane::Bed(n.bed), n.bed);
                }
                self.group_of.remove(old);
                self.close(l);
            }
            self.stacks.remove(&target);
            self.stacks.insert(chain, vec![id]);
            self.group_of.insert(id, chain);
            self.beds.insert(chain, n.bed);
            let place = self.place(target);
            self.places.insert(chain, place);
            i = self.d.weave.at(who)?;
        }
        match onto {
            None => self.thread_through(i, way.other(), chain).map(drop),
            Some(needle) => {
                // The chain's loop passes the yarn, which goes on behind it.
                for _ in 0..2 {
                    i = self.pass_one(i, way.other(), false, Why::Fasten, Plane::Bed(needle.bed), needle.bed);
                }
                self.nest(chain, needle, Why::Stack)
            }
        }
    }

    /// Takes off what is still live, and joins the two ends of every yarn, in front of everything.
    pub(crate) fn join_ends(&mut self) -> Option<()> {
        let groups: Vec<Group> = self.stacks.keys().copied().collect();
        groups.into_iter().for_each(|g| self.let_off(g));
        for s in &mut self.d.weave.list {
            if let Who::Yarn(name) = s.who {
                s.who = Who::End(name);
            }
        }
        while let Some(first) = self.d.weave.list.first().copied() {
            let mut j = (1..self.d.weave.list.len()).find(|j| self.d.weave.list[*j].who == first.who)?;
            while j > 1 {
                j = self.pass_one(j, Side::Left, true, Why::Side, Plane::Side, Bed::Main);
            }
            self.close(0);
            if self.lost {
                return None;
            }
        }
        Some(())
    }

    pub(crate) fn close(&mut self, i: usize) {
        let who = |i: usize| self.d.weave.list.get(i).map(|s| s.who);
        if who(i).is_none() || who(i) != who(i + 1) {
            self.lost = true;
            return;
        }
        let same = self.d.weave.root(self.d.weave.list[i].arc) == self.d.weave.root(self.d.weave.list[i + 1].arc);
        self.d.closed += usize::from(same);
        if let Who::Loop(id) = self.d.weave.list[i].who
            && (1..=self.run.loops.len()).contains(&(id as usize))
        {
            let (a, b) = (self.d.weave.list[i].end, self.d.weave.list[i + 1].end);
            self.d.heads.insert((a.min(b), a.max(b)), id);
        }
        self.d.weave.close(i);
    }

    /// Loops let off a needle close by themselves, innermost first.
    pub(crate) fn let_off(&mut self, g: Group) {
        for id in self.stacks.remove(&g).unwrap_or_default().into_iter().rev() {
            self.group_of.remove(&id);
            if let Some(i) = self.d.weave.at(Who::Loop(id)) {
                if self.d.weave.list.get(i + 1).map(|s| s.who) != Some(Who::Loop(id)) {
                    self.lost = true;
                    return;
                }
                // Its head stands free above what it was drawn through.
                let weave = &mut self.d.weave;
                let top = |k: usize| weave.points[weave.list[k].end as usize].at;
                let (left, right) = (top(i), top(i + 1));
                let y = left[1].max(right[1]) + 0.2;
                weave.go(i, [left[0], y], None);
                weave.go(i + 1, [right[0], y], None);
                self.close(i);
            }
        }
    }
}
