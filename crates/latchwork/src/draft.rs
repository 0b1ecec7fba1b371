//! The draft: what each piece should measure in one size, in millimetres; no needles yet.

use crate::design::{Design, Piece, Shaping, ShortRows, Size, When, Wish, Wished};
use crate::fact::DraftFact;
use crate::notice::{Notice, Notices, Span};
use crate::units::{Mm, Show};

/// The draft of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// One for each piece of the design.
    pub pieces: Vec<PieceDraft>,
}

/// The draft of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceDraft {
    /// One for each stretch.
    pub stretches: Vec<StretchDraft>,
}

/// What a stretch should measure.
#[derive(Debug, Clone, PartialEq)]
pub struct StretchDraft {
    /// Its target width at the beginning.
    pub width: Option<Target>,
    /// Its target width after shaping.
    pub end: Option<Target>,
    /// The target width of its neck.
    pub neck: Option<Target>,
    /// Its short rows.
    pub short: Option<ShortRows>,
    /// Its target length; none where rows are given.
    pub length: Option<Mm>,
}

/// A target width.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Its place in the document.
    pub span: Span,
    /// Its weight against other targets.
    pub weight: f64,
    /// The target in needles, if exact.
    pub needles: Option<u32>,
    /// The target as a flat width without seam allowance.
    pub flat: Option<Mm>,
    /// The body measure it goes round: name, value, number of pieces it is shared among.
    pub body: Option<(String, Mm, u32)>,
}

/// Drafts one size of a design.
pub fn draft(design: &Design, size: &Size, notices: &mut Notices) -> Draft {
    Draft { pieces: design.pieces.iter().map(|p| piece(design.show, p, size, notices)).collect() }
}

fn piece(show: Show, piece: &Piece, size: &Size, notices: &mut Notices) -> PieceDraft {
    let stretches = piece.stretches.iter().map(|s| {
        let end = match &s.shaping {
            Some(Shaping { when: When::To { wished, .. }, .. }) => target(show, wished, size, &s.name, notices),
            Some(Shaping { when: When::Every { .. } | When::Listed(_), .. }) | None => None,
        };
        let width = s.wished.as_ref().and_then(|w| target(show, w, size, &s.name, notices));
        let length = s.length.in_size(size);
        if let Some(l) = length.filter(|l| l.0 <= 0.0) {
            notices.push(Notice::error(
                s.length_span,
                DraftFact::NoLength { stretch: s.name.clone(), length: show.length(l), size: size.name.clone() },
            ));
        }
        let neck = match s.neck.as_ref().map(|n| &n.shaping.when) {
            Some(When::To { wished, .. }) => target(show, wished, size, &s.name, notices),
            Some(When::Every { .. } | When::Listed(_)) | None => None,
        };
        let loops = (s.gauge.needle.value, s.gauge.pass.value);
        let short = s.short.clone().or_else(|| s.gores.as_ref().and_then(|g| g.short_rows(size, loops)));
        StretchDraft { width, end, neck, short, length }
    });
    PieceDraft { stretches: stretches.collect() }
}

fn target(show: Show, wished: &Wished, size: &Size, stretch: &str, notices: &mut Notices) -> Option<Target> {
    let (span, weight) = (wished.span, wished.weight);
    let left = |flat: Mm, measure: &str, body: Mm, notices: &mut Notices| {
        if flat.0 >= 5.0 {
            return Some(flat);
        }
        let (stretch, size, body) = (stretch.to_string(), size.name.clone(), show.length(body));
        notices.push(Notice::error(span, DraftFact::NothingLeft { stretch, size, measure: measure.to_string(), body }));
        None
    };
    match &wished.wish {
        Wish::Needles(n) => Some(Target { span, weight, needles: Some(*n), flat: None, body: None }),
        Wish::Width(w) => Some(Target { span, weight, needles: None, flat: Some(*w), body: None }),
        Wish::Share { measure, percent, plus } => {
            let body = size.measure(measure)?;
            let flat = left(Mm(body.0 * percent / 100.0 + plus.0), measure, body, notices)?;
            Some(Target { span, weight, needles: None, flat: Some(flat), body: None })
        }
        Wish::Around { measure, ease, shared, .. } => {
            let body = size.measure(measure)?;
            let flat = Mm(ease.applied(body).0 / f64::from(*shared));
            let flat = left(flat, measure, body, notices)?;
            Some(Target { span, weight, needles: None, flat: Some(flat), body: Some((measure.clone(), body, *shared)) })
        }
    }
}
