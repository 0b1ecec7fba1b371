//! Body measures: built-in tables, each with its source.

/// A table of sizes: for each size its measures in millimetres.
#[derive(Debug, PartialEq)]
pub struct Table {
    /// Its name.
    pub name: &'static str,
    /// What it holds and where it comes from.
    pub source: &'static str,
    /// The measures, in the order of the columns.
    pub measures: &'static [&'static str],
    /// Size name and its measures.
    pub rows: &'static [(&'static str, &'static [f64])],
}

/// What a sweater is drafted from.
const BODY: &[&str] = &[
    "chest-girth",
    "waist-girth",
    "hip-girth",
    "arm-girth",
    "wrist-girth",
    "neck-girth",
    "head-girth",
    "armhole-depth",
    "cross-back",
    "back-length",
    "underarm-length",
];

/// The built-in tables.
///
/// `hand`: EN 420 / EN ISO 21420 hand girth and length for sizes 6 to 11; wrist girth by the ANSUR II
/// regressions of wrist on hand girth, men 32.6 + 0.675 HC and women 32.7 + 0.655 HC, the mean of both.
///
/// `women`, `men`, `children`, `babies`: Craft Yarn Council's www.YarnStandards.com, the middle of each range; most cells from memory. Wrists
/// of adults 107.5 + 0.050 and 110.3 + 0.062 of the chest (ANSUR II); necks 329.8 and 397.6 at the survey's mean chest, and 0.15 and 0.2 of the
/// difference from it (guesses).
pub const TABLES: [Table; 15] = [
    Table {
        name: "hand",
        source: "EN ISO 21420 hand girth and length; wrist girth estimated from hand girth, ± 11 mm (ANSUR II survey)",
        measures: &["hand-girth", "hand-length", "wrist-girth"],
        rows: &[
            ("6", &[152.0, 160.0, 133.7]),
            ("7", &[178.0, 171.0, 151.0]),
            ("8", &[203.0, 182.0, 167.6]),
            ("9", &[229.0, 192.0, 184.9]),
            ("10", &[254.0, 204.0, 201.6]),
            ("11", &[279.0, 215.0, 218.2]),
        ],
    },
    Table {
        name: "head-adult",
        source: "ANSUR II (US Army 2012), head circumference, 5th, 50th and 95th percentile of women and men",
        measures: &["head-girth"],
        rows: &[
            ("women-small", &[532.0]),
            ("women-middle", &[560.0]),
            ("women-large", &[597.0]),
            ("men-small", &[548.0]),
            ("men-middle", &[574.0]),
            ("men-large", &[601.0]),
        ],
    },
    Table {
        name: "head-child",
        source: "WHO child growth standards 2006, head circumference, mean of the medians of girls and boys",
        measures: &["head-girth"],
        rows: &[
            ("0-months", &[342.0]),
            ("1-months", &[368.5]),
            ("3-months", &[400.0]),
            ("6-months", &[427.5]),
            ("9-months", &[444.0]),
            ("12-months", &[455.0]),
            ("18-months", &[468.0]),
            ("24-months", &[477.0]),
            ("36-months", &[490.0]),
            ("48-months", &[497.5]),
            ("60-months", &[503.0]),
        ],
    },
    Table {
        name: "foot-child",
        source: "Snyder et al. 1977, foot length by age, mean of the medians of girls and boys",
        measures: &["foot-length"],
        rows: &[
            ("2-years", &[142.5]),
            ("3-years", &[155.0]),
            ("4-years", &[167.0]),
            ("5-years", &[173.5]),
            ("6-years", &[183.5]),
            ("7-years", &[194.0]),
            ("8-years", &[202.5]),
            ("9-years", &[212.0]),
            ("10-years", &[221.5]),
            ("11-years", &[226.5]),
            ("12-years", &[236.5]),
            ("13-years", &[240.0]),
            ("14-years", &[245.5]),
            ("15-years", &[250.0]),
            ("16-years", &[250.5]),
            ("17-years", &[251.0]),
            ("18-years", &[255.5]),
        ],
    },
    Table {
        name: "foot-adult",
        source: "ANSUR II (US Army 2012), mean ball and ankle girth by foot length: women 22 to 26 cm, men 27 to 30 cm",
        measures: &["foot-length", "foot-girth", "ankle-girth"],
        rows: &[
            ("22", &[220.0, 215.0, 203.0]),
            ("23", &[230.0, 218.0, 207.0]),
            ("24", &[240.0, 225.0, 213.0]),
            ("25", &[250.0, 230.0, 218.0]),
            ("26", &[260.0, 235.0, 222.0]),
            ("27", &[270.0, 251.0, 229.0]),
            ("28", &[280.0, 257.0, 233.0]),
            ("29", &[290.0, 263.0, 240.0]),
            ("30", &[300.0, 269.0, 244.0]),
        ],
    },
    Table {
        name: "hand-adult",
        source: "ANSUR II survey (US Army 2012), hand, wrist and flexed forearm, 5th, 50th and 95th percentile of women and men, measure by measure",
        measures: &["hand-girth", "hand-length", "wrist-girth", "forearm-girth"],
        rows: &[
            ("women-small", &[173.0, 165.0, 142.2, 235.0]),
            ("women-middle", &[187.0, 180.0, 154.0, 263.0]),
            ("women-large", &[202.0, 199.0, 168.0, 296.0]),
            ("men-small", &[195.0, 177.0, 162.0, 275.0]),
            ("men-middle", &[212.0, 193.0, 176.0, 310.0]),
            ("men-large", &[230.0, 210.0, 191.0, 347.9]),
        ],
    },
    Table {
        name: "leg-adult",
        source: "ANSUR II survey (US Army 2012), foot, ankle and calf, 5th, 50th and 95th percentile of women and men, measure by measure",
        measures: &["foot-length", "foot-girth", "heel-girth", "ankle-girth", "calf-girth"],
        rows: &[
            ("women-small", &[226.0, 209.0, 287.0, 193.0, 328.0]),
            ("women-middle", &[246.0, 227.0, 310.0, 215.0, 372.0]),
            ("women-large", &[267.8, 248.0, 337.0, 242.0, 423.0]),
            ("men-small", &[250.0, 232.0, 317.0, 206.0, 346.0]),
            ("men-middle", &[271.0, 252.0, 343.0, 228.0, 392.0]),
            ("men-large", &[293.0, 273.0, 372.0, 254.0, 443.0]),
        ],
    },
    Table {
        name: "body-adult",
        source: "ANSUR II survey (US Army 2012), chest, flexed arm, back, sleeve, waist, hip, 5th, 50th and 95th percentile of women and men, measure by measure",
        measures: &["chest-girth", "arm-girth", "back-length", "sleeve-length", "waist-girth", "hip-girth"],
        rows: &[
            ("women-small", &[824.2, 259.0, 384.0, 497.0, 710.0, 901.2]),
            ("women-middle", &[940.0, 304.0, 424.5, 542.0, 852.0, 1018.5]),
            ("women-large", &[1094.0, 360.0, 470.0, 594.0, 1040.0, 1155.8]),
            ("men-small", &[922.0, 303.0, 433.0, 545.0, 768.0, 899.0]),
            ("men-middle", &[1056.0, 357.0, 477.0, 592.0, 937.0, 1017.0]),
            ("men-large", &[1207.0, 418.0, 524.0, 645.0, 1130.9, 1149.0]),
        ],
    },
    Table {
        name: "chest-men",
        source: "EN 13402-3 scale of chest and waist, from memory; steps of 4 cm confirmed",
        measures: &["chest-girth", "waist-girth"],
        rows: &[
            ("84", &[840.0, 720.0]),
            ("88", &[880.0, 760.0]),
            ("92", &[920.0, 800.0]),
            ("96", &[960.0, 840.0]),
            ("100", &[1000.0, 880.0]),
            ("104", &[1040.0, 920.0]),
            ("108", &[1080.0, 960.0]),
            ("112", &[1120.0, 1000.0]),
            ("116", &[1160.0, 1040.0]),
            ("120", &[1200.0, 1080.0]),
            ("126", &[1260.0, 1140.0]),
            ("132", &[1320.0, 1200.0]),
            ("138", &[1380.0, 1260.0]),
            ("144", &[1440.0, 1320.0]),
        ],
    },
    Table {
        name: "bust-women",
        source: "EN 13402-3 scale of bust, waist and hip, from memory; steps confirmed",
        measures: &["chest-girth", "waist-girth", "hip-girth"],
        rows: &[
            ("76", &[760.0, 600.0, 840.0]),
            ("80", &[800.0, 640.0, 880.0]),
            ("84", &[840.0, 680.0, 920.0]),
            ("88", &[880.0, 720.0, 960.0]),
            ("92", &[920.0, 760.0, 1000.0]),
            ("96", &[960.0, 800.0, 1040.0]),
            ("100", &[1000.0, 840.0, 1080.0]),
            ("104", &[1040.0, 880.0, 1120.0]),
            ("110", &[1100.0, 940.0, 1170.0]),
            ("116", &[1160.0, 1000.0, 1220.0]),
            ("122", &[1220.0, 1060.0, 1270.0]),
            ("128", &[1280.0, 1120.0, 1320.0]),
        ],
    },
    Table {
        name: "height-child",
        source: "EN 13402-3 scale of body height of children, from memory",
        measures: &["stature"],
        rows: &[
            ("50", &[500.0]),
            ("56", &[560.0]),
            ("62", &[620.0]),
            ("68", &[680.0]),
            ("74", &[740.0]),
            ("80", &[800.0]),
            ("86", &[860.0]),
            ("92", &[920.0]),
            ("98", &[980.0]),
            ("104", &[1040.0]),
            ("110", &[1100.0]),
            ("116", &[1160.0]),
            ("122", &[1220.0]),
            ("128", &[1280.0]),
            ("134", &[1340.0]),
            ("140", &[1400.0]),
            ("146", &[1460.0]),
            ("152", &[1520.0]),
            ("158", &[1580.0]),
            ("164", &[1640.0]),
            ("170", &[1700.0]),
            ("176", &[1760.0]),
        ],
    },
    Table {
        name: "women",
        source: "the yarn trade's body chart, the middle of each range, partly from memory; head the survey's mean (ANSUR II), wrist by its slope; neck by a guessed slope",
        measures: BODY,
        rows: &[
            ("XS", &[736.5, 597.0, 851.0, 247.5, 144.0, 298.0, 561.0, 159.0, 362.0, 419.0, 419.0]),
            ("S", &[838.0, 654.0, 901.5, 260.5, 149.0, 313.0, 561.0, 171.5, 374.5, 432.0, 432.0]),
            ("M", &[940.0, 736.5, 990.5, 279.5, 154.0, 329.0, 561.0, 184.0, 413.0, 438.0, 432.0]),
            ("L", &[1041.5, 838.0, 1092.0, 305.0, 160.0, 344.0, 561.0, 197.0, 438.0, 444.5, 444.5]),
            ("1X", &[1143.0, 940.0, 1194.0, 343.0, 165.0, 359.0, 561.0, 209.5, 444.5, 451.0, 444.5]),
            ("2X", &[1244.5, 1041.5, 1333.5, 393.5, 170.0, 374.0, 561.0, 222.0, 457.0, 457.0, 457.0]),
            ("3X", &[1346.0, 1130.5, 1384.5, 432.0, 175.0, 390.0, 561.0, 235.0, 457.0, 457.0, 457.0]),
            ("4X", &[1448.0, 1181.0, 1435.0, 470.0, 180.0, 405.0, 561.0, 247.5, 470.0, 470.0, 470.0]),
            ("5X", &[1549.5, 1257.5, 1562.0, 495.5, 185.0, 420.0, 561.0, 260.5, 470.0, 470.0, 470.0]),
        ],
    },
    Table {
        name: "men",
        source: "the yarn trade's body chart, the middle of each range, partly from memory; head the survey's mean (ANSUR II), wrist by its slope; neck by a guessed slope; back to the waist 20 cm less than to the hip",
        measures: BODY,
        rows: &[
            ("S", &[889.0, 736.5, 914.5, 305.0, 165.0, 364.0, 574.0, 222.0, 400.0, 441.5, 457.0]),
            ("M", &[990.5, 838.0, 1016.0, 330.0, 172.0, 384.0, 574.0, 235.0, 425.5, 476.5, 470.0]),
            ("L", &[1092.0, 940.0, 1117.5, 381.0, 178.0, 404.0, 574.0, 247.5, 451.0, 489.0, 495.5]),
            ("XL", &[1194.0, 1092.0, 1219.0, 406.5, 184.0, 425.0, 574.0, 260.5, 463.5, 501.5, 508.0]),
            ("XXL", &[1295.5, 1194.0, 1321.0, 432.0, 191.0, 445.0, 574.0, 273.0, 476.0, 517.5, 520.5]),
        ],
    },
    Table {
        name: "children",
        source: "the yarn trade's body chart, partly from memory; head to 4 years WHO 2006; later heads, wrists and necks from memory",
        measures: BODY,
        rows: &[
            ("2-years", &[533.5, 533.5, 559.0, 178.0, 114.0, 240.0, 477.0, 108.0, 235.0, 216.0, 216.0]),
            ("4-years", &[584.0, 546.0, 597.0, 190.5, 121.0, 255.0, 497.5, 120.5, 247.5, 241.5, 266.5]),
            ("6-years", &[635.0, 571.5, 635.0, 203.0, 127.0, 270.0, 510.0, 127.0, 260.5, 266.5, 292.0]),
            ("8-years", &[673.0, 597.0, 711.0, 216.0, 132.0, 280.0, 520.0, 139.5, 273.0, 317.5, 317.5]),
            ("10-years", &[711.0, 622.5, 749.5, 222.0, 137.0, 290.0, 530.0, 152.5, 286.0, 355.5, 343.0]),
            ("12-years", &[762.0, 635.0, 800.0, 228.5, 143.0, 305.0, 540.0, 165.0, 305.0, 381.0, 381.0]),
            ("14-years", &[800.0, 673.0, 838.0, 235.0, 149.0, 320.0, 550.0, 178.0, 311.0, 393.5, 406.5]),
            ("16-years", &[825.5, 698.5, 901.5, 241.5, 153.0, 330.0, 558.0, 190.5, 330.0, 406.5, 419.0]),
        ],
    },
    Table {
        name: "babies",
        source: "the yarn trade's body chart, partly from memory; head WHO 2006; wrists and necks from memory",
        measures: BODY,
        rows: &[
            ("3-months", &[406.5, 457.0, 482.5, 139.5, 100.0, 205.0, 400.0, 82.5, 184.0, 152.5, 152.5]),
            ("6-months", &[432.0, 482.5, 508.0, 152.5, 102.0, 215.0, 427.5, 89.0, 197.0, 178.0, 165.0]),
            ("12-months", &[457.0, 508.0, 508.0, 165.0, 105.0, 225.0, 455.0, 95.0, 209.5, 190.5, 190.5]),
            ("18-months", &[482.5, 520.5, 533.5, 178.0, 110.0, 235.0, 468.0, 101.5, 216.0, 203.0, 203.0]),
            ("24-months", &[508.0, 533.5, 559.0, 190.5, 114.0, 240.0, 477.0, 108.0, 222.0, 216.0, 216.0]),
        ],
    },
];

/// The table of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|t| t.name == name)
}

/// Measures of which the first is smaller than the second on everybody.
const PARTS: [(&str, &str); 12] = [
    ("wrist-girth", "chest-girth"),
    ("wrist-girth", "arm-girth"),
    ("wrist-girth", "hand-girth"),
    ("wrist-girth", "forearm-girth"),
    ("arm-girth", "chest-girth"),
    ("neck-girth", "chest-girth"),
    ("cross-back", "chest-girth"),
    ("armhole-depth", "back-length"),
    ("foot-girth", "heel-girth"),
    ("ankle-girth", "heel-girth"),
    ("ankle-girth", "calf-girth"),
    ("hand-length", "foot-length"),
];

/// Two measures of which the first is at least as large as the second, though it is smaller on everybody; `of` gives a measure if it is known.
pub fn on_nobody<T: PartialOrd>(of: impl Fn(&str) -> Option<T>) -> Option<(&'static str, &'static str)> {
    PARTS.into_iter().find(|(part, whole)| matches!((of(part), of(whole)), (Some(p), Some(w)) if p >= w))
}
