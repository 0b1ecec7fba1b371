//! The design: names resolved, units read, contradictions reported; sizes not yet drafted.

mod choice;
mod head;
mod publication;
mod neck;
mod new_swatch;
mod swatches;
mod wish;
mod laid;
mod colours;
mod piece;
mod join;
mod read;
mod seam;
mod panel;
mod shaping;
mod short;
mod slit;
mod gore;
mod hem;
mod edge;
mod measures;
mod person;

use std::sync::Arc;

use latchwork_machine::needle::Side;

pub use choice::{Choice, as_chosen};
pub use edge::{Edge, EdgeKind, Fullness, Method, Opening, Seam};
pub use gore::Gores;
pub use hem::{Hem, Holes, Spread};
pub use join::{Join, JoinAt, Joined};
pub use measures::{Made, MadeMeasure, Term};
pub use neck::{Middle, Neck, Rise, Shoulder, Waits};
pub use new_swatch::NewSwatch;
pub use panel::{Panel, PanelAt, Placed, Selected, Told};
pub use person::person_from_text;
pub use publication::{Photo, Publication};
pub use read::{book_from_text, book_from_text_with, from_text, from_text_with, head_from_text, read};
pub use shaping::{Along, At, Bend, Change, Curve, EdgeStep, Group, Shaping, Steps, When};
pub use short::{Closing, Held, ShortRows, ShortStep, Times};
pub use slit::{Slit, Within};

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
    /// A note on the scenario, such as that the data is invented.
    pub scenario: String,
    /// Version of the handout.
    pub version: u32,
    /// Date as the author wrote it.
    pub date: String,
    /// Where corrections are published.
    pub errata: String,
    /// Units in which figures are shown.
    pub show: Show,
    /// The machine.
    pub machine: Machine,
    /// The fabrics that it can name: the built-in ones, those of its folder, and its own.
    pub fabrics: Arc<[Arc<Fabric>]>,
    /// Yarns.
    pub yarns: Vec<Yarn>,
    /// Swatches.
    pub swatches: Vec<Swatch>,
    /// The knitter's pace.
    pub pace: Pace,
    /// Sizes, in the author's order.
    pub sizes: Vec<Size>,
    /// Measures of its own, made of others.
    pub measures: Vec<MadeMeasure>,
    /// Where the sizes come from.
    pub sizes_source: String,
    /// What its author leaves open, and what is chosen.
    pub choices: Vec<Choice>,
    /// Pieces in knitting order.
    pub pieces: Vec<Piece>,
    /// Seams in sewing order.
    pub seams: Vec<Seam>,
    /// What is joined on the machine, in knitting order.
    pub joins: Vec<Join>,
    /// Openings that must pass over a part of the body.
    pub openings: Vec<Opening>,
    /// Notes for the maker.
    pub notes: Vec<String>,
    /// Care of the finished article.
    pub care: Vec<String>,
    /// What it says of itself for publication.
    pub publication: Publication,
}

/// A size: its name and the body measures known for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Its name.
    pub name: String,
    /// Its place in the document.
    pub span: Span,
    /// Measure and value.
    pub measures: Vec<(String, Mm)>,
    /// Measures of the design's own, made of those.
    pub made: Vec<(String, Mm)>,
}

impl Size {
    /// The measure of this name.
    #[must_use]
    pub fn measure(&self, name: &str) -> Option<Mm> {
        self.measures.iter().chain(&self.made).find(|(n, _)| n == name).map(|(_, v)| *v)
    }
}

/// How many of a piece to make.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Make {
    /// A number of pieces alike.
    Alike(u32),
    /// A left one and a right one, each the mirror image of the other.
    Pair,
}

impl Make {
    /// How many to make.
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
    /// Each needle of the main bed e-wrapped.
    EWrap,
    /// Waste yarn and ravel cord: live loops for later.
    Waste,
    /// Edges of other pieces hung on the needles: it is knitted on to them.
    Hung,
}

/// How a piece ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Each loop pulled through the one before it, after a loose row on the main bed.
    LoopThroughLoop,
    /// A chain round the gate pegs with the latch tool.
    Chain,
    /// The tail threaded through every stitch and drawn up.
    Gather,
    /// Waste yarn knitted on and dropped: live loops for later.
    Waste,
    /// The last few stitches transferred onto one needle and knitted off.
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
    /// The target measure for a body measure.
    #[must_use]
    pub fn applied(self, body: Mm) -> Mm {
        match self {
            Ease::Percent(p) => Mm(body.0 * (1.0 + p / 100.0)),
            Ease::Of(e) => Mm(body.0 + e.0),
        }
    }
}

/// The target width of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// An exact number of needles on both beds together.
    Needles(u32),
    /// Flat width, without seam allowance.
    Width(Mm),
    /// Flat width as a share of a measure, plus or minus a length.
    Share {
        /// The measure.
        measure: String,
        /// The share, in percent.
        percent: f64,
        /// The length added.
        plus: Mm,
    },
    /// A body measure with ease, shared among a number of pieces.
    Around {
        /// The measure.
        measure: String,
        /// The ease.
        ease: Ease,
        /// The number of pieces.
        shared: u32,
        /// A larger measure that it must pass over when put on.
        over: Option<String>,
    },
}

/// A target and its place in the document.
#[derive(Debug, Clone, PartialEq)]
pub struct Wished {
    /// The target.
    pub wish: Wish,
    /// Its weight against other targets.
    pub weight: f64,
    /// Its place in the document.
    pub span: Span,
}

/// The length of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub enum Length {
    /// An exact number of passes.
    Rows(u32),
    /// Flat length.
    Of(Mm),
    /// A share of a body measure, plus or minus a length.
    Share {
        /// The measure.
        measure: String,
        /// The share, in percent.
        percent: f64,
        /// The length added.
        plus: Mm,
    },
    /// As long as its shaping takes.
    AsShaped,
}

impl Length {
    /// What it is in a size; none where it is not given as a length, or the size lacks its measure.
    #[must_use]
    pub fn in_size(&self, size: &Size) -> Option<Mm> {
        match self {
            Length::Rows(_) | Length::AsShaped => None,
            Length::Of(length) => Some(*length),
            Length::Share { measure, percent, plus } => {
                size.measure(measure).map(|m| Mm(m.0 * percent / 100.0 + plus.0))
            }
        }
    }

    /// Whether it is a share of this measure.
    fn takes(&self, name: &str) -> bool {
        matches!(self, Length::Share { measure, .. } if measure == name)
    }
}

/// One stretch of a piece, from the bottom up.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its name.
    pub name: String,
    /// Its place in the document.
    pub span: Span,
    /// Its fabric.
    pub fabric: Arc<Fabric>,
    /// Its length.
    pub length: Length,
    /// The place of the length in the document.
    pub length_span: Span,
    /// Weight of the length against other targets.
    pub length_weight: f64,
    /// Its target width at the beginning.
    pub wished: Option<Wished>,
    /// Its shaping.
    pub shaping: Option<Shaping>,
    /// The neck that divides it.
    pub neck: Option<Neck>,
    /// The slit in it.
    pub slit: Option<Slit>,
    /// Whether it is folded into a hem.
    pub hem: Option<Hem>,
    /// The side that is joined to another piece as it grows.
    pub joined: Option<Joined>,
    /// Its buttonholes, or eyelets for a cord.
    pub holes: Option<Holes>,
    /// Its short rows.
    pub short: Option<ShortRows>,
    /// Its wedges of short rows, where it is drafted by them.
    pub gores: Option<Gores>,
    /// Its yarns.
    pub yarns: Yarns,
    /// Whether a free pass takes the carriage to a yarn that waits at the far side; else such a yarn is cut and joined anew.
    pub fetches: bool,
    /// Where the repeat of its fabric begins.
    pub placed: Placed,
    /// Whether left and right of its fabric have changed places.
    pub mirrored: bool,
    /// Whether its width is whole repeats of its fabric.
    pub whole: bool,
    /// How print tells which needles come forward.
    pub told: Told,
    /// Who brings them forward.
    pub selected: Selected,
    /// Other fabrics over some of its needles.
    pub panels: Vec<Panel>,
    /// Its gauge, computed from the swatches.
    pub gauge: Gauge,
    /// Its gauges at every stitch size swatched, if there are several and the author names none.
    pub choices: Vec<Gauge>,
}

impl Stretch {
    /// How many layers of it lie on one another.
    #[must_use]
    pub fn layers(&self) -> u32 {
        if self.hem.is_some() { 2 } else { 1 }
    }
}

/// The yarns of a stretch, by index.
#[derive(Debug, Clone, PartialEq)]
pub enum Yarns {
    /// That of the piece.
    OfPiece,
    /// One for each yarn of the fabric.
    Each(Arc<[usize]>),
    /// One after the other: over and over where all are so many rows, else once.
    Stripes(Vec<Stripe>),
}

/// How long a stripe lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lasts {
    /// So many rows.
    Rows(u32),
    /// As long as this much yarn of all pieces alike does, in whole pairs of rows.
    Yarn(Mm),
    /// To the end.
    Rest,
}

/// Rows in one yarn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stripe {
    /// The yarn, by index.
    pub yarn: usize,
    /// How long it lasts.
    pub lasts: Lasts,
}

/// A piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// Its place in the document.
    pub span: Span,
    /// How many to make.
    pub make: Make,
    /// Where the carriage is at the start.
    pub carriage: Side,
    /// Its yarn, by index.
    pub yarn: usize,
    /// How it begins.
    pub cast_on: CastOn,
    /// Stitches lost in the seam at each side edge.
    pub allowance: u32,
    /// Whether an edge in rib on alternate needles loses half a stitch instead, where both end needles are on one bed: the
    /// rib then continues across the seam.
    pub half_in_rib: bool,
    /// The beds of the end needles, if the author gives them.
    pub ends: Option<Ends>,
    /// Its public side.
    pub public: String,
    /// Its stretches from the bottom up.
    pub stretches: Vec<Stretch>,
    /// How it ends.
    pub ending: Ending,
    /// The place of the ending in the document.
    pub ending_span: Span,
}

impl Piece {
    /// Whether the stitches of its first row stay live on waste yarn: not those of a hem, which hang on its last.
    #[must_use]
    pub fn begins_live(&self) -> bool {
        self.cast_on == CastOn::Waste && self.stretches.first().is_none_or(|s| s.hem.is_none())
    }

    /// Whether it begins as a tube that its cast-on closes.
    #[must_use]
    pub fn cast_on_closes(&self) -> bool {
        matches!(self.cast_on, CastOn::Closed { .. }) && self.stretches.first().is_some_and(|s| s.fabric.opens())
    }

    /// Whether it ends as an open tube on waste yarn.
    #[must_use]
    pub fn ends_open(&self) -> bool {
        self.ending == Ending::Waste && self.stretches.last().is_some_and(|s| s.fabric.opens())
    }

    /// The yarns that its stretches name besides its own, by index, each once, in their order.
    #[must_use]
    pub fn further_yarns(&self) -> Vec<usize> {
        let mut all: Vec<usize> = Vec::new();
        for s in &self.stretches {
            let named: Vec<usize> = match &s.yarns {
                Yarns::OfPiece => Vec::new(),
                Yarns::Each(yarns) => yarns.to_vec(),
                Yarns::Stripes(stripes) => stripes.iter().map(|s| s.yarn).collect(),
            };
            for yarn in named {
                if yarn != self.yarn && !all.contains(&yarn) {
                    all.push(yarn);
                }
            }
        }
        all
    }

    /// Whether each sewn edge of a stretch loses half a stitch.
    #[must_use]
    pub fn half_stitch(&self, stretch: &Stretch, ends: Ends) -> bool {
        self.half_in_rib && stretch.fabric.layout.by_turns() && ends == Ends::BothMain
    }

    /// The places of a stretch in whole repeats of its fabric: a multiple, and what is added; nothing if they are free.
    #[must_use]
    pub fn whole_repeats(&self, stretch: &Stretch) -> Option<(u32, u32)> {
        let plus = match stretch.placed {
            Placed::Seams => 2 * self.allowance,
            _ => stretch.fabric.layout.plus(),
        };
        (stretch.whole || stretch.placed == Placed::Seams).then(|| (stretch.fabric.period(), plus))
    }

    /// Stitches that the two side edges of a stretch lose in their seams.
    #[must_use]
    pub fn lost(&self, stretch: &Stretch, ends: Ends) -> f64 {
        if self.half_stitch(stretch, ends) { 1.0 } else { 2.0 * f64::from(self.allowance) }
    }
}

impl Design {
    /// The index of the size of this name.
    #[must_use]
    pub fn size(&self, name: &str) -> Option<usize> {
        self.sizes.iter().position(|s| s.name == name)
    }

    /// All that meets: seams, and joins on the machine.
    pub fn meetings(&self) -> impl Iterator<Item = &Seam> {
        self.seams.iter().chain(self.joins.iter().map(|j| &j.seam))
    }

    /// The join at a place of a piece.
    #[must_use]
    pub fn join(&self, piece: usize, at: JoinAt) -> Option<&Join> {
        self.joins.iter().find(|j| j.piece == piece && j.at == at)
    }

    /// Whether any target, or a measure made of others, uses a body measure.
    #[must_use]
    pub fn asks_for(&self, measure: &str) -> bool {
        let round = |w: &Wished| match &w.wish {
            Wish::Around { measure: m, over, .. } => m == measure || over.as_deref() == Some(measure),
            Wish::Share { measure: m, .. } => m == measure,
            Wish::Needles(_) | Wish::Width(_) => false,
        };
        let made = self.measures.iter().any(|m| m.takes(measure));
        let passed = self.openings.iter().any(|o| o.over == measure);
        made || passed
            || self.pieces.iter().flat_map(|p| &p.stretches).any(|s| {
                let shaped =
                    s.shaping.iter().chain(s.neck.as_ref().map(|n| &n.shaping)).filter_map(|s| match &s.when {
                        When::To { wished, .. } => Some(wished),
                        When::Every { .. } | When::Listed(_) => None,
                    });
                let gored = s.gores.iter().flat_map(Gores::lengths);
                s.wished.iter().chain(shaped).any(round) || gored.chain([&s.length]).any(|l| l.takes(measure))
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
    /// File names, and their heads.
    pub books: Vec<(String, Design)>,
    /// The fabrics of the design's folder.
    pub fabrics: Vec<Arc<Fabric>>,
    /// The language of all messages.
    pub language: Language,
}
