//! Sentences for findings in rehearsal, measures and yarn.

use latchwork_machine::fault::Fault;

use super::part::part;
use super::stitches::wish;
use super::{counted, fault};
use crate::fact::{CheckFact as F, ClashingWish, Counted, Craft, Detail, EdgeSize, Rehearsed, StepPlace};
use crate::units::{counter, dial};
use crate::wording::{Language, Told, capital, say};

/// The sentence of a craft rule.
pub(in crate::wording) fn craft(rule: Craft, t: Language) -> Told {
    match rule {
        Craft::TucksSideBySide => Told::new(say!(t, "Two neighbouring needles both tuck."))
            .because(say!(t, "The yarn lies across both hooks and can slip off one."))
            .hint(say!(t, "Put a needle that knits on each side of every tuck.")),
        Craft::ThreeTucks => Told::new(say!(t, "3 neighbouring needles tuck."))
            .because(say!(t, "The yarn lies across the hooks, held by none of them, and slips off."))
            .hint(say!(t, "Put a needle that knits between them.")),
        Craft::NearBedEnd => Told::new(say!(t, "The work reaches the end of the bed."))
            .because(say!(t, "The carriage needs 2 to 5 free needles at each side to clear the work."))
            .hint(say!(t, "Use fewer needles, or knit it in two pieces.")),
        Craft::RackedFar => Told::new(say!(t, "The ribber is racked 2 needles or more at once, with stitches on it."))
            .because(say!(t, "The yarn between the beds does not stretch that far."))
            .hint(say!(t, "Rack 1 needle, knit 1 row, rack the next.")),
        Craft::WeightsNotMoved => {
            Told::new(say!(t, "More than 40 rows are knitted without moving the claw weights up."))
                .because(say!(t, "Too far below the needles, they no longer hold the edges down."))
                .hint(say!(t, "Move the claw weights up every 20 to 40 rows."))
        }
        Craft::LooseCastOn => Told::new(say!(t, "The zigzag row is as loose as the fabric after it."))
            .because(say!(t, "The edge would flare."))
            .hint(say!(t, "Knit the zigzag row at the smallest stitch size.")),
        Craft::LongTurn => Told::new(say!(t, "At a turn the yarn passes more needles than a float may."))
            .because(say!(t, "The yarn hangs loose at the edge, or pulls it in."))
            .hint(say!(
                t,
                "Bring needles to holding position at the side the carriage goes to, or cut the yarn and thread it again where it is needed."
            )),
        Craft::WrappedAwayFromYarn => Told::new(say!(t, "Needles are e-wrapped at the end away from the yarn."))
            .because(say!(t, "The yarn would cross the whole piece."))
            .hint(say!(t, "E-wrap new needles at the carriage side.")),
        Craft::TightBindOff => {
            Told::new(say!(t, "The last row is less than 2 numbers looser than the section before it."))
                .because(say!(t, "A chain is only as wide as the row below it."))
                .hint(say!(t, "Knit the last row 2 to 5 numbers looser."))
        }
        Craft::TwoBedsUnweighted => Told::new(say!(t, "Both beds knit with no weight on the work."))
            .because(say!(t, "The stitches ride up between the beds and jump off."))
            .hint(say!(t, "Hang weights, or transfer the work to the main bed first.")),
        Craft::BoundOffHolding => Told::new(say!(t, "Stitches are cast off from needles still in holding position."))
            .because(say!(t, "They did not knit in the last row, so the edge is tight."))
            .hint(say!(t, "Write back to work all, and knit 1 row over them first.")),
        Craft::OtherPitch => Told::new(say!(t, "The ribber is not at the pitch of this fabric."))
            .because(say!(t, "Its needles are not midway between their neighbours, so the stitches are uneven."))
            .hint(say!(t, "Change the pitch back before these rows.")),
    }
}

/// A finding followed by its place: piece, part, counter, step.
fn placed(what: &str, place: &StepPlace, more: &str, t: Language) -> String {
    let StepPlace { piece: whole, part: name, counter: reads, step } = place;
    let piece = capital(&super::piece(whole, t));
    let (part, reads, step) = (part(name, t), counter(*reads), step + 1);
    say!(t, "{what} {piece}, {part} · counter {reads} · step {step}{more}", what, piece, part, reads, step, more)
}

fn rehearsed(r: &Rehearsed, t: Language) -> Told {
    let told = fault::told(&r.fault, r.tucks, t);
    let what = match (&r.fault, &r.yarn) {
        (Fault::NoYarn { .. }, Some(yarn)) => say!(t, "The yarn \"{yarn}\" is not threaded.", yarn),
        _ => told.message,
    };
    let hints = if r.racked { vec![say!(t, "Rack the ribber back first.")] } else { told.hints };
    let (needles, times) = (r.needles, r.times);
    let mut more = String::new();
    if needles > 1 {
        more += &say!(t, " · {needles} needles", needles);
    }
    if times > 1 {
        more += &say!(t, " · {times} times", times);
    }
    Told { message: placed(&what, &r.place, &more, t), why: told.why, hints }
}

fn detail(detail: Detail, t: Language) -> String {
    match detail {
        Detail::Nothing => String::new(),
        Detail::Needle(n) => say!(t, " · {n}", n = fault::needle_name(n, t)),
        Detail::First(n) => say!(t, " · {n} first", n = fault::needle_name(n, t)),
        Detail::Both(a, b) => say!(t, " · {a} and {b}", a = fault::needle_name(a, t), b = fault::needle_name(b, t)),
        Detail::FromTo(a, b) => {
            say!(t, " · from {a} to {b}", a = fault::needle_name(a, t), b = fault::needle_name(b, t))
        }
        Detail::By { needles } => say!(t, " · by {needles} needles", needles),
    }
}

fn edges(edges: &[EdgeSize; 2], t: Language) -> String {
    let edge = |e: &EdgeSize| {
        let EdgeSize { count, counted: what, length } = e;
        let count = match what {
            Counted::Rows => counted::rows(count, t),
            Counted::Stitches => counted::stitches(count, t),
            Counted::Mixed => return length.clone(),
        };
        say!(t, "{count}, {length}", count, length)
    };
    let (one, other) = (edge(&edges[0]), edge(&edges[1]));
    say!(t, "One has {one}; the other has {other}.", one, other)
}

fn clash(wishes: &[ClashingWish], t: Language) -> String {
    if wishes.is_empty() {
        return String::new();
    }
    let wishes = wishes.iter().map(|w| wish(w, t)).collect::<Vec<_>>().join("; ");
    say!(t, " These conflict: {wishes}.", wishes)
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::Rehearsed(r) => rehearsed(r, t),
        F::Craft { rule, place, detail: d } => {
            let told = craft(*rule, t);
            Told { message: placed(&told.message, place, &detail(*d, t), t), ..told }
        }
        F::NotAsDrafted { part: name, drafted: (drafted, ending), knitted: (knitted, on) } => {
            let part = part(name, t);
            Told::new(say!(t, "\"{part}\" is not knitted as drafted.", part)).because(say!(
                t,
                "Drafted: {drafted}, ending on {ending}. Knitted: {knitted}, ending on {on}.",
                drafted = counted::rows(drafted, t),
                ending = counted::needles(ending, t),
                knitted = counted::rows(knitted, t),
                on = counted::needles(on, t)
            ))
        }
        F::BindsOffTight { piece, last, stretch } => {
            let (last, stretch) = (dial(*last), dial(*stretch));
            Told::new(say!(t, "The cast-off of \"{piece}\" may be tight.", piece = super::piece(piece, t)))
                .because(say!(
                    t,
                    "Its last row is at {last} and its fabric at {stretch}: less than 2 numbers looser.",
                    last,
                    stretch
                ))
                .hint(say!(t, "Knit the fabric tighter, or cast off loosely by hand."))
        }
        F::RunsOut { size, yarn, surely, takes, range, have } => {
            let why = say!(t, "It takes {takes} ± {range}. You have {have}.", takes, range, have);
            if *surely {
                Told::new(say!(t, "Size {size} runs out of \"{yarn}\".", size, yarn))
                    .because(why)
                    .hint(say!(t, "Leave this size out with --size, make a section shorter, or find more yarn."))
            } else {
                Told::new(say!(t, "Size {size} may run out of \"{yarn}\".", size, yarn))
                    .because(why)
                    .hint(say!(t, "Weigh what is left after the first piece before you start the next."))
            }
        }
        F::YarnNotKnown { fabric } => Told::new(say!(t, "The yarn that {fabric} takes is not known.", fabric))
            .because(say!(t, "Its swatch was not weighed, and published figures exist only for plain."))
            .hint(say!(t, "Weigh the whole swatch and write weighed (g)… needles=… passes=…")),
        F::SizesAlike { first, second } => {
            Told::new(say!(t, "Sizes {first} and {second} are the same, to the needle.", first, second))
                .because(say!(t, "Their measurements differ by less than 1 step of the fabric."))
                .hint(say!(t, "Leave one out."))
        }
        F::EdgesDoNotMeet { seam, size, edges: both, wishes } => {
            Told::new(say!(t, "Seam \"{seam}\", size {size}: the edges do not meet.", seam, size))
                .because(format!("{}{}", edges(both, t), clash(wishes, t)))
                .hint(say!(t, "Make the two sections equally long, or sew another section of the edge."))
        }
        F::FullnessMissed { seam, size, edges: both, percent, asked } => {
            // A first side that is always shorter is told so.
            let shorter = asked.1 <= 0.0;
            let (least, most) = if shorter { (-asked.1, -asked.0) } else { *asked };
            let nearest = if shorter { -percent } else { *percent };
            let should = if shorter {
                say!(t, "The first side should be {least:.1}% to {most:.1}% shorter than the second.", least, most)
            } else {
                say!(t, "The first side should be {least:.1}% to {most:.1}% longer than the second.", least, most)
            };
            Told::new(say!(t, "Seam \"{seam}\", size {size}: the fullness asked for cannot be had.", seam, size))
                .because(say!(
                    t,
                    "{should} The nearest is {nearest:.1}%. {edges}",
                    should,
                    nearest,
                    edges = edges(both, t)
                ))
                .hint(say!(t, "Change the length or the width at the end of the first side, or the fullness."))
        }
        F::JoinedRowsDiffer { piece, size, rows } => Told::new(say!(
            t,
            "\"{piece}\", size {size}: what is joined as it grows has {a} rows, and the other edge {b}.",
            piece,
            size,
            a = rows[0],
            b = rows[1]
        ))
        .because(say!(t, "Every second row of the one is hung at every second row of the other."))
        .hint(say!(t, "Give both as many rows, or sew them.")),
        F::PlacesTwice { piece, size, needles, places } => Told::new(say!(
            t,
            "\"{piece}\", size {size}: {needles} needles for {places} places of the edge that hangs on them.",
            piece,
            size,
            needles,
            places
        ))
        .because(say!(t, "No place is hung twice."))
        .hint(say!(t, "Make the piece narrower, or its stitches wider."))
        .hint(say!(t, "Or write twice=\"yes\": places are then hung twice where it must be.")),
        F::EdgesDiffer { seam, size, edges: both, more, every } => {
            Told::new(say!(t, "Seam \"{seam}\", size {size}: the edges differ.", seam, size))
                .because(edges(both, t))
                .hint(say!(t, "Ease in {more} over the seam, 1 in about every {every}.", more, every))
        }
        F::PartsMisplaced { seam, size, over, part, whole } => Told::new(if *over {
            say!(t, "Seam \"{seam}\", size {size}: the parts reach past the end of the row.", seam, size)
        } else {
            say!(t, "Seam \"{seam}\", size {size}: the parts overlap.", seam, size)
        })
        .because(say!(t, "Each takes {part:.0} of {whole:.0} stitches.", part, whole))
        .hint(say!(t, "Change the middles, or the widths.")),
        F::TooTight { stretch: of, at_end, size, past, measured, fabric, needed, allowed } => {
            let stretch = if *at_end { say!(t, "{of}, end", of) } else { of.clone() };
            let message = match (past, measured) {
                (Some(past), true) => {
                    say!(t, "\"{stretch}\" is too tight to pass over the {past} in size {size}.", stretch, past, size)
                }
                (Some(past), false) => say!(
                    t,
                    "\"{stretch}\" may be too tight to pass over the {past} in size {size}.",
                    stretch,
                    past,
                    size
                ),
                (None, true) => say!(t, "\"{stretch}\" is too tight for its fabric in size {size}.", stretch, size),
                (None, false) => {
                    say!(t, "\"{stretch}\" may be too tight for its fabric in size {size}.", stretch, size)
                }
            };
            if *measured {
                Told::new(message)
                    .because(say!(
                        t,
                        "It needs to stretch by {needed:.0}%. {fabric} was measured to stretch by {allowed:.0}%.",
                        needed,
                        fabric,
                        allowed
                    ))
                    .hint(say!(t, "Give it less negative ease, or a fabric that stretches more."))
            } else {
                Told::new(message)
                    .because(say!(
                        t,
                        "It needs to stretch by {needed:.0}%. {fabric} usually stretches by {allowed:.0}%.",
                        needed,
                        fabric,
                        allowed
                    ))
                    .hint(say!(t, "Stretch a swatch as far as it goes comfortably, and write stretches (cm)… in it."))
            }
        }
    }
}
