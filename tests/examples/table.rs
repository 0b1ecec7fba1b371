//! Prints the tables of docs/cloth.md, and how far coarse cutting is off.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a page is written by hand from it")]

use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use latchwork::cloth::repeat;
use latchwork::fabric::{FABRICS, bench, find};
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::cloths;
use latchwork_thread::cell::{Cell, cell};
use latchwork_thread::relax::{Fineness, Lengths, NoRest, Rested, relax};
use latchwork_thread::rod::Matter;

/// A cloth brought to rest: its name, yarn in a loop with what it floats, hard or soft.
struct Case {
    name: String,
    cell: Cell,
    loop_length: f64,
    matter: (&'static str, Matter),
}

type Both = [Result<Rested, NoRest>; 2];

fn cases() -> Vec<Case> {
    let interlock = cloths::all().into_iter().find(|c| c.0 == "interlock").map(|c| c.1).unwrap();
    let run = rehearse(&interlock, &bench());
    let interlock = cell(&interlock, &run, 0..interlock.steps.len()).unwrap();
    let plain = repeat(find("plain").unwrap()).unwrap();
    let mut all = Vec::new();
    for matter in [("hard", Matter::HARD), ("soft", Matter::SOFT)] {
        for loop_length in [13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 22.0] {
            all.push(Case { name: format!("plain {loop_length}"), cell: plain.clone(), loop_length, matter });
        }
        let built_in = FABRICS.iter().skip(1).map(|f| (f.name, repeat(f).unwrap()));
        for (name, cell) in built_in.chain([("interlock", interlock.clone())]) {
            all.push(Case { name: name.to_string(), cell, loop_length: 17.0, matter });
        }
    }
    all
}

fn main() {
    let cases = cases();
    let found: Vec<OnceLock<Both>> = cases.iter().map(|_| OnceLock::new()).collect();
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                while let Some((c, place)) = {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    cases.get(i).zip(found.get(i))
                } {
                    let lengths = Lengths { knit: c.loop_length, tuck: 0.75 };
                    let at = |fineness| relax(&c.cell, lengths, c.matter.1, fineness);
                    place.get_or_init(|| [at(Fineness::Fine), at(Fineness::Coarse)]);
                }
            });
        }
    });
    println!("| fabric, matter | w/d (range) | c/d (range) | thick | kc | kw | settled | coarse: w, c |");
    let (mut off, mut beyond) = (Vec::new(), 0);
    for (c, both) in cases.iter().zip(found) {
        let (name, matter) = (&c.name, c.matter.0);
        let [fine, coarse] = both.into_inner().unwrap();
        let r = match fine {
            Ok(r) => r,
            Err(why) => {
                println!("| {name}, {matter} | {why} |");
                continue;
            }
        };
        // A loop has its share of what the yarn floats.
        let loops: usize = c.cell.courses.iter().map(|c| c.stitches.len()).sum();
        let l = c.cell.yarn(Lengths { knit: c.loop_length, tuck: 0.75 }) / loops as f64;
        let against = coarse.ok().filter(|k| k.settled() && r.settled()).map(|k| {
            let shares = [k.wale / r.wale - 1.0, k.course / r.course - 1.0];
            beyond += shares.iter().filter(|s| s.abs() > 0.02).count();
            off.extend(shares);
            format!("{:+.0} %, {:+.0} %", 100.0 * shares[0], 100.0 * shares[1])
        });
        println!(
            "| {name}, {matter} | {:.2} ({:.2} to {:.2}) | {:.2} ({:.2} to {:.2}) | {:.1} | {:.2} | {:.2} | {} | {} |",
            r.wale,
            r.wales.0,
            r.wales.1,
            r.course,
            r.courses.0,
            r.courses.1,
            r.thick,
            l / r.course,
            l / r.wale,
            r.settled(),
            against.unwrap_or_else(|| "not settled".to_string()),
        );
    }
    let worst = off.iter().map(|s| s.abs()).fold(0.0, f64::max);
    println!("coarse: {beyond} of {} sizes are off by more than 2 %, the worst by {:.0} %", off.len(), 100.0 * worst);
}
