//! `plan.json` and `rehearsal.json`; their shapes are described in docs/plan.md.

use std::fmt::Write;

use latchwork_machine::fault::Level;
use latchwork_machine::loops::{Fate, Kind};
use latchwork_machine::needle::{Bed, Needle, Pitch, Side};
use latchwork_machine::rehearsal::{Ended, Run, fates};
use latchwork_machine::steps::{Action, BedSetting, Leaves, Load, Mark, Move, Pass, Plan, Step, Way, Yarn};
use serde_json::{Value, json};

use crate::check::{PieceProof, SizeProof, explain};
use crate::design::Design;
use crate::plan::PiecePlan;
use crate::vocabulary::{BEDS, PITCHES, SETTINGS, SIDES, word_of};
use crate::wording::{self, Language, part};

/// The version of both formats.
const VERSION: u32 = 1;

/// The plan of every given size as JSON text.
#[must_use]
pub fn plan(design: &Design, sizes: &[SizeProof]) -> String {
    let profile = &design.machine.profile;
    let head = json!({
        "format": "latchwork-plan",
        "version": VERSION,
        "title": design.title,
        "machine": {
            "class": design.machine.class.name,
            "pitch_mm": design.machine.pitch.0,
            "main_needles": profile.main_needles,
            "ribber_needles": profile.ribber_needles,
            "most_tucks": profile.tucks.value,
            "longest_float": profile.float.value,
            "least_grams": profile.least_grams.value,
            "most_grams": profile.most_grams.value,
        },
    });
    let mut out = open(&head);
    out.push_str(",\n\"sizes\": [");
    for (i, s) in sizes.iter().enumerate() {
        let name = &design.sizes[s.size].name;
        let _ = write!(out, "{}\n{{\"size\": {}, \"pieces\": [", comma(i), json!(name));
        for (k, p) in s.plans.pieces.iter().enumerate() {
            let parts: Vec<Value> = p
                .origins
                .iter()
                .map(|o| json!({ "label": part(&o.name, Language::English), "fabric": o.fabric() }))
                .collect();
            let head = json!({ "piece": wording::piece(&p.name, Language::English), "make": p.make, "yarns": p.yarns, "parts": parts });
            let _ = write!(out, "{}\n{},\n\"steps\": [", comma(k), open(&head));
            for (n, step) in p.plan.steps.iter().enumerate() {
                let _ = write!(out, "{}\n{}", comma(n), step_json(n, step, p));
            }
            out.push_str("\n]}");
        }
        out.push_str("\n]}");
    }
    out.push_str("\n]}\n");
    out
}

/// An object without its closing brace.
fn open(value: &Value) -> String {
    let mut text = value.to_string();
    text.pop();
    text
}

fn comma(i: usize) -> &'static str {
    if i == 0 { "" } else { "," }
}

fn bed(b: Bed) -> &'static str {
    word_of(&BEDS, b)
}

fn side(s: Side) -> &'static str {
    word_of(&SIDES, s)
}

fn pitch(p: Pitch) -> &'static str {
    word_of(&PITCHES, p)
}

fn needle(n: Needle) -> Value {
    json!([bed(n.bed), n.slot.0])
}

fn needles(list: &[Needle]) -> Value {
    list.iter().map(|n| needle(*n)).collect()
}

fn leaves(l: Leaves) -> &'static str {
    match l {
        Leaves::Out => "out",
        Leaves::Eyelet => "eyelet",
        Leaves::Refill => "refill",
    }
}

fn load(l: Load) -> &'static str {
    match l {
        Load::Comb => "comb",
        Load::Weights => "weights",
    }
}

fn way(w: Way) -> &'static str {
    match w {
        Way::LoopThroughLoop => "loop-through-loop",
        Way::Chain => "chain",
        Way::Sewn => "sewn",
        Way::Gathered => "gathered",
        Way::Waste => "waste",
    }
}

fn setting(b: BedSetting) -> Value {
    json!({ "setting": word_of(&SETTINGS, b.setting), "hold": b.hold, "thirds": b.dial.0 })
}

fn yarn(y: Option<Yarn>) -> Value {
    y.map_or(Value::Null, |y| json!(y.0))
}

fn one_move(m: &Move) -> Value {
    json!({ "from": needle(m.from), "to": needle(m.to), "leaves": leaves(m.leaves) })
}

fn pass(p: &Pass) -> Value {
    let mark = match p.mark {
        Mark::Plain => Value::Null,
        Mark::OpenStart => json!("open-start"),
        Mark::Release => json!("release"),
    };
    json!({
        "do": "pass", "direction": side(p.direction), "main": setting(p.main), "ribber": setting(p.ribber),
        "yarn": yarn(p.yarn), "second_yarn": yarn(p.second), "laid_yarn": yarn(p.laid), "counted": p.counted, "mark": mark,
    })
}

fn step_json(n: usize, step: &Step, p: &PiecePlan) -> String {
    let mut value = match &step.action {
        Action::Start { carriage, pitch: pt, racking } => {
            json!({ "do": "start", "carriage": side(*carriage), "pitch": pitch(*pt), "racking": racking.0 })
        }
        Action::Pass(p) => pass(p),
        Action::IntoWork(n) => json!({ "do": "into-work", "needles": needles(n) }),
        Action::OutOfWork(n) => json!({ "do": "out-of-work", "needles": needles(n) }),
        Action::Hold(n) => json!({ "do": "hold", "needles": needles(n) }),
        Action::Forward(n) => json!({ "do": "forward", "needles": needles(n) }),
        Action::BackToWorking(n) => json!({ "do": "back-to-working", "needles": needles(n) }),
        Action::Transfer(m) => {
            json!({ "do": "transfer", "from": needle(m.from), "to": needle(m.to), "leaves": leaves(m.leaves) })
        }
        Action::MoveTogether { moves, carry } => {
            json!({ "do": "move-together", "moves": moves.iter().map(one_move).collect::<Vec<_>>(), "carry": carry })
        }
        Action::Wrap { needles: n, yarn: y, cut_length: false } => {
            json!({ "do": "wrap", "needles": needles(n), "yarn": y.0 })
        }
        Action::Wrap { needles: n, yarn: y, cut_length: true } => {
            json!({ "do": "wrap", "needles": needles(n), "yarn": y.0, "cut_length": true })
        }
        Action::TurnWrap { needle: n, yarn: y } => json!({ "do": "turn-wrap", "needle": needle(*n), "yarn": y.0 }),
        Action::TakeOff { needles: n, holder } => {
            json!({ "do": "take-off", "needles": needles(n), "holder": holder.0 })
        }
        Action::PutBack { holder, needles: n } => {
            json!({ "do": "put-back", "holder": holder.0, "needles": needles(n) })
        }
        Action::PickUp { loop_number, needle: n } => {
            json!({ "do": "pick-up", "loop": loop_number, "needle": needle(*n) })
        }
        Action::Rack(r) => json!({ "do": "rack", "racking": r.0 }),
        Action::Pitch(p) => json!({ "do": "pitch", "pitch": pitch(*p) }),
        Action::Join { yarn: y, side: s } => json!({ "do": "yarn-join", "yarn": y.0, "side": side(*s) }),
        Action::Cut(y) => json!({ "do": "yarn-cut", "yarn": y.0 }),
        Action::Hang { load: l, grams } => json!({ "do": "hang", "what": load(*l), "grams": grams }),
        Action::MoveUp(l) => json!({ "do": "move-up", "what": load(*l) }),
        Action::Unhang { load: l, grams } => json!({ "do": "unhang", "what": load(*l), "grams": grams }),
        Action::Counter(r) => json!({ "do": "counter", "reading": r }),
        Action::RibberDown => json!({ "do": "ribber-down" }),
        Action::RibberUp => json!({ "do": "ribber-up" }),
        Action::HangEdge { needles: n, places } => {
            json!({ "do": "hang-edge", "needles": needles(n), "places": places })
        }
        Action::Secure { needles: n, way: w, cut_length, onto } => {
            json!({ "do": "secure", "needles": needles(n), "way": way(*w), "cut_length": yarn(*cut_length), "onto": onto.map(needle) })
        }
        Action::Release(n) => json!({ "do": "release", "needles": needles(n) }),
        Action::Claim(c) => json!({
            "do": "claim",
            "counter": c.counter,
            "main_stitches": c.main,
            "ribber_stitches": c.ribber,
            "stitches": c.total,
            "carriage": c.carriage.map(side),
        }),
    };
    if let Some(o) = value.as_object_mut() {
        o.insert("step".to_string(), json!(n + 1));
        o.insert("part".to_string(), json!(step.origin.0));
        if let Some(t) = p.tails.iter().find(|t| t.step == n) {
            o.insert("tail_mm".to_string(), json!(t.length.0));
        }
    }
    value.to_string()
}

/// The rehearsal of every given size as JSON text.
#[must_use]
pub fn rehearsal(design: &Design, sizes: &[SizeProof]) -> String {
    let head = json!({
        "format": "latchwork-rehearsal",
        "version": VERSION,
        "title": design.title,
        "loop_columns": ["number", "step", "bed", "slot", "kind", "through", "yarn", "fate", "by"],
        "pass_columns": ["step", "direction", "counter_before", "counter_after", "loops", "main_stitches", "ribber_stitches"],
    });
    let mut out = open(&head);
    out.push_str(",\n\"sizes\": [");
    for (i, s) in sizes.iter().enumerate() {
        let name = &design.sizes[s.size].name;
        let _ = write!(out, "{}\n{{\"size\": {}, \"pieces\": [", comma(i), json!(name));
        for (k, (p, proof)) in s.plans.pieces.iter().zip(&s.pieces).enumerate() {
            let _ = writeln!(out, "{}", comma(k));
            piece(&mut out, design, p, proof);
        }
        out.push_str("\n]}");
    }
    out.push_str("\n]}\n");
    out
}

/// Every pass: its step, direction, counter before and after, loops made, and stitches on each bed.
fn passes(out: &mut String, plan: &Plan, run: &Run) {
    out.push_str(",\n\"passes\": [");
    let mut first = true;
    let mut before = 0;
    for (i, step) in plan.steps.iter().enumerate() {
        let Some(r) = run.readings.get(i) else { break };
        if let Action::Pass(pass) = &step.action {
            let made = run.made_in(i).len();
            let gap = if first { "" } else { "," };
            let _ = write!(
                out,
                "{gap}[{},\"{}\",{before},{},{made},{},{}]",
                i + 1,
                side(pass.direction),
                r.counter,
                r.stitches.0,
                r.stitches.1
            );
            first = false;
        }
        before = r.counter;
    }
}

/// Every loop: its number, step, needle, kind, the loops that it was pulled through, its yarn, and what became of it.
fn loops(out: &mut String, plan: &Plan, run: &Run) {
    out.push_str("],\n\"loops\": [");
    let mut first = true;
    for (i, step) in plan.steps.iter().enumerate() {
        let (working, second) = match &step.action {
            Action::Pass(q) => (q.yarn, q.second),
            Action::Wrap { yarn, .. } | Action::TurnWrap { yarn, .. } => (Some(*yarn), None),
            _ => (None, None),
        };
        for number in run.made_in(i) {
            let id = latchwork_machine::loops::LoopId(number);
            let n = run.loops.needle(id);
            let kind = match run.loops.kind(id) {
                Kind::Knit => "knit",
                Kind::Tuck => "tuck",
                Kind::Wrap => "wrap",
                Kind::Hung => "hung",
            };
            let of = if run.loops.second_yarn(id) { second } else { working };
            let (fate, by) = match run.loops.fate(id) {
                Fate::Live => ("live", None),
                Fate::Knitted(by) => ("knitted", Some(by.0)),
                Fate::Secured(w, by) => (way(w), by.map(|b| b.0)),
                Fate::Released => ("released", None),
            };
            let gap = if first { "" } else { "," };
            let _ = write!(out, "{gap}[{number},{},\"{}\",{},\"{kind}\",[", i + 1, bed(n.bed), n.slot.0);
            for (k, t) in run.loops.through(id).iter().enumerate() {
                let _ = write!(out, "{}{t}", comma(k));
            }
            out.push_str("],");
            match of {
                Some(y) => {
                    let _ = write!(out, "{}", y.0);
                }
                None => out.push_str("null"),
            }
            let _ = write!(out, ",\"{fate}\",");
            match by {
                Some(b) => {
                    let _ = write!(out, "{b}]");
                }
                None => out.push_str("null]"),
            }
            first = false;
        }
    }
}

fn piece(out: &mut String, design: &Design, p: &PiecePlan, proof: &PieceProof) {
    let run = &proof.run;
    let tex = design.yarns[design.pieces[p.piece].yarn].tex;
    let tenth = |v: f64| (v * 10.0).round() / 10.0;
    let [knitted, secured, released, live] = fates(&run.loops);
    let findings: Vec<Value> = run
        .findings
        .iter()
        .map(|f| {
            let level = match f.fault.level() {
                Level::Warning => "warning",
                Level::Error => "error",
            };
            let (rule, at) = f.fault.rule();
            let notice = explain(design, p, run, f).told(Language::English);
            json!({
                "step": f.step + 1, "part": f.origin.0, "rule": rule, "level": level, "times": f.times,
                "needle": at.map(needle), "message": notice.message, "remedy": notice.hints,
            })
        })
        .collect();
    let ended = match run.ended {
        Ended::Finished => Value::Null,
        Ended::Stopped { step } => json!(step + 1),
    };
    let head = json!({
        "piece": wording::piece(&p.name, Language::English),
        "stopped_at": ended,
        "loops_made": run.loops.len(),
        "yarn": {
            "metres": tenth(proof.yarn.metres), "grams": tenth(proof.yarn.grams(tex).0),
            "plus_minus_grams": tenth(proof.yarn.grams_range(tex).0), "of_it_tails_metres": tenth(proof.yarn.tails),
        },
        "fates": { "knitted": knitted, "secured": secured, "released": released, "live": live },
        "findings": findings,
    });
    out.push_str(&open(&head));
    passes(out, &p.plan, run);
    let laid = run.laid.iter().map(|(i, on)| json!([i + 1, needles(on)]).to_string()).collect::<Vec<_>>();
    let _ = write!(out, "],\n\"laid\": [{}", laid.join(","));
    loops(out, &p.plan, run);
    out.push_str("]}");
}
