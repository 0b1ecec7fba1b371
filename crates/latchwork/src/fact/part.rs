//! What the parts of a piece are called.

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
