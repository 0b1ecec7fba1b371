//! Edges that are sewn together must be as long, and lie where the seam puts them.

use crate::design::{Design, Edge, Seam, Size};
use crate::draft::Draft;
use crate::fit::{meeting, part_and_whole};
use crate::notice::{Notice, Notices};
use crate::stitches::{EASED, Stitches, clash};

/// Sewn edges must meet: rows to rows within two (textbook, mattress stitch), else eased, else refused.
pub(in crate::check) fn seams_meet(
    design: &Design,
    (draft, stitches): (&Draft, &Stitches),
    size: &Size,
    notices: &mut Notices,
) {
    let mut group: Option<String> = None;
    for seam in &design.seams {
        let m = meeting(design, seam, stitches);
        for edge in &seam.edges {
            placed(design, seam, edge, stitches, size, notices);
        }
        let alike = m.side[0] == m.side[1];
        let (a, b) = (m.length[0].0, m.length[1].0);
        let off = (a - b).abs() / a.max(b).max(1.0);
        // Rows of two fabrics are of different length, so what is eased follows from millimetres.
        let each = [a / f64::from(m.count[0].max(1)), b / f64::from(m.count[1].max(1))];
        let longer = usize::from(b > a);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the rows of an edge")]
        let more = ((a - b).abs() / each[longer].max(0.01)).round() as u32;
        if alike && more <= 2 && off <= EASED {
            continue;
        }
        let what = |i: usize| format!("{} {}", m.count[i], if m.side[i] { "rows" } else { "stitches" });
        let long = |i: usize| design.show.length(m.length[i]);
        let why = format!("One has {} ({}), the other {} ({}).", what(0), long(0), what(1), long(1));
        if off > EASED {
            notices.push(
                Notice::error(
                    seam.span,
                    format!("The edges of the seam \"{}\" do not meet in size {}.", seam.name, size.name),
                )
                .because(format!("{why}{}", group.get_or_insert_with(|| clashing(design, size, draft))))
                .hint("Make the two stretches equally long, or sew another stretch of the edge."),
            );
        } else if alike {
            let kept = m.count[longer].saturating_sub(more);
            notices.push(
                Notice::warning(
                    seam.span,
                    format!("The edges of the seam \"{}\" differ in size {}.", seam.name, size.name),
                )
                .because(why)
                .hint(format!(
                    "Ease in {} over the seam, one in about every {}.",
                    more,
                    kept / more.max(1)
                )),
            );
        }
    }
}

/// The smallest group of wishes that clash, where it is told by several.
fn clashing(design: &Design, size: &Size, draft: &Draft) -> String {
    let group: Vec<String> = clash(design, size, draft).into_iter().map(|c| c.text).collect();
    if group.len() < 2 { String::new() } else { format!(" These clash: {}.", group.join("; ")) }
}

/// Parts sewn to places along a row must lie on it, and not one on another.
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
        let what = if off { "hang over the end of the row" } else { "lie one on another" };
        notices.push(
            Notice::error(edge.span, format!("The parts sewn in \"{}\" {what} in size {}.", seam.name, size.name))
                .because(format!("Each takes {part:.0} of {whole:.0} stitches."))
                .hint("Change the middles, or the widths."),
        );
    }
}
