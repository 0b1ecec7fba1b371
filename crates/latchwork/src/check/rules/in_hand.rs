//! Yarn in hand against what a size takes.

use crate::cloth::Amount;
use crate::design::{Design, Size};
use crate::notice::{Notice, Notices};
use crate::units::Grams;

/// The rule that yarn must suffice. It is broken by what the knitter has, not by the piece.
pub const RUNS_OUT: &str = "runs-out";

/// The yarn that the knitter has must suffice.
pub(in crate::check) fn yarn_in_hand(design: &Design, amounts: &[Amount], size: &Size, notices: &mut Notices) {
    for (yarn, amount) in design.yarns.iter().zip(amounts) {
        let Some(have) = yarn.in_hand else { continue };
        let (need, range) = (amount.grams(yarn.tex).0, amount.grams_range(yarn.tex).0);
        let weighed = |g: f64| design.show.weighed(Grams(g));
        let takes = format!("It takes {} ± {} and you have {}.", weighed(need), weighed(range), weighed(have.0));
        if need > have.0 {
            notices.push(
                Notice::error(yarn.span, format!("Size {} runs out of \"{}\".", size.name, yarn.name))
                    .by(RUNS_OUT)
                    .because(takes)
                    .hint("Leave this size out with --size, make a stretch shorter, or find more yarn."),
            );
        } else if need + range > have.0 {
            notices.push(
                Notice::warning(yarn.span, format!("Size {} may run out of \"{}\".", size.name, yarn.name))
                    .because(takes)
                    .hint("Weigh what is left after the first piece before you begin the next."),
            );
        }
    }
}
