//! A document worked out: read, settled, planned and rehearsed.

use std::sync::OnceLock;

use latchwork::check::{Outcome, SizeProof, prove_notes, prove_with, with_best_stitch_sizes};
use latchwork::cues::{Cue, cues};
use latchwork::design::{Design, from_text_with};
use latchwork::fact::{Fact, RUNS_OUT, ShelfFact};
use latchwork::notes::{self, is_notes};
use latchwork::notice::{Level, Notice, Span};
use latchwork::reach::Looks;
use latchwork_machine::rehearsal::Ended;

use crate::books::Books;
use crate::rested::Rests;
use crate::side_by_side;
use crate::store::Store;

/// A document, and all that follows from it.
#[derive(Debug)]
pub(crate) struct WorkedOut {
    /// Its text.
    pub(crate) text: String,
    /// What the text is called in forms: a change made to another text is a conflict.
    pub(crate) base: String,
    /// A name for all that it is made of, the shared swatches included: pictures are kept under it.
    pub(crate) key: String,
    /// The design understood; none where it has errors.
    pub(crate) design: Option<Design>,
    /// What came of it.
    pub(crate) outcome: Option<Outcome>,
    /// What was said while it was read.
    pub(crate) read: Vec<Notice>,
    /// Whether it is pass notes.
    pub(crate) notes: bool,
    looks: OnceLock<Looks>,
}

/// A short name of a text, the same on every machine and in every release (FNV-1a, 64 bits).
pub(crate) fn base_of(text: &str) -> String {
    hash(text.as_bytes())
}

/// A short name of bytes, in the same way.
pub(crate) fn hash(bytes: &[u8]) -> String {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

impl WorkedOut {
    /// What a text and the shared swatches make.
    pub(crate) fn key(text: &str, books: &Books) -> String {
        format!("{} {}", base_of(text), books.key)
    }

    /// What is wrong with it, if it cannot be understood: its own first error.
    pub(crate) fn unreadable(&self) -> Option<Notice> {
        let own = |n: &&Notice| n.level == Level::Error && !matches!(n.fact, Fact::Shelf(_));
        let wrong = self.read.iter().find(own);
        let not = || self.design.is_none().then(|| Notice::error(Span::default(), ShelfFact::NotUnderstood));
        wrong.cloned().or_else(not)
    }

    pub(crate) fn new(text: String, books: &Books) -> WorkedOut {
        let base = base_of(&text);
        let key = WorkedOut::key(&text, books);
        let looks = OnceLock::new();
        if is_notes(&text) {
            let (noted, found) = notes::from_text_with(&text, &books.shelf);
            let noted = noted.filter(|_| !found.has_error());
            let outcome = noted.as_ref().map(prove_notes);
            let design = noted.map(|n| n.design);
            return WorkedOut { text, base, key, design, outcome, read: found.0, notes: true, looks };
        }
        let (design, mut found) = from_text_with(&text, &books.shelf);
        let design = design.filter(|_| !found.has_error()).map(with_best_stitch_sizes);
        let outcome = design.as_ref().map(|d| {
            let all: Vec<usize> = (0..d.sizes.len()).collect();
            prove_with(d, &all, &side_by_side)
        });
        // Without those swatches a design may miss some, or be worked out from fewer: they are the cause, and reported
        // first.
        let level = if design.is_some() { Level::Warning } else { Level::Error };
        let mut read: Vec<Notice> = books.broken.iter().filter_map(|b| b.told(&text, level)).collect();
        read.append(&mut found.0);
        WorkedOut { text, base, key, design, outcome, read, notes: false, looks }
    }

    /// The fabrics at rest; worked out when first asked for.
    pub(crate) fn looks(&self) -> Option<&Looks> {
        let design = self.design.as_ref()?;
        Some(self.looks.get_or_init(|| {
            let rests = Rests::of(&Store::of_platform(), &Looks::asked(design));
            Looks::of(design, &|a| rests.known(a))
        }))
    }

    /// Whether some size could be worked out, and drawn.
    pub(crate) fn drawn(&self) -> bool {
        self.outcome.as_ref().is_some_and(|o| !o.sizes.is_empty())
    }

    /// The size of this name, or else the middle one.
    pub(crate) fn size(&self, name: Option<&str>) -> Option<&SizeProof> {
        let (design, outcome) = (self.design.as_ref()?, self.outcome.as_ref()?);
        let wanted = name.and_then(|n| design.size(n));
        let named = outcome.sizes.iter().find(|s| Some(s.size) == wanted);
        named.or_else(|| outcome.sizes.get(outcome.sizes.len() / 2))
    }

    /// The size of this name and no other.
    pub(crate) fn named(&self, name: &str) -> Option<&SizeProof> {
        let (design, outcome) = (self.design.as_ref()?, self.outcome.as_ref()?);
        let wanted = design.size(name)?;
        outcome.sizes.iter().find(|s| s.size == wanted)
    }

    /// Everything found, with the size it was found in.
    pub(crate) fn findings(&self) -> Vec<(Option<usize>, &Notice)> {
        let read = self.read.iter().map(|n| (None, n));
        let found = self.outcome.iter().flat_map(|o| &o.notices).map(|(s, n)| (*s, n));
        read.chain(found).collect()
    }

    /// What to do at the machine for a piece of a size, by its place among the pieces.
    /// None where the size is not proven: that is not to be knitted.
    pub(crate) fn cues(&self, size: &SizeProof, piece: usize) -> Option<Vec<Cue>> {
        let proven = self.outcome.as_ref()?.printable();
        let whole = proven.is_some_and(|p| p.sizes().iter().any(|s| s.size == size.size));
        if !whole && self.short_of_yarn(size).is_none() {
            return None;
        }
        let show = self.design.as_ref()?.show;
        Some(cues(size.proven(piece)?, show))
    }

    /// Why a size is not proven, where it is only that its yarn runs out: the knitter may know of more.
    pub(crate) fn short_of_yarn(&self, size: &SizeProof) -> Option<&Notice> {
        let found = self.outcome.as_ref()?.notices.iter();
        let mut wrong = found.filter(|(s, n)| n.level == Level::Error && s.is_none_or(|s| s == size.size));
        let first = &wrong.next()?.1;
        let only = |n: &Notice| n.rule() == Some(RUNS_OUT);
        let finished = size.pieces.iter().all(|p| p.run.ended == Ended::Finished && p.run.error().is_none());
        (finished && only(first) && wrong.all(|w| only(&w.1))).then_some(first)
    }
}
