//! Lengths, weights and yarn counts: the meaning of units, and the form of figures.

/// Millimetres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Mm(pub f64);

/// Grams.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Grams(pub f64);

/// Yarn count: grams per 1000 m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Tex(pub f64);

/// Millimetres in an inch, exactly.
pub const INCH: f64 = 25.4;
/// Grams in a pound, exactly.
pub const POUND: f64 = 453.592_37;
/// Grams in an ounce.
pub const OUNCE: f64 = POUND / 16.0;
/// Metres in a yard, exactly.
pub const YARD: f64 = 0.9144;

/// A language of output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// British English.
    #[default]
    English,
    /// American English.
    American,
    /// English with every sentence of the catalogue between marks: a test can see what does not come from it.
    Marked,
}

/// The units of figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Centimetres.
    #[default]
    Metric,
    /// Inches.
    Inches,
}

/// How figures and sentences are shown: units and language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Show {
    /// The units of figures.
    pub units: Units,
    /// The language of sentences.
    pub language: Language,
}

impl Show {
    /// Centimetres, in English.
    pub const METRIC: Show = Show { units: Units::Metric, language: Language::English };

    /// The unit's short name.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self.units {
            Units::Metric => "cm",
            Units::Inches => "in",
        }
    }

    /// A length without its unit, to a tenth of a centimetre or an eighth of an inch.
    #[must_use]
    pub fn number(self, length: Mm) -> String {
        match self.units {
            Units::Metric => format!("{:.1}", length.0 / 10.0),
            Units::Inches => eighths(length.0 / INCH, 8.0),
        }
    }

    /// The same in the other system of units.
    #[must_use]
    pub fn other(self) -> Show {
        let units = match self.units {
            Units::Metric => Units::Inches,
            Units::Inches => Units::Metric,
        };
        Show { units, ..self }
    }

    /// A length to cut or leave, without its unit: whole centimetres, or half inches.
    #[must_use]
    pub fn round(self, length: Mm) -> String {
        match self.units {
            Units::Metric => format!("{:.0}", length.0 / 10.0),
            Units::Inches => eighths(length.0 / INCH, 2.0),
        }
    }

    /// A length with its unit.
    #[must_use]
    pub fn length(self, length: Mm) -> String {
        format!("{} {}", self.number(length), self.unit())
    }

    /// Ease, with its sign and unit: whole millimetres, or eighths of an inch.
    #[must_use]
    pub fn ease(self, ease: Mm) -> String {
        match self.units {
            Units::Metric => format!("{:+.0} mm", ease.0),
            Units::Inches => {
                let sign = if ease.0 < 0.0 { "-" } else { "+" };
                format!("{sign}{} in", eighths(ease.0.abs() / INCH, 8.0))
            }
        }
    }

    /// The unit of lengths of yarn.
    #[must_use]
    pub fn yarn_unit(self) -> &'static str {
        match self.units {
            Units::Metric => "m",
            Units::Inches => "yd",
        }
    }

    /// A length of yarn without its unit: whole metres, or yards.
    #[must_use]
    pub fn yarn(self, metres: f64) -> String {
        match self.units {
            Units::Metric => format!("{metres:.0}"),
            Units::Inches => format!("{:.0}", metres / YARD),
        }
    }

    /// The unit of weights of yarn.
    #[must_use]
    pub fn weight_unit(self) -> &'static str {
        match self.units {
            Units::Metric => "g",
            Units::Inches => "oz",
        }
    }

    /// A weight without its unit: whole grams, or hundredths of an ounce.
    #[must_use]
    pub fn weight(self, weight: Grams) -> String {
        match self.units {
            Units::Metric => format!("{:.0}", weight.0),
            Units::Inches => format!("{:.2}", weight.0 / OUNCE),
        }
    }

    /// A weight with its unit, to a tenth of a gram or a hundredth of an ounce.
    #[must_use]
    pub fn weighed(self, weight: Grams) -> String {
        match self.units {
            Units::Metric => format!("{:.1} g", weight.0),
            Units::Inches => format!("{:.2} oz", weight.0 / OUNCE),
        }
    }

    /// The length over which a gauge is given, and its name.
    #[must_use]
    pub fn gauge_over(self) -> (Mm, &'static str) {
        match self.units {
            Units::Metric => (Mm(100.0), "10 cm"),
            Units::Inches => (Mm(4.0 * INCH), "4 in"),
        }
    }

    /// A rate per centimetre or inch, given per centimetre.
    #[must_use]
    pub fn rate(self, each_cm: f64) -> String {
        match self.units {
            Units::Metric => format!("{each_cm:.1}"),
            Units::Inches => format!("{:.1}", each_cm * INCH / 10.0),
        }
    }
}

/// Inches as a whole number and a fraction, to the nearest half, quarter or eighth (2, 4 or 8 parts).
fn eighths(inches: f64, parts: f64) -> String {
    let all = (inches.abs() * parts).round() * (8.0 / parts);
    let (whole, part) = ((all / 8.0).floor(), (all % 8.0) as usize);
    let fraction = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][part.min(7)];
    let sign = if inches < 0.0 && all > 0.0 { "-" } else { "" };
    if whole < 1.0 && part > 0 { format!("{sign}{fraction}") } else { format!("{sign}{whole:.0}{fraction}") }
}

/// Grams as ounces, to a quarter.
#[must_use]
pub fn ounces(grams: f64) -> String {
    eighths(grams / OUNCE, 4.0)
}

/// A length unit of the design document, in millimetres.
#[must_use]
pub fn length_unit(unit: &str) -> Option<f64> {
    Some(match unit {
        "mm" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" => INCH,
        "yd" => YARD * 1000.0,
        _ => return None,
    })
}

/// A weight unit of the design document, in grams.
#[must_use]
pub fn weight_unit(unit: &str) -> Option<f64> {
    Some(match unit {
        "g" => 1.0,
        "kg" => 1000.0,
        "oz" => POUND / 16.0,
        "lb" => POUND,
        _ => return None,
    })
}

/// The length units that a document may name.
pub const LENGTH_UNITS: [&str; 5] = ["cm", "mm", "in", "m", "yd"];
/// The weight units that a document may name.
pub const WEIGHT_UNITS: [&str; 4] = ["g", "kg", "oz", "lb"];

/// The yarn counts that a document may name.
pub const COUNT_UNITS: [&str; 13] =
    ["tex", "m/100g", "m/50g", "yd/lb", "Nm", "Ne", "NeK", "denier", "dtex", "run", "lea", "cut", "skein"];

/// Tex of a count in a named system. Factors of ASTM D2260, extended by the exact yard and pound.
#[must_use]
pub fn tex_of(count: f64, system: &str) -> Option<Tex> {
    let indirect = |yards_a_pound: f64| POUND * 1000.0 / (YARD * yards_a_pound);
    Some(Tex(match system {
        "tex" => count,
        "dtex" => count / 10.0,
        "denier" => count / 9.0,
        "Nm" => 1000.0 / count,
        "Ne" => indirect(840.0) / count,
        "NeK" => indirect(560.0) / count,
        "run" => indirect(1600.0) / count,
        "lea" | "cut" => indirect(300.0) / count,
        "skein" => indirect(256.0) / count,
        "yd/lb" => indirect(1.0) / count,
        "m/100g" => 100_000.0 / count,
        "m/50g" => 50_000.0 / count,
        _ => return None,
    }))
}

impl Tex {
    /// Diameter of an uncompressed yarn: Peirce's d (inch) = 1/(28 sqrt Ne), a specific volume of 1.1 cm³/g.
    #[must_use]
    pub fn thickness(self) -> Mm {
        let ne = POUND * 1000.0 / (YARD * 840.0) / self.0;
        Mm(INCH / (28.0 * ne.sqrt()))
    }

    /// Metres per 100 g.
    #[must_use]
    pub fn metres_in_100_g(self) -> f64 {
        100_000.0 / self.0
    }
}

/// A stitch size in thirds, as a knitter reads the dial: 3, 3⅓, 3⅔.
#[must_use]
pub fn dial(thirds: u8) -> String {
    let whole = thirds / 3;
    match thirds % 3 {
        0 => whole.to_string(),
        1 => format!("{whole}⅓"),
        _ => format!("{whole}⅔"),
    }
}

/// A reading of the row counter.
#[must_use]
pub fn counter(reading: u32) -> String {
    format!("{reading:03}")
}

/// A number followed by its unit, as on a command line: `16.7cm`, `43 g`.
fn with_unit(text: &str, scale: fn(&str) -> Option<f64>) -> Option<f64> {
    let text = text.trim();
    let at = text.find(|c: char| c.is_alphabetic())?;
    let number: f64 = text[..at].trim().replace(',', ".").parse().ok()?;
    let value = number * scale(text[at..].trim())?;
    (value.is_finite() && value > 0.0).then_some(value)
}

/// A length such as `16.7cm` or `6.5in`.
#[must_use]
pub fn length_from(text: &str) -> Option<Mm> {
    with_unit(text, length_unit).map(Mm)
}

/// A weight such as `43g` or `1.5oz`.
#[must_use]
pub fn weight_from(text: &str) -> Option<Grams> {
    with_unit(text, weight_unit).map(Grams)
}

/// A stitch size as a knitter reads the dial, in thirds: `3`, `3 1/3`, `3⅔`, `3.33`.
#[must_use]
pub fn dial_from(text: &str) -> Option<u8> {
    let text = text.trim().replace('⅓', " 1/3").replace('⅔', " 2/3");
    let (whole, part) = text.trim().split_once([' ', '+']).unwrap_or((text.trim(), "0"));
    let thirds = match part.trim() {
        "0" => {
            let n: f64 = whole.parse().ok()?;
            let t = (n * 3.0).round();
            ((n * 3.0 - t).abs() < 0.11).then_some(t)?
        }
        "1/3" => whole.parse::<u8>().ok().map(|w| f64::from(w) * 3.0 + 1.0)?,
        "2/3" => whole.parse::<u8>().ok().map(|w| f64::from(w) * 3.0 + 2.0)?,
        _ => return None,
    };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
    (0.0..=30.0).contains(&thirds).then_some(thirds as u8)
}
