//! Making up: seams in sewing order, what is gathered, what stays open.

use latchwork_machine::steps::Way;

use super::sheet::Sheet;
use crate::check::SizeProof;
use crate::design::{Edge, Method, Seam};
use crate::fabric::Ends;
use crate::fact::Counted;
use crate::fit::{meeting, part_and_whole};
use crate::picture::{edge_words, side_words};
use crate::plan::sewn_with;
use crate::units::Mm;
use crate::wording::say;
use crate::words::capital;

impl Sheet<'_> {
    pub(super) fn making_up(&self) -> Vec<String> {
        let t = self.design.show.language;
        let d = self.design;
        let mut list: Vec<String> = Vec::new();
        if let Some(first) = self.sizes.first() {
            for (k, plan) in first.plans.pieces.iter().enumerate() {
                if self.ends(k, Way::Gathered) {
                    list.push(say!(t, "Draw up the gathered edge of the {name} with its tail. Thread the tail round again. Fasten. Do not cut the tail.", name = crate::wording::piece(&plan.name, t)));
                }
            }
        }
        list.extend(d.seams.iter().map(|s| self.seam(s)));
        list.extend(self.openings());
        let waste = |p: &&crate::design::Piece| p.cast_on == crate::design::CastOn::Waste;
        if d.pieces.iter().filter(waste).any(|p| !p.begins_live()) {
            list.push(say!(t, "Draw out the ravel cord of each hem. Remove the waste yarn."));
        }
        if d.pieces.iter().any(crate::design::Piece::begins_live) {
            list.push(say!(
                t,
                "Catch the live stitches of the first row. Draw out the ravel cord. Remove the waste yarn."
            ));
        }
        list.push(say!(
            t,
            "Sew in the tails over at least {length}. Trim.",
            length = self.length(Mm(50.0)).replace(".0", "")
        ));
        list.push(if self.gauges().len() == 1 {
            say!(t, "Wash and dry like the swatch. Measurements are after washing.")
        } else {
            say!(t, "Wash and dry like the swatches. Measurements are after washing.")
        });
        list
    }

    /// Time at the machine, and for sewing.
    /// The range of a time over the sizes.
    fn time_range(&self, of: &dyn Fn(&SizeProof) -> u32) -> String {
        let t = self.design.show.language;
        let hours = |s: u32| match s / 3600 {
            0 => say!(t, "{s} min", s = s / 60),
            h if (s / 60).is_multiple_of(60) => say!(t, "{h} h", h),
            h => say!(t, "{h} h {min} min", h, min = s / 60 % 60),
        };
        let all = || self.sizes.iter().map(|s| of(s));
        let (least, most) = (hours(all().min().unwrap_or(0)), hours(all().max().unwrap_or(0)));
        if least == most { least } else { say!(t, "{least} to {most}", least, most) }
    }

    /// Time at the machine.
    pub(super) fn at_machine(&self) -> String {
        say!(self.design.show.language, "about {range} at the machine", range = self.time_range(&|s| s.seconds))
    }

    pub(super) fn time(&self) -> String {
        let t = self.design.show.language;
        let d = self.design;
        let sewn = if d.seams.is_empty() {
            String::new()
        } else {
            say!(t, " and {range} to sew it", range = self.time_range(&|s| s.sewing.seconds(&d.pace)))
        };
        let pace = if d.pace.own { say!(t, "the designer's pace") } else { say!(t, "a steady pace") };
        say!(t, "{machine}{sewn}, at {pace}", machine = self.at_machine(), sewn, pace)
    }

    fn edge_name(&self, e: &Edge) -> String {
        edge_words(self.design, e)
    }

    fn seam(&self, seam: &Seam) -> String {
        let t = self.design.show.language;
        let how = match seam.method {
            Method::Mattress => self.mattress(seam),
            Method::Oversewn => say!(t, "Oversew through both, edges level"),
            Method::Grafted | Method::Hung => say!(t, "Graft stitch to stitch"),
        };
        let first = self.sizes.first().map(|s| meeting(self.design, seam, &s.stitches));
        let counted = first.map_or([Counted::Mixed; 2], |m| m.counted);
        let count = |i: usize| self.each(|s| meeting(self.design, seam, &s.stitches).count[i].to_string());
        let long = |i: usize| self.each(|s| self.design.show.number(meeting(self.design, seam, &s.stitches).length[i]));
        // Rows and stitches on end are measured, and then both sides are.
        let mixed = counted.contains(&Counted::Mixed);
        let unit = |i: usize| match counted[i] {
            _ if mixed => format!("{} {}", long(i), self.design.show.unit()),
            Counted::Rows => say!(t, "{n} rows", n = count(i)),
            Counted::Stitches => say!(t, "{n} stitches", n = count(i)),
            Counted::Mixed => String::new(),
        };
        let (na, nb) = (unit(0), unit(1));
        let meet = match counted {
            [Counted::Rows, Counted::Rows] if na == nb => say!(t, "Row to row, {rows}", rows = na),
            [Counted::Stitches, Counted::Stitches] if na == nb => {
                say!(t, "Stitch to stitch, {stitches}", stitches = na)
            }
            _ => say!(t, "Join {here} to {there}", here = na, there = nb),
        };
        let mut text = format!("{}:", self.seam_name(seam));
        for (short, long) in seam.one_to_one().into_iter().flat_map(|[a, b]| [(a, b), (b, a)]) {
            if !long.middles.is_empty() {
                if let Some(both) = self.begins_from_both_ends(short, long) {
                    text.push_str(&both);
                    continue;
                }
                let from = self.each(|s| self.near_edges(short, long, s));
                let name = &self.design.pieces[short.piece].name;
                let each = if long.middles.len() > 1 {
                    say!(t, "place the near ends of the {name} pieces", name)
                } else {
                    say!(t, "place the near end of the {name}", name)
                };
                text.push_str(&say!(
                    t,
                    " along {edge_name}, {each} {from} stitches from the end that was at the left on the machine.",
                    edge_name = self.edge_name(long),
                    each,
                    from
                ));
            }
        }
        if !seam.note.is_empty() {
            text.push_str(&format!(" {}", seam.note));
        }
        // Placed and pinned first, then sewn.
        let begun = text.ends_with(':');
        let sew = say!(
            t,
            " sew {edge_name} to {edge_name_2}. {how}. {meet}.",
            edge_name = side_words(self.design, &seam.sides[0]),
            edge_name_2 = side_words(self.design, &seam.sides[1]),
            how,
            meet
        );
        text.push_str(&if begun { sew } else { format!(" {}", capital(sew.trim_start())) });
        let tail = match sewn_with(self.design, seam) {
            Some((p, true)) => say!(t, " Use the tail at the end of the {name}.", name = self.design.pieces[p].name),
            Some((p, false)) => {
                say!(t, " Use the tail at the cast-on of the {name}.", name = self.design.pieces[p].name)
            }
            None => say!(t, " Use a new length of yarn."),
        };
        text.push_str(&tail);
        text
    }

    /// How far in from its edges a seam is sewn: half a stitch where a rib ends on the same bed at both edges.
    fn mattress(&self, seam: &Seam) -> String {
        let t = self.design.show.language;
        let Some(size) = self.sizes.first() else { return say!(t, "Mattress stitch") };
        let sides = seam.edges().filter(|e| e.kind.is_side());
        let halves: Vec<bool> = sides
            .flat_map(|e| {
                let piece = &self.design.pieces[e.piece];
                let ends = size.stitches.pieces[e.piece].ends;
                e.stretches.iter().map(move |i| piece.half_stitch(&piece.stretches[*i], ends))
            })
            .collect();
        if halves.is_empty() {
            // Rows to rows: no edge stitch is taken up.
            return say!(t, "Mattress stitch, just inside both edges");
        }
        if halves.iter().all(|half| *half) {
            say!(t, "Mattress stitch, half a stitch in from each edge, so that the rib continues")
        } else if halves.contains(&true) {
            say!(
                t,
                "Mattress stitch, 1 stitch in from each edge, but half a stitch in along rib, so that the rib continues"
            )
        } else {
            say!(t, "Mattress stitch, 1 stitch in from each edge")
        }
    }

    /// A seam by its number in the drawing.
    fn seam_name(&self, seam: &Seam) -> String {
        let t = self.design.show.language;
        let number = self.design.seams.iter().position(|s| s == seam).map_or(0, |i| i + 1);
        say!(t, "Seam {number}, {name}", number, name = seam.name)
    }

    /// The sentence for two parts sewn at the same distance from either end of a row.
    fn begins_from_both_ends(&self, short: &Edge, long: &Edge) -> Option<String> {
        let t = self.design.show.language;
        let [a, b] = long.middles.as_slice() else { return None };
        if (a + b - 1.0).abs() > 1e-9 {
            return None;
        }
        let piece = &self.design.pieces[long.piece];
        let gauge = piece.stretches.first()?.gauge.needle.value;
        let counts = |s: &SizeProof| {
            let (part, whole) = part_and_whole(self.design, short, long, &s.stitches);
            (a.min(*b) * whole - part / 2.0, part, whole)
        };
        // Measured from the seam that closes the row, if there is one.
        let closed = self.design.seams.iter().any(|s| s.edges().all(|e| e.piece == long.piece && e.kind.is_side()));
        let ends = self.sizes.first().map_or(Ends::BothMain, |s| s.stitches.pieces[long.piece].ends);
        let lost = piece.stretches.first().filter(|_| closed).map_or(0.0, |s| piece.lost(s, ends) / 2.0);
        // Whole stitches, without the edge stitch at each side that the seam takes up: with the parts and the stitches between
        // them, they make up the row.
        let edge = if closed { 1.0 } else { 0.0 };
        let from_seam = |s: &SizeProof| (counts(s).0.round() - edge).max(0.0);
        let between = |s: &SizeProof| {
            let (_, part, whole) = counts(s);
            (whole - 2.0 * edge - 2.0 * part - 2.0 * from_seam(s)).max(0.0)
        };
        let from = self.each(|s| format!("{:.0}", from_seam(s)));
        let length = self.each(|s| self.design.show.number(Mm((counts(s).0.round() - lost).max(0.0) * gauge)));
        let unit = self.design.show.unit();
        let place = if closed {
            say!(
                t,
                "on each side of the seam, {from} stitches from it: {length} {unit}. Do not count the seam stitches.",
                from,
                length,
                unit
            )
        } else {
            say!(t, "{from} stitches from each end: {length} {unit}.", from, length, unit)
        };
        let free = self.each(|s| format!("{:.0}", between(s)));
        let name = &self.design.pieces[short.piece].name;
        Some(say!(
            t,
            " along {edge_name}, place 1 {name} {place} Count knit columns and the hollows between them. Leave {free} stitches free \
             between the two.",
            edge_name = self.edge_name(long),
            name,
            place,
            free
        ))
    }

    /// Where the parts sewn to a longer row begin: stitches from its left end, in order.
    fn near_edges(&self, short: &Edge, long: &Edge, s: &SizeProof) -> String {
        let t = self.design.show.language;
        let (short, whole) = part_and_whole(self.design, short, long, &s.stitches);
        let begin = long.middles.iter().map(|c| format!("{:.0}", (c * whole - short / 2.0).round().max(0.0)));
        begin.collect::<Vec<_>>().join(&say!(t, " and "))
    }

    /// Stretches of a sewn side edge that no seam takes, and to which nothing is joined on the machine.
    fn openings(&self) -> Vec<String> {
        let t = self.design.show.language;
        let d = self.design;
        let mut list = Vec::new();
        for (p, piece) in d.pieces.iter().enumerate() {
            let joined = |i: usize| {
                let mut hung = d.joins.iter().flat_map(|j| j.seam.edges());
                hung.any(|e| e.piece == p && e.kind.is_side() && e.stretches.contains(&i))
            };
            for i in self.open_stretches(p).into_iter().filter(|i| !joined(*i)) {
                let s = &piece.stretches[i];
                let rows = self.each(|z| z.stitches.pieces[p].stretches[i].rows.to_string());
                let length = self.each(|z| self.length(z.stitches.pieces[p].stretches[i].length));
                let whose =
                    if d.pieces.len() > 1 { say!(t, " of the {name}", name = piece.name) } else { String::new() };
                list.push(say!(
                    t,
                    "Leave the {name}{whose} open: {rows} rows, {length}.",
                    name = s.name,
                    whose,
                    rows,
                    length
                ));
            }
        }
        list
    }
}
