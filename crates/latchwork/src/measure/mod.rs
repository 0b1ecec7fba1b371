//! What is known about yarn, swatches, bodies and machines, and how surely.

mod figure;
mod yarn;
mod swatch;
mod bodies;
mod machines;

pub use bodies::{TABLES, Table, find as find_table};
pub use figure::{Basis, Figure};
pub use machines::{BUILT_IN, BuiltIn, Machine, OWN_WORDS, find as find_machine};
pub use swatch::{Gauge, State, Swatch, Weighed, gauge};
pub use yarn::Yarn;
