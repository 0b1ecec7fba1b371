//! How the last stretch of a made-up design is shaped.

use super::made_up::{ELDEST, ENDINGS, FABRICS, Seed, suiting};
use crate::fabric::{Fabric, find};
use crate::text::NewNode;

/// How the last stretch of a seed is shaped.
pub(super) struct Taper<'a> {
    seed: &'a Seed,
    /// The last fabric, by its place in the list and as built in.
    fabric: usize,
    made: Option<&'static Fabric>,
    /// Stitches decreased or increased at a time.
    by: u32,
    /// A few stitches that suit this fabric and that a point can take.
    few: u32,
    point: bool,
}

impl<'a> Taper<'a> {
    pub(super) fn of(seed: &'a Seed) -> Taper<'a> {
        let fabric = seed.fabrics[seed.fabrics.len() - 1];
        let made = find(FABRICS[fabric]).map(|f| &**f);
        let by = match fabric {
            0 | 2..=4 => 1,
            ..ELDEST => 2,
            _ => made.and_then(|f| f.narrow.first().or(f.widen.first()).copied()).unwrap_or(1),
        };
        let three = |f: &Fabric| f.ends.iter().any(|e| f.layout.allows(3, *e));
        let three = made.is_some_and(|f| three(f) && f.layout.needle_count(3) != (2, 2) && !f.layout.all_of_both());
        Taper { seed, fabric, made, by, few: if three { 3 } else { 4 }, point: ENDINGS[seed.ending] == "point" }
    }

    /// Whether the width is given in needles.
    pub(super) fn counted(&self) -> bool {
        self.point || self.seed.shaping == 6
    }

    /// The shapings as nodes of the stretch.
    pub(super) fn shapings(&self) -> Vec<NewNode> {
        let girth = |percent: i32| NewNode::new("around").text("girth").unit("percent", percent);
        let neck = NewNode::new("neck").number(self.by);
        match self.seed.shaping {
            10 => {
                let bend = if self.seed.length.is_multiple_of(2) { "hollow" } else { "round" };
                let curve = NewNode::new("curve").text(bend);
                let curve = if self.cast_off() > 0 { curve.pair("cast-off", "yes") } else { curve };
                let middle = NewNode::new("middle").unit("percent", 20 + self.seed.length % 40);
                let neck = neck.with(girth(-70)).with(middle).with(curve).with_all(self.waits());
                [neck].into_iter().chain(self.shoulder()).collect()
            }
            15 => {
                let every = self.made.map_or(6, |f| 6_u32.next_multiple_of(f.row_multiple()));
                let (own, other) =
                    if self.seed.length.is_multiple_of(2) { ("left", "right") } else { ("right", "left") };
                let at = |side: &str| NewNode::new("at").text(side);
                let neck = neck.with(girth(-88)).with(at(own));
                let neck = match self.groups() {
                    true => neck.with(NewNode::new("middle").unit("percent", 40)),
                    false => neck,
                };
                let decrease = NewNode::new("decrease").number(self.by).pair("every", every).pair("times", 2);
                let mut all = vec![neck];
                all.extend((!self.seed.width.is_multiple_of(3)).then(|| decrease.with(at(other))));
                all.extend(self.shoulder());
                all
            }
            11 => {
                let every = self.made.map_or(6, |f| 6_u32.next_multiple_of(f.row_multiple()));
                let decrease = NewNode::new("decrease").number(self.by).pair("every", every).pair("times", 2);
                vec![decrease, neck.with(girth(-80)).with_all(self.waits())]
            }
            12 => vec![self.short_rows()],
            14 => {
                let slit = NewNode::new("slit");
                let side = if self.seed.length.is_multiple_of(2) { "left" } else { "right" };
                vec![if self.seed.width.is_multiple_of(3) { slit } else { slit.unit("percent", 30).pair("at", side) }]
            }
            13 => {
                let then = |every: u32| NewNode::new("then").pair("every", every).pair("times", 1);
                let crown = NewNode::new("crown").number(self.wedges());
                vec![match self.point {
                    true => crown.with(NewNode::new("needles").number(4)),
                    false => crown.with_all([4, 2, 3].map(then)),
                }]
            }
            _ => vec![self.shaping()],
        }
    }

    /// Whether groups can be cast off at an end of its fabric.
    fn groups(&self) -> bool {
        self.made.is_some_and(|f| f.layout.main_alone() && f.row_multiple() == 1 || f.casts_off_groups())
    }

    /// A sloped shoulder beside a neck, of some seeds.
    fn shoulder(&self) -> Option<NewNode> {
        let shoulder = NewNode::new("shoulder");
        let shoulder = match self.seed.length % 4 {
            3 => shoulder.unit("mm", 8 + self.seed.width % 9),
            few => shoulder.number(2 + few % 2),
        };
        let turn = ["wrap", "automatic", "open"][(self.seed.length % 3) as usize];
        match self.seed.width % 4 {
            0 | 1 if self.groups() => Some(shoulder),
            2 if self.holds() => Some(shoulder.pair("by", "short-rows").pair("turn", turn)),
            _ => None,
        }
    }

    /// Whether needles of its fabric can be held in a shoulder.
    fn holds(&self) -> bool {
        self.seed.panel == 0 && self.made.is_some_and(|f| f.holds() && f.row_multiple() <= 2)
    }

    /// Where the second side of a neck waits, of some seeds.
    fn waits(&self) -> Option<NewNode> {
        let needles = self.made.is_some_and(|f| f.layout.main_alone() && f.parts_anywhere());
        (needles && self.seed.length % 5 < 2).then(|| NewNode::new("waits").text("needles"))
    }

    /// A row of eyelets or buttonholes, of some seeds.
    pub(super) fn holes(&self) -> Option<NewNode> {
        let takes = |f: &Fabric| f.holds() && (f.layout.main_alone() && f.layout.fills_main() || f.layout.by_turns());
        let some =
            self.made.is_some_and(takes) && !self.point && self.seed.panel == 0 && self.seed.length.is_multiple_of(3);
        let flat = self.made.is_some_and(|f| f.layout.main_alone());
        let wide = if flat { 1 + self.seed.width % 5 } else { 1 };
        let buttons = NewNode::new("buttonholes").number(1 + self.seed.width % 3);
        let buttons = if wide > 1 { buttons.pair("wide", wide) } else { buttons };
        let eyelets = NewNode::new("eyelets").pair("every", 2 + self.seed.width % 4);
        let holes = if self.seed.length.is_multiple_of(2) { buttons } else { eyelets };
        some.then(|| holes.pair("after", 1).pair("ends", 2))
    }

    /// Wedges of a crown.
    fn wedges(&self) -> u32 {
        2 + self.seed.length % 3
    }

    /// Short rows of several kinds.
    fn short_rows(&self) -> NewNode {
        let seed = self.seed;
        let tube = self.made.is_some_and(|f| f.name == "tubular");
        let turn = ["wrap", "automatic", "open"][(seed.width % 3) as usize];
        let node = NewNode::new("short-rows").pair("turn", turn);
        let node = if tube { node.pair("on", if seed.left { "ribber" } else { "main" }) } else { node };
        // The carriage is where it begins after even rows.
        let away = if seed.left { "right" } else { "left" };
        let both = [NewNode::new("hold").number(1).pair("leaves", "(percent)40"), NewNode::new("return").number(1)];
        let groups = [
            NewNode::new("hold").number(2).pair("at", away).pair("times", 2),
            NewNode::new("return").number(2).pair("at", away),
            NewNode::new("knit").number(2),
        ];
        match seed.length % 3 {
            0 => node.with_all(both),
            1 => node.pair("repeat", 3).with_all(groups),
            _ => node.with_all(groups.into_iter().take(1)),
        }
    }

    /// The shaping as a node of the stretch.
    fn shaping(&self) -> NewNode {
        let (by, few) = (self.by, self.few);
        // Shapings come after whole repeats.
        let every = self.made.map_or(6, |f| 6_u32.next_multiple_of(f.row_multiple()));
        let decrease = || NewNode::new("decrease").number(by);
        let increase = |by: u32| NewNode::new("increase").number(by);
        let girth = |percent: i32| NewNode::new("around").text("girth").unit("percent", percent);
        let needles = |n: u32| NewNode::new("needles").number(n);
        let left = || NewNode::new("at").text("left");
        let plain = || NewNode::new("finish").text("plain");
        match (self.seed.shaping, self.point) {
            (1, _) => decrease().pair("every", every).pair("times", 3),
            (2, false) => decrease().with(girth(-60)),
            (3, false) if self.cast_off() > 0 => {
                let first = self.seed.width.is_multiple_of(2).then(|| NewNode::new("cast-on").number(self.cast_off()));
                let curve = NewNode::new("curve").text(if self.seed.left { "round" } else { "hollow" });
                increase(by).with(girth(30)).with_all(first).with(curve.pair("cast-on", "yes"))
            }
            (3, false) => increase(by).with(girth(30)),
            (3, true) if by == 1 => increase(1).with(needles(5)),
            (3, true) => increase(2).with(needles(5)).with(left()),
            (4, _) => decrease().pair("every", every).pair("times", 2).with(left()),
            (5, false) => decrease().with(girth(-50)).with(plain()),
            (5, true) => decrease().with(needles(few)).with(plain()),
            (7, _) => {
                let then = |every: u32, times: u32| NewNode::new("then").pair("every", every).pair("times", times);
                let node = match self.cast_off() {
                    0 => decrease(),
                    n => decrease().with(NewNode::new("cast-off").number(n)),
                };
                node.with(then(every, 2)).with(then(2 * every, 1))
            }
            (8 | 9, point) => {
                let curve = NewNode::new("curve");
                let handle = |across: u32, up: u32| NewNode::new("handle").unit("percent", across).unit("percent", up);
                let curve = match (self.seed.shaping, self.seed.width % 5) {
                    (_, 0) => curve.text("bell"),
                    (_, 1) => {
                        curve.with_all([handle(self.seed.length % 100, 10), handle(70, 100 - self.seed.length % 100)])
                    }
                    (8, _) => curve.text("hollow"),
                    _ => curve.text("round"),
                };
                let twice = self.made.is_some_and(|f| f.narrow.contains(&(2 * by)));
                let curve = if twice && self.seed.width.is_multiple_of(2) { curve.pair("most", 2) } else { curve };
                let curve = if self.cast_off() > 0 { curve.pair("cast-off", "yes") } else { curve };
                let group = (self.cast_off() == 0 && self.groups() && !point)
                    .then(|| NewNode::new("cast-off").unit("mm", 5 + self.seed.length % 20));
                decrease().with(if point { needles(few) } else { girth(-50) }).with_all(group).with(curve)
            }
            _ => decrease().with(needles(few)),
        }
    }

    /// Stitches cast off at an end, where the fabric allows it and the seed asks for it.
    fn cast_off(&self) -> u32 {
        let allowed = self.made.is_some_and(|f| f.layout.main_alone() && f.row_multiple() == 1);
        if allowed { self.seed.length % 6 } else { 0 }
    }

    /// Needles at the beginning, where the width is in needles.
    pub(super) fn start(&self) -> u32 {
        let (by, few, shaping) = (self.by, self.few, self.seed.shaping);
        let times = 3 + self.seed.width % 4;
        // 2 in, 1 out and 2 in, 2 out begin with whole repeats of four needles.
        let grouped = matches!(self.fabric, 2 | 3);
        let start = match shaping {
            1 | 7 if grouped => 8,
            4 if grouped => 4,
            2 | 5 | 6 | 8 | 9 if grouped => 4 + 4 * (times / 2),
            0 => few,
            1 => few + 6 * by,
            3 => 3,
            4 => few + 2 * by,
            7 => few + 6 * by + 2 * self.cast_off(),
            13 => 4 + self.wedges() * times,
            _ => few + 2 * by * times,
        };
        match self.made {
            // Whole groups, or the fewest possible where a point takes all of them.
            Some(f) if self.fabric >= ELDEST && self.point && shaping == 0 => suiting(f, 1),
            Some(f) if self.fabric >= ELDEST => suiting(f, start),
            _ => start,
        }
    }
}
