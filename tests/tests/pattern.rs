//! The handout as a pattern that is sold: what its author says of it, its photograph, its pages, the bench sheet, the author's copy.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::io::Cursor;
use std::process::Command;

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::fact::DesignFact;
use latchwork::handout::{BenchPiece, Handout, PieceText, StepText, bench, for_author, handout};
use latchwork::measure::BUILT_IN;
use latchwork::notice::{Notice, Span};
use latchwork::picture::schematic;
use latchwork::revise::{Asked, Starter};
use latchwork::stitches::Stitches;
use latchwork::trial::{FABRICS, SHAPINGS, Seed, combinations, document};
use latchwork::wording::{Language, printed};
use latchwork::words::Token;
use latchwork_print::{NoPhoto, Paper, Type, bench_pdf, pdf, photo};
use latchwork_tests::sample;
use latchwork_tests::workshop::{Workshop, program};

const HAT: &str = include_str!("../../designs/deck-hat.kdl");

/// The hat without what its author says of it.
fn bare() -> String {
    let said =
        ["level", "sample", "construction", "tester", "licence", "copyright", "contact", "blocking", "    shade"];
    let kept = HAT.lines().filter(|l| !said.iter().any(|w| l.starts_with(&format!("{w} "))));
    kept.collect::<Vec<&str>>().join("\n") + "\n"
}

/// That with more lines at its head.
fn hat(lines: &str) -> String {
    bare().replacen("machine \"standard\"", &format!("{lines}\nmachine \"standard\""), 1)
}

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    prove(&design, &all).proven.unwrap()
}

fn sheet(text: &str) -> Handout {
    let p = proven(text);
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    handout(&p, &all, false).unwrap()
}

/// What an outside extractor reads on each page.
fn read(bytes: &[u8]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("t.pdf");
    std::fs::write(&path, bytes).unwrap();
    let out = Command::new("pdftotext").args(["-raw", path.to_str().unwrap(), "-"]).output().expect("run ./check");
    let text = String::from_utf8(out.stdout).unwrap();
    text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_string).collect()
}

fn flowed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const PUBLISHED: &str = r#"level "You have knitted rib."
sample "57"
construction "One flat piece, gathered, with a seam at the back."
tester "In size 51 by one of the crew (invented)."
licence "Knit it, and sell what you knit."
copyright "The crew, 2026 (invented)"
contact "The mate's office, Tern Island (invented)"
blocking "Dry flat to measure."
abbreviation "st" "stitch"
abbreviation "WY" "waste yarn"
note "Leave 1 st at each end.""#;

#[test]
fn what_an_author_says_of_a_pattern_is_printed_and_nothing_else() {
    let h = sheet(&hat(PUBLISHED).replace("colour \"#8B9499\"", "colour \"#8B9499\"; shade \"Tern\""));
    let text = flowed(&read(&pdf(&h, Paper::A4, Type::Normal).unwrap()).concat());
    for words in [
        "Level You have knitted rib.",
        "Sample size 57",
        "Made as One flat piece, gathered, with a seam at the back.",
        "harbour sock, shade Tern",
        "Tested. In size 51 by one of the crew (invented).",
        "Use. Knit it, and sell what you knit.",
        "Copyright. The crew, 2026 (invented)",
        "Contact. The mate's office, Tern Island (invented)",
        "Blocking. Dry flat to measure.",
        "Abbreviations st stitch",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
    assert!(!text.contains("WY"), "an abbreviation that no text uses is not printed");
    assert_eq!(h.finished.sample, Some(3));
    let bare = flowed(&read(&pdf(&sheet(&bare()), Paper::A4, Type::Normal).unwrap()).concat());
    for words in ["Level", "Sample", "Tested.", "Use.", "Copyright.", "Contact.", "Blocking.", "Abbreviations"] {
        assert!(!bare.contains(words), "{words} was not given");
    }
}

#[test]
fn what_cannot_be_published_is_told_at_its_line() {
    for (line, says) in [
        ("sample \"58\"", "58"),
        ("photo \"../hat.jpg\"", "beside the document"),
        ("photo \"/etc/hat.jpg\"", "beside the document"),
        ("abbreviation \"st\"", "two texts"),
        ("level \"a\" \"b\"", "level"),
    ] {
        let (design, notices) = from_text(&hat(line));
        assert!(design.is_none(), "{line}");
        let n = &notices.0[0];
        let at = hat(line).find(line).unwrap();
        assert!(n.span.is_some_and(|s| s.start >= at && s.start < at + line.len()), "{line}: {n:?}");
        let told = n.told(Language::English);
        assert!(format!("{} {}", told.message, told.hints.join(" ")).contains(says), "{line}: {told:?}");
    }
    // A contact that is a script is text, and nothing that a reader of the PDF runs.
    let bytes = pdf(&sheet(&hat("contact \"javascript:alert(1)\"")), Paper::A4, Type::Normal).unwrap();
    let has = |what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
    assert!(!has(b"/JavaScript") && !has(b"/URI") && !has(b"/Action"));
}

/// A picture with what a camera notes beside it: its maker, a place, and that it lies on its side.
fn from_a_camera(width: u32, height: u32) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(width, height, |x, _| image::Rgb([if x < width / 2 { 250 } else { 5 }; 3]));
    let mut jpeg = Cursor::new(Vec::new());
    picture.write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
    let jpeg = jpeg.into_inner();
    // TIFF 6.0 within Exif 2.3: two entries, orientation 6 and the maker.
    let mut exif = b"Exif\0\0II*\0\x08\0\0\0\x02\0".to_vec();
    exif.extend(b"\x0f\x01\x02\0\x0a\0\0\0\x26\0\0\0");
    exif.extend(b"\x12\x01\x03\0\x01\0\0\0\x06\0\0\0");
    exif.extend(b"\0\0\0\0SECRETCAM\0GPS 58 12 03 N\0");
    let mut all = jpeg[..2].to_vec();
    all.extend([0xff, 0xe1]);
    all.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
    all.extend(exif);
    all.extend(&jpeg[2..]);
    all
}

#[test]
fn a_photograph_goes_without_what_the_camera_noted() {
    let taken = from_a_camera(600, 300);
    let has = |bytes: &[u8], what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
    assert!(has(&taken, b"SECRETCAM") && has(&taken, b"GPS"));
    let made = photo(&taken).unwrap();
    assert!(!has(&made, b"SECRETCAM") && !has(&made, b"GPS") && !has(&made, b"Exif"));
    let picture = image::load_from_memory(&made).unwrap().to_rgb8();
    assert_eq!(picture.dimensions(), (300, 600), "turned upright");
    assert!(picture.get_pixel(150, 20)[0] > 200 && picture.get_pixel(150, 580)[0] < 50, "its left is now above");
    for format in [image::ImageFormat::Png, image::ImageFormat::WebP] {
        let mut bytes = Cursor::new(Vec::new());
        image::RgbImage::new(40, 30).write_to(&mut bytes, format).unwrap();
        let read = image::load_from_memory(&photo(&bytes.into_inner()).unwrap()).unwrap();
        assert_eq!((read.width(), read.height()), (40, 30), "{format:?}");
    }
    // No larger than a page needs.
    let wide = image::load_from_memory(&photo(&from_a_camera(3_000, 1_000)).unwrap()).unwrap();
    assert_eq!((wide.width(), wide.height()), (800, 2_400));
}

#[test]
fn what_is_no_photograph_is_told() {
    assert_eq!(photo(b"not a picture"), Err(NoPhoto::NotOne));
    let taken = from_a_camera(64, 64);
    assert_eq!(photo(&taken[..taken.len() / 3]), Err(NoPhoto::NotOne));
    // A header that says ten thousand megapixels is believed, and nothing is decoded.
    let mut png = Cursor::new(Vec::new());
    image::RgbImage::new(4, 4).write_to(&mut png, image::ImageFormat::Png).unwrap();
    let mut png = png.into_inner();
    png[16..24].copy_from_slice(&[0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0]);
    let crc = crc(&png[12..29]);
    png[29..33].copy_from_slice(&crc.to_be_bytes());
    assert!(matches!(photo(&png), Err(NoPhoto::TooWide { megapixels: 10_000, .. })), "{:?}", photo(&png));
    // At the line of the document, and nothing is written.
    let folder = tempfile::tempdir().unwrap();
    let told = |file: &str| {
        std::fs::write(folder.path().join("hat.kdl"), hat(&format!("photo \"{file}\""))).unwrap();
        let out = Command::new(program()).args(["make", "hat.kdl"]).current_dir(folder.path()).output().unwrap();
        assert_eq!(out.status.code(), Some(1));
        assert!(!folder.path().join("out").exists());
        let told = String::from_utf8(out.stderr).unwrap();
        assert!(told.contains("[hat.kdl:10:1]"), "{told}");
        told
    };
    assert!(told("none.jpg").contains("The photograph none.jpg cannot be read"));
    std::fs::write(folder.path().join("text.jpg"), "text").unwrap();
    assert!(told("text.jpg").contains("text.jpg is not a photograph that can be read."));
    let large = std::fs::File::create(folder.path().join("large.jpg")).unwrap();
    large.set_len(200_000_000).unwrap();
    assert!(told("large.jpg").contains("The photograph large.jpg has 200 MB. The most is 50 MB."));
}

/// CRC-32 of PNG (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    let mut c = u32::MAX;
    for b in bytes {
        c ^= u32::from(*b);
        for _ in 0..8 {
            c = if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 };
        }
    }
    !c
}

#[test]
fn a_photograph_is_the_cover() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("hat.jpg"), from_a_camera(300, 200)).unwrap();
    std::fs::write(folder.path().join("hat.kdl"), hat("photo \"hat.jpg\" shows=\"The hat on deck\"")).unwrap();
    let args = ["make", "hat.kdl", "--out", ".", "--paper", "a4"];
    let out = Command::new(program()).args(args).current_dir(folder.path()).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let bytes = std::fs::read(folder.path().join("handout-a4.pdf")).unwrap();
    let has = |what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
    assert!(!has(b"SECRETCAM"));
    let pages = read(&bytes);
    assert!(pages[0].contains("Deck hat") && pages[0].contains("Sizes") && !pages[0].contains("Gauge"), "{}", pages[0]);
    assert!(pages[1].contains("Finished measurements"));
}

/// A title of 300 letters, thirty sizes: laid out, and nothing lost.
#[test]
fn long_titles_and_many_sizes_are_laid_out() {
    let title = "Deck hat for the winter crossing ".repeat(9).trim().to_string();
    let text = HAT.replacen("\"Deck hat\"", &format!("\"{title}\""), 1);
    for type_size in [Type::Normal, Type::Large] {
        let pages = read(&pdf(&sheet(&text), Paper::A4, type_size).unwrap());
        let first = flowed(&pages[0]).replace("- ", "");
        assert!(first.contains(&title), "{first}");
    }
}

/// The head of a table of steps, and what may be read at the top of a page beneath it.
const HEAD: &str = "step done counter carriage what to do";

/// On no page is a heading the last thing, and no step begins on one page and ends on the next, in
/// made-up designs: 500 by `./check whole`.
#[test]
fn pages_end_between_things() {
    let combinations = combinations(FABRICS.len(), SHAPINGS);
    let words = printed(Language::English);
    let word = |name: &str| words.iter().find(|w| w.0 == name).unwrap().1.clone();
    let names = [
        "finished",
        "takes",
        "yarn",
        "gauge",
        "needles",
        "stitch-sizes",
        "how-to-read",
        "before",
        "making-up",
        "trouble",
        "care",
        "notes",
        "errata",
    ];
    let titles: Vec<String> = names.iter().map(|n| word(n)).collect();
    let (mut tried, mut number, mut breaks) = (0, 7_000_000, 0);
    let asked = sample::of(150, 500);
    while tried < asked {
        number += 1;
        let Some(design) = from_text(&document(&Seed::from_number(number, &combinations))).0 else { continue };
        let all: Vec<usize> = (0..design.sizes.len()).collect();
        let outcome = prove(&design, &all);
        let Some(p) = outcome.printable() else { continue };
        let all: Vec<usize> = (0..p.sizes().len()).collect();
        let h = handout(p, &all, false).unwrap();
        tried += 1;
        let (paper, type_size) =
            [(Paper::A4, Type::Normal), (Paper::Letter, Type::Normal), (Paper::A4, Type::Large)][tried % 3];
        let steps: usize = h.pieces.iter().map(|p| p.steps.len()).sum();
        let mut begun = 0;
        for (i, page) in read(&pdf(&h, paper, type_size).unwrap()).iter().enumerate() {
            let mut lines: Vec<&str> = page.lines().collect();
            lines.pop();
            while lines.last().is_some_and(|l| {
                l.starts_with(&h.folio[..h.folio.len().min(12)]) || l.ends_with("Rehearsed needle by needle.")
            }) {
                lines.pop();
            }
            let Some(last) = lines.last() else { panic!("design {number}: page {} is empty", i + 1) };
            let heading = titles.iter().any(|t| t == last)
                || h.pieces.iter().any(|p| p.title == *last || (!p.intro.is_empty() && p.intro.ends_with(last)))
                || *last == HEAD
                || last.starts_with("Each time: counter")
                || (last.starts_with("Size") && last.contains(" time") && last.ends_with(':'));
            assert!(!heading, "design {number}, page {}: ends with {last}", i + 1);
            for (at, line) in lines.iter().enumerate().filter(|(_, l)| **l == HEAD) {
                let next = lines[at + 1];
                let tally = next.contains(" time") && next.ends_with(':');
                let step = next.split(' ').next().and_then(|n| n.parse::<usize>().ok());
                assert!(tally || step.is_some(), "design {number}, page {}: after {line} comes {next}", i + 1);
                assert!(step != Some(2), "design {number}, page {}: one step alone under its heading", i + 1);
                begun += step.is_some_and(|n| n > 1) as usize;
            }
        }
        breaks += begun;
        assert!(steps > 0);
    }
    assert!(breaks * 2 > asked, "{breaks} pages begin within the steps of a piece");
}

/// A bench sheet has one size, no brackets, every counter reading of the handout, and two pages where that can be.
#[test]
fn a_bench_sheet_is_two_pages_of_one_size() {
    for text in [HAT, include_str!("../../designs/wrist-warmers.kdl"), include_str!("../../designs/scarf.kdl")] {
        let p = proven(text);
        for i in 0..p.sizes().len() {
            let h = handout(&p, &[i], false).unwrap();
            let b = bench(&h, &h).unwrap();
            let steps =
                |p: &PieceText| p.steps.iter().map(|s| s.counter.clone()).filter(|c| !c.is_empty()).collect::<Vec<_>>();
            for (piece, BenchPiece { title, steps: told, .. }) in h.pieces.iter().zip(&b.pieces) {
                assert_eq!(piece.title, *title);
                let shown: Vec<String> = told.iter().map(|s| s.counter.clone()).filter(|c| !c.is_empty()).collect();
                assert_eq!(shown, steps(piece));
                let ticked: usize = told.iter().flat_map(|s| &s.ticks).map(|t| t.0.len()).sum();
                let shapings: usize = piece.steps.iter().flat_map(|s| &s.tallies).map(|t| t.rows.len()).sum();
                assert!(ticked >= shapings, "a box for each shaping");
                let of = |what: &str| {
                    let said = piece.steps.iter().flat_map(|s| &s.tokens).filter(|t| t.text().contains(what)).count();
                    let shown =
                        told.iter().flat_map(|s| &s.ticks).filter(|t| t.1.contains("comb at the floor")).count();
                    (said, shown)
                };
                let (said, shown) = of("When the comb nears the floor");
                assert_eq!(said, shown, "what becomes of the comb");
                for s in told {
                    let words = format!("{} {}", s.act, s.lines.join(" "));
                    assert!(!words.contains('(') && !s.act.is_empty(), "{words}");
                }
            }
            let bytes = bench_pdf(&b, Language::English, Paper::A4).unwrap();
            let pages = read(&bytes);
            assert_eq!(pages.len(), 2, "{} size {}", b.title, b.size);
        }
    }
    let p = proven(HAT);
    let two = handout(&p, &[0, 1], false).unwrap();
    assert!(bench(&two, &two).is_none(), "of several sizes there is none");
}

/// Rows that groups of stitches are cast off between are one line at the bench, with a box for each; nothing that the hands do is lost. A
/// sweater of many steps has two pages for each size.
#[test]
fn a_sweaters_bench_sheet_is_two_pages() {
    let sweater = Starter::find("set-in-sweater").unwrap();
    let chosen = [("kind".to_string(), "cardigan".to_string())];
    let begun = sweater.begun(&Asked { chosen: &chosen, ..Asked::of(&BUILT_IN[1]) }).unwrap();
    let p = proven(&begun.text);
    for size in [0, p.sizes().len() - 1] {
        let h = handout(&p, &[size], false).unwrap();
        let b = bench(&h, &h).unwrap();
        assert_eq!(read(&bench_pdf(&b, Language::English, Paper::A4).unwrap()).len(), 2);
        for (piece, BenchPiece { steps, .. }) in h.pieces.iter().zip(&b.pieces) {
            let said = |what: &str| {
                let text = |s: &StepText| s.tokens.iter().map(Token::text).collect::<String>();
                piece.steps.iter().map(|s| text(s).matches(what).count()).sum::<usize>()
            };
            let told = steps.iter().flat_map(|s| {
                let ticks = s.ticks.iter().map(|t| t.1.clone());
                [s.act.clone()].into_iter().chain(s.lines.clone()).chain(ticks)
            });
            let told: String = told.collect::<Vec<String>>().join("; ").to_lowercase();
            let short =
                |act: &str| ["l", "r"].iter().map(|half| told.matches(&format!("{act} {half}")).count()).sum::<usize>();
            assert_eq!(short("cast off"), said("Cast off with the latch tool, from "), "{told}");
            assert_eq!(short("transfer"), said("Transfer the stitch of main bed "), "{told}");
        }
        let back = &b.pieces[0];
        let shoulder = back.steps.iter().find(|s| s.act.starts_with("Shoulders, right side")).unwrap();
        let (first, last) = (&shoulder.ticks[0], shoulder.ticks.last().unwrap());
        assert!(first.1.starts_with("cast off R") && first.0.len() == 1, "{shoulder:?}");
        assert!(first.0[0] < last.0[0] && last.0[0] < shoulder.counter, "{shoulder:?}");
        let rows: u32 = shoulder.act.rsplit(' ').nth(1).unwrap().parse().unwrap();
        let before = back.steps.iter().take_while(|s| s.number < shoulder.number).last().unwrap();
        assert_eq!(before.counter.parse::<u32>().unwrap() + rows, shoulder.counter.parse::<u32>().unwrap());
        let alone = back.steps.iter().filter(|s| s.lines.iter().any(|l| l.ends_with("main bed only"))).count();
        assert_eq!(alone, 1, "which beds knit is said where it changes: {:?}", back.steps);
    }
}

/// A step of many readings goes on on the next page: none of them is lost below the paper's end.
#[test]
fn every_reading_is_on_the_bench_sheet() {
    let begun = Starter::find("triangle-shawl").unwrap().begun(&Asked::of(&BUILT_IN[1])).unwrap();
    let p = proven(&begun.text);
    let h = handout(&p, &[1], false).unwrap();
    let b = bench(&h, &h).unwrap();
    let printed = read(&bench_pdf(&b, Language::English, Paper::A4).unwrap()).concat();
    let words: Vec<&str> = printed.split_whitespace().collect();
    let ticks = b.pieces[0].steps.iter().flat_map(|s| &s.ticks).flat_map(|t| &t.0);
    let readings: Vec<&str> = ticks.map(|r| r.split('\u{a0}').next().unwrap()).collect();
    assert!(readings.len() > 100, "{}", readings.len());
    for r in readings {
        assert!(words.contains(&r), "{r} is not printed");
    }
}

/// The heavy line of a seam runs only where it is sewn: under the brim twice the width of a flap, not along all of it.
#[test]
fn a_seam_is_drawn_where_it_is_sewn() {
    let p = proven(HAT);
    let svg = handout(&p, &[3], false).unwrap().sewing.unwrap().0.svg;
    let heavy = svg.split("<path ").filter(|m| m.contains("stroke-width=\"1.80\""));
    // The width of each level line.
    let level: Vec<f64> = heavy
        .filter_map(|m| {
            let d = m.split_once("d=\"M")?.1.split('"').next()?;
            let (from, to) = d.split_once('L')?;
            let at =
                |p: &str| p.split_once(' ').and_then(|(x, y)| Some((x.parse::<f64>().ok()?, y.parse::<f64>().ok()?)));
            let ((x, y), (u, v)) = (at(from)?, at(to)?);
            ((y - v).abs() < 0.01).then_some((x - u).abs())
        })
        .collect();
    let [a, b, flap] = level.as_slice() else { panic!("{level:?}") };
    assert!((a - flap).abs() < 1.0 && (b - flap).abs() < 1.0, "{level:?}");
}

/// Where two pieces are made alike, each has its box on the sheet to hang up as well.
#[test]
fn two_pieces_alike_have_two_boxes_at_the_bench() {
    let p = proven(HAT);
    let one = handout(&p, &[3], false).unwrap();
    let b = bench(&one, &one).unwrap();
    assert_eq!(b.pieces.iter().map(|p| p.make).collect::<Vec<_>>(), [1, 2]);
}

/// The drawing has a length for every size beside a section that is tall enough for them.
#[test]
fn the_drawing_has_the_lengths_of_every_size() {
    let p = proven(HAT);
    let stitches: Vec<&Stitches> = p.sizes().iter().map(|s| &s.stitches).collect();
    let svg = schematic(p.design(), &stitches).svg;
    let bodies = p.sizes().iter().map(|s| p.design().show.number(s.stitches.pieces[0].stretches[1].length));
    for body in bodies {
        assert!(svg.contains(&body), "{body} is missing");
    }
}

/// Bars of bodies, proofs and findings are only in the author's copy.
#[test]
fn only_the_author_reads_how_it_was_proven() {
    let p = proven(HAT);
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    let hers = handout(&p, &all, false).unwrap();
    let mine = for_author(hers.clone(), &p, &all, &[]);
    let text = |h: &Handout| flowed(&read(&pdf(h, Paper::A4, Type::Normal).unwrap()).concat());
    let (hers, mine) = (text(&hers), text(&mine));
    for words in [
        "How it fits",
        "ANSUR",
        "loops rehearsed",
        "Findings None left open.",
        "Gauge of 1x1 rib 2 swatches from this document.",
    ] {
        assert!(mine.contains(words) && !hers.contains(words), "{words}");
    }
}

/// What an outside extractor reads from cover, facts and tables is what was worked out.
#[test]
fn cover_facts_and_tables_are_read_from_the_finished_pdf() {
    let plain = |text: &str| flowed(&text.replace('\u{a0}', " ")).replace("- ", "-");
    for text in [HAT, include_str!("../../designs/wrist-warmers.kdl"), include_str!("../../designs/scarf.kdl")] {
        let h = sheet(text);
        for (paper, type_size) in
            [(Paper::A4, Type::Normal), (Paper::Letter, Type::Normal), (Paper::Letter, Type::Large)]
        {
            let read = plain(&read(&pdf(&h, paper, type_size).unwrap()).join(" "));
            let has = |what: &str| assert!(read.contains(&plain(what)), "{what} in {read}");
            h.cover.iter().for_each(|(label, lines)| has(&format!("{label} {}", lines.join(" "))));
            h.facts.iter().chain(&h.about_gauge).for_each(|(label, text)| has(&format!("{label} {text}")));
            h.closing.iter().for_each(|(label, text)| has(&format!("{label}. {text}")));
            h.reading.iter().chain(&h.making_up).chain(&h.before).for_each(|line| has(line));
            // In large type a table goes on below, its first column again.
            let most = if type_size == Type::Large { 6 } else { 12 };
            for grid in [&h.finished, &h.yarn, &h.gauge] {
                for row in &grid.rows {
                    for part in row[1..].chunks(most) {
                        has(&format!("{} {}", row[0], part.join(" ")));
                    }
                }
            }
        }
    }
}

/// On a bench sheet a step has the number by which a repeat names it, and a section keeps its name whatever it is.
#[test]
fn a_bench_sheet_names_steps_and_sections_as_the_handout_does() {
    let text = HAT.replacen("stretch \"brim\"", "stretch \"Start here\"", 1).replace("\"brim\"", "\"Start here\"");
    let p = proven(&text);
    let h = handout(&p, &[0], false).unwrap();
    let b = bench(&h, &h).unwrap();
    assert!(b.pieces[0].steps.iter().any(|s| s.act.starts_with("Start here, 28 rows")), "{:?}", b.pieces[0].steps);
    for (piece, BenchPiece { steps, .. }) in h.pieces.iter().zip(&b.pieces) {
        for s in steps {
            assert_eq!(piece.steps[s.number - 1].counter, s.counter);
        }
    }
}

/// The author's copy of one size has the findings of that size, and of all, and no other's.
#[test]
fn the_authors_copy_has_the_findings_of_its_sizes() {
    let p = proven(HAT);
    let found = |size| (size, Notice::warning(Span::default(), DesignFact::TitleEmpty));
    let h = handout(&p, &[1], false).unwrap();
    let count = |found: &[(Option<usize>, Notice)]| {
        let copy = for_author(h.clone(), &p, &[1], found);
        copy.for_author.unwrap().iter().filter(|f| f.0 == "Found").count()
    };
    assert_eq!(count(&[found(Some(1))]), 1);
    assert_eq!(count(&[found(Some(2))]), 0);
    assert_eq!(count(&[found(None), found(Some(0)), found(Some(1))]), 2);
}

/// On the page: the bench sheet and the author's copy are printed; a photograph that cannot be read is reported, and
/// the handout is printed without it; another photograph is another print.
#[test]
fn the_page_prints_what_the_program_prints() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("hat.kdl"), hat("photo \"hat.jpg\"")).unwrap();
    let w = Workshop::open(folder.path(), &[]);
    let pages = |query: &str| read(&w.get(&format!("/d/hat.kdl/handout.pdf?{query}")).body);
    let flat = |query: &str| flowed(&pages(query).join(" "));
    assert!(w.get("/d/hat.kdl/handout").text().contains("The photograph hat.jpg cannot be read"));
    assert!(flat("size=51").contains("Finished measurements"));
    let bench = pages("type=bench&size=51");
    assert_eq!(bench.len(), 2, "{bench:?}");
    assert!(bench[0].contains("51") && !bench.concat().contains('('), "{bench:?}");
    assert!(flat("size=51&copy=author").contains("For the author") && !flat("size=51").contains("For the author"));
    std::fs::write(folder.path().join("hat.jpg"), from_a_camera(60, 40)).unwrap();
    assert!(!w.get("/d/hat.kdl/handout").text().contains("cannot be read"));
    let with = w.get("/d/hat.kdl/handout.pdf?size=51").body;
    std::fs::write(folder.path().join("hat.jpg"), from_a_camera(90, 40)).unwrap();
    assert_ne!(with, w.get("/d/hat.kdl/handout.pdf?size=51").body, "another photograph is another print");
}
