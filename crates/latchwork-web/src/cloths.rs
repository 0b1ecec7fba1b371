//! Pictures of cloth for the pages.

use std::sync::{LazyLock, OnceLock};

use latchwork::cloth::{Bulk, Portrayed, Sample, rest, rests_quickly};
use latchwork::fabric::built_in;
use latchwork::measure::TUCK;
use latchwork::reach::{finished, ink, public_face};
use latchwork::units::{Mm, Tex};
use latchwork_machine::loops::LoopId;
use latchwork_thread::look::{Face, pixels};
use latchwork_thread::relax::Fineness;
use latchwork_thread::rod::Matter;

use crate::rested::Rests;
use crate::store::Store;
use crate::work::WorkedOut;

/// A piece drawn, and which step made each loop.
#[derive(Debug)]
pub(crate) struct Drawn {
    yarn: Portrayed,
    public: Face,
    steps: Vec<usize>,
    heights: Vec<f64>,
}

/// A part of a picture: shares of its width and height, from the left and the top.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Part {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) wide: f64,
}

impl Part {
    pub(crate) const WHOLE: Part = Part { left: 0.0, top: 0.0, wide: 1.0 };
}

/// Most pixels of a picture.
const MOST: f64 = 2.5e6;

impl Drawn {
    /// Draws a piece of a size.
    pub(crate) fn new(worked: &WorkedOut, size: &latchwork::check::SizeProof, piece: usize) -> Option<Drawn> {
        let design = worked.design.as_ref()?;
        let (plan, proof) = (size.plans.pieces.get(piece)?, size.pieces.get(piece)?);
        let look = worked.looks()?.piece(design, plan, &proof.run)?;
        let yarn = look.yarn.ok().filter(|y| y.wrong == 0)?;
        let mut steps = vec![0; proof.run.loops.len()];
        for step in 0..proof.run.readings.len() {
            proof.run.made_in(step).for_each(|id| steps[LoopId(id).0 as usize - 1] = step);
        }
        let heights = heights(&yarn, &steps, proof.run.readings.len());
        Some(Drawn { yarn, public: public_face(design, plan.piece), steps, heights })
    }

    /// How far up the picture the work has come after each step, as a share.
    pub(crate) fn heights(&self) -> Vec<f64> {
        self.heights.clone()
    }

    fn face(&self, public: bool) -> Face {
        match (self.public, public) {
            (Face::Far, true) | (Face::Near, false) => Face::Far,
            (Face::Near, true) | (Face::Far, false) => Face::Near,
        }
    }

    fn window(&self, part: Part, face: Face) -> [f64; 4] {
        let [left, bottom, width, height] = self.yarn.window;
        let wide = width * part.wide.clamp(0.005, 1.0);
        let high = height * part.wide.clamp(0.005, 1.0);
        let from_left = width * part.left.clamp(0.0, 1.0);
        // Seen from behind, left and right change places.
        let x = if face == Face::Near { left + from_left } else { left + width - from_left - wide };
        let y = bottom + height - height * part.top.clamp(0.0, 1.0) - high;
        [x, y, wide, high]
    }

    /// A PNG of a part.
    pub(crate) fn png(&self, part: Part, public: bool, across: usize) -> Vec<u8> {
        let face = self.face(public);
        let window = self.window(part, face);
        let most = (MOST * window[2] / window[3].max(0.1)).sqrt();
        let across = (across as f64).min(most).max(60.0) as usize;
        latchwork_print::png(&pixels(&self.yarn.strands, window, face, 2 * across, 2).halved())
    }

    /// The step that made the loop seen at a place of a part, by shares of its width and height from the top left.
    pub(crate) fn step_at(&self, part: Part, public: bool, [x, y]: [f64; 2]) -> Option<usize> {
        let face = self.face(public);
        let [left, bottom, wide, high] = self.window(part, face);
        let px = if face == Face::Near { left + x * wide } else { left + (1.0 - x) * wide };
        let py = bottom + (1.0 - y) * high;
        let near = |z: f64| if face == Face::Near { z } else { -z };
        let mut best: Option<(f64, f64, u32)> = None;
        for (strand, loops) in self.yarn.strands.iter().zip(&self.yarn.loops) {
            for (p, id) in strand.points.iter().zip(loops) {
                let off = ((p[0] - px).hypot(p[1] - py) / strand.radius).max(1.0);
                let found = (off, -near(p[2]), *id);
                if best.is_none_or(|b| (found.0, found.1) < (b.0, b.1)) {
                    best = Some(found);
                }
            }
        }
        let (_, _, id) = best?;
        self.steps.get((id as usize).checked_sub(1)?).copied()
    }
}

fn heights(yarn: &Portrayed, steps: &[usize], count: usize) -> Vec<f64> {
    let [_, bottom, _, height] = yarn.window;
    let mut top = vec![0.0_f64; count];
    for (strand, loops) in yarn.strands.iter().zip(&yarn.loops) {
        for (p, id) in strand.points.iter().zip(loops) {
            let step = (*id as usize).checked_sub(1).and_then(|i| steps.get(i)).copied().unwrap_or(0);
            if let Some(t) = top.get_mut(step) {
                *t = t.max((p[1] - bottom) / height);
            }
        }
    }
    let mut most = 0.0_f64;
    for t in &mut top {
        most = most.max(*t);
        *t = most;
    }
    top
}

/// Whether a built-in fabric, by its place in the list, has a repeat to show while someone waits.
pub(crate) fn has_picture(which: usize) -> bool {
    // Each is looked for when first asked for: all of them would keep a first cue waiting.
    static SHOWN: LazyLock<Vec<OnceLock<bool>>> =
        LazyLock::new(|| built_in().iter().map(|_| OnceLock::new()).collect());
    let (Some(fabric), Some(shown)) = (built_in().get(which), SHOWN.get(which)) else { return false };
    *shown.get_or_init(|| rests_quickly(fabric))
}

/// Any built-in fabric, by its place in the list.
pub(crate) fn any_fabric_png(which: usize) -> Option<Vec<u8>> {
    let fabric = built_in().get(which)?;
    let tex = Tex(240.0);
    let diameter = Bulk::WORSTED.diameter(tex);
    let loop_length = Mm(17.0 * diameter.0);
    let sample = Sample { tex, diameter, loop_length, tuck: TUCK, matter: Matter::SOFT, fineness: Fineness::Coarse };
    let rests = Rests::of(&Store::of_platform(), &[sample.asked(fabric, 1.0)]);
    let cloth = rest(fabric, sample, false, &|a| rests.known(a)).ok().filter(|c| c.rested.settled())?;
    let face = if fabric.public_near { Face::Near } else { Face::Far };
    let (strands, window) = cloth.close_up(cloth.to_fill(14.0), [139, 148, 153], 0.3);
    Some(latchwork_print::png(&pixels(&strands, window, face, 480, 2).halved()))
}

/// The finished thing from in front and from behind, on its form or by itself.
pub(crate) fn worn_png(worked: &WorkedOut, size: &latchwork::check::SizeProof, worn: bool) -> Option<Vec<u8>> {
    let design = worked.design.as_ref()?;
    let thing = finished(design, size).ok()?;
    let colour = design.yarns.first().map(|y| ink(y).colour)?;
    let surface = if worn { thing.worn() } else { thing.at_rest(colour) };
    Some(latchwork_print::png(&surface.pixels(0.5, 900).halved()))
}
