//! One repeat of a fabric at rest, in millimetres: its gauge, thickness and cover from the yarn up.

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

/// How much room a yarn takes: the density of its fibre, and how much of the yarn's section is fibre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bulk {
    /// g/cm³.
    pub density: f64,
    /// Fibre in the yarn's section, as a share. Worsted 0.5 to 0.6, woollen or hand-knitting yarn 0.35 to 0.45 (from
    /// memory); a circle of yarn is meant, not a squeezed one.
    pub packing: f64,
}

impl Bulk {
    /// Wool spun as worsted.
    pub const WORSTED: Bulk = Bulk { density: 1.31, packing: 0.6 };

    /// A yarn of these fibres, by the one that it has most of; wool where none is known.
    #[must_use]
    pub fn of(fibres: &[(String, f64)]) -> Bulk {
        let most = fibres.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let known = |name: &str| FIBRES.iter().find(|f| name.to_lowercase().contains(f.0)).map(|f| f.1);
        Bulk { density: most.and_then(|f| known(&f.0)).unwrap_or(Bulk::WORSTED.density), ..Bulk::WORSTED }
    }

    /// The diameter of a round yarn of this count: d = sqrt(4 T / (pi rho phi)).
    #[must_use]
    pub fn diameter(self, tex: Tex) -> Mm {
        // tex is mg/m: 1e-3 mm² of a density of 1 g/cm³.
        Mm((4.0 * tex.0 * 1e-3 / (core::f64::consts::PI * self.density * self.packing)).sqrt())
    }
}

/// What is asked of a fabric.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Yarn count.
    pub tex: Tex,
    /// The yarn's diameter.
    pub diameter: Mm,
    /// Yarn in a knitted loop.
    pub loop_length: Mm,
    /// A tuck against a knitted loop.
    pub tuck: f64,
    /// How the yarn behaves.
    pub matter: Matter,
    /// How finely it is cut.
    pub fineness: Fineness,
}

/// Why there is no cloth to show.
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

/// A fabric's repeat as the thread is asked for it: in yarn diameters.
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

/// What came of a repeat.
pub type Found = Result<Rested, NoCloth>;

/// Where repeats at rest are looked up; what is not known there is worked out.
pub type LookUp<'a> = &'a (dyn Fn(&Asked) -> Option<Found> + Sync);

/// Knows no repeat, so that all are worked out.
#[must_use]
pub fn nothing(_: &Asked) -> Option<Found> {
    None
}

/// Does a job for each number below a count; an edge may do them side by side.
pub type Each<'a> = &'a dyn Fn(usize, &(dyn Fn(usize) + Sync));

/// One after the other.
pub fn in_turn(count: usize, job: &(dyn Fn(usize) + Sync)) {
    (0..count).for_each(job);
}

impl Asked {
    /// A name of all that the shape follows from: what is asked alike has one name, and nothing else has it.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {:?} {:?} {:?}", self.fabric.identity(), self.lengths, self.matter, self.fineness)
    }

    /// What came of it, looked up or worked out.
    ///
    /// # Errors
    /// When there is no repeat, or no shape at rest.
    pub fn found(&self, known: LookUp<'_>) -> Found {
        known(self)
            .or_else(|| bring_to_rest(core::slice::from_ref(self), &in_turn).pop())
            .unwrap_or(Err(NoCloth::Cell(NoCell::NoRepeat)))
    }
}

/// Brings repeats to rest, each from every start; `each` decides whether one after the other or side by side.
#[must_use]
pub fn bring_to_rest(asked: &[Asked], each: Each<'_>) -> Vec<Found> {
    let cells: Vec<Result<Cell, NoCell>> = asked.iter().map(|a| repeat(&a.fabric)).collect();
    let starts = Start::ALL.len();
    let shapes: Vec<OnceLock<Result<Rested, NoRest>>> = (0..starts * asked.len()).map(|_| OnceLock::new()).collect();
    // What takes longest is begun first: the last start, and of each start the repeat with most stitches.
    let stitches = |i: usize| {
        let courses = cells[i / starts].iter().flat_map(|c| &c.courses);
        courses.map(|c| c.stitches.len()).sum::<usize>()
    };
    let mut order: Vec<usize> = (0..shapes.len()).collect();
    order.sort_by_key(|i| std::cmp::Reverse((i % starts, stitches(*i))));
    each(order.len(), &|k| {
        let i = order[k];
        let (a, start) = (&asked[i / starts], Start::ALL[i % starts]);
        if let Ok(cell) = &cells[i / starts] {
            shapes[i].get_or_init(|| relax_from(cell, a.lengths, a.matter, a.fineness, start));
        }
    });
    let mut shapes = shapes.into_iter().map(OnceLock::into_inner);
    cells
        .into_iter()
        .map(|cell| {
            let found: Vec<Result<Rested, NoRest>> = shapes.by_ref().take(starts).flatten().collect();
            cell.map_err(NoCloth::Cell)?;
            lowest(found).map_err(NoCloth::Rest)
        })
        .collect()
}

/// A fabric's repeat at rest.
#[derive(Debug, Clone, PartialEq)]
pub struct AtRest {
    /// What was asked.
    pub sample: Sample,
    /// The repeat in yarn diameters.
    pub rested: Rested,
    /// Yarn over the area, as a share of it.
    pub cover: f64,
    /// Yarn in one repeat, in millimetres.
    pub yarn: f64,
    /// How width and length move with the loop: per cent for each per cent.
    pub slopes: Option<[f64; 2]>,
}

impl AtRest {
    /// Millimetres of width for each needle in work on both beds.
    #[must_use]
    pub fn needle(&self) -> f64 {
        self.rested.wale * self.sample.diameter.0
    }

    /// Millimetres of length for each pass.
    #[must_use]
    pub fn pass(&self) -> f64 {
        self.rested.course * self.sample.diameter.0
    }

    /// Millimetres of width for each needle of all shapes found that cost about as much: the narrowest and the widest.
    #[must_use]
    pub fn needles(&self) -> (f64, f64) {
        let d = self.sample.diameter.0;
        (self.rested.wales.0 * d, self.rested.wales.1 * d)
    }

    /// Millimetres of length for each pass, likewise.
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

    /// So many repeats side by side and one above the other, in millimetres, with more all round: the yarn, and the
    /// window that it fills.
    #[must_use]
    pub fn close_up(&self, (across, up): (u32, u32), colour: [u8; 3], longest: f64) -> (Vec<Strand>, Window) {
        let (t, d) = (&self.rested.threads, self.sample.diameter.0);
        let mut strands = tiled(t, &vec![colour; t.points.len()], (across, up), 0.5 * d);
        for s in &mut strands {
            s.points = smooth(&s.points, longest).iter().map(|p| p.map(|v| v * d)).collect();
        }
        (strands, [0.0, 0.0, f64::from(across) * t.width * d, f64::from(up) * t.height * d])
    }

    /// Repeats across and up that fill about a square of so many millimetres.
    #[must_use]
    pub fn to_fill(&self, side: f64) -> (u32, u32) {
        let (t, d) = (&self.rested.threads, self.sample.diameter.0);
        let count = |period: f64| (side / (period * d)).round().clamp(1.0, 200.0) as u32;
        (count(t.width), count(t.height))
    }

    /// Grams in a square metre.
    #[must_use]
    pub fn weight(&self) -> f64 {
        let d = self.sample.diameter.0;
        let area = self.rested.threads.width * self.rested.threads.height * d * d;
        self.yarn * self.sample.tex.0 / area
    }
}

/// Most loops of a repeat that is brought to rest: more take longer than anyone waits for a picture.
const MOST_LOOPS: u32 = 16;

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
    /// What is asked of the thread for it, with loops so many times as long.
    #[must_use]
    pub fn asked(&self, fabric: &Arc<Fabric>, by: f64) -> Asked {
        let lengths = Lengths { knit: by * self.loop_length.0 / self.diameter.0, tuck: self.tuck };
        Asked { fabric: Arc::clone(fabric), lengths, matter: self.matter, fineness: self.fineness }
    }

    /// The same of it a little shorter and longer, from which follows how sizes move with the loop.
    #[must_use]
    pub fn beside(&self, fabric: &Arc<Fabric>) -> [Asked; 2] {
        let coarse = Sample { fineness: Fineness::Coarse, ..*self };
        [1.0 - STEP, 1.0 + STEP].map(|by| coarse.asked(fabric, by))
    }
}

/// How much shorter and longer a loop is tried, as a share.
const STEP: f64 = 0.06;
/// Shapes that differ by more than this share in width tell nothing of how it moves with the loop.
const APART: f64 = 0.02;

/// A fabric's repeat at rest; with `slopes` also what a loop a little shorter and longer does, where that is known.
///
/// # Errors
/// When there is no repeat, or no shape at rest.
pub fn rest(fabric: &Arc<Fabric>, sample: Sample, slopes: bool, known: LookUp<'_>) -> Result<AtRest, NoCloth> {
    let cell = repeat(fabric).map_err(NoCloth::Cell)?;
    let rested = at_rest(&cell, sample, sample.asked(fabric, 1.0).found(known)?);
    if !slopes {
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

/// A repeat in millimetres, of its shape in yarn diameters.
#[must_use]
pub fn at_rest(cell: &Cell, sample: Sample, rested: Rested) -> AtRest {
    let lengths = Lengths { knit: sample.loop_length.0 / sample.diameter.0, tuck: sample.tuck };
    let yarn = cell.yarn(lengths) * sample.diameter.0;
    AtRest { sample, cover: cover(&rested.threads), yarn, slopes: None, rested }
}
