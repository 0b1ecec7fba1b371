//! Edges sewn together must be equally long, and lie where the seam puts them.

use crate::design::{Design, Edge, Fullness, Join, JoinAt, Seam, Size};
use crate::draft::Draft;
use crate::fact::{CheckFact, ClashingWish, Counted, EdgeSize};
use crate::fit::{meeting, part_and_whole};
use crate::notice::{Notice, Notices};
use crate::stitches::{EASED, Stitches, clash, hung_parts};

/// Sewn edges must match: rows to rows within two (textbook, mattress stitch), else eased, else refused.
pub(in crate::check) fn seams_meet(
    design: &Design,
    (draft, stitches): (&Draft, &Stitches),
    size: &Size,
    notices: &mut Notices,
) {
    let mut group: Option<Vec<ClashingWish>> = None;
    for join in &design.joins {
        enough_places(design, join, stitches, size, notices);
    }
    for seam in design.meetings() {
        let m = meeting(design, seam, stitches);
        if let Some([a, b]) = seam.one_to_one() {
            placed(design, (seam, a, b), stitches, size, notices);
            placed(design, (seam, b, a), stitches, size, notices);
        }
        let (a, b) = (m.length[0].0, m.length[1].0);
        let edge =
            |i: usize| EdgeSize { count: m.count[i], counted: m.counted[i], length: design.show.length(m.length[i]) };
        let (edges, name) = ([edge(0), edge(1)], seam.name.clone());
        if let Some(Fullness { percent: asked, .. }) = seam.fullness {
            let percent = (a / b.max(1.0) - 1.0) * 100.0;
            if percent < asked.0 - ROUNDED || percent > asked.1 + ROUNDED {
                let size = size.name.clone();
                let fact = CheckFact::FullnessMissed { seam: name, size, edges, percent, asked };
                notices.push(Notice::error(seam.span, fact));
            }
            continue;
        }
        if seam.by_stitches && m.count[0] == m.count[1] {
            continue;
        }
        let alike = m.counted[0] == m.counted[1];
        let off = (a - b).abs() / a.max(b).max(1.0);
        // Rows of two fabrics differ in length: easing is measured in millimetres.
        let each = [a / f64::from(m.count[0].max(1)), b / f64::from(m.count[1].max(1))];
        let longer = usize::from(b > a);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the rows of an edge")]
        let more = ((a - b).abs() / each[longer].max(0.01)).round() as u32;
        // As many rows of one fabric at both edges are sewn row to row, however their edges slant.
        let rows = m.counted == [Counted::Rows; 2] && m.count[0] == m.count[1];
        if alike && (more <= 2 || rows) && off <= EASED {
            continue;
        }
        // A stitch or two are eased in however short the edge is.
        let short = m.counted == [Counted::Stitches; 2] && more <= 2;
        if off > EASED && !short || seam.by_stitches {
            notices.push(Notice::error(
                seam.span,
                CheckFact::EdgesDoNotMeet {
                    seam: name,
                    size: size.name.clone(),
                    edges,
                    wishes: group.get_or_insert_with(|| clashing(design, size, draft)).clone(),
                },
            ));
        } else if alike {
            let kept = m.count[longer].saturating_sub(more);
            notices.push(Notice::warning(
                seam.span,
                CheckFact::EdgesDiffer { seam: name, size: size.name.clone(), edges, more, every: kept / more.max(1) },
            ));
        }
    }
}

/// Fullness is shown in tenths of a percent.
const ROUNDED: f64 = 0.05;

/// Every needle needs a place of its own on the edge that is hung.
fn enough_places(design: &Design, join: &Join, stitches: &Stitches, size: &Size, notices: &mut Notices) {
    let m = meeting(design, &join.seam, stitches);
    if matches!(join.at, JoinAt::Side { .. }) {
        if m.count[0] != m.count[1] {
            let (piece, size) = (join.seam.name.clone(), size.name.clone());
            let fact = CheckFact::JoinedRowsDiffer { piece, size, rows: m.count };
            notices.push(Notice::error(join.seam.span, fact));
        }
        return;
    }
    let times = if join.twice { 2 } else { 1 };
    let parts = |e: &Edge| hung_parts(&design.pieces[e.piece], &stitches.pieces[e.piece], e);
    let places: u32 = join.seam.sides[1].iter().flat_map(parts).map(|p| p.part.run.count).sum();
    if m.count[0] > times * places {
        let (piece, size) = (join.seam.name.clone(), size.name.clone());
        let fact = CheckFact::PlacesTwice { piece, size, needles: m.count[0], places };
        notices.push(Notice::error(join.seam.span, fact));
    }
}

/// The smallest group of conflicting targets, if it has several.
fn clashing(design: &Design, size: &Size, draft: &Draft) -> Vec<ClashingWish> {
    let group: Vec<ClashingWish> = clash(design, size, draft).into_iter().map(|c| c.wish).collect();
    if group.len() < 2 { Vec::new() } else { group }
}

/// Parts sewn to places along a row must lie on it and not overlap.
fn placed(
    design: &Design,
    (seam, long, short): (&Seam, &Edge, &Edge),
    stitches: &Stitches,
    size: &Size,
    notices: &mut Notices,
) {
    if long.middles.is_empty() {
        return;
    }
    let (part, whole) = part_and_whole(design, short, long, stitches);
    let mut middles = long.middles.clone();
    middles.sort_by(f64::total_cmp);
    let begins: Vec<f64> = middles.iter().map(|m| m * whole - part / 2.0).collect();
    let off = begins.iter().any(|b| *b < -0.5 || b + part > whole + 0.5);
    let over = begins.windows(2).any(|w| w[1] - w[0] < part - 0.5);
    if off || over {
        let (seam, size) = (seam.name.clone(), size.name.clone());
        let fact = CheckFact::PartsMisplaced { seam, size, over: off, part, whole };
        notices.push(Notice::error(long.span, fact));
    }
}
