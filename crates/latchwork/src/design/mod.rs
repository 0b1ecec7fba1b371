//! The design: names resolved, units read, contradictions told; sizes not yet multiplied out.

mod head;
mod new_swatch;
mod swatches;
mod wish;
mod piece;
mod seam;
mod person;

use std::sync::Arc;

use latchwork_machine::needle::Side;

pub use new_swatch::NewSwatch;
pub use person::person_from_text;

use crate::fabric::{Ends, Fabric, built_in};
use crate::fact::{DesignFact, Fact, WordPlace};
use crate::measure::{BUILT_IN, Gauge, Machine, Pace, Swatch, Yarn, gauge};
use crate::notice::{Level, Notice, Notices, Span};
use crate::reader::{Nodes, Reader};
use crate::text::{Node, Tree};
use crate::units::{Language, Mm, Show, Units};

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

/// Reads one file of the shared book.
pub fn book_from_text(source: &str) -> (Option<Design>, Notices) {
    book_from_text_with(source, &[])
}

/// As [`book_from_text`], where swatches may be of the author's own fabrics.
pub fn book_from_text_with(source: &str, own: &[Arc<Fabric>]) -> (Option<Design>, Notices) {
    let mut notices = Notices::default();
    let shelf = Shelf { fabrics: own.to_vec(), ..Shelf::default() };
    let book = head_from_text(source, &shelf, &mut notices);
    notices.0.retain(|n| n.level != Level::Note);
    (book.filter(|_| !notices.has_error()), notices)
}

/// Reads a design. All that is wrong is told; there is a design only when nothing is.
pub fn read(tree: &Tree, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    read_as(tree, false, shelf, notices)
}

const TOP: [&str; 18] = [
    "title", "author", "summary", "scenario", "version", "date", "errata", "units", "machine", "yarn", "swatch",
    "pace", "sizes", "piece", "seam", "note", "care", "fabric",
];

fn top<'a>(r: &mut Reader<'_>, nodes: &'a [Node], notes: bool) -> Nodes<'a> {
    let once =
        ["title", "author", "summary", "scenario", "version", "date", "errata", "units", "machine", "pace", "sizes"];
    if notes {
        let known: Vec<&str> = TOP.into_iter().filter(|w| !matches!(*w, "piece" | "seam")).collect();
        r.check_children(nodes, &known, &once, &WordPlace::HeadOfNotes);
    } else {
        r.check_children(nodes, &TOP, &once, &WordPlace::Design);
    }
    Nodes(nodes)
}

/// Reads what notes have in common with a design: no pieces or seams, and nothing that must stand.
fn read_as(tree: &Tree, notes: bool, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    let mut r = Reader { notices, has_holes: tree.has_holes, notes };
    let top = top(&mut r, &tree.nodes, notes);
    let text = |r: &mut Reader<'_>, name: &str| {
        top.one(name)
            .and_then(|n| {
                r.leaf(n);
                r.text(n)
            })
            .unwrap_or_default()
    };
    let title = match top.one("title") {
        Some(n) => {
            r.leaf(n);
            let title = r.text(n).unwrap_or_default();
            if title.trim().is_empty() {
                r.error(Notice::error(n.span, DesignFact::TitleEmpty));
            }
            title
        }
        None if notes => "Pass notes".to_string(),
        None => {
            r.missing(DesignFact::NoTitle);
            String::new()
        }
    };
    let author = text(&mut r, "author");
    let summary = text(&mut r, "summary");
    let scenario = text(&mut r, "scenario");
    let date = text(&mut r, "date");
    let errata = text(&mut r, "errata");
    let version = top
        .one("version")
        .and_then(|n| {
            r.leaf(n);
            r.whole(n, 1, 9999)
        })
        .unwrap_or(1);
    let show = top.one("units").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("cm", Units::Metric), ("in", Units::Inches)])
    });
    let show = Show { units: show.unwrap_or_default(), language: shelf.language };
    let machine = head::machine(&mut r, &top);
    let machine = machine.or_else(|| (notes && top.one("machine").is_none()).then(|| Machine::of(&BUILT_IN[1])));
    let yarns = head::yarns(&mut r, &top);
    let shared: Vec<Arc<Fabric>> = built_in().iter().chain(&shelf.fabrics).cloned().collect();
    let own = crate::fabric::fabrics(&mut r, &top, &shared, "");
    let fabrics: Arc<[Arc<Fabric>]> = shared.into_iter().chain(own).collect();
    let mut swatches = swatches::swatches(&mut r, &top, &yarns, &machine, &fabrics);
    let own = swatches.len();
    let shared = swatches::shared(&mut r, shelf, &yarns, machine.as_ref(), &swatches);
    swatches.extend(shared);
    let pace = head::pace(&mut r, &top);
    let before = r.notices.0.len();
    let none = notes && top.one("sizes").is_none();
    let (sizes, sizes_source) = if none { Default::default() } else { head::sizes(&mut r, &top) };
    let size_faults = r.notices.0.len() > before;
    let swatch_faults = top.all("swatch").count() > own;
    let context = piece::Context {
        fabrics: &fabrics,
        yarns: &yarns,
        swatches: &swatches,
        swatch_faults,
        size_faults,
        sizes: &sizes,
        machine: &machine,
    };
    let mut pieces = if notes { Vec::new() } else { piece::pieces(&mut r, &top, &context) };
    let seams = seam::seams(&mut r, &top, &pieces);
    seam::allowances(&mut pieces, &seams);
    let lines = |r: &mut Reader<'_>, name: &str| -> Vec<String> {
        top.all(name)
            .filter_map(|n| {
                r.leaf(n);
                r.text(n)
            })
            .collect()
    };
    let notes = lines(&mut r, "note");
    let care = lines(&mut r, "care");
    if notices.has_error() {
        return None;
    }
    let pieces: Option<Vec<Piece>> = pieces.into_iter().map(|p| p.piece).collect();
    Some(Design {
        title,
        author,
        summary,
        scenario,
        version,
        date,
        errata,
        show,
        machine: machine?,
        fabrics,
        yarns: yarns.into_iter().map(|y| y.1).collect::<Option<Vec<Yarn>>>()?,
        swatches,
        pace,
        sizes,
        sizes_source,
        pieces: pieces?,
        seams,
        notes,
        care,
    })
}

/// Reads the head of notes: machine (a standard one where none is named), yarns, swatches, title and the like.
pub fn head_from_text(source: &str, shelf: &Shelf, notices: &mut Notices) -> Option<Design> {
    let tree = crate::text::read(source, notices);
    let named = tree.nodes.iter().any(|n| n.name == "machine");
    let head = read_as(&tree, true, shelf, notices)?;
    if !named {
        let told = Notice::warning(Span::default(), DesignFact::NotesNameNoMachine);
        notices.push(Notice { level: Level::Note, ..told });
    }
    Some(head)
}

/// Reads a design from its text, with no shared swatches.
pub fn from_text(source: &str) -> (Option<Design>, Notices) {
    from_text_with(source, &Shelf::default())
}

/// Reads a design from its text, with the swatches of the shared book.
pub fn from_text_with(source: &str, shelf: &Shelf) -> (Option<Design>, Notices) {
    let mut notices = Notices::default();
    let tree = crate::text::read(source, &mut notices);
    let design = read(&tree, shelf, &mut notices);
    notices.0.sort_by_key(|n| n.span.map(|s| s.start));
    let mut seen: Vec<(Option<Span>, Fact)> = Vec::new();
    notices.0.retain(|n: &Notice| {
        let key = (n.span, n.fact.clone());
        let new = !seen.contains(&key);
        seen.push(key);
        new
    });
    (design.filter(|_| !notices.has_error()), notices)
}
