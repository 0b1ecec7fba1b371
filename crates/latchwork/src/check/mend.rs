//! Mechanical fixes as changes to the document: applied, read and rehearsed again until none is left.

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::Needle;
use latchwork_machine::rehearsal::Finding;

use super::findings::racked_before;
use super::{prove, prove_notes};
use crate::design;
use crate::fact::{CheckFact, Fact, Rewrite};
use crate::notes::{self, Noted};
use crate::notice::{Level, Mend, Notice, Replace, Span, mended};
use crate::text::quoted;
use crate::units::dial;
use crate::vocabulary::{BEDS, word_of};

/// The loosest stitch size, in thirds.
const LOOSEST: u8 = 30;

/// Most times a document is changed and read again.
const MOST_ROUNDS: usize = 20;

/// A document with all mechanical fixes applied, and those fixes.
#[must_use]
pub fn mend_design(source: &str) -> (String, Vec<Rewrite>) {
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

/// As [`mend_design`], for pass notes.
#[must_use]
pub fn mend_notes(source: &str) -> (String, Vec<Rewrite>) {
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

fn rounds(source: &str, changes: impl Fn(&str) -> Vec<Mend>) -> (String, Vec<Rewrite>) {
    let mut text = source.to_string();
    let mut done = Vec::new();
    for _ in 0..MOST_ROUNDS {
        // One at a time: the first fault may cause the rest.
        let Some(first) = changes(&text).into_iter().min_by_key(|c| c.put.span) else { break };
        let next = mended(&text, std::slice::from_ref(&first.put));
        if next == text {
            break;
        }
        done.push(first.does);
        text = next;
    }
    (text, done)
}

/// A needle as pass notes name it.
fn name(n: Needle) -> String {
    format!("{} {}", word_of(&BEDS, n.bed), n.slot)
}

/// A line inserted before the line at `span`.
fn before(text: &str, span: Span, line: &str) -> Mend {
    let start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    Mend {
        put: Replace { span: Span { start, len: 0 }, text: format!("{line}\n") },
        does: Rewrite::PutBefore { before: at(text, span).to_string(), line: line.to_string() },
    }
}

/// A line inserted after the line at `span`.
fn after(text: &str, span: Span, line: &str) -> Mend {
    let from = span.start + span.len;
    let end = text.get(from..).and_then(|t| t.find('\n')).map_or(text.len(), |i| from + i);
    Mend {
        put: Replace { span: Span { start: end, len: 0 }, text: format!("\n{line}") },
        does: Rewrite::PutAfter { after: at(text, span).to_string(), line: line.to_string() },
    }
}

fn at(text: &str, span: Span) -> &str {
    text.get(span.start..).and_then(|t| t.lines().next()).unwrap_or_default().trim()
}

/// The change to pass notes that fixes a fault, if there is one. `loops`: on the main bed and on the ribber.
fn remedy(text: &str, noted: &Noted, span: Span, fault: &Fault, racked: bool, loops: (u32, u32)) -> Option<Mend> {
    Some(match *fault {
        Fault::LiveAtEnd { first: Some(_), .. } => {
            let end = text.trim_end().len();
            Mend {
                put: Replace { span: Span { start: end, len: 0 }, text: "\nbind off".to_string() },
                does: Rewrite::PutAtEnd { line: "bind off".to_string() },
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
    let tight = matches!(n.fact, Fact::Check(CheckFact::BindsOffTight { .. }));
    (tight && !at(text, span).contains(" at ")).then(|| {
        let does = Rewrite::LastRowAt { dial: LOOSEST };
        let end = after(text, span, "").put.span;
        Mend { put: Replace { span: end, text: format!(" at {}", dial(LOOSEST)) }, does }
    })
}
