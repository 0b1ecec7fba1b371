//! From a knitter's design to a proven plan, for every size.
//!
//! [`text`] and [`measure`] -> [`design::Design`] -> [`draft`] -> [`stitches`] -> [`plan`] (a
//! [`latchwork_machine::steps::Plan`]) -> [`latchwork_machine::rehearsal::Run`] -> [`cloth`]; then [`check`] joins plan,
//! run and cloth into the only form that [`handout`] may print and [`cues`] may count; [`picture`] draws, [`record`]
//! writes every stage as text, [`revise`] changes a document in place. [`notes`] lead to the same plan from a knitter's own
//! lines; [`words`] put it in sentences, [`readback`] reads them back, and [`trial`] searches for a design that breaks a
//! law.
//! Pure: no files, clock, network or globals.

pub mod units;
pub mod fact;
pub mod notice;
pub mod vocabulary;
pub mod text;
pub(crate) mod reader;
pub mod fabric;
pub mod motif;
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
