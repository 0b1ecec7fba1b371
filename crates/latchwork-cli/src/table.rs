//! The table of sizes.

use crate::report::{called, language};
use latchwork::check::SizeProof;
use latchwork::design::Design;
use latchwork::notes::ONE_SIZE;
use latchwork::notice::Level;
use latchwork::plan::PartKind;
use latchwork::units::Grams;
use latchwork::wording;
use latchwork_machine::steps::{Action, Step};

/// Prints one line for each size.
/// Without swatches there are no lengths and no yarn to show.
pub(crate) fn sizes(design: &Design, proofs: &[SizeProof], swatched: bool) -> String {
    let mut rows = vec![head(design, proofs.first())];
    rows.extend(proofs.iter().map(|p| row(design, p, swatched)));
    aligned(&rows)
}

fn in_hand(design: &Design) -> bool {
    design.yarns.iter().any(|y| y.in_hand.is_some())
}

fn head(design: &Design, first: Option<&SizeProof>) -> Vec<String> {
    let show = design.show;
    let mut head = vec!["size".to_string()];
    for p in &design.pieces {
        head.push(format!("{}: needles", p.name));
        head.push(format!("{}: rows", p.name));
    }
    for m in first.into_iter().flat_map(|p| &p.fit) {
        head.push(format!("{} {}", wording::measure(m, design, language()), show.unit()));
        if m.body.is_some() {
            head.push("ease".to_string());
        }
    }
    for p in &design.pieces {
        head.push(format!("{} long", p.name));
    }
    let plans = first.map_or(&[][..], |p| &p.plans.pieces);
    if plans.len() > 1 {
        head.extend(
            plans
                .iter()
                .map(|p| format!("{} {}{}", called(p), show.weight_unit(), if p.make > 1 { " each" } else { "" })),
        );
    }
    head.extend([format!("yarn {}", show.weight_unit()), format!("yarn {}", show.yarn_unit()), "balls".to_string()]);
    if in_hand(design) {
        head.push(format!("in hand {}", show.weight_unit()));
    }
    head.extend(["time", "findings"].map(String::from));
    head
}

fn row(design: &Design, p: &SizeProof, swatched: bool) -> Vec<String> {
    let show = design.show;
    let mut row = vec![design.sizes[p.size].name.clone()];
    // Notes may knit rows that belong to no stretch: all that follow the cast-on are counted.
    let noted = design.sizes.first().is_some_and(|s| s.name == ONE_SIZE);
    for (w, plan) in p.stitches.pieces.iter().zip(&p.plans.pieces) {
        row.push(w.stretches.first().map_or(0, |s| s.needles).to_string());
        let part = |s: &Step| plan.origins.get(s.origin.0 as usize).map(|p| p.kind.clone());
        let outside = |s: &&Step| matches!(part(s), Some(PartKind::CastOn | PartKind::Ending));
        let rows =
            plan.plan.steps.iter().filter(|s| matches!(&s.action, Action::Pass(p) if p.counted) && !outside(s)).count();
        row.push(if noted { rows.to_string() } else { w.rows().to_string() });
    }
    for m in &p.fit {
        row.push(show.number(m.achieved));
        if m.body.is_none() {
            continue;
        }
        row.push(match (m.ease(), m.ease_percent()) {
            // A stretch far narrower than its measure is a share of it, not ease.
            (Some(e), Some(p)) if p > -50.0 => format!("{} {p:+.0}%", show.ease(e)),
            _ => "–".to_string(),
        });
    }
    for w in &p.stitches.pieces {
        row.push(match w.length().filter(|_| swatched) {
            Some(length) => show.number(length),
            None if swatched => "not known".to_string(),
            None => "–".to_string(),
        });
    }
    row.extend(yarn_taken(design, p, swatched));
    row.push(format!("{} h {} min", p.seconds / 3600, p.seconds / 60 % 60));
    let count = |l: Level| p.notices.0.iter().filter(|n| n.level == l).count();
    row.push(match (count(Level::Error), count(Level::Warning)) {
        (0, 0) => "none".to_string(),
        (0, w) => many(w, "warning"),
        (e, 0) => many(e, "error"),
        (e, w) => format!("{}, {}", many(e, "error"), many(w, "warning")),
    });
    row
}

/// Weight, length and balls of each yarn, what each piece takes of it, and what is in hand.
fn yarn_taken(design: &Design, p: &SizeProof, swatched: bool) -> Vec<String> {
    let show = design.show;
    let mut row = Vec::new();
    let mut grams = Vec::new();
    let mut metres = Vec::new();
    let mut balls = Vec::new();
    for (i, y) in design.yarns.iter().enumerate() {
        if !swatched {
            grams.push("–".to_string());
            metres.push("–".to_string());
            balls.push("–".to_string());
            continue;
        }
        let (g, range) = p.grams(design, i);
        grams.push(format!("{} ± {}", show.weight(g), show.weight(Grams(range.0.max(1.0)))));
        metres.push(show.yarn(p.yarn[i].metres));
        balls.push(y.ball.map_or("–".to_string(), |b| format!("{:.0}", ((g.0 + range.0) / b.0).ceil())));
    }
    if p.pieces.len() > 1 {
        row.extend(p.plans.pieces.iter().zip(&p.pieces).map(|(plan, proof)| {
            let tex = design.yarns[design.pieces[plan.piece].yarn].tex;
            show.weight(Grams(proof.yarn.grams(tex).0.max(1.0)))
        }));
    }
    row.extend([grams.join(", "), metres.join(", "), balls.join(", ")]);
    if in_hand(design) {
        let have = design.yarns.iter().map(|y| y.in_hand.map_or("–".to_string(), |g| show.weight(g)));
        row.push(have.collect::<Vec<_>>().join(", "));
    }
    row
}

fn many(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// Widest that a table is on paper, and on a screen that has room for more.
const WIDEST: usize = 108;

/// How many letters a line of the terminal has; none where the output goes elsewhere.
fn screen() -> Option<usize> {
    terminal_size::terminal_size_of(std::io::stdout()).map(|(w, _)| usize::from(w.0))
}

/// Columns padded to their widest entry, figures to the right. A row that would pass the width of a screen is
/// turned: one line for each heading; on a narrow screen, one line for each figure.
pub(crate) fn aligned(rows: &[Vec<String>]) -> String {
    let screen = screen();
    if whole(rows) <= screen.unwrap_or(WIDEST).min(WIDEST) {
        return padded(rows);
    }
    let columns = rows.first().map_or(0, Vec::len);
    let turned: Vec<Vec<String>> =
        (0..columns).map(|c| rows.iter().map(|r| r.get(c).cloned().unwrap_or_default()).collect()).collect();
    match screen.filter(|w| whole(&turned) > *w) {
        Some(w) => listed(rows, w),
        None => padded(&turned),
    }
}

/// Columns padded to their widest entry, figures to the right, as wide as the terminal lets them be.
pub(crate) fn in_columns(rows: &[Vec<String>]) -> String {
    match screen().filter(|w| whole(rows) > *w) {
        Some(w) => listed(rows, w),
        None => padded(rows),
    }
}

fn padded(rows: &[Vec<String>]) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let widths: Vec<usize> = (0..columns).map(|c| width(rows, c)).collect();
    let mut text = String::new();
    for r in rows {
        let cells = r.iter().zip(&widths).enumerate().map(|(c, (v, w))| {
            let gap = " ".repeat(w - v.chars().count());
            if c == 0 { format!("{v}{gap}") } else { format!("{gap}{v}") }
        });
        text.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        text.push('\n');
    }
    text
}

/// A line for each entry with its heading; those of a row stand under its first.
fn listed(rows: &[Vec<String>], most: usize) -> String {
    let Some((head, rows)) = rows.split_first() else { return String::new() };
    let mut text = String::new();
    for r in rows {
        for (c, (name, value)) in head.iter().zip(r).enumerate() {
            text.push_str(&wrapped(&format!("{name} {value}"), most, if c == 0 { 0 } else { 2 }));
        }
    }
    text
}

/// A line broken between words, and within one that is longer than a line; lines after the first are indented.
fn wrapped(line: &str, most: usize, indent: usize) -> String {
    let mut text = " ".repeat(indent);
    let mut at = indent;
    for word in line.split_whitespace() {
        let long = word.chars().count();
        if at > indent && at + 1 + long > most {
            text.push('\n');
            text.push_str(&" ".repeat(indent + 2));
            at = indent + 2;
        } else if at > indent {
            text.push(' ');
            at += 1;
        }
        for c in word.chars() {
            if at >= most.max(indent + 3) {
                text.push('\n');
                text.push_str(&" ".repeat(indent + 2));
                at = indent + 2;
            }
            text.push(c);
            at += 1;
        }
    }
    text + "\n"
}

/// How wide a table is.
fn whole(rows: &[Vec<String>]) -> usize {
    let columns = rows.first().map_or(0, Vec::len);
    (0..columns).map(|c| width(rows, c) + 2).sum::<usize>().saturating_sub(2)
}

fn width(rows: &[Vec<String>], c: usize) -> usize {
    rows.iter().filter_map(|r| r.get(c)).map(|v| v.chars().count()).max().unwrap_or(0)
}
