//! Sentences for findings in words and values.

use super::listed;
use crate::fact::{Listed, ReaderFact as F, Subject, WordPlace};
use crate::wording::{Language, Told, say};

fn subject(of: &Subject, t: Language) -> String {
    match of {
        Subject::Word(word) => format!("\"{word}\""),
        Subject::Property(name) => format!("{name}="),
        Subject::ShareOfFibre => say!(t, "A share of fibre"),
        Subject::Fabric => say!(t, "A fabric"),
        Subject::Edge => say!(t, "An edge"),
        Subject::SwatchWidth => say!(t, "The width of a swatch"),
        Subject::SwatchLength => say!(t, "The length of a swatch"),
        Subject::Ease => say!(t, "An ease"),
        Subject::Share => say!(t, "A share"),
        Subject::AddedToShare => say!(t, "What is added to a share"),
        Subject::Length => say!(t, "A length"),
        Subject::SizeOfTable(table) => say!(t, "A size of the table \"{table}\"", table),
    }
}

/// The subject within a sentence.
fn inner(of: &Subject, t: Language) -> String {
    let said = subject(of, t);
    if matches!(of, Subject::Word(_) | Subject::Property(_)) {
        return said;
    }
    let (mark, rest) = said.split_at(said.len() - said.trim_start_matches('⟦').len());
    let mut letters = rest.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    format!("{mark}{first}{}", letters.as_str())
}

fn place(place: &WordPlace, t: Language) -> String {
    match place {
        WordPlace::Inside(word) => format!("\"{word}\""),
        WordPlace::Design => say!(t, "a design"),
        WordPlace::HeadOfNotes => say!(t, "the head of notes"),
        WordPlace::FileOfFabrics => say!(t, "a file of fabrics"),
    }
}

fn thing(of: Listed, t: Language) -> String {
    match of {
        Listed::Piece => say!(t, "piece"),
        Listed::Stretch => say!(t, "section"),
        Listed::Yarn => say!(t, "yarn"),
        Listed::Choice => say!(t, "choice"),
    }
}

/// An end of a range, to at most three decimals, without trailing zeros.
fn bound(v: f64) -> String {
    let text = format!("{v:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::UnitBeforeWord { word } => Told::new(say!(t, "\"{word}\" is a word, but has a unit before it.", word))
            .hint(say!(t, "Write the unit before the number.")),
        F::NoSuchWord { word, place: p, near, known } => {
            let place = place(p, t);
            let told = Told::new(say!(t, "\"{word}\" is not a word of {place}.", word, place));
            let known = listed(known);
            told.hint(match near {
                Some(near) => say!(t, "Did you mean {near}?", near),
                None => say!(t, "These can go here: {known}.", known),
            })
        }
        F::WordTwice { word, place: p } => {
            let place = place(p, t);
            Told::new(say!(t, "\"{word}\" appears twice in {place}.", word, place)).hint(say!(t, "Keep one."))
        }
        F::OneTooMany { word, takes } => Told::new(match takes {
            0 => say!(t, "\"{word}\" takes no value.", word),
            1 => say!(t, "\"{word}\" takes 1 value; this is one too many.", word),
            _ => say!(t, "\"{word}\" takes {takes} values; this is one too many.", word, takes),
        })
        .hint(say!(t, "Delete it, or write its name and = before it.")),
        F::PropertyTwice { name } => Told::new(say!(t, "{name}= appears twice.", name)).hint(say!(t, "Keep one.")),
        F::NoSuchProperty { word, name, near, known } => {
            let told = Told::new(say!(t, "\"{word}\" has nothing called \"{name}\".", word, name));
            let all = listed(known);
            told.hint(match near {
                Some(near) => say!(t, "Did you mean {near}=?", near),
                None if known.is_empty() => say!(t, "It takes no name=value pairs."),
                None => say!(t, "It takes: {all}.", all),
            })
        }
        F::UnitWithoutNumber => Told::new(say!(t, "Only a number can have a unit.")).hint(say!(t, "Delete it.")),
        F::WantsText { word } => Told::new(say!(t, "\"{word}\" needs text in quotation marks.", word)).hint(say!(
            t,
            "Write {word} \"…\"",
            word
        )),
        F::WantsWhole { of, least, most, written } => {
            let of = subject(of, t);
            Told::new(say!(t, "{of} needs a whole number from {least} to {most}.", of, least, most)).because(say!(
                t,
                "This says {written}.",
                written
            ))
        }
        F::WantsNumber { word, example } => Told::new(say!(t, "\"{word}\" needs a number.", word)).hint(say!(
            t,
            "Write {word} {example}",
            word,
            example
        )),
        F::WantsPlainNumber { of, least, most, written } => {
            let of = subject(of, t);
            Told::new(say!(t, "{of} needs a number from {least} to {most}, without a unit.", of, least, most))
                .because(say!(t, "This says {written}.", written))
        }
        F::WantsQuantity { of, unit, written } => {
            let of = subject(of, t);
            Told::new(say!(t, "{of} needs a number with its unit.", of))
                .because(say!(t, "This says {written}.", written))
                .hint(say!(t, "Write ({unit})12", unit))
        }
        F::NoUnit { of, unit, number } => {
            let of = subject(of, t);
            Told::new(say!(t, "{of} has no unit.", of))
                .because(say!(t, "A number without a unit could be centimetres or inches, grams or ounces."))
                .hint(say!(t, "Write ({unit}){number}", unit, number))
        }
        F::NotItsUnit { of, unit, known, near, number } => {
            let of = inner(of, t);
            let all = listed(known);
            let first = known.first().map_or("", String::as_str);
            Told::new(say!(t, "({unit}) is not a unit that {of} can have.", unit, of))
                .because(say!(t, "It may be one of: {all}.", all))
                .hint(match near {
                    Some(near) => say!(t, "Write ({near}){number}", near, number),
                    None => say!(t, "Write it in one of these, such as ({first})…", first),
                })
        }
        F::OutOfRange { of, number, unit, least, most } => {
            let of = subject(of, t);
            Told::new(say!(t, "{of} cannot be {number} {unit}.", of, number, unit)).because(say!(
                t,
                "It needs to be between {least} and {most} {unit}.",
                least = bound(*least),
                most = bound(*most),
                unit
            ))
        }
        F::NoValue { word, example } => {
            Told::new(say!(t, "\"{word}\" has no value.", word)).hint(say!(t, "Write {word} {example}", word, example))
        }
        F::NotOneOf { of, written, known, near } => {
            let of = subject(of, t);
            let known = listed(known);
            let told = Told::new(say!(t, "{of} cannot be \"{written}\".", of, written)).because(say!(
                t,
                "It is one of: {known}.",
                known
            ));
            match near {
                Some(near) => told.hint(say!(t, "Write \"{near}\"", near)),
                None => told,
            }
        }
        F::WantsName { of } => {
            let of = thing(*of, t);
            Told::new(say!(t, "The name of a {of} goes in quotation marks.", of))
        }
        F::NoSuchName { of, name, near, known } => {
            let of = thing(*of, t);
            let told = Told::new(say!(t, "There is no {of} called \"{name}\".", of, name));
            let all = listed(&known.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>());
            match near {
                Some(near) => told.hint(say!(t, "Did you mean \"{near}\"?", near)),
                None if known.is_empty() => told.because(say!(t, "The design has no {of} yet.", of)),
                None => told.because(say!(t, "The design has: {all}.", all)),
            }
        }
        F::WantsShortName { word } => Told::new(say!(t, "This \"{word}\" needs a short name.", word)),
        F::NameTaken { word, name } => {
            Told::new(say!(t, "There are 2 lines \"{word}\" with the name \"{name}\".", word, name))
                .hint(say!(t, "Give one of them another name."))
        }
    }
}
