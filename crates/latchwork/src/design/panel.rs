//! Fabrics side by side in a stretch: panels, where repeats begin, and what follows for width, rows and yarn.

use std::sync::Arc;

use latchwork_machine::needle::Side;

use super::Stretch;
use crate::fabric::{Fabric, Lies, together};
use crate::measure::{Gauge, LoopLengths};
use crate::notice::Span;
use crate::units::Mm;

impl Stretch {
    /// Passes of which its length is a multiple: whole repeats of its fabrics.
    #[must_use]
    pub fn row_multiple(&self) -> u32 {
        self.panels.iter().fold(self.fabric.row_multiple(), |n, p| together(n, p.fabric.row_multiple()))
    }

    /// Its fabrics and their gauges: its own first.
    pub fn gauges(&self) -> impl Iterator<Item = &Gauge> {
        std::iter::once(&self.gauge).chain(self.panels.iter().map(|p| &p.gauge))
    }

    /// The names of its fabrics, its own first, each once.
    #[must_use]
    pub fn fabric_names(&self) -> Vec<&str> {
        let mut all = vec![self.fabric.name.as_str()];
        for p in &self.panels {
            if !all.contains(&p.fabric.name.as_str()) {
                all.push(&p.fabric.name);
            }
        }
        all
    }

    /// Yarn in its loops over `needles` needles, panels counted by their width; none where a gauge does not tell.
    #[must_use]
    pub fn loops(&self, needles: u32) -> Option<LoopLengths> {
        let own = self.gauge.loops?;
        if self.panels.is_empty() {
            return Some(own);
        }
        let mut shares = vec![(0.0, own)];
        let mut taken = 0.0;
        for p in &self.panels {
            let (main, ribber) = p.fabric.layout.needle_count(p.places);
            taken += f64::from(main + ribber);
            shares.push((f64::from(main + ribber), p.gauge.loops?));
        }
        shares[0].0 = (f64::from(needles) - taken).max(0.0);
        LoopLengths::mean(&shares)
    }

    /// By how much its panels make it wider than its own fabric over as many places.
    #[must_use]
    pub fn panels_wider(&self) -> Mm {
        let wider = |p: &Panel| {
            let over = |f: &Fabric| {
                let (main, ribber) = f.layout.needle_count(p.places);
                f64::from(main + ribber)
            };
            over(&p.fabric) * p.gauge.needle.value - over(&self.fabric) * self.gauge.needle.value
        };
        Mm(self.panels.iter().map(wider).sum())
    }
}

/// Where the repeat of a fabric begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Placed {
    /// At the left end.
    #[default]
    Left,
    /// So that it ends at the right end.
    Right,
    /// What is left over is shared between the ends.
    Centred,
    /// So that the ends are as alike as can be.
    Alike,
    /// Whole repeats between the stitches lost in the seams.
    Seams,
}

impl Placed {
    /// The words of documents.
    pub const WORDS: [(&str, Placed); 5] = [
        ("left", Placed::Left),
        ("right", Placed::Right),
        ("centred", Placed::Centred),
        ("alike", Placed::Alike),
        ("seams", Placed::Seams),
    ];
}

/// How print tells which needles its rows bring forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Told {
    /// As a chart.
    #[default]
    Chart,
    /// In words.
    Words,
}

impl Told {
    /// The words of documents.
    pub const WORDS: [(&str, Told); 2] = [("chart", Told::Chart), ("words", Told::Words)];
}

/// Who brings needles forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Selected {
    /// The knitter.
    Hand,
    /// The owner's pattern device.
    Device,
}

impl Selected {
    /// The words of documents.
    pub const WORDS: [(&str, Selected); 2] = [("hand", Selected::Hand), ("device", Selected::Device)];
}

/// A fabric over some of the needles of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The fabric.
    pub fabric: Arc<Fabric>,
    /// Its place in the document.
    pub span: Span,
    /// How many places it covers.
    pub places: u32,
    /// Where it stands.
    pub at: PanelAt,
    /// Whether left and right have changed places.
    pub mirrored: bool,
    /// Its gauge at the stitch sizes of the stretch.
    pub gauge: Gauge,
}

impl Panel {
    /// How it lies with its first place at `from`: its repeats centred, where they can be shifted on its needles.
    #[must_use]
    pub fn lies(&self, from: i16) -> Lies<'_> {
        let places = i16::try_from(self.places).unwrap_or(i16::MAX);
        let period = i16::try_from(self.fabric.period()).unwrap_or(1).max(1);
        let shift = if self.fabric.layout.shifts() { -(places.rem_euclid(period) / 2) } else { 0 };
        Lies { fabric: &self.fabric, from, places, shift, mirrored: self.mirrored }
    }
}

/// Where a panel stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PanelAt {
    /// In the middle, moved by a number of places to the right.
    Centre(i16),
    /// A number of places from an end.
    From(Side, u32),
}
