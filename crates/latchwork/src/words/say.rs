//! Steps to lines.

use std::collections::BTreeMap;

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::steps::{Action, Claim, Load, Mark, Pass, Plan, Setting, Step, Yarn};

use super::passes::phrase;
use super::{Line, Sentence, ShapingRow, Token, capital};
use crate::units::{Mm, Show, dial};

/// What the words need beside the steps: a label for each part, yarn names, tails by step, units.
#[derive(Debug, Clone)]
pub struct Given<'a> {
    /// Label of each part, by origin number, and whether it is a stretch of fabric.
    pub labels: Vec<(String, Option<&'static str>)>,
    /// Yarn names.
    pub yarns: &'a [String],
    /// Lengths of yarn to leave, by step.
    pub tails: BTreeMap<usize, Mm>,
    /// Units.
    pub show: Show,
}

/// Says a plan.
#[must_use]
pub fn say(plan: &Plan, given: &Given<'_>) -> Vec<Line> {
    let mut speaker = Speaker {
        plan,
        given,
        at: 0,
        lines: Vec::new(),
        counter: 0,
        counting: false,
        side: Side::Right,
        dial: None,
        pitch: Pitch::Full,
        racking: Racking(0),
        loops: 0,
        grams: 0,
        comb: false,
    };
    while speaker.at < plan.steps.len() {
        let before = speaker.at;
        speaker.line();
        if speaker.at == before {
            speaker.at += 1;
        }
    }
    speaker.lines
}

/// What lowering the ribber takes.
pub(super) const LOWER: &str = "Change the carriage's arm to the one for the main bed alone, and lower the ribber.";

pub(super) struct Speaker<'a> {
    pub(super) plan: &'a Plan,
    pub(super) given: &'a Given<'a>,
    pub(super) at: usize,
    pub(super) lines: Vec<Line>,
    pub(super) counter: u32,
    pub(super) counting: bool,
    pub(super) side: Side,
    /// Stitch sizes last said: main bed, and ribber if it has knitted.
    pub(super) dial: Option<(u8, Option<u8>)>,
    pub(super) pitch: Pitch,
    pub(super) racking: Racking,
    /// Stitches on both beds, as last claimed.
    pub(super) loops: u32,
    pub(super) grams: u32,
    /// Whether the comb hangs.
    pub(super) comb: bool,
}

impl<'a> Speaker<'a> {
    fn peek(&self) -> Option<&'a Step> {
        self.plan.steps.get(self.at)
    }

    pub(super) fn action(&self) -> Option<&'a Action> {
        self.peek().map(|s| &s.action)
    }

    fn label(&self, origin: u32) -> (&str, Option<&'static str>) {
        self.given.labels.get(origin as usize).map_or(("", None), |(l, f)| (l.as_str(), *f))
    }

    /// One line, from the step at hand.
    fn line(&mut self) {
        let Some(step) = self.peek() else { return };
        let (start, part) = (self.at, step.origin.0);
        let mut s = Sentence::default();
        let mut shapings = Vec::new();
        match &step.action {
            Action::Start { .. } => self.set_up(&mut s),
            Action::Hold(_) | Action::Wrap { .. } => self.wrap(&mut s),
            Action::Pass(p) => {
                if self.label(part).1.is_some() {
                    self.stretch(&mut s, part, &mut shapings);
                } else {
                    self.other_passes(&mut s, p, part);
                }
            }
            Action::Rack(_) | Action::Pitch(_) => self.ribber_stands(&mut s),
            Action::IntoWork(_) | Action::Transfer(_) => self.transfers(&mut s),
            Action::Secure { .. }
            | Action::Release(_)
            | Action::Cut(_)
            | Action::Hang { .. }
            | Action::Unhang { .. } => {
                self.finish(&mut s);
            }
            Action::Counter(_) | Action::Claim(_) => self.settle(&mut s),
            Action::RibberDown => {
                self.at += 1;
                s.text(LOWER);
            }
            Action::RibberUp => {
                self.at += 1;
                s.text("Raise the ribber, and fit the carriage's arm for both beds.");
            }
            Action::Join { .. } => self.join(&mut s),
            Action::OutOfWork(_)
            | Action::Forward(_)
            | Action::BackToWorking(_)
            | Action::MoveTogether(_)
            | Action::TurnWrap { .. }
            | Action::TakeOff { .. }
            | Action::PutBack { .. }
            | Action::PickUp { .. }
            | Action::MoveUp(_) => self.at += 1,
        }
        self.trailing(&mut s);
        tidy(&mut s.0);
        if s.0.is_empty() {
            return;
        }
        self.lines.push(Line {
            part,
            tokens: s.0,
            counter: self.counting.then_some(self.counter),
            side: self.side,
            shapings,
            steps: start..self.at,
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

    fn settle(&mut self, s: &mut Sentence) {
        match self.action() {
            Some(Action::Counter(n)) => {
                self.counter = *n;
                self.counting = true;
                s.text(" Set the counter to ").value(crate::units::counter(*n)).text(".");
                self.at += 1;
            }
            Some(Action::Claim(c)) => {
                self.claimed(c);
                self.at += 1;
            }
            _ => {}
        }
    }

    pub(super) fn claimed(&mut self, c: &Claim) {
        if let Some((main, ribber)) = c.stitches {
            self.loops = main + ribber;
        }
    }

    /// Comb and weights hung or taken off, in one sentence with what hangs in all.
    pub(super) fn loads(&mut self, s: &mut Sentence) {
        let before = self.grams;
        let mut comb_on = false;
        let mut comb_off = false;
        while let Some(Action::Hang { load, grams } | Action::Unhang { load, grams }) = self.action() {
            if matches!(self.action(), Some(Action::Hang { .. })) {
                self.grams += grams;
                comb_on |= *load == Load::Comb;
            } else {
                self.grams -= grams;
                comb_off |= *load == Load::Comb;
            }
            if *load == Load::Comb {
                self.comb = matches!(self.action(), Some(Action::Hang { .. }));
            }
            self.at += 1;
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
                Action::Start { carriage, pitch, racking } => {
                    self.side = *carriage;
                    (self.pitch, self.racking) = (*pitch, *racking);
                    let two =
                        self.plan.steps.iter().any(
                            |s| matches!(&s.action, Action::IntoWork(n) if n.iter().any(|n| n.bed == Bed::Ribber)),
                        );
                    if two && !matches!(self.plan.steps.get(self.at + 1).map(|s| &s.action), Some(Action::RibberDown)) {
                        s.text("Ribber up, both carriages coupled. ");
                    }
                    s.text("Carriage at the ").text(&carriage.to_string()).text(". ");
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
            self.at += 1;
        }
    }

    fn bring_in(&mut self, s: &mut Sentence, needles: &[Needle]) {
        let two = needles.iter().any(|n| n.bed == Bed::Ribber);
        if two {
            s.text(if self.pitch == Pitch::Full { "Full pitch" } else { "Half pitch" });
            self.racked(s);
            s.text(". ");
        }
        s.strong("Bring into work ").value(needles.len()).strong(" needles").text(".");
        for bed in Bed::BOTH {
            let mut of: Vec<i16> = needles.iter().filter(|n| n.bed == bed).map(|n| n.slot.0).collect();
            of.sort_unstable();
            let (Some(first), Some(last)) = (of.first(), of.last()) else { continue };
            s.text(if bed == Bed::Ribber { " Ribber: " } else { " Main bed: " });
            if two {
                s.value(of.len()).text(", ");
            }
            let slot = |s: i16| latchwork_machine::needle::Slot(s);
            s.text(pattern(&of)).text(" from ").value(slot(*first)).text(" to ").value(slot(*last)).text(".");
        }
        self.loops = u32::try_from(needles.len()).unwrap_or(u32::MAX);
    }

    /// How the ribber is racked, where it is.
    pub(super) fn racked(&self, s: &mut Sentence) {
        let r = self.racking.0;
        if r != 0 {
            let n = r.unsigned_abs();
            s.text(", the ribber racked ").text(&n.to_string()).text(if n == 1 { " needle" } else { " needles" });
            s.text(" to the ").text(if r < 0 { "left" } else { "right" });
        }
    }

    pub(super) fn join(&mut self, s: &mut Sentence) {
        if let Some(Action::Join { yarn, .. }) = self.action() {
            let name = self.given.yarns.get(usize::from(yarn.0)).map_or("yarn", String::as_str);
            s.text(if s.0.is_empty() { "Thread the " } else { " Thread the " }).text(name);
            self.at += 1;
            let hanging = format!(" hanging at the {}", self.side);
            self.tail(s, self.at - 1, "; leave a tail of ", &hanging);
            s.text(".");
        }
    }

    pub(super) fn tail(&self, s: &mut Sentence, step: usize, before: &str, after: &str) {
        if let Some(length) = self.given.tails.get(&step) {
            let show = self.given.show;
            s.text(before).value(show.round(*length)).text(" ").text(show.unit()).text(after);
        }
    }

    fn wrap(&mut self, s: &mut Sentence) {
        while let Some(action) = self.action() {
            match action {
                Action::Hold(_) => {
                    s.text("Push these needles forward to holding. ");
                }
                Action::Wrap { needles, .. } => {
                    let (Some(a), Some(b)) = (needles.first(), needles.last()) else { return };
                    s.strong("Wrap each needle").text(" with the yarn, from ").value(a.slot).text(" to ").value(b.slot);
                    s.text(", towards the carriage. Hold is off, so that the first row knits them back.");
                }
                _ => return,
            }
            self.at += 1;
        }
    }

    fn dials(&mut self, s: &mut Sentence, p: &Pass) {
        let knits = |s: &&Step| matches!(&s.action, Action::Pass(q) if q.ribber.setting != Setting::Slip);
        let part = self.peek().map(|s| s.origin);
        let both = self.plan.steps.iter().filter(|s| Some(s.origin) == part).any(|s| knits(&s));
        let ribber = if both { Some(p.ribber.dial.0) } else { self.dial.and_then(|d| d.1) };
        let new = (p.main.dial.0, ribber);
        if self.dial == Some(new) {
            return;
        }
        self.dial = Some(new);
        match (both, ribber) {
            (true, Some(r)) => {
                s.text("Stitch sizes ").text(&dial(new.0)).text(" (main bed) and ").text(&dial(r)).text(" (ribber). ");
            }
            (false, None) => {
                s.text("Stitch size ").text(&dial(new.0)).text(". ");
            }
            (_, _) => {
                s.text("Stitch size ").text(&dial(new.0)).text(" on the main bed. ");
            }
        }
    }

    fn moved(&mut self, p: &Pass) {
        self.side = p.direction;
        if p.counted {
            self.counter += 1;
        }
    }

    /// Passes outside a stretch of fabric: zigzag, tubular rows, waste yarn, the loose row.
    fn other_passes(&mut self, s: &mut Sentence, first: &'a Pass, part: u32) {
        let mut passes: Vec<&Pass> = Vec::new();
        let same =
            |p: &Pass| p.yarn == first.yarn && p.main.dial == first.main.dial && p.ribber.dial == first.ribber.dial;
        while let Some(Action::Pass(p)) = self.action() {
            if !same(p) || (p.mark != first.mark && p.mark == Mark::OpenStart) {
                break;
            }
            passes.push(p);
            self.moved(p);
            self.at += 1;
            if p.mark == Mark::OpenStart {
                break;
            }
        }
        let loose = self.dial.is_some_and(|d| first.main.dial.0 > d.0);
        let ending = self.label(part).0 == "ending";
        self.dials(s, first);
        let n = passes.len();
        let both = passes.iter().all(|p| p.main.setting == Setting::Knit && p.ribber.setting == Setting::Knit);
        match (first.yarn, n, both) {
            (Some(Yarn(1)), _, _) if first.mark == Mark::OpenStart => {
                s.text("Knit ")
                    .strong("one row in waste yarn")
                    .text(" over the empty needles, and let it lie in the hooks.");
            }
            (Some(Yarn(y)), _, _) if y > 0 => {
                let name = self.given.yarns.get(usize::from(y)).map_or("yarn", String::as_str);
                s.strong("Knit ").value(n).text(if n == 1 { " row in " } else { " rows in " }).text(name).text(".");
            }
            (_, 1, true) => {
                s.strong("Zigzag").text(": one row, both beds knit.");
            }
            (_, 1, false) if ending && loose => {
                s.text("Knit ").strong("one loose row").text(" on the main bed.");
            }
            (_, 1, false) => {
                s.text("Knit ").strong("one row").text(": ").text(&phrase(&passes)).text(".");
            }
            (_, n, _) => {
                let label = if both { "Knit" } else { "Tubular" };
                s.strong(label).text(", ").value(n).text(" rows: ").text(&phrase(&passes)).text(".");
            }
        }
    }

    /// A stretch of fabric with all that happens in it.
    fn stretch(&mut self, s: &mut Sentence, part: u32, shapings: &mut Vec<ShapingRow>) {
        let (label, fabric) = self.label(part);
        let (label, fabric) = (label.to_string(), fabric.unwrap_or(""));
        let mut passes: Vec<&Pass> = Vec::new();
        let mut changes = Sentence::default();
        let mut loads = Sentence::default();
        let mut said: Option<(String, &str)> = None;
        let mut moved_up: Vec<u32> = Vec::new();
        let begun = self.counter;
        if let Some(Action::Pass(p)) = self.action() {
            self.dials(s, p);
        }
        while let Some(step) = self.peek() {
            if step.origin.0 != part {
                break;
            }
            match &step.action {
                Action::Pass(p) => {
                    passes.push(p);
                    self.moved(p);
                    self.at += 1;
                }
                Action::Transfer(_) | Action::IntoWork(_) => {
                    let what = self.shaping();
                    said.get_or_insert(what);
                    if let Some(Action::Claim(c)) = self.action() {
                        self.claimed(c);
                        self.at += 1;
                    }
                    let mut row =
                        ShapingRow { counter: self.counter, side: self.side, stitches: self.loops, hangs: None };
                    if matches!(self.action(), Some(Action::Hang { .. } | Action::Unhang { .. })) {
                        self.loads(&mut Sentence::default());
                        row.hangs = Some((self.grams, self.comb));
                    }
                    shapings.push(row);
                }
                Action::Hang { .. } | Action::Unhang { .. } => {
                    let when = self.counter;
                    loads.text(" When the counter reads ").value(crate::units::counter(when)).text(":");
                    self.loads(&mut loads);
                }
                Action::MoveUp(_) => {
                    moved_up.push(self.counter);
                    self.at += 1;
                }
                Action::Claim(c) => {
                    self.claimed(c);
                    self.at += 1;
                }
                _ => break,
            }
        }
        let clearing = passes.last().is_some_and(|last| {
            fabric == "full cardigan" && last.main.setting == Setting::Knit && last.ribber.setting == Setting::Knit
        });
        let n = passes.len() - usize::from(clearing);
        s.strong(&capital(&label));
        if !label.eq_ignore_ascii_case(fabric) {
            s.text(" in ").text(fabric);
        }
        s.text(", ").value(n).text(if n == 1 { " row: " } else { " rows: " });
        s.text(&phrase(&passes[..n])).text(".");
        if clearing {
            s.text(" Then one row with both beds knitting, which clears the tucks.");
        }
        if let Some((what, how)) = said {
            let times = if shapings.len() == 1 { " time" } else { " times" };
            changes.text(" ").strong(&what).text(", ").value(shapings.len()).text(times);
            changes.text(", when the counter reads as below. ").text(how);
        }
        if let [first, ..] = moved_up.as_slice() {
            let every = first - begun;
            changes.text(" Move the claws up every ").text(&every.to_string()).text(" rows");
            let long = moved_up.len() > 4;
            changes.text(if long {
                "; when the comb nears the floor, draw its wire, take it off, and go on with claws of the same weight."
            } else {
                "."
            });
        }
        if shapings.iter().any(|r| r.hangs.is_some()) {
            changes.text(
                " Where grams stand beside a row, change what hangs to about that in all, comb included, before you knit on. No comb: draw \
                 its wire, take it off, and hang something light in the middle instead, such as a small claw or clothes pegs.",
            );
        }
        s.0.extend(changes.0);
        s.0.extend(loads.0);
    }
}

/// Which needles between the first and last are in work.
pub(super) fn pattern(slots: &[i16]) -> &'static str {
    let gaps: Vec<i16> = slots.windows(2).map(|w| w[1] - w[0]).collect();
    let all = |g: i16| gaps.iter().all(|x| *x == g);
    if slots.len() == 1 {
        "one needle"
    } else if all(1) {
        "every needle"
    } else if all(2) {
        "every second needle"
    } else if all(3) {
        "every third needle"
    } else if gaps.iter().all(|g| *g == 1 || *g == 2) {
        "two of every three needles"
    } else {
        "two needles in and two out by turns"
    }
}

/// One space between sentences, none before the first or after the last.
fn tidy(tokens: &mut Vec<Token>) {
    let mut open = true;
    for t in tokens.iter_mut() {
        if let Token::Text(text) = t {
            if open {
                *text = text.trim_start().to_string();
            }
            *text = text.replace("  ", " ");
        }
        let (Token::Text(text) | Token::Strong(text) | Token::Value(text)) = t;
        open = text.ends_with(' ') || (open && text.is_empty());
    }
    tokens.retain(|t| !matches!(t, Token::Text(text) if text.is_empty()));
    if let Some(Token::Text(last)) = tokens.last_mut() {
        *last = last.trim_end().to_string();
    }
}
