//! A first design from a few answers: article, wearer, machine, yarn and two swatches.

use crate::design::{Ending, NewSwatch};
use crate::text::NewNode;
use crate::vocabulary::{SIDES, word_of};
use latchwork_machine::needle::Side;
use std::fmt::Display;

/// The article.
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

/// The wearer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Whom {
    /// Adults, by a table of sizes.
    Adults,
    /// Children, by a table of sizes.
    Children,
    /// One person, with this girth of head or hand, or this length of scarf, in centimetres.
    One(f64),
}

/// A swatch as measured: needles and passes between the marks, width and length in centimetres, and grams of the whole,
/// which has half as many needles and passes again.
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
    /// The article.
    pub thing: Thing,
    /// The wearer.
    pub whom: Whom,
    /// The machine's class, by name.
    pub machine: String,
    /// The yarn's name.
    pub yarn: String,
    /// Its length in metres per 100 g.
    pub count: f64,
    /// Swatches of 1x1 rib and half cardigan.
    pub swatches: [Measurement; 2],
}

pub(super) fn swatch(fabric: &str, yarn: Option<&str>, m: &Measurement, dial: (u8, u8)) -> String {
    let whole = (m.needles + m.needles / 2, m.passes + m.passes / 2);
    let swatch = NewSwatch {
        fabric,
        yarn,
        dial,
        counted: (m.needles, m.passes),
        flat: (format!("{:.1}", m.wide), format!("{:.1}", m.long)),
        unit: "cm",
        weighed: Some((format!("{:.1}", m.grams), whole.0.to_string(), whole.1)),
        state: "washed",
        ..NewSwatch::default()
    };
    format!("{}\n", swatch.node())
}

fn stretch(name: &str, fabric: &str, lines: [NewNode; 2]) -> NewNode {
    NewNode::new("stretch").text(name).with(NewNode::new("fabric").text(fabric)).with_all(lines)
}

fn around(measure: &str, percent: i32) -> NewNode {
    NewNode::new("around").text(measure).unit("percent", percent)
}

fn share(percent: u32, of: &str) -> NewNode {
    NewNode::new("length").unit("percent", percent).text_pair("of", of)
}

/// A seam of the two side edges of a piece, or of some of its stretches.
fn side_seam(name: &str, piece: &str, stretches: &[&str]) -> NewNode {
    let edge = |side: Side| {
        let node = NewNode::new("edge").text(piece).text(word_of(&SIDES, side));
        stretches.iter().fold(node, |node, s| node.text(s))
    };
    NewNode::new("seam").text(name).with(edge(Side::Left)).with(edge(Side::Right))
}

fn ending(ending: Ending) -> NewNode {
    NewNode::new("ending").text(word_of(&Ending::WORDS, ending))
}

/// A single size with its own measures.
fn own(measures: impl IntoIterator<Item = NewNode>) -> NewNode {
    let mine = NewNode::new("size").text("mine").with_all(measures).on_one_line();
    NewNode::new("sizes").with(mine)
}

/// Sizes of a built-in table.
fn of_table(values: NewNode) -> NewNode {
    NewNode::new("sizes").with(values).on_one_line()
}

fn cm(measure: &str, value: impl Display) -> NewNode {
    NewNode::new(measure).unit("cm", value)
}

/// The sizes, the piece and the seams.
fn garment(a: &Answers) -> (NewNode, NewNode, Vec<NewNode>) {
    let (rib, soft) = ("1x1 rib", "half cardigan");
    let node = NewNode::new;
    let public = || node("public-side").text("the main-bed side");
    match a.thing {
        Thing::Hat => (
            match a.whom {
                Whom::Adults => of_table(node("table").text("head-adult")),
                Whom::Children => {
                    of_table(node("table").text("head-child").text("12-months").text("24-months").text("60-months"))
                }
                Whom::One(g) => own([cm("head-girth", g)]),
            },
            node("piece")
                .text("hat")
                .with(node("cast-on").text("closed").pair("tubular", 3))
                .with(public())
                .with(stretch("brim", rib, [cm("length", 6), around("head-girth", -34)]))
                .with(stretch("body", soft, [share(26, "head-girth"), around("head-girth", -13)]))
                .with(ending(Ending::Gather)),
            vec![side_seam("back", "hat", &[])],
        ),
        Thing::Mitts => (
            hands(&a.whom),
            node("piece")
                .text("mitt")
                .with(node("make").number(2))
                .with(public())
                .with(stretch("cuff", rib, [share(35, "hand-length"), around("wrist-girth", -13)]))
                .with(stretch("palm", soft, [share(18, "hand-length"), around("hand-girth", -5)]))
                .with(stretch("thumb gap", soft, [cm("length", 4.5), around("hand-girth", -5)]))
                .with(stretch("top", rib, [node("rows").number(8), around("hand-girth", -28)]))
                .with(ending(Ending::LoopThroughLoop)),
            vec![
                side_seam("below the thumb", "mitt", &["cuff", "palm"]),
                side_seam("above the thumb", "mitt", &["top"]),
            ],
        ),
        Thing::Cuff => (
            hands(&a.whom),
            node("piece")
                .text("cuff")
                .with(node("make").number(2))
                .with(stretch("cuff", rib, [share(45, "hand-length"), around("wrist-girth", -25)]))
                .with(ending(Ending::LoopThroughLoop)),
            vec![side_seam("side", "cuff", &[])],
        ),
        Thing::Scarf => {
            let length = match a.whom {
                Whom::Adults => 150.0,
                Whom::Children => 100.0,
                Whom::One(g) => g,
            };
            let fabric = node("fabric").text(soft);
            (
                own([cm("scarf-length", length)]),
                node("piece")
                    .text("scarf")
                    .with(public())
                    .with(cm("width", 20))
                    .with(node("stretch").text("scarf").with(fabric).with(share(100, "scarf-length")))
                    .with(ending(Ending::Chain)),
                Vec::new(),
            )
        }
    }
}

/// The document.
#[must_use]
pub fn begun(a: &Answers) -> String {
    let (rib, soft) = ("1x1 rib", "half cardigan");
    let used = match a.thing {
        Thing::Hat | Thing::Mitts => {
            swatch(rib, None, &a.swatches[0], (9, 9)) + &swatch(soft, None, &a.swatches[1], (12, 9))
        }
        Thing::Cuff => swatch(rib, None, &a.swatches[0], (9, 9)),
        Thing::Scarf => swatch(soft, None, &a.swatches[1], (12, 9)),
    };
    let (sizes, piece, seams) = garment(a);
    let node = NewNode::new;
    let yarn = node("yarn").text(&a.yarn).with(node("count").unit("m/100g", a.count)).with(node("fibre").text("wool"));
    let (title, machine) = (node("title").text(&a.title), node("machine").text(&a.machine));
    let care = node("care").text("Wash and dry as the yarn label says; dry flat.");
    let seams: String = seams.iter().map(|s| format!("{s}\n")).collect();
    let seams = if seams.is_empty() { seams } else { format!("\n{seams}") };
    format!("{title}\n\n{machine}\n\n{yarn}\n\n{used}\n{sizes}\n\n{piece}\n{seams}\n{care}\n")
}

fn hands(whom: &Whom) -> NewNode {
    let table = NewNode::new("table").text("hand");
    match whom {
        Whom::Adults => of_table(table.number(7).number(8).number(9)),
        Whom::Children => of_table(table.number(6)),
        // Hand length is 0.91 and wrist girth 0.83 of hand girth (ANSUR II, men's means: 193.3, 175.9, 212.3).
        Whom::One(g) => own([
            cm("hand-girth", g),
            cm("hand-length", format_args!("{:.1}", 0.91 * g)),
            cm("wrist-girth", format_args!("{:.1}", 0.83 * g)),
        ]),
    }
}
