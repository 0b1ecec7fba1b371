//! How the fabric of a stretch is laid out, told and selected, as its line says.

use super::panel::{Placed, Selected, Told};
use crate::fabric::{Fabric, NotPunched};
use crate::fact::{DesignFact, NoDevice, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Reader, property};
use crate::text::Node;

/// What the line of a fabric says besides its name.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Laid {
    pub(super) placed: Placed,
    pub(super) mirrored: bool,
    pub(super) whole: bool,
    pub(super) told: Told,
    /// Who is asked to bring needles forward, and where.
    pub(super) asked: Option<(Selected, Span)>,
}

impl Laid {
    pub(super) fn read(r: &mut Reader<'_>, n: &Node) -> Option<Laid> {
        r.shape(n, 1, &["placed", "mirrored", "whole", "printed", "selected"], &[], &[]);
        let mut laid = Laid { mirrored: yes(r, n, "mirrored")?, whole: yes(r, n, "whole")?, ..Laid::default() };
        if let Some(v) = property(n, "placed") {
            laid.placed = r.word(v, Subject::property("placed"), &Placed::WORDS)?;
        }
        if let Some(v) = property(n, "printed") {
            laid.told = r.word(v, Subject::property("printed"), &Told::WORDS)?;
        }
        if let Some(v) = property(n, "selected") {
            laid.asked = Some((r.word(v, Subject::property("selected"), &Selected::WORDS)?, v.span));
        }
        Some(laid)
    }
}

/// Who brings needles forward: the owner's pattern device where it can, unless the author says otherwise.
pub(super) fn selected(
    r: &mut Reader<'_>,
    fabric: &Fabric,
    (told, panels): (Told, bool),
    asked: Option<(Selected, Span)>,
    device: Option<u32>,
) -> Selected {
    let can = match device {
        None => Err(NoDevice::None),
        Some(_) if panels || told == Told::Words => Err(NoDevice::NoChart),
        Some(width) => match fabric.punched(width, 1, false) {
            Ok(_) => Ok(()),
            Err(NotPunched::NotDrawn) => Err(NoDevice::NotDrawn),
            Err(NotPunched::Divides { repeat, width }) => Err(NoDevice::Divides { repeat, width }),
        },
    };
    match (asked, can) {
        (Some((Selected::Hand, _)), _) | (None, Err(_)) => Selected::Hand,
        (_, Ok(())) => Selected::Device,
        (Some((Selected::Device, span)), Err(why)) => {
            r.error(Notice::error(span, DesignFact::NotByDevice { fabric: fabric.name.clone(), why }));
            Selected::Hand
        }
    }
}

/// Whether a property says "yes"; "no" where it is not given.
pub(super) fn yes(r: &mut Reader<'_>, node: &Node, word: &str) -> Option<bool> {
    match property(node, word) {
        Some(v) => r.word(v, Subject::property(word), &[("yes", true), ("no", false)]),
        None => Some(false),
    }
}
