//! Charts of needles brought forward and stitches moved: when there is one, which needle its first column is, how its rows are named, and that
//! what it says is what is knitted.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, prove};
use latchwork::cues::cues;
use latchwork::design::from_text;
use latchwork::handout::{PieceText, bench, glossary, handout, heard_as_planned, proofread};
use latchwork::readback::read_back;
use latchwork_machine::steps::Action;

const BEACON: &str = include_str!("../../designs/beacon-cap.kdl");

fn proven(text: &str) -> Proven {
    let (design, notices) = from_text(text);
    let design = design.unwrap_or_else(|| panic!("{text}\n{:?}", notices.0));
    let all: Vec<usize> = (0..design.sizes.len()).collect();
    let outcome = prove(&design, &all);
    outcome.proven.unwrap_or_else(|| panic!("{text}\n{:?}", outcome.notices))
}

/// The pieces of a design in all sizes, which are read back.
fn pieces(p: &Proven) -> Vec<PieceText> {
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    proofread(p, &all).unwrap_or_else(|m| panic!("{m}"))
}

fn words(piece: &PieceText) -> Vec<String> {
    let of = |s: &latchwork::handout::StepText| s.tokens.iter().map(latchwork::words::Token::text).collect();
    piece.steps.iter().map(of).collect()
}

/// A strip in a fabric of these passes, forward needles marked `k` among slipped ones.
fn strip(passes: &[&str], needles: u32, rows: u32, fabric: &str) -> String {
    let passes: String = passes.iter().map(|p| format!("pass main=\"{p}\"\n")).collect();
    format!(
        "title \"Strip\"\nmachine \"standard\"\nyarn \"sea\" {{ count (tex)238; ball (g)50; }}
         fabric \"lines\" kind=\"t\" {{ like \"plain\"; shaping because=\"lines\"; {passes} }}
         swatch \"lines\" {{ yarn \"sea\"; stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)9 needles=60 passes=90; state \"washed\"; }}
         sizes {{ size \"one\" {{ girth (cm)56; }} }}
         piece \"strip\" {{ yarn \"sea\"; needles {needles}; stretch \"field\" {{ {fabric}; rows {rows}; }}; ending \"chain\"; }}"
    )
}

#[test]
fn a_band_is_told_by_its_chart() {
    let p = proven(BEACON);
    let piece = pieces(&p).remove(0);
    let [chart] = piece.charts.as_slice() else { panic!("one chart") };
    let about: String = chart.about.iter().map(latchwork::words::Token::text).collect();
    assert_eq!(
        about,
        "Chart A. Main bed: 28 columns, 26 rows. Column 1 is needle L14 (L14, R1, R1). The columns repeat to both sides. v: comes forward."
    );
    // The document's fourth row from above: the last but three.
    assert_eq!(chart.blocks[0].rows[6], (20, "∙∙vvvvv∙∙∙∙∙vvvv∙∙∙∙∙vvvvv∙∙".to_string()));
    let steps = words(&piece);
    assert!(steps.len() <= 20, "{} steps", steps.len());
    assert!(steps.iter().any(|s| s.ends_with(
        "Second yarn: lamp for needles in forward position. Band. For each of rows 2 to 7 of chart A: bring its needles to forward position, with both end needles, and knit 1 row in beacon: main bed only."
    )), "{steps:#?}");
    // The picture shows the yarns in their colours.
    assert!(chart.public.svg.contains("#3C4A57") && chart.public.svg.contains("#E9D9A6"));
}

/// One sign changed in a chart, or one row of it named instead of another, is found.
#[test]
fn a_chart_that_says_otherwise_is_found() {
    let p = proven(BEACON);
    let all: Vec<usize> = (0..p.sizes().len()).collect();
    let names: Vec<String> = p.design().sizes.iter().map(|s| s.name.clone()).collect();
    let text = pieces(&p)[0].lines();
    let plan = |i: usize| &p.sizes()[i].plans.pieces[0];
    let found = |text: &str| match read_back(text, &glossary(names.clone(), plan(0), p.design().show.language)) {
        Err(_) => true,
        Ok(heard) => all.iter().zip(&heard).any(|(i, h)| heard_as_planned(h, plan(*i), p.design().show).is_some()),
    };
    assert!(!found(&text));
    let row = text.lines().find(|l| l.starts_with("20 ∙∙v")).unwrap();
    for (from, to) in [
        ("20 ∙∙v".to_string(), "20 ∙vv".to_string()),
        ("20 ∙∙v".to_string(), "20 ∙∙∙".to_string()),
        (row.to_string(), format!("{row}v")),
        ("needle L14 (L14".to_string(), "needle L13 (L14".to_string()),
        ("(L14, R1, R1)".to_string(), "(L14, R1, R2)".to_string()),
        ("rows 2 to 7 of chart A".to_string(), "rows 3 to 8 of chart A".to_string()),
        ("rows 2 to 7 of chart A".to_string(), "rows 2 to 7 of chart B".to_string()),
        (", with both end needles".to_string(), String::new()),
        ("28 columns".to_string(), "27 columns".to_string()),
    ] {
        assert!(text.contains(&from), "{from}");
        assert!(found(&text.replacen(&from, &to, 1)), "{from} as {to}");
    }
}

/// As the author chooses; a chart where nothing is chosen.
#[test]
fn chart_or_words() {
    let told = |passes: &[&str], fabric: &str| {
        let piece = pieces(&proven(&strip(passes, 48, 40, fabric))).remove(0);
        (piece.charts.len(), words(&piece).join(" "))
    };
    for (passes, named) in [(["kk----", "k-----"], "Bring main bed L24 to L23"), (["k---", "--k-"], "every 4th from")] {
        for chosen in ["", " printed=\"chart\""] {
            let (charts, said) = told(&passes, &format!("fabric \"lines\"{chosen}"));
            assert_eq!(charts, 1);
            assert!(said.contains("of chart A") && !said.contains(named), "{said}");
        }
        let (charts, said) = told(&passes, "fabric \"lines\" printed=\"words\"");
        assert_eq!(charts, 0);
        assert!(said.contains(named) && !said.contains("chart"), "{said}");
    }
    // Anything else is refused.
    assert!(from_text(&strip(&["k---", "--k-"], 48, 40, "fabric \"lines\" printed=\"loud\"")).1.has_error());
}

/// Rows beyond the repeat begin again with its first.
#[test]
fn rows_go_over_the_repeat() {
    let text = strip(&["kk----", "--kk--", "----kk"], 48, 42, "fabric \"lines\"");
    let piece = pieces(&proven(&text)).remove(0);
    let steps = words(&piece);
    let rows: Vec<&String> = steps.iter().filter(|s| s.contains("chart A")).collect();
    // The weights are hung after the first.
    let [first, rest] = rows.as_slice() else { panic!("{rows:#?}") };
    assert!(first.contains("For row 1 of chart A"), "{first}");
    assert!(
        rest.ends_with(
            "Field. For each of 41 rows, from row 2 of chart A on and again from row 1 after row 3: bring its needles to forward position, with both end needles, and knit 1 row in lines: needles in forward position knit, the others slip."
        ),
        "{rest}"
    );
}

/// A wide grid stands in blocks, each column in one of them.
#[test]
fn wide_charts_stand_in_blocks() {
    let wide: String = (0..130).map(|i| if i % 7 == 0 || i % 11 == 0 { 'k' } else { '-' }).collect();
    let other: String = (0..130).map(|i| if i % 5 == 0 || i % 9 == 0 { 'k' } else { '-' }).collect();
    let piece = pieces(&proven(&strip(&[&wide, &other], 130, 20, "fabric \"lines\" placed=\"centred\""))).remove(0);
    let blocks = &piece.charts[0].blocks;
    let heads: Vec<&str> = blocks.iter().map(|b| b.head.as_str()).collect();
    assert_eq!(heads, ["Columns 1 to 60:", "Columns 61 to 120:", "Columns 121 to 130:"]);
    let row: String = blocks.iter().map(|b| b.rows[1].1.as_str()).collect();
    assert_eq!(row, wide.replace('k', "v").replace('-', "∙"));
}

/// The right piece of a pair has a chart of its own, which is the mirror image.
#[test]
fn a_pair_has_a_chart_each() {
    let text = strip(&["kk----", "k-----"], 48, 40, "fabric \"lines\"")
        .replace("yarn \"sea\"; needles", "make \"pair\"; yarn \"sea\"; needles");
    let both = pieces(&proven(&text));
    let row = |i: usize| both[i].charts[0].blocks[0].rows.last().unwrap().1.clone();
    assert_eq!((row(0), row(1)), ("vv∙∙∙∙".to_string(), "∙∙∙∙vv".to_string()));
    let letters: Vec<&str> = both.iter().map(|p| p.charts[0].letter.as_str()).collect();
    assert_eq!(letters, ["A", "B"]);
    // The steps name the rows of each: its needles are those that are knitted.
    assert!(words(&both[1]).iter().any(|w| w.contains("of chart B")));
    // So they do where the fabric is laid the other way round.
    let mirrored = strip(&["kk----", "k-----"], 50, 40, "fabric \"lines\" mirrored=\"yes\"");
    assert!(words(&pieces(&proven(&mirrored))[0]).iter().any(|w| w.contains("of chart A")));
}

/// The sheet at the machine has the chart, and names its rows.
#[test]
fn the_bench_sheet_has_the_chart() {
    let p = proven(BEACON);
    let (one, all) = (handout(&p, &[2], false).unwrap(), handout(&p, &[0, 1, 2, 3], false).unwrap());
    let sheet = bench(&one, &all).unwrap();
    let steps: Vec<String> =
        sheet.pieces[0].steps.iter().map(|s| format!("{} / {}", s.act, s.lines.join(" / "))).collect();
    assert_eq!(sheet.pieces[0].charts.len(), 1);
    assert!(
        steps.iter().any(|s| s == "Band, rows 10 to 12 of chart A / second yarn: lamp for needles in forward position / both end needles forward; main bed only"),
        "{steps:#?}"
    );
}

/// A pattern device brings the needles forward where the repeat divides its width: the words, the cues and the time say so.
#[test]
fn a_device_selects() {
    let by_hand = strip(&["kk----", "k-----"], 48, 40, "fabric \"lines\"");
    let by_device = by_hand.replace("machine \"standard\"", "machine \"standard\" { pattern-device needles=24; }");
    let said = |text: &str| words(&pieces(&proven(text))[0]).join(" ");
    assert!(said(&by_hand).contains(": bring its needles to forward position"));
    assert!(said(&by_device).contains(": let the pattern device bring its needles to forward position"));
    let asked_not = by_device.replace("fabric \"lines\";", "fabric \"lines\" selected=\"hand\";");
    assert!(asked_not.contains("selected") && said(&asked_not) == said(&by_hand));
    // Half a second for each needle: common practice, no source.
    let (hand, device) = (proven(&by_hand), proven(&by_device));
    let steps = &hand.sizes()[0].plans.pieces[0].plan.steps;
    let brought: usize = steps.iter().map(|s| if let Action::Forward(n) = &s.action { n.len() } else { 0 }).sum();
    let saved = f64::from(hand.sizes()[0].pieces[0].seconds - device.sizes()[0].pieces[0].seconds);
    assert!((saved - brought as f64 / 2.0).abs() <= 1.0, "{saved} for {brought} needles");
    let tools = |p: &Proven| handout(p, &[0], false).unwrap().facts.into_iter().find(|f| f.0 == "Tools").unwrap().1;
    assert!(
        tools(&device).contains("pattern device that repeats after 24 needles") && !tools(&hand).contains("device")
    );
    let cues = |p: &Proven| -> String {
        let size = &p.sizes()[0];
        let all = cues(size.proven(0).unwrap(), p.design().show);
        all.iter().flat_map(|c| c.hands.clone()).collect()
    };
    assert!(cues(&device).contains("The pattern device brings main bed"));
    assert!(!cues(&hand).contains("device"));
}

/// What a device cannot do, with what would work.
#[test]
fn what_a_device_cannot_do() {
    let refused = |text: &str| -> String {
        let told = |n: &latchwork::notice::Notice| {
            let t = n.told(latchwork::units::Language::English);
            format!("{} {} {}", t.message, t.why, t.hints.join(" "))
        };
        from_text(text).1.0.iter().map(told).collect()
    };
    let asked = strip(&["kk---", "k----"], 50, 40, "fabric \"lines\" selected=\"device\"");
    assert!(refused(&asked).contains("pattern-device needles=24"), "{}", refused(&asked));
    let with = |text: &str| text.replace("machine \"standard\"", "machine \"standard\" { pattern-device needles=24; }");
    let said = refused(&with(&asked));
    assert!(
        said.contains("repeat is 5 needles, and the device repeats after 24")
            && said.contains("1, 2, 3, 4, 6, 8, 12, 24 needles wide"),
        "{said}"
    );
    let words = asked
        .replace("kk---", "kk----")
        .replace("k----\"", "k-----\"")
        .replace("selected", "printed=\"words\" selected");
    assert!(refused(&with(&words)).contains("named in words"), "{}", refused(&with(&words)));
    // Unasked, it is done by hand.
    let unasked = with(&asked.replace(" selected=\"device\"", ""));
    assert!(!pieces(&proven(&unasked))[0].lines().contains("device"));
}

/// A strip in a fabric that ships.
fn strip_of(fabric: &str, needles: u32, more: &str) -> String {
    strip(&["knit"], needles, 24, &format!("fabric \"{fabric}\"{more}"))
        .replace("swatch \"lines\"", &format!("swatch \"{fabric}\""))
}

fn rows_of(piece: &PieceText) -> Vec<String> {
    piece.charts[0].blocks[0].rows.iter().rev().map(|r| r.1.clone()).collect()
}

/// Lace and cables: which stitch goes where, and which lies on top. The signs are worked out by hand from the fabrics'
/// documents.
#[test]
fn lace_and_cables_are_charts() {
    let piece = pieces(&proven(&strip_of("mesh", 40, ""))).remove(0);
    assert_eq!(rows_of(&piece), [">∙", "∙∙", "∙<", "∙∙"]);
    let about: String = piece.charts[0].about.iter().map(latchwork::words::Token::text).collect();
    assert_eq!(
        about,
        "Chart A. Main bed: 2 columns, 4 rows. Column 1 is needle R1. The columns repeat to both sides. <, >: transfer to the next needle at the left, at the right; leave the emptied needle in work for an eyelet. Not from or onto the end needles."
    );
    let steps = words(&piece);
    assert!(
        steps.iter().any(|s| s.ends_with("Field. For each of 23 rows, from row 2 of chart A on and again from row 1 after row 4: transfer its stitches, and knit 1 row in mesh: main bed only.")),
        "{steps:#?}"
    );
    let piece = pieces(&proven(&strip_of("2x2 cable", 44, ""))).remove(0);
    assert_eq!(rows_of(&piece), ["∙∙∙))««∙", "∙∙∙∙∙∙∙∙", "∙∙∙∙∙∙∙∙", "∙∙∙∙∙∙∙∙"]);
    assert!(words(&piece).iter().any(|s| s.contains(": cross its stitches, and knit 1 row")));
    // The mirror image crosses to the other side; the same stitches lie on top.
    let twist = strip_of("travelling twist", 40, "");
    let turned = twist.replace("twist\"; rows", "twist\" mirrored=\"yes\"; rows");
    let first_row = |text: &str| rows_of(&pieces(&proven(text))[0])[0].clone();
    assert_eq!((first_row(&twist).as_str(), first_row(&turned).as_str()), ("∙)«∙∙∙∙∙", "∙∙∙∙∙»(∙"));
    let told = strip_of("mesh", 40, "").replace("mesh\";", "mesh\" printed=\"words\";");
    let piece = pieces(&proven(&told)).remove(0);
    assert!(
        piece.charts.is_empty() && words(&piece).iter().any(|s| s.starts_with("Transfer the stitches of main bed"))
    );
}

/// The right piece of a pair moves its stitches to the other side. What signs cannot tell is told in words: two stitches moved
/// onto one needle, whose order counts, and a crossing beside an eyelet.
#[test]
fn moves_of_pairs_and_moves_in_words() {
    let pair = strip_of("mesh", 40, "").replace("yarn \"sea\"; needles", "make \"pair\"; yarn \"sea\"; needles");
    assert_eq!(pieces(&proven(&pair)).iter().map(|p| rows_of(p)[0].clone()).collect::<Vec<_>>(), [">∙", "∙<"]);
    for (hands, charts) in [
        ("eyelet main=\".x....\" to=\"right\"; eyelet main=\"....x.\" to=\"left\"", 1),
        ("eyelet main=\".x....\" to=\"right\"; eyelet main=\"...x..\" to=\"left\"", 0),
        ("cross main=\".x....\" of=1 over=\"right\"", 1),
        ("cross main=\".x....\" of=1 over=\"right\"; eyelet main=\"....x.\" to=\"right\"", 0),
    ] {
        let text = strip(&["knit", "knit"], 36, 20, "fabric \"lines\"").replacen(
            "pass main=\"knit\"",
            &format!("pass main=\"knit\" {{ {hands}; }}"),
            1,
        );
        assert_eq!(pieces(&proven(&text))[0].charts.len(), charts, "{hands}");
    }
}

/// Repeats of an odd number of needles, and decreases among the rows: each has words of its own, and the chart goes on.
#[test]
fn charts_go_on_after_a_decrease() {
    let piece = pieces(&proven(&strip_of("chevron lace", 42, "; decrease 1 every=6 times=2"))).remove(0);
    assert_eq!(rows_of(&piece)[0], "∙∙<∙>∙∙");
    let steps = words(&piece);
    let begins = [
        "For row 1 of",
        "For each of rows 2 to 6 of",
        "For each of rows 1 to 6 of",
        "For each of 12 rows, from row 1 of",
    ];
    assert!(begins.iter().all(|b| steps.iter().any(|s| s.contains(b))), "{steps:#?}");
    assert!(!steps.iter().any(|s| s.contains("eyelet") || s.contains("Knit 1 row in chevron")), "{steps:#?}");
}

/// A sign of lace or of a cable changed in print is found.
#[test]
fn moves_that_say_otherwise_are_found() {
    for (fabric, needles, from, to) in [
        ("mesh", 40, "1 >∙", "1 <∙"),
        ("mesh", 40, "3 ∙<", "3 ∙∙"),
        ("mesh", 40, "1 >∙", "1 ∙>"),
        ("2x2 cable", 44, "))««", "»»(("),
        ("2x2 cable", 44, "∙))««", "))««∙"),
        ("2x2 cable", 44, "cross its stitches", "transfer its stitches"),
        ("mesh", 40, "transfer its stitches, and", "and"),
    ] {
        let p = proven(&strip_of(fabric, needles, ""));
        let text = pieces(&p)[0].lines();
        let found = |text: &str| is_found(&p, text);
        assert!(!found(&text) && text.contains(from), "{text}");
        assert!(found(&text.replacen(from, to, 1)), "{from} as {to}");
    }
}

/// Whether a changed text of the first piece of a design in one size is found to say something else than its plan.
fn is_found(p: &Proven, text: &str) -> bool {
    let plan = &p.sizes()[0].plans.pieces[0];
    match read_back(text, &glossary(vec!["one".into()], plan, p.design().show.language)) {
        Err(_) => true,
        Ok(heard) => heard_as_planned(&heard[0], plan, p.design().show).is_some(),
    }
}

/// A strip with a panel of eight needles near its left edge and one of nine, turned over, near its right.
fn with_panels(field: &str, left: &str, right: &str) -> String {
    let panels = format!(
        "; panel \"{left}\" needles=8 at=\"left\" in=5; panel \"{right}\" needles=9 at=\"right\" in=3 mirrored=\"yes\""
    );
    let text = strip_of(field, 60, &panels);
    let mut others: Vec<&str> = [left, right].into_iter().filter(|n| *n != field).collect();
    others.dedup();
    let swatches: String = others.iter().map(|n| swatch_of(n, &text)).collect();
    text.replacen("swatch", &format!("{swatches} swatch"), 1)
}

/// The swatch of a strip, for another fabric.
fn swatch_of(fabric: &str, strip: &str) -> String {
    let swatch = &strip[strip.find("swatch").unwrap()..strip.find("sizes {").unwrap()];
    let own = swatch.split('"').nth(1).unwrap();
    swatch.replacen(own, fabric, 1)
}

fn about(piece: &PieceText) -> Vec<String> {
    let text = |c: &latchwork::handout::ChartText| c.about.iter().map(latchwork::words::Token::text).collect();
    piece.charts.iter().map(text).collect()
}

/// Panels are charts whose columns stand once; one turned over is the mirror image. The field has a chart where anything is
/// done in it, which leaves out the panels.
#[test]
fn panels_are_charts_that_stand_once() {
    let p = proven(&with_panels("plain", "mesh", "mesh"));
    let piece = pieces(&p).remove(0);
    let said = about(&piece);
    assert_eq!(said.len(), 2);
    assert!(
        said[0].starts_with("Chart A. Main bed: 8 columns, 4 rows. Column 1 is needle L25. The columns do not repeat.")
    );
    assert!(
        said[1].starts_with("Chart B. Main bed: 9 columns, 4 rows. Column 1 is needle R19. The columns do not repeat.")
    );
    let row = |chart: usize, row: usize| piece.charts[chart].blocks[0].rows[4 - row].1.clone();
    assert_eq!([row(0, 1), row(0, 3)], [">∙>∙>∙>∙", "∙<∙<∙<∙<"]);
    assert_eq!([row(1, 1), row(1, 3)], ["∙<∙<∙<∙<∙", ">∙>∙>∙>∙∙"]);
    let steps = words(&piece);
    assert!(steps.iter().any(|s| s.contains(" of charts A and B")), "{steps:#?}");
    assert!(!steps.iter().any(|s| s.contains("eyelet")), "{steps:#?}");
    // In slip, a plain panel knits where the field slips, and the field slips every other needle beside its panels.
    let p = proven(&with_panels("bird's eye slip", "plain", "slip twill"));
    let piece = pieces(&p).remove(0);
    let said = about(&piece);
    assert_eq!(said.len(), 3);
    assert!(
        said[2].ends_with("The columns repeat to both sides of charts A and B and between them. v: comes forward.")
    );
    assert_eq!(piece.charts[0].blocks[0].rows[0].1, "vvvvvvvv");
    assert!(words(&piece).iter().any(|s| s.contains(" of charts A, B and C")));
    let text = piece.lines();
    assert!(!is_found(&p, &text));
    for (from, to) in [
        ("sides of charts A and B and between them.", "sides of chart A."),
        ("of charts A and B and between them.", "."),
        ("needle R19. The columns do not repeat", "needle R18. The columns do not repeat"),
        ("The columns do not repeat.", "The columns repeat to both sides."),
        ("of charts A, B and C", "of charts A and C"),
        (", with both end needles", ""),
    ] {
        assert!(text.contains(from), "{from}");
        assert!(is_found(&p, &text.replacen(from, to, 1)), "{from} as {to}");
    }
}

/// The right piece of a pair has its panels, and their field, turned over. Lace beside panels is told in words, as its
/// stitches stay where they would move onto a panel; so are panels where the author asks.
#[test]
fn panels_of_pairs_and_panels_in_words() {
    for (field, panel) in [("plain", "mesh"), ("bird's eye slip", "plain")] {
        let text = with_panels(field, panel, panel);
        let pair = pieces(&proven(&text.replace("yarn \"sea\"; needles", "make \"pair\"; yarn \"sea\"; needles")));
        let firsts = |piece: &PieceText| {
            about(piece)
                .iter()
                .filter_map(|a| Some(a.split_once("needle ")?.1.split('.').next()?.to_string()))
                .take(2)
                .collect::<Vec<_>>()
        };
        assert_eq!(firsts(&pair[0]), ["L25", "R19"], "{field}");
        assert_eq!(firsts(&pair[1]), ["R18", "L27"], "{field}");
        let by_chart = |piece: &PieceText| {
            words(piece)
                .iter()
                .filter(|s| {
                    s.contains(" of charts A, B and C: ")
                        || s.contains(" of charts D, E and F: ")
                        || s.contains(" of charts A and B on")
                        || s.contains(" of charts C and D on")
                })
                .count()
        };
        assert_eq!(pair.iter().map(by_chart).collect::<Vec<_>>(), [1, 1], "{field}");
    }
    let lace = pieces(&proven(&with_panels("mesh", "plain", "plain"))).remove(0);
    assert!(lace.charts.is_empty() && words(&lace).iter().any(|s| s.contains("eyelet")));
    let asked =
        with_panels("plain", "mesh", "mesh").replacen("fabric \"plain\"", "fabric \"plain\" printed=\"words\"", 1);
    assert!(pieces(&proven(&asked))[0].charts.is_empty());
    let one_way =
        strip(&["knit\" going=\"right", "k-\" going=\"left"], 40, 24, "fabric \"plain\"; panel \"lines\" needles=9");
    let one_way = one_way.replacen("swatch", &format!("{} swatch", swatch_of("plain", &one_way)), 1);
    assert!(pieces(&proven(&one_way))[0].charts.is_empty());
    // A needle that stays out of work has no sign.
    let ladders =
        pieces(&proven(&with_panels("bird's eye slip", "ladders", "plain").replace("needles=8", "needles=10")))
            .remove(0);
    assert_eq!(ladders.charts[0].blocks[0].rows[0].1, "vvvvv∙vvvv");
}
