//! A swatch written as a document has it.

use crate::text::NewNode;

/// The figures of a swatch to be written.
#[derive(Debug, Clone, Default)]
pub struct NewSwatch<'a> {
    /// Its fabric.
    pub fabric: &'a str,
    /// Its yarn, if it must be named.
    pub yarn: Option<&'a str>,
    /// Stitch sizes of the main bed and the ribber, in thirds.
    pub dial: (u8, u8),
    /// Needles and passes counted.
    pub counted: (u32, u32),
    /// Its width and length, lying flat, as written.
    pub flat: (String, String),
    /// The unit of both.
    pub unit: &'a str,
    /// Its width when stretched.
    pub stretches: Option<f64>,
    /// Its weight and needles as written, and its passes, of the whole swatch.
    pub weighed: Option<(String, String, u32)>,
    /// Yarn unravelled: its length, `loops` or `tucks`, and how many.
    pub unravelled: Vec<(f64, &'a str, u32)>,
    /// Its state, in the document's word.
    pub state: &'a str,
    /// When it was measured.
    pub date: Option<&'a str>,
    /// What it was scaled from, and the doubt in percent.
    pub reckoned_from: Option<(&'a str, Option<f64>)>,
    /// A note.
    pub note: Option<&'a str>,
}

impl NewSwatch<'_> {
    /// The swatch's node.
    #[must_use]
    pub fn node(&self) -> NewNode {
        let one = |word: &str| NewNode::new(word);
        let (wide, long) = &self.flat;
        let reckoned = self.reckoned_from.map(|(from, doubt)| {
            let node = one("reckoned-from").text(from);
            match doubt {
                Some(percent) => node.pair("doubt", percent),
                None => node,
            }
        });
        let weighed = self.weighed.as_ref();
        one("swatch")
            .text(self.fabric)
            .with_all(self.yarn.map(|y| one("yarn").text(y)))
            .with(one("stitch-size").dial(self.dial.0).dial(self.dial.1))
            .with(one("counted").pair("needles", self.counted.0).pair("passes", self.counted.1))
            .with(one("flat").unit(self.unit, wide).unit(self.unit, long))
            .with_all(self.stretches.map(|mm| one("stretches").unit("mm", format!("{mm:.1}"))))
            .with_all(weighed.map(|(g, n, p)| one("weighed").unit("g", g).pair("needles", n).pair("passes", p)))
            .with_all(
                self.unravelled.iter().map(|(mm, of, n)| one("unravelled").unit("mm", format!("{mm:.1}")).pair(of, n)),
            )
            .with(one("state").text(self.state))
            .with_all(reckoned)
            .with_all(self.date.map(|d| one("date").text(d)))
            .with_all(self.note.map(|n| one("note").text(n)))
    }
}
