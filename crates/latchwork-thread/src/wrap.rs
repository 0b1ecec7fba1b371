//! Yarn wound round needles by hand: wraps of a cast-on, and those at short-row turns.

use latchwork_machine::needle::{Bed, Needle, Position, Side};
use latchwork_machine::steps::Yarn;

use crate::path::{Group, Weaver};
use crate::weave::{Plane, Who, Why};

impl Weaver<'_> {
    pub(crate) fn wrap(&mut self, step: usize, needles: &[Needle], yarn: Yarn, cut_length: bool) -> Option<()> {
        if cut_length {
            return self.wrap_with_a_length(step, needles, yarn);
        }
        let name = *self.names.get(&yarn)?;
        let way = self.tracked.carriage();
        // The yarn is laid to the far end first, past what hangs between.
        let mut i = self.come_in(self.d.weave.at(Who::Yarn(name))?, way.other());
        let first = self.place(Group::Needle(*needles.first()?));
        while let Some(g) = self.beside(i, way.other()).and_then(|j| self.group_at(j)) {
            let there = self.place(g);
            if if way == Side::Right { there < first } else { there > first } {
                break;
            }
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                let plane = self.plane(g);
                i = self.pass_one(i, way.other(), plane == Plane::Bed(Bed::Main), Why::Float, plane, self.bed(g));
            }
        }
        self.last_yarn = Some(yarn);
        self.next_row();
        let made: Vec<u32> = self.run.made_in(step).collect();
        self.travel(yarn, way, &made)?;
        made.into_iter().try_for_each(|id| self.cross_itself(id))
    }

    /// A wrap crosses itself once.
    fn cross_itself(&mut self, id: u32) -> Option<()> {
        let at = self.d.weave.at(Who::Loop(id))?;
        self.cross(at, true, true, Why::Turn, Plane::Bed(Bed::Main), Bed::Main);
        Some(())
    }

    /// Wound with a length of its own, which begins and ends there.
    fn wrap_with_a_length(&mut self, step: usize, needles: &[Needle], yarn: Yarn) -> Option<()> {
        let working = self.names.remove(&yarn);
        let (first, last) = (Group::Needle(*needles.first()?), Group::Needle(*needles.last()?));
        let way = if self.place(first) <= self.place(last) { Side::Right } else { Side::Left };
        self.next_row();
        self.join_at(yarn, way.other(), self.room_at(self.place(first)), self.column(first));
        let who = Who::Yarn(*self.names.get(&yarn)?);
        let mut i = self.d.weave.at(who)?;
        let made: Vec<u32> = self.run.made_in(step).collect();
        for (needle, id) in needles.iter().zip(&made) {
            i = self.form(i, way, who, *id, *needle)?;
        }
        made.into_iter().try_for_each(|id| self.cross_itself(id))?;
        self.length_ends(yarn, working)
    }

    /// Where in the list something new stands: before the first loops beyond this place; after the last ones, or the yarns that wait
    /// at the left.
    fn room_at(&self, here: (i32, usize)) -> usize {
        let list = 0..self.d.weave.list.len();
        let beyond = list.clone().find(|k| self.group_at(*k).is_some_and(|g| self.place(g) > here));
        let last = list.rev().find(|k| self.group_at(*k).is_some()).map_or(0, |k| k + 1);
        beyond.unwrap_or(last)
    }

    /// Loops of another piece's edge, each a bight of its own: in this piece its yarn has no beginning.
    pub(crate) fn hang_edge(&mut self, step: usize, needles: &[Needle]) -> Option<()> {
        self.next_row();
        for (needle, id) in needles.iter().zip(self.run.made_in(step)) {
            let group = Group::Needle(*needle);
            let here = self.place(group);
            let under = self.stacks.get(&group).map_or(0, Vec::len);
            let at = match self.group_place(group) {
                Some(at) => at + under,
                None => self.room_at(here),
            };
            let (left, right) = self.feet(group, Side::Right);
            let spot = [f64::midpoint(left[0], right[0]), self.row];
            self.d.weave.open(at, Who::Loop(id), Who::Loop(id), spot);
            self.d.weave.list[at].left = true;
            self.d.drawn.insert(id);
            self.stacks.entry(group).or_default().push(id);
            self.group_of.insert(id, group);
        }
        Some(())
    }

    /// A yarn laid across before the row: over what the forward needles carry, under the rest.
    pub(crate) fn lay(&mut self, yarn: Yarn, way: Side) -> Option<()> {
        let who = Who::Yarn(*self.names.get(&yarn)?);
        let mut i = self.come_in(self.d.weave.at(who)?, way);
        while let Some(g) = self.beside(i, way).and_then(|j| self.group_at(j)) {
            let over = matches!(g, Group::Needle(n) if self.tracked.position(n) == Some(Position::Forward));
            let (plane, bed) = (self.plane(g), self.bed(g));
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                i = self.pass_one(i, way, over, Why::Laid, plane, bed);
            }
        }
        Some(())
    }

    pub(crate) fn turn_wrap(&mut self, step: usize, needle: Needle, yarn: Yarn) -> Option<()> {
        let name = *self.names.get(&yarn)?;
        let who = Who::Yarn(name);
        let id = self.run.made_in(step).next()?;
        let way = self.tracked.carriage().other();
        let mut i = self.come_in(self.d.weave.at(who)?, way);
        while let Some(g) = self.beside(i, way).and_then(|j| self.group_at(j))
            && g != Group::Needle(needle)
        {
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                let plane = self.plane(g);
                i = self.pass_one(i, way, plane == Plane::Bed(Bed::Main), Why::Float, plane, self.bed(g));
            }
        }
        i = self.form(i, way, who, id, needle)?;
        // And back in front of everything to the carriage's side.
        while let Some(g) = self.beside(i, self.tracked.carriage()).and_then(|j| self.group_at(j)) {
            for _ in 0..2 * self.stacks.get(&g)?.len() {
                let plane = self.plane(g);
                let over = plane == Plane::Bed(Bed::Main);
                i = self.pass_one(i, self.tracked.carriage(), over, Why::Float, plane, self.bed(g));
            }
        }
        self.last_yarn = Some(yarn);
        Some(())
    }
}
