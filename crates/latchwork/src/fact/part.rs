//! What the pieces of a design and their parts are called.

use latchwork_machine::needle::Side;

/// What a piece is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceName {
    /// The author's name for it.
    pub own: String,
    /// Which one of a pair it is.
    pub of_pair: Option<Side>,
}

/// What a part of a piece is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartName {
    /// In the author's word, or by its fabric's name.
    Own(String),
    /// What leads to the part of this name.
    To(String),
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
