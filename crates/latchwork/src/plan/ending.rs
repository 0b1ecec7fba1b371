//! Endings: every loop secured, or kept on waste yarn on purpose.

use latchwork_machine::needle::{Needle, Side};
use latchwork_machine::steps::{Action, Leaves, Mark, Move, Way};

use super::WASTE_END;
use super::build::{Builder, WASTE};
use crate::design::{Ending, JoinAt};
use crate::fabric::Course;
use crate::units::Mm;

/// How much looser the last row is, in thirds of a stitch size: three numbers (common practice: 2 to 5).
const LOOSER: u8 = 9;

impl Builder<'_> {
    pub(crate) fn ending(&mut self) {
        let dial = self.dial();
        let loose = self.looser(dial);
        match self.piece.ending {
            Ending::Point => self.point(dial),
            Ending::Waste => self.on_waste(dial, WASTE_END),
            Ending::LoopThroughLoop => self.bind_off(Way::LoopThroughLoop, loose),
            Ending::Chain => self.bind_off(Way::Chain, loose),
            Ending::Gather => {
                self.halved_on_main_bed();
                self.bind_off(Way::Gathered, loose);
            }
        }
    }

    /// Stitch sizes of the last row.
    pub(crate) fn looser(&self, dial: (u8, u8)) -> (u8, u8) {
        ((dial.0 + LOOSER).min(self.design.machine.dial.1), dial.1)
    }

    fn dial(&self) -> (u8, u8) {
        self.piece.stretches.last().map_or((9, 9), |s| s.gauge.dial)
    }

    fn width(&self) -> f64 {
        self.stitches.stretches.last().map_or(0.0, |w| w.ending_width().0)
    }

    /// The needles in order from this side.
    fn needles_from(&self, side: Side) -> Vec<Needle> {
        let mut needles = self.needles();
        if side == Side::Right {
            needles.reverse();
        }
        needles
    }

    /// All loops on the main bed, one loose row, then the ending itself.
    pub(crate) fn bind_off(&mut self, way: Way, loose: (u8, u8)) {
        self.all_on_main_bed();
        if let Some(join) = self.design.join(self.index, JoinAt::LastRow) {
            let needles = self.needles();
            let first = self.shoulders_before();
            self.hang_edges(join, &needles, (first.0, first.1));
        }
        self.pass(Course::MAIN, loose, Mark::Plain);
        self.claim();
        match way {
            Way::LoopThroughLoop => {
                self.unhang();
                let needles = self.needles_from(self.side().other());
                self.step(Action::Secure { needles, way, cut_length: None, onto: None });
                self.step(Action::Cut(self.yarn));
                self.tail(self.end_tail());
            }
            Way::Chain => {
                let needles = self.needles_from(self.side());
                self.step(Action::Secure { needles, way, cut_length: None, onto: None });
                self.step(Action::Cut(self.yarn));
                self.tail(self.end_tail());
                self.unhang();
            }
            Way::Gathered | Way::Sewn | Way::Waste => {
                self.step(Action::Cut(self.yarn));
                // Three widths to gather with (common practice), besides what the seam takes.
                self.tail(Mm(((self.width() * 3.0 + self.end_tail().0) / 100.0).ceil() * 100.0));
                self.unhang();
                let needles = self.needles_from(self.side());
                self.step(Action::Secure { needles, way, cut_length: None, onto: None });
            }
        }
    }

    /// How many stitches of the last row lie left of those now on the needles, and of how many.
    fn shoulders_before(&self) -> (u32, u32) {
        let here = u32::try_from(self.needles().len()).unwrap_or(u32::MAX);
        let divided = self.stitches.stretches.last().and_then(|w| Some((w.ending_needles(), w.parts.as_ref()?)));
        match divided {
            // The first side is knitted while the other waits.
            Some((all, parts)) => {
                let right = if self.waits.is_some() { parts.first == Side::Right } else { parts.first == Side::Left };
                (if right { all - here } else { 0 }, all)
            }
            None => (0, here),
        }
    }

    pub(crate) fn on_waste(&mut self, dial: (u8, u8), rows: u32) {
        // A tube stays open: its waste yarn goes round it, too.
        let tube: Option<Vec<Course>> = self.piece.ends_open().then(|| {
            let fabric = self.piece.stretches.last().map(|s| &s.fabric.repeat);
            fabric.into_iter().flatten().map(|t| t.course).collect()
        });
        if tube.is_none() {
            self.all_on_main_bed();
        }
        self.step(Action::Cut(self.yarn));
        self.tail(self.end_tail());
        self.step(Action::Join { yarn: WASTE, side: self.side() });
        self.yarn = WASTE;
        let courses = tube.unwrap_or_else(|| vec![Course::MAIN]);
        for course in courses.iter().cycle().take(rows as usize) {
            self.pass(*course, dial, Mark::Plain);
        }
        self.step(Action::Cut(WASTE));
        self.unhang();
        // Its last row holds the rest; its own loops run no further than the waste yarn.
        let mut needles = self.needles();
        needles.sort();
        self.step(Action::Secure { needles, way: Way::Waste, cut_length: None, onto: None });
    }

    /// The last few stitches transferred onto one needle and knitted off.
    pub(crate) fn point(&mut self, dial: (u8, u8)) {
        self.all_on_main_bed();
        let all = self.needles();
        if let Some(centre) = all.get(all.len() / 2).copied() {
            let others: Vec<Needle> = all.into_iter().filter(|n| *n != centre).collect();
            for from in others {
                self.step(Action::Transfer(Move { from, to: centre, leaves: Leaves::Out }));
            }
        }
        self.unhang();
        self.claim();
        self.pass(Course::MAIN, dial, Mark::Plain);
        self.step(Action::Cut(self.yarn));
        self.tail(self.end_tail());
        self.step(Action::Secure { needles: self.needles(), way: Way::LoopThroughLoop, cut_length: None, onto: None });
    }
}
