//! The sizes against surveyed bodies: whom each size fits, for each measure.

use super::Picture;
use super::ink::{Anchor, Ink};
use crate::design::Design;
use crate::fit::{FitLine, What};
use crate::measure::{Sex, Surveyed, surveyed};
use crate::units::{Show, Units};
use crate::wording::{fit_line, say, sex as sex_words};

const WIDTH: f64 = 470.0;
const LEFT: f64 = 110.0;
const RIGHT: f64 = 456.0;
const ROW: f64 = 12.5;

/// The plot of every round of a surveyed measure; none where there is no such round.
#[must_use]
pub fn fit_plot(design: &Design, sheets: &[(usize, &[FitLine])]) -> Option<Picture> {
    let first = sheets.first()?.1;
    let drawn: Vec<usize> = (0..first.len())
        .filter(|i| {
            let l = &first[*i];
            l.what != What::Length
                && l.fits.is_some()
                && l.body.as_ref().is_some_and(|b| surveyed(&b.0, Sex::Woman).is_some())
        })
        .collect();
    let mut ink = Ink::new();
    let mut y = 4.0;
    let mut alt = String::new();
    let mut done: Vec<Vec<[i64; 2]>> = Vec::new();
    for i in &drawn {
        // Rounds that fit the same bodies in every size are drawn once.
        #[allow(clippy::cast_possible_truncation, reason = "millimetres of a body")]
        let ranges: Vec<[i64; 2]> = sheets
            .iter()
            .filter_map(|(_, s)| s.get(*i)?.fits)
            .map(|(a, b)| [a.0.round() as i64, b.0.round() as i64])
            .collect();
        if done.contains(&ranges) {
            continue;
        }
        done.push(ranges);
        y = panel(&mut ink, design, sheets, *i, y, &mut alt);
    }
    (y > 5.0).then(|| ink.finish(WIDTH, y, alt))
}

fn panel(ink: &mut Ink, design: &Design, sheets: &[(usize, &[FitLine])], i: usize, top: f64, alt: &mut String) -> f64 {
    let t = design.show.language;
    let lines: Vec<(usize, &FitLine)> = sheets.iter().filter_map(|(z, s)| Some((*z, s.get(i)?))).collect();
    let Some((name, _)) = lines.first().and_then(|(_, l)| l.body.clone()) else { return top };
    // Sizes far from every body surveyed, such as children's, are drawn without them.
    let near = |s: &Surveyed| {
        lines.iter().any(|(_, l)| l.body.as_ref().is_some_and(|b| (s.quantiles[0]..=s.quantiles[6]).contains(&b.1.0)))
    };
    let surveys: Vec<_> =
        Sex::BOTH.into_iter().filter_map(|s| Some((s, surveyed(&name, s)?))).filter(|(_, s)| near(s)).collect();
    let ends = lines.iter().filter_map(|(_, l)| l.fits).flat_map(|(a, b)| [a.0, b.0]);
    let all: Vec<f64> = ends.chain(surveys.iter().flat_map(|(_, s)| [s.quantiles[1], s.quantiles[5]])).collect();
    let (low, high) = (all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(0.0, f64::max));
    let (low, high) = (low - 0.04 * (high - low), high + 0.04 * (high - low));
    let x = |mm: f64| LEFT + (mm - low) / (high - low).max(1.0) * (RIGHT - LEFT);
    let show = design.show;
    let title = say!(
        t,
        "{replace}, {unit}: who can wear the {name}",
        replace = name.replace('-', " "),
        unit = show.unit(),
        name = fit_line(lines[0].1, design, t)
    );
    ink.text(4.0, top + 10.0, 10.0, Anchor::Start, false, &title);
    alt.push_str(&format!("{title}. "));
    let mut y = top + 24.0;
    for (sex, s) in &surveys {
        let q = &s.quantiles;
        ink.text(4.0, y + 3.0, 9.0, Anchor::Start, true, &say!(t, "{words} surveyed", words = sex_words(*sex, t)));
        ink.line(0.8, &[(x(q[1]), y), (x(q[5]), y)]);
        ink.filled("#cfd3d5", 0.8, &[(x(q[2]), y - 3.0), (x(q[4]), y - 3.0), (x(q[4]), y + 3.0), (x(q[2]), y + 3.0)]);
        ink.line(1.8, &[(x(q[3]), y - 4.5), (x(q[3]), y + 4.5)]);
        y += ROW;
    }
    for (z, l) in &lines {
        let Some((a, b)) = l.fits else { continue };
        let size = &design.sizes[*z];
        ink.text(4.0, y + 3.0, 9.0, Anchor::Start, false, &say!(t, "size {name}", name = size.name));
        ink.line(3.2, &[(x(a.0), y), (x(b.0), y)]);
        if let Some((_, body)) = &l.body {
            ink.ring(x(body.0), y, 3.4);
        }
        let share = l
            .shares
            .iter()
            .map(|s| say!(t, "{of_all:.0}% of {words}", of_all = s.of_all * 100.0, words = sex_words(s.sex, t)))
            .collect::<Vec<_>>()
            .join(", ");
        alt.push_str(&say!(
            t,
            "Size {name}: {least} to {most}, {share}. ",
            name = size.name,
            least = show.number(a),
            most = show.number(b),
            share
        ));
        y += ROW;
    }
    axis(ink, show, low, high, y, &x);
    y + 26.0
}

/// A scale with figures at round values.
fn axis(ink: &mut Ink, show: Show, low: f64, high: f64, y: f64, x: &dyn Fn(f64) -> f64) {
    let unit = if show.units == Units::Metric { 10.0 } else { crate::units::INCH };
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .map(|s| s * if show.units == Units::Metric { unit } else { unit / 2.0 })
        .find(|s| (high - low) / s <= 9.0)
        .unwrap_or(1000.0);
    ink.line(0.5, &[(LEFT, y - 4.0), (RIGHT, y - 4.0)]);
    let mut at = (low / step).ceil() * step;
    while at <= high {
        ink.line(0.5, &[(x(at), y - 6.0), (x(at), y - 2.0)]);
        let text = format!("{:.1}", at / unit);
        ink.text(x(at), y + 8.0, 8.5, Anchor::Middle, false, text.trim_end_matches(".0"));
        at += step;
    }
}
