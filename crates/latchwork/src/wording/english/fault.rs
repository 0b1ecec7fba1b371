//! Of what the judge finds.

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

/// A fault; `tucks`: most tucks that the machine takes.
#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(in crate::wording) fn told(fault: &Fault, tucks: u32, t: Language) -> Told {
    match *fault {
        Fault::Start => Told::new(say!(t, "A piece begins with its start, once."))
            .hint(say!(t, "Make start the first step, and the only one.")),
        Fault::OutsideBed { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The machine has no needle {needle}.", needle))
                .because(say!(t, "The piece is wider than the bed."))
                .hint(say!(t, "Use fewer needles."))
        }
        Fault::Facing { main, ribber } => {
            let main = needle_name(main, t);
            let ribber = needle_name(ribber, t);
            Told::new(say!(t, "Needles {main} and {ribber} face each other.", main, ribber))
                .because(say!(t, "Two needles at one place collide when both are in work."))
                .hint(say!(t, "Put one of them out of work, or set half pitch."))
        }
        Fault::WrongSide { stands } => {
            let stands = side(stands, t);
            Told::new(say!(t, "The carriage stands at the {stands}, and the pass begins at the other side.", stands))
                .because(say!(t, "A row is missing or one too many."))
                .hint(say!(t, "Give a stretch an even number of rows, or begin at the other side."))
        }
        Fault::YarnElsewhere { waits, .. } => {
            let waits = side(waits, t);
            Told::new(say!(t, "The yarn waits at the {waits}, and the carriage begins at the other side.", waits))
                .hint(say!(t, "Cut the yarn and join it where the carriage is."))
        }
        Fault::NoLoop { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} holds no loop, so nothing can be moved from it.", needle))
                .hint(say!(t, "Look whether it was emptied before, or name the needle that carries the loop."))
        }
        Fault::NotInWork { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is out of work.", needle))
                .because(say!(t, "A loop put on it would be pushed off."))
                .hint(say!(t, "Bring it into work first."))
        }
        Fault::NotHolding { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is not in holding.", needle))
                .because(say!(t, "A wrap at a turn lies on a holding needle."))
                .hint(say!(t, "Put it into holding first."))
        }
        Fault::NotEmpty { needle, loops: held } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} already carries {loops}.", needle, loops = loops(held, t)))
                .because(say!(t, "Only an empty needle is wrapped."))
                .hint(say!(t, "Wrap another needle, or bring an empty one in."))
        }
        Fault::OutWithLoops { needle, loops: held } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is put out of work with {loops} on it.", needle, loops = loops(held, t)))
                .because(say!(t, "They would drop."))
                .hint(say!(t, "Move them to a neighbour first."))
        }
        Fault::DownWithLoops { needle, needles: count } => {
            let needle = needle_name(needle, t);
            Told::new(say!(
                t,
                "The ribber is lowered with loops on {needles}, {needle} first.",
                needles = needles(count, t),
                needle
            ))
            .because(say!(t, "They would be torn."))
            .hint(say!(t, "Move them to the main bed first."))
        }
        Fault::RibberIsDown { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The ribber is down and its needle {needle} is in work.", needle))
                .hint(say!(t, "Raise the ribber, or put its needles out of work."))
        }
        Fault::HolderCount { stacks, needles: count } => {
            let (held, named) = (loops(stacks, t), needles(count, t));
            Told::new(say!(t, "The holder keeps {held}, and {named} should take them.", held, named))
                .hint(say!(t, "Name one needle for each loop that is put back."))
        }
        Fault::NoSuchLoop { number } => Told::new(say!(t, "There is no loop {number} yet.", number))
            .hint(say!(t, "Name a loop that was made before.")),
        Fault::NotHanging { hangs, asked, .. } => {
            Told::new(say!(t, "What hangs is {hangs} g, and {asked} g should be taken off.", hangs, asked))
                .hint(say!(t, "Take off no more than hangs."))
        }
        Fault::ClaimCounter { said, is } => {
            Told::new(say!(t, "The counter reads {is:03} where the text says {said:03}.", is, said))
                .hint(say!(t, "Count the rows before it again."))
        }
        Fault::ClaimCarriage { said, is } => {
            let said = side(said, t);
            let is = side(is, t);
            Told::new(say!(t, "The carriage stands at the {is} where the text says {said}.", is, said))
                .hint(say!(t, "A row is missing before it, or one too many."))
        }
        Fault::TwoEmpties { first, second } => {
            let first = needle_name(first, t);
            let second = needle_name(second, t);
            Told::new(say!(t, "Needles {first} and {second} are empty neighbours.", first, second))
                .because(say!(t, "The yarn lies over both hooks as one strand, so they make one loop, not two."))
                .hint(say!(t, "Bring in one at a time with a row between, or rack until the beds alternate."))
        }
        Fault::HungCount { places: of_edge, needles: of } => {
            let (of_edge, count) = (places(of_edge, t), needles(of, t));
            Told::new(say!(t, "This hangs {of_edge} of an edge on {count}.", of_edge, count))
                .hint(say!(t, "Name one place for each needle."))
        }
        Fault::LaidWithout => Told::new(say!(t, "A yarn is laid in where it is not held."))
            .because(say!(
                t,
                "It lies between the needles and the yarn that knits: the main bed knits, with one yarn in the feeder."
            ))
            .hint(say!(t, "Set the main bed to knit, and take the second yarn out.")),
        Fault::LastTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The last loop of a pass is a tuck, on {needle}.", needle))
                .because(say!(t, "Nothing holds it, and the turn of the carriage pulls it off."))
                .hint(say!(t, "Let the end needle stand on the bed that knits."))
        }
        Fault::FirstTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The first loop of a pass is a tuck, on {needle}.", needle))
                .because(say!(t, "It can slip off at the edge."))
                .hint(say!(t, "Bring that needle forward by hand before the pass, or watch it."))
        }
        Fault::EndMissed { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "The end needle {needle} is slipped while others of its bed knit.", needle))
                .because(say!(t, "The edge is pulled in."))
                .hint(say!(t, "Bring it forward by hand."))
        }
        Fault::TucksAtLimit { needle, tucks } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} carries {tucks} tucks, as many as the machine takes.", needle, tucks))
                .because(say!(t, "One more may jam the hook."))
                .hint(say!(t, "Knit them off in the next row, or tuck fewer rows."))
        }
        Fault::TooManyTucks { needle, tucks, limit } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} carries {tucks} tucks; the limit is {limit}.", needle, tucks, limit))
                .because(say!(t, "The hook is overfull: loops jam or break."))
                .hint(say!(t, "Knit a clearing pass sooner."))
        }
        Fault::ManyThrough { needle, loops } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "{loops} loops are knitted through at once on {needle}.", loops, needle))
                .because(say!(t, "The needle may not draw the yarn through all of them by itself."))
                .hint(say!(t, "Bring that needle forward by hand and knit it gently."))
        }
        Fault::OpenTuck { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "A loop with an open tuck on it is moved from {needle}.", needle))
                .because(say!(t, "The tuck slips off the tool."))
                .hint(say!(
                    t,
                    "Shape after the pass that clears the tucks (the limit of this machine is {tucks}).",
                    tucks
                ))
        }
        Fault::Undeclared { needle } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "Needle {needle} is empty and knits.", needle))
                .because(say!(t, "It makes a hole that nobody asked for."))
                .hint(say!(t, "Put it out of work after its loop was moved."))
        }
        Fault::NothingHangs => {
            Told::new(say!(t, "A second pass is knitted over a cast-on with nothing hanging from it."))
                .because(say!(t, "The loops ride up and jump off."))
                .hint(say!(t, "Hang the comb and weights after the zigzag row."))
        }
        Fault::LongFloat { from, to, halves, limit } => {
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(t, "The yarn floats {far} needles from {from} to {to}.", far, from, to))
                .because(say!(t, "Floats above {limit} needles catch and pull in.", limit))
                .hint(say!(t, "Choose a pattern with shorter floats."))
        }
        Fault::CarriedFar { from, to, halves, .. } => {
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(t, "A loop is carried {far} needles, from {from} to {to}.", far, from, to))
                .because(say!(t, "So far the yarn does not stretch."))
                .hint(say!(t, "Move it in two steps with a row between."))
        }
        Fault::PastStatedCarry { from, to, halves, stated } => {
            let count = needles(u32::from(stated), t);
            let far = pitches(halves);
            let from = needle_name(from, t);
            let to = needle_name(to, t);
            Told::new(say!(
                t,
                "This crossing is said to carry no stitch past {count}, but carries one {far}, from {from} to {to}.",
                count,
                far,
                from,
                to
            ))
            .hint(say!(t, "State the longest move of the crossing."))
        }
        Fault::Weight { grams, needles: count, least, most } => {
            Told::new(say!(t, "A weight of {grams} g hangs from {loops}.", grams, loops = loops(count, t)))
                .because(say!(t, "This machine likes {least} to {most} g for each.", least, most))
                .hint(say!(t, "Hang more or less."))
        }
        Fault::CarriedYarn { passes, .. } => {
            Told::new(say!(t, "A yarn is carried up the side over {passes} passes.", passes))
                .because(say!(t, "The strand puckers the edge."))
                .hint(say!(t, "Twist it with the other yarn every few rows, or cut it."))
        }
        Fault::WrongEnd { yarn_at } => {
            let yarn_at = side(yarn_at, t);
            Told::new(say!(t, "The bind-off begins at the {yarn_at}, where the yarn is.", yarn_at))
                .because(say!(t, "It must finish at the yarn, whose end is drawn through the last loop."))
                .hint(say!(t, "Begin at the other end."))
        }
        Fault::FellOff { needle, loops: 1 } => {
            Told::new(say!(t, "A loop falls off {needle} in a pass without yarn.", needle = needle_name(needle, t)))
                .hint(say!(t, "Set the bed to slip, or thread the yarn."))
        }
        Fault::FellOff { needle, loops } => {
            let needle = needle_name(needle, t);
            Told::new(say!(t, "{loops} loops fall off {needle} in a pass without yarn.", loops, needle))
                .hint(say!(t, "Set the bed to slip, or thread the yarn."))
        }
        Fault::NoYarn { yarn } => {
            let number = u16::from(yarn.0) + 1;
            Told::new(say!(t, "Yarn {number} is not joined.", number)).hint(say!(t, "Join it first."))
        }
        Fault::NothingToMoveUp { load: Load::Comb } => Told::new(say!(t, "The comb is moved up, and nothing hangs."))
            .hint(say!(t, "Hang it first, or leave that line out.")),
        Fault::NothingToMoveUp { load: Load::Weights } => {
            Told::new(say!(t, "The weights are moved up, and nothing hangs."))
                .hint(say!(t, "Hang them first, or leave that line out."))
        }
        Fault::LiveAtEnd { loops, first: Some(first), held } => {
            let first = needle_name(first, t);
            let open = if loops == 1 {
                say!(t, "One open loop is left at the end")
            } else {
                say!(t, "{loops} open loops are left at the end", loops)
            };
            Told::new(if held > 0 {
                say!(t, "{open}, {held} of them on a holder, the first on {first}.", open, held, first)
            } else {
                say!(t, "{open}, the first on {first}.", open, first)
            })
            .because(say!(t, "They would run."))
            .hint(say!(t, "Bind them off, gather them, or keep them on waste yarn."))
        }
        Fault::LiveAtEnd { loops, first: None, .. } => Told::new(if loops == 1 {
            say!(t, "One loop is left on a holder at the end.")
        } else {
            say!(t, "{loops} loops are left on a holder at the end.", loops)
        })
        .because(say!(t, "They would run."))
        .hint(say!(t, "Put them back on needles and bind them off.")),
        Fault::ClaimStitches { of, said, is } => Told::new(match (of, is) {
            (Counted::On(Bed::Main), 1) => {
                say!(t, "1 needle of the main bed carries loops where the text says {said}.", said)
            }
            (Counted::On(Bed::Main), _) => {
                say!(t, "{is} needles of the main bed carry loops where the text says {said}.", is, said)
            }
            (Counted::On(Bed::Ribber), 1) => {
                say!(t, "1 needle of the ribber carries loops where the text says {said}.", said)
            }
            (Counted::On(Bed::Ribber), _) => {
                say!(t, "{is} needles of the ribber carry loops where the text says {said}.", is, said)
            }
            (Counted::InAll, 1) => say!(t, "1 needle carries loops where the text says {said}.", said),
            (Counted::InAll, _) => say!(t, "{is} needles carry loops where the text says {said}.", is, said),
        })
        .hint(say!(t, "Count the decreases and increases before it again.")),
    }
}
