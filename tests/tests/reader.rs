//! Documents with one fault: what is reported, and that nothing else is.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::design::from_text;
use latchwork::notice::{Level, Notice};
use latchwork::text::LARGEST;
use latchwork::wording::Language;

const BASE: &str = include_str!("../suite/reader/base.kdl");

/// Every error of a document, from reading to rehearsal, each once.
fn errors(text: &str) -> Vec<Notice> {
    let (design, notices) = from_text(text);
    let mut all = notices.0;
    if let Some(design) = design {
        let sizes: Vec<usize> = (0..design.sizes.len()).collect();
        all.extend(prove(&design, &sizes).notices.into_iter().map(|(_, n)| n));
    }
    all.retain(|n| n.level == Level::Error);
    all
}

#[test]
fn every_fault_is_told_and_nothing_else() {
    let cases = include_str!("../suite/reader/faults.cases");
    let mut count = 0;
    for case in cases.split("\n--- ").skip(1) {
        let (name, body) = case.split_once(" ---").unwrap();
        let mut text = BASE.to_string();
        let mut expected: Vec<(&str, &str)> = Vec::new();
        for line in body.lines().filter(|l| !l.trim().is_empty()) {
            if let Some(rest) = line.strip_prefix("! ") {
                let (message, more) = rest.split_once('|').unwrap();
                expected.push((message.trim(), more.trim()));
            } else if let Some((old, new)) = line.split_once("=>") {
                let (old, new) = (old.trim(), new.trim());
                assert!(old == "*" || text.contains(old), "{name}: base has no {old}");
                text = if old == "*" { new.to_string() } else { text.replace(old, new) };
            }
        }
        let mut found = errors(&text);
        for (message, more) in &expected {
            let is = |n: &Notice| {
                let rest = format!("{} {}", n.told(Language::English).why, n.told(Language::English).hints.join(" "));
                n.told(Language::English).message.contains(message) && rest.contains(more)
            };
            let at =
                found.iter().position(is).unwrap_or_else(|| panic!("{name}: no \"{message} | {more}\" in {found:#?}"));
            let told = found.remove(at);
            // The same fault in the other size is the same fault.
            found.retain(|n| {
                n.span != told.span
                    || n.span.is_none_or(|s| s.len == 0)
                    || n.told(Language::English).message.contains("Size large")
            });
        }
        assert!(found.is_empty(), "{name}: also {found:#?}");
        count += 1;
    }
    assert!(count > 35, "{count} cases");
}

#[test]
fn a_long_file_is_refused_before_it_is_parsed() {
    let text = format!("title \"x\"\n{}", "// nothing\n".repeat(LARGEST / 10));
    let found = errors(&text);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].told(Language::English).message.contains("too long"));
}

#[test]
fn deep_nesting_is_refused() {
    let text = format!("title {}{}", "a {".repeat(20_000), "}".repeat(20_000));
    let found = errors(&text);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].told(Language::English).message.contains("nested too deep"));
}

#[test]
fn spans_point_at_the_word_that_is_wrong() {
    let text = BASE.replace("length (cm)6", "length (furlong)6");
    let span = errors(&text)[0].span.unwrap();
    assert_eq!(&text[span.start..span.start + span.len], "(furlong)6");
    // The parser's span of a bad property value begins at the start of the document; ours does not.
    let text = BASE.replace("needles=40", "needles=40x");
    let span = errors(&text)[0].span.unwrap();
    assert_eq!(&text[span.start..span.start + span.len], "40x");
}
