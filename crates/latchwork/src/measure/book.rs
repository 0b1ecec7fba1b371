//! Figures from all swatches of one fabric in one yarn: gauge, yarn in a loop, and how both change with stitch size, rest
//! and washing.

use std::sync::Arc;

use super::curve::Curve;
use super::figure::{Basis, Figure};
use super::loops::LoopLengths;
use super::swatch::{State, Swatch};
use crate::fabric::Fabric;
use crate::fact::NoGauge;
use crate::units::{Tex, dial};

/// A stitch size in thirds: main bed, ribber.
pub type Dials = (u8, u8);

/// The gauge of a fabric in a yarn at a stitch size.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauge {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// The yarn, by its index in the design.
    pub yarn: usize,
    /// Stitch size in thirds: main bed, ribber.
    pub dial: Dials,
    /// Millimetres of width per needle in work on both beds.
    pub needle: Figure,
    /// Millimetres of length per counter pass.
    pub pass: Figure,
    /// Yarn in a loop.
    pub loops: Option<LoopLengths>,
    /// The state that the figures hold for.
    pub state: State,
    /// The number of swatches.
    pub swatches: u32,
    /// How far it stretches in width, as a share; none where no swatch was stretched.
    pub stretch: Option<Figure>,
}

/// Why there is no gauge.
/// Spread of one measured gauge: common practice, no source.
pub const ONE_GAUGE: f64 = 0.02;
/// Spread of one weighed loop length: common practice, no source.
const ONE_LOOP: f64 = 0.035;
/// Spread of one unravelled loop length: common practice, no source.
const ONE_UNRAVELLED: f64 = 0.02;
/// Spread of one stretched swatch: common practice, no source.
const ONE_STRETCH: f64 = 0.10;
/// Spread of a gauge scaled from another machine or yarn: a guess, no source.
pub const RECKONED: f64 = 0.08;

/// The change of width and length from one state to the next, as swatches show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateChange {
    /// Width after over width before.
    pub needle: Figure,
    /// Length after over length before.
    pub pass: Figure,
}

/// The change of a fabric in a yarn from one state to another, where the same stitch size was measured in both.
#[must_use]
pub fn state_change(swatches: &[Swatch], fabric: &Fabric, yarn: usize, from: State, to: State) -> Option<StateChange> {
    let of = |state: State, dial: Dials, value: fn(&Swatch) -> f64| {
        let all: Vec<f64> = swatches
            .iter()
            .filter(|s| *s.fabric == *fabric && s.yarn == yarn && s.state == state && s.dial == dial && !s.reckoned)
            .map(value)
            .collect();
        (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
    };
    let ratios = |value: fn(&Swatch) -> f64| {
        let all: Vec<f64> = dials(swatches, fabric, yarn)
            .into_iter()
            .filter_map(|d| Some(of(to, d, value)? / of(from, d, value)?))
            .collect();
        Figure::of(&all, ONE_GAUGE)
    };
    Some(StateChange { needle: ratios(Swatch::needle)?, pass: ratios(Swatch::pass)? })
}

/// The stitch sizes at which a fabric was swatched in a yarn, in the order found.
#[must_use]
pub fn dials(swatches: &[Swatch], fabric: &Fabric, yarn: usize) -> Vec<Dials> {
    let mut all: Vec<Dials> = Vec::new();
    for s in swatches.iter().filter(|s| *s.fabric == *fabric && s.yarn == yarn) {
        if !all.contains(&s.dial) {
            all.push(s.dial);
        }
    }
    all
}

/// One measurement at a stitch size, converted to the finished state.
struct Point {
    dial: Dials,
    needle: f64,
    pass: f64,
    /// Mean loop of a weighed swatch.
    mean: Option<f64>,
    /// Extra doubt from a change of state, as a share.
    more: f64,
    other_state: bool,
    reckoned: bool,
}

/// The gauge of a fabric in a yarn: at the stitch size asked for, or at that of the first swatch.
///
/// # Errors
/// When it was not swatched, or not at stitch sizes that give this one.
pub fn gauge(
    swatches: &[Swatch],
    fabric: &Arc<Fabric>,
    yarn: usize,
    tex: Tex,
    asked: Option<Dials>,
) -> Result<Gauge, NoGauge> {
    let of: Vec<&Swatch> = swatches.iter().filter(|s| *s.fabric == **fabric && s.yarn == yarn).collect();
    // A knitted swatch outranks a scaled one.
    let knitted = of.iter().any(|s| !s.reckoned);
    let of: Vec<&Swatch> = of.into_iter().filter(|s| !(knitted && s.reckoned)).collect();
    let state = of.iter().map(|s| s.state).max().ok_or(NoGauge::NoSwatch)?;
    let points = points(swatches, &of, fabric, yarn, tex, state);
    let first = points.first().ok_or(NoGauge::NoSwatch)?.dial;
    let asked = asked.unwrap_or(first);
    let here: Vec<&Point> = points.iter().filter(|p| p.dial == asked).collect();
    let (needle, pass, mean) = if here.is_empty() {
        between(&points, fabric, asked)?
    } else {
        let figure = |f: &dyn Fn(&Point) -> Option<f64>, assumed: f64| {
            let all: Vec<f64> = here.iter().filter_map(|p| f(p)).collect();
            let more = here.iter().map(|p| p.more).fold(0.0, f64::max);
            let basis = here.iter().any(|p| p.other_state);
            Figure::of(&all, assumed).map(|x| {
                let spread = x.spread.hypot(more);
                let count = u32::try_from(all.len()).unwrap_or(u32::MAX);
                let basis = if here.iter().any(|p| p.reckoned) {
                    Basis::Reckoned
                } else if basis {
                    Basis::OtherState(count)
                } else {
                    x.basis
                };
                Figure { spread, basis, ..x }
            })
        };
        let needle = figure(&|p| Some(p.needle), ONE_GAUGE).ok_or(NoGauge::NoSwatch)?;
        let pass = figure(&|p| Some(p.pass), ONE_GAUGE).ok_or(NoGauge::NoSwatch)?;
        (needle, pass, figure(&|p| p.mean, ONE_LOOP))
    };
    let unravelled = |tucks: bool| {
        let same = of.iter().filter(|s| s.dial == asked).flat_map(|s| &s.unravelled);
        Figure::of(&same.filter(|u| u.tucks == tucks).map(|u| u.each()).collect::<Vec<_>>(), ONE_UNRAVELLED)
    };
    let (knit, tuck) = (unravelled(false), unravelled(true));
    let formula = || {
        // Loop length squared is kc kw times the area of a loop; the doubt of the constants is 3 % (Knapton).
        let (kc, kw) = state.plain_constants();
        (!fabric.layout.two_beds()).then(|| {
            LoopLengths::alike(Figure {
                value: (kc * kw * needle.value * pass.value).sqrt(),
                spread: (0.03_f64.powi(2) + (needle.spread.powi(2) + pass.spread.powi(2)) / 4.0).sqrt(),
                basis: if needle.basis == Basis::Reckoned { Basis::Reckoned } else { Basis::Formula },
            })
        })
    };
    let loops = LoopLengths::fit(mean, fabric.tuck_share(), knit, tuck).or_else(formula);
    let stretched = |same: bool| {
        let some = of.iter().filter(|s| !same || s.dial == asked);
        let all: Vec<f64> = some.filter_map(|s| Some(s.stretched?.0 / s.width.0 - 1.0)).filter(|s| *s > 0.0).collect();
        let basis = (!same).then(|| Basis::Curve(u32::try_from(all.len()).unwrap_or(u32::MAX)));
        Figure::of(&all, ONE_STRETCH).map(|f| Figure { basis: basis.unwrap_or(f.basis), ..f })
    };
    // A swatch at another stitch size, if none at this one was stretched.
    let stretch = stretched(true).or_else(|| stretched(false));
    let swatches = u32::try_from(of.len()).unwrap_or(u32::MAX);
    Ok(Gauge { fabric: Arc::clone(fabric), yarn, dial: asked, needle, pass, loops, state, swatches, stretch })
}

/// Every measurement that gives the finished state.
fn points(swatches: &[Swatch], of: &[&Swatch], fabric: &Fabric, yarn: usize, tex: Tex, state: State) -> Vec<Point> {
    let mut points = Vec::new();
    for s in of {
        let finished = s.state == state;
        if !finished && of.iter().any(|o| o.state == state && o.dial == s.dial) {
            continue;
        }
        let change = if finished { None } else { state_change(swatches, fabric, yarn, s.state, state) };
        if !finished && change.is_none() {
            continue;
        }
        let (w, l, more) =
            change.map_or((1.0, 1.0, 0.0), |c| (c.needle.value, c.pass.value, c.needle.spread.max(c.pass.spread)));
        let more = if s.reckoned { more.hypot(s.doubt) } else { more };
        let loops = fabric.loops_per_needle_pass();
        let mean = s.weighed.map(|x| x.grams.0 / tex.0 * 1e6 / (x.needles * x.passes * loops));
        points.push(Point {
            dial: s.dial,
            needle: s.needle() * w,
            pass: s.pass() * l,
            mean,
            more,
            other_state: !finished,
            reckoned: s.reckoned,
        });
    }
    points
}

/// The place of a stitch size on the curve: the mean of the beds that knit.
#[must_use]
pub fn along(fabric: &Fabric, dial: Dials) -> f64 {
    if !fabric.layout.two_beds() { f64::from(dial.0) } else { (f64::from(dial.0) + f64::from(dial.1)) / 2.0 }
}

type Figures = (Figure, Figure, Option<Figure>);

fn between(points: &[Point], fabric: &Fabric, asked: Dials) -> Result<Figures, NoGauge> {
    let balance = |d: Dials| if !fabric.layout.two_beds() { 0 } else { i16::from(d.0) - i16::from(d.1) };
    let on: Vec<&Point> = points.iter().filter(|p| balance(p.dial) == balance(asked)).collect();
    if on.is_empty() {
        return Err(NoGauge::OtherBalance);
    }
    let at = along(fabric, asked);
    let xs = || on.iter().map(|p| along(fabric, p.dial));
    let reach = (xs().fold(f64::INFINITY, f64::min), xs().fold(f64::NEG_INFINITY, f64::max));
    let more = on.iter().map(|p| p.more).fold(0.0, f64::max);
    let curve = |f: &dyn Fn(&Point) -> Option<f64>, assumed: f64| {
        let all: Vec<(f64, f64)> = on.iter().filter_map(|p| Some((along(fabric, p.dial), f(p)?))).collect();
        let found = Curve::fit(&all, assumed)?.at(at)?;
        Some(Figure { spread: found.spread.hypot(more), ..found })
    };
    let outside = || NoGauge::Outside { reach };
    let needle = curve(&|p| Some(p.needle), ONE_GAUGE).ok_or_else(outside)?;
    let pass = curve(&|p| Some(p.pass), ONE_GAUGE).ok_or_else(outside)?;
    Ok((needle, pass, curve(&|p| p.mean, ONE_LOOP)))
}

/// Two stitch sizes in words: "4 and 3", or "4" if both are the same.
#[must_use]
pub fn dial_words(fabric: &Fabric, d: Dials) -> String {
    if !fabric.layout.two_beds() || d.0 == d.1 { dial(d.0) } else { format!("{} and {}", dial(d.0), dial(d.1)) }
}
