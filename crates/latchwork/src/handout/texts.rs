//! Texts common to all handouts: what to do when something goes wrong, and the cautions.

use crate::units::Language;
use crate::wording::say;

pub(super) fn trouble(t: Language) -> Vec<(String, String)> {
    [
        (
            say!(t, "An edge needle drops its loop"),
            say!(t, "Stop at once. Catch the loop with the latch tool, from the side of the bed it fell from. Latch it up rung by \
             rung to the current row. Hang it back on its needle. In a tuck fabric take a rung and its tuck together. Hang \
             a claw weight at that edge."),
        ),
        (
            say!(t, "The counter may have missed a row"),
            say!(t, "Find the last row where something changed. Count up from there. In rib and in plain each stitch of a column is \
             1 row. In half cardigan the main-bed side, which faces away at the machine, shows 1 stitch a row. The ribber side, which \
             faces the knitter, shows 1 stitch for 2 rows: count those and double, and add 1 after a row that tucked. The carriage side \
             tells odd from even. Set the counter by hand."),
        ),
        (
            say!(t, "The carriage sticks"),
            say!(t, "Do not force it. Take the yarn out of the feeder. Use the carriage release. If it still does not slide back, undo the \
             arm and lift the carriage off. Push the needles back into line. Look for a closed latch, a knot, two needles opposite each other, or weights caught under \
             the bed."),
        ),
    ]
    .to_vec()
}

pub(super) fn cautions(t: Language) -> Vec<String> {
    [
        say!(t, "Latch needles and hooks are sharp. Keep hands clear of a moving carriage, and sleeves and hair tied back."),
        say!(t, "Weights fall when the work comes off: keep feet clear. The yarn mast springs back when yarn breaks."),
        say!(t, "Clamp the machine to a sturdy table. Rest wrists and shoulders at least every half hour."),
        say!(t, "Keep needles, weights and yarn ends away from small children. Cords, loose fibres and buttons can harm babies and \
         children: local rules on children's clothing come first."),
        say!(t, "Nothing here is a safety certificate. For care and fire safety follow the yarn label."),
    ]
    .to_vec()
}
