//! The runner of the case files: small pass lists in words, and the facts a knitter would check.

pub mod passes;
