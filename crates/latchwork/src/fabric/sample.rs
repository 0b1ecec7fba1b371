//! A small piece of a fabric and nothing else, as steps: for looking at its loops.

use latchwork_machine::needle::{Bed, Racking, Side};
use latchwork_machine::profile::{Limit, Profile, Source};
use latchwork_machine::steps::{Action, BedSetting, Dial, Load, Mark, Origin, Pass, Plan, Setting, Step, Yarn};

use super::{Ends, Fabric, Layout, left_end};

/// Part of a sample: the cast-on, then the fabric.
const CAST_ON: Origin = Origin(0);
/// The fabric's own part.
pub const SAMPLE: Origin = Origin(1);

/// A machine on which any fabric can be tried: no limit is met.
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
    /// Cast on over some places and knitted for some passes; loops are let off at the end.
    #[must_use]
    pub fn sample(&self, places: u32, passes: u32) -> Plan {
        // As many places more as it takes to end where this fabric ends.
        let ends = self.ends.first().copied().unwrap_or(Ends::MainRibber);
        let places = (places..places + 12).find(|p| self.layout.allows(*p, ends)).unwrap_or(places);
        let left = left_end(places);
        let needles = self.layout.needles(left, places, left);
        let (pitch, racking) = self.layout.cast_on_at();
        let mut steps = Vec::new();
        let mut add = |origin, action| steps.push(Step { action, origin });
        let bed = |setting| BedSetting { setting, hold: false, dial: Dial(12) };
        let pass = |direction, main, ribber, mark| {
            let (main, ribber) = (bed(main), bed(ribber));
            Action::Pass(Pass { direction, main, ribber, yarn: Some(Yarn(0)), second: None, counted: true, mark })
        };
        let mut side = Side::Right;
        add(CAST_ON, Action::Start { carriage: side, pitch, racking });
        add(CAST_ON, Action::Join { yarn: Yarn(0), side });
        add(CAST_ON, Action::IntoWork(needles.clone()));
        let main_only = self.layout == Layout::MainOnly;
        if main_only {
            add(CAST_ON, Action::Hang { load: Load::Comb, grams: 1 });
        }
        let ribber = if main_only { Setting::Slip } else { Setting::Knit };
        side = side.other();
        add(CAST_ON, pass(side, Setting::Knit, ribber, Mark::OpenStart));
        if !main_only {
            add(CAST_ON, Action::Hang { load: Load::Comb, grams: 1 });
            add(CAST_ON, Action::Pitch(self.layout.pitch()));
            add(CAST_ON, Action::Rack(Racking(0)));
        }
        let begun = side;
        for n in 0..passes {
            let course = self.course(begun, n);
            side = side.other();
            add(SAMPLE, pass(side, course.main, course.ribber, Mark::Plain));
        }
        let of = |bed: Bed| needles.iter().copied().filter(move |n| n.bed == bed);
        add(SAMPLE, Action::Release(of(Bed::Main).chain(of(Bed::Ribber)).collect()));
        Plan { steps }
    }
}
