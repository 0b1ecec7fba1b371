//! The back page: the fit sheet, the sizes against surveyed bodies, and the sewing map.

use super::Grid;
use super::sheet::{Sheet, bracketed, percent};
use crate::fit::{FitLine, SewingMap, What};
use crate::picture::{Picture, fit_plot, notch_lines, sewing_map};
use crate::units::{Mm, Show};
use crate::wording::{fit_line, say};

impl Sheet<'_> {
    /// The sewing map of the middle size, and which edges meet in every size.
    pub(super) fn sewing(&self) -> Option<(Picture, Vec<String>)> {
        let middle = self.sizes.get(self.sizes.len() / 2).filter(|s| !s.sewing.seams.is_empty())?;
        let picture = sewing_map(self.design, &middle.stitches, &middle.sewing);
        let maps: Vec<&SewingMap> = self.sizes.iter().map(|s| &s.sewing).collect();
        Some((picture, notch_lines(self.design, &maps, &bracketed)))
    }

    /// Every round of every size: body, target, result and its range, ease, stretch when worn, and whom it fits.
    pub(super) fn fit_grid(&self) -> Grid {
        let t = self.design.show.language;
        let show = self.design.show;
        let unit = show.unit();
        let lines = self.fit_lines();
        let surveyed = self.sizes.iter().flat_map(|s| &s.sheet).any(|l| !l.shares.is_empty());
        let mut head = vec![
            say!(t, "Size"),
            say!(t, "measure"),
            say!(t, "body, {unit}", unit),
            say!(t, "target, {unit}", unit),
            say!(t, "comes out, {unit}", unit),
            say!(t, "ease"),
            say!(t, "stretched when worn"),
        ];
        if surveyed {
            head.extend([say!(t, "fits, women"), say!(t, "fits, men")]);
        }
        let mut rows = Vec::new();
        for s in &self.sizes {
            for i in &lines {
                let l = &s.sheet[*i];
                let mut row = vec![
                    self.design.sizes[s.size].name.clone(),
                    fit_line(l, self.design, t),
                    l.body.as_ref().map_or("–".to_string(), |b| show.number(b.1)),
                    if matches!(l.what, What::Opening(_)) { "–".to_string() } else { show.number(l.wished) },
                    format!("{} ± {}", show.number(l.achieved), show.number(Mm(l.range.0))),
                    ease(l, self.design.show),
                    l.stretch_worn.or(l.opens()).map_or("–".to_string(), |w| {
                        say!(t, "{needed:.0}% of {allowed:.0}%", needed = w.needed * 100.0, allowed = w.allowed * 100.0)
                    }),
                ];
                if surveyed {
                    row.extend((0..2).map(|k| {
                        l.shares.get(k).map_or("–".to_string(), |s| match s.of_size {
                            Some(v) => format!("{:.0}% / {:.0}%", v * 100.0, s.of_all * 100.0),
                            None => format!("– / {:.0}%", s.of_all * 100.0),
                        })
                    }));
                }
                rows.push(row);
            }
        }
        Grid { head, rows, ..Grid::default() }
    }

    /// Lines of the sheet that go round the body; lines alike in every size appear once.
    fn fit_lines(&self) -> Vec<usize> {
        let Some(first) = self.sizes.first() else { return Vec::new() };
        let mut kept: Vec<usize> = Vec::new();
        for (i, l) in first.sheet.iter().enumerate() {
            if l.what == What::Length || l.ease().is_none() {
                continue;
            }
            let alike = |j: &usize| {
                self.sizes.iter().all(|s| {
                    let (a, b) = (&s.sheet[*j], &s.sheet[i]);
                    a.piece == b.piece && a.achieved == b.achieved && a.body == b.body && a.range == b.range
                })
            };
            if !kept.iter().any(alike) {
                kept.push(i);
            }
        }
        kept
    }

    pub(super) fn about_fit(&self) -> String {
        let t = self.design.show.language;
        let lines = || self.sizes.iter().flat_map(|s| &s.sheet);
        let mut text = say!(
            t,
            "± is the range to expect: 95 of 100 pieces fall within it. Stretched when worn: what the body needs, of what the \
             fabric allows"
        );
        text.push_str(&if lines().any(|l| l.stretch_worn.is_some_and(|s| !s.measured)) {
            say!(
                t,
                ". Where no swatch of this stitch size was stretched, the figure is from another stitch size, or a usual one: common practice, no source."
            )
        } else {
            say!(t, ", measured on a swatch.")
        });
        if lines().any(|l| !l.shares.is_empty()) {
            text.push_str(&say!(
                t,
                " The last columns are from a survey of women and men (ANSUR II, US Army 2012): the share who can wear the size, no tighter \
                 than the fabric allows and no looser than intended. The first figure is of those who would take this size by this \
                 measure, a dash if there are hardly any. The second is of everyone. Each measure stands alone: the survey's \
                 percentiles do not show how they go together."
            ));
        }
        text
    }

    pub(super) fn fit_plot(&self) -> Option<Picture> {
        let sheets: Vec<(usize, &[FitLine])> = self.sizes.iter().map(|s| (s.size, s.sheet.as_slice())).collect();
        fit_plot(self.design, &sheets)
    }
}

fn ease(l: &FitLine, show: Show) -> String {
    match (l.ease(), l.ease_percent()) {
        (Some(e), Some(p)) => {
            let plus = if p.round() > 0.0 { "+" } else { "" };
            format!("{}, {plus}{}", show.ease(e).replace('-', "−"), percent(p))
        }
        _ => "–".to_string(),
    }
}
