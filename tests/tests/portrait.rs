//! Pictures of whole pieces: the same crossings as the rehearsal's, regular yarn as its fabric lies, holes where they
//! are made.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::sync::Arc;

use latchwork::cloth::{
    AtRest, Bulk, Ink, Mesh, PieceAtRest, Portrayed, Sample, Stuff, nothing, piece_at_rest, portray, repeat, rest,
};
use latchwork::fabric::{Fabric, SAMPLE, bench, built_in, find};
use latchwork::units::{Mm, Tex};
use latchwork_machine::needle::Pitch;
use latchwork_machine::rehearsal::rehearse;
use latchwork_machine::steps::{Leaves, Plan};
use latchwork_tests::cloths::Knit;
use latchwork_thread::cell::Cell;
use latchwork_thread::look::{Face, pixels};
use latchwork_thread::relax::Fineness;
use latchwork_thread::rod::Matter;

const GREY: [u8; 3] = [140, 140, 140];

fn at_rest(name: &str) -> (Cell, AtRest) {
    fabric_at_rest(find(name).unwrap())
}

fn fabric_at_rest(fabric: &Arc<Fabric>) -> (Cell, AtRest) {
    let diameter = Bulk::WORSTED.diameter(Tex(240.0));
    let cell = repeat(fabric).unwrap();
    let sample = Sample {
        tex: Tex(240.0),
        diameter,
        loop_length: Mm(17.5 * diameter.0),
        tuck: 0.75,
        matter: Matter::SOFT,
        fineness: Fineness::Coarse,
    };
    let rested = rest(fabric, sample, false, &nothing).unwrap();
    (cell, rested)
}

fn drawn(plan: &Plan, name: &str, parts: usize) -> (PieceAtRest, Portrayed) {
    drawn_as(plan, &at_rest(name), parts)
}

fn drawn_as(plan: &Plan, (cell, rested): &(Cell, AtRest), parts: usize) -> (PieceAtRest, Portrayed) {
    let run = rehearse(plan, &bench());
    let stuff = Stuff { needle: rested.needle(), pass: rested.pass(), stretch: 0.4 };
    let rest = piece_at_rest(plan, &run, &vec![Some(stuff); parts], Mesh::FLAT).unwrap();
    let patterns = vec![Some(rested.pattern(cell)); parts];
    let ink = Ink { diameter: rested.sample.diameter, colour: GREY };
    let yarn = portray(plan, &run, &rest, &patterns, |_| Some(ink)).unwrap();
    (rest, yarn)
}

/// Panel of plain, 24 needles.
fn panel(inside: impl FnOnce(&mut Knit)) -> Portrayed {
    let bed: Vec<i16> = (-12..12).collect();
    let mut k = Knit::on(&bed, &[], Pitch::Full);
    (0..12).for_each(|_| k.row());
    inside(&mut k);
    (0..12).for_each(|_| k.row());
    drawn(&k.off(), "plain", 1).1
}

/// Pixels for each millimetre.
const FINE: f64 = 6.0;

/// Share of each square of this many millimetres that shows no yarn, by its middle.
fn bare(yarn: &Portrayed, side: f64) -> Vec<([f64; 2], f64)> {
    let [left, bottom, width, height] = yarn.window;
    let seen = pixels(&yarn.strands, yarn.window, Face::Near, (FINE * width) as usize, 1);
    let n = (FINE * side) as usize;
    let mut all = Vec::new();
    for y in (n..seen.height - 2 * n).step_by(2) {
        for x in (n..seen.width - 2 * n).step_by(2) {
            let inside = (0..n * n).filter(|k| seen.rgba[4 * ((y + k / n) * seen.width + x + k % n) + 3] == 0);
            let middle = |at: usize| (at + n / 2) as f64 / FINE;
            all.push(([left + middle(x), bottom + height - middle(y)], inside.count() as f64 / (n * n) as f64));
        }
    }
    all
}

/// The barest square well inside, and how bare.
fn barest(yarn: &Portrayed, side: f64) -> ([f64; 2], f64) {
    let [left, bottom, width, height] = yarn.window;
    let inside = |p: &[f64; 2]| {
        (p[0] - left - width / 2.0).abs() < 0.4 * width && (p[1] - bottom - height / 2.0).abs() < 0.35 * height
    };
    bare(yarn, side).into_iter().filter(|b| inside(&b.0)).max_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
}

/// How bare a column of the panel's needles is as a whole, in its upper half.
fn bare_column(yarn: &Portrayed, needle: f64) -> f64 {
    let [left, bottom, width, height] = yarn.window;
    let of: Vec<f64> = bare(yarn, 1.0)
        .into_iter()
        .filter(|(p, _)| {
            (p[0] - left - width * needle / 24.0).abs() < 0.8
                && p[1] > bottom + 0.6 * height
                && p[1] < bottom + 0.9 * height
        })
        .map(|b| b.1)
        .collect();
    of.iter().sum::<f64>() / of.len() as f64
}

/// Fabrics whose own repeat at rest most of their yarn does not lie like.
const NOT_DRAWN: [&str; 7] =
    ["drop stitch", "interlock by selection", "pleats", "pintuck", "ladders", "3x2 rib", "zigzag racked rib"];

/// Kinds of which that is true.
const KINDS_NOT_DRAWN: [&str; 8] =
    ["tuck", "slip", "two yarns in a row", "laid-in yarn", "mosaic", "lace", "cable", "two-bed colour"];

/// Every fabric's sample: no crossing the wrong way round, and away from edges, beginning and end all yarn regular: in
/// a sample twice as wide and long, with four times the loops, what is irregular grows no more than its border does.
#[test]
fn samples_of_all_fabrics_lie_as_their_repeats() {
    let is_drawn = |f: &Fabric| !NOT_DRAWN.contains(&f.name.as_str()) && !KINDS_NOT_DRAWN.contains(&f.kind.as_str());
    for fabric in built_in().iter().filter(|f| is_drawn(f)) {
        let passes = u32::try_from(8 * fabric.repeat.len()).unwrap();
        let parts = usize::try_from(SAMPLE.0).unwrap() + 1;
        let irregular = [1, 2].map(|times| {
            let plan = fabric.sample(times * 4 * fabric.layout.repeat().max(6), times * passes);
            let (_, yarn) = drawn(&plan, &fabric.name, parts);
            assert_eq!(yarn.wrong, 0, "{}", fabric.name);
            let share = yarn.regular.0 as f64 / yarn.regular.1 as f64;
            assert!(share > if times == 1 { 0.65 } else { 0.8 }, "{}: {:?}", fabric.name, yarn.regular);
            yarn.regular.1 - yarn.regular.0
        });
        assert!(irregular[1] as f64 <= 2.2 * irregular[0] as f64, "{}: {irregular:?}", fabric.name);
    }
}

/// Every fabric, drawn where it lies like its ground and along its diagram elsewhere: no crossing the wrong way round.
#[test]
fn every_fabric_is_drawn_on_its_ground() {
    let parts = usize::try_from(SAMPLE.0).unwrap() + 1;
    let mut grounds: Vec<(Arc<Fabric>, (Cell, AtRest))> = Vec::new();
    let mut regular = 0;
    for fabric in built_in() {
        let ground = Arc::new(fabric.ground());
        let same = |g: &(Arc<Fabric>, _)| g.0.layout == ground.layout;
        let at = grounds.iter().position(same).unwrap_or_else(|| {
            grounds.push((Arc::clone(&ground), fabric_at_rest(&ground)));
            grounds.len() - 1
        });
        let plan = fabric.sample(4 * fabric.layout.repeat().max(6), 24);
        let (_, yarn) = drawn_as(&plan, &grounds[at].1, parts);
        assert_eq!(yarn.wrong, 0, "{}", fabric.name);
        regular += usize::from(yarn.regular.0 * 5 > yarn.regular.1);
    }
    // Dots, lace and the like are mostly ground.
    assert!(regular >= 16, "{regular}");
}

#[test]
fn an_eyelet_is_a_hole_where_the_loop_was_moved() {
    let whole = panel(|_| {});
    let holed = panel(|k| k.moved(&[(3, 4)], Leaves::Eyelet));
    assert_eq!((whole.wrong, holed.wrong), (0, 0));
    let side = 1.6;
    let (_, before) = barest(&whole, side);
    let (at, after) = barest(&holed, side);
    assert!(before < 0.75 && after > 0.95, "{before:.2} and {after:.2}");
    // Needle 3 of -12 to 11 stands at 15.5 of 24 from the left; the hole is above the twelfth row of some 26.
    let share = [(at[0] - holed.window[0]) / holed.window[2], (at[1] - holed.window[1]) / holed.window[3]];
    assert!((share[0] - 15.5 / 24.0).abs() < 0.06 && (share[1] - 0.5).abs() < 0.12, "{share:?}");
}

/// A loop let off runs: a ladder of bare bars up the column.
#[test]
fn a_dropped_loop_leaves_a_ladder() {
    let run = panel(|k| k.run_down(0));
    assert_eq!(run.wrong, 0);
    let (bars, cloth) = (bare_column(&run, 12.5), bare_column(&run, 6.0));
    assert!(bars > cloth + 0.15, "{bars:.2} and {cloth:.2}");
}

/// Two loops crossed with two: which pair is hung last decides which lies in front, so the two orders look different
/// where they cross, and alike elsewhere.
#[test]
fn crossed_loops_keep_their_order() {
    let crossed = |moves: [(i16, i16); 4]| panel(|k| k.moved(&moves, Leaves::Refill));
    let (one, other) = (crossed([(-2, 0), (-1, 1), (0, -2), (1, -1)]), crossed([(0, -2), (1, -1), (-2, 0), (-1, 1)]));
    assert_eq!((one.wrong, other.wrong), (0, 0));
    let [left, bottom, width, height] = one.window;
    let differ = |from_left: f64, up: f64| {
        let window = [left + from_left * width, bottom + up * height, 0.3 * width, 0.25 * height];
        let seen = |p: &Portrayed| pixels(&p.strands, window, Face::Near, 300, 1).rgba;
        let (a, b) = (seen(&one), seen(&other));
        a.iter().zip(&b).filter(|(a, b)| a.abs_diff(**b) > 20).count() as f64 / a.len() as f64
    };
    let (there, elsewhere) = (differ(0.35, 0.38), differ(0.02, 0.02));
    assert!(there > 0.005 && elsewhere < 0.0005, "{there:.4} and {elsewhere:.4}");
}

/// The yarn of a piece on its sheet is where its needle and row are: the mean of a loop's points, by its number.
#[test]
fn yarn_lies_where_its_needle_and_row_are() {
    let bed: Vec<i16> = (-12..12).collect();
    let mut k = Knit::on(&bed, &[], Pitch::Full);
    (0..20).for_each(|_| k.row());
    let plan = k.off();
    let (rest, yarn) = drawn(&plan, "plain", 1);
    let run = rehearse(&plan, &bench());
    let mut rows: Vec<(f64, f64)> = Vec::new();
    for step in 0..run.readings.len() {
        let made = run.made_in(step);
        if made.is_empty() {
            continue;
        }
        let points = yarn.strands.iter().zip(&yarn.loops).flat_map(|(s, l)| s.points.iter().zip(l));
        let heights: Vec<f64> = points.filter(|(_, l)| made.contains(l)).map(|(p, _)| p[1]).collect();
        let mean = heights.iter().sum::<f64>() / heights.len() as f64;
        let line = rest.lines.iter().position(|l| l.0 == step).map(|k| rest.place(0.0, k as f64 + 0.5)[1]);
        rows.extend(line.map(|l| (mean, l)));
    }
    assert!(rows.len() > 15);
    let pass = rest.parts[0].length.1 / rows.len() as f64;
    for (mean, line) in &rows[2..rows.len() - 2] {
        assert!((mean - line).abs() < 1.2 * pass, "{mean:.2} and {line:.2}");
    }
}

/// A piece of more loops than any sweater's back is drawn too.
#[test]
fn a_piece_of_a_hundred_and_fifty_thousand_loops_is_drawn() {
    let plan = find("plain").unwrap().sample(200, 780);
    let parts = usize::try_from(SAMPLE.0).unwrap() + 1;
    let run = rehearse(&plan, &bench());
    assert!(run.loops.len() > 150_000, "{}", run.loops.len());
    let (_, yarn) = drawn(&plan, "plain", parts);
    assert_eq!(yarn.wrong, 0);
    assert!(yarn.regular.0 * 100 > yarn.regular.1 * 95, "{:?}", yarn.regular);
}

/// What did not come to rest is not shown in a handout: neither the fabric close up, nor a piece that has it.
#[test]
fn what_is_not_at_rest_is_not_shown() {
    use latchwork::cloth::Asked;
    let design = latchwork::design::from_text(include_str!("../../designs/deck-hat.kdl")).0.unwrap();
    let proven = latchwork::check::prove(&design, &[0]).proven.unwrap();
    let looks = |residual: f64| {
        let loose = |a: &Asked| a.found(&nothing).map(|r| latchwork_thread::relax::Rested { residual, ..r });
        latchwork::reach::Looks::of(&design, &|a| (a.fabric.name == "half cardigan").then(|| loose(a)))
    };
    let shown = |looks: &latchwork::reach::Looks| -> Vec<Result<String, String>> {
        let wanted = latchwork::handout::cloth(&proven, &[0]);
        wanted.iter().map(|w| w.draw(looks, w.sheet(), &|_| Vec::new()).map(|p| p.caption)).collect()
    };
    assert!(shown(&looks(1e-3)).iter().all(Result::is_ok));
    let found = shown(&looks(0.2));
    let left_out: Vec<&String> = found.iter().filter_map(|f| f.as_ref().err()).collect();
    assert_eq!(left_out.len(), 3, "both faces of it, and the hat: {found:?}");
    assert!(left_out.iter().all(|why| why.contains("half cardigan") && why.contains("did not come to rest")));
    assert!(found.iter().flatten().all(|c| !c.contains("half cardigan") && !c.starts_with("hat")));
}

/// Every piece of every example is drawn with its crossings right, bind-offs and gathers included; the handout shows
/// each fabric twice and each piece, in words too.
#[test]
fn examples_are_drawn_and_described() {
    use latchwork::check::prove;
    use latchwork::design::from_text;
    use latchwork::handout::{cloth, handout};
    use latchwork::reach::Looks;
    for text in [
        include_str!("../../designs/deck-hat.kdl"),
        include_str!("../../designs/wrist-warmers.kdl"),
        include_str!("../../designs/scarf.kdl"),
    ] {
        let design = from_text(text).0.unwrap();
        let proven = prove(&design, &[0]).proven.unwrap();
        let size = &proven.sizes()[0];
        let looks = Looks::of(&design, &nothing);
        for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
            let yarn = looks.piece(&design, plan, &proof.run).unwrap().yarn.unwrap();
            assert_eq!(yarn.wrong, 0, "{}", plan.name.own);
            assert!(yarn.strands.iter().zip(&yarn.loops).all(|(s, l)| s.points.len() == l.len()));
            assert!(yarn.loops.iter().flatten().all(|id| (*id as usize) <= proof.run.loops.len()));
        }
        let wanted = cloth(&proven, &[0]);
        let pictures: Vec<_> = wanted
            .iter()
            .map(|w| w.draw(&looks, w.sheet(), &latchwork_print::jpeg).unwrap_or_else(|e| panic!("{e}")))
            .collect();
        let pieces = size.plans.pieces.len();
        assert_eq!(pictures.len(), 2 * looks.all.len() + pieces);
        assert!(pictures.iter().all(|p| p.alt.len() > 60 && !p.caption.is_empty()));
        let half = pictures.iter().filter(|p| p.caption.starts_with("half cardigan")).count();
        assert!(half == 2 && pictures[0].jpeg.starts_with(b"\xff\xd8\xff"));
        let mut sheet = handout(&proven, &[0], false).unwrap();
        sheet.cloth = pictures;
        let pdf = latchwork_print::pdf(&sheet, latchwork_print::Paper::A4, latchwork_print::Type::Normal).unwrap();
        assert!(pdf.starts_with(b"%PDF"));
    }
}
