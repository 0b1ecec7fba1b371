//! The swatch card: a swatch as a piece, to knit, measure and write down.

use std::sync::Arc;

use super::{Grid, PieceText, proofread};
use crate::check::{Outcome, Proven, prove_notes};
use crate::fabric::{Ends, Fabric};
use crate::measure::{Machine, Yarn, expectations};
use crate::notes;
use crate::notice::Notices;
use crate::picture::{Picture, diagram, where_to_measure};
use crate::text::{quoted, typed};
use crate::units::dial;
use crate::wording::{Language, stands};

/// A swatch to be knitted.
#[derive(Debug, Clone, PartialEq)]
pub struct SwatchPlan {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// The yarn.
    pub yarn: Yarn,
    /// The machine.
    pub machine: Machine,
    /// Stitch sizes in thirds, one after the other: main bed, ribber.
    pub dials: Vec<(u8, u8)>,
}

/// A card in print.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Its title.
    pub title: String,
    /// What is knitted, on what, in what.
    pub facts: Vec<(String, String)>,
    /// The needles.
    pub needles: Option<Picture>,
    /// The instructions.
    pub pieces: Vec<PieceText>,
    /// Where to measure.
    pub measure: Picture,
    /// What to do when it is off the machine.
    pub after: Vec<String>,
    /// What it may be expected to come out at, and how sure that is.
    pub expected: Option<(Grid, String)>,
    /// To fill in.
    pub form: Grid,
    /// What to do with the figures.
    pub then: String,
}

/// Needles of a swatch, about so many (EN 14971 measures over wide pieces; at least 60 is common practice).
const NEEDLES: u32 = 60;
/// Needles between the marks.
const COUNTED: u32 = 40;
/// Rows at each end, between marks, and of each further stitch size: multiples of every repeat.
const BORDER: u32 = 12;
const ROWS: u32 = 60;
const LADDER: u32 = 48;

impl SwatchPlan {
    /// Needles on both beds together, and where the ends stand.
    #[must_use]
    pub fn needles(&self) -> (u32, Ends) {
        let layout = self.fabric.layout;
        let ends = *self.fabric.ends.first().unwrap_or(&Ends::BothMain);
        let places = (1..400)
            .filter(|p| layout.allows(*p, ends))
            .min_by_key(|p| {
                let (m, r) = layout.needle_count(*p);
                (m + r).abs_diff(NEEDLES)
            })
            .unwrap_or(NEEDLES);
        let (m, r) = layout.needle_count(places);
        (m + r, ends)
    }

    /// Rows between the contrast rows.
    #[must_use]
    pub fn rows(&self) -> u32 {
        if self.dials.len() > 1 { LADDER } else { ROWS }
    }

    /// Contrast rows: an even number in whole repeats.
    fn contrast(&self) -> u32 {
        let m = self.fabric.row_multiple();
        if m.is_multiple_of(2) { m } else { 2 * m }
    }

    /// Rows of the whole swatch on the counter.
    #[must_use]
    pub fn all_rows(&self) -> u32 {
        let n = u32::try_from(self.dials.len()).unwrap_or(1);
        2 * BORDER + n * self.rows() + (n + 1) * self.contrast()
    }

    /// The swatch as pass notes.
    #[must_use]
    pub fn notes(&self) -> String {
        let f = &self.fabric;
        let (needles, ends) = self.needles();
        let size = |d: (u8, u8)| {
            let one = |d: u8| dial(d).replace('⅓', " 1/3").replace('⅔', " 2/3");
            if !f.layout.two_beds() || d.0 == d.1 { one(d.0) } else { format!("{} and {}", one(d.0), one(d.1)) }
        };
        let (first, last) = (size(self.dials[0]), size(self.dials[self.dials.len() - 1]));
        let p = &self.machine.profile;
        let own = quoted(&self.yarn.name);
        // Two yarns have two names.
        let other = if self.yarn.name.eq_ignore_ascii_case("contrast") { "\"other yarn\"" } else { "\"contrast\"" };
        let mut t = format!(
            "title {}\nmachine {} {{ pitch (mm){}; needles main={} ribber={}; }}\nyarn {own} {{ count (tex){}; }}\nyarn {other} {{ count (tex){}; }}\n\nnotes \"swatch\"\ncarriage at the right\n",
            quoted(&format!("Swatch of {}", f.name)),
            quoted(self.machine.class.name),
            self.machine.pitch.0,
            p.main_needles,
            p.ribber_needles,
            self.yarn.tex.0,
            self.yarn.tex.0,
        );
        let ends = match ends {
            _ if !f.layout.two_beds() => "",
            Ends::BothMain => ", ends on main",
            Ends::MainRibber => ", ends on main and ribber",
        };
        let tubular = if f.layout.two_beds() { ", with 3 tubular rows" } else { "" };
        t.push_str(&format!("cast on {needles} needles {}{ends}{tubular}\n", f.name));
        t.push_str(&format!("Border: {BORDER} rows {} at {first}\n", f.name));
        let contrast = self.contrast();
        for (i, d) in self.dials.iter().enumerate() {
            let at = size(*d);
            t.push_str(&format!("First mark of {}: {contrast} rows {} at {at} in {other}\n", i + 1, f.name));
            t.push_str(&format!("cut {other}\n"));
            t.push_str(&format!("Part {}: {} rows {} at {at} in {own}\n", i + 1, self.rows(), f.name));
        }
        t.push_str(&format!("Last mark: {contrast} rows {} at {last} in {other}\n", f.name));
        t.push_str(&format!("cut {other}\n"));
        t.push_str(&format!("End: {BORDER} rows {} at {last} in {own}\nbind off\n", f.name));
        t
    }
}

/// Works a swatch out and rehearses it.
///
/// # Errors
/// What was found wrong, with the notes that it was found in.
pub fn rehearsed_swatch(plan: &SwatchPlan) -> Result<Proven, (String, Notices)> {
    let text = plan.notes();
    let (noted, notices) = notes::from_text(&text);
    let Some(noted) = noted else { return Err((text, notices)) };
    let Outcome { proven, notices, .. } = prove_notes(&noted);
    proven.ok_or_else(|| (text, Notices(notices.into_iter().map(|n| n.1).collect())))
}

/// What such a swatch may be expected to come out at, rested: firm, usual and soft; none of a fabric that no constants
/// are known of.
#[must_use]
pub fn expected(plan: &SwatchPlan) -> Option<(Grid, String)> {
    let (f, tex) = (plan.fabric.clone(), plan.yarn.tex);
    let rows = expectations(&f, tex, plan.machine.pitch)?;
    let (needles, _) = plan.needles();
    let (counted, passes) = (f64::from(COUNTED), f64::from(plan.rows()));
    let whole = plan.dials.len() == 1;
    let mut head = vec![
        String::new(),
        "yarn in a loop".to_string(),
        "needles in 10 cm".to_string(),
        "passes in 10 cm".to_string(),
        format!("{COUNTED} needles"),
        format!("{} passes", plan.rows()),
    ];
    if whole {
        head.push("whole swatch".to_string());
    }
    let rows = ["firm", "usual", "soft"].iter().zip(&rows).map(|(word, e)| {
        let mut row = vec![
            (*word).to_string(),
            format!("{:.1} mm", e.loop_length.0),
            format!("{:.0}", e.needles),
            format!("{:.0}", e.passes),
            format!("{:.1} cm", 10.0 * counted / e.needles),
            format!("{:.1} cm", 10.0 * passes / e.passes),
        ];
        if whole {
            row.push(format!("{:.1} g", e.grams(&f, tex, f64::from(needles), f64::from(plan.all_rows()))));
        }
        row
    });
    let r = f.relaxed.clone()?;
    let washed = r.washed.map_or(String::new(), |(needles, passes)| {
        format!(
            " Washed, some {:.0} % more needles and {:.0} % more passes lie in 10 cm.",
            (needles - 1.0) * 100.0,
            (passes - 1.0) * 100.0
        )
    });
    let sure = format!(
        "Rested, flat, not drawn out; needles and passes may be off by {:.0} % ({}). It is no gauge to design by; it lets you see a slip in counting, measuring or weighing.{washed}",
        r.doubt * 100.0,
        r.source
    );
    Some((Grid { head, rows: rows.collect() }, sure))
}

/// The card of a swatch that was rehearsed.
///
/// # Errors
/// Where the words, read back, are not what was rehearsed.
pub fn card(plan: &SwatchPlan, proven: &Proven) -> Result<Card, super::Misprint> {
    let pieces = proofread(proven, &[0])?;
    let f = &plan.fabric;
    let (needles, _) = plan.needles();
    let ladder = plan.dials.len() > 1;
    let sizes: Vec<String> = plan.dials.iter().map(|d| crate::measure::dial_words(f, *d)).collect();
    let facts = vec![
        ("Fabric".to_string(), format!("{}: {}", f.name, stands(f.layout.stands(), Language::English))),
        (
            "Yarn".to_string(),
            format!("{}, {:.0} tex; and a little contrast yarn of the same thickness", plan.yarn.name, plan.yarn.tex.0),
        ),
        ("Machine".to_string(), format!("{}, {} mm between needles", plan.machine.class.name, plan.machine.pitch.0)),
        ("Stitch sizes".to_string(), sizes.join(", then ")),
        ("Needles".to_string(), format!("{needles} on both beds together")),
        ("Rows".to_string(), format!("{} in all, {} between the contrast rows", plan.all_rows(), plan.rows())),
    ];
    let mut after = vec![
        if ladder {
            "Its parts cannot be weighed apart: when all is measured, cut a part out, pull one row of fifty loops out of it and measure the yarn straight. That tells the yarn in a loop of that stitch size.".to_string()
        } else {
            "Weigh the whole swatch, contrast and all, to a tenth of a gram.".to_string()
        },
        "Lay it flat without drawing it out, and measure it: as knitted. Leave it a day and measure again: rested.".to_string(),
        "Wash and dry it as the finished thing will be, leave it flat a day, and measure once more: washed.".to_string(),
        format!(
            "Width: pin two marks so that {COUNTED} needles lie between them, counted on both beds together, ten needles from either edge. Length: from contrast to contrast, {} passes.",
            plan.rows()
        ),
        "Draw it out across as far as it comfortably goes, and measure between the same marks: that is what it allows when worn.".to_string(),
    ];
    if f.tuck_share() > 0.0 {
        after.push("If you can, pull one row of knitted loops and one row of tucks out and measure their yarn straight: it tells the two apart.".to_string());
    }
    let yarn = if ladder { "yarn of 50 loops" } else { "weight" };
    let columns = ["stitch size", "state", "needles", "passes", "width", "length", "stretched", yarn, "date"];
    let states = ["as knitted", "rested", "washed"];
    let mut rows = Vec::new();
    for s in &sizes {
        for state in states {
            let counted = [COUNTED.to_string(), plan.rows().to_string()];
            let mut row = vec![s.clone(), state.to_string()];
            row.extend(counted);
            row.extend(std::iter::repeat_n(String::new(), columns.len() - 4));
            rows.push(row);
        }
    }
    let form = Grid { head: columns.map(String::from).to_vec(), rows };
    let one = if ladder { "…".to_string() } else { sizes.join(" ").replace(" and ", "/") };
    let yarn = if ladder {
        "--unravelled …cm=50".to_string()
    } else {
        format!("--weight …g --whole {needles}x{}", plan.all_rows())
    };
    let then = format!(
        "Enter each line: latchwork swatch add {} --yarn {} --count {:.0}tex --machine {} --stitch-size {one} --needles {COUNTED} --passes {} --width …cm --length …cm --stretched …cm --state washed {yarn}",
        typed(&f.name),
        typed(&plan.yarn.name),
        plan.yarn.tex.0,
        plan.machine.class.name,
        plan.rows(),
    );
    let needles = proven.sizes().first().and_then(|s| s.plans.pieces.first()).and_then(|p| diagram(&p.plan));
    Ok(Card {
        title: format!("Swatch of {}", f.name),
        facts,
        needles,
        pieces,
        measure: where_to_measure(plan.dials.len()),
        after,
        expected: expected(plan),
        form,
        then,
    })
}
