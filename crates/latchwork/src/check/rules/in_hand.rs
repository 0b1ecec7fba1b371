//! Yarn in hand against what a size takes.

use crate::cloth::Amount;
use crate::design::{Design, Size};
use crate::fact::CheckFact;
use crate::notice::{Notice, Notices};
use crate::units::Grams;

/// The yarn in hand must be enough.
pub(in crate::check) fn yarn_in_hand(design: &Design, amounts: &[Amount], size: &Size, notices: &mut Notices) {
    for (yarn, amount) in design.yarns.iter().zip(amounts) {
        let Some(have) = yarn.in_hand else { continue };
        let (need, range) = (amount.grams(yarn.tex).0, amount.grams_range(yarn.tex).0);
        let weighed = |g: f64| design.show.weighed(Grams(g));
        if need + range <= have.0 {
            continue;
        }
        let surely = need > have.0;
        let fact = CheckFact::RunsOut {
            size: size.name.clone(),
            yarn: yarn.name.clone(),
            surely,
            takes: weighed(need),
            range: weighed(range),
            have: weighed(have.0),
        };
        notices.push(if surely { Notice::error(yarn.span, fact) } else { Notice::warning(yarn.span, fact) });
    }
}
