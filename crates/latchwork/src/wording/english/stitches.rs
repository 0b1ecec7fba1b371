//! Of what was found where needles and rows are settled.

use super::fabric::stands;
use super::fault::side;
use super::listed;
use crate::fact::{ClashingWish, StitchesFact as F};
use crate::vocabulary::{SIDES, word_of};
use crate::wording::{Language, Told, say};

fn rows_near(below: u32, above: u32, t: Language) -> String {
    if below == 0 {
        say!(t, "Write rows {above}", above)
    } else {
        say!(t, "Write rows {below} or rows {above}", below, above)
    }
}

fn no_room(stretch: &str, size: &str, t: Language) -> Told {
    Told::new(say!(t, "The shaping of \"{stretch}\" does not fit in size {size}.", stretch, size))
}

/// What an author wishes, within a sentence.
pub(in crate::wording) fn wish(wish: &ClashingWish, t: Language) -> String {
    match wish {
        ClashingWish::Width { stretch, fabric, piece } => {
            say!(t, "the width of \"{stretch}\" in {fabric} ({piece})", stretch, fabric, piece)
        }
        ClashingWish::End { stretch, piece } => {
            say!(t, "the width to which \"{stretch}\" is shaped ({piece})", stretch, piece)
        }
        ClashingWish::Length { stretch, piece } => say!(t, "the length of \"{stretch}\" ({piece})", stretch, piece),
        ClashingWish::Shaping { stretch, piece } => {
            say!(t, "how often \"{stretch}\" is shaped ({piece})", stretch, piece)
        }
        ClashingWish::Ends { piece } => say!(t, "where the ends of \"{piece}\" stand", piece),
        ClashingWish::Seam { seam } => say!(t, "the seam \"{seam}\"", seam),
    }
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::TooWide { stretch, size, wanted, fabric, places, machine, available } => {
            let machine = machine.clone().unwrap_or_else(|| say!(t, "this machine"));
            Told::new(say!(t, "\"{stretch}\" is too wide for the machine in size {size}.", stretch, size))
                .because(say!(
                    t,
                    "It needs {wanted:.0} needles of {fabric}, which is {places:.0} places. {machine} has {available}.",
                    wanted,
                    fabric,
                    places,
                    machine,
                    available
                ))
                .hint(say!(t, "Knit it in two pieces (around … shared=2), or on a machine with more needles."))
        }
        F::CarriageElsewhere { asked, stretch, side: at } => {
            let (asked, side, word) = (side(*asked, t), side(*at, t), word_of(&SIDES, *at));
            Told::new(say!(t, "The carriage is not at the {asked} when \"{stretch}\" is shaped.", asked, stretch)).because(say!(t, "The section starts with the carriage at the {side}, and is there again after every even number of rows.", side)).hint(say!(t, "Write carriage \"{word}\", or start the piece with the carriage at the other side.", word))
        }
        F::RowsOutOfRange { stretch, rows, size } => {
            Told::new(say!(t, "\"{stretch}\" would have {rows} rows in size {size}.", stretch, rows, size))
                .because(say!(t, "A section has 1 to 20,000."))
                .hint(say!(t, "Check the length and the swatch."))
        }
        F::SettledOneByOne => Told::new(say!(t, "The sizes were settled one after the other.")).because(say!(
            t,
            "There were too many ways to settle them together; each is the best above the one below."
        )),
        F::LargerIsSmaller => Told::new(say!(t, "Some larger size is smaller somewhere."))
            .because(say!(t, "No needles and rows keep every size at least as large as those below it.")),
        F::EdgesUnequal { size } => Told::new(say!(t, "The sewn edges of size {size} were not made equal.", size))
            .because(say!(
                t,
                "Their target lengths are so far apart that there were too many ways to bring them together."
            ))
            .hint(say!(t, "Wish nearly the same length for edges that are sewn to each other.")),
        F::NeedsRibber { piece } => {
            Told::new(say!(t, "The piece \"{piece}\" needs a ribber, and this machine has none.", piece))
                .hint(say!(t, "Knit it in plain, or choose a machine with two beds."))
        }
        F::EndsOnOneBed { piece, fabrics } => {
            Told::new(say!(t, "The ends of \"{piece}\" cannot stand on one bed for all its fabrics.", piece))
                .because(say!(t, "They are {fabrics}; each asks for its own end needles.", fabrics = listed(fabrics)))
                .hint(say!(t, "Take ends out, or choose fabrics whose ends agree; `latchwork fabrics` lists them."))
        }
        F::NoNumberSuits { piece, size } => {
            Told::new(say!(t, "No number of needles suits the piece \"{piece}\" in size {size}.", piece, size))
                .because(say!(
                    t,
                    "Its shaping takes away more needles than it has, or its fabrics ask for counts that never agree."
                ))
                .hint(say!(t, "Shape it fewer times, or start with more needles."))
        }
        F::RunsOutOfNeedles { piece, size, widest, available } => {
            Told::new(say!(t, "The piece \"{piece}\" runs out of needles in size {size}.", piece, size))
                .because(say!(t, "It grows to {widest} places, and the machine has {available}.", widest, available))
                .hint(say!(t, "Widen it less, or knit it in two pieces."))
        }
        F::NeedsNoShaping { stretch, size } => {
            Told::new(say!(t, "\"{stretch}\" needs no shaping in size {size}.", stretch, size))
                .because(say!(t, "It is already as near to its target width as shaping could bring it."))
        }
        F::CarriageAlternates { every, asked } => {
            let asked = side(*asked, t);
            Told::new(if *every == 1 {
                say!(t, "With a shaping in every row the carriage is not always at the {asked}.", asked)
            } else {
                say!(t, "Every {every} rows the carriage is not always at the {asked}.", every, asked)
            })
            .because(say!(t, "It changes sides with every row."))
            .hint(say!(t, "Give an even number to every=, or take the carriage's side out."))
        }
        F::NotAsWide { stretch, size, wished, nearest } => {
            Told::new(say!(t, "\"{stretch}\", size {size}: the target width is not possible.", stretch, size))
                .because(say!(
                    t,
                    "Target {wished}; nearest possible {nearest}, with the rest of the piece.",
                    wished,
                    nearest
                ))
                .hint(say!(t, "Change the shaping, or the targets of the sections that share its needles."))
        }
        F::TooManyForPoint { left, size } => {
            Told::new(say!(t, "{left} stitches are too many for a point in size {size}.", left, size))
                .because(say!(t, "At most five loops can be gathered on one needle and knitted off."))
                .hint(say!(
                    t,
                    "Narrow the last section further: more shapings over more rows, or decrease 2 {{ needles 3; }}"
                ))
        }
        F::StopsInARepeat { fabric, rows, repeat } => {
            let below = rows / repeat * repeat;
            let above = below + repeat;
            Told::new(say!(t, "{fabric} is knitted in whole repeats of {repeat} passes.", fabric, repeat))
                .because(if *rows == 1 {
                    say!(t, "1 pass stops in the middle of one.")
                } else {
                    say!(t, "{rows} passes stop in the middle of one.", rows)
                })
                .hint(rows_near(below, above, t))
        }
        F::TooShortForShaping { stretch, size, times, every, rows, after } => {
            let (takes, fit) = (every * times, rows.saturating_sub(*after) / every);
            let told = Told::new(say!(t, "\"{stretch}\" is too short for its shaping in size {size}.", stretch, size));
            let told = told.because(if *after > 0 {
                say!(
                    t,
                    "{times} times every {every} rows take {takes} rows and one after the last, and it has {rows}.",
                    times,
                    every,
                    takes,
                    rows
                )
            } else {
                say!(
                    t,
                    "{times} times every {every} rows take {takes} rows, and it has {rows}.",
                    times,
                    every,
                    takes,
                    rows
                )
            });
            told.hint(if fit == 0 {
                say!(t, "Make it longer.")
            } else {
                say!(t, "Write times={fit}, or make it longer.", fit)
            })
        }
        F::NotSoManyNeedles { stretch, size, wished, nearest, fabric: (fabric, on) } => {
            let on = stands(*on, t);
            Told::new(say!(
                t,
                "\"{stretch}\" cannot have {wished} needles in size {size}.",
                stretch,
                wished,
                size
            ))
            .because(say!(
                t,
                "{fabric} uses {on}. The counts of one piece depend on each other through its shaping and its other sections.",
                fabric,
                on
            ))
            .hint(say!(t, "Write the nearest count that works: needles {nearest}", nearest))
        }
        F::TooManyShapings { stretch, size, rows, most, needed } => no_room(stretch, size, t)
            .because(say!(t, "{rows} rows have room for {most} shapings.", rows, most))
            .hint(say!(t, "Make it at least {needed} rows long, or shape two stitches at a time.", needed)),
        F::UnevenShapings { stretch, size, rows, below, above } => no_room(stretch, size, t)
            .because(say!(t, "{rows} rows cannot be divided so that every shaping falls on its row.", rows))
            .hint(rows_near(*below, *above, t)),
        F::ComesOut { stretch, size, is, wished, fabric: (fabric, on), others } => {
            let on = stands(*on, t);
            Told::new(say!(
                t,
                "\"{stretch}\" comes out {is} wide in size {size}, not {wished}.",
                stretch,
                is,
                size,
                wished
            ))
            .because(match others.as_slice() {
                [] => say!(t, "{fabric} uses {on}, so not every count is possible.", fabric, on),
                [one] => say!(t, "It shares its needles with \"{one}\", which also has a target width.", one),
                several => {
                    let several = several.join("\", \"");
                    say!(t, "It shares its needles with \"{several}\", which also have target widths.", several)
                }
            })
            .hint(match others.first() {
                None => say!(t, "Wish a width that its fabric can have, or choose another fabric."),
                Some(other) => say!(
                    t,
                    "Give up one: write weight=10 beside the width that matters more, give another width to \"{other}\", or knit them as two pieces.",
                    other
                ),
            })
        }
        F::Clash { fact, wishes } => {
            let told = super::told(fact, t);
            let wishes = wishes.iter().map(|w| wish(w, t)).collect::<Vec<_>>().join("; ");
            let group = say!(t, "The smallest group of targets that conflict: {wishes}.", wishes);
            let why = if told.why.is_empty() { group } else { format!("{} {group}", told.why) };
            Told { why, ..told }
        }
    }
}
