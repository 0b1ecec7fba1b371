//! A picture made into a repeat of two yarns: as many columns as needles, rows in true proportion, two tones, and floats broken
//! where they are too long.

use crate::text::NewNode;

/// The light of a picture, pixel by pixel, from the top left: 0 dark, 1 light.
#[derive(Debug, Clone, PartialEq)]
pub struct Light {
    /// Pixels across.
    pub wide: usize,
    /// Pixels down.
    pub high: usize,
    /// Their light, row by row.
    pub values: Vec<f32>,
}

/// How grey becomes one of two yarns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tones {
    /// By one limit, which parts the picture best: flat shapes.
    Threshold,
    /// By spreading the error over the neighbours (Floyd and Steinberg 1976): shades.
    Diffused,
}

/// How it is knitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Technique {
    /// Two yarns in a row on one bed.
    Stranded,
    /// Two rows of each yarn in turn, the other yarn's stitches slipped.
    Mosaic,
    /// On both beds, the other yarn knitted at the back.
    TwoBed,
}

/// A repeat: marked stitches are of the second yarn. The first row is the lowest; columns run as the needles do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Motif {
    /// Stitches across.
    pub columns: usize,
    /// Row by row, from the bottom.
    pub rows: Vec<Vec<bool>>,
}

/// Rows that keep a picture's proportion over so many needles, by the width of a stitch and the height of a row.
#[must_use]
pub fn rows_in_proportion(picture: (usize, usize), columns: usize, needle: f64, row: f64) -> usize {
    let high = columns as f64 * needle * picture.1 as f64 / picture.0.max(1) as f64;
    (high / row).round().max(1.0) as usize
}

/// The most stitches and rows of these that keep a picture's proportion.
#[must_use]
pub fn within(picture: (usize, usize), (columns, rows): (usize, usize), needle: f64, row: f64) -> (usize, usize) {
    let high = rows_in_proportion(picture, columns, needle, row);
    if high <= rows {
        return (columns, high);
    }
    let wide = rows as f64 * row * picture.0 as f64 / (picture.1.max(1) as f64 * needle);
    ((wide.round().max(1.0) as usize).min(columns), rows)
}

/// The picture on a grid of stitches, dark ones of the second yarn. The far side is worn outside, so left and right change
/// places on the needles.
#[must_use]
pub fn drawn(light: &Light, columns: usize, rows: usize, tones: Tones) -> Motif {
    let means = averaged(light, columns, rows);
    let dark = match tones {
        Tones::Threshold => {
            let limit = between(&means);
            means.iter().map(|v| *v < limit).collect()
        }
        Tones::Diffused => diffused(means, columns),
    };
    let rows = dark.chunks(columns).rev().map(|row: &[bool]| row.iter().rev().copied().collect());
    Motif { columns, rows: rows.collect() }
}

/// The mean light of the part of the picture in each cell, row by row from the top.
fn averaged(light: &Light, columns: usize, rows: usize) -> Vec<f32> {
    // Whole pixels where there are several to a cell; the nearest one where there are fewer.
    let part = |i: usize, cells: usize, pixels: usize| {
        let from = (i * pixels / cells).min(pixels - 1);
        from..((i + 1) * pixels / cells).clamp(from + 1, pixels)
    };
    let mut sums = vec![0.0_f32; columns * rows];
    for r in 0..rows {
        for y in part(r, rows, light.high) {
            let line = &light.values[y * light.wide..(y + 1) * light.wide];
            for (c, sum) in sums[r * columns..(r + 1) * columns].iter_mut().enumerate() {
                let cell = &line[part(c, columns, light.wide)];
                *sum += cell.iter().sum::<f32>() / cell.len() as f32;
            }
        }
    }
    for r in 0..rows {
        let lines = part(r, rows, light.high).len() as f32;
        sums[r * columns..(r + 1) * columns].iter_mut().for_each(|s| *s /= lines);
    }
    sums
}

/// The limit that parts the values best: the largest variance between the two classes (Otsu 1979).
fn between(values: &[f32]) -> f32 {
    const STEPS: usize = 256;
    let mut count = [0_u32; STEPS];
    for v in values {
        count[((v * 255.0).round() as usize).min(STEPS - 1)] += 1;
    }
    let all = values.len() as f64;
    let total: f64 = count.iter().enumerate().map(|(i, n)| i as f64 * f64::from(*n)).sum();
    let (mut best, mut limit, mut below, mut sum) = (-1.0, 0.5, 0.0, 0.0);
    for (i, n) in count.iter().enumerate() {
        below += f64::from(*n);
        sum += i as f64 * f64::from(*n);
        if below == 0.0 || below == all {
            continue;
        }
        let apart = sum / below - (total - sum) / (all - below);
        let variance = below * (all - below) * apart * apart;
        if variance > best {
            best = variance;
            limit = (i as f32 + 0.5) / 255.0;
        }
    }
    limit
}

fn diffused(mut values: Vec<f32>, columns: usize) -> Vec<bool> {
    let mut dark = vec![false; values.len()];
    for i in 0..values.len() {
        dark[i] = values[i] < 0.5;
        let error = values[i] - if dark[i] { 0.0 } else { 1.0 };
        let (first, last) = (i % columns == 0, (i + 1) % columns == 0);
        let mut give = |at: usize, share: f32| {
            if let Some(v) = values.get_mut(at) {
                *v += error * share / 16.0;
            }
        };
        if !last {
            give(i + 1, 7.0);
            give(i + columns + 1, 1.0);
        }
        if !first {
            give(i + columns - 1, 3.0);
        }
        give(i + columns, 5.0);
    }
    dark
}

impl Motif {
    /// In the middle of so many stitches and rows, the others in the first yarn. What cannot be shared alike goes to the right
    /// and above.
    #[must_use]
    pub fn centred(&self, columns: usize, rows: usize) -> Motif {
        let (left, below) = (columns.saturating_sub(self.columns) / 2, rows.saturating_sub(self.rows.len()) / 2);
        let mut all = vec![vec![false; columns]; rows];
        for (to, from) in all.iter_mut().skip(below).zip(&self.rows) {
            to.iter_mut().skip(left).zip(from).for_each(|(to, from)| *to = *from);
        }
        Motif { columns, rows: all }
    }

    /// So many times beside and above itself.
    #[must_use]
    pub fn tiled(&self, across: usize, up: usize) -> Motif {
        let rows = (0..up).flat_map(|_| self.rows.iter().map(|r| r.repeat(across)));
        Motif { columns: self.columns * across, rows: rows.collect() }
    }

    /// Breaks every float of more than `longest` needles, in each row with the fewest stitches changed; the repeat goes on
    /// beside itself. A row in one yarn has no floats. Returns how many stitches changed.
    pub fn break_floats(&mut self, longest: usize) -> usize {
        let mut changed = 0;
        for row in &mut self.rows {
            let broken = broken(row, longest.max(1));
            changed += row.iter().zip(&broken).filter(|(a, b)| a != b).count();
            *row = broken;
        }
        changed
    }

    /// Makes it mosaic: each row is of one yarn, the first in its turn, and shows the other only where that lies just below
    /// and was not slipped there too, with at most `longest` slipped side by side. Returns how many stitches changed. The number
    /// of rows is even.
    pub fn make_mosaic(&mut self, longest: usize) -> usize {
        let n = self.rows.len();
        let mut changed = 0;
        // Twice round, since the first row lies on the last.
        let mut slipped = vec![vec![false; self.columns]; n];
        for i in 0..2 * n {
            let (row, below) = (i % n, (i + n - 1) % n);
            let own = row % 2 == 1;
            let can = |c: usize| self.rows[below][c] != own && !slipped[below][c];
            let mut slips: Vec<bool> = (0..self.columns).map(|c| self.rows[row][c] != own && can(c)).collect();
            part_long_runs(&mut slips, longest);
            for (cell, slips) in self.rows[row].iter_mut().zip(&slips) {
                changed += usize::from(*cell != own && !slips);
                *cell = own != *slips;
            }
            slipped[row] = slips;
        }
        changed
    }

    /// The longest float of either yarn, in needles.
    #[must_use]
    pub fn longest_float(&self) -> usize {
        let of = |row: &Vec<bool>| {
            let turn = row.iter().position(|c| *c != row[0])?;
            let cells: Vec<bool> = row.iter().cycle().skip(turn).take(row.len()).copied().collect();
            cells.chunk_by(|a, b| a == b).map(<[bool]>::len).max()
        };
        self.rows.iter().filter_map(of).max().unwrap_or(0)
    }

    /// The fabric as a document; `unshaped` says why one on two beds is not shaped.
    #[must_use]
    pub fn fabric(&self, name: &str, technique: Technique, unshaped: &str) -> NewNode {
        let node = |w: &str| NewNode::new(w);
        let kind = match technique {
            Technique::Stranded => "two yarns in a row",
            Technique::Mosaic => "mosaic",
            Technique::TwoBed => "two-bed colour",
        };
        let fabric = node("fabric").text(name).text_pair("kind", kind);
        let signs = |row: &[bool], own: bool, other: char| -> String {
            row.iter().map(|c| if *c == own { 'k' } else { other }).collect()
        };
        let one = |n: u32| node("shaping").with(node("narrow").number(n)).with(node("widen").number(n));
        match technique {
            Technique::Stranded => {
                let rows = self.rows.iter().rev().map(|r| node("row").text(&signs(r, false, '2')));
                fabric.with(node("like").text("plain")).with(node("grid").with_all(rows)).with(one(1))
            }
            Technique::Mosaic => {
                let passes = self.rows.iter().enumerate().map(|(i, r)| {
                    let own = i % 2 == 1;
                    let yarn = if own { 2 } else { 1 };
                    node("pass").text_pair("main", &signs(r, own, '-')).pair("yarn", yarn).pair("times", 2)
                });
                fabric.with(node("like").text("plain")).with_all(passes).with(one(1))
            }
            Technique::TwoBed => {
                // Each yarn waits where it is needed next: first and second, then second and first.
                let passes = self.rows.iter().enumerate().flat_map(|(i, r)| {
                    let order = if i % 2 == 0 { [false, true] } else { [true, false] };
                    order.into_iter().zip(["k-", "-k"]).map(move |(own, back)| {
                        let yarn = if own { 2 } else { 1 };
                        node("pass").text_pair("main", &signs(r, own, '-')).text_pair("ribber", back).pair("yarn", yarn)
                    })
                });
                fabric
                    .with(node("like").text("full needle rib"))
                    .with_all(passes)
                    .with(node("shaping").text_pair("because", unshaped))
            }
        }
    }
}

/// Takes a mark out of every run of more than `longest` marks, which go on from the end to the beginning.
fn part_long_runs(marks: &mut [bool], longest: usize) {
    let n = marks.len();
    let begin = marks.iter().position(|m| !m).unwrap_or(0);
    let mut run = 0;
    for i in 0..n {
        let mark = &mut marks[(begin + i) % n];
        *mark &= run < longest && (i > 0 || n <= longest);
        run = if *mark { run + 1 } else { 0 };
    }
}

/// A row with no run of either yarn longer than `longest`, going on beside itself, that differs in the fewest stitches. What is
/// drawn stays: a row of both yarns keeps both.
fn broken(row: &[bool], longest: usize) -> Vec<bool> {
    let n = row.len();
    if row.iter().all(|c| *c == row[0]) {
        return row.to_vec();
    }
    let mut best = (usize::MAX, row.to_vec());
    // Some run begins within the first `longest` stitches after the first one.
    for begin in 1..=longest.min(n.saturating_sub(1)) {
        let at = |i: usize| row[(begin + i) % n];
        for first in [false, true] {
            // The fewest changes over the first i stitches, the last run of them of this yarn; and how long that run is.
            let mut least = vec![[(usize::MAX, 0_usize); 2]; n + 1];
            least[0][usize::from(!first)] = (0, 0);
            for i in 1..=n {
                for colour in [false, true] {
                    let mut cost = 0;
                    for length in 1..=longest.min(i) {
                        cost += usize::from(at(i - length) != colour);
                        let before = least[i - length][usize::from(!colour)].0;
                        if before != usize::MAX && before + cost < least[i][usize::from(colour)].0 {
                            least[i][usize::from(colour)] = (before + cost, length);
                        }
                    }
                }
            }
            let mut colour = !first;
            if least[n][usize::from(colour)].0 < best.0 {
                let mut made = vec![false; n];
                let mut i = n;
                while i > 0 {
                    let length = least[i][usize::from(colour)].1;
                    (i - length..i).for_each(|k| made[(begin + k) % n] = colour);
                    i -= length;
                    colour = !colour;
                }
                best = (least[n][usize::from(!first)].0, made);
            }
        }
    }
    best.1
}
