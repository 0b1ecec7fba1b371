//! Names of the pieces of a design and their parts.

use latchwork_machine::needle::Side;

use super::Counted;

/// The name of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceName {
    /// The author's name for it.
    pub own: String,
    /// Which of a pair it is.
    pub of_pair: Option<Side>,
}

/// The name of a part of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartName {
    /// The author's name, or the name of its fabric.
    Own(String),
    /// The way to the part of this name.
    To(String),
    /// One side of a divided part.
    SideOf(String, Side),
    /// Where the work parts.
    Parting,
    /// Where the side that waited is taken up.
    SecondSide,
    CastOn,
    Ending,
    Decrease,
    Increase,
    Counter,
    RowForNew,
    Rows,
    Yarn,
    Rack,
    IntoWork,
    OutOfWork,
    Hold,
    Forward,
    BackToWork,
    ToMainBed,
    Cross,
    Drop,
    TakeOff,
    PutBack,
    HangEdge,
    HangRow,
    Wrap,
    WrapOn,
    Buttonhole,
    Weights,
    Ribber,
    Move,
    ShortRows,
    BindOff,
}

/// An edge of another piece as it is hung, or a part of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HungEdge {
    /// The step that hangs it.
    pub step: usize,
    /// The other piece; which of a pair, where its edge is hung once only.
    pub piece: PieceName,
    /// Which edge of it.
    pub edge: HungKind,
    /// Its sections along which a side edge is hung; none where it is hung whole.
    pub along: Vec<String>,
    /// Its rows or stitches.
    pub of: u32,
    /// What they are.
    pub counted: Counted,
    /// Whether its last row, or its right end, comes first.
    pub falls: bool,
    /// Whether it is turned over, public sides together.
    pub turned: bool,
    /// Whether its stitches are live on waste yarn.
    pub live: bool,
    /// The row of it that is hung, where it is joined row by row.
    pub row: Option<HungRow>,
}

/// A row hung on an end needle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HungRow {
    /// The row, from 1.
    pub row: u32,
    /// How many rows on it is from the last that was hung, if one was.
    pub on: Option<u32>,
}

/// Which edge is hung.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HungKind {
    /// A side edge.
    Side(Side),
    /// The stitches cast off at a side edge, at an armhole or a neck.
    CastOff(Side),
    /// The first row.
    CastOn,
    /// The last row.
    Ending,
    /// The open end of a tube, once round: the half on the main bed from the left, then the half on the ribber from the right.
    Round,
    /// The last row of this shoulder.
    Shoulder(Side),
    /// The edge of a neck at this side.
    NeckSide(Side),
    /// The middle of a neck.
    NeckMiddle,
}

impl HungKind {
    /// The same of the mirror image.
    #[must_use]
    pub fn mirror(self) -> HungKind {
        match self {
            HungKind::Side(s) => HungKind::Side(s.other()),
            HungKind::CastOff(s) => HungKind::CastOff(s.other()),
            HungKind::NeckSide(s) => HungKind::NeckSide(s.other()),
            HungKind::Shoulder(s) => HungKind::Shoulder(s.other()),
            HungKind::CastOn | HungKind::Ending | HungKind::Round | HungKind::NeckMiddle => self,
        }
    }
}

impl HungEdge {
    /// What a step hangs, of all that is hung, in order of steps.
    #[must_use]
    pub fn at(all: &[HungEdge], step: usize) -> Option<&HungEdge> {
        all.binary_search_by_key(&step, |h| h.step).ok().map(|i| &all[i])
    }

    /// The same of the mirror image.
    #[must_use]
    pub fn mirror(&self, step: usize) -> HungEdge {
        let edge = self.edge.mirror();
        // A row's other end comes first; a side edge is hung in the same order.
        let row = !matches!(edge, HungKind::Side(_) | HungKind::NeckSide(_));
        let piece = PieceName { of_pair: self.piece.of_pair.map(Side::other), ..self.piece.clone() };
        HungEdge { step, piece, edge, falls: self.falls != row, ..self.clone() }
    }
}
