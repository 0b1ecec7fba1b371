//! Small pieces of garments in plain, at the gauge of the worked cases.
#![allow(clippy::panic, reason = "tests")]

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::handout::proofread;
use latchwork::units::Language;

/// A design of one piece in plain at 28 stitches and 40 rows to 10 cm, the gauge of the worked cases.
#[must_use]
pub fn piece(needles: u32, stretches: &str) -> String {
    format!(
        "title \"Edge\"\nmachine \"standard\"\nyarn \"sea\" {{ count (tex)238; ball (g)50; }}
         swatch \"plain\" {{ yarn \"sea\"; stitch-size 6; counted needles=40 passes=60; flat (cm)14.286 (cm)15; weighed (g)18 needles=60 passes=90; state \"washed\"; }}
         swatch \"1x1 rib\" {{ yarn \"sea\"; stitch-size 4 4; counted needles=40 passes=60; flat (cm)9.5 (cm)15.4; weighed (g)16 needles=60 passes=90; state \"washed\"; }}
         sizes {{ size \"one\" {{ chest (cm)96; }} }}
         piece \"back\" {{ yarn \"sea\"; needles {needles}; {stretches}; ending \"chain\"; }}"
    )
}

/// A design of one size, proven.
///
/// # Panics
/// When it cannot be.
#[must_use]
pub fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{text}\n{:?}", notices.0));
    prove(&design, &[0]).proven.unwrap_or_else(|| panic!("{text}"))
}

/// What is found wrong with a design, in words.
#[must_use]
pub fn refused(text: &str) -> String {
    let (design, notices) = from_text(text);
    let notices = match design {
        Some(d) => prove(&d, &[0]).notices.into_iter().map(|n| n.1).collect(),
        None => notices.0,
    };
    let told = notices.iter().map(|n| n.told(Language::English));
    told.map(|t| format!("{} {} {}", t.message, t.why, t.hints.join(" "))).collect::<Vec<_>>().join("\n")
}

/// The printed words of its only piece in its only size, as lines.
///
/// # Panics
/// When they cannot be read back.
#[must_use]
pub fn text(p: &Proven) -> String {
    proofread(p, &[0]).unwrap_or_else(|e| panic!("{e:?}"))[0].lines()
}
