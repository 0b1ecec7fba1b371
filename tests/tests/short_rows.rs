//! Short rows: heels and toes, slopes, wedges.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Proven, SizeProof};
use latchwork::design::EdgeKind;
use latchwork::stitches::{Go, ShortRow};
use latchwork_machine::loops::Kind;
use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::Action;
use latchwork_tests::garments::{piece, proven, refused, text};

fn one(p: &Proven) -> &SizeProof {
    &p.sizes()[0]
}

fn short(p: &Proven, stretch: usize) -> &[ShortRow] {
    &one(p).stretch(0, stretch).short
}

/// Rows that the needle of this slot knits in all.
fn rows_of(p: &Proven, slot: i16) -> usize {
    let proof = one(p).piece_proof(0).unwrap();
    let loops = &proof.run.loops;
    (1..=loops.len())
        .map(|i| latchwork_machine::loops::LoopId(u32::try_from(i).unwrap()))
        .filter(|l| loops.needle(*l) == Needle::main(slot) && loops.kind(*l) == Kind::Knit)
        .count()
}

fn wraps(p: &Proven) -> Vec<Needle> {
    let steps = one(p).plans.pieces[0].plan.steps.iter();
    let wrapped = steps.filter_map(|s| match s.action {
        Action::TurnWrap { needle, .. } => Some(needle),
        _ => None,
    });
    wrapped.collect()
}

fn sock(stretches: &str) -> String {
    let tube = "swatch \"tubular\" { yarn \"sea\"; stitch-size 5 5; counted needles=60 passes=84; flat (cm)10 (cm)10; weighed (g)12 needles=80 passes=80; state \"washed\"; }
         piece ";
    piece(60, stretches).replacen("piece ", tube, 1).replace("ending \"chain\"", "ending \"waste yarn\"")
}

/// A heel and a toe of a tube of 60, half of it held down to a third: 20 rows out and 20 back each, and a whole sock of 354
/// passes (30 of rib, here tubular; leg 126; foot 118): worked case at 30 by 42 of the sock of an adult woman's median foot;
/// common practice, no source. One needle of the half is held before each row, at either end in turn.
#[test]
fn a_sock_of_354_passes() {
    let rows = |name: &str, rows: u32| format!("stretch \"{name}\" {{ fabric \"tubular\"; rows {rows}; }}; ");
    let cup = |name: &str| {
        format!(
            "stretch \"{name}\" {{ fabric \"tubular\"; short-rows on=\"main\" {{ hold 1 leaves=(percent)33; return 1; }}; }}; "
        )
    };
    let all = [rows("cuff", 30), rows("leg", 126), cup("heel"), rows("foot", 118), cup("toe")].concat();
    let p = proven(&sock(all.trim_end_matches("; ")));
    assert_eq!(one(&p).stitches.pieces[0].rows(), 354);
    let heel = short(&p, 2);
    assert_eq!(heel.len(), 40);
    assert_eq!(heel[0], ShortRow { go: Go::Hold(Side::Left, 1), rows: 1, wrap: true });
    assert_eq!(heel[1], ShortRow { go: Go::Hold(Side::Right, 1), rows: 1, wrap: true });
    assert_eq!(heel[20], ShortRow { go: Go::Return(Side::Left, 1), rows: 1, wrap: true });
    // The last needle to return has none beside it to wrap.
    assert_eq!(heel[39], ShortRow { go: Go::Return(Side::Right, 1), rows: 1, wrap: false });
    // The middle of the heel's half knits every row, its end needles only the last or none before.
    // With the zigzag row, 2 of the 3 tubular rows of the cast-on, and 4 of the 8 rows of waste yarn, which go round.
    let others = (30 + 126 + 118) / 2 + 1 + 2 + 4;
    assert_eq!([rows_of(&p, 0), rows_of(&p, -15), rows_of(&p, 14)], [others + 80, others + 4, others + 4]);
    // Wrapped at every turn but where nothing is left to wrap.
    assert_eq!(wraps(&p).len(), 2 * 38);
    assert!(wraps(&p).iter().all(|n| n.bed == Bed::Main));
    let words = text(&p);
    assert!(words.contains("Heel. Knit 20 short rows in tubular: main bed only. 20 times: bring the end main-bed needle away from the carriage to holding position, knit 1 row, wrap the innermost held needle next to the carriage."), "{words}");
    assert!(words.contains("20 times: return the innermost held main-bed needle away from the carriage to working position, knit 1 row, wrap the innermost held needle next to the carriage, if there is one."), "{words}");
    // The end needles knit only before they are held and after they return.
    assert_eq!([EdgeKind::Left, EdgeKind::Right].map(|e| one(&p).stretch(0, 2).edge_rows(e)), [2, 2]);
}

/// A shoulder of 15 as three groups of 5: two held, 2 rows each, and one row over all. 1 row at the tip, 5 at the neck
/// (published worked case of a teaching page on shoulders; its address holds a maker's name).
#[test]
fn a_shoulder_of_three_groups() {
    let slope = "stretch \"body\" { fabric \"plain\"; rows 10; }; stretch \"slope\" { fabric \"plain\"; short-rows { hold 5 at=\"left\" times=2; return \"all\"; knit 1; }; }";
    let p = proven(&piece(15, slope));
    // Slots -7 to 7, from left to right; and a loose row before the chain.
    let rows = |slot| rows_of(&p, slot) - 10 - 1;
    assert_eq!([rows(-7), rows(-3), rows(-2), rows(2), rows(3), rows(7)], [1, 1, 3, 3, 5, 5]);
    let w = one(&p).stretch(0, 1);
    assert_eq!((w.rows, w.edges.map(|e| (e.0 / w.length.0 * 5.0).round())), (5, [1.0, 5.0]));
    // Wrapped where each pair of rows turns, at the first needle of the group held last.
    assert_eq!(wraps(&p), [Needle::main(-3), Needle::main(2)]);
    assert!(text(&p).contains("Slope. Knit 4 short rows in plain: main bed only. 2 times: bring the 5 end needles away from the carriage to holding position, knit 1 row, wrap the innermost held needle next to the carriage, knit 1 row."), "{}", text(&p));
}

/// Ten wedges of 20 rows for a hat knitted sideways: 2 rows over all and 9 pairs, 22 needles held in steps of 2, 2, 3, 2, 3, 2, 3,
/// 2, 3; 200 rows at the brim and 20 at the crown (worked case at 28 by 40; common practice, no source).
#[test]
fn ten_wedges_of_a_hat() {
    let steps: String = [2, 2, 3, 2, 3, 2, 3, 2, 3].map(|n| format!("hold {n} at=\"left\" times=1; ")).concat();
    let hat = format!(
        "stretch \"edge\" {{ fabric \"plain\"; rows 2; }}; stretch \"wedges\" {{ fabric \"plain\"; short-rows repeat=10 {{ {steps}return \"all\"; knit 2; }}; }}"
    );
    let p = proven(&piece(56, &hat));
    let w = one(&p).stretch(0, 1);
    assert_eq!((w.rows, (w.length.0 / 2.5).round()), (200, 200.0));
    assert_eq!(w.edges.map(|e| (e.0 / 2.5).round()), [20.0, 200.0], "the crown at the left, the brim at the right");
    assert_eq!(rows_of(&p, -28), 2 + 20 + 1);
    assert_eq!(rows_of(&p, 27), 2 + 200 + 1);
    let words = text(&p);
    assert!(words.contains("9 more times."), "{words}");
}

/// The three ways of closing a turn. By itself: the needle that has just knitted is held, so that no loop more is made.
#[test]
fn turns_are_closed_in_three_ways() {
    let of = |turn: &str, holds: &str| {
        let text = format!(
            "stretch \"leg\" {{ fabric \"plain\"; rows 2; }}; stretch \"heel\" {{ fabric \"plain\"; short-rows turn=\"{turn}\" {{ {holds} }}; }}"
        );
        proven(&piece(12, &text))
    };
    let both = "hold 1 times=4; return 1;";
    assert_eq!(wraps(&of("wrap", both)).len(), 6);
    assert_eq!(wraps(&of("open", both)), []);
    let by_itself = of("automatic", both);
    assert_eq!(wraps(&by_itself), []);
    let first: Vec<Go> = short(&by_itself, 1).iter().map(|r| r.go).take(2).collect();
    assert_eq!(first, [Go::Hold(Side::Right, 1), Go::Hold(Side::Left, 1)], "at the carriage");
    // Groups at one end: all but one before the row that goes there, the last before the row back.
    let groups = of("automatic", "hold 3 at=\"left\" times=2; return 3 at=\"left\";");
    let list: Vec<(Go, u32)> = short(&groups, 1).iter().map(|r| (r.go, r.rows)).take(4).collect();
    let left = |n| Go::Hold(Side::Left, n);
    assert_eq!(list, [(left(2), 1), (left(1), 1), (left(2), 1), (left(1), 1)]);
    assert!(text(&groups).contains("2 times: bring the 2 end needles away from the carriage to holding position, knit 1 row, bring the end needle next to the carriage to holding position, knit 1 row."), "{}", text(&groups));
}

/// Needles of both beds are held by their place in the row.
#[test]
fn short_rows_in_rib() {
    let rib = "stretch \"body\" { fabric \"1x1 rib\"; rows 4; }; stretch \"slope\" { fabric \"1x1 rib\"; short-rows { hold 4 at=\"right\" times=1; return \"all\"; }; }";
    let told = refused(&piece(21, rib));
    assert!(
        told.contains("The carriage is at the right, at the end that this names.")
            || told.contains("the carriage is at the right"),
        "{told}"
    );
    let p = proven(&piece(21, &rib.replace("right", "left")));
    let held = one(&p).plans.pieces[0].plan.steps.iter().find_map(|s| match &s.action {
        Action::Hold(n) => Some(n.clone()),
        _ => None,
    });
    let beds: Vec<Bed> = held.unwrap().iter().map(|n| n.bed).collect();
    assert_eq!(beds, [Bed::Main, Bed::Ribber, Bed::Main, Bed::Ribber]);
}

/// What is wrong is told, with what would work.
#[test]
fn faults_of_short_rows() {
    let of = |list: &str| {
        let text = format!(
            "stretch \"leg\" {{ fabric \"plain\"; rows 2; }}; stretch \"heel\" {{ fabric \"plain\"; {list}; }}"
        );
        refused(&piece(12, &text))
    };
    for (list, told) in [
        ("short-rows { hold 1 times=11; }", "1 more needles cannot be held, as only 2 still knit."),
        ("short-rows { hold 2 times=2; return 3; }", "3 needles are to return at the left, where 2 are held."),
        ("short-rows { hold 2 at=\"right\" times=1; }", "the carriage is at the right, at the end that this names."),
        ("short-rows { hold 2 at=\"left\" every=1 times=2; }", "not after 1"),
        ("short-rows repeat=500 { hold 1 leaves=(percent)50; return 1; knit 2000; }", "rows in size one."),
        ("short-rows { hold 2; }", "either how often needles are held, or how many are left"),
        (
            "short-rows { hold 2 times=2 leaves=(percent)50; }",
            "either how often needles are held, or how many are left",
        ),
        ("short-rows { }", "Short rows say what is held."),
        ("short-rows { hold 1 times=2; return \"all\" every=2; }", "All held needles return at once"),
        ("short-rows turn=\"automatic\" { hold 2 times=2; }", "needles are held one by one"),
        ("short-rows on=\"main\" { hold 1 times=2; }", "plain is not a tube"),
        ("short-rows { hold 1 times=2; }; rows 4", "A section with short rows takes no rows."),
        ("short-rows { hold 1 times=2; }; decrease 1 every=2 times=1", "A section with short rows takes no decrease."),
    ] {
        assert!(of(list).contains(told), "{list}: {}", of(list));
    }
    let first = refused(&piece(12, "stretch \"heel\" { fabric \"plain\"; short-rows { hold 1 times=2; }; }"));
    assert!(first.contains("holds needles before the piece has a row"), "{first}");
    let tube = "stretch \"leg\" { fabric \"tubular\"; rows 2; }; stretch \"heel\" { fabric \"tubular\"; short-rows { hold 1 times=2; }; }";
    assert!(refused(&sock(tube)).contains("short rows are knitted on one bed"), "{}", refused(&sock(tube)));
    let tucks = "stretch \"leg\" { fabric \"half cardigan\"; short-rows { knit 2; hold 1 times=2; }; }";
    assert!(
        refused(&piece(21, tucks)).contains("Short rows cannot be knitted in half cardigan."),
        "{}",
        refused(&piece(21, tucks))
    );
}

/// Short rows and slits that hold more needles than the owner's machine takes are refused; as many as it takes are not.
#[test]
fn no_more_are_held_than_the_machine_takes() {
    let on = |most: u32, stretches: &str| {
        piece(40, stretches).replace("machine \"standard\"", &format!("machine \"standard\" {{ most-held {most}; }}"))
    };
    let leg = "stretch \"leg\" { fabric \"plain\"; rows 2; }; ";
    let heel = format!("{leg}stretch \"heel\" {{ fabric \"plain\"; short-rows {{ hold 1 times=20; return 1; }}; }}");
    assert!(one(&proven(&on(20, &heel))).stretch(0, 1).rows > 0);
    let told = refused(&on(19, &heel));
    assert!(told.contains("\"heel\" holds 20 needles at a time. This machine holds 19."), "{told}");
    let slit = format!("{leg}stretch \"slit\" {{ fabric \"plain\"; rows 4; slit 10 at=\"left\"; }}");
    assert!(one(&proven(&on(30, &slit))).stretch(0, 1).rows > 0);
    assert!(refused(&on(29, &slit)).contains("\"slit\" holds 30 needles at a time. This machine holds 29."));
}

/// A heel over half of a flat sock of 64: a quarter held at either end, then down to a sixth of all and up to half again, one needle at
/// either end in turn (half the stitches, down to a third of them: facts on garments, section 10).
#[test]
fn a_heel_over_half_of_a_flat_sock() {
    let heel = "short-rows { hold (percent)25 times=2; hold 1 leaves=(percent)17; return 1 leaves=(percent)50; return \"all\"; }";
    let p = proven(&piece(
        64,
        &format!("stretch \"leg\" {{ fabric \"plain\"; rows 10; }}; stretch \"heel\" {{ fabric \"plain\"; {heel}; }}"),
    ));
    let rows = short(&p, 1);
    let held: Vec<u32> = rows.iter().filter_map(|r| if let Go::Hold(_, n) = r.go { Some(n) } else { None }).collect();
    // 64 to 32, then one by one to 10 (11 would be a sixth; both ends alike), and back to 32.
    assert_eq!((held[..2].to_vec(), held.len() - 2), (vec![16, 16], 22));
    let returned = rows.iter().filter(|r| matches!(r.go, Go::Return(..))).count();
    assert_eq!((returned, rows.last().unwrap().go), (22, Go::ReturnAll));
}
