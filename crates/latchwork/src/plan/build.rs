//! One piece from its cast-on to its ending.

use latchwork_machine::beds::Beds;
use latchwork_machine::needle::{Bed, Needle, Pitch, Position, Racking, Side, Slot};
use latchwork_machine::steps::{Action, BedSetting, Claim, Dial, Load, Mark, Origin, Pass, Plan, Step, Yarn};

use super::colours::{Colours, several};
use super::parting::Waits;
use super::{COMB, Part, PartKind, PiecePlan, Tail};
use crate::design::{At, Change, Design, Ending, Piece};
use crate::fabric::{Course, Layout, Turn};
use crate::fact::{Chart, HungEdge, PartName, PieceName};
use crate::notice::Span;
use crate::stitches::{Begins, By, Feed, Item, PieceStitches, Rows, Section, Shape, sections};
use crate::units::Mm;

/// Working yarn, waste yarn and ravel cord have the same numbers in every plan.
/// The yarn of the piece itself.
pub const WORKING: Yarn = Yarn(0);
/// Yarn that is removed again.
pub const WASTE: Yarn = Yarn(1);
pub(crate) const CORD: Yarn = Yarn(2);

/// Fewest loops to hang a comb on: common practice, no source.
const FEWEST_FOR_COMB: u32 = 10;

/// Grams of the lightest claw weight: common practice, no source.
const LIGHTEST: u32 = 20;

/// Rows between moving the weights up: common practice, 20 to 40.
const MOVE_UP: u32 = 30;

/// The plan so far, and the state of the machine that planning needs.
pub(crate) struct Builder<'a> {
    pub(crate) design: &'a Design,
    pub(crate) index: usize,
    pub(crate) piece: &'a Piece,
    pub(crate) stitches: &'a PieceStitches,
    /// All pieces of the size.
    pub(super) all: &'a [PieceStitches],
    pub(crate) steps: Vec<Step>,
    pub(crate) origins: Vec<Part>,
    pub(crate) tails: Vec<Tail>,
    pub(super) hung: Vec<HungEdge>,
    pub(super) charts: Vec<Chart>,
    pub(super) origin: Origin,
    /// The machine after these steps.
    pub(crate) beds: Beds,
    /// Whether to hang comb and weights after the next pass.
    pub(crate) hang_next: bool,
    /// Whether ribber needles came into work empty or had their loops dropped: some may carry none.
    pub(crate) let_off: bool,
    /// Whether needles in holding position are passed over.
    pub(crate) hold: bool,
    /// The bed of them, if it is one only.
    pub(super) held_on: Option<Bed>,
    pub(crate) yarn: Yarn,
    /// The yarns of a section of several.
    pub(crate) colours: Option<Colours>,
    /// The design's yarns besides that of the piece, in the order of their numbers in the plan: the same in every size, whether or
    /// not a size comes to them.
    pub(crate) further: Vec<usize>,
    /// What waits while the first side of a neck is knitted.
    pub(super) waits: Option<Waits>,
    /// Passes since weights were last hung or moved up.
    since_moved: u32,
}

pub(crate) fn piece(
    design: &Design,
    index: usize,
    (piece, stitches): (&Piece, &PieceStitches),
    all: &[PieceStitches],
) -> PiecePlan {
    let mut b = Builder { all, ..Builder::new(design, index, piece, stitches) };
    for section in sections(piece, stitches) {
        b.section(&section);
    }
    b.finished()
}

impl<'a> Builder<'a> {
    pub(crate) fn new(design: &'a Design, index: usize, piece: &'a Piece, stitches: &'a PieceStitches) -> Builder<'a> {
        Builder {
            design,
            index,
            piece,
            stitches,
            all: &[],
            steps: Vec::new(),
            origins: Vec::new(),
            tails: Vec::new(),
            hung: Vec::new(),
            charts: Vec::new(),
            origin: Origin(0),
            beds: Beds::outline(piece.carriage),
            hang_next: false,
            let_off: false,
            hold: false,
            held_on: None,
            yarn: WORKING,
            colours: None,
            further: piece.further_yarns(),
            waits: None,
            since_moved: 0,
        }
    }

    /// The plan so far.
    pub(crate) fn finished(self) -> PiecePlan {
        let own = self.design.yarns.get(self.piece.yarn).map_or("yarn", |y| y.name.as_str());
        let further = self.further.iter().map(|y| self.design.yarns[*y].name.clone());
        let yarns = [own, "waste yarn", "ravel cord"].map(str::to_string).into_iter().chain(further).collect();
        PiecePlan {
            name: PieceName { own: self.piece.name.clone(), of_pair: None },
            piece: self.index,
            make: 1,
            mirrored: false,
            plan: Plan { steps: self.steps },
            origins: self.origins,
            yarns,
            tails: self.tails,
            hung: self.hung,
            charts: self.charts,
        }
    }
}

impl Builder<'_> {
    fn part(&mut self, name: PartName, kind: PartKind) {
        let span = match kind {
            PartKind::Stretch { index, .. } | PartKind::Between { before: index } => self.piece.stretches[index].span,
            PartKind::Ending => self.piece.ending_span,
            PartKind::CastOn => self.piece.span,
        };
        self.part_at(name, kind, span);
    }

    /// Begins a part, at its place in the document.
    pub(crate) fn part_at(&mut self, name: PartName, kind: PartKind, span: Span) {
        self.origin = Origin(u32::try_from(self.origins.len()).unwrap_or(u32::MAX));
        self.origins.push(Part { name, kind, span });
    }

    pub(crate) fn step(&mut self, action: Action) {
        self.beds.step(&action);
        self.steps.push(Step { action, origin: self.origin });
    }

    pub(crate) fn side(&self) -> Side {
        self.beds.carriage()
    }

    pub(crate) fn counter(&self) -> u32 {
        self.beds.counter()
    }

    /// Needles in work from left to right, but those held while the other side of a neck waits on its needles.
    pub(crate) fn knitting(&self) -> impl DoubleEndedIterator<Item = Needle> {
        let waits = self.waits_on_needles();
        self.beds.in_work().filter(move |n| !(waits && n.1 == Position::Holding)).map(|n| n.0)
    }

    /// The same, as a list.
    pub(crate) fn needles(&self) -> Vec<Needle> {
        self.knitting().collect()
    }

    /// Whether a needle is in work.
    pub(crate) fn has(&self, needle: Needle) -> bool {
        self.beds.position(needle).is_some_and(|p| p != Position::Out)
    }

    /// Needles in work without a loop: they take one in a later row.
    pub(crate) fn empty(&self) -> Vec<Needle> {
        self.beds.empty().collect()
    }

    pub(crate) fn pitch(&self) -> Pitch {
        self.beds.pitch()
    }

    pub(crate) fn racking(&self) -> Racking {
        self.beds.racking()
    }

    /// Grams of comb and weights hung.
    pub(crate) fn hangs(&self) -> u32 {
        self.comb() + self.weights()
    }

    fn comb(&self) -> u32 {
        self.beds.hangs(Load::Comb)
    }

    fn weights(&self) -> u32 {
        self.beds.hangs(Load::Weights)
    }

    pub(crate) fn tail(&mut self, length: Mm) {
        self.tails.push(Tail { step: self.steps.len() - 1, length });
    }

    /// Adds one pass, with the stitch sizes of main bed and ribber in thirds.
    pub(crate) fn pass(&mut self, course: Course, dial: (u8, u8), mark: Mark) {
        let [main, ribber] = self.settings(course, dial);
        self.put(Pass {
            direction: self.side().other(),
            main,
            ribber,
            yarn: Some(self.yarn),
            second: None,
            laid: None,
            counted: true,
            mark,
        });
    }

    /// Adds a pass with all its settings.
    fn put(&mut self, pass: Pass) {
        self.since_moved += 1;
        self.step(Action::Pass(pass));
        if self.hang_next {
            self.hang_next = false;
            self.hang();
        }
    }

    pub(crate) fn set_counter(&mut self, reading: u32) {
        self.step(Action::Counter(reading));
    }

    pub(crate) fn rack(&mut self, racking: Racking, pitch: Pitch) {
        // Pitch first: the mirror image then needs no step of its own.
        if self.pitch() != pitch {
            self.step(Action::Pitch(pitch));
        }
        if self.racking() != racking {
            self.step(Action::Rack(racking));
        }
    }

    /// Needles of a bed in work.
    pub(crate) fn count(&self, bed: Bed) -> u32 {
        u32::try_from(self.beds.in_work().filter(|n| n.0.bed == bed).count()).unwrap_or(u32::MAX)
    }

    /// Loops after the next row: needles in work, empty ones included.
    pub(crate) fn loops(&self) -> u32 {
        u32::try_from(self.beds.count()).unwrap_or(u32::MAX)
    }

    /// States counter, stitch count and carriage side, for the rehearsal to prove.
    pub(crate) fn claim(&mut self) {
        let stands = Claim { counter: Some(self.counter()), carriage: Some(self.side()), ..Claim::default() };
        self.step(Action::Claim(stands.stitches(self.beds.stitches(Bed::Main), self.beds.stitches(Bed::Ribber))));
    }

    /// The total weight for the needles now in work, in grams.
    pub(super) fn grams_now(&self) -> u32 {
        self.design.machine.grams(self.count(Bed::Main), self.count(Bed::Ribber))
    }

    fn load(&mut self, load: Load, grams: u32, hang: bool) {
        if grams == 0 {
            return;
        }
        self.since_moved = 0;
        self.step(if hang { Action::Hang { load, grams } } else { Action::Unhang { load, grams } });
    }

    /// Moves the weights up if it is time and enough rows are left to knit.
    pub(crate) fn move_up(&mut self, rows_left: u32) {
        if self.hangs() > 0 && self.since_moved >= MOVE_UP && rows_left + 1 >= MOVE_UP / 3 {
            self.since_moved = 0;
            self.step(Action::MoveUp(if self.weights() > 0 { Load::Weights } else { Load::Comb }));
        }
    }

    /// Hangs comb and weights for the needles now in work.
    pub(crate) fn hang(&mut self) {
        let aim = self.grams_now();
        // A comb needs a row, not a few loops.
        let comb = if self.loops() < FEWEST_FOR_COMB { 0 } else { aim.min(COMB) };
        self.load(Load::Comb, comb, true);
        self.load(Load::Weights, aim - comb, true);
    }

    /// A total that comb and claw weights can make: no claw weight is lighter than [`LIGHTEST`].
    pub(super) fn whole_claws(&self, aim: u32) -> u32 {
        if aim > self.comb() && aim - self.comb() < LIGHTEST { self.comb() } else { aim }
    }

    /// Changes the weights when they no longer suit the number of loops.
    pub(crate) fn reweigh(&mut self) {
        let hangs = self.hangs();
        let profile = &self.design.machine.profile;
        let (least, most) = (profile.least_grams.value * self.loops(), profile.most_grams.value * self.loops());
        if hangs == 0 || (least..=most).contains(&hangs) {
            return;
        }
        let aim = self.whole_claws(self.grams_now());
        if aim < self.comb() {
            self.weights_alone(aim);
        } else if aim < hangs {
            self.load(Load::Weights, hangs - aim, false);
        } else {
            self.load(Load::Weights, aim - hangs, true);
        }
    }

    /// Removes the weights that two beds needed and the main bed alone does not.
    pub(crate) fn lighten(&mut self) {
        let (hangs, aim) = (self.hangs(), self.grams_now());
        if hangs * 2 > aim * 3 && aim >= self.comb() {
            self.load(Load::Weights, hangs - aim, false);
        }
    }

    /// Changes the total to `grams`, of which the comb is at most `comb`.
    pub(crate) fn hang_to(&mut self, grams: u32, comb: u32) {
        let hangs = self.hangs();
        // Hung now, it is not hung again after the first row.
        self.hang_next = false;
        if hangs == 0 {
            self.load(Load::Comb, grams.min(comb), true);
            self.load(Load::Weights, grams.saturating_sub(comb), true);
        } else if grams >= hangs {
            self.load(Load::Weights, grams - hangs, true);
        } else if grams >= self.comb() {
            self.load(Load::Weights, hangs - grams, false);
        } else {
            self.weights_alone(grams);
        }
    }

    /// Replaces the comb by weights, which are hung before it comes off: no loop is unweighted meanwhile.
    pub(super) fn weights_alone(&mut self, grams: u32) {
        if grams >= self.weights() {
            self.load(Load::Weights, grams - self.weights(), true);
        } else {
            self.load(Load::Weights, self.weights() - grams, false);
        }
        self.load(Load::Comb, self.comb(), false);
    }

    /// Removes comb and weights.
    pub(crate) fn unhang(&mut self) {
        self.load(Load::Weights, self.weights(), false);
        self.load(Load::Comb, self.comb(), false);
    }

    /// Plans a section from its cast-on to its ending.
    fn section(&mut self, section: &Section) {
        match section.begins {
            Begins::CastOn(cast_on, layout) => {
                self.part(PartName::CastOn, PartKind::CastOn);
                self.cast_on(cast_on, layout);
            }
            Begins::Waiting { before, side } => self.second_side(before, side, several(section)),
        }
        self.look_ahead(section);
        let mut index = 0;
        for item in &section.items {
            match item {
                Item::Move { before, layout } => {
                    let name = &self.piece.stretches[*before].name;
                    self.part(PartName::To(name.to_string()), PartKind::Between { before: *before });
                    self.change_layout(*layout);
                }
                Item::Part { before, middle, side } => self.parted(*before, *middle, *side),
                Item::Slit { before, held } => self.slit(*before, *held),
                Item::OtherSide { before, side, back } => self.other_side(*before, *side, *back),
                Item::Begin(i, part) => {
                    // The other side of a slit is held, and that of a neck may be.
                    let slit = part.is_some() && self.stitches.stretches[*i].slit.is_some();
                    self.hold = slit || self.waits_on_needles();
                    self.rack(Racking(0), self.pitch());
                    index = *i;
                    let s = &self.piece.stretches[index];
                    let name = match part {
                        None => PartName::Own(s.name.clone()),
                        Some(side) => PartName::SideOf(s.name.clone(), *side),
                    };
                    self.part(name, PartKind::Stretch { index, fabric: s.fabric.name.clone() });
                    self.charted(index);
                }
                Item::Rows(rows) => {
                    let after = match section.ending {
                        _ if index + 1 < self.piece.stretches.len() => MOVE_UP,
                        Ending::Waste => super::WASTE_END,
                        _ => 0,
                    };
                    self.rows(rows, after);
                }
                Item::Shape(shape) => self.shape(*shape),
                Item::Eyelets(places) => self.eyelets(places),
                Item::Buttonholes { places, wide } => self.buttonholes(places, *wide),
                Item::HangFirst => self.hang_first(),
                Item::HangRow { stretch, side, row } => self.hang_row(*stretch, *side, *row),
                Item::Go { go, on } => self.go(*go, *on),
                Item::Wrap { on } => self.wrap_turn(*on),
                Item::Claim => self.claim(),
            }
        }
        self.hold = self.waits_on_needles();
        self.cut_finished();
        self.rack(Racking(0), self.pitch());
        self.part(PartName::Ending, PartKind::Ending);
        self.ending();
    }

    /// Plans a run of rows; at least `after` more follow their stretch.
    pub(crate) fn rows(&mut self, rows: &Rows, after: u32) {
        for pass in 0..rows.count {
            self.row(rows, pass);
            self.move_up(rows.left + rows.count - pass - 1 + after);
        }
    }

    /// Decreases or increases at the ends.
    pub(crate) fn shape(&mut self, shape: Shape) {
        match shape.change {
            Change::Decrease => {
                match shape.by {
                    By::Tool if shape.at == At::Across => self.close_up(shape.stitches),
                    By::Tool => self.decrease(shape.stitches, shape.at),
                    By::Group => self.cast_off_at_end(shape.stitches, shape.at),
                }
                self.claim();
            }
            Change::Increase if shape.by == By::Group => {
                self.cast_on_at_end(shape.stitches, shape.at, shape.layout);
                self.claim();
            }
            // The new needles take their first loops in the next pass.
            Change::Increase => {
                self.claim();
                self.increase(shape.stitches, shape.at, shape.layout);
            }
        }
        self.reweigh();
    }

    /// Plans one row: the acts of the hands before it, then the pass.
    fn row(&mut self, rows: &Rows, pass: u32) {
        let turn = rows.repeat.turn(pass);
        let [yarn, second, laid] = match rows.feed {
            Feed::Free => {
                self.cut_finished();
                [None; 3]
            }
            Feed::Yarn { second, laid } => [Some(self.yarn), second, laid],
            Feed::Each(_) => self.take_yarns(rows, turn),
        };
        self.yarn = yarn.unwrap_or(self.yarn);
        self.acts(turn, rows.repeat.ends_knit());
        let [main, ribber] = self.settings(turn.course, rows.dial);
        let direction = self.side().other();
        self.put(Pass { direction, main, ribber, yarn, second, laid, counted: rows.counted, mark: Mark::Plain });
        self.leave_yarns(rows, turn);
    }

    /// The settings of the carriages for a pass.
    fn settings(&self, course: Course, dial: (u8, u8)) -> [BedSetting; 2] {
        let bed = |bed, dial| BedSetting {
            setting: course.of(bed),
            hold: self.hold && self.held_on.is_none_or(|b| b == bed),
            dial: Dial(dial),
        };
        [bed(Bed::Main, dial.0), bed(Bed::Ribber, dial.1)]
    }

    /// Adds the acts of the hands before a row.
    fn acts(&mut self, turn: &Turn, ends_knit: bool) {
        if turn.selects() || !turn.hands.is_empty() || turn.racking.is_some_and(|r| r != self.racking()) {
            // A needle brought in at the edge carries nothing yet: beside it no needle is emptied, and nothing crosses it.
            let empty = if turn.hands.is_empty() { Vec::new() } else { self.empty() };
            let near = |n: Needle| empty.iter().any(|e| e.bed == n.bed && e.slot.0.abs_diff(n.slot.0) <= 1);
            let allowed = |act: &Action| match act {
                Action::Transfer(m) => !near(m.from),
                Action::MoveTogether { moves, .. } => !moves.iter().any(|m| empty.contains(&m.from)),
                _ => true,
            };
            let acts = turn.acts(&self.needles(), self.stitches.left, self.racking(), ends_knit);
            for act in acts.into_iter().filter(allowed) {
                self.let_off |= matches!(act, Action::Release(_));
                self.step(act);
            }
        }
    }

    /// Needles of a layout over the places that the piece now covers.
    pub(crate) fn laid_out(&self, layout: Layout) -> Vec<Needle> {
        let slots: Vec<Slot> = self.beds.in_work().map(|n| n.0.slot).collect();
        let (Some(left), Some(right)) = (slots.iter().min().copied(), slots.iter().max()) else { return Vec::new() };
        let places = u32::from(right.0.abs_diff(left.0)) + 1;
        layout.needles(left, places, self.stitches.left)
    }
}
