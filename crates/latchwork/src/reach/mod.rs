//! Questions that need all stages: what the yarn in hand makes, stripes, where to stop, which yarn would do, the test
//! knit, the design on another machine, how its pieces look, the finished article. Every answer that names rows or a size
//! was planned and rehearsed.

mod came_out;
mod in_hand;
mod stripes;
mod substitute;
mod looks;
mod sample;
mod sewn;
mod restate;

pub use came_out::{CameOut, Drift, as_swatch, drift};
pub use in_hand::{Confidence, Longest, StopAt, WhatFits, fits_with, longest, stop_weights, what_fits};
pub use looks::{Look, Looks, PieceLook, colour, ink, public_face, sheet, stuff};
pub use restate::{Restated, restate};
pub use sample::sampled;
pub use sewn::{Body, Finished, NotRound, Round, finished};
pub use stripes::{Remnant, Stripe, stripes};
pub use substitute::{Suits, Verdict, suits};
