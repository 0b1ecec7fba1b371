//! How the pieces of a design look and lie: the repeat of each fabric at rest in its yarn, and the pieces made of it.

use std::sync::Arc;

use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::Yarn as Feeder;
use latchwork_thread::cell::Cell;
use latchwork_thread::look::Face;
use latchwork_thread::path::NoDiagram;
use latchwork_thread::portrait::Pattern;
use latchwork_thread::relax::Fineness;
use latchwork_thread::rod::Matter;

use crate::cloth::{
    Asked, AtRest, Bulk, Ink, LookUp, Mesh, NoCloth, PieceAtRest, Portrayed, Sample, Stuff, at_rest, piece_at_rest,
    portray, repeat, rest,
};
use crate::design::{Design, Stretch};
use crate::fabric::Fabric;
use crate::measure::{Figure, Gauge, LoopLengths, TUCK, Yarn};
use crate::plan::{PiecePlan, WASTE, WORKING};
use crate::units::{Mm, Tex};

/// A fabric of a design in its yarn, at its stitch size.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// The yarn, by its index in the design.
    pub yarn: usize,
    /// Yarn in a knitted loop.
    pub loop_length: Mm,
    /// Its repeat at rest, or that of its ground where its own is too large.
    pub rested: Result<(Cell, AtRest), NoCloth>,
    /// Whether that is its own.
    pub own: bool,
}

/// The fabrics of a design, each once.
#[derive(Debug, Clone, Default)]
pub struct Looks {
    /// The looks, in order of appearance.
    pub all: Vec<Look>,
}

/// A piece at rest and its yarn.
#[derive(Debug, Clone)]
pub struct PieceLook {
    /// The sheet.
    pub rest: PieceAtRest,
    /// The yarn, or why it could not be drawn.
    pub yarn: Result<Portrayed, NoDiagram>,
}

/// Loop length over yarn diameter without a swatch: the middle of the range that knits well.
const USUAL_LOOP: f64 = 17.0;
/// Colour in which yarn without a colour is drawn.
const UNDYED: [u8; 3] = [139, 148, 153];

/// Red, green and blue of `#rrggbb`.
#[must_use]
pub fn colour(text: &str) -> Option<[u8; 3]> {
    let hex = text.strip_prefix('#').unwrap_or(text);
    let fine = hex.len() == 6 && hex.bytes().all(|b| b.is_ascii_hexdigit());
    let part = |i: usize| u8::from_str_radix(hex.get(i..i + 2)?, 16).ok();
    Some([part(0)?, part(2)?, part(4)?]).filter(|_| fine)
}

/// A sample with the loop length of a gauge, or the usual one.
fn sample(gauge: &Gauge, yarn: &Yarn) -> Sample {
    let diameter = Bulk::of(&yarn.fibres).diameter(yarn.tex);
    let knit = gauge.loops.map_or(USUAL_LOOP * diameter.0, |l| l.knit);
    let tuck = match gauge.loops {
        Some(l) if gauge.fabric.tuck_share() > 0.0 => l.tuck / l.knit,
        _ => TUCK,
    };
    let loop_length = Mm(knit);
    Sample { tex: yarn.tex, diameter, loop_length, tuck, matter: Matter::SOFT, fineness: Fineness::Coarse }
}

/// A sample of a fabric that was not swatched, in a yarn of this count.
fn assumed(yarn: Option<&Yarn>, tex: Tex, loop_length: Mm) -> Sample {
    let diameter = Bulk::of(yarn.map_or(&[][..], |y| &y.fibres)).diameter(tex);
    Sample { tex, diameter, loop_length, tuck: TUCK, matter: Matter::SOFT, fineness: Fineness::Coarse }
}

impl Looks {
    /// Sets the gauges of fabrics without a swatch from their yarn alone: for pass notes without swatches.
    pub fn assume(design: &mut Design, tex: Tex, loop_length: Mm, known: LookUp<'_>) {
        design.yarns.iter_mut().for_each(|y| y.tex = tex);
        for s in design.pieces.iter_mut().flat_map(|p| &mut p.stretches) {
            let sample = assumed(design.yarns.get(s.gauge.yarn), tex, loop_length);
            if let Ok(r) = rest(&s.gauge.fabric, sample, false, known) {
                s.gauge.needle.value = r.needle();
                s.gauge.pass.value = r.pass();
                s.gauge.loops = Some(LoopLengths::alike(Figure { value: loop_length.0, ..s.gauge.needle }));
            }
        }
    }

    /// What [`Looks::assume`] asks for.
    #[must_use]
    pub fn assumed(design: &Design, tex: Tex, loop_length: Mm) -> Vec<Asked> {
        let gauges = design.pieces.iter().flat_map(|p| &p.stretches).flat_map(Stretch::gauges);
        gauges.map(|g| assumed(design.yarns.get(g.yarn), tex, loop_length).asked(&g.fabric, 1.0)).collect()
    }

    /// The fabrics of a design, each once: fabric, yarn, and the sample that its swatches give.
    #[must_use]
    pub fn samples(design: &Design) -> Vec<(Arc<Fabric>, usize, Sample)> {
        let mut all: Vec<(Arc<Fabric>, usize, Sample)> = Vec::new();
        for gauge in design.pieces.iter().flat_map(|p| &p.stretches).flat_map(Stretch::gauges) {
            let Some(yarn) = design.yarns.get(gauge.yarn) else { continue };
            let one = (gauge.fabric.clone(), gauge.yarn, sample(gauge, yarn));
            if all.iter().all(|a| (a.0.clone(), a.1, a.2.loop_length) != (one.0.clone(), one.1, one.2.loop_length)) {
                all.push(one);
            }
        }
        all
    }

    /// What [`Looks::of`] asks for.
    #[must_use]
    pub fn asked(design: &Design) -> Vec<Asked> {
        Looks::samples(design).into_iter().map(|(fabric, _, sample)| sample.asked(&drawn_as(&fabric).0, 1.0)).collect()
    }

    /// Brings every fabric of a design to rest.
    #[must_use]
    pub fn of(design: &Design, known: LookUp<'_>) -> Looks {
        let look = |(fabric, yarn, sample): (Arc<Fabric>, usize, Sample)| {
            let (drawn, ground) = drawn_as(&fabric);
            let rested = repeat(&drawn).map_err(NoCloth::Cell).and_then(|cell| {
                let rested = sample.asked(&drawn, 1.0).found(known)?;
                if rested.settled() {
                    let at = at_rest(&cell, sample, rested);
                    Ok((cell, at))
                } else {
                    Err(NoCloth::Unsettled)
                }
            });
            Look { fabric, yarn, loop_length: sample.loop_length, rested, own: !ground }
        };
        Looks { all: Looks::samples(design).into_iter().map(look).collect() }
    }

    fn find(&self, gauge: &Gauge, loop_length: Mm) -> Option<&Look> {
        self.all.iter().find(|l| l.fabric == gauge.fabric && l.yarn == gauge.yarn && l.loop_length == loop_length)
    }

    /// The first fabric of a piece that has no shape at rest, and why. One without a repeat that could have a shape is drawn from
    /// its diagram alone.
    #[must_use]
    pub fn unknown(&self, design: &Design, plan: &PiecePlan) -> Option<(Arc<Fabric>, &NoCloth)> {
        gauges(design, plan).into_iter().flatten().find_map(|g| {
            let loop_length = sample(g, design.yarns.get(g.yarn)?).loop_length;
            let why = self.find(g, loop_length)?.rested.as_ref().err()?;
            (!matches!(why, NoCloth::Cell(_))).then(|| (g.fabric.clone(), why))
        })
    }

    /// One piece at rest by its gauges, and its yarn. None where no row is of a fabric.
    #[must_use]
    pub fn piece(&self, design: &Design, plan: &PiecePlan, run: &Run) -> Option<PieceLook> {
        Some(self.piece_on(sheet(design, plan, run)?, design, plan, run))
    }

    /// The same, for a piece already at rest.
    #[must_use]
    pub fn piece_on(&self, rest: PieceAtRest, design: &Design, plan: &PiecePlan, run: &Run) -> PieceLook {
        let gauges = gauges(design, plan);
        let patterns: Vec<Option<Pattern<'_>>> = gauges
            .iter()
            .map(|g| {
                let g = (*g)?;
                let look = self.find(g, sample(g, design.yarns.get(g.yarn)?).loop_length)?;
                let (cell, at) = look.rested.as_ref().ok()?;
                Some(at.pattern(cell))
            })
            .collect();
        let own = design.pieces.get(plan.piece).and_then(|p| design.yarns.get(p.yarn));
        let ink = |yarn: Feeder| match yarn {
            WASTE => None,
            WORKING => Some(ink(own?)),
            other => {
                let name = plan.yarns.get(usize::from(other.0))?;
                // A cord that is pulled out again is not a yarn of the design.
                Some(ink(design.yarns.iter().find(|y| y.name == *name)?))
            }
        };
        let yarn = portray(&plan.plan, run, &rest, &patterns, ink);
        PieceLook { rest, yarn }
    }
}

/// The fabric whose repeat is brought to rest for pictures of this one: itself, or its ground where it has no repeat that is.
fn drawn_as(fabric: &Arc<Fabric>) -> (Arc<Fabric>, bool) {
    match repeat(fabric) {
        Ok(_) => (Arc::clone(fabric), false),
        Err(_) => (Arc::new(fabric.ground()), true),
    }
}

/// A piece at rest by its gauges, flat. None where no row is of a fabric.
#[must_use]
pub fn sheet(design: &Design, plan: &PiecePlan, run: &Run) -> Option<PieceAtRest> {
    piece_at_rest(&plan.plan, run, &stuff(design, plan), Mesh::FLAT)
}

/// The public side of a piece, as its design says; the main-bed side where it names no bed.
#[must_use]
pub fn public_face(design: &Design, piece: usize) -> Face {
    let ribber = design.pieces.get(piece).is_some_and(|p| p.public.contains("ribber"));
    if ribber { Face::Near } else { Face::Far }
}

/// How a yarn is drawn.
#[must_use]
pub fn ink(yarn: &Yarn) -> Ink {
    let colour = yarn.colour.as_deref().and_then(colour).unwrap_or(UNDYED);
    Ink { diameter: Bulk::of(&yarn.fibres).diameter(yarn.tex), colour }
}

/// The gauge of each part of a plan, by origin number; none where it has no fabric.
fn gauges<'a>(design: &'a Design, plan: &PiecePlan) -> Vec<Option<&'a Gauge>> {
    let stretches = design.pieces.get(plan.piece).map_or(&[][..], |p| &p.stretches);
    let gauge = |part: &crate::plan::Part| {
        part.fabric()?;
        Some(&stretches.get(part.stretch()?)?.gauge)
    };
    plan.origins.iter().map(gauge).collect()
}

/// The material of each part of a piece, from the gauge of its stretch.
#[must_use]
pub fn stuff(design: &Design, plan: &PiecePlan) -> Vec<Option<Stuff>> {
    let of = |g: &Gauge| {
        let stretch = g.stretch.map_or(g.fabric.stretch, |s| s.value);
        Stuff { needle: g.needle.value, pass: g.pass.value, stretch }
    };
    gauges(design, plan).into_iter().map(|g| g.map(of)).collect()
}
