//! Cloth in space: forms of the girths asked for, tubes over them, and things sewn together.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::prove;
use latchwork::design::from_text;
use latchwork::measure::BUILT_IN;
use latchwork::reach::{Body, Finished, NotRound, finished};
use latchwork::revise::{Asked, Starter};
use latchwork_tests::garments::piece;
use latchwork_thread::form::{Form, Ring, half_axes};
use latchwork_thread::scene::Surface;
use latchwork_thread::sheet::{Stiffness, Triangle};
use latchwork_thread::space::{Space, Tie};

fn near(what: &str, got: f64, wanted: f64, share: f64) {
    assert!((got / wanted - 1.0).abs() <= share, "{what}: {got:.3} is not within {share} of {wanted}");
}

/// Length of an ellipse by summing a thousand chords.
fn around([a, b]: [f64; 2]) -> f64 {
    let at = |k: u32| {
        let (s, c) = (core::f64::consts::TAU * f64::from(k) / 1000.0).sin_cos();
        (a * c, b * s)
    };
    (0..1000).map(|k| (at(k), at(k + 1))).map(|(p, q)| (p.0 - q.0).hypot(p.1 - q.1)).sum()
}

#[test]
fn forms_have_the_girths_asked_for() {
    for depth in [0.5, 1.0, 1.28] {
        near("girth", around(half_axes(560.0, depth)), 560.0, 0.001);
    }
    let at = |form: &Form, height: f64| {
        let ring =
            form.rings.iter().min_by(|a, b| (a.middle[2] - height).abs().total_cmp(&(b.middle[2] - height).abs()));
        around(ring.unwrap().half)
    };
    near("head", at(&Form::head(560.0), 0.0), 560.0, 0.005);
    let hand = Form::hand(170.0, 210.0, 190.0, None);
    near("wrist", at(&hand, 0.0), 170.0, 0.005);
    near("palm", at(&hand, 0.45 * 190.0), 210.0, 0.005);
}

#[test]
fn depth_is_the_distance_to_the_skin() {
    let form = Form::upright(&[(0.0, 300.0), (200.0, 300.0)], 1.0);
    let radius = 300.0 / core::f64::consts::TAU;
    for (deep, angle) in [(0.5, 0.3_f64), (3.0, 1.0), (6.0, 4.0)] {
        let (s, c) = angle.sin_cos();
        near("depth", form.depth([(radius - deep) * c, (radius - deep) * s, 80.0]), deep, 0.02);
    }
    assert!(form.depth([radius + 0.5, 0.0, 80.0]) < 1e-12);
    assert!(form.depth([0.9 * radius, 0.0, 250.0]) < 1e-12, "beyond its end");
}

/// A tube this many millimetres round and 80 long, sewn up its back, laid round a form.
fn tube(round: f64, form: &Form) -> Space {
    const ACROSS: u32 = 36;
    const UP: u32 = 8;
    let mut s = Space::default();
    let at = |i: u32, j: u32| [round * f64::from(i) / f64::from(ACROSS), 10.0 * f64::from(j)];
    let number = |i: u32, j: u32| j * (ACROSS + 1) + i;
    for j in 0..=UP {
        for i in 0..=ACROSS {
            let angle = core::f64::consts::TAU * f64::from(i) / f64::from(ACROSS);
            s.points.push(form.skin(60.0 + at(i, j)[1], angle));
        }
    }
    let stiffness = Stiffness { across: 3.0, along: 6.0, both: 1.0, shear: 1.0 };
    for j in 0..UP {
        for i in 0..ACROSS {
            for corners in [[(i, j), (i + 1, j), (i + 1, j + 1)], [(i, j), (i + 1, j + 1), (i, j + 1)]] {
                s.triangles.push(Triangle {
                    corners: corners.map(|(i, j)| number(i, j)),
                    rest: corners.map(|(i, j)| at(i, j)),
                    stiffness,
                });
            }
        }
    }
    let tie = |j: u32| Tie { point: number(ACROSS, j), to: [(number(0, j), 1.0), (number(0, j), 0.0)] };
    s.ties.extend((0..=UP).map(tie));
    s
}

/// A ring of cloth over a wider cylinder is stretched by as much as the cylinder is wider.
#[test]
fn a_tube_over_a_cylinder_is_stretched_by_its_girth() {
    let form = Form::upright(&[(0.0, 300.0), (200.0, 300.0)], 1.0);
    for round in [240.0, 270.0] {
        let mut s = tube(round, &form);
        s.form = Some(form.clone());
        let end = s.settle();
        assert!(end.settled(), "{end:?}");
        let mean = s.triangles.iter().map(|t| t.stretch_in_space(&s.points)[0]).sum::<f64>() / s.triangles.len() as f64;
        near("stretch", 1.0 + mean, 300.0 / round, 0.01);
    }
}

/// By itself a tube goes back to its own girth.
#[test]
fn a_sewn_tube_keeps_its_girth() {
    let wide = Form::upright(&[(0.0, 300.0), (200.0, 300.0)], 1.0);
    let mut s = tube(240.0, &wide);
    let end = s.settle();
    assert!(end.settled(), "{end:?}");
    let girth: f64 = (0..36)
        .map(|i| (s.points[4 * 37 + i], s.points[4 * 37 + i + 1]))
        .map(|(a, b)| (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt())
        .sum();
    near("girth", girth, 240.0, 0.01);
}

fn thing(text: &str, size: usize) -> Result<Finished, NotRound> {
    let design = from_text(text).0.unwrap();
    let proven = prove(&design, &[size]).proven.unwrap();
    finished(&design, &proven.sizes()[0])
}

/// The hat's brim of 35.5 cm, drawn out to 37.7 cm by its body, on a head of 54 cm: a stretch of 52 %; its crown is
/// gathered to a point, its flaps hang.
#[test]
fn the_deck_hat_sits_on_a_head() {
    let hat = thing(include_str!("../../designs/deck-hat.kdl"), 2).unwrap();
    assert_eq!(hat.body, Body::Head);
    assert!(hat.rest.1.settled() && hat.worn.1.settled(), "{:?} {:?}", hat.rest.1, hat.worn.1);
    let brim = &hat.rounds[0];
    near("brim by itself", brim.rest.1, 377.0, 0.02);
    near("brim on the head", brim.worn.1, 540.0, 0.02);
    near("brim stretched", 1.0 + brim.stretched, 540.0 / 355.0, 0.03);
    assert!(hat.rounds[1].worn.0 < 60.0, "gathered");
    let low = |s: &Space| s.points.iter().map(|p| p[2]).fold(f64::INFINITY, f64::min);
    let brim_low = hat.worn.0.points[..20].iter().map(|p| p[2]).fold(f64::INFINITY, f64::min);
    assert!(low(&hat.worn.0) < brim_low - 50.0, "the flaps hang below the brim");
    for space in [&hat.rest.0, &hat.worn.0] {
        for t in &space.ties {
            let [(a, wa), (b, wb)] = t.to;
            let gap = |c: usize| {
                let p = |n: u32| space.points[n as usize][c];
                p(t.point) - wa * p(a) - wb * p(b)
            };
            assert!((0..3).all(|c| gap(c).abs() < 2.0), "seams close");
        }
    }
}

/// Three of its five sizes once stopped up to 1.2 mm short of rest.
#[test]
fn the_deck_hat_comes_to_rest_in_every_size() {
    for size in 0..5 {
        let hat = thing(include_str!("../../designs/deck-hat.kdl"), size).unwrap();
        assert!(hat.rest.1.settled() && hat.worn.1.settled(), "{size}: {:?} {:?}", hat.rest.1, hat.worn.1);
    }
}

#[test]
fn a_mitt_opens_at_the_thumb() {
    let text = include_str!("../../designs/wrist-warmers.kdl");
    let mitt = thing(text, 0).unwrap();
    assert_eq!(mitt.body, Body::Hand);
    assert!(mitt.worn.1.settled(), "{:?}", mitt.worn.1);
    assert!(mitt.rounds.iter().all(|r| r.worn.1 > 0.98 * r.rest.0));
    // Points of edges that nothing is sewn to, well below the top and above the beginning: the gap.
    let space = &mitt.worn.0;
    let mut sides = std::collections::BTreeMap::new();
    for t in &space.triangles {
        for k in 0..3 {
            let (a, b) = (t.corners[k], t.corners[(k + 1) % 3]);
            *sides.entry((a.min(b), a.max(b))).or_insert(0) += 1;
        }
    }
    let sewn: std::collections::BTreeSet<u32> =
        space.ties.iter().flat_map(|t| [t.point, t.to[0].0, t.to[1].0]).collect();
    let height = |p: u32| space.points[p as usize][2];
    let (low, high) =
        space.points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, p| (m.0.min(p[2]), m.1.max(p[2])));
    let inside = |p: u32| (low + 15.0..high - 15.0).contains(&height(p));
    let open = |p: &u32| !sewn.contains(p) && inside(*p);
    // Edges of the gap, with the last points sewn below it and above it.
    let gap: Vec<f64> = sides
        .iter()
        .filter(|s| *s.1 == 1)
        .map(|s| [s.0.0, s.0.1])
        .filter(|ends| ends.iter().any(open) && ends.iter().all(|p| inside(*p)))
        .flatten()
        .map(height)
        .collect();
    assert!(gap.len() >= 4, "{gap:?}");
    // It lies above the cuff and below the top, and is as long as the gap that was asked for: 4.5 cm.
    let long = gap.iter().fold(0.0_f64, |m, z| m.max(*z)) - gap.iter().fold(f64::INFINITY, |m, z| m.min(*z));
    near("gap", long, 45.0, 0.12);
}

#[test]
fn what_is_not_sewn_round_is_not_shown_round() {
    assert_eq!(thing(include_str!("../../designs/scarf.kdl"), 0).unwrap_err(), NotRound::NoRound);
}

/// The container of glTF 2.0 (Khronos Group, "Binary glTF layout"); every corner has a place and a colour.
#[test]
fn a_surface_is_a_gltf_file() {
    let s = Surface::of(&Form::head(560.0), [10, 20, 30]);
    let file = s.gltf();
    let word = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!((&file[..4], word(4), word(8)), (&b"glTF"[..], 2, file.len()));
    let json: serde_json::Value = serde_json::from_slice(&file[20..20 + word(12)]).unwrap();
    let corners = json["accessors"][0]["count"].as_u64().unwrap();
    assert_eq!(corners as usize, 3 * s.triangles.len());
    assert_eq!(json["buffers"][0]["byteLength"].as_u64().unwrap(), 24 * corners);
}

/// The widest that a seam gapes, in mm.
fn gaping(space: &Space) -> f64 {
    let gap = |t: &Tie| {
        let to = |c: usize| t.to.iter().map(|(p, share)| share * space.points[*p as usize][c]).sum::<f64>();
        (0..3).map(|c| (space.points[t.point as usize][c] - to(c)).powi(2)).sum::<f64>().sqrt()
    };
    space.ties.iter().map(gap).fold(0.0, f64::max)
}

/// The fronts of a cardigan, a pair: the mirror image goes to the other side and the other shoulder, and the front stays open.
#[test]
fn a_cardigan_is_open_in_front() {
    let (design, notices) = from_text(include_str!("../suite/garments/cardigan.kdl"));
    let proven = prove(&design.unwrap_or_else(|| panic!("{:?}", notices.0)), &[1]).proven.unwrap();
    // The opening is marked where it begins, and the words with the mark are read back.
    let told = latchwork_tests::garments::text(&proven);
    assert!(told.contains("Mark both edge stitches with contrast yarn: yoke begins here."), "{told}");
    assert!(!told.contains("shoulders begins here"), "marked once: {told}");
    let thing = finished(proven.design(), &proven.sizes()[0]).unwrap();
    assert_eq!(thing.body, Body::Bust, "it has bands and no sleeves");
    assert!(thing.form.limbs.is_empty());
    let space = &thing.worn.0;
    assert!(thing.worn.1.settled(), "{:?}", thing.worn.1);
    let widest = gaping(space);
    assert!(widest < 15.0, "a seam gapes by {widest} mm");
    // As much cloth at the left as at the right, in front and behind; the body looks along y.
    let count = |of: &dyn Fn(&[f64; 3]) -> bool| space.points.iter().filter(|p| of(p)).count();
    let quarters = [
        count(&|p| p[0] < 0.0 && p[1] > 0.0),
        count(&|p| p[0] > 0.0 && p[1] > 0.0),
        count(&|p| p[0] < 0.0 && p[1] < 0.0),
        count(&|p| p[0] > 0.0 && p[1] < 0.0),
    ];
    let (least, most) = (quarters.iter().min().unwrap(), quarters.iter().max().unwrap());
    assert!(*least * 3 > *most * 2, "{quarters:?}");
}

/// Half way down each arm, cloth goes round it on all sides and close to its skin.
fn on_all_sides_of_the_arms(thing: &Finished) {
    for limb in &thing.form.limbs {
        let ring = limb[limb.len() / 2];
        let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        let other = [
            ring.along[1] * ring.side[2] - ring.along[2] * ring.side[1],
            ring.along[2] * ring.side[0] - ring.along[0] * ring.side[2],
            ring.along[0] * ring.side[1] - ring.along[1] * ring.side[0],
        ];
        let mut quarters = [0; 4];
        for p in &thing.worn.0.points {
            let off = [0, 1, 2].map(|c| p[c] - ring.middle[c]);
            let (along, x, y) = (dot(off, ring.along), dot(off, ring.side), dot(off, other));
            if along.abs() < 25.0 && (0.9..1.8).contains(&(x.hypot(y) / ring.half[0])) {
                quarters[usize::from(x > 0.0) + 2 * usize::from(y > 0.0)] += 1;
            }
        }
        assert!(quarters.iter().all(|n| *n >= 2), "no sleeve about the arm: {quarters:?}");
    }
}

/// A sweater is sewn up on a torso: both sleeves round its arms, the band round its neck, and no seam gapes by more than half the
/// distance between points.
#[test]
fn a_sweater_is_sewn_up_on_a_torso() {
    let (design, _) = from_text(include_str!("../../designs/deck-sweater.kdl"));
    let proven = prove(&design.unwrap(), &[1]).proven.unwrap();
    let thing = finished(proven.design(), &proven.sizes()[0]).unwrap();
    assert_eq!(thing.body, Body::Torso);
    assert!(thing.rest.1.settled() && thing.worn.1.settled(), "{:?} {:?}", thing.rest.1, thing.worn.1);
    for space in [&thing.rest.0, &thing.worn.0] {
        let widest = gaping(space);
        assert!(widest < 15.0, "a seam gapes by {widest} mm");
    }
    on_all_sides_of_the_arms(&thing);
    let body: Vec<&str> = thing.rounds.iter().map(|r| r.name.as_str()).collect();
    // Above the armholes nothing goes round.
    assert_eq!(body, ["welt", "body", "welt", "body"]);
}

#[test]
fn a_torso_has_the_girths_asked_for() {
    let form = Form::torso(940.0, 425.0, (304.0, 160.0, 600.0));
    let ring = form.rings.iter().find(|r| (r.middle[2] - form.chest()).abs() < 1e-6).unwrap();
    near("chest", around(ring.half), 940.0, 0.01);
    for limb in &form.limbs {
        near("upper arm", around(limb[0].half), 304.0, 0.005);
        near("wrist", around(limb[limb.len() - 1].half), 160.0, 0.005);
    }
    // Where an arm leaves the body the skin has no edge: it rises by little.
    let inside = form.limbs[0][3].middle;
    assert!(form.depth(inside) > 20.0);
}

/// Whether cloth goes round the thumb of the block on all sides, close to its skin, and no seam gapes.
fn worn_on_a_thumb(thing: &Finished) -> bool {
    let space = &thing.worn.0;
    assert!(thing.worn.1.settled(), "{:?}", thing.worn.1);
    assert!(gaping(space) < 15.0, "{}", gaping(space));
    let [limb] = thing.form.limbs.as_slice() else { panic!("no thumb") };
    let goes_round = |ring: &Ring| {
        let across = |p: &[f64; 3]| {
            let off = [0, 1, 2].map(|c| p[c] - ring.middle[c]);
            let on = |way: [f64; 3]| (0..3).map(|c| off[c] * way[c]).sum::<f64>();
            let near = on(ring.along).abs() < 8.0 && on(ring.side).hypot(off[1]) < 2.0 * ring.half[0];
            near.then_some((on(ring.side), off[1]))
        };
        let round: Vec<(f64, f64)> = space.points.iter().filter_map(across).collect();
        let quarters = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
        quarters.iter().all(|q| round.iter().any(|(x, y)| x * q.0 > 0.0 && y * q.1 > 0.0))
    };
    limb.iter().any(goes_round)
}

/// A thumb is sewn into its slit: the sheet of the hand is open there, and the thumb stands out of it.
#[test]
fn a_thumb_is_sewn_into_its_slit() {
    let one = piece(
        50,
        "stretch \"cuff\" { fabric \"plain\"; rows 20; around \"hand-girth\" (percent)0; }; stretch \"opening\" { fabric \"plain\"; rows 20; slit; };
         stretch \"top\" { fabric \"plain\"; rows 8; }",
    );
    let text = one.replace("chest (cm)96;", "hand-girth (cm)18;").replace("needles 50;", "").replace("needles 50 ", "")
        + "\npiece \"thumb\" { needles 26; stretch \"thumb\" { fabric \"plain\"; rows 16; }; ending \"chain\" }
           seam \"side\" { edge \"back\" \"left\"; edge \"back\" \"right\" }
           seam \"thumb\" { edge \"thumb\" \"left\"; edge \"thumb\" \"right\" }
           seam \"into the slit\" { method \"oversewn\"; edge \"thumb\" \"cast-on\"; edge \"back\" \"slit\" }";
    let mitt = thing(&text, 0).unwrap();
    assert_eq!(mitt.body, Body::Hand);
    assert!(mitt.rest.1.settled(), "{:?}", mitt.rest.1);
    let space = &mitt.rest.0;
    // The last row of the thumb lies well beyond the hand, and is round: far from its own middle on all sides.
    let far = |p: &[f64; 3]| p[0].hypot(p[1]);
    let (low, high) = space.points.iter().fold((f64::INFINITY, 0.0_f64), |m, p| (m.0.min(far(p)), m.1.max(far(p))));
    assert!(high > 1.6 * 180.0 / core::f64::consts::TAU, "{low} {high}");
    assert!(worn_on_a_thumb(&mitt), "nothing goes round the thumb");
    // In a rib, which is stretched by half when worn.
    let rib =
        thing(&text.replace("fabric \"plain\"", "fabric \"1x1 rib\"").replace("needles 26", "needles 43"), 0).unwrap();
    assert!(worn_on_a_thumb(&rib), "nothing goes round the thumb");
    let names: Vec<&str> = mitt.rounds.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["cuff", "top"], "a slit closes nothing");
    // Only whole rows go round: the first line above the slit is that of one side.
    assert!(mitt.rounds[1].rest.0 > 150.0, "{:?}", mitt.rounds[1].rest);
}

/// A starter in one of its sizes, sewn up.
fn started(name: &str, size: &str) -> Finished {
    let asked = Asked::of(&BUILT_IN[1]);
    let begun = Starter::find(name).unwrap().begun(&asked).unwrap();
    let design = from_text(&begun.text).0.unwrap();
    let k = design.sizes.iter().position(|s| s.name == size).unwrap();
    finished(&design, &prove(&design, &[k]).sizes[0]).unwrap()
}

/// What is knitted sideways goes round by its rows: a hat's brim is 90% of the head, a headband 88%; a skirt's hem is 140% of the hips,
/// its waist 90%.
#[test]
fn what_is_knitted_sideways_goes_round_by_its_rows() {
    let hat = started("sideways-hat", "men-small");
    let head = around(hat.form.rings.iter().map(|r| r.half).max_by(|a, b| around(*a).total_cmp(&around(*b))).unwrap());
    assert!(hat.sideways && hat.body == Body::Head && hat.worn.1.settled());
    near("brim", hat.rounds[0].rest.1, 0.9 * head, 0.03);
    assert!(hat.rounds[0].rest.0 < 0.3 * head, "drawn in at the top: {:?}", hat.rounds[0]);
    assert!((0.05..hat.rounds[0].allowed).contains(&hat.rounds[0].stretched), "{:?}", hat.rounds[0]);
    assert!(gaping(&hat.worn.0) < 15.0);
    // The crown is covered, and the brim is lower than the forehead.
    let heights = |t: &Finished| {
        let all = t.worn.0.points.iter().map(|p| p[2]);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), z| (a.min(z), b.max(z)))
    };
    let (low, high) = heights(&hat);
    let crown = hat.form.rings.last().unwrap().middle[2];
    assert!(low < 10.0 && (high - crown).abs() < 20.0, "{low} {high} {crown}");
    let band = started("headband", "men-small");
    near("band", band.rounds[0].rest.1, 0.88 * head, 0.02);
    let (low, high) = heights(&band);
    assert!(low < 0.0 && high > 0.0 && high - low < 0.2 * head, "about the forehead: {low} {high}");
    let cowl = started("cowl", "men-small");
    assert!(cowl.rounds[0].rest.0 > head && heights(&cowl).0 < -0.25 * head, "round the neck: {:?}", cowl.rounds);
    let skirt = started("gored-skirt", "M");
    let hips = around(skirt.form.rings[0].half);
    assert_eq!(skirt.body, Body::Hips);
    near("hem", skirt.rounds[0].rest.1, 1.4 * hips, 0.03);
    near("waist", skirt.rounds[0].rest.0, 0.9 * hips, 0.03);
}

/// The sleeves of a raglan sweater are sewn by both their edges and lie round the arms.
#[test]
fn raglan_sleeves_lie_round_the_arms() {
    let sweater = started("raglan-sweater", "M");
    assert!(sweater.body == Body::Torso && sweater.rest.1.settled() && sweater.worn.1.settled());
    assert!(gaping(&sweater.worn.0) < 15.0);
    on_all_sides_of_the_arms(&sweater);
}

/// The sock of the sea-boot socks on a foot, from the toe up: the cast-on closes the toe, the heel lies round the heel, and the rib goes up the leg.
#[test]
fn a_tube_is_worn_as_a_sock() {
    let (design, _) = from_text(include_str!("../../designs/sea-boot-socks.kdl"));
    let design = design.unwrap();
    let k = design.sizes.iter().position(|s| s.name == "25").unwrap();
    let outcome = prove(&design, &[k]);
    let done = finished(&design, &outcome.sizes[0]).unwrap();
    assert_eq!(done.body, Body::Foot);
    let round = |name: &str| done.rounds.iter().find(|r| r.name == name).unwrap();
    // Once round the tube: 62 needles at 80 in 13.3 cm, both its layers.
    near("round the leg", round("leg").rest.1, 2.0 * 62.0 / 80.0 * 133.0, 0.03);
    // Ankle 21.8 cm and ball 23 cm.
    assert!((210.0..270.0).contains(&round("foot").worn.1), "{:?}", round("foot"));
    assert!(round("toe").stretched < 0.6 && round("leg").stretched < 0.5, "{:?}", done.rounds);
    // Both halves of the cast-on lie on each other at the toe: forward of the leg, and no open ring.
    let points = &done.worn.0.points;
    let tip = points.iter().map(|p| p[1]).fold(0.0, f64::max);
    let top = points.iter().map(|p| p[2]).fold(0.0, f64::max);
    let (low, heel) =
        (points.iter().map(|p| p[2]).fold(f64::INFINITY, f64::min), points.iter().map(|p| p[1]).fold(0.0, f64::min));
    near("foot", tip - heel, 250.0, 0.08);
    assert!(top - low > 240.0, "the rib goes up the leg: {top} {low}");
}
