//! Stages as plain text.

use std::fmt::Write;

use latchwork_machine::needle::Side;
use latchwork_machine::rehearsal::{Ended, fates};
use latchwork_machine::steps::{Action, Setting};

use crate::check::{SizeProof, given};
use crate::design::{At, Change, Design, Edge, EdgeKind, Length, Shaping, When, Wish, Wished};
use crate::draft::Target;
use crate::picture::in_text;
use crate::units::{Language, Show, counter, dial};
use crate::wording::{measure, piece};
use crate::words::say;

/// A stage between document and loops.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The design as read.
    Design,
    /// Millimetres.
    Draft,
    /// Needles and rows.
    Stitches,
    /// Steps.
    Plan,
    /// The rehearsal.
    Run,
}

/// A stage of one size as text; the design itself is common to all sizes.
#[must_use]
pub fn show(design: &Design, proof: Option<&SizeProof>, stage: Stage) -> String {
    match (stage, proof) {
        (Stage::Design, _) => show_design(design),
        (Stage::Draft, Some(p)) => draft(design, p),
        (Stage::Stitches, Some(p)) => stitches(design, p),
        (Stage::Plan, Some(p)) => plan(p, design),
        (Stage::Run, Some(p)) => run(p),
        (_, None) => String::new(),
    }
}

fn wished(w: &Wished) -> String {
    match &w.wish {
        Wish::Needles(n) => format!("{n} needles"),
        Wish::Width(w) => format!("{} wide", Show::METRIC.length(*w)),
        Wish::Share { measure, percent, plus } => {
            let plus = if plus.0 == 0.0 { String::new() } else { format!(" {:+.1} cm", plus.0 / 10.0) };
            format!("{percent}% of {measure}{plus} wide")
        }
        Wish::Around { measure, ease, shared, .. } => {
            let ease = match ease {
                crate::design::Ease::Percent(p) => format!("{p:+}%"),
                crate::design::Ease::Of(e) => format!("{:+.1} cm", e.0 / 10.0),
            };
            let shared = if *shared > 1 { format!(", shared by {shared}") } else { String::new() };
            format!("around {measure} {ease}{shared}")
        }
    }
}

fn show_design(d: &Design) -> String {
    let mut t = String::new();
    let _ = writeln!(t, "{}, version {}", d.title, d.version);
    let _ = writeln!(
        t,
        "machine {}: {} + {} needles",
        d.machine.class.name, d.machine.profile.main_needles, d.machine.profile.ribber_needles
    );
    for y in &d.yarns {
        let _ = writeln!(t, "yarn {}: {:.1} tex", y.name, y.tex.0);
    }
    for c in &d.choices {
        let among = if c.among.is_empty() { String::new() } else { format!(", of {}", c.among.join(", ")) };
        let _ = writeln!(t, "choice {}: {}{among}", c.name, c.chosen);
    }
    for s in &d.sizes {
        let measures: Vec<String> =
            s.measures.iter().map(|(n, v)| format!("{n} {}", Show::METRIC.length(*v))).collect();
        let _ = writeln!(t, "size {}: {}", s.name, measures.join(", "));
    }
    for p in &d.pieces {
        let _ = writeln!(
            t,
            "piece {}: {:?}, {:?}, then {:?}, seam allowance {}",
            p.name, p.make, p.cast_on, p.ending, p.allowance
        );
        for s in &p.stretches {
            let length = match &s.length {
                Length::Rows(n) => format!("{n} rows"),
                Length::Of(l) => Show::METRIC.length(*l),
                Length::Share { measure, percent, plus } => {
                    format!("{percent}% of {measure} + {}", Show::METRIC.length(*plus))
                }
                Length::AsShaped => "as shaped".to_string(),
            };
            let _ = write!(t, "  {}: {}, {length}", s.name, s.fabric_names().join(", "));
            if let Some(w) = &s.wished {
                let _ = write!(t, ", {}", wished(w));
            }
            if let Some(sh) = &s.shaping {
                let _ = match sh.at {
                    At::Across => write!(t, ", crown of {} wedges {}", sh.stitches, shaped(sh)),
                    At::Both | At::Only(_) => write!(t, ", {:?} {} {}", sh.change, sh.stitches, shaped(sh)),
                };
            }
            if let Some(neck) = &s.neck {
                let _ = write!(
                    t,
                    ", neck by {} {}, middle {:?}",
                    neck.shaping.stitches,
                    shaped(&neck.shaping),
                    neck.middle
                );
            }
            if let Some(slit) = &s.slit {
                let _ = write!(t, ", slit {:?} from the {}", slit.within, slit.side);
            }
            if let Some(short) = &s.short {
                let _ = write!(t, ", short rows {:?} {} times", short.turn, short.repeat);
            }
            let g = &s.gauge;
            let _ = writeln!(
                t,
                "; {:.3} mm a needle, {:.3} mm a pass, sizes {} and {}",
                g.needle.value,
                g.pass.value,
                dial(g.dial.0),
                dial(g.dial.1)
            );
        }
    }
    for s in &d.seams {
        let edge = |e: &Edge| format!("{} {}", d.pieces[e.piece].name, e.kind.word());
        let [a, b] = [0, 1].map(|k: usize| s.sides[k].iter().map(edge).collect::<Vec<_>>().join(" and "));
        let _ = writeln!(t, "seam {}: {a} to {b}", s.name);
    }
    t
}

fn shaped(sh: &Shaping) -> String {
    match &sh.when {
        When::Every { rows, times } => format!("every {rows} rows {times} times"),
        When::Listed(steps) => {
            let on = if sh.change == Change::Decrease { "off" } else { "on" };
            let each = steps.0.iter().map(|s| match s.group {
                Some(n) => format!("{n} cast {on} after {} rows, {} times", s.every, s.times),
                None => format!("every {} rows, {} times", s.every, s.times),
            });
            each.collect::<Vec<_>>().join(", then ")
        }
        When::To { wished: w, .. } => format!("to {}", wished(w)),
    }
}

fn draft(d: &Design, p: &SizeProof) -> String {
    let mut t = format!("size {}\n", d.sizes[p.size].name);
    for (piece, drafted) in d.pieces.iter().zip(&p.draft.pieces) {
        let _ = writeln!(t, "piece {}", piece.name);
        for (s, x) in piece.stretches.iter().zip(&drafted.stretches) {
            let say = |t: &Option<Target>| {
                t.as_ref().map_or("as it comes".to_string(), |w| match (w.needles, w.flat) {
                    (Some(n), _) => format!("{n} needles"),
                    (_, Some(f)) => format!("{:.1} mm wide", f.0),
                    _ => String::new(),
                })
            };
            let end = if x.end.is_some() { format!(" to {}", say(&x.end)) } else { String::new() };
            let width = format!("{}{end}", say(&x.width));
            let length = x.length.map_or("rows given".to_string(), |l| format!("{:.1} mm long", l.0));
            let _ = writeln!(t, "  {}: {width}, {length}", s.name);
        }
    }
    t
}

fn stitches(d: &Design, p: &SizeProof) -> String {
    let mut t = format!("size {}\n", d.sizes[p.size].name);
    for (piece, w) in d.pieces.iter().zip(&p.stitches.pieces) {
        let _ = writeln!(t, "piece {}: {} places from {}", piece.name, w.places, w.left);
        for (s, x) in piece.stretches.iter().zip(&w.stretches) {
            let _ = write!(t, "  {}: {} needles", s.name, x.needles);
            if x.needles_end != x.needles {
                let _ = write!(
                    t,
                    " to {}, after rows {:?}",
                    x.needles_end,
                    x.shapings.iter().map(|s| s.row).collect::<Vec<_>>()
                );
            }
            let _ = write!(t, ", {} rows", x.rows);
            if x.clearing {
                t.push_str(" and a clearing row");
            }
            if let Some(parts) = &x.parts {
                let rows = |side| parts.of(side).iter().map(|s| (s.row, s.stitches)).collect::<Vec<_>>();
                let _ = write!(t, ", a neck of {}, {} of them cast off first", parts.neck, parts.middle);
                let _ = write!(t, "; left {:?}, right {:?}", rows(Side::Left), rows(Side::Right));
            }
            if let Some(left) = x.slit {
                let _ = write!(t, ", a slit after {left}");
            }
            if !x.short.is_empty() {
                let edge = |kind| x.edge_rows(kind);
                let _ = write!(t, ", of them {} left and {} right", edge(EdgeKind::Left), edge(EdgeKind::Right));
            }
            let _ = write!(t, "; {:.1} mm wide", x.width.0.0);
            let _ = write!(t, ", {:.1} mm long", x.length.0);
            t.push('\n');
        }
    }
    for m in &p.fit {
        let ease =
            m.ease().zip(m.ease_percent()).map_or(String::new(), |(e, p)| format!(", ease {:+.1} mm, {p:+.1}%", e.0));
        let _ = writeln!(
            t,
            "  {} round: {:.1} mm for a target of {:.1}{ease}",
            measure(m, d, Language::English),
            m.achieved.0,
            m.wished.0
        );
    }
    t
}

fn plan(p: &SizeProof, d: &Design) -> String {
    let mut t = format!("size {}\n", d.sizes[p.size].name);
    for plan in &p.plans.pieces {
        let _ = writeln!(t, "\npiece {}", piece(&plan.name, Language::English));
        if let Some(needles) = in_text(&plan.plan, Language::English) {
            let _ = writeln!(t, "{needles}\n");
        }
        for line in say(&plan.plan, &given(plan, Show { language: Language::English, ..d.show })) {
            let reading = line.counter.map_or("   ".to_string(), counter);
            let _ = writeln!(
                t,
                "{:>4}-{:<4} {reading} {:<5} {}",
                line.steps.start + 1,
                line.steps.end,
                line.side.to_string(),
                line.text()
            );
            for s in &line.shapings {
                let _ =
                    writeln!(t, "{:>17} {} {:<5} {} stitches", "", counter(s.counter), s.side.to_string(), s.stitches);
            }
        }
    }
    t
}

fn short(s: Setting) -> &'static str {
    match s {
        Setting::Knit => "knit",
        Setting::Tuck => "tuck",
        Setting::Slip => "slip",
    }
}

fn run(p: &SizeProof) -> String {
    let mut t = String::new();
    for (plan, proof) in p.plans.pieces.iter().zip(&p.pieces) {
        let run = &proof.run;
        let [knitted, secured, released, live] = fates(&run.loops);
        let ended = match run.ended {
            Ended::Finished => "finished".to_string(),
            Ended::Stopped { step } => format!("stopped at step {}", step + 1),
        };
        let _ = writeln!(
            t,
            "piece {}: {} loops, {knitted} knitted through, {secured} secured, {released} released, {live} live; {ended}",
            piece(&plan.name, Language::English),
            run.loops.len()
        );
        for (i, step) in plan.plan.steps.iter().enumerate() {
            let (Action::Pass(pass), Some(r)) = (&step.action, run.readings.get(i)) else { continue };
            let _ = writeln!(
                t,
                "  step {:>4} {} {:<5} {}/{} made {:>3}, stitches {} + {}",
                i + 1,
                counter(r.counter),
                pass.direction.to_string(),
                short(pass.main.setting),
                short(pass.ribber.setting),
                run.made_in(i).len(),
                r.stitches.0,
                r.stitches.1
            );
        }
        for f in &run.findings {
            let _ = writeln!(
                t,
                "  finding at step {}: {} ({:?}), {} times",
                f.step + 1,
                f.fault.rule().0,
                f.fault.level(),
                f.times
            );
        }
    }
    t
}
