//! The forms of the sentences, one by one. A form changes nothing before its last word was read.

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side, Slot};
use latchwork_machine::steps::{Action, Mark, Setting, Yarn};

use super::deeds::Deed;
use super::reader::Reader;

type Settings = (Setting, Setting);

const VERBS: [(&str, Setting); 3] = [("knits", Setting::Knit), ("tucks", Setting::Tuck), ("slips", Setting::Slip)];
const LOWER: &str = "Change the carriage's arm to the one for the main bed alone, and lower the ribber.";

impl<'a> Reader<'a> {
    /// One sentence, whichever it is.
    pub(super) fn sentence(&mut self) -> Option<()> {
        let forms: &[fn(&mut Reader<'a>) -> Option<()>] = &[
            Reader::ribber_up,
            Reader::carriage_at,
            Reader::arm,
            Reader::bring_into_work,
            Reader::thread,
            Reader::take_up,
            Reader::switches,
            Reader::sizes,
            Reader::zigzag,
            Reader::knit_rows,
            Reader::move_across,
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
            Reader::stretch,
        ];
        forms.iter().find_map(|f| self.attempt(*f))
    }

    fn ribber_up(&mut self) -> Option<()> {
        if self.c.opt("Raise the ribber, and fit the carriage's arm for both beds.") {
            self.s.step(Action::RibberUp);
            return Some(());
        }
        self.c.lit("Ribber up, both carriages coupled.")
    }

    fn carriage_at(&mut self) -> Option<()> {
        self.c.lit("Carriage at the ")?;
        let side = self.c.side()?;
        self.c.lit(".")?;
        let here = self.c;
        self.c.space();
        let stands = self.pitch_words().filter(|_| self.c.opt("."));
        let (pitch, racking) = stands.unwrap_or_else(|| {
            self.c = here;
            (Pitch::Full, Racking(0))
        });
        if self.s.started {
            return None;
        }
        self.s.started = true;
        self.s.side = side;
        (self.s.pitch, self.s.racking) = (pitch, racking);
        self.s.step(Action::Start { carriage: side, pitch, racking });
        Some(())
    }

    fn pitch_words(&mut self) -> Option<(Pitch, Racking)> {
        let pitch = self.c.word(&[("Full pitch", Pitch::Full), ("Half pitch", Pitch::Half)])?;
        if !self.c.opt(", the ribber racked ") {
            return Some((pitch, Racking(0)));
        }
        let n = i8::try_from(self.c.plain_number()?).ok().filter(|n| *n > 0)?;
        self.c.lit(if n == 1 { " needle to the " } else { " needles to the " })?;
        let side = self.c.side()?;
        Some((pitch, Racking(if side == Side::Left { -n } else { n })))
    }

    fn arm(&mut self) -> Option<()> {
        let first = self.c.opt("Ribber down, and the arm for the main bed alone on the carriage.");
        (first || self.c.opt(LOWER)).then_some(())?;
        self.s.step(Action::RibberDown);
        Some(())
    }

    fn bring_into_work(&mut self) -> Option<()> {
        self.c.lit("Bring into work ")?;
        if let Some(many) = self.c.word(&[("these empty needles: ", true), ("this empty needle: ", false)]) {
            let needles = self.c.needles()?;
            ((needles.len() > 1) == many).then_some(())?;
            self.c.lit(".")?;
            self.s.bring_in(&needles);
            return Some(());
        }
        let count = self.c.number()?;
        self.c.lit(if count == 1 { " needle." } else { " needles." }).or_else(|| self.c.lit(" needles."))?;
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
        (needles.len() == count as usize).then_some(())?;
        self.s.bring_in(&needles);
        Some(())
    }

    /// The slots of a bed between two, by what stands in work there.
    fn pattern(&mut self) -> Option<Vec<Slot>> {
        let gaps: &[i16] = match self.c.word(&[
            ("one needle from ", 0),
            ("every needle from ", 1),
            ("every second needle from ", 2),
            ("every third needle from ", 3),
            ("two of every three needles from ", 4),
            ("two needles in and two out by turns from ", 5),
        ]) {
            None => return self.c.slots(),
            Some(0 | 1) => &[1],
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
        self.c.name(&self.names.yarns).and_then(|i| u8::try_from(i).ok()).map(Yarn)
    }

    /// A yarn in a sentence: its name, and the word yarn where the name does not say what it is.
    pub(super) fn yarn_words(&mut self) -> Option<Yarn> {
        let yarn = self.yarn()?;
        let name = self.names.yarns.get(usize::from(yarn.0))?.to_lowercase();
        if !(name.ends_with("yarn") || name.ends_with("cord") || name.ends_with("wool") || name.ends_with("thread")) {
            self.c.lit(" yarn")?;
        }
        Some(yarn)
    }

    fn thread(&mut self) -> Option<()> {
        self.c.lit("Thread the ")?;
        let yarn = self.yarn_words()?;
        (self.c.opt(" again") == self.s.joined.contains(&yarn)).then_some(())?;
        let mut side = self.s.side;
        if self.c.opt(", to wait at the ") {
            side = self.c.side()?;
            (side != self.s.side).then_some(())?;
        }
        let mut tail = None;
        if self.c.opt("; leave a tail of ") {
            tail = Some(self.c.length()?);
            self.c.lit(" hanging at the ")?;
            self.s.tail = Some(self.c.side()? == side);
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
        self.c.lit("Take up the ")?;
        let yarn = self.yarn_words()?;
        self.c.lit(".")?;
        self.s.yarn = Some(yarn);
        Some(())
    }

    fn switches(&mut self) -> Option<()> {
        if let Some(on) = self.c.word(&[("Switch the counter on.", true), ("Switch the counter off.", false)]) {
            self.s.counted = on;
            return Some(());
        }
        if self.c.opt("No yarn is laid in from here on.") {
            self.s.laid = None;
            return Some(());
        }
        if self.c.opt("Lay in the ") {
            let yarn = self.yarn_words()?;
            self.c.lit(" from here on: over the needles that are forward, under the others.")?;
            self.s.laid = Some(yarn);
            return Some(());
        }
        if self.c.opt("Needles that are forward take no yarn of their own from here on.") {
            self.s.second = None;
            return Some(());
        }
        if self.c.opt("Needles that are forward take the ") {
            let yarn = self.yarn_words()?;
            self.c.lit(" from here on.")?;
            self.s.second = Some(yarn);
            return Some(());
        }
        let on = self.c.word(&[("Set hold on for the ", true), ("Set hold off for the ", false)])?;
        let bed = self.c.bed()?;
        self.c.lit(".")?;
        self.s.hold[bed.index()] = on;
        Some(())
    }

    fn sizes(&mut self) -> Option<()> {
        if self.c.opt("Stitch sizes ") {
            let main = self.c.dial()?;
            self.c.lit(" (main bed) and ")?;
            let ribber = self.c.dial()?;
            self.c.lit(" (ribber).")?;
            self.s.dial = [main, ribber];
            return Some(());
        }
        self.c.lit("Stitch size ")?;
        let size = self.c.dial()?;
        let b = self.c.word(&[(" on the main bed.", 0), (" on the ribber.", 1), (".", 0)])?;
        self.s.dial[b] = size;
        Some(())
    }

    fn zigzag(&mut self) -> Option<()> {
        self.c.lit("Zigzag: one row, both beds knit.")?;
        self.s.pass((Setting::Knit, Setting::Knit), Mark::Plain);
        Some(())
    }

    fn knit_rows(&mut self) -> Option<()> {
        if self.c.opt("Tubular, ") || self.c.opt("Knit, ") {
            let n = self.c.number()?;
            self.c.lit(" rows: ")?;
            return self.told(n, Mark::Plain);
        }
        self.c.lit("Knit ")?;
        if self.c.opt("one row over the empty needles, and let it lie in the hooks: ") {
            return self.told(1, Mark::OpenStart);
        }
        if self.c.opt("one row: ") {
            return if self.c.opt("needles in ") { self.pushed_out() } else { self.told(1, Mark::Plain) };
        }
        let mut n = 1;
        if !self.c.opt("one loose row") {
            if !self.c.opt("one row in ") {
                n = self.c.number()?;
                self.c.lit(if n == 1 { " row in " } else { " rows in " })?;
            }
            (Some(self.yarn_words()?) == self.s.yarn).then_some(())?;
        }
        self.c.lit(" on the main bed.")?;
        (0..n).for_each(|_| self.s.pass((Setting::Knit, Setting::Slip), Mark::Plain));
        Some(())
    }

    /// A row in which needles in forward or holding position knit, whatever their bed is set to.
    fn pushed_out(&mut self) -> Option<()> {
        let (forward, held) = self.c.word(&[
            ("forward or holding", (true, true)),
            ("forward", (true, false)),
            ("holding", (false, true)),
        ])?;
        self.c.lit(" position knit, the others ")?;
        const PLURAL: [(&str, Setting); 3] =
            [("knit", Setting::Knit), ("tuck", Setting::Tuck), ("slip", Setting::Slip)];
        let settings = if self.c.opt("of the main bed ") {
            let main = self.c.word(&PLURAL)?;
            self.c.lit(", those of the ribber ")?;
            (main, self.c.word(&PLURAL)?)
        } else {
            let all = self.c.word(&PLURAL)?;
            (all, all)
        };
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

    fn move_across(&mut self) -> Option<()> {
        self.c.lit("Move the carriage across, ")?;
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " row" } else { " rows" })?;
        let release = self.c.opt(", so that the needles that knit let their loops off");
        self.c.lit(": ")?;
        self.s.yarn.is_none().then_some(())?;
        self.told(n, if release { Mark::Release } else { Mark::Plain })
    }

    fn told(&mut self, n: u32, mark: Mark) -> Option<()> {
        let settings = self.phrase(n)?;
        self.c.lit(".")?;
        settings.into_iter().for_each(|s| self.s.pass(s, mark));
        Some(())
    }

    /// What the beds do in each of `n` rows from here on.
    pub(super) fn phrase(&mut self, n: u32) -> Option<Vec<Settings>> {
        (1..=100_000).contains(&n).then_some(())?;
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
            return (self.c.side()? == first).then(|| by_side((main.0, ribber.0), (main.1, ribber.1)));
        }
        self.c = here;
        let mut turn = self.run(n)?;
        while self.c.opt(", then ") {
            turn.extend(self.run(n)?);
        }
        let whole = turn.len() == n as usize;
        if turn.len() > 1 && !whole {
            self.c.lit(", and so on")?;
        }
        (turn.len() <= n as usize).then(|| turn.iter().copied().cycle().take(n as usize).collect())
    }

    /// What the beds do in one row, or in so many of `n` one after the other.
    fn run(&mut self, n: u32) -> Option<Vec<Settings>> {
        let mut rows = 1;
        if self.c.opt("for ") {
            rows = self.c.number()?;
            self.c.lit(" rows ")?;
        }
        let one = self.one()?;
        (1..=n).contains(&rows).then(|| vec![one; rows as usize])
    }

    fn one_going(&mut self) -> Option<(Settings, Side)> {
        let settings = self.one()?;
        self.c.lit(" going ")?;
        Some((settings, self.c.side()?))
    }

    /// Each bed's settings going left and going right; stands before the side of the first row.
    fn bed_by_bed(&mut self) -> Option<((Setting, Setting), (Setting, Setting))> {
        self.c.lit("main bed ")?;
        let main = self.verbs()?;
        self.c.lit("; ribber ")?;
        let ribber = self.verbs()?;
        self.c.lit("; the first row goes ")?;
        Some((main, ribber))
    }

    fn verbs(&mut self) -> Option<(Setting, Setting)> {
        let a = self.c.word(&VERBS)?;
        if !self.c.opt(" going ") {
            return Some((a, a));
        }
        let side = self.c.side()?;
        self.c.lit(", ")?;
        let b = self.c.word(&VERBS)?;
        self.c.lit(" going ")?;
        (self.c.side()? != side).then_some(if side == Side::Left { (a, b) } else { (b, a) })
    }

    fn one(&mut self) -> Option<Settings> {
        let known = [
            ("both beds knit", (Setting::Knit, Setting::Knit)),
            ("main bed alone", (Setting::Knit, Setting::Slip)),
            ("ribber alone", (Setting::Slip, Setting::Knit)),
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
        let (grams, comb) = self.load_words()?;
        self.s.hangs(grams, comb);
        Some(())
    }

    /// What hangs from here on, in one of six sentences.
    pub(super) fn load_words(&mut self) -> Option<(u32, bool)> {
        let (before, comb) = (self.s.grams, self.s.comb);
        if self.c.opt("Take off the comb and all that hangs.") {
            return (before > 0).then_some((0, false));
        }
        if self.c.opt("Take off all weights, and hold the work down by hand.") {
            return (before > 0 && !comb).then_some((0, false));
        }
        if self.c.opt("Hang the comb and weights, with a claw at each edge, about ") {
            let grams = self.c.number()?;
            self.c.lit(" g in all.")?;
            return Some((grams, true));
        }
        if self.c.opt("Take off the comb and hang ") {
            let grams = self.c.number()?;
            self.c.lit(" g instead.")?;
            return comb.then_some((grams, false));
        }
        let more = self.c.word(&[("Add weights until ", true), ("Take weights off until ", false)])?;
        let grams = self.c.number()?;
        self.c.lit(" g hang in all.")?;
        ((grams >= before) == more).then_some((grams, comb))
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
        let back = self.c.word(&[
            ("Rack the ribber back to where it is not racked. ", true),
            ("Rack the ribber so that it stands as follows. ", false),
        ])?;
        let (pitch, racking) = self.pitch_words()?;
        self.c.lit(".")?;
        (back == (racking.0 == 0)).then_some(())?;
        (self.s.pitch, self.s.racking) = (pitch, racking);
        // Set twice with nothing between, it stands as it was set last.
        if let Some(Deed::Stands(..)) = self.s.heard.deeds.last() {
            self.s.heard.deeds.pop();
        }
        self.s.heard.deeds.push(Deed::Stands(pitch, racking));
        Some(())
    }
}
