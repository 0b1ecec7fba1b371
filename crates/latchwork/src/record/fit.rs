//! The fit sheet, the sewing map, yarn and time of every size as JSON.

use serde_json::{Value, json};

use crate::check::SizeProof;
use crate::design::Design;
use crate::fit::{FitLine, What};
use crate::wording::{Language, fit_line, piece, sewn};

/// `fit.json`: every size with its measures, sewing, yarn and time. docs/fit.md describes it.
#[must_use]
pub fn fit(design: &Design, sizes: &[SizeProof]) -> String {
    let all: Vec<Value> = sizes.iter().map(|s| size(design, s)).collect();
    let whole = json!({ "format": "latchwork-fit", "version": 1, "title": design.title, "units": "mm", "sizes": all });
    format!("{whole:#}\n")
}

fn size(design: &Design, s: &SizeProof) -> Value {
    let yarn: Vec<Value> = design
        .yarns
        .iter()
        .zip(&s.yarn)
        .map(|(y, a)| {
            json!({
                "yarn": y.name,
                "metres": round(a.metres, 1),
                "metres_95": round(2.0 * a.deviation(), 1),
                "grams": round(a.grams(y.tex).0, 1),
                "grams_95": round(a.grams_range(y.tex).0, 1),
                "tail_metres": round(a.tails, 2),
            })
        })
        .collect();
    let pieces: Vec<Value> = s
        .plans
        .pieces
        .iter()
        .zip(&s.pieces)
        .map(|(plan, p)| json!({ "piece": piece(&plan.name, Language::English), "make": plan.make, "minutes_each": round(f64::from(p.seconds) / 60.0, 1) }))
        .collect();
    json!({
        "size": design.sizes[s.size].name,
        "measures": s.sheet.iter().map(|l| line(design, l)).collect::<Vec<_>>(),
        "seams": seams(design, s),
        "openings": openings(design, s),
        "sewn": s.sewing.measures.iter().map(|(n, v)| json!({ "what": sewn(n, Language::English), "mm": round(v.0, 1) })).collect::<Vec<_>>(),
        "yarn": yarn,
        "time": pieces,
    })
}

fn line(design: &Design, l: &FitLine) -> Value {
    let shares: Vec<Value> = l
        .shares
        .iter()
        .map(|s| json!({ "of": s.sex.words(), "share_of_all": round(s.of_all, 4), "share_of_size": s.of_size.map(|v| round(v, 4)) }))
        .collect();
    json!({
        "measure": fit_line(l, design, Language::English),
        "piece": design.pieces[l.piece].name,
        "stretch": design.pieces[l.piece].stretches[l.stretch].name,
        "at": match l.what { What::Start => "start", What::End => "end", What::Length => "length", What::Opening(_) => "opening" },
        "body": l.body.as_ref().map(|(n, v)| json!({ "measure": n, "mm": round(v.0, 1) })),
        "wished": round(l.wished.0, 1),
        "achieved": round(l.achieved.0, 1),
        "range_95": round(l.range.0, 1),
        "ease": l.ease().map(|e| round(e.0, 1)),
        "ease_percent": l.ease_percent().map(|e| round(e, 1)),
        "stretch_worn": l.stretch_worn.map(|s| json!({
            "needed": round(s.needed, 3), "allowed": round(s.allowed, 3), "measured": s.measured
        })),
        "passes_over": l.passes_over.as_ref().map(|(m, s)| json!({
            "measure": m, "needed": round(s.needed, 3), "allowed": round(s.allowed, 3), "measured": s.measured
        })),
        "fits": l.fits.map(|(a, b)| json!([round(a.0, 1), round(b.0, 1)])),
        "shares": shares,
    })
}

fn seams(design: &Design, s: &SizeProof) -> Vec<Value> {
    s.sewing
        .seams
        .iter()
        .map(|w| {
            json!({
                "seam": design.seams[w.seam].name,
                "counts": w.count,
                "mm": [round(w.length[0].0, 1), round(w.length[1].0, 1)],
                "ease_in": w.easing.map(|e| json!({
                    "edge": e.longer, "count": e.count, "each_cm": round(e.each_cm, 2)
                })),
                "notches": w.notches.iter().map(|n| json!({ "mark": n.letter.to_string(), "at": n.at })).collect::<Vec<_>>(),
            })
        })
        .collect()
}

fn openings(design: &Design, s: &SizeProof) -> Vec<Value> {
    s.sewing
        .openings
        .iter()
        .map(|o| {
            let piece = &design.pieces[o.piece];
            let edge = o.kind.word();
            let names: Vec<&str> = o.stretches.iter().map(|i| piece.stretches[*i].name.as_str()).collect();
            json!({ "piece": piece.name, "edge": edge, "stretches": names, "mm": round(o.length.0, 1) })
        })
        .collect()
}

fn round(value: f64, digits: i32) -> f64 {
    let scale = 10_f64.powi(digits);
    (value * scale).round() / scale
}
