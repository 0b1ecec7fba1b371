//! Of the writing of a document.

use crate::fact::TextFact as F;
use crate::wording::{Language, Told, say};

/// What stands where, told after every fault of punctuation.
fn whole(told: Told, help: Option<&String>, t: Language) -> Told {
    let told = match help {
        Some(help) => told.hint(help.clone()),
        None => told,
    };
    told.hint(say!(t, "Text goes in \"quotation marks\", a unit in (brackets) before its number, and what belongs to a node between {{ and }}."))
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
            Told::new(say!(t, "There are more faults from here on.")).hint(say!(t, "Mend those above first."))
        }
        F::TooLong { bytes, most } => Told::new(say!(t, "This file is too long to be a design."))
            .because(say!(t, "It has {bytes} bytes; the longest that is read has {most}.", bytes, most))
            .hint(say!(t, "Check that you named the right file.")),
        F::TooDeep { most } => Told::new(say!(t, "Braces are nested too deeply here."))
            .because(say!(t, "A design is never nested deeper than {most}.", most))
            .hint(say!(t, "Check for a missing }} above this line.")),
        F::TooManyComments => Told::new(say!(t, "There are too many comments that start with /* here."))
            .hint(say!(t, "Start comments with //.")),
        F::LineTooLong { most } => Told::new(say!(t, "This line is too long to be part of a design."))
            .because(say!(t, "The longest that is read has {most} bytes.", most))
            .hint(say!(t, "Check for a missing line end, or shorten the text.")),
        F::Unseen { character } => {
            let code = u32::from(*character);
            Told::new(say!(t, "There is an invisible character here: U+{code:04X}.", code))
                .because(say!(t, "Such characters hide, or turn the letters beside them about."))
                .hint(say!(t, "Delete it."))
        }
        F::UnseenEscape { character } => {
            let code = u32::from(*character);
            Told::new(say!(t, "This text has a character that cannot be seen: U+{code:04X}.", code))
                .because(say!(t, "It is written as an escape, and would go to the screen and the page as it is."))
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
            unread(word, t).because(say!(t, "Yes and no are written with a #.")).hint(say!(t, "Write #{word}", word))
        }
        F::Unclosed { word, help } => whole(
            unread(word, t)
                .because(say!(t, "A bracket, brace or quotation mark near here is not closed, or one too many is.")),
            help.as_ref(),
            t,
        ),
        F::Punctuation { word, help } => {
            whole(unread(word, t).because(say!(t, "The punctuation of the document is broken here.")), help.as_ref(), t)
        }
        F::Syntax { word, parser, help } => whole(
            unread(word, t).because(say!(t, "The reader of the document language says: {parser}.", parser)),
            help.as_ref(),
            t,
        ),
    }
}
