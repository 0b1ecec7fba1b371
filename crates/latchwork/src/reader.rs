//! Reading nodes: one way to ask for a word, a number, a quantity, and to say what was wrong.

use crate::notice::{Notice, Notices, Span, nearest};
use crate::text::{Node, Value, Written, quoted};
use crate::units::{LENGTH_UNITS, Mm, WEIGHT_UNITS, length_unit, weight_unit};

pub(crate) struct Reader<'a> {
    pub(crate) notices: &'a mut Notices,
    /// Part of the document could not be read, so a missing name is no fault.
    pub(crate) has_holes: bool,
    /// The head of notes, where nothing must stand.
    pub(crate) notes: bool,
}

/// Child nodes by name, checked against what may stand here.
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

fn listed(words: &[&str]) -> String {
    words.join(", ")
}

impl Reader<'_> {
    pub(crate) fn error(&mut self, notice: Notice) {
        self.notices.push(notice);
    }

    /// Something the whole document lacks.
    pub(crate) fn missing(&mut self, message: &str, hint: &str) {
        if !self.has_holes && !self.notes {
            self.error(Notice::error(Span::default(), message).hint(hint));
        }
    }

    pub(crate) fn check_children(&mut self, nodes: &[Node], known: &[&str], once: &[&str], place: &str) {
        for (i, n) in nodes.iter().enumerate() {
            if n.annotated {
                self.error(
                    Notice::error(n.span, format!("A unit stands before \"{}\", which is a word.", n.name))
                        .hint("Write the unit before the number."),
                );
            }
            if !known.contains(&n.name.as_str()) {
                let mut e = Notice::error(n.span, format!("\"{}\" is not a word that stands in {place}.", n.name));
                e = match nearest(&n.name, known.iter().copied()) {
                    Some(near) => {
                        e.hint(format!("Did you mean {near}?")).mend(n.span, near, format!("{} becomes {near}", n.name))
                    }
                    None => e.hint(format!("What may stand here: {}.", listed(known))),
                };
                self.error(e);
            } else if once.contains(&n.name.as_str()) && nodes[..i].iter().any(|m| m.name == n.name) {
                self.error(
                    Notice::error(n.span, format!("\"{}\" stands twice in {place}.", n.name))
                        .hint("Keep one of the two."),
                );
            }
        }
    }

    /// Checks a node's shape and gives its children.
    pub(crate) fn shape<'n>(
        &mut self,
        node: &'n Node,
        arguments: usize,
        properties: &[&str],
        children: &[&str],
        many: &[&str],
    ) -> Nodes<'n> {
        for extra in node.arguments.iter().skip(arguments) {
            self.error(
                Notice::error(
                    extra.span,
                    format!("\"{}\" takes {arguments} values, and this is one too many.", node.name),
                )
                .hint("Take it out, or give it its name."),
            );
        }
        for (i, p) in node.properties.iter().enumerate() {
            if node.properties[..i].iter().any(|q| q.name == p.name) {
                self.error(
                    Notice::error(p.value.span, format!("{}= stands twice.", p.name)).hint("Keep one of the two."),
                );
            }
            if !properties.contains(&p.name.as_str()) {
                let mut e =
                    Notice::error(p.value.span, format!("\"{}\" has nothing called \"{}\".", node.name, p.name));
                e = match nearest(&p.name, properties.iter().copied()) {
                    Some(near) => e.hint(format!("Did you mean {near}=?")),
                    None if properties.is_empty() => e.hint("It takes no name=value pairs."),
                    None => e.hint(format!("It takes: {}.", listed(properties))),
                };
                self.error(e);
            }
        }
        let once: Vec<&str> = children.iter().copied().filter(|c| !many.contains(c)).collect();
        self.check_children(&node.children, children, &once, &format!("\"{}\"", node.name));
        Nodes(&node.children)
    }

    /// A node with one value and nothing else.
    pub(crate) fn leaf(&mut self, node: &Node) {
        self.shape(node, 1, &[], &[], &[]);
    }

    /// Tells a unit before something that is no number.
    fn no_unit(&mut self, value: &Value) {
        if value.unit.is_some() {
            self.error(Notice::error(value.span, "A unit belongs before a number only.").hint("Take it out."));
        }
    }

    /// The text that is a node's first value.
    pub(crate) fn text(&mut self, node: &Node) -> Option<String> {
        if let Some(v) = node.arguments.first() {
            self.no_unit(v);
        }
        match node.arguments.first().map(|v| &v.written) {
            Some(Written::Text(t)) => Some(t.clone()),
            Some(Written::Number(n)) if n.is_finite() && node.arguments[0].unit.is_none() => Some(n.to_string()),
            _ => {
                self.error(
                    Notice::error(node.span, format!("\"{}\" wants a text.", node.name))
                        .hint(format!("Write {} \"…\"", node.name)),
                );
                None
            }
        }
    }

    /// A whole number within bounds.
    pub(crate) fn whole_value(&mut self, value: &Value, what: &str, least: u32, most: u32) -> Option<u32> {
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
        self.error(
            Notice::error(value.span, format!("{what} wants a whole number from {least} to {most}."))
                .because(format!("This says {}.", said(value))),
        );
        None
    }

    pub(crate) fn whole(&mut self, node: &Node, least: u32, most: u32) -> Option<u32> {
        match node.arguments.first() {
            Some(v) => self.whole_value(v, &format!("\"{}\"", node.name), least, most),
            None => {
                self.error(
                    Notice::error(node.span, format!("\"{}\" wants a number.", node.name))
                        .hint(format!("Write {} {least}", node.name)),
                );
                None
            }
        }
    }

    /// A property that is a whole number.
    pub(crate) fn whole_property(&mut self, node: &Node, name: &str, least: u32, most: u32) -> Option<u32> {
        let value = property(node, name)?;
        self.whole_value(value, &format!("{name}="), least, most)
    }

    /// A number without a unit, within bounds.
    pub(crate) fn number(&mut self, value: &Value, what: &str, least: f64, most: f64) -> Option<f64> {
        if let (Written::Number(n), None) = (&value.written, &value.unit)
            && n.is_finite()
            && (least..=most).contains(n)
        {
            return Some(*n);
        }
        self.error(
            Notice::error(value.span, format!("{what} wants a number from {least} to {most}, without a unit."))
                .because(format!("This says {}.", said(value))),
        );
        None
    }

    /// A quantity in one of the units that `scale` knows.
    fn quantity(
        &mut self,
        value: &Value,
        what: &str,
        scale: impl Fn(&str) -> Option<f64>,
        units: &[&str],
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<f64> {
        let Written::Number(n) = value.written else {
            self.error(
                Notice::error(value.span, format!("{what} wants a number with its unit."))
                    .because(format!("This says {}.", said(value)))
                    .hint(format!("Write ({})12", units[0])),
            );
            return None;
        };
        let Some(unit) = &value.unit else {
            self.error(
                Notice::error(value.span, format!("{what} has no unit."))
                    .because("A number alone could be centimetres or inches, grams or ounces.")
                    .hint(format!("Write ({}){n}", units[0])),
            );
            return None;
        };
        let Some(factor) = scale(unit) else {
            let mut e = Notice::error(value.span, format!("({unit}) is not a unit that {what} can have."))
                .because(format!("It may be one of: {}.", listed(units)));
            e = match meant(unit).filter(|u| units.contains(u)) {
                Some(near) => e.hint(format!("Write ({near}){n}")),
                None => e.hint(format!("Write it in one of these, such as ({})…", units[0])),
            };
            self.error(e);
            return None;
        };
        let scaled = n * factor;
        if !scaled.is_finite() || !range.contains(&scaled) {
            let (least, most) = (range.start() / factor, range.end() / factor);
            self.error(
                Notice::error(value.span, format!("{what} cannot be {n} {unit}."))
                    .because(format!("It lies between {least:.2} and {most:.2} {unit}.")),
            );
            return None;
        }
        Some(scaled)
    }

    pub(crate) fn length_value(
        &mut self,
        value: &Value,
        what: &str,
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<Mm> {
        self.quantity(value, what, length_unit, &LENGTH_UNITS, range).map(Mm)
    }

    pub(crate) fn weight_value(&mut self, value: &Value, what: &str) -> Option<f64> {
        self.quantity(value, what, weight_unit, &WEIGHT_UNITS, 0.01..=100_000.0)
    }

    /// A share in percent.
    pub(crate) fn percent(&mut self, value: &Value, what: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        self.quantity(value, what, |u| (u == "percent").then_some(1.0), &["percent"], range)
    }

    /// A node whose first value is a length.
    pub(crate) fn length(&mut self, node: &Node, range: std::ops::RangeInclusive<f64>) -> Option<Mm> {
        let value = self.first(node, "(cm)12")?;
        self.length_value(value, &format!("\"{}\"", node.name), range)
    }

    /// A node whose first value is a weight.
    pub(crate) fn weight(&mut self, node: &Node) -> Option<f64> {
        let value = self.first(node, "(g)50")?;
        self.weight_value(value, &format!("\"{}\"", node.name))
    }

    pub(crate) fn first<'n>(&mut self, node: &'n Node, example: &str) -> Option<&'n Value> {
        let value = node.arguments.first();
        if value.is_none() {
            self.error(
                Notice::error(node.span, format!("\"{}\" has no value.", node.name))
                    .hint(format!("Write {} {example}", node.name)),
            );
        }
        value
    }

    /// A word out of a list.
    pub(crate) fn word<T: Copy>(&mut self, value: &Value, what: &str, words: &[(&str, T)]) -> Option<T> {
        self.no_unit(value);
        let text = match &value.written {
            Written::Text(t) => t.clone(),
            _ => said(value),
        };
        if let Some((_, t)) = words.iter().find(|(w, _)| *w == text) {
            return Some(*t);
        }
        let known: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
        let mut e = Notice::error(value.span, format!("{what} cannot be \"{text}\"."))
            .because(format!("It is one of: {}.", listed(&known)));
        if let Some(near) = nearest(&text, known) {
            e = e.hint(format!("Write \"{near}\""));
        }
        self.error(e);
        None
    }

    pub(crate) fn one_of<T: Copy>(&mut self, node: &Node, words: &[(&str, T)]) -> Option<T> {
        let example = format!("\"{}\"", words[0].0);
        let value = self.first(node, &example)?;
        self.word(value, &format!("\"{}\"", node.name), words)
    }

    /// The index of a name among those defined, told when it is not there.
    pub(crate) fn refer(&mut self, value: &Value, what: &str, names: &[String]) -> Option<usize> {
        let Written::Text(name) = &value.written else {
            self.error(Notice::error(value.span, format!("{what} is named in quotation marks.")));
            return None;
        };
        let name = &name.split_whitespace().collect::<Vec<_>>().join(" ");
        let found = names.iter().position(|n| n == name);
        if found.is_none() && !self.has_holes {
            let mut e = Notice::error(value.span, format!("There is no {what} called \"{name}\"."));
            e = match nearest(name, names.iter().map(String::as_str)) {
                Some(near) => e.hint(format!("Did you mean \"{near}\"?")).mend(
                    value.span,
                    quoted(near),
                    format!("\"{name}\" becomes \"{near}\""),
                ),
                None if names.is_empty() => e.because(format!("The design has no {what} yet.")),
                None => e.because(format!(
                    "The design has: {}.",
                    names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")
                )),
            };
            self.error(e);
        }
        found
    }

    /// A name of its own: told when it is empty or already taken.
    pub(crate) fn own_name(&mut self, node: &Node, taken: &[String]) -> Option<String> {
        // Spaces at its ends, or several in a row, are no part of a name.
        let name = self.text(node)?.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() || name.chars().count() > 60 {
            self.error(Notice::error(node.span, format!("This \"{}\" needs a short name.", node.name)));
            return None;
        }
        if taken.contains(&name) {
            self.error(
                Notice::error(node.arguments[0].span, format!("There are two of \"{}\" called \"{name}\".", node.name))
                    .hint("Give one of them another name."),
            );
            return None;
        }
        Some(name)
    }
}

/// The unit that a longer word means. A wrong guess here would be a wrong size, so nothing is guessed by likeness.
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
