//! The forms of the sentences, one by one. A form changes nothing until its last word is read.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side, Slot};
use latchwork_machine::steps::{Action, Mark, Setting, Yarn};

use super::deeds::Deed;
use super::reader::Reader;

type Settings = (Setting, Setting);

const PITCHES: [(&str, Pitch); 2] = [("Full pitch", Pitch::Full), ("Half pitch", Pitch::Half)];
const VERBS: [(&str, Setting); 3] = [("knits", Setting::Knit), ("tucks", Setting::Tuck), ("slips", Setting::Slip)];

impl<'a> Reader<'a> {
    /// Reads one sentence of any form.
    pub(super) fn sentence(&mut self) -> Option<()> {
        let forms: &[fn(&mut Reader<'a>) -> Option<()>] = &[
            Reader::begin,
            Reader::ribber,
            Reader::bring_into_work,
            Reader::thread,
            Reader::take_up,
            Reader::switches,
            Reader::sizes,
            Reader::knit_rows,
            Reader::free_passes,
            Reader::loads,
            Reader::set_counter,
            Reader::stands,
            Reader::bed_across,
            Reader::pairs,
            Reader::neighbours,
            Reader::point,
            Reader::moves,
            Reader::carry,
            Reader::positions,
            Reader::together,
            Reader::wraps,
            Reader::holders,
            Reader::pick_up,
            Reader::cut,
            Reader::bind_off,
            Reader::let_off,
            Reader::claws,
            Reader::again,
            Reader::marks,
            Reader::noise,
            Reader::by_chart,
            Reader::short_rows,
            Reader::stretch,
        ];
        forms.iter().find_map(|f| self.attempt(*f))
    }

    /// The carriage and the beds at the start.
    fn begin(&mut self) -> Option<()> {
        let ribber = self.c.word(&[("Ribber up. Two-bed arm. ", true), ("Ribber down. Single-bed arm. ", false)]);
        self.c.lit("Carriage at the ")?;
        let side = self.c.side()?;
        self.c.lit(".")?;
        let here = self.c;
        self.c.space();
        let stands = self.pitch_words(&PITCHES).filter(|_| self.c.opt("."));
        let (pitch, racking) = stands.unwrap_or_else(|| {
            self.c = here;
            (Pitch::Full, Racking(0))
        });
        (!self.s.started).then_some(())?;
        self.s.started = true;
        self.s.side = side;
        (self.s.pitch, self.s.racking) = (pitch, racking);
        self.s.step(Action::Start { carriage: side, pitch, racking });
        if ribber == Some(false) {
            self.s.step(Action::RibberDown);
        }
        Some(())
    }

    fn pitch_words(&mut self, known: &[(&str, Pitch)]) -> Option<(Pitch, Racking)> {
        let pitch = self.c.word(known)?;
        if !self.c.opt(", racked ") {
            return Some((pitch, Racking(0)));
        }
        let n = self.by_side()?;
        (n != 0).then_some((pitch, Racking(i8::try_from(n).ok()?)))
    }

    /// A number of needles to a side; negative to the left.
    fn by_side(&mut self) -> Option<i16> {
        let n = i16::try_from(self.c.plain_number()?).ok()?;
        self.c.lit(" to the ")?;
        Some(if self.c.side()? == Side::Left { -n } else { n })
    }

    fn ribber(&mut self) -> Option<()> {
        let down = self.c.word(&[
            ("Take off the two-bed arm. Lower the ribber. Fit the single-bed arm, with the yarn in its feeder.", true),
            ("Raise the ribber. Fit the two-bed arm.", false),
        ])?;
        self.s.step(if down { Action::RibberDown } else { Action::RibberUp });
        Some(())
    }

    fn bring_into_work(&mut self) -> Option<()> {
        self.c.lit("Bring ")?;
        let here = self.c;
        if let Some(needles) = self.c.needles()
            && self.c.opt(" into work, empty.")
        {
            self.s.bring_in(&needles);
            return Some(());
        }
        self.c = here;
        let count = self.c.number()?;
        let empty = self.c.opt(" empty");
        self.c
            .lit(if count == 1 { " needle into work." } else { " needles into work." })
            .or_else(|| self.c.lit(" needles into work."))?;
        let mut needles = Vec::new();
        loop {
            let here = self.c;
            self.c.space();
            let Some(bed) = self.c.word(&[("Main bed: ", Bed::Main), ("Ribber: ", Bed::Ribber)]) else {
                self.c = here;
                break;
            };
            let mut counted = self.c;
            let of = counted.number().filter(|_| counted.opt(", "));
            if of.is_some() {
                self.c = counted;
            }
            let slots = self.pattern()?;
            self.c.lit(".")?;
            if of.is_some_and(|n| n as usize != slots.len()) {
                return None;
            }
            needles.extend(slots.into_iter().map(|slot| Needle { bed, slot }));
        }
        (needles.len() == count as usize && empty != self.s.in_work.is_empty()).then_some(())?;
        self.s.bring_in(&needles);
        Some(())
    }

    /// The slots in work on a bed between two, by their pattern.
    fn pattern(&mut self) -> Option<Vec<Slot>> {
        let gaps: &[i16] = match self.c.word(&[
            ("every needle from ", 1),
            ("every other needle from ", 2),
            ("every third needle from ", 3),
            ("2 in, 1 out, from ", 4),
            ("2 in, 2 out, from ", 5),
        ]) {
            None => return self.c.slots(),
            Some(1) => &[1],
            Some(2) => &[2],
            Some(3) => &[3],
            Some(4) => &[1, 2],
            Some(_) => &[1, 3],
        };
        let first = self.c.slot()?;
        self.c.lit(" to ")?;
        let last = self.c.slot()?;
        let mut all = vec![first];
        for gap in gaps.iter().cycle() {
            let next = Slot(all.last()?.0.checked_add(*gap)?);
            if next > last {
                break;
            }
            all.push(next);
        }
        (all.last() == Some(&last)).then_some(all)
    }

    pub(super) fn yarn(&mut self) -> Option<Yarn> {
        let named = self.c.name(&self.names.yarns).and_then(|i| u8::try_from(i).ok()).map(Yarn);
        named.or_else(|| self.c.lit("the yarn").map(|()| Yarn(0)))
    }

    fn thread(&mut self) -> Option<()> {
        self.c.lit("Thread ")?;
        let yarn = self.yarn()?;
        (self.c.opt(" again") == self.s.joined.contains(&yarn)).then_some(())?;
        let mut side = self.s.side;
        if self.c.opt(" ready at the ") {
            side = self.c.side()?;
            (side != self.s.side).then_some(())?;
        }
        let mut tail = None;
        if self.c.opt(", leaving a tail of ") {
            tail = Some(self.c.length()?);
            let at = if self.c.opt(" at the ") { self.c.side()? } else { side };
            self.s.tail = Some(at == side);
        }
        self.c.lit(".")?;
        self.s.joined.insert(yarn);
        if side == self.s.side {
            self.s.yarn = Some(yarn);
        }
        self.s.heard.tails.extend(tail);
        self.s.step(Action::Join { yarn, side });
        Some(())
    }

    fn take_up(&mut self) -> Option<()> {
        if self.c.opt("Take the yarn out of the feeder.") {
            self.s.yarn = None;
            return Some(());
        }
        self.c.lit("Change to ")?;
        let yarn = self.yarn()?;
        self.c.lit(".")?;
        self.s.yarn = Some(yarn);
        Some(())
    }

    /// No yarn, or a yarn followed by these words.
    fn none_or(&mut self, so: &str) -> Option<Option<Yarn>> {
        if self.c.opt("none.") {
            return Some(None);
        }
        let yarn = self.yarn()?;
        self.c.lit(so)?;
        Some(Some(yarn))
    }

    fn switches(&mut self) -> Option<()> {
        if let Some(on) = self.c.word(&[("Counter on.", true), ("Counter off.", false)]) {
            self.s.counted = on;
            return Some(());
        }
        if self.c.opt("Laid-in yarn: ") {
            self.s.laid = self.none_or(", over needles in forward position and under the others.")?;
            return Some(());
        }
        if self.c.opt("Second yarn: ") {
            self.s.second = self.none_or(" for needles in forward position.")?;
            return Some(());
        }
        let on = self.c.word(&[("Hold on, ", true), ("Hold off, ", false)])?;
        let bed = self.c.bed()?;
        self.c.lit(".")?;
        self.s.hold[bed.index()] = on;
        Some(())
    }

    fn sizes(&mut self) -> Option<()> {
        self.c.lit("Stitch size: ")?;
        let mut dial = self.s.dial;
        let main = self.c.opt("main bed ");
        if main {
            dial[0] = self.c.dial()?;
        }
        if self.c.opt(if main { ", ribber " } else { "ribber " }) {
            dial[1] = self.c.dial()?;
        } else {
            main.then_some(())?;
        }
        self.c.lit(".")?;
        self.s.dial = dial;
        Some(())
    }

    fn knit_rows(&mut self) -> Option<()> {
        self.c.lit("Knit ")?;
        if self.c.opt("1 open row over the empty needles") {
            return self.told(1, Mark::OpenStart);
        }
        let both = (Setting::Knit, Setting::Knit);
        if self.c.opt("1 zigzag row") {
            self.s.heard.stretches.is_empty().then_some(())?;
            return self.told_of(1, Mark::Plain, |s| s == both);
        }
        if self.c.opt("1 loose row") {
            return self.told_of(1, Mark::Plain, |s| s == (Setting::Knit, Setting::Slip));
        }
        if self.c.opt("1 row: needles in ") {
            return self.pushed_out();
        }
        let n = self.c.number()?;
        let tubular = self.c.opt(" tubular");
        self.c.lit(if n == 1 { " row" } else { " rows" }).or_else(|| self.c.lit(" rows"))?;
        if self.c.opt(" in ") {
            (Some(self.yarn()?) == self.s.yarn).then_some(())?;
        }
        self.told_of(n, Mark::Plain, |s| !tubular || (s.0 == Setting::Slip) != (s.1 == Setting::Slip))
    }

    /// A row in which needles in forward or holding position knit, whatever the setting of their bed.
    fn pushed_out(&mut self) -> Option<()> {
        let (forward, held) = self.c.word(&[
            ("forward or holding", (true, true)),
            ("forward", (true, false)),
            ("holding", (false, true)),
        ])?;
        self.c.lit(" position knit, ")?;
        let settings = self.the_others()?;
        self.c.lit(".")?;
        let set = |n: &&Needle| if n.bed == Bed::Main { settings.0 } else { settings.1 };
        let odd = |n: &&Needle| set(n) != Setting::Knit;
        let out = (
            self.s.forward.iter().any(|n| odd(&n)),
            self.s.held.iter().any(|n| odd(&n) && !self.s.hold[n.bed.index()]),
        );
        (out == (forward, held)).then_some(())?;
        self.s.pass(settings, Mark::Plain);
        Some(())
    }

    /// What needles knit that are neither forward nor held.
    pub(super) fn the_others(&mut self) -> Option<Settings> {
        const PLURAL: [(&str, Setting); 3] =
            [("knit", Setting::Knit), ("tuck", Setting::Tuck), ("slip", Setting::Slip)];
        Some(if self.c.opt("other main-bed needles ") {
            let main = self.c.word(&PLURAL)?;
            self.c.lit(", other ribber needles ")?;
            (main, self.c.word(&PLURAL)?)
        } else {
            self.c.lit("the others ")?;
            let all = self.c.word(&PLURAL)?;
            (all, all)
        })
    }

    fn free_passes(&mut self) -> Option<()> {
        self.c.lit("Make ")?;
        let n = self.c.number()?;
        if n == 1 && self.c.opt(" free pass ") {
            (self.way()? != self.s.side).then_some(())?;
        } else {
            self.c.lit(" free passes")?;
        }
        let release = self.c.opt(" to drop the stitches");
        self.s.yarn.is_none().then_some(())?;
        self.told(n, if release { Mark::Release } else { Mark::Plain })
    }

    /// The direction of a carriage, as the side that it reaches.
    fn way(&mut self) -> Option<Side> {
        self.c.word(&[("right to left", Side::Left), ("left to right", Side::Right)])
    }

    fn told(&mut self, n: u32, mark: Mark) -> Option<()> {
        self.told_of(n, mark, |_| true)
    }

    /// Rows that must all match what they are called.
    fn told_of(&mut self, n: u32, mark: Mark, called: impl Fn(Settings) -> bool) -> Option<()> {
        let settings = self.phrase(n)?;
        settings.iter().all(|s| called(*s)).then_some(())?;
        self.c.lit(".")?;
        settings.into_iter().for_each(|s| self.s.pass(s, mark));
        Some(())
    }

    /// What the beds do in each of `n` rows from here on.
    pub(super) fn phrase(&mut self, n: u32) -> Option<Vec<Settings>> {
        (1..=100_000).contains(&n).then_some(())?;
        if self.c.opt(", a repeat of ") {
            let rows = self.c.plain_number()?;
            self.c.lit(" rows: ")?;
            let turn = self.turn(n)?;
            let whole = turn.len() == rows as usize && rows > 1 && rows < n;
            return whole.then(|| turn.iter().copied().cycle().take(n as usize).collect());
        }
        self.c.lit(": ")?;
        let here = self.c;
        let first = self.s.side.other();
        let by_side = |left: Settings, right: Settings| {
            let going = |i: u32| if i.is_multiple_of(2) == (first == Side::Left) { left } else { right };
            (0..n).map(going).collect::<Vec<_>>()
        };
        let sided = |a: (Settings, Side), b: (Settings, Side)| {
            (a.1 != b.1).then(|| if a.1 == Side::Left { by_side(a.0, b.0) } else { by_side(b.0, a.0) })
        };
        if let Some(both) = self.one_going().and_then(|a| Some((a, self.c.lit(", ").and_then(|()| self.one_going())?)))
        {
            return if both.0.1 == first { sided(both.0, both.1) } else { None };
        }
        self.c = here;
        if let Some((main, ribber)) = self.bed_by_bed() {
            return (self.way()? == first).then(|| by_side((main.0, ribber.0), (main.1, ribber.1)));
        }
        self.c = here;
        let one = self.turn(n)?;
        match one.as_slice() {
            [one] => Some(vec![*one; n as usize]),
            all => (all.len() == n as usize).then_some(one),
        }
    }

    /// What the beds do in rows in order; consecutive rows that are alike are named once.
    fn turn(&mut self, n: u32) -> Option<Vec<Settings>> {
        let mut all = Vec::new();
        loop {
            let one = self.one()?;
            let mut rows = 1;
            if self.c.opt(", ") {
                rows = self.c.plain_number()?;
                self.c.lit(" rows")?;
            }
            ((1..=n).contains(&rows) && all.len() <= n as usize).then_some(())?;
            all.extend(std::iter::repeat_n(one, rows as usize));
            if !self.c.opt("; ") {
                return Some(all);
            }
        }
    }

    fn one_going(&mut self) -> Option<(Settings, Side)> {
        let settings = self.one()?;
        self.c.lit(" ")?;
        Some((settings, self.way()?))
    }

    /// Each bed's settings going left and going right; comes before the direction of the first row.
    fn bed_by_bed(&mut self) -> Option<((Setting, Setting), (Setting, Setting))> {
        self.c.lit("main bed ")?;
        let main = self.verbs()?;
        self.c.lit("; ribber ")?;
        let ribber = self.verbs()?;
        self.c.lit(". First row: ")?;
        Some((main, ribber))
    }

    fn verbs(&mut self) -> Option<(Setting, Setting)> {
        let a = self.c.word(&VERBS)?;
        let here = self.c;
        let Some(side) = self.c.lit(" ").and_then(|()| self.way()) else {
            self.c = here;
            return Some((a, a));
        };
        self.c.lit(", ")?;
        let b = self.c.word(&VERBS)?;
        self.c.lit(" ")?;
        (self.way()? != side).then_some(if side == Side::Left { (a, b) } else { (b, a) })
    }

    fn one(&mut self) -> Option<Settings> {
        let known = [
            ("both beds knit", (Setting::Knit, Setting::Knit)),
            ("both beds tuck", (Setting::Tuck, Setting::Tuck)),
            ("both beds slip", (Setting::Slip, Setting::Slip)),
            ("main bed only", (Setting::Knit, Setting::Slip)),
            ("ribber only", (Setting::Slip, Setting::Knit)),
        ];
        if let Some(s) = self.c.word(&known) {
            return Some(s);
        }
        self.c.lit("main bed ")?;
        let main = self.c.word(&VERBS)?;
        self.c.lit(", ribber ")?;
        Some((main, self.c.word(&VERBS)?))
    }

    fn loads(&mut self) -> Option<()> {
        let (grams, comb) = self.load_words(false)?;
        self.s.hangs(grams, comb);
        Some(())
    }

    /// The weight from here on, in one of six sentences; `within` continues a sentence already begun.
    pub(super) fn load_words(&mut self, within: bool) -> Option<(u32, bool)> {
        let (before, comb) = (self.s.grams, self.s.comb);
        let verb = if within { ["remove", "hang", "add"] } else { ["Remove", "Hang", "Add"] };
        if self.c.opt(&format!("{} all weights and any comb.", verb[0])) {
            return (before > 0).then_some((0, false));
        }
        if self.c.opt(&format!("{} all weights. Hold the work down by hand.", verb[0])) {
            return (before > 0 && !comb).then_some((0, false));
        }
        if self.c.opt(&format!("{} all weights.", verb[0])) {
            return (before > 0 && !comb).then_some((0, false));
        }
        if self.c.opt(&format!("{} the comb and weights: about ", verb[1])) {
            let grams = self.c.number()?;
            self.c.lit(" g in total, with a claw weight at each edge.")?;
            return Some((grams, true));
        }
        if self.c.opt(&format!("{} the comb. Hang weights: ", verb[0])) {
            let grams = self.c.number()?;
            self.c.lit(" g in total.")?;
            return comb.then_some((grams, false));
        }
        if self.c.opt(&format!("{} weights: ", verb[2])) {
            let grams = self.c.number()?;
            self.c.lit(" g in total.")?;
            return (grams >= before).then_some((grams, comb));
        }
        self.c.lit(&format!("{} weights: ", verb[0]))?;
        let grams = self.c.number()?;
        self.c.lit(" g left in total.")?;
        (grams < before).then_some((grams, comb))
    }

    fn set_counter(&mut self) -> Option<()> {
        self.c.lit("Set the counter to ")?;
        let reading = self.c.counter()?;
        self.c.lit(".")?;
        self.s.counter = reading;
        self.s.step(Action::Counter(reading));
        Some(())
    }

    fn stands(&mut self) -> Option<()> {
        let before = (self.s.pitch, i16::from(self.s.racking.0));
        let known = [("full pitch", Pitch::Full), ("half pitch", Pitch::Half)];
        let (pitch, racking) = if let Some(same) = self.c.word(&[("Change to ", false), ("Leave the ribber at ", true)])
        {
            let stands = self.pitch_words(&known)?;
            (i16::from(stands.1.0) == before.1 && (stands.0 == before.0) == same).then_some(stands)?
        } else if self.c.opt("Rack the ribber back. Now ") {
            let pitch = self.c.word(&known)?;
            self.c.lit(", not racked")?;
            (before.1 != 0).then_some((pitch, Racking(0)))?
        } else {
            self.c.lit("Rack the ribber ")?;
            let by = self.by_side()?;
            self.c.lit(". Now ")?;
            let stands = self.pitch_words(&known)?;
            (by != 0 && i16::from(stands.1.0) == before.1 + by).then_some(stands)?
        };
        self.c.lit(".")?;
        (self.s.pitch, self.s.racking) = (pitch, racking);
        // Set twice with nothing between, the last setting holds.
        if let Some(Deed::Stands(..)) = self.s.heard.deeds.last() {
            self.s.heard.deeds.pop();
        }
        self.s.heard.deeds.push(Deed::Stands(pitch, racking));
        Some(())
    }
}
