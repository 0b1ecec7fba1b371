//! Notes that nobody wrote: every sound one is read back from its words, every tenth printed and drawn besides; every other
//! is refused with a reason.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "tests")]

use latchwork::check::prove_notes;
use latchwork::handout::{handout, proofread};
use latchwork::notes::from_text;
use latchwork::notice::Level;
use latchwork::wording::Language;
use latchwork_tests::notes::made_up;
use latchwork_tests::sample;
use latchwork_thread::path::diagram;
use latchwork_thread::portrait::portrait;

/// The numbers that notes are made from: sampled in `./check`, a million in `./check whole`.
fn numbers() -> std::ops::Range<u64> {
    let seed = std::env::var("LATCHWORK_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or(1);
    let count = sample::of(12_000, 1_000_000);
    println!("notes from seed {seed}, {count} of them");
    seed * 1_000_000..seed * 1_000_000 + count
}

#[test]
fn every_sound_note_goes_all_the_way() {
    let (mut sound, mut refused) = (0, 0);
    for number in numbers() {
        let document = made_up(number);
        let (noted, notices) = from_text(&document);
        let Some(noted) = noted else {
            let error = notices.0.iter().find(|n| n.level == Level::Error);
            assert!(
                error.is_some_and(|e| e.span.is_some() && !e.told(Language::English).message.is_empty()),
                "{number} is refused\n{document}"
            );
            refused += 1;
            continue;
        };
        let outcome = prove_notes(&noted);
        let Some(proven) = &outcome.proven else {
            assert!(outcome.notices.iter().any(|n| n.1.level == Level::Error), "{number}\n{document}");
            refused += 1;
            continue;
        };
        proofread(proven, &[0]).unwrap_or_else(|e| panic!("{number}: {e}\n{document}"));
        sound += 1;
        if number % 10 != 0 {
            continue;
        }
        handout(proven, &[0], true).unwrap_or_else(|e| panic!("{number}: {e}\n{document}"));
        let run = &outcome.sizes[0].pieces[0].run;
        let plan = &noted.plans.pieces[0].plan;
        // Drawn, or refused with a reason; never a panic.
        let _ = diagram(plan, run, true);
        let _ = diagram(plan, run, false);
        let patterns: Vec<_> = noted.plans.pieces[0].origins.iter().map(|_| None).collect();
        let _ = portrait(plan, run, &patterns, |_| true);
    }
    println!("{sound} sound, {refused} refused");
    assert!(sound > 2 * refused, "{sound} sound, {refused} refused: the generator has lost its way");
}
