//! What stands on every printed sheet: titles, heads of columns, and how to read them.

use crate::wording::{Language, say};

pub(in crate::wording) fn printed(t: Language) -> Vec<(&'static str, String)> {
    vec![
        ("finished", say!(t, "Finished measures and yarn")),
        ("gauge", say!(t, "Gauge")),
        ("needles", say!(t, "Needles")),
        (
            "needles-key",
            say!(
                t,
                "Main bed above, ribber below. A stem with a hook is a needle in work; a short mark behind the bed is one out of work."
            ),
        ),
        ("stitch-sizes", say!(t, "Stitch sizes")),
        (
            "stitch-sizes-how",
            say!(
                t,
                "These are the sizes of the designer's machine. Fill in yours: begin from your own swatch, and keep the same differences."
            ),
        ),
        ("manual", say!(t, "In the words of this machine's manual")),
        ("how-to-read", say!(t, "How to read it")),
        ("ends-left", say!(t, "The carriage ends at the left:")),
        ("ends-right", say!(t, "at the right:")),
        ("cloth", say!(t, "The cloth")),
        (
            "cloth-how",
            say!(
                t,
                "Drawn from the loops of the rehearsal and the yarn's own stiffness and thickness, at rest. Your swatch decides."
            ),
        ),
        ("before", say!(t, "Before the first pass")),
        ("making-up", say!(t, "Making up")),
        (
            "laid-flat",
            say!(
                t,
                "Pieces laid flat, right side up; edges are named as they hung on the machine. Seams are numbered in the order of sewing."
            ),
        ),
        (
            "laid-flat-letters",
            say!(
                t,
                "Pieces laid flat, right side up; edges are named as they hung on the machine. Seams are numbered in the order of sewing; equal letters meet."
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
                "A bar is the bodies that can wear a size, its ring the body it is made for. Of the people surveyed the line holds nine in ten, the box half, the stroke is the middle."
            ),
        ),
        ("measure-it", say!(t, "Measure it")),
        ("what-to-expect", say!(t, "What to expect")),
        ("write-it-down", say!(t, "Write it down")),
        ("then", say!(t, "; then ")),
        ("columns", say!(t, "In each column: counter, where the carriage stands, stitches after.")),
        (
            "columns-hangs",
            say!(t, "In each column: counter, where the carriage stands, stitches after; what hangs from then on."),
        ),
        ("number", say!(t, "no.")),
        ("step", say!(t, "step")),
        ("done", say!(t, "done")),
        ("counter", say!(t, "counter")),
        ("ends", say!(t, "ends")),
        ("do", say!(t, "do")),
        ("left", say!(t, "left")),
        ("right", say!(t, "right")),
        ("rehearsed", say!(t, "Rehearsed needle by needle")),
    ]
}

pub(in crate::wording) fn hanging(grams: u32, comb: bool, t: Language) -> String {
    if comb { say!(t, "{grams} g", grams) } else { say!(t, "{grams} g, no comb", grams) }
}
