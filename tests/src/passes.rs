//! Pass lists: `--- name ---`, one step a line, what must come of it on lines that begin with `>` or `!`.
//!
//! `> 15 main L3 [8], 16 ribber L2 tuck` are the loops made in the step above; `! rule` is a finding of the
//! whole case, `! rule main R8 x2` one on this needle, met that often; `= knitted 45 secured 3 released 0 live 0`
//! counts how loops ended.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test runner stops at the first wrong line"
)]

use latchwork_machine::loops::{Kind, LoopId};
use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side, Slot};
use latchwork_machine::profile::{Limit, Profile, Source};
use latchwork_machine::rehearsal::{Finding, Run, fates, rehearse};
use latchwork_machine::steps::{
    Action, BedSetting, Claim, Dial, Leaves, Load, Mark, Move, Origin, Pass, Plan, Setting, Step, Way, Yarn,
};

/// One case: its name, its steps, and what must come of them.
#[derive(Debug)]
pub struct Case {
    /// The name.
    pub name: String,
    /// The steps.
    pub plan: Plan,
    /// Step index and the loops it must make.
    pub loops: Vec<(usize, String)>,
    /// All findings, in order: the rule, or the rule with its needle and how often it was met.
    pub findings: Vec<String>,
    /// Knitted, secured, released, live.
    pub fates: Option<[u32; 4]>,
}

/// The machine on which the cases run: standard, with the limits of common practice.
#[must_use]
pub fn standard() -> Profile {
    let practice = |value| Limit { value, source: Source::Practice };
    Profile {
        main_needles: 200,
        ribber_needles: 200,
        tucks: Limit { value: 4, source: Source::Textbook },
        float: practice(6),
        least_grams: practice(2),
        most_grams: practice(12),
    }
}

/// Reads a case file.
#[must_use]
pub fn read(text: &str) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for line in text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')) {
        if let Some(name) = line.strip_prefix("--- ").and_then(|l| l.strip_suffix(" ---")) {
            let (name, base) = name.split_once(" as ").unwrap_or((name, ""));
            let plan = cases.iter().find(|c| c.name == base).map(|c| c.plan.clone()).unwrap_or_default();
            let name = name.to_string();
            cases.push(Case { name, plan, loops: Vec::new(), findings: Vec::new(), fates: None });
            continue;
        }
        let case = cases.last_mut().expect("a file begins with a case");
        match line.split_at(1) {
            (">", rest) => case.loops.push((case.plan.steps.len() - 1, rest.trim().to_string())),
            ("!", rest) => case.findings.push(rest.trim().to_string()),
            ("=", rest) => {
                let mut n = rest.split_whitespace().filter_map(|w| w.parse().ok());
                case.fates = Some(std::array::from_fn(|_| n.next().expect("four counts")));
            }
            _ => {
                for action in actions(line) {
                    case.plan.steps.push(Step { action, origin: Origin(0) });
                }
            }
        }
    }
    cases
}

/// Runs a case and its mirror image, and compares.
pub fn run(case: &Case) {
    let profile = standard();
    let run = rehearse(&case.plan, &profile);
    for (step, expected) in &case.loops {
        let made: Vec<String> = run.made_in(*step).map(|n| say(&run, LoopId(n), false)).collect();
        assert_eq!(&made.join(", "), expected, "{}: loops of step {step}", case.name);
    }
    let rules: Vec<&str> = run.findings.iter().map(|f| f.fault.rule().0).collect();
    let told: Vec<String> = run
        .findings
        .iter()
        .enumerate()
        .map(
            |(i, f)| if case.findings.get(i).is_some_and(|w| w.contains(' ')) { full(f) } else { rules[i].to_string() },
        )
        .collect();
    assert_eq!(told, case.findings, "{}: findings {:?}", case.name, run.findings);
    if let Some(expected) = case.fates {
        assert_eq!(fates(&run.loops), expected, "{}: knitted, secured, released, live", case.name);
    }
    let other = rehearse(&case.plan.mirror(), &profile);
    let here: Vec<String> = run.loops.ids().map(|id| say(&run, id, false)).collect();
    let there: Vec<String> = other.loops.ids().map(|id| say(&other, id, true)).collect();
    assert_eq!(here, there, "{}: its mirror image", case.name);
    let there: Vec<&str> = other.findings.iter().map(|f| f.fault.rule().0).collect();
    assert_eq!(rules, there, "{}: findings of its mirror image", case.name);
}

/// A finding with its needle and how often it was met.
fn full(finding: &Finding) -> String {
    let (rule, needle) = finding.fault.rule();
    let needle = needle.map_or(String::new(), |n| format!(" {n}"));
    if finding.times > 1 { format!("{rule}{needle} x{}", finding.times) } else { format!("{rule}{needle}") }
}

fn say(run: &Run, id: LoopId, mirrored: bool) -> String {
    let needle = run.loops.needle(id);
    let needle = if mirrored { needle.mirror() } else { needle };
    let through = run.loops.through(id);
    let tail = match run.loops.kind(id) {
        Kind::Tuck => " tuck".to_string(),
        Kind::Wrap => " wrap".to_string(),
        Kind::Hung => " hung".to_string(),
        Kind::Knit if through.is_empty() => String::new(),
        Kind::Knit => format!(" {through:?}"),
    };
    format!("{} {needle}{tail}", id.0)
}

/// Needles from words such as `main L3 L1 R2..R4 ribber L2`.
#[must_use]
pub fn needles(words: &str) -> Vec<Needle> {
    let mut bed = Bed::Main;
    let mut all = Vec::new();
    for word in words.split([' ', ',', ';']).filter(|w| !w.is_empty()) {
        match word {
            "main" => bed = Bed::Main,
            "ribber" => bed = Bed::Ribber,
            _ => {
                let (a, b) = word.split_once("..").unwrap_or((word, word));
                let (a, b) = (slot(a), slot(b));
                let range: Vec<i16> = if a <= b { (a..=b).collect() } else { (b..=a).rev().collect() };
                all.extend(range.into_iter().map(|s| Needle { bed, slot: Slot(s) }));
            }
        }
    }
    all
}

fn slot(word: &str) -> i16 {
    let n: i16 = word[1..].parse().unwrap_or_else(|_| panic!("no such slot: {word}"));
    if word.starts_with('L') { -n } else { n - 1 }
}

fn side(word: &str) -> Side {
    match word {
        "left" => Side::Left,
        "right" => Side::Right,
        _ => panic!("no such side: {word}"),
    }
}

fn setting(word: &str) -> BedSetting {
    let (word, hold) = word.strip_suffix("+hold").map_or((word, false), |w| (w, true));
    let setting = match word {
        "knit" => Setting::Knit,
        "tuck" => Setting::Tuck,
        "slip" => Setting::Slip,
        _ => panic!("no such setting: {word}"),
    };
    BedSetting { setting, hold, dial: Dial(9) }
}

fn moves(words: &str) -> Vec<Move> {
    let leaves = |w: &str| match w {
        "out" => Leaves::Out,
        "eyelet" => Leaves::Eyelet,
        _ => Leaves::Refill,
    };
    words
        .split(',')
        .map(|m| {
            let (from, rest) = m.split_once("->").expect("a move has an arrow");
            let rest = rest.trim();
            let (to, end) = rest.rsplit_once(' ').expect("a move says what the emptied needle becomes");
            Move { from: needles(from)[0], to: needles(to)[0], leaves: leaves(end) }
        })
        .collect()
}

#[expect(clippy::too_many_lines, reason = "an arm a word")]
fn actions(line: &str) -> Vec<Action> {
    let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
    let args: Vec<&str> = rest.split_whitespace().collect();
    let yarn = Yarn(0);
    let grams = |w: &str| w.parse::<u32>().expect("grams");
    let load = |w: &str| if w == "comb" { Load::Comb } else { Load::Weights };
    vec![match word {
        "start" => {
            let carriage = side(args[0]);
            let pitch = if args[1] == "half" { Pitch::Half } else { Pitch::Full };
            let racking = Racking(args.get(2).map_or(0, |r| r.parse().expect("racking")));
            return vec![Action::Start { carriage, pitch, racking }, Action::Join { yarn, side: carriage }];
        }
        "pass" => {
            let (main, ribber) = args[1].split_once('/').expect("main/ribber");
            let has = |w: &str| args.contains(&w);
            let mark = if has("open-start") {
                Mark::OpenStart
            } else if has("release") {
                Mark::Release
            } else {
                Mark::Plain
            };
            Action::Pass(Pass {
                direction: side(args[0]),
                main: setting(main),
                ribber: setting(ribber),
                yarn: (!has("no-yarn")).then_some(if has("yarn1") { Yarn(1) } else { yarn }),
                second: has("second").then_some(Yarn(1)),
                laid: has("laid").then_some(Yarn(1)),
                counted: !has("uncounted"),
                mark,
            })
        }
        "passes" => {
            let n: usize = args[0].parse().expect("a number of passes");
            let tail = args[2..].join(" ");
            let first = side(args[1]);
            return (0..n)
                .flat_map(|i| {
                    let d = if i % 2 == 0 { first } else { first.other() };
                    let settings: Vec<&str> = tail.split_whitespace().collect();
                    actions(&format!("pass {d} {}", settings[i % settings.len()]))
                })
                .collect();
        }
        "work" => Action::IntoWork(needles(rest)),
        "out" => Action::OutOfWork(needles(rest)),
        "hold" => Action::Hold(needles(rest)),
        "forward" => Action::Forward(needles(rest)),
        "working" => Action::BackToWorking(needles(rest)),
        "move" => Action::Transfer(moves(rest)[0]),
        "together" => Action::MoveTogether { moves: moves(rest), carry: None },
        // cross 3: R1 -> R4 refill, …
        "cross" => {
            let (carry, rest) = rest.split_once(':').expect("a stated carry");
            Action::MoveTogether { moves: moves(rest), carry: carry.parse().ok() }
        }
        "move-up" => Action::MoveUp(load(args[0])),
        "wrap" => {
            let (rest, cut_length) = rest.strip_prefix("length ").map_or((rest, false), |rest| (rest, true));
            match rest.strip_prefix("yarn1 ") {
                Some(rest) => Action::Wrap { needles: needles(rest), yarn: Yarn(1), cut_length },
                None => Action::Wrap { needles: needles(rest), yarn, cut_length },
            }
        }
        "turn-wrap" => Action::TurnWrap { needle: needles(rest)[0], yarn },
        "take-off" => Action::TakeOff { needles: needles(rest), holder: latchwork_machine::steps::Holder(0) },
        "put-back" => Action::PutBack { needles: needles(rest), holder: latchwork_machine::steps::Holder(0) },
        "pick-up" => {
            let (n, needle) = rest.split_once(' ').expect("a loop and a needle");
            Action::PickUp { loop_number: n.parse().expect("a loop"), needle: needles(needle)[0] }
        }
        "rack" => Action::Rack(Racking(args[0].parse().expect("racking"))),
        "pitch" => Action::Pitch(if args[0] == "half" { Pitch::Half } else { Pitch::Full }),
        "join" => Action::Join { yarn: Yarn(args[0].parse().expect("a yarn")), side: side(args[1]) },
        "cut" => Action::Cut(yarn),
        "hang" => Action::Hang { load: load(args[0]), grams: grams(args[1]) },
        "unhang" => Action::Unhang { load: load(args[0]), grams: grams(args[1]) },
        "counter" => Action::Counter(args[0].parse().expect("a reading")),
        "ribber-down" => Action::RibberDown,
        "ribber-up" => Action::RibberUp,
        "loop-through-loop" => {
            Action::Secure { needles: needles(rest), way: Way::LoopThroughLoop, cut_length: None, onto: None }
        }
        // hang-edge 0 1 2: main R1..R3
        "hang-edge" => {
            let (places, on) = rest.split_once(':').expect("places: needles");
            let places = places.split_whitespace().map(|p| p.parse().expect("a place")).collect();
            Action::HangEdge { needles: needles(on), places }
        }
        // chain-onto main R4: main R1..R3
        "chain-onto" => {
            let (onto, chained) = rest.split_once(':').expect("onto: needles");
            let onto = needles(onto).first().copied();
            Action::Secure { needles: needles(chained), way: Way::Chain, cut_length: None, onto }
        }
        "chain" => Action::Secure { needles: needles(rest), way: Way::Chain, cut_length: None, onto: None },
        "gather" => Action::Secure { needles: needles(rest), way: Way::Gathered, cut_length: None, onto: None },
        "release" => Action::Release(needles(rest)),
        "claim" => Action::Claim(Claim {
            counter: args[0].parse().ok(),
            main: args[1].split_once('+').and_then(|(m, _)| m.parse().ok()),
            ribber: args[1].split_once('+').and_then(|(_, r)| r.split_once('=').map_or(r, |r| r.0).parse().ok()),
            total: args[1].split_once('=').and_then(|(_, t)| t.parse().ok()),
            carriage: args.get(2).filter(|s| **s != "-").map(|s| side(s)),
        }),
        _ => panic!("no such step: {line}"),
    }]
}
