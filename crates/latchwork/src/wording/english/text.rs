//! Sentences for findings in the syntax of a document.

use crate::fact::TextFact as F;
use crate::wording::{Language, Told, say};

/// A fault of syntax, with help on the form where there is any.
fn whole(told: Told, help: Option<&String>, t: Language) -> Told {
    let told = match help {
        Some(help) => told.hint(help.clone()),
        None => told,
    };
    told.hint(say!(t, "Text goes in \"quotation marks\", a unit in (brackets) before its number, and what belongs to a word between {{ and }}."))
}

fn unread(word: &str, t: Language) -> Told {
    Told::new(if word.is_empty() {
        say!(t, "This cannot be read.")
    } else {
        say!(t, "This cannot be read: {word}", word)
    })
}

pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::MoreFaults => {
            Told::new(say!(t, "There are more errors after this one.")).hint(say!(t, "Fix the errors above first."))
        }
        F::TooLong { bytes, most } => Told::new(say!(t, "This file is too long to be a design."))
            .because(say!(t, "It has {bytes} bytes; at most {most} are read.", bytes, most))
            .hint(say!(t, "Check that you named the right file.")),
        F::TooDeep { most } => Told::new(say!(t, "Braces are nested too deeply here."))
            .because(say!(t, "At most {most} levels are read.", most))
            .hint(say!(t, "Check for a missing }} above this line.")),
        F::TooManyComments => Told::new(say!(t, "There are too many comments that start with /* here."))
            .hint(say!(t, "Start comments with //.")),
        F::LineTooLong { most } => Told::new(say!(t, "This line is too long to be part of a design."))
            .because(say!(t, "At most {most} bytes are read.", most))
            .hint(say!(t, "Check for a missing line end, or shorten the text.")),
        F::Unseen { character } => {
            let code = u32::from(*character);
            Told::new(say!(t, "There is an invisible character here: U+{code:04X}.", code))
                .because(say!(t, "Such characters are hidden, or reverse the letters beside them."))
                .hint(say!(t, "Delete it."))
        }
        F::UnseenEscape { character } => {
            let code = u32::from(*character);
            Told::new(say!(t, "This text has an invisible character: U+{code:04X}.", code))
                .because(say!(t, "It is written as an escape, and would be printed as it is."))
                .hint(say!(t, "Write the text without it."))
        }
        F::BeginsOnTheSameLine { word } => {
            Told::new(say!(t, "\"{word}\" starts on the line where something else ends.", word))
                .hint(say!(t, "Put ; between the two, or start a new line."))
        }
        F::EqualsSign { word } => Told::new(say!(
            t,
            "\"{word}\" is written with =, but takes its value after a space.",
            word
        ))
        .hint(say!(t, "Write {word} and its value, without =", word)),
        F::UnitBehind { word, unit, number } => unread(word, t)
            .because(say!(t, "A unit goes in round brackets before its number."))
            .hint(say!(t, "Write ({unit}){number}", unit, number)),
        F::FlagWithoutSign { word } => {
            unread(word, t).because(say!(t, "A # goes before true and false.")).hint(say!(t, "Write #{word}", word))
        }
        F::Unclosed { word, help } => whole(
            unread(word, t)
                .because(say!(t, "There is a bracket, brace or quotation mark too many or too few near here.")),
            help.as_ref(),
            t,
        ),
        F::Punctuation { word, help } => {
            whole(unread(word, t).because(say!(t, "The punctuation is wrong here.")), help.as_ref(), t)
        }
        F::Syntax { word, parser, help } => {
            whole(unread(word, t).because(say!(t, "Reading stopped with: {parser}.", parser)), help.as_ref(), t)
        }
    }
}
