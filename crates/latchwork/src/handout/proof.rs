//! The last check before print: the instructions of every size, read back and compared with the plan.

use std::fmt;
use std::fmt::Write;

use super::sheet::Sheet;
use super::{ChartText, PieceText, StepText};
use crate::fact::PartName;
use crate::plan::PiecePlan;
use crate::readback::{Glossary, Heard, deeds, difference, read_back};
use crate::units::{Show, counter};
use crate::wording::{Language, MARKS, hanging, hung_piece, part as part_name, piece as piece_name, printed};
use crate::words::Token;

/// Words that, read back, differ from what was rehearsed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misprint {
    /// The piece.
    pub piece: String,
    /// What is wrong.
    pub why: String,
}

impl fmt::Display for Misprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Misprint { piece, why } = self;
        write!(f, "The words of the {piece}, read back, are not what was rehearsed. {why}")
    }
}

impl std::error::Error for Misprint {}

impl StepText {
    /// The step as its line in the table reads, number first.
    fn line(&self, number: usize) -> String {
        let mut t = format!("{number} ");
        for part in [&self.counter, &self.only] {
            if !part.is_empty() {
                t.push_str(part);
                t.push(' ');
            }
        }
        t.extend(self.tokens.iter().map(Token::text));
        let tallies = &self.tallies;
        if tallies.is_empty() {
            return t;
        }
        let hangs = tallies.iter().flat_map(|t| &t.rows).any(|r| r.hangs.is_some());
        let over = if hangs { "each-time-hangs" } else { "each-time" };
        t.push(' ');
        t.extend(printed(Language::English).iter().filter(|w| w.0 == over).map(|w| w.1.as_str()));
        for tally in tallies {
            let _ = write!(t, " {}", tally.head);
            for r in &tally.rows {
                let _ = write!(t, " {} {}", counter(r.counter), r.stitches);
                if let Some((grams, comb)) = r.hangs {
                    let _ = write!(t, " {}", hanging(grams, comb, Language::English));
                }
            }
        }
        t
    }
}

impl PieceText {
    /// The charts and steps as printed, line by line.
    #[must_use]
    pub fn lines(&self) -> String {
        let charts = self.charts.iter().flat_map(ChartText::lines);
        let steps = self.steps.iter().enumerate().map(|(i, s)| s.line(i + 1));
        charts.chain(steps).collect::<Vec<_>>().join("\n")
    }
}

/// The names that a piece's words use.
#[must_use]
pub fn glossary(sizes: Vec<String>, plan: &PiecePlan, language: Language) -> Glossary {
    let american = language == Language::American;
    // A mark names a divided section as a whole.
    let divided = plan.origins.iter().filter_map(|p| match &p.name {
        PartName::SideOf(name, _) => Some(name.clone()),
        _ => None,
    });
    Glossary {
        sizes,
        yarns: plan.yarns.clone(),
        labels: plan.origins.iter().map(|p| part_name(&p.name, Language::English)).chain(divided).collect(),
        fabrics: plan.origins.iter().filter_map(|p| p.fabric().map(str::to_string)).collect(),
        pieces: plan.hung.iter().map(|h| hung_piece(h, Language::English)).collect(),
        american,
    }
}

/// The first difference between what was heard and the plan, in words; none if there is none.
#[must_use]
pub fn heard_as_planned(heard: &Heard, plan: &PiecePlan, show: Show) -> Option<String> {
    if let Some(d) = difference(&heard.deeds, &deeds(&plan.plan)) {
        return Some(d);
    }
    let flat = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    for (passes, label, fabric) in &heard.stretches {
        let knitted = plan.plan.steps.iter().filter(|s| matches!(s.action, latchwork_machine::steps::Action::Pass(_)));
        let part = knitted.skip(*passes).map(|s| &plan.origins[s.origin.0 as usize]).next();
        let planned = part.map(|p| (part_name(&p.name, Language::English), p.fabric().unwrap_or_default()));
        let same = planned.as_ref().is_some_and(|(l, f)| {
            flat(l).to_lowercase() == flat(label).to_lowercase()
                && (flat(f) == flat(fabric) || flat(fabric).eq_ignore_ascii_case(&flat(f)))
        });
        if !same {
            return Some(format!(
                "After pass {passes} it reads \u{201c}{label}\u{201d}, and the plan has {planned:?}."
            ));
        }
    }
    let planned = plan.tail_lengths();
    let planned: Vec<String> = planned.values().map(|l| format!("{} {}", show.round(*l), show.unit())).collect();
    (planned != heard.tails).then(|| format!("Tails read {:?}, and the plan has {planned:?}.", heard.tails))
}

/// The words without the marks of the test language.
fn unmarked(words: String, t: Language) -> String {
    match t {
        Language::English | Language::American => words,
        Language::Marked => words.replace(MARKS, ""),
    }
}

/// Reads back every size of every piece.
pub(super) fn read(sheet: &Sheet<'_>, pieces: &[PieceText]) -> Result<(), Misprint> {
    let sizes = sheet.names();
    for (k, text) in pieces.iter().enumerate() {
        let Some(first) = sheet.sizes.first() else { continue };
        let piece = &first.plans.pieces[k];
        let misprint = |why: String| Misprint { piece: piece_name(&piece.name, Language::English), why };
        let language = sheet.design.show.language;
        let words = unmarked(text.lines(), language);
        let heard =
            read_back(&words, &glossary(sizes.clone(), piece, language)).map_err(|m| misprint(m.to_string()))?;
        for ((proof, heard), size) in sheet.sizes.iter().zip(&heard).zip(&sizes) {
            if let Some(why) = heard_as_planned(heard, &proof.plans.pieces[k], sheet.design.show) {
                return Err(misprint(format!("In size {size} {why}")));
            }
        }
    }
    Ok(())
}
