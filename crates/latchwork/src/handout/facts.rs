//! The facts at the head of a handout: whom it fits, tools, yarn, finished measures, gauge.

use super::Grid;
use super::sheet::{Sheet, percent};
use crate::design::{CastOn, Ending};
use crate::fabric::Fabric;
use crate::fit::Measure;
use crate::measure::{Basis, Gauge, Yarn};
use crate::units::{Grams, Language, dial};
use crate::wording::{basis, measure, piece, say, stands, state};
use crate::words::capital;
use latchwork_machine::steps::Action;

impl Sheet<'_> {
    pub(super) fn facts(&self) -> Vec<(String, String)> {
        let t = self.design.show.language;
        let d = self.design;
        let mut facts = Vec::new();
        let fact = |facts: &mut Vec<(String, String)>, label: String, text: String| {
            if !text.is_empty() {
                facts.push((label, text));
            }
        };
        let mut measures: Vec<&str> = Vec::new();
        for m in self.sizes.first().into_iter().flat_map(|s| &s.fit) {
            if let Some((name, _)) = &m.body
                && !measures.contains(&name.as_str())
            {
                measures.push(name);
            }
        }
        let mut fits = Vec::new();
        for name in &measures {
            let values = self.each(|s| {
                d.sizes[s.size]
                    .measure(name)
                    .map_or(String::new(), |v| d.show.number(v).trim_end_matches(".0").to_string())
            });
            fits.push(format!("{} {values} {}", name.replace('-', " "), d.show.unit()));
        }
        fact(&mut facts, say!(t, "To fit"), fits.join("; "));
        fact(&mut facts, say!(t, "Ease"), self.ease());
        let name = d.machine.name.clone().unwrap_or_else(|| d.machine.class.name.to_string());
        let beds = if self.two_beds() { say!(t, "main bed and ribber") } else { say!(t, "main bed") };
        fact(
            &mut facts,
            say!(t, "Machine"),
            say!(t, "{name}, {pitch} mm between needles, {beds}", name, pitch = d.machine.pitch.0, beds),
        );
        fact(&mut facts, say!(t, "Tools"), self.tools());
        for (_, y) in self.used_yarns() {
            let fibre = if y.fibres.is_empty() { String::new() } else { format!(", {}", y.fibre_words()) };
            let (metres, unit) = (y.tex.metres_in_100_g(), d.show.yarn_unit());
            let count =
                say!(t, "{yarn} {unit} in 100 g ({tex:.0} tex)", yarn = d.show.yarn(metres), unit, tex = y.tex.0);
            fact(&mut facts, say!(t, "Yarn"), format!("{}, {count}{fibre}", y.name));
        }
        fact(&mut facts, say!(t, "Time"), self.time());
        fact(&mut facts, say!(t, "Sizes from"), d.sizes_source.clone());
        fact(&mut facts, say!(t, "Note"), d.scenario.clone());
        facts
    }

    /// Least and most ease of each stretch that goes round a body, in percent.
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
                parts.push(say!(t, "{range} at the {stretch}", range, stretch = measure(m, self.design, t)));
                told.push(range);
            }
        }
        parts.join("; ")
    }

    pub(super) fn two_beds(&self) -> bool {
        self.design.pieces.iter().flat_map(|p| &p.stretches).any(|s| s.fabric.layout.two_beds())
    }

    /// The yarns that some size takes, by index.
    pub(super) fn used_yarns(&self) -> impl Iterator<Item = (usize, &Yarn)> {
        let taken = |i: usize| self.sizes.iter().any(|s| s.yarn.get(i).is_none_or(|a| a.metres > 0.0));
        self.design.yarns.iter().enumerate().filter(move |(i, _)| taken(*i))
    }

    pub(super) fn tools(&self) -> String {
        let d = self.design;
        let t = d.show.language;
        let mut tools = vec![
            say!(t, "comb and weights"),
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
        if self.two_beds() {
            tools.push(say!(t, "double-eyed tool"));
        }
        if d.pieces.iter().any(|p| p.cast_on == CastOn::Waste || p.ending == Ending::Waste) {
            tools.push(say!(t, "waste yarn and ravel cord"));
        }
        if !self.open_stretches(0).is_empty() || (1..d.pieces.len()).any(|p| !self.open_stretches(p).is_empty()) {
            tools.push(say!(t, "a little contrast yarn"));
        }
        tools.extend([say!(t, "blunt sewing needle"), say!(t, "scissors"), say!(t, "tape measure")]);
        tools.join(", ")
    }

    pub(super) fn finished(&self) -> Grid {
        let t = self.design.show.language;
        let d = self.design;
        let unit = d.show.unit();
        let mut head = vec![say!(t, "Size")];
        let first = self.sizes.first();
        // Stretches of one piece that come out alike share a column.
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
                    say!(t, "wide")
                };
                head.push(format!("{stretch} {round}, {unit}"));
                if is_ease(m) {
                    head.push(say!(t, "ease"));
                }
            }
        }
        for p in &d.pieces {
            head.push(format!(
                "{} {}, {unit}",
                p.name,
                if p.ending == Ending::Gather { say!(t, "height") } else { say!(t, "length") }
            ));
        }
        let used: Vec<(usize, &Yarn)> = self.used_yarns().collect();
        for (_, y) in &used {
            let of = if used.len() > 1 { format!("{}, ", y.name) } else { say!(t, "yarn, ") };
            head.push(format!("{of}{}", d.show.weight_unit()));
            head.push(format!("{of}{}", d.show.yarn_unit()));
            if let Some(b) = y.ball {
                head.push(say!(t, "balls of {b:.0}\u{a0}g", b = b.0));
            }
        }
        let rows = self.sizes.iter().map(|s| {
            let mut row = vec![d.sizes[s.size].name.clone()];
            for i in &columns {
                let m = &s.fit[*i];
                row.push(d.show.number(m.achieved));
                if let (true, Some(p)) = (self.sizes[0].fit.get(*i).is_some_and(is_ease), m.ease_percent()) {
                    row.push(percent(p));
                }
            }
            for p in &s.stitches.pieces {
                row.push(p.length().map_or_else(|| say!(t, "not known"), |l| d.show.number(l)));
            }
            for (i, y) in used.iter().map(|(i, _)| (*i, &s.yarn[*i])) {
                let (g, range) = s.grams(d, i);
                row.push(format!("{} ± {}", d.show.weight(g), d.show.weight(Grams(range.0.max(1.0)))));
                row.push(d.show.yarn(y.metres));
                if let Some(b) = d.yarns[i].ball {
                    row.push(format!("{:.0}", ((g.0 + range.0) / b.0).ceil()));
                }
            }
            row
        });
        Grid { head, rows: rows.collect() }
    }

    pub(super) fn about_yarn(&self) -> String {
        let t = self.design.show.language;
        let allowance = self.design.pieces.iter().any(|p| p.allowance > 0);
        let round = if allowance {
            say!(
                t,
                "Widths and circumferences are after sewing. Before sewing a piece is wider by the stitches that its seam takes in. "
            )
        } else {
            String::new()
        };
        let mut text =
            say!(t, "{round}Yarn covers all pieces and the tails that sew them. Allow extra for swatches.", round);
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
            text.push_str(&format!(" {}.", capital(&each.collect::<Vec<_>>().join("; "))));
        }
        let bases = self.sizes.iter().flat_map(|s| &s.pieces).map(|p| p.yarn.basis);
        text.push_str(&match bases.max() {
            Some(Basis::Reckoned) => say!(t, " These amounts are estimated from another machine, yarn or fabric: swatch before you rely on them."),
            Some(Basis::Formula | Basis::Unknown) => say!(t, " Part of these amounts is estimated from published figures for plain; ± shows how far out they may be. Weigh a swatch to be sure."),
            Some(Basis::OneSwatch | Basis::Swatches(_) | Basis::Curve(_) | Basis::OtherState(_)) | None => say!(t, " Amounts come from weighed swatches; ± shows how far out they may be."),
        });
        text
    }

    pub(super) fn gauges(&self) -> Vec<Gauge> {
        let mut all: Vec<Gauge> = Vec::new();
        for s in self.design.pieces.iter().flat_map(|p| &p.stretches) {
            if !all.iter().any(|g| g.fabric == s.gauge.fabric && g.yarn == s.gauge.yarn) {
                all.push(s.gauge.clone());
            }
        }
        all
    }

    pub(super) fn gauge(&self, g: &Gauge) -> (String, String) {
        let t = self.design.show.language;
        let (over, words) = self.design.show.gauge_over();
        let ten = |mm: f64| over.0 / mm;
        let doubt = (g.needle.spread.max(g.pass.spread) * 200.0).max(1.0);
        let yarn = &self.design.yarns[g.yarn].name;
        let text = say!(
            t,
            "{needles:.1} needles and {rows:.0} rows to {words}; stitch sizes {main} and {ribber}; {yarn}, {state}; ±{doubt:.0}%, {basis_words}. Needles: {stands}.{also}",
            needles = ten(g.needle.value),
            rows = ten(g.pass.value),
            words,
            main = dial(g.dial.0),
            ribber = dial(g.dial.1),
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
        say!(
            t,
            "Knit at least 60 needles by 90 rows of each fabric, with 2 contrast rows below and above the part to be measured. \
         Wash it as you will wash the finished piece. Dry it flat. Leave it for a day. Count needles on both beds together \
         between two marks, away from the edges. Count rows by the counter, not by what shows. Enter your own figures and \
         print again: every figure here follows from them. A different yarn gives a different gauge."
        )
    }
}

/// The names that other teachers give a fabric; they clash, so its needles always stand beside them.
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

/// A stretch far narrower than its measure is a share of it, not ease.
fn is_ease(m: &Measure) -> bool {
    m.ease_percent().is_some_and(|p| p > -50.0)
}
