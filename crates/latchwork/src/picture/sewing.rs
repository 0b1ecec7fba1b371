//! The sewing map: pieces laid flat, public side up, with the seams numbered in sewing order and the marks that meet.

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::design::{Design, Edge, EdgeKind, Ending};
use crate::fit::{SewingMap, Sewn, part_and_whole};
use crate::stitches::{PieceStitches, Stitches};
use crate::units::{Language, Mm, Show};
use crate::wording::say;

const WIDTH: f64 = 470.0;
const TALLEST: f64 = 210.0;
const GAP: f64 = 46.0;
const SIDE: f64 = 30.0;

/// Draws the sewing map of one size.
#[must_use]
pub fn sewing_map(design: &Design, stitches: &Stitches, map: &SewingMap) -> Picture {
    let t = design.show.language;
    let mut ink = Ink::new();
    let across: f64 = stitches.pieces.iter().map(widest).sum();
    let tallest = stitches.pieces.iter().map(|p| p.measured().0).fold(1.0, f64::max);
    let gaps = GAP * stitches.pieces.len().saturating_sub(1) as f64;
    let scale = ((WIDTH - 2.0 * SIDE - gaps) / across.max(1.0)).max(0.02).min(TALLEST / tallest);
    let bottom = 30.0 + tallest * scale;
    let mut x = SIDE;
    let mut places = Vec::new();
    for (piece, worked) in design.pieces.iter().zip(&stitches.pieces) {
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
        places.push(placed);
        x += 2.0 * half + GAP;
    }
    for sewn in &map.seams {
        let seam = &design.seams[sewn.seam];
        for (k, e) in seam.edges.iter().enumerate() {
            let Some(placed) = places.get(e.piece) else { continue };
            // Of a longer row only the parts are sewn that the other edge covers.
            let (part, whole) = part_and_whole(design, seam, &seam.edges[1 - k], e, stitches);
            let covered = if e.middles.is_empty() { 1.0 } else { part / whole.max(1.0) };
            placed.seam(&mut ink, e, sewn, (k, covered));
        }
    }
    ink.finish(WIDTH, bottom + 36.0, words(design, map))
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
        for w in &self.worked.stretches {
            let at = |(across, up): &(Mm, Mm)| (self.x + across.0 * self.scale, y - up.0 * self.scale);
            let contour = w.contour();
            let own = w.outline().len();
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
        let half = |i: usize, within: f64| w[i].width_at(within) * self.scale / 2.0;
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
            EdgeKind::Left | EdgeKind::Right => {
                let side = if e.kind == EdgeKind::Left { -self.turned } else { self.turned };
                let total: f64 = e.stretches.iter().map(|i| w[*i].edge(e.kind).0).sum();
                let mut left = total * share;
                let mut found = (self.x, self.bottom);
                for i in &e.stretches {
                    let length = w[*i].edge(e.kind).0;
                    let base: f64 = w[..*i].iter().map(|s| s.length.0).sum();
                    let within = (left / length.max(0.01)).clamp(0.0, 1.0);
                    found =
                        (self.x + side * half(*i, within), self.bottom - (base + w[*i].length.0 * within) * self.scale);
                    if left <= length {
                        break;
                    }
                    left -= length;
                }
                (found, (side, 0.0))
            }
        }
    }

    fn seam(&self, ink: &mut Ink, e: &Edge, sewn: &Sewn, (which, covered): (usize, f64)) {
        // Beside the edge, along all its corners.
        let mut shares = vec![0.0];
        if e.kind.is_side() {
            let mut rows = 0;
            for i in &e.stretches {
                let w = &self.worked.stretches[*i];
                rows += w.edge_rows(e.kind) + u32::from(w.clearing);
                shares.extend([self.share_of_rows(e, rows) - 1e-6, self.share_of_rows(e, rows) + 1e-6]);
            }
            shares.pop();
        } else {
            shares.push(1.0);
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
            ink.text(at.0, at.1 + 3.0, 9.0, Anchor::Middle, false, &(sewn.seam + 1).to_string());
        }
        let count = f64::from(sewn.count[which].max(1));
        for n in &sewn.notches {
            let share = f64::from(n.at[which]) / count;
            let share = if e.kind.is_side() { self.share_of_rows(e, n.at[which]) } else { share };
            let (p, out) = self.at(e, share);
            ink.line(0.9, &[(p.0 - out.0 * 5.0, p.1 - out.1 * 5.0), (p.0 + out.0 * 5.0, p.1 + out.1 * 5.0)]);
            ink.text(p.0 - out.0 * 10.0, p.1 - out.1 * 10.0 + 3.0, 8.0, Anchor::Middle, true, &n.letter.to_string());
        }
    }

    fn share_of_rows(&self, e: &Edge, rows: u32) -> f64 {
        let w = &self.worked.stretches;
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
}

/// Marks that meet and easing, in words: a line for each seam that has either. `figures` joins the figures of all sizes.
#[must_use]
pub fn notch_lines(design: &Design, maps: &[&SewingMap], figures: &dyn Fn(&[String]) -> String) -> Vec<String> {
    let t = design.show.language;
    let Some(first) = maps.first() else { return Vec::new() };
    let mut lines = Vec::new();
    for (k, sewn) in first.seams.iter().enumerate() {
        let seam = &design.seams[sewn.seam];
        let unit = |k: usize| if sewn.side[k] { say!(t, "row") } else { say!(t, "stitch") };
        let each = |of: &dyn Fn(&Sewn) -> String| {
            figures(&maps.iter().filter_map(|m| m.seams.get(k)).map(of).collect::<Vec<_>>())
        };
        let alike = maps.iter().all(|m| m.seams[k].notches.len() == sewn.notches.len());
        let mut text = String::new();
        if alike && !sewn.notches.is_empty() {
            let marks = (0..sewn.notches.len()).map(|n| {
                let (a, b) = (each(&|s| s.notches[n].at[0].to_string()), each(&|s| s.notches[n].at[1].to_string()));
                let letter = sewn.notches[n].letter;
                if a == b && sewn.side[0] == sewn.side[1] {
                    say!(t, "{letter}: {unit} {a} on both", letter, unit = unit(0), a)
                } else {
                    say!(t, "{letter}: {here} {a} meets {there} {b}", letter, here = unit(0), a, there = unit(1), b)
                }
            });
            text.push_str(&say!(t, " from its beginning, {marks}.", marks = marks.collect::<Vec<_>>().join("; ")));
        } else if !alike {
            text.push_str(&say!(t, " fold both edges in halves and quarters, and let the folds meet."));
        }
        if maps.iter().any(|m| m.seams[k].easing.is_some()) {
            let longer = maps.iter().find_map(|m| m.seams[k].easing).map_or(0, |e| e.longer);
            let count = each(&|s| s.easing.map_or("0".to_string(), |e| e.count.to_string()));
            let rate = each(&|s| s.easing.map_or("0".to_string(), |e| design.show.rate(e.each_cm)));
            let what = if sewn.side[longer] { say!(t, "rows") } else { say!(t, "stitches") };
            let edge = edge_words(design, &seam.edges[longer]);
            let few = maps.iter().filter_map(|m| m.seams[k].easing).all(|e| e.each_cm < 0.1);
            let spread = if few {
                say!(t, "spread evenly")
            } else {
                say!(t, "{rate} in each {rate_over}", rate, rate_over = design.show.rate_over())
            };
            text.push_str(&say!(t, " ease in {count} {what} of {edge}: {spread}.", count, what, edge, spread));
        }
        if !text.is_empty() {
            lines.push(say!(t, "Seam {seam}, {name}:{text}", seam = sewn.seam + 1, name = seam.name, text));
        }
    }
    lines
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
            edge_words = edge_words(design, &seam.edges[0]),
            length = Show::METRIC.length(sewn.length[0]),
            edge_words_2 = edge_words(design, &seam.edges[1]),
            length_2 = Show::METRIC.length(sewn.length[1])
        ));
    }
    text
}

/// An edge in words.
#[must_use]
pub fn edge_words(design: &Design, e: &Edge) -> String {
    let t = design.show.language;
    let piece = &design.pieces[e.piece];
    let edge = match e.kind {
        EdgeKind::Left => say!(t, "left edge"),
        EdgeKind::Right => say!(t, "right edge"),
        EdgeKind::CastOn => say!(t, "cast-on edge"),
        EdgeKind::Ending => say!(t, "last row"),
    };
    let names: Vec<&str> = e.stretches.iter().map(|i| piece.stretches[*i].name.as_str()).collect();
    let along = if names.is_empty() || names.len() == piece.stretches.len() {
        String::new()
    } else {
        say!(t, " along {names}", names = names.join(&say!(t, " and ")))
    };
    say!(t, "the {edge} of the {name}{along}", edge, name = piece.name, along)
}
