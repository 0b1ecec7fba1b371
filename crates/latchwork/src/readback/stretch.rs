//! A stretch of fabric: its rows, the shapings of its table, the weights told within it.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Mark, Setting};

use super::deeds::Deed;
use super::reader::Reader;

/// What the sentence says of a shaping.
#[derive(Debug, Clone, Copy)]
struct Shape {
    wider: bool,
    stitches: u32,
    sides: &'static [Side],
    two_beds: bool,
    times: u32,
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

/// A row of the table, for the size that is read.
#[derive(Debug, Clone, Copy)]
struct Row {
    counter: u32,
    stitches: u32,
    hangs: Option<(u32, bool)>,
}

/// All that one stretch of print says, read but not yet knitted.
struct Said {
    rows: Vec<(Setting, Setting)>,
    shape: Option<Shape>,
    table: Vec<Row>,
    claws: Vec<u32>,
    loads: Vec<(u32, (u32, bool))>,
    grams_told: bool,
    label: String,
    fabric: String,
}

const BOTH: &[Side] = &[Side::Left, Side::Right];
const RIGHT_FIRST: &[Side] = &[Side::Right, Side::Left];
const GRAMS: &str = "Where grams stand beside a row, change what hangs to about that in all, comb included, before you knit on. No comb: draw its wire, take it off, and hang something light in the middle instead, such as a small claw or clothes pegs. While grams alone stand there, the comb and a claw at each edge stay.";

impl Reader<'_> {
    pub(super) fn stretch(&mut self) -> Option<()> {
        let capital = |n: &String| {
            let mut c = n.chars();
            c.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + c.as_str())
        };
        let labels: Vec<String> = self.names.labels.iter().map(capital).collect();
        let figure = |label: &str| label.starts_with(|c: char| c.is_ascii_digit());
        // A label may itself begin with one of the marks.
        let here = self.c;
        let own = self.c.name(&labels).filter(|i| !figure(&self.names.labels[*i]));
        let label = match own {
            Some(i) => self.names.labels.get(i)?.clone(),
            None => {
                self.c = here;
                let fabric_alone = self.c.opt("In ");
                (fabric_alone || self.c.opt("Part ")).then_some(())?;
                let label = self.names.labels.get(self.c.name(&self.names.labels)?)?.clone();
                let fabric_too = self.c.rest.starts_with(" in ");
                (if fabric_alone { !fabric_too } else { fabric_too && figure(&label) }).then_some(())?;
                label
            }
        };
        let mut fabric = label.clone();
        if self.c.opt(" in ") {
            fabric.clone_from(self.names.fabrics.get(self.c.name(&self.names.fabrics)?)?);
        }
        self.c.lit(", ")?;
        let n = self.c.number()?;
        self.c.lit(if n == 1 { " row: " } else { " rows: " }).or_else(|| self.c.lit(" rows: "))?;
        let mut rows = self.phrase(n)?;
        self.c.lit(".")?;
        if self.c.opt(" Then one row with both beds knitting, which clears the tucks.") {
            rows.push((Setting::Knit, Setting::Knit));
        }
        let shape = self.shape_words();
        let claws = std::mem::take(&mut self.s.claws);
        let mut loads = Vec::new();
        let hung = (self.s.grams, self.s.comb);
        self.loads_at(&mut loads)?;
        self.c.space();
        let grams_told = self.c.opt(GRAMS);
        self.c.space();
        (self.s.grams, self.s.comb) = hung;
        while self.marks().is_some() {
            self.c.space();
        }
        self.manual();
        let table = if shape.is_some() { self.table()? } else { Vec::new() };
        self.knit(Said { rows, shape, table, claws, loads, grams_told, label, fabric })
    }

    /// When the claws are moved up in the next step.
    pub(super) fn claws(&mut self) -> Option<()> {
        self.c.lit("In the next step move the claws up when the counter reads ")?;
        let mut claws = self.c.counters()?;
        if self.c.opt(", then every ") {
            let every = self.c.plain_number().filter(|n| *n > 0)?;
            self.c.lit(" rows, the last time at ")?;
            let (first, last) = (claws.pop()?, self.c.counter()?);
            (claws.is_empty() && last > first && last - first < 100_000).then_some(())?;
            (last - first).is_multiple_of(every).then_some(())?;
            claws.extend((0..=(last - first) / every).map(|i| first + every * i));
        }
        if !self.c.opt(".") {
            self.c.lit(
                "; when the comb nears the floor, draw its wire, take it off, and go on with claws of the same weight.",
            )?;
        }
        self.s.claws.is_empty().then_some(())?;
        // What was told for the first time round is not told for the next.
        if !self.s.again {
            self.s.claws = claws;
        }
        Some(())
    }

    /// What is hung at which readings.
    fn loads_at(&mut self, loads: &mut Vec<(u32, (u32, bool))>) -> Option<()> {
        while self.c.opt(" When the counter reads ") {
            let when = self.c.counter()?;
            self.c.lit(": ")?;
            let load = self.load_words()?;
            (self.s.grams, self.s.comb) = load;
            loads.push((when, load));
        }
        Some(())
    }

    /// Knits the rows and does what falls between them; nothing is left over. This is the last of the forms, so that
    /// rows which do not fit end the reading, and nothing need be taken back.
    fn knit(&mut self, said: Said) -> Option<()> {
        let fine = said.shape.map_or(0, |s| s.times as usize) == said.table.len()
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
            if let (Some(shape), Some(row)) = (said.shape, table.next_if(|r| r.counter == now)) {
                self.shaped(shape)?;
                (self.s.in_work.len() == row.stitches as usize).then_some(())?;
                if let Some((grams, comb)) = row.hangs {
                    self.s.hangs(grams, comb);
                }
            }
        }
        (claws.next().is_none() && table.next().is_none() && loads.next().is_none()).then_some(())
    }

    fn shaped(&mut self, shape: Shape) -> Option<()> {
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

    /// Take two stitches off each end, one on each bed (four in all), 5 times, … ; and how it is done.
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
            (" Decrease one stitch at ", (false, 1)),
            (" Decrease two stitches at ", (false, 2)),
            (" Increase one stitch at ", (true, 1)),
            (" Increase two stitches at ", (true, 2)),
        ])?;
        let sides: &'static [Side] = self.c.word(&[
            ("each end, the right end first", RIGHT_FIRST),
            ("each end", BOTH),
            ("the left end", &BOTH[..1]),
            ("the right end", &BOTH[1..]),
        ])?;
        let two_beds = self.c.opt(", one on each bed");
        if two_beds && sides.len() == 2 {
            self.c.lit(" (four in all)")?;
        }
        self.c.lit(", ")?;
        let times = self.c.number()?;
        self.c.lit(if times == 1 { " time" } else { " times" }).or_else(|| self.c.lit(" times"))?;
        self.c.lit(", when the counter reads as below. ")?;
        let mut onto = Onto::Same;
        match (wider, stitches) {
            (true, _) => {
                self.c.lit("Each time bring the next ")?;
                onto = self.c.word(&[
                    ("needle into work, empty. It takes its first loop in the next row.", Onto::Same),
                    ("needle of the other bed into work, empty. It takes its first loop in the next row.", Onto::Other),
                    ("needle of each bed into work, empty. They take their first loops in the next row.", Onto::Each),
                    ("two needles into work, empty. They take their first loops in the next row.", Onto::Two),
                ])?;
            }
            (false, 1) => self.c.lit("Each time move the end stitch on to its neighbour, and put the emptied needle out of work.")?,
            (false, _) => self.c.lit("Each time, counting the needles of both beds from the end, move the second stitch on to the fourth and then the first on to the third, and put the emptied needles out of work.")?,
        }
        let short =
            self.c.opt(" Where the fourth is missing, or stands on the other bed, the second goes on to the third.");
        Some(Shape { wider, stitches, sides, two_beds, times, short, onto })
    }

    /// A thread hung in the edge, to find an opening again.
    pub(super) fn marks(&mut self) -> Option<()> {
        let mut c = self.c;
        c.lit("Then hang a thread of contrast yarn in both edge stitches: the ")?;
        c.name(&self.names.labels)?;
        c.word(&[(" begins here.", ()), (" ends here.", ())])?;
        self.c = c;
        Some(())
    }

    fn manual(&mut self) {
        if self.c.rest.starts_with("(In the manual: ")
            && let Some(end) = self.c.rest.find(".)")
        {
            self.c.rest = &self.c.rest[end + 2..];
            self.c.space();
        }
    }

    /// The table of shapings: the rows of the column that the size stands over.
    fn table(&mut self) -> Option<Vec<Row>> {
        self.c.lit("In each column: counter, where the carriage stands, stitches after")?;
        self.c.opt("; what hangs from then on");
        self.c.lit(". no. ")?;
        let mut found = None;
        loop {
            let (columns, mine) = self.heads()?;
            let mut rows = Vec::new();
            let mut number = 1;
            loop {
                let mut ahead = self.c;
                if !ahead.opt(&format!("{number} ")) {
                    break;
                }
                let Some(cells) = (0..columns).map(|_| Self::cell(&mut ahead)).collect::<Option<Vec<_>>>() else {
                    break;
                };
                self.c = ahead;
                rows.extend(mine.and_then(|k| cells[k]));
                number += 1;
            }
            (number > 1).then_some(())?;
            if mine.is_some() {
                found = Some(rows);
            }
            if !self.c.opt("no. ") {
                return found;
            }
        }
    }

    /// Column heads: how many columns, and which of them the size stands over. Ends before the first row.
    fn heads(&mut self) -> Option<(usize, Option<usize>)> {
        if self.c.opt("all sizes ") {
            return Some((1, Some(0)));
        }
        let (mut columns, mut mine) = (0, None);
        loop {
            loop {
                let k = self.c.name(&self.names.sizes)?;
                if k == self.size {
                    mine = Some(columns);
                }
                if !self.c.opt(", ") {
                    break;
                }
            }
            self.c.lit(" ")?;
            columns += 1;
            let mut ahead = self.c;
            if ahead.opt("1 ") && (0..columns).all(|_| Self::cell(&mut ahead).is_some()) {
                return Some((columns, mine));
            }
        }
    }

    /// A cell with the space after it: no such time, or counter, stitches, and what hangs.
    fn cell(c: &mut super::cursor::Cursor<'_>) -> Option<Option<Row>> {
        if c.opt("– ") || (c.rest == "–" && c.opt("–")) {
            return Some(None);
        }
        let counter = c.plain_counter()?;
        c.lit(" ")?;
        let stitches = c.plain_number()?;
        let mut hangs = None;
        if c.opt("; then ") {
            let grams = c.plain_number()?;
            c.lit(" g")?;
            hangs = Some((grams, !c.opt(", no comb")));
        }
        (c.rest.is_empty() || c.opt(" ")).then_some(Some(Row { counter, stitches, hangs }))
    }
}
