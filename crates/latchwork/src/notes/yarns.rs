//! Lines for yarns: joined, carried along, cut.

use latchwork_machine::steps::{Action, Yarn};

use super::scribe::Scribe;
use super::{LineFault, Note, fault};
use crate::fact::{NotesFact, PartName};
use crate::notice::Span;
use crate::plan::{WASTE, WORKING};
use crate::units::Mm;

/// Yarn left where a yarn begins or ends inside a piece, to be sewn in: common practice, no source.
pub(super) const LOOSE_END: Mm = Mm(150.0);

impl Scribe<'_> {
    /// The number of a yarn of this name in the plan.
    pub(super) fn yarn_number(&mut self, span: Span, name: &str) -> Result<Yarn, LineFault> {
        if name.eq_ignore_ascii_case("waste yarn") {
            return Ok(WASTE);
        }
        let own = self.b.design.yarns.first().is_some_and(|y| y.name.eq_ignore_ascii_case(name));
        if own {
            return Ok(WORKING);
        }
        let known = self.kept.extra_yarns.iter().position(|y| y.eq_ignore_ascii_case(name));
        let i = known.unwrap_or_else(|| {
            self.kept.extra_yarns.push(name.to_string());
            if !self.b.design.yarns.iter().any(|y| y.name.eq_ignore_ascii_case(name)) {
                self.kept.unknown_yarns.push((name.to_string(), span));
            }
            self.kept.extra_yarns.len() - 1
        });
        let number = u8::try_from(i + 3).map_err(|_| fault(span, NotesFact::TooManyYarns))?;
        Ok(Yarn(number))
    }

    pub(super) fn use_yarn(&mut self, note: &Note, name: &str) -> Result<(), LineFault> {
        let yarn = self.yarn_number(note.span, name)?;
        if self.b.yarn == yarn && self.joined.contains(&yarn) {
            return Ok(());
        }
        if self.joined.insert(yarn) {
            self.part(note, PartName::Yarn);
            self.b.step(Action::Join { yarn, side: self.b.side() });
            self.b.tail(LOOSE_END);
        }
        self.b.yarn = yarn;
        Ok(())
    }

    pub(super) fn cut_yarn(&mut self, note: &Note, name: Option<&str>) -> Result<(), LineFault> {
        let yarn = match name {
            Some(name) => self.yarn_number(note.span, name)?,
            None => self.b.yarn,
        };
        self.part(note, PartName::Yarn);
        self.joined.remove(&yarn);
        self.b.step(Action::Cut(yarn));
        self.b.tail(LOOSE_END);
        Ok(())
    }
}
