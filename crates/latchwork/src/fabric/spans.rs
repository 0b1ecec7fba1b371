//! Fabrics side by side: several repeats laid over the places of one piece become one fabric.

use latchwork_machine::needle::{Bed, Pitch, Racking, Side};
use latchwork_machine::steps::Setting;

use super::layout::{Begun, Cells, Layout};
use super::{Course, Fabric, Hand, Turn, together};
use crate::fact::Apart;

/// A fabric over some places of a piece.
#[derive(Debug, Clone, Copy)]
pub struct Lies<'f> {
    /// The fabric.
    pub fabric: &'f Fabric,
    /// Its first place, from the left end of the piece.
    pub from: i16,
    /// How many places it covers.
    pub places: i16,
    /// The cell of its repeat at its first place.
    pub shift: i16,
    /// Whether left and right have changed places.
    pub mirrored: bool,
}

/// Most rows after which fabrics side by side may all begin again.
const MOST_ROWS: u32 = 400;

impl Lies<'_> {
    /// The cell of its repeat at a place of the piece.
    fn cell(&self, place: i16) -> i16 {
        let period = i16::try_from(self.fabric.period()).unwrap_or(1).max(1);
        let at = (place - self.from + self.shift).rem_euclid(period);
        if self.mirrored { period - 1 - at } else { at }
    }

    fn covers(&self, place: i16) -> bool {
        (self.from..self.from.saturating_add(self.places)).contains(&place)
    }
}

/// What the carriage is set to so that both may be knitted in one pass; nothing if there is no such setting.
fn both(a: Setting, b: Setting) -> Option<Setting> {
    match (a, b) {
        (Setting::Knit, other) | (other, Setting::Knit) => Some(other),
        (a, b) if a == b => Some(a),
        _ => None,
    }
}

impl Fabric {
    /// Whether another fabric can be knitted beside this one in the same rows.
    ///
    /// # Errors
    ///
    /// What keeps them apart.
    pub fn beside(&self, other: &Fabric) -> Result<(), Apart> {
        if other.yarns() > 1 {
            return Err(Apart::Yarns);
        }
        if self.layout != other.layout
            && (self.layout.two_beds() || other.layout.two_beds() || self.layout.pitch() != other.layout.pitch())
        {
            return Err(Apart::Needles);
        }
        let rows = together(self.row_multiple(), other.row_multiple());
        if rows > MOST_ROWS {
            return Err(Apart::Rows { ours: self.row_multiple(), theirs: other.row_multiple(), most: MOST_ROWS });
        }
        for (a, b) in self.repeat.iter().cycle().zip(other.repeat.iter().cycle()).take(rows as usize) {
            let still = Racking(0);
            if a.racking.unwrap_or(still) != b.racking.unwrap_or(still) {
                return Err(Apart::Racking);
            }
            if a.feeds != b.feeds {
                return Err(Apart::Yarns);
            }
            if matches!((a.course.going, b.course.going), (Some(a), Some(b)) if a != b) {
                return Err(Apart::Direction);
            }
            if both(a.course.main, b.course.main).is_none() || both(a.course.ribber, b.course.ribber).is_none() {
                return Err(Apart::Settings);
            }
        }
        Ok(())
    }

    /// This fabric over a whole piece of `places` places with others laid over parts of it, as one fabric whose first pass is
    /// the first with the carriage at `side`. Only of fabrics that [`Fabric::beside`] allows.
    #[must_use]
    pub fn laid_out(field: &Lies<'_>, panels: &[Lies<'_>], places: u32, side: Side) -> Fabric {
        let own = field.fabric;
        let rows = panels.iter().fold(own.row_multiple(), |n, p| together(n, p.fabric.row_multiple())).min(MOST_ROWS);
        let over = Over { field, panels, from: -(Cells::WIDEST - i16::try_from(places).unwrap_or(0)).max(0) / 2 };
        let repeat = (0..rows).map(|pass| over.turn(side, pass)).collect();
        let layout = if panels.iter().all(|p| p.fabric.layout.cells() == own.layout.cells()) {
            own.layout
        } else {
            let main = over.cells(|lies, place| lies.fabric.layout.in_work(Bed::Main, lies.cell(place)));
            Layout::new([main, Cells::NONE], Pitch::Full, Begun::MainBed, own.layout.widths())
        };
        let ends_knit = own.ends_knit || panels.iter().any(|p| p.fabric.ends_knit);
        Fabric { layout, repeat, ends_knit, ..own.clone() }
    }
}

/// Fabrics over all places that a bed can have.
struct Over<'a, 'f> {
    field: &'a Lies<'f>,
    panels: &'a [Lies<'f>],
    /// The leftmost place.
    from: i16,
}

impl<'f> Over<'_, 'f> {
    fn at(&self, place: i16) -> &Lies<'f> {
        self.panels.iter().find(|p| p.covers(place)).unwrap_or(self.field)
    }

    /// The places that something is true of.
    fn cells(&self, is: impl Fn(&Lies<'f>, i16) -> bool) -> Cells {
        let mut marks = vec![false; usize::try_from(Cells::WIDEST).unwrap_or(0)];
        for place in self.from..self.from + Cells::WIDEST {
            let at = usize::try_from(place.rem_euclid(Cells::WIDEST)).unwrap_or(0);
            marks[at] = is(self.at(place), place);
        }
        Cells::of(&marks).unwrap_or_default()
    }

    fn turn(&self, side: Side, pass: u32) -> Turn {
        let own = self.field.fabric.turn(side, pass);
        let all = || std::iter::once(self.field).chain(self.panels);
        let setting = |bed: Bed| {
            let of = |lies: &Lies<'_>| lies.fabric.turn(side, pass).course.of(bed);
            all().fold(Setting::Knit, |s, lies| both(s, of(lies)).unwrap_or(s))
        };
        let forward = |bed: Bed, setting: Setting| {
            self.cells(|lies, place| {
                let turn = lies.fabric.turn(side, pass);
                let brought = turn.forward[bed.index()].has(lies.cell(place));
                brought || (setting != Setting::Knit && turn.course.of(bed) == Setting::Knit)
            })
        };
        let [main, ribber] = Bed::BOTH.map(setting);
        Turn {
            course: Course { main, ribber, going: all().find_map(|l| l.fabric.turn(side, pass).course.going) },
            forward: [forward(Bed::Main, main), forward(Bed::Ribber, ribber)],
            feeds: own.feeds,
            racking: own.racking,
            hands: all().flat_map(|lies| self.hands(lies, &lies.fabric.turn(side, pass).hands)).collect(),
        }
    }

    /// The acts of one of the fabrics, where all their needles lie in it.
    fn hands(&self, of: &Lies<'f>, hands: &[Hand]) -> Vec<Hand> {
        let inside = |place: i16| std::ptr::eq(self.at(place), of);
        // Beside an emptied needle of another fabric none is emptied: two would make one loop.
        let alone = |place: i16| {
            let empties = |h: &Hand| matches!(h, Hand::Eyelet { .. });
            let near = |p: i16| inside(p) || !self.at(p).fabric.repeat.iter().any(|t| t.hands.iter().any(empties));
            near(place - 1) && near(place + 1)
        };
        let acts = hands.iter().map(|hand| match *hand {
            Hand::LetOff { bed, cells } => {
                let cells = self.cells(|_, p| inside(p) && cells.has(of.cell(p)));
                Hand::LetOff { bed, cells }
            }
            Hand::Eyelet { bed, cells, by } => {
                let by = if of.mirrored { -by } else { by };
                let cells =
                    self.cells(|_, p| inside(p) && inside(p + i16::from(by)) && alone(p) && cells.has(of.cell(p)));
                Hand::Eyelet { bed, cells, by }
            }
            Hand::Cross { bed, cells, group, right_over } => {
                let wide = 2 * i16::from(group);
                // The first needle of a crossing is the last of its mirror image.
                let first = |p: i16| if of.mirrored { of.cell(p + wide - 1) } else { of.cell(p) };
                let cells = self.cells(|_, p| (0..wide).all(|k| inside(p + k)) && cells.has(first(p)));
                Hand::Cross { bed, cells, group, right_over: right_over != of.mirrored }
            }
        });
        acts.filter(|h| !h.cells().none()).collect()
    }
}
