//! Names for measures, their basis and the bodies they fit.

use crate::design::Design;
use crate::fit::{FitLine, Measure, SewnMeasure, What, Worth};
use crate::measure::{Basis, Sex, State};
use crate::wording::{Language, say};

/// Where a figure comes from.
pub(in crate::wording) fn basis(basis: Basis, t: Language) -> String {
    match basis {
        Basis::Swatches(n) => say!(t, "mean of {n} swatches", n),
        Basis::OneSwatch => say!(t, "one swatch, so the range is wide"),
        Basis::Curve(n) => say!(t, "between the stitch sizes of {n} swatches", n),
        Basis::OtherState(n) => say!(t, "from {n} in an earlier state, scaled as others changed", n),
        Basis::Reckoned => say!(t, "estimated from another machine, yarn or fabric: swatch it before you rely on it"),
        Basis::Unknown => say!(t, "not swatched"),
        Basis::Formula => say!(t, "from the gauge, by published constants for plain"),
    }
}

pub(in crate::wording) fn worth(worth: Worth, t: Language) -> String {
    match worth {
        Worth::Loose => say!(t, "loose"),
        Worth::AsMeant => say!(t, "as intended"),
        Worth::Snug => say!(t, "snug"),
        Worth::AtItsLimit => say!(t, "only just goes on"),
        Worth::Tight => say!(t, "too tight"),
    }
}

/// Women or men, in the plural.
pub(in crate::wording) fn sex(sex: Sex, t: Language) -> String {
    match sex {
        Sex::Woman => say!(t, "women"),
        Sex::Man => say!(t, "men"),
    }
}

pub(in crate::wording) fn state(state: State, t: Language) -> String {
    match state {
        State::AsKnitted => say!(t, "as knitted"),
        State::Rested => say!(t, "rested"),
        State::Washed => say!(t, "washed"),
    }
}

/// The stretch, marked where it is measured after its shaping.
pub(in crate::wording) fn measure(m: &Measure, design: &Design, t: Language) -> String {
    let stretch = &design.pieces[m.piece].stretches[m.stretch].name;
    if m.at_end { say!(t, "{stretch} end", stretch) } else { stretch.clone() }
}

pub(in crate::wording) fn fit_line(line: &FitLine, design: &Design, t: Language) -> String {
    let whose = line.whose(design);
    match line.what {
        What::Start | What::Opening(_) => whose,
        What::End => say!(t, "{whose}, end", whose),
        What::Length => say!(t, "{whose}, length", whose),
    }
}

pub(in crate::wording) fn sewn(measure: &SewnMeasure, t: Language) -> String {
    match measure {
        SewnMeasure::SewnToItsLike { piece, stretch } => {
            say!(t, "{piece}, {stretch} round, sewn to its pair", piece, stretch)
        }
        SewnMeasure::Round { piece, stretch } => say!(t, "{piece}, {stretch} round", piece, stretch),
        SewnMeasure::RoundAtBeginning { piece, stretch } => {
            say!(t, "{piece}, {stretch} round at its start", piece, stretch)
        }
        SewnMeasure::RoundAtEnd { piece, stretch } => say!(t, "{piece}, {stretch} round at its end", piece, stretch),
        SewnMeasure::Long { piece } => say!(t, "{piece} long", piece),
    }
}
