//! A first design document from a few answers, and changes to one that keep everything else: comments, order and layout.

mod begin;
mod laid;
mod shape;
mod starters;

use crate::design::as_chosen;
use crate::notice::{Notices, Replace, Span, mended};
use crate::text::{NewNode, Node, Tree, quoted, read};

pub use begin::{Answers, Measurement, Thing, Whom, begun};
pub use laid::NewPanel;
pub use shape::{NewShape, Shape, end_wish, shaped, width_as_wished};
pub use starters::{Asked, Begun, COUNTS, LeftOut, NotBegun, STARTERS, Starter};

/// A change to a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Revision {
    /// A stretch's length: rows, or a length or share as written, such as `(cm)6.5`.
    Length {
        /// Piece and stretch, by name.
        of: (String, String),
        /// The new first value of `rows` or `length`.
        value: String,
        /// Whether it is a number of rows.
        rows: bool,
    },
    /// A stretch's fabric.
    Fabric {
        /// Piece and stretch, by name.
        of: (String, String),
        /// The fabric's name.
        name: String,
    },
    /// A stretch's ease over its body measure, in percent.
    Ease {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Percent.
        percent: f64,
    },
    /// How a stretch tapers: the interval in rows, and the number of times.
    Taper {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Rows from one shaping to the next.
        every: u32,
        /// The number of times.
        times: u32,
    },
    /// The width that a shaped stretch, or its neck, ends with.
    EndWidth {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Whether it is that of the neck.
        neck: bool,
        /// The value as the document says it: needles, a length, or the ease.
        value: String,
    },
    /// A shape, in place of another.
    Shape {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Its lines.
        shape: NewShape,
    },
    /// A new stretch after another.
    AddStretch {
        /// Piece and the stretch before it, by name.
        after: (String, String),
        /// Its name.
        name: String,
        /// Its fabric.
        fabric: String,
        /// Its length in millimetres.
        length: f64,
    },
    /// A stretch removed.
    RemoveStretch {
        /// Piece and stretch, by name.
        of: (String, String),
    },
    /// Grams of a yarn in hand; none if unknown.
    InHand {
        /// The yarn's name.
        yarn: String,
        /// Grams.
        grams: Option<f64>,
    },
    /// The title.
    Title(String),
    /// A swatch as measured.
    AddSwatch {
        /// The fabric's name.
        fabric: String,
        /// The yarn's name; none where the design has one yarn.
        yarn: Option<String>,
        /// Stitch sizes of the main bed and the ribber, in thirds.
        sizes: (u8, u8),
        /// Its measurements.
        measured: Measurement,
    },
    /// A drawn fabric, put in place of the rows of one of that name or added at the end.
    Drawn {
        /// Its name.
        name: String,
        /// Its rows of signs, the first knitted first.
        rows: Vec<String>,
    },
    /// The yarns of a stretch, one for each of its fabric's; none: that of the piece.
    Yarns {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Their names.
        yarns: Vec<String>,
    },
    /// The stripes of a stretch; none: no stripes.
    Stripes {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Yarns by name, and how long each lasts.
        stripes: Vec<(String, NewLasts)>,
        /// Whether a free pass fetches a yarn that waits at the far side.
        fetches: bool,
    },
    /// How a stretch's fabric is laid out, told and selected: words after its name, or none where it is the usual way.
    Laid {
        /// Piece and stretch, by name.
        of: (String, String),
        /// The words, such as `placed`, and their values.
        words: Vec<(&'static str, Option<String>)>,
    },
    /// A panel in a stretch.
    AddPanel {
        /// Piece and stretch, by name.
        of: (String, String),
        /// The panel.
        panel: NewPanel,
    },
    /// A panel taken out.
    RemovePanel {
        /// Piece and stretch, by name.
        of: (String, String),
        /// Its number in the stretch, from 0.
        number: usize,
    },
    /// Another colour of a yarn.
    AddColour {
        /// The yarn that it is a colour of.
        like: String,
        /// Its name.
        name: String,
        /// Its colour, such as `#2F5D73`.
        colour: String,
    },
    /// What is chosen among what the author leaves open.
    Choose {
        /// The choice, by name.
        name: String,
        /// What is chosen now.
        value: String,
    },
    /// Whether lengths are shown in inches rather than centimetres.
    Inches(bool),
}

/// How long a new stripe lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NewLasts {
    /// So many rows.
    Rows(u32),
    /// As long as so many grams of its yarn do.
    Grams(u32),
    /// To the end.
    Rest,
}

/// Why nothing was changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotRevised {
    /// There is no such piece, stretch, yarn or line in the document.
    NotFound(String),
    /// The value is not valid.
    NoValue(String),
}

impl std::fmt::Display for NotRevised {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NotRevised::NotFound(what) => write!(f, "The document has no {what}."),
            NotRevised::NoValue(what) => f.write_str(what),
        }
    }
}

fn first_text(node: &Node) -> Option<&str> {
    match &node.arguments.first()?.written {
        crate::text::Written::Text(t) => Some(t),
        _ => None,
    }
}

fn named<'a>(nodes: &'a [Node], kind: &str, name: &str) -> Option<&'a Node> {
    // Extra white space is not part of a name.
    let same = |t: &str| t.split_whitespace().eq(name.split_whitespace());
    nodes.iter().find(|n| n.name == kind && first_text(n).is_some_and(same))
}

fn child<'a>(node: &'a Node, name: &str) -> Option<&'a Node> {
    node.children.iter().find(|n| n.name == name)
}

fn stretch<'a>(tree: &'a Tree, (piece, name): &(String, String)) -> Result<&'a Node, NotRevised> {
    let found = named(&tree.nodes, "piece", piece).and_then(|p| named(&p.children, "stretch", name));
    found.ok_or_else(|| NotRevised::NotFound(format!("stretch \"{name}\" in the piece \"{piece}\"")))
}

fn put(span: Span, text: String) -> Replace {
    Replace { span, text }
}

/// The line ends of a document.
fn line_end(source: &str) -> &'static str {
    if source.contains("\r\n") { "\r\n" } else { "\n" }
}

/// The indent of a node, if it is the first on its line.
fn indent(source: &str, node: &Node) -> Option<String> {
    let begin = source[..node.whole.start].rfind('\n').map_or(0, |i| i + 1);
    let before = &source[begin..node.whole.start];
    before.chars().all(char::is_whitespace).then(|| before.to_string())
}

/// The rest of the line after a node.
fn rest_of_line<'a>(source: &'a str, node: &Node) -> &'a str {
    let end = node.whole.start + node.whole.len;
    source[end..].split('\n').next().unwrap_or_default().trim_end_matches('\r')
}

/// Inserts a node after another: on lines of its own if the other has its own, else after a semicolon.
fn put_after(source: &str, node: &Node, lines: &str) -> Replace {
    let end = node.whole.start + node.whole.len;
    let rest = rest_of_line(source, node);
    let alone = rest.trim_start();
    match indent(source, node).filter(|_| alone.is_empty() || alone.starts_with("//")) {
        Some(indent) => {
            let text: String = lines.lines().map(|l| format!("{}{indent}{l}", line_end(source))).collect();
            put(Span { start: end + rest.len(), len: 0 }, text)
        }
        None => {
            let flat: Vec<&str> = lines.lines().map(str::trim).collect();
            // On one line every node needs a terminator, except after an opening brace.
            let flat = flat.iter().enumerate().map(|(k, l)| {
                let last = l.ends_with('{') || flat.get(k + 1).is_none();
                if last { format!("{l} ") } else { format!("{l}; ") }
            });
            let text = format!("; {}", flat.collect::<String>().trim_end());
            let ended = alone.starts_with(';') || alone.starts_with('}') || alone.is_empty();
            put(Span { start: end, len: 0 }, if ended { text } else { text + ";" })
        }
    }
}

/// Puts lines in the place of a node.
fn put_for(source: &str, node: &Node, lines: &str) -> Replace {
    let indent = indent(source, node).unwrap_or_default();
    let mut lines = lines.trim_end().lines();
    let first = lines.next().unwrap_or_default().to_string();
    put(node.whole, lines.fold(first, |all, l| format!("{all}{}{indent}{l}", line_end(source))))
}

/// Removes a node: with its lines if it is alone on them, else with its semicolon.
fn take_out(source: &str, node: &Node) -> Replace {
    let (start, end) = (node.whole.start, node.whole.start + node.whole.len);
    let rest = rest_of_line(source, node);
    if let Some(indent) = indent(source, node).filter(|_| rest.trim().is_empty()) {
        let line = start - indent.len();
        let after = end + rest.len();
        let after = after + source[after..].find('\n').map_or(0, |i| i + 1);
        return put(Span { start: line, len: after - line }, String::new());
    }
    let blank = rest.len() - rest.trim_start().len();
    let more = if rest.trim_start().starts_with(';') { blank + 1 } else { 0 };
    put(Span { start, len: end + more - start }, String::new())
}

fn number(v: f64) -> String {
    let text = format!("{v:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The kind of a fabric drawn by hand.
const DRAWN: &str = "own";

/// A stretch with other yarns or stripes, or with neither.
fn coloured(source: &str, stretch: &Node, new: Option<String>) -> Result<String, NotRevised> {
    let known = child(stretch, "yarns").or_else(|| child(stretch, "stripes"));
    let change = match (known, new) {
        (None, None) => return Ok(source.to_string()),
        (Some(node), None) => take_out(source, node),
        (Some(node), Some(text)) => put_for(source, node, &text),
        (None, Some(text)) => {
            let last =
                stretch.children.last().ok_or_else(|| NotRevised::NotFound("line in that stretch".to_string()))?;
            put_after(source, last, text.trim_end())
        }
    };
    Ok(mended(source, &[change]))
}

/// The document revised.
///
/// # Errors
/// When the document does not contain what is to be changed, or the value is not valid.
#[expect(clippy::too_many_lines, reason = "an arm a revision")]
pub fn revised(source: &str, revision: &Revision) -> Result<String, NotRevised> {
    let tree = as_chosen(read(source, &mut Notices::default()));
    let missing = |what: &str| NotRevised::NotFound(what.to_string());
    let change = match revision {
        Revision::Length { of, value, rows } => {
            let node = stretch(&tree, of)?;
            let (word, other) = if *rows { ("rows", "length") } else { ("length", "rows") };
            match (child(node, word).and_then(|n| n.arguments.first()), child(node, other)) {
                (Some(first), _) => put(first.span, value.clone()),
                (None, Some(line)) => put(line.whole, format!("{word} {value}")),
                (None, None) => return Err(missing("length in that stretch")),
            }
        }
        Revision::Fabric { of, name } => {
            let node = child(stretch(&tree, of)?, "fabric").ok_or_else(|| missing("fabric in that stretch"))?;
            let value = node.arguments.first().ok_or_else(|| missing("fabric in that stretch"))?;
            put(value.span, quoted(name))
        }
        Revision::Ease { of, percent } => {
            let node = child(stretch(&tree, of)?, "around").ok_or_else(|| missing("body measure in that stretch"))?;
            let value = format!("(percent){}", number(*percent));
            match node.arguments.get(1) {
                Some(second) => put(second.span, value),
                None => {
                    let first = node.arguments.first().ok_or_else(|| missing("body measure in that stretch"))?;
                    put(Span { start: first.span.start + first.span.len, len: 0 }, format!(" {value}"))
                }
            }
        }
        Revision::Taper { of, every, times } => {
            let node = stretch(&tree, of)?;
            let shaping = child(node, "decrease").or_else(|| child(node, "increase"));
            let shaping = shaping.ok_or_else(|| missing("shaping in that stretch"))?;
            let mut changes = Vec::new();
            for (name, value) in [("every", every), ("times", times)] {
                let known = shaping.properties.iter().find(|p| p.name == name);
                let known = known.ok_or_else(|| missing("row count in that shaping"))?;
                changes.push(put(known.value.span, format!("{name}={value}")));
            }
            return Ok(mended(source, &changes));
        }
        Revision::EndWidth { of, neck, value } => shape::end_with(stretch(&tree, of)?, *neck, value)?,
        Revision::Shape { of, shape } => {
            return Ok(mended(source, &shape::put_shape(source, stretch(&tree, of)?, shape)?));
        }
        Revision::AddStretch { after, name, fabric, length } => {
            let node = stretch(&tree, after)?;
            if named(&tree.nodes, "piece", &after.0).is_some_and(|p| named(&p.children, "stretch", name).is_some()) {
                return Err(NotRevised::NoValue(format!("There is already a stretch \"{name}\".")));
            }
            let length = NewNode::new("length").unit("cm", number(length / 10.0));
            let new = NewNode::new("stretch").text(name).with(NewNode::new("fabric").text(fabric)).with(length);
            put_after(source, node, &new.to_string())
        }
        Revision::RemoveStretch { of } => {
            let node = stretch(&tree, of)?;
            take_out(source, node)
        }
        Revision::InHand { yarn, grams } => {
            let node = named(&tree.nodes, "yarn", yarn).ok_or_else(|| missing("such yarn"))?;
            let known = child(node, "in-hand");
            let Some(grams) = grams else {
                return Ok(known.map_or_else(|| source.to_string(), |n| mended(source, &[take_out(source, n)])));
            };
            let value = format!("(g){}", number(*grams));
            match (known.and_then(|n| n.arguments.first()), node.children.last()) {
                (Some(first), _) => put(first.span, value),
                (None, Some(last)) => put_after(source, last, &format!("in-hand {value}")),
                (None, None) => return Err(missing("line in that yarn")),
            }
        }
        Revision::Title(title) => match tree.nodes.iter().find(|n| n.name == "title") {
            Some(node) => put(node.arguments.first().ok_or_else(|| missing("title"))?.span, quoted(title)),
            None => put(Span::default(), format!("title {}{}", quoted(title), line_end(source))),
        },
        Revision::AddSwatch { fabric, yarn, sizes, measured } => {
            let last = tree.nodes.iter().rev().find(|n| n.name == "swatch" || n.name == "yarn");
            let text = begin::swatch(fabric, yarn.as_deref(), measured, *sizes);
            put_after(source, last.ok_or_else(|| missing("yarn"))?, text.trim_end())
        }
        Revision::Drawn { name, rows } => {
            let lines = rows.iter().rev().map(|r| NewNode::new("row").text(r));
            let grid = NewNode::new("grid").with_all(lines);
            match named(&tree.nodes, "fabric", name) {
                Some(node) => {
                    let drawn = child(node, "grid").ok_or_else(|| missing("drawing of that fabric"))?;
                    put_for(source, drawn, &grid.to_string())
                }
                None => {
                    let new = NewNode::new("fabric").text(name).pair("kind", DRAWN);
                    let like = NewNode::new("like").text("plain");
                    let shaping = NewNode::new("shaping")
                        .with(NewNode::new("narrow").number(1))
                        .with(NewNode::new("widen").number(1));
                    let node = new.with(like).with(grid).with(shaping).to_string();
                    let last = tree.nodes.last().ok_or_else(|| missing("line"))?;
                    put_after(source, last, node.trim_end())
                }
            }
        }
        Revision::Yarns { of, yarns } => {
            let new = yarns.iter().fold(NewNode::new("yarns"), |n, y| n.text(y));
            return coloured(source, stretch(&tree, of)?, (!yarns.is_empty()).then(|| new.to_string()));
        }
        Revision::Stripes { of, stripes, fetches } => {
            let stripe = |(yarn, lasts): &(String, NewLasts)| {
                let node = NewNode::new("yarn").text(yarn);
                match lasts {
                    NewLasts::Rows(n) => node.pair("rows", *n),
                    NewLasts::Grams(n) => node.pair("grams", *n),
                    NewLasts::Rest => node,
                }
            };
            let new = NewNode::new("stripes");
            let new = if *fetches { new.pair("free-pass", "yes") } else { new };
            let new = new.with_all(stripes.iter().map(stripe));
            return coloured(source, stretch(&tree, of)?, (!stripes.is_empty()).then(|| new.to_string()));
        }
        Revision::Laid { of, words } => return Ok(mended(source, &laid::laid(source, stretch(&tree, of)?, words)?)),
        Revision::AddPanel { of, panel } => laid::add_panel(source, stretch(&tree, of)?, panel)?,
        Revision::RemovePanel { of, number } => laid::remove_panel(source, stretch(&tree, of)?, *number)?,
        Revision::AddColour { like, name, colour } => {
            let node = named(&tree.nodes, "yarn", like).ok_or_else(|| missing("such yarn"))?;
            if named(&tree.nodes, "yarn", name).is_some() {
                return Err(NotRevised::NoValue(format!("There is already a yarn \"{name}\".")));
            }
            let written =
                |n: &Node| source[n.whole.start..n.whole.start + n.whole.len].trim().trim_end_matches(';').to_string();
            let kept = node.children.iter().filter(|n| !matches!(n.name.as_str(), "colour" | "in-hand")).map(written);
            let lines: String = kept.map(|l| format!("    {l}\n")).collect();
            let text = format!("yarn {} {{\n{lines}    colour {}\n}}", quoted(name), quoted(colour));
            // With one yarn it need not be named; with two it must.
            let unnamed = tree.nodes.iter().filter(|n| matches!(n.name.as_str(), "piece" | "swatch"));
            let named = unnamed.filter(|n| child(n, "yarn").is_none()).filter_map(|n| {
                let first = n.children.first()?;
                let apart = indent(source, first).map_or("; ".to_string(), |i| format!("{}{i}", line_end(source)));
                let at = Span { start: first.whole.start, len: 0 };
                Some(put(at, format!("yarn {}{apart}", quoted(like))))
            });
            let all: Vec<Replace> = named.chain([put_after(source, node, &text)]).collect();
            return Ok(mended(source, &all));
        }
        Revision::Choose { name, value } => {
            // The choices themselves are taken out of a document as chosen.
            let whole = read(source, &mut Notices::default());
            let node = named(&whole.nodes, "choose", name).ok_or_else(|| missing("such choice"))?;
            put(node.arguments.get(1).ok_or_else(|| missing("such choice"))?.span, quoted(value))
        }
        Revision::Inches(inches) => {
            let word = if *inches { "in" } else { "cm" };
            match tree.nodes.iter().find(|n| n.name == "units") {
                Some(node) => put(node.arguments.first().ok_or_else(|| missing("unit"))?.span, quoted(word)),
                None => {
                    let first = tree.nodes.first().ok_or_else(|| missing("line"))?;
                    put_after(source, first, &format!("units {}", quoted(word)))
                }
            }
        }
    };
    Ok(mended(source, &[change]))
}
