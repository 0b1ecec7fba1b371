//! The design: names resolved, units read, contradictions told; sizes not yet multiplied out.

mod head;
mod publication;
mod new_swatch;
mod swatches;
mod wish;
mod piece;
mod read;
mod seam;
mod person;

use std::sync::Arc;

use latchwork_machine::needle::Side;

pub use new_swatch::NewSwatch;
pub use person::person_from_text;
pub use publication::{Photo, Publication};
pub use read::{book_from_text, book_from_text_with, from_text, from_text_with, head_from_text, read};

use crate::fabric::{Ends, Fabric};
use crate::measure::{Gauge, Machine, Pace, Swatch, Yarn, gauge};
use crate::notice::Span;
use crate::units::{Language, Mm, Show};

/// A design as its author means it.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Title.
    pub title: String,
    /// Author.
    pub author: String,
    /// One-line purpose.
    pub summary: String,
    /// Scenario note, such as that the data is invented.
    pub scenario: String,
    /// Version of the handout.
    pub version: u32,
    /// Date as the author wrote it.
    pub date: String,
    /// Where corrections are told.
    pub errata: String,
    /// Units in which figures are shown.
    pub show: Show,
    /// The machine.
    pub machine: Machine,
    /// The fabrics that it can name: those of the program, of the folder beside it, and its own.
    pub fabrics: Arc<[Arc<Fabric>]>,
    /// Yarns.
    pub yarns: Vec<Yarn>,
    /// Swatches.
    pub swatches: Vec<Swatch>,
    /// The knitter's pace.
    pub pace: Pace,
    /// Sizes, smallest first as the author lists them.
    pub sizes: Vec<Size>,
    /// Where the sizes come from.
    pub sizes_source: String,
    /// Pieces in knitting order.
    pub pieces: Vec<Piece>,
    /// Seams in sewing order.
    pub seams: Vec<Seam>,
    /// Notes for the maker.
    pub notes: Vec<String>,
    /// Care of the finished thing.
    pub care: Vec<String>,
    /// What it says of itself when it is handed on.
    pub publication: Publication,
}

/// A size: its name and the body measures known for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub span: Span,
    /// Measure and value.
    pub measures: Vec<(String, Mm)>,
}

impl Size {
    /// The body measure of this name.
    #[must_use]
    pub fn measure(&self, name: &str) -> Option<Mm> {
        self.measures.iter().find(|(n, _)| n == name).map(|(_, v)| *v)
    }
}

/// How many of a piece are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Make {
    /// So many alike.
    Alike(u32),
    /// A left one and a right one, each the mirror image of the other.
    Pair,
}

impl Make {
    /// How many are made.
    #[must_use]
    pub fn count(self) -> u32 {
        match self {
            Make::Alike(n) => n,
            Make::Pair => 2,
        }
    }
}

/// How a piece begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CastOn {
    /// Zigzag, comb, and this many tubular passes.
    Closed(u32),
    /// The yarn wound round each needle of the main bed.
    EWrap,
    /// Waste yarn and ravel cord: live loops for later.
    Waste,
}

/// How a piece ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Each loop pulled through the one before it, after a loose row on the main bed.
    LoopThroughLoop,
    /// A chain round the gate pegs with the latch tool.
    Chain,
    /// A thread drawn through every loop.
    Gather,
    /// Waste yarn knitted on and dropped: live loops for later.
    Waste,
    /// The last few loops moved on to one needle and knitted off.
    Point,
}

impl Ending {
    /// The words of documents.
    pub const WORDS: [(&str, Ending); 5] = [
        ("loop through loop", Ending::LoopThroughLoop),
        ("chain", Ending::Chain),
        ("gather", Ending::Gather),
        ("waste yarn", Ending::Waste),
        ("point", Ending::Point),
    ];
}

/// Extra width or length over the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ease {
    /// As a share of the body measure, in percent.
    Percent(f64),
    /// As a length.
    Of(Mm),
}

impl Ease {
    /// The wanted measure for a body measure.
    #[must_use]
    pub fn applied(self, body: Mm) -> Mm {
        match self {
            Ease::Percent(p) => Mm(body.0 * (1.0 + p / 100.0)),
            Ease::Of(e) => Mm(body.0 + e.0),
        }
    }
}

/// How wide a stretch is wished.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// Exactly so many needles on both beds together.
    Needles(u32),
    /// Flat width, seam allowance apart.
    Width(Mm),
    /// A body measure with ease, shared among so many pieces.
    Around {
        /// The measure.
        measure: String,
        /// The ease.
        ease: Ease,
        /// Among how many pieces.
        shared: u32,
        /// A larger measure that it must pass over when it is put on.
        over: Option<String>,
    },
}

/// A wish and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Wished {
    /// The wish.
    pub wish: Wish,
    /// How much it counts against others.
    pub weight: f64,
    /// Where it stands.
    pub span: Span,
}

/// How long a stretch is.
#[derive(Debug, Clone, PartialEq)]
pub enum Length {
    /// Exactly so many passes.
    Rows(u32),
    /// Flat length.
    Of(Mm),
    /// A share of a body measure, more or less a length.
    Share {
        /// The measure.
        measure: String,
        /// The share, in percent.
        percent: f64,
        /// What is added.
        plus: Mm,
    },
    /// As long as its shaping takes.
    AsShaped,
}

/// Narrower or wider.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Decrease.
    Decrease,
    /// Increase.
    Increase,
}

impl Change {
    /// The words of documents.
    pub const WORDS: [(&str, Change); 2] = [("decrease", Change::Decrease), ("increase", Change::Increase)];
}

/// At which ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// Both.
    Both,
    /// One alone.
    Only(Side),
}

impl At {
    /// How many ends.
    #[must_use]
    pub fn ends(self) -> u32 {
        match self {
            At::Both => 2,
            At::Only(_) => 1,
        }
    }
}

/// When the shapings come.
#[derive(Debug, Clone, PartialEq)]
pub enum When {
    /// After passes n, 2n, … kn of the stretch.
    Every {
        /// n.
        rows: u32,
        /// k.
        times: u32,
    },
    /// Spread over the stretch to reach a width.
    To {
        /// The width.
        wished: Wished,
        /// Whether a plain run follows the last shaping.
        plain_end: bool,
    },
}

/// The shaping of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaping {
    /// Where it stands.
    pub span: Span,
    /// Narrower or wider.
    pub change: Change,
    /// Stitches at each end: 1 on one bed, or 2, one on each bed.
    pub stitches: u32,
    /// At which ends.
    pub at: At,
    /// When.
    pub when: When,
    /// On which side the carriage must stand.
    pub carriage: Option<Side>,
}

/// One stretch of a piece, from the bottom up.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub span: Span,
    /// Its fabric.
    pub fabric: Arc<Fabric>,
    /// How long.
    pub length: Length,
    /// Where the length stands.
    pub length_span: Span,
    /// How much the length counts against other wishes.
    pub length_weight: f64,
    /// How wide where it begins.
    pub wished: Option<Wished>,
    /// Its shaping.
    pub shaping: Option<Shaping>,
    /// Its gauge, worked out of the swatches.
    pub gauge: Gauge,
    /// Its gauges at every stitch size swatched, where the author names none and there are several.
    pub choices: Vec<Gauge>,
}

/// A piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub span: Span,
    /// How many.
    pub make: Make,
    /// Where the carriages stand at the start.
    pub carriage: Side,
    /// Its yarn, by index.
    pub yarn: usize,
    /// How it begins.
    pub cast_on: CastOn,
    /// Stitches lost in the seam at each side edge.
    pub allowance: u32,
    /// Whether an edge in rib on alternate needles loses half a stitch instead, where both ends stand on one bed: so
    /// the rib goes on over the seam.
    pub half_in_rib: bool,
    /// Where the end needles stand, if the author says so.
    pub ends: Option<Ends>,
    /// Its public side.
    pub public: String,
    /// Its stretches from the bottom up.
    pub stretches: Vec<Stretch>,
    /// How it ends.
    pub ending: Ending,
    /// Where the ending stands.
    pub ending_span: Span,
}

impl Piece {
    /// Whether sewn edges of a stretch lose half a stitch each.
    #[must_use]
    pub fn half_stitch(&self, stretch: &Stretch, ends: Ends) -> bool {
        self.half_in_rib && stretch.fabric.layout.by_turns() && ends == Ends::BothMain
    }

    /// Stitches that both side edges of a stretch lose in their seams.
    #[must_use]
    pub fn lost(&self, stretch: &Stretch, ends: Ends) -> f64 {
        if self.half_stitch(stretch, ends) { 1.0 } else { 2.0 * f64::from(self.allowance) }
    }
}

/// An edge of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// The left side edge, as the piece hangs from the machine.
    Left,
    /// The right side edge.
    Right,
    /// The first row.
    CastOn,
    /// The last row.
    Ending,
}

impl EdgeKind {
    /// All kinds with their words.
    pub const ALL: [(EdgeKind, &'static str); 4] = [
        (EdgeKind::Left, "left"),
        (EdgeKind::Right, "right"),
        (EdgeKind::CastOn, "cast-on"),
        (EdgeKind::Ending, "ending"),
    ];

    /// Whether it runs along the rows' ends.
    #[must_use]
    pub fn is_side(self) -> bool {
        matches!(self, EdgeKind::Left | EdgeKind::Right)
    }
}

/// A stretch of an edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The piece, by index.
    pub piece: usize,
    /// Which edge.
    pub kind: EdgeKind,
    /// For a side edge: the stretches sewn, by index, from the bottom up.
    pub stretches: Vec<usize>,
    /// For a first or last row: where the middle of the sewn part lies, as a share of the row from the left.
    pub middles: Vec<f64>,
    /// Where it stands.
    pub span: Span,
}

/// How a seam is sewn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Row to row or stitch to stitch, one stitch in.
    Mattress,
    /// Over the edges.
    Oversewn,
    /// Loop to loop.
    Grafted,
}

impl Method {
    /// All with their words.
    pub const ALL: [(Method, &'static str); 3] =
        [(Method::Mattress, "mattress"), (Method::Oversewn, "oversewn"), (Method::Grafted, "grafted")];
}

/// Two edges sewn together.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub span: Span,
    /// How it is sewn.
    pub method: Method,
    /// The edges.
    pub edges: [Edge; 2],
    /// What else to know when sewing it; may be empty.
    pub note: String,
}

impl Design {
    /// The index of the size of this name.
    #[must_use]
    pub fn size(&self, name: &str) -> Option<usize> {
        self.sizes.iter().position(|s| s.name == name)
    }

    /// Whether some wish is made of a body measure.
    #[must_use]
    pub fn asks_for(&self, measure: &str) -> bool {
        let round = |w: &Wished| matches!(&w.wish, Wish::Around { measure: m, over, .. } if m == measure || over.as_deref() == Some(measure));
        self.pieces.iter().flat_map(|p| &p.stretches).any(|s| {
            let shaped = match &s.shaping {
                Some(Shaping { when: When::To { wished, .. }, .. }) => Some(wished),
                Some(_) | None => None,
            };
            s.wished.iter().chain(shaped).any(round)
                || matches!(&s.length, Length::Share { measure: m, .. } if m == measure)
        })
    }

    /// The gauge of a fabric in a yarn, if it was swatched.
    #[must_use]
    pub fn gauge(&self, fabric: &Arc<Fabric>, yarn: usize) -> Option<Gauge> {
        gauge(&self.swatches, fabric, yarn, self.yarns.get(yarn)?.tex, None).ok()
    }
}

/// The shared book of swatches: files of heads (machine, yarns, swatches) by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    /// File name, and what it holds.
    pub books: Vec<(String, Design)>,
    /// The fabrics of the folder beside the design.
    pub fabrics: Vec<Arc<Fabric>>,
    /// The language that everything is told in.
    pub language: Language,
}
