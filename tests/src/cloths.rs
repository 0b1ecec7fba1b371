//! Cloths beyond the built-in fabrics, as steps: lace, cables, tucks over several rows, racked ribs, dropped runs.

use latchwork_machine::needle::{Needle, Pitch, Racking, Side};
use latchwork_machine::steps::{
    Action, BedSetting, Dial, Leaves, Load, Mark, Move, Origin, Pass, Plan, Setting, Step, Yarn,
};

/// A plan being written.
#[derive(Debug)]
pub struct Knit {
    plan: Plan,
    side: Side,
    main: Vec<i16>,
    ribber: Vec<i16>,
}

impl Knit {
    /// Casts on, and hangs the comb.
    #[must_use]
    pub fn on(main: &[i16], ribber: &[i16], pitch: Pitch) -> Knit {
        let mut k = Knit { plan: Plan::default(), side: Side::Right, main: main.to_vec(), ribber: ribber.to_vec() };
        k.act(Action::Start { carriage: Side::Right, pitch, racking: Racking(0) });
        k.act(Action::Join { yarn: Yarn(0), side: Side::Right });
        let needles = main.iter().map(|s| Needle::main(*s)).chain(ribber.iter().map(|s| Needle::ribber(*s)));
        k.act(Action::IntoWork(needles.collect()));
        k.act(Action::Hang { load: Load::Comb, grams: 1 });
        let ribber = if ribber.is_empty() { Setting::Slip } else { Setting::Knit };
        k.passed(Setting::Knit, ribber, Mark::OpenStart);
        k
    }

    /// One step.
    pub fn act(&mut self, action: Action) {
        self.plan.steps.push(Step { action, origin: Origin(0) });
    }

    /// Plain rows of the main bed past the needles in holding.
    pub fn held_rows(&mut self, rows: u32) {
        for _ in 0..rows {
            self.passed_holding(Setting::Knit, Setting::Slip, Mark::Plain, true);
        }
    }

    fn passed(&mut self, main: Setting, ribber: Setting, mark: Mark) {
        self.passed_holding(main, ribber, mark, false);
    }

    fn passed_holding(&mut self, main: Setting, ribber: Setting, mark: Mark, hold: bool) {
        self.side = self.side.other();
        let bed = |setting| BedSetting { setting, hold, dial: Dial(12) };
        self.act(Action::Pass(Pass {
            direction: self.side,
            main: bed(main),
            ribber: bed(ribber),
            yarn: Some(Yarn(0)),
            second: None,
            laid: None,
            counted: true,
            mark,
        }));
    }

    /// A pass.
    pub fn pass(&mut self, main: Setting, ribber: Setting) {
        self.passed(main, ribber, Mark::Plain);
    }

    /// A plain row of the main bed.
    pub fn row(&mut self) {
        self.pass(Setting::Knit, Setting::Slip);
    }

    /// Moves loops along the main bed.
    pub fn moved(&mut self, moves: &[(i16, i16)], leaves: Leaves) {
        let one = |(a, b): &(i16, i16)| Move { from: Needle::main(*a), to: Needle::main(*b), leaves };
        self.act(Action::MoveTogether { moves: moves.iter().map(one).collect(), carry: None });
    }

    /// Lets a loop of the main bed run, its needle out of work from then on.
    pub fn run_down(&mut self, slot: i16) {
        self.act(Action::Release(vec![Needle::main(slot)]));
        self.act(Action::OutOfWork(vec![Needle::main(slot)]));
        self.main.retain(|s| *s != slot);
    }

    /// Lets everything off; gives the plan.
    #[must_use]
    pub fn off(mut self) -> Plan {
        let needles = self.main.iter().map(|s| Needle::main(*s)).chain(self.ribber.iter().map(|s| Needle::ribber(*s)));
        let needles = needles.collect();
        self.act(Action::Release(needles));
        self.plan
    }
}

/// All of them by name. Every one repeats.
#[must_use]
pub fn all() -> Vec<(&'static str, Plan)> {
    use Setting::{Knit as K, Tuck as T};
    let bed: Vec<i16> = (-12..12).collect();
    let mut found = Vec::new();

    let mut k = Knit::on(&bed, &[], Pitch::Full);
    for _ in 0..8 {
        for s in (-12..12).step_by(4) {
            k.moved(&[(s + 1, s + 2)], Leaves::Eyelet);
        }
        k.row();
        k.row();
    }
    found.push(("eyelets", k.off()));

    let mut k = Knit::on(&bed, &[], Pitch::Full);
    for _ in 0..8 {
        for s in (-12..12).step_by(6) {
            k.moved(&[(s + 1, s + 3), (s + 2, s + 4), (s + 3, s + 1), (s + 4, s + 2)], Leaves::Refill);
        }
        (0..4).for_each(|_| k.row());
    }
    found.push(("cable two over two", k.off()));

    let mut k = Knit::on(&bed, &[], Pitch::Full);
    for _ in 0..8 {
        for s in (-12..12).step_by(3) {
            k.moved(&[(s + 1, s + 2), (s + 2, s + 1)], Leaves::Refill);
        }
        (0..2).for_each(|_| k.row());
    }
    found.push(("cable one over one", k.off()));

    for (name, rows) in [("tucks over two rows", 2), ("tucks over three rows", 3)] {
        let mut k = Knit::on(&bed, &[], Pitch::Full);
        for _ in 0..8 {
            for _ in 0..rows {
                k.act(Action::Forward((-12..12).filter(|s: &i16| s.rem_euclid(3) != 1).map(Needle::main).collect()));
                k.pass(T, Setting::Slip);
            }
            k.row();
        }
        found.push((name, k.off()));
    }

    let main: Vec<i16> = (-12..=12).step_by(2).collect();
    let ribber: Vec<i16> = (-11..=11).step_by(2).collect();
    let mut k = Knit::on(&main, &ribber, Pitch::Full);
    for n in 0..12 {
        k.act(Action::Rack(Racking(if n % 2 == 0 { 2 } else { 0 })));
        k.pass(K, K);
    }
    found.push(("racked rib", k.off()));

    let mut k = Knit::on(&bed, &[], Pitch::Full);
    for _ in 0..8 {
        // Every fourth loop let run down one row, and its needle knitting again from empty.
        k.row();
        k.row();
        k.act(Action::Release((-12..12).step_by(4).map(|s| Needle::main(s + 1)).collect()));
        k.row();
    }
    found.push(("dropped stitches", k.off()));

    let mut k = Knit::on(&bed, &bed, Pitch::Half);
    for n in 0..16_i16 {
        let of = |s: &i16, odd: i16| s.rem_euclid(2) == odd;
        let main = bed.iter().filter(|s| of(s, n % 2)).map(|s| Needle::main(*s));
        let ribber = bed.iter().filter(|s| of(s, 1 - n % 2)).map(|s| Needle::ribber(*s));
        k.act(Action::Forward(main.chain(ribber).collect()));
        k.pass(Setting::Slip, Setting::Slip);
    }
    found.push(("interlock", k.off()));
    found
}
