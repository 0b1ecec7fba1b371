//! The facts at the head of a handout: whom it fits, tools, yarn, finished measures, gauge.

use super::Grid;
use super::sheet::{Sheet, bracketed, percent};
use crate::check::SizeProof;
use crate::design::{CastOn, Ending, Make, Stretch};
use crate::fabric::Fabric;
use crate::fit::Measure;
use crate::measure::{Basis, Gauge, Yarn};
use crate::notes::ONE_SIZE;
use crate::plan::PiecePlan;
use crate::units::{Grams, Language, Mm, Show, YARD, dial, ounces};
use crate::wording::{basis, measure, piece, say, stands, state};
use crate::words::capital;
use latchwork_machine::steps::Action;

impl Sheet<'_> {
    /// What the cover says: sizes in both systems, level, yarn, tools and time.
    pub(super) fn cover(&self) -> Vec<(String, Vec<String>)> {
        let t = self.design.show.language;
        let d = self.design;
        let mut all = Vec::new();
        let sizes = match self.fitted_measures().first() {
            Some(name) => [d.show, d.show.other()].map(|show| self.to_fit(name, show)).to_vec(),
            None if self.names() == [ONE_SIZE] => vec![say!(t, "one size")],
            None => vec![bracketed(&self.names())],
        };
        // Size names that are not the measure itself are printed beside it.
        let named = self.fitted_measures().first().is_some_and(|m| {
            let same = |s: &SizeProof| {
                let size = &d.sizes[s.size];
                size.measure(m).is_some_and(|v| d.show.number(v).trim_end_matches(".0") == size.name)
            };
            !self.sizes.iter().all(|s| same(s))
        });
        let names = (named && self.names() != [ONE_SIZE]).then(|| bracketed(&self.names()));
        all.push((say!(t, "Sizes"), names.into_iter().chain(sizes).collect()));
        if !d.publication.level.is_empty() {
            all.push((say!(t, "Level"), vec![d.publication.level.clone()]));
        }
        let yarns = self.used_yarns().map(|(i, y)| {
            let grams: Vec<f64> = self.sizes.iter().map(|s| s.grams(d, i).0.0).collect();
            let (least, most) = grams.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), g| (a.min(*g), b.max(*g)));
            let of = |show: Show| match [show.weight(Grams(least)), show.weight(Grams(most))] {
                [a, b] if a == b => format!("{a} {}", show.weight_unit()),
                [a, b] => say!(t, "{a} to {b} {unit}", a, b, unit = show.weight_unit()),
            };
            say!(t, "{first}, {second} of {yarn}", first = of(d.show), second = of(d.show.other()), yarn = y.name)
        });
        let mut takes: Vec<String> = yarns.collect();
        takes.push(self.at_machine());
        all.push((say!(t, "Takes"), takes));
        all
    }

    /// The body measures that the sizes are made for, in order.
    fn fitted_measures(&self) -> Vec<&str> {
        let mut measures: Vec<&str> = Vec::new();
        for m in self.sizes.first().into_iter().flat_map(|s| &s.fit) {
            if let Some((name, _)) = &m.body
                && !measures.contains(&name.as_str())
            {
                measures.push(name);
            }
        }
        measures
    }

    /// A body measure in each size: head 48 (51, 54) cm.
    fn to_fit(&self, name: &str, show: Show) -> String {
        let values = self.each(|s| {
            let value = self.design.sizes[s.size].measure(name);
            // Both systems from the same whole millimetres.
            value.map_or(String::new(), |v| show.number(Mm(v.0.round())).trim_end_matches(".0").to_string())
        });
        format!("{} {values} {}", name.replace('-', " "), show.unit())
    }

    /// What it takes, as label and text.
    pub(super) fn facts(&self) -> Vec<(String, String)> {
        let t = self.design.show.language;
        let d = self.design;
        let mut facts = Vec::new();
        let mut fact = |label: String, text: String| {
            if !text.is_empty() {
                facts.push((label, text));
            }
        };
        for (_, y) in self.used_yarns() {
            fact(say!(t, "Yarn"), self.yarn_words(y));
        }
        let name = d.machine.name.clone().unwrap_or_else(|| say!(t, "{class} gauge", class = d.machine.class.name));
        let beds = if self.two_beds() { say!(t, "main bed and ribber") } else { say!(t, "main bed") };
        fact(
            say!(t, "Machine"),
            say!(
                t,
                "{name}, {pitch} mm between needles, {beds}, at least {needles} needles a bed",
                name,
                pitch = d.machine.pitch.0,
                beds,
                needles = self.needles_a_bed()
            ),
        );
        fact(say!(t, "Tools"), self.tools());
        let fits: Vec<String> = self.fitted_measures().iter().map(|m| self.to_fit(m, d.show)).collect();
        fact(say!(t, "To fit"), fits.join("; "));
        fact(say!(t, "Ease"), self.ease());
        let sample = d.publication.sample.and_then(|s| d.sizes.get(s));
        fact(say!(t, "Sample"), sample.map_or(String::new(), |s| say!(t, "size {size}", size = s.name)));
        fact(say!(t, "Made as"), self.construction());
        fact(say!(t, "Time"), self.time());
        fact(say!(t, "Sizes from"), d.sizes_source.clone());
        fact(say!(t, "Note"), d.scenario.clone());
        facts
    }

    /// A yarn by its name, shade, fibres and count, in both systems.
    fn yarn_words(&self, y: &Yarn) -> String {
        let t = self.design.show.language;
        let fibre = if y.fibres.is_empty() { String::new() } else { format!(", {}", y.fibre_words()) };
        let shade = if y.shade.is_empty() { String::new() } else { say!(t, ", shade {shade}", shade = y.shade) };
        let metres = y.tex.metres_in_100_g();
        let (ball, of) = match y.ball {
            Some(b) => (say!(t, ", balls of {grams:.0}\u{a0}g", grams = b.0), b.0),
            None => (String::new(), 100.0),
        };
        let metres = metres * of / 100.0;
        let yards = metres / YARD;
        let ounces = ounces(of);
        say!(
            t,
            "{name}{shade}{fibre}{ball}; {metres:.0} m in {of:.0} g, {yards:.0} yd in {ounces} oz; {tex:.0} tex",
            name = y.name,
            shade,
            fibre,
            ball,
            metres,
            of,
            yards,
            ounces,
            tex = y.tex.0
        )
    }

    /// How it is made: in the author's words, or piece by piece from the design.
    fn construction(&self) -> String {
        let d = self.design;
        let t = d.show.language;
        if !d.publication.construction.is_empty() {
            return d.publication.construction.clone();
        }
        let pieces = d.pieces.iter().map(|p| {
            let make = match p.make {
                Make::Alike(1) => String::new(),
                Make::Alike(n) => say!(t, ", make {n}", n),
                Make::Pair => say!(t, ", a pair"),
            };
            let end = match p.ending {
                Ending::Gather => say!(t, ", gathered at the end"),
                _ => String::new(),
            };
            format!("{}{make}{end}", p.name)
        });
        let pieces: Vec<String> = pieces.collect();
        let seams = match d.seams.len() {
            0 => say!(t, "No seam."),
            1 => say!(t, "1 seam."),
            n => say!(t, "{n} seams.", n),
        };
        say!(t, "Knitted flat from the cast-on: {pieces}. {seams}", pieces = pieces.join("; "), seams)
    }

    /// Testers, terms of use and copyright, as far as the author gave them.
    pub(super) fn closing(&self) -> Vec<(String, String)> {
        let t = self.design.show.language;
        let p = &self.design.publication;
        let given = [
            (say!(t, "Blocking"), p.blocking.join(" ")),
            (say!(t, "Tested"), p.testers.join(" ")),
            (say!(t, "Use"), p.licence.clone()),
            (say!(t, "Copyright"), p.copyright.clone()),
            (say!(t, "Contact"), p.contact.clone()),
        ];
        given.into_iter().filter(|g| !g.1.is_empty()).collect()
    }

    /// The author's abbreviations that occur as whole words in the author's texts.
    pub(super) fn abbreviations(&self) -> Vec<(String, String)> {
        let d = self.design;
        let p = &d.publication;
        let seams = d.seams.iter().map(|s| &s.note);
        let pieces = d.pieces.iter().map(|p| &p.public);
        let own = [&d.summary, &d.scenario, &d.errata, &p.construction, &p.licence];
        let texts: Vec<&String> = own
            .into_iter()
            .chain(d.notes.iter().chain(&d.care).chain(&p.blocking).chain(&p.testers))
            .chain(seams)
            .chain(pieces)
            .collect();
        let used = |short: &str| {
            texts.iter().any(|t| t.split(|c: char| !c.is_alphanumeric() && !short.contains(c)).any(|w| w == short))
        };
        p.abbreviations.iter().filter(|a| used(&a.0)).cloned().collect()
    }

    /// Least and greatest ease of each stretch that goes round the body, in percent.
    pub(super) fn ease(&self) -> String {
        let t = self.design.show.language;
        let Some(first) = self.sizes.first() else { return String::new() };
        let (mut parts, mut told): (Vec<String>, Vec<String>) = Default::default();
        for (i, m) in first.fit.iter().enumerate() {
            if m.body.is_none() {
                continue;
            }
            let all: Vec<f64> = self.sizes.iter().filter_map(|s| s.fit.get(i)?.ease_percent()).collect();
            let least = all.iter().copied().fold(f64::INFINITY, f64::min).round();
            let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max).round();
            let range = if least.to_bits() == most.to_bits() {
                percent(least)
            } else {
                say!(t, "{least} to {most}", least = percent(least), most = percent(most))
            };
            if is_ease(m) && !told.contains(&range) {
                let stretch = measure(m, self.design, t);
                let body = m.body.as_ref().map_or(String::new(), |b| b.0.replace('-', " "));
                // Negative ease is put in words: a minus sign is easily missed.
                parts.push(if most < 0.0 {
                    let (a, b) = (percent(-most), percent(-least));
                    let less = if a == b { a } else { say!(t, "{a} to {b}", a, b) };
                    say!(t, "{stretch} {less} smaller than the {body}, stretches to fit", less, body, stretch)
                } else {
                    say!(t, "{stretch} {range}", stretch, range)
                });
                told.push(range);
            }
        }
        parts.join("; ")
    }

    /// Needles that a bed must have for the widest piece, as many at the left of the centre as at the right.
    fn needles_a_bed(&self) -> u32 {
        let steps = self.sizes.iter().flat_map(|s| &s.plans.pieces).flat_map(|p| &p.plan.steps);
        let far = steps.filter_map(|s| match &s.action {
            Action::IntoWork(needles) => needles.iter().map(|n| (n.slot.0 + 1).max(-n.slot.0)).max(),
            _ => None,
        });
        let piece = 2 * u32::try_from(far.max().unwrap_or(0)).unwrap_or(0);
        // The swatches are knitted on the same machine.
        let swatch = |g: Gauge| {
            let count = |places: u32| g.fabric.layout.needle_count(places);
            (1..200).find(|p| count(*p).0 + count(*p).1 >= 60).map_or(0, |p| p.next_multiple_of(2))
        };
        self.gauges().into_iter().map(swatch).fold(piece, u32::max)
    }

    /// The most weight hung at any time, in grams, comb included.
    fn heaviest(&self) -> u32 {
        let of = |plan: &PiecePlan| {
            let (mut hangs, mut most) = (0_u32, 0_u32);
            for step in &plan.plan.steps {
                match step.action {
                    Action::Hang { grams, .. } => hangs += grams,
                    Action::Unhang { grams, .. } => hangs = hangs.saturating_sub(grams),
                    _ => {}
                }
                most = most.max(hangs);
            }
            most
        };
        self.sizes.iter().flat_map(|s| &s.plans.pieces).map(of).max().unwrap_or(0)
    }

    pub(super) fn two_beds(&self) -> bool {
        self.design.pieces.iter().flat_map(|p| &p.stretches).any(|s| s.fabric.layout.two_beds())
    }

    /// The yarns that any size takes, by index.
    pub(super) fn used_yarns(&self) -> impl Iterator<Item = (usize, &Yarn)> {
        let taken = |i: usize| self.sizes.iter().any(|s| s.yarn.get(i).is_none_or(|a| a.metres > 0.0));
        self.design.yarns.iter().enumerate().filter(move |(i, _)| taken(*i))
    }

    pub(super) fn tools(&self) -> String {
        let d = self.design;
        let t = d.show.language;
        let mut tools = vec![
            say!(t, "comb with its wire, weights up to {grams} g", grams = self.heaviest()),
            say!(t, "claw weights"),
            say!(t, "row counter"),
            say!(t, "latch tool"),
            say!(t, "needle pusher"),
        ];
        let transfers = self
            .sizes
            .iter()
            .flat_map(|s| &s.plans.pieces)
            .any(|p| p.plan.steps.iter().any(|s| matches!(s.action, Action::Transfer(_))));
        if transfers {
            tools.push(say!(t, "1-prong transfer tool"));
        }
        let crossed = self
            .sizes
            .iter()
            .flat_map(|s| &s.plans.pieces)
            .flat_map(|p| &p.plan.steps)
            .any(|s| matches!(s.action, Action::MoveTogether { .. }));
        if crossed {
            tools.push(say!(t, "two 2- or 3-prong transfer tools"));
        }
        let charts = || self.sizes.iter().flat_map(|s| &s.plans.pieces).flat_map(|p| &p.charts);
        if let Some(width) = self.design.machine.device.filter(|_| charts().any(|c| c.by_device)) {
            tools.push(say!(t, "pattern device that repeats after {width} needles", width));
        }
        if self.two_beds() {
            tools.push(say!(t, "double-eyed tool"));
        }
        if d.pieces.iter().any(|p| p.cast_on == CastOn::Waste || p.ending == Ending::Waste) {
            tools.push(say!(t, "waste yarn and ravel cord"));
        }
        if !self.open_stretches(0).is_empty() || (1..d.pieces.len()).any(|p| !self.open_stretches(p).is_empty()) {
            tools.push(say!(t, "a little contrast yarn"));
        }
        if !d.seams.is_empty() {
            tools.push(say!(t, "pins"));
        }
        tools.extend([say!(t, "blunt sewing needle"), say!(t, "scissors"), say!(t, "tape measure")]);
        tools.push(if self.gauges().len() == 1 {
            say!(t, "scales, and contrast yarn for the swatch")
        } else {
            say!(t, "scales, and contrast yarn for the swatches")
        });
        tools.join(", ")
    }

    /// The place of the sample's size among those printed.
    fn sample_row(&self) -> Option<usize> {
        let sample = self.design.publication.sample?;
        self.sizes.iter().position(|s| s.size == sample).filter(|_| self.sizes.len() > 1)
    }

    /// Finished measures, each in both systems.
    pub(super) fn finished(&self) -> Grid {
        let t = self.design.show.language;
        let d = self.design;
        let shows = [d.show, d.show.other()];
        let mut grid = Grid { head: vec![say!(t, "Size")], sample: self.sample_row(), ..Grid::default() };
        let both = |grid: &mut Grid, what: &str| {
            grid.head.push(format!("{what}, {}", shows[0].unit()));
            grid.second.push(grid.head.len());
            grid.head.push(shows[1].unit().to_string());
        };
        let first = self.sizes.first();
        // Stretches of one piece with the same measures share a column.
        let mut columns: Vec<usize> = Vec::new();
        for (i, m) in first.into_iter().flat_map(|s| s.fit.iter().enumerate()) {
            let alike = |j: &usize| {
                self.sizes.iter().all(|s| {
                    let (a, b) = (&s.fit[*j], &s.fit[i]);
                    a.piece == b.piece && a.achieved == b.achieved && a.body == b.body
                })
            };
            if !columns.iter().any(alike) {
                columns.push(i);
                let stretch = measure(m, d, t);
                let round = if m.body.is_some() && d.pieces[m.piece].allowance > 0 {
                    say!(t, "round")
                } else {
                    say!(t, "width")
                };
                both(&mut grid, &format!("{stretch} {round}"));
            }
        }
        for p in &d.pieces {
            let long = if p.ending == Ending::Gather { say!(t, "height") } else { say!(t, "length") };
            both(&mut grid, &format!("{} {long}", p.name));
        }
        let rows = self.sizes.iter().map(|s| {
            let mut row = vec![d.sizes[s.size].name.clone()];
            for i in &columns {
                row.extend(shows.map(|show| show.number(s.fit[*i].achieved)));
            }
            for p in &s.stitches.pieces {
                row.extend(shows.map(|show| p.length().map_or_else(|| say!(t, "not known"), |l| show.number(l))));
            }
            row
        });
        grid.rows = rows.collect();
        grid
    }

    /// Yarn for each size, in both systems.
    pub(super) fn yarn(&self) -> Grid {
        let t = self.design.show.language;
        let d = self.design;
        let shows = [d.show, d.show.other()];
        let used: Vec<(usize, &Yarn)> = self.used_yarns().collect();
        let mut grid = Grid { head: vec![say!(t, "Size")], sample: self.sample_row(), ..Grid::default() };
        for (_, y) in &used {
            let of = if used.len() > 1 { format!("{}, ", y.name) } else { String::new() };
            for (k, show) in shows.iter().enumerate() {
                if k == 1 {
                    grid.second.extend([grid.head.len(), grid.head.len() + 1]);
                }
                grid.head.push(format!("{of}{}", show.weight_unit()));
                grid.head.push(format!("{of}{}", show.yarn_unit()));
            }
            if let Some(b) = y.ball {
                grid.head.push(say!(t, "balls of {b:.0}\u{a0}g", b = b.0));
            }
        }
        let rows = self.sizes.iter().map(|s| {
            let mut row = vec![d.sizes[s.size].name.clone()];
            for (i, y) in used.iter().map(|(i, _)| (*i, &s.yarn[*i])) {
                let (g, range) = s.grams(d, i);
                for show in shows {
                    row.push(format!("{} ± {}", show.weight(g), show.weight(Grams(range.0.max(1.0)))));
                    row.push(show.yarn(y.metres));
                }
                if let Some(b) = d.yarns[i].ball {
                    row.push(format!("{:.0}", ((g.0 + range.0) / b.0).ceil()));
                }
            }
            row
        });
        grid.rows = rows.collect();
        grid
    }

    /// How the finished measures are to be read; nothing where no seam takes anything in.
    pub(super) fn about_finished(&self) -> String {
        let t = self.design.show.language;
        let allowance = self.design.pieces.iter().any(|p| p.allowance > 0);
        if allowance {
            say!(
                t,
                "Widths and circumferences are after sewing. Before sewing, a piece is wider by the stitches that its seam takes in."
            )
        } else {
            String::new()
        }
    }

    pub(super) fn about_yarn(&self) -> String {
        let t = self.design.show.language;
        let covers = if self.design.seams.is_empty() {
            say!(t, "Yarn includes the tails.")
        } else {
            say!(t, "Yarn covers all pieces and the tails that sew them.")
        };
        let swatches = match self.swatches() {
            Some(grams) => {
                let show = self.design.show;
                let (weight, unit) = (show.weight(grams), show.weight_unit());
                if self.gauges().len() == 1 {
                    say!(t, "The swatch takes about {weight} {unit} more, not counted in the table.", weight, unit)
                } else {
                    say!(t, "The swatches take about {weight} {unit} more, not counted in the table.", weight, unit)
                }
            }
            None => say!(t, "Swatches are not counted in the table."),
        };
        let mut text = format!("{covers} {swatches}");
        let plans = self.sizes.first().map_or(&[][..], |s| &s.plans.pieces);
        if plans.len() > 1 {
            let each = plans.iter().enumerate().map(|(k, p)| {
                let tex = self.design.yarns[self.design.pieces[p.piece].yarn].tex;
                let show = self.design.show;
                let weight = self.each(|s| show.weight(Grams(s.pieces[k].yarn.grams(tex).0.max(1.0))));
                format!(
                    "{} {weight} {}",
                    if p.make > 1 { say!(t, "each {name}", name = piece(&p.name, t)) } else { piece(&p.name, t) },
                    show.weight_unit()
                )
            });
            text.push_str(&say!(
                self.design.show.language,
                " {pieces}, rounded.",
                pieces = capital(&each.collect::<Vec<_>>().join("; "))
            ));
        }
        let bases = self.sizes.iter().flat_map(|s| &s.pieces).map(|p| p.yarn.basis);
        text.push_str(&match bases.max() {
            Some(Basis::Reckoned) => say!(t, " These amounts are estimated from another machine, yarn or fabric: swatch before you rely on them."),
            Some(Basis::Formula | Basis::Unknown) => say!(t, " Part of these amounts is estimated from published figures for plain; ± shows how far out they may be. Weigh a swatch to be sure."),
            Some(Basis::OneSwatch | Basis::Swatches(_) | Basis::Curve(_) | Basis::OtherState(_)) | None => say!(t, " Amounts come from what was weighed; ± shows how far out they may be."),
        });
        text
    }

    /// The weight of a swatch of 60 stitches by 90 rows of every fabric together; none where a fabric has no weighed swatch.
    fn swatches(&self) -> Option<Grams> {
        let each = self.gauges().into_iter().map(|g| {
            let of = self.design.swatches.iter().filter(|s| s.fabric == g.fabric && s.yarn == g.yarn);
            let weighed = of.filter_map(|s| s.weighed.as_ref()).next()?;
            Some(weighed.grams.0 * 60.0 * 90.0 / (weighed.needles * weighed.passes))
        });
        each.sum::<Option<f64>>().map(Grams)
    }

    pub(super) fn gauges(&self) -> Vec<Gauge> {
        let mut all: Vec<Gauge> = Vec::new();
        for of in self.design.pieces.iter().flat_map(|p| &p.stretches).flat_map(Stretch::gauges) {
            if !all.iter().any(|g| g.fabric == of.fabric && g.yarn == of.yarn) {
                all.push(of.clone());
            }
        }
        all
    }

    /// Gauge of each fabric over 10 cm and over 4 in.
    pub(super) fn gauge(&self) -> Grid {
        let t = self.design.show.language;
        let shows = [self.design.show, self.design.show.other()];
        let mut grid = Grid { head: vec![say!(t, "Fabric")], ..Grid::default() };
        for (k, show) in shows.iter().enumerate() {
            let over = show.gauge_over().1;
            if k == 1 {
                grid.second.extend([grid.head.len(), grid.head.len() + 1]);
            }
            grid.head.push(say!(t, "stitches in {over}", over));
            grid.head.push(say!(t, "rows in {over}", over));
        }
        grid.head.push(say!(t, "stitch size"));
        let rows = self.gauges().into_iter().map(|g| {
            let mut row = vec![named(&g.fabric)];
            for show in shows {
                let over = show.gauge_over().0.0;
                row.push(format!("{:.1}", over / g.needle.value));
                row.push(format!("{:.1}", over / g.pass.value));
            }
            row.push(say!(t, "{main} and {ribber}", main = dial(g.dial.0), ribber = dial(g.dial.1)));
            row
        });
        grid.rows = rows.collect();
        grid
    }

    /// Where the gauge of a fabric comes from, and other names of the fabric.
    pub(super) fn about_gauge(&self, g: &Gauge) -> (String, String) {
        let t = self.design.show.language;
        let doubt = (g.needle.spread.max(g.pass.spread) * 200.0).max(1.0);
        let yarn = &self.design.yarns[g.yarn].name;
        let text = say!(
            t,
            "{yarn}, {state}; ±{doubt:.0}%, {basis_words}. Needles: {stands}.{also}",
            yarn,
            state = state(g.state, t),
            doubt,
            basis_words = basis(g.needle.basis, t),
            stands = stands(g.fabric.layout.stands(), t),
            also = also(&g.fabric, t)
        );
        (named(&g.fabric), text)
    }

    pub(super) fn measuring(&self) -> String {
        let t = self.design.show.language;
        let knit = if self.gauges().len() == 1 {
            say!(
                t,
                "Knit at least 60 stitches by 90 rows, with 2 contrast rows below and above the part to be measured."
            )
        } else {
            say!(
                t,
                "Knit at least 60 stitches by 90 rows of each fabric, with 2 contrast rows below and above the part to be measured."
            )
        };
        say!(
            t,
            "{knit} Wash it as the yarn label says. Dry it flat. Leave it for a day. Count the stitches of both beds together \
         between two marks, away from the edges. Count rows by the counter, not by what shows. If the figures differ, change the stitch size and \
         knit a new swatch. A different yarn gives a different gauge.",
            knit
        )
    }
}

/// Other names of a fabric; they clash between teachers, so its needles are always printed beside them.
fn also(fabric: &Fabric, t: Language) -> String {
    if fabric.also.is_empty() {
        String::new()
    } else {
        say!(
            t,
            " Also called {join}.",
            join = fabric.also.join(", ").replace("english", "English").replace("milano", "Milano")
        )
    }
}

fn named(fabric: &Fabric) -> String {
    capital(&fabric.name)
}

/// Whether the figure is ease: a stretch far narrower than the body measure is a share of it.
fn is_ease(m: &Measure) -> bool {
    m.ease_percent().is_some_and(|p| p > -50.0)
}
