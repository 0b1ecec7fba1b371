//! Remedies that are mechanical, as changes of the document: applied, read and rehearsed again, until nothing more can
//! be mended by itself.

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::{Bed, Needle};
use latchwork_machine::rehearsal::Finding;

use super::wording::racked_before;
use super::{prove, prove_notes};
use crate::design;
use crate::notes::{self, Noted};
use crate::notice::{Level, Mend, Notice, Span, mended};
use crate::text::quoted;

/// Most times that a document is changed and read again.
const MOST_ROUNDS: usize = 20;

/// A document mended as far as it can be by itself, and what was done.
#[must_use]
pub fn mend_design(source: &str) -> (String, Vec<String>) {
    rounds(source, |text| {
        let (design, notices) = design::from_text(text);
        let mut all = notices.0;
        if let Some(design) = design {
            let sizes: Vec<usize> = (0..design.sizes.len()).collect();
            all.extend(prove(&design, &sizes).notices.into_iter().map(|n| n.1));
        }
        all.into_iter().filter_map(|n| n.change).collect()
    })
}

/// As [`mend_design`], of pass notes.
#[must_use]
pub fn mend_notes(source: &str) -> (String, Vec<String>) {
    rounds(source, |text| {
        let (noted, notices) = notes::from_text(text);
        let mut changes: Vec<Mend> = notices.0.into_iter().filter_map(|n| n.change).collect();
        if let Some(noted) = noted {
            let outcome = prove_notes(&noted);
            for (plan, proof) in noted.plans.pieces.iter().zip(outcome.sizes.iter().flat_map(|s| &s.pieces)) {
                let spans = |f: &Finding| plan.origins.get(f.origin.0 as usize).map(|p| p.span);
                changes.extend(proof.run.findings.iter().filter_map(|f| {
                    let loops = proof.run.readings.get(f.step).map_or((0, 0), |r| r.stitches);
                    remedy(text, &noted, spans(f)?, &f.fault, racked_before(plan, f.step) != 0, loops)
                }));
            }
            let told = outcome.notices.into_iter().map(|n| n.1);
            changes.extend(told.filter_map(|n| of_craft(text, &n)));
        }
        changes
    })
}

fn rounds(source: &str, changes: impl Fn(&str) -> Vec<Mend>) -> (String, Vec<String>) {
    let mut text = source.to_string();
    let mut done = Vec::new();
    for _ in 0..MOST_ROUNDS {
        // One at a time: the first cause may be the cause of the rest.
        let Some(first) = changes(&text).into_iter().min_by_key(|c| c.span) else { break };
        let next = mended(&text, std::slice::from_ref(&first));
        if next == text {
            break;
        }
        done.push(first.what);
        text = next;
    }
    (text, done)
}

/// The needle as notes name it.
fn name(n: Needle) -> String {
    format!("{} {}", if n.bed == Bed::Main { "main" } else { "ribber" }, n.slot)
}

/// A line put in before the line at `span`.
fn before(text: &str, span: Span, line: &str) -> Mend {
    let start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    Mend {
        span: Span { start, len: 0 },
        text: format!("{line}\n"),
        what: format!("put in before \"{}\": {line}", at(text, span)),
    }
}

/// A line put in after the line at `span`.
fn after(text: &str, span: Span, line: &str) -> Mend {
    let from = span.start + span.len;
    let end = text.get(from..).and_then(|t| t.find('\n')).map_or(text.len(), |i| from + i);
    Mend {
        span: Span { start: end, len: 0 },
        text: format!("\n{line}"),
        what: format!("put in after \"{}\": {line}", at(text, span)),
    }
}

fn at(text: &str, span: Span) -> &str {
    text.get(span.start..).and_then(|t| t.lines().next()).unwrap_or_default().trim()
}

/// The change of notes that mends a fault, where there is one. `loops` lie on the main bed and the ribber.
fn remedy(text: &str, noted: &Noted, span: Span, fault: &Fault, racked: bool, loops: (u32, u32)) -> Option<Mend> {
    Some(match *fault {
        Fault::LiveAtEnd { first: Some(_), .. } => {
            let end = text.trim_end().len();
            Mend {
                span: Span { start: end, len: 0 },
                text: "\nbind off".to_string(),
                what: "put in at the end: bind off".to_string(),
            }
        }
        Fault::Undeclared { needle } => before(text, span, &format!("out of work {}", name(needle))),
        Fault::NotInWork { needle } => before(text, span, &format!("into work {}", name(needle))),
        Fault::Facing { .. } => before(text, span, if racked { "rack back" } else { "half pitch" }),
        Fault::NothingHangs => before(text, span, "weights 200 g"),
        Fault::RibberIsDown { .. } => before(text, span, "raise the ribber"),
        Fault::DownWithLoops { .. } => before(text, span, "move the ribber to the main bed"),
        Fault::OpenTuck { .. } => before(text, span, "1 row"),
        Fault::Weight { .. } => {
            before(text, span, &format!("weights {} g", noted.design.machine.grams(loops.0, loops.1)))
        }
        Fault::YarnElsewhere { yarn, .. } => {
            let plan = noted.plans.pieces.iter().find(|p| p.origins.iter().any(|o| o.span == span))?;
            let name = plan.yarns.get(usize::from(yarn.0))?;
            before(text, span, &format!("cut {}", quoted(name)))
        }
        _ => return None,
    })
}

fn of_craft(text: &str, n: &Notice) -> Option<Mend> {
    let span = n.span.filter(|_| n.level == Level::Warning)?;
    match n.rule? {
        "tight-bind-off" => {
            let line = at(text, span);
            (!line.contains(" at ")).then(|| after_words(text, span, " at 10", "the last row is knitted at 10"))
        }
        _ => None,
    }
}

/// Words put in at the end of the line at `span`.
fn after_words(text: &str, span: Span, words: &str, what: &str) -> Mend {
    let change = after(text, span, "");
    Mend { text: words.to_string(), what: what.to_string(), ..change }
}
