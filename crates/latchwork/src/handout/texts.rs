//! What is said in every handout: when something goes wrong, and the usual cautions.

use crate::units::Language;
use crate::wording::say;

pub(super) fn trouble(t: Language) -> Vec<(String, String)> {
    [
        (
            say!(t, "An edge needle drops its loop"),
            say!(t, "Stop at once. Catch the loop with the latch tool, from the side of the bed it fell from, latch it up rung by \
             rung to the row on the needles, and hang it back. In a tuck fabric take a rung and its tuck together. Hang \
             a claw at that edge."),
        ),
        (
            say!(t, "The counter may have missed a row"),
            say!(t, "Find the row at which something last changed, and count from there. In a rib and in plain each stitch of a \
             column is one row. In half cardigan the main bed's side, which is turned away from you, shows one stitch a \
             row, and the ribber's side, which you see, one for two rows: count those and double, and add one after a row that \
             tucked. The carriage's side tells odd from even. Set the counter by hand."),
        ),
        (
            say!(t, "The carriage sticks"),
            say!(t, "Do not force it. Free it by its release and lift it clear if it will not slide back. Take the yarn out of the feeder, push needles back into line, look for a closed latch, a \
             knot, two needles face to face, or weights caught under the bed."),
        ),
    ]
    .to_vec()
}

pub(super) fn cautions(t: Language) -> Vec<String> {
    [
        say!(t, "Latch needles and hooks are sharp. Keep hands clear of a moving carriage, and sleeves and hair tied back."),
        say!(t, "Weights fall when the work comes off: keep feet clear. The yarn mast springs back when yarn breaks."),
        say!(t, "Clamp the machine to a table that bears it. Rest wrists and shoulders at least every half hour."),
        say!(t, "Keep needles, weights and yarn ends away from small children. On things for babies and children cords, loose \
         fibres and buttons can harm: local rules on children's clothing come first."),
        say!(t, "Nothing here is a safety certificate. For care and burning behaviour the yarn's label has the last word."),
    ]
    .to_vec()
}
