//! Sentences for findings in the draft of a size.

use crate::fact::DraftFact as F;
use crate::wording::{Language, Told, say};

pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::NoLength { stretch, length, size } => {
            Told::new(say!(t, "\"{stretch}\" would be {length} long in size {size}.", stretch, length, size))
                .hint(say!(t, "Subtract less from the share."))
        }
        F::NothingLeft { stretch, size, measure, body } => {
            Told::new(say!(t, "The ease leaves nothing of \"{stretch}\" in size {size}.", stretch, size))
                .because(say!(t, "{measure} is {body}.", measure, body))
                .hint(say!(t, "Give it less negative ease."))
        }
        F::NoBody { size, part: (part, small), whole: (whole, large) } => {
            Told::new(say!(t, "Nobody has the measures of size {size}.", size))
                .because(say!(t, "{part} is {small} cm, and {whole} only {large} cm.", part, small, whole, large))
                .hint(say!(t, "Measure both again, or swap them if they were mixed up."))
        }
    }
}
