//! A repeat brought to rest: from the threads as laid to the cloth's measures.

use crate::cell::Cell;
use crate::crossings::{Threads, crossings};
use crate::descent::{Descent, descend};
use crate::newton::newton;
use crate::rod::{Matter, Rod, Rods};
use latchwork_machine::loops::Kind;

/// Yarn in the loops of a repeat, in diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengths {
    /// A knitted loop.
    pub knit: f64,
    /// A tuck against a knitted loop.
    pub tuck: f64,
}

/// How finely the yarn is cut into segments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fineness {
    /// About 0.8 diameters: for pictures and many trials. How far sizes are off is measured in docs/cloth.md.
    Coarse,
    /// About 0.3 diameters.
    Fine,
}

/// A repeat at rest. Lengths are in yarn diameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Rested {
    /// Its threads in space.
    pub threads: Threads,
    /// Needles and passes that it covers.
    pub needles: u32,
    /// Passes that it covers.
    pub passes: u32,
    /// Width for each needle.
    pub wale: f64,
    /// Length for each pass.
    pub course: f64,
    /// From the nearest point to the farthest, yarn included.
    pub thick: f64,
    /// Where threads touch: place, how far they are squeezed as a share of the diameter, and which.
    pub touches: Vec<([f64; 3], f64, (usize, usize))>,
    /// Largest force left on a point, in bending stiffness over diameter squared.
    pub residual: f64,
    /// How far segments are stretched, root mean square.
    pub strain: f64,
    /// Bending, for each repeat, in bending stiffness over diameter.
    pub bending: f64,
    /// Stretching, likewise.
    pub stretching: f64,
    /// What this shape costs, for each repeat, in bending stiffness over diameter: bending, stretching, touching and
    /// pressing.
    pub energy: f64,
    /// Steps taken.
    pub steps: u32,
    /// Widths for each needle of all shapes found that cost about as much, the narrowest and the widest: a range to use
    /// where they differ.
    pub wales: (f64, f64),
    /// Lengths for each pass, likewise.
    pub courses: (f64, f64),
}

impl Rested {
    /// Whether it came to rest. If not, its sizes are of no use except to show it.
    #[must_use]
    pub fn settled(&self) -> bool {
        self.residual <= UNSETTLED
    }

    /// How far apart the widths and the lengths of the shapes found lie, as shares of this one's.
    #[must_use]
    pub fn apart(&self) -> [f64; 2] {
        [(self.wales.1 - self.wales.0) / self.wale, (self.courses.1 - self.courses.0) / self.course]
    }
}

/// What a repeat is brought to rest from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Start {
    /// As it is laid.
    Laid,
    /// Left and right changed over; what comes to rest is changed back.
    Mirrored,
    /// Every point moved a little, by a seed; and pulled across before it is let go, while the others are pulled up.
    Shaken(u64),
}

impl Start {
    /// All the starts that are tried. Cloth may have several shapes at rest, and one start finds one of them.
    pub const ALL: [Start; 3] = [Start::Laid, Start::Mirrored, Start::Shaken(1)];

    /// How a repeat is pulled across and up before it is let go.
    fn pull(self, cell: &Cell) -> [f64; 2] {
        match self {
            Start::Laid | Start::Mirrored => [0.0, PULL * f64::from(cell.needles)],
            Start::Shaken(_) => [PULL * f64::from(cell.passes), 0.0],
        }
    }
}

/// Shapes whose energies lie within this share of the least are not told apart: either may be found in real cloth.
const ALIKE: f64 = 0.02;
/// Where shapes found differ by more than this share, sizes are known no better than to `GIVE`, even within one valley:
/// a hundred-thousandth more loop moved those of 2x2 rib by 3 %.
const DIFFER: f64 = 0.02;
const GIVE: f64 = 0.04;

/// Of the outcomes of several starts, the shape of the least energy, with the sizes of those that cost about as much; of
/// one start alone, whether there are others is not known, and sizes are known no better than to `GIVE`.
/// Where nothing settled, the one with the least force left; where there is no shape at all, why the first has none.
///
/// # Errors
/// When there is no shape.
pub fn lowest(found: Vec<Result<Rested, NoRest>>) -> Result<Rested, NoRest> {
    let mut why = NoRest::Lost;
    let mut shapes = Vec::new();
    let single = found.len() == 1;
    for f in found.into_iter().rev() {
        match f {
            Ok(r) => shapes.push(r),
            Err(e) => why = e,
        }
    }
    if shapes.iter().any(Rested::settled) {
        shapes.retain(Rested::settled);
        shapes.sort_by(|a, b| a.energy.total_cmp(&b.energy));
    } else {
        shapes.sort_by(|a, b| a.residual.total_cmp(&b.residual));
    }
    let least = shapes.first().map_or(0.0, |r| r.energy);
    let alike = || shapes.iter().filter(|r| r.energy <= (1.0 + ALIKE) * least);
    let range = |size: fn(&Rested) -> f64| {
        let (low, high) = alike().map(size).fold((f64::INFINITY, 0.0_f64), |(a, b), v| (a.min(v), b.max(v)));
        if single || high > (1.0 + DIFFER) * low { ((1.0 - GIVE) * low, (1.0 + GIVE) * high) } else { (low, high) }
    };
    let (wales, courses) = (range(|r| r.wale), range(|r| r.course));
    let best = shapes.into_iter().next().ok_or(why)?;
    Ok(Rested { wales, courses, ..best })
}

/// Why a repeat has no shape at rest.
#[derive(Debug, Clone, PartialEq)]
pub enum NoRest {
    /// Laid out, its crossings are not those that the rehearsal demands.
    OtherCrossings {
        /// Crossings found.
        found: usize,
        /// Crossings demanded.
        demanded: usize,
    },
    /// The yarn came to rest tangled in another way than the rehearsal demands.
    Changed,
    /// Loops too short to reach round one another: the yarn would have to stretch by this share.
    TooTight {
        /// Stretch, as a share.
        strain: f64,
    },
    /// Loops too short to reach round one another: the yarn would have to be squeezed by this share.
    Squeezed {
        /// Of its diameter.
        share: f64,
    },
    /// It came apart: there are no numbers.
    Lost,
}

impl std::fmt::Display for NoRest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoRest::OtherCrossings { found, demanded } => {
                write!(
                    f,
                    "laid out, its yarn crosses itself {found} times in a repeat, not the {demanded} times that the rehearsal demands, or not in the same order"
                )
            }
            NoRest::Changed => f.write_str("at rest its yarn is tangled otherwise than the rehearsal demands"),
            NoRest::TooTight { strain } => {
                write!(
                    f,
                    "its loops are too short to reach round one another: the yarn would have to stretch by {:.0} %",
                    100.0 * strain
                )
            }
            NoRest::Squeezed { share } => write!(
                f,
                "its loops are too short to reach round one another: the yarn would have to be squeezed by {:.0} %",
                100.0 * share
            ),
            NoRest::Lost => f.write_str("it came apart while it was brought to rest"),
        }
    }
}

/// Stages in which the yarn grows from thin to its thickness.
const STAGES: u32 = 12;
const THIN: f64 = 0.4;
/// Most steps to rest.
const MOST: u32 = 12;
/// Force at which a point counts as at rest; and above which it was not settled at all.
const FORCE: f64 = 4e-4;
const UNSETTLED: f64 = 0.05;
/// Stretching may cost this share of bending: above it, the yarn would have to give.
const TIGHT: f64 = 0.05;
/// Soft yarn gives by 6 to 19 % in cloth that can be knitted; more than this cannot be (a guess, no source).
const MOST_SQUEEZED: f64 = 0.3;
/// Pull for each needle or pass before it is let go, and in how many steps it is let go and held.
const PULL: f64 = 0.6;
const RELEASE: u32 = 6;
const HOLD: u32 = 4;

impl Cell {
    /// Yarn of each course, in diameters. A float takes about a relaxed wale for each needle passed, a quarter of a
    /// loop (derived from the plain-knit constants).
    fn lengths(&self, lengths: Lengths) -> Vec<f64> {
        let of = |kind: Kind| if kind == Kind::Tuck { lengths.tuck * lengths.knit } else { lengths.knit };
        self.courses
            .iter()
            .map(|c| c.stitches.iter().map(|s| of(s.kind)).sum::<f64>() + 0.25 * lengths.knit * c.floated)
            .collect()
    }

    /// Yarn in one repeat, in diameters.
    #[must_use]
    pub fn yarn(&self, lengths: Lengths) -> f64 {
        self.lengths(lengths).iter().sum()
    }

    /// The threads as laid, scaled so that they are about as long as they should be.
    #[must_use]
    pub fn laid(&self, lengths: Lengths) -> Threads {
        let target: f64 = self.lengths(lengths).iter().sum();
        let needles = f64::from(self.needles);
        let (w, h) = (0.26 * lengths.knit * needles, 0.17 * lengths.knit * f64::from(self.passes));
        let at = |k: f64| -> Threads {
            let (sx, sy) = (k * w / self.across, k * h / self.up);
            let points =
                self.courses.iter().map(|c| c.knots.iter().map(|n| [n.at[0] * sx, n.at[1] * sy, n.at[2]]).collect());
            Threads { width: k * w, height: k * h, points: points.collect() }
        };
        // By halving: the path grows with the scale.
        let (mut low, mut high) = (0.1, 3.0);
        for _ in 0..30 {
            let middle = f64::midpoint(low, high);
            let long: f64 = lengths_of(&at(middle)).iter().sum();
            if long > 1.12 * target { high = middle } else { low = middle }
        }
        at(low)
    }
}

fn lengths_of(threads: &Threads) -> Vec<f64> {
    threads
        .points
        .iter()
        .map(|p| {
            let n = p.len();
            (0..n)
                .map(|i| {
                    let mut q = p[(i + 1) % n];
                    if i + 1 == n {
                        q[0] += threads.width;
                    }
                    (q[0] - p[i][0]).hypot(q[1] - p[i][1]).hypot(q[2] - p[i][2])
                })
                .sum()
        })
        .collect()
}

/// The same threads, each cut into this many equal segments.
fn recut(threads: &Threads, counts: &[usize]) -> Threads {
    let points = threads.points.iter().zip(counts).map(|(p, count)| {
        let n = p.len();
        let corner = |i: usize| {
            let mut q = p[i % n];
            q[0] += (i / n) as f64 * threads.width;
            q
        };
        let mut sums = vec![0.0];
        for i in 0..n {
            let (a, b) = (corner(i), corner(i + 1));
            sums.push(sums[i] + (b[0] - a[0]).hypot(b[1] - a[1]).hypot(b[2] - a[2]));
        }
        let mut i = 0;
        (0..*count)
            .map(|k| {
                let s = sums[n] * k as f64 / *count as f64;
                while i + 1 < n && sums[i + 1] < s {
                    i += 1;
                }
                let (a, b) = (corner(i), corner(i + 1));
                let t = ((s - sums[i]) / (sums[i + 1] - sums[i]).max(1e-12)).clamp(0.0, 1.0);
                [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]))
            })
            .collect()
    });
    Threads { width: threads.width, height: threads.height, points: points.collect() }
}

struct Bench {
    rods: Rods,
    x: Vec<f64>,
    steps: u32,
}

impl Bench {
    fn new(threads: &Threads, rests: &[f64], matter: Matter) -> Bench {
        let mut rods = Vec::new();
        let mut x = Vec::new();
        for (points, rest) in threads.points.iter().zip(rests) {
            rods.push(Rod { first: x.len() / 3, count: points.len(), rest: rest / points.len() as f64 });
            x.extend(points.iter().flatten().copied());
        }
        x.extend([0.0, 0.0]);
        Bench { rods: Rods::new(rods, matter, [threads.width, threads.height]), x, steps: 0 }
    }

    fn go(&mut self, most: u32, force: f64) -> Descent {
        // Newton's steps are sure in long flat valleys, the others where threads lie side by side and what touches what
        // keeps changing: the two alternate.
        let mut turns = 0;
        loop {
            let d = descend(&mut self.rods, &mut self.x, 300, force);
            self.steps += d.steps;
            if d.force <= force || turns >= most {
                return d;
            }
            let d = newton(&mut self.rods, &mut self.x, 25, force);
            self.steps += d.steps;
            if d.force <= force {
                return d;
            }
            turns += 1;
        }
    }

    /// Goes to rest. With friction, after a pull that is let go little by little, as where friction holds depends on
    /// where the cloth comes from.
    fn settle(&mut self, friction: f64, pull: [f64; 2]) -> Descent {
        if friction == 0.0 && pull[0] == 0.0 {
            return self.go(MOST, FORCE);
        }
        self.rods.pull = pull;
        self.go(MOST, 1e-2);
        self.rods.matter.friction = friction;
        let mut p = Vec::new();
        let mut last = None;
        for step in 0..RELEASE + HOLD {
            self.rods.points(&self.x, &mut p);
            self.rods.list(&p, self.rods.periods(&self.x));
            self.rods.take_hold(&self.x, &p);
            let left = 1.0 - f64::from(step + 1) / f64::from(RELEASE);
            self.rods.pull = pull.map(|p| p * left.max(0.0));
            let end = step + 1 == RELEASE + HOLD;
            let force = if friction == 0.0 { FORCE } else { 10.0 * FORCE };
            last = Some(self.go(if end { MOST } else { 0 }, if end { force } else { 1e-2 }));
        }
        last.unwrap_or_else(|| self.go(MOST, FORCE))
    }

    fn threads(&self) -> Threads {
        let [width, height] = self.rods.periods(&self.x);
        let mut p = Vec::new();
        self.rods.points(&self.x, &mut p);
        let points = self.rods.rods.iter().map(|r| p[r.first..r.first + r.count].to_vec());
        Threads { width, height, points: points.collect() }
    }
}

/// Threads with left and right changed over; each begins with the same point as before.
fn mirrored(threads: &Threads) -> Threads {
    let turned = |p: &Vec<[f64; 3]>| {
        let first = p.iter().take(1).map(|[x, y, z]| [-x, *y, *z]);
        first.chain(p.iter().skip(1).rev().map(|[x, y, z]| [threads.width - x, *y, *z])).collect()
    };
    Threads { points: threads.points.iter().map(turned).collect(), ..*threads }
}

/// How far each point of a shaken start is moved at most, in diameters.
const SHAKE: f64 = 0.05;

/// Threads with every point moved a little.
fn shaken(threads: &Threads, seed: u64, by: f64) -> Threads {
    let mut state = seed;
    // Between -1 and 1 (SplitMix64: Steele, Lea and Flood 2014).
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    let mut moved = |p: &[f64; 3]| p.map(|v| v + by * next());
    let points = threads.points.iter().map(|p| p.iter().map(&mut moved).collect()).collect();
    Threads { points, ..*threads }
}

/// Brings a repeat to rest from every start, one after the other, and gives the shape of the least energy.
///
/// # Errors
/// As [`relax_from`], where no start comes to a shape.
pub fn relax(cell: &Cell, lengths: Lengths, matter: Matter, fineness: Fineness) -> Result<Rested, NoRest> {
    lowest(Start::ALL.map(|start| relax_from(cell, lengths, matter, fineness, start)).into())
}

/// Brings a repeat to rest. Its laid crossings must be those demanded, and its tangle at rest too.
///
/// # Errors
/// When they are not, or when loops are too short. One that did not settle is given with the force left on it.
pub fn relax_from(
    cell: &Cell,
    lengths: Lengths,
    matter: Matter,
    fineness: Fineness,
    start: Start,
) -> Result<Rested, NoRest> {
    let rests = cell.lengths(lengths);
    let laid = cell.laid(lengths);
    let counts =
        |segment: f64| -> Vec<usize> { rests.iter().map(|r| (r / segment).ceil().max(4.0) as usize).collect() };
    // Cut finely, so that no crossing lies on a corner.
    let listed = crossings(&recut(&laid, &counts(0.29)));
    let demands = cell.demands();
    let print = demands.print();
    // Strands carried past others may pass them once more and back, which is no crossing.
    if listed.code() != demands.code() && listed.print() != print {
        return Err(NoRest::OtherCrossings { found: listed.len(), demanded: demands.len() });
    }
    let laid = recut(&laid, &counts(0.8));
    if crossings(&laid).print() != print {
        return Err(NoRest::OtherCrossings { found: listed.len(), demanded: demands.len() });
    }
    let laid = match start {
        Start::Laid => laid,
        Start::Mirrored => mirrored(&laid),
        // Half as much, up to five times, where this much would change the tangle.
        Start::Shaken(seed) => (0..6)
            .map(|half| shaken(&laid, seed, SHAKE * 0.5_f64.powi(half)))
            .find(|s| crossings(s).print() == print)
            .unwrap_or(laid),
    };
    let begun = lengths_of(&laid);
    let mut bench = Bench::new(&laid, &rests, matter);
    let friction = core::mem::take(&mut bench.rods.matter.friction);
    let pull = start.pull(cell);
    for stage in 1..=STAGES {
        let t = f64::from(stage) / f64::from(STAGES);
        bench.rods.thick = THIN + (1.0 - THIN) * t;
        let grown: Vec<f64> = begun.iter().zip(&rests).map(|(a, b)| a + (b - a) * t).collect();
        bench.rods.set_lengths(&grown);
        bench.steps += descend(&mut bench.rods, &mut bench.x, 60, 5e-2).steps;
    }
    let mut end = bench.settle(friction, pull);
    if fineness == Fineness::Fine {
        let fine = recut(&bench.threads(), &counts(0.3));
        let steps = bench.steps;
        bench = Bench::new(&fine, &rests, Matter { friction: 0.0, ..matter });
        bench.steps = steps;
        end = bench.settle(friction, pull);
    }
    finish(cell, &bench, end, start, &print)
}

fn finish(cell: &Cell, bench: &Bench, end: Descent, start: Start, print: &[u8]) -> Result<Rested, NoRest> {
    let threads = bench.threads();
    let threads = if start == Start::Mirrored { mirrored(&threads) } else { threads };
    let numbers = threads.points.iter().flatten().flatten().chain([&threads.width, &threads.height, &end.force]);
    if !numbers.into_iter().all(|v| v.is_finite()) {
        return Err(NoRest::Lost);
    }
    let length: f64 = bench.rods.rods.iter().map(|r| r.rest * r.count as f64).sum();
    let strain = (2.0 * end.parts.stretch / (crate::rod::STRETCH * length)).sqrt();
    if end.parts.stretch > TIGHT * end.parts.bend {
        return Err(NoRest::TooTight { strain });
    }
    if crossings(&threads).print() != print {
        return Err(NoRest::Changed);
    }
    let mut p = Vec::new();
    bench.rods.points(&bench.x, &mut p);
    let mut touches = bench.rods.touches(&bench.x, &p);
    if start == Start::Mirrored {
        touches.iter_mut().for_each(|t| t.0[0] = -t.0[0]);
    }
    let share = touches.iter().map(|t| t.1).fold(0.0, f64::max);
    if share > MOST_SQUEEZED {
        return Err(NoRest::Squeezed { share });
    }
    let (wale, course) = (threads.width / f64::from(cell.needles), threads.height / f64::from(cell.passes));
    let z = || threads.points.iter().flatten().map(|p| p[2]);
    let thick = z().fold(f64::NEG_INFINITY, f64::max) - z().fold(f64::INFINITY, f64::min) + 1.0;
    Ok(Rested {
        needles: cell.needles,
        passes: cell.passes,
        wale,
        course,
        thick,
        touches,
        residual: end.force,
        strain,
        bending: end.parts.bend,
        stretching: end.parts.stretch,
        energy: end.parts.shape(),
        wales: (wale, wale),
        courses: (course, course),
        steps: bench.steps,
        threads,
    })
}
