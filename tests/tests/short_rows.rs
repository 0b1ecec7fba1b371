//! Short rows: heels and toes, slopes, wedges and gores.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeSet;

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::handout::proofread;
use latchwork::stitches::{Go, ShortRow};
use latchwork::units::Language;
use latchwork_machine::loops::Fate;
use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::Action;
use latchwork_tests::garments::{proven, refused, text};

fn short(p: &Proven, stretch: usize) -> Vec<ShortRow> {
    p.sizes()[0].stretches(0)[stretch].short.clone()
}
