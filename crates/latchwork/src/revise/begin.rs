//! A first design from a few answers: what to make, whom for, machine, yarn and two swatches.

use crate::text::quoted;

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thing {
    /// A hat: ribbed brim, half-cardigan body, gathered.
    Hat,
    /// Fingerless mitts.
    Mitts,
    /// A pair of cuffs.
    Cuff,
    /// A scarf.
    Scarf,
}

/// Whom for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Whom {
    /// Grown people, by a table of sizes.
    Adults,
    /// Children, by a table of sizes.
    Children,
    /// One person with this girth of head or hand, or this length of scarf, in centimetres.
    One(f64),
}

/// A swatch as measured: needles and passes between the marks, width and length in centimetres, and grams of the whole,
/// which has half as many needles and passes more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measurement {
    /// Needles between the marks.
    pub needles: u32,
    /// Passes between the contrast rows.
    pub passes: u32,
    /// Centimetres of width.
    pub wide: f64,
    /// Centimetres of length.
    pub long: f64,
    /// Grams of the whole swatch.
    pub grams: f64,
}

/// The answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// Title.
    pub title: String,
    /// What.
    pub thing: Thing,
    /// Whom for.
    pub whom: Whom,
    /// The machine's class, by name.
    pub machine: String,
    /// The yarn's name.
    pub yarn: String,
    /// Its metres in 100 g.
    pub count: f64,
    /// Swatches of 1x1 rib and half cardigan.
    pub swatches: [Measurement; 2],
}

pub(super) fn swatch(fabric: &str, yarn: Option<&str>, m: &Measurement, size: &str) -> String {
    let yarn = yarn.map_or(String::new(), |y| format!("    yarn {}\n", quoted(y)));
    format!(
        "swatch {} {{\n{yarn}    stitch-size {size}\n    counted needles={} passes={}\n    flat (cm){:.1} (cm){:.1}\n    weighed (g){:.1} needles={} passes={}\n    state \"washed\"\n}}\n",
        quoted(fabric),
        m.needles,
        m.passes,
        m.wide,
        m.long,
        m.grams,
        m.needles + m.needles / 2,
        m.passes + m.passes / 2
    )
}

fn stretch(name: &str, fabric: &str, lines: &str) -> String {
    let lines: String = lines.lines().map(|l| format!("        {l}\n")).collect();
    format!("    stretch {} {{\n        fabric {}\n{lines}    }}\n", quoted(name), quoted(fabric))
}

/// The document.
#[must_use]
pub fn begun(a: &Answers) -> String {
    let (rib, soft) = ("1x1 rib", "half cardigan");
    let own = |measures: String| format!("sizes {{\n    size \"mine\" {{ {measures}; }}\n}}\n");
    let (sizes, pieces) = match a.thing {
        Thing::Hat => (
            match a.whom {
                Whom::Adults => "sizes { table \"head-adult\"; }\n".to_string(),
                Whom::Children => {
                    "sizes { table \"head-child\" \"12-months\" \"24-months\" \"60-months\"; }\n".to_string()
                }
                Whom::One(g) => own(format!("head-girth (cm){g}")),
            },
            format!(
                "piece \"hat\" {{\n    cast-on \"closed\" tubular=3\n    public-side \"the main bed's side\"\n{}{}    ending \"gather\"\n}}\n\nseam \"back\" {{\n    edge \"hat\" \"left\"\n    edge \"hat\" \"right\"\n}}\n",
                stretch("brim", rib, "length (cm)6\naround \"head-girth\" (percent)-34"),
                stretch("body", soft, "length (percent)26 of=\"head-girth\"\naround \"head-girth\" (percent)-13"),
            ),
        ),
        Thing::Mitts => (
            hands(&a.whom),
            format!(
                "piece \"mitt\" {{\n    make 2\n    public-side \"the main bed's side\"\n{}{}{}{}    ending \"loop through loop\"\n}}\n\nseam \"below the thumb\" {{\n    edge \"mitt\" \"left\" \"cuff\" \"palm\"\n    edge \"mitt\" \"right\" \"cuff\" \"palm\"\n}}\nseam \"above the thumb\" {{\n    edge \"mitt\" \"left\" \"top\"\n    edge \"mitt\" \"right\" \"top\"\n}}\n",
                stretch("cuff", rib, "length (percent)35 of=\"hand-length\"\naround \"wrist-girth\" (percent)-13"),
                stretch("palm", soft, "length (percent)18 of=\"hand-length\"\naround \"hand-girth\" (percent)-5"),
                stretch("thumb gap", soft, "length (cm)4.5\naround \"hand-girth\" (percent)-5"),
                stretch("top", rib, "rows 8\naround \"hand-girth\" (percent)-28"),
            ),
        ),
        Thing::Cuff => (
            hands(&a.whom),
            format!(
                "piece \"cuff\" {{\n    make 2\n{}    ending \"loop through loop\"\n}}\n\nseam \"side\" {{\n    edge \"cuff\" \"left\"\n    edge \"cuff\" \"right\"\n}}\n",
                stretch("cuff", rib, "length (percent)45 of=\"hand-length\"\naround \"wrist-girth\" (percent)-25"),
            ),
        ),
        Thing::Scarf => (
            match a.whom {
                Whom::Adults => own("scarf-length (cm)150".to_string()),
                Whom::Children => own("scarf-length (cm)100".to_string()),
                Whom::One(g) => own(format!("scarf-length (cm){g}")),
            },
            format!(
                "piece \"scarf\" {{\n    public-side \"the main bed's side\"\n    width (cm)20\n{}    ending \"chain\"\n}}\n",
                stretch("scarf", soft, "length (percent)100 of=\"scarf-length\""),
            ),
        ),
    };
    let used = match a.thing {
        Thing::Hat | Thing::Mitts => {
            swatch(rib, None, &a.swatches[0], "3 3") + &swatch(soft, None, &a.swatches[1], "4 3")
        }
        Thing::Cuff => swatch(rib, None, &a.swatches[0], "3 3"),
        Thing::Scarf => swatch(soft, None, &a.swatches[1], "4 3"),
    };
    format!(
        "title {}\n\nmachine {}\n\nyarn {} {{\n    count (\"m/100g\"){}\n    fibre \"wool\"\n}}\n\n{used}\n{sizes}\n{pieces}\ncare \"Wash and dry as the yarn label says; dry flat.\"\n",
        quoted(&a.title),
        quoted(&a.machine),
        quoted(&a.yarn),
        a.count,
    )
}

fn hands(whom: &Whom) -> String {
    match whom {
        Whom::Adults => "sizes { table \"hand\" 7 8 9; }\n".to_string(),
        Whom::Children => "sizes { table \"hand\" 6; }\n".to_string(),
        // A hand is 0.91 times as long as round, a wrist 0.83 times as round (ANSUR II, men's means: 193.3, 212.3, 175.9).
        Whom::One(g) => format!(
            "sizes {{\n    size \"mine\" {{ hand-girth (cm){g}; hand-length (cm){:.1}; wrist-girth (cm){:.1}; }}\n}}\n",
            0.91 * g,
            0.83 * g
        ),
    }
}
