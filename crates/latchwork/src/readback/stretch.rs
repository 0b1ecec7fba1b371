//! A stretch of fabric: its rows, the shapings of its table, the weights on the way.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Mark, Setting};

use super::deeds::Deed;
use super::reader::Reader;

/// A shaping as the sentence describes it.
#[derive(Debug, Clone)]
struct Shape {
    wider: bool,
    stitches: u32,
    sides: &'static [Side],
    two_beds: bool,
    times: u32,
    /// Rows from one to the next, each number once; empty for a single shaping.
    every: Vec<u32>,
    short: bool,
    onto: Onto,
}

/// Which needles an increase takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Onto {
    Same,
    Other,
    Each,
    Two,
}

/// A row of the table, in the size being read.
#[derive(Debug, Clone, Copy)]
struct Row {
    counter: u32,
    stitches: u32,
    hangs: Option<(u32, bool)>,
}

/// All that the words say of one stretch, read but not yet knitted.
struct Said {
    rows: Vec<(Setting, Setting)>,
    shape: Option<Shape>,
    table: Vec<Row>,
    /// Rows that follow the last shaping.
    after: u32,
    claws: Vec<u32>,
    loads: Vec<(u32, (u32, bool))>,
    grams_told: bool,
    label: String,
    fabric: String,
}

const BOTH: &[Side] = &[Side::Left, Side::Right];
const RIGHT_FIRST: &[Side] = &[Side::Right, Side::Left];
const GRAMS: &str = "Where the table gives a weight, change the total to about that weight, comb included, before the next row. Where it says no comb: pull out the comb wire. Remove the comb. Hang a small claw weight or ";
const GRAMS_ALONE: &str = " in the middle, close below the stitches. Where it gives only a weight, leave the comb on, counted as 50 g, and take off claw weights.";

impl Reader<'_> {
    /// The name of a stretch, followed by these words.
    pub(super) fn label(&mut self, then: &str) -> Option<String> {
        let capital = |n: &String| {
            let mut c = n.chars();
            c.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + c.as_str())
        };
        let labels: Vec<String> = self.names.labels.iter().map(capital).collect();
        let figure = |label: &str| label.starts_with(|c: char| c.is_ascii_digit());
        // A label may itself begin like a numbered section.
        let here = self.c;
        let own = self.c.name(&labels).filter(|i| !figure(&self.names.labels[*i]) && self.c.rest.starts_with(then));
        match own {
            Some(i) => self.names.labels.get(i).cloned(),
            None => {
                self.c = here;
                self.c.lit("Section ")?;
                self.names.labels.get(self.c.name(&self.names.labels)?).filter(|l| figure(l)).cloned()
            }
        }
    }

    pub(super) fn stretch(&mut self) -> Option<()> {
        let label = self.label(". Knit ")?;
        self.c.lit(". Knit ")?;
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " row" } else { " rows" }).or_else(|| self.c.lit(" rows"))?;
        let mut fabric = label.clone();
        if self.c.opt(" in ") {
            fabric.clone_from(self.names.fabrics.get(self.c.name(&self.names.fabrics)?)?);
        }
        let mut rows = self.phrase(n)?;
        self.c.lit(".")?;
        if self.c.opt(" Knit 1 row to clear the tucks: both beds knit.") {
            rows.push((Setting::Knit, Setting::Knit));
        }
        let shape = self.shape_words();
        let claws = std::mem::take(&mut self.s.claws);
        let mut loads = Vec::new();
        let hung = (self.s.grams, self.s.comb);
        self.loads_at(&mut loads)?;
        self.c.space();
        let grams_told = self.c.opt(GRAMS);
        if grams_told {
            self.c.lit(if self.names.american { "clothespins" } else { "clothes pegs" })?;
            self.c.lit(GRAMS_ALONE)?;
        }
        self.c.space();
        (self.s.grams, self.s.comb) = hung;
        while self.marks().is_some() {
            self.c.space();
        }
        let _ = self.c.manual();
        self.c.space();
        let (table, after) = if shape.is_some() { self.table()? } else { (Vec::new(), 0) };
        self.knit(Said { rows, shape, table, after, claws, loads, grams_told, label, fabric })
    }

    /// The readings at which the claw weights are moved up in the next step.
    pub(super) fn claws(&mut self) -> Option<()> {
        self.c.lit("In the next step, ")?;
        let mut claws = Vec::new();
        let many = self.c.opt("from counter ");
        if many {
            let first = self.c.counter()?;
            self.c.lit(" to ")?;
            let last = self.c.counter()?;
            self.c.lit(", every ")?;
            let every = self.c.plain_number().filter(|n| *n > 0)?;
            self.c.lit(" rows: ")?;
            (last > first && last - first < 100_000 && (last - first).is_multiple_of(every)).then_some(())?;
            claws.extend((0..=(last - first) / every).map(|i| first + every * i));
        } else {
            self.c.lit("at counter ")?;
            claws = self.c.counters()?;
            self.c.lit(": ")?;
        }
        self.c.lit("move the claw weights up.")?;
        if many {
            self.c.lit(" When the comb nears the floor: pull out the comb wire. Remove the comb. Hang claw weights of the same total, spread across the width.")?;
        }
        self.s.claws.is_empty().then_some(())?;
        // What was said for the first time round does not hold for the next.
        if !self.s.again {
            self.s.claws = claws;
        }
        Some(())
    }

    /// What is hung at which readings.
    fn loads_at(&mut self, loads: &mut Vec<(u32, (u32, bool))>) -> Option<()> {
        while self.c.opt(" At counter ") {
            let when = self.c.counter()?;
            self.c.lit(", ")?;
            let load = self.load_words(true)?;
            (self.s.grams, self.s.comb) = load;
            loads.push((when, load));
        }
        Some(())
    }

    /// Knits the rows with the acts between them; nothing may be left over. This form comes last: rows that do not fit end
    /// the reading, and nothing needs undoing.
    fn knit(&mut self, said: Said) -> Option<()> {
        let mut gaps: Vec<u32> = said.table.windows(2).map(|w| w[1].counter.saturating_sub(w[0].counter)).collect();
        gaps.sort_unstable();
        gaps.dedup();
        let fine = said.shape.as_ref().map_or(0, |s| s.times as usize) == said.table.len()
            && said.shape.as_ref().is_none_or(|s| s.every == gaps)
            && (!said.grams_told || said.shape.is_some())
            && (said.grams_told || said.table.iter().all(|r| r.hangs.is_none()));
        if !fine {
            return None;
        }
        self.s.heard.stretches.push((self.s.passes, said.label, said.fabric));
        let mut claws = said.claws.iter().peekable();
        let mut table = said.table.iter().peekable();
        let mut loads = said.loads.iter().peekable();
        for settings in &said.rows {
            self.s.pass(*settings, Mark::Plain);
            let now = self.s.counter;
            if claws.next_if(|c| **c == now).is_some() {
                self.s.heard.deeds.push(Deed::MoveUp);
            }
            while let Some((_, load)) = loads.next_if(|l| l.0 == now) {
                self.s.hangs(load.0, load.1);
            }
            if let (Some(shape), Some(row)) = (&said.shape, table.next_if(|r| r.counter == now)) {
                self.shaped(shape)?;
                (self.s.knitting() == row.stitches as usize).then_some(())?;
                if let Some((grams, comb)) = row.hangs {
                    self.s.hangs(grams, comb);
                }
            }
        }
        // A shaping at the counter's last reading has no row after it.
        let follow = said.table.last().map_or(0, |r| self.s.counter.saturating_sub(r.counter));
        (follow == said.after).then_some(())?;
        (claws.next().is_none() && table.next().is_none() && loads.next().is_none()).then_some(())
    }

    fn shaped(&mut self, shape: &Shape) -> Option<()> {
        if shape.wider {
            let mut new = Vec::new();
            for side in shape.sides {
                let end = self.s.nth(*side, 0)?;
                let more = self.s.wider(*side, shape.stitches)?;
                let onto = match more.as_slice() {
                    [one] if one.bed == end.bed => Onto::Same,
                    [_] => Onto::Other,
                    [a, b] if a.bed != b.bed => Onto::Each,
                    _ => Onto::Two,
                };
                (onto == shape.onto).then_some(())?;
                new.extend(more);
            }
            let two = new.iter().any(|n| n.bed != new[0].bed);
            (shape.stitches == 1 || two == shape.two_beds).then_some(())?;
            self.s.bring_in(&new);
            return Some(());
        }
        let before = self.s.in_work.clone();
        for side in shape.sides {
            self.s.narrow(*side, shape.stitches, shape.short)?;
        }
        let mut gone = before.iter().filter(|n| !self.s.in_work.contains(n));
        let first = gone.next()?;
        (shape.stitches == 1 || gone.any(|n| n.bed != first.bed) == shape.two_beds).then_some(())
    }

    /// Decrease 2 stitches at each end, 1 on each bed, every 4th row, 5 times, …; and how it is done.
    fn shape_words(&mut self) -> Option<Shape> {
        let here = self.c;
        let shape = self.try_shape_words();
        if shape.is_none() {
            self.c = here;
        }
        shape
    }

    fn try_shape_words(&mut self) -> Option<Shape> {
        let (wider, stitches) = self.c.word(&[
            (" Decrease 1 stitch at ", (false, 1)),
            (" Decrease 2 stitches at ", (false, 2)),
            (" Increase 1 stitch at ", (true, 1)),
            (" Increase 2 stitches at ", (true, 2)),
        ])?;
        let mut sides: &'static [Side] =
            self.c.word(&[("each end", BOTH), ("the left end", &BOTH[..1]), ("the right end", &BOTH[1..])])?;
        let two_beds = self.c.opt(", 1 on each bed");
        let mut every = Vec::new();
        if self.c.opt(", every row") {
            every = vec![1];
        } else if self.c.opt(", every ") {
            every = self.c.ordinals()?;
            self.c.lit(" row")?;
        }
        self.c.lit(", ")?;
        let times = self.c.number()?;
        self.c.lit(if times == 1 { " time" } else { " times" }).or_else(|| self.c.lit(" times"))?;
        self.c.lit(", at the counter readings in the table")?;
        if self.c.opt(", right end first") {
            (sides.len() == 2).then_some(())?;
            sides = RIGHT_FIRST;
        }
        self.c.lit(". ")?;
        let mut onto = Onto::Same;
        match (wider, stitches) {
            (true, _) => {
                self.c.lit("Bring the next ")?;
                onto = self.c.word(&[
                    ("needle into work, empty.", Onto::Same),
                    ("needle of the other bed into work, empty.", Onto::Other),
                    ("needle of each bed into work, empty.", Onto::Each),
                    ("2 needles into work, empty.", Onto::Two),
                ])?;
            }
            (false, 1) => self.c.lit("Transfer the end stitch onto the next needle. Put the emptied needle out of work.")?,
            (false, _) => self.c.lit("Count the needles in work on both beds together, from the end: transfer the 2nd onto the 4th, then the 1st onto the 3rd. Put the emptied needles out of work.")?,
        }
        let short = self.c.opt(" Where the 4th is missing or on the other bed, transfer the 2nd onto the 3rd.");
        Some(Shape { wider, stitches, sides, two_beds, times, every, short, onto })
    }

    /// A mark in the edge stitches, to find an opening again.
    pub(super) fn marks(&mut self) -> Option<()> {
        let mut c = self.c;
        c.lit("Mark both edge stitches with contrast yarn: ")?;
        c.name(&self.names.labels)?;
        c.word(&[(" begins here.", ()), (" ends here.", ())])?;
        self.c = c;
        Some(())
    }

    /// The tallies of a shaping: the rows of the one for this size.
    fn table(&mut self) -> Option<(Vec<Row>, u32)> {
        self.c.lit("Each time: counter, carriage, stitches left")?;
        self.c.opt(", any new weight");
        self.c.lit(".")?;
        let mut found = None;
        loop {
            let mut ahead = self.c;
            ahead.space();
            let Some((mine, times, after)) = self.head(&mut ahead) else { return found };
            let rows = (0..times).map(|_| Self::cell(&mut ahead)).collect::<Option<Vec<Row>>>()?;
            self.c = ahead;
            if mine {
                found.is_none().then_some(())?;
                found = Some((rows, after));
            }
        }
    }

    /// The head of a tally: whether it is for this size, how many times, and the rows that follow.
    fn head(&self, c: &mut super::cursor::Cursor<'_>) -> Option<(bool, u32, u32)> {
        let several = c.word(&[("Sizes ", true), ("Size ", false)]);
        let mut mine = several.is_none();
        if let Some(several) = several {
            let mut sizes = 0;
            loop {
                sizes += 1;
                mine |= c.name(&self.names.sizes)? == self.size;
                c.lit(", ")?;
                let mut ahead = *c;
                if ahead.plain_number().is_some() && ahead.opt(" time") {
                    break;
                }
            }
            (several == (sizes > 1)).then_some(())?;
        }
        let times = c.plain_number().filter(|n| *n <= 100_000)?;
        c.lit(if times == 1 { " time" } else { " times" })?;
        let mut after = 0;
        if c.opt(", then ") {
            after = c.plain_number().filter(|n| *n > 0)?;
            c.lit(if after == 1 { " row" } else { " rows" })?;
        }
        c.lit(":")?;
        Some((mine, times, after))
    }

    /// One time: counter, stitches and weight.
    fn cell(c: &mut super::cursor::Cursor<'_>) -> Option<Row> {
        c.lit(" ")?;
        let counter = c.plain_counter()?;
        c.lit(" ")?;
        let stitches = c.plain_number()?;
        let mut ahead = *c;
        let hangs = ahead.lit(" ").and_then(|()| ahead.plain_number()).filter(|_| ahead.opt(" g"));
        if hangs.is_some() {
            *c = ahead;
        }
        let hangs = hangs.map(|grams| (grams, !c.opt(", no comb")));
        Some(Row { counter, stitches, hangs })
    }
}
