//! The printed words read back: from the finished PDF, and with one fault planted in each of many handouts.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::process::Command;

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::handout::{Handout, PieceText, glossary, handout, heard_as_planned, proofread};
use latchwork::readback::{deeds, read_back};
use latchwork::trial::{FABRICS, SHAPINGS, Seed, Tally, Tried, combinations, document, tried};
use latchwork_machine::needle::{Bed, Needle, Slot};
use latchwork_machine::steps::{Action, Leaves, Move, Origin, Plan, Step};
use latchwork_print::{Paper, Type, pdf};

const EXAMPLES: [&str; 3] = [
    include_str!("../../designs/deck-hat.kdl"),
    include_str!("../../designs/wrist-warmers.kdl"),
    include_str!("../../designs/scarf.kdl"),
];

fn proven(text: &str) -> Option<Proven> {
    let (design, _) = from_text(text);
    let design = design?;
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    prove(&design, &all).proven
}

/// Transfers without a needle in common do the same in any order, along a bed or across; those that share one do not.
#[test]
fn transfers_in_any_order_that_does_the_same() {
    let needle = |bed, slot| Needle { bed, slot: Slot(slot) };
    let (main, ribber) = (|s| needle(Bed::Main, s), |s| needle(Bed::Ribber, s));
    let of = |moves: &[(Needle, Needle)]| {
        let step = |(from, to): &(Needle, Needle)| Step {
            action: Action::Transfer(Move { from: *from, to: *to, leaves: Leaves::Out }),
            origin: Origin(0),
        };
        deeds(&Plan { steps: moves.iter().map(step).collect() })
    };
    let (along, across, after) = ((ribber(0), ribber(1)), (main(10), ribber(10)), (ribber(1), main(1)));
    assert_eq!(of(&[along, across]), of(&[across, along]));
    assert_eq!(of(&[along, across, after]), of(&[across, along, after]));
    assert_eq!(of(&[along, after, across]), of(&[across, along, after]));
    assert_ne!(of(&[along, after]), of(&[after, along]));
    assert_ne!(of(&[after, along, across]), of(&[along, across, after]));
}

/// What is wrong with the words of a piece, in any of its sizes.
fn wrong(p: &Proven, sizes: &[usize], piece: usize, text: &str) -> Option<String> {
    let names: Vec<String> = sizes.iter().map(|i| p.design().sizes[p.sizes()[*i].size].name.clone()).collect();
    let plan = |i: usize| &p.sizes()[i].plans.pieces[piece];
    match read_back(text, &glossary(names, plan(sizes[0]), p.design().show.language)) {
        Err(misread) => Some(misread.to_string()),
        Ok(heard) => sizes.iter().zip(&heard).find_map(|(i, h)| heard_as_planned(h, plan(*i), p.design().show)),
    }
}

/// The text of the steps of each piece, from what an outside extractor takes from the PDF. Each page ends with its
/// folio; each piece begins with its heading, and its table with the column heads.
fn printed(sheet: &Handout, bytes: &[u8]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("handout.pdf");
    std::fs::write(&path, bytes).unwrap();
    let out = Command::new("pdftotext").args(["-raw", path.to_str().unwrap(), "-"]).output().expect("run ./check");
    let text = String::from_utf8(out.stdout).unwrap();
    let heads = "step done counter carriage what to do";
    let mut all: Vec<&str> = Vec::new();
    for page in text.split('\u{c}') {
        let mut lines: Vec<&str> = page.lines().collect();
        lines.pop();
        // A long folio takes two lines.
        while lines.last().is_some_and(|l| l.starts_with(&sheet.folio[..sheet.folio.len().min(20)])) {
            lines.pop();
        }
        all.extend(lines);
    }
    let begin = all.iter().position(|l| *l == "Before the first row").unwrap();
    let end = begin + all[begin..].iter().position(|l| *l == "Making up").unwrap_or(all.len() - begin);
    let all = &all[begin..end];
    let titles: Vec<usize> = sheet
        .pieces
        .iter()
        .map(|p| all.iter().position(|l| *l == p.title).unwrap_or_else(|| panic!("{}", p.title)))
        .collect();
    titles
        .iter()
        .enumerate()
        .map(|(k, at)| {
            let until = titles.get(k + 1).copied().unwrap_or(all.len());
            let steps = &all[*at..until];
            let first = steps.iter().position(|l| *l == heads || l.starts_with("Chart ")).unwrap();
            let steps = &steps[first..];
            // A table of shapings that goes on over the page repeats its head.
            let again = |i: usize, l: &str| {
                l.starts_with("no. ")
                    && steps[i + 1..].iter().find(|l| **l != heads).is_some_and(|l| !l.starts_with("1 "))
            };
            let kept = steps.iter().enumerate().filter(|(i, l)| **l != heads && !again(*i, l)).map(|(_, l)| *l);
            // A line that ends with a hyphen goes on with its word.
            kept.collect::<Vec<&str>>().join("\n").replace("-\n", "-")
        })
        .collect()
}

#[test]
fn the_finished_pdf_reads_back_as_the_plan() {
    for text in EXAMPLES {
        let p = proven(text).unwrap();
        let all: Vec<usize> = (0..p.sizes().len()).collect();
        let mut sheets: Vec<Vec<usize>> = vec![all.clone()];
        sheets.extend(all.iter().map(|i| vec![*i]));
        for sizes in sheets {
            let sheet = handout(&p, &sizes, false).unwrap();
            for (paper, type_size) in
                [(Paper::A4, Type::Normal), (Paper::Letter, Type::Normal), (Paper::A4, Type::Large)]
            {
                let texts = printed(&sheet, &pdf(&sheet, paper, type_size).unwrap());
                for (piece, text) in texts.iter().enumerate() {
                    let wrong = wrong(&p, &sizes, piece, text);
                    assert_eq!(wrong, None, "{} in {} sizes:\n{text}", sheet.pieces[piece].title, sizes.len());
                }
            }
        }
    }
}

#[test]
fn random_designs_read_back_as_planned() {
    let mut tally = Tally::default();
    let combinations = combinations(FABRICS.len(), SHAPINGS);
    // Every combination of fabric, shaping and ending several times.
    (1_100_000..1_123_000).for_each(|n| tally.try_one(n, &combinations));
    assert_eq!(tally.wrong, []);
    assert!(tally.same > 6_000, "most made-up designs can be knitted: {}", tally.same);
    let missing: Vec<_> = combinations.iter().filter(|c| !tally.occurred.contains_key(c)).collect();
    assert!(missing.is_empty(), "never proven: {missing:?}");
}

/// The fabrics that these numbers were found among.
const BEFORE: usize = 23;

/// Designs whose words once did not say the steps: claws moved up within what is repeated, or before it; a repeat that took
/// in a line of another size.
#[test]
fn designs_that_once_differed_read_back() {
    let combinations = combinations(BEFORE, 7);
    for number in [908, 23_710, 43_317, 4_102, 21_429, 22_341, 24_619, 26_443, 42_400] {
        let seed = Seed { stripes: 0, panel: 0, ..Seed::from_number(number, &combinations) };
        assert_eq!(tried(&seed), Tried::Same, "{number}");
    }
}

/// Sizes that repeat the same rows share a line, though their needles have other numbers.
#[test]
fn sizes_that_repeat_alike_share_a_line() {
    let seed = Seed { stripes: 0, panel: 0, ..Seed::from_number(24_619, &combinations(BEFORE, 7)) };
    let p = proven(&document(&seed)).unwrap();
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    let text: Vec<String> = proofread(&p, &all).unwrap().iter().map(PieceText::lines).collect();
    let told: Vec<&str> = text[0].lines().filter_map(|l| l.split_once(" 017 ")).map(|l| l.1).collect();
    assert!(told.contains(&"Repeat steps 6 to 8, 1 more time."), "{told:?}");
    assert!(!told.iter().any(|l| l.contains("only.")), "{told:?}");
}

/// Text with one thing changed: a number made one more, two figures of a bracket exchanged, or a word replaced.
fn planted(text: &str, n: usize) -> Option<(String, &'static str)> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let at = (n * 7919) % words.len();
    let mut new: Vec<String> = words.iter().map(|w| (*w).to_string()).collect();
    match n % 3 {
        0 => {
            // The last step of a repeat may be one more without a difference, where that step is another size's.
            let repeats = |i: usize| i > 2 && words[i - 3] == "steps";
            // A row of a chart may be the same as the next.
            let of_chart =
                |i: usize| words.get(i + 1..i + 3).is_some_and(|w| w[0] == "of" && w[1].starts_with("chart"));
            let figure = |i: &usize| words[*i].chars().any(|c| c.is_ascii_digit()) && !repeats(*i) && !of_chart(*i);
            let i = (at..words.len()).find(figure)?;
            let digits: String = words[i].chars().filter(char::is_ascii_digit).collect();
            let more = format!("{:0w$}", digits.parse::<u32>().ok()? + 1, w = digits.len());
            new[i] = words[i].replacen(&digits, &more, 1);
            (new[i] != words[i]).then(|| (new.join(" "), "number"))
        }
        1 => {
            let i = (at..words.len() - 1).find(|i| words[*i + 1].starts_with('('))?;
            let inner = words[i + 1].trim_matches(|c: char| !c.is_alphanumeric());
            let first = words[i].trim_matches(|c: char| !c.is_alphanumeric());
            let figure = |w: &str| w.chars().next_back().is_some_and(|c| c.is_ascii_digit());
            if inner == first || !figure(inner) || !figure(first) {
                return None;
            }
            new[i] = words[i].replace(first, inner);
            new[i + 1] = words[i + 1].replace(inner, first);
            Some((new.join(" "), "bracket"))
        }
        _ => {
            let i = (at..words.len()).find(|i| words[*i].chars().all(char::is_alphabetic))?;
            let other =
                words.iter().cycle().skip(at + 13).find(|w| w.chars().all(char::is_alphabetic) && **w != words[i])?;
            new[i] = (*other).to_string();
            Some((new.join(" "), "word"))
        }
    }
}

/// One fault in each of 500 handouts; every one is caught or refused.
#[test]
fn planted_faults_are_caught() {
    let combinations = combinations(FABRICS.len(), SHAPINGS);
    let mut caught = std::collections::BTreeMap::new();
    let mut number = 0;
    let mut handouts = 0;
    while handouts < 500 {
        number += 1;
        let Some(p) = proven(&document(&Seed::from_number(number, &combinations))) else { continue };
        let all: Vec<usize> = (0..p.sizes().len()).collect();
        let pieces: Vec<PieceText> = proofread(&p, &all).unwrap();
        let n = usize::try_from(number).unwrap();
        let piece = n % pieces.len();
        let text = pieces[piece].lines();
        assert_eq!(wrong(&p, &all, piece, &text), None);
        let Some((faulty, kind)) = planted(&text, n) else { continue };
        handouts += 1;
        *caught.entry(kind).or_insert(0) += 1;
        assert!(
            wrong(&p, &all, piece, &faulty).is_some(),
            "design {number}, a {kind} changed, not caught:\n{text}\n---\n{faulty}"
        );
    }
    assert!(caught.len() == 3 && caught.values().all(|n| *n > 50), "{caught:?}");
}

/// A figure where a size has no such step is refused: its place holds a dash.
#[test]
fn a_size_without_a_step_keeps_its_place() {
    let p = proven(EXAMPLES[1]).unwrap();
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    let text = proofread(&p, &all).unwrap()[0].lines();
    assert_eq!(wrong(&p, &all, 0, &text), None);
    assert!(text.contains("at counter 027 (027, –, –, 057, 057): move"), "{text}");
    let filled = text.replacen("(027, –, –, 057, 057)", "(027, 027, –, 057, 057)", 1);
    assert!(wrong(&p, &all, 0, &filled).is_some());
    let dropped = text.replacen("(027, –, –, 057, 057)", "(027, 057, 057)", 1);
    assert!(wrong(&p, &all, 0, &dropped).is_some());
}
