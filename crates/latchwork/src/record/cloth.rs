//! One repeat of a fabric at rest, as JSON.

use serde_json::json;

use crate::cloth::AtRest;
use crate::fabric::Fabric;

/// `latchwork cloth --json`: docs/cloth.md describes it.
#[must_use]
pub fn cloth(fabric: &Fabric, c: &AtRest) -> String {
    let d = c.sample.diameter.0;
    let round = |v: f64, places: i32| (v * 10_f64.powi(places)).round() / 10_f64.powi(places);
    let mm = |p: &[f64; 3]| p.map(|v| round(v * d, 4));
    let threads: Vec<Vec<[f64; 3]>> = c.rested.threads.points.iter().map(|t| t.iter().map(mm).collect()).collect();
    let touches: Vec<_> = c
        .rested
        .touches
        .iter()
        .map(|(at, deep, threads)| json!({ "at": mm(at), "squeezed": round(*deep, 4), "threads": [threads.0, threads.1] }))
        .collect();
    let l = c.sample.loop_length.0;
    let whole = json!({
        "format": "latchwork-cloth",
        "version": 1,
        "fabric": fabric.name,
        "units": "mm",
        "predicted": "from the yarn alone, not from a swatch: swatch this before you trust it",
        "tex": c.sample.tex.0,
        "diameter": round(d, 4),
        "loop_length": l,
        "tuck_over_knit": c.sample.tuck,
        "needles": c.rested.needles,
        "passes": c.rested.passes,
        "needle_mm": round(c.needle(), 4),
        "pass_mm": round(c.pass(), 4),
        "needle_mm_range": [round(c.needles().0, 4), round(c.needles().1, 4)],
        "pass_mm_range": [round(c.passes().0, 4), round(c.passes().1, 4)],
        "needles_per_cm": round(10.0 / c.needle(), 3),
        "passes_per_cm": round(10.0 / c.pass(), 3),
        "kc": round(l / c.pass(), 3),
        "kw": round(l / c.needle(), 3),
        "thickness_mm": round(c.thickness(), 3),
        "cover": round(c.cover, 4),
        "grams_per_m2": round(c.weight(), 1),
        "width_per_loop_length": c.slopes.map(|s| round(s[0], 2)),
        "length_per_loop_length": c.slopes.map(|s| round(s[1], 2)),
        "steps": c.rested.steps,
        "residual": c.rested.residual,
        "settled": c.rested.settled(),
        "strain": c.rested.strain,
        "period": [round(c.rested.threads.width * d, 4), round(c.rested.threads.height * d, 4)],
        "threads": threads,
        "touches": touches,
    });
    format!("{whole:#}\n")
}
