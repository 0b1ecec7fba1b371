//! Cloth.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "tests")]

use latchwork::fabric::{FABRICS, bench};
use latchwork_machine::rehearsal::rehearse;
use latchwork_thread::cell::cell;
use latchwork_thread::relax::{Fineness, Lengths, relax};
use latchwork_thread::rod::Matter;

#[test]
fn look() {
    let fine = if std::env::var("FINE").is_ok() { Fineness::Fine } else { Fineness::Coarse };
    let matter = if std::env::var("SOFT").is_ok() { Matter::SOFT } else { Matter::HARD };
    let l: f64 = std::env::var("L").map_or(17.0, |v| v.parse().unwrap());
    let own = FABRICS.iter().map(|f| (f.name, f.sample(14, 8 * f.repeat.len() as u32)));
    let own: Vec<_> = if std::env::var("MORE").is_ok() { latchwork_tests::cloths::all() } else { own.collect() };
    for (name, plan) in own {
        let run = rehearse(&plan, &bench());
        let t = std::time::Instant::now();
        match cell(&plan, &run, 0..plan.steps.len()) {
            Ok(c) => {
                let t1 = t.elapsed();
                let r = relax(&c, Lengths { knit: l, tuck: 0.75 }, matter, fine);
                let t2 = t.elapsed();
                match r {
                    Ok(r) => println!(
                        "{:18} {}x{} cr {:3} | w {:.3} h {:.3} kc {:.2} kw {:.2} t {:.2} res {:.1e} E {:.3} strain {:.4} steps {} nodes {} {:?} {:?}",
                        name, c.needles, c.passes, c.demands().len(), r.wale, r.course, l / r.course, l / r.wale, r.thick, r.residual, r.bending,
                        r.strain, r.steps, r.threads.points.iter().map(Vec::len).sum::<usize>(), t1, t2 - t1
                    ),
                    Err(e) => println!("{:18} {}x{} cr {} {e} {:?} {:?}", name, c.needles, c.passes, c.demands().len(), t1, t2 - t1),
                }
            }
            Err(e) => println!("{:18} {e} {:?}", name, run.error()),
        }
    }
}
