//! The sewing map: pieces laid flat, public side up, with the seams numbered in sewing order and the marks that meet.

use super::Picture;
use super::ink::{Anchor, Ink};
use latchwork_machine::needle::Side;

use crate::design::{Design, Edge, EdgeKind, Ending, Seam};
use crate::fact::Counted;
use crate::fit::{Easing, SewingMap, Sewn, Spot, part_and_whole};
use crate::stitches::{PieceStitches, Stitches, edge_run};
use crate::units::{Language, Mm, Show, Units};
use crate::wording::{capital, say};

const WIDTH: f64 = 470.0;
const TALLEST: f64 = 210.0;
const GAP: f64 = 46.0;
const SIDE: f64 = 30.0;
/// Most pieces beside one another.
const BESIDE: usize = 4;

/// Draws the sewing map of one size.
#[must_use]
pub fn sewing_map(design: &Design, stitches: &Stitches, map: &SewingMap) -> Picture {
    let t = design.show.language;
    let mut ink = Ink::new();
    // What is knitted on to other pieces and not sewn is left out; at most four pieces stand beside one another.
    let sewn = |p: usize| design.seams.iter().any(|s| s.edges().any(|e| e.piece == p));
    let shown: Vec<usize> = (0..stitches.pieces.len()).filter(|p| sewn(*p)).collect();
    let in_a_row = shown.len().div_ceil(shown.len().div_ceil(BESIDE).max(1)).max(1);
    let rows: Vec<&[usize]> = shown.chunks(in_a_row).collect();
    let room = |row: &&[usize]| {
        let across: f64 = row.iter().map(|p| widest(&stitches.pieces[*p])).sum();
        (WIDTH - 2.0 * SIDE - GAP * row.len().saturating_sub(1) as f64) / across.max(1.0)
    };
    let tall = |row: &[usize]| row.iter().map(|p| stitches.pieces[*p].measured().0).fold(1.0, f64::max);
    let tallest = rows.iter().map(|r| tall(r)).fold(1.0, f64::max);
    let scale = rows.iter().map(room).fold(f64::INFINITY, f64::min).max(0.02).min(TALLEST / tallest);
    let mut bottom = 0.0;
    let mut places: Vec<(usize, Placed<'_>)> = Vec::new();
    for row in rows {
        let mut x = SIDE;
        bottom += 30.0 + tall(row) * scale;
        for p in row {
            let (piece, worked) = (&design.pieces[*p], &stitches.pieces[*p]);
            let half = widest(worked) * scale / 2.0;
            // The main-bed side hangs away from the knitter: turned public side up, left and right change places.
            let turned = if piece.public.replace('-', " ").contains("main bed") { -1.0 } else { 1.0 };
            let placed = Placed { worked, scale, x: x + half, bottom, turned };
            for (side, name) in [(-1.0, say!(t, "left")), (1.0, say!(t, "right"))] {
                ink.text(placed.x + turned * side * half, bottom + 12.0, 8.0, Anchor::Middle, true, &name);
            }
            placed.outline(&mut ink, piece.ending, t);
            let middle = bottom - worked.measured().0 * scale / 2.0;
            ink.text(placed.x, middle, 9.0, Anchor::Middle, true, &piece.name);
            places.push((*p, placed));
            x += 2.0 * half + GAP;
        }
        bottom += 20.0;
    }
    bottom -= 20.0;
    for sewn in &map.seams {
        let seam = &design.seams[sewn.seam];
        for (k, edges) in seam.sides.iter().enumerate() {
            for (i, e) in edges.iter().enumerate() {
                let Some((_, placed)) = places.iter().find(|(p, _)| *p == e.piece) else { continue };
                // Of a longer row only the parts are sewn that the other edge covers.
                let covered = match seam.one_to_one() {
                    Some(both) if !e.middles.is_empty() => {
                        let (part, whole) = part_and_whole(design, both[1 - k], e, stitches);
                        part / whole.max(1.0)
                    }
                    _ => 1.0,
                };
                placed.seam(&mut ink, e, sewn.seam + 1, covered);
                for n in &sewn.notches {
                    if let Some(share) = share_on(design, edges, stitches, (n.on[k], i)) {
                        // Two last rows, or two first ones, meet with one of them turned round.
                        let share = if k == 1 && seam.head_to_head() { 1.0 - share } else { share };
                        placed.notch(&mut ink, e, n.letter, share);
                    }
                }
            }
        }
    }
    ink.finish(WIDTH, bottom + 36.0, words(design, map))
}

/// The share of edge `i` of a side at which a mark lies, if it lies on it.
fn share_on(design: &Design, edges: &[Edge], stitches: &Stitches, (spot, i): (Spot, usize)) -> Option<f64> {
    let e = &edges[i];
    let run = edge_run(&design.pieces[e.piece], &stitches.pieces[e.piece], e);
    let turned = i > 0 && e.kind.is_side();
    match spot {
        Spot::On(k, n) if k == i => Some(if e.kind.is_side() {
            share_of_rows(&stitches.pieces[e.piece], e, n)
        } else {
            f64::from(n) / f64::from(run.count.max(1))
        }),
        Spot::Between(k) if k == i => Some(if turned { 0.0 } else { 1.0 }),
        Spot::Between(k) if k + 1 == i => Some(if turned { 1.0 } else { 0.0 }),
        Spot::Along(k, length) if k == i => Some(length.0 / run.length.0.max(0.01)),
        Spot::On(..) | Spot::Between(_) | Spot::Along(..) => None,
    }
}

/// The share of a side edge's length up to so many of its rows.
fn share_of_rows(worked: &PieceStitches, e: &Edge, rows: u32) -> f64 {
    let w = &worked.stretches;
    let total: f64 = e.stretches.iter().map(|i| w[*i].edge(e.kind).0).sum();
    let (mut left, mut at) = (rows, 0.0);
    for i in &e.stretches {
        let own = w[*i].edge_rows(e.kind) + u32::from(w[*i].clearing);
        let taken = left.min(own);
        at += w[*i].edge(e.kind).0 * f64::from(taken) / f64::from(own.max(1));
        left -= taken;
    }
    at / total.max(0.01)
}

fn widest(p: &PieceStitches) -> f64 {
    p.stretches.iter().flat_map(|s| [s.width.0.0, s.width.1.0]).fold(1.0, f64::max)
}

struct Placed<'a> {
    worked: &'a PieceStitches,
    scale: f64,
    /// The centre line, and the line of the cast-on.
    x: f64,
    bottom: f64,
    /// -1 where left and right have changed places.
    turned: f64,
}

impl Placed<'_> {
    fn outline(&self, ink: &mut Ink, ending: Ending, t: Language) {
        // The left edges from the bottom up, round a neck at the top, and the right edges down.
        let (mut left, mut right) = (Vec::new(), Vec::new());
        let mut y = self.bottom;
        for (w, middle) in self.worked.stretches.iter().zip(self.worked.middles()) {
            let at = |(across, up): &(Mm, Mm)| {
                (self.x + self.turned * (across.0 + middle.0) * self.scale, y - up.0 * self.scale)
            };
            let contour = w.contour();
            let own = w.line(Side::Right).len();
            left.extend(contour[..contour.len() - own].iter().map(at));
            right.splice(0..0, contour[contour.len() - own..].iter().map(at));
            y -= w.length.0 * self.scale;
        }
        left.extend(right);
        ink.filled("#f4f4f4", 0.9, &left);
        if ending == Ending::Gather {
            ink.text(self.x, y - 5.0, 8.0, Anchor::Middle, true, &say!(t, "gathered"));
        }
    }

    /// The point at a share of an edge, and the outward direction there.
    fn at(&self, e: &Edge, share: f64) -> ((f64, f64), (f64, f64)) {
        let w = &self.worked.stretches;
        let middles = self.worked.middles();
        // Across from the middle of the cast-on, to the right as it hung.
        let out = |i: usize, side: Side, within: f64| {
            let from = w[i].width.0.0 / 2.0 - w[i].edge_at(side, within);
            middles[i].0 + if side == Side::Left { -from } else { from }
        };
        match e.kind {
            EdgeKind::CastOn => {
                let whole = w.first().map_or(0.0, |s| s.width.0.0) * self.scale;
                ((self.x + self.turned * whole * (share - 0.5), self.bottom), (0.0, 1.0))
            }
            EdgeKind::Ending => {
                let whole = w.last().map_or(0.0, |s| s.width.1.0) * self.scale;
                let top = self.bottom - self.worked.measured().0 * self.scale;
                ((self.x + self.turned * whole * (share - 0.5), top), (0.0, -1.0))
            }
            EdgeKind::Shoulder(side) => {
                let (whole, neck) = w.last().map_or((0.0, 0.0), |s| (s.width.1.0, s.neck_width().0));
                let wide = (whole - neck) / 2.0;
                let across = if side == Side::Left { -whole / 2.0 } else { neck / 2.0 } + wide * share;
                let top = self.bottom - self.worked.measured().0 * self.scale;
                ((self.x + self.turned * across * self.scale, top), (0.0, -1.0))
            }
            EdgeKind::Left | EdgeKind::Right => {
                let hung = e.kind.side().unwrap_or(Side::Left);
                let side = if hung == Side::Left { -self.turned } else { self.turned };
                let total: f64 = e.stretches.iter().map(|i| w[*i].edge(e.kind).0).sum();
                let mut left = total * share;
                let mut found = (self.x, self.bottom);
                for i in &e.stretches {
                    let length = w[*i].edge(e.kind).0;
                    let base: f64 = w[..*i].iter().map(|s| s.length.0).sum();
                    let within = (left / length.max(0.01)).clamp(0.0, 1.0);
                    let across = self.turned * out(*i, hung, within) * self.scale;
                    found = (self.x + across, self.bottom - (base + w[*i].length.0 * within) * self.scale);
                    if left <= length {
                        break;
                    }
                    left -= length;
                }
                (found, (side, 0.0))
            }
            EdgeKind::Neck => self.at_neck(share),
            EdgeKind::Slit => self.at_slit(e, share),
        }
    }

    /// The point at a share of the way round a neck.
    fn at_neck(&self, share: f64) -> ((f64, f64), (f64, f64)) {
        let w = &self.worked.stretches;
        let base: f64 = w[..w.len().saturating_sub(1)].iter().map(|s| s.length.0).sum();
        let Some((last, parts)) = w.last().and_then(|s| Some((s, s.parts.as_ref()?))) else {
            return ((self.x, self.bottom), (0.0, -1.0));
        };
        let half = |(up, half): (f64, f64)| (half * parts.wide.0 / 2.0, up * last.length.0);
        let right: Vec<(f64, f64)> = parts.opening(last.rows).into_iter().map(half).collect();
        // From the first shoulder down, along the middle, and up to the other.
        let down = right.iter().rev().map(|(x, y)| (-x, *y));
        let line: Vec<(f64, f64)> = down.chain(right.iter().copied()).collect();
        let apart = |k: usize| (line[k].0 - line[k - 1].0).hypot(line[k].1 - line[k - 1].1);
        let mut left = share * (1..line.len()).map(apart).sum::<f64>();
        let mut found = line[line.len() - 1];
        for k in 1..line.len() {
            if left <= apart(k) {
                let t = left / apart(k).max(1e-9);
                found =
                    (line[k - 1].0 + (line[k].0 - line[k - 1].0) * t, line[k - 1].1 + (line[k].1 - line[k - 1].1) * t);
                break;
            }
            left -= apart(k);
        }
        let at = (self.x + self.turned * found.0 * self.scale, self.bottom - (base + found.1) * self.scale);
        (at, (0.0, -1.0))
    }

    /// The point at a share of the way up one side of a slit and down the other.
    fn at_slit(&self, e: &Edge, share: f64) -> ((f64, f64), (f64, f64)) {
        let w = &self.worked.stretches;
        let Some((i, slit)) = e.stretches.first().and_then(|i| Some((*i, w[*i].slit?))) else {
            return ((self.x, self.bottom), (1.0, 0.0));
        };
        let base: f64 = w[..i].iter().map(|s| s.length.0).sum();
        let across = (f64::from(slit) / f64::from(w[i].needles.max(1)) - 0.5) * w[i].width.0.0;
        let up = if share <= 0.5 { 2.0 * share } else { 2.0 * (1.0 - share) };
        let out = if share <= 0.5 { -self.turned } else { self.turned };
        let at = (self.x + self.turned * across * self.scale, self.bottom - (base + w[i].length.0 * up) * self.scale);
        (at, (out, 0.0))
    }

    fn seam(&self, ink: &mut Ink, e: &Edge, number: usize, covered: f64) {
        // Beside the edge, along all its corners.
        let mut shares = vec![0.0];
        match e.kind {
            EdgeKind::Left | EdgeKind::Right => {
                let mut rows = 0;
                for i in &e.stretches {
                    let w = &self.worked.stretches[*i];
                    rows += w.edge_rows(e.kind) + u32::from(w.clearing);
                    let at = share_of_rows(self.worked, e, rows);
                    shares.extend([at - 1e-6, at + 1e-6]);
                }
                shares.pop();
            }
            EdgeKind::CastOn | EdgeKind::Ending | EdgeKind::Shoulder(_) => shares.push(1.0),
            EdgeKind::Neck | EdgeKind::Slit => shares.extend((1..=24).map(|k| f64::from(k) / 24.0)),
        }
        let beside = |share: f64| {
            let ((x, y), out) = self.at(e, share);
            (x + out.0 * 3.0, y + out.1 * 3.0)
        };
        if covered < 1.0 {
            for m in &e.middles {
                let ends = [m - covered / 2.0, m + covered / 2.0].map(|share| beside(share.clamp(0.0, 1.0)));
                ink.line(1.8, &ends);
            }
        } else {
            ink.line(1.8, &shares.into_iter().map(beside).collect::<Vec<_>>());
        }
        let middles: Vec<f64> = if e.middles.is_empty() { vec![0.5] } else { e.middles.clone() };
        for m in middles {
            let (p, out) = self.at(e, m);
            let at = (p.0 + out.0 * 15.0, p.1 + out.1 * 13.0);
            ink.ring(at.0, at.1, 6.5);
            ink.text(at.0, at.1 + 3.0, 9.0, Anchor::Middle, false, &number.to_string());
        }
    }

    fn notch(&self, ink: &mut Ink, e: &Edge, letter: char, share: f64) {
        let (p, out) = self.at(e, share);
        ink.line(0.9, &[(p.0 - out.0 * 5.0, p.1 - out.1 * 5.0), (p.0 + out.0 * 5.0, p.1 + out.1 * 5.0)]);
        ink.text(p.0 - out.0 * 10.0, p.1 - out.1 * 10.0 + 3.0, 8.0, Anchor::Middle, true, &letter.to_string());
    }
}

/// Marks that meet and easing, in words: a line for each seam that has either. `figures` joins the figures of all sizes.
#[must_use]
pub fn notch_lines(design: &Design, maps: &[&SewingMap], figures: &dyn Fn(&[String]) -> String) -> Vec<String> {
    let t = design.show.language;
    let Some(first) = maps.first() else { return Vec::new() };
    let mut lines = Vec::new();
    for (k, sewn) in first.seams.iter().enumerate() {
        let seam = &design.seams[sewn.seam];
        let each = |of: &dyn Fn(&Sewn) -> String| {
            figures(&maps.iter().filter_map(|m| m.seams.get(k)).map(of).collect::<Vec<_>>())
        };
        let alike = maps.iter().all(|m| m.seams[k].notches.len() == sewn.notches.len());
        let mut text = String::new();
        if alike && !sewn.notches.is_empty() {
            let marks = (0..sewn.notches.len()).map(|n| mark(design, seam, sewn, n, &each)).collect::<Vec<_>>();
            let marks = marks.join("; ");
            text.push_str(&if seam.one_to_one().is_some() {
                say!(t, " from its beginning, {marks}.", marks)
            } else {
                say!(t, " rows counted from the lower end of each sewn edge, {marks}.", marks)
            });
        } else if !alike {
            text.push_str(&say!(t, " fold both edges in halves and quarters, and let the folds meet."));
        }
        if let Some(e) = maps.iter().find_map(|m| m.seams[k].easing) {
            let told = easing(design, (seam, sewn, e), maps.iter().filter_map(|m| m.seams[k].easing), &each);
            // After marks it is a sentence of its own.
            text.push_str(&if text.is_empty() { told } else { format!(" {}", capital(told.trim_start())) });
        }
        if !text.is_empty() {
            lines.push(say!(t, "Seam {seam}, {name}:{text}", seam = sewn.seam + 1, name = seam.name, text));
        }
    }
    lines
}

/// Joins the figures of all sizes.
type Figures<'a> = &'a dyn Fn(&dyn Fn(&Sewn) -> String) -> String;

/// A mark in words. `each` joins the figures of all sizes.
fn mark(design: &Design, seam: &Seam, sewn: &Sewn, n: usize, each: Figures<'_>) -> String {
    let t = design.show.language;
    let letter = sewn.notches[n].letter;
    let unit = |k: usize| match sewn.counted[k] {
        Counted::Rows => Some(say!(t, "row")),
        Counted::Stitches => Some(say!(t, "stitch")),
        Counted::Mixed => None,
    };
    let plain = |k: usize| matches!(sewn.notches[n].on[k], Spot::On(..));
    if let (Some(_), true, true, Some(here), Some(there)) = (seam.one_to_one(), plain(0), plain(1), unit(0), unit(1)) {
        let (a, b) = (each(&|s| s.notches[n].at[0].to_string()), each(&|s| s.notches[n].at[1].to_string()));
        return if a == b && sewn.counted[0] == sewn.counted[1] {
            say!(t, "{letter}: {unit} {a} on both", letter, unit = here, a)
        } else {
            say!(t, "{letter}: {here} {a} meets {there} {b}", letter, here, a, there, b)
        };
    }
    let place = |k: usize| {
        let edges = &seam.sides[k];
        let figure = each(&|s| match s.notches[n].on[k] {
            Spot::On(_, count) => count.to_string(),
            Spot::Along(_, length) => design.show.number(length),
            Spot::Between(_) => String::new(),
        });
        match sewn.notches[n].on[k] {
            Spot::On(i, _) if edges[i].kind.is_side() => {
                let name = name_of(design, &edges[i]);
                if edges[i].as_hung() == EdgeKind::Left {
                    say!(t, "row {figure} of the {name}, left edge,", figure, name)
                } else {
                    say!(t, "row {figure} of the {name}, right edge,", figure, name)
                }
            }
            Spot::On(i, _) => say!(t, "stitch {figure} of {edge}", figure, edge = kind_words(design, &edges[i])),
            Spot::Along(i, _) => say!(
                t,
                "{figure} {unit} along {edge}",
                figure,
                unit = design.show.unit(),
                edge = kind_words(design, &edges[i])
            ),
            Spot::Between(i) => corner(design, edges, i),
        }
    };
    let (here, there) = (place(0), place(1));
    say!(t, "{letter}: {here} meets {there}", letter, here, there = there.trim_end_matches(','))
}

/// Where an edge of a side ends and the next begins, in words.
fn corner(design: &Design, edges: &[Edge], k: usize) -> String {
    let t = design.show.language;
    let (a, b) = (&edges[k], edges.get(k + 1).unwrap_or(&edges[k]));
    let name = |e: &Edge| name_of(design, e);
    let row = |e: &&Edge| e.kind.is_row();
    let side = a.as_hung().side().or(b.as_hung().side());
    match ([a, b].into_iter().find(row), side) {
        (Some(row), Some(Side::Left)) => say!(t, "the left end of {row}", row = kind_words(design, row)),
        (Some(row), Some(Side::Right)) => say!(t, "the right end of {row}", row = kind_words(design, row)),
        _ if a.piece != b.piece => say!(t, "the join of the {a} and the {b}", a = name(a), b = name(b)),
        _ => say!(t, "the end of {edge}", edge = kind_words(design, a)),
    }
}

/// What to ease in, in words; `all`: of every size.
fn easing(
    design: &Design,
    (seam, sewn, first): (&Seam, &Sewn, Easing),
    mut all: impl Iterator<Item = Easing>,
    each: Figures<'_>,
) -> String {
    let t = design.show.language;
    let edge = side_words(design, &seam.sides[first.longer]);
    let count = match sewn.counted[first.longer] {
        Counted::Rows | Counted::Stitches if seam.fullness.is_none() => {
            each(&|s| s.easing.map_or("0".to_string(), |e| e.count.to_string()))
        }
        _ => {
            let extra = each(&|s| design.show.number(s.easing.map_or(Mm(0.0), |e| e.extra)));
            let (unit, middle) = (design.show.unit(), seam.fullness.is_some_and(|f| f.in_middle));
            return if middle {
                say!(t, " ease in {extra} {unit} of {edge}, over the middle half of the seam.", extra, unit, edge)
            } else {
                say!(t, " ease in {extra} {unit} of {edge}: spread evenly.", extra, unit, edge)
            };
        }
    };
    let rate = each(&|s| s.easing.map_or("0".to_string(), |e| design.show.rate(e.each_cm)));
    let what = if sewn.counted[first.longer] == Counted::Rows { say!(t, "rows") } else { say!(t, "stitches") };
    let spread = if all.all(|e| e.each_cm < 0.1) {
        say!(t, "spread evenly")
    } else {
        match design.show.units {
            Units::Metric => say!(t, "{rate} in each centimetre", rate),
            Units::Inches => say!(t, "{rate} in each inch", rate),
        }
    };
    say!(t, " ease in {count} {what} of {edge}: {spread}.", count, what, edge, spread)
}

fn words(design: &Design, map: &SewingMap) -> String {
    let t = design.show.language;
    let mut text = say!(
        t,
        "The pieces laid flat, right side up, edges named as they hung on the machine, seams numbered in sewing order. "
    );
    for sewn in &map.seams {
        let seam = &design.seams[sewn.seam];
        text.push_str(&say!(
            t,
            "{seam}, {name}: {edge_words}, {length}, to {edge_words_2}, {length_2}. ",
            seam = sewn.seam + 1,
            name = seam.name,
            edge_words = side_words(design, &seam.sides[0]),
            length = Show::METRIC.length(sewn.length[0]),
            edge_words_2 = side_words(design, &seam.sides[1]),
            length_2 = Show::METRIC.length(sewn.length[1])
        ));
    }
    text
}

/// The edges of a side in words, in the order in which they are sewn.
#[must_use]
pub fn side_words(design: &Design, edges: &[Edge]) -> String {
    let t = design.show.language;
    // Edges on end that have one name are one.
    let same = |a: &Edge, b: &Edge| a.named.is_some() && a.named == b.named && a.piece == b.piece;
    let all: Vec<String> = edges.chunk_by(same).map(|e| edge_words(design, &e[0])).collect();
    all.into_iter().reduce(|a, b| say!(t, "{a}, then {b}", a, b)).unwrap_or_default()
}

/// An edge in words: by the author's own name for it, if it has one.
#[must_use]
pub fn edge_words(design: &Design, e: &Edge) -> String {
    let t = design.show.language;
    match &e.named {
        Some(edge) => say!(t, "the {edge} of the {name}", edge, name = name_of(design, e)),
        None => kind_words(design, e),
    }
}

/// The piece of an edge; which of a pair, where the design tells them apart.
fn name_of(design: &Design, e: &Edge) -> String {
    let t = design.show.language;
    let own = &design.pieces[e.piece].name;
    let mut all = design.seams.iter().chain(design.joins.iter().map(|j| &j.seam)).flat_map(Seam::edges);
    match all.any(|o| o.piece == e.piece && o.mirrored) {
        false => own.clone(),
        true if e.mirrored => say!(t, "right {own}", own),
        true => say!(t, "left {own}", own),
    }
}

/// An edge in words, by its kind.
fn kind_words(design: &Design, e: &Edge) -> String {
    let t = design.show.language;
    let piece = &design.pieces[e.piece];
    let edge = match e.as_hung() {
        EdgeKind::Left => say!(t, "left edge"),
        EdgeKind::Right => say!(t, "right edge"),
        EdgeKind::CastOn => say!(t, "cast-on edge"),
        EdgeKind::Ending => say!(t, "last row"),
        EdgeKind::Neck => say!(t, "neck"),
        EdgeKind::Slit => say!(t, "slit"),
        EdgeKind::Shoulder(Side::Left) => say!(t, "left shoulder"),
        EdgeKind::Shoulder(Side::Right) => say!(t, "right shoulder"),
    };
    let names: Vec<&str> = e.stretches.iter().map(|i| piece.stretches[*i].name.as_str()).collect();
    let along = if !e.kind.is_side() || names.is_empty() || names.len() == piece.stretches.len() {
        String::new()
    } else {
        say!(t, " along {names}", names = names.join(&say!(t, " and ")))
    };
    say!(t, "the {edge} of the {name}{along}", edge, name = name_of(design, e), along)
}
