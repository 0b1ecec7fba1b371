//! What is worn must stretch over the body.

use crate::design::{Design, Size};
use crate::fit::FitLine;
use crate::notice::{Notice, Notices};

/// A fabric must stretch as far as the body asks. What was measured on a swatch is a limit; the usual figure of a
/// fabric only a warning.
pub(in crate::check) fn stretches_enough(design: &Design, size: &Size, sheet: &[FitLine], notices: &mut Notices) {
    for line in sheet {
        let stretch = &design.pieces[line.piece].stretches[line.stretch];
        let span = stretch.wished.as_ref().map_or(stretch.span, |w| w.span);
        let name = line.name(design);
        let over = line.passes_over.as_ref().map(|(m, s)| (format!("to pass over the {}", m.replace('-', " ")), *s));
        let worn = line.stretch_worn.map(|s| ("for its fabric".to_string(), s));
        for (what, s) in worn.into_iter().chain(over).filter(|(_, s)| s.needed > s.allowed) {
            let why = format!(
                "It must stretch by {:.0} %, and {} {} {:.0} %.",
                s.needed * 100.0,
                stretch.fabric.name,
                if s.measured { "was measured to allow" } else { "usually allows" },
                s.allowed * 100.0
            );
            let notice = if s.measured {
                Notice::error(span, format!("\"{name}\" is too tight {what} in size {}.", size.name))
                    .hint("Give it less negative ease, or a fabric that stretches more.")
            } else {
                Notice::warning(span, format!("\"{name}\" may be too tight {what} in size {}.", size.name))
                    .hint("Draw a swatch out as far as it comfortably goes, and write stretches (cm)… in it.")
            };
            notices.push(notice.because(why));
        }
    }
}
