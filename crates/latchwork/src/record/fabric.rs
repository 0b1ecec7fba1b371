//! A fabric on one page: needles, passes, what it asks of the machine and the hands, and its two faces.

use std::fmt::Write;

use latchwork_machine::needle::{Bed, Needle, Pitch, Place, Racking, Side, Slot};
use latchwork_machine::steps::Setting;

use crate::check::Asks;
use crate::fabric::{Begun, Cells, Ends, Fabric, Hand, Turn};
use crate::units::dial;
use crate::wording::{Language, stands};

/// Fewest columns of a drawn face.
const COLUMNS: i16 = 8;

/// The fabrics by kind, kinds in order of appearance.
pub fn by_kind<'f>(all: impl Iterator<Item = &'f Fabric>) -> Vec<(&'f str, Vec<&'f Fabric>)> {
    let mut kinds: Vec<(&str, Vec<&Fabric>)> = Vec::new();
    for f in all {
        match kinds.iter_mut().find(|k| k.0 == f.kind) {
            Some(k) => k.1.push(f),
            None => kinds.push((&f.kind, vec![f])),
        }
    }
    kinds
}

/// A fabric as a page of text; `swatched` names the yarns in which it was swatched.
#[must_use]
pub fn fabric_page(f: &Fabric, asks: &Asks, swatched: &[String]) -> String {
    let mut t = f.name.clone();
    if !f.also.is_empty() {
        let _ = write!(t, ", also {}", f.also.join(", "));
    }
    let _ = writeln!(t, "\n  {}\n", f.cloth);
    let _ = writeln!(t, "Needles: {}.", stands(f.layout.stands(), Language::English));
    t.push_str(&needles(f));
    let _ = writeln!(t, "Width: {}; ends {}.", widths(f), ends(f));
    let _ = writeln!(t, "Cast-on: {}.", cast_on(f));
    let _ = writeln!(t, "\nPasses in turn{}:", if f.repeat.len() == 1 { "" } else { ", the first at the top" });
    let mut at = 0;
    for alike in f.repeat.chunk_by(|a, b| a == b) {
        let (first, last) = (at + 1, at + alike.len());
        let rows = if first == last { first.to_string() } else { format!("{first} to {last}") };
        let _ = writeln!(t, "  {rows:>7}  {}", pass(&alike[0], f));
        at = last;
    }
    let _ = writeln!(t, "\nShaping: {}.", shaping(f));
    let habit = match f.habit_thirds {
        0 => "as plain".to_string(),
        n => format!(
            "about {} {} than plain",
            dial(n.unsigned_abs()).replace("0⅓", "⅓").replace("0⅔", "⅔"),
            if n < 0 { "tighter" } else { "looser" }
        ),
    };
    let _ = writeln!(t, "Stitch size: {habit}. A habit, not a rule; your swatch decides.");
    let _ = writeln!(t, "\nWhat it asks: {}.", asked(asks));
    t.push_str(&faces(f));
    if f.public_near {
        let _ = writeln!(t, "Public side: the one that faces you.");
    }
    if swatched.is_empty() {
        t.push_str("\nNo swatch of it is in the book: knit one before you design with it.\n");
    } else {
        let _ = writeln!(t, "\nSwatched in {}.", swatched.join(", "));
    }
    t
}

/// Both beds drawn over a repeat or two.
fn needles(f: &Fabric) -> String {
    let across = shown(f);
    let half = usize::from(f.layout.pitch() == Pitch::Half);
    let row = |bed: Bed| -> String {
        let mark = |p: i16| if f.layout.in_work(bed, p) { "x " } else { ". " };
        (0..across).map(mark).collect()
    };
    let mut t = String::new();
    if f.layout.two_beds() {
        let _ = writeln!(t, "  ribber    {}{}", " ".repeat(half), row(Bed::Ribber).trim_end());
    }
    let _ = writeln!(t, "  main bed  {}", row(Bed::Main).trim_end());
    t
}

/// Places drawn: whole repeats, and enough of them.
fn shown(f: &Fabric) -> i16 {
    let period = i16::try_from(f.period()).unwrap_or(COLUMNS);
    let times = (COLUMNS + period - 1) / period;
    (period * times).min(64)
}

fn widths(f: &Fabric) -> String {
    match (f.layout.repeat(), f.layout.plus()) {
        (1, _) => format!("any number of places from {}", f.layout.fewest()),
        (every, 0) => format!("a multiple of {every} places"),
        (every, plus) => format!("a multiple of {every} places and {plus} more"),
    }
}

fn ends(f: &Fabric) -> String {
    let word = |e: &Ends| match e {
        Ends::BothMain => "both on the main bed",
        Ends::MainRibber => "left on the main bed, right on the ribber",
    };
    f.ends.iter().map(word).collect::<Vec<_>>().join(", or ")
}

fn racked(r: Racking) -> String {
    match r.0 {
        0 => "not racked".to_string(),
        n => format!("racked {} to the {}", n.unsigned_abs(), if n < 0 { "left" } else { "right" }),
    }
}

fn cast_on(f: &Fabric) -> String {
    match f.layout.begun() {
        Begun::MainBed if f.layout.two_beds() => {
            "on the main bed; then the ribber's needles come in, empty".to_string()
        }
        Begun::MainBed => "on the main bed".to_string(),
        Begun::BothBeds { pitch, racking, over } => {
            let more =
                if over == f.layout.cells() { "" } else { "; loops of needles that do not stay go to a neighbour" };
            format!("both beds in one row, at {pitch}, {}{more}", racked(racking))
        }
    }
}

fn verb(s: Setting) -> &'static str {
    match s {
        Setting::Knit => "knits",
        Setting::Tuck => "tucks",
        Setting::Slip => "slips",
    }
}

fn marks(cells: Cells) -> String {
    (0..i16::try_from(cells.period()).unwrap_or(1)).map(|p| if cells.has(p) { 'x' } else { '.' }).collect()
}

fn pass(turn: &Turn, f: &Fabric) -> String {
    let mut parts = Vec::new();
    if let Some(r) = turn.racking {
        parts.push(format!("ribber {}", racked(r)));
    }
    let word = |bed: Bed| if bed == Bed::Main { "main bed" } else { "ribber" };
    for hand in &turn.hands {
        parts.push(match hand {
            Hand::LetOff { bed, cells } => format!("let off {} of the {}", marks(*cells), word(*bed)),
            Hand::Eyelet { bed, cells, by } => format!(
                "move {} of the {} one to the {}, for holes",
                marks(*cells),
                word(*bed),
                if *by < 0 { "left" } else { "right" }
            ),
            Hand::Cross { bed, cells, group, right_over } => format!(
                "cross {group} with {group} from {} of the {}, the {} ones on top",
                marks(*cells),
                word(*bed),
                if *right_over { "right" } else { "left" }
            ),
        });
    }
    let beds = if f.layout.two_beds() { &Bed::BOTH[..] } else { &Bed::BOTH[..1] };
    for bed in beds {
        let forward = turn.forward[bed.index()];
        let rest = if forward.none() { String::new() } else { format!(", {} forward", marks(forward)) };
        parts.push(format!("{} {}{rest}", word(*bed), verb(turn.course.of(*bed))));
    }
    match turn.course.going {
        Some(side) => format!("{}; going {side}", parts.join("; ")),
        None => parts.join("; "),
    }
}

fn shaping(f: &Fabric) -> String {
    let list = |of: &[u32]| of.iter().map(u32::to_string).collect::<Vec<_>>().join(" or ");
    let rows = match f.row_multiple() {
        1 => "after any row".to_string(),
        n => format!("after whole repeats of {n} rows"),
    };
    match (f.narrow.as_slice(), f.widen.as_slice()) {
        ([], []) => format!("none. {}", f.unshaped.as_deref().unwrap_or_default().trim_end_matches('.')),
        (narrow, []) => format!("narrowed by {} at an end, {rows}", list(narrow)),
        ([], widen) => format!("widened by {} at an end, {rows}", list(widen)),
        (narrow, widen) => format!("narrowed by {}, widened by {} at an end, {rows}", list(narrow), list(widen)),
    }
}

fn asked(a: &Asks) -> String {
    let halves =
        |n: u32| if n.is_multiple_of(2) { (n / 2).to_string() } else { format!("{}½", n / 2).replace("0½", "½") };
    let many = |n: u32, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    let needles = if a.float <= 2 { "needle" } else { "needles" };
    let mut parts = vec![format!("longest float {} {needles}", halves(a.float))];
    parts.push(if a.tucks == 0 {
        "no tucks".to_string()
    } else {
        format!("at most {} on a needle", many(a.tucks, "tuck"))
    });
    if a.racked > 0 {
        parts.push(format!("the ribber racked over {}", many(a.racked, "needle")));
    }
    if a.hands > 0.0 {
        parts.push(format!("work by hand {:.1} times a row", a.hands));
    } else {
        parts.push("no work by hand between rows".to_string());
    }
    if a.forward > 0.0 {
        parts.push(format!("{:.0} needles in 100 brought forward for each row", a.forward));
    }
    parts.join(", ")
}

/// The two faces, first row lowest: a loop of the main bed has its smooth side away from the knitter.
fn faces(f: &Fabric) -> String {
    let across = shown(f);
    let mut columns: Vec<Needle> = Bed::BOTH
        .into_iter()
        .flat_map(|bed| (0..across).filter(move |p| f.layout.in_work(bed, *p)).map(move |p| (bed, p)))
        .map(|(bed, p)| Needle { bed, slot: Slot(p) })
        .collect();
    columns.sort_by_key(|n| Place::of(*n, f.layout.pitch(), Racking(0)));
    let rows = f.repeat.len().clamp(2, 24);
    let sign = |turn: &Turn, n: &Needle, smooth: Bed| match turn.does(n.bed, n.slot.0) {
        Setting::Knit if n.bed == smooth => 'v',
        Setting::Knit => '-',
        Setting::Tuck => 'u',
        Setting::Slip => ' ',
    };
    let mut t = String::from("\nFaces, first row at the bottom (v smooth, - bump, u tuck, blank slipped):\n");
    let width = columns.len();
    let (far, near) = ("away from you", "towards you");
    let _ = writeln!(t, "       {far:<w$}   {near}", w = width.max(13));
    for i in (0..rows).rev() {
        let turn = f.turn(Side::Right, u32::try_from(i).unwrap_or(0));
        let far: String = columns.iter().map(|n| sign(turn, n, Bed::Main)).collect();
        let near: String = columns.iter().rev().map(|n| sign(turn, n, Bed::Ribber)).collect();
        let _ = writeln!(t, "  {:>3}  {far:<w$}   {near}", i + 1, w = width.max(13));
    }
    t
}
