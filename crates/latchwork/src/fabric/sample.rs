//! A small piece of one fabric as steps, to study its loops.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::profile::{Limit, Profile, Source};
use latchwork_machine::steps::{Action, BedSetting, Dial, Load, Mark, Origin, Pass, Plan, Setting, Step, Way, Yarn};

use super::{Begun, Ends, Fabric, left_end};

/// The cast-on of a sample.
const CAST_ON: Origin = Origin(0);
/// The fabric of a sample.
pub const SAMPLE: Origin = Origin(1);

/// A machine on which any fabric can be tried: without limits that matter.
#[must_use]
pub fn bench() -> Profile {
    let limit = |value| Limit { value, source: Source::Owner };
    Profile {
        main_needles: 400,
        ribber_needles: 400,
        tucks: limit(64),
        float: limit(64),
        least_grams: limit(0),
        most_grams: limit(1_000_000),
    }
}

impl Fabric {
    /// A sample over `places` places and `passes` passes; its loops end on waste yarn.
    #[must_use]
    pub fn sample(&self, places: u32, passes: u32) -> Plan {
        // Enough places more for the ends of this fabric.
        let ends = self.ends.first().copied().unwrap_or(Ends::MainRibber);
        let more = self.layout.period().max(self.layout.repeat()).max(12);
        let places = (places..places + more).find(|p| self.layout.allows(*p, ends)).unwrap_or(places);
        let left = left_end(places);
        let needles = self.layout.needles(left, places, left);
        let mut steps = Vec::new();
        let mut add = |origin, action| steps.push(Step { action, origin });
        let bed = |setting| BedSetting { setting, hold: false, dial: Dial(12) };
        let pass = |direction, main, ribber, mark, [yarn, second, laid]: [Option<Yarn>; 3]| {
            let (main, ribber) = (bed(main), bed(ribber));
            Action::Pass(Pass { direction, main, ribber, yarn, second, laid, counted: true, mark })
        };
        let (pitch, racking) = match self.layout.begun() {
            Begun::BothBeds { pitch, racking, .. } => (pitch, racking),
            Begun::MainBed => (if self.layout.two_beds() { self.layout.pitch() } else { Pitch::Full }, Racking(0)),
        };
        let mut side = Side::Right;
        add(CAST_ON, Action::Start { carriage: side, pitch, racking });
        add(CAST_ON, Action::Join { yarn: Yarn(0), side });
        let on_main = self.layout.begun() == Begun::MainBed;
        let cast_on: Vec<Needle> =
            if on_main { needles.iter().copied().filter(|n| n.bed == Bed::Main).collect() } else { needles.clone() };
        add(CAST_ON, Action::IntoWork(cast_on));
        if on_main {
            add(CAST_ON, Action::Hang { load: Load::Comb, grams: 1 });
        }
        let ribber = if on_main { Setting::Slip } else { Setting::Knit };
        side = side.other();
        add(CAST_ON, pass(side, Setting::Knit, ribber, Mark::OpenStart, [Some(Yarn(0)), None, None]));
        if !on_main {
            add(CAST_ON, Action::Hang { load: Load::Comb, grams: 1 });
            add(CAST_ON, Action::Pitch(self.layout.pitch()));
            add(CAST_ON, Action::Rack(Racking(0)));
        } else if self.layout.two_beds() {
            let empty: Vec<Needle> = needles.iter().copied().filter(|n| n.bed == Bed::Ribber).collect();
            add(CAST_ON, Action::IntoWork(empty));
        }
        let begun = side;
        let mut racking = Racking(0);
        let mut waits = vec![(Yarn(0), side)];
        for n in 0..passes {
            let turn = self.turn(begun, n);
            for act in turn.acts(&needles, left, racking, self.ends_knit) {
                add(SAMPLE, act);
            }
            racking = turn.racking.unwrap_or(racking);
            // The further yarns have the numbers that a plan gives them.
            let number = |n: u8| Yarn(if n == 0 { 0 } else { n + 2 });
            let feeds = [Some(turn.feeds.first), turn.feeds.second, turn.feeds.laid].map(|n| n.map(number));
            for yarn in feeds.into_iter().flatten() {
                match waits.iter().position(|w| w.0 == yarn) {
                    Some(at) if waits[at].1 == side => {}
                    found => {
                        if let Some(at) = found {
                            add(SAMPLE, Action::Cut(yarn));
                            waits.swap_remove(at);
                        }
                        add(SAMPLE, Action::Join { yarn, side });
                        waits.push((yarn, side));
                    }
                }
            }
            side = side.other();
            waits.iter_mut().filter(|w| feeds.contains(&Some(w.0))).for_each(|w| w.1 = side);
            add(SAMPLE, pass(side, turn.course.main, turn.course.ribber, Mark::Plain, feeds));
        }
        let of = |bed: Bed| needles.iter().copied().filter(move |n| n.bed == bed);
        let carrying = of(Bed::Main).chain(of(Bed::Ribber).filter(|n| self.carries(*n, left, begun, passes)));
        add(SAMPLE, Action::Secure { needles: carrying.collect(), way: Way::Waste, cut_length: None, onto: None });
        Plan { steps }
    }

    /// Whether a ribber needle carries a loop after `passes` passes: a needle whose loop was dropped carries none until it
    /// knits or tucks again.
    fn carries(&self, needle: Needle, left: latchwork_machine::needle::Slot, begun: Side, passes: u32) -> bool {
        let mut carries = self.layout.begun() != Begun::MainBed;
        for n in 0..passes {
            let turn = self.turn(begun, n);
            let place = needle.slot.0 - left.0;
            let off = |h: &super::Hand| matches!(h, super::Hand::LetOff { bed, cells } if *bed == needle.bed && cells.has(place));
            carries &= !turn.hands.iter().any(off);
            carries |= turn.does(needle.bed, place) != Setting::Slip;
        }
        carries
    }
}
