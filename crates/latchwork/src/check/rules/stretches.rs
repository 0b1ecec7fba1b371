//! A garment must stretch over the body.

use crate::design::{Design, Size};
use crate::fact::CheckFact;
use crate::fit::{FitLine, What};
use crate::notice::{Notice, Notices};

/// A fabric must stretch as far as the body needs. A stretch measured on a swatch is a limit; a fabric's usual stretch
/// only gives a warning.
pub(in crate::check) fn stretches_enough(design: &Design, size: &Size, sheet: &[FitLine], notices: &mut Notices) {
    for line in sheet {
        let stretch = &design.pieces[line.piece].stretches[line.stretch];
        let span = match line.what {
            What::Opening(i) => design.openings[i].span,
            _ => stretch.wished.as_ref().map_or(stretch.span, |w| w.span),
        };
        let name = line.whose(design);
        let past = line.passes_over.as_ref().map(|(m, s)| (Some(m.replace('-', " ")), *s));
        let worn = line.stretch_worn.map(|s| (None, s));
        for (past, s) in worn.into_iter().chain(past).filter(|(_, s)| s.needed > s.allowed) {
            let fact = CheckFact::TooTight {
                stretch: name.clone(),
                at_end: line.what == What::End,
                size: size.name.clone(),
                past,
                measured: s.measured,
                fabric: stretch.fabric.name.clone(),
                needed: s.needed * 100.0,
                allowed: s.allowed * 100.0,
            };
            notices.push(if s.measured { Notice::error(span, fact) } else { Notice::warning(span, fact) });
        }
    }
}
