//! The sections of the handout, one by one.

use latchwork_machine::beds::Beds;
use latchwork_machine::steps::{Action, Mark, Way};

use super::texts::{cautions, trouble};
use super::{Grid, Handout, PieceText, StepText, Tally, shown};
use crate::check::{Proven, SizeProof, given};
use crate::design::{Design, Make, Seam};
use crate::fact::PartName;
use crate::notes::ONE_SIZE;
use crate::picture::{diagram, schematic};
use crate::plan::{Part, PartKind, PiecePlan};
use crate::units::{Mm, dial};
use crate::wording::{self, say, stands};
use crate::words::{Instruction, Merged, ShapingRow, ShapingTable, Token, capital, merge, say};

pub(super) struct Sheet<'a> {
    pub(super) design: &'a Design,
    pub(super) sizes: Vec<&'a SizeProof>,
}

/// Figures of all sizes in brackets; a single figure if all are equal.
pub(super) fn bracketed(values: &[String]) -> String {
    match values.split_first() {
        None => String::new(),
        Some((first, rest)) if rest.iter().all(|v| v == first) => first.clone(),
        Some((first, rest)) => format!("{first} ({})", rest.join(", ")),
    }
}

/// A rounded percentage with a true minus sign.
pub(super) fn percent(p: f64) -> String {
    let p = p.round();
    if p < 0.0 { format!("−{:.0}%", -p) } else { format!("{:.0}%", p.abs()) }
}

impl<'a> Sheet<'a> {
    pub(super) fn new(proven: &'a Proven, sizes: &[usize]) -> Sheet<'a> {
        Sheet { design: proven.design(), sizes: sizes.iter().filter_map(|i| proven.sizes().get(*i)).collect() }
    }

    pub(super) fn names(&self) -> Vec<String> {
        self.sizes.iter().map(|s| self.design.sizes[s.size].name.clone()).collect()
    }

    pub(super) fn each(&self, of: impl Fn(&SizeProof) -> String) -> String {
        bracketed(&self.sizes.iter().map(|s| of(s)).collect::<Vec<_>>())
    }

    pub(super) fn write(&self, own_words: bool) -> Handout {
        let t = self.design.show.language;
        let d = self.design;
        let names = self.names();
        let stitches: Vec<_> = self.sizes.iter().map(|s| &s.stitches).collect();
        let author = if d.author.is_empty() { String::new() } else { format!(", {}", d.author) };
        let date = if d.date.is_empty() { String::new() } else { format!(", {}", d.date) };
        let rehearsed = match names.as_slice() {
            [one] if one == ONE_SIZE => say!(t, "Rehearsed needle by needle"),
            [one] => say!(t, "Rehearsed needle by needle in size {one}", one),
            all if all.len() == d.sizes.len() => {
                say!(t, "Rehearsed needle by needle in all {all} sizes", all = all.len())
            }
            some => say!(t, "Rehearsed needle by needle in these {some} sizes", some = some.len()),
        };
        let own = if own_words { d.machine.own_words.clone() } else { Vec::new() };
        Handout {
            language: t,
            title: d.title.clone(),
            summary: d.summary.clone(),
            version: say!(t, "Version {version}{date}", version = d.version, date),
            folio: say!(
                t,
                "{title}, version {version}{date}{author}",
                title = d.title,
                version = d.version,
                date,
                author
            ),
            rehearsed,
            author: d.author.clone(),
            date: d.date.clone(),
            order: self.order(&names),
            cover: self.cover(),
            facts: self.facts(),
            photo: None,
            closing: self.closing(),
            abbreviations: self.abbreviations(),
            for_author: None,
            schematic: schematic(d, &stitches),
            finished: self.finished(),
            yarn: self.yarn(),
            about_finished: self.about_finished(),
            about_yarn: self.about_yarn(),
            gauge: self.gauge(),
            about_gauge: self.gauges().iter().map(|g| self.about_gauge(g)).collect(),
            measuring: self.measuring(),
            needles: self.needles(),
            ladder: self.ladder(),
            own_words: own,
            cloth: Vec::new(),
            before: self.before(),
            pieces: self.pieces(own_words),
            making_up: self.making_up(),
            sewing: self.sewing(),
            fit: self.fit_grid(),
            about_fit: self.about_fit(),
            fit_plot: self.fit_plot(),
            reading: self.reading(&names),
            trouble: trouble(t),
            care: d.care.clone(),
            cautions: cautions(t),
            notes: d.notes.clone(),
            errata: if d.errata.is_empty() {
                say!(t, "None known in version {version}{date}. Write corrections here: ", version = d.version, date)
            } else {
                d.errata.clone()
            },
            sizes: names,
        }
    }

    fn order(&self, names: &[String]) -> String {
        let t = self.design.show.language;
        let washed = self.gauges().iter().all(|g| g.state == crate::measure::State::Washed);
        let state =
            if washed { say!(t, "Measured after washing.") } else { say!(t, "Measured in the state of the swatches.") };
        match names {
            [one] if one == ONE_SIZE => say!(t, "{state} One size.", state),
            [one] => say!(t, "{state} Size {one} only.", state, one),
            many => say!(t, "{state} Sizes, always in this order: {bracketed}.", state, bracketed = bracketed(many)),
        }
    }

    fn needles(&self) -> Vec<(String, crate::picture::Picture)> {
        let t = self.design.show.language;
        let Some(s) = shown(self.design, &self.sizes) else { return Vec::new() };
        let size = &self.design.sizes[s.size].name;
        let mut all = Vec::new();
        for plan in s.plans.pieces.iter().filter(|p| !p.mirrored) {
            if let Some(picture) = diagram(&plan.plan, t) {
                let piece = &self.design.pieces[plan.piece];
                let layout = stands(piece.stretches[0].fabric.layout.stands(), t);
                let racked = matches!(plan.plan.steps.first().map(|s| &s.action), Some(Action::Start { racking, .. }) if racking.0 != 0);
                let cast_on = if racked { say!(t, "for the cast-on, ") } else { String::new() };
                let which = if self.sizes.len() > 1 { say!(t, ", size {size} shown", size) } else { String::new() };
                all.push((format!("{}: {cast_on}{layout}{which}.", capital(&piece.name)), picture));
            }
        }
        all
    }

    /// Stitch sizes in knitting order, with empty columns for the reader's own machine.
    fn ladder(&self) -> Grid {
        let t = self.design.show.language;
        let mut rows: Vec<Vec<String>> = Vec::new();
        let Some(s) = self.sizes.first() else { return Grid::default() };
        for plan in s.plans.pieces.iter().filter(|p| !p.mirrored) {
            let mut before = None;
            let one_bed = |plan: &PiecePlan, part: &Part| match part.kind {
                PartKind::Stretch { index, .. } => {
                    !self.design.pieces[plan.piece].stretches[index].fabric.layout.two_beds()
                }
                PartKind::CastOn | PartKind::Between { .. } | PartKind::Ending => true,
            };
            for step in &plan.plan.steps {
                let Action::Pass(p) = &step.action else { continue };
                if p.yarn.is_none() {
                    continue;
                }
                let part = &plan.origins[step.origin.0 as usize];
                let name = match &part.name {
                    // Both sides of a neck are knitted alike.
                    PartName::SideOf(own, _) => own.clone(),
                    name => wording::part(name, t),
                };
                let key = (p.main.dial.0, p.ribber.dial.0, name);
                if before.as_ref() == Some(&key) {
                    continue;
                }
                before = Some(key.clone());
                let zigzag = p.main.setting == p.ribber.setting;
                let working = p.yarn == Some(latchwork_machine::steps::Yarn(0));
                let what = match &part.kind {
                    PartKind::CastOn if zigzag => say!(t, "zigzag row"),
                    PartKind::CastOn if working && p.mark == Mark::OpenStart => say!(t, "first row"),
                    PartKind::CastOn if working => say!(t, "tubular rows"),
                    PartKind::CastOn => say!(t, "waste yarn"),
                    PartKind::Ending if self.design.pieces.len() > 1 => {
                        say!(t, "last row of the {name}", name = wording::piece(&plan.name, t))
                    }
                    PartKind::Ending => say!(t, "last row"),
                    PartKind::Stretch { fabric, .. } if key.2 != *fabric => format!("{}, {fabric}", key.2),
                    PartKind::Stretch { .. } | PartKind::Between { .. } => key.2.clone(),
                };
                let ribber = if p.ribber.setting == latchwork_machine::steps::Setting::Slip
                    && part.kind != PartKind::CastOn
                    && !zigzag
                    && one_bed(plan, part)
                {
                    "–".to_string()
                } else {
                    dial(p.ribber.dial.0)
                };
                let row = vec![what, dial(p.main.dial.0), ribber, String::new(), String::new()];
                if !rows.contains(&row) {
                    rows.push(row);
                }
            }
        }
        let head = vec![
            String::new(),
            say!(t, "main bed"),
            say!(t, "ribber"),
            say!(t, "yours, main"),
            say!(t, "yours, ribber"),
        ];
        Grid { head, rows, ..Grid::default() }
    }

    fn before(&self) -> Vec<String> {
        let t = self.design.show.language;
        let mut list = vec![
            say!(t, "Clamps tight. The machine does not rock."),
            say!(t, "Every latch opens and closes. No needle is bent."),
            say!(t, "Yarn waxed, wound to run freely, and weighed."),
            say!(t, "Comb, weights and tools within reach."),
        ];
        if self.two_beds() {
            list.push(say!(t, "Carriages joined, at the side given in step 1."));
            list.push(say!(t, "Pitch set as given in step 1."));
        }
        list.push(say!(t, "The row counter advances by 1 each row."));
        list
    }

    pub(super) fn pieces(&self, own_words: bool) -> Vec<PieceText> {
        let t = self.design.show.language;
        let count = self.sizes.first().map_or(0, |s| s.plans.pieces.len());
        (0..count)
            .map(|k| {
                let lines: Vec<Vec<Instruction>> = self
                    .sizes
                    .iter()
                    .map(|s| {
                        let plan = &s.plans.pieces[k];
                        say(&plan.plan, &given(plan, self.design.show))
                    })
                    .collect();
                let plan = &self.sizes[0].plans.pieces[k];
                let piece = &self.design.pieces[plan.piece];
                let title = match (piece.make, plan.make) {
                    (Make::Pair, _) | (Make::Alike(_), 1) => capital(&wording::piece(&plan.name, t)),
                    (Make::Alike(_), n) => {
                        say!(t, "{capital}, make {n}", capital = capital(&wording::piece(&plan.name, t)), n)
                    }
                };
                let public = if piece.public.is_empty() {
                    String::new()
                } else {
                    say!(t, "Public side: {public}. ", public = piece.public)
                };
                let hung = self.design.joins.iter().filter(|j| j.piece == plan.piece && !j.note.is_empty());
                let notes: String = hung.map(|j| format!(" {}", j.note)).collect();
                let intro = format!("{public}{}{notes}", self.parity(k));
                let charts = self.charts(k);
                PieceText { title, make: plan.make, intro, charts, steps: self.steps(merge(&lines), plan, own_words) }
            })
            .collect()
    }

    /// Stretches of a sewn side edge that no seam takes, by index.
    pub(super) fn open_stretches(&self, piece: usize) -> Vec<usize> {
        let edges = self.design.seams.iter().flat_map(Seam::edges);
        let sewn: Vec<usize> =
            edges.filter(|e| e.piece == piece && e.kind.is_side()).flat_map(|e| e.stretches.iter().copied()).collect();
        let all = 0..self.design.pieces[piece].stretches.len();
        if sewn.is_empty() { Vec::new() } else { all.filter(|i| !sewn.contains(i)).collect() }
    }

    /// What to mark in the edges after a stretch, to find an opening again when the seam is sewn.
    fn mark(&self, piece: usize, stretch: usize) -> String {
        let t = self.design.show.language;
        let open = self.open_stretches(piece);
        let name = |i: usize| &self.design.pieces[piece].stretches[i].name;
        let begins = (open.contains(&(stretch + 1)) && !open.contains(&stretch)).then(|| {
            say!(t, " Mark both edge stitches with contrast yarn: {name} begins here.", name = name(stretch + 1))
        });
        let ends = (open.contains(&stretch) && !open.contains(&(stretch + 1)))
            .then(|| say!(t, " Mark both edge stitches with contrast yarn: {name} ends here.", name = name(stretch)));
        format!("{}{}", begins.unwrap_or_default(), ends.unwrap_or_default())
    }

    /// Where the carriage is at even and odd readings, if it holds in every size.
    fn parity(&self, k: usize) -> String {
        let t = self.design.show.language;
        let at_zero = |s: &SizeProof| {
            let steps = s.plans.pieces[k].plan.steps.iter().map(|s| &s.action);
            let side = steps.clone().find_map(|a| match a {
                Action::Claim(c) if c.counter == Some(0) => c.carriage,
                _ => None,
            })?;
            // It must hold after every row from there on: the counter may be set again, or a row may go uncounted.
            let (mut beds, mut set) = (Beds::outline(side), false);
            let holds = steps.fold(true, |holds, a| {
                beds.step(a);
                set |= matches!(a, Action::Counter(_));
                let looked_at = set && matches!(a, Action::Counter(_) | Action::Pass(_));
                holds && (!looked_at || side.after(beds.counter()) == beds.carriage())
            });
            holds.then_some(side)
        };
        let sides: Vec<_> = self.sizes.iter().map(|s| at_zero(s)).collect();
        match sides.split_first() {
            Some((Some(side), rest)) if rest.iter().all(|s| *s == Some(*side)) => say!(
                t,
                "The carriage is at the {side} at even counter readings, at the {other} at odd ones.",
                side = wording::side(*side, t),
                other = wording::side(side.other(), t)
            ),
            _ => String::new(),
        }
    }

    /// The settings of a step in the owner's own words, after the neutral ones.
    fn own_words(&self, tokens: &mut Vec<Token>) {
        let t = self.design.show.language;
        let said: String = tokens.iter().map(Token::text).collect::<String>().to_lowercase();
        let settings = ["knit", "tuck", "slip", "full pitch", "half pitch"];
        let known = settings.iter().filter(|w| said.contains(*w));
        let own: Vec<String> =
            known.filter_map(|w| self.design.machine.own_word(w).map(|own| say!(t, "{w} is {own}", w, own))).collect();
        if !own.is_empty() {
            tokens.push(Token::Text(say!(t, " In the manual: \u{201c}{own}\u{201d}.", own = own.join("; "))));
        }
    }

    fn steps(&self, lines: Vec<Merged>, plan: &PiecePlan, own_words: bool) -> Vec<StepText> {
        let knits =
            |m: &Merged| plan.origins.get(m.part as usize).filter(|p| p.fabric().is_some()).and_then(Part::stretch);
        let all: Vec<usize> = (0..self.sizes.len()).collect();
        let sizes = |m: &Merged| if m.only.is_empty() { all.clone() } else { m.only.clone() };
        // A stretch may take several lines; its edges are marked after the last.
        let marks: Vec<Option<String>> = (0..lines.len())
            .map(|i| {
                let (m, after) = (&lines[i], &lines[i + 1..]);
                let goes_on = |size: &usize| after.iter().any(|l| l.part == m.part && sizes(l).contains(size));
                knits(m).filter(|_| !sizes(m).iter().all(goes_on)).map(|stretch| self.mark(plan.piece, stretch))
            })
            .collect();
        let told = lines.into_iter().zip(marks).map(|(mut m, mark)| {
            m.tokens.extend(mark.map(Token::Text));
            self.step(m, own_words)
        });
        told.collect()
    }

    fn step(&self, mut m: Merged, own_words: bool) -> StepText {
        let t = self.design.show.language;
        if own_words {
            self.own_words(&mut m.tokens);
        }
        let names = self.names();
        let only = match m.only.as_slice() {
            [] => String::new(),
            [one] => say!(t, "Size {one} only.", one = names[*one]),
            many => say!(
                t,
                "Sizes {iter} only.",
                iter = many.iter().map(|i| names[*i].as_str()).collect::<Vec<_>>().join(", ")
            ),
        };
        let tallies = m.table.map(|table| self.tallies(&table)).unwrap_or_default();
        StepText { only, sizes: m.only, counter: m.counter, sides: m.sides, tokens: m.tokens, tallies }
    }

    /// Shapings size by size; only neighbouring sizes share a tally, which keeps the sizes in order.
    fn tallies(&self, table: &ShapingTable) -> Vec<Tally> {
        let t = self.design.show.language;
        let names = self.names();
        let mut all: Vec<(Vec<&str>, u32, Vec<ShapingRow>)> = Vec::new();
        for (k, name) in names.iter().enumerate() {
            let rows: Vec<ShapingRow> = table.rows.iter().filter_map(|r| r[k]).collect();
            if rows.is_empty() {
                continue;
            }
            let after = table.after[k];
            match all.last_mut().filter(|c| c.1 == after && c.2 == rows) {
                Some(c) => c.0.push(name),
                None => all.push((vec![name], after, rows)),
            }
        }
        let head = |sizes: &[&str], n: usize, after: u32| {
            let times = if n == 1 { say!(t, "1 time") } else { say!(t, "{n} times", n) };
            let times = match after {
                0 => times,
                1 => say!(t, "{times}, then 1 row", times),
                rows => say!(t, "{times}, then {rows} rows", times, rows),
            };
            match sizes {
                all if all.len() == names.len() => say!(t, "{times}:", times),
                [one] => say!(t, "Size {one}, {times}:", one, times),
                several => say!(t, "Sizes {several}, {times}:", several = several.join(", "), times),
            }
        };
        all.into_iter().map(|(sizes, after, rows)| Tally { head: head(&sizes, rows.len(), after), rows }).collect()
    }

    fn reading(&self, names: &[String]) -> Vec<String> {
        let t = self.design.show.language;
        let mut list = vec![
            say!(
                t,
                "A row is one trip of the carriage, from one side to the other, and one click of the counter. Each step gives the \
             counter reading and carriage side once it is done. The black arrow points to that side."
            ),
            say!(
                t,
                "Needles are counted from the centre: L to the left, R to the right. The number of needles is for both beds \
             together."
            ),
            say!(
                t,
                "Stitch sizes are given main bed first, then ribber. For the cast-on and the last row they are a starting \
             point."
            ),
        ];
        if self.two_beds() {
            list.push(say!(
                t,
                "The two-bed arm joins the carriages of the main bed and the ribber. The single-bed arm is for the main bed only."
            ));
        }
        list.push(say!(t, "The public side is the side that shows when worn."));
        if names.len() > 1 {
            list.push(say!(
                t,
                "Sizes, always in this order: {bracketed}. A single figure is for all sizes. A dash: not for that size. Where a \
                 size has several figures, semicolons part the sizes.",
                bracketed = bracketed(names)
            ));
        }
        list.push(say!(t, "No abbreviations, apart from units and needle numbers."));
        list
    }

    /// Whether a piece ends in this way.
    pub(super) fn ends(&self, plan: usize, way: Way) -> bool {
        self.sizes.first().is_some_and(|s| {
            s.plans.pieces[plan]
                .plan
                .steps
                .iter()
                .any(|s| matches!(&s.action, Action::Secure { way: w, .. } if *w == way))
        })
    }

    pub(super) fn length(&self, mm: Mm) -> String {
        self.design.show.length(mm)
    }
}
