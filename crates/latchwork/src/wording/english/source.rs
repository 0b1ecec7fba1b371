//! Sources of the rules' limits.

use crate::fact::{Craft, Source};
use crate::wording::{Language, say};

pub(in crate::wording) fn of_judge(source: Source, t: Language) -> String {
    match source {
        Source::Machine => say!(t, "How the machine works"),
        Source::Document => say!(t, "What the document itself says"),
        Source::Practice => say!(t, "Common practice, no source"),
        Source::Tucks => {
            say!(t, "Textbook, Spencer, Knitting Technology, 3rd ed.: up to 4 successive tucks; most-tucks changes it")
        }
        Source::EdgeTucks => {
            say!(t, "Textbook: a tuck on the last needle met is pulled off at the turn; teachers differ on the first")
        }
        Source::Floats => {
            say!(t, "Common practice, no source: about 2 cm, 6 needles on standard; longest-float changes it")
        }
        Source::Reach => say!(
            t,
            "Common practice, no source: 2 needles along a bed or 1 across is safe, 3 along is far; a crossing carries 3, at most 5"
        ),
        Source::Through => say!(t, "Common practice, no source: more than 3 loops are knitted by hand"),
        Source::Grams => say!(t, "Common practice, no source: grams a needle by gauge; weight-band changes it"),
        Source::Carried => say!(t, "Common practice, no source: a yarn is carried up over at most 6 rows"),
    }
}

pub(in crate::wording) fn of_craft(rule: Craft, t: Language) -> String {
    match rule {
        Craft::TucksSideBySide => say!(
            t,
            "Textbook, Spencer, Knitting Technology, 3rd ed.: at most 2 side by side; club pages: never on a home machine"
        ),
        Craft::ThreeTucks => say!(t, "Textbook, Spencer, Knitting Technology, 3rd ed.: at most 2 side by side"),
        Craft::NearBedEnd => say!(t, "Common practice, no source"),
        Craft::RackedFar => say!(t, "Teaching pages: at most about 1½ needles at once"),
        Craft::WeightsNotMoved => say!(t, "Common practice, no source: every 20 to 40 rows"),
        Craft::LooseCastOn => say!(t, "Teaching pages: the zigzag row at the smallest stitch size"),
        Craft::LongTurn => {
            say!(
                t,
                "Teaching pages: at the carriage side only 1 needle is in holding position; the limit is that of a float"
            )
        }
        Craft::WrappedAwayFromYarn => {
            say!(t, "Teaching pages: several stitches are increased only at the carriage side")
        }
        Craft::TightBindOff => say!(t, "Teaching pages: the loosest row, or 2 to 5 numbers looser"),
        Craft::TwoBedsUnweighted => say!(t, "Common practice, no source"),
        Craft::BoundOffHolding => say!(t, "Common practice, no source"),
        Craft::OtherPitch => {
            say!(t, "Common practice, no source: alternate needles at full pitch, every needle at half pitch")
        }
    }
}
