//! Shapes that a stretch is given at a press: its sides, what divides or draws in its middle, and its shoulders.

use super::{NotRevised, child, number, put, put_after, put_for, take_out};
use crate::design::{Along, At, Bend, Change, Closing, Design, Ease, Stretch, When, Wish, Wished};
use crate::notice::{Replace, Span};
use crate::text::{NewNode, Node};
use crate::units::Mm;

/// A shape of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Straight sides.
    Straight,
    /// Sides that slant to a smaller width.
    Slanted,
    /// Hollow sides, as at an armhole.
    Armhole,
    /// The top of a sleeve.
    SleeveTop,
    /// Nothing divides it.
    Undivided,
    /// A round neck.
    RoundNeck,
    /// A neck in a point.
    VNeck,
    /// The wedges of a crown.
    Crown,
    /// Short rows that make a cup, as at a heel or a toe.
    Heel,
    /// A slit, as for a thumb.
    Slit,
    /// Shoulders that end together beside a neck.
    Level,
    /// Shoulders cast off in groups.
    CastOff,
    /// Shoulders by short rows.
    Held,
}

/// Words of shaped sides.
const SIDES: [&str; 2] = ["decrease", "increase"];
/// Words of what stands in the middle of a stretch whose sides are straight.
const ALONE: [&str; 3] = ["crown", "short-rows", "slit"];
/// Words of a neck and what stands beside it.
const NECK: [&str; 2] = ["neck", "shoulder"];
/// Groups of a sloped shoulder: two or three are usual, three most of all (common practice, no source).
const GROUPS: u32 = 3;

impl Shape {
    /// What its sides can be.
    pub const SIDES: [Shape; 4] = [Shape::Straight, Shape::Slanted, Shape::Armhole, Shape::SleeveTop];
    /// What its middle can be.
    pub const MIDDLE: [Shape; 6] =
        [Shape::Undivided, Shape::RoundNeck, Shape::VNeck, Shape::Crown, Shape::Heel, Shape::Slit];
    /// What shoulders beside a neck can be.
    pub const SHOULDERS: [Shape; 3] = [Shape::Level, Shape::CastOff, Shape::Held];

    /// The shape of the sides of a stretch.
    #[must_use]
    pub fn of_sides(stretch: &Stretch) -> Shape {
        match stretch.shaping.as_ref().filter(|s| s.at != At::Across).map(|s| &s.when) {
            None => Shape::Straight,
            Some(When::To { spread: Along::Curve(c), .. }) => match c.bend {
                Bend::Straight => Shape::Slanted,
                Bend::Handles(_) => Shape::SleeveTop,
                Bend::Hollow | Bend::Round => Shape::Armhole,
            },
            Some(When::To { .. } | When::Every { .. } | When::Listed(_)) => Shape::Slanted,
        }
    }

    /// The shape of the middle of a stretch.
    #[must_use]
    pub fn of_middle(stretch: &Stretch) -> Shape {
        match &stretch.neck {
            _ if stretch.short.is_some() => Shape::Heel,
            _ if stretch.slit.is_some() => Shape::Slit,
            _ if stretch.shaping.as_ref().is_some_and(|s| s.at == At::Across) => Shape::Crown,
            None => Shape::Undivided,
            Some(n) => match n.shaping.when {
                When::Every { .. } | When::To { spread: Along::Even | Along::PlainEnd, .. } => Shape::VNeck,
                When::To { spread: Along::Curve(c), .. } if c.bend == Bend::Straight => Shape::VNeck,
                When::To { .. } | When::Listed(_) => Shape::RoundNeck,
            },
        }
    }

    /// The shape of the shoulders of a stretch; none where it has no neck.
    #[must_use]
    pub fn of_shoulders(stretch: &Stretch) -> Option<Shape> {
        let neck = stretch.neck.as_ref()?;
        Some(match neck.shoulder.map(|s| s.held) {
            None => Shape::Level,
            Some(None) => Shape::CastOff,
            Some(Some(_)) => Shape::Held,
        })
    }

    /// The words of a stretch that a shape takes the place of.
    fn in_place_of(self) -> Vec<&'static str> {
        match self {
            Shape::Straight => SIDES.to_vec(),
            Shape::Slanted | Shape::Armhole | Shape::SleeveTop => [&SIDES[..], &ALONE].concat(),
            Shape::Undivided | Shape::RoundNeck | Shape::VNeck => [&ALONE[..], &NECK].concat(),
            Shape::Crown | Shape::Slit => [&SIDES[..], &ALONE, &NECK].concat(),
            Shape::Heel => [&SIDES[..], &ALONE, &NECK, &["length", "rows"]].concat(),
            Shape::Level | Shape::CastOff | Shape::Held => vec![NECK[1]],
        }
    }
}

/// A shape as the lines of a stretch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewShape {
    out: Vec<&'static str>,
    lines: Vec<NewNode>,
}

/// The lines of a shape for a stretch that is so wide at its beginning and so long: what is usual, in the words by which the stretch
/// gets its own width, so that it is graded with it.
#[must_use]
pub fn shaped(d: &Design, at: (usize, usize), (wide, long): (Mm, Mm), shape: Shape) -> NewShape {
    let stretch = &d.pieces[at.0].stretches[at.1];
    let by = stretch.fabric.narrow.first().copied().unwrap_or(1);
    let part = |share: f64| wish(d, at, wide, share);
    let flat = stretch.fabric.layout.main_alone() && stretch.fabric.row_multiple() == 1;
    let groups = flat || stretch.fabric.casts_off_groups();
    let off = |wide: Mm| groups.then(|| NewNode::new("cast-off").unit("cm", number(wide.0 / 10.0)));
    let curve = |bend: &str| {
        let curve = NewNode::new("curve").text(bend);
        if flat { curve.text_pair("cast-off", "yes") } else { curve }
    };
    let narrower = || NewNode::new("decrease").number(by);
    let neck = || NewNode::new("neck").number(by).with(part(NECK_SHARE));
    let shoulder = || NewNode::new("shoulder").number(GROUPS);
    let mut lines = match shape {
        Shape::Straight | Shape::Undivided | Shape::Level => Vec::new(),
        Shape::Slanted => vec![narrower().with(part(0.7))],
        // A quarter of what an armhole takes is cast off at once.
        Shape::Armhole => vec![narrower().with(part(0.8)).with_all(off(Mm(wide.0 * 0.025))).with(curve("hollow"))],
        Shape::SleeveTop => vec![narrower().with(part(0.24)).with_all(off(Mm(wide.0 * 0.075))).with(curve("bell"))],
        Shape::RoundNeck => {
            let middle = NewNode::new("middle").unit("percent", 33);
            vec![neck().with(middle).with(curve("hollow"))]
        }
        Shape::VNeck => vec![neck()],
        Shape::Crown => {
            // As many needles as stay with the fewest stitches to a wedge.
            vec![NewNode::new("crown").number(WEDGES).with(NewNode::new("needles").number(WEDGES))]
        }
        Shape::Heel => {
            let node = NewNode::new("short-rows");
            let node = if stretch.fabric.tubular() { node.text_pair("on", "main") } else { node };
            let hold = NewNode::new("hold").number(1).pair("leaves", "(percent)33");
            vec![node.with(hold).with(NewNode::new("return").number(1))]
        }
        Shape::Slit => vec![NewNode::new("slit")],
        Shape::CastOff => vec![shoulder()],
        Shape::Held => vec![shoulder().text_pair("by", "short-rows").text_pair("turn", Closing::WORDS[0].0)],
    };
    // Short rows say their own length; anything else needs one.
    if stretch.short.is_some() && !matches!(shape, Shape::Heel | Shape::Straight) {
        lines.insert(0, NewNode::new("length").unit("cm", number(long.0 / 10.0)));
    }
    NewShape { out: shape.in_place_of(), lines: lines.into_iter().map(NewNode::on_one_line).collect() }
}

/// A neck takes about a third of the width of a back (common practice, no source).
const NECK_SHARE: f64 = 0.34;
/// Wedges of a crown: 8 lie nearly flat (common practice, no source).
const WEDGES: u32 = 8;

/// A share of the width of a stretch, said as its own width is: around the same measure, or as a length.
fn wish(d: &Design, (piece, stretch): (usize, usize), wide: Mm, share: f64) -> NewNode {
    let (before, own) = d.pieces[piece].stretches[..=stretch].split_at(stretch);
    let before = before.iter().rev().flat_map(|s| [to_width(s), s.wished.as_ref()]);
    let own = own.iter().map(|s| s.wished.as_ref()).chain(before).flatten().next();
    match own.map(|w| &w.wish) {
        Some(Wish::Around { measure, ease: Ease::Percent(p), shared, .. }) => {
            let percent = ((100.0 + p) * share - 100.0).round();
            let node = NewNode::new("around").text(measure).unit("percent", percent);
            if *shared == 1 { node } else { node.pair("shared", shared) }
        }
        _ => NewNode::new("width").unit("cm", number(wide.0 * share / 10.0)),
    }
}

/// The width to which the sides of a stretch are shaped.
fn to_width(stretch: &Stretch) -> Option<&Wished> {
    let shaping = stretch.shaping.as_ref().filter(|s| s.at != At::Across && s.change == Change::Decrease)?;
    ends(&shaping.when)
}

/// The width that an edge is shaped to, where it is.
fn ends(when: &When) -> Option<&Wished> {
    match when {
        When::To { wished, .. } => Some(wished),
        When::Every { .. } | When::Listed(_) => None,
    }
}

/// Puts a shape into a stretch, in place of what it cannot stand beside.
pub(super) fn put_shape(source: &str, stretch: &Node, shape: &NewShape) -> Result<Vec<Replace>, NotRevised> {
    let gone: Vec<&Node> = stretch.children.iter().filter(|n| shape.out.contains(&n.name.as_str())).collect();
    let lines: Vec<String> = shape.lines.iter().map(NewNode::to_string).collect();
    let Some((first, others)) = gone.split_first() else {
        let last = stretch.children.last();
        let last = last.ok_or_else(|| NotRevised::NotFound("line in that stretch".to_string()))?;
        let put = |text: &str| put_after(source, last, text);
        return Ok(if lines.is_empty() { Vec::new() } else { vec![put(&lines.join("\n"))] });
    };
    let mut changes: Vec<Replace> = others.iter().map(|n| take_out(source, n)).collect();
    changes.push(match lines.is_empty() {
        true => take_out(source, first),
        false if super::indent(source, first).is_none() => put(first.whole, lines.join("; ")),
        false => put_for(source, first, &lines.join("\n")),
    });
    changes.sort_by_key(|c| c.span.start);
    Ok(changes)
}

/// Changes the width that the sides, or a neck, of a stretch end with: a value as its kind of width says it.
pub(super) fn end_with(stretch: &Node, neck: bool, value: &str) -> Result<Replace, NotRevised> {
    let missing = || NotRevised::NotFound("width at the end of that stretch".to_string());
    let edge = if neck { child(stretch, "neck") } else { SIDES.iter().find_map(|word| child(stretch, word)) };
    let edge = edge.ok_or_else(missing)?;
    let line = ["needles", "width", "around"].iter().find_map(|word| child(edge, word)).ok_or_else(missing)?;
    let nth = usize::from(line.name == "around");
    if let Some(argument) = line.arguments.get(nth) {
        return Ok(put(argument.span, value.to_string()));
    }
    if let Some(usual) = line.properties.iter().find(|p| p.name == "as") {
        return Ok(put(usual.value.span, value.to_string()));
    }
    let first = line.arguments.first().ok_or_else(missing)?;
    Ok(put(Span { start: first.span.start + first.span.len, len: 0 }, format!(" {value}")))
}

/// How a document would say that the sides, or the neck, of a stretch end flat at this width; none where it is in needles, or where no
/// width is wished for. `size` is the size that is looked at.
#[must_use]
pub fn width_as_wished(
    d: &Design,
    (piece, stretch): (usize, usize),
    neck: bool,
    size: usize,
    flat: Mm,
) -> Option<String> {
    let stretch = d.pieces.get(piece)?.stretches.get(stretch)?;
    let cm = |mm: f64| format!("(cm){}", number(mm / 10.0));
    match &end_wish(stretch, neck)?.wish {
        Wish::Needles(_) => None,
        Wish::Width(_) => Some(cm(flat.0)),
        Wish::Share { measure, percent: _, plus } => {
            let body = d.sizes.get(size)?.measure(measure)?.0;
            Some(format!("(percent){}", number(100.0 * (flat.0 - plus.0) / body)))
        }
        Wish::Around { measure, ease, shared, .. } => {
            let (round, body) = (flat.0 * f64::from(*shared), d.sizes.get(size)?.measure(measure)?.0);
            Some(match ease {
                Ease::Percent(_) => format!("(percent){}", number(100.0 * (round / body - 1.0))),
                Ease::Of(_) => cm(round - body),
            })
        }
    }
}

/// The width that the sides, or the neck, of a stretch are to end with.
#[must_use]
pub fn end_wish(stretch: &Stretch, neck: bool) -> Option<&Wished> {
    let when = if neck { &stretch.neck.as_ref()?.shaping.when } else { &stretch.shaping.as_ref()?.when };
    ends(when)
}
