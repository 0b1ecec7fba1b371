//! Plan files from elsewhere: read back exactly, or refused at the member that is wrong.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::check::{prove, prove_notes};
use latchwork::design::from_text;
use latchwork::notes;
use latchwork::record::{plan, read_plan};
use latchwork_machine::rehearsal::rehearse;
use serde_json::{Value, json};

const HAT: &str = include_str!("../../designs/deck-hat.kdl");

fn written() -> Value {
    let design = from_text(HAT).0.unwrap();
    serde_json::from_str(&plan(&design, &prove(&design, &[2]).sizes)).unwrap()
}

fn refused(file: &Value) -> String {
    read_plan(&file.to_string()).expect_err("it should be refused").to_string()
}

#[test]
fn what_is_written_reads_back_the_same() {
    let design = from_text(HAT).0.unwrap();
    let outcome = prove(&design, &[0, 4]);
    let file = read_plan(&plan(&design, &outcome.sizes)).unwrap();
    let plans = outcome.sizes.iter().flat_map(|s| &s.plans.pieces);
    assert_eq!(file.pieces.len(), 4);
    for (read, is) in file.pieces.iter().zip(plans) {
        assert_eq!(read.plan, is.plan);
        assert_eq!(rehearse(&read.plan, &file.profile).findings, []);
    }
    // Notes reach every kind of step.
    for case in include_str!("../suite/notes/sound.notes").split("=== ").filter(|c| !c.trim().is_empty()) {
        let text: String = case.lines().skip(1).filter(|l| !l.starts_with('>')).map(|l| format!("{l}\n")).collect();
        let noted = notes::from_text(&text).0.unwrap();
        let file = read_plan(&plan(&noted.design, &prove_notes(&noted).sizes)).unwrap();
        assert_eq!(file.pieces[0].plan, noted.plans.pieces[0].plan);
    }
}

#[test]
fn faults_are_told_where_they_stand() {
    assert!(read_plan("").unwrap_err().to_string().starts_with("the file: it is not JSON"));
    assert!(read_plan("[]").unwrap_err().to_string().contains("an object was expected"));
    let step =
        |file: &mut Value, i: usize, change: fn(&mut Value)| change(&mut file["sizes"][0]["pieces"][0]["steps"][i]);
    type Case = (usize, fn(&mut Value), &'static str);
    let cases: [Case; 8] = [
        (3, |s| s["direction"] = json!("up"), "steps[3].direction: one of left, right was expected"),
        (3, |s| s["main"]["thirds"] = json!(300), "steps[3].main.thirds: a whole number in its range was expected"),
        (3, |s| drop(s.as_object_mut().unwrap().remove("counted")), "steps[3]: \"counted\" is missing"),
        (3, |s| s["colour"] = json!("red"), "steps[3]: \"colour\" does not belong here"),
        (3, |s| s["step"] = json!(9), "steps[3].step: steps are numbered in order; 4 was expected"),
        (3, |s| s["part"] = json!(99), "steps[3].part: there is no such part"),
        (3, |s| s["do"] = json!("fly"), "steps[3].do: there is no such step"),
        (1, |s| s["needles"] = json!([["main"]]), "steps[1].needles[0]: a needle is a bed and a slot"),
    ];
    for (i, change, want) in cases {
        let mut file = written();
        step(&mut file, i, change);
        let said = refused(&file);
        assert!(said.contains(want), "{said} should say {want}");
    }
    let mut file = written();
    file["version"] = json!(2);
    assert!(refused(&file).contains("only version 1"));
}

/// A plan that asks for more than is rehearsed is refused before it is run.
#[test]
fn a_plan_cannot_ask_for_more_than_is_rehearsed() {
    let mut file = written();
    let steps = file["sizes"][0]["pieces"][0]["steps"].as_array_mut().unwrap();
    let needles: Vec<Value> = (-2000..2000).map(|s| json!(["main", s])).collect();
    steps[1]["needles"] = json!(needles);
    let pass = steps[3].clone();
    steps.truncate(4);
    for i in 4..25_004 {
        let mut next = pass.clone();
        next["step"] = json!(i + 1);
        steps.push(next);
    }
    let said = refused(&file);
    assert!(said.contains("its passes meet"), "{}", said.chars().take(200).collect::<String>());
}
