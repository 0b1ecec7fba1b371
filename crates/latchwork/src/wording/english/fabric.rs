//! Sentences for findings in a fabric document.

use latchwork_machine::needle::{Bed, Pitch};
use latchwork_machine::steps::Setting;

use super::counted;
use crate::fact::{FabricFact as F, FacingWayOut, Stands};
use crate::wording::{Language, Told, say};

/// Which needles of a bed are in work: every other needle; 2 in, 1 out.
fn in_work((a, n): (u32, u32), t: Language) -> String {
    match (a, n) {
        (a, n) if a == n => say!(t, "every needle"),
        (1, 2) => say!(t, "every other needle"),
        (1, 3) => say!(t, "every third needle"),
        (a, n) => say!(t, "{a} in, {out} out", a, out = n - a),
    }
}

/// Which needles are in work, with the pitch.
pub(in crate::wording) fn stands(s: Stands, t: Language) -> String {
    let main = in_work(s.main, t);
    let Some(ribber) = s.ribber else { return say!(t, "{main} of the main bed", main) };
    let beds = match (s.main, ribber) {
        (a, b) if a == b && s.by_turns && a.0 < a.1 => say!(t, "{main} on each bed, alternating", main),
        (a, b) if a == b => say!(t, "{main} on both beds", main),
        (_, ribber) => {
            let ribber = in_work(ribber, t);
            say!(t, "{main} on the main bed, {ribber} on the ribber", main, ribber)
        }
    };
    say!(t, "{beds}, {pitch}", beds, pitch = pitch(s.pitch, t))
}

pub(in crate::wording) fn pitch(pitch: Pitch, t: Language) -> String {
    match pitch {
        Pitch::Full => say!(t, "full pitch"),
        Pitch::Half => say!(t, "half pitch"),
    }
}

/// What one bed does, or both.
pub(in crate::wording) fn sets(setting: Setting, both: bool, t: Language) -> String {
    match (setting, both) {
        (Setting::Knit, false) => say!(t, "knits"),
        (Setting::Tuck, false) => say!(t, "tucks"),
        (Setting::Slip, false) => say!(t, "slips"),
        (Setting::Knit, true) => say!(t, "knit"),
        (Setting::Tuck, true) => say!(t, "tuck"),
        (Setting::Slip, true) => say!(t, "slip"),
    }
}

pub(in crate::wording) fn bed(bed: Bed, t: Language) -> String {
    match bed {
        Bed::Main => say!(t, "main bed"),
        Bed::Ribber => say!(t, "ribber"),
    }
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::NameTaken { reserved, name } => {
            Told::new(say!(t, "There is already a fabric called \"{reserved}\".", reserved))
                .because(say!(t, "It is {name}. In print, 2 fabrics of one name would look alike.", name))
                .hint(say!(t, "Give this one another name, such as \"own {name}\".", name))
        }
        F::LikeItself => Told::new(say!(t, "This fabric is like itself, directly or through others."))
            .because(say!(t, "None of them says which needles are in work."))
            .hint(say!(t, "Give one of them needles and passes of its own.")),
        F::NoNeedles { name } => Told::new(say!(t, "\"{name}\" does not say which needles are in work.", name))
            .hint(say!(t, "Write needles pitch=\"full\" {{ ribber \".x\"; main \"x.\" }}"))
            .hint(say!(t, "or like \"1x1 rib\", to use the needles of another fabric.")),
        F::NoNeedleSign { sign } => Told::new(say!(t, "\"{sign}\" is not a sign for a needle.", sign))
            .because(say!(t, "x is a needle in work; . is one out of work."))
            .hint(say!(t, "Write \"xx.\" for 2 in, 1 out")),
        F::NeedleRowLength { most } => Told::new(say!(t, "A row of needles has 1 to {most} signs.", most))
            .hint(say!(t, "Write one repeat, such as \"x.\"")),
        F::RackedByHalf => Told::new(say!(t, "The ribber is racked by whole needles."))
            .hint(say!(t, "For half a needle, change the pitch: full or half.")),
        F::FirstNotMain => Told::new(say!(t, "The first needle at the left must be on the main bed."))
            .because(say!(t, "It is the left end of the piece."))
            .hint(say!(t, "Start the main-bed row with x: main \"x.\"")),
        F::RowsOfTwoLengths { main, ribber, long } => {
            Told::new(say!(t, "The rows of the 2 beds differ in length: {main} and {ribber} signs.", main, ribber))
                .because(say!(t, "Side by side, they would line up again only after many needles."))
                .hint(say!(t, "Write both with {long} signs.", long))
        }
        F::NoCastOn => Told::new(say!(t, "This fabric does not say how it is cast on."))
            .because(say!(t, "In the first row its loops must alternate between the beds, or 2 become 1."))
            .hint(say!(t, "Write cast-on pitch=\"half\" racking=0, with the pitch and racking at which they alternate"))
            .hint(say!(t, "or cast-on \"main\", to cast on the main bed and bring the ribber needles in empty.")),
        F::NotCastOn { on } => {
            let on = bed(*on, t);
            Told::new(say!(t, "The fabric uses a needle of the {on} that is not cast on.", on))
                .hint(say!(t, "Mark it here too: more needles may be cast on than stay in work, not fewer."))
        }
        F::NoNeedleAtEnd { places, period, plus } => {
            Told::new(say!(t, "At {places} an end of this fabric has no needle.", places = counted::places(places, t)))
                .because(say!(t, "Its needles do not fit the widths that it states."))
                .hint(say!(t, "Write widths every={period} plus={plus}", period, plus))
        }
        F::EndsNeverThere { word } => Told::new(say!(t, "Its ends are never on \"{word}\".", word))
            .because(say!(t, "No width that it states has its outermost needles there."))
            .hint(say!(t, "State the ends that its needles give, or other widths.")),
        F::SignNotOneLetter { word } => {
            Told::new(say!(t, "A sign in the legend is one letter or mark.")).hint(say!(t, "Write {word}=\"|\"", word))
        }
        F::SignsAlike => Told::new(say!(t, "Two signs in the legend are the same."))
            .hint(say!(t, "Give knit, tuck and slip a sign each.")),
        F::NoGridSign { sign, signs: [knit, tuck, slip, second, over] } => Told::new(say!(t, "\"{sign}\" is not a sign of this grid.", sign))
            .because(say!(
                t,
                "{knit} knits, {tuck} tucks, {slip} slips; {second} knits the second yarn; {over} knits, with the laid-in yarn over the needle; < and > move the stitch to the next needle for an eyelet.",
                knit,
                tuck,
                slip,
                second,
                over
            ))
            .hint(say!(t, "Use these signs, or name others in legend.")),
        F::TwoFurtherYarns => Told::new(say!(t, "One row cannot both knit a second yarn and lay one in."))
            .because(say!(t, "Needles in forward position do one of the two."))
            .hint(say!(t, "Draw it as two rows.")),
        F::SecondAmongTucks => Told::new(say!(t, "A row with a second or laid-in yarn cannot tuck or slip."))
            .because(say!(t, "The needles in working position knit the first yarn."))
            .hint(say!(t, "Use the knit sign for them. Or leave the knit sign out, and the whole row is in the second yarn.")),
        F::SameYarnTwice => Told::new(say!(t, "This row uses the same yarn twice."))
            .hint(say!(t, "Give the 2 yarns different numbers, such as yarn=1 second=2.")),
        F::TuckAndSlip => Told::new(say!(t, "One row cannot tuck and slip on the same bed."))
            .because(say!(t, "The carriage is set to one or the other, and needles in forward position knit."))
            .hint(say!(t, "Divide it in two.")),
        F::GridRowLength { most } => {
            Told::new(say!(t, "A row of the grid has 1 to {most} signs.", most)).hint(say!(t, "Write one repeat."))
        }
        F::NoPasses => Told::new(say!(t, "This fabric does not say what its passes do."))
            .hint(say!(t, "Write pass main=\"knit\" ribber=\"tuck\", one line for each pass of the repeat.")),
        F::TooManyPasses { most } => {
            Told::new(say!(t, "A repeat has at most {most} passes.", most)).hint(say!(t, "Divide it into two fabrics."))
        }
        F::WantsSetting { word } => Told::new(say!(t, "{word}= needs knit, tuck, slip or a row of signs.", word)),
        F::NoRibberNeedles => Told::new(say!(t, "The ribber has no needles in this fabric."))
            .hint(say!(t, "Delete ribber=, or mark ribber needles in needles.")),
        F::NeedlesOfOneBed { word } => Told::new(say!(t, "\"{word}\" needs the needles of one bed.", word)).hint(say!(
            t,
            "Write {word} main=\"x...\"",
            word
        )),
        F::NoNeedlesHere => Told::new(say!(t, "These are not needles."))
            .because(say!(t, "x is a needle that is meant; . is one that is not.")),
        F::RaggedGrid { count, below } => Told::new(say!(
            t,
            "This row has {signs}; the row below has {below}.",
            signs = counted::signs(count, t),
            below
        ))
        .because(say!(t, "Every row of a grid has the same width."))
        .hint(say!(t, "Write every row with the same number of signs.")),
        F::EmptyGrid => {
            Told::new(say!(t, "This grid has no rows.")).hint(say!(t, "Write row \"kt\", the first row at the bottom."))
        }
        F::Lacks { word, name } => Told::new(say!(t, "\"{word}\" needs {name}=.", word, name)),
        F::Facing { racked, place, way_out } => Told::new(if *racked == 0 {
            say!(t, "Needles of the two beds are opposite each other: main bed needle {place}.", place)
        } else {
            say!(
                t,
                "Needles of the two beds are opposite each other, racked by {racked}: main bed needle {place}.",
                racked,
                place
            )
        })
        .because(say!(t, "They would collide."))
        .hint(match way_out {
            FacingWayOut::HalfPitchOrRack(n) => {
                say!(t, "Write needles pitch=\"half\", or rack the passes by {n}.", n)
            }
            FacingWayOut::HalfPitch => say!(t, "Write needles pitch=\"half\", or put one of the two out of work."),
            FacingWayOut::OtherRacking => say!(t, "Put one of the two out of work, or rack by another number."),
        }),
        F::BesideItsOwn { needle, on, cast_on } => {
            let on = bed(*on, t);
            Told::new(say!(
                t,
                "In this cast-on, needle {needle} of the {on} is next to another of its own bed.",
                needle,
                on
            ))
            .because(say!(t, "The yarn lies over both hooks, so they make 1 loop, not 2."))
            .hint(match cast_on {
                Some((true, racking)) => say!(t, "Write cast-on pitch=\"full\" racking={racking}", racking),
                Some((false, racking)) => say!(t, "Write cast-on pitch=\"half\" racking={racking}", racking),
                None => {
                    say!(
                        t,
                        "Cast on over more needles and transfer their loops to neighbours, or write cast-on \"main\"."
                    )
                }
            })
        }
        F::NothingToBeLike { name, near } => {
            let told = Told::new(say!(t, "There is no fabric called \"{name}\".", name));
            let told = match near {
                Some(near) => told.hint(say!(t, "Write like \"{near}\"", near)),
                None => told,
            };
            told.hint(say!(t, "`latchwork fabrics` lists them."))
        }
        F::NotKnitted { fabric, fact } => {
            let Told { message, why, hints } = super::told(fact, t);
            Told { message: say!(t, "{fabric} cannot be knitted as written. {message}", fabric, message), why, hints }
        }
    }
}
