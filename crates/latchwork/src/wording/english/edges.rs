//! Sentences for findings about edges, necks and short rows.

use crate::fact::EdgeFact as F;
use crate::wording::{Language, Told, say, side};

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::SlitAlone { word } => Told::new(say!(t, "A section with a slit takes no {word}.", word))
            .because(say!(t, "Its two sides are knitted one after the other over the same needles."))
            .hint(say!(t, "Put it in a section of its own, before or after.")),
        F::OpeningOfNoEdge { name } => Told::new(say!(t, "The opening \"{name}\" has no edge.", name))
            .because(say!(t, "Its edges, one after another, are what must stretch."))
            .hint(say!(t, "Name them: edge \"front\" \"neck\"; edge \"back\" \"neck\".")),
        F::OpeningOverNothing { name } => {
            Told::new(say!(t, "The opening \"{name}\" does not say what passes through it.", name))
                .hint(say!(t, "Add the measure, as in opening \"neck\" over=\"head-girth\"."))
        }
        F::SlitWhere => Told::new(say!(t, "This does not say at which side of the slit the stitches are."))
            .hint(say!(t, "Write slit 20 at=\"left\", or slit alone for one in the middle.")),
        F::NoSlitIn { fabric } => Told::new(say!(t, "A slit cannot be knitted in {fabric}.", fabric))
            .because(say!(t, "While one side is held, the rows of the other end in the middle of the needles: none of them may tuck, be chosen or be moved there."))
            .hint(say!(t, "Plain, the ribs and tubular can have slits.")),
        F::SlitFirst { stretch } => Told::new(say!(t, "\"{stretch}\" has a slit before the piece has a row.", stretch))
            .hint(say!(t, "Put a section before it.")),
        F::SlitInColours => Told::new(say!(t, "A piece with a slit is knitted in one yarn."))
            .because(say!(t, "Each side needs its own yarns."))
            .hint(say!(t, "Leave out the stripes and further yarns, or the slit.")),
        F::CrownAlone { word } => Told::new(say!(t, "A crown takes no {word}.", word))
            .because(say!(t, "Its stitches go across the row, one of every wedge at a time."))
            .hint(say!(t, "Put it in a section of its own.")),
        F::NoCrownIn { fabric } => Told::new(say!(t, "A crown cannot be knitted in {fabric}.", fabric))
            .because(say!(t, "The row is closed up on every needle of the main bed."))
            .hint(say!(t, "Plain can have a crown.")),
        F::ShareOfListedNeck => {
            Told::new(say!(t, "The width of this neck is what its steps make: a share of it cannot be taken first."))
                .hint(say!(t, "Give the middle in stitches, as middle 16."))
                .hint(say!(t, "Or give the neck a width, and leave out the steps."))
        }
        F::HungWithoutEdge => Told::new(say!(t, "This does not say which edges hang on the needles."))
            .hint(say!(t, "Write cast-on \"hung\" {{ edge \"front\" \"neck\" }}")),
        F::EdgeOfPlainCastOn => Told::new(say!(t, "Only a cast-on \"hung\" takes edges of other pieces."))
            .hint(say!(t, "Write cast-on \"hung\", or delete the edges.")),
        F::HungOnTwoBeds => Told::new(say!(t, "Edges cannot be hung for this fabric."))
            .because(say!(t, "They hang on the main bed; where the beds take turns, every second stitch goes to the ribber."))
            .hint(say!(t, "Begin with plain, 1x1 rib or another fabric whose beds take turns.")),
        F::HungTooEarly { piece, other } if piece == other => {
            Told::new(say!(t, "\"{piece}\" cannot hang an edge of its own.", piece))
                .hint(say!(t, "Sew the two edges, or hang the edge of another piece."))
        }
        F::HungTooEarly { piece, other } => {
            Told::new(say!(t, "\"{piece}\" hangs an edge of \"{other}\", which is knitted after it.", piece, other))
                .because(say!(t, "A piece is finished before its edge is hung."))
                .hint(say!(t, "Put piece \"{other}\" above piece \"{piece}\".", other, piece))
        }
        F::CannotHang => Told::new(say!(t, "This edge cannot be hung on the needles."))
            .hint(say!(t, "Side edges, first and last rows and necks can.")),
        F::NoMirrorImage { piece } => Told::new(say!(t, "\"{piece}\" has no mirror image.", piece))
            .hint(say!(t, "Write make \"pair\" for a left and a right one, or leave out mirrored.")),
        F::HungTooOften { piece, other, made } => Told::new(say!(
            t,
            "\"{piece}\" is made {made} times, each with an edge of \"{other}\": there are not so many.",
            piece,
            made,
            other
        ))
        .hint(say!(t, "Write a piece for each edge, or make \"pair\" for a left and a right one.")),
        F::HungTwice { seam } => Told::new(say!(t, "This edge is already joined in \"{seam}\".", seam))
            .hint(say!(t, "Name other sections, or delete one of the joins.")),
        F::JoinedToRows => Told::new(say!(t, "A side is joined, row by row, to one side edge of another piece."))
            .hint(say!(t, "Write joined \"left\" {{ edge \"strip\" \"right\" }}")),
        F::JoinedAlone { word } => Told::new(say!(t, "A section that is joined as it grows takes no {word}.", word))
            .hint(say!(t, "Put it in a section of its own, or sew the edges.")),
        F::JoinedNotCastOff => Told::new(say!(t, "Edges hung at the end of a piece are cast off with it."))
            .hint(say!(t, "Write ending \"chain\" or ending \"loop through loop\".")),
        F::JoinedInGroups => Told::new(say!(t, "A sloped shoulder is cast off in groups: nothing can be cast off with it."))
            .hint(say!(t, "Write shoulder 4 by=\"short-rows\", leave out shoulder, or sew the shoulders.")),
        F::ShouldersToShoulders => Told::new(say!(t, "On the two shoulders of a piece hang the two shoulders of another."))
            .hint(say!(t, "Name the ending of a piece with a neck.")),
        F::ClosedTube { stretch } => Told::new(say!(t, "Nothing gets into the tube of \"{stretch}\".", stretch))
            .because(say!(t, "A closed cast-on, a rib and a cast-off join both its layers, and here it has one at either end."))
            .hint(say!(t, "End it on waste yarn. A rib can be hung on the open end, in a piece of its own.")),
        F::TubeAlone => Told::new(say!(t, "The open end of a tube is hung by itself, a needle for each of its stitches."))
            .because(say!(t, "Its stitches are live: one left out would run."))
            .hint(say!(t, "Take out fullness and the other edges.")),
        F::HemAlone { word } => Told::new(say!(t, "A section that is folded into a hem takes no {word}.", word))
            .because(say!(t, "Both its layers are alike."))
            .hint(say!(t, "Put it in a section of its own, after the hem.")),
        F::HemNotFirst { stretch } => {
            Told::new(say!(t, "\"{stretch}\" cannot be folded into a hem here.", stretch))
                .because(say!(t, "A hem hangs on its own first row: it begins a piece that is cast on by e-wrap or on waste yarn."))
                .hint(say!(t, "Make it the first section, or delete hem."))
        }
        F::NoHemIn { fabric, holes: false } => Told::new(say!(t, "Hems cannot be knitted in {fabric}.", fabric))
            .because(say!(t, "Stitches are hung on every needle of the main bed."))
            .hint(say!(t, "Plain can have them.")),
        F::NoHemIn { fabric, holes: true } => Told::new(say!(t, "Holes cannot be knitted in {fabric}.", fabric))
            .because(say!(t, "Each stitch goes onto the needle beside it, and both must knit in every row."))
            .hint(say!(t, "Plain and 1x1 rib can have them.")),
        F::HeldShoulderBesidePanel => Told::new(say!(t, "A shoulder by short rows has no room beside a panel."))
            .because(say!(t, "Its needles are held in groups, and those of a panel are not."))
            .hint(say!(t, "Leave by= out: its groups are cast off. Or end the panel in the section before.")),
        F::WideHolesIn { fabric, wide } => Told::new(say!(t, "Buttonholes of {wide} stitches cannot be knitted in {fabric}.", wide, fabric))
            .because(say!(t, "They are cast off and wound on again on the main bed alone."))
            .hint(say!(t, "Leave wide= out: one stitch is moved aside for each. Or choose plain.")),
        F::HolesAlone { holes, word } => Told::new(say!(t, "A section with {holes} takes no {word}.", holes, word))
            .because(say!(t, "They are spread over a row whose stitches stay."))
            .hint(say!(t, "Put it in a section of its own.")),
        F::HolesWhen { eyelets: false } => Told::new(say!(t, "This does not say after how many rows the buttonholes come."))
            .hint(say!(t, "Write buttonholes 5 after=4 ends=3")),
        F::HolesWhen { eyelets: true } => {
            Told::new(say!(t, "This does not say how far apart the eyelets are, and after how many rows they come."))
                .hint(say!(t, "Write eyelets every=4 after=3"))
        }
        F::NeckBelow { stretch, last } => {
            Told::new(say!(t, "A neck divides the last section, and \"{stretch}\" is not the last.", stretch))
                .because(say!(t, "From where the work parts, each side is knitted up to its shoulder."))
                .hint(say!(t, "Put the neck in \"{last}\".", last))
        }
        F::NeckEdgeShaped { side: at } => Told::new(say!(
            t,
            "The neck shapes the {side} edge, and so does this.",
            side = side(*at, t)
        ))
        .hint(say!(t, "Shape the other edge alone: at \"{other}\"", other = side(at.other(), Language::English))),
        F::NeckFirst { stretch } => {
            Told::new(say!(t, "\"{stretch}\" is divided by a neck before the piece has a row.", stretch))
                .hint(say!(t, "Put a section before it."))
        }
        F::NothingWaits => Told::new(say!(t, "A neck at one edge divides nothing: no side waits.")).hint(say!(t, "Leave out waits.")),
        F::NoWaitingIn { fabric } => Told::new(say!(t, "In {fabric} no side can wait on its needles.", fabric))
            .because(say!(t, "Its needles must all be on the main bed, and none may tuck or be brought forward."))
            .hint(say!(t, "Leave out waits: the second side then waits on a holder or waste yarn.")),
        F::NeckDrawnTogether => Told::new(say!(t, "A piece that is divided by a neck has two shoulders to end."))
            .hint(say!(t, "Write ending \"chain\", ending \"loop through loop\" or ending \"waste yarn\".")),
        F::NeckBesidePanel => Told::new(say!(t, "A section that is divided by a neck has no panels."))
            .because(say!(t, "Each side is knitted for itself, and a panel may lie across both."))
            .hint(say!(t, "Leave out the panels, or the neck.")),
        F::NeckFetched => Told::new(say!(t, "In a section that is divided by a neck no free pass fetches a yarn."))
            .because(say!(t, "The two sides are knitted from opposite edges."))
            .hint(say!(t, "Leave out free-pass: a yarn at the far side is then cut and joined.")),
        F::TwoHandles => Told::new(say!(t, "A curve has a name, or two handles."))
            .hint(say!(t, "Write curve \"bell\", or curve {{ handle (percent)25 (percent)20; handle (percent)60 (percent)95 }}")),
        F::GroupUneven { group, unit } => {
            Told::new(say!(t, "{group} stitches cannot be cast off where {unit} are shaped at a time.", group, unit))
                .because(say!(t, "Both beds keep their turn at the edge."))
                .hint(say!(t, "Write cast-off {near}", near = group / unit * unit + unit))
        }
        F::ShoulderWithoutNeck => Told::new(say!(t, "A shoulder slopes beside a neck, and this section has none."))
            .hint(say!(t, "Write the neck in the same section, or cast off groups with decrease 1 {{ then every=2 cast-off=6 }}")),
        F::NoSlopedShoulderIn { fabric, by_short_rows: false } => {
            Told::new(say!(t, "Groups of stitches of {fabric} cannot be cast off at an end.", fabric))
                .hint(say!(t, "Leave out shoulder: both shoulders are then cast off straight."))
        }
        F::NoSlopedShoulderIn { fabric, by_short_rows: true } => {
            Told::new(say!(t, "Short rows cannot be knitted in {fabric}.", fabric))
                .because(say!(t, "At a turn every needle of the row must knit, without racking or work by hand before it."))
                .hint(say!(t, "Leave out by=\"short-rows\": the shoulders are then cast off in groups."))
        }
        F::TurnOfNoShortRow => Told::new(say!(t, "Stitches that are cast off turn no row."))
            .hint(say!(t, "Write shoulder 4 by=\"short-rows\" turn=\"wrap\", or leave out turn=.")),
        F::ShortRowsAlone { word } => Told::new(say!(t, "A section with short rows takes no {word}.", word))
            .because(say!(t, "Its rows are those that its list says, and its width stays."))
            .hint(say!(t, "Put it in a section of its own, before or after.")),
        F::GoresHowLong => Told::new(say!(t, "Gores say how long the longer edge is, and how far across they reach."))
            .hint(say!(t, "Write gores 10 {{ longest (cm)50; over (cm)8; }}")),
        F::ShortRowsEmpty => Told::new(say!(t, "Short rows say what is held."))
            .hint(say!(t, "Write short-rows {{ hold 1 times=20; return 1; }}")),
        F::HoldWithoutEnd => Told::new(say!(t, "This says either how often needles are held, or how many are left."))
            .hint(say!(t, "Write hold 1 times=20, or hold 1 leaves=(percent)33")),
        F::AllReturnAtOnce => Told::new(say!(t, "All held needles return at once, with no rows between."))
            .hint(say!(t, "Write return \"all\", or return 1 every=2")),
        F::HoldsEverySecond { every } => Told::new(say!(
            t,
            "The carriage is away from this end only before every second row, not after {every}.",
            every
        ))
        .hint(say!(t, "Give every= an even number, or leave out the end.")),
        F::AutomaticByOne => {
            Told::new(say!(t, "Where a turn closes by itself in every row, needles are held one by one."))
                .hint(say!(t, "Write hold 1, or turn=\"wrap\", or every=2 at one end."))
        }
        F::NoShortRowsIn { fabric } => Told::new(say!(t, "Short rows cannot be knitted in {fabric}.", fabric))
            .because(say!(t, "At a turn every needle of the row must knit, without racking or work by hand before it."))
            .hint(say!(t, "Plain, 1x1 rib and full needle rib can have short rows, and tubular on one bed.")),
        F::ShortRowsBed { fabric, tube: true } => {
            Told::new(say!(t, "In {fabric}, short rows are knitted on one bed.", fabric))
                .hint(say!(t, "Write short-rows on=\"main\" or on=\"ribber\"."))
        }
        F::ShortRowsBed { fabric, tube: false } => {
            Told::new(say!(t, "{fabric} is not a tube: its short rows are knitted on all its needles.", fabric))
                .hint(say!(t, "Leave out on=."))
        }
    }
}
