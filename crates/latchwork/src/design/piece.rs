//! Pieces and their stretches.

use std::sync::Arc;

use latchwork_machine::needle::Side;

use super::colours::{fetches, yarns};
use super::gore::gores;
use super::head::{NamedYarn, fabric, stitch_size};
use super::hem::{check_hems, hem, holes};
use super::join::{INSIDE, joined};
use super::laid::{Laid, selected, yes};
use super::neck::{check_necks, neck};
use super::seam::own_edges;
use super::shaping::{check_shaping, shaping};
use super::short::{check_short_rows, short_rows};
use super::slit::{check_slits, slit};
use super::wish::{WISHES, length, wish};
use super::{CastOn, Change, Edge, Ending, Make, Panel, PanelAt, Piece, Placed, Shaping, Size, Stretch, Wish, Wished};
use crate::fabric::{Begun, Ends, Fabric};
use crate::fact::{DesignFact, EdgeFact, Listed, NoGauge, Subject};
use crate::measure::{Dials, Gauge, Machine, Swatch, dials, gauge};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Written, quoted};
use crate::units::Tex;
use crate::vocabulary::SIDES;

pub(super) struct Context<'a> {
    pub(super) fabrics: &'a [Arc<Fabric>],
    pub(super) yarns: &'a [NamedYarn],
    pub(super) swatches: &'a [Swatch],
    /// Whether a swatch could not be read: a missing one is then no second fault.
    pub(super) swatch_faults: bool,
    /// Whether a measure of a size could not be read: a missing one is then no second fault.
    pub(super) size_faults: bool,
    pub(super) sizes: &'a [Size],
    pub(super) machine: &'a Option<Machine>,
}

impl Context<'_> {
    /// The sizes, and whether one could not be read.
    pub(super) fn known(&self) -> (&[Size], bool) {
        (self.sizes, self.size_faults)
    }
}

/// A piece with its name, which seams can refer to even if the rest could not be read.
pub(super) struct NamedPiece {
    pub(super) name: String,
    pub(super) stretches: Vec<String>,
    pub(super) piece: Option<Piece>,
    /// Its edges by the author's own names: edges on end.
    pub(super) edges: Vec<(String, Vec<Edge>)>,
    /// Whether the author gave the seam allowance.
    pub(super) allowance_given: bool,
}

pub(super) fn pieces(r: &mut Reader<'_>, top: &Nodes<'_>, context: &Context<'_>) -> Vec<NamedPiece> {
    let mut all: Vec<NamedPiece> = Vec::new();
    for node in top.all("piece") {
        let taken: Vec<String> = all.iter().map(|p| p.name.clone()).collect();
        let Some(name) = r.own_name(node, &taken) else { continue };
        let mut named = piece(r, node, &name, context);
        named.edges = own_edges(r, node, &named, all.len());
        all.push(named);
    }
    if top.all("piece").count() > 40 {
        r.missing(DesignFact::TooManyPieces);
    }
    if all.is_empty() && top.one("piece").is_none() {
        r.missing(DesignFact::NoPieces);
    }
    all
}

/// How many to make, or a left and a right one.
fn make(r: &mut Reader<'_>, inside: &Nodes<'_>) -> Option<Make> {
    inside.one("make").and_then(|n| {
        r.shape(n, 1, &[], &[], &[]);
        match n.arguments.first().map(|v| &v.written) {
            Some(Written::Text(t)) if t == "pair" => Some(Make::Pair),
            _ => r.whole(n, 1, 200).map(Make::Alike),
        }
    })
}

/// The yarn of a piece; if the design has only one, it need not be named.
fn yarn(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, context: &Context<'_>) -> Option<usize> {
    let yarns: Vec<String> = context.yarns.iter().map(|y| y.0.clone()).collect();
    match (inside.one("yarn"), yarns.len()) {
        (Some(n), _) => r.first(n, "\"the yarn's name\"").and_then(|v| r.refer(v, Listed::Yarn, &yarns)),
        (None, 1) => Some(0),
        (None, _) => {
            if !r.has_holes {
                let known = yarns.first().map_or("name", String::as_str);
                r.error(Notice::error(node.span, DesignFact::PieceWithoutYarn { yarn: quoted(known) }));
            }
            None
        }
    }
}

/// The stretches of a piece, with all names given and whether all could be read; the yarn comes with its count.
fn stretches(
    r: &mut Reader<'_>,
    (node, name): (&Node, &str),
    inside: &Nodes<'_>,
    (yarn, tex): (Option<usize>, Option<Tex>),
    context: &Context<'_>,
) -> (Vec<String>, Vec<Stretch>, bool) {
    let mut names: Vec<String> = Vec::new();
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut whole = true;
    if inside.all("stretch").count() > 60 {
        r.error(Notice::error(node.span, DesignFact::TooManyStretches { name: name.to_string() }));
        whole = false;
    }
    for n in inside.all("stretch").take(60) {
        let Some(stretch_name) = r.own_name(n, &names) else {
            whole = false;
            continue;
        };
        names.push(stretch_name.clone());
        let found = |f: &Arc<Fabric>, asked: Option<Dials>| {
            let (y, t) = yarn.zip(tex)?;
            Some(gauge(context.swatches, f, y, t, asked))
        };
        match stretch(r, n, &stretch_name, context, yarn, &found) {
            Some(s) => stretches.push(s),
            None => whole = false,
        }
    }
    if names.is_empty() && inside.one("stretch").is_none() {
        r.error(Notice::error(node.span, DesignFact::NoStretches { name: name.to_string() }));
        whole = false;
    }
    (names, stretches, whole)
}

/// The words of a piece.
const OF_PIECE: [&str; 10] =
    ["make", "carriage", "yarn", "cast-on", "seam-allowance", "ends", "public-side", "stretch", "ending", "edge"];

fn piece(r: &mut Reader<'_>, node: &Node, name: &str, context: &Context<'_>) -> NamedPiece {
    let before = r.notices.0.len();
    let words = [&OF_PIECE[..], &WISHES[..]].concat();
    let inside = r.shape(node, 1, &[], &words, &["stretch", "edge"]);
    let make = make(r, &inside);
    let carriage = inside
        .one("carriage")
        .and_then(|n| {
            r.leaf(n);
            r.one_of(n, &SIDES)
        })
        .unwrap_or(Side::Right);
    let yarn = yarn(r, node, &inside, context);
    let allowance = inside.one("seam-allowance").and_then(|n| {
        r.leaf(n);
        r.whole(n, 0, 10)
    });
    let ends = inside.one("ends").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &Ends::WORDS)
    });
    let public = inside
        .one("public-side")
        .and_then(|n| {
            r.leaf(n);
            r.text(n)
        })
        .unwrap_or_default();
    let piece_wish = wish(r, &inside, context);
    let tex = yarn.and_then(|y| context.yarns.get(y)).and_then(|y| y.1.as_ref()).map(|y| y.tex);
    let (names, mut stretches, whole) = stretches(r, (node, name), &inside, (yarn, tex), context);
    let ending = ending(r, node, &inside, name);
    if let Some((e, span)) = ending
        && whole
    {
        contradictions(r, name, &stretches, e, span);
        check_necks(r, &stretches, e);
        check_slits(r, &stretches);
    }
    let both = stretches.first().is_some_and(|s| s.fabric.layout.begun() != Begun::MainBed);
    let by_turns = stretches.first().is_some_and(|s| s.fabric.layout.by_turns());
    let cast_on = cast_on(r, &inside, (both, by_turns));
    if whole {
        check_hems(r, &stretches, cast_on);
    }
    // The piece's own width holds until a stretch is shaped.
    for s in &mut stretches {
        if s.wished.is_none() {
            s.wished.clone_from(&piece_wish);
        }
        if s.shaping.is_some() {
            break;
        }
    }
    // A piece that is knitted on to an edge is as wide as that, where nothing else is wished.
    let shapes = cast_on == Some(CastOn::Hung) || stretches.iter().any(|s| s.wished.is_some());
    if whole && !shapes && r.notices.0.len() == before {
        r.error(Notice::error(node.span, DesignFact::NoWidth { name: name.to_string() }));
    }
    let piece = match (yarn, ending, cast_on, whole) {
        (Some(yarn), Some((ending, ending_span)), Some(cast_on), true) => {
            closed_tube(r, &stretches, cast_on, ending);
            Some(Piece {
                name: name.to_string(),
                span: node.span,
                make: make.unwrap_or(Make::Alike(1)),
                carriage,
                yarn,
                cast_on,
                allowance: allowance.unwrap_or(0),
                half_in_rib: false,
                ends,
                public,
                stretches,
                ending,
                ending_span,
            })
        }
        _ => None,
    };
    let (edges, allowance_given) = (Vec::new(), allowance.is_some());
    NamedPiece { name: name.to_string(), stretches: names, piece, edges, allowance_given }
}

/// Warns of a tube into which nothing gets: both its layers are joined below it and above it.
fn closed_tube(r: &mut Reader<'_>, stretches: &[Stretch], cast_on: CastOn, ending: Ending) {
    let mut from = 0;
    for tubes in stretches.chunk_by(|a, b| a.fabric.opens() == b.fabric.opens()) {
        let (below, above) =
            (from > 0 || cast_on != CastOn::Hung, from + tubes.len() < stretches.len() || ending != Ending::Waste);
        from += tubes.len();
        if tubes[0].fabric.opens() && below && above && tubes.iter().all(|s| s.slit.is_none()) {
            let stretch = tubes[0].name.clone();
            r.error(Notice::warning(tubes[0].span, EdgeFact::ClosedTube { stretch }));
        }
    }
}

fn ending(r: &mut Reader<'_>, node: &Node, inside: &Nodes<'_>, name: &str) -> Option<(Ending, Span)> {
    match inside.one("ending") {
        Some(n) => {
            r.shape(n, 1, &["turned", "twice"], &INSIDE, &["edge"]);
            r.one_of(n, &Ending::WORDS).map(|e| (e, n.span))
        }
        None => {
            r.error(Notice::error(node.span, DesignFact::NoEnding { name: name.to_string() }));
            None
        }
    }
}

/// `by_turns`: whether the beds alternate, so that half of what hangs on the main bed can go to the ribber.
fn cast_on(r: &mut Reader<'_>, inside: &Nodes<'_>, (two_beds, by_turns): (bool, bool)) -> Option<CastOn> {
    let Some(n) = inside.one("cast-on") else {
        return Some(if two_beds { CastOn::Closed(3) } else { CastOn::EWrap });
    };
    r.shape(n, 1, &["tubular", "turned", "twice"], &INSIDE, &["edge"]);
    let tubular = r.whole_property(n, "tubular", 2, 3).unwrap_or(3);
    let words = [
        ("closed", CastOn::Closed(tubular)),
        ("e-wrap", CastOn::EWrap),
        ("waste yarn", CastOn::Waste),
        ("hung", CastOn::Hung),
    ];
    let cast_on = r.one_of(n, &words)?;
    let fits = match cast_on {
        CastOn::Closed(_) => two_beds,
        CastOn::EWrap | CastOn::Waste => !two_beds,
        CastOn::Hung => !two_beds || by_turns,
    };
    if cast_on == CastOn::Hung && !fits {
        r.error(Notice::error(n.span, EdgeFact::HungOnTwoBeds));
        return None;
    }
    if !fits {
        r.error(Notice::error(n.span, DesignFact::CastOnUnsuited { two_beds }));
        return None;
    }
    if property(n, "tubular").is_some() && !matches!(cast_on, CastOn::Closed(_)) {
        r.error(Notice::error(n.span, DesignFact::TubularOfClosedOnly));
    }
    Some(cast_on)
}

fn contradictions(r: &mut Reader<'_>, name: &str, stretches: &[Stretch], ending: Ending, span: Span) {
    if let Some(s) = stretches.iter().find(|s| s.fetches)
        && let Some(asks) = stretches.iter().find_map(|s| s.shaping.as_ref().filter(|sh| sh.carriage.is_some()))
    {
        r.error(Notice::error(asks.span, DesignFact::FreePassAndCarriage { stretch: s.name.clone() }));
    }
    if let Some(s) = stretches.iter().find(|s| s.fetches && s.shaping.as_ref().is_some_and(Shaping::in_groups)) {
        r.error(Notice::error(s.span, DesignFact::FreePassAndCarriage { stretch: s.name.clone() }));
    }
    if ending == Ending::Point
        && let Some(last) = stretches.last()
        && last.shaping.as_ref().is_none_or(|s| s.change != Change::Decrease)
        && !matches!(last.wished, Some(Wished { wish: Wish::Needles(1..=5), .. }))
    {
        r.error(Notice::error(span, DesignFact::PointTooWide { name: name.to_string() }));
    }
    for pair in stretches.windows(2) {
        let [a, b] = pair else { continue };
        let (from, to) = (a.fabric.layout, b.fabric.layout);
        if from != to
            && from.grouped()
            && to.main_alone()
            && stretches.iter().any(|s| s.fabric.layout == from && s.shaping.is_some())
        {
            r.error(Notice::error(b.span, DesignFact::ShapedBeforeMainBed { fabric: a.fabric.name.clone() }));
        }
        let possible =
            from == to || (from.one_per_place() && to.one_per_place()) || (to.main_alone() && from.fills_main());
        if !possible {
            r.error(Notice::error(
                b.span,
                DesignFact::CannotFollow {
                    fabric: (b.fabric.name.clone(), to.stands()),
                    before: (a.fabric.name.clone(), from.stands()),
                },
            ));
        }
    }
}

/// The gauge of a fabric in the piece's yarn, at these stitch sizes or at those of its swatches.
type Found<'a> = &'a dyn Fn(&Arc<Fabric>, Option<Dials>) -> Option<Result<Gauge, NoGauge>>;

/// The gauge of a stretch in its fabric, at the stitch sizes that it asks for.
fn own_gauge(
    r: &mut Reader<'_>,
    node: &Node,
    fabric: &Arc<Fabric>,
    asked: Option<(Span, Dials)>,
    context: &Context<'_>,
    found: Found<'_>,
) -> Option<Gauge> {
    match found(fabric, asked.map(|a| a.1))? {
        Ok(gauge) => Some(gauge),
        Err(_) if r.has_holes || context.swatch_faults => None,
        Err(why @ NoGauge::NoSwatch) => {
            r.error(Notice::error(node.span, DesignFact::NoSwatch { fabric: fabric.name.clone(), why }));
            None
        }
        Err(why) => {
            let (span, dial) = asked?;
            let two = fabric.layout.two_beds() && dial.0 != dial.1;
            let size = (dial.0, two.then_some(dial.1));
            r.error(Notice::error(span, DesignFact::NotSwatchedAt { fabric: fabric.name.clone(), size, why }));
            None
        }
    }
}

/// The fabric of a stretch, none where it is not known, and how it is laid out.
fn own_fabric(
    r: &mut Reader<'_>,
    node: &Node,
    inside: &Nodes<'_>,
    name: &str,
    context: &Context<'_>,
) -> Option<(Option<Arc<Fabric>>, Laid)> {
    let mut laid = Laid::default();
    let fabric = match inside.one("fabric") {
        Some(n) => {
            laid = Laid::read(r, n)?;
            r.first(n, "\"1x1 rib\"").and_then(|v| fabric(r, v, context.fabrics))
        }
        None => {
            r.error(Notice::error(node.span, DesignFact::NoFabric { name: name.to_string() }));
            None
        }
    };
    Some((fabric, laid))
}

/// What a section may say, besides its width.
const WORDS: [&str; 19] = [
    "fabric",
    "panel",
    "rows",
    "length",
    "decrease",
    "increase",
    "short-rows",
    "gores",
    "neck",
    "shoulder",
    "crown",
    "slit",
    "hem",
    "buttonholes",
    "eyelets",
    "joined",
    "stitch-size",
    "yarns",
    "stripes",
];

fn stretch(
    r: &mut Reader<'_>,
    node: &Node,
    name: &str,
    context: &Context<'_>,
    yarn: Option<usize>,
    found: Found<'_>,
) -> Option<Stretch> {
    let mut words = WORDS.to_vec();
    words.extend(WISHES);
    let inside = r.shape(node, 1, &[], &words, &["panel"]);
    let (fabric, laid) = own_fabric(r, node, &inside, name, context)?;
    let wished = wish(r, &inside, context);
    let shaping = shaping(r, &inside, fabric.as_deref(), context);
    let short = short_rows(r, &inside)?;
    let gores = gores(r, &inside, context)?;
    let neck = neck(r, &inside, fabric.as_deref(), context)?;
    let slit = slit(r, &inside)?;
    let hem = hem(r, &inside)?;
    let holes = holes(r, &inside)?;
    let joined = joined(r, &inside)?;
    let every = short.is_some() || gores.is_some() || shaping.as_ref().is_some_and(|s| s.rows(1).is_some());
    let (length, length_span, length_weight) = length(r, node, &inside, name, context, every)?;
    let fabric = fabric?;
    let yarns = yarns(r, node, &inside, &fabric, context)?;
    let fetches = fetches(r, &inside, &fabric);
    if let Some(s) = &shaping {
        check_shaping(r, s, &fabric);
    }
    if let Some(n) = &neck {
        check_shaping(r, &n.shaping, &fabric);
    }
    if let Some(s) = &short {
        check_short_rows(r, (s.span, s.on), &fabric);
    }
    if let Some(g) = &gores {
        check_short_rows(r, (g.span, None), &fabric);
    }
    let asked = inside.one("stitch-size").and_then(|n| Some((n.span, stitch_size(r, n, context.machine.as_ref())?)));
    let gauge = own_gauge(r, node, &fabric, asked, context, found)?;
    let panels: Vec<Panel> = inside
        .all("panel")
        .map(|n| panel(r, n, (&fabric, &gauge), shaping.is_some(), context, found))
        .collect::<Option<_>>()?;
    let Laid { placed, mirrored, whole, told, asked } = laid;
    if (placed != Placed::Left || mirrored || whole) && !(fabric.layout.main_alone() || fabric.layout.all_of_both()) {
        r.error(Notice::error(node.span, DesignFact::NotPlaced { fabric: fabric.name.clone() }));
    }
    let swatched = yarn.map(|y| dials(context.swatches, &fabric, y)).unwrap_or_default();
    let mut choices: Vec<Gauge> = Vec::new();
    if asked.is_none() && panels.is_empty() && swatched.len() > 1 {
        choices.extend(swatched.into_iter().filter_map(|d| found(&fabric, Some(d))?.ok()));
    }
    let device = context.machine.as_ref().and_then(|m| m.device);
    let selected = selected(r, &fabric, (told, !panels.is_empty()), asked, device);
    Some(Stretch {
        name: name.to_string(),
        span: node.span,
        fabric,
        length,
        length_span,
        length_weight,
        wished,
        shaping,
        neck,
        slit,
        hem,
        holes,
        joined,
        gores,
        short,
        yarns,
        fetches,
        placed,
        mirrored,
        whole,
        told,
        selected,
        panels,
        gauge,
        choices,
    })
}

/// The difference in length over the same rows that is warned about, and the one that is refused: common practice, no source.
const LONGER: (f64, f64) = (0.05, 0.10);

/// A fabric over some of the needles of a stretch.
fn panel(
    r: &mut Reader<'_>,
    n: &Node,
    (field, own): (&Arc<Fabric>, &Gauge),
    shaped: bool,
    context: &Context<'_>,
    found: Found<'_>,
) -> Option<Panel> {
    r.shape(n, 1, &["needles", "repeats", "at", "in", "mirrored"], &[], &[]);
    let of = r.first(n, "\"mesh\"").and_then(|v| fabric(r, v, context.fabrics))?;
    let counts = (property(n, "needles").is_some(), property(n, "repeats").is_some());
    let places = match counts {
        (true, false) => r.whole_property(n, "needles", 2, 200)?,
        (false, true) => r.whole_property(n, "repeats", 1, 100)? * of.period(),
        _ => {
            r.error(Notice::error(n.span, DesignFact::PanelWidth));
            return None;
        }
    };
    let within = |r: &mut Reader<'_>| match property(n, "in") {
        Some(_) => r.whole_property(n, "in", 0, 200),
        None => Some(0),
    };
    let [left, right] = SIDES;
    let words = [("centre", None), (left.0, Some(left.1)), (right.0, Some(right.1))];
    let side = property(n, "at").map_or(Some(None), |v| r.word(v, Subject::property("at"), &words))?;
    let inside = within(r)?;
    let at = match side {
        None => PanelAt::Centre(i16::try_from(inside).unwrap_or(0)),
        Some(side) => PanelAt::From(side, inside),
    };
    let mirrored = yes(r, n, "mirrored")?;
    if let Err(why) = field.beside(&of) {
        let (fabric, panel) = (field.name.clone(), of.name.clone());
        r.error(Notice::error(n.span, DesignFact::PanelApart { fabric, panel, why }));
        return None;
    }
    if shaped && of.layout != field.layout {
        r.error(Notice::error(n.span, DesignFact::PanelShaped { panel: of.name.clone() }));
        return None;
    }
    let gauge = match found(&of, Some(own.dial))? {
        Ok(gauge) => gauge,
        Err(_) if r.has_holes || context.swatch_faults => return None,
        Err(why) => {
            let two = of.layout.two_beds() && own.dial.0 != own.dial.1;
            let size = (own.dial.0, two.then_some(own.dial.1));
            r.error(Notice::error(n.span, DesignFact::NotSwatchedAt { fabric: of.name.clone(), size, why }));
            return None;
        }
    };
    let longer = gauge.pass.value / own.pass.value - 1.0;
    if longer.abs() > LONGER.0 {
        let refused = longer.abs() > LONGER.1;
        let (fabric, panel) = (field.name.clone(), of.name.clone());
        let fact = DesignFact::PanelLength { fabric, panel, longer, refused };
        r.error(if refused { Notice::error(n.span, fact) } else { Notice::warning(n.span, fact) });
    }
    Some(Panel { fabric: of, span: n.span, places, at, mirrored, gauge })
}
