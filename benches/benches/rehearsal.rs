//! The judge alone, from ten thousand loops to a hundred million: loops, needle actions, seconds, bytes, and how long a
//! plain fill of fresh memory of the same size takes on the same machine. Best of several; prints a table.
#![allow(clippy::print_stdout, clippy::cast_precision_loss, missing_docs, reason = "a benchmark prints")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use latchwork_benches::profile;
use latchwork_machine::needle::{Needle, Pitch, Racking, Side};
use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::{
    Action, BedSetting, Dial, Leaves, Load, Mark, Move, Origin, Pass, Plan, Setting, Step, Way, Yarn,
};

fn pass(direction: Side, main: Setting, ribber: Setting) -> Action {
    let bed = |setting| BedSetting { setting, hold: false, dial: Dial(9) };
    Action::Pass(Pass {
        direction,
        main: bed(main),
        ribber: bed(ribber),
        yarn: Some(Yarn(0)),
        second: None,
        laid: None,
        counted: true,
        mark: Mark::Plain,
    })
}

/// A piece of 200 places with alternate needles, knitted by these settings in turn; with `lace`, eyelets every second
/// row on every tenth needle.
fn piece(passes: u32, turn: &[(Setting, Setting)], lace: bool) -> (Plan, u64) {
    let needles: Vec<Needle> =
        (-100..99).map(|s| if s % 2 == 0 { Needle::main(s) } else { Needle::ribber(s) }).collect();
    let mut actions = vec![
        Action::Start { carriage: Side::Right, pitch: Pitch::Full, racking: Racking(0) },
        Action::Join { yarn: Yarn(0), side: Side::Right },
        Action::IntoWork(needles.clone()),
        pass(Side::Left, Setting::Knit, Setting::Knit),
        Action::Hang { load: Load::Comb, grams: 1000 },
    ];
    for i in 1..passes {
        let (main, ribber) = turn[i as usize % turn.len()];
        if lace && i % 2 == 0 {
            for s in (-90..90).step_by(10) {
                let (from, to) = (Needle::main(s), Needle::main(s + 2));
                actions.push(Action::Transfer(Move { from, to, leaves: Leaves::Eyelet }));
            }
        }
        actions.push(pass(if i % 2 == 0 { Side::Left } else { Side::Right }, main, ribber));
    }
    actions.push(Action::Secure { needles: needles.clone(), way: Way::Waste, cut_length: None, onto: None });
    let met = u64::from(passes) * needles.len() as u64;
    (Plan { steps: actions.into_iter().map(|action| Step { action, origin: Origin(0) }).collect() }, met)
}

fn best<T>(times: u32, mut work: impl FnMut() -> T) -> Duration {
    let once = |work: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..times).map(|_| once(&mut work)).min().unwrap_or_default()
}

fn main() {
    let profile = profile();
    use Setting::{Knit, Tuck};
    type Fabric = (&'static str, &'static [(Setting, Setting)], bool);
    let fabrics: [Fabric; 3] = [
        ("1x1 rib", &[(Knit, Knit)], false),
        ("half cardigan", &[(Knit, Knit), (Knit, Tuck)], false),
        ("rib with eyelets", &[(Knit, Knit)], true),
    ];
    println!(
        "| fabric | loops | seconds | million needle actions a second | bytes a loop | fill of fresh memory, s | ratio |"
    );
    println!("|---|---|---|---|---|---|---|");
    for (name, turn, lace) in fabrics {
        for passes in [50, 502, 5_024, 50_250, 502_512] {
            let (plan, met) = piece(passes, turn, lace);
            let run = rehearse(&plan, &profile);
            assert!(run.error().is_none(), "{:?}", run.error());
            let (loops, bytes) = (run.loops.len(), run.loops.bytes());
            drop(run);
            let times = if loops > 20_000_000 { 2 } else { 7 };
            let took = best(times, || rehearse(&plan, &profile)).as_secs_f64();
            let fill = best(times, || vec![1_u8; bytes]).as_secs_f64();
            println!(
                "| {name} | {loops} | {took:.5} | {:.0} | {:.1} | {fill:.5} | {:.1} |",
                met as f64 / took / 1e6,
                bytes as f64 / loops as f64,
                took / fill
            );
        }
    }
}
