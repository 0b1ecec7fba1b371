//! Document text to a tree with spans. It never fails: what cannot be read is told and left out.

use kdl::{KdlDocument, KdlEntry, KdlNode, KdlValue};

use crate::notice::{Notice, Notices, Span};

/// Largest document read, in bytes.
pub const LARGEST: usize = 1_000_000;
/// Deepest nesting read.
const DEEPEST: usize = 32;

/// A value as written.
#[derive(Debug, Clone, PartialEq)]
pub enum Written {
    /// Text.
    Text(String),
    /// A number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// Nothing.
    Nothing,
}

/// A value, the unit before it, and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// What is written.
    pub written: Written,
    /// The unit in round brackets, if any.
    pub unit: Option<String>,
    /// Where.
    pub span: Span,
}

/// A named value.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// The name.
    pub name: String,
    /// The value.
    pub value: Value,
}

/// A node of the document.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Its first word.
    pub name: String,
    /// Where that word stands.
    pub span: Span,
    /// Values in order.
    pub arguments: Vec<Value>,
    /// Named values in order.
    pub properties: Vec<Property>,
    /// What stands between its braces.
    pub children: Vec<Node>,
}

/// A document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// The nodes at the top.
    pub nodes: Vec<Node>,
    /// Whether some node could not be read, so that a name not found may stand in it.
    pub has_holes: bool,
}

/// Reads a document.
pub fn read(source: &str, notices: &mut Notices) -> Tree {
    if source.len() > LARGEST {
        notices.push(
            Notice::error(Span { start: 0, len: 0 }, "This file is too long to be a design.")
                .because(format!("It has {} bytes; the longest that is read has {LARGEST}.", source.len()))
                .hint("Check that you named the right file."),
        );
        return Tree { nodes: Vec::new(), has_holes: true };
    }
    let outline = outline(source);
    if let Some(at) = outline.too_deep {
        notices.push(
            Notice::error(Span { start: at, len: 1 }, "Braces are nested too deep here.")
                .because(format!("A design is never nested deeper than {DEEPEST}."))
                .hint("Look for a missing } above this line."),
        );
        return Tree { nodes: Vec::new(), has_holes: true };
    }
    let mut text = source.to_string();
    let mut has_holes = false;
    // Each round blanks the top-level nodes that hold a syntax fault and reads the rest again.
    for _ in 0..=outline.nodes.len() {
        match KdlDocument::parse_v2(&text) {
            Ok(document) => {
                return Tree { nodes: document.nodes().iter().map(node).collect(), has_holes };
            }
            Err(error) => {
                has_holes = true;
                let before = text.clone();
                for diagnostic in &error.diagnostics {
                    let label = diagnostic.label.as_deref().unwrap_or_default();
                    let message = diagnostic.message.as_deref().unwrap_or_default();
                    let found = Span { start: diagnostic.span.offset(), len: diagnostic.span.len() };
                    let span = repair(source, found, message, label);
                    notices.push(syntax(source, span, message, diagnostic.help.as_deref()));
                    blank(&mut text, &outline.nodes, span);
                }
                if text == before {
                    break;
                }
            }
        }
    }
    Tree { nodes: Vec::new(), has_holes: true }
}

fn node(n: &KdlNode) -> Node {
    let span = n.name().span();
    let (mut arguments, mut properties) = (Vec::new(), Vec::new());
    for entry in n.entries() {
        match entry.name() {
            Some(name) => properties.push(Property { name: name.value().to_string(), value: value(entry) }),
            None => arguments.push(value(entry)),
        }
    }
    Node {
        name: n.name().value().to_string(),
        span: Span { start: span.offset(), len: span.len() },
        arguments,
        properties,
        children: n.children().map(|d| d.nodes().iter().map(node).collect()).unwrap_or_default(),
    }
}

fn value(entry: &KdlEntry) -> Value {
    let span = entry.span();
    let written = match entry.value() {
        KdlValue::String(s) => Written::Text(s.clone()),
        #[allow(clippy::cast_precision_loss, reason = "figures of a design are small")]
        KdlValue::Integer(i) => Written::Number(*i as f64),
        KdlValue::Float(f) => Written::Number(*f),
        KdlValue::Bool(b) => Written::Flag(*b),
        KdlValue::Null => Written::Nothing,
    };
    let unit = entry.ty().map(|t| t.value().to_string());
    Value { written, unit, span: Span { start: span.offset(), len: span.len() } }
}

/// The parser spans a bad property value from the start of the document; moves the start to the value itself.
fn repair(source: &str, found: Span, message: &str, label: &str) -> Span {
    let end = (found.start + found.len).min(source.len());
    let is_property = message.contains("property value") || label.contains("property value");
    let start = if is_property {
        source.get(..end).and_then(|s| s.rfind('=')).map_or(found.start, |i| i + 1)
    } else {
        found.start.min(source.len())
    };
    let stop = |c: char| c.is_whitespace() || matches!(c, ';' | '{' | '}');
    let end =
        if is_property { source.get(end..).and_then(|s| s.find(stop)).map_or(source.len(), |i| end + i) } else { end };
    // A span that runs over lines is cut at the first line's end.
    let text = source.get(start..end).unwrap_or_default();
    let lead = text.len() - text.trim_start().len();
    let first = text.trim_start().lines().next().unwrap_or_default();
    Span { start: start + lead, len: first.trim_end().len().max(1) }
}

fn syntax(source: &str, span: Span, message: &str, help: Option<&str>) -> Notice {
    let word = source.get(span.start..span.start + span.len).unwrap_or_default().trim();
    let after_number = word.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '='));
    let unit_behind = word.starts_with(|c: char| c.is_ascii_digit() || c == '-') && !after_number.is_empty();
    let notice = Notice::error(span, format!("This cannot be read: {}", if word.is_empty() { "here" } else { word }));
    if unit_behind && after_number.chars().all(|c| c.is_alphabetic() || c == '"' || c == '%') {
        let number = &word[..word.len() - after_number.len()];
        let unit = match after_number {
            "\"" => "in",
            "%" => "percent",
            other => other,
        };
        return notice
            .because("A unit stands in round brackets before its number.")
            .hint(format!("Write ({unit}){number}"));
    }
    if matches!(word, "true" | "false" | "null") {
        return notice.because("Yes and no are written with a #.").hint(format!("Write #{word}"));
    }
    let mut notice = notice.because(match message {
        m if m.contains("Expected end of document") => {
            "A bracket, brace or quotation mark near here is not closed, or one too many is.".to_string()
        }
        "" => "The punctuation of the document is broken here.".to_string(),
        m => format!("The reader of the document language says: {m}."),
    });
    if let Some(help) = help {
        notice = notice.hint(help.to_string());
    }
    notice.hint("Text stands in \"quotation marks\", a unit in (brackets) before its number, and what belongs to a node between { and }.")
}

fn blank(text: &mut String, nodes: &[(usize, usize)], span: Span) {
    let hit = nodes.iter().find(|(a, b)| span.start >= *a && span.start < *b);
    let Some(&(a, b)) = hit else { return };
    if let Some(part) = text.get(a..b) {
        let spaces: String = part.bytes().map(|c| if c == b'\n' { '\n' } else { ' ' }).collect();
        text.replace_range(a..b, &spaces);
    }
}

struct Outline {
    nodes: Vec<(usize, usize)>,
    too_deep: Option<usize>,
}

/// Where the top-level nodes begin and end, by braces and quotation marks alone.
fn outline(source: &str) -> Outline {
    let bytes = source.as_bytes();
    let (mut depth, mut i, mut start) = (0_usize, 0, None);
    let mut nodes = Vec::new();
    let mut too_deep = None;
    while let Some(&c) = bytes.get(i) {
        match c {
            b'/' if bytes.get(i + 1) == Some(&b'/') => {
                i += bytes[i..].iter().position(|b| *b == b'\n').unwrap_or(bytes.len() - i);
                continue;
            }
            b'"' => {
                start.get_or_insert(i);
                i += 1;
                while let Some(&q) = bytes.get(i) {
                    match q {
                        b'\\' => i += 1,
                        b'"' | b'\n' => break,
                        _ => {}
                    }
                    i += 1;
                }
            }
            b'{' => {
                start.get_or_insert(i);
                depth += 1;
                if depth > DEEPEST {
                    too_deep.get_or_insert(i);
                }
            }
            b'}' => {
                depth = depth.saturating_sub(1);
                start.get_or_insert(i);
            }
            b'\n' | b';' if depth == 0 => {
                if let Some(s) = start.take() {
                    nodes.push((s, i));
                }
            }
            c if c.is_ascii_whitespace() => {}
            _ => {
                start.get_or_insert(i);
            }
        }
        i += 1;
    }
    if let Some(s) = start {
        nodes.push((s, bytes.len()));
    }
    Outline { nodes, too_deep }
}
