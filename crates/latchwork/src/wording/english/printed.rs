//! Texts on every printed sheet: titles, column heads, and how to read them.

use crate::wording::{Language, say};

pub(in crate::wording) fn printed(t: Language) -> Vec<(&'static str, String)> {
    vec![
        ("finished", say!(t, "Finished measurements")),
        ("takes", say!(t, "What it takes")),
        ("yarn", say!(t, "Yarn")),
        ("abbreviations", say!(t, "Abbreviations")),
        ("sample", say!(t, "Bold: the sample size.")),
        ("for-author", say!(t, "For the author")),
        ("for-author-how", say!(t, "Not part of the pattern: do not share these pages.")),
        ("gauge", say!(t, "Gauge")),
        ("needles", say!(t, "Needles")),
        ("needles-key", say!(t, "Main bed above, ribber below. Hook: in work. Short mark: out of work.")),
        ("stitch-sizes", say!(t, "Stitch sizes")),
        (
            "stitch-sizes-how",
            say!(
                t,
                "These are the designer's stitch sizes. Write in the sizes that give the gauge on your swatch. Change the stitch sizes of the cast-on as much as those of the first fabric, and that of the last row as much as those of the last fabric, but not below 0."
            ),
        ),
        ("manual", say!(t, "In the words of this machine's manual")),
        ("how-to-read", say!(t, "How to read this pattern")),
        ("ends-left", say!(t, "Carriage at the left:")),
        ("ends-right", say!(t, "Carriage at the right:")),
        ("cloth", say!(t, "The fabric")),
        ("cloth-how", say!(t, "Computer drawings of the stitches in this yarn, not photographs. The swatch decides.")),
        ("before", say!(t, "Before the first row")),
        ("making-up", say!(t, "Making up")),
        (
            "laid-flat",
            say!(
                t,
                "Pieces flat, public side up. Left and right are as on the machine, so they change sides where the public side faces away. Sew the seams in number order."
            ),
        ),
        (
            "laid-flat-letters",
            say!(
                t,
                "Pieces flat, public side up. Left and right are as on the machine, so they change sides where the public side faces away. Sew the seams in number order. Match the letters."
            ),
        ),
        ("trouble", say!(t, "When something goes wrong")),
        ("care", say!(t, "Care and cautions")),
        ("notes", say!(t, "Notes")),
        ("errata", say!(t, "Errata")),
        ("how-it-fits", say!(t, "How it fits")),
        (
            "bars",
            say!(
                t,
                "Bar: bodies the size fits. Ring: the body it is made for. Of the people surveyed the line holds 90%, the box 50%; the stroke is the middle."
            ),
        ),
        ("measure-it", say!(t, "Measure it")),
        ("what-to-expect", say!(t, "What to expect")),
        ("write-it-down", say!(t, "Write it down")),
        ("each-time", say!(t, "Each time: counter, carriage, stitches left.")),
        ("each-time-hangs", say!(t, "Each time: counter, carriage, stitches left, any new weight.")),
        ("step", say!(t, "step")),
        ("done", say!(t, "done")),
        ("counter", say!(t, "counter")),
        ("ends", say!(t, "carriage")),
        ("do", say!(t, "what to do")),
        ("left", say!(t, "left")),
        ("right", say!(t, "right")),
        ("rehearsed", say!(t, "Rehearsed needle by needle")),
    ]
}

pub(in crate::wording) fn hanging(grams: u32, comb: bool, t: Language) -> String {
    if comb { say!(t, "{grams} g", grams) } else { say!(t, "{grams} g, no comb", grams) }
}
