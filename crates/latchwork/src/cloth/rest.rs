//! One repeat of a fabric at rest, in millimetres: gauge, thickness and cover computed from the yarn.

use std::sync::Arc;
use std::sync::OnceLock;

use latchwork_machine::rehearsal::rehearse;
use latchwork_thread::cell::{Cell, NoCell, cell};
use latchwork_thread::look::{Strand, Window, cover, smooth, tiled};
use latchwork_thread::relax::{Fineness, Lengths, NoRest, Rested, Start, lowest, relax_from};
use latchwork_thread::rod::Matter;

use crate::fabric::{Fabric, SAMPLE, bench};
use crate::units::{Mm, Tex};

/// Densities of fibres at 65 % relative humidity, g/cm³: Morton and Hearle, Physical Properties of Textile Fibres,
/// table 5.1.
pub const FIBRES: [(&str, f64); 9] = [
    ("wool", 1.31),
    ("cotton", 1.52),
    ("viscose", 1.49),
    ("silk", 1.34),
    ("nylon", 1.14),
    ("polyester", 1.39),
    ("acrylic", 1.19),
    ("acetate", 1.32),
    ("polypropylene", 0.91),
];

/// The bulk of a yarn: the density of its fibre, and the share of fibre in its section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bulk {
    /// g/cm³.
    pub density: f64,
    /// Fibre in the yarn's round section, uncompressed, as a share: worsted 0.5 to 0.6, woollen or hand-knitting yarn 0.35
    /// to 0.45 (from memory).
    pub packing: f64,
}

impl Bulk {
    /// Wool spun as worsted.
    pub const WORSTED: Bulk = Bulk { density: 1.31, packing: 0.6 };

    /// The bulk of a yarn of these fibres, by its main fibre; wool where none is known.
    #[must_use]
    pub fn of(fibres: &[(String, f64)]) -> Bulk {
        let most = fibres.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let known = |name: &str| FIBRES.iter().find(|f| name.to_lowercase().contains(f.0)).map(|f| f.1);
        Bulk { density: most.and_then(|f| known(&f.0)).unwrap_or(Bulk::WORSTED.density), ..Bulk::WORSTED }
    }

    /// The diameter of a round yarn of this count: d = sqrt(4 T / (pi rho phi)).
    #[must_use]
    pub fn diameter(self, tex: Tex) -> Mm {
        // tex is mg/m: 1e-3 mm² at a density of 1 g/cm³.
        Mm((4.0 * tex.0 * 1e-3 / (core::f64::consts::PI * self.density * self.packing)).sqrt())
    }
}

/// The yarn and loops for which a fabric is brought to rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Yarn count.
    pub tex: Tex,
    /// The yarn's diameter.
    pub diameter: Mm,
    /// Yarn in a knitted loop.
    pub loop_length: Mm,
    /// Yarn of a tuck over that of a knitted loop.
    pub tuck: f64,
    /// How the yarn behaves.
    pub matter: Matter,
    /// How finely it is cut.
    pub fineness: Fineness,
}

/// Why there is no fabric to show.
#[derive(Debug, Clone, PartialEq)]
pub enum NoCloth {
    /// No repeat was laid out.
    Cell(NoCell),
    /// It has no shape at rest.
    Rest(NoRest),
    /// It did not come to rest.
    Unsettled,
}

impl std::fmt::Display for NoCloth {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoCloth::Cell(why) => write!(f, "{why}"),
            NoCloth::Rest(why) => write!(f, "{why}"),
            NoCloth::Unsettled => f.write_str("it did not come to rest"),
        }
    }
}

/// A request for a fabric's repeat at rest, in yarn diameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// Yarn in its loops.
    pub lengths: Lengths,
    /// How the yarn behaves.
    pub matter: Matter,
    /// How finely it is cut.
    pub fineness: Fineness,
}

/// The result for a repeat.
pub type Found = Result<Rested, NoCloth>;

/// A look-up of repeats at rest; those not found there are computed.
pub type LookUp<'a> = &'a (dyn Fn(&Asked) -> Option<Found> + Sync);

/// A look-up without repeats: all are computed.
#[must_use]
pub fn nothing(_: &Asked) -> Option<Found> {
    None
}

/// Does a job for each number below a count; an outer crate may do them in parallel.
pub type Each<'a> = &'a dyn Fn(usize, &(dyn Fn(usize) + Sync));

/// Does the jobs one after another.
pub fn in_turn(count: usize, job: &(dyn Fn(usize) + Sync)) {
    (0..count).for_each(job);
}

impl Asked {
    /// A name of everything that determines the shape: the same for equal requests and for no others.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {:?} {:?} {:?}", self.fabric.identity(), self.lengths, self.matter, self.fineness)
    }

    /// The result, looked up or computed.
    ///
    /// # Errors
    /// When there is no repeat, or no shape at rest.
    pub fn found(&self, known: LookUp<'_>) -> Found {
        known(self)
            .or_else(|| bring_to_rest(core::slice::from_ref(self), &in_turn).pop())
            .unwrap_or(Err(NoCloth::Cell(NoCell::NoRepeat)))
    }
}

/// Brings repeats to rest, small ones from every start; `each` decides whether in turn or in parallel.
#[must_use]
pub fn bring_to_rest(asked: &[Asked], each: Each<'_>) -> Vec<Found> {
    let cells: Vec<Result<Cell, NoCell>> = asked.iter().map(|a| repeat(&a.fabric)).collect();
    let starts = |a: &Asked| if is_small(&a.fabric) { &Start::ALL[..] } else { &Start::ALL[..1] };
    let mut jobs: Vec<(usize, Start)> =
        asked.iter().enumerate().flat_map(|(i, a)| starts(a).iter().map(move |s| (i, *s))).collect();
    // The longest begin first: the repeat with the most stitches of those from one start, then the last start.
    let stitches = |i: usize| {
        let courses = cells[i].iter().flat_map(|c| &c.courses);
        courses.map(|c| c.stitches.len()).sum::<usize>()
    };
    jobs.sort_by_key(|(i, start)| core::cmp::Reverse((!is_small(&asked[*i].fabric), *start, stitches(*i))));
    let shapes: Vec<OnceLock<Result<Rested, NoRest>>> = jobs.iter().map(|_| OnceLock::new()).collect();
    each(jobs.len(), &|k| {
        let (i, start) = jobs[k];
        let a = &asked[i];
        let fineness = if is_small(&a.fabric) { a.fineness } else { Fineness::Coarse };
        if let Ok(cell) = &cells[i] {
            shapes[k].get_or_init(|| relax_from(cell, a.lengths, a.matter, fineness, start));
        }
    });
    let mut shapes: Vec<(usize, Start, Result<Rested, NoRest>)> =
        jobs.iter().zip(shapes).filter_map(|((i, start), s)| Some((*i, *start, s.into_inner()?))).collect();
    shapes.sort_by_key(|(i, start, _)| (*i, *start));
    let mut shapes = shapes.into_iter().peekable();
    let found = cells.into_iter().enumerate().map(|(i, cell)| {
        let mut found = Vec::new();
        while let Some((_, _, shape)) = shapes.next_if(|s| s.0 == i) {
            found.push(shape);
        }
        cell.map_err(NoCloth::Cell)?;
        lowest(found).map_err(NoCloth::Rest)
    });
    found.collect()
}

/// A fabric's repeat at rest.
#[derive(Debug, Clone, PartialEq)]
pub struct AtRest {
    /// The sample asked for.
    pub sample: Sample,
    /// The repeat in yarn diameters.
    pub rested: Rested,
    /// The share of the area that the yarn covers.
    pub cover: f64,
    /// Yarn in one repeat, in millimetres.
    pub yarn: f64,
    /// How width and length change with the loop: percent per percent.
    pub slopes: Option<[f64; 2]>,
}

impl AtRest {
    /// Millimetres of width per needle in work on both beds.
    #[must_use]
    pub fn needle(&self) -> f64 {
        self.rested.wale * self.sample.diameter.0
    }

    /// Millimetres of length per pass.
    #[must_use]
    pub fn pass(&self) -> f64 {
        self.rested.course * self.sample.diameter.0
    }

    /// Millimetres of width per needle over all shapes of about equal cost: the narrowest and the widest.
    #[must_use]
    pub fn needles(&self) -> (f64, f64) {
        let d = self.sample.diameter.0;
        (self.rested.wales.0 * d, self.rested.wales.1 * d)
    }

    /// Millimetres of length per pass over the same shapes: the shortest and the longest.
    #[must_use]
    pub fn passes(&self) -> (f64, f64) {
        let d = self.sample.diameter.0;
        (self.rested.courses.0 * d, self.rested.courses.1 * d)
    }

    /// Millimetres from face to face.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        self.rested.thick * self.sample.diameter.0
    }

    /// A number of repeats across and up, in millimetres, with more all round: the yarn, and the window that it fills.
    #[must_use]
    pub fn close_up(&self, (across, up): (u32, u32), colour: [u8; 3], longest: f64) -> (Vec<Strand>, Window) {
        let (t, d) = (&self.rested.threads, self.sample.diameter.0);
        let mut strands = tiled(t, &vec![colour; t.points.len()], (across, up), 0.5 * d);
        for s in &mut strands {
            s.points = smooth(&s.points, longest).iter().map(|p| p.map(|v| v * d)).collect();
        }
        (strands, [0.0, 0.0, f64::from(across) * t.width * d, f64::from(up) * t.height * d])
    }

    /// Repeats across and up that fill a square of about `side` millimetres.
    #[must_use]
    pub fn to_fill(&self, side: f64) -> (u32, u32) {
        let (t, d) = (&self.rested.threads, self.sample.diameter.0);
        let count = |period: f64| (side / (period * d)).round().clamp(1.0, 200.0) as u32;
        (count(t.width), count(t.height))
    }

    /// Grams per square metre.
    #[must_use]
    pub fn weight(&self) -> f64 {
        let d = self.sample.diameter.0;
        let area = self.rested.threads.width * self.rested.threads.height * d * d;
        self.yarn * self.sample.tex.0 / area
    }
}

/// Most loops of a repeat brought to rest: more take longer than anyone waits for a picture.
const MOST_LOOPS: u32 = 48;
/// Most loops of one brought to rest from every start and as finely as asked; larger ones are from one start, coarsely.
const FEW_LOOPS: u32 = 16;

/// Whether a fabric's repeat comes to rest while someone waits: within seconds, and from every start.
#[must_use]
pub fn rests_quickly(fabric: &Fabric) -> bool {
    is_small(fabric) && repeat(fabric).is_ok()
}

fn is_small(fabric: &Fabric) -> bool {
    fabric.loops_in_repeat(fabric.period()).0 <= FEW_LOOPS
}

/// The smallest repeat of a fabric, from a rehearsed sample of it.
///
/// # Errors
/// When nothing repeats, too much does, or the yarn cannot be laid out.
pub fn repeat(fabric: &Fabric) -> Result<Cell, NoCell> {
    let (loops, _) = fabric.loops_in_repeat(fabric.period());
    if loops > MOST_LOOPS {
        return Err(NoCell::TooLarge(loops, MOST_LOOPS));
    }
    let passes = u32::try_from(8 * fabric.repeat.len()).unwrap_or(8);
    let plan = fabric.sample(4 * fabric.period().max(fabric.layout.repeat()).max(3), passes);
    let run = rehearse(&plan, &bench());
    let first = plan.steps.iter().position(|s| s.origin == SAMPLE).unwrap_or(0);
    cell(&plan, &run, first..plan.steps.len())
}

impl Sample {
    /// The request for a fabric, with loops `by` times as long.
    #[must_use]
    pub fn asked(&self, fabric: &Arc<Fabric>, by: f64) -> Asked {
        let lengths = Lengths { knit: by * self.loop_length.0 / self.diameter.0, tuck: self.tuck };
        Asked { fabric: Arc::clone(fabric), lengths, matter: self.matter, fineness: self.fineness }
    }

    /// The requests with loops a little shorter and longer, for the change of sizes with the loop.
    #[must_use]
    pub fn beside(&self, fabric: &Arc<Fabric>) -> [Asked; 2] {
        let coarse = Sample { fineness: Fineness::Coarse, ..*self };
        [1.0 - STEP, 1.0 + STEP].map(|by| coarse.asked(fabric, by))
    }
}

/// How much shorter and longer the loop is in those, as a share.
const STEP: f64 = 0.06;
/// Shapes that differ by more than this share in width do not show how it changes with the loop.
const APART: f64 = 0.02;

/// A fabric's repeat at rest; with `slopes`, also its change with the loop, where known: not of large repeats.
///
/// # Errors
/// When there is no repeat, or no shape at rest.
pub fn rest(fabric: &Arc<Fabric>, sample: Sample, slopes: bool, known: LookUp<'_>) -> Result<AtRest, NoCloth> {
    let cell = repeat(fabric).map_err(NoCloth::Cell)?;
    let rested = at_rest(&cell, sample, sample.asked(fabric, 1.0).found(known)?);
    // Of shapes from one start, too little is known of their sizes to tell how these change.
    if !slopes || !is_small(fabric) {
        return Ok(rested);
    }
    let beside = sample.beside(fabric).map(|a| a.found(known).ok().filter(|r| r.settled() && r.apart()[0] < APART));
    let slopes = match beside {
        [Some(short), Some(long)] if rested.rested.apart()[0] < APART => {
            let per = ((1.0 + STEP) / (1.0 - STEP)).ln();
            Some([(long.wale / short.wale).ln() / per, (long.course / short.course).ln() / per])
        }
        _ => None,
    };
    Ok(AtRest { slopes, ..rested })
}

/// A repeat in millimetres from its shape in yarn diameters.
#[must_use]
pub fn at_rest(cell: &Cell, sample: Sample, rested: Rested) -> AtRest {
    let lengths = Lengths { knit: sample.loop_length.0 / sample.diameter.0, tuck: sample.tuck };
    let yarn = cell.yarn(lengths) * sample.diameter.0;
    AtRest { sample, cover: cover(&rested.threads), yarn, slopes: None, rested }
}
