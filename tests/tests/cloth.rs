//! Cloth from the yarn up: crossings as the rehearsal demands them, and sizes as published for real fabrics.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::sync::Arc;

use latchwork::cloth::{AtRest, Bulk, Measured, Sample, nothing, predict, repeat, rest, rests_quickly};
use latchwork::fabric::{Fabric, built_in, find};
use latchwork::measure::TUCK;
use latchwork::units::{Mm, Tex};
use latchwork_machine::rehearsal::rehearse;
use latchwork_tests::cloths;
use latchwork_thread::cell::{Cell, cell};
use latchwork_thread::keep::{from_bytes, to_bytes};
use latchwork_thread::look::{Face, gltf, pixels, svg, tiled};
use latchwork_thread::relax::{Fineness, Lengths, NoRest, Rested, Start, lowest, relax, relax_from};
use latchwork_thread::rod::Matter;

fn hard(cell: &Cell, l: f64) -> Rested {
    relax(cell, Lengths { knit: l, tuck: 0.75 }, Matter::HARD, Fineness::Fine).unwrap()
}

fn of(name: &str) -> Cell {
    repeat(find(name).unwrap()).unwrap()
}

fn near(what: &str, got: f64, wanted: f64, share: f64) {
    assert!((got / wanted - 1.0).abs() <= share, "{what}: {got:.3} is not within {share} of {wanted}");
}

/// Munden 1959, wet relaxed wool, as tabulated in Spencer, Knitting Technology, 3rd ed., p. 280: kc 5.3, kw 4.1.
/// Nothing here was chosen to fit: hard thread, no friction.
#[test]
fn plain_of_hard_thread_has_mundens_constants() {
    let plain = of("plain");
    for l in [16.0, 17.0, 18.0] {
        let r = hard(&plain, l);
        assert!(r.settled());
        near("kc", l / r.course, 5.3, 0.05);
        // At 18 the prototype's 4.9 % was luck in its cutting: cut ever finer, the miss is 5.4 %.
        near("kw", l / r.wale, 4.1, if l < 18.0 { 0.05 } else { 0.06 });
    }
}

/// Chamberlain 1926 and Hepworth and Leaf 1976: wales jam at w = 4 d, below l/d 16.67 and 16.75.
#[test]
fn wales_jam_at_four_diameters() {
    let plain = of("plain");
    for l in [15.0, 16.0, 16.5] {
        near("jammed wale", hard(&plain, l).wale, 4.0, 0.015);
    }
    assert!(hard(&plain, 17.5).wale > 4.25, "slack cloth is free to widen");
}

#[test]
fn loops_too_short_are_refused() {
    let tight = relax(&of("plain"), Lengths { knit: 12.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse);
    assert!(matches!(tight, Err(NoRest::TooTight { .. })), "{tight:?}");
    let soft = relax(&of("plain"), Lengths { knit: 8.0, tuck: 0.75 }, Matter::SOFT, Fineness::Coarse);
    assert!(matches!(soft, Err(NoRest::Squeezed { .. } | NoRest::TooTight { .. })), "{soft:?}");
}

/// Widths and lengths of double-bed fabrics against one another: textbooks agree on the order (Spencer, ch. 18; Buck
/// 1921), thickness: Fibers and Polymers 22 (2021) 2878.
#[test]
fn ribs_and_cardigans_stand_in_the_order_of_the_textbooks() {
    let at = |name| hard(&of(name), 17.0);
    let (plain, rib, half, full) = (at("plain"), at("1x1 rib"), at("half cardigan"), at("full cardigan"));
    assert!(rib.wale < plain.wale, "rib draws in");
    assert!(half.wale > 1.2 * rib.wale && half.course < rib.course, "half cardigan is wider and shorter than rib");
    assert!(full.wale >= half.wale, "full cardigan is at least as wide");
    assert!(rib.thick < half.thick && half.thick < full.thick, "thickness");
    // Theory, Spencer ch. 7: half the width of plain; measured trade fabric is wider.
    near("rib over plain", rib.wale / plain.wale, 0.5, 0.15);
}

/// Cotton interlock, Roy, Varshney and Kothari (IJFTR): kc 5.64, kw 4.0, of a loop with the yarn that it floats past the
/// next needle, as an unravelled course gives it. The miss is published in docs/cloth.md.
#[test]
fn interlock_is_held_against_cotton_with_its_floats() {
    let plan = cloths::all().into_iter().find(|c| c.0 == "interlock").unwrap().1;
    let run = rehearse(&plan, &latchwork::fabric::bench());
    let interlock = cell(&plan, &run, 0..plan.steps.len()).unwrap();
    let lengths = Lengths { knit: 17.0, tuck: 0.75 };
    let loops: usize = interlock.courses.iter().map(|c| c.stitches.len()).sum();
    let l = interlock.yarn(lengths) / loops as f64;
    assert!(l > 1.05 * 17.0, "a float lies between any two loops of a course: {l}");
    let r = relax(&interlock, lengths, Matter::HARD, Fineness::Coarse).unwrap();
    // Each needle knits in every second pass; a wale of one face is two needles wide.
    near("kc", l / (2.0 * r.course), 5.64, INTERLOCK.0);
    near("kw", l / (2.0 * r.wale), 4.0, INTERLOCK.1);
}

/// How far hard thread misses cotton interlock: by -3.5 % and +14.5 % (docs/cloth.md).
const INTERLOCK: (f64, f64) = (0.045, 0.155);

/// A shape as the choice among several sees it.
fn shape(energy: f64, wale: f64, residual: f64) -> Rested {
    let plain =
        relax_from(&of("plain"), Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse, Start::Laid);
    Rested { energy, wale, residual, wales: (wale, wale), ..plain.unwrap() }
}

#[test]
fn the_shape_of_least_energy_is_taken_and_the_range_of_those_that_cost_about_as_much() {
    let of = |found: Vec<Result<Rested, NoRest>>| lowest(found).map(|r| (r.wale, r.wales));
    let (a, b, far) = (shape(8.0, 2.5, 1e-3), shape(8.1, 2.1, 1e-3), shape(8.2, 1.8, 1e-3));
    let (wale, (low, high)) = of(vec![Ok(b.clone()), Ok(far), Ok(a)]).unwrap();
    assert_eq!(wale, 2.5);
    near("narrowest, with what one valley gives; 8.2 costs 2.5 % more", low, 0.96 * 2.1, 1e-9);
    near("widest", high, 1.04 * 2.5, 1e-9);
    // One that did not settle counts only where nothing did.
    let loose = shape(7.0, 3.0, 0.2);
    assert_eq!(of(vec![Ok(loose.clone()), Ok(b.clone())]), Ok((2.1, (2.1, 2.1))));
    assert!(!lowest(vec![Ok(loose)]).unwrap().settled());
    assert_eq!(of(vec![Err(NoRest::Changed), Ok(b)]), Ok((2.1, (2.1, 2.1))));
    assert_eq!(of(vec![Err(NoRest::Changed), Err(NoRest::Lost)]), Err(NoRest::Changed), "why the first has none");
}

/// A start with left and right changed over comes to the same cloth, its yarn tangled as the rehearsal demands; so does
/// a shaken one.
#[test]
fn every_start_keeps_the_tangle_and_plain_has_one_shape() {
    let plain = of("plain");
    let from = |start| relax_from(&plain, Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse, start);
    let laid = from(Start::Laid).unwrap();
    for start in [Start::Mirrored, Start::Shaken(1), Start::Shaken(2)] {
        let other = from(start).unwrap();
        assert_ne!(other.threads, laid.threads, "{start:?} is a start of its own");
        near("wale", other.wale, laid.wale, 0.01);
        near("energy", other.energy, laid.energy, 0.01);
    }
}

/// Loops a hundred-thousandth apart once gave widths of 2.51, 2.62 and 2.12 diameters: now the width of each lies
/// within the range given for the others.
#[test]
fn loops_a_hundred_thousandth_apart_tell_of_one_another() {
    let rib = of("2x2 rib");
    let at = |knit| relax(&rib, Lengths { knit, tuck: 0.75 }, Matter::SOFT, Fineness::Coarse).unwrap();
    let all = [17.0, 17.000_17, 17.000_34].map(at);
    for a in &all {
        for b in &all {
            assert!((b.wales.0..=b.wales.1).contains(&a.wale), "{:.3} is not within {:?}", a.wale, b.wales);
        }
    }
}

#[test]
fn what_came_of_a_repeat_is_the_same_after_it_was_kept() {
    let r = relax_from(&of("plain"), Lengths { knit: 17.0, tuck: 0.75 }, Matter::SOFT, Fineness::Coarse, Start::Laid);
    let whys = [
        NoRest::OtherCrossings { found: 3, demanded: 4 },
        NoRest::Changed,
        NoRest::TooTight { strain: 0.1 },
        NoRest::Squeezed { share: 0.4 },
        NoRest::Lost,
    ];
    for found in whys.into_iter().map(Err).chain([r]) {
        let bytes = to_bytes(&found);
        assert_eq!(from_bytes(&bytes), Some(found));
        for cut in 0..bytes.len().min(400) {
            assert_eq!(from_bytes(&bytes[..cut]), None, "cut after {cut} bytes");
        }
        assert_eq!(from_bytes(&[&bytes[..], &[0]].concat()), None);
    }
    assert_eq!(from_bytes(&[0xff; 400]), None);
}

fn sample(tex: f64, loop_length: f64) -> Sample {
    let tex = Tex(tex);
    let diameter = Bulk::WORSTED.diameter(tex);
    let matter = Matter::HARD;
    Sample { tex, diameter, loop_length: Mm(loop_length), tuck: 0.75, matter, fineness: Fineness::Coarse }
}

fn plain(tex: f64, loop_length: f64) -> AtRest {
    rest(find("plain").unwrap(), sample(tex, loop_length), false, &nothing).unwrap()
}

/// d (cm) = 3.568e-3 sqrt(T / (rho phi)): exact geometry, and as exam notes print it for phi 0.646.
#[test]
fn a_yarns_diameter_follows_from_its_count() {
    let d = Bulk { density: 1.31, packing: 0.646 }.diameter(Tex(100.0)).0;
    near("mm", d, 10.0 * 3.568e-3 * (100.0_f64 / (1.31 * 0.646)).sqrt(), 1e-3);
    near("handbook", d, 10.0 * 4.44e-3 * (100.0_f64 / 1.31).sqrt(), 1e-2);
}

#[test]
fn four_times_the_tex_and_twice_the_loop_is_the_same_cloth_twice_as_large() {
    let (small, large) = (plain(100.0, 7.0), plain(400.0, 14.0));
    near("needle", large.needle(), 2.0 * small.needle(), 1e-6);
    near("pass", large.pass(), 2.0 * small.pass(), 1e-6);
    // g/m² = S l T: the handbook's mass identity.
    let loops = 1000.0 / large.needle() * (1000.0 / large.pass());
    near("weight", large.weight(), loops * 14.0 * 400.0 * 1e-6, 1e-9);
}

/// Twenty-four loops are more than are tried from every start: one shape, whose sizes are known to 4 % only.
#[test]
fn a_cable_comes_to_rest_from_one_start() {
    let diameter = Bulk::WORSTED.diameter(Tex(240.0));
    let loop_length = Mm(17.0 * diameter.0);
    let (matter, fineness) = (Matter::SOFT, Fineness::Fine);
    let sample = Sample { tex: Tex(240.0), diameter, loop_length, tuck: TUCK, matter, fineness };
    let cable = find("2x2 cable").unwrap();
    assert!(!rests_quickly(cable) && rests_quickly(find("mesh").unwrap()));
    let at = rest(cable, sample, false, &nothing).unwrap();
    assert!(at.rested.settled());
    let plain = rest(find("plain").unwrap(), Sample { fineness: Fineness::Coarse, ..sample }, false, &nothing).unwrap();
    // Crossed stitches draw the cloth together.
    assert!(at.needle() < 0.95 * plain.needle(), "{} and {}", at.needle(), plain.needle());
    let (low, high) = at.needles();
    near("the range", high / low, 1.04 / 0.96, 1e-9);
}

#[test]
fn every_fabric_is_laid_as_demanded_and_all_come_to_rest() {
    // No picture is shown of these, and the page says why: one has no repeat, others have too large a one or two yarns.
    let not_yet = ["zigzag racked rib", "pleats", "drop stitch"];
    let shown = |f: &Arc<Fabric>| {
        !not_yet.contains(&f.name.as_str()) && f.yarns() == 1 && f.loops_in_repeat(f.period()).0 <= 16
    };
    for f in built_in().iter().filter(|f| shown(f)) {
        let c = repeat(f).unwrap_or_else(|e| panic!("{}: {e}", f.name));
        assert_eq!(usize::try_from(c.passes).unwrap(), f.repeat.len(), "{}: its repeat is the smallest", f.name);
        let r = relax(&c, Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse)
            .unwrap_or_else(|e| panic!("{}: {e}", f.name));
        // From the layout alone, milano cut coarsely does not settle; from another start it does.
        assert!(r.settled(), "{}: {}", f.name, r.residual);
        assert!(r.strain < 0.005, "{}: {}", f.name, r.strain);
    }
}

/// One crossing the other way round is always noticed: as another order of overs and unders, and as another tangle.
#[test]
fn a_crossing_turned_over_is_refused() {
    for name in ["plain", "1x1 rib", "half cardigan", "full cardigan"] {
        let good = of(name);
        let print = good.demands().print();
        let turned = |which: usize| {
            let mut bad = good.clone();
            for k in bad.courses.iter_mut().flat_map(|c| &mut c.knots) {
                if let Some((n, over)) = &mut k.crossing
                    && *n == which
                {
                    *over = !*over;
                }
            }
            bad
        };
        let mut other = 0;
        for which in 0..good.demands().len() {
            let bad = turned(which);
            assert_ne!(bad.demands().code(), good.demands().code(), "{name}, crossing {which}");
            other += usize::from(bad.demands().print() != print);
            if which == 0 {
                let found = relax(&bad, Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse);
                assert!(matches!(found, Err(NoRest::OtherCrossings { .. })), "{name}: {found:?}");
            }
        }
        assert!(other * 10 >= 9 * good.demands().len(), "{name}: the print tells of {other} crossings only");
    }
}

#[test]
fn lace_cables_tucks_racking_and_dropped_stitches_keep_the_crossings_demanded() {
    let mut laid = 0;
    for (name, plan) in cloths::all() {
        let run = rehearse(&plan, &latchwork::fabric::bench());
        let c = cell(&plan, &run, 0..plan.steps.len()).unwrap_or_else(|e| panic!("{name}: {e}"));
        // The cable of two over two is laid too; it takes ten seconds to come to rest.
        if c.needles <= 4 {
            let lengths = Lengths { knit: 18.0, tuck: 0.8 };
            let r = relax_from(&c, lengths, Matter::HARD, Fineness::Coarse, Start::Laid);
            let r = r.unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(r.strain < 0.005, "{name}: {}", r.strain);
            laid += 1;
        }
    }
    assert_eq!(laid, 7);
}

/// Plain shows upright legs on its smooth side and arcs across on the other; both faces of 1x1 rib show legs (textbooks
/// agree). Judged by how much more the light changes across than up.
#[test]
fn faces_look_as_they_should() {
    let upright = |name: &str, face| {
        let r = relax(&of(name), Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse).unwrap();
        let t = &r.threads;
        let strands = tiled(t, &vec![[200; 3]; t.points.len()], (4, 4), 0.5);
        let seen = pixels(&strands, [0.0, 0.0, 4.0 * t.width, 4.0 * t.height], face, 240, 1);
        let at = |x: usize, y: usize| i32::from(seen.rgba[4 * (y * seen.width + x)]);
        let (mut across, mut up) = (0, 0);
        for y in 1..seen.height {
            for x in 1..seen.width {
                across += (at(x, y) - at(x - 1, y)).abs();
                up += (at(x, y) - at(x, y - 1)).abs();
            }
        }
        f64::from(across) / f64::from(up)
    };
    let both = |name| (upright(name, Face::Far), upright(name, Face::Near));
    let (smooth, rough) = both("plain");
    assert!(smooth > 1.25 * rough, "plain: {smooth:.2} and {rough:.2}");
    let (one, other) = both("1x1 rib");
    assert!((one / other - 1.0).abs() < 0.1, "1x1 rib: {one:.2} and {other:.2}");
}

/// Half cardigan's knitting bed clears a loop every pass, the tucking bed every second (Spencer, ch. 18), so its faces
/// are not alike, as those of full cardigan are: judged by how unlike a face is to itself moved up by one pass.
#[test]
fn half_cardigans_faces_are_told_apart() {
    let unlike = |name: &str, face| {
        let r = relax(&of(name), Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse).unwrap();
        let t = &r.threads;
        let strands = tiled(t, &vec![[200; 3]; t.points.len()], (4, 4), 0.5);
        // Lightness of the yarn; where there is none, that of paper.
        let moved = |by: f64| -> Vec<u8> {
            let seen = pixels(&strands, [0.0, by, 4.0 * t.width, 3.0 * t.height], face, 240, 1);
            seen.rgba.chunks_exact(4).map(|p| if p[3] == 0 { 251 } else { p[0] }).collect()
        };
        let (one, other) = (moved(0.0), moved(0.5 * t.height));
        one.iter().zip(&other).map(|(a, b)| f64::from(a.abs_diff(*b))).sum::<f64>() / one.len() as f64
    };
    let ratio = |name| unlike(name, Face::Far) / unlike(name, Face::Near);
    let (half, full) = (ratio("half cardigan"), ratio("full cardigan"));
    assert!((half - 1.0).abs() > 0.12 && (full - 1.0).abs() < 0.06, "{half:.2} and {full:.2}");
}

/// The container of glTF 2.0 (Khronos Group, section "Binary glTF layout"): magic, version, length, JSON, then data.
#[test]
fn the_solid_shape_is_a_gltf_file() {
    let r = relax(&of("plain"), Lengths { knit: 17.0, tuck: 0.75 }, Matter::HARD, Fineness::Coarse).unwrap();
    let strands = tiled(&r.threads, &[[1, 2, 3]], (2, 2), 0.5);
    let file = gltf(&strands);
    let word = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!((&file[..4], word(4), word(8)), (&b"glTF"[..], 2, file.len()));
    let json: serde_json::Value = serde_json::from_slice(&file[20..20 + word(12)]).unwrap();
    assert_eq!(&file[16..20], b"JSON");
    let data = 20 + word(12);
    assert_eq!(&file[data + 4..data + 8], b"BIN\0");
    assert_eq!(json["buffers"][0]["byteLength"].as_u64().unwrap() as usize, word(data));
    assert_eq!(json["meshes"].as_array().unwrap().len(), strands.len());
    for a in json["accessors"].as_array().unwrap() {
        let view = &json["bufferViews"][a["bufferView"].as_u64().unwrap() as usize];
        let size = if a["type"] == "VEC3" { 12 } else { 4 };
        assert_eq!(a["count"].as_u64().unwrap() * size, view["byteLength"].as_u64().unwrap());
    }
    let drawing = svg(&strands, [0.0, 0.0, r.threads.width, r.threads.height], Face::Far, "plain & smooth");
    assert!(drawing.contains("<title>plain &amp; smooth</title>"));
}

/// Swatches made by the model itself, of a yarn thicker than its count says and pulled wider: what is left out is
/// found again, and from one swatch alone the range is the guessed one.
#[test]
fn a_swatch_left_out_is_predicted_from_the_others() {
    let (usual, thick, wide) = (0.6, 0.63, 1.04_f64);
    let measured = |name: &str, knit: f64| {
        let fabric = find(name).unwrap();
        let lengths = Lengths { knit: knit / thick, tuck: 0.75 };
        let r = relax(&repeat(fabric).unwrap(), lengths, Matter::SOFT, Fineness::Coarse).unwrap();
        Measured { fabric: fabric.clone(), knit, tuck: 0.75, needle: r.wale * thick * wide, pass: r.course * thick }
    };
    let all = [measured("plain", 11.0), measured("half cardigan", 11.0), measured("full cardigan", 11.0)];
    // As if each fabric had one shape, and as if shapes of nearly one energy lay far apart.
    let with = |low: f64, high: f64| {
        move |a: &latchwork::cloth::Asked| {
            let of = |r: Rested| Rested { wales: (low * r.wale, high * r.wale), courses: (r.course, r.course), ..r };
            Some(a.found(&nothing).map(of))
        }
    };
    let (one, flat) = (with(1.0, 1.0), with(0.5, 1.5));
    let p = predict(&all[..2], &all[2].fabric, (11.0, 0.75), usual, &one).unwrap();
    near("needle", p.needle, all[2].needle, 0.06);
    near("pass", p.pass, all[2].pass, 0.06);
    assert_eq!(p.left_out.len(), 2, "each of two left out once");
    assert!(p.left_out.iter().all(|l| l.needle.abs() < 0.12), "{:?}", p.left_out);
    let unsure = predict(&all[..2], &all[2].fabric, (11.0, 0.75), usual, &flat).unwrap();
    // It is no surer than they are.
    assert!(unsure.needle_spread > 0.28 && !unsure.of_use(), "{unsure:?}");
    assert!((unsure.needle / p.needle - 1.0).abs() < 1e-9 && (unsure.pass_spread - p.pass_spread).abs() < 1e-9);
    let alone = predict(&all[..1], &all[2].fabric, (11.0, 0.75), usual, &one).unwrap();
    assert!(alone.left_out.is_empty() && alone.needle_spread > p.needle_spread, "less sure");
}
