//! Pieces to one scale, with the measures of every size.

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::design::{Design, Ending, Piece, Stretch};
use crate::fabric::Fabric;
use crate::stitches::{PieceStitches, Stitches};
use crate::units::{Mm, Show};
use crate::wording::say;

/// The drawing area, in points.
const WIDTH: f64 = 272.0;
const ROOM: f64 = 180.0;
const TALLEST: f64 = 190.0;

/// Draws the pieces of the middle size, each labelled with the measures of all sizes.
#[must_use]
pub fn schematic(design: &Design, sizes: &[&Stitches]) -> Picture {
    let t = design.show.language;
    let Some(middle) = sizes.get(sizes.len() / 2) else {
        return Ink::new().finish(WIDTH, 10.0, String::new());
    };
    let mut ink = Ink::new();
    ink.raw(PATTERNS);
    let lying = |i: usize| {
        let p = &middle.pieces[i];
        p.measured().0 > 4.0 * widest(p)
    };
    let across = |i: usize| if lying(i) { middle.pieces[i].measured().0 } else { widest(&middle.pieces[i]) };
    let up = |i: usize| if lying(i) { widest(&middle.pieces[i]) } else { middle.pieces[i].measured().0 };
    let all = 0..design.pieces.len();
    let widest_piece = all.clone().map(across).fold(1.0, f64::max);
    let total: f64 = all.clone().map(up).sum::<f64>().max(1.0);
    let scale = (ROOM / widest_piece).min(TALLEST / total);
    let mut y = 6.0;
    let mut alt = say!(t, "To scale: ");
    for (i, piece) in design.pieces.iter().enumerate() {
        let of: Vec<&PieceStitches> = sizes.iter().map(|s| &s.pieces[i]).collect();
        let drawn = Drawn { piece, middle: &middle.pieces[i], sizes: &of, scale, show: design.show };
        y = if lying(i) {
            drawn.lying(&mut ink, y)
        } else if across(i) * scale < 110.0 {
            drawn.narrow(&mut ink, y)
        } else {
            drawn.wide(&mut ink, y)
        };
        if let Some(unknown) = drawn.unknown() {
            ink.text(8.0, y + 6.0, 9.0, Anchor::Start, true, &unknown);
            y += 14.0;
        }
        alt.push_str(&drawn.words());
    }
    ink.finish(WIDTH, y, alt)
}

/// The outline drawing area, in points.
const BOARD: (f64, f64) = (240.0, 168.0);

/// Pieces lower than this share of the tallest, as bands are, are left out of a drawing of outlines.
const LOW: f64 = 0.15;

/// Draws the pieces of a size side by side at one scale, bands left out, without a word: to be chosen by.
#[must_use]
pub fn outlines(design: &Design, stitches: &Stitches) -> Picture {
    const APART: f64 = 10.0;
    let tall = stitches.pieces.iter().map(|p| p.measured().0).fold(1.0, f64::max);
    let pieces = || design.pieces.iter().zip(&stitches.pieces).filter(|(_, p)| p.measured().0 >= LOW * tall);
    let wide: f64 = pieces().map(|(_, p)| widest(p)).sum::<f64>().max(1.0);
    let room = BOARD.0 - APART * (pieces().count() as f64 + 1.0);
    let scale = (room.max(60.0) / wide).min((BOARD.1 - 2.0 * APART) / tall);
    let mut ink = Ink::new();
    ink.raw(PATTERNS);
    let mut x = APART;
    for (piece, middle) in pieces() {
        let drawn = Drawn { piece, middle, sizes: &[middle], scale, show: design.show };
        let half = 0.5 * widest(middle) * scale;
        drawn.body(&mut ink, |(px, py)| (x + half + px, BOARD.1 - APART + py));
        x += 2.0 * half + APART;
    }
    ink.finish(x.max(BOARD.0), BOARD.1, String::new())
}

fn widest(p: &PieceStitches) -> f64 {
    p.stretches.iter().flat_map(|s| [s.width.0.0, s.width.1.0]).fold(1.0, f64::max)
}

struct Drawn<'a> {
    piece: &'a Piece,
    middle: &'a PieceStitches,
    sizes: &'a [&'a PieceStitches],
    scale: f64,
    show: Show,
}

impl Drawn<'_> {
    /// Figures of all sizes in brackets; a single figure if all are equal.
    fn figures(&self, of: impl Fn(&PieceStitches) -> Mm) -> String {
        let all: Vec<String> = self.sizes.iter().map(|p| self.show.number(of(p))).collect();
        match all.split_first() {
            Some((first, rest)) if rest.iter().all(|v| v == first) => format!("{first} {}", self.show.unit()),
            Some((first, rest)) => format!("{first} ({}) {}", rest.join(", "), self.show.unit()),
            None => String::new(),
        }
    }

    /// The range over all sizes, where brackets would not fit.
    fn range(&self, of: impl Fn(&PieceStitches) -> Mm) -> String {
        let t = self.show.language;
        let all: Vec<f64> = self.sizes.iter().map(|p| of(p).0).collect();
        let (least, most) =
            (all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(0.0, f64::max));
        let (a, b) = (self.show.number(Mm(least)), self.show.number(Mm(most)));
        if a == b {
            format!("{a} {}", self.show.unit())
        } else {
            say!(t, "{a} to {b} {unit}", a, b, unit = self.show.unit())
        }
    }

    /// The outline of stretch `i` about the line x = 0, from `base` up: its left edge, then its right one downwards.
    fn corners(&self, i: usize, base: f64) -> Vec<(f64, f64)> {
        let contour = self.middle.stretches[i].contour();
        let middle = self.middle.middles()[i].0;
        contour.iter().map(|(across, up)| ((across.0 + middle) * self.scale, base - up.0 * self.scale)).collect()
    }

    fn make(&self) -> String {
        let t = self.show.language;
        match self.piece.make {
            crate::design::Make::Alike(1) => self.piece.name.clone(),
            crate::design::Make::Alike(n) => say!(t, "{name}, make {n}", name = self.piece.name, n),
            crate::design::Make::Pair => say!(t, "{name}, one left and one right", name = self.piece.name),
        }
    }

    fn body(&self, ink: &mut Ink, place: impl Fn((f64, f64)) -> (f64, f64)) {
        let mut base = 0.0;
        for (i, s) in self.piece.stretches.iter().enumerate() {
            let corners = self.corners(i, base);
            ink.filled(pattern(&s.fabric), 1.0, &corners.iter().map(|c| place(*c)).collect::<Vec<_>>());
            if i == 0 {
                ink.line(2.2, &[place(corners[0]), place(corners[corners.len() - 1])]);
            }
            base -= self.middle.stretches[i].length.0 * self.scale;
        }
    }

    fn height(&self) -> f64 {
        self.middle.measured().0 * self.scale
    }

    fn wide(&self, ink: &mut Ink, y: f64) -> f64 {
        let gathered = self.piece.ending == Ending::Gather;
        let crown = if gathered { 24.0 } else { 0.0 };
        let x = 8.0 + ROOM / 2.0;
        let top = y + 26.0 + crown;
        let bottom = top + self.height();
        let last = self.middle.stretches.len() - 1;
        let half = |i: usize| self.middle.stretches[i].width.0.0 / 2.0 * self.scale;
        self.body(ink, |(px, py)| (x + px, bottom + py));
        let upper = half(last);
        ink.text(x, y + 8.0, 9.0, Anchor::Middle, false, &self.figures(|p| p.stretches[last].width.1));
        ink.span((x - upper, y + 14.0), (x + upper, y + 14.0));
        if gathered {
            let tip = top - crown + 4.0;
            for side in [-1.0, 1.0] {
                ink.dashed(
                    0.7,
                    &[(x + side * upper, top), (x + side * upper * 0.55, top - crown * 0.55), (x + side * 4.0, tip)],
                );
            }
            ink.text(
                x + upper * 0.5 + 8.0,
                tip + 4.0,
                8.0,
                Anchor::Start,
                true,
                &say!(self.show.language, "gathered; adds no height"),
            );
            for k in -5..=5 {
                let at = f64::from(k) / 5.5 * upper;
                ink.line(0.35, &[(x + at, top), (x + at * 0.02, tip + 1.0)]);
            }
        }
        let right = x + self.middle.stretches.iter().map(|s| s.width.0.0).fold(0.0, f64::max) / 2.0 * self.scale + 10.0;
        let mut base = bottom;
        for (i, s) in self.piece.stretches.iter().enumerate() {
            let h = self.middle.stretches[i].length.0 * self.scale;
            ink.span((right, base), (right, base - h));
            let mid = base - h / 2.0;
            let mut lines = in_lines(&self.figures(|p| p.stretches[i].length));
            let mut leading = 10.5;
            if leading * lines.len() as f64 > h + 4.0 {
                lines = vec![self.range(|p| p.stretches[i].length)];
                leading = 0.0;
            }
            let mut at = mid + 3.0 - leading * (lines.len() - 1) as f64 / 2.0;
            for line in &lines {
                ink.text(right + 6.0, at, 9.0, Anchor::Start, false, line);
                at += leading;
            }
            if s.neck.is_some() {
                let neck = self.figures(|p| p.stretches[i].parts.as_ref().map_or(Mm(0.0), |p| p.wide));
                ink.text(x, base - h + 9.0, 9.0, Anchor::Middle, false, &neck);
                ink.text(right + 6.0, at, 9.0, Anchor::Start, true, &s.name);
            } else if h >= 12.0 {
                let label = if s.name == s.fabric.name && s.panels.is_empty() {
                    s.name.clone()
                } else {
                    format!("{}, {}", s.name, s.fabric_names().join(", "))
                };
                ink.text(x, mid + 3.0, 9.0, Anchor::Middle, true, &label);
            }
            base -= h;
        }
        ink.span((x - half(0), bottom + 9.0), (x + half(0), bottom + 9.0));
        ink.text(x, bottom + 22.0, 9.0, Anchor::Middle, false, &self.figures(|p| p.stretches[0].width.0));
        bottom + 34.0
    }

    /// Draws a narrow piece, its figures beside it.
    fn narrow(&self, ink: &mut Ink, y: f64) -> f64 {
        let half = widest(self.middle) / 2.0 * self.scale;
        let lines = self.lines();
        let needed = 12.0 * f64::from(u32::try_from(lines.len()).unwrap_or(0)) + 4.0;
        let bottom = y + self.height().max(needed) + 4.0;
        let x = 8.0 + half + 6.0;
        self.body(ink, |(px, py)| (x + px, bottom - 4.0 + py));
        let text_x = x + half + 14.0;
        let mut at = bottom - needed + 4.0;
        for (italic, line) in lines {
            ink.text(text_x, at, 9.0, Anchor::Start, italic, &line);
            at += 12.0;
        }
        bottom + 12.0
    }

    /// Draws a long piece on its side, knitted from left to right.
    fn lying(&self, ink: &mut Ink, y: f64) -> f64 {
        let t = self.show.language;
        let half = widest(self.middle) / 2.0 * self.scale;
        let x = 10.0;
        let middle = y + 22.0 + half;
        self.body(ink, |(px, py)| (x - py, middle + px));
        let end = x + self.height();
        let long = if self.middle.unmeasured > 0 { String::new() } else { self.figures(PieceStitches::measured) };
        ink.text((x + end) / 2.0, y + 8.0, 9.0, Anchor::Middle, false, &long);
        ink.span((x, y + 14.0), (end, y + 14.0));
        ink.span((end + 8.0, middle - half), (end + 8.0, middle + half));
        ink.text(end + 14.0, middle + 3.0, 9.0, Anchor::Start, false, &self.range(|p| p.stretches[0].width.0));
        let below = middle + half + 16.0;
        ink.line(0.7, &[(x, below - 3.0), (x + 34.0, below - 3.0), (x + 30.0, below - 5.5)]);
        ink.line(0.7, &[(x + 34.0, below - 3.0), (x + 30.0, below - 0.5)]);
        let fabrics: Vec<&str> = self.piece.stretches.iter().flat_map(Stretch::fabric_names).collect();
        ink.text(
            x + 40.0,
            below,
            9.0,
            Anchor::Start,
            true,
            &say!(t, "knitted this way; {join}", join = fabrics.join(", ")),
        );
        below + 14.0
    }

    fn lines(&self) -> Vec<(bool, String)> {
        let t = self.show.language;
        let mut lines = vec![(true, self.make())];
        for (i, s) in self.piece.stretches.iter().enumerate() {
            let wide = if i == 0 {
                say!(t, "{figures} wide, ", figures = self.figures(|p| p.stretches[i].width.0))
            } else {
                String::new()
            };
            lines.insert(
                1,
                (
                    false,
                    say!(
                        t,
                        "{name}: {wide}{figures} high",
                        name = s.name,
                        wide,
                        figures = self.figures(|p| p.stretches[i].length)
                    ),
                ),
            );
        }
        lines
    }

    /// What is not drawn because no swatch measures it.
    fn unknown(&self) -> Option<String> {
        let t = self.show.language;
        let n = self.middle.unmeasured;
        match n {
            0 => None,
            1 => Some(say!(t, "1 row more is not drawn: its length is not known.")),
            n => Some(say!(t, "{n} rows more are not drawn: their length is not known.", n)),
        }
    }

    fn words(&self) -> String {
        let t = self.show.language;
        let mut text = say!(t, "{make}, from the bottom up: ", make = self.make());
        for (i, s) in self.piece.stretches.iter().enumerate() {
            text.push_str(&say!(
                t,
                "{stretch} in {fabric}, {wide} wide and {high} high; ",
                stretch = s.name,
                fabric = s.fabric_names().join(", "),
                wide = self.figures(|p| p.stretches[i].width.0),
                high = self.figures(|p| p.stretches[i].length)
            ));
        }
        text.push_str(&self.unknown().unwrap_or_default());
        text
    }
}

/// Figures of several sizes in lines that fit beside a piece.
fn in_lines(figures: &str) -> Vec<String> {
    const SIGNS: usize = 14;
    let mut lines: Vec<String> = Vec::new();
    for word in figures.split(' ') {
        match lines.last_mut().filter(|l| l.chars().count() + word.chars().count() < SIGNS) {
            Some(line) => line.push_str(&format!(" {word}")),
            None => lines.push(word.to_string()),
        }
    }
    lines
}

fn pattern(fabric: &Fabric) -> &'static str {
    if !fabric.layout.two_beds() {
        "url(#plain)"
    } else if fabric.tuck_share() > 0.0 {
        "url(#cardigan)"
    } else if fabric.slips() {
        "url(#ridges)"
    } else {
        "url(#rib)"
    }
}

/// Fabrics in grey: columns for ribs, broad chevrons for cardigans, small ones for plain, ridges for Milano and tube.
const PATTERNS: &str = concat!(
    "<defs>",
    "<pattern id=\"rib\" width=\"6\" height=\"4\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"4\" fill=\"#dfe2e3\"/>",
    "<path d=\"M3 0V4\" stroke=\"#f6f6f6\" stroke-width=\"4\"/></pattern>",
    "<pattern id=\"cardigan\" width=\"9\" height=\"7\" patternUnits=\"userSpaceOnUse\"><rect width=\"9\" height=\"7\" fill=\"#dfe2e3\"/>",
    "<path d=\"M4.5 0V7\" stroke=\"#f4f4f4\" stroke-width=\"7\"/>",
    "<path d=\"M1.5 -2L4.5 2.2L7.5 -2M1.5 5L4.5 9.2L7.5 5\" fill=\"none\" stroke=\"#cfd3d5\" stroke-width=\"0.9\"/></pattern>",
    "<pattern id=\"plain\" width=\"5\" height=\"4\" patternUnits=\"userSpaceOnUse\"><rect width=\"5\" height=\"4\" fill=\"#f4f4f4\"/>",
    "<path d=\"M0.4 0.4L2.5 3.4L4.6 0.4\" fill=\"none\" stroke=\"#cfd3d5\" stroke-width=\"0.8\"/></pattern>",
    "<pattern id=\"ridges\" width=\"6\" height=\"5\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"5\" fill=\"#f4f4f4\"/>",
    "<path d=\"M0 1.5H6\" stroke=\"#d3d7d9\" stroke-width=\"1.4\"/></pattern>",
    "</defs>"
);
