//! Strands side by side, and what is done with neighbours: cross them, close them, turn up a new pair.

use latchwork_machine::needle::Bed;
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
    /// The four arcs at it, from below left, against the clock.
    pub(crate) arcs: [u32; 4],
    /// Whether the strand from below left to above right is the lower one.
    pub(crate) rising_is_under: bool,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Strand {
    pub(crate) arc: u32,
    pub(crate) who: Who,
}

#[derive(Debug, Clone, Default)]
pub(crate) struct Weave {
    pub(crate) list: Vec<Strand>,
    pub(crate) crossings: Vec<Crossing>,
    /// Arcs that are one, by union.
    parent: Vec<u32>,
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

    /// Crosses the strands at `i` and `i + 1`; `left_moves` tells which of them is active, `over` whether that one
    /// is nearer to the knitter.
    pub(crate) fn cross(&mut self, i: usize, left_moves: bool, over: bool, why: Why, plane: Plane, bed: Bed) {
        let (left, right) = (self.list[i], self.list[i + 1]);
        let (rise, fall) = (self.arc(), self.arc());
        // The left strand goes on to above right, the right one to above left.
        self.list[i] = Strand { arc: fall, who: right.who };
        self.list[i + 1] = Strand { arc: rise, who: left.who };
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
        self.list.drain(i..i + 2);
    }

    /// A new pair at `i`: two strands of one arc.
    pub(crate) fn open(&mut self, i: usize, left: Who, right: Who) {
        let arc = self.arc();
        self.list.splice(i..i, [Strand { arc, who: left }, Strand { arc, who: right }]);
    }
}
