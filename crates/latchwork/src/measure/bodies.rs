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

/// The built-in tables.
///
/// `hand`: EN 420 / EN ISO 21420 hand girth and length for sizes 6 to 11; wrist girth by the ANSUR II
/// regressions of wrist on hand girth, men 32.6 + 0.675 HC and women 32.7 + 0.655 HC, the mean of both.
pub const TABLES: [Table; 11] = [
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
];

/// The table of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|t| t.name == name)
}
