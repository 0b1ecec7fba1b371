//! Findings in the words and values of a document.

/// What a value belongs to.
#[derive(Debug, Clone, PartialEq)]
pub enum Subject {
    /// A node, by its word.
    Word(String),
    /// A pair name=value, by its name.
    Property(String),
    ShareOfFibre,
    Fabric,
    Edge,
    SwatchWidth,
    SwatchLength,
    Ease,
    Share,
    AddedToShare,
    Length,
    SizeOfTable(String),
}

impl Subject {
    /// The value of a node of this word.
    #[must_use]
    pub fn word(word: &str) -> Subject {
        Subject::Word(word.to_string())
    }

    /// The value of a pair of this name.
    #[must_use]
    pub fn property(name: &str) -> Subject {
        Subject::Property(name.to_string())
    }
}

/// What a document lists by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listed {
    Piece,
    Stretch,
    Yarn,
    /// What a design leaves open.
    Choice,
}

/// The place of words.
#[derive(Debug, Clone, PartialEq)]
pub enum WordPlace {
    Inside(String),
    Design,
    HeadOfNotes,
    FileOfFabrics,
}

/// A finding in a word or a value.
#[derive(Debug, Clone, PartialEq)]
pub enum ReaderFact {
    UnitBeforeWord { word: String },
    NoSuchWord { word: String, place: WordPlace, near: Option<String>, known: Vec<String> },
    WordTwice { word: String, place: WordPlace },
    OneTooMany { word: String, takes: usize },
    PropertyTwice { name: String },
    NoSuchProperty { word: String, name: String, near: Option<String>, known: Vec<String> },
    UnitWithoutNumber,
    WantsText { word: String },
    WantsWhole { of: Subject, least: u32, most: u32, written: String },
    WantsNumber { word: String, example: u32 },
    WantsPlainNumber { of: Subject, least: f64, most: f64, written: String },
    WantsQuantity { of: Subject, unit: String, written: String },
    NoUnit { of: Subject, unit: String, number: f64 },
    NotItsUnit { of: Subject, unit: String, known: Vec<String>, near: Option<String>, number: f64 },
    OutOfRange { of: Subject, number: f64, unit: String, least: f64, most: f64 },
    NoValue { word: String, example: String },
    NotOneOf { of: Subject, written: String, known: Vec<String>, near: Option<String> },
    WantsName { of: Listed },
    NoSuchName { of: Listed, name: String, near: Option<String>, known: Vec<String> },
    WantsShortName { word: String },
    NameTaken { word: String, name: String },
}
