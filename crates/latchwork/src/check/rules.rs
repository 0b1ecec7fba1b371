//! The rules that need more than the machine: drafted against knitted, endings that stretch, edges that meet,
//! yarn in hand.

use std::collections::BTreeSet;

use latchwork_machine::loops::LoopId;
use latchwork_machine::needle::Needle;
use latchwork_machine::rehearsal::{Ended, Run};
use latchwork_machine::steps::{Action, Pass, Setting, Way, Yarn};

use crate::cloth::Amount;
use crate::design::{Design, Edge, Seam, Size};
use crate::draft::Draft;
use crate::fit::{Line, meeting, part_and_whole};
use crate::notice::{Notice, Notices};
use crate::plan::{PartKind, PiecePlan};
use crate::stitches::{EASED, Stitches, clash};
use crate::units::Grams;

/// Every stretch must have the needles and passes that were worked out for it.
pub(super) fn knitted_as_drafted(plan: &PiecePlan, stitches: &Stitches, run: &Run, notices: &mut Notices) {
    if run.ended != Ended::Finished {
        return;
    }
    for (origin, part) in plan.origins.iter().enumerate() {
        let drafted = part.stretch().filter(|_| part.fabric().is_some());
        let Some(worked) = drafted.and_then(|i| stitches.pieces[plan.piece].stretches.get(i)) else { continue };
        let mut steps = plan.plan.steps.iter().enumerate().filter(|(_, s)| s.origin.0 as usize == origin);
        let passes = steps.clone().filter(|(_, s)| matches!(s.action, Action::Pass(_))).count();
        // Needles brought in after the last row in which they could knit take their first loops in one to come.
        let mut empty: BTreeSet<Needle> = BTreeSet::new();
        for (i, s) in steps.clone() {
            match &s.action {
                Action::IntoWork(n) => empty.extend(n),
                Action::Pass(_) if !empty.is_empty() => {
                    run.made_in(i).for_each(|l| {
                        empty.remove(&run.loops.needle(LoopId(l)));
                    });
                }
                _ => {}
            }
        }
        let brought = u32::try_from(empty.len()).unwrap_or(u32::MAX);
        let after = steps.next_back().and_then(|(i, _)| run.readings.get(i)).map_or((0, 0), |r| r.stitches);
        let wanted = (worked.rows + u32::from(worked.clearing), worked.needles_end);
        let is = (u32::try_from(passes).unwrap_or(u32::MAX), after.0 + after.1 + brought);
        if wanted != is {
            notices.push(
                Notice::error(part.span, format!("\"{}\" was not knitted as it was drafted.", part.label)).because(
                    format!(
                        "Drafted {} rows ending on {} needles; knitted {} rows ending on {}.",
                        wanted.0, wanted.1, is.0, is.1
                    ),
                ),
            );
        }
    }
}

/// The row before a bind-off must be at least two numbers looser than the stretch it ends.
pub(super) fn loose_enough(plan: &PiecePlan, notices: &mut Notices) {
    let steps = &plan.plan.steps;
    for (i, step) in steps.iter().enumerate() {
        let Action::Secure { needles, way: Way::LoopThroughLoop | Way::Chain, .. } = &step.action else { continue };
        let ending = plan.origins.get(step.origin.0 as usize).is_some_and(|p| p.kind == PartKind::Ending);
        if needles.len() < 2 || !ending {
            continue;
        }
        let working = |s: &&latchwork_machine::steps::Step| match &s.action {
            // Waste yarn and ravel cord are 1 and 2.
            Action::Pass(p @ Pass { yarn: Some(Yarn(0 | 3..)), .. }) if p.main.setting != Setting::Slip => {
                Some(p.main.dial.0)
            }
            _ => None,
        };
        let last = steps[..i].iter().rev().find_map(|s| working(&s).map(|d| (d, s.origin)));
        let stretch = steps[..i]
            .iter()
            .rev()
            .filter(|s| plan.origins[s.origin.0 as usize].fabric().is_some())
            .find_map(|s| working(&s));
        if let (Some((last, _)), Some(stretch)) = (last, stretch)
            && last < stretch + 6
        {
            let part = &plan.origins[step.origin.0 as usize];
            notices.push(
                Notice::warning(part.span, format!("The last row of \"{}\" may bind off tight.", plan.name))
                    .because(format!(
                        "It is knitted at {}, and its fabric at {}: less than two numbers looser.",
                        crate::units::dial(last),
                        crate::units::dial(stretch)
                    ))
                    .hint("Knit the fabric tighter, or bind off by hand loosely.")
                    .by("tight-bind-off"),
            );
        }
    }
}

/// Sewn edges must meet: rows to rows within two (textbook, mattress stitch), else eased, else refused.
pub(super) fn seams_meet(design: &Design, (draft, stitches): (&Draft, &Stitches), size: &Size, notices: &mut Notices) {
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

/// The rule that yarn must suffice. It is broken by what the knitter has, not by the piece.
pub const RUNS_OUT: &str = "runs-out";

/// The yarn that the knitter has must suffice.
pub(super) fn yarn_in_hand(design: &Design, amounts: &[Amount], size: &Size, notices: &mut Notices) {
    for (yarn, amount) in design.yarns.iter().zip(amounts) {
        let Some(have) = yarn.in_hand else { continue };
        let (need, range) = (amount.grams(yarn.tex).0, amount.grams_range(yarn.tex).0);
        let weighed = |g: f64| design.show.weighed(Grams(g));
        let takes = format!("It takes {} ± {} and you have {}.", weighed(need), weighed(range), weighed(have.0));
        if need > have.0 {
            notices.push(
                Notice::error(yarn.span, format!("Size {} runs out of \"{}\".", size.name, yarn.name))
                    .by(RUNS_OUT)
                    .because(takes)
                    .hint("Leave this size out with --size, make a stretch shorter, or find more yarn."),
            );
        } else if need + range > have.0 {
            notices.push(
                Notice::warning(yarn.span, format!("Size {} may run out of \"{}\".", size.name, yarn.name))
                    .because(takes)
                    .hint("Weigh what is left after the first piece before you begin the next."),
            );
        }
    }
}

/// A fabric must stretch as far as the body asks. What was measured on a swatch is a limit; the usual figure of a
/// fabric only a warning.
pub(super) fn stretches_enough(design: &Design, size: &Size, sheet: &[Line], notices: &mut Notices) {
    for line in sheet {
        let stretch = &design.pieces[line.piece].stretches[line.stretch];
        let span = stretch.wished.as_ref().map_or(stretch.span, |w| w.span);
        let name = line.name(design);
        let over = line.passes_over.as_ref().map(|(m, s)| (format!("to pass over the {}", m.replace('-', " ")), *s));
        let worn = line.stretch_worn.map(|s| ("for its fabric".to_string(), s));
        for (what, s) in worn.into_iter().chain(over).filter(|(_, s)| s.needed > s.allowed) {
            let why = format!(
                "It must stretch by {:.0} %, and {} {} {:.0} %.",
                s.needed * 100.0,
                stretch.fabric.name,
                if s.measured { "was measured to allow" } else { "usually allows" },
                s.allowed * 100.0
            );
            let notice = if s.measured {
                Notice::error(span, format!("\"{name}\" is too tight {what} in size {}.", size.name))
                    .hint("Give it less negative ease, or a fabric that stretches more.")
            } else {
                Notice::warning(span, format!("\"{name}\" may be too tight {what} in size {}.", size.name))
                    .hint("Draw a swatch out as far as it comfortably goes, and write stretches (cm)… in it.")
            };
            notices.push(notice.because(why));
        }
    }
}

/// Sizes that come out alike to the needle cannot be told apart when they are knitted.
pub(super) fn told_apart(design: &Design, settled: &[Option<Stitches>], found: &mut [Notices]) {
    for j in 1..settled.len() {
        let Some(stitches) = &settled[j] else { continue };
        let Some(i) = (0..j).find(|i| settled[*i].as_ref() == Some(stitches)) else { continue };
        let (a, b) = (&design.sizes[i], &design.sizes[j]);
        found[j].push(
            Notice::warning(b.span, format!("Sizes {} and {} come out alike, to the needle.", a.name, b.name))
                .because("Their measures differ by less than the fabric can follow.")
                .hint("Leave one of them out."),
        );
    }
}
