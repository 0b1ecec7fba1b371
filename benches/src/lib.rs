//! Timings of every stage: `cargo bench -p latchwork-benches`. Nothing here is a test.

use latchwork_machine::profile::{Limit, Profile, Source};

/// The machine of every timing: 200 needles a bed, the limits of common practice.
#[must_use]
pub fn profile() -> Profile {
    let practice = |value| Limit { value, source: Source::Practice };
    Profile {
        main_needles: 200,
        ribber_needles: 200,
        tucks: practice(4),
        float: practice(6),
        least_grams: practice(2),
        most_grams: practice(12),
    }
}
