//! Sentences for findings when needles and rows are settled.

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

/// An author's target, within a sentence.
pub(in crate::wording) fn wish(wish: &ClashingWish, t: Language) -> String {
    match wish {
        ClashingWish::Width { stretch, fabric, piece } => {
            say!(t, "the width of \"{stretch}\" in {fabric}, piece \"{piece}\"", stretch, fabric, piece)
        }
        ClashingWish::End { stretch, piece } => {
            say!(t, "the width at the end of \"{stretch}\", piece \"{piece}\"", stretch, piece)
        }
        ClashingWish::Length { stretch, piece } => {
            say!(t, "the length of \"{stretch}\", piece \"{piece}\"", stretch, piece)
        }
        ClashingWish::Shaping { stretch, piece } => {
            say!(t, "how often \"{stretch}\" is shaped, piece \"{piece}\"", stretch, piece)
        }
        ClashingWish::Ends { piece } => say!(t, "which needles are at the ends of \"{piece}\"", piece),
        ClashingWish::Seam { seam } => say!(t, "the seam \"{seam}\"", seam),
    }
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::TooWide { stretch, size, wanted, fabric, places, machine, available, pieces } => {
            let machine = machine.clone().unwrap_or_else(|| say!(t, "this machine"));
            Told::new(say!(t, "\"{stretch}\" is too wide for the machine in size {size}.", stretch, size))
                .because(say!(
                    t,
                    "It needs {wanted:.0} needles of {fabric}, which take {places:.0} places; {machine} has {available}.",
                    wanted,
                    fabric,
                    places,
                    machine,
                    available
                ))
                .hint(say!(t, "Knit it in {pieces} pieces, with around … shared={pieces}, or on a machine with more needles.", pieces))
        }
        F::CarriageElsewhere { asked, stretch, side: at } => {
            let (asked, side, word) = (side(*asked, t), side(*at, t), word_of(&SIDES, *at));
            Told::new(say!(t, "The carriage is not at the {asked} when \"{stretch}\" is shaped.", asked, stretch)).because(say!(t, "The section starts with the carriage at the {side}. It is there again after every even number of rows.", side)).hint(say!(t, "Write carriage \"{word}\", or start the piece with the carriage at the other side.", word))
        }
        F::CrownRunsOut { stretch, size, left, wedges } => {
            Told::new(say!(t, "\"{stretch}\" in size {size}: {left} stitches are left, too few to take one of each of {wedges} wedges.", stretch, size, left, wedges))
                .because(say!(t, "A wedge keeps at least 1 stitch."))
                .hint(say!(t, "Take them fewer times, or make fewer wedges."))
        }
        F::SlitAtTheEdge { stretch, size, within, of } => {
            let most = of.saturating_sub(2);
            Told::new(say!(t, "\"{stretch}\" in size {size}: a slit after {within} of {of} stitches leaves no side.", stretch, size, within, of))
                .because(say!(t, "Each side is knitted over at least 2 needles."))
                .hint(say!(t, "Give 2 to {most} stitches, or a share.", most))
        }
        F::NeckUneven { stretch, size, middle, of, near } => {
            let told = Told::new(say!(t, "\"{stretch}\" in size {size}: {middle} stitches are not in the middle of {of}.", stretch, size, middle, of))
                .because(say!(t, "Both sides of a neck have as many stitches, and end on the bed on which their fabric ends."));
            near.iter().flatten().fold(told, |told, n| told.hint(say!(t, "Write middle {n}", n)))
                .hint(say!(t, "Or give a share, as middle (percent)33."))
        }
        F::NeckTooWide { stretch, size, neck, of } => {
            let most = of.saturating_sub(4);
            Told::new(say!(t, "\"{stretch}\" in size {size}: a neck of {neck} stitches cannot be cut from {of}.", stretch, size, neck, of))
                .because(say!(t, "Each shoulder needs at least 2 stitches."))
                .hint(say!(t, "Make the neck at most {most} stitches wide, or the section wider.", most))
        }
        F::NoRoomForHoles { stretch, size, holes, stitches, rows, most } => Told::new(match holes {
            Some(n) => {
                say!(t, "Size {size}: {n} buttonholes have no room in \"{stretch}\".", size, n, stretch)
            }
            None => say!(t, "Size {size}: eyelets have no room in \"{stretch}\".", size, stretch),
        })
        .because(say!(t, "It has {stitches} stitches and {rows} rows.", stitches, rows))
        .hint(match most {
            Some(most) => say!(t, "Give it at most {most}, or fewer stitches at the ends.", most),
            None => say!(t, "Give it fewer, fewer stitches at the ends, or put them after fewer rows."),
        }),
        F::HeldBeyond { stretch, size, held, most } => Told::new(say!(
            t,
            "Size {size}: \"{stretch}\" holds {held} needles at a time. This machine holds {most}.",
            size,
            stretch,
            held,
            most
        ))
        .hint(say!(t, "Hold fewer, or place a slit nearer to the middle."))
        .hint(say!(t, "If your machine holds more, write most-held {held} in its lines.", held)),
        F::ShoulderNarrow { stretch, size, groups, stitches } => Told::new(say!(
            t,
            "Size {size}: a shoulder of \"{stretch}\" has {stitches} stitches, too few for {groups} groups.",
            size,
            stretch,
            stitches,
            groups
        ))
        .hint(say!(t, "Give the shoulder fewer groups, or less height.")),
        F::EdgesMeet { stretch, size, side: at, row } => {
            let at = side(*at, t);
            Told::new(say!(t, "\"{stretch}\" in size {size}: at the {at}, the neck and the outer edge meet after row {row}.", stretch, size, at, row))
                .because(say!(t, "Each side keeps at least 2 stitches."))
                .hint(say!(t, "Make the neck narrower, or decrease less at the outer edge."))
        }
        F::HeldTooMany { stretch, size, working, asked } => {
            Told::new(say!(t, "\"{stretch}\" in size {size}: {asked} more needles cannot be held, as only {working} still knit.", stretch, size, asked, working))
                .because(say!(t, "A row is knitted over at least 2 needles."))
                .hint(say!(t, "Hold fewer, or fewer times, or say how many are left: leaves=(percent)33."))
        }
        F::HeldTooFew { stretch, size, side: at, there, asked } => {
            let at = side(*at, t);
            Told::new(say!(t, "\"{stretch}\" in size {size}: {asked} needles are to return at the {at}, where {there} are held.", stretch, size, asked, at, there))
                .hint(say!(t, "Let needles return as they were held, or write return \"all\"."))
        }
        F::HoldsAtCarriage { stretch, size, side: at } => {
            let at = side(*at, t);
            Told::new(say!(t, "\"{stretch}\" in size {size}: the carriage is at the {at}, at the end that this names.", stretch, size, at))
                .because(say!(t, "Needles are held and return at the end away from the carriage."))
                .hint(say!(t, "Name the other end, leave the end out, or write knit 1 before."))
        }
        F::HoldsFirst { stretch } => {
            Told::new(say!(t, "\"{stretch}\" holds needles before the piece has a row.", stretch))
                .hint(say!(t, "Write knit 1 first, or put a section before it."))
        }
        F::RowsOutOfRange { stretch, rows, size } => {
            Told::new(say!(t, "\"{stretch}\" would have {rows} rows in size {size}.", stretch, rows, size))
                .because(say!(t, "A section has 1 to 20,000 rows."))
                .hint(say!(t, "Check the length and the swatch."))
        }
        F::SettledOneByOne => Told::new(say!(t, "The sizes were worked out one after another.")).because(say!(
            t,
            "There were too many ways to work them out together. Each is the best that is no smaller than the one before."
        )),
        F::LargerIsSmaller => Told::new(say!(t, "A larger size is smaller in some measurement."))
            .because(say!(t, "No counts of needles and rows keep every size at least as large as the one before.")),
        F::EdgesUnequal { size } => Told::new(say!(t, "The sewn edges of size {size} were not made equal.", size))
            .because(say!(
                t,
                "Their target lengths are so far apart that there were too many ways to bring them together."
            ))
            .hint(say!(t, "Give edges that are sewn together nearly the same target length.")),
        F::NeedsRibber { piece } => {
            Told::new(say!(t, "The piece \"{piece}\" needs a ribber, and this machine has none.", piece))
                .hint(say!(t, "Knit it in plain, or choose a machine with two beds."))
        }
        F::EndsOnOneBed { piece, fabrics } => {
            Told::new(say!(t, "The ends of \"{piece}\" cannot be on one bed for all its fabrics.", piece))
                .because(say!(t, "Its fabrics need different end needles: {fabrics}.", fabrics = listed(fabrics)))
                .hint(say!(t, "Delete ends, or choose fabrics whose ends agree; `latchwork fabrics` lists them."))
        }
        F::NoNumberSuits { piece, size } => {
            Told::new(say!(t, "No number of needles suits the piece \"{piece}\" in size {size}.", piece, size))
                .because(say!(
                    t,
                    "Its shaping decreases more needles than it has, or its fabrics need counts that never agree."
                ))
                .hint(say!(t, "Shape it fewer times, or start with more needles."))
        }
        F::RunsOutOfNeedles { piece, size, widest, available } => {
            Told::new(say!(t, "The piece \"{piece}\" runs out of needles in size {size}.", piece, size))
                .because(say!(t, "It grows to {widest} places, and the machine has {available}.", widest, available))
                .hint(say!(t, "Widen it less, or knit it in two pieces."))
        }
        F::PanelOutside { panel, stretch, size, places, wide } => Told::new(say!(
            t,
            "The panel of {panel} does not fit into \"{stretch}\" in size {size}.",
            panel,
            stretch,
            size
        ))
        .because(say!(t, "It covers {places} needles; the section has {wide}.", places, wide))
        .hint(say!(t, "Make the panel narrower, or move it in from the edge by fewer needles.")),
        F::PanelsOverlap { panel, other, stretch, size } => Told::new(say!(
            t,
            "The panels of {panel} and {other} overlap in \"{stretch}\" in size {size}.",
            panel,
            other,
            stretch,
            size
        ))
        .hint(say!(t, "Make one of them narrower, or move them apart with in=.")),
        F::PanelNeedles { stretch, before } => Told::new(say!(
            t,
            "The needles of \"{stretch}\" differ from those of \"{before}\" because a panel leaves some out of work.",
            stretch,
            before
        ))
        .because(say!(t, "Ladders begin at the cast-on and run to the end of the piece."))
        .hint(say!(t, "Give both sections the same panel, or choose a panel that has every needle in work.")),
        F::RepeatTooWide { fabric, stretch, size, repeat, places } => Told::new(say!(
            t,
            "One repeat of {fabric} is {repeat} needles wide, and \"{stretch}\" has {places} in size {size}.",
            fabric,
            repeat,
            stretch,
            places,
            size
        ))
        .because(say!(t, "Only a part of the pattern is knitted."))
        .hint(say!(t, "Draw a narrower repeat, or make the section wider. Or choose the part with placed=\"centred\".")),
        F::NeedsNoShaping { stretch, size } => {
            Told::new(say!(t, "\"{stretch}\" needs no shaping in size {size}.", stretch, size))
                .because(say!(t, "It is already as near to its target width as shaping could bring it."))
        }
        F::CarriageAlternates { every, asked } => {
            let asked = side(*asked, t);
            Told::new(if *every == 1 {
                say!(t, "With shaping every row, the carriage is not always at the {asked}.", asked)
            } else {
                say!(t, "With shaping every {every} rows, the carriage is not always at the {asked}.", every, asked)
            })
            .because(say!(t, "It changes sides with every row."))
            .hint(say!(t, "Give every= an even number, or delete the carriage side."))
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
                .because(say!(t, "At most 5 stitches can be transferred onto one needle and knitted off."))
                .hint(say!(
                    t,
                    "Narrow the last section further: more shapings over more rows, or decrease 2 {{ needles 3; }}"
                ))
        }
        F::StripesRunOut { stretch, size, rows } => {
            let rows = if *rows == 1 { say!(t, "1 row") } else { say!(t, "{rows} rows", rows) };
            Told::new(say!(t, "The yarn of the stripes of {stretch} does not last to its end in size {size}.", stretch, size))
                .because(say!(t, "{rows} are left, counted on the safe side.", rows))
                .hint(say!(t, "Give a stripe more grams, or end with one without grams: it takes the rows that are left."))
        }
        F::StripeTooLittle { stretch, size, stripe } => Told::new(say!(
            t,
            "The yarn of stripe {stripe} of {stretch} does not make 2 rows in size {size}.",
            stripe,
            stretch,
            size
        ))
        .hint(say!(t, "Leave the stripe out, or give it more grams.")),
        F::StripesUnweighed { stretch } => {
            Told::new(say!(t, "The stripes of {stretch} go by weight, and its swatch was not weighed.", stretch))
                .hint(say!(t, "Weigh the swatch, or give the stripes rows="))
        }
        F::StopsInARepeat { fabric, rows, repeat } => {
            let below = rows / repeat * repeat;
            let above = below + repeat;
            Told::new(say!(t, "{fabric} is knitted in whole repeats of {repeat} rows.", fabric, repeat))
                .because(if *rows == 1 {
                    say!(t, "1 row ends part of the way through a repeat.")
                } else {
                    say!(t, "{rows} rows end part of the way through a repeat.", rows)
                })
                .hint(rows_near(below, above, t))
        }
        F::TooShortForSteps { stretch, size, takes, rows } => {
            Told::new(say!(t, "\"{stretch}\" is too short for its shaping in size {size}.", stretch, size))
                .because(say!(t, "The steps take {takes} rows; it has {rows}.", takes, rows))
                .hint(say!(t, "Make it {takes} rows or longer.", takes))
        }
        F::TooShortForShaping { stretch, size, times, every, rows, after } => {
            let (takes, fit) = (every * times, rows.saturating_sub(*after) / every);
            let told = Told::new(say!(t, "\"{stretch}\" is too short for its shaping in size {size}.", stretch, size));
            let told = told.because(if *after > 0 {
                say!(
                    t,
                    "times={times} with every={every} takes {takes} rows and 1 after the last; it has {rows}.",
                    times,
                    every,
                    takes,
                    rows
                )
            } else {
                say!(
                    t,
                    "times={times} with every={every} takes {takes} rows; it has {rows}.",
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
                None => say!(t, "Give it a width that its fabric can have, or choose another fabric."),
                Some(other) => say!(
                    t,
                    "Write weight=10 beside the width that matters more, give \"{other}\" another width, or knit them as 2 pieces.",
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
