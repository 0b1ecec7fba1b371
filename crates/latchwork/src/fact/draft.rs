//! Found in the millimetres of a size.

/// What is wrong in the millimetres of a size.
#[derive(Debug, Clone, PartialEq)]
pub enum DraftFact {
    NoLength { stretch: String, length: String, size: String },
    NothingLeft { stretch: String, size: String, measure: String, body: String },
}
