//! From the lines of every piece to finished pieces: the place of the first needles, and the two rounds of the scribe.

use std::sync::Arc;

use latchwork_machine::needle::{Side, Slot};

use super::scribe::Scribe;
use super::{Asked, How, Knits, LineFault, Note, Noted, fault};
use crate::design::{CastOn, Design, Ending, Length, Make, Piece, Placed, Selected, Size, Stretch, Told, Yarns};
use crate::draft::{Draft, PieceDraft, StretchDraft, Target};
use crate::fabric::{Begun, Ends, Fabric, Layout, built_in, left_end};
use crate::fact::NotesFact;
use crate::measure::{Basis, Figure, Gauge, State, Yarn as YarnKind, gauge};
use crate::notice::{Notice, Notices, Span, nearest};
use crate::plan::{PiecePlan, Plans};
use crate::stitches::{PieceStitches, Stitches, WorkedStretch};
use crate::text::quoted;
use crate::units::{Mm, Tex};

/// A piece worked out.
type Written = (Piece, PieceStitches, PiecePlan, bool);

pub(super) fn work_out(mut head: Design, pieces: &[(String, Span, Vec<Note>)], notices: &mut Notices) -> Option<Noted> {
    if head.yarns.is_empty() {
        let tex = Tex(f64::from(head.machine.class.tex));
        head.yarns.push(YarnKind { name: "yarn".to_string(), tex, span: Span::default(), ..YarnKind::unnamed() });
    }
    let mut all = Vec::new();
    for (i, (name, span, notes)) in pieces.iter().enumerate() {
        match piece(&head, i, name, *span, notes, notices) {
            Ok(written) => all.push(written),
            Err(f) => notices.push(*f),
        }
    }
    if notices.has_error() {
        return None;
    }
    let swatched = all.iter().all(|w| w.3);
    // The knitted measures are also the targets: widths are then printed beside lengths.
    let target = |s: &Stretch, needles: u32, width: Mm| {
        let flat = swatched.then_some(width);
        Some(Target { span: s.span, weight: 1.0, needles: Some(needles), flat, body: None })
    };
    let drafted = |w: &Written| PieceDraft {
        stretches: w
            .0
            .stretches
            .iter()
            .zip(&w.1.stretches)
            .enumerate()
            .map(|(i, (s, k))| StretchDraft {
                short: s.short.clone(),
                // Rows of one fabric on the same needles are given once.
                width: target(s, k.needles, k.width.0).filter(|_| {
                    !w.0.stretches
                        .iter()
                        .zip(&w.1.stretches)
                        .take(i)
                        .any(|(t, l)| t.name == s.name && l.needles == k.needles)
                }),
                end: if k.needles_end == k.needles { None } else { target(s, k.needles_end, k.width.1) },
                neck: None,
                length: None,
            })
            .collect(),
    };
    let draft = Draft { pieces: all.iter().map(drafted).collect() };
    head.sizes =
        vec![Size { name: super::ONE_SIZE.to_string(), span: Span::default(), measures: Vec::new(), made: Vec::new() }];
    let (mut stitches, mut plans) = (Vec::new(), Vec::new());
    for (piece, worked, plan, _) in all {
        head.pieces.push(piece);
        stitches.push(worked);
        plans.push(plan);
    }
    Some(Noted {
        design: head,
        draft,
        stitches: Stitches { pieces: stitches },
        plans: Plans { pieces: plans },
        swatched,
    })
}

/// One piece, carried out twice: the first round finds the stretches, the second builds on them.
fn piece(
    head: &Design,
    index: usize,
    name: &str,
    span: Span,
    notes: &[Note],
    notices: &mut Notices,
) -> Result<Written, LineFault> {
    let begin = notes.iter().find_map(|n| match n.asked {
        Asked::Carriage(side) => Some(side),
        Asked::CastOn { .. } | Asked::IntoWork(_) => Some(Side::Right),
        _ => None,
    });
    let carriage = begin.unwrap_or(Side::Right);
    let told = notes.iter().take_while(|n| !matches!(n.asked, Asked::CastOn { .. } | Asked::IntoWork(_)));
    if !told.clone().any(|n| matches!(n.asked, Asked::Carriage(_))) {
        notices.push(Notice::note(span, NotesFact::CarriageNotSaid { notes: name.to_string() }));
    }
    let first = first_fabric(notes);
    let (left, places, ends, cast_on) = placed(notes, &first)?;
    let mut p = Piece {
        name: name.to_string(),
        span,
        make: Make::Alike(1),
        carriage,
        yarn: 0,
        cast_on,
        allowance: 0,
        half_in_rib: false,
        ends: Some(ends),
        public: String::new(),
        stretches: vec![stretch(head, "cast-on", span, &first, None)],
        ending: Ending::LoopThroughLoop,
        ending_span: span,
    };
    let mut stitches = PieceStitches { ends, left, places, stretches: Vec::new(), unmeasured: 0 };
    let kept = Scribe::new(head, index, &p, &stitches).run(notes)?.kept;
    if !kept.stretches.is_empty() {
        p.stretches = kept.stretches;
    }
    p.ending = kept.ending.unwrap_or(Ending::LoopThroughLoop);
    stitches.unmeasured = kept.unmeasured;
    stitches.stretches =
        if kept.worked.is_empty() { vec![idle(&p.stretches[0].fabric, carriage)] } else { kept.worked };
    let scribe = Scribe::new(head, index, &p, &stitches).run(notes)?;
    if !scribe.kept.weights_told {
        notices.push(Notice::note(span, NotesFact::NoWeights { notes: name.to_string() }));
    }
    for (name, span) in &scribe.kept.unknown_yarns {
        let near = nearest(name, head.yarns.iter().map(|y| y.name.as_str())).map(quoted);
        let fact = NotesFact::YarnNotInHead { name: name.clone(), quoted: quoted(name), near };
        notices.push(Notice::warning(*span, fact));
    }
    for span in &scribe.kept.rows_filled {
        notices.push(Notice::note(*span, NotesFact::RowFilledIn));
    }
    let swatched = !scribe.kept.unswatched;
    let extra = scribe.kept.extra_yarns;
    let mut plan = scribe.b.finished();
    plan.yarns.extend(extra);
    Ok((p, stitches, plan, swatched))
}

fn idle(fabric: &Arc<Fabric>, carriage: Side) -> WorkedStretch {
    WorkedStretch {
        fabric: Arc::clone(fabric),
        column: 0,
        panels: Vec::new(),
        needles: 0,
        needles_end: 0,
        rows: 0,
        stripes: Vec::new(),
        fetches: Vec::new(),
        clearing: false,
        shapings: Vec::new(),
        short: Vec::new(),
        parts: None,
        slit: None,
        holes: None,
        folded: false,
        half: None,
        stitch: Mm(0.0),
        straight: true,
        carriage,
        width: (Mm(0.0), Mm(0.0)),
        length: Mm(0.0),
        edges: [Mm(0.0); 2],
    }
}

fn first_fabric(notes: &[Note]) -> Arc<Fabric> {
    let named = notes.iter().find_map(|n| match &n.asked {
        Asked::CastOn { fabric: Some(f), .. } => Some(Arc::clone(f)),
        Asked::Rows { knits: Knits::Fabric(f), .. } => Some(Arc::clone(f)),
        _ => None,
    });
    named.unwrap_or_else(|| Arc::clone(&built_in()[0]))
}

/// The place of the first needles: left end, places, ends, cast-on.
fn placed(notes: &[Note], first: &Arc<Fabric>) -> Result<(Slot, u32, Ends, CastOn), LineFault> {
    let cast_on = notes.iter().find_map(|n| match &n.asked {
        Asked::CastOn { needles, ends, how, from, tubular, .. } => {
            Some((n.span, *needles, *ends, *how, *from, *tubular))
        }
        _ => None,
    });
    let Some((span, needles, ends, how, from, tubular)) = cast_on else {
        return Ok((Slot(0), 1, first.ends[0], CastOn::EWrap));
    };
    let layout = if how == How::Usual || !first.layout.two_beds() { first.layout } else { Layout::MAIN };
    let tried: Vec<Ends> = match ends {
        Some(e) => vec![e],
        None => first.ends.to_vec(),
    };
    let count = |p: u32| layout.needle_count(p).0 + layout.needle_count(p).1;
    let stands = |n: u32, ends: &[Ends]| {
        let most = n.saturating_mul(layout.period()).min(2_000);
        ends.iter().find_map(|e| (1..=most).find(|p| count(*p) == n && layout.allows(*p, *e)).map(|p| (p, *e)))
    };
    let Some((places, ends)) = stands(needles, &tried) else {
        const ALL: [Ends; 2] = Ends::ALL;
        let near = |ends: &[Ends]| -> Vec<String> {
            let close = (1..=needles.max(8)).flat_map(|d| [needles.saturating_sub(d), needles + d]);
            close.filter(|n| stands(*n, ends).is_some()).take(2).map(|n| n.to_string()).collect()
        };
        let can = [near(&tried), near(&ALL)].into_iter().find(|n| !n.is_empty()).unwrap_or_default();
        // Every cause is named: fixing one must not bring up the next.
        let both_main = ends.filter(|e| !(1..=needles.max(12)).any(|p| layout.allows(p, *e)));
        return Err(fault(
            span,
            NotesFact::CannotBeSetUp {
                needles,
                fabric: first.name.clone(),
                stands: layout.stands(),
                can,
                asked_both_main: both_main.map(|e| e == Ends::BothMain),
                odd: stands(needles, &ALL).is_none(),
            },
        ));
    };
    let cast_on = match how {
        How::Usual if layout.begun() != Begun::MainBed => CastOn::Closed(tubular),
        How::Waste => CastOn::Waste,
        How::Usual | How::Wrapped | How::Open => CastOn::EWrap,
    };
    Ok((from.unwrap_or_else(|| left_end(places)), places, ends, cast_on))
}

/// A stretch as knitted; without a swatch its gauge is unknown.
pub(super) fn stretch(head: &Design, name: &str, span: Span, fabric: &Arc<Fabric>, dial: Option<(u8, u8)>) -> Stretch {
    let unknown = Figure { value: head.machine.pitch.0, spread: 1.0, basis: Basis::Unknown };
    // One swatch serves the other colours of a yarn.
    let known = (0..head.yarns.len()).find_map(|y| {
        let asked = dial.and_then(|d| gauge(&head.swatches, fabric, y, head.yarns[y].tex, Some(d)).ok());
        asked.or_else(|| head.gauge(fabric, y))
    });
    let mut gauge = known.unwrap_or(Gauge {
        fabric: Arc::clone(fabric),
        yarn: 0,
        dial: (9, 9),
        needle: unknown,
        pass: unknown,
        loops: None,
        state: State::AsKnitted,
        swatches: 0,
        stretch: None,
    });
    gauge.dial = dial.unwrap_or(gauge.dial);
    Stretch {
        gores: None,
        fetches: false,
        name: name.to_string(),
        span,
        fabric: Arc::clone(fabric),
        length: Length::AsShaped,
        length_span: span,
        length_weight: 1.0,
        wished: None,
        shaping: None,
        neck: None,
        slit: None,
        hem: None,
        holes: None,
        joined: None,
        short: None,
        yarns: Yarns::OfPiece,
        placed: Placed::Left,
        mirrored: false,
        whole: false,
        told: Told::Chart,
        selected: Selected::Hand,
        panels: Vec::new(),
        gauge,
        choices: Vec::new(),
    }
}
