//! Names of the pieces of a design and their parts.

use latchwork_machine::needle::Side;

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
    Weights,
    Ribber,
    Move,
    ShortRows,
    BindOff,
}
