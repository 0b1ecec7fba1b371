//! Any bytes as a plan file: refused with a reason, or rehearsed.
#![no_main]

use latchwork::record::read_plan;
use latchwork_machine::rehearsal::rehearse;

libfuzzer_sys::fuzz_target!(|text: &str| {
    if let Ok(file) = read_plan(text) {
        for p in &file.pieces {
            let run = rehearse(&p.plan, &file.profile);
            assert!(run.readings.len() <= p.plan.steps.len(), "a reading for each step done");
        }
    }
});
