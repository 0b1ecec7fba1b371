//! Any text as a file of fabrics: it is read or its faults are reported, and what is read can be tried on the judge.
#![no_main]

use latchwork::fabric::{built_in, from_text};
use latchwork::notice::Notices;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let mut notices = Notices::default();
    for fabric in from_text(text, built_in(), "fabrics/fuzzed.kdl", &mut notices).iter().take(2) {
        let _ = fabric.always_open();
        let _ = fabric.tuck_share();
        let _ = latchwork::check::tried(fabric);
    }
});
