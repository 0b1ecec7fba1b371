//! The loops of all that can be knitted stay as they are from one commit to the next: what the rehearsals gave is kept as
//! one number for each example and each fifty made-up pieces. What is meant to change is recorded again with
//! `LATCHWORK_TAKE=1`, and the commit says why.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::fmt::Write;
use std::path::Path;

use latchwork::check::{prove, prove_notes};
use latchwork::design::from_text;
use latchwork::notes;
use latchwork::trial::{ELDEST, Seed, combinations, document};
use latchwork_machine::rehearsal::Run;
use latchwork_tests::notes::made_up;

/// Fowler, Noll and Vo, 1a, 64 bits.
struct Mark(u64);

impl Mark {
    fn new() -> Mark {
        Mark(0xCBF2_9CE4_8422_2325)
    }

    fn add(&mut self, n: u32) {
        for byte in n.to_le_bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3);
        }
    }

    /// Every loop: its needle, how it was made, what it was drawn through.
    fn run(&mut self, run: &Run) {
        for id in run.loops.ids() {
            let needle = run.loops.needle(id);
            self.add(u32::from(needle.slot.0.cast_unsigned()) << 1 | needle.bed as u32);
            self.add(run.loops.kind(id) as u32);
            let through = run.loops.through(id);
            self.add(through.len() as u32);
            through.iter().for_each(|l| self.add(*l));
        }
        self.add(run.readings.len() as u32);
        run.readings.iter().for_each(|r| self.add(r.counter));
    }
}

fn of_design(mark: &mut Mark, text: &str) {
    let Some(design) = from_text(text).0 else { return mark.add(1) };
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    let Some(proven) = outcome.printable() else { return mark.add(2) };
    for piece in proven.sizes().iter().flat_map(|s| &s.pieces) {
        mark.run(&piece.run);
    }
}

fn of_notes(mark: &mut Mark, text: &str) {
    let Some(noted) = notes::from_text(text).0 else { return mark.add(1) };
    let outcome = prove_notes(&noted);
    let Some(proven) = outcome.proven else { return mark.add(2) };
    for piece in proven.sizes().iter().flat_map(|s| &s.pieces) {
        mark.run(&piece.run);
    }
}

#[test]
fn loops_are_as_they_were() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let read = |name: &str| std::fs::read_to_string(root.join(name)).unwrap();
    let mut told = String::new();
    let mut tell = |name: &str, mark: &Mark| writeln!(told, "{name} {:016x}", mark.0).unwrap();
    for name in ["deck-hat", "wrist-warmers", "scarf", "tiller-mitts"] {
        let mut mark = Mark::new();
        of_design(&mut mark, &read(&format!("designs/{name}.kdl")));
        tell(name, &mark);
    }
    let mut mark = Mark::new();
    of_notes(&mut mark, &read("designs/ladder-cuff.notes"));
    tell("ladder-cuff", &mark);
    let cases = read("tests/suite/notes/sound.notes");
    for case in cases.split("=== ").filter(|c| !c.trim().is_empty()) {
        let (name, rest) = case.split_once('\n').unwrap();
        let text: Vec<&str> = rest.lines().filter(|l| !l.starts_with('>')).collect();
        let mut mark = Mark::new();
        of_notes(&mut mark, &text.join("\n"));
        tell(name, &mark);
    }
    let every = combinations(ELDEST, 7);
    for fifty in 0..40_u64 {
        let mut mark = Mark::new();
        (fifty * 50..fifty * 50 + 50).for_each(|n| {
            of_design(&mut mark, &document(&Seed { stripes: 0, panel: 0, ..Seed::from_number(n, &every) }));
        });
        tell(&format!("designs-{}", fifty * 50), &mark);
        let mut mark = Mark::new();
        (fifty * 50..fifty * 50 + 50).for_each(|n| of_notes(&mut mark, &made_up(n)));
        tell(&format!("notes-{}", fifty * 50), &mark);
    }
    let kept = root.join("tests/ref/loops.txt");
    if std::env::var("LATCHWORK_TAKE").is_ok() {
        std::fs::write(&kept, &told).unwrap();
    }
    let before = std::fs::read_to_string(&kept).unwrap();
    let differ: Vec<&str> = told.lines().filter(|l| !before.lines().any(|b| b == *l)).collect();
    assert!(differ.is_empty() && before.lines().count() == told.lines().count(), "{differ:?}");
}
