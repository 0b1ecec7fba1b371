//! Every stage as text: what tests compare, what a bug report holds, what another program can run.

mod json;
mod stages;

pub use json::{plan, rehearsal};
pub use stages::{Stage, show};
