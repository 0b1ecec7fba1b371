//! The house kept as ARCHITECTURE.md says: arrows between rooms, a judge without floating point, heads on files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::{Path, PathBuf};

use latchwork_tests::workshop::program;

/// The rooms of the maker in reading order: each may use itself and those before it.
const ROOMS: [&str; 27] = [
    "units",
    "fact",
    "notice",
    "vocabulary",
    "text",
    "reader",
    "fabric",
    "motif",
    "measure",
    "design",
    "draft",
    "stitches",
    "plan",
    "fit",
    "notes",
    "wording",
    "words",
    "cloth",
    "check",
    "reach",
    "readback",
    "picture",
    "handout",
    "cues",
    "revise",
    "record",
    "trial",
];

/// What a room must not use although it comes before.
const FORBIDDEN: [(&str, &[&str]); 4] = [
    (
        "readback",
        &[
            "text", "fabric", "measure", "design", "draft", "stitches", "plan", "fit", "notes", "wording", "words",
            "cloth", "check", "reach",
        ],
    ),
    ("words", &["design", "draft", "stitches", "plan", "fit", "fabric", "measure"]),
    ("cloth", &["design", "draft", "stitches", "plan", "fit", "notes", "words"]),
    ("picture", &["words", "check", "cloth", "reach"]),
];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push(path);
        }
    }
    all.sort();
    all
}

fn room(path: &Path, root: &Path) -> String {
    let first = path.strip_prefix(root).unwrap().components().next().unwrap();
    first.as_os_str().to_str().unwrap().trim_end_matches(".rs").to_string()
}

#[test]
fn rooms_know_only_those_before_them() {
    let root = Path::new("../crates/latchwork/src");
    let lib = std::fs::read_to_string(root.join("lib.rs")).unwrap();
    let declared: Vec<&str> = lib
        .lines()
        .filter_map(|l| l.strip_prefix("pub mod ").or(l.strip_prefix("pub(crate) mod "))?.strip_suffix(';'))
        .collect();
    assert_eq!(declared, ROOMS, "lib.rs declares the rooms in reading order");
    let page = std::fs::read_to_string("../ARCHITECTURE.md").unwrap();
    for path in sources(root) {
        let here = room(&path, root);
        let Some(rank) = ROOMS.iter().position(|r| *r == here) else { continue };
        assert!(page.contains(&format!("| `{here}` |")), "ARCHITECTURE.md tells of {here}");
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(!text.contains("super::super"), "{}: reaches over its own room", path.display());
        for (n, line) in text.lines().enumerate() {
            for used in line.match_indices("crate::").map(|(i, _)| &line[i + 7..]) {
                let used: String = used.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let at = format!("{}:{}", path.display(), n + 1);
                if let Some(other) = ROOMS.iter().position(|r| *r == used) {
                    assert!(other <= rank, "{at}: {here} uses {used}, which comes after it");
                    let forbidden = FORBIDDEN.iter().find(|f| f.0 == here).map_or(&[][..], |f| f.1);
                    assert!(!forbidden.contains(&used.as_str()), "{at}: {here} must not use {used}");
                }
            }
            if here == "plan" {
                assert!(!line.contains("rehearsal::"), "{}:{}: the maker asks the judge", path.display(), n + 1);
            }
        }
    }
}

/// Past the reader of fabrics no room knows one by its name: what a fabric is stands in its document.
#[test]
fn no_room_asks_which_fabric_it_is() {
    let names: Vec<String> = latchwork::fabric::built_in().iter().map(|f| format!("\"{}\"", f.name)).collect();
    for here in ["stitches", "plan", "words", "cues", "cloth"] {
        for path in sources(&Path::new("../crates/latchwork/src").join(here)) {
            let text = std::fs::read_to_string(&path).unwrap();
            for (n, line) in text.lines().enumerate().filter(|l| !l.1.trim_start().starts_with("//")) {
                let at = format!("{}:{}: {line}", path.display(), n + 1);
                let compared = ["fabric.name ==", "fabric.name !=", "== s.fabric.name", "fabric::find", "fabric.also"];
                assert!(!compared.iter().any(|w| line.contains(w)), "{at}");
                assert!(!names.iter().any(|name| line.contains(name.as_str())), "{at}");
            }
        }
    }
}

/// One impl steps a bed: whoever must know what stands where asks the judge's tracker. The read-back hears the words
/// with a tracker of its own, on purpose.
#[test]
fn the_beds_are_stepped_in_one_place() {
    let pattern = |line: &str| {
        let line = line.trim();
        let of = [
            "Action::Rack(",
            "Action::Pitch(",
            "Action::Counter(",
            "Action::Start {",
            "Action::Hold(",
            "Action::Forward(",
        ];
        let kept = ["pitch", "racking", "counter", "side", "carriage", "held", "forward", "self.pitch", "self.racking"];
        let Some((matched, does)) = line.split_once("=> ") else { return false };
        let does = does.trim_start_matches(['(', '*']);
        of.iter().any(|a| matched.starts_with(a))
            && kept.iter().any(|k| {
                let rest = does.strip_prefix(k);
                rest.is_some_and(|r| [" = ", " += ", ", ", ".insert(", ".extend("].iter().any(|w| r.starts_with(w)))
            })
    };
    assert!(
        pattern("Action::Rack(r) => racking = *r,") && !pattern("Action::Rack(r) => say(racked(*r)),"),
        "it can fail"
    );
    for package in ["latchwork", "latchwork-thread", "latchwork-web", "latchwork-cli", "latchwork-print"] {
        let root = Path::new("../crates").join(package).join("src");
        for path in sources(&root).iter().filter(|p| room(p, &root) != "readback") {
            let text = std::fs::read_to_string(path).unwrap();
            for (n, line) in text.lines().enumerate() {
                assert!(!pattern(line), "{}:{}: a shadow of the beds: {line}", path.display(), n + 1);
            }
        }
    }
}

/// Literals of a source: those of more than one word, with the line that they begin on.
fn phrases(text: &str) -> Vec<(usize, String)> {
    let text = text.split("#[cfg(test)]").next().unwrap();
    let bytes: Vec<char> = text.chars().collect();
    let (mut i, mut line, mut all) = (0, 1, Vec::new());
    while i < bytes.len() {
        match bytes[i] {
            '\n' => line += 1,
            '/' if bytes.get(i + 1) == Some(&'/') => {
                while i + 1 < bytes.len() && bytes[i + 1] != '\n' {
                    i += 1;
                }
            }
            '\'' if bytes.get(i + 1) == Some(&'\\') => i += 3,
            '\'' if bytes.get(i + 2) == Some(&'\'') => i += 2,
            '"' => {
                let (begins, mut literal) = (line, String::new());
                i += 1;
                while i < bytes.len() && bytes[i] != '"' {
                    line += usize::from(bytes[i] == '\n');
                    if bytes[i] == '\\' {
                        i += 1;
                    } else {
                        literal.push(bytes[i]);
                    }
                    i += 1;
                }
                let word = |w: &str| w.chars().filter(|c| c.is_ascii_lowercase()).count() > 1 && !w.contains('{');
                let pairs: Vec<&str> = literal.split_whitespace().collect();
                if pairs.windows(2).any(|p| word(p[0]) && word(p[1])) {
                    all.push((begins, literal));
                }
            }
            _ => {}
        }
        i += 1;
    }
    all
}

/// What may stand in more than one word below the room that words: no sentence is among it.
const NO_SENTENCES: [(&str, &str); 13] = [
    ("text.rs", "what the parser of the document language says, to know its errors by"),
    ("measure/bodies.rs", "sources of tables, as they are cited"),
    ("measure/ease.rs", "names of a design document's parts, and sources"),
    ("measure/machines.rs", "words that a design document gives its own names to"),
    ("measure/person.rs", "what an estimate is made from, as a document names it"),
    ("measure/swatch.rs", "words of a design document"),
    ("motif.rs", "words of a fabric's document"),
    ("fabric/", "words of a fabric's document, and sources as they are cited"),
    ("design/", "words of a design document, and examples of them"),
    ("plan/build.rs", "names of yarns that every plan has"),
    ("notes/", "words that notes are written in"),
    ("check/fabric.rs", "a design document that tries a fabric"),
    ("check/mend.rs", "lines that are put into notes"),
];

/// Facts below, sentences above: rooms before the one that words, and the driver after it, hold no sentence.
#[test]
fn no_sentence_stands_below_the_room_that_words() {
    let root = Path::new("../crates/latchwork/src");
    let words = ROOMS.iter().position(|r| *r == "wording").unwrap();
    let mut used = std::collections::BTreeSet::new();
    for path in sources(root) {
        let here = room(&path, root);
        let below = ROOMS.iter().position(|r| *r == here).is_some_and(|rank| rank < words);
        if !below && here != "check" {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let file = path.strip_prefix(root).unwrap().to_string_lossy().to_string();
        for (line, literal) in phrases(&text) {
            // Lints and assertions are for developers.
            let of = text.lines().nth(line - 1).unwrap_or_default();
            if of.contains("reason = ") || of.contains("assert") {
                continue;
            }
            let allowed = NO_SENTENCES.iter().find(|a| file.starts_with(a.0));
            let begins = literal.trim_start_matches(|c: char| !c.is_alphabetic());
            // A comment that is put into a document is in the language of the document's words.
            let comment = literal.starts_with("//");
            let sentence = !comment && literal.ends_with(['.', '?']) && begins.starts_with(char::is_uppercase);
            assert!(allowed.is_some() && !sentence, "{file}:{line}: {literal:?} belongs in wording");
            used.extend(allowed.map(|a| a.0));
        }
    }
    for (file, reason) in NO_SENTENCES {
        assert!(used.contains(file), "{file} needs no exception: {reason}");
    }
    // A test that cannot fail is a defect.
    assert_eq!(phrases("let a = \"It is so.\"; // \"not so\"\nlet b = \"x y\";"), [(1, "It is so.".to_string())]);
}

/// The README's table is what the program prints.
#[test]
fn the_tour_shows_what_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    let made = std::process::Command::new(program()).arg("make").current_dir(folder.path()).output().unwrap();
    let printed = String::from_utf8(made.stdout).unwrap();
    let readme = std::fs::read_to_string("../README.md").unwrap();
    let table = |text: &str| {
        let lines = text.lines().skip_while(|l| !l.starts_with("size  ")).take_while(|l| !l.is_empty());
        lines.map(str::to_string).collect::<Vec<_>>()
    };
    assert!(table(&printed).len() > 15, "{printed}");
    assert_eq!(table(&readme), table(&printed));
}

/// A type that was renamed once took a sentence's first word with it.
#[test]
fn no_sentence_names_a_type() {
    for path in sources(Path::new("../crates/latchwork/src/wording")) {
        let text = std::fs::read_to_string(&path).unwrap();
        for (n, line) in text.lines().enumerate() {
            for quoted in line.split('"').skip(1).step_by(2) {
                let letters: Vec<char> = quoted.chars().collect();
                let joined = letters.windows(2).any(|w| w[0].is_lowercase() && w[1].is_uppercase());
                assert!(!joined, "{}:{}: {quoted}", path.display(), n + 1);
            }
        }
    }
}

/// The templates of print set words and hold none.
#[test]
fn the_print_templates_hold_no_words() {
    for file in ["handout.typ", "card.typ", "common.typ"] {
        let text = std::fs::read_to_string(Path::new("../crates/latchwork-print/src").join(file)).unwrap();
        for (n, line) in text.lines().enumerate() {
            let line = line.split("//").next().unwrap();
            let bare: String = line.split('"').step_by(2).collect();
            let heading = bare.trim_start().trim_start_matches('=');
            let titled = bare.trim_start().starts_with("= ") && heading.trim_start().starts_with(char::is_alphabetic);
            let content = bare.split('[').skip(1).any(|c| c.chars().take_while(|c| c.is_alphabetic()).count() > 2);
            let prose = !bare.contains('(')
                && bare.split_whitespace().filter(|w| w.chars().all(char::is_alphabetic)).count() > 6;
            assert!(!titled && !content && !prose, "{file}:{}: {line}", n + 1);
        }
    }
}

#[test]
fn the_judge_has_whole_numbers_only_and_depends_on_nothing() {
    let root = Path::new("../crates/latchwork-machine");
    for path in sources(&root.join("src")) {
        let text = std::fs::read_to_string(&path).unwrap();
        for (n, line) in text.lines().enumerate() {
            assert!(!line.contains("f64") && !line.contains("f32"), "{}:{}: a float", path.display(), n + 1);
        }
    }
    let manifest = std::fs::read_to_string(root.join("Cargo.toml")).unwrap();
    assert!(!manifest.contains("[dependencies]"), "the judge depends on std alone");
}

#[test]
fn the_thread_knows_the_judge_alone() {
    let manifest = std::fs::read_to_string("../crates/latchwork-thread/Cargo.toml").unwrap();
    let (_, after) = manifest.split_once("[dependencies]\n").unwrap();
    let names = after.lines().take_while(|l| !l.is_empty()).map(|l| l.split(['.', ' ']).next().unwrap_or_default());
    let named: Vec<&str> = names.collect();
    assert_eq!(named, ["latchwork-machine", "faer"], "and one library for sparse matrices");
}

#[test]
fn the_core_is_pure() {
    let banned = ["std::fs", "std::env", "std::net", "std::thread", "SystemTime", "Instant", "HashMap", "HashSet"];
    for package in ["latchwork-machine", "latchwork-thread", "latchwork"] {
        for path in sources(&Path::new("../crates").join(package).join("src")) {
            let text = std::fs::read_to_string(&path).unwrap();
            for word in banned {
                assert!(!text.contains(word), "{}: {word}", path.display());
            }
        }
    }
}

/// Files are written by one package: nobody else opens one to write, or puts one in another's place.
#[test]
fn files_are_written_in_one_way() {
    let banned = ["fs::write", "File::create", "File::options", "OpenOptions", "fs::rename", "fs::copy", "remove_file"];
    let allowed = [
        // A database, which writes by itself: what is left of a damaged one is moved out of the way.
        ("journal/store.rs", &["fs::rename", "remove_file"][..]),
        // A lock, and the address beside it, which ends with it.
        ("only.rs", &["OpenOptions", "remove_file"]),
        // The last act of putting a document away, once it is written elsewhere.
        ("kept.rs", &["remove_file"]),
        // The starters, gathered while the program is built.
        ("crates/latchwork/build.rs", &["fs::write"]),
        // What is kept can be made again, and makes room.
        ("web/src/store.rs", &["remove_file", "File::options"]),
    ];
    for path in sources(Path::new("../crates")).iter().filter(|p| !p.starts_with("../crates/latchwork-files")) {
        let may = allowed.iter().find(|a| path.to_string_lossy().ends_with(a.0)).map_or(&[][..], |a| a.1);
        let text = std::fs::read_to_string(path).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap();
        for word in banned.iter().filter(|w| !may.contains(w)) {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
    }
}

#[test]
fn every_file_says_what_it_is_and_is_short_enough_to_read() {
    for folder in ["../crates", "src", "tests", "../benches"] {
        for path in sources(Path::new(folder)) {
            let text = std::fs::read_to_string(&path).unwrap();
            assert!(text.starts_with("//! "), "{}", path.display());
            // Readable in one sitting. A function's lines are counted by clippy (clippy.toml).
            assert!(text.lines().count() <= 600, "{} is longer than 600 lines", path.display());
        }
    }
}

/// The words of the design document are all explained.
#[test]
fn the_design_document_page_is_complete() {
    let page = std::fs::read_to_string("../docs/design-document.md").unwrap();
    for path in sources(Path::new("../crates/latchwork/src/design")) {
        let text = std::fs::read_to_string(&path).unwrap();
        for call in ["inside.one(\"", "within.one(\"", "top.one(\"", "top.all(\"", "inside.all(\""] {
            for (i, _) in text.match_indices(call) {
                let word: String = text[i + call.len()..].chars().take_while(|c| *c != '"').collect();
                let told = page.contains(&format!("`{word}`")) || page.contains(&format!("## {word}\n"));
                assert!(told, "docs/design-document.md does not explain {word}");
            }
        }
    }
}
