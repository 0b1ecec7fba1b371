//! From a knitter's design to a proven plan, for every size.
//!
//! [`text`] and [`measure`] -> [`design::Design`] -> [`draft`] -> [`stitches`] -> [`plan`] (a
//! [`latchwork_machine::steps::Plan`]) -> [`latchwork_machine::rehearsal::Run`] -> [`cloth`]; then [`check`]
//! binds plan, run and cloth into what alone may be printed and counted, by [`handout`] and [`cues`]; [`picture`] draws,
//! [`record`] writes down, [`revise`] changes a document in place. [`notes`] come to
//! the same plan from a knitter's own lines; [`words`] say it, [`readback`] hears what they said, and [`trial`] looks
//! for a design that breaks a law.
//! Pure: no files, clock, network or globals.

pub mod units;
pub mod fact;
pub mod notice;
pub mod vocabulary;
pub mod text;
pub(crate) mod reader;
pub mod fabric;
pub mod measure;
pub mod design;
pub mod draft;
pub mod stitches;
pub mod plan;
pub mod fit;
pub mod notes;
pub mod wording;
pub mod words;
pub mod cloth;
pub mod check;
pub mod reach;
pub mod readback;
pub mod picture;
pub mod handout;
pub mod cues;
pub mod revise;
pub mod record;
pub mod trial;
