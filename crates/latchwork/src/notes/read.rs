//! Text to pass notes: the head by the reader of designs, the body line by line.

use std::sync::Arc;

use super::grammar::asked;
use super::line::{NoteLine, inner_of};
use super::set_up::work_out;
use super::{LineFault, Note, Noted, fault};
use crate::design::{Shelf, head_from_text};
use crate::fabric::built_in;
use crate::fact::NotesFact;
use crate::notice::{Notice, Notices, Span};

/// Most lines of notes read.
const MOST_LINES: usize = 5_000;
const MOST_PIECES: usize = 40;

/// The bodies of pass notes: where each begins, and its text.
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

/// Lines with the place of each.
fn lines(source: &str) -> impl Iterator<Item = (usize, &str)> {
    source.split_inclusive('\n').scan(0, |at, l| {
        let start = *at;
        *at += l.len();
        Some((start, l.trim_end_matches(['\n', '\r'])))
    })
}

pub(super) fn noted(source: &str, shelf: &Shelf, notices: &mut Notices) -> Option<Noted> {
    if source.len() > crate::text::LARGEST {
        let fact = NotesFact::TooLong { bytes: source.len(), most: crate::text::LARGEST };
        notices.push(Notice::error(Span::default(), fact));
        return None;
    }
    let first = bodies(source).next().map_or(source.len(), |b| b.0);
    let unseen = crate::text::unseen(source.get(first..).unwrap_or_default(), first);
    if !unseen.is_empty() {
        notices.0.extend(unseen);
        return None;
    }
    let head = head_from_text(source.get(..first).unwrap_or_default(), shelf, notices);
    let yarns: Vec<String> = head.iter().flat_map(|h| &h.yarns).map(|y| y.name.clone()).collect();
    let fabrics = head.as_ref().map_or_else(|| built_in().to_vec().into(), |h| Arc::clone(&h.fabrics));
    let mut pieces: Vec<(String, Span, Vec<Note>)> = Vec::new();
    for (start, body) in bodies(source) {
        let mut all = lines(body);
        let Some((_, title)) = all.next() else { continue };
        let span = Span { start, len: title.trim_end().len() };
        let name = named(title.trim_start_matches('\u{feff}').trim().trim_start_matches("notes").trim());
        if pieces.iter().any(|p| p.0 == name) {
            notices.push(Notice::error(span, NotesFact::NameTwice { name: name.clone() }));
        }
        let mut notes = Vec::new();
        for (i, (at, text)) in all.enumerate() {
            let mut line = NoteLine::new(text, start + at);
            if line.is_empty() {
                continue;
            }
            if pieces.len() >= MOST_PIECES || i > MOST_LINES {
                let fact = NotesFact::TooManyPieces { pieces: MOST_PIECES, lines: MOST_LINES };
                notices.push(*fault(line.span, fact));
                break;
            }
            line.yarns.clone_from(&yarns);
            line.fabrics = Arc::clone(&fabrics);
            match repeat(&mut line, &notes) {
                Some(Ok(more)) if notes.len() + more.len() <= MOST_LINES => notes.extend(more),
                Some(Ok(_)) => {
                    notices.push(*fault(line.span, NotesFact::TooManyLines { most: MOST_LINES }));
                }
                Some(Err(f)) => notices.push(*f),
                None => match note(&mut line) {
                    Ok(note) => notes.push(note),
                    Err(f) => notices.push(*f),
                },
            }
        }
        if notes.is_empty() && !notices.has_error() {
            notices.push(*fault(span, NotesFact::NothingKnitted));
        }
        pieces.push((name, span, notes));
    }
    let head = head?;
    if notices.has_error() {
        return None;
    }
    work_out(head, &pieces, notices)
}

/// The name of pass notes.
fn named(written: &str) -> String {
    let name = if written.starts_with('"') { inner_of(written) } else { written.to_string() };
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    if name.is_empty() { "piece".to_string() } else { name }
}

/// repeat the last 6 lines 3 times: the lines before, that many times more.
fn repeat(l: &mut NoteLine, before: &[Note]) -> Option<Result<Vec<Note>, LineFault>> {
    if l.peek() != Some("repeat") {
        return None;
    }
    l.at += 1;
    l.any(&["the last", "last", "the"]);
    let lines = if l.eat("line") { Some(1) } else { l.number() };
    l.any(&["lines", "line"]);
    l.any(&[","]);
    let times = l.number();
    l.any(&["times", "time", "times more", "more times"]);
    let (Some(lines), Some(times), true) = (lines, times, l.done()) else {
        return Some(Err(fault(l.span, NotesFact::RepeatWhat)));
    };
    let lines = lines as usize;
    if lines == 0 || lines > before.len() || times > 1000 {
        return Some(Err(fault(l.span, NotesFact::LinesAbove { lines: before.len() })));
    }
    let last = &before[before.len() - lines..];
    Some(Ok((0..times).flat_map(|_| last.iter().cloned()).take(MOST_LINES + 1).collect()))
}

fn note(l: &mut NoteLine) -> Result<Note, LineFault> {
    let span = l.span;
    let label = label(l);
    let asked = asked(l)?;
    l.any(&[".", ";", ","]);
    if !l.done() {
        return Err(fault(l.here(), NotesFact::NotUnderstoodFurther));
    }
    Ok(Note { span, label, asked })
}

/// The text before a colon, if the colon is not part of a known line.
fn label(l: &mut NoteLine) -> Option<String> {
    let colon = l.words.iter().position(|w| !w.quoted && w.text == ":")?;
    let words: Vec<&str> = l.words[..colon].iter().map(|w| w.text.as_str()).collect();
    let text = words.join(" ");
    if colon == 0 || matches!(text.as_str(), "short rows" | "short rows back" | "select") {
        return None;
    }
    l.at = colon + 1;
    Some(text)
}
