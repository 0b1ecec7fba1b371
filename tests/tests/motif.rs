//! A picture made into a repeat: proportion, two tones, floats broken with the fewest stitches changed, mosaic that can be knitted,
//! and files that are no picture.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::tried;
use latchwork::fabric::{built_in, from_text};
use latchwork::motif::{Light, Motif, Technique, Tones, drawn, rows_in_proportion};
use latchwork::notice::{Level, Notices};
use latchwork_print::{NoPhoto, light};
use latchwork_tests::sample;
use latchwork_tests::workshop::program;
use std::io::Cursor;
use std::process::Command;

/// Rows of a picture of 3 by 4 in 24 columns, and of a square one, at 28 stitches and 40 rows in 10 cm: worked out by hand.
#[test]
fn proportion_follows_the_stitch() {
    let (needle, row) = (100.0 / 28.0, 100.0 / 40.0);
    assert_eq!(rows_in_proportion((300, 400), 24, needle, row), 46);
    assert_eq!(rows_in_proportion((500, 500), 24, needle, row), 34);
    // A cell of mosaic is two rows high.
    assert_eq!(rows_in_proportion((500, 500), 24, needle, 2.0 * row), 17);
}

fn row(text: &str) -> Vec<bool> {
    text.chars().map(|c| c == 'B').collect()
}

/// Whether a cyclic row has a run longer than this, where it has both yarns.
fn long(row: &[bool], longest: usize) -> bool {
    Motif { columns: row.len(), rows: vec![row.to_vec()] }.longest_float() > longest
}

/// Against every possible row: none with shorter floats differs in fewer stitches.
#[test]
fn floats_are_broken_with_the_fewest_changes() {
    for n in 2..=10_usize {
        let all: Vec<Vec<bool>> = (0..1_u32 << n).map(|bits| (0..n).map(|i| bits >> i & 1 == 1).collect()).collect();
        for longest in 1..=4 {
            let good: Vec<&Vec<bool>> =
                all.iter().filter(|r| r.iter().any(|c| *c != r[0]) && !long(r, longest)).collect();
            for given in all.iter().filter(|r| r.iter().any(|c| *c != r[0])) {
                let differs = |r: &[bool]| r.iter().zip(given).filter(|(a, b)| a != b).count();
                let fewest = good.iter().map(|r| differs(r)).min();
                let mut m = Motif { columns: n, rows: vec![given.clone()] };
                let changed = m.break_floats(longest);
                match fewest {
                    Some(fewest) => {
                        assert_eq!(changed, fewest, "{given:?} at {longest}: {:?}", m.rows[0]);
                        assert_eq!(changed, differs(&m.rows[0]));
                        assert!(!long(&m.rows[0], longest));
                    }
                    None => assert_eq!(&m.rows[0], given, "an odd repeat cannot change yarn at every needle"),
                }
            }
        }
    }
}

/// Runs of a yarn and the stitches that break them, as worked out in the handbook's formula: (k - m) / (m + 1), rounded up.
#[test]
fn long_runs_take_few_stitches() {
    for (run, expected) in [(5, 0), (7, 1), (11, 1), (12, 2), (17, 2), (18, 3)] {
        let mut m = Motif { columns: run + 1, rows: vec![row(&format!("A{}", "B".repeat(run)))] };
        assert_eq!(m.break_floats(5), expected, "{run}");
    }
    let mut one = Motif { columns: 9, rows: vec![row("AAAAAAAAA")] };
    assert_eq!(one.break_floats(3), 0, "a row in one yarn has no floats");
}

/// A dark left half: dark stitches are the second yarn, and lie at the needles' right, since the far side is worn outside.
#[test]
fn the_far_side_is_the_public_one() {
    let values = (0..20 * 10).map(|i| if i % 20 < 5 { 0.1 } else { 0.9 }).collect();
    let light = Light { wide: 20, high: 10, values };
    for tones in [Tones::Threshold, Tones::Diffused] {
        let m = drawn(&light, 8, 4, tones);
        assert_eq!(m.rows.len(), 4);
        if tones == Tones::Threshold {
            assert!(m.rows.iter().all(|r| *r == row("AAAAAABB")), "{:?}", m.rows);
        }
    }
    // The top of the picture is knitted last.
    let values = (0..100).map(|i| if i < 50 { 0.0 } else { 1.0 }).collect();
    let m = drawn(&Light { wide: 10, high: 10, values }, 4, 4, Tones::Threshold);
    assert_eq!(m.rows, [row("AAAA"), row("AAAA"), row("BBBB"), row("BBBB")]);
}

/// Grey of one half gives as many dark stitches as light ones when it is diffused (Floyd and Steinberg 1976).
#[test]
fn shades_keep_their_share() {
    for share in [0.25, 0.5, 0.75_f32] {
        let light = Light { wide: 60, high: 60, values: vec![share; 3600] };
        let dark = drawn(&light, 60, 60, Tones::Diffused).rows.iter().flatten().filter(|c| **c).count();
        let got = 1.0 - dark as f32 / 3600.0;
        assert!((got - share).abs() < 0.02, "{share}: {got}");
    }
}

fn noise(seed: u32, n: usize) -> Vec<bool> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        state >> 31 == 1
    };
    (0..n).map(|_| next()).collect()
}

/// Made-up pictures in every technique are fabrics that the judge knits without an error.
#[test]
fn repeats_can_be_knitted() {
    for seed in 0..60 {
        let (columns, rows) = (6 + seed as usize % 13, 4 + 2 * (seed as usize % 5));
        let cells = noise(seed, columns * rows);
        let mut m = Motif { columns, rows: cells.chunks(columns).map(<[bool]>::to_vec).collect() };
        let technique = [Technique::Stranded, Technique::Mosaic, Technique::TwoBed][seed as usize % 3];
        match technique {
            Technique::Stranded => {
                m.break_floats(4);
                assert!(m.longest_float() <= 4);
            }
            Technique::Mosaic => {
                m.make_mosaic(3);
                let again = m.clone().make_mosaic(3);
                assert_eq!(again, 0, "mosaic stays as it is");
            }
            Technique::TwoBed => {}
        }
        let text = m.fabric("made up", technique, "It would part.").to_string();
        let mut notices = Notices::default();
        let found = from_text(&text, built_in(), "", &mut notices);
        assert!(notices.0.is_empty(), "{text} {:?}", notices.0);
        let errors: Vec<_> = tried(&found[0]).notices.into_iter().filter(|n| n.level == Level::Error).collect();
        // Two beds may float far at the back of a plain field: that is for the author to mend.
        assert!(errors.is_empty() || technique == Technique::TwoBed, "{text} {errors:?}");
    }
}

fn png(wide: u32, high: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let of = image::RgbImage::from_fn(wide, high, |x, _| image::Rgb([if x < wide / 2 { 20 } else { 240 }; 3]));
    of.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).unwrap();
    bytes
}

/// What is no picture, or says that it is vast, is refused before it is decoded.
#[test]
fn files_that_are_no_picture_are_refused() {
    assert_eq!(light(b"not a picture"), Err(NoPhoto::NotOne));
    assert_eq!(light(&[]), Err(NoPhoto::NotOne));
    let good = png(40, 30);
    assert!(light(&good).is_ok());
    assert_eq!(light(&good[..good.len() / 2]), Err(NoPhoto::NotOne), "cut short");
    // The header claims 50,000 by 50,000 pixels.
    let mut lies = good.clone();
    lies[16..20].copy_from_slice(&50_000_u32.to_be_bytes());
    lies[20..24].copy_from_slice(&50_000_u32.to_be_bytes());
    let crc = crc(&lies[12..29]);
    lies[29..33].copy_from_slice(&crc.to_be_bytes());
    assert_eq!(light(&lies), Err(NoPhoto::TooWide { megapixels: 2500, most: 40 }));
    // What is transparent is white.
    let clear = image::RgbaImage::from_pixel(4, 4, image::Rgba([0, 0, 0, 0]));
    let mut bytes = Vec::new();
    clear.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).unwrap();
    assert!(light(&bytes).unwrap().values.iter().all(|v| *v > 0.99));
}

/// The check sum of PNG chunks (ISO 3309).
fn crc(bytes: &[u8]) -> u32 {
    let each = |mut c: u32, b: &u8| {
        c ^= u32::from(*b);
        for _ in 0..8 {
            c = if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 };
        }
        c
    };
    !bytes.iter().fold(u32::MAX, each)
}

/// As a designer would: a picture to a fabric file, and a band in it, printed.
#[test]
fn from_a_picture_to_a_printed_band() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let run = |args: &[&str]| {
        let out = Command::new(program()).current_dir(at).args(args).output().unwrap();
        let said = String::from_utf8_lossy(&out.stdout).to_string() + &String::from_utf8_lossy(&out.stderr);
        (out.status.code(), said)
    };
    std::fs::write(at.join("flag.png"), png(40, 30)).unwrap();
    let none = run(&["repeat", "flag.png", "--needles", "12", "--gauge-of", "stairs", "--as", "stranded"]);
    assert_eq!(none.0, Some(2), "{}", none.1);
    assert!(none.1.contains("There are no swatches"), "{}", none.1);
    let add = "swatch add stairs --yarn sea --count 420m/100g --stitch-size 6 --needles 40 --passes 60 --width 12cm --length 13cm --state washed";
    assert_eq!(run(&add.split(' ').collect::<Vec<_>>()).0, Some(0));
    for (technique, said) in
        [("stranded", "Longest float: 5 needles"), ("two-bed", "2 passes"), ("mosaic", "Each row is knitted twice")]
    {
        let name = format!("flag {technique}");
        let made =
            run(&["repeat", "flag.png", "--needles", "12", "--gauge-of", "stairs", "--as", technique, "--name", &name]);
        assert_eq!(made.0, Some(0), "{}", made.1);
        assert!(made.1.contains(said), "{}", made.1);
    }
    let again = run(&[
        "repeat",
        "flag.png",
        "--needles",
        "12",
        "--gauge-of",
        "stairs",
        "--as",
        "mosaic",
        "--name",
        "flag mosaic",
    ]);
    assert!(again.0 == Some(2) && again.1.contains("nothing was changed"), "{}", again.1);
    assert!(std::fs::read_to_string(at.join("fabrics/flag-stranded.svg")).unwrap().starts_with("<svg"));
    let text = "title \"Band\"\nmachine \"standard\"\nyarn \"sea\" { count (tex)238; }\nyarn \"foam\" { count (tex)238; }\n\
        swatch \"flag stranded\" { yarn \"sea\"; stitch-size 6; counted needles=40 passes=60; flat (cm)12 (cm)13; weighed (g)19 needles=60 passes=90; state \"washed\"; }\n\
        sizes { size \"one\" { girth (cm)50; } }\n\
        piece \"band\" { yarn \"sea\"; needles 50; stretch \"band\" { fabric \"flag stranded\"; rows 36; yarns \"sea\" \"foam\"; }; ending \"chain\"; }\n";
    std::fs::write(at.join("band.kdl"), text).unwrap();
    let made = run(&["make", "band.kdl"]);
    assert_eq!(made.0, Some(0), "{}", made.1);
    assert!(at.join("out/band/handout-a4.pdf").exists());
    for (args, why) in [
        ("repeat band.kdl --needles 12 --gauge-of stairs --as stranded", "is not a picture"),
        ("repeat flag.png --needles 1 --gauge-of stairs --as stranded", "1 is not in 2..=200"),
        ("repeat flag.png --needles 12 --rows 7 --gauge-of stairs --as mosaic", "write --rows 8 or 6"),
        ("repeat flag.png --needles 12 --gauge-of milano --as stranded", "no swatch of milano"),
        ("repeat none.png --needles 12 --gauge-of stairs --as stranded", "could not be read"),
        ("repeat flag.png --needles 12 --colours 3 --gauge-of stairs --as stranded", "3 is not in 2..=2"),
    ] {
        let out = run(&args.split(' ').collect::<Vec<_>>());
        assert_eq!(out.0, Some(2), "{args}: {}", out.1);
        assert!(out.1.contains(why), "{args}: {}", out.1);
    }
}

/// Noise and damaged pictures of every kind that is read never stop the reader, and what is read makes a repeat.
#[test]
fn the_picture_reader_survives_noise() {
    use image::ImageFormat::{Gif, Jpeg, Png, WebP};
    let good = [Png, Jpeg, Gif, WebP].map(|kind| {
        let mut bytes = Vec::new();
        let shade = |x: u32, y: u32| image::Rgb([(x * 8) as u8, (y * 12) as u8, 90]);
        let picture = image::RgbImage::from_fn(30, 20, shade);
        picture.write_to(&mut Cursor::new(&mut bytes), kind).unwrap();
        assert!(light(&bytes).is_ok(), "{kind:?}");
        bytes
    });
    let mut state = 1_u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for round in 0..sample::of(4_000, 400_000) {
        let mut bytes = if round % 5 == 0 { vec![0; next(200)] } else { good[round as usize % 4].clone() };
        for _ in 0..1 + next(8) {
            if !bytes.is_empty() {
                let at = next(bytes.len());
                bytes[at] = next(256) as u8;
            }
        }
        bytes.truncate(1 + next(bytes.len() + 1));
        if let Ok(light) = light(&bytes) {
            assert_eq!(light.values.len(), light.wide * light.high);
            if !light.values.is_empty() {
                let mut motif = drawn(&light, 12, 10, Tones::Threshold);
                motif.break_floats(3);
                assert!(motif.longest_float() <= 3);
            }
        }
    }
}

/// A card at the owner's own measures: whole repeats that divide its width, holes where needles come forward, and nothing assumed.
#[test]
fn cards_are_punched_as_measured() {
    let honeycomb = latchwork::fabric::find("honeycomb tuck").unwrap();
    let rows = honeycomb.punched(24, 6, false).unwrap();
    assert_eq!((rows.len(), rows[0].len()), (8, 24), "two repeats of four rows are the fewest that have six");
    let holes = |rows: &[Vec<bool>]| rows.iter().flatten().filter(|h| **h).count();
    assert_eq!(holes(&rows), 96, "half of the needles knit: facts of the tiny repeat, 4 of 8");
    assert_eq!(holes(&honeycomb.punched(24, 6, true).unwrap()), 96);
    let pips = latchwork::fabric::find("pips").unwrap();
    let second: usize = pips.signs().unwrap().iter().map(|r| r.matches('2').count()).sum();
    let times = 24 / usize::try_from(pips.period()).unwrap();
    assert_eq!(holes(&pips.punched(24, 1, false).unwrap()), second * times, "in two yarns a hole takes the second");
    // Mosaic: a hole knits, whichever yarn the row is in; lace is no matter of holes.
    let find = |name: &str| latchwork::fabric::find(name).unwrap();
    let marks = |row: &Vec<bool>| row.iter().map(|h| if *h { 'o' } else { '.' }).collect::<String>();
    let mosaic: Vec<String> = find("mosaic").punched(8, 4, false).unwrap().iter().map(marks).collect();
    assert_eq!(mosaic, ["oo.ooo.o", "oo.ooo.o", ".ooo.ooo", ".ooo.ooo"]);
    assert!(find("mesh").punched(24, 1, false).is_err());
    let card = |args: &str| {
        let out = Command::new(program()).args(args.split(' ')).output().unwrap();
        let said = String::from_utf8_lossy(&out.stdout).to_string() + &String::from_utf8_lossy(&out.stderr);
        (out.status.code(), said)
    };
    let measures = "--across 4.5 --up 5 --hole 3.5 --sides 17 17 --ends 20 20 --ahead 5";
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("c.svg");
    let (code, said) = card(&format!("card stairs --width 24 {measures} --out {}", file.display()));
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("to punch"), "{said}");
    let drawn = std::fs::read_to_string(&file).unwrap();
    // 17 + 23 x 4.5 + 17 mm across, at 96 pixels an inch.
    let wide = (17.0 + 23.0 * 4.5 + 17.0) / 25.4 * 96.0;
    assert!(drawn.contains(&format!("{:.2}", 12.0 / 25.4 * 96.0 + wide)), "the card is drawn at true size");
    for (args, why) in [
        (format!("card waves --width 20 {measures}"), "20 is not a multiple of it"),
        (format!("card mesh --width 24 {measures}"), "no card for it"),
        ("card stairs --width 24".to_string(), "--across"),
        (format!("card stairs --width 24 {}", measures.replace("--hole 3.5", "--hole 5")), "run into each other"),
    ] {
        let (code, said) = card(&args);
        assert_eq!(code, Some(2), "{args}");
        assert!(said.contains(why), "{args}: {said}");
    }
}

const CAP: &str = include_str!("../../designs/beacon-cap.kdl");

/// A folder with the swatches of the beacon cap in its book, that of two yarns under a name that ships.
fn with_the_caps_book() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("swatches")).unwrap();
    let of = |from: &str, to: &str| &CAP[CAP.find(from).unwrap()..CAP.find(to).unwrap()];
    let book = of("machine \"standard\"", "// Made from").replace("swatch \"beacon\"", "swatch \"stairs\"");
    std::fs::write(folder.path().join("swatches/cap.kdl"), book).unwrap();
    folder
}

/// The band of the beacon cap is what the command makes of its picture.
#[test]
fn the_beacon_is_made_from_its_picture() {
    let (folder, cap) = (with_the_caps_book(), CAP);
    let picture = std::fs::canonicalize("../designs/pictures/beacon.png").unwrap();
    let args = ["repeat", picture.to_str().unwrap(), "--needles", "28", "--gauge-of", "stairs", "--as", "stranded"];
    let out =
        Command::new(program()).current_dir(folder.path()).args(args).args(["--yarn", "night watch"]).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let made = std::fs::read_to_string(folder.path().join("fabrics/beacon.kdl")).unwrap();
    let rows = |text: &str| {
        text.lines().map(str::trim).filter(|l| l.starts_with("row \"")).map(str::to_string).collect::<Vec<_>>()
    };
    assert_eq!(rows(&made), rows(cap));
    assert_eq!(rows(cap).len(), 26);
}

/// A picture in the middle of a wider repeat keeps its proportion, and stands in it as often as asked.
#[test]
fn pictures_are_centred_and_tiled() {
    use latchwork::motif::within;
    // A square picture, stitches 4 mm wide and 3 mm high: 12 columns of 48 mm are 16 rows.
    assert_eq!(within((100, 100), (12, 40), 4.0, 3.0), (12, 16));
    assert_eq!(within((100, 100), (40, 16), 4.0, 3.0), (12, 16));
    let dot = Motif { columns: 2, rows: vec![vec![true, false], vec![true, true]] };
    let show = |m: &Motif| -> Vec<String> {
        m.rows.iter().map(|r| r.iter().map(|c| if *c { '2' } else { 'k' }).collect()).collect()
    };
    assert_eq!(show(&dot.centred(5, 3)), ["k2kkk", "k22kk", "kkkkk"]);
    assert_eq!(show(&dot.tiled(2, 2)), ["2k2k", "2222", "2k2k", "2222"]);
    let folder = with_the_caps_book();
    let picture = std::fs::canonicalize("../designs/pictures/beacon.png").unwrap();
    let run = |more: &[&str]| {
        let mut run = Command::new(program());
        run.current_dir(folder.path()).arg("repeat").arg(&picture).args(["--gauge-of", "stairs", "--as", "stranded"]);
        let done = run.args(["--yarn", "night watch"]).args(more).output().unwrap();
        (String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap())
    };
    let (said, wrong) = run(&["--needles", "48", "--times", "2", "--rows", "40", "--centred"]);
    assert!(said.contains("48 needles by 40 rows"), "{said} {wrong}");
    let (_, wrong) = run(&["--needles", "49", "--times", "2"]);
    assert!(wrong.contains("49 needles do not part into 2 alike. Write --needles 48 or 50."), "{wrong}");
}
