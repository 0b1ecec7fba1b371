//! Timings of every stage: `cargo bench -p latchwork-benches`. Nothing here is a test.
