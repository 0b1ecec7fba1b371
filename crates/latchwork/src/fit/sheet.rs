//! The fit sheet: body, target and result, how sure it is, how far the fabric must stretch, and whom it fits.

use super::Counted;
use super::Measure;
use crate::design::{Design, EdgeKind, Length, Stretch, Wish};
use crate::draft::Draft;
use crate::measure::{Basis, Sex, surveyed};
use crate::stitches::{Stitches, edge_parts, edge_run};
use crate::units::Mm;

/// One line of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct FitLine {
    /// The piece, by index.
    pub piece: usize,
    /// The stretch, by index.
    pub stretch: usize,
    /// What is measured.
    pub what: What,
    /// The body measure: name and value; none where a length was given directly.
    pub body: Option<(String, Mm)>,
    /// The target.
    pub wished: Mm,
    /// The result.
    pub achieved: Mm,
    /// Half the width of its 95 % range.
    pub range: Mm,
    /// Where the gauge comes from.
    pub basis: Basis,
    /// How far the fabric must stretch when worn, and how far it may; none where it is not worn stretched.
    pub stretch_worn: Option<Stretched>,
    /// The larger measure that it passes over when put on, and how far the fabric must stretch for it.
    pub passes_over: Option<(String, Stretched)>,
    /// The bodies that it fits; none where it goes round no body.
    pub fits: Option<(Mm, Mm)>,
    /// The share of surveyed people whom it fits.
    pub shares: Vec<Share>,
}

/// What a line measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// Round or across, where the stretch begins.
    Start,
    /// Round or across, where its shaping ends.
    End,
    /// Its length.
    Length,
    /// Round an opening of the design, by its index.
    Opening(usize),
}

/// How far a fabric is stretched in width when worn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretched {
    /// What the body needs, as a share.
    pub needed: f64,
    /// What the fabric allows, as a share.
    pub allowed: f64,
    /// Whether the allowed stretch was measured on a swatch.
    pub measured: bool,
}

/// The share of surveyed people whom one measure fits. It holds for that measure alone: the surveys as kept here have no
/// individuals, and a joint share cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The sex surveyed.
    pub sex: Sex,
    /// Of all of them.
    pub of_all: f64,
    /// Of those who take this size by this measure; none where they are fewer than one in a thousand.
    pub of_size: Option<f64>,
}

impl FitLine {
    /// The name of its opening, or of its stretch, with the piece where there are several.
    #[must_use]
    pub fn whose(&self, design: &Design) -> String {
        if let What::Opening(i) = self.what {
            return design.openings[i].name.clone();
        }
        let piece = &design.pieces[self.piece];
        let stretch = &piece.stretches[self.stretch].name;
        if design.pieces.len() > 1 && *stretch != piece.name {
            format!("{} {stretch}", piece.name)
        } else {
            stretch.clone()
        }
    }

    /// How far an opening is stretched when it passes over the body.
    #[must_use]
    pub fn opens(&self) -> Option<Stretched> {
        self.passes_over.as_ref().filter(|_| matches!(self.what, What::Opening(_))).map(|(_, s)| *s)
    }

    /// Ease over the body; none where the stretch is only a share of the body measure.
    #[must_use]
    pub fn ease(&self) -> Option<Mm> {
        let (_, body) = self.body.as_ref()?;
        let ease = self.achieved.0 - body.0;
        (self.what != What::Length && ease > -0.5 * body.0).then_some(Mm(ease))
    }

    /// Ease over the body, in percent.
    #[must_use]
    pub fn ease_percent(&self) -> Option<f64> {
        let (_, body) = self.body.as_ref()?;
        self.ease().map(|e| e.0 / body.0 * 100.0)
    }
}

/// The sheet of one size, by index.
#[must_use]
pub fn sheet(design: &Design, size: usize, draft: &Draft, stitches: &Stitches) -> Vec<FitLine> {
    let mut lines = Vec::new();
    for m in super::measures(design, draft, stitches) {
        lines.push(round(design, size, &m));
    }
    for (p, (piece, worked)) in design.pieces.iter().zip(&stitches.pieces).enumerate() {
        for (i, (s, w)) in piece.stretches.iter().zip(&worked.stretches).enumerate() {
            let Some(wished) = draft.pieces.get(p).and_then(|d| d.stretches.get(i)).and_then(|d| d.length) else {
                continue;
            };
            let body = match &s.length {
                Length::Share { measure, .. } => {
                    design.sizes.get(size).and_then(|z| Some((measure.clone(), z.measure(measure)?)))
                }
                Length::Rows(_) | Length::Of(_) | Length::AsShaped => None,
            };
            lines.push(FitLine {
                piece: p,
                stretch: i,
                what: What::Length,
                body,
                wished,
                achieved: w.length,
                range: Mm(2.0 * s.gauge.pass.spread * w.length.0),
                basis: s.gauge.pass.basis,
                stretch_worn: None,
                passes_over: None,
                fits: None,
                shares: Vec::new(),
            });
        }
    }
    let order = |what: What| match what {
        What::Start => 0,
        What::End => 1,
        What::Length => 2,
        What::Opening(_) => 3,
    };
    lines.sort_by_key(|l| (l.piece, l.stretch, order(l.what)));
    lines.extend((0..design.openings.len()).filter_map(|i| opening(design, size, stitches, i)));
    lines
}

/// Along its wales fabric stretches this share of what it does across: common practice, no source.
pub(crate) const LENGTHWISE: f64 = 0.5;

/// Round an opening, stretched over what passes through it: as far as all its edges together can be.
fn opening(design: &Design, size: usize, stitches: &Stitches, index: usize) -> Option<FitLine> {
    let opening = &design.openings[index];
    let body = design.sizes.get(size)?.measure(&opening.over)?;
    let (mut round, mut longest, mut measured, mut range) = (0.0, 0.0, true, 0.0_f64);
    for e in &opening.edges {
        let (piece, worked) = (&design.pieces[e.piece], stitches.pieces.get(e.piece)?);
        let at = match e.kind {
            EdgeKind::CastOn => piece.stretches.first(),
            _ => e.stretches.last().and_then(|s| piece.stretches.get(*s)).or(piece.stretches.last()),
        }?;
        let (gives, own) = allowed(at);
        for part in edge_parts(piece, worked, e) {
            let along = if part.run.counted == Counted::Rows { LENGTHWISE } else { 1.0 };
            round += part.run.length.0;
            longest += part.run.length.0 * (1.0 + along * gives);
        }
        measured &= own;
        range += 2.0 * at.gauge.needle.spread * edge_run(piece, worked, e).length.0;
    }
    let first = opening.edges.first()?;
    let last = design.pieces[first.piece].stretches.len().saturating_sub(1);
    let basis = design.pieces[first.piece].stretches.get(last)?.gauge.needle.basis;
    let (needed, allowed) = ((body.0 / round - 1.0).max(0.0), longest / round - 1.0);
    Some(FitLine {
        piece: first.piece,
        stretch: last,
        what: What::Opening(index),
        body: Some((opening.over.clone(), body)),
        wished: Mm(round),
        achieved: Mm(round),
        range: Mm(range),
        basis,
        stretch_worn: None,
        passes_over: Some((opening.over.clone(), Stretched { needed, allowed, measured })),
        fits: None,
        shares: Vec::new(),
    })
}

/// How far a stretch of the design may be stretched across, as a share, and whether that was measured on a swatch.
fn allowed(s: &Stretch) -> (f64, bool) {
    s.gauge.stretch.map_or((s.fabric.stretch, false), |f| (f.value, !matches!(f.basis, Basis::Curve(_))))
}

fn round(design: &Design, size: usize, m: &Measure) -> FitLine {
    let s = &design.pieces[m.piece].stretches[m.stretch];
    let (allowed, measured) = allowed(s);
    let mut line = FitLine {
        piece: m.piece,
        stretch: m.stretch,
        what: if m.at_end { What::End } else { What::Start },
        body: m.body.clone(),
        wished: m.wished,
        achieved: m.achieved,
        range: Mm(2.0 * m.spread * m.achieved.0),
        basis: s.gauge.needle.basis,
        stretch_worn: None,
        passes_over: None,
        fits: None,
        shares: Vec::new(),
    };
    if line.ease().is_none() {
        return line;
    }
    let Some((name, body)) = m.body.clone() else { return line };
    let needed = (body.0 / m.achieved.0 - 1.0).max(0.0);
    line.stretch_worn = Some(Stretched { needed, allowed, measured });
    if let (What::Start, Some(Wish::Around { over: Some(over), .. })) = (line.what, s.wished.as_ref().map(|w| &w.wish))
    {
        let larger = design.sizes.get(size).and_then(|z| z.measure(over));
        line.passes_over = larger.map(|l| {
            let needed = (l.0 / m.achieved.0 - 1.0).max(0.0);
            (over.clone(), Stretched { needed, allowed, measured })
        });
    }
    let wished_ease = m.wished.0 / body.0 - 1.0;
    let fits = fitting(m.achieved, wished_ease, allowed);
    line.fits = Some(fits);
    let (from, to) = taking(design, size, &name);
    for sex in Sex::BOTH {
        let Some(survey) = surveyed(&name, sex) else { continue };
        let taking = survey.share(from.0, to.0);
        let both = survey.share(from.0.max(fits.0.0), to.0.min(fits.1.0));
        line.shares.push(Share {
            sex,
            of_all: survey.share(fits.0.0, fits.1.0),
            of_size: (taking >= 0.001).then(|| (both / taking).min(1.0)),
        });
    }
    line
}

/// Looseness beyond the target ease that still fits, as a share: common practice, no source.
const LOOSE: f64 = 0.05;

/// The bodies that a round fits. With negative ease, from a body of its own size to the limit of the fabric's stretch;
/// otherwise from a twentieth looser than the target to no ease at all.
fn fitting(achieved: Mm, wished_ease: f64, stretch: f64) -> (Mm, Mm) {
    if wished_ease < 0.0 {
        (achieved, Mm(achieved.0 * (1.0 + stretch)))
    } else {
        (Mm(achieved.0 / (1.0 + wished_ease + LOOSE)), achieved)
    }
}

/// The bodies that take a size by one measure: halfway to the next size on either side; for an end size, equally far
/// beyond; for a single size, within a twentieth.
fn taking(design: &Design, size: usize, measure: &str) -> (Mm, Mm) {
    let mut all: Vec<f64> = design.sizes.iter().filter_map(|s| s.measure(measure)).map(|m| m.0).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    let own = design.sizes.get(size).and_then(|s| s.measure(measure)).map_or(0.0, |m| m.0);
    let at = all.iter().position(|v| v.total_cmp(&own).is_eq()).unwrap_or(0);
    let below = at.checked_sub(1).and_then(|i| all.get(i)).map(|v| (own - v) / 2.0);
    let above = all.get(at + 1).map(|v| (v - own) / 2.0);
    let alone = own * 0.05;
    let (low, high) = (below.or(above).unwrap_or(alone), above.or(below).unwrap_or(alone));
    (Mm(own - low), Mm(own + high))
}
