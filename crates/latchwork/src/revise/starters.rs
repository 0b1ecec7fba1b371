//! Starters: designs to begin from, each a document without machine, yarn and swatches, which are put in for a machine class.

use std::collections::BTreeSet;

use crate::design::NewSwatch;
use crate::fabric::{self, Fabric};
use crate::measure::{BuiltIn, expectations};
use crate::notice::{Notices, Replace, mended};
use crate::text::{NewNode, Node, Written, quoted, read};
use crate::units::{Mm, Tex};

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

/// Needles and passes of the swatches that are put in, between their marks.
const COUNTED: (u32, u32) = (40, 60);

impl Starter {
    /// The starter of this name.
    #[must_use]
    pub fn find(name: &str) -> Option<&'static Starter> {
        STARTERS.iter().find(|s| s.name == name)
    }

    /// The text after a word of its head, such as its title; empty where it has none.
    #[must_use]
    pub fn head(&self, word: &str) -> String {
        let tree = read(self.text, &mut Notices::default());
        let text = |n: &Node| match n.arguments.first().map(|v| &v.written) {
            Some(Written::Text(t)) => Some(t.clone()),
            _ => None,
        };
        tree.nodes.iter().find(|n| n.name == word).and_then(text).unwrap_or_default()
    }

    /// The fabrics that it names, in order of the alphabet.
    fn fabrics(&self) -> Vec<&'static Fabric> {
        fn named<'a>(nodes: &'a [Node], all: &mut BTreeSet<&'a str>) {
            for n in nodes {
                if let ("fabric" | "panel", Some(Written::Text(t))) =
                    (n.name.as_str(), n.arguments.first().map(|v| &v.written))
                {
                    all.insert(t);
                }
                named(&n.children, all);
            }
        }
        let tree = read(self.text, &mut Notices::default());
        let mut all = BTreeSet::new();
        named(&tree.nodes, &mut all);
        all.into_iter().filter_map(|name| fabric::find(name).map(|f| &**f)).collect()
    }

    /// The design that it begins on a machine of this class, under a title, in a yarn that suits the machine and with gauges reckoned
    /// from published constants; for one person, where measures are given, each with its length as written.
    #[must_use]
    pub fn begun(&self, title: &str, class: &BuiltIn, person: &[(String, String)]) -> String {
        let node = NewNode::new;
        let (yarn, tex) = ("my yarn", Tex(f64::from(class.tex)));
        let yarn = node("yarn")
            .text(yarn)
            .with(node("count").unit("tex", class.tex))
            .with(node("fibre").text("wool"))
            .with(node("ball").unit("g", 50));
        let swatches = self.fabrics().into_iter().filter_map(|f| swatch(f, tex, Mm(class.pitch)));
        let machine = node("machine").text(class.name);
        let head = format!(
            "\n// fine (3.6 mm), standard (4.5), mid (6.5) or bulky (9).\n{machine}\n\n\
             // The textbook's yarn for this machine. Put in what the label of yours says.\n{yarn}\n\n\
             // Gauges reckoned from published constants, not knitted. Knit a swatch of each, and put its figures here.\n{}\n",
            swatches.collect::<String>()
        );
        let text = match person {
            [] => self.text.to_string(),
            _ => self.for_one(person),
        };
        // Machine, yarn and swatches stand after the head of the document, before its sizes.
        let at = text.find("\nsizes").map_or(text.len(), |i| i + 1);
        let (about, rest) = text.split_at(at);
        let own = format!("title {}", quoted(&self.head("title")));
        let about = about.replacen(&own, &format!("title {}", quoted(title)), 1);
        format!("{about}{head}\n{rest}")
    }

    /// Its document with one size of these measures.
    fn for_one(&self, person: &[(String, String)]) -> String {
        let measures: String = person.iter().map(|(name, length)| format!("{name} {length}; ")).collect();
        let sizes = format!("sizes {{\n    size \"mine\" {{ {measures}}}\n}}");
        let tree = read(self.text, &mut Notices::default());
        let put = |n: &Node| Replace { span: n.whole, text: sizes.clone() };
        let changes: Vec<Replace> = tree.nodes.iter().filter(|n| n.name == "sizes").map(put).collect();
        mended(self.text, &changes)
    }
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
