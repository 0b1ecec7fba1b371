//! Loops that change places: moved by hand, racked, hung on another needle.

use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::Move;

use crate::path::{Group, Weaver};
use crate::weave::{Plane, Who, Why};

impl Weaver<'_> {
    /// Which of two groups lies nearer to the knitter when the first is moved past the second.
    pub(crate) fn carried_over(&self, mover: Group, other: Group, why: Why) -> bool {
        if matches!(mover, Group::Front(_)) || why == Why::Bight {
            return true;
        }
        if matches!(other, Group::Front(_)) {
            return false;
        }
        match (self.bed(mover), self.bed(other)) {
            (Bed::Main, Bed::Ribber) | (Bed::Ribber, Bed::Ribber) => false,
            (Bed::Ribber, Bed::Main) | (Bed::Main, Bed::Main) => true,
        }
    }

    /// The groups in the order in which their strands stand.
    pub(crate) fn row(&self) -> Vec<Group> {
        let mut row: Vec<Group> = Vec::new();
        for i in 0..self.d.weave.list.len() {
            if let Some(g) = self.group_at(i)
                && row.last() != Some(&g)
            {
                row.push(g);
            }
        }
        row
    }

    /// Puts the groups in order of place by swapping neighbours. `movers` are those moved by hand, the last in front.
    /// None where a group's strands do not stand together.
    pub(crate) fn sort(&mut self, why: Why, movers: &[Group]) -> Option<()> {
        loop {
            let row = self.row();
            let Some(k) = row.windows(2).position(|w| self.place(w[0]) > self.place(w[1])) else { return Some(()) };
            let (a, b) = (row[k], row[k + 1]);
            let rank = |g: Group| movers.iter().position(|m| *m == g);
            let left_moves = match (rank(a), rank(b), why) {
                (Some(x), Some(y), _) => x > y,
                (Some(_), None, _) => true,
                (None, Some(_), _) => false,
                (None, None, _) => self.bed(a) == Bed::Ribber,
            };
            let (mover, other) = if left_moves { (a, b) } else { (b, a) };
            let over = self.carried_over(mover, other, why);
            let first = (0..self.d.weave.list.len()).find(|i| self.group_at(*i) == Some(a)).unwrap_or(0);
            let n = |g: Group| 2 * self.stacks.get(&g).map_or(0, Vec::len);
            let (na, nb) = (n(a), n(b));
            let (plane, bed) = (self.plane(other), self.bed(mover));
            let together = |from: usize, n: usize, g: Group| (from..from + n).all(|i| self.group_at(i) == Some(g));
            if !together(first, na, a) || !together(first + na, nb, b) {
                return None;
            }
            // Every strand of b passes every strand of a.
            for j in 0..nb {
                for s in (0..na).rev() {
                    self.cross(first + j + s, left_moves, over, why, plane, bed);
                }
            }
        }
    }

    pub(crate) fn move_together(&mut self, moves: &[Move]) -> Option<()> {
        let mut hands = Vec::new();
        for (k, m) in moves.iter().enumerate() {
            let from = Group::Needle(m.from);
            self.stacks.get(&from)?;
            let place = self.place(from);
            self.rename(from, Group::Hand(k), m.from.bed, place);
            hands.push(Group::Hand(k));
        }
        for (k, m) in moves.iter().enumerate() {
            self.places.insert(Group::Hand(k), self.place(Group::Needle(m.to)));
            self.beds.insert(Group::Hand(k), if m.from.bed == m.to.bed { m.to.bed } else { m.from.bed });
        }
        self.sort(Why::Carry, &hands)?;
        for (k, m) in moves.iter().enumerate() {
            self.beds.insert(Group::Hand(k), m.to.bed);
            self.nest(Group::Hand(k), m.to, Why::Stack)?;
        }
        Some(())
    }

    /// Moves a group to a needle and hangs it on top.
    pub(crate) fn hang(&mut self, g: Group, to: Needle, why: Why) -> Option<()> {
        self.places.insert(g, self.place(Group::Needle(to)));
        self.sort(why, &[g])?;
        let stack = if why == Why::Bight { Why::Bight } else { Why::Stack };
        self.nest(g, to, stack)
    }

    /// Lays a group that stands at a needle's place into the middle of the loops already there.
    pub(crate) fn nest(&mut self, g: Group, to: Needle, why: Why) -> Option<()> {
        let target = Group::Needle(to);
        let mut moved = self.stacks.remove(&g)?;
        if let Some(there) = self.stacks.get(&target).cloned() {
            let at = |w: &Self, ids: &[u32]| -> Vec<usize> {
                (0..w.d.weave.list.len())
                    .filter(|i| matches!(w.d.weave.list[*i].who, Who::Loop(id) if ids.contains(&id)))
                    .collect()
            };
            let (mine, theirs) = (at(self, &moved), at(self, &there));
            let over = why == Why::Bight || to.bed == Bed::Main;
            // Every strand of the group passes half of those already there.
            let half = there.len();
            if mine.first()? > theirs.last()? {
                for (n, m) in mine.iter().enumerate() {
                    let mut i = *m;
                    for _ in 0..half {
                        i = self.pass_one(i, Side::Left, over, why, Plane::Bed(to.bed), to.bed);
                    }
                    debug_assert_eq!(i + half, mine[n], "moved by half");
                }
            } else {
                for m in mine.iter().rev() {
                    let mut i = *m;
                    for _ in 0..half {
                        i = self.pass_one(i, Side::Right, over, why, Plane::Bed(to.bed), to.bed);
                    }
                }
            }
        }
        for id in &moved {
            self.group_of.insert(*id, target);
        }
        self.stacks.entry(target).or_default().append(&mut moved);
        Some(())
    }
}
