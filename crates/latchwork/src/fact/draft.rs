//! Findings in the draft of a size.

/// A finding in the draft of a size.
#[derive(Debug, Clone, PartialEq)]
pub enum DraftFact {
    NoLength {
        stretch: String,
        length: String,
        size: String,
    },
    NothingLeft {
        stretch: String,
        size: String,
        measure: String,
        body: String,
    },
    /// A measure of a size that is larger on nobody than another; in cm.
    NoBody {
        size: String,
        part: (String, f64),
        whole: (String, f64),
    },
}
