//! The one way to write nodes of a document, with values, quoting and children.

use std::fmt::{Display, Write};

use super::quoted;

/// A node to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewNode {
    line: String,
    within: Vec<NewNode>,
    on_one_line: bool,
    remark: String,
}

impl NewNode {
    /// A node without values.
    #[must_use]
    pub fn new(word: &str) -> NewNode {
        NewNode { line: word.to_string(), within: Vec::new(), on_one_line: false, remark: String::new() }
    }

    fn value(mut self, value: impl Display) -> NewNode {
        // Writing to a String cannot fail.
        let _ = write!(self.line, " {value}");
        self
    }

    /// Adds a text.
    #[must_use]
    pub fn text(self, text: &str) -> NewNode {
        self.value(quoted(text))
    }

    /// Adds a number without a unit.
    #[must_use]
    pub fn number(self, number: impl Display) -> NewNode {
        self.value(number)
    }

    /// Adds a number with its unit.
    #[must_use]
    pub fn unit(self, unit: &str, number: impl Display) -> NewNode {
        let plain = unit.chars().all(|c| c.is_ascii_alphabetic());
        let unit = if plain { unit.to_string() } else { quoted(unit) };
        self.value(format_args!("({unit}){number}"))
    }

    /// Adds a stitch size, in thirds.
    #[must_use]
    pub fn dial(self, thirds: u8) -> NewNode {
        match thirds % 3 {
            0 => self.number(thirds / 3),
            part => self.text(&format!("{} {part}/3", thirds / 3)),
        }
    }

    /// Adds a named number.
    #[must_use]
    pub fn pair(self, name: &str, number: impl Display) -> NewNode {
        self.value(format_args!("{name}={number}"))
    }

    /// Adds a named text.
    #[must_use]
    pub fn text_pair(self, name: &str, text: &str) -> NewNode {
        self.value(format_args!("{name}={}", quoted(text)))
    }

    /// Adds a child.
    #[must_use]
    pub fn with(mut self, node: NewNode) -> NewNode {
        self.within.push(node);
        self
    }

    /// Adds children.
    #[must_use]
    pub fn with_all(mut self, nodes: impl IntoIterator<Item = NewNode>) -> NewNode {
        self.within.extend(nodes);
        self
    }

    /// Puts the children on the same line.
    #[must_use]
    pub fn on_one_line(mut self) -> NewNode {
        self.on_one_line = true;
        self
    }

    /// Adds a comment after the node, for the reader.
    #[must_use]
    pub fn remark(mut self, words: impl Display) -> NewNode {
        self.remark = words.to_string();
        self
    }

    /// Writes the node, without its last line end.
    fn write(&self, out: &mut String, depth: usize) {
        let indent = "    ".repeat(depth);
        out.push_str(&indent);
        out.push_str(&self.line);
        if self.on_one_line && !self.within.is_empty() {
            out.push_str(" {");
            for node in &self.within {
                let _ = write!(out, " {};", node.line);
            }
            out.push_str(" }");
        } else if !self.within.is_empty() {
            out.push_str(" {\n");
            for node in &self.within {
                node.write(out, depth + 1);
                out.push('\n');
            }
            out.push_str(&indent);
            out.push('}');
        }
        if !self.remark.is_empty() {
            let _ = write!(out, " // {}", self.remark);
        }
    }
}

impl Display for NewNode {
    /// The node, without its last line end.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut out = String::new();
        self.write(&mut out, 0);
        f.write_str(&out)
    }
}
