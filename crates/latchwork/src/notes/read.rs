//! Text to notes: the head by the design's reader, the body line by line.

use super::grammar::asked;
use super::line::Line;
use super::set_up::work_out;
use super::{Fault, Note, Noted, fault, hinted};
use crate::design::head_from_text;
use crate::notice::{Notice, Notices, Span};

/// Most lines of notes read.
const MOST_LINES: usize = 5_000;

/// The bodies of notes: where each begins and what it says after its first line.
pub(super) fn bodies(source: &str) -> impl Iterator<Item = (usize, &str)> {
    let starts: Vec<usize> = lines(source)
        .filter(|(_, l)| {
            let l = l.trim_start_matches('\u{feff}').trim_start();
            l == "notes" || l.strip_prefix("notes").is_some_and(|r| r.starts_with([' ', '\t', '"']))
        })
        .map(|(at, _)| at)
        .collect();
    let ends: Vec<usize> = starts.iter().skip(1).copied().chain([source.len()]).collect();
    starts.into_iter().zip(ends).map(|(a, b)| (a, source.get(a..b).unwrap_or_default()))
}

/// Lines with the place where each begins.
fn lines(source: &str) -> impl Iterator<Item = (usize, &str)> {
    source.split_inclusive('\n').scan(0, |at, l| {
        let start = *at;
        *at += l.len();
        Some((start, l.trim_end_matches(['\n', '\r'])))
    })
}

pub(super) fn noted(source: &str, notices: &mut Notices) -> Option<Noted> {
    if source.len() > crate::text::LARGEST {
        let whole = Notice::error(Span::default(), format!("The notes have {} bytes.", source.len()));
        notices.push(whole.hint(format!("At most {} are read.", crate::text::LARGEST)));
        return None;
    }
    let first = bodies(source).next().map_or(source.len(), |b| b.0);
    let head = head_from_text(source.get(..first).unwrap_or_default(), notices);
    let mut pieces: Vec<(String, Span, Vec<Note>)> = Vec::new();
    for (start, body) in bodies(source) {
        let mut all = lines(body);
        let Some((_, title)) = all.next() else { continue };
        let span = Span { start, len: title.trim_end().len() };
        let name = title.trim_start_matches('\u{feff}').trim().trim_start_matches("notes").trim().trim_matches('"');
        let name = if name.is_empty() { "piece" } else { name };
        if pieces.iter().any(|p| p.0 == name) {
            notices.push(
                Notice::error(span, format!("There are two notes called \"{name}\".")).hint("Give one another name."),
            );
        }
        let mut notes = Vec::new();
        for (i, (at, text)) in all.enumerate() {
            let mut line = Line::new(text, start + at);
            if line.is_empty() {
                continue;
            }
            if i > MOST_LINES {
                notices.push(*fault(line.span, format!("Notes of one piece have at most {MOST_LINES} lines.")));
                break;
            }
            match note(&mut line) {
                Ok(note) => notes.push(note),
                Err(f) => notices.push(*f),
            }
        }
        pieces.push((name.to_string(), span, notes));
    }
    let head = head?;
    if notices.has_error() {
        return None;
    }
    work_out(head, &pieces, notices)
}

fn note(l: &mut Line) -> Result<Note, Fault> {
    let span = l.span;
    let label = label(l);
    let asked = asked(l)?;
    l.any(&[".", ";", ","]);
    if !l.done() {
        return Err(hinted(
            l.here(),
            "The line goes on with words that are not understood.",
            "Write one thing on a line, and notes to yourself after //.",
        ));
    }
    Ok(Note { span, label, asked })
}

/// What stands before a colon, if the colon is not part of a known line.
fn label(l: &mut Line) -> Option<String> {
    let colon = l.words.iter().position(|w| !w.quoted && w.text == ":")?;
    let words: Vec<&str> = l.words[..colon].iter().map(|w| w.text.as_str()).collect();
    let text = words.join(" ");
    if colon == 0 || matches!(text.as_str(), "short rows" | "short rows back" | "select") {
        return None;
    }
    l.at = colon + 1;
    Some(text)
}
