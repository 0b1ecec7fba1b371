//! The words of documents and plan files for sides, beds, pitches and settings, once for all who read and write them. Words
//! that one reader alone knows stand in it.

use latchwork_machine::needle::{Bed, Pitch, Side};
use latchwork_machine::steps::Setting;

/// Sides.
pub const SIDES: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];
/// Beds.
pub const BEDS: [(&str, Bed); 2] = [("main", Bed::Main), ("ribber", Bed::Ribber)];
/// How the beds stand to each other.
pub const PITCHES: [(&str, Pitch); 2] = [("full", Pitch::Full), ("half", Pitch::Half)];
/// What a bed does in a pass.
pub const SETTINGS: [(&str, Setting); 3] = [("knit", Setting::Knit), ("tuck", Setting::Tuck), ("slip", Setting::Slip)];

/// The word of a list that means this.
#[must_use]
pub fn word_of<T: Copy + PartialEq>(words: &[(&'static str, T)], meant: T) -> &'static str {
    words.iter().find(|w| w.1 == meant).map_or("", |w| w.0)
}
