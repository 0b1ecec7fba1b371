//! The shaping of a stretch: how much, at which ends, and when.

use latchwork_machine::needle::Side;

use super::Wished;
use super::laid::yes;
use super::piece::Context;
use super::wish::{WISHES, wish};
use crate::fabric::Fabric;
use crate::fact::{DesignFact, EdgeFact, Subject};
use crate::notice::{Notice, Span};
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, Value};
use crate::units::Mm;
use crate::vocabulary::SIDES;

/// Decrease or increase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Decrease.
    Decrease,
    /// Increase.
    Increase,
}

impl Change {
    /// The word for groups of stitches.
    #[must_use]
    pub fn groups(self) -> &'static str {
        match self {
            Change::Decrease => "cast-off",
            Change::Increase => "cast-on",
        }
    }

    /// The words of documents.
    pub const WORDS: [(&str, Change); 2] = [("decrease", Change::Decrease), ("increase", Change::Increase)];
}

/// The ends at which a piece is shaped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// Both.
    Both,
    /// One only.
    Only(Side),
    /// Neither: one stitch of every wedge across the row, which is then closed up.
    Across,
}

impl At {
    /// How many ends.
    #[must_use]
    pub fn ends(self) -> u32 {
        match self {
            At::Both => 2,
            At::Only(_) | At::Across => 1,
        }
    }
}

/// When the shapings come.
#[derive(Debug, Clone, PartialEq)]
pub enum When {
    /// After passes n, 2n, … kn of the stretch.
    Every {
        /// n.
        rows: u32,
        /// k.
        times: u32,
    },
    /// As the author lists them.
    Listed(Steps),
    /// Spread over the stretch to reach a width.
    To {
        /// The width.
        wished: Wished,
        /// How.
        spread: Along,
        /// What is cast off, or on, first at each end.
        first: Option<Group>,
    },
}

/// A group of stitches cast off, or on, together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Group {
    /// So many.
    Stitches(u32),
    /// About this width of them.
    Wide(Mm),
}

/// The steps of an edge, in order from its beginning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Steps(pub Vec<EdgeStep>);

/// A step of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EdgeStep {
    /// Rows before it, each time.
    pub every: u32,
    /// How often.
    pub times: u32,
    /// Stitches cast off, or on, where the carriage is; none: shaped with the tool.
    pub group: Option<u32>,
}

impl Steps {
    /// The shapings with the tool.
    #[must_use]
    pub fn times(&self) -> u32 {
        self.0.iter().filter(|s| s.group.is_none()).fold(0, |all, s| all.saturating_add(s.times))
    }

    /// Stitches cast off, or on, at an end.
    #[must_use]
    pub fn in_groups(&self) -> u32 {
        self.0.iter().fold(0, |all, s| all.saturating_add(s.group.unwrap_or(0).saturating_mul(s.times)))
    }

    /// The rows up to its last step.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.0.iter().fold(0, |all, s| all.saturating_add(s.every.saturating_mul(s.times)))
    }
}

/// How a shaping is spread over its rows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Along {
    /// At even distances, the last on the last row.
    Even,
    /// At even distances, with a plain run after the last.
    PlainEnd,
    /// Along a curve.
    Curve(Curve),
}

/// A curved edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    /// Which way it bends.
    pub bend: Bend,
    /// The most times that the tool shapes at an end after a row.
    pub most: u32,
    /// Whether more may be cast off, or on, where the carriage is.
    pub groups: bool,
}

/// Which way a curved edge bends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bend {
    /// The straight line, its intervals mixed: for a long slant on which two runs of intervals would show as a bend.
    Straight,
    /// A quarter of an ellipse: many stitches first, then ever fewer, as at an armhole.
    Hollow,
    /// A quarter of an ellipse: few first, then ever more, as at a rounded corner.
    Round,
    /// A cubic curve from its beginning to its end with two handles, each across and up as shares of the way.
    Handles([(f64, f64); 2]),
}

/// The top of a sleeve: a little at once, steady in the middle, fast at the top. The handles follow the bell of a worked cap (4 every
/// 2nd row, 4 every 3rd, 10 every 2nd, 4 every row, then twos) within two stitches.
const BELL: Bend = Bend::Handles([(0.25, 0.2), (0.6, 0.95)]);

impl Bend {
    /// The words of documents.
    pub const WORDS: [(&str, Bend); 4] =
        [("straight", Bend::Straight), ("hollow", Bend::Hollow), ("round", Bend::Round), ("bell", BELL)];

    /// The share of the stitches at a share of the rows.
    #[must_use]
    pub fn at(self, up: f64) -> f64 {
        let quarter = |x: f64| (1.0 - x * x).max(0.0).sqrt();
        match self {
            Bend::Straight => up,
            Bend::Hollow => quarter(1.0 - up),
            Bend::Round => 1.0 - quarter(up),
            Bend::Handles([a, b]) => {
                let cubic =
                    |p: f64, q: f64, t: f64| 3.0 * p * t * (1.0 - t).powi(2) + 3.0 * q * t * t * (1.0 - t) + t.powi(3);
                // Handles within the way make it rise all along: halved until it is nearer than a thousandth of a stitch.
                let (mut low, mut high) = (0.0, 1.0);
                for _ in 0..40 {
                    let t = f64::midpoint(low, high);
                    if cubic(a.1, b.1, t) < up { low = t } else { high = t }
                }
                cubic(a.0, b.0, low)
            }
        }
    }
}

/// The shaping of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaping {
    /// Its place in the document.
    pub span: Span,
    /// Decrease or increase.
    pub change: Change,
    /// Stitches at each end: 1 on one bed, or 2, one on each bed.
    pub stitches: u32,
    /// The ends at which a piece is shaped.
    pub at: At,
    /// When the shapings come.
    pub when: When,
    /// The side at which the carriage must be.
    pub carriage: Option<Side>,
}

impl Shaping {
    /// Stitches taken away or added at each end by so many shapings; those that are cast off first are added.
    #[must_use]
    pub fn at_each_end(&self, times: u32) -> u32 {
        let first = match &self.when {
            When::Listed(steps) => steps.in_groups(),
            When::Every { .. } | When::To { .. } => 0,
        };
        first.saturating_add(self.stitches.saturating_mul(times))
    }

    /// How often it is shaped, where the author says so.
    #[must_use]
    pub fn times(&self) -> Option<u32> {
        match &self.when {
            When::Every { times, .. } => Some(*times),
            When::Listed(steps) => Some(steps.times()),
            When::To { .. } => None,
        }
    }

    /// The rows up to the last shaping, where the author says so; `repeat`: the rows after which a fabric may be shaped.
    #[must_use]
    pub fn rows(&self, repeat: u32) -> Option<u32> {
        match &self.when {
            When::Every { rows, times } => Some(rows * times),
            // What the other end casts off follows a row later, where any row will do.
            When::Listed(steps) => {
                let last = steps.0.last().is_some_and(|s| s.group.is_some());
                let later = last && self.at == At::Both && repeat == 1;
                Some(steps.rows().saturating_add(u32::from(later)))
            }
            When::To { .. } => None,
        }
    }

    /// Whether it may change the edges before the first row.
    #[must_use]
    pub fn may_come_first(&self) -> bool {
        match &self.when {
            When::Listed(steps) => steps.0.first().is_some_and(|s| s.every == 0),
            When::To { spread: Along::Curve(_), .. } | When::To { first: Some(_), .. } => true,
            When::Every { .. } | When::To { .. } => false,
        }
    }

    /// Whether groups of stitches may be cast off, or on, at an end between rows.
    #[must_use]
    pub fn in_groups(&self) -> bool {
        match &self.when {
            When::Listed(steps) => steps.in_groups() > 0,
            When::To { first: Some(_), .. } => true,
            When::Every { .. } | When::To { .. } => self.curve().is_some_and(|c| c.groups),
        }
    }

    /// The curve that it follows.
    #[must_use]
    pub fn curve(&self) -> Option<Curve> {
        match self.when {
            When::To { spread: Along::Curve(curve), .. } => Some(curve),
            When::Every { .. } | When::Listed(_) | When::To { .. } => None,
        }
    }
}

pub(super) fn shaping(
    r: &mut Reader<'_>,
    inside: &Nodes<'_>,
    fabric: Option<&Fabric>,
    context: &Context<'_>,
) -> Option<Shaping> {
    if let Some(n) = inside.one("crown") {
        return crown(r, n, inside, context);
    }
    let (node, change) = match (inside.one("decrease"), inside.one("increase")) {
        (Some(_), Some(n)) => {
            r.error(Notice::error(n.span, DesignFact::ShapedBothWays));
            return None;
        }
        (Some(n), None) => (n, Change::Decrease),
        (None, Some(n)) => (n, Change::Increase),
        (None, None) => return None,
    };
    edge(r, node, change, fabric, &["at", "carriage"], context).1
}

/// A crown: wedges, each of which loses a stitch at a time.
fn crown(r: &mut Reader<'_>, n: &Node, inside: &Nodes<'_>, context: &Context<'_>) -> Option<Shaping> {
    for word in ["decrease", "increase", "neck", "short-rows"] {
        if let Some(other) = inside.one(word) {
            r.error(Notice::error(other.span, EdgeFact::CrownAlone { word: word.to_string() }));
            return None;
        }
    }
    let (within, shaping) = edge(r, n, Change::Decrease, None, &[], context);
    for word in ["curve", "cast-off"] {
        if let Some(other) = within.one(word) {
            r.error(Notice::error(other.span, EdgeFact::CrownAlone { word: word.to_string() }));
            return None;
        }
    }
    let shaping = shaping?;
    if shaping.in_groups() {
        r.error(Notice::error(n.span, EdgeFact::CrownAlone { word: "cast-off".to_string() }));
        return None;
    }
    Some(Shaping { at: At::Across, ..shaping })
}

/// The shaping of a node, with the nodes within; without a number by as many stitches as its fabric takes; `also`: words that only this
/// node has.
pub(super) fn edge<'n>(
    r: &mut Reader<'_>,
    node: &'n Node,
    change: Change,
    fabric: Option<&Fabric>,
    also: &[&str],
    context: &Context<'_>,
) -> (Nodes<'n>, Option<Shaping>) {
    let mut words = vec!["finish", "curve", change.groups(), "then"];
    words.extend(also);
    words.extend(WISHES);
    let within = r.shape(node, 1, &["every", "times"], &words, &["then"]);
    let shaping = edge_within(r, node, &within, change, fabric, context);
    (within, shaping)
}

fn edge_within(
    r: &mut Reader<'_>,
    node: &Node,
    within: &Nodes<'_>,
    change: Change,
    fabric: Option<&Fabric>,
    context: &Context<'_>,
) -> Option<Shaping> {
    let stitches = match node.name.as_str() {
        // Wedges.
        "crown" => r.whole(node, 1, 100),
        _ if !node.arguments.is_empty() => r.whole(node, 1, 2),
        _ => Some(fabric.and_then(|f| f.shaped_by(change == Change::Decrease)).unwrap_or(1)),
    };
    let [left, right] = SIDES.map(|(word, side)| (word, At::Only(side)));
    let ats = [("both", At::Both), left, right];
    let at = within.one("at").map_or(Some(At::Both), |n| {
        r.leaf(n);
        r.one_of(n, &ats)
    });
    let carriage = within.one("carriage").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &SIDES)
    });
    let rows = r.whole_property(node, "every", 1, 2000);
    let times = r.whole_property(node, "times", 1, 2000);
    let wished = wish(r, within, context);
    let spread = along(r, within, change);
    // Before a width is reached, what is cast off is only the first group.
    let first =
        if wished.is_some() && within.one("then").is_none() { first_group(r, within, change) } else { Some(None) };
    let steps = if matches!(first, Some(None)) { steps(r, within, change) } else { None };
    let every = property(node, "every").is_some() || property(node, "times").is_some();
    if let (Some(n), true) = (within.one("finish"), every || steps.is_some()) {
        r.error(Notice::error(n.span, DesignFact::LastFollows));
    }
    if let (Some(n), true) = (within.one("curve"), wished.is_none()) {
        r.error(Notice::error(n.span, DesignFact::CurveToWhere));
    }
    if let (Some(n), Some(c)) =
        (within.one("carriage"), within.one("curve").or(within.one("then")).or(within.one(change.groups())))
    {
        r.error(Notice::error(n.span, DesignFact::CarriageDecided { word: c.name.clone() }));
    }
    let when = match (every, steps, wished) {
        (true, None, None) => rows.zip(times).map(|(rows, times)| When::Every { rows, times }),
        (false, Some(steps), None) => steps.map(When::Listed),
        (false, None, Some(wished)) => first.and_then(|first| spread.map(|spread| When::To { wished, spread, first })),
        _ => {
            r.error(Notice::error(node.span, DesignFact::ShapingWithoutWhen { word: node.name.clone() }));
            None
        }
    };
    Some(Shaping { span: node.span, change, stitches: stitches?, at: at?, when: when?, carriage })
}

/// The group that is cast off, or on, before a shaping to a width.
fn first_group(r: &mut Reader<'_>, within: &Nodes<'_>, change: Change) -> Option<Option<Group>> {
    let Some(n) = within.one(change.groups()) else { return Some(None) };
    r.leaf(n);
    Some(Some(match n.arguments.first() {
        Some(v) if v.unit.is_some() => Group::Wide(r.length(n, 1.0..=500.0)?),
        _ => Group::Stitches(r.whole(n, 1, 400)?),
    }))
}

/// How a shaping to a width is spread.
fn along(r: &mut Reader<'_>, within: &Nodes<'_>, change: Change) -> Option<Along> {
    let plain_end = within.one("finish").and_then(|n| {
        r.leaf(n);
        r.one_of(n, &[("plain", true), ("shaped", false)])
    });
    let Some(n) = within.one("curve") else {
        return Some(if plain_end == Some(true) { Along::PlainEnd } else { Along::Even });
    };
    if let Some(finish) = within.one("finish") {
        r.error(Notice::error(finish.span, DesignFact::LastFollows));
    }
    let inside = r.shape(n, 1, &["most", change.groups()], &["handle"], &["handle"]);
    let handles: Vec<&Node> = inside.all("handle").collect();
    let bend = match handles.as_slice() {
        [] => r.one_of(n, &Bend::WORDS)?,
        [a, b] if n.arguments.is_empty() => {
            let (a, b) = (handle(r, a), handle(r, b));
            Bend::Handles([a?, b?])
        }
        _ => {
            r.error(Notice::error(n.span, EdgeFact::TwoHandles));
            return None;
        }
    };
    let most = if property(n, "most").is_some() { r.whole_property(n, "most", 1, 2)? } else { 1 };
    Some(Along::Curve(Curve { bend, most, groups: yes(r, n, change.groups())? }))
}

/// A handle of a curve: shares across and up.
fn handle(r: &mut Reader<'_>, n: &Node) -> Option<(f64, f64)> {
    r.shape(n, 2, &[], &[], &[]);
    let mut share = |v: &Value| r.percent(v, Subject::word("handle"), 0.0..=100.0).map(|p| p / 100.0);
    match n.arguments.as_slice() {
        [across, up, ..] => {
            let (across, up) = (share(across), share(up));
            Some((across?, up?))
        }
        _ => {
            r.error(Notice::error(n.span, EdgeFact::TwoHandles));
            None
        }
    }
}

/// The steps of an edge, if the author lists any.
fn steps(r: &mut Reader<'_>, within: &Nodes<'_>, change: Change) -> Option<Option<Steps>> {
    let word = change.groups();
    let first = within.one(word);
    let listed: Vec<&Node> = within.all("then").collect();
    if first.is_none() && listed.is_empty() {
        return None;
    }
    let mut all = Vec::new();
    if let Some(n) = first {
        r.leaf(n);
        let Some(count) = r.whole(n, 1, 400) else { return Some(None) };
        all.push(EdgeStep { every: 0, times: 1, group: Some(count) });
    }
    for n in listed {
        r.shape(n, 0, &["every", "times", word], &[], &[]);
        let written = |name: &str| property(n, name).is_some();
        let group = r.whole_property(n, word, 1, 400);
        let times = if written("times") || !written(word) { r.whole_property(n, "times", 1, 2000) } else { Some(1) };
        match (r.whole_property(n, "every", 1, 2000), times) {
            (Some(every), Some(times)) if group.is_some() == written(word) => {
                all.push(EdgeStep { every, times, group });
            }
            _ if written("every") && (written("times") || written(word)) => return Some(None),
            _ => {
                r.error(Notice::error(n.span, DesignFact::StepWithoutWhen));
                return Some(None);
            }
        }
    }
    Some(Some(Steps(all)))
}

pub(super) fn check_shaping(r: &mut Reader<'_>, s: &Shaping, fabric: &Fabric) {
    let name = &fabric.name;
    if s.at == At::Across {
        let by_hand = fabric.repeat.iter().any(|t| t.selects() || !t.hands.is_empty());
        if by_hand || !(fabric.layout.main_alone() && fabric.layout.fills_main()) {
            r.error(Notice::error(s.span, EdgeFact::NoCrownIn { fabric: name.clone() }));
        }
        return;
    }
    let allowed = if s.change == Change::Decrease { &fabric.narrow } else { &fabric.widen };
    if fabric.narrow.is_empty() && fabric.widen.is_empty() {
        let (why, open) = (fabric.unshaped.clone(), fabric.always_open());
        r.error(Notice::error(s.span, DesignFact::CannotBeShaped { fabric: name.clone(), why, open }));
    } else if allowed.contains(&s.stitches) {
    } else if fabric.narrow == [1] && fabric.widen.is_empty() && fabric.layout.two_beds() {
        r.error(Notice::error(s.span, DesignFact::OnlyNarrowedByOne { fabric: name.clone() }));
    } else if allowed == &[2] {
        r.error(Notice::error(s.span, DesignFact::TwoAtAnEnd { fabric: name.clone() }));
    } else if allowed == &[1] && s.change == Change::Increase {
        r.error(Notice::error(s.span, DesignFact::EmptyNeighbours));
    } else if let [only] = allowed.as_slice() {
        r.error(Notice::error(s.span, DesignFact::TakesOnly { fabric: name.clone(), only: *only, asked: s.stitches }));
    } else {
        let narrower = s.change == Change::Decrease;
        r.error(Notice::error(s.span, DesignFact::OneWayOnly { fabric: name.clone(), narrower }));
    }
    if let Some(curve) = s.curve()
        && !allowed.contains(&(curve.most * s.stitches))
    {
        r.error(Notice::error(s.span, DesignFact::CurveMost { fabric: name.clone(), most: curve.most }));
    }
    let m = fabric.row_multiple();
    let every = match &s.when {
        When::Every { rows, .. } => vec![*rows],
        When::Listed(steps) => steps.0.iter().map(|s| s.every).collect(),
        When::To { .. } => Vec::new(),
    };
    if let Some(rows) = every.into_iter().find(|rows| !rows.is_multiple_of(m)) {
        r.error(Notice::error(s.span, DesignFact::EveryDoesNotFit { fabric: name.clone(), rows, repeat: m }));
    }
    let curved = s.curve().is_some_and(|c| c.groups);
    let groups = fabric.layout.main_alone() && m == 1 || !curved && fabric.casts_off_groups();
    let uneven = match &s.when {
        When::Listed(steps) => steps.0.iter().filter_map(|t| t.group).find(|n| !n.is_multiple_of(s.stitches)),
        When::To { first: Some(Group::Stitches(n)), .. } => Some(*n).filter(|n| !n.is_multiple_of(s.stitches)),
        When::Every { .. } | When::To { .. } => None,
    };
    if let Some(group) = uneven {
        r.error(Notice::error(s.span, EdgeFact::GroupUneven { group, unit: s.stitches }));
    }
    // Nothing is cast on on needles of two beds.
    let groups = groups && (s.change == Change::Decrease || fabric.layout.main_alone());
    if s.in_groups() && !groups {
        let narrower = s.change == Change::Decrease;
        r.error(Notice::error(s.span, DesignFact::CannotCastOffThere { fabric: name.clone(), narrower }));
    }
}
