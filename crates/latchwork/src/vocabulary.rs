//! The words of documents and plan files for sides, beds, pitches and settings, shared by all readers and writers. Words
//! of a single reader are in that reader.

use latchwork_machine::needle::{Bed, Pitch, Side};
use latchwork_machine::steps::Setting;

/// Sides.
pub const SIDES: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];
/// Beds.
pub const BEDS: [(&str, Bed); 2] = [("main", Bed::Main), ("ribber", Bed::Ribber)];
/// Pitches.
pub const PITCHES: [(&str, Pitch); 2] = [("full", Pitch::Full), ("half", Pitch::Half)];
/// Settings of a bed in a pass.
pub const SETTINGS: [(&str, Setting); 3] = [("knit", Setting::Knit), ("tuck", Setting::Tuck), ("slip", Setting::Slip)];

/// The word in a list for a value.
#[must_use]
pub fn word_of<T: Copy + PartialEq>(words: &[(&'static str, T)], meant: T) -> &'static str {
    words.iter().find(|w| w.1 == meant).map_or("", |w| w.0)
}
