//! What is built in.

use latchwork::fabric::FABRICS;
use latchwork::measure::{BUILT_IN, CONVENTIONS, TABLES};

use crate::Done;
use crate::report::say;
use crate::table::aligned;

pub(crate) fn fabrics() -> Done {
    for f in &FABRICS {
        let also = if f.also.is_empty() { String::new() } else { format!(" (also: {})", f.also.join(", ")) };
        say(&format!("{}{also}", f.name));
        say(&format!("    {}", f.layout.words()));
        let repeat = f.repeat.len();
        let open = if f.always_open { "; no shaping, every pass leaves open tucks" } else { "" };
        say(&format!("    repeat of {repeat} {}{open}", if repeat == 1 { "pass" } else { "passes" }));
        let habit = match f.habit_thirds {
            0 => "as plain".to_string(),
            t => format!("about {} numbers tighter than plain", latchwork::units::dial(t.unsigned_abs())),
        };
        say(&format!("    stitch size {habit}: a habit, not a rule; your swatch decides"));
        say(&format!("    {}", f.cloth));
    }
    say("\nNames clash between teachers: the needles and passes say what is meant.");
    Done::Fine
}

pub(crate) fn machines() -> Done {
    let mut rows = vec![
        ["machine", "pitch mm", "needles a bed", "yarn about", "grams a loop", "hung", "on one bed"]
            .map(String::from)
            .to_vec(),
    ];
    for m in &BUILT_IN {
        rows.push(vec![
            m.name.to_string(),
            format!("{}", m.pitch),
            m.needles.to_string(),
            format!("{} tex", m.tex),
            format!("{} to {}", m.grams.0, m.grams.1),
            m.aim.to_string(),
            m.aim_one_bed.to_string(),
        ]);
    }
    say(aligned(&rows).trim_end());
    say("\nNeedle counts and grams are common practice; change them in the design's machine.");
    Done::Fine
}

pub(crate) fn sizes() -> Done {
    for t in &TABLES {
        say(&format!("table \"{}\": {}", t.name, t.source));
        let mut rows =
            vec![std::iter::once("size").chain(t.measures.iter().copied()).map(String::from).collect::<Vec<_>>()];
        for (name, values) in t.rows {
            rows.push(
                std::iter::once((*name).to_string())
                    .chain(values.iter().map(|v| format!("{:.1} cm", v / 10.0)))
                    .collect(),
            );
        }
        say(&aligned(&rows));
    }
    say("usual ease by part, for around \"…\" as=\"…\"");
    for c in &CONVENTIONS {
        let ease = c.percent.map_or_else(|| format!("{:+.1} cm", c.millimetres / 10.0), |p| format!("{p:+.1}%"));
        say(&format!("  {:<14} {ease:>9}   told: {}; {}", c.part, c.range, c.source));
    }
    Done::Fine
}

pub(crate) fn rules() -> Done {
    let mut text = String::new();
    for r in latchwork::check::rules() {
        let level = if r.level == latchwork::notice::Level::Error { "error" } else { "warning" };
        text.push_str(&format!("{} ({level})\n  {}\n", r.id, r.says));
        if !r.remedy.is_empty() {
            text.push_str(&format!("  {}\n", r.remedy));
        }
        text.push_str(&format!("  Limit: {}.\n\n", r.source));
    }
    say(text.trim_end());
    Done::Fine
}
