//! Any bytes as a design: it is read, and where it can be, worked out, rehearsed and put into words.
#![no_main]

use latchwork::check::prove;
use latchwork::design::from_text;
use latchwork::handout::handout;
use latchwork::record;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (Some(design), _) = from_text(text) else { return };
    let sizes: Vec<usize> = (0..design.sizes.len().min(2)).collect();
    // Pieces of many thousand rows only take time.
    let outcome = prove(&design, &sizes);
    let loops: usize = outcome.sizes.iter().flat_map(|s| &s.pieces).map(|p| p.run.loops.len()).sum();
    if let (Some(proven), true) = (&outcome.proven, loops < 200_000) {
        let all: Vec<usize> = (0..proven.sizes().len()).collect();
        let _ = handout(proven, &all, true);
        let _ = record::plan(&design, proven.sizes());
    }
});
