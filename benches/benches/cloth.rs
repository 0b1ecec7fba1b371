//! Each fabric's repeat brought to rest, coarsely and finely; and a picture of many loops.
#![allow(clippy::print_stdout, clippy::expect_used, missing_docs, reason = "a benchmark prints")]

use std::time::Instant;

use latchwork::check::prove;
use latchwork::cloth::{Stuff, nothing, piece_at_rest, repeat, rests_quickly};
use latchwork::design::from_text;
use latchwork::fabric::{bench, built_in};
use latchwork::reach::{Looks, finished};
use latchwork_machine::profile::Profile;
use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::{Action, Origin};
use latchwork_thread::look::{Face, pixels, smooth, tiled};
use latchwork_thread::relax::{Fineness, Lengths, relax};
use latchwork_thread::rod::Matter;

fn main() {
    let lengths = Lengths { knit: 17.0, tuck: 0.75 };
    for f in built_in() {
        let Some(cell) = repeat(f).ok().filter(|_| rests_quickly(f)) else {
            println!("{:<18} is not brought to rest while someone waits", f.name);
            continue;
        };
        let time = |matter, fineness| {
            let start = Instant::now();
            let settled = relax(&cell, lengths, matter, fineness).is_ok_and(|r| r.settled());
            format!("{:>6.0} ms{}", start.elapsed().as_secs_f64() * 1e3, if settled { "" } else { " (not settled)" })
        };
        println!(
            "{:<18} hard coarse {}  hard fine {}  soft coarse {}  soft fine {}",
            f.name,
            time(Matter::HARD, Fineness::Coarse),
            time(Matter::HARD, Fineness::Fine),
            time(Matter::SOFT, Fineness::Coarse),
            time(Matter::SOFT, Fineness::Fine)
        );
    }
    for (places, passes) in [(200, 250), (1000, 1000)] {
        // A rib up to two fifths of the height, plain above it.
        let mut plan = built_in()[0].sample(places, passes);
        let row = |s: &latchwork_machine::steps::Step| matches!(s.action, Action::Pass(_));
        let at: Vec<usize> = plan.steps.iter().enumerate().filter(|s| row(s.1)).map(|s| s.0).collect();
        for i in &at[2 * passes as usize / 5..] {
            plan.steps[*i].origin = Origin(2);
        }
        let profile = Profile { main_needles: 2000, ..bench() };
        let run = rehearse(&plan, &profile);
        let rib = Stuff { needle: 2.2, pass: 2.2, stretch: 0.5 };
        let plain = Stuff { needle: 3.0, pass: 2.2, stretch: 0.3 };
        let start = Instant::now();
        let rested = piece_at_rest(&plan, &run, &[None, Some(rib), Some(plain)], latchwork::cloth::Mesh::FLAT)
            .expect("it has rows");
        println!(
            "sheet of {} loops: {:.0} ms, {} steps, {} triangles{}",
            run.loops.len(),
            start.elapsed().as_secs_f64() * 1e3,
            rested.end.steps,
            rested.sheet.triangles.len(),
            if rested.end.settled() { "" } else { " (not settled)" }
        );
    }
    let cell = repeat(&built_in()[0]).expect("plain");
    let t = relax(&cell, lengths, Matter::HARD, Fineness::Coarse).expect("plain rests").threads;
    let start = Instant::now();
    let mut strands = tiled(&t, &[[139, 148, 153]], (141, 142), 0.5);
    for s in &mut strands {
        s.points = smooth(&s.points, 0.4);
    }
    let seen = pixels(&strands, [0.0, 0.0, 141.0 * t.width, 142.0 * t.height], Face::Far, 2000, 2);
    println!(
        "picture of 20,022 loops, {} x {}: {:.0} ms",
        seen.width,
        seen.height,
        start.elapsed().as_secs_f64() * 1e3
    );
    pieces();
}

/// The deck hat in its middle size: its fabrics at rest, its yarn laid, a picture of it, the thing sewn and worn.
fn pieces() {
    let design = from_text(include_str!("../../designs/deck-hat.kdl")).0.expect("an example");
    let proven = prove(&design, &[2]).proven.expect("it is proven");
    let size = &proven.sizes()[0];
    let told = |what: &str, start: Instant| println!("{what}: {:.0} ms", start.elapsed().as_secs_f64() * 1e3);
    let start = Instant::now();
    let looks = Looks::of(&design, &nothing);
    told("deck hat, its fabrics at rest", start);
    let start = Instant::now();
    let yarn = looks.piece(&design, &size.plans.pieces[0], &size.pieces[0].run).and_then(|l| l.yarn.ok());
    let yarn = yarn.expect("it is drawn");
    told(&format!("its yarn laid, {} spans", yarn.regular.1), start);
    let start = Instant::now();
    let _ = pixels(&yarn.strands, yarn.window, Face::Far, 1800, 2);
    told("a picture of it, 1800 px", start);
    let start = Instant::now();
    let thing = finished(&design, size).expect("it is sewn");
    told(&format!("sewn and worn, {} triangles", thing.worn.0.triangles.len()), start);
}
