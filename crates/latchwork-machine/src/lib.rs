//! The judge: what the two beds of a hand knitting machine do with a list of steps.
//!
//! A [`steps::Plan`] goes in with a machine's [`profile::Profile`]; [`rehearsal::rehearse`] gives back a
//! [`rehearsal::Run`]: every loop in the order made, what each was drawn through and how it ended, and
//! the faults met on the way. Whole numbers only, so that a second program written from the same rules
//! can agree bit for bit. Nothing here knows sizes, designs or sentences.

pub mod needle;
pub mod profile;
pub mod steps;
mod state;
mod act;
mod pass;
pub mod loops;
pub mod fault;
pub mod rehearsal;
pub mod beds;
pub mod numbers;
