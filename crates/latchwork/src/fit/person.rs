//! The sizes on a person.

use super::FitLine;
use crate::design::{Design, Size};
use crate::measure::{Estimate, Person};
use crate::notice::Span;
use crate::units::Mm;

/// A measure of a person: taken, or estimated.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Its name.
    pub measure: String,
    /// Its value.
    pub value: Mm,
    /// How it was estimated; none if it was taken.
    pub estimate: Option<Estimate>,
}

/// The measures of a person that a design needs, and those that are neither given nor can be estimated.
#[must_use]
pub fn known(design: &Design, person: &Person) -> (Vec<Known>, Vec<String>) {
    let mut names: Vec<&String> = Vec::new();
    for (name, _) in design.sizes.iter().flat_map(|s| &s.measures) {
        if !names.contains(&name) && design.asks_for(name) {
            names.push(name);
        }
    }
    let (mut found, mut missing) = (Vec::new(), Vec::new());
    for name in names {
        let taken = person.measured(name).map(|value| (value, None));
        let estimated = || person.estimated(name).map(|e| (e.value, Some(e)));
        match taken.or_else(estimated) {
            Some((value, estimate)) => found.push(Known { measure: name.clone(), value, estimate }),
            None => missing.push(name.clone()),
        }
    }
    (found, missing)
}

/// The size nearest to a person: the least sum of squared differences in percent over the known measures, estimated ones
/// counting for less the more doubtful they are.
#[must_use]
pub fn nearest_size(design: &Design, known: &[Known]) -> Option<usize> {
    let off = |s: &Size| {
        known
            .iter()
            .filter_map(|k| {
                let body = s.measure(&k.measure)?.0;
                let doubt = k.estimate.map_or(0.0, |e| e.deviation.0);
                Some((k.value.0 - body).powi(2) / (0.02 * body).hypot(doubt).powi(2))
            })
            .sum::<f64>()
    };
    (0..design.sizes.len()).min_by(|a, b| off(&design.sizes[*a]).total_cmp(&off(&design.sizes[*b])))
}

/// A size made of a person's own measures, and of those that the design makes of them.
#[must_use]
pub fn own_size(design: &Design, person: &Person, known: &[Known]) -> Size {
    let measures = known.iter().map(|k| (k.measure.clone(), k.value)).collect();
    let own = Size { name: person.name.clone(), span: Span::default(), measures, made: Vec::new() };
    own.with_made(&design.measures)
}

/// How a line of the fit sheet fits a person.
#[derive(Debug, Clone, PartialEq)]
pub struct Worn {
    /// The person's measure.
    pub body: Mm,
    /// One standard deviation of it, if it is an estimate.
    pub doubt: Option<Mm>,
    /// Ease over the person's body.
    pub ease: Mm,
    /// How it fits.
    pub fits: Worth,
}

/// How something fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worth {
    /// Looser than intended.
    Loose,
    /// With about the intended ease: within a twentieth.
    AsMeant,
    /// Tighter than intended, but comfortably within what its fabric allows.
    Snug,
    /// Wearable, near the limit of its fabric.
    AtItsLimit,
    /// Tighter than its fabric allows, or without ease where it is meant to be loose.
    Tight,
}

impl Worth {
    /// How a round fits a body, against the intended ease.
    fn of(line: &FitLine, body: f64) -> Worth {
        let Some(((from, to), (_, made_for))) = line.fits.zip(line.body.as_ref()) else { return Worth::AsMeant };
        let (ease, meant) = (line.achieved.0 / body - 1.0, line.wished.0 / made_for.0 - 1.0);
        // Halfway from the intended ease to the limit of the fabric.
        let half = (meant + line.achieved.0 / to.0 - 1.0) / 2.0;
        if body > to.0 {
            Worth::Tight
        } else if (ease - meant).abs() <= 0.05 {
            Worth::AsMeant
        } else if body < from.0 || ease > meant {
            Worth::Loose
        } else if ease >= half {
            Worth::Snug
        } else {
            Worth::AtItsLimit
        }
    }
}

/// A line of the fit sheet on a person; none where it goes round none of their measures.
#[must_use]
pub fn worn(line: &FitLine, known: &[Known]) -> Option<Worn> {
    let (name, _) = line.body.as_ref()?;
    let k = known.iter().find(|k| k.measure == *name)?;
    line.fits?;
    Some(Worn {
        body: k.value,
        doubt: k.estimate.map(|e| e.deviation),
        ease: Mm(line.achieved.0 - k.value.0),
        fits: Worth::of(line, k.value.0),
    })
}
