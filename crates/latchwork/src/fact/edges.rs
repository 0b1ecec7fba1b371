//! What is wrong with the necks and short rows of a design.

use latchwork_machine::needle::Side;

/// A finding about a neck or short rows.
#[derive(Debug, Clone, PartialEq)]
pub enum EdgeFact {
    /// A slit beside something that it cannot be combined with.
    SlitAlone {
        word: String,
    },
    /// An opening without an edge.
    OpeningOfNoEdge {
        name: String,
    },
    /// An opening that does not say what passes through it.
    OpeningOverNothing {
        name: String,
    },
    /// Stitches at one side of a slit, without saying at which.
    SlitWhere,
    NoSlitIn {
        fabric: String,
    },
    SlitFirst {
        stretch: String,
    },
    SlitInColours,
    /// A crown beside something that it cannot be combined with.
    CrownAlone {
        word: String,
    },
    NoCrownIn {
        fabric: String,
    },
    /// The middle of a neck as a share, where its width is not given.
    ShareOfListedNeck,
    /// A curve with a name beside handles, or not with two.
    TwoHandles,
    /// A group cast off that is no multiple of the stitches that are shaped at a time.
    GroupUneven {
        group: u32,
        unit: u32,
    },
    /// A shoulder where there is no neck beside it.
    ShoulderWithoutNeck,
    NoSlopedShoulderIn {
        fabric: String,
        by_short_rows: bool,
    },
    /// How a turn is closed, where a shoulder is cast off.
    TurnOfNoShortRow,
    /// A piece begun from hung edges, and none given.
    HungWithoutEdge,
    /// Edges inside a cast-on that hangs none.
    EdgeOfPlainCastOn,
    HungOnTwoBeds,
    /// An edge of a piece that is knitted later, or of the piece itself.
    HungTooEarly {
        piece: String,
        other: String,
    },
    CannotHang,
    /// An edge of the mirror image of a piece that is no pair.
    NoMirrorImage {
        piece: String,
    },
    /// An edge of one piece for several that hang it.
    HungTooOften {
        piece: String,
        other: String,
        made: u32,
    },
    /// An edge sewn or hung before.
    HungTwice {
        seam: String,
    },
    /// A side joined as it grows to something else than one side edge.
    JoinedToRows,
    /// A joined side beside something that it cannot be combined with.
    JoinedAlone {
        word: String,
    },
    JoinedNotCastOff,
    JoinedInGroups,
    /// Something else than shoulders hung on the shoulders of a divided piece.
    ShouldersToShoulders,
    TubeAlone,
    ClosedTube {
        stretch: String,
    },
    /// A hem beside something that it cannot be combined with.
    HemAlone {
        word: String,
    },
    HemNotFirst {
        stretch: String,
    },
    NoHemIn {
        fabric: String,
        holes: bool,
    },
    /// A shoulder by short rows in a section with a panel.
    HeldShoulderBesidePanel,
    /// Buttonholes of several stitches in a rib.
    WideHolesIn {
        fabric: String,
        wide: u32,
    },
    /// Buttonholes beside something that they cannot be combined with.
    HolesAlone {
        holes: String,
        word: String,
    },
    /// Buttonholes without the rows before them, or eyelets without how far apart they are.
    HolesWhen {
        eyelets: bool,
    },
    /// Stretches follow the one that a neck divides.
    NeckBelow {
        stretch: String,
        last: String,
    },
    /// The edge of a neck at one side shaped besides.
    NeckEdgeShaped {
        side: Side,
    },
    NeckFirst {
        stretch: String,
    },
    NeckDrawnTogether,
    /// Where a side waits, at a neck that divides nothing.
    NothingWaits,
    /// A side that waits on needles, in a fabric that uses them otherwise.
    NoWaitingIn {
        fabric: String,
    },
    /// A neck that divides a section with panels.
    NeckBesidePanel,
    /// A neck that divides a section in which free passes fetch the yarns.
    NeckFetched,
    /// Short rows beside something that they cannot be combined with.
    ShortRowsAlone {
        word: String,
    },
    ShortRowsEmpty,
    GoresHowLong,
    /// Held without saying how often.
    HoldWithoutEnd,
    /// Rows between or times of needles that return all at once.
    AllReturnAtOnce,
    /// Needles at a named end held after an odd number of rows.
    HoldsEverySecond {
        every: u32,
    },
    /// Several needles held before every row, the turn closing by itself.
    AutomaticByOne,
    NoShortRowsIn {
        fabric: String,
    },
    /// The bed of short rows is missing in a tube, or named where there is none.
    ShortRowsBed {
        fabric: String,
        tube: bool,
    },
}
