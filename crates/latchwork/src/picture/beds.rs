//! The beds at one moment: needle positions, loops, carriage and counter.

use latchwork_machine::needle::{Bed, Needle, Place, Position, Side, Slot};
use latchwork_machine::rehearsal::View;

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::units::{Language, counter};
use crate::wording::{bed as bed_name, pitch, say, side};

/// Distance between needles, in points.
const STEP: f64 = 15.0;

struct Drawn<'a> {
    view: &'a View,
    left: i16,
    right: i16,
}

impl Drawn<'_> {
    fn new(view: &View) -> Drawn<'_> {
        let slots = view.needles.iter().map(|n| n.needle.slot.0);
        let (left, right) = (slots.clone().min().unwrap_or(-2), slots.max().unwrap_or(1));
        Drawn { view, left: left - 1, right: right + 1 }
    }

    fn two(&self) -> bool {
        self.view.needles.iter().any(|n| n.needle.bed == Bed::Ribber)
    }

    fn place(&self, n: Needle) -> i32 {
        Place::of(n, self.view.pitch, self.view.racking).0
    }

    /// Its position, its number of loops, and whether one of them was made in this step.
    fn at(&self, n: Needle) -> (Position, usize, bool) {
        self.view.needles.iter().find(|s| s.needle == n).map_or((Position::Out, 0, false), |s| {
            (s.position, s.loops.len(), s.loops.iter().any(|l| self.view.made.contains(&l.0)))
        })
    }

    fn slots(&self) -> impl Iterator<Item = i16> + use<> {
        self.left..=self.right
    }

    fn stands(&self, t: Language) -> String {
        let pitch = pitch(self.view.pitch, t);
        match self.view.racking.0 {
            0 => pitch,
            by => say!(t, "{pitch}, rack {by}", pitch, by),
        }
    }
}

/// The beds in text: `.` out, `j` working, `v` forward, `t` holding; beneath each needle its number of loops, with `*`
/// before it where one was made in this step. A column is half a needle pitch.
#[must_use]
pub fn beds_in_text(view: &View, next: &str, t: Language) -> String {
    let d = Drawn::new(view);
    let origin = d.place(Needle::main(d.left));
    let column = |n: Needle| usize::try_from(d.place(n) - origin).ok();
    let mut lines = Vec::new();
    let mut names = String::new();
    for s in d.slots().filter(|s| *s == -1 || *s == 0 || (if *s < 0 { s % 5 == 0 } else { (s + 1) % 5 == 0 })) {
        let name = Slot(s).to_string();
        if let Some(c) = column(Needle::main(s)).filter(|c| *c >= names.len() + usize::from(!names.is_empty())) {
            names = format!("{names:<c$}{name}");
        }
    }
    lines.push(format!("{:<9}{names}", ""));
    for bed in Bed::BOTH {
        if bed == Bed::Ribber && !d.two() {
            continue;
        }
        let (mut stems, mut counts) = (String::new(), String::new());
        for s in d.slots() {
            let needle = Needle { bed, slot: Slot(s) };
            let Some(c) = column(needle) else { continue };
            let (position, loops, new) = d.at(needle);
            let stem = match position {
                Position::Out => '.',
                Position::Working => 'j',
                Position::Forward => 'v',
                Position::Holding => 't',
            };
            stems = format!("{stems:<c$}{stem}");
            if position != Position::Out {
                let mark = if new && c > 0 { "*" } else { "" };
                let at = c - mark.len();
                counts = format!("{counts:<at$}{mark}{}", loops.min(9));
            }
        }
        let rows = [(bed_name(bed, t), stems), (String::new(), counts)];
        let rows: Vec<_> = if bed == Bed::Main { rows.to_vec() } else { rows.into_iter().rev().collect() };
        lines.extend(rows.into_iter().map(|(name, row)| format!("{name:<9}{row}").trim_end().to_string()));
    }
    let (carriage, counter) = (side(view.carriage, t), counter(view.counter));
    let (stands, grams) = (d.stands(t), view.grams);
    lines.push(say!(
        t,
        "carriage at the {carriage}, counter {counter}, {stands}, {grams} g hang",
        carriage,
        counter,
        stands,
        grams
    ));
    if !next.is_empty() {
        lines.push(say!(t, "next: {next}", next));
    }
    lines.push(say!(
        t,
        "j working, v forward, t holding, . out; below or above each the loops on it, * one made just now"
    ));
    lines.join("\n")
}

/// The beds drawn to the pitch.
#[must_use]
pub fn beds(view: &View, next: &str, t: Language) -> Picture {
    let d = Drawn::new(view);
    let mut ink = Ink::new();
    let (top, bottom) = (34.0, 118.0);
    let first = 92.0;
    let origin = d.place(Needle::main(d.left));
    let x = |n: Needle| first + f64::from(d.place(n) - origin) / 2.0 * STEP;
    let (begin, end) = (first - STEP, x(Needle::main(d.right)) + STEP);
    ink.text(0.0, top + 3.0, 10.0, Anchor::Start, true, &bed_name(Bed::Main, t));
    ink.line(3.2, &[(begin, top), (end, top)]);
    if d.two() {
        ink.text(0.0, bottom + 3.0, 10.0, Anchor::Start, true, &bed_name(Bed::Ribber, t));
        ink.line(0.9, &[(begin, bottom - 1.5), (end, bottom - 1.5)]);
        ink.line(0.9, &[(begin, bottom + 1.5), (end, bottom + 1.5)]);
    }
    for s in d.slots() {
        for (bed, y, way) in [(Bed::Main, top, 1.0), (Bed::Ribber, bottom, -1.0)] {
            if bed == Bed::Main || d.two() {
                needle(&mut ink, &d, Needle { bed, slot: Slot(s) }, x(Needle { bed, slot: Slot(s) }), y, way);
            }
        }
        let fifth = if s < 0 { s % 5 == 0 } else { (s + 1) % 5 == 0 };
        if fifth || s == -1 || s == 0 {
            ink.text(x(Needle::main(s)), top - 16.0, 8.0, Anchor::Middle, false, &Slot(s).to_string());
        }
    }
    // The carriage is a hull whose bow points in the next direction, with the counter in it.
    let (left, base) = match view.carriage {
        Side::Left => (begin - 6.0, 1.0),
        Side::Right => (end + 6.0, -1.0),
    };
    let (cy, long) = ((top + bottom) / 2.0, 44.0);
    let away = left - base * long;
    ink.filled(
        "#fff",
        1.4,
        &[
            (away, cy - 15.0),
            (left - base * 9.0, cy - 15.0),
            (left, cy),
            (left - base * 9.0, cy + 15.0),
            (away, cy + 15.0),
        ],
    );
    ink.text((away + left) / 2.0 - base * 3.0, cy + 4.5, 13.0, Anchor::Middle, false, &format!("{:03}", view.counter));
    let (stands, grams) = (d.stands(t), view.grams);
    let note = say!(t, "{stands}; {grams} g hang", stands, grams);
    ink.text(begin, bottom + 26.0, 10.0, Anchor::Start, true, &note);
    if !next.is_empty() {
        ink.text(begin, bottom + 42.0, 10.0, Anchor::Start, false, &say!(t, "Next: {next}", next));
    }
    let wide = (end + 60.0).max(begin + 5.2 * f64::from(u32::try_from(next.chars().count() + 8).unwrap_or(0)));
    ink.finish(wide, bottom + 54.0, beds_in_text(view, next, t))
}

fn needle(ink: &mut Ink, d: &Drawn<'_>, n: Needle, x: f64, y: f64, way: f64) {
    let (position, loops, new) = d.at(n);
    let reach = match position {
        Position::Out => {
            ink.line(1.1, &[(x, y - way * 6.5), (x, y - way * 4.0)]);
            return;
        }
        Position::Working => 15.0,
        Position::Forward => 22.0,
        Position::Holding => 29.0,
    };
    let tip = y + way * reach;
    ink.line(1.2, &[(x, y - way * 6.5), (x, tip)]);
    match position {
        Position::Working => ink.line(1.2, &[(x, tip), (x + 2.6, tip + way * 1.5), (x + 3.2, tip - way * 2.0)]),
        Position::Forward => ink.line(1.2, &[(x - 3.0, tip - way * 4.0), (x, tip), (x + 3.0, tip - way * 4.0)]),
        Position::Holding => ink.line(1.6, &[(x - 3.6, tip), (x + 3.6, tip)]),
        Position::Out => {}
    }
    let cy = y + way * 10.0;
    let fill = if new { "#000" } else { "#fff" };
    for k in 0..loops.min(2) {
        let r = 3.0 + 2.2 * f64::from(u32::try_from(k).unwrap_or(0));
        let fill = if k == 0 { fill } else { "none" };
        ink.raw(&format!(
            "<circle cx=\"{x:.2}\" cy=\"{cy:.2}\" r=\"{r:.1}\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"1\"/>"
        ));
    }
    if loops > 2 {
        ink.text(x + 6.5, cy + 3.0, 7.5, Anchor::Start, false, &loops.to_string());
    }
}
