//! The rule book: every rule of the judge in one place, in the knitter's words: what, why, what would work, and where
//! its limit comes from. The rules that need more than the machine stand in `rules`.

use latchwork_machine::fault::{Fault, Level as FaultLevel};
use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::rehearsal::Finding;
use latchwork_machine::steps::{Action, Counted, Load, Yarn};

use crate::design::Design;
use crate::notice::{Level, Notice, Span};
use crate::plan::PiecePlan;

/// A finding in words, pointing at the step and at the line of the document that caused it.
#[must_use]
pub fn explain(design: &Design, plan: &PiecePlan, finding: &Finding) -> Notice {
    explain_cause(design, plan, finding, 1)
}

/// How far the ribber is racked when a step is begun.
pub(super) fn racked_before(plan: &PiecePlan, step: usize) -> i8 {
    let racked = plan.plan.steps[..step.min(plan.plan.steps.len())].iter().rev().find_map(|s| match &s.action {
        Action::Rack(r) | Action::Start { racking: r, .. } => Some(r.0),
        _ => None,
    });
    racked.unwrap_or(0)
}

/// As [`explain`], of findings of one rule on so many needles, told by the first.
pub(super) fn explain_cause(design: &Design, plan: &PiecePlan, finding: &Finding, needles: usize) -> Notice {
    let part = plan.origins.get(finding.origin.0 as usize);
    let span = part.map_or(Span::default(), |p| p.span);
    let place = part.map_or("", |p| p.label.as_str());
    let (what, why, hint) = words(&finding.fault, design.machine.profile.tucks.value);
    let what = match finding.fault {
        Fault::NoYarn { yarn } => {
            let name = plan.yarns.get(usize::from(yarn.0)).map_or("", String::as_str);
            format!("The yarn \"{name}\" is not joined.")
        }
        _ => what,
    };
    let rule = finding.fault.rule().0;
    // What stands in each other's way only because of the racking is put right by racking back.
    let across = matches!(finding.fault, Fault::CarriedFar { from, to, .. } if from.bed != to.bed);
    let hint = if (across || matches!(finding.fault, Fault::Facing { .. })) && racked_before(plan, finding.step) != 0 {
        "Rack the ribber back to zero first.".to_string()
    } else {
        hint
    };
    let needles = if needles > 1 { format!(", {needles} needles") } else { String::new() };
    let times = if finding.times > 1 { format!(", {} times", finding.times) } else { String::new() };
    let level = match finding.fault.level() {
        FaultLevel::Warning => Level::Warning,
        FaultLevel::Error => Level::Error,
    };
    Notice {
        level,
        span: Some(span),
        message: format!(
            "{what} ({}, {place}, counter {}, step {}{needles}{times}.)",
            plan.name,
            crate::units::counter(counter_before(plan, finding.step)),
            finding.step + 1
        ),
        why,
        hints: if hint.is_empty() { Vec::new() } else { vec![hint] },
        rule: Some(rule),
        change: None,
    }
}

const MACHINE: &str = "How the machine works";
const SAID: &str = "What the document itself says";
const PRACTICE: &str = "Common practice, no source";
const TUCKS: &str = "Textbook: up to four successive tucks (Spencer, Knitting Technology, 3rd ed.); the owner decides";
const EDGE_TUCKS: &str =
    "Textbook: a tuck on the last needle met is pulled off at the turn; teachers differ on the first";
const FLOATS: &str = "Common practice, no source: about 2 cm, 6 needles on standard; the owner decides";
const REACH: &str = "Common practice, no source: 2 needles along a bed or 1 across go, 3 along are a stretch; a crossing goes to 3, and 5 at most";
const THROUGH: &str = "Common practice, no source: more than three loops are knitted by hand";
const GRAMS: &str = "Common practice, no source: grams a needle by gauge; the owner decides";
const CARRIED: &str = "Common practice, no source: a yarn is carried up over six passes at most";

const A: Needle = Needle { bed: Bed::Main, slot: Slot(0) };
const B: Needle = Needle { bed: Bed::Main, slot: Slot(1) };
const OPPOSITE: Needle = Needle { bed: Bed::Ribber, slot: Slot(0) };
const YARN: Yarn = Yarn(0);

/// A row for each fault: how it is known, one of it for the list of rules, and where its limit comes from. A fault
/// without a row does not compile.
macro_rules! rule_book {
    ($($fault:pat => $one:expr, $source:expr;)+) => {
        /// One of each fault, for the list of rules.
        #[must_use]
        pub fn one_of_each() -> Vec<Fault> {
            vec![$($one),+]
        }

        /// Where a rule's limit comes from.
        fn source(fault: &Fault) -> &'static str {
            match fault {
                $($fault => $source,)+
            }
        }
    };
}

rule_book! {
    Fault::Start => Fault::Start, MACHINE;
    Fault::OutsideBed { .. } => Fault::OutsideBed { needle: A }, MACHINE;
    Fault::Facing { .. } => Fault::Facing { main: A, ribber: OPPOSITE }, MACHINE;
    Fault::WrongSide { .. } => Fault::WrongSide { stands: Side::Left }, MACHINE;
    Fault::YarnElsewhere { .. } => Fault::YarnElsewhere { yarn: YARN, waits: Side::Left }, MACHINE;
    Fault::NoYarn { .. } => Fault::NoYarn { yarn: YARN }, MACHINE;
    Fault::NoLoop { .. } => Fault::NoLoop { needle: A }, MACHINE;
    Fault::NotInWork { .. } => Fault::NotInWork { needle: A }, MACHINE;
    Fault::NotHolding { .. } => Fault::NotHolding { needle: A }, MACHINE;
    Fault::NotEmpty { .. } => Fault::NotEmpty { needle: A, loops: 1 }, MACHINE;
    Fault::OutWithLoops { .. } => Fault::OutWithLoops { needle: A, loops: 1 }, MACHINE;
    Fault::DownWithLoops { .. } => Fault::DownWithLoops { needle: A, needles: 1 }, MACHINE;
    Fault::RibberIsDown { .. } => Fault::RibberIsDown { needle: A }, MACHINE;
    Fault::HolderCount { .. } => Fault::HolderCount { stacks: 1, needles: 2 }, MACHINE;
    Fault::NoSuchLoop { .. } => Fault::NoSuchLoop { number: 9 }, MACHINE;
    Fault::NotHanging { .. } => Fault::NotHanging { load: Load::Comb, hangs: 0, asked: 1 }, MACHINE;
    Fault::NothingToMoveUp { .. } => Fault::NothingToMoveUp { load: Load::Weights }, MACHINE;
    Fault::LiveAtEnd { .. } => Fault::LiveAtEnd { loops: 1, first: Some(A), held: 0 }, MACHINE;
    Fault::ClaimCounter { .. } => Fault::ClaimCounter { said: 1, is: 2 }, SAID;
    Fault::ClaimStitches { .. } => Fault::ClaimStitches { of: Counted::InAll, said: 1, is: 2 }, SAID;
    Fault::ClaimCarriage { .. } => Fault::ClaimCarriage { said: Side::Left, is: Side::Right }, SAID;
    Fault::TwoEmpties { .. } => Fault::TwoEmpties { first: A, second: B }, MACHINE;
    Fault::LastTuck { .. } => Fault::LastTuck { needle: A }, EDGE_TUCKS;
    Fault::FirstTuck { .. } => Fault::FirstTuck { needle: A }, EDGE_TUCKS;
    Fault::EndMissed { .. } => Fault::EndMissed { needle: A }, MACHINE;
    Fault::TucksAtLimit { .. } => Fault::TucksAtLimit { needle: A, tucks: 4 }, TUCKS;
    Fault::TooManyTucks { .. } => Fault::TooManyTucks { needle: A, tucks: 5, limit: 4 }, TUCKS;
    Fault::ManyThrough { .. } => Fault::ManyThrough { needle: A, loops: 4 }, THROUGH;
    Fault::OpenTuck { .. } => Fault::OpenTuck { needle: A }, PRACTICE;
    Fault::Undeclared { .. } => Fault::Undeclared { needle: A }, MACHINE;
    Fault::NothingHangs => Fault::NothingHangs, MACHINE;
    Fault::LongFloat { .. } => Fault::LongFloat { from: A, to: B, halves: 14, limit: 6 }, FLOATS;
    Fault::CarriedFar { .. } => Fault::CarriedFar { from: A, to: B, halves: 6, level: FaultLevel::Warning }, REACH;
    Fault::PastStatedCarry { .. } => Fault::PastStatedCarry { from: A, to: B, halves: 6, stated: 2 }, SAID;
    Fault::Weight { .. } => Fault::Weight { grams: 1, needles: 9, least: 2, most: 12 }, GRAMS;
    Fault::CarriedYarn { .. } => Fault::CarriedYarn { yarn: YARN, passes: 8 }, CARRIED;
    Fault::WrongEnd { .. } => Fault::WrongEnd { yarn_at: Side::Left }, MACHINE;
    Fault::HungCount { .. } => Fault::HungCount { places: 1, needles: 2 }, SAID;
    Fault::LaidWithout => Fault::LaidWithout, MACHINE;
    Fault::FellOff { .. } => Fault::FellOff { needle: A, loops: 1 }, MACHINE;
}

/// A rule, for those who want to read the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// Its name.
    pub id: &'static str,
    /// How bad it is.
    pub level: Level,
    /// What it says when it finds something.
    pub says: String,
    /// What would work.
    pub remedy: String,
    /// Where its limit comes from.
    pub source: &'static str,
}

/// Every rule: those of the judge, then those of the craft.
#[must_use]
pub fn rules() -> Vec<Rule> {
    let of_judge = one_of_each().into_iter().map(|f| {
        let (what, _, remedy) = words(&f, 4);
        let level = match f.level() {
            FaultLevel::Warning => Level::Warning,
            FaultLevel::Error => Level::Error,
        };
        Rule { id: f.rule().0, level, says: what, remedy, source: source(&f) }
    });
    of_judge
        .chain(super::rules::CRAFT.iter().map(|r| Rule {
            says: r.says.to_string(),
            remedy: r.remedy.to_string(),
            id: r.id,
            level: r.level,
            source: r.source,
        }))
        .collect()
}

/// A fault of a plan that has no design: what, why, and what would work.
#[must_use]
pub fn explain_fault(fault: &Fault, most_tucks: u32) -> (String, String, String) {
    words(fault, most_tucks)
}

/// What the counter reads when a step is begun.
pub(super) fn counter_before(plan: &PiecePlan, step: usize) -> u32 {
    plan.plan.steps.iter().take(step).fold(0, |counter, s| match &s.action {
        Action::Counter(n) => *n,
        Action::Pass(p) => counter + u32::from(p.counted),
        _ => counter,
    })
}

/// A needle as knitters name it.
fn n(needle: Needle) -> String {
    format!("{} {}", if needle.bed == Bed::Main { "main bed" } else { "ribber" }, needle.slot)
}

fn pitches(halves: u32) -> String {
    if halves.is_multiple_of(2) { format!("{}", halves / 2) } else { format!("{}½", halves / 2) }
}

fn needles(count: u32) -> String {
    if count == 1 { "1 needle".to_string() } else { format!("{count} needles") }
}

fn words(fault: &Fault, tucks: u32) -> (String, String, String) {
    let say = |what: String, why: &str, hint: &str| (what, why.to_string(), hint.to_string());
    match *fault {
        Fault::Start => {
            say("A piece begins with its start, once.".into(), "", "Make start the first step, and the only one.")
        }
        Fault::OutsideBed { needle } => say(
            format!("The machine has no needle {}.", n(needle)),
            "The piece is wider than the bed.",
            "Use fewer needles.",
        ),
        Fault::Facing { main, ribber } => say(
            format!("{} and {} face each other.", n(main), n(ribber)),
            "Two needles at one place collide when both are in work.",
            "Put one of them out of work, or set half pitch.",
        ),
        Fault::WrongSide { stands } => say(
            format!("The carriage stands at the {stands}, and the pass begins at the other side."),
            "A row is missing or one too many.",
            "Give a stretch an even number of rows, or begin at the other side.",
        ),
        Fault::YarnElsewhere { waits, .. } => say(
            format!("The yarn waits at the {waits}, and the carriage begins at the other side."),
            "",
            "Cut the yarn and join it where the carriage is.",
        ),
        Fault::NoYarn { yarn } => say(format!("Yarn {} is not joined.", u16::from(yarn.0) + 1), "", "Join it first."),
        Fault::NoLoop { needle } => say(
            format!("Needle {} holds no loop, so nothing can be moved from it.", n(needle)),
            "",
            "Look whether it was emptied before, or name the needle that carries the loop.",
        ),
        Fault::NotInWork { needle } => say(
            format!("Needle {} is out of work.", n(needle)),
            "A loop put on it would be pushed off.",
            "Bring it into work first.",
        ),
        Fault::NotHolding { needle } => say(
            format!("Needle {} is not in holding.", n(needle)),
            "A wrap at a turn lies on a holding needle.",
            "Put it into holding first.",
        ),
        Fault::NotEmpty { needle, loops } => say(
            format!("Needle {} already carries {loops} loops.", n(needle)),
            "Only an empty needle is wrapped.",
            "Wrap another needle, or bring an empty one in.",
        ),
        Fault::OutWithLoops { needle, loops } => say(
            format!("Needle {} is put out of work with {loops} loops on it.", n(needle)),
            "They would drop.",
            "Move them to a neighbour first.",
        ),
        Fault::DownWithLoops { needle, needles } => say(
            format!("The ribber is lowered with loops on {needles} needles, {} first.", n(needle)),
            "They would be torn.",
            "Move them to the main bed first.",
        ),
        Fault::RibberIsDown { needle } => say(
            format!("The ribber is down and its needle {} is in work.", n(needle)),
            "",
            "Raise the ribber, or put its needles out of work.",
        ),
        Fault::HolderCount { stacks, needles } => say(
            format!("{stacks} loops are held and {needles} needles are named for them."),
            "",
            "Name one needle for each loop that is put back.",
        ),
        Fault::NoSuchLoop { number } => {
            say(format!("There is no loop {number} yet."), "", "Name a loop that was made before.")
        }
        Fault::NotHanging { hangs, asked, .. } => {
            say(format!("{asked} g are taken off, and {hangs} g hang."), "", "Take off no more than hangs.")
        }
        Fault::NothingToMoveUp { load } => {
            let (what, hint) = match load {
                Load::Comb => ("The comb is", "Hang it first, or leave that line out."),
                Load::Weights => ("The weights are", "Hang them first, or leave that line out."),
            };
            say(format!("{what} moved up, and nothing hangs."), "", hint)
        }
        Fault::LiveAtEnd { loops, first: Some(first), held } => say(
            format!(
                "{} left at the end{}, the first on {}.",
                if loops == 1 { "One open loop is".to_string() } else { format!("{loops} open loops are") },
                if held > 0 { format!(", {held} of them on a holder") } else { String::new() },
                n(first)
            ),
            "They would run.",
            "Bind them off, gather them, or keep them on waste yarn.",
        ),
        Fault::LiveAtEnd { loops, first: None, .. } => say(
            format!(
                "{} left on a holder at the end.",
                if loops == 1 { "One loop is".to_string() } else { format!("{loops} loops are") }
            ),
            "They would run.",
            "Put them back on needles and bind them off.",
        ),
        Fault::ClaimCounter { said, is } => say(
            format!("The counter reads {is:03} where the text says {said:03}."),
            "",
            "Count the rows before it again.",
        ),
        Fault::ClaimStitches { of, said, is } => say(
            format!(
                "{} {} where the text says {said}.",
                needles(is),
                match (of, is) {
                    (Counted::On(Bed::Main), 1) => "of the main bed carries loops",
                    (Counted::On(Bed::Main), _) => "of the main bed carry loops",
                    (Counted::On(Bed::Ribber), 1) => "of the ribber carries loops",
                    (Counted::On(Bed::Ribber), _) => "of the ribber carry loops",
                    (Counted::InAll, 1) => "carries loops",
                    (Counted::InAll, _) => "carry loops",
                }
            ),
            "",
            "Count the decreases and increases before it again.",
        ),
        Fault::ClaimCarriage { said, is } => say(
            format!("The carriage stands at the {is} where the text says {said}."),
            "",
            "A row is missing before it, or one too many.",
        ),
        Fault::TwoEmpties { first, second } => say(
            format!("{} and {} are empty neighbours.", n(first), n(second)),
            "The yarn lies over both hooks as one strand, so they make one loop, not two.",
            "Bring in one at a time with a row between, or rack until the beds alternate.",
        ),
        Fault::HungCount { places, needles: of } => say(
            format!("{places} places of an edge are hung on {}.", needles(of)),
            "",
            "Name one place for each needle.",
        ),
        Fault::LaidWithout => say(
            "A yarn is laid in where it is not held.".into(),
            "It lies between the needles and the yarn that knits: the main bed knits, with one yarn in the feeder.",
            "Set the main bed to knit, and take the second yarn out.",
        ),
        Fault::LastTuck { needle } => say(
            format!("The last loop of a pass is a tuck, on {}.", n(needle)),
            "Nothing holds it, and the turn of the carriage pulls it off.",
            "Let the end needle stand on the bed that knits.",
        ),
        Fault::FirstTuck { needle } => say(
            format!("The first loop of a pass is a tuck, on {}.", n(needle)),
            "It can slip off at the edge.",
            "Bring that needle forward by hand before the pass, or watch it.",
        ),
        Fault::EndMissed { needle } => say(
            format!("The end needle {} is slipped while others of its bed knit.", n(needle)),
            "The edge is pulled in.",
            "Bring it forward by hand.",
        ),
        Fault::TucksAtLimit { needle, tucks } => say(
            format!("Needle {} carries {tucks} tucks, as many as the machine takes.", n(needle)),
            "One more may jam the hook.",
            "Knit them off in the next row, or tuck fewer rows.",
        ),
        Fault::TooManyTucks { needle, tucks, limit } => say(
            format!("Needle {} carries {tucks} tucks; the limit is {limit}.", n(needle)),
            "The hook is overfull: loops jam or break.",
            "Knit a clearing pass sooner.",
        ),
        Fault::ManyThrough { needle, loops } => say(
            format!("{loops} loops are knitted through at once on {}.", n(needle)),
            "The needle may not draw the yarn through all of them by itself.",
            "Bring that needle forward by hand and knit it gently.",
        ),
        Fault::OpenTuck { needle } => (
            format!("A loop with an open tuck on it is moved from {}.", n(needle)),
            "The tuck slips off the tool.".to_string(),
            format!("Shape after the pass that clears the tucks (the limit of this machine is {tucks})."),
        ),
        Fault::Undeclared { needle } => say(
            format!("Needle {} is empty and knits.", n(needle)),
            "It makes a hole that nobody asked for.",
            "Put it out of work after its loop was moved.",
        ),
        Fault::NothingHangs => say(
            "A second pass is knitted over a cast-on with nothing hanging from it.".into(),
            "The loops ride up and jump off.",
            "Hang the comb and weights after the zigzag row.",
        ),
        Fault::LongFloat { from, to, halves, limit } => (
            format!("The yarn floats {} needles from {} to {}.", pitches(halves), n(from), n(to)),
            format!("Floats above {limit} needles catch and pull in."),
            "Choose a pattern with shorter floats.".to_string(),
        ),
        Fault::CarriedFar { from, to, halves, .. } => say(
            format!("A loop is carried {} needles, from {} to {}.", pitches(halves), n(from), n(to)),
            "So far the yarn does not stretch.",
            "Move it in two steps with a row between.",
        ),
        Fault::PastStatedCarry { from, to, halves, stated } => say(
            format!(
                "This crossing is said to carry no stitch past {}, but carries one {}, from {} to {}.",
                needles(u32::from(stated)),
                pitches(halves),
                n(from),
                n(to)
            ),
            "",
            "State the longest move of the crossing.",
        ),
        Fault::Weight { grams, needles, least, most } => (
            format!("{grams} g hang from {needles} loops."),
            format!("This machine likes {least} to {most} g for each."),
            "Hang more or less.".to_string(),
        ),
        Fault::CarriedYarn { passes, .. } => say(
            format!("A yarn is carried up the side over {passes} passes."),
            "The strand puckers the edge.",
            "Twist it with the other yarn every few rows, or cut it.",
        ),
        Fault::WrongEnd { yarn_at } => say(
            format!("The bind-off begins at the {yarn_at}, where the yarn is."),
            "It must finish at the yarn, whose end is drawn through the last loop.",
            "Begin at the other end.",
        ),
        Fault::FellOff { needle, loops } => say(
            format!("{loops} loops fall off {} in a pass without yarn.", n(needle)),
            "",
            "Set the bed to slip, or thread the yarn.",
        ),
    }
}
