//! Yarn: published production sums worked by a whole design, the range that is printed, floats, and yarn in hand.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{Outcome, prove, prove_notes};
use latchwork::cloth::{Amount, Loops, yarn};
use latchwork::design::{Design, from_text};
use latchwork::fabric::{Ends, find};
use latchwork::measure::{Basis, Figure, LoopLengths, State};
use latchwork::notes;
use latchwork::notice::Level;
use latchwork::units::{Grams, Mm, Tex, tex_of};
use latchwork::wording::Language;
use latchwork_tests::outside::close;

fn read(text: &str) -> Design {
    let (design, notices) = from_text(text);
    design.unwrap_or_else(|| panic!("{:#?}", notices.0))
}

/// How much longer the loops are than published: needles of a hand machine stand farther apart than a factory's.
const LONGER: f64 = 6.0;

/// Milligrams for each place of a row, in 96 places by 100 rows of a fabric whose loops were unravelled: the loops
/// are those that the rehearsal made, their length is the swatch's.
fn milligrams_a_place(fabric: &str, count: &str, loop_mm: f64) -> f64 {
    let layout = find(fabric).unwrap().layout;
    let (main, ribber) = layout.needle_count(96);
    assert!(layout.allows(96, Ends::BothMain) || layout.allows(96, Ends::MainRibber));
    let design = read(&format!(
        "title \"S\"\nmachine \"standard\"\nyarn \"y\" {{ count {count}; }}
        swatch \"{fabric}\" {{ stitch-size 3; counted needles=40 passes=60; flat (cm)10 (cm)10; unravelled (mm){} loops=100; state \"washed\"; }}
        sizes {{ size \"one\" {{ wide (cm)30; }}; }}
        piece \"p\" {{ stretch \"s\" {{ fabric \"{fabric}\"; needles {}; rows 100; }}; ending \"waste yarn\"; }}",
        100.0 * LONGER * loop_mm,
        main + ribber
    ));
    let outcome = prove(&design, &[0]);
    let size = outcome.sizes.first().unwrap_or_else(|| panic!("{:?}", outcome.notices));
    let gauge = &design.pieces[0].stretches[0].gauge;
    let parts = [(size.pieces[0].loops[1], gauge.fabric.name.as_str(), gauge.loops.unwrap())];
    yarn(&parts, Mm(4.5), &[]).grams(design.yarns[0].tex).0 * 1000.0 / (96.0 * 100.0 * LONGER)
}

/// The published worked examples 1 to 10 of weft-knitted geometry and yarn; each names its page. What a factory
/// knits in an hour or a day is shared out over the needles that it counts.
#[test]
fn published_worked_examples() {
    let pi = std::f64::consts::PI;
    // 1: GATE TF 2015 Q54: kc 5.5, kw 4.2, l 0.5 cm give 92.4 loops a square centimetre.
    let (kc, kw) = State::Washed.plain_constants();
    close(kc * kw / 0.25, 92.4, 1e-9);
    // 2: cdquestions.com: 26 in, 20 G, 120 feeders, 30 rpm, 30 tex, l 3 mm: 31.758 kg/h.
    let met = pi * 26.0 * 20.0 * 120.0 * 30.0 * 60.0;
    close(milligrams_a_place("plain", "(tex)30", 3.0) * met / 1e6, 31.758, 1e-4);
    // 3: apparel-merchandising.com 2011/08: 2260 needles, 90 feeders, 26 rpm, Ne 24, l 4 mm: 31.23 kg/h, 26.55 at 85 %.
    let met = 2260.0 * 90.0 * 26.0 * 60.0;
    let hour = milligrams_a_place("plain", "(Ne)24", 4.0) * met / 1e6;
    close(hour, 31.230, 1e-4);
    close(hour * 0.85, 26.55, 2e-4);
    // 4: textileclothinginfo.blogspot.com 2015/02: plain, 30 in 24 G, 90 feeders, 32 rpm, Ne 24, 2.74 mm, 20 machines.
    let met = pi * 30.0 * 24.0 * 90.0 * 32.0 * 60.0 * 24.0 * 20.0 * 0.85;
    close(milligrams_a_place("plain", "(Ne)24", 2.74) * met / 1e6, 10_746.33, 1e-3);
    // 5: same page, interlock: each feed knits one bed's count, as each pass of a tube does.
    let met = pi * 34.0 * 24.0 * 108.0 * 26.0 * 60.0 * 24.0 * 5.0 * 0.80;
    close(milligrams_a_place("tubular", "(Ne)34", 1.54) * met / 1e6, 1108.50, 1e-3);
    // 6: same page, the rib trap: it counts one bed and comes to 2441.65 kg; rib knits on both.
    let met = pi * 30.0 * 20.0 * 60.0 * 25.0 * 60.0 * 24.0 * 17.0 * 0.80;
    close(milligrams_a_place("plain", "(Ne)34", 2.54) * met / 1e6, 2441.65, 1e-3);
    close(milligrams_a_place("full needle rib", "(Ne)34", 2.54) * met / 1e6, 4885.7, 1e-3);
    // 7: GATE 1992: 20 tex is Ne 29.5, 180 denier, Nm 50.
    let ne = |n: f64| tex_of(n, "Ne").unwrap();
    close(ne(29.527).0, 20.0, 1e-4);
    close(tex_of(180.0, "denier").unwrap().0, 20.0, 1e-12);
    close(tex_of(50.0, "Nm").unwrap().0, 20.0, 1e-12);
    // 8: ASTM D2260: 30 tex is Ne 19.7; Ne 10 is worsted 15.
    close(ne(19.685).0, 30.0, 1e-4);
    close(tex_of(15.0, "NeK").unwrap().0, ne(10.0).0, 1e-9);
    // 9: GATE TF 2007 Q85: Ne 36 is 1/168 in, 0.015 cm, thick.
    close(ne(36.0).thickness().0, 25.4 / 168.0, 1e-9);
    close(ne(36.0).thickness().0 / 10.0, 0.0151, 2e-3);
    // 10: GATE TF 2014 Q37: 1e8 m of 50 tex weigh 5 t.
    close(Amount { metres: 1e8, ..Amount::NONE }.grams(Tex(50.0)).0, 5e6, 1e-9);
}

/// Doubts of one fabric add up, as one swatch gives both; those of two fabrics go together by squares.
#[test]
fn doubts_of_one_fabric_add_up() {
    let of = |fabric, doubt| Amount { metres: 100.0, doubts: vec![(fabric, doubt)], ..Amount::NONE };
    close(of("plain".to_string(), 3.0).and(&of("plain".to_string(), 4.0)).deviation(), 7.0, 1e-12);
    close(of("plain".to_string(), 3.0).and(&of("1x1 rib".to_string(), 4.0)).deviation(), 5.0, 1e-12);
    let both = of("plain".to_string(), 3.0)
        .and(&of("1x1 rib".to_string(), 4.0))
        .and(&of("plain".to_string(), 9.0))
        .and(&of("1x1 rib".to_string(), 1.0));
    close(both.deviation(), 13.0, 1e-12);
    close(of("plain".to_string(), 3.0).times(4).deviation(), 12.0, 1e-12);
    close(both.metres, 400.0, 1e-12);
    // A piece's cast-on and stretch rest on one swatch too.
    let sure = |value, spread| LoopLengths::alike(Figure { value, spread, basis: Basis::OneSwatch });
    let loops = |knit| Loops { knit, ..Loops::default() };
    let apart = [(loops(400), "plain", sure(10.0, 0.05)), (loops(600), "plain", sure(10.0, 0.05))];
    close(yarn(&apart, Mm(4.5), &[]).deviation(), 0.5, 1e-9);
    let two = [(loops(600), "plain", sure(10.0, 0.05)), (loops(800), "1x1 rib", sure(10.0, 0.05))];
    close(yarn(&two, Mm(4.5), &[]).deviation(), 0.5, 1e-9);
}

/// The range that is printed is two standard deviations to either side.
#[test]
fn the_range_is_two_deviations() {
    let amount = Amount {
        metres: 100.0,
        doubts: vec![("plain".to_string(), 3.0), ("1x1 rib".to_string(), 4.0)],
        ..Amount::NONE
    };
    let (grams, range) = (amount.grams(Tex(200.0)), amount.grams_range(Tex(200.0)));
    assert_eq!((grams, range), (Grams(20.0), Grams(2.0)));
}

const FLOATS: &str = "machine \"standard\"
yarn \"y\" { count (tex)250; }
swatch \"plain\" { stitch-size 6; counted needles=40 passes=60; flat (cm)12.7 (cm)14.6; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }
notes \"band\"
carriage at the right
cast on 25 needles plain
weights 120 g
4 rows plain at 6
ROWS
4 rows plain at 6
bind off with the latch tool
";

fn metres(rows: &str) -> (f64, Loops) {
    let (noted, notices) = notes::from_text(&FLOATS.replace("ROWS", rows));
    let noted = noted.unwrap_or_else(|| panic!("{:?}", notices.0));
    let size = prove_notes(&noted).sizes[0].clone();
    let loops = size.pieces[0].loops.iter().fold(Loops::default(), |a, b| Loops {
        knit: a.knit + b.knit,
        tuck: a.tuck + b.tuck,
        wrap: a.wrap + b.wrap,
        chained: a.chained + b.chained,
        floats: a.floats + b.floats,
    });
    (size.pieces[0].yarn.metres, loops)
}

/// Yarn that floats past needles is yarn: so much for each needle passed, 4.5 mm apart.
#[test]
fn floats_are_in_the_yarn() {
    let alike = LoopLengths::alike(Figure { value: 10.0, spread: 0.0, basis: Basis::OneSwatch });
    let loops = Loops { knit: 1000, floats: 200, ..Loops::default() };
    close(yarn(&[(loops, "plain", alike)], Mm(4.5), &[]).metres, 10.0 + 0.9, 1e-12);
    close(yarn(&[(loops, "plain", alike)], Mm(9.0), &[Mm(500.0)]).metres, 10.0 + 1.8 + 0.5, 1e-12);
    // Two of six slip, in 25 needles: four gaps of three places in a row where the shortest is one, two to each.
    let (plain, all) = metres("8 rows plain at 6");
    let (slipped, some) = metres("select xx..xx\n8 rows slip by the selection at 6");
    assert_eq!(all.floats, 0);
    assert_eq!(all.knit - some.knit, 8 * 8);
    assert_eq!(some.floats, 8 * 4 * 2);
    let a_loop = 16.7 / 250.0 * 1e6 / (60.0 * 90.0) / 1000.0;
    close(plain - slipped, 64.0 * a_loop - 64.0 * 0.0045, 1e-9);
}

fn with_in_hand(grams: f64) -> (Outcome, f64, f64) {
    let design = read(&format!(
        "title \"S\"\nmachine \"standard\"\nyarn \"y\" {{ count (tex)250; in-hand (g){grams}; }}
        swatch \"1x1 rib\" {{ stitch-size 3; counted needles=48 passes=44; flat (cm)10 (cm)10; weighed (g)14 needles=60 passes=90; state \"washed\"; }}
        sizes {{ size \"one\" {{ wide (cm)20; }}; }}
        piece \"p\" {{ stretch \"s\" {{ fabric \"1x1 rib\"; rows 100; around \"wide\"; }}; ending \"loop through loop\"; }}"
    ));
    let outcome = prove(&design, &[0]);
    let (need, range) = outcome.sizes[0].grams(&design, 0);
    (outcome, need.0, range.0)
}

/// Less than it takes is refused; less than it may take is reported; enough is silent.
#[test]
fn yarn_in_hand_is_judged_at_both_ends_of_the_range() {
    let (_, need, range) = with_in_hand(1000.0);
    assert!(range > 0.05 * need, "{need} ± {range}");
    for (have, level) in [
        (need - 0.01, Some(Level::Error)),
        (need + 0.01, Some(Level::Warning)),
        (need + range - 0.01, Some(Level::Warning)),
        (need + range + 0.01, None),
    ] {
        let (outcome, ..) = with_in_hand(have);
        let told: Vec<Level> = outcome
            .notices
            .iter()
            .filter(|n| n.1.told(Language::English).message.contains("run"))
            .map(|n| n.1.level)
            .collect();
        assert_eq!(told, level.into_iter().collect::<Vec<_>>(), "{have} of {need} ± {range} g");
        assert_eq!(outcome.proven.is_none(), level == Some(Level::Error));
    }
}
