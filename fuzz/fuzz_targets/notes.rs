//! Any bytes as pass notes: never a panic, and what is sound is printed and read back.
#![no_main]

use latchwork::check::{mend_notes, prove_notes};
use latchwork::handout::proofread;
use latchwork::notes::{from_text, restated};

libfuzzer_sys::fuzz_target!(|text: &str| {
    let (noted, _) = from_text(text);
    if let Some(noted) = noted {
        let outcome = prove_notes(&noted);
        if let Some(proven) = &outcome.proven {
            proofread(proven, &[0]).expect("what is printed reads back");
        }
        let _ = restated(text, &noted);
    } else if text.len() < 2_000 {
        let _ = mend_notes(text);
    }
});
