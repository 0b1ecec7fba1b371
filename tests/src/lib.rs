//! The runner of the case files, and judges from outside: small pass lists in words, and the facts a knitter would check.
#![allow(clippy::expect_used, reason = "tests")]

pub mod notes;
pub mod outside;
pub mod sample;
pub mod browser;
pub mod garments;
pub mod cloths;
pub mod passes;
pub mod workshop;
