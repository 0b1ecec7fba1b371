//! Prints the table of docs/cloth.md.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a page is written by hand from it")]

use latchwork::cloth::repeat;
use latchwork::fabric::{FABRICS, bench, find};
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::cloths;
use latchwork_thread::cell::cell;
use latchwork_thread::relax::{Fineness, Lengths, relax};
use latchwork_thread::rod::Matter;

fn main() {
    let plain = repeat(find("plain").unwrap()).unwrap();
    for (name, matter) in [("hard", Matter::HARD), ("soft", Matter::SOFT)] {
        println!("| l/d {name} | w/d | c/d | kc | against 5.3 | against 5.5 | kw | against 4.1 | against 4.2 |");
        for l in [13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 22.0] {
            match relax(&plain, Lengths { knit: l, tuck: 0.75 }, matter, Fineness::Fine) {
                Ok(r) => {
                    let (kc, kw) = (l / r.course, l / r.wale);
                    println!(
                        "| {l} | {:.2} | {:.2} | {kc:.2} | {:+.0} % | {:+.0} % | {kw:.2} | {:+.0} % | {:+.0} % |",
                        r.wale,
                        r.course,
                        100.0 * (kc / 5.3 - 1.0),
                        100.0 * (kc / 5.5 - 1.0),
                        100.0 * (kw / 4.1 - 1.0),
                        100.0 * (kw / 4.2 - 1.0)
                    );
                }
                Err(e) => println!("| {l} | {e} |"),
            }
        }
        let interlock = cloths::all().into_iter().find(|c| c.0 == "interlock").map(|c| c.1).unwrap();
        let run = rehearse(&interlock, &bench());
        let interlock = cell(&interlock, &run, 0..interlock.steps.len()).unwrap();
        let all = FABRICS.iter().map(|f| (f.name, repeat(f).unwrap()));
        for (fabric, c) in all.chain([("interlock", interlock)]) {
            let r = relax(&c, Lengths { knit: 17.0, tuck: 0.75 }, matter, Fineness::Fine).unwrap();
            println!(
                "| {} | {} x {} | {:.2} | {:.2} | {:.1} | {} |",
                fabric,
                c.needles,
                c.passes,
                r.wale,
                r.course,
                r.thick,
                r.settled()
            );
        }
    }
}
