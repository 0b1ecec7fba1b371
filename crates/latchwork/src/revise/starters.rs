//! Starters: designs to begin from, each a document without machine, yarn and swatches, which are put in for a machine class.

use std::collections::BTreeSet;

use super::{NotRevised, Revision, revised};
use crate::check::prove;
use crate::design::{Design, NewSwatch, from_text};
use crate::fabric::{self, Fabric};
use crate::measure::{BuiltIn, expectations};
use crate::notice::{Level, Notice, Notices, Replace, mended, nearest};
use crate::text::{NewNode, Node, Value, Written, quoted, read};
use crate::units::{Language, Mm, Tex};

/// A design to begin from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Starter {
    /// Its name.
    pub name: &'static str,
    /// Its document, without machine, yarn and swatches.
    pub text: &'static str,
}

/// All starters, by name.
pub const STARTERS: &[Starter] = include!(concat!(env!("OUT_DIR"), "/starters.rs"));

/// Counts of yarn that a starter takes, in tex: those of home machines, and well beyond (common practice, no source).
pub const COUNTS: std::ops::RangeInclusive<f64> = 20.0..=3000.0;

/// What is asked of a starter.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked<'a> {
    /// The title; that of the starter where none is given.
    pub title: Option<String>,
    /// The machine.
    pub class: &'a BuiltIn,
    /// What is chosen of what the starter leaves open: a choice and its value.
    pub chosen: &'a [(String, String)],
    /// Measures of one person, each with its length as a document writes it; none for the sizes of its table.
    pub person: &'a [(String, Mm)],
    /// Only these sizes; none for all.
    pub sizes: &'a [String],
    /// The count of the yarn; that of the textbook for the machine where none is given.
    pub tex: Option<Tex>,
}

impl<'a> Asked<'a> {
    /// A starter as it is, on a machine of this class.
    #[must_use]
    pub fn of(class: &'a BuiltIn) -> Asked<'a> {
        Asked { title: None, class, chosen: &[], person: &[], sizes: &[], tex: None }
    }
}

/// A design that a starter began.
#[derive(Debug, Clone, PartialEq)]
pub struct Begun {
    /// Its document.
    pub text: String,
    /// The sizes that it leaves out, as they do not knit on this machine, with the first reason.
    pub left_out: Option<LeftOut>,
}

/// Sizes left out.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Their names.
    pub sizes: Vec<String>,
    /// Why the first of them does not knit.
    pub why: Notice,
}

/// Why nothing was begun.
#[derive(Debug, Clone, PartialEq)]
pub enum NotBegun {
    /// No such choice, or nothing of that name to choose.
    NoChoice {
        /// The choice.
        name: String,
        /// What is known: the choices, or what this one is chosen among.
        known: Vec<String>,
    },
    /// The starter is not drafted from this measure.
    NoMeasure {
        /// The measure.
        name: String,
        /// One that it may have been.
        near: Option<String>,
        /// Those that it is drafted from.
        known: Vec<String>,
    },
    /// No such size.
    NotASize {
        /// What was asked for.
        name: String,
        /// The sizes.
        known: Vec<String>,
    },
    /// No size of it knits on this machine.
    NoSize(Box<Notice>),
    /// It is no design.
    Faulty(Vec<Notice>),
}

/// Needles and passes of the swatches that are put in, between their marks.
const COUNTED: (u32, u32) = (40, 60);

fn text_of(v: Option<&Value>) -> Option<&str> {
    match &v?.written {
        Written::Text(t) => Some(t),
        _ => None,
    }
}

fn named<'a>(nodes: &'a [Node], word: &str) -> impl Iterator<Item = &'a Node> {
    let word = word.to_string();
    nodes.iter().filter(move |n| n.name == word)
}

/// The texts of a node from one on.
fn texts(n: &Node, from: usize) -> impl Iterator<Item = &str> {
    n.arguments.iter().skip(from).filter_map(|v| text_of(Some(v)))
}

/// What a choice is chosen among.
fn among(choice: &Node) -> Vec<&str> {
    named(&choice.children, "among").flat_map(|a| texts(a, 0)).collect()
}

impl Starter {
    /// The starter of this name.
    #[must_use]
    pub fn find(name: &str) -> Option<&'static Starter> {
        STARTERS.iter().find(|s| s.name == name)
    }

    fn nodes(&self) -> Vec<Node> {
        read(self.text, &mut Notices::default()).nodes
    }

    /// The text after a word of its head, such as its title; empty where it has none.
    #[must_use]
    pub fn head(&self, word: &str) -> String {
        let nodes = self.nodes();
        named(&nodes, word).next().and_then(|n| text_of(n.arguments.first())).unwrap_or_default().to_string()
    }

    /// What it leaves open: each choice with what it is chosen among, the usual first.
    #[must_use]
    pub fn choices(&self) -> Vec<(String, Vec<String>)> {
        let nodes = self.nodes();
        let of = |n: &Node| {
            let among = among(n).into_iter().map(str::to_string).collect();
            Some((text_of(n.arguments.first())?.to_string(), among))
        };
        named(&nodes, "choose").filter_map(of).collect()
    }

    /// The fabrics that it names, chosen or not, in order of the alphabet.
    fn fabrics(&self) -> Vec<&'static Fabric> {
        fn all<'a>(nodes: &'a [Node], found: &mut BTreeSet<&'a str>) {
            for n in nodes {
                match n.name.as_str() {
                    "fabric" | "panel" => found.extend(text_of(n.arguments.first())),
                    "choose" => found.extend(among(n)),
                    _ => {}
                }
                all(&n.children, found);
            }
        }
        let nodes = self.nodes();
        let mut found = BTreeSet::new();
        all(&nodes, &mut found);
        found.into_iter().filter_map(|name| fabric::find(name).map(|f| &**f)).collect()
    }

    /// The design that it begins, in a yarn that suits the machine and with gauges reckoned from published constants; with the sizes that
    /// knit on the machine, or for one person.
    ///
    /// # Errors
    /// When something asked for is not known, or no size knits on the machine.
    pub fn begun(&self, asked: &Asked<'_>) -> Result<Begun, NotBegun> {
        let text = self.chosen(asked)?;
        let text = self.with_head(&text, asked);
        if !asked.person.is_empty() {
            let text = for_one(&text, asked.person)?;
            return match tried(&text)? {
                Tried { kept, why: Some(why), .. } if kept.is_empty() => Err(NotBegun::NoSize(Box::new(why))),
                _ => Ok(Begun { text, left_out: None }),
            };
        }
        those_that_knit(&text, asked.sizes)
    }

    /// The design as it is drafted on a machine of this class, whether its sizes knit there or not; to be drawn.
    #[must_use]
    pub fn drafted(&self, class: &BuiltIn) -> Option<Design> {
        self.drafted_with(class, &[])
    }

    /// The same with what is chosen.
    #[must_use]
    pub fn drafted_with(&self, class: &BuiltIn, chosen: &[(String, String)]) -> Option<Design> {
        let asked = Asked { chosen, ..Asked::of(class) };
        let text = self.chosen(&asked).ok()?;
        from_text(&self.with_head(&text, &asked)).0
    }

    /// Its document with what is chosen.
    fn chosen(&self, asked: &Asked<'_>) -> Result<String, NotBegun> {
        let choices = self.choices();
        let mut text = self.text.to_string();
        for (name, value) in asked.chosen {
            let Some((_, among)) = choices.iter().find(|c| c.0 == *name) else {
                let known = choices.iter().map(|c| c.0.clone()).collect();
                return Err(NotBegun::NoChoice { name: name.clone(), known });
            };
            if !among.contains(value) {
                return Err(NotBegun::NoChoice { name: value.clone(), known: among.clone() });
            }
            let choose = Revision::Choose { name: name.clone(), value: value.clone() };
            text = revised(&text, &choose).unwrap_or_else(|_: NotRevised| text.clone());
        }
        Ok(text)
    }

    /// Machine, yarn and swatches after the head of the document, before its sizes.
    fn with_head(&self, text: &str, asked: &Asked<'_>) -> String {
        let node = NewNode::new;
        let class = asked.class;
        let yarn = node("yarn")
            .text("my yarn")
            .with(node("count").unit("tex", asked.tex.map_or(f64::from(class.tex), |t| t.0)))
            .with(node("fibre").text("wool"))
            .with(node("ball").unit("g", 50));
        let tex = asked.tex.unwrap_or(Tex(f64::from(class.tex)));
        let swatches: String = self.fabrics().into_iter().filter_map(|f| swatch(f, tex, Mm(class.pitch))).collect();
        let machine = node("machine").text(class.name);
        let head = format!(
            "// fine (3.6 mm), standard (4.5), mid (6.5) or bulky (9).\n{machine}\n\n\
             // The textbook's yarn for this machine. Put in what the label of yours says.\n{yarn}\n\n\
             // Gauges reckoned from published constants, not knitted. Knit a swatch of each, and put its figures here.\n{swatches}"
        );
        let at = text.find("\nsizes").map_or(text.len(), |i| i + 1);
        let (about, rest) = text.split_at(at);
        let title = asked.title.clone().unwrap_or_else(|| self.head("title"));
        let about =
            about.replacen(&format!("title {}", quoted(&self.head("title"))), &format!("title {}", quoted(&title)), 1);
        format!("{about}{head}\n{rest}")
    }
}

/// Which sizes of a document knit, by name, and why the first of the others does not.
struct Tried {
    kept: Vec<String>,
    left_out: Vec<String>,
    why: Option<Notice>,
}

impl Tried {
    /// Only these of the sizes that knit; all of them where none are named.
    fn only(mut self, sizes: &[String]) -> Tried {
        if !sizes.is_empty() {
            let (kept, others) = self.kept.into_iter().partition(|k| sizes.contains(k));
            self.kept = kept;
            self.left_out.extend::<Vec<String>>(others);
        }
        self
    }
}

fn tried(text: &str) -> Result<Tried, NotBegun> {
    let (design, notices) = from_text(text);
    let design = design.ok_or(NotBegun::Faulty(notices.0))?;
    let mut kept: Vec<usize> = (0..design.sizes.len()).collect();
    let mut why = None;
    // Sizes that do not knit are taken out until the rest is proven together.
    while !kept.is_empty() {
        let outcome = prove(&design, &kept);
        if outcome.proven.is_some() {
            break;
        }
        let errors = || outcome.notices.iter().filter(|n| n.1.level == Level::Error);
        why = why.or_else(|| errors().next().map(|n| n.1.clone()));
        let failed: BTreeSet<usize> = errors().filter_map(|n| n.0).collect();
        match failed.is_empty() {
            true => kept.clear(),
            false => kept.retain(|k| !failed.contains(k)),
        }
    }
    let name = |k: usize| design.sizes[k].name.clone();
    let left_out = (0..design.sizes.len()).filter(|k| !kept.contains(k)).map(name).collect();
    Ok(Tried { kept: kept.into_iter().map(name).collect(), left_out, why })
}

/// The document with the sizes that knit, whatever is chosen for whom it is.
fn those_that_knit(text: &str, asked: &[String]) -> Result<Begun, NotBegun> {
    let all = tried(text)?;
    let known = || all.kept.iter().chain(&all.left_out);
    if let Some(name) = asked.iter().find(|s| !known().any(|k| k == *s)) {
        return Err(NotBegun::NotASize { name: name.clone(), known: known().cloned().collect() });
    }
    // Those that do not knit, not those that nobody asked for.
    let told = all.left_out.iter().filter(|s| asked.is_empty() || asked.contains(s)).cloned().collect::<Vec<_>>();
    let now = all.only(asked);
    if let (true, Some(why)) = (now.kept.is_empty(), &now.why) {
        return Err(NotBegun::NoSize(Box::new(why.clone())));
    }
    let nodes = read(text, &mut Notices::default()).nodes;
    let Some(sizes) = named(&nodes, "sizes").next() else {
        return Ok(Begun { text: text.to_string(), left_out: None });
    };
    let mut changes = Vec::new();
    if let Some((table, choice)) = named(&sizes.children, "table").find_map(|t| Some((t, chosen_by(t)?))) {
        // For each group of people their own sizes.
        let mut groups = String::new();
        for value in named(&nodes, "choose").filter(|n| text_of(n.arguments.first()) == Some(choice)).flat_map(among) {
            let other = Revision::Choose { name: choice.to_string(), value: value.to_string() };
            let found = tried(&revised(text, &other).unwrap_or_else(|_| text.to_string()))?;
            let found = if holds(&nodes, choice, value) { found.only(asked) } else { found };
            groups.push_str(&format!(
                "when {} {} {{ {}; }}\n    ",
                quoted(choice),
                quoted(value),
                sizes_of(value, &found)
            ));
        }
        changes.push(Replace { span: table.whole, text: groups.trim_end().to_string() });
    } else {
        for n in &sizes.children {
            let (within, value) = match n.name.as_str() {
                "when" => (n.children.as_slice(), texts(n, 1).next()),
                _ => (std::slice::from_ref(n), None),
            };
            let found = match (value, text_of(n.arguments.first())) {
                (Some(value), Some(choice)) if n.name == "when" => {
                    let other = Revision::Choose { name: choice.to_string(), value: value.to_string() };
                    let found = tried(&revised(text, &other).unwrap_or_else(|_| text.to_string()))?;
                    if holds(&nodes, choice, value) { found.only(asked) } else { found }
                }
                _ => Tried { kept: now.kept.clone(), left_out: now.left_out.clone(), why: None },
            };
            for own in within {
                match (own.name.as_str(), text_of(own.arguments.first())) {
                    ("table", Some(table)) if !found.left_out.is_empty() => {
                        changes.push(Replace { span: own.whole, text: sizes_of(table, &found) });
                    }
                    ("size", Some(size)) if found.left_out.iter().any(|s| s == size) => {
                        changes.push(Replace { span: own.whole, text: String::new() });
                    }
                    _ => {}
                }
            }
        }
    }
    let left_out = now.why.filter(|_| !told.is_empty()).map(|why| LeftOut { sizes: told, why });
    let mut text = mended(text, &changes);
    if let Some(LeftOut { sizes, why }) = &left_out {
        let told = why.told(Language::English);
        let note = format!("// Left out for this machine: {}. {}\n", sizes.join(", "), told.message);
        let at = text.find("\nsizes").map_or(0, |i| i + 1);
        text.insert_str(at, &note);
    }
    Ok(Begun { text, left_out })
}

/// Whether this is what is chosen now.
fn holds(nodes: &[Node], choice: &str, value: &str) -> bool {
    let of = |n: &Node, k: usize| text_of(n.arguments.get(k)).map(str::to_string);
    named(nodes, "choose").any(|n| of(n, 0).as_deref() == Some(choice) && of(n, 1).as_deref() == Some(value))
}

/// The choice that a table's name is taken from.
fn chosen_by(table: &Node) -> Option<&str> {
    let first = table.arguments.first().filter(|v| v.unit.is_some());
    text_of(first)
}

/// A table with the sizes that knit; all of them where none or all do.
fn sizes_of(table: &str, found: &Tried) -> String {
    let kept = if found.left_out.is_empty() { &[] } else { found.kept.as_slice() };
    let node = kept.iter().fold(NewNode::new("table").text(table), |n, size| n.text(size));
    node.to_string().trim_end().to_string()
}

/// The document with one size of these measures; what else its table has is taken from there, for a person of the first of them.
fn for_one(text: &str, person: &[(String, Mm)]) -> Result<String, NotBegun> {
    let (design, notices) = from_text(text);
    let design = design.ok_or(NotBegun::Faulty(notices.0))?;
    let known: Vec<String> =
        design.sizes.first().map_or(Vec::new(), |s| s.measures.iter().map(|m| m.0.clone()).collect());
    if let Some((name, _)) = person.iter().find(|(name, _)| !known.contains(name)) {
        let near = nearest(name, known.iter().map(String::as_str)).map(str::to_string);
        return Err(NotBegun::NoMeasure { name: name.clone(), near, known });
    }
    let cm = |mm: f64| format!("{:.1}", mm / 10.0);
    let line = |(name, mm): &(String, Mm)| NewNode::new(name).unit("cm", cm(mm.0));
    let own = person.iter().map(line);
    let table: Vec<(f64, &[(String, Mm)])> =
        design.sizes.iter().filter_map(|s| Some((s.measure(&person[0].0)?.0, s.measures.as_slice()))).collect();
    let taken = |name: &String| !person.iter().any(|(own, _)| own == name);
    let others: Vec<(String, Mm)> = known
        .iter()
        .filter(|name| taken(name))
        .filter_map(|name| {
            let of = |row: &(f64, &[(String, Mm)])| row.1.iter().find(|m| m.0 == *name).map(|m| (row.0, m.1.0));
            Some((name.clone(), Mm(between(&table.iter().filter_map(of).collect::<Vec<_>>(), person[0].1.0)?)))
        })
        .collect();
    let node =
        NewNode::new("sizes").with(NewNode::new("size").text("mine").with_all(own.chain(others.iter().map(line))));
    let mut written = node.to_string();
    if let Some((first, _)) = others.first() {
        // What was not measured stands after what was.
        let note = format!("        // From the table, for this {}: measure, and put in your own.\n", person[0].0);
        if let Some(at) = written.find(&format!("        {first} ")) {
            written.insert_str(at, &note);
        }
    }
    let nodes = read(text, &mut Notices::default()).nodes;
    let put = |n: &Node| Replace { span: n.whole, text: written.trim_end().to_string() };
    Ok(mended(text, &named(&nodes, "sizes").map(put).collect::<Vec<_>>()))
}

/// A value between those of a table; beyond it in proportion.
fn between(rows: &[(f64, f64)], at: f64) -> Option<f64> {
    let mut rows = rows.to_vec();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (rows.first()?, rows.last()?);
    if at <= first.0 {
        return Some(first.1 * at / first.0);
    }
    if at >= last.0 {
        return Some(last.1 * at / last.0);
    }
    let k = rows.iter().position(|r| r.0 > at)?;
    let ((a, v), (b, w)) = (rows[k - 1], rows[k]);
    Some(v + (w - v) * (at - a) / (b - a).max(1e-9))
}

/// A swatch reckoned from the constants of a fabric; none where they are not known.
fn swatch(f: &Fabric, tex: Tex, pitch: Mm) -> Option<String> {
    let [_, usual, _] = expectations(f, tex, pitch)?;
    let (needles, passes) = (f64::from(COUNTED.0), f64::from(COUNTED.1));
    let whole = (COUNTED.0 * 3 / 2, COUNTED.1 * 3 / 2);
    let grams = usual.grams(f, tex, f64::from(whole.0), f64::from(whole.1));
    let (one, two) = if f.layout.two_beds() { (12, 12) } else { (18, 18) };
    let swatch = NewSwatch {
        fabric: &f.name,
        dial: (one, two),
        counted: COUNTED,
        flat: (format!("{:.1}", 10.0 * needles / usual.needles), format!("{:.1}", 10.0 * passes / usual.passes)),
        unit: "cm",
        weighed: Some((format!("{grams:.1}"), whole.0.to_string(), whole.1)),
        state: "washed",
        reckoned_from: Some(("published constants of the fabric", None)),
        ..NewSwatch::default()
    };
    Some(format!("{}\n", swatch.node()))
}
