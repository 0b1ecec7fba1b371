//! A yarn.

use crate::notice::Span;
use crate::units::{Grams, Tex};

/// A yarn as on its label or by the knitter's scales.
#[derive(Debug, Clone, PartialEq)]
pub struct Yarn {
    /// Its name in the design.
    pub name: String,
    /// The place of the name in the document.
    pub span: Span,
    /// Thickness.
    pub tex: Tex,
    /// Fibres and their share in percent.
    pub fibres: Vec<(String, f64)>,
    /// Weight of a ball.
    pub ball: Option<Grams>,
    /// The yarn that the knitter has.
    pub in_hand: Option<Grams>,
    /// Colour for pictures, `#rrggbb`.
    pub colour: Option<String>,
    /// The maker's name for the colour; may be empty.
    pub shade: String,
}

impl Yarn {
    /// A yarn with nothing known about it.
    #[must_use]
    pub fn unnamed() -> Yarn {
        Yarn {
            name: String::new(),
            span: Span::default(),
            tex: Tex(1.0),
            fibres: Vec::new(),
            ball: None,
            in_hand: None,
            colour: None,
            shade: String::new(),
        }
    }

    /// Fibre content in words.
    #[must_use]
    pub fn fibre_words(&self) -> String {
        self.fibres.iter().map(|(name, share)| format!("{share:.0}% {name}")).collect::<Vec<_>>().join(", ")
    }
}
