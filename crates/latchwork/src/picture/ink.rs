//! SVG text, written a mark at a time.

use std::fmt::Write;

use super::Picture;
use crate::text::isolated;

/// A sheet where 1 unit is 1 point.
pub(super) struct Ink {
    body: String,
}

/// Alignment of a line of text to its point.
#[derive(Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
}

impl Ink {
    pub(super) fn new() -> Ink {
        Ink { body: String::new() }
    }

    pub(super) fn raw(&mut self, svg: &str) {
        self.body.push_str(svg);
    }

    pub(super) fn line(&mut self, width: f64, points: &[(f64, f64)]) {
        self.path(width, "", points, false);
    }

    pub(super) fn dashed(&mut self, width: f64, points: &[(f64, f64)]) {
        self.path(width, " stroke-dasharray=\"4 3\"", points, false);
    }

    /// A closed outline filled with a pattern or colour.
    pub(super) fn filled(&mut self, fill: &str, width: f64, points: &[(f64, f64)]) {
        let d = path(points);
        let _ = write!(self.body, "<path d=\"{d}Z\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"{width:.2}\"/>");
    }

    /// A small circle on white.
    pub(super) fn ring(&mut self, x: f64, y: f64, radius: f64) {
        let _ = write!(
            self.body,
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{radius:.1}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.9\"/>"
        );
    }

    fn path(&mut self, width: f64, more: &str, points: &[(f64, f64)], closed: bool) {
        let d = path(points);
        let end = if closed { "Z" } else { "" };
        let _ = write!(
            self.body,
            "<path d=\"{d}{end}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{width:.2}\" stroke-linejoin=\"round\"{more}/>"
        );
    }

    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, italic: bool, text: &str) {
        self.turned(x, y, size, anchor, italic, 0.0, text);
    }

    #[allow(clippy::too_many_arguments, reason = "a mark has this many sides")]
    pub(super) fn turned(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, italic: bool, turn: f64, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
        };
        let style = if italic { " font-style=\"italic\"" } else { "" };
        let turn = if turn == 0.0 { String::new() } else { format!(" transform=\"rotate({turn:.0} {x:.2} {y:.2})\"") };
        let text = isolated(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let words = format!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-family=\"Libertinus Serif\" font-size=\"{size:.1}\" text-anchor=\"{anchor}\"{style}{turn}"
        );
        // The whole halo first: drawn letter by letter, each would cut into the one before.
        let _ = write!(
            self.body,
            "{words} aria-hidden=\"true\" fill=\"none\" stroke=\"#fff\" stroke-width=\"3\" stroke-linejoin=\"round\">{text}</text>{words}>{text}</text>"
        );
    }

    /// A dimension line, horizontal or vertical, between two points, with small ticks at its ends.
    pub(super) fn span(&mut self, a: (f64, f64), b: (f64, f64)) {
        let upright = (a.0 - b.0).abs() < 0.01;
        let (dx, dy) = if upright { (2.5, 0.0) } else { (0.0, 2.5) };
        self.line(0.6, &[a, b]);
        for p in [a, b] {
            self.line(0.6, &[(p.0 - dx, p.1 - dy), (p.0 + dx, p.1 + dy)]);
        }
    }

    pub(super) fn finish(self, width: f64, height: f64, alt: String) -> Picture {
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.1}\" height=\"{height:.1}\" viewBox=\"0 0 {width:.1} {height:.1}\">{}</svg>",
            self.body
        );
        Picture { svg, alt, width, height }
    }
}

fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{x:.2} {y:.2}", if i == 0 { "M" } else { "L" });
    }
    d
}
