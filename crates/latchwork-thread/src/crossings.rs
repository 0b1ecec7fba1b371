//! The crossings of threads seen from the public side, listed from their places in space; and what about them no
//! movement can change.

/// Threads in space that repeat: the last point of each goes on to its first, a period to the right.
#[derive(Debug, Clone, PartialEq)]
pub struct Threads {
    /// Period across.
    pub width: f64,
    /// Period up.
    pub height: f64,
    /// Points of each thread.
    pub points: Vec<Vec<[f64; 3]>>,
}

/// A crossing seen on one strand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    /// How far along the thread, in segments.
    pub(crate) along: f64,
    pub(crate) over: bool,
    /// The crossing's number, and by how many periods it is moved from where it was first seen.
    pub(crate) crossing: usize,
    pub(crate) moved: (i32, i32),
    /// Whether the strand below passes from the right of the one above to its left.
    pub(crate) from_right: bool,
}

/// All crossings of a repeat.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossings {
    pub(crate) seen: Vec<Vec<Seen>>,
    pub(crate) count: usize,
}

/// Lists every crossing of the threads as seen along the height.
#[must_use]
pub fn crossings(threads: &Threads) -> Crossings {
    let (w, h) = (threads.width, threads.height);
    let mut segments: Vec<(usize, usize, [f64; 3], [f64; 3])> = Vec::new();
    for (t, points) in threads.points.iter().enumerate() {
        for (i, p) in points.iter().enumerate() {
            let q = points.get(i + 1).copied().unwrap_or([points[0][0] + w, points[0][1], points[0][2]]);
            segments.push((t, i, *p, q));
        }
    }
    let mut seen: Vec<Vec<Seen>> = vec![Vec::new(); threads.points.len()];
    let mut count = 0;
    for (k, (ta, ia, a0, a1)) in segments.iter().enumerate() {
        for (tb, ib, b0, b1) in &segments[k..] {
            let span = |c: usize, p: f64| {
                let (al, ah) = (a0[c].min(a1[c]), a0[c].max(a1[c]));
                let (bl, bh) = (b0[c].min(b1[c]), b0[c].max(b1[c]));
                (((al - bh) / p).ceil() as i32, ((ah - bl) / p).floor() as i32)
            };
            let ((x0, x1), (y0, y1)) = (span(0, w), span(1, h));
            for x in x0..=x1 {
                for y in y0..=y1 {
                    if (ta, ia) == (tb, ib) && (x, y) <= (0, 0) {
                        continue;
                    }
                    let (mx, my) = (f64::from(x) * w, f64::from(y) * h);
                    let (ax, ay) = (a1[0] - a0[0], a1[1] - a0[1]);
                    let (bx, by) = (b1[0] - b0[0], b1[1] - b0[1]);
                    let det = ax * by - ay * bx;
                    if det == 0.0 {
                        continue;
                    }
                    let (dx, dy) = (b0[0] + mx - a0[0], b0[1] + my - a0[1]);
                    let (s, t) = ((dx * by - dy * bx) / det, (dx * ay - dy * ax) / det);
                    if !(0.0..1.0).contains(&s) || !(0.0..1.0).contains(&t) {
                        continue;
                    }
                    let above = a0[2] + s * (a1[2] - a0[2]) > b0[2] + t * (b1[2] - b0[2]);
                    // Going along a, b crosses from its right to its left where the turn a to b is to the left.
                    let b_from_right = det > 0.0;
                    let from_right = if above { b_from_right } else { !b_from_right };
                    let one = |along, over, moved| Seen { along, over, crossing: count, moved, from_right };
                    seen[*ta].push(one(*ia as f64 + s, above, (0, 0)));
                    seen[*tb].push(one(*ib as f64 + t, !above, (x, y)));
                    count += 1;
                }
            }
        }
    }
    for s in &mut seen {
        s.sort_by(|a, b| a.along.total_cmp(&b.along));
    }
    Crossings { seen, count }
}

impl Crossings {
    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// For each thread, its crossings in order: a number given where it is first met, and whether this strand is above.
    #[must_use]
    pub fn code(&self) -> Vec<Vec<(usize, bool)>> {
        let mut names = vec![None; self.count];
        let mut next = 0;
        let mut name = |c: usize| {
            *names[c].get_or_insert_with(|| {
                next += 1;
                next - 1
            })
        };
        self.seen.iter().map(|t| t.iter().map(|s| (name(s.crossing), s.over)).collect()).collect()
    }

    /// A print of the tangle that no movement changes, only passing one strand through another. The rule of colours is
    /// `under' = t under + (1 - t) over`, taken over one small field and multiplied by a factor for each period across
    /// and up. For each of many choices of these the print holds the number of independent ways to colour the threads.
    /// (Colourings by the Alexander quandle, Joyce 1982 and Matveev 1982, here for threads that repeat.)
    #[must_use]
    pub fn print(&self) -> Vec<u8> {
        // Arcs run from one place below to the next; they are numbered along each thread.
        let mut first_arc = Vec::new();
        let mut arcs = 0;
        for t in &self.seen {
            first_arc.push(arcs);
            arcs += t.iter().filter(|s| !s.over).count().max(1);
        }
        let count = |t: usize| self.seen[t].iter().filter(|s| !s.over).count();
        // For each crossing: arc and move of the one above; arcs before and after of the one below with its move.
        let mut rules: Vec<Rule> = vec![Rule::default(); self.count];
        for (t, list) in self.seen.iter().enumerate() {
            let n = count(t);
            let mut arc = 0;
            for s in list {
                let rule = &mut rules[s.crossing];
                // The last arc is the first of the next period, moved by one.
                let place = |k: usize| (first_arc[t] + if n == 0 { 0 } else { k % n }, i32::from(n > 0 && k >= n));
                let (a, wrap) = place(arc);
                if s.over {
                    rule.over = (a, (s.moved.0 + wrap, s.moved.1));
                } else {
                    arc += 1;
                    let (b, wrap_b) = place(arc);
                    rule.before = (a, (s.moved.0 + wrap, s.moved.1));
                    rule.after = (b, (s.moved.0 + wrap_b, s.moved.1));
                    rule.from_right = s.from_right;
                }
            }
        }
        let mut print = Vec::new();
        for t in 2..FIELD {
            for across in 1..FIELD {
                for up in [1, 2, 3, 5] {
                    print.push(self.free(&rules, arcs, &first_arc, [t, across, up]));
                }
            }
        }
        print
    }

    fn free(&self, rules: &[Rule], arcs: usize, first_arc: &[usize], [t, across, up]: [u32; 3]) -> u8 {
        let factor = |(x, y): (i32, i32)| power(across, x) * power(up, y) % FIELD;
        let mut rows: Vec<Vec<u32>> = Vec::new();
        for r in rules {
            let mut row = vec![0; arcs];
            // From right to left: after = t before + (1 - t) over; from left to right the other way round.
            let (from, to) = if r.from_right { (r.before, r.after) } else { (r.after, r.before) };
            let mut add = |(arc, moved): (usize, (i32, i32)), by: u32| {
                row[arc] = (row[arc] + by * factor(moved)) % FIELD;
            };
            add(to, FIELD - 1);
            add(from, t);
            add(r.over, (1 + FIELD - t) % FIELD);
            rows.push(row);
        }
        // A thread that is never below has one colour, the same a period on.
        for (k, list) in self.seen.iter().enumerate() {
            if list.iter().all(|s| s.over) {
                let mut row = vec![0; arcs];
                row[first_arc[k]] = (across + FIELD - 1) % FIELD;
                rows.push(row);
            }
        }
        let rank = rank(&mut rows, arcs);
        u8::try_from(arcs - rank).unwrap_or(u8::MAX)
    }
}

type At = (usize, (i32, i32));

#[derive(Debug, Clone, Copy, Default)]
struct Rule {
    over: At,
    before: At,
    after: At,
    from_right: bool,
}

const FIELD: u32 = 7;

fn power(base: u32, exponent: i32) -> u32 {
    // By Fermat, exponents count modulo one less than the field.
    let e = exponent.rem_euclid(FIELD as i32 - 1);
    (0..e).fold(1, |p, _| p * base % FIELD)
}

fn rank(rows: &mut [Vec<u32>], columns: usize) -> usize {
    let mut rank = 0;
    for c in 0..columns {
        let Some(pivot) = (rank..rows.len()).find(|r| rows[*r][c] != 0) else { continue };
        rows.swap(rank, pivot);
        let inverse = power(rows[rank][c], FIELD as i32 - 2);
        let lead: Vec<u32> = rows[rank].iter().map(|v| v * inverse % FIELD).collect();
        for row in rows.iter_mut().skip(rank + 1).filter(|r| r[c] != 0) {
            let by = FIELD - row[c];
            for (v, l) in row.iter_mut().zip(&lead).skip(c) {
                *v = (*v + by * l) % FIELD;
            }
        }
        rank += 1;
    }
    rank
}
