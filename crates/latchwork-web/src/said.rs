//! All words of the pages, in one catalogue.

use std::sync::OnceLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};

use latchwork::plan::PiecePlan;
use latchwork::wording::{Language, MARKS, piece};

use crate::journal::{Fate, Loss};

static LANGUAGE: OnceLock<Language> = OnceLock::new();

/// Chooses the language of all pages, before the first of them.
pub fn speak(language: Language) {
    // The first choice stands.
    let _ = LANGUAGE.set(language);
}

/// The language of all pages.
pub(crate) fn language() -> Language {
    *LANGUAGE.get_or_init(Language::default)
}

static BOOK: OnceLock<FluentBundle<FluentResource>> = OnceLock::new();

fn book() -> &'static FluentBundle<FluentResource> {
    BOOK.get_or_init(|| {
        let mut book = FluentBundle::new_concurrent("en".parse().into_iter().collect());
        book.set_use_isolating(false);
        // Read in a test: the catalogue has no faults.
        let words = FluentResource::try_new(include_str!("../assets/en.ftl").to_string());
        let words = words.unwrap_or_else(|(rest, _)| rest);
        let _ = book.add_resource(words);
        book
    })
}

/// The words of this name; the name itself where there are none.
pub(crate) fn t(name: &str) -> String {
    tf(name, &[])
}

/// The words of this name, with these values put in.
pub(crate) fn tf(name: &str, with: &[(&str, &str)]) -> String {
    let Some(pattern) = book().get_message(name).and_then(|m| m.value()) else { return name.to_string() };
    let mut args = FluentArgs::new();
    for (key, value) in with {
        // A number chooses between one and many; a counter's reading keeps its noughts.
        let reading = value.len() > 1 && value.starts_with('0') && !value.contains('.');
        let number = value.parse::<f64>().ok().filter(|_| !reading);
        let value = match (number, language()) {
            (Some(number), _) => FluentValue::from(number),
            (None, Language::English | Language::American) => FluentValue::from(*value),
            (None, Language::Marked) => FluentValue::from(format!("{}{value}{}", MARKS[1], MARKS[0])),
        };
        args.set(*key, value);
    }
    let told = book().format_pattern(pattern, Some(&args), &mut Vec::new()).into_owned();
    match language() {
        Language::English | Language::American => told,
        Language::Marked => format!("{}{told}{}", MARKS[0], MARKS[1]),
    }
}

/// What a piece is called.
pub(crate) fn named(plan: &PiecePlan) -> String {
    piece(&plan.name, language())
}

/// What became of the journal's file, and what is done about it.
pub(crate) fn told_loss(loss: &Loss) -> String {
    let happened = match loss.fate {
        Fate::Deleted => tf("journal-deleted", &[("file", &loss.old)]),
        Fate::Replaced => tf("journal-replaced", &[("file", &loss.old)]),
        Fate::Unreadable(counts) => tf("journal-unreadable", &[("file", &loss.old), ("n", &counts.to_string())]),
    };
    let done = match &loss.new {
        Ok(new) => tf("journal-goes-on", &[("file", new)]),
        Err(why) => tf("journal-nowhere", &[("why", why)]),
    };
    format!("{happened} {done}")
}

/// The day of a moment, in the calendar (Hinnant 2013, civil_from_days).
pub(crate) fn day(at: i64) -> String {
    let z = at.div_euclid(86_400_000) + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let (d, m) = (doy - (153 * mp + 2) / 5 + 1, if mp < 10 { mp + 3 } else { mp - 9 });
    format!("{}-{m:02}-{d:02}", yoe + era * 400 + i64::from(m <= 2))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// Every name used in the pages and scripts is in the catalogue, and every name in it is used.
    #[test]
    fn the_catalogue_is_whole() {
        let text = include_str!("../assets/en.ftl");
        assert!(FluentResource::try_new(text.to_string()).is_ok(), "the catalogue can be read");
        let known: Vec<&str> = text
            .lines()
            .filter(|l| l.starts_with(|c: char| c.is_ascii_lowercase()))
            .filter_map(|l| l.split_once(" =").map(|s| s.0))
            .collect();
        let mut sources = String::new();
        for folder in ["src", "src/pages", "src/routes"] {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.extension().is_some_and(|e| e == "rs") {
                    sources += &std::fs::read_to_string(path).unwrap();
                }
            }
        }
        for name in crate::pages::aid_names() {
            assert!(known.contains(&name.as_str()), "{name} is not in the catalogue");
            sources += &format!("\"{name}\" ");
        }
        for name in &known {
            assert!(sources.contains(&format!("\"{name}\"")), "{name} is not used");
        }
        for call in ["t(\"", "tf(\""] {
            for (at, _) in sources.match_indices(call) {
                if sources[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
                    continue;
                }
                let rest = &sources[at + call.len()..];
                let name = rest.split('"').next().unwrap();
                assert!(known.contains(&name), "{name} is not in the catalogue");
            }
        }
    }
}
