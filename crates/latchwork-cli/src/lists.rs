//! What is built in.

use crate::report::language;
use latchwork::check::source;
use latchwork::fact::Rule;
use latchwork::wording;
use std::path::Path;
use std::sync::Arc;

use latchwork::check::tried;
use latchwork::design::Design;
use latchwork::fabric::{Fabric, built_in, find_in};
use latchwork::measure::{BUILT_IN, CONVENTIONS, Swatch, TABLES};
use latchwork::notice::{Level, nearest};
use latchwork::record::{by_kind, fabric_page};

use crate::Done;
use crate::args::Which;
use crate::make::{What, read, shelf};
use crate::report::{say, tell_line};
use crate::table::aligned;

pub(crate) fn fabrics(name: Option<&str>, design: Option<&Path>) -> Done {
    let (all, yarns) = match known(design) {
        Ok(known) => known,
        Err(done) => return done,
    };
    let Some(name) = name else {
        for (kind, fabrics) in by_kind(all.iter().map(AsRef::as_ref)) {
            say(kind);
            for f in fabrics {
                let also = if f.also.is_empty() { String::new() } else { format!(", also {}", f.also.join(", ")) };
                say(&format!("  {}{also}", f.name));
                say(&format!("      {}. {}", wording::stands(f.layout.stands(), language()), f.cloth));
            }
        }
        say("\nlatchwork fabrics NAME shows one: its needles, each row, what it needs of the machine, and both faces.");
        say("Names differ between teachers. The needles and rows show what is meant.");
        return Done::Fine;
    };
    let Some(fabric) = find_in(&all, name) else {
        let near = nearest(name, all.iter().map(|f| f.name.as_str()));
        let near = near.map_or(String::new(), |n| format!(" Did you mean \"{n}\"?"));
        return Done::Usage(format!("There is no fabric {name}.{near} `latchwork fabrics` lists them."));
    };
    let found = tried(fabric);
    let swatched: Vec<String> = yarns.into_iter().filter(|y| y.0 == fabric.name).map(|y| y.1).collect();
    say(fabric_page(fabric, &found.asks, &swatched).trim_end());
    for n in &found.notices {
        let said = n.told(language());
        tell_line(&format!("{} {}", said.message, said.hints.join(" ")));
    }
    if found.notices.iter().any(|n| n.level == Level::Error) { Done::Refused } else { Done::Fine }
}

/// Every fabric that can be named here, and which are swatched in which yarn.
type Known = (Vec<Arc<Fabric>>, Vec<(String, String)>);

/// The fabrics of the program, of the folder `fabrics` and of a design, and what is swatched of them.
fn known(design: Option<&Path>) -> Result<Known, Done> {
    let of = |d: &Design| -> Vec<(String, String)> {
        let yarn = |s: &Swatch| d.yarns.get(s.yarn).map_or_else(String::new, |y| y.name.clone());
        d.swatches.iter().map(|s| (s.fabric.name.clone(), yarn(s))).collect()
    };
    let (fabrics, mut swatched): Known = match design {
        Some(path) => {
            let read = read(&Which { design: Some(path.to_path_buf()), size: Vec::new() })?;
            let design = match &read.what {
                What::Design(design, _) => design.as_ref(),
                What::Notes(noted) => &noted.design,
            };
            (design.fabrics.to_vec(), of(design))
        }
        None => {
            let shelf = shelf(Path::new("swatches"));
            let fabrics = built_in().iter().chain(&shelf.fabrics).cloned().collect();
            (fabrics, shelf.books.iter().flat_map(|b| of(&b.1)).collect())
        }
    };
    swatched.sort();
    swatched.dedup();
    Ok((fabrics, swatched))
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
        say(&format!("  {:<14} {ease:>9}   reported: {}; {}", c.part, c.range, c.source));
    }
    Done::Fine
}

pub(crate) fn rules() -> Done {
    let mut text = String::new();
    for r in latchwork::check::rules() {
        let level = if r.is_error() { "error" } else { "warning" };
        let (told, limit) = match r {
            Rule::Judge(fault) => (wording::fault(&fault, 4, language()), wording::source(source(&fault), language())),
            Rule::Craft(craft) => (wording::craft(craft, language()), wording::craft_source(craft, language())),
        };
        text.push_str(&format!("{} ({level})\n  {}\n", r.id(), told.message));
        for hint in &told.hints {
            text.push_str(&format!("  {hint}\n"));
        }
        text.push_str(&format!("  Limit: {limit}.\n\n"));
    }
    say(text.trim_end());
    Done::Fine
}
