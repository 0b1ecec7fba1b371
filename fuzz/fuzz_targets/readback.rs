//! Any words as printed instructions: never a panic.
#![no_main]

use latchwork::readback::{Glossary, read_back};

libfuzzer_sys::fuzz_target!(|text: &str| {
    let words = |w: &[&str]| w.iter().map(|w| (*w).to_string()).collect::<Vec<_>>();
    let names = Glossary {
        sizes: words(&["a", "b"]),
        yarns: words(&["y", "waste yarn", "ravel cord"]),
        labels: words(&["s0", "s1"]),
        fabrics: words(&["plain", "1x1 rib", "half cardigan"]),
        american: text.len() % 2 == 1,
    };
    let _ = read_back(text, &names);
});
