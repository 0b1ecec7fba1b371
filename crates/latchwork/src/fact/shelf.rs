//! Found in the files beside a design, and in what it is to be printed with.

/// What is wrong with what lies beside a design.
#[derive(Debug, Clone, PartialEq)]
pub enum ShelfFact {
    /// `first`: the line of its first fault, and the fault; none, where it is no text.
    FileUnread { file: String, fabrics: bool, first: Option<(usize, Box<super::Fact>)> },
    /// A character that the handout's typeface lacks; none, where it cannot be shown.
    NoSuchLetter { character: Option<char> },
    /// Nothing of the document could be understood.
    NotUnderstood,
}
