//! Findings in the syntax of a document, before its words are read.

/// A finding in the syntax.
#[derive(Debug, Clone, PartialEq)]
pub enum TextFact {
    MoreFaults,
    TooLong { bytes: usize, most: usize },
    TooDeep { most: usize },
    TooManyComments,
    LineTooLong { most: usize },
    Unseen { character: char },
    UnseenEscape { character: char },
    BeginsOnTheSameLine { word: String },
    EqualsSign { word: String },
    UnitBehind { word: String, unit: String, number: String },
    FlagWithoutSign { word: String },
    Unclosed { word: String, help: Option<String> },
    Punctuation { word: String, help: Option<String> },
    Syntax { word: String, parser: String, help: Option<String> },
}
