//! Steps to lines.

use std::collections::BTreeMap;

use latchwork_machine::needle::{Bed, Needle, Pitch, Side, Slot};
use latchwork_machine::steps::{Action, Load, Mark, Pass, Plan, Setting, Step, Yarn};

use super::list::pattern;
use super::passes::{phrase, pushed, way};
use super::stand::Stand;
use super::{Instruction, Sentence, list, tidy};
use crate::fact::{Chart, HungEdge, PartName};
use crate::units::{Language, Mm, Show, dial};
use crate::wording::{say, side as side_word};

/// The name of a part, and the fabric of a stretch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label<'a> {
    /// Its name.
    pub name: PartName,
    /// The fabric's name, for a stretch.
    pub fabric: Option<&'a str>,
}

/// What the words need besides the steps: a label for each part, yarn names, tails by step, units.
#[derive(Debug, Clone)]
pub struct Given<'a> {
    /// Label of each part, by origin number.
    pub labels: Vec<Label<'a>>,
    /// Yarn names.
    pub yarns: &'a [String],
    /// The charts of its rows.
    pub charts: &'a [Chart],
    /// Lengths of yarn to leave, by step.
    pub tails: BTreeMap<usize, Mm>,
    /// Edges of other pieces that are hung.
    pub hung: &'a [HungEdge],
    /// Units.
    pub show: Show,
}

/// The name of a yarn of a plan; the second and third are waste yarn and ravel cord in every plan.
pub(crate) fn yarn_name(yarns: &[String], yarn: Yarn, t: Language) -> String {
    match (yarn, yarns.get(usize::from(yarn.0))) {
        (Yarn(1), _) => say!(t, "waste yarn"),
        (Yarn(2), _) => say!(t, "ravel cord"),
        (_, Some(name)) => name.clone(),
        (_, None) => say!(t, "yarn"),
    }
}

/// The lines of a plan in one size.
#[must_use]
pub fn say(plan: &Plan, given: &Given<'_>) -> Vec<Instruction> {
    let mut speaker = Speaker {
        plan,
        given,
        at: 0,
        lines: Vec::new(),
        counter: 0,
        counting: false,
        side: Side::Right,
        dial: [None, None],
        hold: [false, false],
        yarn: None,
        second: None,
        laid: None,
        counted: true,
        joined: BTreeMap::new(),
        stand: Stand::of(&plan.steps),
        grams: 0,
        chained: false,
        comb: false,
        before: Vec::new(),
        rows_of: (0, 0),
        two_beds: plan
            .steps
            .iter()
            .any(|s| matches!(&s.action, Action::IntoWork(n) if n.iter().any(|n| n.bed == Bed::Ribber))),
        one_yarn: plan.steps.iter().all(|s| match s.action {
            Action::Join { yarn, .. } => yarn == Yarn(0),
            _ => true,
        }),
    };
    while speaker.at < plan.steps.len() {
        if speaker.repeated() {
            let threaded = speaker.threaded();
            speaker.before.resize(speaker.lines.len(), threaded);
            continue;
        }
        let (before, threaded) = (speaker.at, speaker.threaded());
        speaker.line();
        speaker.before.resize(speaker.lines.len(), threaded);
        debug_assert!(speaker.at > before, "every step is said");
        if speaker.at == before {
            speaker.at += 1;
        }
    }
    speaker.lines
}

/// How to lower the ribber.
pub(super) const LOWER: &str =
    "Take off the two-bed arm. Lower the ribber. Fit the single-bed arm, with the yarn in its feeder. ";

pub(super) struct Speaker<'a> {
    pub(super) plan: &'a Plan,
    pub(super) given: &'a Given<'a>,
    pub(super) at: usize,
    pub(super) lines: Vec<Instruction>,
    pub(super) counter: u32,
    pub(super) counting: bool,
    pub(super) side: Side,
    /// The last stitch sizes printed, main bed and ribber.
    pub(super) dial: [Option<u8>; 2],
    pub(super) hold: [bool; 2],
    /// The yarn in the feeder, and the one that needles in forward position take.
    pub(super) yarn: Option<Yarn>,
    pub(super) second: Option<Yarn>,
    /// The yarn laid in.
    pub(super) laid: Option<Yarn>,
    pub(super) counted: bool,
    /// The yarns threaded so far, and the step that first did.
    pub(super) joined: BTreeMap<Yarn, usize>,
    pub(super) stand: Stand,
    pub(super) grams: u32,
    /// Whether a chain round the gate pegs was explained.
    pub(super) chained: bool,
    /// Whether the comb hangs.
    pub(super) comb: bool,
    pub(super) two_beds: bool,
    /// The part last knitted, and its passes so far.
    pub(super) rows_of: (u32, usize),
    /// The yarns threaded before each line: in the feeder, for needles in forward position, laid in.
    pub(super) before: Vec<[Option<Yarn>; 3]>,
    /// Whether the first yarn is all that is threaded.
    one_yarn: bool,
}

impl<'a> Speaker<'a> {
    pub(super) fn peek(&self) -> Option<&'a Step> {
        self.plan.steps.get(self.at)
    }

    pub(super) fn action(&self) -> Option<&'a Action> {
        self.peek().map(|s| &s.action)
    }

    /// The yarns threaded now.
    pub(super) fn threaded(&self) -> [Option<Yarn>; 3] {
        [self.yarn, self.second, self.laid]
    }

    /// Marks the next step as printed.
    pub(super) fn done(&mut self) {
        if let Some(step) = self.peek() {
            self.stand.does(&step.action);
            if let Action::Pass(_) = step.action {
                let before = if self.rows_of.0 == step.origin.0 { self.rows_of.1 } else { 0 };
                self.rows_of = (step.origin.0, before + 1);
            }
        }
        self.at += 1;
    }

    pub(super) fn fabric(&self, origin: u32) -> Option<&'a str> {
        self.given.labels.get(origin as usize).and_then(|l| l.fabric)
    }

    pub(super) fn language(&self) -> Language {
        self.given.show.language
    }

    /// The name of a yarn if the piece has several; waste yarn and ravel cord have fixed names.
    pub(super) fn yarn_name(&self, yarn: Yarn) -> String {
        if self.one_yarn && yarn == Yarn(0) {
            return say!(self.language(), "the yarn");
        }
        yarn_name(self.given.yarns, yarn, self.language())
    }

    /// One line, from the next step on.
    fn line(&mut self) {
        let Some(step) = self.peek() else { return };
        let (start, part) = (self.at, step.origin.0);
        let mut s = Sentence::new(self.language());
        let mut shapings = Vec::new();
        match &step.action {
            Action::Start { .. } => self.set_up(&mut s),
            Action::Pass(_) if self.leads_to_chart() && self.by_chart(&mut s) => {}
            Action::Pass(p) => {
                let chosen = self.stand.pushed_out(p) != (false, false);
                if self.fabric(part).is_some() && p.mark == Mark::Plain && p.yarn.is_some() && !chosen {
                    self.stretch(&mut s, part, &mut shapings);
                } else {
                    self.other_passes(&mut s, p);
                }
            }
            Action::Secure { .. }
            | Action::Release(_)
            | Action::Cut(_)
            | Action::Hang { .. }
            | Action::Unhang { .. } => self.finish(&mut s),
            Action::Counter(_) | Action::Claim(_) => self.settle(&mut s),
            Action::Rack(_) | Action::Pitch(_) => self.ribber_stands(&mut s),
            Action::Transfer(_) if self.by_chart(&mut s) => {}
            Action::IntoWork(_) | Action::Transfer(_) => self.transfers(&mut s),
            Action::Hold(_) | Action::BackToWorking(_) if self.short_rows(&mut s, part) => {}
            _ => self.by_hand(&mut s),
        }
        // After a table of shapings, the closing sentences get a line of their own: in this one they would precede the table.
        if shapings.is_empty() {
            self.trailing(&mut s);
        }
        tidy(&mut s.tokens);
        if s.tokens.is_empty() {
            return;
        }
        self.lines.push(Instruction {
            part,
            tokens: s.tokens,
            counter: self.counting.then_some(self.counter),
            side: self.side,
            shapings,
            steps: start..self.at,
            repeat: false,
        });
    }

    /// The end of a line: counter set, claims, weights.
    fn trailing(&mut self, s: &mut Sentence) {
        loop {
            match self.action() {
                Some(Action::Hang { .. } | Action::Unhang { .. })
                    if !matches!(
                        self.plan.steps.get(self.after_loads()).map(|s| &s.action),
                        Some(Action::Secure { .. } | Action::Release(_))
                    ) =>
                {
                    self.loads(s, false);
                }
                Some(Action::Counter(_) | Action::Claim(_)) => self.settle(s),
                _ => return,
            }
        }
    }

    fn after_loads(&self) -> usize {
        let mut i = self.at;
        while matches!(self.plan.steps.get(i).map(|s| &s.action), Some(Action::Hang { .. } | Action::Unhang { .. })) {
            i += 1;
        }
        i
    }

    /// The counter being set. A claim adds no words: the counter beside the line states it.
    pub(super) fn settle(&mut self, s: &mut Sentence) {
        if let Some(Action::Counter(n)) = self.action() {
            self.counter = *n;
            self.counting = true;
            s.text(" Set the counter to ").value(crate::units::counter(*n)).text(".");
        }
        self.done();
    }

    /// Comb and weights hung or removed, with the total; `within` continues a sentence already begun.
    pub(super) fn loads(&mut self, s: &mut Sentence, within: bool) {
        let before = self.grams;
        let mut comb_on = false;
        let mut comb_off = false;
        while let Some(action @ (Action::Hang { load, grams } | Action::Unhang { load, grams })) = self.action() {
            let hung = matches!(action, Action::Hang { .. });
            self.grams = if hung { self.grams + grams } else { self.grams.saturating_sub(*grams) };
            if *load == Load::Comb {
                self.comb = hung;
                comb_on |= hung;
                comb_off |= !hung;
            }
            self.done();
        }
        s.text(" ");
        let or = |first, then| if within { then } else { first };
        match (comb_on, comb_off, self.grams) {
            (_, true, 0) => {
                s.strong(or("Remove", "remove")).text(" all weights and any comb.");
            }
            (true, _, g) => {
                s.strong(or("Hang the comb and weights", "hang the comb and weights")).text(": about ");
                s.value(g).text(" g in total, with a claw weight at each edge.");
            }
            (false, true, g) => {
                s.strong(or("Remove the comb", "remove the comb"))
                    .text(". Hang weights: ")
                    .value(g)
                    .text(" g in total.");
            }
            (false, false, 0) if self.stand.fast() => {
                s.strong(or("Remove", "remove")).text(" all weights.");
            }
            (false, false, 0) => {
                s.strong(or("Remove", "remove")).text(" all weights. Hold the work down by hand.");
            }
            (false, false, g) if g < before => {
                s.strong(or("Remove weights", "remove weights")).text(": ").value(g).text(" g left in total.");
            }
            (false, false, g) => {
                s.strong(or("Add weights", "add weights")).text(": ").value(g).text(" g in total.");
            }
        }
    }

    fn set_up(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Start { carriage, .. } => {
                    self.side = *carriage;
                    let down = matches!(self.plan.steps.get(self.at + 1).map(|s| &s.action), Some(Action::RibberDown));
                    if down {
                        s.text("Ribber down. Single-bed arm. ");
                    } else if self.two_beds {
                        s.text("Ribber up. Two-bed arm. ");
                    }
                    s.text("Carriage at the ").name(side_word(*carriage, self.language())).text(". ");
                    self.done();
                    if self.two_beds {
                        s.text(if self.stand.pitch() == Pitch::Full { "Full pitch" } else { "Half pitch" });
                        self.racked(s);
                        s.text(". ");
                    }
                    if down {
                        self.done();
                    }
                    continue;
                }
                Action::IntoWork(needles) => {
                    s.strong("Bring ").value(needles.len());
                    s.strong(if needles.len() == 1 { " needle into work" } else { " needles into work" }).text(".");
                    self.bring_in(s, needles);
                }
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                _ => return,
            }
            self.done();
        }
    }

    /// The needles brought into work, bed by bed.
    pub(super) fn bring_in(&mut self, s: &mut Sentence, needles: &[Needle]) {
        let of = |bed: Bed| {
            let mut of: Vec<i16> = needles.iter().filter(|n| n.bed == bed).map(|n| n.slot.0).collect();
            of.sort_unstable();
            of
        };
        let beds: Vec<(Bed, Vec<i16>)> =
            Bed::BOTH.into_iter().map(|b| (b, of(b))).filter(|b| !b.1.is_empty()).collect();
        for (bed, of) in &beds {
            s.text(if *bed == Bed::Ribber { " Ribber: " } else { " Main bed: " });
            if beds.len() > 1 {
                s.value(of.len()).text(", ");
            }
            match (pattern(of), of.first(), of.last()) {
                (Some(words), Some(first), Some(last)) => {
                    s.text(words).text(" from ").value(Slot(*first)).text(" to ").value(Slot(*last)).text(".");
                }
                _ => {
                    let slots: Vec<Slot> = of.iter().map(|s| Slot(*s)).collect();
                    s.value(list::slots(&slots, self.language())).text(".");
                }
            }
        }
    }

    /// How far the ribber is racked, if it is.
    pub(super) fn racked(&self, s: &mut Sentence) {
        let r = self.stand.racking().0;
        if r != 0 {
            s.text(", racked ").name(r.unsigned_abs().to_string()).text(to_side(r));
        }
    }

    pub(super) fn join(&mut self, s: &mut Sentence) {
        if let Some(Action::Join { yarn, side }) = self.action() {
            let first = *self.joined.entry(*yarn).or_insert(self.at);
            let again = if first == self.at { "" } else { " again" };
            s.text(if s.tokens.is_empty() { "" } else { " " }).strong("Thread ").strong_name(self.yarn_name(*yarn));
            s.text(again);
            let waits = *side != self.side;
            if waits {
                s.text(" ready at the ").name(side_word(*side, self.language()));
            } else {
                self.yarn = Some(*yarn);
            }
            // A cast-on wrapped towards the carriage begins at the far end.
            let after = self.plan.steps.get(self.at + 1..).unwrap_or_default().iter().map(|s| &s.action);
            let wrapped = after.take(2).any(|a| matches!(a, Action::Wrap { .. }));
            let at = if wrapped { side.other() } else { *side };
            let hangs = (!waits || wrapped).then_some(at);
            self.tail(s, self.at, hangs);
            s.text(".");
            self.done();
        }
    }

    /// The tail to leave, and its side.
    pub(super) fn tail(&self, s: &mut Sentence, step: usize, at: Option<Side>) {
        if let Some(length) = self.given.tails.get(&step) {
            let show = self.given.show;
            s.text(", leaving a tail of ").value(show.round(*length)).text(" ").name(show.unit());
            if let Some(side) = at {
                s.text(" at the ").name(side_word(side, self.language()));
            }
        }
    }

    /// Changes to a yarn for a hand step, if it is not the one in the feeder.
    pub(super) fn take_up(&mut self, s: &mut Sentence, yarn: Yarn) {
        if self.yarn != Some(yarn) {
            self.yarn = Some(yarn);
            s.text("Change to ").name(self.yarn_name(yarn)).text(". ");
        }
    }

    /// The settings that change before a pass: yarn, counter, hold, stitch sizes.
    pub(super) fn settings(&mut self, s: &mut Sentence, p: &Pass) {
        match p.yarn {
            Some(yarn) => self.take_up(s, yarn),
            None if self.yarn.is_some() => {
                self.yarn = None;
                s.text("Take the yarn out of the feeder. ");
            }
            None => {}
        }
        if p.laid != self.laid {
            self.laid = p.laid;
            match p.laid {
                None => s.text("Laid-in yarn: none. "),
                Some(y) => s
                    .text("Laid-in yarn: ")
                    .name(self.yarn_name(y))
                    .text(", over needles in forward position and under the others. "),
            };
        }
        if p.second != self.second {
            self.second = p.second;
            match p.second {
                Some(y) => s.text("Second yarn: ").name(self.yarn_name(y)).text(" for needles in forward position. "),
                None => s.text("Second yarn: none. "),
            };
        }
        if p.counted != self.counted {
            self.counted = p.counted;
            s.text(if p.counted { "Counter on. " } else { "Counter off. " });
        }
        let hold = [p.main.hold, p.ribber.hold];
        for bed in Bed::BOTH.into_iter().filter(|b| self.stand.any(*b)) {
            let b = bed.index();
            if hold[b] != self.hold[b] {
                self.hold[b] = hold[b];
                s.text(if hold[b] { "Hold on, " } else { "Hold off, " });
                s.text(if bed == Bed::Main { "main bed. " } else { "ribber. " });
            }
        }
        self.dials(s, p);
    }

    /// Stitch sizes: when one changes, those of all beds with needles in work.
    fn dials(&mut self, s: &mut Sentence, p: &Pass) {
        let new = [p.main.dial.0, p.ribber.dial.0];
        let beds = [self.stand.any(Bed::Main), self.stand.any(Bed::Ribber)];
        if (0..2).all(|b| !beds[b] || self.dial[b] == Some(new[b])) {
            return;
        }
        for b in (0..2).filter(|b| beds[*b]) {
            self.dial[b] = Some(new[b]);
        }
        match beds {
            [true, true] => {
                s.text("Stitch size: main bed ").name(dial(new[0])).text(", ribber ").name(dial(new[1])).text(". ")
            }
            [true, false] => s.text("Stitch size: main bed ").name(dial(new[0])).text(". "),
            [false, _] => s.text("Stitch size: ribber ").name(dial(new[1])).text(". "),
        };
    }

    pub(super) fn moved(&mut self, p: &Pass) {
        self.side = p.direction;
        if p.counted {
            self.counter += 1;
        }
        self.done();
    }

    /// Whether two passes need the same settings.
    pub(super) fn alike(a: &Pass, b: &Pass) -> bool {
        let key = |p: &Pass| {
            let beds = (p.main.dial, p.ribber.dial, p.main.hold, p.ribber.hold);
            (p.yarn, (p.second, p.laid), p.counted, p.mark, beds)
        };
        key(a) == key(b)
    }

    /// Passes outside a stretch of fabric: zigzag, tubular rows, waste yarn, the loose row.
    fn other_passes(&mut self, s: &mut Sentence, first: &'a Pass) {
        let loose = self.dial[0].is_some_and(|d| first.main.dial.0 >= d + 3);
        let knitted =
            self.plan.steps.get(..self.at).is_some_and(|b| b.iter().any(|s| self.fabric(s.origin.0).is_some()));
        let threaded = self.at.checked_sub(1).and_then(|i| self.plan.steps.get(i));
        let threaded = matches!(threaded.map(|s| &s.action), Some(Action::Join { .. }));
        self.settings(s, first);
        let mut passes: Vec<&Pass> = Vec::new();
        // Needles pushed out knit in one row only, which gets its own sentence.
        let out = self.stand.pushed_out(first);
        let beds = [self.stand.any(Bed::Main), self.stand.any(Bed::Ribber)];
        let once = first.mark == Mark::OpenStart || out != (false, false);
        while let Some(Action::Pass(p)) = self.action() {
            if !Self::alike(p, first) || (once && !passes.is_empty()) {
                break;
            }
            passes.push(p);
            self.moved(p);
        }
        let n = passes.len();
        let every = |main, ribber| passes.iter().all(|p| p.main.setting == main && p.ribber.setting == ribber);
        let both = every(Setting::Knit, Setting::Knit);
        let main = every(Setting::Knit, Setting::Slip);
        let one_bed_each =
            || passes.iter().all(|p| (p.main.setting == Setting::Slip) != (p.ribber.setting == Setting::Slip));
        match (first.yarn, first.mark) {
            (None, mark) => {
                s.strong("Make ").value(n).strong(if n == 1 { " free pass" } else { " free passes" });
                if n == 1 {
                    s.text(" ").name(way(first.direction, self.language()));
                }
                s.text(if mark == Mark::Release { " to drop the stitches" } else { "" });
                self.as_set(s, &passes);
            }
            (Some(_), Mark::OpenStart) => {
                s.strong("Knit 1 open row").text(" over the empty needles");
                self.as_set(s, &passes);
            }
            (Some(_), _) if out != (false, false) => {
                s.strong("Knit 1 row").text(": ").name(pushed(first, out, beds, self.language())).text(".");
            }
            (Some(yarn), _) if main && (n > 1 || threaded) => {
                self.rows(s, n);
                s.text(" in ").name(self.yarn_name(yarn));
                self.as_set(s, &passes);
            }
            _ if n == 1 => {
                s.strong(if both && !knitted {
                    "Knit 1 zigzag row"
                } else if main && loose {
                    "Knit 1 loose row"
                } else {
                    "Knit 1 row"
                });
                self.as_set(s, &passes);
            }
            _ if one_bed_each() => {
                s.strong("Knit ").value(n).strong(" tubular rows");
                self.as_set(s, &passes);
            }
            _ => {
                self.rows(s, n);
                self.as_set(s, &passes);
            }
        }
    }

    /// How many rows to knit.
    pub(super) fn rows(&self, s: &mut Sentence, n: usize) {
        s.strong("Knit ").value(n).strong(if n == 1 { " row" } else { " rows" });
    }

    /// What the beds do in these rows, up to the end of the sentence.
    pub(super) fn as_set(&self, s: &mut Sentence, passes: &[&Pass]) {
        let (repeat, words) = phrase(passes, self.language());
        if let Some(rows) = repeat {
            s.text(", a repeat of ").name(rows.to_string()).text(" rows");
        }
        s.text(": ").name(words).text(".");
    }
}

/// The side to which the ribber is racked.
pub(super) fn to_side(racking: i8) -> &'static str {
    if racking < 0 { " to the left" } else { " to the right" }
}
