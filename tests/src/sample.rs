//! How much of a long test is run: `./check` samples, `./check whole` runs it whole.

/// Whether everything is asked for.
#[must_use]
pub fn whole() -> bool {
    std::env::var("LATCHWORK_WHOLE").is_ok_and(|w| w == "1")
}

/// `all` where everything is asked for, otherwise `sampled`.
#[must_use]
pub fn of<T>(sampled: T, all: T) -> T {
    if whole() { all } else { sampled }
}
