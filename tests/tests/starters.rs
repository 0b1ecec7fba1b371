//! Starters: every one in every size on every machine class, as chosen and with all that can be chosen; `latchwork new` and
//! `latchwork starters` as a knitter types them; counts that can be worked out by hand.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::Path;
use std::process::{Command, Output, Stdio};

use latchwork::check::{Proven, prove};
use latchwork::design::from_text;
use latchwork::fact::{Fact, StitchesFact};
use latchwork::handout::{handout, proofread};
use latchwork::measure::{BUILT_IN, BuiltIn};
use latchwork::revise::{Asked, Begun, NotBegun, STARTERS, Starter};
use latchwork::stitches::Go;
use latchwork::units::{Language, Mm};
use latchwork::words::Token;
use latchwork_tests::garments::piece;
use latchwork_tests::workshop::program;

/// All of them; one that goes missing is missed.
const NAMES: [&str; 25] = [
    "baby-blanket",
    "baby-cardigan",
    "cowl",
    "crescent-shawl",
    "cushion",
    "drop-shoulder-sweater",
    "ear-flap-hat",
    "flat-sock",
    "gored-skirt",
    "headband",
    "mitten",
    "poncho",
    "raglan-sweater",
    "scarf",
    "set-in-sweater",
    "sideways-hat",
    "slipper",
    "strip-blanket",
    "thumb-mitt",
    "triangle-shawl",
    "tube-sock",
    "vest",
    "watch-cap",
    "wedge-hat",
    "wrist-warmer",
];

fn asked<'a>(class: &'a BuiltIn, chosen: &'a [(String, String)], person: &'a [(String, Mm)]) -> Asked<'a> {
    Asked { chosen, person, ..Asked::of(class) }
}

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{:?}\n{text}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices))
}

fn in_words(notice: &latchwork::notice::Notice) -> String {
    let told = notice.told(Language::English);
    format!("{} {} {}", told.message, told.why, told.hints.join(" "))
}

/// What it begins with one thing chosen otherwise, and with none: each proven in all sizes that it keeps. What it leaves out is too wide
/// for the beds, and nothing else.
fn all_knit(s: &Starter, class: &BuiltIn) {
    let mut all: Vec<Vec<(String, String)>> = vec![Vec::new()];
    for (name, among) in s.choices() {
        all.extend(among.into_iter().skip(1).map(|value| vec![(name.clone(), value)]));
    }
    for chosen in all {
        let begun = s.begun(&asked(class, &chosen, &[]));
        let at = format!("{} on {} {chosen:?}", s.name, class.name);
        let wide = |why: &latchwork::notice::Notice| {
            let too_wide = matches!(
                &why.fact,
                Fact::Stitches(StitchesFact::TooWide { .. } | StitchesFact::RunsOutOfNeedles { .. })
            );
            assert!(too_wide, "{at}: {}", in_words(why));
        };
        let Begun { text, left_out } = match begun {
            Ok(begun) => begun,
            Err(NotBegun::NoSize(why)) => {
                wide(&why);
                continue;
            }
            Err(other) => panic!("{at}: {other:?}"),
        };
        if let Some(left_out) = &left_out {
            wide(&left_out.why);
        }
        let p = proven(&text);
        assert!(!p.sizes().is_empty(), "{at}");
        larger_is_nowhere_smaller(&p, &at);
        if chosen.is_empty() {
            let all: Vec<usize> = (0..p.sizes().len()).collect();
            proofread(&p, &all).unwrap_or_else(|e| panic!("{at}: {e:?}"));
        }
    }
}

fn larger_is_nowhere_smaller(p: &Proven, at: &str) {
    let larger = |a: usize, b: usize| {
        let (a, b) = (&p.design().sizes[a], &p.design().sizes[b]);
        a.measures.iter().all(|(name, v)| b.measure(name).is_some_and(|w| v.0 <= w.0)) && a.measures != b.measures
    };
    for a in p.sizes() {
        for b in p.sizes().iter().filter(|b| larger(a.size, b.size)) {
            for (x, y) in a.stitches.pieces.iter().zip(&b.stitches.pieces) {
                for (s, t) in x.stretches.iter().zip(&y.stretches) {
                    // What a neck leaves of the shoulders may be less where only the head grew.
                    let neck = s.parts.is_some() || s.half.is_some();
                    let grows = s.needles <= t.needles && (neck || s.needles_end <= t.needles_end) && s.rows <= t.rows;
                    assert!(
                        grows,
                        "{at}: size {} against {}",
                        p.design().sizes[a.size].name,
                        p.design().sizes[b.size].name
                    );
                }
            }
        }
    }
}

#[test]
fn every_starter_is_there_and_says_what_it_is() {
    assert_eq!(STARTERS.iter().map(|s| s.name).collect::<Vec<_>>(), NAMES);
    for s in STARTERS {
        for word in ["title", "summary", "level", "construction"] {
            assert!(!s.head(word).is_empty(), "{} has no {word}", s.name);
        }
        assert!(s.text.contains("// "), "{} has something to learn from", s.name);
    }
}

#[test]
fn all_knit_on_fine_machines() {
    STARTERS.iter().for_each(|s| all_knit(s, &BUILT_IN[0]));
}

#[test]
fn all_knit_on_standard_machines() {
    STARTERS.iter().for_each(|s| all_knit(s, &BUILT_IN[1]));
}

#[test]
fn all_knit_on_mid_machines() {
    STARTERS.iter().for_each(|s| all_knit(s, &BUILT_IN[2]));
}

#[test]
fn all_knit_on_bulky_machines() {
    STARTERS.iter().for_each(|s| all_knit(s, &BUILT_IN[3]));
}

/// A person's measures make a size of their own; what was not measured is taken from the table at the first measure, in proportion
/// beyond it.
#[test]
fn one_person() {
    let sweater = Starter::find("set-in-sweater").unwrap();
    let person = [("chest-girth".to_string(), Mm(990.0)), ("underarm-length".to_string(), Mm(460.0))];
    let begun = sweater.begun(&asked(&BUILT_IN[1], &[], &person)).unwrap();
    let (design, _) = from_text(&begun.text);
    let design = design.unwrap();
    assert_eq!(design.sizes.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), ["mine"]);
    let of = |name: &str| design.sizes[0].measure(name).unwrap().0;
    assert!((of("chest-girth") - 990.0).abs() < 0.01 && (of("underarm-length") - 460.0).abs() < 0.01);
    // Between M (chest 94, arm 27.95 cm) and L (104.15 and 30.5).
    assert!((of("arm-girth") - (279.5 + (305.0 - 279.5) * 50.0 / 101.5)).abs() < 0.6, "{}", of("arm-girth"));
    assert!(begun.text.contains("// From the table, for this chest-girth"), "{}", begun.text);
    proven(&begun.text);
    // A head larger than any of the table.
    let hat = Starter::find("headband").unwrap();
    let large = hat.begun(&asked(&BUILT_IN[1], &[], &[("head-girth".to_string(), Mm(640.0))])).unwrap();
    proven(&large.text);
    let wrong = hat.begun(&asked(&BUILT_IN[1], &[], &[("head-girt".to_string(), Mm(560.0))]));
    assert!(matches!(wrong, Err(NotBegun::NoMeasure { near: Some(near), .. }) if near == "head-girth"));
}

/// Each starts from its fabrics' constants: the swatches say that they were reckoned, and every fabric that can be chosen has one.
#[test]
fn what_can_be_chosen_has_a_swatch() {
    for s in STARTERS {
        let begun = s.begun(&asked(&BUILT_IN[1], &[], &[])).unwrap();
        let reckoned = begun.text.matches("reckoned-from").count();
        assert_eq!(reckoned, begun.text.matches("\nswatch ").count(), "{}", s.name);
        for (_, among) in s.choices().iter().filter(|c| c.0 == "fabric") {
            for fabric in among {
                assert!(begun.text.contains(&format!("swatch \"{fabric}\"")), "{}: {fabric}", s.name);
            }
        }
    }
}

/// A cardigan's neckband hangs in the order in which its edges meet. The public side faces away, so that the back's left, at the machine, is
/// sewn to the right front: that comes first, then the back, then the left front. A poncho's neck closes where its cast-on edges are sewn.
#[test]
fn edges_hang_and_are_sewn_in_the_order_in_which_they_meet() {
    let baby = Starter::find("baby-cardigan").unwrap().begun(&asked(&BUILT_IN[1], &[], &[])).unwrap().text;
    let chosen = [("kind".to_string(), "cardigan".to_string())];
    let grown = Starter::find("set-in-sweater").unwrap().begun(&asked(&BUILT_IN[1], &chosen, &[])).unwrap().text;
    for text in [baby, grown] {
        let h = handout(&proven(&text), &[0], false).unwrap();
        let band = h.pieces.iter().find(|p| p.title.starts_with("Neckband")).unwrap();
        let words: String = band.steps.iter().flat_map(|s| &s.tokens).map(Token::text).collect();
        let at = |what: &str| words.find(what).unwrap_or_else(|| panic!("{what}: {words}"));
        assert!(
            at("of the right front") < at("neck of the back") && at("neck of the back") < at("of the left front"),
            "{words}"
        );
        let shoulder = h.making_up.iter().find(|l| l.contains("right shoulder of the back")).unwrap();
        assert!(shoulder.contains("of the left front"), "{shoulder}");
    }
    let poncho = Starter::find("poncho").unwrap().begun(&asked(&BUILT_IN[1], &[], &[])).unwrap().text;
    let told = handout(&proven(&poncho), &[0], false).unwrap().making_up.join(" ");
    assert!(
        told.contains("sew the cast-on edge of the first half to the left edge of the second half along sewn side"),
        "{told}"
    );
}

/// Sleeves and bands hang on the edges of a baby's cardigan: nothing of them stays open. The gap for a thumb does.
#[test]
fn what_is_joined_is_not_left_open() {
    let open = |name: &str| {
        let begun = Starter::find(name).unwrap().begun(&asked(&BUILT_IN[1], &[], &[])).unwrap();
        let told = handout(&proven(&begun.text), &[0], false).unwrap().making_up;
        told.into_iter().filter(|l| l.starts_with("Leave the")).collect::<Vec<_>>()
    };
    assert_eq!(open("baby-cardigan"), [""; 0]);
    let thumb = open("wrist-warmer");
    assert!(thumb.len() == 1 && thumb[0].contains(" open: "), "{thumb:?}");
}

fn gored(gores: &str) -> Vec<(Go, u32)> {
    let text = piece(140, &format!("stretch \"body\" {{ fabric \"plain\"; {gores}; }}"));
    let p = proven(&text);
    p.sizes()[0].stitches.pieces[0].stretches[0].short.iter().map(|r| (r.go, r.rows)).collect()
}

/// A hat knitted sideways, round a head of 56 cm less a tenth at 28 stitches and 40 rows to 10 cm: ten wedges of 20 rows are 200 rows,
/// 50 cm, two whole rows in each wedge (facts on garments, section 9; W. Wormhead in The Knitter, 2017, worked there).
#[test]
fn a_sideways_hat_of_200_rows() {
    let rows = gored("gores 10 at=\"left\" { longest (cm)50.4; over (cm)7.96; }");
    assert_eq!(rows.iter().map(|r| r.1).sum::<u32>(), 200);
    let whole: u32 = rows.iter().filter(|r| r.0 == Go::Straight && r.1 == 2).map(|r| r.1).sum();
    assert_eq!(whole, 20);
    let held: u32 = rows.iter().map(|r| if let Go::Hold(_, n) = r.0 { n } else { 0 }).sum();
    // 7.96 cm are 22 stitches; the last pair leaves out 22 (2 · 9 - 1) / 18 of them.
    assert_eq!(held, 10 * 21);
}

/// Gores of a skirt: a waist of 280 rows and a hem of 480 are ten gores of 28 whole rows and ten pairs of short ones, over 7, 21, 35 … 133
/// of 140 stitches from the hem (facts on garments, section 13, worked there: their mean is half of all).
#[test]
fn gores_of_a_skirt() {
    let rows = gored("gores 10 at=\"left\" { longest (cm)120; shortest (cm)70; over (cm)50; }");
    assert_eq!(rows.iter().map(|r| r.1).sum::<u32>(), 480);
    let first: Vec<u32> = rows
        .iter()
        .take_while(|r| r.0 != Go::ReturnAll)
        .filter_map(|r| if let Go::Hold(_, n) = r.0 { Some(n) } else { None })
        .collect();
    let held: Vec<u32> = first
        .iter()
        .scan(0, |sum, n| {
            *sum += n;
            Some(*sum)
        })
        .collect();
    assert_eq!(held, [7, 21, 35, 49, 63, 77, 91, 105, 119, 133]);
}

/// Round the neck of a poncho of two rectangles is twice the length less the width: 2 (75 - 47) = 56 cm (facts on garments, section 12).
#[test]
fn the_neck_of_a_poncho() {
    let begun = Starter::find("poncho").unwrap().begun(&asked(&BUILT_IN[1], &[], &[])).unwrap();
    let p = proven(&begun.text);
    let adult = p.sizes().iter().find(|s| p.design().sizes[s.size].name == "adult").unwrap();
    let open: f64 = adult.stitches.pieces.iter().map(|w| w.stretches[0].length.0).sum();
    assert!((open - 560.0).abs() < 8.0, "{open}");
}

fn run(folder: &Path, line: &[&str]) -> Output {
    let program = program().canonicalize().expect("the program is built: run ./check");
    Command::new(program).args(line).current_dir(folder).stdin(Stdio::null()).output().unwrap()
}

fn said(out: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr))
}

#[test]
fn starters_as_a_knitter_types_them() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let names = run(at, &["starters", "--names"]);
    assert_eq!(String::from_utf8_lossy(&names.stdout).lines().collect::<Vec<_>>(), NAMES);
    let list = said(&run(at, &["starters"]));
    assert!(list.contains("set-in-sweater\n    A classic sweater") && list.contains("    neck: round, V\n"), "{list}");
    assert!(run(at, &["new", "cowl"]).status.success());
    let cowl = std::fs::read_to_string(at.join("cowl.kdl")).unwrap();
    assert!(cowl.starts_with("title \"Cowl\"\n") && cowl.contains("machine \"standard\""), "{cowl}");
    let again = run(at, &["new", "cowl"]);
    assert!(!again.status.success() && said(&again).contains("cowl.kdl"), "it writes over nothing: {}", said(&again));
    let line = ["new", "watch-cap", "--name", "mate's cap", "--machine", "bulky", "--measure", "head-girth=22.5in"];
    let cap = run(at, &line);
    assert!(cap.status.success(), "{}", said(&cap));
    let cap = std::fs::read_to_string(at.join("mate's cap.kdl")).unwrap();
    assert!(
        cap.contains("title \"Mate's cap\"")
            && cap.contains("machine \"bulky\"")
            && cap.contains("head-girth (cm)57.1"),
        "{cap}"
    );
    let vest = run(at, &["new", "vest", "--choose", "neck=round", "--choose", "for=men"]);
    assert!(said(&vest).contains("Left out for this machine: XXL."), "{}", said(&vest));
    let vest = std::fs::read_to_string(at.join("vest.kdl")).unwrap();
    assert!(
        vest.contains("choose \"neck\" \"round\"") && vest.contains("table \"men\" \"S\" \"M\" \"L\" \"XL\""),
        "{vest}"
    );
    let line = ["new", "set-in-sweater", "--name", "some", "--size", "S,M", "--tex", "280"];
    let some = run(at, &line);
    assert!(some.status.success() && !said(&some).contains("Left out"), "{}", said(&some));
    let some = std::fs::read_to_string(at.join("some.kdl")).unwrap();
    assert!(some.contains("table \"women\" \"S\" \"M\"") && some.contains("count (tex)280"), "{some}");
    assert!(run(at, &["rehearse", "some.kdl"]).status.success());
    for (line, told) in [
        (vec!["new", "cowl", "--name", "a", "--size", "tiny"], "There is no size tiny."),
        (vec!["new", "cowl", "--name", "a", "--tex", "9"], "from 20 to 3000"),
        (vec!["new", "mittens", "--size", "S"], "There is no starter mittens. Did you mean mitten?"),
        (vec!["new", "watchcap", "--machine", "bulky"], "Did you mean watch-cap?"),
        (vec!["new", "cowl", "--name", "a", "--machine", "tiny"], "There is no machine tiny."),
        (vec!["new", "cowl", "--name", "a", "--choose", "loop=triple"], "There are: snug, double."),
        (vec!["new", "cowl", "--name", "a", "--choose", "loops=snug"], "There are: fabric, loop."),
        (vec!["new", "cowl", "--name", "a", "--measure", "head=57cm"], "head-girth"),
        (vec!["new", "cowl", "--name", "a", "--measure", "head-girth=57ft"], "such as head-girth=57cm"),
    ] {
        let out = run(at, &line);
        assert!(!out.status.success() && said(&out).contains(told), "{line:?}: {}", said(&out));
        assert!(!at.join("a.kdl").exists());
    }
}

/// The gallery shows every starter, with the needles, rows, yarn and time that it takes now, and both pictures where it is worn. (The
/// pictures themselves are made by `latchwork starters --gallery docs`, which takes minutes.)
#[test]
fn the_gallery_is_true() {
    let docs = Path::new("../docs");
    let page = std::fs::read_to_string(docs.join("gallery.md")).unwrap();
    let entries: Vec<&str> = page.split("\n## ").skip(1).collect();
    assert_eq!(entries.len(), STARTERS.len());
    let flat_only = ["baby-blanket", "crescent-shawl", "cushion", "poncho", "scarf", "strip-blanket", "triangle-shawl"];
    for (s, entry) in STARTERS.iter().zip(entries) {
        assert!(entry.starts_with(&s.head("title")) && entry.contains(&s.head("summary")), "{}", s.name);
        let begun = s.begun(&asked(&BUILT_IN[1], &[], &[])).unwrap();
        let design = from_text(&begun.text).0.unwrap();
        let middle = design.sizes.len() / 2;
        let outcome = prove(&design, &[middle]);
        let size = &outcome.sizes[0];
        let needles = size.stitches.pieces.iter().flat_map(|p| &p.stretches);
        let needles = needles.map(|w| w.needles.max(w.needles_end)).max().unwrap();
        let rows: u32 = size.stitches.pieces.iter().zip(&design.pieces).map(|(w, p)| w.rows() * p.make.count()).sum();
        let grams = size.grams(&design, 0).0.0;
        let time = format!("{} h {} min", size.seconds / 3600, size.seconds / 60 % 60);
        let line = format!("| {} | {needles} | {rows} | {grams:.0} ± ", design.sizes[middle].name);
        assert!(entry.contains(&line) && entry.contains(&format!("| {time} |")), "{}: {line} {time}\n{entry}", s.name);
        for picture in ["flat", "worn"] {
            let file = format!("gallery/{}-{picture}.png", s.name);
            let shown = picture == "flat" || !flat_only.contains(&s.name);
            assert_eq!(docs.join(&file).exists() && entry.contains(&file), shown, "{file}");
        }
    }
}

/// The command draws those that are asked for, and refuses a name that it does not know.
#[test]
fn a_gallery_as_a_knitter_types_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = run(folder.path(), &["starters", "headband", "--gallery", "g"]);
    assert!(out.status.success(), "{}", said(&out));
    let page = std::fs::read_to_string(folder.path().join("g/gallery.md")).unwrap();
    assert!(page.contains("## Headband") && page.matches("\n## ").count() == 1, "{page}");
    for picture in ["flat", "worn"] {
        let bytes = std::fs::read(folder.path().join(format!("g/gallery/headband-{picture}.png"))).unwrap();
        assert!(bytes.starts_with(b"\x89PNG") && bytes.len() > 2000);
    }
    let list = said(&run(folder.path(), &["starters", "headband", "cowl", "--names"]));
    assert_eq!(list, "headband\ncowl\n");
    let wrong = run(folder.path(), &["starters", "hedband", "--gallery", "h"]);
    assert!(!wrong.status.success() && said(&wrong).contains("Did you mean headband?"), "{}", said(&wrong));
    assert!(!folder.path().join("h").exists());
}

/// One size of each through print: of every second one.
fn printed(from: usize) {
    let folder = tempfile::tempdir().unwrap();
    for s in STARTERS.iter().skip(from).step_by(2) {
        let begun = s.begun(&asked(&BUILT_IN[1], &[], &[])).unwrap();
        let name = format!("{}.kdl", s.name);
        std::fs::write(folder.path().join(&name), &begun.text).unwrap();
        let size = from_text(&begun.text).0.unwrap().sizes[0].name.clone();
        let out = run(folder.path(), &["make", &name, "--size", &size, "--paper", "a4", "--bench", "--out", s.name]);
        assert!(out.status.success(), "{}: {}", s.name, said(&out));
        let files: Vec<String> = std::fs::read_dir(folder.path().join(s.name))
            .unwrap()
            .map(|f| f.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        assert!(
            files.iter().any(|f| f == "handout-a4.pdf") && files.iter().any(|f| f.starts_with("bench-")),
            "{files:?}"
        );
    }
}

#[test]
fn one_size_of_each_is_printed() {
    printed(0);
}

#[test]
fn one_size_of_each_other_is_printed() {
    printed(1);
}
