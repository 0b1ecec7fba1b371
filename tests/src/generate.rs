//! Designs made from a few numbers, over all fabrics, shapings and endings, for laws that must always hold.

/// Fabrics by name.
pub const FABRICS: [&str; 11] = [
    "plain",
    "1x1 rib",
    "2x2 rib",
    "2x2 wide rib",
    "2x1 rib",
    "full needle rib",
    "tubular",
    "half cardigan",
    "full cardigan",
    "half milano",
    "milano",
];
/// Endings by name.
pub const ENDINGS: [&str; 5] = ["loop through loop", "chain", "gather", "waste yarn", "point"];

/// What a design is made from.
#[derive(Debug, Clone)]
pub struct Seed {
    /// Fabrics of the stretches, from the bottom up.
    pub fabrics: Vec<usize>,
    /// 0 none; else how the last stretch is shaped.
    pub shaping: u8,
    /// The ending.
    pub ending: usize,
    /// Width in mm.
    pub width: u32,
    /// Length of a stretch in mm.
    pub length: u32,
    /// Carriage at the left.
    pub left: bool,
    /// A left and a right one.
    pub pair: bool,
    /// Waste cast-on where it suits, two tubular passes where not.
    pub other_cast_on: bool,
    /// Inches instead of millimetres.
    pub inches: bool,
}

/// The design document of a seed.
#[must_use]
pub fn document(s: &Seed) -> String {
    let mut text = String::from(
        "title \"Made up\"\nmachine \"standard\"\nyarn \"y\" { count (tex)238; ball (g)50; in-hand (g)5000; }\n",
    );
    if s.inches {
        text.push_str("units \"in\"\n");
    }
    for f in FABRICS {
        text.push_str(&format!(
            "swatch \"{f}\" {{ stitch-size 3 3; counted needles=40 passes=60; flat (cm)16.4 (cm)16.2; weighed (g)14 needles=60 passes=90; state \"washed\"; }}\n"
        ));
    }
    let unit = |mm: u32| if s.inches { format!("(in){}", f64::from(mm) / 25.4) } else { format!("(mm){mm}") };
    text.push_str(&format!(
        "sizes {{ size \"a\" {{ girth {}; }}; size \"b\" {{ girth {}; }}; }}\n",
        unit(s.width),
        unit(s.width * 5 / 4)
    ));
    text.push_str(if s.pair { "piece \"p\" { make \"pair\"\n" } else { "piece \"p\" { make 2\n" });
    if s.left {
        text.push_str("carriage \"left\"\n");
    }
    let plain = s.fabrics.first() == Some(&0);
    if s.other_cast_on {
        text.push_str(if plain { "cast-on \"waste yarn\"\n" } else { "cast-on \"closed\" tubular=2\n" });
    }
    let last = s.fabrics.len() - 1;
    for (i, f) in s.fabrics.iter().enumerate() {
        let shaped = i == last && s.shaping > 0;
        let grouped = matches!(f, 2..=4);
        let by = if *f == 0 || grouped { 1 } else { 2 };
        let shaping = match s.shaping {
            1 => format!("decrease {by} every=6 times=3"),
            2 => format!("decrease {by} {{ around \"girth\" (percent)-60; }}"),
            3 => format!("increase {by} {{ around \"girth\" (percent)30; }}"),
            4 => format!("decrease {by} every=6 times=2 {{ at \"left\"; }}"),
            5 => format!("decrease {by} {{ around \"girth\" (percent)-50; finish \"plain\"; }}"),
            _ => format!("decrease {by} {{ needles {}; }}", if *f == 0 { 4 } else { 3 }),
        };
        let shaping = if shaped { shaping } else { String::new() };
        let width = "around \"girth\" (percent)-5";
        text.push_str(&format!(
            "stretch \"s{i}\" {{ fabric \"{}\"; length {}; {width}; {shaping}\n }}\n",
            FABRICS[*f],
            unit(s.length)
        ));
    }
    let _ = std::fmt::Write::write_fmt(&mut text, format_args!("ending \"{}\"\n}}\n", ENDINGS[s.ending]));
    text.replace("; ; ", "; ").replace("; \n", "\n")
}
