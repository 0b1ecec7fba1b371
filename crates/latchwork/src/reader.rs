//! Reading nodes: one way to read a word, a number or a quantity, and to report what is wrong.

use crate::fact::{Fact, Listed, ReaderFact, Rewrite, Subject, WordPlace};
use crate::notice::{Notice, Notices, Span, nearest};
use crate::text::{Node, Value, Written, quoted};
use crate::units::{LENGTH_UNITS, Mm, WEIGHT_UNITS, length_unit, weight_unit};

pub(crate) struct Reader<'a> {
    pub(crate) notices: &'a mut Notices,
    /// Whether part of the document could not be read: a missing name is then no fault.
    pub(crate) has_holes: bool,
    /// Whether it is the head of pass notes, where nothing is required.
    pub(crate) notes: bool,
}

/// Child nodes by name, checked against the words allowed here.
pub(crate) struct Nodes<'a>(pub(crate) &'a [Node]);

impl<'a> Nodes<'a> {
    pub(crate) fn all(&self, name: &str) -> impl Iterator<Item = &'a Node> {
        let name = name.to_string();
        self.0.iter().filter(move |n| n.name == name)
    }

    pub(crate) fn one(&self, name: &str) -> Option<&'a Node> {
        self.all(name).next()
    }
}

/// The words as a fact holds them.
fn kept(words: &[&str]) -> Vec<String> {
    words.iter().map(ToString::to_string).collect()
}

/// The subject of a node's first value.
pub(crate) fn of(node: &Node) -> Subject {
    Subject::Word(node.name.clone())
}

impl Reader<'_> {
    pub(crate) fn error(&mut self, notice: Notice) {
        self.notices.push(notice);
    }

    /// Reports something that the whole document lacks.
    pub(crate) fn missing(&mut self, fact: impl Into<Fact>) {
        if !self.has_holes && !self.notes {
            self.error(Notice::error(Span::default(), fact));
        }
    }

    pub(crate) fn check_children(&mut self, nodes: &[Node], known: &[&str], once: &[&str], place: &WordPlace) {
        for (i, n) in nodes.iter().enumerate() {
            let word = n.name.clone();
            if n.annotated {
                self.error(Notice::error(n.span, ReaderFact::UnitBeforeWord { word: word.clone() }));
            }
            if !known.contains(&n.name.as_str()) {
                let near = nearest(&n.name, known.iter().copied()).map(str::to_string);
                let place = place.clone();
                let no = ReaderFact::NoSuchWord { word: word.clone(), place, near: near.clone(), known: kept(known) };
                let told = Notice::error(n.span, no);
                self.error(match near {
                    Some(to) => told.mend(n.span, to.clone(), Rewrite::Becomes { from: word, to }),
                    None => told,
                });
            } else if once.contains(&n.name.as_str()) && nodes[..i].iter().any(|m| m.name == n.name) {
                self.error(Notice::error(n.span, ReaderFact::WordTwice { word, place: place.clone() }));
            }
        }
    }

    /// Checks a node's shape and returns its children.
    pub(crate) fn shape<'n>(
        &mut self,
        node: &'n Node,
        arguments: usize,
        properties: &[&str],
        children: &[&str],
        many: &[&str],
    ) -> Nodes<'n> {
        let word = || node.name.clone();
        for extra in node.arguments.iter().skip(arguments) {
            self.error(Notice::error(extra.span, ReaderFact::OneTooMany { word: word(), takes: arguments }));
        }
        for (i, p) in node.properties.iter().enumerate() {
            let name = p.name.clone();
            if node.properties[..i].iter().any(|q| q.name == p.name) {
                self.error(Notice::error(p.value.span, ReaderFact::PropertyTwice { name: name.clone() }));
            }
            if !properties.contains(&p.name.as_str()) {
                let near = nearest(&p.name, properties.iter().copied()).map(str::to_string);
                let no = ReaderFact::NoSuchProperty { word: word(), name, near, known: kept(properties) };
                self.error(Notice::error(p.value.span, no));
            }
        }
        let once: Vec<&str> = children.iter().copied().filter(|c| !many.contains(c)).collect();
        self.check_children(&node.children, children, &once, &WordPlace::Inside(word()));
        Nodes(&node.children)
    }

    /// Checks that a node has one value and nothing else.
    pub(crate) fn leaf(&mut self, node: &Node) {
        self.shape(node, 1, &[], &[], &[]);
    }

    /// Reports a unit before something that is not a number.
    fn no_unit(&mut self, value: &Value) {
        if value.unit.is_some() {
            self.error(Notice::error(value.span, ReaderFact::UnitWithoutNumber));
        }
    }

    /// The text of a node's first value.
    pub(crate) fn text(&mut self, node: &Node) -> Option<String> {
        if let Some(v) = node.arguments.first() {
            self.no_unit(v);
        }
        match node.arguments.first().map(|v| &v.written) {
            Some(Written::Text(t)) => Some(t.clone()),
            Some(Written::Number(n)) if n.is_finite() && node.arguments[0].unit.is_none() => Some(n.to_string()),
            _ => {
                self.error(Notice::error(node.span, ReaderFact::WantsText { word: node.name.clone() }));
                None
            }
        }
    }

    /// A whole number within bounds.
    pub(crate) fn whole_value(&mut self, value: &Value, of: Subject, least: u32, most: u32) -> Option<u32> {
        if let (Written::Number(n), None) = (&value.written, &value.unit)
            && n.fract() == 0.0
            && (f64::from(least)..=f64::from(most)).contains(n)
        {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number in u32's range"
            )]
            return Some(*n as u32);
        }
        self.error(Notice::error(value.span, ReaderFact::WantsWhole { of, least, most, written: said(value) }));
        None
    }

    pub(crate) fn whole(&mut self, node: &Node, least: u32, most: u32) -> Option<u32> {
        match node.arguments.first() {
            Some(v) => self.whole_value(v, of(node), least, most),
            None => {
                let fact = ReaderFact::WantsNumber { word: node.name.clone(), example: least };
                self.error(Notice::error(node.span, fact));
                None
            }
        }
    }

    /// A property that is a whole number.
    pub(crate) fn whole_property(&mut self, node: &Node, name: &str, least: u32, most: u32) -> Option<u32> {
        let value = property(node, name)?;
        self.whole_value(value, Subject::property(name), least, most)
    }

    /// A number without a unit, within bounds.
    pub(crate) fn number(&mut self, value: &Value, of: Subject, least: f64, most: f64) -> Option<f64> {
        if let (Written::Number(n), None) = (&value.written, &value.unit)
            && n.is_finite()
            && (least..=most).contains(n)
        {
            return Some(*n);
        }
        self.error(Notice::error(value.span, ReaderFact::WantsPlainNumber { of, least, most, written: said(value) }));
        None
    }

    /// A quantity in one of the units that `scale` knows.
    fn quantity(
        &mut self,
        value: &Value,
        of: Subject,
        scale: impl Fn(&str) -> Option<f64>,
        units: &[&str],
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<f64> {
        let Written::Number(number) = value.written else {
            let fact = ReaderFact::WantsQuantity { of, unit: units[0].to_string(), written: said(value) };
            self.error(Notice::error(value.span, fact));
            return None;
        };
        let Some(unit) = &value.unit else {
            self.error(Notice::error(value.span, ReaderFact::NoUnit { of, unit: units[0].to_string(), number }));
            return None;
        };
        let Some(factor) = scale(unit) else {
            let near = meant(unit).filter(|u| units.contains(u)).map(str::to_string);
            let no = ReaderFact::NotItsUnit { of, unit: unit.clone(), known: kept(units), near, number };
            self.error(Notice::error(value.span, no));
            return None;
        };
        let scaled = number * factor;
        if !scaled.is_finite() || !range.contains(&scaled) {
            let (least, most) = (range.start() / factor, range.end() / factor);
            let fact = ReaderFact::OutOfRange { of, number, unit: unit.clone(), least, most };
            self.error(Notice::error(value.span, fact));
            return None;
        }
        Some(scaled)
    }

    pub(crate) fn length_value(
        &mut self,
        value: &Value,
        of: Subject,
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<Mm> {
        self.quantity(value, of, length_unit, &LENGTH_UNITS, range).map(Mm)
    }

    pub(crate) fn weight_value(&mut self, value: &Value, of: Subject) -> Option<f64> {
        self.quantity(value, of, weight_unit, &WEIGHT_UNITS, 0.01..=100_000.0)
    }

    /// A share in percent.
    pub(crate) fn percent(&mut self, value: &Value, of: Subject, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        self.quantity(value, of, |u| (u == "percent").then_some(1.0), &["percent"], range)
    }

    /// A node whose first value is a length.
    pub(crate) fn length(&mut self, node: &Node, range: std::ops::RangeInclusive<f64>) -> Option<Mm> {
        let value = self.first(node, "(cm)12")?;
        self.length_value(value, of(node), range)
    }

    /// A node whose first value is a weight.
    pub(crate) fn weight(&mut self, node: &Node) -> Option<f64> {
        let value = self.first(node, "(g)50")?;
        self.weight_value(value, of(node))
    }

    pub(crate) fn first<'n>(&mut self, node: &'n Node, example: &str) -> Option<&'n Value> {
        let value = node.arguments.first();
        if value.is_none() {
            let fact = ReaderFact::NoValue { word: node.name.clone(), example: example.to_string() };
            self.error(Notice::error(node.span, fact));
        }
        value
    }

    /// A word from a list.
    pub(crate) fn word<T: Copy>(&mut self, value: &Value, of: Subject, words: &[(&str, T)]) -> Option<T> {
        self.no_unit(value);
        let text = match &value.written {
            Written::Text(t) => t.clone(),
            _ => said(value),
        };
        if let Some((_, t)) = words.iter().find(|(w, _)| *w == text) {
            return Some(*t);
        }
        let known: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
        let near = nearest(&text, known.iter().copied()).map(str::to_string);
        self.error(Notice::error(value.span, ReaderFact::NotOneOf { of, written: text, known: kept(&known), near }));
        None
    }

    pub(crate) fn one_of<T: Copy>(&mut self, node: &Node, words: &[(&str, T)]) -> Option<T> {
        let example = format!("\"{}\"", words[0].0);
        let value = self.first(node, &example)?;
        self.word(value, of(node), words)
    }

    /// The index of a name among those defined; a missing name is reported.
    pub(crate) fn refer(&mut self, value: &Value, of: Listed, names: &[String]) -> Option<usize> {
        let Written::Text(name) = &value.written else {
            self.error(Notice::error(value.span, ReaderFact::WantsName { of }));
            return None;
        };
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let found = names.iter().position(|n| *n == name);
        if found.is_none() && !self.has_holes {
            let near = nearest(&name, names.iter().map(String::as_str)).map(str::to_string);
            let (from, to) = (quoted(&name), near.as_deref().map(quoted));
            let no = ReaderFact::NoSuchName { of, name, near, known: names.to_vec() };
            let told = Notice::error(value.span, no);
            self.error(match to {
                Some(to) => told.mend(value.span, to.clone(), Rewrite::Becomes { from, to }),
                None => told,
            });
        }
        found
    }

    /// A unique name: reported if empty or already taken.
    pub(crate) fn own_name(&mut self, node: &Node, taken: &[String]) -> Option<String> {
        // Extra white space is not part of a name.
        let name = self.text(node)?.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() || name.chars().count() > 60 {
            self.error(Notice::error(node.span, ReaderFact::WantsShortName { word: node.name.clone() }));
            return None;
        }
        if taken.contains(&name) {
            let fact = ReaderFact::NameTaken { word: node.name.clone(), name };
            self.error(Notice::error(node.arguments[0].span, fact));
            return None;
        }
        Some(name)
    }
}

/// The unit that a longer word means. A wrong guess would give a wrong size: nothing is guessed by likeness.
fn meant(unit: &str) -> Option<&'static str> {
    Some(match unit.to_lowercase().trim_end_matches('s').trim_end_matches("re").trim_end_matches("er") {
        "inch" | "inche" | "\"" | "in." => "in",
        "centimet" | "cm." => "cm",
        "millimet" | "mm." => "mm",
        "met" => "m",
        "yard" => "yd",
        "gram" | "gramme" | "gm" => "g",
        "ounce" => "oz",
        "pound" => "lb",
        "kilo" | "kilogram" => "kg",
        "%" => "percent",
        _ => return None,
    })
}

/// A property's value.
pub(crate) fn property<'n>(node: &'n Node, name: &str) -> Option<&'n Value> {
    node.properties.iter().rev().find(|p| p.name == name).map(|p| &p.value)
}

/// A value as the author wrote it, for messages.
fn said(value: &Value) -> String {
    let unit = value.unit.as_ref().map(|u| format!("({u})")).unwrap_or_default();
    match &value.written {
        Written::Text(t) => format!("{unit}\"{t}\""),
        Written::Number(n) => format!("{unit}{n}"),
        Written::Flag(b) => format!("#{b}"),
        Written::Nothing => "#null".to_string(),
    }
}
