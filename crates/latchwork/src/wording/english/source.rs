//! Where the limits of rules come from.

use crate::fact::{Craft, Source};
use crate::wording::{Language, say};

pub(in crate::wording) fn of_judge(source: Source, t: Language) -> String {
    match source {
        Source::Machine => say!(t, "How the machine works"),
        Source::Document => say!(t, "What the document itself says"),
        Source::Practice => say!(t, "Common practice, no source"),
        Source::Tucks => {
            say!(t, "Textbook: up to four successive tucks (Spencer, Knitting Technology, 3rd ed.); the owner decides")
        }
        Source::EdgeTucks => {
            say!(t, "Textbook: a tuck on the last needle met is pulled off at the turn; teachers differ on the first")
        }
        Source::Floats => {
            say!(t, "Common practice, no source: about 2 cm, 6 needles on standard; the owner decides")
        }
        Source::Reach => say!(
            t,
            "Common practice, no source: 2 needles along a bed or 1 across go, 3 along are a stretch; a crossing goes to 3, and 5 at most"
        ),
        Source::Through => say!(t, "Common practice, no source: more than three loops are knitted by hand"),
        Source::Grams => say!(t, "Common practice, no source: grams a needle by gauge; the owner decides"),
        Source::Carried => say!(t, "Common practice, no source: a yarn is carried up over six passes at most"),
    }
}

pub(in crate::wording) fn of_craft(rule: Craft, t: Language) -> String {
    match rule {
        Craft::TucksSideBySide => say!(
            t,
            "Textbook: two side by side are the limit (Spencer, Knitting Technology, 3rd ed.); club pages: never on a home machine"
        ),
        Craft::NearBedEnd => say!(t, "Common practice, no source"),
        Craft::RackedFar => say!(t, "Teaching pages: not more than about one and a half needles at once"),
        Craft::WeightsNotMoved => say!(t, "Common practice, no source: every 20 to 40 rows"),
        Craft::LooseCastOn => say!(t, "Teaching pages: the zigzag at the tightest size"),
        Craft::LongTurn => {
            say!(t, "Teaching pages: at the carriage's side only one needle is held; the limit is that of a float")
        }
        Craft::WrappedAwayFromYarn => say!(t, "Teaching pages: several stitches are added at the carriage's side only"),
        Craft::TightBindOff => say!(t, "Teaching pages: the loosest row, or 2 to 5 numbers up"),
        Craft::TwoBedsUnweighted => say!(t, "Common practice, no source"),
        Craft::BoundOffHolding => say!(t, "Common practice, no source"),
        Craft::OtherPitch => {
            say!(t, "Common practice, no source: alternate needles at full pitch, every needle at half pitch")
        }
    }
}
