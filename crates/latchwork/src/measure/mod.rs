//! What is known about yarn, swatches, bodies and machines, and how surely.

mod figure;
mod curve;
mod loops;
mod yarn;
mod swatch;
mod book;
mod expect;
mod doubt;
mod survey;
mod bodies;
mod person;
mod ease;
mod shoes;
mod machines;
mod pace;

pub use bodies::{TABLES, Table, find as find_table, on_nobody};
pub use book::{Dials, Gauge, ONE_GAUGE, RECKONED, StateChange, along, dial_words, dials, gauge, state_change};
pub use curve::Curve;
pub use doubt::{doubt, doubts_between};
pub use ease::{CONVENTIONS, Convention, convention};
pub use expect::{Expected, expectations, expected, loops_of_pitch};
pub use figure::{Basis, Figure, pooled};
pub use loops::{LoopLengths, TUCK};
pub use machines::{BUILT_IN, BuiltIn, Machine, OWN_WORDS, find as find_machine};
pub use pace::Pace;
pub use person::{Estimate, Person, Sex};
pub use shoes::{barleycorn_adult, barleycorn_child, foot_of, mondopoint, paris_point};
pub use survey::{SURVEYED, Surveyed, surveyed};
pub use swatch::{State, Swatch, Unravelled, Weighed};
pub use yarn::Yarn;
