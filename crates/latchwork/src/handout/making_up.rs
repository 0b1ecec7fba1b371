//! Making up: seams in sewing order, what is gathered, what stays open.

use latchwork_machine::steps::Way;

use super::sheet::Sheet;
use crate::design::{Edge, EdgeKind, Method, Seam};
use crate::fit::meeting;
use crate::words::capital;

impl Sheet<'_> {
    pub(super) fn making_up(&self) -> Vec<String> {
        let d = self.design;
        let mut list: Vec<String> = d.seams.iter().map(|s| self.seam(s)).collect();
        list.extend(self.openings());
        if let Some(first) = self.sizes.first() {
            for (k, plan) in first.plans.pieces.iter().enumerate() {
                if self.ends(k, Way::Gathered) {
                    list.push(format!(
                        "Draw up the gathered edge of the {}, go round it once more with the tail, and fasten.",
                        plan.name
                    ));
                }
            }
        }
        let waste = d.pieces.iter().any(|p| p.cast_on == crate::design::CastOn::Waste);
        if waste {
            list.push(
                "Draw out the ravel cord when the live loops of the first row are caught, and drop the waste yarn."
                    .to_string(),
            );
        }
        list.push("Run in the tails along a seam or an edge, each at least 5 cm, and trim them.".to_string());
        list
    }

    fn edge_name(&self, e: &Edge) -> String {
        let piece = &self.design.pieces[e.piece];
        let edge = match e.kind {
            EdgeKind::Left => "left edge",
            EdgeKind::Right => "right edge",
            EdgeKind::CastOn => "cast-on edge",
            EdgeKind::Ending => "last row",
        };
        let whole = e.stretches.len() == piece.stretches.len() || !e.kind.is_side();
        let along = if whole {
            String::new()
        } else {
            let names: Vec<&str> = e.stretches.iter().map(|i| piece.stretches[*i].name.as_str()).collect();
            format!(" along {}", names.join(" and "))
        };
        format!("the {edge} of the {}{along}", piece.name)
    }

    fn seam(&self, seam: &Seam) -> String {
        let [a, b] = &seam.edges;
        let how = match seam.method {
            Method::Mattress => "with mattress stitch, one stitch in from each edge",
            Method::Oversewn => "over and over, edge to edge",
            Method::Grafted => "by grafting, loop to loop",
        };
        let count = |i: usize| self.each(|s| meeting(self.design, seam, &s.stitches).count[i].to_string());
        let side = [a.kind.is_side(), b.kind.is_side()];
        let unit = |i: usize| if side[i] { "rows" } else { "stitches" };
        let (na, nb) = (count(0), count(1));
        let meet = if na == nb && side[0] == side[1] {
            let word = if side[0] { "row to row" } else { "stitch to stitch" };
            format!("{word}, {na} {}", unit(0))
        } else {
            format!("{na} {} to {nb} {}", unit(0), unit(1))
        };
        let mut text =
            format!("{}: sew {} to {}, {how}: {meet}.", capital(&seam.name), self.edge_name(a), self.edge_name(b));
        for (short, long) in [(a, b), (b, a)] {
            if !long.middles.is_empty() {
                let from = self.each(|s| self.near_edges(seam, short, long, s));
                let name = &self.design.pieces[short.piece].name;
                let each = if long.middles.len() > 1 {
                    format!("the near ends of the {name}s lie")
                } else {
                    format!("the {name} begins")
                };
                text.push_str(&format!(
                    " Along {}, {each} {from} stitches from its left end as it hung on the machine.",
                    self.edge_name(long)
                ));
            }
        }
        text
    }

    /// Where the parts sewn to a longer row begin: stitches from its left end, in order.
    fn near_edges(&self, seam: &Seam, short: &Edge, long: &Edge, s: &crate::check::SizeProof) -> String {
        let plain = |e: &Edge| Edge { middles: Vec::new(), ..e.clone() };
        let both = Seam { edges: [plain(short), plain(long)], ..seam.clone() };
        let m = meeting(self.design, &both, &s.stitches);
        let (short, whole) = (f64::from(m.count[0]), f64::from(m.count[1]));
        let begin = long.middles.iter().map(|c| format!("{:.0}", (c * whole - short / 2.0).round().max(0.0)));
        begin.collect::<Vec<_>>().join(" and ")
    }

    /// Stretches of a sewn side edge that no seam takes.
    fn openings(&self) -> Vec<String> {
        let d = self.design;
        let mut list = Vec::new();
        for (p, piece) in d.pieces.iter().enumerate() {
            let sewn: Vec<usize> = d
                .seams
                .iter()
                .flat_map(|s| &s.edges)
                .filter(|e| e.piece == p && e.kind.is_side())
                .flat_map(|e| e.stretches.iter().copied())
                .collect();
            if sewn.is_empty() {
                continue;
            }
            for (i, s) in piece.stretches.iter().enumerate().filter(|(i, _)| !sewn.contains(i)) {
                let rows = self.each(|z| z.stitches.pieces[p].stretches[i].rows.to_string());
                let length = self.each(|z| self.length(z.stitches.pieces[p].stretches[i].length));
                list.push(format!("Leave the {} open: {rows} rows, {length}.", s.name));
            }
        }
        list
    }
}
