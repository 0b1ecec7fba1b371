//! Edges of other pieces, hung on the needles.

use latchwork_machine::steps::Action;

use super::reader::Reader;

/// How the open end of a tube is hung.
const ROUND: &str = " Go once round: first the half that was on the main bed, then the half that was on the ribber, from its right end.";

impl Reader<'_> {
    /// An edge of another piece spread over needles.
    pub(super) fn edge_hung(&mut self) -> Option<()> {
        let needles = self.c.needles()?;
        self.c.lit(", the ")?;
        let known = [
            "left edge",
            "right edge",
            "stitches cast off at the left edge",
            "stitches cast off at the right edge",
            "cast-on edge",
            "open end",
            "last row",
            "left shoulder",
            "right shoulder",
            "left side of the neck",
            "right side of the neck",
            "middle of the neck",
        ];
        let edge = known.iter().find(|edge| self.c.opt(edge))?;
        self.c.lit(" of the ")?;
        self.c.name(&self.names.pieces)?;
        if self.c.opt(", ") {
            let row = if self.c.opt("its row ") {
                self.c.plain_number()?
            } else {
                let on = self.c.plain_number()?;
                self.c.lit(" rows on from the last")?;
                self.s.hung_row?.checked_add(on)?
            };
            self.c.lit(".")?;
            self.s.hung_row = Some(row);
            self.s.numbered(&needles, false);
            self.s.step(Action::HangEdge { needles, places: vec![row] });
            return Some(());
        }
        self.c.lit(": ")?;
        let count = self.c.number()?;
        self.c.lit(if needles.len() == 1 { " stitch over its " } else { " stitches over its " })?;
        let of = self.c.number()?;
        let rows = self.c.word(&[(" rows", true), (" stitches", false)])?;
        self.c.lit(", spread evenly. Begin with its ")?;
        let backwards = match rows {
            true => self.c.word(&[("first row.", false), ("last row.", true)])?,
            false => self.c.word(&[("left end.", false), ("right end.", true)])?,
        };
        if *edge == "open end" {
            self.c.lit(ROUND)?;
        }
        self.c.opt(" Remove its waste yarn once it hangs.");
        let towards = if self.names.american { "toward" } else { "towards" };
        let _ = self.c.opt(" Turn the piece over: public sides together.")
            || self.c.opt(&format!(" The piece hangs as it was knitted, the same side {towards} you."));
        (count as usize == needles.len() && count > 0).then_some(())?;
        // Half a step from either end, and whole steps between.
        let step = f64::from(of) / f64::from(count);
        let mut places: Vec<u32> =
            (0..count).map(|k| ((f64::from(k) + 0.5) * step + 1e-9).floor() as u32 + 1).collect();
        if backwards {
            places.reverse();
        }
        self.s.numbered(&needles, false);
        self.s.step(Action::HangEdge { needles, places });
        Some(())
    }
}
