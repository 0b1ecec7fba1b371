//! The yarns of a stretch: one for each of its fabric's, or stripes.

use super::laid::yes;
use super::piece::Context;
use super::{Lasts, Stripe, Yarns};
use crate::fabric::Fabric;
use crate::fact::{DesignFact, Listed};
use crate::notice::Notice;
use crate::reader::{Nodes, Reader, property};
use crate::text::{Node, quoted};
use crate::units::Mm;

/// Most stripes of one repeat.
const MOST_STRIPES: usize = 120;

/// The yarns of a stretch: one for each of its fabric's, or stripes; that of the piece where the fabric takes one.
pub(super) fn yarns(
    r: &mut Reader<'_>,
    node: &Node,
    inside: &Nodes<'_>,
    fabric: &Fabric,
    context: &Context<'_>,
) -> Option<Yarns> {
    let known: Vec<String> = context.yarns.iter().map(|y| y.0.clone()).collect();
    let takes = fabric.yarns();
    match (inside.one("yarns"), inside.one("stripes")) {
        (Some(_), Some(n)) => {
            r.error(Notice::error(n.span, DesignFact::YarnsAndStripes));
            None
        }
        (None, None) if takes == 1 => Some(Yarns::OfPiece),
        (None, None) => {
            if !r.has_holes {
                let named: Vec<String> = known.iter().take(takes).map(|y| quoted(y)).collect();
                let fabric = fabric.name.clone();
                r.error(Notice::error(node.span, DesignFact::FabricWithoutYarns { fabric, takes, named }));
            }
            None
        }
        (Some(n), None) => {
            r.shape(n, takes, &[], &[], &[]);
            let all: Vec<usize> =
                n.arguments.iter().take(takes).map(|v| r.refer(v, Listed::Yarn, &known)).collect::<Option<_>>()?;
            if all.len() != takes {
                let named: Vec<String> = known.iter().take(takes).map(|y| quoted(y)).collect();
                let fabric = fabric.name.clone();
                r.error(Notice::error(n.span, DesignFact::FabricWithoutYarns { fabric, takes, named }));
                return None;
            }
            if let Some(twice) = (1..all.len()).find(|i| all[..*i].contains(&all[*i])) {
                let name = known[all[twice]].clone();
                r.error(Notice::error(n.arguments[twice].span, DesignFact::YarnTwice { name }));
                return None;
            }
            Some(Yarns::Each(all.into()))
        }
        (None, Some(n)) => {
            let of = r.shape(n, 0, &["free-pass"], &["yarn"], &["yarn"]);
            if takes > 1 {
                r.error(Notice::error(n.span, DesignFact::StripesOfTwoYarns { fabric: fabric.name.clone(), takes }));
                return None;
            }
            let lines: Vec<&Node> = of.all("yarn").collect();
            let by_weight = lines.iter().any(|n| property(n, "grams").is_some());
            let mut all: Vec<Stripe> = Vec::new();
            for (i, stripe) in lines.iter().enumerate() {
                let last = i + 1 == lines.len();
                all.push(self::stripe(r, stripe, (by_weight && last, &known), context)?);
            }
            if all.is_empty() || all.len() > MOST_STRIPES {
                r.error(Notice::error(n.span, DesignFact::StripesCount { most: MOST_STRIPES }));
                return None;
            }
            Some(Yarns::Stripes(all))
        }
    }
}

/// Whether a free pass takes the carriage to a yarn that waits at the far side.
pub(super) fn fetches(r: &mut Reader<'_>, inside: &Nodes<'_>, fabric: &Fabric) -> bool {
    let Some(n) = inside.one("stripes") else { return false };
    let asked = yes(r, n, "free-pass").unwrap_or(false);
    let one_way = fabric.one_way();
    if asked && one_way {
        r.error(Notice::error(n.span, DesignFact::FreePassOneWay { fabric: fabric.name.clone() }));
    }
    asked && !one_way
}

/// One stripe: rows, a weight, or nothing for the last of those by weight, which is all that is left.
fn stripe(r: &mut Reader<'_>, n: &Node, (may_rest, known): (bool, &[String]), context: &Context<'_>) -> Option<Stripe> {
    r.shape(n, 1, &["rows", "grams"], &[], &[]);
    let yarn = r.first(n, "\"the yarn's name\"").and_then(|v| r.refer(v, Listed::Yarn, known))?;
    let lasts = match (property(n, "rows"), property(n, "grams")) {
        (Some(_), None) => Lasts::Rows(r.whole_property(n, "rows", 1, 1000)?),
        (None, Some(_)) => {
            let grams = f64::from(r.whole_property(n, "grams", 1, 10_000)?);
            // A gram of yarn of one tex is a kilometre.
            Lasts::Yarn(Mm(grams / context.yarns.get(yarn)?.1.as_ref()?.tex.0 * 1e6))
        }
        (None, None) if may_rest => Lasts::Rest,
        _ => {
            r.error(Notice::error(n.span, DesignFact::StripeWithoutRows));
            return None;
        }
    };
    Some(Stripe { yarn, lasts })
}
