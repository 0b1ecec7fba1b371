//! Document text to a tree with spans. It never fails: what cannot be read is reported and left out.

mod write;

use std::borrow::Cow;

use kdl::{KdlDocument, KdlEntry, KdlNode, KdlValue};

use crate::fact::{Rewrite, TextFact};
use crate::notice::{Notice, Notices, Span};

pub use write::NewNode;

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

/// A value, the unit before it, and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The value as written.
    pub written: Written,
    /// The unit in round brackets, if any.
    pub unit: Option<String>,
    /// Its place.
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
    /// The place of that word.
    pub span: Span,
    /// The place of the whole node, children included.
    pub whole: Span,
    /// Whether it has a unit before it, where none belongs.
    pub annotated: bool,
    /// Values in order.
    pub arguments: Vec<Value>,
    /// Named values in order.
    pub properties: Vec<Property>,
    /// The nodes between its braces.
    pub children: Vec<Node>,
}

/// A document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// The nodes at the top.
    pub nodes: Vec<Node>,
    /// Whether a node could not be read: it may contain a name not found.
    pub has_holes: bool,
}

/// Most bytes in a line, most lines in a top-level node, and most faults of syntax reported: limits on the parser's
/// recovery, far above any design.
const LONGEST_LINE: usize = 2_000;
const MOST_LINES: usize = 2_000;
const MOST_FAULTS: usize = 60;

/// Reads a document one top-level node at a time: a fault in one hides nothing in another.
pub fn read(source: &str, notices: &mut Notices) -> Tree {
    if let Some(refused) = refused(source) {
        notices.push(refused);
        return Tree { nodes: Vec::new(), has_holes: true };
    }
    let unseen = unseen(source, 0);
    if !unseen.is_empty() {
        notices.0.extend(unseen);
        return Tree { nodes: Vec::new(), has_holes: true };
    }
    let mut tree = Tree::default();
    let mut faults = 0;
    for (start, end) in outline(source) {
        let part = source.get(start..end).unwrap_or_default();
        match KdlDocument::parse_v2(part) {
            Ok(document) => {
                let nodes: Vec<Node> = document.nodes().iter().map(|n| node(n, start)).collect();
                nodes.iter().for_each(|n| escaped(n, notices));
                tree.nodes.extend(nodes);
            }
            Err(error) => {
                tree.has_holes = true;
                if let Some(slip) = slip(part) {
                    let span = slip.span.map(|s| Span { start: s.start + start, len: s.len });
                    notices.push(Notice { span, ..slip });
                    faults += 1;
                    continue;
                }
                // A report of an open brace is an echo of the fault inside it, if there is one.
                let echo = |m: &str| m.contains("No closing '}'") || m.contains("Closing '}' was not found");
                let only = error.diagnostics.iter().all(|d| echo(d.message.as_deref().unwrap_or_default()));
                for diagnostic in
                    error.diagnostics.iter().filter(|d| only || !echo(d.message.as_deref().unwrap_or_default()))
                {
                    faults += 1;
                    if faults > MOST_FAULTS {
                        let more = Notice::error(Span { start, len: 1 }, TextFact::MoreFaults);
                        notices.push(more);
                        return tree;
                    }
                    let label = diagnostic.label.as_deref().unwrap_or_default();
                    let message = diagnostic.message.as_deref().unwrap_or_default();
                    let found = Span { start: diagnostic.span.offset(), len: diagnostic.span.len() };
                    let span = on_letters(part, repair(part, found, message, label));
                    let notice = syntax(part, span, message, diagnostic.help.as_deref());
                    notices.push(Notice { span: Some(Span { start: span.start + start, len: span.len }), ..notice });
                }
            }
        }
    }
    tree
}

/// Input that cannot be a design, refused before it is parsed.
fn refused(source: &str) -> Option<Notice> {
    let no = |start, fact| Some(Notice::error(Span { start, len: usize::from(!source.is_empty()) }, fact));
    if source.len() > LARGEST {
        return no(0, TextFact::TooLong { bytes: source.len(), most: LARGEST });
    }
    let (mut depth, mut comments, mut line) = (0_usize, 0_usize, 0);
    let bytes = source.as_bytes();
    for (i, c) in bytes.iter().enumerate() {
        match c {
            b'\n' => line = i + 1,
            b'{' => depth += 1,
            b'}' => depth = depth.saturating_sub(1),
            b'*' if i > 0 && bytes[i - 1] == b'/' => comments += 1,
            _ => {}
        }
        if depth > DEEPEST {
            return no(i, TextFact::TooDeep { most: DEEPEST });
        }
        if comments > 200 {
            return no(i - 1, TextFact::TooManyComments);
        }
        if i.saturating_sub(line) > LONGEST_LINE {
            return no(line, TextFact::LineTooLong { most: LONGEST_LINE });
        }
    }
    None
}

/// Whether a character is invisible on paper or screen, or reorders its neighbours: controls except line ends and tabs,
/// joiners, direction marks and overrides, tags (Unicode's categories Cc and Cf, and its line separators).
fn is_unseen(c: char) -> bool {
    (c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
        || matches!(c,
            '\u{ad}' | '\u{600}'..='\u{605}' | '\u{61c}' | '\u{6dd}' | '\u{70f}' | '\u{180e}' | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e007f}')
}

/// Most invisible characters reported in one document.
const MOST_UNSEEN: usize = 20;

/// A text for a screen without invisible characters or ones that reorder the screen: each is replaced by characters of
/// as many bytes, which keeps places in the text the same.
#[must_use]
pub fn seen(text: &str) -> Cow<'_, str> {
    if !text.contains(is_unseen) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match (is_unseen(c), c.len_utf8()) {
            (false, _) => out.push(c),
            (true, 3) => out.push('\u{fffd}'),
            (true, n) => out.extend(std::iter::repeat_n('?', n)),
        }
    }
    Cow::Owned(out)
}

/// Every invisible character of a source, with `offset` added to its place. A byte order mark at the very beginning does
/// not count.
pub(crate) fn unseen(source: &str, offset: usize) -> Vec<Notice> {
    let bad = source.char_indices().filter(|(i, c)| is_unseen(*c) && !(i + offset == 0 && *c == '\u{feff}'));
    bad.take(MOST_UNSEEN)
        .map(|(i, c)| {
            let span = Span { start: offset + i, len: c.len_utf8() };
            Notice::error(span, TextFact::Unseen { character: c }).mend(span, "", Rewrite::UnseenDeleted)
        })
        .collect()
}

/// Reports texts in which an escape stands for an invisible character.
fn escaped(n: &Node, notices: &mut Notices) {
    for value in n.arguments.iter().chain(n.properties.iter().map(|p| &p.value)) {
        if let Written::Text(text) = &value.written
            && let Some(character) = text.chars().find(|c| is_unseen(*c))
        {
            notices.push(Notice::error(value.span, TextFact::UnseenEscape { character }));
        }
    }
    n.children.iter().for_each(|n| escaped(n, notices));
}

fn node(n: &KdlNode, offset: usize) -> Node {
    let span = n.name().span();
    let (mut arguments, mut properties) = (Vec::new(), Vec::new());
    for entry in n.entries() {
        match entry.name() {
            Some(name) => properties.push(Property { name: name.value().to_string(), value: value(entry, offset) }),
            None => arguments.push(value(entry, offset)),
        }
    }
    Node {
        name: n.name().value().to_string(),
        span: Span { start: span.offset() + offset, len: span.len() },
        whole: Span { start: n.span().offset() + offset, len: n.span().len() },
        annotated: n.ty().is_some(),
        arguments,
        properties,
        children: n.children().map(|d| d.nodes().iter().map(|n| node(n, offset)).collect()).unwrap_or_default(),
    }
}

fn value(entry: &KdlEntry, offset: usize) -> Value {
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
    Value { written, unit, span: Span { start: span.offset() + offset, len: span.len() } }
}

/// The span widened to whole characters.
fn on_letters(source: &str, span: Span) -> Span {
    let start = source.floor_char_boundary(span.start);
    let end = source.ceil_char_boundary(span.start + span.len);
    Span { start, len: end - start }
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
    // A span over several lines is cut at the end of the first.
    let text = source.get(start..end).unwrap_or_default();
    let lead = text.len() - text.trim_start().len();
    let first = text.trim_start().lines().next().unwrap_or_default();
    Span { start: start + lead, len: first.trim_end().len().max(1) }
}

/// The two commonest slips: a new word right after a brace, and a word with = where a node begins.
fn slip(part: &str) -> Option<Notice> {
    let bytes = part.as_bytes();
    let is_word = |b: u8| b.is_ascii_alphanumeric() || b == b'-' || b == b'_';
    let (mut i, mut begins) = (0, true);
    while let Some(&c) = bytes.get(i) {
        match c {
            b'"' => i = closing(bytes, i + 1, bytes[..i].iter().rev().take_while(|b| **b == b'#').count()),
            b'/' if bytes.get(i + 1) == Some(&b'/') => {
                i += bytes[i..].iter().position(|b| *b == b'\n').unwrap_or(bytes.len() - i);
                continue;
            }
            b'}' => {
                let gap = bytes[i + 1..].iter().take_while(|b| **b == b' ' || **b == b'\t').count();
                let at = i + 1 + gap;
                if bytes.get(at).is_some_and(|b| is_word(*b)) {
                    let len = bytes[at..].iter().take_while(|b| is_word(**b)).count();
                    let word = part.get(at..at + len)?;
                    let word = word.to_string();
                    return Some(Notice::error(Span { start: at, len }, TextFact::BeginsOnTheSameLine { word }));
                }
            }
            _ if begins && is_word(c) => {
                let len = bytes[i..].iter().take_while(|b| is_word(**b)).count();
                let word = part.get(i..i + len)?;
                if bytes.get(i + len) == Some(&b'=') {
                    let span = Span { start: i, len: len + 1 };
                    return Some(Notice::error(span, TextFact::EqualsSign { word: word.to_string() }));
                }
                i += len - 1;
            }
            _ => {}
        }
        begins = matches!(c, b'{' | b';' | b'\n') || (begins && c.is_ascii_whitespace());
        i += 1;
    }
    None
}

fn syntax(source: &str, span: Span, message: &str, help: Option<&str>) -> Notice {
    let word = source.get(span.start..span.start + span.len).unwrap_or_default().trim();
    let after_number = word.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '='));
    let unit_behind = word.starts_with(|c: char| c.is_ascii_digit() || c == '-') && !after_number.is_empty();
    if unit_behind && after_number.chars().all(|c| c.is_alphabetic() || c == '"' || c == '%') {
        let number = &word[..word.len() - after_number.len()];
        let unit = match after_number {
            "\"" => "in",
            "%" => "percent",
            other => other,
        };
        let (unit, number) = (unit.to_string(), number.to_string());
        return Notice::error(span, TextFact::UnitBehind { word: word.to_string(), unit, number });
    }
    let (word, help) = (word.to_string(), help.map(str::to_string));
    if matches!(word.as_str(), "true" | "false" | "null") {
        return Notice::error(span, TextFact::FlagWithoutSign { word });
    }
    let fact = match message {
        m if m.contains("Expected end of document") => TextFact::Unclosed { word, help },
        "" => TextFact::Punctuation { word, help },
        m => TextFact::Syntax { word, parser: m.to_string(), help },
    };
    Notice::error(span, fact)
}

/// Where the top-level nodes begin and end: at line ends and semicolons outside braces, quotation marks and comments. An
/// open brace or quotation mark includes what follows, up to the limit on lines.
fn outline(source: &str) -> Vec<(usize, usize)> {
    let bytes = source.as_bytes();
    let (mut depth, mut comment, mut i, mut start) = (0_usize, 0_usize, 0, None);
    let mut lines = 0;
    let mut nodes = Vec::new();
    while let Some(&c) = bytes.get(i) {
        let next = bytes.get(i + 1);
        match c {
            b'/' if next == Some(&b'*') => {
                comment += 1;
                start.get_or_insert(i);
                i += 1;
            }
            b'*' if comment > 0 && next == Some(&b'/') => {
                comment -= 1;
                i += 1;
            }
            b'\n' if depth == 0 && comment == 0 || lines > MOST_LINES => {
                if let Some(s) = start.take() {
                    nodes.push((s, i));
                }
                (depth, comment, lines) = (0, 0, 0);
            }
            b'\n' => lines += 1,
            _ if comment > 0 => {}
            b';' if depth == 0 => {
                if let Some(s) = start.take() {
                    nodes.push((s, i));
                }
            }
            b'/' if next == Some(&b'/') => {
                i += bytes[i..].iter().position(|b| *b == b'\n').unwrap_or(bytes.len() - i);
                continue;
            }
            b'"' => {
                start.get_or_insert(i);
                let raw = bytes[..i].iter().rev().take_while(|b| **b == b'#').count();
                i = closing(bytes, i + 1, raw);
            }
            b'{' => {
                start.get_or_insert(i);
                depth += 1;
            }
            b'}' => {
                depth = depth.saturating_sub(1);
                start.get_or_insert(i);
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
    nodes
}

/// Where a quoted text that begins before `i` ends: at its closing mark (with as many # as the opening one), or before
/// the end of the line.
pub(crate) fn closing(bytes: &[u8], mut i: usize, raw: usize) -> usize {
    while let Some(&c) = bytes.get(i) {
        match c {
            b'\\' if raw == 0 => i += 1,
            b'"' if bytes[i + 1..].iter().take(raw).filter(|b| **b == b'#').count() == raw => return i + raw,
            b'\n' => return i - 1,
            _ => {}
        }
        i += 1;
    }
    i
}

/// A text in quotation marks, as every writer of documents writes it.
#[must_use]
pub fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            // A text has no line ends.
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') => out.push(' '),
            c => out.push(c),
        }
    }
    out + "\""
}

/// The meaning of a quoted text in a line of pass notes.
#[must_use]
pub fn unquoted(written: &str) -> String {
    let mut out = String::new();
    let mut chars = written.chars().peekable();
    while let Some(c) = chars.next() {
        match (c, chars.peek()) {
            ('\\', Some(&next @ ('"' | '\\'))) => {
                out.push(next);
                chars.next();
            }
            _ => out.push(c),
        }
    }
    out
}

/// Whether a letter is written from right to left: Hebrew, Arabic, Syriac, Thaana and the like (Unicode's bidirectional
/// classes R and AL, by blocks).
fn from_right(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// A text for screen or paper with every run of right-to-left letters between Unicode's first-strong isolates, which keeps
/// figures and signs beside it in place. Most texts have none and stay unchanged.
#[must_use]
pub fn isolated(text: &str) -> Cow<'_, str> {
    if !text.contains(from_right) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 12);
    let mut rest = text;
    while let Some(start) = rest.find(from_right) {
        let run = &rest[start..];
        // Up to the last such letter before another kind of letter or figure.
        let end = run.find(|c: char| c.is_alphanumeric() && !from_right(c)).unwrap_or(run.len());
        let end = run[..end].rfind(from_right).map_or(end, |i| i + run[i..].chars().next().map_or(0, char::len_utf8));
        out.push_str(&rest[..start]);
        out.push('\u{2068}');
        out.push_str(&run[..end]);
        out.push('\u{2069}');
        rest = &run[end..];
    }
    out.push_str(rest);
    Cow::Owned(out)
}

/// A text as one word of a command line: in quotation marks, single ones if it has characters that a shell reads.
#[must_use]
pub fn typed(text: &str) -> String {
    if text.contains(['"', '\\', '$', '`', '!']) {
        format!("'{}'", text.replace('\'', r"'\''"))
    } else {
        format!("\"{text}\"")
    }
}
