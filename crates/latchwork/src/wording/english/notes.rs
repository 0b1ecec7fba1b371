//! Sentences for findings in pass notes.

use super::fabric::stands;
use super::fault::side;
use super::{counted, listed};
use crate::fact::NotesFact as F;
use crate::wording::{Language, Told, say};

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::NoNeighbour => Told::new(say!(t, "There is no neighbour to hang the last stitch on.")).hint(say!(t, "Cast off main-bed stitches at an end.")),
        F::WhichSide => Told::new(say!(t, "Which side is the carriage at?")).hint(say!(t, "Write carriage at the right")),
        F::WantsStitchSize => Told::new(say!(t, "A stitch size is missing here.")).hint(say!(t, "Write stitch size 4, or 4 and 3 1/3. Sizes go in thirds: 7, 7 1/3, 7 2/3, 8.")),
        F::RackByHowMany => Told::new(say!(t, "How many needles is the ribber racked by?")).hint(say!(t, "Write rack 1 to the left, or rack back")),
        F::RackToWhichSide => Told::new(say!(t, "Which side is the ribber racked to?")).hint(say!(t, "Write rack 1 to the left")),
        F::HowManyNeedles => Told::new(say!(t, "How many needles?")).hint(say!(t, "Write cast on 60 needles plain, or cast on 61 needles 1x1 rib")),
        F::FromWhichNeedle => Told::new(say!(t, "From which needle?")).hint(say!(t, "Write from L30")),
        F::TubularRows => Told::new(say!(t, "A closed edge has 2 or 3 tubular rows.")).hint(say!(t, "Write with 3 tubular rows")),
        F::NotOfCastOn => Told::new(say!(t, "This is not understood in a cast-on.")).hint(say!(t, "Write cast on 60 needles plain, or cast on 61 needles 1x1 rib, ends on main, with 3 tubular rows")),
        F::IncreasedAcross => Told::new(say!(t, "Stitches are increased at the ends. Across a row there is no empty needle between stitches.")).hint(say!(t, "Write increase one at both ends every 2 rows, 3 times. Or take the work off on to a holder, put it back with needles left empty between, and bring those into work.")),
        F::DecreasedAcross => Told::new(say!(t, "Decreases are made at the ends. Across a row, transfer each stitch by itself.")).hint(say!(t, "Write decrease one at both ends every 2 rows, 3 times. Or transfer single stitches: move R3 to R4, out.")),
        F::WhichEnd => Told::new(say!(t, "At which end?")).hint(say!(t, "Write at both ends, at the left or at the right")),
        F::EveryHowMany => Told::new(say!(t, "How many rows apart?")).hint(say!(t, "Write every 6 rows, 7 times")),
        F::HowManyTimes => Told::new(say!(t, "How many times?")).hint(say!(t, "Write every 6 rows, 7 times")),
        F::NextAndEvery => Told::new(say!(t, "The next row and the rows after it need 2 lines.")).hint(say!(t, "Write decrease one at both ends as a line of its own. Then write the rows that follow: every 4 rows, 5 times.")),
        F::ShortRowNeedles => Told::new(say!(t, "How many needles each row?")).hint(say!(t, "Write short rows: hold 1 each row, 10 times, wrapped")),
        F::ShortRowTimes => Told::new(say!(t, "How many times?")).hint(say!(t, "Write short rows: hold 1 each row, 10 times, wrapped")),
        F::HeldRowByRow => Told::new(say!(t, "Needles brought to holding position row by row are short rows.")).hint(say!(t, "Write short rows: hold 1 each row, 10 times, wrapped")),
        F::OneIsWrapped => Told::new(say!(t, "One needle is wrapped at a turn.")).hint(say!(t, "Write wrap R5, or wrap new R21 to R24")),
        F::WhereTo => Told::new(say!(t, "Where to?")).hint(say!(t, "Write move R3 to R4, or move ribber R3 across")),
        F::MovedAndNamed { moved, named } => Told::new(say!(t, "Needles to move: {moved}. For their stitches, {named} named.", moved, named = if *named == 1 { say!(t, "1 is") } else { say!(t, "{named} are", named) })).hint(say!(t, "Name the same number of needles before and after to.")),
        F::CrossWith => Told::new(say!(t, "With which needles?")).hint(say!(t, "Write cross R1 R2 with R3 to R4")),
        F::CrossAsMany => Told::new(say!(t, "A crossing needs the same number of needles on both sides, and none twice.")).hint(say!(t, "Write cross R1 to R2 with R3 to R4")),
        F::HangWhichRow => Told::new(say!(t, "Which row?")).hint(say!(t, "Write hang row 1 on its needles")),
        F::HangWhichPlaces => Told::new(say!(t, "Which places of the edge?")).hint(say!(t, "Write hang edge places 0 to 6 on L3 to R4")),
        F::MorePlacesThanNeedles => Told::new(say!(t, "These are more places than a bed has needles.")).hint(say!(t, "Hang fewer at once.")),
        F::HolderNumber => Told::new(say!(t, "Holders are numbered from 1 to 99.")).hint(say!(t, "Write holder 1")),
        F::WhichYarn => Told::new(say!(t, "Which yarn?")).hint(say!(t, "Write change to \"harbour sock\"")),
        F::HowManyGrams => Told::new(say!(t, "How many grams in total?")).hint(say!(t, "Write weights 250 g")),
        F::TooMuchWaste => Told::new(say!(t, "This is more waste yarn than is needed.")).hint(say!(t, "Write waste off 8 rows")),
        F::EndsAtWhichSize => Told::new(say!(t, "At which stitch size?")).hint(say!(t, "Write at 7")),
        F::CounterReadsWhat => Told::new(say!(t, "What does the counter read?")).hint(say!(t, "Write counter reads 36")),
        F::CounterToWhat => Told::new(say!(t, "What is the counter set to?")).hint(say!(t, "Write counter 0, or another reading below 1,000,000")),
        F::HowManyInAll => Told::new(say!(t, "How many rows in total?")).hint(say!(t, "Write total 120 rows")),
        F::NoSuchNeedle => Told::new(say!(t, "There is no such needle in work.")),
        F::NoLoopOfRow => Told::new(say!(t, "No loop of that row is under the needles now in work.")).hint(say!(t, "Write hang row 1 on its needles, with the counter reading of that row.")),
        F::ShortRowsRunOut { row } => Told::new(say!(t, "The short rows run out of needles at row {row}.", row)).hint(say!(t, "Do them fewer times.")),
        F::NamedTwice { needle } => Told::new(say!(t, "Needle {needle} is named twice in this line.", needle)).hint(say!(t, "Name it once.")),
        F::WhichSideIsMeant => Told::new(say!(t, "Which side is meant?")).hint(say!(t, "Write 5 at the left, or name the needles.")),
        F::NameTwice { name } => Told::new(say!(t, "There are two notes called \"{name}\".", name)).hint(say!(t, "Give one another name.")),
        F::TooManyLines { most } => Told::new(say!(t, "Notes of one piece have at most {most} lines.", most)),
        F::NothingKnitted => Told::new(say!(t, "These notes knit nothing.")).hint(say!(t, "Write a line for each thing done, such as cast on 60 needles plain.")),
        F::RepeatWhat => Told::new(say!(t, "What is repeated, and how often?")).hint(say!(t, "Write repeat the last 4 lines 5 times: the 4 lines above, 5 more times.")),
        F::NotUnderstoodFurther => Told::new(say!(t, "The end of this line is not understood.")).hint(say!(t, "Write 1 thing on a line, and notes to yourself after //.")),
        F::WhichSetting => Told::new(say!(t, "Does it knit, tuck or slip?")).hint(say!(t, "Write main knit, ribber tuck")),
        F::WhatDoBedsDo => Told::new(say!(t, "What do the beds do?")).hint(say!(t, "Write main knit, ribber tuck / both beds knit")),
        F::TooManyRows { n, most } => Told::new(say!(t, "{n} rows are more than one line can have.", n)).hint(say!(t, "At most {most}.", most)),
        F::AtWhichSize => Told::new(say!(t, "At which stitch size?")).hint(say!(t, "Write at 4, or at 4 and 3")),
        F::WhichSecondYarn => Told::new(say!(t, "With which second yarn?")).hint(say!(t, "Write 8 rows two yarns by the selection with \"red\"")),
        F::WhichLaidYarn => Told::new(say!(t, "Which yarn is laid in?")).hint(say!(t, "Write 8 rows lay in \"red\" by the selection")),
        F::InWhat => Told::new(say!(t, "In what?")).hint(say!(t, "Write a fabric, or a yarn in quotation marks")),
        F::SelectionSigns => Told::new(say!(t, "A selection is written with x and dots.")).hint(say!(t, "Write select x.x. / .x.x: x comes forward.")),
        F::TooMuchKnitting => Told::new(say!(t, "This is more knitting than one piece can have.")).hint(say!(t, "Divide it into several pieces, or knit fewer rows.")),
        F::PieceHasEnded => Told::new(say!(t, "The piece ends before this line.")).hint(say!(t, "Start another piece with notes \"NAME\".")),
        F::CarriageStands { side: at, rows } => { let side = side(*at, t); Told::new(say!(t, "The carriage is at the {side} here, after {rows}.", side, rows = counted::rows(rows, t))).hint(say!(t, "There is 1 row too many or too few above. Or write free pass.")) }
        F::CounterPast { now } => Told::new(say!(t, "The counter already reads {now}.", now)).hint(say!(t, "Set it back with counter 0, or name a later row.")),
        F::LoopsCarried { is, n } => Told::new(if *is == 1 { say!(t, "1 needle has stitches here, not {n}.", n) } else { say!(t, "{is} needles have stitches here, not {n}.", is, n) }).hint(say!(t, "Check the decreases and increases above.")),
        F::RowsInAll { rows, said } => Told::new(say!(t, "The rows above come to {rows}, not {said}.", rows, said)).hint(say!(t, "Fix the total, or the rows.")),
        F::NothingCastOn => Told::new(say!(t, "Nothing is cast on yet.")).hint(say!(t, "Write cast on 61 needles 1x1 rib first, or bring needles into work.")),
        F::CastOnAlready => Told::new(say!(t, "The piece is already cast on.")).hint(say!(t, "Bring more needles in with increase, or into work.")),
        F::NoRibber => Told::new(say!(t, "This needs the ribber, but the machine has one bed.")).hint(say!(t, "Name a machine with a ribber, or knit it on the main bed.")),
        F::NoStitchSize => Told::new(say!(t, "No stitch size is given.")).hint(say!(t, "Write it with the rows: 36 rows 1x1 rib at 4")),
        F::SameYarn => Told::new(say!(t, "The second yarn is already in the feeder.")).hint(say!(t, "Name another yarn.")),
        F::WhichFabric => Told::new(say!(t, "In which fabric?")).hint(say!(t, "Write rows of it first, such as 2 rows plain at 6.")),
        F::MoreRowsThanAPiece => Told::new(say!(t, "These are more rows than a piece can have.")),
        F::EndChangesBed => Told::new(say!(t, "Decreasing 1 stitch would put the end on the other bed, which tucks.")).hint(say!(t, "Write decrease one on each bed, so that each end stays on its bed.")),
        F::ShapingRunsOut { row, have, takes } => Told::new(say!(t, "The shaping runs out of needles at row {row}: {have} left, {takes} needed.", row, have, takes)).hint(say!(t, "Decrease fewer times, or start wider.")),
        F::MoreNeedlesThanABed => Told::new(say!(t, "These are more needles than a bed has.")),
        F::OtherLayout { stands: on, fabric, wants } => { let (stands, wants) = (stands(*on, t), stands(*wants, t)); Told::new(say!(t, "The needles in work are {stands}. {fabric} needs {wants}.", stands, fabric, wants)).hint(say!(t, "Transfer the stitches in lines of their own first, or cast on for this fabric.")) }
        F::NothingSelected => Told::new(say!(t, "Nothing is selected yet.")).hint(say!(t, "Write select x.x. / .x.x before these rows.")),
        F::YarnNotInHead { name, quoted, near } => {
            Told::new(say!(t, "The head has no yarn \"{name}\", so its amount is not counted.", name)).hint(match near {
                Some(near) => say!(t, "Did you mean {near}?", near),
                None => say!(
                    t,
                    "Write yarn {quoted} {{ count (\"m/100g\")420; }} in the head, with its own count.",
                    quoted
                ),
            })
        }
        F::CarriageNotSaid { notes } => Told::new(say!(
            t,
            "The notes of \"{notes}\" do not give the carriage side at the start. The right is assumed.",
            notes
        ))
        .hint(say!(t, "Write carriage at the right as the first line.")),
        F::NoWeights { notes } => Told::new(say!(
            t,
            "The notes of \"{notes}\" hang no comb or weights. They are assumed after the cast-on, and changed as the work narrows.",
            notes
        ))
        .hint(say!(t, "Write weights 250 g where you hang them.")),
        F::RowFilledIn => Told::new(say!(
            t,
            "One row is knitted before this line, so that the needles of the last increase take their first stitches."
        ))
        .hint(say!(t, "Write the row: 1 row.")),
        F::TooManyYarns => Told::new(say!(t, "These are more yarns than one piece can have.")),
        F::NotUnderstood { near, known } => {
            let known = listed(known);
            Told::new(say!(t, "This line is not understood.")).hint(match near {
                Some(near) => say!(t, "Did you mean {near}?", near),
                None => say!(t, "A line starts with a number of rows, or with one of: {known}.", known),
            })
        }
        F::TwoAtAnEnd { increase: true } => {
            Told::new(say!(t, "At most 2 stitches are increased at an end at a time, 1 on each bed.")).hint(say!(
                t,
                "Write increase one on each bed at both ends; or, for several on the main bed, wrap new R21 to R24"
            ))
        }
        F::TwoAtAnEnd { increase: false } => {
            Told::new(say!(t, "At most 2 stitches are decreased at an end at a time, 1 on each bed.")).hint(say!(
                t,
                "Write decrease one on each bed at both ends; or, for several on the main bed, bind off 4 at the right"
            ))
        }
        F::PlacesAndNeedles { places, needles } => {
            let (places, needles) = (counted::places(places, t), counted::needles(needles, t));
            Told::new(say!(t, "This names {places} and {needles}.", places, needles))
                .hint(say!(t, "Name one place of the edge for each needle."))
        }
        F::WantsNeedle => Told::new(say!(t, "A needle is missing here."))
            .hint(say!(t, "Name needles like this: main L3 to R5, or ribber R2, R4, or every second from L9 to R9.")),
        F::TooLong { bytes, most } => {
            Told::new(say!(t, "The notes have {bytes} bytes.", bytes)).hint(say!(t, "At most {most} are read.", most))
        }
        F::TooManyPieces { pieces, lines } => Told::new(say!(
            t,
            "Notes have at most {pieces} pieces, of at most {lines} lines each.",
            pieces,
            lines
        ))
        .hint(say!(t, "Split them into documents of their own.")),
        F::LinesAbove { lines } => Told::new(match lines {
            0 => say!(t, "There is no line above this one."),
            1 => say!(t, "There is 1 line above this one."),
            _ => say!(t, "There are {lines} lines above this one.", lines),
        })
            .hint(say!(t, "Name the number of lines to repeat.")),
        F::NeitherFabricNorSetting { near } => {
            Told::new(say!(t, "This is neither a fabric nor a setting.")).hint(match near {
                Some(near) => say!(t, "Did you mean {near}?", near),
                None => say!(t, "Write 36 rows 1x1 rib at 4; latchwork fabrics lists the fabrics."),
            })
        }
        F::CounterReads { is, said, set, rows } => {
            Told::new(say!(t, "The counter reads {is} here, not {said}.", is, said)).hint(match set {
                Some((to, after, since)) => say!(
                    t,
                    "A line above, counter {to}, set it after {after}; the rows since come to {since}.",
                    to,
                    after = counted::rows(after, t),
                    since
                ),
                None => say!(t, "The rows above come to {rows} in total.", rows),
            })
        }
        F::CannotBeSetUp { needles, fabric, stands: on, can, asked_both_main, odd } => {
            let on = stands(*on, t);
            let ends = asked_both_main.map(|both_main| {
                if both_main {
                    say!(t, "its ends are on the main bed and on the ribber, not both on the main bed")
                } else {
                    say!(t, "both its ends are on the main bed")
                }
            });
            let odd = odd.then(|| say!(t, "{needles} needles do not make whole groups", needles));
            let why: Vec<String> = ends.into_iter().chain(odd).collect();
            let why = if why.is_empty() { on.clone() } else { why.join(&say!(t, ", and ")) };
            let can = can.join(&say!(t, " or "));
            Told::new(say!(t, "{needles} needles cannot be set up for {fabric}: {why}.", needles, fabric, why))
                .hint(say!(t, "{can} can: {on}.", can, on))
        }
    }
}
