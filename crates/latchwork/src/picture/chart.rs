//! The piece as a squared-paper chart, and one repeat of each fabric as a running yarn path on point paper: the textbook
//! notations (as described by Spencer, Knitting Technology, 3rd ed., ch. 5). Left and right as at the machine.

use std::collections::BTreeMap;

use latchwork_machine::beds::Beds;
use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, Plan, Setting};

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::units::Language;
use crate::wording::say;

/// What a needle did in a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Square {
    /// A loop of the main bed: a face stitch, seen from the main-bed side.
    Face,
    /// A loop of the ribber: a reverse stitch.
    Reverse,
    /// A tuck on either bed.
    Tuck,
    /// A loop over an empty needle: a cast-on, an increase or a hole.
    Open,
    /// In work, but the yarn passed it.
    Float,
    /// Out of work.
    Empty,
}

impl Square {
    /// Its symbol on squared paper.
    #[must_use]
    pub fn sign(self) -> char {
        match self {
            Square::Face => 'X',
            Square::Reverse => 'O',
            Square::Tuck => '•',
            Square::Open => 'u',
            Square::Float => '–',
            Square::Empty => ' ',
        }
    }
}

/// A piece on squared paper: a row for each pass that made loops, the first lowest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Places along the beds, in half pitches, from left to right.
    pub columns: Vec<i32>,
    /// For each pass: the counter after it, its direction, and its squares.
    pub rows: Vec<(u32, Side, Vec<Square>)>,
}

/// The key to the symbols, in text.
fn key(t: Language) -> String {
    say!(
        t,
        "X face stitch (main bed), O reverse stitch (ribber), • tuck, u a loop over an empty needle (cast-on, increase or hole), – float; blank: \
         no needle in work. Each row is a pass, the first lowest; at its end the counter, and < or > the way it went. Left and right are as \
         they lie before the knitter at the machine; a loop of the main bed shows its face on the side turned away from her."
    )
}

/// Charts a rehearsed plan.
#[must_use]
pub fn chart(plan: &Plan, run: &Run) -> Chart {
    let mut beds = Beds::of(&plan.steps);
    let mut rows: Vec<(u32, Side, BTreeMap<i32, Square>)> = Vec::new();
    for (i, step) in plan.steps.iter().enumerate().take(run.readings.len()) {
        beds.step(&step.action);
        let Action::Pass(p) = &step.action else { continue };
        if p.yarn.is_none() {
            continue;
        }
        let place = |n: Needle| beds.place(n).0;
        let mut row: BTreeMap<i32, Square> = beds.in_work().map(|(n, _)| (place(n), Square::Float)).collect();
        for (id, needle) in beds.made() {
            let square = match (run.loops.kind(LoopId(id)), needle.bed) {
                (Kind::Tuck, _) => Square::Tuck,
                (Kind::Knit, _) if run.loops.through(LoopId(id)).is_empty() => Square::Open,
                (Kind::Knit | Kind::Wrap | Kind::Hung, Bed::Main) => Square::Face,
                (Kind::Knit | Kind::Wrap | Kind::Hung, Bed::Ribber) => Square::Reverse,
            };
            row.insert(place(needle), square);
        }
        rows.push((run.readings[i].counter, p.direction, row));
    }
    let all: Vec<i32> = rows.iter().flat_map(|r| r.2.keys().copied()).collect();
    let (least, most) = (all.iter().min().copied().unwrap_or(0), all.iter().max().copied().unwrap_or(-1));
    // At full pitch every other half pitch is enough.
    let step = if all.iter().all(|x| (x - least) % 2 == 0) { 2 } else { 1 };
    let columns: Vec<i32> = (least..=most).step_by(step).collect();
    let squares =
        |row: &BTreeMap<i32, Square>| columns.iter().map(|c| row.get(c).copied().unwrap_or(Square::Empty)).collect();
    let rows = rows.iter().map(|(counter, way, row)| (*counter, *way, squares(row))).collect();
    Chart { columns, rows }
}

impl Chart {
    /// The chart in text, last row highest.
    #[must_use]
    pub fn in_text(&self, t: Language) -> String {
        let mut lines: Vec<String> = Vec::new();
        for (counter, way, squares) in self.rows.iter().rev() {
            let row: String = squares.iter().map(|s| s.sign()).collect();
            let way = if *way == Side::Left { '<' } else { '>' };
            lines.push(format!("|{row}| {counter:03} {way}"));
        }
        lines.push(key(t));
        lines.join("\n")
    }

    /// The chart drawn on squared paper.
    #[must_use]
    pub fn drawn(&self, t: Language) -> Picture {
        const CELL: f64 = 9.0;
        let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(0));
        let (wide, high) = (count(self.columns.len()) * CELL, count(self.rows.len()) * CELL);
        let mut ink = Ink::new();
        for (k, (counter, way, squares)) in self.rows.iter().enumerate() {
            let y = high - count(k) * CELL;
            for (c, square) in squares.iter().enumerate() {
                let (x, mid) = (count(c) * CELL, y - CELL / 2.0);
                let (l, r, t, b) = (x + 2.0, x + CELL - 2.0, y - CELL + 2.0, y - 2.0);
                if *square != Square::Empty {
                    ink.raw(&format!("<rect x=\"{x:.1}\" y=\"{:.1}\" width=\"{CELL}\" height=\"{CELL}\" fill=\"none\" stroke=\"#777\" stroke-width=\"0.35\"/>", y - CELL));
                }
                match square {
                    Square::Face => {
                        ink.line(0.9, &[(l, t), (r, b)]);
                        ink.line(0.9, &[(l, b), (r, t)]);
                    }
                    Square::Reverse => ink.raw(&format!("<circle cx=\"{:.1}\" cy=\"{mid:.1}\" r=\"2.6\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.9\"/>", x + CELL / 2.0)),
                    Square::Tuck => ink.raw(&format!("<circle cx=\"{:.1}\" cy=\"{mid:.1}\" r=\"1.5\"/>", x + CELL / 2.0)),
                    Square::Open => ink.line(0.9, &[(l, t), (l + 0.8, b - 0.6), (r - 0.8, b - 0.6), (r, t)]),
                    Square::Float => ink.line(0.7, &[(l, mid), (r, mid)]),
                    Square::Empty => {}
                }
            }
            if k == 0 || (k + 1) % 10 == 0 || k + 1 == self.rows.len() {
                let arrow = if *way == Side::Left { "←" } else { "→" };
                ink.text(wide + 6.0, y - 2.0, 7.0, Anchor::Start, false, &format!("{counter:03} {arrow}"));
            }
        }
        ink.text(
            0.0,
            high + 16.0,
            8.0,
            Anchor::Start,
            true,
            &say!(t, "X face stitch, main bed; O reverse stitch, ribber; dot tuck; u over an empty needle; dash float; blank, none in work."),
        );
        ink.text(
            0.0,
            high + 27.0,
            8.0,
            Anchor::Start,
            true,
            &say!(t, "Each row is a pass, the first lowest. Left and right as they lie before you at the machine."),
        );
        ink.finish((wide + 60.0).max(420.0), high + 34.0, self.in_text(t))
    }
}

/// One repeat of settings as a running yarn path: two lines of points for each pass, main bed above.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Path {
    /// The passes: direction, and the settings of main bed and ribber.
    pub passes: Vec<(Side, Setting, Setting)>,
    /// Needles in work, in order of place, at most ten.
    pub needles: Vec<(i32, Bed)>,
}

/// The yarn path of each different run of passes of a plan: its first whole repeat over the first needles.
#[must_use]
pub fn paths(plan: &Plan) -> Vec<Path> {
    let mut all: Vec<Path> = Vec::new();
    let mut beds = Beds::outline(Side::Right);
    let mut i = 0;
    while let Some(step) = plan.steps.get(i) {
        let part = step.origin;
        let run: Vec<(Side, Setting, Setting)> = plan.steps[i..]
            .iter()
            .take_while(|s| s.origin == part && matches!(s.action, Action::Pass(_)))
            .filter_map(|s| match &s.action {
                Action::Pass(p) if p.yarn.is_some() => Some((p.direction, p.main.setting, p.ribber.setting)),
                _ => None,
            })
            .collect();
        let needles = (run.len() >= 2)
            .then(|| beds.in_work().map(|(n, _)| (beds.place(n).0, n.bed)).collect::<Vec<(i32, Bed)>>());
        let done = run.len().max(1);
        plan.steps[i..i + done].iter().for_each(|s| beds.step(&s.action));
        i += done;
        let Some(mut needles) = needles else { continue };
        let fits = |n: &usize| (0..run.len()).all(|k| (run[k].1, run[k].2) == (run[k % n].1, run[k % n].2));
        let period = (1..=run.len().min(6)).find(fits).unwrap_or(run.len().min(6));
        needles.sort_unstable();
        needles.truncate(10);
        let path = Path { passes: run[..period].to_vec(), needles };
        let same = |p: &Path| {
            let settings = |p: &Path| p.passes.iter().map(|x| (x.1, x.2)).collect::<Vec<_>>();
            settings(p) == settings(&path) && p.needles.len() == path.needles.len()
        };
        if !path.needles.is_empty() && !all.iter().any(same) {
            all.push(path);
        }
    }
    all
}

impl Path {
    /// The path in text: for each pass, first lowest, a line for each bed; `U` a loop, `u` a tuck, `-` the yarn passes by.
    #[must_use]
    pub fn in_text(&self, t: Language) -> String {
        let first = self.needles.first().map_or(0, |n| n.0);
        let mut lines = Vec::new();
        for (way, main, ribber) in self.passes.iter().rev() {
            let row = |bed: Bed, setting: Setting| {
                let mut row = String::new();
                for (x, _) in self.needles.iter().filter(|n| n.1 == bed) {
                    let at = usize::try_from(x - first).unwrap_or(0) * 2;
                    let sign = match setting {
                        Setting::Knit => 'U',
                        Setting::Tuck => 'u',
                        Setting::Slip => '-',
                    };
                    row = format!("{row:<at$}{sign}");
                }
                row
            };
            let arrow = if *way == Side::Left { "<" } else { ">" };
            lines.push(format!("{:<7} {}  {arrow}", say!(t, "main"), row(Bed::Main, *main)));
            if self.needles.iter().any(|n| n.1 == Bed::Ribber) {
                lines.push(format!("{:<7} {}", say!(t, "ribber"), row(Bed::Ribber, *ribber)));
            }
        }
        lines.push(say!(t, "U a loop, u a tuck, - the yarn passes by; the first pass lowest"));
        lines.join("\n")
    }

    /// The path drawn on point paper: a point is a needle seen from above.
    #[must_use]
    pub fn drawn(&self, t: Language) -> Picture {
        const GAP: f64 = 11.0;
        const HIGH: f64 = 46.0;
        let mut ink = Ink::new();
        let first = self.needles.first().map_or(0, |n| n.0);
        let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(0));
        let wide = self.needles.last().map_or(0.0, |n| f64::from(n.0 - first) * GAP) + 50.0;
        let two = self.needles.iter().any(|n| n.1 == Bed::Ribber);
        let total = count(self.passes.len()) * HIGH;
        for (k, (way, main, ribber)) in self.passes.iter().enumerate() {
            let mid = total - count(k) * HIGH - HIGH / 2.0;
            let mut line = vec![(8.0, mid)];
            for (x, bed) in &self.needles {
                let px = 25.0 + f64::from(x - first) * GAP;
                let (setting, up) = if *bed == Bed::Main { (*main, -1.0) } else { (*ribber, 1.0) };
                let point = mid + up * 9.0;
                ink.raw(&format!("<circle cx=\"{px:.1}\" cy=\"{point:.1}\" r=\"1.3\"/>"));
                match setting {
                    // A loop goes round its needle, a tuck half round.
                    Setting::Knit => line.extend([
                        (px - 1.5, mid),
                        (px - 4.0, point),
                        (px - 2.5, point + up * 4.5),
                        (px + 2.5, point + up * 4.5),
                        (px + 4.0, point),
                        (px + 1.5, mid),
                    ]),
                    Setting::Tuck => line.extend([(px - 5.0, mid), (px, point + up * 4.5), (px + 5.0, mid)]),
                    Setting::Slip => {}
                }
            }
            line.push((wide - 10.0, mid));
            ink.line(1.1, &line);
            let arrow = if *way == Side::Left { "←" } else { "→" };
            ink.text(wide, mid + 3.0, 9.0, Anchor::Start, false, arrow);
        }
        let beds = if two {
            say!(t, "Points above: main bed; below: ribber.")
        } else {
            say!(t, "Points: needles of the main bed.")
        };
        ink.text(8.0, total + 12.0, 8.0, Anchor::Start, true, &beds);
        ink.text(
            8.0,
            total + 23.0,
            8.0,
            Anchor::Start,
            true,
            &say!(t, "Round a point: a loop; half round: a tuck; past it: a float."),
        );
        ink.finish(wide.max(240.0) + 20.0, total + 30.0, self.in_text(t))
    }
}
