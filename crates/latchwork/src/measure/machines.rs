//! Machines: the built-in ones by gauge, and an owner's changes.

use latchwork_machine::profile::{Limit, Profile, Source};

use crate::units::Mm;

/// A machine class by gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuiltIn {
    /// Its name.
    pub name: &'static str,
    /// Millimetres between needles.
    pub pitch: f64,
    /// Needles on each bed (common practice).
    pub needles: u16,
    /// Least and most grams per needle that carries loops (common practice, no source).
    pub grams: (u32, u32),
    /// Grams per loop that the plan aims at with both beds in work (common practice, no source).
    pub aim: u32,
    /// The same with the main bed alone, where more weight only draws the stitches long (common practice, no source).
    pub aim_one_bed: u32,
    /// Longest float in needles (common practice: about 2 cm).
    pub float: u32,
    /// The yarn that suits it, in tex, by the textbook rule tex = 12.36 pitch².
    pub tex: u32,
}

/// The built-in machines: pitches and yarns from teaching pages, needle counts and grams common practice.
pub const BUILT_IN: [BuiltIn; 4] = [
    BuiltIn { name: "fine", pitch: 3.6, needles: 250, grams: (1, 9), aim: 3, aim_one_bed: 2, float: 7, tex: 160 },
    BuiltIn { name: "standard", pitch: 4.5, needles: 200, grams: (2, 12), aim: 5, aim_one_bed: 3, float: 6, tex: 250 },
    BuiltIn { name: "mid", pitch: 6.5, needles: 150, grams: (3, 16), aim: 8, aim_one_bed: 4, float: 5, tex: 522 },
    BuiltIn { name: "bulky", pitch: 9.0, needles: 114, grams: (3, 18), aim: 8, aim_one_bed: 4, float: 4, tex: 1001 },
];

/// Most loops gathered as they are: more make a thick ruffle (common practice: 60 to 80 of a fine yarn, no source).
const GATHERED: u32 = 60;

/// The built-in machine of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static BuiltIn> {
    BUILT_IN.iter().find(|m| m.name == name)
}

/// The settings that an owner may name in the words of their manual.
pub const OWN_WORDS: [&str; 9] =
    ["knit", "tuck", "slip", "full pitch", "half pitch", "stitch size", "main bed", "ribber", "row counter"];

/// A machine with its owner's changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Its class.
    pub class: &'static BuiltIn,
    /// The owner's name for it, if given.
    pub name: Option<String>,
    /// Millimetres between needles.
    pub pitch: Mm,
    /// Beds and limits.
    pub profile: Profile,
    /// Least and most stitch size, in thirds.
    pub dial: (u8, u8),
    /// Grams per loop that the plan aims at, both beds in work.
    pub aim: u32,
    /// The same with the main bed alone.
    pub aim_one_bed: u32,
    /// Most loops that are gathered as they are; more are halved first.
    pub gathered: u32,
    /// The most needles that the owner holds at a time, if there is a limit.
    pub most_held: Option<u32>,
    /// Needles after which the owner's pattern device selects the same again, if there is one.
    pub device: Option<u32>,
    /// The owner's own words, by neutral word.
    pub own_words: Vec<(String, String)>,
}

impl Machine {
    /// Grams to hang for a number of loops on the main bed and the ribber, within the limits of the machine.
    #[must_use]
    pub fn grams(&self, main: u32, ribber: u32) -> u32 {
        let loops = main + ribber;
        let (least, most) = (self.profile.least_grams.value * loops, self.profile.most_grams.value * loops);
        // Nobody weighs out half a kilo to the nearest 10 g.
        let aim = loops * if ribber == 0 { self.aim_one_bed } else { self.aim };
        let round = if aim >= 200 { 50 } else { 10 };
        ((aim + round / 2) / round * round).max(10).clamp(least, most)
    }

    /// The built-in machine of a class, unchanged.
    #[must_use]
    pub fn of(class: &'static BuiltIn) -> Machine {
        let practice = |value| Limit { value, source: Source::Practice };
        Machine {
            class,
            name: None,
            pitch: Mm(class.pitch),
            profile: Profile {
                main_needles: class.needles,
                ribber_needles: class.needles,
                tucks: Limit { value: 4, source: Source::Textbook },
                float: practice(class.float),
                least_grams: practice(class.grams.0),
                most_grams: practice(class.grams.1),
            },
            dial: (0, 30),
            aim: class.aim,
            aim_one_bed: class.aim_one_bed,
            gathered: GATHERED,
            most_held: None,
            device: None,
            own_words: Vec::new(),
        }
    }

    /// The owner's word for a neutral one.
    #[must_use]
    pub fn own_word(&self, neutral: &str) -> Option<&str> {
        self.own_words.iter().find(|(n, _)| n == neutral).map(|(_, w)| w.as_str())
    }
}
