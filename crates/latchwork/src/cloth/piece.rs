//! A whole piece at rest: its rows and needles as a sheet in which each fabric has its own natural size.
//!
//! Strips of triangles lie between some rows of the run. At each needle a strip is as high as the passes that it knitted;
//! at a held needle it has no height, and short rows shape the sheet without further rules.

use std::collections::BTreeMap;

use latchwork_machine::beds::{Beds, moves};
use latchwork_machine::needle::{Bed, Needle};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Plan};
use latchwork_thread::sheet::{Sheet, SheetEnd, Stiffness, Triangle};

/// The material of a part of a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stuff {
    /// Millimetres per needle, both beds counted.
    pub needle: f64,
    /// Millimetres per pass.
    pub pass: f64,
    /// Its greatest stretch across without harm, as a share.
    pub stretch: f64,
}

impl Stuff {
    /// Its stiffness. A fabric that stretches further is less stiff; plain stretches about twice as far across as along
    /// (teaching pages after Spencer). Transverse contraction and shear are guesses, no source.
    fn stiffness(self) -> Stiffness {
        let across = 1.0 / self.stretch;
        let along = 2.0 / 0.30;
        Stiffness { across, along, both: 0.3 * (across * along).sqrt(), shear: 0.3 * across }
    }
}

/// A part of a piece at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartAtRest {
    /// Its origin number in the plan.
    pub part: usize,
    /// Greatest width of its fabric by itself, in millimetres.
    pub alone: f64,
    /// Least and greatest width in the piece, along a row.
    pub width: (f64, f64),
    /// Length along its middle by itself, and in the piece.
    pub length: (f64, f64),
    /// Greatest compression and stretch across, as shares.
    pub strain: (f64, f64),
}

/// A piece at rest.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceAtRest {
    /// The sheet, in millimetres.
    pub sheet: Sheet,
    /// The part of each triangle.
    pub of: Vec<usize>,
    /// How it came to rest.
    pub end: SheetEnd,
    /// Its parts, in the order knitted.
    pub parts: Vec<PartAtRest>,
    /// Its rows of points from the first up: the step of the pass above each, and places along the beds with their points.
    /// The last has the step of the last pass.
    pub lines: Vec<(usize, ThreadPath)>,
    /// Loops that waited on a holder: the line at which they were taken off, the line at which their rows go on, and their places.
    pub waited: Vec<(usize, usize, (f64, f64))>,
}

impl PieceAtRest {
    /// The point on the sheet of a place along the beds, at a fraction between lines; extrapolated beyond the edges.
    #[must_use]
    pub fn place(&self, place: f64, line: f64) -> [f64; 2] {
        // Loops that waited reach up to no line of the other side.
        let waited = |w: &&(usize, usize, (f64, f64))| {
            let (off, on, (left, right)) = **w;
            line > off as f64 && line < on as f64 && place > left && place < right
        };
        let line = self.waited.iter().find(waited).map_or(line, |w| w.1 as f64);
        let last = self.lines.len() - 1;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the lines")]
        let below = line.floor().clamp(0.0, last.saturating_sub(1) as f64) as usize;
        let (a, b) = (self.on(below, place), self.on((below + 1).min(last), place));
        let t = line - below as f64;
        [0, 1].map(|c| a[c] + t * (b[c] - a[c]))
    }

    fn on(&self, line: usize, place: f64) -> [f64; 2] {
        let l = &self.lines[line].1;
        let right = l.partition_point(|p| p.0 <= place).clamp(1, l.len().max(2) - 1);
        let ((u, a), (v, b)) = (l[right - 1], l[right.min(l.len() - 1)]);
        let (a, b) = (self.sheet.points[a as usize], self.sheet.points[b as usize]);
        let t = if v > u { (place - u) / (v - u) } else { 0.0 };
        [0, 1].map(|c| a[c] + t * (b[c] - a[c]))
    }
}

/// Most strips up a piece and columns across it, to limit the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mesh {
    /// Strips.
    pub strips: usize,
    /// Columns.
    pub columns: f64,
    /// Whether a tube is opened at its left fold and laid flat: the ribber's half follows the main bed's, from its right end.
    pub unrolled: bool,
}

impl Mesh {
    /// For flat pieces.
    pub const FLAT: Mesh = Mesh { strips: 120, columns: 48.0, unrolled: false };

    /// For articles in space: as many as fit at a distance in a piece of this width and length, in millimetres.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    pub fn apart(each: f64, wide: f64, long: f64) -> Mesh {
        let (strips, columns) = ((long / each).clamp(6.0, 60.0) as usize, (wide / each).clamp(6.0, 60.0));
        Mesh { strips, columns, unrolled: false }
    }

    /// For a tube that is opened at its left fold.
    #[must_use]
    pub fn unrolled(self) -> Mesh {
        Mesh { unrolled: true, ..self }
    }
}

struct Row {
    part: usize,
    step: usize,
    /// Outermost places that knitted, in pitches.
    made: (f64, f64),
    /// Outermost places that carry loops afterwards.
    live: (f64, f64),
    stitches: f64,
    /// Outermost places that loops were moved from since the row before.
    moved: (f64, f64),
    /// Outermost places whose loops were cast off since the row before.
    cast_off: (f64, f64),
    /// What was taken off onto holders and put back since the row before, in order.
    waits: Vec<Waits>,
}

/// Loops on their way to a holder or back.
#[derive(Debug, Clone, Copy)]
enum Waits {
    /// Taken off between these places.
    Off(u8, (f64, f64)),
    /// Put back between these.
    Back(u8, (f64, f64)),
    /// The side of a slit that was knitted first is joined again by the row.
    Joined(u8),
}

/// Where the sides of a parted row wait on their needles: that not yet knitted, and that knitted first.
const SECOND: u8 = u8::MAX;
const FIRST: u8 = u8::MAX - 1;

/// Needles that wait, held, while the other side of a parted row is knitted.
#[derive(Default)]
struct Parted {
    waiting: Vec<Needle>,
    first: bool,
}

impl Parted {
    /// What an act of a part in which nothing is knitted, or of one, does to the sides; needles by their place.
    fn act(&mut self, action: &Action, between: bool, range: impl Fn(&[Needle]) -> (f64, f64), waits: &mut Vec<Waits>) {
        match action {
            Action::Hold(needles) if between && !needles.is_empty() => {
                let holder = if self.waiting.is_empty() { SECOND } else { FIRST };
                waits.push(Waits::Off(holder, range(needles)));
                if holder == SECOND {
                    self.waiting.clone_from(needles);
                } else {
                    self.first = true;
                    waits.push(Waits::Back(SECOND, range(&self.waiting)));
                    self.waiting.clone_from(needles);
                }
            }
            Action::BackToWorking(needles) if between && !self.first && !self.waiting.is_empty() => {
                waits.push(Waits::Back(SECOND, range(needles)));
                self.waiting.clear();
            }
            Action::BackToWorking(_) if !between && self.first => {
                waits.push(Waits::Joined(FIRST));
                *self = Parted::default();
            }
            _ => {}
        }
    }
}

/// The right fold of a tube: the place of its rightmost needle on the main bed, in pitches.
fn right_fold(plan: &Plan) -> f64 {
    let mut beds = Beds::of(&plan.steps);
    let mut right = f64::NEG_INFINITY;
    for step in &plan.steps {
        beds.step(&step.action);
        let main = beds.carrying().filter(|n| n.bed == Bed::Main).map(|n| f64::from(beds.place(n).0) / 2.0);
        right = main.fold(right, f64::max);
    }
    right
}

fn rows(plan: &Plan, run: &Run, parts: &[Option<Stuff>], mesh: Mesh) -> Vec<Row> {
    let fold = mesh.unrolled.then(|| right_fold(plan));
    let mut beds = Beds::of(&plan.steps);
    let mut rows = Vec::new();
    let (mut moved, mut cast_off, mut waits) = (none(), none(), Vec::new());
    let mut parted = Parted::default();
    for (i, step) in plan.steps.iter().enumerate().take(run.readings.len()) {
        beds.step(&step.action);
        let place = |n: Needle| {
            let along = f64::from(beds.place(n).0) / 2.0;
            match fold {
                // A half pitch of racking, and the step from the last needle of one bed to the first of the other.
                Some(right) if n.bed == Bed::Ribber => 2.0 * right + 1.5 - along,
                _ => along,
            }
        };
        for m in moves(&step.action) {
            moved = (moved.0.min(place(m.from)), moved.1.max(place(m.from)));
        }
        if let Action::Secure { needles, .. } = &step.action {
            for n in needles {
                cast_off = (cast_off.0.min(place(*n)), cast_off.1.max(place(*n)));
            }
            // What went across to the main bed to be cast off is not moved inwards.
            if moved.0 >= cast_off.0 - 1.0 && moved.1 <= cast_off.1 + 1.0 {
                moved = none();
            }
        }
        let range = |needles: &[Needle]| needles.iter().fold(none(), |m, n| (m.0.min(place(*n)), m.1.max(place(*n))));
        match &step.action {
            Action::TakeOff { needles, holder } => waits.push(Waits::Off(holder.0, range(needles))),
            Action::PutBack { needles, holder } => {
                waits.push(Waits::Back(holder.0, range(needles)));
                // What was moved in the row that was taken off is not at its places any more.
                moved = none();
            }
            _ => {}
        }
        // A cast-on holds its needles, too.
        let between = !rows.is_empty() && parts.get(step.origin.0 as usize).is_none_or(Option::is_none);
        let before = waits.len();
        parted.act(&step.action, between, range, &mut waits);
        if matches!(waits[before..].last(), Some(Waits::Back(..))) {
            moved = none();
        }
        let Action::Pass(_) = &step.action else { continue };
        let ends = |n: &mut dyn Iterator<Item = f64>| {
            n.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
        };
        let part = step.origin.0 as usize;
        let made = ends(&mut beds.made().map(|(_, n)| place(n)));
        if made.0 > made.1 || parts.get(part).is_none_or(Option::is_none) {
            continue;
        }
        let reading = run.readings[i].stitches;
        rows.push(Row {
            part,
            step: i,
            made,
            live: ends(&mut beds.carrying().filter(|n| !parted.waiting.contains(n)).map(place)),
            stitches: f64::from(reading.0 + reading.1) - parted.waiting.len() as f64,
            moved: core::mem::replace(&mut moved, none()),
            cast_off: core::mem::replace(&mut cast_off, none()),
            waits: core::mem::take(&mut waits),
        });
    }
    rows
}

/// The points of the sheet on one row: place and point, from left to right.
pub type ThreadPath = Vec<(f64, u32)>;

/// The point that each point has become, where some were merged into others.
fn made_one(points: usize, taken: &[(u32, u32)]) -> Vec<u32> {
    let mut one: Vec<u32> = (0..points as u32).collect();
    taken.iter().for_each(|(gone, kept)| one[*gone as usize] = *kept);
    // A point that others were merged into may itself have been merged later.
    for p in 0..points {
        let mut last = p as u32;
        while one[last as usize] != last {
            last = one[last as usize];
        }
        one[p] = last;
    }
    one
}

/// Places across a piece at a distance, on both sides of its middle.
fn grid((left, right): (f64, f64), apart: f64) -> Vec<f64> {
    let middle = f64::midpoint(left, right).round();
    let n = ((right - left) / apart).ceil() as i32 + 1;
    (-n..=n).map(|k| middle + f64::from(k) * apart).collect()
}

/// A triangle of the points that its corners have become; none where two are the same.
fn joined(mut t: Triangle, one: &[u32]) -> Option<Triangle> {
    t.corners = t.corners.map(|c| one[c as usize]);
    let [a, b, c] = t.corners;
    (a != b && b != c && a != c).then_some(t)
}

/// Ends the columns of a strip whose loops were moved inwards on the column that took them.
fn moved_inwards(strip: &[Row], (left, right): (f64, f64), line: &mut ThreadPath) -> Vec<(u32, u32)> {
    let joins = strip.iter().fold(none(), |m, r| (m.0.min(r.moved.0), m.1.max(r.moved.1)));
    let mut same = Vec::new();
    if joins.0 < left {
        let keep = line.iter().position(|l| l.0 >= left - 0.3).unwrap_or(0);
        same.extend(line[..keep].iter().map(|l| (l.1, line[keep].1)));
        line.drain(..keep);
    }
    if joins.1 > right {
        let keep = line.iter().rposition(|l| l.0 <= right + 0.3).unwrap_or(line.len() - 1);
        same.extend(line[keep + 1..].iter().map(|l| (l.1, line[keep].1)));
        line.truncate(keep + 1);
    }
    same
}

/// Leaves out the ends of a line whose loops were cast off: nothing lies above them.
fn without_cast_off(strip: &[Row], (left, right): (f64, f64), line: &mut ThreadPath) {
    let gone = strip.iter().fold(none(), |m, r| (m.0.min(r.cast_off.0), m.1.max(r.cast_off.1)));
    let nearest = |line: &ThreadPath, place: f64| {
        let off = |i: &usize| (line[*i].0 - place).abs();
        (0..line.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
    };
    if gone.1 > right {
        line.truncate((nearest(line, right) + 1).max(2));
    }
    if gone.0 < left {
        line.drain(..nearest(line, left).min(line.len().saturating_sub(2)));
    }
}

/// The lines of the sheet whose loops are on holders, with the heights at which they stand.
#[derive(Default)]
struct Holders {
    lines: BTreeMap<u8, (ThreadPath, f64, usize)>,
    waited: Vec<(usize, usize, (f64, f64))>,
    /// Points that have become others.
    same: Vec<(u32, u32)>,
}

impl Holders {
    /// Takes the loops off the line and puts others back; whether the line is now one that waited.
    fn go(&mut self, waits: &[Waits], (line, now): (&mut ThreadPath, usize), height: &mut f64) -> bool {
        let mut resumed = false;
        for wait in waits {
            match *wait {
                Waits::Off(holder, (left, right)) => {
                    let near = |place: f64| {
                        let off = |i: &usize| (line[*i].0 - place).abs();
                        (0..line.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
                    };
                    let (from, to) = (near(left - 0.5), near(right + 0.5));
                    self.lines.insert(holder, (line[from..=to].to_vec(), *height, now));
                    // Both keep the point between them.
                    let rest = if from == 0 { line[to..].to_vec() } else { line[..=from].to_vec() };
                    if rest.len() > 1 {
                        *line = rest;
                    }
                }
                Waits::Back(holder, (left, right)) => {
                    let Some((mut waited, at, off)) = self.lines.remove(&holder) else { continue };
                    if now > off {
                        self.waited.push((off, now + 1, (left - 0.5, right + 0.5)));
                    }
                    let (a, b) = (waited[0].0, waited[waited.len() - 1].0);
                    let (left, right) = (left - 0.5, right + 0.5);
                    for point in &mut waited {
                        point.0 = left + (point.0 - a) * (right - left) / (b - a).max(0.1);
                    }
                    (*line, *height, resumed) = (waited, at, true);
                }
                Waits::Joined(holder) => {
                    let Some((waited, at, off)) = self.lines.remove(&holder) else { continue };
                    let range = (waited[0].0, waited[waited.len() - 1].0);
                    self.waited.push((off, now + 1, range));
                    let right = std::mem::take(line);
                    let (mut left, right) = if range.0 < right[0].0 { (waited, right) } else { (right, waited) };
                    // Above a slit its two sides are one again.
                    if let (Some(a), Some(b)) = (left.last(), right.first()) {
                        self.same.push((b.1, a.1));
                    }
                    left.extend(right.into_iter().skip(1));
                    (*line, *height, resumed) = (left, height.max(at), true);
                }
            }
        }
        resumed
    }
}

/// The end of a strip of so many rows at most: what is taken off or cast off is so before its first.
fn strip_end(rows: &[Row], from: usize, most: usize) -> usize {
    let goes_on = |i: usize| {
        let row = &rows[i];
        row.part == rows[from].part && row.waits.is_empty() && row.cast_off.0 > row.cast_off.1
    };
    (from + 1..rows.len().min(from + most)).find(|i| !goes_on(*i)).unwrap_or(rows.len().min(from + most))
}

/// The material of a part as it is laid: of a tube that is opened every needle is one across, and every second pass one along.
fn spread(stuff: Option<Stuff>, mesh: Mesh) -> Stuff {
    let layers = if mesh.unrolled { 2.0 } else { 1.0 };
    let s = stuff.unwrap_or(Stuff { needle: 1.0, pass: 1.0, stretch: 0.3 });
    Stuff { needle: s.needle * layers, pass: s.pass * layers, ..s }
}

/// Brings a rehearsed piece to rest. `parts` gives the material of each part by origin number; rows of parts without one
/// (a cast-on, an ending) are left out. None where nothing remains.
#[must_use]
pub fn piece_at_rest(plan: &Plan, run: &Run, parts: &[Option<Stuff>], mesh: Mesh) -> Option<PieceAtRest> {
    let rows = rows(plan, run, parts, mesh);
    let first = rows.first()?;
    let span = rows.iter().fold((first.live.0, first.live.1), |s, r| (s.0.min(r.live.0), s.1.max(r.live.1)));
    let apart = ((span.1 - span.0) / mesh.columns).ceil().max(1.0);
    let grid = grid(span, apart);
    let ends = |r: &Row| (r.live.0 - 0.5, r.live.1 + 0.5);
    let places = |(a, b): (f64, f64)| -> Vec<f64> {
        let inner = grid.iter().copied().filter(|u| *u > a + 0.3 * apart && *u < b - 0.3 * apart);
        core::iter::once(a).chain(inner).chain(core::iter::once(b)).collect()
    };
    let stuff = |part: usize| spread(parts[part], mesh);
    let scale = |r: &Row| stuff(r.part).needle * r.stitches / (r.live.1 - r.live.0 + 1.0);
    let mut sheet = Sheet::default();
    let mut of = Vec::new();
    let mut point = |at: [f64; 2]| {
        sheet.points.push(at);
        sheet.points.len() as u32 - 1
    };
    let mut line: ThreadPath = places(ends(first)).into_iter().map(|u| (u, point([u * scale(first), 0.0]))).collect();
    // The lines, each with the part below it.
    let mut lines: Vec<(usize, ThreadPath)> = vec![(first.part, line.clone())];
    let mut begun = Vec::new();
    let mut triangles = Vec::new();
    // Pairs of points merged where loops were moved inwards.
    let mut same: Vec<(u32, u32)> = Vec::new();
    let most = rows.len().div_ceil(mesh.strips);
    let mut from = 0;
    let mut height = 0.0;
    let mut holders = Holders::default();
    while from < rows.len() {
        let part = rows[from].part;
        let to = strip_end(&rows, from, most);
        let strip = &rows[from..to];
        let top = &rows[to - 1];
        let s = stuff(part);
        let scale = scale(top);
        let tall = |u: f64| tall(strip, u) * s.pass;
        let full = strip.len() as f64 * s.pass;
        if holders.go(&strip[0].waits, (&mut line, lines.len() - 1), &mut height) {
            // The last line of the other side has no row above it.
            begun.push(strip[0].step);
            lines.push((part, line.clone()));
            same.append(&mut holders.same);
        }
        without_cast_off(strip, ends(top), &mut line);
        same.extend(moved_inwards(strip, ends(top), &mut line));
        let next: ThreadPath = places(ends(top))
            .into_iter()
            .map(|u| {
                let same = line.iter().find(|(v, _)| (v - u).abs() < 1e-9).map(|l| l.1);
                match same {
                    // Held throughout: still the same loop.
                    Some(n) if tall(u) == 0.0 => (u, n),
                    _ => (u, point([u * scale, height + full])),
                }
            })
            .collect();
        let laid = triangles_between(&line, &next, scale, &tall);
        of.extend(laid.iter().map(|_| part));
        triangles.extend(laid.into_iter().map(|(corners, rest)| Triangle { corners, rest, stiffness: s.stiffness() }));
        height += full;
        begun.push(strip[0].step);
        line = next;
        lines.push((part, line.clone()));
        from = to;
    }
    let one = made_one(sheet.points.len(), &same);
    let left = triangles.into_iter().zip(of).filter_map(|(t, of)| Some((joined(t, &one)?, of)));
    let (triangles, of): (Vec<_>, Vec<_>) = left.unzip();
    sheet.triangles = triangles;
    let middle = |l: &ThreadPath| l[l.len() / 2].1;
    sheet.held = vec![(middle(&lines.first()?.1), [true, true]), (middle(&lines.last()?.1), [true, false])];
    let end = sheet.settle();
    for (p, kept) in one.iter().enumerate() {
        sheet.points[p] = sheet.points[*kept as usize];
    }
    let parts = told(&sheet, &of, &lines, &rows, parts);
    begun.extend(rows.last().map(|r| r.step));
    let kept = |l: ThreadPath| l.into_iter().map(|(u, p)| (u, one[p as usize])).collect();
    let lines = begun.into_iter().zip(lines).map(|(step, l)| (step, kept(l.1))).collect();
    Some(PieceAtRest { sheet, of, end, parts, lines, waited: holders.waited })
}

fn none() -> (f64, f64) {
    (f64::INFINITY, f64::NEG_INFINITY)
}

/// The rows of a strip that are knitted at a place.
fn tall(strip: &[Row], place: f64) -> f64 {
    strip.iter().filter(|r| place >= r.made.0 - 1.0 && place <= r.made.1 + 1.0).count() as f64
}

/// A triangle: its corners, and where they lie by themselves.
type Laid = ([u32; 3], [[f64; 2]; 3]);

/// The triangles of a strip between its lines, as wide as `scale` says for a place and as high as `tall`; those without area are
/// left out.
fn triangles_between(bottom: &ThreadPath, top: &ThreadPath, scale: f64, tall: &dyn Fn(f64) -> f64) -> Vec<Laid> {
    let mut all = Vec::new();
    zip(bottom, top, |corners: [(f64, u32, bool); 3]| {
        let rest = corners.map(|(u, _, up)| [u * scale, if up { tall(u) } else { 0.0 }]);
        let [a, b, c] = rest;
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let numbers = corners.map(|c| c.1);
        if area.abs() > 1e-9 && numbers[0] != numbers[1] && numbers[1] != numbers[2] && numbers[0] != numbers[2] {
            all.push((numbers, rest));
        }
    });
    all
}

/// Triangles between two lines of points, both from left to right.
fn zip(bottom: &ThreadPath, top: &ThreadPath, mut found: impl FnMut([(f64, u32, bool); 3])) {
    let (mut i, mut j) = (0, 0);
    let middle = f64::midpoint(bottom[0].0, bottom[bottom.len() - 1].0);
    while i + 1 < bottom.len() || j + 1 < top.len() {
        let (b, t) = ((bottom[i].0, bottom[i].1, false), (top[j].0, top[j].1, true));
        // Squares are cut the other way on the right, which keeps a symmetric piece symmetric.
        let up = i + 1 >= bottom.len()
            || (j + 1 < top.len() && {
                let apart = top[j + 1].0 - bottom[i + 1].0;
                apart < -1e-9 || (apart < 1e-9 && top[j + 1].0 <= middle)
            });
        if up {
            j += 1;
            found([b, (top[j].0, top[j].1, true), t]);
        } else {
            i += 1;
            found([b, (bottom[i].0, bottom[i].1, false), t]);
        }
    }
}

fn told(
    sheet: &Sheet,
    of: &[usize],
    lines: &[(usize, ThreadPath)],
    rows: &[Row],
    parts: &[Option<Stuff>],
) -> Vec<PartAtRest> {
    let between = |a: u32, b: u32| {
        let (p, q) = (sheet.points[a as usize], sheet.points[b as usize]);
        (p[0] - q[0]).hypot(p[1] - q[1])
    };
    let mut order: Vec<usize> = Vec::new();
    for r in rows {
        if !order.contains(&r.part) {
            order.push(r.part);
        }
    }
    let mut all = Vec::new();
    for part in order {
        let Some(Some(stuff)) = parts.get(part) else { continue };
        let mine: Vec<&ThreadPath> = lines.iter().filter(|l| l.0 == part).map(|l| &l.1).collect();
        let width = |l: &ThreadPath| l.windows(2).map(|w| between(w[0].1, w[1].1)).sum::<f64>();
        let widths: Vec<f64> = mine.iter().map(|l| width(l)).collect();
        let count = rows.iter().filter(|r| r.part == part).count() as f64;
        let alone = rows.iter().filter(|r| r.part == part).map(|r| r.stitches).fold(0.0, f64::max) * stuff.needle;
        // Along the middle of all its lines, from the line below the first.
        let at = lines.iter().position(|l| l.0 == part).unwrap_or(0);
        let with_below = lines[at.saturating_sub(1)..]
            .iter()
            .take_while(|l| l.0 == part || core::ptr::eq(*l, &lines[at.saturating_sub(1)]));
        let middles: Vec<u32> = with_below
            .map(|l| {
                let centre = f64::midpoint(l.1[0].0, l.1[l.1.len() - 1].0);
                let near = l.1.iter().min_by(|a, b| (a.0 - centre).abs().total_cmp(&(b.0 - centre).abs()));
                near.map_or(0, |n| n.1)
            })
            .collect();
        let length: f64 = middles.windows(2).map(|w| between(w[0], w[1])).sum();
        let strains = sheet.triangles.iter().zip(of).filter(|t| *t.1 == part).map(|t| t.0.strain(&sheet.points)[0]);
        let strain = strains.fold((0.0_f64, 0.0_f64), |s, e| (s.0.min(e), s.1.max(e)));
        let least = widths.iter().copied().fold(f64::INFINITY, f64::min);
        let widest = widths.iter().copied().fold(0.0, f64::max);
        all.push(PartAtRest { part, alone, width: (least, widest), length: (count * stuff.pass, length), strain });
    }
    all
}
