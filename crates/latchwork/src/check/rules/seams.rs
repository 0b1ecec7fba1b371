//! Edges sewn together must be equally long, and lie where the seam puts them.

use crate::design::{Design, Edge, Seam, Size};
use crate::draft::Draft;
use crate::fact::{CheckFact, ClashingWish, EdgeSize};
use crate::fit::{meeting, part_and_whole};
use crate::notice::{Notice, Notices};
use crate::stitches::{EASED, Stitches, clash};

/// Sewn edges must match: rows to rows within two (textbook, mattress stitch), else eased, else refused.
pub(in crate::check) fn seams_meet(
    design: &Design,
    (draft, stitches): (&Draft, &Stitches),
    size: &Size,
    notices: &mut Notices,
) {
    let mut group: Option<Vec<ClashingWish>> = None;
    for seam in &design.seams {
        let m = meeting(design, seam, stitches);
        for edge in &seam.edges {
            placed(design, seam, edge, stitches, size, notices);
        }
        let alike = m.side[0] == m.side[1];
        let (a, b) = (m.length[0].0, m.length[1].0);
        let off = (a - b).abs() / a.max(b).max(1.0);
        // Rows of two fabrics differ in length: easing is measured in millimetres.
        let each = [a / f64::from(m.count[0].max(1)), b / f64::from(m.count[1].max(1))];
        let longer = usize::from(b > a);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the rows of an edge")]
        let more = ((a - b).abs() / each[longer].max(0.01)).round() as u32;
        if alike && more <= 2 && off <= EASED {
            continue;
        }
        let edge = |i: usize| EdgeSize { count: m.count[i], rows: m.side[i], length: design.show.length(m.length[i]) };
        let (edges, name) = ([edge(0), edge(1)], seam.name.clone());
        if off > EASED {
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

/// The smallest group of conflicting targets, if it has several.
fn clashing(design: &Design, size: &Size, draft: &Draft) -> Vec<ClashingWish> {
    let group: Vec<ClashingWish> = clash(design, size, draft).into_iter().map(|c| c.wish).collect();
    if group.len() < 2 { Vec::new() } else { group }
}

/// Parts sewn to places along a row must lie on it and not overlap.
fn placed(design: &Design, seam: &Seam, edge: &Edge, stitches: &Stitches, size: &Size, notices: &mut Notices) {
    if edge.middles.is_empty() {
        return;
    }
    let other = if seam.edges[0] == *edge { &seam.edges[1] } else { &seam.edges[0] };
    let (part, whole) = part_and_whole(design, seam, other, edge, stitches);
    let mut middles = edge.middles.clone();
    middles.sort_by(f64::total_cmp);
    let begins: Vec<f64> = middles.iter().map(|m| m * whole - part / 2.0).collect();
    let off = begins.iter().any(|b| *b < -0.5 || b + part > whole + 0.5);
    let over = begins.windows(2).any(|w| w[1] - w[0] < part - 0.5);
    if off || over {
        let (seam, size) = (seam.name.clone(), size.name.clone());
        let fact = CheckFact::PartsMisplaced { seam, size, over: off, part, whole };
        notices.push(Notice::error(edge.span, fact));
    }
}
