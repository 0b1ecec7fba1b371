//! A test language, made by machine: every sentence of the catalogue stands between marks. What stands outside them is
//! what the author wrote, a name, a figure or a unit; an English word there would be one that no second language reaches.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeSet;

use latchwork::check::{Outcome, Proven, prove, prove_notes};
use latchwork::cues::{cues, standings};
use latchwork::design::{Shelf, book_from_text, from_text_with};
use latchwork::fabric::built_in;
use latchwork::handout::handout;
use latchwork::measure::TABLES;
use latchwork::notes;
use latchwork::notice::Notices;
use latchwork::picture::{Picture, beds, chart, paths};
use latchwork::revise::STARTERS;
use latchwork::trial::{FABRICS, SHAPINGS, Seed, combinations, document};
use latchwork::wording::{Language, MARKS};
use latchwork_machine::rehearsal::view_after;
use latchwork_tests::notes::cases;
use latchwork_tests::workshop::Workshop;

/// The examples of patterns, colours and shapes.
const PATTERNS: [&str; 7] = [
    include_str!("../../designs/tide-cowl.kdl"),
    include_str!("../../designs/mist-scarf.kdl"),
    include_str!("../../designs/berth-cushion.kdl"),
    include_str!("../../designs/beacon-cap.kdl"),
    include_str!("../../designs/sea-boot-socks.kdl"),
    include_str!("../../designs/lookout-cap.kdl"),
    include_str!("../../designs/deck-sweater.kdl"),
];

const DESIGNS: [&str; 4] = [
    include_str!("../../designs/deck-hat.kdl"),
    include_str!("../../designs/scarf.kdl"),
    include_str!("../../designs/tiller-mitts.kdl"),
    include_str!("../../designs/wrist-warmers.kdl"),
];

/// Pages of a folder that holds one design, hat.kdl.
const PAGES: [&str; 16] = [
    "/",
    "/starters",
    "/begin/cowl",
    "/begin/cowl?one=yes",
    "/begin/cowl/yarn",
    "/share",
    "/pair",
    "/d/hat.kdl",
    "/d/hat.kdl/document",
    "/d/hat.kdl/rehearse",
    "/d/hat.kdl/machine",
    "/d/hat.kdl/machine?size=54&piece=0",
    "/d/hat.kdl/machine?size=54&piece=1",
    "/d/hat.kdl/handout",
    "/d/hat.kdl/cues",
    "/d/hat.kdl/cues.txt",
];

/// Units, and the names of needles and yarn counts.
const UNITS: [&str; 14] = ["cm", "mm", "in", "g", "kg", "oz", "m", "yd", "tex", "h", "min", "Nm", "nbsp", "latchwork"];

/// The designs, and made-up ones, whose documents hold few words: every fabric, shaping and ending, pairs among them.
fn designs() -> impl Iterator<Item = String> {
    let combinations = combinations(FABRICS.len(), SHAPINGS);
    let made_up = (0..400).map(move |number| document(&Seed::from_number(number, &combinations)));
    DESIGNS.into_iter().map(str::to_string).chain(made_up)
}

fn shelf() -> Shelf {
    let book = book_from_text(include_str!("../../designs/swatches/pilot-sock.kdl")).0.unwrap();
    let books = vec![("pilot-sock.kdl".to_string(), book)];
    Shelf { books, language: Language::Marked, ..Shelf::default() }
}

/// The words of a text: letters in a row, two or more.
fn words(text: &str) -> impl Iterator<Item = String> {
    let parts = text.split(|c: char| !c.is_alphabetic() && c != '\'').filter(|w| w.chars().count() > 1);
    parts.map(|w| w.trim_matches('\'').to_lowercase()).filter(|w| w.len() > 1)
}

/// What may stand outside the marks.
#[derive(Default, Clone)]
struct Known {
    /// Names and whole sentences of the author, and of the fabrics and tables: each is known as a whole.
    phrases: BTreeSet<String>,
    /// Words known by themselves.
    words: BTreeSet<String>,
}

/// What an author wrote between quotation marks or before the colon of a note, and the names that fabrics and tables have.
fn names(document: &str) -> Known {
    let own: Vec<&str> = document.lines().map(|l| l.split("//").next().unwrap_or_default()).collect();
    let quoted = own.iter().flat_map(|l| l.split('"').skip(1).step_by(2));
    let labels = own.iter().filter_map(|l| l.split_once(": ")).map(|l| l.0).filter(|l| !l.contains('"'));
    // A measure of the body is shown without its hyphen.
    let mut phrases: BTreeSet<String> =
        quoted.flat_map(|q| [q.to_lowercase(), q.replace('-', " ")]).chain(labels.map(str::to_lowercase)).collect();
    phrases.extend(TABLES.iter().map(|t| t.source.to_lowercase()));
    // A starter is a document: what it says of itself is its author's.
    phrases.extend(STARTERS.iter().flat_map(|s| ["title", "summary"].map(|word| s.head(word).to_lowercase())));
    let choices = STARTERS.iter().flat_map(|s| s.choices());
    phrases.extend(choices.flat_map(|(name, among)| among.into_iter().chain([name])).map(|t| t.to_lowercase()));
    let sizes = TABLES.iter().flat_map(|t| t.rows).map(|r| r.0).filter(|name| name.len() > 3);
    phrases.extend(sizes.map(str::to_lowercase));
    for f in built_in() {
        let told =
            f.also.iter().chain([&f.name, &f.kind]).chain(&f.unshaped).chain(f.relaxed.iter().map(|r| &r.source));
        phrases.extend(told.map(|t| t.to_lowercase()));
    }
    Known { phrases, words: UNITS.iter().map(|u| u.to_lowercase()).collect() }
}

impl Known {
    /// The same, and every word of this document: pages and findings quote it.
    fn and_words_of(mut self, document: &str) -> Known {
        let own = document.lines().map(|l| l.split("//").next().unwrap_or_default());
        self.words.extend(own.flat_map(|l| words(l).collect::<Vec<_>>()));
        self
    }

    /// A text, in small letters, without the phrases.
    fn without_phrases(&self, text: &str) -> String {
        let mut text = text.to_lowercase();
        let mut longest: Vec<&String> = self.phrases.iter().filter(|p| text.contains(p.as_str())).collect();
        longest.sort_by_key(|p| std::cmp::Reverse(p.len()));
        for phrase in longest {
            let mut left = String::new();
            let mut rest = text.as_str();
            while let Some(at) = rest.find(phrase.as_str()).filter(|_| !phrase.is_empty()) {
                let (before, after) = (&rest[..at], &rest[at + phrase.len()..]);
                let within = before.ends_with(char::is_alphabetic) || after.starts_with(char::is_alphabetic);
                left.push_str(before);
                left.push_str(if within { phrase } else { " " });
                rest = after;
            }
            left.push_str(rest);
            text = left;
        }
        text
    }
}

/// The words that documents are written in, as the pages about them show them.
fn vocabulary() -> BTreeSet<String> {
    let pages = [include_str!("../../docs/design-document.md"), include_str!("../../docs/notes.md")];
    let code = pages.iter().flat_map(|page| page.split('`').skip(1).step_by(2));
    code.flat_map(|c| words(c).collect::<Vec<_>>()).chain(["check".to_string()]).collect()
}

/// The words of a text that stand outside the marks and are not names.
fn unmarked(text: &str, known: &Known) -> Vec<String> {
    let mut outside = String::new();
    let mut inside = false;
    for c in text.chars() {
        match c {
            c if c == MARKS[0] => inside = true,
            c if c == MARKS[1] => {
                inside = false;
                outside.push(' ');
            }
            c if !inside => outside.push(c),
            _ => {}
        }
    }
    words(&known.without_phrases(&outside)).filter(|w| !known.words.contains(w)).collect()
}

/// The texts within what is printed for those who look at it in a debugger: every string, and of pictures their words.
fn texts(shown: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut chars = shown.chars();
    while chars.by_ref().any(|c| c == '"') {
        let mut text = String::new();
        while let Some(c) = chars.next() {
            match c {
                '"' => break,
                '\\' => match chars.next() {
                    Some('n') => text.push('\n'),
                    Some('u') => {
                        let code: String = chars.by_ref().skip(1).take_while(|c| *c != '}').collect();
                        text.extend(u32::from_str_radix(&code, 16).ok().and_then(char::from_u32));
                    }
                    Some(c) => text.push(c),
                    None => break,
                },
                c => text.push(c),
            }
        }
        if text.starts_with("<svg") {
            all.extend(of_tags(&text));
        } else if !text.chars().all(|c| "v∙".contains(c)) {
            // The signs of a chart are no words.
            all.push(text);
        }
    }
    all
}

/// What stands between tags, and in the attributes that are read out.
fn of_tags(page: &str) -> Vec<String> {
    let mut all = Vec::new();
    for part in page.split('<').skip(1) {
        let (tag, text) = part.split_once('>').unwrap_or((part, ""));
        if ["style", "script", "textarea"].iter().any(|t| tag.starts_with(t)) {
            continue;
        }
        for read_out in ["alt=\"", "aria-label=\"", "title=\"", "placeholder=\""] {
            if let Some(at) = tag.find(&format!(" {read_out}")) {
                all.push(tag[at + 1 + read_out.len()..].split('"').next().unwrap_or_default().to_string());
            }
        }
        all.push(text.to_string());
    }
    let plain = |t: String| t.replace("&quot;", "\"").replace("&amp;", "&").replace("&lt;", "<").replace("&#39;", "'");
    all.into_iter().map(plain).collect()
}

/// Fails with every word that stands outside the marks.
fn all_marked(what: &str, texts: impl IntoIterator<Item = String>, known: &Known) {
    let mut seen = 0;
    let mut wrong: Vec<String> = Vec::new();
    for text in texts {
        seen += usize::from(text.contains(MARKS[0]));
        let left = unmarked(&text, known);
        if !left.is_empty() {
            wrong.push(format!("{left:?} in {text:?}"));
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(seen > 0, "{what}: something is told in the test language");
    assert!(wrong.is_empty(), "{what}: {} texts\n{}", wrong.len(), wrong.join("\n"));
}

/// The designs that can be knitted, proven.
fn proven() -> impl Iterator<Item = (String, Proven)> {
    designs().filter_map(|document| {
        let design = from_text_with(&document, &shelf()).0?;
        let all: Vec<usize> = (0..design.sizes.len()).collect();
        let proven = prove(&design, &all).proven?;
        Some((document, proven))
    })
}

#[test]
fn the_handout_has_no_other_words() {
    let mut told_of = 0;
    for (document, proven) in proven() {
        let all: Vec<usize> = (0..proven.sizes().len()).collect();
        let told = handout(&proven, &all, true).unwrap_or_else(|e| panic!("{e}\n{document}"));
        all_marked(&proven.design().title, texts(&format!("{told:?}")), &names(&document));
        told_of += 1;
    }
    assert!(told_of > 250, "{told_of} handouts");
}

#[test]
fn the_cues_have_no_other_words() {
    let (noted, _) = notes::from_text_with(include_str!("../../designs/ladder-cuff.notes"), &shelf());
    let noted = noted.unwrap();
    let cuff = prove_notes(&noted);
    let known = names(include_str!("../../designs/ladder-cuff.notes"));
    let told = |proven: &Proven, known: &Known| {
        let design = proven.design();
        for size in proven.sizes() {
            for piece in (0..size.pieces.len()).map(|k| size.proven(k).unwrap()) {
                let all = cues(piece, design.show);
                all_marked(&piece.plan().name.own, texts(&format!("{all:?}")), known);
                let stand = standings(piece, &design.machine.profile, &all, design.show.language);
                all_marked(&piece.plan().name.own, texts(&format!("{stand:?}")), known);
            }
        }
    };
    told(&cuff.proven.unwrap(), &known);
    for (document, proven) in proven() {
        told(&proven, &names(&document));
    }
}

/// Notices as they are shown.
fn told(notices: &Notices, outcome: Option<&Outcome>) -> Vec<String> {
    let found = outcome.into_iter().flat_map(|o| o.notices.iter().map(|n| &n.1));
    let told = notices.0.iter().chain(found).map(|n| n.told(Language::Marked));
    told.flat_map(|t| t.hints.into_iter().chain([t.message, t.why])).collect()
}

#[test]
fn the_findings_have_no_other_words() {
    let mut told_of = 0;
    for file in [include_str!("../suite/notes/faulty.notes"), include_str!("../suite/notes/craft.notes")] {
        for (name, document, _) in cases(file) {
            let (noted, notices) = notes::from_text_with(&document, &shelf());
            let outcome = noted.as_ref().map(prove_notes);
            let all = told(&notices, outcome.as_ref());
            if !all.is_empty() {
                told_of += 1;
                let mut known = names(&document).and_words_of(&document);
                known.words.extend(vocabulary());
                all_marked(&name, all, &known);
            }
        }
    }
    assert!(told_of > 20, "{told_of} cases tell something");
}

#[test]
fn the_pages_have_no_other_words() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("hat.kdl"), DESIGNS[0]).unwrap();
    let workshop = Workshop::open(folder.path(), &["--language", "marked"]);
    let mut known = names(DESIGNS[0]);
    // The examples that may be laid in the folder are documents too.
    for example in DESIGNS.iter().chain(&PATTERNS).chain([&include_str!("../../designs/ladder-cuff.notes")]) {
        known.phrases.extend(names(example).phrases);
    }
    known.words.extend(["kdl", "hat", "fine", "mid", "standard", "bulky", "letter"].map(str::to_string));
    for page in PAGES {
        let answer = workshop.get(page);
        assert_eq!(answer.status, 200, "{page}");
        let told = answer.text();
        let texts = if page.ends_with(".txt") { told.lines().map(str::to_string).collect() } else { of_tags(&told) };
        all_marked(page, texts, &known);
    }
}

#[test]
fn the_charts_and_the_beds_have_no_other_words() {
    for (document, proven) in proven().take(40) {
        let known = names(&document);
        let size = &proven.sizes()[0];
        for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
            let (language, profile) = (proven.design().show.language, &proven.design().machine.profile);
            let squared = chart(&plan.plan, &proof.run);
            let view = view_after(&plan.plan, profile, plan.plan.steps.len() / 2);
            let mut drawn = vec![squared.drawn(language), beds(&view, "", language)];
            drawn.extend(paths(&plan.plan).iter().map(|p| p.drawn(language)));
            // What a drawing says stands in its texts, and all of it in words beside it.
            let said = |p: &Picture| -> Vec<String> {
                let texts = p.svg.split("<text").skip(1).filter_map(|t| t.split_once('>')?.1.split('<').next());
                texts.map(str::to_string).chain([p.alt.clone()]).collect()
            };
            let signs = |w: &str| ["XxOu–•", "jvt", "Uu-"].iter().any(|of| w.chars().all(|c| of.contains(c)));
            let without =
                |text: String| text.split([' ', '|', '\n']).filter(|w| !signs(w)).collect::<Vec<_>>().join(" ");
            all_marked(&plan.name.own, drawn.iter().flat_map(said).map(without), &known);
        }
    }
}
