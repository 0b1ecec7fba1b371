//! Sentences for the judge's findings.

use latchwork_machine::fault::Fault;
use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::steps::{Counted, Load};

use super::counted::{loops, needles, places};
use super::fabric::bed;
use crate::wording::{Language, Told, say};

/// A needle as knitters name it.
pub(super) fn needle_name(needle: Needle, t: Language) -> String {
    say!(t, "{bed} {slot}", bed = bed(needle.bed, t), slot = needle.slot)
}

pub(in crate::wording) fn side(side: Side, t: Language) -> String {
    match side {
        Side::Left => say!(t, "left"),
        Side::Right => say!(t, "right"),
    }
}

fn pitches(halves: u32) -> String {
    if halves.is_multiple_of(2) { format!("{}", halves / 2) } else { format!("{}½", halves / 2) }
}

/// A fault; `tucks`: the most tucks that the machine takes.
#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(in crate::wording) fn told(fault: &Fault, tucks: u32, t: Language) -> Told {
    match *fault {
        Fault::Start => Told::new(say!(t, "A piece starts once, at its first step."))
            .hint(say!(t, "Make start the first step, and the only one.")),
        Fault::OutsideBed { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "This machine has no needle {needle}.", needle))
                .because(say!(t, "The piece is wider than the bed."))
                .hint(say!(t, "Use fewer needles."))
        }
        Fault::Facing { main, ribber } => {
            let main = needle_name(main, t);
            let ribber = needle_name(ribber, t);
            Told::new(say!(t, "Needles {main} and {ribber} are opposite each other and both in work.", main, ribber))
                .because(say!(t, "They would collide."))
                .hint(say!(t, "Put one out of work, or set half pitch."))
        }
        Fault::WrongSide { stands } => {
            let stands = side(stands, t);
            Told::new(say!(t, "The carriage is at the {stands}, but the row starts at the other side.", stands))
                .because(say!(t, "There is 1 row too many or too few before it."))
                .hint(say!(t, "Give a section an even number of rows, or start at the other side."))
        }
        Fault::YarnElsewhere { waits, .. } => {
            let waits = side(waits, t);
            Told::new(say!(t, "The yarn is at the {waits}, but the carriage starts at the other side.", waits))
                .hint(say!(t, "Cut the yarn and thread it again at the carriage side."))
        }
        Fault::NoLoop { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is empty, so nothing can be transferred from it.", needle))
                .hint(say!(t, "Check whether it was emptied before, or name the needle that carries the stitch."))
        }
        Fault::NotInWork { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is out of work.", needle))
                .because(say!(t, "A stitch hung on it would be pushed off."))
                .hint(say!(t, "Bring it into work first."))
        }
        Fault::NotHolding { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is not in holding position.", needle))
                .because(say!(t, "A wrap at a turn goes round a needle in holding position."))
                .hint(say!(t, "Bring it to holding position first."))
        }
        Fault::NotEmpty { needle, loops: held } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} already carries {loops}.", needle, loops = loops(held, t)))
                .because(say!(t, "Only an empty needle can be e-wrapped."))
                .hint(say!(t, "E-wrap another needle, or bring an empty one into work."))
        }
        Fault::OutWithLoops { needle, loops: held } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} goes out of work with {loops} on it.", needle, loops = loops(held, t)))
                .because(say!(t, "Anything on it would drop."))
                .hint(say!(t, "Transfer it to the next needle first."))
        }
        Fault::DownWithLoops { needle, needles: count } => {
            let needle = needle_name(needle, t);
            Told::new(say!(
                t,
                "The ribber is lowered with loops on {needles}, first {needle}.",
                needles = needles(count, t),
                needle
            ))
            .because(say!(t, "They would tear."))
            .hint(say!(t, "Transfer them to the main bed first."))
        }
        Fault::RibberIsDown { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The ribber is down, but its needle {needle} is in work.", needle))
                .hint(say!(t, "Raise the ribber, or put its needles out of work."))
        }
        Fault::HolderCount { stacks, needles: count } => {
            let (held, named) = (loops(stacks, t), needles(count, t));
            Told::new(say!(t, "The holder has {held}, to go back on {named}.", held, named))
                .hint(say!(t, "Name 1 needle for each stitch that is put back."))
        }
        Fault::NoSuchLoop { number } => {
            Told::new(say!(t, "There is no loop {number} yet.", number)).hint(say!(t, "Name a loop made earlier."))
        }
        Fault::NotHanging { hangs, asked, .. } => {
            Told::new(say!(t, "{asked} g are removed, but only {hangs} g hang.", hangs, asked))
                .hint(say!(t, "Remove no more than hangs."))
        }
        Fault::ClaimCounter { said, is } => {
            Told::new(say!(t, "The counter reads {is:03}, but the text says {said:03}.", is, said))
                .hint(say!(t, "Count the rows before it again."))
        }
        Fault::ClaimCarriage { said, is } => {
            let said = side(said, t);
            let is = side(is, t);
            Told::new(say!(t, "The carriage is at the {is}, but the text says {said}.", is, said))
                .hint(say!(t, "Check for 1 row too many or too few before it."))
        }
        Fault::TwoEmpties { first, second } => {
            let first = needle_name(first, t);
            let second = needle_name(second, t);
            Told::new(say!(t, "Needles {first} and {second} are neighbours and both empty.", first, second))
                .because(say!(t, "The yarn lies over both hooks, so they make 1 loop, not 2."))
                .hint(say!(t, "Bring in 1 at a time with 1 row between, or rack until the beds alternate."))
        }
        Fault::HungCount { places: of_edge, needles: of } => {
            let (of_edge, count) = (places(of_edge, t), needles(of, t));
            Told::new(say!(t, "This hangs {of_edge} of an edge on {count}.", of_edge, count))
                .hint(say!(t, "Name 1 place for each needle."))
        }
        Fault::LaidWithout => Told::new(say!(t, "A yarn is laid in where nothing holds it."))
            .because(say!(t, "It is held only where the main bed knits with 1 yarn in the feeder."))
            .hint(say!(t, "Set the main bed to knit, and take the second yarn out.")),
        Fault::LastTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The row ends with a tuck, on {needle}.", needle))
                .because(say!(t, "It pulls off as the carriage turns."))
                .hint(say!(t, "End on a needle of the bed that knits."))
        }
        Fault::FirstTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The row starts with a tuck, on {needle}.", needle))
                .because(say!(t, "It can slip off at the edge."))
                .hint(say!(t, "Bring that needle to forward position before the row, or watch it."))
        }
        Fault::EndMissed { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The end needle {needle} slips while others of its bed knit.", needle))
                .because(say!(t, "The edge pulls in."))
                .hint(say!(t, "Bring it to forward position."))
        }
        Fault::TucksAtLimit { needle, tucks } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} carries {tucks} tucks, the most this machine takes.", needle, tucks))
                .because(say!(t, "One more may jam the hook."))
                .hint(say!(t, "Make the next row one that knits, or tuck fewer rows."))
        }
        Fault::TooManyTucks { needle, tucks, limit } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} carries {tucks} tucks; the limit is {limit}.", needle, tucks, limit))
                .because(say!(t, "The hook is too full: loops jam or break."))
                .hint(say!(t, "Knit a clearing row sooner."))
        }
        Fault::ManyThrough { needle, loops } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} knits through {loops} loops at once.", loops, needle))
                .because(say!(t, "The needle may not pull the yarn through all of them."))
                .hint(say!(t, "Bring that needle to forward position and knit it by hand."))
        }
        Fault::OpenTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "A stitch with an open tuck is transferred from {needle}.", needle))
                .because(say!(t, "The tuck slips off the tool."))
                .hint(say!(t, "Shape after the row that clears the tucks. This machine takes {tucks} at most.", tucks))
        }
        Fault::Undeclared { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is empty and knits.", needle))
                .because(say!(t, "It would leave an unplanned hole."))
                .hint(say!(t, "Put it out of work after its stitch is transferred."))
        }
        Fault::NothingHangs => Told::new(say!(t, "A 2nd row is knitted over a cast-on with no weight on it."))
            .because(say!(t, "The stitches ride up and jump off."))
            .hint(say!(t, "Hang the comb and weights after the zigzag row.")),
        Fault::LongFloat { from, to, halves, limit } => {
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(t, "The yarn floats {far} needles from {from} to {to}.", far, from, to))
                .because(say!(t, "Floats over more than {limit} needles catch and pull in.", limit))
                .hint(say!(t, "Choose a pattern with shorter floats."))
        }
        Fault::CarriedFar { from, to, halves, .. } => {
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(t, "A stitch is carried {far} needles, from {from} to {to}.", far, from, to))
                .because(say!(t, "The yarn does not stretch that far."))
                .hint(say!(t, "Transfer it in 2 steps with 1 row between."))
        }
        Fault::PastStatedCarry { from, to, halves, stated } => {
            let count = needles(u32::from(stated), t);
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(
                t,
                "This crossing states moves of at most {count}, but one stitch moves {far}, from {from} to {to}.",
                count,
                far,
                from,
                to
            ))
            .hint(say!(t, "State the longest move of the crossing."))
        }
        Fault::Weight { grams, needles: count, least, most } => {
            Told::new(say!(t, "{grams} g hangs from {loops}.", grams, loops = loops(count, t)))
                .because(say!(t, "This machine needs {least} to {most} g each.", least, most))
                .hint(say!(t, "Hang {low} to {high} g in total.", low = least * count, high = most * count))
        }
        Fault::CarriedYarn { passes, .. } => {
            Told::new(say!(t, "A yarn is carried up the side over {passes} rows.", passes))
                .because(say!(t, "The yarn puckers the edge."))
                .hint(say!(t, "Twist it with the other yarn every few rows, or cut it."))
        }
        Fault::WrongEnd { yarn_at } => {
            let yarn_at = side(yarn_at, t);
            Told::new(say!(t, "The cast-off starts at the {yarn_at}, where the yarn is.", yarn_at))
                .because(say!(t, "It has to end at the yarn, whose tail is pulled through the last stitch."))
                .hint(say!(t, "Start at the other end."))
        }
        Fault::FellOff { needle, loops: 1 } => {
            Told::new(say!(t, "A loop drops off {needle} in a free pass.", needle = needle_name(needle, t)))
                .hint(say!(t, "Set the bed to slip, or thread the yarn."))
        }
        Fault::FellOff { needle, loops } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "{loops} loops drop off {needle} in a free pass.", loops, needle))
                .hint(say!(t, "Set the bed to slip, or thread the yarn."))
        }
        Fault::NoYarn { yarn } => {
            let number = u16::from(yarn.0) + 1;
            Told::new(say!(t, "Yarn {number} is not threaded.", number)).hint(say!(t, "Thread it first."))
        }
        Fault::NothingToMoveUp { load: Load::Comb } => {
            Told::new(say!(t, "The comb is moved up, but it does not hang."))
                .hint(say!(t, "Hang it first, or delete that line."))
        }
        Fault::NothingToMoveUp { load: Load::Weights } => {
            Told::new(say!(t, "The claw weights are moved up, but none hang."))
                .hint(say!(t, "Hang them first, or delete that line."))
        }
        Fault::LiveAtEnd { loops, first: Some(first), held } => {
            let first = needle_name(first, t);
            let open = if loops == 1 {
                say!(t, "At the end 1 loop is still live")
            } else {
                say!(t, "At the end {loops} loops are still live", loops)
            };
            Told::new(if held > 0 {
                say!(t, "{open}, {held} of them on a holder, the first on {first}.", open, held, first)
            } else {
                say!(t, "{open}, the first on {first}.", open, first)
            })
            .because(say!(t, "Live stitches run."))
            .hint(say!(t, "Cast off, gather, or knit onto waste yarn."))
        }
        Fault::LiveAtEnd { loops, first: None, .. } => Told::new(if loops == 1 {
            say!(t, "At the end 1 loop is still on a holder.")
        } else {
            say!(t, "At the end {loops} loops are still on a holder.", loops)
        })
        .because(say!(t, "Live stitches run."))
        .hint(say!(t, "Put what is on the holder back on needles and cast off.")),
        Fault::ClaimStitches { of, said, is } => Told::new(match (of, is) {
            (Counted::On(Bed::Main), 1) => {
                say!(t, "1 needle of the main bed carries stitches, but the text says {said}.", said)
            }
            (Counted::On(Bed::Main), _) => {
                say!(t, "{is} needles of the main bed carry stitches, but the text says {said}.", is, said)
            }
            (Counted::On(Bed::Ribber), 1) => {
                say!(t, "1 needle of the ribber carries stitches, but the text says {said}.", said)
            }
            (Counted::On(Bed::Ribber), _) => {
                say!(t, "{is} needles of the ribber carry stitches, but the text says {said}.", is, said)
            }
            (Counted::InAll, 1) => say!(t, "1 needle carries stitches, but the text says {said}.", said),
            (Counted::InAll, _) => say!(t, "{is} needles carry stitches, but the text says {said}.", is, said),
        })
        .hint(say!(t, "Count the decreases and increases before it again.")),
    }
}
