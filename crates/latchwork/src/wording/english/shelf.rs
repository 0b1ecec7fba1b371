//! Sentences for findings in the files beside a design, and in what is printed with it.

use crate::fact::ShelfFact as F;
use crate::wording::{Language, Told, say};

pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::FileUnread { file, fabrics, first } => {
            let message = if *fabrics {
                say!(t, "Fabrics in {file} cannot be read, and are missing here.", file)
            } else {
                say!(t, "The shared swatches in {file} cannot be read, and are missing here.", file)
            };
            let Some((line, fault)) = first else {
                return Told::new(message).because(say!(t, "It is not text."));
            };
            let fault = super::told(fault, t);
            let (said, hint) = (fault.message, fault.hints.into_iter().next());
            let told = Told::new(message).because(say!(t, "Line {line}: {said}", line, said));
            match hint {
                Some(hint) => told.hint(hint),
                None => told,
            }
        }
        F::NoSuchLetter { character: Some(character) } => {
            Told::new(say!(t, "The handout's typeface has no {character}.", character))
                .hint(say!(t, "Use other letters."))
        }
        F::NoSuchLetter { character: None } => {
            Told::new(say!(t, "The handout's typeface has no such character.")).hint(say!(t, "Use other letters."))
        }
        F::NotUnderstood => Told::new(say!(t, "None of this can be understood.")),
    }
}
