//! Prints the tables of docs/cloth.md, and how far coarse cutting is off.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a page is written by hand from it")]

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use latchwork::cloth::{repeat, rests_quickly};
use latchwork::fabric::{bench, built_in, find};
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::cloths;
use latchwork_thread::cell::{Cell, cell};
use latchwork_thread::relax::{Fineness, Lengths, relax};
use latchwork_thread::rod::Matter;

/// A cloth brought to rest: its name, yarn in a loop with what it floats, hard or soft.
struct Case {
    name: String,
    cell: Cell,
    loop_length: f64,
    matter: (&'static str, Matter),
}

fn cases() -> Vec<Case> {
    let interlock = cloths::all().into_iter().find(|c| c.0 == "interlock").map(|c| c.1).unwrap();
    let run = rehearse(&interlock, &bench());
    let interlock = cell(&interlock, &run, 0..interlock.steps.len()).unwrap();
    let plain = repeat(find("plain").unwrap()).unwrap();
    let mut all = Vec::new();
    for matter in [("soft", Matter::SOFT), ("hard", Matter::HARD)] {
        let built_in = built_in()
            .iter()
            .skip(1)
            .filter(|f| rests_quickly(f))
            .filter_map(|f| Some((f.name.clone(), repeat(f).ok()?)));
        for (name, cell) in built_in.chain([("interlock".to_string(), interlock.clone())]) {
            all.push(Case { name: name.to_string(), cell, loop_length: 17.0, matter });
        }
        for loop_length in [13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 22.0] {
            all.push(Case { name: format!("plain {loop_length}"), cell: plain.clone(), loop_length, matter });
        }
    }
    all
}

/// Brings a case to rest finely and coarsely, prints its row, and gives how far coarse sizes are off.
fn row(c: &Case) -> Vec<f64> {
    let lengths = Lengths { knit: c.loop_length, tuck: 0.75 };
    let (name, matter) = (&c.name, c.matter.0);
    let r = match relax(&c.cell, lengths, c.matter.1, Fineness::Fine) {
        Ok(r) => r,
        Err(why) => {
            println!("| {name}, {matter} | {why} |");
            return Vec::new();
        }
    };
    let coarse = relax(&c.cell, lengths, c.matter.1, Fineness::Coarse).ok().filter(|k| k.settled() && r.settled());
    let off = coarse.map(|k| [k.wale / r.wale - 1.0, k.course / r.course - 1.0]);
    // A loop has its share of what the yarn floats.
    let loops: usize = c.cell.courses.iter().map(|c| c.stitches.len()).sum();
    let l = c.cell.yarn(lengths) / loops as f64;
    let range = |size: f64, (low, high): (f64, f64)| {
        if high > low * 1.005 { format!("{size:.2} ({low:.2} to {high:.2})") } else { format!("{size:.2}") }
    };
    println!(
        "| {name}, {matter} | {} | {} | {:.1} | {:.2} | {:.2} | {} | {} |",
        range(r.wale, r.wales),
        range(r.course, r.courses),
        r.thick,
        l / r.course,
        l / r.wale,
        if r.settled() { "yes" } else { "no" },
        off.map_or("not settled".to_string(), |[w, h]| format!("{:+.0}%, {:+.0}%", 100.0 * w, 100.0 * h)),
    );
    off.into_iter().flatten().collect()
}

fn main() {
    let cases = cases();
    let (next, off) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    println!("| fabric, matter | w/d (range) | c/d (range) | thick | kc | kw | settled | coarse w, c |");
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                while let Some(c) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let found = row(c);
                    off.lock().unwrap().extend(found);
                }
            });
        }
    });
    let off: Vec<f64> = off.into_inner().unwrap().into_iter().map(f64::abs).collect();
    let beyond = off.iter().filter(|s| **s > 0.02).count();
    let worst = 100.0 * off.iter().copied().fold(0.0, f64::max);
    println!("coarse: {beyond} of {} sizes are off by more than 2%, the worst by {worst:.0}%", off.len());
}
