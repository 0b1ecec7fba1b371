//! Findings in the files beside a design, and in what is printed with it.

/// A finding in a file beside a design.
#[derive(Debug, Clone, PartialEq)]
pub enum ShelfFact {
    /// `first`: the line of its first fault, and the fault; none if it is not text.
    FileUnread { file: String, fabrics: bool, first: Option<(usize, Box<super::Fact>)> },
    /// A character that the handout's typeface lacks; none if it cannot be shown.
    NoSuchLetter { character: Option<char> },
    /// Nothing of the document could be understood.
    NotUnderstood,
}
