//! Prints the table of docs/cloth.md.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a page is written by hand from it")]

use latchwork::cloth::repeat;
use latchwork::fabric::{FABRICS, find};
use latchwork_thread::relax::{Fineness, Lengths, relax};
use latchwork_thread::rod::Matter;

fn main() {
    let plain = repeat(find("plain").unwrap()).unwrap();
    for (name, matter) in [("hard", Matter::HARD), ("soft", Matter::SOFT)] {
        println!("| l/d {name} | w/d | c/d | kc | against 5.3 | kw | against 4.1 | kc/kw |");
        for l in [13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 22.0] {
            match relax(&plain, Lengths { knit: l, tuck: 0.75 }, matter, Fineness::Fine) {
                Ok(r) => {
                    let (kc, kw) = (l / r.course, l / r.wale);
                    println!(
                        "| {l} | {:.2} | {:.2} | {kc:.2} | {:+.0} % | {kw:.2} | {:+.0} % | {:.2} |",
                        r.wale,
                        r.course,
                        100.0 * (kc / 5.3 - 1.0),
                        100.0 * (kw / 4.1 - 1.0),
                        kc / kw
                    );
                }
                Err(e) => println!("| {l} | {e} |"),
            }
        }
        for f in &FABRICS {
            let c = repeat(f).unwrap();
            let r = relax(&c, Lengths { knit: 17.0, tuck: 0.75 }, matter, Fineness::Fine).unwrap();
            println!(
                "| {} | {} x {} | {:.2} | {:.2} | {:.1} | {} |",
                f.name,
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
