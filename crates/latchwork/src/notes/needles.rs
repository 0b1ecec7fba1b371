//! Needles as a line names them: main L3 to R5, ribber R1, every second from L5 to L1, the left half, 3 at the right.

use crate::fact::NotesFact;
use latchwork_machine::needle::{Bed, Needle, Slot};

use super::line::{NoteLine, slot};
use super::{LineFault, Pick, fault};

/// Needles by name, in the order written.
pub(super) fn these(l: &mut NoteLine) -> Result<Vec<Needle>, LineFault> {
    listed(l, true)
}

/// As [`these`], where "to" means something else: only L3-R5 and L3..R5 are runs.
pub(super) fn before_to(l: &mut NoteLine) -> Result<Vec<Needle>, LineFault> {
    listed(l, false)
}

fn listed(l: &mut NoteLine, to: bool) -> Result<Vec<Needle>, LineFault> {
    let mut bed = Bed::Main;
    let mut all: Vec<Needle> = Vec::new();
    loop {
        l.eat("the");
        l.any(&["needles", "needle"]);
        if l.any(&["main bed", "main"]) {
            bed = Bed::Main;
        } else if l.eat("ribber") {
            bed = Bed::Ribber;
        }
        let step: i16 = if l.any(&["every second", "every 2nd", "every other"]) {
            2
        } else if l.eat("every third") {
            3
        } else if l.eat("every fourth") {
            4
        } else if l.eat("every fifth") {
            5
        } else if l.eat("every sixth") {
            6
        } else {
            1
        };
        l.any(&["needle", "stitch"]);
        l.any(&["from"]);
        let here = l.here();
        let (first, last) = range(l, to || step > 1).ok_or_else(|| fault(here, NotesFact::WantsNeedle))?;
        let way = if last < first { -step } else { step };
        let n = (last.0 - first.0) / way;
        for i in 0..=n {
            let needle = Needle { bed, slot: Slot(first.0 + i * way) };
            if all.contains(&needle) {
                return Err(fault(here, NotesFact::NamedTwice { needle }));
            }
            all.push(needle);
        }
        let more = l.clone();
        if !(l.eat(", and") || l.eat(",") || l.eat("and")) {
            return Ok(all);
        }
        let goes_on = l.peek().is_some_and(|w| {
            matches!(w, "main" | "ribber" | "every" | "needle" | "needles") || range(&mut l.clone(), to).is_some()
        });
        if !goes_on {
            *l = more;
            return Ok(all);
        }
    }
}

/// L3 to R5, L3-R5, L3..R5, or one needle.
fn range(l: &mut NoteLine, to: bool) -> Option<(Slot, Slot)> {
    let word = l.peek()?.to_string();
    for parting in ["..", "-"] {
        if let Some((a, b)) = word.split_once(parting)
            && let (Some(a), Some(b)) = (slot(a), slot(b))
        {
            l.at += 1;
            return Some((a, b));
        }
    }
    let first = l.slot()?;
    let before = l.at;
    if to
        && l.eat("to")
        && let Some(last) = l.slot()
    {
        return Some((first, last));
    }
    l.at = before;
    Some((first, first))
}

/// Needles by name or by place.
pub(super) fn pick(l: &mut NoteLine) -> Result<Pick, LineFault> {
    l.eat("the");
    if l.any(&["all stitches", "all needles", "all"]) {
        return Ok(Pick::All);
    }
    let here = l.clone();
    if let Some(side) = l.side()
        && l.eat("half")
    {
        return Ok(Pick::Half(side));
    }
    *l = here.clone();
    if let Some(side) = l.side()
        && let Some(n) = l.number()
    {
        l.any(&["stitches", "stitch", "needles", "needle"]);
        return Ok(Pick::AtEnd(n as usize, side));
    }
    *l = here.clone();
    if let Some(n) = l.number() {
        l.any(&["stitches", "stitch", "needles", "needle"]);
        if l.any(&["at the", "on the", "at"])
            && let Some(side) = l.side()
        {
            return Ok(Pick::AtEnd(n as usize, side));
        }
        return Err(fault(l.here(), NotesFact::WhichSideIsMeant));
    }
    *l = here;
    these(l).map(Pick::These)
}
