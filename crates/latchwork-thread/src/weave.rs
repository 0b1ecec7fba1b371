//! Strands side by side, and what is done with neighbours: cross them, close them, turn up a new pair.

use latchwork_machine::needle::{Bed, Side};
use latchwork_machine::steps::Yarn;

/// Whose strand it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// A leg of a loop, by the loop's number; 0 is a loop of a bind-off's chain, which has none.
    Loop(u32),
    /// The yarn on its way, or waiting at a side.
    Yarn(Yarn),
    /// The end where a yarn begins, or where it was cut.
    End(Yarn),
}

/// Why two strands cross.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The new loop's foot passes a leg of the loop that it is drawn through.
    Foot,
    /// The head of the loop drawn through lies over a leg of the new one.
    Head,
    /// The yarn passes a loop that it does not meet.
    Float,
    /// A loop laid on a needle beside another.
    Stack,
    /// A loop carried past another by hand.
    Carry,
    /// The ribber racked: its loops pass those of the main bed.
    Rack,
    /// Yarns and ends passing each other at a side.
    Side,
    /// Making fast.
    Fasten,
    /// The turn of a wrap.
    Turn,
    /// A yarn laid in: over the forward needles and under the others.
    Laid,
    /// A loop of an earlier row brought up in front, to be hung again.
    Bight,
}

/// Where the passed strand lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Plane {
    /// A loop of a bed.
    Bed(Bed),
    /// In front of everything.
    Front,
    /// At a side: yarns and ends.
    Side,
}

/// One crossing. The active strand is the one that moves across.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crossing {
    /// Why.
    pub why: Why,
    /// The strand that moves.
    pub active: Who,
    /// The strand that it passes.
    pub passive: Who,
    /// Where the passive strand lies.
    pub plane: Plane,
    /// Where the active one lies: the bed of the needle that it is on or is being made on.
    pub bed: Bed,
    /// Whether the active strand is nearer to the knitter.
    pub over: bool,
    /// The four arcs at it, anticlockwise from below left.
    pub(crate) arcs: [u32; 4],
    /// Whether the strand from below left to above right is the lower one.
    pub(crate) rising_is_under: bool,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Strand {
    pub(crate) arc: u32,
    pub(crate) who: Who,
    /// The newest point of its path.
    pub(crate) end: u32,
    /// Where it stands along the beds.
    pub(crate) x: f64,
    /// Whether it is the left leg of its loop.
    pub(crate) left: bool,
}

/// A place on the drawing: along the beds in needle pitches, and up the work in rows.
pub(crate) type Spot = [f64; 2];

/// A point of the yarn's path as it is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    pub(crate) at: Spot,
    /// The crossing there, and whether this strand is the nearer one; none where the yarn only turns.
    pub(crate) crossing: Option<(u32, bool)>,
    /// Points before and after along the yarn, in no order.
    pub(crate) links: [Option<u32>; 2],
}

#[derive(Debug, Clone, Default)]
pub(crate) struct Weave {
    pub(crate) list: Vec<Strand>,
    pub(crate) crossings: Vec<Crossing>,
    /// Arcs that are one, by union.
    parent: Vec<u32>,
    /// The path as drawn.
    pub(crate) points: Vec<Point>,
}

impl Weave {
    pub(crate) fn arc(&mut self) -> u32 {
        let n = self.parent.len() as u32;
        self.parent.push(n);
        n
    }

    pub(crate) fn root(&self, mut arc: u32) -> u32 {
        while self.parent[arc as usize] != arc {
            arc = self.parent[arc as usize];
        }
        arc
    }

    pub(crate) fn arcs(&self) -> usize {
        self.parent.len()
    }

    pub(crate) fn at(&self, who: Who) -> Option<usize> {
        self.list.iter().position(|s| s.who == who)
    }

    /// The nearest strand of a kind, from a place outwards: what is looked for while a row is made is close by, so a
    /// wide piece takes no longer for each loop than a narrow one.
    pub(crate) fn near(&self, place: usize, of: impl Fn(usize, &Strand) -> bool) -> Option<usize> {
        let fits = |k: usize| self.list.get(k).is_some_and(|s| of(k, s)).then_some(k);
        (0..=self.list.len()).find_map(|off| fits(place + off).or_else(|| fits(place.checked_sub(off)?)))
    }

    fn link(&mut self, a: u32, b: u32) {
        for (from, to) in [(a, b), (b, a)] {
            let [first, second] = &mut self.points[from as usize].links;
            *if first.is_none() { first } else { second } = Some(to);
        }
    }

    /// Goes on along the strand at `i` to a spot; gives the new point.
    pub(crate) fn go(&mut self, i: usize, at: Spot, crossing: Option<(u32, bool)>) -> u32 {
        let n = self.points.len() as u32;
        self.points.push(Point { at, crossing, links: [None; 2] });
        self.link(self.list[i].end, n);
        self.list[i].end = n;
        n
    }

    fn begin(&mut self, at: Spot) -> u32 {
        self.points.push(Point { at, crossing: None, links: [None; 2] });
        self.points.len() as u32 - 1
    }

    /// Turns the strand at `i` up into a leg of a loop; the other leg and the yarn's way on stand on its far side.
    /// Gives the place of the yarn's way on.
    pub(crate) fn turn_up(&mut self, i: usize, way: Side, leg: Who, near: Spot, far: Spot) -> usize {
        let arc = self.arc();
        let who = self.list[i].who;
        self.go(i, near, None);
        let end = self.begin(far);
        let leg = Strand { arc, who: leg, end, x: far[0], left: way == Side::Left };
        let on = Strand { arc, who, end, x: far[0], left: false };
        let it = &mut self.list[i];
        (it.who, it.x, it.left) = (leg.who, near[0], way == Side::Right);
        match way {
            Side::Left => {
                self.list.splice(i..i, [on, leg]);
                i
            }
            Side::Right => {
                self.list.splice(i + 1..i + 1, [leg, on]);
                i + 2
            }
        }
    }

    /// Crosses the strands at `i` and `i + 1`; `left_moves` tells which of them is active, `over` whether that one
    /// is nearer to the knitter.
    #[allow(clippy::too_many_arguments, reason = "all that is known of a crossing")]
    pub(crate) fn cross(
        &mut self,
        i: usize,
        left_moves: bool,
        over: bool,
        why: Why,
        plane: Plane,
        bed: Bed,
        spot: Spot,
    ) {
        let number = self.crossings.len() as u32;
        self.go(i, spot, Some((number, left_moves == over)));
        self.go(i + 1, spot, Some((number, left_moves != over)));
        let (left, right) = (self.list[i], self.list[i + 1]);
        let (rise, fall) = (self.arc(), self.arc());
        // The left strand goes on to above right, the right one to above left.
        self.list[i] = Strand { arc: fall, x: left.x, ..right };
        self.list[i + 1] = Strand { arc: rise, x: right.x, ..left };
        let (active, passive) = if left_moves { (left.who, right.who) } else { (right.who, left.who) };
        self.crossings.push(Crossing {
            why,
            active,
            passive,
            plane,
            bed,
            over,
            arcs: [left.arc, right.arc, rise, fall],
            rising_is_under: left_moves != over,
        });
    }

    /// Closes the neighbours `i` and `i + 1`.
    pub(crate) fn close(&mut self, i: usize) {
        let (a, b) = (self.root(self.list[i].arc), self.root(self.list[i + 1].arc));
        self.parent[a as usize] = b;
        self.link(self.list[i].end, self.list[i + 1].end);
        self.list.drain(i..i + 2);
    }

    /// A new pair at `i`: two strands of one arc.
    pub(crate) fn open(&mut self, i: usize, left: Who, right: Who, at: Spot) {
        let arc = self.arc();
        let end = self.begin(at);
        let strand = |who| Strand { arc, who, end, x: at[0], left: false };
        self.list.splice(i..i, [strand(left), strand(right)]);
    }
}
