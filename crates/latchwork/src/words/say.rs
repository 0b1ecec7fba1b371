//! Steps to lines.

use std::collections::{BTreeMap, BTreeSet};

use latchwork_machine::needle::{Bed, Needle, Pitch, Side, Slot};
use latchwork_machine::steps::{Action, Load, Mark, Pass, Plan, Setting, Step, Yarn};

use super::list::pattern;
use super::passes::{phrase, pushed};
use super::stand::Stand;
use super::{Instruction, Sentence, Token, list};
use crate::fact::PartName;
use crate::units::{Language, Mm, Show, dial};
use crate::wording::{say, side as side_word};

/// What a part is called, and its fabric where it is a stretch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label<'a> {
    /// What it is called.
    pub name: PartName,
    /// The fabric's name, for a stretch.
    pub fabric: Option<&'a str>,
}

/// What the words need beside the steps: a label for each part, yarn names, tails by step, units.
#[derive(Debug, Clone)]
pub struct Given<'a> {
    /// Label of each part, by origin number.
    pub labels: Vec<Label<'a>>,
    /// Yarn names.
    pub yarns: &'a [String],
    /// Lengths of yarn to leave, by step.
    pub tails: BTreeMap<usize, Mm>,
    /// Units.
    pub show: Show,
}

/// A yarn of a plan by its name; waste yarn and ravel cord, which every plan has as its second and third, have no other.
pub(crate) fn yarn_name(yarns: &[String], yarn: Yarn, t: Language) -> String {
    match (yarn, yarns.get(usize::from(yarn.0))) {
        (Yarn(1), _) => say!(t, "waste yarn"),
        (Yarn(2), _) => say!(t, "ravel cord"),
        (_, Some(name)) => name.clone(),
        (_, None) => say!(t, "yarn"),
    }
}

/// Says a plan.
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
        joined: BTreeSet::new(),
        stand: Stand::of(&plan.steps),
        grams: 0,
        comb: false,
        two_beds: plan
            .steps
            .iter()
            .any(|s| matches!(&s.action, Action::IntoWork(n) if n.iter().any(|n| n.bed == Bed::Ribber))),
    };
    while speaker.at < plan.steps.len() {
        if speaker.repeated() {
            continue;
        }
        let before = speaker.at;
        speaker.line();
        debug_assert!(speaker.at > before, "every step is said");
        if speaker.at == before {
            speaker.at += 1;
        }
    }
    speaker.lines
}

/// What begins the line of a cast-on's tubular rows.
pub(super) const TUBULAR: &str = "Tubular";

/// What lowering the ribber takes.
pub(super) const LOWER: &str = "Change the carriage's arm to the one for the main bed alone, and lower the ribber.";

pub(super) struct Speaker<'a> {
    pub(super) plan: &'a Plan,
    pub(super) given: &'a Given<'a>,
    pub(super) at: usize,
    pub(super) lines: Vec<Instruction>,
    pub(super) counter: u32,
    pub(super) counting: bool,
    pub(super) side: Side,
    /// Stitch sizes last said, main bed and ribber.
    pub(super) dial: [Option<u8>; 2],
    pub(super) hold: [bool; 2],
    /// The yarn in the feeder, and the one that forward needles take.
    pub(super) yarn: Option<Yarn>,
    pub(super) second: Option<Yarn>,
    /// The yarn laid in.
    pub(super) laid: Option<Yarn>,
    pub(super) counted: bool,
    pub(super) joined: BTreeSet<Yarn>,
    pub(super) stand: Stand,
    pub(super) grams: u32,
    /// Whether the comb hangs.
    pub(super) comb: bool,
    pub(super) two_beds: bool,
}

impl<'a> Speaker<'a> {
    pub(super) fn peek(&self) -> Option<&'a Step> {
        self.plan.steps.get(self.at)
    }

    pub(super) fn action(&self) -> Option<&'a Action> {
        self.peek().map(|s| &s.action)
    }

    /// Takes the step at hand as said.
    pub(super) fn done(&mut self) {
        if let Some(action) = self.action() {
            self.stand.does(action);
        }
        self.at += 1;
    }

    pub(super) fn fabric(&self, origin: u32) -> Option<&'a str> {
        self.given.labels.get(origin as usize).and_then(|l| l.fabric)
    }

    pub(super) fn language(&self) -> Language {
        self.given.show.language
    }

    /// A yarn by its name; waste yarn and ravel cord have no other.
    pub(super) fn yarn_name(&self, yarn: Yarn) -> String {
        yarn_name(self.given.yarns, yarn, self.language())
    }

    /// A yarn in a sentence: the red yarn, the waste yarn, the ravel cord.
    pub(super) fn yarn_words(&self, yarn: Yarn) -> String {
        let name = self.yarn_name(yarn);
        let own = yarn.0 == 0 || yarn.0 > 2;
        let says_so = ["yarn", "cord", "wool", "thread"].iter().any(|w| name.to_lowercase().ends_with(w));
        if !own || says_so { name } else { say!(self.language(), "{name} yarn", name) }
    }

    /// One line, from the step at hand.
    fn line(&mut self) {
        let Some(step) = self.peek() else { return };
        let (start, part) = (self.at, step.origin.0);
        let mut s = Sentence::new(self.language());
        let mut shapings = Vec::new();
        match &step.action {
            Action::Start { .. } => self.set_up(&mut s),
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
            Action::IntoWork(_) | Action::Transfer(_) => self.transfers(&mut s),
            _ => self.by_hand(&mut s),
        }
        // What closes a stretch with a table would stand before its table: it gets a line of its own.
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

    /// What closes a line: counter set, claims, things hung.
    fn trailing(&mut self, s: &mut Sentence) {
        loop {
            match self.action() {
                Some(Action::Hang { .. } | Action::Unhang { .. })
                    if !matches!(
                        self.plan.steps.get(self.after_loads()).map(|s| &s.action),
                        Some(Action::Secure { .. } | Action::Release(_))
                    ) =>
                {
                    self.loads(s);
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

    /// The counter set; a claim says nothing, but the counter beside the line is one.
    pub(super) fn settle(&mut self, s: &mut Sentence) {
        if let Some(Action::Counter(n)) = self.action() {
            self.counter = *n;
            self.counting = true;
            s.text(" Set the counter to ").value(crate::units::counter(*n)).text(".");
        }
        self.done();
    }

    /// Comb and weights hung or taken off, in one sentence with what hangs in all.
    pub(super) fn loads(&mut self, s: &mut Sentence) {
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
        match (comb_on, comb_off, self.grams) {
            (_, true, 0) => {
                s.text("Take off the comb and all that hangs.");
            }
            (true, _, g) => {
                s.strong("Hang the comb and weights")
                    .text(", with a claw at each edge, about ")
                    .value(g)
                    .text(" g in all.");
            }
            (false, true, g) => {
                s.strong("Take off the comb").text(" and hang ").value(g).text(" g instead.");
            }
            (false, false, 0) => {
                s.text("Take off all weights, and hold the work down by hand.");
            }
            (false, false, g) if g < before => {
                s.strong("Take weights off").text(" until ").value(g).text(" g hang in all.");
            }
            (false, false, g) => {
                s.strong("Add weights").text(" until ").value(g).text(" g hang in all.");
            }
        }
    }

    fn set_up(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Start { carriage, .. } => {
                    self.side = *carriage;
                    let down = matches!(self.plan.steps.get(self.at + 1).map(|s| &s.action), Some(Action::RibberDown));
                    if self.two_beds && !down {
                        s.text("Ribber up, both carriages coupled. ");
                    }
                    s.text("Carriage at the ").name(side_word(*carriage, self.language())).text(". ");
                    self.done();
                    if self.two_beds {
                        s.text(if self.stand.pitch() == Pitch::Full { "Full pitch" } else { "Half pitch" });
                        self.racked(s);
                        s.text(". ");
                    }
                    continue;
                }
                Action::RibberDown => {
                    s.text("Ribber down, and the arm for the main bed alone on the carriage. ");
                }
                Action::IntoWork(needles) => self.bring_in(s, needles),
                Action::Join { .. } => {
                    self.join(s);
                    continue;
                }
                _ => return,
            }
            self.done();
        }
    }

    fn bring_in(&mut self, s: &mut Sentence, needles: &[Needle]) {
        let of = |bed: Bed| {
            let mut of: Vec<i16> = needles.iter().filter(|n| n.bed == bed).map(|n| n.slot.0).collect();
            of.sort_unstable();
            of
        };
        let beds: Vec<(Bed, Vec<i16>)> =
            Bed::BOTH.into_iter().map(|b| (b, of(b))).filter(|b| !b.1.is_empty()).collect();
        s.strong("Bring into work ").value(needles.len()).strong(if needles.len() == 1 {
            " needle"
        } else {
            " needles"
        });
        s.text(".");
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

    /// How the ribber is racked, where it is.
    pub(super) fn racked(&self, s: &mut Sentence) {
        let r = self.stand.racking().0;
        if r != 0 {
            let n = r.unsigned_abs();
            s.text(", the ribber racked ").name(n.to_string()).text(if n == 1 { " needle" } else { " needles" });
            s.text(" to the ").text(if r < 0 { "left" } else { "right" });
        }
    }

    pub(super) fn join(&mut self, s: &mut Sentence) {
        if let Some(Action::Join { yarn, side }) = self.action() {
            let again = if self.joined.insert(*yarn) { "" } else { " again" };
            s.text(if s.tokens.is_empty() { "Thread the " } else { " Thread the " })
                .name(self.yarn_words(*yarn))
                .text(again);
            if *side != self.side {
                s.text(", to wait at the ").name(side_word(*side, self.language()));
            } else {
                self.yarn = Some(*yarn);
            }
            // Wrapped towards the carriage, a cast-on begins at the other end.
            let after = self.plan.steps.get(self.at + 1..).unwrap_or_default().iter().map(|s| &s.action);
            let wrapped = after.take(2).any(|a| matches!(a, Action::Wrap { .. }));
            let at = if wrapped { side.other() } else { *side };
            let at = side_word(at, self.language());
            let hanging = say!(self.language(), " hanging at the {at}", at);
            self.tail(s, self.at, "; leave a tail of ", &hanging);
            s.text(".");
            self.done();
        }
    }

    pub(super) fn tail(&self, s: &mut Sentence, step: usize, before: &'static str, after: &str) {
        if let Some(length) = self.given.tails.get(&step) {
            let show = self.given.show;
            s.text(before).value(show.round(*length)).text(" ").name(show.unit()).name(after);
        }
    }

    /// Takes up a yarn for a hand step, if it is not the one in the feeder.
    pub(super) fn take_up(&mut self, s: &mut Sentence, yarn: Yarn) {
        if self.yarn != Some(yarn) {
            self.yarn = Some(yarn);
            s.text("Take up the ").name(self.yarn_words(yarn)).text(". ");
        }
    }

    /// What must be set before a pass and is not yet: yarn, counter, hold, stitch sizes.
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
                None => s.text("No yarn is laid in from here on. "),
                Some(y) => s
                    .strong("Lay in")
                    .text(" the ")
                    .name(self.yarn_words(y))
                    .text(" from here on: over the needles that are forward, under the others. "),
            };
        }
        if p.second != self.second {
            self.second = p.second;
            match p.second {
                Some(y) => {
                    s.text("Needles that are forward take the ").name(self.yarn_words(y)).text(" from here on. ")
                }
                None => s.text("Needles that are forward take no yarn of their own from here on. "),
            };
        }
        if p.counted != self.counted {
            self.counted = p.counted;
            s.text(if p.counted { "Switch the counter on. " } else { "Switch the counter off. " });
        }
        let hold = [p.main.hold, p.ribber.hold];
        for bed in Bed::BOTH.into_iter().filter(|b| self.stand.any(*b)) {
            let b = bed.index();
            if hold[b] != self.hold[b] {
                self.hold[b] = hold[b];
                let bed = if bed == Bed::Main { "main bed" } else { "ribber" };
                s.text("Set hold ").text(if hold[b] { "on" } else { "off" }).text(" for the ").text(bed).text(". ");
            }
        }
        self.dials(s, p);
    }

    /// Sizes are told for every bed that has needles in work, when one of them changes.
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
                s.text("Stitch sizes ").name(dial(new[0])).text(" (main bed) and ").name(dial(new[1]));
                s.text(" (ribber). ")
            }
            [true, false] if self.two_beds => s.text("Stitch size ").name(dial(new[0])).text(" on the main bed. "),
            [true, false] => s.text("Stitch size ").name(dial(new[0])).text(". "),
            [false, _] => s.text("Stitch size ").name(dial(new[1])).text(" on the ribber. "),
        };
    }

    pub(super) fn moved(&mut self, p: &Pass) {
        self.side = p.direction;
        if p.counted {
            self.counter += 1;
        }
        self.done();
    }

    /// Whether a pass needs no setting that the one before had not.
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
        // Needles pushed out knit once, so that their row is told by itself.
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
        let rows = if n == 1 { " row" } else { " rows" };
        let every = |main, ribber| passes.iter().all(|p| p.main.setting == main && p.ribber.setting == ribber);
        let both = every(Setting::Knit, Setting::Knit);
        let main = every(Setting::Knit, Setting::Slip);
        match (first.yarn, first.mark) {
            (None, Mark::Release) => {
                s.strong("Move the carriage across")
                    .text(", ")
                    .value(n)
                    .text(rows)
                    .text(", so that the needles that knit let their loops off: ");
                s.name(phrase(&passes, self.language())).text(".");
            }
            (None, _) => {
                s.strong("Move the carriage across").text(", ").value(n).text(rows).text(": ");
                s.name(phrase(&passes, self.language())).text(".");
            }
            (Some(_), Mark::OpenStart) => {
                s.text("Knit ").strong("one row over the empty needles").text(", and let it lie in the hooks: ");
                s.name(phrase(&passes, self.language())).text(".");
            }
            (Some(_), _) if out != (false, false) => {
                s.text("Knit ").strong("one row").text(": ").name(pushed(first, out, beds, self.language())).text(".");
            }
            (Some(yarn), _) if main && n > 1 => {
                let name = self.yarn_words(yarn);
                s.strong("Knit ").value(n).text(rows).text(" in ").name(name).text(" on the main bed.");
            }
            (Some(yarn), _) if main && threaded => {
                s.strong("Knit ").text("one row in ").name(self.yarn_words(yarn)).text(" on the main bed.");
            }
            _ if n == 1 && both && !knitted => {
                s.strong("Zigzag").text(": one row, both beds knit.");
            }
            _ if n == 1 && main && loose => {
                s.text("Knit ").strong("one loose row").text(" on the main bed.");
            }
            _ if n == 1 => {
                s.text("Knit ").strong("one row").text(": ").name(phrase(&passes, self.language())).text(".");
            }
            _ => {
                let label = if passes
                    .iter()
                    .all(|p| (p.main.setting == Setting::Slip) != (p.ribber.setting == Setting::Slip))
                {
                    TUBULAR
                } else {
                    "Knit"
                };
                s.strong(label).text(", ").value(n).text(" rows: ").name(phrase(&passes, self.language())).text(".");
            }
        }
    }
}

/// One space between sentences, none before the first or after the last.
fn tidy(tokens: &mut Vec<Token>) {
    let (mut open, mut stop) = (true, false);
    for t in tokens.iter_mut() {
        if let Token::Text(text) = t {
            if open {
                *text = text.trim_start().to_string();
            }
            *text = text.replace("  ", " ");
        }
        let (Token::Text(text) | Token::Strong(text) | Token::Value(text) | Token::Step(_, text)) = t;
        if stop && text.starts_with(char::is_alphanumeric) {
            text.insert(0, ' ');
        }
        stop = text.ends_with('.') || (stop && text.is_empty());
        open = text.ends_with(' ') || (open && text.is_empty());
    }
    tokens.retain(|t| !matches!(t, Token::Text(text) if text.is_empty()));
    if let Some(Token::Text(last)) = tokens.last_mut() {
        *last = last.trim_end().to_string();
    }
}
