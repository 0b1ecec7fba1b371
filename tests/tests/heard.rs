//! Cues heard back: from the sentences alone, as they are spoken at the machine, every act of the plan follows again. The
//! listener shares nothing with what makes the sentences.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "tests")]

use std::collections::BTreeMap;

use latchwork::check::ProvenPiece;
use latchwork::check::{prove, prove_notes};
use latchwork::cues::{Cue, Kind, cues};
use latchwork::design::from_text;
use latchwork::notes;
use latchwork::plan::PiecePlan;
use latchwork::trial::{FABRICS, SHAPINGS, Seed, combinations, document};
use latchwork::units::Show;
use latchwork_machine::needle::{Bed, Needle, Side};
use latchwork_machine::rehearsal::Run;
use latchwork_machine::steps::{Action, BedSetting, Leaves, Load, Mark, Move, Pass, Setting, Way};
use latchwork_tests::notes::made_up;
use latchwork_tests::sample;

/// A slot by its name: L3, R12.
fn slot(name: &str) -> i16 {
    let number: i16 = name[1..].parse().unwrap_or_else(|_| panic!("no needle: {name}"));
    match &name[..1] {
        "L" => -number,
        "R" => number - 1,
        _ => panic!("no side: {name}"),
    }
}

/// Needles as they are named, in order: "main bed L3 to R2, R5 then ribber every other from L4 to R1".
fn needles(text: &str) -> Vec<Needle> {
    let mut all = Vec::new();
    for run in text.split(" then ").flat_map(|r| r.split(" and ")) {
        let (new, items): (fn(i16) -> Needle, &str) = match run.strip_prefix("main bed ") {
            Some(items) => (Needle::main, items),
            None => (Needle::ribber, run.strip_prefix("ribber ").unwrap_or_else(|| panic!("no bed: {run}"))),
        };
        for item in items.split(", ") {
            // Every 4th from L60 to R61.
            let nth =
                |i: &'_ str| i.trim_start_matches("every ").split(['s', 'n', 'r', 't']).next()?.parse::<i16>().ok();
            let (item, by) = match (item.strip_prefix("every other from "), item.split_once(" from ")) {
                (Some(i), _) => (i, 2),
                (None, Some((every, i))) => (i, nth(every).unwrap_or_else(|| panic!("no spacing: {every}"))),
                (None, None) => (item, 1),
            };
            match item.split_once(" to ") {
                None => all.push(new(slot(item))),
                Some((from, to)) => {
                    let (mut at, to) = (slot(from), slot(to));
                    let step = if to < at { -by } else { by };
                    while at != to + step {
                        all.push(new(at));
                        at += step;
                    }
                }
            }
        }
    }
    all
}

fn named(all: &[Needle]) -> String {
    all.iter().map(|n| format!("{n} ")).collect()
}

fn sorted(all: &[Needle]) -> String {
    let mut all = all.to_vec();
    all.sort_unstable();
    named(&all)
}

fn side(text: &str) -> Side {
    if text == "left" { Side::Left } else { Side::Right }
}

/// How far the ribber is racked, of "not racked" or "racked 2 needles to the left".
fn racked(text: &str) -> i8 {
    let Some(rest) = text.strip_prefix("racked ") else {
        assert_eq!(text, "not racked");
        return 0;
    };
    let n: i8 = rest.split(' ').next().unwrap().parse().unwrap();
    if rest.ends_with("left") { -n } else { n }
}

/// What the emptied needles become.
fn emptied(text: &str) -> (&str, Leaves) {
    for (words, leaves) in [
        (". Put the emptied needle out of work", Leaves::Out),
        (". Put the emptied needles out of work", Leaves::Out),
        (". Leave the emptied needle in work for an eyelet", Leaves::Eyelet),
        (". Leave the emptied needles in work for eyelets", Leaves::Eyelet),
        (". Leave the emptied needle in work, to be filled", Leaves::Refill),
        (". Leave the emptied needles in work, to be filled", Leaves::Refill),
    ] {
        if let Some(rest) = text.strip_suffix(words) {
            return (rest, leaves);
        }
    }
    panic!("what becomes of the needles is not said: {text}");
}

fn moves(from: &[Needle], to: &[Needle], leaves: Leaves) -> Vec<String> {
    assert_eq!(from.len(), to.len());
    from.iter().zip(to).map(|(a, b)| format!("move {a} {b} {leaves:?}")).collect()
}

/// What a sentence asks of the hands, in words that say the same of an act of the plan.
#[expect(clippy::too_many_lines, reason = "an arm a sentence")]
fn heard(sentence: &str) -> Vec<String> {
    let s = sentence.strip_suffix('.').unwrap_or_else(|| panic!("no end: {sentence}"));
    let after = |begin: &str| s.strip_prefix(begin);
    let grams = |rest: &str| rest.strip_suffix(" g").unwrap().to_string();
    for (begin, end, word) in [
        ("Bring ", " into work", "in"),
        ("Put ", " out of work", "out"),
        ("Bring ", " to holding position", "hold"),
        ("Bring ", " to forward position", "forward"),
        ("The pattern device brings ", " to forward position. Look whether it did", "forward"),
        ("Return ", " to working position", "back"),
        ("Drop the stitches of ", " on purpose", "let off"),
    ] {
        if let Some(rest) = after(begin).and_then(|r| r.strip_suffix(end)) {
            return vec![format!("{word} {}", sorted(&needles(rest)))];
        }
    }
    if let Some(rest) = after("Set up: carriage at the ") {
        let (carriage, rest) = rest.split_once(", counter 000, ").unwrap();
        let (pitch, rack) = rest.split_once(", ").unwrap();
        return vec![format!("start {:?} {pitch} {}", side(carriage), racked(rack))];
    }
    if let Some(rest) = after("Transfer the stitch of ") {
        let (rest, leaves) = emptied(rest);
        let (from, to) = rest.split_once(" to ").unwrap();
        return moves(&needles(from), &needles(to), leaves);
    }
    for (begin, on) in [
        ("Transfer on the main bed: ", Needle::main as fn(i16) -> Needle),
        ("Transfer on the ribber: ", Needle::ribber),
    ] {
        if let Some(rest) = after(begin) {
            let (rest, leaves) = emptied(rest);
            let pairs = rest.split(", ").map(|p| p.split_once(" onto ").unwrap());
            return pairs.flat_map(|(from, to)| moves(&[on(slot(from))], &[on(slot(to))], leaves)).collect();
        }
    }
    if let Some(rest) = after("Transfer: ") {
        let (rest, leaves) = emptied(rest);
        let pairs = rest.split(", ").map(|p| p.split_once(" onto ").unwrap());
        return pairs.flat_map(|(from, to)| moves(&needles(from), &needles(to), leaves)).collect();
    }
    if let Some(rest) = after("Transfer the stitches of ") {
        let (rest, leaves) = emptied(rest);
        let (from, to) = rest.split_once(", in this order, to ").unwrap();
        return moves(&needles(from), &needles(to), leaves);
    }
    if let Some(rest) = after("Transfer each ") {
        let (rest, leaves) = emptied(rest);
        let (place, rest) = rest.split_once(": ").unwrap();
        let (told, named) = rest.split_once(", ").unwrap();
        // Each list begins with its bed.
        let to_bed = if place.starts_with("ribber") { " to main bed " } else { " to ribber " };
        let (from, to) = named.split_once(to_bed).unwrap();
        let to = format!("{}{to}", to_bed.trim_start_matches(" to "));
        let (from, to) = (needles(from), needles(&to));
        let far = place.split_once(" needle ").unwrap().1;
        let far: i16 = if far == "of the same number" {
            0
        } else {
            let (n, way) = far.split_once(" to the ").unwrap();
            n.split(" needle").next().unwrap().parse::<i16>().unwrap() * if way == "left" { -1 } else { 1 }
        };
        assert!(from.iter().zip(&to).all(|(a, b)| b.slot.0 - a.slot.0 == far), "{sentence}");
        let told: usize = told.split(" stitch").next().unwrap().parse().unwrap();
        assert_eq!(told, from.len(), "{sentence}");
        return moves(&from, &to, leaves);
    }
    if let Some(rest) = after("Lift the stitches of ") {
        let (from, to) = rest.split_once(" together. Hang them, in this order, on ").unwrap();
        return vec![format!("cross {}/ {}", named(&needles(from)), named(&needles(to)))];
    }
    if let Some((on, yarn)) =
        after("E-wrap ").and_then(|r| r.split_once(", in this order, with the rest of that length of "))
    {
        return vec![format!("wind a length of {yarn}: {}", named(&needles(on)))];
    }
    if let Some(rest) = after("E-wrap ") {
        let (on, yarn) = rest.split_once(", towards the carriage, with ").unwrap();
        return vec![format!("wind {yarn}: {}", sorted(&needles(on)))];
    }
    if let Some(rest) = after("Wrap ") {
        let (on, yarn) = rest.split_once(" with ").unwrap();
        return vec![format!("lay {yarn}: {}", named(&needles(on)))];
    }
    if let Some(rest) = after("Take the stitches of ") {
        let (on, holder) = rest.split_once(" off onto holder ").unwrap();
        return vec![format!("holder {holder} takes {}", sorted(&needles(on)))];
    }
    if let Some(rest) = after("Hang the stitches of holder ") {
        let (holder, on) = rest.split_once(" on ").unwrap();
        return vec![format!("holder {holder} gives {}", sorted(&needles(on)))];
    }
    let of_row = after("Hang the stitch of ").and_then(|r| r.split_once(" on "));
    let of_row = of_row.or_else(|| after("Hang ")?.split_once(" stitches of ")?.1.split_once(", 1 each on "));
    if let Some((row, on)) = of_row {
        let row = row.strip_prefix("row ").unwrap_or("cast-on");
        return needles(on).iter().map(|n| format!("pick up {row} on {n}")).collect();
    }
    if s == "Rack the ribber back" {
        return vec!["rack 0".to_string()];
    }
    if let Some(rest) = after("Rack the ribber. Now ") {
        return vec![format!("rack {}", racked(rest))];
    }
    if let Some(rest) = after("Set the counter to ") {
        return vec![format!("counter {}", rest.parse::<u32>().unwrap())];
    }
    if let Some(rest) = after("Change to ") {
        return vec![format!("pitch {rest}")];
    }
    if let Some(rest) = after("Thread ")
        && let Some((yarn, at)) = rest.split_once(" at the ")
    {
        return vec![format!("join {yarn} {:?}", side(at))];
    }
    if let Some(rest) = after("Leave a tail of ") {
        return vec![format!("tail {rest}")];
    }
    if let Some(rest) = after("Cut ") {
        return match rest.strip_suffix(". Pull the tail through the last stitch") {
            Some(yarn) => vec![format!("cut {yarn}, drawn through")],
            None => vec![format!("cut {rest}")],
        };
    }
    for (load, word) in [("the comb", "Comb"), ("weights", "Weights")] {
        if let Some(rest) = after(&format!("Hang {load}: ")) {
            return vec![format!("hang {word} {}", grams(rest))];
        }
        if let Some(rest) = after(&format!("Remove {load}: ")) {
            let (off, stays) = rest.split_once(". ").unwrap();
            let stays =
                if stays == "No weight is left" { "0" } else { stays.strip_suffix(" g left in total").unwrap() };
            return vec![format!("unhang {word} {} leaves {stays}", grams(off))];
        }
    }
    if let Some((row, on)) = after("Hang row ").and_then(|rest| rest.split_once(" of ")) {
        let row: u32 = row.parse().unwrap();
        let (_, on) = on.rsplit_once(" on ").unwrap();
        return vec![format!("hang edge {:?} on {}", [row], named(&needles(on)))];
    }
    if let Some((edge, how)) = after("Hang the ").and_then(|rest| rest.split_once(" stitches over ")) {
        // Spread evenly: the middle of each needle's share.
        let (on, count) = edge.rsplit_once(": ").unwrap();
        let (_, on) = on.rsplit_once(" on ").unwrap();
        let (of, first) = how.split_once(", spread evenly, its ").unwrap();
        let number = |t: &str| t.split(' ').next().unwrap().parse::<u32>().unwrap();
        let (count, of) = (number(count), number(of));
        let mut places: Vec<u32> = (0..count).map(|k| (2 * k + 1) * of / (2 * count) + 1).collect();
        if first.starts_with("last row") || first.starts_with("right end") {
            places.reverse();
        }
        return vec![format!("hang edge {places:?} on {}", named(&needles(on)))];
    }
    if let Some(rest) = after("Hang the edge of the other piece on ") {
        let (on, places) = rest.split_once(", in this order: places ").unwrap();
        let number = |n: &str| n.parse::<u32>().unwrap();
        let places: Vec<u32> = places
            .split(", ")
            .flat_map(|item| match item.split_once(" to ") {
                None => vec![number(item)],
                Some((a, b)) if number(a) <= number(b) => (number(a)..=number(b)).collect(),
                Some((a, b)) => (number(b)..=number(a)).rev().collect(),
            })
            .collect();
        return vec![format!("hang edge {places:?} on {}", named(&needles(on)))];
    }
    match s {
        "Lower the ribber. Fit the single-bed arm" => return vec!["ribber down".to_string()],
        "Raise the ribber. Fit the two-bed arm" => return vec!["ribber up".to_string()],
        "Move the comb up" => return vec!["up Comb".to_string()],
        "Move the claw weights up" => return vec!["up Weights".to_string()],
        _ => {}
    }
    for (begin, way) in [
        ("Cast off loop through loop", Way::LoopThroughLoop),
        ("Pull the tail through the last stitch", Way::LoopThroughLoop),
        ("Pull the tail through the stitch", Way::LoopThroughLoop),
        ("Cast off with the latch tool", Way::Chain),
        ("Sew off the stitches with back stitch", Way::Sewn),
        ("Thread the tail through every stitch and take it off its needle", Way::Gathered),
        ("Drop the waste yarn off the needles", Way::Waste),
    ] {
        if let Some(rest) = after(begin) {
            let (with, on) = rest.split_once(": ").unwrap();
            let with = with.strip_prefix(", with a separate length of ").unwrap_or("");
            let (on, onto) = on.split_once(". Hang the last stitch on ").unwrap_or((on, ""));
            let onto = if onto.is_empty() { String::new() } else { format!(" onto {}", named(&needles(onto))) };
            let on = needles(on);
            let one = on.len() == 1 && way == Way::LoopThroughLoop;
            assert_eq!(one, begin.ends_with(" stitch") && begin.starts_with("Pull"), "{sentence}");
            let last = if begin.ends_with("last stitch") { ", the last" } else { "" };
            return vec![format!("secure {way:?} {with}: {}{last}{onto}", named(&on))];
        }
    }
    panic!("not understood: {sentence}");
}

/// The same for an act of the plan; nothing for promises.
fn planned(piece: &PiecePlan, run: &Run, step: usize) -> Option<String> {
    let yarn = |y: latchwork_machine::steps::Yarn| piece.yarns.get(usize::from(y.0)).map_or("the yarn", String::as_str);
    let load = |l: Load| if l == Load::Comb { "Comb" } else { "Weights" };
    Some(match &piece.plan.steps[step].action {
        Action::Pass(_) | Action::Claim(_) => return None,
        Action::Start { carriage, pitch, racking } => format!("start {carriage:?} {pitch} {}", racking.0),
        Action::IntoWork(n) => format!("in {}", sorted(n)),
        Action::OutOfWork(n) => format!("out {}", sorted(n)),
        Action::Hold(n) => format!("hold {}", sorted(n)),
        Action::Forward(n) => format!("forward {}", sorted(n)),
        Action::BackToWorking(n) => format!("back {}", sorted(n)),
        Action::Release(n) => format!("let off {}", sorted(n)),
        Action::Transfer(Move { from, to, leaves }) => format!("move {from} {to} {leaves:?}"),
        Action::MoveTogether { moves, .. } => {
            let (from, to): (Vec<Needle>, Vec<Needle>) = moves.iter().map(|m| (m.from, m.to)).unzip();
            format!("cross {}/ {}", named(&from), named(&to))
        }
        Action::Wrap { needles, yarn: y, cut_length: true } => {
            format!("wind a length of {}: {}", yarn(*y), named(needles))
        }
        Action::Wrap { needles, yarn: y, .. } => format!("wind {}: {}", yarn(*y), sorted(needles)),
        Action::TurnWrap { needle, yarn: y } => format!("lay {}: {}", yarn(*y), named(&[*needle])),
        Action::TakeOff { needles, holder } => format!("holder {} takes {}", holder.0 + 1, sorted(needles)),
        Action::PutBack { needles, holder } => format!("holder {} gives {}", holder.0 + 1, sorted(needles)),
        Action::PickUp { loop_number, needle } => {
            // The row is where the loop was made, by the rehearsal.
            let made = (0..step).find(|i| run.made_in(*i).contains(loop_number)).unwrap();
            let row = match piece.plan.steps[made].action {
                Action::Pass(_) => format!("{:03}", run.readings[made].counter),
                _ => "cast-on".to_string(),
            };
            format!("pick up {row} on {needle}")
        }
        Action::Rack(r) => format!("rack {}", r.0),
        Action::Pitch(p) => format!("pitch {p}"),
        Action::Join { yarn: y, side } => format!("join {} {side:?}", yarn(*y)),
        Action::Cut(y) => {
            let before = step.checked_sub(1).map(|b| &piece.plan.steps[b].action);
            let last = matches!(before, Some(Action::Secure { needles, way: Way::LoopThroughLoop, cut_length: None, .. }) if needles.len() > 1);
            format!("cut {}{}", yarn(*y), if last { ", drawn through" } else { "" })
        }
        Action::Hang { load: l, grams } => format!("hang {} {grams}", load(*l)),
        Action::Unhang { load: l, grams } => {
            format!("unhang {} {grams} leaves {}", load(*l), run.readings[step].grams)
        }
        Action::MoveUp(l) => format!("up {}", load(*l)),
        Action::Counter(n) => format!("counter {n}"),
        Action::RibberDown => "ribber down".to_string(),
        Action::RibberUp => "ribber up".to_string(),
        Action::HangEdge { needles, places } => format!("hang edge {places:?} on {}", named(needles)),
        Action::Secure { needles, way, cut_length, onto } => {
            let last = *way == Way::LoopThroughLoop && needles.len() == 1 && run.readings[step].stitches == (0, 0);
            let last = if last { ", the last" } else { "" };
            let onto = onto.map_or(String::new(), |o| format!(" onto {}", named(&[o])));
            format!("secure {way:?} {}: {}{last}{onto}", cut_length.map_or("", yarn), named(needles))
        }
    })
}

/// A stitch size as it is read: 3, 3⅓, 3⅔, in thirds.
fn thirds(text: &str) -> u8 {
    let whole = text.trim_end_matches(['⅓', '⅔']);
    3 * whole.parse::<u8>().unwrap() + u8::from(text.ends_with('⅓')) + 2 * u8::from(text.ends_with('⅔'))
}

/// A pass as it was set up: what was last said of each thing, each way.
fn passed(told: &BTreeMap<String, String>, cue: &Cue, pass: &Pass, piece: &PiecePlan) {
    let way = if pass.direction == Side::Left { " to the left" } else { " to the right" };
    let on_its_way = |said: &str| said.split(", ").find_map(|s| s.strip_suffix(way)).unwrap_or(said).to_string();
    let told_of = |what: &str| told.get(what).map(String::as_str);
    let bed = |name: &str| {
        let setting = match on_its_way(told_of(name)?).as_str() {
            "knit" => Setting::Knit,
            "tuck" => Setting::Tuck,
            "slip" => Setting::Slip,
            other => panic!("no setting: {other}"),
        };
        let hold = match told_of(&format!("{name} hold")) {
            Some("on") => true,
            Some(said) => said.ends_with(way),
            None => false,
        };
        Some((setting, hold, thirds(told_of(&format!("{name} size"))?)))
    };
    let of = |b: BedSetting| (b.setting, b.hold, b.dial.0);
    assert_eq!(bed("Main bed").unwrap(), of(pass.main), "{cue:?}");
    let two = cue.set.as_ref().unwrap().ribber.is_some();
    if two {
        assert_eq!(bed("Ribber").unwrap(), of(pass.ribber), "{cue:?}");
    } else {
        assert_eq!(pass.ribber.setting, Setting::Slip, "a ribber that is not spoken of slips: {cue:?}");
    }
    let yarn = |y: Option<latchwork_machine::steps::Yarn>| {
        y.map_or("none", |y| piece.yarns.get(usize::from(y.0)).map_or("the yarn", String::as_str)).to_string()
    };
    assert_eq!(told_of("Yarn").unwrap(), yarn(pass.yarn));
    assert_eq!(told_of("Second yarn").unwrap_or("none"), yarn(pass.second));
    assert_eq!(told_of("Laid-in yarn").unwrap_or("none"), yarn(pass.laid));
    assert_eq!(cue.does.ends_with("; counter off"), !pass.counted, "{cue:?}");
    assert_eq!(cue.unusual, pass.yarn.is_none() || !pass.counted, "{cue:?}");
    assert_eq!(cue.does.contains("stitches drop"), pass.mark == Mark::Release, "{cue:?}");
}

/// Loops moved along a bed can be drawn: three at most at an end of a bed, except for a whole row.
fn near(cue: &Cue) {
    let along: Vec<&Move> = cue.moves.iter().filter(|m| m.from.bed == m.to.bed).collect();
    // What is lifted together is one act, however much that is.
    if along.len() > 16 || along.len() < cue.moves.len() || cue.hands.iter().any(|h| h.starts_with("Lift ")) {
        return;
    }
    for bed in Bed::BOTH {
        let of: Vec<i16> = along.iter().filter(|m| m.from.bed == bed).map(|m| m.from.slot.0).collect();
        assert!(of.len() <= 6, "{cue:?}");
    }
}

/// Everything that the cues of a piece say is the plan, in its order.
fn hear(proven: ProvenPiece<'_>) {
    let (piece, run) = (proven.plan(), proven.run());
    let all = cues(proven, Show::METRIC);
    let mut told: BTreeMap<String, String> = BTreeMap::new();
    let mut acts = Vec::new();
    for cue in &all {
        told.extend(cue.changed.iter().map(|x| (x.what.clone(), x.to.clone())));
        if cue.kind == Kind::Pass {
            let Action::Pass(pass) = &piece.plan.steps[cue.steps.start].action else { panic!("no pass") };
            assert_eq!(cue.way, Some(pass.direction));
            passed(&told, cue, pass, piece);
            acts.push("pass".to_string());
        } else {
            near(cue);
            acts.extend(cue.hands.iter().flat_map(|s| heard(s)));
        }
    }
    let steps = piece.plan.steps[..run.readings.len()].iter().enumerate();
    let plan: Vec<String> = steps
        .flat_map(|(i, s)| {
            let tails = piece.tails.iter().filter(move |t| t.step == i);
            let act = match s.action {
                Action::Pass(_) => Some("pass".to_string()),
                _ => planned(piece, run, i),
            };
            act.into_iter().chain(tails.map(|t| format!("tail {:.0} cm", t.length.0 / 10.0)))
        })
        .collect();
    // Moves across are said as a whole row: their order among themselves means nothing.
    let canonical = |list: Vec<String>| -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        let across = |m: &String| m.starts_with("move ") && m.matches("main").count() == 1;
        for chunk in list.chunk_by(|a, b| across(a) && across(b)) {
            let mut chunk = chunk.to_vec();
            chunk.sort();
            out.extend(chunk);
        }
        out
    };
    let (acts, plan) = (canonical(acts), canonical(plan));
    for (heard, planned) in acts.iter().zip(&plan) {
        assert_eq!(heard, planned);
    }
    assert_eq!(acts.len(), plan.len());
}

#[test]
fn cues_of_made_up_pieces_are_heard_back() {
    let seed = std::env::var("LATCHWORK_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or(1_u64);
    let (of_notes, of_designs) = (sample::of(6_000, 600_000), sample::of(4_000, 400_000));
    println!("cues heard back from seed {seed}");
    let (every, mut heard, mut pieces) = (combinations(FABRICS.len(), SHAPINGS), 0, 0);
    for number in seed * 1_000_000..seed * 1_000_000 + of_notes {
        let Some(noted) = notes::from_text(&made_up(number)).0 else { continue };
        let outcome = prove_notes(&noted);
        if let Some(proven) = &outcome.proven {
            let size = &proven.sizes()[0];
            hear(size.proven(0).unwrap());
            heard += 1;
        }
    }
    for number in 0..of_designs {
        let Some(design) = from_text(&document(&Seed::from_number(seed * 1_000_000 + number, &every))).0 else {
            continue;
        };
        let outcome = prove(&design, &[0]);
        let Some(proven) = outcome.printable() else { continue };
        for size in proven.sizes() {
            for piece in (0..size.pieces.len()).map(|k| size.proven(k).unwrap()) {
                hear(piece);
                pieces += 1;
            }
        }
    }
    assert!(heard * 2 > of_notes && pieces * 2 > of_designs, "{heard} notes, {pieces} pieces");
}

#[test]
fn cues_of_the_examples_are_heard_back() {
    for text in [
        include_str!("../../designs/deck-hat.kdl"),
        include_str!("../../designs/wrist-warmers.kdl"),
        include_str!("../../designs/scarf.kdl"),
    ] {
        let design = from_text(text).0.unwrap();
        let sizes: Vec<usize> = (0..design.sizes.len()).collect();
        let proven = prove(&design, &sizes).proven.unwrap();
        for size in proven.sizes() {
            for piece in (0..size.pieces.len()).map(|k| size.proven(k).unwrap()) {
                hear(piece);
            }
        }
    }
    let noted = notes::from_text(include_str!("../../designs/ladder-cuff.notes")).0.unwrap();
    let outcome = prove_notes(&noted);
    let size = &outcome.proven.as_ref().unwrap().sizes()[0];
    hear(size.proven(0).unwrap());
}
