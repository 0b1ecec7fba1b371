//! Notes restated as a design to be graded: rows and needles become lengths and widths by the swatches.

use std::fmt::Write;

use super::{Noted, read};
use crate::design::{CastOn, Change, Ending, Shaping, When};
use crate::fact::PartName;
use crate::measure::Basis;
use crate::notice::Notices;
use crate::plan::PartKind;
use crate::text::{self, quoted};

/// Lines of notes that a design has no words for yet: hand operations and rows by their settings.
#[must_use]
pub fn not_carried(source: &str, noted: &Noted) -> Vec<String> {
    let told = [PartName::Counter, PartName::Weights, PartName::Yarn, PartName::Ribber];
    let parts = noted.plans.pieces.iter().flat_map(|p| &p.origins);
    let left = parts.filter(|p| {
        let moved =
            noted.plans.pieces.iter().flat_map(|p| &p.origins).any(|o| o.fabric().is_some() && o.span == p.span);
        matches!(p.kind, PartKind::Between { .. }) && !told.contains(&p.name) && !moved
    });
    left.filter_map(|p| source.get(p.span.start..p.span.start + p.span.len)).map(str::to_string).collect()
}

/// The design document that notes amount to: their head as it stands, and a piece for each of them.
#[must_use]
pub fn restated(source: &str, noted: &Noted) -> String {
    let first = read::bodies(source).next().map_or(source.len(), |b| b.0);
    let head = source.get(..first).unwrap_or_default().trim_end();
    let mut t = String::new();
    let tree = text::read(head, &mut Notices::default());
    let has = |word: &str| tree.nodes.iter().any(|n| n.name == word);
    if !has("title") {
        let _ = writeln!(t, "title {}", quoted(&noted.design.title));
    }
    if !has("machine") {
        let _ = writeln!(t, "machine {}", quoted(noted.design.machine.class.name));
    }
    let _ = writeln!(t, "{head}\n");
    if has("sizes") {
        t.push_str(
            "// Begun from pass notes. Put around \"measure\" (percent)ease in place of a width, to grade it.\n\n",
        );
    } else {
        let _ = writeln!(
            t,
            "// Begun from pass notes. Give each size its measures, and put around \"measure\" (percent)ease in place of a width.\n\
         sizes {{\n    size \"as noted\" {{ }}\n}}\n"
        );
    }
    for line in not_carried(source, noted) {
        let _ = writeln!(t, "// Not carried over from the notes: {line}");
    }
    let mut pieces: Vec<String> = Vec::new();
    for (piece, worked) in noted.design.pieces.iter().zip(&noted.stitches.pieces) {
        if worked.stretches.iter().all(|w| w.rows == 0) {
            let _ = writeln!(
                t,
                "// Nothing of {} was carried over: its rows are told by their settings.",
                quoted(&piece.name)
            );
            continue;
        }
        let _ = writeln!(t, "piece {} {{", quoted(&own_name(&mut pieces, &piece.name)));
        if noted.design.yarns.len() > 1 {
            let _ = writeln!(t, "    yarn {}", quoted(&noted.design.yarns[piece.yarn].name));
        }
        let _ = writeln!(t, "    carriage {}", quoted(&piece.carriage.to_string()));
        let _ = match piece.cast_on {
            CastOn::Closed(n) => writeln!(t, "    cast-on \"closed\" tubular={n}"),
            CastOn::EWrap => writeln!(t, "    cast-on \"e-wrap\""),
            CastOn::Waste => writeln!(t, "    cast-on \"waste yarn\""),
        };
        let mut names: Vec<String> = Vec::new();
        for (s, w) in piece.stretches.iter().zip(&worked.stretches) {
            let name = quoted(&own_name(&mut names, &s.name));
            let _ = writeln!(t, "    stretch {name} {{\n        fabric {}", quoted(&s.fabric.name));
            let known = s.gauge.needle.basis != Basis::Unknown;
            let shaped = matches!(&s.shaping, Some(Shaping { when: When::Every { .. }, .. }));
            if !shaped {
                let _ = match known {
                    true => writeln!(t, "        length (cm){:.1} // {} rows", w.length.0 / 10.0, w.rows),
                    false => writeln!(t, "        rows {}", w.rows),
                };
            }
            let _ = match known {
                true => writeln!(t, "        width (cm){:.1} // {} needles", w.width.0.0 / 10.0, w.needles),
                false => writeln!(t, "        needles {}", w.needles),
            };
            if let Some(Shaping { change, stitches, at, when: When::Every { rows, times }, .. }) = &s.shaping {
                let word = if *change == Change::Decrease { "decrease" } else { "increase" };
                let at = match at {
                    crate::design::At::Both => String::new(),
                    crate::design::At::Only(side) => format!(" {{ at {}; }}", quoted(&side.to_string())),
                };
                let _ = writeln!(t, "        {word} {stitches} every={rows} times={times}{at}");
            }
            let dial = |d: u8| match d % 3 {
                0 => (d / 3).to_string(),
                n => quoted(&format!("{} {n}/3", d / 3)),
            };
            let _ = writeln!(t, "        stitch-size {} {}\n    }}", dial(s.gauge.dial.0), dial(s.gauge.dial.1));
        }
        let ending = match piece.ending {
            Ending::LoopThroughLoop => "loop through loop",
            Ending::Chain => "chain",
            Ending::Gather => "gather",
            Ending::Waste => "waste yarn",
            Ending::Point => "point",
        };
        let _ = writeln!(t, "    ending {}\n}}\n", quoted(ending));
    }
    t
}

/// A name that none of those taken is, as long as a design allows.
fn own_name(taken: &mut Vec<String>, name: &str) -> String {
    let words = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let short = |most: usize| words.chars().take(most).collect::<String>().trim_end().to_string();
    let mut own = short(60);
    let mut n = 2;
    while taken.contains(&own) {
        own = format!("{} {n}", short(50));
        n += 1;
    }
    taken.push(own.clone());
    own
}
