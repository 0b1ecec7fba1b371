//! The rows of each stripe: as many as it says, as many as its yarn makes, or those that are left.

use std::collections::BTreeMap;

use latchwork_machine::needle::Side;

use crate::design::{Lasts, Piece, Size, Stretch, Yarns};
use crate::fact::StitchesFact;
use crate::notice::{Notice, Notices};
use crate::units::Mm;

/// The rows of each stripe of a stretch of at most `needles` needles.
pub(super) fn striped(
    piece: &Piece,
    s: &Stretch,
    rows: u32,
    needles: u32,
    size: &Size,
    notices: &mut Notices,
) -> Option<Vec<u32>> {
    let Yarns::Stripes(all) = &s.yarns else { return Some(Vec::new()) };
    let by_rows = |l: Lasts| if let Lasts::Rows(n) = l { Some(n) } else { None };
    if let Some(over_and_over) = all.iter().map(|s| by_rows(s.lasts)).collect() {
        return Some(over_and_over);
    }
    let (stretch, size) = (s.name.clone(), size.name.clone());
    let Some(loops) = s.loops(needles) else {
        notices.push(Notice::error(s.span, StitchesFact::StripesUnweighed { stretch }));
        return None;
    };
    let made = f64::from(needles) * s.fabric.loops_per_needle_pass();
    let tucks = s.fabric.tuck_share();
    let (row, deviation) = loops.of(made * (1.0 - tucks), made * tucks);
    let pieces = f64::from(piece.make.count());
    let mut left = rows;
    let mut counts = Vec::new();
    for (i, stripe) in all.iter().enumerate() {
        let lasts = match stripe.lasts {
            Lasts::Rows(n) => n,
            Lasts::Rest => left,
            // A bit over a pair of rows is of no use: the carriage must come back to where the next yarn waits.
            Lasts::Yarn(Mm(yarn)) => {
                let pairs = (yarn / pieces - 2.0 * END.0) / (2.0 * (row + SURE * deviation));
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped to the rows of a piece"
                )]
                let pairs = pairs.clamp(0.0, 10_000.0) as u32;
                if pairs == 0 {
                    notices.push(Notice::error(s.span, StitchesFact::StripeTooLittle { stretch, size, stripe: i + 1 }));
                    return None;
                }
                2 * pairs
            }
        };
        counts.push(lasts.min(left));
        left -= lasts.min(left);
    }
    if left > 0 {
        notices.push(Notice::error(s.span, StitchesFact::StripesRunOut { stretch, size, rows: left }));
        return None;
    }
    Some(counts)
}

/// Where the yarns of a piece wait while its rows are knitted.
#[derive(Debug)]
pub(super) struct Waiting {
    /// Where the carriage is.
    pub(super) side: Side,
    /// Passes so far.
    passes: u32,
    /// The side of each yarn, by index, and the passes after which it was left there.
    left: BTreeMap<usize, (Side, u32)>,
}

impl Waiting {
    /// The piece's own yarn is at the carriage.
    pub(super) fn new(own: usize, side: Side) -> Waiting {
        Waiting { side, passes: 0, left: BTreeMap::from([(own, (side, 0))]) }
    }

    /// Goes through the rows of a stretch; the rows of it after which a free pass fetches the next stripe's yarn.
    pub(super) fn through(&mut self, piece: &Piece, i: usize, rows: u32, stripes: &[u32]) -> Vec<u32> {
        let s = &piece.stretches[i];
        let mut fetched = Vec::new();
        match &s.yarns {
            Yarns::OfPiece => self.knit(piece.yarn, rows),
            // Which of them the last rows take is not looked at: they are not fetched.
            Yarns::Each(yarns) => {
                self.left.retain(|yarn, _| !yarns.contains(yarn));
                (self.side, self.passes) = (self.side.after(rows), self.passes + rows);
            }
            Yarns::Stripes(all) => {
                let mut done = 0;
                let runs = all.iter().zip(stripes).filter(|s| *s.1 > 0);
                for (stripe, n) in runs.cycle().take_while(|_| rows > 0) {
                    if s.fetches && self.far(stripe.yarn) {
                        fetched.push(done);
                        (self.side, self.passes) = (self.side.other(), self.passes + 1);
                    }
                    let n = (*n).min(rows - done);
                    self.knit(stripe.yarn, n);
                    done += n;
                    if done == rows {
                        break;
                    }
                }
            }
        }
        fetched
    }

    fn knit(&mut self, yarn: usize, rows: u32) {
        (self.side, self.passes) = (self.side.after(rows), self.passes + rows);
        self.left.insert(yarn, (self.side, self.passes));
    }

    /// Whether a yarn waits at the far side, and not so far below that it is cut; the free pass counts.
    fn far(&self, yarn: usize) -> bool {
        let (far, least) = (self.side.other(), self.passes + 1);
        self.left.get(&yarn).is_some_and(|(side, passes)| *side == far && least - passes <= CARRY)
    }
}

/// Most rows that a yarn is carried past: the rehearsal warns above it.
pub(crate) const CARRY: u32 = 6;
/// Yarn left where one is joined or cut: common practice (15 cm), no source.
pub(crate) const END: Mm = Mm(150.0);
/// Standard deviations on the safe side: of 20 stripes 19 last.
const SURE: f64 = 1.645;
