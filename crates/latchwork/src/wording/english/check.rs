//! Of what was found when a piece was rehearsed, measured and weighed.

use latchwork_machine::fault::Fault;

use super::part::part;
use super::stitches::wish;
use super::{counted, fault};
use crate::fact::{CheckFact as F, ClashingWish, Craft, Detail, EdgeSize, Rehearsed, StepPlace};
use crate::units::{counter, dial};
use crate::wording::{Language, Told, say};

/// What a rule of the craft says.
pub(in crate::wording) fn craft(rule: Craft, t: Language) -> Told {
    match rule {
        Craft::TucksSideBySide => {
            Told::new(say!(t, "Two neighbouring needles tuck, with nothing knitted between them."))
                .because(say!(t, "The strand lies across both hooks and can slip off one."))
                .hint(say!(t, "Let every tuck stand between needles that knit."))
        }
        Craft::NearBedEnd => Told::new(say!(t, "The work reaches the end of the bed."))
            .because(say!(t, "The carriage needs two to five free needles at each side to clear the work."))
            .hint(say!(t, "Use fewer needles, or knit it in two pieces.")),
        Craft::RackedFar => {
            Told::new(say!(t, "The ribber is racked by two needles or more at once, with loops on it."))
                .because(say!(t, "The yarn between the beds does not stretch so far."))
                .hint(say!(t, "Rack one needle, knit a row, and rack the next."))
        }
        Craft::WeightsNotMoved => Told::new(say!(t, "More than 40 rows are knitted without moving the weights up."))
            .because(say!(t, "Far below the needles they no longer hold the edges down."))
            .hint(say!(t, "Move the claws up every 20 to 40 rows.")),
        Craft::LooseCastOn => {
            Told::new(say!(t, "The zigzag row of the cast-on is not tighter than the fabric after it."))
                .because(say!(t, "The edge flares."))
                .hint(say!(t, "Knit the zigzag at the tightest size."))
        }
        Craft::LongTurn => Told::new(say!(t, "At a turn the yarn lies past more needles than a float may."))
            .because(say!(t, "The strand hangs loose at the edge, or draws it in."))
            .hint(say!(
                t,
                "Hold needles at the side that the carriage goes to, or cut the yarn and join it where it is needed."
            )),
        Craft::WrappedAwayFromYarn => Told::new(say!(t, "Needles are wrapped at the side where the yarn is not."))
            .because(say!(t, "The yarn would lie across the whole work."))
            .hint(say!(t, "Wrap new needles at the carriage's side.")),
        Craft::TightBindOff => {
            Told::new(say!(t, "The last row is less than two numbers looser than the stretch that it ends."))
                .because(say!(t, "A chain is only as wide as the row under it."))
                .hint(say!(t, "Knit the last row two to five numbers looser."))
        }
        Craft::TwoBedsUnweighted => Told::new(say!(t, "Both beds knit with nothing hanging from the work."))
            .because(say!(t, "The loops ride up between the beds and jump off."))
            .hint(say!(t, "Hang weights, or move the work to the main bed first.")),
        Craft::BoundOffHolding => {
            Told::new(say!(t, "Stitches are made fast on needles that are still in holding position."))
                .because(say!(
                    t,
                    "They did not knit in the row before, so the edge is tight and the rows under it are short."
                ))
                .hint(say!(t, "Write back to work all, and knit a row over them first."))
        }
        Craft::OtherPitch => Told::new(say!(t, "The ribber does not stand at the pitch of this fabric."))
            .because(say!(t, "Its needles are not midway between their neighbours, so the stitches come out uneven."))
            .hint(say!(t, "Set the pitch back before these rows.")),
    }
}

/// Where it was found, after what was found: piece, part, counter, step.
fn placed(what: &str, place: &StepPlace, more: &str, t: Language) -> String {
    let StepPlace { piece: whole, part: name, counter: reads, step } = place;
    let piece = super::piece(whole, t);
    let (part, reads, step) = (part(name, t), counter(*reads), step + 1);
    say!(t, "{what} ({piece}, {part}, counter {reads}, step {step}{more}.)", what, piece, part, reads, step, more)
}

fn rehearsed(r: &Rehearsed, t: Language) -> Told {
    let told = fault::told(&r.fault, r.tucks, t);
    let what = match (&r.fault, &r.yarn) {
        (Fault::NoYarn { .. }, Some(yarn)) => say!(t, "The yarn \"{yarn}\" is not joined.", yarn),
        _ => told.message,
    };
    let hints = if r.racked { vec![say!(t, "Rack the ribber back to zero first.")] } else { told.hints };
    let (needles, times) = (r.needles, r.times);
    let mut more = String::new();
    if needles > 1 {
        more += &say!(t, ", {needles} needles", needles);
    }
    if times > 1 {
        more += &say!(t, ", {times} times", times);
    }
    Told { message: placed(&what, &r.place, &more, t), why: told.why, hints }
}

fn detail(detail: Detail, t: Language) -> String {
    match detail {
        Detail::Nothing => String::new(),
        Detail::Needle(n) => say!(t, ", {n}", n = fault::needle_name(n, t)),
        Detail::First(n) => say!(t, ", {n} first", n = fault::needle_name(n, t)),
        Detail::Both(a, b) => say!(t, ", {a} and {b}", a = fault::needle_name(a, t), b = fault::needle_name(b, t)),
        Detail::FromTo(a, b) => {
            say!(t, ", from {a} to {b}", a = fault::needle_name(a, t), b = fault::needle_name(b, t))
        }
        Detail::By { needles } => say!(t, ", by {needles} needles", needles),
    }
}

fn edges(edges: &[EdgeSize; 2], t: Language) -> String {
    let edge = |e: &EdgeSize| {
        let EdgeSize { count, rows: of_rows, length } = e;
        let count = if *of_rows { counted::rows(count, t) } else { counted::stitches(count, t) };
        say!(t, "{count} ({length})", count, length)
    };
    let (one, other) = (edge(&edges[0]), edge(&edges[1]));
    say!(t, "One has {one}, the other {other}.", one, other)
}

fn clash(wishes: &[ClashingWish], t: Language) -> String {
    if wishes.is_empty() {
        return String::new();
    }
    let wishes = wishes.iter().map(|w| wish(w, t)).collect::<Vec<_>>().join("; ");
    say!(t, " These clash: {wishes}.", wishes)
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
            Told::new(say!(t, "\"{part}\" was not knitted as it was drafted.", part)).because(say!(
                t,
                "Drafted {drafted} ending on {ending}; knitted {knitted} ending on {on}.",
                drafted = counted::rows(drafted, t),
                ending = counted::needles(ending, t),
                knitted = counted::rows(knitted, t),
                on = counted::needles(on, t)
            ))
        }
        F::BindsOffTight { piece, last, stretch } => {
            let (last, stretch) = (dial(*last), dial(*stretch));
            Told::new(say!(t, "The last row of \"{piece}\" may bind off tight.", piece = super::piece(piece, t)))
                .because(say!(
                    t,
                    "It is knitted at {last}, and its fabric at {stretch}: less than two numbers looser.",
                    last,
                    stretch
                ))
                .hint(say!(t, "Knit the fabric tighter, or bind off by hand loosely."))
        }
        F::RunsOut { size, yarn, surely, takes, range, have } => {
            let why = say!(t, "It takes {takes} ± {range} and you have {have}.", takes, range, have);
            if *surely {
                Told::new(say!(t, "Size {size} runs out of \"{yarn}\".", size, yarn))
                    .because(why)
                    .hint(say!(t, "Leave this size out with --size, make a stretch shorter, or find more yarn."))
            } else {
                Told::new(say!(t, "Size {size} may run out of \"{yarn}\".", size, yarn))
                    .because(why)
                    .hint(say!(t, "Weigh what is left after the first piece before you begin the next."))
            }
        }
        F::YarnNotKnown { fabric } => Told::new(say!(t, "How much yarn {fabric} takes is not known.", fabric))
            .because(say!(
                t,
                "Its swatch was not weighed, and only plain knitting has published constants to reckon with."
            ))
            .hint(say!(t, "Weigh the whole swatch and write weighed (g)… needles=… passes=…")),
        F::SizesAlike { first, second } => {
            Told::new(say!(t, "Sizes {first} and {second} come out alike, to the needle.", first, second))
                .because(say!(t, "Their measures differ by less than the fabric can follow."))
                .hint(say!(t, "Leave one of them out."))
        }
        F::EdgesDoNotMeet { seam, size, edges: both, wishes } => {
            Told::new(say!(t, "The edges of the seam \"{seam}\" do not meet in size {size}.", seam, size))
                .because(format!("{}{}", edges(both, t), clash(wishes, t)))
                .hint(say!(t, "Make the two stretches equally long, or sew another stretch of the edge."))
        }
        F::EdgesDiffer { seam, size, edges: both, more, every } => {
            Told::new(say!(t, "The edges of the seam \"{seam}\" differ in size {size}.", seam, size))
                .because(edges(both, t))
                .hint(say!(t, "Ease in {more} over the seam, one in about every {every}.", more, every))
        }
        F::PartsMisplaced { seam, size, over, part, whole } => Told::new(if *over {
            say!(t, "The parts sewn in \"{seam}\" hang over the end of the row in size {size}.", seam, size)
        } else {
            say!(t, "The parts sewn in \"{seam}\" lie one on another in size {size}.", seam, size)
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
                        "It must stretch by {needed:.0} %, and {fabric} was measured to allow {allowed:.0} %.",
                        needed,
                        fabric,
                        allowed
                    ))
                    .hint(say!(t, "Give it less negative ease, or a fabric that stretches more."))
            } else {
                Told::new(message)
                    .because(say!(
                        t,
                        "It must stretch by {needed:.0} %, and {fabric} usually allows {allowed:.0} %.",
                        needed,
                        fabric,
                        allowed
                    ))
                    .hint(say!(t, "Draw a swatch out as far as it comfortably goes, and write stretches (cm)… in it."))
            }
        }
    }
}
