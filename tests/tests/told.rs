//! What is reported of a document, and what its words say: causes named once and where they are, figures that are true,
//! texts that stay in their places.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Outcome, given, prove, prove_notes};
use latchwork::design::{Shelf, book_from_text, from_text};
use latchwork::handout::{PieceText, handout};
use latchwork::notes::{self, Noted};
use latchwork::notice::{Level, Notice};
use latchwork::picture::schematic;
use latchwork::text::isolated;
use latchwork::trial::{FABRICS, SHAPINGS, Seed, combinations, document};
use latchwork::wording::Language;
use latchwork::words::say;
use latchwork_tests::notes::{HEAD, made_up};
use proptest::prelude::*;

fn noted(body: &str) -> (Option<Noted>, Vec<Notice>) {
    let (noted, notices) = notes::from_text(&format!("{HEAD}{body}"));
    (noted, notices.0)
}

fn rehearsed(body: &str) -> (Noted, Outcome) {
    let (noted, notices) = noted(body);
    let noted = noted.unwrap_or_else(|| panic!("{notices:?}\n{body}"));
    let outcome = prove_notes(&noted);
    (noted, outcome)
}

fn lines(noted: &Noted) -> Vec<String> {
    let plan = &noted.plans.pieces[0];
    say(&plan.plan, &given(plan, noted.design.show)).iter().map(|l| l.text()).collect()
}

fn error(body: &str) -> Notice {
    let (noted, mut all) = noted(body);
    if let Some(noted) = noted {
        all.extend(prove_notes(&noted).notices.into_iter().map(|n| n.1));
    }
    let mut errors = all.into_iter().filter(|n| n.level == Level::Error);
    let first = errors.next().unwrap_or_else(|| panic!("no error in\n{body}"));
    assert!(errors.next().is_none(), "one cause");
    first
}

const RIB: &str = "notes \"n\"\ncarriage at the right\ncast on 41 needles 1x1 rib, ends on main\nweights 240 g\n2 rows 1x1 rib at 3\n";

#[test]
fn needles_that_face_because_of_the_racking_are_racked_back() {
    let e = error(&format!("{RIB}rack 1 to the right\n2 rows\nbind off\n"));
    assert!(e.told(Language::English).message.contains("are opposite each other"), "{e:?}");
    assert_eq!(e.told(Language::English).hints, ["Rack the ribber back first."]);
    let (mended, done) = latchwork::check::mend_notes(&format!("{HEAD}{RIB}rack 1 to the right\n2 rows\nbind off\n"));
    let put = |d: &latchwork::fact::Rewrite| matches!(d, latchwork::fact::Rewrite::PutBefore { line, .. } if line == "rack back");
    assert!(done.iter().any(put) && mended.contains("\nrack back\n2 rows"), "{done:?}");
    // Where nothing is racked, the pitch is the remedy.
    let e = error(
        "notes \"n\"\ncarriage at the right\ninto work main R1 to R3, ribber R1 to R3\n1 row main knit, ribber knit at 4\n",
    );
    assert!(e.told(Language::English).hints[0].contains("half pitch"), "{e:?}");
}

#[test]
fn one_cause_is_one_finding_with_its_needles() {
    let body = "notes \"n\"\ncarriage at the right\ncast on 40 needles full cardigan\nweights 240 g\n\
        5 rows full cardigan at 4\nmove the ribber to the main bed\n2 rows plain at 6\nbind off\n";
    let (noted, _) = noted(body);
    let outcome = prove_notes(&noted.unwrap());
    let open: Vec<&Notice> =
        outcome.notices.iter().map(|n| &n.1).filter(|n| n.rule() == Some("shaping-on-open-tuck")).collect();
    assert_eq!(open.len(), 1, "{open:?}");
    assert!(open[0].told(Language::English).message.contains("20 needles"), "{open:?}");
}

#[test]
fn loops_on_a_holder_are_said_to_be_there() {
    let e = error(
        "notes \"n\"\ncarriage at the right\ncast on 20 needles plain\nweights 120 g\n4 rows plain at 6\n\
         take off the left half on to holder 1\n2 rows\nbind off\n",
    );
    assert!(e.told(Language::English).message.contains("At the end 10 loops are still on a holder"), "{e:?}");
}

#[test]
fn an_increase_across_a_row_says_what_can_be_done() {
    let start = "notes \"n\"\ncarriage at the right\ncast on 20 needles plain\n2 rows plain at 6\n";
    let e = error(&format!("{start}increase 6 evenly\n"));
    assert!(
        e.told(Language::English).hints[0].contains("increase one at both ends")
            && e.told(Language::English).hints[0].contains("holder"),
        "{e:?}"
    );
    let e = error(&format!("{start}decrease 6 across the row\n"));
    assert!(e.told(Language::English).hints[0].contains("move R3 to R4, out"), "{e:?}");
    let e = error(&format!("{start}increase 4 at the right\n"));
    assert!(
        e.told(Language::English).hints[0].contains("increase one on each bed")
            && !e.told(Language::English).hints[0].contains("decrease"),
        "{e:?}"
    );
}

#[test]
fn a_count_that_cannot_be_names_every_cause() {
    let e = error("notes \"n\"\ncast on 43 needles 2x2 wide rib, ends on main\n");
    assert!(e.told(Language::English).message.contains("43 needles do not make whole groups"), "{e:?}");
    assert!(e.told(Language::English).message.contains("not both on the main bed"), "{e:?}");
    assert!(e.told(Language::English).hints[0].starts_with("44 or 40 can"), "{e:?}");
}

#[test]
fn stitches_counted_straight_after_an_increase_are_understood() {
    let body = |n: u32| {
        format!(
            "notes \"n\"\ncarriage at the right\ncast on 31 needles plain\nweights 200 g\n4 rows plain at 6\n\
             increase one at both ends\n{n} stitches\n2 rows\n33 stitches\nbind off\n"
        )
    };
    for n in [31, 33] {
        let (_, outcome) = rehearsed(&body(n));
        assert!(outcome.proven.is_some(), "{:?}", outcome.notices);
    }
    assert!(error(&body(32)).told(Language::English).message.contains("have stitches here, not 32"));
}

#[test]
fn a_stray_counter_is_named_where_a_reading_does_not_hold() {
    let e = error(
        "notes \"n\"\ncarriage at the right\ncast on 31 needles plain\n24 rows plain at 6\ncounter 0\n12 rows\n\
         counter reads 36\nbind off\n",
    );
    assert!(e.told(Language::English).hints[0].contains("counter 0, set it after 24 rows"), "{e:?}");
    let e =
        error("notes \"n\"\ncarriage at the right\ncast on 31 needles plain\n24 rows plain at 6\ncounter reads 36\n");
    assert!(e.told(Language::English).hints[0].contains("come to 24 in total"), "{e:?}");
}

/// Notes take a gauge from the shared book as designs do.
#[test]
fn notes_see_the_shared_swatches() {
    let swatch = "yarn \"grey\" { count (tex)238; }\nswatch \"plain\" { yarn \"grey\"; stitch-size 6; counted needles=31.5 passes=41; \
        flat (cm)10 (cm)10; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }\n";
    let book = book_from_text(swatch).0.unwrap();
    let shelf = Shelf { books: vec![("swatches/grey.kdl".to_string(), book)], ..Shelf::default() };
    let text = "machine \"standard\"\nyarn \"grey\" { count (tex)238; }\nnotes \"n\"\ncarriage at the right\ncast on 40 needles plain\n\
        weights 200 g\n41 rows plain at 6\nbind off\n";
    let with = notes::from_text_with(text, &shelf).0.unwrap();
    assert!(with.swatched && !notes::from_text(text).0.unwrap().swatched);
    let length = with.stitches.pieces[0].length().unwrap().0;
    assert!((length - 100.0).abs() < 1e-9, "41 rows at 41 in 10 cm: {length} mm");
}

/// Rows that are in no swatched fabric have no length: nothing is printed as if they had none.
#[test]
fn rows_that_no_swatch_measures_are_not_drawn_as_nothing() {
    let body = "notes \"n\"\ncarriage at the right\ncast on 41 needles 1x1 rib, ends on main\nweights 240 g\n\
        12 rows 1x1 rib at 3\n100 rows main knit, ribber tuck / both knit\nbind off\n";
    let (noted, outcome) = rehearsed(body);
    assert_eq!(noted.stitches.pieces[0].unmeasured, 100);
    assert_eq!(noted.stitches.pieces[0].length(), None);
    let drawn = schematic(&noted.design, &[&noted.stitches]);
    assert!(drawn.svg.contains("100 rows more are not drawn") && drawn.alt.contains("not known"), "{}", drawn.alt);
    let sheet = handout(outcome.proven.as_ref().unwrap(), &[0], false).unwrap();
    assert!(sheet.finished.rows[0].contains(&"not known".to_string()), "{:?}", sheet.finished);
    // Where all rows are measured, the length is given: 12 at 44 in 10 cm.
    let (noted, _) = rehearsed(&body.replace("100 rows main knit, ribber tuck / both knit\n", ""));
    let length = noted.stitches.pieces[0].length().unwrap().0;
    assert!((length - 12.0 / 44.0 * 100.0).abs() < 1e-9, "{length}");
}

/// Rows of waste yarn are no part of the piece, so a swatched fabric knitted in it leaves its length as it was.
#[test]
fn rows_in_waste_yarn_are_no_rows_without_a_length() {
    let body = |rows: &str| {
        format!(
            "notes \"n\"\ncarriage at the right\ncast on 41 needles 1x1 rib, ends on main\nweights 240 g\n\
             12 rows 1x1 rib at 3\n{rows}2 rows 1x1 rib at 3\nbind off\n"
        )
    };
    let piece = |rows: &str| rehearsed(&body(rows)).0.stitches.pieces[0].clone();
    let (with, without) = (piece("use \"waste yarn\"\n6 rows 1x1 rib at 3\nuse \"harbour sock\"\n"), piece(""));
    assert_eq!((with.unmeasured, without.unmeasured), (0, 0));
}

#[test]
fn rows_of_pushed_out_needles_say_so() {
    let start = "notes \"n\"\ncarriage at the right\ncast on 20 needles plain\nweights 120 g\n2 rows plain at 6\n";
    let (noted, _) =
        rehearsed(&format!("{start}select x.\n2 rows slip by the selection at 6\n2 rows plain at 6\nbind off\n"));
    let said = lines(&noted).join("\n");
    assert!(said.contains("needles in forward position knit, the others slip"), "{said}");
    assert!(!said.contains("main bed slips"), "{said}");
    let (noted, _) =
        rehearsed(&format!("{start}hold R3 to R5\nhold off\n1 row main tuck at 6\n2 rows plain at 6\nbind off\n"));
    let said = lines(&noted).join("\n");
    assert!(said.contains("needles in holding position knit, the others tuck"), "{said}");
}

#[test]
fn words_of_hands_say_what_hands_do() {
    let (noted, _) =
        rehearsed(&format!("{RIB}increase one on each bed at both ends every 4 rows, 2 times\n2 rows\nbind off\n"));
    let said = lines(&noted).join("\n");
    assert!(said.contains("Increase 2 stitches at each end, 1 on each bed, every 4th row, 2 times, at the counter readings in the table."), "{said}");
    assert!(said.contains("the next needle of each bed"), "{said}");
    assert!(said.contains("Transfer the ribber stitches to the main-bed needles of the same numbers: "), "{said}");
    assert!(said.contains("Thread the yarn, leaving"), "{said}");
    let (noted, _) = rehearsed(
        "notes \"n\"\ncarriage at the right\ncast on 30 needles plain\nweights 180 g\n4 rows plain at 6\n\
         increase one at both ends every 4 rows, 2 times\n2 rows\nbind off\n",
    );
    let said = lines(&noted).join("\n");
    assert!(said.contains("Bring the next needle into work, empty."), "{said}");
    // Two of three on both beds: some of the needles that take ribber loops carry one already.
    let (noted, _) = rehearsed(
        "notes \"n\"\ncarriage at the right\ncast on 48 needles 2x2 rib\nweights 240 g\n4 rows 2x2 rib at 4\nbind off\n",
    );
    let said = lines(&noted).join("\n");
    assert!(said.contains("needles of the same numbers, onto the stitches there: "), "{said}");
    // No comb on three stitches.
    let (noted, _) =
        rehearsed("notes \"n\"\ncarriage at the right\ncast on 3 needles plain\n10 rows plain at 6\nbind off\n");
    let said = lines(&noted).join("\n");
    assert!(!said.contains("comb") && said.contains("10 g"), "{said}");
}

/// A crossing says how far it carries, in words too, and is silent up to three.
#[test]
fn cables_state_their_carry() {
    let body = |a: &str, b: &str| {
        format!(
            "notes \"n\"\ncarriage at the right\ncast on 20 needles plain\nweights 120 g\n4 rows plain at 6\n\
             cross {a} with {b}\n4 rows\nbind off\n"
        )
    };
    let (noted, outcome) = rehearsed(&body("R1 to R3", "R4 to R6"));
    assert!(outcome.notices.iter().all(|n| n.1.rule().is_none()), "{:?}", outcome.notices);
    assert!(lines(&noted).join("\n").contains("Cross, carrying no stitch past 3 needles"));
    let (_, outcome) = rehearsed(&body("R1 to R4", "R5 to R8"));
    let told: Vec<_> = outcome.notices.iter().filter_map(|n| n.1.rule()).collect();
    assert_eq!(told, ["carried-far"], "four over four is told once");
}

/// A width that is missed by more than a twentieth is reported, with what to give up.
#[test]
fn a_missed_width_is_told_with_what_to_give_up() {
    let design = |body: f64| {
        format!(
            "title \"T\"\n{}sizes {{ size \"a\" {{ round (cm)30; }} }}\npiece \"p\" {{ yarn \"grey\"\n\
             stretch \"brim\" {{ fabric \"1x1 rib\"; width (cm)20 weight=4; length (cm)6; }}\n\
             stretch \"body\" {{ fabric \"plain\"; width (cm){body}; length (cm)10; }}\n ending \"loop through loop\"\n}}\n",
            HEAD.strip_prefix("title \"Made up\"\n").unwrap()
        )
    };
    let told = |text: &str| {
        let (design, notices) = from_text(text);
        let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
        let all = prove(&design, &[0]).notices;
        all.into_iter()
            .map(|n| n.1)
            .filter(|n| n.told(Language::English).message.contains("comes out"))
            .collect::<Vec<_>>()
    };
    let missed = told(&design(36.0));
    let body = missed
        .iter()
        .find(|n| n.told(Language::English).message.contains("\"body\""))
        .unwrap_or_else(|| panic!("{missed:?}"));
    assert!(body.told(Language::English).message.contains("not 36.0 cm") && body.level == Level::Warning, "{body:?}");
    assert!(
        body.told(Language::English).why.contains("brim")
            && body.told(Language::English).hints[0].contains("weight=10"),
        "{body:?}"
    );
    // 96 needles of rib at 48 in 10 cm are 20 cm; as many of plain are 30.5.
    assert!(told(&design(30.5)).is_empty());
}

/// A rib that ends on the main bed at both edges is sewn half a stitch in, and loses one stitch in all.
#[test]
fn a_rib_goes_on_over_its_seam() {
    let design = |fabric: &str| {
        format!(
            "title \"T\"\n{}sizes {{ size \"a\" {{ round (cm)30; }} }}\npiece \"p\" {{ yarn \"grey\"\n\
             stretch \"s\" {{ fabric \"{fabric}\"; needles 97; length (cm)6; }}\n ending \"loop through loop\"\n}}\n\
             seam \"back\" {{ edge \"p\" \"left\"; edge \"p\" \"right\"; }}\n",
            HEAD.strip_prefix("title \"Made up\"\n").unwrap()
        )
    };
    for (fabric, lost, words) in [
        ("1x1 rib", 1.0, "half a stitch in from each edge, so that the rib continues"),
        ("plain", 2.0, "1 stitch in from each edge"),
    ] {
        let (read, notices) = from_text(&design(fabric));
        let read = read.unwrap_or_else(|| panic!("{:?}", notices.0));
        let outcome = prove(&read, &[0]);
        let proven = outcome.proven.unwrap_or_else(|| panic!("{:?}", outcome.notices));
        let worked = &outcome.sizes[0].stitches.pieces[0].stretches[0];
        let needle = read.pieces[0].stretches[0].gauge.needle.value;
        assert!((worked.width.0.0 - (97.0 - lost) * needle).abs() < 1e-9, "{fabric}: {worked:?}");
        let sheet = handout(&proven, &[0], false).unwrap();
        assert!(sheet.making_up.iter().any(|m| m.contains(words)), "{:?}", sheet.making_up);
    }
}

/// Every figure of a handout in inches is in inches by eighths, yards and ounces; the tables of its facts have the other system
/// beside it, in columns of their own.
#[test]
fn a_handout_in_inches_has_no_centimetres() {
    let text = include_str!("../../designs/wrist-warmers.kdl").replacen("title ", "units \"in\"\ntitle ", 1);
    let (design, notices) = from_text(&text);
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    let sheet = handout(outcome.proven.as_ref().unwrap(), &all, false).unwrap();
    let mut words: Vec<String> = sheet.making_up.clone();
    words.extend(sheet.fit.head.iter().chain(sheet.fit.rows.iter().flatten()).cloned());
    words.extend(sheet.sewing.iter().flat_map(|s| s.1.clone()));
    words.extend(sheet.pieces.iter().map(|p| p.lines()));
    words.extend(
        sheet.facts.iter().filter(|f| f.0 != "Machine" && f.0 != "Sizes from" && f.0 != "Yarn").map(|f| f.1.clone()),
    );
    words.push(sheet.about_yarn.clone());
    for grid in [&sheet.finished, &sheet.yarn, &sheet.gauge] {
        let first = |row: &[String]| -> Vec<String> {
            row.iter().enumerate().filter(|(i, _)| !grid.second.contains(i)).map(|c| c.1.clone()).collect()
        };
        words.extend(first(&grid.head));
        assert!(!grid.second.is_empty() && grid.rows.iter().all(|r| first(r).len() + grid.second.len() == r.len()));
    }
    for w in &words {
        let metric = [" cm", " mm", "10 cm", " metres", "centimetre", " m "].iter().find(|m| w.contains(**m));
        assert!(metric.is_none(), "{metric:?} in {w}");
    }
    assert_eq!(sheet.finished.head[1..3], ["cuff round, in", "cm"]);
    assert_eq!(sheet.yarn.head[1..5], ["oz", "yd", "g", "m"]);
    assert_eq!(sheet.gauge.head[1..3], ["stitches in 4 in", "rows in 4 in"]);
    let eighth = |w: &String| w.chars().all(|c| c.is_ascii_digit() || "⅛¼⅜½⅝¾⅞".contains(c));
    assert!(sheet.finished.rows.iter().all(|r| eighth(&r[1])), "{:?}", sheet.finished);
    // Inches read American, without a word for it.
    assert!(sheet.pieces.iter().any(|p| p.lines().contains("Bind off loop through loop")));
    assert!(sheet.making_up.iter().any(|m| m.starts_with("Weave in the tails")), "{:?}", sheet.making_up);
}

/// A document chooses its English; without a word centimetres read British, inches American. Names stay as they are.
#[test]
fn english_is_british_or_american() {
    let told = |head: &str| {
        let text = include_str!("../../designs/wrist-warmers.kdl");
        let text =
            text.replacen("title ", &format!("{head}\ntitle "), 1).replace("\"cuff\"", "\"colour towards cuff\"");
        let (design, notices) = from_text(&text);
        let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
        let outcome = prove(&design, &[0]);
        let sheet = handout(outcome.proven.as_ref().unwrap(), &[0], false).unwrap();
        sheet
            .pieces
            .iter()
            .map(PieceText::lines)
            .chain(sheet.reading.clone())
            .chain(sheet.making_up.clone())
            .collect::<Vec<_>>()
            .join("\n")
    };
    for (head, american) in
        [("", false), ("english \"us\"", true), ("units \"in\"", true), ("units \"in\"\nenglish \"uk\"", false)]
    {
        let text = told(head);
        assert_eq!(text.contains("Bind off"), american, "{head}: {text}");
        assert_eq!(text.contains("Cast off"), !american, "{head}");
        assert_eq!(text.contains("from the center"), american, "{head}");
        assert!(text.contains("Colour towards cuff. Knit "), "the author's words are not changed: {text}");
    }
}

#[test]
fn what_cannot_be_seen_is_refused_where_it_stands() {
    let design = include_str!("../../designs/scarf.kdl");
    let at = design.find("scarf").unwrap();
    for c in
        ['\u{1b}', '\u{7}', '\u{85}', '\u{200b}', '\u{200d}', '\u{202e}', '\u{2066}', '\u{ad}', '\u{feff}', '\u{e0041}']
    {
        let mut text = design.to_string();
        text.insert(at, c);
        let (read, notices) = from_text(&text);
        assert!(read.is_none(), "{c:?}");
        let n = &notices.0[0];
        assert_eq!(n.span.map(|s| s.start), Some(at), "{c:?}: {n:?}");
        assert!(n.told(Language::English).message.contains(&format!("U+{:04X}", u32::from(c))), "{n:?}");
        assert_eq!(notices.0.len(), 1, "told once: {:?}", notices.0);
    }
    // The same by an escape, and in notes.
    let escaped = design.replacen("title \"", "title \"\\u{1b}[31m", 1);
    assert!(from_text(&escaped).1.0.iter().any(|n| n.told(Language::English).message.contains("U+001B")), "an escape");
    let (noted, told) =
        noted("notes \"n\"\ncarriage at the right\ncast on 20 needles plain\n2 rows\u{202e} plain at 6\nbind off\n");
    assert!(noted.is_none() && told.iter().any(|n| n.told(Language::English).message.contains("U+202E")), "{told:?}");
    // A byte order mark at the very beginning, tabs and line ends of any system are not refused.
    let fine = format!("\u{feff}{}", design.replace('\n', "\r\n"));
    assert!(from_text(&fine).0.is_some());
}

#[test]
fn letters_from_right_to_left_stand_for_themselves() {
    assert_eq!(isolated("Size א ב, 12 rows"), "Size \u{2068}א ב\u{2069}, 12 rows");
    assert_eq!(isolated("plain"), "plain");
    assert_eq!(isolated("אב 12 גד"), "\u{2068}אב\u{2069} 12 \u{2068}גד\u{2069}");
}

/// Whether sentences are parted by a full stop and one space.
fn spaced(words: &str) -> bool {
    words.as_bytes().windows(2).all(|w| !(w[0] == b'.' && w[1].is_ascii_uppercase())) && !words.contains("  ")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn sentences_are_parted(number in any::<u64>()) {
        let (noted, _) = notes::from_text(&made_up(number));
        if let Some(noted) = noted {
            for line in lines(&noted) {
                prop_assert!(spaced(&line), "{line}");
            }
        }
        let (design, _) = from_text(&document(&Seed::from_number(number, &combinations(FABRICS.len(), SHAPINGS))));
        if let Some(design) = design {
            let outcome = prove(&design, &[0]);
            for plan in outcome.sizes.iter().flat_map(|s| &s.plans.pieces) {
                for line in say(&plan.plan, &given(plan, design.show)) {
                    prop_assert!(spaced(&line.text()), "{}", line.text());
                }
            }
        }
    }

    #[test]
    fn what_is_isolated_reads_the_same(text in "[a-z0-9 אבגد]{0,30}") {
        let shown = isolated(&text);
        prop_assert_eq!(shown.replace(['\u{2068}', '\u{2069}'], ""), text.clone());
        prop_assert_eq!(shown.matches('\u{2068}').count(), shown.matches('\u{2069}').count());
    }
}

/// Stitches beside a seam, the parts sewn on, and what is free between them are the whole row except for the edge
/// stitch at each side, in every size. Worked by hand: rows of 151 to 189 stitches, flaps of 31 to 39.
#[test]
fn stitches_beside_a_seam_add_up() {
    let (design, _) = from_text(include_str!("../../designs/deck-hat.kdl"));
    let design = design.unwrap();
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    let sheet = handout(outcome.proven.as_ref().unwrap(), &all, false).unwrap();
    let line = sheet.making_up.iter().find(|l| l.contains("place 1 ear flap")).unwrap();
    let figures = |after: &str, before: &str| -> Vec<u32> {
        let rest = line.split_once(after).unwrap().1.split_once(before).unwrap().0;
        let numbers = rest.split(|c: char| !c.is_ascii_digit()).filter(|n| !n.is_empty());
        numbers.map(|n| n.parse().unwrap()).collect()
    };
    let (from, free) = (figures("seam, ", " stitches"), figures("Leave ", " stitches"));
    let (rows, flaps) = ([151, 161, 171, 181, 189], [31, 31, 35, 35, 39]);
    for k in 0..5 {
        assert_eq!(2 * from[k] + 2 * flaps[k] + free[k] + 2, rows[k], "{line}");
    }
}
