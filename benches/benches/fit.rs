//! A ten-size design of four pieces: settled, and worked out with everything that the fit says about it.
#![allow(clippy::print_stdout, clippy::expect_used, missing_docs, reason = "a benchmark prints")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use latchwork::check::prove;
use latchwork::cloth::count;
use latchwork::design::{Size, from_text};
use latchwork::draft::{Draft, draft};
use latchwork::fit::{measures, sewing, sheet};
use latchwork::handout::proofread;
use latchwork::measure::BUILT_IN;
use latchwork::notice::Notices;
use latchwork::plan::plans;
use latchwork::revise::{Asked, STARTERS};
use latchwork::stitches::settle;
use latchwork_machine::rehearsal::rehearse;

/// The best of seven runs.
fn best<T>(mut work: impl FnMut() -> T) -> Duration {
    let once = |work: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..7).map(|_| once(&mut work)).min().unwrap_or_default()
}

fn main() {
    let text = include_str!("jersey.kdl");
    let design = from_text(text).0.expect("the example reads");
    let row = |name: &str, time: Duration| println!("{name:<46} {:>9.3} ms", time.as_secs_f64() * 1e3);
    row("read", best(|| from_text(text)));
    let drafts: Vec<Draft> = design.sizes.iter().map(|s| draft(&design, s, &mut Notices::default())).collect();
    let sizes: Vec<(&Size, &Draft)> = design.sizes.iter().zip(&drafts).collect();
    row("settle ten sizes of four pieces", best(|| settle(&design, &sizes)));
    let all: Vec<usize> = (0..10).collect();
    let settled: Vec<_> = settle(&design, &sizes).into_iter().filter_map(|s| s.0).collect();
    row("plans", best(|| settled.iter().map(|s| plans(&design, s).pieces.len()).sum::<usize>()));
    let jobs: Vec<_> = settled.iter().flat_map(|s| plans(&design, s).pieces).collect();
    let runs: Vec<_> = jobs.iter().map(|p| rehearse(&p.plan, &design.machine.profile)).collect();
    row(
        "rehearsals",
        best(|| jobs.iter().map(|p| rehearse(&p.plan, &design.machine.profile).loops.len()).sum::<usize>()),
    );
    row(
        "loops counted",
        best(|| jobs.iter().zip(&runs).map(|(p, r)| count(&p.plan, r, p.origins.len()).len()).sum::<usize>()),
    );
    let fit = |k: usize| {
        let lines = sheet(&design, k, &drafts[k], &settled[k]).len();
        lines + sewing(&design, &settled[k], &settled[9], &measures(&design, &drafts[k], &settled[k])).seams.len()
    };
    row("fit sheets and sewing maps", best(|| (0..10).map(fit).sum::<usize>()));
    row("the same, planned, rehearsed and measured", best(|| prove(&design, &all)));
    // Seven pieces with sleeves set in, necks, sloped shoulders and bands knitted on.
    let cardigan = from_text(include_str!("cardigan.kdl")).0.expect("the cardigan reads");
    let drafts: Vec<Draft> = cardigan.sizes.iter().map(|s| draft(&cardigan, s, &mut Notices::default())).collect();
    let sizes: Vec<(&Size, &Draft)> = cardigan.sizes.iter().zip(&drafts).collect();
    row("settle ten sizes of a set-in cardigan", best(|| settle(&cardigan, &sizes)));
    row("the same, planned, rehearsed and measured", best(|| prove(&cardigan, &all)));
    let proven = prove(&cardigan, &all).proven.expect("the cardigan is proven");
    row("its words read back", best(|| proofread(&proven, &all).map(|all| all.len())));
    // Each starter as it is begun on a standard machine. Floor: 50 ms, sweaters 200.
    for s in STARTERS {
        let begun = s.begun(&Asked::of(&BUILT_IN[1]));
        let design = from_text(&begun.expect("it knits").text).0.expect("it reads");
        let all: Vec<usize> = (0..design.sizes.len()).collect();
        row(&format!("starter {}, {} sizes", s.name, all.len()), best(|| prove(&design, &all)));
    }
}
