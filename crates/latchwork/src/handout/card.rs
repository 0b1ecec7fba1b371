//! The swatch card: a swatch as a piece, to knit, measure and record.

use std::sync::Arc;

use super::{Grid, PieceText, proofread};
use crate::check::{Outcome, Proven, prove_notes};
use crate::fabric::{Ends, Fabric};
use crate::measure::{Machine, State, Yarn, expectations};
use crate::notes;
use crate::notice::Notices;
use crate::picture::{Picture, diagram, where_to_measure};
use crate::text::{NewNode, quoted, typed};
use crate::units::{Language, dial};
use crate::wording::{self, say, stands};

/// A swatch to be knitted.
#[derive(Debug, Clone, PartialEq)]
pub struct SwatchPlan {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// The yarn.
    pub yarn: Yarn,
    /// The machine.
    pub machine: Machine,
    /// Stitch sizes in thirds, in knitting order: main bed, ribber.
    pub dials: Vec<(u8, u8)>,
}

/// A card in print.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Its language.
    pub language: Language,
    /// Its title.
    pub title: String,
    /// Fabric, machine and yarn, as label and text.
    pub facts: Vec<(String, String)>,
    /// The needles.
    pub needles: Option<Picture>,
    /// The instructions.
    pub pieces: Vec<PieceText>,
    /// Where to measure.
    pub measure: Picture,
    /// What to do once it is off the machine.
    pub after: Vec<String>,
    /// Its expected measures, and how sure they are.
    pub expected: Option<(Grid, String)>,
    /// The form to fill in.
    pub form: Grid,
    /// What to do with the figures.
    pub then: String,
}

/// Needles of a swatch, approximately (EN 14971 measures over wide pieces; at least 60 is common practice).
const NEEDLES: u32 = 60;
/// Needles between the marks.
const COUNTED: u32 = 40;
/// Rows at each end, between marks, and of each further stitch size: multiples of every repeat.
const BORDER: u32 = 12;
const ROWS: u32 = 60;
const LADDER: u32 = 48;

impl SwatchPlan {
    /// Needles on both beds together, and the beds of the end needles.
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
        // The two yarns need different names.
        let contrast = if self.yarn.name.eq_ignore_ascii_case("contrast") { "other yarn" } else { "contrast" };
        let other = quoted(contrast);
        let yarn = |name: &str| {
            NewNode::new("yarn").text(name).with(NewNode::new("count").unit("tex", self.yarn.tex.0)).on_one_line()
        };
        let machine = NewNode::new("machine").text(self.machine.class.name).with_all([
            NewNode::new("pitch").unit("mm", self.machine.pitch.0),
            NewNode::new("needles").pair("main", p.main_needles).pair("ribber", p.ribber_needles),
        ]);
        let head = [
            NewNode::new("title").text(&format!("Swatch of {}", f.name)),
            machine.on_one_line(),
            yarn(&self.yarn.name),
            yarn(contrast),
        ];
        let mut t: String = head.iter().map(|n| format!("{n}\n")).collect();
        t.push_str("\nnotes \"swatch\"\ncarriage at the right\n");
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

/// Plans a swatch and rehearses it.
///
/// # Errors
/// The findings, with the notes that they are about.
pub fn rehearsed_swatch(plan: &SwatchPlan) -> Result<Proven, (String, Notices)> {
    let text = plan.notes();
    let (noted, notices) = notes::from_text(&text);
    let Some(noted) = noted else { return Err((text, notices)) };
    let Outcome { proven, notices, .. } = prove_notes(&noted);
    proven.ok_or_else(|| (text, Notices(notices.into_iter().map(|n| n.1).collect())))
}

/// The expected measures of a swatch at rest: firm, usual and soft; none for a fabric without known constants.
#[must_use]
pub fn expected(plan: &SwatchPlan, t: Language) -> Option<(Grid, String)> {
    let (f, tex) = (plan.fabric.clone(), plan.yarn.tex);
    let rows = expectations(&f, tex, plan.machine.pitch)?;
    let (needles, _) = plan.needles();
    let (counted, passes) = (f64::from(COUNTED), f64::from(plan.rows()));
    let whole = plan.dials.len() == 1;
    let mut head = vec![
        String::new(),
        say!(t, "yarn in a loop"),
        say!(t, "needles in 10 cm"),
        say!(t, "rows in 10 cm"),
        say!(t, "{COUNTED} needles", COUNTED),
        say!(t, "{rows} rows", rows = plan.rows()),
    ];
    if whole {
        head.push(say!(t, "whole swatch"));
    }
    let rows = [say!(t, "firm"), say!(t, "usual"), say!(t, "soft")].into_iter().zip(&rows).map(|(word, e)| {
        let mut row = vec![
            (*word).to_string(),
            say!(t, "{loop_length:.1} mm", loop_length = e.loop_length.0),
            format!("{:.0}", e.needles),
            format!("{:.0}", e.passes),
            say!(t, "{needles:.1} cm", needles = 10.0 * counted / e.needles),
            say!(t, "{passes:.1} cm", passes = 10.0 * passes / e.passes),
        ];
        if whole {
            row.push(format!("{:.1} g", e.grams(&f, tex, f64::from(needles), f64::from(plan.all_rows()))));
        }
        row
    });
    let r = f.relaxed.clone()?;
    let washed = r.washed.map_or(String::new(), |(needles, passes)| {
        say!(
            t,
            " Washed, there are about {needles:.0}% more needles and {passes:.0}% more rows in 10 cm.",
            needles = (needles - 1.0) * 100.0,
            passes = (passes - 1.0) * 100.0
        )
    });
    let sure = say!(
        t,
        "Rested, flat, not stretched: ±{doubt:.0}%, {source}. This is not a gauge to design by. It shows up a slip in counting, measuring or weighing.{washed}",
        doubt = r.doubt * 100.0,
        source = r.source,
        washed
    );
    Some((Grid { head, rows: rows.collect(), ..Grid::default() }, sure))
}

/// The card of a rehearsed swatch.
///
/// # Errors
/// Where the words, read back, differ from what was rehearsed.
pub fn card(plan: &SwatchPlan, proven: &Proven) -> Result<Card, super::Misprint> {
    let t = proven.design().show.language;
    let pieces = proofread(proven, &[0])?;
    let needles = proven.sizes().first().and_then(|s| s.plans.pieces.first()).and_then(|p| diagram(&p.plan, t));
    Ok(Card {
        language: t,
        title: say!(t, "Swatch of {name}", name = plan.fabric.name),
        facts: facts(plan, t),
        needles,
        pieces,
        measure: where_to_measure(plan.dials.len(), t),
        after: after(plan, t),
        expected: expected(plan, t),
        form: form(plan, t),
        then: then(plan, t),
    })
}

/// Its stitch sizes, one for each part.
fn sizes(plan: &SwatchPlan) -> Vec<String> {
    plan.dials.iter().map(|d| crate::measure::dial_words(&plan.fabric, *d)).collect()
}

/// Whether it has several stitch sizes.
fn ladder(plan: &SwatchPlan) -> bool {
    plan.dials.len() > 1
}

/// Its fabric, machine and yarn, and how large it is.
fn facts(plan: &SwatchPlan, t: Language) -> Vec<(String, String)> {
    let f = &plan.fabric;
    let (needles, _) = plan.needles();
    vec![
        (say!(t, "Fabric"), format!("{}: {}", f.name, stands(f.layout.stands(), t))),
        (
            say!(t, "Yarn"),
            say!(
                t,
                "{name}, {tex:.0} tex, and a little contrast yarn of the same thickness",
                name = plan.yarn.name,
                tex = plan.yarn.tex.0
            ),
        ),
        (
            say!(t, "Machine"),
            say!(
                t,
                "{name} gauge, {pitch} mm between needles",
                name = plan.machine.class.name,
                pitch = plan.machine.pitch.0
            ),
        ),
        (say!(t, "Stitch sizes"), sizes(plan).join(&say!(t, ", then "))),
        (say!(t, "Needles"), say!(t, "{needles} on both beds together", needles)),
        (
            say!(t, "Rows"),
            say!(
                t,
                "{all_rows} in total, {rows} between the contrast rows",
                all_rows = plan.all_rows(),
                rows = plan.rows()
            ),
        ),
    ]
}

/// What to do with it once it is knitted.
fn after(plan: &SwatchPlan, t: Language) -> Vec<String> {
    let mut after = vec![
        if ladder(plan) {
            say!(
                t,
                "The sections cannot be weighed apart. After measuring, cut one out, pull out 1 row of 50 stitches and measure the yarn straight. That gives the yarn in 1 stitch of that stitch size."
            )
        } else {
            say!(t, "Weigh the whole swatch, contrast yarn included, to 0.1 g.")
        },
        say!(
            t,
            "Lay it flat without stretching it. Measure it: as knitted. Leave it for a day. Measure again: rested."
        ),
        say!(t, "Wash and dry it as you will the finished piece. Leave it flat for a day. Measure once more: washed."),
        say!(
            t,
            "Width: pin 2 marks with {COUNTED} needles between them, counted on both beds together, 10 needles from either edge. Length: from contrast to contrast, {rows} rows.",
            COUNTED,
            rows = plan.rows()
        ),
        say!(
            t,
            "Stretch it sideways as far as it goes comfortably. Measure between the same marks: that is how far it stretches when worn."
        ),
    ];
    if plan.fabric.tuck_share() > 0.0 {
        after.push(say!(
            t,
            "If you can, pull out 1 row of knitted stitches and 1 row of tucks, and measure their yarn straight."
        ));
    }
    after
}

/// The form for its measures.
fn form(plan: &SwatchPlan, t: Language) -> Grid {
    let yarn = if ladder(plan) { say!(t, "yarn in 50 stitches") } else { say!(t, "weight") };
    let columns = [
        say!(t, "stitch size"),
        say!(t, "state"),
        say!(t, "needles"),
        say!(t, "rows"),
        say!(t, "width"),
        say!(t, "length"),
        say!(t, "stretched"),
        yarn,
        say!(t, "date"),
    ];
    let mut rows = Vec::new();
    for s in sizes(plan) {
        for (state, _) in State::ALL {
            let counted = [COUNTED.to_string(), plan.rows().to_string()];
            let mut row = vec![s.clone(), wording::state(state, t)];
            row.extend(counted);
            row.extend(std::iter::repeat_n(String::new(), columns.len() - 4));
            rows.push(row);
        }
    }
    Grid { head: columns.to_vec(), rows, ..Grid::default() }
}

/// How to enter the measures.
fn then(plan: &SwatchPlan, t: Language) -> String {
    let f = &plan.fabric;
    let (needles, _) = plan.needles();
    let (ladder, sizes) = (ladder(plan), sizes(plan));
    let one = if ladder { "…".to_string() } else { sizes.join(" ").replace(" and ", "/") };
    let yarn = if ladder {
        say!(t, "--unravelled …cm=50")
    } else {
        say!(t, "--weight …g --whole {needles}x{all_rows}", needles, all_rows = plan.all_rows())
    };
    say!(
        t,
        "Enter each line: latchwork swatch add {typed} --yarn {typed_2} --count {tex:.0}tex --machine {name} --stitch-size {one} --needles {COUNTED} --passes {rows} --width …cm --length …cm --stretched …cm --state washed {yarn}",
        typed = typed(&f.name),
        typed_2 = typed(&plan.yarn.name),
        tex = plan.yarn.tex.0,
        name = plan.machine.class.name,
        one,
        COUNTED,
        rows = plan.rows(),
        yarn
    )
}
