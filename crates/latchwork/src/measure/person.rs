//! One person's measures, and the missing ones estimated from those that were taken.

use super::shoes::foot_of;
use super::survey::surveyed;
use crate::units::Mm;

/// The survey that a person is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sex {
    /// The women surveyed.
    Woman,
    /// The men surveyed.
    Man,
}

impl Sex {
    /// Both.
    pub const BOTH: [Sex; 2] = [Sex::Woman, Sex::Man];

    /// Its word in documents.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Sex::Woman => "women",
            Sex::Man => "men",
        }
    }
}

/// A person.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// Their name.
    pub name: String,
    /// The survey for estimates of missing measures; none for a child.
    pub sex: Option<Sex>,
    /// The measures taken.
    pub measures: Vec<(String, Mm)>,
    /// The European shoe size that they wear.
    pub shoe: Option<f64>,
}

/// Deviation of the foot from what the shoe size gives, one standard deviation: common practice, no source.
const SHOE: Mm = Mm(7.0);

/// A measure that was not taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: Mm,
    /// One standard deviation of people about it.
    pub deviation: Mm,
    /// The measure that it was computed from.
    pub from: &'static str,
}

/// A regression of one measure on another: `constant + slope from`, and the residual standard deviation, either in
/// millimetres or as a share of the other measure.
struct Regression {
    measure: &'static str,
    from: &'static str,
    sex: Option<Sex>,
    constant: f64,
    slope: f64,
    residual: f64,
    share: f64,
}

const fn line(
    measure: &'static str,
    from: &'static str,
    sex: Sex,
    (constant, slope): (f64, f64),
    residual: f64,
) -> Regression {
    Regression { measure, from, sex: Some(sex), constant, slope, residual, share: 0.0 }
}

const fn ratio(measure: &'static str, from: &'static str, slope: f64, share: f64) -> Regression {
    Regression { measure, from, sex: None, constant: 0.0, slope, residual: 0.0, share }
}

/// Computed from ANSUR II (n = 6068); a child's foot from Snyder et al. 1977 (ages 2 to 18, r 0.966; the residual, 8 mm,
/// is computed from r and the spread of the medians).
const REGRESSIONS: [Regression; 22] = [
    line("hand-length", "hand-girth", Sex::Man, (71.6, 0.573), 8.0),
    line("hand-length", "hand-girth", Sex::Woman, (61.5, 0.641), 8.3),
    line("wrist-girth", "hand-girth", Sex::Man, (32.6, 0.675), 5.7),
    line("wrist-girth", "hand-girth", Sex::Woman, (32.7, 0.655), 5.3),
    ratio("palm-length", "hand-length", 0.60, 0.015),
    line("hand-breadth", "hand-girth", Sex::Man, (0.0, 0.416), 2.0),
    line("hand-breadth", "hand-girth", Sex::Woman, (0.0, 0.419), 2.0),
    ratio("foot-girth", "foot-length", 0.929, 0.042),
    ratio("ankle-girth", "foot-girth", 0.922, 0.050),
    ratio("heel-girth", "foot-girth", 1.363, 0.049),
    line("arm-girth", "chest-girth", Sex::Man, (28.5, 0.311), 21.0),
    line("arm-girth", "chest-girth", Sex::Woman, (42.8, 0.278), 21.0),
    line("sleeve-length", "stature", Sex::Man, (-41.0, 0.361), 18.0),
    line("sleeve-length", "stature", Sex::Woman, (-50.0, 0.364), 18.0),
    line("centre-back-to-wrist", "stature", Sex::Man, (102.0, 0.452), 26.0),
    line("centre-back-to-wrist", "stature", Sex::Woman, (34.0, 0.474), 23.0),
    line("back-length", "stature", Sex::Man, (97.5, 0.216), 23.0),
    line("back-length", "stature", Sex::Woman, (88.2, 0.207), 23.0),
    // Shoulders hardly follow the chest (r 0.52 men, 0.29 women): the survey's own mean is used.
    line("shoulder-width", "chest-girth", Sex::Man, (415.7, 0.0), 19.2),
    line("shoulder-width", "chest-girth", Sex::Woman, (365.3, 0.0), 18.3),
    ratio("ankle-girth", "foot-length", 0.857, 0.060),
    Regression {
        measure: "foot-length",
        from: "stature",
        sex: None,
        constant: 17.8,
        slope: 0.1416,
        residual: 8.0,
        share: 0.0,
    },
];

/// Measures that must be taken: no other measure gives them (head girth against stature: r 0.34 men, 0.31 women).
const MUST_BE_TAKEN: [&str; 1] = ["head-girth"];

impl Person {
    /// A measure that was taken.
    #[must_use]
    pub fn measured(&self, measure: &str) -> Option<Mm> {
        self.measures.iter().find(|(m, _)| m == measure).map(|(_, v)| *v)
    }

    /// A measure not taken, estimated from those that were; through another estimate if necessary, with the doubt of both.
    #[must_use]
    pub fn estimated(&self, measure: &str) -> Option<Estimate> {
        self.estimate(measure, 0)
    }

    fn estimate(&self, measure: &str, depth: u32) -> Option<Estimate> {
        if let (Some(size), "foot-length") = (self.shoe, measure) {
            return Some(Estimate { value: foot_of(size), deviation: SHOE, from: "shoe size" });
        }
        if depth > 3 || MUST_BE_TAKEN.contains(&measure) {
            return None;
        }
        let suits = |r: &&Regression| {
            r.measure == measure
                && match r.sex {
                    Some(s) => self.sex == Some(s),
                    None => r.measure != "foot-length" || self.sex.is_none(),
                }
        };
        let of = |r: &Regression, value: f64, deviation: f64| Estimate {
            value: Mm(r.constant + r.slope * value),
            deviation: Mm((r.residual + r.share * value).hypot(r.slope * deviation)),
            from: r.from,
        };
        let direct = REGRESSIONS.iter().filter(suits).find_map(|r| Some(of(r, self.measured(r.from)?.0, 0.0)));
        direct.or_else(|| {
            REGRESSIONS.iter().filter(suits).find_map(|r| {
                let e = self.estimate(r.from, depth + 1)?;
                Some(Estimate { from: e.from, ..of(r, e.value.0, e.deviation.0) })
            })
        })
    }

    /// Measures from which a missing one could be estimated.
    #[must_use]
    pub fn could_come_from(&self, measure: &str) -> Vec<&'static str> {
        let known = REGRESSIONS.iter().filter(|r| r.measure == measure && !MUST_BE_TAKEN.contains(&measure));
        let mut from: Vec<&str> = known.filter(|r| r.sex.is_none() || r.sex == self.sex).map(|r| r.from).collect();
        from.dedup();
        from
    }

    /// The share of surveyed people of this person's sex whose measure is smaller.
    #[must_use]
    pub fn percentile(&self, measure: &str) -> Option<f64> {
        Some(surveyed(measure, self.sex?)?.share_below(self.measured(measure)?.0))
    }
}
