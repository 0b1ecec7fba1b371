//! How long the stages of a command took.

use std::time::Instant;

use crate::report::tell_line;

/// Stages, from the start of the program's work on.
pub(crate) struct Timings {
    begun: Instant,
    last: Instant,
    all: Vec<(&'static str, f64)>,
}

impl Timings {
    pub(crate) fn start() -> Timings {
        let now = Instant::now();
        Timings { begun: now, last: now, all: Vec::new() }
    }

    /// A stage ends here.
    pub(crate) fn stage(&mut self, name: &'static str) {
        let now = Instant::now();
        self.all.push((name, (now - self.last).as_secs_f64()));
        self.last = now;
    }

    /// Prints them.
    pub(crate) fn tell(&self) {
        let row = |name: &str, seconds: f64| tell_line(&format!("{name:<28}{seconds:>7.3} s"));
        self.all.iter().for_each(|(name, seconds)| row(name, *seconds));
        row("total", self.begun.elapsed().as_secs_f64());
    }
}
