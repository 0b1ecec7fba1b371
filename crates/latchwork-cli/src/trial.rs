//! Many made-up designs, read back.

use latchwork::trial::{ENDINGS, FABRICS, SHAPINGS, Seed, Tally, combinations, document, possible};

use crate::Done;
use crate::args;
use crate::progress::Progress;
use crate::report::print;

/// What each shaping of the made-up designs is.
const NAMES: [&str; SHAPINGS as usize] = [
    "none",
    "every 6, 3 times",
    "in to 40%",
    "out to 130%",
    "left, twice",
    "in to half",
    "to a few",
    "by steps",
    "hollow, to half",
    "round, to half",
    "curved neck",
    "V neck",
    "short rows",
    "crown",
    "slit",
    "neck at an edge",
    "another knitted on",
    "ended with another",
];

pub(crate) fn trial(a: &args::Trial) -> Done {
    if let Some(number) = a.show {
        print(&document(&Seed::from_number(number, &combinations(FABRICS.len(), SHAPINGS))));
        return Done::Fine;
    }
    let progress = Progress::start("Making up designs and reading them back");
    let workers = std::thread::available_parallelism().map_or(1, |n| n.get() as u64);
    let tally = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers)
            .map(|w| {
                scope.spawn(move || {
                    let mut tally = Tally::default();
                    let combinations = combinations(FABRICS.len(), SHAPINGS);
                    let own = (0..a.designs).filter(|i| i % workers == w);
                    own.for_each(|i| tally.try_one(a.seed.wrapping_add(i), &combinations));
                    tally
                })
            })
            .collect();
        let mut all = Tally::default();
        for h in handles {
            match h.join() {
                Ok(t) => all.add(t),
                Err(_) => all.wrong.push((0, "A trial stopped half-way.".to_string())),
            }
        }
        all
    });
    drop(progress);
    let mut out = String::new();
    out.push_str(&format!(
        "{} designs: {} read back the same, {} refused with a reason, {} differed.\n",
        a.designs,
        tally.same,
        tally.refused,
        tally.wrong.len()
    ));
    let mut wrong = tally.wrong.clone();
    wrong.sort();
    for (n, why) in wrong.iter().take(20) {
        out.push_str(&format!("  design {n}: {why}\n"));
    }
    out.push_str(&format!("\n{:<24}{:<18}", "last fabric", "its shaping"));
    for e in ENDINGS {
        out.push_str(&format!("{e:>19}"));
    }
    out.push('\n');
    for (f, fabric) in FABRICS.iter().enumerate() {
        for (s, shaping) in (0_u8..).zip(NAMES) {
            let count = |e| match tally.occurred.get(&(f, s, e)) {
                Some(n) => n.to_string(),
                None if possible(f, s, e) => "0".to_string(),
                None => "–".to_string(),
            };
            out.push_str(&format!("{fabric:<24}{shaping:<18}"));
            (0..ENDINGS.len()).for_each(|e| out.push_str(&format!("{:>19}", count(e))));
            out.push('\n');
        }
    }
    out.push_str(
        "– not possible: some fabrics cannot be shaped or only narrowed, and a point takes at most 5 stitches.\n",
    );
    print(&out);
    if tally.wrong.is_empty() { Done::Fine } else { Done::Refused }
}
