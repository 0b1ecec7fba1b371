//! Pass notes carried out line by line: what a line leaves out is filled in. The first line that is not possible ends a
//! piece.

use std::collections::BTreeSet;
use std::sync::Arc;

use latchwork_machine::needle::{Bed, Needle, Pitch, Racking, Side};
use latchwork_machine::steps::{Action, Mark, Setting, Yarn};

use super::set_up::stretch;
use super::{Asked, How, Knits, LineFault, Note, Other, fault};
use crate::design::{At, Change, Design, Ending, Length, Piece, Shaping, Stretch, When, Wish, Wished};
use crate::fabric::{Begun, Course, Fabric, Layout, Turn};
use crate::fact::{NotesFact, PartName};
use crate::measure::Basis;
use crate::notice::Span;
use crate::plan::{Builder, PartKind, WASTE, WORKING};
use crate::stitches::{By, Feed, PieceStitches, Repeat, Rows, Shape, Shaped, WorkedStretch};
use crate::units::Mm;

/// Most needles met in all passes of a piece: about twenty metres of a full bed.
const MOST_MET: u64 = 4_000_000;

/// Rows assumed to follow those of a line: enough to move the weights up.
const GOES_ON: u32 = 10;

/// The results of one piece besides its steps.
#[derive(Debug, Default)]
pub(super) struct Kept {
    pub(super) stretches: Vec<Stretch>,
    pub(super) worked: Vec<WorkedStretch>,
    pub(super) extra_yarns: Vec<String>,
    /// Yarns missing from the head, and where each is first named.
    pub(super) unknown_yarns: Vec<(String, Span)>,
    pub(super) weights_told: bool,
    pub(super) unswatched: bool,
    /// Rows in no stretch, whose length is unknown.
    pub(super) unmeasured: u32,
    pub(super) ending: Option<Ending>,
    /// Lines with a row filled in before them.
    pub(super) rows_filled: Vec<Span>,
}

pub(super) struct Scribe<'a> {
    pub(super) b: Builder<'a>,
    pub(super) kept: Kept,
    pub(super) fabric: Option<Arc<Fabric>>,
    pub(super) layout: Layout,
    begun: Side,
    fabric_pass: u32,
    dial: Option<(u8, u8)>,
    dial_told: bool,
    /// Pitch and racking before the first needles come into work.
    pub(super) stands: (Pitch, Racking),
    pub(super) held: BTreeSet<Needle>,
    pub(super) forward: BTreeSet<Needle>,
    selection: Vec<Vec<bool>>,
    selected_row: usize,
    pub(super) joined: BTreeSet<Yarn>,
    rows: u32,
    /// The last setting of the counter by a line, and the rows before it.
    counter_set: Option<(u32, u32)>,
    /// Needles met in all passes so far, and again each time the rows are searched.
    met: u64,
    pub(super) begun_piece: bool,
    pub(super) ended: bool,
    /// Stitch holders with stitches on them.
    pub(super) waiting: BTreeSet<u8>,
}

impl<'a> Scribe<'a> {
    pub(super) fn new(head: &'a Design, index: usize, piece: &'a Piece, stitches: &'a PieceStitches) -> Scribe<'a> {
        Scribe {
            b: Builder::new(head, index, piece, stitches),
            kept: Kept::default(),
            fabric: None,
            layout: Layout::MAIN,
            begun: piece.carriage,
            fabric_pass: 0,
            dial: None,
            dial_told: false,
            stands: (Pitch::Full, Racking(0)),
            held: BTreeSet::new(),
            forward: BTreeSet::new(),
            selection: Vec::new(),
            selected_row: 0,
            joined: BTreeSet::from([WORKING]),
            rows: 0,
            counter_set: None,
            met: 0,
            begun_piece: false,
            ended: false,
            waiting: BTreeSet::new(),
        }
    }

    pub(super) fn run(mut self, notes: &[Note]) -> Result<Scribe<'a>, LineFault> {
        for note in notes {
            let more = match &note.asked {
                Asked::Rows { n, .. } => u64::from(*n),
                Asked::RowsTo(to) => u64::from(to.saturating_sub(self.b.counter())),
                Asked::Shape { every: Some((rows, times)), .. } => u64::from(*rows) * u64::from(*times),
                Asked::ShortRows { times, .. } => u64::from(*times),
                _ => 0,
            };
            if self.met + more * self.b.beds.count() as u64 > MOST_MET {
                return Err(fault(note.span, NotesFact::TooMuchKnitting));
            }
            if self.ended
                && !matches!(note.asked, Asked::CutYarn(_) | Asked::NoWeights | Asked::Total(_) | Asked::Reads(_))
            {
                return Err(fault(note.span, NotesFact::PieceHasEnded));
            }
            self.line(note)?;
        }
        Ok(self)
    }

    /// Begins a part for this line.
    pub(super) fn part(&mut self, note: &Note, name: PartName) {
        let before = self.kept.stretches.len().min(self.b.piece.stretches.len().saturating_sub(1));
        self.b.part_at(own_or(note, name), PartKind::Between { before }, note.span);
    }

    #[expect(clippy::too_many_lines, reason = "an arm a kind of line")]
    fn line(&mut self, note: &Note) -> Result<(), LineFault> {
        let span = note.span;
        match &note.asked {
            Asked::Carriage(side) => {
                if self.begun_piece && *side != self.b.side() {
                    return Err(fault(span, NotesFact::CarriageStands { side: self.b.side(), rows: self.rows }));
                }
            }
            Asked::CastOn { fabric, how, tubular, .. } => self.cast_on(note, fabric.clone(), *how, *tubular)?,
            Asked::StitchSize(main, ribber) => {
                self.dial = Some((*main, ribber.unwrap_or(*main)));
                self.dial_told = true;
            }
            Asked::Rows { n, knits, dial, yarn, counted } => {
                self.started(span)?;
                if let Some(name) = yarn {
                    self.use_yarn(note, name)?;
                }
                self.rows(note, *n, knits, *dial, *counted)?;
            }
            Asked::RowsTo(to) => {
                self.started(span)?;
                let n = to.checked_sub(self.b.counter()).filter(|n| (1..=20_000).contains(n));
                let Some(n) = n else {
                    let now = self.b.counter();
                    return Err(fault(span, NotesFact::CounterPast { now }));
                };
                self.rows(note, n, &Knits::Same, None, true)?;
            }
            Asked::Shape { change, stitches, at, every } => {
                self.started(span)?;
                match every {
                    Some((rows, times)) => self.shaped_rows(note, *change, *stitches, *at, *rows, *times)?,
                    None => {
                        let name = if *change == Change::Decrease { PartName::Decrease } else { PartName::Increase };
                        self.part(note, name);
                        self.shape(span, *change, *stitches, *at)?;
                    }
                }
            }
            Asked::Weights(_) | Asked::NoWeights => {
                self.kept.weights_told = true;
                self.hand(note)?;
            }
            Asked::Counter(n) => {
                self.counter_set = Some((*n, self.rows));
                self.part(note, PartName::Counter);
                self.b.set_counter(*n);
            }
            Asked::Reads(n) if *n != self.b.counter() => {
                let set = self.counter_set.map(|(to, rows)| (to, rows, self.rows - rows));
                let fact = NotesFact::CounterReads { is: self.b.counter(), said: *n, set, rows: self.rows };
                return Err(fault(span, fact));
            }
            Asked::Stitches(n) => {
                // Directly after an increase, its needles may be counted already.
                let (all, is) = (self.b.beds.count(), self.b.beds.count() - self.b.empty().len());
                if is != *n as usize && all != *n as usize {
                    return Err(fault(span, NotesFact::LoopsCarried { is, n: *n }));
                }
            }
            Asked::Total(n) if *n != self.rows => {
                return Err(fault(span, NotesFact::RowsInAll { rows: self.rows, said: *n }));
            }
            Asked::Reads(_) | Asked::Total(_) => {}
            Asked::Select(rows) => {
                self.selection = rows.iter().map(|r| r.chars().map(|c| c == 'x').collect()).collect();
                self.selected_row = 0;
            }
            Asked::BindOff { pick, way, dial } => {
                self.started(span)?;
                self.bind_off(note, pick.as_ref(), *way, *dial)?;
            }
            Asked::WasteOff(rows) => {
                self.started(span)?;
                self.first_loops(note)?;
                self.ending(note, Ending::Waste);
                let dial = self.last_dial();
                self.b.on_waste(dial, *rows);
            }
            Asked::Point => {
                self.started(span)?;
                self.first_loops(note)?;
                self.ending(note, Ending::Point);
                let dial = self.last_dial();
                self.b.point(dial);
            }
            _ => self.hand(note)?,
        }
        Ok(())
    }

    /// Adds a row in which new needles take their first loops, if the notes have none before loops are moved or secured.
    pub(super) fn first_loops(&mut self, note: &Note) -> Result<(), LineFault> {
        if self.b.empty().is_empty() || self.fabric.is_none() {
            return Ok(());
        }
        let dial = self.dial_now(note.span)?;
        self.part(note, PartName::RowForNew);
        let ribber = if self.layout.two_beds() { Setting::Knit } else { Setting::Slip };
        self.knit(Course { main: Setting::Knit, ribber, going: None }, dial, Feed::ONE, true);
        self.b.claim();
        self.kept.rows_filled.push(note.span);
        Ok(())
    }

    pub(super) fn started(&self, span: Span) -> Result<(), LineFault> {
        if self.begun_piece {
            return Ok(());
        }
        Err(fault(span, NotesFact::NothingCastOn))
    }

    fn cast_on(&mut self, note: &Note, fabric: Option<Arc<Fabric>>, how: How, tubular: u32) -> Result<(), LineFault> {
        let span = note.span;
        if self.begun_piece {
            return Err(fault(span, NotesFact::CastOnAlready));
        }
        let fabric = fabric.unwrap_or_else(|| Arc::clone(&self.b.piece.stretches[0].fabric));
        let layout = if how == How::Usual || !fabric.layout.two_beds() { fabric.layout } else { Layout::MAIN };
        self.two_beds(span, layout.two_beds())?;
        self.b.part_at(own_or(note, PartName::CastOn), PartKind::CastOn, span);
        match how {
            How::Usual if layout.begun() != Begun::MainBed => self.b.closed(layout, tubular),
            How::Usual | How::Wrapped => self.b.e_wrap(layout),
            How::Waste => self.b.waste(layout),
            How::Open => {
                self.b.begin(layout);
                self.b.step(Action::Join { yarn: WORKING, side: self.b.side() });
                let dial = self.b.piece.stretches[0].gauge.dial;
                self.b.pass(Course::MAIN, dial, Mark::OpenStart);
                self.b.hang();
            }
        }
        self.b.bring_in_ribber(layout);
        self.layout = layout;
        self.begun_piece = true;
        self.b.set_counter(0);
        self.b.claim();
        self.begun = self.b.side();
        Ok(())
    }

    pub(super) fn two_beds(&self, span: Span, wanted: bool) -> Result<(), LineFault> {
        if wanted && self.b.design.machine.profile.ribber_needles == 0 {
            return Err(fault(span, NotesFact::NoRibber));
        }
        Ok(())
    }

    /// Stitch sizes for a fabric: from this line, from a line of their own, from the swatch, or from the rows before.
    fn sizes(
        &mut self,
        span: Span,
        fabric: Option<&Arc<Fabric>>,
        given: Option<(u8, Option<u8>)>,
    ) -> Result<(u8, u8), LineFault> {
        if let Some((main, ribber)) = given {
            self.dial_told = true;
            self.dial = Some((main, ribber.unwrap_or(main)));
        } else if !self.dial_told
            && let Some(gauge) = fabric.and_then(|f| self.b.design.gauge(f, 0))
        {
            self.dial = Some(gauge.dial);
        }
        self.dial.ok_or_else(|| fault(span, NotesFact::NoStitchSize))
    }

    fn rows(
        &mut self,
        note: &Note,
        n: u32,
        knits: &Knits,
        given: Option<(u8, Option<u8>)>,
        counted: bool,
    ) -> Result<(), LineFault> {
        let span = note.span;
        let fabric = match knits {
            Knits::Fabric(f) => Some(Arc::clone(f)),
            Knits::Same => self.fabric.clone(),
            Knits::Courses(_) | Knits::Selected(..) | Knits::Free => None,
        };
        if let Some(f) = &fabric {
            self.change_layout(note, f)?;
            let dial = self.sizes(span, Some(f), given)?;
            if counted && self.hands_free() {
                self.stretch_rows(note, f, dial, n, None)?;
                return Ok(());
            }
        }
        let dial =
            if *knits == Knits::Free { self.dial.unwrap_or((0, 0)) } else { self.sizes(span, fabric.as_ref(), given)? };
        self.part(note, fabric.as_ref().map_or(PartName::Rows, |f| PartName::Own(f.name.clone())));
        for i in 0..n {
            let repeat = match knits {
                Knits::Courses(turn) => Repeat::Same(Turn::whole(turn[i as usize % turn.len()])),
                Knits::Selected(setting, _) => Repeat::Same(Turn::whole(Course { main: *setting, ..Course::NONE })),
                Knits::Free => Repeat::Same(Turn::whole(Course::NONE)),
                Knits::Same | Knits::Fabric(_) => self.next_rows(fabric.as_ref(), 1),
            };
            self.two_beds(span, repeat.turn(0).course.ribber != Setting::Slip)?;
            let feed = match knits {
                Knits::Free => Feed::Free,
                Knits::Selected(_, other) => self.selected(span, other.as_ref())?,
                Knits::Courses(_) | Knits::Same | Knits::Fabric(_) => Feed::ONE,
            };
            self.knit_rows(&Rows { repeat, count: 1, dial, feed, counted, left: 0 }, GOES_ON);
        }
        self.b.claim();
        Ok(())
    }

    /// Brings the next row of the selection forward; returns the yarns of its pass.
    fn selected(&mut self, span: Span, other: Option<&Other>) -> Result<Feed, LineFault> {
        self.bring_selected(span, other.is_none())?;
        let Some(Other::Second(name) | Other::Laid(name)) = other else { return Ok(Feed::ONE) };
        let yarn = self.yarn_number(span, name)?;
        if yarn == self.b.yarn {
            return Err(fault(span, NotesFact::SameYarn));
        }
        if self.joined.insert(yarn) {
            self.b.step(Action::Join { yarn, side: self.b.side() });
        }
        Ok(match other {
            Some(Other::Laid(_)) => Feed::Yarn { second: None, laid: Some(yarn) },
            _ => Feed::Yarn { second: Some(yarn), laid: None },
        })
    }

    /// Counts a search through all rows so far.
    pub(super) fn looked_back(&mut self) {
        self.met += u64::from(self.rows) * self.b.beds.count() as u64;
    }

    /// Stitch sizes of the rows before, or a middle one.
    pub(super) fn last_dial(&self) -> (u8, u8) {
        self.dial.unwrap_or((9, 9))
    }

    /// The current stitch sizes.
    pub(super) fn dial_now(&mut self, span: Span) -> Result<(u8, u8), LineFault> {
        self.sizes(span, self.fabric.clone().as_ref(), None)
    }

    /// Knits one row of the current fabric, or of these settings.
    pub(super) fn knit_on(&mut self, other: Course, dial: (u8, u8)) {
        let repeat = match self.fabric.clone() {
            Some(f) => self.next_rows(Some(&f), 1),
            None => Repeat::Same(Turn::whole(other)),
        };
        self.knit_rows(&Rows { repeat, count: 1, dial, feed: Feed::ONE, counted: true, left: 0 }, GOES_ON);
    }

    /// Whether no needle is held or forward: rows are then plain rows of the fabric.
    fn hands_free(&self) -> bool {
        self.held.is_empty() && self.forward.is_empty() && !self.b.hold
    }

    /// The next `count` passes of a fabric's repeat.
    fn next_rows(&mut self, fabric: Option<&Arc<Fabric>>, count: u32) -> Repeat {
        let Some(f) = fabric else { return Repeat::Same(Turn::whole(Course::MAIN)) };
        if !self.fabric.as_ref().is_some_and(|g| Arc::ptr_eq(g, f)) {
            self.unracked();
            self.fabric = Some(Arc::clone(f));
            self.begun = self.b.side();
            self.fabric_pass = 0;
        }
        let from = (f.first(self.begun) + self.fabric_pass as usize) % f.repeat.len();
        self.fabric_pass += count;
        Repeat::Of { fabric: Arc::clone(f), from }
    }

    /// Racks back if the repeat of the current fabric racks the ribber.
    pub(super) fn unracked(&mut self) {
        if self.fabric.as_ref().is_some_and(|f| f.repeat.iter().any(|t| t.racking.is_some())) {
            self.b.rack(Racking(0), self.b.pitch());
        }
    }

    /// Knits rows of a fabric as a stretch, with a shaping at regular intervals if asked.
    fn stretch_rows(
        &mut self,
        note: &Note,
        fabric: &Arc<Fabric>,
        dial: (u8, u8),
        n: u32,
        shaping: Option<(u32, Shaping)>,
    ) -> Result<(), LineFault> {
        let name = note.label.as_deref().unwrap_or(&fabric.name);
        let mut s = stretch(self.b.design, name, note.span, fabric, Some(dial));
        self.kept.unswatched |= s.gauge.needle.basis == Basis::Unknown;
        let needles = u32::try_from(self.b.beds.count()).unwrap_or(u32::MAX);
        s.length = Length::Rows(n);
        s.wished = Some(Wished { wish: Wish::Needles(needles), weight: 1.0, span: note.span });
        s.shaping = shaping.as_ref().map(|s| s.1.clone());
        let index = self.kept.stretches.len();
        self.b.part_at(
            PartName::Own(name.to_string()),
            PartKind::Stretch { index, fabric: fabric.name.clone() },
            note.span,
        );
        let carriage = self.b.side();
        let mut shapings = Vec::new();
        let (first, unmeasured) = (self.rows, self.kept.unmeasured);
        let every = shaping.as_ref().map_or(n, |s| s.0);
        let mut done = 0;
        while done < n {
            let count = every.min(n - done);
            let repeat = self.next_rows(Some(fabric), count);
            done += count;
            self.knit_rows(&Rows { repeat, count, dial, feed: Feed::ONE, counted: true, left: n - done }, GOES_ON);
            if let Some((_, sh)) = shaping.as_ref().filter(|s| done.is_multiple_of(s.0)) {
                self.shape(note.span, sh.change, sh.stitches, sh.at)?;
                shapings.push(Shaped { row: done, change: sh.change, stitches: sh.stitches, at: sh.at, by: By::Tool });
            }
        }
        debug_assert_eq!(self.rows, first + n, "every row counts");
        self.kept.unmeasured = unmeasured;
        if shapings.last().is_none_or(|s| s.row != n) {
            self.b.claim();
        }
        let end = u32::try_from(self.b.beds.count()).unwrap_or(u32::MAX);
        let wide = |needles: u32| Mm(f64::from(needles) * s.gauge.needle.value);
        let long = Mm(f64::from(n) * s.gauge.pass.value);
        self.kept.worked.push(WorkedStretch {
            fabric: Arc::clone(&s.fabric),
            column: 0,
            panels: Vec::new(),
            needles,
            needles_end: end,
            rows: n,
            stripes: Vec::new(),
            fetches: Vec::new(),
            clearing: false,
            shapings,
            short: Vec::new(),
            parts: None,
            slit: None,
            holes: None,
            folded: false,
            half: None,
            stitch: Mm(s.gauge.needle.value),
            straight: true,
            carriage,
            width: (wide(needles), wide(end)),
            length: long,
            edges: [long; 2],
        });
        self.kept.stretches.push(s);
        Ok(())
    }

    fn shaped_rows(
        &mut self,
        note: &Note,
        change: Change,
        stitches: u32,
        at: At,
        rows: u32,
        times: u32,
    ) -> Result<(), LineFault> {
        let span = note.span;
        let fabric = self.fabric.clone().ok_or_else(|| fault(span, NotesFact::WhichFabric))?;
        let dial = self.sizes(span, Some(&fabric), None)?;
        let when = When::Every { rows, times };
        let shaping = Shaping { span, change, stitches, at, when, carriage: None };
        let n = rows.checked_mul(times).filter(|n| *n <= 20_000);
        let n = n.ok_or_else(|| fault(span, NotesFact::MoreRowsThanAPiece))?;
        self.stretch_rows(note, &fabric, dial, n, Some((rows, shaping)))
    }

    fn shape(&mut self, span: Span, change: Change, stitches: u32, at: At) -> Result<(), LineFault> {
        let tucks = self.fabric.as_ref().is_some_and(|f| f.layout.two_beds() && f.tuck_share() > 0.0);
        if tucks && stitches == 1 && self.layout.two_beds() {
            return Err(fault(span, NotesFact::EndChangesBed));
        }
        let have = u32::try_from(self.b.beds.count()).unwrap_or(u32::MAX);
        let takes = stitches * at.ends();
        if change == Change::Decrease && have < takes + 1 + u32::from(stitches == 2) {
            return Err(fault(span, NotesFact::ShapingRunsOut { row: self.b.counter(), have, takes }));
        }
        if change == Change::Increase && have > 2_000 {
            return Err(fault(span, NotesFact::MoreNeedlesThanABed));
        }
        self.b.shape(Shape { change, stitches, at, by: By::Tool, layout: self.layout });
        Ok(())
    }

    /// Changes to the needles of another fabric, where loops can change beds one to one.
    fn change_layout(&mut self, note: &Note, to: &Arc<Fabric>) -> Result<(), LineFault> {
        if to.layout == self.layout {
            return Ok(());
        }
        self.two_beds(note.span, to.layout.two_beds())?;
        self.first_loops(note)?;
        let simple = self.layout.one_per_place() && to.layout.one_per_place() && self.hands_free();
        if !simple && !to.layout.main_alone() {
            return Err(fault(
                note.span,
                NotesFact::OtherLayout {
                    stands: self.layout.stands(),
                    fabric: to.name.clone(),
                    wants: to.layout.stands(),
                },
            ));
        }
        self.part(note, PartName::To(to.name.clone()));
        self.b.change_layout(to.layout);
        self.layout = to.layout;
        Ok(())
    }

    /// Knits one row with the settings of its line.
    pub(super) fn knit(&mut self, course: Course, dial: (u8, u8), feed: Feed, counted: bool) {
        let repeat = Repeat::Same(Turn::whole(course));
        self.knit_rows(&Rows { repeat, count: 1, dial, feed, counted, left: 0 }, 0);
    }

    /// Knits rows, counted by the notes; `after` more may follow.
    fn knit_rows(&mut self, rows: &Rows, after: u32) {
        self.rows += if rows.counted { rows.count } else { 0 };
        self.kept.unmeasured += if rows.feed == Feed::Free || self.b.yarn == WASTE { 0 } else { rows.count };
        self.met += u64::from(rows.count) * self.b.beds.count() as u64;
        self.b.rows(rows, after);
        self.forward.clear();
        if !self.b.hold {
            self.held.clear();
        }
    }

    /// Brings the chosen needles of the selection's next row forward.
    fn bring_selected(&mut self, span: Span, ends: bool) -> Result<(), LineFault> {
        let Some(row) = self.selection.get(self.selected_row % self.selection.len().max(1)) else {
            return Err(fault(span, NotesFact::NothingSelected));
        };
        self.selected_row += 1;
        let main: Vec<Needle> = self.b.needles().into_iter().filter(|n| n.bed == Bed::Main).collect();
        // The end needles knit in every row: no row then ends in a tuck or float.
        let end = |n: &Needle| ends && (main.first() == Some(n) || main.last() == Some(n));
        let chosen: Vec<Needle> =
            main.iter().zip(row.iter().cycle()).filter(|(n, x)| **x || end(n)).map(|(n, _)| *n).collect();
        if !chosen.is_empty() {
            self.forward.extend(&chosen);
            self.b.step(Action::Forward(chosen));
        }
        Ok(())
    }
}

/// The knitter's name for the line, or else its kind.
pub(super) fn own_or(note: &Note, name: PartName) -> PartName {
    note.label.as_ref().map_or(name, |own| PartName::Own(own.clone()))
}
