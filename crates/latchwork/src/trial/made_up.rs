//! Designs made from a few numbers, over all fabrics, shapings and endings, to test laws that must always hold.

use super::taper::Taper;
use crate::fabric::{Begun, Fabric, find};
use crate::measure::expectations;
use crate::text::NewNode;
use crate::units::{Mm, Tex};

/// Fabrics by name; the first [`ELDEST`] are the original set.
pub const FABRICS: [&str; 49] = [
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
    "purl side of plain",
    "3x2 rib",
    "mock rib",
    "1x1 mock rib",
    "ladders",
    "double half cardigan",
    "racked half cardigan",
    "zigzag racked rib",
    "pintuck",
    "pleats",
    "drop stitch",
    "interlock by selection",
    "honeycomb tuck",
    "one-row tuck",
    "brick tuck",
    "tuck lace",
    "bird's eye slip",
    "slip twill",
    "long-float slip",
    "pips",
    "stairs",
    "net",
    "waves",
    "woven-in",
    "long woven-in",
    "mosaic",
    "eyelet rows",
    "mesh",
    "bias mesh",
    "chevron lace",
    "leaf lace",
    "2x2 cable",
    "3x3 cable",
    "travelling twist",
    "specked-back checks",
    "striped-back checks",
    "specked-back steps",
    "striped-back steps",
];
/// The size of the original set in [`FABRICS`].
pub const ELDEST: usize = 11;
/// Endings by name.
pub const ENDINGS: [&str; 5] = ["loop through loop", "chain", "gather", "waste yarn", "point"];

/// The numbers that a design is made from.
#[derive(Debug, Clone)]
pub struct Seed {
    /// Fabrics of the stretches, from the bottom up.
    pub fabrics: Vec<usize>,
    /// How the last stretch is shaped; 0: not at all.
    pub shaping: u8,
    /// The ending.
    pub ending: usize,
    /// Width in mm.
    pub width: u32,
    /// Length of a stretch in mm.
    pub length: u32,
    /// Whether the carriage starts at the left.
    pub left: bool,
    /// Whether it is a pair, left and right.
    pub pair: bool,
    /// Whether it has a waste cast-on, or two tubular passes where that does not suit.
    pub other_cast_on: bool,
    /// Whether it is in inches instead of millimetres.
    pub inches: bool,
    /// The number of sizes.
    pub sizes: u32,
    /// Another fabric over some needles of a section that can take it: which, and how it stands; 0: none.
    pub panel: u32,
    /// Stripes of up to three yarns in sections of one yarn, so many rows the first; 0: none.
    pub stripes: u32,
}

/// Whether a last stretch of this fabric can have this shaping and ending: 2x1 rib and full cardigan are not shaped, 2x2
/// ribs only decreased, and a point takes at most five stitches, which no rib on every needle can be increased to.
#[must_use]
pub fn possible(fabric: usize, shaping: u8, ending: usize) -> bool {
    let Some(f) = FABRICS.get(fabric).and_then(|f| find(f)) else { return false };
    let point = ENDINGS.get(ending) == Some(&"point");
    match shaping {
        0 if point => suiting(f, 1) <= 5,
        0 => true,
        10 | 11 | 15 if matches!(ENDINGS.get(ending), Some(&("point" | "gather"))) => false,
        12 => short_rows(f) && !point,
        14 => f.yarns() == 1 && f.parts_anywhere() && !point,
        13 => matches!(FABRICS[fabric], "plain" | "purl side of plain"),
        16 => !point,
        // Pleats draw in far more than what is cast off with them.
        17 if FABRICS[fabric] == "pleats" => false,
        // An open tube has twice the stitches of what is cast off with it.
        17 if f.opens() && ENDINGS.get(ending) == Some(&"waste yarn") => false,
        17 => !matches!(ENDINGS.get(ending), Some(&("point" | "gather"))),
        _ if f.narrow.is_empty() => false,
        3 => !(f.widen.is_empty() || point && f.layout.all_of_both()),
        _ => true,
    }
}

/// How many kinds of shaping there are, none among them.
pub const SHAPINGS: u8 = 18;

/// The kinds that stand in a stretch of their own after another: necks, short rows and slits.
const LAST: [u8; 5] = [10, 11, 12, 14, 15];

/// The kinds that shape nothing: another piece is knitted on to the sides of the first, or cast off together with it.
const JOINED: [u8; 2] = [16, 17];

/// Whether a fabric can have short rows.
fn short_rows(f: &Fabric) -> bool {
    let by_hand = f.repeat.iter().any(|t| t.selects() || !t.hands.is_empty() || t.racking.is_some());
    !by_hand && (f.knits_all() || f.name == "tubular")
}

/// All possible combinations of the first `fabrics` fabrics and `shapings` kinds of shaping, in order.
#[must_use]
pub fn combinations(fabrics: usize, shapings: u8) -> Vec<(usize, u8, usize)> {
    let all = (0..fabrics.min(FABRICS.len()))
        .flat_map(|f| (0..shapings).flat_map(move |s| (0..ENDINGS.len()).map(move |e| (f, s, e))));
    all.filter(|(f, s, e)| possible(*f, *s, *e)).collect()
}

/// Whether a stretch of one fabric can follow one of another: loops change beds needle to needle.
fn follows(a: usize, b: usize) -> bool {
    match (FABRICS.get(a).and_then(|f| find(f)), FABRICS.get(b).and_then(|f| find(f))) {
        (Some(a), Some(b)) => a.layout == b.layout || (a.layout.one_per_place() && b.layout.one_per_place()),
        _ => false,
    }
}

impl Seed {
    /// A seed from a number; every number gives one. Consecutive numbers go through every possible fabric, shaping and
    /// ending of the last stretch in turn.
    #[must_use]
    pub fn from_number(number: u64, combinations: &[(usize, u8, usize)]) -> Seed {
        let mut state = number;
        let mut next = |below: u32| {
            // SplitMix64 (Steele, Lea and Flood 2014), good enough to spread seeds.
            state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut z = state;
            z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            u32::try_from((z ^ (z >> 31)) % u64::from(below)).unwrap_or(0)
        };
        let known = combinations.iter().map(|c| c.0 + 1).max().and_then(|n| u32::try_from(n).ok()).unwrap_or(1);
        let n = combinations.len().max(1) as u64;
        let (last, shaping, ending) =
            usize::try_from(number % n).ok().and_then(|i| combinations.get(i)).copied().unwrap_or((0, 0, 0));
        let mut fabrics = vec![last];
        for _ in 0..next(3) {
            let other = next(known) as usize;
            let before = if follows(other, fabrics[0]) && next(2) == 0 { other } else { fabrics[0] };
            fabrics.insert(0, before);
        }
        let of_its_own = LAST.contains(&shaping);
        if of_its_own && fabrics.len() == 1 {
            fabrics.insert(0, fabrics[0]);
        }
        Seed {
            fabrics,
            shaping,
            ending,
            width: 20 + next(110),
            length: 20 + next(80),
            left: next(2) == 0,
            pair: next(2) == 0,
            other_cast_on: next(2) == 0,
            inches: next(4) == 0,
            sizes: 1 + next(6),
            stripes: if matches!(shaping, 12 | 14) { 0 } else { next(16).saturating_sub(9) },
            panel: next(60),
        }
    }
}

/// Plausible width of 40 needles and length of 60 passes, in centimetres, and grams of 60 needles by 90 passes; a guess
/// where no constants are known.
fn usual(fabric: &str) -> (f64, f64, f64) {
    let tex = Tex(238.0);
    let known = find(fabric).and_then(|f| Some((f, expectations(f, tex, Mm(4.5))?[1])));
    known.map_or((10.0, 12.0, 11.0), |(f, e)| (400.0 / e.needles, 600.0 / e.passes, e.grams(f, tex, 60.0, 90.0)))
}

/// The fewest needles, at least `least`, that suit a fabric.
pub(super) fn suiting(f: &Fabric, least: u32) -> u32 {
    let count = |places: u32| f.layout.needle_count(places).0 + f.layout.needle_count(places).1;
    let stands = |places: &u32| f.ends.iter().any(|e| f.layout.allows(*places, *e));
    (1..400).filter(stands).map(count).find(|n| *n >= least).unwrap_or(least)
}

/// The design document of a seed.
#[must_use]
pub fn document(s: &Seed) -> String {
    let unit = |node: NewNode, mm: u32| match s.inches {
        true => node.unit("in", f64::from(mm) / 25.4),
        false => node.unit("mm", mm),
    };
    let yarn = |name: &str| {
        let yarn = NewNode::new("yarn").text(name).with(NewNode::new("count").unit("tex", 238));
        yarn.with(NewNode::new("ball").unit("g", 50)).with(NewNode::new("in-hand").unit("g", 5000))
    };
    let several = s.stripes > 0 || s.fabrics.iter().any(|f| taken(*f) > 1);
    let machine = NewNode::new("machine").text("standard");
    let machine =
        if s.panel % 3 == 2 { machine.with(NewNode::new("pattern-device").pair("needles", 24)) } else { machine };
    let mut nodes = vec![NewNode::new("title").text("Made up"), machine, yarn("y")];
    nodes.extend(YARNS.iter().skip(1).filter(|_| several).map(|name| yarn(name)));
    nodes.extend(s.inches.then(|| NewNode::new("units").text("in")));
    let panels: Vec<Option<NewNode>> = (0..s.fabrics.len()).map(|i| panel(s, i)).collect();
    let second = panels.iter().flatten().count() > 0;
    let joined = JOINED.contains(&s.shaping).then(|| joined_fabric(s));
    let swatched = FABRICS.iter().enumerate().filter(|(i, f)| {
        let panel = second && Some(**f) == PANELS.get(panel_fabric(s)).copied();
        s.fabrics.contains(i) || panel || joined == Some(f)
    });
    nodes.extend(swatched.map(|(_, f)| swatch(f)));
    let sizes = (0..s.sizes).zip(["a", "b", "c", "d", "e", "f"]).map(|(i, name)| {
        let girth = unit(NewNode::new("girth"), s.width * (4 + i) / 4);
        NewNode::new("size").text(name).with(girth)
    });
    nodes.push(NewNode::new("sizes").with_all(sizes));
    let first = s.fabrics.first().and_then(|f| find(FABRICS[*f]));
    let plain = first.is_some_and(|f| f.layout.begun() == Begun::MainBed);
    let make = NewNode::new("make");
    let mut piece = vec![if s.pair { make.text("pair") } else { make.number(2) }];
    piece.extend(several.then(|| NewNode::new("yarn").text("y")));
    piece.extend(s.left.then(|| NewNode::new("carriage").text("left")));
    let cast_on = NewNode::new("cast-on");
    piece.extend(s.other_cast_on.then(|| match plain {
        true => cast_on.text("waste yarn"),
        false => cast_on.text("closed").pair("tubular", 2),
    }));
    let way = Taper::of(s);
    let last = s.fabrics.len() - 1;
    for (i, f) in s.fabrics.iter().enumerate() {
        let shaped = i == last && s.shaping > 0 && !JOINED.contains(&s.shaping);
        let length = if shaped { s.length.max(40 + s.width) } else { s.length };
        let width = match way.counted() {
            true => NewNode::new("needles").number(way.start()),
            false => NewNode::new("around").text("girth").unit("percent", -5),
        };
        let stretch = NewNode::new("stretch").text(&format!("s{i}"));
        let fabric = NewNode::new("fabric").text(FABRICS[*f]);
        let placed = PLACED[(s.panel % 7) as usize % PLACED.len()];
        let whole = find(FABRICS[*f]).is_some_and(|f| f.layout.main_alone());
        let fabric = if whole && s.panel > 20 { fabric.pair("placed", placed) } else { fabric };
        let fabric = match s.panel % 4 {
            1 => fabric.pair("printed", "chart"),
            2 => fabric.pair("printed", "words"),
            _ => fabric,
        };
        let stretch = stretch.with(fabric).with_all(panels[i].clone()).with_all(colours(s, i));
        let stretch = stretch.with_all((s.shaping != 12 || i < last).then(|| unit(NewNode::new("length"), length)));
        let stretch = stretch.with(width).with_all(shaped.then(|| way.shapings()).into_iter().flatten());
        piece.push(stretch.with_all(way.holes().filter(|_| i == last && s.shaping == 0)).with_all(hem(s, i)));
    }
    piece.push(NewNode::new("ending").text(ENDINGS[s.ending]));
    nodes.push(NewNode::new("piece").text("p").with_all(piece));
    nodes.extend(joined.map(|fabric| second_piece(s, fabric, several)));
    nodes.iter().map(|n| format!("{n}\n")).collect()
}

/// A first stretch folded into a hem, of some seeds.
fn hem(s: &Seed, stretch: usize) -> Option<NewNode> {
    let alone = s.panel < 20 && s.stripes == 0 && (s.fabrics.len() > 1 || JOINED.contains(&s.shaping));
    let kind = if s.width.is_multiple_of(2) { "plain" } else { "picot" };
    let some = stretch == 0 && alone && FABRICS[s.fabrics[0]] == "plain" && s.length.is_multiple_of(4);
    some.then(|| NewNode::new("hem").text(kind))
}

/// The fabric of a piece that is joined to the first.
fn joined_fabric(s: &Seed) -> &'static str {
    if s.shaping == 16 && s.width.is_multiple_of(2) { "1x1 rib" } else { "plain" }
}

/// A piece knitted on to the sides of the first, or cast off together with its last row.
fn second_piece(s: &Seed, fabric: &str, several: bool) -> NewNode {
    let edge = |kind: &str| NewNode::new("edge").text("p").text(kind);
    let make = if s.pair { NewNode::new("make").text("pair") } else { NewNode::new("make").number(1 + s.length % 2) };
    let stretch = NewNode::new("stretch").text("joined").with(NewNode::new("fabric").text(fabric));
    let stretch = stretch.with(NewNode::new("rows").number(2 + 2 * (s.length % 9)));
    let piece = NewNode::new("piece").text("second").with(make);
    let piece = piece.with_all(several.then(|| NewNode::new("yarn").text("y")));
    if s.shaping == 16 {
        let edges = if s.length.is_multiple_of(3) || s.length > 60 {
            vec![edge("left")]
        } else {
            vec![edge("left"), edge("right")]
        };
        let hung = NewNode::new("cast-on").text("hung").text_pair("twice", "yes");
        let hung = if s.left { hung.text_pair("turned", "yes") } else { hung };
        return piece.with(hung.with_all(edges)).with(stretch).with(NewNode::new("ending").text("chain"));
    }
    let around = NewNode::new("around").text("girth").unit("percent", -5);
    let ending = NewNode::new("ending").text(if s.left { "chain" } else { "loop through loop" });
    piece.with(stretch.with(around)).with(ending.text_pair("twice", "yes").with(edge("ending")))
}

/// Fabrics of panels.
const PANELS: [&str; 6] = ["mesh", "honeycomb tuck", "bird's eye slip", "eyelet rows", "travelling twist", "plain"];
/// Where repeats begin.
const PLACED: [&str; 4] = ["left", "centred", "alike", "right"];

fn panel_fabric(s: &Seed) -> usize {
    s.panel as usize % PANELS.len()
}

/// A panel of a stretch, if its fabric can take one.
fn panel(s: &Seed, stretch: usize) -> Option<NewNode> {
    let (own, other) = (find(FABRICS[s.fabrics[stretch]])?, find(PANELS[panel_fabric(s)])?);
    let narrowed = stretch + 1 == s.fabrics.len() && s.shaping > 0;
    let fits = s.panel > 30 && !narrowed && own.yarns() == 1 && own.layout.main_alone() && own.beside(other).is_ok();
    let node = NewNode::new("panel").text(&other.name).pair("needles", 2 + s.panel % 5);
    let node = match s.panel % 3 {
        0 => node,
        1 => node.pair("at", "left").pair("in", s.panel % 2),
        _ => node.pair("at", "right").pair("mirrored", "yes"),
    };
    fits.then_some(node)
}

/// The yarns of designs in several.
const YARNS: [&str; 3] = ["y", "second yarn", "z"];

/// How many yarns a fabric takes.
fn taken(fabric: usize) -> usize {
    find(FABRICS[fabric]).map_or(1, |f| f.yarns())
}

/// The yarns of a stretch: those of its fabric, or stripes.
fn colours(s: &Seed, stretch: usize) -> Option<NewNode> {
    let takes = taken(s.fabrics[stretch]);
    if takes > 1 {
        return Some(
            YARNS.iter().cycle().skip(stretch % YARNS.len()).take(takes).fold(NewNode::new("yarns"), |n, y| n.text(y)),
        );
    }
    let stripe =
        |(i, name): (u32, &&str)| NewNode::new("yarn").text(name).pair("rows", 1 + (s.stripes * (i + 1) - 1) % 9);
    (s.stripes > 0 && stretch > 0).then(|| {
        if s.stripes % 7 == 3 {
            // By weight, as its swatch says, and what is left.
            let of = |name: &str| NewNode::new("yarn").text(name);
            let first = of(YARNS[0]).pair("grams", 3 + s.stripes);
            return NewNode::new("stripes").with_all([first, of(YARNS[1]).pair("grams", 5), of(YARNS[2])]);
        }
        let node = NewNode::new("stripes");
        let node = if s.stripes % 5 < 3 && may_fetch(s, stretch) { node.pair("free-pass", "yes") } else { node };
        node.with_all((0..).zip(&YARNS[..if s.stripes.is_multiple_of(2) { 3 } else { 2 }]).map(stripe))
    })
}

/// Whether free passes may fetch yarns: none of the passes of its fabric goes one way only.
fn may_fetch(s: &Seed, stretch: usize) -> bool {
    // Stitches are cast off where the carriage is.
    let by_side = stretch + 1 == s.fabrics.len() && s.shaping >= 7;
    !by_side && find(FABRICS[s.fabrics[stretch]]).is_some_and(|f| !f.one_way())
}

/// A plausible swatch.
fn swatch(fabric: &str) -> NewNode {
    let (wide, long, grams) = usual(fabric);
    let one = |v: f64| format!("{v:.1}");
    NewNode::new("swatch").text(fabric).with_all([
        NewNode::new("yarn").text("y"),
        NewNode::new("stitch-size").number(3).number(3),
        NewNode::new("counted").pair("needles", 40).pair("passes", 60),
        NewNode::new("flat").unit("cm", one(wide)).unit("cm", one(long)),
        NewNode::new("weighed").unit("g", one(grams)).pair("needles", 60).pair("passes", 90),
        NewNode::new("state").text("washed"),
    ])
}
