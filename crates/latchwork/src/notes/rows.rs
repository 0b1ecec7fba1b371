//! Lines of rows: number, fabric or settings, stitch size, yarn.

use latchwork_machine::steps::Setting;

use super::line::NoteLine;
use super::{Asked, Knits, LineFault, Other, fault};
use crate::fabric::Course;
use crate::fact::{NotesFact, Rewrite};
use crate::notice::nearest;
use crate::vocabulary::SETTINGS;

/// Most rows that one line may ask for.
const MOST_ROWS: u32 = 20_000;

pub(super) fn second_dial(l: &mut NoteLine) -> Option<u8> {
    let before = l.at;
    if l.any(&["and", ",", "/"])
        && let Some(d) = l.dial()
    {
        return Some(d);
    }
    l.at = before;
    None
}

fn setting(l: &mut NoteLine) -> Option<Setting> {
    // Pass notes may use the verb form: knits.
    SETTINGS.into_iter().find(|(word, _)| l.any(&[&format!("{word}s"), word])).map(|s| s.1)
}

/// main knit, ribber tuck / both knit: the settings of the beds in order.
fn courses(l: &mut NoteLine) -> Result<Vec<Course>, LineFault> {
    let mut all = Vec::new();
    loop {
        let course = |main, ribber| Course { main, ribber, going: None };
        if l.any(&["both beds knit", "both beds", "both knit"]) {
            all.push(course(Setting::Knit, Setting::Knit));
        } else if l.any(&["main bed alone", "main bed only", "main alone"]) {
            all.push(course(Setting::Knit, Setting::Slip));
        } else if l.any(&["ribber alone", "ribber only"]) {
            all.push(course(Setting::Slip, Setting::Knit));
        } else if l.any(&["main bed", "main"]) {
            let wrong = |l: &NoteLine| fault(l.here(), NotesFact::WhichSetting);
            let main = setting(l).ok_or_else(|| wrong(l))?;
            l.any(&[", and", ",", "and", ";"]);
            let ribber = if l.eat("ribber") { setting(l).ok_or_else(|| wrong(l))? } else { Setting::Slip };
            all.push(course(main, ribber));
        } else {
            return Err(fault(l.here(), NotesFact::WhatDoBedsDo));
        }
        if !l.any(&["/", ", then", "then"]) {
            return Ok(all);
        }
    }
}

/// Rows in all their forms, a selection for them, a free pass.
pub(super) fn rows(l: &mut NoteLine) -> Result<Option<Asked>, LineFault> {
    if l.eat("free pass") {
        return Ok(Some(Asked::Rows { n: 1, knits: Knits::Free, dial: None, yarn: None, counted: true }));
    }
    if l.eat("select") {
        return selection(l).map(Some);
    }
    if l.peek() == Some("rows") {
        // rows 30 at 3: read as 30 rows at 3.
        let mut turned = l.clone();
        turned.at += 1;
        if turned.number().is_some() {
            let k = l.at;
            l.words.swap(k, k + 1);
        }
    }
    let before = l.at;
    l.any(&["knit straight for", "knit"]);
    if l.eat("to row")
        && let Some(to) = l.number()
    {
        return Ok(Some(Asked::RowsTo(to)));
    }
    let Some(n) = l.number() else {
        l.at = before;
        return Ok(None);
    };
    if !l.any(&["rows", "row", "passes", "pass"]) {
        l.at = before;
        return Ok(None);
    }
    l.eat("of");
    if !(1..=MOST_ROWS).contains(&n) {
        return Err(fault(l.span, NotesFact::TooManyRows { n, most: MOST_ROWS }));
    }
    let (mut knits, mut dial, mut yarn, mut counted) = (Knits::Same, None, None, true);
    while !l.done() {
        while l.any(&[",", ":"]) {}
        if l.any(&["at stitch sizes", "at stitch size", "at sizes", "at size", "at"]) {
            let main = l.dial().ok_or_else(|| fault(l.here(), NotesFact::AtWhichSize))?;
            dial = Some((main, second_dial(l)));
        } else if l.any(&["not counted", "uncounted", "counter off"]) {
            counted = false;
        } else if l.eat("without yarn") {
            knits = Knits::Free;
        } else if l.any(&["two yarns by the selection", "by the selection in two yarns"]) {
            l.any(&["with", ","]);
            let second = l.yarn().ok_or_else(|| fault(l.here(), NotesFact::WhichSecondYarn))?;
            knits = Knits::Selected(Setting::Knit, Some(Other::Second(second)));
        } else if l.any(&["lay in", "laying in"]) {
            let laid = l.yarn().ok_or_else(|| fault(l.here(), NotesFact::WhichLaidYarn))?;
            l.any(&["by the selection", "by selection"]);
            knits = Knits::Selected(Setting::Knit, Some(Other::Laid(laid)));
        } else if l.any(&["slip by the selection", "slip by selection"]) {
            knits = Knits::Selected(Setting::Slip, None);
        } else if l.any(&["tuck by the selection", "tuck by selection"]) {
            knits = Knits::Selected(Setting::Tuck, None);
        } else if let Some(f) = l.fabric() {
            knits = Knits::Fabric(f);
        } else if let Some(known) = l.known_yarn() {
            yarn = Some(known);
        } else if l.eat("waste yarn") {
            yarn = Some("waste yarn".to_string());
        } else if let Some(main) = if l.eat("stitch size") { l.dial() } else { None } {
            dial = Some((main, second_dial(l)));
        } else if matches!(l.peek(), Some("main" | "both" | "ribber")) {
            knits = Knits::Courses(courses(l)?);
        } else if l.any(&["in", "with"]) {
            if let Some(f) = l.fabric() {
                knits = Knits::Fabric(f);
            } else {
                yarn = Some(l.yarn().ok_or_else(|| fault(l.here(), NotesFact::InWhat))?);
            }
        } else if l.done() {
            break;
        } else {
            return Err(not_known(l));
        }
    }
    Ok(Some(Asked::Rows { n, knits, dial, yarn, counted }))
}

/// The fault of a word that is neither a fabric nor a setting, with the fabric that may be meant.
fn not_known(l: &NoteLine) -> LineFault {
    let word = l.peek().unwrap_or_default();
    let names = l.fabrics.iter().map(|f| f.name.as_str());
    let near = nearest(word, names).map(str::to_string);
    let told = fault(l.here(), NotesFact::NeitherFabricNorSetting { near: near.clone() });
    match near {
        Some(to) => Box::new(told.mend(l.here(), to.clone(), Rewrite::Becomes { from: word.to_string(), to })),
        None => told,
    }
}

/// select x.x. / .x.x: which needles come forward before each row.
fn selection(l: &mut NoteLine) -> Result<Asked, LineFault> {
    let span = l.span;
    l.eat(":");
    let mut rows = vec![String::new()];
    while let Some(w) = l.peek().map(str::to_string) {
        l.at += 1;
        match (w.as_str(), rows.last_mut()) {
            ("/", _) => rows.push(String::new()),
            (w, Some(row)) if w.chars().all(|c| matches!(c, 'x' | '.' | '-')) => row.push_str(w),
            _ => {
                return Err(fault(span, NotesFact::SelectionSigns));
            }
        }
    }
    if rows.iter().any(|r| r.is_empty() || r.len() > 200) {
        return Err(fault(span, NotesFact::SelectionSigns));
    }
    Ok(Asked::Select(rows))
}
