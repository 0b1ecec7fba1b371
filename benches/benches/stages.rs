//! Each stage on the built-in example and the judge on long pieces: best of five, beside a plain memory fill.
#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    clippy::cast_precision_loss,
    missing_docs,
    reason = "a benchmark prints"
)]

use std::hint::black_box;
use std::time::{Duration, Instant};

use latchwork::check::prove;
use latchwork::design::from_text;
use latchwork::handout::handout;
use latchwork::record;
use latchwork_benches::profile;
use latchwork_machine::needle::{Needle, Pitch, Racking, Side};
use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::{Action, BedSetting, Dial, Load, Mark, Origin, Pass, Plan, Setting, Step, Way, Yarn};
use latchwork_print::{Paper, Type, pdf};

const HAT: &str = include_str!("../../designs/deck-hat.kdl");

/// The best of five runs after one to warm up.
fn best<T>(mut work: impl FnMut() -> T) -> Duration {
    black_box(work());
    let once = |work: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..5).map(|_| once(&mut work)).min().unwrap_or_default()
}

fn row(name: &str, time: Duration, note: &str) {
    println!("{name:<46} {:>9.3} ms  {note}", time.as_secs_f64() * 1e3);
}

/// A 1x1 rib of 200 places and this many passes.
fn rib(passes: u32) -> Plan {
    let needles: Vec<Needle> =
        (-100..100).map(|s| if s % 2 == 0 { Needle::main(s) } else { Needle::ribber(s) }).collect();
    let knit = BedSetting { setting: Setting::Knit, hold: false, dial: Dial(9) };
    let pass = |direction| {
        Action::Pass(Pass {
            direction,
            main: knit,
            ribber: knit,
            yarn: Some(Yarn(0)),
            second: None,
            laid: None,
            counted: true,
            mark: Mark::Plain,
        })
    };
    let mut actions = vec![
        Action::Start { carriage: Side::Right, pitch: Pitch::Full, racking: Racking(0) },
        Action::Join { yarn: Yarn(0), side: Side::Right },
        Action::IntoWork(needles.clone()),
        pass(Side::Left),
        Action::Hang { load: Load::Comb, grams: 1000 },
    ];
    actions.extend((1..passes).map(|i| pass(if i % 2 == 0 { Side::Left } else { Side::Right })));
    actions.push(Action::Secure { needles, way: Way::Waste, cut_length: None, onto: None });
    Plan { steps: actions.into_iter().map(|action| Step { action, origin: Origin(0) }).collect() }
}

/// A piece of a million loops in one fabric, in stretches of 2,000 rows at most.
fn blanket(fabric: &str, needles: u32, rows: u32) -> String {
    let stretches: String = (0..rows.div_ceil(2_000))
        .map(|k| {
            let n = (rows - 2_000 * k).min(2_000);
            format!("stretch \"s{k}\" {{ fabric \"{fabric}\"; rows {n}; needles {needles}; }}\n")
        })
        .collect();
    format!(
        "title \"Blanket\"\nmachine \"standard\"\nyarn \"y\" {{ count (tex)238; }}\nswatch \"{fabric}\" {{ stitch-size 3 3; counted needles=40 \
         passes=60; flat (cm)10 (cm)12; weighed (g)11 needles=60 passes=90; state \"washed\"; }}\nsizes {{ size \"a\" {{ girth (cm)50; }} }}\n\
         piece \"p\" {{ {stretches} ending \"waste yarn\"\n }}\n"
    )
}

fn main() {
    let fill = {
        let mut memory = vec![0_u8; 64 << 20];
        let mut value = 0_u8;
        best(|| {
            value = value.wrapping_add(1);
            memory.fill(value);
            memory[value as usize]
        })
    };
    row("memory fill, 64 MiB (the yardstick)", fill, &format!("{:.1} GiB/s", 0.0625 / fill.as_secs_f64()));
    let (design, _) = from_text(HAT);
    let design = design.expect("the example reads");
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    row("read the deck hat's document", best(|| from_text(HAT)), "");
    let outcome = prove(&design, &all);
    row("draft, plan and rehearse its five sizes", best(|| prove(&design, &all)), "floor: 1 ms");
    let proven = outcome.proven.expect("the example is proven");
    row("its handout's contents", best(|| handout(&proven, &all, false).expect("read back")), "");
    let sheet = handout(&proven, &all, false).expect("read back");
    row("its handout as PDF, A4", best(|| pdf(&sheet, Paper::A4, Type::Normal)), "floor: 300 ms");
    row("plan.json", best(|| record::plan(&design, proven.sizes())), "");
    row("rehearsal.json", best(|| record::rehearsal(&design, proven.sizes())), "");
    for (fabric, needles, rows) in [("plain", 200, 5_000), ("full needle rib", 400, 2_500)] {
        let (design, _) = from_text(&blanket(fabric, needles, rows));
        let design = design.expect("the blanket reads");
        row(&format!("a million loops of {fabric}, to their proof"), best(|| prove(&design, &[0])), "");
        let proven = prove(&design, &[0]).proven.expect("the blanket is proven");
        let said = best(|| handout(&proven, &[0], false).expect("read back"));
        row("its handout said and read back", said, "floor: 1000 ms");
    }
    let profile = profile();
    for passes in [50, 500, 5_000, 50_000] {
        let plan = rib(passes);
        let loops = rehearse(&plan, &profile).loops.len();
        let time = best(|| rehearse(&plan, &profile));
        let rate = loops as f64 / time.as_secs_f64() / 1e6;
        let ratio = time.as_secs_f64() / (fill.as_secs_f64() * (loops * 16) as f64 / f64::from(64 << 20));
        row(
            &format!("rehearse {loops} loops"),
            time,
            &format!("{rate:.0} million loops a second; {ratio:.1} x a fill of 16 bytes a loop"),
        );
    }
}
