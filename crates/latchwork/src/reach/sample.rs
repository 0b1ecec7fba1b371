//! A sample of a fabric whose own repeat is not brought to rest: its yarn along the rehearsal's diagram, at the gauge.

use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::Yarn as Feeder;

use super::looks::{Look, ink};
use crate::cloth::{Mesh, Portrayed, Stuff, piece_at_rest, portray};
use crate::design::{Design, Yarns};
use crate::fabric::{SAMPLE, bench};
use crate::measure::Gauge;

/// Side of the least and the greatest window, in millimetres.
const LEAST: f64 = 14.0;
const GREATEST: f64 = 60.0;
/// Stitches and rows around the window.
const AROUND: u32 = 6;

/// The yarn of a sample and the window that shows its repeat: left, bottom, width and height.
#[must_use]
pub fn sampled(design: &Design, look: &Look) -> Option<(Portrayed, [f64; 4])> {
    let stretches = || design.pieces.iter().flat_map(|p| &p.stretches);
    let (stretch, gauge): (_, &Gauge) = stretches()
        .flat_map(|s| s.gauges().map(move |g| (s, g)))
        .find(|(_, g)| g.fabric == look.fabric && g.yarn == look.yarn)?;
    let yarns = match &stretch.yarns {
        Yarns::Each(yarns) if look.fabric.yarns() > 1 => yarns.to_vec(),
        _ => vec![look.yarn],
    };
    let (needle, pass) = (gauge.needle.value, gauge.pass.value);
    let across = f64::from(look.fabric.period()) * look.fabric.layout.needles_per_place() * needle;
    let side = across.max(f64::from(look.fabric.row_multiple()) * pass).clamp(LEAST, GREATEST);
    let count = |mm: f64, each: f64| (mm / each).ceil().clamp(1.0, 200.0) as u32 + 2 * AROUND;
    let plan = look.fabric.sample(count(side, needle), count(side, pass));
    let run = rehearse(&plan, &bench());
    let parts = usize::try_from(SAMPLE.0).unwrap_or(0) + 1;
    let stuff = Stuff { needle, pass, stretch: look.fabric.stretch };
    let rest = piece_at_rest(&plan, &run, &vec![Some(stuff); parts], Mesh::FLAT)?;
    let pattern = look.rested.as_ref().ok().map(|(cell, at)| at.pattern(cell));
    let inks = |feeder: Feeder| {
        let number = if feeder.0 == 0 { 0 } else { usize::from(feeder.0).checked_sub(2)? };
        Some(ink(design.yarns.get(*yarns.get(number)?)?))
    };
    let yarn = portray(&plan, &run, &rest, &vec![pattern; parts], inks).ok()?;
    let [left, bottom, width, height] = yarn.window;
    let window = [left + (width - side) / 2.0, bottom + (height - side) / 2.0, side, side];
    Some((yarn, window))
}
