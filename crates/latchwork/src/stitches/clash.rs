//! The smallest group of targets that conflict.

use super::chain::EXACT;
use super::joint::{Equal, Searched};
use super::settle::problem;
use crate::design::{Design, EdgeKind, Length, Size};
use crate::draft::Draft;
use crate::fact::ClashingWish;
use crate::notice::{Notices, Span};

/// A target that conflicts with others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clashing {
    /// Its place in the document.
    pub span: Span,
    /// The target.
    pub wish: ClashingWish,
}

/// Something that the author asks for, by piece and stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asked {
    /// The width at a stretch's start.
    Width(usize, usize),
    /// The width that the shaping of a stretch leads to.
    End(usize, usize),
    /// The length of a stretch.
    Length(usize, usize),
    /// The shapings of a stretch.
    Shaping(usize, usize),
    /// The beds of the end needles of a piece.
    Ends(usize),
    /// Two edges sewn together.
    Seam(usize),
}

impl Asked {
    fn piece(self) -> Option<usize> {
        match self {
            Asked::Width(p, _) | Asked::End(p, _) | Asked::Length(p, _) | Asked::Shaping(p, _) | Asked::Ends(p) => {
                Some(p)
            }
            Asked::Seam(_) => None,
        }
    }
}

/// Largest group found by trying every group; a larger one is found by leaving out one target after another.
const LARGEST: usize = 3;

/// The smallest group of targets of a size that conflict; empty if none do. Up to three targets (two among more than
/// sixteen) it is the smallest there is; a larger group has no target that could be left out.
#[must_use]
pub fn clash(design: &Design, size: &Size, draft: &Draft) -> Vec<Clashing> {
    let mut all = asked(design, draft);
    let clashes = |group: &[Asked]| !possible(design, size, draft, group);
    if !clashes(&all) {
        return Vec::new();
    }
    // A single piece whose own targets conflict is enough.
    let alone = |p: usize| all.iter().copied().filter(|a| a.piece() == Some(p)).collect::<Vec<_>>();
    if let Some(own) = (0..design.pieces.len()).map(alone).find(|own| clashes(own)) {
        all = own;
    }
    let largest = match all.len() {
        0..=16 => LARGEST,
        17..=40 => 2,
        _ => 1,
    };
    let mut group = (1..=largest.min(all.len())).find_map(|n| {
        let mut found = None;
        each_group(&all, n, &mut Vec::new(), &mut |g| {
            if clashes(g) {
                found = Some(g.to_vec());
            }
            found.is_some()
        });
        found
    });
    if group.is_none() {
        let mut rest = all.clone();
        for a in &all {
            let without: Vec<Asked> = rest.iter().copied().filter(|x| x != a).collect();
            if clashes(&without) {
                rest = without;
            }
        }
        group = Some(rest);
    }
    group.unwrap_or_default().into_iter().map(|a| told(design, a)).collect()
}

/// Calls `see` with every group of `n` until it returns true.
fn each_group(all: &[Asked], n: usize, chosen: &mut Vec<Asked>, see: &mut dyn FnMut(&[Asked]) -> bool) -> bool {
    if n == 0 {
        return see(chosen);
    }
    for (i, a) in all.iter().enumerate() {
        chosen.push(*a);
        let enough = each_group(&all[i + 1..], n - 1, chosen, see);
        chosen.pop();
        if enough {
            return true;
        }
    }
    false
}

fn asked(design: &Design, draft: &Draft) -> Vec<Asked> {
    let mut all = Vec::new();
    for (p, (piece, drafted)) in design.pieces.iter().zip(&draft.pieces).enumerate() {
        if piece.ends.is_some() {
            all.push(Asked::Ends(p));
        }
        for (i, (s, d)) in piece.stretches.iter().zip(&drafted.stretches).enumerate() {
            all.extend(d.width.as_ref().map(|_| Asked::Width(p, i)));
            all.extend(d.end.as_ref().map(|_| Asked::End(p, i)));
            if s.length != Length::AsShaped {
                all.push(Asked::Length(p, i));
            }
            if s.shaping.as_ref().is_some_and(|sh| sh.times().is_some()) {
                all.push(Asked::Shaping(p, i));
            }
        }
    }
    all.extend((0..design.meetings().count()).map(Asked::Seam));
    all
}

/// Rows of a stretch whose length is not asked for: room for any shaping.
const ROOM: u32 = 2_000;

/// Whether a group of targets can be met when nothing else is asked for.
fn possible(design: &Design, size: &Size, draft: &Draft, group: &[Asked]) -> bool {
    let (mut design, mut draft) = (design.clone(), draft.clone());
    for (p, (piece, drafted)) in design.pieces.iter_mut().zip(&mut draft.pieces).enumerate() {
        if !group.contains(&Asked::Ends(p)) {
            piece.ends = None;
        }
        for (i, (s, d)) in piece.stretches.iter_mut().zip(&mut drafted.stretches).enumerate() {
            if !group.contains(&Asked::Width(p, i)) {
                d.width = None;
            }
            let every = s.shaping.as_ref().is_some_and(|sh| sh.times().is_some());
            if !group.contains(&Asked::End(p, i)) {
                d.end = None;
            }
            if every && !group.contains(&Asked::Shaping(p, i)) {
                s.shaping = None;
            }
            if !group.contains(&Asked::Length(p, i)) && (s.length != Length::AsShaped || s.shaping.is_none()) {
                s.length = Length::Rows(ROOM / (2 * s.row_multiple()) * 2 * s.row_multiple());
                d.length = None;
            }
        }
    }
    // A seam counts only where the lengths of both its edges are asked for.
    let asks = |e: &crate::design::Edge| match e.kind {
        EdgeKind::CastOn => group.contains(&Asked::Width(e.piece, 0)),
        EdgeKind::Ending | EdgeKind::Shoulder(_) => {
            let last = design.pieces[e.piece].stretches.len() - 1;
            group.contains(&Asked::Width(e.piece, last)) || group.contains(&Asked::End(e.piece, last))
        }
        EdgeKind::Left | EdgeKind::Right | EdgeKind::Neck | EdgeKind::Slit => {
            e.stretches.iter().all(|i| group.contains(&Asked::Length(e.piece, *i)))
        }
    };
    let meets: Vec<bool> =
        design.meetings().enumerate().map(|(k, s)| group.contains(&Asked::Seam(k)) && s.edges().all(asks)).collect();
    let (sewn, hung) = meets.split_at(design.seams.len());
    let (mut sewn, mut hung) = (sewn.iter(), hung.iter());
    design.seams.retain(|_| sewn.next() == Some(&true));
    design.joins.retain(|_| hung.next() == Some(&true));
    let Some(problem) = problem(&design, size, &draft, true, &mut Notices::default()) else { return false };
    match problem.search(&problem.free(), Equal::Eased) {
        Searched::Best(s) => s.cost < EXACT / 2.0,
        Searched::Nothing => false,
        Searched::GaveUp => true,
    }
}

fn told(design: &Design, a: Asked) -> Clashing {
    let of = |p: usize, i: usize| {
        let piece = &design.pieces[p];
        (piece.name.clone(), &piece.stretches[i])
    };
    let shaped = |s: &crate::design::Stretch| s.shaping.as_ref().map_or(s.span, |sh| sh.span);
    match a {
        Asked::Width(p, i) => {
            let (piece, s) = of(p, i);
            let span = s.wished.as_ref().map_or(s.span, |w| w.span);
            let (stretch, fabric) = (s.name.clone(), s.fabric.name.clone());
            Clashing { span, wish: ClashingWish::Width { stretch, fabric, piece } }
        }
        Asked::End(p, i) => {
            let (piece, s) = of(p, i);
            Clashing { span: shaped(s), wish: ClashingWish::End { stretch: s.name.clone(), piece } }
        }
        Asked::Length(p, i) => {
            let (piece, s) = of(p, i);
            Clashing { span: s.length_span, wish: ClashingWish::Length { stretch: s.name.clone(), piece } }
        }
        Asked::Shaping(p, i) => {
            let (piece, s) = of(p, i);
            Clashing { span: shaped(s), wish: ClashingWish::Shaping { stretch: s.name.clone(), piece } }
        }
        Asked::Ends(p) => {
            let piece = &design.pieces[p];
            Clashing { span: piece.span, wish: ClashingWish::Ends { piece: piece.name.clone() } }
        }
        Asked::Seam(k) => {
            let s = design.meetings().nth(k);
            let (span, seam) = s.map_or_else(Default::default, |s| (s.span, s.name.clone()));
            Clashing { span, wish: ClashingWish::Seam { seam } }
        }
    }
}
