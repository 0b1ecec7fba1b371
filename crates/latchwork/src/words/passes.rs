//! What a run of passes does, in as few words as are exact.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Pass, Setting};

use crate::units::Language;
use crate::wording::{say, sets};

type Settings = (Setting, Setting);

fn settings(p: &Pass) -> Settings {
    (p.main.setting, p.ribber.setting)
}

fn one(s: Settings, t: Language) -> String {
    match s {
        (Setting::Knit, Setting::Slip) => say!(t, "main bed only"),
        (Setting::Slip, Setting::Knit) => say!(t, "ribber only"),
        (both, ribber) if both == ribber => {
            let both = sets(both, true, t);
            say!(t, "both beds {both}", both)
        }
        (m, r) => {
            let (m, r) = (sets(m, false, t), sets(r, false, t));
            say!(t, "main bed {m}, ribber {r}", m, r)
        }
    }
}

/// A row in which needles in forward or holding position knit, whatever the setting of their bed; `beds` says which beds
/// have needles in work.
pub(super) fn pushed(p: &Pass, (forward, held): (bool, bool), beds: [bool; 2], t: Language) -> String {
    let (main, ribber) = settings(p);
    let others = match beds {
        [true, true] if main != ribber => {
            let (main, ribber) = (sets(main, true, t), sets(ribber, true, t));
            say!(t, "other main-bed needles {main}, other ribber needles {ribber}", main, ribber)
        }
        [main_works, _] => {
            let knit = sets(if main_works { main } else { ribber }, true, t);
            say!(t, "the others {knit}", knit)
        }
    };
    match (forward, held) {
        (true, false) => say!(t, "needles in forward position knit, {others}", others),
        (false, _) => say!(t, "needles in holding position knit, {others}", others),
        (true, true) => say!(t, "needles in forward or holding position knit, {others}", others),
    }
}

/// Whether the last pass knits on both beds after passes that all tuck: it clears the tucks.
pub(super) fn clears(passes: &[&Pass]) -> bool {
    let tucks = |p: &&Pass| p.main.setting == Setting::Tuck || p.ribber.setting == Setting::Tuck;
    passes.split_last().is_some_and(|(last, before)| {
        settings(last) == (Setting::Knit, Setting::Knit) && before.len() > 1 && before.iter().all(tucks)
    })
}

/// The direction of a carriage that ends at a side.
pub(super) fn way(to: Side, t: Language) -> String {
    match to {
        Side::Left => say!(t, "right to left"),
        Side::Right => say!(t, "left to right"),
    }
}

/// The settings of a run of passes in order: the rows of a repeat, if there is one, and the settings in words.
pub(super) fn phrase(passes: &[&Pass], t: Language) -> (Option<usize>, String) {
    let Some(first) = passes.first() else { return (None, String::new()) };
    if passes.iter().all(|p| settings(p) == settings(first)) {
        return (None, one(settings(first), t));
    }
    if let Some(words) = by_direction(passes, first.direction, t) {
        return (None, words);
    }
    let period = (1..=passes.len())
        .find(|p| (0..passes.len()).all(|i| settings(passes[i]) == settings(passes[i % p])))
        .unwrap_or(passes.len());
    // Consecutive rows that are alike are named once, with their number.
    let turn: Vec<String> = passes[..period]
        .chunk_by(|a, b| settings(a) == settings(b))
        .map(|run| {
            let (what, rows) = (one(settings(run[0]), t), run.len());
            if rows == 1 { what } else { say!(t, "{what}, {rows} rows", what, rows) }
        })
        .collect();
    ((period < passes.len()).then_some(period), turn.join("; "))
}

/// The settings of passes that depend only on the direction of the carriage.
fn by_direction(passes: &[&Pass], here: Side, t: Language) -> Option<String> {
    let going = |side: Side| passes.iter().find(|p| p.direction == side).map(|p| settings(p));
    if !passes.iter().all(|p| Some(settings(p)) == going(p.direction)) {
        return None;
    }
    let (h, back) = (going(here)?, going(here.other())?);
    let (here, there) = (way(here, t), way(here.other(), t));
    if let (Setting::Knit, Setting::Slip, Setting::Slip, Setting::Knit)
    | (Setting::Slip, Setting::Knit, Setting::Knit, Setting::Slip) = (h.0, h.1, back.0, back.1)
    {
        let (h, back) = (one(h, t), one(back, t));
        return Some(say!(t, "{h} {here}, {back} {there}", h, here, back, there));
    }
    let pair = |bed: String, h: Setting, back: Setting| {
        let (does, returns) = (sets(h, false, t), sets(back, false, t));
        if h == back {
            format!("{bed} {does}")
        } else {
            say!(t, "{bed} {does} {here}, {returns} {there}", bed, does, here, returns, there)
        }
    };
    let main = pair(say!(t, "main bed"), h.0, back.0);
    let ribber = pair(say!(t, "ribber"), h.1, back.1);
    Some(say!(t, "{main}; {ribber}. First row: {here}", main, ribber, here))
}
